package bot

import "heelpost/calc"

const (
	locate     = "before drilling, have pipes, cables, tendons and membranes located and the circuit switched off where one is near; follow the hardware maker's drilling instructions"
	keepMemory = "margins of 10 mm over pipes and of 30 mm or two diameters before a back face: from memory"
)

func answerPlate(k *inquiry) {
	in := calc.PlateInput{Setback: k.length("setback"), Gap: k.length("gap")}
	if k.has("jamb_lean") {
		in.JambLean = k.length("jamb_lean")
		k.note("measure from a plumb line through the point of the jamb that stands furthest in")
	} else {
		k.assume(Given{Name: "jamb_lean", Shown: k.show(0)}, "jamb plumb")
	}
	in.Lining, in.Opening, in.Length = k.length("lining"), k.length("opening"), k.length("plate_length")
	in.Step = k.step()
	p, err := calc.Plate(in)
	if err != nil {
		k.refuse(err)
		return
	}
	k.result("plate_centre", p.Centre)
	k.working("%s setback + %s gap + %s lean = %s from the heel jamb, at floor level", k.figure(in.Setback), k.figure(in.Gap), k.figure(in.JambLean), k.setOut(p.Centre))
	if k.has("lining") {
		k.result("plate_centre_unlined", p.Unlined)
	}
	if k.has("opening") {
		k.result("plate_centre_far", p.Far)
	}
	if p.UnderJamb {
		k.note("half of the plate, %s, is more than the plate centre: it reaches under the jamb", k.show(in.Length/2))
	}
	if !k.plateLine(in.Step) {
		return
	}
	k.source("distances along one line")
	k.caution("plumb the head plate's centre up from the floor plate's, never measure it from the jamb", locate)
}

// plateLine adds the distance from a reference line; false if it is refused.
func (k *inquiry) plateLine(step calc.Length) bool {
	if !k.has("face") {
		for _, name := range [...]string{"thickness", "offset"} {
			if k.q.named(name) != nil {
				k.note("%s %s is not used: the line needs the face too", words(name), k.show(k.length(name)))
			}
		}
		return true
	}
	if !k.has("thickness") {
		k.a.ask(k.q.verb, []string{"thickness"}, "the axis stands half of it behind the face")
		return false
	}
	face, t := k.length("face"), k.length("thickness")
	o := k.offset()
	line, err := calc.PlateLine(face, t, o, step)
	if err != nil {
		k.refuse(err)
		return false
	}
	k.result("plate_line", line)
	sign := "+"
	if o.E < 0 {
		sign = "−"
	}
	k.working("line: %s face + %s/2 %s %s offset = %s", k.figure(face), k.figure(t), sign, k.figure(o.E.Abs()), k.setOut(line))
	return true
}

func answerStop(k *inquiry) {
	in := calc.StopInput{Depth: k.length("depth")}
	in.Template, in.Covering = k.lengthOr("template", 0), k.lengthOr("covering", 0)
	in.Bit, in.Point = k.length("bit"), k.angle("point")
	in.FullBore = k.word("full_bore") != ""
	in.HasCover, in.Cover = k.has("cover"), k.length("cover")
	switch k.word("cover_to") {
	case "pipe":
		in.CoverTo = calc.Pipe
	case "back":
		in.CoverTo = calc.Back
	}
	switch k.word("cover_from") {
	case "surface":
		in.CoverFrom = calc.Surface
	case "covering":
		in.CoverFrom = calc.OnCovering
	}
	if k.has("margin") {
		in.Margin = k.length("margin")
		if in.Margin == 0 {
			k.a.Error = "margin is " + k.show(0) + ", but must be more than 0: something has to stay over what lies below"
			return
		}
	}
	in.Step = k.step()
	m, err := calc.StopDepth(in)
	if err != nil {
		k.refuse(err)
		return
	}
	name := "stop_depth"
	if in.FullBore {
		name = "stop_depth_full_bore"
	}
	k.result(name, m.Mark)
	k.plain("tip_depth", m.Tip)
	k.workStop(&in, &m)
	if m.Point > 0 {
		k.plain("point_length", m.Point)
		k.source("point length (D/2)/tan(angle/2) of a twist drill: plane geometry")
	}
	if in.HasCover {
		k.workCover(&in, &m)
	} else {
		k.note("cover not checked: give the measured cover over pipes, cables or the back face")
	}
	k.source("distances along the bit, from the drill's tip")
	k.caution(locate)
}

