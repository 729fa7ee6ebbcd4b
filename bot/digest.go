package bot

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// LayRules puts the recurring notices of every site.
func (d *Desk) LayRules(ctx context.Context, now time.Time) error {
	for _, site := range d.Sites() {
		if err := d.layRules(ctx, site, now); err != nil {
			return err
		}
	}
	return nil
}

// layRules puts the recurring notices of a site. One that stands and is still
// to come moves to where the site's file has it now; one that is due stays,
// and its next one goes by the file.
func (d *Desk) layRules(ctx context.Context, site *jobs.Site, now time.Time) error {
	rules := []jobs.Notice{retentionNotice(site, now)}
	if next, ok := site.Digests.Next(now, site.Zone); ok {
		rules = append(rules, digestNotice(site, next, now))
	}
	change := jobs.Change{Op: fmt.Sprintf("rules:%s:%.8s:%d", site.ID, site.Hash, now.UnixNano()), At: jobs.NowAt(now)}
	for _, n := range rules {
		switch standing, err := d.store.Notice(ctx, n.ID); {
		case errors.Is(err, jobs.ErrNotFound):
			change.Keep = append(change.Keep, n)
		case err != nil:
			return err
		case standing.Due > jobs.NowAt(now) && standing.Due != n.Due:
			change.Move = append(change.Move, jobs.Move{ID: n.ID, Due: n.Due})
		}
	}
	laid, err := d.store.Bound(ctx, laidRef(site.ID))
	if err != nil {
		return err
	}
	if laid[0] != site.Hash {
		change.Put = append(change.Put, calendarNotice(site, 0, change.At))
	}
	if len(change.Keep)+len(change.Move)+len(change.Put) == 0 {
		return nil
	}
	_, err = d.store.Commit(ctx, change)
	return err
}

func digestNotice(site *jobs.Site, at, since time.Time) jobs.Notice {
	return jobs.Notice{ID: "digest:" + site.ID, Kind: "digest", Due: jobs.DueAt(at),
		Args: map[string]string{"site": site.ID, "since": since.UTC().Format(time.RFC3339)}}
}

// digest draws the foreman's morning board: what changed since the last one,
// and the stages. Times that were missed are caught up by this one, which
// says so.
func (d *Desk) digest(ctx context.Context, n jobs.Notice) (Post, []jobs.Notice, error) {
	now, site := d.clock(), d.siteByID(n.Args["site"])
	if site == nil || site.Archived(now) {
		return Post{}, nil, nil
	}
	since, err := time.Parse(time.RFC3339, n.Args["since"])
	if err != nil {
		since = now
	}
	if now.Sub(n.Due.Time()) > time.Hour && !site.Open(now) {
		// Missed, and nobody is at work to read it: it folds into the next.
		return Post{}, d.recurring(n), nil
	}
	lines, err := d.stages(ctx, site, 1, now)
	if err != nil {
		return Post{}, nil, err
	}
	changed, _, err := d.store.Doors(ctx, site.ID+"/changed", 0, pageSize+1)
	if err != nil {
		return Post{}, nil, err
	}
	for i, rec := range changed {
		j, err := d.open(ctx, rec)
		if err != nil {
			return Post{}, nil, err
		}
		if i == pageSize && !j.door.Updated.Before(since) {
			lines = append(lines, "and others changed: board shows all")
		} else if !j.door.Updated.Before(since) {
			happened, err := d.happened(ctx, j, since)
			if err != nil {
				return Post{}, nil, err
			}
			lines = append(lines, strings.TrimSuffix("changed: "+j.door.Spec.ID+", "+string(j.door.Stage)+": "+happened, ": "))
		}
	}
	if missed := site.Digests.Missed(n.Due.Time(), now, site.Zone); missed > 0 {
		lines = append(lines, fmt.Sprintf("the bot was away: this stands for %d more", missed))
	}
	post := Post{Channel: site.Channels[0], Kind: KindBoard, Text: strings.Join(lines, "\n")}
	next, ok := site.Digests.Next(now, site.Zone)
	if !ok {
		return post, nil, nil
	}
	return post, []jobs.Notice{digestNotice(site, next, now)}, nil
}

