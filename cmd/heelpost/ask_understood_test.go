package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"heelpost/bot"
)

// An understood is what the program made of a text.
type understood struct {
	verb     string
	inputs   inputs
	answered bool     // a number or a help text came, exit status 0
	need     []string // what must be given yet
	said     string   // all that is said beside the text itself, in lower case
}

// inputs are the numbers that were taken from a text, by their names: lengths
// in mm, masses in kg, temperatures in °C, times in h, angles in degrees.
type inputs map[string][]float64

// same tells whether both hold the same names and values. Told values are
// rounded somewhere below a thousandth.
func (a inputs) same(b inputs) bool {
	return maps.EqualFunc(a, b, func(x, y []float64) bool {
		return slices.EqualFunc(x, y, func(p, q float64) bool { return math.Abs(p-q) <= 0.001 })
	})
}

// String writes inputs as the corpus does.
func (a inputs) String() string {
	var words []string
	for _, name := range slices.Sorted(maps.Keys(a)) {
		for _, v := range a[name] {
			words = append(words, name+"="+strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64))
		}
	}
	return strings.Join(words, " ")
}

// String tells in one line what was understood.
func (u understood) String() string {
	if !u.answered {
		return "asks: " + u.said
	}
	return strings.TrimSpace(u.verb + " " + u.inputs.String())
}

// understand asks the program, and reads the answer as any program would that
// is given its JSON.
func understand(t *testing.T, text string) understood {
	t.Helper()
	answer := bot.Ask(text)
	if help, ok := bot.Help(text); ok {
		answer = &bot.Answer{Asked: text, Notes: strings.Split(help, "\n")}
	}
	var buf bytes.Buffer
	if err := writeJSON(&buf, answer); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	var told struct {
		Verb   string
		Inputs []struct {
			Name, From string
			Value      any
		}
		Cautions, Read, Notes, Assumed, Need []string
		Error                                string
	}
	if err := json.Unmarshal(buf.Bytes(), &told); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	u := understood{verb: told.Verb, inputs: inputs{}, answered: told.Error == "" && len(told.Need) == 0, need: told.Need}
	for _, in := range told.Inputs {
		if v, ok := in.Value.(float64); ok && in.From == "asked" {
			u.inputs[in.Name] = append(u.inputs[in.Name], v)
		}
	}
	said := slices.Concat([]string{told.Error}, told.Read, told.Notes, told.Cautions, told.Assumed)
	u.said = strings.TrimSpace(strings.ToLower(strings.Join(said, " ")))
	return u
}