// workStop shows how the mark comes about.
func (k *inquiry) workStop(in *calc.StopInput, m *calc.StopMark) {
	sum := k.figure(in.Depth) + " deep + " + k.figure(in.Template) + " template + " + k.figure(in.Covering) + " covering"
	if in.FullBore {
		sum += " + " + k.figure(m.Point) + " point"
	} else if in.Point > 0 {
		k.note("the depth is taken as the tip's; say full bore if it is wanted at the drill's full diameter")
	}
	k.working("%s = %s from the tip", sum, k.setOut(m.Mark))
}

// workCover shows what is left of the cover.
func (k *inquiry) workCover(in *calc.StopInput, m *calc.StopMark) {
	k.result("cover_left", m.CoverLeft)
	cover := k.figure(in.Cover)
	if m.Deducted {
		cover += " − " + k.figure(in.Covering) + " covering"
		if in.CoverFrom == calc.UnsaidAbove {
			k.a.Assumed = append(k.a.Assumed, "cover measured from the top of the covering")
		}
	}
	k.working("cover left: %s − %s = %s; margin %s", cover, k.figure(m.Tip), k.setOut(m.CoverLeft), k.figure(m.Margin))
	if in.CoverTo == calc.UnsaidBelow {
		k.a.Assumed = append(k.a.Assumed, "what lies below not said, the larger margin kept")
	}
	if in.Margin == 0 {
		k.assume(Given{Name: "margin", Length: m.Margin, Shown: k.show(m.Margin)}, "")
		k.source(keepMemory)
	}
}

func answerReach(k *inquiry) {
	in := calc.ReachInput{Setback: k.length("setback"), Key: k.length("key"), Body: k.length("body"), Second: k.length("second")}
	in.Stocks = k.lengths("stocks")
	if len(in.Stocks) > 0 || k.has("kerf") {
		in.Kerf = k.lengthOr("kerf", assumedKerf)
	}
	in.Step = k.step()
	r, err := calc.Reach(in)
	if err != nil {
		k.refuse(err)
		return
	}
	k.a.Results = append(k.a.Results, Result{Name: "reaches", Kind: TruthValue, Truth: r.Reaches, Shown: yesNo(r.Reaches)})
	k.source("distances along the head of the leaf")
	k.caution("turning the head pivot moves a heavy leaf: prop it and keep clear of where it can fall; follow the hardware maker's instructions")
	if r.Reaches {
		k.a.Headline = "the key reaches"
		k.working("%s setback is not more than the key's %s", k.figure(in.Setback), k.figure(in.Key))
		return
	}
	k.a.Headline = "the key is " + k.show(r.OverBy.SetOut) + " short"
	k.working("%s setback − %s key = %s", k.figure(in.Setback), k.figure(in.Key), k.setOut(r.OverBy))
	k.result("over_by", r.OverBy)
	k.a.Results[len(k.a.Results)-1].Minor = true // it is the headline
	k.result("key_length", r.KeyLength)
	k.guide(&in, &r)
}

// guide adds the guide tube for a longer key.
func (k *inquiry) guide(in *calc.ReachInput, r *calc.KeyReach) {
	if in.Body == 0 {
		k.note("give the length of the whole pivot body for the guide to cut")
		return
	}
	k.result("guide_length", r.GuideLength)
	k.working("guide: %s setback − %s body/2 = %s", k.figure(in.Setback), k.figure(in.Body), k.setOut(r.GuideLength))
	if len(in.Stocks) == 0 {
		return
	}
	if r.StockLength == 0 {
		k.note("no stock is long enough for the guide: a head pivot worked from above is the other way")
		return
	}
	k.plain("stock_length", r.StockLength)
	k.result("offcut", r.Offcut)
	k.working("offcut: %s − %s − %s kerf = %s", k.figure(r.StockLength), k.figure(r.GuideLength.SetOut), k.figure(in.Kerf), k.setOut(r.Offcut))
	if in.Second > 0 {
		k.a.Results = append(k.a.Results, Result{Name: "second_fits", Kind: TruthValue, Truth: r.SecondFits, Shown: yesNo(r.SecondFits)})
	}
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
