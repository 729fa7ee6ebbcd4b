// Package ask is the engine of questions: it understands a typed question of
// the ones it is given, answers it, and asks back when it can't. It knows no
// question and no quantity by name; package verb has those.
//
//	text -> tokens -> phrases -> readings -> question -> Answer
//
// Phrases are the words that mean something, from the tables of questions and
// inputs. A reading is a question with a number for each of its inputs; all
// readings that the text allows are tried, and only a text with exactly one is
// answered. Everything else is asked about: a wrong understanding is the worst
// outcome.
package ask

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/lex"
)

// answer answers a text, as a reply to what was asked back if it is one.
func Resolve(text string, o *Open, door *Door) *Answer {
	fresh := Ask(text, nil, door)
	if o == nil || o.Order || fresh.OK() {
		return fresh
	}
	if n, ok := Ordinal(text); ok && len(o.Offers) > 0 {
		if n < 1 || n > len(o.Offers) {
			return &Answer{Asked: text, Error: "which one? reply " + numbersTo(len(o.Offers)) + ", or ask anew", Open: o}
		}
		return Ask(o.Offers[n-1], nil, door)
	}
	whole, ok := o.with(text)
	if !ok || len(o.Offers) > 0 {
		return fresh
	}
	if v := VerbIn(text); v != nil {
		// "gap 46" may give what was asked for, or ask something new.
		if !slices.Contains(o.Need, v.Name) {
			return fresh
		}
		a := &Answer{Asked: text, Verb: o.Verb, Open: o}
		a.Error = "is that the " + v.Name + " I asked for, or a new question? reply with the number alone, or ask " + v.Exact
		return a
	}
	a := Ask(whole, VerbNamed(o.Verb), door)
	if a.OK() || fresh.Verb == "" || a.Open != nil && fresh.Open == nil {
		return a
	}
	return fresh
}

// ordinals are the words by which a reply names one of several.
var ordinals = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}

// Ordinal returns the number that is all a text says, as 2, (2) or the second
// one.
func Ordinal(text string) (int, bool) {
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

// Marshal returns the open question as it is kept. Fields may be added; an
// older bot leaves out what it doesn't know.
func (o *Open) Marshal() []byte {
	b, err := json.Marshal(o)
	if err != nil {
		panic(err) // strings and integers always marshal
	}
	return b
}

func UnmarshalOpen(b []byte) *Open {
	o := new(Open)
	if json.Unmarshal(b, o) != nil || o.From < 0 || o.To > len(o.Text) || o.From > o.To {
		return nil
	}
	return o
}

// VerbIn returns the first verb that a text names without giving it a value by
// =, nil if there is none.
func VerbIn(text string) *Verb {
	tokens := lex.Lex(text, nil)
	for i := 0; i < len(tokens); {
		p, size := Vocab.Match(tokens[i:])
		i += max(size, 1)
		if p != nil && p.Verb != nil && !(i < len(tokens) && tokens[i].Mark == '=') {
			return p.Verb
		}
	}
	return nil
}

// Ask answers a text as a question of a verb, or of the verb in it if that
// is nil. In a door's thread the door's values stand in for what is not said.
func Ask(text string, only *Verb, door *Door) *Answer {
	text = strings.ToValidUTF8(text, "\uFFFD")
	p := parsers.Get().(*parser)
	defer parsers.Put(p)
	p.inch = door != nil && door.Inches
	q, d := p.parse(text, only)
	if d != nil {
		return d.answer(text, only)
	}
	a := &Answer{Asked: text, Verb: q.Verb.Name, Read: q.notes, Inputs: make([]Given, 0, 12), inches: q.Inches}
	a.Talk = q.at >= 0 && len(q.Values) == 0 && everyday[p.items[q.at].phrase.text]
	k := &Inquiry{Q: q, A: a}
	if door != nil {
		k.Door = door.Values
		if d := p.lone(q, k.Door); d != nil {
			return d.answer(text, q.Verb)
		}
	}
	switch need := k.lacking(); {
	case k.nought(), q.Verb.Refuses != nil && q.Verb.Refuses(k):
	case len(need) > 0:
		k.takeAll()
		a.Ask(q.Verb, need, "")
	default:
		q.Verb.Answer(k)
	}
	if len(a.Need) > 0 {
		a.Open = &Open{Text: text, Verb: a.Verb, Need: a.Need}
		if v := q.Named(a.Need[0]); v != nil && v.Num != nil {
			a.Open.From, a.Open.To = v.Num.Start, v.Num.End
		}
	}
	if a.OK() && a.Headline == "" {
		a.Headline = lex.Words(a.Results[0].Name) + " " + a.Results[0].Shown
	}
	if door != nil && a.OK() {
		door.Note(a)
	}
	return a
}

// nought refuses a 0 for what can't be 0, so that it is never taken for not
// given.
func (k *Inquiry) nought() bool {
	for i := range k.Q.Values {
		v := &k.Q.Values[i]
		if v.Num != nil && v.Num.Plain == 0 && v.Num.Length == 0 && !v.input.Zero {
			k.takeAll()
			k.A.Error = lex.Words(v.input.Name) + " is 0, but must be more than 0; leave it out if it is not known"
			return true
		}
	}
	return false
}

// takeAll notes everything that was asked, for an answer that has no use for
// it yet.
func (k *Inquiry) takeAll() {
	for i := range k.Q.Values {
		switch v := &k.Q.Values[i]; {
		case v.Set != nil:
			k.Word(v.input.Name)
		case v.input.Kind == AngleKind:
			k.Angle(v.input.Name)
		case quantityUnits[v.input.Kind] != "":
			k.Number(v.input.Name)
		case v.Num != nil:
			k.Length(v.input.Name)
		}
	}
}

// lacking returns the inputs that the verb needs and that were not given.
func (k *Inquiry) lacking() []string {
	need := k.Missing(k.Q.Verb.Need...)
	kept := need[:0]
	for _, name := range need {
		// Half of what serves instead is asked for by the answer itself.
		instead := k.Q.Verb.Instead[name]
		if len(instead) == 0 || len(k.Missing(instead...)) == len(instead) {
			kept = append(kept, name)
		}
	}
	return kept
}

// answer says what was not understood.
func (d *doubtful) answer(text string, only *Verb) *Answer {
	a := &Answer{Asked: text, Error: d.say, Need: d.need}
	if d.verb == nil {
		d.verb = only
	}
	if d.verb != nil {
		a.Verb = d.verb.Name
	}
	if d.to > d.from || len(d.offers) > 0 {
		a.Open = &Open{Text: text, Verb: a.Verb, Offers: d.offers, From: d.from, To: d.to}
	}
	return a
}
