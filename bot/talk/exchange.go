package talk

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/board"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// exchange is a message on its way from order to question.
type exchange struct {
	*Bot
	ctx      context.Context
	m        bot.Message
	waiting  waiting
	front    string    // the order that waits, with a reply whose front it understands
	more     bool      // the text goes on with what waits
	notReply error     // why the text is no reply to the order that waits
	door     *jobs.Job // in whose thread it stands
	failed   error     // while the doors of the site were read
}

// says is the outcome of a message that one post answers.
func (x *exchange) says(kind bot.Kind, text say.Text) outcome {
	return outcome{posts: []bot.Post{x.m.Reply(kind, x.Language.Say(text))}}
}

// stays returns an outcome after which what waits goes on waiting.
func (x *exchange) stays(out outcome) outcome {
	out.waiting = x.waiting
	return out
}

// asksState are what people ask at a door where next is what answers it.
var asksState = map[string]bool{"status": true, "the status": true, "what is the status": true, "what's the status": true, "state": true, "progress": true,
	"where are we": true, "how far are we": true, "how far is it": true, "what is open": true, "what's open": true, "what is still open": true, "what is left": true, "what's left": true}

// order takes the message as a reply to the order that waits, or as an order;
// done is false if it is none.
func (x *exchange) order() (out outcome, done bool, err error) {
	if !x.m.Overheard {
		if o, ok, err := order.YesTo(x.ctx, x.desk, x.m, x.waiting.order); ok || err != nil {
			return ofOrder(o), true, err
		}
	}
	if q := x.waiting.question; q != nil && len(q.Offers) == 1 && lex.Agrees(x.m.Text) && !x.m.Overheard {
		return outcome{}, false, x.atDoor()
	}
	said := x.m.Text
	x.takeReply()
	if x.notReply != nil && lex.Agrees(x.m.Text) && !x.m.Overheard {
		return x.stays(x.says(bot.KindAsk, say.Lines(say.Of(x.notReply), x.waiting.order.Question))), true, nil
	}
	if lines := x.waiting.order.Lines(x.m.Text); x.m.Joined && lines != nil {
		several := *x
		several.waiting = waiting{} // it is answered
		out, err = several.each(lines)
		return out, true, err
	}
	if x.m.Thread != "" && !x.m.Overheard && asksState[strings.ToLower(strings.ReplaceAll(strings.Trim(x.m.Text, " .!?\n"), "’", "'"))] {
		x.m.Text = "next"
	}
	if o, _ := order.FindOrder(x.m.Text); o != nil && x.m.Overheard {
		if ours, err := order.ForUs(x.ctx, x.desk, x.m); !ours || err != nil {
			return x.stays(outcome{}), true, err
		}
	}
	keeps := order.Keeps(x.m.Text)
	if keeps && x.waiting.answered != nil {
		if err := x.atDoor(); err != nil {
			return outcome{}, true, err
		}
		if x.m.Answered = verb.Questions.Resolve("why", x.waiting.answered, x.asked()); x.failed != nil {
			return outcome{}, true, x.failed
		}
	}
	x.m.Unclear = x.waiting.order.GroundOpen()
	o, done, err := order.Handle(x.ctx, x.desk, x.m)
	if done && err == nil {
		x.noted(&o, said)
		x.keepOpening(&o)
	}
	switch {
	case done && keeps && o.Settled:
		return ofOrder(o), true, err // once is enough
	case done && x.m.Overheard && o.Refused:
		return x.stays(outcome{}), true, err // "temperature is dropping"
	case done && x.notReply != nil && o.Waiting == nil && (order.Shows(x.m.Text) || o.Refused):
		return x.stays(ofOrder(o)), true, err // a look in between, or a try
	case done && o.Waiting == nil && x.waiting.none():
		return x.stays(ofOrder(o)), true, err
	case done || err != nil:
		return ofOrder(o), done, err
	}
	x.door, err = x.desk.About(x.ctx, x.m)
	if err != nil || x.m.Overheard {
		return outcome{}, false, err
	}
	ids, doors, question, err := x.named()
	if len(ids) != 1 || len(doors) != 1 || err != nil {
		return outcome{}, false, err
	}
	return x.ofNamed(doors[0], question)
}

