package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/calc"
)

// inquiry is a question on its way to an answer. Its methods take the inputs
// one by one and note where each came from.
type inquiry struct {
	q    *question
	a    *Answer
	door map[string]doorValue // what the door gives; nil in no door's thread
}

// Values assumed unless said, and always shown.
const (
	assumedClearance = 2 * calc.Millimetre
	assumedStep      = 1 * calc.Millimetre
	assumedKerf      = 3 * calc.Millimetre
	inchStep         = calc.Inch / 32
)

// show returns a length in the asker's unit, with mm to a hundredth beside
// inches.
func (k *inquiry) show(l calc.Length) string {
	if !k.q.inches {
		return mmText(l)
	}
	return l.InInches()
}

// showOwn returns a length of the door's: one that was measured in inches is
// told to a hundredth of a millimetre.
func (k *inquiry) showOwn(l calc.Length) string {
	if k.q.inches {
		return k.show(l)
	}
	return l.Short()
}

// figure returns the bare figure of a length in the asker's unit, for a line
// of working: inches as decimals.
func (k *inquiry) figure(l calc.Length) string {
	var buf [24]byte
	if k.q.inches {
		return string(appendTrimmed(buf[:0], float64(l)/float64(calc.Inch), 4))
	}
	return string(appendMM(buf[:0], l))
}

// setOut returns a dimension for the end of a line of working: the exact
// figure and, if that differs, what it is rounded to, which way.
func (k *inquiry) setOut(d calc.Dimension) string {
	text, exact := mmText, d.Exact
	if k.q.inches {
		text = inchText
	}
	switch {
	case exact == d.SetOut:
		return text(d.SetOut)
	case exact < d.SetOut:
		return k.figure(exact) + ", up to " + text(d.SetOut)
	}
	return k.figure(exact) + ", down to " + text(d.SetOut)
}

// has reports whether an input was given, by the asker or by the door.
func (k *inquiry) has(name string) bool {
	_, ok := k.door[name]
	return ok || k.q.named(name) != nil
}

// length takes a length that was given; 0 if it was not.
func (k *inquiry) length(name string) calc.Length {
	v := k.q.named(name)
	if v == nil || v.num == nil {
		return k.fromDoor(name, LengthValue).length
	}
	if d, ok := k.door[name]; ok && d.length != v.num.length {
		k.note("%s %s is not the door's: that is %s", words(name), k.show(v.num.length), k.showOwn(d.length))
	}
	shown := k.show(v.num.length)
	if v.num.signed && v.num.length > 0 {
		shown = "+" + shown
	}
	if v.num.toleranced {
		shown += " ± " + k.show(v.num.tolerance)
	}
	k.a.Inputs = append(k.a.Inputs, Given{Name: name, Length: v.num.length, From: Asked, Shown: shown})
	return v.num.length
}

// lengths takes a list that was given.
func (k *inquiry) lengths(name string) []calc.Length {
	var all []calc.Length
	from := Asked
	if v := k.q.named(name); v != nil {
		for _, n := range v.more {
			all = append(all, n.length)
		}
	} else {
		all, from = k.door[name].list, k.door[name].from
	}
	for _, l := range all {
		k.a.Inputs = append(k.a.Inputs, Given{Name: name, Length: l, From: from, Shown: k.show(l)})
	}
	return all
}

// lengthOr takes a length, or assumes one.
func (k *inquiry) lengthOr(name string, otherwise calc.Length) calc.Length {
	if k.has(name) {
		return k.length(name)
	}
	k.assume(Given{Name: name, Length: otherwise, Shown: k.show(otherwise)}, "")
	return otherwise
}

// assume notes a value that was assumed; say is how it is said if not by its
// name and value.
func (k *inquiry) assume(g Given, say string) {
	g.From = Assumed
	k.a.Inputs = append(k.a.Inputs, g)
	if say == "" {
		say = words(g.Name) + " " + g.Shown
	}
	k.a.Assumed = append(k.a.Assumed, say)
}

// compute notes a value that was computed from others.
func (k *inquiry) compute(name string, l calc.Length) calc.Length {
	k.a.Inputs = append(k.a.Inputs, Given{Name: name, Length: l, From: Computed, Shown: k.show(l)})
	return l
}

