package calc

import (
	"math"
	"slices"
	"time"
)

// ReadWithin is how far apart two readings may be for the colder of them to
// count for all between: the project's own, no source was at hand.
const ReadWithin = 4 * time.Hour

// Cure returns how far a bond made at bonded has come at now, by what was read
// and by what somebody vouches for.
//
//	∫ rate(T(t)) dt = base
//
// with the rate of [Adhesive.Rate], where T is
//
//   - between two readings no more than 4 h apart, the colder of them;
//   - in a longer stretch whose lowest was read, that, or a reading that is
//     colder still; so, too, from the bonding to the first reading;
//   - else in its first 4 h the colder of its two readings, or after the last
//     reading that one;
//   - else while a temperature is held, that, unless the reading that ends the
//     stretch is colder: then that;
//   - else, and before the first reading, the sheet's lowest: it is unread.
//
// The last reading up to the bonding counts from its own time. A colder reading
// ends what is held. Any temperature below the lowest makes the estimate void
// from where its stretch began. Readings after now are not looked at.
//
// Cure returns a [*RangeError] if now is before bonded, a temperature is out of
// bounds, or a reading is earlier than the one before, and the errors of
// [Adhesive.Check].
func (a *Adhesive) Cure(bonded time.Time, read []Warmth, held []Held, now time.Time) (Cure, error) {
	if err := a.checkLog(bonded, read, held, now); err != nil {
		return Cure{}, err
	}
	first, until := 0, 0
	for i := range read {
		if !read[i].At.After(bonded) {
			first = i
		}
		if !read[i].At.After(now) {
			until = i + 1
		}
	}
	s := stretches{adhesive: a, held: inForce(held, read[:until])}
	read = read[min(first, until):until]
	switch {
	case len(read) == 0:
		s.unread(bonded, time.Time{}, warmthBounds.max)
	case !read[0].At.After(bonded):
	case read[0].Min != nil:
		s.add(bonded, read[0].At, read[0].Coldest())
	default:
		s.unread(bonded, read[0].At, read[0].T)
	}
	for i := range read {
		from := later(read[i].At, bonded)
		if i+1 == len(read) {
			s.after(&read[i], from)
		} else {
			s.pair(&read[i], &read[i+1], from)
		}
	}
	return a.integrate(bonded, s.spans, now), nil
}

// HeldFor returns the least temperature, to the next tenth above, at which a rest
// of the base hours passes within a time: the inverse of [Adhesive.Rate].
//
//	Tref + 10·log2(rest/within), or the first row of the table that is fast enough
//
// It is never below the lowest temperature. HeldFor returns a [*RangeError] if
// the time is shorter than the rest, which no warmth makes up for, and the errors
// of [Adhesive.Check].
func (a *Adhesive) HeldFor(rest, within Hours) (Temperature, error) {
	if err := a.Check(); err != nil {
		return 0, err
	}
	if !(within >= rest) || within <= 0 {
		return 0, &RangeError{Name: "time", Value: within, Bound: AtLeast, Limit: rest, Why: "the hours that are left at the reference temperature"}
	}
	rate := float64(rest / within)
	for _, r := range a.Table {
		if float64(a.Base/r.Hours) >= rate {
			return max(a.Lowest, r.From), nil
		}
	}
	if n := len(a.Table); n > 0 {
		best := Hours(float64(rest) * float64(a.Table[n-1].Hours/a.Base))
		return 0, &RangeError{Name: "time", Value: within, Bound: AtLeast, Limit: best, Why: "by the warmest row of the adhesive's table"}
	}
	t := math.Ceil((float64(a.Ref)+10*math.Log2(rate))*10-1e-9) / 10
	return min(a.Ref, max(a.Lowest, Temperature(t))), nil
}

// inForce returns what is held, up to the first reading that is colder, which may
// be of the minute from which it is held.
func inForce(held []Held, read []Warmth) []Held {
	held = slices.Clone(held)
	for i := range held {
		h := &held[i]
		for _, r := range read {
			if r.Coldest() < h.T && !r.At.Before(h.From) && r.At.Before(h.Until) {
				h.Until = r.At
			}
		}
	}
	return slices.DeleteFunc(held, func(h Held) bool { return !h.Until.After(h.From) })
}

// stretches cuts the time from the bonding on into spans of one temperature.
type stretches struct {
	adhesive *Adhesive
	held     []Held
	spans    []CureSpan
}

