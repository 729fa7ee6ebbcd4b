package verb

import (
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askMass = &ask.Verb{
	Name: "mass", Summary: "what a leaf weighs by its layers or on two scales, where its centre is, and what it takes to turn it",
	AskedBy: []string{"how much"},
	Words: []string{"weight", "how many kilos", "how many kilos is", "how many kg", "how many kg is", "what's it weigh", "whats it weigh", "what will it weigh", "how much will it weigh", "what does it come to", "total mass", "weight of leaf", "weight of door", "what does leaf come to", "whats weight", "what's weight", "total weight", "what's its mass", "mass", "leaf mass", "how heavy", "how much does it weigh", "how much does leaf weigh", "what does it weigh", "what does leaf weigh", "weigh", "weight leaf", "weight door", "what is weight", "what weight",
		"{what|how much|what kilos} {would|does|will|might|do|should} {it|leaf|door|they|that|one|panel} {weigh|come to|come out at|bring on scales|tip scales at|be} {|in kg|in kilos|kg|kilos}",
		"{what's|whats|what is} {it|leaf|door|that} {weigh|come to|weight|come out at} {|in kg|in kilos}",
		"how heavy {is|will|would|does|are|should|} {it|leaf|door|they|that|panel} {be|get|come out|}", "kilos", "how many {kilos|kg} {does|is|will|would|in} {it|leaf|door|that} {weigh|come to|be|}", "weigh {it|that|leaf|door}", "weight in {kg|kilos}", "how much weight", "what weight {is|does|has|will} {it|leaf|door|that} {have|be|}", "work out {weight|mass}",
	},
	Takes: slices.Concat([]*ask.Input{width, height, thickness, setback, offset, offsetSide, madeOf, density, frame},
		layers(), []*ask.Input{cutoutWidth, cutoutHeight, cutoutX, cutoutZ, pane, fittings, fittingsX, cladding,
			heelScale, leadScale, scaleSpan, scaleHeel, plateLength, plateWidth, carries, step, bothSides, hollowLeaf, twoLeaves}),
	Things: []string{"kilos"}, Typed: thickness,
	Also:    scalesAt,
	Facts:   append(layers(), madeOf, density, heelScale, leadScale),
	Box:     []*ask.Input{width, height, thickness},
	Example: "mass 1000 wide, 2300 high, glass 6, oak 36, frame 110", Exact: "mass width=1000 height=2300 glass=6 oak=36 frame=110",
	Answer: answerMass,
}

// materials are the inputs of layers, one for each material.
var materials = func() map[*ask.Input]calc.Material {
	all := map[*ask.Input]calc.Material{}
	for _, m := range calc.Materials {
		word := strings.ToLower(m.Name)
		if word == "lead" {
			word = "lead sheet" // the leading edge is said so too
		}
		all[&ask.Input{Name: strings.ReplaceAll(word, " ", "_"), Kind: ask.ListKind, Each: true, Beside: true, Along: thick, What: "thickness of a layer of this", Example: "18", Words: append(fronted(called(word), "", " door", " leaf", " sheet", " plate"), fronted([]string{"sheet "}, called(word)...)...)}] = m
	}
	return all
}()

func init() {
	for in, m := range materials {
		for i := range madeOf.Choices {
			if madeOf.Choices[i].Value == m.Name {
				in.Whole = &madeOf.Choices[i]
			}
		}
	}
}

// called returns what people call a material, its own name first.
func called(word string) []string {
	return append([]string{word}, map[string][]string{
		"aluminium": {"aluminum", "alu", "ali"}, "steel": {"mild steel", "solid steel"}, "plywood": {"ply", "birch ply"}, "mdf": {"mdf board"}, "glass": {"toughened glass"},
	}[word]...)
}

// layers returns the inputs of layers by their names.
func layers() []*ask.Input {
	var all []*ask.Input
	for in := range materials {
		all = append(all, in)
	}
	slices.SortFunc(all, func(a, b *ask.Input) int { return strings.Compare(a.Name, b.Name) })
	return all
}

var madeOf = &ask.Input{Name: "material", Kind: ask.ChoiceKind, What: "what the whole thickness is made of; a layer is its material with its thickness, as glass 6 or 38 oak, from the side the leaf opens to: glass, oak, pine, steel, plywood, MDF, C24 and others", Example: "solid oak",
	Choices: func() []ask.Choice {
		var all []ask.Choice
		for _, m := range calc.Materials {
			word := strings.ToLower(m.Name)
			all = append(all, ask.Choice{Words: []string{"solid " + m.Name, "solid " + word, "all " + word, "made " + word, "whole " + word}, Value: m.Name})
		}
		return all
	}()}

var density = &ask.Input{Name: "density", Kind: ask.DensityKind, ByName: true, What: "of a leaf of another material over its whole thickness", Example: "density 650 kg/m³",
	Words: []string{"density …"}}

var frame = &ask.Input{Name: "frame", Along: wide, Kind: ask.ListKind, Each: true, What: "how wide the frame is that the layer before it is no more than", Example: "frame 110",
	Words: []string{"frame …", "frame width …", "frame wide …"}}

var cutoutWidth = &ask.Input{Name: "cutout_width", Along: wide, What: "width of a cut-out through all layers", Example: "cutout 300x600",
	Words: []string{"cutout …", "cut out …", "cutout width"}, Group: []*ask.Input{cutoutHeight}}

var cutoutHeight = &ask.Input{Name: "cutout_height", Along: high, What: "height of the cut-out", Example: "600",
	Words: []string{"cutout height"}}

var cutoutX = &ask.Input{Name: "cutout_x", Zero: true, What: "how far the cut-out begins from the heel edge", Example: "cutout x 200",
	Words: []string{"cutout x …", "cutout from heel …"}}

var cutoutZ = &ask.Input{Name: "cutout_z", Zero: true, What: "how far the cut-out begins from the foot", Example: "cutout z 900",
	Words: []string{"cutout z …", "cutout from foot …"}}

var pane = &ask.Input{Name: "pane", Along: thick, What: "thickness of the glass that fills the cut-out", Example: "pane 6",
	Words: []string{"pane"}}

var fittings = &ask.Input{Name: "fittings", Kind: ask.MassKind, ByName: true, What: "mass of what is put on the leaf, as ironmongery", Example: "fittings 3 kg",
	Words: []string{"fittings", "ironmongery"}}

var fittingsX = &ask.Input{Name: "fittings_x", Zero: true, What: "how far from the heel edge the middle of the fittings is", Example: "fittings at 930",
	Words: []string{"fittings at …", "ironmongery at …"}}

var cladding = &ask.Input{Name: "cladding", Kind: ask.MassKind, ByName: true, What: "mass of what is put on the hung leaf later, spread over it", Example: "cladding 14 kg",
	Words: []string{"cladding", "later cladding", "clad later with", "comes later …"}}

var heelScale = &ask.Input{Name: "heel_scale", Kind: ask.MassKind, ByName: true, Zero: true, What: "what the scale at the heel end shows", Example: "heel scale 51 kg",
	Words: []string{"heel scale", "scale at heel", "heel end", "heel one", "heel end one", "scale at heel end", "one at heel", "heel side", "scale under heel", "back scale", "{heel one|heel end|heel scale|one at heel|scale at heel|back scale} {reads|shows|read|showed} …"}}

var leadScale = &ask.Input{Name: "lead_scale", Kind: ask.MassKind, ByName: true, Zero: true, What: "what the scale at the leading end shows", Example: "lead scale 36 kg",
	Words: []string{"lead scale", "leading scale", "scale at lead", "lead end", "leading end", "lead one", "leading one", "lead end one", "other one", "other scale", "one at lead", "scale at lead end", "front scale", "scale under lead", "second scale", "{lead one|leading one|lead end|leading end|lead scale|leading scale|other one|other scale|other|scale at lead|front scale|second scale} {reads|shows|read|showed} …"}}

var scaleSpan = &ask.Input{Name: "scale_span", What: "how far the scales are apart", Example: "scales 800 apart",
	Words: []string{"span", "scale span", "scales …", "… apart", "scales are …", "… between scales", "between scales"}}

var scaleHeel = &ask.Input{Name: "scale_heel", Along: []string{"from heel", "from heel edge", "in from heel", "in from heel edge", "from edge"}, Zero: true, What: "how far the scale at the heel end is from the heel edge", Example: "first scale 90",
	Words: []string{"first scale", "first", "first scale from heel", "first scale from edge", "first one", "heel scale in", "first from heel"}}

// scalesAt are the words of what a scale shows where no other question has them.
var scalesAt = map[string]*ask.Input{"plate": plateLength, "floor plate": plateLength, "… at heel": heelScale, "… at heel end": heelScale, "… at lead": leadScale, "… at leading edge": leadScale, "… at leading end": leadScale}

var plateWidth = &ask.Input{Name: "plate_width", Along: wide, What: "width of the floor plate across the opening", Example: "plate width 60",
	Words: []string{"plate width"}}

var carries = &ask.Input{Name: "carries", Kind: ask.PressureKind, ByName: true, What: "what the screed may be loaded with", Example: "screed carries 5 N/mm²",
	Words: []string{"carries …", "screed carries …", "floor carries …", "screed may carry …"}}

func answerMass(k *ask.Inquiry) {
	if k.Q.Named(heelScale) != nil || k.Q.Named(leadScale) != nil || k.Q.Named(scaleSpan) != nil {
		weigh(k)
		return
	}
	ownHeight(k)
	if need := k.Missing(width, height); len(need) > 0 {
		k.Ask(say.F("or say what two scales show and how far apart they are"), need...)
		return
	}
	in := calc.MassInput{Width: k.Length(width), Height: k.Length(height)}
	pieces, ok := takeLayers(k)
	if !ok {
		return
	}
	hung := k.Has(setback)
	if hung {
		in.Setback, in.Offset = k.Length(setback), takeOffset(k)
	}
	in.Step = k.Step(step)
	for i := range pieces {
		in.Layers = append(in.Layers, pieces[i].Layer)
	}
	if !takeCutout(k, &in) || !takeFittings(k, &in) {
		return
	}
	if clad := calc.Mass(k.Number(cladding)); clad > 0 {
		in.Parts = append(in.Parts, calc.Part{Mass: clad, X: in.Width / 2, Width: in.Width, Later: true})
	}
	m, err := calc.LeafMass(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	ask.AddFigure(k, "mass", m.Mass, "kg")
	if k.Q.Named(cladding) != nil {
		ask.AddFigure(k, "hung_mass", m.Hung, "kg")
		k.Working("hung: %s; with what comes later %s, which pivots and limits have to carry", m.Hung.Told, m.Mass.Told)
	}
	ask.AddFigure(k, "mass_per_area", m.PerArea, "kg/m²")
	k.Result("centre_x", m.CentreX)
	if hung {
		ask.AddFigure(k, "inertia", m.Inertia, "kg·m²")
		k.Working("inertia about the axis: each part's m·(w² + t²)/12 and m·d², d from the axis: %s", m.Inertia.Told)
	} else {
		k.Note("give the setback for what it takes to turn the leaf")
	}
	if !workLayers(k, &in, pieces) {
		return
	}
	k.Working("%s in all, %s from the heel edge to its centre", m.Mass.Told, k.SetOut(m.CentreX))
	if up, err := calc.StandingHeight(in.Height, m.Thickness, in.Step); err == nil {
		k.Result("standing_height", up)
	}
	if !bears(k, m.Mass.Exact.Counted(true).Weight()) { // by layers it is an estimate
		return
	}
	k.General("mass", "a mass by layers is an estimate, glue and fillings are not in it: a tenth more counts against every limit; weigh the leaf before it is lifted or hung, and hold it against the hardware maker's limit")
}

// piece is a layer and the name of what it is made of.
type piece struct {
	calc.Layer
	name string
	at   int // in the text
}

// takeLayers takes the layers in the order they were typed in; false if one is
// asked about.
func takeLayers(k *ask.Inquiry) (all []piece, ok bool) {
	var used []*ask.Input
	for in := range materials {
		if len(k.Places(in)) > 0 {
			used = append(used, in)
		}
	}
	slices.SortFunc(used, func(a, b *ask.Input) int { return k.Places(a)[0] - k.Places(b)[0] })
	for _, in := range used {
		m, places := materials[in], k.Places(in)
		for i, t := range k.Lengths(in) {
			all = append(all, piece{calc.Layer{Thickness: t, Density: m.Density}, m.Name, places[i]})
		}
		sourceOf(k, m)
	}
	slices.SortFunc(all, func(a, b piece) int { return a.at - b.at })
	if k.Q.Named(glass) != nil && k.Q.Named(pane) == nil && k.Word(madeOf) != "glass" && !slices.ContainsFunc(all, func(p piece) bool { return p.name == "glass" }) {
		k.Fail("how thick is the glass? say it as glass 6")
		return nil, false
	}
	if len(all) == 0 {
		p, ok := wholeLeaf(k)
		if !ok {
			return nil, false
		}
		all = []piece{p}
	} else if k.Q.Named(thickness) != nil {
		given, sum := k.Length(thickness), calc.Length(0)
		for _, p := range all {
			sum += p.Thickness
		}
		if sum != given {
			k.Mention("the layers are %s together, not %s: they count, look which of them is right", k.Show(sum), k.Show(given))
		}
	}
	return all, takeFrames(k, all)
}

// takeFrames gives frames to their layers: each to the one before it, or to the
// only one that may be a frame; false if that is not clear.
func takeFrames(k *ask.Inquiry, all []piece) bool {
	places := k.Places(frame)
	for i, wide := range k.Lengths(frame) {
		var of, only *piece
		may := 0
		for n := range all {
			if p := &all[n]; p.name != "glass" {
				may++
				only = p
				if p.at < places[i] {
					of = p
				}
			}
		}
		if may == 1 {
			of = only
		}
		if of == nil || of.Frame > 0 {
			k.Fail("which layer is the frame of %s? say each frame behind its layer, as oak 36, frame 110", k.Show(wide))
			return false
		}
		of.Frame = wide
	}
	return true
}

// wholeLeaf takes a leaf of one material.
func wholeLeaf(k *ask.Inquiry) (piece, bool) {
	p := piece{name: k.Word(madeOf)}
	m, known := calc.MaterialNamed(p.name)
	switch {
	case known:
		p.Density = m.Density
		sourceOf(k, m)
	case k.Has(density):
		p.Density = calc.Density(k.Number(density))
	default:
		k.Ask(say.F("or its layers, as glass 6, oak 38"), madeOf)
		return p, false
	}
	if !k.Has(thickness) {
		k.Ask(say.F("or its layers, as glass 6, oak 38"), thickness)
		return p, false
	}
	p.Thickness = k.Length(thickness)
	return p, true
}

// sourceOf tells where a density is from.
func sourceOf(k *ask.Inquiry, m calc.Material) {
	if m.Remembered {
		k.Source("%s %s: %s, from memory", say.Name(strings.ToLower(m.Name)), m.Density, m.Source)
	} else {
		k.Source("%s %s: %s", say.Name(strings.ToLower(m.Name)), m.Density, m.Source)
	}
}

// takeCutout takes a cut-out, and the pane in it; false if more is asked for.
func takeCutout(k *ask.Inquiry, in *calc.MassInput) bool {
	if k.Q.Named(cutoutWidth) == nil {
		return true
	}
	if !k.Has(cutoutHeight) {
		k.Ask(say.Text{}, cutoutHeight)
		return false
	}
	c := calc.Cutout{Width: k.Length(cutoutWidth), Height: k.Length(cutoutHeight)}
	for _, side := range []struct {
		in      *ask.Input
		l, most calc.Length
	}{{cutoutWidth, c.Width, in.Width}, {cutoutHeight, c.Height, in.Height}} {
		if side.l > side.most {
			k.Refuse(&calc.RangeError{Name: side.in.Name, Value: side.l, Bound: calc.AtMost, Limit: side.most, Why: "it is larger than the leaf"})
			return false
		}
	}
	c.X = k.LengthOr(cutoutX, (in.Width-c.Width)/2)
	c.Z = k.LengthOr(cutoutZ, (in.Height-c.Height)/2)
	in.Cutouts = []calc.Cutout{c}
	if !k.Has(pane) {
		return true
	}
	glass, _ := calc.MaterialNamed("glass")
	t := k.Length(pane)
	m, err := calc.SheetMass(c.Width, c.Height, t, glass.Density)
	if err != nil {
		k.Refuse(err)
		return false
	}
	sourceOf(k, glass)
	k.Working("pane: %s × %s × %s × %s = %s", k.Show(c.Width), k.Show(c.Height), k.Show(t), glass.Density, m)
	in.Parts = append(in.Parts, calc.Part{Mass: m, X: c.X + c.Width/2, Width: c.Width, Thickness: t})
	return true
}

// takeFittings takes what is put on the leaf; false if it has no mass.
func takeFittings(k *ask.Inquiry, in *calc.MassInput) bool {
	if k.Q.Named(fittings) == nil {
		if k.Q.Named(fittingsX) != nil {
			k.Ask(say.Text{}, fittings)
			return false
		}
		return true
	}
	in.Parts = append(in.Parts, calc.Part{Mass: calc.Mass(k.Number(fittings)), X: k.LengthOr(fittingsX, in.Width/2)})
	return true
}

// workLayers shows what each layer weighs without cut-outs.
func workLayers(k *ask.Inquiry, in *calc.MassInput, pieces []piece) bool {
	for _, p := range pieces {
		name := say.Name(strings.ToLower(p.name))
		if p.Frame > 0 {
			k.Working("%s %s of %s, a frame %s wide", k.Show(p.Thickness), name, p.Density, k.Show(p.Frame))
			continue
		}
		m, err := calc.SheetMass(in.Width, in.Height, p.Thickness, p.Density)
		if err != nil {
			k.Refuse(err)
			return false
		}
		if p.name == "" {
			k.Working("%s × %s × %s × %s = %s", k.Show(in.Width), k.Show(in.Height), k.Show(p.Thickness), p.Density, m)
		} else {
			k.Working("%s %s: %s × %s × %s × %s = %s", k.Show(p.Thickness), name, k.Show(in.Width), k.Show(in.Height), k.Show(p.Thickness), p.Density, m)
		}
	}
	return true
}

// bears tells how the floor plate presses on the floor; false if it is refused.
func bears(k *ask.Inquiry, vertical calc.Force) bool {
	if k.Q.Named(plateWidth) == nil {
		if k.Q.Named(carries) != nil {
			k.Ask(say.F("what the floor carries is held against the plate's pressure"), plateWidth)
			return false
		}
		return true
	}
	if !k.Has(plateLength) {
		k.Ask(say.F("the pressure is over the whole plate"), plateLength)
		return false
	}
	long, wide := k.Length(plateLength), k.Length(plateWidth)
	b, err := calc.FloorPressure(vertical, long, wide, calc.Pressure(k.Number(carries)))
	if err != nil {
		k.Refuse(err)
		return false
	}
	k.NumberResult("floor_pressure", float64(b.Pressure.Told), float64(b.Pressure.Exact), "Pa", b.Pressure.Told.String())
	k.Working("floor: %s / (%s × %s) = %s", vertical, k.Show(long), k.Show(wide), b.Pressure.Told)
	if b.Compared {
		k.Truth("floor_carries", b.OK)
	}
	k.Note("the floor's load is at rest and evenly spread: no impact on a stop is in it")
	k.General("mass 2", "what floor, screed and fixings carry is for a licensed engineer to say")
	return true
}

// weigh answers from two scales.
func weigh(k *ask.Inquiry) {
	if need := k.Missing(heelScale, leadScale, scaleSpan, scaleHeel); len(need) > 0 {
		k.Ask(say.Text{}, need...)
		return
	}
	a, b := calc.Mass(k.Number(heelScale)), calc.Mass(k.Number(leadScale))
	span, first := k.Length(scaleSpan), k.Length(scaleHeel)
	w, err := calc.TwoScales(a, b, span, first, k.Step(step))
	if err != nil {
		k.Refuse(err)
		return
	}
	ask.AddFigure(k, "mass", w.Mass, "kg")
	k.Result("centre_x", w.CentreX)
	k.Working("%s + %s = %s", a, b, w.Mass.Told)
	k.Working("centre: %s + %s × %s / %s = %s from the heel edge", k.Figure(first), b, k.Figure(span), a+b, k.SetOut(w.CentreX))
	k.Source("a beam on two supports: plane statics")
	if !bears(k, w.Mass.Exact.Weight()) {
		return
	}
	k.General("mass 3", "the leaf lies level on two lines and touches nothing else; hold its mass against the hardware maker's limit")
}

// ownHeight takes the leaf's height of a door in place of the opening's.
func ownHeight(k *ask.Inquiry) {
	if own, ok := k.Door["leaf_height"]; ok && k.Q.Named(height) == nil {
		k.Door[height.Name] = own
	}
}
