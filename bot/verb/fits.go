package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/calc"
)

var askFits = &ask.Verb{
	Name: "fits", Summary: "whether a gap is enough for a leaf to turn, and what is spare or missing",
	Words: []string{"clear jamb", "turn in", "turn at all", "turns at all", "swing round in", "will it clear", "does it clear", "should that turn", "should it turn", "will that turn", "does that turn", "have i enough", "have we enough", "enough room", "enough space", "does it do", "will it bind", "does it bind", "bind or not", "get round in", "clears jamb", "clear frame", "go round", "goes round", "does it go round", "will it go round", "fits", "fit", "enough", "gap enough", "gap wide enough", "enough gap", "enough gap for", "do for", "enough for", "ok for", "good for", "does it fit", "will it fit", "does that fit", "will that fit", "will it turn", "does it turn", "will it swing", "does it swing",
		"will that do", "would that do", "does that do", "will it do", "is that enough", "is it enough", "is that ok", "is it ok", "is that okay", "are we ok", "are we okay", "ok or not", "enough or not",
		"{leaf|door} {binds|catches|rubs|fouls} {on|at|} {jamb|frame}",
		"{door|leaf} binds",
		"{have we|have i|is there|do we have|do i have|have we got|have i got|got|} {enough|sufficient|adequate} {clearance|gap|room|space}",
		"{good|ok|okay|fine|safe} to {go|hang|fit|order}",
		"{any|all} good",
		"{is that|is it|that|am i|are we|will i be|will that be|would that be|will it be} {good|good enough|ok like that|going to be ok|alright|going to work|going to be enough|enough}",
		"{clear|pass|swing} in",
		"{would|will|does|do|should|could|can} {that|it|she|they|leaf|door|gap} {work|clear|turn|swing|pass|be enough|be ok|be okay|be fine|be sufficient|suffice|go round|bind|catch|rub|foul|hit jamb|hit frame|scrape jamb|catch jamb|rub jamb|clear jamb|clear frame|clear it|be too small|be too tight|be too little|turn freely|swing freely|turn ok|swing ok|turn clear}",
		"{is|are} {that|it|they|gap} {sufficient|big enough|wide enough|large enough|adequate|too small|too tight|too little|too narrow|plenty|ample|gap enough|gap ok|gap sufficient|gap big enough|gap too small|gap too tight|going to bind|going to catch|going to rub|going to clear|going to turn}",
		"{will|does|would|is} {work|bind|be enough|be ok|be sufficient|be too small}",
		"sufficient for",
		"big enough for",
		"wide enough for",
		"plenty for",
		"adequate for",
		"too small for",
		"too tight for",
		"too little for",
		"sufficient",
		"big enough",
		"wide enough",
		"have i got enough",
		"have we got enough",
		"got enough",
		"do i have enough",
		"do we have enough",
	},
	AskedBy: ways("{can|could|do|will} {i|we|you} get away with"),
	Wish:    gap,
	Front:   map[string]*ask.Input{"wide enough": gap, "big enough": gap, "sufficient": gap, "too little for": gap, "too tight for": gap, "too small for": gap, "adequate for": gap, "plenty for": gap, "wide enough for": gap, "big enough for": gap, "sufficient for": gap, "do for": gap, "enough for": gap, "ok for": gap, "good for": gap, "enough": gap, "enough gap": gap, "enough gap for": gap, "will do for": gap},
	Claims:  map[string]*ask.Input{"at heel": gap, "at heel edge": gap, "on heel": gap, "at jamb": gap, "at heel jamb": gap, "at heel side": gap},
	Leads:   map[string]*ask.Input{"too little for": thickness, "too tight for": thickness, "too small for": thickness, "adequate for": thickness, "plenty for": thickness, "wide enough for": thickness, "big enough for": thickness, "sufficient for": thickness, "do for": thickness, "enough for": thickness, "ok for": thickness, "enough gap for": thickness, "good for": thickness},
	Also:    map[string]*ask.Input{"is gap ok": gap, "is gap enough": gap, "is gap too tight": gap, "is gap too small": gap, "is gap sufficient": gap, "is gap big enough": gap, "gap too tight": gap, "gap too small": gap, "gap wide enough": gap, "gap sufficient": gap, "gap big enough": gap, "they gave us …": gap, "they gave me …": gap, "they've left …": gap, "they've left us …": gap, "they've left me …": gap, "left me …": gap, "they left me …": gap, "left us …": gap, "they left us …": gap, "we left …": gap, "they left …": gap, "i left …": gap, "at …": setback, "gap enough": gap, "heel gap": gap, "gap at heel": gap},
	Need:    []*ask.Input{gap, thickness, setback},
	Takes:   with(gap, thickness, setback, clearance, swing, angle),
	Example: "does a gap of 8 do for 44 thick at 65", Exact: "fits gap=8 thickness=44 setback=65",
	Answer: answerFits,
}

// answerFits tells what is spare to a hundredth of a millimetre, or to a 32nd of
// an inch as tapes have it, by common practice.
func answerFits(k *ask.Inquiry) {
	if edgeUnclear(k) || testedDoor(k) {
		return
	}
	gap, t, s := k.Length(gap), k.Length(thickness), k.Length(setback)
	turn := takeTurn(k)
	turn.Thickness, turn.Setback = t, s
	c := k.LengthOr(clearance, assumedClearance)
	f, err := calc.GapFits(turn, gap, c)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Truth("fits", f.Fits)
	k.Plain("spare", f.Spare)
	k.HideLast() // it is in the headline
	step := calc.Millimetre / 100
	if k.Q.Inches {
		step = calc.Inch / 32
	}
	by := k.Tell(f.Spare.Abs().Down(step))
	switch {
	case f.Fits && k.Q.Inches && f.Spare > 0 && f.Spare < step:
		k.Headline("yes, %s does: less than %s spare", k.Tell(gap), k.Tell(step))
	case f.Fits:
		k.Headline("yes, %s does: %s spare", k.Tell(gap), by)
	default:
		k.Headline("no, %s does not do: %s missing", k.Tell(gap), k.Tell((-f.Spare).Up(step)))
	}
	k.Working("%s growth + %s clearance = %s; %s gap − %s = %s", k.Figure(f.Growth), k.Figure(c), k.Figure(f.Need), k.Figure(gap), k.Figure(f.Need), k.Figure(f.Spare))
	if turn.Angle < calc.RightAngle {
		k.Note("turned to %s only", lex.DegreeText(turn.Angle))
	}
	p := planOf(k, &turn)
	p.GapHeel, p.Growth, p.Free = k.Measure(gap), k.Measure(f.Growth), k.Measure(max(0, gap-f.Growth))
	k.Draw(p)
	k.Source(growthSource(&turn))
	k.Caution(ask.Unchecked, edgeUnchecked)
	k.InShort("leading edge not checked")
	k.General("trap", trapCaution)
	k.General("evidence", evidence)
}
