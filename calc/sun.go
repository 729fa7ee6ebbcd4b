package calc

// Expanding is how a material grows with its temperature.
type Expanding struct {
	Name      string
	Expansion Expansion
	Source    Word
}

// Expansions are published coefficients of linear expansion, from memory.
var Expansions = []Expanding{
	{"aluminium", 23e-6, "EN 1999-1-1, 3.2.5"},
	{"steel", 12e-6, "EN 1993-1-1, 3.2.6"},
	{"stainless steel", 16e-6, "EN 10088-1, austenitic"},
	{"concrete", 10e-6, "EN 1991-1-5 table C.1"},
	{"glass", 9e-6, "EN 572-1"},
	{"wood along the grain", 5e-6, "EN 1991-1-5 table C.1"},
	{"brass", 19e-6, "common practice, no published source"},
	{"acrylic", 70e-6, "common practice, no published source"},
}

// Colour is how much of the sun a leaf's outer face takes up.
type Colour int

// The colours.
const (
	BrightFace Colour = iota
	LightFace
	DarkFace
)

var (
	expansionBounds  = bounds[Expansion]{"expansion", 0, 200e-6}
	differsBounds    = bounds[Kelvin]{"difference", -100, 100}
	airBounds        = bounds[Temperature]{"air", -50, 60}
	sunHeightBounds  = bounds[Length]{"height", 200 * Millimetre, 10_000 * Millimetre}
	sunThickBounds   = bounds[Length]{"thickness", 5 * Millimetre, 300 * Millimetre}
	tapeLengthBounds = bounds[Length]{"reading", 0, 100_000 * Millimetre}
)

// SunInput is a leaf in the sun.
type SunInput struct {
	Expansion Expansion
	Width     Length
	Height    Length
	Thickness Length
	Through   Kelvin // the outer face's temperature less the inner's
	Warmer    Kelvin // the leaf's mean temperature less that when it was set
	Step      Length
}

// Sun is what the sun does to a leaf. Bow is towards the warm face; growth is
// below 0 if the leaf is colder than it was.
type Sun struct {
	Bow          Dimension // over the height, rounded up
	BowAcross    Dimension // over the width, rounded up
	Growth       Dimension // of the width, rounded away from 0
	GrowthHeight Dimension // of the height, likewise
}

// SunOn returns how far a leaf bows and grows in the sun.
//
//	bow = α·|ΔT|·H²/(8t)      across the width with w² for H²
//	growth = α·ΔTₘ·w          of the height with H for w
//
// where α is the coefficient of expansion of the faces, ΔT the difference in
// temperature through the thickness t, H and w the leaf's height and width and
// ΔTₘ by how much the mean of both faces is warmer than when the gaps were
// set. The bow is the sagitta of an arc whose faces differ in length by α·ΔT, by
// plane geometry; it is for a leaf of one material, free to bend, the temperature running
// evenly through it. A leaf held by a lock in its middle bows less and pulls.
//
// SunOn returns a [*RangeError] if a value is out of bounds.
func SunOn(in SunInput) (Sun, error) {
	if err := expansionBounds.check(in.Expansion); err != nil {
		return Sun{}, err
	}
	if err := widthBounds.check(in.Width); err != nil {
		return Sun{}, err
	}
	if err := sunHeightBounds.check(in.Height); err != nil {
		return Sun{}, err
	}
	if err := sunThickBounds.check(in.Thickness); err != nil {
		return Sun{}, err
	}
	if err := differsBounds.check(in.Through); err != nil {
		return Sun{}, err
	}
	if err := differsBounds.named("warmer", in.Warmer); err != nil {
		return Sun{}, err
	}
	if err := stepBounds.check(in.Step); err != nil {
		return Sun{}, err
	}
	through := max(in.Through, -in.Through)
	bow := func(l Length) Dimension {
		return up(nearest(float64(in.Expansion)*float64(through)*float64(l)*float64(l)/(8*float64(in.Thickness))), in.Step)
	}
	return Sun{
		Bow:          bow(in.Height),
		BowAcross:    bow(in.Width),
		Growth:       away(grown(in.Width, in.Expansion, in.Warmer), in.Step),
		GrowthHeight: away(grown(in.Height, in.Expansion, in.Warmer), in.Step),
	}, nil
}

// grown returns by how much a length grows.
func grown(l Length, α Expansion, by Kelvin) Length {
	return nearest(float64(l) * float64(α) * float64(by))
}

// away rounds l away from 0.
func away(l, step Length) Dimension {
	if l < 0 {
		return down(l, step)
	}
	return up(l, step)
}

// Warming returns what [SunOn] asks for from the temperatures of a leaf's faces.
//
//	ΔT = T_outer − T_inner      ΔTₘ = (T_outer + T_inner)/2 − T_set
//
// where T_set is the temperature of the leaf when its gaps were set. It returns
// a [*RangeError] if a temperature is not within −50 to 110 °C.
func Warming(outer, inner, set Temperature) (through, warmer Kelvin, err error) {
	b := bounds[Temperature]{"outer", -50, 110}
	if err := b.check(outer); err != nil {
		return 0, 0, err
	}
	if err := b.named("inner", inner); err != nil {
		return 0, 0, err
	}
	if err := b.named("set", set); err != nil {
		return 0, 0, err
	}
	return Kelvin(outer - inner), Kelvin((outer+inner)/2 - set), nil
}

// FacadeTemperature returns how warm the outer face of a leaf gets in summer.
//
//	T = T_air + rise
//
// where T_air is the highest air temperature of the place and rise what the
// sun adds: on a bright, a light or a dark face 18, 30 or 42 K where it looks
// south-west, 0, 2 or 4 K where it looks north-east (EN 1991-1-5:2003, table
// 5.2, from memory; its values are for latitudes of 45° to 55°). Towards the
// south-west is the worst wall; where the side isn't known it is taken.
//
// FacadeTemperature returns a [*RangeError] if the air or the colour is out
// of bounds.
func FacadeTemperature(air Temperature, face Colour, northEast bool) (Temperature, error) {
	if err := airBounds.check(air); err != nil {
		return 0, err
	}
	if err := oneOf("colour", int(face), int(DarkFace)); err != nil {
		return 0, err
	}
	if northEast {
		return air + [...]Temperature{0, 2, 4}[face], nil
	}
	return air + [...]Temperature{18, 30, 42}[face], nil
}
