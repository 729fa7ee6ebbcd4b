// Package order is what people tell the bot to do at a door or to show of one.
// One table of orders drives understanding, help and the slips that are put
// right. What is missing in an order is asked for, and the rest waits.
package order

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Order is something that people tell the bot to do or to show. The table of
// orders drives parsing, help and permissions' words alike.
type Order struct {
	Words  []string // that begin it
	Usage  string
	what   string
	atDoor bool // needs a door: said in its thread, or after door and its id
	shows  bool // changes nothing
	run    func(*Errand, string) error
}

// Errand is a message on its way through the orders.
type Errand struct {
	Ctx    context.Context
	Desk   *desk.Desk
	Msg    bot.Message
	Site   *jobs.Site
	DoorID string // of the door spoken of, "" for none
	Outcome
	read []string // what was put right in the text
}

// Outcome is what came of a message.
type Outcome struct {
	Posts   []bot.Post
	Waiting *ask.Open // what waits for a reply from now on
	Settled bool      // a change was made: the message is done with
}

// All returns the table of orders. It is built by a function: showing help
// reads the table it stands in.
func All() []Order {
	return []Order{
		{Words: []string{"door open", "open door"}, Usage: "door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo",
			what: "open a door's job; what is missing, not understood or refused is asked for, and the rest is kept; what there may be too: heated, cover 45 to pipe, covering 10, lining 18, stop 12, seals, latch, estimated, one way left seen from the hall, fire, smoke, escape, without pins, cycles 40", run: (*Errand).openDoor},
		{Words: []string{"card"}, Usage: "card", what: "the door's numbers", atDoor: true, shows: true, run: (*Errand).card},
		{Words: []string{"list", "checklist"}, Usage: "list", what: "its checklist; list floor for one stage", atDoor: true, shows: true, run: (*Errand).list},
		{Words: []string{"next", "what next", "what's next", "what’s next", "whats next", "what is next"}, Usage: "next", what: "what comes next", atDoor: true, shows: true, run: (*Errand).next},
		{Words: []string{"log", "door log"}, Usage: "log", what: "its story", atDoor: true, shows: true, run: (*Errand).log},
		{Words: []string{"tick"}, Usage: "tick 3", what: "tick an item, by number or name", atDoor: true, run: (*Errand).tick},
		{Words: []string{"untick"}, Usage: "untick 3 because the joint was missed", what: "take a tick back; numbers that stood by it can change again", atDoor: true, run: (*Errand).untick},
		{Words: []string{"leave out"}, Usage: "leave out 7 because the client has a photo", what: "an item does not concern this door", atDoor: true, run: (*Errand).leaveOut},
		{Words: []string{"override"}, Usage: "override 5 because the steel was seen open", what: "foreman: pass a hold point; behind the reason word: and where the adhesive maker's letter is, where it takes that", atDoor: true, run: (*Errand).override},
		{Words: []string{"read", "reading"}, Usage: "read heel-top 8.5", what: "enter a reading, or none and how it was looked for", atDoor: true, run: (*Errand).reading},
		{Words: []string{"photo"}, Usage: "photo 8 kept in the site folder", what: "note a photo", atDoor: true, run: (*Errand).photo},
		{Words: []string{"mix"}, Usage: "mix floor batch K71 expires 2027-09-30", what: "adhesive is mixed: its working time runs", atDoor: true, run: (*Errand).mix},
		{Words: []string{"bond"}, Usage: "bond floor", what: "the plate lies in it: the cure runs", atDoor: true, run: (*Errand).bond},
		{Words: []string{"temperature", "temp"}, Usage: "temperature 14", what: "of the substrate, in °C", atDoor: true, run: (*Errand).temperature},
		{Words: []string{"knocked"}, Usage: "knocked floor because a trolley hit it", what: "the plate was knocked: its hours start again", atDoor: true, run: (*Errand).knocked},
		{Words: []string{"word"}, Usage: "word floor until 2027-03-04 12:00 because letter of the adhesive maker in the folder", what: "foreman: the adhesive maker's written word", atDoor: true, run: (*Errand).word},
		{Words: []string{"correct"}, Usage: "correct setback 66 because measured again", what: "correct the door's description", atDoor: true, run: (*Errand).correct},
		{Words: []string{"snag"}, Usage: "snag scratch on the leaf @bo", what: "open a snag, for whoever is named before or behind it, else for you", atDoor: true, run: (*Errand).snag},
		{Words: []string{"close"}, Usage: "close s1 polished out", what: "close a snag with what was done", atDoor: true, run: (*Errand).closeSnag},
		{Words: []string{"move visit"}, Usage: "move visit to Thursday 9:00", what: "move the planned visit", atDoor: true, run: (*Errand).moveVisit},
		{Words: []string{"cancel visit"}, Usage: "cancel visit because the client is away", what: "call it off", atDoor: true, run: (*Errand).cancelVisit},
		{Words: []string{"visit"}, Usage: "visit Thursday 9:00 to set the margins", what: "plan a return", atDoor: true, run: (*Errand).visit},
		{Words: []string{"done"}, Usage: "done", what: "answers your reminder of a visit, also one put off: it was made; done v1 says which, visit done v1 one before its time", atDoor: true, run: (*Errand).done},
		{Words: []string{"yes"}, Usage: "yes", what: "takes the visit that a reminder proposes; yes 2027-03-04 09:00 takes that one", atDoor: true, run: (*Errand).yes},
		{Words: []string{"snooze"}, Usage: "snooze 2h", what: "puts off what you were reminded of; snooze 2h of visit v1 where that is several things", atDoor: true, run: (*Errand).snooze},
		{Words: []string{"undo"}, Usage: "undo", what: "takes back your last tick, reading, temperature, snag or visit, within five minutes", atDoor: true, run: (*Errand).undo},
		{Words: []string{"hand over", "handover"}, Usage: "hand over", what: "the door is done", atDoor: true, run: (*Errand).handOver},
		{Words: []string{"board"}, Usage: "board", what: "the site by stage; board A-, board north, board @ana, board floor screed, board hang, board hand over, board done, board 2", shows: true, run: (*Errand).board},
		{Words: []string{"doors mine", "my doors"}, Usage: "doors mine", what: "your doors", shows: true, run: (*Errand).mine},
		{Words: []string{"today"}, Usage: "today", what: "today's visits, those overdue first, and every cure that runs; today 2 goes on", shows: true, run: (*Errand).today},
		{Words: []string{"week"}, Usage: "week", what: "the same for seven days; week 2 goes on", shows: true, run: (*Errand).week},
		{Words: []string{"visits"}, Usage: "visits", what: "all planned visits, overdue ones first, visits 2 goes on; at a door its own, and its cure", shows: true, run: (*Errand).visits},
		{Words: []string{"snags"}, Usage: "snags", what: "open snags; snags 2 goes on", shows: true, run: (*Errand).snags},
		{Words: []string{"failed"}, Usage: "failed", what: "reminders that could not be posted", shows: true, run: (*Errand).failed},
		{Words: []string{"retry"}, Usage: "retry 1", what: "send a failed reminder again, by its number in failed or its id", run: (*Errand).retry},
	}
}

