package lex

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// Tidied returns a question's text without what is no part of it, at the same
// length: the marks and numbers of a list's lines, hyphens within words (set-back,
// fifty-four), the brackets round a unit and the number in a class of fire doors.
func Tidied(text string) string {
	text = bothEnds(bothSides(lettered(placed(rated(abbreviations(text))))))
	if !strings.ContainsAny(text, "-*>.)") && !strings.Contains(text, "•") && !strings.Contains(text, "–") {
		return text
	}
	b := []byte(text)
	for i := 1; i+1 < len(b); i++ {
		if b[i] == '-' && isLetter(b[i-1]) && isLetter(b[i+1]) {
			b[i] = ' '
		}
	}
	blank := func(from, to int) {
		for i := from; i < to; i++ {
			b[i] = ' '
		}
	}
	for _, m := range bracketed.FindAllStringIndex(text, -1) {
		blank(m[0], m[0]+1)
		blank(m[1]-1, m[1])
	}
	for _, m := range nameBehind.FindAllStringIndex(text, -1) {
		blank(m[0]+strings.IndexByte(text[m[0]:], '('), m[0]+strings.IndexByte(text[m[0]:], '(')+1)
		blank(m[1]-1, m[1])
	}
	numbered := numberedLine.FindAllStringSubmatchIndex(text, -1)
	for _, m := range bulletLine.FindAllStringSubmatchIndex(text, -1) {
		blank(m[2], m[3])
	}
	if len(numbered) > 1 || len(numbered) == 1 && text[numbered[0][2]] == '1' && strings.Contains(text, "\n") {
		for _, m := range numbered {
			blank(m[2], m[3])
		}
	}
	return string(b)
}

// placed blanks numbers that only tell where a door is, or which job it is: on the
// 3rd floor, for job 4711.
func placed(text string) string {
	if lower := strings.ToLower(text); !hasAny(lower, placeWords) {
		return text
	}
	return whichPlace.ReplaceAllStringFunc(text, func(s string) string { return strings.Repeat(" ", len(s)) })
}

// lettered puts the letters of sizes in front of them, 1245w 2460h as w1245 h2460, so
// that no hours are read.
func lettered(text string) string {
	if !strings.ContainsAny(text, "wW") || !wideBehind.MatchString(text) || !highBehind.MatchString(text) {
		return text
	}
	text = sizesBy.ReplaceAllStringFunc(text, func(s string) string { return s[:1] + "," + strings.Repeat(" ", len(s)-2) })
	return sizeBehind.ReplaceAllString(text, "$2$1")
}

// abbreviations blanks the full stop behind a shortened word: piv. offset, thk. 54.
func abbreviations(text string) string {
	if !strings.Contains(text, ". ") {
		return text
	}
	return shortened.ReplaceAllStringFunc(text, func(s string) string { return s[:len(s)-2] + "  " })
}

var shortened = regexp.MustCompile(`(?i)\b(?:piv|thk|thickn|dia|diam|ht|hgt|wdth|clr|opg|tmpl|horiz|vert|cl)\. `)

// bothEnds gives each reading of an edge the edge's name, where that is said once:
// heel 8 top and 6 bottom, of which the short forms fit into the same length.
func bothEnds(text string) string {
	if lower := strings.ToLower(text); !strings.Contains(lower, "top") || !strings.Contains(lower, "bottom") {
		return text
	}
	for _, at := range endsOfEdge.FindAllStringIndex(text, -1) {
		if ofNumber.MatchString(text[:at[0]]) {
			continue // 8 at the heel, 5 top, 7 bottom
		}
		m := endsOfEdge.FindStringSubmatch(text[at[0]:at[1]])
		if m[1] == "" { // heel edge top 0 bottom 0
			m = append(m[:1], m[6], m[8], m[7], m[10], m[9])
		}
		edge, first, second := strings.ToLower(m[1][:1]), strings.ToLower(m[3][:1]), strings.ToLower(m[5][:1])
		if first != second {
			short := edge + "_" + first + " " + m[2] + " " + edge + "_" + second + " " + m[4]
			text = text[:at[0]] + short + strings.Repeat(" ", at[1]-at[0]-len(short)) + text[at[1]:]
		}
	}
	return text
}

