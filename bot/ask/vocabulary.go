package ask

import (
	"maps"
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// place is where the number of a name stands.
type place uint8

const (
	eitherSide place = iota
	numberAfter
	numberBefore
)

// phrase is what a run of words means. It may be a verb and name an input
// too: gap is both.
type phrase struct {
	text    string
	verb    *Verb
	leads   *Input  // of a verb: what the number right after it is for
	front   *Input  // of a verb: what the number right before it is for
	inputs  []named // the inputs it can name, the one of a verb's own first
	place   place
	choices []*Choice
	filler  bool
	denies  bool // what comes next is not so
	asking  bool // what comes next is asked for
	open    bool // it asks, and the facts tell what
	what    bool // and by what or which
	parts   bool // stands for a comma
	thing   bool // it is also just what everybody talks of
	loose   bool // it may stand without a number, and never before one
	is      bool // what comes next is a value
	wish    bool // something is wished for
	careful bool // it says nothing only where no number stands beside it
	inward  bool // behind it "60 in" may be 60 mm in from the edge
	along   bool // it may only tell which way a value goes
}

// named is an input that a phrase names, for one verb or, if that is nil,
// for every verb that takes it.
type named struct {
	verb   *Verb
	input  *Input
	claims bool // only where a number stands beside it
}

// node is a step in the tree of phrases, word by word.
type node struct {
	phrase   *phrase
	next     map[string]*node
	patterns []*pattern // that may begin with its word, of a first word
}

// step returns the node behind a word, a new one if need be.
func (n *node) step(word string) *node {
	if n.next == nil {
		n.next = map[string]*node{}
	}
	if n.next[word] == nil {
		n.next[word] = &node{}
	}
	return n.next[word]
}

// vocabulary is every phrase the bot knows, and every single word in them.
type vocabulary struct {
	root  node
	known map[string]bool    // every word
	grave map[string]bool    // words of what changes what is safe
	names map[string]bool    // words that are a name or a verb by themselves
	asks  map[string]bool    // words that are a verb by themselves
	ends  map[*Input]*phrase // what a name asks that ends a text with a mark
	does  *phrase            // by which a number in front of it is asked about: does 8 do
}

// words returns the vocabulary of the questions.
func (q *Questions) words() vocabulary {
	v := vocabulary{known: map[string]bool{}, grave: map[string]bool{}, names: map[string]bool{}, asks: map[string]bool{}}
	for _, in := range q.inputs {
		v.input(in)
	}
	for _, in := range q.inputs {
		for i := range in.Choices {
			v.choice(&in.Choices[i])
		}
	}
	v.ends = map[*Input]*phrase{}
	for _, verb := range q.verbs {
		v.verb(verb)
		if verb.Asks != nil {
			v.ends[verb.Asks] = v.add(verb.typed())
		}
	}
	if p, size := v.match([]lex.Token{{Word: "do"}, {Word: "for"}}); size == 2 && p.front != nil {
		v.does = p
	}
	for _, w := range slices.Concat(fillers, talk, everyday, sayings()) {
		v.add(w).filler = true
	}
	for _, w := range careful {
		p := v.add(w)
		p.filler, p.careful = true, true
	}
	for _, w := range values {
		p := v.add(w)
		p.filler, p.is = true, true
	}
	for _, w := range oughts {
		p := v.add(w)
		p.filler, p.is, p.wish = true, true, true
	}
	for _, w := range wishes {
		p := v.add(w)
		p.filler, p.wish = true, true
	}
	for _, verb := range q.verbs {
		for _, w := range verb.AskedBy {
			if p := v.add(w); p.verb == nil && !p.wish {
				p.filler, p.open = true, true
			}
		}
	}
	for _, w := range lex.Asking {
		p := v.add(w)
		p.filler, p.asking, p.what = true, true, strings.HasPrefix(w, "wh")
	}
	for _, w := range denials {
		v.add(w).denies = true
	}
	for _, w := range lex.Denials {
		v.add(w).denies = true
	}
	for _, w := range breaks {
		v.add(w).parts = true
	}
	return v
}

// input adds the words of an input.
func (v *vocabulary) input(in *Input) {
	if strings.Contains(in.Name, "_") && in.Kind != ChoiceKind && in.Kind != FlagKind {
		v.name(in.Name, nil, in) // the JSON name, as in gap_top=5
	}
	for _, w := range in.Words {
		v.name(w, nil, in)
	}
	for _, w := range in.Loose {
		v.add(w).loose = true
	}
	for _, w := range in.Unsaid {
		v.add(w).filler = true
	}
	for _, w := range in.Inward {
		v.add(w).inward = true
	}
	for _, w := range in.Along {
		v.add("… " + w).along = true
	}
}

// choice adds the words of a choice.
func (v *vocabulary) choice(c *Choice) {
	for _, w := range c.Words {
		p := v.add(w)
		for _, word := range strings.Fields(w) {
			if c.of.Grave && len(word) > 3 {
				v.grave[word] = true
			}
		}
		p.choices = append(p.choices, c)
		if in := c.counts(); in != nil && !c.Named {
			p.inputs = append(p.inputs, named{input: in})
		}
	}
}

// verb adds the words of a verb.
func (v *vocabulary) verb(verb *Verb) {
	own := slices.Concat(slices.Collect(maps.Keys(verb.Leads)), slices.Collect(maps.Keys(verb.Front)), verb.Things)
	for _, w := range slices.Concat(verb.Words, own) { // which may be one way of a pattern only
		p := v.add(w)
		p.verb, p.leads, p.front, p.thing = verb, verb.Leads[w], verb.Front[w], slices.Contains(verb.Things, w)
		first, _, _ := strings.Cut(w, " ")
		p.asking = slices.Contains(askingFirst, first)
		if !strings.Contains(w, " ") {
			v.asks[w], v.names[w] = true, true
		}
	}
	for _, w := range slices.Sorted(maps.Keys(verb.Also)) { // "… of us" and "… us" are one phrase: the first names it
		p := v.add(w)
		p.inputs = append([]named{{verb, verb.Also[w], false}}, p.inputs...)
	}
	for _, w := range verb.Lends {
		v.add("… " + w)
	}
	for _, w := range slices.Sorted(maps.Keys(verb.Claims)) {
		p := v.add(w)
		p.inputs = append([]named{{verb, verb.Claims[w], true}}, p.inputs...)
	}
}

// name lets a phrase name an input.
func (v *vocabulary) name(words string, verb *Verb, in *Input) {
	p := v.add(words)
	p.inputs = append(p.inputs, named{verb: verb, input: in})
	if !strings.Contains(p.text, " ") {
		v.names[p.text] = true
	}
}

// add returns the phrase for the words, a new one if need be, or that of a pattern.
func (v *vocabulary) add(words string) *phrase {
	at, where := &v.root, eitherSide
	if strings.HasPrefix(words, "… ") {
		where, words = numberBefore, strings.TrimPrefix(words, "… ")
	} else if strings.HasSuffix(words, " …") {
		where, words = numberAfter, strings.TrimSuffix(words, " …")
	}
	if strings.Contains(words, "{") {
		return v.pattern(words, where)
	}
	for _, w := range strings.Fields(words) {
		if w == "of" {
			continue // as in every text
		}
		v.known[w] = true
		at = at.step(w)
	}
	if at.phrase == nil {
		at.phrase = &phrase{text: words, place: where}
	}
	return at.phrase
}

// match returns the longest phrase that the tokens begin with, and how many
// of them it takes.
func (v *vocabulary) match(tokens []lex.Token) (found *phrase, size int) {
	at := &v.root
	for i := range tokens {
		if tokens[i].Kind != lex.WordToken {
			break
		}
		at = at.next[tokens[i].Word]
		if at == nil {
			break
		}
		if at.phrase != nil {
			found, size = at.phrase, i+1
		}
	}
	return v.matchPattern(tokens, found, size)
}

// matchPattern returns the phrase of the pattern that takes more tokens than one
// that was found, the one that was found if none does.
func (v *vocabulary) matchPattern(tokens []lex.Token, found *phrase, size int) (*phrase, int) {
	if len(tokens) == 0 || tokens[0].Kind != lex.WordToken || v.root.next[tokens[0].Word] == nil {
		return found, size
	}
	var longest *pattern
	for _, p := range v.root.next[tokens[0].Word].patterns {
		if n := p.match(p.places, tokens); n > size || n == size && longest != nil && n > 0 {
			longest, size = p, n
		}
	}
	if longest == nil {
		return found, size
	}
	return longest.of(tokens[:size]), size
}

// each reports whether the phrase names a list of which every number has its
// name.
func (p *phrase) each() bool {
	return slices.ContainsFunc(p.inputs, func(n named) bool { return n.input.Each })
}

// inputFor returns the input that the phrase names for a verb, nil if the
// verb takes none by that name.
func (p *phrase) inputFor(v *Verb) *Input {
	for _, n := range p.inputs {
		if n.verb == v || n.verb == nil && v.takes(n.input) {
			return n.input
		}
	}
	return nil
}

// claims reports whether the phrase names an input of a verb only where a
// number stands beside it.
func (p *phrase) claims(v *Verb) bool {
	return slices.ContainsFunc(p.inputs, func(n named) bool { return n.verb == v && n.claims })
}

// names reports whether the phrase is a name too.
func (p *phrase) names() bool {
	return slices.ContainsFunc(p.inputs, func(n named) bool { return !n.claims })
}

// isFlag reports whether all that the phrase does is to say that something is so.
func (p *phrase) isFlag() bool {
	return p != nil && p.verb == nil && len(p.choices) > 0 && len(p.inputs) == 0 &&
		!slices.ContainsFunc(p.choices, func(c *Choice) bool { return c.of.Kind != FlagKind })
}

// choosesOnly reports whether all that the phrase does is to choose.
func (p *phrase) choosesOnly() bool {
	return len(p.choices) > 0 && p.verb == nil && len(p.inputs) == 0 && !p.filler
}

// saysNothing reports whether the phrase is a filler, and at most a choice of what a
// question may take.
func (p *phrase) saysNothing() bool { return p.filler && p.verb == nil && len(p.inputs) == 0 }

// isList reports whether all that the phrase does is to name a list.
func (p *phrase) isList() bool {
	return p != nil && p.verb == nil && len(p.inputs) > 0 && !slices.ContainsFunc(p.inputs, func(n named) bool { return !n.input.isList() })
}

// mayChoose reports whether the phrase can make a choice for a verb.
func (p *phrase) mayChoose(v *Verb) bool {
	return slices.ContainsFunc(p.choices, func(c *Choice) bool { return v.takes(c.of) })
}

// choiceFor returns the choice that the phrase makes for a verb, nil if it
// makes none.
func (p *phrase) choiceFor(v *Verb) *Choice {
	for _, c := range p.choices {
		if v.takes(c.of) && !c.Named && c.Before == nil {
			return c
		}
	}
	return nil
}

// danger returns the word that a misspelt one is nearest to of those that change
// what is safe, "" if there is none.
func (v *vocabulary) danger(word string) string {
	if lex.PlainWords[word] || v.grave[word] || v.grave[strings.TrimSuffix(word, "s")] {
		return ""
	}
	return lex.Nearest(word, v.grave, max(lex.SlipsIn(word), min(len(word)/4, 1))) // smok
}

// correct returns the one word of the vocabulary that a misspelt word is
// nearest to, "" if there is none or more than one. Words of five letters or
// more may have one slip, from eight letters two; a verb may have one from
// three letters, if verbs is set. A slip is a letter too many, missing,
// wrong, or two letters changed about.
//
// Only names and verbs are corrected to, and only from words with the same
// first letter: a filler changes nothing, and a choice taken from a slip
// would change the answer without a number to show for it. Common words of
// English are no slips, and a digit never is one: it may be part of a number.
func (v *vocabulary) correct(word string, verbs bool) string {
	dictionary, slips := v.names, lex.SlipsIn(word)
	if slips == 0 && len(word) >= 3 && verbs {
		slips, dictionary = 1, v.asks
	}
	if slips == 0 || lex.PlainWords[word] || lex.ChangesValue(word) {
		return ""
	}
	return lex.NearestOf(word, dictionary, slips, func(w string) bool { return w[0] == word[0] })
}
