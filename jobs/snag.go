package jobs

import (
	"errors"
	"fmt"
	"strings"

	"heelpost/calc"
)

// OpenSnag notes a defect to put right.
type OpenSnag struct{ Text, Owner string }

// CloseSnag says what was done about a snag.
type CloseSnag struct{ ID, Done string }

// HandDoor hands the door over. With open snags it takes the foreman, and
// a word on why.
type HandDoor struct{ Why string }

// UndoLastMessage takes back what the person's last message changed, within
// five minutes and if nothing came after it.
type UndoLastMessage struct{}

func (*OpenSnag) action() Action        { return SnagWork }
func (*CloseSnag) action() Action       { return SnagWork }
func (*HandDoor) action() Action        { return HandOver }
func (*UndoLastMessage) action() Action { return UndoLast }

func (c *OpenSnag) decide(t *turn) error {
	if err := about("text", given(c.Text, calc.F("say what is wrong, as snag scratch on the leaf"))); err != nil {
		return err
	}
	if c.Owner == "" {
		c = &OpenSnag{c.Text, t.Who}
	}
	if t.Site.Role(c.Owner) == Guest {
		return wrong("owner", "%s is not named in the site file of %s", cut(c.Owner, 40), t.Site.ID)
	}
	for _, s := range t.door.OpenSnags() {
		if s.Text == c.Text && s.Owner == c.Owner {
			return calc.F("that is snag %s already, of @%s, open since %s", s.ID, s.Owner, onDay(s.Opened.In(t.Site.Zone)))
		}
	}
	t.snag(calc.F("%s", c.Text), c.Owner)
	return nil
}

// snag opens a snag and tells everybody.
func (t *turn) snag(text calc.Text, owner string) {
	record := cut(text.String(), maxText)
	if record != text.String() {
		text = calc.F("%s", record)
	}
	id := fmt.Sprintf("s%d", len(t.door.Snags)+1)
	t.emit(Event{Kind: SnagOpened, Item: id, Text: record, Names: []string{owner}})
	t.tellAll(snagged, calc.F("%s for @%s: %s", id, owner, text))
	t.tell[len(t.tell)-1].Args["also"] = owner
}

func (c *CloseSnag) decide(t *turn) error {
	s := t.door.Snag(c.ID)
	if s == nil {
		var open []string
		for _, s := range t.door.OpenSnags() {
			open = append(open, s.ID)
		}
		if len(open) == 0 {
			return calc.F("there is no snag %s: none is open", cut(c.ID, 40))
		}
		return calc.F("there is no snag %s: open are %s", cut(c.ID, 40), strings.Join(open, ", "))
	}
	if !s.Closed.IsZero() {
		return calc.F("snag %s is closed already, since %s: %s", c.ID, onDay(s.Closed.In(t.Site.Zone)), s.Done)
	}
	if err := given(c.Done, calc.F("say what was done, as close %s polished out", c.ID)); err != nil {
		return err
	}
	t.emit(Event{Kind: SnagClosed, Item: c.ID, Text: c.Done})
	return nil
}

func (c *HandDoor) decide(t *turn) error {
	if err := errors.Join(t.inWork(), checkText(c.Why)); err != nil {
		return err
	}
	var open []Item
	for _, it := range t.items() {
		if !it.State.Settled() {
			open = append(open, it)
		}
	}
	if len(open) > 0 {
		return &HoldError{Item: calc.F("handing over"), Open: open}
	}
	if snags := t.door.OpenSnags(); len(snags) > 0 {
		texts := make([]calc.Text, len(snags))
		for i, s := range snags {
			texts[i] = calc.F("%s (%s)", s.ID, Recorded(s.Text))
		}
		if t.Site.Role(t.Who) != Foreman || strings.TrimSpace(c.Why) == "" {
			return calc.F("snags are open: %s. It takes the foreman's word to hand the door over with them", list("%s; %s", texts))
		}
	}
	t.emit(Event{Kind: HandedOver, Text: c.Why})
	return nil
}

// undoFor is how long a message can be taken back.
const undoFor = 5 * 60 // seconds

func (*UndoLastMessage) decide(t *turn) error {
	u := t.door.Undo
	switch {
	case u == nil:
		return calc.F("there is nothing to undo")
	case u.By != t.Who:
		return calc.F("the last change is %s's: only they can undo it", u.By)
	case u.Barred != "":
		return calc.F("%q can't be undone: correct it by a new entry", calc.Word(u.Barred))
	case t.Now.Sub(u.At).Seconds() > undoFor:
		return calc.F("that is over five minutes old: correct it by a new entry")
	}
	before := t.door.clone()
	t.emit(Event{Kind: Undone, Text: u.Op})
	t.takenBack(&before)
	return nil
}

// takenBack tells those who were told what an undo has taken back.
func (t *turn) takenBack(before *Door) {
	for _, s := range before.Snags {
		switch now := t.door.Snag(s.ID); {
		case now == nil:
			t.tellAll(undoneNow, calc.F("there is no snag %s: %s", s.ID, Recorded(s.Text)))
		case now.Closed.IsZero() && !s.Closed.IsZero():
			t.tellAll(undoneNow, calc.F("snag %s is open again: %s", s.ID, Recorded(s.Text)))
		}
	}
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
