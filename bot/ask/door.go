package ask

import (
	"heelpost/bot/lex"
	"heelpost/calc"
)

// DoorValue is what a door gives for an input of a question.
type DoorValue struct {
	Length calc.Length
	Angle  calc.Angle
	Word   string
	List   []calc.Length
	Number float64        // of a mass, a temperature or hours
	Table  []calc.CureRow // of an adhesive that has its own
	From   Origin

	Results []Result // of a cure that runs
}

// askedDoor is the door that is asked about.
type Door struct {
	Inches bool
	Values map[string]DoorValue
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

// fromDoor takes an input from the door, and notes that it came from there.
func (k *Inquiry) fromDoor(name string, kind GivenKind) DoorValue {
	d, ok := k.Door[name]
	if !ok || d.From == "" {
		return DoorValue{}
	}
	g := Given{Name: name, Kind: kind, Length: d.Length, Angle: d.Angle, Word: d.Word, From: d.From}
	switch kind {
	case LengthValue:
		g.Shown = k.ShowOwn(d.Length)
	case AngleValue:
		g.Shown = lex.DegreeText(d.Angle)
	default:
		g.Shown = lex.Words(name) + " " + d.Word
	}
	k.A.Inputs = append(k.A.Inputs, g)
	return d
}
