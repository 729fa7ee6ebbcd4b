package draw

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"
	"unicode/utf16"

	"heelpost/bot/say"
)

// A4 in points, and what a printer leaves free.
const (
	pageWidth  = 595.28
	pageHeight = 841.89
	pageMargin = 42.0
)

// PDF returns the drawing as a page to print, A4 upright, in the colours of
// paper. Its words can be searched, and it says what it shows to who can't see
// it. Format: ISO 32000-1, by whose names of keys objects are written.
func (d *Drawing) PDF(l *say.Language) []byte {
	s := d.sheet(l)
	k := min((pageWidth-2*pageMargin)/frame, (pageHeight-2*pageMargin)/s.height)
	var page strings.Builder
	page.WriteString("/Figure <</MCID 0>> BDC\n")
	fmt.Fprintf(&page, "q %s 0 0 %s %s %s cm\n", short(k), short(-k), short((pageWidth-k*frame)/2), short(pageHeight-pageMargin))
	for i := range s.marks {
		s.marks[i].pdf(&page, Light.colours())
	}
	page.WriteString("Q\nEMC\n")
	words := s.words()
	alt := utf16Hex(l.Say(d.Alt()))
	w := &pdfWriter{}
	w.buf.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	w.object("<</Type /Catalog /Pages 2 0 R /StructTreeRoot 9 0 R /MarkInfo <</Marked true>> /ViewerPreferences <</DisplayDocTitle true>>>>")
	w.object("<</Type /Pages /Kids [3 0 R] /Count 1>>")
	w.object(fmt.Sprintf("<</Type /Page /Parent 2 0 R /MediaBox [0 0 %s %s] /Contents 4 0 R /Resources <</Font <</F 5 0 R>>>> /StructParents 0 /Tabs /S>>", short(pageWidth), short(pageHeight)))
	w.stream("", []byte(page.String()))
	w.object("<</Type /Font /Subtype /Type0 /BaseFont /HPOSTA+GoRegular /Encoding /Identity-H /DescendantFonts [6 0 R] /ToUnicode 12 0 R>>")
	w.object("<</Type /Font /Subtype /CIDFontType2 /BaseFont /HPOSTA+GoRegular /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>> /FontDescriptor 7 0 R /CIDToGIDMap /Identity /W [" + widths(words) + "]>>")
	w.object("<</Type /FontDescriptor /FontName /HPOSTA+GoRegular /Flags 32 /FontBBox [-300 -300 1300 1100] /ItalicAngle 0 /Ascent 935 /Descent -211 /CapHeight 723 /StemV 80 /FontFile2 8 0 R>>")
	font := subset(words)
	w.stream(fmt.Sprintf("/Length1 %d ", len(font)), font)
	w.object("<</Type /StructTreeRoot /K 10 0 R /ParentTree 11 0 R>>")
	w.object("<</Type /StructElem /S /Figure /P 9 0 R /Pg 3 0 R /K 0 /Alt " + alt + ">>")
	w.object("<</Nums [0 [10 0 R]]>>")
	w.stream("", []byte(toUnicode(words)))
	w.object("<</Title " + utf16Hex(d.Name) + " /Producer (heelpost)>>")
	return w.end()
}

// pdfWriter writes objects, numbered from 1 on.
type pdfWriter struct {
	buf    bytes.Buffer
	places []int
}

func (w *pdfWriter) object(body string) {
	w.places = append(w.places, w.buf.Len())
	fmt.Fprintf(&w.buf, "%d 0 obj\n%s\nendobj\n", len(w.places), body)
}

func (w *pdfWriter) stream(keys string, data []byte) {
	packed := deflated(data)
	w.object(fmt.Sprintf("<<%s/Filter /FlateDecode /Length %d>>\nstream\n%s\nendstream", keys, len(packed), packed))
}

