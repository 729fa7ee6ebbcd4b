package say

import (
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
)

// refusal is an error as jobs and calc have them.
type refusal struct{ limit string }

func (r refusal) Error() string             { return "more than " + r.limit }
func (r refusal) Sentence() (string, []any) { return "more than %s", []any{r.limit} }

// asSentence is no Text itself, and says what one says.
type asSentence struct{ t Text }

func (s asSentence) Error() string             { return s.t.Error() }
func (s asSentence) Sentence() (string, []any) { return s.t.Sentence() }

// around says what the error in it says.
type around struct{ error }

func (a around) Unwrap() error { return a.error }

// backwards is a language of our own.
var backwards = &Language{map[string]string{
	"door %s is held by %s": "%[2]s holds %[1]s, the door",
	"1 door":                "door one", "%s doors": "doors, %s",
	", or ":        " else ",
	"more than %s": "%s exceeded",
	"heel gap":     "gap heel",
}}

func TestSay(t *testing.T) {
	for _, c := range []struct {
		text          Text
		english, back string
	}{
		{Text{}, "", ""},
		{F("door %s is held by %s", "A-1", "status"), "door A-1 is held by status", "status holds A-1, the door"},
		{F("door %s is held by %s", "A-1", refusal{"8 mm"}), "door A-1 is held by more than 8 mm", "8 mm exceeded holds A-1, the door"},
		{Count(1, "1 door", "%s doors"), "1 door", "door one"},
		{Count(3, "1 door", "%s doors"), "3 doors", "doors, 3"},
		{Join(", or ", Plain("tick 3"), Text{}, Plain("tick 4")), "tick 3, or tick 4", "tick 3 else tick 4"},
		{Lines(Name("heel_gap"), Text{}, Plain("100 %")), "heel gap\n100 %", "gap heel\n100 %"},
		{Lines(Name("heel_gap")), "heel gap", "gap heel"},
		{Of(errors.Join(refusal{"1"}, errors.New("plain"))), "more than 1\nplain", "1 exceeded\nplain"},
		{Of(asSentence{Join(", or ", F("1 door"), Plain("tick 4"))}), "1 door, or tick 4", "door one else tick 4"},
		{Of(around{refusal{"8 mm"}}), "more than 8 mm", "8 mm exceeded"},
		{F("not in the catalogue: %q", "x"), `not in the catalogue: "x"`, `not in the catalogue: "x"`},
		{F("%s %% of %s", "65", "66"), "65 % of 66", "65 % of 66"},
		{F("%s left", 3), "3 left", "3 left"},
	} {
		if got := c.text.String(); got != c.english {
			t.Errorf("English: got %q, want %q", got, c.english)
		}
		if got := backwards.Say(c.text); got != c.back {
			t.Errorf("translated: got %q, want %q", got, c.back)
		}
		data, err := json.Marshal(c.text)
		if err != nil {
			t.Fatal(err)
		}
		var again Text
		if err := json.Unmarshal(data, &again); err != nil {
			t.Fatal(err)
		}
		if got := backwards.Say(again); got != c.back {
			t.Errorf("stored as %s: got %q, want %q", data, got, c.back)
		}
	}
}

// An error on its way up keeps its sentence.
func TestOf_wrapped(t *testing.T) {
	err := error(F("plumb: %s", refusal{"3 mm"}))
	if got := backwards.Say(Of(err)); got != "plumb: 3 mm exceeded" {
		t.Errorf("got %q", got)
	}
	away := errors.New("away")
	wrapped := Wrap(away, F("door %s is held by %s", "A-1", refusal{"3 mm"}))
	if got := backwards.Say(Of(wrapped)); got != "3 mm exceeded holds A-1, the door" || !errors.Is(wrapped, away) {
		t.Errorf("with its cause: got %q, away is %v", got, errors.Is(wrapped, away))
	}
	var log strings.Builder
	slog.New(slog.NewJSONHandler(&log, nil)).Error("x", "why", wrapped)
	if want := `"why":"door A-1 is held by more than 3 mm"`; !strings.Contains(log.String(), want) {
		t.Errorf("got the log %s, want %s in it", &log, want)
	}
	if got := backwards.Say(Of(fmt.Errorf("%w", wrapped))); got != "3 mm exceeded holds A-1, the door" {
		t.Errorf("in another error: got %q", got)
	}
	if got := Of(fmt.Errorf("store: %w", errors.New("away"))); got.String() != "store: away" {
		t.Errorf("got %q", got)
	}
}
