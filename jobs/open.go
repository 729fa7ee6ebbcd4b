package jobs

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"heelpost/calc"
)

// Open opens a door's job.
type Open struct{ Spec Spec }

func (*Open) action() Action { return OpenDoor }

func (o *Open) decide(t *turn) error {
	if id := t.door.Spec.ID; t.door.Version != 0 && t.door.Off.IsZero() && !strings.EqualFold(id, o.Spec.ID) {
		return wrong("door", "%s was the id of door %s before, which is still found by it: take another", o.Spec.ID, id)
	}
	if t.door.Version != 0 && t.door.Off.IsZero() {
		return wrong("door", "door %s is open already", t.door.Spec.ID)
	}
	s := o.Spec
	s.Site, s.SheetHash = t.Site.ID, t.Sheet.Hash
	s.Say()
	s.Own = t.Site.Items
	if err := s.check(t.Site, &Spec{}); err != nil {
		return err
	}
	numbers, err := t.compute(&s)
	if broken := limits(&s, t.Sheet); len(broken) > 0 {
		err = errors.Join(err, &LimitError{broken})
	}
	if err != nil {
		return err
	}
	if s.Evidence != "" || s.EvidenceHeel != 0 || s.EvidenceLead != 0 {
		if err := t.may(Evidence); err != nil {
			return err
		}
	}
	opened := Event{Kind: Opened, Spec: &s, Numbers: numbers}
	before := t.door
	if !before.Off.IsZero() {
		opened.Text = calc.F(openedAnew, before.OffBy, DateOf(before.Off.In(t.Site.Zone))).String()
	}
	t.emit(opened)
	if !before.Off.IsZero() { // what its crew has not heard yet is not said any more
		t.tellThem(calledOff, slices.DeleteFunc(slices.Clone(before.Spec.Crew), func(id string) bool { return slices.Contains(s.Crew, id) }),
			calc.F("%s was called off and is opened anew for others", s.ID))
	}
	if was := &before.Spec; !before.Off.IsZero() && before.Coming() { // orders shows the leaf of the door of now
		t.snag(calc.F(strayLeaf, was.Tell(was.Width), was.Tell(was.Height), was.Tell(was.Thickness)), s.Foreman)
	}
	t.evidence()
	if short := t.door.TooShort(t.Sheet); !short.IsZero() {
		t.tellForeman(shortCover, short)
	}
	return nil
}

// compute checks a spec against its sheet and returns its numbers.
func (t *turn) compute(s *Spec) ([]Number, error) {
	if err := t.fits(s); err != nil {
		return nil, err
	}
	return SetOut(s, t.Sheet)
}

// fits refuses a spec that its sheet knows nothing of, and a mass that no leaf
// of its size has.
func (t *turn) fits(s *Spec) error {
	if s.Sheet != t.Sheet.Name {
		return wrong("sheet", "the sheet is %s, not %s", t.Sheet.Name, cut(s.Sheet, 40))
	}
	for _, o := range s.Own {
		if slices.ContainsFunc(t.Sheet.Items, func(other OwnItem) bool { return other.ID == o.ID }) {
			return wrong("sheet", "item %s stands in the site's file and in sheet %s: the office gives one of them another name", o.ID, t.Sheet.Name)
		}
	}
	if allowed := t.Site.Sheets; len(allowed) > 0 && !slices.Contains(allowed, s.Sheet) {
		return wrong("sheet", "%s uses the sheets %s only", t.Site.ID, strings.Join(allowed, ", "))
	}
	if !slices.Contains(t.Sheet.Floors(), s.Floor) {
		return wrong("floor", "sheet %s has no hole for a floor of %s", s.Sheet, cut(s.Floor, 40))
	}
	if _, err := calc.ImpliedDensity(s.Mass, s.Width, s.Height, s.Thickness); err != nil {
		if dense, ok := errors.AsType[*calc.RangeError](err); ok && dense.Name == "density" {
			return about("mass", &DensityError{s.Mass, s.Tell(s.Width) + " × " + s.Tell(s.Height) + " × " + s.Tell(s.Thickness), dense})
		}
		return err
	}
	return nil
}

