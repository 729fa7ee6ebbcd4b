package jobs

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/calc"
)

// Open opens a door's job.
type Open struct{ Spec Spec }

func (*Open) action() Action { return OpenDoor }

func (o *Open) decide(t *turn) error {
	if t.door.Version != 0 {
		return wrong("door", "%s is open already, since its log has %d entries", t.door.Spec.ID, t.door.Version)
	}
	s := o.Spec
	s.Site, s.SheetHash = t.Site.ID, t.Sheet.Hash
	if s.Heated && s.CoverTo == "" {
		s.CoverTo = "pipe"
	}
	if err := s.check(t.Site); err != nil {
		return err
	}
	numbers, err := t.compute(&s)
	if broken := limits(&s, t.Sheet); len(broken) > 0 {
		err = errors.Join(err, &LimitError{broken})
	}
	if err != nil {
		return err
	}
	if s.Evidence != "" {
		if err := t.may(Evidence); err != nil {
			return err
		}
	}
	t.emit(Event{Kind: Opened, Spec: &s, Numbers: numbers})
	t.evidence()
	return nil
}

// compute checks a spec against its sheet and returns its numbers.
func (t *turn) compute(s *Spec) ([]Number, error) {
	if s.Sheet != t.Sheet.Name {
		return nil, wrong("sheet", "the sheet is %s, not %s", t.Sheet.Name, cut(s.Sheet, 40))
	}
	if allowed := t.Site.Sheets; len(allowed) > 0 && !slices.Contains(allowed, s.Sheet) {
		return nil, wrong("sheet", "%s uses the sheets %s only", t.Site.ID, strings.Join(allowed, ", "))
	}
	if _, ok := t.Sheet.Holes[s.Floor]; !ok {
		return nil, wrong("floor", "sheet %s has no hole for a floor of %s", s.Sheet, cut(s.Floor, 40))
	}
	if _, err := calc.ImpliedDensity(s.Mass, s.Width, s.Height, s.Thickness); err != nil {
		if dense, ok := errors.AsType[*calc.RangeError](err); ok && dense.Name == "density" {
			return nil, about("mass", &DensityError{s.Mass, s.Width, s.Height, s.Thickness, dense})
		}
		return nil, err
	}
	return SetOut(s, t.Sheet)
}

// DensityError is a mass that no leaf of that size has: one of the two is a
// slip, and is asked for again.
type DensityError struct {
	Mass                     calc.Mass
	Width, Height, Thickness calc.Length
	*calc.RangeError         // of the density
}

func (e *DensityError) Error() string {
	return fmt.Sprintf("%v for a leaf of %v × %v × %v is %v, but it must be %v %v", e.Mass, e.Width.Short(), e.Height.Short(), e.Thickness.Short(), e.Value, e.Bound, e.Limit)
}

// evidence settles the item of a tested door whose gaps wait for nothing, and
// opens it again otherwise.
func (t *turn) evidence() {
	s, state := &t.door.Spec, t.door.Items["evidence"]
	awaits := s.Awaits()
	switch {
	case awaits != "" && state.Settled():
		t.emit(Event{Kind: Unticked, Item: "evidence", Text: awaits})
	case awaits == "" && s.Tested() && (!state.Settled() || state.Text != s.Evidence):
		t.emit(Event{Kind: Ticked, Item: "evidence", Text: s.Evidence})
	}
}

// Correction replaces what was surveyed or agreed: a dimension, the sheet, the
// evidence's gaps, crew or foreman. The whole corrected spec is handed in.
type Correction struct {
	Spec Spec
	Why  string
}

func (*Correction) action() Action { return See } // what it takes depends on what differs

// correctedBy says what it takes to correct a fact, if not [Correct].
var correctedBy = map[string]Action{
	"crew": Assign, "foreman": Assign,
	"heel gap by evidence": Evidence, "leading gap by evidence": Evidence, "evidence": Evidence,
}

func (c *Correction) decide(t *turn) error {
	if err := t.open(); err != nil {
		return err
	}
	s, old := c.Spec, &t.door.Spec
	s.Site, s.SheetHash = old.Site, t.Sheet.Hash
	struck := s.struck(old)
	if len(struck) == 0 {
		return errors.New("that is what stands there already")
	}
	for _, f := range struck {
		if f.Name == "door" {
			return errors.New("a door keeps its id: open another")
		}
		need := Correct
		if a, ok := correctedBy[f.Name]; ok {
			need = a
		}
		if err := t.may(need); err != nil {
			return err
		}
	}
	if old.Tested() && !s.Tested() { // else the crew could leave the evidence out
		if err := t.may(Evidence); err != nil {
			return err
		}
	}
	if err := errors.Join(s.check(t.Site), checkText(c.Why)); err != nil {
		return err
	}
	numbers, err := t.compute(&s)
	if err != nil {
		return err
	}
	t.correct(&s, numbers, struck, c.Why)
	return nil
}

