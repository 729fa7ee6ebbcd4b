package ask

import (
	"strings"

	"heelpost/bot/lex"
	"heelpost/calc"
)

// Origin is where a value came from.
type Origin string

// The origins of a value.
const (
	Asked     Origin = "asked"
	FromDoor  Origin = "door"
	FromSheet Origin = "sheet"
	Assumed   Origin = "assumed"
	Computed  Origin = "computed"
)

// Given is a value that an answer used: a number with a unit, or a word.
type Given struct {
	Name   string
	Length calc.Length
	Angle  calc.Angle
	Word   string
	Number float64
	Unit   string
	Kind   GivenKind
	From   Origin
	Shown  string
}

// GivenKind says which field of a [Given] or [Result] holds the value.
type GivenKind uint8

// The kinds of values.
const (
	LengthValue GivenKind = iota
	AngleValue
	WordValue
	TruthValue
	NumberValue // a mass, a temperature, hours or a count, in Unit
)

// Result is a value that an answer gives.
type Result struct {
	Name   string
	Kind   GivenKind
	Length calc.Dimension
	Angle  calc.Angle
	Truth  bool
	Word   string
	Number float64 // as told
	Exact  float64
	Unit   string
	Shown  string
	Minor  bool // not shown to people, who find it in the working
}

// Answer is what the bot has to say to a question: results, or what it needs
// to know first.
type Answer struct {
	Asked    string // the text it answers
	Verb     string
	Headline string // the result, first and largest
	Inputs   []Given
	Results  []Result
	Checks   []calc.Check
	Working  []string
	Assumed  []string
	Sources  []string
	Cautions []string
	Read     []string // what was corrected or left out
	Notes    []string
	Need     []string // inputs that are missing
	Error    string   // what was not understood or is refused, or what is asked back

	Open   *Open // how a reply completes the question
	inches bool  // it is told in inches
	Talk   bool  // the question may be no more than talk: an everyday word without a value
}

// OK reports whether the question was answered.
func (a *Answer) OK() bool { return a.Error == "" }

// Line is one line of an answer: a label and what it labels. The headline
// has no label.
type Line struct {
	Label string
	Text  string
}

// Lines returns the answer line by line, the result first.
func (a *Answer) Lines() []Line {
	if !a.OK() {
		lines := make([]Line, 0, 2+len(a.Read))
		lines = append(lines, Line{"", a.Error})
		if asked := a.from(Asked); asked != "" {
			lines = append(lines, Line{"asked", asked})
		}
		return appendLines(lines, "read", a.Read)
	}
	lines := make([]Line, 0, 12)
	lines = append(lines, Line{"", a.Headline})
	lines = appendLines(lines, "read", a.Read)
	if others := a.others(); others != "" {
		lines = append(lines, Line{"also", others})
	}
	if asked := a.from(Asked); asked != "" {
		lines = append(lines, Line{"asked", asked})
	}
	for _, o := range [...]Origin{FromDoor, FromSheet, Computed} {
		if from := a.from(o); from != "" {
			lines = append(lines, Line{string(o), from})
		}
	}
	if len(a.Assumed) > 0 {
		lines = append(lines, Line{"assumed", strings.Join(a.Assumed, ", ")})
	}
	lines = appendLines(lines, "working", a.Working)
	lines = append(lines, a.checkLines()...)
	if len(a.Sources) > 0 {
		lines = append(lines, Line{"source", strings.Join(a.Sources, "; ")})
	}
	lines = appendLines(lines, "note", a.Notes)
	return appendLines(lines, "caution", a.Cautions)
}

func appendLines(lines []Line, label string, texts []string) []Line {
	for _, t := range texts {
		lines = append(lines, Line{label, t})
	}
	return lines
}

// others lists the results after the first.
func (a *Answer) others() string {
	var b strings.Builder
	for i := 1; i < len(a.Results); i++ {
		if a.Results[i].Minor {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(" · ")
		}
		writeNamed(&b, a.Results[i].Name, a.Results[i].Shown)
	}
	return b.String()
}

// from lists the inputs that came from somewhere.
func (a *Answer) from(o Origin) string {
	var b strings.Builder
	for i := range a.Inputs {
		if a.Inputs[i].From != o {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(", ")
		}
		if a.Inputs[i].Kind == WordValue {
			b.WriteString(a.Inputs[i].Shown)
			continue
		}
		writeNamed(&b, a.Inputs[i].Name, a.Inputs[i].Shown)
	}
	return b.String()
}

func writeNamed(b *strings.Builder, name, shown string) {
	for i := range len(name) {
		if name[i] == '_' {
			b.WriteByte(' ')
		} else {
			b.WriteByte(name[i])
		}
	}
	b.WriteByte(' ')
	b.WriteString(shown)
}

// checkLines holds the results against published rules, those that are kept
// in one line, those that are not in another.
func (a *Answer) checkLines() []Line {
	var kept, broken []string
	for i := range a.Checks {
		c := &a.Checks[i]
		limit := lex.MmText(c.Limit)
		switch {
		case c.Inches != 0:
			limit += " (" + lex.InchText(c.Inches) + ")"
		case a.inches:
			limit = lex.InchText(c.Limit.Up(InchStep)) + " (" + limit + ")"
		}
		s := c.Name + " " + limit
		if c.Note != "" {
			s += " (" + c.Note + ")"
		}
		if c.OK {
			kept = append(kept, s)
		} else {
			broken = append(broken, s)
		}
	}
	var lines []Line
	if len(kept) > 0 {
		lines = append(lines, Line{"at least", strings.Join(kept, " · ")})
	}
	if len(broken) > 0 {
		lines = append(lines, Line{"less than", strings.Join(broken, " · ")})
	}
	return lines
}

// Text returns the answer as plain text, complete by itself.
func (a *Answer) Text() string {
	var b strings.Builder
	b.Grow(640)
	for i, l := range a.Lines() {
		if i > 0 {
			b.WriteByte('\n')
		}
		if l.Label != "" {
			b.WriteString(l.Label)
			b.WriteString(": ")
		}
		b.WriteString(l.Text)
	}
	return b.String()
}
