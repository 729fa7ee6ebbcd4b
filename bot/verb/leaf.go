package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLeaf = &ask.Verb{
	Name: "leaf", Summary: "the leaf to order for an opening",
	Words: []string{"leaf", "leaf size", "door size", "leaf to order"},
	Thing: "leaf", Everyday: []string{"leaf"},
	Also:  map[string]*ask.Input{"… wide": opening, "width": opening, "w …": opening},
	Order: []*ask.Input{opening, height}, Need: []*ask.Input{opening, gap},
	Instead: map[*ask.Input][]*ask.Input{opening: {widthTop, widthMiddle, widthBottom}, gap: {gapHeel, gapLead}},
	Takes:   []*ask.Input{opening, height, widthTop, widthMiddle, widthBottom, heightHeel, heightMiddle, heightLead, diagonal1, diagonal2, gap, gapHeel, gapLead, gapTop, gapBottom, finish, thickness, spindleLift, step, widths, heights, diagonals},
	Example: "leaf for an opening 1150 x 2350, 9 at the sides, 5 top, 7 bottom", Exact: "leaf opening=1150 height=2350 gap=9 gap_top=5 gap_bottom=7",
	Answer: answerLeaf, Refuses: waitsForEvidence,
}

var gapTop = &ask.Input{Name: "gap_top", Few: "%s top", Zero: true, What: "gap over the leaf", Example: "5",
	Words: []string{"top", "top gap", "gap top", "head gap", "above", "over top", "gap at top", "at top"}}

var gapBottom = &ask.Input{Name: "gap_bottom", Few: "%s bottom", Zero: true, What: "gap under the leaf", Example: "7",
	Words: []string{"bottom", "bottom gap", "gap bottom", "floor gap", "under", "underneath", "below", "gap at bottom", "at bottom"}}

var widthTop = &ask.Input{Name: "width_top", What: "width at the top", Example: "1151",
	Words: []string{"width top", "top width", "width at top"}}

var widthMiddle = &ask.Input{Name: "width_middle", What: "width at mid-height", Example: "1150",
	Words: []string{"width middle", "middle width", "width at middle"}}

var widthBottom = &ask.Input{Name: "width_bottom", What: "width at the bottom", Example: "1149",
	Words: []string{"width bottom", "bottom width", "width at bottom"}}

var heightHeel = &ask.Input{Name: "height_heel", What: "height at the heel jamb", Example: "2350",
	Words: []string{"height heel", "heel height", "heel side height", "height at heel"}}

var heightMiddle = &ask.Input{Name: "height_middle", What: "height in the middle", Example: "2351",
	Words: []string{"height middle", "middle height", "height at middle"}}

var heightLead = &ask.Input{Name: "height_lead", What: "height at the leading jamb", Example: "2352",
	Words: []string{"height lead", "lead height", "leading height", "leading side height", "height leading", "height at lead"}}

var diagonal1 = &ask.Input{Name: "diagonal_1", Shifts: true, What: "diagonal from the heel jamb's foot to the leading jamb's head", Example: "d1=2620",
	Words: []string{"d1 …", "first diagonal", "heel foot diagonal"}}

var diagonal2 = &ask.Input{Name: "diagonal_2", Shifts: true, What: "the other diagonal", Example: "d2=2616",
	Words: []string{"d2 …", "second diagonal", "other diagonal"}}

var widths = &ask.Input{Name: "widths", Kind: ask.ListKind, What: "widths at top, middle and bottom", Example: "widths 1151 1150 1149",
	Words: []string{"widths …"}, Spread: []*ask.Input{widthTop, widthMiddle, widthBottom}}

var heights = &ask.Input{Name: "heights", Kind: ask.ListKind, What: "heights at heel side, middle and leading side", Example: "heights 2350 2351 2352",
	Words: []string{"heights …"}, Spread: []*ask.Input{heightHeel, heightMiddle, heightLead}}

var diagonals = &ask.Input{Name: "diagonals", Kind: ask.ListKind, What: "both diagonals, not knowing which is which", Example: "diagonals 2620 2616", Spread: []*ask.Input{diagonal1, diagonal2},
	Choices: []ask.Choice{
		{Words: []string{"diagonals …", "diagonal …"}, Value: "not named", Itself: true},
	}}

var finish = &ask.Input{Name: "finish", None: true, Zero: true, What: "finished floor still to come", Example: "15",
	Words: []string{"finish", "floor finish", "finished floor"}}

var spindleLift = &ask.Input{Name: "spindle_lift", Zero: true, What: "how far the leaf is lifted over the floor spindle", Example: "9",
	Words: []string{"spindle lift", "spindle", "lift", "lift over"}}

func answerLeaf(k *ask.Inquiry) {
	in := calc.LeafInput{}
	o := &in.Opening
	if !readings(k, o) {
		return
	}
	if heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead); !heel || !lead {
		k.Ask(say.Text{}, k.Missing(gapHeel, gapLead)...)
		return
	}
	if o.HeightHeel > 0 && !(k.Has(gapTop) && k.Has(gapBottom)) {
		k.Ask(say.Text{}, k.Missing(gapTop, gapBottom)...)
		return
	}
	in.GapTop, in.GapBottom, in.Finish = k.Length(gapTop), k.Length(gapBottom), k.Length(finish)
	in.Step = k.Step(step)
	l, err := calc.Leaf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	leafResults(k, &in, &l)
	if !topGap(k, &in, &l) {
		return
	}
	ownLeaf(k, &l)
	k.Source("plane geometry of the opening")
	k.General("leaf", "order from finished jambs and floor only, after a second person has checked the readings; the leaf's mass is for the hardware maker's limits and for the lifting plan")
}

