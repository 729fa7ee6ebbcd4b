package ask

import (
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
	Text   say.Text // of what the door has to say, as why its cure can't be told

	Results []Result // of a cure that runs
}

// askedDoor is the door that is asked about.
type Door struct {
	Inches bool
	Values map[string]Value
	Note   func(*Answer) // adds what the door has otherwise
}

// BondedDoor is the key under which a door with a bonded plate tells how far
// its cure has come.
const BondedDoor = "bonded"

// TestedDoor is the key under which a door whose gaps come from test evidence
// says what they are or wait for.
const TestedDoor = "tested"

// ShortDoor is the key under which a door says that its cover is too little
// for any pin.
const ShortDoor = "short"

// NotHere before the name of a verb is the key under which a door says why that
// question does not concern it.
const NotHere = "unasked "

// SettledDoor before the name of a general caution is the key under which a
// door says that its status or checklist has settled that.
const SettledDoor = "settled "

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
