package order

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Unfinished is an order that waits for a reply: it lacks something, may be one
// of several, or is probably a slip of another. It is kept as text: a reply is
// put into it, and the whole is carried out as an order.
type Unfinished struct {
	Text     string      // of the order, as far as it is understood; "" if a whole one is wanted
	Offers   []string    // the orders of which a reply chooses one
	Each     string      // the offer or guess that is several orders, one a line; "" for none
	Before   string      // what stands before the reply in the order
	After    string      // what stands behind it
	Question say.Text    // what was asked
	Part     bool        // a part was not understood, and may be left out
	Who      bool        // the reply is a person
	Day      string      // the reply is a day, or an hour of this one
	Guess    string      // the reply that yes stands for
	Files    []jobs.File // pictures that the order is about
	Keep     bool        // it is asked again until it is answered, whatever else is said
	No       string      // the order that no stands for; "" for none
	AtDoors  []string    // the doors that hold the question, too, until somebody answers it there
	Over     time.Time   // not zero: nothing waits, but something else was said then
	Asked    time.Time   // when it was put last
	Typed    string      // what led to it; "" where that was a reply
	Aside    bool        // something was said since it was put: a yes or no is not plainly to it
	Told     string      // the notice by which somebody else's question is kept that it is
	Then     *Unfinished // what is asked again when this is answered or dropped
}

// Lasting returns the question that nothing but its answer ends: the order's own,
// or the one that waits behind it; nil for none.
func (u *Unfinished) Lasting(answered bool) *Unfinished {
	switch {
	case u == nil:
		return nil
	case u.Keep && !answered:
		return u
	}
	return u.Then
}

// Lasts reports whether one of what waits ends by nothing but its answer.
func (u *Unfinished) Lasts() bool { return u != nil && (u.Keep || u.Then.Lasts()) }

// AheadOf puts what waits behind an order that is asked about now, and behind what
// waits for that already. The same question waits once: temperature 4, said twice.
func (u *Unfinished) AheadOf(rest *Unfinished) {
	for ; rest != nil; rest = rest.Then {
		last, same := u, false
		for at := u; at != nil; at = at.Then {
			last, same = at, same || rest.Guess == at.Guess && rest.Text == at.Text && slices.Equal(rest.Offers, at.Offers)
		}
		if !same {
			one := *rest
			one.Then, last.Then = nil, &one
		}
	}
}

// Unsaid returns all that nothing but an answer ends and no door holds: the
// questions, and the order that yes to the first of them stands for.
func (u *Unfinished) Unsaid() (all []say.Text, order string) {
	for u = u.Lasting(false); u != nil; u = u.Then {
		if u.Keep && len(u.AtDoors) == 0 {
			all, order = append(all, u.Question), cmp.Or(order, u.Guess)
		}
	}
	return all, order
}

// Dropped reports whether a text that is no reply leaves undone what was asked about:
// it does not say it anew, as visit wed 09:00 does where visit wed 9 was asked about.
func (u *Unfinished) Dropped(text string) bool {
	if u == nil || u.Keep || u.Opens() || u.Typed == "" || !u.wanted() {
		return false
	}
	o, _ := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	was, _ := FindOrder((&Request{}).Address(u.offered()))
	if o == nil || was == nil || o.Words[0] != was.Words[0] {
		return true
	}
	said := strings.Fields(strings.ToLower(u.Typed))
	return !slices.ContainsFunc(strings.Fields(strings.ToLower(text)), func(w string) bool {
		return !slices.Contains(strings.Fields(was.Words[0]+" door "+strings.ToLower(idIn(text))), w) && slices.Contains(said, w)
	})
}

// Ordered returns the orders that are not done if nobody answers what they led to,
// as they were typed; "" where none is one, as a report that is asked about.
func (u *Unfinished) Ordered() string {
	var all []string
	for ; u != nil; u = u.Then {
		if !u.Keep && u.Over.IsZero() && u.wanted() {
			all = append(all, lex.CutText(cmp.Or(u.Typed, u.Text, u.Guess), shownOrder))
		}
	}
	return strings.Join(all, "; ")
}

// NotDone says that an order was not done, as what it led to was not answered.
func NotDone(typed string) say.Text {
	return say.F("not done, as it was not answered: %s", lex.CutText(typed, shownOrder))
}

// shownOrder is how much is shown of an order that was not done.
const shownOrder = 60

// wanted reports whether something is left undone that somebody wanted, if nobody
// answers: an order as it was typed, but for slips, or bad news. A figure that may be
// a reading, as lead top 8, is only offered as one.
func (u *Unfinished) wanted() bool {
	typed := (&Request{}).Address(atItsDoor(strings.TrimSpace(cmp.Or(u.Typed, u.Text, u.Guess))))
	if o, _ := FindOrder(plainOrder(typed)); o != nil {
		return !o.shows
	}
	offered, _ := FindOrder((&Request{}).Address(u.offered()))
	return offered != nil && slices.Contains(badNews, offered.Words[0]) || len(near(typed)) > 0
}

// offered returns the order that is asked about, or the first of them.
func (u *Unfinished) offered() string {
	if u.Guess == "" && len(u.Offers) > 0 {
		return u.Offers[0]
	}
	return cmp.Or(u.Guess, u.Text)
}

