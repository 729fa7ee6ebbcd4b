package verb

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Words that change what is reckoned, and that no number stands for, are asked
// about by the questions whose answer they change: left out they would make a
// leaf too light, or a pivot stand at the wrong edge.

// asksBack returns an input whose words a question can't be answered with, and
// why.
func asksBack(name, what, why string, words ...string) *ask.Input {
	return &ask.Input{Name: name, Kind: ask.FlagKind, Beside: true, What: what, Example: words[0], Choices: []ask.Choice{{Words: words, Value: "yes", Refused: why}}}
}

var (
	bothSides = asksBack("both_sides", "a layer is on both sides", "on both sides it is two layers: say each with its thickness, as steel 2, pine 50, steel 2",
		"both sides", "each side", "either side", "two sides", "per side", "both faces", "each face", "either face", "front and back", "inside and outside", "both skins", "each skin", "skins")
	hollowLeaf = asksBack("hollow_leaf", "the leaf has hollows", "a leaf that is not solid weighs what is in it: say its layers and frame, as mdf 4, pine 46, frame 60, mdf 4, or weigh it",
		append([]string{"honeycomb", "tubular", "tubular core", "insulated", "insulation", "foam", "foam core", "semi solid", "cavity", "void", "empty"}, lex.Hollow...)...)
	twoLeaves = asksBack("two_leaves", "it is a pair of leaves", "is that one leaf of the pair, or both? give the sizes of one, and say its mass twice yourself",
		"pair", "pair of doors", "pair of leaves", "pairs", "double door", "double doors", "double leaf", "both leaves", "both doors", "two leaves", "two doors")
	leafPair = asksBack("leaf_pair", "the opening has a pair of leaves", "each leaf of a pair is reckoned by itself, and neither fills the opening: ask for one leaf, without the word", twoLeaves.Choices[0].Words...)
	frost    = asksBack("frost", "it freezes", "an adhesive that freezes doesn't cure, and hours at a mean temperature say nothing then: keep it warm, or ask its maker",
		"frost", "frosty", "freeze", "froze", "icy", "snow", "snowing", "freezing", "freezes", "frozen", "ice", "below zero", "below freezing", "sub zero")
	atNoon = asksBack("at_noon", "the temperature is that of one hour", "at noon a day is near its warmest: give the coldest that the substrate gets while it cures",
		"noon", "at noon", "midday", "at midday", "lunchtime")
	byWeight = asksBack("by_weight", "the moisture was found by weight", "the limits are in CM-%%: weight per cent, as from drying a sample, are another scale; give the reading of a carbide meter",
		"by weight", "weight", "by mass", "percent weight", "wt", "oven dry", "oven dried", "darr")
	otherTape = asksBack("other_tape", "the tape is of no steel", "this is for steel tapes: one of another material has its own expansion, ask its maker",
		"aluminium", "aluminum", "fibreglass", "fiberglass", "glass fibre", "plastic", "cloth", "nylon", "invar", "wooden", "laser", "laser measure", "wheel")
	eachEnd = asksBack("each_end", "the holes are counted at each end", "how many holes are that at a door in all? say them together, as 4 holes",
		"each end", "both ends", "per end", "holes each", "each plate", "both plates", "two plates", "per plate", "a plate", "each pivot", "both pivots", "top and bottom", "head and floor", "floor and head", "head and foot")
	weaker = asksBack("weaker", "somebody lifts less than others", "the filter's mass is for men in good health: for others give theirs for one person alone, as single 16 kg, or make a lifting plan",
		"women", "woman", "women's", "woman's", "girls", "girl", "ladies", "lady", "female", "females", "pregnant", "injured", "injury", "bad back", "sore back", "bad knee", "bad shoulder", "hurt back", "hurt his back", "disabled", "elderly", "old man", "one of us", "one us")
	laterLayer = asksBack("later_layer", "something comes on the leaf, or off it", "veneers, cladding and paint come on the leaf and a rebated edge goes off it: give its thickness as it hangs in the end, with all that is on its faces",
		"cladding", "clad", "before cladding", "with cladding", "cladding on", "once it's clad", "veneer", "veneers", "veneer to come", "paint", "paint to come", "paint still to come", "lacquer to come", "rebate", "rebates", "rebated", "seals in edge", "seal in edge", "brush seals", "warped", "to go on", "still to go on", "without paint", "without veneer", "without veneers", "without cladding", "without lacquer", "minus paint", "minus veneer", "minus cladding", "before paint", "before veneer", "before lacquer")
	laterMass = asksBack("later_mass", "something comes on the leaf that is not in its mass", "say the mass with all that hangs on the leaf in the end: glass, cladding, handles",
		"plus glass", "glass to come", "glass still to come", "glass to go in", "glass still to go in", "glass not in", "glass not in yet", "glass is not in", "glass is not in yet", "without glass", "minus glass", "before glass", "before glazing", "glazing to come", "unglazed", "cladding", "cladding to come", "before cladding", "without cladding", "once it's clad", "handle to come")
	swungOn = asksBack("swung_on", "somebody swings on it", "give the force of who hangs on it, as person 800 N", "kids swinging on it", "children swinging on it", "swinging on it", "swinging", "climbing on it")
	guessed = hedged(asksBack("guessed", "the mass was not weighed", "weigh it, or give a mass that it surely doesn't exceed", "roughly", "guess", "a guess", "guessed", "estimated", "estimate", "approx", "approximately", "or so", "not weighed", "unweighed"))
	rough   = asksBack("rough_opening", "the opening is not finished", "a rough or unlined opening is not what is reckoned with: give it between finished jambs and over the finished floor, or say finish 12 for a floor that comes later",
		"unlined", "rough", "rough opening", "structural", "structural opening", "brick", "to brick", "brick to brick", "before lining", "before plastering", "before plaster", "plaster to come", "with frame", "including frame", "at widest", "widest", "measured diagonally", "diagonally",
		"tiles to come", "tile to come", "carpet", "carpet to come", "floor to come", "screed to come", "per leaf", "to go on", "still to go on", "without lining", "without linings", "without plaster", "before linings", "no linings yet", "no lining yet", "no plaster yet", "not lined", "not lined yet")
	threshold = asksBack("raised_threshold", "a threshold stands up from the floor", "a threshold takes its height from the leaf's: give the opening's height from the threshold's top, and the gap over it as bottom 7, without the word",
		"over threshold", "above threshold", "with threshold", "raised threshold", "has threshold", "on threshold", "threshold plate", "threshold bar", "threshold strip", "plus threshold", "and threshold", "threshold to come", "there's threshold", "there is threshold")
	headPlate = asksBack("head_plate", "another point than the floor plate's centre is meant", "the centre of the floor plate is worked out from setback and gap; the head plate's is plumbed up from it, and edges are half a plate away",
		"head plate", "top plate", "upper plate", "at head", "plate at", "plate centre at", "plate center at", "edge plate", "to edge plate", "near edge plate", "far edge plate", "plate edge", "plate edges", "edges plate", "edge floor plate", "floor plate edge", "plate corner", "corner plate", "plate size", "size plate", "size floor plate", "floor plate size", "before plastering", "before lining", "unlined")
	onSide   = asksBack("on_side", "it doesn't stand on its bottom edge", "this is for a leaf that stands on its bottom edge: one on its side has another height, so give it as it stands", "on side", "on long edge", "long edge", "lying down", "lying", "laid down", "flat")
	stuck    = asksBack("stuck", "a pivot can't be moved", "say how far each pivot can be moved, as head range 0, floor range 3", "stuck", "seized", "jammed", "won't move", "can't be moved", "doesn't move", "can't move")
	someDays = asksBack("some_days", "it is not used every day", "give the openings of a mean day, all days counted", "weekdays", "weekdays only", "working days", "working days only", "school days", "week days", "days week", "weekends", "weekends only", "both leaves", "each leaf")
	fromLead = asksBack("from_lead", "the pivot is measured from the leading edge", "a setback is measured from the heel edge, the one near the pivot: give it from there",
		fronted([]string{"from ", "off ", "in from "}, "leading edge", "lead edge", "leading side", "lead side", "closing edge", "closing side", "far edge", "other edge", "opposite edge", "latch edge", "handle edge")...)
	hinged = asksBack("hinged", "it hangs on hinges", "a leaf on hinges turns about a pin beside it: this is for a leaf that turns about a pivot in it",
		"hinged", "hinges", "on hinges", "with hinges", "butt hinges", "hinge")
	otherGap = asksBack("other_gap", "the gap over or under the leaf is meant", "this works out the gaps at the leaf's upright edges; the gaps over and under it are yours to choose, by its hardware and its floor",
		fronted([]string{"over ", "above ", "under ", "below "}, "door", "leaf")...)
	passages = asksBack("passages", "it is wanted on each side", "a leaf on a pivot leaves a passage on either side of it: ask for the one beside the leading edge alone, without the word",
		fronted([]string{"clear ", "clear on ", "clear width ", "clear width on ", "clear opening ", "clear opening on "}, "each side", "both sides", "either side")...)
	onFace = asksBack("on_face", "the pivot is on the leaf's face", "a pivot on the face is off the middle of the leaf: give how far, and to which side, as offset 27 away",
		fronted([]string{"pivot on ", "pivot at ", "pivot in ", "pivoted on ", "pivoted at ", "pivoted in ", "axis on ", "axis at ", "axis in ", "pin on ", "hung on ", "set on ", "pivots on "},
			"face", "leaf face", "door face", "front face", "back face", "surface", "face leaf", "face door", "front", "back")...)
)