// Handle carries out a message if it is an order; ok is false if it is none.
func Handle(ctx context.Context, d *desk.Desk, m bot.Message) (out Outcome, ok bool, err error) {
	e := &Errand{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread}
	text := e.Address(strings.TrimSpace(m.Text))
	o, rest := FindOrder(text)
	if o == nil {
		return out, false, nil
	}
	if err := d.Agree(ctx); err != nil {
		return out, true, err
	}
	e.Site = d.SiteFor(&m)
	switch {
	case e.Site == nil:
		err = d.NoSite(&m)
	case o.atDoor && e.DoorID == "":
		err = bot.Refuse(fmt.Errorf("which door? say it in the door's thread, or as door A-101 %s", o.Usage))
	default:
		err = o.run(e, rest)
	}
	e.NoteDenied(err)
	var no *bot.RefusalError
	var many *choice
	if open, ok := errors.AsType[*jobs.WhichVisitError](err); ok {
		err = whichVisit(open, o.Words[0], rest, e.Site)
	}
	switch hour, ok := errors.AsType[*jobs.HourError](err); {
	case errors.As(err, &many):
		offers := make([]string, len(many.orders))
		for i, order := range many.orders {
			offers[i] = "door " + e.DoorID + " " + order
		}
		e.ask(&ask.Open{Offers: offers, Ask: many.Error()})
		err = nil
	case ok && !slices.Contains(settling, o.Words[0]):
		e.ask(&ask.Open{Guess: "door " + e.DoorID + " " + o.Words[0] + " " + hour.In(rest), Ask: hour.Error() + ", or say yes"})
		err = nil
	case errors.As(err, &no):
		e.Say(bot.KindError, say.Plain(e.righted(no.Error())))
		err = nil
	case err == nil && e.Waiting == nil && len(e.righted("")) > 0:
		e.Say(bot.KindAnswer, say.Plain(strings.TrimSpace(e.righted(""))))
	}
	return e.Outcome, true, err
}

