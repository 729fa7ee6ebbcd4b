package bot

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// patience is how long a question that was asked back waits for its reply.
const patience = 10 * time.Minute

// Message is what somebody says.
type Message struct {
	ID      string // unique; a message that comes twice has the same
	At      time.Time
	Person  string
	Channel string // "" if it was said to the bot alone
	Thread  string // a door's id; "" in the channel itself
	Under   string // where replies go, as the adapter has it; they carry it back
	Text    string
	// Overheard says that people said it among themselves: it is answered
	// only if it is plainly for the bot, and else not at all.
	Overheard bool
	Held      jobs.Held // the notice it was kept as when it came in, if it was

	course *course
}

// course is what became of a message so far.
type course struct {
	place   Place
	waited  bool // a question waited there
	joined  bool // the text was put together from what waited and a reply
	settled bool // a change was made: that is over, and the notice it was kept as is done
}

// Kind is what a post is.
type Kind string

// The kinds of posts.
const (
	KindAnswer   Kind = "answer"
	KindAsk      Kind = "ask"
	KindError    Kind = "error"
	KindDoor     Kind = "door"
	KindReminder Kind = "reminder"
	KindBoard    Kind = "board"
	KindForm     Kind = "form"
	KindFace     Kind = "face" // a door's top post, edited in place
)

// Post is what the bot says.
type Post struct {
	ID      string // of the notice it was drawn from; "" for an answer given at once
	At      time.Time
	Channel string // "" for a word to one person alone, To
	Thread  string
	Under   string // of the message that it answers
	Door    string // key of the door that it is about, if any
	Site    string // whose people it speaks of, where no door tells
	To      string // the person it answers
	Kind    Kind
	Text    string  // complete, as plain text
	Answer  *Answer // the same in parts; nil for help
	Buttons []Button
	Picture *Picture
}

// Picture is an image that a post shows.
type Picture struct {
	Name string // of its file
	Alt  string // what it shows, in words
	PNG  []byte
}

// kept returns the message as it is kept until it is dealt with.
func (m *Message) kept(kind string) jobs.Notice {
	n := jobs.Notice{ID: m.ID, Kind: kind, Due: jobs.NowAt(m.At), Thread: "in:" + m.place().Thread,
		Args: map[string]string{"who": m.Person, "text": m.Text}}
	for name, v := range map[string]string{"channel": m.Channel, "thread": m.Thread, "under": m.Under} {
		if v != "" {
			n.Args[name] = v
		}
	}
	if m.Overheard {
		n.Args["overheard"] = "yes"
	}
	return n
}

// keptMessage returns the message that was kept as a notice.
func keptMessage(n *jobs.Notice) Message {
	return Message{ID: n.ID, At: n.Due.Time(), Person: n.Args["who"], Channel: n.Args["channel"], Thread: n.Args["thread"], Under: n.Args["under"],
		Text: n.Args["text"], Overheard: n.Args["overheard"] != "", Held: jobs.Held{ID: n.ID, Token: n.Token}, course: &course{}}
}

// place is where the conversation that a message belongs to goes on.
func (m *Message) place() Place {
	where := m.Thread
	if where == "" {
		where = m.Under
	}
	return Place{m.Person, m.Channel + "\x00" + where}
}

// Bot is the conversation.
type Bot struct {
	pending Pending
	desk    *Desk
}

// New returns a bot that keeps what it asks back in pending, and works on
// doors at the desk; without a desk it only answers questions.
func New(pending Pending, desk *Desk) *Bot {
	b := &Bot{pending, desk}
	if desk != nil {
		desk.hear = b.Handle
	}
	return b
}

// Handle takes a message and returns what the bot says to it at once. What
// changes a door is committed, and what is said of that comes as a notice. An
// error is trouble of our own: nothing was changed.
func (b *Bot) Handle(ctx context.Context, m Message) ([]Post, error) {
	if text, ok := Help(m.Text); ok && !m.Overheard {
		return []Post{m.reply(KindAnswer, text)}, nil
	}
	if m.course == nil {
		m.course = &course{}
	}
	m.course.place = m.place()
	kept, err := b.pending.Get(ctx, m.ID, m.course.place, m.At)
	if err != nil {
		return nil, err
	}
	m.course.waited = kept != nil
	posts, next, err := b.handle(ctx, m, unmarshalOpen(kept))
	var after []byte
	if next != nil {
		after = next.marshal()
	}
	if err == nil && !m.course.settled && !bytes.Equal(kept, after) && !b.late(m) {
		err = b.pending.Put(ctx, m.ID, m.course.place, after, kept, m.At, m.At.Add(patience))
	}
	return posts, err
}

