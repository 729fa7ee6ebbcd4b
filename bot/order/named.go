package order

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// What stands before and behind a door's id where an order names its door outside
// its thread: card A-3, snag B-3 scratch, photo 7 site folder at B-3.
var (
	doorFirst = regexp.MustCompile(`(?is)^(?:(?:at|for|on|of)\s+)?(?:door\s+)?(` + doorID + `)\b[:,]?\s*(.*)$`)
	doorLast  = regexp.MustCompile(`(?is)^(.*?)\s+(?:at|for|on|of)\s+(?:door\s+)?(` + doorID + `)[\s.!?]*$`)
)

// doorBehind takes the door that an order names behind its words or at its end,
// if there is one of that id, and returns what is left.
func (e *Request) doorBehind(o *Order, text string) (string, error) {
	id, rest := "", ""
	if m := doorFirst.FindStringSubmatch(text); m != nil {
		id, rest = m[1], m[2]
	} else if m := doorLast.FindStringSubmatch(text); m != nil && o.Words[0] != "correct" {
		id, rest = m[2], m[1]
	} else if f := strings.Fields(text); o.shows && len(f) == 2 { // list survey A-101
		id, rest = strings.Trim(f[1], "?.!"), f[0]
	}
	if id == "" || o.Words[0] == "rename to" {
		return text, nil
	}
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, strings.ToUpper(id)))
	if j == nil || err != nil {
		return text, err
	}
	e.DoorID = j.Door.Spec.ID
	return rest, nil
}

// What is told of a door whose id stands within it, and how that is told at it:
// rename D-11 to E-11, take back call off D-2 because it was right, D-21 tick 3.
var tellsOfDoor = []struct {
	told *regexp.Regexp
	is   string
}{
	{regexp.MustCompile(`(?is)^rename\s+(?:door\s+)?(` + doorID + `)\s+(?:to|as|into)\s+(.+)$`), "door $1 rename to $2"},
	{regexp.MustCompile(`(?is)^(take back (?:the )?(?:call off|calling off|hand ?over))\s+(?:of\s+|for\s+|at\s+)?(?:door\s+)?(` + doorID + `)\b[,:]?\s*(.*)$`), "door $2 $1 $3"},
}

// idFirst matches a door's id before something else.
var idFirst = regexp.MustCompile(`(?is)^(` + doorID + `)[:,]?\s+(.+)$`)

// atItsDoor returns what is told of a door whose id stands within it as it is told
// at the door.
func atItsDoor(text string) string {
	for _, t := range tellsOfDoor {
		if t.told.MatchString(text) {
			return strings.TrimSpace(t.told.ReplaceAllString(text, t.is))
		}
	}
	if m := doorsAhead.FindStringSubmatch(text); m != nil { // E-4 and E-5 tick datum
		what, why := splitBecause(strings.TrimLeft(text[len(m[0]):], " ,;:"))
		if o, _ := FindOrder(what); o != nil && o.atDoor || peopleFor.MatchString(what) {
			if text = what + " for " + m[1]; why != "" {
				text += " because " + why
			}
			return text
		}
	}
	if m := idFirst.FindStringSubmatch(text); m != nil {
		if o, _ := FindOrder(m[2]); o != nil && (o.atDoor || o.Words[0] == "photos" || o.Words[0] == "visits") {
			return "door " + m[1] + " " + m[2]
		}
	}
	return text
}

// mostShown is how many doors an order shows one after the other.
const mostShown = 10

// showEach shows each of several doors that an order names: log D-1 D-2, list
// survey D-1 to D-3. done is false where it names one at most.
func (e *Request) showEach(o *Order, text string) (done bool, err error) {
	rest, doors := splitDoors(" " + strings.TrimRight(text, " ?.!"))
	if !o.shows || !o.atDoor && o.Words[0] != "photos" || doors == "" {
		return false, nil
	}
	ids, err := e.doorsNamed(strings.ToUpper(doors))
	if err != nil || len(ids) < 2 {
		return err != nil, err
	}
	if len(ids) > mostShown {
		return true, bot.Refuse(say.F("these are %s doors: at most %s at once are shown one by one; board shows many", len(ids), mostShown))
	}
	for _, id := range ids {
		if e.DoorID = id; o.Words[0] == "photos" {
			rest = ""
		}
		first := len(e.Posts)
		if err := o.run(e, strings.TrimSpace(rest)); err != nil {
			return true, err
		}
		if p := &e.Posts[first]; o.Words[0] != "card" && o.Words[0] != "photos" { // which name their door
			p.Text = e.Desk.Language.Say(say.F("door %s", id)) + "\n" + p.Text
		}
	}
	return true, nil
}

