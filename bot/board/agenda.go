package board

import (
	"context"
	"slices"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Duties returns what is to do at the doors of sets, at most so many: overdue
// visits first, then all in order of time. A set is in the order of each
// door's first time. So the first ten of its doors have its first ten duties
// among theirs, and no more doors are read than duties are wanted.
func Duties(ctx context.Context, d *desk.Desk, site *jobs.Site, now, end time.Time, most int, sets ...string) ([]tell.Duty, error) {
	var all []tell.Duty
	for _, set := range sets {
		doors := 0
		for j, err := range d.Each(ctx, site, set) {
			if err != nil {
				return nil, err
			}
			some := tell.Duties(j, set, now, end)
			all = append(all, some...)
			if doors++; len(some) == 0 || doors == most {
				break
			}
		}
	}
	slices.SortStableFunc(all, func(a, b tell.Duty) int {
		switch {
		case a.Overdue && !b.Overdue:
			return -1
		case b.Overdue && !a.Overdue:
			return 1
		}
		return a.At.Compare(b.At)
	})
	return all[:min(most, len(all))], nil
}
