package calc

import (
	"math"
	"slices"
	"time"
)

// Adhesive is how an adhesive hardens, as its hardware sheet gives it.
type Adhesive struct {
	Base   Hours       `json:"base"`            // to the cure's end at Ref or warmer
	Ref    Temperature `json:"ref"`             // the temperature that Base holds at
	Lowest Temperature `json:"lowest"`          // of the substrate; colder, nothing counts
	Table  []CureRow   `json:"table,omitempty"` // the adhesive's own hours, coldest first
}

// CureRow is a line of an adhesive's own table: from this temperature up,
// to that of the next row, the cure takes so many hours.
type CureRow struct {
	From  Temperature `json:"from"`
	Hours Hours       `json:"hours"`
}

// Warmth is the temperature of the substrate, or of the air if that is
// colder, at an instant.
type Warmth struct {
	At  time.Time    `json:"at"`
	T   Temperature  `json:"t"`
	Min *Temperature `json:"min,omitempty"` // the lowest since the reading before, where it was read
}

// Coldest returns the colder of what was read and of its minimum.
func (w *Warmth) Coldest() Temperature {
	if w.Min == nil {
		return w.T
	}
	return min(w.T, *w.Min)
}

// Held is a temperature that somebody vouches for.
type Held struct {
	From  time.Time   `json:"from"`
	Until time.Time   `json:"until"`
	T     Temperature `json:"t"`
}

// Cure is how far a bond has come.
type Cure struct {
	ReadyAt    time.Time // when the sheet's hours will have passed, up to the minute; zero if void or not to be foreseen
	Needed     Hours     // from the bonding to ReadyAt; 0 without ReadyAt
	Equivalent Hours     // hours at Ref that have passed
	Progress   float64   // Equivalent in the sheet's hours, 0 to 1
	VoidSince  time.Time // when it was first too cold; zero if it never was
	Unread     time.Time // from when on nothing is known, if ReadyAt rests on that: it is not before ReadyAt; else zero
	Spans      []CureSpan
}

var (
	warmthBounds = bounds[Temperature]{"temperature", -50, 80}
	baseBounds   = bounds[Hours]{"base", 0.1, 1000}
)

// belowRef is how far below the reference temperature the lowest may be, in
// kelvin: a cure of 64 times the base hours, by the project's own bound.
const belowRef Temperature = 60

// Check returns a [*RangeError] if the adhesive's values are out of bounds,
// its table does not begin at Lowest or has a row of less than Base, or
// another error if the table is not in order: warmer rows must not take
// longer.
func (a *Adhesive) Check() error {
	if err := baseBounds.check(a.Base); err != nil {
		return err
	}
	if err := warmthBounds.named("ref", a.Ref); err != nil {
		return err
	}
	if err := warmthBounds.named("lowest", a.Lowest); err != nil {
		return err
	}
	if a.Lowest > a.Ref {
		return &RangeError{Name: "lowest", Value: a.Lowest, Bound: AtMost, Limit: a.Ref, Why: "the reference temperature"}
	}
	if a.Lowest < a.Ref-belowRef {
		return &RangeError{Name: "lowest", Value: a.Lowest, Bound: AtLeast, Limit: a.Ref - belowRef, Why: "60 K below the reference temperature"}
	}
	for i, r := range a.Table {
		if err := warmthBounds.named("table row", r.From); err != nil {
			return err
		}
		if err := baseBounds.named("table hours", r.Hours); err != nil {
			return err
		}
		if r.Hours < a.Base {
			return &RangeError{Name: "table hours", Value: r.Hours, Bound: AtLeast, Limit: a.Base, Why: "never before the base hours"}
		}
		if i == 0 && r.From > a.Lowest {
			return &RangeError{Name: "table start", Value: r.From, Bound: AtMost, Limit: a.Lowest, Why: "the lowest temperature"}
		}
		if i > 0 && (r.From <= a.Table[i-1].From || r.Hours > a.Table[i-1].Hours) {
			return F("table row %s, %s is out of order after %s, %s", r.From, r.Hours, a.Table[i-1].From, a.Table[i-1].Hours)
		}
	}
	return nil
}

// Rate returns how many hours at the reference temperature an hour at t is
// worth.
//
//	rate = min(1, 2^((t − Tref)/10)), or base/hours(t) by the table
//
// where Tref is the temperature the base hours hold at and hours(t) stands
// in the last row of the adhesive's own table that begins at or below t:
// nothing is interpolated. Cold by ten kelvin doubles the time; that rule
// (Q₁₀ = 2, from memory) only ever lengthens what the sheet says. Below
// the lowest temperature the rate is 0.
func (a *Adhesive) Rate(t Temperature) float64 {
	if !(t >= a.Lowest) {
		return 0
	}
	if len(a.Table) == 0 {
		return min(1, math.Exp2(float64(t-a.Ref)/10))
	}
	hours := a.Table[0].Hours
	for _, r := range a.Table {
		if t >= r.From {
			hours = r.Hours
		}
	}
	return float64(min(1, a.Base/hours))
}

// CureSpan is a stretch of time that counts at one temperature.
type CureSpan struct {
	From, To time.Time // To is zero for the last, which has no end
	T        Temperature
	Unread   bool // the lowest temperature stands in for a reading
	Held     bool // somebody vouches for it
	cold     bool // it was below the lowest temperature
}

// integrate adds up the spans until the base hours are full.
func (a *Adhesive) integrate(bonded time.Time, spans []CureSpan, now time.Time) Cure {
	c := Cure{Spans: spans}
	var sum Hours
	for _, s := range spans {
		if s.cold && c.VoidSince.IsZero() {
			c.VoidSince = s.From
		}
		rate := Hours(a.Rate(s.T))
		if until := now; s.From.Before(until) {
			if !s.To.IsZero() && s.To.Before(until) {
				until = s.To
			}
			c.Equivalent += rate * hours(until.Sub(s.From))
		}
		if c.ReadyAt.IsZero() && rate > 0 {
			end := s.From.Add(((a.Base - sum) / rate).duration())
			if s.To.IsZero() || !end.After(s.To) {
				c.ReadyAt = end
			}
		}
		if !s.To.IsZero() {
			sum += rate * hours(s.To.Sub(s.From))
		}
	}
	c.Progress = min(1, float64(c.Equivalent/a.Base))
	if !c.VoidSince.IsZero() {
		c.ReadyAt = time.Time{}
	}
	if !c.ReadyAt.IsZero() {
		if i := slices.IndexFunc(spans, func(s CureSpan) bool { return s.Unread && s.From.Before(c.ReadyAt) }); i >= 0 {
			c.Unread = spans[i].From
		}
		c.Needed = hours(c.ReadyAt.Sub(bonded))
		c.ReadyAt = minuteUp(c.ReadyAt)
	}
	return c
}

// later returns the later of two instants.
func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// hours returns d in hours.
func hours(d time.Duration) Hours { return Hours(d.Hours()) }

// duration returns h to the nearest microsecond, which drops the rounding
// errors of the sums it comes from.
func (h Hours) duration() time.Duration {
	return time.Duration(float64(h) * float64(time.Hour)).Round(time.Microsecond)
}

// minuteUp returns t or the next full minute.
func minuteUp(t time.Time) time.Time {
	if m := t.Truncate(time.Minute); !m.Equal(t) {
		return m.Add(time.Minute)
	}
	return t
}
