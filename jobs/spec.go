package jobs

import (
	"cmp"
	"errors"
	"regexp"
	"slices"
	"strings"

	"heelpost/calc"
)

// Spec is what was surveyed and agreed of a door.
type Spec struct {
	Site          string      `json:"site"`
	ID            string      `json:"id"`
	OpeningWidth  calc.Length `json:"opening_width"`  // between finished jambs, at their feet
	OpeningHeight calc.Length `json:"opening_height"` // at the heel jamb, if others are read too
	Width         calc.Length `json:"width"`          // of the leaf
	Height        calc.Length `json:"height"`
	Thickness     calc.Length `json:"thickness"`
	Setback       calc.Length `json:"setback"`
	Pounds        bool        `json:"pounds,omitempty"`  // the mass was given in lb
	Inches        bool        `json:"inches,omitempty"`  // the leaf was given in inches: its numbers are set out and told in them
	Swing         string      `json:"swing,omitempty"`   // BothWays or OneWay
	Handing       string      `json:"handing,omitempty"` // left or right, of a one-way door
	SeenFrom      string      `json:"seen_from,omitempty"`
	Mass          calc.Mass   `json:"mass"`
	Estimated     bool        `json:"estimated,omitempty"`
	Floor         string      `json:"floor"`              // material that holds the pins
	Covering      calc.Length `json:"covering,omitempty"` // left in place and drilled through
	Heated        bool        `json:"heated,omitempty"`
	HasCover      bool        `json:"has_cover,omitempty"`
	Cover         calc.Length `json:"cover,omitempty"`
	CoverTo       string      `json:"cover_to,omitempty"` // pipe or back
	Pinless       bool        `json:"pinless,omitempty"`
	Lining        calc.Length `json:"lining,omitempty"`
	StopWidth     calc.Length `json:"stop_width,omitempty"`
	Seals         bool        `json:"seals,omitempty"`
	Latch         bool        `json:"latch,omitempty"`
	Status        []string    `json:"status,omitempty"` // fire, smoke, escape; or none
	EvidenceHeel  calc.Length `json:"evidence_heel,omitempty"`
	EvidenceLead  calc.Length `json:"evidence_lead,omitempty"`
	Evidence      string      `json:"evidence,omitempty"` // which test evidence
	CyclesDay     int         `json:"cycles_day,omitempty"`
	Sheet         string      `json:"sheet"`
	SheetHash     string      `json:"sheet_hash"`
	Crew          []string    `json:"crew"` // people's ids
	Foreman       string      `json:"foreman"`

	// How far each jamb's head stands into the opening from its foot, and how
	// much higher the leading jamb's foot is than the heel jamb's; nil: not read.
	LeanHeel  *calc.Length `json:"lean_heel,omitempty"`
	LeanLead  *calc.Length `json:"lean_lead,omitempty"`
	FloorFall *calc.Length `json:"floor_fall,omitempty"`

	// What else was read of the opening; 0 and nil: not read.
	WidthTop     calc.Length  `json:"width_top,omitempty"`
	WidthMiddle  calc.Length  `json:"width_middle,omitempty"`
	HeightMiddle calc.Length  `json:"height_middle,omitempty"`
	HeightLead   calc.Length  `json:"height_lead,omitempty"`
	BowHeel      *calc.Length `json:"bow_heel,omitempty"`
	DiagonalHeel calc.Length  `json:"diagonal_heel,omitempty"` // from the heel jamb's foot to the leading jamb's head
	DiagonalLead calc.Length  `json:"diagonal_lead,omitempty"` // the other

	// Own are the items that the site's file added when the door was opened, or
	// when they were last taken anew.
	Own []OwnItem `json:"own,omitempty"`

	// Taken names the fields that nobody has said of this door, and where they
	// are from: FromSite, FromSheet, or the id of the door it was opened like.
	Taken map[string]string `json:"taken,omitempty"`
}

// The ways a door swings.
const (
	BothWays = "both ways"
	OneWay   = "one way"
)

// Tested reports whether the gaps come from test evidence: those of a fire
// or smoke door are never computed.
func (s *Spec) Tested() bool {
	return slices.Contains(s.Status, "fire") || slices.Contains(s.Status, "smoke")
}

