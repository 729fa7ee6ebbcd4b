package verb

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/say"
)

// What lies on a floor or a jamb is there already, comes later or is gone, and that
// decides whether its thickness counts. A question that reckons with it one way asks
// where a word says the other.

// thereAlready matches what stands behind a thickness that is said to be there, and
// goneAlready behind one that is not any more, or is counted elsewhere.
var (
	thereAlready = regexp.MustCompile(`(?i)^(?:[\s,(]|\b(?:mm|thick|of|the|floor|finish(?:ed)?|linings?|board|plaster(?:board)?|is|are|was|were|that's|it's|has|have|been|all|now|just)\b)*\b(?:already|(?:in|on|done|up|down|laid|fitted|there|fixed|finished|included|in place|counted)\s*(?:already|now|$|[,.;:?!)]|and\b|but\b|so\b))`)
	goneAlready  = regexp.MustCompile(`(?i)^(?:[\s,(]|\b(?:mm|thick|of|the|floor|tiles?|vinyl|covering|template|jig|is|are|was|were|that's|it's|has|have|been|now|already)\b)*\b(?:off|gone|lifted|removed|included|counted|in (?:it|that|there|the depth)|(?:in|up)\s*(?:already|now|$|[,.;:?!)]|and\b|but\b|so\b))`)
	saidAlready  = regexp.MustCompile(`(?i)\balready\b`)
	stopAtHeel   = regexp.MustCompile(`(?i)^(?:\s|\b(?:mm|wide|stop)\b)*(?:at|on) the (?:heel|pivot)`)
	stopIsAt     = regexp.MustCompile(`(?i)\bstops? (?:is |are |set )*at \d`)
	deepReveal   = regexp.MustCompile(`(?i)^ ?(?:mm )?(?:deep|depth)\b`)
	notBefore    = regexp.MustCompile(`(?i)\b(?:without (?:any |the |its |a )?(?:finish(?:ed)?|floor finish|linings?|plaster\w*)|no (?:floor )?(?:finish(?:ed)?(?: floor)?|linings?|plaster\w*) (?:yet|in yet|on yet|laid|so far))\b`)
	notThe       = regexp.MustCompile(`(?i)\bwithout the (?:floor )?(?:tiles?|vinyl|lino|laminate|parquet|covering)\b|\bno (?:tiles?|vinyl|lino|laminate|parquet|covering) yet\b`)
)

// stateAsked asks about a layer that is said to be there already, or not any more.
func stateAsked(k *ask.Inquiry) bool {
	named := func(in *ask.Input) bool { v := k.Q.Named(in); return v != nil && v.Num != nil }
	for _, in := range [...]*ask.Input{finish, lining} {
		switch said := k.Says(); {
		case !named(in):
		case notBefore.MatchString(said):
			k.Fail("is the %s still to come, or will there be none? the sizes were read before it: say how thick it gets, as %s, or say %s=0", in.Said(), in.Example, say.Name(in.Name))
			return true
		case thereAlready.MatchString(k.TextBehind(in)), saidAlready.MatchString(said):
			k.Fail("is the %s there already, or still to come? if the sizes were read with it there, leave it out; if it comes later, say it without the word", in.Said())
			return true
		}
	}
	if named(cladding) && (thereAlready.MatchString(k.TextBehind(cladding)) || saidAlready.MatchString(k.Says())) {
		k.Fail("is the %s on the leaf already, or put on later? what is on it already is given as fittings; if it comes later, say it without the word", cladding.Said())
		return true
	}
	for _, in := range [...]*ask.Input{covering, template} {
		switch {
		case !named(in):
		case in == covering && notThe.MatchString(k.Says()):
			k.Fail("is the depth meant without the covering, or is there none? say how thick it is, as covering 10, or say covering=0")
			return true
		case goneAlready.MatchString(k.TextBehind(in)):
			k.Fail("%s: is it drilled through and on top of the depth, or gone, or counted in already? say its thickness alone if it is on top, else leave it out", in.Said())
			return true
		}
	}
	if named(stopWidth) && stopIsAt.MatchString(k.Says()) {
		k.Fail("is that how wide the stop is, or to which angle the leaf opens? say stop 12, or open to 95 degrees")
		return true
	}
	if named(stopWidth) && stopAtHeel.MatchString(k.TextBehind(stopWidth)) {
		k.Fail("the stop that narrows the way is the one at the leading jamb: say it without the heel if it is there")
		return true
	}
	if named(reveal) && deepReveal.MatchString(k.TextBehind(reveal)) {
		k.Fail("how deep the reveal is says nothing of the axis: say how far the axis lies behind the reveal's edge on the opening side, as reveal 90")
		return true
	}
	return hedgedAsked(k) || offsetAsked(k)
}

