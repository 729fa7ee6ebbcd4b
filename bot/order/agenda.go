package order

import (
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

const (
	lookAhead = 100 // lines behind a page that are counted
	lastPage  = 50  // of an agenda
)

func (e *Request) today(text string) error {
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	return e.agenda("today", say.F("today, %s", dayText(today)), text, today.Add(1).At(0, e.Site.Zone), "visits", "curing", "due", "leaves")
}

func (e *Request) week(text string) error {
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	return e.agenda("week", say.F("week, %s to %s", dayText(today), dayText(today.Add(6))), text, today.Add(7).At(0, e.Site.Zone), "visits", "curing", "due", "leaves")
}

func dayText(d jobs.Date) say.Text { return say.F("%s %s", bot.Weekdays[d.Weekday()], d) }

// visits lists the site's visits, or those of the door spoken of.
func (e *Request) visits(text string) error {
	if e.DoorID != "" {
		return e.doorVisits()
	}
	return e.agenda("visits", say.F("visits"), text, time.Time{}, "visits")
}

// agenda shows a page of what is to do at the doors of some of the site's
// sets: visits before end, if that is not zero, and cures. The order of that
// name goes on with the next page.
func (e *Request) agenda(order string, title say.Text, text string, end time.Time, sets ...string) error {
	fields, page := pageOf(strings.Fields(text))
	words, parts := takeParts(fields)
	rest, who := e.takeMine(words)
	f, err := e.filterOf(rest)
	if err != nil {
		return err
	}
	if len(fields) > 0 {
		words := strings.Join(fields, " ")
		order, title = order+" "+words, say.F("%s, %s", title, words)
	}
	if page > lastPage {
		return bot.Refuse(say.F("an agenda has no more than %s pages: the board shows every door", lastPage))
	}
	shown := page * desk.PageSize
	most := shown + lookAhead + 1
	if parts != "" {
		most = lastPage * desk.PageSize
	}
	all, err := board.Agenda(e.Ctx, e.Desk, e.Site, e.Msg.At, end, most, who, f.keeps, sets...)
	if err != nil {
		return err
	}
	if parts != "" {
		all = board.Parted(all, e.Site, parts)
	}
	if page > 1 {
		title = say.F("%s, page %s", title, page)
	}
	lines := []say.Text{title}
	for _, l := range all[min(shown-desk.PageSize, len(all)):min(shown, len(all))] {
		lines = append(lines, l.Text)
	}
	switch more := len(all) - shown; {
	case len(lines) == 1 && f.ids:
		lines = append(lines, filterHelp)
	case len(lines) == 1 && page == 1 && len(sets) > 1:
		lines = append(lines, say.F("nothing is planned, nothing cures"))
	case len(lines) == 1 && page == 1:
		lines = append(lines, say.F("nothing is planned"))
	case len(lines) == 1:
		lines = append(lines, say.F("nothing stands on this page"))
	case more > lookAhead:
		lines = append(lines, say.F("and over %s more: %s %s", lookAhead, order, page+1))
	case more > 0:
		lines = append(lines, say.F("and %s more: %s %s", more, order, page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// takeParts takes from the end of an agenda's words by what it is parted: by crew
// or by person.
func takeParts(words []string) (rest []string, parts string) {
	n := len(words)
	if n < 2 || !strings.EqualFold(words[n-2], "by") {
		return words, ""
	}
	switch last := strings.TrimSuffix(strings.ToLower(words[n-1]), "s"); last {
	case board.ByCrew, board.ByPerson:
		return words[:n-2], last
	}
	return words, ""
}

// reminders lists what whoever speaks was reminded of and has not answered.
func (e *Request) reminders(text string) error {
	fields, page := pageOf(strings.Fields(text))
	if len(fields) > 0 {
		return bot.Refuse(say.F("reminders lists yours, reminders 2 goes on: not %q", lex.CutText(text, 40)))
	}
	all, err := board.Reminders(e.Ctx, e.Desk, e.Site, e.Msg.Person, e.Msg.At)
	if err != nil {
		return err
	}
	doors := tell.ByDoor(all)
	lines := []say.Text{say.Count(len(all), "1 reminder waits for you", "%s reminders wait for you")}
	if len(all) == 0 {
		lines[0] = say.F("no reminder waits for you")
	}
	for _, d := range doors[min((page-1)*desk.PageSize, len(doors)):min(page*desk.PageSize, len(doors))] {
		lines = append(lines, tell.WaitsAt(d, e.Msg.At))
	}
	if more := len(doors) - page*desk.PageSize; more > 0 {
		lines = append(lines, say.F("and at %s more: reminders %s", say.Count(more, "1 door", "%s doors"), page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// takeMine takes the person out of the words of an agenda whose part of it is
// wanted: somebody of the site, or whoever speaks, as mine.
func (e *Request) takeMine(words []string) (rest []string, who string) {
	for _, w := range words {
		id := e.person(strings.Trim(w, ",;"))
		if lower := strings.ToLower(w); lower == "mine" || lower == "me" {
			id = e.Msg.Person
		}
		if id != "" && who == "" {
			who = id
			continue
		}
		rest = append(rest, w)
	}
	return rest, who
}

// doorVisits lists the visits of the door spoken of.
func (e *Request) doorVisits() error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	lines, buttons := []say.Text{say.F("visits of %s: %s", e.DoorID, len(j.Door.Visits))}, []bot.Button(nil)
	for i := range j.Door.Visits {
		v := &j.Door.Visits[i]
		lines = append(lines, tell.VisitLine(v, j.Site, e.Msg.At))
		if v.End == "" {
			buttons = append(buttons, tell.VisitButtons(e.Desk.Language, v)...)
		}
	}
	if j.Curing() {
		lines = append(lines, tell.CureText(j, e.Msg.At))
	}
	e.Say(bot.KindBoard, say.Lines(lines...), append(buttons, bot.Button{Label: e.Desk.Language.Say(say.F("Plan a visit")), Form: "visit"})...)
	return nil
}

// pageOf takes the number of a page from the end of the words; the first one
// if there is none.
func pageOf(words []string) (rest []string, page int) {
	if n := len(words); n > 0 {
		if page, err := strconv.Atoi(words[n-1]); err == nil && page > 0 {
			return words[:n-1], page
		}
	}
	return words, 1
}
