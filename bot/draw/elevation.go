package draw

import (
	"heelpost/bot/say"
)

// Corners are the gaps beside a closed leaf, as they were read near its ends.
type Corners struct{ HeelTop, HeelBottom, LeadTop, LeadBottom Measure }

// Shift is how a pivot, or the leaf, is to be moved: not at all where nothing is
// told.
type Shift struct {
	Forth bool     // towards the leading jamb, or up
	Told  say.Text // which way and how far
}

// Elevation is a hung leaf seen from the side that it opens to, with its margins
// as read and as they become, and which way to move what.
type Elevation struct {
	Read, After         Corners
	Targets             say.Text // what is wanted
	Head, Floor, Height Shift
}

// Drawing returns the elevation as it is drawn.
func (e Elevation) Drawing() *Drawing {
	return &Drawing{Name: "elevation", Alt: e.alt, lay: e.lay}
}

func (e *Elevation) alt() say.Text {
	parts := []say.Text{say.F("the leaf from the front, its heel jamb at the left")}
	for _, c := range e.corners() {
		parts = append(parts, say.F("%s: %s", say.Name(c.name), becomes(c.read, c.after)))
	}
	parts = append(parts, e.Targets, e.Head.Told, e.Floor.Told, e.Height.Told)
	return say.List(parts...)
}

// becomes tells a gap and what it becomes.
func becomes(read, after Measure) say.Text {
	if read.Told.String() == after.Told.String() {
		return say.F("stays %s", read.Told)
	}
	return say.F("%s, then %s", read.Told, after.Told)
}

// corner is a gap that is read at one of the leaf's corners.
type corner struct {
	name        string
	read, after Measure
	lead, low   bool
}

func (e *Elevation) corners() [4]corner {
	return [4]corner{
		{"heel_top", e.Read.HeelTop, e.After.HeelTop, false, false}, {"lead_top", e.Read.LeadTop, e.After.LeadTop, true, false},
		{"heel_bottom", e.Read.HeelBottom, e.After.HeelBottom, false, true}, {"lead_bottom", e.Read.LeadBottom, e.After.LeadBottom, true, true},
	}
}

func (e *Elevation) lay(s *sheet) {
	const left, right, top, bottom = 150.0, frame - 150, 74.0, 392.0
	s.height = 492
	v := view{s, box{0, 0, frame, s.height}, point{}, 1}
	v.solidWall(left-20, top-24, left, bottom)
	v.solidWall(right, top-24, right+20, bottom)
	v.solidWall(left-20, top-44, right+20, top-24)
	v.solidWall(left-20, bottom+8, right+20, bottom+22)
	// Gaps are drawn far larger than they are, all by the same measure.
	most := 1.0
	for _, c := range e.corners() {
		most = max(most, c.read.MM(), c.after.MM())
	}
	at := func(m Measure) float64 { return 4 + 30*m.MM()/most }
	pane := func(c Corners) []point {
		return []point{{left + at(c.HeelTop), top}, {right - at(c.LeadTop), top}, {right - at(c.LeadBottom), bottom}, {left + at(c.HeelBottom), bottom}}
	}
	v.body(pane(e.Read))
	v.ghost(pane(e.After))
	for _, c := range e.corners() {
		e.corner(s, c, left, right, top, bottom, at)
	}
	const axis = left + 62.0
	e.push(s, e.Head, point{axis, top - 10}, 0)
	e.push(s, e.Floor, point{axis, bottom + 1}, 0)
	s.ground = tint
	e.push(s, e.Height, point{(left + right) / 2, (top + bottom) / 2}, -90)
	s.ground = paper
	s.line(thin, light, point{axis, top - 4}, point{axis, bottom - 4})
	y := bottom + 66
	s.write(solid, e.Targets, spot{point{frame / 2, y}, middle})
	s.write(thin, say.F("gaps drawn larger than they are; dashed: after the moves"), spot{point{frame / 2, y + 20}, middle})
}

// corner dimensions a gap, its figures outside the jamb.
func (e *Elevation) corner(s *sheet, c corner, left, right, top, bottom float64, at func(Measure) float64) {
	y := top + 40
	if c.low {
		y = bottom - 40
	}
	x0, x1, x, where := left, left+at(c.read), left-26, endsAt
	if c.lead {
		x0, x1, x, where = right-at(c.read), right, right+26, beginsAt
	}
	s.line(thin, light, point{x0, y}, point{x1, y})
	s.arrow(thin, point{x0, y}, 180)
	s.arrow(thin, point{x1, y}, 0)
	s.write(solid, say.Name(c.name), spot{point{x, y - 14}, where})
	s.write(solid, c.read.Told, spot{point{x, y + 4}, where})
	if c.read.Told.String() != c.after.Told.String() {
		s.write(solid, say.F("then %s", c.after.Told), spot{point{x, y + 22}, where})
	}
}

// push shows which way a pivot, or the leaf, is to be moved: a thick arrow with
// its words.
func (e *Elevation) push(s *sheet, m Shift, at point, angle float64) {
	if m.Told.IsZero() {
		return
	}
	if !m.Forth {
		angle += 180
	}
	tip, tail := polar(at, 26, angle), polar(at, 26, angle+180)
	s.line(alarm, 3, tail, polar(tip, 8, angle+180))
	s.wedge(alarm, tip, angle)
	label := spot{point{frame / 2, at.y - 36}, middle}
	switch {
	case angle == -90 || angle == 90:
		label = spot{point{at.x + 14, at.y + 5}, middle}
		s.write(solid, m.Told, spot{point{at.x, at.y + 50}, middle}, label)
		return
	case at.y > 200:
		label = spot{point{frame / 2, at.y + 40}, middle}
	}
	s.write(solid, m.Told, label, spot{point{frame / 2, at.y - 60}, middle})
}

// wedge draws a large head of an arrow.
func (s *sheet) wedge(i ink, at point, degrees float64) {
	back := polar(at, 13, degrees+180)
	s.polygon(i, at, polar(back, 6, degrees+90), polar(back, 6, degrees-90))
}
