// Package draw makes the pictures of answers and doors: line work that shows
// where on the leaf a figure stands. It exists because a fitter would rather
// look than read, and it draws from values, never from text. A [Drawing] is
// laid out once for the language of whoever looks at it, and written as SVG,
// PNG or PDF from the same few primitives: lines, arcs, polygons and labels.
//
// Dimension lines follow the habits of ISO 129-1: thin extension lines, arrows,
// the value above its line. Colour says nothing that a line or a word does not
// say too, so that a print in black and white is as good.
package draw

import (
	"fmt"
	"hash/crc32"
	"math"

	"heelpost/bot/say"
	"heelpost/calc"
)

// Drawing is a picture that an answer or a post shows. It is not laid out before
// somebody looks at it.
type Drawing struct {
	Name string          // of its kind, as plan; the stem of its file's name
	Alt  func() say.Text // all that it shows, in words: who can't see it can work from them
	lay  func(*sheet)
}

// Subject is what can be drawn: a plan, an elevation and so on.
type Subject interface{ Drawing() *Drawing }

// Theme is what a drawing is drawn on.
type Theme uint8

// The themes.
const (
	Light Theme = iota
	Dark
)

// Measure is a length as it is drawn, and as it is told.
type Measure struct {
	calc.Length
	Told say.Text
}

// Known reports whether there is anything to tell.
func (m Measure) Known() bool { return !m.Told.IsZero() }

// called is the measure behind its name, as "heel gap 8 mm".
func (m Measure) called(name string) say.Text { return say.F("%s %s", say.Name(name), m.Told) }

// part is the same as a part of what is told; nothing where it is not known.
func (m Measure) part(name string) say.Text {
	if !m.Known() {
		return say.Text{}
	}
	return m.called(name)
}

// File names the drawing's file: the same for the same picture in the same
// language, another one for any other.
func (d *Drawing) File(l *say.Language, ending string) string {
	return fmt.Sprintf("%s-%08x.%s", d.Name, crc32.ChecksumIEEE(d.SVG(l, Light)), ending)
}

// ink is what a mark is drawn with.
type ink uint8

const (
	paper ink = iota
	tint      // of a leaf seen from above
	hatch
	thin  // dimension lines, extension lines, paths
	solid // outlines and labels
	alarm // what to look at: never by colour alone
)

// point is a place on a sheet, in units of which the sheet is 480 wide, y down.
type point struct{ x, y float64 }

// shape is a kind of mark.
type shape uint8

const (
	line    shape = iota // through its points
	arc                  // of a circle, from an angle to a larger one, clockwise as y is down
	polygon              // filled
	label
)

// mark is one thing that is drawn.
type mark struct {
	shape
	ink
	points   []point // of an arc: its centre; of a label: where its base line begins
	width    float64 // of a line
	dashed   bool
	r        float64
	from, to float64 // degrees
	text     string
	size     float64
	ground   ink // what a label lies on, to be put beneath it
}

// frame is how wide a sheet is, and margin what stays free around.
const (
	frame  = 480.0
	margin = 8.0
	usual  = 14.0 // size of a label
	least  = 7.5  // size of a label that finds no room otherwise
	heavy  = 1.6  // width of an outline
	light  = 0.9  // width of a dimension line
)

// sheet is a drawing as it is laid out.
type sheet struct {
	in     *say.Language
	height float64
	marks  []mark
	labels []mark
	taken  []box // by labels
	ground ink   // on which labels lie
}

// box is a rectangle.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) overlaps(o box) bool { return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1 }

func (d *Drawing) sheet(l *say.Language) *sheet {
	s := &sheet{in: l}
	d.lay(s)
	for _, b := range s.taken {
		s.height = max(s.height, b.y1+margin/2)
	}
	s.marks = append(s.marks, s.labels...)
	return s
}

func (s *sheet) line(i ink, width float64, points ...point) {
	s.marks = append(s.marks, mark{shape: line, ink: i, width: width, points: points})
}

func (s *sheet) dashed(i ink, width float64, points ...point) {
	s.marks = append(s.marks, mark{shape: line, ink: i, width: width, points: points, dashed: true})
}

func (s *sheet) polygon(i ink, points ...point) {
	s.marks = append(s.marks, mark{shape: polygon, ink: i, points: points})
}

func (s *sheet) arc(i ink, width float64, c point, r, from, to float64) {
	s.marks = append(s.marks, mark{shape: arc, ink: i, width: width, points: []point{c}, r: r, from: from, to: to})
}

// outline draws a closed line.
func (s *sheet) outline(i ink, width float64, points ...point) {
	s.line(i, width, append(points[:len(points):len(points)], points[0])...)
}

// side is where a label stands against its place.
type side uint8

const (
	middle side = iota
	beginsAt
	endsAt
)

// boxOf is the room that a text takes at a place, a little free space with it.
func boxOf(text string, size float64, at point, where side) box {
	w := width(text, size)
	x := at.x
	switch where {
	case middle:
		x -= w / 2
	case endsAt:
		x -= w
	}
	return box{x, at.y - 0.8*size, x + w, at.y + 0.24*size}
}

