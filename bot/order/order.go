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
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Order is something that people tell the bot to do or to show. The table of
// orders drives parsing, help and permissions' words alike.
type Order struct {
	Words  []string // that begin it
	Usage  string   // how it is typed, as an example
	what   say.Text // what it does
	atDoor bool     // needs a door: said in its thread, or after door and its id
	shows  bool     // changes nothing
	part   asPart   // how it stands among others in one text
	run    func(*Request, string) error
}

// Request is a message on its way through the orders.
type Request struct {
	Ctx    context.Context
	Desk   *desk.Desk
	Msg    bot.Message
	Site   *jobs.Site
	DoorID string // of the door spoken of, "" for none
	Outcome
	righted []say.Text // what was put right in the text
	absent  []say.Text // doors of a row that was named which there are not
}

// Outcome is what came of a message.
type Outcome struct {
	Posts   []bot.Post
	Waiting *Unfinished // the order that waits for a reply from now on
	Refused bool        // the order was understood and not carried out, and the post says why
	Settled bool        // a change was made: the message is done with
}

// All returns the table of orders. It is built by a function: showing help
// reads the table it stands in.
func All() []Order {
	return []Order{
		{Words: []string{"door open", "open door"}, Usage: "door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo",
			what: say.F("open a door's job; what is missing, not understood or refused is asked for, and the rest is kept; door open A-102 like A-101 and open A-2 A-3 like A-1 copy what is not measured, and a line of a door schedule is taken as it is pasted; what there may be too: heated, cover 45 to pipe, covering 10, lining 18, stop 12, seals, latch, estimated, one way left seen from the hall, fire, smoke, escape, without pins, cycles 40, lean heel 3, lean lead -2, floor fall 3 to heel"), part: partNone, run: (*Request).openDoor},
		{Words: []string{"card"}, Usage: "card", what: say.F("the door's numbers"), atDoor: true, shows: true, run: (*Request).card},
		{Words: []string{"list", "checklist"}, Usage: "list", what: say.F("its checklist; list floor for one stage"), atDoor: true, shows: true, run: (*Request).list},
		{Words: []string{"next", "what next", "what's next", "what’s next", "whats next", "what is next"}, Usage: "next", what: say.F("what comes next"), atDoor: true, shows: true, run: (*Request).next},
		{Words: []string{"log", "door log"}, Usage: "log", what: say.F("its story"), atDoor: true, shows: true, run: (*Request).log},
		{Words: []string{"record", "print"}, Usage: "record A-101", what: say.F("all that is on record of a door, to hand over: card, checklist with who, when and why, photos, snags, visits and log; record all prints the site door by door, record A-1 to A-9 and record north some of it"), shows: true, part: partNone, run: (*Request).record},
		{Words: []string{"keep", "on record", "put it on record", "put that on record"}, Usage: "keep", what: say.F("put the answer that you were just given on the door's record, with what it was worked out by"), atDoor: true, run: (*Request).keep},
		{Words: []string{"tick"}, Usage: "tick 3", what: say.F("tick an item, by number or name; several as tick 3 4 6, tick 3-6 or tick datum, joint and room: what can't be ticked among them is named; foreman: tick datum for A-1 to A-9, no hold, shown before it is done"), atDoor: true, part: partTick, run: (*Request).tick},
		{Words: []string{"untick"}, Usage: "untick 3 because the joint was missed", what: say.F("take a tick back; numbers that stood by it can change again"), atDoor: true, part: partUntick, run: (*Request).untick},
		{Words: []string{"leave out"}, Usage: "leave out 7 because the client has a photo", what: say.F("an item does not concern this door"), atDoor: true, part: partOfItem, run: (*Request).leaveOut},
		{Words: []string{"override"}, Usage: "override 5 because the steel was seen open", what: say.F("foreman: pass a hold point; behind the reason word: and where the adhesive maker's letter is, where it takes that"), atDoor: true, part: partOfItem, run: (*Request).override},
		{Words: []string{"read", "reading"}, Usage: "read heel-top 8.5", what: say.F("enter a reading, or none and how it was looked for; several as read wind 3, plumb 1; read margins 8.5 9 8 9 are heel top, heel bottom, lead top and lead bottom; read lean heel 2, lean lead 0, floor fall level is of the opening"), atDoor: true, part: partRead, run: (*Request).reading},
		{Words: []string{"photo"}, Usage: "photo 8 kept in the site folder", what: say.F("note a photo; photo bond.jpg is of the item that waits for one, as is a picture that is sent in the door's thread; photo 8 at 8:10 kept in the site folder if it was taken before; photo s1 and a picture, or where it is, is of a snag"), atDoor: true, part: partPhoto, run: (*Request).photo},
		{Words: []string{"photos"}, Usage: "photos", what: say.F("its photos, with who and when; photos A-101 from anywhere"), shows: true, run: (*Request).photos},
		{Words: []string{"mix spoilt", "mix spoiled"}, Usage: "mix spoilt because the tube burst", what: say.F("what was mixed is thrown away: its time runs no more, and it is mixed anew"), atDoor: true, part: partAlone, run: (*Request).spoilt},
		{Words: []string{"mix"}, Usage: "mix floor K71 exp 09/2027", what: say.F("adhesive is mixed: its working time runs; a month is good to its last day; mix head alone takes what your crew mixed last today; mixed 8:00 behind it if it was before"), atDoor: true, part: partMix, run: (*Request).mix},
		{Words: []string{"bond"}, Usage: "bond floor", what: say.F("the plate lies in it: the cure runs; bond floor at 8:15 if it was before, within the working time"), atDoor: true, part: partBond, run: (*Request).bond},
		{Words: []string{"temperature", "temp"}, Usage: "temperature 14", what: say.F("of the substrate, in °C; temperature 14 min 8 with the lowest since the reading before, by a max-min thermometer; temperature 6 at 7:30 if it was read before; temperature 14 for A-101, A-103 or temperature 14 A-101 to A-109 at several doors"), part: partTemperature, run: (*Request).temperature},
		{Words: []string{"held"}, Usage: "held 18 until Friday", what: say.F("foreman: it is kept at 18 °C or above until that day's work begins; held 18 until Friday from yesterday 16:00"), atDoor: true, run: (*Request).held},
		{Words: []string{"knocked"}, Usage: "knocked floor because a trolley hit it", what: say.F("the plate was knocked: its hours start again"), atDoor: true, run: (*Request).knocked},
		{Words: []string{"word"}, Usage: "word floor until 2027-03-04 12:00 because letter of the adhesive maker in the folder", what: say.F("foreman: the adhesive maker's written word"), atDoor: true, run: (*Request).word},
		{Words: []string{"correct"}, Usage: "correct setback 66 because measured again", what: say.F("correct the door's description; foreman: crew @bo for A-1 to A-9, correct floor concrete for A-1, A-3 at many doors, shown before it is done"), atDoor: true, part: partNone, run: (*Request).correct},
		{Words: []string{"leaf ordered"}, Usage: "leaf ordered 2027-03-01", what: say.F("when the leaf was ordered; today without a day"), atDoor: true, run: leafDay(jobs.LeafOrdered)},
		{Words: []string{"leaf due"}, Usage: "leaf due 2027-03-20", what: say.F("when the leaf is to come"), atDoor: true, run: leafDay(jobs.LeafDue)},
		{Words: []string{"leaf delivered"}, Usage: "leaf delivered 2027-03-19", what: say.F("when it came; today without a day"), atDoor: true, run: leafDay(jobs.LeafDelivered)},
		{Words: []string{"snag"}, Usage: "snag scratch on the leaf @bo by Friday", what: say.F("open a snag, for whoever is named before or behind it, else for you, by a day if one is named; snag s1 @bo by Friday gives it to somebody else, or another day; a picture that is sent with it is its photo"), atDoor: true, part: partSnag, run: (*Request).snag},
		{Words: []string{"close"}, Usage: "close s1 polished out", what: say.F("close a snag with what was done"), atDoor: true, part: partClose, run: (*Request).closeSnag},
		{Words: []string{"move visit"}, Usage: "move visit to Thursday 9:00", what: say.F("move the planned visit; whose it is is told; move visit v1 to @cy gives it to somebody else"), atDoor: true, part: partVisit, run: (*Request).moveVisit},
		{Words: []string{"cancel visit", "call off visit", "call off the visit"}, Usage: "cancel visit because the client is away", what: say.F("call it off"), atDoor: true, part: partVisit, run: (*Request).cancelVisit},
		{Words: []string{"visit"}, Usage: "visit Thursday 9:00 2h @bo margins", what: say.F("plan a return: when, how long, by whom if not the crew, what for"), atDoor: true, part: partVisit, run: (*Request).visit},
		{Words: []string{"done"}, Usage: "done", what: say.F("answers your reminder of a visit, also one put off: it was made; done v1 says which, visit done v1 one before its time; done s1 closes a snag"), atDoor: true, part: partClose, run: (*Request).done},
		{Words: []string{"yes"}, Usage: "yes", what: say.F("takes the visit that a reminder proposes; yes 2027-03-04 09:00 takes that one"), atDoor: true, run: (*Request).yes},
		{Words: []string{"snooze"}, Usage: "snooze 2h", what: say.F("puts off what you were reminded of; snooze 2h of visit v1 where that is several things"), atDoor: true, run: (*Request).snooze},
		{Words: []string{"undo"}, Usage: "undo", what: say.F("takes back your last tick, reading, correction, temperature, snag, visit or day of the leaf, within five minutes"), atDoor: true, part: partUndo, run: (*Request).undo},
		{Words: []string{"hand over", "handover"}, Usage: "hand over", what: say.F("the door is done"), atDoor: true, run: (*Request).handOver},
		{Words: []string{"take back handover", "take back the handover", "take back"}, Usage: "take back handover because the client found a snag", what: say.F("foreman: the door is in work again; take back call off because it was the next one if it was called off"), atDoor: true, run: (*Request).takeBack},
		{Words: []string{"call off"}, Usage: "call off because it was opened by mistake", what: say.F("foreman: the door is gone from board and digest, its log is kept"), atDoor: true, run: (*Request).callOff},
		{Words: []string{"rename to", "rename"}, Usage: "rename to A-102 because the plan says so", what: say.F("foreman: give the door another id; the old one finds it, too"), atDoor: true, run: (*Request).rename},
		{Words: []string{"board"}, Usage: "board", what: say.F("the site at a glance, what is held, overdue, curing or has snags first; board all, board 2; board A-, board north, board @ana, board floor screed, board hang, board hand over, board done; several together, also held, overdue, curing and snags: board hang @ana held"), shows: true, run: (*Request).board},
		{Words: []string{"changes", "what changed"}, Usage: "changes", what: say.F("what was done at which door since the last day's work began; changes since monday, changes this week, changes after handover, changes A-1 north those of some doors, as board takes them"), shows: true, run: (*Request).changes},
		{Words: []string{"doors mine", "my doors"}, Usage: "doors mine", what: say.F("your doors"), shows: true, run: (*Request).mine},
		{Words: []string{"today"}, Usage: "today", what: say.F("today's visits and snags, those overdue first, and every cure that runs; today mine and today @bo those of one person, today 2 goes on, today north those of some doors, as board takes them"), shows: true, run: (*Request).today},
		{Words: []string{"what waits for me", "what is waiting for me", "what's waiting for me", "what’s waiting for me", "whats waiting for me"}, Usage: "what waits for me", what: say.F("reminders that wait for your answer, snags of yours, and what nobody else may settle"), shows: true, run: (*Request).waitsForMe},
		{Words: []string{"what can i do now", "what can i do today", "what can we do now"}, Usage: "what can I do now", what: say.F("at your doors: what can be done, and how many wait for a hold or a cure"), shows: true, run: (*Request).doNow},
		{Words: []string{"who is at", "who's at", "who’s at", "whos at", "who is here", "who's here"}, Usage: "who is at A-101", what: say.F("who works at a door, who was there last, who comes next"), shows: true, run: (*Request).whoIsAt},
		{Words: []string{"week"}, Usage: "week", what: say.F("the same for seven days; week by crew and week by person part it, week 2 goes on"), shows: true, run: (*Request).week},
		{Words: []string{"visits"}, Usage: "visits", what: say.F("all planned visits, overdue ones first, visits 2 goes on; at a door its own, and its cure"), shows: true, run: (*Request).visits},
		{Words: []string{"reminders", "my reminders"}, Usage: "reminders", what: say.F("what you were reminded of and nobody has answered; reminders 2 goes on"), shows: true, run: (*Request).reminders},
		{Words: []string{"orders"}, Usage: "orders", what: say.F("leaves to order, ordered and delivered, with their sizes; orders north those of some doors, as board takes them"), shows: true, run: (*Request).orders},
		{Words: []string{"snags"}, Usage: "snags", what: say.F("open snags; snags 2 goes on, snags @bo floor screed some of them"), shows: true, run: (*Request).snags},
		{Words: []string{"failed"}, Usage: "failed", what: say.F("reminders that could not be posted"), shows: true, run: (*Request).failed},
		{Words: []string{"retry"}, Usage: "retry 1", what: say.F("send a failed reminder again, by its number in failed or its id"), run: (*Request).retry},
	}
}