// Waits reports whether a question waits for the person of a message at its
// place.
func (b *Bot) Waits(ctx context.Context, m Message) (bool, error) {
	kept, err := b.pending.Get(ctx, m.ID, m.place(), m.At)
	return kept != nil, err
}

// late reports whether a message was said so long ago that no question can wait
// for its reply any more.
func (b *Bot) late(m Message) bool {
	return b.desk != nil && m.Held.ID != "" && !m.At.Add(patience).After(b.desk.clock())
}

// reply returns a post that answers the message.
func (m *Message) reply(k Kind, text string) Post {
	return Post{At: m.At, Channel: m.Channel, Thread: m.Thread, Under: m.Under, To: m.Person, Kind: k, Text: text}
}

// handle takes a message as an order, as a reply to what waits for one, or as
// a question, and returns what waits for a reply now.
func (b *Bot) handle(ctx context.Context, m Message, waiting *open) ([]Post, *open, error) {
	if drops(m.Text) && (waiting != nil || !m.Overheard) {
		text := "nothing waits for your reply here"
		if waiting != nil {
			text = "dropped: I wait for no reply to that any more"
		}
		return []Post{m.reply(KindAnswer, text)}, nil, nil
	}
	x := &exchange{Bot: b, ctx: ctx, m: m, waiting: waiting}
	if b.desk != nil {
		if posts, next, done, err := x.order(); done || err != nil {
			return posts, next, err
		}
	}
	return x.question()
}

// exchange is a message on its way from order to question.
type exchange struct {
	*Bot
	ctx      context.Context
	m        Message
	waiting  *open
	front    string // the order that waits, with a reply whose front it understands
	notReply error  // why the text is no reply to the order that waits
	door     *job   // in whose thread it stands
}

// order takes the message as a reply to the order that waits, or as an order;
// done is false if it is none.
func (x *exchange) order() (posts []Post, next *open, done bool, err error) {
	if x.waiting != nil && x.waiting.Order && !(x.m.Overheard && x.waiting.Text == "" && !x.waiting.settles(x.m.Text)) {
		text, whole, err := x.waiting.surveyed(x.m.Text, x.desk.names(x.desk.siteFor(&x.m)))
		if whole {
			x.m.Text, x.m.Overheard, x.m.course.joined = text, false, true
		} else {
			x.front, x.notReply = text, err
		}
	}
	if o, _ := findOrder(x.m.Text); o != nil && x.m.Overheard {
		if ours, err := x.desk.forUs(x.ctx, x.m); !ours || err != nil {
			return nil, x.waiting, true, err
		}
	}
	posts, next, done, err = x.desk.Handle(x.ctx, x.m)
	switch {
	case done && x.m.Overheard && len(posts) > 0 && posts[0].Kind == KindError:
		return nil, x.waiting, true, err // "temperature is dropping"
	case done && x.notReply != nil && next == nil && (shows(x.m.Text) || len(posts) > 0 && posts[0].Kind == KindError):
		return posts, x.waiting, true, err // a look in between, or a try
	case done || err != nil:
		return posts, next, done, err
	}
	x.door, err = x.desk.about(x.ctx, x.m)
	return nil, x.waiting, false, err
}

// question answers the message as a question.
func (x *exchange) question() ([]Post, *open, error) {
	if x.door != nil && x.waiting == nil {
		if text := x.door.entered(x.m.Text); text != "" && x.m.Overheard {
			return nil, nil, nil
		} else if text != "" {
			return []Post{x.m.reply(KindError, text)}, nil, nil
		}
	}
	if x.door != nil && x.waiting == nil && !x.m.Overheard && saysDone(x.m.Text) {
		if posts, next, done, err := x.desk.slip(x.ctx, x.m, x.notReply != nil); done || err != nil {
			return posts, next, err
		}
	}
	a := answer(x.m.Text, x.waiting, x.door.asked())
	if !a.OK() {
		if posts, next, done, err := x.strange(a); done || err != nil {
			return posts, next, err
		}
	}
	if x.m.Overheard && (!a.OK() || len(a.Read) > 0 || a.talk) {
		return nil, x.waiting, nil // people talk about gaps, too
	}
	if x.door != nil && a.Verb == "" && !a.OK() && !strings.ContainsAny(x.m.Text, "0123456789") {
		a.Error += "; card, next and list show this door, help door what can be said to it"
	}
	next := a.open
	if x.notReply != nil {
		next = x.waiting // it is a question in between
	}
	p := x.m.reply(a.kind(), a.Text())
	p.Answer = a
	return []Post{p}, next, nil
}

