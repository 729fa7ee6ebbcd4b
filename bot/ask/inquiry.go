package ask

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot/draw"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// Inquiry is a question on its way to an answer. Its methods take the inputs
// one by one and note where each came from.
type Inquiry struct {
	Q    *question
	A    *Answer
	Door map[string]Value // what the door gives; nil in no door's thread
	Log  *Timed           // by times of day; nil if none was given
	Lots []*Inquiry       // where it is of several, one for each: none has a door's values
	said string           // what it goes on with from the question before
	wall func(time.Time) time.Time

	Others func() []SiteDoor // the doors in work at the site; nil where none are known
	id     string            // of the door in whose thread it is asked
}

// OwnDoor returns the id of the door that a question is about which names none: in
// a door's thread it is that one, unless all are said, as glue all.
func (k *Inquiry) OwnDoor(all *Input) string {
	if k.Q.Named(all) != nil || k.SaysAll() {
		return ""
	}
	return k.id
}

// SaysAll reports whether all doors are asked about by the words of the question.
func (k *Inquiry) SaysAll() bool { return k.A.by != nil && strings.HasSuffix(k.A.by.text, " all") }

// SiteDoors returns the doors in work at the site, or the one that the question is
// about.
func (k *Inquiry) SiteDoors(all *Input) []SiteDoor {
	doors, own := k.Others(), k.OwnDoor(all)
	if own == "" {
		return doors
	}
	return slices.DeleteFunc(slices.Clone(doors), func(d SiteDoor) bool { return d.ID != own })
}

// Wall returns the instant at which the clocks at the door's site show what a
// time shows; false in no door's thread, where no change of the clocks is known.
func (k *Inquiry) Wall(t time.Time) (at time.Time, known bool) {
	if k.wall == nil {
		return t, false
	}
	return k.wall(t), true
}

// Values assumed unless said, and always shown.
const (
	assumedStep = 1 * calc.Millimetre
	InchStep    = calc.Inch / 32
)

// Show returns a length in the asker's unit, with mm to a hundredth beside
// inches.
func (k *Inquiry) Show(l calc.Length) string {
	if !k.Q.Inches {
		return lex.MmText(l)
	}
	return l.InInches()
}

// ShowOwn returns a length of the door's: one that was measured in inches is
// told to a hundredth of a millimetre.
func (k *Inquiry) ShowOwn(l calc.Length) string {
	if k.Q.Inches {
		return k.Show(l)
	}
	return l.Short()
}

// Tell returns a length of the door's in the asker's unit alone.
func (k *Inquiry) Tell(l calc.Length) string {
	return alone.ReplaceAllString(k.ShowOwn(l), "")
}

// Figure returns the bare figure of a length in the asker's unit, for a line
// of working: inches as decimals.
func (k *Inquiry) Figure(l calc.Length) string {
	var buf [24]byte
	if k.Q.Inches {
		return string(lex.AppendTrimmed(buf[:0], float64(l)/float64(calc.Inch), 3))
	}
	return string(lex.AppendMM(buf[:0], l))
}

// SetOut returns a dimension for the end of a line of working: the exact
// figure and, if that differs, what it is rounded to, which way.
func (k *Inquiry) SetOut(d calc.Dimension) say.Text {
	text, exact := lex.MmText, d.Exact
	if k.Q.Inches {
		text = lex.InchText
	}
	switch {
	case exact == d.SetOut:
		return say.Plain(text(d.SetOut))
	case exact < d.SetOut:
		return say.F("%s, up to %s", k.Figure(exact), text(d.SetOut))
	}
	return say.F("%s, down to %s", k.Figure(exact), text(d.SetOut))
}

// Measure returns a length as a picture shows it: told in the asker's unit
// alone, as there is no room for two.
func (k *Inquiry) Measure(l calc.Length) draw.Measure {
	if k.Q.Inches {
		return draw.Measure{Length: l, Told: say.Plain(lex.InchText(l))}
	}
	return draw.Measure{Length: l, Told: say.Plain(l.Short())}
}

// Known returns the measure of a length that may not be known: 0 is not.
func (k *Inquiry) Known(l calc.Length) draw.Measure {
	if l == 0 {
		return draw.Measure{}
	}
	return k.Measure(l)
}

