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
		if end := grouped(text, tokens, i); end > i {
			t.End = tokens[end].End
			t.Num = Number{Start: t.Start, End: t.End, Raw: strings.ReplaceAll(text[t.Start:t.End], " ", "")}
			t.Num.set(t.Num.Raw, -1)
			i = end
		} else if n := thousands(text, tokens, i); n > 0 {
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
			u, known := quantityWords[tokens[i+1].Word]
			apart := strings.TrimSpace(text[t.End:tokens[i+1].Start]) != ""
			t.Num.Timed = timeWords[tokens[i+1].Word] && !known && !apart
			known = known && !(timeWords[tokens[i+1].Word] && apart) // not 60 a day
			name := len(tokens[i+1].Word) == 1 && i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken && tokens[i+2].Num.Unit != Degrees || t.Num.Unit == Bare && (tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':'))
			if known && !name && (t.Num.Unit == Bare || t.Num.Unit == Degrees && (u.unit == Celsius || u.unit == fahrenheit)) {
				t.measure(text, u, tokens[i+1].End)
				i++
			}
		}
		if last := len(out) - 1; last >= 0 && out[last].Word == "minus" && (t.Num.Unit == Celsius || t.Num.Unit == Degrees) && t.Num.Plain > 0 {
			t.Start, t.Num.Start, t.Num.Signed = out[last].Start, out[last].Start, true // minus 5 °C
			t.Num.Plain, t.Num.Length, t.Num.Raw = -t.Num.Plain, -t.Num.Length, "-"+t.Num.Raw
			out = out[:last]
		}
		out = append(out, t)
	}
	return out
}

// grouped returns the last token of a number of cycles that is written in groups
// from token i on, as 500 000 cycles; i if there is none.
func grouped(text string, tokens []Token, i int) int {
	end := i
	for end+1 < len(tokens) && tokens[end+1].Kind == NumberToken && tokens[end+1].Start == tokens[end].End+1 && len(tokens[end+1].Num.Raw) == 3 && tokens[end+1].Num.plain() {
		end++
	}
	if len(tokens[i].Num.Raw) > 3 || !tokens[i].Num.plain() || tokens[i].Num.Plain == 0 || end+1 >= len(tokens) || tokens[end+1].Word != "cycles" {
		return i
	}
	return end
}

// plain reports whether a number is nothing but digits.
func (n *Number) plain() bool { return strings.Trim(n.Raw, "0123456789") == "" }

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
