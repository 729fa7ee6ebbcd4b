package ask

import (
	"slices"
	"time"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// Value is what a door gives for an input of a question.
type Value struct {
	Length calc.Length
	Angle  calc.Angle
	Word   string
	List   []calc.Length
	Number float64        // of a mass, a temperature or hours
	Table  []calc.CureRow // of an adhesive that has its own
	From   Origin
	At     time.Time
	Text   say.Text // of what the door has to say, as why its cure can't be told

	Results []Result // of a cure that runs
	Turn    *Turn    // how the screw is turned whose range it is
}

// Turn is how an adjusting screw is turned.
type Turn struct {
	Pitch     calc.Length
	Clockwise bool   // to the right moves it forth, as [calc.Adjuster] has it
	SeenFrom  string // "" if that is not known
}

// Door is the door that is asked about; without a Wall it is none, and only the
// doors of its site are known.
type Door struct {
	ID     string // "" in no door's thread
	Inches bool
	Wall   func(time.Time) time.Time // returns the instant at which the clocks of its site show what a time shows
	Values map[string]Value
	Note   func(*Answer)     // adds what the door has otherwise
	Others func() []SiteDoor // returns the doors in work at its site; nil where none are known
}

// away reports whether no door's thread is asked in.
func (d *Door) away() bool { return d == nil || d.Wall == nil }

// SiteDoor is what a door in work gives to a question about all of its site.
type SiteDoor struct {
	ID     string
	Tube   calc.Length   // its key tube, which is still to be cut; 0 for none
	Stocks []calc.Length // of key tube, by its sheet
	Kerf   calc.Length
	Glue   *calc.GlueDoor // what is still to be bonded, its film's thickness not known; nil for nothing
	Why    say.Text       // why nothing is known of what it takes
}

// BondedDoor is the key under which a door with a bonded plate tells how far
// its cure has come.
const BondedDoor = "bonded"

// TestedDoor is the key under which a door whose gaps come from test evidence
// says what they are or wait for.
const TestedDoor = "tested"

// UnmeasuredDoor is the key under which a door says what of its opening nobody
// has measured: an answer by its numbers must not be read without.
const UnmeasuredDoor = "unmeasured"

// ShortDoor is the key under which a door says that its cover is too little
// for any pin.
const ShortDoor = "short"

// JambsDoor is the key under which a door says by how much the width between
// plumb lines through its jambs' furthest points is less than its opening.
const JambsDoor = "jambs"

// PlumbDoor is the key under which a door says how far its head was read off plumb,
// whichever way, and when.
const PlumbDoor = "read plumb"

// WantedDoor before the name of a gap at a corner is the key under which a door says
// what its list wants of that: what it is set out to be, the least and the most.
const WantedDoor = "wanted "

// BowDoor is the key under which a door says how far the middle of its heel jamb, and
// of its leading jamb, stands in.
const BowDoor = "bow"

// ScrewDoor before head, floor, height or engagement is the key under which a door
// says the pitch of that screw by its sheet, and what the sheet calls it.
const ScrewDoor = "screw "

// NotHere before the name of a verb is the key under which a door says why that
// question does not concern it.
const NotHere = "unasked "

// SettledDoor before the name of a general caution is the key under which a
// door says that its status or checklist has settled that.
const SettledDoor = "settled "

// byOpening are the questions whose answers follow from a door's opening.
var byOpening = []string{"plate", "clear", "leaf"}

// unmeasured puts what of the door's opening is not measured into the headline
// of an answer that is by the door's own numbers.
func (k *Inquiry) unmeasured() {
	d, ok := k.Door[UnmeasuredDoor]
	ofDoor := func(g Given) bool { return g.From == FromDoor }
	said := k.Q.Verb.Name == "leaf" && d.Word == "" // its own answer has what is not plumb or level
	if ok && !said && k.A.OK() && slices.Contains(byOpening, k.Q.Verb.Name) && slices.ContainsFunc(k.A.Inputs, ofDoor) {
		k.A.Beside = append(k.A.Beside, d.Text)
		k.A.Notes = append(k.A.Notes, d.Text)
	}
}

// fromDoor takes an input from the door, and notes that it came from there.
func (k *Inquiry) fromDoor(in *Input, kind GivenKind) Value {
	d, ok := k.Door[in.Name]
	if !ok || d.From == "" {
		return Value{}
	}
	g := Given{Name: in.Name, Kind: kind, Length: d.Length, Angle: d.Angle, Word: d.Word, From: d.From}
	switch kind {
	case LengthValue:
		g.Shown = say.Plain(k.ShowOwn(d.Length))
	case AngleValue:
		g.Shown = say.Plain(lex.DegreeText(d.Angle))
	default:
		g.Shown = say.F("%s %s", in.Said(), say.Name(d.Word))
	}
	k.A.Inputs = append(k.A.Inputs, g)
	return d
}