// correct records a corrected spec. Numbers already put into material keep
// their values; where they should have changed, or the leaf breaks its
// sheet's limits now, a snag is opened and everybody told.
func (t *turn) correct(s *Spec, numbers []Number, struck []Struck, why string) {
	var kept []string
	for i, n := range t.door.Numbers {
		now, ok := find(numbers, n.Name)
		if n.Fixed == "" {
			if !ok {
				struck = append(struck, Struck{n.Name, n.Value.String(), ""})
			} else if now.Value != n.Value {
				struck = append(struck, Struck{n.Name, n.Value.String(), now.Value.String()})
			}
			continue
		}
		ought := ""
		if !ok {
			ought = "left out"
		} else if now.Value != n.Value {
			ought = now.Value.String()
		}
		if ought != "" && ought != n.Ought {
			kept = append(kept, fmt.Sprintf("%s is %s at %v, by the corrected door it would be %s", strings.ReplaceAll(n.Name, "_", " "), n.Fixed, n.Value, ought))
		}
		n.Ought = ought
		numbers = slices.DeleteFunc(numbers, func(x Number) bool { return x.Name == n.Name })
		numbers = slices.Insert(numbers, min(i, len(numbers)), n)
	}
	for _, n := range numbers {
		if _, ok := t.door.Number(n.Name); !ok {
			struck = append(struck, Struck{n.Name, "", n.Value.String()})
		}
	}
	before, text := t.items(), sayStruck(struck)
	t.emit(Event{Kind: Corrected, Spec: s, Numbers: numbers, Struck: struck, Text: why})
	t.evidence()
	if again := t.reopen(before); len(again) > 0 {
		text += "; to be checked again: " + strings.Join(again, ", ")
	}
	t.tellAll("corrected", text)
	if len(kept) > 0 {
		t.snag(strings.Join(kept, "; "), s.Foreman)
	}
	if broken := limits(s, t.Sheet); len(broken) > 0 {
		t.snag((&LimitError{broken}).Error(), s.Foreman)
		if t.door.Items["limits"].Settled() {
			t.emit(Event{Kind: Unticked, Item: "limits", Text: "the leaf breaks the sheet's limits"})
		}
	}
}

// reopen opens the items again that a correction leaves wrong, and names
// them: ticks on other figures, and readings that are out by now.
func (t *turn) reopen(before []Item) (ids []string) {
	for _, it := range t.items() {
		r, was := rule(it.ID), ptr(before, func(b Item) bool { return b.ID == it.ID })
		if was == nil || r.until == "" || !it.State.Settled() || t.door.Items[r.until].Settled() {
			continue
		}
		wrong := slices.ContainsFunc(r.needs, func(id string) bool { return slices.Contains(ids, id) })
		switch it.State.State {
		case Read:
			wrong = wrong || t.outdated(it)
		case Ticked, Overridden:
			wrong = wrong || it.Text != was.Text || it.Limits.String() != was.Limits.String()
		}
		if wrong {
			t.emit(Event{Kind: Unticked, Item: it.ID, Text: "the door was corrected"})
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// outdated reports whether a reading would be refused by now.
func (t *turn) outdated(it Item) bool {
	v, s := it.State.Value, &t.door.Spec
	if it.ID == "floor-services" && s.HasCover { // the cover may have been corrected
		cover := OfLength(s.Cover)
		v = &cover
	}
	if v == nil { // nothing was found
		return it.ID == "floor-services" && s.Heated
	}
	return it.Judge(*v) == Out
}

// sayStruck puts replaced values into words.
func sayStruck(struck []Struck) string {
	var out []string
	for _, s := range struck {
		if !OnCard(s.Name) {
			continue
		}
		name := strings.ReplaceAll(s.Name, "_", " ")
		switch {
		case s.Name == "sheet file":
			out = append(out, "a newer sheet")
		case s.Old == "":
			out = append(out, fmt.Sprintf("%s %s", name, s.New))
		case s.New == "":
			out = append(out, fmt.Sprintf("%s ~%s~", name, s.Old))
		default:
			out = append(out, fmt.Sprintf("%s ~%s~ %s", name, s.Old, s.New))
		}
	}
	return strings.Join(out, ", ")
}
