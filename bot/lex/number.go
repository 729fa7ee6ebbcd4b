package lex

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"heelpost/calc"
)

// Unit is what a number was typed with.
type Unit uint8

const (
	Bare Unit = iota
	millimetres
	centimetres
	metres
	inches
	feet
	Degrees
	Celsius
	Kilograms
	Hours
	Seconds
	MetresASecond
	Newtons
	Pascals
	Percents
	Kelvins
	KilogramsACubicMetre
	Millilitres
	fahrenheit // told in degrees Celsius
)

// Number is a typed number.
type Number struct {
	Raw        string // as typed
	Start, End int
	Plain      float64 // the figure, whatever its unit
	Length     calc.Length
	Tolerance  calc.Length // typed with ±
	Unit       Unit
	Signed     bool // typed with a sign
	Toleranced bool
	Added      bool // a sum, as 37 + 2
	Timed      bool // minutes or days stand behind it
	Pair       bool // spoken as tens and ones, as sixty eight, which can be two numbers
	Spoken     bool // its fraction is said in words
	Doubt      doubt
}

// InInches reports whether a length was typed in inches or feet.
func (n *Number) InInches() bool { return n.Unit == inches || n.Unit == feet }

// Plural takes the s behind a length for more of it, and no seconds: 720s.
func (n *Number) Plural() {
	if digits, s := strings.CutSuffix(n.Raw, "s"); s && n.Unit == Seconds && strings.Trim(digits, "0123456789") == "" {
		n.Unit, n.Raw = Bare, digits
	}
}

// InCentimetres reports whether a length was typed in cm.
func (n *Number) InCentimetres() bool { return n.Unit == centimetres }

// LengthUnit reports whether a unit is one of lengths, or none.
func LengthUnit(u Unit) bool { return u < Degrees }

// InFahrenheit reports whether a temperature was typed in °F.
func (n *Number) InFahrenheit() bool {
	return n.Unit == Celsius && strings.ContainsAny(n.Raw, "fF")
}

// TakeBare takes the figure without its unit.
func (n *Number) TakeBare() {
	n.Unit, n.Doubt, n.Length = Bare, Certain, calc.Length(math.Round(n.Plain*micro))
	n.Raw = strings.TrimRight(n.Raw, " \tinIN")
}

// doubt is why a number can't be taken as it stands.
type doubt uint8

const (
	Certain     doubt = iota
	Separator         // 1,200: decimals or thousands
	Fraction          // 3/4 without a unit
	WordIn            // 60 in: inches, or mm in from the edge; certain among inches
	Quoted            // "54": inches, or a quotation
	Unreadable        // too many digits, or digits in no known order
	OddFraction       // a fraction that no tape has
)

// Limits of a typed number: more digits are a slip.
const (
	maxWhole    = 7
	maxDecimals = 6
	micro       = 1_000_000 // figures are held in millionths
)

// ScanNumber reads the number that starts at text[i], with sign, tolerance
// and unit. It returns false if there is none.
func ScanNumber(text string, i int) (Number, bool) {
	n := Number{Start: i}
	if i >= len(text) {
		return n, false
	}
	j, negative := i, false
	if sign, size := SignAt(text, i); size > 0 {
		if i > 0 && !strings.ContainsRune(" \t\n=,;:(", rune(text[i-1])) {
			return n, false
		}
		n.Signed, negative, j = true, sign < 0, i+size
	}
	j, ok := n.magnitude(text, j)
	if !ok {
		return n, false
	}
	if k, tol, ok := scanTolerance(text, j, n.Unit); ok {
		if n.Unit == Bare {
			n.setUnit(tol.Unit)
		}
		n.Tolerance, n.Toleranced = tol.Length, true
		n.Doubt = max(n.Doubt, tol.Doubt)
		j = k
	}
	if negative {
		n.Plain, n.Length = -n.Plain, -n.Length
	}
	if n.Doubt == Certain && quoteBefore(text, i) {
		n.Doubt = Quoted
	}
	n.End = j
	n.Raw = strings.TrimSpace(text[i:j])
	return n, true
}