// towardsWhat matches towards and away, with the word for what it is that follows.
var towardsWhat = regexp.MustCompile(`(?i)\b(?:towards?|away from|away)\b(?:\s+(?:the|its|my|our))*\s*([a-z]*)`)

// offsetAsked asks about a side of the offset that is said by another thing than the
// leaf's faces, or by a sign and a word.
func offsetAsked(k *ask.Inquiry) bool {
	v, side := k.Q.Named(offset), k.Q.Named(offsetSide)
	if v == nil || side == nil {
		return false
	}
	if v.Num != nil && v.Num.Signed {
		k.Fail("%s has a sign and a word for its side: give one of them", offset.Said())
		return true
	}
	for _, m := range towardsWhat.FindAllStringSubmatch(k.Says(), -1) {
		switch w := strings.ToLower(m[1]); w {
		case "", "opening", "open", "face", "other", "closing", "and", "with", "one", "gap", "swing", "both", "thickness", "setback", "width", "clearance", "from", "what", "how", "is", "at", "thick", "wide", "leaf", "please", "edge", "edges", "square", "chamfer", "step", "angle", "for":
		default:
			k.Fail("%q: is that the face the leaf opens towards, or the other one? say towards the opening side, or towards the closing side", say.Plain(m[0]))
			return true
		}
	}
	return false
}

// What is said beside a number makes it no number: that it is not sure, or one of
// several, or one place's. Nearly all texts have none of these words.
var (
	hedgeWords = []string{"like", "supposedly", "apparently", "presumably", "allegedly", "could be", "might be", "may be", " if ", "memory", " dry", " wet", "suppose", "assume", "only", " and up", " and on", " and over", " and above", " and more", " or so"}
	hedgeFront = regexp.MustCompile(`(?i)\b(?:something like|looks? like|supposedly|apparently|presumably|allegedly|could be|might be|may be|i suppose|i assume)\s+(?:(?:a|an|the|it|it's|is|about|that)\s+)*\d[\d.]*`)
	hedgeBack  = regexp.MustCompile(`(?i)\d[\d.]*(?: ?(?:mm|cm|m|in|kg|°|thick|wide|high|deep|tall|setback|gap|of|oak))*,? (?:if (?:i|we) (?:remember|recall)\w*|from memory|when (?:dry|wet)|i (?:suppose|assume)\b|or so\b|only (?:at|on|in) |(?:and (?:up|upwards?|on|over|above|more|beyond))(?: ?[,.;:?!)]|$))`)
)

// hedgedAsked asks about a number that is not meant to be just that.
func hedgedAsked(k *ask.Inquiry) bool {
	said := strings.ToLower(k.Says())
	if !slices.ContainsFunc(hedgeWords, func(w string) bool { return strings.Contains(said, w) }) {
		return false
	}
	for _, hedge := range [...]*regexp.Regexp{hedgeFront, hedgeBack} {
		if m := hedge.FindString(said); m != "" {
			k.Fail("%q: that is not one sure number; give the one to reckon with, or ask for the least and the most apart", strings.TrimRight(m, " ,.;:?!)"))
			return true
		}
	}
	return false
}