// NoteDenied tells the desk's owner of a try that the person's role forbids.
func (e *Errand) NoteDenied(err error) {
	if no, ok := errors.AsType[*jobs.PermissionError](err); ok && e.Desk.Denied != nil {
		e.Desk.Denied(no)
	}
}

// Address takes "door A-101" from the front of an order.
func (e *Errand) Address(text string) string {
	fields := strings.Fields(text)
	if len(fields) < 2 || !strings.EqualFold(fields[0], "door") {
		return text
	}
	second := fields[1]
	if strings.EqualFold(second, "log") && len(fields) == 3 {
		e.DoorID = fields[2]
		return "log"
	}
	rest := strings.Join(fields[2:], " ")
	o, _ := FindOrder(rest)
	if o == nil && (rest != "" || !strings.ContainsAny(second, "0123456789")) || strings.EqualFold(second, "open") {
		return text // door open, or a question about a door 54 thick
	}
	e.DoorID = second
	if rest == "" {
		return "card"
	}
	return rest
}

var orderTable = sync.OnceValue(All)

// FindOrder returns the order that the text begins with, and the rest.
func FindOrder(text string) (*Order, string) {
	all := orderTable()
	for i := range all {
		for _, w := range all[i].Words {
			end := " \t\n,:.!"
			if all[i].shows {
				end += "?"
			}
			if len(text) >= len(w) && strings.EqualFold(text[:len(w)], w) && (len(text) == len(w) || strings.ContainsAny(text[len(w):len(w)+1], end)) {
				return &all[i], strings.Trim(text[len(w):], end)
			}
		}
	}
	return nil, ""
}

// Shows reports whether a text is an order that changes nothing.
func Shows(text string) bool {
	o, _ := FindOrder((&Errand{}).Address(strings.TrimSpace(text)))
	return o != nil && o.shows
}

// Say answers at once. What changes nothing need not be kept.
func (e *Errand) Say(kind bot.Kind, text say.Text, buttons ...bot.Button) {
	p := e.Msg.Reply(kind, e.Desk.Language.Say(text))
	p.Buttons = buttons
	if e.Site != nil {
		p.Site = e.Site.ID
	}
	e.Posts = append(e.Posts, p)
}

// Do changes the door; what is said of it follows as a notice.
func (e *Errand) Do(cmd jobs.Command) error {
	settled, err := e.Desk.Change(e.Ctx, e.Msg, e.Site, jobs.DoorKey(e.Site.ID, e.DoorID), cmd)
	e.Settled = e.Settled || settled
	return err
}

// Job reads the door spoken of.
func (e *Errand) Job() (*jobs.Job, error) {
	return e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
}

// item takes an item's number or name from the front of the text.
func (e *Errand) item(text string) (it jobs.Item, rest string, err error) {
	j, err := e.Job()
	if err != nil {
		return it, "", err
	}
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if lex.Articles[strings.ToLower(first)] {
		first, rest, _ = strings.Cut(strings.TrimSpace(rest), " ")
	}
	first = strings.ToLower(strings.TrimRight(first, ":,"))
	items := j.Items()
	if first == "" {
		return it, "", bot.Refuse(fmt.Errorf("which item? 1 to %d, or a name; list shows them", len(items)))
	}
	i := slices.IndexFunc(items, func(it jobs.Item) bool { return it.ID == first })
	if i < 0 {
		if _, err := fmt.Sscanf(first, "%d", &i); err != nil || fmt.Sprint(i) != first || i < 1 || i > len(items) {
			return it, "", bot.Refuse(fmt.Errorf("%q is no item of this door's list: %s1 to %d, or a name; list shows them", lex.CutText(first, 40), nearItem(first, items), len(items)))
		}
		i--
	}
	return items[i], strings.TrimSpace(rest), nil
}

