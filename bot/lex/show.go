package lex

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"heelpost/calc"
)

// MmText returns a length in millimetres, to the micrometre.
func MmText(l calc.Length) string {
	var buf [32]byte
	return string(append(AppendMM(buf[:0], l), " mm"...))
}

// AppendMM appends the figure of a length in millimetres, to the micrometre.
func AppendMM(b []byte, l calc.Length) []byte { return AppendTrimmed(b, l.MM(), 3) }

// InchText returns a length in inches.
func InchText(l calc.Length) string {
	var buf [32]byte
	return string(append(l.AppendInches(buf[:0]), " in"...))
}

// AppendTrimmed appends x with at most the given decimals, without trailing
// zeros.
func AppendTrimmed(b []byte, x float64, decimals int) []byte {
	if x == math.Trunc(x) && math.Abs(x) < 1e15 {
		return strconv.AppendInt(b, int64(x), 10)
	}
	start := len(b)
	b = strconv.AppendFloat(b, x, 'f', decimals, 64)
	end := len(b)
	for b[end-1] == '0' {
		end--
	}
	if b[end-1] == '.' {
		end--
	}
	if string(b[start:end]) == "-0" {
		return append(b[:start], '0')
	}
	return b[:end]
}

// DegreeText returns an angle, to a hundredth of a degree.
func DegreeText(a calc.Angle) string {
	var buf [24]byte
	return string(append(AppendTrimmed(buf[:0], float64(a), 2), "°"...))
}

// CutText returns at most the first n characters of a text.
func CutText(s string, n int) string {
	r := []rune(s)
	if len(r) > n {
		return string(r[:n])
	}
	return s
}

func WordSet(text string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(text) {
		set[w] = true
	}
	return set
}

// IsName reports whether s can be a person's or a thread's name.
func IsName(s string) bool {
	for _, r := range s {
		if !(r == '-' || r == '_' || r == '.' || unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return false
		}
	}
	return s != ""
}
