// Package talk is a message's way through the bot: a reply to what was asked
// back, an order, or a question, and for each the post that answers it. It is
// what adapters hold.
package talk

import (
	"bytes"
	"context"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/form"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// patience is how long a question that was asked back waits for its reply.
const patience = 10 * time.Minute

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
	if text, ok := Help(m.Text); ok && !m.Overheard {
		return []bot.Post{m.Reply(bot.KindAnswer, text)}, false, nil
	}
	kept, err := b.pending.Get(ctx, m.ID, m.Place(), m.At)
	if err != nil {
		return nil, false, err
	}
	m.Waited = kept != nil
	out, err := b.handle(ctx, m, ask.UnmarshalOpen(kept))
	var after []byte
	if out.Waiting != nil {
		after = out.Waiting.Marshal()
	}
	if err == nil && !out.Settled && !bytes.Equal(kept, after) && !b.late(m) {
		err = b.pending.Put(ctx, m.ID, m.Place(), after, kept, m.At, m.At.Add(patience))
	}
	return out.Posts, out.Settled, err
}

// Waits reports whether a question waits for the person of a message at its
// place.
func (b *Bot) Waits(ctx context.Context, m bot.Message) (bool, error) {
	kept, err := b.pending.Get(ctx, m.ID, m.Place(), m.At)
	return kept != nil, err
}

