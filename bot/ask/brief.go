package ask

import (
	"maps"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/say"
)

// What people are told on a phone is short: the result, how the question was
// understood, what was assumed, and the caution that matters most. All else
// stands behind why.

// Weight is how much a caution matters: the first is told first.
type Weight uint8

// The weights of cautions.
const (
	NotUsable  Weight = iota // something has to be done before the number is used
	Unchecked                // an edge was not looked at
	Tight                    // less than the clearance is left
	OneWayStop               // it holds with a fixed stop only
	Other
	Whole   // it is told to those who ask why
	General // it goes for every answer of its kind: said whole once a day
)

// Caution is what to beware of.
type Caution struct {
	Text   say.Text
	Short  say.Text // the same in a few words; zero for Text
	Name   string   // of a general one
	Weight Weight
}

// AsksWhy is a text that asks for all that stands behind an answer, whatever
// was asked since.
func (a *Answer) AsksWhy() string {
	came := slices.Sorted(maps.Keys(a.asked.came))
	return "why " + strings.Join(append([]string{a.asked.unit}, came...), " ") + ": " + a.asked.text
}

// Why returns the question whose reasons a pressed button asks for; nil if it
// asks for none.
func Why(text string) *Open {
	what, question, ok := strings.Cut(strings.TrimPrefix(text, "why "), ": ")
	if !ok || !strings.HasPrefix(text, "why ") {
		return nil
	}
	unit, names, _ := strings.Cut(what, " ")
	o := &Open{Text: question, Answered: true, Unit: unit}
	for _, name := range strings.Fields(names) {
		o.Came = with(o.Came, name, nil)
	}
	return o
}

// Explains returns the names of the general cautions and the names of edges that an
// answer explains, for it to leave them out next time.
func (a *Answer) Explains() (names []string) {
	for i := range a.Cautions {
		if a.Cautions[i].Weight == General {
			names = append(names, a.Cautions[i].Name)
		}
	}
	for i := range a.Results {
		if r := &a.Results[i]; a.shows(r) && !r.Where.IsZero() {
			names = append(names, r.Name)
		}
	}
	return names
}

// shows reports whether people see a result.
func (a *Answer) shows(r *Result) bool { return !r.Minor && !(a.Short && r.Behind) }

// Others returns the results after the first, as people see them.
func (a *Answer) Others() (all []*Result) {
	for i := range a.Results {
		if r := &a.Results[i]; i > 0 && a.shows(r) {
			all = append(all, r)
		}
	}
	return all
}

// Named is a result under its name, with what edge it is of where that was not
// said.
func (a *Answer) Named(r *Result) say.Text {
	shown := r.Shown
	if a.Short && a.inches && r.Kind == LengthValue {
		shown = say.Plain(alone.ReplaceAllString(shown.String(), ""))
	}
	if r.Where.IsZero() || !a.Short || a.Told[r.Name] {
		return say.F("%s %s", say.Name(r.Name), shown)
	}
	return say.F("%s %s %s", say.Name(r.Name), shown, r.Where)
}

// Caveats returns what a result must not be read without: what stands beside it,
// the verdict of the rules, and what is never left out.
func (a *Answer) Caveats() []say.Text {
	all := append(slices.Clone(a.Beside), a.verdict())
	return slices.DeleteFunc(append(all, a.Mentions...), say.Text.IsZero)
}

// headline returns the result.
func (a *Answer) headline() say.Text {
	head := a.Headline
	if head.IsZero() {
		head = a.Named(&a.Results[0])
	}
	return say.Join(", ", append([]say.Text{head}, a.Beside...)...)
}

// brief returns an answer in a few lines.
func (a *Answer) brief() []Line {
	lines := make([]Line, 0, 10)
	add := func(p Part, labelled bool, texts ...say.Text) {
		for _, t := range texts {
			switch l := (Line{Part: p, Text: t}); {
			case t.IsZero():
			case labelled:
				l.Label = labels[p]
				fallthrough
			default:
				lines = append(lines, l)
			}
		}
	}
	add(Headline, false, a.headline())
	add(Read, true, a.Read...)
	add(Working, false, a.Steps...)
	add(Also, false, a.others())
	add(Part(Asked), false, a.understood())
	if len(a.Checks) == 0 { // else the verdict names the rule
		add(Part(FromSite), true, a.from(FromSite))
	}
	add(Part(Assumed), false, a.supposed())
	add(AtLeast, false, a.verdict())
	add(Note, false, a.Mentions...)
	add(Beware, true, a.firstCaution())
	told := 0
	for i := range a.Cautions {
		switch c := &a.Cautions[i]; {
		case c.Weight < General:
		case a.Told[c.Name]:
			told++
		default:
			add(Beware, true, c.Text)
		}
	}
	if told > 0 {
		add(Beware, false, say.Count(told, "1 caution as before", "%s cautions as before"))
	}
	return lines
}

