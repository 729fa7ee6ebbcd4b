package calc

import (
	"slices"
	"time"
)

// LogEntry is a line of a temperature log.
type LogEntry struct {
	At     time.Time
	T      Temperature
	HasMin bool
	Min    Temperature // the lowest since the entry before
}

// HeldWarmth is a temperature that somebody vouches for.
type HeldWarmth struct {
	From, Until time.Time
	T           Temperature
}

// LoggedCure is how far a bond has come by a log.
type LoggedCure struct {
	Cure
	Unread bool // the end rests on a stretch without readings: it is not before ReadyAt
}

// readWithin is how far apart two readings may be for the colder of them to
// count for all between: the project's own, no source was at hand.
const readWithin = 4 * time.Hour

// CureByLog returns how far a bond made at bonded has come at now, by a log of
// temperatures and by what somebody vouches for.
//
//	∫ rate(T(t)) dt = base
//
// with the rate of [Adhesive.Rate], where T is
//
//   - between two entries no more than 4 h apart, the colder of them;
//   - in a longer stretch whose lowest was read, that, or an entry that is
//     colder still;
//   - else in its first 4 h the colder of its two entries, or after the last
//     entry that one;
//   - else while a temperature is held, that, unless the entry that ends the
//     stretch is colder: then that;
//   - else, and before the first entry, the sheet's lowest: it is unread.
//
// The last entry up to the bonding counts from its own time. A colder entry
// ends what is held. Any temperature below the lowest makes the estimate void
// from where its stretch began. Entries after now are not looked at.
//
// CureByLog returns a [*RangeError] if now is before bonded, a temperature is
// out of bounds, or an entry of the log is not later than the one before, and
// the errors of [Adhesive.Check].
func (a *Adhesive) CureByLog(bonded time.Time, log []LogEntry, held []HeldWarmth, now time.Time) (LoggedCure, error) {
	if err := a.checkLog(bonded, log, held, now); err != nil {
		return LoggedCure{}, err
	}
	first, until := 0, 0
	for i, e := range log {
		if !e.At.After(bonded) {
			first = i
		}
		if !e.At.After(now) {
			until = i + 1
		}
	}
	log = log[min(first, until):until]
	s := stretches{adhesive: a, held: inForce(held, log)}
	if len(log) == 0 || log[0].At.After(bonded) {
		end := time.Time{}
		if len(log) > 0 {
			end = log[0].At
		}
		s.unread(bonded, end, a.Ref+belowRef)
	}
	for i := range log {
		from := later(log[i].At, bonded)
		if i+1 == len(log) {
			s.after(&log[i], from)
		} else {
			s.pair(&log[i], &log[i+1], from)
		}
	}
	c := LoggedCure{Cure: a.integrate(bonded, s.spans, now)}
	c.Unread = !c.ReadyAt.IsZero() && s.unreadBefore(c.ReadyAt)
	return c, nil
}

// inForce returns what is held, up to the first entry that is colder.
func inForce(held []HeldWarmth, log []LogEntry) []HeldWarmth {
	held = slices.Clone(held)
	for i := range held {
		h := &held[i]
		for _, e := range log {
			colder := e.T < h.T || e.HasMin && e.Min < h.T
			if colder && e.At.After(h.From) && e.At.Before(h.Until) {
				h.Until = e.At
			}
		}
	}
	return held
}

// stretches cuts a log into spans of one temperature.
type stretches struct {
	adhesive *Adhesive
	held     []HeldWarmth
	spans    []span
}

func (s *stretches) add(from, to time.Time, t Temperature) {
	if to.IsZero() || from.Before(to) {
		s.spans = append(s.spans, span{from: from, to: to, t: t, cold: t < s.adhesive.Lowest})
	}
}

// pair adds the stretch from the entry a, or the bonding after it, to b.
func (s *stretches) pair(a, b *LogEntry, from time.Time) {
	colder := min(a.T, b.T)
	switch {
	case b.HasMin:
		s.add(from, b.At, min(colder, b.Min))
	case b.At.Sub(a.At) <= readWithin:
		s.add(from, b.At, colder)
	default:
		known := later(a.At.Add(readWithin), from)
		s.add(from, known, colder)
		s.unread(known, b.At, b.T)
	}
}

// after adds what follows the last entry.
func (s *stretches) after(a *LogEntry, from time.Time) {
	known := later(a.At.Add(readWithin), from)
	s.add(from, known, a.T)
	s.unread(known, time.Time{}, s.adhesive.Ref+belowRef)
}

// unread adds a stretch without readings, which ends with an entry of the
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
		from = until
	}
	if to.IsZero() || from.Before(to) {
		s.blank(from, to)
	}
}

// blank adds a stretch of which nothing is known.
func (s *stretches) blank(from, to time.Time) {
	s.spans = append(s.spans, span{from: from, to: to, t: s.adhesive.Lowest, assumed: true})
}

// unreadBefore says whether nothing is known of a stretch before an instant.
func (s *stretches) unreadBefore(at time.Time) bool {
	for _, x := range s.spans {
		if x.assumed && x.from.Before(at) {
			return true
		}
	}
	return false
}

func (a *Adhesive) checkLog(bonded time.Time, log []LogEntry, held []HeldWarmth, now time.Time) error {
	if err := a.Check(); err != nil {
		return err
	}
	if now.Before(bonded) {
		return &RangeError{Name: "time since bonding", Value: hours(now.Sub(bonded)), Bound: AtLeast, Limit: Hours(0)}
	}
	for i, e := range log {
		if err := warmthBounds.check(e.T); err != nil {
			return err
		}
		if e.HasMin {
			if err := warmthBounds.named("min", e.Min); err != nil {
				return err
			}
		}
		if i > 0 && !e.At.After(log[i-1].At) {
			return &RangeError{Name: "time since the entry before", Value: hours(e.At.Sub(log[i-1].At)), Bound: Above, Limit: Hours(0), Why: "the log goes backward"}
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
