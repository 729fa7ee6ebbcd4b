package ask

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/lex"
	"heelpost/calc"
)

// Inquiry is a question on its way to an answer. Its methods take the inputs
// one by one and note where each came from.
type Inquiry struct {
	Q    *question
	A    *Answer
	Door map[string]DoorValue // what the door gives; nil in no door's thread
}

// Values assumed unless said, and always shown.
const (
	AssumedClearance = 2 * calc.Millimetre
	assumedStep      = 1 * calc.Millimetre
	AssumedKerf      = 3 * calc.Millimetre
	InchStep         = calc.Inch / 32
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

// Figure returns the bare figure of a length in the asker's unit, for a line
// of working: inches as decimals.
func (k *Inquiry) Figure(l calc.Length) string {
	var buf [24]byte
	if k.Q.Inches {
		return string(lex.AppendTrimmed(buf[:0], float64(l)/float64(calc.Inch), 4))
	}
	return string(lex.AppendMM(buf[:0], l))
}

// SetOut returns a dimension for the end of a line of working: the exact
// figure and, if that differs, what it is rounded to, which way.
func (k *Inquiry) SetOut(d calc.Dimension) string {
	text, exact := lex.MmText, d.Exact
	if k.Q.Inches {
		text = lex.InchText
	}
	switch {
	case exact == d.SetOut:
		return text(d.SetOut)
	case exact < d.SetOut:
		return k.Figure(exact) + ", up to " + text(d.SetOut)
	}
	return k.Figure(exact) + ", down to " + text(d.SetOut)
}

// Has reports whether an input was given, by the asker or by the door.
func (k *Inquiry) Has(name string) bool {
	_, ok := k.Door[name]
	return ok || k.Q.Named(name) != nil
}

// Length takes a length that was given; 0 if it was not.
func (k *Inquiry) Length(name string) calc.Length {
	v := k.Q.Named(name)
	if v == nil || v.Num == nil {
		return k.fromDoor(name, LengthValue).Length
	}
	if d, ok := k.Door[name]; ok && d.Length != v.Num.Length {
		k.Note("%s %s is not the door's: that is %s", lex.Words(name), k.Show(v.Num.Length), k.ShowOwn(d.Length))
	}
	shown := k.Show(v.Num.Length)
	if v.Num.Signed && v.Num.Length > 0 {
		shown = "+" + shown
	}
	if v.Num.Toleranced {
		shown += " ± " + k.Show(v.Num.Tolerance)
	}
	k.A.Inputs = append(k.A.Inputs, Given{Name: name, Length: v.Num.Length, From: Asked, Shown: shown})
	return v.Num.Length
}

// Lengths takes a list that was given.
func (k *Inquiry) Lengths(name string) []calc.Length {
	var all []calc.Length
	from := Asked
	if v := k.Q.Named(name); v != nil {
		for _, n := range v.more {
			all = append(all, n.Length)
		}
	} else {
		all, from = k.Door[name].List, k.Door[name].From
	}
	for _, l := range all {
		k.A.Inputs = append(k.A.Inputs, Given{Name: name, Length: l, From: from, Shown: k.Show(l)})
	}
	return all
}

// LengthOr takes a length, or assumes one.
func (k *Inquiry) LengthOr(name string, otherwise calc.Length) calc.Length {
	if k.Has(name) {
		return k.Length(name)
	}
	k.Assume(Given{Name: name, Length: otherwise, Shown: k.Show(otherwise)}, "")
	return otherwise
}

// Assume notes a value that was assumed; say is how it is said if not by its
// name and value.
func (k *Inquiry) Assume(g Given, say string) {
	g.From = Assumed
	k.A.Inputs = append(k.A.Inputs, g)
	if say == "" {
		say = lex.Words(g.Name) + " " + g.Shown
	}
	k.A.Assumed = append(k.A.Assumed, say)
}

// Compute notes a value that was computed from others.
func (k *Inquiry) Compute(name string, l calc.Length) calc.Length {
	k.A.Inputs = append(k.A.Inputs, Given{Name: name, Length: l, From: Computed, Shown: k.Show(l)})
	return l
}

// Step takes what results are rounded to.
func (k *Inquiry) Step() calc.Length {
	if k.Q.Inches {
		return k.LengthOr("step", InchStep)
	}
	return k.LengthOr("step", assumedStep)
}

// angle takes an angle, or assumes one.
func (k *Inquiry) AngleOr(name string, otherwise calc.Angle, say string) calc.Angle {
	v := k.Q.Named(name)
	if v == nil || v.Num == nil {
		k.Assume(Given{Name: name, Kind: AngleValue, Angle: otherwise, Shown: lex.DegreeText(otherwise)}, say)
		return otherwise
	}
	return k.Angle(name)
}

// Angle takes an angle that was given; 0 if it was not.
func (k *Inquiry) Angle(name string) calc.Angle {
	v := k.Q.Named(name)
	if v == nil || v.Num == nil {
		return k.fromDoor(name, AngleValue).Angle
	}
	a := calc.Angle(v.Num.Plain)
	k.A.Inputs = append(k.A.Inputs, Given{Name: name, Kind: AngleValue, Angle: a, From: Asked, Shown: lex.DegreeText(a)})
	return a
}

// Word takes a choice that was made; "" if none was.
func (k *Inquiry) Word(name string) string {
	v := k.Q.Named(name)
	if v == nil {
		return k.fromDoor(name, WordValue).Word
	}
	k.A.Inputs = append(k.A.Inputs, Given{Name: name, Kind: WordValue, Word: v.Set.Value, From: Asked, Shown: strings.TrimSuffix(v.Set.Words[0], " …")})
	return v.Set.Value
}

// Tolerance returns the tolerance of a length, 0 for none.
func (k *Inquiry) Tolerance(name string) calc.Length {
	if v := k.Q.Named(name); v != nil && v.Num != nil {
		return v.Num.Tolerance
	}
	return 0
}

// Result adds a length to the results.
func (k *Inquiry) Result(name string, d calc.Dimension) {
	k.A.Results = append(k.A.Results, Result{Name: name, Length: d, Shown: k.Show(d.SetOut)})
}

// Plain adds a length that is not rounded.
func (k *Inquiry) Plain(name string, l calc.Length) {
	k.Result(name, calc.Dimension{Exact: l, SetOut: l})
}

// Minor adds a length that people find in the working, or have no use for.
func (k *Inquiry) Minor(name string, l calc.Length) {
	k.Plain(name, l)
	k.A.Results[len(k.A.Results)-1].Minor = true
}

func (k *Inquiry) Working(format string, args ...any) {
	k.A.Working = append(k.A.Working, fmt.Sprintf(format, args...))
}

func (k *Inquiry) Note(format string, args ...any) {
	k.A.Notes = append(k.A.Notes, fmt.Sprintf(format, args...))
}

func (k *Inquiry) Source(s ...string) { k.A.Sources = append(k.A.Sources, s...) }

func (k *Inquiry) Caution(s ...string) { k.A.Cautions = append(k.A.Cautions, s...) }

// Refuse puts an error of calc into the asker's words.
func (k *Inquiry) Refuse(err error) {
	var rng *calc.RangeError
	var need *calc.NeedError
	switch {
	case errors.As(err, &need):
		k.A.Ask(k.Q.Verb, []string{need.Name}, need.Why)
	case errors.As(err, &rng):
		k.A.Error = k.sentence(rng)
		if slices.Contains(k.Q.Verb.Inputs, rng.Name) && rng.Why == calc.WrongEdge {
			k.A.Need = []string{rng.Name}
		}
	default:
		k.A.Error = err.Error()
	}
	k.A.Results = nil
}

// sentence says which quantity broke which bound, in the asker's unit.
func (k *Inquiry) sentence(e *calc.RangeError) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s is %s, but must be %s %s", lex.Words(e.Name), k.quantity(e.Value), e.Bound, k.quantity(e.Limit))
	if e.Why != "" {
		b.WriteString(": " + e.Why)
	}
	return b.String()
}

