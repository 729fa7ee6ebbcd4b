package lex

import (
	"strings"

	"heelpost/calc"
)

// Quantities joins numbers with the words behind them that are their units.
// h, c, f, s, k and n are units only where no length follows: they may be names
// as well.
func Quantities(text string, tokens []Token) []Token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.Kind != NumberToken {
			out = append(out, t)
			continue
		}
		if n := thousands(text, tokens, i); n > 0 {
			t.Num.Plain *= n
			t.Num.Length *= calc.Length(n)
			t.End = tokens[i+1].End
			t.Num.End, t.Num.Raw = t.End, text[t.Start:t.End]
			i++
		} else if u, end := marked(text, &t); end > 0 {
			t.measure(text, u, end)
			for i+1 < len(tokens) && tokens[i+1].Start < end {
				i++
			}
		} else if i+1 < len(tokens) && tokens[i+1].Kind == WordToken {
			t.Num.Timed = timeWords[tokens[i+1].Word] && strings.TrimSpace(text[t.End:tokens[i+1].Start]) == "" // not 60 a day
			if t.Num.Timed && len(tokens[i+1].Word) > 1 {
				t.End = tokens[i+1].End
				i++
				out = append(out, t)
				continue
			}
			u, known := quantityWords[tokens[i+1].Word]
			name := len(tokens[i+1].Word) == 1 && i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken && tokens[i+2].Num.Unit != Degrees || t.Num.Unit == Bare && (tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':'))
			if known && !name && (t.Num.Unit == Bare || t.Num.Unit == Degrees && (u.unit == Celsius || u.unit == fahrenheit)) {
				t.measure(text, u, tokens[i+1].End)
				i++
			}
		}
		out = append(out, t)
	}
	return out
}

// thousands returns what the word behind number i multiplies it by: half a
// million, 500k cycles, where nothing can be kelvins; 0 for none.
func thousands(text string, tokens []Token, i int) float64 {
	if i+1 >= len(tokens) || tokens[i].Num.Unit != Bare || tokens[i].Num.Plain > 1000 {
		return 0
	}
	switch glued := text[tokens[i].End] == 'k'; {
	case tokens[i+1].Word == "million":
		return 1e6
	case glued && tokens[i+1].Word == "k" && i+2 < len(tokens) && tokens[i+2].Word == "cycles":
		return 1e3
	}
	return 0
}

// measure gives the number of a token its unit, which ends at end.
func (t *Token) measure(text string, u quantityUnit, end int) {
	t.End = end
	t.Num.Unit, t.Num.End, t.Num.Raw = u.unit, end, text[t.Start:end]
	t.Num.Plain *= u.worth
	if u.unit == fahrenheit {
		t.Num.Unit, t.Num.Plain = Celsius, celsius(t.Num.Plain)
	}
	if t.Num.Doubt == Fraction {
		t.Num.Doubt = Certain // half an hour
	}
}

// marked returns the unit with a sign in it behind a number, and where it
// ends; 0 if there is none.
func marked(text string, t *Token) (quantityUnit, int) {
	at := t.End
	switch {
	case t.Num.Unit == metres || t.Num.Unit == centimetres: // 25 m/s, 1.8 CM-%
		for at > t.Start && isLetter(text[at-1]) {
			at--
		}
	case t.Num.Unit != Bare:
		return quantityUnit{}, 0
	}
	at = skip(text, at, " ")
	rest := text[at:]
	for _, mark := range quantityMarks {
		n := len(mark)
		if len(rest) >= n && strings.EqualFold(rest[:n], mark) && (n == len(rest) || !isLetter(rest[n]) && !IsDigit(rest[n])) {
			return quantityWords[mark], at + n
		}
	}
	return quantityUnit{}, 0
}
