// Package lex cuts what people type into tokens: words, marks, and numbers
// with their units and with whatever can be read in two ways. It exists so
// that a number is read by the same rules in a question, a description, a
// reading and a form, and written by the same rules in every answer.
package lex

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// tokenKind is what a token is.
type tokenKind uint8

const (
	WordToken tokenKind = iota
	NumberToken
	MarkToken
)

// Token is a word, a number or a mark.
type Token struct {
	Kind       tokenKind
	Mark       byte // of a mark: '=' ':' 'x' '+' ',' or '?' for any other
	Start, End int
	Word       string // lower case
	Num        Number
}

// Articles say nothing and may stand anywhere, also within a phrase.
var Articles = map[string]bool{"a": true, "an": true, "the": true, "my": true, "our": true, "its": true, "of": true, "your": true, "this": true}

// Lex cuts text into tokens, articles left out, and appends them to buf.
func Lex(text string, buf []Token) []Token {
	text = unquote(text)
	for i := 0; i < len(text); {
		c := text[i]
		if c == ' ' || c == '\t' || c == '\n' || c == '\r' {
			i++
			continue
		}
		if IsDigit(c) || c == '.' || c == '+' || c == '-' || c >= utf8.RuneSelf {
			if n, ok := ScanNumber(text, i); ok {
				buf = append(buf, Token{Kind: NumberToken, Start: i, End: n.End, Num: n})
				i = n.End
				continue
			}
		}
		if j := wordEnd(text, i); j > i {
			if m, ok := times(text[i:j], buf, text, j); ok {
				buf = append(buf, Token{Kind: MarkToken, Mark: m, Start: i, End: i + 1})
				i++
				continue
			}
			if j == i+1 && c|0x20 == 'w' && j < len(text) && text[j] == '/' { // w/ 85 setback, w/o template
				word := "with"
				if j++; j < len(text) && text[j]|0x20 == 'o' && (j+1 == len(text) || !isLetter(text[j+1])) {
					word, j = "without", j+1
				}
				buf = append(buf, Token{Kind: WordToken, Start: i, End: j, Word: word})
				i = j
				continue
			}
			if k := threadEnd(text, i, j); k > 0 { // M10x1.25
				buf = append(buf, Token{Kind: WordToken, Start: i, End: k, Word: strings.ToLower(text[i:k])}, Token{Kind: WordToken, Start: k, End: k + 1, Word: "pitch"})
				i = k + 1
				continue
			}
			if w := plainWord(text[i:j]); !Articles[w] {
				buf = append(buf, Token{Kind: WordToken, Start: i, End: j, Word: w})
			}
			i = j
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		if (c == ',' || c == '.') && i > 0 && (text[i-1] == ' ' || IsDigit(text[i-1])) && i+1 < len(text) && IsDigit(text[i+1]) {
			r = '-' // " ,5" and "d1,200" may be decimals: they are asked about
		}
		if strings.HasPrefix(text[i:], "..") {
			r, size = '-', 2 // a range
		}
		if m := markOf(r); m != 0 {
			buf = append(buf, Token{Kind: MarkToken, Mark: m, Start: i, End: i + size})
		}
		i += size
	}
	return buf
}

// unquote blanks quotation marks around the whole text, and keeps its length.
func unquote(text string) string {
	for _, q := range [...][2]string{{`"`, `"`}, {"“", "”"}, {"'", "'"}, {"‘", "’"}} {
		if len(text) > len(q[0])+len(q[1]) && strings.HasPrefix(text, q[0]) && strings.HasSuffix(text, q[1]) {
			return strings.Repeat(" ", len(q[0])) + text[len(q[0]):len(text)-len(q[1])] + strings.Repeat(" ", len(q[1]))
		}
	}
	return text
}

// threadEnd returns where the thread ends in a word that has its pitch too: M10x1,
// M10x1.25; 0 if it has none. What is longer than 2 mm is the length of a screw.
func threadEnd(text string, i, j int) int {
	k := digits(text, i+1)
	if text[i]|0x20 != 'm' || k == i+1 || k > i+3 || k+1 >= j || text[k]|0x20 != 'x' {
		return 0
	}
	n, ok := ScanNumber(text, k+1)
	if !ok || n.End < j || n.Unit != Bare || n.Plain > 2 {
		return 0
	}
	return k
}

// times reports whether a word is the sign between two dimensions, as the x
// in 1200x2400.
func times(word string, before []Token, text string, end int) (byte, bool) {
	if len(before) == 0 || before[len(before)-1].Kind != NumberToken || word[0]|0x20 != 'x' {
		return 0, false
	}
	j := skip(text, end, " ")
	return 'x', len(word) == 1 && j < len(text) && (IsDigit(text[j]) || text[j] == '.') || len(word) > 1 && IsDigit(word[1])
}

// wordEnd returns the end of the word that starts at text[i]: letters, digits
// after the first letter, _ and an apostrophe between letters.
func wordEnd(text string, i int) int {
	j := i
	for j < len(text) {
		c := text[j]
		switch {
		case isLetter(c), j > i && (IsDigit(c) || c == '_'):
			j++
			continue
		case c == '\'' && j > i && j+1 < len(text) && isLetter(text[j+1]):
			j++
			continue
		case c < utf8.RuneSelf:
			return j
		}
		r, size := utf8.DecodeRuneInString(text[j:])
		if r == '’' && j > i && j+size < len(text) && isLetter(text[j+size]) || unicode.IsLetter(r) && r != 'º' && vulgar[r] == [2]int64{} || r == utf8.RuneError {
			j += size
			continue
		}
		return j
	}
	return j
}

// markOf returns the mark that a character stands for, 0 for none.
func markOf(r rune) byte {
	switch r {
	case '=', '+', ',', ':':
		return byte(r)
	case '×', '*':
		return 'x'
	case ';', '?', '!', '|', '.', '(', ')', '/', '&', '"', '\'', '“', '”', '‘', '’', '·', '•':
		return ','
	}
	if unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
		return 0 // also zero-width and direction characters
	}
	return '?'
}

// plainWord returns a word in lower case, and as it is spelt.
func plainWord(text string) string {
	w := strings.ToLower(text)
	if w == "thru" {
		return "through"
	}
	return w
}
