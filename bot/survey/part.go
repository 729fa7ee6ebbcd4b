package survey

import (
	"errors"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Part is a part of a description that was not understood.
type Part struct {
	From, To int    // where it stands
	Before   string // what to put before it when it is said again, as setback; "" if it begins with no name
	Guess    string // what was probably meant; "" if nothing is near
	why      error
}

func (p *Part) Error() string { return p.why.Error() }

func (p *Part) Unwrap() error { return p.why }

// Sentence says what is wrong with the part.
func (p *Part) Sentence() (key string, args []any) { return "%s", []any{say.Of(p.why)} }

// missed returns the part that begins at a token and was not understood: it
// goes on to where another one begins.
func (s *Survey) missed(from int, why error) *Part {
	t := &s.tokens[from]
	p := &Part{From: t.Start, To: len(s.Text), why: why}
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
	named := vocab.at(s.tokens, from)
	if g, ok := errors.AsType[*guessed](why); ok {
		p.Guess = g.guess
		return p
	}
	switch {
	case errors.Is(why, ErrUnnamed):
		p.Before = strings.TrimRight(s.Text[p.From:], " ,.;")
	case named != nil && vocab.values[t.Word]:
		p.Before = strings.Join(named.words, " ")
	case slices.Contains(s.names.Floors, t.Word):
		p.Before = "floor"
	case slices.Contains(s.names.Sheets, t.Word):
		p.Before = "sheet"
	case t.Kind == lex.WordToken && !s.isWord(from) && to == from+1:
		p.Guess = lex.Nearest(t.Word, vocab.choices, lex.SlipsIn(t.Word))
	}
	return p
}

// isWord reports whether a token is a word of the description, or begins a phrase
// of it.
func (s *Survey) isWord(i int) bool {
	return vocab.begins[s.tokens[i].Word] || vocab.at(s.tokens, i) != nil
}

// begins reports whether a part of the description may begin at a token.
func (s *Survey) begins(i int) bool {
	t := &s.tokens[i]
	return t.Kind == lex.MarkToken && t.Mark == ',' || t.Kind == lex.WordToken &&
		(s.isWord(i) || slices.Contains(s.names.Floors, t.Word) || slices.Contains(s.names.Sheets, t.Word))
}

// misspelt returns the word of the description that the one at a token is a
// slip of; "" if there is none, or if what stands behind it is no value of
// it. Choices are never taken from a slip: nothing would show it.
func (s *Survey) misspelt(i int) string {
	t := &s.tokens[i]
	if t.Kind != lex.WordToken || s.isWord(i) || i+1 == len(s.tokens) || lex.PlainWords[t.Word] || s.names.Person(s.raw(t)) ||
		slices.Contains(s.names.Floors, t.Word) || slices.Contains(s.names.Sheets, t.Word) {
		return ""
	}
	switch value := &s.tokens[i+1]; {
	case value.Kind == lex.NumberToken:
		return lex.Nearest(t.Word, vocab.numbers, lex.SlipsIn(t.Word))
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
	s.Righted = append(s.Righted, say.F("read %s as %s", s.raw(t), word))
	s.Text = s.Text[:t.Start] + word + s.Text[t.End:]
	s.tokens = lex.Lex(s.Text, nil)
}
