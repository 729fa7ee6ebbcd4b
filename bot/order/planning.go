package order

import (
	"cmp"
	"errors"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// when reads a time; what stands after " to " or "because" is why, or else
// what stands after a day and its time.
func (e *Request) when(text string) (time.Time, string, error) {
	phrase, why := splitBecause(polite.ReplaceAllString(text, ""))
	if why == "" {
		if i := strings.Index(phrase, " to "); i > 0 {
			phrase, why = phrase[:i], phrase[i+1:]
		}
	}
	at, err := e.Site.When(phrase, e.Msg.At)
	if m := dayAndTime.FindStringSubmatch(phrase); err != nil && why == "" && m != nil {
		if then, err := e.Site.When(m[1], e.Msg.At); err == nil {
			return then, m[2], nil
		}
	}
	if err != nil && why == "" {
		return e.dayAnd(phrase, err)
	}
	if err != nil {
		return at, "", bot.Refuse(err)
	}
	return at, why, nil
}

// dayAnd parts a day from what stands behind it, as in "friday latch", the longest
// that is one; not where that may be of the time: friday 9 latch is asked about,
// friday afternoon is no hour.
func (e *Request) dayAnd(phrase string, err error) (time.Time, string, error) {
	words := strings.Fields(phrase)
	for n := len(words) - 1; n > 0; n-- {
		rest := strings.Join(words[n:], " ")
		rest, morning := strings.CutPrefix(rest, "morning")
		at, no := e.Site.When(strings.Join(words[:n], " "), e.Msg.At)
		if _, asks := errors.AsType[*jobs.HourError](no); asks {
			return at, "", bot.Refuse(no)
		}
		if no == nil && namesDay.MatchString(strings.Join(words[:n], " ")) && !ofTime.MatchString(rest) && (!morning || rest == "" || rest[0] == ' ') {
			return at, strings.TrimSpace(rest), nil
		}
	}
	return time.Time{}, "", bot.Refuse(err)
}

// namesDay matches what names a day: behind a time of day alone may stand one that
// is misspelt, as in 10:00 thursdy.
var namesDay = regexp.MustCompile(`(?i)day\b|\btomorrow\b|\b(?:mon|tues?|wed|thu|thurs?|fri|sat|sun)\b|\d-\d`)

// polite matches what is said to us and no part of what is meant.
var polite = regexp.MustCompile(`(?i)[\s,]*\b(?:please|pls|thanks|thank you|cheers|mate)[\s.!]*$`)

// ofTime matches what may say when, behind a day.
var ofTime = regexp.MustCompile(`(?i)\d|^\s*(?:at|in|on|by|from|till|until|next|this|before|after|or|and|noon|midday|afternoon|evening|night|early|late|week)\b`)

var dayAndTime = regexp.MustCompile(`(?i)^((?:on )?\S*[^\s:]{3} (?:at )?\d{1,2}:\d\d)[ ,]+(.+)$`)

// visit plans a return: when, for how long, by whom, and what for, as "Thursday
// 9:00 2h @bo margins".
func (e *Request) visit(text string) error {
	if note, ok := strings.CutPrefix(text, "done"); ok {
		id, note := visitID(note)
		return e.finish("visit done", id, note)
	}
	if err := ruledOut(text, "visit Thursday 9:00 @bo"); err != nil {
		return err
	}
	if said, asks := strings.CutSuffix(strings.TrimSpace(text), "?"); asks {
		order := "door " + e.DoorID + " visit " + strings.TrimRight(said, " ?")
		e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("with a question mark nothing is planned: is it so, %s? say yes, or no", order)})
		return nil
	}
	text, err := spokenTime(text)
	if err != nil {
		return err
	}
	typed := text
	text, people := takePeople(text)
	if e.askWho("visit", text, people) {
		return nil
	}
	if e.askHours(typed) {
		return nil
	}
	text, takes := takeLength(text)
	at, why, err := e.when(text)
	if err == nil && !strings.Contains(text, "because") {
		err = ofVisit(why)
	}
	if err != nil {
		return err
	}
	return e.Do(&jobs.SetVisit{At: at, Why: why, Who: people, Takes: takes})
}