// Awaits says what the gaps of a tested door wait for, if for anything: they
// are its evidence's, and with the leaf they must fill the opening.
func (s *Spec) Awaits() calc.Text {
	filled := s.Width + s.EvidenceHeel + s.EvidenceLead
	switch {
	case !s.Tested():
		return calc.Text{}
	case s.Evidence == "" || s.EvidenceHeel == 0 || s.EvidenceLead == 0:
		return calc.F("%s", gapsToEnter)
	case filled != s.room() && s.room() != s.OpeningWidth:
		return calc.F(gapsDontFillPlumb,
			s.Tell(s.Width), s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead), s.Tell(filled), s.Tell(s.room()))
	case filled != s.OpeningWidth:
		return calc.F(gapsDontFill,
			s.Tell(s.Width), s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead), s.Tell(filled), s.Tell(s.OpeningWidth))
	}
	return calc.Text{}
}

// Opening returns what was read of the opening as calc wants it. A width at the
// top that nobody read is the one that the leans make; a jamb whose lean nobody
// read is taken for plumb, and a head for as high at both jambs.
func (s *Spec) Opening() calc.Opening {
	o := calc.Opening{WidthTop: s.WidthTop, WidthMiddle: s.WidthMiddle, WidthBottom: s.OpeningWidth,
		HeightHeel: s.OpeningHeight, HeightMiddle: s.HeightMiddle, HeightLead: cmp.Or(s.HeightLead, s.OpeningHeight),
		LeanHeel: s.LeanHeel, LeanLead: s.LeanLead, BowHeel: s.BowHeel}
	if o.WidthTop == 0 {
		o.WidthTop = o.WidthBottom - orZero(s.LeanHeel) - orZero(s.LeanLead)
	}
	if s.FloorFall != nil {
		o.Fall = calc.Fall{Rise: *s.FloorFall, Read: calc.FallTo}
		if s.DiagonalHeel != 0 && s.DiagonalLead != 0 { // they say nothing without the fall
			o.Diagonal1, o.Diagonal2, o.DiagonalsNamed = s.DiagonalHeel, s.DiagonalLead, true
		}
	}
	return o
}

// plain returns the opening as it is while nothing but its size is read.
func (s *Spec) plain() calc.Opening {
	return calc.Opening{WidthTop: s.OpeningWidth, WidthBottom: s.OpeningWidth, HeightHeel: s.OpeningHeight, HeightLead: s.OpeningHeight}
}

// orZero returns a reading, 0 if nobody took it.
func orZero(l *calc.Length) calc.Length {
	if l == nil {
		return 0
	}
	return *l
}

// survey returns what the readings of the opening tell. Those that contradict
// each other are refused with the set-out.
func (s *Spec) survey() calc.Survey {
	o := s.Opening()
	read, err := o.Survey()
	if err != nil {
		return calc.Survey{Width: s.OpeningWidth, Height: s.OpeningHeight}
	}
	return read
}

// JambLean returns how much further into the opening than its foot the heel
// jamb's furthest point stands; known is false if nobody has read it, and it
// is taken for plumb.
func (s *Spec) JambLean() (lean calc.Length, known bool) {
	return s.survey().HeelIn, s.LeanHeel != nil
}

// room returns the width between plumb lines through the points of the jambs
// that stand furthest in, where OpeningWidth is measured at their feet.
func (s *Spec) room() calc.Length { return s.survey().Width }

// JambsIn returns how much of the opening jambs out of plumb take.
func (s *Spec) JambsIn() calc.Length { return s.OpeningWidth - s.room() }

// bowUnread is from where on a bow must be read before anything is set out by
// the jambs: common practice, no published source.
const bowUnread = 1 * mm

// Unread returns the names of the readings that the plate's centre waits for.
func (s *Spec) Unread() []string {
	out := s.ElsewhereMeasured()
	for _, r := range []struct {
		name   string
		unread bool
	}{
		{"lean heel", s.LeanHeel == nil}, {"lean lead", s.LeanLead == nil}, {"floor fall", s.FloorFall == nil},
		{"bow heel", s.BowHeel == nil && s.survey().Bow > bowUnread},
	} {
		if r.unread {
			out = append(out, r.name)
		}
	}
	return out
}

// Turn returns the leaf as calc wants it. Edges are square and the axis is
// on the mid-plane.
func (s *Spec) Turn() calc.Turn {
	t := calc.Turn{Thickness: s.Thickness, Setback: s.Setback, Width: s.Width, Angle: calc.RightAngle}
	if s.Swing == OneWay {
		t.Swing = calc.OneWay
	}
	return t
}

