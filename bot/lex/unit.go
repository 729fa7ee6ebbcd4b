package lex

import (
	"slices"
	"strings"

	"heelpost/calc"
)

// unitRow is a unit with what people call it.
type unitRow struct {
	unit    Unit      // as a number has it; Bare: none takes it
	names   string    // lower case
	reading string    // the unit of readings that it is, "" of none
	kg      calc.Mass // of a mass
	worth   float64   // in the first unit of its kind; 0: it is that
	time    bool      // of a length of time, which stands right behind its number: not 60 a day
}

// A pound of force in newtons, and a mile an hour in m/s.
const (
	poundForce = float64(calc.Pound) * 9.80665
	mileAnHour = 1609.344 / 3600
)

// units is every unit that people type behind a number, also those that nothing
// here is measured in.
var units = []unitRow{
	{unit: millimetres, names: "mm mms millimetre millimetres millimeter millimeters"},
	{unit: centimetres, names: "cm cms centimetre centimetres centimeter centimeters"},
	{unit: metres, names: "m metre metres meter meters"},
	{unit: inches, names: "in inch inches ins"},
	{unit: feet, names: "ft foot feet"},
	{unit: Degrees, names: "deg degs degree degrees"},
	{unit: Kilograms, names: "kg kgs kilo kilos kilogram kilograms", kg: 1},
	{unit: Kilograms, names: "lb lbs pound pounds", kg: calc.Pound, worth: float64(calc.Pound)},
	{unit: Kilograms, names: "g gram grams", worth: 1e-3},
	{unit: Kilograms, names: "t tonne tonnes", worth: 1e3},
	{unit: Kilograms, names: "stone stones", worth: 14 * float64(calc.Pound)}, // 14 lb: from memory
	{unit: Celsius, names: "c celsius °c", reading: "°C"},
	{unit: Hours, names: "h hr hrs hour hours"},
	{unit: Newtons, names: "n newton newtons", reading: "N"},
	{unit: Newtons, names: "kn", reading: "N", worth: 1000},
	{unit: Newtons, names: "lbf", reading: "N", worth: poundForce},
	{unit: MetresASecond, names: "m/s", reading: "m/s"},
	{unit: MetresASecond, names: "km/h kmh kph", reading: "m/s", worth: 1 / 3.6},
	{unit: MetresASecond, names: "mph", reading: "m/s", worth: mileAnHour},
	{unit: MetresASecond, names: "knot knots kt kts", worth: 1852.0 / 3600}, // a nautical mile an hour: ISO 80000-3, from memory
	{unit: Pascals, names: "pa pascal pascals"},
	{unit: Pascals, names: "kpa kn/m² kn/m2", worth: 1e3},
	{unit: Pascals, names: "mpa n/mm² n/mm2", worth: 1e6},
	{unit: Pascals, names: "psi", worth: poundForce / (0.0254 * 0.0254)},
	{unit: Millilitres, names: "ml millilitre millilitres milliliter milliliters"},
	{unit: Percents, names: "% cm-% percent percents"},
	{unit: Kelvins, names: "k kelvin kelvins"},
	{unit: KilogramsACubicMetre, names: "kg/m³ kg/m3"},
	{unit: Seconds, names: "s sec secs seconds", reading: "s"},
	{names: "second", reading: "s"}, // to questions a second piece
	{unit: Hours, names: "min mins minute minutes", worth: 1.0 / 60, time: true},
	{unit: Hours, names: "day days", worth: 24, time: true},
	{unit: Hours, names: "week weeks", worth: 7 * 24, time: true},
	{names: "d", time: true},
	{unit: fahrenheit, names: "f °f fahrenheit", reading: "°C"},
	{names: "kgf dan bft beaufort ms bar"},
}

var (
	// UnitWords are the units of lengths and angles: they are part of a number.
	UnitWords = byName(func(u *unitRow) (Unit, bool) { return u.unit, u.inNumber() })
	// MassUnits are the units of a mass, in kg.
	MassUnits = byName(func(u *unitRow) (calc.Mass, bool) { return u.kg, u.kg != 0 })

	// quantityWords are units that only questions know: to a door's description
	// they are words of their own.
	quantityWords = byName(func(u *unitRow) (quantityUnit, bool) { return u.quantity(), u.unit > Degrees })
	quantityMarks = marks()
	readingUnits  = byName(func(u *unitRow) (string, bool) { return u.reading, !u.inNumber() })
	timeWords     = byName(func(u *unitRow) (bool, bool) { return true, u.time })
)