// takePeople takes the people named by @ out of a text, and what leads to them.
func takePeople(text string) (rest string, people []string) {
	for _, m := range person.FindAllStringSubmatch(text, -1) {
		if !slices.Contains(people, m[1]) {
			people = append(people, m[1])
		}
	}
	return strings.Join(strings.Fields(person.ReplaceAllString(text, " ")), " "), people
}

var person = regexp.MustCompile(`(?i)(?:\b(?:by|with|and|for|to|is)\s+)?@([a-z0-9][a-z0-9._-]*[a-z0-9]|[a-z0-9])\b[,;]?`)

// takeLength takes a length of time from behind a day or a time of day; before
// one it says when, as 2h does.
func takeLength(text string) (rest string, takes time.Duration) {
	m := lengthBehind.FindStringSubmatchIndex(text)
	if m == nil {
		return text, 0
	}
	group := func(i int) float64 {
		if m[2*i] < 0 {
			return 0
		}
		v, _ := strconv.ParseFloat(text[m[2*i]:m[2*i+1]], 64)
		return v
	}
	takes = time.Duration(group(2)*float64(time.Hour)) + time.Duration(group(3)+group(4))*time.Minute
	return strings.TrimSpace(text[:m[3]] + " " + strings.TrimLeft(text[m[1]:], " ,;")), takes
}

// Length reads a length of time by itself, as 2h or 1 h 30 min.
func Length(text string) (time.Duration, error) {
	rest, takes := takeLength("0:00 " + text)
	if takes == 0 || rest != "0:00" {
		return 0, say.F("%q is no length of time: say it as 2h or 45 min", lex.CutText(text, 40))
	}
	return takes, nil
}

var lengthBehind = regexp.MustCompile(`(?i)^(.*?(?:\d{1,2}:\d\d(?:\s*[ap]m)?|\d\s*[ap]m|\bnoon|\btomorrow|\btoday|day|-\d\d))[\s,]+(?:for\s+)?(?:(\d+(?:\.\d+)?)\s*(?:h|hrs?|hours?)(?:\s*(\d+)\s*(?:min\w*|m)?)?|(\d+)\s*(?:min|mins|minutes))(?:\b|$)`)

// visitID takes a visit's id from the front of the text, if it stands there.
func visitID(text string) (id, rest string) {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	first = strings.TrimRight(first, ",;:")
	if len(first) > 1 && (first[0] == 'v' || first[0] == 'V') && lex.IsDigit(first[1]) {
		return strings.ToLower(first), rest
	}
	return "", strings.TrimSpace(text)
}

// moveVisit moves a visit, gives it to others, or both.
func (e *Request) moveVisit(text string) error {
	id, rest := visitID(text)
	if err := ruledOut(text, "move visit to Friday 9:00 @bo"); err != nil {
		return err
	}
	rest, err := spokenTime(rest)
	if err != nil {
		return err
	}
	rest, people := takePeople(rest)
	if e.askWho("move visit", strings.TrimSpace(id+" "+rest), people) {
		return nil
	}
	rest, takes := takeLength(strings.TrimSpace(strings.TrimPrefix(rest, "to ")))
	cmd := &jobs.MoveVisit{ID: id, Who: people, Takes: takes}
	if rest != "" || len(people) == 0 {
		was, err := e.visitAt(id)
		if err != nil {
			return err
		}
		if !was.IsZero() {
			rest = keptTime(rest, was, e.Msg.At)
		}
		if cmd.At, cmd.Why, err = e.when(rest); err == nil && !strings.Contains(rest, "because") {
			err = ofVisit(cmd.Why)
		}
		if err != nil {
			return err
		}
	}
	return e.Do(cmd)
}

// visitAt returns when the visit is that is named, or the only one; zero where it
// is open which is meant.
func (e *Request) visitAt(id string) (at time.Time, err error) {
	j, err := e.Job()
	if err != nil {
		return at, err
	}
	planned := j.Door.Planned()
	for _, v := range planned {
		if v.ID == id || id == "" && len(planned) == 1 {
			at = v.At.In(e.Site.Zone)
		}
	}
	return at, nil
}

// finish ends a visit that was made, by the order that says so.
func (e *Request) finish(order, id, note string) error {
	note, asked, err := e.notYet(strings.TrimSpace(order+" "+id), note)
	if asked || err != nil {
		return err
	}
	return e.Do(&jobs.FinishVisit{ID: id, Note: note})
}

