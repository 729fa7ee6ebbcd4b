package survey

import (
	"errors"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"heelpost/bot/lex"
	"heelpost/jobs"
)

// What is not understood of any description can be cut out of it part by
// part, until the rest is understood.
func TestRead_Any(t *testing.T) {
	names := siteNames(t)
	said := strings.Fields(`1050x2350x44 1050 x 65 88kg 14 stone setback setbak 1,200 opening height width floor flor screed concrete sheet shet orchard crew forman @ana @zoe
		ana heated heatd seen from the corridor evidence heel lead 4 report , = ; no both ways one way left fire ordinry cover over pipe mass weight weighed purple @ " 1/2 in by wide high thick 44 not yes is : set back 2372 and lean fall floor_fall lean_lead level -3 to none`)
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(said), 0, 14).Draw(t, "said"), rapid.SampledFrom([]string{" ", ", "}).Draw(t, "between"))
		for left := len(lex.Lex(text, nil)); ; left-- {
			s, err := Read(text, new(jobs.Spec), names)
			if err == nil {
				return
			}
			p, ok := errors.AsType[*Part](err)
			if !ok || p.From < 0 || p.To > len(s.Text) || p.From >= p.To || left == 0 {
				t.Fatalf("%q: %v", s.Text, err)
			}
			text = s.Text[:p.From] + s.Text[p.To:]
		}
	})
}

// The same door in other words.
func TestRead_Words(t *testing.T) {
	names := siteNames(t)
	var want jobs.Spec
	if _, err := Read("1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed heated both ways ordinary latch sheet orchard crew @ana @bo foreman @mo", &want, names); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{
		"leaf 1050 by 2350 by 44, set back 65, opening is 1068 x 2372, weight 88, screed floor heated, swings both ways, ordinary door, latch: yes, seals: no, orchard sheet, crew @ana and @bo, foreman mo",
		"leaf 1050 wide, 2350 high, 44 thick, 65 setback, opening 1068 wide and 2372 high, it weighs 88 kg, heated floor, screed, both ways, ordinary, with latch, orchard, crew ana bo foreman mo",
		"orchard screed heated both ways opening width 1068 height 2372 latch ordinary 88 weighed leaf width 1050 height 2350 thicknes 44 setbak 65 crew ana and bo forman @mo",
		"1050x2350x44, opening width 1068, height 2372, setback 65, 88kg, screed heated, both ways, ordinary, latch, orchard, crew ana bo, foreman mo",
		"1050x2350x44, opening 1068, height 2372, setback 65, 88kg, screed heated, both ways, ordinary, latch, orchard, crew ana bo, foreman mo",
		"opening height 2372 width 1068, 1050x2350x44, setback 65, 88kg, screed heated, both ways, ordinary, latch, orchard, crew ana bo, foreman mo",
		"1050x2350x44 opening height 2372, width 1068, setback 65, 88kg, screed heated, both ways, ordinary, latch, orchard, crew ana bo, foreman mo",
		"opening 1068x2372, thickness 44, width 1050, height 2350, setback 65, 88kg, screed heated, both ways, ordinary, latch, orchard, crew ana bo, foreman mo",
		"opening: 1068x2372, thickness: 44, 1050 width, height = 2350, setback: 65, mass: 88 kg, the floor is screed, heated: yes, both ways, ordinary, latch, sheet: orchard, crew: ana, bo, foreman: mo",
	} {
		var got jobs.Spec
		if _, err := Read(text, &got, names); err != nil {
			t.Errorf("%s: %v", text, err)
		} else if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", text, diff)
		}
	}
}

