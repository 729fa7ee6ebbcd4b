package calc

import "math"

// Wood is how wood and what is made of it swell, by percent of moisture
// content: across the grain radially and tangentially, or in the plane of a
// board.
type Wood struct {
	Name       string
	Radial     Swelling
	Tangential Swelling
}

// Woods are differential swellings, from memory (DIN 68100). Along the grain
// wood moves about a fiftieth of that.
var Woods = []Wood{
	{"spruce", 0.0019, 0.0039},
	{"pine", 0.0019, 0.0036},
	{"larch", 0.0014, 0.0030},
	{"oak", 0.0016, 0.0036},
	{"beech", 0.0020, 0.0041},
	{"ash", 0.0021, 0.0038},
	{"maple", 0.0015, 0.0026},
	{"walnut", 0.0018, 0.0029},
	{"teak", 0.0016, 0.0026},
	{"plywood", 0.0002, 0.0002},
	{"chipboard", 0.00035, 0.00035},
	{"MDF", 0.0004, 0.0004},
	{"OSB", 0.0003, 0.0003},
}

// WoodNamed returns the wood of a name as [Woods] spells it.
func WoodNamed(name string) (Wood, bool) {
	for _, w := range Woods {
		if w.Name == name {
			return w, true
		}
	}
	return Wood{}, false
}

// Strip is a part of a leaf's width in which the grain runs up and down.
type Strip struct {
	Width    Length // across the grain
	Swelling Swelling
}

// Movement is how wood changes its width.
type Movement struct {
	Movement Dimension // below 0 if it shrinks, rounded away from 0
	Spare    Length    // what swelling leaves of the clearance; below 0, the leaf jams
}

var (
	swellingBounds = bounds[Swelling]{"swelling", 0, 0.01}
	stripBounds    = bounds[Length]{"across", 0, 6000 * Millimetre}
	moistensBounds = bounds[Percent]{"moisture_change", -30, 30}
	contentBounds  = bounds[Percent]{"moisture", 0, 30}
	humidityBounds = bounds[Percent]{"humidity", 0, 99}
	warmRoomBounds = bounds[Temperature]{"temperature", -20, 100}
)

// MoistureMovement returns by how much a leaf's width changes with the
// moisture content of its wood, and what that leaves of the clearance beside
// it.
//
//	movement = Σ wᵢ·kᵢ·ΔMC      spare = clearance − movement
//
// where wᵢ is the width of a part across the grain, kᵢ its differential
// swelling and ΔMC the change of moisture content in percent. Only parts whose
// grain runs up and down count: the stiles of a frame, not its rails. Linear
// from about 5 to 20 % of moisture content. Both gaps share the movement; all
// of it is held against the clearance given, as if one took it.
//
// MoistureMovement returns a [*NeedError] without parts and a [*RangeError] if
// a value is out of bounds or the parts are wider than 6 m.
func MoistureMovement(parts []Strip, change Percent, clearance, step Length) (Movement, error) {
	if len(parts) == 0 {
		return Movement{}, &NeedError{Name: "across", Why: "which parts of the width have their grain upright"}
	}
	if err := moistensBounds.check(change); err != nil {
		return Movement{}, err
	}
	if err := clearanceBounds.check(clearance); err != nil {
		return Movement{}, err
	}
	if err := stepBounds.check(step); err != nil {
		return Movement{}, err
	}
	moves, all := 0.0, Length(0)
	for _, p := range parts {
		if err := stripBounds.check(p.Width); err != nil {
			return Movement{}, err
		}
		if err := swellingBounds.check(p.Swelling); err != nil {
			return Movement{}, err
		}
		all += p.Width
		if err := stripBounds.check(all); err != nil {
			return Movement{}, err
		}
		moves += float64(p.Width) * float64(p.Swelling) * float64(change)
	}
	m := away(nearest(moves), step)
	return Movement{Movement: m, Spare: clearance - m.Exact}, nil
}

// MoistureChange returns the change from one moisture content of wood to another.
// It returns a [*RangeError] for more than wood holds before it stops swelling,
// 30 %, from memory.
func MoistureChange(before, after Percent) (Percent, error) {
	if err := contentBounds.named("moisture_before", before); err != nil {
		return 0, err
	}
	if err := contentBounds.named("moisture_after", after); err != nil {
		return 0, err
	}
	return after - before, nil
}

// WoodMoisture returns the moisture content that wood comes to in air of a
// temperature and relative humidity, in percent of its dry mass.
//
//	MC = 1800/W · (Kh/(1 − Kh) + (K₁Kh + 2K₁K₂K²h²)/(1 + K₁Kh + K₁K₂K²h²))
//	W  = 349 + 1.29T + 0.0135T²          K  = 0.805 + 0.000736T − 0.00000273T²
//	K₁ = 6.27 − 0.00938T − 0.000303T²    K₂ = 1.91 + 0.0407T − 0.000293T²
//
// where h is the relative humidity as a part of 1 and T the temperature in
// °C: the Hailwood-Horrobin equation for two hydrates with the coefficients of
// the Wood Handbook (USDA FPL-GTR-190, 4-5), from memory, held against an
// example that an encyclopedia works. Species differ a little, and wood
// follows the air in weeks to months, a varnished leaf later still.
//
// WoodMoisture returns a [*RangeError] if a value is out of bounds.
func WoodMoisture(t Temperature, humidity Percent) (Percent, error) {
	if err := warmRoomBounds.check(t); err != nil {
		return 0, err
	}
	if err := humidityBounds.check(humidity); err != nil {
		return 0, err
	}
	c := float64(t)
	w := 349 + 1.29*c + 0.0135*c*c
	kh := (0.805 + 0.000736*c - 0.00000273*c*c) * float64(humidity) / 100
	k1 := 6.27 - 0.00938*c - 0.000303*c*c
	k2 := 1.91 + 0.0407*c - 0.000293*c*c
	bound := (k1*kh + 2*k1*k2*kh*kh) / (1 + k1*kh + k1*k2*kh*kh)
	return Percent(1800 / w * (kh/(1-kh) + bound)), nil
}

// HeatedHumidity returns the relative humidity of outdoor air once it is
// warmed to a room's temperature, nothing added.
//
//	h_in = h_out·p(T_out)/p(T_in)      p(T) = 611.2 Pa·exp(17.62·T/(243.12 °C + T))
//
// where p is the saturation vapour pressure over water (Magnus formula, WMO
// No. 8, from memory): the air's own vapour pressure stays what it is. People
// and plants add moisture, so a lived-in room is damper.
//
// HeatedHumidity returns a [*RangeError] if a value is out of bounds or the
// room is colder than outdoors.
func HeatedHumidity(outdoors Temperature, humidity Percent, room Temperature) (Percent, error) {
	if err := airBounds.check(outdoors); err != nil {
		return 0, err
	}
	if err := humidityBounds.check(humidity); err != nil {
		return 0, err
	}
	b := bounds[Temperature]{"room_temperature", outdoors, airBounds.max}
	if err := b.check(room); err != nil {
		return 0, err
	}
	magnus := func(t Temperature) float64 { return 17.62 * float64(t) / (243.12 + float64(t)) }
	return humidity * Percent(math.Exp(magnus(outdoors)-magnus(room))), nil
}
