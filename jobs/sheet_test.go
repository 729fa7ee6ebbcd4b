package jobs

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"heelpost/calc"
)

// testdata reads a file of the project's testdata folder.
func testdata(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// sheet reads one of the example sheets.
func sheet(t testing.TB, name string) *Sheet {
	t.Helper()
	s, err := ParseSheet(testdata(t, "sheets/"+name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestParseSheet(t *testing.T) {
	s := sheet(t, "orchard")
	if s.Name != "orchard" || s.Leaf.Mass != 150 || s.Pins.Shortens != calc.MM(4.5) || s.Holes["screed"] != calc.MM(11) {
		t.Errorf("got %+v", s)
	}
	if s.Adhesive.Working != 26*time.Minute || s.Adhesive.Lowest != 7 || s.Acceptance.Opening != 38 || s.Wind != 6 || s.Pins.Point != 130 {
		t.Errorf("got %+v", s)
	}
	q := sheet(t, "quarry")
	if len(q.Adhesive.Table) != 4 || q.Adhesive.Table[3] != (CureRow{19, 30}) || !q.Head.Bonded || len(q.Hash) != 64 || q.Hash == s.Hash {
		t.Errorf("got %+v", q)
	}
}

func TestParseSheet_inches(t *testing.T) {
	text := strings.Replace(string(testdata(t, "sheets/orchard.yaml")), "width: 1300 mm", "width: 51.1875 in", 1)
	s, err := ParseSheet([]byte(text))
	if err != nil || s.Leaf.Width != 51*calc.Inch+3*calc.Inch/16 {
		t.Errorf("got %v, %v", s, err)
	}
}

// Each case changes a text of the example; the refusal names the line.
func TestParseSheet_refuses(t *testing.T) {
	good := string(testdata(t, "sheets/orchard.yaml"))
	tests := []struct{ name, old, new, want string }{
		{"no unit", "mass: 150 kg", "mass: 150", `line 6: leaf.mass: "150": write it with its unit, as 95 kg`},
		{"another unit", "mass: 150 kg", "mass: 330 lb", `line 6: leaf.mass: "330 lb": lb is not taken here: write it as 95 kg`},
		{"another scale", "lowest: 7 °C", "lowest: 45 °F", "°F is not taken here: write it as 5 °C"},
		{"decimal comma", "mass: 150 kg", "mass: 1,5 kg", `line 6: leaf.mass: "1,5 kg": decimals have a point here: write 1.5 kg`},
		{"tab", "  lift: 9 mm", "\tlift: 9 mm", "line 16: a tab stands in front: indent with spaces"},
		{"tab and colon", "  lift: 9 mm", "\tlift: 9 mm\n  more: of it: all\n ", `line 17: a colon stands within the text: put it in quotes, as more: "of it: all"`},
		{"no number", "mass: 150 kg", "mass: NaN kg", "line 6: leaf.mass"},
		{"too large", "mass: 150 kg", "mass: " + strings.Repeat("9", 400) + " kg", "too large"},
		{"out of bounds", "mass: 150 kg", "mass: 15000 kg", "line 6: leaf.mass: 15000 kg is outside 1 kg to 3000 kg"},
		{"unknown key", "  lift: 9 mm", "  lfit: 9 mm", "line 16: floor.lfit is not a key I know"},
		{"missing key", "  lift: 9 mm", "", "floor.lift is missing"},
		{"key twice", "name: orchard", "name: orchard\nname: other", "line 4: name stands there twice"},
		{"least above most", "{least: 44 mm, most: 70 mm}", "{least: 80 mm, most: 70 mm}", "line 9: leaf.thickness.most"},
		{"wrong kind", "depth: 8.125 mm", "depth: [8.125 mm]", "engagement.depth: want one value"},
		{"no list", "lengths: [22 mm, 31 mm]", "lengths: 22 mm", "pins.lengths: want a list"},
		{"empty list", "lengths: [22 mm, 31 mm]", "lengths: []", "pins.lengths: there are none"},
		{"neither true nor false", "park_on_plate: true", "park_on_plate: maybe", "adhesive.park_on_plate"},
		{"lowest above reference", "lowest: 7 °C", "lowest: 27 °C", "adhesive: lowest is 27 °C"},
		{"moves nowhere", "moves: across", "moves: about", "adjusters[1].moves"},
		{"hole narrower than the pin", "concrete: 11 mm", "concrete: 8 mm", "holes.concrete"},
		{"anchor", "name: orchard", "name: &a orchard\nnote2: *a", "not a key I know"},
		{"alias", "note: surface", "note: *a\nx: surface", "unknown anchor"},
		{"second document", "name: orchard", "name: orchard\n---\nname: other", "line 4: there is a second document"},
		{"tabs", "  lift: 9 mm", "\tlift: 9 mm", "line"},
		{"an empty name", "name: orchard", "name: ''", "line 3: name: there is nothing behind it"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := strings.Replace(good, tt.old, tt.new, 1)
			if text == good {
				t.Fatalf("%q is not in the example", tt.old)
			}
			if _, err := ParseSheet([]byte(text)); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
	for name, text := range map[string]string{
		"empty": "", "comments": "# nothing\n", "null": "~\n", "a word": "orchard\n", "a list": "- a\n",
		"binary": "\x00\xff\xfe", "large": "a: " + strings.Repeat("x", maxFile), "two": good + "\n---\na: b\n",
	} {
		if s, err := ParseSheet([]byte(text)); err == nil {
			t.Errorf("%s: %+v", name, s)
		}
	}
}

// What is wrong is told from the top of the file down, in whatever order it
// is looked at.
func TestParseSheet_inOrder(t *testing.T) {
	text := string(testdata(t, "sheets/orchard.yaml"))
	for _, c := range [][2]string{{"width: 1300 mm", "width: 0 mm"}, {"mass: 150 kg", "mass: 15000 kg"}, {"concrete: 11 mm", "concrete: 8 mm"}} {
		if !strings.Contains(text, c[0]) {
			t.Fatalf("%q is not in the example", c[0])
		}
		text = strings.Replace(text, c[0], c[1], 1)
	}
	_, err := ParseSheet([]byte(text))
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		t.Fatalf("got %v, want several errors", err)
	}
	all, last := joined.Unwrap(), 0
	for _, e := range all {
		if lineOf(e) < last {
			t.Errorf("line %d comes after line %d:\n%v", lineOf(e), last, err)
		}
		last = lineOf(e)
	}
	if len(all) < 2 {
		t.Errorf("got %v, want several errors", err)
	}
}

// A sheet has the sections that its kind needs, and no others.
func TestParseSheet_kinds(t *testing.T) {
	for _, tt := range []struct{ sheet, old, new, want string }{
		{"orchard", "pins:", "screws: {count: 4, depth: 40 mm}\npins:", "screws: leave it out for floor.fixing: pins"},
		{"orchard", "  length: 96 mm", "  fixing: glue\n  length: 96 mm", `floor.fixing: "glue" is none of pins, screws, box`},
		{"orchard", "  length: 96 mm", "  bonded: true\n  length: 96 mm", "floor.bonded: is said of a plate on screws only"},
		{"orchard", "  template: 4 mm\n", "", "floor.template: is missing, for floor.fixing: pins"},
		{"terrace", "screws:\n  count: 6\n  depth: 48 mm", "#", "screws: is missing, for floor.fixing: screws"},
		{"terrace", "reached: above", "reached: edge", "key: is missing, for head.reached: edge"},
		{"terrace", "bonded: false #", "bonded: true #", "adhesive: is missing, for what is bonded"},
		{"terrace", "wind: 5 m/s", "adhesive: {base: 9 h, reference: 20 °C, lowest: 5 °C, highest: 30 °C, working: 9 min, park_on_plate: true}\nwind: 5 m/s", "adhesive: leave it out for a set of which nothing is bonded"},
		{"terrace", "clockwise: up, ", "clockwise: left, ", `adjusters[3].clockwise: "left" is none of up, down`},
		{"terrace", ", seen_from: above", "", "adjusters[3].clockwise: goes with seen_from"},
		{"harbour", "  lift: 7 mm", "  template: 3 mm\n  lift: 7 mm", "floor.template: leave it out for floor.fixing: box"},
		{"harbour", "depth: 58 mm", "depth: 40 mm", "box.depth: 40 mm is outside 47 mm to 500 mm"},
		{"harbour", "floors: [concrete, screed]", "floors: []", "box.floors: there are none"},
	} {
		text := string(testdata(t, "sheets/"+tt.sheet+".yaml"))
		changed := strings.Replace(text, tt.old, tt.new, 1)
		if changed == text {
			t.Fatalf("%q is not in %s", tt.old, tt.sheet)
		}
		if _, err := ParseSheet([]byte(changed)); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s with %q: got %v, want %q", tt.sheet, tt.new, err, tt.want)
		}
	}
}

func FuzzParseSheet(f *testing.F) {
	for _, name := range []string{"orchard", "quarry", "terrace", "harbour"} {
		f.Add(testdata(f, "sheets/"+name+".yaml"))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseSheet(data)
		if (s == nil) == (err == nil) {
			t.Errorf("got %v and %v", s, err)
		}
	})
}

// What no sheet should have is taken and told with its source: 2010 ADA
// Standards 404.2.8.1 (at least 5 s from 90° to 12°) and 404.2.9 (at most 22.2 N).
func TestSheet_odd(t *testing.T) {
	s := sheet(t, "orchard")
	s.Acceptance.Opening = 22
	if odd := s.Odd(); len(odd) != 0 {
		t.Errorf("told %v of a sheet within all limits", odd)
	}
	s.Acceptance.ClosingLeast, s.Acceptance.Opening, s.Adhesive.Lowest = 4*time.Second, 23, -2
	odd := s.Odd()
	if len(odd) != 3 {
		t.Fatalf("told %v, want three values", odd)
	}
	for i, want := range []string{"is 4 s, a closer takes at least 5 s", "is 23 N, an interior door that is not a fire door opens with at most 22.2 N", "is -2 °C"} {
		if !strings.Contains(odd[i].String(), want) {
			t.Errorf("%q, want %q in it", odd[i], want)
		}
	}
}

// A sheet of before and one with the keys of now tell the same: 6.5 turns of
// 1.25 mm are 8.125 mm.
func TestParseSheet_keys(t *testing.T) {
	now := string(testdata(t, "sheets/orchard.yaml"))
	old := strings.NewReplacer("  shortens_by: 4.5 mm", "  notch: 4.5 mm", "engagement: # of the head pivot in the leaf; told in turns, too\n  depth: 8.125 mm\n", "engage:\n  turns: 6.5\n").Replace(now)
	if !strings.Contains(old, "notch") || !strings.Contains(old, "turns: 6.5") {
		t.Fatal("the example has other keys")
	}
	was, err := ParseSheet([]byte(old))
	if err != nil {
		t.Fatal(err)
	}
	is, err := ParseSheet([]byte(now))
	if err != nil {
		t.Fatal(err)
	}
	if was.Engagement != is.Engagement || is.Engagement.Depth != 8125*calc.Millimetre/1000 || is.Engagement.Turns() != 6.5 || was.Pins.Shortens != is.Pins.Shortens || is.Pins.Shortens != 4500*calc.Millimetre/1000 {
		t.Errorf("before %+v %v, now %+v %v", was.Engagement, was.Pins.Shortens, is.Engagement, is.Pins.Shortens)
	}
	for _, both := range []string{strings.Replace(old, "engage:", "engagement: {depth: 8 mm, pitch: 1 mm}\nengage:", 1), strings.Replace(old, "  notch:", "  shortens_by: 4 mm\n  notch:", 1)} {
		if _, err := ParseSheet([]byte(both)); err == nil {
			t.Error("a sheet that says it twice is taken")
		}
	}
}
