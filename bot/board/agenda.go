package board

import (
	"context"
	"slices"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Agenda returns what is to do at those doors of sets that are wanted, for one
// person if one is named, at most so many lines:
// overdue visits first, then all in order of time. A set is in the order of
// each door's first time, as A-1 at 8:00 and 14:00, A-2 at 9:00, A-3 at 10:00.
// Whoever wants two lines of it need not read A-3: each door before it has a
// line that comes before all of its own.
func Agenda(ctx context.Context, d *desk.Desk, site *jobs.Site, now, end time.Time, most int, who string, wanted func(*jobs.Job) bool, sets ...string) ([]tell.AgendaLine, error) {
	var all []tell.AgendaLine
	for _, set := range sets {
		doors := 0
		for j, err := range d.Each(ctx, site, set) {
			if err != nil {
				return nil, err
			}
			if !wanted(j) {
				continue
			}
			lines := tell.Agenda(j, set, now, end)
			for _, l := range lines {
				if who == "" || slices.Contains(l.Who, who) {
					all = append(all, l)
				}
			}
			if doors++; len(lines) == 0 || who == "" && doors == most {
				break
			}
		}
	}
	slices.SortStableFunc(all, func(a, b tell.AgendaLine) int {
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
