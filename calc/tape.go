package calc

// TapeSteel is the coefficient of expansion of a steel tape, 11.5·10⁻⁶/K
// (JCGM 100:2008, H.1, for a steel gauge).
const TapeSteel Expansion = 11.5e-6

// TapeClass is the accuracy class of a tape, as it is printed on it.
type TapeClass int

// The classes. UnsaidClass has no uncertainty told.
const (
	UnsaidClass TapeClass = iota
	ClassI
	ClassII
	ClassIII
)

// Taped is a length read on a tape.
type Taped struct {
	Length      Length // what the reading is at 20 °C
	Correction  Length // to the reading
	Uncertainty Length // either way; 0 without a class
}

var tapeWarmBounds = bounds[Temperature]{"temperature", -30, 60}

// Tape returns the length that a reading on a tape stands for.
//
//	length = reading·(1 + α·(T − 20 °C))      uncertainty = a + b·L
//
// where T is the tape's temperature, α its coefficient of expansion
// ([TapeSteel] for steel) and L the reading in metres, rounded up to whole
// ones; a and b are 0.1 and 0.1 mm in class I, 0.3 and 0.2 in II and 0.6 and
// 0.4 in III (directive 2014/32/EU, annex X, from memory). 20 °C is where
// tapes hold (ISO 1). A cold tape is short and reads too much. The pull on the
// tape, its sag and the reader aren't in it, nor is the growth of what is
// measured.
//
// Tape returns a [*RangeError] if a value is out of bounds.
func Tape(reading Length, t Temperature, α Expansion, class TapeClass) (Taped, error) {
	if err := tapeLengthBounds.check(reading); err != nil {
		return Taped{}, err
	}
	if err := tapeWarmBounds.check(t); err != nil {
		return Taped{}, err
	}
	if err := expansionBounds.check(α); err != nil {
		return Taped{}, err
	}
	if err := oneOf("class", int(class), int(ClassIII)); err != nil {
		return Taped{}, err
	}
	c := grown(reading, α, Kelvin(t-20))
	a := [...]Length{0, Millimetre / 10, 3 * Millimetre / 10, 6 * Millimetre / 10}[class]
	b := [...]Length{0, Millimetre / 10, 2 * Millimetre / 10, 4 * Millimetre / 10}[class]
	return Taped{Length: reading + c, Correction: c, Uncertainty: a + b*(reading.Up(Metre)/Metre)}, nil
}

// TapeReading returns what a tape shows for a length, the inverse of [Tape].
//
//	reading = length/(1 + α·(T − 20 °C))
//
// with 20 °C as in ISO 1. It returns a [*RangeError] if a value is out of bounds.
func TapeReading(length Length, t Temperature, α Expansion) (Length, error) {
	if err := tapeLengthBounds.named("length", length); err != nil {
		return 0, err
	}
	if err := tapeWarmBounds.check(t); err != nil {
		return 0, err
	}
	if err := expansionBounds.check(α); err != nil {
		return 0, err
	}
	return nearest(float64(length) / (1 + float64(α)*float64(t-20))), nil
}
