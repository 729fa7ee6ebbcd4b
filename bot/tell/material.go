package tell

import (
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// SiteDoors returns doors as questions know them that are about all of a site.
func SiteDoors(all []*jobs.Job) []ask.SiteDoor {
	doors := make([]ask.SiteDoor, len(all))
	for i, j := range all {
		d := &doors[i]
		d.ID, d.Stocks, d.Kerf = j.Door.Spec.ID, j.Sheet.Key.Stocks, j.Sheet.Key.Kerf
		if tube, ok := j.Door.Number("tube_length"); ok && tube.Fixed == "" {
			d.Tube = tube.Value.Length()
		}
		d.Glue, d.Why = glueOf(j)
	}
	return doors
}

// glueOf returns what of a door is still to be bonded: its pins, and the film
// under its plates; or why that is not known.
func glueOf(j *jobs.Job) (*calc.GlueDoor, say.Text) {
	bonded := func(where string) bool {
		return slices.ContainsFunc(j.Door.Bonds, func(b jobs.Bond) bool { return b.Where == where })
	}
	area := func(l, w calc.Length) calc.Area { return calc.Area(l.MM() * w.MM()) }
	g := &calc.GlueDoor{}
	sh := j.Sheet
	if sh.Head.Bonded && !bonded("head") {
		g.FilmArea += area(sh.Head.Length, sh.Head.Width)
	}
	byPins := sh.Floor.Fixing == jobs.ByPins
	switch {
	case bonded("floor"):
	case sh.Floor.Fixing == jobs.ByBox:
		return nil, say.F("what a box takes is in the adhesive maker's sheet")
	case byPins && !j.Door.Spec.Pinless:
		pin, ok := j.Door.Number("pin_length")
		if !ok {
			return nil, say.F("no pin chosen yet")
		}
		count, _ := j.Door.Number("pin_count")
		hole, _ := j.Door.Number("hole_diameter")
		g.Holes, g.Hole, g.Pin, g.PinDepth = int(count.Value.Value()), hole.Value.Length(), sh.Pins.Diameter, pin.Value.Length()
		g.HoleDepth, g.Point = g.PinDepth+sh.Pins.Allowance, sh.Pins.Point
		g.FilmArea += area(sh.Floor.Length, sh.Floor.Width)
	case byPins || sh.Floor.Bonded:
		g.FilmArea += area(sh.Floor.Length, sh.Floor.Width)
	}
	if g.Holes == 0 && g.FilmArea == 0 {
		return nil, say.Text{}
	}
	return g, say.Text{}
}
