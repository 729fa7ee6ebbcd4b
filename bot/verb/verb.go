// Package verb has the questions that the bot answers, a file each: the words
// that ask it, the quantities it takes, the calculation, and how the answer is
// told. It exists so that a new question is one new file. Quantities that
// several questions share stand in input.go.
package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/calc"
)

var edgeInputs = []string{"offset", "offset_side", "edge", "edge_size", "edge_heel", "edge_heel_size"}

var verbTable = []ask.Verb{
	{
		Name: "gap", Summary: "the gap a leaf needs beside it to turn",
		Words: []string{"gap", "gaps", "gap needed"},
		Order: []string{"thickness", "setback", "width"}, Need: []string{"thickness", "setback"},
		Inputs:   append([]string{"thickness", "setback", "width", "height", "clearance", "swing", "angle", "step", "edge_lead", "edge_lead_size"}, edgeInputs...),
		Box:      []string{"width", "height", "thickness"},
		Tolerant: map[string]bool{"thickness": true, "setback": true, "offset": true, "clearance": true},
		Example:  "gap 44 thick, 65 setback, 1050 wide", Exact: "gap t=44 s=65 w=1050",
		Answer: answerGap,
	},
	{
		Name: "setback", Summary: "the least setback with which a leaf turns in a gap",
		Words: []string{"setback", "set back", "least setback"},
		Order: []string{"thickness", "gap"}, Need: []string{"thickness", "gap"},
		Inputs:  append([]string{"thickness", "gap", "clearance", "swing", "angle", "step"}, edgeInputs...),
		Example: "what setback for thickness 44 and gap 9", Exact: "setback thickness=44 gap=9",
		Answer: answerSetback,
	},
	{
		Name: "thickness", Summary: "the thickest leaf that turns in a gap",
		Words: []string{"thickness", "how thick"},
		Order: []string{"setback", "gap"}, Need: []string{"setback", "gap"},
		Inputs:  append([]string{"setback", "gap", "clearance", "swing", "angle", "step"}, edgeInputs...),
		Example: "how thick with setback 65 and gap 9", Exact: "thickness setback=65 gap=9",
		Answer: answerThickness,
	},
	{
		Name: "plate", Summary: "where the centre of the floor plate goes",
		Words: []string{"plate", "plate centre", "plate center", "floor plate", "floor plate centre", "pivot centre", "pivot center", "centre", "center"},
		Order: []string{"setback", "gap"}, Need: []string{"setback", "gap"},
		Inputs:  []string{"setback", "gap", "lining", "jamb_lean", "opening", "face", "thickness", "offset", "offset_side", "plate_length", "step"},
		Example: "plate centre 65 setback 9 gap", Exact: "plate setback=65 gap=9",
		Answer: answerPlate, Refuses: waitsForEvidence,
	},
	{
		Name: "stop", Summary: "where the depth mark goes on the drill bit",
		Words: []string{"stop", "drill stop", "stop depth", "depth stop", "drill depth", "where does tape go", "tape", "depth mark", "how deep"},
		Order: []string{"depth", "template", "covering"}, Need: []string{"depth"},
		Inputs:  []string{"depth", "template", "covering", "bit", "point", "full_bore", "cover", "cover_to", "cover_from", "margin", "step"},
		Example: "drill stop 12 deep, 5 template", Exact: "stop depth=12 template=5",
		Answer: answerStop, Refuses: noPin,
	},
	{
		Name: "reach", Summary: "whether the key reaches the head pivot, and the guide if it doesn't",
		Words: []string{"reach", "key reach", "reaches", "will key reach"},
		Order: []string{"setback", "key"}, Need: []string{"setback", "key"},
		Inputs:  []string{"setback", "key", "body", "stocks", "kerf", "second", "step"},
		Example: "can my key reach 280? it reaches 240", Exact: "reach setback=280 key=240 body=84 stocks 900 1800",
		Answer: answerReach,
	},
	{
		Name: "clear", Summary: "the clear opening that the open leaf leaves",
		Words: []string{"clear", "clear opening", "clear width", "clear opening width", "free width"},
		Leads: map[string]string{"clear opening": "opening", "clear opening width": "opening"},
		Order: []string{"opening", "thickness", "setback"}, Need: []string{"opening", "thickness", "setback"},
		Inputs:  append([]string{"opening", "thickness", "setback", "gap", "gap_heel", "gap_lead", "angle", "stop_width", "handle", "reveal", "approach", "route", "clearance", "swing", "step", "edge_lead", "edge_lead_size"}, edgeInputs...),
		Example: "clear opening 1150 with 44 thick at 65 setback, open to 95 degrees", Exact: "clear opening=1150 thickness=44 setback=65 angle=95",
		Answer: answerClear, Refuses: waitsForEvidence,
	},
	{
		Name: "leaf", Summary: "the leaf to order for an opening",
		Words: []string{"leaf", "leaf size", "door size", "leaf to order"},
		Also:  map[string]string{"… wide": "opening", "width": "opening", "w …": "opening"},
		Order: []string{"opening", "height"}, Need: []string{"opening", "gap"},
		Instead: map[string][]string{"opening": {"width_top", "width_middle", "width_bottom"}, "gap": {"gap_heel", "gap_lead"}},
		Inputs: []string{"opening", "height", "width_top", "width_middle", "width_bottom", "height_heel", "height_middle", "height_lead", "diagonal_1", "diagonal_2",
			"gap", "gap_heel", "gap_lead", "gap_top", "gap_bottom", "finish", "thickness", "spindle_lift", "step"},
		Example: "leaf for an opening 1150 x 2350, 9 at the sides, 5 top, 7 bottom", Exact: "leaf opening=1150 height=2350 gap=9 gap_top=5 gap_bottom=7",
		Answer: answerLeaf, Refuses: waitsForEvidence,
	},
	{
		Name: "lift", Summary: "how many people lift a leaf by hand, or whether it takes gear",
		Words:   []string{"lift", "lifting", "lifting team", "how many people", "how many people to lift", "how many to lift"},
		Need:    []string{"mass"},
		Inputs:  []string{"mass", "estimated", "single"},
		Example: "how many people for a leaf of 22 kg", Exact: "lift mass=22 kg",
		Answer: answerLift,
	},
	{
		Name: "cure", Summary: "how long an adhesive takes in the cold",
		Words:   []string{"cure", "curing", "cures", "cure time", "curing time", "how long to cure", "how long does it cure", "is cure over", "when is cure over", "hardening"},
		Need:    []string{"base", "reference", "temperature"},
		Inputs:  []string{"base", "reference", "temperature", "lowest"},
		Example: "cure 18 hours, reference 21 °C, substrate 11 °C", Exact: "cure base=18 reference=21 temperature=11",
		Answer: answerCure,
	},
	{
		Name: "plumb", Summary: "how far the head pivot may stand off the plumb line",
		Words: []string{"plumb", "how plumb", "off plumb", "out of plumb", "plumb tolerance"},
		Order: []string{"height"}, Need: []string{"height"},
		Inputs:  []string{"height", "limit"},
		Example: "how far out of plumb at 1800 high", Exact: "plumb height=1800",
		Answer: answerPlumb,
	},
}

