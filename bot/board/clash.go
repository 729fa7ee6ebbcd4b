package board

import (
	"context"
	"slices"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Clash notes whose other visits of the site fall into the time of a visit at a door.
// Of one that names nobody it is the crew's, where that is one person.
func Clash(ctx context.Context, d *desk.Desk, j *jobs.Job, visit string) (say.Text, error) {
	v := j.Door.Visit(visit)
	if v == nil {
		return say.Text{}, nil
	}
	people := v.Who
	if crew := j.Door.Spec.Crew; len(people) == 0 && len(crew) == 1 {
		people = crew
	}
	var notes []say.Text
	for _, who := range people {
		var others []say.Text
		for other, err := range d.Each(ctx, j.Site, "person/"+who+"/visits") {
			if err != nil {
				return say.Text{}, err
			}
			for _, o := range other.Door.Planned() {
				theirs := slices.Contains(o.Who, who) || len(o.Who) == 0 && len(other.Door.Spec.Crew) == 1 && other.Door.Spec.Crew[0] == who
				if theirs && !(other.Key == j.Key && o.ID == v.ID) && overlap(v, &o) {
					others = append(others, say.F("%s %s, %s", other.Door.Spec.ID, o.ID, bot.Instant(o.At, j.Site)))
				}
			}
		}
		switch n := len(others); {
		case n == 1:
			notes = append(notes, say.F("note: @%s has another visit then: %s", who, others[0]))
		case n > 1:
			notes = append(notes, say.F("note: @%s has %s other visits then, as %s", who, n, others[0]))
		}
	}
	return say.Lines(notes...), nil
}

// overlap reports whether two visits share some time; one whose length is not said
// takes its first minute.
func overlap(a, b *jobs.Visit) bool {
	end := func(v *jobs.Visit) time.Time { return v.At.Add(time.Duration(max(1, v.Takes)) * time.Minute) }
	return a.At.Before(end(b)) && b.At.Before(end(a))
}
