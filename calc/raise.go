package calc

import "math"

// StandingHeight returns how high a leaf reaches while it is stood up from
// the floor, rounded up to step.
//
//	hypot(H, t)
//
// where H is its height and t its thickness: the corner across from the edge
// it turns on. Plane geometry.
//
// StandingHeight returns a [*RangeError] if a value is out of bounds.
func StandingHeight(h, t, step Length) (Dimension, error) {
	if err := checkUpright(h, t); err != nil {
		return Dimension{}, err
	}
	if err := stepBounds.check(step); err != nil {
		return Dimension{}, err
	}
	return up(nearest(hypot(float64(h), float64(t))), step), nil
}

// Access is the way of a leaf to its opening. What is 0 isn't looked at.
type Access struct {
	Room        Length // lowest ceiling where the leaf is stood up
	RouteHeight Length // lowest passage on the way
	RouteWidth  Length // narrowest passage on the way
	Corner      Length // width of the passage after a right-angled corner; RouteWidth before it
	HoistHeight Length // hoist car, inside
	HoistDepth  Length
	HoistWidth  Length
}

// AccessResult says where a leaf gets through.
type AccessResult struct {
	StandingHeight Dimension
	RoomSpare      Length // below 0: it can't be stood up there
	Route          Passage
	Corner         Passage
	CornerLength   Length // the longest leaf that gets round the corner
	Hoist          Passage
}

// Passage is a way past something.
type Passage int

// The ways. A leaf is carried on its long edge, upright or, in a hoist, leant in
// the plane of its face, or back over an edge.
const (
	NotSaid Passage = iota
	NoWay
	Upright
	OnEdge
	Leaning
	LeantBack
)

var accessBounds = bounds[Length]{"route", 50 * Millimetre, 20_000 * Millimetre}

// CheckAccess returns whether a leaf of width w, height h and thickness t can
// be stood up in a room, carried along a passage, round its corner and taken
// up in a hoist.
//
//	room      ceiling − hypot(h, t)
//	passage   t ≤ width, and h (upright) or w (on its long edge) ≤ height
//	corner    the length, w or h, ≤ min over θ of
//	          (a·cos θ + b·sin θ − t)/(sin θ·cos θ)
//	hoist     t ≤ width, and the face w × h fits into depth × height; or
//	          w ≤ width, and the profile h × t fits into depth × height; or
//	          either with width and depth, or w and h, changed about
//
// where a and b are the widths of the passage before and after the corner.
// For t = 0 the corner's limit is (a^⅔ + b^⅔)^(3/2). A p × q rectangle, p the
// longer, fits into an a × b one, a the longer, upright if p ≤ a and q ≤ b, or
// leaning if p > a, q ≤ b and b ≥ (2pqa + (p² − q²)·√(p² + q² − a²))/(p² + q²), from
// memory (W. B. Carver, Amer. Math. Monthly 64, 1957). Plane geometry, to the
// nanometre: people, packing and trolleys need room beside it.
//
// CheckAccess returns a [*RangeError] if a value is out of bounds, and a
// [*NeedError] for the width before a corner or a side of the hoist car that
// is missing.
func CheckAccess(w, h, t, step Length, way Access) (AccessResult, error) {
	if err := widthBounds.check(w); err != nil {
		return AccessResult{}, err
	}
	standing, err := StandingHeight(h, t, step)
	if err != nil {
		return AccessResult{}, err
	}
	if err := way.check(); err != nil {
		return AccessResult{}, err
	}
	r := AccessResult{StandingHeight: standing}
	if way.Room != 0 {
		r.RoomSpare = way.Room - standing.Exact
	}
	high := way.RouteHeight
	if high == 0 {
		high = max(w, h)
	}
	if way.RouteHeight != 0 || way.RouteWidth != 0 {
		r.Route = straight(w, h, high)
		if way.RouteWidth != 0 && t > way.RouteWidth {
			r.Route = NoWay
		}
	}
	if way.Corner != 0 {
		r.CornerLength = cornerLength(way.RouteWidth, way.Corner, t)
		r.Corner = round(w, h, high, r.CornerLength)
	}
	if way.HoistHeight != 0 {
		r.Hoist = hoist(w, h, t, way)
	}
	return r, nil
}

