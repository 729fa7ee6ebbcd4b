package calc

import "math"

// CloserSize is a power size of a door closing device.
type CloserSize struct {
	Size       int
	Width      Length  // of the widest leaf
	Mass       Mass    // of the heaviest
	ClosingMin Torque  // from 0° to 4°
	ClosingMax Torque  // from 0° to 4°, it stays below
	Closing90  Torque  // least, from 88° to 92°
	ClosingAny Torque  // least, at any other angle
	OpeningMax Torque  // from 0° to 60°
	Efficiency Percent // least, from 0° to 4°
}

// CloserSizes are the power sizes of EN 1154:1996 + A1:2002, table 1: the
// widths and masses second hand, the moments and efficiencies from memory.
var CloserSizes = [7]CloserSize{
	{1, 750 * Millimetre, 20, 9, 13, 3, 2, 26, 50},
	{2, 850 * Millimetre, 40, 13, 18, 4, 3, 36, 50},
	{3, 950 * Millimetre, 60, 18, 26, 6, 4, 47, 55},
	{4, 1100 * Millimetre, 80, 26, 37, 9, 6, 62, 60},
	{5, 1250 * Millimetre, 100, 37, 54, 12, 8, 83, 65},
	{6, 1400 * Millimetre, 120, 54, 87, 18, 11, 134, 65},
	{7, 1600 * Millimetre, 160, 87, 140, 29, 18, 215, 65},
}

// The published limits of opening and closing.
const (
	// OpeningForceADA is 5 lbf, the most for an interior door (2010 ADA
	// Standards 404.2.9).
	OpeningForceADA Force = 5 * Force(Pound) * gravity
	// ClosingTimeADA is the least from 90° to 12° (2010 ADA Standards
	// 404.2.8.1).
	ClosingTimeADA Seconds = 5
	// ClosingEnergyLow is the most that a low-energy powered door may have
	// (EN 16005, from memory). It is no limit for other doors: a yardstick.
	ClosingEnergyLow Energy = 1.69
	// PeakSpeed is how many times the mean the greatest speed of a closing
	// leaf is taken where nobody timed it; from memory.
	PeakSpeed = 1.5
)

const (
	closingSweep = 78 * math.Pi / 180 // from 90° to 12°: 2010 ADA Standards 404.2.8.1
	fastestSweep = 30 * math.Pi / 180 // our own, as a hand can time it
)

var (
	timeBounds    = bounds[Seconds]{"closing_time", 0.5, 60}
	fastestBounds = bounds[Seconds]{"fastest_30", 0.1, 30}
	inertiaBounds = bounds[Inertia]{"inertia", 0.01, 40_000}
	momentBounds  = bounds[Torque]{"moment", 0, 5000}
)

// SizeForCloser returns the power size that a leaf needs: the larger of those
// by its width and by its mass, a tenth more if that was estimated (EN
// 1154:1996 + A1:2002, table 1, second hand). A tall, heavy or wind-exposed
// leaf takes the next size up, from memory. The table is for leaves hung at
// their edge; on an inset pivot the part beyond the axis helps.
//
// SizeForCloser returns a [*RangeError] if a value is out of bounds or the
// leaf is wider than 1600 mm or heavier than 160 kg: the table ends there.
func SizeForCloser(w Length, m Mass, estimated bool) (CloserSize, error) {
	if err := widthBounds.check(w); err != nil {
		return CloserSize{}, err
	}
	if err := massBounds.check(m); err != nil {
		return CloserSize{}, err
	}
	const why Word = "EN 1154's table ends there"
	last := CloserSizes[len(CloserSizes)-1]
	counted := m.Counted(estimated)
	if w > last.Width {
		return CloserSize{}, &RangeError{Name: "width", Value: w, Bound: AtMost, Limit: last.Width, Why: why}
	}
	if counted > last.Mass {
		return CloserSize{}, &RangeError{Name: "mass", Value: counted, Bound: AtMost, Limit: last.Mass, Why: why}
	}
	i := 0
	for w > CloserSizes[i].Width || counted > CloserSizes[i].Mass {
		i++
	}
	return CloserSizes[i], nil
}

