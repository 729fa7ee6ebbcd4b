package verb

import (
	"math"
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askMargins = &ask.Verb{
	Name: "margins", Summary: "how to move the pivots of a hung leaf so that its gaps come even",
	Words:    []string{"margins", "margin adjustment", "even margins", "how do i set margins", "hangs crooked", "leaf hangs crooked", "door hangs crooked", "hangs skew", "leaf hangs skew", "hangs out of line", "adjust margins", "adjust gaps", "even gaps out", "gaps read", "margins read", "margins are", "what adjustment", "what adjustments", "which adjustment", "how to adjust", "even up gaps", "even up margins", "even out margins", "even margins up", "square up margins", "how do i adjust", "how do i shift it", "which way do i adjust", "which way do i move it", "what do i adjust"},
	Everyday: []string{"margins"},
	Also:     map[string]*ask.Input{"want them all …": target, "want all …": target, "want them …": target, "want each …": target, "want them all at …": target, "both edges": target, "each edge": target, "both sides": target, "each side": target, "all round": target, "want …": target, "wants …": target},
	Need:     []*ask.Input{heelTop, heelBottom, leadTop, leadBottom, thickness, setback, width, height},
	Takes: []*ask.Input{heelTop, heelBottom, leadTop, leadBottom, target, gapHeel, gapLead, thickness, setback, width, height, offset, offsetSide, swing, pivotHeight, readFrom,
		axisX, axisXSide, axisY, axisYSide, limit, footHeel, footLead, headHeel, headLead, floorRange, headRange, heightRange, engagement, engagementLeast, deflection},
	Box:     []*ask.Input{width, height, thickness},
	Example: "margins heel top 9, heel bottom 6, lead top 4, lead bottom 7, target 6, 960x2300x46, setback 70",
	Exact:   "margins heel_top=9 heel_bottom=6 lead_top=4 lead_bottom=7 target=6 width=960 height=2300 thickness=46 setback=70",
	Answer:  answerMargins, Refuses: waitsForEvidence,
}

// cornerGap returns the input of the gap at one corner of the closed leaf.
func cornerGap(name, what, example string, edges ...string) *ask.Input {
	in := &ask.Input{Name: name, Zero: true, Along: wide, What: what, Example: example}
	_, end, _ := strings.Cut(name, "_")
	for _, e := range edges {
		is := strings.NewReplacer("EDGE", e, "END", end)
		for _, form := range []string{"EDGE END", "END EDGE", "EDGE at END", "EDGE gap END", "EDGE gap at END", "END EDGE gap", "EDGE side END", "at EDGE END", "at END EDGE", "END of EDGE"} {
			in.Words = append(in.Words, is.Replace(form))
		}
	}
	in.Words = append(in.Words, edges[0][:1]+"_"+end[:1]) // as lex has it, of heel 8 top and 6 bottom
	return in
}

var (
	heelTop    = cornerGap("heel_top", "gap at the heel edge as it hangs, read near the top", "heel top 9", "heel")
	heelBottom = cornerGap("heel_bottom", "gap at the heel edge, read near the bottom", "heel bottom 6", "heel")
	leadTop    = cornerGap("lead_top", "gap at the leading edge as it hangs, read near the top", "lead top 4", "lead", "leading", "leading edge")
	leadBottom = cornerGap("lead_bottom", "gap at the leading edge, read near the bottom", "lead bottom 7", "lead", "leading", "leading edge")
)

var target = &ask.Input{Name: "target", Along: wide, What: "the gap that is wanted at both edges; else say heel gap and lead gap", Example: "target 6",
	Words: []string{"target", "target gap", "wanted gap", "aim …", "to get …", "… all of them", "… everywhere", "… on all of them", "… all over", "aiming for …", "aim for …", "after …", "all to …", "all at …"}}

var readFrom = &ask.Input{Name: "read_from", Zero: true, What: "how far from the leaf's ends the gaps were read", Example: "read 150 from the ends",
	Words: []string{"read …", "read from …", "… from ends", "… from end"}}

var (
	footHeel = &ask.Input{Name: "foot_heel", Along: high, Zero: true, What: "gap under the leaf at its heel end", Example: "foot heel 7", Words: []string{"foot heel", "foot at heel"}}
	footLead = &ask.Input{Name: "foot_lead", Along: high, Zero: true, What: "gap under the leaf at its leading end", Example: "foot lead 6", Words: []string{"foot lead", "foot at lead"}}
	headHeel = &ask.Input{Name: "head_heel", Along: high, Zero: true, What: "gap over the leaf at its heel end", Example: "head heel 5", Words: []string{"head heel", "head at heel"}}
	headLead = &ask.Input{Name: "head_lead", Along: high, Zero: true, What: "gap over the leaf at its leading end", Example: "head lead 4", Words: []string{"head lead", "head at lead"}}
)

var (
	floorRange  = &ask.Input{Name: "floor_range", Zero: true, What: "how far the floor pivot can still be moved, each way", Example: "floor range 3", Words: []string{"floor range", "floor pivot range", "floor screw"}}
	headRange   = &ask.Input{Name: "head_range", Zero: true, What: "how far the head pivot can still be moved, each way", Example: "head range 4", Words: []string{"head range", "head pivot range", "head screw"}}
	heightRange = &ask.Input{Name: "height_range", Zero: true, What: "how far the leaf can still be raised or lowered", Example: "height range 2", Words: []string{"height range", "height screw"}}
)

// Values of margins that are taken unless said: our own.
const (
	assumedReadFrom = 100 * calc.Millimetre
	farthestScrew   = 100 * calc.Millimetre // what calc takes at most
)

func answerMargins(k *ask.Inquiry) {
	in := calc.MarginsInput{Top: calc.EdgeGaps{Heel: k.Length(heelTop), Lead: k.Length(leadTop)}, Bottom: calc.EdgeGaps{Heel: k.Length(heelBottom), Lead: k.Length(leadBottom)}}
	ownHeight(k)
	in.Setback, in.Width = k.Length(setback), k.Length(width)
	t, high := k.Length(thickness), k.Length(height)
	if !takeTarget(k, &in) || !takeNeed(k, &in, t) {
		return
	}
	in.Height = k.LengthOr(pivotHeight, high)
	from := k.LengthOr(readFrom, assumedReadFrom)
	in.ZBottom, in.ZTop = from, in.Height-from
	a, ok := takePlumbed(k, in.Height)
	if !ok || !takeEnds(k, &in) {
		return
	}
	in.DX, in.DY, in.PlumbDoubt, in.PlumbLimit = a.x, a.y, a.doubt, a.most
	takeScrews(k, &in)
	if k.Has(engagement) {
		in.Engagement, in.EngagementLeast = k.Length(engagement), k.Length(engagementLeast)+k.Length(deflection)
	}
	m, err := calc.MarginsOf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	tellMargins(k, &in, &m)
	drawMargins(k, &in, &m)
	k.Source("the leaf as a plane figure turned by a small angle; the least worst difference by linear programming")
	k.General("margins", "move the pivots a little at a time and read the gaps again; prop the leaf whenever a pivot is loosened, and keep hands out of the gaps; the hardware maker's instructions say which screws may be turned")
	k.General("trap", trapCaution)
}

// takeTarget takes the gaps that are wanted; false if they are asked for.
func takeTarget(k *ask.Inquiry, in *calc.MarginsInput) bool {
	var want calc.EdgeGaps
	if k.Q.Named(target) != nil {
		all := k.Length(target)
		want = calc.EdgeGaps{Heel: all, Lead: all}
	} else {
		if need := k.Missing(gapHeel, gapLead); len(need) == 1 {
			k.Ask(say.F("or one target for both edges"), need...)
			return false
		} else if len(need) == 2 {
			k.Ask(say.Text{}, target)
			return false
		}
		want = calc.EdgeGaps{Heel: k.Length(gapHeel), Lead: k.Length(gapLead)}
	}
	in.TargetTop, in.TargetBottom = want, want
	takeList(k, in)
	return true
}

// readWrong is what a gap that was read may be wrong, as the list has it: what a feeler
// gauge is good for (common practice, no published source).
const readWrong = calc.Millimetre / 5

// cornerOf is one of the four gaps.
type cornerOf struct {
	in                        *ask.Input
	edge                      *ask.Input // the gap of its edge, from the jamb's furthest point
	read, target, least, most *calc.Length
	becomes                   *calc.Length
}

// cornersOf returns the four gaps of an input, and what they become.
func cornersOf(in *calc.MarginsInput, m *calc.Margins) []cornerOf {
	of := func(i, edge *ask.Input, g func(*calc.EdgeGaps) *calc.Length, read, target *calc.EdgeGaps, l *calc.EdgeLimits, becomes *calc.EdgeGaps) cornerOf {
		return cornerOf{in: i, edge: edge, read: g(read), target: g(target), least: g(&l.Least), most: g(&l.Most), becomes: g(becomes)}
	}
	heel, lead := func(g *calc.EdgeGaps) *calc.Length { return &g.Heel }, func(g *calc.EdgeGaps) *calc.Length { return &g.Lead }
	return []cornerOf{
		of(heelTop, gapHeel, heel, &in.Top, &in.TargetTop, &in.LimitsTop, &m.Top), of(heelBottom, gapHeel, heel, &in.Bottom, &in.TargetBottom, &in.LimitsBottom, &m.Bottom),
		of(leadTop, gapLead, lead, &in.Top, &in.TargetTop, &in.LimitsTop, &m.Top), of(leadBottom, gapLead, lead, &in.Bottom, &in.TargetBottom, &in.LimitsBottom, &m.Bottom),
	}
}

// takeList takes what a door's list wants of each gap. Where a jamb leans they
// differ along an edge, and what is asked for is the gap at its furthest point, as
// the door's own is.
func takeList(k *ask.Inquiry, in *calc.MarginsInput) {
	var each []say.Text
	for _, c := range cornersOf(in, &calc.Margins{}) {
		d, ok := k.Door[ask.WantedDoor+c.in.Name]
		if !ok {
			return
		}
		*c.target += d.List[0] - k.Door[c.edge.Name].Length
		*c.least, *c.most = d.List[1], d.List[2]
		each = append(each, say.F("%s %s (%s to %s)", c.in.Said(), k.ShowOwn(*c.target), k.ShowOwn(d.List[1].Up(calc.Millimetre/100)), k.ShowOwn(d.List[2].Down(calc.Millimetre/100))))
	}
	in.Limited, in.Spare = true, readWrong
	if in.TargetTop == in.TargetBottom {
		k.Working("wanted, with what the list allows: %s", say.Join(", ", each...))
	} else {
		k.Mention("a jamb leans, so each gap has its own to come to: %s", say.Join(", ", each...))
	}
	if bow := k.Door[ask.BowDoor].List; len(bow) == 2 {
		in.Bow = calc.EdgeGaps{Heel: bow[0], Lead: bow[1]}
		k.Working("half way up the jambs stand in by %s at the heel and %s at the leading edge", k.ShowOwn(bow[0]), k.ShowOwn(bow[1]))
	}
}

// takeNeed works out the gaps below which the leaf can't turn.
func takeNeed(k *ask.Inquiry, in *calc.MarginsInput, t calc.Length) bool {
	turn := takeTurn(k)
	turn.Thickness, turn.Setback, turn.Width = t, in.Setback, in.Width
	g, err := calc.Gap(turn, 0, calc.Millimetre)
	if err != nil {
		k.Refuse(err)
		return false
	}
	in.Need = calc.EdgeGaps{Heel: g.HeelGrowth, Lead: g.LeadGrowth}
	k.Working("to turn, the heel edge needs %s and the leading edge %s: no gap may become less", k.Show(in.Need.Heel.Up(calc.Millimetre/100)), k.Show(in.Need.Lead.Up(calc.Millimetre/100)))
	k.Source(sagittaSource)
	return true
}

// axis is how the pivot axis stands, and how far it may stand off plumb.
type axis struct{ x, y, doubt, most calc.Length }

// takePlumbed takes how the axis stands now, by the question or as the door has
// it read, and the limit over a height.
func takePlumbed(k *ask.Inquiry, height calc.Length) (a axis, ok bool) {
	if a.x, a.y, ok = takeAxis(k); !ok {
		return a, false
	}
	var err error
	if a.most, err = calc.PlumbLimit(height, k.Length(limit)); err != nil {
		k.Refuse(err)
		return a, false
	}
	k.Working("the head pivot may stand %s off plumb", k.Show(a.most))
	if k.Q.Named(axisX) != nil || k.Q.Named(axisY) != nil {
		return a, true
	}
	read, known := k.Door[ask.PlumbDoor]
	switch _, sided := k.Door[axisX.Name]; {
	case !known:
		k.Assume(ask.Given{Name: axisX.Name, Shown: say.Plain(k.Show(0))}, say.F("the pivot axis is plumb now"))
		return a, true
	case sided:
		a.x, a.y = k.Length(axisX), k.Length(axisY)
	case read.Length > a.most:
		k.Fail("the head was read %s off plumb and not which way, so no move is sure to keep its limit of %s: say which way, as 2 to lead", k.ShowOwn(read.Length), k.Show(a.most))
		return a, false
	default:
		a.doubt = read.Length
		k.Mention("the head was read %s off plumb and not which way, so the worse way counts: say which way, as 2 to lead", k.ShowOwn(read.Length))
	}
	k.Mention("plumb is as it was read on %s: read it anew if a pivot was moved since", read.Text)
	return a, true
}

// takeEnds takes the gaps under and over the leaf; false if half of them is
// asked for.
func takeEnds(k *ask.Inquiry, in *calc.MarginsInput) bool {
	for _, end := range []struct {
		heel, lead *ask.Input
		into       *calc.EndGaps
	}{{footHeel, footLead, &in.Foot}, {headHeel, headLead, &in.Head}} {
		switch need := k.Missing(end.heel, end.lead); len(need) {
		case 0:
			*end.into = calc.EndGaps{Read: true, Heel: k.Length(end.heel), Lead: k.Length(end.lead)}
		case 1:
			k.Ask(say.F("it is read at both ends"), need...)
			return false
		}
	}
	if !in.Foot.Read || !in.Head.Read {
		k.Mention("the gaps under and over the leaf were not all given: look that it clears floor and head after the moves")
	}
	return true
}

// takeScrews takes how far the pivots can be moved.
func takeScrews(k *ask.Inquiry, in *calc.MarginsInput) {
	if takeRanges(k, screw{floorRange, &in.FloorScrew}, screw{headRange, &in.HeadScrew}, screw{heightRange, &in.HeightScrew}) {
		k.Mention("how far the pivots can be moved was not given for all of them: hold the moves against the hardware sheet, or give floor range, head range and height range")
	}
}

// A screw is an input that says how far it goes, and what takes that.
type screw struct {
	in   *ask.Input
	into *calc.Adjuster
}

// takeRanges takes how far some screws go, and returns whether that is not
// known of all: those go as far as calc takes.
func takeRanges(k *ask.Inquiry, screws ...screw) (unknown bool) {
	for _, s := range screws {
		far := calc.Length(farthestScrew)
		if k.Has(s.in) {
			far = k.Length(s.in)
		} else {
			unknown = true
		}
		*s.into = calc.Adjuster{Back: far, Forth: far}
		if own := k.Door[s.in.Name]; own.Turn != nil {
			s.into.Pitch, s.into.Clockwise = own.Turn.Pitch, own.Turn.Clockwise
		}
	}
	return unknown
}

// tellMargins tells the moves, and what comes of them.
func tellMargins(k *ask.Inquiry, in *calc.MarginsInput, m *calc.Margins) {
	round := func(l calc.Length) calc.Length { return l.Nearest(calc.Millimetre / 100) }
	var moves []say.Text
	for _, move := range movesOf(m) {
		k.Result(move.name, calc.Dimension{Exact: move.by, SetOut: round(move.by)})
		k.HideLast() // the headline has them
		if told := move.told(k.Show(round(move.by).Abs())); !told.IsZero() {
			moves = append(moves, move.turned(k, told))
		}
	}
	k.Result("worst_before", calc.Dimension{Exact: m.WorstBefore, SetOut: round(m.WorstBefore)})
	k.Result("worst_after", calc.Dimension{Exact: m.WorstAfter, SetOut: round(m.WorstAfter)})
	wasOut, staysOut := outOf(k, in, m)
	switch {
	case len(moves) == 0:
		k.Headline("leave the pivots where they are")
	case in.Limited && len(wasOut) == 0 && len(m.Broken) > 0:
		k.Headline("all four are in, but %s: %s", brokenNow(in, m), say.Join("; ", moves...))
	case in.Limited && len(wasOut) == 0:
		k.Headline("all four are in, and nothing has to be moved; nearer to what is wanted by %s", say.Join("; ", moves...))
	default:
		k.Headline("%s", say.Join("; ", moves...))
	}
	if in.Limited {
		k.Truth("within", len(staysOut) == 0)
		k.HideLast()
	}
	switch {
	case len(staysOut) > 0:
		k.Beside("but not all come in: %s", say.Join(", ", staysOut...))
	case len(wasOut) > 0:
		k.Beside("then all four are in")
	}
	k.Working("then top: heel %s, lead %s; bottom: heel %s, lead %s", k.Show(round(m.Top.Heel)), k.Show(round(m.Top.Lead)), k.Show(round(m.Bottom.Heel)), k.Show(round(m.Bottom.Lead)))
	k.Working("the head pivot then stands %s off plumb, as far as that is known", k.Show(round(m.Lean)))
	if in.Engagement > 0 {
		k.Plain("engagement_left", m.EngagementLeft)
		k.Working("head pivot: %s engaged, less the leaf's move of %s, whichever way: %s left, at least %s", k.Show(in.Engagement), k.Show(round(m.Height.By).Abs()), k.Show(m.EngagementLeft), k.Show(in.EngagementLeast))
	}
	for _, why := range m.Why {
		k.Mention(whyNot[why])
	}
}

// outOf returns which gaps are out of the limits of the door's list as the leaf
// hangs, and which stay out of them after the moves, with what they are then.
func outOf(k *ask.Inquiry, in *calc.MarginsInput, m *calc.Margins) (was, stays []say.Text) {
	if !in.Limited {
		return nil, nil
	}
	for _, c := range cornersOf(in, m) {
		if *c.read < *c.least || *c.read > *c.most {
			was = append(was, c.in.Said())
		}
		if *c.becomes < *c.least || *c.becomes > *c.most {
			stays = append(stays, say.F("%s %s", c.in.Said(), k.ShowOwn(*c.becomes)))
		}
	}
	return was, stays
}

// brokenNow tells what a leaf does not keep as it hangs.
func brokenNow(in *calc.MarginsInput, m *calc.Margins) say.Text {
	var all []say.Text
	for _, limit := range m.Broken {
		told := brokenNows[limit]
		if limit == calc.SwingNeed && min(in.Top.Heel, in.Bottom.Heel) >= in.Need.Heel && min(in.Top.Lead, in.Bottom.Lead) >= in.Need.Lead {
			told = "half way up a gap is too small for the leaf to turn"
		}
		all = append(all, say.F(told))
	}
	return say.Join(", ", all...)
}

// turned adds how far a screw is turned for a move, and which way, where the
// sheet says its pitch and from where it is looked at.
func (p *pivotMove) turned(k *ask.Inquiry, told say.Text) say.Text {
	own := k.Door[p.screw.Name].Turn
	if p.turn.Turns == 0 || own == nil {
		return told
	}
	turns := strconv.FormatFloat(math.Round(float64(p.turn.Turns)*100)/100, 'f', -1, 64)
	switch {
	case own.SeenFrom == "":
		return say.F("%s (%s turns)", told, turns)
	case p.turn.Clockwise:
		return say.F("%s (%s turns to the right, seen from %s)", told, turns, own.SeenFrom)
	}
	return say.F("%s (%s turns to the left, seen from %s)", told, turns, own.SeenFrom)
}

// pivotMove is how far a pivot, or the leaf, is moved: keys of how that is told.
type pivotMove struct {
	name, forth, back string
	by                calc.Length
	turn              calc.Move
	screw             *ask.Input
}

func movesOf(m *calc.Margins) [3]pivotMove {
	return [3]pivotMove{
		{"move_floor", "floor pivot %s towards the leading jamb", "floor pivot %s towards the heel jamb", m.Floor.By, m.Floor, floorRange},
		{"move_head", "head pivot %s towards the leading jamb", "head pivot %s towards the heel jamb", m.Head.By, m.Head, headRange},
		{"move_height", "leaf %s up", "leaf %s down", m.Height.By, m.Height, heightRange},
	}
}

// told tells the move by how far it is; nothing where it is none.
func (p *pivotMove) told(far string) say.Text {
	switch by := p.by.Nearest(calc.Millimetre / 100); {
	case by > 0:
		return say.F(p.forth, far)
	case by < 0:
		return say.F(p.back, far)
	}
	return say.Text{}
}

// drawMargins draws the leaf as it hangs, and which way to move what.
func drawMargins(k *ask.Inquiry, in *calc.MarginsInput, m *calc.Margins) {
	gaps := func(top, bottom calc.EdgeGaps) draw.Corners {
		return draw.Corners{HeelTop: k.Measure(top.Heel), LeadTop: k.Measure(top.Lead), HeelBottom: k.Measure(bottom.Heel), LeadBottom: k.Measure(bottom.Lead)}
	}
	e := draw.Elevation{Read: gaps(in.Top, in.Bottom), After: gaps(m.Top, m.Bottom)}
	switch t, b := in.TargetTop, in.TargetBottom; {
	case t != b:
		e.Targets = say.F("wanted: heel %s over %s, lead %s over %s", k.Measure(t.Heel).Told, k.Measure(b.Heel).Told, k.Measure(t.Lead).Told, k.Measure(b.Lead).Told)
	case t.Heel == t.Lead:
		e.Targets = say.F("wanted: %s", k.Measure(t.Heel).Told)
	default:
		e.Targets = say.F("wanted: heel %s, lead %s", k.Measure(t.Heel).Told, k.Measure(t.Lead).Told)
	}
	moves := movesOf(m)
	for i, s := range [...]*draw.Shift{&e.Floor, &e.Head, &e.Height} {
		far := k.Measure(moves[i].by.Nearest(calc.Millimetre / 100).Abs())
		*s = draw.Shift{Forth: moves[i].by > 0, Told: moves[i].told(far.Told.String())}
	}
	k.Draw(e)
}

// whyNot says what keeps the margins from getting better: keys.
var whyNot = map[calc.MarginLimit]string{
	calc.SumOfGaps:      "both gaps together are not what is wanted: no move changes that, it is in the leaf's width or the opening's",
	calc.FloorRange:     "it would get better if the floor pivot could be moved further",
	calc.HeadRange:      "it would get better if the head pivot could be moved further",
	calc.HeightRange:    "it would get better if the leaf could be raised or lowered further",
	calc.PlumbKept:      "it would get better only with the head pivot further off plumb than the limit",
	calc.SwingNeed:      "it would get better only with a gap too small for the leaf to turn",
	calc.FootNeed:       "it would get better only with the foot too near to the floor",
	calc.HeadNeed:       "it would get better only with the leaf too near to the head",
	calc.EngagementKept: "it would get better only with too little engagement of the head pivot",
	calc.ListKept:       "nearer to what is wanted it would come only with a gap out of what the list allows",
}

var brokenNows = map[calc.MarginLimit]string{
	calc.PlumbKept:      "the head pivot is further off plumb than the limit",
	calc.SwingNeed:      "a gap is too small for the leaf to turn",
	calc.FootNeed:       "the foot is too near to the floor",
	calc.HeadNeed:       "the leaf is too near to the head",
	calc.EngagementKept: "the head pivot has too little engagement",
}
