package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// VerbNamed finds a verb, nil if there is none of that name.
func VerbNamed(name string) *Verb {
	i := slices.IndexFunc(verbs, func(v Verb) bool { return v.Name == name })
	if i < 0 {
		return nil
	}
	return &verbs[i]
}

func HelpAll() string {
	var b strings.Builder
	b.WriteString("Ask me in your own words, lengths in mm unless you say otherwise:\n")
	for i := range verbs {
		v := &verbs[i]
		b.WriteString(v.Name + ": " + v.Summary + "\n    " + v.Example + "\n")
	}
	b.WriteString("help and one of these words tells more, as in help gap; help door tells about door jobs, help roles who may do what; cancel drops what I asked you back")
	return b.String()
}

// Help tells what a verb takes.
func (v *Verb) Help() string {
	var b strings.Builder
	b.WriteString(v.Name + ": " + v.Summary + "\n")
	b.WriteString("    " + v.Example + "\n    " + v.Exact + "\n")
	b.WriteString("bare numbers, in order: " + listWords(v.Order) + "\n")
	b.WriteString("needed: " + listWords(v.Need) + "\n")
	for _, name := range v.Inputs {
		in := inputNamed[name]
		if name == "offset_side" {
			continue
		}
		b.WriteString(lex.Words(name) + ": " + in.What + ", as in " + in.Example + "\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

func listWords(names []string) string {
	all := make([]string, len(names))
	for i, n := range names {
		all[i] = lex.Words(n)
	}
	return strings.Join(all, ", ")
}

// Reference returns the table of questions for the README, in Markdown.
func Reference() string {
	var b strings.Builder
	b.WriteString("| question | answers | as typed | exact |\n|---|---|---|---|\n")
	for i := range verbs {
		v := &verbs[i]
		b.WriteString("| " + v.Name + " | " + v.Summary + " | `" + v.Example + "` | `" + v.Exact + "` |\n")
	}
	return b.String()
}
