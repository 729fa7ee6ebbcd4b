package keys

import (
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/say"
)

// Turned returns a made-up language: the words of every sentence stand in
// turned order, in letters that English has not. Figures stay as they are.
func (k *Keys) Turned() *say.Language {
	l := &say.Language{Texts: map[string]string{}}
	for _, key := range k.Texts {
		l.Texts[key] = turned(key)
	}
	return l
}

// turned translates a key. The spaces at its ends stay there, and its lines
// stay lines.
func turned(key string) string {
	n := 0
	key = verbs.ReplaceAllStringFunc(key, func(v string) string {
		if v != "%s" && v != "%q" {
			return v
		}
		n++
		return "%[" + strconv.Itoa(n) + "]" + v[1:]
	})
	if n == 0 && strings.HasPrefix(key, " ") || strings.HasPrefix(key, ",") {
		return strings.Map(foreign, key) // a separator
	}
	lines := strings.Split(key, "\n")
	for i, line := range lines {
		words := strings.Split(line, " ")
		slices.Reverse(words)
		inner := strings.Trim(strings.Join(words, " "), " ")
		front := line[:len(line)-len(strings.TrimLeft(line, " "))]
		behind := ""
		if inner != "" {
			behind = line[len(strings.TrimRight(line, " ")):]
		}
		lines[i] = front + inner + behind
	}
	var b strings.Builder
	text, end := strings.Join(lines, "\n"), 0
	for _, at := range verbs.FindAllStringIndex(text, -1) {
		b.WriteString(strings.Map(foreign, text[end:at[0]]) + text[at[0]:at[1]])
		end = at[1]
	}
	return b.String() + strings.Map(foreign, text[end:])
}

// The letters of the made-up language are those of the Cyrillic alphabet.
const capital, small = 'А' - 'A', 'а' - 'a'

func foreign(r rune) rune {
	switch {
	case 'A' <= r && r <= 'Z':
		return r + capital
	case 'a' <= r && r <= 'z':
		return r + small
	}
	return r
}

// Latin returns a text of the made-up language in English letters: the same
// words as those of the English, in another order.
func Latin(text string) string {
	return strings.Map(func(r rune) rune {
		if e := r - capital; 'A' <= e && e <= 'Z' {
			return e
		}
		if e := r - small; 'a' <= e && e <= 'z' {
			return e
		}
		return r
	}, text)
}
