package order

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
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

// othersNamed refuses an order, or asks whether it is meant so, that is said outside a
// thread and names another door than its own within it: visit Thursday for A-1 and
// Friday for A-2. Reasons and notes may name any.
func (e *Request) othersNamed(o *Order, text string) (asked bool, err error) {
	what, _ := splitBecause(text)
	what, _ = cutNote(what)
	if o.shows || !o.atDoor || e.DoorID == "" || e.Msg.Thread != "" || e.Msg.Joined || o.Words[0] == "rename to" || o.Words[0] == "correct" {
		return false, nil
	}
	var others []string
	for _, m := range anyDoor.FindAllStringSubmatch(what, -1) {
		id := strings.ToUpper(m[1])
		j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil {
			return false, err
		}
		if j != nil && !strings.EqualFold(j.Door.Spec.ID, e.DoorID) && !slices.Contains(others, id) {
			others = append(others, id)
		}
	}
	if len(others) == 0 {
		return false, nil
	}
	if o.Words[0] == "snag" || o.Words[0] == "close" { // its text may tell of another
		order := "door " + e.DoorID + " " + o.Words[0] + " " + text
		e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("%s is another door: is all of that said of %s, as %s? say yes, or say it of each by itself", say.Names(", ", others...), e.DoorID, order)})
		return true, nil
	}
	return true, bot.Refuse(say.F("%s are named, and it is not plain what is said of which: say it of each by itself, as %s", say.Names(", ", append([]string{e.DoorID}, others...)...), say.Plain("door "+e.DoorID+" "+o.Usage)))
}

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
// some doors: a slip of a digit can't be taken back for long. Until it is answered
// those doors count it. What would be refused is not asked about.
func (e *Request) askTooCold(ids []string, text string, read *jobs.ReadWarmth, at time.Time) (asked bool, err error) {
	coldest, lowest := read.T, calc.Temperature(0)
	if read.Min != nil {
		coldest = min(coldest, *read.Min)
	}
	var doubted []string
	for _, id := range ids {
		j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, id))
		if err != nil || j == nil {
			return false, err
		}
		if _, err := jobs.Decide(j.Door, &jobs.Earlier{Command: read, At: at}, jobs.Context{Sheet: j.Sheet, Site: j.Site, Now: e.Msg.At, Who: e.Msg.Person}); err != nil {
			continue
		}
		for _, b := range j.Door.Bonds {
			if !j.Curing() || coldest >= b.Adhesive.Lowest || !b.Void.IsZero() {
				continue
			}
			doubted, lowest = append(doubted, id), b.Adhesive.Lowest
			break
		}
	}
	if len(doubted) == 0 {
		return false, nil
	}
	order := []string{"temperature", text}
	if e.DoorID != "" {
		order = []string{"door", e.DoorID, "temperature", text}
	}
	e.ask(&Unfinished{Guess: strings.Join(append(order, tell.IsSo), " "), No: strings.Join(append(order, tell.IsNotSo), " "), AtDoors: doubted, Keep: true,
		Question: say.F("%s is below the adhesive's lowest, %s, and voids the cure at %s: is it so? say yes, or no", coldest, lowest, say.Names(", ", doubted...))})
	_, _, err = e.each(doubted, func(string) jobs.Command {
		return &jobs.Earlier{Command: &jobs.DoubtWarmth{ReadWarmth: *read}, At: at}
	})
	return true, err
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

// asksCover reports whether it is open to what a cover was read: on a heated floor,
// which is judged by its pipes, and where it was said of the cover that stands,
// wherever it is not said right behind the number, as 48 pipe; on another where the
// rest speaks of it, as 48, no pipe found.
func asksCover(j *jobs.Job, r *jobs.ReadItem, typed string) bool {
	s := &j.Door.Spec
	typed, _ = cutNote(typed)
	return r.Item == "floor-services" && !r.None && r.To == "" && (s.Heated || s.HasCover && s.CoverTo != "" || saysTo.MatchString(typed))
}

// askCover asks to what a cover was read.
func (e *Request) askCover(r *jobs.ReadItem, typed string) {
	var offers []string
	for _, to := range []string{"pipe", "back"} {
		read := []string{"door", e.DoorID, "read floor-services", r.Value.String(), "to", to}
		if r.Note != "" {
			read = append(read, "note", "("+r.Note+")")
		}
		offers = append(offers, strings.Join(read, " "))
	}
	e.ask(&Unfinished{Offers: offers, Question: pipeOrBack(lex.CutText(typed, 40))})
}

// pipeOrBack asks to what a cover was measured.
func pipeOrBack(cover string) say.Text {
	return say.F("%s: to a pipe, or to the back of the slab? say pipe or back", cover)
}

// coverSaidTo returns to what a cover is said to be measured, pipe or back, right
// behind its number: 45 over the pipe, and not 45, no pipe found; "" if it is not.
func coverSaidTo(note string) string {
	switch m := toWhat.FindStringSubmatch(note); {
	case m == nil, m[1] == "" && saysTo.MatchString(strings.TrimPrefix(note, m[0])): // 48 pipe is at the back
		return ""
	case saysBack.MatchString(m[2]):
		return "back"
	}
	return "pipe"
}

var (
	saysTo   = regexp.MustCompile(`(?i)\b(?:pipes?|tubes?|cables?|heating|back|slab|underside)\b`)
	saysBack = regexp.MustCompile(`(?i)^(?:back|slab|underside)$`)
)
