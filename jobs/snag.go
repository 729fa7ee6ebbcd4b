package jobs

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"heelpost/calc"
)

// OpenSnag notes a defect to put right, by a time if that is not zero.
type OpenSnag struct {
	Text, Owner string
	Due         time.Time
	Accident    bool       // people are told at once, at whatever hour
	Hit         bool       // something was or may have been hit: drilling and bonding wait until the foreman has seen it
	Photo       *PhotoSnag // that was sent with it; its ID is empty
}

// PhotoSnag keeps a photo of an open snag: where it is, or the files that were
// sent.
type PhotoSnag struct {
	ID, Where string
	Files     []File
}

// MoveSnag gives a snag another owner or another day: what is empty stays.
type MoveSnag struct {
	ID, Owner string
	Due       time.Time
}

// CloseSnag says what was done about a snag.
type CloseSnag struct{ ID, Done string }

// HandDoor hands the door over. With open snags it takes the foreman, and
// a word on why.
type HandDoor struct{ Why string }

func (*OpenSnag) action() Action  { return SnagWork }
func (*PhotoSnag) action() Action { return SnagWork }
func (*MoveSnag) action() Action  { return SnagWork }
func (*CloseSnag) action() Action { return SnagWork }
func (*HandDoor) action() Action  { return HandOver }

func (c *OpenSnag) decide(t *turn) error {
	if err := about("text", given(c.Text, calc.F("say what is wrong, as snag scratch on the leaf"))); err != nil {
		return err
	}
	if c.Owner == "" {
		c = &OpenSnag{c.Text, t.Who, c.Due, c.Accident, c.Hit, c.Photo}
	}
	if err := errors.Join(t.known("owner", c.Owner), t.by(c.Due)); err != nil {
		return err
	}
	for _, s := range t.door.OpenSnags() {
		if s.Text == c.Text && s.Owner == c.Owner {
			return calc.F("that is snag %s already, of @%s, open since %s", s.ID, s.Owner, onDay(s.Opened.In(t.Site.Zone)))
		}
	}
	t.snagBy(calc.F("%s", c.Text), c.Owner, c.Due)
	t.events[len(t.events)-1].Hit, t.door.Snags[len(t.door.Snags)-1].Hit = c.Hit, c.Hit
	if s := &t.door.Snags[len(t.door.Snags)-1]; s.saysSoft() && t.door.Handover.IsZero() {
		for _, b := range t.door.Bonds {
			t.lookAgain(sampleOf(b.Where), sampleSoft)
		}
	}
	if c.Accident {
		told := &t.tell[len(t.tell)-1]
		told.Due, told.Urgent, told.Args["urgent"] = t.Site.Quiet(t.Now, true), true, "yes"
	}
	if c.Photo != nil {
		return (&PhotoSnag{t.door.Snags[len(t.door.Snags)-1].ID, c.Photo.Where, c.Photo.Files}).decide(t)
	}
	return nil
}

func (c *PhotoSnag) decide(t *turn) error {
	s, err := t.openSnag(c.ID)
	if err != nil {
		return err
	}
	if err := about("text", given(c.Where, calc.F("say where the photo is kept"))); err != nil {
		return err
	}
	t.emit(Event{Kind: SnagPictured, Item: s.ID, Word: c.Where, Files: c.Files})
	return nil
}

// known refuses people whom the site file does not name.
func (t *turn) known(field string, people ...string) error {
	for _, id := range people {
		if t.Site.Role(id) == Guest {
			return wrong(field, "%s is not named in the site file of %s", cut(id, 40), t.Site.ID)
		}
	}
	return nil
}

// by refuses a day to put something right by that is over or too far off.
func (t *turn) by(due time.Time) error {
	if due.IsZero() {
		return nil
	}
	_, err := ahead(due.In(t.Site.Zone), t.Now.In(t.Site.Zone), due.In(t.Site.Zone).Format(dayAndTime))
	return about("due", err)
}