func (a *Access) check() error {
	for _, l := range [...]struct {
		name string
		l    Length
	}{
		{"room", a.Room}, {"route_height", a.RouteHeight}, {"route_width", a.RouteWidth}, {"corner", a.Corner},
		{"hoist_height", a.HoistHeight}, {"hoist_depth", a.HoistDepth}, {"hoist_width", a.HoistWidth},
	} {
		if l.l == 0 {
			continue
		}
		if err := accessBounds.named(l.name, l.l); err != nil {
			return err
		}
	}
	if a.Corner != 0 && a.RouteWidth == 0 {
		return &NeedError{Name: "route_width", Why: "a corner has a passage before it and one after"}
	}
	return a.checkCar()
}

// checkCar returns an error if only some sides of the hoist car are known.
func (a *Access) checkCar() error {
	const why Word = "a hoist car has a height, a depth and a width"
	if a.HoistHeight == 0 && a.HoistDepth == 0 && a.HoistWidth == 0 {
		return nil
	}
	switch {
	case a.HoistHeight == 0:
		return &NeedError{Name: "hoist_height", Why: why}
	case a.HoistDepth == 0:
		return &NeedError{Name: "hoist_depth", Why: why}
	case a.HoistWidth == 0:
		return &NeedError{Name: "hoist_width", Why: why}
	}
	return nil
}

// straight says how a leaf goes through a passage of some height.
func straight(w, h, high Length) Passage {
	switch {
	case h <= high:
		return Upright
	case w <= high:
		return OnEdge
	}
	return NoWay
}

// round says how a leaf gets round a corner that lets a length through.
func round(w, h, high, length Length) Passage {
	switch {
	case h <= high && w <= length:
		return Upright
	case w <= high && h <= length:
		return OnEdge
	}
	return NoWay
}

// cornerLength returns the longest plate of thickness t that gets round the
// corner of two passages: the least of a function that falls and then rises,
// found by thirds. 0 if there is none.
func cornerLength(a, b, t Length) Length {
	room := func(θ float64) float64 {
		sin, cos := math.Sincos(θ)
		return (float64(a)*cos + float64(b)*sin - float64(t)) / (sin * cos)
	}
	if t >= min(a, b) {
		return 0
	}
	lo, hi := 0.0, math.Pi/2
	for range 80 {
		x, y := lo+(hi-lo)/3, hi-(hi-lo)/3
		if room(x) > room(y) {
			lo = x
		} else {
			hi = y
		}
	}
	return Length(room((lo + hi) / 2))
}

// hoist says how a leaf stands in a hoist car: with its face along the depth or
// the width, or leant back over an edge that lies along one of them.
func hoist(w, h, t Length, car Access) Passage {
	floor := [2][2]Length{{car.HoistDepth, car.HoistWidth}, {car.HoistWidth, car.HoistDepth}}
	for _, f := range floor {
		if t > f[1] {
			continue
		}
		switch {
		case h <= car.HoistHeight && w <= f[0]:
			return Upright
		case w <= car.HoistHeight && h <= f[0]:
			return OnEdge
		}
	}
	for _, f := range floor {
		if t <= f[1] && fitsAslant(w, h, car.HoistHeight, f[0]) {
			return Leaning
		}
	}
	for _, f := range floor {
		back := func(side Length) bool { // down to lying on its face
			return side <= f[1] && t <= car.HoistHeight || fitsAslant(side, t, car.HoistHeight, f[1])
		}
		if w <= f[0] && back(h) || h <= f[0] && back(w) {
			return LeantBack
		}
	}
	return NoWay
}

// fitsAslant reports whether a rectangle w × h that does not fit straight fits
// into a × b leaning.
func fitsAslant(w, h, a, b Length) bool {
	p, q := float64(max(w, h)), float64(min(w, h))
	long, short := float64(max(a, b)), float64(min(a, b))
	d := p*p + q*q
	return p > long && q <= short && short*d >= 2*p*q*long+(p*p-q*q)*math.Sqrt(d-long*long)
}
