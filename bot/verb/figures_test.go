package verb_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
)

// A figure is a number as it is typed, and what it is in mm, kg, h, °C or degrees.
type figure struct {
	text  string
	value float64
}

// Manners are how the lengths of a text are typed.
const (
	bare     = "bare"
	mm       = "mm"
	sometime = "mm at some"
	cm       = "cm"
	metres   = "m"
	mil      = "mil"
	inches   = "inches"
	decimals = "decimal inches"
	spoken   = "number words"
)

// figureOf draws a number for f and types it.
func figureOf(r *rand.Rand, f fact, manner string) figure {
	n := f.lo + r.IntN(f.hi-f.lo+1)
	v := float64(n)
	if f.kind != length {
		if manner == spoken {
			return figure{words(r, n) + units[f.kind][0], v}
		}
		unit := pick(r, units[f.kind]...)
		if f.kind == celsius && (manner == inches || manner == decimals) {
			unit = " °C" // degrees beside inches may be °F
		}
		return figure{strconv.Itoa(n) + unit, v}
	}
	sign := ""
	if f.name == "offset" {
		sign = "+"
	}
	half := r.IntN(6) == 0 && n < f.hi && f.lo < 200
	if half && manner != spoken {
		v += 0.5
	}
	typed := sign + strconv.FormatFloat(v, 'f', -1, 64)
	switch manner {
	case mm:
		return figure{typed + pick(r, "mm", " mm"), v}
	case mil:
		return figure{typed + pick(r, "mil", " mil"), v}
	case sometime:
		return figure{typed + pick(r, "", "", "mm", " mm"), v}
	case cm:
		return figure{sign + strconv.FormatFloat(v/10, 'f', -1, 64) + pick(r, "cm", " cm"), v}
	case metres:
		if v >= 200 {
			return figure{strconv.FormatFloat(v/1000, 'f', -1, 64) + pick(r, " m", "m", " metres"), v}
		}
		return figure{typed + " mm", v}
	case inches, decimals:
		return inch(r, sign, max(1, int(v/25.4*16)), manner)
	case spoken:
		return figure{sign + words(r, n), v}
	}
	return figure{typed, v}
}

// units stand behind all that is no length: without one a mass or a time has no
// name.
var units = map[kind][]string{
	mass:    {" kilos", " kg", "kg"},
	hours:   {" hours", " h", "h"},
	celsius: {" degrees", " °C", "°C"},
	degrees: {" degrees", "°"},
	seconds: {" s", "s", " seconds"},
	speed:   {" m/s", "m/s"},
	newtons: {" N", "N"},
	percent: {" percent", " %", "%"},
	count:   {""},
}

// inch types so many sixteenths of an inch.
func inch(r *rand.Rand, sign string, n int, manner string) figure {
	v := float64(n) * 25.4 / 16
	unit := pick(r, `"`, " in", `″`)
	if manner == decimals {
		return figure{sign + strconv.FormatFloat(float64(n)/16, 'f', -1, 64) + unit, v}
	}
	feet := ""
	if n >= 12*16 && r.IntN(2) == 0 {
		feet, unit = strconv.Itoa(n/(12*16))+"' ", `"`
		n %= 12 * 16
		if n == 0 {
			return figure{strings.TrimSpace(feet), v}
		}
	}
	whole, part, of := n/16, n%16, 16
	for part > 0 && part%2 == 0 {
		part, of = part/2, of/2
	}
	switch {
	case part == 0:
		return figure{sign + feet + strconv.Itoa(whole) + unit, v}
	case whole == 0:
		return figure{fmt.Sprintf("%s%s%d/%d%s", sign, feet, part, of, unit), v}
	}
	return figure{fmt.Sprintf("%s%s%d%s%d/%d%s", sign, feet, whole, pick(r, "-", " "), part, of, unit), v}
}

var (
	ones = strings.Fields("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen")
	tens = strings.Fields("- - twenty thirty forty fifty sixty seventy eighty ninety")
)

// words speaks a whole number below ten thousand as one number only.
func words(r *rand.Rand, n int) string {
	switch {
	case n < 20:
		return ones[n]
	case n < 100 && n%10 == 0:
		return tens[n/10]
	case n < 100:
		return tens[n/10] + pick(r, " ", "-") + ones[n%10]
	case n < 1000 || n < 10000 && n%100 == 0 && n%1000 != 0 && r.IntN(2) == 0:
		return join(r, words(r, n/100)+" hundred", n%100)
	}
	return join(r, words(r, n/1000)+" thousand", n%1000)
}

// join speaks what is left behind hundreds or thousands.
func join(r *rand.Rand, head string, rest int) string {
	switch {
	case rest == 0:
		return head
	case rest < 100:
		return head + " and " + words(r, rest)
	}
	return head + " " + words(r, rest)
}

// pick draws one of several.
func pick[T any](r *rand.Rand, of ...T) T {
	return of[r.IntN(len(of))]
}
