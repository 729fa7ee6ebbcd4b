package board

import (
	"cmp"
	"context"
	"slices"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Digest draws the foreman's morning board: what changed since the last one,
// and the stages. Times that were missed are caught up by this one, which
// says so.
func Digest(ctx context.Context, d *desk.Desk, n jobs.Notice) (bot.Post, []jobs.Notice, error) {
	now, site := d.Clock(), d.SiteByID(n.Args["site"])
	if site == nil || site.Archived(now) {
		return bot.Post{}, nil, nil
	}
	since, err := time.Parse(time.RFC3339, n.Args["since"])
	if err != nil {
		since = now
	}
	if now.Sub(n.Due.Time()) > time.Hour && !site.Open(now) || !site.ClosedOn(jobs.DateOf(now.In(site.Zone))).IsZero() {
		// Nobody is at work to read it: it folds into the next.
		return bot.Post{}, d.Recurring(n), nil
	}
	v, err := Whole(ctx, d, site, PhoneLines-digestChanges, now)
	if err != nil {
		return bot.Post{}, nil, err
	}
	lines, err := Changes(ctx, d, site, since)
	if err != nil {
		return bot.Post{}, nil, err
	}
	if len(lines) > digestChanges {
		v.Lines = append(v.Lines, lines[:digestChanges-1]...)
		v.Lines = append(v.Lines, say.F("and %s more changed: changes", len(lines)-digestChanges+1))
		v.Buttons = append(v.Buttons, bot.Button{Label: d.Language.Say(say.F("Changes")), Say: "changes"})
	} else {
		v.Lines = append(v.Lines, lines...)
	}
	if missed := site.Digests.Missed(n.Due.Time(), now, site.Zone); missed > 0 {
		v.Lines = append(v.Lines, say.F("the bot was away: this stands for %s more", missed))
	}
	post := bot.Post{Channel: site.Channels[0], Kind: bot.KindBoard, Text: d.Language.Say(say.Lines(v.Lines...)), Buttons: v.Buttons, Picture: v.Picture}
	next, ok := site.NextDigest(now)
	if !ok {
		return post, nil, nil
	}
	return post, []jobs.Notice{desk.DigestNotice(site, next, now)}, nil
}

// digestChanges is how many lines the digest has of what changed.
const digestChanges = 4

// Changes tells of the doors of a site that changed since a time.
func Changes(ctx context.Context, d *desk.Desk, site *jobs.Site, since time.Time) (lines []say.Text, err error) {
	list, err := ChangedSince(ctx, d, site, since, func(*jobs.Job) bool { return true })
	for _, j := range list {
		line, err := ChangeLine(ctx, d, j, since, false)
		if err != nil {
			return nil, err
		}
		if !line.IsZero() {
			lines = append(lines, line)
		}
	}
	return lines, err
}

// ChangedSince returns those doors that are wanted and changed since a time, the
// latest first; those that were called off, too.
func ChangedSince(ctx context.Context, d *desk.Desk, site *jobs.Site, since time.Time, wanted func(*jobs.Job) bool) (list []*jobs.Job, err error) {
	for _, set := range []string{"changed", desk.CalledOff} {
		for j, err := range d.Each(ctx, site, set) {
			if err != nil {
				return nil, err
			}
			late := j.Door.Updated.Before(since)
			if late && set == "changed" {
				break // the latest come first
			}
			if !late && wanted(j) {
				list = append(list, j)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *jobs.Job) int {
		return cmp.Or(b.Door.Updated.Compare(a.Door.Updated), jobs.CompareIDs(a.Door.Spec.ID, b.Door.Spec.ID))
	})
	return list, nil
}

// ChangeLine tells in a line what was done at a door since a time, or only what
// came after its handover; nothing if nothing did.
func ChangeLine(ctx context.Context, d *desk.Desk, j *jobs.Job, since time.Time, after bool) (say.Text, error) {
	var events []jobs.Event
	for entry, err := range d.Log(ctx, j.Key, 0) {
		if err != nil {
			return say.Text{}, err
		}
		if entry.At.Time().Before(since) {
			continue
		}
		more, err := tell.ReadEvents(entry.Data)
		if err != nil {
			return say.Text{}, nil // a later version's: the board is told without it
		}
		events = append(events, more...)
	}
	before, then := tell.AtHandover(&j.Door, tell.Lasting(events))
	done, followed := tell.Summary(before), tell.Summary(then)
	switch {
	case after && followed.IsZero():
		return say.Text{}, nil
	case after:
		done = say.F("after the handover: %s", followed)
	case !followed.IsZero():
		done = say.List(done, say.F("after the handover: %s", followed))
	}
	stage := say.Name(string(j.Door.Stage))
	if !j.Door.Off.IsZero() {
		stage = say.Text{} // what was done says so
	}
	return say.F("changed: %s", say.Join(": ", say.List(say.Plain(j.Door.Spec.ID), stage), done)), nil
}
