package draw

import (
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The font is a part of the program: Go Regular, which has Latin, Greek and
// Cyrillic letters. Sizes of glyphs are in units of which em make the font's
// height.
var face = func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(err) // it is compiled in
	}
	return f
}()

// Font is the file of the font, for who shows drawings in a page of their own.
func Font() []byte { return goregular.TTF }

var em = float64(face.UnitsPerEm())

// glyph is a letter of the font.
type glyph struct {
	index    sfnt.GlyphIndex
	advance  float64
	segments sfnt.Segments
}

var glyphs = struct {
	sync.Mutex
	of map[rune]*glyph
}{of: map[rune]*glyph{}}

// glyphOf returns the glyph of a character; of one that the font lacks, the box
// that stands for it.
func glyphOf(r rune) *glyph {
	glyphs.Lock()
	defer glyphs.Unlock()
	if g := glyphs.of[r]; g != nil {
		return g
	}
	size := fixed.I(int(face.UnitsPerEm()))
	g := new(glyph)
	g.index, _ = face.GlyphIndex(nil, r)
	if a, err := face.GlyphAdvance(nil, g.index, size, font.HintingNone); err == nil {
		g.advance = float64(a) / 64
	}
	if outline, err := face.LoadGlyph(nil, g.index, size, nil); err == nil {
		g.segments = append(sfnt.Segments(nil), outline...)
	}
	glyphs.of[r] = g
	return g
}

// width is how wide a text is.
func width(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		w += glyphOf(r).advance
	}
	return w * size / em
}
