package verb

import (
	"strings"

	"heelpost/bot/ask"
	"heelpost/calc"
)

// The quantities that several questions share. Those of one question alone
// stand in its file.

// Which way a value goes, as people say it behind a number that has its name
// before it: a frame 120 wide.
var (
	wide  = []string{"wide"}
	thick = []string{"thick"}
	deep  = []string{"deep"}
	high  = []string{"high", "tall"}
	long  = []string{"long"}
)

const bevelled = "a bevel over the whole thickness is another thing than a chamfered corner: if the corners are cut off at 45°, say chamfer and its size; a sloping edge I can't work out"

// A number before "door" up to 100 mm is its thickness: our own, as no leaf of a
// door is so narrow.
var thickness = &ask.Input{Name: "thickness", Few: "%s thick", Size: ask.LeafSize, OfDoor: 100 * calc.Millimetre, What: "thickness of the leaf, face to face", Example: "44",
	Words: []string{"thickness", "thicknesses", "… thick", "t …", "leaf thickness", "door thickness", "thk", "… thick leaf", "… thick door", "… thick doors", "leaf thk", "door thk", "thickness leaf"}}

var setback = &ask.Input{Name: "setback", Few: "%s setback", Zero: true, What: "distance from the leaf's heel edge to the pivot axis", Example: "65",
	Words:  []string{"setback", "setbacks", "set back", "s …", "pivoted …", "pivot …", "set …", "set at …", "pivot set …", "inset …", "… to pivot", "… to pivot centre", "… to pivot center", "pivot from edge …", "pivot from heel …", "pivot from heel edge …", "… from edge", "… in from edge", "… from heel", "… in from heel", "… from heel edge", "… in from heel edge", "pivot axis …", "axis …", "stbk", "pivot set back", "… back from edge", "pivot setback", "setback pivot", "pivot centre …", "pivot center …", "sb", "pivots …", "pivot at …", "set pivot …", "put pivot …", "pivot is at …", "pivots at …", "axis at …", "axis is at …", "… back from heel", "… back from heel edge", "… from back edge", "… in from back edge", "… from heel side", "setback to centre pivot", "setback to pivot centre", "setback to pivot", "setback to axis", "setback to centre", "piv …", "piv setback", "pivot offset from edge …", "pivot offset from heel …", "pivot offset from heel edge …", "piv offset from heel edge …", "piv offset from edge …", "… in from back", "… from back", "pivot centre line …", "pivot line …", "… to centre pivot", "… to axis", "… from hinge edge", "… from its edge", "… in from its edge", "… from pivot edge", "pivots set …", "pivots are …", "pivots are set …", "pivot is set …", "axis set …", "axis is set …", "pivot sits …", "axis sits …", "… in from pivot edge"},
	Inward: []string{"pivoted …", "pivot …", "set …", "set at …", "pivot set …", "inset …"}}

var width = &ask.Input{Name: "width", Few: "%s wide", Size: ask.LeafSize, What: "width of the leaf", Example: "1050",
	Words: []string{"width", "… wide", "w …", "leaf width", "door width", "… wide leaf", "… wide door"},
	Group: []*ask.Input{height, thickness}}

var height = &ask.Input{Name: "height", Few: "%s high", Shifts: true, Size: ask.LeafSize, What: "height of the leaf or the opening", Example: "2350",
	Words: []string{"height", "… high", "… tall", "h …", "leaf height", "opening height"}}

var clearance = &ask.Input{Name: "clearance", Few: "c %s", None: true, Zero: true, What: "what must stay free at the tightest moment of the swing", Example: "2",
	Words: []string{"clearance", "clearances", "c …", "running clearance"}}

var offset = &ask.Input{Name: "offset", Nought: "central", None: true, Zero: true, Signed: true, What: "distance of the pivot axis from the leaf's mid-plane, + away from the face it opens towards, - towards it", Example: "+5",
	Words: []string{"offset", "offsets", "e …", "off centre", "off center"}}

var edgeSize = &ask.Input{Name: "edge_size", Along: wide, Few: "of %s", InDegrees: bevelled, What: "size of the chamfer, or radius of the rounding, of both edges", Example: "chamfer 4"}

var edgeHeelSize = &ask.Input{Name: "edge_heel_size", Along: wide, Few: "of %s", InDegrees: bevelled, What: "the same for the heel edge alone", Example: "heel edge round 6"}

var edgeLeadSize = &ask.Input{Name: "edge_lead_size", Along: wide, Few: "of %s", InDegrees: bevelled, What: "the same for the leading edge alone", Example: "lead edge chamfer 3"}

var edge = &ask.Input{Name: "edge", Parts: []*ask.Input{edgeHeel, edgeLead}, Kind: ask.ChoiceKind, What: "square, chamfered or rounded", Example: "square",
	Choices: append(edgeForms(edgeSize, ""), ask.Choice{Words: []string{"bevel", "bevels", "bevelled", "beveled"}, Value: "bevel", Counts: edgeSize, Refused: bevelled})}

var edgeHeel = &ask.Input{Name: "edge_heel", Kind: ask.ChoiceKind, What: "the heel edge alone", Example: "heel edge square",
	Choices: edgeForms(edgeHeelSize, "heel ")}

var edgeLead = &ask.Input{Name: "edge_lead", Kind: ask.ChoiceKind, What: "the leading edge alone", Example: "lead edge square",
	Choices: edgeForms(edgeLeadSize, "lead ", "leading ")}

