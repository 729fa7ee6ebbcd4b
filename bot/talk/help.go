package talk

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// Help returns the help that a text asks for, in English, and as an answer with
// its picture, if it is seen in one; nil if it asks for none.
func Help(l *say.Language, text string) (string, *ask.Answer) {
	help := helpFor(l, text)
	if help == nil {
		return "", nil
	}
	return l.Say(help.Headline), help
}

// helpFor returns the help that a text asks for, with buttons as they are named
// in a language; nil if it asks for none.
func helpFor(l *say.Language, text string) *ask.Answer {
	if sentence, picture, ok := verb.Meaning(text); ok {
		return &ask.Answer{Asked: text, Headline: sentence, Picture: picture}
	}
	if help, ok := helpOn(l, text); ok {
		return &ask.Answer{Asked: text, Headline: help}
	}
	return nil
}

// helpOn returns the help on questions, orders and their words.
func helpOn(l *say.Language, text string) (help say.Text, ok bool) {
	fields := strings.Fields(strings.ToLower(text))
	if m := asked.FindStringSubmatch(strings.ToLower(text)); m != nil {
		fields = append([]string{"help"}, strings.Fields(m[1]+m[2])...)
		if o, _ := order.FindOrder(m[1]); o != nil || helpWord(l, fields[1:]).IsZero() {
			return say.Text{}, false
		}
	}
	switch {
	case len(fields) == 0:
		return say.Text{}, false
	case len(fields) == 1 && foreign[strings.TrimRight(fields[0], "?!.")]:
		return say.Lines(say.F("I understand plain English, and in any language the short names: gap t=44 s=65 w=1050"), firstScreen()), true
	case fields[0] != "help" && fields[0] != "?":
		return say.Text{}, false
	case len(fields) == 1, len(fields) == 2 && slices.Contains([]string{"me", "please"}, fields[1]):
		return firstScreen(), true
	case len(fields) == 2 && (fields[1] == "all" || fields[1] == "questions"):
		return verb.Questions.Help(), true
	}
	if help := helpWord(l, fields[1:]); !help.IsZero() {
		return help, true
	}
	if len(fields) > 2 {
		return say.Text{}, false
	}
	return say.F("I know no %s: help all lists what I can answer, help door what can be said to a door", lex.CutText(fields[1], 40)), true
}

// firstScreen is what a phone shows at once: what a fitter types all day. The rest
// is behind it.
func firstScreen() say.Text {
	return say.Lines(
		say.F("Ask as you speak, in mm:"),
		say.F("  gap 44 thick, 65 setback"),
		say.F("At a door, in its thread or behind its id:"),
		say.F("  list, next, card: where it stands"),
		say.F("  tick 3: an item is done"),
		say.F("  read plumb 1: what you measured"),
		say.F("  photo bond.jpg, or send a picture"),
		say.F("  mix floor K71 exp 09/2027"),
		say.F("  bond floor: the plate lies in it"),
		say.F("  temperature 14: of the substrate"),
		say.F("  snag handle loose @bo by friday"),
		say.F("  undo: take your last one back"),
		say.F("All doors: what can I do now, board, today"),
		say.F("help all: every question"),
		say.F("help door: all you can say to a door"),
		say.F("help gap: more on one word"),
		say.F("help roles: who may do what"))
}

var (
	// asked finds the word that is asked about in "what is a kerf" and "what does
	// kerf mean".
	asked = regexp.MustCompile(`^\s*(?:what(?: i|'|)s (?:an? )?([a-z ]+)|what (?:does|do) (?:an? |the )?([a-z ]+) mean)\s*\??\s*$`)
	// foreign are the words for help of crews who do not read English.
	foreign = lex.WordSet("hilfe ayuda ajuda pomoc pomoć aide aiuto hulp hjälp hjælp hjelp apua ajutor yardım")
)

// helpWord tells what a word of questions or orders means; nothing if it is
// none.
func helpWord(l *say.Language, fields []string) say.Text {
	switch word := strings.Join(fields, " "); word { // before what they are of a description
	case "door", "doors", "a door":
		return order.HelpOrders(l)
	case "roles":
		return order.HelpRoles()
	case "foreman", "crew", "office", "guest":
		return say.Lines(order.HelpRole(jobs.Role(word)), order.HelpWord(word))
	}
	if help := order.HelpWord(strings.Join(fields, " ")); !help.IsZero() || len(fields) > 1 {
		return help
	}
	return verb.Questions.HelpWord(fields[0])
}
