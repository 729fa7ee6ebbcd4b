package ask

import (
	"slices"
	"testing"

	"heelpost/bot/lex"
)

// Understood returns the one reading of a text in its exact form with what
// was corrected or left out, or the sentence that asks back.
func Understood(text string) string {
	p := new(parser)
	q, d := p.parse(text, nil)
	if d != nil {
		return "? " + d.say
	}
	s := q.exact()
	for _, n := range q.notes {
		s += " (" + n + ")"
	}
	return s
}

// MaxText is how long a message may be.
const MaxText = maxText

// Exact returns the one reading of a text, or what is asked back. What is
// asked about a number in doubt, whatever it is for, is no failing of it.
func Exact(text string) (exact, asked string) {
	p := new(parser)
	q, d := p.parse(text, nil)
	switch {
	case d == nil:
		return q.exact(), ""
	case d.to > d.from:
		return text, ""
	}
	return "", d.say
}

// Verbs returns the questions.
func Verbs() []Verb { return verbs }

// CheckVocabulary holds the tables against each other.
func CheckVocabulary(t *testing.T) {
	for i := range Inputs {
		in := &Inputs[i]
		taken := slices.ContainsFunc(verbs, func(v Verb) bool { return v.takes(in) })
		if !taken {
			t.Errorf("no verb takes %s", in.Name)
		}
		if in.What == "" || in.Example == "" {
			t.Errorf("%s has no description or no example", in.Name)
		}
	}
	for i := range settings {
		if settings[i].chooses == nil {
			t.Errorf("%q sets %s, which is no input", settings[i].Words[0], settings[i].Name)
		}
	}
	for _, w := range append(slices.Clone(fillers), breaks...) {
		if p, size := Vocab.Match([]lex.Token{{Kind: lex.WordToken, Word: w}}); size == 1 && (p.Verb != nil || len(p.inputs) > 0 || p.set != nil) {
			t.Errorf("%q says nothing and means %s too", w, p.text)
		}
	}
}

// RepeatParse understands a text over and over.
func RepeatParse(b *testing.B, text string) {
	b.ReportAllocs()
	for b.Loop() {
		p := parsers.Get().(*parser)
		if _, d := p.parse(text, nil); d != nil {
			b.Fatal(d.say)
		}
		parsers.Put(p)
	}
}
