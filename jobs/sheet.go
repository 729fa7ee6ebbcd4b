package jobs

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
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
	Pins       Pins                   `yaml:"pins,optional"`
	Screws     Screws                 `yaml:"screws,optional"`
	Box        Box                    `yaml:"box,optional"`
	Holes      map[string]calc.Length `yaml:"holes,optional"` // diameter of the holes under the floor plate by floor material
	Head       HeadPlate              `yaml:"head"`
	Key        Key                    `yaml:"key,optional"`
	Engagement Engagement             `yaml:"engagement,optional"` // or engage
	Engage     Turned                 `yaml:"engage,optional"`     // as sheets had it before
	Adhesive   Adhesive               `yaml:"adhesive,optional"`
	Adjusters  []Adjuster             `yaml:"adjusters"`      // in the order they are turned
	Plumb      calc.Length            `yaml:"plumb,optional"` // limit between the pivots' centres
	Wind       calc.Speed             `yaml:"wind"`           // the most to hang a leaf in, gusts
	Cycles     int                    `yaml:"cycles"`         // rated
	Service    Service                `yaml:"service"`
	Acceptance Acceptance             `yaml:"acceptance"`
	Items      []OwnItem              `yaml:"items,optional"` // its maker's, beside those of every door
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

// FloorPlate is the plate that carries the floor pivot, or the box.
type FloorPlate struct {
	Fixing    Fixing      `yaml:"fixing,optional"` // pins, if nothing is said
	Length    calc.Length `yaml:"length"`
	Width     calc.Length `yaml:"width"`
	Thickness calc.Length `yaml:"thickness"`
	Template  calc.Length `yaml:"template,optional"` // the drilling jig's thickness, where holes are drilled
	Lift      calc.Length `yaml:"lift"`              // to get a leaf over the spindle
	Bonded    bool        `yaml:"bonded,optional"`   // a plate on screws may be; one on pins and a box always are
}

// Fixing is how the floor plate is held.
type Fixing string

// The fixings: bonded pins, screws, or a box set into a recess of the floor.
const (
	ByPins   Fixing = "pins"
	ByScrews Fixing = "screws"
	ByBox    Fixing = "box"
)

func (x *Fixing) fromText(s string) error {
	*x = Fixing(s)
	if *x != ByPins && *x != ByScrews && *x != ByBox {
		return calc.F("%q is none of pins, screws, box", cut(s, 40))
	}
	return nil
}

// Screws hold the floor plate.
type Screws struct {
	Count int         `yaml:"count"`
	Depth calc.Length `yaml:"depth"` // of their holes to the drill's tip, below the surface
}

// Box is the recess that a floor box is set into.
type Box struct {
	Length calc.Length `yaml:"length"`
	Width  calc.Length `yaml:"width"`
	Depth  calc.Length `yaml:"depth"`
	Floors []string    `yaml:"floors"` // that may hold it
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
	Embedment calc.Length   `yaml:"embedment,optional"`    // the least of a pin in sound material
	Edge      calc.Length   `yaml:"edge,optional"`         // the least from a pin's centre to the slab's edge
	Joint     calc.Length   `yaml:"joint,optional"`        // the least to a joint
	Apart     calc.Length   `yaml:"apart,optional"`        // the least between pins
}

// HeadPlate is the plate that carries the head pivot.
type HeadPlate struct {
	Length calc.Length `yaml:"length"`
	Width  calc.Length `yaml:"width"`
	Holes  int         `yaml:"holes"`
	Pilot  calc.Length `yaml:"pilot"` // diameter
	Depth  calc.Length `yaml:"depth"` // of the pilot holes
	Bonded bool        `yaml:"bonded"`
	Reach  Reach       `yaml:"reached,optional"` // from the edge, if nothing is said
}

// Reach is from where the head pivot is turned.
type Reach string

// From the leaf's heel edge by a key, or from above.
const (
	FromEdge  Reach = "edge"
	FromAbove Reach = "above"
)

func (r *Reach) fromText(s string) error {
	*r = Reach(s)
	if *r != FromEdge && *r != FromAbove {
		return calc.F("%q is none of edge, above", cut(s, 40))
	}
	return nil
}

