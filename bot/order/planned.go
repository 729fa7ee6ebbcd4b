package order

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// atSeveral deals with an order that names several doors: what is the same at each,
// as leaf ordered D-1 to D-10 or visit thursday 9:00 margins for D-1, D-2, is shown
// before it is done, what answers reminders is done, and of all else it is said that
// it is of one door. asked is false where it names fewer.
func (e *Request) atSeveral(o *Order, text string) (asked bool, err error) {
	if o.shows || !o.atDoor || slices.Contains([]string{"correct", "rename to"}, o.Words[0]) {
		return false, nil
	}
	before, why := splitBecause(text)
	rest, doors, of := e.doorsOf(o, before)
	ids, err := e.doorsNamed(strings.ToUpper(doors))
	if err != nil || len(ids) < 2 {
		return err != nil, err
	}
	switch o.Words[0] {
	case "done":
		if err := deniedDone("done", joinNote(rest, why)); err != nil {
			return true, err
		}
		return true, e.atEach(ids, func(j *jobs.Job) (jobs.Command, error) { return e.finishes(j, joinNote(rest, why)) })
	case "snooze":
		return true, e.atEach(ids, func(j *jobs.Job) (jobs.Command, error) { return e.snoozes(j, rest) })
	}
	cmd, shown, rest, err := e.plannedAt(o, rest, why, ids)
	switch {
	case err != nil:
		return true, err
	case cmd == nil && (e.Msg.Thread != "" || of == ""): // they may be remarked, and are asked about
		return false, nil
	case cmd == nil:
		one := strings.TrimSpace("door " + ids[0] + " " + o.Words[0] + " " + rest)
		if why != "" {
			one += " because " + why
		}
		return true, bot.Refuse(say.F("%s is said of one door at a time, as %s", say.Name(o.Words[0]), say.Plain(one)))
	case e.Msg.Joined:
		did, not, err := e.each(ids, func(string) jobs.Command { return cmd })
		if err == nil && len(did) == 0 {
			err = bot.Refuse(say.Lines(not...))
		}
		if err == nil {
			e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("%s: entered at %s", shown, say.List(did...))}, append(not, e.notThere()...)...)...))
		}
		return true, err
	}
	return true, e.askPlanned(o, ids, cmd, shown, rest, why)
}

// doorsOf parts an order from the doors that it names, before or behind the rest; of
// is what led to them, "" where they only stand there. Behind those of a snag may
// stand whose it is and by when.
func (e *Request) doorsOf(o *Order, text string) (rest, doors, of string) {
	behind := ""
	if o.Words[0] == "snag" {
		if m := ownerBehind.FindStringIndex(text); m != nil {
			text, behind = text[:m[0]], text[m[0]:]
		}
	}
	rest, doors = splitDoors(" " + text)
	if doors != "" {
		of = forFirst.FindString(strings.TrimSpace((" " + text)[len(rest):]))
	}
	if m := doorsAhead.FindStringSubmatch(forFirst.ReplaceAllString(text, "")); m != nil {
		doors, of = m[1], "for"
		rest = strings.TrimLeft(forFirst.ReplaceAllString(text, "")[len(m[0]):], " ,;:")
	}
	return strings.TrimSpace(rest + behind), doors, of
}

// ownerBehind matches whose a snag is, and by when, at the end of a text.
var ownerBehind = regexp.MustCompile(`(?i)(?:\s+(?:for\s+)?@\S+|\s+by\s+\S+(?:\s+\S+)?)+$`)

// joinNote returns a remark and a reason as one.
func joinNote(note, why string) string { return strings.TrimSpace(note + " " + why) }