// Peek returns a length that was given, by the asker or by the door, and does not
// count as taking it; 0 if none was.
func (k *Inquiry) Peek(in *Input) calc.Length {
	if v := k.Q.Named(in); v != nil && v.Num != nil {
		return v.Num.Length
	}
	return k.Door[in.Name].Length
}

// Draw gives the answer its picture.
func (k *Inquiry) Draw(s draw.Subject) { k.A.Picture = s.Drawing() }

// Has reports whether an input was given, by the asker or by the door.
func (k *Inquiry) Has(in *Input) bool {
	_, ok := k.Door[in.Name]
	return ok || k.Q.Named(in) != nil || in.OfSite && k.Others != nil
}

// Taken reports whether an input was taken already.
func (k *Inquiry) Taken(in *Input) bool {
	return slices.ContainsFunc(k.A.Inputs, func(g Given) bool { return g.Name == in.Name })
}

// Length takes a length that was given; 0 if it was not.
func (k *Inquiry) Length(in *Input) calc.Length {
	v := k.Q.Named(in)
	if v == nil || v.Num == nil {
		return k.fromDoor(in, LengthValue).Length
	}
	own := say.Text{}
	if d, ok := k.Door[in.Name]; ok && d.Length != v.Num.Length {
		own = say.Plain(k.ShowOwn(d.Length))
		k.Note("%s %s is not the door's: that is %s", in.Said(), k.Show(v.Num.Length), k.ShowOwn(d.Length))
	}
	shown := k.Show(v.Num.Length)
	if k.Q.Inches && v.Num.Unit != lex.Bare && !v.Num.InInches() {
		shown = v.Num.Length.MillimetresFirst() // as it was said
	}
	if v.Num.Signed && v.Num.Length > 0 {
		shown = "+" + shown
	}
	if v.Num.Toleranced {
		shown += " ± " + k.Show(v.Num.Tolerance)
	}
	k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Length: v.Num.Length, From: Asked, Shown: say.Plain(shown), Own: own})
	return v.Num.Length
}

// Lengths takes a list that was given.
func (k *Inquiry) Lengths(in *Input) []calc.Length {
	var all []calc.Length
	from := Asked
	if v := k.Q.Named(in); v != nil {
		for _, n := range v.more {
			all = append(all, n.Length)
		}
	} else {
		all, from = k.Door[in.Name].List, k.Door[in.Name].From
	}
	for _, l := range all {
		k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Length: l, From: from, Shown: say.Plain(k.Show(l))})
	}
	return all
}

// Counted takes a counted list that was given, and how many there are of each
// of its lengths; 0 for those that no number is said of.
func (k *Inquiry) Counted(in *Input) (lengths []calc.Length, counts []int) {
	first := len(k.A.Inputs)
	lengths = k.Lengths(in)
	counts = make([]int, len(lengths))
	v := k.Q.Named(in)
	for i := range lengths {
		if v == nil || v.count[i] == nil {
			continue
		}
		counts[i] = int(v.count[i].Plain)
		g := &k.A.Inputs[first+i]
		g.Count, g.Shown = counts[i], say.F("%s × %s", counts[i], g.Shown)
	}
	return lengths, counts
}

// Places returns where in the text the numbers of a list stand.
func (k *Inquiry) Places(in *Input) []int {
	var all []int
	if v := k.Q.Named(in); v != nil {
		for _, n := range v.more {
			all = append(all, n.Start)
		}
	}
	return all
}

// LengthOr takes a length, or assumes one.
func (k *Inquiry) LengthOr(in *Input, otherwise calc.Length) calc.Length {
	if k.Has(in) {
		return k.Length(in)
	}
	shown := say.Plain(k.Show(otherwise))
	if k.Q.Inches {
		shown = say.Plain(otherwise.MillimetresFirst())
	}
	k.Assume(Given{Name: in.Name, Length: otherwise, Shown: shown}, say.F("%s %s", in.Said(), shown))
	return otherwise
}

