// Package talk is a message's way through the bot: a reply to what was asked
// back, an order, or a question, and for each the post that answers it. It is
// what adapters hold.
package talk

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/form"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// patience is how long a question that was asked back waits for its reply: our
// own.
const patience = 10 * time.Minute

// keeping is how long one waits that nothing but its answer ends: our own.
const keeping = 24 * time.Hour

// Bot is the conversation: what adapters hand to it, and what they get back.
type Bot struct {
	Language *say.Language // of what it says; nil for English

	pending bot.Pending
	desk    *desk.Desk // nil where only questions are answered
}

// New returns a bot that keeps what it asks back in pending, and works on
// doors at the desk; without a desk it only answers questions.
func New(pending bot.Pending, desk *desk.Desk) *Bot {
	b := &Bot{pending: pending, desk: desk}
	if desk != nil {
		b.Language = desk.Language
	}
	return b
}

// Handle takes a message and returns what the bot says to it at once. What
// changes a door is committed, and what is said of that comes as a notice. An
// error is trouble of our own: nothing was changed.
func (b *Bot) Handle(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	posts, _, err := b.Hear(ctx, m)
	return posts, err
}

// Hear does the same, and says whether a change has settled the message: then
// the notice that it was kept as is gone.
func (b *Bot) Hear(ctx context.Context, m bot.Message) (posts []bot.Post, settled bool, err error) {
	if help := helpFor(b.Language, m.Text); help != nil && !m.Overheard {
		p := m.Reply(bot.KindAnswer, b.Language.Say(help.Headline))
		p.Picture = help.Picture
		return []bot.Post{p}, false, nil
	}
	kept, err := b.pending.Get(ctx, m.ID, m.Place(), m.At)
	if err != nil {
		return nil, false, err
	}
	w, err := b.waiting(ctx, m, kept)
	if err != nil {
		return nil, false, err
	}
	m.Waited, m.Unsaid, m.Lapses, m.Told, m.Spoken = kept != nil, w.order.Lasting(false) != nil, w.order.Ordered() != "", w.told(), w.over
	out, err := b.handle(ctx, m, w)
	if err == nil && b.desk != nil && out.refused(m) {
		out.waiting = waiting{kept: (&order.Unfinished{Over: m.At}).Marshal()}
	}
	if err == nil {
		err = b.wait(ctx, m, out, kept)
	}
	return out.posts, out.settled, err
}

// waiting reads what was kept of a place, without what was answered elsewhere.
func (b *Bot) waiting(ctx context.Context, m bot.Message, kept []byte) (waiting, error) {
	w := readWaiting(kept)
	if b.desk == nil || w.order == nil {
		return w, nil
	}
	still, err := w.order.StillAsked(ctx, b.desk, b.desk.SiteFor(&m))
	switch {
	case still == nil:
		return waiting{}, err
	case still != w.order:
		w.order, w.kept = still, still.Marshal()
	}
	return w, err
}

// wait puts what waits after a message in the place of what did. What nothing but
// its answer ends is told to the foreman if its day passes without.
func (b *Bot) wait(ctx context.Context, m bot.Message, out outcome, before []byte) error {
	lasts, until := out.waiting.order.Lasts(), m.At.Add(patience)
	unsaid, order := out.waiting.order.Unsaid()
	if lasts {
		until = m.At.Add(keeping)
	}
	if out.settled && out.waiting.order == nil || bytes.Equal(before, out.waiting.kept) || b.late(m, until) {
		return nil
	}
	var with jobs.Change
	if b.desk != nil && len(unsaid) > 0 {
		text := say.F("@%s was asked and has not said for a day, so nothing is entered, and a yes comes too late; if it is so, say it anew: %s", m.Person, say.Lines(unsaid...))
		if m.Thread != "" && order != "" && len(unsaid) == 1 {
			text = say.F("@%s was asked and has not said for a day, so nothing is entered; your yes here is asked about once more and then enters it: %s", m.Person, unsaid[0])
		}
		with.Put = b.desk.Unsaid(m, text, until, order, unsaid[0])
	} else if out.waiting.told() == "" {
		with.Cancel = m.Unasked()
	}
	if ordered := out.waiting.order.Ordered(); b.desk != nil && ordered != "" {
		lapsed, err := b.desk.Lapsed(ctx, m, ordered, until)
		if err != nil {
			return err
		}
		with.Put = append(with.Put, lapsed...)
		with.Cancel = slices.DeleteFunc(with.Cancel, func(id string) bool { return id == m.LapsedID() })
	}
	return b.pending.Put(ctx, m.ID, m.Place(), out.waiting.kept, before, m.At, until, with)
}

