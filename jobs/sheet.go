package jobs

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"time"

	"heelpost/calc"
)

// Sheet is a crew's own hardware sheet: what their pivot set needs. It is
// written in YAML with the keys below; every quantity carries its unit, as
// "54 mm", "95 kg", "18 h" or "5 °C". Lengths may be in mm, cm, m or in.
type Sheet struct {
	Hash string // SHA-256 of the file

	Name       string                 `yaml:"name"`
	Note       string                 `yaml:"note,optional"`
	Leaf       LeafLimits             `yaml:"leaf"`
	Floor      FloorPlate             `yaml:"floor"`
	Pins       Pins                   `yaml:"pins"`
	Holes      map[string]calc.Length `yaml:"holes"` // diameter of the pins' holes by floor material
	Head       HeadPlate              `yaml:"head"`
	Key        Key                    `yaml:"key"`
	Engagement Engagement             `yaml:"engagement,optional"` // or engage
	Engage     Turned                 `yaml:"engage,optional"`     // as sheets had it before
	Adhesive   Adhesive               `yaml:"adhesive"`
	Adjusters  []Adjuster             `yaml:"adjusters"`      // in the order they are turned
	Plumb      calc.Length            `yaml:"plumb,optional"` // limit between the pivots' centres
	Wind       calc.Speed             `yaml:"wind"`           // the most to hang a leaf in, gusts
	Cycles     int                    `yaml:"cycles"`         // rated
	Service    Service                `yaml:"service"`
	Acceptance Acceptance             `yaml:"acceptance"`
	UsualLeaf  UsualLeaf              `yaml:"usual,optional"` // what a leaf has where nothing else is said
}

// LeafLimits is what leaves the set carries.
type LeafLimits struct {
	Mass      calc.Mass   `yaml:"mass"`
	Width     calc.Length `yaml:"width"`
	Height    calc.Length `yaml:"height"`
	Thickness Range       `yaml:"thickness"`
	Setback   calc.Length `yaml:"setback"` // least
}

// Range is the least and the most of a length.
type Range struct {
	Least calc.Length `yaml:"least"`
	Most  calc.Length `yaml:"most"`
}

// FloorPlate is the plate that carries the floor pivot.
type FloorPlate struct {
	Length    calc.Length `yaml:"length"`
	Width     calc.Length `yaml:"width"`
	Thickness calc.Length `yaml:"thickness"`
	Template  calc.Length `yaml:"template"` // the drilling jig's thickness
	Lift      calc.Length `yaml:"lift"`     // to get a leaf over the spindle
}

// Pins are the bonded pins under the floor plate.
type Pins struct {
	Diameter  calc.Length   `yaml:"diameter"`
	Lengths   []calc.Length `yaml:"lengths"`               // below the surface
	Shortens  calc.Length   `yaml:"shortens_by,was=notch"` // the step in which a pin is shortened
	Allowance calc.Length   `yaml:"allowance"`             // the hole is so much deeper
	Point     calc.Angle    `yaml:"point"`                 // of the drill
	FourFrom  calc.Mass     `yaml:"four_from"`             // lighter leaves take two
	Without   bool          `yaml:"without"`               // the plate may go without pins
}

// HeadPlate is the plate that carries the head pivot.
type HeadPlate struct {
	Length calc.Length `yaml:"length"`
	Width  calc.Length `yaml:"width"`
	Holes  int         `yaml:"holes"`
	Pilot  calc.Length `yaml:"pilot"` // diameter
	Depth  calc.Length `yaml:"depth"` // of the pilot holes
	Bonded bool        `yaml:"bonded"`
}

// Key is the tool that turns the head pivot from the heel edge.
type Key struct {
	Reach  calc.Length   `yaml:"reach"`
	Body   calc.Length   `yaml:"body"`   // of the whole pivot
	Stocks []calc.Length `yaml:"stocks"` // of guide tube
	Kerf   calc.Length   `yaml:"kerf"`
}

// Engagement is how far the head pivot reaches into the leaf, and the pitch of
// what moves it.
type Engagement struct {
	Depth calc.Length `yaml:"depth"`
	Pitch calc.Length `yaml:"pitch"`
}

// Turns returns by how many turns the head pivot is engaged.
func (e *Engagement) Turns() float64 { return float64(e.Depth) / float64(e.Pitch) }

// Turned is an engagement in turns.
type Turned struct {
	Turns float64     `yaml:"turns"`
	Pitch calc.Length `yaml:"pitch"`
}