// noted says of a reply that was taken that it is kept, where what was asked is asked
// again: else 44 thick seems not to have been heard.
func (x *exchange) noted(o *order.Outcome, said string) {
	was := x.waiting.order
	if !x.m.Joined || was == nil || o.Waiting == nil || len(o.Posts) == 0 || o.Waiting.Question.String() != was.Question.String() || o.Waiting.Text == was.Text {
		return
	}
	p := &o.Posts[len(o.Posts)-1]
	p.Text = x.Language.Say(say.F("noted: %s", lex.CutText(strings.TrimSpace(said), 40))) + "\n" + p.Text
}

// keepOpening keeps what is known of a door that is not open yet, where something
// else is done or asked about meanwhile.
func (x *exchange) keepOpening(o *order.Outcome) {
	u := x.waiting.order
	switch {
	case !u.Opens() || x.m.Joined || x.more || x.m.Overheard || u.Anew(x.m.Text):
	case o.Waiting != nil:
		o.Waiting.AheadOf(u)
	case !order.Shows(x.m.Text) && !o.Refused:
		o.Waiting = u
		o.Posts = append(o.Posts, x.m.Reply(bot.KindAsk, x.Language.Say(u.Question)))
	}
}

// picture takes what was sent with a message for a photo of the door in whose
// thread it stands; not where the message gives an order or asks something.
func (x *exchange) picture() (out outcome, done bool, err error) {
	if x.m.Thread == "" {
		if x.m.Text != "" || x.m.Overheard {
			return out, false, nil
		}
		return x.stays(x.says(bot.KindError, say.F("a photo is of a door: send it in the door's thread"))), true, nil
	}
	if !x.m.Overheard {
		if o, _ := order.FindOrder(x.m.Text); o != nil || x.m.Text != "" && (!x.waiting.none() || verb.Questions.Ask(x.m.Text, nil).OK()) {
			return out, false, nil
		}
	}
	o, err := order.Picture(x.ctx, x.desk, x.m)
	if o.Waiting == nil {
		return x.stays(ofOrder(o)), true, err
	}
	return ofOrder(o), true, err
}

// brings reports whether a text file came with the message that may be a log.
func (x *exchange) brings() bool {
	return (x.m.Log != nil || !x.m.NoLog.IsZero()) && verb.Questions.TakesLog(x.m.Text)
}

// log takes a text file that was sent with a message for the temperature log of a
// cure, where what was said with it is no order, alarm or reading. One that people
// share among themselves is taken only if it is one, or if it is spoken of.
func (x *exchange) log(*ask.Answer) (_ outcome, done bool, err error) {
	if !x.brings() {
		return outcome{}, false, nil
	}
	text, left, no := "", say.Text{}, x.m.NoLog
	if x.m.Log != nil {
		text, left, no = x.m.Log.Under(x.m.Text, verb.Questions)
	}
	switch {
	case no.IsZero():
	case x.m.Overheard && verb.Questions.VerbIn(x.m.Text) == nil:
		return x.stays(outcome{}), true, nil
	default:
		return x.stays(x.says(bot.KindError, no)), true, nil
	}
	if err := x.atDoor(); err != nil {
		return outcome{}, true, err
	}
	x.m.Overheard = false
	var from say.Text
	if x.door != nil && len(x.door.Door.Bonds) > 0 && onlyLog.MatchString(text) {
		on, begins, no := dated(text, x.door, x.m.At)
		if !no.IsZero() {
			return x.stays(x.says(bot.KindAsk, no)), true, nil
		}
		text, from = cmp.Or(on, text), begins
	}
	a := verb.Questions.Ask(text, x.asked())
	for _, more := range []say.Text{from, left} {
		if !more.IsZero() {
			a.Read = append(a.Read, more)
		}
	}
	out, err := x.answer(a)
	return out, true, err
}

// askAgain is how long a question that its doors hold, as a cold reading's by which the
// cure is taken as void meanwhile, is not put again: our own.
const askAgain = 10 * time.Minute