// Assume notes a value that was assumed, and how that is said.
func (k *Inquiry) Assume(g Given, text say.Text) {
	g.From, g.said = Assumed, text
	k.A.Inputs = append(k.A.Inputs, g)
	k.A.Assumed = append(k.A.Assumed, text)
}

// Suppose notes what was assumed that is no input, in full and in short.
func (k *Inquiry) Suppose(key, short string) {
	k.A.Assumed, k.A.supposes = append(k.A.Assumed, say.F(key)), append(k.A.supposes, say.F(short))
}

// AssumeWord notes a choice that was assumed, and how that is said.
func (k *Inquiry) AssumeWord(in *Input, value, key string, args ...any) {
	k.Assume(Given{Name: in.Name, Kind: WordValue, Word: value, Shown: say.Name(value)}, say.F(key, args...))
}

// Compute notes a value that was computed from others.
func (k *Inquiry) Compute(in *Input, l calc.Length) calc.Length {
	k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Length: l, From: Computed, Shown: say.Plain(k.Show(l))})
	return l
}

// Step takes what results are rounded to.
func (k *Inquiry) Step(in *Input) calc.Length {
	if k.Q.Inches {
		return k.LengthOr(in, InchStep)
	}
	return k.LengthOr(in, assumedStep)
}

// AngleOr takes an angle, or assumes one.
func (k *Inquiry) AngleOr(in *Input, otherwise calc.Angle, key string, args ...any) calc.Angle {
	if !k.Has(in) {
		k.Assume(Given{Name: in.Name, Kind: AngleValue, Angle: otherwise, Shown: say.Plain(lex.DegreeText(otherwise))}, say.F(key, args...))
		return otherwise
	}
	return k.Angle(in)
}

// Angle takes an angle that was given; 0 if it was not.
func (k *Inquiry) Angle(in *Input) calc.Angle {
	v := k.Q.Named(in)
	if v == nil || v.Num == nil {
		return k.fromDoor(in, AngleValue).Angle
	}
	a := calc.Angle(v.Num.Plain)
	k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Kind: AngleValue, Angle: a, From: Asked, Shown: say.Plain(lex.DegreeText(a))})
	return a
}

// Word takes a choice that was made; "" if none was.
func (k *Inquiry) Word(in *Input) string {
	v := k.Q.Named(in)
	if v == nil {
		return k.fromDoor(in, WordValue).Word
	}
	k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Kind: WordValue, Word: v.Set.Value, From: Asked, Shown: v.Set.said()})
	return v.Set.Value
}

// Tolerance returns the tolerance of a length, 0 for none.
func (k *Inquiry) Tolerance(in *Input) calc.Length {
	if v := k.Q.Named(in); v != nil && v.Num != nil {
		return v.Num.Tolerance
	}
	return 0
}

// Result adds a length to the results.
func (k *Inquiry) Result(name string, d calc.Dimension) {
	k.A.Results = append(k.A.Results, Result{Name: name, Length: d, Shown: say.Plain(k.Show(d.SetOut))})
}

// Plain adds a length that is not rounded.
func (k *Inquiry) Plain(name string, l calc.Length) {
	k.Result(name, calc.Dimension{Exact: l, SetOut: l})
}

// Minor adds a length that people find in the working, or have no use for.
func (k *Inquiry) Minor(name string, l calc.Length) {
	k.Plain(name, l)
	k.HideLast()
}

// Give lets another question that follows this one take a length that came of
// it.
func (k *Inquiry) Give(in *Input, l calc.Length) {
	figure := lex.MmText
	if k.Q.Inches {
		figure = lex.InchText
	}
	k.A.gives = append(k.A.gives, value{input: in, Num: &lex.Number{Raw: figure(l), Length: l}})
}

// HideLast leaves the last result to programs: people find it elsewhere.
func (k *Inquiry) HideLast() { k.A.Results[len(k.A.Results)-1].Minor = true }

// Behind leaves the last result to those who ask why.
func (k *Inquiry) Behind() { k.A.Results[len(k.A.Results)-1].Behind = true }

// Where tells which edge the last result is of.
func (k *Inquiry) Where(key string) { k.A.Results[len(k.A.Results)-1].Where = say.F(key) }

