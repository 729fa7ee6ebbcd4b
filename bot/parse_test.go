package bot

import (
	"encoding/csv"
	"flag"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite golden files")

// TestUnderstood holds what the bot makes of texts, a line each, against
// testdata/understood.csv: the one reading in its exact form and what was
// corrected or left out, or the sentence that asks back. To add a case, add
// its text to the file and run the test with -update.
func TestUnderstood(t *testing.T) {
	const path = "../testdata/understood.csv"
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
		got = append(got, []string{row[0], understood(row[0])})
	}
	if *update {
		writeCSV(t, path, got)
		return
	}
	if diff := cmp.Diff(rows, got); diff != "" {
		t.Errorf("understood differently (-file +now):\n%s", diff)
	}
}

func understood(text string) string {
	p := new(parser)
	q, d := p.parse(text, nil)
	if d != nil {
		return "? " + d.say
	}
	s := q.exact()
	for _, n := range q.notes {
		s += " (" + n + ")"
	}
	return s
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
		a := Ask(text)
		if a.open == nil {
			continue
		}
		for i, offer := range a.open.Offers {
			p := new(parser)
			q, d := p.parse(offer, nil)
			if d != nil && d.to > d.from {
				continue // a number in it is in doubt, whatever it is for
			}
			if d != nil {
				t.Errorf("%q: offer %d %q is asked back: %s", text, i+1, offer, d.say)
			} else if got, want := sortedWords(q.exact()), sortedWords(offer); got != want {
				t.Errorf("%q: offer %d %q is understood as %q", text, i+1, offer, q.exact())
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
	for i := range verbs {
		v := &verbs[i]
		for _, text := range []string{v.example, v.exact} {
			a := Ask(text)
			if !a.OK() || a.Verb != v.name {
				t.Errorf("%q: got verb %s, error %q, want an answer of %s", text, a.Verb, a.Error, v.name)
			}
		}
		if got, want := understood(understood(v.exact)), understood(v.exact); got != want {
			t.Errorf("%q read again: got %q, want %q", v.exact, got, want)
		}
	}
}

// TestVocabulary checks the tables against each other: every input that a
// verb takes can be said, and its example is understood.
func TestVocabulary(t *testing.T) {
	for i := range inputs {
		in := &inputs[i]
		taken := slices.ContainsFunc(verbs, func(v verb) bool { return v.takes(in) })
		if !taken {
			t.Errorf("no verb takes %s", in.name)
		}
		if in.what == "" || in.example == "" {
			t.Errorf("%s has no description or no example", in.name)
		}
	}
	for i := range settings {
		if settings[i].chooses == nil {
			t.Errorf("%q sets %s, which is no input", settings[i].words[0], settings[i].name)
		}
	}
	for _, w := range append(slices.Clone(fillers), breaks...) {
		if p, size := vocab.match([]token{{kind: wordToken, word: w}}); size == 1 && (p.verb != nil || len(p.inputs) > 0 || p.set != nil) {
			t.Errorf("%q says nothing and means %s too", w, p.text)
		}
	}
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"gap", "gap", 0}, {"gpa", "gap", 1}, {"ga", "gap", 1}, {"gapp", "gap", 1}, {"gop", "gap", 1},
		{"setbakc", "setback", 1}, {"thikness", "thickness", 1}, {"tihkness", "thickness", 2}, {"", "abc", 3},
		// Damerau's four slips; the classic pair has distance 3 (Levenshtein, 1966).
		{"kitten", "sitting", 3}, {"sitting", "kitten", 3},
	} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("distance(%q, %q): got %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

// What is said to doors is no question that was not understood.
func TestAsk_DoorWork(t *testing.T) {
	for _, text := range []string{"door open A-1", "door open A-1 1050x2350x44 setback 65", "door A-1 card", "tick status", "board", "record F-1", "erase f-1", "F-1"} {
		if a := Ask(text); !strings.Contains(a.Error, "doors are worked on in heelpost chat") || len(a.Need) > 0 {
			t.Errorf("%s: %q", text, a.Error)
		}
	}
	for _, text := range []string{"gap 44", "read the gap for 44", "gap t-44", "stop"} {
		if a := Ask(text); a.OK() || strings.Contains(a.Error, "doors") {
			t.Errorf("%s: %q", text, a.Error)
		}
	}
}
