package lex

import (
	"strings"

	"heelpost/calc"
)

// A quantityUnit is a unit that only questions know, and how many of the first
// of its kind it is.
type quantityUnit struct {
	unit  Unit
	worth float64
}

// Newtons and pascals of a pound of force, and metres a second of a mile an hour.
const (
	poundForce    = float64(calc.Pound) * 9.80665
	poundAnInch   = poundForce / (0.0254 * 0.0254)
	mileAnHour    = 1609.344 / 3600
	kilometreHour = 1 / 3.6
)

// quantityWords are the units that only questions know: to a door's
// description they are words of their own.
var quantityWords = map[string]quantityUnit{
	"kg": {Kilograms, 1}, "kgs": {Kilograms, 1}, "kilo": {Kilograms, 1}, "kilos": {Kilograms, 1}, "kilogram": {Kilograms, 1}, "kilograms": {Kilograms, 1},
	"lb": {Kilograms, float64(calc.Pound)}, "lbs": {Kilograms, float64(calc.Pound)}, "pound": {Kilograms, float64(calc.Pound)}, "pounds": {Kilograms, float64(calc.Pound)},
	"c": {Celsius, 1}, "celsius": {Celsius, 1}, "f": {fahrenheit, 1}, "fahrenheit": {fahrenheit, 1}, "k": {Kelvins, 1}, "kelvin": {Kelvins, 1}, "kelvins": {Kelvins, 1},
	"h": {Hours, 1}, "hr": {Hours, 1}, "hrs": {Hours, 1}, "hour": {Hours, 1}, "hours": {Hours, 1},
	"s": {Seconds, 1}, "sec": {Seconds, 1}, "secs": {Seconds, 1}, "seconds": {Seconds, 1},
	"mph": {MetresASecond, mileAnHour}, "kmh": {MetresASecond, kilometreHour}, "kph": {MetresASecond, kilometreHour},
	"n": {Newtons, 1}, "newton": {Newtons, 1}, "newtons": {Newtons, 1}, "kn": {Newtons, 1000}, "lbf": {Newtons, poundForce},
	"pa": {Pascals, 1}, "pascal": {Pascals, 1}, "pascals": {Pascals, 1}, "kpa": {Pascals, 1e3}, "mpa": {Pascals, 1e6}, "psi": {Pascals, poundAnInch},
	"percent": {Percents, 1}, "percents": {Percents, 1},
}

// quantityMarks are the units that are written with signs, in lower case and
// the longer ones first.
var quantityMarks = []struct {
	mark string
	quantityUnit
}{
	{"km/h", quantityUnit{MetresASecond, kilometreHour}}, {"m/s", quantityUnit{MetresASecond, 1}},
	{"n/mm²", quantityUnit{Pascals, 1e6}}, {"n/mm2", quantityUnit{Pascals, 1e6}}, {"kn/m²", quantityUnit{Pascals, 1e3}}, {"kn/m2", quantityUnit{Pascals, 1e3}},
	{"kg/m³", quantityUnit{KilogramsACubicMetre, 1}}, {"kg/m3", quantityUnit{KilogramsACubicMetre, 1}},
	{"cm-%", quantityUnit{Percents, 1}}, {"cm %", quantityUnit{Percents, 1}}, {"%", quantityUnit{Percents, 1}},
}

// isQuantity reports whether a word is a unit that only questions know.
func isQuantity(word string) bool { return quantityWords[word].unit != Bare }

// timeWords are units of time that no question takes.
var timeWords = WordSet("min mins minute minutes d day days week weeks")

// Quantities joins numbers with the words behind them that are their units.
// h, c, f, s, k and n are units only where no length follows: they may be names
// as well.
func Quantities(text string, tokens []Token) []Token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.Kind != NumberToken {
			out = append(out, t)
			continue
		}
		if u, end := marked(text, &t); end > 0 {
			t.measure(text, u, end)
			for i+1 < len(tokens) && tokens[i+1].Start < end {
				i++
			}
		} else if i+1 < len(tokens) && tokens[i+1].Kind == WordToken {
			t.Num.Timed = timeWords[tokens[i+1].Word] && strings.TrimSpace(text[t.End:tokens[i+1].Start]) == "" // not 60 a day
			if t.Num.Timed && len(tokens[i+1].Word) > 1 {
				t.End = tokens[i+1].End
				i++
				out = append(out, t)
				continue
			}
			u, known := quantityWords[tokens[i+1].Word]
			name := len(tokens[i+1].Word) == 1 && i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken && tokens[i+2].Num.Unit != Degrees || t.Num.Unit == Bare && (tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':'))
			if known && !name && (t.Num.Unit == Bare || t.Num.Unit == Degrees && (u.unit == Celsius || u.unit == fahrenheit)) {
				t.measure(text, u, tokens[i+1].End)
				i++
			}
		}
		out = append(out, t)
	}
	return out
}

// measure gives the number of a token its unit, which ends at end.
func (t *Token) measure(text string, u quantityUnit, end int) {
	t.End = end
	t.Num.Unit, t.Num.End, t.Num.Raw = u.unit, end, text[t.Start:end]
	t.Num.Plain *= u.worth
	if u.unit == fahrenheit {
		t.Num.Unit, t.Num.Plain = Celsius, (t.Num.Plain-32)*5/9
	}
	if t.Num.Doubt == Fraction {
		t.Num.Doubt = Certain // half an hour
	}
}

// marked returns the unit with a sign in it behind a number, and where it
// ends; 0 if there is none.
func marked(text string, t *Token) (quantityUnit, int) {
	at := t.End
	switch {
	case t.Num.Unit == metres || t.Num.Unit == centimetres: // 25 m/s, 1.8 CM-%
		for at > t.Start && isLetter(text[at-1]) {
			at--
		}
	case t.Num.Unit != Bare:
		return quantityUnit{}, 0
	}
	at = skip(text, at, " ")
	rest := text[at:]
	for _, m := range quantityMarks {
		n := len(m.mark)
		if len(rest) >= n && strings.EqualFold(rest[:n], m.mark) && (n == len(rest) || !isLetter(rest[n]) && !IsDigit(rest[n])) {
			return m.quantityUnit, at + n
		}
	}
	return quantityUnit{}, 0
}
