package draw

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"heelpost/bot/say"
	"heelpost/calc"
)

// mm is a measure of so many mm.
func mm(n float64) Measure {
	l := calc.MM(math.Round(n))
	return Measure{l, say.Plain(l.String())}
}

// inches is the same told in inches, which takes more room.
func inches(n float64) Measure {
	l := calc.Length(math.Round(n)) * calc.Inch / 32
	var b []byte
	return Measure{l, say.Plain(string(l.AppendInches(b)) + " in")}
}

// example is the door that the goldens show.
func example() Plan {
	return Plan{Thickness: mm(54), Setback: mm(60), Width: mm(1040), GapHeel: mm(8), GapLead: mm(8), Opening: mm(1056),
		Growth: mm(6), Free: mm(2), Angle: 90}
}

// randomPlan is the plan of any door.
func randomPlan(r *rand.Rand) Plan {
	m := mm
	scale := 1.0
	if r.IntN(3) == 0 {
		m, scale = inches, 32/25.4
	}
	between := func(lo, hi float64) Measure { return m((lo + r.Float64()*(hi-lo)) * scale) }
	p := Plan{Thickness: between(20, 150), GapHeel: between(2, 40), Growth: between(0, 30), Free: between(0, 5), Angle: calc.Angle(r.IntN(181))}
	w := 300 + r.Float64()*2700
	p.Setback = between(0, w/2)
	if r.IntN(4) > 0 {
		p.Width, p.GapLead = m(w*scale), between(2, 40)
		p.Opening = m((w + p.GapHeel.MM() + p.GapLead.MM()) * scale)
	}
	if r.IntN(2) == 0 {
		p.Plate = Measure{p.Setback.Length + p.GapHeel.Length, p.Setback.Told}
	}
	if p.Width.Known() && r.IntN(2) == 0 {
		p.Clear = between(100, w-60)
	}
	if r.IntN(3) == 0 {
		p.Heel = calc.Edge{Form: calc.EdgeForm(r.IntN(3)), Size: min(p.Thickness.Length/2, calc.MM(8))}
	}
	if r.IntN(3) == 0 {
		p.Offset = calc.MM(float64(r.IntN(40) - 20))
	}
	return p
}

// No label lies on another or leaves its frame, whatever the door and whatever
// the language.
func TestLabels(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	languages := languages(t)
	for i := range 500 {
		tidy(t, i, randomPlan(r).Drawing(), languages)
	}
}

// languages are English and two made-up ones: each word of the drawings in
// Greek and in Cyrillic letters, and longer by half.
func languages(t *testing.T) []*say.Language {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	all := []*say.Language{nil, {Texts: map[string]string{}}, {Texts: map[string]string{}}}
	for _, file := range files {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`"([^"\\\n]+)"`).FindAllStringSubmatch(string(source), -1) {
			for _, key := range []string{m[1], say.Name(m[1]).String()} {
				for i, first := range []rune{'α', 'а'} {
					all[i+1].Texts[key] = regexp.MustCompile(`%[sd]|[a-z]+`).ReplaceAllStringFunc(key, func(word string) string {
						if word[0] == '%' {
							return word
						}
						return strings.Map(func(r rune) rune { return first + r - 'a' }, word+word[:len(word)/2])
					})
				}
			}
		}
	}
	return all
}

// tidy holds the labels of a drawing against each other and the frame, in each
// of some languages.
func tidy(t *testing.T, n int, d *Drawing, languages []*say.Language) {
	t.Helper()
	for _, l := range languages {
		labelled(t, n, d.sheet(l))
	}
}

func labelled(t *testing.T, n int, s *sheet) {
	t.Helper()
	var rooms []box
	for _, m := range s.labels {
		b := boxOf(m.text, m.size, m.points[0], beginsAt)
		if b.x0 < 0 || b.x1 > frame || b.y0 < 0 || b.y1 > s.height {
			t.Errorf("%d: %q leaves the frame of height %.0f: %+v", n, m.text, s.height, b)
		}
		for _, r := range m.text {
			if glyphOf(r).index == 0 {
				t.Errorf("%d: %q has a letter that the font lacks", n, m.text)
			}
		}
		for k, o := range rooms {
			if b.overlaps(o) {
				t.Errorf("%d: %q lies on %q", n, m.text, s.labels[k].text)
			}
		}
		rooms = append(rooms, b)
	}
	for _, m := range s.marks {
		for _, p := range m.points {
			if math.IsNaN(p.x) || math.IsNaN(p.y) || math.IsInf(p.x, 0) || math.IsInf(p.y, 0) {
				t.Fatalf("%d: a mark is nowhere: %+v", n, m)
			}
		}
	}
}

