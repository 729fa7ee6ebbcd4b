package talk

import (
	"strings"

	"heelpost/bot/order"
	"heelpost/bot/verb"
)

// Help returns the help that a text asks for; false if it asks for none.
func Help(text string) (string, bool) {
	fields := strings.Fields(strings.ToLower(text))
	if len(fields) == 0 || fields[0] != "help" && fields[0] != "?" {
		return "", false
	}
	if len(fields) == 1 {
		return verb.Questions.Help().String(), true
	}
	if text := order.HelpWord(strings.Join(fields[1:], " ")); text != "" {
		return text, true
	}
	if len(fields) > 2 {
		return "", false
	}
	switch fields[1] {
	case "door", "doors":
		return order.HelpOrders(), true
	case "roles":
		return order.HelpRoles(), true
	}
	if text := verb.Questions.HelpWord(fields[1]); !text.IsZero() {
		return text.String(), true
	}
	return "I know no " + fields[1] + ".\n" + verb.Questions.Help().String(), true
}
