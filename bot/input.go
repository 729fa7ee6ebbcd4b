package bot

// kind is what sort of value an input takes.
type kind uint8

const (
	lengthKind kind = iota
	angleKind
	choiceKind // a word out of a few
	flagKind
	listKind // several lengths
	massKind
	warmthKind
	hoursKind
)

// takes reports whether a number with a unit can be a value of the kind.
func (k kind) takes(u unit) bool {
	switch u {
	case bare:
		return true
	case degrees:
		return k == angleKind || k == warmthKind
	case celsius:
		return k == warmthKind
	case kilograms, pounds:
		return k == massKind
	case hours:
		return k == hoursKind
	}
	return k == lengthKind || k == listKind
}

// kindNames are what values of a kind are called; of others lengths.
var kindNames = map[kind]string{angleKind: "an angle", massKind: "a mass", warmthKind: "a temperature", hoursKind: "a number of hours"}

// input is a quantity that a question can give.
type input struct {
	index   int    // in the table
	name    string // as in JSON
	kind    kind
	what    string   // what it is, for help and for asking
	example string   // a value, as typed
	words   []string // phrases that name it; … marks where the number stands, either side without
	sized   bool     // the size of an edge's corners
	byName  bool     // no number is taken for it that does not stand beside its name
	zero    bool     // it may be 0
	group   []string // the inputs that numbers joined by x after the name are for
	spread  []string // of a list: the inputs that its numbers are for, in order
}

