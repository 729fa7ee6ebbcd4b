package bot

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"heelpost/calc"
	"heelpost/jobs"
)

// order is something that people tell the bot to do or to show. The table of
// orders drives parsing, help and permissions' words alike.
type order struct {
	words  []string // that begin it
	usage  string
	what   string
	atDoor bool // needs a door: said in its thread, or after door and its id
	shows  bool // changes nothing
	run    func(*errand, string) error
}

// errand is a message on its way through the orders.
type errand struct {
	ctx   context.Context
	desk  *Desk
	msg   Message
	site  *jobs.Site
	id    string // of the door spoken of, "" for none
	posts []Post
	open  *open    // what was asked back
	read  []string // what was put right in the text
}

// orders is built by a function: showing help reads the table it stands in.
func orders() []order {
	return []order{
		{words: []string{"door open", "open door"}, usage: "door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo",
			what: "open a door's job; what is missing, not understood or refused is asked for, and the rest is kept; what there may be too: heated, cover 45 to pipe, covering 10, lining 18, stop 12, seals, latch, estimated, one way left seen from the hall, fire, smoke, escape, without pins, cycles 40", run: (*errand).openDoor},
		{words: []string{"card"}, usage: "card", what: "the door's numbers", atDoor: true, shows: true, run: (*errand).card},
		{words: []string{"list", "checklist"}, usage: "list", what: "its checklist; list floor for one stage", atDoor: true, shows: true, run: (*errand).list},
		{words: []string{"next", "what next", "what's next", "what’s next", "whats next", "what is next"}, usage: "next", what: "what comes next", atDoor: true, shows: true, run: (*errand).next},
		{words: []string{"log", "door log"}, usage: "log", what: "its story", atDoor: true, shows: true, run: (*errand).log},
		{words: []string{"tick"}, usage: "tick 3", what: "tick an item, by number or name", atDoor: true, run: (*errand).tick},
		{words: []string{"untick"}, usage: "untick 3 because the joint was missed", what: "take a tick back; numbers that stood by it can change again", atDoor: true, run: (*errand).untick},
		{words: []string{"leave out"}, usage: "leave out 7 because the client has a photo", what: "an item does not concern this door", atDoor: true, run: (*errand).leaveOut},
		{words: []string{"override"}, usage: "override 5 because the steel was seen open", what: "foreman: pass a hold point; behind the reason word: and where the adhesive maker's letter is, where it takes that", atDoor: true, run: (*errand).override},
		{words: []string{"read", "reading"}, usage: "read heel-top 8.5", what: "enter a reading, or none and how it was looked for", atDoor: true, run: (*errand).reading},
		{words: []string{"photo"}, usage: "photo 8 kept in the site folder", what: "note a photo", atDoor: true, run: (*errand).photo},
		{words: []string{"mix"}, usage: "mix floor batch K71 expires 2027-09-30", what: "adhesive is mixed: its working time runs", atDoor: true, run: (*errand).mix},
		{words: []string{"bond"}, usage: "bond floor", what: "the plate lies in it: the cure runs", atDoor: true, run: (*errand).bond},
		{words: []string{"temperature", "temp"}, usage: "temperature 14", what: "of the substrate, in °C", atDoor: true, run: (*errand).temperature},
		{words: []string{"knocked"}, usage: "knocked floor because a trolley hit it", what: "the plate was knocked: its hours start again", atDoor: true, run: (*errand).knocked},
		{words: []string{"word"}, usage: "word floor until 2027-03-04 12:00 because letter of the adhesive maker in the folder", what: "foreman: the adhesive maker's written word", atDoor: true, run: (*errand).word},
		{words: []string{"correct"}, usage: "correct setback 66 because measured again", what: "correct the door's description", atDoor: true, run: (*errand).correct},
		{words: []string{"snag"}, usage: "snag scratch on the leaf @bo", what: "open a snag, for whoever is named before or behind it, else for you", atDoor: true, run: (*errand).snag},
		{words: []string{"close"}, usage: "close s1 polished out", what: "close a snag with what was done", atDoor: true, run: (*errand).closeSnag},
		{words: []string{"move visit"}, usage: "move visit to Thursday 9:00", what: "move the planned visit", atDoor: true, run: (*errand).moveVisit},
		{words: []string{"cancel visit"}, usage: "cancel visit because the client is away", what: "call it off", atDoor: true, run: (*errand).cancelVisit},
		{words: []string{"visit"}, usage: "visit Thursday 9:00 to set the margins", what: "plan a return", atDoor: true, run: (*errand).visit},
		{words: []string{"done"}, usage: "done", what: "answers your reminder of a visit, also one put off: it was made; done v1 says which, visit done v1 one before its time", atDoor: true, run: (*errand).done},
		{words: []string{"yes"}, usage: "yes", what: "takes the visit that a reminder proposes; yes 2027-03-04 09:00 takes that one", atDoor: true, run: (*errand).yes},
		{words: []string{"snooze"}, usage: "snooze 2h", what: "puts off what you were reminded of; snooze 2h of visit v1 where that is several things", atDoor: true, run: (*errand).snooze},
		{words: []string{"undo"}, usage: "undo", what: "takes back your last tick, reading, temperature, snag or visit, within five minutes", atDoor: true, run: (*errand).undo},
		{words: []string{"hand over", "handover"}, usage: "hand over", what: "the door is done", atDoor: true, run: (*errand).handOver},
		{words: []string{"board"}, usage: "board", what: "the site by stage; board A-, board north, board @ana, board floor screed, board hang, board hand over, board done, board 2", shows: true, run: (*errand).board},
		{words: []string{"doors mine", "my doors"}, usage: "doors mine", what: "your doors", shows: true, run: (*errand).mine},
		{words: []string{"today"}, usage: "today", what: "today's visits, those overdue first, and every cure that runs; today 2 goes on", shows: true, run: (*errand).today},
		{words: []string{"week"}, usage: "week", what: "the same for seven days; week 2 goes on", shows: true, run: (*errand).week},
		{words: []string{"visits"}, usage: "visits", what: "all planned visits, overdue ones first, visits 2 goes on; at a door its own, and its cure", shows: true, run: (*errand).visits},
		{words: []string{"snags"}, usage: "snags", what: "open snags; snags 2 goes on", shows: true, run: (*errand).snags},
		{words: []string{"failed"}, usage: "failed", what: "reminders that could not be posted", shows: true, run: (*errand).failed},
		{words: []string{"retry"}, usage: "retry 1", what: "send a failed reminder again, by its number in failed or its id", run: (*errand).retry},
	}
}

