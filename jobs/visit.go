package jobs

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// SetVisit plans a return to the door, by some people and for a length of time
// if they are named.
type SetVisit struct {
	At    time.Time
	Why   string
	Who   []string
	Takes time.Duration
}

// MoveVisit moves a planned visit, or has others come, or for longer: what is
// zero stays. ID may be empty if only one is planned.
type MoveVisit struct {
	ID    string
	At    time.Time
	Who   []string
	Takes time.Duration
	Why   string // what was said with it
}

// CancelVisit calls a planned visit off, with a reason.
type CancelVisit struct{ ID, Why string }

// FinishVisit says that somebody was there.
type FinishVisit struct{ ID, Note string }

// SnoozeReminder puts a reminder of the door off: what was said to the crew
// for the crew, what was said to the foreman for the foreman.
type SnoozeReminder struct {
	ID    string
	Until time.Time
}

func (*SetVisit) action() Action       { return VisitWork }
func (*MoveVisit) action() Action      { return VisitWork }
func (*CancelVisit) action() Action    { return VisitWork }
func (*FinishVisit) action() Action    { return VisitWork }
func (*SnoozeReminder) action() Action { return VisitWork }

// ahead refuses a time that is over, too far off or, but for the foreman,
// outside working hours.
func (t *turn) ahead(at time.Time) error {
	if _, err := ahead(at.In(t.Site.Zone), t.Now.In(t.Site.Zone), at.In(t.Site.Zone).Format(dayAndTime)); err != nil {
		return about("date", err)
	}
	if !t.Site.Open(at) && t.Site.Role(t.Who) != Foreman {
		field, why := "date", t.Site.ClosedOn(DateOf(at.In(t.Site.Zone)))
		if why.IsZero() {
			field, why = "time", calc.F("outside working hours")
		}
		next, _ := t.Site.Slot(at, 0)
		return wrong(field, "nobody works then (%s): the next slot is %s", why, onDay(next.In(t.Site.Zone)))
	}
	return nil
}

// Lengths that a visit may have: the project's own.
const (
	visitLeast = 5 * time.Minute
	visitMost  = 12 * time.Hour
)

// within refuses a length that no visit has or, but for the foreman, one that
// goes on when nobody works any more.
func (t *turn) within(at time.Time, takes time.Duration) error {
	if takes == 0 {
		return nil
	}
	if takes < visitLeast || takes > visitMost || takes%time.Minute != 0 {
		return wrong("takes", "a visit takes 5 min to 12 h, in whole minutes, and this one %s", Lasts(int(takes.Minutes())))
	}
	at, end := at.In(t.Site.Zone), at.Add(takes).In(t.Site.Zone)
	hours := t.Site.Hours[at.Weekday()]
	if len(hours) == 0 || t.Site.Role(t.Who) == Foreman {
		return nil
	}
	if close := hours[len(hours)-1].To; end.After(DateOf(at).At(close, t.Site.Zone)) {
		return wrong("takes", "it would end %s, and work that day ends %s", end.Format("15:04"), close)
	}
	return nil
}

// Lasts tells a length of time in minutes, as 2 h or 1 h 30 min.
func Lasts(minutes int) string {
	d := time.Duration(minutes) * time.Minute
	switch h, m := int(d.Hours()), minutes%60; {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	default:
		return fmt.Sprintf("%d h %d min", h, m)
	}
}

func (c *SetVisit) decide(t *turn) error {
	if err := errors.Join(t.ahead(c.At), t.known("who", c.Who...), t.within(c.At, c.Takes), about("why", checkText(c.Why))); err != nil {
		return err
	}
	for _, v := range t.door.Planned() {
		if v.At.Equal(c.At) {
			return calc.F("that visit is planned already: %s", v.ID)
		}
	}
	id := fmt.Sprintf("v%d", len(t.door.Visits)+1)
	t.emit(Event{Kind: VisitSet, Item: id, When: c.At, Text: c.Why, For: t.returning(c.Why), Names: c.Who, Takes: int(c.Takes.Minutes())})
	t.tellVisit(id, c.Who)
	return nil
}

// tellVisit tells people of a visit that is theirs.
func (t *turn) tellVisit(id string, who []string) {
	v := t.door.Visit(id)
	text := calc.F("%s %s", id, onDay(v.At.In(t.Site.Zone)))
	if v.Takes > 0 {
		text = calc.F("%s, %s", text, Lasts(v.Takes))
	}
	if v.Why != "" {
		text = calc.F("%s (%s)", text, Recorded(v.Why))
	}
	t.tellThem(visiting, who, text)
}

// returning says which return after handover a visit set now is: the one that
// why names or, if it is for nothing in particular, the only one that is
// proposed.
func (t *turn) returning(why string) string {
	why = strings.TrimPrefix(strings.ToLower(strings.TrimSpace(why)), "for ")
	if slices.Contains(returns, why) {
		return why
	}
	if why != "" {
		return "" // it is for something else
	}
	open := map[string]bool{}
	for _, r := range Pending(&t.door, t.Sheet, t.Site) {
		if r.Kind == CareDue && !r.Due.After(t.Now) {
			open[r.Args["for"]] = true
		}
	}
	if len(open) != 1 {
		return ""
	}
	return slices.Collect(maps.Keys(open))[0]
}