// closed closes a snag with what was done, by the order that says so.
func (e *Request) closed(order, id, note string) error {
	note, asked, err := e.notYet(order+" "+id, note)
	if asked || err != nil {
		return err
	}
	return e.Do(&jobs.CloseSnag{ID: id, Done: note})
}

func (e *Request) cancelVisit(text string) error {
	what, why := splitBecause(text)
	id, _ := visitID(what)
	return e.Do(&jobs.CancelVisit{ID: id, Why: why})
}

// waiting returns the reminders of some kinds that were due by now and wait for
// an answer of whoever speaks, the latest first: those said to them, or, of a
// foreman or the office to whom none was, those said to others.
func (e *Request) waiting(j *jobs.Job, kinds ...string) ([]jobs.Reminder, error) {
	var mine, others []jobs.Reminder
	asked := map[string]bool{}
	for _, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
		if r.Due.After(e.Msg.At) || !slices.Contains(kinds, r.Kind) {
			continue
		}
		told := j.Site.Told(&j.Door.Spec, r.Args["to"], e.Msg.At)
		for _, who := range told {
			asked["@"+who] = true
		}
		switch {
		case slices.Contains(told, e.Msg.Person):
			mine = append(mine, r)
		case j.Door.Answers(&r, e.Msg.Person, j.Site, e.Msg.At):
			others = append(others, r)
		}
	}
	if len(mine) == 0 {
		mine = others
	}
	if len(mine) == 0 && len(asked) > 0 && !slices.Contains(j.Door.Spec.Crew, e.Msg.Person) {
		return nil, bot.Refuse(say.F("that is asked of %s: they answer it, or foreman or office", say.Names(" ", slices.Sorted(maps.Keys(asked))...)))
	}
	slices.SortFunc(mine, func(a, b jobs.Reminder) int {
		return cmp.Or(b.Due.Compare(a.Due), strings.Compare(a.ID, b.ID))
	})
	return mine, nil
}

// latest returns the latest reminder of each subject.
func latest(waiting []jobs.Reminder) (out []jobs.Reminder) {
	for _, r := range waiting {
		if !slices.ContainsFunc(out, func(o jobs.Reminder) bool { return tell.Subject(o.ID) == tell.Subject(r.ID) }) {
			out = append(out, r)
		}
	}
	return out
}

// done answers the visit or the snag that is named, the one whose reminder
// waits, or the visit whose time has come although its reminder is put off. It
// never passes a hold point: the control sample is ticked by itself.
func (e *Request) done(text string) error {
	id, note := visitID(text)
	if id != "" {
		return e.finish("done", id, note)
	}
	if id, note = snagID(text); id != "" {
		if err := severalSnags(id, note); err != nil {
			return err
		}
		return e.closed("done", id, cmp.Or(note, string(jobs.PutRight)))
	}
	j, err := e.Job()
	if err != nil {
		return err
	}
	cmd, err := e.finishes(j, note)
	if err != nil {
		return err
	}
	if snag, ok := cmd.(*jobs.CloseSnag); ok {
		return e.closed("done", snag.ID, snag.Done)
	}
	return e.finish("done", cmd.(*jobs.FinishVisit).ID, note)
}

// finishes returns what answers the one visit or snag at a door that done may mean.
func (e *Request) finishes(j *jobs.Job, note string) (cmd jobs.Command, err error) {
	if !j.Door.Off.IsZero() {
		return nil, bot.Refuse(say.F("%s is called off: nothing is due there", j.Door.Spec.ID))
	}
	waiting, err := e.waiting(j, jobs.VisitDue, jobs.SnagDue)
	if err != nil {
		return nil, err
	}
	id := ""
	switch prompts := latest(waiting); len(prompts) {
	case 0:
		if id, err = e.overdue(j); err != nil {
			return nil, err
		}
	case 1:
		if snag := prompts[0].Args["snag"]; snag != "" {
			return &jobs.CloseSnag{ID: snag, Done: cmp.Or(note, string(jobs.PutRight))}, nil
		}
		id = prompts[0].Args["visit"]
	default:
		return nil, which(prompts, func(r *jobs.Reminder) string {
			return strings.TrimSpace("done " + r.Args["visit"] + r.Args["snag"] + " " + note)
		})
	}
	return &jobs.FinishVisit{ID: id, Note: note}, nil
}