// The corner of a square edge is nearest to the jamb where calc says it is.
func TestTightest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 500 {
		p := randomPlan(r)
		turn := calc.Turn{Thickness: p.Thickness.Length, Setback: p.Setback.Length, Offset: calc.Offset{E: p.Offset, Signed: true}, Heel: p.Heel, Swing: calc.OneWay, Angle: min(p.Angle, 90)}
		g, err := calc.Gap(turn, 0, 1)
		if err != nil || g.HeelGrowth == 0 {
			continue
		}
		corner, at := p.leaf().tightest(turn.Angle)
		if got := -turned(corner, at).x - p.Setback.MM(); math.Abs(got-g.HeelGrowth.MM()) > 0.05 {
			t.Errorf("%+v: the corner comes %.3f mm nearer, calc has %s", turn, got, g.HeelGrowth)
		}
	}
}

// Each format is what its standard says: PNG and XML by Go's own readers, the
// font in them by x/image's, the table of a PDF's objects by ISO 32000-1, 7.5.4.
func TestFormats(t *testing.T) {
	d := example().Drawing()
	for _, theme := range []Theme{Light, Dark} {
		file := d.PNG(nil, theme)
		if len(file) > 30<<10 {
			t.Errorf("a plan has %d bytes, want 30 KiB at most", len(file))
		}
		img, err := png.Decode(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		if b := img.Bounds(); b.Dx() != 960 || b.Dy() < 600 {
			t.Errorf("the image is %v", b)
		}
		x := xml.NewDecoder(bytes.NewReader(d.SVG(nil, theme)))
		for err == nil {
			_, err = x.Token()
		}
		if err != io.EOF {
			t.Error(err)
		}
	}
	pdf := d.PDF(nil)
	at, err := strconv.Atoi(string(regexp.MustCompile(`startxref\n(\d+)\n`).FindSubmatch(pdf)[1]))
	if err != nil || !bytes.HasPrefix(pdf[at:], []byte("xref\n")) {
		t.Fatalf("no table of objects at %d, %v", at, err)
	}
	for n, m := range regexp.MustCompile(`(\d{10}) 00000 n `).FindAllSubmatch(pdf[at:], -1) {
		if at, err := strconv.Atoi(string(m[1])); err != nil || !bytes.HasPrefix(pdf[at:], []byte(strconv.Itoa(n+1)+" 0 obj\n")) {
			t.Errorf("object %d is not at %d", n+1, at)
		}
	}
}

// A whole circle is drawn: in SVG an arc whose ends are one point is left out
// (SVG 1.1, F.6.2).
func TestSVG_circle(t *testing.T) {
	m := mark{shape: arc, points: []point{{100, 100}}, r: 10, to: 360}
	if got, want := m.path(), "M110 100A10 10 0 0 1 90 100A10 10 0 0 1 110 100"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// A font with some of its letters has these as they were, and no others.
func TestSubset(t *testing.T) {
	const text = "Größe ±½ Ω ώ Ж ї Łódź"
	part := subset(text)
	if len(part) > 20<<10 {
		t.Errorf("%d bytes", len(part))
	}
	f, err := sfnt.Parse(part)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range text + "Q" {
		i, err := f.GlyphIndex(nil, r)
		if err != nil || i == 0 || i != glyphOf(r).index {
			t.Fatalf("%q is glyph %d, %v", r, i, err)
		}
		got, err := f.LoadGlyph(nil, i, fixed.I(int(em)), nil)
		if want := len(glyphOf(r).segments); err != nil || r != 'Q' && len(got) != want || r == 'Q' && len(got) > 0 {
			t.Errorf("%q has %d segments, %v, want %d and none of Q", r, len(got), err, want)
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	d := example().Drawing()
	for b.Loop() {
		b.SetBytes(int64(len(d.PNG(nil, Light))))
	}
}
