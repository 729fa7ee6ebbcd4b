package calc

import "math"

// FlushInput is how far the closed leaf's face stands proud of the jambs' faces
// towards the opening side, read at its four corners.
type FlushInput struct {
	Width, Setback      Length
	Height              Length   // between the pivots
	Top, Bottom         EdgeGaps // the readings at the heel and at the leading edge
	ZTop, ZBottom       Length   // where they were read, above the floor pivot
	DX, DY              Length   // as in [LeanInput]
	PlumbDoubt          Length   // as in [MarginsInput]
	PlumbLimit          Length   // as from [PlumbLimit]
	FloorScrew          Adjuster // across the wall, forth towards the opening side
	HeadScrew           Adjuster
	TurnBack, TurnForth Angle // how far the closed position can be turned, each way
}

// Flush is how to set a leaf flush.
type Flush struct {
	RestAngle   Angle         // how far the closed leaf stands turned towards the opening side
	Twist       Length        // how much more the leading edge stands out at the top than the heel edge does, over the readings
	Floor, Head Move          // that bring the axis under the faces
	Left        Length        // the largest reading after that, with the leaf turned back by RestAngle
	Why         []MarginLimit // what forbids these moves: a range or the plumb limit; empty if nothing does
	Turned      bool          // the closed position can be turned that far
}

var proudBounds = bounds[Length]{"flush", -100 * Millimetre, 100 * Millimetre}

// FlushOf returns what four flush readings say: the angle at which the leaf
// comes to rest, its twist, and the moves of the pivots across the wall.
//
//	y(x, z) = F + (P − F)·z/h + x·tan α ± twist/4
//
// where F and P are how far floor and head pivot stand out, α is the rest
// angle and x counts from the axis, w − s at the leading edge and −s at the
// heel. Four readings have three such parts; what is left of them is the twist,
// (leading top − leading bottom) − (heel top − heel bottom), which no screw
// mends: with its quarter at each corner, one way and the other in turn, the
// largest reading is as small as it can be. The moves are −F and −P.
//
// FlushOf returns a [*RangeError] if a value is out of bounds.
func FlushOf(in FlushInput) (Flush, error) {
	if err := in.check(); err != nil {
		return Flush{}, err
	}
	w, s, h := float64(in.Width), float64(in.Setback), float64(in.Height)
	ht, hb, lt, lb := float64(in.Top.Heel), float64(in.Bottom.Heel), float64(in.Top.Lead), float64(in.Bottom.Lead)
	tan := (lt + lb - ht - hb) / 2 / w
	twist := lt - lb - (ht - hb)
	// The axis at the height of the readings, and on to the pivots.
	top := (ht+lt)/2 - tan*(w/2-s)
	bottom := (hb+lb)/2 - tan*(w/2-s)
	slope := (top - bottom) / float64(in.ZTop-in.ZBottom)
	floor := bottom - slope*float64(in.ZBottom)
	head := floor + slope*h
	f := Flush{RestAngle: degrees(math.Atan(tan)), Twist: nearest(twist), Left: nearest(math.Abs(twist) / 4)}
	f.Floor, f.Head = in.FloorScrew.move(-floor), in.HeadScrew.move(-head)
	if !in.FloorScrew.reaches(f.Floor.By) {
		f.Why = append(f.Why, FloorRange)
	}
	if !in.HeadScrew.reaches(f.Head.By) {
		f.Why = append(f.Why, HeadRange)
	}
	if hypot(float64(in.DX), float64(in.DY)+float64(f.Head.By-f.Floor.By)) > float64(in.PlumbLimit-in.PlumbDoubt) {
		f.Why = append(f.Why, PlumbKept)
	}
	f.Turned = f.RestAngle <= in.TurnBack && -f.RestAngle <= in.TurnForth
	return f, nil
}

// reaches says whether the screw can make a move.
func (a *Adjuster) reaches(by Length) bool { return by <= a.Forth && -by <= a.Back }

func (in *FlushInput) check() error {
	if err := heightBounds.check(in.Height); err != nil {
		return err
	}
	if err := setbackBounds.check(in.Setback); err != nil {
		return err
	}
	if err := checkWidth(in.Width, in.Setback); err != nil {
		return err
	}
	if err := plumbBounds.check(in.PlumbLimit); err != nil {
		return err
	}
	if err := eachWithin(
		named{&proudBounds, "flush", in.Top.Heel}, named{&proudBounds, "flush", in.Top.Lead}, named{&proudBounds, "flush", in.Bottom.Heel}, named{&proudBounds, "flush", in.Bottom.Lead},
		named{&readAtBounds, "z", in.ZTop}, named{&readAtBounds, "z", in.ZBottom}, named{&axisBounds, "dx", in.DX}, named{&axisBounds, "dy", in.DY}, named{&gapBounds, "plumb_doubt", in.PlumbDoubt},
		named{&screwRangeBounds, "range", in.FloorScrew.Back}, named{&screwRangeBounds, "range", in.FloorScrew.Forth},
		named{&screwRangeBounds, "range", in.HeadScrew.Back}, named{&screwRangeBounds, "range", in.HeadScrew.Forth},
	); err != nil {
		return err
	}
	if in.ZTop-in.ZBottom < readApart {
		return &RangeError{Name: "z_top", Value: in.ZTop, Bound: AtLeast, Limit: in.ZBottom + readApart, Why: "100 mm above the lower reading"}
	}
	for _, a := range [2]*Adjuster{&in.FloorScrew, &in.HeadScrew} {
		if a.Pitch != 0 {
			if err := pitchBounds.check(a.Pitch); err != nil {
				return err
			}
		}
	}
	if err := angleBounds.named("rest", in.TurnBack); err != nil {
		return err
	}
	return angleBounds.named("rest", in.TurnForth)
}