// Missing returns the names of what must still be asked for, in order.
// Handing is asked of a one-way door only.
func (s *Spec) Missing() []string {
	var out []string
	for i := range Fields {
		if f := &Fields[i]; f.Needed != nil && f.Needed(s) && f.Value(s) == "" {
			out = append(out, f.Name)
		}
	}
	return out
}

// struck lists what differs from an earlier spec.
func (s *Spec) struck(old *Spec) []Struck {
	var out []Struck
	for i := range Fields {
		f := &Fields[i]
		if was, is := f.Value(old), f.Value(s); was != is {
			out = append(out, Struck{f.Name, was, is})
		}
	}
	return out
}

// CheckID refuses an id that no door can have.
func CheckID(id string) error {
	if !plainID.MatchString(id) {
		return wrong("door", "%q is no door id: letters, digits, dots and dashes, at most 40", cut(id, 40))
	}
	if sizes.MatchString(id) {
		return wrong("door", "%s looks like a size: the door's id comes first, as A-101", id)
	}
	if strings.EqualFold(id, "open") || strings.EqualFold(id, "log") {
		return wrong("door", "%q is a word of mine: a door of that name could not be spoken to", id)
	}
	return nil
}

// sizes matches what is no door's id.
var sizes = regexp.MustCompile(`(?i)^\d[\d.]*(x\d[\d.]*)+[a-z]*$`)

// check refuses words and names that can't be, all at once. Who was named
// before may have left the site since.
func (s *Spec) check(site *Site, old *Spec) error {
	var errs []error
	refuse := func(yes bool, field, key string, args ...any) {
		if yes {
			errs = append(errs, wrong(field, key, args...))
		}
	}
	errs = append(errs, CheckID(s.ID))
	if missing := s.Missing(); len(missing) > 0 {
		return errors.Join(append(errs, &MissingError{missing})...)
	}
	for i := range Fields {
		errs = append(errs, Fields[i].beyond(s))
	}
	refuse((s.DiagonalHeel == 0) != (s.DiagonalLead == 0), "diagonal heel", "one diagonal says nothing without the other: give both")
	if opening := s.Opening(); opening != s.plain() {
		if _, err := opening.Survey(); err != nil { // readings that contradict each other are taken again, not put on record
			errs = append(errs, err)
		}
	}
	refuse(s.Swing != BothWays && s.Swing != OneWay, "swing", "swing is %q: both ways or one way", cut(s.Swing, 40))
	refuse(s.Swing == BothWays && s.Handing != "", "handing", "a door that swings both ways has no handing, it is %q", cut(s.Handing, 40))
	refuse(s.Swing == OneWay && s.Handing != "left" && s.Handing != "right", "handing", "handing is %q: left or right", cut(s.Handing, 40))
	refuse(s.Heated && s.HasCover && s.CoverTo == "back", "cover", "the floor is heated and the cover is said to be to the back face: measure the one over the pipes and say cover, its mm and pipe, or cover none until it is measured")
	for _, word := range s.Status {
		known := slices.Contains([]string{"fire", "smoke", "escape"}, word) || word == "none" && len(s.Status) == 1
		refuse(!known, "status", "status is %q: fire, smoke, escape or none", cut(strings.Join(s.Status, " "), 40))
	}
	errs = append(errs, about("seen from", checkText(s.SeenFrom)), about("floor", checkText(s.Floor)), about("evidence", checkText(s.Evidence)))
	for _, id := range s.Crew {
		refuse(site.Role(id) == Guest && !slices.Contains(old.Crew, id), "crew", "%s is not named in the site file of %s", cut(id, 40), site.ID)
	}
	r := site.Role(s.Foreman)
	refuse(r != Foreman && s.Foreman != old.Foreman, "foreman", "%s is %s at %s, not foreman: roles come from the site file", cut(s.Foreman, 40), calc.Word(r), site.ID)
	return errors.Join(errs...)
}

// MissingError names what must be asked for before the door can be opened.
type MissingError struct{ Names []string }

func (e *MissingError) Error() string { return e.text().String() }

// Sentence asks for it.
func (e *MissingError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *MissingError) text() calc.Text {
	return calc.F("still to say: %s", list("%s, %s", shown(e.Names)))
}
