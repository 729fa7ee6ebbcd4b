package draw

import (
	"strconv"

	"heelpost/bot/say"
)

// Bar is how some bars of a stock are cut alike.
type Bar struct {
	Count  int
	Stock  Measure
	Pieces []Measure // of one bar, in the order of cutting, each with its bare figure
	Offcut Measure
}

// Bars is a cutting plan.
type Bars struct {
	Bars []Bar
	Kerf Measure
	Take say.Text // which bars, and how many
}

// mostBars is how many patterns a drawing has room for.
const mostBars = 14

// Drawing returns the plan as it is drawn.
func (b Bars) Drawing() *Drawing {
	return &Drawing{Name: "bars", Alt: b.alt, lay: b.lay}
}

func (b *Bars) alt() say.Text {
	parts := []say.Text{say.F("the bars as they are cut, %s a cut", b.Kerf.Told)}
	for _, bar := range b.Bars {
		var all []say.Text
		for _, p := range bar.Pieces {
			all = append(all, p.Told)
		}
		parts = append(parts, say.F("%s × %s into %s, %s left of each", bar.Count, bar.Stock.Told, say.Join(" + ", all...), bar.Offcut.Told))
	}
	return say.Join("; ", parts...)
}

func (b *Bars) lay(s *sheet) {
	longest := 1.0
	for _, bar := range b.Bars {
		longest = max(longest, bar.Stock.MM())
	}
	k := (frame - 2*margin) / longest
	s.height = 10
	for i, bar := range b.Bars {
		if i == mostBars {
			s.height += 20
			s.title(say.F("and %s more", strconv.Itoa(len(b.Bars)-i)), margin, s.height)
			s.height += margin
			break
		}
		s.height += 18
		s.title(say.F("%s × %s", bar.Count, bar.Stock.Told), margin, s.height)
		s.write(solid, say.F("%s left", bar.Offcut.Told), spot{point{frame - margin, s.height}, endsAt}, spot{point{frame / 2, s.height}, middle})
		b.bar(s, &bar, k, s.height+6)
		s.height += 6 + 30 + 12
	}
}

// bar draws one bar, its pieces told in them where they have room.
func (b *Bars) bar(s *sheet, bar *Bar, k, y float64) {
	const high = 30.0
	x := margin
	for _, p := range bar.Pieces {
		w := k * p.MM()
		s.polygon(tint, point{x, y}, point{x + w, y}, point{x + w, y + high}, point{x, y + high})
		s.outline(solid, 1.2, point{x, y}, point{x + w, y}, point{x + w, y + high}, point{x, y + high})
		words := s.in.Say(p.Told)
		for size := usual; size >= 9; size -= 0.5 {
			if in := boxOf(words, size, point{x + w/2, y + high/2 + 0.3*size}, middle); in.x1-in.x0 < w-3 && s.free(in) {
				s.ground = tint
				s.put(solid, words, size, in)
				s.ground = paper
				break
			}
		}
		x += w + k*b.Kerf.MM()
	}
	if end := margin + k*bar.Stock.MM(); x < end {
		s.hatched(box{x, y, end, y + high})
		s.outline(solid, 1.2, point{x, y}, point{end, y}, point{end, y + high}, point{x, y + high})
	}
}