// magnitude reads figure and unit, and the inches after feet.
func (n *Number) magnitude(text string, i int) (int, bool) {
	j, ok := n.figure(text, i, false)
	if !ok {
		return i, false
	}
	if u, k := scanUnit(text, j); u != Bare {
		if u == metres || u == inches && strings.Contains(text[i:j], ".") {
			n.decimals(text[i:j])
		}
		if u == inches && inPlace.MatchString(text[j:]) {
			return j, true // it's 12 in here
		}
		if u == inches && n.Doubt == Certain && isWordIn(text, j) {
			n.Doubt = WordIn
		}
		n.setUnit(u)
		j = k
	}
	if n.Unit != feet {
		return j, true
	}
	var in Number
	k := skip(text, j, " -")
	if k, ok = in.figure(text, k, true); !ok {
		return j, true
	}
	u, k := scanUnit(text, k)
	if u != inches || in.Plain >= 12 {
		return j, true
	}
	in.setUnit(inches)
	n.Length += in.Length
	n.Unit = inches
	n.Doubt = max(n.Doubt, in.Doubt)
	return k, true
}

// figure reads digits with separators, or a fraction.
func (n *Number) figure(text string, i int, ofFeet bool) (int, bool) {
	num, den, j := scanFraction(text, i)
	if j > i {
		n.setFraction(0, num, den)
		return j, true
	}
	whole, j, ok := n.decimal(text, i)
	if !ok {
		return i, false
	}
	if whole < 0 {
		return j, true
	}
	// A fraction may follow a whole number directly, after - or a space: 0 1/8 are
	// two, as readings along an arc, if it is not of feet and inches.
	k := j
	if whole == 0 && !ofFeet && strings.HasPrefix(text[j:], " ") {
		return j, true
	}
	if k < len(text) && (text[k] == '-' || text[k] == ' ') {
		k++
	}
	if num, den, end := scanFraction(text, k); end > k {
		n.setFraction(whole, num, den)
		return end, true
	}
	return j, true
}

// decimal reads digits with at most one decimal separator and groups of
// thousands. whole is -1 unless the figure is a whole number.
func (n *Number) decimal(text string, i int) (whole int64, end int, ok bool) {
	j := digits(text, i)
	first := j - i
	if first == 0 && !(i+1 < len(text) && text[i] == '.' && IsDigit(text[i+1]) && (i == 0 || strings.IndexByte(" \t\n=(+-±", text[i-1]) >= 0)) {
		return 0, i, false
	}
	seps, groups, last := "", true, 0
	for j+1 < len(text) && (text[j] == '.' || text[j] == ',') && IsDigit(text[j+1]) {
		k := digits(text, j+1)
		if len(seps) > 0 && last != 3 {
			groups = false
		}
		seps, last = seps+text[j:j+1], k-j-1
		j = k
	}
	n.set(text[i:j], n.separators(text[i:j], seps, first, last, groups))
	if len(seps) > 0 {
		return -1, j, true
	}
	return int64(n.Plain), j, true
}

// separators returns the place of the decimal separator in a figure, -1 for
// none, and notes a figure that can be read in two ways or in none.
func (n *Number) separators(figure, seps string, first, last int, groups bool) int {
	switch {
	case seps == "":
		return -1
	case len(seps) == 1 && last == 3 && first > 0 && strings.Trim(figure[:first], "0") != "":
		n.Doubt = Separator
	case len(seps) == 1 && seps == "," && last > 3:
		n.Doubt = Unreadable
	case len(seps) == 1:
		return first
	case !groups || first == 0 || first > 3 || strings.Trim(seps[:len(seps)-1], seps[:1]) != "":
		n.Doubt = Unreadable
	case seps[len(seps)-1] != seps[0]:
		return len(figure) - last - 1
	case last != 3:
		n.Doubt = Unreadable
	}
	return -1
}

// set takes the figure with its decimal separator at point, -1 for none.
func (n *Number) set(figure string, point int) {
	var millionths int64
	whole, decimals := 0, 0
	for i := range len(figure) {
		c := figure[i]
		switch {
		case !IsDigit(c):
			continue
		case point >= 0 && i > point:
			decimals++
		case whole > 0 || c != '0':
			whole++
		}
		if whole > maxWhole || decimals > maxDecimals {
			n.Doubt = Unreadable
			return
		}
		millionths = millionths*10 + int64(c-'0')
	}
	for ; decimals < maxDecimals; decimals++ {
		millionths *= 10
	}
	n.Plain = float64(millionths) / micro
	n.Length = calc.Length(millionths) // a millionth of a millimetre
}

