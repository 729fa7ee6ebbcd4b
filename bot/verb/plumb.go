package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askPlumb = &ask.Verb{
	Name: "plumb", Summary: "how far the head pivot may stand off the plumb line, and what it does where it stands off",
	Words: []string{"plumb", "within limits", "is that within limits", "is it within limits", "within tolerance", "plumb tolerance for", "how plumb does it have to be", "how plumb must it be", "how plumb does pivot have to be", "how plumb do pivots have to be", "how much out of plumb", "how much out plumb", "how much off plumb", "how much can it be out of plumb", "how much can door be out of plumb", "how much may it be out of plumb", "how far out of plumb may head be", "how far out plumb may head be", "how far out of plumb can head be", "how far out plumb can head be", "is that plumb enough", "can i leave it", "can we leave it", "can i leave that", "can we leave that", "do i have to correct it", "do we have to correct it", "plumb enough", "is it plumb enough", "how plumb", "off plumb", "out of plumb", "plumb tolerance", "plumb limit for", "plumb limit at", "out plumb by", "how far may head be off plumb", "how far may head be out plumb", "how far off plumb may head be",
		"{how far|how much|what} {can|may|might|could|is|must|should|} {head|top|it|axis|pivot|head pivot|top pivot|leaf|door|} {be|stand|sit|go|lean|} {off plumb|out plumb|out of plumb|from plumb}",
		"{how far|how much} {off plumb|out plumb} {may|can|is|must|should} {head|top|it|axis|pivot|head pivot|top pivot|leaf|door} {be|go|stand|sit|lean|}",
		"{how far|how much} {off plumb|out plumb|out} is {permitted|allowed|permissible|acceptable|okay|ok|fine|tolerated} {for|by|at|with|over|on|}",
		"{what|which} plumb {tolerance|limit|limits|tolerances} {does|do|has|for|at|over|applies|is|}",
		"{is|still|that|it} {|it|that|still} {within|inside|in} {limit|limits|tolerance|plumb limit|plumb tolerance}",
	},
	Leads:    map[string]*ask.Input{"out plumb by": axisX},
	Also:     map[string]*ask.Input{"between pivots": height, "height between pivots": height, "head off …": axisX, "head is off …": axisX, "head's off …": axisX, "head is out …": axisX, "head's out …": axisX, "head out …": axisX, "head pivot is off …": axisX, "head pivot off …": axisX, "floor pivot …": footOff, "bottom pivot …": footOff, "foot …": footOff, "floor plate …": footOff, "over …": height, "head …": axisX, "axis is out by …": axisX, "axis is off by …": axisX, "axis is out …": axisX, "axis is off …": axisX, "axis is …": axisX, "axis …": axisX, "pivot is out by …": axisX, "pivot is off by …": axisX, "pivot is out …": axisX, "pivot is off …": axisX, "head pivot …": axisX, "head pivot is …": axisX, "top pivot …": axisX, "top pivot is …": axisX, "top pivot is standing …": axisX, "top pivot stands …": axisX, "head pivot stands …": axisX, "head stands …": axisX, "head is standing …": axisX, "top is out …": axisX, "top is off …": axisX, "top leans …": axisX},
	Everyday: []string{"plumb"},
	Order:    []*ask.Input{height}, Need: []*ask.Input{height},
	Takes:   []*ask.Input{height, footOff, limit, axisX, axisXSide, axisY, axisYSide, width, setback, mass, estimated, centreX, angle},
	Example: "plumb 1800 high, head 2 to lead, 1 to opening side, 960 wide, setback 70", Exact: "plumb height=1800 head_along=+2 head_across=+1 width=960 setback=70",
	Answer: answerPlumb,
}

// A floor pivot that is off is another thing than a head pivot that is.
var footOff = &ask.Input{Name: "foot_off", Zero: true, ByName: true, Beside: true, What: "how far the floor pivot is off", Example: "floor pivot 2"}

var limit = &ask.Input{Name: "limit", ByName: true, What: "the hardware sheet's own limit", Example: "limit 2",
	Words: []string{"limit", "sheet limit"}}

var axisX = &ask.Input{Name: "head_along", Zero: true, Signed: true, What: "how far the head pivot stands off plumb along the wall, + to the leading jamb, - to the heel jamb; without a side: whichever way", Example: "2 to lead",
	Words: []string{"out by …", "is out …", "off by …", "leans …", "lean …"}, Turned: axisY}

