package order

import (
	"context"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// said is what people say of work at a door, whole, and the orders that it may
// mean: of several, the first that the door's list is open for.
type said struct {
	is     *regexp.Regexp
	orders []string
}

// whole matches a text that is nothing but a report.
func whole(words string) *regexp.Regexp {
	return regexp.MustCompile(strings.Replace(`(?i)^(?:(?:ok|so|all|both|now|the|plates?|we|i|have|it|is|are|has been|was)[ ,]+)*(?:REPORT)(?:[ ,]+(?:is|are|it|in|now|all|done|finished|ok|fine|up|already|today|both))*[.!\s]*$`, "REPORT", words, 1))
}

// reports are what people say of work that is done, instead of its order.
var reports = []said{
	{whole(`(?:floor )?(?:dry[- ]?fit(?:ted)?|fitted dry)(?: (?:at the )?floor)?`), []string{"tick floor-dry-fit", "tick head-dry-fit"}},
	{whole(`head (?:plate )?(?:dry[- ]?fit(?:ted)?|fitted dry)`), []string{"tick head-dry-fit"}},
	{whole(`(?:holes? )?(?:drilled|drilling|bored)(?: (?:the |all |both )*holes?)?`), []string{"tick floor-drilled", "tick head-drilled"}},
	{whole(`(?:floor (?:holes? )?(?:is )?drilled|drilled (?:the )?floor(?: holes?)?)`), []string{"tick floor-drilled"}},
	{whole(`(?:head (?:holes? )?(?:is )?drilled|drilled (?:the )?head(?: holes?)?|pilot holes(?: drilled)?)`), []string{"tick head-drilled"}},
	{whole(`(?:glued|bonded|bedded)(?: (?:the )?plate| it| in| down)?`), []string{"bond floor", "bond head"}},
	{whole(`(?:floor (?:plate )?(?:is )?(?:glued|bonded|bedded)(?: in| down)?|(?:glued|bonded|bedded) (?:the )?floor(?: plate)?(?: in| down)?)`), []string{"bond floor"}},
	{whole(`(?:head (?:plate )?(?:is )?(?:glued|bonded)(?: in| up)?|(?:glued|bonded) (?:the )?head(?: plate)?(?: in| up)?)`), []string{"bond head"}},
	{whole(`floor plate(?: is)? (?:in(?: place)?|down)`), []string{"bond floor", "tick floor-dry-fit", "tick floor-fixed"}},
	{whole(`head plate(?: is)? (?:in(?: place)?|up|on|screwed(?: up| on)?|fixed)`), []string{"bond head", "tick head-fixed", "tick head-dry-fit"}},
	{whole(`floor plate(?: is)? (?:screwed(?: down)?|fixed)`), []string{"tick floor-fixed"}},
	{whole(`(?:floor )?heating(?: is)? (?:off|switched off|turned off)|heating off`), []string{"tick heating"}},
	{whole(`(?:leaf|door)(?: is)? (?:stood|stands|standing)(?: up)?`), []string{"tick stood"}},
	{whole(`(?:leaf|door)(?: is)? parked|parked`), []string{"tick parked"}},
	{whole(`(?:leaf )?shown(?: to (?:the )?client)?`), []string{"tick shown"}},
	{whole(`ordered|leaf ordered`), []string{"tick ordered"}},
}

// What else is said of a door instead of its order.
var (
	numbersDone = regexp.MustCompile(`(?i)^(?:items? )?(\d+(?:(?:\s*,\s*|\s+and\s+|\s*&\s*|\s+|\s*[-–]\s*)\d+)+)\s+(?:are |is |all |both )*(?:done|ok|ticked|checked|finished)[.!\s]*$`)
	heatingOn   = regexp.MustCompile(`(?i)\b(?:heating|ufh)(?: (?:is|was|are|has|been|came|come|got|switched|turned|put|left|gone|still|back|now|again))* (?:on|running|warm)\b|\b(?:switched|turned|put|left|got) (?:on |back on )(?:the )?(?:floor |underfloor )?(?:heating|ufh)\b|\b(?:heating|ufh) (?:is|was|has)(?: not|n['’]?t)(?: been| yet)*(?: switched| turned)? off\b`)
	massSaid    = regexp.MustCompile(`(?i)^(?:(?:the|leaf|door|its?|is|was|mass|weight|it['’]?s|weighs?|weighed|came|comes|out|at|by|scales?|say|says|now|in|fact) )*(\d+(?:[.,]\d+)?) ?(?:kg|kilos?)?(?: weighed)?[.!\s]*$`)
	massWord    = regexp.MustCompile(`(?i)\b(?:mass|weight|weigh\w*|scales?)\b|\d ?(?:kg|kilos?)\b`)
	asksWhether = regexp.MustCompile(`(?i)^(?:is|was|were|are|did|has|have) (?:(?:it|we|they|you|the|plate|been) )*`)
	heatingThen = regexp.MustCompile(`(?i)\?|\b(?:tomorrow|later|tonight|when|if|until|after|before|will|once|not on|never on)\b`)
	closesIn    = regexp.MustCompile(`(?i)^(?:it |leaf |the leaf |door )?(?:closes|closed|shuts|closing)(?: time)?(?: is| in|:)? (\d+(?:[.,]\d+)?) ?(?:s|sec\w*)[.!\s]*$`)
	coverWas    = regexp.MustCompile(`(?i)^(?:the )?cover (?:was|is|read|measured) (\d+(?:[.,]\d+)?(?: ?mm)?)(?: (?:to |over )?(?:the )?(?:pipe|back))?[.!\s]*$`)
	doneAtEnd   = regexp.MustCompile(`(?i)^([a-z][a-z -]+) (?:is |are )?(?:checked|done|finished|ticked)[.!\s]*$`)
	wordsFigure = regexp.MustCompile(`(?i)^([a-z]+) ([a-z]+)(?: is|:| =)? (\d+(?:[.,]\d+)?(?:(?:[ -]\d+)?/\d+)?(?: ?(?:mm|cm|inch(?:es)?|in|m/s|["″sn]))?)[.!\s]*$`)
)

// Report takes what people say of work at a door, as drilled, glued, heating off,
// lead top 8, for the order that it may mean, and asks. ok is false if the text is
// no such report.
func Report(ctx context.Context, d *desk.Desk, m bot.Message, j *jobs.Job) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: j.Site}
	text := strings.Join(strings.Fields(m.Text), " ")
	if e.spoiltSaid(j, text) {
		return e.Outcome, true, nil
	}
	if asked := strings.TrimRight(text, " ?"); asked != text || asksSoon.MatchString(text) {
		return e.askedDone(j, reported(j, asksWhether.ReplaceAllString(asked, "")))
	}
	order := reported(j, text)
	if it := j.Item("heating"); it != nil && HeatingOn(text) {
		if order = "untick heating because it is on again"; !it.State.Settled() {
			e.Say(bot.KindAnswer, say.F("%s stays open: %s", it.ID, it.Text))
			return e.Outcome, true, nil
		}
	}
	if order != "" {
		err := e.didYouMean("", order)
		return e.Outcome, true, err
	}
	if found := leafIs.FindStringSubmatch(text); found != nil {
		e.askSize(j, found[1], found[2], "")
		return e.Outcome, true, nil
	}
	if found := coverWas.FindStringSubmatch(text); found != nil {
		e.Say(bot.KindError, say.F("a cover is read: say read floor-services %s to pipe, or to back", found[1]))
		return e.Outcome, true, nil
	}
	if found := doneAtEnd.FindStringSubmatch(text); found != nil && len(strings.Fields(found[1])) == 1 && !namesItem(j, found[1]) && !doneWords[strings.ToLower(found[1])] {
		e.Say(bot.KindError, noItem(strings.ToLower(found[1]), j.Items()))
		return e.Outcome, true, nil
	}
	return out, false, nil
}