// nearItem asks whether an item was meant that a misspelt one is near to.
func nearItem(typed string, items []jobs.Item) string {
	ids := map[string]bool{}
	for _, it := range items {
		ids[it.ID] = true
	}
	if id := lex.Nearest(typed, ids, lex.SlipsIn(typed)); id != "" {
		return "did you mean " + id + "? "
	}
	return ""
}

// reason takes what stands after "because".
func reason(text string) (before, why string) {
	i := strings.Index(strings.ToLower(text), "because")
	if i < 0 {
		return text, ""
	}
	return strings.Trim(text[:i], " ,"), strings.TrimSpace(text[i+len("because"):])
}

func (e *Errand) tick(text string) error {
	it, note, err := e.item(text)
	if err != nil {
		return err
	}
	if other := strings.TrimSpace(strings.TrimPrefix(note, "and ")); other != "" {
		if _, _, err := e.item(other); err == nil || lex.IsDigit(other[0]) {
			return bot.Refuse(fmt.Errorf("one item at a time: tick %s, then tick %s", it.ID, lex.CutText(other, 20)))
		}
	}
	cmd := &jobs.TickItem{Item: it.ID, Note: note}
	if mark, ok := strings.CutPrefix(note, "#"); ok && len(mark) == len(it.Mark()) {
		cmd.Note, cmd.Seen = "", mark // a button's
	}
	return e.Do(cmd)
}

func (e *Errand) untick(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	return e.Do(&jobs.Untick{Item: it.ID, Why: why})
}

func (e *Errand) leaveOut(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	return e.Do(&jobs.NotApplicable{Item: it.ID, Why: why})
}

func (e *Errand) override(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	why, word, _ := strings.Cut(why, " word: ") // a word alone may be any
	return e.Do(&jobs.OverrideHold{Item: it.ID, Why: why, Word: word})
}

func (e *Errand) photo(text string) error {
	it, where, err := e.item(text)
	if err != nil {
		return err
	}
	return e.Do(&jobs.PhotoItem{Item: it.ID, Where: where})
}

func (e *Errand) reading(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	if first, note, _ := strings.Cut(rest, " "); strings.EqualFold(strings.Trim(first, ",:"), "none") {
		return e.Do(&jobs.ReadItem{Item: it.ID, None: true, Note: note})
	}
	v, note, err := Measure(rest, it.Unit)
	if err != nil {
		return bot.Refuse(fmt.Errorf("%s: %w", it.ID, err))
	}
	return e.Do(&jobs.ReadItem{Item: it.ID, Value: v, Note: note})
}

// Measure reads a number in a unit, said or not, and what is noted after it.
func Measure(text, unit string) (v jobs.Measure, note string, err error) {
	n, ok := lex.ScanNumber(text, 0)
	if !ok {
		return v, "", fmt.Errorf("a reading in %s is wanted, as %s", unit, map[bool]string{true: "5/16 in", false: "8.5"}[unit == "in"])
	}
	// 38 in the corner is no 38 inches.
	plainly := n.Doubt == lex.WordIn && unit == "in" && (n.End == len(text) || strings.IndexByte(",.;:", text[n.End]) >= 0)
	if n.Doubt == lex.WordIn && !plainly {
		figure := strings.TrimSpace(n.Raw[:len(n.Raw)-len("in")])
		return v, "", fmt.Errorf("%s: inches, or does a remark begin there? say %s inches or %s mm", n.Raw, figure, figure)
	}
	if n.Doubt != lex.Certain && !plainly {
		return v, "", fmt.Errorf("the number %s can be read in two ways", n.Raw)
	}
	note = strings.TrimSpace(text[n.End:])
	if plainly {
		note = strings.TrimLeft(note, ",.;: ")
	}
	first, after, _ := strings.Cut(note, " ")
	if word := strings.ToLower(strings.TrimRight(first, ".,;")); otherUnit(word, unit) || first != "" && strings.ContainsAny(first[:1], "-–+±/*") {
		return v, "", fmt.Errorf("a reading in %s is wanted, not %s %s", unit, n.Raw, lex.CutText(first, 20))
	}
	if unit == "mm" || unit == "in" {
		if n.Unit == lex.Degrees {
			return v, "", fmt.Errorf("%s is no length", n.Raw)
		}
		if unit == "in" && n.Unit == lex.Bare && n.Length != 0 {
			return v, "", fmt.Errorf("%s: is that inches or mm? give it with its unit", n.Raw)
		}
		return jobs.Measure{Micro: int64(n.Length), Unit: unit}, note, nil
	}
	if slices.Contains(unitNames[unit], strings.ToLower(first)) || n.Unit == lex.Degrees && unit == "°C" && strings.EqualFold(first, "c") {
		note = after
	} else if n.Unit != lex.Bare && !(n.Unit == lex.Degrees && unit == "°C") {
		return v, "", fmt.Errorf("%s is not in %s", n.Raw, unit)
	}
	return jobs.Of(n.Plain, unit), strings.TrimSpace(note), nil
}

