package ask

import (
	"slices"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A filler says nothing, but some say something where they stand otherwise: a lean
// of 3, out; a hole nearly through. So a direction is asked about where a value has
// a sign, and a word that bears sense is shown as left out.

// directions are the words that tell which way a value goes, where nothing stands
// behind them that they are of: not in the hall.
var directions = lex.WordSet(`in out away back up down left right towards toward forward forwards backward backwards inward inwards outward outwards inside outside`)

// senses are fillers that bear sense; a preposition does where its noun is missing.
var (
	senses       = lex.WordSet(`nearly each both most least per out away through edge edges size about around over between under above`)
	prepositions = lex.WordSet(`about around over between under above through out away`)
)

// trails reports whether nothing stands behind token i in its clause that it may be of.
func (p *parser) trails(i int) bool {
	if i+1 == len(p.tokens) || p.tokens[i+1].Kind != lex.WordToken {
		return i+1 == len(p.tokens) || p.tokens[i+1].Kind == lex.MarkToken
	}
	next := p.tokens[i+1].Word
	return slices.Contains(breaks, next) || next == "from"
}

// swallow keeps the words of a filler at token i that bear sense.
func (p *parser) swallow(i, size int) {
	switch w := p.tokens[i].Word; {
	case size > 1:
	case w == "head" || w == "floor":
		p.places = append(p.places, w)
	case senses[w] && (!prepositions[w] || p.trails(i) || w == "through"):
		p.swallowed = append(p.swallowed, i)
	}
}

// wayward asks about a direction that no phrase has, in a question of a value that
// goes to a side: it may turn its sign.
func (p *parser) wayward(q *question) *doubtful {
	v := slices.IndexFunc(q.Values, func(v value) bool { return v.Num != nil && (v.input.Signed || v.input.Sided) })
	if v < 0 {
		return nil
	}
	for i, t := range p.tokens {
		tag := t.Word == "right" && p.questionMark(i+1)
		it := i > 0 && (p.tokens[i-1].Word == "it" || p.tokens[i-1].Word == "them") // even it out
		if t.Kind != lex.WordToken || !directions[t.Word] || tag || it || !p.trails(i) || p.phrased(q, t.Start) {
			continue
		}
		d := doubt("%q: does that tell which way %s goes? say that with its number, by its sign or its side, or leave the word out", t.Word, q.Values[v].input.Said())
		d.verb, d.from, d.to = q.Verb, t.Start, t.End
		return d
	}
	return nil
}

// phrased reports whether the word at a place belongs to a phrase that says
// something to a question.
func (p *parser) phrased(q *question, at int) bool {
	return slices.ContainsFunc(p.items, func(it item) bool {
		return it.kind == phraseItem && it.from <= at && at < it.to && (it.phrase.verb == q.Verb || it.phrase.inputFor(q.Verb) != nil || it.phrase.choiceFor(q.Verb) != nil)
	})
}

// adds reports whether item i is a plus between a name that has no number and a
// number: thickness plus 6 is none of 6.
func (p *parser) adds(i int) bool {
	it := p.items[i]
	return it.phrase != nil && it.phrase.text == "plus" && i > 0 && i+1 < len(p.items) && p.items[i+1].kind == numberItem &&
		p.items[i-1].kind == phraseItem && len(p.items[i-1].phrase.inputs) > 0 && !p.hasNumber(i-1)
}

// TextBehind returns the text behind the number that was given for an input; "" if none
// was.
func (k *Inquiry) TextBehind(in *Input) string {
	v := k.Q.Named(in)
	if v == nil || v.Num == nil || v.Num.End > len(k.Q.text) {
		return ""
	}
	return k.Q.text[v.Num.End:]
}

// leftUnsaid returns notes of the fillers that bear sense.
func (p *parser) leftUnsaid() (notes []say.Text) {
	for _, i := range p.swallowed {
		notes = append(notes, say.F("%s left out", p.tokens[i].Word))
	}
	return notes
}
