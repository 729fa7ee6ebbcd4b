package ask

import (
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
	text   string
	Verb   *Verb
	leads  *Input  // of a verb: what the number right after it is for
	inputs []named // the inputs it can name, the one of a verb's own first
	place  place
	set    *Setting
	Filler bool
	denies bool // what comes next is not so
	asking bool // what comes next is asked for
	parts  bool // stands for a comma
}

// named is an input that a phrase names, for one verb or, if that is nil,
// for every verb that takes it.
type named struct {
	verb  *Verb
	input *Input
}

// node is a step in the tree of phrases, word by word.
type node struct {
	phrase *phrase
	next   map[string]*node
}

// vocabulary is every phrase the bot knows, and every single word in them.
type vocabulary struct {
	root  node
	Words map[string]bool
	names map[string]bool // words that are a name or a verb by themselves
	verbs map[string]bool // words that are a verb by themselves
}

func newVocabulary() *vocabulary {
	v := &vocabulary{Words: map[string]bool{}, names: map[string]bool{}, verbs: map[string]bool{}}
	for i := range Inputs {
		in := &Inputs[i]
		if strings.Contains(in.Name, "_") && in.Kind != ChoiceKind && in.Kind != FlagKind {
			v.name(in.Name, nil, in) // the JSON name, as in gap_top=5
		}
		for _, w := range in.Words {
			v.name(w, nil, in)
		}
	}
	for i := range settings {
		s := &settings[i]
		for _, w := range s.Words {
			p := v.add(w)
			p.set = s
			if s.counts != nil {
				p.inputs = append(p.inputs, named{nil, s.counts})
			}
		}
	}
	for i := range verbs {
		verb := &verbs[i]
		for _, w := range verb.Words {
			p := v.add(w)
			p.Verb, p.leads = verb, inputNamed[verb.Leads[w]]
			if !strings.Contains(w, " ") {
				v.verbs[w], v.names[w] = true, true
			}
		}
		for w, name := range verb.Also {
			p := v.add(w)
			p.inputs = append([]named{{verb, inputNamed[name]}}, p.inputs...)
		}
	}
	for _, w := range fillers {
		v.add(w).Filler = true
	}
	for _, w := range lex.Asking {
		p := v.add(w)
		p.Filler, p.asking = true, true
	}
	for _, w := range lex.Denials {
		v.add(w).denies = true
	}
	for _, w := range breaks {
		v.add(w).parts = true
	}
	return v
}

// name lets a phrase name an input.
func (v *vocabulary) name(words string, verb *Verb, in *Input) {
	p := v.add(words)
	p.inputs = append(p.inputs, named{verb, in})
	if !strings.Contains(p.text, " ") {
		v.names[p.text] = true
	}
}

// add returns the phrase for the words, a new one if need be.
func (v *vocabulary) add(words string) *phrase {
	at, where := &v.root, eitherSide
	if strings.HasPrefix(words, "… ") {
		where, words = numberBefore, strings.TrimPrefix(words, "… ")
	} else if strings.HasSuffix(words, " …") {
		where, words = numberAfter, strings.TrimSuffix(words, " …")
	}
	for _, w := range strings.Fields(words) {
		v.Words[w] = true
		if at.next == nil {
			at.next = map[string]*node{}
		}
		if at.next[w] == nil {
			at.next[w] = &node{}
		}
		at = at.next[w]
	}
	if at.phrase == nil {
		at.phrase = &phrase{text: words, place: where}
	}
	return at.phrase
}

// Match returns the longest phrase that the tokens begin with, and how many
// of them it takes.
func (v *vocabulary) Match(tokens []lex.Token) (found *phrase, size int) {
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
	return found, size
}

// onlyVerb reports whether the phrase can be nothing but the question asked.
// A leaf is also just what everybody talks of.
func (p *phrase) onlyVerb() bool { return len(p.inputs) == 0 && p.text != "leaf" }

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