// NumberResult adds a number to the results.
func (k *Inquiry) NumberResult(name string, told, exact float64, unit, shown string) {
	k.A.Results = append(k.A.Results, Result{Name: name, Kind: NumberValue, Number: told, Exact: exact, Unit: unit, Shown: say.Plain(shown)})
}

// AddFigure adds a rounded quantity to the results.
func AddFigure[T interface {
	~float64
	fmt.Stringer
}](k *Inquiry, name string, f calc.Figure[T], unit string) {
	k.NumberResult(name, float64(f.Told), float64(f.Exact), unit, f.Told.String())
}

// Degrees adds an angle to the results.
func (k *Inquiry) Degrees(name string, told, exact calc.Angle) {
	shown := lex.DegreeText(told)
	if exact != told && float64(told) == math.Trunc(float64(told)) { // 1.07 rounded to a tenth is 1.0
		shown = strconv.FormatFloat(float64(told), 'f', 1, 64) + "°"
	}
	if told == exact {
		told = exact.Tenth()
	}
	k.A.Results = append(k.A.Results, Result{Name: name, Kind: AngleValue, Angle: exact, Number: float64(told), Shown: say.Plain(shown)})
}

// Truth adds a yes or no to the results.
func (k *Inquiry) Truth(name string, is bool) {
	shown := say.F("no")
	if is {
		shown = say.F("yes")
	}
	k.A.Results = append(k.A.Results, Result{Name: name, Kind: TruthValue, Truth: is, Shown: shown})
}

// Headline sets what is said first, in place of the first result.
func (k *Inquiry) Headline(key string, args ...any) { k.A.Headline = say.F(key, args...) }

// Working adds a line of working.
func (k *Inquiry) Working(key string, args ...any) {
	k.A.Working = append(k.A.Working, say.F(key, args...))
}

// Note adds a note.
func (k *Inquiry) Note(key string, args ...any) { k.A.Notes = append(k.A.Notes, say.F(key, args...)) }

// Source adds a source, unless it is there.
func (k *Inquiry) Source(key string, args ...any) {
	text := say.F(key, args...)
	if !slices.ContainsFunc(k.A.Sources, func(s say.Text) bool { return s.String() == text.String() }) {
		k.A.Sources = append(k.A.Sources, text)
	}
}

// Mention adds a note that a short answer has too.
func (k *Inquiry) Mention(key string, args ...any) {
	k.A.Mentions = append(k.A.Mentions, say.F(key, args...))
}

// General adds a caution that goes for every answer of its kind, unless the
// door's status or checklist has settled it.
func (k *Inquiry) General(name, key string) {
	if _, settled := k.Door[SettledDoor+name]; !settled {
		k.A.Cautions = append(k.A.Cautions, Caution{Text: say.F(key), Name: name, Weight: General})
	}
}

// Caution adds a caution of this answer's own.
func (k *Inquiry) Caution(w Weight, key string, args ...any) {
	k.A.Cautions = append(k.A.Cautions, Caution{Text: say.F(key, args...), Weight: w})
}

// InShort says the last caution in a few words, for a short answer.
func (k *Inquiry) InShort(key string, args ...any) {
	k.A.Cautions[len(k.A.Cautions)-1].Short = say.F(key, args...)
}

// Beside says in the headline what the number must not be read without.
func (k *Inquiry) Beside(key string, args ...any) {
	k.A.Beside = append(k.A.Beside, say.F(key, args...))
}

// Fail says why there is no answer.
func (k *Inquiry) Fail(key string, args ...any) { k.A.Error = say.F(key, args...) }

// Refuse puts an error of calc into the asker's words.
func (k *Inquiry) Refuse(err error) {
	var rng *calc.RangeError
	var need *calc.NeedError
	switch {
	case errors.As(err, &need):
		k.Ask(say.F(string(need.Why)), k.Q.Verb.of.named[need.Name])
	case errors.As(err, &rng):
		k.A.Error = k.sentence(rng)
		if in := k.Q.Verb.of.named[rng.Name]; in != nil && k.Q.Verb.takes(in) && rng.Why == calc.WrongEdge {
			k.A.Need = []string{rng.Name}
		}
	default:
		k.A.Error = say.Of(err)
	}
	k.A.Results, k.A.Picture = nil, nil
}