// plannedAt returns what an order is at each of several doors, how it is shown and how
// it is said; nil if it is of one door only.
func (e *Request) plannedAt(o *Order, text, why string, ids []string) (cmd jobs.Command, shown say.Text, rest string, err error) {
	leaf, isLeaf := strings.CutPrefix(o.Words[0], "leaf ")
	switch word := o.Words[0]; {
	case word == "tick":
		items, err := e.tickedAt(text, ids)
		if err != nil {
			return nil, shown, "", err
		}
		named := make([]string, len(items))
		for i := range items {
			named[i] = items[i].Item
		}
		rest = strings.Join(named, ", ")
		return &jobs.TickItems{Items: items}, say.F("tick %s", rest), rest, nil
	case isLeaf:
		day, err := e.leafDayOf(leaf, text)
		if err != nil {
			return nil, shown, "", err
		}
		return day, say.F("leaf %s %s", say.Name(leaf), day.Day), day.Day.String(), nil
	case word == "visit":
		visit, err := e.visitOf(text, why)
		if err != nil {
			return nil, shown, "", err
		}
		return visit, tell.Planned(visit, e.Site), text, nil
	case word == "move visit":
		visit, err := e.visitOf(strings.TrimPrefix(text, "to "), why)
		if err != nil {
			return nil, shown, "", err
		}
		return &jobs.MoveVisit{At: visit.At, Who: visit.Who, Takes: visit.Takes, Why: visit.Why}, say.F("the visit moved: %s", tell.Planned(visit, e.Site)), text, nil
	case word == "cancel visit":
		return &jobs.CancelVisit{Why: why}, say.F("the visit called off: %s", why), text, nil
	case word == "held":
		held, err := e.heldOf(text)
		if err != nil {
			return nil, shown, "", err
		}
		return held, say.F("held at %s until %s", held.T, bot.Instant(held.Until, e.Site)), text, nil
	case word == "call off":
		return &jobs.CallOff{Why: why}, say.F("called off: %s", why), text, nil
	case word == "snag":
		snag, err := e.snagOf(text)
		if err != nil || snag == nil {
			return nil, shown, text, err
		}
		return snag, say.F("snag %s, @%s", snag.Text, snag.Owner), text, nil
	}
	return nil, shown, text, nil
}

// snagOf reads a snag for several doors, nil if it is one that is open.
func (e *Request) snagOf(text string) (*jobs.OpenSnag, error) {
	if id, _ := snagID(text); id != "" || e.Msg.Thread != "" && !e.Msg.Joined { // in a thread they may be of its text
		return nil, nil
	}
	rest, people := namedAround(text)
	rest, _, due, err := e.dueBy(rest)
	if err != nil {
		return nil, err
	}
	rest, more := namedAround(rest)
	people = append(people, more...)
	for _, id := range people {
		if e.person(id) == "" {
			return nil, bot.Refuse(say.F("the site file of %s names no %s", e.Site.ID, "@"+id))
		}
	}
	if len(people) > 1 {
		return nil, bot.Refuse(say.F("a snag has one owner: @%s?", say.Names(" or @", people...)))
	}
	owner := strings.Join(append(people, e.Msg.Person)[:1], "")
	return &jobs.OpenSnag{Text: leads.ReplaceAllString(rest, ""), Owner: owner, Due: due, Hit: TellsHit(rest)}, nil
}

// atEach changes each of some doors by a command of its own, and says at which, and
// why not at the others.
func (e *Request) atEach(ids []string, of func(*jobs.Job) (jobs.Command, error)) error {
	cmds := map[string]jobs.Command{}
	can, not, err := e.tried(ids, func(id string) error {
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil {
			return err
		}
		cmds[id], err = of(j)
		if c, several := errors.AsType[*choice](err); several {
			return bot.Refuse(c.text())
		}
		return err
	})
	if err != nil {
		return err
	}
	did, more, err := e.each(can, func(id string) jobs.Command { return cmds[id] })
	if err != nil {
		return err
	}
	not = slices.Concat(not, more, e.notThere())
	if len(did) == 0 {
		return bot.Refuse(say.Lines(not...))
	}
	e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("entered at %s", say.List(did...))}, not...)...))
	return nil
}

