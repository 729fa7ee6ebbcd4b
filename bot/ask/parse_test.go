package ask_test

import (
	"encoding/csv"
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"heelpost/bot/ask"
	"heelpost/bot/talk"

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
		got = append(got, []string{row[0], ask.Understood(row[0])})
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
		a := talk.Ask(text)
		if a.Open == nil {
			continue
		}
		for i, offer := range a.Open.Offers {
			exact, ask := ask.Exact(offer)
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
	for _, v := range ask.Verbs() {
		for _, text := range []string{v.Example, v.Exact} {
			a := talk.Ask(text)
			if !a.OK() || a.Verb != v.Name {
				t.Errorf("%q: got verb %s, error %q, want an answer of %s", text, a.Verb, a.Error, v.Name)
			}
		}
		if got, want := ask.Understood(ask.Understood(v.Exact)), ask.Understood(v.Exact); got != want {
			t.Errorf("%q read again: got %q, want %q", v.Exact, got, want)
		}
	}
}

// TestVocabulary checks the tables against each other: every input that a
// verb takes can be said, and its example is understood.
func TestVocabulary(t *testing.T) { ask.CheckVocabulary(t) }
