package survey

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// phrase is what a field is said with: opening height.
type phrase struct {
	words []string
	field *jobs.Field
}

// vocabulary is the words of a description, from the table of fields.
type vocabulary struct {
	phrases []phrase // the longer ones first
	begins  map[string]bool
	values  map[string]bool        // those with a value behind them
	choices map[string]bool        // those that are their own value
	numbers map[string]bool        // those with a number behind them, of one word
	behind  map[string]*jobs.Field // what stands behind its number: 1050 wide, 65 setback
}

var vocab = newVocabulary()

func newVocabulary() *vocabulary {
	v := &vocabulary{begins: lex.WordSet("leaf no not without else gaps"), values: map[string]bool{}, choices: map[string]bool{},
		numbers: map[string]bool{}, behind: map[string]*jobs.Field{}}
	for w := range idleWords {
		v.begins[w] = true
	}
	for i := range jobs.Fields {
		v.add(&jobs.Fields[i])
		v.addGround(&jobs.Fields[i])
	}
	slices.SortStableFunc(v.phrases, func(a, b phrase) int { return len(b.words) - len(a.words) })
	return v
}

func (v *vocabulary) add(f *jobs.Field) {
	for _, text := range f.Words {
		words := strings.Fields(text)
		v.phrases = append(v.phrases, phrase{words, f})
		v.begins[words[0]] = true
		if f.Chooses {
			v.choices[words[0]] = true
		} else {
			v.values[words[0]] = true
		}
		switch f.At(new(jobs.Spec)).(type) {
		case *calc.Length, *calc.Mass:
			if len(words) == 1 {
				v.numbers[text] = true
			}
		}
	}
	for _, w := range f.After {
		v.behind[w] = f
	}
	if _, ok := f.At(new(jobs.Spec)).(*calc.Length); ok && slices.Contains(f.Words, f.Name) && !grouped[f.Name] {
		v.behind[f.Name] = f
	}
}

// addGround adds the words for what lies in a floor: where a question knows UFH or
// hollow core, so does a description. "heated floor timber" names a floor, so what
// begins with heated stays two phrases.
func (v *vocabulary) addGround(f *jobs.Field) {
	words := map[string][]string{"heated": lex.Heating, "tendons": slices.Concat(lex.Tensioned, lex.Hollow)}[f.Name]
	for _, text := range words {
		if !slices.Contains(f.Words, text) && !strings.HasPrefix(text, "heated ") {
			v.phrases = append(v.phrases, phrase{strings.Fields(text), f})
		}
	}
}

// grouped are the fields with more behind their word than one length.
var grouped = lex.WordSet("opening cover")

// with lists the phrases that begin with a word.
func (v *vocabulary) with(word string) say.Text {
	var all []say.Text
	for _, p := range v.phrases {
		if p.words[0] == word {
			all = append(all, say.Plain(strings.Join(p.words, " ")))
		}
	}
	return say.Join(" or ", all...)
}

// at returns the phrase that begins at a token, nil if none does.
func (v *vocabulary) at(tokens []lex.Token, i int) *phrase {
	for p := range v.phrases {
		words := v.phrases[p].words
		if i+len(words) <= len(tokens) && slices.EqualFunc(words, tokens[i:i+len(words)], func(w string, t lex.Token) bool { return t.Kind == lex.WordToken && t.Word == w }) {
			return &v.phrases[p]
		}
	}
	return nil
}
