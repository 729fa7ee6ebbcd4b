package calc

import "time"

// ScreedKind is what binds a screed.
type ScreedKind int

// The kinds.
const (
	CementScreed ScreedKind = iota
	CalciumSulphateScreed
)

// ScreedInput is a screed that a floor plate is to be let into.
type ScreedInput struct {
	Kind       ScreedKind
	Thickness  Length
	Heated     bool
	NewerLimit bool    // heated calcium sulphate by 0.5 instead of 0.3 CM-%
	Read       bool    // it was measured
	Reading    Percent // by the carbide method, CM-%
}

// Screed is how far a screed is.
type Screed struct {
	Days        int     // to dry, by the rule of thumb, rounded up
	HeatingDays int     // before functional heating may begin, 0 if unheated
	Limit       Percent // that a reading must not exceed
	Ready       bool    // it was read and is within Limit
}

// The days before functional heating begins, EN 1264-4, from memory.
const (
	heatCement          = 21
	heatCalciumSulphate = 7
)

var (
	screedBounds  = bounds[Length]{"screed", 10 * Millimetre, 300 * Millimetre}
	readingBounds = bounds[Percent]{"reading", 0, 15}
)

// ScreedReady returns how long a screed dries, when its heating may be tried
// and whether a reading lets the work begin.
//
//	days = d up to 40 mm, then 40 + 2·(d − 40), d in mm
//
// the slower of the published rules of thumb: BS 5385-3:2014 and others have
// one day a millimetre to 40 mm and more beyond, some to 50 mm, then two. It
// holds for about 20 °C and at most 65 % relative humidity, and never
// replaces a reading: without one a screed isn't ready. The limits of the
// carbide method are 2.0 CM-% for cement, 1.8 if it is heated, and 0.5 for
// calcium sulphate, 0.3 if it is heated (trade practice) or 0.5 (DIN 18560-1;
// EN 1264-4:2021, table 2). Functional heating begins after 21 days on cement
// and 7 on calcium sulphate at the earliest (EN 1264-4, from memory), and is
// over before anything is drilled.
//
// ScreedReady returns a [*RangeError] if a value is out of bounds.
func ScreedReady(in ScreedInput) (Screed, error) {
	if err := screedBounds.check(in.Thickness); err != nil {
		return Screed{}, err
	}
	if err := oneOf("screed_kind", int(in.Kind), int(CalciumSulphateScreed)); err != nil {
		return Screed{}, err
	}
	if in.Read {
		if err := readingBounds.check(in.Reading); err != nil {
			return Screed{}, err
		}
	}
	const first = 40 * Millimetre
	days := in.Thickness + max(0, in.Thickness-first) // a millimetre is a day
	s := Screed{Days: int(days.Up(Millimetre) / Millimetre), Limit: carbideLimit(in)}
	if in.Heated {
		s.HeatingDays = heatCement
		if in.Kind == CalciumSulphateScreed {
			s.HeatingDays = heatCalciumSulphate
		}
	}
	s.Ready = in.Read && in.Reading <= s.Limit
	return s, nil
}

// carbideLimit returns the most moisture by the carbide method, in mass percent:
// EN 1264-4:2021, table 2 (heated), and DIN 18560-1; 0.3 for heated calcium
// sulphate is the older limit that some trade bodies keep.
func carbideLimit(in ScreedInput) Percent {
	switch {
	case in.Kind == CementScreed && in.Heated:
		return 1.8
	case in.Kind == CementScreed:
		return 2.0
	case in.Heated && !in.NewerLimit:
		return 0.3
	}
	return 0.5
}

// On returns the days on which a screed laid on some day is dry by the rule of
// thumb and on which its functional heating may begin, in laid's place; the
// second is zero if it has none.
func (s Screed) On(laid time.Time) (dry, heating time.Time) {
	dry = laid.AddDate(0, 0, s.Days)
	if s.HeatingDays > 0 {
		heating = laid.AddDate(0, 0, s.HeatingDays)
	}
	return dry, heating
}