// turn takes what the gap calculations share. The setback, thickness and
// width are taken by the caller.
func turn(k *ask.Inquiry) calc.Turn {
	t := calc.Turn{Angle: calc.RightAngle}
	switch {
	case !k.Has("swing"):
		k.Assume(ask.Given{Name: "swing", Kind: ask.WordValue, Word: "both", Shown: "both"}, "swings both ways")
	case k.Word("swing") == "one":
		t.Swing = calc.OneWay
		k.Note("one way counts only where a fixed stop prevents the other")
	}
	if k.Has("angle") {
		t.Angle = k.Angle("angle")
	}
	t.Offset = offset(k)
	t.Heel, t.Lead = edges(k)
	return t
}

// offset takes the offset and its side: the sign, or the word for it.
func offset(k *ask.Inquiry) calc.Offset {
	v := k.Q.Named("offset")
	if v == nil {
		k.Assume(ask.Given{Name: "offset", Shown: k.Show(0)}, "pivot axis on the mid-plane")
		return calc.Offset{Signed: true}
	}
	o := calc.Offset{E: k.Length("offset"), Signed: v.Num.Signed}
	switch k.Word("offset_side") {
	case "towards":
		o.E, o.Signed = -o.E, true
	case "away":
		o.Signed = true
	}
	if !o.Signed && o.E != 0 {
		k.Note("the side of the offset is not known: the worse one is taken; + is away from the face it opens towards")
	}
	return o
}

