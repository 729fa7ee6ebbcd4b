package tell

import (
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// corners are the readings of the four gaps, and the inputs of questions that they
// are.
var corners = map[string]string{"heel-top": "heel_top", "heel-bottom": "heel_bottom", "lead-top": "lead_top", "lead-bottom": "lead_bottom"}

// marginValues adds what the gaps were read as, what the list wants of each, which
// differs along an edge where a jamb leans, and how the axis stands.
func marginValues(j *jobs.Job, v map[string]ask.Value) {
	s := &j.Door.Spec
	for _, it := range j.Items() {
		input, is := corners[it.ID]
		if !is {
			continue
		}
		if read := it.State.Value; read != nil {
			v[input] = ask.Value{Length: read.Length(), From: ask.FromDoor}
		}
		l := it.Limits
		if l.Least == nil || l.Most == nil {
			if s.JambsIn() != 0 || s.LeanHeel != nil && *s.LeanHeel != 0 || s.LeanLead != nil && *s.LeanLead != 0 {
				v[ask.NotHere+"margins"] = ask.Value{Text: say.F("a jamb of this door leans, so its gaps differ along an edge, and what each has to come to is not known: %s", l.Unknown)}
			}
			continue
		}
		want := l.Most.Length()
		if !s.Tested() { // evidence tells the most
			want -= j.Sheet.Acceptance.Gap
		}
		v[ask.WantedDoor+input] = ask.Value{List: []calc.Length{want, l.Least.Length(), l.Most.Length()}}
	}
	o := s.Opening()
	if read, err := o.Survey(); err == nil && read.Bow > 0 {
		heel, lead := read.Bow, read.Bow // unread, all of it may be in either jamb
		if s.BowHeel != nil {
			heel, lead = max(0, *s.BowHeel), max(0, read.Bow-*s.BowHeel)
		}
		v[ask.BowDoor] = ask.Value{List: []calc.Length{heel, lead}}
	}
	plumbValues(j, v)
}

// plumbValues adds how the axis was read out of plumb, and which way if that was
// said with it.
func plumbValues(j *jobs.Job, v map[string]ask.Value) {
	read := j.Door.Items["plumb"]
	if read.Value == nil {
		return
	}
	v[ask.PlumbDoor] = ask.Value{Length: read.Value.Length(), Text: bot.Instant(read.At, j.Site)}
	said, _, _ := strings.Cut(read.Text, ";") // a remark
	along, across, ok := PlumbSaid(said, j.Door.Spec.Inches)
	if at := plumbSide.FindString(said); at != "" && at == said {
		along, across = towards(at, read.Value.Length())
		ok = true
	}
	if ok || read.Value.Micro == 0 {
		v["head_along"], v["head_across"] = ask.Value{Length: along, From: ask.FromDoor}, ask.Value{Length: across, From: ask.FromDoor}
	}
}

// plumbSide matches a side that the head is read towards.
var plumbSide = regexp.MustCompile(`(?i)^\s*(?:to|towards?)\s+(?:the\s+)?(lead(?:ing)?|heel|opening|other|closing|far)(?:\s+(?:jamb|edge|side|face))?\b`)

// towards returns how far the head stands along and across the wall.
func towards(side string, by calc.Length) (along, across calc.Length) {
	switch strings.ToLower(plumbSide.FindStringSubmatch(side)[1]) {
	case "heel":
		return -by, 0
	case "opening":
		return 0, by
	case "other", "closing", "far":
		return 0, -by
	}
	return by, 0
}

// PlumbSaid reads how far the head stands off the plumb line and to which side, as
// "2 to lead" or "2 to heel, 1 to opening side". It is false for anything else.
func PlumbSaid(text string, inches bool) (along, across calc.Length, ok bool) {
	for text = strings.TrimSpace(text); text != ""; {
		n, is := lex.ScanNumber(text, 0)
		if !is || n.Signed || !lex.LengthUnit(n.Unit) || n.Unitless(inches) || n.Doubt != lex.Certain && !(inches && n.Doubt == lex.WordIn) {
			return 0, 0, false
		}
		side := plumbSide.FindString(text[n.End:])
		if side == "" {
			return 0, 0, false
		}
		x, y := towards(side, n.Length)
		if along != 0 && x != 0 || across != 0 && y != 0 { // 2 to lead and 1 to heel
			return 0, 0, false
		}
		along, across, ok = along+x, across+y, true
		text = strings.TrimLeft(text[n.End+len(side):], " ,;")
		text = strings.TrimPrefix(text, "and ")
	}
	return along, across, ok
}
