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

// FlatnessByGrid returns the largest deviation of a line of heights, read at
// equal distances, from the straight line between both neighbours.
//
//	deviation = h − (before + after)/2
//
// This is the grid method of DIN 18202; the gauge value belongs to twice the
// distance of the readings. A hump is above 0, a hollow below. It returns a
// [*NeedError] for fewer than three heights and a [*RangeError] for one that is
// out of bounds.
func FlatnessByGrid(heights []Length) (Length, error) {
	if len(heights) < 3 {
		return 0, &NeedError{Name: "heights", Why: "flatness takes three in a line"}
	}
	for _, h := range heights {
		if err := floorHeightBounds.check(h); err != nil {
			return 0, err
		}
	}
	var worst Length
	for i := 1; i+1 < len(heights); i++ {
		if d := nearest(float64(2*heights[i]-heights[i-1]-heights[i+1]) / 2); d.Abs() > worst.Abs() {
			worst = d
		}
	}
	return worst, nil
}