// Waits reports whether a question waits for the person of a message at its
// place, or was answered there and the message looks as if it went on from it.
func (b *Bot) Waits(ctx context.Context, m bot.Message) (bool, error) {
	kept, err := b.pending.Get(ctx, m.ID, m.Place(), m.At)
	w := readWaiting(kept)
	return !w.none() || w.answered != nil && ask.Follows(m.Text), err
}

// Press carries out what a pressed button says.
func (b *Bot) Press(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	if question, ok := strings.CutPrefix(m.Text, "ask: "); ok {
		m.Text = question
		return b.Handle(ctx, m)
	}
	if o := ask.Why(m.Text); o != nil {
		x := &exchange{Bot: b, ctx: ctx, m: m}
		if err := x.atDoor(); err != nil {
			return nil, err
		}
		a := verb.Questions.Resolve("why", o, x.asked())
		return []bot.Post{b.Reply(&m, a)}, x.failed
	}
	kept, err := b.pending.Get(ctx, m.ID, m.Place(), m.At)
	if err != nil {
		return nil, err
	}
	w, err := b.waiting(ctx, m, kept)
	if err != nil {
		return nil, err
	}
	m.Unsaid, m.Lapses, m.Told = w.order.Lasting(false) != nil, w.order.Ordered() != "", w.told()
	if u := w.order; u != nil && slices.ContainsFunc(append([]string{u.Guess}, u.Offers...), func(offer string) bool {
		return offer == m.Text || offer == "door "+m.Thread+" "+m.Text
	}) {
		m.Files, m.Waited, m.Joined = u.Files, u.Then == nil, true // it is a reply
	}
	x := &exchange{Bot: b, ctx: ctx, m: m, waiting: w}
	if lines := w.order.Lines(m.Text); lines != nil && m.Joined {
		x.waiting = waiting{}
		out, err := x.each(lines)
		if err != nil {
			return nil, err
		}
		out = x.again(out, w.order)
		return out.posts, b.wait(ctx, m, out, kept)
	}
	o, err := order.Press(ctx, b.desk, m)
	if err != nil || o.Waiting == nil && (!m.Joined || w.order.Then == nil) {
		return o.Posts, err
	}
	out := x.again(ofOrder(o), w.order)
	return out.posts, b.wait(ctx, m, out, kept)
}

// Form returns a form as it stands now, for the person, channel and thread of
// a message.
func (b *Bot) Form(ctx context.Context, m bot.Message, id string) (bot.Form, error) {
	return form.Form(ctx, b.desk, m, id)
}

// Submit takes what was filled into a form. With any complaint, by the
// field's name or "" of the whole form, nothing was changed.
func (b *Bot) Submit(ctx context.Context, m bot.Message, id string, values map[string]string) (complaints map[string]string, posts []bot.Post, err error) {
	return form.Submit(ctx, b.desk, m, id, values)
}

// Face draws a door's top post.
func (b *Bot) Face(ctx context.Context, key string) (bot.Post, error) {
	return board.Face(ctx, b.desk, key)
}

// Home draws what a person sees of their own.
func (b *Bot) Home(ctx context.Context, person, filter string, page int, now time.Time) (bot.Home, error) {
	return board.Home(ctx, b.desk, person, filter, page, now)
}

// late reports whether a message was said so long ago that what waits until then
// for its reply does so no more.
func (b *Bot) late(m bot.Message, until time.Time) bool {
	return b.desk != nil && m.Held.ID != "" && !until.After(b.desk.Clock())
}

// handle takes a message as an order, as a reply to what waits for one, or as
// a question.
func (b *Bot) handle(ctx context.Context, m bot.Message, w waiting) (outcome, error) {
	x := &exchange{Bot: b, ctx: ctx, m: m, waiting: w}
	out, err := x.handle()
	if err != nil {
		return out, err
	}
	return x.again(out, w.order), nil
}