// Key is the tool that turns the head pivot from the heel edge.
type Key struct {
	Reach  calc.Length   `yaml:"reach"`
	Body   calc.Length   `yaml:"body"`   // of the whole pivot
	Stocks []calc.Length `yaml:"stocks"` // of key tube
	Kerf   calc.Length   `yaml:"kerf"`
}

// Engagement is how far the head pivot reaches into the leaf, and the pitch of
// what moves it.
type Engagement struct {
	Depth calc.Length `yaml:"depth"`
	Pitch calc.Length `yaml:"pitch"`
	Least calc.Length `yaml:"least,optional"` // that must be left when the leaf is raised or lowered
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

	At        string      `yaml:"at,optional"`        // floor or head: the pivot that it moves across or in depth
	Pitch     calc.Length `yaml:"pitch,optional"`     // of its thread
	Clockwise string      `yaml:"clockwise,optional"` // what a turn to the right does, as seen from SeenFrom: a key of [clockwise]
	SeenFrom  string      `yaml:"seen_from,optional"`
}

// clockwise are the ways that a screw moves the leaf, by what it moves; the
// first of two is forth, as [calc.Adjuster] has it.
var clockwise = map[string][2]string{"across": {"to lead", "to heel"}, "height": {"up", "down"}, "depth": {"to opening side", "to other side"}}

// Calc returns the adjuster as calc wants it, from where it stands in the middle.
func (a *Adjuster) Calc() calc.Adjuster {
	return calc.Adjuster{Back: a.Range, Forth: a.Range, Pitch: a.Pitch, Clockwise: a.Clockwise == clockwise[a.Moves][0]}
}

