package calc

import (
	"math"
	"time"
)

// Coupling is how well hands hold a load.
type Coupling int

// The couplings of the lifting equation. A bare leaf without handles is poor.
const (
	GoodCoupling Coupling = iota
	FairCoupling
	PoorCoupling
)

// LiftDuration is how long people lift, as the lifting equation has it.
type LiftDuration int

// The durations: up to one hour, two hours and eight.
const (
	ShortLifting LiftDuration = iota
	ModerateLifting
	LongLifting
)

// RWLInput is one person's lift.
type RWLInput struct {
	Load      Mass
	Ahead     Length    // H, hands in front of the midpoint between the ankles
	Height    Length    // V, hands above the floor, where the lift begins or ends
	Origin    Length    // hands above the floor where the lift begins
	Travel    Length    // D, how far the hands move up or down
	Asymmetry Angle     // A, between the load and straight ahead
	Often     Frequency // F, lifts a minute
	Duration  LiftDuration
	Coupling  Coupling
	Inches    bool // by the equation's constants for pounds and inches
}

// RWL is the recommended weight limit of a lift and its multipliers.
type RWL struct {
	Horizontal, Vertical, Distance float64 // HM, VM, DM
	Asymmetric, Frequency, Couples float64 // AM, FM, CM
	Limit                          Figure[Mass]
	Index                          Figure[Number] // LI, the load over the limit
}

// rwlUnits are the constants of the lifting equation in one system of units.
type rwlUnits struct {
	constant Mass   // LC
	least    Length // H below which HM is 1
	waist    Length // V at which VM is 1
	fall     float64
	ofTravel Length // D's part of DM
	ahead    Length // H above which HM is 0
	high     Length // V and D above which VM and DM are 0
}

// NIOSH 94-110 (1994, revised 2021), pages 7 and 13 to 18, in both systems.
var (
	rwlMetric = rwlUnits{23, 25 * Centimetre, 75 * Centimetre, 0.003 / float64(Centimetre), 45 * Millimetre, 63 * Centimetre, 175 * Centimetre}
	rwlInches = rwlUnits{51 * Pound, 10 * Inch, 30 * Inch, 0.0075 / float64(Inch), Inch * 18 / 10, 25 * Inch, 70 * Inch}

	asymmetryBounds = bounds[Angle]{"asymmetry", 0, 135}
)

// rwlOften are the lifts a minute of the rows of rwlMultiplier, NIOSH 94-110,
// table 5.
var rwlOften = [...]float64{0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}

// rwlMultiplier is the frequency multiplier, NIOSH 94-110, table 5: by
// duration, for V below 75 cm (30 in) and from there up.
var rwlMultiplier = [3][2][len(rwlOften)]float64{
	{{1, .97, .94, .91, .88, .84, .80, .75, .70, .60, .52, .45, .41, .37}, {1, .97, .94, .91, .88, .84, .80, .75, .70, .60, .52, .45, .41, .37, .34, .31, .28}},
	{{.95, .92, .88, .84, .79, .72, .60, .50, .42, .35, .30, .26}, {.95, .92, .88, .84, .79, .72, .60, .50, .42, .35, .30, .26, .23, .21}},
	{{.85, .81, .75, .65, .55, .45, .35, .27, .22, .18}, {.85, .81, .75, .65, .55, .45, .35, .27, .22, .18, .15, .13}},
}

// RecommendedWeight returns the recommended weight limit of the revised NIOSH
// lifting equation (DHHS (NIOSH) 94-110, 1994, revised 2021), down to 0.1 kg,
// and the lifting index of a load, up to 0.1.
//
//	RWL = LC · HM · VM · DM · AM · FM · CM      LI = L/RWL
//	HM = 25 cm/H                 VM = 1 − 0.003·|V − 75 cm|/cm
//	DM = 0.82 + 4.5 cm/D         AM = 1 − 0.0032·A/°
//
// with LC = 23 kg; in inches LC = 51 lb, HM = 10 in/H, VM = 1 − 0.0075·|V −
// 30 in|/in and DM = 0.82 + 1.8 in/D. H and D count as at least 25 cm (10
// in), F as at least 0.2 a minute. FM is table 5, between its rows in a
// straight line, by V where the lift begins; CM is table 7 by V. Where the
// load must be placed with care the limit is worked at both ends and the
// smaller holds. The manual's own examples are rounded at every multiplier,
// these aren't.
//
// The equation is for one person, two hands and a compact load, not while
// carrying, in a tight space or on a slippery floor (p. 6): a tall leaf is at
// the edge of it. Above an index of 1 the risk rises, above 3 nearly everyone
// is at increased risk (p. 20).
//
// RecommendedWeight returns a [*RangeError] if the load is out of bounds, and
// where a multiplier would be 0: H above 63 cm (25 in), V or D above 175 cm (70
// in), A above 135° or F above what table 5 has.
func RecommendedWeight(in RWLInput) (RWL, error) {
	u := &rwlMetric
	if in.Inches {
		u = &rwlInches
	}
	if err := in.check(u); err != nil {
		return RWL{}, err
	}
	low, begins := 0, 0
	if in.Height >= u.waist {
		low = 1
	}
	if in.Origin >= u.waist {
		begins = 1
	}
	often, err := frequencyMultiplier(in.Often, &rwlMultiplier[in.Duration][begins])
	if err != nil {
		return RWL{}, err
	}
	r := RWL{
		Horizontal: float64(u.least) / float64(max(in.Ahead, u.least)),
		Vertical:   1 - u.fall*float64((in.Height-u.waist).Abs()),
		Distance:   min(1, 0.82+float64(u.ofTravel)/float64(max(in.Travel, u.least))),
		Asymmetric: 1 - 0.0032*float64(in.Asymmetry),
		Frequency:  often,
		Couples:    [...][2]float64{{1, 1}, {0.95, 1}, {0.90, 0.90}}[in.Coupling][low],
	}
	limit := u.constant * Mass(r.Horizontal*r.Vertical*r.Distance*r.Asymmetric*r.Frequency*r.Couples)
	r.Limit, r.Index = downTo(limit, 10), upTo(Number(in.Load/limit), 10)
	return r, nil
}

