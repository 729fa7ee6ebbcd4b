package calc

// Thread is a screw thread by its name and how far one turn moves it.
type Thread struct {
	Name  string
	Pitch Length
}

// Threads are coarse pitches: ISO 261 for M3 to M30, ASME B1.1 for the inch
// sizes, there 1/n of an inch for n threads an inch, 1/4-20 second hand and
// the others from memory.
var Threads = []Thread{
	{"M3", 500 * Micrometre}, {"M4", 700 * Micrometre}, {"M5", 800 * Micrometre}, {"M6", Millimetre}, {"M8", 1250 * Micrometre},
	{"M10", 1500 * Micrometre}, {"M12", 1750 * Micrometre}, {"M14", 2 * Millimetre}, {"M16", 2 * Millimetre}, {"M18", 2500 * Micrometre},
	{"M20", 2500 * Micrometre}, {"M22", 2500 * Micrometre}, {"M24", 3 * Millimetre}, {"M27", 3 * Millimetre}, {"M30", 3500 * Micrometre},
	{"1/4-20", Inch / 20}, {"5/16-18", Inch / 18}, {"3/8-16", Inch / 16}, {"7/16-14", Inch / 14}, {"1/2-13", Inch / 13},
	{"9/16-12", Inch / 12}, {"5/8-11", Inch / 11}, {"3/4-10", Inch / 10}, {"7/8-9", Inch / 9}, {"1-8", Inch / 8},
}

// ThreadNamed returns the thread of a name as [Threads] spells it.
func ThreadNamed(name string) (Thread, bool) {
	for _, t := range Threads {
		if t.Name == name {
			return t, true
		}
	}
	return Thread{}, false
}

// Turning is a way along a screw, said in four ways. None is rounded.
type Turning struct {
	Turns   Number
	Flats   Number // of a hexagon, six to a turn
	Degrees Angle
	Travel  Length
}

var (
	pitchBounds = bounds[Length]{"pitch", 200 * Micrometre, 10 * Millimetre}
	screwBounds = bounds[Length]{"travel", -500 * Millimetre, 500 * Millimetre}
	turnsBounds = bounds[Number]{"turns", -1000, 1000}
)

// TurnsFor returns how far a screw is turned to move by a travel.
//
//	turns = travel/pitch      flats = 6·turns      degrees = 360·turns
//
// A travel below 0 is the other way. The pitch is that of a single-start
// thread: one turn moves the screw by it. Lost motion isn't in it.
//
// TurnsFor returns a [*RangeError] if a value is out of bounds.
func TurnsFor(travel, pitch Length) (Turning, error) {
	if err := screwBounds.check(travel); err != nil {
		return Turning{}, err
	}
	if err := pitchBounds.check(pitch); err != nil {
		return Turning{}, err
	}
	return turningOf(Number(travel)/Number(pitch), travel), nil
}

// TravelOf returns how far a screw moves in a number of turns, the inverse of
// [TurnsFor]: travel = turns·pitch. It returns a [*RangeError] if a value is
// out of bounds.
func TravelOf(turns Number, pitch Length) (Turning, error) {
	if err := turnsBounds.check(turns); err != nil {
		return Turning{}, err
	}
	if err := pitchBounds.check(pitch); err != nil {
		return Turning{}, err
	}
	return turningOf(turns, nearest(float64(turns)*float64(pitch))), nil
}

// turningOf returns turns in all ways they are told: a flat is one of a hexagon's
// six, by definition.
func turningOf(turns Number, travel Length) Turning {
	return Turning{Turns: turns, Flats: 6 * turns, Degrees: Angle(360 * turns), Travel: travel}
}
