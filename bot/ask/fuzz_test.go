package ask_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/script"
	"heelpost/bot/verb"
	"heelpost/calc"
)

// seeds are every line that the tests know.
func seeds(t testing.TB) []string {
	t.Helper()
	var all []string
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(data)) {
			// Long ones slow the fuzzer down; what is too long has its own test.
			if l, err := script.ParseLine(line); err == nil && l.Kind == script.Said && len(l.Text) < 200 {
				all = append(all, l.Text)
			}
		}
	}
	f, err := os.Open("../../testdata/understood.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		all = append(all, row[0])
	}
	return all
}

// figures finds what may be a number in a text: digits with separators, and
// fractions; behind a point, which may end a word, also decimals. It shares
// nothing with the parser.
var (
	figures  = regexp.MustCompile(`\d+(?:[.,]\d+)*|[½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚]`)
	decimals = regexp.MustCompile(`\.\d+`)
)

// fractions are the values of the characters that are fractions.
var fractions = map[string]float64{"½": .5, "¼": .25, "¾": .75, "⅛": .125, "⅜": .375, "⅝": .625, "⅞": .875,
	"⅓": 1. / 3, "⅔": 2. / 3, "⅕": .2, "⅖": .4, "⅗": .6, "⅘": .8, "⅙": 1. / 6, "⅚": 5. / 6}

// values returns every length in mm that a text can mean by one figure, or by
// several that stand together as whole, numerator and denominator, or as feet
// and inches.
func values(text string) []float64 {
	var plain []float64
	for _, f := range append(figures.FindAllString(text, -1), decimals.FindAllString(text, -1)...) {
		if v, ok := fractions[f]; ok {
			plain = append(plain, v)
			continue
		}
		// Both readings of each separator.
		for _, s := range []string{strings.ReplaceAll(f, ",", ""), strings.ReplaceAll(strings.ReplaceAll(f, ".", ""), ",", ".")} {
			if v, err := strconv.ParseFloat(s, 64); err == nil {
				plain = append(plain, v)
			}
		}
	}
	var all []float64
	for i, a := range plain {
		all = append(all, a, a*10, a*1000, a*25.4, a*304.8)
		near := plain[i+1 : min(i+8, len(plain))] // what belongs to one length stands together
		for _, b := range near {
			all = append(all, a/b*25.4, (a+b)*25.4, a*304.8+b*25.4, a+b, (a+b)*10, (a+b)*1000)
			for _, c := range near {
				all = append(all, (a+b/c)*25.4, a*304.8+b/c*25.4, a*304.8+(b+c)*25.4)
				for _, d := range near {
					all = append(all, a*304.8+(b+c/d)*25.4)
				}
			}
		}
	}
	return all
}

// means reports whether a text can mean a value.
func means(text string, value float64) bool {
	for _, v := range values(text) {
		if math.Abs(math.Abs(value)-v) <= 1e-6*math.Max(1, v) {
			return true
		}
	}
	return false
}

// FuzzLength: no text makes the scanner panic or hang, or gives a number that
// is not in it.
func FuzzLength(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 60 {
			text = text[:60]
		}
		for _, tok := range lex.Lex(text, nil) {
			if tok.Start < 0 || tok.End > len(text) || tok.Start >= tok.End {
				t.Fatalf("token %+v is not within %q", tok, text)
			}
			if n := tok.Num; tok.Kind == lex.NumberToken && n.Doubt == lex.Certain && n.Unit != lex.Degrees && !means(n.Raw, n.Length.MM()) {
				t.Fatalf("%q gave %v", n.Raw, n.Length)
			}
		}
	})
}

// worths are what units are worth in those of answers: a pound in kg and in N,
// a pound a square inch, N/mm² and kN, miles and kilometres an hour. The pound
// and the inch are those of the agreement of 1959, gravity that of the 3rd CGPM
// (NIST SP 811, App. B, from memory).
var worths = []float64{1, 0.45359237, 4.4482216152605, 6894.757293168, 1e6, 1e3, 0.44704, 1 / 3.6}

// FuzzQuestion: no text makes the bot panic or hang, and no answer rests on a
// number that was not typed.
func FuzzQuestion(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a := verb.Questions.Ask(text, nil)
		if a.Text().IsZero() {
			t.Fatalf("%q: nothing was said", text)
		}
		if !a.OK() {
			return
		}
		for i := range a.Inputs {
			g := &a.Inputs[i]
			if g.From == ask.Asked && g.Kind == ask.LengthValue && len(text) < 60 && !means(text, g.Length.MM()) {
				t.Fatalf("%q: %s %v was not typed", text, g.Name, g.Length)
			}
		}
		for i := range a.Inputs {
			const inch = 25.4 // a fraction is known as one of an inch
			g := &a.Inputs[i]
			typed := func(v float64) bool {
				return means(text, v) || means(text, v*inch) || means(text, v*9/5+32) || means(text, (v*9/5+32)*inch)
			}
			if g.From == ask.Asked && g.Kind == ask.NumberValue && !slices.ContainsFunc(worths, func(w float64) bool { return typed(g.Number / w) }) {
				t.Fatalf("%q: %s %v was not typed", text, g.Name, g.Number)
			}
		}
		for i := range a.Results {
			r := &a.Results[i]
			if r.Kind == ask.LengthValue && (r.Length.Exact.Abs() > 100*calc.Metre || r.Shown.IsZero()) {
				t.Fatalf("%q: %s is %v", text, r.Name, r.Length.Exact)
			}
		}
	})
}

// Cost grows with the length of a text and not faster: what is allocated for
// a text of twice the length is at most about twice as much.
func TestCostIsLinear(t *testing.T) {
	for _, unit := range []string{"gap ", "7 ", "banana ", "1,2 ", "a", "½", "thickness ", "-", "x ", "gap 7 thickness 40, "} {
		half := strings.Repeat(unit, ask.MaxText/2/len(unit))
		small := testing.AllocsPerRun(20, func() { verb.Questions.Ask(half, nil) })
		large := testing.AllocsPerRun(20, func() { verb.Questions.Ask(half+half, nil) })
		if large > 2.5*small+64 {
			t.Errorf("%q repeated: %v allocations for %d bytes, %v for twice as many", unit, small, len(half), large)
		}
	}
}

// A message of more than 4,000 characters is not read.
func TestTooLong(t *testing.T) {
	a := verb.Questions.Ask("gap 46 75"+strings.Repeat(" ", ask.MaxText), nil)
	if a.OK() || len(a.Inputs) > 0 || !strings.Contains(a.Error.String(), "4000 characters") {
		t.Errorf("got %q with %d inputs, want a refusal that names the bound", a.Error, len(a.Inputs))
	}
	if a := verb.Questions.Ask("gap 46 75"+strings.Repeat(" ", ask.MaxText-9), nil); !a.OK() {
		t.Errorf("got %q for exactly 4000 characters, want an answer", a.Error)
	}
	// The lines of a log don't count, up to their own bound.
	log := "cure 18 h, reference 21, lowest 7\n2027-03-01 15:00,21\n"
	for i := range 400 {
		log += fmt.Sprintf("2027-03-%02d %02d:00,20\n", 2+i/24, i%24)
	}
	if a := verb.Questions.Ask(log, nil); !a.OK() {
		t.Errorf("got %q for a log of 400 lines, want an answer", a.Error)
	}
	if a := verb.Questions.Ask(log+strings.Repeat(" ", 100_000), nil); a.OK() || !strings.Contains(a.Error.String(), "4000 characters") {
		t.Errorf("got %q for a log and 100000 blanks, want a refusal that names the bound", a.Error)
	}
}