// overdue returns the one visit whose time has come.
func (e *Request) overdue(j *jobs.Job) (id string, err error) {
	planned := j.Door.Planned()
	var come []string
	mine := j.Site.Leads(e.Msg.Person) || slices.Contains(j.Door.Spec.Crew, e.Msg.Person)
	for _, v := range planned {
		if !v.At.After(e.Msg.At) {
			come = append(come, v.ID)
		}
		mine = mine || slices.Contains(v.Who, e.Msg.Person)
	}
	switch {
	case len(planned) == 0 && len(j.Door.Visits) > 0:
		last := slices.MaxFunc(j.Door.Visits, func(a, b jobs.Visit) int { return a.Done.Compare(b.Done) })
		return "", bot.Refuse(say.F("done with what? no visit is planned any more: %s", tell.VisitLine(&last, e.Site, e.Msg.At)))
	case len(planned) == 0:
		return "", bot.Refuse(say.F("done with what? no visit is planned: tick an item, or close a snag"))
	case !mine:
		return "", bot.Refuse(say.F("that is for the door's crew to say, foreman or office"))
	case len(come) == 0:
		return "", bot.Refuse(say.F("done with what? no visit's time has come; if it was made before, say visit done %s: %s", planned[0].ID, tell.VisitLine(&planned[0], e.Site, e.Msg.At)))
	case len(come) > 1:
		return "", bot.Refuse(say.F("which visit is done: done %s?", say.Names(", or done ", come...)))
	}
	return come[0], nil
}

// which asks which of several reminders an order is about: order returns it
// with a reminder named in it.
func which(reminders []jobs.Reminder, order func(*jobs.Reminder) string) error {
	orders := make([]string, len(reminders))
	for i := range reminders {
		orders[i] = order(&reminders[i])
	}
	slices.Sort(orders)
	return &choice{orders: orders}
}

// whichVisit returns the ways to name the visit that an order is about.
func whichVisit(e *jobs.WhichVisitError, order, rest string, site *jobs.Site) *choice {
	if order == "visit" {
		order, rest = "visit done", strings.TrimSpace(rest[len("done"):])
	}
	c := &choice{}
	for _, v := range e.Planned {
		c.orders = append(c.orders, strings.TrimSpace(order+" "+v.ID+" "+rest))
		c.notes = append(c.notes, bot.Instant(v.At, site))
	}
	return c
}

// yes takes the visit that is proposed to whoever speaks, or the one of the
// time that is named. If that time is over, it is the next that can be
// proposed.
func (e *Request) yes(text string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	if done, err := e.yesSo(j, text); done || err != nil {
		return err
	}
	named, err := time.ParseInLocation(bot.Minute, text, e.Site.Zone)
	one := err == nil
	for _, v := range j.Door.Planned() {
		if one && v.At.Equal(named) {
			return bot.Refuse(say.F("that is planned already: %s", tell.VisitLine(&v, e.Site, e.Msg.At)))
		}
	}
	waiting, err := e.proposing(j)
	if err != nil {
		return err
	}
	proposals := latest(slices.DeleteFunc(slices.Clone(waiting), func(r jobs.Reminder) bool {
		at, err := time.Parse(time.RFC3339, r.Args["visit"])
		drawnLate := !at.After(e.Msg.At) && named.After(at)
		return err != nil || one && !at.Equal(named) && !drawnLate || !one && r.Due.Before(e.Msg.Spoken)
	}))
	if text == "" {
		if asked, err := e.unsaidTo(j, proposals); asked || err != nil {
			return err
		}
	}
	switch {
	case len(proposals) == 0 && one:
		return bot.Refuse(say.F("that time is not proposed any more: say visit and a time"))
	case len(proposals) == 0 && len(waiting) > 0 && !e.Msg.Spoken.IsZero():
		return bot.Refuse(say.F("yes to what? something else was said since a visit was proposed: say visit and a time"))
	case len(proposals) == 0:
		return bot.Refuse(say.F("yes to what? no single visit is proposed here"))
	case len(proposals) > 1:
		return bot.Refuse(say.F("several visits are proposed here: say visit, a time and what it is for"))
	}
	at := named
	if !at.After(e.Msg.At) {
		at, _ = j.Proposed(proposals[0].Kind, proposals[0].Args["visit"], e.Msg.At)
	}
	return e.Do(&jobs.SetVisit{At: at.In(e.Site.Zone), Why: cmp.Or(proposals[0].Args["for"], string(jobs.AfterCure))})
}