// Handle carries out a message if it is an order; ok is false if it is none.
func Handle(ctx context.Context, d *desk.Desk, m bot.Message) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread}
	said := strings.TrimSpace(m.Text)
	if !m.Overheard {
		said = atItsDoor(said)
	}
	text := e.Address(strings.TrimSpace(OfDoor(said)))
	if !m.Overheard {
		text = plainOrder(text) // what people say among themselves is no order for a word less
	}
	if offMix.MatchString(text) && !goneOff.MatchString(text) && !strings.HasSuffix(text, "?") && !m.Overheard && e.DoorID != "" {
		if e.Site = d.SiteFor(&m); e.Site != nil { // a word may mean less than all of it
			return e.Outcome, true, e.didYouMean("door "+e.DoorID+" ", spoiltOrder(text))
		}
	}
	o, rest := FindOrder(text)
	if o != nil && o.Words[0] == "bond" && !m.Overheard && (!Stop(text).IsZero() || strings.HasSuffix(text, "?")) {
		o = nil // bond failed, bond floor went bad
	}
	if read, ok := openingRead(text); o == nil && ok && !m.Overheard && e.DoorID != "" {
		o, rest = FindOrder(read)
	}
	if o == nil && !m.Overheard {
		if e.pasted(text) {
			return e.Outcome, true, nil
		}
	}
	if e.Site = d.SiteFor(&m); o == nil && e.Site != nil {
		if ok, err = e.noSo(text); ok || err != nil {
			return e.Outcome, true, e.told(&Order{Words: []string{"no"}}, "", err)
		}
	}
	if o == nil {
		return out, false, nil
	}
	if err := d.Agree(ctx); err != nil {
		return out, true, err
	}
	e.Site = d.SiteFor(&m)
	err = e.carryOut(o, rest)
	e.NoteDenied(err)
	err = e.told(o, rest, err)
	return e.Outcome, true, err
}

