package bot

import (
	"encoding/json"
	"strings"
	"time"
)

// patience is how long a question that was asked back waits for its reply.
const patience = 10 * time.Minute

// Message is what somebody says.
type Message struct {
	At     time.Time
	Person string
	Thread string // "" in the channel itself
	Text   string
}

// Kind is what a post is.
type Kind string

// The kinds of posts.
const (
	KindAnswer Kind = "answer"
	KindAsk    Kind = "ask"
	KindError  Kind = "error"
)

// Post is what the bot says.
type Post struct {
	At     time.Time
	Thread string
	To     string // the person it answers
	Kind   Kind
	Text   string  // complete, as plain text
	Answer *Answer // the same in parts; nil for help
}

// Bot is the conversation.
type Bot struct{ pending Pending }

// New returns a bot that keeps what it asks back in pending.
func New(pending Pending) *Bot { return &Bot{pending} }

// Handle takes a message and returns what the bot says to it.
func (b *Bot) Handle(m Message) []Post {
	post := Post{At: m.At, Thread: m.Thread, To: m.Person, Kind: KindAnswer}
	if text, ok := Help(m.Text); ok {
		post.Text = text
		return []Post{post}
	}
	place := Place{m.Person, m.Thread}
	a := b.answer(m.Text, b.pending.Take(place, m.At))
	if a.open != nil {
		b.pending.Put(place, a.open.marshal(), m.At.Add(patience))
	}
	post.Kind, post.Text, post.Answer = a.Kind(), a.Text(), a
	return []Post{post}
}

// Kind returns how the answer is posted.
func (a *Answer) Kind() Kind {
	switch {
	case a.OK():
		return KindAnswer
	case a.open != nil:
		return KindAsk
	}
	return KindError
}

// answer answers a text, as a reply to what was asked back if it is one.
func (b *Bot) answer(text string, waiting []byte) *Answer {
	o := unmarshalOpen(waiting)
	if o == nil {
		return Ask(text)
	}
	whole, ok := o.with(text)
	if !ok {
		return Ask(text)
	}
	fresh := Ask(text)
	if fresh.OK() {
		return fresh
	}
	a := ask(whole, verbNamed(o.verb))
	if a.OK() || fresh.Verb == "" || a.open != nil && fresh.open == nil {
		return a
	}
	return fresh
}

// openJSON is how an open question is kept. Fields may be added; an older
// bot leaves out what it doesn't know.
type openJSON struct {
	Text string   `json:"text"`
	Verb string   `json:"verb,omitempty"`
	Need []string `json:"need,omitempty"`
	From int      `json:"from,omitempty"`
	To   int      `json:"to,omitempty"`
}

func (o *open) marshal() []byte {
	b, err := json.Marshal(openJSON{o.text, o.verb, o.need, o.from, o.to})
	if err != nil {
		panic(err) // strings and integers always marshal
	}
	return b
}

func unmarshalOpen(b []byte) *open {
	var j openJSON
	if json.Unmarshal(b, &j) != nil || j.From < 0 || j.To > len(j.Text) || j.From > j.To {
		return nil
	}
	return &open{j.Text, j.Verb, j.Need, j.From, j.To}
}

// Ask answers one question that stands by itself.
func Ask(text string) *Answer { return ask(text, nil) }

// ask answers a text as a question of a verb, or of the verb in it if that
// is nil.
func ask(text string, only *verb) *Answer {
	text = strings.ToValidUTF8(text, "\uFFFD")
	p := parsers.Get().(*parser)
	defer parsers.Put(p)
	q, d := p.parse(text, only)
	if d != nil {
		return d.answer(text, only)
	}
	a := &Answer{Asked: text, Verb: q.verb.name, Read: q.notes, Inputs: make([]Given, 0, 12)}
	k := &inquiry{q, a}
	if need := k.lacking(); len(need) > 0 {
		a.ask(q.verb, need, "")
	} else {
		q.verb.answer(k)
	}
	if len(a.Need) > 0 {
		a.open = &open{text: text, verb: a.Verb, need: a.Need}
		if v := q.named(a.Need[0]); v != nil && v.num != nil {
			a.open.from, a.open.to = v.num.start, v.num.end
		}
	}
	if a.OK() && a.Headline == "" {
		a.Headline = words(a.Results[0].Name) + " " + a.Results[0].Shown
	}
	return a
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
	if d.to > d.from {
		a.open = &open{text: text, verb: a.Verb, from: d.from, to: d.to}
	}
	return a
}
