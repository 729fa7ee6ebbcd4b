package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askSetback = &ask.Verb{
	Name: "setback", Summary: "the least setback with which a leaf turns in a gap",
	Words: []string{"setback", "least i can put axis", "least i can put pivot", "least i can set axis", "least i can set pivot", "how far in can pivot be", "how far in may pivot be", "how close to edge can pivot be", "how near edge can pivot be", "how near edge may pivot be", "where can pivot go", "where can i put pivot", "where can i put axis", "where may axis be", "how far back can pivot be", "minimal setback", "setback minimum", "set back", "least setback", "how far back does pivot have to go", "how far back does pivot go", "how far back must pivot be", "how far back must pivot go", "how far back should pivot be", "how far in does pivot have to be", "how far in must pivot be", "how far in should pivot be", "where should pivot sit", "where must pivot sit", "where should pivot be", "smallest setback", "minimum setback", "min setback", "how far in", "how far in does pivot go", "how far in must pivot sit", "how far in must pivot go", "how far in does pivot sit", "how far back must i set pivot", "how far in must i set pivot", "how far back do i set pivot", "how far in do i set pivot",
		"{what's|what is|whats} {smallest|least|minimum} {i|we|you} {can|could|may} {make|have|set} {setback|pivot back}",
		"where {do i|do we|should i|must i|would i} {need|want|have} {pivot|axis}",
		"{minimum|min|least|smallest|shortest} distance {from|} {edge|heel|heel edge} to {pivot|axis|pivot centre}",
		"{edge|heel edge|heel} to {pivot|axis} {minimum|min|distance}",
		"{smallest|least|minimum|min|shortest} setback {that|which|to|that can|that could} {will|would|} {work|works|fit|fits|turn|turns|clear|clears|swing|swings|go round|goes round|do|does|go|goes|go in|goes in|do it|does it|let it turn}",
		"{smallest|least|minimum|min} setback that'll {work|fit|turn|clear|swing|go round|do|go|go in|go in there|do it}",
		"{where|how far in|how far back|how far from edge} {would|will} {pivot|axis} {be|go|sit|need to be|need to go|have to be|have to go|have to sit|need to sit}",
		"{smallest|least|minimum} {setback} {i|we|you} {can|could|may} {get away with|use|have|go to|go|set|run}",
		"{how far|how far in|how far back|how far from edge|how far in from edge|how far from heel|how far in from heel|how far in from heel edge|how far from heel edge} {must|should|can|could|may|does|has} {pivot|axis|pivot centre} {be|go|sit|need to be|need to go|need to sit|have to be|have to go|have to sit|to be|to go|to sit}",
		"{how far|how far in|how far back|how far from edge|how far in from edge|how far from heel|how far in from heel|how far in from heel edge|how far from heel edge} {do|must|should|can|could} {i|we|you} {put|place|set|fix|mount|position|drill|have|have to put|have to set|have to drill|need to put|need to set|need to drill} {pivot|axis|pivot in|pivot hole}",
		"where {must|should|may|might} {pivot|axis} {be|go|sit}",
		"where does {pivot|axis} {need to be|need to go|need to sit|have to be|have to go|have to sit}",
		"{what is|what's|whats} {smallest|least|minimum|lowest|nearest} {setback|i can set pivot|i can put pivot|i can set pivot at|i can go with setback}",
		"how {small|little} {a|} setback",
		"how small can setback be",
		"how {close|near} to {edge|heel|heel edge} {can|could|may} {i|we|you} {set|put|place|have|go with|bring} {pivot|axis}",
	},
	Stated: true,
	Also:   map[string]*ask.Input{"heel gap": gap, "gap at heel": gap},
	Order:  []*ask.Input{thickness, gap}, Need: []*ask.Input{thickness, gap},
	Takes:   with(thickness, gap, clearance, swing, angle, step),
	Example: "what setback for thickness 44 and gap 9", Exact: "setback thickness=44 gap=9",
	Answer: answerSetback,
}

func answerSetback(k *ask.Inquiry) {
	if edgeUnclear(k) {
		return
	}
	t, gap := k.Length(thickness), k.Length(gap)
	turn := takeTurn(k)
	turn.Thickness = t
	c, step := k.LengthOr(clearance, assumedClearance), k.Step(step)
	s, err := calc.SetbackMin(turn, gap, c, step)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("setback_min", s)
	own(k, "setback", "least")
	left, face := k.Figure(gap-c), k.Figure(faceOf(&turn))
	switch {
	case s.Exact == 0 || gap-c >= faceOf(&turn):
		k.Working("%s − %s = %s is as much as the corner's %s can need: any setback from %s will do", k.Figure(gap), k.Figure(c), left, face, k.Figure(s.SetOut))
	case turn.Heel.Form == calc.Square:
		k.Working("%s gap − %s clearance = %s; (%s² − %s²)/(2 × %s) = %s", k.Figure(gap), k.Figure(c), left, face, left, left, k.SetOut(s))
	default:
		k.Working("the gap formula solved for the setback: %s", k.SetOut(s))
	}
	turn.Setback = s.SetOut
	drawHeel(k, turn, gap)
	k.Source(growthSource(&turn))
	k.Caution(ask.Unchecked, edgeUnchecked)
	k.InShort("leading edge not checked")
	k.General("trap", trapCaution)
	k.General("evidence", evidence)
}

// edgeUnchecked is said where only the heel edge was looked at.
const edgeUnchecked = "the leading edge was not checked: ask gap with the width for what it needs"

// own notes what the door has of what is asked for.
func own(k *ask.Inquiry, name, end string) {
	if own, ok := k.Door[name]; ok {
		k.Mention("%s that turns; the door's own is %s", say.Name(end), k.ShowOwn(own.Length))
	}
}
