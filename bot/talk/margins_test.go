package talk_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/bot/verb"
	"heelpost/calc"
	"heelpost/jobs"
)

// hungDoor draws a door whose gaps were read, some tenths off what its list wants.
func hungDoor(t *testing.T, rt *rapid.T, site *jobs.Site, sh *jobs.Sheet) *jobs.Job {
	s := anyDoor(rt, sh)
	numbers, err := jobs.SetOut(&s, sh)
	if err != nil {
		rt.Skip(err)
	}
	j := &jobs.Job{Door: jobs.Door{Spec: s, Numbers: numbers, Items: map[string]jobs.ItemState{}}, Sheet: sh, Site: site, At: time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)}
	tenths := func(name string, most int) calc.Length {
		return calc.Length(rapid.IntRange(-most, most).Draw(rt, name)) * calc.Millimetre / 10
	}
	read := func(id, note string, l calc.Length) {
		m := s.Measure(l)
		j.Door.Items[id] = jobs.ItemState{State: jobs.Read, Value: &m, Text: note, At: j.At}
	}
	for _, it := range j.Items() {
		if !slices.Contains([]string{"heel-top", "heel-bottom", "lead-top", "lead-bottom"}, it.ID) {
			continue
		}
		if it.Limits.Most == nil {
			rt.Skip("no gaps")
		}
		read(it.ID, "", max(0, it.Limits.Most.Length()-sh.Acceptance.Gap+tenths(it.ID, 35)))
	}
	off := tenths("plumb", 25).Abs()
	switch rapid.SampledFrom([]string{"unread", "to lead", "to heel", "which way?"}).Draw(rt, "plumb") {
	case "to lead":
		read("plumb", "to lead", off)
	case "to heel":
		read("plumb", "to heel", off)
	case "which way?":
		read("plumb", "", off)
	}
	return j
}

// margin is one of the four readings: what it is, and what the list allows.
type margin struct {
	id, said    string
	heel, top   bool
	read        calc.Length
	limits      jobs.Limits
	least, most calc.Length
}

func marginsOf(j *jobs.Job) (all []margin) {
	for _, it := range j.Items() {
		edge, end, ok := strings.Cut(it.ID, "-")
		if ok && (edge == "heel" || edge == "lead") && (end == "top" || end == "bottom") {
			all = append(all, margin{it.ID, edge + " " + end, edge == "heel", end == "top", it.State.Value.Length(), it.Limits, it.Limits.Least.Length(), it.Limits.Most.Length()})
		}
	}
	return all
}

// after returns what is read after moves, told to a hundredth.
func (m *margin) after(j *jobs.Job, floor, head calc.Length) calc.Length {
	h := float64(j.Door.Spec.Height)
	z := float64(100 * calc.Millimetre)
	if m.top {
		z = h - z
	}
	x := calc.Length(math.Round(float64(floor) + float64(head-floor)*z/h))
	if !m.heel {
		x = -x
	}
	return (m.read + x).Nearest(calc.Millimetre / 100)
}

