package bot

import (
	"errors"
	"slices"
	"strings"
)

// part is a part of a description that was not understood.
type part struct {
	from, to int    // where it stands
	word     string // of the description, that it begins with; "" if that is what was not understood
	meant    string // what was probably meant; "" if nothing is near
	err      error
}

func (p *part) Error() string { return p.err.Error() }
func (p *part) Unwrap() error { return p.err }

// missed returns the part that begins at a token and was not understood: it
// goes on to where another one begins.
func (s *survey) missed(from int, err error) *part {
	t := &s.tokens[from]
	p := &part{from: t.start, to: len(s.text), err: err}
	if t.start > 0 && s.text[t.start-1] == '@' {
		p.from--
	}
	to := max(from+1, s.at)
	denied := slices.Contains(denials, t.word) // and what is denied must not be left standing
	for to < len(s.tokens) && (t.word == "evidence" || !s.begins(to) || denied && s.tokens[to].mark != ',') {
		to++
	}
	if to < len(s.tokens) {
		p.to = s.tokens[to].start
		if s.text[p.to-1] == '@' {
			p.to--
		}
	}
	switch {
	case errors.Is(err, errUnnamed):
		p.word = strings.TrimRight(s.text[p.from:], " ,.;")
	case takesValue[t.word]:
		p.word = t.word
		if t.word == "opening" && from+1 < to && s.tokens[from+1].word == "height" {
			p.word = "opening height"
		}
	case slices.Contains(s.names.floors, t.word):
		p.word = "floor"
	case slices.Contains(s.names.sheets, t.word):
		p.word = "sheet"
	case t.kind == wordToken && !surveyWords[t.word] && to == from+1:
		p.meant = nearest(t.word, choiceWords, slipsIn(t.word))
	}
	return p
}

// begins reports whether a part of the description may begin at a token.
func (s *survey) begins(i int) bool {
	t := &s.tokens[i]
	return t.kind == markToken && t.mark == ',' || t.kind == wordToken &&
		(surveyWords[t.word] || slices.Contains(s.names.floors, t.word) || slices.Contains(s.names.sheets, t.word))
}

// misspelt returns the word of the description that the one at a token is a
// slip of; "" if there is none, or if what stands behind it is no value of
// it. Choices are never taken from a slip: nothing would show it.
func (s *survey) misspelt(i int) string {
	t := &s.tokens[i]
	if t.kind != wordToken || surveyWords[t.word] || i+1 == len(s.tokens) || plainWords[t.word] || s.names.person(s.raw(t)) ||
		slices.Contains(s.names.floors, t.word) || slices.Contains(s.names.sheets, t.word) {
		return ""
	}
	switch value := &s.tokens[i+1]; {
	case value.kind == numberToken:
		return nearest(t.word, sizeWords, slipsIn(t.word))
	case s.text[value.start] == '@':
		return nearest(t.word, wordSet("crew foreman"), max(1, slipsIn(t.word)))
	case slices.Contains(s.names.floors, value.word):
		return nearest(t.word, wordSet("floor"), max(1, slipsIn(t.word)))
	case slices.Contains(s.names.sheets, value.word):
		return nearest(t.word, wordSet("sheet"), max(1, slipsIn(t.word)))
	}
	return ""
}

// correct puts the word at hand right.
func (s *survey) correct(word string) {
	t := &s.tokens[s.at]
	s.read = append(s.read, "read "+s.raw(t)+" as "+word)
	s.text = s.text[:t.start] + word + s.text[t.end:]
	s.tokens = lex(s.text, nil)
}
