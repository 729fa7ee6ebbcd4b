package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/calc"
)

const (
	locate     = "before drilling, have pipes, cables, tendons and membranes located and the circuit switched off where one is near; follow the hardware maker's drilling instructions"
	keepMemory = "margins of 10 mm over pipes and of 30 mm or two diameters before a back face: from memory"
)

func answerPlate(k *ask.Inquiry) {
	in := calc.PlateInput{Setback: k.Length("setback"), Gap: k.Length("gap")}
	if k.Has("jamb_lean") {
		in.JambLean = k.Length("jamb_lean")
		k.Note("measure from a plumb line through the point of the jamb that stands furthest in")
	} else {
		k.Assume(ask.Given{Name: "jamb_lean", Shown: k.Show(0)}, "jamb plumb")
	}
	in.Lining, in.Opening, in.Length = k.Length("lining"), k.Length("opening"), k.Length("plate_length")
	in.Step = k.Step()
	p, err := calc.Plate(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("plate_centre", p.Centre)
	k.Working("%s setback + %s gap + %s lean = %s from the heel jamb, at floor level", k.Figure(in.Setback), k.Figure(in.Gap), k.Figure(in.JambLean), k.SetOut(p.Centre))
	if k.Has("lining") {
		k.Result("plate_centre_unlined", p.Unlined)
	}
	if k.Has("opening") {
		k.Result("plate_centre_far", p.Far)
	}
	if p.UnderJamb {
		k.Note("half of the plate, %s, is more than the plate centre: it reaches under the jamb", k.Show(in.Length/2))
	}
	if !plateLine(k, in.Step) {
		return
	}
	k.Source("distances along one line")
	k.Caution("plumb the head plate's centre up from the floor plate's, never measure it from the jamb", locate)
}

// plateLine adds the distance from a reference line; false if it is refused.
func plateLine(k *ask.Inquiry, step calc.Length) bool {
	if !k.Has("face") {
		for _, name := range [...]string{"thickness", "offset"} {
			if k.Q.Named(name) != nil {
				k.Note("%s %s is not used: the line needs the face too", lex.Words(name), k.Show(k.Length(name)))
			}
		}
		return true
	}
	if !k.Has("thickness") {
		k.A.Ask(k.Q.Verb, []string{"thickness"}, "the axis stands half of it behind the face")
		return false
	}
	face, t := k.Length("face"), k.Length("thickness")
	o := offset(k)
	line, err := calc.PlateLine(face, t, o, step)
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.Result("plate_line", line)
	sign := "+"
	if o.E < 0 {
		sign = "−"
	}
	k.Working("line: %s face + %s/2 %s %s offset = %s", k.Figure(face), k.Figure(t), sign, k.Figure(o.E.Abs()), k.SetOut(line))
	return true
}

func answerStop(k *ask.Inquiry) {
	in := calc.StopInput{Depth: k.Length("depth")}
	in.Template, in.Covering = k.LengthOr("template", 0), k.LengthOr("covering", 0)
	in.Bit, in.Point = k.Length("bit"), k.Angle("point")
	in.FullBore = k.Word("full_bore") != ""
	in.HasCover, in.Cover = k.Has("cover"), k.Length("cover")
	switch k.Word("cover_to") {
	case "pipe":
		in.CoverTo = calc.Pipe
	case "back":
		in.CoverTo = calc.Back
	}
	switch k.Word("cover_from") {
	case "surface":
		in.CoverFrom = calc.Surface
	case "covering":
		in.CoverFrom = calc.OnCovering
	}
	if k.Has("margin") {
		in.Margin = k.Length("margin")
		if in.Margin == 0 {
			k.A.Error = "margin is " + k.Show(0) + ", but must be more than 0: something has to stay over what lies below"
			return
		}
	}
	in.Step = k.Step()
	m, err := calc.StopDepth(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	name := "stop_depth"
	if in.FullBore {
		name = "stop_depth_full_bore"
	}
	k.Result(name, m.Mark)
	k.Plain("tip_depth", m.Tip)
	workStop(k, &in, &m)
	if m.Point > 0 {
		k.Plain("point_length", m.Point)
		k.Source("point length (D/2)/tan(angle/2) of a twist drill: plane geometry")
	}
	if in.HasCover {
		workCover(k, &in, &m)
	} else {
		k.Note("cover not checked: give the measured cover over pipes, cables or the back face")
	}
	k.Source("distances along the bit, from the drill's tip")
	k.Caution(locate)
}

// workStop shows how the mark comes about.
func workStop(k *ask.Inquiry, in *calc.StopInput, m *calc.StopMark) {
	sum := k.Figure(in.Depth) + " deep + " + k.Figure(in.Template) + " template + " + k.Figure(in.Covering) + " covering"
	if in.FullBore {
		sum += " + " + k.Figure(m.Point) + " point"
	} else if in.Point > 0 {
		k.Note("the depth is taken as the tip's; say full bore if it is wanted at the drill's full diameter")
	}
	k.Working("%s = %s from the tip", sum, k.SetOut(m.Mark))
}

// workCover shows what is left of the cover.
func workCover(k *ask.Inquiry, in *calc.StopInput, m *calc.StopMark) {
	k.Result("cover_left", m.CoverLeft)
	cover := k.Figure(in.Cover)
	if m.Deducted {
		cover += " − " + k.Figure(in.Covering) + " covering"
		if in.CoverFrom == calc.UnsaidAbove {
			k.A.Assumed = append(k.A.Assumed, "cover measured from the top of the covering")
		}
	}
	k.Working("cover left: %s − %s = %s; margin %s", cover, k.Figure(m.Tip), k.SetOut(m.CoverLeft), k.Figure(m.Margin))
	if in.CoverTo == calc.UnsaidBelow {
		k.A.Assumed = append(k.A.Assumed, "what lies below not said, the larger margin kept")
	}
	if in.Margin == 0 {
		k.Assume(ask.Given{Name: "margin", Length: m.Margin, Shown: k.Show(m.Margin)}, "")
		k.Source(keepMemory)
	}
}

func answerReach(k *ask.Inquiry) {
	in := calc.ReachInput{Setback: k.Length("setback"), Key: k.Length("key"), Body: k.Length("body"), Second: k.Length("second")}
	in.Stocks = k.Lengths("stocks")
	if len(in.Stocks) > 0 || k.Has("kerf") {
		in.Kerf = k.LengthOr("kerf", ask.AssumedKerf)
	}
	in.Step = k.Step()
	r, err := calc.Reach(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.A.Results = append(k.A.Results, ask.Result{Name: "reaches", Kind: ask.TruthValue, Truth: r.Reaches, Shown: yesNo(r.Reaches)})
	k.Source("distances along the head of the leaf")
	k.Caution("turning the head pivot moves a heavy leaf: prop it and keep clear of where it can fall; follow the hardware maker's instructions")
	if r.Reaches {
		k.A.Headline = "the key reaches"
		k.Working("%s setback is not more than the key's %s", k.Figure(in.Setback), k.Figure(in.Key))
		return
	}
	k.A.Headline = "the key is " + k.Show(r.OverBy.SetOut) + " short"
	k.Working("%s setback − %s key = %s", k.Figure(in.Setback), k.Figure(in.Key), k.SetOut(r.OverBy))
	k.Result("over_by", r.OverBy)
	k.A.Results[len(k.A.Results)-1].Minor = true // it is the headline
	k.Result("key_length", r.KeyLength)
	guide(k, &in, &r)
}

// guide adds the guide tube for a longer key.
func guide(k *ask.Inquiry, in *calc.ReachInput, r *calc.KeyReach) {
	if in.Body == 0 {
		k.Note("give the length of the whole pivot body for the guide to cut")
		return
	}
	k.Result("guide_length", r.GuideLength)
	k.Working("guide: %s setback − %s body/2 = %s", k.Figure(in.Setback), k.Figure(in.Body), k.SetOut(r.GuideLength))
	if len(in.Stocks) == 0 {
		return
	}
	if r.StockLength == 0 {
		k.Note("no stock is long enough for the guide: a head pivot worked from above is the other way")
		return
	}
	k.Plain("stock_length", r.StockLength)
	k.Result("offcut", r.Offcut)
	k.Working("offcut: %s − %s − %s kerf = %s", k.Figure(r.StockLength), k.Figure(r.GuideLength.SetOut), k.Figure(in.Kerf), k.SetOut(r.Offcut))
	if in.Second > 0 {
		k.A.Results = append(k.A.Results, ask.Result{Name: "second_fits", Kind: ask.TruthValue, Truth: r.SecondFits, Shown: yesNo(r.SecondFits)})
	}
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
