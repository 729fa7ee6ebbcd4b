package talk

import (
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/order"
)

// Help returns the help that a text asks for; false if it asks for none.
func Help(text string) (string, bool) {
	fields := strings.Fields(strings.ToLower(text))
	if len(fields) == 0 || fields[0] != "help" && fields[0] != "?" {
		return "", false
	}
	if len(fields) == 1 {
		return ask.HelpAll(), true
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
	tokens := lex.Lex(fields[1], nil)
	if p, _ := ask.Vocab.Match(tokens); p != nil && p.Verb != nil {
		return p.Verb.Help(), true
	}
	if i := slices.IndexFunc(ask.Inputs, func(in ask.Input) bool { return in.Name == fields[1] }); i >= 0 {
		return ask.Inputs[i].Name + ": " + ask.Inputs[i].What + ", as in " + ask.Inputs[i].Example, true
	}
	return "I know no " + fields[1] + ".\n" + ask.HelpAll(), true
}
