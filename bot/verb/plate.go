package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askPlate = &ask.Verb{
	Name: "plate", Summary: "where the centre of the floor plate goes",
	AskedBy: []string{"how far"},
	Words: []string{"plate", "middle of bottom plate", "middle bottom plate", "middle of plate", "middle plate", "jamb to middle bottom plate", "jamb to middle plate", "jamb to middle floor plate", "distance jamb to middle plate", "distance jamb to pivot", "jamb to pivot", "jamb to pivot centre", "how far out from jamb", "how far out is pivot", "how far from jamb is plate", "how far from jamb is centre", "where's pivot", "wheres pivot", "where is centre", "plate centre", "plate center", "floor plate", "floor plate centre", "pivot centre", "pivot center", "centre", "center", "where does plate go", "where does floor plate go", "where do i put plate", "where i put plate", "where does pivot go", "where is pivot", "where do i mark floor", "where do i mark floor for pivot", "how far off jamb", "how far off finished jamb", "how far from finished jamb", "how far from face jamb", "how far off jamb is pivot", "how far from jamb", "how far from jamb is pivot", "how far from jamb does pivot go", "where do i mark plate", "mark out floor plate", "mark out plate", "middle floor plate", "where is middle floor plate", "where is middle plate", "where is plate centre", "where's plate centre", "wheres plate centre", "where is centre plate", "where is floor plate", "where is plate", "where's plate", "where does plate land", "where does plate centre go", "where does floor plate centre go", "where do i put floor plate", "where does floor plate land", "where does plate centre land", "where does floor plate centre land", "jamb to plate centre", "distance jamb to plate centre", "centre pivot", "centre pivot from jamb", "centre of pivot",
		"{from|} {jamb|heel jamb|finished jamb|jamb face} to {centre|center|middle} {pivot|plate|floor plate|floor pivot}",
		"{floor box|box} {centre|position}",
		"floor box",
		"how far {in|out} from {jamb|finished jamb} {do i|do we|should i|must i|to} {set|put|mark} {floor box|box|floor box centre|centre|plate centre}",
		"where {do i|do we|should i|must i|to} {drill for|dig for|core for|set down|sink} {floor plate|plate|bottom plate|bottom pivot|floor pivot|floor plate centre}",
		"{centre|center|middle} {plate|floor plate|bottom plate|bottom pivot|floor pivot}",
		"{distance|dimension|measurement|how far} {from jamb to|off jamb to|off finished jamb to|from face jamb to|from finished jamb to|from jamb face to|jamb to|to|from jamb foot to} {pivot|pivot centre|pivot center|plate|plate centre|centre|centre plate|centre pivot|middle plate|middle floor plate|floor plate}",
		"{pivot|pivot centre|pivot center|plate|plate centre|floor plate|floor plate centre} {from jamb|off jamb}",
		"how far {out|in|off|away|out from jamb|from jamb|off jamb|in from jamb|away from jamb} {do i|do we|should i|must i|to} {mark|put|set|fix|drill|place|fit|centre} {plate|floor plate|bottom plate|pivot|floor pivot|bottom pivot|centre|plate centre|it|}",
		"how far {out|in|off|away|out from jamb|from jamb|off jamb|in from jamb|away from jamb|from finished jamb|off finished jamb|from face jamb|off face jamb|from jamb face|from heel jamb|off heel jamb|from frame|from reveal} {is|must|should|does|will|would} {plate|floor plate|bottom plate|floor pivot|bottom pivot|centre|plate centre|centre plate} {be|go|sit|need to be|have to be|land|come|}",
		"where {do i|do we|should i|should we|must i|to|can i} {put|set|fix|mark|drill|fit|place|position|mark out|set out|centre} {floor plate|plate|plate centre|bottom plate|bottom pivot|floor pivot|floor plate centre|centre plate|centre floor plate|centre pivot|pivot centre}",
		"where {does|should|must|will} {floor plate|plate|bottom plate|bottom pivot|floor pivot|plate centre|floor plate centre} {go|sit|land|need to go|have to go|end up|be}",
		"{marking|mark|set|setting} out {floor|floor plate|plate|pivot}",
		"marking out", "how far {from|off|out from|in from} {jamb|finished jamb|face jamb|jamb face|heel jamb|frame|reveal} {is|must|should|does|will|would} {pivot|axis|pivot centre|centre pivot} {be|go|sit|need to be|have to be|come|}", "{plate|floor plate|pivot|centre|plate centre} {position|location}", "{centre|center} pivot plate", "centre {from|off} {jamb|finished jamb}", "where {does|do|should|must} centre {go|sit|be|land}",
	},
	Everyday: []string{"plate"},
	Also:     map[string]*ask.Input{"heel gap": gap, "gap at heel": gap, "at top": jambLean},
	Order:    []*ask.Input{setback, gap}, Need: []*ask.Input{setback, gap},
	Instead: map[*ask.Input][]*ask.Input{gap: {thickness}},
	Takes:   with(setback, gap, lining, jambLean, opening, face, thickness, plateLength, step, clearance, swing, angle, farJamb),
	Example: "plate centre 65 setback 9 gap", Exact: "plate setback=65 gap=9",
	Answer: answerPlate, Refuses: waitsForEvidence,
}

