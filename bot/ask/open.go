package ask

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Open is a question that waits for a reply, or one that was answered and can
// be followed up. It is kept as text: a reply is put into it, and the whole is
// understood anew.
type Open struct {
	Text   string     `json:"text"`
	Verb   string     `json:"verb,omitempty"` // whose question it is, "" if that is not clear
	Need   []string   `json:"need,omitempty"` // inputs a reply may give, in order
	From   int        `json:"from,omitempty"` // the part that a reply replaces; 0, 0 for none
	To     int        `json:"to,omitempty"`
	Offers []string   `json:"offers,omitempty"` // the questions of which a reply chooses one by its number
	Labels []say.Text `json:"-"`                // the same in words that people say, where there are such

	Guarded  string `json:"guarded,omitempty"`  // what was said that changes what is safe, in a text that asked nothing: fire door
	Answered bool   `json:"answered,omitempty"` // it waits for nothing
	Again    bool   `json:"again,omitempty"`    // what followed it was asked about: the next may name a value alone
	Bare     string `json:"bare,omitempty"`     // the number of which was asked whose it is, of the inputs that it may be for
	Unit     string `json:"unit,omitempty"`     // that its answer is wanted in, in or mm

	Came map[string]*Open `json:"came,omitempty"` // of its values those that a question before gave, with it: gap, of gap 54 60, where "and the plate?" followed
}

// with returns the text of an open question with a reply put into it, and false if the reply
// can't be one to this question.
func (q *Questions) with(o *Open, reply string) (string, bool) {
	if o.To > o.From {
		return o.replaced(reply, q.Knows)
	}
	tokens := q.tokens(reply, q.Verb(o.Verb))
	if text, ok := q.undone(o.Text, tokens); ok {
		return text, true
	}
	var numbers []string
	for i := range tokens {
		switch tokens[i].Kind {
		case lex.NumberToken:
			numbers = append(numbers, tokens[i].Num.Raw)
		case lex.WordToken:
			if n := q.root.next[tokens[i].Word]; n != nil && n.phrase != nil && (n.phrase.filler && !n.phrase.careful || n.phrase.parts) {
				continue
			}
			// It names what it gives, or is a choice.
			return o.Text + ", " + reply, true
		}
	}
	if len(numbers) > 0 && len(o.Need) == 1 && q.named[o.Need[0]].isList() {
		return o.Text + ", " + o.Need[0] + " " + reply, true // 2x2500 + 1200
	}
	if len(numbers) == 0 || len(numbers) > len(o.Need) {
		return "", false
	}
	var b strings.Builder
	b.WriteString(o.Text)
	for i, n := range numbers {
		b.WriteString(", " + o.Need[i] + " = " + n)
	}
	return b.String(), true
}

// replaced puts the reply in place of what was not understood: a number with
// its unit, a unit alone, or a word.
func (o *Open) replaced(reply string, known func(string) bool) (string, bool) {
	reply = strings.TrimSpace(reply)
	old := o.Text[o.From:o.To]
	if before := strings.Fields(strings.ToLower(o.Text[:o.From])); len(before) > 0 { // wind 20 m/s, of wind 20
		if rest, again := strings.CutPrefix(strings.ToLower(reply), before[len(before)-1]+" "); again {
			reply = reply[len(reply)-len(rest):]
		}
	}
	if lex.IsUnit(reply) && numbersOf(old) == 1 {
		return o.Text[:o.To] + " " + reply + " " + o.Text[o.To:], true
	}
	if _, isUnit := lex.UnitWords[strings.ToLower(reply)]; isUnit {
		return o.measured(reply), true
	}
	if whole, asked := o.oneOf(reply); asked {
		return whole, whole != ""
	}
	// A number takes a number's place, words a word's.
	numbers := 0
	for _, t := range lex.Lex(reply, nil) {
		if t.Kind == lex.NumberToken {
			numbers++
		}
	}
	if numeric := strings.ContainsAny(old, "0123456789½¼¾⅛⅜⅝⅞"); numeric != (numbers == 1) || numbers > 1 {
		return "", false
	}
	if numbers == 0 && !slices.ContainsFunc(strings.Fields(strings.ToLower(reply)), known) {
		return "", false
	}
	return o.Text[:o.From] + " " + reply + " " + o.Text[o.To:], true
}