// What people ask of a door by its id, and how it is asked in its thread.
var ofDoor = []struct {
	asked *regexp.Regexp
	is    string
}{
	{regexp.MustCompile(`(?i)^(?:door )?(` + doorID + `)[\s?.!]*$`), "door $1 card"},
	{regexp.MustCompile(`(?i)^when (?:is|will|can|are) (?:we (?:hang|load) )?(?:door )?(` + doorID + `)(?: be)?(?: ready| done| hard| cured| through| over)?[\s?.!]*$`), "door $1 cure"},
	{regexp.MustCompile(`(?i)^(?:is )(?:door )?(` + doorID + `) (?:ready|done|hard|cured)(?: yet)?[\s?.!]*$`), "door $1 cure"},
	{regexp.MustCompile(`(?i)^(?:so )?what(?:['’]?s| is)?(?: (?:holding|holds|keeping|keeps|blocking|blocks|left|next|open)(?: up| back)?(?: at| on| for| with)?)(?: door)? (` + doorID + `)(?: up| back)?[\s?.!]*$`), "door $1 next"},
	{regexp.MustCompile(`(?i)^(?:what is|what['’]?s|why is) (?:door )?(` + doorID + `) (?:waiting for|held(?: up)?|stuck)[\s?.!]*$`), "door $1 next"},
	{regexp.MustCompile(`(?i)^(?:how far|where) (?:is|are)(?: we)?(?: with| at| on)? (?:door )?(` + doorID + `)[\s?.!]*$`), "door $1 next"},
	{regexp.MustCompile(`(?i)^who(?:['’]?s| is| works) on (?:door )?(` + doorID + `)[\s?.!]*$`), "who is at $1"},
}

// OfDoor returns what is asked of a door by its id as it is asked at the door.
func OfDoor(text string) string {
	for _, q := range ofDoor {
		if m := q.asked.FindStringSubmatch(strings.TrimSpace(text)); m != nil {
			return strings.Replace(q.is, "$1", strings.ToUpper(m[1]), 1)
		}
	}
	return text
}

// DoorsAnd parts what is said from the doors that are named in it, each once: who
// drilled E-4, plate centre of D-2, has E-4 a photo.
func DoorsAnd(text string) (ids []string, question string) {
	text = strings.TrimSpace(OfDoor(text))
	for _, m := range anyDoor.FindAllStringSubmatch(text, -1) {
		if id := strings.ToUpper(m[1]); !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	if len(ids) != 1 {
		return ids, text
	}
	question = strings.TrimLeft(withoutDoor.ReplaceAllString(text, " "), " :,")
	return ids, strings.Join(strings.Fields(question), " ")
}

// withoutDoor matches a door's id with what leads to it.
var withoutDoor = regexp.MustCompile(`(?i)(?:^|\s+)(?:(?:at|for|on|of|in|from|to)\s+)?(?:the\s+)?(?:door\s+)?` + doorID + `\b(?:['’]s)?`)

// OfDoors answers what names doors, and is no order and no question that is known: it
// says what is, and of what is told of one asks whether that is a snag. there are those
// of the doors that there are; ok is false if it is of no door of the site.
func OfDoors(ctx context.Context, d *desk.Desk, m bot.Message, ids, there []string, said string) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, Site: d.SiteFor(&m)}
	if e.Site == nil {
		return out, false, nil
	}
	switch {
	case len(there) == 0:
		for j, err := range d.Counted(ctx, e.Site, "group/"+jobs.IDGroup(ids[0])) {
			if err != nil || j == nil {
				return out, false, err
			}
			e.Say(bot.KindError, say.F("there is no door %s here", ids[0]))
			return e.Outcome, true, nil
		}
		return out, false, nil
	case len(ids) > 1:
		e.Say(bot.KindError, say.F("%s are doors, and what is said of them is no order that I know: one of several doors is said as %s or %s; board %s shows them", say.Names(", ", ids...),
			say.Plain(words("tick datum for", ids[0], ids[1])), say.Plain(words("visit Thursday 9:00 for", ids[0], ids[1])), say.Names(" ", ids...)))
		return e.Outcome, true, nil
	}
	shows := []any{there[0], say.Plain(words("card", there[0])), say.Plain(words("next", there[0])), say.Plain(words("log", there[0]))}
	if idFirst.MatchString(m.Text) && len(strings.Fields(said)) > 1 && !strings.Contains(said, "?") && !asksSoon.MatchString(said) && !strings.ContainsAny(said, "0123456789") {
		order := "door " + there[0] + " snag " + said
		e.ask(&Unfinished{Guess: order, Question: say.F("%s is a door, and that is no order of it that I know: shall it be a snag, as %s? say yes, or no; %s shows its numbers, %s what is open, %s its story", append([]any{shows[0], order}, shows[1:]...)...)})
		return e.Outcome, true, nil
	}
	e.Say(bot.KindError, say.F("%s is a door, and %q is no order and no question of it that I know: %s shows its numbers, %s what is open, %s its story", append([]any{shows[0], lex.CutText(said, 60)}, shows[1:]...)...))
	return e.Outcome, true, nil
}
