package jobs

import (
	"math"
	"strconv"
	"time"

	"heelpost/calc"
)

// Measure is a value with its unit in whole millionths, so that it
// compares exactly and survives storage; of mm these are nanometres.
type Measure struct {
	Micro int64  `json:"micro"`
	Unit  string `json:"unit,omitempty"` // mm, in, °C, s, N, m/s; "" for a count
}

// inches is the unit of a length that is told in inches. It is held in
// nanometres all the same.
const inches = "in"

// Of returns a measure of v.
func Of(v float64, unit string) Measure { return Measure{int64(math.Round(v * 1e6)), unit} }

// OfLength returns a length as a measure.
func OfLength(l calc.Length) Measure { return Measure{int64(l), "mm"} }

// Measure returns a length as a measure in the unit that the door is told in.
func (s *Spec) Measure(l calc.Length) Measure {
	if s.Inches {
		return Measure{int64(l), inches}
	}
	return OfLength(l)
}

// Tell returns a length in words, in the unit that the door is told in.
func (s *Spec) Tell(l calc.Length) string { return s.Measure(l).String() }

// ofTime returns a length of time as a measure in seconds.
func ofTime(d time.Duration) Measure { return Measure{d.Microseconds(), "s"} }

// Length returns a measure in mm or inches as a length.
func (m Measure) Length() calc.Length { return calc.Length(m.Micro) }

// Value returns the number before the unit; of a length its millimetres.
func (m Measure) Value() float64 { return float64(m.Micro) / 1e6 }

// String returns m as "7.5 mm", to a hundredth, and a length that is told in
// inches as "2-29/32 in (73.82 mm)".
func (m Measure) String() string {
	if m.Unit == inches {
		return m.Length().InInches()
	}
	m.Micro = int64(calc.Length(m.Micro).Nearest(hundredth))
	s := strconv.FormatFloat(m.Value(), 'f', -1, 64)
	if m.Unit == "" {
		return s
	}
	return s + " " + m.Unit
}

// hundredth of a unit, which are all held in millionths.
const hundredth = calc.Millimetre / 100

// Judgement is how a reading stands to its limits.
type Judgement string

// The verdicts.
const (
	In   Judgement = "in"
	Near Judgement = "near" // inside by less than the reading's uncertainty
	Out  Judgement = "out"
)

// Limits are what a reading must keep between. An end without a limit is
// nil.
type Limits struct {
	Least, Most *Measure
	Uncertain   int64     // the reading's uncertainty, in millionths of its unit
	Unknown     calc.Word // why there are none to judge by yet
}

// Uncertainties of readings. Tape and gauge are common practice, no
// published source; stopwatch and force gauge are the project's own.
const (
	tape      = int64(1 * calc.Millimetre)
	gauge     = int64(calc.Millimetre / 5)
	stopwatch = 500_000   // s
	newtons   = 1_000_000 // N
	exactly   = 0
)

// Judge tells how v stands to the limits.
func (l Limits) Judge(v Measure) Judgement {
	verdict := In
	for _, margin := range l.margins(v) {
		if margin < 0 {
			return Out
		}
		if margin < l.Uncertain {
			verdict = Near
		}
	}
	return verdict
}

// margins returns how far v is inside each limit.
func (l Limits) margins(v Measure) []int64 {
	var out []int64
	if l.Least != nil {
		out = append(out, v.Micro-l.Least.Micro)
	}
	if l.Most != nil {
		out = append(out, l.Most.Micro-v.Micro)
	}
	return out
}

// String returns the limits in English, as "5 to 9 mm", or in inches as "at most
// 0.118 in (3 mm)": what keeps an end as it is shown keeps the end itself.
func (l Limits) String() string { return l.text().String() }

// Sentence returns the limits in words.
func (l Limits) Sentence() (key string, args []any) { return l.text().Sentence() }

func (l Limits) text() calc.Text {
	switch {
	case l.Unknown != "":
		return calc.F("%s", l.Unknown)
	case l.Least == nil && l.Most == nil:
		return calc.F("no limit")
	case l.Least == nil:
		return calc.F(atMost, inside(*l.Most, calc.Length.Down))
	case l.Most == nil:
		return calc.F(atLeast, inside(*l.Least, calc.Length.Up))
	}
	least := *l.Least
	if least.Unit != inches {
		least.Unit = ""
	}
	return calc.F(fromTo, inside(least, calc.Length.Up), inside(*l.Most, calc.Length.Down))
}

// inside returns an end of limits as it is shown, rounded to the safe side: to a
// hundredth, and in inches in whole 64ths or else to a thousandth.
func inside(m Measure, round func(l, step calc.Length) calc.Length) string {
	l := m.Length()
	told := Measure{int64(round(l, hundredth)), m.Unit}
	if m.Unit != inches {
		return told.String()
	}
	if l%(calc.Inch/64) != 0 {
		l = round(l, calc.Inch/1000)
	}
	return string(l.AppendInches(nil)) + " in (" + told.Length().String() + ")"
}
