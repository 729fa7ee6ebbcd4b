package order

import (
	"context"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// slip is a text that begins with the words of an order but for slips, as
// "tik 3".
type slip struct {
	order *Order
	typed string // the words that begin it, "tik"
	right string // the order's, "tick"
	rest  string // "3"
}

// mended returns the text without the slips.
func (s *slip) mended() string { return strings.TrimSpace(s.right + " " + s.rest) }

// Slip takes a text that is neither order nor question for a slip of an
// order; ok is false if none is near. What only shows something is shown; what
// changes something is asked about, unless another order waits.
func Slip(ctx context.Context, d *desk.Desk, m bot.Message, waits bool) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	address, text := "", strings.TrimSpace(m.Text)
	if f := strings.Fields(text); len(f) > 2 && strings.EqualFold(f[0], "door") && strings.ContainsAny(f[1], "0123456789") {
		e.DoorID, address, text = f[1], f[0]+" "+f[1]+" ", strings.Join(f[2:], " ")
	}
	found := near(text)
	if len(found) == 1 && found[0].order.shows {
		m.Text = address + found[0].mended()
		out, ok, err = Handle(ctx, d, m)
		if len(out.Posts) > 0 {
			out.Posts[0].Add(d.Language.Say(say.F("read %s as %s", found[0].typed, found[0].right)))
		}
		return out, ok, err
	}
	if waits {
		return out, false, nil
	}
	switch len(found) {
	case 0:
		if ok, err = e.itemSaid(address, text); !ok && err == nil {
			ok, err = e.strangeID(text)
		}
	case 1:
		ok, err = true, e.didYouMean(address, found[0].mended())
	default:
		orders := make([]string, len(found))
		for i := range found {
			orders[i] = address + found[i].mended()
		}
		ok = true
		e.Say(bot.KindAsk, say.F("did you mean %s? say the one you mean", say.Names(", or ", orders...)))
	}
	return e.Outcome, ok, err
}

// settling are the orders that may settle an item of the checklist. No plain yes
// passes a hold point: that is said or pressed; a reading was said, with its value.
var settling = []string{"tick", "override", "leave out", "read", "photo", "mix", "bond", "word"}

// didYouMean asks whether an order was meant: yes carries it out, but for one at
// a hold point. Only a tick has a button: pressed a week late, undo would take
// back something else.
func (e *Request) didYouMean(address, order string) error {
	o, rest := FindOrder(order)
	word, at, asked := o.Words[0], jobs.Item{}, address+order
	if (word == "tick" || word == "read") && e.DoorID != "" && e.Site != nil {
		var err error
		if at, _, err = e.item(rest); err != nil {
			if _, no := errors.AsType[*bot.RefusalError](err); !no {
				return err
			}
			at = jobs.Item{}
		}
	}
	several, err := e.ticksSeveral(word, rest)
	if err != nil {
		return err
	}
	for _, it := range several {
		at.Hold = at.Hold || it.Hold
	}
	var buttons []bot.Button
	if word == "tick" && at.ID != "" && len(several) == 0 {
		buttons = []bot.Button{{Label: e.Desk.Language.Say(say.F("Tick %s", at.ID)), Say: "tick " + at.ID + " #" + at.Mark()}}
	}
	if passing := at.Hold || at.ID == "" && word != "photo" && word != "mix"; passing && slices.Contains(settling, word) && !(word == "read" && at.ID != "") {
		e.Say(bot.KindAsk, say.F("did you mean %s? then say it so", asked), buttons...)
		return nil
	}
	e.ask(&Unfinished{Guess: asked, Question: say.F("did you mean %s? say yes, or say it again", asked)}, buttons...)
	return nil
}