// end writes where the objects are; the last one tells of the document.
func (w *pdfWriter) end() []byte {
	at := w.buf.Len()
	fmt.Fprintf(&w.buf, "xref\n0 %d\n0000000000 65535 f \n", len(w.places)+1)
	for _, p := range w.places {
		fmt.Fprintf(&w.buf, "%010d 00000 n \n", p)
	}
	fmt.Fprintf(&w.buf, "trailer\n<</Size %d /Root 1 0 R /Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(w.places)+1, len(w.places), at)
	return w.buf.Bytes()
}

// utf16Hex is a text as a string of PDF.
func utf16Hex(text string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, u := range utf16.Encode([]rune(text)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String() + ">"
}

// runesOf are the characters of a text, each once, in the order of their glyphs.
func runesOf(text string) []rune {
	all := []rune(text)
	slices.SortFunc(all, func(a, b rune) int { return int(glyphOf(a).index) - int(glyphOf(b).index) })
	return slices.CompactFunc(all, func(a, b rune) bool { return glyphOf(a).index == glyphOf(b).index })
}

func widths(text string) string {
	var b strings.Builder
	for _, r := range runesOf(text) {
		g := glyphOf(r)
		fmt.Fprintf(&b, "%d [%s] ", g.index, short(g.advance*1000/em))
	}
	return b.String()
}

// toUnicode says which characters the glyphs are, for searching and reading out.
func toUnicode(text string) string {
	var b strings.Builder
	b.WriteString("/CIDInit /ProcSet findresource begin 12 dict begin begincmap /CMapName /H def /CMapType 2 def\n1 begincodespacerange <0000> <FFFF> endcodespacerange\n")
	for all := range slices.Chunk(runesOf(text), 100) {
		fmt.Fprintf(&b, "%d beginbfchar\n", len(all))
		for _, r := range all {
			fmt.Fprintf(&b, "<%04X> %s\n", glyphOf(r).index, strings.Replace(utf16Hex(string(r)), "FEFF", "", 1))
		}
		b.WriteString("endbfchar\n")
	}
	b.WriteString("endcmap CMapName currentdict /CMap defineresource pop end end\n")
	return b.String()
}

func (m *mark) pdf(b *strings.Builder, c colours) {
	colour := pdfColour(c.of(m.ink))
	switch m.shape {
	case label:
		room := boxOf(m.text, m.size, m.points[0], beginsAt)
		fmt.Fprintf(b, "%srg %s %s %s %s re f\n", pdfColour(c.of(m.ground)), short(room.x0), short(room.y0), short(room.x1-room.x0), short(room.y1-room.y0))
		fmt.Fprintf(b, "%srg BT /F %s Tf 1 0 0 -1 %s %s Tm <", colour, short(m.size), short(m.points[0].x), short(m.points[0].y))
		for _, r := range m.text {
			fmt.Fprintf(b, "%04X", glyphOf(r).index)
		}
		b.WriteString("> Tj ET\n")
	case polygon:
		fmt.Fprintf(b, "%srg %sh f\n", colour, pdfPath(m.points))
	default:
		pattern := "[] 0 d "
		if m.dashed {
			pattern = fmt.Sprintf("[%g %g] 0 d ", dash, dashGap)
		}
		fmt.Fprintf(b, "%sRG 1 j %s w %s", colour, short(m.width), pattern)
		if m.shape == line {
			b.WriteString(pdfPath(m.points) + "S\n")
		} else {
			b.WriteString(m.curves() + "S\n")
		}
	}
}

func pdfColour(c color.RGBA) string {
	return fmt.Sprintf("%s %s %s ", short(float64(c.R)/255), short(float64(c.G)/255), short(float64(c.B)/255))
}

func pdfPath(points []point) string {
	var b strings.Builder
	for i, p := range points {
		command := "l"
		if i == 0 {
			command = "m"
		}
		fmt.Fprintf(&b, "%s %s %s ", short(p.x), short(p.y), command)
	}
	return b.String()
}

// curves is an arc as Bézier curves of at most 45°.
func (m *mark) curves() string {
	n := max(1, math.Ceil((m.to-m.from)/45))
	step := (m.to - m.from) / n
	k := m.r * 4 / 3 * math.Tan(step*math.Pi/720)
	start := polar(m.points[0], m.r, m.from)
	text := fmt.Sprintf("%s %s m ", short(start.x), short(start.y))
	for i := 0.0; i < n; i++ {
		a, b := m.from+i*step, m.from+(i+1)*step
		p, q := polar(m.points[0], m.r, a), polar(m.points[0], m.r, b)
		c1, c2 := polar(p, k, a+90), polar(q, k, b-90)
		text += fmt.Sprintf("%s %s %s %s %s %s c ", short(c1.x), short(c1.y), short(c2.x), short(c2.y), short(q.x), short(q.y))
	}
	return text
}
