package verb

import (
	"math"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLoad = &ask.Verb{
	Name: "load", Summary: "what the pivots carry from weight, wind and people, what holds the leaf in a gust, and what a pressure difference does",
	AskedBy: []string{"how much"},
	Words: []string{"how hard does wind push", "sideways pull", "sideways pull at head pivot", "sideways pull at head", "sideways force", "sideways force at head pivot", "what load is on pivots", "what load is on pivot", "what load do pivots take", "what do pivots take", "load on head pivot", "load on floor pivot", "pull on head pivot", "pull at head pivot", "how hard does wind push on leaf", "how hard does wind push on door", "how hard does wind push on it", "wind push", "what force is on pivots", "what forces are on pivots", "pivot forces", "force on pivots", "sideways load", "vertical load", "vertical and sideways load", "what do hinges carry", "load", "loads", "pivot load", "pivot loads", "wind load", "wind loads", "load on pivots", "loads on pivots", "load on pivot", "what do pivots carry", "what does pivot carry", "what does floor pivot carry",
		"engagement left", "how much engagement is left", "how much engagement stays",
		"{what|how much|which|what load|what weight|what force|how much load|how much weight|how much force} {does|do|must|has|have|will|would|is|are|can} {floor pivot|bottom pivot|head pivot|top pivot|pivot|pivots|hinges|bearing|bearings} {to|} {carry|take|get|hold|bear|see|feel|have to carry|have to take|have to hold}",
		"{how much|how hard|what} {does|will|would|is} {it|leaf|door|that} {pull|push|pulling|hang|drag} {sideways|on head pivot|on top pivot|at head|at top|at top pivot|at head pivot} {|at top|at head|on pivots|on top pivot|on head pivot}",
		"{sideways|horizontal|vertical|gravity|wind} {load|force|pull|push|thrust|loads|forces} {at|on|in|for|} {top|head|bottom|floor|} {pivot|pivots|}",
		"{load|loads|force|forces|weight|pull} {in|on|at|for|to} {floor|bottom|head|top|each|} {pivot|pivots|bearing}", "pivot {loads|forces|reactions|reaction}", "{what load|what force|what forces|what loads} {|is|are} {|there} {|on it|on pivots|on pivot|on top pivot|on head pivot|at head|at top}",
	},
	Everyday: []string{"load", "loads"},
	Need:     []*ask.Input{mass, width, height, setback},
	Instead:  map[*ask.Input][]*ask.Input{mass: {deflection}, width: {deflection}, height: {deflection}, setback: {deflection}},
	Takes: []*ask.Input{mass, estimated, width, height, thickness, setback, centreX, pivotHeight, wind, person, pressure, handleInset, pins,
		engagement, engagementLeast, gapTop, deflection, plateLength, plateWidth, carries},
	Also:    onPlate,
	Box:     []*ask.Input{width, height, thickness},
	Example: "load 88 kg, 1050 wide, 2350 high, setback 65, wind 20 m/s", Exact: "load mass=88 kg width=1050 height=2350 setback=65 wind=20 m/s",
	Answer: answerLoad,
}

var centreX = &ask.Input{Name: "centre_x", Zero: true, What: "how far the leaf's centre is from its heel edge", Example: "centre at 540",
	Words: []string{"centre at …", "centre from heel …", "centre x"}}

var pivotHeight = &ask.Input{Name: "pivot_height", What: "height between the pivots", Example: "pivot height 2340",
	Words: []string{"pivot height", "between pivots", "height between pivots"}}

var wind = &ask.Input{Name: "wind", Kind: ask.SpeedKind, Zero: true, What: "speed of the gust, with its unit", Example: "wind 20 m/s",
	Words: []string{"wind", "wind speed", "gust", "gusts"}}

var person = &ask.Input{Name: "person", Kind: ask.ForceKind, ByName: true, What: "force of somebody hanging on the leading edge", Example: "person 800 N",
	Words: []string{"person", "somebody", "person hanging …", "somebody hanging …", "somebody hangs …", "person hangs …", "somebody hangs on leading edge …", "somebody hanging on leading edge …", "person on leading edge …", "{somebody|someone|person|kid|child|man|lad|he|she|apprentice} {hangs|hanging|leans|leaning|pulls|pulling|swings with|pushes|is hanging|hung} {|on|off|from|with} {|it|leading edge|lead edge|handle|handle end|handle side|end|edge|far end} {with|} …"}}

var pressure = &ask.Input{Name: "pressure", Kind: ask.PressureKind, What: "difference in air pressure between the two sides", Example: "pressure 40 Pa",
	Words: []string{"pressure", "pressure difference"}}

var handleInset = &ask.Input{Name: "handle_inset", Zero: true, What: "how far the handle stands in from the leading edge", Example: "handle inset 80",
	Words: []string{"handle inset", "handle in …"}}

var pins = &ask.Input{Name: "pins", Kind: ask.CountKind, ByName: true, What: "how many pins share a pivot's sideways load", Example: "4 pins",
	Words: []string{"pins"}}

var engagement = &ask.Input{Name: "engagement", What: "how far the head pivot reaches into its bearing", Example: "engagement 14",
	Words: []string{"engagement", "head engagement"}}

var engagementLeast = &ask.Input{Name: "engagement_least", Zero: true, What: "the least engagement that the sheet asks for", Example: "least engagement 10",
	Words: []string{"least engagement", "engagement least", "least …"}}

var deflection = &ask.Input{Name: "deflection", Zero: true, What: "how far the lintel can still move, up or down", Example: "deflection 3",
	Words: []string{"deflection", "lintel deflection", "lintel moves …", "lintel sags …", "lintel drops …", "lintel rises …", "lintel bends …"}}

func answerLoad(k *ask.Inquiry) {
	// Of a lintel alone: what it leaves of the head pivot goes by no mass.
	if need := k.Missing(mass, width, height, setback); len(need) > 0 {
		if k.Q.Named(mass) != nil {
			k.Ask(say.Text{}, need...)
		} else if headLeft(k) {
			k.General("load", loadCaution)
		}
		return
	}
	in := calc.LoadInput{Mass: calc.Mass(k.Number(mass)), Estimated: ownMassEstimated(k), Width: k.Length(width)}
	ownHeight(k)
	in.Height, in.Setback = k.Length(height), k.Length(setback)
	in.CentreX = k.LengthOr(centreX, in.Width/2)
	in.PivotHeight = k.LengthOr(pivotHeight, in.Height)
	in.Wind, in.Person = calc.Speed(k.Number(wind)), calc.Force(k.Number(person))
	in.Pressure = calc.Pressure(k.Number(pressure))
	n := k.Number(pins)
	if in.Pins = int(n); n != math.Trunc(n) {
		k.Fail("pins come in whole numbers, not %s", calc.Number(n))
		return
	}
	switch {
	case in.Pressure > 0:
		in.HandleInset = k.LengthOr(handleInset, 0)
	case k.Has(handleInset):
		in.HandleInset = k.Length(handleInset)
	}
	l, err := calc.Loads(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	ask.AddFigure(k, "vertical", l.Vertical, "N")
	ask.AddFigure(k, "horizontal", l.Horizontal, "N")
	workLoad(k, &in, &l)
	if !headLeft(k) || !bears(k, l.Vertical.Exact) {
		return
	}
	if in.Estimated {
		k.Note("the mass is estimated: a tenth more counts")
	}
	k.Note("all loads are at rest: an impact on a stop is in no figure")
	k.Source("weight and levers: plane statics, g = 9.80665 m/s²")
	k.General("load", loadCaution)
}

const loadCaution = "plates, pins, floor and lintel are for a licensed engineer to design; the hardware maker's instructions and local codes come first"

// workLoad shows how the loads come about, and adds those that were asked for.
func workLoad(k *ask.Inquiry, in *calc.LoadInput, l *calc.Load) {
	m := in.Mass.Counted(in.Estimated)
	if in.Person > 0 {
		k.Working("vertical: %s × 9.80665 m/s² + %s = %s", m, in.Person, l.Vertical.Told)
		k.Working("horizontal: (%s × 9.80665 m/s² × (%s − %s) + %s × (%s − %s)) / %s = %s", m, k.Figure(in.CentreX), k.Figure(in.Setback), in.Person, k.Figure(in.Width), k.Figure(in.Setback), k.Figure(in.PivotHeight), l.Horizontal.Told)
	} else {
		k.Working("vertical: %s × 9.80665 m/s² = %s", m, l.Vertical.Told)
		k.Working("horizontal: %s × 9.80665 m/s² × (%s − %s) / %s = %s", m, k.Figure(in.CentreX), k.Figure(in.Setback), k.Figure(in.PivotHeight), l.Horizontal.Told)
	}
	if in.Wind > 0 {
		ask.AddFigure(k, "wind_force", l.WindForce, "N")
		ask.AddFigure(k, "wind_moment", l.WindMoment, "N·m")
		ask.AddFigure(k, "hold_force", l.HoldForce, "N")
		k.Working("wind: %s × 0.625 kg/m³ × (%s)² × %s × %s = %s", calc.Number(calc.PlateForce), in.Wind, k.Show(in.Width), k.Show(in.Height), l.WindForce.Told)
		k.Working("moment: %s × (|%s/2 − %s| + %s/4) = %s; to hold it at the leading edge: %s", l.WindForce.Told, k.Figure(in.Width), k.Figure(in.Setback), k.Figure(in.Width), l.WindMoment.Told, l.HoldForce.Told)
		k.Source("wind pressure 0.625·v²: EN 1991-1-4, 4.5; force coefficient 1.8 of a free plate and a quarter of the width off its middle (7.4.3): from memory")
		k.Caution(ask.Other, "a gust takes a leaf out of people's hands: in wind leave it shut or held, and keep clear of its edge")
	}
	if in.Wind > 0 || in.Pins > 0 {
		ask.AddFigure(k, "pivot_horizontal", l.PivotHorizontal, "N")
		if in.Wind > 0 {
			k.Working("each pivot: √(%s² + (%s/2)²) = %s", l.Horizontal.Told, l.WindForce.Told, l.PivotHorizontal.Told)
		}
	}
	if in.Pins > 0 {
		ask.AddFigure(k, "pin_shear", l.PinShear, "N")
		k.Working("each pin: %s / %s = %s", l.PivotHorizontal.Told, in.Pins, l.PinShear.Told)
	}
	if in.Pressure > 0 {
		ask.AddFigure(k, "pressure_moment", l.PressureMoment, "N·m")
		ask.AddFigure(k, "pressure_force", l.PressureForce, "N")
		k.Working("pressure: %s × %s × %s × (%s − 2 × %s)/2 = %s, at the handle %s more", in.Pressure, k.Show(in.Height), k.Show(in.Width), k.Figure(in.Width), k.Figure(in.Setback), l.PressureMoment.Told, l.PressureForce.Told)
	}
}

// headLeft tells what a lintel that moves leaves of the head pivot; false if
// that is refused or asked about.
func headLeft(k *ask.Inquiry) bool {
	if k.Q.Named(deflection) == nil && k.Q.Named(engagement) == nil {
		return true
	}
	if need := k.Missing(engagement, engagementLeast, gapTop, deflection); len(need) > 0 {
		k.Ask(say.F("what a lintel that moves leaves of the head pivot goes by them"), need...)
		return false
	}
	in := calc.HeadInput{Engagement: k.Length(engagement), Least: k.Length(engagementLeast), GapTop: k.Length(gapTop), Deflection: k.Length(deflection)}
	h, err := calc.HeadEngagement(in)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Plain("engagement_left", h.Engagement)
	k.Plain("engagement_spare", h.Spare)
	k.Plain("gap_top_left", h.GapTop)
	k.Working("head: %s − %s = %s, %s over the least; top gap %s − %s = %s", k.Figure(in.Engagement), k.Figure(in.Deflection), k.Show(h.Engagement), k.Show(h.Spare), k.Figure(in.GapTop), k.Figure(in.Deflection), k.Show(h.GapTop))
	if h.Spare < 0 {
		k.Beside("the head pivot can lose its hold: %s engaged, at least %s", k.Show(h.Engagement), k.Show(in.Least))
		k.Caution(ask.NotUsable, "the head pivot can lose its hold when the lintel rises: the leaf can fall. Don't hang it so")
	}
	if h.GapTop < 0 {
		k.Beside("the leaf can jam at the head")
		k.Caution(ask.Other, "the leaf jams when the lintel comes down")
	}
	k.Note("how far a lintel moves is for the engineer who designed it to say")
	return true
}
