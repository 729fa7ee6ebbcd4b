package jobs

import (
	"slices"
	"strconv"
	"strings"

	"heelpost/calc"
)

// FieldError is a refusal of one thing that was said.
type FieldError struct {
	Field string // by its name in [Spec.Missing], in the command, or the item's
	Err   error
}

func (e *FieldError) Error() string { return e.Err.Error() }

// Sentence says what the error underneath says.
func (e *FieldError) Sentence() (key string, args []any) { return "%s", []any{e.Err} }

// Unwrap returns the error underneath.
func (e *FieldError) Unwrap() error { return e.Err }

// wrong refuses a field, in words.
func wrong(field, key string, args ...any) error {
	return about(field, calc.F(key, args...))
}

// about says which field an error is about, if it is one.
func about(field string, err error) error {
	if err == nil {
		return nil
	}
	return &FieldError{field, err}
}

// Field is one thing that is known of a door. Whatever is done with it is read
// from its row in [Fields]: a new one is a field of [Spec] and a row. Texts are
// sentences as bot/say takes them.
type Field struct {
	Name    string             // as people see it; with _ for a space as the form names it
	At      func(*Spec) any    // where it is kept: a pointer, whose type is what it takes; to a *Length that is nil of one either way that is not known
	Text    func(*Spec) string // its value in words, where the type does not say enough
	Needed  func(*Spec) bool   // whether it must be said; nil: it may be left out
	Most    int64              // farthest from 0 that it may be, in the unit it is kept in; 0: what is reckoned with it says so
	Ways    []string           // of a length either way, what is said for +, 0 and -: to heel, level, to lead
	Takes   Action             // what it takes to correct it, if not [Correct]
	Found   bool               // it is measured at the opening: a correction is put on record whether the leaf fits or not
	Card    string             // the number of the card that it is; the items that freeze that one freeze it
	Figures []string           // the figures of calc that are refused for its sake, where they have another name
	Gives   string             // the input of questions that it is, of a length or a mass

	Words   []string // that it is said with in a description, before its value
	After   []string // words that are only said behind its number: 1050 wide
	Chooses bool     // those words are no mere name: they choose, as left or heated
	Ask     string   // how it is asked for when it is missing
	Before  string   // what is put before the reply to that
	Says    string   // how it is told in the line on a door, in which %s is its value; "": beside another

	Label string // in the form that opens a door; "": that does not ask for it
	Hint  string
	Above string // the field that it stands above in the form, if it does not stand in this order
}

// ofAll and ofOneWay say which doors must have a field.
func ofAll(*Spec) bool      { return true }
func ofOneWay(s *Spec) bool { return s.Swing == OneWay }

