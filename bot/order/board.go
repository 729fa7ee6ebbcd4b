package order

import (
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
	filter := strings.Join(fields, " ")
	if filter == "" {
		text, picture, err := board.Stages(e.Ctx, e.Desk, e.Site, page, e.Msg.At)
		if err == nil {
			e.Say(bot.KindBoard, text)
			e.Posts[len(e.Posts)-1].Picture = picture
		}
		return err
	}
	return e.index(e.filterIndex(filter), "board "+filter, page)
}

// filterIndex returns the index that a word of the board names.
func (e *Request) filterIndex(filter string) string {
	kind, name, two := strings.Cut(strings.ToLower(filter), " ")
	switch lower := strings.ToLower(filter); {
	case two && kind == "crew":
		return "crew/" + e.crew(name)
	case two && (kind == "floor" || kind == "stage"):
		return kind + "/" + name
	case isStage(lower):
		return "stage/" + lower
	case lower == "hand over":
		return "stage/" + string(jobs.Handing)
	case lower == "done":
		return "stage/" + string(jobs.Done)
	}
	if crew := e.crew(filter); crew != "" {
		return "crew/" + crew
	}
	for _, p := range e.Site.People {
		if p.ID == strings.TrimPrefix(filter, "@") {
			return "person/" + p.ID
		}
	}
	return "group/" + jobs.IDGroup(strings.ToUpper(filter))
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

// index shows a page of the doors in one of the site's sets, as an order names
// it.
func (e *Request) index(name, order string, page int) error {
	list, total, err := e.Desk.Doors(e.Ctx, e.Site, name, (page-1)*desk.PageSize, desk.PageSize)
	if err != nil {
		return err
	}
	lines := []say.Text{say.F("%s: %s", order, say.Count(total, "1 door", "%s doors"))}
	for _, j := range list {
		lines = append(lines, tell.BoardLine(j, e.Msg.At))
	}
	if total == 0 && strings.HasPrefix(name, "group/") {
		lines = append(lines, say.F("it takes a stage, a crew, floor and a floor, a person, or the front of ids up to their last number, as A-"))
	}
	if page*desk.PageSize < total {
		lines = append(lines, say.F("more: %s %s", order, page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

func (e *Request) mine(text string) error {
	_, page := pageOf(strings.Fields(text))
	return e.index("person/"+e.Msg.Person, "doors mine", page)
}

func (e *Request) snags(text string) error {
	_, page := pageOf(strings.Fields(text))
	list, total, err := e.Desk.Doors(e.Ctx, e.Site, "snags", (page-1)*desk.PageSize, desk.PageSize)
	if err != nil {
		return err
	}
	lines := []say.Text{say.Count(total, "open snags at 1 door", "open snags at %s doors")}
	for _, j := range list {
		for _, s := range j.Door.OpenSnags() {
			lines = append(lines, say.F("%s %s: %s, @%s, since %s", j.Door.Spec.ID, s.ID, jobs.Recorded(s.Text), s.Owner, bot.Instant(s.Opened, j.Site)))
		}
	}
	if page*desk.PageSize < total {
		lines = append(lines, say.F("and at %s more: snags %s", total-page*desk.PageSize, page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}
