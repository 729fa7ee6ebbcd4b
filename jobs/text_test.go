package jobs

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// What is put on record in words of our own is found again with its key; what
// people typed stays as it is.
func TestRecorded(t *testing.T) {
	for i, r := range recorded {
		samples := map[rune]any{'f': "5.5 mm", 't': "a typed word", 'w': calc.Word("drilled"), 'r': calc.F(atMost, "5 mm")}
		var args []any
		for _, kind := range r.args {
			args = append(args, samples[kind])
		}
		text := calc.F(r.key, args...)
		got := Recorded(text.String())
		if key, _ := got.Sentence(); key != r.key || !got.Equal(text) {
			t.Errorf("%d: %q is read by the key %q as %q", i, text, key, got)
		}
	}
	for _, typed := range []string{"scratch on the leaf; heel side", "waits for the glazier", "gone to lunch", "100 %s sure", ""} {
		if key, args := Recorded(typed).Sentence(); key != "%s" || args[0] != typed {
			t.Errorf("%q was typed, and is read by the key %q", typed, key)
		}
	}
}

// Whatever stands in the record is told as it stands.
func TestRecorded_english(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		pieces := []string{"; ", " to ", "5 mm", " is outside ", "batch ", ", expires ", "left out", "\n", "heel gap is drilled at ", ", by the corrected door it would be "}
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 0, 8).Draw(rt, "pieces"), "")
		if got := Recorded(text).String(); got != text {
			rt.Fatalf("%q is read as %q", text, got)
		}
	})
}

// Errors that join or wrap others keep the sentences of those.
func TestErrorsKeepTheirSentences(t *testing.T) {
	type sentence interface {
		error
		Sentence() (key string, args []any)
	}
	b := newBench(t, "orchard")
	_, slip := calc.Gap(calc.Turn{Thickness: 54 * mm, Setback: 65 * mm, Angle: 700}, 2*mm, mm)
	visits := []Visit{{ID: "v1"}, {ID: "v2"}}
	_, when := b.site.When("thursday 9", b.now)
	for _, c := range []struct {
		err  error
		key  string
		text string
	}{
		{&PermissionError{"ivy", Office, Check}, "%s is %s here: to %s takes %s", "ivy is office here: to tick, read and photograph the checklist takes crew or foreman"},
		{&MissingError{[]string{"width", "opening height"}}, "still to say: %s", "still to say: width, opening height"},
		{&LimitError{[]error{wrong("mass", tooHeavy, "95 kg", "90 kg"), wrong("width", tooWide, "3 m", "2 m")}}, "%s; %s",
			"mass is 95 kg, the sheet carries 90 kg; width is 3 m, the sheet allows 2 m"},
		{about("mass", slip), "%s", "angle is 700°, must be at most 180°"},
		{slip, "%s is %s, must be %s %s", "angle is 700°, must be at most 180°"},
		{&WhichVisitError{visits}, "which visit: %s?", "which visit: v1, v2?"},
		{when, "%q: is %s the time? say it as %s", `"thursday 9": is 9 the time? say it as 09:00`},
		{&HoldError{Item: calc.F("handing over"), Open: b.someItems()}, "%s and %s more", "handing over waits for a (dry), b, c, d and 1 more"},
		{errors.Join(waitTogether([]error{&HoldError{Item: calc.F("x"), Open: b.someItems()}, &HoldError{Item: calc.F("y"), Open: b.someItems()[:2]}, &HoldError{Item: calc.F("z"), Open: b.someItems()[:3]}})...), "%s, %s", "x, y, z wait for a (dry), b"},
		{&FileError{Line: 3, Reason: calc.F("%s is missing", "name")}, "line %s: %s", "line 3: name is missing"},
	} {
		said, ok := errors.AsType[sentence](c.err)
		if !ok {
			t.Errorf("%q has no key", c.err)
			continue
		}
		if key, _ := said.Sentence(); key != c.key || c.err.Error() != c.text {
			t.Errorf("%q is said by %q, want %q by %q", c.err, key, c.text, c.key)
		}
	}
}

func (b *bench) someItems() (items []Item) {
	for _, id := range []string{"a", "b", "c", "d", "e"} {
		items = append(items, Item{ID: id, Text: calc.F("dry")})
	}
	return items
}

// Buttons carry the mark of the text that they agree to: those that were made
// before texts had keys still match. The marks are FNV-1a of 32 bits of the
// English, computed by another implementation.
func TestMark(t *testing.T) {
	for text, want := range map[string]string{"floor plate fitted dry": "857b4232", "mark the bit 47 mm from its tip": "8d4be9ac"} {
		it := Item{Text: calc.F("%s", text)}
		if strings.HasPrefix(text, "mark") {
			it.Text = calc.F("mark the bit %s from its tip", "47 mm")
		}
		if got := it.Mark(); got != want {
			t.Errorf("%q has the mark %s, want %s", text, got, want)
		}
	}
}
