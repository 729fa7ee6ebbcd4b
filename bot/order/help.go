package order

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// HelpWord tells of a word of door jobs: the order that it begins, and what
// it means; "" if it is none.
func HelpWord(word string) string {
	if verb.Questions.Verb(word) != nil {
		return "" // a question's help comes first
	}
	var lines []string
	for _, o := range All() {
		if slices.Contains(o.Words, word) {
			lines = append(lines, o.Usage+"\n    "+o.what)
		}
	}
	if meaning := glossary[word]; meaning != "" {
		lines = append(lines, word+": "+meaning)
	}
	return strings.Join(lines, "\n")
}

// glossary says what words of door jobs mean that a newcomer may not know.
var glossary = map[string]string{
	"hold":        "an item marked so must be settled before work in a later stage; some the foreman may pass with override; floor and head may be worked on in either order",
	"datum":       "the mark that heights are measured from",
	"handing":     "left or right, and seen from which side",
	"knocked":     "a plate was knocked or loaded while its adhesive cures, so the hours start again",
	"word":        "what the adhesive maker wrote about one bond: from when it may be loaded",
	"near":        "a reading inside its limits by less than it can be off: measure again",
	"guest":       "somebody whom no site file names: asks questions, changes no door",
	"home":        "the page of a person: a fitter's doors and visits, a foreman's site",
	"survey":      "first stage: opening, floor, head and what carries them are looked at",
	"set-out":     "second stage: the plate centres are marked, and the leaf is ordered",
	"floor":       "stage in which the floor plate is fitted and bonded",
	"head":        "stage in which the head pivot is fitted",
	"hang":        "stage in which the leaf goes onto its pivots",
	"park":        "stage in which the hung leaf is kept still while the adhesive cures",
	"align":       "stage in which the gaps round the leaf are set",
	"movement":    "stage in which the leaf's swing and closing are set",
	"handover":    "last stage: hand over ends it",
	"handed over": "the door is done",
}

// HelpOrders lists what can be told to do.
func HelpOrders() string {
	var b strings.Builder
	b.WriteString("A door's job has a thread of its own; say these in it, or anywhere after door and its id:\n")
	for _, o := range All() {
		b.WriteString(o.Usage + "\n    " + o.what + "\n")
	}
	b.WriteString("in a door's thread a question takes the door's values: gap alone answers for it; the name of a number of its card tells that one, as pin length\n")
	b.WriteString("buttons say these orders or open a form, in a thread " + labels("A-1") + ", in the channel " + labels("") + "; in a conversation that is typed, press one as [Next] and fill a form as {name=value, name=value}")
	return b.String()
}

// labels lists the buttons that are always there.
func labels(thread string) string {
	var all []string
	for _, b := range bot.StandingButtons(nil, thread) {
		all = append(all, b.Label)
	}
	return strings.Join(all, ", ")
}

// HelpRoles lists who may do what.
func HelpRoles() string {
	var b strings.Builder
	b.WriteString("Roles come from the site file; who is not named there is a guest.")
	for _, p := range jobs.Permissions {
		names := make([]string, len(p.Roles))
		for i, r := range p.Roles {
			names[i] = string(r)
		}
		b.WriteString("\n" + string(p.What) + ": " + strings.Join(names, ", "))
	}
	return b.String()
}