// sentence says which quantity broke which bound, in the asker's unit.
func (k *Inquiry) sentence(e *calc.RangeError) say.Text {
	text := say.F("%s is %s, but must be %s %s", say.Name(e.Name), k.quantity(e.Value), e.Bound, k.quantity(e.Limit))
	if e.Why != "" {
		text = say.F("%s: %s", text, e.Why)
	}
	return text
}

// quantity returns what a quantity is told as: a figure, or a sentence as of a
// frequency.
func (k *Inquiry) quantity(q calc.Quantity) any {
	switch q := q.(type) {
	case calc.Length:
		return k.Show(q)
	case calc.Angle:
		return lex.DegreeText(q)
	}
	return q
}

// Ask turns the answer into a question for what is missing.
func (k *Inquiry) Ask(why say.Text, need ...*Input) {
	k.A.Need, k.A.Results = nil, nil
	wanted, examples := make([]say.Text, len(need)), make([]say.Text, len(need))
	for i, in := range need {
		k.A.Need = append(k.A.Need, in.Name)
		wanted[i] = say.F("the %s (%s)", in.Said(), say.F(in.What))
		examples[i] = say.Plain(in.Example)
	}
	verb := say.Name(k.Q.Verb.Name)
	if why.IsZero() {
		k.Fail("%s also needs %s; reply with it, for example %s", verb, say.Join(" and ", wanted...), say.Join(" and ", examples...))
	} else {
		k.Fail("%s also needs %s: %s; reply with it, for example %s", verb, say.Join(" and ", wanted...), why, say.Join(" and ", examples...))
	}
}

// Number takes a plain number that was asked, or the door's; 0 if it was not
// given.
func (k *Inquiry) Number(in *Input) float64 {
	given := func(n float64, from Origin) Given {
		return Given{Name: in.Name, Kind: NumberValue, Number: n, Unit: measures[in.Kind].name, From: from, Shown: say.Plain(in.Kind.show(n))}
	}
	v := k.Q.Named(in)
	if v == nil {
		switch d := k.Door[in.Name]; d.From {
		case "":
			return 0
		case Assumed:
			k.Assume(given(d.Number, Assumed), say.F("%s %s, the sheet's lowest, as none was read within a day", in.Said(), in.Kind.show(d.Number)))
			return d.Number
		default:
			k.A.Inputs = append(k.A.Inputs, given(d.Number, d.From))
			return d.Number
		}
	}
	n := v.Num.Plain
	if d := k.Door[in.Name]; d.From != "" && d.From != Assumed && d.Number != n {
		k.Note("%s %s is not the door's: that is %s", in.Said(), in.Kind.show(n), in.Kind.show(d.Number))
	}
	k.A.Inputs = append(k.A.Inputs, given(n, Asked))
	return n
}

// Numbers takes a list of plain numbers that was asked.
func (k *Inquiry) Numbers(in *Input) []float64 {
	var all []float64
	if v := k.Q.Named(in); v != nil {
		for _, n := range v.more {
			all = append(all, n.Plain)
			k.A.Inputs = append(k.A.Inputs, Given{Name: in.Name, Kind: NumberValue, Number: n.Plain, Unit: measures[in.Kind].name, From: Asked, Shown: say.Plain(in.Kind.show(n.Plain))})
		}
	}
	return all
}

// NumberOr takes a plain number, or assumes one.
func (k *Inquiry) NumberOr(in *Input, otherwise float64, key string, args ...any) float64 {
	if k.Has(in) {
		return k.Number(in)
	}
	shown := say.Plain(in.Kind.show(otherwise))
	k.Assume(Given{Name: in.Name, Kind: NumberValue, Number: otherwise, Unit: measures[in.Kind].name, Shown: shown}, say.F(key, args...))
	return otherwise
}

// show tells a value of a kind.
func (k Kind) show(v float64) string { return measures[k].show(v) }

// Missing returns the inputs that were not given.
func (k *Inquiry) Missing(inputs ...*Input) []*Input {
	var need []*Input
	for _, in := range inputs {
		if !k.Has(in) {
			need = append(need, in)
		}
	}
	return need
}