// strange answers what is no question either: a number's name, a slip of an
// order, a reply of which not all is understood; done is false if it is none
// of them.
func (x *exchange) strange(a *Answer) (posts []Post, next *open, done bool, err error) {
	if x.door != nil {
		if text := x.door.named(x.m.Text); text != "" {
			return []Post{x.m.reply(KindAnswer, text)}, x.waiting, true, nil
		}
	}
	if x.door != nil && !x.m.Overheard && isAbout(x.m.Text) {
		return []Post{x.m.reply(KindAnswer, "door "+x.door.door.Spec.ID+": "+describe(&x.door.door.Spec))}, x.waiting, true, nil
	}
	switch {
	case x.desk == nil && a.doorWork():
		return []Post{x.m.reply(KindError, "no site is set up here, so no door has a job: that takes site files and hardware sheets, and whoever runs me names where they lie")}, x.waiting, true, nil
	case x.desk == nil || x.m.Overheard:
		return nil, x.waiting, false, nil
	case x.waiting != nil && !x.waiting.Order && a.open != nil:
		return nil, x.waiting, false, nil // a reply that leaves something to ask
	}
	posts, next, done, err = x.desk.slip(x.ctx, x.m, x.notReply != nil)
	switch {
	case x.notReply == nil || err != nil:
		return posts, next, done, err
	case done:
		return posts, x.waiting, true, nil
	case strings.HasPrefix(x.front, "door open "):
		x.m.Text = x.front
		posts, next, _, err := x.desk.Handle(x.ctx, x.m)
		return posts, next, true, err
	}
	why := x.notReply.Error()
	if v := verbNamed(a.Verb); v != nil && a.open != nil {
		why = "a question in between is asked whole, as " + v.exact
	}
	return []Post{x.m.reply(KindAsk, why+"\n"+x.waiting.Ask)}, x.waiting, true, nil
}

// drops reports whether a text drops the question that waits.
func drops(text string) bool {
	switch strings.ToLower(strings.Trim(text, " \t\n.!")) {
	case "cancel", "forget it", "never mind":
		return true
	}
	return false
}

// Kind returns how the answer is posted.
func (a *Answer) kind() Kind {
	switch {
	case a.OK():
		return KindAnswer
	case a.open != nil:
		return KindAsk
	}
	return KindError
}

// answer answers a text, as a reply to what was asked back if it is one.
func answer(text string, o *open, door *askedDoor) *Answer {
	fresh := ask(text, nil, door)
	if o == nil || o.Order || fresh.OK() {
		return fresh
	}
	if n, ok := ordinal(text); ok && len(o.Offers) > 0 {
		if n < 1 || n > len(o.Offers) {
			return &Answer{Asked: text, Error: "which one? reply " + numbersTo(len(o.Offers)) + ", or ask anew", open: o}
		}
		return ask(o.Offers[n-1], nil, door)
	}
	whole, ok := o.with(text)
	if !ok || len(o.Offers) > 0 {
		return fresh
	}
	if v := verbIn(text); v != nil {
		// "gap 46" may give what was asked for, or ask something new.
		if !slices.Contains(o.Need, v.name) {
			return fresh
		}
		a := &Answer{Asked: text, Verb: o.Verb, open: o}
		a.Error = "is that the " + v.name + " I asked for, or a new question? reply with the number alone, or ask " + v.exact
		return a
	}
	a := ask(whole, verbNamed(o.Verb), door)
	if a.OK() || fresh.Verb == "" || a.open != nil && fresh.open == nil {
		return a
	}
	return fresh
}

// ordinals are the words by which a reply names one of several.
var ordinals = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}

// ordinal returns the number that is all a text says, as 2, (2) or the second
// one.
func ordinal(text string) (int, bool) {
	text = strings.Trim(strings.ToLower(text), " #().!\n")
	if n, err := strconv.Atoi(text); err == nil {
		return n, true
	}
	n, ok := ordinals[strings.TrimSuffix(strings.TrimPrefix(text, "the "), " one")]
	return n, ok
}

// numbersTo lists the numbers from 1 to n as a choice.
func numbersTo(n int) string {
	if n == 1 {
		return "1"
	}
	return fmt.Sprintf("1 to %d", n)
}

// marshal returns the open question as it is kept. Fields may be added; an
// older bot leaves out what it doesn't know.
func (o *open) marshal() []byte {
	b, err := json.Marshal(o)
	if err != nil {
		panic(err) // strings and integers always marshal
	}
	return b
}

func unmarshalOpen(b []byte) *open {
	o := new(open)
	if json.Unmarshal(b, o) != nil || o.From < 0 || o.To > len(o.Text) || o.From > o.To {
		return nil
	}
	return o
}

// verbIn returns the first verb that a text names without giving it a value by
// =, nil if there is none.
func verbIn(text string) *verb {
	tokens := lex(text, nil)
	for i := 0; i < len(tokens); {
		p, size := vocab.match(tokens[i:])
		i += max(size, 1)
		if p != nil && p.verb != nil && !(i < len(tokens) && tokens[i].mark == '=') {
			return p.verb
		}
	}
	return nil
}