// IsUnit reports whether a text is one of the units that are no length's, as kg or
// m/s.
func IsUnit(text string) bool { return quantityWords[strings.ToLower(text)].unit != Bare }

// inNumber reports whether the unit is read with its number.
func (u *unitRow) inNumber() bool { return u.unit != Bare && u.unit <= Degrees }

// quantityUnit is a unit that only questions know, and what it is worth in the
// first of its kind.
type quantityUnit struct {
	unit  Unit
	worth float64
}

func (u *unitRow) quantity() quantityUnit {
	if u.worth == 0 {
		return quantityUnit{u.unit, 1}
	}
	return quantityUnit{u.unit, u.worth}
}

// marks returns the units of questions that are written with signs, the longer
// ones first.
func marks() (all []string) {
	for i := range units {
		for _, name := range strings.Fields(units[i].names) {
			if strings.ContainsAny(name, "/%") {
				all = append(all, name)
			}
		}
	}
	slices.SortFunc(all, func(a, b string) int { return len(b) - len(a) })
	return all
}

// byName returns what the units have for a value, for those that have one.
func byName[V any](value func(*unitRow) (V, bool)) map[string]V {
	all := map[string]V{}
	for i := range units {
		v, ok := value(&units[i])
		for _, name := range strings.Fields(units[i].names) {
			if ok {
				all[name] = v
			}
		}
	}
	return all
}

// ReadingUnit returns the unit of readings that a word behind a number is, ""
// of one that no reading has; ok is false if it is no unit, or one that is part
// of the number.
func ReadingUnit(word string) (unit string, ok bool) {
	unit, ok = readingUnits[strings.ToLower(word)]
	return unit, ok
}

// InReadingUnit returns a reading that was typed in a unit, in the unit of
// readings that it is.
func InReadingUnit(v float64, word string) float64 {
	u := quantityWords[strings.ToLower(word)]
	switch {
	case u.unit == fahrenheit:
		return celsius(v)
	case u.worth != 0:
		return v * u.worth
	}
	return v
}

// celsius returns a temperature in °F in °C.
func celsius(v float64) float64 { return (v - 32) * 5 / 9 }

// Sure reports whether a number can be read in one way only. In is a unit
// here: where a remark may begin with it, ask for WordIn.
func (n *Number) Sure() bool { return n.Doubt == Certain || n.Doubt == WordIn }

// Unitless reports whether a length may be inches or mm, as no unit stands
// behind it and inches are spoken.
func (n *Number) Unitless(inches bool) bool { return inches && n.Unit == Bare && n.Length != 0 }

// UnitError asks whether a length is inches or mm.
type UnitError struct {
	Raw    string // the number as typed
	Beside bool   // other lengths are in inches; else the answer is wanted in them
}

// Sentence returns what is asked.
func (e *UnitError) Sentence() (key string, args []any) {
	if e.Beside {
		return "%s stands beside inches: is it inches or mm? give it with its unit", []any{e.Raw}
	}
	return "%s: is that inches or mm? give it with its unit", []any{e.Raw}
}

func (e *UnitError) Error() string {
	key, _ := e.Sentence()
	return strings.Replace(key, "%s", e.Raw, 1)
}

// WholeLength reads a text that is one length and nothing else; false if it is
// not, or can be read in two ways.
func WholeLength(text string) (Number, bool) {
	n, ok := ScanNumber(text, 0)
	return n, ok && n.End == len(text) && n.Unit != Degrees && !n.Toleranced && n.Sure()
}

// WholeMass reads a text that is one mass and nothing else, in kg if no unit is
// said.
func WholeMass(text string) (calc.Mass, bool) {
	n, ok := ScanNumber(text, 0)
	if !ok || n.Unit != Bare || n.Doubt != Certain || n.Toleranced {
		return 0, false
	}
	unit := calc.Mass(1)
	if name := strings.ToLower(strings.TrimSpace(text[n.End:])); name != "" {
		if unit, ok = MassUnits[name]; !ok {
			return 0, false
		}
	}
	return calc.Mass(n.Plain) * unit, true
}
