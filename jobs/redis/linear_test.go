package redis

import (
	"testing"

	"github.com/anishathalye/porcupine"
)

// doorState is a door as the model has it.
type doorState struct {
	version int64
	state   string
}

// doorModel: a change passes if the version is the one it expects, and a read
// sees the last change.
var doorModel = porcupine.Model{
	Init: func() any { return doorState{} },
	Step: func(state, in, _ any) (bool, any) {
		s, d := state.(doorState), in.(deedLine)
		switch {
		case d.What == "read":
			return s == doorState{d.Version, d.State}, s
		case d.Conflict:
			return s.version != d.Version, s
		}
		return s.version == d.Version, doorState{s.version + 1, d.Op}
	},
}

// noticeState is a notice as the model has it.
type noticeState struct {
	there       bool
	token, till int64
}

// noticeModel: a notice is claimed by one at a time, until the lease ends, and
// settled by the last who claimed it, once.
var noticeModel = (&porcupine.NondeterministicModel{
	Init: func() []any { return []any{noticeState{}} },
	Step: func(state, in, _ any) []any {
		s, d := state.(noticeState), in.(deedLine)
		free := s.there && (s.token == 0 || s.till <= d.Now)
		claimed := noticeState{true, d.Token, d.Till}
		switch {
		case d.What == "put" && !s.there:
			return []any{noticeState{there: true}}
		case d.What == "claim" && free:
			return []any{claimed}
		case d.What == "may claim" && free:
			return []any{s, claimed}
		case d.What == "may claim":
			return []any{s}
		case d.What == "settle" && d.Held == (s.there && s.token == d.Token):
			if d.Held {
				s = noticeState{}
			}
			return []any{s}
		}
		return nil
	},
}).ToModel()

// TestModels_reject shows the models what a store does that is in order, and
// what one does that is not: a history without an order is told.
func TestModels_reject(t *testing.T) {
	type call struct {
		from, to int64
		d        deedLine
	}
	change := func(op string, on int64, late bool) deedLine {
		return deedLine{What: "change", Op: op, Version: on, Conflict: late}
	}
	read := func(version int64, state string) deedLine {
		return deedLine{What: "read", Version: version, State: state}
	}
	put := deedLine{What: "put"}
	claim := func(token, now, till int64) deedLine {
		return deedLine{What: "claim", Token: token, Now: now, Till: till}
	}
	settle := func(token int64, held bool) deedLine { return deedLine{What: "settle", Token: token, Held: held} }
	for _, c := range []struct {
		name  string
		model porcupine.Model
		calls []call
		fine  bool
	}{
		{"one change after the other", doorModel, []call{{0, 1, change("a", 0, false)}, {2, 3, read(1, "a")}, {4, 5, change("b", 1, false)}}, true},
		{"two at once, one too late", doorModel, []call{{0, 5, change("a", 0, false)}, {1, 4, change("b", 0, true)}}, true},
		{"two at once, both pass", doorModel, []call{{0, 5, change("a", 0, false)}, {1, 4, change("b", 0, false)}}, false},
		{"a change is lost", doorModel, []call{{0, 1, change("a", 0, false)}, {2, 3, read(0, "")}}, false},
		{"a read goes back", doorModel, []call{{0, 9, change("a", 0, false)}, {1, 2, read(1, "a")}, {3, 4, read(0, "")}}, false},
		{"refused, and nobody was first", doorModel, []call{{0, 1, change("a", 0, true)}}, false},
		{"claimed, settled", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {4, 5, settle(1, true)}}, true},
		{"claimed anew when the lease has ended", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {10, 11, claim(2, 10, 20)}, {12, 13, settle(1, false)}, {14, 15, settle(2, true)}}, true},
		{"claimed by two at once", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {4, 5, claim(2, 4, 9)}}, false},
		{"settled by who had lost it", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {10, 11, claim(2, 10, 20)}, {12, 13, settle(1, true)}}, false},
		{"settled twice", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {4, 5, settle(1, true)}, {6, 7, settle(1, true)}}, false},
		{"claimed after it went", noticeModel, []call{{0, 1, put}, {2, 3, claim(1, 2, 9)}, {4, 5, settle(1, true)}, {6, 7, claim(2, 10, 20)}}, false},
	} {
		var history []porcupine.Operation
		for i, x := range c.calls {
			history = append(history, porcupine.Operation{ClientId: i, Input: x.d, Output: x.d, Call: x.from, Return: x.to})
		}
		if got := porcupine.CheckOperations(c.model, history); got != c.fine {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
