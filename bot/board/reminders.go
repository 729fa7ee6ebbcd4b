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
	seen := map[string]bool{}
	for _, set := range reminded(site, who, now) {
		for j, err := range d.Each(ctx, site, set) {
			if err != nil {
				return nil, err
			}
			if seen[j.Key] {
				continue
			}
			seen[j.Key] = true
			for id, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
				n := jobs.Notice{ID: j.Key + ":" + id, Kind: r.Kind, Door: j.Key, Due: jobs.DueAt(r.Due), Args: r.Args}
				if slices.Contains(site.Told(&j.Door.Spec, r.Args["to"], now), who) && tell.Stands(j, n, now) {
					all = append(all, tell.Waiting{Job: j, Notice: n})
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b tell.Waiting) int { return cmp.Compare(a.Notice.ID, b.Notice.ID) })
	return all, nil
}

// reminded returns the sets of doors of which somebody may be reminded: theirs
// and those of whom they stand in for; whoever leads stands in for those who
// have left, too.
func reminded(site *jobs.Site, who string, now time.Time) []string {
	if site.Leads(who) {
		return []string{"all"}
	}
	sets := []string{"person/" + who}
	for _, p := range site.People {
		if p.ID != who && site.Acting(p.ID, now) == who {
			sets = append(sets, "person/"+p.ID)
		}
	}
	return sets
}