// askedDone tells whether what a report would be of is done: was it bonded.
func (e *Request) askedDone(j *jobs.Job, order string) (out Outcome, ok bool, err error) {
	if order == "" {
		return out, false, nil
	}
	it := j.Item(itemOf(order))
	switch {
	case it == nil:
		return out, false, nil
	case it.State.Settled():
		e.Say(bot.KindAnswer, say.F("yes: %s, by @%s on %s", it.ID, it.State.By, bot.Instant(it.State.At, j.Site)))
	default:
		e.Say(bot.KindAnswer, say.F("not yet: %s is open", it.ID))
	}
	return e.Outcome, true, nil
}

// HeatingOn reports whether a text tells that the heating runs, or runs again.
func HeatingOn(text string) bool {
	return heatingOn.MatchString(text) && !heatingThen.MatchString(text) && !asking.MatchString(text)
}

// SaysMass reports whether a text may tell what a leaf weighs.
func SaysMass(text string) bool { return massSaid.MatchString(text) && massWord.MatchString(text) }

// reported returns the order that a report means, "" if it is none.
func reported(j *jobs.Job, text string) string {
	for _, r := range reports {
		if !r.is.MatchString(text) {
			continue
		}
		for _, order := range r.orders {
			if isOpenFor(j, order) {
				return order
			}
		}
		for _, order := range r.orders { // which says that it is done, or what it waits for
			if it := j.Item(itemOf(order)); it != nil {
				return order
			}
		}
	}
	if m := numbersDone.FindStringSubmatch(text); m != nil {
		return words("tick", m[1])
	}
	if m := closesIn.FindStringSubmatch(text); m != nil {
		return words("read closing-time", m[1])
	}
	if m := massSaid.FindStringSubmatch(text); m != nil && SaysMass(text) {
		return words("correct mass", m[1], "kg")
	}
	if m := wordsFigure.FindStringSubmatch(text); m != nil {
		if it := j.Item(strings.ToLower(m[1] + "-" + m[2])); it != nil && it.Kind == jobs.Reading {
			return words("read", it.ID, m[3])
		}
	}
	return ""
}

func words(of ...string) string { return strings.Join(of, " ") }

// itemOf returns the item that an order of a report settles.
func itemOf(order string) string {
	what, item, _ := strings.Cut(order, " ")
	if what == "bond" {
		return item + "-bonded"
	}
	return item
}

// isOpenFor reports whether an order of a report settles an item that is open: a
// plate is bonded with what is mixed for it.
func isOpenFor(j *jobs.Job, order string) bool {
	it := j.Item(itemOf(order))
	if it == nil || it.State.Settled() {
		return false
	}
	where, bond := strings.CutPrefix(order, "bond ")
	return !bond || slices.ContainsFunc(j.Door.Mixes, func(m jobs.Mix) bool { return m.Where == where })
}

// namesItem reports whether a word is an item of the door, or the number of one.
func namesItem(j *jobs.Job, word string) bool {
	if n, err := strconv.Atoi(word); err == nil {
		return n > 0 && n <= len(j.Items())
	}
	return placeOf(strings.ToLower(word), j.Items()) >= 0 || ending(strings.ToLower(word), j.Items()) >= 0
}
