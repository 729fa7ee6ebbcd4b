package order

import (
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

func (e *Request) card(string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	head := say.F("door %s, %s: %s", j.Door.Spec.ID, say.Name(string(j.Door.Stage)), tell.Describe(&j.Door.Spec))
	if !j.Door.Off.IsZero() {
		off, err := e.calledOff(j)
		if err != nil {
			return err
		}
		head = say.Lines(off, head)
	}
	if risk := tell.CureAtRisk(j); !risk.IsZero() {
		head = say.Lines(head, risk)
	}
	below := append(tell.CardNotes(j), tell.NextLines(j)...)
	lines := append([]say.Text{head}, tell.Card(j)...)
	e.Say(bot.KindDoor, say.Lines(append(lines, tell.NextLines(j)...)...), tell.NextButtons(e.Desk.Language, j, e.Msg.Person, e.Msg.At)...)
	l := e.Desk.Language
	t := &bot.Table{Head: l.Say(head), Caption: l.Say(say.F("card of %s", j.Door.Spec.ID)), Columns: []string{l.Say(say.F("Number")), l.Say(say.F("Value"))}, Foot: l.Say(say.Lines(below...))}
	for _, n := range tell.OnCard(j) {
		name, value := l.Say(say.Name(n.Name)), l.Say(tell.NumberValue(&n))
		t.Rows = append(t.Rows, bot.Row{Text: name + " " + value, Cells: []bot.Cell{{Text: name}, {Text: value, Firm: n.Fixed != ""}}})
	}
	e.Posts[len(e.Posts)-1].Table = t
	return nil
}

// calledOff tells since when a door is called off, by whom and why.
func (e *Request) calledOff(j *jobs.Job) (off say.Text, err error) {
	changes, err := e.story(j)
	for _, events := range changes {
		for i := range events {
			if ev := &events[i]; ev.Kind == jobs.CalledOff {
				off = say.F("called off %s by @%s (%s): no work is done at it", bot.Instant(ev.At, j.Site), ev.By, jobs.Recorded(ev.Text))
			}
		}
	}
	return off, err
}

func (e *Request) list(text string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	stage := strings.ToLower(text)
	var lines []say.Text
	last := jobs.Stage("")
	for i, it := range j.Items() {
		if stage != "" && stage != string(it.Stage) {
			continue
		}
		if it.Stage != last {
			lines = append(lines, say.Name(string(it.Stage)))
			last = it.Stage
		}
		lines = append(lines, tell.ItemLine(i+1, &it))
	}
	if len(lines) == 0 {
		var stages []string
		for _, s := range jobs.Stages[:len(jobs.Stages)-1] { // a door that is done has nothing to do
			stages = append(stages, string(s))
		}
		return bot.Refuse(say.F("%q is no stage: %s", lex.CutText(text, 40), say.Names(", ", stages...)))
	}
	e.Say(bot.KindDoor, say.Lines(lines...))
	return nil
}

func (e *Request) next(string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	lines := tell.NextLines(j)
	if void := tell.VoidCure(j); !void.IsZero() {
		lines = append(lines, void)
	} else if j.Curing() {
		lines = append(lines, tell.CureText(j, e.Msg.At))
	}
	switch {
	case !j.Door.Off.IsZero():
		lines = []say.Text{say.F("called off")}
	case len(lines) == 0:
		lines = append(lines, say.F("handed over"))
	}
	lines = append(lines, tell.Then(j, e.Msg.Person, e.Msg.At)...)
	e.Say(bot.KindDoor, say.Lines(lines...), tell.NextButtons(e.Desk.Language, j, e.Msg.Person, e.Msg.At)...)
	return nil
}

func (e *Request) log(string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	changes, err := e.story(j)
	if err != nil {
		return err
	}
	e.Say(bot.KindDoor, say.Lines(tell.LogLines(j, changes)...))
	return nil
}

// failed lists the site's notices that were given up.
func (e *Request) failed(string) error {
	list, err := e.Desk.FailedAt(e.Ctx, e.Site)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		e.Say(bot.KindBoard, say.F("no reminder has failed"))
		return nil
	}
	var lines []say.Text
	for i, n := range list {
		lines = append(lines, say.F("%s %s", i+1, tell.FailedText(n, e.Site)))
	}
	e.Say(bot.KindBoard, say.Lines(append(lines, say.F("retry and its number sends one again"))...))
	return nil
}

// retry sends a failed notice again.
func (e *Request) retry(text string) error {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.RetryNotice) {
		return bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.RetryNotice})
	}
	list, err := e.Desk.FailedAt(e.Ctx, e.Site)
	if err != nil {
		return err
	}
	i := 1 + slices.IndexFunc(list, func(n jobs.Notice) bool { return n.ID == text })
	if i == 0 && strings.Contains(text, ":") {
		return bot.Refuse(say.F("that is not among the failed ones any more: it was sent, or is on its way"))
	}
	if i == 0 {
		i, err = strconv.Atoi(text)
	}
	if err != nil || i < 1 || i > len(list) {
		return bot.Refuse(say.F("which one? failed lists %s", len(list)))
	}
	if err := e.Desk.Retry(e.Ctx, e.Msg, list[i-1].ID); err != nil {
		return err
	}
	e.Settled = true
	e.Say(bot.KindBoard, say.F("it is sent again"))
	return nil
}