// Ask answers one question that stands by itself.
func Ask(text string) *Answer {
	a := ask(text, nil, nil)
	if a.doorWork() {
		return &Answer{Asked: text, Error: "that is said to a door's job, and here only questions are answered: doors are worked on in heelpost chat, with site files and hardware sheets, or in Slack"}
	}
	return a
}

// doorWork reports whether what was not understood as a question is said to
// doors: an order, or a word and a door's id.
func (a *Answer) doorWork() bool {
	if a.OK() {
		return false
	}
	text := strings.TrimSpace(a.Asked)
	e := &errand{}
	if o, _ := findOrder(e.address(text)); o != nil {
		return a.Verb == "" || e.id != "" || o.words[0] == "door open"
	}
	m := wordAndID.FindStringSubmatch(text)
	return m != nil && !vocab.words[strings.ToLower(m[1])]
}

// wordAndID is a word and an id as doors have it: record A-101.
var wordAndID = regexp.MustCompile(`^(?:([a-zA-Z]+) )?([a-zA-Z]{1,4}-[0-9]+)$`)

// ask answers a text as a question of a verb, or of the verb in it if that
// is nil. In a door's thread the door's values stand in for what is not said.
func ask(text string, only *verb, door *askedDoor) *Answer {
	text = strings.ToValidUTF8(text, "\uFFFD")
	p := parsers.Get().(*parser)
	defer parsers.Put(p)
	p.inch = door != nil && door.inches
	q, d := p.parse(text, only)
	if d != nil {
		return d.answer(text, only)
	}
	a := &Answer{Asked: text, Verb: q.verb.name, Read: q.notes, Inputs: make([]Given, 0, 12), inches: q.inches}
	a.talk = q.at >= 0 && len(q.values) == 0 && everyday[p.items[q.at].phrase.text]
	k := &inquiry{q: q, a: a}
	if door != nil {
		k.door = door.values
		if d := p.lone(q, k.door); d != nil {
			return d.answer(text, q.verb)
		}
	}
	switch need := k.lacking(); {
	case k.nought(), q.verb.refuses != nil && q.verb.refuses(k):
	case len(need) > 0:
		k.takeAll()
		a.ask(q.verb, need, "")
	default:
		q.verb.answer(k)
	}
	if len(a.Need) > 0 {
		a.open = &open{Text: text, Verb: a.Verb, Need: a.Need}
		if v := q.named(a.Need[0]); v != nil && v.num != nil {
			a.open.From, a.open.To = v.num.start, v.num.end
		}
	}
	if a.OK() && a.Headline == "" {
		a.Headline = words(a.Results[0].Name) + " " + a.Results[0].Shown
	}
	if door != nil && a.OK() {
		door.note(a)
	}
	return a
}

// nought refuses a 0 for what can't be 0, so that it is never taken for not
// given.
func (k *inquiry) nought() bool {
	for i := range k.q.values {
		v := &k.q.values[i]
		if v.num != nil && v.num.plain == 0 && v.num.length == 0 && !v.input.zero {
			k.takeAll()
			k.a.Error = words(v.input.name) + " is 0, but must be more than 0; leave it out if it is not known"
			return true
		}
	}
	return false
}

// takeAll notes everything that was asked, for an answer that has no use for
// it yet.
func (k *inquiry) takeAll() {
	for i := range k.q.values {
		switch v := &k.q.values[i]; {
		case v.set != nil:
			k.word(v.input.name)
		case v.input.kind == angleKind:
			k.angle(v.input.name)
		case quantityUnits[v.input.kind] != "":
			k.number(v.input.name)
		case v.num != nil:
			k.length(v.input.name)
		}
	}
}

// lacking returns the inputs that the verb needs and that were not given.
func (k *inquiry) lacking() []string {
	need := k.missing(k.q.verb.need...)
	kept := need[:0]
	for _, name := range need {
		// Half of what serves instead is asked for by the answer itself.
		instead := k.q.verb.instead[name]
		if len(instead) == 0 || len(k.missing(instead...)) == len(instead) {
			kept = append(kept, name)
		}
	}
	return kept
}

// answer says what was not understood.
func (d *doubtful) answer(text string, only *verb) *Answer {
	a := &Answer{Asked: text, Error: d.say, Need: d.need}
	if d.verb == nil {
		d.verb = only
	}
	if d.verb != nil {
		a.Verb = d.verb.name
	}
	if d.to > d.from || len(d.offers) > 0 {
		a.open = &open{Text: text, Verb: a.Verb, Offers: d.offers, From: d.from, To: d.to}
	}
	return a
}