func (x *exchange) handle() (outcome, error) {
	b, m, w := x.Bot, x.m, x.waiting
	if m.Quoted {
		return x.quoted()
	}
	if u := w.order; u != nil && u.Aside && !m.Overheard && (lex.Agrees(m.Text) || order.Declines(u, m.Text)) {
		one := *u
		one.Aside, one.Asked = false, m.At
		out := x.says(bot.KindAsk, say.F("to what? %s", u.Question))
		out.waiting = waiting{kept: one.Marshal(), order: &one}
		return out, nil
	}
	if u := w.order; u != nil && u.No != "" && !m.Overheard && (order.Declines(u, m.Text) || drops(m.Text)) {
		x.m.Text, x.m.Joined = u.No, true
		out, _, err := x.order()
		return out, err
	}
	if order.Declines(w.order, m.Text) || drops(m.Text) && !(w.none() && m.Overheard) {
		if w.none() {
			return x.says(bot.KindAnswer, say.F("nothing waits for your reply here")), nil
		}
		return x.says(bot.KindAnswer, say.F("dropped: I wait for no reply to that any more")), nil
	}
	if b.desk != nil && !m.Overheard && greets(m.Text) {
		return x.stays(x.welcome()), nil
	}
	if b.desk != nil && len(m.Files) > 0 {
		if out, done, err := x.picture(); done || err != nil {
			return out, err
		}
	}
	if b.desk != nil {
		if out, done, err := x.undated(); done || err != nil {
			return out, err
		}
		if out, done, err := x.parts(); done || err != nil {
			return out, err
		}
	}
	return x.one()
}

// drops reports whether a text drops the question that waits.
func drops(text string) bool {
	switch strings.ToLower(strings.Trim(text, " \t\n.!")) {
	case "cancel", "forget it", "never mind":
		return true
	}
	return false
}

// Plain answers a question that is whole by itself, without the store; false
// if the message is none.
func (b *Bot) Plain(m bot.Message) (bot.Post, bool) {
	a := Ask(m.Text)
	return b.Reply(&m, a), a.OK() && len(a.More) == 0
}

// Reply returns the post that brings an answer to the message it answers.
func (b *Bot) Reply(m *bot.Message, a *ask.Answer) bot.Post {
	kind := bot.KindError
	switch {
	case a.OK():
		kind = bot.KindAnswer
	case a.Open != nil:
		kind = bot.KindAsk
	}
	a.Short = !a.Whole
	p := m.Reply(kind, b.Language.Say(a.Text()))
	p.Answer, p.Picture = a, a.Picture
	if a.Open != nil {
		for i, label := range a.Open.Labels {
			p.Buttons = append(p.Buttons, bot.Button{Label: b.Language.Say(label), Say: "ask: " + a.Open.Offers[i]})
		}
	}
	if a.OK() && a.Short {
		p.Buttons = []bot.Button{{Label: b.Language.Say(say.F("Why")), Say: a.AsksWhy()}}
	}
	return p
}

// Ask answers one question that stands by itself.
func Ask(text string) *ask.Answer {
	if verb.AsksToDrill(text) {
		return &ask.Answer{Asked: text, Error: say.F(verb.NoLeave)}
	}
	a := verb.Questions.Ask(text, nil)
	if doorWork(a) {
		return &ask.Answer{Asked: text, Error: say.F("that is said to a door's job, and here only questions are answered: doors are worked on in heelpost chat, with site files and hardware sheets, or in Slack")}
	}
	return a
}

// doorWork reports whether what was not understood as a question is said to
// doors: an order, or a word and a door's id.
func doorWork(a *ask.Answer) bool {
	if a.OK() {
		return false
	}
	text := strings.TrimSpace(a.Asked)
	e := &order.Request{}
	if o, _ := order.FindOrder(e.Address(text)); o != nil {
		return a.Verb == "" || e.DoorID != "" || o.Words[0] == "door open"
	}
	m := order.WordAndID.FindStringSubmatch(text)
	return m != nil && !verb.Questions.Knows(strings.ToLower(m[1]))
}