func (s *stretches) add(from, to time.Time, t Temperature) {
	if to.IsZero() || from.Before(to) {
		s.spans = append(s.spans, CureSpan{From: from, To: to, T: t, cold: t < s.adhesive.Lowest})
	}
}

// pair adds the stretch from the reading a, or the bonding after it, to b.
func (s *stretches) pair(a, b *Warmth, from time.Time) {
	colder := min(a.T, b.T)
	switch {
	case b.Min != nil:
		s.add(from, b.At, min(colder, *b.Min))
	case b.At.Sub(a.At) <= ReadWithin:
		s.add(from, b.At, colder)
	default:
		known := later(a.At.Add(ReadWithin), from)
		s.add(from, known, colder)
		s.unread(known, b.At, b.T)
	}
}

// after adds what follows the last reading.
func (s *stretches) after(a *Warmth, from time.Time) {
	known := later(a.At.Add(ReadWithin), from)
	s.add(from, known, a.T)
	s.unread(known, time.Time{}, warmthBounds.max)
}

// unread adds a stretch without readings, which ends with a reading of the
// temperature end: at what is held, else at the sheet's lowest.
func (s *stretches) unread(from, to time.Time, end Temperature) {
	for _, h := range s.held {
		if !h.Until.After(from) || !to.IsZero() && !h.From.Before(to) {
			continue
		}
		if h.From.After(from) {
			s.blank(from, h.From)
			from = h.From
		}
		until := h.Until
		if !to.IsZero() && to.Before(until) {
			until = to
		}
		s.add(from, until, min(h.T, end))
		s.spans[len(s.spans)-1].Held = true
		from = until
	}
	if to.IsZero() || from.Before(to) {
		s.blank(from, to)
	}
}

// blank adds a stretch of which nothing is known.
func (s *stretches) blank(from, to time.Time) {
	s.spans = append(s.spans, CureSpan{From: from, To: to, T: s.adhesive.Lowest, Unread: true})
}

func (a *Adhesive) checkLog(bonded time.Time, read []Warmth, held []Held, now time.Time) error {
	if err := a.Check(); err != nil {
		return err
	}
	if now.Before(bonded) {
		return &RangeError{Name: "time since bonding", Value: hours(now.Sub(bonded)), Bound: AtLeast, Limit: Hours(0)}
	}
	for i, r := range read {
		if err := warmthBounds.check(r.T); err != nil {
			return err
		}
		if r.Min != nil {
			if err := warmthBounds.named("min", *r.Min); err != nil {
				return err
			}
		}
		if i > 0 && r.At.Before(read[i-1].At) {
			return &RangeError{Name: "time since the reading before", Value: hours(r.At.Sub(read[i-1].At)), Bound: AtLeast, Limit: Hours(0), Why: "the log goes backward"}
		}
	}
	for i, h := range held {
		if err := warmthBounds.named("held", h.T); err != nil {
			return err
		}
		if !h.Until.After(h.From) || i > 0 && h.From.Before(held[i-1].Until) {
			return &RangeError{Name: "held", Value: hours(h.Until.Sub(h.From)), Bound: Above, Limit: Hours(0), Why: "what is held must end after it begins, one after the other"}
		}
	}
	return nil
}

// EquivalentHours returns how many hours at the reference temperature a row of
// stretches is worth: Σ rate(Tᵢ)·Δtᵢ.
//
// It returns a [*RangeError] if a temperature is out of bounds or a stretch is
// shorter than nothing, and the errors of [Adhesive.Check].
func (a *Adhesive) EquivalentHours(at []Stretch) (Hours, error) {
	if err := a.Check(); err != nil {
		return 0, err
	}
	var sum Hours
	for _, s := range at {
		if err := s.check(); err != nil {
			return 0, err
		}
		sum += Hours(a.Rate(s.T)) * s.For
	}
	return sum, nil
}

// HoursAt returns how long the cure takes at a temperature that stays:
// base/rate(T). It returns a [*RangeError] if it is colder than the lowest or
// out of bounds, and the errors of [Adhesive.Check].
func (a *Adhesive) HoursAt(t Temperature) (Hours, error) {
	if err := a.Check(); err != nil {
		return 0, err
	}
	if err := warmthBounds.check(t); err != nil {
		return 0, err
	}
	if t < a.Lowest {
		return 0, &RangeError{Name: "temperature", Value: t, Bound: AtLeast, Limit: a.Lowest, Why: "the lowest temperature"}
	}
	return a.Base / Hours(a.Rate(t)), nil
}
