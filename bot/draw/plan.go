package draw

import (
	"math"

	"heelpost/bot/say"
	"heelpost/calc"
)

// Plan is a leaf seen from above, in its opening as far as that is known: closed
// and open, with its heel end and the tight spot of its swing enlarged, as what
// is free there can't be seen at full scale.
type Plan struct {
	Thickness, Setback Measure
	Width              Measure // of the leaf; without it and the opening only the heel end is drawn
	GapHeel, GapLead   Measure
	Opening            Measure
	Growth             Measure // by which the heel edge comes nearer to its jamb
	Free               Measure // what is left there of the gap
	Plate              Measure // centre of the floor plate, from the heel jamb
	Far                Measure // the same from the leading jamb
	Clear              Measure // what the open leaf leaves of the opening
	Stop               calc.Length
	Offset             calc.Length // as it is drawn: the mid-plane that far towards the opening side
	Heel, Lead         calc.Edge
	Angle              calc.Angle // to which the leaf opens
}

// Drawing returns the plan as it is drawn.
func (p Plan) Drawing() *Drawing {
	return &Drawing{Name: "plan", Alt: p.alt, lay: p.lay}
}

func (p *Plan) alt() say.Text {
	parts := []say.Text{say.F("the leaf from above, its heel jamb at the left"),
		p.Thickness.part("thickness"), p.Width.part("width"), p.Setback.part("setback"), p.GapHeel.part("heel_gap"), p.leadGap(), p.Opening.part("opening")}
	if p.Offset != 0 {
		parts = append(parts, say.F("the pivot axis off the leaf's middle"))
	}
	if p.turns() {
		_, at := p.leaf().tightest(p.Angle)
		parts = append(parts, say.F("drawn closed and open to %s", p.Angle), say.F("the heel corner comes nearest to the jamb at %s", whole(at)), p.Growth.part("heel_growth"))
		if p.Free.Known() {
			parts = append(parts, say.F("%s left free there", p.Free.Told))
		}
	}
	parts = append(parts, p.Clear.part("clear_width"))
	if p.Plate.Known() {
		parts = append(parts, say.F("centre of the floor plate %s from the heel jamb", p.Plate.Told))
	}
	if p.Far.Known() {
		parts = append(parts, say.F("%s from the leading jamb", p.Far.Told))
	}
	return say.List(parts...)
}

// leadGap tells the leading gap beside the heel gap: as it is drawn, which is
// not always the least that turns.
func (p *Plan) leadGap() say.Text {
	if p.even() {
		return say.F("the same gap at the leading edge")
	}
	return p.GapLead.part("lead_gap")
}

// even reports whether the leaf is drawn with one gap at both sides.
func (p *Plan) even() bool { return p.GapLead.Known() && p.GapLead.Length == p.GapHeel.Length }

// whole is an angle to the degree.
func whole(a calc.Angle) calc.Angle { return calc.Angle(math.Round(float64(a))) }

// turns reports whether enough is known to draw the leaf as it turns.
func (p *Plan) turns() bool { return p.Thickness.Known() && p.Angle > 0 }

// leaf is the leaf as it is drawn; of one whose width is not known as much as
// is seen.
func (p *Plan) leaf() *leaf {
	l := &leaf{t: p.Thickness.MM(), s: p.Setback.MM(), w: p.Width.MM(), e: p.Offset.MM(), heel: p.Heel, lead: p.Lead}
	if l.t == 0 {
		l.t = 50 // it stands for a leaf of no known thickness
	}
	if l.w == 0 {
		l.w = 10 * (l.s + l.t)
	}
	return l
}

func (p *Plan) lay(s *sheet) {
	s.height = 4
	if p.Width.Known() && p.Opening.Known() {
		p.opening(s)
	}
	top := s.height
	end := box{margin, top, frame - margin, top}
	if p.turns() && p.Growth.Length > 0 {
		end.x1 = frame/2 - 2
		p.spot(s, box{frame/2 + 10, top, frame - margin, top})
	}
	p.end(s, end)
	s.height += margin
}

// opening draws the whole leaf between its jambs.
func (p *Plan) opening(s *sheet) {
	l := p.leaf()
	jamb, reveal := 0.05*l.w, max(1.6*l.t, 0.09*l.w)
	left, right := -l.s-p.GapHeel.MM(), l.w-l.s+p.GapLead.MM()
	b := box{left - jamb, -reveal / 2, right + jamb, reveal / 2}
	for a := calc.Angle(0); a <= p.Angle; a = min(a+5, max(p.Angle, a+0.1)) {
		for _, c := range l.outline(a) {
			b = box{min(b.x0, c.x), min(b.y0, c.y), max(b.x1, c.x), max(b.y1, c.y)}
		}
	}
	const rows = 76.0
	k := min((frame-2*margin)/(b.x1-b.x0), 330/(b.y1-b.y0))
	v := view{s, box{0, 0, frame, 4000}, point{frame/2 - k*(b.x0+b.x1)/2, s.height + rows - k*b.y0}, k}
	v.solidWall(left-jamb, -reveal/2, left, reveal/2)
	v.solidWall(right, -reveal/2, right+jamb, reveal/2)
	if p.Angle > 0 {
		v.sweep(point{l.w - l.s, l.e - l.t/2}, p.Angle)
		v.sweep(point{-l.s, l.e + l.t/2}, p.Angle)
		v.ghost(l.outline(p.Angle))
	}
	v.body(l.outline(0))
	v.axis()
	wall := v.at(0, -reveal/2).y
	v.across(p.Opening.called("opening"), v.at(left, 0).x, v.at(right, 0).x, s.height+18, wall, wall)
	v.across(p.Width.called("width"), v.at(-l.s, 0).x, v.at(l.w-l.s, 0).x, s.height+42, v.at(0, l.e-l.t/2).y, v.at(0, l.e-l.t/2).y)
	if name := "gap"; p.GapLead.Known() {
		if !p.even() {
			name = "lead_gap"
		}
		v.across(p.GapLead.called(name), v.at(l.w-l.s, 0).x, v.at(right, 0).x, s.height+62, v.at(0, l.e-l.t/2).y, wall)
	}
	bottom := v.at(0, b.y1).y
	if p.Angle > 0 {
		p.angle(v, min(0.45*(l.w-l.s), 150/k))
	}
	if p.Clear.Known() {
		y := v.at(0, reveal/2).y + 34
		stop := right - p.Stop.MM()
		v.across(p.Clear.called("clear_width"), v.at(stop-p.Clear.MM(), 0).x, v.at(stop, 0).x, y, y, v.at(0, reveal/2).y)
	}
	s.height = bottom + 22
}