// hedges are the words before a mass that was not weighed, which say nothing
// elsewhere.
var hedges = []string{"about", "around", "some", "circa"}

// hedged returns an input that is chosen by a hedge before a mass, too.
func hedged(in *ask.Input) *ask.Input {
	c := in.Choices[0]
	c.Words, c.Before = hedges, mass
	in.Choices = append(in.Choices, c)
	return in
}

// changed are the words that each question asks about.
var changed = map[string][]*ask.Input{
	"gap": {leafPair, laterLayer, otherGap}, "setback": {laterLayer}, "thickness": {laterLayer}, "fits": {laterLayer}, "pinch": {laterLayer},
	"clear": {leafPair, laterLayer, rough, passages}, "opening": {leafPair, laterLayer, rough, passages}, "leaf": {leafPair, rough, threshold}, "plate": {headPlate},
	"margins": {leafPair, stuck}, "flush": {stuck}, "lift": {laterMass}, "load": {laterMass, swungOn}, "closing": {laterMass, guessed}, "rwl": {laterMass, guessed}, "stand": {laterMass, onSide},
	"life": {someDays}, "cure": {frost, atNoon}, "screed": {byWeight}, "tape": {otherTape},
}

// fronted returns words behind each of the words before them.
func fronted(fronts []string, words ...string) (all []string) {
	for _, f := range fronts {
		for _, w := range words {
			all = append(all, f+w)
		}
	}
	return all
}