// again asks once more what nothing but its answer ends, where something else
// was said: a reading that may void a cure is not lost for a look at the list.
// One question is asked at a time: behind what is asked now the others wait.
func (x *exchange) again(out outcome, asked *order.Unfinished) outcome {
	over := x.m.Joined || order.Declines(asked, x.m.Text) || drops(x.m.Text)
	u := asked.Lasting(over)
	if !over && out.waiting.order != asked && !x.m.Overheard && asked.Dropped(x.m.Text) {
		switch now := out.waiting.order; {
		case now != nil || len(asked.Files) > 0: // a picture is not sent twice for a question
			u = asked
		default:
			out.posts = append(out.posts, x.m.Reply(bot.KindAnswer, x.Language.Say(order.NotDone(asked.Typed))))
		}
	}
	switch now := out.waiting.order; {
	case u == nil, now == asked && !asked.Keep: // it stays before what waits behind it
		return out
	case now != nil && now != asked: // something was asked back meanwhile
		now.AheadOf(u)
		out.waiting.kept = now.Marshal()
		return out
	case x.m.Overheard:
		return x.stays(out)
	}
	if u == asked && u.Keep && len(u.AtDoors) > 0 && !u.Asked.IsZero() && x.m.At.Sub(u.Asked) < askAgain {
		one := *u
		one.Aside = true
		out.waiting = waiting{kept: one.Marshal(), order: &one}
		return out
	}
	u.Asked, u.Aside = x.m.At, false
	if question := x.Language.Say(u.Question); len(out.posts) == 0 || out.posts[0].Text != question {
		out.posts = append(out.posts, x.m.Reply(bot.KindAsk, question))
	}
	out.waiting = waiting{kept: u.Marshal(), order: u}
	return out
}

// takeReply puts the message into the order that waits, if it is a reply to it,
// and else notes why it is none.
func (x *exchange) takeReply() {
	u := x.waiting.order
	if u == nil || x.m.Overheard && u.Text == "" && !order.Settles(u, x.m.Text) {
		return
	}
	if r := order.ReplyTo(u, x.m.Text, order.NamesOf(x.desk, x.desk.SiteFor(&x.m), x.m.Person)); r.Order != "" {
		x.m.Text, x.m.Overheard, x.m.Joined = r.Order, false, true
		x.m.Files = append(x.m.Files, u.Files...)
	} else if r.Rows != "" {
		x.m.Text, x.more = r.Rows, true
	} else if r.Other != "" {
		x.m.Text = r.Other
	} else {
		x.front, x.notReply = r.Front, r.Why
	}
	if u.Lasting(x.m.Joined) != nil || u.Opens() && !x.m.Joined {
		x.m.Waited = false // no change closes it
	}
}

// question answers a message that is no order: as the first that it may be of
// what stands below, or as a question.
func (x *exchange) question() (outcome, error) {
	if x.door != nil && !x.m.Overheard && shouted[strings.ToLower(strings.Trim(x.m.Text, " .!\n"))] {
		return x.stays(x.says(bot.KindAsk, say.F("work stops, then? I hold nothing by myself: tell those at the door. For the depth mark say stop depth, for what went wrong snag and what it is"))), nil
	}
	if u := x.waiting.order; x.door != nil && (x.waiting.question == nil && (u == nil || u.Text == "") || order.HeatingOn(x.m.Text)) && (x.waiting.answered == nil || !order.SaysMass(x.m.Text)) && !x.m.Overheard && !x.brings() {
		if o, done, err := order.Report(x.ctx, x.desk, x.m, x.door); done || err != nil {
			return ofOrder(o), err
		}
	}
	if verb.AsksToDrill(x.m.Text) && !x.m.Overheard {
		return x.stays(x.says(bot.KindAnswer, x.leave())), nil
	}
	if ask.AsksBehind(x.m.Text) && x.waiting.answered == nil && x.waiting.order == nil && !x.m.Overheard {
		return x.behindNone(), x.failed
	}
	a := verb.Questions.Resolve(x.m.Text, cmp.Or(x.waiting.question, x.waiting.answered), x.asked())
	if x.failed != nil {
		return outcome{}, x.failed
	}
	if a.Followed && !x.brings() {
		return x.answer(a)
	}
	if !a.OK() && x.waiting.order == nil && polite(x.m.Text) && !x.brings() {
		return x.stays(outcome{}), nil
	}
	for _, take := range []func(*ask.Answer) (out outcome, done bool, err error){
		x.trouble, x.danger, x.bare, x.entry, x.itemDone, x.log, x.fact, x.doorless, x.slip, x.brokenReply, x.ofDoors,
	} {
		if out, done, err := take(a); done || err != nil {
			return out, err
		}
	}
	return x.answer(a)
}