// angle shows how far the leaf is open.
func (p *Plan) angle(v view, r float64) {
	v.arc(thin, light, v.origin, v.k*r, 0, float64(p.Angle))
	v.arrow(thin, polar(v.origin, v.k*r, float64(p.Angle)), float64(p.Angle)+90-4)
	mid := polar(v.origin, v.k*r, float64(p.Angle)/2)
	var spots []spot
	for d := 4.0; d < 60; d += 8 {
		spots = append(spots, spot{point{mid.x + d, mid.y + d}, beginsAt})
	}
	v.write(solid, say.Plain(whole(p.Angle).String()), spots...)
}

// end draws the heel end of the leaf and its jamb.
func (p *Plan) end(s *sheet, b box) {
	l := p.leaf()
	gap := p.GapHeel.MM()
	s.title(say.F("heel end, larger"), b.x0, b.y0+14)
	jamb, rows := 26.0, 74.0
	k := min((b.x1-b.x0-jamb)/((l.s+gap)*1.25+0.5*l.t), 110/l.t)
	half := k*l.t/2 + 20
	y := b.y0 + rows + half
	v := view{s, box{b.x0, y - half, b.x1, y + half}, point{b.x0 + jamb + k*(l.s+gap), y - k*l.e}, k}
	face := -l.s - gap
	v.solidWall(face-2*jamb/k, -2*half/k, face, 2*half/k)
	v.body(l.outline(0))
	v.broken(v.at(0, l.e-l.t/2).y, v.at(0, l.e+l.t/2).y)
	if p.turns() {
		v.sweep(point{-l.s, l.e + l.t/2}, p.Angle)
	}
	v.axis()
	up := v.at(0, l.e-l.t/2).y
	v.across(p.GapHeel.called("gap"), v.at(face, 0).x, v.at(-l.s, 0).x, b.y0+36, y-half, up)
	v.across(p.Setback.called("setback"), v.at(-l.s, 0).x, v.origin.x, b.y0+62, up, v.origin.y)
	low := y + half
	if p.Thickness.Known() {
		s.ground = tint
		v.down(p.Thickness.called("thickness"), endsAt, up, v.at(0, l.e+l.t/2).y, b.x1-16, b.x1-16, b.x1-16)
		s.ground = paper
	}
	if p.Plate.Known() {
		low += 24
		v.across(p.Plate.called("plate_centre"), v.at(-p.Plate.MM(), 0).x, v.origin.x, low, y+half, v.origin.y)
	}
	s.height = max(s.height, low+4)
}

// broken draws the line at which the leaf is cut off at the right.
func (v view) broken(up, low float64) {
	x, mid := v.x1, (up+low)/2
	v.line(thin, light, point{x, up - 6}, point{x, mid - 7}, point{x - 5, mid - 3}, point{x + 4, mid + 3}, point{x, mid + 7}, point{x, low + 6})
}

// spot draws where the heel corner comes nearest to the jamb.
func (p *Plan) spot(s *sheet, b box) {
	l := p.leaf()
	corner, at := l.tightest(p.Angle)
	near := turned(corner, at)
	gap := p.GapHeel.MM()
	face := -l.s - gap
	s.title(say.F("tight spot at %s, larger", whole(at)), b.x0, b.y0+14)
	const high, rows = 130.0, 44.0
	k := 0.4 * (b.x1 - b.x0) / max(gap, 3)
	y := b.y0 + rows + high/2
	v := view{s, box{b.x0, y - high/2, b.x1, y + high/2}, point{b.x0 + 0.3*(b.x1-b.x0) - k*face, y - k*near.y}, k}
	v.solidWall(face-b.x1/k, near.y-high/k, face, near.y+high/k)
	v.body(l.outline(at))
	v.ghost(l.outline(0))
	v.sweep(corner, p.Angle)
	c := v.at(near.x, near.y)
	v.arc(alarm, 1.4, c, 7, 0, 360)
	jamb, edge := v.at(face, 0).x, v.at(-l.s, 0).x
	v.across(p.GapHeel.called("gap"), jamb, edge, b.y0+36, y-high/2, y-high/2)
	low := y + high/2
	v.across(p.Growth.called("growth"), c.x, edge, low+22, c.y+7, low)
	if p.Free.Known() {
		v.across(say.F("free %s", p.Free.Told), jamb, c.x, low+44, low, low+25)
		low += 22
	}
	s.height = max(s.height, low+26)
}
