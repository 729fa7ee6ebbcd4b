package board

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/say"
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
		return cmp.Or(a.At.Compare(b.At), jobs.CompareIDs(a.Door, b.Door))
	})
	return all[:min(most, len(all))], nil
}

// By what an agenda can be parted.
const (
	ByCrew   = "crew"
	ByPerson = "person"
)

// Parted puts an agenda under the crews or people that it concerns, each line
// under all of them. The foreman is among those of a door that nobody else works
// at.
func Parted(all []tell.AgendaLine, site *jobs.Site, by string) (out []tell.AgendaLine) {
	parts := map[string][]tell.AgendaLine{}
	for _, l := range all {
		for _, name := range concerned(l.Who, site, by) {
			part := l
			part.Text = say.F("  %s", l.Text)
			parts[name] = append(parts[name], part)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		title := say.F("@%s: %s", name, len(parts[name]))
		switch {
		case by == ByCrew && name == "":
			title = say.F("in no crew: %s", len(parts[name]))
		case by == ByCrew:
			title = say.F("crew %s: %s", name, len(parts[name]))
		}
		out = append(append(out, tell.AgendaLine{Text: title}), parts[name]...)
	}
	return out
}

// concerned returns the crews or people whom something concerns.
func concerned(who []string, site *jobs.Site, by string) (names []string) {
	for _, id := range who {
		p, _ := site.Person(id)
		if p.Role != jobs.Crew && slices.ContainsFunc(who, func(id string) bool { return site.Role(id) == jobs.Crew }) {
			continue
		}
		name := id
		if by == ByCrew {
			name = p.Crew
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}
