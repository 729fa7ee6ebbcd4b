package order

import (
	"context"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// elsewhere takes the id of another door that an order names for that door: at
// its end behind at or for, or behind what is no more than an item or nothing. Any
// other mention of one is asked about; asked is true then. Reasons may name any.
func (e *Request) elsewhere(o *Order, text string) (rest string, asked bool, err error) {
	what, why := splitBecause(text)
	if !o.atDoor || e.Msg.Thread == "" || e.Msg.Joined || slices.Contains([]string{"rename to", "correct"}, o.Words[0]) {
		return text, false, nil
	}
	for _, m := range anyDoor.FindAllStringSubmatchIndex(what, -1) {
		id := strings.ToUpper(what[m[2]:m[3]])
		j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil {
			return text, false, err
		}
		if j == nil || j.Key == jobs.DoorKey(e.Site.ID, e.DoorID) || strings.EqualFold(id, e.DoorID) {
			continue
		}
		head, tail := strings.TrimSpace(what[:m[0]]), strings.Trim(what[m[1]:], " .,!?")
		plain := toDoor.ReplaceAllString(head, "")
		here, there := "door "+e.DoorID+" "+o.Words[0]+" "+text, strings.TrimSpace("door "+id+" "+o.Words[0]+" "+strings.TrimSpace(plain+" "+tail))
		if plain == head && tail != "" {
			there = "door " + id + " " + o.Words[0] + " " + what
		}
		if why != "" {
			there += " because " + why
		}
		if tail == "" && (plain != head || len(strings.Fields(plain)) < 2) {
			e.DoorID = id
			e.righted = append(e.righted, say.F("taken as said at door %s", id))
			if o.shows {
				e.righted = nil // what is shown names its door
			}
			if why != "" {
				plain += " because " + why
			}
			return plain, false, nil
		}
		e.ask(&Unfinished{Offers: []string{there, here}, Question: say.F("%s is another door: which one is meant? send (1) %s, or (2) %s, or its number", id, there, here)})
		return text, true, nil
	}
	return text, false, nil
}

var (
	anyDoor = regexp.MustCompile(`(?i)(?:^|[\s,(])(` + doorID + `)\b`)
	toDoor  = regexp.MustCompile(`(?i)(?:^|[\s,]+)(?:at|for|on|in|of|door)(?:\s+door)?$`)
)

// askTwice asks whether an order is meant as it is said: a correction with a
// question mark.
func (e *Request) askTwice(o *Order, text string) bool {
	if o.Words[0] != "correct" || e.Msg.Joined || !strings.Contains(text, "?") {
		return false
	}
	order := strings.TrimSpace(o.Words[0] + " " + strings.Join(strings.Fields(strings.ReplaceAll(text, "?", " ")), " "))
	if e.DoorID != "" {
		order = "door " + e.DoorID + " " + order
	}
	e.ask(&Unfinished{Guess: order, Question: say.F("with a question mark nothing is corrected: is it so, %s? say yes, or no", order)})
	return true
}

// askTooCold asks whether a temperature is meant that voids the cure of a bond at
// one of some doors: a slip of a digit can't be taken back for long.
func (e *Request) askTooCold(ids []string, text string, coldest calc.Temperature) (asked bool, err error) {
	if e.Msg.Joined {
		return false, nil
	}
	for _, id := range ids {
		j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil || j == nil {
			return false, err
		}
		for _, b := range j.Door.Bonds {
			if !j.Curing() || coldest >= b.Adhesive.Lowest || !b.Void.IsZero() {
				continue
			}
			order := "temperature " + text
			if e.DoorID != "" {
				order = "door " + e.DoorID + " " + order
			}
			e.ask(&Unfinished{Guess: order, Keep: true, Question: say.F("%s is below the adhesive's lowest, %s, and voids the cure at %s: is it so? say yes, or no", coldest, b.Adhesive.Lowest, id)})
			return true, nil
		}
	}
	return false, nil
}

// deep is a cover that is asked about: more than most floors have. The project's
// own.
const deep = 300 * calc.Millimetre

// askDeep asks whether a cover is meant that few floors have: 800 may be a slip
// of 80.
func (e *Request) askDeep(r *jobs.ReadItem, text string) bool {
	if !strings.HasSuffix(r.Item, "-services") || r.None || e.Msg.Joined || r.Value.Length() < deep || r.Value.Length() > calc.Metre {
		return false
	}
	order := "door " + e.DoorID + " read " + text
	e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("%s to what lies nearest is more than most floors are thick: is it so? say yes, or read it again", r.Value)})
	return true
}

// askEarly asks whether a maker's word is meant that ends before the sheet's
// hours at its reference temperature have passed.
func (e *Request) askEarly(where, text string, until time.Time) (asked bool, err error) {
	j, err := e.Job()
	if err != nil || e.Msg.Joined {
		return false, err
	}
	for _, b := range j.Door.Bonds {
		base := b.From.Add(time.Duration(float64(b.Adhesive.Base) * float64(time.Hour)))
		if b.Where != where || !until.After(b.From) || !until.Before(base) {
			continue
		}
		e.ask(&Unfinished{Guess: "door " + e.DoorID + " word " + text, Question: say.F("%s is before the sheet's %s at %s have passed, which is at %s: does the written word say so, for this adhesive? say yes, or no",
			bot.Instant(until, e.Site), b.Adhesive.Base, b.Adhesive.Ref, bot.Instant(base, e.Site))})
		return true, nil
	}
	return false, nil
}

