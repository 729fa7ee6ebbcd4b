package order

import (
	"slices"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// HelpWord tells of a word of door jobs: the order that it begins, and what
// it means; nothing if it is none.
func HelpWord(word string) say.Text {
	if verb.Questions.Verb(word) != nil {
		return say.Text{} // a question's help comes first
	}
	var lines []say.Text
	for _, o := range All() {
		if slices.Contains(o.Words, word) {
			lines = append(lines, o.help())
		}
	}
	if meaning := glossary[word]; !meaning.IsZero() {
		lines = append(lines, say.F("%s: %s", word, meaning))
	}
	if f := jobs.FieldNamed(word); f != nil && len(lines) == 0 && f.Ask != "" {
		lines = append(lines, say.F("%s is of a door's description: %s", word, say.F(f.Ask)))
	}
	return say.Lines(lines...)
}

// help tells how an order is typed, and what it does.
func (o *Order) help() say.Text { return say.F("%s\n    %s", o.Usage, o.what) }

// glossary says what words of door jobs mean that a newcomer may not know.
var glossary = map[string]say.Text{
	"hold":        say.F("an item marked so must be settled before work in a later stage; some the foreman may pass with override; floor and head may be worked on in either order"),
	"datum":       say.F("the mark that heights are measured from"),
	"handing":     say.F("left or right, and seen from which side"),
	"knocked":     say.F("a plate was knocked or loaded while its adhesive cures, so the hours start again"),
	"word":        say.F("what the adhesive maker wrote about one bond: from when it may be loaded"),
	"near":        say.F("a reading inside its limits by less than it can be off: measure again"),
	"guest":       say.F("somebody whom no site file names: asks questions, changes no door"),
	"home":        say.F("the page of a person: a fitter's doors and visits, a foreman's site"),
	"survey":      say.F("first stage: opening, floor, head and what carries them are looked at"),
	"set-out":     say.F("second stage: the plate centres are marked, and the leaf is ordered"),
	"floor":       say.F("stage in which the floor plate is fitted and bonded"),
	"head":        say.F("stage in which the head pivot is fitted"),
	"hang":        say.F("stage in which the leaf goes onto its pivots"),
	"park":        say.F("stage in which the hung leaf is kept still while the adhesive cures"),
	"align":       say.F("stage in which the gaps round the leaf are set"),
	"movement":    say.F("stage in which the leaf's swing and closing are set"),
	"handover":    say.F("last stage: hand over ends it"),
	"handed over": say.F("the door is done"),
}

// HelpOrders lists what can be told to do, and the buttons as they are named in
// a language.
func HelpOrders(l *say.Language) say.Text {
	lines := []say.Text{say.F("A door's job has a thread of its own; say these in it, or anywhere after door and its id:")}
	for _, o := range All() {
		lines = append(lines, o.help())
	}
	return say.Lines(append(lines,
		say.F("in a door's thread a question takes the door's values: gap alone answers for it; the name of a number of its card tells that one, as pin length"),
		say.F("buttons say these orders or open a form, in a thread %s, in the channel %s; in a conversation that is typed, press one as [%s] and fill a form as {name=value, name=value}",
			labels(bot.StandingButtons(l, "A-1")), labels(bot.StandingButtons(l, "")), bot.StandingButtons(l, "A-1")[0].Label))...)
}

// labels lists what stands on buttons.
func labels(buttons []bot.Button) say.Text {
	all := make([]string, len(buttons))
	for i, b := range buttons {
		all[i] = b.Label
	}
	return say.Names(", ", all...)
}

// HelpRole lists what a role may do.
func HelpRole(r jobs.Role) say.Text {
	var may []say.Text
	for _, p := range jobs.Permissions {
		if slices.Contains(p.Roles, r) {
			may = append(may, say.F("  %s", p.What))
		}
	}
	return say.Lines(append([]say.Text{say.F("%s may:", say.Name(string(r)))}, may...)...)
}

// HelpRoles lists who may do what.
func HelpRoles() say.Text {
	lines := []say.Text{say.F("Roles come from the site file; who is not named there is a guest.")}
	for _, p := range jobs.Permissions {
		roles := make([]say.Text, len(p.Roles))
		for i, r := range p.Roles {
			roles[i] = say.Name(string(r))
		}
		lines = append(lines, say.F("%s: %s", p.What, say.List(roles...)))
	}
	return say.Lines(lines...)
}
