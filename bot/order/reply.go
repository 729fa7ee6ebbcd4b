package order

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// Reply is what a message is to the order that waits for one. The zero Reply
// is none: the message is about something else, and what waits is dropped.
type Reply struct {
	Order string // the order with the reply in it, to be carried out
	Front string // the same, where only the front of the reply was understood
	Why   error  // why the message is no reply; what waits goes on waiting
	Rows  string // the lines of a door schedule so far, of which the message is one
	Other string // the order that opens another door, which the message describes
}

// ReplyTo takes a message as the reply to an order that waits for one. What it
// may be goes by what was asked: which of several, yes, who, an id, or a part
// of a door's description.
func ReplyTo(o *Unfinished, text string, n *survey.Names) Reply {
	if o.Guess != "" && lex.Agrees(text) && o.Text != "" {
		text = o.Guess
	}
	if o.Opens() && !isRows(text) {
		id, rest := idBefore(o, text)
		switch ordered, _ := FindOrder(rest); {
		case id == "" || ordered != nil:
		case !strings.EqualFold(id, o.opening()) && strings.ContainsAny(rest, "0123456789"):
			return Reply{Other: opens + text}
		case !strings.EqualFold(id, o.opening()):
			return Reply{Why: say.F("%s is another door than %s", strings.ToUpper(id), o.opening())}
		default:
			text = rest
		}
	}
	switch {
	case len(o.Offers) > 0 && o.Guess != "" && lex.Agrees(text):
		return Reply{Order: o.Guess}
	case len(o.Offers) > 0:
		return oneOffered(o, text)
	case o.Text == "" && lex.Agrees(text):
		return Reply{Order: o.Guess}
	case o.Text == "" && moreRows(o, text) != "":
		return Reply{Rows: moreRows(o, text)}
	case o.Before == untilWhen:
		return expiryNamed(o, text)
	case isRows(text):
		return Reply{} // of another door
	case o.Text == "" && o.Opens() && len(o.Offers) == 0:
		return Reply{Why: say.F("say yes or no to that first")}
	case o.Text == "":
		return Reply{}
	case o.Who:
		return personNamed(o, text, n)
	case o.Day != "":
		return dayNamed(o, text)
	case o.Part && leavesOut(text):
		return Reply{Order: o.Text + o.After}
	case o.Text == "door open":
		return doorNamed(o, text)
	}
	return described(o, text, n)
}

// idBefore parts the id of a door from the front of a reply. What may be a class of
// resistance to fire, as E-30, is an id where the door that waits has one like it.
func idBefore(o *Unfinished, text string) (id, rest string) {
	m := idFirst.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return "", text
	}
	letters := func(id string) string { return strings.ToLower(strings.TrimRight(id, "0123456789")) }
	if survey.IsRating(m[1]) && letters(m[1]) != letters(o.opening()) {
		return "", text
	}
	return m[1], m[2]
}

// oneOffered takes one of what was offered.
func oneOffered(o *Unfinished, text string) Reply {
	if i, ok := ask.Ordinal(text); ok && (i < 1 || i > len(o.Offers)) {
		return Reply{Why: say.F("there is no %s among them", strconv.Itoa(i))}
	}
	if lex.Agrees(text) && len(o.Offers) > 1 {
		return Reply{Why: say.F("yes to which? say its number, 1 to %s", len(o.Offers))}
	}
	return Reply{Order: chosen(o, text)}
}

// personNamed takes the id of somebody of the site.
func personNamed(o *Unfinished, text string, n *survey.Names) Reply {
	id := strings.Trim(text, " @.!\n")
	if !n.Person(id) {
		return Reply{Why: say.F("name one person of the site, as @ana")}
	}
	return Reply{Order: o.Text + " @" + id + o.After}
}

// dayNamed takes the day that was asked for, or an hour of the one that was named.
func dayNamed(o *Unfinished, text string) Reply {
	day := strings.TrimPrefix(strings.ToLower(strings.Trim(text, " .!\n")), "by ")
	switch other, _ := FindOrder(text); {
	case other != nil || len(strings.Fields(day)) > 4:
		return Reply{}
	case hourOnly.MatchString(day):
		day = o.Day + " " + day
	case !namesDay.MatchString(day) && day != "today":
		return Reply{Why: say.F("name a day, as Friday or 2027-03-05")}
	}
	return Reply{Order: o.Text + " by " + day + o.After}
}

var hourOnly = regexp.MustCompile(`^(?:at )?\d{1,2}:\d\d$`)

// doorNamed takes the id of a door to open, which may be any word but an order
// or a question.
func doorNamed(o *Unfinished, text string) Reply {
	if other, _ := FindOrder(text); other != nil || verb.Questions.Ask(text, nil).OK() {
		return Reply{Why: say.F("that is no door's id")}
	}
	return Reply{Order: o.Text + " " + text + o.After}
}

