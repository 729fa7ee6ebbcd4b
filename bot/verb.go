package bot

import "strings"

// verb is a question that the bot answers. The table of verbs drives
// parsing, help and the README alike.
type verb struct {
	name     string
	summary  string
	words    []string            // phrases that ask it
	also     map[string]string   // what phrases name here, and only here
	leads    map[string]string   // phrases of words that name the input of the number after them
	order    []string            // inputs of bare numbers, in their order
	need     []string            // inputs without which there is no answer
	instead  map[string][]string // inputs that serve in place of a needed one
	inputs   []string            // every input it takes
	box      []string            // inputs of three bare numbers joined by x
	tolerant map[string]bool     // inputs that take a tolerance
	example  string              // a question as people type it
	exact    string              // the same with names and =
	answer   func(*inquiry)
	refuses  func(*inquiry) bool // says why this door has no answer; may be nil

	took   []bool   // by index of the input: whether it takes it
	places []*input // order, found
}

// takes reports whether the verb takes an input.
func (v *verb) takes(in *input) bool {
	return v.took[in.index]
}

// prepared finds the inputs of the verbs in the table of inputs.
func prepared(verbs []verb) []verb {
	for i := range verbs {
		v := &verbs[i]
		v.took = make([]bool, len(inputs))
		for _, name := range v.inputs {
			v.took[inputNamed[name].index] = true
		}
		for j := range inputs {
			if in := &inputs[j]; in.spread != nil {
				v.took[j] = v.took[inputNamed[in.spread[0]].index]
			}
		}
		for _, name := range v.order {
			v.places = append(v.places, inputNamed[name])
		}
	}
	return verbs
}

var edgeInputs = []string{"offset", "offset_side", "edge", "edge_size", "edge_heel", "edge_heel_size"}