// setFraction takes whole + num/den; only inches come in fractions.
func (n *Number) setFraction(whole, num, den int64) {
	n.Plain = float64(whole) + float64(num)/float64(den)
	n.Length = calc.Length(whole)*calc.Inch + calc.Length(num)*calc.Inch/calc.Length(den)
	if n.Doubt == Certain {
		n.Doubt = Fraction
	}
	if den&(den-1) != 0 {
		n.Doubt = OddFraction // ⅓
	}
}

// decimals takes the one separator of a figure for the decimals': 1.068 m are
// no thousand metres, and 1.375 in is an odd eighth.
func (n *Number) decimals(figure string) {
	if n.Doubt == Separator {
		n.Doubt = Certain
		n.set(figure, strings.IndexAny(figure, ".,"))
	}
}

// ShareUnit gives the unit of the last of several numbers joined by x to all of
// them, where the others have none: 41-3/8x92-1/2x1-3/4 in.
func ShareUnit(joined []*Number) {
	last := joined[len(joined)-1].Unit
	name := map[Unit]string{millimetres: "mm", centimetres: "cm", metres: "m", inches: "in", feet: "ft"}[last]
	if name == "" || slices.ContainsFunc(joined[:len(joined)-1], func(n *Number) bool { return n.Unit != Bare }) {
		return
	}
	for _, n := range joined[:len(joined)-1] {
		if last == metres {
			n.decimals(n.Raw)
		}
		n.setUnit(last)
		n.Raw += " " + name
	}
}

// setUnit gives the figure its unit.
func (n *Number) setUnit(u Unit) {
	millionths := int64(n.Length)
	n.Unit = u
	switch {
	case n.Doubt == Fraction && u == inches:
		n.Doubt = Certain // its length is in inches
	case n.Doubt == Fraction && n.Spoken && LengthUnit(u) && u != feet: // four and a half centimetres
		n.Doubt, n.Length = Certain, calc.Length(math.Round(n.Plain*micro))
		n.setUnit(u)
	case n.Doubt == Fraction:
		n.Doubt = OddFraction
	case u == centimetres:
		n.Length = calc.Length(millionths * 10)
	case u == metres:
		n.Length = calc.Length(millionths * 1000)
	case u == inches:
		n.Length = calc.Length((millionths*254 + 5) / 10)
	case u == feet:
		n.Length = calc.Length((millionths*3048 + 5) / 10)
	}
}

// scanTolerance reads ± or +/- and a magnitude. One unit serves both.
func scanTolerance(text string, i int, u Unit) (int, Number, bool) {
	var tol Number
	j := skip(text, i, " ")
	k := j
	for _, sign := range [...]string{"±", "+/-", "+-", "+/−"} {
		if strings.HasPrefix(text[j:], sign) {
			k = j + len(sign)
			break
		}
	}
	if k == j {
		return i, tol, false
	}
	k, ok := tol.magnitude(text, skip(text, k, " "))
	if !ok {
		return i, tol, false
	}
	if tol.Unit == Bare {
		tol.setUnit(u)
	}
	return k, tol, true
}

// vulgar fractions that phones type as one character.
var vulgar = map[rune][2]int64{
	'½': {1, 2}, '¼': {1, 4}, '¾': {3, 4}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
	'⅓': {1, 3}, '⅔': {2, 3}, '⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
}

// scanFraction reads a fraction of an inch less than one, as 3/4 or ¾; its
// end is i if there is none.
func scanFraction(text string, i int) (num, den int64, end int) {
	if r, size := utf8.DecodeRuneInString(text[i:]); r >= utf8.RuneSelf {
		if f, ok := vulgar[r]; ok {
			return f[0], f[1], i + size
		}
		return 0, 0, i
	}
	j := digits(text, i)
	if j == i || j-i > 2 || j >= len(text) {
		return 0, 0, i
	}
	k := j + 1
	if text[j] != '/' {
		if !strings.HasPrefix(text[j:], "⁄") {
			return 0, 0, i
		}
		k = j + len("⁄")
	}
	end = digits(text, k)
	if end == k || end-k > 2 {
		return 0, 0, i
	}
	num, den = small(text[i:j]), small(text[k:end])
	if num == 0 || num >= den || den > 64 || den&(den-1) != 0 {
		return 0, 0, i // 54/60 is two numbers
	}
	return num, den, end
}