// behindNone says that there is no answer yet for why or cautions to stand behind,
// and asks again what waits for a reply.
func (x *exchange) behindNone() outcome {
	none := say.F("%s goes with an answer, and there is none here yet", strings.ToLower(strings.Trim(x.m.Text, " .!?\n")))
	if x.waiting.question == nil {
		return x.says(bot.KindError, say.F("%s: ask first, as gap 54 60", none))
	}
	a := verb.Questions.Resolve(x.waiting.question.Text, nil, x.asked())
	a.Error = say.F("%s: %s", none, a.Error)
	return x.stays(outcome{posts: []bot.Post{x.Reply(&x.m, a)}})
}

// asked returns the door of the thread, and the doors of the site, as questions
// know them.
func (x *exchange) asked() *ask.Door {
	door := tell.Asked(x.door)
	if x.desk == nil {
		return door
	}
	site := x.desk.SiteFor(&x.m)
	if site == nil {
		return door
	}
	door = cmp.Or(door, new(ask.Door))
	door.Others = func() []ask.SiteDoor {
		all, err := board.Ranked(x.ctx, x.desk, site, "all", x.m.At, func(j *jobs.Job) bool { return j.Door.Handover.IsZero() })
		if err != nil {
			x.failed = err
			return nil
		}
		return tell.SiteDoors(all)
	}
	return door
}

// leave says what is open before anything is drilled at the door.
func (x *exchange) leave() say.Text {
	if x.door == nil {
		return say.F(verb.NoLeave)
	}
	return tell.MayDrill(x.door, x.m.Text, x.m.At)
}

// quoted answers what somebody else has written, if it is a question. With an
// order nobody lends the other their role.
func (x *exchange) quoted() (outcome, error) {
	if err := x.atDoor(); err != nil {
		return outcome{}, err
	}
	a := verb.Questions.Ask(x.m.Text, x.asked())
	if x.failed != nil {
		return outcome{}, x.failed
	}
	if doorWork(a) {
		return x.stays(x.says(bot.KindError, say.F("that was written by somebody else, and of another's words only questions are answered: say it yourself"))), nil
	}
	return x.answer(a)
}

// atDoor looks up the door in whose thread the message stands.
func (x *exchange) atDoor() (err error) {
	if x.desk != nil {
		x.door, err = x.desk.About(x.ctx, x.m)
	}
	return err
}

// shouted are words that may be no question at a door.
var shouted = lex.WordSet("stop wait halt")

// trouble answers what went wrong, at a door or where none is named.
func (x *exchange) trouble(a *ask.Answer) (out outcome, done bool, err error) {
	if x.m.Overheard || a.OK() {
		return out, false, nil
	}
	if x.desk == nil {
		stop := order.Stop(x.m.Text)
		return x.stays(x.says(bot.KindAnswer, stop)), !stop.IsZero(), nil
	}
	m, door := x.m, x.door
	ids, doors, what, err := x.named()
	if err != nil {
		return out, false, err
	}
	if len(ids) == 1 && len(doors) == 1 { // E-4 water everywhere, said in the channel, is of E-4
		m.Thread, m.Text, door = doors[0].Door.Spec.ID, what, doors[0]
	}
	o, done, err := order.Trouble(x.ctx, x.desk, m, door)
	for i := range o.Posts {
		o.Posts[i].Thread, o.Posts[i].Under = x.m.Thread, x.m.Under
	}
	if o.Waiting == nil {
		return x.stays(ofOrder(o)), done, err
	}
	return ofOrder(o), done, err
}

