package bot

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// tokenKind is what a token is.
type tokenKind uint8

const (
	wordToken tokenKind = iota
	numberToken
	markToken
)

// token is a word, a number or a mark.
type token struct {
	kind       tokenKind
	mark       byte // of a mark: '=' ':' 'x' '+' ',' or '?' for any other
	start, end int
	word       string // lower case
	num        number
}

// articles say nothing and may stand anywhere, also within a phrase.
var articles = map[string]bool{"a": true, "an": true, "the": true, "my": true, "our": true, "its": true, "of": true, "your": true, "this": true}

// lex cuts text into tokens, articles left out, and appends them to buf.
func lex(text string, buf []token) []token {
	text = unquote(text)
	for i := 0; i < len(text); {
		c := text[i]
		if c == ' ' || c == '\t' || c == '\n' || c == '\r' {
			i++
			continue
		}
		if isDigit(c) || c == '.' || c == '+' || c == '-' || c >= utf8.RuneSelf {
			if n, ok := scanNumber(text, i); ok {
				buf = append(buf, token{kind: numberToken, start: i, end: n.end, num: n})
				i = n.end
				continue
			}
		}
		if j := wordEnd(text, i); j > i {
			if m, ok := times(text[i:j], buf, text, j); ok {
				buf = append(buf, token{kind: markToken, mark: m, start: i, end: i + 1})
				i++
				continue
			}
			if w := strings.ToLower(text[i:j]); !articles[w] {
				buf = append(buf, token{kind: wordToken, start: i, end: j, word: w})
			}
			i = j
			continue
		}
		r, size := utf8.DecodeRuneInString(text[i:])
		if (c == ',' || c == '.') && i > 0 && (text[i-1] == ' ' || isDigit(text[i-1])) && i+1 < len(text) && isDigit(text[i+1]) {
			r = '-' // " ,5" and "d1,200" may be decimals: they are asked about
		}
		if strings.HasPrefix(text[i:], "..") {
			r, size = '-', 2 // a range
		}
		if m := markOf(r); m != 0 {
			buf = append(buf, token{kind: markToken, mark: m, start: i, end: i + size})
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

// times reports whether a word is the sign between two dimensions, as the x
// in 1200x2400.
func times(word string, before []token, text string, end int) (byte, bool) {
	if len(before) == 0 || before[len(before)-1].kind != numberToken || word[0]|0x20 != 'x' {
		return 0, false
	}
	j := skip(text, end, " ")
	return 'x', len(word) == 1 && j < len(text) && (isDigit(text[j]) || text[j] == '.') || len(word) > 1 && isDigit(word[1])
}

// wordEnd returns the end of the word that starts at text[i]: letters, digits
// after the first letter, _ and an apostrophe between letters.
func wordEnd(text string, i int) int {
	j := i
	for j < len(text) {
		c := text[j]
		switch {
		case isLetter(c), j > i && (isDigit(c) || c == '_'):
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
	case ';', '?', '!', '.', '(', ')', '/', '&', '"', '\'', '“', '”', '‘', '’', '·', '•':
		return ','
	}
	if unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) {
		return 0 // also zero-width and direction characters
	}
	return '?'
}