// askHours asks whether 9h behind a day is when a visit is or how long it takes.
func (e *Request) askHours(text string) bool {
	m := hoursBehind.FindStringSubmatch(text)
	if m == nil || e.Msg.Joined || strings.Contains(m[1], ":") {
		return false
	}
	if h, _ := strconv.Atoi(m[2]); h < 6 || h > 19 {
		return false
	}
	minutes := m[3]
	if minutes == "" {
		minutes = "00"
	}
	order := "door " + e.DoorID + " visit "
	at, long := order+m[1]+" "+m[2]+":"+minutes+m[4], order+text
	e.ask(&Unfinished{Offers: []string{at, long}, Question: say.F("is that at %s, or does it take so long? send (1) %s, or (2) %s, or its number", m[2]+":"+minutes, at, long)})
	return true
}

var hoursBehind = regexp.MustCompile(`(?i)^(.*?(?:day|tomorrow|today|mon|tue|wed|thu|fri|-\d\d))[\s,]+(?:at\s+)?(\d{1,2})\s*h\s*(\d\d)?\b(.*)$`)

// asksCover reports whether a cover was read on a heated floor, which is judged by
// its pipes, and not said to what.
func asksCover(j *jobs.Job, item, text string) bool {
	s := &j.Door.Spec
	return item == "floor-services" && s.Heated && !s.HasCover && coverTo(text) == "" && !saysNone.MatchString(text)
}

// askCover asks to what a cover was read.
func (e *Request) askCover(text string) {
	read, back := strings.Join([]string{"door", e.DoorID, "read floor-services", text, "pipe"}, " "), strings.Join([]string{"door", e.DoorID, "correct cover", text, "back"}, " ")
	e.ask(&Unfinished{Offers: []string{read, back}, Question: say.F("%s: to a pipe, or to the back of the slab? say pipe or back", lex.CutText(text, 40))})
}

// coverTo returns to what a text says that a cover was measured: pipe or back, ""
// if it says neither or both.
func coverTo(text string) string {
	switch pipe, back := saysPipe.MatchString(text), saysBack.MatchString(text); {
	case pipe && !back:
		return "pipe"
	case back && !pipe:
		return "back"
	}
	return ""
}

var (
	saysPipe = regexp.MustCompile(`(?i)\b(?:pipes?|tubes?|cables?|heating)\b`)
	saysBack = regexp.MustCompile(`(?i)\b(?:back|slab|underside)\b`)
	saysNone = regexp.MustCompile(`(?i)\bnone\b`)
)

// Trouble keeps what went wrong at a door, told in its thread, as a snag for the
// foreman, who is told at once; ok is false if the text tells of none.
func Trouble(ctx context.Context, d *desk.Desk, m bot.Message, j *jobs.Job) (out Outcome, ok bool, err error) {
	text := strings.Join(strings.Fields(strings.Trim(m.Text, " .!\n")), " ")
	hurt := harm.MatchString(text)
	if !hurt && !trouble.MatchString(text) || strings.HasSuffix(text, "?") || len(text) > 200 {
		return out, false, nil
	}
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: j.Site}
	stop := say.F("stop work there and keep clear until the foreman has seen it; a pipe, a cable or a tendon that may be hit is for whoever is licensed for it")
	if hurt {
		stop = say.F("stop work; where somebody is hurt, call for help first, by the emergency number")
	}
	err = e.Do(&jobs.OpenSnag{Text: text, Owner: j.Site.Told(&j.Door.Spec, "foreman", m.At)[0], Accident: true})
	if refusal, no := errors.AsType[*bot.RefusalError](err); no { // also to somebody who may open no snag
		stop, err = say.Lines(stop, say.Of(refusal.Unwrap())), nil
	}
	if err == nil {
		e.Say(bot.KindAnswer, stop)
	}
	return e.Outcome, true, err
}

// What people say where something went wrong, and where somebody is hurt.
var (
	harm    = regexp.MustCompile(`(?i)\b(?:hurts?|injur\w+|bleed\w*|unconscious|broke (?:his|her|my|a) \w+|(?:cut|crushed|trapped|pinched|caught) (?:his|her|my)|accident|electrocuted|electric shock|need help|ambulance)\b`)
	trouble = regexp.MustCompile(`(?i)\b(?:hit|drilled into|struck|cut through|nicked) (?:a|the|some|something|an)?\s*(?:\w+ )?(?:pipe|cable|wire|tendon|rebar|steel|bar|membrane|duct|tube)s?\b|\bdrilled (?:\w+ )?(?:too deep|too far|wrong|through|in the wrong)|\b(?:drilled|cut) (?:in |at )?(?:the )?wrong (?:place|spot|hole|side)|\b(?:pipe|cable|wire|tendon|tube)s? (?:was |were |is |got |has been )?(?:hit|damaged|burst|nicked|broken|leaking|leaks)\b|^water\b|\bwater (?:comes|coming|is coming|came|everywhere|leaks?)|\bleaf (?:\w+ )?(?:fell|dropped|tipped|slipped|is falling)|\b(?:plate|leaf|pins?|box) (?:does not|doesn['’]t|do not|don['’]t|won['’]t) fit\b|\bfloor is (?:wet|cracked|loose|hollow)\b|\b(?:glass|floor|slab|head|plate) (?:is )?(?:cracked|broke|broken|shattered)\b`)
)