// plainOrder returns an order as the table has it, where people leave its first
// word out: open A-2 like A-1, crew @bo for.
func plainOrder(text string) string {
	switch {
	case opensDoor.MatchString(text):
		return "door " + text
	case asksHeld.MatchString(text):
		return "board held"
	case peopleFor.MatchString(text) && namesMany(text):
		return "correct " + text
	case leafOf.MatchString(text):
		return "leaf " + text
	case warmthAlone.MatchString(text):
		return "temperature " + text
	case spoiltPlate.MatchString(text):
		return spoiltPlate.ReplaceAllString(text, "mix spoilt $1")
	}
	if m := typedButton.FindStringSubmatch(text); m != nil {
		if o, _ := FindOrder(m[1]); o != nil {
			return m[1]
		}
	}
	return text
}

// typedButton matches a button that is typed as it is shown: [Done].
var typedButton = regexp.MustCompile(`^\[([^\[\]]+)\]$`)

// openingRead returns the order that enters what was read of a door's jambs and
// floor, where a text says nothing else: lean heel 2, lean-lead 1, floor fall
// level.
func openingRead(text string) (order string, ok bool) {
	what, why := splitBecause(ofJambs.ReplaceAllString(text, "$1 $2"))
	var typed []string
	what = floorLevel.ReplaceAllString(what, "floor fall level")
	for _, part := range strings.FieldsFunc(what, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		m := jambRead.FindStringSubmatch(strings.Join(strings.Fields(part), " "))
		if m == nil {
			return "", false
		}
		typed = append(typed, m[1]+" "+lex.Dictated(m[2]))
	}
	if len(typed) == 0 {
		return "", false
	}
	order = "correct " + strings.Join(typed, ", ")
	if why != "" {
		order += " because " + why
	}
	return order, true
}

