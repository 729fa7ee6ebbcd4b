package calc

import "math"

// EdgeForm is the shape of a leaf's vertical edge in plan.
type EdgeForm int

// The forms of an edge. Both corners have the same form.
const (
	Square    EdgeForm = iota
	Chamfered          // each corner cut off at 45°, Size along each face
	Rounded            // each corner rounded to the radius Size
)

// Edge is a leaf's heel or leading edge.
type Edge struct {
	Form EdgeForm
	Size Length
}

// Swing says to which sides a leaf opens.
type Swing int

// The swings. One way counts only where a fixed stop prevents the other.
const (
	BothWays Swing = iota
	OneWay
)

// Offset is the distance of the pivot axis from the leaf's mid-plane:
// positive when the axis lies away from the face the leaf opens towards.
// Where the side is not known the worse one is taken for both faces.
type Offset struct {
	E      Length
	Signed bool // the side is known
}

// Turn is a leaf in plan and the way it swings.
type Turn struct {
	Thickness Length
	Setback   Length
	Width     Length // 0: not known, and the leading edge is not looked at
	Offset    Offset
	Heel      Edge
	Lead      Edge
	Swing     Swing
	Angle     Angle // how far it opens
}

// faces returns the distances from the axis of the faces that the corners of
// heel and leading edge come round on.
func (t *Turn) faces() (heel, lead float64) {
	half, e := float64(t.Thickness)/2, float64(t.Offset.E)
	if t.Swing == BothWays || !t.Offset.Signed {
		return half + math.Abs(e), half + math.Abs(e)
	}
	return half + e, half - e
}

// Faces returns the distances from the axis of the faces that the corners of
// heel and leading edge come round on: t/2 + |e| both ways or where the side
// of the offset is not known, else t/2 + e and t/2 - e.
func (t *Turn) Faces() (heel, lead Length) {
	h, l := t.faces()
	return nearest(h), nearest(l)
}

// check returns an error if t makes no sense.
func (t *Turn) check() error {
	if err := thicknessBounds.check(t.Thickness); err != nil {
		return err
	}
	if err := setbackBounds.check(t.Setback); err != nil {
		return err
	}
	if err := offsetBounds.check(t.Offset.E); err != nil {
		return err
	}
	if err := angleBounds.check(t.Angle); err != nil {
		return err
	}
	if err := t.Heel.check(t.Thickness, t.Setback, Word("the setback")); err != nil {
		return err
	}
	if t.Width == 0 {
		return nil
	}
	if err := checkWidth(t.Width, t.Setback); err != nil {
		return err
	}
	return t.Lead.check(t.Thickness, t.Width-t.Setback, Word("the distance from the pivot axis to the leading edge"))
}

// checkWidth returns an error if a leaf can't have width w and setback s.
func checkWidth(w, s Length) error {
	if err := widthBounds.check(w); err != nil {
		return err
	}
	if 2*s > w {
		return &RangeError{Name: "setback", Value: s, Bound: AtMost, Limit: w / 2, Why: WrongEdge}
	}
	return nil
}

// WrongEdge is the reason of the [*RangeError] for a setback of more than
// half the leaf: the heel edge is the one near the pivot.
const WrongEdge Word = "that is more than half of the leaf, is it measured from the wrong edge?"

// check returns an error if the edge is larger than half the thickness t or
// than x, the distance from the axis to the edge.
func (e Edge) check(t, x Length, name Word) error {
	switch {
	case e.Form == Square:
		return nil
	case e.Size < 0:
		return &RangeError{Name: "edge_size", Value: e.Size, Bound: AtLeast, Limit: Length(0)}
	case 2*e.Size > t:
		return &RangeError{Name: "edge_size", Value: e.Size, Bound: AtMost, Limit: t / 2, Why: "half the thickness"}
	case e.Size > x:
		return &RangeError{Name: "edge_size", Value: e.Size, Bound: AtMost, Limit: x, Why: name}
	}
	return nil
}

// hypot is math.Hypot without its care for overflow, which lengths in
// nanometres don't need and which takes most of its time.
func hypot(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// corner is the furthest that a point of the leaf gets towards its own jamb,
// and the direction from the axis in which it does so.
type corner struct{ reach, sin, cos float64 }

// reach returns the furthest that a point at (x, y) from the axis, x towards
// its own jamb and y towards the face it comes round on, gets towards the
// jamb while the leaf turns through an angle of the given sine and cosine,
// 90° at most: x where it only moves away; its whole radius if it passes the
// line from the axis square to the jamb; else where it stops.
func reach(x, y, sin, cos float64) corner {
	if y <= 0 {
		return corner{x, 0, 1}
	}
	if sin*x >= cos*y { // the angle is at least atan2(y, x)
		r := hypot(x, y)
		return corner{r, y / r, x / r}
	}
	return corner{x*cos + y*sin, sin, cos}
}

// growth returns by how much an edge at the distance x from the axis, its
// corner coming round on the face at y, gets nearer to its jamb in a turn of
// the given sine and cosine, never below 0, and the corner that does it.
//
// For a square edge it is hypot(x, y) - x, the sagitta of a chord 2y on the
// radius hypot(x, y) [S 1]. A chamfer has two corners, a rounding its centre
// with the radius added.
func growth(x, y float64, e Edge, sin, cos float64) (float64, corner) {
	size := float64(e.Size)
	var far corner
	switch e.Form {
	case Chamfered:
		far = reach(x, y-size, sin, cos)
		if c := reach(x-size, y, sin, cos); c.reach > far.reach {
			far = c
		}
	case Rounded:
		far = reach(x-size, y-size, sin, cos)
		far.reach += size
	default:
		far = reach(x, y, sin, cos)
	}
	if far.reach <= x {
		return 0, corner{x, 0, 1}
	}
	return far.reach - x, far
}
