package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"

	"heelpost/jobs"
)

// open is a question that waits for a reply. It is kept as text: a reply is
// put into it, and the whole is understood anew.
type open struct {
	Text   string   `json:"text"`
	Verb   string   `json:"verb,omitempty"` // whose question it is, "" if that is not clear
	Need   []string `json:"need,omitempty"` // inputs a reply may give, in order
	From   int      `json:"from,omitempty"` // the part that a reply replaces; 0, 0 for none
	To     int      `json:"to,omitempty"`
	Offers []string `json:"offers,omitempty"` // the questions of which a reply chooses one by its number
	Order  bool     `json:"order,omitempty"`  // it is an order that lacks something
	Before string   `json:"before,omitempty"` // of an order: what stands before the reply
	After  string   `json:"after,omitempty"`  // of an order: what stands behind the reply
	Ask    string   `json:"ask,omitempty"`    // of an order: what was asked
	Part   bool     `json:"part,omitempty"`   // of an order: a part was not understood, and may be left out
	Who    bool     `json:"who,omitempty"`    // of an order: the reply is a person
	Guess  string   `json:"guess,omitempty"`  // of an order: the reply that yes stands for
}

// with returns the text with a reply put into it, and false if the reply
// can't be one to this question.
func (o *open) with(reply string) (string, bool) {
	if o.To > o.From {
		return o.replaced(reply)
	}
	tokens := quantities(reply, lex(reply, nil))
	var numbers []string
	for i := range tokens {
		switch tokens[i].kind {
		case numberToken:
			numbers = append(numbers, tokens[i].num.raw)
		case wordToken:
			if saysNothing(tokens[i].word) {
				continue
			}
			// It names what it gives, or is a choice.
			return o.Text + ", " + reply, true
		}
	}
	if len(numbers) == 0 || len(numbers) > len(o.Need) {
		return "", false
	}
	var b strings.Builder
	b.WriteString(o.Text)
	for i, n := range numbers {
		b.WriteString(", " + o.Need[i] + " = " + n)
	}
	return b.String(), true
}

// surveyed returns the order with a reply put in its place. whole is false if
// only the front of the reply is part of a door's description, and text is ""
// if nothing of it is; err says why, and is nil if it drops what waits.
func (o *open) surveyed(reply string, n *names) (text string, whole bool, err error) {
	if o.Guess != "" && agrees(reply) && o.Text != "" {
		reply = o.Guess
	}
	if text, ok, err := o.direct(reply, n); ok {
		return text, text != "", err
	}
	before, evidence := beforeEvidence(o.Text)
	tries := []string{reply, o.Before + " " + reply}
	if slices.Contains([]string{"floor", "sheet", "opening", "else"}, o.Before) {
		slices.Reverse(tries) // what stands alone may be taken for more than it answers
	}
	if !o.fits(reply, n) {
		tries = []string{reply} // anything at all would be a name
	}
	for _, said := range tries {
		s, no := readSurvey(said, new(jobs.Spec), n)
		put := before + " " + said + evidence + o.After
		if no == nil && s.parts > 0 {
			return put, true, nil
		} else if no == nil {
			no = errors.New("that says nothing of the door")
		}
		if s.parts > 0 && text == "" {
			text = put
		}
		if said == reply {
			err = no
		}
	}
	return text, false, err
}

// chosen returns the offer that a reply chooses by its number or by a word that
// is in no other, "" if it chooses none.
func (o *open) chosen(reply string) string {
	if n, ok := ordinal(reply); ok && 1 <= n && n <= len(o.Offers) {
		return o.Offers[n-1]
	}
	has := func(offer string) bool {
		return slices.ContainsFunc(strings.Fields(offer), func(w string) bool { return strings.EqualFold(w, strings.Trim(reply, " .!\n")) })
	}
	if i := slices.IndexFunc(o.Offers, has); i >= 0 && !slices.ContainsFunc(o.Offers[i+1:], has) {
		return o.Offers[i]
	}
	return ""
}

// settles reports whether a reply that may be no reply at all answers a
// question that is about an order as a whole.
func (o *open) settles(reply string) bool {
	return len(o.Offers) > 0 && o.chosen(reply) != "" || strings.EqualFold(strings.Trim(reply, " .!\n"), "yes")
}

// direct takes a reply that is no part of a description: to a slip, a choice
// of people, or what is left out; ok is false if one is wanted.
func (o *open) direct(reply string, n *names) (text string, ok bool, err error) {
	switch order, _ := findOrder(reply); {
	case len(o.Offers) > 0:
		if n, ok := ordinal(reply); ok && (n < 1 || n > len(o.Offers)) {
			return "", true, fmt.Errorf("there is no %d among them", n)
		}
		return o.chosen(reply), true, nil
	case o.Text == "" && agrees(reply):
		return o.Guess, true, nil
	case o.Text == "":
		return "", true, nil // it is something new
	case o.Who:
		if id := strings.Trim(reply, " @.!\n"); n.person(id) {
			return o.Text + " @" + id + o.After, true, nil
		}
		return "", true, errors.New("name one person of the site, as @ana")
	case o.Part && leavesOut(reply):
		return o.Text + o.After, true, nil
	case o.Text != "door open":
		return "", false, nil
	case order != nil || ask(reply, nil, nil).OK():
		return "", true, errors.New("that is no door's id")
	}
	return o.Text + " " + reply + o.After, true, nil // it gives the id
}

