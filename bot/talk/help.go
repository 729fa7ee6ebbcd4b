package talk

import (
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
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
	all := say.F("%s", ask.HelpAll())
	if len(fields) == 1 {
		return all, true
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
	tokens := lex.Lex(fields[1], nil)
	if p, _ := ask.Vocab.Match(tokens); p != nil && p.Verb != nil {
		return say.F("%s", p.Verb.Help()), true
	}
	if i := slices.IndexFunc(ask.Inputs, func(in ask.Input) bool { return in.Name == fields[1] }); i >= 0 {
		in := &ask.Inputs[i]
		return say.F("%s: %s, as in %s", in.Name, say.F(in.What), in.Example), true
	}
	return say.Lines(say.F("I know no %s.", fields[1]), all), true
}