// proposing returns the reminders that propose a visit to whoever speaks.
func (e *Request) proposing(j *jobs.Job) ([]jobs.Reminder, error) {
	kinds := []string{jobs.CareDue}
	if len(j.Door.Planned()) == 0 {
		kinds = append(kinds, jobs.CureEnds)
	}
	return e.waiting(j, kinds...)
}

// snooze puts off the one reminder that waits for whoever speaks, or the one
// that is named.
func (e *Request) snooze(text string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	cmd, err := e.snoozes(j, text)
	if err != nil {
		return err
	}
	return e.Do(cmd)
}

// snoozes returns what puts that off at a door.
func (e *Request) snoozes(j *jobs.Job, text string) (jobs.Command, error) {
	phrase, name, named := strings.Cut(text, " of ")
	until, closed, err := e.Site.Morning(phrase, e.Msg.At)
	if err != nil {
		return nil, bot.Refuse(err)
	}
	if said := say.Of(closed); !closed.IsZero() && !slices.ContainsFunc(e.righted, func(t say.Text) bool { return t.String() == said.String() }) {
		e.righted = append(e.righted, said)
	}
	name, pressed := strings.CutPrefix(name, tell.ByID)
	r, known := jobs.Pending(&j.Door, j.Sheet, j.Site)[name]
	later := known && r.Due.After(e.Msg.At)
	if known && !later && pressed {
		return &jobs.SnoozeReminder{ID: name, Until: until}, nil
	}
	waiting, err := e.waiting(j, promptable...)
	if err != nil {
		return nil, err
	}
	if pressed {
		waiting = nil // it is about that one alone
	}
	if len(waiting) == 0 && !pressed {
		waiting = e.putOff(j)
	}
	about := slices.DeleteFunc(latest(waiting), func(r jobs.Reminder) bool { return named && !isNamed(&r, name) })
	can := slices.DeleteFunc(slices.Clone(about), func(r jobs.Reminder) bool { return r.Urgent })
	switch {
	case len(about) == 0 && later:
		return nil, bot.Refuse(say.F("there is nothing to put off now: that reminder comes %s", bot.Instant(r.Due, e.Site)))
	case len(about) == 0 && named:
		return nil, bot.Refuse(say.F("there is nothing left to put off: that reminder has had its answer"))
	case len(about) == 0:
		return nil, bot.Refuse(say.F("there is no reminder to put off"))
	case len(can) > 1:
		return nil, which(can, func(r *jobs.Reminder) string { return "snooze " + phrase + " of " + tell.Subject(r.ID) })
	}
	return &jobs.SnoozeReminder{ID: append(can, about...)[0].ID, Until: until}, nil
}

// putOff returns the reminders that whoever speaks has put off and may put off
// again.
func (e *Request) putOff(j *jobs.Job) (off []jobs.Reminder) {
	for _, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
		if _, ok := j.Door.Snoozed[r.ID]; ok && r.Due.After(e.Msg.At) && slices.Contains(promptable, r.Kind) && j.Door.Answers(&r, e.Msg.Person, j.Site, e.Msg.At) {
			off = append(off, r)
		}
	}
	slices.SortFunc(off, func(a, b jobs.Reminder) int { return strings.Compare(a.ID, b.ID) })
	return off
}

// isNamed reports whether people name the reminder so: by what it is about,
// or by its visit alone.
func isNamed(r *jobs.Reminder, name string) bool {
	about, name := tell.Subject(r.ID), tell.Subject(name)
	return strings.EqualFold(name, about) || strings.EqualFold("visit "+name, about)
}

func (e *Request) undo(string) error { return e.Do(&jobs.UndoLastMessage{}) }

func (e *Request) handOver(text string) error {
	rest, why := splitBecause(text)
	if rest != "" {
		return bot.Refuse(say.F("hand over is done at once, with nothing but a reason behind it: not %q", lex.CutText(rest, 40)))
	}
	return e.Do(&jobs.HandDoor{Why: why})
}