// LeverForce returns the force at the handle that a moment about the axis
// asks for, rounded up to 1 N.
//
//	F = M/(w − s − i)
//
// where w is the leaf's width, s the setback and i how far the handle stands
// in from the leading edge. Statics. Moments on the same leaf, as a closer's
// and that of a pressure difference, add before.
//
// LeverForce returns a [*RangeError] if a value is out of bounds, the setback
// is more than half the width or the handle stands in further than nine tenths
// of the way to the axis.
func LeverForce(m Torque, w, s, inset Length) (Figure[Force], error) {
	if err := momentBounds.check(m); err != nil {
		return Figure[Force]{}, err
	}
	if err := checkLever(w, s, inset); err != nil {
		return Figure[Force]{}, err
	}
	return upTo(Force(float64(m)/metres(w-s-inset)), 1), nil
}

// ClosingInput is a leaf that closes by itself.
type ClosingInput struct {
	Inertia Inertia
	Time    Seconds // from 90° to 12°
	Fastest Seconds // for the fastest 30° of that, 0: not timed
}

// Closing is how hard a leaf closes.
type Closing struct {
	Energy      Figure[Energy]  // at the greatest speed, up to 0.1 J
	TimeMin     Figure[Seconds] // from 90° to 12°, for Limit; up to 0.1 s
	MeanEnergy  Figure[Energy]  // at the mean speed
	MeanTimeMin Figure[Seconds] // for Limit at the mean speed
	FastestMin  Figure[Seconds] // for the fastest 30°, for Limit
	Limit       Energy          // ClosingEnergyLow
	OK          bool            // Energy is within Limit
	InTime      bool            // Time is at least ClosingTimeADA
}

// Closes returns the energy of a closing leaf and the shortest time that
// keeps it within [ClosingEnergyLow].
//
//	E = ½·I·ω²         ω = k·(78°)/t, or (30°)/t₃₀
//	t_min = t·√(E/E_limit)
//
// where I is the leaf's moment of inertia about its axis, t its time from 90°
// to 12° and t₃₀ that of the fastest 30° of it; 78° are 1.3614 rad. Where
// nobody timed those, the greatest speed is taken as k = [PeakSpeed] times the
// mean. The energy by the mean speed is told beside it. Standard physics; what
// the leaf drags along and the closer's own damping at the end aren't in it.
//
// Closes returns a [*RangeError] if a value is out of bounds or the fastest
// 30° took longer than 30° at the mean speed do.
func Closes(in ClosingInput) (Closing, error) {
	if err := inertiaBounds.check(in.Inertia); err != nil {
		return Closing{}, err
	}
	if err := timeBounds.check(in.Time); err != nil {
		return Closing{}, err
	}
	mean := closingSweep / float64(in.Time)
	speed := PeakSpeed * mean
	if in.Fastest != 0 {
		if err := fastestBounds.check(in.Fastest); err != nil {
			return Closing{}, err
		}
		if slow := in.Time * 30 / 78; in.Fastest > slow {
			return Closing{}, &RangeError{Name: "fastest_30", Value: in.Fastest, Bound: AtMost, Limit: slow, Why: "the mean speed over all 78° is higher"}
		}
		speed = fastestSweep / float64(in.Fastest)
	}
	energy := turning(in.Inertia, speed)
	slowest := math.Sqrt(2 * float64(ClosingEnergyLow) / float64(in.Inertia))
	return Closing{
		Energy:      upTo(energy, 10),
		TimeMin:     upTo(in.Time*Seconds(speed/slowest), 10),
		MeanEnergy:  upTo(turning(in.Inertia, mean), 10),
		MeanTimeMin: upTo(Seconds(closingSweep/slowest), 10),
		FastestMin:  upTo(Seconds(fastestSweep/slowest), 10),
		Limit:       ClosingEnergyLow,
		OK:          energy <= ClosingEnergyLow,
		InTime:      in.Time >= ClosingTimeADA,
	}, nil
}

// turning returns the energy of what turns at a speed in rad/s.
func turning(i Inertia, speed float64) Energy { return Energy(float64(i) / 2 * speed * speed) }
