package talk

import (
	"strings"

	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/verb"
)

// Help returns the help that a text asks for, in English; false if it asks for
// none.
func Help(text string) (string, bool) {
	help, ok := helpFor(nil, text)
	return help.String(), ok
}

// helpFor returns the help that a text asks for, with buttons as they are named
// in a language; false if it asks for none.
func helpFor(l *say.Language, text string) (help say.Text, ok bool) {
	fields := strings.Fields(strings.ToLower(text))
	if len(fields) == 0 || fields[0] != "help" && fields[0] != "?" {
		return say.Text{}, false
	}
	if len(fields) == 1 {
		return verb.Questions.Help(), true
	}
	if help := order.HelpWord(strings.Join(fields[1:], " ")); !help.IsZero() {
		return help, true
	}
	if len(fields) > 2 {
		return say.Text{}, false
	}
	switch fields[1] {
	case "door", "doors":
		return order.HelpOrders(l), true
	case "roles":
		return order.HelpRoles(), true
	}
	if help := verb.Questions.HelpWord(fields[1]); !help.IsZero() {
		return help, true
	}
	return say.Lines(say.F("I know no %s.", fields[1]), verb.Questions.Help()), true
}
