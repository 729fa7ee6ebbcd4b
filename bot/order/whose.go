package order

import (
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// ruledOut refuses an order that names somebody only to rule them out, or as one of
// two, or if they can: whose it is must not be guessed.
func ruledOut(text, usage string) error {
	m := outBefore.FindString(text)
	if m == "" {
		m = outBehind.FindString(text)
	}
	if m == "" {
		return nil
	}
	return bot.Refuse(say.F("%q leaves open whose it is: name by @ only who it is for, as %s", lex.CutText(strings.TrimSpace(m), 40), usage))
}

// What stands before somebody or behind them where it is not theirs, or may not be.
var (
	outBefore = regexp.MustCompile(`(?i)\b(?:not|without|no|except|never|nor|minus|instead of|rather than|in place of|if|unless|maybe|perhaps|or|either|whether|until|when)\s+(?:(?:by|for|with|to|of)\s+)?@\w[\w.-]*`)
	outBehind = regexp.MustCompile(`(?i)@\w[\w.-]*,?\s+(?:(?:or|if|unless|maybe|perhaps|not|cannot|won['’]?t|can['’]?t|can not|isn['’]?t|doesn['’]?t|is (?:not|off|away|ill|sick|out|on leave)|off|away|ill|sick)\b|\?)`)
)

// madeBy matches somebody who saw or did something, and is not the one to put it
// right: seen by @bo.
var madeBy = regexp.MustCompile(`(?i)\b(seen|noticed|found|reported|spotted|made|caused|done|scratched|dented|dropped|said|told|damaged|left|broken|hit|marked|noted|checked) by @(\w)`)
