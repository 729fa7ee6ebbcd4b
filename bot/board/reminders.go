package board

import (
	"cmp"
	"context"
	"slices"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Reminders returns what somebody of a site was reminded of and has not
// answered: of each subject the latest.
func Reminders(ctx context.Context, d *desk.Desk, site *jobs.Site, who string, now time.Time) (all []tell.Waiting, err error) {
	for j, err := range d.Counted(ctx, site, "all") {
		if err != nil {
			return nil, err
		}
		for id, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
			n := jobs.Notice{ID: j.Key + ":" + id, Kind: r.Kind, Door: j.Key, Due: jobs.DueAt(r.Due), Args: r.Args}
			if slices.Contains(site.Told(&j.Door.Spec, r.Args["to"], now), who) && tell.Stands(j, n, now) {
				all = append(all, tell.Waiting{Job: j, Notice: n})
			}
		}
	}
	slices.SortFunc(all, func(a, b tell.Waiting) int {
		return cmp.Or(jobs.CompareIDs(a.Job.Door.Spec.ID, b.Job.Door.Spec.ID), cmp.Compare(a.Notice.ID, b.Notice.ID))
	})
	return all, nil
}