// floorLevel matches how a floor without a fall is said.
var floorLevel = regexp.MustCompile(`(?i)\bfloor (?:is )?level\b`)

// jambRead matches one thing that is read of an opening, with its value.
var jambRead = regexp.MustCompile(`(?i)^(?:and )?((?:lean|bow) (?:heel|lead)|floor fall|(?:width|height) (?:top|middle|lead)|diagonal (?:heel|lead))(?:\s*[:=]\s*|\s+is\s+|\s+)([^?]+)$`)

// asksHeld matches what a foreman asks in the morning.
var asksHeld = regexp.MustCompile(`(?i)^(?:what(?:['’]?s| is| doors are)?|which(?: doors?)?(?: is| are)|show(?: me)?(?: the)?)?\s*(?:held(?: doors?| ones)?|doors? held)[\s?.!]*$`)

var opensDoor = regexp.MustCompile(`(?i)^open\s+(?:doors?\s+)?` + doorID + `\b`)

// carryOut carries out an order where there is a site, and a door if it needs
// one.
func (e *Request) carryOut(o *Order, rest string) error {
	if e.Site != nil {
		if done, err := e.showEach(o, rest); done || err != nil {
			return err
		}
		var asked bool
		var err error
		if asked, err := e.atSeveral(o, rest); asked || err != nil {
			return err
		}
		if rest, asked, err = e.elsewhere(o, rest); asked || err != nil || e.askTwice(o, rest) {
			return err
		}
		if o.atDoor && e.DoorID == "" {
			if rest, err = e.doorBehind(o, rest); err != nil {
				return err
			}
			if asked, err := e.askWhere(o, rest); asked || err != nil {
				return err
			}
		}
		if asked, err := e.othersNamed(o, rest); asked || err != nil {
			return err
		}
	}
	switch {
	case e.Site == nil:
		return e.Desk.NoSite(&e.Msg)
	case o.Words[0] == "yes" && e.DoorID == "":
		return bot.Refuse(say.F("yes to what? nothing waits for your reply here; a visit that is proposed is taken in its door's thread"))
	case o.atDoor && e.DoorID == "" && !(o.Words[0] == "correct" && namesMany(rest)):
		return bot.Refuse(say.F("which door? say it in the door's thread, or as door A-101 %s", o.Usage))
	}
	return o.run(e, rest)
}

