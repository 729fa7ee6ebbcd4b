package order

import (
	"fmt"
	"regexp"
	"slices"
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

// changes tells what was done at which door since the last day's work began, or
// since a day that is named; or what came after a handover. A filter leaves some
// of the doors.
func (e *Request) changes(text string) error {
	fields, page := pageOf(strings.Fields(text))
	since, ok := e.Site.DayBefore(e.Msg.At)
	if !ok {
		since = e.Msg.At.AddDate(0, 0, -1)
	}
	rest, after, err := e.takeSince(fields, &since)
	if err != nil {
		return err
	}
	f, err := e.filterOf(rest)
	if err != nil {
		return err
	}
	if after {
		since = time.Time{}
	}
	changed, err := board.ChangedSince(e.Ctx, e.Desk, e.Site, since, f.keeps)
	if err != nil {
		return err
	}
	var lines []say.Text
	for _, j := range changed {
		line, err := board.ChangeLine(e.Ctx, e.Desk, j, since, after)
		if err != nil {
			return err
		}
		if !line.IsZero() {
			lines = append(lines, line)
		}
	}
	total := len(lines)
	lines = lines[min((page-1)*desk.PageSize, total):min(page*desk.PageSize, total)]
	order := strings.Join(append([]string{"changes"}, fields...), " ")
	switch what := strings.Join(rest, " "); {
	case total > 0 && page*desk.PageSize < total:
		lines = append(lines, say.F("and %s more: %s %s", total-page*desk.PageSize, order, page+1))
	case len(lines) > 0:
	case after:
		lines = append(lines, say.F("%s: nothing changed after a handover", order))
	case what != "":
		lines = append(lines, say.F("%s: nothing changed since %s", what, bot.Instant(since, e.Site)))
	default:
		lines = append(lines, say.F("nothing changed since %s", bot.Instant(since, e.Site)))
	}
	if total == 0 && f.ids {
		lines = append(lines, filterHelp)
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}

// takeSince takes from the words of changes since when, as in since monday, this
// week, today; after reports whether what came after a handover is wanted.
func (e *Request) takeSince(words []string, since *time.Time) (rest []string, after bool, err error) {
	text := strings.Join(words, " ")
	if m := afterHandover.FindStringIndex(text); m != nil {
		return strings.Fields(text[:m[0]] + " " + text[m[1]:]), true, nil
	}
	m := sinceDay.FindStringSubmatchIndex(text)
	if m == nil {
		return words, false, nil
	}
	from, to := max(m[2], m[4]), max(m[3], m[5]) // one of the two groups
	day, typed := jobs.DateOf(e.Msg.At.In(e.Site.Zone)), text[from:to]
	switch said := strings.ToLower(typed); said {
	case "today", "this morning":
	case "yesterday":
		day = day.Add(-1)
	case "this week", "the week":
		day = lastOn(day, time.Monday)
	case "last week":
		day = lastOn(day, time.Monday).Add(-7)
	default:
		weekday := slices.IndexFunc(dayNames, func(name string) bool { return len(said) > 2 && strings.HasPrefix(name, said) })
		switch date, err := jobs.ParseDate(said); {
		case err == nil:
			day = date
		case weekday >= 0:
			day = lastOn(day, time.Weekday(weekday))
		default:
			return nil, false, bot.Refuse(say.F("since when? as changes since monday, since 2027-03-01, since yesterday or this week: not %q", lex.CutText(typed, 40)))
		}
	}
	*since = day.At(0, e.Site.Zone)
	if since.After(e.Msg.At) {
		return nil, false, bot.Refuse(say.F("%s is not here yet: since when?", day))
	}
	return strings.Fields(text[:m[0]] + " " + text[m[1]:]), false, nil
}

// lastOn returns the last day of a name that is not after a day.
func lastOn(day jobs.Date, name time.Weekday) jobs.Date {
	return day.Add(-(int(day.Weekday()) - int(name) + 7) % 7)
}

var (
	dayNames      = strings.Fields("sunday monday tuesday wednesday thursday friday saturday")
	afterHandover = regexp.MustCompile(`(?i)\b(?:after|since)\s+(?:the\s+|their\s+)?(?:hand[ -]?over|handed\s+over)\b`)
	sinceDay      = regexp.MustCompile(`(?i)\b(?:since|from)\s+(?:last\s+)?(this morning|(?:this|the|last) week|\S+)|\b(today|yesterday|this week|last week|this morning)\b`)
)

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
			if f.owner != "" && s.Owner != f.owner || f.late && !tell.Late(&s, e.Msg.At) {
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

// snagFilter is a filter in which a person is the owner of a snag, and it is the
// snags that are overdue.
func (e *Request) snagFilter(fields []string) (*filter, error) {
	var rest []string
	owner, late := "", false
	for _, w := range fields {
		if strings.EqualFold(strings.Trim(w, ",;"), "overdue") {
			late = true
			continue
		}
		if id := e.person(w); id != "" && owner == "" {
			owner = id
			continue
		}
		rest = append(rest, w)
	}
	f, err := e.filterOf(rest)
	if err == nil && (owner != "" || late) {
		f.owner, f.late = owner, late
		f.add("", func(j *jobs.Job) bool {
			return slices.ContainsFunc(j.Door.OpenSnags(), func(s jobs.Snag) bool {
				return (owner == "" || s.Owner == owner) && (!late || tell.Late(&s, e.Msg.At))
			})
		})
	}
	return f, err
}
