package lex

// Quantities joins numbers with the words behind them that are their units.
// h, c and f are units only where no length follows: they are names as well.
func Quantities(text string, tokens []Token) []Token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.Kind == NumberToken && i+1 < len(tokens) && tokens[i+1].Kind == WordToken {
			t.Num.Timed = timeWords[tokens[i+1].Word]
			if t.Num.Timed && len(tokens[i+1].Word) > 1 {
				t.End = tokens[i+1].End
				i++
				out = append(out, t)
				continue
			}
			u, known := quantityWords[tokens[i+1].Word]
			name := len(tokens[i+1].Word) == 1 && i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken && tokens[i+2].Num.Unit != Degrees || tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':')
			if known && !name && (t.Num.Unit == Bare || t.Num.Unit == Degrees && (u == Celsius || u == fahrenheit)) {
				t.End = tokens[i+1].End
				t.Num.Unit, t.Num.End, t.Num.Raw = u, t.End, text[t.Start:t.End]
				if u == fahrenheit {
					t.Num.Unit, t.Num.Plain = Celsius, (t.Num.Plain-32)*5/9
				}
				if t.Num.Doubt == Fraction {
					t.Num.Doubt = Certain // half an hour
				}
				i++
			}
		}
		out = append(out, t)
	}
	return out
}
