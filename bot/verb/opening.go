package verb

import (
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

// What is read of an opening.

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
		{Words: []string{"diagonals …", "diagonal …", "diagonals opening …", "diagonals frame …", "diagonals across …"}, Value: "not named", Itself: true},
	}}

var leanHeel = &ask.Input{Name: "lean_heel", None: true, Zero: true, Signed: true, What: "how far the heel jamb's head stands into the opening from its foot, - if it stands out", Example: "lean heel 3",
	Words: []string{"lean heel", "heel lean", "lean at heel", "heel jamb leans", "heel jamb leans in", "heel jamb lean"}}

var leanLead = &ask.Input{Name: "lean_lead", None: true, Zero: true, Signed: true, What: "how far the leading jamb's head stands into the opening from its foot, - if it stands out", Example: "lean lead -2",
	Words: []string{"lean lead", "lead lean", "leading lean", "lean at lead", "lead jamb leans", "leading jamb leans", "lead jamb leans in", "leading jamb leans in", "lead jamb lean", "leading jamb lean"}}

var leanHeelSide = &ask.Input{Name: "lean_heel_side", Kind: ask.ChoiceKind, Beside: true, What: "that it leans out", Example: "heel jamb leans out 2",
	Choices: []ask.Choice{{Value: "out", Counts: leanHeel, Words: []string{"heel jamb leans out …", "heel leans out …"}}}}

var leanLeadSide = &ask.Input{Name: "lean_lead_side", Kind: ask.ChoiceKind, Beside: true, What: "that it leans out", Example: "leading jamb leans out 2",
	Choices: []ask.Choice{{Value: "out", Counts: leanLead, Words: []string{"leading jamb leans out …", "leading leans out …", "lead jamb leans out …", "lead leans out …"}}}}

var floorFall = &ask.Input{Name: "floor_fall", None: true, Zero: true, Signed: true, What: "how much the floor falls between the jambs' feet, and to which jamb, or level", Example: "floor fall 3 to heel",
	Words: []string{"floor fall", "floor falls", "fall", "falls", "fall of floor"}}

var floorFallSide = fallSide()

// fallSide returns the words for the low end of the floor, or that there is none.
func fallSide() *ask.Input {
	side := sideOf("floor_fall_side", floorFall, "heel", "lead", []string{"heel", "heel jamb", "heel side", "heel end"},
		[]string{"lead", "lead jamb", "lead side", "lead end", "leading", "leading jamb", "leading side", "leading end"})
	side.Choices = append(side.Choices, ask.Choice{Value: "level", Counts: floorFall, Words: []string{"level", "floor level", "level floor", "floor fall level", "fall level", "floor_fall level", "floor fall is level", "floor is level"}})
	return side
}

var bowHeel = &ask.Input{Name: "bow_heel", None: true, Zero: true, Signed: true, What: "how far the heel jamb's middle stands into the opening from a straightedge between its ends", Example: "bow heel 2",
	Words: []string{"bow heel", "heel bow", "bow of heel jamb", "heel jamb bow", "heel jamb bows", "bow at heel"}}

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
		typed := slices.ContainsFunc(group.each[:], func(in *ask.Input) bool { return k.Q.Named(in) != nil })
		switch {
		case len(missing) == 3, k.Q.Named(group.all) != nil && !typed:
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
	o.LeanHeel, o.LeanLead, o.BowHeel = ifRead(k, leanHeel), ifRead(k, leanLead), ifRead(k, bowHeel)
	outwards(k, leanHeelSide, o.LeanHeel)
	outwards(k, leanLeadSide, o.LeanLead)
	if k.Q.Named(opening) != nil && o.LeanHeel != nil && o.LeanLead != nil && *o.LeanHeel+*o.LeanLead != 0 {
		k.Ask(say.F("jambs that lean leave another width at the top than at the bottom: both, in place of the one"), widthTop, widthBottom)
		return false
	}
	return takeFall(k, &o.Fall)
}

// ifRead takes a reading; nil if nobody took it.
func ifRead(k *ask.Inquiry, in *ask.Input) *calc.Length {
	if !k.Has(in) {
		return nil
	}
	l := k.Length(in)
	return &l
}

// outwards turns a lean round that is said to be out of the opening.
func outwards(k *ask.Inquiry, side *ask.Input, lean *calc.Length) {
	if lean != nil && k.Word(side) != "" {
		*lean = -lean.Abs()
	}
}

// takeFall takes how much the floor falls, and which way; false if what is said
// of it contradicts itself.
func takeFall(k *ask.Inquiry, fall *calc.Fall) bool {
	v, side := k.Q.Named(floorFall), k.Word(floorFallSide)
	switch {
	case side == "level" && v == nil:
		fall.Read = calc.LevelFloor
		return true
	case side == "level":
		k.Fail("the floor is said to be level and to fall: say one of them")
		return false
	case !k.Has(floorFall):
		return true
	}
	fall.Rise, fall.Read = k.Length(floorFall), calc.FallTo
	switch {
	case v == nil && fall.Rise == 0: // the door's: level
		fall.Read = calc.LevelFloor
	case v == nil:
	case side != "" && v.Num.Signed:
		k.Fail("%s has a sign and a word for its side: give one of them", floorFall.Said())
		return false
	case side == floorFallSide.Choices[1].Value:
		fall.Rise = -fall.Rise
	case side == "" && !v.Num.Signed && fall.Rise != 0:
		fall.Read = calc.FallEitherWay
	}
	return true
}
