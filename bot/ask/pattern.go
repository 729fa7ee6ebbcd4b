package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// pattern is a phrase of which one of several may be said at some places, or
// nothing: how {far|much} may head {be|lean|} is six ways of asking. It is matched
// place by place; written out, some patterns are ten thousand phrases.
type pattern struct {
	phrase phrase
	places [][]choice
}

// choice is what may be said at a place, word by word; none: nothing.
type choice []string

// pattern adds one and returns its phrase, which what is said in one of its ways is.
func (v *vocabulary) pattern(text string, where place) *phrase {
	p := &pattern{phrase: phrase{text: text, place: where}}
	for text != "" {
		plain, rest, _ := strings.Cut(text, "{")
		for _, w := range wordsOf(plain) {
			p.places = append(p.places, []choice{{w}})
		}
		if rest == "" {
			break
		}
		choices, after, _ := strings.Cut(rest, "}")
		var here []choice
		for _, c := range strings.Split(choices, "|") {
			if words := wordsOf(c); len(words) > 0 || c == "" { // this stands in no text that is matched
				here = append(here, words)
			}
		}
		p.places, text = append(p.places, here), after
	}
	for _, here := range p.places {
		for _, c := range here {
			for _, w := range c {
				v.known[w] = true
			}
		}
	}
	for _, w := range p.first() {
		at := v.root.step(w)
		at.patterns = append(at.patterns, p)
	}
	return &p.phrase
}

// wordsOf returns the words of a text as they stand in what is matched: no articles, no of.
func wordsOf(text string) choice {
	return slices.DeleteFunc(strings.Fields(text), func(w string) bool { return w == "of" || lex.Articles[w] })
}

// first returns the words with which the pattern may begin.
func (p *pattern) first() (words []string) {
	for _, here := range p.places {
		nothing := false
		for _, c := range here {
			if nothing = nothing || len(c) == 0; len(c) > 0 && !slices.Contains(words, c[0]) {
				words = append(words, c[0])
			}
		}
		if !nothing {
			break
		}
	}
	return words
}

// match returns how many tokens the longest way of saying it takes that they begin
// with, -1 if they begin with none.
func (p *pattern) match(places [][]choice, tokens []lex.Token) int {
	if len(places) == 0 {
		return 0
	}
	longest := -1
	for _, c := range places[0] {
		if !c.begins(tokens) {
			continue
		}
		if n := p.match(places[1:], tokens[len(c):]); n >= 0 {
			longest = max(longest, n+len(c))
		}
	}
	return longest
}

func (c choice) begins(tokens []lex.Token) bool {
	if len(tokens) < len(c) {
		return false
	}
	for i, w := range c {
		if tokens[i].Kind != lex.WordToken || tokens[i].Word != w {
			return false
		}
	}
	return true
}

// of returns the phrase that tokens say in one of a pattern's ways.
func (p *pattern) of(tokens []lex.Token) *phrase {
	ph := p.phrase
	words := make([]string, len(tokens))
	for i := range tokens {
		words[i] = tokens[i].Word
	}
	ph.text = strings.Join(words, " ")
	ph.asking = ph.verb != nil && slices.Contains(askingFirst, words[0])
	return &ph
}