func (c *MoveSnag) decide(t *turn) error {
	s, err := t.openSnag(c.ID)
	if err != nil {
		return err
	}
	owner, due := cmp.Or(c.Owner, s.Owner), c.Due
	if due.IsZero() {
		due = s.Due
	}
	if owner == s.Owner && due.Equal(s.Due) {
		return calc.F("that is what stands there already")
	}
	if c.Owner != "" {
		err = t.known("owner", c.Owner)
	}
	if err := errors.Join(err, t.by(c.Due)); err != nil {
		return err
	}
	text := Recorded(s.Text)
	t.emit(Event{Kind: SnagMoved, Item: s.ID, Names: []string{owner}, When: due})
	t.tellThem(snagged, []string{owner}, t.snagFor(s.ID, text, owner, due))
	return nil
}

// snag opens a snag and tells everybody, snagBy one that is to be put right by
// a time.
func (t *turn) snag(text calc.Text, owner string) { t.snagBy(text, owner, time.Time{}) }

func (t *turn) snagBy(text calc.Text, owner string, due time.Time) {
	record := cut(text.String(), maxText)
	if record != text.String() {
		text = calc.F("%s", record)
	}
	id := fmt.Sprintf("s%d", len(t.door.Snags)+1)
	t.emit(Event{Kind: SnagOpened, Item: id, Text: record, Names: []string{owner}, When: due})
	t.tellAll(snagged, t.snagFor(id, text, owner, due))
	t.tell[len(t.tell)-1].Args["also"] = owner
}

// snagFor says who puts a snag right, and by when.
func (t *turn) snagFor(id string, text calc.Text, owner string, due time.Time) calc.Text {
	if due.IsZero() {
		return calc.F("%s for @%s: %s", id, owner, text)
	}
	return calc.F("%s for @%s by %s: %s", id, owner, onDay(due.In(t.Site.Zone)), text)
}

// openSnag returns a snag that is open.
func (t *turn) openSnag(snag string) (*Snag, error) {
	s := t.door.Snag(snag)
	if s == nil {
		var open []string
		for _, s := range t.door.OpenSnags() {
			open = append(open, s.ID)
		}
		if len(open) == 0 {
			return nil, calc.F("there is no snag %s: none is open", cut(snag, 40))
		}
		return nil, calc.F("there is no snag %s: open are %s", cut(snag, 40), strings.Join(open, ", "))
	}
	if !s.Closed.IsZero() {
		return nil, calc.F("snag %s is closed already, since %s: %s", snag, onDay(s.Closed.In(t.Site.Zone)), Recorded(s.Done))
	}
	return s, nil
}

func (c *CloseSnag) decide(t *turn) error {
	s, err := t.openSnag(c.ID)
	if err != nil {
		return err
	}
	if s.misfits() && t.Site.Role(t.Who) != Foreman {
		return calc.F("snag %s is of what does not fit (%s): the foreman closes it, or it closes itself when the door is corrected and it fits", s.ID, Recorded(s.Text))
	}
	if s.Hit && t.Site.Role(t.Who) != Foreman {
		return calc.F("snag %s is of what was or may have been hit (%s): the foreman closes it with what was seen", s.ID, Recorded(s.Text))
	}
	if s.saysSoft() && t.Site.Role(t.Who) != Foreman {
		return calc.F("snag %s says that a sample is soft (%s): the foreman closes it with what was done", s.ID, Recorded(s.Text))
	}
	if (s.misfits() || s.Hit || s.saysSoft()) && c.Done == string(PutRight) {
		c = &CloseSnag{ID: c.ID}
	}
	if err := given(c.Done, calc.F("say what was done, as close %s polished out", c.ID)); err != nil {
		return err
	}
	owner := s.Owner
	t.emit(Event{Kind: SnagClosed, Item: c.ID, Text: c.Done})
	t.tellThem(snagged, []string{owner}, calc.F("%s is closed by @%s: %s", c.ID, t.Who, Recorded(c.Done)))
	return nil
}

func (c *HandDoor) decide(t *turn) error {
	if at := t.door.Handover.In(t.Site.Zone); !t.door.Handover.IsZero() && t.door.HandedBy != "" {
		return calc.F("%s is handed over already, by %s on %s", t.door.Spec.ID, t.door.HandedBy, onDay(at))
	}
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
	t.emit(Event{Kind: HandedOver, Text: c.Why, Names: []string{t.Who}})
	return nil
}