// inputs is every quantity the questions know.
var inputTable = []input{
	{name: "thickness", what: "thickness of the leaf, face to face", example: "44",
		words: []string{"thickness", "thicknesses", "… thick", "t …", "leaf thickness", "door thickness"}},
	{name: "setback", zero: true, what: "distance from the leaf's heel edge to the pivot axis", example: "65",
		words: []string{"setback", "setbacks", "set back", "s …", "pivoted …", "pivot …", "set …", "pivot set …", "inset …", "… from edge", "… in from edge", "… from heel edge", "… in from heel edge", "pivot axis …", "axis …"}},
	{name: "width", what: "width of the leaf", example: "1050",
		words: []string{"width", "… wide", "w …", "leaf width", "door width"}, group: []string{"width", "height", "thickness"}},
	{name: "height", what: "height of the leaf or the opening", example: "2350",
		words: []string{"height", "… high", "… tall", "h …", "leaf height", "opening height"}},
	{name: "clearance", zero: true, what: "what must stay free at the tightest moment of the swing", example: "2",
		words: []string{"clearance", "clearances", "c …", "running clearance"}},
	{name: "offset", zero: true, what: "distance of the pivot axis from the leaf's mid-plane, + away from the face it opens towards, - towards it", example: "+5",
		words: []string{"offset", "offsets", "e …", "off centre", "off center"}},
	{name: "edge_size", sized: true, what: "size of the chamfer, or radius of the rounding, of both edges", example: "chamfer 4"},
	{name: "edge_heel_size", sized: true, what: "the same for the heel edge alone", example: "heel edge round 6"},
	{name: "edge_lead_size", sized: true, what: "the same for the leading edge alone", example: "lead edge chamfer 3"},
	{name: "edge", kind: choiceKind, what: "square, chamfered or rounded", example: "square"},
	{name: "edge_heel", kind: choiceKind, what: "the heel edge alone", example: "heel edge square"},
	{name: "edge_lead", kind: choiceKind, what: "the leading edge alone", example: "lead edge square"},
	{name: "swing", kind: choiceKind, what: "one way or both ways", example: "one way"},
	{name: "offset_side", kind: choiceKind, what: "side of the offset", example: "towards"},
	{name: "angle", zero: true, kind: angleKind, what: "how far the leaf opens", example: "90°",
		words: []string{"angle …", "open to …", "opened to …", "opens to …", "opening angle", "open …", "opens …", "opened …", "swings to …", "turned to …"}},
	{name: "step", what: "what results are rounded to", example: "0.5",
		words: []string{"step …", "rounded to …", "to nearest …", "nearest …", "rounding"}},
	{name: "gap", zero: true, what: "gap between the leaf's edge and the jamb", example: "9",
		words: []string{"gap", "gaps", "g …", "side gap", "side gaps", "side", "sides", "each side", "both sides", "either side", "even gap", "per side"}},
	{name: "gap_heel", zero: true, what: "gap at the heel edge", example: "9",
		words: []string{"heel gap", "gap heel", "gap at heel", "heel side gap"}},
	{name: "gap_lead", zero: true, what: "gap at the leading edge", example: "4",
		words: []string{"lead gap", "leading gap", "gap lead", "gap at lead", "leading edge gap"}},
	{name: "gap_top", zero: true, what: "gap over the leaf", example: "5",
		words: []string{"top", "top gap", "gap top", "head gap", "above", "over top"}},
	{name: "gap_bottom", zero: true, what: "gap under the leaf", example: "7",
		words: []string{"bottom", "bottom gap", "gap bottom", "floor gap", "under", "underneath", "below"}},
	{name: "lining", zero: true, what: "finished facing of the jamb still to come, with its packers", example: "18",
		words: []string{"lining", "linings"}},
	{name: "jamb_lean", zero: true, what: "how much further into the opening than its foot the heel jamb's furthest point stands", example: "3",
		words: []string{"jamb lean", "lean", "leans", "jamb leans"}},
	{name: "face", zero: true, what: "distance from your reference line to the leaf's face on the side it opens to", example: "20",
		words: []string{"face", "face at …", "face line"}},
	{name: "opening", what: "width between the finished jambs", example: "1150",
		words: []string{"opening", "openings", "opening width", "between jambs"}, group: []string{"opening", "height"}},
	{name: "plate_length", what: "length of the floor plate along the opening", example: "160",
		words: []string{"plate length", "length", "… long"}},
	{name: "depth", what: "how deep the hole must be, from the surface", example: "12",
		words: []string{"depth", "… deep", "hole depth", "hole", "holes"}},
	{name: "template", zero: true, what: "thickness of the drilling template", example: "5",
		words: []string{"template", "templates", "jig"}},
	{name: "covering", zero: true, what: "thickness of a covering left in place and drilled through", example: "6",
		words: []string{"covering", "coverings", "floor covering", "tile", "tiles"}},
	{name: "bit", what: "diameter of the drill", example: "10",
		words: []string{"bit", "… drill", "diameter", "dia", "d …", "drill bit", "bit diameter", "drill diameter"}},
	{name: "point", kind: angleKind, what: "included angle of the drill's point", example: "118°",
		words: []string{"point", "point angle", "tip angle", "drill point"}},
	{name: "full_bore", kind: flagKind, what: "the depth is wanted at the drill's full diameter", example: "full bore"},
	{name: "cover", zero: true, what: "from the surface to the nearest pipe, cable or back face", example: "55",
		words: []string{"cover", "covers", "cover over", "pipe cover"}},
	{name: "cover_to", kind: choiceKind, what: "what lies below: pipe or back", example: "pipe"},
	{name: "cover_from", kind: choiceKind, what: "where the cover was measured from: surface or covering", example: "from surface"},
	{name: "margin", zero: true, what: "what to keep between the drill's tip and what lies below", example: "15",
		words: []string{"margin …"}},
	{name: "key", what: "how far the key reaches", example: "240",
		words: []string{"key", "keys", "key reach", "it reaches …", "key reaches …", "reaches …", "key length", "key is …"}},
	{name: "stocks", kind: listKind, what: "lengths of guide tube at hand", example: "stocks 900 1800",
		words: []string{"stock …", "stocks …", "tube …", "tubes …", "guide stock …", "guide stocks …"}},
	{name: "body", what: "length of the whole pivot body", example: "84",
		words: []string{"body", "pivot body", "body length"}},
	{name: "kerf", zero: true, what: "width of the saw's cut", example: "3",
		words: []string{"kerf", "saw", "saw cut", "blade"}},
	{name: "second", what: "second piece wanted from what is left of the stock", example: "300",
		words: []string{"second", "second piece", "second guide"}},
	{name: "stop_width", zero: true, what: "width of the stop at the leading jamb", example: "12",
		words: []string{"stop", "stops", "stop width", "door stop"}},
	{name: "handle", zero: true, what: "how far the handle sticks out of the face", example: "60",
		words: []string{"handle", "handles", "pull", "pulls"}},
	{name: "reveal", zero: true, what: "how far the axis lies behind the reveal's edge on the opening side", example: "90",
		words: []string{"reveal …", "reveal edge …"}},
	{name: "approach", kind: choiceKind, what: "how people come to the door, for England's table", example: "straight on"},
	{name: "route", what: "width of the access route at right angles to the door", example: "right angle 1500",
		words: []string{"right angle …", "at right angles …", "right angles …", "access route", "route"}},
	{name: "width_top", what: "width at the top", example: "1151",
		words: []string{"width top", "top width", "width at top"}},
	{name: "width_middle", what: "width at mid-height", example: "1150",
		words: []string{"width middle", "middle width", "width at middle"}},
	{name: "width_bottom", what: "width at the bottom", example: "1149",
		words: []string{"width bottom", "bottom width", "width at bottom"}},
	{name: "height_heel", what: "height at the heel jamb", example: "2350",
		words: []string{"height heel", "heel height", "heel side height", "height at heel"}},
	{name: "height_middle", what: "height in the middle", example: "2351",
		words: []string{"height middle", "middle height", "height at middle"}},
	{name: "height_lead", what: "height at the leading jamb", example: "2352",
		words: []string{"height lead", "lead height", "leading height", "leading side height", "height leading", "height at lead"}},
	{name: "diagonal_1", what: "diagonal from the heel jamb's foot to the leading jamb's head", example: "d1=2620",
		words: []string{"d1 …", "first diagonal", "heel foot diagonal"}},
	{name: "diagonal_2", what: "the other diagonal", example: "d2=2616",
		words: []string{"d2 …", "second diagonal", "other diagonal"}},
	{name: "widths", kind: listKind, what: "widths at top, middle and bottom", example: "widths 1151 1150 1149",
		words: []string{"widths …"}, spread: []string{"width_top", "width_middle", "width_bottom"}},
	{name: "heights", kind: listKind, what: "heights at heel side, middle and leading side", example: "heights 2350 2351 2352",
		words: []string{"heights …"}, spread: []string{"height_heel", "height_middle", "height_lead"}},
	{name: "diagonals", kind: listKind, what: "both diagonals, not knowing which is which", example: "diagonals 2620 2616",
		spread: []string{"diagonal_1", "diagonal_2"}},
	{name: "finish", zero: true, what: "finished floor still to come", example: "15",
		words: []string{"finish", "floor finish", "finished floor"}},
	{name: "mass", kind: massKind, what: "mass of the leaf", example: "88 kg",
		words: []string{"mass", "weight", "weighs", "weighing"}},
	{name: "estimated", kind: flagKind, what: "the mass was not weighed: it counts a tenth more", example: "estimated"},
	{name: "single", kind: massKind, byName: true, what: "what one person may lift alone", example: "single 20 kg",
		words: []string{"single …", "single person …", "per person …", "one person …"}},
	{name: "base", kind: hoursKind, what: "hours that the adhesive's sheet gives, at its reference temperature", example: "18 h",
		words: []string{"base", "base hours", "sheet hours"}},
	{name: "reference", zero: true, kind: warmthKind, what: "temperature that the sheet's hours are given for", example: "reference 21 °C",
		words: []string{"reference …", "reference temperature …", "ref …"}},
	{name: "lowest", zero: true, byName: true, kind: warmthKind, what: "coldest that the adhesive takes", example: "lowest 7 °C",
		words: []string{"lowest …", "lowest temperature …"}},
	{name: "temperature", zero: true, kind: warmthKind, what: "of the substrate, or of the air if that is colder", example: "temperature 11 °C",
		words: []string{"temperature", "temp", "substrate", "substrate temperature", "floor temperature", "air", "air temperature"}},
	{name: "limit", byName: true, what: "the hardware sheet's own limit", example: "limit 2",
		words: []string{"limit …", "sheet limit …"}},
	{name: "spindle_lift", zero: true, what: "how far the leaf is lifted over the floor spindle", example: "9",
		words: []string{"spindle lift", "spindle", "lift", "lift over"}},
}

