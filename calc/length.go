package calc

import (
	"math"
	"strconv"
)

// Length is a distance in whole nanometres. A millimetre and 1/64 inch
// (396 875 nm) are both whole, so metric and inch lengths add, compare
// with == and survive storage unchanged.
type Length int64

// Units of length. The inch is exactly 25.4 mm (international yard and
// pound agreement of 1959; NIST SP 811 App. B, from memory).
const (
	Nanometre  Length = 1
	Micrometre Length = 1000
	Millimetre Length = 1000 * Micrometre
	Centimetre Length = 10 * Millimetre
	Metre      Length = 1000 * Millimetre
	Inch       Length = 25_400_000
	Foot       Length = 12 * Inch
)

// MM returns the length of n millimetres, to the nearest nanometre.
func MM(n float64) Length { return nearest(n * float64(Millimetre)) }

// nearest returns the nanometres nearest to nm.
func nearest(nm float64) Length { return Length(math.Round(nm)) }

// MM returns the length in millimetres.
func (l Length) MM() float64 { return float64(l) / float64(Millimetre) }

// Up returns the smallest multiple of step that is not below l; l itself
// if step is not positive.
func (l Length) Up(step Length) Length { return -(-l).Down(step) }

// Down returns the largest multiple of step that is not above l; l itself
// if step is not positive.
func (l Length) Down(step Length) Length {
	if step <= 0 {
		return l
	}
	r := l % step
	if r < 0 {
		r += step
	}
	return l - r
}

// Nearest returns the multiple of step nearest to l, the upper one of two
// that are equally near; l itself if step is not positive.
func (l Length) Nearest(step Length) Length { return (l + max(0, step)/2).Down(step) }

// Dimension is a length as computed and as it is set out: a multiple of a
// step, on the safe side of the exact one.
type Dimension struct{ Exact, SetOut Length }

func up(l, step Length) Dimension     { return Dimension{l, l.Up(step)} }
func down(l, step Length) Dimension   { return Dimension{l, l.Down(step)} }
func toStep(l, step Length) Dimension { return Dimension{l, l.Nearest(step)} }

// Abs returns l without its sign.
func (l Length) Abs() Length { return max(l, -l) }

// String returns l in millimetres with as many decimals as it needs, at
// most six, as "7.5 mm".
func (l Length) String() string {
	return strconv.FormatFloat(l.MM(), 'f', -1, 64) + " mm"
}

// Short returns l in millimetres to a hundredth, for people: what was given in
// inches has more decimals than any tape.
func (l Length) Short() string { return l.Nearest(Millimetre / 100).String() }

// AppendInches appends the figure of l in inches to b: with a fraction where
// it is exactly whole 64ths, as "2-29/32", else in decimals to a ten-thousandth.
func (l Length) AppendInches(b []byte) []byte {
	const sixtyFourth = Inch / 64
	if l%sixtyFourth != 0 {
		const digits = 1e4
		return strconv.AppendFloat(b, math.Round(float64(l)/float64(Inch)*digits)/digits+0, 'f', -1, 64) // + 0: no -0
	}
	if l < 0 {
		b = append(b, '-')
		l = -l
	}
	whole, num, den := int64(l/Inch), int64(l%Inch/sixtyFourth), int64(64)
	for num != 0 && num%2 == 0 {
		num, den = num/2, den/2
	}
	if whole != 0 || num == 0 {
		b = strconv.AppendInt(b, whole, 10)
		if num == 0 {
			return b
		}
		b = append(b, '-')
	}
	b = strconv.AppendInt(b, num, 10)
	b = append(b, '/')
	return strconv.AppendInt(b, den, 10)
}

// InInches returns l in inches, and in millimetres to a hundredth beside them,
// as "2-29/32 in (73.82 mm)", or "1.22 in (31 mm)" where no tape has a mark.
func (l Length) InInches() string {
	var buf [48]byte
	b := append(append(l.appendInch(buf[:0]), " ("...), l.Short()...)
	return string(append(b, ')'))
}

// MillimetresFirst is InInches for a length that is said or written in
// millimetres: where no tape has a mark they come first, as "31 mm (1.22 in)".
func (l Length) MillimetresFirst() string {
	if mark := l.Nearest(Inch / 64); (l - mark).Abs() <= Micrometre { // common practice, as above
		return l.InInches()
	}
	var buf [48]byte
	b := append(append(buf[:0], l.Short()...), " ("...)
	return string(append(l.appendInch(b), ')'))
}

// appendInch appends l in 64ths of an inch, as tapes have at most by common
// practice, or in its thousandths.
func (l Length) appendInch(b []byte) []byte {
	if mark := l.Nearest(Inch / 64); (l - mark).Abs() <= Micrometre {
		return append(mark.AppendInches(b), " in"...)
	}
	return append(strconv.AppendFloat(b, math.Round(float64(l)/float64(Inch)*1000)/1000+0, 'f', -1, 64), " in"...)
}

// Angle is a plane angle in degrees: a right angle is exactly 90, which a
// number of radians can't be.
type Angle float64

const (
	// RightAngle is a quarter turn.
	RightAngle Angle = 90
	// HalfTurn is the most a leaf can be opened.
	HalfTurn Angle = 180
)

// Radians returns a in radians.
func (a Angle) Radians() float64 { return float64(a) * math.Pi / 180 }

// degrees returns the Angle of a number of radians.
func degrees(radians float64) Angle { return Angle(radians * 180 / math.Pi) }

// Tenth returns a to a tenth of a degree, never further from 0 than a.
func (a Angle) Tenth() Angle {
	// One part in 10^12 keeps a tenth that carries a rounding error.
	return Angle(math.Trunc(float64(a)*10*(1+1e-12)) / 10)
}

// TenthUp returns the smallest tenth of a degree that is not below a.
func (a Angle) TenthUp() Angle {
	return Angle(math.Ceil(float64(a)*10*(1-1e-12)) / 10)
}

// sincos returns sine and cosine, exact at whole quarter turns.
func (a Angle) sincos() (sin, cos float64) {
	switch a {
	case 0:
		return 0, 1
	case RightAngle:
		return 1, 0
	case HalfTurn:
		return 0, -1
	}
	return math.Sincos(a.Radians())
}

// String returns a in degrees with as many decimals as it needs, as "90°".
func (a Angle) String() string { return strconv.FormatFloat(float64(a), 'f', -1, 64) + "°" }