var lining = &ask.Input{Name: "lining", Along: thick, None: true, Zero: true, What: "finished facing of the jamb still to come, with its packers", Example: "18",
	Words: []string{"jamb gets …", "jamb still gets …", "jamb is getting …", "plaster lining", "timber lining", "wood lining", "lining", "linings", "plasterboard", "plasterboards", "plaster board", "plaster boards", "wallboard", "wall board", "drywall", "dry lining", "lining board"}}

var jambLean = &ask.Input{Name: "jamb_lean", Nought: "jamb plumb", None: true, Zero: true, Sided: true, What: "how much further into the opening than its foot the heel jamb's furthest point stands", Example: "3",
	Words: []string{"jamb lean", "lean", "leans", "heel jamb leans in", "jamb leans in", "leans in", "jamb leans", "leaning in", "jamb leaning in", "heel jamb leaning in", "out plumb leaning in", "jamb is out plumb leaning in", "jamb out plumb leaning in", "jamb leans into opening", "leans into opening", "heel jamb leans into opening", "jamb is leaning in", "in at top …", "leans in by", "jamb leans in by", "heel jamb leans in by", "jamb leans in at top"}}

var face = &ask.Input{Name: "face", Zero: true, What: "distance from your reference line to the leaf's face on the side it opens to", Example: "20",
	Words: []string{"face", "face at …", "face line", "… from line", "… from reference line"}}

var plateLength = &ask.Input{Name: "plate_length", Along: long, What: "length of the floor plate along the opening", Example: "160",
	Words: []string{"plate length", "length", "… long"}, Group: []*ask.Input{plateWidth}}

// onPlate are the words that stand before the plate's size where another thing
// is asked: plate 160 x 60.
var onPlate = map[string]*ask.Input{"plate": plateLength, "floor plate": plateLength}

var farJamb = &ask.Input{Name: "far_jamb", Kind: ask.FlagKind, Beside: true, What: "the centre is wanted from the far jamb", Example: "from far jamb",
	Choices: []ask.Choice{{Value: "yes", Words: fronted([]string{"from ", "off ", "to ", ""}, "far jamb", "leading jamb", "lead jamb", "other jamb", "opposite jamb", "closing jamb", "far side")}}}