// DensityError is a mass that no leaf of that size has: one of the two is a
// slip, and is asked for again.
type DensityError struct {
	Mass             calc.Mass
	Leaf             string // its size
	*calc.RangeError        // of the density
}

func (e *DensityError) Error() string { return e.text().String() }

// Sentence says what density the mass would be.
func (e *DensityError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *DensityError) text() calc.Text {
	return calc.F("%s for a leaf of %s is %s, but it must be %s %s", e.Mass, e.Leaf, e.Value, e.Bound, e.Limit)
}

// evidence settles the item of a tested door whose gaps wait for nothing, and
// opens it again otherwise.
func (t *turn) evidence() {
	s, state := &t.door.Spec, t.door.Items["evidence"]
	awaits := s.Awaits()
	switch {
	case !awaits.IsZero() && state.Settled():
		t.emit(Event{Kind: Unticked, Item: "evidence", Text: awaits.String()})
	case awaits.IsZero() && s.Tested() && (!state.Settled() || state.Text != s.Evidence):
		t.emit(Event{Kind: Ticked, Item: "evidence", Text: s.Evidence})
	}
}

// Correction replaces what was surveyed or agreed: a dimension, the sheet, the
// evidence's gaps, crew or foreman. The whole corrected spec is handed in.
type Correction struct {
	Spec    Spec
	Why     string
	Version int64 // of the door that it was shown for; 0: whatever it is by now
	Many    bool  // other doors are corrected with it: who is told of all of them is told once
}

func (*Correction) action() Action { return See } // what it takes depends on what differs

func (c *Correction) decide(t *turn) error {
	if c.Many {
		defer func() {
			for _, r := range t.tell {
				r.Args[AmongMany] = "yes"
			}
		}()
	}
	if err := t.inWork(); err != nil {
		return err
	}
	if c.Version != 0 && c.Version != t.door.Version {
		return calc.F("it has changed since that was shown: it is left as it is")
	}
	s, old := c.Spec, &t.door.Spec
	s.Site, s.Inches, s.SheetHash = old.Site, old.Inches, t.Sheet.Hash
	for name := range s.Taken {
		if f := FieldNamed(name); f == nil || f.Value(&s) != f.Value(old) || s.Taken[name] != old.Taken[name] {
			s.Say(name)
		}
	}
	if old.Tested() && !s.Tested() { // the gaps are computed from now on
		s.Evidence, s.EvidenceHeel, s.EvidenceLead = "", 0, 0
	}
	struck := s.struck(old)
	if len(struck) == 0 {
		return calc.F("that is what stands there already")
	}
	for _, f := range struck {
		if f.Name == "door" {
			return calc.F("the foreman renames a door, as rename to %s because of a slip", cut(s.ID, 40))
		}
		if err := t.may(cmp.Or(FieldNamed(f.Name).Takes, Correct)); err != nil {
			return err
		}
	}
	if old.Tested() && !s.Tested() { // else the crew could leave the evidence out
		if err := t.may(Evidence); err != nil {
			return err
		}
	}
	if err := errors.Join(s.check(t.Site, old), checkText(c.Why)); err != nil {
		return err
	}
	dropped := t.dropped(&s)
	if len(dropped) > 0 {
		if err := t.may(DropHold); err != nil {
			return err
		}
		takes := calc.F("a correction that drops a hold (%s) takes a reason", list("%s, %s", dropped))
		if len(t.gone(&s, dropped)) == 0 {
			takes = calc.F("a correction after which a hold (%s) is looked at again takes a reason", list("%s, %s", dropped))
		}
		if err := given(c.Why, takes); err != nil {
			return err
		}
	}
	if !s.Tested() && (s.Evidence != old.Evidence || s.EvidenceHeel != old.EvidenceHeel || s.EvidenceLead != old.EvidenceLead) && !old.Tested() {
		return wrong("evidence", "%s is no fire or smoke door: its gaps are computed; if it is one, say correct fire first", old.ID)
	}
	if s.Sheet != old.Sheet && len(t.door.Bonds) > 0 {
		return calc.F("a plate of sheet %s is bonded: its limits stay this door's", old.Sheet)
	}
	if s.Sheet != old.Sheet || s.Pinless != old.Pinless { // what is chosen, unlike what is measured, must be allowed
		if broken := limits(&s, t.Sheet); len(broken) > 0 && len(broken) == len(limits(old, t.Sheet)) {
			return calc.F("that can be chosen when the leaf is within the sheet's limits: %s", list("%s; %s", broken))
		} else if len(broken) > 0 {
			return &LimitError{broken}
		}
	}
	card, err := t.reckon(&s)
	if err != nil {
		return err
	}
	t.correct(&s, card, struck, c.Why, dropped)
	return nil
}

