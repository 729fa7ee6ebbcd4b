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
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// strange reports whether a text has a word that questions are not asked in, and
// that is no slip of one: it is no reply to a question.
func (q *Questions) strange(text string) bool {
	text = lex.Tidied(text)
	return slices.ContainsFunc(q.tokens(text, nil), func(t lex.Token) bool {
		return t.Kind == lex.WordToken && !q.known[t.Word] && !millimetres[t.Word] && lex.UnitWords[t.Word] == lex.Bare && q.correct(t.Word, true) == ""
	})
}

// chooses reports whether all that a text says is a choice for what is needed,
// as level for the floor's fall.
func (q *Questions) chooses(text string, need []string) bool {
	text = strings.Trim(text, " .!\n")
	tokens := q.tokens(text, nil)
	p, size := q.match(tokens)
	return p != nil && size == len(tokens) && slices.ContainsFunc(p.choices, func(c *Choice) bool {
		return c.counts() != nil && slices.Contains(need, c.counts().Name)
	})
}

// agrees are the words that take the only offer.
var agrees = lex.WordSet("yes y yep yeah ok okay right correct")

// ordinals are the words by which a reply names one of several.
var ordinals = map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6}

// Ordinal returns the number that is all a text says, as 2, (2) or the second
// one.
func Ordinal(text string) (int, bool) {
	text = strings.Trim(strings.ToLower(text), " #().!\n")
	text = strings.TrimPrefix(strings.TrimSuffix(text, " please"), "number ")
	if n, err := strconv.Atoi(text); err == nil {
		return n, true
	}
	n, ok := ordinals[strings.TrimSuffix(strings.TrimPrefix(text, "the "), " one")]
	return n, ok
}