// described takes a part of a door's description, with or without the word
// that was asked for before it: 65, or setback 65.
func described(o *Unfinished, text string, n *survey.Names) (r Reply) {
	text = itIs.ReplaceAllString(text, "")
	if strings.HasSuffix(o.Question.String(), jobs.FieldNamed("status").Ask) && noneOfThem.MatchString(text) && saysNone.MatchString(text) {
		text = "ordinary"
	}
	before, evidence := survey.BeforeEvidence(o.Text)
	tries := []string{text, o.Before + " " + text}
	if standsForMore(o.Before) {
		slices.Reverse(tries)
	}
	if !mayBeNamed(o, text, n) {
		tries = []string{text}
	}
	for _, typed := range tries {
		s, err := survey.Read(typed, new(jobs.Spec), n)
		order := before + " " + typed + evidence + o.After
		if err == nil && s.Parts > 0 {
			return Reply{Order: order}
		} else if err == nil {
			err = say.F("that says nothing of the door")
		}
		if s.Parts > 0 && r.Front == "" {
			r.Front = order
		}
		if typed == text {
			r.Why = err
		}
	}
	return r
}

// itIs matches what stands before a part of a description as people say it: its FD30.
var itIs = regexp.MustCompile(`(?i)^(?:it['’]?s|it is|it has|the door is|that is|that['’]?s) +`)

// noneOfThem matches that a door is neither fire, smoke nor escape door, where that
// was asked.
var noneOfThem = regexp.MustCompile(`(?i)^(?:(?:just|only|an?|the|no|nope|neither|none|nothing|plain|normal|standard|simple|usual|ordinary|one|of|them|these|those|special|door)[ ,.!]*)+$`)

var saysNone = regexp.MustCompile(`(?i)^(?:just |only |an? |the )*(?:no|nope|none|neither|nothing|plain|normal|standard|simple|usual|ordinary)\b`)

// standsForMore reports whether a reply without the word that was asked for
// before it may be read as more than it answers: 1068x2372 alone is a leaf,
// stone a floor or a sheet. So it is first read behind its word.
func standsForMore(before string) bool {
	return slices.Contains([]string{"opening", "floor", "sheet", "else"}, before)
}

// mayBeNamed reports whether a reply may be what its word takes for a name.
// Behind floor, sheet and evidence anything would be one, also a remark.
func mayBeNamed(o *Unfinished, text string, n *survey.Names) bool {
	known := n.Floors
	switch {
	case strings.HasPrefix(strings.ToLower(o.Before), "evidence"):
		return namesEvidence(text)
	case o.Before == "sheet":
		known = n.Sheets
	case o.Before != "floor":
		return true
	}
	tokens := lex.Lex(text, nil)
	return len(tokens) == 1 || len(tokens) > 1 && slices.Contains(known, tokens[0].Word)
}

// namesEvidence reports whether a reply may be what a test evidence is called:
// it has a number, and is neither order nor question.
func namesEvidence(text string) bool {
	o, _ := FindOrder(text)
	return o == nil && verb.Questions.VerbIn(text) == nil && strings.ContainsAny(text, "0123456789")
}

// chosen returns the offer that a reply chooses by its number or by a word that
// is in no other, "" if it chooses none.
func chosen(o *Unfinished, reply string) string {
	if n, ok := ask.Ordinal(reply); ok && 1 <= n && n <= len(o.Offers) {
		return o.Offers[n-1]
	}
	has := func(offer string) bool {
		offer, _ = cutNote(offer) // what was remarked chooses nothing
		return slices.ContainsFunc(strings.Fields(offer), func(w string) bool { return strings.EqualFold(w, strings.Trim(reply, " .!\n")) })
	}
	if i := slices.IndexFunc(o.Offers, has); i >= 0 && !slices.ContainsFunc(o.Offers[i+1:], has) {
		return o.Offers[i]
	}
	return ""
}

// Settles reports whether a reply that may be no reply at all answers a
// question that is about an order as a whole.
func Settles(o *Unfinished, reply string) bool {
	return len(o.Offers) > 0 && chosen(o, reply) != "" || strings.EqualFold(strings.Trim(reply, " .!\n"), "yes")
}

// Declines reports whether a reply says no to what only takes a yes.
func Declines(o *Unfinished, reply string) bool {
	no := slices.Contains(noes, strings.ToLower(strings.Trim(reply, " .!\n")))
	return no && o != nil && o.Text == "" && o.Guess != ""
}

// noes are what people say for no.
var noes = []string{"no", "nope", "don't", "do not", "no thanks", "not so", "it is not so"}

// leavesOut reports whether a reply leaves out what was not understood.
func leavesOut(reply string) bool {
	switch strings.ToLower(strings.Trim(reply, " \t\n.!,")) {
	case "leave it out", "leave that out", "left out", "nothing", "skip it":
		return true
	}
	return false
}