// WhichVisitError says that several visits are planned and none was named.
type WhichVisitError struct{ Planned []Visit }

func (e *WhichVisitError) Error() string { return e.text().String() }

// Sentence asks which.
func (e *WhichVisitError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *WhichVisitError) text() calc.Text {
	ids := make([]string, len(e.Planned))
	for i, v := range e.Planned {
		ids[i] = v.ID
	}
	return calc.F("which visit: %s?", strings.Join(ids, ", "))
}

// planned returns the visit that is meant.
func (t *turn) planned(id string) (*Visit, error) {
	open := t.door.Planned()
	if id == "" && len(open) == 1 {
		id = open[0].ID
	}
	switch {
	case id == "" && len(open) == 0:
		if len(t.door.Visits) > 0 {
			last := slices.MaxFunc(t.door.Visits, func(a, b Visit) int { return a.Done.Compare(b.Done) })
			key := "no visit is planned: %s was made, entered on %s"
			if last.End == VisitCalled {
				key = "no visit is planned: %s was called off on %s"
			}
			return nil, calc.F(key, last.ID, onDay(last.Done.In(t.Site.Zone)))
		}
		return nil, calc.F("no visit is planned")
	case id == "":
		return nil, &WhichVisitError{Planned: open}
	}
	v := t.door.Visit(id)
	if v == nil {
		return nil, calc.F("there is no visit %s", cut(id, 40))
	}
	if v.End != "" {
		since := v.Done.In(t.Site.Zone).Format(dayAndTime)
		if v.End == VisitDone {
			return nil, calc.F("visit %s is done already, since %s", id, since)
		}
		return nil, calc.F("visit %s is called off already, since %s", id, since)
	}
	return v, nil
}

func (c *MoveVisit) decide(t *turn) error {
	v, err := t.planned(c.ID)
	if err != nil {
		return err
	}
	at, takes := c.At, cmp.Or(c.Takes, time.Duration(v.Takes)*time.Minute)
	if at.IsZero() {
		at = v.At
	}
	same := at.Equal(v.At)
	if same && (len(c.Who) == 0 || slices.Equal(c.Who, v.Who)) && (c.Takes == 0 || takes.Minutes() == float64(v.Takes)) {
		return calc.F("visit %s is at that time already", v.ID)
	}
	err = errors.Join(t.known("who", c.Who...), t.within(at, takes), checkText(c.Why))
	if !same {
		err = errors.Join(t.ahead(at), err)
	}
	if err != nil {
		return err
	}
	who, before := c.Who, slices.Clone(v.people(&t.door.Spec))
	if len(who) == 0 {
		who = before
	}
	t.emit(Event{Kind: VisitMoved, Item: v.ID, When: at, Names: c.Who, Takes: int(c.Takes.Minutes()), Text: c.Why})
	t.tellVisit(v.ID, who)
	t.tellThem(visiting, without(before, who), calc.F("%s is not yours any more", v.ID))
	return nil
}

func (c *CancelVisit) decide(t *turn) error {
	v, err := t.planned(c.ID)
	if err != nil {
		return err
	}
	if err := given(c.Why, calc.F("calling a visit off takes a reason")); err != nil {
		return err
	}
	id, who := v.ID, slices.Clone(v.people(&t.door.Spec))
	t.emit(Event{Kind: VisitCalled, Item: id, Text: c.Why})
	t.tellThem(visiting, who, calc.F("%s is called off: %s", id, c.Why))
	return nil
}

func (c *FinishVisit) decide(t *turn) error {
	v, err := t.planned(c.ID)
	if err != nil {
		return err
	}
	if err := checkText(c.Note); err != nil {
		return err
	}
	id, who := v.ID, slices.Clone(v.people(&t.door.Spec))
	t.emit(Event{Kind: VisitDone, Item: id, Text: c.Note})
	if !slices.Contains(who, t.Who) { // else they would go there, and their done finds no visit
		t.tellThem(visiting, who, calc.F("%s is done, says @%s", id, t.Who))
	}
	return nil
}

func (c *SnoozeReminder) decide(t *turn) error {
	r, ok := Pending(&t.door, t.Sheet, t.Site)[c.ID]
	switch {
	case !ok:
		return calc.F("no reminder %s is open", cut(c.ID, 40))
	case !t.door.Answers(&r, t.Who, t.Site, t.Now):
		var theirs []calc.Text
		for _, who := range t.Site.Told(&t.door.Spec, r.Args["to"], t.Now) {
			theirs = append(theirs, calc.F("@%s's", who))
		}
		return calc.F("that is %s to put off", list("%s or %s", theirs))
	case r.Urgent:
		return calc.F("that can't be put off: leaving it would hurt")
	}
	if _, err := ahead(c.Until.In(t.Site.Zone), t.Now.In(t.Site.Zone), "snooze"); err != nil {
		return err
	}
	t.emit(Event{Kind: Snoozed, Item: c.ID, When: t.Site.Quiet(c.Until, false)})
	return nil
}

// people returns who comes: of a visit that names nobody whoever of the crew.
func (v *Visit) people(s *Spec) []string {
	if len(v.Who) == 0 {
		return s.Crew
	}
	return v.Who
}

// without returns those of some people who are not among others.
func without(some, others []string) []string {
	return slices.DeleteFunc(slices.Clone(some), func(id string) bool { return slices.Contains(others, id) })
}
