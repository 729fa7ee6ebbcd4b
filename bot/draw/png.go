package draw

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/vector"

	"heelpost/bot/say"
)

// zoom is how many pixels of a PNG a unit of the sheet is: 960 pixels to a
// sheet are sharp on a phone.
const zoom = 2

// darkness of the inks: of two marks on one place the darker one is seen.
var darkness = [...]uint8{paper: 0, tint: 26, hatch: 95, thin: 165, solid: 255, alarm: 255}

// palettes have shades from the paper to the ink, and behind them those of the
// alarm: few, as the size of the file and the time to pack it hang on that.
var palettes = [...]color.Palette{Light: shades(lightColours), Dark: shades(darkColours)}

const (
	grays  = 12
	alarms = 4
)

// colours are what the inks look like on a screen.
type colours struct{ paper, solid, alarm color.RGBA }

var (
	lightColours = colours{color.RGBA{255, 255, 255, 255}, color.RGBA{20, 22, 26, 255}, color.RGBA{180, 40, 20, 255}}
	darkColours  = colours{color.RGBA{24, 26, 30, 255}, color.RGBA{236, 236, 232, 255}, color.RGBA{255, 150, 110, 255}}
)

func (t Theme) colours() colours {
	if t == Dark {
		return darkColours
	}
	return lightColours
}

// mixed is a colour between two, x of 255 on the way.
func mixed(a, b color.RGBA, x int) color.RGBA {
	mix := func(a, b uint8) uint8 { return uint8((int(a)*(255-x) + int(b)*x + 127) / 255) }
	return color.RGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 255}
}

func shades(c colours) color.Palette {
	var p color.Palette
	for i := range grays {
		p = append(p, mixed(c.paper, c.solid, i*255/(grays-1)))
	}
	for i := range alarms {
		p = append(p, mixed(c.paper, c.alarm, (i+1)*255/alarms))
	}
	return p
}

// canvas is a picture in the making: how dark each pixel is, by ordinary inks
// and by the alarm's.
type canvas struct {
	w, h  int
	dark  []uint8
	alarm []uint8 // nil while there is none
	mask  *image.Alpha
	pen   vector.Rasterizer
}

// PNG returns the drawing as an image of 960 pixels width.
func (d *Drawing) PNG(l *say.Language, t Theme) []byte {
	s := d.sheet(l)
	c := &canvas{w: frame * zoom, h: int(math.Ceil(s.height * zoom)), mask: new(image.Alpha)}
	c.dark = make([]uint8, c.w*c.h)
	for i := range s.marks {
		c.mark(&s.marks[i])
	}
	return c.encoded(palettes[t])
}

// encoded is the canvas as a PNG file of four bits a pixel (ISO/IEC 15948).
// Go's own encoder asks for each pixel by itself, which takes longer than all
// the drawing.
func (c *canvas) encoded(p color.Palette) []byte {
	var shade, shadeOfAlarm [256]uint8
	for v := range shade {
		shade[v] = uint8((v*(grays-1) + 127) / 255)
		shadeOfAlarm[v] = grays + uint8(min(alarms-1, v*alarms/256))
	}
	stride := 1 + c.w/2 // of a row: no filter, and two pixels a byte
	pixels := make([]byte, stride*c.h)
	row := make([]uint8, c.w)
	for y := range c.h {
		for x, v := range c.dark[y*c.w : (y+1)*c.w] {
			row[x] = shade[v]
		}
		if c.alarm != nil {
			for x, v := range c.alarm[y*c.w : (y+1)*c.w] {
				if v >= 32 && v >= c.dark[y*c.w+x] {
					row[x] = shadeOfAlarm[v]
				}
			}
		}
		out := pixels[y*stride+1:]
		for x := 0; x+1 < c.w; x += 2 {
			out[x/2] = row[x]<<4 | row[x+1]
		}
	}
	b := []byte("\x89PNG\r\n\x1a\n")
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(c.w)), uint32(c.h))
	b = chunk(b, "IHDR", append(head, 4, 3, 0, 0, 0)) // four bits, a palette
	var colours []byte
	for _, v := range p {
		r, g, b, _ := v.RGBA()
		colours = append(colours, byte(r>>8), byte(g>>8), byte(b>>8))
	}
	b = chunk(b, "PLTE", colours)
	b = chunk(b, "IDAT", deflated(pixels))
	return chunk(b, "IEND", nil)
}