// Fields is all that is known of a door, in the order it is asked for and told.
var Fields = []Field{
	{Name: "door", At: func(s *Spec) any { return &s.ID }, Needed: ofAll,
		Ask: "which door? give its id, as A-101", Label: "Door id", Hint: "as A-101: letters, digits, dots and dashes"},
	{Name: "width", At: func(s *Spec) any { return &s.Width }, Needed: ofAll, Card: "leaf_width", Gives: "width",
		Words: []string{"width"}, After: []string{"wide"}, Ask: "the leaf, width x height x thickness, as 1050x2350x44", Before: "leaf",
		Label: "Leaf width, mm", Hint: "as 1050"},
	{Name: "height", At: func(s *Spec) any { return &s.Height }, Needed: ofAll, Card: "leaf_height", Gives: "leaf_height", // height is the opening's
		Words: []string{"height"}, After: []string{"high", "tall"}, Ask: "the leaf's height, as 2350", Before: "height",
		Label: "Leaf height, mm", Hint: "as 2350"},
	{Name: "thickness", At: func(s *Spec) any { return &s.Thickness }, Needed: ofAll, Card: "leaf_thickness", Gives: "thickness",
		Words: []string{"thickness"}, After: []string{"thick"}, Ask: "the leaf's thickness, as 44", Before: "thickness",
		Label: "Leaf thickness, mm", Hint: "as 44"},
	{Name: "setback", At: func(s *Spec) any { return &s.Setback }, Needed: ofAll, Gives: "setback", Says: "setback %s",
		Words: []string{"setback"}, Ask: "the setback, from the leaf's heel edge to the pivot axis, as 65", Before: "setback",
		Label: "Setback, mm", Hint: "from the leaf's heel edge to the pivot axis, as 65"},
	{Name: "opening", At: func(s *Spec) any { return &s.OpeningWidth }, Found: true, Needed: ofAll, Figures: []string{"gap", "width_bottom"}, Gives: "opening",
		Words: []string{"opening"}, Ask: "the opening between finished jambs, width x height, as 1068x2372", Before: "opening",
		Label: "Opening width, mm", Hint: "between finished jambs, as 1068"},
	{Name: "opening height", At: func(s *Spec) any { return &s.OpeningHeight }, Found: true, Needed: ofAll, Figures: []string{"height_heel"}, Gives: "height",
		Words: []string{"opening height"}, Ask: "the opening's height, as 2372", Before: "opening height",
		Label: "Opening height, mm", Hint: "as 2372"},
	{Name: "lean heel", At: func(s *Spec) any { return &s.LeanHeel }, Found: true, Most: int64(50 * mm), Gives: "lean_heel", Says: "lean heel %s",
		Words: []string{"lean heel", "lean_heel"}, Ask: "how far does the heel jamb's head stand into the opening from its foot? as 3, or -2 if it stands out", Before: "lean heel",
		Label: "Lean of the heel jamb, mm", Hint: "its head from its foot, + into the opening; empty if not read"},
	{Name: "lean lead", At: func(s *Spec) any { return &s.LeanLead }, Found: true, Most: int64(50 * mm), Gives: "lean_lead", Says: "lean lead %s",
		Words: []string{"lean lead", "lean_lead"}, Ask: "how far does the leading jamb's head stand into the opening from its foot? as 3, or -2 if it stands out", Before: "lean lead",
		Label: "Lean of the leading jamb, mm", Hint: "its head from its foot, + into the opening; empty if not read"},
	{Name: "floor fall", At: func(s *Spec) any { return &s.FloorFall }, Found: true, Most: int64(100 * mm), Ways: []string{"to heel", "level", "to lead"},
		Gives: "floor_fall", Says: "floor fall %s", Words: []string{"floor fall", "floor_fall"}, Ask: "how much does the floor fall, and to which jamb? as 3 to heel, 2 to lead, or level", Before: "floor fall",
		Label: "Fall of the floor, mm", Hint: "between the jambs' feet: 3 to heel, 2 to lead, level; empty if not read"},
	{Name: "width top", At: func(s *Spec) any { return &s.WidthTop }, Found: true, Says: "opening at the top %s", Words: []string{"width top", "width_top"},
		Label: "Opening width at the top, mm", Hint: "the width above is at the feet; empty if not read"},
	{Name: "width middle", At: func(s *Spec) any { return &s.WidthMiddle }, Found: true, Says: "at mid-height %s", Words: []string{"width middle", "width_middle"},
		Label: "Opening width at mid-height, mm", Hint: "empty if not read"},
	{Name: "height middle", At: func(s *Spec) any { return &s.HeightMiddle }, Found: true, Says: "height in the middle %s", Words: []string{"height middle", "height_middle"},
		Label: "Opening height in the middle, mm", Hint: "empty if not read"},
	{Name: "height lead", At: func(s *Spec) any { return &s.HeightLead }, Found: true, Says: "height at the leading jamb %s", Words: []string{"height lead", "height_lead"},
		Label: "Opening height at the leading jamb, mm", Hint: "the height above is at the heel jamb; empty if not read"},
	{Name: "bow heel", At: func(s *Spec) any { return &s.BowHeel }, Found: true, Most: int64(50 * mm), Gives: "bow_heel", Says: "bow heel %s", Words: []string{"bow heel", "bow_heel"},
		Ask: "how far does the heel jamb's middle stand into the opening from a straightedge between its ends? as 2, or -1 if it is hollow", Before: "bow heel",
		Label: "Bow of the heel jamb, mm", Hint: "its middle from a straightedge, + into the opening; empty if not read"},
	{Name: "diagonal heel", At: func(s *Spec) any { return &s.DiagonalHeel }, Found: true, Figures: []string{"diagonal_1"}, Gives: "diagonal_1", Says: "diagonal from the heel jamb's foot %s", Words: []string{"diagonal heel", "diagonal_heel"},
		Label: "Diagonal from the heel jamb's foot, mm", Hint: "to the leading jamb's head; give both or neither"},
	{Name: "diagonal lead", At: func(s *Spec) any { return &s.DiagonalLead }, Found: true, Figures: []string{"diagonal_2"}, Gives: "diagonal_2", Says: "diagonal from the leading jamb's foot %s", Words: []string{"diagonal lead", "diagonal_lead"},
		Label: "Diagonal from the leading jamb's foot, mm", Hint: "to the heel jamb's head; give both or neither"},
	{Name: "swing", At: func(s *Spec) any { return &s.Swing }, Needed: ofAll,
		Words: []string{"both", "one"}, Chooses: true, Ask: "does it swing both ways, or one way against a fixed stop?",
		Label: "Swing"},
	{Name: "handing", At: func(s *Spec) any { return &s.Handing }, Needed: ofOneWay,
		Words: []string{"left", "right"}, Chooses: true, Ask: "is it left or right, and seen from which side? as left seen from the corridor",
		Label: "Handing", Hint: "of a one-way door"},
	{Name: "seen from", At: func(s *Spec) any { return &s.SeenFrom }, Needed: ofOneWay,
		Words: []string{"seen"}, Chooses: true, Ask: "seen from which side is that? as the corridor", Before: "seen from",
		Label: "Handing seen from", Hint: "as the corridor"},
	{Name: "mass", At: func(s *Spec) any { return &s.Mass }, Text: (*Spec).massText, Needed: ofAll, Figures: []string{"density"}, Gives: "mass",
		Words: []string{"mass", "weight", "weighs"}, Ask: "the leaf's mass in kg or lb, weighed or estimated, as 88 weighed", Before: "mass",
		Label: "Leaf mass, kg", Hint: "as 88", Above: "swing"},
	{Name: "floor", At: func(s *Spec) any { return &s.Floor }, Needed: ofAll,
		Words: []string{"floor"}, Ask: "what the floor plate stands on, as the sheet names it: screed, concrete", Before: "floor",
		Label: "Floor", Hint: "what holds the floor plate"},
	{Name: "heated", At: func(s *Spec) any { return &s.Heated },
		Words: []string{"heated", "unheated"}, Chooses: true, Label: "Floor heating"},
	{Name: "tendons", At: func(s *Spec) any { return &s.Tendons }, Says: "tendons in the slab",
		Words: []string{"tendons", "tendon", "post tensioned", "posttensioned", "prestressed", "pre stressed", "pretensioned", "pre tensioned", "pt"}, Chooses: true,
		Label: "Tendons in the slab", Hint: "post-tensioned, precast or hollow core: then no depth is told before its engineer has said where"},
	{Name: "cover", At: func(s *Spec) any { return &s.Cover }, Found: true, Text: (*Spec).coverText, Figures: []string{"cover_left", "tip_depth"}, Gives: "cover", Says: "cover %s",
		Words: []string{"cover"}, Label: "Cover, mm", Hint: "from the surface to what lies below; empty if not measured"},
	{Name: "covering", At: func(s *Spec) any { return &s.Covering }, Figures: []string{"template"}, Gives: "covering", Says: "covering %s",
		Words: []string{"covering"}, Label: "Floor covering, mm", Hint: "left in place and drilled through"},
	{Name: "lining", At: func(s *Spec) any { return &s.Lining }, Gives: "lining", Says: "lining %s",
		Words: []string{"lining"}, Label: "Jamb lining, mm", Hint: "with packers"},
	{Name: "stop width", At: func(s *Spec) any { return &s.StopWidth }, Gives: "stop_width", Says: "stop %s",
		Words: []string{"stop"}, Label: "Stop width, mm", Hint: "of a stop on the jamb"},
	{Name: "without pins", At: func(s *Spec) any { return &s.Pinless }, Says: "without pins"},
	{Name: "status", At: func(s *Spec) any { return &s.Status }, Needed: ofAll,
		Words: []string{"fire", "smoke", "escape", "ordinary"}, Chooses: true, Ask: "is it a fire, smoke or escape door, or an ordinary one?",
		Label: "Status", Hint: "none: neither fire, smoke nor escape door"},
	{Name: "heel gap by evidence", At: func(s *Spec) any { return &s.EvidenceHeel }, Takes: Evidence},
	{Name: "leading gap by evidence", At: func(s *Spec) any { return &s.EvidenceLead }, Takes: Evidence},
	{Name: "evidence", At: func(s *Spec) any { return &s.Evidence }, Takes: Evidence, Words: []string{"evidence"}},
	{Name: "seals", At: func(s *Spec) any { return &s.Seals }, Says: "seals", Words: []string{"seals"}, Chooses: true, Above: "status"},
	{Name: "latch", At: func(s *Spec) any { return &s.Latch }, Says: "latch", Words: []string{"latch"}, Chooses: true},
	{Name: "cycles a day", At: func(s *Spec) any { return &s.CyclesDay }, Most: 10_000, Says: "%s cycles a day", Words: []string{"cycles"}},
	{Name: "sheet", At: func(s *Spec) any { return &s.Sheet }, Needed: ofAll, Says: "sheet %s",
		Words: []string{"sheet"}, Ask: "which hardware sheet?", Before: "sheet", Label: "Hardware sheet"},
	{Name: "sheet file", At: func(s *Spec) any { return &s.SheetHash }},
	{Name: "crew", At: func(s *Spec) any { return &s.Crew }, Needed: ofAll, Takes: Assign,
		Words: []string{"crew"}, Ask: "who is the crew? as @ana @bo", Before: "crew", Label: "Crew"},
	{Name: ownItems, At: func(s *Spec) any { return &s.Own }, Text: (*Spec).ownText, Found: true, Takes: Assign, Words: []string{"own items", "items"}, Chooses: true},
	{Name: takenOver, At: func(s *Spec) any { return &s.Taken }, Text: (*Spec).takenText, Found: true},
	{Name: "foreman", At: func(s *Spec) any { return &s.Foreman }, Needed: ofAll, Takes: Assign, Says: "foreman @%s",
		Words: []string{"foreman"}, Ask: "who is the foreman? as @mo", Before: "foreman", Label: "Foreman"},
}

