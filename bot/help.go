package bot

import (
	"slices"
	"strings"
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
	if len(fields) == 0 || len(fields) > 2 || fields[0] != "help" && fields[0] != "?" {
		return "", false
	}
	if len(fields) == 1 {
		return helpAll(), true
	}
	tokens := lex(fields[1], nil)
	if p, _ := vocab.match(tokens); p != nil && p.verb != nil {
		return p.verb.help(), true
	}
	return "I know no " + fields[1] + "; " + helpAll(), true
}

func helpAll() string {
	var b strings.Builder
	b.WriteString("Ask me in your own words, lengths in mm unless you say otherwise:\n")
	for i := range verbs {
		v := &verbs[i]
		b.WriteString(v.name + ": " + v.summary + "\n    " + v.example + "\n")
	}
	b.WriteString("help and one of these words tells more, as in help gap")
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
