package verb_test

// A kind is what a number measures.
type kind int

const (
	length kind = iota
	mass
	hours
	celsius
	degrees
	seconds
	speed
	newtons
	percent
	count
)

// A fact is a number that a question takes, with the words that stand at it.
// Its range is such that no question refuses it.
type fact struct {
	name   string
	kind   kind
	lo, hi int
	before []string // names that stand before the number
	behind []string // names that stand behind it
	letter string   // as in t54
	told   string   // as a sentence, % for the number
	at     string   // what must stand behind number and name, as over pipes
	least  int      // so many numbers behind its one name,
	most   int      // or up to so many
	rest   bool     // one of several of its name, as layers are
}

// Facts that several questions take.
var (
	thickness  = fact{name: "thickness", lo: 40, hi: 70, before: []string{"thickness", "thick", "leaf thickness", "thk"}, behind: []string{"thick", "thk", "thick leaf", "thickness"}, letter: "t", told: "the leaf is % thick"}
	setback    = fact{name: "setback", lo: 50, hi: 120, before: []string{"setback", "set-back", "stbk", "pivot setback"}, behind: []string{"setback", "set back"}, letter: "s", told: "the setback is %"}
	width      = fact{name: "width", lo: 900, hi: 1300, before: []string{"width", "leaf width"}, behind: []string{"wide", "width"}, letter: "w", told: "the leaf is % wide"}
	height     = fact{name: "height", lo: 2000, hi: 2600, before: []string{"height"}, behind: []string{"high"}, letter: "h", told: "it is % high"}
	clearance  = fact{name: "clearance", lo: 2, hi: 4, before: []string{"clearance"}, behind: []string{"clearance"}, letter: "c", told: "the clearance is %"}
	gap        = fact{name: "gap", lo: 6, hi: 12, before: []string{"gap"}, behind: []string{"gap"}, told: "the gap is %"}
	edge       = fact{name: "edge_size", lo: 2, hi: 6, before: []string{"chamfer", "round"}}
	opening    = fact{name: "opening", lo: 900, hi: 1300, before: []string{"opening"}, behind: []string{"opening"}, told: "the opening is %"}
	clearWidth = fact{name: "clear_width", lo: 600, hi: 900, before: []string{"clear width", "clear"}, behind: []string{"clear", "clear width"}, told: "the clear width is %"}
	leafMass   = fact{name: "mass", kind: mass, lo: 60, hi: 150, before: []string{"mass", "weight", ""}, behind: []string{""}, told: "it weighs %"}
)

// with returns f under another range.
func (f fact) with(lo, hi int) fact {
	f.lo, f.hi = lo, hi
	return f
}

// exact is a fact that only its exact name gives.
func exact(name string, lo, hi int) fact {
	return fact{name: name, lo: lo, hi: hi}
}

// named is a fact that one name gives, on either side.
func named(name, word string, lo, hi int) fact {
	return fact{name: name, lo: lo, hi: hi, before: []string{word}, behind: []string{word}}
}

// A question is one that the program answers, with the words that ask it.
type question struct {
	verb       string
	words      []string // in front of numbers and names
	asks       []string // a sentence that names and numbers end
	last       []string // a question behind the facts
	order      int      // so many of needs stand bare, in this order
	needs, may []fact
	both       bool // its word is also the name of a number
	size       bool // takes width, height and thickness joined by x
	tested     bool // refuses for a fire door
	away       bool // it is of a site's doors, and here is none: it is asked about
}

