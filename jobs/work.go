package jobs

import (
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// Work is what somebody can do at a door.
type Work struct {
	Now   []string  // ids of the items that they can settle now, in the checklist's order
	Held  []string  // else: the open holds that the rest waits for
	Cures time.Time // else: when the adhesive is through that the rest waits for
	Over  bool      // nothing is left to do but, it may be, to hand it over
}

// Work returns what somebody can do at the door at now, or what that waits for.
func (j *Job) Work(who string, now time.Time) (w Work) {
	if !j.Door.Off.IsZero() || !j.Door.Handover.IsZero() {
		return Work{Over: true}
	}
	t := j.turn(who, now)
	w.Over = true
	for _, it := range t.items() {
		switch {
		case it.State.Settled():
			continue
		case t.ready(it):
			w.Now = append(w.Now, it.ID)
		case it.Hold:
			w.Held = append(w.Held, it.ID)
		}
		w.Over = false
	}
	if end := j.Door.Cure(now).End; len(w.Now) == 0 && j.Curing() && end.After(now) {
		w.Cures = end
	}
	if len(w.Now) > 0 || !w.Cures.IsZero() {
		w.Held = nil
	}
	return w
}

// Item returns an item of the door's list as it stands, nil if it has none of
// that id.
func (j *Job) Item(id string) *Item {
	return ptr(j.turn("", time.Time{}).items(), func(it Item) bool { return it.ID == id })
}

// Before says what is open before an item at the door, what it needs itself
// first; nil if nothing is.
func (j *Job) Before(id string, now time.Time) error {
	it := j.Item(id)
	if it == nil {
		return nil
	}
	t := j.turn("", now)
	open := t.needs(*it)
	for _, hold := range Holds(t.items(), it.Stage) {
		if !slices.ContainsFunc(open, func(o Item) bool { return o.ID == hold.ID }) {
			open = append(open, hold)
		}
	}
	if len(open) > 0 {
		return &HoldError{Item: calc.F("%s", id), Open: open}
	}
	return t.inOrder(*it)
}

// Awaits returns the items that wait for somebody and not for whoever comes: the
// gaps of the evidence for the foreman, a second look for somebody other than
// who had the first.
func (j *Job) Awaits(who string, now time.Time) (ids []string) {
	if !j.Door.Off.IsZero() || !j.Door.Handover.IsZero() || !slices.Contains(j.People(), who) {
		return nil
	}
	t := j.turn(who, now)
	for _, it := range t.items() {
		if r := rule(it.ID); !it.State.Settled() && (it.ID == "evidence" || r.other != "") && t.ready(it) {
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// turn returns the door as it is decided on, to try something.
func (j *Job) turn(who string, now time.Time) *turn {
	return &turn{Context: Context{Sheet: j.Sheet, Site: j.Site, Now: now, Who: who}, door: j.Door}
}

// ready reports whether whoever it is about can settle an item now.
func (t *turn) ready(it Item) bool {
	action := Check
	if it.ID == "evidence" {
		action = Evidence
	}
	if t.may(action) != nil || t.inOrder(it) != nil || t.twoPeople(it.ID) != nil {
		return false
	}
	where, step, _ := strings.Cut(it.ID, "-")
	switch {
	case isSample(it.ID):
		return t.notSoft(it.ID) == nil && t.cured(where) == nil
	case it.Kind == ByEntry && step == "bonded":
		return t.door.mix(where) != nil && len(t.unprepared(it)) == 0
	case it.Kind == ByEntry && step == "batch":
		return len(t.unprepared(it)) == 0
	}
	return true
}

// unprepared returns the open holds of its stage that stand before an entry, as
// what is looked at before a plate is bonded.
func (t *turn) unprepared(entry Item) (open []Item) {
	for _, it := range t.items() {
		switch {
		case it.ID == entry.ID:
			return open
		case it.Hold && it.Stage == entry.Stage && !it.State.Settled():
			open = append(open, it)
		}
	}
	return open
}
