package desk

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// laidRef is the name that the store binds to the hash of the site file by
// which the reminders of the site's doors were laid.
func laidRef(site string) string { return "laid:" + site }

// calendarNotice lays the reminders of a site's doors anew, a page after the
// other.
func calendarNotice(site *jobs.Site, from int, at jobs.Millis) jobs.Notice {
	return jobs.Notice{ID: "calendar:" + site.ID, Kind: "calendar", Due: at,
		Args: map[string]string{"site": site.ID, "hash": site.Hash, "from": strconv.Itoa(from)}}
}

// Calendar lays the reminders of a page of doors by the site's file, and
// names the next page. If the file has changed since the first page, it begins
// again.
func (d *Desk) Calendar(ctx context.Context, n jobs.Notice) ([]jobs.Notice, error) {
	site, now := d.SiteByID(n.Args["site"]), d.Clock()
	if site == nil {
		return nil, nil
	}
	from, err := strconv.Atoi(n.Args["from"])
	if err != nil || n.Args["hash"] != site.Hash {
		from = 0
	}
	list, total, err := d.store.Doors(ctx, site.ID+"/all", from, PageSize)
	if err != nil {
		return nil, err
	}
	var errs []error
	for _, rec := range list {
		if err := d.lay(ctx, rec, now); !errors.Is(err, jobs.ErrNotFound) { // purged since
			errs = append(errs, err)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	if from += PageSize; from < total {
		return []jobs.Notice{calendarNotice(site, from, jobs.NowAt(now))}, nil
	}
	return nil, d.store.Bind(ctx, map[string]string{laidRef(site.ID): site.Hash})
}

// lay lays a door's reminders anew and puts it on the boards of the crews that
// its people are of by now; again if the door was changed meanwhile.
func (d *Desk) lay(ctx context.Context, rec jobs.Record, now time.Time) error {
	for {
		j, err := d.open(ctx, rec)
		if err != nil {
			return err
		}
		change, err := d.laid(ctx, j, now)
		if err != nil {
			return err
		}
		if len(change.Put)+len(change.Cancel) > 0 {
			if _, err := d.store.Commit(ctx, change); err != nil {
				return err
			}
		}
		err = d.store.Index(ctx, rec.Key, rec.Version, indices(j.Site, &j.Door))
		if !errors.Is(err, jobs.ErrConflict) {
			return err
		}
		if rec, err = d.store.Door(ctx, rec.Key); err != nil {
			return err
		}
	}
}

// laid returns what makes of the reminders that there are those that the door's
// state asks for by now. One that is being sent or tried again is left alone, and
// one that is over is not said again.
func (d *Desk) laid(ctx context.Context, j *jobs.Job, now time.Time) (jobs.Change, error) {
	change := jobs.Change{Op: fmt.Sprintf("calendar:%s:%d:%d", j.Key, j.Rec.Version, now.UnixNano()), At: jobs.NowAt(now)}
	there, err := d.store.Notices(ctx, j.Key, 0, maxNotices)
	if err != nil {
		return change, err
	}
	pending := jobs.Pending(&j.Door, j.Sheet, j.Site)
	for _, n := range there {
		id := strings.TrimPrefix(n.ID, j.Key+":")
		r, wanted := pending[id]
		delete(pending, id)
		switch {
		case !jobs.Pends(n.Kind) || n.Claims > 0 || wanted && n.Due == laidAt(j.Site, &r) && maps.Equal(n.Args, r.Args):
		case wanted:
			change.Put = append(change.Put, notice(j, &r, now))
		default:
			change.Cancel = append(change.Cancel, n.ID)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(pending)) {
		if r := pending[id]; r.Due.After(now) {
			change.Put = append(change.Put, notice(j, &r, now))
		}
	}
	return change, nil
}

// maxNotices is more notices than any door has.
const maxNotices = 500

// GatherFor is how long before work begins the reminders of the morning are
// gathered, so that each person gets one message of them when it does: our own.
const GatherFor = 30 * time.Second

// laidAt returns when a reminder's notice is due: the morning's a little
// before their time, to be gathered.
func laidAt(site *jobs.Site, r *jobs.Reminder) jobs.Millis {
	if !r.Urgent && site.Begins(r.Due) {
		return jobs.DueAt(r.Due.Add(-GatherFor))
	}
	return jobs.DueAt(r.Due)
}

// notice returns a reminder as it is kept: one that is due already, from now
// on, or from when work begins.
func notice(j *jobs.Job, r *jobs.Reminder, now time.Time) jobs.Notice {
	soon, due := *r, jobs.NowAt(now)
	if !r.Due.After(now) {
		soon.Due = j.Site.Quiet(now, r.Urgent)
	}
	if soon.Due.After(now) {
		due = laidAt(j.Site, &soon)
	}
	args := r.Args
	if !r.Text.IsZero() {
		args = maps.Clone(args)
		tell.Keep(args, "text", say.Of(r.Text))
	}
	return jobs.Notice{ID: j.Key + ":" + r.ID, Kind: r.Kind, Args: args, Due: due, Door: j.Key, Thread: j.Key}
}