// unitNames are the words for the units of readings; a word for one of the
// others, or for one that no reading has, is never a remark.
var unitNames = map[string][]string{
	"°C": {"°c", "c", "celsius"}, "N": {"n", "newton", "newtons"}, "m/s": {"m/s"}, "s": {"s", "sec", "secs", "second", "seconds"},
	"": {"f", "°f", "fahrenheit", "k", "kelvin", "kg", "kgs", "kgf", "g", "lb", "lbs", "lbf", "kn", "dan", "km/h", "kmh", "kph", "mph", "knots", "kt", "bft", "beaufort",
		"min", "mins", "minute", "minutes", "h", "hour", "hours", "ms", "ft", "psi", "bar", "deg", "degrees"},
}

// otherUnit reports whether a word is a unit that readings in unit don't have.
func otherUnit(word, unit string) bool {
	for u, names := range unitNames {
		if u != unit && slices.Contains(names, word) {
			return true
		}
	}
	return false
}

func (e *Errand) mix(text string) error {
	where, rest, _ := strings.Cut(text, " ")
	batch, expiry, ok := strings.Cut(strings.TrimPrefix(rest, "batch "), " expires ")
	if !ok {
		return bot.Refuse(errors.New("which batch, and until when is it good? as mix floor batch K71 expires 2027-09-30"))
	}
	date, err := jobs.ParseDate(strings.TrimSpace(expiry))
	if err != nil {
		return bot.Refuse(err)
	}
	return e.Do(&jobs.MixAdhesive{Where: strings.ToLower(where), Batch: strings.TrimSpace(batch), Expiry: date})
}

func (e *Errand) bond(text string) error {
	return e.Do(&jobs.BondPlate{Where: strings.ToLower(text)})
}

func (e *Errand) temperature(text string) error {
	v, left, err := Measure(strings.TrimSpace(text), "°C")
	if err == nil && left != "" {
		err = fmt.Errorf("one temperature in °C is wanted, as 14: what is %q?", lex.CutText(left, 40))
	}
	if err != nil {
		return bot.Refuse(err)
	}
	return e.Do(&jobs.ReadWarmth{T: calc.Temperature(v.Value())})
}

func (e *Errand) knocked(text string) error {
	where, why := reason(text)
	return e.Do(&jobs.Knock{Where: strings.ToLower(where), Why: why})
}

func (e *Errand) word(text string) error {
	what, why := reason(text)
	where, until, ok := strings.Cut(what, " until ")
	if !ok {
		return bot.Refuse(errors.New("until when is the bond left alone by the maker's word? as word floor until 2027-03-04 12:00 because the letter is in the folder"))
	}
	at, err := e.Site.When(until, e.Msg.At)
	if err != nil {
		return bot.Refuse(err)
	}
	return e.Do(&jobs.GiveWord{Where: strings.ToLower(strings.TrimSpace(where)), Why: why, Word: why, Until: at})
}

// WordAndID is a word and an id as doors have it: record A-101.
var WordAndID = regexp.MustCompile(`^(?:([a-zA-Z]+) )?([a-zA-Z]{1,4}-[0-9]+)$`)