// Handle carries out a message if it is an order; ok is false if it is none.
func (d *Desk) Handle(ctx context.Context, m Message) (posts []Post, waiting *open, ok bool, err error) {
	e := &errand{ctx: ctx, desk: d, msg: m, id: m.Thread}
	text := e.address(strings.TrimSpace(m.Text))
	o, rest := findOrder(text)
	if o == nil {
		return nil, nil, false, nil
	}
	if err := d.agree(ctx); err != nil {
		return nil, nil, true, err
	}
	e.site = d.siteFor(&m)
	switch {
	case e.site == nil:
		err = d.noSite(&m)
	case o.atDoor && e.id == "":
		err = refuse(fmt.Errorf("which door? say it in the door's thread, or as door A-101 %s", o.usage))
	default:
		err = o.run(e, rest)
	}
	e.noteDenied(err)
	var no *refusal
	var many *choice
	if open, ok := errors.AsType[*jobs.WhichVisitError](err); ok {
		err = whichVisit(open, o.words[0], rest, e.site)
	}
	switch hour, ok := errors.AsType[*jobs.HourError](err); {
	case errors.As(err, &many):
		offers := make([]string, len(many.orders))
		for i, order := range many.orders {
			offers[i] = "door " + e.id + " " + order
		}
		e.ask(&open{Offers: offers, Ask: many.Error()})
		err = nil
	case ok && !slices.Contains(settling, o.words[0]):
		e.ask(&open{Guess: "door " + e.id + " " + o.words[0] + " " + hour.In(rest), Ask: hour.Error() + ", or say yes"})
		err = nil
	case errors.As(err, &no):
		e.say(KindError, e.righted(no.Error()))
		err = nil
	case err == nil && e.open == nil && len(e.righted("")) > 0:
		e.say(KindAnswer, strings.TrimSpace(e.righted("")))
	}
	return e.posts, e.open, true, err
}

// noteDenied tells the desk's owner of a try that the person's role forbids.
func (e *errand) noteDenied(err error) {
	if no, ok := errors.AsType[*jobs.PermissionError](err); ok && e.desk.Denied != nil {
		e.desk.Denied(no)
	}
}