// FieldNamed returns the row of a field, nil if there is none of that name.
func FieldNamed(name string) *Field {
	return ptr(Fields, func(f Field) bool { return f.Name == name })
}

// FieldRefused returns the name of the field that a refused figure of calc comes
// from.
func FieldRefused(figure string) string {
	if f := ptr(Fields, func(f Field) bool { return slices.Contains(f.Figures, figure) }); f != nil {
		return f.Name
	}
	return strings.ReplaceAll(figure, "_", " ")
}

// Value returns what a door's field is in words, "" if that is not said or no.
func (f *Field) Value(s *Spec) string {
	if f.Text != nil {
		return f.Text(s)
	}
	switch at := f.At(s).(type) {
	case *string:
		return *at
	case *[]string:
		return strings.Join(*at, " ")
	case *calc.Length:
		if *at != 0 {
			return s.Tell(*at)
		}
	case **calc.Length:
		if *at != nil {
			length, way := f.Way(s, **at)
			return strings.TrimSpace(length + " " + way)
		}
	case *bool:
		if *at {
			return "yes"
		}
	case *int:
		if *at != 0 {
			return strconv.Itoa(*at)
		}
	}
	return ""
}

// Way tells a length either way, and which way it goes; the way alone of one
// that goes neither, and the length with its sign where the field has no words
// for it.
func (f *Field) Way(s *Spec, l calc.Length) (length, way string) {
	switch {
	case f.Ways == nil:
		return s.Tell(l), ""
	case l > 0:
		return s.Tell(l), f.Ways[0]
	case l < 0:
		return s.Tell(-l), f.Ways[2]
	}
	return "", f.Ways[1]
}

// beyond refuses a length either way that is farther from 0 than it may be.
func (f *Field) beyond(s *Spec) error {
	at, ok := f.At(s).(**calc.Length)
	if !ok || *at == nil || (*at).Abs() <= calc.Length(f.Most) {
		return nil
	}
	return wrong(f.Name, "%s is %s, but it must be at most %s", f.Name, f.Value(s), s.Tell(calc.Length(f.Most)))
}

func (s *Spec) massText() string {
	switch {
	case s.Mass == 0:
		return ""
	case s.Estimated:
		return s.TellMass() + " estimated"
	}
	return s.TellMass()
}

// TellMass returns the leaf's mass in words, in lb beside kg if it was given in
// them.
func (s *Spec) TellMass() string { return s.tellMass(s.Mass) }

func (s *Spec) tellMass(m calc.Mass) string {
	if s.Pounds {
		return m.InPounds()
	}
	return m.String()
}

func (s *Spec) coverText() string {
	if !s.HasCover {
		return ""
	}
	return strings.TrimSpace(s.Tell(s.Cover) + " " + s.CoverTo)
}
