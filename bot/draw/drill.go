package draw

import (
	"heelpost/bot/say"
	"heelpost/calc"
)

// Layer is a layer of the floor, or what lies on it.
type Layer struct {
	Measure
	Name say.Text
	Weak bool // a pin counts for nothing in it
}

// Drill is a section through the hole for a pin: what the bit goes through from
// the top down, how far, and what lies below.
type Drill struct {
	Above []Layer // from the top of the template to the surface that depths count from
	Floor []Layer // from there down, as far as known
	Tip   Measure // how deep the bit's tip goes below the surface
	Mark  Measure // where the depth mark goes on the bit, from its tip; unknown where none is told
	Point calc.Length
	Bit   calc.Length
	Pin   Measure // its length; unknown where the hole alone is asked
	From  calc.Length
	Pipe  Measure // from the surface to what lies below
	Back  bool    // that is the back face
	Left  Measure // what the tip leaves of it
}

// Drawing returns the section as it is drawn.
func (d Drill) Drawing() *Drawing {
	return &Drawing{Name: "drill", Alt: d.alt, lay: d.lay}
}

func (d *Drill) alt() say.Text {
	parts := []say.Text{say.F("section through the hole, from the top down")}
	for _, l := range append(d.Above[:len(d.Above):len(d.Above)], d.Floor...) {
		parts = append(parts, say.F("%s %s", l.Name, l.Told))
	}
	parts = append(parts, say.F("the bit's tip %s below the surface", d.Tip.Told))
	if d.Mark.Known() {
		parts = append(parts, say.F("the mark on the bit %s from its tip", d.Mark.Told))
	}
	if d.Pin.Known() {
		parts = append(parts, say.F("the pin %s long", d.Pin.Told))
	}
	if d.Pipe.Known() {
		parts = append(parts, say.F("%s %s below the surface", d.below(), d.Pipe.Told), say.F("%s left between", d.Left.Told))
	}
	return say.List(parts...)
}

func (d *Drill) below() say.Text {
	if d.Back {
		return say.F("back face")
	}
	return say.F("pipe or cable")
}

func (d *Drill) lay(s *sheet) {
	above, floor := 0.0, 0.0
	for _, l := range d.Above {
		above += l.MM()
	}
	for _, l := range d.Floor {
		floor += l.MM()
	}
	tip := d.Tip.MM()
	deep := max(tip*1.15, floor, d.Pipe.MM()+8)
	const top, left, right = 64.0, 150.0, 250.0
	k := min(330/(above+deep), 12)
	surface := top + k*above
	end := surface + k*deep
	s.height = end + 30
	v := view{s, box{0, 0, frame, s.height}, point{(left + right) / 2, surface}, k}
	wide := max(min(k*d.Bit.MM(), 44), 14) / 2
	d.layers(v, left, right, end)
	d.hole(v, wide, top)
	s.line(solid, 2.4, point{left - 12, surface}, point{right + 12, surface})
	tipY := surface + k*tip
	s.down(say.F("tip %s", d.Tip.Told), beginsAt, surface, tipY, right+22, right, v.origin.x+wide)
	if d.Mark.Known() {
		mark := tipY - k*d.Mark.MM()
		s.line(alarm, 4, point{v.origin.x - wide - 3, mark}, point{v.origin.x + wide + 3, mark})
		s.down(say.F("mark %s", d.Mark.Told), beginsAt, mark, tipY, right+132, v.origin.x+wide+6, right+22)
	}
	if d.Pipe.Known() {
		d.pipe(v, left, right, tipY)
	}
}

// layers draws what is gone through, from the top down, named at the left.
func (d *Drill) layers(v view, left, right, end float64) {
	y := v.origin.y
	for i := len(d.Above) - 1; i >= 0; i-- {
		l := d.Above[i]
		y -= v.k * l.MM()
		v.curve(solid, 1.2, []point{{left, y}, {right, y}, {right, y + v.k*l.MM()}, {left, y + v.k*l.MM()}}, true)
		v.down(say.F("%s %s", l.Name, l.Told), endsAt, y, y+v.k*l.MM(), left-14, left, left)
	}
	y = v.origin.y
	floor := d.Floor
	if len(floor) == 0 {
		v.hatched(box{left, y, right, end})
	}
	for i, l := range floor {
		low := y + v.k*l.MM()
		if !l.Weak {
			v.hatched(box{left, y, right, min(low, end)})
		}
		if i+1 < len(floor) {
			v.line(solid, 1.2, point{left, low}, point{right, low})
		}
		v.down(say.F("%s %s", l.Name, l.Told), endsAt, y, min(low, end), left-14, left, left)
		y = low
	}
	v.line(solid, 1.2, point{left, v.origin.y}, point{left, end})
	v.line(solid, 1.2, point{right, v.origin.y}, point{right, end})
}

// hole draws the hole with its bit or its pin.
func (d *Drill) hole(v view, wide, top float64) {
	x, tip := v.origin.x, v.origin.y+v.k*d.Tip.MM()
	shoulder := tip - max(v.k*d.Point.MM(), wide*0.6)
	v.polygon(paper, point{x - wide, v.origin.y}, point{x + wide, v.origin.y}, point{x + wide, shoulder}, point{x, tip}, point{x - wide, shoulder})
	v.curve(solid, heavy, []point{{x - wide, v.origin.y}, {x - wide, shoulder}, {x, tip}, {x + wide, shoulder}, {x + wide, v.origin.y}}, false)
	if d.Pin.Known() {
		head := v.origin.y + v.k*d.From.MM()
		foot := head + v.k*d.Pin.MM()
		in := wide * 0.72
		v.body(v.back([]point{{x - in, head}, {x + in, head}, {x + in, foot}, {x - in, foot}}))
		v.down(say.F("pin %s", d.Pin.Told), beginsAt, head, foot, 250+132, x+in, x+in)
		return
	}
	v.curve(solid, heavy, []point{{x - wide, v.origin.y}, {x - wide, top - 34}, {x + wide, top - 34}, {x + wide, v.origin.y}}, false)
	for y := top - 20; y < shoulder-6; y += 16 { // the bit's flutes
		v.line(thin, light, point{x - wide, y + 8}, point{x + wide, y})
	}
}

// back is points of the sheet in mm.
func (v view) back(on []point) []point {
	out := make([]point, len(on))
	for i, p := range on {
		out[i] = point{(p.x - v.origin.x) / v.k, (p.y - v.origin.y) / v.k}
	}
	return out
}

// pipe draws what must not be hit, and what is left over it.
func (d *Drill) pipe(v view, left, right, tip float64) {
	y := v.origin.y + v.k*d.Pipe.MM()
	if d.Back {
		v.line(solid, 2.4, point{left, y}, point{right, y})
	} else {
		const r = 9
		v.arc(solid, heavy, point{v.origin.x, y + r}, r, 0, 360)
		v.arc(solid, light, point{v.origin.x, y + r}, r-3, 0, 360)
		v.height = max(v.height, y+2*r+20)
	}
	v.dashed(thin, light, point{left, y}, point{right, y})
	v.down(say.F("%s left", d.Left.Told), beginsAt, min(tip, y), max(tip, y), right+22, v.origin.x, right)
	v.write(solid, say.F("%s at %s", d.below(), d.Pipe.Told), spot{point{right + 10, y + 17}, beginsAt}, spot{point{right + 10, y + 33}, beginsAt}, spot{point{right + 10, y + 49}, beginsAt})
}