// step takes what results are rounded to.
func (k *inquiry) step() calc.Length {
	if k.q.inches {
		return k.lengthOr("step", inchStep)
	}
	return k.lengthOr("step", assumedStep)
}

// angle takes an angle, or assumes one.
func (k *inquiry) angleOr(name string, otherwise calc.Angle, say string) calc.Angle {
	v := k.q.named(name)
	if v == nil || v.num == nil {
		k.assume(Given{Name: name, Kind: AngleValue, Angle: otherwise, Shown: degreeText(otherwise)}, say)
		return otherwise
	}
	return k.angle(name)
}

// angle takes an angle that was given; 0 if it was not.
func (k *inquiry) angle(name string) calc.Angle {
	v := k.q.named(name)
	if v == nil || v.num == nil {
		return k.fromDoor(name, AngleValue).angle
	}
	a := calc.Angle(v.num.plain)
	k.a.Inputs = append(k.a.Inputs, Given{Name: name, Kind: AngleValue, Angle: a, From: Asked, Shown: degreeText(a)})
	return a
}

// word takes a choice that was made; "" if none was.
func (k *inquiry) word(name string) string {
	v := k.q.named(name)
	if v == nil {
		return k.fromDoor(name, WordValue).word
	}
	k.a.Inputs = append(k.a.Inputs, Given{Name: name, Kind: WordValue, Word: v.set.value, From: Asked, Shown: strings.TrimSuffix(v.set.words[0], " …")})
	return v.set.value
}

// tolerance returns the tolerance of a length, 0 for none.
func (k *inquiry) tolerance(name string) calc.Length {
	if v := k.q.named(name); v != nil && v.num != nil {
		return v.num.tolerance
	}
	return 0
}

// result adds a length to the results.
func (k *inquiry) result(name string, d calc.Dimension) {
	k.a.Results = append(k.a.Results, Result{Name: name, Length: d, Shown: k.show(d.SetOut)})
}

// plain adds a length that is not rounded.
func (k *inquiry) plain(name string, l calc.Length) {
	k.result(name, calc.Dimension{Exact: l, SetOut: l})
}

// minor adds a length that people find in the working, or have no use for.
func (k *inquiry) minor(name string, l calc.Length) {
	k.plain(name, l)
	k.a.Results[len(k.a.Results)-1].Minor = true
}

func (k *inquiry) working(format string, args ...any) {
	k.a.Working = append(k.a.Working, fmt.Sprintf(format, args...))
}

func (k *inquiry) note(format string, args ...any) {
	k.a.Notes = append(k.a.Notes, fmt.Sprintf(format, args...))
}

func (k *inquiry) source(s ...string)  { k.a.Sources = append(k.a.Sources, s...) }
func (k *inquiry) caution(s ...string) { k.a.Cautions = append(k.a.Cautions, s...) }

// turn takes what the gap calculations share. The setback, thickness and
// width are taken by the caller.
func (k *inquiry) turn() calc.Turn {
	t := calc.Turn{Angle: calc.RightAngle}
	switch {
	case !k.has("swing"):
		k.assume(Given{Name: "swing", Kind: WordValue, Word: "both", Shown: "both"}, "swings both ways")
	case k.word("swing") == "one":
		t.Swing = calc.OneWay
		k.note("one way counts only where a fixed stop prevents the other")
	}
	if k.has("angle") {
		t.Angle = k.angle("angle")
	}
	t.Offset = k.offset()
	t.Heel, t.Lead = k.edges()
	return t
}

// offset takes the offset and its side: the sign, or the word for it.
func (k *inquiry) offset() calc.Offset {
	v := k.q.named("offset")
	if v == nil {
		k.assume(Given{Name: "offset", Shown: k.show(0)}, "pivot axis on the mid-plane")
		return calc.Offset{Signed: true}
	}
	o := calc.Offset{E: k.length("offset"), Signed: v.num.signed}
	switch k.word("offset_side") {
	case "towards":
		o.E, o.Signed = -o.E, true
	case "away":
		o.Signed = true
	}
	if !o.Signed && o.E != 0 {
		k.note("the side of the offset is not known: the worse one is taken; + is away from the face it opens towards")
	}
	return o
}

