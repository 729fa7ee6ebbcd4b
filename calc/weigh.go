package calc

// Weighed is a leaf on two scales.
type Weighed struct {
	Mass    Figure[Mass] // up to 0.1 kg
	CentreX Dimension    // from the heel edge, rounded up
}

// TwoScales returns the mass of a leaf that lies on two scales and where its
// centre is.
//
//	m = a + b      centre_x = x₀ + b·L/(a + b)
//
// where a is what the scale at the heel end shows, b that at the leading end,
// L how far they are apart and x₀ how far the first is from the heel edge.
// Statics of a beam on two supports. Both scales carry at one line each, and
// the leaf touches nothing else.
//
// TwoScales returns a [*RangeError] if a value is out of bounds.
func TwoScales(a, b Mass, span, heel, step Length) (Weighed, error) {
	if err := scaleBounds.named("scale_heel_end", a); err != nil {
		return Weighed{}, err
	}
	if err := scaleBounds.named("scale_lead_end", b); err != nil {
		return Weighed{}, err
	}
	if err := massBounds.check(a + b); err != nil {
		return Weighed{}, err
	}
	if err := scaleSpanBounds.check(span); err != nil {
		return Weighed{}, err
	}
	if err := scaleStartBounds.check(heel); err != nil {
		return Weighed{}, err
	}
	if err := stepBounds.check(step); err != nil {
		return Weighed{}, err
	}
	x := float64(heel) + float64(b/(a+b))*float64(span)
	return Weighed{upTo(a+b, 10), up(nearest(x), step)}, nil
}

// Bearing is how a floor plate presses on what is under it.
type Bearing struct {
	Pressure Figure[Pressure] // up to 0.01 N/mm²
	Compared bool             // it was said what the floor carries
	OK       bool             // the floor carries it
}

// FloorPressure returns how a floor plate presses on the floor, and whether
// the floor carries that.
//
//	p = V/(a·b)
//
// where V is the vertical load on the plate and a and b its length and width.
// carries is the pressure that the screed may be loaded with, 0 if nobody
// said. The load is spread evenly and is at rest: no impact on a stop, no
// moment of the wind and no edge of the floor is in the figure.
//
// FloorPressure returns a [*RangeError] if a value is out of bounds.
func FloorPressure(vertical Force, length, width Length, carries Pressure) (Bearing, error) {
	if err := forceBounds.check(vertical); err != nil {
		return Bearing{}, err
	}
	if err := plateSideBounds.check(length); err != nil {
		return Bearing{}, err
	}
	if err := plateSideBounds.named("plate_width", width); err != nil {
		return Bearing{}, err
	}
	p := Pressure(float64(vertical) / (metres(length) * metres(width)))
	b := Bearing{Pressure: upTo(p, 100/float64(Megapascal))}
	if carries == 0 {
		return b, nil
	}
	if err := carriesBounds.check(carries); err != nil {
		return Bearing{}, err
	}
	b.Compared, b.OK = true, p <= carries
	return b, nil
}
