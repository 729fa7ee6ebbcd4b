package talk

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/verb"
)

// Help returns the help that a text asks for; false if it asks for none.
func Help(text string) (string, bool) {
	fields := strings.Fields(strings.ToLower(text))
	if m := meaning.FindStringSubmatch(strings.ToLower(text)); m != nil {
		fields = append([]string{"help"}, strings.Fields(m[1]+m[2])...)
		if _, known := helpWord(fields[1:]); !known {
			return "", false
		}
	}
	switch {
	case len(fields) == 0:
		return "", false
	case len(fields) == 1 && foreign[strings.TrimRight(fields[0], "?!.")]:
		return say.Lines(say.F("I understand plain English, and in any language the short names: gap t=44 s=65 w=1050"), verb.Questions.Help()).String(), true
	case fields[0] != "help" && fields[0] != "?":
		return "", false
	case len(fields) == 1, len(fields) == 2 && slices.Contains([]string{"me", "please"}, fields[1]):
		return verb.Questions.Help().String(), true
	}
	if text, known := helpWord(fields[1:]); known {
		return text, true
	}
	if len(fields) > 2 {
		return "", false
	}
	return "I know no " + fields[1] + ".\n" + verb.Questions.Help().String(), true
}

var (
	// meaning finds the word that is asked about in "what is a setback" and
	// "what does offset mean".
	meaning = regexp.MustCompile(`^\s*(?:what(?: i|')s an? ([a-z ]+)|what (?:does|do) (?:an? |the )?([a-z ]+) mean)\s*\??\s*$`)
	// foreign are the words for help of crews who do not read English.
	foreign = lex.WordSet("hilfe ayuda ajuda pomoc pomoć aide aiuto hulp hjälp hjælp hjelp apua ajutor yardım")
)

// helpWord tells what a word of questions or orders means.
func helpWord(fields []string) (string, bool) {
	if text := order.HelpWord(strings.Join(fields, " ")); text != "" {
		return text, true
	}
	if len(fields) > 1 {
		return "", false
	}
	switch fields[0] {
	case "door", "doors":
		return order.HelpOrders(), true
	case "roles":
		return order.HelpRoles(), true
	}
	text := verb.Questions.HelpWord(fields[0])
	return text.String(), !text.IsZero()
}
