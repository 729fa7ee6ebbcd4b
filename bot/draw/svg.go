package draw

import (
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image/color"
	"strconv"
	"strings"

	"heelpost/bot/say"
)

// SVG returns the drawing as an SVG document that needs nothing beside it: the
// letters it uses are in it, and where a program takes others they are fitted
// to the same length.
func (d *Drawing) SVG(l *say.Language, t Theme) []byte {
	s := d.sheet(l)
	c := t.colours()
	var b strings.Builder
	alt := escaped(l.Say(d.Alt()))
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%g" height="%s" viewBox="0 0 %[1]g %[2]s" role="img" aria-label="%s">`, frame, short(s.height), alt)
	fmt.Fprintf(&b, "\n<title>%s</title>\n<style>@font-face{font-family:Heelpost;src:url(data:font/ttf;base64,%s)}", alt, base64.StdEncoding.EncodeToString(subset(s.words())))
	b.WriteString("text{font-family:Heelpost,sans-serif}path{stroke-linejoin:round}</style>\n")
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="%s"/>`+"\n", hex(c.paper))
	for i := range s.marks {
		s.marks[i].svg(&b, c)
	}
	b.WriteString("</svg>\n")
	return []byte(b.String())
}

// words are all characters of the labels.
func (s *sheet) words() string {
	var b strings.Builder
	for i := range s.labels {
		b.WriteString(s.labels[i].text)
	}
	return b.String()
}

// of is the colour of an ink: as dark as it is in a PNG.
func (c colours) of(i ink) color.RGBA {
	if i == alarm {
		return c.alarm
	}
	return mixed(c.paper, c.solid, int(darkness[i]))
}

func hex(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// short is a coordinate with no more decimals than can be seen.
func short(x float64) string {
	text := strconv.FormatFloat(x, 'f', 2, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

func escaped(text string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(text)); err != nil {
		panic(err) // a builder takes everything
	}
	return b.String()
}

func (m *mark) svg(b *strings.Builder, c colours) {
	colour := hex(c.of(m.ink))
	switch m.shape {
	case label:
		room := boxOf(m.text, m.size, m.points[0], beginsAt)
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, short(room.x0), short(room.y0), short(room.x1-room.x0), short(room.y1-room.y0), hex(c.of(m.ground)))
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" textLength="%s" lengthAdjust="spacingAndGlyphs" fill="%s">%s</text>`,
			short(m.points[0].x), short(m.points[0].y), short(m.size), short(room.x1-room.x0), colour, escaped(m.text))
	case polygon:
		fmt.Fprintf(b, `<path d="%sZ" fill="%s"/>`, path(m.points), colour)
	default:
		fmt.Fprintf(b, `<path d="%s" fill="none" stroke="%s" stroke-width="%s"`, m.path(), colour, short(m.width))
		if m.dashed {
			fmt.Fprintf(b, ` stroke-dasharray="%g %g"`, dash, dashGap)
		}
		b.WriteString("/>")
	}
	b.WriteByte('\n')
}

// path is a line or an arc as SVG has it.
func (m *mark) path() string {
	if m.shape == line {
		return path(m.points)
	}
	from, half, to := polar(m.points[0], m.r, m.from), polar(m.points[0], m.r, (m.from+m.to)/2), polar(m.points[0], m.r, m.to)
	r := short(m.r)
	// In two halves: an arc that ends where it begins is none.
	return fmt.Sprintf("M%s %sA%s %s 0 0 1 %s %sA%s %s 0 0 1 %s %s", short(from.x), short(from.y), r, r, short(half.x), short(half.y), r, r, short(to.x), short(to.y))
}

func path(points []point) string {
	var b strings.Builder
	for i, p := range points {
		command := "L"
		if i == 0 {
			command = "M"
		}
		b.WriteString(command + short(p.x) + " " + short(p.y))
	}
	return b.String()
}
