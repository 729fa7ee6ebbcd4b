package survey

import (
	"errors"
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// Part is a part of a description that was not understood.
type Part struct {
	From, To int    // where it stands
	Word     string // of the description, that it begins with; "" if that is what was not understood
	Meant    string // what was probably meant; "" if nothing is near
	err      error
}

func (p *Part) Error() string { return p.err.Error() }

func (p *Part) Unwrap() error { return p.err }

// missed returns the part that begins at a token and was not understood: it
// goes on to where another one begins.
func (s *Survey) missed(from int, err error) *Part {
	t := &s.tokens[from]
	p := &Part{From: t.Start, To: len(s.Text), err: err}
	if t.Start > 0 && s.Text[t.Start-1] == '@' {
		p.From--
	}
	to := max(from+1, s.at)
	denied := slices.Contains(lex.Denials, t.Word) // and what is denied must not be left standing
	for to < len(s.tokens) && (t.Word == "evidence" || !s.begins(to) || denied && s.tokens[to].Mark != ',') {
		to++
	}
	if to < len(s.tokens) {
		p.To = s.tokens[to].Start
		if s.Text[p.To-1] == '@' {
			p.To--
		}
	}
	switch {
	case errors.Is(err, ErrUnnamed):
		p.Word = strings.TrimRight(s.Text[p.From:], " ,.;")
	case takesValue[t.Word]:
		p.Word = t.Word
		if t.Word == "opening" && from+1 < to && s.tokens[from+1].Word == "height" {
			p.Word = "opening height"
		}
	case slices.Contains(s.names.Floors, t.Word):
		p.Word = "floor"
	case slices.Contains(s.names.Sheets, t.Word):
		p.Word = "sheet"
	case t.Kind == lex.WordToken && !surveyWords[t.Word] && to == from+1:
		p.Meant = lex.Nearest(t.Word, choiceWords, lex.SlipsIn(t.Word))
	}
	return p
}

// begins reports whether a part of the description may begin at a token.
func (s *Survey) begins(i int) bool {
	t := &s.tokens[i]
	return t.Kind == lex.MarkToken && t.Mark == ',' || t.Kind == lex.WordToken &&
		(surveyWords[t.Word] || slices.Contains(s.names.Floors, t.Word) || slices.Contains(s.names.Sheets, t.Word))
}

// misspelt returns the word of the description that the one at a token is a
// slip of; "" if there is none, or if what stands behind it is no value of
// it. Choices are never taken from a slip: nothing would show it.
func (s *Survey) misspelt(i int) string {
	t := &s.tokens[i]
	if t.Kind != lex.WordToken || surveyWords[t.Word] || i+1 == len(s.tokens) || lex.PlainWords[t.Word] || s.names.Person(s.raw(t)) ||
		slices.Contains(s.names.Floors, t.Word) || slices.Contains(s.names.Sheets, t.Word) {
		return ""
	}
	switch value := &s.tokens[i+1]; {
	case value.Kind == lex.NumberToken:
		return lex.Nearest(t.Word, sizeWords, lex.SlipsIn(t.Word))
	case s.Text[value.Start] == '@':
		return lex.Nearest(t.Word, lex.WordSet("crew foreman"), max(1, lex.SlipsIn(t.Word)))
	case slices.Contains(s.names.Floors, value.Word):
		return lex.Nearest(t.Word, lex.WordSet("floor"), max(1, lex.SlipsIn(t.Word)))
	case slices.Contains(s.names.Sheets, value.Word):
		return lex.Nearest(t.Word, lex.WordSet("sheet"), max(1, lex.SlipsIn(t.Word)))
	}
	return ""
}

// correct puts the word at hand right.
func (s *Survey) correct(word string) {
	t := &s.tokens[s.at]
	s.Read = append(s.Read, "read "+s.raw(t)+" as "+word)
	s.Text = s.Text[:t.Start] + word + s.Text[t.End:]
	s.tokens = lex.Lex(s.Text, nil)
}
