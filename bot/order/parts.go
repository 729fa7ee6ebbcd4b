package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// Parts returns the orders that a text gives in a row, each with the door that the
// first one names: tick joint; tick carrier. sure is false where the one before may
// take the next for its remark, as in snag handle loose. tick 4. A text that is one
// order has no parts.
func Parts(text string, items []jobs.Item) (parts []string, sure bool) {
	e := &Request{}
	rest := e.Address(strings.TrimSpace(text))
	door := ""
	if e.DoorID != "" {
		door = "door " + e.DoorID + " "
	}
	sure = true
	for rest != "" {
		if o, _ := FindOrder(rest); o == nil && len(parts) == 0 {
			return nil, true
		}
		one, next := cutPart(rest, items)
		sure = sure && (next == "" || isWhole(one, items))
		parts, rest = append(parts, door+one), next
	}
	if len(parts) < 2 {
		return nil, true
	}
	return parts, sure
}

// cutPart parts a text before the first order or question that begins within it.
func cutPart(text string, items []jobs.Item) (one, next string) {
	for _, at := range betweenParts.FindAllStringIndex(text, -1) {
		one, next = strings.TrimSpace(text[:at[0]]), strings.TrimSpace(text[at[1]:])
		mark := strings.TrimSpace(text[at[0]:at[1]])
		switch {
		case one == "" || next == "" || leadsOn.MatchString(one):
		case beginsPart(next, mark == "", items):
			return one, next
		case mark == "." || mark == ";":
			if strings.HasSuffix(next, "?") && verb.Questions.VerbIn(next) != nil {
				return one, next
			}
		}
	}
	return text, ""
}

var (
	betweenParts = regexp.MustCompile(`(?i)\s*[;,.\n]\s+(?:and\s+|then\s+)*|\s*[;\n]\s*|\s+(?:and|then|&)\s+(?:then\s+)?|\s+`)
	leadsOn      = regexp.MustCompile(`(?i)\b(?:to|for|before|after|until|till|with|of|at|the|by|no|not|don['’]?t|and|because.*|note.*)$`)
	hasFigure    = regexp.MustCompile(`\d|\bnone\b|\blevel\b`)
	beginsFigure = regexp.MustCompile(`^-?\d`)
	beginsPlate  = regexp.MustCompile(`(?i)^(?:floor|head)\b`)
	beginsDay    = regexp.MustCompile(`(?i)^(?:done\b|v?\d|to |because|today\b|tomorrow\b|(?:on |next )?(?:mon|tue|wed|thu|fri|sat|sun))`)
)

// beginsPart reports whether a text begins with an order and what that is about, so
// that it is no remark: photo taken, and read by bo, are none. bare is where nothing
// but a space stands before it.
func beginsPart(text string, bare bool, items []jobs.Item) bool {
	o, rest := FindOrder(text)
	if o == nil {
		return false
	}
	first, _, _ := strings.Cut(strings.ToLower(rest), " ")
	first = strings.Trim(first, ",;.:")
	isItem := placeOf(first, items) >= 0 || ending(first, items) >= 0 || runOf.MatchString(first)
	switch word := o.Words[0]; word {
	case "tick", "untick", "override", "leave out":
		return isItem
	case "read":
		return (isItem || slices.Contains([]string{"margins", "lean", "bow"}, first)) && hasFigure.MatchString(rest)
	case "temperature":
		return beginsFigure.MatchString(rest)
	case "mix", "bond":
		return beginsPlate.MatchString(rest)
	case "mix spoilt", "undo":
		return !bare
	case "photo":
		return !bare && (isItem || snagName.MatchString(first) || pictureName.MatchString(rest))
	case "snag":
		return !bare && rest != ""
	case "close", "done":
		return !bare && (snagName.MatchString(first) || rest == "" || visitName.MatchString(first))
	case "visit", "move visit", "cancel visit":
		return !bare && beginsDay.MatchString(rest)
	default:
		return !bare && o.shows && rest == ""
	}
}

