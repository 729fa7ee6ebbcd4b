package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// plannedMany shows what a day of the leaf or a visit would be at which of several
// doors that the order names, and asks whether that is meant: leaf ordered D-1 to
// D-10, visit thursday 9:00 margins for D-1, D-2. asked is false where it names
// fewer.
func (e *Request) plannedMany(o *Order, text string) (asked bool, err error) {
	leaf, isLeaf := strings.CutPrefix(o.Words[0], "leaf ")
	ticks := o.Words[0] == "tick"
	if !isLeaf && !ticks && o.Words[0] != "visit" {
		return false, nil
	}
	before, why := splitBecause(text)
	rest, doors := splitDoors(" " + before)
	if m := doorsAhead.FindStringSubmatch(forFirst.ReplaceAllString(before, "")); m != nil {
		doors = m[1]
		rest = strings.TrimLeft(forFirst.ReplaceAllString(before, "")[len(m[0]):], " ,;:")
	}
	ids, err := e.doorsNamed(strings.ToUpper(doors))
	if err != nil || len(ids) < 2 {
		return err != nil, err
	}
	var cmd jobs.Command
	shown := say.Text{}
	switch rest = strings.TrimSpace(rest); {
	case ticks:
		items, err := e.tickedAt(rest, ids)
		if err != nil {
			return true, err
		}
		named := make([]string, len(items))
		for i := range items {
			named[i] = items[i].Item
		}
		rest = strings.Join(named, ", ")
		cmd, shown = &jobs.TickItems{Items: items}, say.F("tick %s", rest)
	case isLeaf:
		day, err := e.leafDayOf(leaf, rest)
		if err != nil {
			return true, err
		}
		cmd, shown = day, say.F("leaf %s %s", say.Name(leaf), day.Day)
		rest = day.Day.String()
	default:
		visit, err := e.visitOf(rest, why)
		if err != nil {
			return true, err
		}
		cmd, shown = visit, say.F("visit %s", bot.Instant(visit.At, e.Site))
	}
	if e.Msg.Joined {
		did, not, err := e.each(ids, func(string) jobs.Command { return cmd })
		if err == nil && len(did) == 0 {
			err = bot.Refuse(say.Lines(not...))
		}
		if err == nil {
			e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("%s: entered at %s", shown, say.List(did...))}, append(not, e.notThere()...)...)...))
		}
		return true, err
	}
	return true, e.askPlanned(o, ids, cmd, shown, strings.TrimSpace(rest), why)
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
	lines := append([]say.Text{say.F("%s: %s", say.Count(len(can), "1 door would change", "%s doors would change"), shown), say.Names(", ", can...)}, not...)
	e.ask(&Unfinished{Guess: order, Question: say.Lines(append(lines, say.F("nothing is changed yet: say yes or no"))...)},
		bot.Button{Label: e.Desk.Language.Say(say.F("Change them")), Say: order})
	return nil
}