// badNews are the orders that are offered where somebody says what went wrong.
var badNews = []string{"snag", "untick", "mix spoilt", "knocked"}

// idIn returns the door's id that an order begins with, "" for none.
func idIn(text string) string {
	e := &Request{}
	e.Address(strings.TrimSpace(text))
	return e.DoorID
}

// Opens reports whether a door to open waits: other work drops none of what is
// known of it.
func (u *Unfinished) Opens() bool {
	return u != nil && (strings.HasPrefix(u.Text, opens) || strings.HasPrefix(u.Guess, opens))
}

// Anew reports whether a text opens the door that waits once more.
func (u *Unfinished) Anew(text string) bool {
	o, _ := FindOrder(plainOrder(text))
	return o != nil && o.Words[0] == "door open" && strings.EqualFold(u.opening(), thirdWord(plainOrder(text)))
}

// opening returns the id of the door to open that waits.
func (u *Unfinished) opening() string { return thirdWord(u.Text + u.Guess) }

func thirdWord(text string) string {
	if f := strings.Fields(text); len(f) > 2 {
		return f[2]
	}
	return ""
}

const opens = "door open "

// kept is an [Unfinished] as it is stored. Its names are stable. Questions
// stand in the same place, without "order"; "ask" is for replicas of an earlier
// version, which know no "say".
type kept struct {
	Text   string      `json:"text"`
	Offers []string    `json:"offers,omitempty"`
	Order  bool        `json:"order"`
	Before string      `json:"before,omitempty"`
	After  string      `json:"after,omitempty"`
	Ask    string      `json:"ask,omitempty"`
	Say    *say.Text   `json:"say,omitempty"`
	Part   bool        `json:"part,omitempty"`
	Who    bool        `json:"who,omitempty"`
	Day    string      `json:"day,omitempty"`
	Guess  string      `json:"guess,omitempty"`
	Files  []jobs.File `json:"files,omitempty"`
	Keep   bool        `json:"keep,omitempty"`
	Then   []byte      `json:"then,omitempty"`
	Over   time.Time   `json:"over,omitzero"`
	No     string      `json:"no,omitempty"`
	Doors  []string    `json:"doors,omitempty"`
	Asked  time.Time   `json:"asked,omitzero"`
	Typed  string      `json:"typed,omitempty"`
	Told   string      `json:"told,omitempty"`
	Each   string      `json:"each,omitempty"`
	Aside  bool        `json:"aside,omitempty"`
}

// Marshal returns the order as it is kept. Fields may be added; an older bot
// leaves out what it doesn't know.
func (u *Unfinished) Marshal() []byte {
	var then []byte
	if u.Then != nil {
		then = u.Then.Marshal()
	}
	b, err := json.Marshal(kept{u.Text, u.Offers, true, u.Before, u.After, u.Question.String(), &u.Question, u.Part, u.Who, u.Day, u.Guess, u.Files, u.Keep, then, u.Over, u.No, u.AtDoors, u.Asked, u.Typed, u.Told, u.Each, u.Aside})
	if err != nil {
		panic(err) // strings always marshal
	}
	return b
}

// Unmarshal reads what waits as an order, nil if it is none.
func Unmarshal(data []byte) *Unfinished {
	var k kept
	if json.Unmarshal(data, &k) != nil || !k.Order {
		return nil
	}
	u := &Unfinished{Text: k.Text, Offers: k.Offers, Before: k.Before, After: k.After, Question: say.Plain(k.Ask), Part: k.Part, Who: k.Who, Day: k.Day, Guess: k.Guess, Files: k.Files, Keep: k.Keep, Then: Unmarshal(k.Then), Over: k.Over, No: k.No, AtDoors: k.Doors, Asked: k.Asked, Typed: k.Typed, Told: k.Told, Each: k.Each, Aside: k.Aside}
	if k.Say != nil {
		u.Question = *k.Say
	}
	return u
}

// ask asks back; the order waits for the reply.
func (e *Request) ask(u *Unfinished, buttons ...bot.Button) {
	if u.Asked = e.Msg.At; !e.Msg.Joined {
		u.Typed = strings.Join(strings.Fields(e.Msg.Text), " ")
	}
	e.Waiting = u
	e.Say(bot.KindAsk, e.withRighted(u.Question), buttons...)
}

// withRighted puts what was put right in the order below what is said of it.
func (e *Request) withRighted(text say.Text) say.Text {
	return say.Lines(append([]say.Text{text}, e.righted...)...)
}

// choice is an order that may be one of several.
type choice struct {
	orders []string
	notes  []say.Text // what to say of each; may be nil
}

func (c *choice) Error() string { return c.text().String() }

func (c *choice) text() say.Text {
	ways := make([]say.Text, len(c.orders))
	for i, order := range c.orders {
		ways[i] = say.Plain(fmt.Sprintf("(%d) %s", i+1, order))
		if c.notes != nil {
			ways[i] = say.F("%s [%s]", ways[i], c.notes[i])
		}
	}
	return say.F("which one? send %s, or its number", say.Join(", or ", ways...))
}
