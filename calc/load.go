package calc

import "math"

// Weight returns the force with which m presses on what carries it at rest: m·g
// with g = 9.80665 m/s².
func (m Mass) Weight() Force { return Force(m * gravity) }

// LoadInput is a hung leaf and what acts on it.
type LoadInput struct {
	Mass        Mass
	Estimated   bool // the mass was not weighed
	Width       Length
	Height      Length
	Setback     Length
	CentreX     Length   // of gravity, from the heel edge
	PivotHeight Length   // between the pivots
	Wind        Speed    // of a gust, 0 indoors
	Person      Force    // hanging on the leading edge, 0 for nobody
	Pressure    Pressure // difference between the two sides, 0 for none
	HandleInset Length   // of the handle from the leading edge
	Pins        int      // that share a pivot's horizontal load, 0: not said
}

// Load is what the pivots of a leaf carry and what it takes to hold it.
type Load struct {
	Vertical        Figure[Force]  // on the floor pivot
	Horizontal      Figure[Force]  // on each pivot, from the leaf's weight and the person
	WindForce       Figure[Force]  // on the whole leaf
	WindMoment      Figure[Torque] // about the pivot axis
	HoldForce       Figure[Force]  // at the leading edge against the wind
	PivotHorizontal Figure[Force]  // on each pivot, weight, person and wind
	PinShear        Figure[Force]  // PivotHorizontal over the pins, 0 without Pins
	PressureMoment  Figure[Torque] // about the pivot axis, from the pressure
	PressureForce   Figure[Force]  // at the handle, from the pressure
}

var (
	personBounds     = bounds[Force]{"person", 0, 5000}
	differenceBounds = bounds[Pressure]{"pressure", 0, 2000}
	pinsBounds       = bounds[Number]{"pins", 1, 20}
)

// Loads returns what the pivots carry and what holds the leaf.
//
//	vertical   = m·g + P
//	horizontal = |m·g·(centre_x − s) + P·(w − s)|/h
//	wind_force = c_f·q·w·H             q = ρ/2·v²
//	wind_moment = wind_force·(|w/2 − s| + w/4)
//	hold_force = wind_moment/(w − s)
//	pivot_horizontal = hypot(horizontal, wind_force/2)
//	pin_shear = pivot_horizontal/n
//
// and, as of [PressureDifference], pressure_moment and pressure_force, where
// m is the leaf's mass (a tenth more if it was estimated), g = 9.80665 m/s²,
// P the force of a person on the leading edge, s the setback, w and H the
// leaf's width and height, h the height between the pivots, ρ/2 = 0.625 kg/m³
// (EN 1991-1-4, 4.5), v the speed of the gust, n the number of pins and c_f =
// [PlateForce]. The wind's force may act off the middle of the plate by a
// quarter of its width (EN 1991-1-4, 7.4.3, from memory), so a leaf hung in
// its middle isn't free of it. If the person's weight would relieve the
// pivots, horizontal is what they carry without it. All are rounded up, to
// 1 N and to 0.1 N·m.
//
// The load is at rest: an impact on a stop is in no figure. Plates, pins and
// the structure around them are for a licensed engineer to design.
//
// Loads returns a [*RangeError] if a value is out of bounds, the setback is
// more than half the width, the centre lies outside the leaf or the pivots
// are further apart than the leaf is high, by more than 500 mm.
func Loads(in LoadInput) (Load, error) {
	if err := in.check(); err != nil {
		return Load{}, err
	}
	m := in.Mass.Counted(in.Estimated)
	w, s, h := metres(in.Width), metres(in.Setback), metres(in.PivotHeight)
	weight := float64(m.Weight()) * metres(in.CentreX-in.Setback) / h
	person := float64(in.Person) * (w - s) / h
	horizontal := max(math.Abs(weight), math.Abs(weight+person))
	wind := windPressure(in.Wind) * PlateForce * w * metres(in.Height)
	moment := wind * (math.Abs(w/2-s) + w/4)
	both := hypot(horizontal, wind/2)
	difference := pressureMoment(in.Pressure, in.Height, in.Width, in.Setback)
	l := Load{
		Vertical:        upTo(m.Weight()+in.Person, 1),
		Horizontal:      upTo(Force(horizontal), 1),
		WindForce:       upTo(Force(wind), 1),
		WindMoment:      upTo(Torque(moment), 10),
		HoldForce:       upTo(Force(moment/(w-s)), 1),
		PivotHorizontal: upTo(Force(both), 1),
		PressureMoment:  upTo(difference, 10),
		PressureForce:   upTo(Force(float64(difference)/metres(in.Width-in.Setback-in.HandleInset)), 1),
	}
	if in.Pins != 0 {
		l.PinShear = upTo(Force(both/float64(in.Pins)), 1)
	}
	return l, nil
}

