package order

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

const (
	lookAhead = 100 // lines behind a page that are counted
	lastPage  = 50  // of an agenda
)

func (e *Errand) today(text string) error {
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	return e.agenda("today", ", "+dayText(today), text, today.Add(1).At(0, e.Site.Zone), "visits", "curing")
}

func (e *Errand) week(text string) error {
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	return e.agenda("week", ", "+dayText(today)+" to "+dayText(today.Add(6)), text, today.Add(7).At(0, e.Site.Zone), "visits", "curing")
}

func dayText(d jobs.Date) string { return d.Weekday().String()[:3] + " " + d.String() }

// visits lists the site's visits, or those of the door spoken of.
func (e *Errand) visits(text string) error {
	if e.DoorID != "" {
		return e.doorVisits()
	}
	return e.agenda("visits", "", text, time.Time{}, "visits")
}

// agenda shows a page of what is to do at the doors of some of the site's
// sets: visits before end, if that is not zero, and cures.
func (e *Errand) agenda(name, title, text string, end time.Time, sets ...string) error {
	_, page := pageOf(strings.Fields(text))
	if page > lastPage {
		return bot.Refuse(fmt.Errorf("an agenda has no more than %d pages: the board shows every door", lastPage))
	}
	shown := page * desk.PageSize
	duties, err := board.Duties(e.Ctx, e.Desk, e.Site, e.Msg.At, end, shown+lookAhead+1, sets...)
	if err != nil {
		return err
	}
	lines := []string{name + title}
	if page > 1 {
		lines[0] += ", page " + strconv.Itoa(page)
	}
	for _, d := range duties[min(shown-desk.PageSize, len(duties)):min(shown, len(duties))] {
		lines = append(lines, d.Text)
	}
	switch more := len(duties) - shown; {
	case len(lines) == 1 && page == 1:
		lines = append(lines, "nothing is planned"+map[bool]string{true: ", nothing cures"}[len(sets) > 1])
	case len(lines) == 1:
		lines = append(lines, "nothing stands on this page")
	case more > lookAhead:
		lines = append(lines, fmt.Sprintf("and over %d more: %s %d", lookAhead, name, page+1))
	case more > 0:
		lines = append(lines, fmt.Sprintf("and %d more: %s %d", more, name, page+1))
	}
	e.Say(bot.KindBoard, say.Plain(strings.Join(lines, "\n")))
	return nil
}

// doorVisits lists the visits of the door spoken of.
func (e *Errand) doorVisits() error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	lines, buttons := []string{"visits of " + e.DoorID + ": " + strconv.Itoa(len(j.Door.Visits))}, []bot.Button(nil)
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
	e.Say(bot.KindBoard, say.Plain(strings.Join(lines, "\n")), append(buttons, bot.Button{Label: e.Desk.Language.Say(say.F("Plan a visit")), Form: "visit"})...)
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