// unitMarks are the units that are signs; the longer ones first.
var unitMarks = [...]struct {
	mark string
	unit Unit
}{
	{"''", inches}, {"’’", inches}, {"′′", inches}, {`"`, inches}, {"”", inches}, {"“", inches}, {"″", inches},
	{"'", feet}, {"’", feet}, {"′", feet}, {"°", Degrees}, {"º", Degrees},
}

// scanUnit reads the unit after a number that ends at i, and returns where
// the unit ends; bare and i if there is none.
func scanUnit(text string, i int) (Unit, int) {
	j := skip(text, i, " ")
	k := j
	for k < len(text) && isLetter(text[k]) {
		k++
	}
	if k > j && k < len(text) && IsDigit(text[k]) && text[k-1]|0x20 == 'x' {
		k-- // 1100mmx2400
	}
	if k > j {
		var low [16]byte
		if k-j > len(low) || k < len(text) && (IsDigit(text[k]) || text[k] == '_' || text[k] >= utf8.RuneSelf && !isUnitMark(text[k:]) && !strings.HasPrefix(text[k:], "×")) {
			return Bare, i
		}
		for n := j; n < k; n++ {
			low[n-j] = text[n] | 0x20
		}
		if u, ok := UnitWords[string(low[:k-j])]; ok {
			return u, k
		}
		return Bare, i
	}
	for _, m := range unitMarks {
		if strings.HasPrefix(text[j:], m.mark) {
			return m.unit, j + len(m.mark)
		}
	}
	return Bare, i
}

// inPlace matches an in that is no unit.
var inPlace = regexp.MustCompile(`^ *(?i:in) (?i:here|there|half|steps|(?:a|an|the|our|that|this|each) (?:room|hall|hallway|corridor|passage|basement|cellar|shell|building|garage|shade|shaft|morning|night|sun|opening|hole|wall|hoist|lift|van|house|flat|workshop))\b`)

func isUnitMark(s string) bool {
	for _, m := range unitMarks {
		if strings.HasPrefix(s, m.mark) {
			return true
		}
	}
	return false
}

// isWordIn reports whether the unit after i is spelled "in".
func isWordIn(text string, i int) bool {
	j := skip(text, i, " ")
	return len(text) >= j+2 && strings.EqualFold(text[j:j+2], "in") && (len(text) == j+2 || !isLetter(text[j+2]))
}

// quoteBefore reports whether a quotation mark stands right before i.
func quoteBefore(text string, i int) bool {
	for _, q := range [...]string{`"`, "“", "”", "'", "‘", "’"} {
		if strings.HasSuffix(text[:i], q) {
			return true
		}
	}
	return false
}

// SignAt returns the sign at text[i] and its size, 0 if there is none.
func SignAt(text string, i int) (sign, size int) {
	switch {
	case text[i] == '+':
		return 1, 1
	case text[i] == '-':
		return -1, 1
	case strings.HasPrefix(text[i:], "−"):
		return -1, len("−")
	}
	return 0, 0
}

func skip(text string, i int, set string) int {
	for i < len(text) && strings.IndexByte(set, text[i]) >= 0 {
		i++
	}
	return i
}

func digits(text string, i int) int {
	for i < len(text) && IsDigit(text[i]) {
		i++
	}
	return i
}

func small(s string) (n int64) {
	for i := range len(s) {
		n = n*10 + int64(s[i]-'0')
	}
	return n
}

func IsDigit(c byte) bool { return '0' <= c && c <= '9' }

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// String returns the number as it was typed.
func (n *Number) String() string { return n.Raw }

// Counts reports whether the number can tell how many there are of something.
func (n *Number) Counts() bool {
	return n.Unit == Bare && !n.Signed && !n.Toleranced && n.Plain >= 1 && n.Plain == math.Trunc(n.Plain)
}