func (k *Inquiry) quantity(q calc.Quantity) string {
	switch q := q.(type) {
	case calc.Length:
		return k.Show(q)
	case calc.Angle:
		return lex.DegreeText(q)
	}
	return q.String()
}

// Ask turns an answer into a question for what is missing.
func (a *Answer) Ask(v *Verb, need []string, why string) {
	a.Need = need
	var b strings.Builder
	b.WriteString(v.Name + " also needs ")
	examples := make([]string, len(need))
	for i, name := range need {
		in := inputNamed[name]
		if i > 0 {
			b.WriteString(" and ")
		}
		b.WriteString("the " + lex.Words(name) + " (" + in.What + ")")
		examples[i] = in.Example
	}
	if why != "" {
		b.WriteString(": " + why)
	}
	b.WriteString("; reply with it, for example " + strings.Join(examples, " and "))
	a.Error = b.String()
	a.Results = nil
}

// quantityUnits are the units that values of a kind are told in.
var quantityUnits = map[kind]string{MassKind: "kg", WarmthKind: "degC", HoursKind: "h"}

// Number takes a mass, a temperature or hours that were asked, or the door's.
func (k *Inquiry) Number(name string) float64 {
	in := inputNamed[name]
	unit := quantityUnits[in.Kind]
	v := k.Q.Named(name)
	if v == nil {
		switch d := k.Door[name]; d.From {
		case "":
			return 0
		case Assumed:
			k.Assume(Given{Name: name, Kind: NumberValue, Number: d.Number, Unit: unit, Shown: in.Kind.show(d.Number)},
				lex.Words(name)+" "+in.Kind.show(d.Number)+", the sheet's lowest, as none was read within a day")
			return d.Number
		default:
			k.A.Inputs = append(k.A.Inputs, Given{Name: name, Kind: NumberValue, Number: d.Number, Unit: unit, From: d.From, Shown: in.Kind.show(d.Number)})
			return d.Number
		}
	}
	n := v.Num.Plain
	if v.Num.Unit == lex.Pounds {
		n *= float64(calc.Pound)
	}
	if d := k.Door[name]; d.From != "" && d.From != Assumed && d.Number != n {
		k.Note("%s %s is not the door's: that is %s", lex.Words(name), in.Kind.show(n), in.Kind.show(d.Number))
	}
	k.A.Inputs = append(k.A.Inputs, Given{Name: name, Kind: NumberValue, Number: n, Unit: unit, From: Asked, Shown: in.Kind.show(n)})
	return n
}

// show tells a value of a kind.
func (k kind) show(v float64) string {
	switch k {
	case MassKind:
		return calc.Mass(v).String()
	case WarmthKind:
		return calc.Temperature(v).String()
	case HoursKind:
		return calc.Hours(v).String()
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// NumberResult adds a number to the results.
func (k *Inquiry) NumberResult(name string, told, exact float64, unit, shown string) {
	k.A.Results = append(k.A.Results, Result{Name: name, Kind: NumberValue, Number: told, Exact: exact, Unit: unit, Shown: shown})
}

// Missing returns the names that were not given.
func (k *Inquiry) Missing(names ...string) []string {
	var need []string
	for _, name := range names {
		if !k.Has(name) {
			need = append(need, name)
		}
	}
	return need
}
