package ask

import (
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Verb is a question that the bot answers. The verbs drive parsing, help and
// the README alike.
type Verb struct {
	Name     string
	Summary  string            // what it answers: a key
	Words    []string          // phrases that ask it
	Everyday []string          // words of it that people say among themselves without a thought of the bot
	Stated   bool              // its name with a number alone states a value and asks nothing: setback 65
	Things   []string          // words of it that are also just what everybody talks of, as leaf
	Also     map[string]*Input // what phrases name here, and only here
	Leads    map[string]*Input // phrases of words that name the input of the number after them
	Front    map[string]*Input // phrases of words that name the input of the number right before them: does 7 do for
	Wish     *Input            // what it is asked from that another question answers: whoever wishes for that asks it
	Away     map[*Input]*Input // what a name is for where another of the same stands right behind a number of AwayFrom, and it doesn't: cure at 9, 18 h at 21
	AwayFrom Kind
	Asks     *Input              // a name of which asks it where it ends a text with a mark, and no number: opening?
	Turns    *Verb               // the words of which ask this, where what it is asked from is given
	Claims   map[string]*Input   // words of such questions that name an input here, where a number stands beside them
	Frames   []Frame             // what two numbers are for by the words between them
	Lends    []string            // phrases that give their number to the one name of a list that has none: oak 900 wide
	Order    []*Input            // inputs of bare numbers, in their order
	AskedBy  []string            // words that ask it of its facts where no phrase of a verb does: how long; ? for nothing but the mark
	Facts    []*Input            // facts alone offer it only with one of these
	Typed    *Input              // the input of a length that has its unit and no name, right behind the verb
	Need     []*Input            // inputs without which there is no answer
	Instead  map[*Input][]*Input // inputs that serve in place of a needed one
	Takes    []*Input            // every input it takes
	Lots     *Input              // the input that begins another lot of what is alike: 3 doors …, 2 doors …
	Shared   []*Input            // the inputs that hold for all lots
	Timed    *Input              // that a log by times of day stands in for; nil if it takes none
	Box      []*Input            // inputs of three bare numbers joined by x
	Tolerant []*Input            // inputs that take a tolerance
	Wary     bool                // a word left out of it can hurt somebody: it is asked about
	Example  string              // a question as people type it
	Exact    string              // the same with names and =
	Answer   func(*Inquiry)
	Refuses  func(*Inquiry) bool // says why this door has no answer; may be nil

	of *Questions
}

// Frame tells by the words between two numbers what they are for: 20 hours for 20 °C.
type Frame struct {
	First, Second *Input
	Between       []string // as typed, without articles
	If            []string // words of which one must be in the text; none: always
}

// typed returns the verb as a question in its exact form begins.
func (v *Verb) typed() string {
	if slices.Contains(v.Words, v.Name) {
		return v.Name
	}
	return v.Words[0]
}

// takes reports whether the verb takes an input, or a list of such.
func (v *Verb) takes(in *Input) bool {
	return slices.Contains(v.Takes, in) || in.Spread != nil && slices.Contains(v.Takes, in.Spread[0])
}

// Questions are all that the bot answers, with the words they are asked in.
type Questions struct {
	verbs    []*Verb
	inputs   []*Input
	named    map[string]*Input
	everyday map[string]bool
	vocabulary
}

// Chosen returns the keys of the words for what can be chosen by a phrase: they
// stand in no sentence, but in the tables of the inputs.
func (q *Questions) Chosen() (keys []string) {
	for _, in := range q.inputs {
		for i := range in.Choices {
			keys = append(keys, in.Choices[i].key())
		}
	}
	return keys
}

// New returns the questions of verbs. A name that stands for two of them, an
// example that is missing, an input that is needed and not taken are mistakes
// of whoever wrote a verb.
func New(verbs ...*Verb) (*Questions, error) {
	q := &Questions{verbs: verbs, named: map[string]*Input{}, everyday: map[string]bool{}}
	names := map[string]bool{}
	for _, v := range verbs {
		if names[v.Name] || v.Example == "" || v.Exact == "" || v.Summary == "" || v.Answer == nil {
			return nil, fmt.Errorf("question %s stands twice, or lacks its example, summary or answer", v.Name)
		}
		names[v.Name], v.of = true, q
		for _, w := range v.Everyday {
			q.everyday[w] = true
		}
		for _, in := range slices.Concat(v.Takes, v.Order, v.Need, v.Box, v.Tolerant) {
			if !v.takes(in) {
				return nil, fmt.Errorf("question %s uses %s and does not take it", v.Name, in.Name)
			}
			if err := q.take(in); err != nil {
				return nil, err
			}
		}
	}
	q.vocabulary = q.words()
	return q, nil
}

// take adds an input, and those that belong to it.
func (q *Questions) take(in *Input) error {
	switch old := q.named[in.Name]; {
	case old == in:
		return nil
	case old != nil:
		return fmt.Errorf("there are two inputs of the name %s", in.Name)
	case in.What == "" || in.Example == "":
		return fmt.Errorf("input %s has no description or no example", in.Name)
	}
	q.named[in.Name], in.said = in, say.Name(in.Name)
	q.inputs = append(q.inputs, in)
	for i := range in.Choices {
		in.Choices[i].of = in
	}
	return nil
}

// Must returns the questions, and panics where New has an error: the verbs are
// written into the program.
func Must(q *Questions, err error) *Questions {
	if err != nil {
		panic(err)
	}
	return q
}

// Verb finds a verb, nil if there is none of that name.
func (q *Questions) Verb(name string) *Verb {
	i := slices.IndexFunc(q.verbs, func(v *Verb) bool { return v.Name == name })
	if i < 0 {
		return nil
	}
	return q.verbs[i]
}

// isTalk reports whether a phrase without a number may be said among people who want
// no answer of ours: lift, or can you lift it.
func (q *Questions) isTalk(ph *phrase) bool {
	first, _, _ := strings.Cut(ph.text, " ")
	return q.everyday[ph.text] || auxiliaries[first]
}

// auxiliaries are the words by which people ask each other to do something.
var auxiliaries = lex.WordSet("can could may should shall will would is are does do did")

// VerbIn returns the first verb that a text names without giving it a value by
// =, nil if there is none.
func (q *Questions) VerbIn(text string) *Verb {
	tokens := lex.Lex(text, nil)
	for i := 0; i < len(tokens); {
		p, size := q.match(tokens[i:])
		i += max(size, 1)
		if p != nil && p.verb != nil && !(i < len(tokens) && tokens[i].Mark == '=') {
			return p.verb
		}
	}
	return nil
}

// Knows reports whether a word is one of those that questions are asked in.
func (q *Questions) Knows(word string) bool { return q.known[word] }

// Filler returns how many tokens at the front say nothing.
func (q *Questions) Filler(tokens []lex.Token) int {
	if p, size := q.match(tokens); p != nil && p.filler {
		return size
	}
	return 0
}

// Help tells what can be asked, a line each.
func (q *Questions) Help() say.Text {
	lines := []say.Text{say.F("Ask me in your own words, lengths in mm unless you say otherwise:")}
	for _, v := range q.verbs {
		lines = append(lines, say.F("%s: %s", v.Name, say.F(v.Summary)), say.Plain("    "+v.Example))
	}
	return say.Lines(append(lines, say.F("help and one of these words tells more, as in help gap; help door tells about door jobs, help roles who may do what; cancel drops what I asked you back"))...)
}

// HelpWord tells what a word of questions means: a verb and what it takes, or
// an input; it says nothing of other words.
func (q *Questions) HelpWord(word string) say.Text {
	var name, answers say.Text
	p, _ := q.match(lex.Lex(word, nil))
	if in := q.named[word]; in != nil {
		name = in.help()
	} else if p != nil && p.verb == nil && len(p.inputs) > 0 {
		name = p.inputs[0].input.help()
	}
	if v := q.Verb(word); v != nil {
		answers = v.help()
	} else if p != nil && p.verb != nil {
		answers = p.verb.help()
	}
	return say.Lines(name, answers)
}

// help tells what a verb takes.
func (v *Verb) help() say.Text {
	lines := []say.Text{say.F("%s: %s", v.Name, say.F(v.Summary)), say.Plain("    " + v.Example), say.Plain("    " + v.Exact)}
	if len(v.Order) > 0 {
		lines = append(lines, say.F("bare numbers, in order: %s", said(v.Order)))
	}
	if len(v.Need) > 0 {
		lines = append(lines, say.F("needed: %s", said(v.Need)))
	}
	for _, in := range v.Takes {
		if !in.Beside {
			lines = append(lines, in.help())
		}
	}
	return say.Lines(lines...)
}

func (in *Input) help() say.Text {
	return say.F("%s: %s, as in %s", in.Said(), say.F(in.What), in.Example)
}

// said lists the names of inputs.
func said(inputs []*Input) say.Text {
	all := make([]say.Text, len(inputs))
	for i, in := range inputs {
		all[i] = in.Said()
	}
	return say.List(all...)
}

// Reference returns the table of questions for the README, in Markdown.
func (q *Questions) Reference() string {
	var b strings.Builder
	b.WriteString("| question | answers | as typed |\n|---|---|---|\n")
	for _, v := range q.verbs {
		b.WriteString("| " + v.Name + " | " + v.Summary + " | `" + v.Example + "` |\n")
	}
	return b.String()
}
