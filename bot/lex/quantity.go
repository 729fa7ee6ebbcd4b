package lex

// quantityWords are the units that only questions know: to a door's
// description they are words of their own.
var quantityWords = map[string]Unit{
	"kg": Kilograms, "kgs": Kilograms, "kilo": Kilograms, "kilos": Kilograms, "kilogram": Kilograms, "kilograms": Kilograms,
	"lb": Pounds, "lbs": Pounds, "pound": Pounds, "pounds": Pounds,
	"c": Celsius, "celsius": Celsius, "h": Hours, "hr": Hours, "hrs": Hours, "hour": Hours, "hours": Hours,
}

// timeWords are units of time that no question takes.
var timeWords = WordSet("min mins minute minutes d day days week weeks s sec secs seconds")

// Quantities joins numbers with the words behind them that are their units.
// h and c are units only where no length follows: they are names as well.
func Quantities(text string, tokens []Token) []Token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.Kind == NumberToken && i+1 < len(tokens) && tokens[i+1].Kind == WordToken {
			t.Num.Timed = timeWords[tokens[i+1].Word]
			u, known := quantityWords[tokens[i+1].Word]
			name := len(tokens[i+1].Word) == 1 && i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken && tokens[i+2].Num.Unit != Degrees || tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':')
			if known && !name && (t.Num.Unit == Bare || t.Num.Unit == Degrees && u == Celsius) {
				t.End = tokens[i+1].End
				t.Num.Unit, t.Num.End, t.Num.Raw = u, t.End, text[t.Start:t.End]
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
