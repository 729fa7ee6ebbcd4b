package jobs

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// EventVersion is the layout of the events written now.
const EventVersion = 1

// EventKind is what happened.
type EventKind string

// The kinds of events. A kind that is not known here was written by a later
// version; the fold passes over it.
const (
	Opened        EventKind = "opened"
	Corrected     EventKind = "corrected"
	Ticked        EventKind = "ticked"
	Unticked      EventKind = "unticked"
	NotForThis    EventKind = "not-applicable"
	Overridden    EventKind = "overridden"
	Read          EventKind = "read"
	Pictured      EventKind = "photo"
	Fixed         EventKind = "fixed" // numbers that are drilled, cut, ordered or bonded to
	Freed         EventKind = "freed" // they are not, or not so
	SnagOpened    EventKind = "snag-opened"
	SnagClosed    EventKind = "snag-closed"
	SnagMoved     EventKind = "snag-moved" // to another day, or to somebody else
	SnagPictured  EventKind = "snag-photo"
	Mixed         EventKind = "mixed"
	MixSpoilt     EventKind = "mix-spoilt" // thrown away, the batch in names
	Bonded        EventKind = "bonded"
	WarmthRead    EventKind = "temperature"
	WarmthAsked   EventKind = "temperature-asked"  // it voids a cure, and whoever typed it is asked whether it is so
	WarmthDropped EventKind = "temperature-not-so" // it is not
	WarmthHeld    EventKind = "held"               // the foreman vouches for it
	Knocked       EventKind = "knocked"
	Voided        EventKind = "voided"
	WordGiven     EventKind = "word" // the adhesive maker's, in writing
	VisitSet      EventKind = "visit-set"
	VisitMoved    EventKind = "visit-moved"
	VisitCalled   EventKind = "visit-cancelled"
	VisitDone     EventKind = "visit-done"
	LeafDated     EventKind = "leaf"   // ordered, due or delivered, on the day of when
	AnswerKept    EventKind = "answer" // to a question, put on record
	Snoozed       EventKind = "snoozed"
	StageMoved    EventKind = "stage"
	HandedOver    EventKind = "handed-over"
	HandoverTaken EventKind = "handover-taken-back"
	CalledOff     EventKind = "called-off" // the door was opened by mistake
	Recalled      EventKind = "recalled"   // it was called off by mistake
	Renamed       EventKind = "renamed"    // to what item says, from the name that names holds
	Undone        EventKind = "undone"
)

// Event is one entry of a door's log. Its JSON names are stable: fields
// may be added, never renamed or given another meaning, and fields that
// this version does not know are kept as they are.
type Event struct {
	V         int       `json:"v"`
	Kind      EventKind `json:"kind"`
	At        time.Time `json:"at"`
	By        string    `json:"by"`                // a person's id
	Op        string    `json:"op,omitempty"`      // the message it came from
	Item      string    `json:"item,omitempty"`    // of the checklist; or a snag, bond, visit or reminder
	Text      string    `json:"text,omitempty"`    // what was said
	Word      string    `json:"word,omitempty"`    // where the maker's written word or a photo is kept
	Files     []File    `json:"files,omitempty"`   // of a photo
	Value     *Measure  `json:"value,omitempty"`   // of a reading
	Min       *Measure  `json:"min,omitempty"`     // the lowest since the reading before
	Limits    string    `json:"limits,omitempty"`  // it was judged against
	Judgement Judgement `json:"verdict,omitempty"` // on it
	When      time.Time `json:"when,omitzero"`     // a time to come
	From      time.Time `json:"from,omitzero"`     // of what lasts until When
	Stage     Stage     `json:"stage,omitempty"`
	Expires   string    `json:"expires,omitempty"` // of the adhesive that was mixed, as 2027-09-30
	Names     []string  `json:"names,omitempty"`   // of numbers; of the people a snag or a visit is for; or of who handed over or called off
	Spec      *Spec     `json:"spec,omitempty"`
	Numbers   []Number  `json:"numbers,omitempty"` // the card from now on
	Struck    []Struck  `json:"struck,omitempty"`  // what it changed
	Bond      *Bond     `json:"bond,omitempty"`
	Answer    *Kept     `json:"answer,omitempty"` // that was put on record
	// Plate is where the plate's centre was when an item was settled that was
	// looked at there.
	Plate calc.Length `json:"plate,omitempty"`
	For   string      `json:"for,omitempty"`   // the return after handover that a visit is
	Takes int         `json:"takes,omitempty"` // minutes that a visit takes, if that was said
	Since time.Time   `json:"since,omitzero"`  // when it was done, if it was entered later
	// Dropped are the hold points that a correction took from the door or made
	// easier to pass.
	Dropped []string `json:"dropped,omitempty"`
	Misfit  bool     `json:"misfit,omitempty"` // the bot opened the snag because something does not fit
	Hit     bool     `json:"hit,omitempty"`    // the snag tells of what was or may have been hit

	rest map[string]json.RawMessage // fields of a later version
}

// Known reports whether the bot ticked an item itself, by what it knows.
func (e *Event) Known() bool { return e.Kind == Ticked && byBot(e.Text) }

func byBot(text string) bool { return text == string(saidOpening) || text == string(numbersKnown) }

// done returns when it was done: at the latest when it was entered.
func (e *Event) done() time.Time {
	if e.Since.IsZero() {
		return e.At
	}
	return e.Since
}

// Struck is a value that was replaced.
type Struck struct {
	Name string `json:"name"`
	Old  string `json:"old,omitempty"`
	New  string `json:"new,omitempty"`
}

// eventKeys are the JSON names that this version knows.
var eventKeys = func() map[string]bool {
	keys, t := map[string]bool{}, reflect.TypeFor[Event]()
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		keys[name] = true
	}
	return keys
}()

type plainEvent Event // without its methods

// UnmarshalJSON reads an event and keeps what it does not know.
func (e *Event) UnmarshalJSON(data []byte) error {
	var all map[string]json.RawMessage
	if err := json.Unmarshal(data, &all); err != nil {
		return err
	}
	if err := json.Unmarshal(data, (*plainEvent)(e)); err != nil {
		return err
	}
	for i := range e.Names {
		e.Names[i] = numberNow(e.Names[i])
	}
	for i := range e.Struck {
		e.Struck[i].Name = numberNow(e.Struck[i].Name)
	}
	renameNumbers(e.Numbers)
	e.rest = nil
	maps.DeleteFunc(all, func(k string, _ json.RawMessage) bool { return eventKeys[k] })
	if len(all) > 0 {
		e.rest = all
	}
	return nil
}

// MarshalJSON writes an event and what it did not know.
func (e Event) MarshalJSON() ([]byte, error) {
	data, err := json.Marshal(plainEvent(e))
	if err != nil || len(e.rest) == 0 {
		return data, err
	}
	b := bytes.NewBuffer(data[:len(data)-1])
	for _, k := range slices.Sorted(maps.Keys(e.rest)) {
		name, err := json.Marshal(k)
		if err != nil {
			return nil, err
		}
		b.WriteByte(',')
		b.Write(name)
		b.WriteByte(':')
		b.Write(e.rest[k])
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