// edges takes the forms of the edges.
func edges(k *ask.Inquiry) (heel, lead calc.Edge) {
	heel, saidBoth := edge(k, "edge")
	lead, saidHeel, saidLead := heel, saidBoth, saidBoth
	if k.Has("edge_heel") {
		heel, saidHeel = edge(k, "edge_heel")
	}
	if k.Has("edge_lead") {
		lead, saidLead = edge(k, "edge_lead")
	}
	switch {
	case !saidHeel && !saidLead:
		k.Assume(ask.Given{Name: "edge", Kind: ask.WordValue, Word: "square", Shown: "square"}, "square edges")
	case !saidHeel:
		k.Assume(ask.Given{Name: "edge_heel", Kind: ask.WordValue, Word: "square", Shown: "square"}, "heel edge square")
	case !saidLead:
		k.Assume(ask.Given{Name: "edge_lead", Kind: ask.WordValue, Word: "square", Shown: "square"}, "leading edge square")
	}
	return heel, lead
}

// edge takes the form of one edge, or of both.
func edge(k *ask.Inquiry, name string) (calc.Edge, bool) {
	if !k.Has(name) {
		return calc.Edge{}, false
	}
	switch k.Word(name) {
	case "chamfered":
		return calc.Edge{Form: calc.Chamfered, Size: k.Length(name + "_size")}, true
	case "rounded":
		return calc.Edge{Form: calc.Rounded, Size: k.Length(name + "_size")}, true
	}
	return calc.Edge{}, true
}

// edgeUnclear asks about an edge whose form or size was not said.
func edgeUnclear(k *ask.Inquiry) bool {
	for _, name := range [...]string{"edge", "edge_heel", "edge_lead"} {
		form, size := k.Q.Named(name), k.Has(name+"_size")
		switch {
		case form == nil && size:
			k.A.Error = "is the " + lex.Words(name) + " chamfered or rounded? say chamfer or round before its size"
			return true
		case form != nil && form.Set.Value == "square" && size:
			k.A.Error = "a square edge has no size: is it chamfered or rounded?"
			return true
		case form != nil && form.Set.Value != "square" && !size:
			k.A.Ask(k.Q.Verb, []string{name + "_size"}, "the edge is "+form.Set.Value)
			return true
		}
	}
	return false
}

// tested refuses to compute the gap of a door whose gaps come from its test
// evidence.
func tested(k *ask.Inquiry) bool {
	d, ok := k.Door[ask.TestedDoor]
	if ok {
		k.A.Error = d.Word
	}
	return ok
}

// waitsForEvidence refuses what is set out from a gap, for a door whose gaps
// come from test evidence and wait for it: a typed one is none.
func waitsForEvidence(k *ask.Inquiry) bool {
	_, entered := k.Door["gap_heel"]
	return !entered && tested(k)
}

// noPin refuses a hole that was not asked for by its depth in a door that can
// have none.
func noPin(k *ask.Inquiry) bool {
	d, short := k.Door[ask.ShortDoor]
	if short = short && k.Q.Named("depth") == nil; short {
		k.A.Error = d.Word
	}
	return short
}
