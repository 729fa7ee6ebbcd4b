package ask

import (
	"heelpost/bot/lex"
)

// kind is what sort of value an input takes.
type kind uint8

const (
	lengthKind kind = iota
	AngleKind
	ChoiceKind // a word out of a few
	FlagKind
	ListKind // several lengths
	MassKind
	WarmthKind
	HoursKind
)

// takes reports whether a number with a unit can be a value of the kind.
func (k kind) takes(u lex.Unit) bool {
	switch u {
	case lex.Bare:
		return true
	case lex.Degrees:
		return k == AngleKind || k == WarmthKind
	case lex.Celsius:
		return k == WarmthKind
	case lex.Kilograms, lex.Pounds:
		return k == MassKind
	case lex.Hours:
		return k == HoursKind
	}
	return k == lengthKind || k == ListKind
}

// kindNames are what values of a kind are called; of others lengths.
var kindNames = map[kind]string{AngleKind: "an angle", MassKind: "a mass", WarmthKind: "a temperature", HoursKind: "a number of hours"}

// Input is a quantity that a question can give.
type Input struct {
	index   int    // in the table
	Name    string // as in JSON
	Kind    kind
	What    string   // what it is, for help and for asking
	Example string   // a value, as typed
	Words   []string // phrases that name it; … marks where the number stands, either side without
	Sized   bool     // the size of an edge's corners
	ByName  bool     // no number is taken for it that does not stand beside its name
	Zero    bool     // it may be 0
	Group   []string // the inputs that numbers joined by x after the name are for
	Spread  []string // of a list: the inputs that its numbers are for, in order
}

// What the questions know, as taught.
var (
	Inputs   []Input
	settings []Setting
	verbs    []Verb
	Vocab    *vocabulary
)

// inputNamed finds an input by its name.
var inputNamed = map[string]*Input{}

// Teach takes the tables of a language.
func Teach(in []Input, set []Setting, v []Verb) bool {
	Inputs = in
	for i := range Inputs {
		Inputs[i].index = i
		inputNamed[Inputs[i].Name] = &Inputs[i]
	}
	settings, verbs = found(set), prepared(v)
	Vocab = newVocabulary()
	return true
}

// Setting is a phrase that chooses a value by itself. If input is set, a
// number beside it is that input's.
type Setting struct {
	Words       []string
	Name, Value string
	Input       string

	chooses, counts *Input // name and input, found
}

// found finds the inputs of settings in the table of inputs.
func found(all []Setting) []Setting {
	for i := range all {
		all[i].chooses, all[i].counts = inputNamed[all[i].Name], inputNamed[all[i].Input]
	}
	return all
}

// fillers are the words that may stand anywhere and say nothing. The list is
// fixed; everything else that is not known is asked about or shown.
var fillers = []string{
	"about", "adhesive", "also", "am", "any", "are", "at", "be", "bot", "by", "calculate", "can", "could", "do", "does", "door", "doors", "edge", "edges",
	"find", "for", "from", "get", "give", "gives", "glue", "go", "goes", "going", "has", "have", "having", "heelpost", "hello", "hey", "hi", "how", "i", "if", "in", "into",
	"is", "it", "just", "know", "it's", "mate", "large", "least", "leaves", "like", "made", "make", "max", "maximum", "me", "min", "minimum", "much", "must", "need", "needed",
	"needs", "now", "ok", "on", "one", "order", "out", "please", "put", "right", "should", "show", "so", "take", "takes", "tell", "thanks", "that",
	"then", "there", "to", "want", "wants", "was", "we", "what", "what's", "whats", "when", "where", "which", "will", "with", "would", "you",
	"big", "size", "measured", "measures", "distance", "between", "using", "only", "exactly", "required", "use", "used", "drilled", "cut", "hung", "hang", "same", "swing", "swings", "whole",
}

// breaks are words that part what stands on either side, as a comma does.
var breaks = []string{"and", "but", "then", "plus"}
