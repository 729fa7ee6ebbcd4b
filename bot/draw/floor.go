package draw

import (
	"heelpost/bot/say"
	"heelpost/calc"
)

// FloorReading is the floor at one angle of the swing.
type FloorReading struct {
	At   calc.Angle
	Edge Measure     // height under the leading edge
	Mid  Measure     // halfway to the pivot; unknown where it was not read
	Foot calc.Length // of the leaf
}

// Floor is the floor under the leaf's path, rolled out: angles to the right,
// heights far larger than they are.
type Floor struct {
	Readings []FloorReading
	At       calc.Angle // where the gap is least
	Lead     bool       // that is under the leading edge
	Told     say.Text   // how much it is
}

// Drawing returns the floor as it is drawn.
func (f Floor) Drawing() *Drawing {
	return &Drawing{Name: "floor", Alt: f.alt, lay: f.lay}
}

func (f *Floor) alt() say.Text {
	parts := []say.Text{say.F("the floor under the leading edge's path, rolled out from closed to open")}
	for _, r := range f.Readings {
		if r.Mid.Known() {
			parts = append(parts, say.F("%s at %s and %s halfway to the pivot", r.Edge.Told, whole(r.At), r.Mid.Told))
		} else {
			parts = append(parts, say.F("%s at %s", r.Edge.Told, whole(r.At)))
		}
	}
	return say.Join("; ", append(parts, f.Told)...)
}

func (f *Floor) lay(s *sheet) {
	const left, right, top, low = 24.0, frame - 24, 56.0, 220.0
	lo, hi := 0.0, 0.0
	for i, r := range f.Readings {
		if i == 0 {
			lo = r.Edge.MM()
		}
		lo, hi = min(lo, r.Edge.MM(), r.Foot.MM()), max(hi, r.Edge.MM(), r.Foot.MM())
		if r.Mid.Known() {
			lo, hi = min(lo, r.Mid.MM()), max(hi, r.Mid.MM())
		}
	}
	k := (low - top) / max(hi-lo, 1)
	from, to := f.Readings[0].At, f.Readings[len(f.Readings)-1].At
	x := func(a calc.Angle) float64 { return left + (right-left)*float64((a-from)/max(to-from, 1)) }
	y := func(z calc.Length) float64 { return low - k*(z.MM()-lo) }
	var edge, mid, foot []point
	for _, r := range f.Readings {
		edge = append(edge, point{x(r.At), y(r.Edge.Length)})
		foot = append(foot, point{x(r.At), y(r.Foot)})
		if r.Mid.Known() {
			mid = append(mid, point{x(r.At), y(r.Mid.Length)})
		}
	}
	s.polygon(tint, append(edge[:len(edge):len(edge)], point{right, low + 16}, point{left, low + 16})...)
	s.line(solid, heavy, edge...)
	if len(mid) > 1 {
		s.dashed(solid, 1.1, mid...)
	}
	s.line(solid, 2.4, foot...)
	s.title(say.F("foot of the leaf"), left, foot[0].y-8)
	for i, r := range f.Readings {
		p := edge[i]
		s.arc(solid, 1.2, p, 2.6, 0, 360)
		s.write(solid, r.Edge.Told, spot{point{p.x, low + 34}, middle}, spot{point{p.x, low + 50}, middle})
		s.write(thin, say.Plain(whole(r.At).String()), spot{point{p.x, low + 68}, middle}, spot{point{p.x, low + 84}, middle})
	}
	f.least(s, edge, foot, x(f.At))
	s.height = low + 116
	words := say.F("heights drawn larger than they are")
	if len(mid) > 1 {
		words = say.F("dashed: halfway to the pivot; heights drawn larger than they are")
	}
	s.write(thin, words, spot{point{frame / 2, low + 106}, middle})
	s.write(solid, f.Told, spot{point{frame / 2, 24}, middle})
}

// least marks where the gap is least.
func (f *Floor) least(s *sheet, edge, foot []point, x float64) {
	at := func(line []point) float64 {
		for i := 1; i < len(line); i++ {
			if x <= line[i].x {
				return atX(line[i-1], line[i], x).y
			}
		}
		return line[len(line)-1].y
	}
	a, b := at(foot), at(edge)
	s.dashed(thin, light, point{x, 34}, point{x, a})
	if f.Lead {
		s.line(alarm, 3, point{x, min(a, b)}, point{x, max(a, b)})
		s.arc(alarm, 1.4, point{x, b}, 8, 0, 360)
	}
}
