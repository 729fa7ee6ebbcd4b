package calc

import (
	"math"
	"time"
)

// CycleClass is a class of repeated opening and closing.
type CycleClass struct {
	Standard string
	Class    string
	Cycles   int
}

// CycleClasses are published classes, the cycles of EN 1154 second hand, all
// others from memory. No standard covers a floor pivot by name: for one they
// are an analogy.
var CycleClasses = []CycleClass{
	{"EN 12400", "1", 5_000}, {"EN 12400", "2", 10_000}, {"EN 12400", "3", 20_000}, {"EN 12400", "4", 50_000},
	{"EN 12400", "5", 100_000}, {"EN 12400", "6", 200_000}, {"EN 12400", "7", 500_000}, {"EN 12400", "8", 1_000_000},
	{"EN 14600", "C1", 500}, {"EN 14600", "C2", 10_000}, {"EN 14600", "C3", 50_000}, {"EN 14600", "C4", 100_000},
	{"EN 14600", "C5", 200_000}, {"EN 1154", "8", 500_000},
}

// daysAYear is a common year's by definition: the fewer, the sooner the end.
const daysAYear = 365

var (
	cyclesBounds = bounds[Number]{"cycles", 1, 100_000_000}
	perDayBounds = bounds[Number]{"per_day", 0.01, 100_000}
	usedBounds   = bounds[Number]{"cycles_done", 0, 100_000_000}
	monthsBounds = bounds[Number]{"months", 1, 240}
)

// Life is how long a pivot lasts by its cycles.
type Life struct {
	Cycles Number // that are left
	Days   int    // full days
	Years  int    // full years of 365 days
}

// LifeOf returns how long what is good for so many cycles lasts.
//
//	days = (cycles − done)/per_day      years = days/365
//
// rounded down. An opening and a closing are one cycle, and each day has as
// many of them. It says nothing of dirt, wet, wind or a wrong adjustment, and
// no class is a promise.
//
// LifeOf returns a [*RangeError] if a value is out of bounds or done is more
// than cycles.
func LifeOf(cycles, done, perDay Number) (Life, error) {
	if err := cyclesBounds.check(cycles); err != nil {
		return Life{}, err
	}
	if err := usedBounds.check(done); err != nil {
		return Life{}, err
	}
	if done > cycles {
		return Life{}, &RangeError{Name: "cycles_done", Value: done, Bound: AtMost, Limit: cycles, Why: "it has outlived its cycles"}
	}
	if err := perDayBounds.check(perDay); err != nil {
		return Life{}, err
	}
	days := int(math.Floor(float64((cycles-done)/perDay) * (1 + slip)))
	return Life{Cycles: cycles - done, Days: days, Years: days / daysAYear}, nil
}

// ServiceInterval is when a pivot is to be looked after: after so many cycles
// or so many months, whichever comes first. What is 0 isn't looked at.
type ServiceInterval struct {
	Cycles Number
	Months int
}

// DefaultService is once a year where the maker's instructions say nothing:
// common practice, no published source for a manual pivot door.
var DefaultService = ServiceInterval{Months: 12}

// Next returns the day of the next service, in last's place.
//
//	the earlier of last + cycles/per_day days and last + months
//
// rounded down to whole days. A day that the month doesn't have is its last.
// The maker's instructions come first.
//
// Next returns a [*NeedError] if the interval has neither cycles nor months,
// or has cycles and perDay is 0, and a [*RangeError] if a value is out of
// bounds.
func (s ServiceInterval) Next(last time.Time, perDay Number) (time.Time, error) {
	if s.Cycles == 0 && s.Months == 0 {
		return time.Time{}, &NeedError{Name: "service_interval", Why: "in cycles or in months, as the maker has it"}
	}
	var next time.Time
	if s.Months != 0 {
		if err := monthsBounds.check(Number(s.Months)); err != nil {
			return time.Time{}, err
		}
		next = addMonths(last, s.Months)
	}
	if s.Cycles == 0 {
		return next, nil
	}
	if perDay == 0 {
		return time.Time{}, &NeedError{Name: "per_day", Why: "cycles come in days only at so many a day"}
	}
	l, err := LifeOf(s.Cycles, 0, perDay)
	if err != nil {
		return time.Time{}, err
	}
	if by := last.AddDate(0, 0, min(l.Days, 300*daysAYear)); next.IsZero() || by.Before(next) {
		next = by
	}
	return next, nil
}

// addMonths returns t so many months later, on the month's last day if it
// has no such day.
func addMonths(t time.Time, months int) time.Time {
	day := t.AddDate(0, months, 0)
	if day.Day() != t.Day() {
		day = day.AddDate(0, 0, -day.Day())
	}
	return day
}
