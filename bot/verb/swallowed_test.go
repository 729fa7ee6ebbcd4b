package verb_test

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"heelpost/bot/lex"
	"heelpost/bot/verb"
)

// opposites are words near to a name of ours that mean the opposite, or another
// thing: none is put right to it.
var opposites = strings.Fields(`thinnest narrowest smallest thinness sanding fails widen reversal latex joist lagged masked hoses hallway sizes steps stick
	patch punch insert inlet roughing reaming leaks overweight washed tick slides flaps grains winds based bases`)

func TestSlip_anotherMeaning(t *testing.T) {
	for _, w := range opposites {
		if !lex.PlainWords[w] && !verb.Questions.Knows(w) {
			t.Errorf("%s may be taken for a slip", w)
		}
		for _, text := range []string{"gap 44 thick, 65 setback, " + w, "gap " + w + " 44, setback 65"} {
			a := verb.Questions.Ask(text, nil)
			for _, r := range a.Read {
				if strings.HasPrefix(r.String(), w+" as ") {
					t.Errorf("%q: %s", text, r)
				}
			}
		}
	}
}

// exampleTyped matches a question as it stands in the table of them.
var exampleTyped = regexp.MustCompile("(?m)`([^`\n]+)` \\|$")

// turningWords are words that may change what is asked, wherever they stand.
var turningWords = strings.Fields(`each both most least only nearly almost about around out away back towards inwards outwards through hinged edge edges size
	per half double twice triple minus less plus without not never left upside inside outside rough unfinished unlined uneven backwards reversed opposite`)

// unheardWords are those that change nothing where they stand, with the reason; of
// one question alone behind its name.
var unheardWords = map[string]string{
	"only":    "nothing but what is said counts anyway",
	"about":   "what the question is about: beside a number it is asked about, at an end it is shown",
	"around":  "as about",
	"out":     "with a noun behind it is a place; at an end it is shown",
	"away":    "as out",
	"through": "a hole's template stands behind it",
	"plus":    "parts two values as a comma does; between numbers it adds, and is asked about else",

	"leaf both":      "9 at both the sides are 9 at the sides",
	"leaf size":      "the leaf's size is what is told",
	"opening size":   "so is the opening's",
	"life per":       "60 a day are 60 per day",
	"rwl per":        "as of life",
	"setback least":  "the least is what is told",
	"gap least":      "as of setback",
	"load least":     "the engagement's name, which has no number of its own there",
	"thickness most": "the most is what is told",
	"pins least":     "the sheet's embedment is the least",
	"tape outside":   "the tape is as warm as the air outside",
	"sun inside":     "the inner face's name, which has its number beside it",
	"sun outside":    "as inside",
}

// TestTurning_neverInSilence puts each word at each place of each question's
// example: no answer stays as it was without a word on it.
func TestTurning_neverInSilence(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of texts")
	}
	whole := func(text string) (of, told string) {
		a := verb.Questions.Ask(text, nil)
		data, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		if !a.OK() {
			return a.Verb, ""
		}
		asked, _ := json.Marshal(text)
		return a.Verb, strings.Replace(string(data), string(asked), "", 1)
	}
	for _, m := range exampleTyped.FindAllStringSubmatch(verb.Questions.Reference(), -1) {
		example := m[1]
		of, before := whole(example)
		if before == "" {
			continue
		}
		fields := strings.Fields(example)
		for _, w := range turningWords {
			if unheardWords[w] != "" || unheardWords[of+" "+w] != "" {
				continue
			}
			for i := range len(fields) + 1 {
				text := strings.Join(slices.Insert(slices.Clone(fields), i, w), " ")
				if _, after := whole(text); after == before {
					t.Errorf("%q: as without %s, and nothing is said of it", text, w)
				}
			}
		}
	}
}