// isWhole reports whether an order leaves no room for a remark.
func isWhole(text string, items []jobs.Item) bool {
	o, rest := FindOrder(text)
	if o == nil {
		return strings.HasSuffix(text, "?")
	}
	rest = strings.TrimRight(rest, " .;")
	switch o.Words[0] {
	case "tick", "untick":
		named, err := itemsIn(rest, items)
		return len(named) > 0 && err == nil && !slices.ContainsFunc(named, func(t jobs.TickItem) bool { return placeOf(t.Item, items) < 0 })
	case "read", "temperature", "mix":
		return figuresOnly.MatchString(rest)
	case "bond":
		return beginsPlate.MatchString(rest) && (len(rest) < 6 || doneTime.MatchString(rest))
	case "photo":
		f := strings.Fields(rest)
		return len(f) > 0 && len(f) < 3 && pictureName.MatchString(f[len(f)-1])
	}
	return rest == ""
}

// figuresOnly matches what has no word but names, units and what belongs to a
// temperature or a batch: wind 2 m/s, 14 min 8, floor K71 exp 09/2027.
var figuresOnly = regexp.MustCompile(`(?i)^(?:(?:[a-z]+(?:-[a-z]+)* )?(?:none|-?\d+(?:[.,]\d+)?)(?: ?(?:mm|m/s|s|°|°? ?c))?(?: min -?\d+(?:[.,]\d+)?(?: ?°? ?c)?)?(?: (?:to )?(?:pipe|back))?|margins(?: [\d.]+){4}|(?:floor|head)(?: \S*\d\S*)?(?: exp \S+)?)$`)

var visitName = regexp.MustCompile(`^[vV][0-9]+$`)

// MayHaveParts reports whether a second order or a question may begin within a text
// that begins with one.
func MayHaveParts(text string) bool {
	rest := (&Request{}).Address(strings.TrimSpace(text))
	if o, _ := FindOrder(rest); o == nil || o.Words[0] == "door open" || o.Words[0] == "correct" || o.Words[0] == "record" {
		return false
	}
	for _, at := range betweenParts.FindAllStringIndex(rest, -1) {
		if o, _ := FindOrder(rest[at[1]:]); at[0] > 0 && o != nil || strings.ContainsAny(rest[at[0]:at[1]], ".;\n") && strings.HasSuffix(rest, "?") {
			return true
		}
	}
	return false
}

// AskParts asks whether a text is several orders or one whose remark looks so.
func AskParts(d *desk.Desk, m bot.Message, parts []string) Outcome {
	e := &Request{Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	rows, shown := make([]string, len(parts)), make([]say.Text, len(parts))
	for i, p := range parts {
		rows[i], shown[i] = e.atItsDoorSaid(p), say.F("%s", lex.CutText(p, 60))
	}
	each, one := strings.Join(rows, "\n"), e.atItsDoorSaid(strings.TrimSpace(m.Text))
	e.ask(&Unfinished{Offers: []string{each, one}, Question: say.F("(1) each by itself: %s; or (2) one, the rest its remark? say 1 or 2", say.Join(" | ", shown...))},
		bot.Button{Label: d.Language.Say(say.F("Each by itself")), Say: each}, bot.Button{Label: d.Language.Say(say.F("As one")), Say: one})
	return e.Outcome
}

// atItsDoorSaid returns an order with the door in whose thread it stands before it;
// a question is asked as it is.
func (e *Request) atItsDoorSaid(text string) string {
	if o, _ := FindOrder(text); o == nil || e.DoorID == "" {
		return text
	}
	return strings.Join([]string{"door", e.DoorID, text}, " ")
}

// Lines returns the orders of a text that has one a line, as [AskParts] offers them;
// nil if it is another.
func Lines(text string) []string {
	lines := strings.Split(text, "\n")
	if first, _ := FindOrder((&Request{}).Address(lines[0])); len(lines) < 2 || first == nil || first.Words[0] == "door open" {
		return nil
	}
	return lines
}