func chunk(b []byte, kind string, data []byte) []byte {
	b = binary.BigEndian.AppendUint32(b, uint32(len(data)))
	from := len(b)
	b = append(append(b, kind...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[from:]))
}

// deflated packs data as PNG and PDF have it.
func deflated(data []byte) []byte {
	var b bytes.Buffer
	z := packers.Get().(*zlib.Writer)
	defer packers.Put(z)
	z.Reset(&b)
	_, err := z.Write(data)
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		panic(err) // a buffer takes everything
	}
	return b.Bytes()
}

// packers are kept, as each is larger than what it packs.
var packers = sync.Pool{New: func() any {
	z, err := zlib.NewWriterLevel(nil, zlib.BestSpeed)
	if err != nil {
		panic(err) // the level is known
	}
	return z
}}

func (c *canvas) mark(m *mark) {
	switch m.shape {
	case polygon:
		c.fill(m.ink, m.points)
	case label:
		c.clear(boxOf(m.text, m.size, m.points[0], beginsAt), darkness[m.ground])
		c.letters(m)
	default:
		for _, run := range m.runs() {
			c.stroke(m.ink, m.width, run)
		}
	}
}

// plane is where an ink goes.
func (c *canvas) plane(i ink) []uint8 {
	if i != alarm {
		return c.dark
	}
	if c.alarm == nil {
		c.alarm = make([]uint8, len(c.dark))
	}
	return c.alarm
}

// fill fills a polygon.
func (c *canvas) fill(i ink, points []point) {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b = box{min(b.x0, p.x), min(b.y0, p.y), max(b.x1, p.x), max(b.y1, p.y)}
	}
	r := image.Rect(int(b.x0*zoom)-1, int(b.y0*zoom)-1, int(b.x1*zoom)+2, int(b.y1*zoom)+2)
	if !c.seen(r) {
		return
	}
	c.pen.Reset(r.Dx(), r.Dy())
	for n, p := range points {
		x, y := float32(p.x*zoom)-float32(r.Min.X), float32(p.y*zoom)-float32(r.Min.Y)
		if n == 0 {
			c.pen.MoveTo(x, y)
		} else {
			c.pen.LineTo(x, y)
		}
	}
	c.pen.ClosePath()
	c.blend(i, r.Min, c.rastered(r.Dx(), r.Dy()))
}

func (c *canvas) seen(r image.Rectangle) bool { return r.Overlaps(image.Rect(0, 0, c.w, c.h)) }

// rastered is the mask of what the pen has drawn.
func (c *canvas) rastered(w, h int) *image.Alpha {
	if n := w * h; cap(c.mask.Pix) < n {
		c.mask.Pix = make([]uint8, n)
	}
	c.mask.Pix, c.mask.Stride, c.mask.Rect = c.mask.Pix[:w*h], w, image.Rect(0, 0, w, h)
	c.pen.DrawOp = draw.Src
	c.pen.Draw(c.mask, c.mask.Rect, image.Opaque, image.Point{})
	return c.mask
}

// blend darkens what a mask covers, or makes paper of it.
func (c *canvas) blend(i ink, at image.Point, m *image.Alpha) {
	plane, most := c.plane(i), int(darkness[i])
	for y := range m.Rect.Dy() {
		if at.Y+y < 0 || at.Y+y >= c.h {
			continue
		}
		from, to := max(0, -at.X), min(m.Rect.Dx(), c.w-at.X)
		if from >= to {
			return
		}
		row := plane[(at.Y+y)*c.w+at.X+from:][:to-from]
		for x, a := range m.Pix[y*m.Stride+from : y*m.Stride+to] {
			switch v := uint8(int(a) * most / 255); {
			case i == paper:
				row[x] = uint8(int(row[x]) * int(255-a) / 255)
			case v > row[x]:
				row[x] = v
			}
		}
	}
}

