package jobs

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/calc"
)

// Spec is what was surveyed and agreed of a door.
type Spec struct {
	Site          string      `json:"site"`
	ID            string      `json:"id"`
	OpeningWidth  calc.Length `json:"opening_width"` // between finished jambs
	OpeningHeight calc.Length `json:"opening_height"`
	Width         calc.Length `json:"width"` // of the leaf
	Height        calc.Length `json:"height"`
	Thickness     calc.Length `json:"thickness"`
	Setback       calc.Length `json:"setback"`
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
	case filled != s.OpeningWidth:
		return calc.F(gapsDontFill,
			s.Tell(s.Width), s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead), s.Tell(filled), s.Tell(s.OpeningWidth))
	}
	return calc.Text{}
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

// fact is a value of the spec in words.
type fact struct{ name, value string }

// facts returns the spec in words, in the order it is asked for.
func (s *Spec) facts() []fact {
	length := func(l calc.Length) string {
		if l == 0 {
			return ""
		}
		return s.Tell(l)
	}
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return ""
	}
	mass, cover, cycles := "", "", ""
	if s.Mass != 0 {
		mass = s.Mass.String()
		if s.Estimated {
			mass = calc.F(estimated, mass).String()
		}
	}
	if s.HasCover {
		cover = strings.TrimSpace(s.Tell(s.Cover) + " " + s.CoverTo)
	}
	if s.CyclesDay != 0 {
		cycles = strconv.Itoa(s.CyclesDay)
	}
	return []fact{
		{"door", s.ID}, {"width", length(s.Width)}, {"height", length(s.Height)}, {"thickness", length(s.Thickness)},
		{"setback", length(s.Setback)}, {"opening", length(s.OpeningWidth)}, {"opening height", length(s.OpeningHeight)},
		{"swing", s.Swing}, {"handing", s.Handing}, {"seen from", s.SeenFrom}, {"mass", mass}, {"floor", s.Floor},
		{"status", strings.Join(s.Status, " ")}, {"sheet", s.Sheet}, {"crew", strings.Join(s.Crew, " ")}, {"foreman", s.Foreman},
		{"covering", length(s.Covering)}, {"heated", yes(s.Heated)}, {"cover", cover}, {"without pins", yes(s.Pinless)}, {"lining", length(s.Lining)},
		{"stop width", length(s.StopWidth)}, {"seals", yes(s.Seals)}, {"latch", yes(s.Latch)},
		{"heel gap by evidence", length(s.EvidenceHeel)}, {"leading gap by evidence", length(s.EvidenceLead)},
		{"evidence", s.Evidence}, {"cycles a day", cycles}, {"sheet file", s.SheetHash},
	}
}

// Missing returns the names of what must still be asked for, in order.
// Handing is asked of a one-way door only.
func (s *Spec) Missing() []string {
	var out []string
	for _, f := range s.facts()[:16] {
		asked := f.name != "handing" && f.name != "seen from" || s.Swing == OneWay
		if f.value == "" && asked {
			out = append(out, f.name)
		}
	}
	return out
}

// struck lists what differs from an earlier spec.
func (s *Spec) struck(old *Spec) []Struck {
	var out []Struck
	was := old.facts()
	for i, f := range s.facts() {
		if f.value != was[i].value {
			out = append(out, Struck{f.name, was[i].value, f.value})
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
	refuse(s.Swing != BothWays && s.Swing != OneWay, "swing", "swing is %q: both ways or one way", cut(s.Swing, 40))
	refuse(s.Swing == BothWays && s.Handing != "", "handing", "a door that swings both ways has no handing, it is %q", cut(s.Handing, 40))
	refuse(s.Swing == OneWay && s.Handing != "left" && s.Handing != "right", "handing", "handing is %q: left or right", cut(s.Handing, 40))
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
