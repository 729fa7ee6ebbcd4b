package verb

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// ways returns every text that patterns stand for: in {a|b|} one of what stands
// between the bars is said, or nothing, as in "where {must|should} pivot {sit|go}".
func ways(patterns ...string) (all []string) {
	for _, p := range patterns {
		before, rest, open := strings.Cut(p, "{")
		if !open {
			said := slices.DeleteFunc(strings.Fields(p), func(w string) bool { return lex.Articles[w] }) // as in every text
			all = append(all, strings.Join(said, " "))
			continue
		}
		choices, after, _ := strings.Cut(rest, "}")
		for _, c := range strings.Split(choices, "|") {
			all = append(all, ways(before+c+after)...)
		}
	}
	return all
}