// readings takes the single readings of the opening, or one for all of a kind;
// false if some are missing or doubled.
func readings(k *ask.Inquiry, o *calc.Opening) bool {
	for _, group := range []struct {
		all  *ask.Input
		each [3]*ask.Input
		into [3]*calc.Length
	}{
		{opening, [3]*ask.Input{widthTop, widthMiddle, widthBottom}, [3]*calc.Length{&o.WidthTop, &o.WidthMiddle, &o.WidthBottom}},
		{height, [3]*ask.Input{heightHeel, heightMiddle, heightLead}, [3]*calc.Length{&o.HeightHeel, &o.HeightMiddle, &o.HeightLead}},
	} {
		missing := k.Missing(group.each[:]...)
		switch {
		case len(missing) == 3:
			all := k.Length(group.all)
			*group.into[0], *group.into[1], *group.into[2] = all, all, all
			continue
		case k.Q.Named(group.all) != nil:
			k.Fail("there are two values for %s: give one, or the readings at %s, %s and %s", group.all.Said(), group.each[0].Said(), group.each[1].Said(), group.each[2].Said())
			return false
		case len(missing) == 1 && missing[0] == group.each[1]:
			k.Note("%s not read: what lies between is not checked", group.each[1].Said())
		case len(missing) > 0:
			k.Ask(say.Text{}, missing...)
			return false
		}
		for i, name := range group.each {
			*group.into[i] = k.Length(name)
		}
	}
	if missing := k.Missing(diagonal1, diagonal2); len(missing) == 1 {
		k.Ask(say.F("one diagonal says nothing without the other"), missing...)
		return false
	}
	o.Diagonal1, o.Diagonal2 = k.Length(diagonal1), k.Length(diagonal2)
	o.DiagonalsNamed = !k.Has(diagonals)
	return true
}

func leafResults(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) {
	o := &in.Opening
	k.Result("leaf_width", l.Width)
	k.Headline("leaf %s", k.Show(l.Width.SetOut))
	width := min(o.WidthTop, o.WidthMiddle, o.WidthBottom)
	if l.Plumbed {
		width = l.PlumbWidth.Exact
	}
	k.Working("width: %s − %s − %s = %s", k.Figure(width), k.Figure(in.GapHeel), k.Figure(in.GapLead), k.SetOut(l.Width))
	if o.HeightHeel > 0 {
		k.Result("leaf_height", l.Height)
		k.Headline("leaf %s × %s", k.Show(l.Width.SetOut), k.Show(l.Height.SetOut))
		k.HideLast() // it is in the headline
		k.Working("height: %s − %s top − %s bottom − %s finish = %s", k.Figure(min(o.HeightHeel, o.HeightMiddle, o.HeightLead)),
			k.Figure(in.GapTop), k.Figure(in.GapBottom), k.Figure(in.Finish), k.SetOut(l.Height))
		taper(k, "height_taper", l.HeightTaper)
	} else {
		k.Note("no height given: width only")
	}
	taper(k, "width_taper", l.WidthTaper)
	if !l.Plumbed {
		k.Beside("plumb not checked")
		k.Caution(ask.NotUsable, "plumb was not checked: give both diagonals, or check the jambs with a level; a leaning jamb makes the leaf narrower")
		k.InShort("give both diagonals or level the jambs")
		return
	}
	k.Plain("diagonal_difference", l.DiagonalDifference)
	k.Behind()
	k.Plain("jamb_lean", l.JambLean)
	k.Behind()
	k.Result("plumb_width", l.PlumbWidth)
	k.Behind()
	if !o.DiagonalsNamed {
		k.Suppose("the worse order of the diagonals", "worse order of diagonals")
	}
}

// ownLeaf notes where the door's own leaf is another.
func ownLeaf(k *ask.Inquiry, l *calc.LeafSizes) {
	w, h := k.Door["width"].Length, k.Door["leaf_height"].Length
	if w != 0 && (w != l.Width.SetOut || l.Height.SetOut != 0 && h != l.Height.SetOut) {
		k.Mention("the door's own leaf is %s × %s", k.ShowOwn(w), k.ShowOwn(h))
	}
}

// taper adds a difference of readings, which people see if there is one.
func taper(k *ask.Inquiry, name string, l calc.Length) {
	if l == 0 {
		k.Minor(name, l)
	} else {
		k.Plain(name, l)
		k.Behind()
	}
}

// topGap adds the gap needed to stand the leaf up; false if it is refused.
func topGap(k *ask.Inquiry, in *calc.LeafInput, l *calc.LeafSizes) bool {
	switch t, lift := k.Has(thickness), k.Has(spindleLift); {
	case lift && in.Opening.HeightHeel == 0:
		k.Ask(say.F("the gap to stand the leaf up goes by its height"), height, gapTop, gapBottom)
		return false
	case lift && !t:
		k.Ask(say.F("the gap to stand the leaf up goes by it"), thickness)
		return false
	case t && !lift && k.Q.Named(thickness) == nil:
		return true
	case t && !lift:
		k.Note("thickness %s is not used: the gap to stand the leaf up needs the spindle lift too", k.Show(k.Length(thickness)))
		return true
	case !t:
		return true
	}
	t, lift := k.Length(thickness), k.Length(spindleLift)
	top, err := calc.TopGapMin(l.Height.SetOut, t, lift, in.Step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("top_gap_min", top)
	k.Working("top gap to stand it up: %s lift + √(%s² + %s²) − %s = %s", k.Figure(lift), k.Figure(l.Height.SetOut), k.Figure(t), k.Figure(l.Height.SetOut), k.SetOut(top))
	if top.Exact > in.GapTop {
		k.Caution(ask.Other, "the top gap of %s is too small to stand the leaf up in place: %s is needed", k.Show(in.GapTop), k.Show(top.SetOut))
	}
	return true
}
