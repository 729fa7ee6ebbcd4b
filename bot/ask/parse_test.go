package ask_test

import (
	"encoding/csv"
	"flag"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"heelpost/bot/ask"
	"heelpost/bot/verb"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite golden files")

// TestUnderstood holds what the bot makes of texts, a line each, against
// testdata/understood.csv: the one reading in its exact form and what was
// corrected or left out, or the sentence that asks back. To add a case, add
// its text to the file and run the test with -update.
func TestUnderstood(t *testing.T) {
	const path = "../../testdata/understood.csv"
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(f).ReadAll()
	f.Close()
	if err != nil {
		t.Fatal(err)
	}
	got := [][]string{rows[0]}
	for _, row := range rows[1:] {
		got = append(got, []string{row[0], verb.Questions.Understood(row[0])})
	}
	if *update {
		writeCSV(t, path, got)
		return
	}
	if diff := cmp.Diff(rows, got); diff != "" {
		t.Errorf("understood differently (-file +now):\n%s", diff)
	}
}

func writeCSV(t *testing.T, path string, rows [][]string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := csv.NewWriter(f)
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
}

// Every reading that is offered in testdata/understood.csv is understood as
// itself when its number is the reply.
func TestOffers(t *testing.T) {
	for _, text := range seeds(t) {
		a := verb.Questions.Ask(text, nil)
		if a.Open == nil {
			continue
		}
		for i, offer := range a.Open.Offers {
			exact, ask := verb.Questions.Exactly(offer)
			if ask != "" {
				t.Errorf("%q: offer %d %q is asked back: %s", text, i+1, offer, ask)
			} else if got, want := sortedWords(exact), sortedWords(offer); got != want {
				t.Errorf("%q: offer %d %q is understood as %q", text, i+1, offer, exact)
			}
		}
	}
}

func sortedWords(s string) string {
	words := strings.Fields(s)
	slices.Sort(words)
	return strings.Join(words, " ")
}

// TestExamples checks that every example of the verb table is answered with
// that verb, and that its exact form means the same as itself.
func TestExamples(t *testing.T) {
	for _, v := range verb.Questions.All() {
		for _, text := range []string{v.Example, v.Exact} {
			a := verb.Questions.Ask(text, nil)
			if !a.OK() || a.Verb != v.Name {
				t.Errorf("%q: got verb %s, error %q, want an answer of %s", text, a.Verb, a.Error, v.Name)
			}
		}
		if got, want := verb.Questions.Understood(verb.Questions.Understood(v.Exact)), verb.Questions.Understood(v.Exact); got != want {
			t.Errorf("%q read again: got %q, want %q", v.Exact, got, want)
		}
	}
}

// TestVocabulary checks the tables against each other: every input that a
// verb takes can be said, and its example is understood.
func TestVocabulary(t *testing.T) { verb.Questions.CheckVocabulary(t) }

// A word that says nothing stands in one list: what holds of it is said once.
func TestWordLists(t *testing.T) {
	in := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(ask.WordLists)) {
		for _, w := range ask.WordLists[name] {
			if in[w] != "" {
				t.Errorf("%q stands in %s and in %s", w, in[w], name)
			}
			in[w] = name
		}
	}
}
