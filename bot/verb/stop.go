package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"regexp"
)

var askStop = &ask.Verb{
	Name: "stop", Summary: "where the depth mark goes on the drill bit",
	Words: []string{"stop", "where do i tape bit", "where do i tape drill", "where i put tape", "where i put tape on drill", "where i put tape on bit", "where do i tape it", "where on bit", "where on bit does tape go", "where on drill does tape go", "where on bit do i put tape", "where do i set collar", "where do we set stop", "where to tape bit", "where to tape", "where to tape drill", "set my stop", "set my depth stop", "set depth stop", "what do i set stop to", "what do i set depth stop to", "how far up do i tape", "where's collar", "where's flag", "drill stop setting", "drill stop", "stop depth", "depth stop", "drill depth", "where does tape go", "depth mark", "how deep", "where does stop go", "where is stop", "where stop", "where's stop", "where's tape", "wheres tape", "where is tape", "where tape", "mark on bit", "where does mark go", "where does mark go on bit", "where does tape go on bit", "how far up bit", "how far up drill", "how far up bit do i tape", "how far up bit does tape go", "where is mark", "where's mark", "wheres mark", "where is mark on bit", "where is mark on drill", "where's mark on bit", "where's mark on drill", "where to set stop", "where to set stop collar", "stop collar", "set stop collar", "where to put tape", "where to put mark", "where to put stop", "where do i set stop", "where does collar go", "set stop", "where do i put tape", "where do i put mark", "where do i put mark on bit", "where do i put tape on bit", "where do i put flag on bit", "where do i put tape on drill", "where do i put flag", "where does flag go", "where do i tape", "where do i mark bit", "where do i put stop", "where does mark go on drill", "where does tape go on drill", "stop collar setting", "depth stop setting", "how far do i set drill stop",
		"{what|which} depth {do i|do we|should i|must i|to} {tape|set|mark} {bit|drill|stop|drill stop|depth stop|it|}",
		"how far from tip {do i|do we|should i|must i|to|} {put|set|stick|wrap|} {tape|mark|flag|collar|}",
		"how deep {do i|do we|should i|must i|to} set {drill|bit|stop|depth stop|drill stop|collar}",
		"how far from {tip|tip bit|tip drill}",
		"mark for {bit|drill}",
		"{what|which} length {do i|do we|should i|to} set {stop|depth stop|drill stop|collar}",
		"how far up {bit|drill|} {do i|do we|should i|must i|to|does} {tape|put tape|put mark|put flag|mark|mark it|tape it|put collar|set collar|wrap tape|put it|go|tape go|mark go|flag go}",
		"what {should|must|does|would|do i set|do i put} {stop|drill stop|depth stop|collar|depth collar|my stop} {be|read|be set to|be set at|be at|need to be|have to be|say|to|at|on|}",
		"{stop|drill stop|depth stop|collar|depth collar} {for|to drill}",
		"where {do i|do we|should i|should we|must i|to|shall i|can i} {tape|wrap|put|set|stick|place|mark|fix|clamp|have} {tape|stop|depth stop|drill stop|collar|depth collar|mark|depth mark|flag|bit|drill|my tape|my mark}",
		"what {do i|do we|should i|must i|to} set {drill stop|depth stop|stop|collar|depth collar|stop collar|drill} {to|at|}",
		"what setting for {stop|drill stop|depth stop|collar}",
		"{stop|collar|depth|drill} setting",
		"set {depth|drill|stop|} collar",
		"set {drill|depth} stop",
		"set {depth|drill|stop} collar for",
		"set {drill|depth} stop for",
		"where {does|should|must} {collar|depth collar|stop collar|drill stop|depth stop|tape|flag} {go|sit|be}",
		"how far up {bit|drill} {does|should|must} {tape|mark|collar|flag|stop} {go|sit|be}",
		"how far up {do i|should i} {tape|mark|put tape|put mark|put flag}",
	},
	Everyday: []string{"stop"},
	Also:     map[string]*ask.Input{"holes": depth, "jig thickness": template, "thickness jig": template, "through …": template},
	Leads:    map[string]*ask.Input{"stop depth": depth, "drill depth": depth, "depth stop": depth},
	Order:    []*ask.Input{depth, template}, Need: []*ask.Input{depth}, Wary: true,
	Takes:   []*ask.Input{depth, template, covering, bit, point, fullBore, cover, coverTo, coverFrom, margin, locator, sideways, step},
	Example: "drill stop 12 deep, 5 template", Exact: "stop depth=12 template=5",
	Answer: answerStop, Refuses: noPin,
}

var depth = &ask.Input{Name: "depth", Few: "%s deep", What: "how deep the hole must be, from the surface", Example: "12",
	Words: []string{"depth", "… deep", "hole depth", "depth hole", "… deep hole", "… hole deep"}}

var template = &ask.Input{Name: "template", Along: thick, Nought: "no template", Few: "%s template", None: true, Zero: true, What: "thickness of the drilling template", Example: "5",
	Words: []string{"template", "templates", "jig", "template thickness", "thickness template"}}