// ofNumber matches a number that has the edge behind it for its name.
var ofNumber = regexp.MustCompile(`(?i)\d(?: ?mm)? (?:gap )?(?:(?:at|on|to|by) )?(?:the )?$`)

var endsOfEdge = regexp.MustCompile(`(?i)\b(?:(heel|lead|leading)(?: edge| side)?[:, ]+(\d[\d.]*(?: ?mm)?) (?:at )?(?:the )?(top|bottom),? (?:and )?(\d[\d.]*(?: ?mm)?) (?:at )?(?:the )?(top|bottom)\b|(heel|lead|leading)(?: edge| side)?:? (top|bottom) (\d[\d.]*(?: ?mm)?),? (?:and )?(top|bottom) (\d[\d.]*(?: ?mm)?))`)

// bothSides says once what is the same on the left and on the right: 8 left and 8
// right is 8 each side. What differs stays, as left and right tell no side of a pivot.
func bothSides(text string) string {
	if lower := strings.ToLower(text); !strings.Contains(lower, "left") || !strings.Contains(lower, "right") {
		return text
	}
	for _, side := range [...]*regexp.Regexp{leftBehind, leftBefore} {
		text = side.ReplaceAllStringFunc(text, func(s string) string {
			m := side.FindStringSubmatch(s)
			one, other, number := m[1], m[3], m[2]
			if side == leftBehind {
				one, other, number = m[2], m[4], m[1]
			}
			if last := m[len(m)-1]; side == leftBefore && last != number || side == leftBehind && m[3] != number || strings.EqualFold(one, other) {
				return s
			}
			out := bytes.Repeat([]byte(" "), len(s))
			copy(out[copy(out, number)+1:], "each side")
			return string(out)
		})
	}
	return text
}

// A number with its side behind it or before it, twice.
var (
	leftBehind = regexp.MustCompile(`(?i)\b(\d[\d.]*(?: ?mm)?) (?:gap )?(?:(?:on|at|to) )?(?:the |its )?(left|right)(?: hand)?(?: side)?[ ,&/+]+(?:and )?(\d[\d.]*(?: ?mm)?) (?:gap )?(?:(?:on|at|to) )?(?:the |its )?(left|right)(?: hand)?(?: side)?\b`)
	leftBefore = regexp.MustCompile(`(?i)\b(left|right)(?: hand)?(?: side)?[ :=]+(\d[\d.]*(?: ?mm)?)[ ,;&/+]+(?:and )?(left|right)(?: hand)?(?: side)?[ :=]+(\d[\d.]*(?: ?mm)?)\b`)
)

var (
	wideBehind = regexp.MustCompile(`\d[wW]\b`)
	highBehind = regexp.MustCompile(`\d[hH]\b`)
	sizeBehind = regexp.MustCompile(`\b(\d{3,4})([wWhH])\b`)
	sizesBy    = regexp.MustCompile(`[wWhHdD]\s+(?:by|[xX×])\s`)
)

// placeWords are those of which one stands in every match of whichPlace.
var placeWords = []string{"floor", "level", "stor", "job", "order", "ticket", "from 90"}

var whichPlace = regexp.MustCompile(`(?i)(?:on|at|in) the \d{1,2}(?:st|nd|rd|th) (?:floor|level|storey|story)\b|\bfrom 90 ?(?:°|degrees|deg)? (?:down )?to 12\b(?: ?(?:°|degrees|deg))?|^\s*(?:for )?(?:job|order|ticket) (?:no\.? ?|number )?#?\d+\s*[:,]`)

