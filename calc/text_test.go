package calc_test

import (
	"fmt"
	"testing"

	"heelpost/calc"
)

func ExampleF() {
	slip := calc.F("the leaf is %s wide, the opening %s", 1050*calc.Millimetre, 900*calc.Millimetre)
	text := calc.F("%s of %q: %s", 2, "A-101", slip)
	fmt.Println(text)
	key, args := text.Sentence()
	fmt.Printf("%q %q\n", key, args)
	// Output:
	// 2 of "A-101": the leaf is 1050 mm wide, the opening 900 mm
	// "%s of %q: %s" ["2" "A-101" "the leaf is 1050 mm wide, the opening 900 mm"]
}

// The errors keep what they are made of: the parts that are words are keys
// again, and the figures are text.
func TestErrorsHaveKeys(t *testing.T) {
	_, tooFar := calc.Plate(calc.PlateInput{Setback: 600 * calc.Millimetre, Gap: 7 * calc.Millimetre, Opening: 1064 * calc.Millimetre, Step: calc.Millimetre})
	_, noSide := calc.PlateLine(0, 54*calc.Millimetre, calc.Offset{E: calc.Millimetre}, calc.Millimetre)
	for _, c := range []struct {
		err  error
		keys []string
	}{
		{tooFar, []string{"%s: %s", "%s is %s, must be %s %s", "setback", "at most", string(calc.WrongEdge)}},
		{noSide, []string{"%s is needed: %s", "offset", "on which side of the mid-plane is the pivot axis"}},
	} {
		if got := keysOf(c.err); fmt.Sprint(got) != fmt.Sprint(c.keys) {
			t.Errorf("%v has the keys %q, want %q", c.err, got, c.keys)
		}
	}
}

func keysOf(v any) (keys []string) {
	s, ok := v.(interface{ Sentence() (string, []any) })
	if !ok {
		return nil
	}
	key, args := s.Sentence()
	keys = append(keys, key)
	for _, a := range args {
		keys = append(keys, keysOf(a)...)
	}
	return keys
}

func TestText_zero(t *testing.T) {
	if text := (calc.Text{}); !text.IsZero() || text.String() != "" || !text.Equal(calc.F("")) || calc.F("%s", "").IsZero() {
		t.Errorf("the zero text says %q", text)
	}
}