// address takes "door A-101" from the front of an order.
func (e *errand) address(text string) string {
	fields := strings.Fields(text)
	if len(fields) < 2 || !strings.EqualFold(fields[0], "door") {
		return text
	}
	second := fields[1]
	if strings.EqualFold(second, "log") && len(fields) == 3 {
		e.id = fields[2]
		return "log"
	}
	rest := strings.Join(fields[2:], " ")
	o, _ := findOrder(rest)
	if o == nil && (rest != "" || !strings.ContainsAny(second, "0123456789")) || strings.EqualFold(second, "open") {
		return text // door open, or a question about a door 54 thick
	}
	e.id = second
	if rest == "" {
		return "card"
	}
	return rest
}

var orderTable = sync.OnceValue(orders)

// findOrder returns the order that the text begins with, and the rest.
func findOrder(text string) (*order, string) {
	all := orderTable()
	for i := range all {
		for _, w := range all[i].words {
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

// shows reports whether a text is an order that changes nothing.
func shows(text string) bool {
	o, _ := findOrder((&errand{}).address(strings.TrimSpace(text)))
	return o != nil && o.shows
}

// say answers at once. What changes nothing need not be kept.
func (e *errand) say(kind Kind, text string, buttons ...Button) {
	p := e.msg.reply(kind, text)
	p.Buttons = buttons
	if e.site != nil {
		p.Site = e.site.ID
	}
	e.posts = append(e.posts, p)
}

// do changes the door; what is said of it follows as a notice.
func (e *errand) do(cmd jobs.Command) error {
	return e.desk.change(e.ctx, e.msg, e.site, doorKey(e.site.ID, e.id), cmd)
}

// job reads the door spoken of.
func (e *errand) job() (*job, error) {
	j, err := e.desk.job(e.ctx, doorKey(e.site.ID, e.id))
	if errors.Is(err, jobs.ErrNotFound) {
		return nil, refuse(fmt.Errorf("there is no door %s here", e.id))
	}
	return j, err
}

// item takes an item's number or name from the front of the text.
func (e *errand) item(text string) (it jobs.Item, rest string, err error) {
	j, err := e.job()
	if err != nil {
		return it, "", err
	}
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if articles[strings.ToLower(first)] {
		first, rest, _ = strings.Cut(strings.TrimSpace(rest), " ")
	}
	first = strings.ToLower(strings.TrimRight(first, ":,"))
	items := j.items()
	if first == "" {
		return it, "", refuse(fmt.Errorf("which item? 1 to %d, or a name; list shows them", len(items)))
	}
	i := slices.IndexFunc(items, func(it jobs.Item) bool { return it.ID == first })
	if i < 0 {
		if _, err := fmt.Sscanf(first, "%d", &i); err != nil || fmt.Sprint(i) != first || i < 1 || i > len(items) {
			return it, "", refuse(fmt.Errorf("%q is no item of this door's list: %s1 to %d, or a name; list shows them", cutText(first, 40), nearItem(first, items), len(items)))
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
	if id := nearest(typed, ids, slipsIn(typed)); id != "" {
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

func (e *errand) tick(text string) error {
	it, note, err := e.item(text)
	if err != nil {
		return err
	}
	if other := strings.TrimSpace(strings.TrimPrefix(note, "and ")); other != "" {
		if _, _, err := e.item(other); err == nil || isDigit(other[0]) {
			return refuse(fmt.Errorf("one item at a time: tick %s, then tick %s", it.ID, cutText(other, 20)))
		}
	}
	cmd := &jobs.TickItem{Item: it.ID, Note: note}
	if mark, ok := strings.CutPrefix(note, "#"); ok && len(mark) == len(it.Mark()) {
		cmd.Note, cmd.Seen = "", mark // a button's
	}
	return e.do(cmd)
}

func (e *errand) untick(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	return e.do(&jobs.Untick{Item: it.ID, Why: why})
}

func (e *errand) leaveOut(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	return e.do(&jobs.NotApplicable{Item: it.ID, Why: why})
}

func (e *errand) override(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	_, why := reason(rest)
	why, word, _ := strings.Cut(why, " word: ") // a word alone may be any
	return e.do(&jobs.OverrideHold{Item: it.ID, Why: why, Word: word})
}

func (e *errand) photo(text string) error {
	it, where, err := e.item(text)
	if err != nil {
		return err
	}
	return e.do(&jobs.PhotoItem{Item: it.ID, Where: where})
}

func (e *errand) reading(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	if first, note, _ := strings.Cut(rest, " "); strings.EqualFold(strings.Trim(first, ",:"), "none") {
		return e.do(&jobs.ReadItem{Item: it.ID, None: true, Note: note})
	}
	v, note, err := measure(rest, it.Unit)
	if err != nil {
		return refuse(fmt.Errorf("%s: %w", it.ID, err))
	}
	return e.do(&jobs.ReadItem{Item: it.ID, Value: v, Note: note})
}

// measure reads a number in a unit, said or not, and what is noted after it.
func measure(text, unit string) (v jobs.Measure, note string, err error) {
	n, ok := scanNumber(text, 0)
	if !ok {
		return v, "", fmt.Errorf("a reading in %s is wanted, as %s", unit, map[bool]string{true: "5/16 in", false: "8.5"}[unit == "in"])
	}
	// 38 in the corner is no 38 inches.
	plainly := n.doubt == wordIn && unit == "in" && (n.end == len(text) || strings.IndexByte(",.;:", text[n.end]) >= 0)
	if n.doubt == wordIn && !plainly {
		figure := strings.TrimSpace(n.raw[:len(n.raw)-len("in")])
		return v, "", fmt.Errorf("%s: inches, or does a remark begin there? say %s inches or %s mm", n.raw, figure, figure)
	}
	if n.doubt != certain && !plainly {
		return v, "", fmt.Errorf("the number %s can be read in two ways", n.raw)
	}
	note = strings.TrimSpace(text[n.end:])
	if plainly {
		note = strings.TrimLeft(note, ",.;: ")
	}
	first, after, _ := strings.Cut(note, " ")
	if word := strings.ToLower(strings.TrimRight(first, ".,;")); otherUnit(word, unit) || first != "" && strings.ContainsAny(first[:1], "-–+±/*") {
		return v, "", fmt.Errorf("a reading in %s is wanted, not %s %s", unit, n.raw, cutText(first, 20))
	}
	if unit == "mm" || unit == "in" {
		if n.unit == degrees {
			return v, "", fmt.Errorf("%s is no length", n.raw)
		}
		if unit == "in" && n.unit == bare && n.length != 0 {
			return v, "", fmt.Errorf("%s: is that inches or mm? give it with its unit", n.raw)
		}
		return jobs.Measure{Micro: int64(n.length), Unit: unit}, note, nil
	}
	if slices.Contains(unitNames[unit], strings.ToLower(first)) || n.unit == degrees && unit == "°C" && strings.EqualFold(first, "c") {
		note = after
	} else if n.unit != bare && !(n.unit == degrees && unit == "°C") {
		return v, "", fmt.Errorf("%s is not in %s", n.raw, unit)
	}
	return jobs.Of(n.plain, unit), strings.TrimSpace(note), nil
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

func (e *errand) mix(text string) error {
	where, rest, _ := strings.Cut(text, " ")
	batch, expiry, ok := strings.Cut(strings.TrimPrefix(rest, "batch "), " expires ")
	if !ok {
		return refuse(errors.New("which batch, and until when is it good? as mix floor batch K71 expires 2027-09-30"))
	}
	date, err := jobs.ParseDate(strings.TrimSpace(expiry))
	if err != nil {
		return refuse(err)
	}
	return e.do(&jobs.MixAdhesive{Where: strings.ToLower(where), Batch: strings.TrimSpace(batch), Expiry: date})
}

func (e *errand) bond(text string) error {
	return e.do(&jobs.BondPlate{Where: strings.ToLower(text)})
}

func (e *errand) temperature(text string) error {
	v, left, err := measure(strings.TrimSpace(text), "°C")
	if err == nil && left != "" {
		err = fmt.Errorf("one temperature in °C is wanted, as 14: what is %q?", cutText(left, 40))
	}
	if err != nil {
		return refuse(err)
	}
	return e.do(&jobs.ReadWarmth{T: calc.Temperature(v.Value())})
}

func (e *errand) knocked(text string) error {
	where, why := reason(text)
	return e.do(&jobs.Knock{Where: strings.ToLower(where), Why: why})
}

func (e *errand) word(text string) error {
	what, why := reason(text)
	where, until, ok := strings.Cut(what, " until ")
	if !ok {
		return refuse(errors.New("until when is the bond left alone by the maker's word? as word floor until 2027-03-04 12:00 because the letter is in the folder"))
	}
	at, err := e.site.When(until, e.msg.At)
	if err != nil {
		return refuse(err)
	}
	return e.do(&jobs.GiveWord{Where: strings.ToLower(strings.TrimSpace(where)), Why: why, Word: why, Until: at})
}