// What margins suggests at a door, done and read again, is in by its list, or was
// said to stay out; then no moves of a brute grid bring it in. No gap comes below
// what the leaf needs to turn there.
func TestMarginsAtADoor(t *testing.T) {
	sheets := []*jobs.Sheet{}
	for _, name := range []string{"orchard", "quarry"} {
		sh, err := jobs.ParseSheet(read(t, "sheets/"+name+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		sheets = append(sheets, sh)
	}
	site, err := jobs.ParseSite(read(t, "sites/orchard-lane.yaml"), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		j := hungDoor(t, rt, site, rapid.SampledFrom(sheets).Draw(rt, "sheet"))
		a := verb.Questions.Ask("margins", tell.Asked(j))
		if !a.OK() {
			counts["refused"]++
			if !strings.Contains(a.Error.String(), "no move") {
				rt.Fatalf("refused: %s", a.Error)
			}
			return
		}
		moves := map[string]calc.Length{}
		within := false
		need, err := calc.Gap(j.Door.Spec.Turn(), 0, calc.Millimetre)
		if err != nil {
			rt.Fatal(err)
		}
		heel, lead := halfWay(j, marginsOf(j), 0, 0)
		binds := heel < need.HeelGrowth-calc.Millimetre/100 || lead < need.LeadGrowth-calc.Millimetre/100
		if headline := a.Headline.String(); binds && strings.Contains(headline, "all four are in") {
			counts["binds"]++
			if !strings.Contains(headline, "half way up a gap is too small for the leaf to turn") {
				rt.Fatalf("%s, and half way up there are %s and %s", headline, heel, lead)
			}
		}
		for _, r := range a.Results {
			moves[r.Name] = r.Length.SetOut
			within = within || r.Name == "within" && r.Truth
		}
		all := marginsOf(j)
		for _, m := range all {
			now := m.after(j, moves["move_floor"], moves["move_head"])
			told := slices.ContainsFunc(a.Beside, func(b say.Text) bool { return strings.Contains(b.String(), m.said) })
			const hundredths = calc.Millimetre / 50 // both moves are told to one, as is a reading
			if out := m.limits.Judge(j.Door.Spec.Measure(now)) == jobs.Out; out != told && now > m.least+hundredths && now < m.most-hundredths {
				rt.Fatalf("%s: %s by %s is told out: %v", m.id, now, m.limits, told)
			} else if within && (now < m.least-hundredths || now > m.most+hundredths) {
				rt.Fatalf("%s: %s by %s, and all are told to be in", m.id, now, m.limits)
			}
			turns := need.LeadGrowth
			if m.heel {
				turns = need.HeelGrowth
			}
			if now < turns-calc.Millimetre/100 && m.read >= turns {
				rt.Fatalf("%s becomes %s, and the leaf needs %s to turn", m.id, now, turns)
			}
		}
		if within {
			counts["in"]++
			return
		}
		counts["out"]++
		if f, h, ok := bruteIn(j, all, need); ok {
			rt.Fatalf("told that not all come in, and %s at the floor with %s at the head brings them in", f, h)
		}
	})
	if counts["in"] == 0 || counts["out"] == 0 {
		t.Errorf("got %v, want some that come in and some that do not", counts)
	}
	if sum := counts["in"] + counts["out"] + counts["refused"]; sum >= 5000 && (counts["refused"] == 0 || counts["binds"] == 0) {
		t.Errorf("got %v, want some that are refused, and some in by the list that bind half way up", counts)
	}
}

// halfWay returns the gaps half way between the readings after moves: between
// straight jambs the mean of both ends, less what a jamb's middle stands in.
func halfWay(j *jobs.Job, all []margin, floor, head calc.Length) (heel, lead calc.Length) {
	for _, m := range all {
		if now := m.after(j, floor, head); m.heel {
			heel += now / 2
		} else {
			lead += now / 2
		}
	}
	s := &j.Door.Spec
	if s.WidthMiddle == 0 {
		return heel, lead
	}
	both := (s.OpeningWidth+s.WidthTop)/2 - s.WidthMiddle
	if both <= 0 {
		return heel, lead
	}
	if s.BowHeel == nil {
		return heel - both, lead - both
	}
	return heel - max(0, *s.BowHeel), lead - max(0, both-*s.BowHeel)
}

// bruteIn looks for moves of whole tenths that bring all readings well within
// their limits, and leave the leaf room to turn half way up.
func bruteIn(j *jobs.Job, all []margin, need calc.Gaps) (floor, head calc.Length, ok bool) {
	const step, sure = calc.Millimetre / 10, calc.Millimetre / 50
	span := func(at string) calc.Length {
		if a := j.Sheet.Adjuster("across", at); a != nil {
			return a.Range
		}
		return 0
	}
	limit, err := calc.PlumbLimit(j.Door.Spec.Height, j.Sheet.Plumb)
	if err != nil {
		return 0, 0, false
	}
	off, side := calc.Length(0), ""
	if p := j.Door.Items["plumb"]; p.Value != nil {
		off, side = p.Value.Length(), p.Text
	}
	most := map[string][2]calc.Length{"to lead": {-limit - off, limit - off}, "to heel": {-limit + off, limit + off}, "": {-limit + off, limit - off}}[side]
	for floor = -span("floor"); floor <= span("floor"); floor += step {
		for head = -span("head"); head <= span("head"); head += step {
			if head-floor < most[0] || head-floor > most[1] {
				continue
			}
			if !slices.ContainsFunc(all, func(m margin) bool {
				now := m.after(j, floor, head)
				return now < m.least+sure || now > m.most-sure
			}) {
				if heel, lead := halfWay(j, all, floor, head); heel > need.HeelGrowth+sure && lead > need.LeadGrowth+sure {
					return floor, head, true
				}
			}
		}
	}
	return 0, 0, false
}