// What the questions know, as taught.
var (
	inputs   []input
	settings []setting
	verbs    []verb
	vocab    *vocabulary
)

// inputNamed finds an input by its name.
var inputNamed = map[string]*input{}

// teach takes the tables of a language.
func teach(in []input, set []setting, v []verb) bool {
	inputs = in
	for i := range inputs {
		inputs[i].index = i
		inputNamed[inputs[i].name] = &inputs[i]
	}
	settings, verbs = found(set), prepared(v)
	vocab = newVocabulary()
	return true
}

var taught = teach(inputTable, settingTable, verbTable)

// setting is a phrase that chooses a value by itself. If input is set, a
// number beside it is that input's.
type setting struct {
	words       []string
	name, value string
	input       string

	chooses, counts *input // name and input, found
}

var settingTable = append([]setting{
	{words: []string{"both ways", "both way", "two way", "double action", "double acting"}, name: "swing", value: "both"},
	{words: []string{"one way", "single action", "single acting"}, name: "swing", value: "one"},
	{words: []string{"bevel", "bevels", "bevelled", "beveled"}, name: "edge", value: "bevel", input: "edge_size"},
	{words: []string{"towards", "toward", "towards opening", "towards face"}, name: "offset_side", value: "towards", input: "offset"},
	{words: []string{"away", "away from opening", "away from face"}, name: "offset_side", value: "away", input: "offset"},
	{words: []string{"full bore", "full diameter"}, name: "full_bore", value: "yes"},
	{words: []string{"estimated", "estimate", "guessed"}, name: "estimated", value: "yes"},
	{words: []string{"to pipe", "to pipes", "over pipe", "over pipes", "over cable", "water pipe", "water pipes", "over water pipe", "over water pipes", "above pipe", "above pipes", "pipe", "pipes", "heating pipe", "heating pipes", "to cable", "to cables", "over cables", "cable", "cables", "to heating pipe", "to heating pipes", "over heating pipes"}, name: "cover_to", value: "pipe", input: "cover"},
	{words: []string{"to back", "back", "to back face", "back face", "break through", "breakthrough"}, name: "cover_to", value: "back", input: "cover"},
	{words: []string{"from surface", "surface", "from screed", "from concrete"}, name: "cover_from", value: "surface"},
	{words: []string{"from covering", "from top covering", "from top", "over covering"}, name: "cover_from", value: "covering"},
	{words: []string{"straight on", "head on"}, name: "approach", value: "straight"},
	{words: []string{"public entrance", "external public", "general public"}, name: "approach", value: "public"},
	{words: []string{"diagonals …", "diagonal …"}, name: "diagonals", value: "not named", input: "diagonals"},
}, edgeSettings()...)