// Adhesive is what the plate is bonded with.
type Adhesive struct {
	Base        calc.Hours       `yaml:"base"` // to the cure's end at the reference temperature
	Reference   calc.Temperature `yaml:"reference"`
	Lowest      calc.Temperature `yaml:"lowest"`
	Highest     calc.Temperature `yaml:"highest"`
	Working     time.Duration    `yaml:"working"` // from mixing
	Table       []CureRow        `yaml:"table,optional"`
	ParkOnPlate bool             `yaml:"park_on_plate"` // the leaf may stand on the curing plate
}

// CureRow is a line of the adhesive's own table.
type CureRow struct {
	From  calc.Temperature `yaml:"from"`
	Hours calc.Hours       `yaml:"hours"`
}

// Calc returns what the cure clock needs.
func (a *Adhesive) Calc() calc.Adhesive {
	c := calc.Adhesive{Base: a.Base, Ref: a.Reference, Lowest: a.Lowest}
	for _, r := range a.Table {
		c.Table = append(c.Table, calc.CureRow(r))
	}
	return c
}

// Adjuster moves the hung leaf.
type Adjuster struct {
	Name  string      `yaml:"name"`
	Moves string      `yaml:"moves"` // across, height or depth
	Range calc.Length `yaml:"range"` // either way
}

// Service is when the set wants to be looked after.
type Service struct {
	Months int `yaml:"months"`
	Cycles int `yaml:"cycles"`
}

// Acceptance is what the finished door is tested against.
type Acceptance struct {
	ClosingLeast time.Duration `yaml:"closing_least"` // from 90°
	ClosingMost  time.Duration `yaml:"closing_most"`
	Opening      calc.Force    `yaml:"opening"` // the most, at the leading edge
	Gap          calc.Length   `yaml:"gap"`     // a margin may be so far off
}

// Usual returns what a door of the sheet has where nothing else is said.
func (s *Sheet) Usual() *Spec {
	return &Spec{Thickness: s.UsualLeaf.Thickness, Setback: s.UsualLeaf.Setback}
}

// ParseSheet reads a hardware sheet. What is wrong is told by line.
func ParseSheet(data []byte) (*Sheet, error) {
	s := &Sheet{Hash: hash(data)}
	f, err := decode(data, s)
	if err != nil {
		return nil, err
	}
	turned := s.Engage != Turned{}
	f.expect(turned != (s.Engagement != Engagement{}), "engagement", "say once how far the head pivot is engaged, as engagement: {depth: 8 mm, pitch: 1 mm}")
	if turned {
		within(f, "engage.turns", s.Engage.Turns, 0.01, 200)
		s.Engagement = Engagement{calc.Length(math.Round(s.Engage.Turns * float64(s.Engage.Pitch))), s.Engage.Pitch}
	}
	s.check(f)
	if err := f.err(); err != nil {
		return nil, err
	}
	return s, nil
}

// Limits that sheets are warned by. A closer takes at least 5 s from 90° to 12°,
// and an interior door opens with at most 22.2 N: 2010 ADA Standards 404.2.8.1
// and 404.2.9. That no adhesive is worked below freezing is common practice, no
// published source.
const (
	closerLeast  = 5 * time.Second
	openingMost  = calc.Force(22.2)
	freezingFrom = calc.Temperature(0)
)

// Odd tells of values that a sheet should not have, with the source: they are
// taken all the same, for the maker's instructions come first.
func (s *Sheet) Odd() (odd []calc.Text) {
	if a := &s.Acceptance; a.ClosingLeast < closerLeast {
		odd = append(odd, calc.F("acceptance.closing_least is %s, a closer takes at least %s from 90° to 12° (2010 ADA Standards 404.2.8.1)", ofTime(a.ClosingLeast), ofTime(closerLeast)))
	}
	if a := &s.Acceptance; a.Opening > openingMost {
		odd = append(odd, calc.F("acceptance.opening is %s, an interior door that is not a fire door opens with at most %s (2010 ADA Standards 404.2.9); other codes have other limits", a.Opening, openingMost))
	}
	if s.Adhesive.Lowest < freezingFrom {
		odd = append(odd, calc.F("adhesive.lowest is %s: below %s no adhesive is worked (common practice, no published source); see that it is the substrate's and its maker's", s.Adhesive.Lowest, freezingFrom))
	}
	return odd
}