// dropped names the hold points that a corrected spec takes from the door, and
// those that it lets pass with less.
func (t *turn) dropped(s *Spec) (ids []string) {
	old, door := &t.door.Spec, t.door
	door.Spec = *s
	after := Checklist(&door, t.Sheet)
	for _, it := range t.checklistBefore() {
		if it.Hold && !slices.ContainsFunc(after, func(a Item) bool { return a.ID == it.ID }) {
			ids = append(ids, it.ID)
		}
	}
	// The least that was measured counts. Unsaid the larger margin is kept: over a
	// pipe it is the smaller one.
	other := (s.Cover != old.Cover || s.CoverTo != old.CoverTo) && t.spare(s) > t.spare(old)
	if s.Floor != old.Floor || old.HasCover && (!s.HasCover || other) {
		ids = append(ids, "floor-services")
	}
	return ids
}

// gone returns those of some holds that a corrected spec has no more.
func (t *turn) gone(s *Spec, holds []string) []string {
	after := t.door
	after.Spec = *s
	list := Checklist(&after, t.Sheet)
	return slices.DeleteFunc(slices.Clone(holds), func(id string) bool {
		return slices.ContainsFunc(list, func(it Item) bool { return it.ID == id })
	})
}

// spare returns how much of a cover is left over what the shallowest hole needs:
// what was found nearer drops no hold, whatever it is.
func (t *turn) spare(s *Spec) calc.Length {
	need, err := (&card{spec: s, sheet: t.Sheet}).coverNeeded(0)
	if err != nil {
		need = calc.Metre
	}
	return s.Cover - need
}

// reckoning is a door's card by a corrected spec.
type reckoning struct {
	numbers []Number
	struck  []Struck
	kept    []calc.Text // what is in material and should be otherwise by now, and was not before
	stands  []calc.Text // all that should be
}

// reckon returns the card of a spec. Numbers already put into material keep
// their values, and what follows from them is reckoned with those.
func (t *turn) reckon(s *Spec) (reckoning, error) {
	var r reckoning
	if err := t.fits(s); err != nil {
		return r, err
	}
	_, before := SetOut(&t.door.Spec, t.Sheet)
	free, err := SetOut(s, t.Sheet)
	if err != nil && !t.measured(s) && (before == nil || before.Error() != err.Error()) {
		return r, err
	}
	var known reckoning // what did not fit before has its snag
	known.misfit(before)
	r.misfit(err)
	r.numbers = slices.Clone(free)
	if plate, _ := t.door.Number("plate_centre"); plate.Fixed != "" {
		c := card{spec: s, sheet: t.Sheet, plate: plate.Value.Length()}
		r.numbers, err = c.setOut()
		r.misfit(err)
		if text := s.crampedAt(&plate); !text.IsZero() {
			r.kept = append(r.kept, text)
			known.kept = append(known.kept, t.door.Spec.crampedAt(&plate))
		}
	}
	r.stands = slices.Clone(r.kept)
	r.kept = slices.DeleteFunc(r.kept, func(why calc.Text) bool { return among(known.kept, why) })
	for i, n := range t.door.Numbers {
		if n.Fixed == "" || n.Fixed == "ordered" && !strings.HasPrefix(n.Name, "leaf_") { // an older version froze the gaps too when the leaf was ordered
			continue
		}
		ought := leftOut
		if now, ok := find(free, n.Name); ok && now.Value == n.Value {
			ought = ""
		} else if ok {
			ought = calc.Word(now.Value.String())
		}
		text := calc.F(wouldBe, wordFor(n.Name), n.Fixed, n.Value, ought)
		if ought == leftOut && n.Name == "tip_depth" {
			text = calc.F(noneNow, n.Fixed, n.Value)
		}
		_, hole := find(free, "tip_depth") // where there may be none, that is said once
		if ought != "" && (hole || n.Name == "tip_depth" || !slices.Contains(holeNumbers, n.Name)) {
			if r.stands = append(r.stands, text); ought != n.Ought {
				r.kept = append(r.kept, text)
			}
		}
		n.Ought = ought
		r.numbers = slices.DeleteFunc(r.numbers, func(x Number) bool { return x.Name == n.Name })
		r.numbers = slices.Insert(r.numbers, min(i, len(r.numbers)), n)
	}
	if text := r.hit(s); !text.IsZero() {
		r.stands = append(r.stands, text)
		if s.Cover != t.door.Spec.Cover {
			r.kept = append([]calc.Text{text}, r.kept...)
		}
	}
	r.coverLeft(s)
	r.strike(t.door.Numbers)
	return r, nil
}

