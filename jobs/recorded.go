package jobs

import (
	"regexp"
	"strings"

	"heelpost/calc"
)

// What is put on record in words of our own. A record holds them in English,
// beside what people typed; [Recorded] finds their keys again.
const (
	// AfterCure is what the visit is for that is proposed at the end of the cure.
	AfterCure calc.Word = "margins and movement"
	// PutRight is what was done about a snag of which nothing more was said.
	PutRight calc.Word = "done"

	doorCorrected calc.Word = "the door was corrected"
	breaksLimits  calc.Word = "the leaf breaks the sheet's limits"
	plateBonded   calc.Word = "a plate was bonded"
	plateKnocked  calc.Word = "the plate was knocked"
	mixSpoilt     calc.Word = "the mix was thrown away"
	sampleSoft    calc.Word = "a sample was said to be soft"
	closingRead   calc.Word = "the closing time was read after it"
	saidOpening   calc.Word = "by the bot, as it was said at the opening"
	numbersKnown  calc.Word = "by the bot, from the numbers of leaf and sheet"
	tooCold       calc.Word = "it was too cold"
	coverMeasured calc.Word = "cover measured"
	coverUnknown  calc.Word = "the cover is not measured yet"
	leanMoved     calc.Word = "the jamb's lean is in it, and taken from the leading gap"
	gapsToEnter   calc.Word = "the foreman enters the gaps of its test evidence, none is computed for a fire or smoke door"
	gapsUnknown   calc.Word = "not known before the gaps of its test evidence are entered"
	leafUnfit     calc.Word = "not known while the leaf does not fit its opening"
	leftOut       calc.Word = "left out"
	fitsAgain     calc.Word = "by the bot, its reason is gone"
	died          calc.Word = "the runner died each time it was sent"

	ofTwo             = "%s; %s"
	openedAnew        = "anew: @%s called this id off on %s, nothing done then counts; log keeps it"
	openAgain         = "%s is open again"
	openAgainFor      = "%s is open again: %s"
	batchExpires      = "batch %s, expires %s"
	batchAs           = "batch %s, expires %s, the same as at %s"
	ofBatch           = "batch %s"
	isOutside         = "%s is outside %s"
	atMost            = "at most %s"
	atLeast           = "at least %s"
	fromTo            = "%s to %s"
	estimated         = "%s estimated"
	gapsDontFill      = "the evidence's gaps do not fill the opening: leaf %s + heel %s + lead %s = %s, the opening is %s; correct the leaf, the opening or the evidence"
	gapsDontFillPlumb = "the evidence's gaps do not fill the opening: leaf %s + heel %s + lead %s = %s, between plumb lines the opening is %s; set the jambs plumb, or correct the leaf, the opening or the evidence"
	wouldBe           = "%s is %s at %s, by the corrected door it would be %s"
	noneNow           = "a hole or recess is %s %s deep, by the corrected door there may be none"
	mayBeHit          = "what is drilled is %s deep and what lies below is %s down: it may have been hit. Stop there, keep clear, and have it seen by whoever is licensed for it"
	mayBeNear         = "what is drilled is %s deep and what lies below is %s down, located within %s: it may have been hit. Stop there, keep clear, and have it seen by whoever is licensed for it"
	cantTurn          = "the leaf can't turn at the plate that is %s at %s: %s gap %s, it needs %s"

	tooNarrow       = "the opening is %s wide, the leaf needs %s to turn in it"
	tooNarrowPlumb  = "between plumb lines the opening is %s wide, the leaf needs %s to turn in it"
	tooNarrowTested = "the opening is %s wide, the leaf needs more than %s to turn in it"
	tooLow          = "the opening is %s high, the leaf needs %s to be stood up in it"
	evidenceCramped = "the leaf can't turn in the gaps of the evidence: it needs more than %s at the heel and %s at the leading edge"

	tooHeavy         = "mass is %s, the sheet carries %s"
	tooHeavyCounted  = "mass is %s (%s estimated and counted a tenth heavier), the sheet carries %s"
	tooWide          = "width is %s, the sheet allows %s"
	tooHigh          = "height is %s, the sheet allows %s"
	wrongThickness   = "thickness is %s, the sheet allows %s to %s"
	tooNear          = "setback is %s, the sheet wants at least %s"
	leastCounts      = "the least counts: a cover of %s stays, until the foreman corrects it with a reason"
	leastCountsNoted = "%s; the least counts: a cover of %s stays, until the foreman corrects it with a reason"
	noPinless        = "the sheet does not allow a plate without pins"
	noPins           = "the sheet fixes the plate without pins: there are none to leave out"
)