// Adjuster returns the one that moves the leaf so at a pivot, floor or head; in
// height there is one for both. Nil for none.
func (s *Sheet) Adjuster(moves, at string) *Adjuster {
	return ptr(s.Adjusters, func(a Adjuster) bool { return a.Moves == moves && (a.At == at || moves == "height") })
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
	s.Floor.Fixing, s.Head.Reach = cmp.Or(s.Floor.Fixing, ByPins), cmp.Or(s.Head.Reach, FromEdge)
	if !f.unread("floor.fixing") && !f.unread("head.reached") {
		s.sections(f)
	}
	turned := s.Engage != Turned{}
	f.expect(turned != (s.Engagement != Engagement{}), "engagement", "say once how far the head pivot is engaged, as engagement: {depth: 8 mm, pitch: 1 mm}")
	if turned {
		within(f, "engage.turns", s.Engage.Turns, 0.01, 200)
		s.Engagement = Engagement{Depth: calc.Length(math.Round(s.Engage.Turns * float64(s.Engage.Pitch))), Pitch: s.Engage.Pitch}
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
	if s.bonds() && s.Adhesive.Lowest < freezingFrom {
		odd = append(odd, calc.F("adhesive.lowest is %s: below %s no adhesive is worked (common practice, no published source); see that it is the substrate's and its maker's", s.Adhesive.Lowest, freezingFrom))
	}
	return odd
}

// FloorBonded reports whether the floor plate lies in adhesive, or the box in its
// mortar.
func (s *Sheet) FloorBonded() bool { return s.Floor.Fixing != ByScrews || s.Floor.Bonded }

// bonds reports whether anything of the set is bonded.
func (s *Sheet) bonds() bool { return s.FloorBonded() || s.Head.Bonded }

// Drilled reports whether holes are drilled under the floor plate.
func (s *Sheet) Drilled() bool { return s.Floor.Fixing != ByBox }

// Floors returns the materials that may hold the floor plate.
func (s *Sheet) Floors() []string {
	if s.Drilled() {
		return slices.Sorted(maps.Keys(s.Holes))
	}
	return s.Box.Floors
}

// sections notes what the sheet lacks for its kind, and what does not belong
// to it.
func (s *Sheet) sections(f *file) {
	fixing, reach := s.Floor.Fixing, s.Head.Reach
	bonded := calc.F("a set of which nothing is bonded")
	if s.bonds() {
		bonded = calc.F("what is bonded")
	}
	for _, c := range []struct {
		path string
		want bool
		kind calc.Text
	}{
		{"pins", fixing == ByPins, calc.F("floor.fixing: %s", fixing)},
		{"screws", fixing == ByScrews, calc.F("floor.fixing: %s", fixing)},
		{"box", fixing == ByBox, calc.F("floor.fixing: %s", fixing)},
		{"holes", s.Drilled(), calc.F("floor.fixing: %s", fixing)},
		{"floor.template", s.Drilled(), calc.F("floor.fixing: %s", fixing)},
		{"key", reach == FromEdge, calc.F("head.reached: %s", reach)},
		{"adhesive", s.bonds(), bonded},
	} {
		_, given := f.lines[c.path]
		f.expect(given || !c.want, c.path, "is missing, for %s", c.kind)
		f.expect(!given || c.want, c.path, "leave it out for %s", c.kind)
	}
	f.expect(!s.Floor.Bonded || fixing == ByScrews, "floor.bonded", "is said of a plate on screws only: one on pins and a box always are")
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
	if len(f.bad) > 0 && least >= most {
		return // by a value that was not read
	}
	f.expect(v >= least && v <= most, path, "%s is outside %s to %s", inWords(v), inWords(least), inWords(most))
}

// inWords returns a value as it is told.
func inWords(v any) any {
	if d, ok := v.(time.Duration); ok {
		return ofTime(d)
	}
	return v
}

// Doubts tells what makes a sheet useless though each of its values may be: check
// refuses it. A sheet that doors have is read all the same.
func (s *Sheet) Doubts() (all []calc.Text) {
	for _, name := range s.Floors() {
		if !slices.Contains(commonFloors, name) {
			if near := nearFloor(name); near != "" {
				all = append(all, calc.F("%q is no floor that doors are opened on: is it %s?", cut(name, 40), near))
			}
		}
	}
	twice := func(path string, lengths []calc.Length) {
		for i, l := range lengths {
			if slices.Index(lengths, l) < i {
				all = append(all, calc.F("%s: %s stands there twice", path, l))
			}
		}
	}
	twice("pins.lengths", s.Pins.Lengths)
	twice("key.stocks", s.Key.Stocks)
	if a := &s.Adhesive; s.bonds() && (a.Reference > a.Highest || a.Reference < a.Lowest) {
		all = append(all, calc.F("adhesive.reference: %s is outside %s to %s", a.Reference, a.Lowest, a.Highest))
	}
	return all
}

// commonFloors are what floors are called. A sheet may name others; one that is a
// slip away from these is asked about.
var commonFloors = []string{"concrete", "screed", "stone", "timber", "steel", "tile", "terrazzo", "marble", "granite", "asphalt", "brick", "plywood", "wood"}

// nearFloor returns the floor that a name is a slip of, "" for none: a letter is
// missing, doubled, another, or two are swapped.
func nearFloor(name string) string {
	for _, floor := range commonFloors {
		if len(name) > 3 && oneSlip(name, floor) {
			return floor
		}
	}
	return ""
}

// oneSlip reports whether a word is another but for one letter, or two neighbours.
func oneSlip(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	switch len(b) - len(a) {
	case 0:
		return i < len(a) && (a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:])
	case 1:
		return a[i:] == b[i+1:]
	}
	return false
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
	within(f, "floor.thickness", s.Floor.Thickness, 1*mm, 300*mm)
	within(f, "floor.lift", s.Floor.Lift, 0, 200*mm)
	s.checkFixing(f)
	within(f, "head.length", s.Head.Length, 1*mm, 1000*mm)
	within(f, "head.width", s.Head.Width, 1*mm, 1000*mm)
	within(f, "head.holes", s.Head.Holes, 1, 50)
	within(f, "head.pilot", s.Head.Pilot, mm/2, 50*mm)
	within(f, "head.depth", s.Head.Depth, 1*mm, 500*mm)
	within(f, "engagement.depth", s.Engagement.Depth, mm/10, 500*mm)
	within(f, "engagement.pitch", s.Engagement.Pitch, mm/10, 20*mm)
	within(f, "engagement.least", s.Engagement.Least, 0, s.Engagement.Depth)
	s.checkAdhesive(f)
	for i, adj := range s.Adjusters {
		path := fmt.Sprintf("adjusters[%d]", i+1)
		ways, ok := clockwise[adj.Moves]
		f.expect(ok, path+".moves", "%q is none of across, height, depth", adj.Moves)
		within(f, path+".range", adj.Range, 0, 100*mm)
		f.expect(adj.At == "" || adj.At == "floor" || adj.At == "head", path+".at", "%q is none of floor, head", cut(adj.At, 40))
		if adj.Pitch != 0 {
			within(f, path+".pitch", adj.Pitch, mm/10, 20*mm)
		}
		f.expect(adj.Clockwise == "" || !ok || slices.Contains(ways[:], adj.Clockwise), path+".clockwise", "%q is none of %s", cut(adj.Clockwise, 40), strings.Join(ways[:], ", "))
		f.expect((adj.Clockwise == "") == (adj.SeenFrom == ""), path+".clockwise", "goes with seen_from: a screw turns to the right as seen from a side")
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
	checkOwn(f, s.Items)
	if u := &s.UsualLeaf; u.Thickness != 0 {
		within(f, "usual.thickness", u.Thickness, s.Leaf.Thickness.Least, s.Leaf.Thickness.Most)
	}
	if u := &s.UsualLeaf; u.Setback != 0 {
		within(f, "usual.setback", u.Setback, s.Leaf.Setback, s.Leaf.Width/2)
	}
}

// checkFixing notes what makes no sense of what holds the floor plate. The bounds
// of what is believed are the project's own.
func (s *Sheet) checkFixing(f *file) {
	if s.Drilled() {
		within(f, "floor.template", s.Floor.Template, 0, 200*mm)
		f.expect(len(s.Holes) > 0, "holes", "there are none")
		for material, d := range s.Holes {
			within(f, "holes."+material, d, max(s.Pins.Diameter, 1*mm), 150*mm)
		}
	}
	switch s.Floor.Fixing {
	case ByPins:
		within(f, "pins.diameter", s.Pins.Diameter, 1*mm, 100*mm)
		f.expect(len(s.Pins.Lengths) > 0, "pins.lengths", "there are none")
		for i, l := range s.Pins.Lengths {
			within(f, fmt.Sprintf("pins.lengths[%d]", i+1), l, 1*mm, 500*mm)
		}
		within(f, "pins.shortens_by", s.Pins.Shortens, 0, 100*mm)
		within(f, "pins.allowance", s.Pins.Allowance, 0, 100*mm)
		within(f, "pins.point", s.Pins.Point, 60, 180)
		within(f, "pins.four_from", s.Pins.FourFrom, 0, 3000)
		within(f, "pins.embedment", s.Pins.Embedment, 0, 500*mm)
		within(f, "pins.edge", s.Pins.Edge, 0, 1000*mm)
		within(f, "pins.joint", s.Pins.Joint, 0, 1000*mm)
		within(f, "pins.apart", s.Pins.Apart, 0, 1000*mm)
	case ByScrews:
		within(f, "screws.count", s.Screws.Count, 1, 50)
		within(f, "screws.depth", s.Screws.Depth, 1*mm, 500*mm)
	case ByBox:
		within(f, "box.length", s.Box.Length, s.Floor.Length, 2000*mm)
		within(f, "box.width", s.Box.Width, s.Floor.Width, 2000*mm)
		within(f, "box.depth", s.Box.Depth, s.Floor.Thickness, 500*mm)
		f.expect(len(s.Box.Floors) > 0, "box.floors", "there are none")
	}
	if s.Head.Reach == FromEdge {
		within(f, "key.reach", s.Key.Reach, 1*mm, 6000*mm)
		within(f, "key.body", s.Key.Body, 1*mm, 1000*mm)
		within(f, "key.kerf", s.Key.Kerf, 0, 20*mm)
		for i, l := range s.Key.Stocks {
			within(f, fmt.Sprintf("key.stocks[%d]", i+1), l, 1*mm, 6000*mm)
		}
	}
}

// checkAdhesive notes what makes no sense of what the set is bonded with, by
// bounds that are the project's own.
func (s *Sheet) checkAdhesive(f *file) {
	if !s.bonds() {
		return
	}
	a := s.Adhesive.Calc()
	if err := a.Check(); err != nil {
		f.expect(false, "adhesive", "%s", err)
	}
	within(f, "adhesive.highest", s.Adhesive.Highest, s.Adhesive.Lowest, 80)
	within(f, "adhesive.working", s.Adhesive.Working, time.Minute, 24*time.Hour)
}