// fits reports whether a reply may be what its order's word wants behind it.
func (o *open) fits(reply string, n *names) bool {
	known := n.floors
	switch {
	case strings.HasPrefix(strings.ToLower(o.Before), "evidence"):
		return namesEvidence(reply)
	case o.Before == "sheet":
		known = n.sheets
	case o.Before != "floor":
		return true
	}
	tokens := lex(reply, nil)
	return len(tokens) == 1 || len(tokens) > 1 && slices.Contains(known, tokens[0].word)
}

// namesEvidence reports whether a reply may be what a test evidence is called:
// it has a number, and is neither order nor question.
func namesEvidence(reply string) bool {
	o, _ := findOrder(reply)
	return o == nil && verbIn(reply) == nil && strings.ContainsAny(reply, "0123456789")
}

// agrees reports whether a reply takes what was guessed.
func agrees(reply string) bool {
	switch strings.ToLower(strings.Trim(reply, " \t\n.!,")) {
	case "yes", "y", "yep", "yes please", "ok", "right", "i did":
		return true
	}
	return false
}

// leavesOut reports whether a reply leaves out what was not understood.
func leavesOut(reply string) bool {
	switch strings.ToLower(strings.Trim(reply, " \t\n.!,")) {
	case "leave it out", "leave that out", "left out", "nothing", "skip it":
		return true
	}
	return false
}

// replaced puts the reply in place of what was not understood: a number with
// its unit, a unit alone, or a word.
func (o *open) replaced(reply string) (string, bool) {
	reply = strings.TrimSpace(reply)
	old := o.Text[o.From:o.To]
	if _, isUnit := unitWords[strings.ToLower(reply)]; isUnit {
		fields := strings.Fields(old)
		reply = strings.TrimSuffix(fields[0], "in") + " " + reply
	}
	// A number takes a number's place, words a word's.
	numbers := 0
	for _, t := range lex(reply, nil) {
		if t.kind == numberToken {
			numbers++
		}
	}
	if numeric := strings.ContainsAny(old, "0123456789½¼¾⅛⅜⅝⅞"); numeric != (numbers == 1) || numbers > 1 {
		return "", false
	}
	return o.Text[:o.From] + " " + reply + " " + o.Text[o.To:], true
}

// saysNothing reports whether a word is a filler or stands for a comma.
func saysNothing(word string) bool {
	n := vocab.root.next[word]
	return n != nil && n.phrase != nil && (n.phrase.filler || n.phrase.parts)
}

// Place is where a conversation goes on: one person in one thread.
type Place struct{ Person, Thread string }

// Pending keeps what was asked back, one question a place. A message may come
// to it twice, if the process died over it: it then meets the question that
// waited when it came the first time.
type Pending interface {
	// Get returns the question that waited at a place when the message op
	// came in; nil if there was none that is kept until after now.
	Get(ctx context.Context, op string, p Place, now time.Time) ([]byte, error)
	// Put keeps what waits after the message op, nil for nothing, and what
	// waited before.
	Put(ctx context.Context, op string, p Place, question, before []byte, now, until time.Time) error
}

// keptQuestion is what waits at a place, and the message that led to it.
type keptQuestion struct {
	Question []byte    `json:"question"`
	Until    time.Time `json:"until"`
	Op       string    `json:"op,omitempty"`
	Before   []byte    `json:"before,omitempty"`
}

// at returns what waited when the message op came in.
func (k *keptQuestion) at(op string, now time.Time) []byte {
	switch {
	case k.Op == op && op != "":
		return k.Before
	case k.Until.After(now):
		return k.Question
	}
	return nil
}

// Memory is a [Pending] in memory: it forgets all with the process.
type Memory struct {
	mu   sync.Mutex
	kept map[Place]keptQuestion
}

// Get returns a question, and forgets all that are out of date.
func (m *Memory) Get(_ context.Context, op string, p Place, now time.Time) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	maps.DeleteFunc(m.kept, func(_ Place, k keptQuestion) bool { return !k.Until.After(now) })
	k := m.kept[p]
	return k.at(op, now), nil
}

// Put keeps a question.
func (m *Memory) Put(_ context.Context, op string, p Place, question, before []byte, _, until time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.kept == nil {
		m.kept = map[Place]keptQuestion{}
	}
	m.kept[p] = keptQuestion{question, until, op, before}
	return nil
}

// Stored is a [Pending] in the store of the doors: it outlives the process,
// and a reply may come to another one.
type Stored struct{ Store jobs.Store }

// Get returns a question.
func (s Stored) Get(ctx context.Context, op string, p Place, now time.Time) ([]byte, error) {
	data, err := s.Store.Question(ctx, p.key())
	if errors.Is(err, jobs.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var k keptQuestion
	if err := json.Unmarshal(data, &k); err != nil {
		return nil, nil // a newer bot's; an answer without it is better than none
	}
	return k.at(op, now), nil
}

// Put keeps a question.
func (s Stored) Put(ctx context.Context, op string, p Place, question, before []byte, now, until time.Time) error {
	data, err := json.Marshal(keptQuestion{question, until, op, before})
	if err != nil {
		return err
	}
	_, err = s.Store.Commit(ctx, jobs.Change{Op: op + ":asked", At: jobs.NowAt(now), Questions: map[string][]byte{p.key(): data}})
	return err
}

func (p Place) key() string { return p.Person + "\x00" + p.Thread }