// told tells whoever gave an order why it was refused, asks where it may be one
// of several or its hour is in doubt, and returns what is left of the error:
// trouble of our own. What was put right in an order is told, too.
func (e *Request) told(o *Order, rest string, err error) error {
	if visits, ok := errors.AsType[*jobs.WhichVisitError](err); ok {
		err = whichVisit(visits, o.Words[0], rest, e.Site)
	}
	if c, ok := errors.AsType[*choice](err); ok {
		offers := make([]string, len(c.orders))
		for i, order := range c.orders {
			offers[i] = e.address() + order
		}
		e.ask(&Unfinished{Offers: offers, Question: c.text()})
		return nil
	}
	if anew, ok := errors.AsType[*jobs.AnewError](err); ok {
		return e.askAnew(anew)
	}
	if hour, ok := errors.AsType[*jobs.HourError](err); ok && !slices.Contains(settling, o.Words[0]) {
		e.ask(&Unfinished{Guess: e.address() + o.Words[0] + " " + hour.In(rest), Question: say.F("%s, or say yes", hour)})
		return nil
	}
	if refusal, ok := errors.AsType[*bot.RefusalError](err); ok {
		e.Refused = true
		e.Say(bot.KindError, e.withRighted(say.Of(refusal.Unwrap())))
		return nil
	}
	if err == nil && e.Waiting == nil && len(e.righted) > 0 {
		e.Say(bot.KindAnswer, say.Lines(e.righted...))
	}
	return err
}

// address is what stands before an order that is offered: the door spoken of, if
// one is.
func (e *Request) address() string {
	if e.DoorID == "" {
		return ""
	}
	return "door " + e.DoorID + " "
}