func (in *RWLInput) check(u *rwlUnits) error {
	ahead, hands := bounds[Length]{"hands_ahead", 0, u.ahead}, bounds[Length]{"hands_height", 0, u.high}
	if err := massBounds.check(in.Load); err != nil {
		return err
	}
	if err := ahead.check(in.Ahead); err != nil {
		return err
	}
	if err := hands.check(in.Height); err != nil {
		return err
	}
	if err := hands.named("origin_height", in.Origin); err != nil {
		return err
	}
	if err := hands.named("hands_travel", in.Travel); err != nil {
		return err
	}
	if err := asymmetryBounds.check(in.Asymmetry); err != nil {
		return err
	}
	if err := oneOf("duration", int(in.Duration), int(LongLifting)); err != nil {
		return err
	}
	return oneOf("coupling", int(in.Coupling), int(PoorCoupling))
}

// oneOf returns a [*RangeError] if v is no number from 0 to last.
func oneOf(name string, v, last int) error {
	b := bounds[Number]{name, 0, Number(last)}
	return b.check(Number(v))
}

// frequencyMultiplier returns FM for f lifts a minute from a column of
// rwlMultiplier.
func frequencyMultiplier(f Frequency, column *[len(rwlOften)]float64) (float64, error) {
	last := len(column) - 1
	for column[last] == 0 {
		last--
	}
	b := bounds[Frequency]{"lifts_a_minute", 0, Frequency(rwlOften[last])}
	if err := b.check(f); err != nil {
		return 0, err
	}
	i := 1
	for i < last && rwlOften[i] < float64(f) {
		i++
	}
	part := (max(float64(f), rwlOften[0]) - rwlOften[i-1]) / (rwlOften[i] - rwlOften[i-1])
	return column[i-1] + part*(column[i]-column[i-1]), nil
}

// LiftsAMinute returns the frequency that counts where people lift for less
// than 15 minutes on end.
//
//	F = f·t/(15 min)
//
// where f is how often they lift while they do and t how long that is in any
// 15 minutes (NIOSH 94-110, p. 16). It returns a [*RangeError] if f is below 0
// or t is not within 0 to 15 min.
func LiftsAMinute(f Frequency, during time.Duration) (Frequency, error) {
	b := bounds[Frequency]{"lifts_a_minute", 0, 60}
	if err := b.check(f); err != nil {
		return 0, err
	}
	t := bounds[Seconds]{"lifting_time", 0, 15 * 60}
	if err := t.check(Seconds(during.Seconds())); err != nil {
		return 0, err
	}
	return f * Frequency(during.Minutes()/15), nil
}

// DurationOfLifting returns which duration of the lifting equation some
// lifting is, by the light work that follows it: short up to one hour if as
// much recovery follows, moderate up to two hours if 0.3 of it does, else
// long, up to eight hours (NIOSH 94-110, p. 14). Without that recovery the
// next lifting counts with it, so add both up and ask again.
//
// It returns a [*RangeError] if work is not within 0 to 8 h or recovery is
// below 0.
func DurationOfLifting(work, recovery time.Duration) (LiftDuration, error) {
	b := bounds[Hours]{"lifting_time", 0, 8}
	if err := b.check(hours(work)); err != nil {
		return 0, err
	}
	rest := bounds[Hours]{"recovery", 0, math.MaxFloat64}
	if err := rest.check(hours(recovery)); err != nil {
		return 0, err
	}
	switch {
	case work <= time.Hour && recovery >= work:
		return ShortLifting, nil
	case work <= 2*time.Hour && float64(recovery) >= 0.3*float64(work)*(1-slip):
		return ModerateLifting, nil
	}
	return LongLifting, nil
}
