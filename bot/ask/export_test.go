package ask

import (
	"maps"
	"reflect"
	"slices"
	"testing"

	"heelpost/bot/lex"
)

// MaxText is how long a message may be.
const MaxText = maxText

// Understood returns the one reading of a text in its exact form with what
// was corrected or left out, or the sentence that asks back.
func (q *Questions) Understood(text string) string {
	p := &parser{of: q}
	asked, d := p.parse(text, nil)
	if d != nil {
		return "? " + d.say.String()
	}
	s := asked.exact()
	for _, n := range asked.notes {
		s += " (" + n.String() + ")"
	}
	return s
}

// Exactly returns the one reading of a text, or what is asked back. What is
// asked about a number in doubt, whatever it is for, is no failing of it.
func (q *Questions) Exactly(text string) (exact, asked string) {
	p := &parser{of: q}
	got, d := p.parse(text, nil)
	switch {
	case d == nil:
		return got.exact(), ""
	case d.to > d.from:
		return text, ""
	}
	return "", d.say.String()
}

// All returns the questions.
func (q *Questions) All() []*Verb { return q.verbs }

// CheckVocabulary holds the words against each other: every choice is one of an
// input, and a word that says nothing means nothing but to one verb. Every process
// has the same ones.
func (q *Questions) CheckVocabulary(t *testing.T) {
	for range 10 {
		if again := q.words(); !reflect.DeepEqual(again, q.vocabulary) {
			t.Error("the words came out otherwise when they were read once more")
		}
	}
	for _, in := range q.inputs {
		if !slices.ContainsFunc(q.verbs, func(v *Verb) bool { return v.takes(in) }) {
			t.Errorf("no verb takes %s", in.Name)
		}
	}
	for _, w := range append(slices.Clone(fillers), breaks...) {
		if p, size := q.match([]lex.Token{{Kind: lex.WordToken, Word: w}}); size == 1 && (p.verb != nil || len(p.choices) > 0 || slices.ContainsFunc(p.inputs, func(n named) bool { return n.verb == nil })) {
			t.Errorf("%q says nothing and means %s too", w, p.text)
		}
	}
}

// RepeatParse understands a text over and over.
func (q *Questions) RepeatParse(b *testing.B, text string) {
	b.ReportAllocs()
	for b.Loop() {
		p := &parser{of: q}
		if _, d := p.parse(text, nil); d != nil {
			b.Fatal(d.say)
		}
	}
}

// WordLists are the lists of words that say nothing, by name.
var WordLists = map[string][]string{"fillers": fillers, "talk": talk, "everyday": everyday, "careful": careful, "values": values, "harmless": slices.Sorted(maps.Keys(harmless))}
