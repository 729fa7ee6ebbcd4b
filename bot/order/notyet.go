package order

import (
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// notYet deals with what is said behind an order that settles something, as tick
// does: what says that it is not so is refused, a time to come, a doubt or a but is
// asked about. order is the whole of it up to the remark, which is returned. Behind
// note it is only a remark.
func (e *Request) notYet(order, remark string) (note string, asked bool, err error) {
	remark = strings.Trim(remark, " ,;:")
	note, said := strings.CutPrefix(remark, "note ")
	short := lex.CutText(remark, 40)
	switch {
	case said || remark == "" || affirmed.MatchString(remark):
		return note, false, nil
	case deniesDone.MatchString(remark):
		return "", false, deniedDone(order, remark)
	case !opensMore.MatchString(remark):
		return note, false, nil
	}
	whole := strings.Join([]string{"door", e.DoorID, order, "note", remark}, " ")
	e.ask(&Unfinished{Guess: whole, Offers: []string{whole}, Question: say.F("%s: is all of it done? say yes and it is, with %q as the remark; say no if it is not", order, short)},
		bot.Button{Label: e.Desk.Language.Say(say.F("Yes")), Say: whole})
	return "", true, nil
}

// deniedDone refuses a remark by which something is not done, nil for any other.
func deniedDone(order, remark string) error {
	if !deniesDone.MatchString(remark) {
		return nil
	}
	return bot.Refuse(say.F("%s says that it is done, and %q says something else: say it when it is, with what was done as the remark", order, lex.CutText(remark, 40)))
}

// deniesDone matches a remark by which something is not done, or not all of it;
// opensMore one by which it may not be.
var (
	deniesDone = regexp.MustCompile(`(?i)^\W*(?:(?:is|was|are|it's|it is|still|sadly)\s+)*(?:not|isn['’]?t|wasn['’]?t|nearly|almost|half|partly|except|only|minus)\b|\b(?:not|n['’]t)\s+(?:\w+\s+)?(?:done|ready|finished|yet|taken|made|all|polished|closed|fixed)\b|\b(?:almost|nearly|half) (?:\w+ed|done|ready)\b|^\W*(?:if|when|once|unless|until|as soon as|asap|for now|latest|wrong)\b|^\W*by (?:tomorrow|tonight|noon|next|the end|mon|tue|wed|thu|fri|sat|sun|\d)|^\W*(?:lost|gone|deleted|missing|blurred|to ?do|pending|tomorrow|tonight|later|soon|next (?:week|time|day))\W*$`)
	opensMore  = regexp.MustCompile(`(?i)\?|\b(?:but|except|apart from|besides|tomorrow|tonight|later|soon|unless|once|until|wait\w*|maybe|perhaps|probably|pending|to be|lost|deleted|almost|nearly|partly|mostly|needs?|will|should|still)\b`)
)