// turning are the questions that are asked of where the pivot is in the leaf.
var turning = []string{"gap", "setback", "thickness", "clear", "opening", "fits", "plate", "leaf", "pinch", "margins", "reach"}

// sideAlone asks of what a side is that has no number: a jamb that leans 3, away.
func sideAlone(k *ask.Inquiry) bool {
	for _, of := range [...]struct{ side, in *ask.Input }{{offsetSide, offset}, {leanHeelSide, leanHeel}, {leanLeadSide, leanLead}} {
		if side := k.Q.Named(of.side); side != nil && k.Q.Named(of.in) == nil {
			k.Fail("%s of what? say the number that goes there beside it, for example %s", say.Name(side.Set.Value), of.in.Example)
			return true
		}
	}
	return false
}

// fromJamb matches a setback that is measured from the jamb, and behindJamb what
// stands behind the number of such a one: the gap is in it.
var (
	fromJamb   = regexp.MustCompile(`(?i)\b(?:set ?-?back|pivot(?:ed)?|axis|inset)\b(?:[\s\d.,=]|\b(?:is|of|at|set|mm|cm|in|measured|taken)\b)*` + ofJamb)
	behindJamb = regexp.MustCompile(`(?i)^(?:[\s,=(]|\b(?:is|mm|cm|in|inch|inches|set ?-?back|back|pivot(?:ed)?|axis|inset|to|cent(?:re|er)|measured|taken)\b)*` + ofJamb)
)

// asksFromJamb matches what plate tells: the centre of the pivot from the jamb.
var asksFromJamb = regexp.MustCompile(`(?i)(?:^|[a-z,:]\s+)(?:pivot|axis) (?:from|off) (?:the )?jamb\b`)

const ofJamb = `\b(?:from|off|to)\s+(?:(?:the|a|its|inside|face|edge|of|heel|finished|side)\s+)*(?:jambs?|reveal|frame|wall|linings?|architrave|casing|door ?post|post|upright|stud|brick(?:work)?|block(?:work)?|plaster|opening(?:$|[^\s]| [^sf]))`

// jambWords are those of which one ends every match, which is slow.
var jambWords = []string{"jamb", "opening", "reveal", "frame", "wall", "lining", "architrave", "casing", "post", "upright", "stud", "brick", "block", "plaster"}

// fromJambAsked asks about such a setback; the plate's centre is measured so.
func fromJambAsked(k *ask.Inquiry) bool {
	lower := strings.ToLower(k.Says())
	said := func(word string) bool { return strings.Contains(lower, word) }
	if k.Q.Named(setback) == nil || k.Q.Verb == askPlate && asksFromJamb.MatchString(k.Says()) || !slices.ContainsFunc(jambWords, said) ||
		!fromJamb.MatchString(k.Says()) && !behindJamb.MatchString(k.TextBehind(setback)) {
		return false
	}
	k.Fail("a setback is measured from the leaf's heel edge; from the jamb the gap is in it: give it from the edge, without the gap")
	return true
}