var swing = &ask.Input{Name: "swing", Kind: ask.ChoiceKind, What: "one way or both ways", Example: "one way",
	Choices: []ask.Choice{
		{Words: []string{"both ways", "opens both ways", "swings both ways", "opens both ways only", "both way", "two way", "double action", "double acting"}, Value: "both"},
		{Words: []string{"one way", "opens one way", "opens one way only", "swings one way", "swings one way only", "one way only", "one way swing", "single action", "single acting"}, Value: "one"},
		{Words: []string{"one way to", "opens one way to", "swings one way to", "opens one way up to", "one way up to"}, Value: "one", Counts: angle},
	}}

var offsetSide = &ask.Input{Name: "offset_side", Kind: ask.ChoiceKind, Beside: true, What: "side of the offset", Example: "towards",
	Choices: []ask.Choice{
		{Words: []string{"towards", "toward", "towards opening", "towards face"}, Value: "towards", Counts: offset},
		{Words: []string{"to opening side", "towards opening side", "toward opening side", "to opening face", "towards opening face"}, Value: "towards", Counts: offset, Named: true},
		{Words: []string{"to other side", "towards other side", "to closing side", "towards closing side", "towards closing face", "to closing face", "towards other face", "toward closing face", "toward closing side"}, Value: "away", Counts: offset, Named: true},
		{Words: []string{"away from closing side", "away from closing face", "away from other side", "away from other face"}, Value: "towards", Counts: offset, Named: true},
		{Words: []string{"away", "away from opening", "away from face", "away from opening side", "away from opening face"}, Value: "away", Counts: offset},
	}}

var angle = &ask.Input{Name: "angle", Loose: []string{"open …", "opens …", "opened …"}, Few: "%s", Zero: true, Kind: ask.AngleKind, What: "how far the leaf opens", Example: "90°",
	Words: []string{"angle …", "open to …", "opened to …", "opens to …", "opening angle", "open …", "opens …", "opened …", "swings to …", "turned to …"}}

var step = &ask.Input{Name: "step", Seen: true, Few: "step %s", What: "what results are rounded to", Example: "0.5",
	Words: []string{"step …", "rounded to …", "to nearest …", "nearest …", "rounding"}}

// A gap of more than 40 mm is asked about where it may be another value: our own.
var gap = &ask.Input{Name: "gap", Loose: []string{"gaps"}, Unsaid: []string{"no gap given", "gap not given", "gap not known", "no gap yet"}, Along: wide, Few: "%s gap", Parts: []*ask.Input{gapHeel, gapLead}, Zero: true, Usual: 40 * calc.Millimetre, What: "gap between the leaf's edge and the jamb", Example: "9",
	Words: []string{"gap", "gaps", "g …", "side gap", "side gaps", "side", "sides", "each side", "both sides", "either side", "even gap", "per side", "gap at sides", "gap each side", "gap either side", "gap both sides", "sides gap", "left and right", "left right", "at left and right", "at sides", "{on|at|down|up|to|for|along|beside|round|around} {both sides|each side|either side|sides|both jambs|each jamb|either jamb|jambs|both edges|each edge}", "{each|per|either|both} {jamb|jambs}", "gap {on|at|down|to|beside} {jambs|sides|each jamb}"}}

var gapHeel = &ask.Input{Name: "gap_heel", Along: wide, Few: "heel %s", Zero: true, What: "gap at the heel edge", Example: "9",
	Words: []string{"heel gap", "gap heel", "gap at heel", "heel side gap"}}

var gapLead = &ask.Input{Name: "gap_lead", Along: wide, Few: "leading %s", Zero: true, What: "gap at the leading edge", Example: "4",
	Words: []string{"lead gap", "leading gap", "gap lead", "gap at lead", "leading edge gap", "closing side", "at closing side", "on closing side", "leading side", "at leading side", "on leading side", "lead side", "at lead side", "on lead side"}}

var opening = &ask.Input{Name: "opening", Along: wide, Few: "%s opening", Size: ask.OpeningSize, What: "width between the finished jambs", Example: "1150",
	Words: []string{"opening", "openings", "opening width", "between jambs"},
	Group: []*ask.Input{height}}

var mass = &ask.Input{Name: "mass", Few: "%s", Kind: ask.MassKind, Size: ask.LeafSize, What: "mass of the leaf", Example: "88 kg",
	Words: []string{"mass", "weight", "weighs", "weighing"}}

// edgeForms are the choices of an edge's form. Its size is said behind them, and
// the words for the edge itself before them.
func edgeForms(size *ask.Input, edges ...string) []ask.Choice {
	var all []ask.Choice
	for _, edge := range edges {
		for _, form := range []struct{ value, words string }{
			{"square", "square"}, {"chamfered", "chamfer"}, {"chamfered", "chamfers"}, {"chamfered", "chamfered"},
			{"rounded", "round"}, {"rounded", "rounded"}, {"rounded", "radius"}, {"rounded", "rounding"},
		} {
			is, words := strings.NewReplacer("EDGE ", edge, "FORM", form.words), []string(nil)
			for _, w := range []string{"EDGE FORM", "EDGE edge FORM", "EDGE edges FORM", "FORM EDGE edge", "FORM EDGE edges", "EDGE edge FORM to", "EDGE edges FORM to", "FORM EDGE edges by", "FORM both EDGE edges", "FORM both EDGE edges by"} {
				words = append(words, is.Replace(w))
			}
			c := ask.Choice{Words: words, Value: form.value, Counts: size}
			if form.value == "square" {
				c.Counts = nil
			} else if edge == "" {
				all = append(all, ask.Choice{Words: []string{"no " + form.words, "without " + form.words}, Value: "square"})
			}
			all = append(all, c)
		}
	}
	return all
}

// edgeInputs are what tells how the heel edge comes round.
var edgeInputs = []*ask.Input{offset, offsetSide, edge, edgeSize, edgeHeel, edgeHeelSize}

// with returns inputs, and edgeInputs behind them.
func with(inputs ...*ask.Input) []*ask.Input { return append(inputs, edgeInputs...) }
