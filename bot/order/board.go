package order

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// board shows the site by stage, or the doors that a filter leaves.
func (e *Request) board(text string) error {
	fields, page := pageOf(strings.Fields(text))
	if len(fields) == 0 {
		text, picture, err := board.Stages(e.Ctx, e.Desk, e.Site, page, e.Msg.At)
		if err == nil {
			e.Say(bot.KindBoard, text)
			e.Posts[len(e.Posts)-1].Picture = picture
		}
		return err
	}
	f, err := e.filterOf(fields)
	if err != nil {
		return err
	}
	return e.index(f, "all", "board "+strings.Join(fields, " "), page)
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
	list, total, err := e.doors(f, set, page)
	if err != nil {
		return err
	}
	lines := []say.Text{say.F("%s: %s", order, say.Count(total, "1 door", "%s doors"))}
	for _, j := range list {
		lines = append(lines, tell.BoardLine(j, e.Msg.At))
	}
	if total == 0 && f.ids {
		lines = append(lines, filterHelp)
	}
	if page*desk.PageSize < total {
		lines = append(lines, say.F("more: %s %s", order, page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
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
				lines = append(lines, say.F("%s %s: %s, @%s, since %s", j.Door.Spec.ID, s.ID, jobs.Recorded(s.Text), s.Owner, bot.Instant(s.Opened, j.Site)))
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