var verbTable = []verb{
	{
		name: "gap", summary: "the gap a leaf needs beside it to turn",
		words: []string{"gap", "gaps", "gap needed"},
		order: []string{"thickness", "setback", "width"}, need: []string{"thickness", "setback"},
		inputs:   append([]string{"thickness", "setback", "width", "height", "clearance", "swing", "angle", "step", "edge_lead", "edge_lead_size"}, edgeInputs...),
		box:      []string{"width", "height", "thickness"},
		tolerant: map[string]bool{"thickness": true, "setback": true, "offset": true, "clearance": true},
		example:  "gap 44 thick, 65 setback, 1050 wide", exact: "gap t=44 s=65 w=1050",
		answer: answerGap,
	},
	{
		name: "setback", summary: "the least setback with which a leaf turns in a gap",
		words: []string{"setback", "set back", "least setback"},
		order: []string{"thickness", "gap"}, need: []string{"thickness", "gap"},
		inputs:  append([]string{"thickness", "gap", "clearance", "swing", "angle", "step"}, edgeInputs...),
		example: "what setback for thickness 44 and gap 9", exact: "setback thickness=44 gap=9",
		answer: answerSetback,
	},
	{
		name: "thickness", summary: "the thickest leaf that turns in a gap",
		words: []string{"thickness", "how thick"},
		order: []string{"setback", "gap"}, need: []string{"setback", "gap"},
		inputs:  append([]string{"setback", "gap", "clearance", "swing", "angle", "step"}, edgeInputs...),
		example: "how thick with setback 65 and gap 9", exact: "thickness setback=65 gap=9",
		answer: answerThickness,
	},
	{
		name: "plate", summary: "where the centre of the floor plate goes",
		words: []string{"plate", "plate centre", "plate center", "floor plate", "floor plate centre", "pivot centre", "pivot center", "centre", "center"},
		order: []string{"setback", "gap"}, need: []string{"setback", "gap"},
		inputs:  []string{"setback", "gap", "lining", "jamb_lean", "opening", "face", "thickness", "offset", "offset_side", "plate_length", "step"},
		example: "plate centre 65 setback 9 gap", exact: "plate setback=65 gap=9",
		answer: answerPlate, refuses: (*inquiry).waitsForEvidence,
	},
	{
		name: "stop", summary: "where the depth mark goes on the drill bit",
		words: []string{"stop", "drill stop", "stop depth", "depth stop", "drill depth", "where does tape go", "tape", "depth mark", "how deep"},
		order: []string{"depth", "template", "covering"}, need: []string{"depth"},
		inputs:  []string{"depth", "template", "covering", "bit", "point", "full_bore", "cover", "cover_to", "cover_from", "margin", "step"},
		example: "drill stop 12 deep, 5 template", exact: "stop depth=12 template=5",
		answer: answerStop, refuses: (*inquiry).noPin,
	},
	{
		name: "reach", summary: "whether the key reaches the head pivot, and the guide if it doesn't",
		words: []string{"reach", "key reach", "reaches", "will key reach"},
		order: []string{"setback", "key"}, need: []string{"setback", "key"},
		inputs:  []string{"setback", "key", "body", "stocks", "kerf", "second", "step"},
		example: "can my key reach 280? it reaches 240", exact: "reach setback=280 key=240 body=84 stocks 900 1800",
		answer: answerReach,
	},
	{
		name: "clear", summary: "the clear opening that the open leaf leaves",
		words: []string{"clear", "clear opening", "clear width", "clear opening width", "free width"},
		leads: map[string]string{"clear opening": "opening", "clear opening width": "opening"},
		order: []string{"opening", "thickness", "setback"}, need: []string{"opening", "thickness", "setback"},
		inputs:  append([]string{"opening", "thickness", "setback", "gap", "gap_heel", "gap_lead", "angle", "stop_width", "handle", "reveal", "approach", "route", "clearance", "swing", "step", "edge_lead", "edge_lead_size"}, edgeInputs...),
		example: "clear opening 1150 with 44 thick at 65 setback, open to 95 degrees", exact: "clear opening=1150 thickness=44 setback=65 angle=95",
		answer: answerClear, refuses: (*inquiry).waitsForEvidence,
	},
	{
		name: "leaf", summary: "the leaf to order for an opening",
		words: []string{"leaf", "leaf size", "door size", "leaf to order"},
		also:  map[string]string{"… wide": "opening", "width": "opening", "w …": "opening"},
		order: []string{"opening", "height"}, need: []string{"opening", "gap"},
		instead: map[string][]string{"opening": {"width_top", "width_middle", "width_bottom"}, "gap": {"gap_heel", "gap_lead"}},
		inputs: []string{"opening", "height", "width_top", "width_middle", "width_bottom", "height_heel", "height_middle", "height_lead", "diagonal_1", "diagonal_2",
			"gap", "gap_heel", "gap_lead", "gap_top", "gap_bottom", "finish", "thickness", "spindle_lift", "step"},
		example: "leaf for an opening 1150 x 2350, 9 at the sides, 5 top, 7 bottom", exact: "leaf opening=1150 height=2350 gap=9 gap_top=5 gap_bottom=7",
		answer: answerLeaf, refuses: (*inquiry).waitsForEvidence,
	},
	{
		name: "lift", summary: "how many people lift a leaf by hand, or whether it takes gear",
		words:   []string{"lift", "lifting", "lifting team", "how many people", "how many people to lift", "how many to lift"},
		need:    []string{"mass"},
		inputs:  []string{"mass", "estimated", "single"},
		example: "how many people for a leaf of 22 kg", exact: "lift mass=22 kg",
		answer: answerLift,
	},
	{
		name: "cure", summary: "how long an adhesive takes in the cold",
		words:   []string{"cure", "curing", "cures", "cure time", "curing time", "how long to cure", "how long does it cure", "is cure over", "when is cure over", "hardening"},
		need:    []string{"base", "reference", "temperature"},
		inputs:  []string{"base", "reference", "temperature", "lowest"},
		example: "cure 18 hours, reference 21 °C, substrate 11 °C", exact: "cure base=18 reference=21 temperature=11",
		answer: answerCure,
	},
	{
		name: "plumb", summary: "how far the head pivot may stand off the plumb line",
		words: []string{"plumb", "how plumb", "off plumb", "out of plumb", "plumb tolerance"},
		order: []string{"height"}, need: []string{"height"},
		inputs:  []string{"height", "limit"},
		example: "how far out of plumb at 1800 high", exact: "plumb height=1800",
		answer: answerPlumb,
	},
}

// verbNames lists the verbs.
func verbNames() string {
	names := make([]string, len(verbs))
	for i := range verbs {
		names[i] = verbs[i].name
	}
	return strings.Join(names, ", ")
}