// edges takes the forms of the edges.
func (k *inquiry) edges() (heel, lead calc.Edge) {
	heel, saidBoth := k.edge("edge")
	lead, saidHeel, saidLead := heel, saidBoth, saidBoth
	if k.has("edge_heel") {
		heel, saidHeel = k.edge("edge_heel")
	}
	if k.has("edge_lead") {
		lead, saidLead = k.edge("edge_lead")
	}
	switch {
	case !saidHeel && !saidLead:
		k.assume(Given{Name: "edge", Kind: WordValue, Word: "square", Shown: "square"}, "square edges")
	case !saidHeel:
		k.assume(Given{Name: "edge_heel", Kind: WordValue, Word: "square", Shown: "square"}, "heel edge square")
	case !saidLead:
		k.assume(Given{Name: "edge_lead", Kind: WordValue, Word: "square", Shown: "square"}, "leading edge square")
	}
	return heel, lead
}

// edge takes the form of one edge, or of both.
func (k *inquiry) edge(name string) (calc.Edge, bool) {
	if !k.has(name) {
		return calc.Edge{}, false
	}
	switch k.word(name) {
	case "chamfered":
		return calc.Edge{Form: calc.Chamfered, Size: k.length(name + "_size")}, true
	case "rounded":
		return calc.Edge{Form: calc.Rounded, Size: k.length(name + "_size")}, true
	}
	return calc.Edge{}, true
}

// edgeUnclear asks about an edge whose form or size was not said.
func (k *inquiry) edgeUnclear() bool {
	for _, name := range [...]string{"edge", "edge_heel", "edge_lead"} {
		form, size := k.q.named(name), k.has(name+"_size")
		switch {
		case form == nil && size:
			k.a.Error = "is the " + words(name) + " chamfered or rounded? say chamfer or round before its size"
			return true
		case form != nil && form.set.value == "square" && size:
			k.a.Error = "a square edge has no size: is it chamfered or rounded?"
			return true
		case form != nil && form.set.value != "square" && !size:
			k.a.ask(k.q.verb, []string{name + "_size"}, "the edge is "+form.set.value)
			return true
		}
	}
	return false
}

// refuse puts an error of calc into the asker's words.
func (k *inquiry) refuse(err error) {
	var rng *calc.RangeError
	var need *calc.NeedError
	switch {
	case errors.As(err, &need):
		k.a.ask(k.q.verb, []string{need.Name}, need.Why)
	case errors.As(err, &rng):
		k.a.Error = k.sentence(rng)
		if slices.Contains(k.q.verb.inputs, rng.Name) && rng.Why == calc.WrongEdge {
			k.a.Need = []string{rng.Name}
		}
	default:
		k.a.Error = err.Error()
	}
	k.a.Results = nil
}

// sentence says which quantity broke which bound, in the asker's unit.
func (k *inquiry) sentence(e *calc.RangeError) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s is %s, but must be %s %s", words(e.Name), k.quantity(e.Value), e.Bound, k.quantity(e.Limit))
	if e.Why != "" {
		b.WriteString(": " + e.Why)
	}
	return b.String()
}

func (k *inquiry) quantity(q calc.Quantity) string {
	switch q := q.(type) {
	case calc.Length:
		return k.show(q)
	case calc.Angle:
		return degreeText(q)
	}
	return q.String()
}

// ask turns an answer into a question for what is missing.
func (a *Answer) ask(v *verb, need []string, why string) {
	a.Need = need
	var b strings.Builder
	b.WriteString(v.name + " also needs ")
	examples := make([]string, len(need))
	for i, name := range need {
		in := inputNamed[name]
		if i > 0 {
			b.WriteString(" and ")
		}
		b.WriteString("the " + words(name) + " (" + in.what + ")")
		examples[i] = in.example
	}
	if why != "" {
		b.WriteString(": " + why)
	}
	b.WriteString("; reply with it, for example " + strings.Join(examples, " and "))
	a.Error = b.String()
	a.Results = nil
}
