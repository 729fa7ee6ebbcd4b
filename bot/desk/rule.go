package desk

import (
	"context"
	"errors"
	"fmt"
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

// layRules puts the recurring notices of a site. One that was laid before and
// is still to come moves to where the site's file has it now: with the digest
// at 7:00 in place of 6:30, tomorrow's. One that is due stays, and its next one
// goes by the file.
func (d *Desk) layRules(ctx context.Context, site *jobs.Site, now time.Time) error {
	rules := append(warmthNotice(site, now), RetentionNotice(site, now))
	if next, ok := site.NextDigest(now); ok {
		rules = append(rules, DigestNotice(site, next, now))
	}
	change := jobs.Change{Op: fmt.Sprintf("rules:%s:%.8s:%d", site.ID, site.Hash, now.UnixNano()), At: jobs.NowAt(now)}
	for _, n := range rules {
		switch laid, err := d.store.Notice(ctx, n.ID); {
		case errors.Is(err, jobs.ErrNotFound):
			change.Keep = append(change.Keep, n)
		case err != nil:
			return err
		case laid.Due > jobs.NowAt(now):
			if due := d.notAgain(site, &laid, n.Due, now); due != laid.Due {
				change.Move = append(change.Move, jobs.Move{ID: n.ID, Due: due})
			}
		}
	}
	hashes, err := d.store.Bound(ctx, laidRef(site.ID))
	if err != nil {
		return err
	}
	if hashes[0] != site.Hash {
		change.Put = append(change.Put, calendarNotice(site, 0, change.At))
	}
	if len(change.Keep)+len(change.Move)+len(change.Put) == 0 {
		return nil
	}
	_, err = d.store.Commit(ctx, change)
	return err
}

// notAgain returns when a rule is due, by a process whose clock may be behind
// that of the one that has said it last: what was said since is not said again.
func (d *Desk) notAgain(site *jobs.Site, laid *jobs.Notice, due jobs.Millis, now time.Time) jobs.Millis {
	since, err := time.Parse(time.RFC3339, laid.Args["since"])
	if err != nil || !since.After(now) {
		return due
	}
	at, ok := site.NextDigest(since)
	if laid.Kind == "warmth" {
		at, _, ok = site.AskWarmth(since)
	}
	if !ok {
		return laid.Due
	}
	return jobs.DueAt(at)
}

// DigestNotice is due in the morning, and draws the board of what changed
// since a time.
func DigestNotice(site *jobs.Site, at, since time.Time) jobs.Notice {
	return jobs.Notice{ID: "digest:" + site.ID, Kind: "digest", Due: jobs.DueAt(at),
		Args: map[string]string{"site": site.ID, "since": since.UTC().Format(time.RFC3339)}}
}

// warmthNotice is due when the site is next asked for the temperatures that its
// curing doors lack.
func warmthNotice(site *jobs.Site, now time.Time) []jobs.Notice {
	at, _, ok := site.AskWarmth(now)
	if !ok {
		return nil
	}
	return []jobs.Notice{{ID: "warmth:" + site.ID, Kind: "warmth", Due: jobs.DueAt(at), Args: map[string]string{"site": site.ID, "since": now.UTC().Format(time.RFC3339)}}}
}

// Purge deletes the doors of a site and tells how many there were.
func (d *Desk) Purge(ctx context.Context, site *jobs.Site) (purged int, err error) {
	for sets := []string{"all", CalledOff}; len(sets) > 0; {
		list, _, err := d.store.Doors(ctx, site.ID+"/"+sets[0], 0, PageSize)
		if err != nil {
			return purged, err
		}
		if len(list) == 0 {
			sets = sets[1:]
		}
		for _, rec := range list {
			if err := d.store.Purge(ctx, rec.Key); err != nil {
				return purged, err
			}
			purged++
		}
	}
	return purged, nil
}

// RetentionNotice is due each night: it deletes the doors of a closed site
// when the office's period is over, and nothing else ever deletes one.
func RetentionNotice(site *jobs.Site, now time.Time) jobs.Notice {
	night := jobs.DateOf(now.In(site.Zone)).Add(1).At(3*60, site.Zone)
	return jobs.Notice{ID: "retention:" + site.ID, Kind: "retention", Due: jobs.DueAt(night), Args: map[string]string{"site": site.ID}}
}