// danger asks for the correction that is said in plain words.
func (x *exchange) danger(a *ask.Answer) (out outcome, done bool, err error) {
	if x.door == nil || x.m.Overheard || a.OK() || x.notReply != nil || verb.Questions.VerbIn(x.m.Text) != nil {
		return out, false, nil
	}
	o, done := order.Danger(x.desk, x.m, x.door)
	if o.Waiting == nil {
		return x.stays(ofOrder(o)), done, nil
	}
	return ofOrder(o), done, nil
}

// bare asks whether what was measured, said without an order, is a reading.
func (x *exchange) bare(a *ask.Answer) (out outcome, done bool, err error) {
	if x.door == nil || a.OK() || !x.waiting.none() || x.m.Overheard || x.brings() {
		return out, false, nil
	}
	o, done, err := order.Bare(x.ctx, x.desk, x.m, x.door)
	return ofOrder(o), done, err
}

// entry refuses a number of the card that somebody enters, as "centre 74". One
// that is overheard is for others.
func (x *exchange) entry(*ask.Answer) (out outcome, done bool, err error) {
	if x.door == nil || !x.waiting.none() {
		return out, false, nil
	}
	text := tell.Entered(x.door, x.m.Text)
	if text.IsZero() || x.m.Overheard {
		return out, !text.IsZero(), nil
	}
	return x.says(bot.KindError, text), true, nil
}

// itemDone takes "joint done" for a tick that may be meant.
func (x *exchange) itemDone(*ask.Answer) (out outcome, done bool, err error) {
	if x.door == nil || !x.waiting.none() || x.m.Overheard || !order.SaysDone(x.m.Text) {
		return out, false, nil
	}
	o, done, err := order.Slip(x.ctx, x.desk, x.m, false)
	return ofOrder(o), done, err
}

// fact tells what the door's card or description knows, or how far its adhesive
// is, where that is what is asked for: "pin length", "who is the foreman", "when
// can I load the plate".
func (x *exchange) fact(a *ask.Answer) (out outcome, done bool, err error) {
	if x.door == nil {
		return out, false, nil
	}
	if text := tell.Story(x.door, x.m.Text); !x.m.Overheard && !text.IsZero() {
		return x.stays(x.says(bot.KindAnswer, text)), true, nil
	}
	if text := tell.MayI(x.door, x.m.Text, x.m.At); !x.m.Overheard && !text.IsZero() {
		return x.stays(x.says(bot.KindAnswer, text)), true, nil
	}
	if !x.m.Overheard && len(x.door.Door.Bonds) > 0 && tell.AsksCure(x.m.Text) {
		out := x.says(bot.KindAnswer, tell.CureText(x.door, x.m.At))
		out.posts[0].Picture = tell.CureClock(x.door, x.m.At)
		return x.stays(out), true, nil
	}
	if text := tell.WarmthFor(x.door, x.m.Text, x.m.At); !x.m.Overheard && !text.IsZero() {
		return x.stays(x.says(bot.KindAnswer, text)), true, nil
	}
	if a.OK() && (x.m.Overheard || !tell.AsksOwn(x.m.Text)) {
		return out, false, nil
	}
	if text := tell.Named(x.door, x.m.Text); !text.IsZero() {
		return x.stays(x.says(bot.KindAnswer, text)), true, nil
	}
	if x.m.Overheard || !tell.IsAbout(x.m.Text) && !tell.AsksOwn(x.m.Text) {
		return out, false, nil
	}
	return x.stays(x.says(bot.KindAnswer, say.F("door %s: %s", x.door.Door.Spec.ID, tell.Describe(&x.door.Door.Spec)))), true, nil
}

// doorless says that there are no doors to work on where only questions are
// answered.
func (x *exchange) doorless(a *ask.Answer) (out outcome, done bool, err error) {
	if x.desk != nil || !doorWork(a) {
		return out, false, nil
	}
	no := say.F("no site is set up here, so no door has a job: that takes site files and hardware sheets, and whoever runs me names where they lie")
	return x.stays(x.says(bot.KindError, no)), true, nil
}