// clear takes away what is beneath a label, but for its ground.
func (c *canvas) clear(b box, ground uint8) {
	for y := max(0, int(b.y0*zoom)); y < min(c.h, int(math.Ceil(b.y1*zoom))); y++ {
		for x := max(0, int(b.x0*zoom)); x < min(c.w, int(math.Ceil(b.x1*zoom))); x++ {
			c.dark[y*c.w+x] = ground
			if c.alarm != nil {
				c.alarm[y*c.w+x] = 0
			}
		}
	}
}

// stroke draws a line: in short pieces, as the pen's work is the area around
// one, which overlap a little.
func (c *canvas) stroke(i ink, width float64, points []point) {
	const piece, lap = 40.0, 0.4
	half := max(width, 1.0/zoom) / 2
	for n := 1; n < len(points); n++ {
		a, b := points[n-1], points[n]
		dx, dy := b.x-a.x, b.y-a.y
		length := math.Hypot(dx, dy)
		if length == 0 {
			continue
		}
		ux, uy := dx/length, dy/length
		count := 1.0
		if dx != 0 && dy != 0 {
			count = math.Ceil(length / piece)
		}
		for k := 0.0; k < count; k++ {
			from, to := length*k/count-lap, length*(k+1)/count+lap
			p, q := point{a.x + ux*from, a.y + uy*from}, point{a.x + ux*to, a.y + uy*to}
			nx, ny := -uy*half, ux*half
			c.fill(i, []point{{p.x + nx, p.y + ny}, {q.x + nx, q.y + ny}, {q.x - nx, q.y - ny}, {p.x - nx, p.y - ny}})
		}
	}
}

// letter is a glyph at a size, as a mask that begins left of and above where it
// is written.
type letter struct {
	mask *image.Alpha
	at   image.Point
}

type letterKey struct {
	index sfnt.GlyphIndex
	size  float64
}

var letters = struct {
	sync.Mutex
	of map[letterKey]*letter
}{of: map[letterKey]*letter{}}

// letters writes a label.
func (c *canvas) letters(m *mark) {
	x, y := m.points[0].x*zoom, int(math.Round(m.points[0].y*zoom))
	for _, r := range m.text {
		g := glyphOf(r)
		l := g.letter(m.size)
		c.blend(m.ink, image.Pt(int(math.Round(x))+l.at.X, y+l.at.Y), l.mask)
		x += g.advance * m.size * zoom / em
	}
}

// letter draws the glyph at a size, once.
func (g *glyph) letter(size float64) *letter {
	letters.Lock()
	defer letters.Unlock()
	key := letterKey{g.index, size}
	if l := letters.of[key]; l != nil {
		return l
	}
	k := float32(size * zoom / em / 64)
	lo, hi := [2]float32{}, [2]float32{}
	for _, s := range g.segments {
		for _, p := range s.Args {
			lo = [2]float32{min(lo[0], float32(p.X)*k), min(lo[1], float32(p.Y)*k)}
			hi = [2]float32{max(hi[0], float32(p.X)*k), max(hi[1], float32(p.Y)*k)}
		}
	}
	at := image.Pt(int(math.Floor(float64(lo[0]))), int(math.Floor(float64(lo[1]))))
	w, h := int(math.Ceil(float64(hi[0])))-at.X+1, int(math.Ceil(float64(hi[1])))-at.Y+1
	pen := vector.NewRasterizer(w, h)
	pen.DrawOp = draw.Src
	to := func(n int, s *sfnt.Segment) (x, y float32) {
		return float32(s.Args[n].X)*k - float32(at.X), float32(s.Args[n].Y)*k - float32(at.Y)
	}
	for i := range g.segments {
		s := &g.segments[i]
		x0, y0 := to(0, s)
		x1, y1 := to(1, s)
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			pen.ClosePath()
			pen.MoveTo(x0, y0)
		case sfnt.SegmentOpLineTo:
			pen.LineTo(x0, y0)
		case sfnt.SegmentOpQuadTo:
			pen.QuadTo(x0, y0, x1, y1)
		}
	}
	pen.ClosePath()
	l := &letter{image.NewAlpha(image.Rect(0, 0, w, h)), at}
	pen.Draw(l.mask, l.mask.Rect, image.Opaque, image.Point{})
	letters.of[key] = l
	return l
}
