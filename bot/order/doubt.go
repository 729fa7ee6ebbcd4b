package order

import (
	"context"
	"errors"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// yesSo takes a plain yes at a door for the answer to whether a cold reading is so
// that nobody has answered yet: whoever was asked may have gone home. It sets no
// visit.
func (e *Request) yesSo(j *jobs.Job, text string) (done bool, err error) {
	if text != "" || len(j.Door.Doubts) == 0 || !j.Curing() {
		return false, nil
	}
	return true, e.answerDoubt(j, tell.IsSo)
}

// answerDoubt answers the one cold reading that a door asks about, and asks which
// one is meant of several.
func (e *Request) answerDoubt(j *jobs.Job, answer string) error {
	var ways []string
	for _, about := range j.Door.Doubts {
		ways = append(ways, tell.DoubtText(&about, answer))
	}
	if len(ways) > 1 {
		return &choice{orders: ways}
	}
	return e.temperature(strings.TrimPrefix(ways[0], "temperature "))
}

// noSo takes a plain no at a door for the same; done is false if nothing is asked
// there.
func (e *Request) noSo(text string) (done bool, err error) {
	if e.DoorID == "" || e.Msg.Overheard || !slices.Contains(noes, strings.ToLower(strings.Trim(text, " .!\n"))) {
		return false, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if err != nil || j == nil || len(j.Door.Doubts) == 0 || !j.Curing() {
		return false, err
	}
	return true, e.answerDoubt(j, tell.IsNotSo)
}

// YesTo asks what a plain yes is to, where a visit was proposed to whoever speaks
// after the question that waits for them: that is put again, and is the last then.
// ok is false if it can be to nothing else.
func YesTo(ctx context.Context, d *desk.Desk, m bot.Message, u *Unfinished) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	if u == nil || u.Guess == "" || u.Asked.IsZero() || e.Site == nil || e.DoorID == "" || !lex.Agrees(m.Text) {
		return out, false, nil
	}
	j, err := d.Find(ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if j == nil || err != nil {
		return out, false, err
	}
	waiting, err := e.proposing(j)
	if _, refused := errors.AsType[*bot.RefusalError](err); refused {
		return out, false, nil // others are asked that
	}
	since := slices.DeleteFunc(waiting, func(r jobs.Reminder) bool { return !r.Due.After(u.Asked) })
	if len(since) == 0 || err != nil {
		return out, false, err
	}
	again := *u
	again.Question = e.visitOr(j, since, u.Question)
	e.ask(&again)
	e.Waiting.Question = u.Question
	return e.Outcome, true, nil
}

// visitOr tells how a visit that is proposed is taken, before another question.
func (e *Request) visitOr(j *jobs.Job, proposals []jobs.Reminder, question say.Text) say.Text {
	for _, r := range proposals {
		if at, ok := j.Proposed(r.Kind, r.Args["visit"], e.Msg.At); ok {
			return say.F("yes to what? the visit is taken by yes %s; the other question is: %s", at.In(e.Site.Zone).Format(bot.Minute), question)
		}
	}
	return say.F("yes to what? %s", question)
}

// unsaidTo asks what a plain yes is to, where whoever speaks was told of a question
// that somebody else has not answered: that is put to them now.
func (e *Request) unsaidTo(j *jobs.Job, proposals []jobs.Reminder) (asked bool, err error) {
	order, told, question, err := e.Desk.UnsaidTo(e.Ctx, j, e.Msg.Person)
	if order == "" || err != nil {
		return false, err
	}
	e.ask(&Unfinished{Guess: order, Keep: true, Told: told, Question: e.visitOr(j, proposals, question)})
	e.Waiting.Question = question
	return true, nil
}

// StillAsked returns what waits without the questions that somebody else has
// answered at their doors meanwhile.
func (u *Unfinished) StillAsked(ctx context.Context, d *desk.Desk, site *jobs.Site) (*Unfinished, error) {
	if u == nil || site == nil {
		return u, nil
	}
	then, err := u.Then.StillAsked(ctx, d, site)
	if err != nil {
		return nil, err
	}
	open := len(u.AtDoors) == 0
	for _, id := range u.AtDoors {
		j, err := d.Find(ctx, jobs.DoorKey(site.ID, id))
		if err != nil {
			return nil, err
		}
		open = open || j != nil && len(j.Door.Doubts) > 0
	}
	switch {
	case !open:
		return then, nil
	case then == u.Then:
		return u, nil
	}
	one := *u
	one.Then = then
	return &one, nil
}
