package talk_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/bot/ask"
	"heelpost/bot/tell"
	"heelpost/bot/verb"
	"heelpost/calc"
	"heelpost/jobs"
)

// What a door's card says and what the question in its thread says is one
// number, whatever was read of its opening.
func TestCardIsAsAsked(t *testing.T) {
	sheets := map[string]*jobs.Sheet{}
	for _, name := range []string{"orchard", "quarry", "terrace", "harbour"} {
		sh, err := jobs.ParseSheet(read(t, "sheets/"+name+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		sheets[name] = sh
	}
	site, err := jobs.ParseSite(read(t, "sites/orchard-lane.yaml"), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		sh := sheets[rapid.SampledFrom([]string{"orchard", "quarry", "terrace", "harbour"}).Draw(rt, "sheet")]
		s := anyDoor(rt, sh)
		numbers, err := jobs.SetOut(&s, sh)
		if err != nil {
			rt.Skip(err)
		}
		j := &jobs.Job{Door: jobs.Door{Spec: s, Numbers: numbers}, Sheet: sh, Site: site, At: time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)}
		for _, q := range []string{"clear", "plate", "stop depth", "reach", "leaf gap top 5 gap bottom 8"} {
			a := verb.Questions.Ask(q, tell.Asked(j))
			for _, r := range a.Results {
				n, ok := j.Door.Number(r.Name)
				if !ok || !jobs.OnCard(n.Name) || r.Kind != ask.LengthValue { // the leaf to order is another question
					continue
				}
				told[r.Name]++
				if i := slices.IndexFunc(a.Results, func(r ask.Result) bool { return r.Name == "leaf_height" }); r.Name == "top_gap_min" && i >= 0 && a.Results[i].Length.SetOut != s.Height {
					// The leaf to order is of another height than the one there: its corner rises by plane geometry.
					h, t := float64(a.Results[i].Length.SetOut), float64(s.Thickness)
					if least := float64(sh.Floor.Lift) + math.Hypot(h, t) - h; float64(r.Length.SetOut) < least-1 || float64(r.Length.SetOut) >= least+float64(calc.Millimetre)*1.6 {
						rt.Errorf("%s: top gap %s for a leaf of %s, least %.0f nm", q, r.Length.SetOut, a.Results[i].Length.SetOut, least)
					}
					continue
				}
				if r.Length.SetOut != n.Value.Length() {
					rt.Errorf("%s of a door whose card has %s %s: got %s", q, n.Name, n.Value, r.Length.SetOut)
				}
			}
		}
	})
	for _, name := range []string{"clear_width", "plate_centre", "plate_centre_unlined", "plate_centre_far", "stop_depth", "lead_radius", "key_length", "top_gap_min"} {
		if told[name] == 0 {
			t.Errorf("no question told %s", name)
		}
	}
}

// anyDoor draws a door that a sheet allows, with what is read of its opening.
func anyDoor(rt *rapid.T, sh *jobs.Sheet) jobs.Spec {
	mm := func(name string, least, most int) calc.Length {
		return calc.Length(rapid.IntRange(least, most).Draw(rt, name)) * calc.Millimetre
	}
	maybe := func(name string, least, most int) *calc.Length {
		if !rapid.Bool().Draw(rt, "has "+name) {
			return nil
		}
		return new(mm(name, least, most))
	}
	s := jobs.Spec{Site: "orchard-lane", ID: "A-1", Width: mm("width", 800, 1100), Height: mm("height", 2000, 2400),
		Thickness: sh.Leaf.Thickness.Least + mm("thickness", 0, 4), Setback: sh.Leaf.Setback + mm("setback", 0, 300),
		Mass: 88, Floor: rapid.SampledFrom([]string{"screed", "concrete"}).Draw(rt, "floor"), Swing: jobs.BothWays, Status: []string{"none"},
		Inches: rapid.Bool().Draw(rt, "inches"), LeanHeel: maybe("lean heel", -6, 6), LeanLead: maybe("lean lead", -6, 6),
		FloorFall: maybe("floor fall", -4, 4), BowHeel: maybe("bow heel", -2, 2), Sheet: sh.Name}
	s.OpeningWidth = s.Width + mm("gaps", 10, 40)
	s.OpeningHeight = s.Height + mm("over it", 15, 40)
	if rapid.Bool().Draw(rt, "one way") {
		s.Swing, s.Handing, s.SeenFrom, s.StopWidth = jobs.OneWay, "left", "the hall", mm("stop", 0, 15)
	}
	if rapid.Bool().Draw(rt, "read at the top") && s.LeanHeel != nil && s.LeanLead != nil {
		s.WidthTop = s.OpeningWidth - *s.LeanHeel - *s.LeanLead
		s.WidthMiddle = s.OpeningWidth - mm("middle", 0, 3)
	}
	if rapid.Bool().Draw(rt, "lined") {
		s.Lining = mm("lining", 5, 25)
	}
	if rapid.Bool().Draw(rt, "covered") {
		s.Covering = mm("covering", 5, 12)
	}
	if s.HasCover = rapid.Bool().Draw(rt, "cover is read"); s.HasCover {
		s.Cover, s.CoverTo = mm("cover", 60, 200), rapid.SampledFrom([]string{"pipe", "back"}).Draw(rt, "cover to")
	}
	return s
}