// Press carries out what a pressed button says.
func (b *Bot) Press(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	return order.Press(ctx, b.desk, m)
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

// late reports whether a message was said so long ago that no question can wait
// for its reply any more.
func (b *Bot) late(m bot.Message) bool {
	return b.desk != nil && m.Held.ID != "" && !m.At.Add(patience).After(b.desk.Clock())
}

// handle takes a message as an order, as a reply to what waits for one, or as
// a question.
func (b *Bot) handle(ctx context.Context, m bot.Message, waiting *ask.Open) (order.Outcome, error) {
	if drops(m.Text) && (waiting != nil || !m.Overheard) {
		text := say.F("nothing waits for your reply here")
		if waiting != nil {
			text = say.F("dropped: I wait for no reply to that any more")
		}
		return b.said(m, bot.KindAnswer, text, nil), nil
	}
	x := &exchange{Bot: b, ctx: ctx, m: m, waiting: waiting}
	if b.desk != nil {
		if out, done, err := x.order(); done || err != nil {
			return out, err
		}
	}
	return x.question()
}

// said is the outcome of a message that one post answers.
func (b *Bot) said(m bot.Message, kind bot.Kind, text say.Text, waiting *ask.Open) order.Outcome {
	return order.Outcome{Posts: []bot.Post{m.Reply(kind, b.Language.Say(text))}, Waiting: waiting}
}

// exchange is a message on its way from order to question.
type exchange struct {
	*Bot
	ctx      context.Context
	m        bot.Message
	waiting  *ask.Open
	front    string    // the order that waits, with a reply whose front it understands
	notReply error     // why the text is no reply to the order that waits
	door     *jobs.Job // in whose thread it stands
}

// order takes the message as a reply to the order that waits, or as an order;
// done is false if it is none.
func (x *exchange) order() (out order.Outcome, done bool, err error) {
	stays := order.Outcome{Waiting: x.waiting}
	if x.waiting != nil && x.waiting.Order && !(x.m.Overheard && x.waiting.Text == "" && !order.Settles(x.waiting, x.m.Text)) {
		text, whole, err := order.Surveyed(x.waiting, x.m.Text, order.NamesOf(x.desk, x.desk.SiteFor(&x.m)))
		if whole {
			x.m.Text, x.m.Overheard, x.m.Joined = text, false, true
		} else {
			x.front, x.notReply = text, err
		}
	}
	if o, _ := order.FindOrder(x.m.Text); o != nil && x.m.Overheard {
		if ours, err := order.ForUs(x.ctx, x.desk, x.m); !ours || err != nil {
			return stays, true, err
		}
	}
	out, done, err = order.Handle(x.ctx, x.desk, x.m)
	refused := len(out.Posts) > 0 && out.Posts[0].Kind == bot.KindError
	switch {
	case done && x.m.Overheard && refused:
		return stays, true, err // "temperature is dropping"
	case done && x.notReply != nil && out.Waiting == nil && (order.Shows(x.m.Text) || refused):
		out.Waiting = x.waiting // a look in between, or a try
		return out, true, err
	case done || err != nil:
		return out, done, err
	}
	x.door, err = x.desk.About(x.ctx, x.m)
	return stays, false, err
}

// question answers the message as a question.
func (x *exchange) question() (order.Outcome, error) {
	if x.door != nil && x.waiting == nil {
		if text := tell.Entered(x.door, x.m.Text); text != "" && x.m.Overheard {
			return order.Outcome{}, nil
		} else if text != "" {
			return x.said(x.m, bot.KindError, say.Plain(text), nil), nil
		}
	}
	if x.door != nil && x.waiting == nil && !x.m.Overheard && order.SaysDone(x.m.Text) {
		if out, done, err := order.Slip(x.ctx, x.desk, x.m, x.notReply != nil); done || err != nil {
			return out, err
		}
	}
	a := verb.Questions.Resolve(x.m.Text, x.waiting, tell.Asked(x.door))
	if !a.OK() {
		if out, done, err := x.strange(a); done || err != nil {
			return out, err
		}
	}
	if x.m.Overheard && (!a.OK() || len(a.Read) > 0 || a.Talk) {
		return order.Outcome{Waiting: x.waiting}, nil // people talk about gaps, too
	}
	if x.door != nil && a.Verb == "" && !a.OK() && !strings.ContainsAny(x.m.Text, "0123456789") {
		a.Error = say.F("%s; card, next and list show this door, help door what can be said to it", a.Error)
	}
	next := a.Open
	if x.notReply != nil {
		next = x.waiting // it is a question in between
	}
	return order.Outcome{Posts: []bot.Post{x.Reply(&x.m, a)}, Waiting: next}, nil
}

// strange answers what is no question either: a number's name, a slip of an
// order, a reply of which not all is understood; done is false if it is none
// of them.
func (x *exchange) strange(a *ask.Answer) (out order.Outcome, done bool, err error) {
	if x.door != nil {
		if text := tell.Named(x.door, x.m.Text); text != "" {
			return x.said(x.m, bot.KindAnswer, say.Plain(text), x.waiting), true, nil
		}
	}
	if x.door != nil && !x.m.Overheard && tell.IsAbout(x.m.Text) {
		return x.said(x.m, bot.KindAnswer, say.F("door %s: %s", x.door.Door.Spec.ID, tell.Describe(&x.door.Door.Spec)), x.waiting), true, nil
	}
	switch {
	case x.desk == nil && doorWork(a):
		return x.said(x.m, bot.KindError, say.F("no site is set up here, so no door has a job: that takes site files and hardware sheets, and whoever runs me names where they lie"), x.waiting), true, nil
	case x.desk == nil || x.m.Overheard:
		return out, false, nil
	case x.waiting != nil && !x.waiting.Order && a.Open != nil:
		return out, false, nil // a reply that leaves something to ask
	}
	out, done, err = order.Slip(x.ctx, x.desk, x.m, x.notReply != nil)
	switch {
	case x.notReply == nil || err != nil:
		return out, done, err
	case done:
		out.Waiting = x.waiting
		return out, true, nil
	case strings.HasPrefix(x.front, "door open "):
		x.m.Text = x.front
		out, _, err := order.Handle(x.ctx, x.desk, x.m)
		return out, true, err
	}
	why := say.Of(x.notReply)
	if v := verb.Questions.Verb(a.Verb); v != nil && a.Open != nil {
		why = say.F("a question in between is asked whole, as %s", v.Exact)
	}
	return x.said(x.m, bot.KindAsk, say.Lines(why, say.Plain(x.waiting.Ask)), x.waiting), true, nil
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
	return b.Reply(&m, a), a.OK()
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
	p := m.Reply(kind, b.Language.Say(a.Text()))
	p.Answer = a
	return p
}

// Ask answers one question that stands by itself.
func Ask(text string) *ask.Answer {
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
	e := &order.Errand{}
	if o, _ := order.FindOrder(e.Address(text)); o != nil {
		return a.Verb == "" || e.DoorID != "" || o.Words[0] == "door open"
	}
	m := order.WordAndID.FindStringSubmatch(text)
	return m != nil && !verb.Questions.Knows(strings.ToLower(m[1]))
}