// slip takes the message for an order that was mistyped. What waits for a reply
// goes on waiting, and a reply that leaves something to ask is none.
func (x *exchange) slip(a *ask.Answer) (out outcome, done bool, err error) {
	if a.OK() || x.desk == nil || x.m.Overheard || x.waiting.question != nil && a.Open != nil {
		return out, false, nil
	}
	o, done, err := order.Slip(x.ctx, x.desk, x.m, x.notReply != nil)
	if done && x.notReply != nil {
		return x.stays(ofOrder(o)), true, err
	}
	return ofOrder(o), done, err
}

// brokenReply carries out the order that waits as far as its reply is
// understood, or says why it is none and asks again.
func (x *exchange) brokenReply(a *ask.Answer) (out outcome, done bool, err error) {
	if a.OK() || x.notReply == nil || x.m.Overheard {
		return out, false, nil
	}
	if strings.HasPrefix(x.front, "door open ") {
		x.m.Text, x.m.Joined = x.front, true
		o, _, err := order.Handle(x.ctx, x.desk, x.m)
		return ofOrder(o), true, err
	}
	why := say.Of(x.notReply)
	if v := verb.Questions.Verb(a.Verb); v != nil && a.Open != nil {
		why = say.F("a question in between is asked whole, as %s", v.Exact)
	}
	return x.stays(x.says(bot.KindAsk, say.Lines(why, x.waiting.order.Question))), true, nil
}

// answer answers the message as a question. What people say among themselves
// is left alone unless it is one without doubt: people talk about gaps, too.
func (x *exchange) answer(a *ask.Answer) (outcome, error) {
	if x.m.Overheard && (!a.OK() || len(a.Read) > 0 && !a.Followed || a.Talk) {
		return x.stays(outcome{}), nil
	}
	if err := x.explain(a); err != nil {
		return outcome{}, err
	}
	if x.door != nil && a.Verb == "" && !a.OK() && !strings.ContainsAny(x.m.Text, "0123456789") {
		a.Error = say.F("%s; card, next and list show this door, help door what can be said to it", a.Error)
	}
	out := outcome{}
	for _, a := range append([]*ask.Answer{a}, a.More...) {
		out.posts = append(out.posts, x.Reply(&x.m, a))
		switch {
		case out.waiting.question != nil: // at most one asks back
		case a.Open != nil:
			out.waiting = readWaiting(a.Open.Marshal())
		case a.OK():
			out.waiting = readWaiting(a.Last().Marshal())
		}
	}
	if x.notReply != nil || a.Shrug && out.waiting.none() { // a hm forgets nothing
		return x.stays(out), nil // it is a question in between
	}
	return out, nil
}

// explain leaves out of an answer what was explained today in the door's thread,
// or else in the channel, and notes what it and the answers behind it explain.
func (x *exchange) explain(a *ask.Answer) error {
	all := append([]*ask.Answer{a}, a.More...)
	if !slices.ContainsFunc(all, func(a *ask.Answer) bool { return len(a.Explains()) > 0 }) {
		return nil
	}
	at := bot.Place{Thread: "explained\x00" + cmp.Or(x.m.Channel, x.m.Person)}
	if x.door != nil {
		at.Thread += "\x00" + x.door.Key
	}
	kept, err := x.pending.Get(x.ctx, x.m.ID, at, x.m.At)
	if err != nil {
		return err
	}
	known := strings.Split(string(kept), "\n")
	before := len(known)
	for _, a := range all {
		a.Told = map[string]bool{}
		for _, name := range known {
			a.Told[name] = true
		}
		known = append(known, slices.DeleteFunc(a.Explains(), func(name string) bool { return a.Told[name] })...)
	}
	if len(known) == before {
		return nil
	}
	zone := time.UTC
	if x.desk != nil {
		zone = x.desk.Zone(x.m.Channel)
	}
	year, month, day := x.m.At.In(zone).Date()
	return x.pending.Put(x.ctx, x.m.ID, at, []byte(strings.Join(known, "\n")), kept, x.m.At, time.Date(year, month, day+1, 0, 0, 0, 0, zone), jobs.Change{})
}
