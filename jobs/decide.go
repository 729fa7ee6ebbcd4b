package jobs

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"heelpost/calc"
)

// Context is what a command is decided against, beside the door.
type Context struct {
	Sheet *Sheet // the door's, by its hash
	// SheetBefore is the one it had, for a correction that takes another.
	SheetBefore *Sheet
	Site        *Site
	Now         time.Time
	Who         string // a person's id
	Op          string // the message, so that undo takes back all of it
}

// Command is something that somebody wants done to a door.
type Command interface {
	// action says what it takes to do it.
	action() Action
	// decide puts the events into t, or returns why not.
	decide(t *turn) error
}

// Decision is what comes of a command.
type Decision struct {
	Events    []Event
	Reminders []Reminder
	Door      Door    // after the events
	Left      []error // what a command of several parts left undone, and why
}

// turn is a command being decided.
type turn struct {
	Context
	door   Door // as the events so far leave it
	events []Event
	list   []Item // the checklist since the last event; nil: to be made
	tell   []Reminder
	at     time.Time // when it was done, if it is entered later
	left   []error
}

// Decide returns the events and reminders that come of a command, or an
// error that says why it is refused; then nothing has changed. It is a pure
// function: the same door, command and context give the same decision.
func Decide(d Door, cmd Command, c Context) (Decision, error) {
	t := &turn{Context: c, door: d.clone()}
	if err := t.may(cmd.action()); err != nil {
		return Decision{}, err
	}
	if c.Now.Before(d.Updated) {
		t.Now = d.Updated // two clocks differ: the log does not go backward
	}
	if _, opening := cmd.(*Open); d.Version == 0 && !opening {
		return Decision{}, calc.F("there is no such door yet: open it first")
	}
	if _, off := cmd.(*CallOff); off && d.OffBy != "" {
		return Decision{}, calc.F("%s is called off already, by %s on %s", d.Spec.ID, d.OffBy, onDay(d.Off.In(c.Site.Zone)))
	}
	_, opening := cmd.(*Open)
	if _, back := cmd.(*Recall); !d.Off.IsZero() && !opening && !back {
		return Decision{}, calc.F("%s was called off on %s: nothing is done at it any more; its log is kept, door open begins it anew, and the foreman takes it back by take back call off because and the reason", d.Spec.ID, DateOf(d.Off.In(c.Site.Zone)))
	}
	if err := cmd.decide(t); err != nil {
		return Decision{}, err
	}
	if len(t.events) == 0 {
		return Decision{Door: d}, nil
	}
	t.tickKnown(cmd, &d)
	t.moveStage()
	return Decision{Events: t.events, Door: t.door, Left: t.left,
		Reminders: append(t.tell, due(&d, &t.door, t.Sheet, t.Site)...)}, nil
}

// may refuses what the person's role does not allow.
func (t *turn) may(a Action) error {
	if r := t.Site.Role(t.Who); !Allowed(r, a) {
		return &PermissionError{t.Who, r, a}
	}
	return nil
}

// emit adds an event and applies it.
func (t *turn) emit(e Event) {
	e.V, e.At, e.By, e.Op = EventVersion, t.Now, t.Who, t.Op
	if e.Kind == Ticked || e.Kind == Read || e.Kind == Overridden {
		if r := rule(e.Item); r.there || r.id == plumbItem {
			e.Plate = t.plate()
		}
	}
	t.events, t.list = append(t.events, e), nil
	t.door.apply(&e)
}

// moveStage notes it when the door has come to another stage.
func (t *turn) moveStage() {
	if s := StageOf(t.items(), !t.door.Handover.IsZero()); s != t.door.Stage {
		t.emit(Event{Kind: StageMoved, Stage: s})
	}
}

// items returns the checklist as the events so far leave it. It is kept until
// the next event, so it is only to be read.
func (t *turn) items() []Item {
	if t.list == nil {
		t.list = Checklist(&t.door, t.Sheet)
	}
	return t.list
}

// item returns an item of the checklist by id.
func (t *turn) item(id string) (Item, error) {
	for _, it := range t.items() {
		if it.ID == id {
			return it, nil
		}
	}
	return Item{}, calc.F("%q is no item of this door's checklist", cut(id, 40))
}

// inWork refuses work on a door that was handed over.
func (t *turn) inWork() error {
	if !t.door.Handover.IsZero() {
		return calc.F("%s was handed over on %s: open a snag or set a visit", t.door.Spec.ID, DateOf(t.door.Handover.In(t.Site.Zone)))
	}
	return nil
}

// tellAll adds word of what happened to crew and foreman, tellForeman to the
// foreman alone: at once in working hours, or if it would hurt to wait.
func (t *turn) tellAll(what calc.Word, text calc.Text)     { t.tellTo("all", what, text) }
func (t *turn) tellForeman(what calc.Word, text calc.Text) { t.tellTo("foreman", what, text) }

func (t *turn) tellTo(to string, what calc.Word, text calc.Text) {
	id := fmt.Sprintf("tell:%d:%d", t.door.Version, len(t.tell))
	urgent := slices.Contains(hurting, what) || t.door.Items["stood"].Settled() && (what == knocked || !t.door.Items["engaged"].Settled())
	args := map[string]string{"to": to, "what": string(what), "text": text.String()}
	if urgent {
		args["urgent"] = "yes"
	}
	t.tell = append(t.tell, Reminder{ID: id, Kind: TellNow, Due: t.Site.Quiet(t.Now, urgent), Urgent: urgent, Text: text, Args: args})
}

// tellThem adds word of what happened to some people, but not to whoever does
// it.
func (t *turn) tellThem(what calc.Word, people []string, text calc.Text) {
	others := slices.DeleteFunc(slices.Clone(people), func(id string) bool { return id == t.Who })
	if len(others) > 0 {
		t.tellTo(toPeople(others), what, text)
	}
}

// AmongMany is the arg of word on what was done at several doors at once.
const AmongMany = "many"

// AboveBy is the arg of word on what stands right above it in the door's thread: who
// did it.
const AboveBy = "above"

// What is told, by what the arg says.
const (
	voided       calc.Word = "voided"
	knocked      calc.Word = "knocked"
	notHeld      calc.Word = "not held"
	shortCover   calc.Word = "cover"
	overridden   calc.Word = "overridden"
	corrected    calc.Word = "corrected"
	holdDropped  calc.Word = "hold dropped"
	snagged      calc.Word = "snag"
	visiting     calc.Word = "visit"
	takenBack    calc.Word = "handover taken back"
	calledOff    calc.Word = "called off"
	renamed      calc.Word = "renamed"
	undoneNow    calc.Word = "undone"
	openAgainNow calc.Word = "open again"
)

// hurting is what nobody may go on working without: a leaf could fall, or a
// pipe be drilled.
var hurting = []calc.Word{voided, shortCover, overridden, holdDropped}

// maxText bounds what is put on record in one go.
const maxText = 2000

// checkText refuses texts that are too long or hold characters that don't
// print.
func checkText(s string) error {
	if n := utf8.RuneCountInString(s); n > maxText {
		return calc.F("the note has %s characters: keep it within %s", n, maxText)
	}
	if !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool {
		return unicode.IsControl(r) && r != '\n' && r != '\t' || unicode.Is(unicode.Bidi_Control, r)
	}) {
		return calc.F("the note holds characters that don't print")
	}
	return nil
}

// given refuses a text that is missing, by asking for it, or that is none.
func given(s string, ask calc.Text) error {
	if strings.TrimSpace(s) == "" {
		return ask
	}
	return checkText(s)
}