var axisY = &ask.Input{Name: "head_across", Zero: true, Signed: true, What: "how far the head pivot stands off plumb across the wall, + to the side the leaf opens to, - to the other", Example: "1 to opening side"}

var axisXSide = sideOf("head_along_side", axisX, "lead", "heel", []string{"lead", "lead jamb", "leading jamb", "leading edge", "leading side", "lead side"}, []string{"heel", "heel jamb", "heel side"})

var axisYSide = sideOf("head_across_side", axisY, "opening side", "other side", []string{"opening side", "opening face"}, []string{"other side", "closing side", "far side"})

// sideOf returns the words for the side that a number of the input is to: of
// the first list + is meant, of the second -.
func sideOf(name string, in *ask.Input, plus, minus string, forth, back []string) *ask.Input {
	across := "along wall"
	if in == axisY {
		across = "across wall"
	}
	side := &ask.Input{Name: name, Kind: ask.ChoiceKind, Beside: true, What: "the side it is to", Example: "to " + plus}
	for _, s := range []struct {
		value string
		words []string
	}{{plus, forth}, {minus, back}} {
		c := ask.Choice{Value: s.value, Counts: in}
		for _, w := range s.words {
			c.Words = append(c.Words, "… to "+w, "… towards "+w, "… toward "+w, "… "+across+" to "+w, "… "+across+" towards "+w)
		}
		side.Choices = append(side.Choices, c)
	}
	return side
}

// takeSided takes a length that a sign or a word gives its side; false if the
// two contradict, or neither is said.
func takeSided(k *ask.Inquiry, in, side *ask.Input) (calc.Length, bool) {
	v := k.Q.Named(in)
	if v == nil && k.Q.Named(side) != nil {
		k.Fail("how far is it to the %s? say the number right before that, as %s", say.Name(k.Q.Named(side).Set.Value), in.Example)
		return 0, false
	}
	if v == nil {
		return 0, true
	}
	l, word := k.Length(in), k.Word(side)
	switch {
	case word != "" && v.Num.Signed:
		k.Fail("%s has a sign and a word for its side: give one of them", in.Said())
		return 0, false
	case word == "" && !v.Num.Signed && l != 0:
		k.Fail("which way is %s? say it as %s, or with its sign", in.Said(), in.Example)
		return 0, false
	case word == side.Choices[1].Value:
		return -l, true
	}
	return l, true
}

// takeAxis takes how far the pivot axis is out of plumb; false if it is asked
// about.
func takeAxis(k *ask.Inquiry) (x, y calc.Length, ok bool) {
	if x, ok = takeSided(k, axisX, axisXSide); !ok {
		return 0, 0, false
	}
	y, ok = takeSided(k, axisY, axisYSide)
	return x, y, ok
}

func answerPlumb(k *ask.Inquiry) {
	if k.Q.Named(footOff) != nil {
		k.Fail("only the head pivot against the floor pivot counts: say how far the head stands off a plumb line through the floor pivot, and to which side")
		return
	}
	if d, ok := k.Door["leaf_height"]; ok {
		k.Door[height.Name] = d // not the opening's
	}
	high, own := k.Length(height), k.Length(limit)
	most, err := calc.PlumbLimit(high, own)
	if err != nil {
		k.Refuse(err)
		return
	}
	told := calc.Dimension{Exact: most, SetOut: most}
	if k.Q.Inches {
		told.SetOut = most.Down(ask.InchStep)
	}
	k.Result("plumb_limit", told)
	switch {
	case k.Q.Named(limit) != nil:
		k.Working("the limit that was given: %s", k.SetOut(told))
	case own != 0:
		k.Working("the hardware sheet's own limit: %s", k.SetOut(told))
		k.Source("the hardware sheet")
	default:
		k.Working("1.5 mm a metre × %s, at most 3 mm: %s", k.Show(high), k.SetOut(told))
		k.Source("a test institute's tolerance for installing, stated beside the force classes of EN 12217")
	}
	if asked := k.Q.Named(axisX) != nil || k.Q.Named(axisY) != nil; asked || k.Has(axisX) {
		lean(k, calc.LeanInput{Height: high, Sheet: own}, asked)
	}
	k.General("plumb up", plumbUp)
}

