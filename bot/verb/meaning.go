package verb

import (
	"regexp"
	"strings"

	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

// term is a word of the trade, and what it means in one sentence.
type term struct {
	words string // parted by commas, the usual one first
	means string // a key
	seen  bool   // in a plan
}

var terms = []term{
	{"setback", "the setback is the distance from the leaf's heel edge to the pivot axis, the line that the leaf turns on", true},
	{"heel edge, heel, pivot side, heel side", "the heel edge is the leaf's upright edge near the pivot; the gap beside it is the one at the pivot side", true},
	{"leading edge, lead edge, closing side, leading side, lead side", "the leading edge is the leaf's upright edge that swings furthest; the gap beside it is the one at the closing side", true},
	{"heel gap", "the heel gap is the free space between the heel edge and its jamb, at the pivot side, leaf closed", true},
	{"lead gap, leading gap", "the leading gap is the free space between the leading edge and its jamb, at the closing side, leaf closed", true},
	{"gap, margin", "a gap is the free space between an edge of the leaf and the jamb, the head or the floor, leaf closed", true},
	{"clearance", "the clearance is what must stay free at the tightest moment of the swing, 2 mm unless you say otherwise", true},
	{"growth", "the growth is how much nearer the edge's corner gets to the jamb as it comes round the axis", true},
	{"offset", "the offset is how far the pivot axis stands from the middle of the leaf's thickness; 0 is on it", true},
	{"pivot axis, axis", "the pivot axis is the vertical line through floor pivot and head pivot that the leaf turns on", true},
	{"jamb", "a jamb is one of the two upright sides of the opening", true},
	{"opening", "the opening is the free space between the finished jambs, and between floor and head, that the leaf closes", true},
	{"clear opening, clear width", "the clear opening is the width that is left free beside the open leaf", true},
	{"leaf", "the leaf is the moving panel of the door, with its width, height and thickness", true},
	{"head", "the head is the top of the opening", false},
	{"reveal", "the reveal is the depth of the opening in the wall, from one face to the other", false},
	{"lining", "the lining is the jamb's finished facing, with what packs it out from the wall", false},
	{"floor plate", "the floor plate is the fixed part in the floor that carries the floor pivot", false},
	{"head plate", "the head plate is the fixed part over the leaf that carries the head pivot", false},
	{"plate centre, plate center", "the plate centre is where the middle of the floor plate goes: setback and gap from the heel jamb", false},
	{"template, jig", "the template is the drilling jig; its thickness adds to what the drill must travel", false},
	{"stop depth, mark, depth mark", "the stop depth is where the depth mark goes on the drill bit, from its tip", false},
	{"covering", "a covering is what stays in place over the floor and is drilled through, as a tile", false},
	{"cover", "the cover is how much lies between the surface and the nearest pipe, cable or back face", false},
	{"full bore", "full bore means that the hole has its whole diameter down to the depth, so the drill's point goes deeper", false},
	{"pin", "a pin is a short bar under the floor plate that is bonded into a drilled hole", false},
	{"embedment", "the embedment is how much of a pin sits in sound concrete or screed", false},
	{"key", "the key is the tool that turns the head pivot from the heel edge", false},
	{"key tube, tube", "the key tube leads a longer key to the head pivot", false},
	{"spindle lift", "the spindle lift is how far the leaf is lifted over the floor pivot's spindle to stand it up", false},
	{"backcheck", "backcheck is the slowing of the leaf shortly before it is wide open", false},
	{"closing speed", "the closing speed is how fast a closing device shuts the leaf", false},
	{"latching action, latching", "the latching action is the last few degrees of closing, faster or slower, that shut the leaf tight", false},
	{"cure", "cure is the hardening of the adhesive; in the cold it takes longer", false},
	{"park, parked", "a parked leaf is left still, open or shut and wedged, while the adhesive cures", false},
	{"hold point, hold", "a hold point is a check that must pass before the work goes on", false},
	{"reading", "a reading is a measured value that is put on record", false},
	{"snag", "a snag is a defect to put right", false},
	{"visit", "a visit is a planned return to the door", false},
	{"hardware sheet, sheet", "the hardware sheet is what your own pivot set needs: sizes, limits, hole sizes, cure hours, turns", false},
	{"level", "level is a line or floor that neither rises nor falls", false},
	{"plumb", "plumb is exactly upright", false},
}

// termFor finds a word of the trade, one or several of it.
func termFor(word string) *term {
	for i := range terms {
		for _, w := range strings.Split(terms[i].words, ", ") {
			if word == w || word == w+"s" {
				return &terms[i]
			}
		}
	}
	return nil
}

var (
	// meant matches a text that asks what a word means.
	meant = regexp.MustCompile(`^\s*(?:hi |hey |please |sorry |so )?,?\s*(?:what(?: does| do|'s|s) (?:an? |the )?(.+?) mean|what (?:is|'s|are) (?:meant|you mean) by (?:an? |the )?(.+?)|what do you mean by (?:an? |the )?(.+?)|(?:explain|meaning of|define) (?:an? |the )?(.+?)|what(?: i|'|)s an? (.+?)|(.+?) meaning)[\s?.!]*$`)
	// named matches one that may, or that asks for the value of it.
	named = regexp.MustCompile(`^\s*(?:what(?: i|'|)s|what are|which (?:side |edge |one )?is|where is) (?:the )?(.+?)[\s?.!]*$`)
)

// Meaning returns what a word means that a text asks about, with a plan to see it
// in where it is seen in one; false if it asks about none. What is also a
// question or a value of one is told by that where the text may ask for it.
func Meaning(text string) (sentence say.Text, picture *draw.Drawing, ok bool) {
	text = strings.ToLower(strings.ReplaceAll(text, "’", "'"))
	word := strings.Join(groups(meant, text), "")
	if word == "" {
		if word = strings.Join(groups(named, text), ""); !Questions.HelpWord(word).IsZero() {
			return say.Text{}, nil, false
		}
	}
	t := termFor(strings.Join(strings.Fields(word), " "))
	if t == nil {
		return say.Text{}, nil, false
	}
	if t.seen {
		picture = example()
	}
	return say.F(t.means), picture, true
}

// groups returns what the groups of an expression match.
func groups(re *regexp.Regexp, text string) []string {
	if m := re.FindStringSubmatch(text); m != nil {
		return m[1:]
	}
	return nil
}

// example is a plan in which words are seen.
func example() *draw.Drawing {
	told := func(mm calc.Length) draw.Measure {
		return draw.Measure{Length: mm * calc.Millimetre, Told: say.Plain((mm * calc.Millimetre).String())}
	}
	return draw.Plan{Thickness: told(44), Setback: told(65), Width: told(1050), GapHeel: told(9), GapLead: told(9), Opening: told(1068), Angle: calc.RightAngle}.Drawing()
}