// recorded are the keys of what is put on record, each with what its arguments
// are: f a figure, t what somebody typed, w a word, r what is recorded itself.
// The first one that fits a text counts.
var recorded = []struct{ key, args string }{
	{ofTwo, "rr"}, {string(AfterCure), ""}, {string(PutRight), ""}, {fourWeeks, ""}, {season, ""}, {service, ""}, {string(doorCorrected), ""}, {string(breaksLimits), ""}, {string(plateBonded), ""}, {string(plateKnocked), ""}, {string(mixSpoilt), ""}, {string(sampleSoft), ""},
	{string(tooCold), ""}, {string(saidOpening), ""}, {string(numbersKnown), ""}, {string(closingRead), ""}, {string(coverMeasured), ""}, {string(coverUnknown), ""}, {string(leanMoved), ""}, {string(gapsToEnter), ""},
	{string(gapsUnknown), ""}, {string(leafUnfit), ""}, {string(leftOut), ""}, {string(fitsAgain), ""}, {string(died), ""},
	{"no limit", ""}, {"yes", ""}, {BothWays, ""}, {OneWay, ""},
	{"drilled", ""}, {"cut", ""}, {"ordered", ""}, {"taken", ""}, {"bonded to", ""},
	{gapsDontFill, "fffff"}, {gapsDontFillPlumb, "fffff"}, {wouldBe, "wwfr"}, {noneNow, "wf"}, {mayBeHit, "ff"}, {mayBeNear, "fff"}, {cantTurn, "wfwff"},
	{tooNarrowTested, "ff"}, {tooNarrow, "ff"}, {tooNarrowPlumb, "ff"}, {tooLow, "ff"}, {evidenceCramped, "ff"},
	{tooHeavyCounted, "fff"}, {tooHeavy, "ff"}, {tooWide, "ff"}, {tooHigh, "ff"}, {wrongThickness, "fff"}, {tooNear, "ff"}, {noPinless, ""}, {noPins, ""},
	{leastCounts, "f"}, {leastCountsNoted, "tf"},
	{strayLeaf, "fff"}, {openedAnew, "tf"}, {openAgainFor, "tt"}, {openAgain, "t"}, {batchAs, "tft"}, {batchExpires, "tf"}, {ofBatch, "t"},
	{"%s to heel", "f"}, {"%s to lead", "f"}, {"level", ""}, {isOutside, "fr"}, {atMost, "f"}, {atLeast, "f"}, {fromTo, "ff"}, {estimated, "f"}, {"%s pipe", "f"}, {"%s back", "f"},
}

// argumentPatterns match what stands for an argument, by what it is.
var argumentPatterns = map[byte]string{'f': `(-?\d[^;]*)`, 't': "(.+)", 'w': "([^;]+)", 'r': "(.+)"}

// recordedPatterns match the texts of the recorded keys.
var recordedPatterns = func() []*regexp.Regexp {
	patterns := make([]*regexp.Regexp, len(recorded))
	for i, r := range recorded {
		parts := strings.Split(regexp.QuoteMeta(r.key), "%s")
		text := parts[0]
		for j, part := range parts[1:] {
			text += argumentPatterns[r.args[j]] + part
		}
		patterns[i] = regexp.MustCompile("^(?s:" + text + ")$")
	}
	return patterns
}()

// Recorded returns a text of the record, of an event, a snag or a reading's
// limits, as the sentence that it was before it was put on record; what
// somebody typed stays as it is.
func Recorded(text string) calc.Text {
	if own, ok := recognized(text); ok {
		return own
	}
	return calc.F("%s", text)
}

func recognized(text string) (own calc.Text, ok bool) {
	for i, r := range recorded {
		found := recordedPatterns[i].FindStringSubmatch(text)
		if found == nil {
			continue
		}
		args, fits := make([]any, len(r.args)), true
		for j := range args {
			switch args[j] = found[j+1]; r.args[j] {
			case 'w':
				args[j] = calc.Word(found[j+1])
			case 'r':
				part, own := recognized(found[j+1])
				if args[j] = part; !own {
					args[j] = found[j+1]
					fits = fits && r.key != ofTwo // whose parts are both ours
				}
			}
		}
		if fits {
			return calc.F(r.key, args...), true
		}
	}
	return calc.Text{}, false
}