// lean tells what an axis does that was read out of plumb: as was asked, or as the
// door has it.
func lean(k *ask.Inquiry, in calc.LeanInput, asked bool) {
	along, across := k.Q.Named(axisX), k.Q.Named(axisY)
	unsided := asked && across == nil && !along.Num.Signed && along.Num.Length != 0 && k.Q.Named(axisXSide) == nil && k.Q.Named(axisYSide) == nil
	switch {
	case unsided:
		in.DX = k.Length(axisX) // whichever way
	case asked:
		var ok bool
		if in.DX, in.DY, ok = takeAxis(k); !ok {
			return
		}
	default:
		in.DX, in.DY = k.Length(axisX), k.Length(axisY)
	}
	if !unsided && !takeHung(k, &in) {
		return
	}
	l, err := calc.LeanOf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Minor("lean", l.Lean)
	k.Degrees("lean_angle", l.LeanAngle, l.LeanAngle)
	k.HideLast()
	k.Truth("within", l.Within)
	k.HideLast()
	if l.Within {
		k.Headline("%s off plumb: within the limit of %s", k.Show(l.Lean.Nearest(calc.Millimetre/100)), k.Show(l.Limit))
	} else {
		k.Headline("%s off plumb: more than the limit of %s, set the head pivot right", k.Show(l.Lean.Nearest(calc.Millimetre/100)), k.Show(l.Limit))
	}
	switch {
	case unsided:
		k.Note("say which way it is out, as 2 to lead and 1 to opening side, for what it does to the leaf")
	case asked && (along == nil || across == nil):
		k.Beside("read one way only")
		k.Note("it was read one way only: read it the other way too, a head that is out both ways is further out")
	}
	if unsided || l.Lean == 0 {
		return
	}
	k.Plain("taper", l.Taper)
	k.HideLast()
	switch {
	case l.Taper > 0:
		k.Working("closed, the heel gap is %s wider at the top than at the bottom", k.Show(l.Taper))
	case l.Taper < 0:
		k.Working("closed, the heel gap is %s narrower at the top than at the bottom", k.Show(-l.Taper))
	}
	hungLean(k, &in, &l)
	k.Source("a leaf on a tilted axis: plane statics")
}

// takeHung takes the leaf that hangs on the axis, as far as it is given; false
// if something is asked for.
func takeHung(k *ask.Inquiry, in *calc.LeanInput) bool {
	in.Width, in.Setback = k.Length(width), k.Length(setback)
	if k.Has(mass) {
		in.Mass = calc.Mass(k.Number(mass)).Counted(ownMassEstimated(k))
	}
	switch w, s := k.Has(width), k.Has(setback); {
	case w && s:
	case w || s || in.Mass > 0:
		k.Ask(say.F("what the lean does to the leaf goes by it"), k.Missing(width, setback)...)
		return false
	default:
		k.Note("give width and setback for how far the leading edge rises or sinks, and the mass for how hard it swings by itself")
		return true
	}
	in.Angle = k.AngleOr(angle, calc.RightAngle, "opened to 90°")
	if in.Mass > 0 {
		in.CentreX = k.LengthOr(centreX, in.Width/2)
	}
	return true
}

// hungLean tells how the leaf rises and swings.
func hungLean(k *ask.Inquiry, in *calc.LeanInput, l *calc.Lean) {
	if in.Width == 0 {
		return
	}
	rise := l.Rise.Nearest(calc.Millimetre / 100)
	k.Plain("rise", rise)
	k.HideLast() // the working says it
	switch {
	case rise < 0:
		k.Working("opened to %s the leading edge is %s lower than closed", lex.DegreeText(in.Angle), k.Show(-rise))
		k.Caution(ask.Other, "a leading edge that sinks can strike the floor: check the gap under it over the whole swing before anybody lets it go")
	default:
		k.Working("opened to %s the leading edge is %s higher than closed", lex.DegreeText(in.Angle), k.Show(rise))
	}
	if in.Mass == 0 {
		return
	}
	ask.AddFigure(k, "self_torque", l.Torque, "N·m")
	k.Degrees("rest_angle", l.RestAngle, l.RestAngle)
	if l.Torque.Exact == 0 {
		return
	}
	if l.Closes {
		k.Working("opened to %s its own weight swings it towards closed with %s", lex.DegreeText(in.Angle), l.Torque.Told)
	} else {
		k.Working("opened to %s its own weight swings it further open with %s", lex.DegreeText(in.Angle), l.Torque.Told)
	}
	k.Caution(ask.Other, "a leaf that swings by itself catches people: hold it whenever it is not latched")
}
