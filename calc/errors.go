package calc

import "fmt"

// Quantity is a value with a unit, as a [Length] or a [Mass].
type Quantity interface {
	fmt.Stringer
	quantity()
}

func (Length) quantity() {}
func (Angle) quantity()  {}

// RangeError says which quantity broke which bound.
type RangeError struct {
	Name  string   // the quantity, by its input or result name
	Value Quantity // what it is
	Bound Bound    // which side of Limit it must keep to
	Limit Quantity // the bound
	Why   Word     // what the bound is, if it is not the quantity's own range
}

// Bound is the side of a limit that a quantity must keep to.
type Bound int

// The sides of a limit.
const (
	AtLeast Bound = iota
	AtMost
	Above
	Below
)

// boundWords are the bounds in words, by bound.
var boundWords = [...]Word{"at least", "at most", "more than", "less than"}

// String returns the bound in words, as "at least".
func (b Bound) String() string { return string(boundWords[b]) }

// Sentence returns the bound as a key.
func (b Bound) Sentence() (key string, args []any) { return b.String(), nil }

func (e *RangeError) Error() string { return e.text().String() }

// Sentence says which quantity broke which bound, and what the bound is.
func (e *RangeError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *RangeError) text() Text {
	value, limit := e.Value, e.Limit
	if v, ok := value.(Length); ok {
		if l, ok := limit.(Length); ok {
			value, limit = short(v, l)
		}
	}
	text := F("%s is %s, must be %s %s", Word(e.Name), value, e.Bound, limit)
	if e.Why != "" {
		text = F("%s: %s", text, e.Why)
	}
	return text
}

// short returns a length and the limit that it breaks to a hundredth of a
// millimetre, rounded so that it still does.
func short(l, limit Length) (Length, Length) {
	if l > limit {
		return l.Up(Millimetre / 100), limit.Down(Millimetre / 100)
	}
	return l.Down(Millimetre / 100), limit.Up(Millimetre / 100)
}

// NeedError says that a calculation can't be done without a quantity that
// was not given and must not be assumed.
type NeedError struct {
	Name string // the quantity, by its input name
	Why  Word   // what it is needed for
}

func (e *NeedError) Error() string { return e.text().String() }

// Sentence says what is needed, and for what.
func (e *NeedError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *NeedError) text() Text { return F("%s is needed: %s", Word(e.Name), e.Why) }

// bounds are the limits within which a quantity makes sense. They are the
// project's own: wide enough for every leaf, narrow enough to catch a slip.
type bounds[T measured] struct {
	name     string
	min, max T
}

// check returns a [*RangeError] if v is outside b.
func (b *bounds[T]) check(v T) error { return b.named(b.name, v) }

// named is check for a quantity that goes by another name.
func (b *bounds[T]) named(name string, v T) error {
	if !(v >= b.min) { // NaN is refused too
		return &RangeError{Name: name, Value: v, Bound: AtLeast, Limit: b.min}
	}
	if v > b.max {
		return &RangeError{Name: name, Value: v, Bound: AtMost, Limit: b.max}
	}
	return nil
}

var (
	thicknessBounds = bounds[Length]{"thickness", 5 * Millimetre, 300 * Millimetre}
	widthBounds     = bounds[Length]{"width", 200 * Millimetre, 6000 * Millimetre}
	heightBounds    = bounds[Length]{"height", 300 * Millimetre, 10_000 * Millimetre}
	setbackBounds   = bounds[Length]{"setback", 0, 6000 * Millimetre}
	offsetBounds    = bounds[Length]{"offset", -300 * Millimetre, 300 * Millimetre}
	clearanceBounds = bounds[Length]{"clearance", 0, 100 * Millimetre}
	gapBounds       = bounds[Length]{"gap", 0, 200 * Millimetre}
	stepBounds      = bounds[Length]{"step", Millimetre / 10, 10 * Millimetre}
	depthBounds     = bounds[Length]{"depth", 1 * Millimetre, 500 * Millimetre}
	layerBounds     = bounds[Length]{"template", 0, 200 * Millimetre}
	coverBounds     = bounds[Length]{"cover", 0, 1000 * Millimetre}
	marginBounds    = bounds[Length]{"margin", 1 * Millimetre, 200 * Millimetre}
	plateBounds     = bounds[Length]{"plate_length", 1 * Millimetre, 1000 * Millimetre}
	openingBounds   = bounds[Length]{"opening", 200 * Millimetre, 6400 * Millimetre}
	clearBounds     = bounds[Length]{"clear_width", 200 * Millimetre, 6000 * Millimetre}
	markBounds      = bounds[Length]{"mark", 1 * Millimetre, 900 * Millimetre}
	faceBounds      = bounds[Length]{"face", 0, 1000 * Millimetre}
	diagonalBounds  = bounds[Length]{"diagonal", 300 * Millimetre, 13_000 * Millimetre}
	keyBounds       = bounds[Length]{"key", 1 * Millimetre, 6000 * Millimetre}
	pointBounds     = bounds[Angle]{"point", 60, HalfTurn}
	angleBounds     = bounds[Angle]{"angle", 0, HalfTurn}
)

// named is a length with its name and its bounds.
type named struct {
	b    *bounds[Length]
	name string
	v    Length
}

// eachWithin returns the error of the first length that is out of bounds.
func eachWithin(all ...named) error {
	for _, v := range all {
		if err := v.b.named(v.name, v.v); err != nil {
			return err
		}
	}
	return nil
}
