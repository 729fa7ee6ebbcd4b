package order

import (
	"fmt"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// board shows the site at a glance, or the doors that a filter leaves, which
// all does of each.
func (e *Request) board(text string) error {
	fields, page := pageOf(strings.Fields(text))
	if len(fields) == 0 && page == 1 {
		v, err := board.Whole(e.Ctx, e.Desk, e.Site, board.PhoneLines, e.Msg.At)
		if err == nil {
			e.Say(bot.KindBoard, say.Lines(v.Lines...), v.Buttons...)
			p := &e.Posts[len(e.Posts)-1]
			p.Picture, p.Table = v.Picture, v.Table
		}
		return err
	}
	rest := fields
	if len(fields) == 0 || strings.EqualFold(fields[0], "all") {
		rest, fields = fields[min(1, len(fields)):], append([]string{"all"}, fields[min(1, len(fields)):]...)
	}
	f, err := e.filterOf(rest)
	if err != nil {
		return err
	}
	return e.index(f, "all", "board "+strings.Join(fields, " "), page)
}

// changes tells what was done at which door since the last day's work began.
func (e *Request) changes(string) error {
	since, ok := e.Site.DayBefore(e.Msg.At)
	if !ok {
		since = e.Msg.At.AddDate(0, 0, -1)
	}
	lines, err := board.Changes(e.Ctx, e.Desk, e.Site, since)
	if err != nil {
		return err
	}
	if len(lines) == 0 {
		lines = []say.Text{say.F("nothing changed since %s", bot.Instant(since, e.Site))}
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// crew returns a crew of the site as its file has it, "" if there is none of
// that name.
func (e *Request) crew(name string) string {
	for _, p := range e.Site.People {
		if p.Crew != "" && strings.EqualFold(p.Crew, name) {
			return p.Crew
		}
	}
	return ""
}

func isStage(s string) bool {
	for _, stage := range jobs.Stages {
		if string(stage) == s {
			return true
		}
	}
	return false
}

// index shows a page of the doors of one of the site's sets that a filter
// leaves, as an order names them.
func (e *Request) index(f *filter, set, order string, page int) error {
	if f.set != "" && set == "all" {
		set = f.set
	}
	all, err := board.Ranked(e.Ctx, e.Desk, e.Site, set, e.Msg.At, f.keeps)
	if err != nil {
		return err
	}
	total := len(all)
	lines := []say.Text{say.F("%s: %s", order, say.Count(total, "1 door", "%s doors"))}
	table := board.Table(e.Desk.Language, lines, all, func(j *jobs.Job) say.Text { return tell.BoardLine(j, e.Msg.At) }, e.Msg.At)
	for _, j := range all[min((page-1)*desk.PageSize, total):min(page*desk.PageSize, total)] {
		lines = append(lines, tell.BoardLine(j, e.Msg.At))
	}
	if total == 0 && f.ids {
		lines = append(lines, filterHelp)
	}
	var buttons []bot.Button
	if page*desk.PageSize < total {
		lines = append(lines, say.F("more: %s %s", order, page+1))
		buttons = []bot.Button{{Label: e.Desk.Language.Say(say.F("More")), Say: fmt.Sprint(order, " ", page+1)}}
	}
	e.Say(bot.KindBoard, say.Lines(lines...), buttons...)
	if page == 1 {
		e.Posts[len(e.Posts)-1].Table = table
	}
	return nil
}

func (e *Request) mine(text string) error {
	fields, page := pageOf(strings.Fields(text))
	f, err := e.filterOf(fields)
	if err != nil {
		return err
	}
	return e.index(f, "person/"+e.Msg.Person, strings.Join(append([]string{"doors mine"}, fields...), " "), page)
}

// snags lists the open snags of the doors that a filter leaves. A person is
// whoever puts them right.
func (e *Request) snags(text string) error {
	fields, page := pageOf(strings.Fields(text))
	f, err := e.snagFilter(fields)
	if err != nil {
		return err
	}
	list, total, err := e.doors(f, "snags", page)
	if err != nil {
		return err
	}
	lines := []say.Text{say.Count(total, "open snags at 1 door", "open snags at %s doors")}
	if len(fields) > 0 {
		lines[0] = say.F("%s: %s", "snags "+strings.Join(fields, " "), lines[0])
	}
	for _, j := range list {
		for _, s := range j.Door.OpenSnags() {
			if f.owner != "" && s.Owner != f.owner {
				continue
			}
			if s.Due.IsZero() {
				line := say.F("%s %s: %s, @%s, since %s", j.Door.Spec.ID, s.ID, jobs.Recorded(s.Text), s.Owner, bot.Instant(s.Opened, j.Site))
				lines = append(lines, say.List(line, tell.Photos(&s)))
			} else {
				lines = append(lines, say.F("%s %s", j.Door.Spec.ID, tell.SnagLine(&s, j, e.Msg.At)))
			}
		}
	}
	if total == 0 && f.ids {
		lines = append(lines, filterHelp)
	}
	if page*desk.PageSize < total {
		lines = append(lines, say.F("and at %s more: %s %s", total-page*desk.PageSize, strings.Join(append([]string{"snags"}, fields...), " "), page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// snagFilter is a filter in which a person is the owner of a snag.
func (e *Request) snagFilter(fields []string) (*filter, error) {
	var rest []string
	owner := ""
	for _, w := range fields {
		if id := e.person(w); id != "" && owner == "" {
			owner = id
			continue
		}
		rest = append(rest, w)
	}
	f, err := e.filterOf(rest)
	if err == nil && owner != "" {
		f.owner = owner
		f.add("", func(j *jobs.Job) bool {
			return slices.ContainsFunc(j.Door.OpenSnags(), func(s jobs.Snag) bool { return s.Owner == owner })
		})
	}
	return f, err
}