func answerPlate(k *ask.Inquiry) {
	if k.Q.Named(farJamb) != nil && !k.Has(opening) {
		k.Ask(say.F("the far jamb is as far away as it is wide"), opening)
		return
	}
	in, ok := calc.PlateInput{Setback: k.Length(setback)}, false
	if in.Gap, ok = plateGap(k, in.Setback); !ok {
		return
	}
	if k.Has(jambLean) {
		in.JambLean = k.Length(jambLean)
	} else {
		k.Note("if the jamb leans, measure from a plumb line through its point that stands furthest in")
		k.Assume(ask.Given{Name: jambLean.Name, Shown: say.Plain(k.Show(0))}, say.F("jamb plumb"))
	}
	in.Lining, in.Opening, in.Length = k.Length(lining), k.Length(opening), k.Length(plateLength)
	in.Step = plateStep(k)
	p, err := calc.Plate(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("plate_centre", p.Centre)
	k.Working("%s setback + %s gap + %s lean = %s from the foot of the heel jamb, at floor level", k.Figure(in.Setback), k.Figure(in.Gap), k.Figure(in.JambLean), k.SetOut(p.Centre))
	if k.Has(lining) {
		k.Result("plate_centre_unlined", p.Unlined)
		k.Behind()
		k.A.Headline = say.F("plate centre %s, unlined %s", k.Show(p.Centre.SetOut), k.Show(p.Unlined.SetOut))
	}
	if k.Has(opening) {
		k.Result("plate_centre_far", p.Far)
	}
	if k.Word(farJamb) != "" {
		k.Headline("plate centre %s from the far jamb, %s from the heel jamb", k.Show(p.Far.SetOut), k.Show(p.Centre.SetOut))
	}
	leadingGap(k, &in)
	if p.UnderJamb {
		k.Mention("half of the plate, %s, is more than the plate centre: it reaches under the jamb", k.Show(in.Length/2))
	}
	if !plateLine(k, in.Step) {
		return
	}
	k.Draw(draw.Plan{Thickness: k.Known(k.Peek(thickness)), Setback: k.Measure(in.Setback), GapHeel: k.Measure(in.Gap),
		Plate: k.Measure(p.Centre.SetOut), Far: k.Known(p.Far.SetOut)})
	k.Source("distances along one line")
	k.General("plumb up", plumbUp)
	k.General("locate", locate)
}

// plateGap takes the gap, or works out the least one for the thickness; false if
// it is refused.
func plateGap(k *ask.Inquiry, s calc.Length) (calc.Length, bool) {
	if k.Has(gap) {
		for _, in := range [...]*ask.Input{clearance, swing, angle, edge, edgeHeel} {
			if k.Q.Named(in) != nil {
				k.Mention("%s is not used: the gap is given", in.Said())
			}
		}
		g, own := k.Length(gap), k.Door[thickness.Name].Length
		if t := k.Q.Named(thickness); k.Q.Named(gap) == nil && (t != nil && t.Num.Length != own || s != k.Door[setback.Name].Length) {
			k.Mention("the gap of %s is the door's own: ask gap for what another leaf or setback needs", k.Show(g))
		}
		return g, true
	}
	if edgeUnclear(k) {
		return 0, false
	}
	t := takeTurn(k)
	t.Thickness, t.Setback = k.Length(thickness), s
	whole := calc.Millimetre // a gap once rounded is a chosen dimension
	if k.Q.Inches {
		whole = ask.InchStep
	}
	g, err := calc.Gap(t, k.LengthOr(clearance, assumedClearance), whole)
	if err != nil {
		k.Refuse(err)
		return 0, false
	}
	k.Caution(ask.Unchecked, edgeUnchecked)
	k.InShort("leading edge not checked")
	return k.Compute(gap, g.HeelGap.SetOut), true
}

// plateStep takes what a plate's figures are rounded to: half a millimetre
// unless it is said, common practice without a published source.
func plateStep(k *ask.Inquiry) calc.Length {
	if k.Q.Inches {
		return k.Step(step)
	}
	return k.LengthOr(step, calc.Millimetre/2)
}

// leadingGap tells what a lean moved into the centre leaves at the leading edge.
func leadingGap(k *ask.Inquiry, in *calc.PlateInput) {
	w := k.Door[width.Name].Length
	if w == 0 || in.Opening == 0 || in.JambLean == 0 {
		return
	}
	left := in.Opening - in.JambLean - in.Gap - w
	if top, lean := k.Door[widthTop.Name].Length, k.Door[leanHeel.Name].Length; top != 0 {
		left = min(left, lean+top-in.JambLean-in.Gap-w)
	}
	k.Plain("leading_gap_left", left)
	k.Note("the lean of %s that the centre is moved by is taken from the leading gap: %s are left of it", k.Show(in.JambLean), k.Show(left))
}

// plateLine adds the distance from a reference line; false if it is refused.
func plateLine(k *ask.Inquiry, step calc.Length) bool {
	if !k.Has(face) {
		for _, in := range [...]*ask.Input{thickness, offset} {
			if k.Q.Named(in) != nil && !k.Taken(in) {
				k.Note("%s %s is not used for the centre: the line from the face would need the face too", in.Said(), k.Show(k.Length(in)))
			}
		}
		return true
	}
	if !k.Has(thickness) {
		k.Ask(say.F("the axis stands half of it behind the face"), thickness)
		return false
	}
	if k.Taken(offset) {
		k.Fail("the gap for the thickness and the line from the face are two questions here: ask the line with its gap, as %s", "plate setback=65 gap=9 face=20 thickness=44")
		return false
	}
	face, t := k.Length(face), k.Length(thickness)
	o := takeOffset(k)
	line, err := calc.PlateLine(face, t, o, step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("plate_line", line)
	if o.E < 0 {
		k.Working("line: %s face + %s/2 − %s offset = %s", k.Figure(face), k.Figure(t), k.Figure(o.E.Abs()), k.SetOut(line))
	} else {
		k.Working("line: %s face + %s/2 + %s offset = %s", k.Figure(face), k.Figure(t), k.Figure(o.E), k.SetOut(line))
	}
	return true
}
