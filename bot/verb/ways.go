package verb

import "strings"

// ways returns the phrases of patterns: a word at each place, one of several with
// slashes between them, + for a space within one and _ for none. "how hard/strong
// must it blow" are two.
func ways(patterns ...string) (all []string) {
	for _, pattern := range patterns {
		some := []string{""}
		for _, place := range strings.Fields(pattern) {
			var next []string
			for _, begun := range some {
				for _, word := range strings.Split(place, "/") {
					if word = strings.ReplaceAll(word, "+", " "); word == "_" {
						word = ""
					}
					next = append(next, strings.TrimSpace(begun+" "+word))
				}
			}
			some = next
		}
		all = append(all, some...)
	}
	return all
}