var (
	bulletLine   = regexp.MustCompile(`(?m)^[ \t]*([-*•–>]+)[ \t]+\S`)
	bracketed    = regexp.MustCompile(`(?i)\((?:mm|cm|m|in|inch|inches|kg|lb|c|°c|deg|degrees)\)`)
	nameBehind   = regexp.MustCompile(`(?:\d[ \t]*|\w )(\((?i:thick|wide|high|tall|deep|long)\))|\d[ \t]*(\([a-zA-Z]+\))`) // hole (deep), 44 (setback)
	numberedLine = regexp.MustCompile(`(?m)^[ \t]*(\d{1,2}[.)])[ \t]+[^\s\d]`)
)

// Join makes the tokens of a question of those of its text: numbers that were
// spoken, abbreviated names with their number (t54), sizes joined by "by", units
// behind their numbers, and a mark where a line ends. Two lengths with a plus
// between them are added unless they stand in a list.
func Join(text string, tokens []Token, known func(word string) bool, lists func([]Token) bool) []Token {
	out := make([]Token, 0, len(tokens)+2)
	for i := 0; i < len(tokens); {
		t := tokens[i]
		if n := len(out); n > 0 && strings.Contains(text[out[n-1].End:t.Start], "\n") {
			out = append(out, Token{Kind: MarkToken, Mark: '\n', Start: out[n-1].End, End: t.Start})
		}
		switch {
		case t.Kind == WordToken && IsSpoken(t.Word) && meansNumber(out, tokens, i, known):
			n, size := spoken(text, tokens, i)
			if size == 1 && i+1 < len(tokens) && n.Doubt == Fraction && (tokens[i+1].Word == "turn" || tokens[i+1].Word == "million") {
				n.Doubt = Certain // half a turn
			}
			if size > 0 {
				t = Token{Kind: NumberToken, Start: n.Start, End: n.End, Num: n}
				for i += size; i < len(tokens) && tokens[i].Start < n.End; i++ {
				}
				out = append(out, t)
				continue
			}
		case t.Word == "million" && i+1 < len(tokens) && tokens[i+1].Word == "cycles" && (len(out) == 0 || out[len(out)-1].Kind != NumberToken): // a million
			t = Token{Kind: NumberToken, Start: t.Start, End: t.End, Num: Number{Start: t.Start, End: t.End, Raw: "1000000"}}
			t.Num.set(t.Num.Raw, -1)
		case t.Kind == NumberToken && halved(text, tokens[i:]) != nil:
			h := halved(text, tokens[i:])
			out = append(out, *h)
			for i++; i < len(tokens) && tokens[i].Start < h.End; i++ {
			}
			continue
		case t.Kind == WordToken && t.Word == "none" && len(out) > 0 && known(out[len(out)-1].Word):
			t = Token{Kind: NumberToken, Start: t.Start, End: t.End, Num: Number{Raw: "0", Start: t.Start, End: t.End}}
		case t.Kind == WordToken && t.Word == "by" && len(out) > 0 && out[len(out)-1].Kind == NumberToken && i+1 < len(tokens) && (tokens[i+1].Kind == NumberToken || IsSpoken(tokens[i+1].Word)):
			t.Kind, t.Mark = MarkToken, 'x'
		case t.Kind == WordToken && i+1 < len(tokens) && tokens[i+1].Kind == NumberToken && classed(t.Word, tokens, i, known) != "":
			t.Word = classed(t.Word, tokens, i, known)
			t.End = tokens[i+1].End
			i++
		case t.Kind == WordToken && !known(t.Word) && known(contracted(t.Word)):
			t.Word = contracted(t.Word) // the leaf's 44 thick
		case t.Kind == WordToken && !known(t.Word):
			if parts := abbreviated(text, t, known); parts != nil {
				out = append(out, parts...)
				for i++; i < len(tokens) && tokens[i].Start < parts[1].End; i++ {
				}
				continue
			}
		}
		out = append(out, t)
		i++
	}
	out = millimetresSaid(text, out)
	if !slices.ContainsFunc(out, isPlus) {
		return Quantities(text, out)
	}
	return Quantities(text, sums(text, out, lists(out)))
}

