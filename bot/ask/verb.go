package ask

import (
	"strings"
)

// Verb is a question that the bot answers. The table of verbs drives
// parsing, help and the README alike.
type Verb struct {
	Name     string
	Summary  string
	Words    []string            // phrases that ask it
	Also     map[string]string   // what phrases name here, and only here
	Leads    map[string]string   // phrases of words that name the input of the number after them
	Order    []string            // inputs of bare numbers, in their order
	Need     []string            // inputs without which there is no answer
	Instead  map[string][]string // inputs that serve in place of a needed one
	Inputs   []string            // every input it takes
	Box      []string            // inputs of three bare numbers joined by x
	Tolerant map[string]bool     // inputs that take a tolerance
	Example  string              // a question as people type it
	Exact    string              // the same with names and =
	Answer   func(*Inquiry)
	Refuses  func(*Inquiry) bool // says why this door has no answer; may be nil

	took   []bool   // by index of the input: whether it takes it
	places []*Input // order, found
}

// takes reports whether the verb takes an input.
func (v *Verb) takes(in *Input) bool {
	return v.took[in.index]
}

// prepared finds the inputs of the verbs in the table of inputs.
func prepared(verbs []Verb) []Verb {
	for i := range verbs {
		v := &verbs[i]
		v.took = make([]bool, len(Inputs))
		for _, name := range v.Inputs {
			v.took[inputNamed[name].index] = true
		}
		for j := range Inputs {
			if in := &Inputs[j]; in.Spread != nil {
				v.took[j] = v.took[inputNamed[in.Spread[0]].index]
			}
		}
		for _, name := range v.Order {
			v.places = append(v.places, inputNamed[name])
		}
	}
	return verbs
}

// verbNames lists the verbs.
func verbNames() string {
	names := make([]string, len(verbs))
	for i := range verbs {
		names[i] = verbs[i].Name
	}
	return strings.Join(names, ", ")
}