// firstCaution returns the caution that matters most of those that are this
// answer's own, and how many others there are.
func (a *Answer) firstCaution() say.Text {
	own := slices.DeleteFunc(slices.Clone(a.Cautions), func(c Caution) bool { return c.Weight >= Whole })
	if len(own) == 0 {
		return say.Text{}
	}
	slices.SortStableFunc(own, func(c, d Caution) int { return int(c.Weight) - int(d.Weight) })
	text := own[0].Short
	if text.IsZero() {
		text = own[0].Text
	}
	if len(own) > 1 {
		return say.F("%s (+%s)", text, len(own)-1)
	}
	return text
}

// understood tells what was asked of.
func (a *Answer) understood() say.Text {
	var asked []say.Text
	door := false
	for i := range a.Inputs {
		switch g := &a.Inputs[i]; g.From {
		case Asked:
			if !g.Quiet {
				asked = append(asked, a.few(g))
			}
		case FromDoor, FromSheet:
			door = true
		}
	}
	switch {
	case len(asked) == 0 && !door:
		return say.Text{}
	case len(asked) == 0:
		return say.F("by the door's own values")
	case door:
		return say.F("for %s; else the door's", say.List(asked...))
	}
	return say.F("for %s", say.List(asked...))
}

// workedOut tells what was computed on the way.
func (a *Answer) workedOut() say.Text {
	var all []say.Text
	var worked []*Given
	for i := range a.Inputs {
		if g := &a.Inputs[i]; g.From == Computed {
			all, worked = append(all, a.few(g)), append(worked, g)
		}
	}
	if len(all) > 1 && len(slices.CompactFunc(slices.Clone(worked), func(g, h *Given) bool { return g.Length == h.Length })) == 1 {
		return say.F("gaps %s", beside.ReplaceAllString(worked[0].Shown.String(), ""))
	}
	return say.List(all...)
}

// supposed tells in a few words what was assumed.
func (a *Answer) supposed() say.Text {
	var all []say.Text
	for i := range a.Inputs {
		if g := &a.Inputs[i]; g.From == Assumed && !a.asked.of.named[g.Name].Seen {
			all = append(all, a.few(g))
		}
	}
	all = append(all, a.supposes...)
	switch worked := a.workedOut(); {
	case len(all) == 0 && worked.IsZero():
		return say.Text{}
	case len(all) == 0:
		return say.F("%s worked out", worked)
	case worked.IsZero():
		return say.F("if %s", say.List(all...))
	default:
		return say.F("if %s: %s", say.List(all...), worked)
	}
}

// alone takes out the length in the other unit.
var alone = regexp.MustCompile(` \([^)]*\)`)

// beside is what stands beside a length in inches, and the unit of one in mm:
// those who ask know it.
var beside = regexp.MustCompile(` \([^)]*\)| mm\b`)

// few tells a value in a few words, as people on site say it: 46 thick.
func (a *Answer) few(g *Given) say.Text {
	in := a.asked.of.named[g.Name]
	if in == nil {
		return g.Shown
	}
	if g.Kind == WordValue {
		for i := range in.Choices {
			if in.Choices[i].Value == g.Word {
				return in.Choices[i].said()
			}
		}
		return g.Shown
	}
	figure := g.Shown
	if g.Kind == LengthValue && g.Count == 0 {
		other := beside
		if a.inches { // a bare figure would be one of inches
			other = alone
		}
		figure = say.Plain(other.ReplaceAllString(g.Shown.String(), ""))
	}
	var text say.Text
	switch {
	case in.Nought != "" && g.Kind == LengthValue && g.Length == 0:
		text = say.F(in.Nought)
	case in.Few != "":
		text = say.F(in.Few, figure)
	case g.From == Assumed && g.Kind != LengthValue && !g.said.IsZero():
		text = g.said
	default:
		text = say.F("%s %s", in.Said(), figure)
	}
	if !g.Own.IsZero() {
		return say.F("%s (door %s)", text, strings.TrimSpace(beside.ReplaceAllString(g.Own.String(), "")))
	}
	return text
}

// few tells a reading in a few words, for a button.
func (r *reading) few() say.Text {
	var all []say.Text
	for i := range r.Values {
		switch v := &r.Values[i]; {
		case v.Set != nil:
			all = append(all, v.Set.said())
		case v.Num == nil:
			all = append(all, v.input.Said())
		case v.input.Few != "":
			all = append(all, say.F(v.input.Few, v.Num.Raw))
		default:
			all = append(all, say.F("%s %s", v.input.Said(), v.Num.Raw))
		}
	}
	return say.F("%s: %s", say.Name(r.Verb.Name), say.List(all...))
}

// verdict tells the strictest rule that is kept, and the mildest that is not.
func (a *Answer) verdict() say.Text {
	kept, broken := -1, -1
	for i := range a.Checks {
		c := &a.Checks[i]
		switch {
		case c.OK && (kept < 0 || c.Limit > a.Checks[kept].Limit):
			kept = i
		case !c.OK && (broken < 0 || c.Limit < a.Checks[broken].Limit):
			broken = i
		}
	}
	switch {
	case kept < 0 && broken < 0:
		return say.Text{}
	case kept < 0:
		return say.F("not %s", a.limit(broken))
	case broken < 0 && a.KeptBehind:
		return say.Text{}
	case broken < 0:
		return say.F("keeps %s", a.limit(kept))
	}
	return say.F("keeps %s, not %s", a.limit(kept), a.limit(broken))
}