var covering = &ask.Input{Name: "covering", Along: thick, Nought: "no covering", Few: "%s covering", None: true, Zero: true, What: "thickness of a covering left in place and drilled through", Example: "6",
	Words: []string{"covering", "vinyl", "lino", "linoleum", "laminate", "parquet", "floor tile", "floor tiles", "coverings", "floor covering", "tile", "tiles"}}

var bit = &ask.Input{Name: "bit", Along: wide, Few: "%s bit", What: "diameter of the drill", Example: "10",
	Words: []string{"bit", "… drill", "… hole", "diameter", "dia", "d …", "drill bit", "bit diameter", "drill diameter"},
	Loose: []string{"… drill", "… hole"}}

var point = &ask.Input{Name: "point", Kind: ask.AngleKind, What: "included angle of the drill's point", Example: "118°",
	Words: []string{"point", "point angle", "tip angle", "drill point"}}

var fullBore = &ask.Input{Name: "full_bore", Kind: ask.FlagKind, What: "the depth is wanted at the drill's full diameter", Example: "full bore",
	Choices: []ask.Choice{
		{Words: []string{"full bore", "full diameter"}, Value: "yes"},
	}}

var cover = &ask.Input{Name: "cover", Unsaid: []string{"cover not measured", "cover is not measured", "cover unmeasured", "cover unknown", "cover not known", "cover not read"}, Few: "%s cover", Zero: true, What: "from the surface to the nearest pipe, cable or back face", Example: "55",
	Words: []string{"cover", "covers", "cover over", "pipe cover"}}

var coverTo = &ask.Input{Name: "cover_to", Kind: ask.ChoiceKind, Grave: true, What: "what lies below: pipe or back", Example: "pipe",
	Choices: []ask.Choice{
		{Words: toServices(), Value: "pipe", Counts: cover},
		{Words: []string{"to back", "cellar below", "garage below", "basement below", "room below", "flat below", "cellar under", "basement under", "cellar underneath", "garage underneath", "basement underneath", "over garage", "over cellar", "over basement", "over car park", "back", "to back face", "back face", "break through", "breakthrough"}, Value: "back", Counts: cover},
		{Words: []string{"right through", "nearly through", "almost through", "all way through", "clean through", "straight through", "through slab", "through floor", "through screed", "through concrete", "through ceiling"}, Value: "back"},
	}}

// toServices are the words for what a cover may be measured to.
func toServices() (all []string) {
	for _, front := range []string{"to ", "over ", "above ", ""} {
		for _, service := range lex.Services {
			all = append(all, front+service)
		}
	}
	for _, service := range []string{"heating", "heating loop", "heating loops", "loops", "heat mat", "heating mat"} {
		all = append(all, "to "+service, "over "+service, "above "+service)
	}
	return all
}

var coverFrom = &ask.Input{Name: "cover_from", Kind: ask.ChoiceKind, What: "where the cover was measured from: surface or covering", Example: "from surface",
	Choices: []ask.Choice{
		{Words: []string{"from surface", "surface", "from screed", "from concrete"}, Value: "surface"},
		{Words: []string{"from covering", "from top covering", "from top", "over covering"}, Value: "covering"},
	}}

var margin = &ask.Input{Name: "margin", Zero: true, What: "what to keep between the drill's tip and what lies below", Example: "15",
	Words: []string{"margin …"}}

// throughNothing matches a through behind which nothing stands.
var throughNothing = regexp.MustCompile(`(?i)\bthrough\s*(?:[,.;!?]|$)`)

func answerStop(k *ask.Inquiry) {
	if to := k.Q.Named(coverTo); (to == nil || to.Set.Value != "back") && throughNothing.MatchString(k.Says()) {
		k.Fail("through what? give its thickness beside it, as through 5, or the cover where the hole goes through the floor")
		return
	}
	in := calc.StopInput{Depth: k.Length(depth)}
	in.Template, in.Covering = k.LengthOr(template, 0), k.LengthOr(covering, 0)
	in.Bit, in.Point = k.Length(bit), k.Angle(point)
	in.FullBore = k.Word(fullBore) != ""
	in.HasCover, in.Cover = k.Has(cover), k.Length(cover)
	switch k.Word(coverTo) {
	case "pipe":
		in.CoverTo = calc.Pipe
	case "back":
		in.CoverTo = calc.Back
	}
	switch k.Word(coverFrom) {
	case "surface":
		in.CoverFrom = calc.Surface
	case "covering":
		in.CoverFrom = calc.OnCovering
	}
	if k.Has(margin) {
		in.Margin = k.Length(margin)
		if in.Margin == 0 {
			k.Fail("margin is %s, but must be more than 0: something has to stay over what lies below", k.Show(0))
			return
		}
	}
	if in.Aside = k.Has(sideways); in.Aside {
		in.Sideways = k.Length(sideways)
	}
	if in.CoverTo != calc.Back && (in.HasCover || in.Aside) {
		if in.Locator = k.LengthOr(locator, assumedLocator); in.Locator == 0 {
			k.Fail("locator is %s, but must be more than 0: nothing locates a pipe exactly", k.Show(0))
			return
		}
	}
	in.Step = k.Step(step)
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
	k.Behind()
	workStop(k, &in, &m)
	drawStop(k, &in, &m)
	if m.Point > 0 {
		k.Plain("point_length", m.Point)
		k.Behind()
		k.Source("point length (D/2)/tan(angle/2) of a twist drill: plane geometry")
	}
	if m.Beside {
		k.Working("beside the pipe: %s − %s/2 leaves the margin and the locator's uncertainty: it needs no cover", k.Figure(in.Sideways), k.Figure(in.Bit))
	}
	switch {
	case m.Margin > 0:
		workCover(k, &in, &m)
	case !m.Beside:
		k.Beside("cover unmeasured")
		k.Caution(ask.Whole, "cover unmeasured: have what lies below located and give the cover over pipes, cables or to the back face before anything is drilled")
	}
	k.Source("distances along the bit, from the drill's tip")
	k.General("locate", locate)
}