// tickedAt returns what the foreman ticks at several doors: items that are the same
// at each, and no hold, which is looked at where it is.
func (e *Request) tickedAt(text string, doors []string) (items []jobs.TickItem, err error) {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.CorrectMany) {
		return nil, bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.CorrectMany})
	}
	for i, id := range doors {
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil {
			return nil, err
		}
		list := j.Items()
		named, err := itemsIn(text, list)
		switch {
		case err != nil:
			return nil, bot.Refuse(err)
		case len(named) == 0:
			return nil, bot.Refuse(say.F("which items? at several doors they stand without a remark, as tick datum, centre for A-1 to A-9"))
		case i > 0 && !slices.Equal(named, items):
			return nil, bot.Refuse(say.F("the list of %s is another: name the items, as tick datum for A-1 to A-9", id))
		}
		for _, t := range named {
			if at := placeOf(t.Item, list); at >= 0 && list[at].Hold {
				return nil, bot.Refuse(say.F("%s is a hold: it is ticked at its door, by whoever looked there", t.Item))
			}
		}
		items = named
	}
	return items, nil
}

// forFirst matches what leads to doors at the front of a text.
var forFirst = regexp.MustCompile(`(?i)^(?:for|at|of)\s+`)

// visitOf reads a visit for several doors.
func (e *Request) visitOf(text, why string) (*jobs.SetVisit, error) {
	if err := ruledOut(text, "visit Thursday 9:00 @bo for D-1, D-2"); err != nil {
		return nil, err
	}
	text, err := spokenTime(text)
	if err != nil {
		return nil, err
	}
	rest, people := takePeople(text)
	for _, id := range people {
		if e.person(id) == "" {
			return nil, bot.Refuse(say.F("the site file of %s names no %s", e.Site.ID, "@"+id))
		}
	}
	if hoursBehind.MatchString(text) && !strings.Contains(text, ":") {
		return nil, bot.Refuse(say.F("say when it is as 9:00, and behind that how long it takes, as 2h"))
	}
	rest, takes := takeLength(rest)
	at, what, err := e.when(rest)
	if err == nil {
		err = ofVisit(what)
	}
	if err != nil {
		return nil, err
	}
	if why == "" {
		why = what
	}
	return &jobs.SetVisit{At: at, Why: why, Who: people, Takes: takes}, nil
}

// askPlanned asks whether something is to be entered at several doors, and names
// those where it can't be.
func (e *Request) askPlanned(o *Order, ids []string, cmd jobs.Command, shown say.Text, rest, why string) error {
	can, not, err := e.tried(ids, func(id string) error {
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err == nil {
			_, err = e.Desk.Try(e.Msg, j, cmd)
		}
		return err
	})
	if err != nil {
		return err
	}
	not = slices.Concat(not, e.notThere())
	if len(can) == 0 {
		return bot.Refuse(say.Lines(append([]say.Text{say.F("nothing can be changed so")}, not...)...))
	}
	order := strings.Join([]string{o.Words[0], rest, "for", strings.Join(can, ", ")}, " ")
	if why != "" {
		order += " because " + why
	}
	if notes := e.visitNotes(cmd, len(can)); !notes.IsZero() {
		not = append([]say.Text{notes}, not...)
	}
	lines := append([]say.Text{say.F("%s: %s", say.Count(len(can), "1 door would change", "%s doors would change"), shown), say.Names(", ", can...)}, not...)
	e.ask(&Unfinished{Guess: order, Question: say.Lines(append(lines, say.F("nothing is changed yet: say yes or no"))...)},
		bot.Button{Label: e.Desk.Language.Say(say.F("Change them")), Say: order})
	return nil
}

// visitNotes notes what a visit at several doors runs into: people who are on leave
// then, or who are to be at all of them at once.
func (e *Request) visitNotes(cmd jobs.Command, doors int) say.Text {
	visit, ok := cmd.(*jobs.SetVisit)
	if move, is := cmd.(*jobs.MoveVisit); is {
		visit, ok = &jobs.SetVisit{At: move.At, Who: move.Who}, true
	}
	if !ok {
		return say.Text{}
	}
	var notes []say.Text
	if away := tell.AwayAt(e.Site, visit.Who, visit.At); !away.IsZero() {
		notes = append(notes, away)
	}
	if len(visit.Who) > 0 && doors > 1 {
		notes = append(notes, say.F("note: all %s visits of @%s are at one time", doors, say.Names(" @", visit.Who...)))
	}
	return say.Lines(notes...)
}