var questions = []question{
	{verb: "gap", words: []string{"gap", "Gap", "gap:", "what gap"}, asks: []string{"what gap do I need for", "what is the gap for", "gap with", "how big a gap with"}, last: []string{"what gap do I need?", "what gap?", "what's the gap?"},
		order: 2, needs: []fact{thickness, setback}, may: []fact{width, height, clearance, edge, exact("offset", 1, 5), {name: "step", lo: 1, hi: 2, before: []string{"step"}}, {name: "angle", kind: degrees, lo: 10, hi: 80, before: []string{"one way to"}}}, both: true, size: true, tested: true},
	{verb: "setback", words: []string{"setback", "setback:", "smallest setback", "what setback"}, asks: []string{"what setback do I need for", "setback for", "minimum setback with"}, last: []string{"what setback do I need?", "smallest setback?"},
		order: 2, needs: []fact{thickness, gap}, may: []fact{clearance, edge, exact("offset", 1, 5)}, both: true, tested: true},
	{verb: "thickness", words: []string{"thickness", "how thick"}, asks: []string{"how thick can the leaf be with", "how thick with", "max thickness for"}, last: []string{"how thick can it be?", "how thick?"},
		order: 2, needs: []fact{setback, gap}, may: []fact{clearance}, both: true, tested: true},
	{verb: "plate", words: []string{"plate", "plate centre", "plate:", "floor plate"}, asks: []string{"where does the plate go with", "plate centre for", "what is the plate centre with"}, last: []string{"plate centre?", "where does the plate go?", "what is the plate centre?"},
		order: 2, needs: []fact{setback, gap}, may: []fact{named("jamb_lean", "lean", 1, 5), named("lining", "lining", 12, 30), opening, exact("plate_length", 90, 110)}, tested: true},
	{verb: "stop", words: []string{"stop", "drill stop", "stop:"}, asks: []string{"where does the tape go for", "drill stop for", "drill stop with"}, last: []string{"drill stop?", "where does the tape go?", "where is the stop?"},
		order: 2, needs: []fact{{name: "depth", lo: 20, hi: 60, before: []string{"depth", "hole depth"}, behind: []string{"deep"}, told: "the hole is % deep"}, {name: "template", lo: 3, hi: 10, before: []string{"template", "jig"}, behind: []string{"template", "jig"}, told: "the template is %"}},
		may: []fact{named("covering", "covering", 5, 20), {name: "cover", lo: 120, hi: 200, before: []string{"cover"}, behind: []string{"cover"}, at: "over pipes"}, {name: "bit", lo: 6, hi: 16, before: []string{"bit"}, behind: []string{"bit"}}, {name: "point", kind: degrees, lo: 110, hi: 140, before: []string{"point"}}}},
	{verb: "reach", words: []string{"reach", "reach:"}, asks: []string{"does the key reach with", "can my key reach with"}, last: []string{"does it reach?", "will the key reach?"},
		order: 2, needs: []fact{setback.with(200, 400), {name: "key", lo: 150, hi: 350, before: []string{"key"}, behind: []string{"key"}, told: "the key is %"}},
		may: []fact{named("kerf", "kerf", 2, 5), exact("second", 200, 400)}},
	{verb: "reach", words: []string{"reach", "reach:"}, asks: []string{"does the key reach with"}, last: []string{"does it reach?"},
		order: 2, needs: []fact{setback.with(351, 400), {name: "key", lo: 150, hi: 350, before: []string{"key"}, behind: []string{"key"}, told: "the key is %"}, named("body", "body", 60, 120)},
		may: []fact{{name: "stocks", lo: 900, hi: 2000, before: []string{"stocks", "stock"}}}},
	{verb: "clear", words: []string{"clear", "clear:"}, asks: []string{"what clear width do I get with", "how much clear opening with"}, last: []string{"how much clear opening?", "clear opening?"},
		order: 3, needs: []fact{opening, thickness, setback}, may: []fact{named("handle", "handle", 40, 80), named("stop_width", "stop width", 10, 20), gap.with(15, 20), {name: "angle", kind: degrees, lo: 80, hi: 90, before: []string{"angle", "open to"}}}, tested: true},
	{verb: "clear", words: []string{"clear", "clear:"}, asks: []string{"what clear width do I get with"}, last: []string{"how much clear opening?"},
		order: 3, needs: []fact{opening, thickness, setback, named("gap_heel", "heel gap", 15, 20), named("gap_lead", "lead gap", 4, 10)}, may: []fact{named("handle", "handle", 40, 80)}, tested: true},
	{verb: "leaf", words: []string{"leaf", "leaf:"}, asks: []string{"what leaf do I order for"}, last: []string{"what leaf do I order?"},
		needs: []fact{named("width_top", "width top", 1197, 1200), named("width_middle", "width middle", 1199, 1200), named("width_bottom", "width bottom", 1197, 1200), named("height_heel", "height heel", 2397, 2400), named("height_lead", "height lead", 2397, 2400), gap, named("gap_top", "top gap", 3, 8), named("gap_bottom", "bottom gap", 5, 12)},
		may:   []fact{exact("height_middle", 2397, 2400), exact("lean_heel", 1, 3), exact("finish", 5, 15)}, tested: true},
	{verb: "leaf", words: []string{"leaf", "leaf size", "leaf:"}, asks: []string{"what leaf do I order for", "leaf for"}, last: []string{"what leaf do I order?", "what size leaf?"},
		order: 2, needs: []fact{opening, height, gap, {name: "gap_top", lo: 3, hi: 8, before: []string{"top", "top gap", "gap at the top"}, behind: []string{"top", "top gap", "at the top"}}, {name: "gap_bottom", lo: 5, hi: 12, before: []string{"bottom", "bottom gap", "gap at the bottom"}, behind: []string{"bottom", "bottom gap", "at the bottom"}}},
		may: []fact{exact("finish", 5, 15)}, tested: true},
	{verb: "lift", words: []string{"lift", "how many people for"}, asks: []string{"how many people to lift", "how many people for"}, last: []string{"how many people?", "how many people to lift it?"},
		needs: []fact{leafMass.with(5, 25)}},
	{verb: "cure", words: []string{"cure", "cure:"}, asks: []string{"how long does it cure with", "cure time for"}, last: []string{"how long does it cure?", "cure?"},
		needs: []fact{{name: "base", kind: hours, lo: 12, hi: 48, before: []string{"base", ""}, behind: []string{""}},
			{name: "reference", kind: celsius, lo: 18, hi: 25, before: []string{"reference", "ref"}, behind: []string{"reference"}, told: "the reference is %"},
			{name: "temperature", kind: celsius, lo: 6, hi: 17, before: []string{"temperature", "substrate", "temp"}, behind: []string{"substrate", "temperature"}, told: "the temperature is %"}},
		may: []fact{{name: "lowest", kind: celsius, lo: 3, hi: 5, before: []string{"lowest"}, behind: []string{"lowest"}, told: "the lowest is %"}}},
	{verb: "plumb", words: []string{"plumb", "how plumb at"}, asks: []string{"how far out of plumb with"}, last: []string{"how plumb?", "how far out of plumb can it be?"},
		order: 1, needs: []fact{height}, may: []fact{named("limit", "limit", 1, 3)}},
	{verb: "stand", words: []string{"stand", "stand:"}, asks: []string{"stand with"}, last: []string{"stand?"},
		needs: []fact{leafMass, width, height, thickness}, size: true},
	{verb: "mass", words: []string{"mass", "how heavy"}, asks: []string{"how heavy is a leaf of", "what does it weigh with"}, last: []string{"how heavy?", "what does it weigh?"},
		needs: []fact{width, height, named("glass", "glass", 4, 12), named("oak", "oak", 20, 44)}, may: []fact{setback, {name: "frame", lo: 80, hi: 140, before: []string{"frame"}}, {name: "fittings", kind: mass, lo: 1, hi: 5, before: []string{"fittings", "ironmongery"}, behind: []string{"fittings"}}}},
	{verb: "mass", words: []string{"mass"}, asks: []string{"what does it weigh with"}, last: []string{"what does it weigh?"},
		needs: []fact{{name: "heel_scale", kind: mass, lo: 30, hi: 70, before: []string{"heel scale"}, behind: []string{"heel scale"}}, {name: "lead_scale", kind: mass, lo: 30, hi: 70, before: []string{"lead scale"}, behind: []string{"lead scale"}}, {name: "scale_span", lo: 700, hi: 900, before: []string{"span", "scales"}, behind: []string{"apart"}}, named("scale_heel", "first scale", 50, 150)}},
	{verb: "load", words: []string{"load", "load:"}, asks: []string{"what do the pivots carry with load"}, last: []string{"load?"},
		needs: []fact{leafMass, width, height, setback}, may: []fact{{name: "wind", kind: speed, lo: 5, hi: 30, before: []string{"wind", "gust"}, behind: []string{"wind"}}, {name: "person", kind: newtons, lo: 500, hi: 900, before: []string{"person"}, behind: []string{"person"}}, {name: "pins", kind: count, lo: 2, hi: 6, before: []string{"pins"}, behind: []string{"pins"}}}},
	{verb: "closing", words: []string{"closing", "closer"}, asks: []string{"what closer for", "closer size with"}, last: []string{"what closer?", "closer size?"},
		needs: []fact{leafMass, width.with(900, 1200)}, may: []fact{setback}},
	{verb: "closing", words: []string{"closing"}, asks: []string{"closing energy with"}, last: []string{"closing energy?"},
		needs: []fact{leafMass, width.with(900, 1200), thickness, setback, {name: "closing_time", kind: seconds, lo: 5, hi: 12, before: []string{"closing time", "closes in"}, behind: []string{""}}}, may: []fact{exact("handle_inset", 20, 90)}},
	{verb: "life", words: []string{"life", "lifetime"}, asks: []string{"how long does it last with", "life of"}, last: []string{"how long does it last?"},
		needs: []fact{{name: "cycles", kind: count, lo: 5000, hi: 9000, before: []string{"cycles"}, behind: []string{"cycles"}}, {name: "per_day", kind: count, lo: 10, hi: 90, behind: []string{"a day", "per day"}}}},
	{verb: "square", words: []string{"square", "out of square"}, asks: []string{"how square is it with", "how far out of square with"}, last: []string{"how square?"},
		needs: []fact{exact("diagonal_1", 2640, 2645), exact("diagonal_2", 2640, 2645), width.with(1100, 1100), height.with(2400, 2400)}},
	{verb: "turns", words: []string{"turns"}, asks: []string{"how many turns with"}, last: []string{"how many turns?"},
		needs: []fact{named("travel", "travel", 1, 20), named("pitch", "pitch", 1, 3)}},
	{verb: "turns", words: []string{"how far does it move"}, asks: []string{"how far does it move with"}, last: []string{"how far does it move?"},
		needs: []fact{{name: "flats", kind: count, lo: 2, hi: 9, before: []string{"flats"}, behind: []string{"flats"}}, named("pitch", "pitch", 1, 3)}},
	{verb: "tape", words: []string{"tape", "steel tape"}, asks: []string{"tape correction for"}, last: []string{"tape correction?"},
		needs: []fact{{name: "tape_reads", lo: 900, hi: 2600, before: []string{"reading", "reads"}, behind: []string{"reading"}}, {name: "tape_temperature", kind: celsius, lo: 2, hi: 35, before: []string{"temperature", "temp", ""}, behind: []string{"temperature", ""}}}},
	{verb: "screed", words: []string{"cement screed", "anhydrite screed"}, asks: []string{"is the screed ready, cement,"}, last: []string{"is the cement screed ready?"},
		needs: []fact{{name: "screed_thickness", lo: 40, hi: 80, before: []string{"thickness"}, behind: []string{"thick"}}}, may: []fact{{name: "moisture_reading", kind: percent, lo: 1, hi: 5, before: []string{"reading", ""}, behind: []string{"reading", ""}}}},
	{verb: "moisture", words: []string{"moisture", "swelling"}, asks: []string{"how much does it swell with"}, last: []string{"how much does it swell?"},
		needs: []fact{named("oak", "oak", 200, 1100), {name: "moisture_change", kind: percent, lo: 1, hi: 6, before: []string{"change", ""}, behind: []string{"change", ""}}}, may: []fact{clearance, named("beech", "beech", 100, 200)}},
	{verb: "sun", words: []string{"sun aluminium faces", "sun on steel faces"}, asks: []string{"how far does it bow, aluminium faces,"}, last: []string{"aluminium faces, how far does it bow?"},
		needs: []fact{width, height, thickness, {name: "outer", kind: celsius, lo: 40, hi: 80, before: []string{"outer"}, behind: []string{"outside"}}, {name: "inner", kind: celsius, lo: 15, hi: 30, before: []string{"inner"}, behind: []string{"inside"}}, {name: "set_at", kind: celsius, lo: 5, hi: 20, before: []string{"set temperature"}}}},
	{verb: "rwl", words: []string{"rwl", "weight limit"}, asks: []string{"weight limit for"}, last: []string{"weight limit?"},
		needs: []fact{leafMass.with(5, 25), {name: "hands_ahead", lo: 250, hi: 500, before: []string{"hands ahead"}, behind: []string{"ahead"}}, {name: "hands_height", lo: 200, hi: 1200, before: []string{"hands height"}, behind: []string{"high"}}, {name: "hands_travel", lo: 250, hi: 900, before: []string{"hands move", "hands travel"}}, {name: "lifts_a_minute", kind: count, lo: 1, hi: 3, behind: []string{"lifts a minute", "per minute"}}}},
	{verb: "margins", words: []string{"margins", "adjust margins"}, asks: []string{"how do I set the margins with", "even the gaps out with"}, last: []string{"how do I set the margins?"},
		needs: []fact{named("heel_top", "heel top", 6, 9), named("heel_bottom", "heel bottom", 6, 9), named("lead_top", "lead top", 6, 9), named("lead_bottom", "lead bottom", 6, 9), named("target", "target", 6, 9), width.with(900, 1100), height, thickness.with(40, 46), setback.with(70, 120)},
		may:   []fact{named("head_range", "head range", 2, 6), named("floor_range", "floor range", 2, 6)}},
	{verb: "flush", words: []string{"flush", "flush readings"}, asks: []string{"how do I set it flush with"}, last: []string{"how do I set it flush?"},
		needs: []fact{named("proud_heel_top", "heel top", 1, 4), named("proud_heel_bottom", "heel bottom", 1, 4), named("proud_lead_top", "lead top", 1, 4), named("proud_lead_bottom", "lead bottom", 1, 4), width.with(900, 1100), height, setback.with(70, 120)}, may: []fact{named("head_range", "head range", 2, 6)}},
	{verb: "flatness", words: []string{"flatness of a finished floor", "finished soffit flatness"}, asks: []string{"how flat is a finished floor with"}, last: []string{"is the floor flat enough, finished floor?"},
		needs: []fact{{name: "line_heights", lo: 1, hi: 9, least: 3, most: 6, before: []string{"heights"}}, {name: "spacing", lo: 200, hi: 900, before: []string{"spacing"}, behind: []string{"apart"}}}},
	{verb: "pinch", words: []string{"pinch", "pinch points"}, asks: []string{"where can it catch fingers with", "finger traps with"}, last: []string{"where can it catch fingers?", "can it catch fingers?"},
		order: 3, needs: []fact{thickness.with(40, 50), setback.with(70, 120), gap.with(8, 12)}, may: []fact{width, named("gap_bottom", "bottom gap", 5, 12)}},
	{verb: "glue", words: []string{"glue", "how much glue"}, asks: []string{"how much glue for", "how much adhesive for"}, last: []string{"how much glue?", "how many cartridges?"},
		needs: []fact{{name: "holes", kind: count, lo: 2, hi: 4, before: []string{"holes"}, behind: []string{"holes"}}, {name: "bit", lo: 10, hi: 14, before: []string{"bit"}, behind: []string{"bit"}}, {name: "depth", lo: 40, hi: 60, before: []string{"depth"}, behind: []string{"deep"}}, named("pin_diameter", "pin diameter", 6, 9), named("pin_depth", "pin depth", 30, 38)},
		may:   []fact{{name: "waste", kind: percent, lo: 5, hi: 20, before: []string{"waste"}, behind: []string{"waste"}}, {name: "doors", kind: count, lo: 2, hi: 9, behind: []string{"doors"}}, {name: "nozzles", kind: count, lo: 1, hi: 3, behind: []string{"nozzles"}}}},
	{verb: "pins", words: []string{"pins", "which pin"}, asks: []string{"which pin with"}, last: []string{"which pin?"},
		needs: []fact{{name: "pin_lengths", lo: 30, hi: 60, least: 2, most: 3, before: []string{"pin lengths"}}, {name: "bit", lo: 10, hi: 14, before: []string{"bit"}, behind: []string{"bit"}}, {name: "point", kind: degrees, lo: 110, hi: 140, before: []string{"point"}, at: "no distances in sheet"}, {name: "sound_layer", lo: 90, hi: 150, rest: true, before: []string{"concrete", "screed"}, behind: []string{"concrete", "screed"}}},
		may:   []fact{{name: "weak_layer", lo: 5, hi: 12, rest: true, before: []string{"tile"}, behind: []string{"tile"}}, {name: "pin_count", kind: count, lo: 2, hi: 6, before: []string{"pin count"}, behind: []string{"pins"}}, named("embedment", "embedment", 10, 15), named("allowance", "allowance", 2, 4)}},
	{verb: "level", words: []string{"level", "floor level"}, asks: []string{"does it clear the floor with"}, last: []string{"does it clear the floor?", "will it scrape?"},
		needs: []fact{{name: "arc_floor", lo: 1, hi: 4, least: 4, most: 7, before: []string{"arc", "floor along the arc"}}, named("gap_bottom", "bottom gap", 5, 12), width, setback, height}},
	{verb: "soffit", words: []string{"soffit"}, asks: []string{"does it clear the soffit with"}, last: []string{"does it clear the soffit?"},
		needs: []fact{{name: "arc_soffit", lo: 1, hi: 4, least: 4, most: 7, before: []string{"arc", "soffit along the arc"}}, named("gap_top", "top gap", 5, 12), width, setback, height}},
	{verb: "cut", words: []string{"cut", "cutting list"}, asks: []string{"how many bars to cut"}, last: []string{"cutting plan?"},
		needs: []fact{{name: "pieces", lo: 300, hi: 900, least: 2, most: 5, before: []string{"pieces"}}, {name: "stocks", lo: 2000, hi: 6000, rest: true, before: []string{"stock", "stocks"}}}, may: []fact{named("kerf", "kerf", 2, 4)}},
	{verb: "cut", words: []string{"cut drilled one end,", "cut drilled at both ends", "cutting list, undrilled,"}, asks: []string{"how many bars drilled on one end to cut"}, last: []string{"cutting plan, drilled both ends?"},
		needs: []fact{{name: "pieces", lo: 300, hi: 900, least: 2, most: 5, before: []string{"pieces"}}, {name: "stocks", lo: 2000, hi: 6000, rest: true, before: []string{"stock", "stocks"}}}, may: []fact{named("kerf", "kerf", 2, 4)}},
	{verb: "cut", words: []string{"cut all open doors", "cut all doors"}, asks: []string{"how many bars for all open doors with"}, last: []string{"cutting plan for all doors?"},
		needs: []fact{named("kerf", "kerf", 2, 4)}, away: true},
	{verb: "glue", words: []string{"glue all open doors", "glue all doors"}, asks: []string{"how much glue for all doors with"}, last: []string{"how much glue for all open doors?"},
		needs: []fact{named("film", "film", 1, 3)}, may: []fact{{name: "waste", kind: percent, lo: 5, hi: 20, before: []string{"waste"}, behind: []string{"waste"}}}, away: true},
	{verb: "moisture", words: []string{"moisture", "swelling"}, asks: []string{"how much does it swell with"}, last: []string{"how much does it swell?"},
		needs: []fact{named("oak", "oak", 200, 1100), {name: "moisture_before", kind: percent, lo: 6, hi: 10, before: []string{"from", "moisture before"}}, {name: "moisture_after", kind: percent, lo: 11, hi: 16, before: []string{"to", "moisture after"}}}},
	{verb: "access", words: []string{"access"}, asks: []string{"does it get in with", "does the leaf get in with"}, last: []string{"does it get in?"},
		needs: []fact{width, height, thickness}, may: []fact{named("ceiling", "ceiling", 2300, 2800), {name: "route_width", lo: 900, hi: 1500, before: []string{"passage", "passage width"}}, {name: "route_height", lo: 1900, hi: 2200, before: []string{"passage height"}}}, size: true},
	{verb: "opening", words: []string{"opening needed", "what opening", "opening needed:"}, asks: []string{"what opening do I need for", "what opening for", "how wide must the opening be for"}, last: []string{"what opening?", "what opening do I need?"},
		needs: []fact{clearWidth, thickness, setback}, may: []fact{gap.with(15, 20), named("handle", "handle", 40, 80), named("stop_width", "stop width", 10, 20), clearance}, tested: true},
	{verb: "opening", words: []string{"opening needed"}, asks: []string{"what opening for a leaf"}, last: []string{"what opening?", "which opening does it need?"},
		needs: []fact{width, gap}, may: []fact{height, {name: "gap_top", lo: 3, hi: 8, before: []string{"top gap"}, behind: []string{"top"}}, named("gap_bottom", "bottom gap", 5, 12)}, tested: true},
	{verb: "leaf", words: []string{"leaf for", "leaf:"}, asks: []string{"what leaf do I order for", "what leaf for"}, last: []string{"what leaf do I order?"},
		needs: []fact{clearWidth, thickness, setback, gap.with(15, 20)}, may: []fact{named("handle", "handle", 40, 80)}, tested: true},
	{verb: "mark", words: []string{"depth reached", "what depth"}, asks: []string{"what depth does it give with", "how deep is the hole with"}, last: []string{"how deep is the hole?", "how deep did I drill?", "what depth?"},
		needs: []fact{{name: "mark", lo: 60, hi: 90, before: []string{"mark"}, behind: []string{"mark"}, told: "the mark is at %"}}, may: []fact{{name: "template", lo: 3, hi: 10, before: []string{"template", "jig"}, behind: []string{"template", "jig"}}, named("covering", "covering", 5, 20)}},
	{verb: "fits", words: []string{"fits", "does it fit with", "fits:"}, asks: []string{"does it fit with", "will it turn with"}, last: []string{"does it fit?", "will it turn?", "is that enough?", "is that ok?"},
		needs: []fact{gap, thickness, setback}, may: []fact{clearance, edge, exact("offset", 1, 5)}, tested: true},
}

// Words that change nothing, before a text and behind it.
var (
	greetings = []string{"hi, ", "hello, ", "please, ", "morning, ", "ok, ", "hey mate, ", "quick question: ", "so "}
	thanks    = []string{" please", " pls", ", thanks", " thank you", ", cheers", " mate", ", thanks mate", " today"}
	strangers = []string{"flange", "banana", "purple", "lorry", "custard", "gable", "thunder", "wobble"}
)