// misfit notes why what was measured has no set-out, if it has none.
func (r *reckoning) misfit(err error) {
	if all, ok := err.(interface{ Unwrap() []error }); ok {
		for _, part := range all.Unwrap() {
			r.misfit(part)
		}
		return
	}
	if err == nil {
		return
	}
	if why := calc.F("%s", err); !among(r.kept, why) {
		r.kept = append(r.kept, why)
	}
}

// among reports whether a text is one of some.
func among(texts []calc.Text, text calc.Text) bool {
	return slices.ContainsFunc(texts, func(t calc.Text) bool { return t.String() == text.String() })
}

// measured reports whether a corrected spec tells of what is there: of a leaf
// that is ordered or at hand, of a plate that is drilled, of the opening. That
// is put on record whether it fits or not.
func (t *turn) measured(s *Spec) bool {
	for _, f := range s.struck(&t.door.Spec) {
		row := FieldNamed(f.Name)
		n, _ := t.door.Number(row.Card)
		plate, _ := t.door.Number("plate_centre")
		if !(row.Found || n.Fixed != "" || plate.Fixed != "" && f.Name == "setback") {
			return false
		}
	}
	return true
}

// crampedAt says that the leaf can't turn at the plate that is drilled, nothing
// if it can. The gaps of a tested door are its evidence's.
func (s *Spec) crampedAt(plate *Number) calc.Text {
	need, err := calc.Gap(s.Turn(), clearance, s.step())
	if err != nil || s.Tested() {
		return calc.Text{}
	}
	lean, _ := s.JambLean()
	heel := plate.Value.Length() - s.Setback - lean
	for _, g := range []struct {
		name      calc.Word
		gap, need calc.Length
	}{{"heel", heel, need.HeelGap.Exact}, {"leading", s.room() - s.Width - heel, need.LeadGap.Exact}} {
		if g.gap < g.need {
			return calc.F(cantTurn,
				plate.Fixed, plate.Value, g.name, s.Tell(g.gap), s.tellUp(g.need))
		}
	}
	return calc.Text{}
}

// holeNumbers are those of the hole or recess under the floor plate.
var holeNumbers = []string{"pin_count", "pin_length", "screw_count", "hole_diameter", "stop_depth", "recess_depth", "tip_depth"}

// hit says that what lies below is nearer than what is drilled is deep, or by what
// located it may be; nothing if it is not, or not known.
func (r *reckoning) hit(s *Spec) calc.Text {
	tip, _ := find(r.numbers, "tip_depth")
	below := s.Cover - s.Covering
	switch deep := tip.Value.Length(); {
	case tip.Fixed == "" || !s.HasCover:
	case below <= deep:
		return calc.F(mayBeHit, tip.Value, s.tellDown(below))
	case s.CoverTo != "back" && below <= deep+calc.LocatorUnsaid:
		return calc.F(mayBeNear, tip.Value, s.tellDown(below), s.Tell(calc.LocatorUnsaid))
	}
	return calc.Text{}
}