// halved returns the number in figures that the tokens begin with, with the half or
// quarter and the unit that are said behind it: 2 and a half inches; nil for none.
func halved(text string, tokens []Token) *Token {
	n := tokens[0].Num
	if len(tokens) < 4 || tokens[1].Word != "and" || parts[tokens[2].Word] != 2 && parts[tokens[2].Word] != 4 || n.Unit != Bare || n.Doubt != Certain || n.Signed || n.Plain != float64(int64(n.Plain)) {
		return nil
	}
	n.setFraction(int64(n.Plain), 1, parts[tokens[2].Word])
	n = n.said(text, tokens, 0, 3)
	if n.Unit == Bare {
		return nil
	}
	return &Token{Kind: NumberToken, Start: n.Start, End: n.End, Num: n}
}

// classed returns the word that the one at token i makes with the number behind
// it: EI 30 is ei30, and diagonal 1 is a name where its number follows; "" for
// none.
func classed(word string, tokens []Token, i int, known func(string) bool) string {
	raw := tokens[i+1].Num.Raw
	if len(word) > 1 && known(word+raw) {
		return word + raw
	}
	if i+2 < len(tokens) && (tokens[i+2].Kind == NumberToken || tokens[i+2].Mark == '=' || tokens[i+2].Mark == ':') && known(word+"_"+raw) {
		return word + "_" + raw
	}
	return ""
}

// contracted returns a word without the is or the possession at its end.
func contracted(word string) string {
	return strings.TrimSuffix(strings.TrimSuffix(word, "'s"), "’s")
}

// meansNumber reports whether the number word at token i is meant as a number:
// it is one of several, or stands beside a unit, a number or a known name. "the
// right one" is none, nor is "one way" or "one end".
func meansNumber(out, tokens []Token, i int, known func(string) bool) bool {
	if slices.Contains([]string{"half", "quarter"}, tokens[i].Word) {
		return i+1 < len(tokens) && (UnitWords[tokens[i+1].Word] == inches || tokens[i+1].Word == "turn" || tokens[i+1].Word == "million")
	}
	last := Token{}
	if len(out) > 0 {
		last = out[len(out)-1]
	}
	if last.Mark == '=' || last.Mark == ':' || len(tokens) == 1 {
		return true
	}
	if i+1 < len(tokens) {
		next := tokens[i+1]
		switch {
		case next.Kind == NumberToken:
			return tokens[i].Word != "one" || !pointing[last.Word] && !ofTwo[last.Word] // the lead one 36 kg
		case next.Kind != WordToken:
		case tokens[i].Word == "one" && ofTwo[last.Word] && (next.Word == "reads" || next.Word == "shows" || next.Word == "says"):
			return false
		case slices.Contains([]string{"way", "ways", "scales", "boys", "person", "people", "man", "men", "lad", "bloke"}, next.Word), tokens[i].Word == "one" && (next.Word == "end" || next.Word == "diagonal"):
			return false
		case IsSpoken(next.Word), next.Word == "thousand", next.Word == "point", parts[next.Word] != 0, UnitWords[next.Word] != Bare, quantityWords[next.Word].unit != Bare, known(next.Word):
			return tokens[i].Word != "one" || !pointing[last.Word]
		}
	}
	if last.Kind == MarkToken {
		return tokens[i].Word != "one" || len(out) > 1 && out[len(out)-2].Kind == NumberToken && spelled(out[len(out)-2].Num) // three, one
	}
	return last.Kind == NumberToken || last.Kind == WordToken && known(last.Word) && !(tokens[i].Word == "one" && pointing[last.Word])
}

// spelled reports whether a number stands in words.
func spelled(n Number) bool { return !strings.ContainsAny(n.Raw, "0123456789") }