// pressureMoment is Δp·H·w·(w − 2s)/2.
func pressureMoment(p Pressure, h, w, s Length) Torque {
	return Torque(float64(p) * metres(h) * metres(w) * metres(w-2*s) / 2)
}

func (in *LoadInput) check() error {
	if err := massBounds.check(in.Mass); err != nil {
		return err
	}
	if err := checkLever(in.Width, in.Setback, in.HandleInset); err != nil {
		return err
	}
	if err := heightBounds.check(in.Height); err != nil {
		return err
	}
	centre := bounds[Length]{"centre_x", 0, in.Width}
	if err := centre.check(in.CentreX); err != nil {
		return err
	}
	apart := bounds[Length]{"pivot_height", heightBounds.min, in.Height + 500*Millimetre}
	if err := apart.check(in.PivotHeight); err != nil {
		return err
	}
	if err := windBounds.check(in.Wind); err != nil {
		return err
	}
	if err := personBounds.check(in.Person); err != nil {
		return err
	}
	if err := differenceBounds.check(in.Pressure); err != nil {
		return err
	}
	if in.Pins == 0 {
		return nil
	}
	return pinsBounds.check(Number(in.Pins))
}

// checkLever returns an error if a leaf of width w can't have the setback s
// and a handle that far in from the leading edge.
func checkLever(w, s, inset Length) error {
	if err := checkWidth(w, s); err != nil {
		return err
	}
	if err := setbackBounds.check(s); err != nil {
		return err
	}
	b := bounds[Length]{"handle_inset", 0, (w - s) * 9 / 10}
	return b.check(inset)
}

// PressureDifference returns the moment with which a difference in air
// pressure turns a leaf, rounded up to 0.1 N·m, and what that adds to the
// force at the handle, rounded up to 1 N.
//
//	moment = Δp·H·w·(w − 2s)/2      force = moment/(w − s − i)
//
// where Δp is the pressure difference, H and w are the leaf's height and
// width, s is the setback and i how far the handle stands in from the leading
// edge. The part of the leaf beyond the axis pushes back, so that a leaf hung
// in its middle isn't turned. Statics of a uniform load.
//
// PressureDifference returns a [*RangeError] if a value is out of bounds, the
// setback is more than half the width or the handle stands in further than
// nine tenths of the way to the axis.
func PressureDifference(p Pressure, h, w, s, inset Length) (Figure[Torque], Figure[Force], error) {
	if err := differenceBounds.check(p); err != nil {
		return Figure[Torque]{}, Figure[Force]{}, err
	}
	if err := heightBounds.check(h); err != nil {
		return Figure[Torque]{}, Figure[Force]{}, err
	}
	if err := checkLever(w, s, inset); err != nil {
		return Figure[Torque]{}, Figure[Force]{}, err
	}
	m := pressureMoment(p, h, w, s)
	return upTo(m, 10), upTo(Force(float64(m)/metres(w-s-inset)), 1), nil
}

// HeadInput is how a head pivot sits in a leaf, before the lintel moves.
type HeadInput struct {
	Engagement Length // how far the head pivot reaches into its bearing
	Least      Length // that the sheet asks for
	GapTop     Length // between the leaf's head and the lintel
	Deflection Length // how far the lintel can still move, either way
}

// Head is what is left of it once the lintel has moved.
type Head struct {
	Engagement Length // after the lintel has risen
	Spare      Length // that over the least; below 0, the leaf can come off
	GapTop     Length // after the lintel has come down; below 0, the leaf jams
}

// HeadEngagement returns what a moving lintel leaves of a head pivot's
// engagement and of the top gap.
//
//	engagement_left = engagement − δ      spare = engagement_left − least
//	gap_left = gap_top − δ
//
// where δ is how far the lintel can still move: down when the wall above is
// loaded, up when props are taken out from under it or the load goes. Plane
// geometry; how far a lintel moves is for the engineer who designed it to
// say.
//
// HeadEngagement returns a [*RangeError] if a value is out of bounds.
func HeadEngagement(in HeadInput) (Head, error) {
	engages := bounds[Length]{"engagement", 0, 200 * Millimetre}
	if err := engages.check(in.Engagement); err != nil {
		return Head{}, err
	}
	if err := engages.named("engagement_least", in.Least); err != nil {
		return Head{}, err
	}
	if err := gapBounds.named("gap_top", in.GapTop); err != nil {
		return Head{}, err
	}
	moves := bounds[Length]{"deflection", 0, 50 * Millimetre}
	if err := moves.check(in.Deflection); err != nil {
		return Head{}, err
	}
	left := in.Engagement - in.Deflection
	return Head{Engagement: left, Spare: left - in.Least, GapTop: in.GapTop - in.Deflection}, nil
}
