package jobs

import (
	"encoding/json"

	"heelpost/calc"
)

// Kept is an answer to a question of the trade as it goes on a door's record:
// what was asked, what came of it, what that must not be read without, and by
// what, given or assumed.
type Kept struct {
	Asked   string            `json:"asked"`
	Told    json.RawMessage   `json:"told,omitempty"` // what was said first, where it has what no result has: a sentence, as it is kept
	Results []Told            `json:"results"`
	But     []json.RawMessage `json:"but,omitempty"` // sentences, as they are kept
	By      []Told            `json:"by,omitempty"`
	If      []Told            `json:"if,omitempty"`
}

// Told is a value under its name, as it was told: a figure with its unit, or a
// word of ours.
type Told struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// KeepAnswer puts an answer on the door's record.
type KeepAnswer struct{ Kept }

func (*KeepAnswer) action() Action { return Keep }

func (c *KeepAnswer) decide(t *turn) error {
	if len(c.Results) == 0 && c.Told == nil {
		return calc.F("nothing came of that: there is nothing to keep")
	}
	t.emit(Event{Kind: AnswerKept, Answer: &c.Kept})
	return nil
}
