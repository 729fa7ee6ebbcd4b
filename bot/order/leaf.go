package order

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// leafDay returns the order that notes when the leaf was ordered, is to come or
// came.
func leafDay(what string) func(*Request, string) error {
	return func(e *Request, text string) error { return e.leafDay(what, text) }
}

func (e *Request) leafDay(what, text string) error {
	if m := behindDay.FindStringSubmatch(text); m != nil && (m[2] != "" || strings.ContainsFunc(m[1], isUnit)) {
		return e.dayAndSize(what, m[1], m[2])
	}
	cmd, err := e.leafDayOf(what, text)
	if err != nil {
		return err
	}
	return e.Do(cmd)
}

// isUnit reports whether a sign behind a figure belongs to its unit.
func isUnit(r rune) bool { return unicode.IsLetter(r) || r == '"' || r == '″' }

// dayAndSize asks whether a leaf that is told with a size came and has that size.
func (e *Request) dayAndSize(what, typed, word string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	fields, stands := e.sizeSaid(j, typed, word)
	switch {
	case stands:
		return e.leafDay(what, "")
	case len(fields) > 1:
		return bot.Refuse(say.F("which size is %s? say leaf %s, and by itself the size, as correct thickness %s", typed, what, typed))
	}
	day, size := words("door", e.DoorID, "leaf", what), words("door", e.DoorID, "correct", fields[0], typed)
	both := strings.Join([]string{day, size}, "\n")
	e.ask(&Unfinished{Guess: both, Each: both, Question: say.F("did you mean two things: %s, and %s? say yes, or each as it is", day, size)})
	return nil
}

// leafDayOf reads on which day something comes of a leaf.
func (e *Request) leafDayOf(what, text string) (*jobs.SetLeafDay, error) {
	day := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	switch text = strings.ToLower(strings.TrimSpace(text)); {
	case text == "" && what == jobs.LeafDue:
		return nil, bot.Refuse(say.F("when is the leaf to come? as leaf due 2027-03-20, or leaf due thursday"))
	case text == "" || text == "today":
	case text == "yesterday":
		day = day.Add(-1)
	default:
		date, err := jobs.ParseDate(text)
		if err != nil && what == jobs.LeafDue {
			at, no := e.Site.When(text, e.Msg.At)
			date, err = jobs.DateOf(at.In(e.Site.Zone)), no
		}
		if err != nil {
			return nil, bot.Refuse(err)
		}
		day = date
	}
	return &jobs.SetLeafDay{What: what, Day: day}, nil
}

// leafOf matches what is said of the leaves of doors without their word: ordered
// D-1 to D-10.
var leafOf = regexp.MustCompile(`(?i)^(?:ordered|delivered)\s+(?:\S+\s+)?(?:for\s+|at\s+|of\s+)?(?:doors?\s+)?` + doorID + `\b`)

// orders lists the leaves of the doors in work by how far they are.
func (e *Request) orders(text string) error {
	fields, page := pageOf(strings.Fields(text))
	f, err := e.filterOf(fields)
	if err != nil {
		return err
	}
	all, err := board.Ranked(e.Ctx, e.Desk, e.Site, "all", e.Msg.At, func(j *jobs.Job) bool { return j.Door.Handover.IsZero() && f.keeps(j) })
	if err != nil {
		return err
	}
	for j, err := range e.Desk.Counted(e.Ctx, e.Site, desk.CalledOff) { // a leaf that is ordered comes all the same
		if err != nil {
			return err
		}
		if j.Door.Coming() && f.keeps(j) {
			all = append(all, j)
		}
	}
	is := func(j *jobs.Job) tell.Leaf { leaf, _ := tell.LeafOf(j); return leaf }
	slices.SortStableFunc(all, func(a, b *jobs.Job) int { return int(is(a)) - int(is(b)) })
	count := map[tell.Leaf]int{}
	for _, j := range all {
		count[is(j)]++
	}
	lines := []say.Text{say.F("leaves: %s to order, %s ordered, %s delivered", count[tell.ToOrder], count[tell.OnOrder], count[tell.Delivered])}
	var last tell.Leaf = -1
	for _, j := range all[min((page-1)*desk.PageSize, len(all)):min(page*desk.PageSize, len(all))] {
		leaf, line := tell.LeafOf(j)
		if leaf != last {
			lines = append(lines, []say.Text{say.F("to order"), say.F("ordered"), say.F("delivered")}[leaf])
			last = leaf
		}
		lines = append(lines, say.F("  %s", line))
	}
	if more := len(all) - page*desk.PageSize; more > 0 {
		lines = append(lines, say.F("and %s more: %s %s", more, strings.Join(append([]string{"orders"}, fields...), " "), page+1))
	}
	e.Say(bot.KindBoard, say.Lines(lines...))
	return nil
}