// workStop shows how the mark comes about.
func workStop(k *ask.Inquiry, in *calc.StopInput, m *calc.StopMark) {
	deep, over, under := k.Figure(in.Depth), k.Figure(in.Template), k.Figure(in.Covering)
	if in.FullBore {
		k.Working("%s deep + %s template + %s covering + %s point = %s from the tip", deep, over, under, k.Figure(m.Point), k.SetOut(m.Mark))
		return
	}
	if in.Point > 0 {
		k.Note("the depth is taken as the tip's; say full bore if it is wanted at the drill's full diameter")
	}
	k.Working("%s deep + %s template + %s covering = %s from the tip", deep, over, under, k.SetOut(m.Mark))
}

// workCover shows what is left of the cover.
func workCover(k *ask.Inquiry, in *calc.StopInput, m *calc.StopMark) {
	k.Result("cover_left", m.CoverLeft)
	whole, tip, left, kept := k.Figure(in.Cover), k.Figure(m.Tip), k.SetOut(m.CoverLeft), say.Plain(k.Figure(m.Margin))
	base := m.Margin
	if in.CoverTo == calc.Pipe {
		base -= in.Locator
		kept = say.F("%s and %s for the locator", k.Figure(base), k.Figure(in.Locator))
	}
	if m.Deducted {
		if in.CoverFrom == calc.UnsaidAbove {
			k.Suppose("cover measured from the top of the covering", "cover from the covering's top")
		}
		k.Working("cover left: %s − %s covering − %s = %s; margin %s", whole, k.Figure(in.Covering), tip, left, kept)
	} else {
		k.Working("cover left: %s − %s = %s; margin %s", whole, tip, left, kept)
	}
	if in.CoverTo == calc.UnsaidBelow {
		k.Suppose("what lies below not said, the larger margin kept", "below unsaid")
	}
	if usual := usualMargin(in); in.Margin > 0 && in.Margin < usual {
		k.Caution(ask.NotUsable, "a margin of %s is less than the usual %s over what lies below: that is for whoever answers for the work to decide", k.Show(in.Margin), k.Show(usual))
		k.InShort("margin under the usual %s", k.Show(usual))
	}
	if in.Margin == 0 {
		shown := say.Plain(k.Show(base))
		k.Assume(ask.Given{Name: margin.Name, Length: base, Shown: shown}, say.F("margin %s", shown))
		k.Source("margins of 10 mm over pipes with 5 mm for the locator, and of 30 mm or two diameters before a back face: from memory")
	}
}

// usualMargin is what is kept of the cover where nothing else is said, without
// the locator's part.
func usualMargin(in *calc.StopInput) calc.Length {
	if in.CoverTo == calc.Pipe {
		return assumedOver
	}
	return max(calc.Length(assumedBack), 2*in.Bit)
}

// drawStop draws the section through the hole.
func drawStop(k *ask.Inquiry, in *calc.StopInput, m *calc.StopMark) {
	d := draw.Drill{Tip: k.Measure(m.Tip), Mark: k.Measure(m.Mark.SetOut), Point: m.Point, Bit: in.Bit}
	if in.Template > 0 {
		d.Above = append(d.Above, draw.Layer{Measure: k.Measure(in.Template), Name: template.Said()})
	}
	if in.Covering > 0 {
		d.Above = append(d.Above, draw.Layer{Measure: k.Measure(in.Covering), Name: covering.Said()})
	}
	if in.HasCover {
		below := in.Cover
		if m.Deducted {
			below -= in.Covering
		}
		d.Pipe, d.Back, d.Left = k.Measure(below), in.CoverTo == calc.Back, k.Measure(m.CoverLeft.SetOut)
	}
	k.Draw(d)
}

// noPin refuses a hole that was not asked for by its depth in a door that can
// have none.
func noPin(k *ask.Inquiry) bool {
	d, short := k.Door[ask.ShortDoor]
	if short = short && k.Q.Named(depth) == nil; short {
		k.A.Error = d.Text
	}
	return short
}
