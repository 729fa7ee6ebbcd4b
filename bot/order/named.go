package order

import (
	"regexp"
	"strings"

	"heelpost/bot"
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

// doorAnd matches a question about a door that is named before it.
var doorAnd = regexp.MustCompile(`(?is)^(?:door\s+)?(` + doorID + `)[:,]?\s+(.+)$`)

// DoorAnd parts a question from the door that is named before it, id is "" if none
// is.
func DoorAnd(text string) (id, question string) {
	if m := doorAnd.FindStringSubmatch(strings.TrimSpace(OfDoor(text))); m != nil {
		return strings.ToUpper(m[1]), m[2]
	}
	return "", text
}