// pointing are the words behind which one is no number.
var pointing = WordSet("quick the this that which right wrong left other same first second last next new old any each every")

// ofTwo are the words that tell which of two scales is meant.
var ofTwo = WordSet("heel lead leading other")

// abbreviated splits a name that is glued to its number, as t54, s60mm.
func abbreviated(text string, t Token, known func(string) bool) []Token {
	at := strings.IndexAny(t.Word, "0123456789")
	if at < 1 || at > 4 || !known(t.Word[:at]) || Articles[t.Word[:at]] {
		return nil
	}
	n, ok := ScanNumber(text, t.Start+at)
	if !ok || n.End < t.End {
		return nil
	}
	return []Token{{Kind: WordToken, Start: t.Start, End: t.Start + at, Word: t.Word[:at]}, {Kind: NumberToken, Start: n.Start, End: n.End, Num: n}}
}

// millimetresSaid takes "mil" for mm, where no inch is in the text: there it is
// a thousandth of one.
func millimetresSaid(text string, tokens []Token) []Token {
	inch := slices.ContainsFunc(tokens, func(t Token) bool { return t.Kind == NumberToken && t.Num.InInches() && t.Num.Doubt != WordIn })
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		if t.Kind == NumberToken && t.Num.Unit == Bare && !inch && i+1 < len(tokens) && slices.Contains([]string{"mil", "mill", "mils"}, tokens[i+1].Word) {
			t.Num.setUnit(millimetres)
			t.End = tokens[i+1].End
			t.Num.End, t.Num.Raw = t.End, text[t.Start:t.End]
			i++
		}
		out = append(out, t)
	}
	return out
}

// sums adds two lengths with a + or plus between them, where both are typed in
// the same way. In a list, where it may stand between two entries, only a + that
// touches both adds, and not 4x720+6x455.
func sums(text string, tokens []Token, inList bool) []Token {
	out := tokens[:0]
	for i := 0; i < len(tokens); i++ {
		t := tokens[i]
		last := len(out) - 1
		if isPlus(t) && last >= 0 && i+1 < len(tokens) && out[last].Kind == NumberToken && tokens[i+1].Kind == NumberToken {
			a, b := &out[last].Num, &tokens[i+1].Num
			counted := last > 0 && out[last-1].Mark == 'x' || i+2 < len(tokens) && tokens[i+2].Mark == 'x'
			if inList && (counted || b.Start-a.End > 1) {
				out = append(out, t)
				continue
			}
			if a.Unit == b.Unit && a.Doubt == Certain && b.Doubt == Certain && !a.Toleranced && !b.Toleranced && !b.Signed {
				a.Plain, a.Length, a.Added = a.Plain+b.Plain, a.Length+b.Length, true
				a.End = b.End
				a.Raw = text[a.Start:a.End]
				out[last].End = a.End
				i++
				continue
			}
		}
		out = append(out, t)
	}
	return out
}

func isPlus(t Token) bool {
	return t.Kind == MarkToken && t.Mark == '+' || t.Kind == WordToken && t.Word == "plus"
}

// changing are words that change the value of a number, wherever they stand.
var changing = WordSet(`half halved quarter third twice double triple times dozen couple hundred thousand percent per less minus more tonne tonnes stone
	thicker thinner wider narrower higher deeper shallower longer shorter taller bigger smaller larger greater heavier lighter nearer further closer`)

// ChangesValue reports whether a word changes what a number near it means, as
// half and inches do.
func ChangesValue(word string) bool {
	return changing[word] || UnitWords[word] != Bare || quantityWords[word].unit != Bare && len(word) > 1
}

// Touches reports whether a mark stands right at a number, with no space.
func Touches(text string, t Token) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:t.Start])
	after, _ := utf8.DecodeRuneInString(text[t.End:])
	return before >= '0' && before <= '9' || after >= '0' && after <= '9'
}