// whichOne asks for one of n offers.
func whichOne(n int) say.Text {
	if n == 1 {
		return say.F("which one? reply 1, or ask anew")
	}
	return say.F("which one? reply 1 to %s, or ask anew", n)
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

// Ask answers a text as a question. In a door's thread the door's values stand
// in for what is not said.
func (q *Questions) Ask(text string, door *Door) *Answer {
	a := q.ask(request{text: text}, door)
	if !a.OK() || a.drops {
		if several := q.several(text, door); several != nil {
			return several
		}
	}
	if a.drops {
		return severalQuestions().answer(text, nil)
	}
	return a
}

// request is a text that is asked as a question of a verb, or of the verb in it
// if that is nil, and the unit that its answer is wanted in, "" for that of its
// lengths. A value that came of another question was worked out, and not given.
type request struct {
	text string
	only *Verb
	unit string
	came map[string]*Open
	said string // the words that it goes on with
	of   *Questions

	kept  *reading // of a follow-up: the values before that stay, and the words of those that change
	words string
}

// understand parses a text, without the lines of a temperature log if it has some and
// asks what takes one.
func (q *Questions) understand(r *request, door *Door) (p *parser, log *Timed, asked *question, d *doubtful) {
	p = &parser{of: q, inch: door != nil && door.Inches || r.unit == toldInInches}
	asked, d = p.parse(r.text, r.only)
	if timed, rest := takeTimed(r.text); timed != nil {
		with := &parser{of: q, inch: p.inch, logged: true, logF: timed.Fahrenheit}
		if to, no := with.parse(rest, r.only); no == nil && to.Verb.Timed != nil || no != nil && no.verb != nil && no.verb.Timed != nil {
			p, log, asked, d = with, timed, to, no
		}
	}
	if log != nil && p.inFahrenheit() && log.Bare {
		log.Mixed = true
	}
	return p, log, asked, d
}

func (q *Questions) ask(r request, door *Door) *Answer {
	r.text = strings.ToValidUTF8(r.text, "\uFFFD")
	r.of = q
	if a := q.inUnit(r, door); a != nil {
		return a
	}
	text, only := r.text, r.only
	p, log, asked, d := q.understand(&r, door)
	if d != nil && log == nil {
		if lots, no := p.lots(text, only); len(lots) > 0 {
			return p.ofLots(r, lots)
		} else if no != nil {
			d = no
		}
	}
	if d != nil {
		return p.notUnderstood(d, r, door)
	}
	if r.unit != "" {
		asked.Inches = r.unit == toldInInches
	}
	verb := asked.Verb
	a := &Answer{Asked: text, asked: r, Verb: verb.Name, Read: asked.notes, Inputs: make([]Given, 0, 12), Results: make([]Result, 0, 8), inches: asked.Inches}
	a.leads, a.asks = p.leads(asked.at)
	if asked.at >= 0 {
		a.by = p.items[asked.at].phrase
	}
	a.drops, a.reads = p.drops(asked), asked
	a.Talk = asked.at >= 0 && len(asked.Values) == 0 && q.isTalk(p.items[asked.at].phrase)
	k := &Inquiry{Q: asked, A: a, Log: log, said: r.said}
	if door != nil {
		k.Others, k.id = door.Others, door.ID
	}
	if door.away() && verb.Stated && p.numbers == 1 && len(asked.unnamed) == 1 && asked.at >= 0 && !p.items[asked.at].asked {
		return p.itself(&asked.reading, asked.unnamed[0]).answer(text, verb)
	}
	if !door.away() {
		if p.numbers == 0 && len(asked.notes) > 0 {
			return (&doubtful{say: say.F("%s, so I can't tell what is asked; an example of how it is asked, with figures of its own: %s", say.List(asked.notes...), verb.Exact), verb: verb}).answer(text, verb)
		}
		k.Door, k.wall = door.Values, door.Wall
		if d := p.lone(asked, k.Door); d != nil {
			return d.answer(text, verb)
		}
	}
	switch need := k.lacking(); {
	case k.notHere(), k.nought(), verb.Refuses != nil && verb.Refuses(k):
	case len(need) > 0:
		k.takeAll()
		k.Ask(say.Text{}, need...)
	default:
		verb.Answer(k)
		k.unmeasured()
		for _, asks := range [...]func(*question) *doubtful{p.wary, p.wayward} {
			if d := asks(asked); d != nil && a.OK() {
				return d.answer(text, verb)
			}
		}
		a.Read = append(slices.Clip(a.Read), p.leftUnsaid()...)
	}
	for i := range a.Inputs {
		if _, came := r.came[a.Inputs[i].Name]; came && a.Inputs[i].From == Asked {
			a.Inputs[i].From = Computed
		}
	}
	if len(a.Need) > 0 {
		a.Open = &Open{Text: text, Verb: a.Verb, Need: a.Need, Unit: r.unit, Came: r.came}
		if v := asked.Named(q.named[a.Need[0]]); v != nil && v.Num != nil {
			a.Open.From, a.Open.To = v.Num.Start, v.Num.End
		}
	}
	if !door.away() && a.OK() {
		door.Note(a)
	}
	return a
}

// notUnderstood answers a text that was not, or refuses it where each of its
// readings is refused.
func (p *parser) notUnderstood(d *doubtful, r request, door *Door) *Answer {
	if len(d.offers) > 0 && p.isGrave() {
		if a := p.of.Ask(d.offers[0], door); !a.OK() && a.Open == nil {
			a.Asked = r.text
			return a // whatever is meant: no depth is told over tendons
		}
	}
	a := d.answer(r.text, r.only)
	_, a.asks = p.leads(-1)
	a.Shrug, a.numbers = p.numbers == 0 && a.Verb == "", p.numbers
	return a
}

// Says returns the words of the question, and those by which it goes on from the
// one before.
func (k *Inquiry) Says() string { return k.A.Asked + "\n" + k.said }

// GoesOn returns the words by which it goes on from the one before; "" if it does
// not.
func (k *Inquiry) GoesOn() string { return k.said }

// LeavesOut reports whether one of these names says nothing in the question.
func (k *Inquiry) LeavesOut(names ...string) bool {
	return slices.ContainsFunc(slices.Concat(k.Q.leftOut, k.Q.unsaid), func(n string) bool { return slices.Contains(names, n) })
}

// notHere refuses a question that does not concern the door, or that is of the
// doors of a site where none is known.
func (k *Inquiry) notHere() bool {
	if k.Others == nil && (k.SaysAll() && len(k.Q.Values) == 0 || slices.ContainsFunc(k.Q.Values, func(v value) bool { return v.input.OfSite })) {
		k.takeAll()
		k.A.Error = say.F("the doors of a site are known in its channel and in its doors' threads, and not here: say what it takes, for example %s", k.Q.Verb.Exact)
		return true
	}
	d, ok := k.Door[NotHere+k.Q.Verb.Name]
	if ok {
		k.A.Error = d.Text
	}
	return ok
}

// nought refuses a 0 for what can't be 0, so that it is never taken for not
// given.
func (k *Inquiry) nought() bool {
	for i := range k.Q.Values {
		v := &k.Q.Values[i]
		if v.Num != nil && v.Num.Plain == 0 && v.Num.Length == 0 && !v.input.Zero {
			k.takeAll()
			k.A.Error = say.F("%s is 0, but must be more than 0; leave it out if it is not known", v.input.Said())
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
			k.Word(v.input)
		case v.input.Each && v.input.Kind.isNumber():
			k.Numbers(v.input)
		case v.input.Kind == AngleKind:
			k.Angle(v.input)
		case v.input.Kind.isNumber():
			k.Number(v.input)
		case v.Num != nil:
			k.Length(v.input)
		case v.input.Counted:
			k.Counted(v.input)
		case v.input.Kind == ListKind:
			k.Lengths(v.input)
		}
	}
}

// lacking returns the inputs that the verb needs and that were not given.
func (k *Inquiry) lacking() []*Input {
	need := k.Missing(k.Q.Verb.Need...)
	kept := need[:0]
	for _, in := range need {
		// Half of what serves instead is asked for by the answer itself.
		instead := k.Q.Verb.Instead[in]
		if (len(instead) == 0 || len(k.Missing(instead...)) == len(instead)) && (k.Log == nil || in != k.Q.Verb.Timed) {
			kept = append(kept, in)
		}
	}
	return kept
}

// answer says what was not understood.
func (d *doubtful) answer(text string, only *Verb) *Answer {
	a := &Answer{Asked: text, Error: d.say}
	if d.verb == nil {
		d.verb = only
	}
	if d.verb != nil {
		a.Verb = d.verb.Name
	}
	if d.to > d.from || len(d.offers) > 0 {
		a.Open = &Open{Text: text, Verb: a.Verb, Offers: d.offers, Labels: d.labels, From: d.from, To: d.to}
	}
	return a
}