// free reports whether a label may stand in a box.
func (s *sheet) free(b box) bool {
	if b.x0 < margin/2 || b.x1 > frame-margin/2 || b.y0 < 0 {
		return false
	}
	for _, t := range s.taken {
		if b.overlaps(t) {
			return false
		}
	}
	return true
}

// spot is a place that a label may have.
type spot struct {
	point
	side
}

// write puts a text at the first of the spots where it finds room, smaller if
// it finds none; returns the spot's number, and the room.
func (s *sheet) write(i ink, text say.Text, spots ...spot) (int, box) {
	words := s.in.Say(text)
	for size := usual; size >= least; size -= 0.5 {
		for n, at := range spots {
			if b := boxOf(words, size, at.point, at.side); s.free(b) {
				s.put(i, words, size, b)
				return n, b
			}
		}
	}
	// Nowhere: below all that is there, whole.
	size := min(usual, usual*(frame-2*margin)/width(words, usual))
	for _, b := range s.taken {
		s.height = max(s.height, b.y1)
	}
	s.height += 1.3 * usual
	b := boxOf(words, size, point{margin, s.height - 4}, beginsAt)
	s.put(i, words, size, b)
	return len(spots), b
}

// put writes words into a box that is free.
func (s *sheet) put(i ink, words string, size float64, b box) {
	s.taken = append(s.taken, b)
	s.labels = append(s.labels, mark{shape: label, ink: i, ground: s.ground, text: words, size: size, points: []point{{b.x0, b.y0 + 0.8*size}}})
}

// title writes what a part of the drawing shows, above it.
func (s *sheet) title(text say.Text, x, y float64) {
	s.write(solid, text, spot{point{x, y}, beginsAt})
}

// arrow draws the head of an arrow at a point, in the direction of an angle.
func (s *sheet) arrow(i ink, at point, degrees float64) {
	const length, half = 8, 1.9
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	back := point{at.x - length*cos, at.y - length*sin}
	s.polygon(i, at, point{back.x - half*sin, back.y + half*cos}, point{back.x + half*sin, back.y - half*cos})
}

// across draws a horizontal dimension at the height y between x0 and x1, with
// extension lines from what it measures, and its text above the line, or beside
// it where it is too short.
func (s *sheet) across(text say.Text, x0, x1, y, from0, from1 float64) {
	for _, e := range [...]point{{x0, from0}, {x1, from1}} {
		if gap := 2.0; math.Abs(e.y-y) > gap {
			s.line(thin, light/2, point{e.x, e.y + math.Copysign(gap, y-e.y)}, point{e.x, y + math.Copysign(3, y-e.y)})
		}
	}
	const inside, tail = 24, 14
	if x1-x0 >= inside {
		s.line(thin, light, point{x0, y}, point{x1, y})
		s.arrow(thin, point{x0, y}, 180)
		s.arrow(thin, point{x1, y}, 0)
	} else {
		s.line(thin, light, point{x0 - tail, y}, point{x1 + tail, y})
		s.arrow(thin, point{x0, y}, 0)
		s.arrow(thin, point{x1, y}, 180)
	}
	up := y - 4
	beside := y + 0.3*usual
	out := 0.0
	if x1-x0 < inside {
		out = tail
	}
	spots := []spot{{point{(x0 + x1) / 2, up}, middle}}
	if w := width(s.in.Say(text), usual); w > x1-x0-4 {
		spots = []spot{{point{x1 + out + 4, beside}, beginsAt}, {point{x0 - out - 4, beside}, endsAt}, {point{(x0 + x1) / 2, up}, middle}}
	}
	for dy := 1.0; dy < 4; dy++ {
		spots = append(spots, spot{point{frame - margin, up - dy*usual}, endsAt}, spot{point{margin, up - dy*usual}, beginsAt})
	}
	s.write(solid, text, spots...)
}

// down draws a vertical dimension at x between y0 and y1, its text beside it: at
// the right of the line if it begins there, else at its left.
func (s *sheet) down(text say.Text, where side, y0, y1, x, from0, from1 float64) {
	for _, e := range [...]point{{from0, y0}, {from1, y1}} {
		if gap := 2.0; math.Abs(e.x-x) > gap {
			s.line(thin, light/2, point{e.x + math.Copysign(gap, x-e.x), e.y}, point{x + math.Copysign(3, x-e.x), e.y})
		}
	}
	const inside, tail = 24, 14
	if y1-y0 >= inside {
		s.line(thin, light, point{x, y0}, point{x, y1})
		s.arrow(thin, point{x, y0}, -90)
		s.arrow(thin, point{x, y1}, 90)
	} else {
		s.line(thin, light, point{x, y0 - tail}, point{x, y1 + tail})
		s.arrow(thin, point{x, y0}, 90)
		s.arrow(thin, point{x, y1}, -90)
	}
	mid := (y0+y1)/2 + 0.3*usual
	beside := 5.0
	if where == endsAt {
		beside = -beside
	}
	spots := []spot{{point{x + beside, mid}, where}}
	for dy := 1.0; dy < 6; dy++ {
		spots = append(spots, spot{point{x + beside, mid - dy*usual}, where}, spot{point{x + beside, mid + dy*usual}, where})
	}
	s.write(solid, text, spots...)
}