// found finds the inputs of settings in the table of inputs.
func found(all []setting) []setting {
	for i := range all {
		all[i].chooses, all[i].counts = inputNamed[all[i].name], inputNamed[all[i].input]
	}
	return all
}

// edgeSettings are the forms of either edge and of both.
func edgeSettings() []setting {
	var all []setting
	for _, edge := range []struct{ name, size, words string }{
		{"edge", "edge_size", ""}, {"edge_heel", "edge_heel_size", "heel "},
		{"edge_lead", "edge_lead_size", "lead "}, {"edge_lead", "edge_lead_size", "leading "},
	} {
		for _, form := range []struct{ value, words string }{
			{"square", "square"}, {"chamfered", "chamfer"}, {"chamfered", "chamfers"}, {"chamfered", "chamfered"},
			{"rounded", "round"}, {"rounded", "rounded"}, {"rounded", "radius"}, {"rounded", "rounding"},
		} {
			s := setting{words: []string{edge.words + form.words, edge.words + "edge " + form.words, edge.words + "edges " + form.words,
				form.words + " " + edge.words + "edge", form.words + " " + edge.words + "edges"}, name: edge.name, value: form.value, input: edge.size}
			if form.value == "square" {
				s.input = ""
			}
			all = append(all, s)
		}
	}
	return all
}

// fillers are the words that may stand anywhere and say nothing. The list is
// fixed; everything else that is not known is asked about or shown.
var fillers = []string{
	"about", "adhesive", "also", "am", "any", "are", "at", "be", "bot", "by", "calculate", "can", "could", "do", "does", "door", "doors", "edge", "edges",
	"find", "for", "from", "get", "give", "gives", "glue", "go", "goes", "going", "has", "have", "having", "heelpost", "hello", "hey", "hi", "how", "i", "if", "in", "into",
	"is", "it", "just", "know", "it's", "mate", "large", "least", "leaves", "like", "made", "make", "max", "maximum", "me", "min", "minimum", "much", "must", "need", "needed",
	"needs", "now", "ok", "on", "one", "order", "out", "please", "put", "right", "should", "show", "so", "take", "takes", "tell", "thanks", "that",
	"then", "there", "to", "want", "wants", "was", "we", "what", "what's", "whats", "when", "where", "which", "will", "with", "would", "you",
	"big", "size", "measured", "measures", "distance", "between", "using", "only", "exactly", "required", "use", "used", "drilled", "cut", "hung", "hang", "same", "swing", "swings", "whole",
}

// asking are the words after which a verb is what is asked for, not an input:
// what setback for a gap of 9.
var asking = []string{"what", "what's", "whats", "which", "calculate", "find", "how much"}

// denials are the words after which something is not so. What is not so is
// asked about: a choice that is denied is not the choice made.
var denials = []string{"not", "no", "never", "without", "isn't", "isnt", "aren't", "arent", "don't", "dont", "doesn't", "doesnt", "nor", "neither", "except", "unless"}

// plainWords are common words near to one of ours, that are never taken for a
// slip.
var plainWords = wordSet(`
	think thing things thinks through though thought these those their tried trick thin seating sitting setting
	settings stops stuff start still steel sound weight weights wheel wheels white whole leans learn learns means
	leaves leave least level lever later letter letters around ground found bound mounting counting covers
	cleaning cleaned cleans clears clearly close closed closing height heights heightened hinge hinges handled
	handling opens opener opened plates plated placed place places planned plain plank planks reached reaching
	teaches reveals ready really gaps gape tiles title titles three there where were`)

// breaks are words that part what stands on either side, as a comma does.
var breaks = []string{"and", "but", "then", "plus"}
