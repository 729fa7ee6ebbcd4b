package order

import (
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

func (e *Request) takeBack(text string) error {
	rest, why := splitBecause(text)
	if rest == "call off" || rest == "calling off" || rest == "the call off" {
		return e.Do(&jobs.Recall{Why: why})
	}
	if rest != "" && rest != "it" {
		return bot.Refuse(say.F("what is taken back is the handover, or that a door was called off: say take back handover, or take back call off, because and the reason, not %q", lex.CutText(rest, 40)))
	}
	return e.Do(&jobs.TakeBack{Why: why})
}

func (e *Request) callOff(text string) error {
	rest, why := splitBecause(text)
	if rest != "" && rest != "door" && rest != "the door" {
		return bot.Refuse(say.F("call off is about the door: say call off because and the reason; a visit is called off by cancel visit"))
	}
	j, err := e.Job()
	if err != nil {
		return err
	}
	if d := &j.Door; (d.Items["stood"].Settled() || d.Curing()) && !e.Msg.Joined && d.Off.IsZero() && e.Site.Role(e.Msg.Person) == jobs.Foreman && why != "" {
		order := strings.Join([]string{"door", e.DoorID, "call off because", why}, " ")
		e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("at %s a leaf hangs or a plate cures, and nobody is reminded of it any more: is it to be called off? say yes, or no", e.DoorID)})
		return nil
	}
	return e.Do(&jobs.CallOff{Why: why})
}

func (e *Request) rename(text string) error {
	id, why := splitBecause(text)
	if id == "" || strings.ContainsAny(id, " \t\n") {
		return bot.Refuse(say.F("rename to which id? as rename to A-102 because the plan says so"))
	}
	settled, err := e.Desk.Rename(e.Ctx, e.Msg, e.Site, jobs.DoorKey(e.Site.ID, e.DoorID), &jobs.Rename{ID: strings.ToUpper(id), Why: why})
	e.Settled = e.Settled || settled
	return err
}
