package jobs

import (
	"errors"
	"slices"
	"time"

	"heelpost/calc"
)

// TickItems ticks several items, in the order of the checklist, in which they
// may wait for one another. What can't be ticked is left open and the reason
// told, unless all are wanted or none.
type TickItems struct {
	Items []TickItem
	All   bool
}

func (*TickItems) action() Action { return Check }

func (c *TickItems) decide(t *turn) error {
	items := t.items()
	place := func(id string) int { return slices.IndexFunc(items, func(it Item) bool { return it.ID == id }) }
	for _, one := range slices.SortedStableFunc(slices.Values(c.Items), func(a, b TickItem) int { return place(a.Item) - place(b.Item) }) {
		if err := about(one.Item, one.decide(t)); err != nil {
			t.left = append(t.left, err)
		}
	}
	if len(t.left) > 0 && (c.All || len(t.left) == len(c.Items)) {
		return &partsError{t.left}
	}
	t.left = waitTogether(t.left)
	return nil
}

// waitTogether makes one of those that wait for the same item first, whose text is
// long: "head-drilled, adjust wait for plumb (…)". What more some of them wait for
// is told when that is settled.
func waitTogether(errs []error) (out []error) {
	first := map[string]int{}
	for _, err := range errs {
		e, waits := errors.AsType[*HoldError](err)
		if !waits {
			out = append(out, err)
			continue
		}
		at, again := first[e.Open[0].ID]
		if !again {
			first[e.Open[0].ID] = len(out)
			out = append(out, err)
			continue
		}
		one, _ := errors.AsType[*HoldError](out[at])
		out[at] = &HoldError{Item: one.Item, Also: append(slices.Clone(one.Also), e.Item),
			Open: slices.DeleteFunc(slices.Clone(one.Open), func(it Item) bool {
				return !slices.ContainsFunc(e.Open, func(o Item) bool { return o.ID == it.ID })
			})}
	}
	return out
}

// partsError says what is wrong with the parts of a command, and of what waits for
// the same once why. In a form each stands beside its field.
type partsError struct{ parts []error }

func (e *partsError) Error() string   { return errors.Join(waitTogether(e.parts)...).Error() }
func (e *partsError) Unwrap() []error { return e.parts }

// Sentence says all of it, a line each.
func (e *partsError) Sentence() (key string, args []any) {
	return "%s", []any{errors.Join(waitTogether(e.parts)...)}
}

// AnewError says which items were ticked on another day, and hold for their day
// only.
type AnewError struct {
	Items []Item
	On    Date
}

func (e *AnewError) Error() string { return e.text().String() }

// Sentence says what is to be looked at anew.
func (e *AnewError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *AnewError) text() calc.Text {
	return calc.F("ticked on %s, and to be looked at anew today: %s", e.On, e.Asked())
}

// Asked lists what is to be looked at anew.
func (e *AnewError) Asked() calc.Text {
	texts := make([]calc.Text, len(e.Items))
	for i, it := range e.Items {
		texts[i] = it.Text
	}
	return list("%s; %s", texts)
}

// past reports whether an item was settled on another day.
func (t *turn) past(it Item) bool {
	return it.State.State != "" && DateOf(it.State.At.In(t.Site.Zone)) != DateOf(t.Now.In(t.Site.Zone))
}

// tickKnown ticks what follows from what was said: the status of an ordinary door
// when it is opened, and that the leaf is within its sheet's limits when that
// comes to be asked, or is so again. What somebody took back stays open until they
// tick it.
func (t *turn) tickKnown(cmd Command, before *Door) {
	switch cmd.(type) {
	case *Open:
		if slices.Contains(t.door.Spec.Status, "none") {
			t.emit(Event{Kind: Ticked, Item: "status", Text: string(saidOpening)})
		}
		return
	case *Untick, *UndoLastMessage:
		return
	}
	was := &turn{Context: t.Context, door: *before}
	if t.SheetBefore != nil {
		was.Sheet = t.SheetBefore
	}
	if t.asks("limits") && t.withinLimits() && !(was.asks("limits") && was.withinLimits()) {
		t.emit(Event{Kind: Ticked, Item: "limits", Text: string(numbersKnown)})
	}
}

// withinLimits reports whether nothing keeps the leaf from being hung.
func (t *turn) withinLimits() bool { return len(t.door.overLimits(t.Sheet)) == 0 }

// asks reports whether an item is open and has its turn.
func (t *turn) asks(id string) bool {
	it, err := t.settle(id, Tick, "")
	return err == nil && !it.State.Settled()
}

// Run returns the items of the door's stage that somebody could tick now, one
// after the other. What is ticked when it is done, as that the leaf stands, is
// not among them.
func (j *Job) Run(who string, now time.Time) (run []Item) {
	t := j.turn(who, now)
	t.door = t.door.clone()
	for _, it := range j.Items() {
		if it.Stage != j.Door.Stage || it.Kind != Tick || it.State.Settled() || rule(it.ID).alone {
			continue
		}
		if (&TickItem{Item: it.ID}).decide(t) == nil {
			run = append(run, it)
		}
	}
	return run
}

// NextThree returns the next three items if all of them are plain ticks, one
// below the other, that somebody could make now: none that nobody overrides
// and, between them, nothing that is read, pictured or entered.
func (j *Job) NextThree(who string, now time.Time) []Item {
	items, next, _ := j.Upcoming()
	if next < 0 {
		return nil
	}
	run := j.Run(who, now)
	var three []Item
	for _, it := range items[next:] {
		if it.State.Settled() {
			continue
		}
		if it.Never || !slices.ContainsFunc(run, func(r Item) bool { return r.ID == it.ID }) {
			return nil
		}
		if three = append(three, it); len(three) == 3 {
			return three
		}
	}
	return nil
}
