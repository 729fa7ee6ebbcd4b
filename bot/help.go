package bot

import (
	"slices"
	"strings"

	"heelpost/jobs"
)

// verbNamed finds a verb, nil if there is none of that name.
func verbNamed(name string) *verb {
	i := slices.IndexFunc(verbs, func(v verb) bool { return v.name == name })
	if i < 0 {
		return nil
	}
	return &verbs[i]
}

// Help returns the help that a text asks for; false if it asks for none.
func Help(text string) (string, bool) {
	fields := strings.Fields(strings.ToLower(text))
	if len(fields) == 0 || fields[0] != "help" && fields[0] != "?" {
		return "", false
	}
	if len(fields) == 1 {
		return helpAll(), true
	}
	if text := helpWord(strings.Join(fields[1:], " ")); text != "" {
		return text, true
	}
	if len(fields) > 2 {
		return "", false
	}
	switch fields[1] {
	case "door", "doors":
		return helpOrders(), true
	case "roles":
		return helpRoles(), true
	}
	tokens := lex(fields[1], nil)
	if p, _ := vocab.match(tokens); p != nil && p.verb != nil {
		return p.verb.help(), true
	}
	if i := slices.IndexFunc(inputs, func(in input) bool { return in.name == fields[1] }); i >= 0 {
		return inputs[i].name + ": " + inputs[i].what + ", as in " + inputs[i].example, true
	}
	return "I know no " + fields[1] + ".\n" + helpAll(), true
}

// helpWord tells of a word of door jobs: the order that it begins, and what
// it means; "" if it is none.
func helpWord(word string) string {
	if verbNamed(word) != nil {
		return "" // a question's help comes first
	}
	var lines []string
	for _, o := range orders() {
		if slices.Contains(o.words, word) {
			lines = append(lines, o.usage+"\n    "+o.what)
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

func helpAll() string {
	var b strings.Builder
	b.WriteString("Ask me in your own words, lengths in mm unless you say otherwise:\n")
	for i := range verbs {
		v := &verbs[i]
		b.WriteString(v.name + ": " + v.summary + "\n    " + v.example + "\n")
	}
	b.WriteString("help and one of these words tells more, as in help gap; help door tells about door jobs, help roles who may do what; cancel drops what I asked you back")
	return b.String()
}

// helpOrders lists what can be told to do.
func helpOrders() string {
	var b strings.Builder
	b.WriteString("A door's job has a thread of its own; say these in it, or anywhere after door and its id:\n")
	for _, o := range orders() {
		b.WriteString(o.usage + "\n    " + o.what + "\n")
	}
	b.WriteString("in a door's thread a question takes the door's values: gap alone answers for it; the name of a number of its card tells that one, as pin length\n")
	b.WriteString("buttons say these orders or open a form, in a thread " + labels("A-1") + ", in the channel " + labels("") + "; in a conversation that is typed, press one as [Next] and fill a form as {name=value, name=value}")
	return b.String()
}

// labels lists the buttons that are always there.
func labels(thread string) string {
	var all []string
	for _, b := range StandingButtons(thread) {
		all = append(all, b.Label)
	}
	return strings.Join(all, ", ")
}

// helpRoles lists who may do what.
func helpRoles() string {
	var b strings.Builder
	b.WriteString("Roles come from the site file; who is not named there is a guest.")
	for _, p := range jobs.Permissions {
		names := make([]string, len(p.Roles))
		for i, r := range p.Roles {
			names[i] = string(r)
		}
		b.WriteString("\n" + p.What + ": " + strings.Join(names, ", "))
	}
	return b.String()
}

// help tells what a verb takes.
func (v *verb) help() string {
	var b strings.Builder
	b.WriteString(v.name + ": " + v.summary + "\n")
	b.WriteString("    " + v.example + "\n    " + v.exact + "\n")
	b.WriteString("bare numbers, in order: " + listWords(v.order) + "\n")
	b.WriteString("needed: " + listWords(v.need) + "\n")
	for _, name := range v.inputs {
		in := inputNamed[name]
		if name == "offset_side" {
			continue
		}
		b.WriteString(words(name) + ": " + in.what + ", as in " + in.example + "\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func listWords(names []string) string {
	all := make([]string, len(names))
	for i, n := range names {
		all[i] = words(n)
	}
	return strings.Join(all, ", ")
}

// Reference returns the table of questions for the README, in Markdown.
func Reference() string {
	var b strings.Builder
	b.WriteString("| question | answers | as typed | exact |\n|---|---|---|---|\n")
	for i := range verbs {
		v := &verbs[i]
		b.WriteString("| " + v.name + " | " + v.summary + " | `" + v.example + "` | `" + v.exact + "` |\n")
	}
	return b.String()
}