// coverLeft reckons what the hole that is drilled leaves of the cover.
func (r *reckoning) coverLeft(s *Spec) {
	tip, _ := find(r.numbers, "tip_depth")
	if tip.Fixed == "" || !s.HasCover {
		return
	}
	left := Number{Name: "cover_left", Value: s.Measure((s.Cover - s.Covering - tip.Value.Length()).Down(s.step()))}
	if i := slices.IndexFunc(r.numbers, func(n Number) bool { return n.Name == left.Name }); i >= 0 {
		r.numbers[i] = left
	} else {
		r.numbers = append(r.numbers, left)
	}
}

// strike lists what differs from the numbers before.
func (r *reckoning) strike(before []Number) {
	for _, n := range before {
		if now, ok := find(r.numbers, n.Name); !ok {
			r.struck = append(r.struck, Struck{n.Name, n.Value.String(), ""})
		} else if now.Value != n.Value {
			r.struck = append(r.struck, Struck{n.Name, n.Value.String(), now.Value.String()})
		}
	}
	for _, n := range r.numbers {
		if _, ok := find(before, n.Name); !ok {
			r.struck = append(r.struck, Struck{n.Name, "", n.Value.String()})
		}
	}
}

// correct records a corrected spec and its card. Where numbers already put
// into material should have changed, or the leaf breaks its sheet's limits
// now, a snag is opened and everybody told. A correction that drops holds is
// logged and told as that.
func (t *turn) correct(s *Spec, card reckoning, struck []Struck, why string, dropped []string) {
	struck = append(struck, card.struck...)
	before, text := t.checklistBefore(), StruckText(struck)
	old, gone := t.door.Spec, t.gone(s, dropped)
	t.emit(Event{Kind: Corrected, Spec: s, Numbers: card.numbers, Struck: struck, Text: why, Dropped: gone})
	t.evidence()
	again := t.reopen(before)
	look := slices.Clone(dropped)
	if hit := card.hit(s); !hit.IsZero() && s.Cover != old.Cover {
		t.tellAll(shortCover, hit)
		look = append(look, "floor-services")
	}
	if below := s.Heated && !old.Heated && s.CoverTo != "pipe" || s.Tendons && !old.Tendons; below && !t.door.Items["floor-bonded"].Settled() {
		look = append(look, "floor-services") // what was read may be of something else
	}
	for _, id := range look { // what stays on the list is looked at again, not dropped
		if it, err := t.item(id); err == nil && it.State.Settled() {
			t.emit(Event{Kind: Unticked, Item: id, Text: string(doorCorrected)})
			again = append(again, id)
		}
	}
	dropped = gone
	if len(limits(s, t.Sheet))+len(t.door.drilledOtherwise()) == 0 { // it is not theirs to check: see tickKnown
		again = slices.DeleteFunc(again, func(id string) bool { return id == "limits" })
	}
	place := func(id string) int { return slices.IndexFunc(before, func(it Item) bool { return it.ID == id }) }
	slices.SortStableFunc(again, func(a, b string) int { return place(a) - place(b) })
	if len(again) > 0 {
		text = calc.F("%s; to be checked again: %s", text, strings.Join(again, ", "))
	}
	if len(dropped) > 0 {
		t.tellAll(holdDropped, calc.F("%s: %s (%s)", list("%s, %s", dropped), text, why))
	} else {
		t.tellAll(corrected, text)
		if told := &t.tell[len(t.tell)-1]; told.Due.Equal(t.Now) { // the word on the change stands right above it
			told.Args[AboveBy] = t.Who
		}
	}
	t.partedFrom(&old)
	if awaits := s.Awaits(); s.Evidence != "" && s.Evidence+s.Tell(s.EvidenceHeel)+s.Tell(s.EvidenceLead) != old.Evidence+old.Tell(old.EvidenceHeel)+old.Tell(old.EvidenceLead) && !awaits.IsZero() {
		t.tellForeman(corrected, awaits)
	}
	broken := limits(s, t.Sheet)
	t.closeFitting(card.stands, broken)
	if len(card.kept) > 0 {
		t.misfit(list("%s; %s", card.kept), s.Foreman)
	}
	if len(broken) > 0 {
		text := (&LimitError{broken}).text()
		if !slices.ContainsFunc(t.door.OpenSnags(), func(o Snag) bool { return o.Text == text.String() }) {
			t.misfit(text, s.Foreman)
		}
	}
	if len(broken)+len(t.door.drilledOtherwise()) > 0 && t.door.Items["limits"].Settled() {
		t.emit(Event{Kind: Unticked, Item: "limits", Text: string(breaksLimits)})
	}
}

