package verb

import (
	"math"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askFlush = &ask.Verb{
	Name: "flush", Summary: "how to set a closed leaf flush with its jambs, from how far it stands out at its corners",
	Words: []string{"flush", "stands proud", "leaf stands proud", "closed leaf stands proud", "sits proud", "is proud", "flush readings", "how do i set it flush", "set flush", "why is it not flush", "set leaf flush", "door stands out", "leaf stands out", "stands out at head", "door stands proud", "sticks out at head", "sits proud of frame", "door sits proud", "leaf sits proud", "isn't flush", "isnt flush", "leaf isn't flush", "door isn't flush"},
	Also: map[string]*ask.Input{"heel top": proudHeelTop, "heel bottom": proudHeelBottom, "lead top": proudLeadTop, "lead bottom": proudLeadBottom,
		"at heel top": proudHeelTop, "at heel bottom": proudHeelBottom, "at lead top": proudLeadTop, "at lead bottom": proudLeadBottom,
		"h_t": proudHeelTop, "h_b": proudHeelBottom, "l_t": proudLeadTop, "l_b": proudLeadBottom,
		"top heel": proudHeelTop, "bottom heel": proudHeelBottom, "top lead": proudLeadTop, "bottom lead": proudLeadBottom},
	Need: []*ask.Input{proudHeelTop, proudHeelBottom, proudLeadTop, proudLeadBottom, setback, width, height},
	Takes: []*ask.Input{proudHeelTop, proudHeelBottom, proudLeadTop, proudLeadBottom, setback, width, height, thickness, pivotHeight, readFrom,
		axisX, axisXSide, axisY, axisYSide, limit, floorRange, headRange},
	Box:     []*ask.Input{width, height, thickness},
	Example: "flush heel top 2, heel bottom 1, lead top 4, lead bottom 1, 960x2300x46, setback 70",
	Exact:   "flush proud_heel_top=2 proud_heel_bottom=1 proud_lead_top=4 proud_lead_bottom=1 width=960 height=2300 setback=70",
	Answer:  answerFlush,
}

// proud returns the input of how far the closed leaf stands out at a corner.
func proud(name, what, example string, words ...string) *ask.Input {
	return &ask.Input{Name: name, Zero: true, Signed: true, What: what, Example: example, Words: words}
}

var (
	proudHeelTop    = proud("proud_heel_top", "how far the closed leaf stands out towards the opening side at the heel edge, near the top; − stands back", "heel top +2", "proud heel top")
	proudHeelBottom = proud("proud_heel_bottom", "how far it stands out at the heel edge, near the bottom", "heel bottom +1", "proud heel bottom")
	proudLeadTop    = proud("proud_lead_top", "how far it stands out at the leading edge, near the top", "lead top -3", "proud lead top")
	proudLeadBottom = proud("proud_lead_bottom", "how far it stands out at the leading edge, near the bottom", "lead bottom 0", "proud lead bottom")
)

func answerFlush(k *ask.Inquiry) {
	in := calc.FlushInput{Top: calc.EdgeGaps{Heel: k.Length(proudHeelTop), Lead: k.Length(proudLeadTop)}, Bottom: calc.EdgeGaps{Heel: k.Length(proudHeelBottom), Lead: k.Length(proudLeadBottom)}}
	ownHeight(k)
	in.Setback, in.Width = k.Length(setback), k.Length(width)
	high := k.Length(height)
	in.Height = k.LengthOr(pivotHeight, high)
	from := k.LengthOr(readFrom, assumedReadFrom)
	in.ZBottom, in.ZTop = from, in.Height-from
	if k.Q.Named(thickness) != nil {
		k.Note("thickness is not needed for this: %s", k.Show(k.Length(thickness)))
	}
	a, ok := takePlumbed(k, in.Height)
	if !ok {
		return
	}
	in.DX, in.DY, in.PlumbDoubt, in.PlumbLimit = a.x, a.y, a.doubt, a.most
	if takeRanges(k, screw{floorRange, &in.FloorScrew}, screw{headRange, &in.HeadScrew}) {
		k.Mention("how far the pivots can be moved was not given for both: hold the moves against the hardware sheet, or give floor range and head range")
	}
	in.TurnBack, in.TurnForth = calc.RightAngle, calc.RightAngle // the sheet's stop is not asked for
	f, err := calc.FlushOf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	tellFlush(k, &f, in.Width-in.Setback)
	k.Source("the face as a plane through its four corners, what is left shared among them: plane geometry")
	k.General("pivots", "move the pivots a little at a time and read again, top and bottom; prop the leaf whenever a pivot is loosened; the hardware maker's instructions say which screws may be turned")
}

// tellFlush tells the moves across the wall, and what they leave; far is from the
// axis to the leading edge.
func tellFlush(k *ask.Inquiry, f *calc.Flush, far calc.Length) {
	round := func(l calc.Length) calc.Length { return l.Nearest(calc.Millimetre / 100) }
	var moves []say.Text
	for _, move := range []struct {
		name, forth, back string
		by                calc.Length
	}{
		{"move_floor", "floor pivot %s forth", "floor pivot %s back", f.Floor.By},
		{"move_head", "head pivot %s forth", "head pivot %s back", f.Head.By},
	} {
		k.Result(move.name, calc.Dimension{Exact: move.by, SetOut: round(move.by)})
		k.HideLast() // the headline has them
		switch by := round(move.by); {
		case by > 0:
			moves = append(moves, say.F(move.forth, k.Show(by)))
		case by < 0:
			moves = append(moves, say.F(move.back, k.Show(-by)))
		}
	}
	k.Degrees("rest_angle", f.RestAngle.Tenth(), f.RestAngle)
	k.HideLast()
	k.Result("twist", calc.Dimension{Exact: f.Twist, SetOut: round(f.Twist)})
	k.Result("stays_proud", calc.Dimension{Exact: f.Left, SetOut: round(f.Left)})
	swing := round(calc.Length(math.Tan(f.RestAngle.Radians()) * float64(far)))
	switch {
	case swing > 0:
		moves = append(moves, say.F("turn its closed position back, %s at the leading edge", k.Show(swing)))
	case swing < 0:
		moves = append(moves, say.F("turn its closed position on, %s at the leading edge", k.Show(-swing)))
	}
	if len(moves) == 0 {
		k.Headline("leave the pivots where they are")
	} else {
		k.Headline("%s", say.Join("; ", moves...))
		k.Mention("forth is towards the opening side, back away from it")
	}
	if round(f.Twist) != 0 {
		k.Working("leaf or jambs are twisted by %s over the readings: no screw mends that, at best %s stay at each corner", k.Show(round(f.Twist).Abs()), k.Show(round(f.Left)))
	}
	for _, why := range f.Why {
		k.Mention(flushNot[why])
	}
	k.Note("whether the closed position can be turned that far is in the hardware sheet")
}

// flushNot says what forbids the moves: keys.
var flushNot = map[calc.MarginLimit]string{
	calc.FloorRange: "the floor pivot can't be moved that far",
	calc.HeadRange:  "the head pivot can't be moved that far",
	calc.PlumbKept:  "these moves take the head pivot further off plumb than the limit: the jambs' faces are not plumb themselves",
}