// numbersOf returns how many numbers stand in a text.
func numbersOf(text string) (n int) {
	for _, t := range lex.Lex(text, nil) {
		if t.Kind == lex.NumberToken {
			n++
		}
	}
	return n
}

// oneOf puts the one of two numbers that a reply is in the place of both: 70, or
// the second, of a setback of 60 or 70. It reports whether the two were asked about;
// the text is "" where the reply is neither.
func (o *Open) oneOf(reply string) (text string, asked bool) {
	isNumber := func(t lex.Token) bool { return t.Kind == lex.NumberToken }
	var two []lex.Token
	switch tokens := slices.DeleteFunc(lex.Lex(o.Text, nil), func(t lex.Token) bool { return !isNumber(t) }); {
	case strings.EqualFold(o.Text[o.From:o.To], "or"):
		behind := slices.IndexFunc(tokens, func(t lex.Token) bool { return t.Start >= o.To })
		if behind < 1 {
			return "", false
		}
		two = tokens[behind-1 : behind+1]
	case orBetween.MatchString(o.Text[o.From:o.To]):
		two = slices.DeleteFunc(tokens, func(t lex.Token) bool { return t.Start < o.From || t.End > o.To })
	}
	if len(two) != 2 {
		return "", false
	}
	said := slices.DeleteFunc(lex.Lex(reply, nil), func(t lex.Token) bool { return !isNumber(t) })
	place, _ := Ordinal(reply)
	for i, t := range two {
		if same := len(said) == 1 && t.Num.Plain == said[0].Num.Plain && t.Num.Length == said[0].Num.Length; same || len(said) == 0 && place == i+1 {
			return o.Text[:two[0].Start] + t.Num.Raw + o.Text[two[1].End:], true
		}
	}
	return "", true
}

var orBetween = regexp.MustCompile(`(?i)\d\s+or\s+\d`)

// measured puts a unit behind the number that lacks it, in place of an "in"
// that may be no unit, and behind all fractions that lack theirs too.
func (o *Open) measured(unit string) string {
	var b strings.Builder
	end := 0
	for _, t := range lex.Lex(o.Text, nil) {
		n := t.Num
		if t.Kind != lex.NumberToken || n.Start != o.From && n.Doubt != lex.Fraction {
			continue
		}
		fields := strings.Fields(n.Raw)
		if last := len(fields) - 1; last > 0 && lex.UnitWords[fields[last]] != lex.Bare {
			fields = fields[:last]
		}
		b.WriteString(o.Text[end:n.Start] + strings.TrimSuffix(strings.Join(fields, " "), "in") + " " + unit)
		end = n.End
	}
	return b.String() + o.Text[end:]
}

// undone returns a text without what a reply says is not so, as "it is not
// heated" does; false if the reply says anything else.
func (q *Questions) undone(text string, reply []lex.Token) (string, bool) {
	var flag *phrase
	denied := false
	for i := 0; i < len(reply); {
		if reply[i].Kind == lex.MarkToken {
			i++
			continue
		}
		p, size := q.match(reply[i:])
		switch {
		case p == nil:
			return "", false
		case p.denies && flag == nil:
			denied = true
		case p.isFlag() && denied && flag == nil:
			flag = p
		case !p.filler:
			return "", false
		}
		i += size
	}
	if flag == nil {
		return "", false
	}
	tokens := q.tokens(text, nil)
	for i := 0; i < len(tokens); {
		p, size := q.match(tokens[i:])
		if p.isFlag() && p.choices[0].of == flag.choices[0].of {
			return text[:tokens[i].Start] + text[tokens[i+size-1].End:], true
		}
		i += max(size, 1)
	}
	return "", false
}
