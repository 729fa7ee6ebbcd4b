package ask

import (
	"heelpost/bot/draw"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// Origin is where a value came from.
type Origin string

// The origins of a value.
const (
	Asked     Origin = "asked"
	FromDoor  Origin = "door"
	FromSheet Origin = "sheet"
	FromSite  Origin = "site"
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
	Count  int // how many there are of it; 0 where none is said
	Kind   GivenKind
	From   Origin
	Shown  say.Text
	Own    say.Text // what the door has instead
	Quiet  bool     // one of many alike: programs read it
	said   say.Text // how it is said that it was assumed
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
	Shown  say.Text
	Where  say.Text // which edge it is of, in words that need no learning
	Minor  bool     // not shown to people, who find it in the working
	Behind bool     // shown to those who ask why
}

// Answer is what the bot has to say to a question: results, or what it needs
// to know first.
type Answer struct {
	Asked      string // the text it answers
	Verb       string
	Headline   say.Text // the result, first and largest
	Inputs     []Given
	Results    []Result
	Checks     []calc.Check
	KeptBehind bool // checks that are kept are told to those who ask why
	Working    []say.Text
	Steps      []say.Text // those lines of it that a short answer has too
	Assumed    []say.Text
	Sources    []say.Text
	Cautions   []Caution
	Beside     []say.Text // what the first result must not be read without, in its headline
	Mentions   []say.Text // notes that are never left out
	Read       []say.Text // what was corrected or left out
	Notes      []say.Text
	Need       []string // inputs that are missing
	Error      say.Text // what was not understood or is refused, or what is asked back

	Picture *draw.Drawing // what shows it, drawn from its values; nil where none would help

	More []*Answer // to the other questions of the same message

	Open     *Open     // how a reply completes the question
	leads    bool      // it begins with what it asks
	asks     bool      // and by a word that asks
	reads    *question // how it was understood; nil if it was not, or as several lots
	numbers  int       // of a text that was not understood
	by       *phrase   // its verb
	inches   bool      // it is told in inches
	asked    request
	supposes []say.Text      // what was assumed that is no input
	changes  bool            // it changes a value of the question before
	gives    []value         // what another question may take of it
	Followed bool            // it goes on from the question before
	Short    bool            // it is told in a few lines
	Told     map[string]bool // what was explained before, and a short answer leaves out
	Whole    bool            // it was asked why
	Warns    bool            // only its cautions are wanted
	drops    bool            // a question that ends the text stands in it for nothing
	Shrug    bool            // nothing was understood of it, and it has no number
	Talk     bool            // the question may be no more than talk: an everyday word without a value
}

// OK reports whether the question was answered.
func (a *Answer) OK() bool { return a.Error.IsZero() }

// Part is what a line of an answer tells.
type Part string

// The parts of an answer, in the order of its lines. Values come under their
// origin.
const (
	Headline Part = ""
	Read     Part = "read"
	Also     Part = "also"
	Working  Part = "working"
	AtLeast  Part = "at least"
	LessThan Part = "less than"
	Source   Part = "source"
	Note     Part = "note"
	Beware   Part = "caution"
)

// Line is one line of an answer: what it tells, and that. The headline has no
// label.
type Line struct {
	Part  Part
	Label say.Text
	Text  say.Text
}

// labels are the parts as people read them.
var labels = labelled(Read, Also, Part(Asked), Part(FromDoor), Part(FromSheet), Part(FromSite), Part(Computed), Part(Assumed), Working, AtLeast, LessThan, Source, Note, Beware)

func labelled(parts ...Part) map[Part]say.Text {
	all := map[Part]say.Text{}
	for _, p := range parts {
		all[p] = say.Name(string(p))
	}
	return all
}

// Lines returns the answer line by line, the result first.
func (a *Answer) Lines() []Line {
	lines := make([]Line, 0, 12)
	add := func(p Part, texts ...say.Text) {
		for _, t := range texts {
			if !t.IsZero() {
				lines = append(lines, Line{p, labels[p], t})
			}
		}
	}
	if !a.OK() {
		add(Headline, a.Error)
		add(Part(Asked), a.from(Asked))
		add(Read, a.Read...)
		return lines
	}
	if a.Warns {
		for i := range a.Cautions {
			add(Headline, a.Cautions[i].Text)
		}
		return lines
	}
	if a.Short {
		return a.brief()
	}
	add(Headline, a.headline())
	add(Read, a.Read...)
	add(Also, a.others())
	for _, o := range [...]Origin{Asked, FromDoor, FromSheet, FromSite, Computed} {
		add(Part(o), a.from(o))
	}
	add(Part(Assumed), say.List(a.Assumed...))
	add(Working, a.Working...)
	kept, broken := a.checks()
	add(AtLeast, kept)
	add(LessThan, broken)
	add(Source, say.Join("; ", a.Sources...))
	add(Note, a.Mentions...)
	add(Note, a.Notes...)
	for i := range a.Cautions {
		add(Beware, a.Cautions[i].Text)
	}
	return lines
}

// others lists the results after the first.
func (a *Answer) others() say.Text {
	var all []say.Text
	for _, r := range a.Others() {
		all = append(all, a.Named(r))
	}
	return say.Join(" · ", all...)
}

// from lists the inputs that came from somewhere.
func (a *Answer) from(o Origin) say.Text {
	var all []say.Text
	for i := range a.Inputs {
		switch g := &a.Inputs[i]; {
		case g.From != o || g.Quiet:
		case g.Kind == WordValue:
			all = append(all, g.Shown)
		default:
			all = append(all, say.F("%s %s", say.Name(g.Name), g.Shown))
		}
	}
	return say.List(all...)
}

// checks holds the results against published rules: those that are kept, and
// those that are not.
func (a *Answer) checks() (kept, broken say.Text) {
	var yes, no []say.Text
	for i := range a.Checks {
		if a.Checks[i].OK {
			yes = append(yes, a.limit(i))
		} else {
			no = append(no, a.limit(i))
		}
	}
	return say.Join(" · ", yes...), say.Join(" · ", no...)
}

// limit tells a rule and its limit.
func (a *Answer) limit(i int) say.Text {
	c := &a.Checks[i]
	limit := lex.MmText(c.Limit)
	switch {
	case c.Inches != 0:
		limit += " (" + lex.InchText(c.Inches) + ")"
	case a.inches && a.Short:
		limit = lex.InchText(c.Limit.Up(InchStep))
	case a.inches:
		limit = lex.InchText(c.Limit.Up(InchStep)) + " (" + limit + ")"
	}
	if c.Note != "" && a.Short {
		return say.F("%s %s (method unsure)", say.Name(c.Name), limit)
	}
	if c.Note != "" {
		return say.F("%s %s (%s)", say.Name(c.Name), limit, c.Note)
	}
	return say.F("%s %s", say.Name(c.Name), limit)
}

// Text returns the answer as plain text, complete by itself.
func (a *Answer) Text() say.Text {
	lines := a.Lines()
	all := make([]say.Text, len(lines))
	for i, l := range lines {
		all[i] = l.Text
		if !l.Label.IsZero() {
			all[i] = say.F("%s: %s", l.Label, l.Text)
		}
	}
	return say.Lines(all...)
}
