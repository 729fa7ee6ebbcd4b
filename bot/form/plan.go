package form

import (
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

func showSnag(e *order.Request, f *bot.Form, text string) error {
	if _, err := e.Job(); err != nil {
		return err
	}
	f.Intro = e.Desk.Language.Say(say.F("door %s", e.DoorID))
	f.Fields = []bot.Field{
		{Name: "text", Label: e.Desk.Language.Say(say.F("What is wrong")), Kind: bot.LongField, Value: lex.CutText(text, maxSnag)},
		{Name: "owner", Label: e.Desk.Language.Say(say.F("Who puts it right")), Kind: bot.PersonField, Value: e.Msg.Person},
		{Name: "due", Label: e.Desk.Language.Say(say.F("By which day")), Kind: bot.DateField, Optional: true},
	}
	return nil
}

// maxSnag is how much of a text a snag's form begins with.
const maxSnag = 2000

func (f *filled) readSnag(string) (jobs.Command, error) {
	cmd := &jobs.OpenSnag{Text: f.text("text"), Owner: f.person("owner"), Hit: order.TellsHit(f.text("text"))}
	if day := f.text("due"); day != "" {
		due, meant, err := f.Site.Deadline(day, f.Msg.At)
		if err == nil && !meant {
			_, err = jobs.ParseDate(day)
		}
		if err != nil {
			f.complain("due", say.F("%s", err))
		}
		cmd.Due = due
	}
	return cmd, nil
}

// visitFields ask when a visit is.
func visitFields(l *say.Language, at time.Time) []bot.Field {
	return []bot.Field{{Name: "date", Label: l.Say(say.F("Day")), Kind: bot.DateField, Value: at.Format(time.DateOnly)}, {Name: "time", Label: l.Say(say.F("Time")), Kind: bot.TimeField, Value: at.Format("15:04")}}
}

// whoFields ask who comes to a visit, and for how long; of one that is planned
// with what was said before.
func whoFields(l *say.Language, v *jobs.Visit) []bot.Field {
	who := bot.Field{Name: "who", Label: l.Say(say.F("Who comes")), Hint: l.Say(say.F("the crew if nobody is named")), Kind: bot.PeopleField, Optional: true}
	takes := bot.Field{Name: "takes", Label: l.Say(say.F("How long")), Hint: l.Say(say.F("as 2h or 45 min")), Optional: true}
	if v != nil {
		who.Value = strings.Join(v.Who, " ")
		if v.Takes > 0 {
			takes.Value = jobs.Lasts(v.Takes)
		}
	}
	return []bot.Field{who, takes}
}

// takes reads how long a visit takes.
func (f *filled) takes() time.Duration {
	text := f.text("takes")
	if text == "" {
		return 0
	}
	d, err := order.Length(text)
	if err != nil {
		f.complain("takes", say.F("%s", err))
	}
	return d
}

func showVisit(e *order.Request, f *bot.Form, _ string) error {
	if _, err := e.Job(); err != nil {
		return err
	}
	slot, _ := e.Site.Slot(e.Msg.At.Add(time.Hour), time.Hour)
	f.Intro = e.Desk.Language.Say(say.F("door %s", e.DoorID))
	f.Fields = append(visitFields(e.Desk.Language, slot.In(e.Site.Zone)), bot.Field{Name: "why", Label: e.Desk.Language.Say(say.F("What for")), Hint: e.Desk.Language.Say(say.F("as margins and movement")), Optional: true})
	f.Fields = append(f.Fields, whoFields(e.Desk.Language, nil)...)
	return nil
}

func (f *filled) readVisit(string) (jobs.Command, error) {
	return &jobs.SetVisit{At: f.at(), Why: f.text("why"), Who: f.people("who"), Takes: f.takes()}, nil
}

func showMove(e *order.Request, f *bot.Form, id string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	v := j.Door.Visit(id)
	if v == nil {
		return bot.Refuse(say.F("there is no visit %s", lex.CutText(id, 40)))
	}
	line := tell.VisitLine(v, e.Site, e.Msg.At)
	if v.End != "" {
		return bot.Refuse(say.F("%s: it can't be moved any more", line))
	}
	f.ID, f.Intro, f.Fields = "move "+id, e.Desk.Language.Say(say.F("door %s, %s", e.DoorID, line)), append(visitFields(e.Desk.Language, v.At.In(e.Site.Zone)), whoFields(e.Desk.Language, v)...)
	return nil
}

func (f *filled) readMove(id string) (jobs.Command, error) {
	return &jobs.MoveVisit{ID: id, At: f.at(), Who: f.people("who"), Takes: f.takes()}, nil
}
