package desk

import (
	"slices"
	"strings"
	"time"

	"heelpost/jobs"
)

// CalledOff is the set of a site's doors that were called off. They are in no
// other.
const CalledOff = "off"

// indices lists the sets that a door stands in.
func indices(site *jobs.Site, d *jobs.Door) []jobs.Index {
	s := &d.Spec
	name := func(parts ...string) string { return site.ID + "/" + strings.Join(parts, "/") }
	if !d.Off.IsZero() {
		return []jobs.Index{{Name: name(CalledOff)}}
	}
	stage := jobs.Index{Name: name("stage", string(d.Stage))}
	if d.Stage == jobs.Done && jobs.Unsettled(d) {
		stage.Score = -1
	}
	all := []jobs.Index{
		stage, {Name: name("all")}, {Name: name("group", jobs.IDGroup(s.ID))}, {Name: name("floor", s.Floor)},
		{Name: name("changed"), Score: -float64(d.Updated.UnixMilli())},
	}
	crews, people := map[string]bool{}, append([]string{s.Foreman}, s.Crew...)
	for _, id := range people {
		all = append(all, jobs.Index{Name: name("person", id)})
		if p, ok := site.Person(id); ok && p.Crew != "" && !crews[p.Crew] {
			crews[p.Crew] = true
			all = append(all, jobs.Index{Name: name("crew", p.Crew)})
		}
	}
	if n := len(d.OpenSnags()); n > 0 {
		all = append(all, jobs.Index{Name: name("snags"), Score: -float64(n)})
	}
	if due, ok := d.Awaited(); ok {
		all = append(all, jobs.Index{Name: name("leaves"), Score: float64(due.UnixMilli())})
	}
	if planned := d.Planned(); len(planned) > 0 {
		all = append(all, timed(name, "visits", planned[0].At, people)...)
		all = append(all, elsewhere(name, "visits", planned, people)...)
	}
	if due := dueFirst(d); !due.IsZero() {
		all = append(all, jobs.Index{Name: name("due"), Score: float64(due.UnixMilli())})
	}
	if c := d.Cure(d.Updated); d.Curing() && d.Handover.IsZero() {
		end := c.End
		if end.IsZero() {
			end = d.Updated
		}
		all = append(all, timed(name, "curing", end, people)...)
	}
	return all
}

// timed lists the site's set of that name, in the order of a time, and those
// of the people.
func timed(name func(...string) string, what string, at time.Time, people []string) []jobs.Index {
	all := []jobs.Index{{Name: name(what), Score: float64(at.UnixMilli())}}
	for _, id := range people {
		all = append(all, jobs.Index{Name: name("person", id, what), Score: float64(at.UnixMilli())})
	}
	return all
}

// elsewhere lists the sets of those who come to a door's visits and are none of
// its people, each in the order of their first one.
func elsewhere(name func(...string) string, what string, planned []jobs.Visit, people []string) (all []jobs.Index) {
	for _, v := range planned {
		for _, id := range v.Who {
			if !slices.Contains(people, id) {
				people = append(people, id)
				all = append(all, jobs.Index{Name: name("person", id, what), Score: float64(v.At.UnixMilli())})
			}
		}
	}
	return all
}

// dueFirst returns the first day by which a snag of a door is to be put right,
// zero if there is none.
func dueFirst(d *jobs.Door) (first time.Time) {
	for _, s := range d.OpenSnags() {
		if !s.Due.IsZero() && (first.IsZero() || s.Due.Before(first)) {
			first = s.Due
		}
	}
	return first
}

// concerned returns everybody whose home shows a door in one of its states: its
// people, and those who come to its visits.
func concerned(states ...*jobs.Door) (people []string) {
	for _, d := range states {
		all := append([]string{d.Spec.Foreman}, d.Spec.Crew...)
		for _, v := range d.Planned() {
			all = append(all, v.Who...)
		}
		for _, id := range all {
			if id != "" && !slices.Contains(people, id) {
				people = append(people, id)
			}
		}
	}
	return people
}
