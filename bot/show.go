package bot

import (
	"math"
	"strconv"

	"heelpost/calc"
)

// mmText returns a length in millimetres, to the micrometre.
func mmText(l calc.Length) string {
	var buf [32]byte
	return string(append(appendMM(buf[:0], l), " mm"...))
}

// appendMM appends the figure of a length in millimetres, to the micrometre.
func appendMM(b []byte, l calc.Length) []byte { return appendTrimmed(b, l.MM(), 3) }

// inchText returns a length in inches.
func inchText(l calc.Length) string {
	var buf [32]byte
	return string(append(l.AppendInches(buf[:0]), " in"...))
}

// appendTrimmed appends x with at most the given decimals, without trailing
// zeros.
func appendTrimmed(b []byte, x float64, decimals int) []byte {
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

// degreeText returns an angle, to a hundredth of a degree.
func degreeText(a calc.Angle) string {
	var buf [24]byte
	return string(append(appendTrimmed(buf[:0], float64(a), 2), "°"...))
}