// hash returns the SHA-256 of some texts, each with its length.
func hash(texts ...[]byte) string {
	h := sha256.New()
	for _, t := range texts {
		fmt.Fprintf(h, "%d\n", len(t))
		h.Write(t)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// within notes a value outside its bounds.
func within[T cmp.Ordered](f *file, path string, v, least, most T) {
	f.expect(v >= least && v <= most, path, "%s is outside %s to %s", v, least, most)
}

const mm = calc.Millimetre

// check notes values that make no sense; the bounds are the project's own.
func (s *Sheet) check(f *file) {
	within(f, "leaf.mass", s.Leaf.Mass, 1, 3000)
	within(f, "leaf.width", s.Leaf.Width, 200*mm, 6000*mm)
	within(f, "leaf.height", s.Leaf.Height, 300*mm, 10_000*mm)
	within(f, "leaf.thickness.least", s.Leaf.Thickness.Least, 5*mm, 300*mm)
	within(f, "leaf.thickness.most", s.Leaf.Thickness.Most, s.Leaf.Thickness.Least, 300*mm)
	within(f, "leaf.setback", s.Leaf.Setback, 0, s.Leaf.Width/2)
	within(f, "floor.length", s.Floor.Length, 1*mm, 1000*mm)
	within(f, "floor.width", s.Floor.Width, 1*mm, 1000*mm)
	within(f, "floor.thickness", s.Floor.Thickness, 1*mm, 100*mm)
	within(f, "floor.template", s.Floor.Template, 0, 200*mm)
	within(f, "floor.lift", s.Floor.Lift, 0, 200*mm)
	within(f, "pins.diameter", s.Pins.Diameter, 1*mm, 100*mm)
	f.expect(len(s.Pins.Lengths) > 0, "pins.lengths", "there are none")
	for i, l := range s.Pins.Lengths {
		within(f, fmt.Sprintf("pins.lengths[%d]", i+1), l, 1*mm, 500*mm)
	}
	within(f, "pins.shortens_by", s.Pins.Shortens, 0, 100*mm)
	within(f, "pins.allowance", s.Pins.Allowance, 0, 100*mm)
	within(f, "pins.point", s.Pins.Point, 60, 180)
	within(f, "pins.four_from", s.Pins.FourFrom, 0, 3000)
	f.expect(len(s.Holes) > 0, "holes", "there are none")
	for material, d := range s.Holes {
		within(f, "holes."+material, d, s.Pins.Diameter, 150*mm)
	}
	within(f, "head.length", s.Head.Length, 1*mm, 1000*mm)
	within(f, "head.width", s.Head.Width, 1*mm, 1000*mm)
	within(f, "head.holes", s.Head.Holes, 1, 50)
	within(f, "head.pilot", s.Head.Pilot, mm/2, 50*mm)
	within(f, "head.depth", s.Head.Depth, 1*mm, 500*mm)
	within(f, "key.reach", s.Key.Reach, 1*mm, 6000*mm)
	within(f, "key.body", s.Key.Body, 1*mm, 1000*mm)
	within(f, "key.kerf", s.Key.Kerf, 0, 20*mm)
	for i, l := range s.Key.Stocks {
		within(f, fmt.Sprintf("key.stocks[%d]", i+1), l, 1*mm, 6000*mm)
	}
	within(f, "engagement.depth", s.Engagement.Depth, mm/10, 500*mm)
	within(f, "engagement.pitch", s.Engagement.Pitch, mm/10, 20*mm)
	a := s.Adhesive.Calc()
	if err := a.Check(); err != nil {
		f.expect(false, "adhesive", "%s", err)
	}
	within(f, "adhesive.highest", s.Adhesive.Highest, s.Adhesive.Lowest, 80)
	within(f, "adhesive.working", s.Adhesive.Working, time.Minute, 24*time.Hour)
	moves := map[string]bool{"across": true, "height": true, "depth": true}
	for i, adj := range s.Adjusters {
		path := fmt.Sprintf("adjusters[%d]", i+1)
		f.expect(moves[adj.Moves], path+".moves", "%q is none of across, height, depth", adj.Moves)
		within(f, path+".range", adj.Range, 0, 100*mm)
	}
	if s.Plumb != 0 {
		within(f, "plumb", s.Plumb, mm/10, 10*mm)
	}
	within(f, "wind", s.Wind, 0, 30)
	within(f, "cycles", s.Cycles, 1, 100_000_000)
	within(f, "service.months", s.Service.Months, 1, 240)
	within(f, "service.cycles", s.Service.Cycles, 1, s.Cycles)
	within(f, "acceptance.closing_least", s.Acceptance.ClosingLeast, time.Second, time.Minute)
	within(f, "acceptance.closing_most", s.Acceptance.ClosingMost, s.Acceptance.ClosingLeast, 5*time.Minute)
	within(f, "acceptance.opening", s.Acceptance.Opening, 1, 1000)
	within(f, "acceptance.gap", s.Acceptance.Gap, mm/10, 50*mm)
	if u := &s.UsualLeaf; u.Thickness != 0 {
		within(f, "usual.thickness", u.Thickness, s.Leaf.Thickness.Least, s.Leaf.Thickness.Most)
	}
	if u := &s.UsualLeaf; u.Setback != 0 {
		within(f, "usual.setback", u.Setback, s.Leaf.Setback, s.Leaf.Width/2)
	}
}