// Where a question knows what lies in the floor, a description does, in all the
// words for it, said and denied; and the floor stays named.
func TestRead_ground(t *testing.T) {
	names := siteNames(t)
	for _, text := range slices.Concat(lex.Heating, lex.Tensioned, lex.Hollow) {
		want := jobs.Spec{Floor: "screed", Heated: slices.Contains(lex.Heating, text), Swing: jobs.BothWays}
		want.Tendons = !want.Heated
		for _, typed := range []string{"screed " + text + " both ways", "screed, " + text + ", both ways", "both ways, floor screed, " + strings.ToUpper(text), text + " screed both ways"} {
			var got jobs.Spec
			if _, err := Read(typed, &got, names); err != nil {
				t.Errorf("%s: %v", typed, err)
			} else if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%s (-want +got):\n%s", typed, diff)
			}
		}
		none := jobs.Spec{Heated: want.Heated, Tendons: want.Tendons}
		for _, no := range []string{"no ", "without ", "not "} {
			if _, err := Read("screed, "+no+text, &none, names); err != nil || none.Heated || none.Tendons || none.Floor != "screed" {
				t.Errorf("%s%s: %v, %+v", no, text, err, none)
			}
		}
	}
}

// What would be taken for something else is refused, and what is denied is cut
// out whole.
func TestRead_Refused(t *testing.T) {
	names := siteNames(t)
	for text, want := range map[string]string{
		"88kg not a fire door, screed": "88kg , screed",
		"88kg, no fire door":           "88kg, ",
		"fire: no, escape":             ", escape",
		"ordinary fire door":           "ordinary door",
		"mass 14 stone screed":         "screed",
		"setback 65x44 latch":          "latch",
		"65 setback 1068 latch":        "latch",
		"floor, screed":                ", screed",
		"screed and concrete":          "screed and ",
	} {
		s, err := Read(text, new(jobs.Spec), names)
		p, ok := errors.AsType[*Part](err)
		if !ok {
			t.Errorf("%s: %v", text, err)
		} else if got := s.Text[:p.From] + s.Text[p.To:]; got != want {
			t.Errorf("%s: %v: left is %q, want %q", text, err, got, want)
		}
	}
}

// A length either way takes its sign as typed, or the word for it.
func TestRead_either(t *testing.T) {
	for text, want := range map[string]string{
		"lean heel 3": "3 mm", "lean_heel=-2.5": "-2.5 mm", "lean heel 1/8 in": "3.18 mm", "lean heel 3 in": "", "lean heel 0": "0 mm", "lean heel 2, lean heel none": "",
		"lean heel 3 mm, lean lead 2": "3 mm", "lean heel 3x4": "", "lean heel": "",
	} {
		var spec jobs.Spec
		_, err := Read(text, &spec, new(Names))
		if got := jobs.FieldNamed("lean heel").Value(&spec); got != want {
			t.Errorf("%s: got %q, want %q (%v)", text, got, want, err)
		}
	}
	for text, want := range map[string]string{
		"floor fall 3 to heel": "3 mm to heel", "floor_fall: 2.5 to the lead": "2.5 mm to lead", "floor fall level": "level", "floor fall 0": "level",
		"floor fall 3": "", "floor fall -3 to lead": "", "floor fall 5 to heel, screed": "5 mm to heel",
	} {
		var spec jobs.Spec
		_, err := Read(text, &spec, &Names{Floors: []string{"screed"}})
		f := jobs.FieldNamed("floor fall")
		if got := f.Value(&spec); got != want {
			t.Errorf("%s: got %q, want %q (%v)", text, got, want, err)
		}
		var form jobs.Spec
		if err := ReadField(f, f.Value(&spec), &form); want != "" && (err != nil || f.Value(&form) != want) {
			t.Errorf("%q in a form: %q, %v", want, f.Value(&form), err)
		}
	}
}

// siteNames is what is known at the first site of testdata/sites.
func siteNames(t *testing.T) *Names {
	t.Helper()
	file, err := os.ReadFile("../../testdata/sites/orchard-lane.yaml")
	if err != nil {
		t.Fatal(err)
	}
	calendar, err := os.ReadFile("../../testdata/sites/orchard-lane.ics")
	if err != nil {
		t.Fatal(err)
	}
	site, err := jobs.ParseSite(file, calendar)
	if err != nil {
		t.Fatal(err)
	}
	return &Names{Site: site, Sheets: []string{"orchard"}, Floors: []string{"concrete", "screed"}}
}
