package draw

import (
	"math"

	"heelpost/calc"
)

// view shows a part of the world on a sheet: mm from an origin, x to the right
// and y down, k units of the sheet a mm, and nothing outside its box.
type view struct {
	*sheet
	box
	origin point
	k      float64
}

func (v view) at(x, y float64) point { return point{v.origin.x + v.k*x, v.origin.y + v.k*y} }

func (v view) all(points []point) []point {
	out := make([]point, len(points))
	for i, p := range points {
		out[i] = v.at(p.x, p.y)
	}
	return out
}

// body draws a filled shape with its outline.
func (v view) body(points []point) {
	on := v.all(points)
	if in := v.clip(on); len(in) > 2 {
		v.polygon(tint, in...)
	}
	v.curve(solid, heavy, on, true)
}

// curve draws what is in the box of a polyline, closed if wanted.
func (v view) curve(i ink, width float64, on []point, closed bool) {
	if closed {
		on = append(on[:len(on):len(on)], on[0])
	}
	for _, run := range v.within(on) {
		v.line(i, width, run...)
	}
}

// ghost draws the dashed outline of what is elsewhere at another time.
func (v view) ghost(points []point) {
	on := v.all(points)
	for _, run := range v.within(append(on, on[0])) {
		v.dashed(thin, 1.1, run...)
	}
}

// sweep draws the path of a point of the leaf that turns about the origin.
func (v view) sweep(p point, to calc.Angle) {
	from := math.Atan2(p.y, p.x) * 180 / math.Pi
	for _, run := range v.within(onArc(v.origin, v.k*math.Hypot(p.x, p.y), from, from+float64(to))) {
		v.dashed(thin, light, run...)
	}
}

// solidWall draws the cut through what stands still: hatched, between two
// corners in mm.
func (v view) solidWall(x0, y0, x1, y1 float64) {
	a, b := v.at(x0, y0), v.at(x1, y1)
	w := box{max(a.x, v.x0), max(a.y, v.y0), min(b.x, v.x1), min(b.y, v.y1)}
	if w.x0 >= w.x1 || w.y0 >= w.y1 {
		return
	}
	v.hatched(w)
	v.curve(solid, heavy, []point{a, {b.x, a.y}, b, {a.x, b.y}}, true)
}

// hatched fills a box with lines at 45°.
func (s *sheet) hatched(b box) {
	const apart = 7
	for x := b.x0 - (b.y1 - b.y0) + apart; x < b.x1; x += apart {
		if p, q, ok := b.cut(point{x, b.y1}, point{x + b.y1 - b.y0, b.y0}); ok {
			s.line(hatch, light, p, q)
		}
	}
}

// axis marks the pivot axis seen from above: a circle in a cross.
func (v view) axis() {
	const r, arm = 4.5, 10
	o := v.origin
	v.arc(solid, 1.2, o, r, 0, 360)
	v.line(solid, light, point{o.x - arm, o.y}, point{o.x + arm, o.y})
	v.line(solid, light, point{o.x, o.y - arm}, point{o.x, o.y + arm})
	v.taken = append(v.taken, box{o.x - arm, o.y - arm, o.x + arm, o.y + arm})
}

// leaf is a leaf in plan, in mm about its pivot axis: its heel edge to the left,
// the face it opens towards below.
type leaf struct {
	t, s, w, e float64
	heel, lead calc.Edge
}

// outline returns the leaf's corners, as it stands open by an angle.
func (l *leaf) outline(open calc.Angle) []point {
	y0, y1, x0, x1 := l.e-l.t/2, l.e+l.t/2, -l.s, l.w-l.s
	var all []point
	for i, c := range [...]point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} {
		edge := l.heel
		if c.x == x1 {
			edge = l.lead
		}
		size := edge.Size.MM()
		in := point{math.Copysign(size, (x0+x1)/2-c.x), math.Copysign(size, l.e-c.y)}
		along, across := point{c.x + in.x, c.y}, point{c.x, c.y + in.y}
		if i%2 == 0 {
			along, across = across, along
		}
		switch edge.Form {
		case calc.Square:
			all = append(all, c)
		case calc.Chamfered:
			all = append(all, along, across)
		default:
			centre := point{c.x + in.x, c.y + in.y}
			a := math.Atan2(along.y-centre.y, along.x-centre.x) * 180 / math.Pi
			for turned := 0.0; turned <= 90; turned += 7.5 { // it is enlarged later
				all = append(all, polar(centre, size, a+turned))
			}
		}
	}
	for i, p := range all {
		all[i] = turned(p, open)
	}
	return all
}

// turned is a point about the axis, the way the leaf opens: the leading end
// goes down the sheet.
func turned(p point, by calc.Angle) point {
	sin, cos := math.Sincos(by.Radians())
	return point{p.x*cos - p.y*sin, p.x*sin + p.y*cos}
}

// tightest returns the point of the closed leaf's outline that comes nearest to
// the heel jamb as the leaf opens to an angle, and the angle at which it does.
func (l *leaf) tightest(to calc.Angle) (p point, at calc.Angle) {
	nearest := math.Inf(1)
	for _, q := range l.outline(0) {
		if q.x > 0 || q.y <= 0 {
			continue
		}
		a := min(calc.Angle(math.Atan2(q.y, -q.x)*180/math.Pi), to)
		if x := turned(q, a).x; x < nearest {
			nearest, p, at = x, q, a
		}
	}
	return p, at
}
