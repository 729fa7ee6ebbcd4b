package tell

import (
	"time"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// leafDay tells of a day of the leaf.
func leafDay(what string, day time.Time, site *jobs.Site) say.Text {
	at := shortDay(day, site)
	switch what {
	case jobs.LeafOrdered:
		return say.F("leaf ordered %s", at)
	case jobs.LeafDue:
		return say.F("leaf to come %s", at)
	}
	return say.F("leaf delivered %s", at)
}

// leafSize tells what leaf a door takes.
func leafSize(j *jobs.Job) say.Text {
	s := &j.Door.Spec
	return say.F("%s x %s x %s", s.Tell(s.Width), s.Tell(s.Height), s.Tell(s.Thickness))
}

// LateLeaf warns of a visit that comes before the leaf.
func LateLeaf(j *jobs.Job) say.Text {
	due, ok := j.Door.Awaited()
	if !ok {
		return say.Text{}
	}
	for _, v := range j.Door.Planned() {
		if v.At.Before(due) {
			return say.F("warning: the leaf comes %s, after visit %s on %s", shortDay(due, j.Site), v.ID, short(v.At, j.Site))
		}
	}
	return say.Text{}
}

// Leaf is how far the leaf of a door is.
type Leaf int

// The leaves of doors, from to be ordered on.
const (
	ToOrder Leaf = iota
	OnOrder
	Delivered
)

// LeafOf returns how far a door's leaf is, and a line on it.
func LeafOf(j *jobs.Job) (is Leaf, line say.Text) {
	l, parts := &j.Door.Leaf, []say.Text{leafSize(j)}
	ordered := j.Door.Items["ordered"]
	switch {
	case !l.Delivered.IsZero():
		is, parts = Delivered, append(parts, leafDay(jobs.LeafDelivered, l.Delivered, j.Site))
	case !l.Ordered.IsZero() || !l.Due.IsZero() || ordered.Settled():
		is = OnOrder
		if day := l.Ordered; !day.IsZero() || ordered.Settled() {
			if day.IsZero() {
				day = ordered.At
			}
			parts = append(parts, leafDay(jobs.LeafOrdered, day, j.Site))
		}
		if !l.Due.IsZero() {
			parts = append(parts, leafDay(jobs.LeafDue, l.Due, j.Site))
		}
	}
	if !j.Door.Off.IsZero() {
		parts = append(parts, say.F("the door is called off"))
	}
	return is, say.F("%s: %s", j.Door.Spec.ID, say.Join(" · ", append(parts, LateLeaf(j))...))
}
