package bot

import (
	"strconv"

	"heelpost/calc"
)

// quantityWords are the units that only questions know: to a door's
// description they are words of their own.
var quantityWords = map[string]unit{
	"kg": kilograms, "kgs": kilograms, "kilo": kilograms, "kilos": kilograms, "kilogram": kilograms, "kilograms": kilograms,
	"lb": pounds, "lbs": pounds, "pound": pounds, "pounds": pounds,
	"c": celsius, "celsius": celsius, "h": hours, "hr": hours, "hrs": hours, "hour": hours, "hours": hours,
}

// timeWords are units of time that no question takes.
var timeWords = wordSet("min mins minute minutes d day days week weeks s sec secs seconds")

// quantities joins numbers with the words behind them that are their units.
// h and c are units only where no length follows: they are names as well.
func quantities(text string, tokens []token) []token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.kind == numberToken && i+1 < len(tokens) && tokens[i+1].kind == wordToken {
			t.num.timed = timeWords[tokens[i+1].word]
			u, known := quantityWords[tokens[i+1].word]
			name := len(tokens[i+1].word) == 1 && i+2 < len(tokens) && (tokens[i+2].kind == numberToken && tokens[i+2].num.unit != degrees || tokens[i+2].mark == '=' || tokens[i+2].mark == ':')
			if known && !name && (t.num.unit == bare || t.num.unit == degrees && u == celsius) {
				t.end = tokens[i+1].end
				t.num.unit, t.num.end, t.num.raw = u, t.end, text[t.start:t.end]
				if t.num.doubt == fraction {
					t.num.doubt = certain // half an hour
				}
				i++
			}
		}
		out = append(out, t)
	}
	return out
}

// quantityUnits are the units that values of a kind are told in.
var quantityUnits = map[kind]string{massKind: "kg", warmthKind: "degC", hoursKind: "h"}

// number takes a mass, a temperature or hours that were asked, or the door's.
func (k *inquiry) number(name string) float64 {
	in := inputNamed[name]
	unit := quantityUnits[in.kind]
	v := k.q.named(name)
	if v == nil {
		switch d := k.door[name]; d.from {
		case "":
			return 0
		case Assumed:
			k.assume(Given{Name: name, Kind: NumberValue, Number: d.number, Unit: unit, Shown: in.kind.show(d.number)},
				words(name)+" "+in.kind.show(d.number)+", the sheet's lowest, as none was read within a day")
			return d.number
		default:
			k.a.Inputs = append(k.a.Inputs, Given{Name: name, Kind: NumberValue, Number: d.number, Unit: unit, From: d.from, Shown: in.kind.show(d.number)})
			return d.number
		}
	}
	n := v.num.plain
	if v.num.unit == pounds {
		n *= float64(calc.Pound)
	}
	if d := k.door[name]; d.from != "" && d.from != Assumed && d.number != n {
		k.note("%s %s is not the door's: that is %s", words(name), in.kind.show(n), in.kind.show(d.number))
	}
	k.a.Inputs = append(k.a.Inputs, Given{Name: name, Kind: NumberValue, Number: n, Unit: unit, From: Asked, Shown: in.kind.show(n)})
	return n
}

// show tells a value of a kind.
func (k kind) show(v float64) string {
	switch k {
	case massKind:
		return calc.Mass(v).String()
	case warmthKind:
		return calc.Temperature(v).String()
	case hoursKind:
		return calc.Hours(v).String()
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// numberResult adds a number to the results.
func (k *inquiry) numberResult(name string, told, exact float64, unit, shown string) {
	k.a.Results = append(k.a.Results, Result{Name: name, Kind: NumberValue, Number: told, Exact: exact, Unit: unit, Shown: shown})
}
