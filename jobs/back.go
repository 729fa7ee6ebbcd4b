package jobs

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/calc"
)

// TakeBack takes a handover back, with a reason: the door is in work again.
type TakeBack struct{ Why string }

// CallOff ends the job of a door that was opened by mistake, with a reason. Its
// log is kept, and its id can be opened anew.
type CallOff struct{ Why string }

// Recall takes it back that a door was called off, with a reason.
type Recall struct{ Why string }

// Rename gives a door another id, with a reason. It is found by the old one,
// too.
type Rename struct{ ID, Why string }

func (*TakeBack) action() Action { return GoBack }
func (*CallOff) action() Action  { return GoBack }
func (*Rename) action() Action   { return GoBack }
func (*Recall) action() Action   { return GoBack }

func (c *TakeBack) decide(t *turn) error {
	if t.door.Handover.IsZero() {
		return calc.F("%s is not handed over", t.door.Spec.ID)
	}
	if err := given(c.Why, calc.F("taking a handover back takes a reason")); err != nil {
		return err
	}
	t.emit(Event{Kind: HandoverTaken, Text: c.Why})
	t.tellAll(takenBack, calc.F("%s is in work again: %s", t.door.Spec.ID, c.Why))
	return nil
}

func (c *CallOff) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("calling a door off takes a reason"))); err != nil {
		return err
	}
	if t.door.Items["stood"].Settled() && !t.door.Items["engaged"].Settled() {
		return calc.F("the leaf is stood up and the head pivot is not engaged: nobody lets go of it yet")
	}
	t.emit(Event{Kind: CalledOff, Text: c.Why, Names: []string{t.Who}})
	s := &t.door.Spec
	t.tellAll(calledOff, calc.F("%s is called off, no work is done at it: %s", s.ID, c.Why))
	if t.door.Coming() {
		t.tellForeman(calledOff, calc.F(strayLeaf, s.Tell(s.Width), s.Tell(s.Height), s.Tell(s.Thickness)))
	}
	return nil
}

// Past reports whether word was of the door that had this id before it was called
// off and opened anew: the crew of now is none of its people.
func (d *Door) Past(reminder string) bool {
	var version int64
	_, err := fmt.Sscanf(reminder, "tell:%d:", &version)
	return err == nil && version <= d.Anew
}

// GoesBy reports whether a door has or had an id. What was called off under
// another id than the one that was opened anew was another door.
func (d *Door) GoesBy(id string) bool {
	return d.Anew == 0 || strings.EqualFold(d.Spec.ID, id) || slices.ContainsFunc(d.Names, func(was string) bool { return strings.EqualFold(was, id) })
}

func (c *Recall) decide(t *turn) error {
	if t.door.Off.IsZero() {
		return calc.F("%s is not called off", t.door.Spec.ID)
	}
	if err := given(c.Why, calc.F("taking it back that a door was called off takes a reason")); err != nil {
		return err
	}
	t.emit(Event{Kind: Recalled, Text: c.Why})
	t.tellAll(openAgainNow, calc.F("%s is in work again: %s", t.door.Spec.ID, c.Why))
	return nil
}

func (c *Rename) decide(t *turn) error {
	old := t.door.Spec.ID
	if err := errors.Join(CheckID(c.ID), given(c.Why, calc.F("renaming a door takes a reason"))); err != nil {
		return err
	}
	if strings.EqualFold(c.ID, old) {
		return calc.F("that is its name already")
	}
	t.emit(Event{Kind: Renamed, Item: c.ID, Text: c.Why, Names: []string{old}})
	t.tellAll(renamed, calc.F("%s is %s from now on: %s", old, c.ID, c.Why))
	return nil
}

// partedFrom tells those whom a correction takes off the door: what is told to all
// goes to those of now.
func (t *turn) partedFrom(old *Spec) {
	s := &t.door.Spec
	gone := without(append(slices.Clone(old.Crew), old.Foreman), append(slices.Clone(s.Crew), s.Foreman))
	gone = slices.DeleteFunc(gone, func(id string) bool { return t.Site.present(id) == "" }) // whoever has left the site has nobody who stands in
	t.tellThem(corrected, gone, calc.F("it is not yours any more: crew @%s, foreman @%s", strings.Join(s.Crew, " @"), s.Foreman))
}
