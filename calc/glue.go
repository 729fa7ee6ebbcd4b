package calc

import (
	"math"
	"strconv"
)

// Volume is a volume in millilitres.
type Volume float64

// String returns v with at most one decimal, as "7.5 ml".
func (v Volume) String() string { return decimals(float64(v), 1) + " ml" }

func (Volume) quantity() {}

// GlueDoor is what is glued at one door, or at each of several alike.
type GlueDoor struct {
	Count         int // of such doors; 0: one
	Holes         int
	Hole          Length // diameter
	Pin           Length // diameter
	HoleDepth     Length // to the full bore
	PinDepth      Length
	Point         Angle // included angle of the drill's point; 180° is flat
	FilmArea      Area  // under the plate
	FilmThickness Length
	Nozzles       int // mixing nozzles used up at the door
}

// Area is an area in square millimetres.
type Area float64

// String returns a without decimals, as "12000 mm²".
func (a Area) String() string { return strconv.FormatFloat(float64(a), 'f', 0, 64) + " mm²" }

func (Area) quantity() {}

// GlueInput is a list of doors and what comes with the adhesive.
type GlueInput struct {
	Doors     []GlueDoor
	Waste     Percent // of what is filled in
	PerNozzle Volume  // that stays in a nozzle
	Cartridge Volume  // that a cartridge gives; 0: not known
}

// Glue is how much adhesive is filled in, rounded up.
type Glue struct {
	Holes      Figure[Volume]
	Film       Figure[Volume]
	Total      Figure[Volume]   // with all waste
	Doors      []Figure[Volume] // each with its waste, those alike together
	Cartridges int              // 0 if not known
}

var (
	alikeBounds     = bounds[Number]{"doors", 0, 100}
	holesBounds     = bounds[Number]{"holes", 0, 100}
	nozzlesBounds   = bounds[Number]{"nozzles", 0, 100}
	filmBounds      = bounds[Length]{"film", 0, 20 * Millimetre}
	areaBounds      = bounds[Area]{"area", 0, 2_000_000}
	wasteBounds     = bounds[Percent]{"waste", 0, 200}
	nozzleBounds    = bounds[Volume]{"nozzle", 0, 200}
	cartridgeBounds = bounds[Volume]{"cartridge", 1, 5000}
)

// GlueFor returns how much adhesive a list of doors takes.
//
//	hole = π/4·(D² − d²)·pin + π/4·D²·(hole − pin) + π/12·D²·L
//	film = area·thickness
//	total = (holes + film)·(1 + waste) + nozzles·what stays in one
//
// where D and d are the diameters of hole and pin, pin and hole their depths,
// and L the length of the drill's point [S 2]: a ring round the pin, a
// cylinder under it and a cone. Millilitres are rounded up to a tenth, of the
// whole from the exact parts; cartridges to whole ones.
//
// GlueFor returns a [*RangeError] if a value is out of bounds, a pin is thicker
// or longer than its hole, and a [*NeedError] if there is no door.
func GlueFor(in GlueInput) (Glue, error) {
	var g Glue
	if len(in.Doors) == 0 {
		return g, &NeedError{Name: "doors", Why: "there is nothing to glue"}
	}
	if err := in.check(); err != nil {
		return g, err
	}
	var holes, film, total Volume
	g.Doors = make([]Figure[Volume], 0, len(in.Doors))
	for i := range in.Doors {
		d := &in.Doors[i]
		h, f, err := d.volume()
		if err != nil {
			return Glue{}, err
		}
		n := Volume(max(d.Count, 1))
		door := n * ((h+f)*Volume(1+in.Waste/100) + Volume(d.Nozzles)*in.PerNozzle)
		holes, film, total = holes+n*h, film+n*f, total+door
		g.Doors = append(g.Doors, upTo(door, 10))
	}
	g.Holes, g.Film, g.Total = upTo(holes, 10), upTo(film, 10), upTo(total, 10)
	if in.Cartridge > 0 {
		g.Cartridges = int(math.Ceil(float64(total/in.Cartridge) * (1 - slip)))
	}
	return g, nil
}

// volume returns what holes and film of a door take.
func (d *GlueDoor) volume() (holes, film Volume, err error) {
	film = Volume(float64(d.FilmArea) * d.FilmThickness.MM() / 1000)
	if d.Holes == 0 {
		return 0, film, nil
	}
	if err := d.checkHole(); err != nil {
		return 0, 0, err
	}
	point, err := PointLength(d.Hole, d.Point)
	if err != nil {
		return 0, 0, err
	}
	D, pin := d.Hole.MM(), d.Pin.MM()
	ring := math.Pi / 4 * (D*D - pin*pin) * d.PinDepth.MM()
	under := math.Pi / 4 * D * D * (d.HoleDepth - d.PinDepth).MM()
	cone := math.Pi / 12 * D * D * point.MM() // a third of its cylinder: solid geometry
	return Volume(float64(d.Holes) * (ring + under + cone) / 1000), film, nil
}

func (d *GlueDoor) checkHole() error {
	if err := depthBounds.named("hole_diameter", d.Hole); err != nil {
		return err
	}
	if err := depthBounds.named("hole_depth", d.HoleDepth); err != nil {
		return err
	}
	if d.Pin < 0 || d.Pin > d.Hole {
		return &RangeError{Name: "pin_diameter", Value: d.Pin, Bound: AtMost, Limit: d.Hole, Why: "the hole's diameter"}
	}
	if d.PinDepth < 0 || d.PinDepth > d.HoleDepth {
		return &RangeError{Name: "pin_depth", Value: d.PinDepth, Bound: AtMost, Limit: d.HoleDepth, Why: "the hole's depth"}
	}
	return nil
}

func (in *GlueInput) check() error {
	if err := wasteBounds.check(in.Waste); err != nil {
		return err
	}
	if err := nozzleBounds.check(in.PerNozzle); err != nil {
		return err
	}
	if in.Cartridge != 0 {
		if err := cartridgeBounds.check(in.Cartridge); err != nil {
			return err
		}
	}
	for i := range in.Doors {
		d := &in.Doors[i]
		if err := alikeBounds.check(Number(d.Count)); err != nil {
			return err
		}
		if err := holesBounds.check(Number(d.Holes)); err != nil {
			return err
		}
		if err := nozzlesBounds.check(Number(d.Nozzles)); err != nil {
			return err
		}
		if err := areaBounds.check(d.FilmArea); err != nil {
			return err
		}
		if err := filmBounds.check(d.FilmThickness); err != nil {
			return err
		}
	}
	return nil
}