// NoteDenied tells the desk's owner of a try that the person's role forbids.
func (e *Request) NoteDenied(err error) {
	if no, ok := errors.AsType[*jobs.PermissionError](err); ok && e.Desk.Denied != nil {
		e.Desk.Denied(no)
	}
}

// Address takes "door A-101" from the front of an order.
func (e *Request) Address(text string) string {
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
			end := " \t\n,:;.!"
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
	o, _ := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	return o != nil && o.shows
}

// Say answers at once. What changes nothing need not be kept.
func (e *Request) Say(kind bot.Kind, text say.Text, buttons ...bot.Button) {
	p := e.Msg.Reply(kind, e.Desk.Language.Say(text))
	p.Buttons = e.addressed(buttons)
	if e.Site != nil {
		p.Site = e.Site.ID
		if e.DoorID != "" { // door A-1 next in the channel: what is pressed beneath is of A-1
			p.Door = jobs.DoorKey(p.Site, e.DoorID)
		}
	}
	e.Posts = append(e.Posts, p)
}

// addressed has buttons name the door that was spoken of, as in "door A-1 tick 3",
// where that is not the door of the thread they stand in.
func (e *Request) addressed(buttons []bot.Button) []bot.Button {
	if e.DoorID == "" || e.DoorID == e.Msg.Thread {
		return buttons
	}
	all := slices.Clone(buttons)
	for i := range all {
		if b := &all[i]; b.Say != "" && !strings.HasPrefix(b.Say, "door ") {
			b.Say = "door " + e.DoorID + " " + b.Say
		} else if b.Form != "" {
			b.Form = "door " + e.DoorID + " " + b.Form
		}
	}
	return all
}

// Do changes the door; what is said of it follows as a notice.
func (e *Request) Do(cmd jobs.Command) error {
	settled, err := e.Desk.Change(e.Ctx, e.Msg, e.Site, jobs.DoorKey(e.Site.ID, e.DoorID), cmd)
	e.Settled = e.Settled || settled
	return err
}

// Job reads the door spoken of.
func (e *Request) Job() (*jobs.Job, error) {
	return e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
}

// item takes an item's number or name from the front of the text.
func (e *Request) item(text string) (it jobs.Item, rest string, err error) {
	j, err := e.Job()
	if err != nil {
		return it, "", err
	}
	var first string
	text = strings.TrimSpace(lex.Dictated(text))
	if first = firstWord(text); lex.Articles[strings.ToLower(first)] {
		text = strings.TrimSpace(text[len(first):])
		first = firstWord(text)
	}
	rest = text[len(first):]
	first = strings.ToLower(strings.TrimRight(first, ":,;"))
	items := j.Items()
	if first == "" {
		return it, "", bot.Refuse(say.F("which item? 1 to %s, or a name; list shows them", len(items)))
	}
	i, err := itemNamed(first, items)
	if err != nil {
		return it, "", err
	}
	if i < 0 {
		if _, err := fmt.Sscanf(first, "%d", &i); err != nil || fmt.Sprint(i) != first || i < 1 || i > len(items) {
			return it, "", bot.Refuse(noItem(first, items))
		}
		i--
	}
	return items[i], strings.TrimSpace(rest), nil
}

// itemNamed returns where an item stands, by its name or by the one it had in an
// earlier version; -1 if it is none of them.
func itemNamed(name string, items []jobs.Item) (int, error) {
	found := -1
	for _, id := range jobs.Became(name) {
		i := slices.IndexFunc(items, func(it jobs.Item) bool { return it.ID == id })
		if i >= 0 && found >= 0 {
			return -1, bot.Refuse(say.F("which one: %s or %s?", items[found].ID, id))
		}
		found = max(found, i)
	}
	if found < 0 && name != "" {
		found = begun(name, items)
	}
	return found, nil
}

// begun returns the place of the one item whose name begins with a word, as closing
// does closing-time; -1 if there is none, or several.
func begun(name string, items []jobs.Item) int {
	is := func(it jobs.Item) bool { return strings.HasPrefix(it.ID, name+"-") }
	i := slices.IndexFunc(items, is)
	if i < 0 || slices.ContainsFunc(items[i+1:], is) {
		return -1
	}
	return i
}

