package calc

import "math"

const (
	// gravity is the standard acceleration of free fall in m/s² (3rd CGPM,
	// 1901; NIST SP 811 App. B).
	gravity = 9.80665
	// airDensity is in kg/m³, the value that EN 1991-1-4, 4.5 (1) recommends.
	airDensity = 1.25
)

// PlateForce is the force coefficient of a free-standing plate square to the
// wind, 1.8, from memory (EN 1991-1-4 gives 1.8 for signboards, 7.4.3).
const PlateForce = 1.8

var (
	windBounds = bounds[Speed]{"wind", 0, 60}
	propBounds = bounds[Length]{"prop_height", 100 * Millimetre, 10_000 * Millimetre}
	leanBounds = bounds[Angle]{"lean", 0, 60}
)

// Helping returns the mass that counts where weight helps: m itself if it
// was weighed, a tenth less if it was estimated. The tenth is the project's
// own allowance, like that of [Mass.Counted].
func (m Mass) Helping(estimated bool) Mass {
	if estimated {
		return m - m/10
	}
	return m
}

// windPressure returns the pressure in pascals at which air of the speed v is
// stopped: q = ρ·v²/2 = 0.625·v² in SI units (EN 1991-1-4, 4.5).
func windPressure(v Speed) float64 { return airDensity / 2 * float64(v*v) }

// StandingLeaf is a leaf that stands on its bottom edge, and is held by
// nothing that isn't named.
type StandingLeaf struct {
	Mass      Mass
	Estimated bool // the mass was not weighed
	Width     Length
	Height    Length
	Thickness Length
}

func (l *StandingLeaf) check() error {
	if err := massBounds.check(l.Mass); err != nil {
		return err
	}
	if err := widthBounds.check(l.Width); err != nil {
		return err
	}
	return checkUpright(l.Height, l.Thickness)
}

func checkUpright(h, t Length) error {
	if err := heightBounds.check(h); err != nil {
		return err
	}
	return thicknessBounds.check(t)
}

// TipAngle returns how far a leaf on its bottom edge may lean before it
// falls over, rounded down to 0.1°.
//
//	β = atan(t/H)
//
// where t is the leaf's thickness and H its height: there its centre of
// gravity, taken in the middle, stands above the edge it turns on. Plane
// geometry. The edge is taken as square and the floor as hard and level: on
// a chamfered edge, a soft pad or a slope the leaf falls sooner.
//
// TipAngle returns a [*RangeError] if h or t is out of bounds.
func TipAngle(h, t Length) (Figure[Angle], error) {
	if err := checkUpright(h, t); err != nil {
		return Figure[Angle]{}, err
	}
	return downTo(degrees(math.Atan2(float64(t), float64(h))), 10), nil
}

// TipWind returns the gust that tips a leaf standing upright on its bottom
// edge, rounded down to 0.1 m/s.
//
//	v = √(m·g·t / (ρ/2·c_f·w·H²))
//
// where m is the leaf's mass (a tenth less if it was estimated), g =
// 9.80665 m/s², t, w and H its thickness, width and height, ρ/2 = 0.625
// kg/m³ (EN 1991-1-4, 4.5) and c_f = [PlateForce]: the wind's moment about
// the edge, its force at half the height, against that of the weight. A leaf
// that leans falls sooner. It is the speed of the gust, not of the mean
// wind.
//
// TipWind returns a [*RangeError] if a value is out of bounds.
func TipWind(l StandingLeaf) (Figure[Speed], error) {
	if err := l.check(); err != nil {
		return Figure[Speed]{}, err
	}
	holds := float64(l.Mass.Helping(l.Estimated).Weight()) * metres(l.Thickness)
	area := metres(l.Width) * metres(l.Height)
	return downTo(Speed(math.Sqrt(holds/(windPressure(1)*PlateForce*area*metres(l.Height)))), 10), nil
}

// Prop is what keeps a standing leaf from falling over.
type Prop struct {
	Height Length // where it holds the leaf, above the floor
	Lean   Angle  // of the leaf from the plumb line, towards the prop
	Wind   Speed  // of a gust towards the prop, 0 in still air
}

// PropLoad is the horizontal force on a prop.
type PropLoad struct {
	Gravity Force         // what the lean alone gives, 0 up to the tipping angle
	Wind    Force         // what the gust alone gives
	Force   Figure[Force] // both, rounded up to 1 N
}

// PropForce returns the horizontal force with which a leaf on its bottom
// edge presses on a prop.
//
//	gravity = m·g·(H/2·sin β − t/2·cos β)/p
//	wind    = ρ/2·c_f·v²·w·H²/(2p)
//
// where m is the leaf's mass (a tenth more if it was estimated), g =
// 9.80665 m/s², H, t and w its height, thickness and width, β its lean, p
// the height of the prop, v the speed of the gust, ρ/2 = 0.625 kg/m³
// (EN 1991-1-4, 4.5) and c_f = [PlateForce]. Up to the tipping angle the
// leaf presses on no prop, and gravity is 0. The wind is taken as if the
// leaf stood upright, which is the most it can do, and the weight that would
// help against it is left out. What pushes the leaf away from the prop isn't
// looked at: it must be held both ways. A prop that slopes carries more than
// its horizontal part.
//
// PropForce returns a [*RangeError] if a value is out of bounds, and if the
// prop holds the leaf above its top, at H·cos β.
func PropForce(l StandingLeaf, p Prop) (PropLoad, error) {
	if err := l.check(); err != nil {
		return PropLoad{}, err
	}
	if err := windBounds.check(p.Wind); err != nil {
		return PropLoad{}, err
	}
	if err := leanBounds.check(p.Lean); err != nil {
		return PropLoad{}, err
	}
	if err := propBounds.check(p.Height); err != nil {
		return PropLoad{}, err
	}
	sin, cos := p.Lean.sincos()
	if top := nearest(float64(l.Height) * cos); p.Height > top {
		return PropLoad{}, &RangeError{Name: "prop_height", Value: p.Height, Bound: AtMost, Limit: top, Why: "that is the top of the leaf as it leans"}
	}
	h, at := metres(l.Height), metres(p.Height)
	arm := h/2*sin - metres(l.Thickness)/2*cos
	area := metres(l.Width) * h
	load := PropLoad{
		Gravity: l.Mass.Counted(l.Estimated).Weight() * Force(max(0, arm)/at),
		Wind:    Force(windPressure(p.Wind) * PlateForce * area * h / (2 * at)),
	}
	load.Force = upTo(load.Gravity+load.Wind, 1)
	return load, nil
}
