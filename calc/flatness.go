package calc

import "math"

// FlatnessRow is a row of DIN 18202, table 3: limits of flatness.
type FlatnessRow int

// The rows of finished and unfinished floors, walls and soffits.
const (
	UnfinishedSlab      FlatnessRow = iota + 1
	UnfinishedFloor                 // higher demands, or to be covered by a floating screed or tiles
	FinishedFloor                   // screeds and coverings
	FinishedFloorStrict             // the same, higher demands
	UnfinishedWall                  // and soffits
	FinishedWall                    // and soffits
	FinishedWallStrict              // the same, higher demands
)

// flatness is DIN 18202:2019, table 3, in mm, at the standard's own distances,
// as a trade's handbook prints it.
var (
	flatnessAt = [5]Length{100 * Millimetre, Metre, 4 * Metre, 10 * Metre, 15 * Metre}
	flatness   = [7][5]Length{
		{10, 15, 20, 25, 30},
		{5, 8, 12, 15, 20},
		{2, 4, 10, 12, 15},
		{1, 3, 9, 12, 15},
		{5, 10, 15, 25, 30},
		{3, 5, 10, 20, 25},
		{2, 3, 8, 15, 20},
	}
	flatnessBounds = bounds[Length]{"distance", 100 * Millimetre, 15 * Metre}
	rowBounds      = bounds[Number]{"row", 1, 7}
)

// FlatnessLimit returns the gauge value of a row of DIN 18202, table 3, for a
// distance between the points of support.
//
// Between the standard's distances it is interpolated and rounded to whole
// millimetres. FlatnessLimit returns a [*RangeError] for a distance outside 0.1
// to 15 m, or a row that the table does not have.
func FlatnessLimit(row FlatnessRow, distance Length) (Length, error) {
	if err := rowBounds.check(Number(row)); err != nil {
		return 0, err
	}
	if err := flatnessBounds.check(distance); err != nil {
		return 0, err
	}
	values, k := &flatness[row-1], 1
	for distance > flatnessAt[k] {
		k++
	}
	part := float64(distance-flatnessAt[k-1]) / float64(flatnessAt[k]-flatnessAt[k-1])
	mm := float64(values[k-1]) + part*float64(values[k]-values[k-1])
	return Length(math.Round(mm)) * Millimetre, nil
}

// Flatness is the deviation of a line of heights that comes nearest to its gauge
// value, or exceeds it most.
type Flatness struct {
	Deviation Length // a hump is above 0, a hollow below
	Limit     Length // its gauge value
	Over      Length // the distance between the points of support
}

// Flat reports whether the deviation is within its gauge value.
func (f *Flatness) Flat() bool { return f.Deviation.Abs() <= f.Limit }

// FlatnessByGrid returns the worst deviation of a line of heights, read at equal
// distances, from the straight line between two others as far before as behind.
//
//	deviation = h − (before + after)/2
//
// This is the grid method of DIN 18202, over every distance that the readings
// give: what is flat from one reading to the next may be a hump of metres. The
// gauge value is that of [FlatnessLimit]. FlatnessByGrid returns a [*NeedError]
// for fewer than three heights and a [*RangeError] for a height or a distance
// that is out of bounds.
func FlatnessByGrid(row FlatnessRow, spacing Length, heights []Length) (Flatness, error) {
	if len(heights) < 3 {
		return Flatness{}, &NeedError{Name: "heights", Why: "flatness takes three in a line"}
	}
	for _, h := range heights {
		if err := floorHeightBounds.check(h); err != nil {
			return Flatness{}, err
		}
	}
	var worst Flatness
	for apart := 1; 2*apart < len(heights); apart++ {
		over := 2 * spacing * Length(apart)
		if apart > 1 && over > flatnessBounds.max {
			break
		}
		limit, err := FlatnessLimit(row, over)
		if err != nil {
			return Flatness{}, err
		}
		for i := apart; i+apart < len(heights); i++ {
			d := nearest(float64(2*heights[i]-heights[i-apart]-heights[i+apart]) / 2)
			if worst.Limit == 0 || float64(d.Abs())/float64(limit) > float64(worst.Deviation.Abs())/float64(worst.Limit) {
				worst = Flatness{Deviation: d, Limit: limit, Over: over}
			}
		}
	}
	return worst, nil
}
