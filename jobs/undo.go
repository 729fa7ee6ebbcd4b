package jobs

import (
	"maps"
	"slices"
	"time"

	"heelpost/calc"
)

// UndoLastMessage takes back what the person's last message changed, within
// five minutes and if nothing came after it.
type UndoLastMessage struct{}

func (*UndoLastMessage) action() Action { return UndoLast }

// Undo is what the last message changed, as it was before.
type Undo struct {
	Op      string                `json:"op,omitempty"`
	By      string                `json:"by"`
	At      time.Time             `json:"at"`
	Leaf    *Leaf                 `json:"leaf,omitempty"`
	Barred  EventKind             `json:"barred,omitempty"` // that can't be undone; a correction can, with Spec
	Spec    *Spec                 `json:"spec,omitempty"`   // versions before this one only bar it
	Items   map[string]*ItemState `json:"items,omitempty"`  // nil: there was none
	Numbers []Number              `json:"numbers,omitempty"`
	Snags   *[]Snag               `json:"snags,omitempty"`
	Visits  *[]Visit              `json:"visits,omitempty"`
	Snoozed map[string]time.Time  `json:"snoozed,omitempty"` // with Snags, Visits and Warmths
	Warmths *[]Warmth             `json:"warmths,omitempty"`
	Bonds   *[]Bond               `json:"bonds,omitempty"`  // with Warmths
	Held    []Vouched             `json:"held,omitempty"`   // with Warmths
	Doubts  []Doubt               `json:"doubts,omitempty"` // with Warmths
}

// undoFor is how long a message can be taken back.
const undoFor = 5 * 60 // seconds

func (*UndoLastMessage) decide(t *turn) error {
	u := t.door.Undo
	switch {
	case u == nil:
		return calc.F("there is nothing to undo")
	case u.By != t.Who:
		return calc.F("the last change is by %s: only they can undo it", u.By)
	case u.Barred != "" && !(u.Barred == Corrected && u.Spec != nil):
		return calc.F("%q can't be undone: correct it by a new entry", calc.Word(u.Barred))
	case t.Now.Sub(u.At).Seconds() > undoFor:
		return calc.F("that is over five minutes old: correct it by a new entry")
	}
	before := t.door.clone()
	list := t.items()
	t.emit(Event{Kind: Undone, Text: u.Op})
	for _, it := range list { // else heated, said and taken back, were a way around the foreman
		if _, err := t.item(it.ID); it.Hold && err != nil {
			return calc.F("undo would take the hold %s from the door: the foreman corrects that, with a reason", it.ID)
		}
	}
	for _, s := range before.OpenSnags() {
		switch gone := t.door.Snag(s.ID) == nil; {
		case gone && s.Hit:
			return calc.F("snag %s is not taken back by undo (%s): the foreman closes it with what was seen", s.ID, Recorded(s.Text))
		case gone && s.saysSoft():
			return calc.F("snag %s is not taken back by undo (%s): the foreman closes it with what was done", s.ID, Recorded(s.Text))
		case gone && s.hurts():
			return calc.F("snag %s is not taken back by undo (%s): the foreman corrects that, with a reason", s.ID, Recorded(s.Text))
		}
	}
	t.takenBack(&before)
	return nil
}

// takenBack tells those who were told what an undo has taken back.
func (t *turn) takenBack(before *Door) {
	back := reckoning{numbers: t.door.Numbers}
	back.strike(before.Numbers)
	if text := StruckText(append(t.door.Spec.struck(&before.Spec), back.struck...)); !text.IsZero() {
		t.tellAll(undoneNow, text)
	}
	for _, s := range before.Snags {
		switch now := t.door.Snag(s.ID); {
		case now == nil:
			t.tellAll(undoneNow, calc.F("there is no snag %s: %s", s.ID, Recorded(s.Text)))
		case now.Closed.IsZero() && !s.Closed.IsZero():
			t.tellAll(undoneNow, calc.F("snag %s is open again: %s", s.ID, Recorded(s.Text)))
		}
	}
	t.visitsBack(before)
	t.partedFrom(&before.Spec)
	for _, b := range before.Bonds {
		if now := t.door.bond(b.Where); now != nil && now.Void.IsZero() && !b.Void.IsZero() {
			t.tellForeman(undoneNow, calc.F("the %s plate was not too cold: the temperature is taken back", calc.Word(b.Where)))
		}
	}
	var fixed []string
	for _, n := range t.door.Numbers {
		if was, ok := before.Number(n.Name); n.Fixed != "" && (!ok || was.Fixed == "") {
			fixed = append(fixed, n.Name)
		}
	}
	if len(fixed) > 0 {
		t.tellForeman(undoneNow, calc.F("%s: as before, nothing of it can change", list("%s, %s", shown(fixed))))
	}
}

