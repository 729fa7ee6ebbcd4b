package jobs

import (
	"slices"

	"heelpost/calc"
)

// Action is something that takes a role.
type Action string

// The actions.
const (
	Ask         Action = "ask"       // a question of the trade
	See         Action = "see"       // a door, its log, the board
	Keep        Action = "keep"      // an answer on a door's record
	OpenDoor    Action = "open"      // a door's job
	Correct     Action = "correct"   // a dimension
	Assign      Action = "assign"    // crew and foreman
	CorrectMany Action = "many"      // doors at once
	Evidence    Action = "evidence"  // the gaps of a tested door
	Check       Action = "check"     // tick, untick, not applicable, reading, photo
	DropHold    Action = "drop hold" // by a correction
	Override    Action = "override"  // a hold point
	SnagWork    Action = "snag"      // open and close
	Bonding     Action = "bonding"   // mix, bond, temperature, knocked
	MakerWord   Action = "word"      // end a void cure, or load early, by the maker's word
	Vouch       Action = "vouch"     // for a held temperature
	VisitWork   Action = "visit"     // set, move, cancel, done, snooze
	HandOver    Action = "hand over" // the door
	GoBack      Action = "go back"   // take a handover back, call a door off, rename it
	UndoLast    Action = "undo"      // one's own last message
	RetryNotice Action = "retry"     // a failed notice
)

// Permissions says which roles may do what. It drives code, help and tests.
var Permissions = []struct {
	Action Action
	Roles  []Role
	What   calc.Word // in words, for help
}{
	{Ask, []Role{Guest, Crew, Foreman, Office}, "ask a question of the trade"},
	{See, []Role{Guest, Crew, Foreman, Office}, "look at doors, logs and the board"},
	{Keep, []Role{Crew, Foreman, Office}, "put an answer on a door's record"},
	{OpenDoor, []Role{Crew, Foreman, Office}, "open a door"},
	{Correct, []Role{Crew, Foreman, Office}, "correct a dimension"},
	{Assign, []Role{Foreman, Office}, "change crew or foreman"},
	{CorrectMany, []Role{Foreman, Office}, "correct several doors at once"},
	{Evidence, []Role{Foreman}, "enter the gaps of a fire or smoke door's test evidence"},
	{Check, []Role{Crew, Foreman}, "tick, read and photograph the checklist"},
	{Override, []Role{Foreman}, "override a hold point"},
	{DropHold, []Role{Foreman}, "drop a hold point by a correction (heating, tendons, pipes, another floor)"},
	{SnagWork, []Role{Crew, Foreman, Office}, "open and close snags"},
	{Bonding, []Role{Crew, Foreman}, "mix, bond, and enter temperatures"},
	{MakerWord, []Role{Foreman}, "attach the adhesive maker's written word"},
	{Vouch, []Role{Foreman}, "vouch for a held temperature"},
	{VisitWork, []Role{Crew, Foreman, Office}, "set, move, cancel and finish visits"},
	{HandOver, []Role{Crew, Foreman}, "hand a door over"},
	{GoBack, []Role{Foreman}, "take a handover back, call a door off, rename it"},
	{UndoLast, []Role{Crew, Foreman, Office}, "undo one's own last message"},
	{RetryNotice, []Role{Foreman, Office}, "send a failed notice again"},
}

// Allowed reports whether a role may do something.
func Allowed(r Role, a Action) bool {
	for _, p := range Permissions {
		if p.Action == a {
			return slices.Contains(p.Roles, r)
		}
	}
	return false
}

// PermissionError says that somebody may not do something.
type PermissionError struct {
	Who    string
	Role   Role
	Action Action
}

func (e *PermissionError) Error() string { return e.text().String() }

// Sentence says who may do it.
func (e *PermissionError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *PermissionError) text() calc.Text {
	for _, p := range Permissions {
		if p.Action == e.Action {
			roles := make([]calc.Word, len(p.Roles))
			for i, r := range p.Roles {
				roles[i] = calc.Word(r)
			}
			return calc.F("%s is %s here: to %s takes %s", e.Who, calc.Word(e.Role), p.What, list("%s or %s", roles))
		}
	}
	return calc.F("nobody may %s", calc.Word(e.Action))
}
