package draw

import (
	"heelpost/bot/say"
)

// Stretch is a time at one temperature.
type Stretch struct {
	Hours   float64
	Rate    float64 // how fast it hardens, 1 at the reference temperature
	Warmth  say.Text
	Lasts   say.Text
	Assumed bool // nobody read it
}

// Cure is the clock of an adhesive that hardens: each stretch as long as it
// lasts and as high as it counts, so that areas are the hours that count.
type Cure struct {
	Stretches []Stretch
	Reference say.Text // temperature that the sheet's hours are for
	Base      say.Text // the sheet's hours
	Counted   say.Text // of them; nothing where all are still to come
	Share     float64  // of them, from 0 to 1
	End       say.Text // when it ends, and what that rests on
}

// Drawing returns the clock as it is drawn.
func (c Cure) Drawing() *Drawing {
	return &Drawing{Name: "cure", Alt: c.alt, lay: c.lay}
}

func (c *Cure) alt() say.Text {
	parts := []say.Text{say.F("the cure as hours to the right and how fast it goes upwards, %s at %s", c.Base, c.Reference)}
	for _, s := range c.Stretches {
		if s.Assumed {
			parts = append(parts, say.F("%s at %s assumed", s.Lasts, s.Warmth))
		} else {
			parts = append(parts, say.F("%s at %s as read", s.Lasts, s.Warmth))
		}
	}
	if !c.Counted.IsZero() {
		parts = append(parts, say.F("%s of %s counted", c.Counted, c.Base))
	}
	return say.List(append(parts, c.End)...)
}

func (c *Cure) lay(s *sheet) {
	const left, right, full, ground = 16.0, frame - 16, 62.0, 206.0
	total := 0.0
	for _, x := range c.Stretches {
		total += x.Hours
	}
	s.title(say.F("as fast as at %s", c.Reference), left, full-8)
	s.dashed(thin, light, point{left, full}, point{right, full})
	x, assumed := left, false
	for i, st := range c.Stretches {
		until := x + (right-left)*st.Hours/max(total, 1e-9)
		y := ground - (ground-full)*min(1, st.Rate)
		block := []point{{x, ground}, {x, y}, {until, y}, {until, ground}}
		if st.Assumed {
			s.hatched(box{x, y, until, ground})
			s.dashed(solid, heavy, block...)
		} else {
			s.polygon(tint, block...)
			s.line(solid, heavy, block...)
		}
		mid := (x + until) / 2
		assumed = assumed || st.Assumed
		s.write(solid, st.Warmth, spot{point{mid, y - 4}, middle}, spot{point{mid, (y + ground) / 2}, middle}, spot{point{mid, y - 20}, middle}, spot{point{mid, ground - 6}, middle})
		s.across(st.Lasts, x, until, ground+26+24*float64(i%2), ground+2, ground+2)
		x = until
	}
	s.line(solid, heavy, point{left, ground}, point{right, ground})
	y := ground + 74
	if !c.Counted.IsZero() {
		s.title(say.F("%s of %s counted", c.Counted, c.Base), left, y+14)
		mid := left + (right-left)*min(1, c.Share)
		y += 22
		s.polygon(thin, point{left, y}, point{mid, y}, point{mid, y + 14}, point{left, y + 14})
		s.outline(solid, 1.2, point{left, y}, point{right, y}, point{right, y + 14}, point{left, y + 14})
		y += 22
	}
	end := y
	if assumed {
		s.write(thin, say.F("hatched: assumed, nobody has read it"), spot{point{left, y + 36}, beginsAt})
		y += 20
	}
	s.height = y + 24
	s.title(c.End, left, end+14)
}
