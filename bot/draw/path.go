package draw

import "math"

// Lengths of the dashes of a dashed line, and of the gaps between them.
const dash, dashGap = 6.0, 4.0

// runs are the polylines that a line or an arc is made of.
func (m *mark) runs() [][]point {
	points := m.points
	if m.shape == arc {
		points = onArc(m.points[0], m.r, m.from, m.to)
	}
	if !m.dashed {
		return [][]point{points}
	}
	return dashes(points)
}

// onArc are points on an arc, so near that the line through them is one.
func onArc(c point, r, from, to float64) []point {
	n := max(2, int(math.Ceil(math.Abs(to-from)/max(2, 40/math.Sqrt(r+1)))))
	points := make([]point, n+1)
	for i := range points {
		points[i] = polar(c, r, from+(to-from)*float64(i)/float64(n))
	}
	return points
}

// polar is the point at a distance from c in the direction of an angle.
func polar(c point, r, degrees float64) point {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return point{c.x + r*cos, c.y + r*sin}
}

// dashes cuts a polyline into dashes.
func dashes(points []point) (all [][]point) {
	drawn, left := true, dash
	run := []point{points[0]}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		for length := math.Hypot(b.x-a.x, b.y-a.y); length > left; length = math.Hypot(b.x-a.x, b.y-a.y) {
			a = point{a.x + (b.x-a.x)*left/length, a.y + (b.y-a.y)*left/length}
			if drawn {
				all = append(all, append(run, a))
			}
			drawn, run = !drawn, []point{a}
			if left = dash; !drawn {
				left = dashGap
			}
		}
		left -= math.Hypot(b.x-a.x, b.y-a.y)
		run = append(run, b)
	}
	if drawn {
		all = append(all, run)
	}
	return all
}

// within returns the pieces of a polyline that lie in a box.
func (b box) within(points []point) (all [][]point) {
	var run []point
	for i := 1; i < len(points); i++ {
		p, q, ok := b.cut(points[i-1], points[i])
		if !ok || len(run) > 0 && run[len(run)-1] != p {
			if len(run) > 1 {
				all = append(all, run)
			}
			run = nil
		}
		if ok {
			if len(run) == 0 {
				run = []point{p}
			}
			run = append(run, q)
		}
	}
	if len(run) > 1 {
		all = append(all, run)
	}
	return all
}

// cut returns the part of a line that lies in the box (Liang and Barsky).
func (b box) cut(p, q point) (point, point, bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := q.x-p.x, q.y-p.y
	for _, e := range [...]struct{ d, far float64 }{{-dx, p.x - b.x0}, {dx, b.x1 - p.x}, {-dy, p.y - b.y0}, {dy, b.y1 - p.y}} {
		switch {
		case e.d == 0:
			if e.far < 0 {
				return p, q, false
			}
		case e.d < 0:
			t0 = max(t0, e.far/e.d)
		default:
			t1 = min(t1, e.far/e.d)
		}
	}
	if t0 > t1 {
		return p, q, false
	}
	out := q
	if t1 < 1 {
		out = point{p.x + t1*dx, p.y + t1*dy}
	}
	if t0 > 0 {
		p = point{p.x + t0*dx, p.y + t0*dy}
	}
	return p, out, true
}

// clip returns the part of a polygon that lies in the box (Sutherland and
// Hodgman).
func (b box) clip(points []point) []point {
	sides := [...]struct {
		in  func(point) bool
		cut func(p, q point) point
	}{
		{func(p point) bool { return p.x >= b.x0 }, func(p, q point) point { return atX(p, q, b.x0) }},
		{func(p point) bool { return p.x <= b.x1 }, func(p, q point) point { return atX(p, q, b.x1) }},
		{func(p point) bool { return p.y >= b.y0 }, func(p, q point) point { return atY(p, q, b.y0) }},
		{func(p point) bool { return p.y <= b.y1 }, func(p, q point) point { return atY(p, q, b.y1) }},
	}
	for _, s := range sides {
		var kept []point
		for i, q := range points {
			p := points[(i+len(points)-1)%len(points)]
			if s.in(p) != s.in(q) {
				kept = append(kept, s.cut(p, q))
			}
			if s.in(q) {
				kept = append(kept, q)
			}
		}
		points = kept
	}
	return points
}

func atX(p, q point, x float64) point { return point{x, p.y + (q.y-p.y)*(x-p.x)/(q.x-p.x)} }
func atY(p, q point, y float64) point { return point{p.x + (q.x-p.x)*(y-p.y)/(q.y-p.y), y} }