// noItem says that a door's list has no such item, and asks whether one was
// meant that is near to it.
func noItem(typed string, items []jobs.Item) say.Text {
	ids := map[string]bool{}
	for _, it := range items {
		ids[it.ID] = true
	}
	shown := lex.CutText(typed, 40)
	if id := lex.Nearest(typed, ids, lex.SlipsIn(typed)); id != "" {
		return say.F("%q is no item of this door's list: did you mean %s? 1 to %s, or a name; list shows them", shown, id, len(items))
	}
	return say.F("%q is no item of this door's list: 1 to %s, or a name; list shows them", shown, len(items))
}

// splitBecause parts a text from the reason that stands behind "because" in it.
func splitBecause(text string) (before, why string) {
	at := because.FindStringIndex(text)
	if at == nil {
		return text, ""
	}
	return strings.Trim(text[:at[0]], " ,"), strings.TrimSpace(text[at[1]:])
}

var because = regexp.MustCompile(`(?i)because(?: of\b)?`)

// reasonOnly returns the reason behind an item, and refuses what stands between
// them: a second item would be dropped.
func reasonOnly(it jobs.Item, rest string) (why string, err error) {
	between, why := splitBecause(rest)
	if why != "" && between != "" {
		return "", bot.Refuse(say.F("one item at a time: after %s comes because and the reason, not %q", it.ID, lex.CutText(between, 40)))
	}
	return why, nil
}

func (e *Request) untick(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	why, err := reasonOnly(it, rest)
	if err != nil {
		return err
	}
	return e.Do(&jobs.Untick{Item: it.ID, Why: why})
}

func (e *Request) leaveOut(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	why, err := reasonOnly(it, rest)
	if err != nil {
		return err
	}
	return e.Do(&jobs.NotApplicable{Item: it.ID, Why: why})
}

func (e *Request) override(text string) error {
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	why, err := reasonOnly(it, rest)
	if err != nil {
		return err
	}
	why, word, _ := strings.Cut(why, " word: ") // a word alone may be any
	return e.Do(&jobs.OverrideHold{Item: it.ID, Why: why, Word: word})
}

// doneAt takes the time from a text at which something was done that is entered
// later, as in "floor at 8:15"; zero if it has none.
func (e *Request) doneAt(text string) (rest string, at time.Time, err error) {
	m := doneTime.FindStringSubmatchIndex(text)
	if m == nil {
		return text, at, nil
	}
	if at, err = e.Site.Past(text[m[2]:m[3]], e.Msg.At); err != nil {
		return "", at, bot.Refuse(err)
	}
	rest = strings.TrimSpace(text[:m[0]] + " " + strings.TrimLeft(text[m[1]:], ", "))
	if doneTime.MatchString(rest) {
		return "", at, bot.Refuse(say.F("there are two times of day: name one"))
	}
	return rest, at, nil
}

// doneTime matches a time at which something was done.
var doneTime = regexp.MustCompile(`(?i)[\s,]*\b(?:(?:mixed|bonded|taken|done|read|was|at) +)+((?:yesterday +(?:at +)?)?\d{1,2}:\d{2}(?: *[ap]m\b)?(?: +yesterday\b)?)`)

func (e *Request) knocked(text string) error {
	where, why := splitBecause(text)
	return e.Do(&jobs.Knock{Where: strings.ToLower(where), Why: why})
}

func (e *Request) word(text string) error {
	what, why := splitBecause(text)
	where, until, ok := strings.Cut(what, " until ")
	if !ok {
		return bot.Refuse(say.F("until when is the bond left alone by the maker's word? as word floor until 2027-03-04 12:00 because the letter is in the folder"))
	}
	at, err := e.Site.When(until, e.Msg.At)
	if err != nil {
		return bot.Refuse(err)
	}
	where = strings.ToLower(strings.TrimSpace(where))
	if asked, err := e.askEarly(where, text, at); asked || err != nil {
		return err
	}
	return e.Do(&jobs.GiveWord{Where: where, Why: why, Word: why, Until: at})
}

// WordAndID is a word and an id as doors have it: record A-101.
var WordAndID = regexp.MustCompile(`^(?:([a-zA-Z]+) )?([a-zA-Z]{1,4}-[0-9]+)$`)