// ticksSeveral returns the items of a tick of several.
func (e *Request) ticksSeveral(word, rest string) (items []jobs.Item, err error) {
	if word != "tick" || e.DoorID == "" || e.Site == nil {
		return nil, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if err != nil || j == nil {
		return nil, err
	}
	list := j.Items()
	named, _ := itemsIn(rest, list)
	if len(named) < 2 {
		return nil, nil
	}
	for _, t := range named {
		if at := placeOf(t.Item, list); at >= 0 {
			items = append(items, list[at])
		}
	}
	return items, nil
}

// near returns the orders that a text begins with but for slips. A visit is all
// that can be moved, so "move to Thursday 9:00" is move visit.
func near(text string) (found []slip) {
	fields := strings.Fields(text)
	if len(fields) > 1 && strings.EqualFold(fields[0], "move") {
		fields = slices.Insert(fields, 1, "visit")
		o, _ := FindOrder(strings.Join(fields, " "))
		return []slip{{o, "move", "move visit", strings.Join(fields[2:], " ")}}
	}
	all := orderTable()
	for i := range all {
		for _, w := range all[i].Words {
			n := len(strings.Fields(w))
			if len(fields) < n || len(fields) == n && len(strings.Fields(all[i].Usage)) > len(strings.Fields(all[i].Words[0])) {
				continue // it would lack what it is about
			}
			typed := strings.ToLower(strings.Trim(strings.Join(fields[:n], " "), ",.:!?"))
			if slipped(typed, w) {
				found = append(found, slip{&all[i], typed, w, strings.Join(fields[n:], " ")})
			}
		}
	}
	return found
}

// slipped reports whether words are those of an order but for slips, as "tik"
// of tick. A word that questions know is no slip.
func slipped(typed, words string) bool {
	if typed == words {
		return false
	}
	is, ought := strings.Fields(typed), strings.Fields(words)
	if len(is) != len(ought) {
		return false
	}
	for i, w := range is {
		if w == ought[i] {
			continue
		}
		if len(ought[i]) < 3 || verb.Questions.Knows(w) || lex.PlainWords[w] || w[0] != ought[i][0] || lex.Distance(w, ought[i]) > max(1, lex.SlipsIn(w)) {
			return false
		}
	}
	return true
}

// doneWords are what people say of an item that is done, instead of tick.
var doneWords = lex.WordSet("done ok ticked checked check finished tick")

// SaysDone reports whether a text may say that an item is done, and nothing
// else.
func SaysDone(text string) bool {
	f := strings.Fields(strings.ToLower(strings.Trim(text, " .!")))
	return len(f) == 2 && (doneWords[f[0]] || doneWords[f[1]])
}

// gluedTick is a tick without the space in it.
var gluedTick = regexp.MustCompile(`^tick(\d+)$`)

// itemSaid answers "joint done" and "plumb 1", which may mean that a tick or a
// reading of that item is meant; false if the text names no item so.
func (e *Request) itemSaid(address, text string) (bool, error) {
	f := strings.Fields(strings.ToLower(strings.Trim(text, " .!")))
	if e.DoorID == "" || e.Site == nil || len(f) == 0 {
		return false, nil
	}
	name, value := f[0], ""
	switch glued := gluedTick.FindStringSubmatch(f[0]); {
	case len(f) == 1 && glued != nil:
		name = glued[1]
	case len(f) == 2 && doneWords[f[0]]:
		name = f[1]
	case len(f) == 2 && doneWords[f[1]]:
	default:
		name = strings.TrimRight(name, ":=,")
		value = strings.TrimSpace(strings.TrimPrefix(strings.TrimLeft(strings.Join(f[1:], " "), "=: "), "is "))
		value = lex.Dictated(value)
		if _, ok := lex.ScanNumber(value, 0); !ok {
			return false, nil
		}
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if j == nil || err != nil {
		return false, err
	}
	for i, it := range j.Items() {
		switch {
		case it.ID != name && (value != "" || strconv.Itoa(i+1) != name):
		case it.Kind == jobs.Tick && value == "":
			return true, e.didYouMean(address, "tick "+it.ID)
		case it.Kind == jobs.Reading && value != "":
			return true, e.didYouMean(address, "read "+it.ID+" "+value)
		case it.Kind == jobs.Reading:
			e.Say(bot.KindError, say.F("%s takes a reading in %s: say read %s and the value", it.ID, it.Unit, it.ID))
			return true, nil
		}
	}
	return false, nil
}

// strangeID answers an order whose door's id is typed in two words, and a word
// that is no order before an id; false if the text is neither.
func (e *Request) strangeID(text string) (bool, error) {
	if m := spacedID.FindStringSubmatch(text); m != nil {
		if o, _ := FindOrder(m[3]); o != nil {
			e.Say(bot.KindError, say.F("a door's id has no space in it: say door %s-%s %s", strings.ToUpper(m[1]), m[2], m[3]))
			return true, nil
		}
	}
	if is, err := e.describedThere(text); is || err != nil {
		return is, err
	}
	m := WordAndID.FindStringSubmatch(text)
	if m == nil || m[1] == "" || e.Site == nil {
		return false, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, m[2]))
	if j == nil || err != nil {
		return false, err
	}
	e.Say(bot.KindError, say.F("%s is nothing I can do with door %s: help door tells what can be said", m[1], j.Door.Spec.ID))
	return true, nil
}

// describedThere asks whether a correction is meant by what is said of a door's
// description behind its id: D-21 is fire.
func (e *Request) describedThere(text string) (bool, error) {
	m := idFirst.FindStringSubmatch(text)
	if m == nil || e.Site == nil || strings.Contains(text, "?") {
		return false, nil
	}
	what := strings.TrimSpace(saysIs.ReplaceAllString(m[2], ""))
	s, err := survey.Read(what, new(jobs.Spec), e.names())
	if err != nil || s.Parts == 0 || len(s.Righted) > 0 {
		return false, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, m[1]))
	if j == nil || err != nil {
		return false, err
	}
	return true, e.didYouMean("door "+j.Door.Spec.ID+" ", "correct "+what)
}

var saysIs = regexp.MustCompile(`(?i)^(?:is|has|gets|swings)\s+(?:an?\s+)?`)

var spacedID = regexp.MustCompile(`^(?i:door) ([a-zA-Z]{1,4}) ([0-9]+) (.+)$`)
