package calc_test

import (
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"heelpost/calc"
)

var outside = flag.String("outside", "", "file to write doors and what they need to, for .ci/outside/swept.mjs")

// turned is a leaf with its growth and its clear opening, in mm and degrees. An
// edge is cut off by Chamfer at 45° on both corners, 0 for a square one.
type turned struct {
	Thickness, Setback, Width, Offset, Chamfer, Angle float64
	HeelGrowth, LeadGrowth                            float64 // swung both ways, to the angle
	Opening, GapHeel, StopWidth, Handle               float64
	Clear, HeelSide, LeadRadius, HeelRadius           float64
}

// TestOutside writes several hundred leaves and what they need to turn, to be
// held against a general library that cuts polygons.
func TestOutside(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	draw := func(from, to float64) calc.Length {
		return calc.MM(math.Round((from+random.Float64()*(to-from))*10) / 10)
	}
	var doors []turned
	for len(doors) < 400 {
		l := calc.Turn{Thickness: draw(30, 120), Setback: draw(20, 400), Width: draw(820, 1900), Angle: calc.Angle(random.IntN(90) + 1),
			Offset: calc.Offset{E: draw(-15, 15), Signed: true}}
		if random.IntN(3) == 0 {
			l.Angle = calc.RightAngle
		}
		edge := calc.Edge{}
		if random.IntN(2) == 0 {
			edge = calc.Edge{Form: calc.Chamfered, Size: draw(1, 12)}
		}
		l.Heel, l.Lead = edge, edge
		g, err := calc.Gap(l, 2*mm, mm)
		if err != nil {
			continue
		}
		in := calc.ClearInput{Turn: l, GapHeel: g.HeelGap.SetOut, GapLead: g.LeadGap.SetOut, StopWidth: draw(0, 30), Handle: draw(0, 70), Step: mm}
		in.Opening = l.Width + in.GapHeel + in.GapLead
		c, err := calc.Clear(in)
		if err != nil {
			continue
		}
		doors = append(doors, turned{l.Thickness.MM(), l.Setback.MM(), l.Width.MM(), l.Offset.E.MM(), edge.Size.MM(), float64(l.Angle),
			g.HeelGrowth.MM(), g.LeadGrowth.MM(), in.Opening.MM(), in.GapHeel.MM(), in.StopWidth.MM(), in.Handle.MM(),
			c.Clear.Exact.MM(), c.HeelSide.Exact.MM(), c.LeadRadius.Exact.MM(), c.HeelRadius.Exact.MM()})
	}
	if *outside == "" {
		return
	}
	data, err := json.Marshal(doors)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*outside, data, 0o666); err != nil {
		t.Fatal(err)
	}
}