// checklistBefore returns the checklist before a correction, by the sheet of then.
func (t *turn) checklistBefore() []Item {
	sheet := t.Sheet
	if t.SheetBefore != nil {
		sheet = t.SheetBefore
	}
	return Checklist(&t.door, sheet)
}

// plate returns the plate's centre, 0 if it is not known.
func (t *turn) plate() calc.Length {
	n, _ := t.door.Number("plate_centre")
	return n.Value.Length()
}

// samePlace is how far a plate may be from where its place was looked at: the
// project's own.
const samePlace = 5 * mm

// moved reports whether the plate is not where an item was looked at. Where it
// is not known now, nothing is said yet.
func (t *turn) moved(r *itemRule, at calc.Length) bool {
	now := t.plate()
	off := (now - at).Abs()
	return at != 0 && now != 0 && (r.there && off > samePlace || r.id == plumbItem && off > 0)
}

// reopen opens the items again that a change leaves wrong, and names them:
// ticks on other figures, readings that are out by now, and what was looked
// at where the plate is not any more.
func (t *turn) reopen(before []Item) (ids []string) {
	for _, it := range t.items() {
		r, was := rule(it.ID), ptr(before, func(b Item) bool { return b.ID == it.ID })
		if was == nil || !it.State.Settled() {
			continue
		}
		wrong := t.moved(r, it.State.Plate)
		if r.until != "" && !t.door.Items[r.until].Settled() {
			wrong = wrong || slices.ContainsFunc(r.needs, func(id string) bool { return slices.Contains(ids, id) })
			switch it.State.State {
			case Read:
				wrong = wrong || t.outdated(it)
			case Ticked, Overridden:
				if it.ID == "limits" && byBot(it.State.Text) {
					continue // it follows the numbers; where they break the limits, correct opens it
				}
				wrong = wrong || !it.Text.Equal(was.Text) || it.Limits.String() != was.Limits.String()
			}
		}
		if wrong {
			t.emit(Event{Kind: Unticked, Item: it.ID, Text: string(doorCorrected)})
			ids = append(ids, it.ID)
		}
	}
	return ids
}

// outdated reports whether a reading would be refused by now.
func (t *turn) outdated(it Item) bool {
	v, s := it.State.Value, &t.door.Spec
	if it.ID == "floor-services" && s.HasCover { // the cover may have been corrected
		cover := s.Measure(s.Cover)
		v = &cover
	}
	if v == nil { // nothing was found
		return it.ID == "floor-services" && s.Heated
	}
	return it.Judge(*v) == Out
}

// StruckText puts replaced values into words.
func StruckText(struck []Struck) calc.Text {
	var out []calc.Text
	for _, s := range struck {
		if !OnCard(s.Name) {
			continue
		}
		name, old, now := wordFor(s.Name), Recorded(s.Old), Recorded(s.New)
		switch {
		case s.Name == takenOver:
			now := strings.Split(s.New, ", ")
			said := slices.DeleteFunc(strings.Split(s.Old, ", "), func(name string) bool {
				return slices.Contains(now, name) || slices.ContainsFunc(struck, func(other Struck) bool { return other.Name == name })
			})
			if len(said) > 0 {
				out = append(out, calc.F("said of this door now: %s", list("%s, %s", shown(said))))
			}
		case s.Name == ownItems:
			out = append(out, ownStruck(s))
		case s.Name == "sheet file":
			out = append(out, calc.F("a newer sheet"))
		case s.Old == "":
			out = append(out, calc.F("%s %s", name, now))
		case s.New == "":
			out = append(out, calc.F("%s ~%s~", name, old))
		default:
			out = append(out, calc.F("%s ~%s~ %s", name, old, now))
		}
	}
	return list("%s, %s", out)
}