// lookedBack is how many entries of a door's log the digest looks through: more
// than a day's work, a line that long is read by nobody.
const lookedBack = 100

// happened tells in a few words what was done at a door since a time.
func (d *Desk) happened(ctx context.Context, j *job, since time.Time) (string, error) {
	entries, err := d.store.Log(ctx, j.key, max(0, j.rec.Version-lookedBack), lookedBack)
	if err != nil {
		return "", err
	}
	var events []jobs.Event
	for _, entry := range entries {
		if entry.At.Time().Before(since) {
			continue
		}
		more, err := readEvents(entry.Data)
		if err != nil {
			return "", nil // a later version's: the board is told without it
		}
		events = append(events, more...)
	}
	return summary(standing(events)), nil
}

// standing leaves out what was undone among events, and its undoing.
func standing(events []jobs.Event) []jobs.Event {
	undone, there := map[string]bool{}, map[string]bool{}
	for i := range events {
		there[events[i].Op] = true
		if events[i].Kind == jobs.Undone {
			undone[events[i].Text] = true
		}
	}
	return slices.DeleteFunc(events, func(e jobs.Event) bool {
		return undone[e.Op] || e.Kind == jobs.Undone && there[e.Text]
	})
}

// summary tells events in a few words: the last of each thing that stands out,
// ticks and readings by their number.
func summary(events []jobs.Event) string {
	ticked, readings := map[string]bool{}, 0
	var about, what []string
	note := func(subject, text string) {
		if i := slices.Index(about, subject); i >= 0 {
			about, what = slices.Delete(about, i, i+1), slices.Delete(what, i, i+1)
		}
		if text != "" {
			about, what = append(about, subject), append(what, text)
		}
	}
	for i := range events {
		switch e := &events[i]; e.Kind {
		case jobs.Opened, jobs.Corrected:
			note(string(e.Kind), string(e.Kind))
		case jobs.Ticked, jobs.Pictured, jobs.NotForThis:
			ticked[e.Item] = true
			note(e.Item, "")
		case jobs.Unticked:
			if !ticked[e.Item] {
				note(e.Item, e.Item+" open again")
			}
			delete(ticked, e.Item)
		case jobs.Overridden:
			note(e.Item, e.Item+" overridden")
		case jobs.WarmthRead:
			readings++
		case jobs.Read:
			readings++
			if e.Judgement == jobs.Out {
				note(e.Item, e.Item+" out")
			} else {
				note(e.Item, "")
			}
		case jobs.SnagOpened, jobs.SnagClosed:
			note(e.Item, "snag "+e.Item+" "+strings.TrimPrefix(string(e.Kind), "snag-"))
		case jobs.Mixed:
			note("plate "+e.Item, "adhesive mixed for the "+e.Item)
		case jobs.Bonded, jobs.Knocked:
			note("plate "+e.Item, e.Item+" plate "+string(e.Kind))
		case jobs.Voided:
			note("cure "+e.Item, e.Item+" too cold to cure")
		case jobs.WordGiven:
			note("cure "+e.Item, "the maker's word for the "+e.Item)
		case jobs.VisitSet, jobs.VisitMoved, jobs.VisitCalled, jobs.VisitDone:
			note(e.Item, "visit "+e.Item+" "+strings.TrimPrefix(string(e.Kind), "visit-"))
		case jobs.Snoozed:
			note("reminders", "a reminder put off")
		case jobs.HandedOver:
			note("handover", "handed over")
		case jobs.Undone:
			note("undo", "something undone")
		}
	}
	if len(ticked) > 0 {
		what = append(what, strconv.Itoa(len(ticked))+" ticked")
	}
	if readings > 0 {
		what = append(what, count(readings, "reading"))
	}
	return strings.Join(what, ", ")
}