// visitsBack tells those whom a visit concerns what stands of it, where an undo
// changes it: they were told the opposite.
func (t *turn) visitsBack(before *Door) {
	for _, was := range before.Visits {
		who := was.people(&before.Spec)
		now := t.door.Visit(was.ID)
		switch {
		case now == nil:
			t.tellThem(undoneNow, was.Who, calc.F("there is no visit %s", was.ID))
		case was.End == VisitDone && now.End == "" && slices.Contains(who, t.Who): // who made it was not told that it was
		case was.End != now.End || !was.At.Equal(now.At) || was.Takes != now.Takes || !slices.Equal(was.Who, now.Who):
			theirs := now.people(&t.door.Spec)
			t.tellThem(undoneNow, theirs, calc.F("visit %s is planned as before: %s", was.ID, onDay(now.At.In(t.Site.Zone))))
			t.tellThem(undoneNow, without(who, theirs), calc.F("%s is not yours any more", was.ID))
		}
	}
}

// remember keeps what an event is about to change.
func (d *Door) remember(e *Event) {
	if slices.Contains([]EventKind{Undone, StageMoved, AnswerKept, WarmthAsked, WarmthDropped}, e.Kind) {
		return // an answer on record, or a question, changes nothing of it: the tick before it can be undone
	}
	if u := d.Undo; u == nil || u.Op != e.Op || u.By != e.By || !u.At.Equal(e.At) {
		d.Undo = &Undo{Op: e.Op, By: e.By, At: e.At}
	}
	u := d.Undo
	switch e.Kind {
	case Ticked, Unticked, NotForThis, Read, Pictured:
		for _, id := range Became(e.Item) {
			if _, ok := u.Items[id]; ok {
				continue
			}
			if u.Items == nil {
				u.Items = map[string]*ItemState{}
			}
			u.Items[id] = nil
			if s, ok := d.Items[id]; ok {
				u.Items[id] = &s
			}
		}
	case Corrected:
		if u.Spec == nil && e.Spec.SheetHash == d.Spec.SheetHash { // another sheet judges by other limits
			old := d.Spec
			u.Spec = &old
		}
		if u.Barred == "" {
			u.Barred = Corrected
		}
		fallthrough
	case Fixed, Freed:
		if u.Numbers == nil {
			u.Numbers = slices.Clone(d.Numbers)
		}
	case SnagOpened, SnagClosed, SnagMoved, SnagPictured:
		if u.Snags == nil {
			s := append([]Snag{}, d.Snags...)
			u.Snags, u.Snoozed = &s, maps.Clone(d.Snoozed)
		}
	case VisitSet, VisitMoved, VisitCalled, VisitDone, Snoozed:
		if u.Visits == nil {
			v := append([]Visit{}, d.Visits...)
			u.Visits, u.Snoozed = &v, maps.Clone(d.Snoozed)
		}
	case WarmthRead, WarmthHeld:
		if u.Warmths == nil {
			u.Held, u.Doubts = slices.Clone(d.Held), slices.Clone(d.Doubts)
			w, b := append([]Warmth{}, d.Warmths...), append([]Bond{}, d.Bonds...)
			u.Warmths, u.Bonds, u.Snoozed = &w, &b, maps.Clone(d.Snoozed) // a cure that is void is not put off
		}
	case LeafDated:
		if u.Leaf == nil {
			l := d.Leaf
			u.Leaf = &l
		}
	default:
		if e.Kind == Voided && u.Warmths != nil {
			return // by the temperature that is undone with it
		}
		u.Barred = e.Kind
	}
}

// restore takes back what the last message changed.
func (d *Door) restore() {
	u := d.Undo
	if u == nil {
		return
	}
	for id, s := range u.Items {
		d.set(id, s)
	}
	if u.Spec != nil {
		d.Spec = *u.Spec
	}
	if u.Numbers != nil {
		d.Numbers = slices.Clone(u.Numbers)
	}
	// What is empty is nil, as it comes back from storage.
	if u.Snags != nil {
		d.Snags = append([]Snag(nil), *u.Snags...)
		if len(u.Snoozed) > 0 {
			d.Snoozed = maps.Clone(u.Snoozed) // a snag that moved is not put off any more
		}
	}
	if u.Leaf != nil {
		d.Leaf = *u.Leaf
	}
	if u.Visits != nil {
		d.Visits = append([]Visit(nil), *u.Visits...)
		d.Snoozed = maps.Clone(u.Snoozed)
	}
	if u.Warmths != nil {
		d.Warmths, d.Bonds = append([]Warmth(nil), *u.Warmths...), append([]Bond(nil), *u.Bonds...)
		d.Held, d.Doubts = append([]Vouched(nil), u.Held...), union(u.Doubts, d.Doubts)
		d.Snoozed = maps.Clone(u.Snoozed)
	}
	d.Undo = nil
}
