package lex

import (
	"strconv"
	"strings"
)

// What numbers are called when they are dictated to a phone.
var (
	ones = map[string]int64{"zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9}
	teen = map[string]int64{"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
		"eighteen": 18, "nineteen": 19}
	tens = map[string]int64{"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
	// parts are the parts of an inch, by their number.
	parts = map[string]int64{"half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
		"thirtysecond": 32, "thirtyseconds": 32, "sixtyfourth": 64, "sixtyfourths": 64}
)

// IsSpoken reports whether a word can begin a spoken number.
func IsSpoken(w string) bool {
	_, one := ones[w]
	_, ten := teen[w]
	_, more := tens[w]
	return one || ten || more || w == "hundred" || w == "thousand" || w == "half" || w == "quarter"
}

// Dictated returns a text with the number that it begins with in figures, where
// that was dictated and can be one only: nine, twenty one, minus two point five.
func Dictated(text string) string {
	text = strings.TrimSpace(text)
	rest, minus := text, ""
	if after, ok := cutWord(text, "minus"); ok {
		rest, minus = after, "-"
	}
	if minus != "" && rest != "" && IsDigit(rest[0]) {
		return minus + rest
	}
	tokens := Lex(strings.ReplaceAll(rest, "-", " "), nil)
	if len(tokens) == 0 || tokens[0].Start > 0 || tokens[0].Kind != WordToken || parts[tokens[0].Word] != 0 {
		return text
	}
	_, size := spoken(rest, tokens, 0)
	if size == 0 {
		return text
	}
	end := tokens[size-1].End
	n, _ := spoken(rest[:end], tokens[:size], 0) // without its unit, which stays
	if all, _ := spoken(rest, tokens, 0); n.Doubt != Certain || all.Doubt != Certain || strings.ContainsAny(rest[:end], "/") {
		return text
	}
	return minus + strconv.FormatFloat(n.Plain, 'f', -1, 64) + rest[end:]
}

// cutWord cuts a word from the front of a text.
func cutWord(text, word string) (rest string, ok bool) {
	if len(text) <= len(word) || !strings.EqualFold(text[:len(word)], word) || text[len(word)] != ' ' {
		return text, false
	}
	return strings.TrimSpace(text[len(word):]), true
}

// spoken reads the number that is spoken from token i on, and returns how many
// tokens it takes; 0 if there is none. A number that can be two, as fifty four
// sixty, is unreadable.
func spoken(text string, tokens []Token, i int) (Number, int) {
	word := func(k int) string {
		if k >= len(tokens) || tokens[k].Kind != WordToken || k > i && strings.Contains(text[tokens[k-1].End:tokens[k].Start], "\n") {
			return ""
		}
		return tokens[k].Word
	}
	if !IsSpoken(word(i)) {
		return Number{}, 0
	}
	n := Number{Start: tokens[i].Start}
	whole, k := wholeSpoken(word, i)
	if k == i { // half an inch, a quarter
		num, den, size := partSpoken(word, i)
		n.setFraction(0, num, den)
		return n.said(text, tokens, i, size), size
	}
	num, den, size := int64(0), int64(0), 0
	switch {
	case word(k) == "point" && !isScale(word(k+2)): // six point one hundred and ten: the drill's point
		return n.pointed(text, tokens, i, k, word)
	case word(k) == "and":
		num, den, size = partSpoken(word, k+1)
		if size > 0 {
			size++
		}
	case parts[word(k)] != 0: // three eighths
		num, den, size, whole = whole, parts[word(k)], 1, 0
	}
	if size > 0 {
		n.setFraction(whole, num, den)
		if num >= den {
			n.Doubt = Unreadable
		}
	} else {
		n.set(itoa(whole), -1)
		n.Pair = k == i+2 && tens[word(i)] != 0
	}
	k += size
	and := word(k) == "and" && whole > 0 && whole%100 == 0 && k+1 < len(tokens) && tokens[k+1].Kind == NumberToken // a hundred and 20
	if and || IsSpoken(word(k)) || k < len(tokens) && tokens[k].Kind == NumberToken && !plural(text, tokens[k].End) {
		n.Doubt = Unreadable
	}
	return n.said(text, tokens, i, k-i), k - i
}

// plural reports whether an s stands right behind a place, as in four 720s.
func plural(text string, at int) bool {
	return at < len(text) && text[at] == 's' && (at+1 == len(text) || !isLetter(text[at+1]))
}

// isScale reports whether a word multiplies the number before it.
func isScale(word string) bool { return word == "hundred" || word == "thousand" }

// pointed ends the number from token i on by the digits that are spoken behind
// the point at token k.
func (n Number) pointed(text string, tokens []Token, i, k int, word func(int) string) (Number, int) {
	whole, _ := wholeSpoken(word, i)
	figure := itoa(whole) + "."
	dot := len(figure) - 1
	for k++; ; k++ {
		d, digit := ones[word(k)]
		if !digit {
			break
		}
		figure += itoa(d)
	}
	n.set(figure, dot)
	if len(figure) == dot+1 {
		n.Doubt = Unreadable
	}
	return n.said(text, tokens, i, k-i), k - i
}

// wholeSpoken reads a whole number: fifty four, twelve hundred, two thousand
// four hundred and six.
func wholeSpoken(word func(int) string, i int) (n int64, end int) {
	below, k, some := underHundred(word, i)
	if !some && !isScale(word(i)) {
		return 0, i
	}
	if isScale(word(i)) { // a hundred
		below, k = 1, i
	}
	n = below
	for _, scale := range [...]struct {
		name string
		of   int64
	}{{"thousand", 1000}, {"hundred", 100}} {
		if word(k) != scale.name {
			continue
		}
		n = n/1000*1000 + n%1000*scale.of
		k++
		and := k
		if word(and) == "and" {
			and++
		}
		rest, next, more := underHundred(word, and)
		if !more {
			continue
		}
		if scale.of == 1000 && word(next) == "hundred" {
			n, k = n+rest*100, next+1
			and = k
			if word(and) == "and" {
				and++
			}
			if rest, next, more = underHundred(word, and); more {
				n, k = n+rest, next
			}
			return n, k
		}
		n, k = n+rest, next
	}
	return n, k
}

// underHundred reads a number below a hundred.
func underHundred(word func(int) string, i int) (n int64, end int, ok bool) {
	if v, is := tens[word(i)]; is {
		if d, unit := ones[word(i+1)]; unit && d > 0 {
			return v + d, i + 2, true
		}
		return v, i + 1, true
	}
	if v, is := teen[word(i)]; is {
		return v, i + 1, true
	}
	v, is := ones[word(i)]
	if !is {
		return 0, i, false
	}
	return v, i + 1, true
}

// partSpoken reads a part of an inch: half, quarter, three eighths.
func partSpoken(word func(int) string, i int) (num, den int64, size int) {
	if d := parts[word(i)]; d != 0 {
		return 1, d, 1
	}
	n, k, some := underHundred(word, i)
	if d := parts[word(k)]; some && d != 0 {
		return n, d, k + 1 - i
	}
	return 0, 0, 0
}

// said ends a spoken number behind so many tokens, and takes its unit from the
// words behind it.
func (n Number) said(text string, tokens []Token, i, size int) Number {
	n.End = tokens[i+size-1].End
	n.Spoken = n.Doubt == Fraction
	if n.End < len(text) {
		if u, end := scanUnit(text, n.End); u != Bare {
			n.setUnit(u)
			n.End = end
		} else if rest, found := strings.CutPrefix(strings.TrimLeft(text[n.End:], " "), "of an inch"); found {
			n.setUnit(inches)
			n.End = len(text) - len(rest)
		} else if rest, found := strings.CutPrefix(strings.TrimLeft(text[n.End:], " "), "an inch"); found {
			n.setUnit(inches)
			n.End = len(text) - len(rest)
		}
	}
	n.Raw = strings.TrimSpace(text[n.Start:n.End])
	return n
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }
