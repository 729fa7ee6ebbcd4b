package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askPinch = &ask.Verb{
	Name: "pinch", Summary: "where a leaf can catch fingers, toes or somebody's body as it swings",
	Words: []string{"pinch", "pinch risk", "is there pinch risk", "finger risk", "trap their fingers", "will they trap their fingers", "will it trap fingers", "could it trap fingers", "where can fingers get caught", "where do fingers get caught", "where could fingers get caught", "nip", "nip points", "nip point", "can fingers get in", "fingers trapped", "pinch points", "pinch point", "finger trap", "finger traps", "where can it catch fingers", "can it catch fingers", "does it catch fingers", "catch fingers", "fingers caught", "get their fingers caught", "get fingers caught", "fingers get caught", "get caught", "fingers", "finger", "trap fingers", "trap finger", "where can it trap fingers", "where does it trap fingers", "can it trap fingers", "where does it pinch", "crush fingers", "squash fingers", "trap hands", "catch hands",
		"{danger|risk|chance} {trapped|trapping|pinched|crushed|} {finger|fingers|hands|toes}",
		"{are there|any|is there} {pinch|nip|trapping|crush} {points|point|risk|hazard|hazards}",
		"{can|could|will|does|would|might} {it|leaf|door|that|you|somebody|someone|anybody|kids|people} {trap|pinch|nip|catch|squash|crush} {finger|fingers|hand|hands|toe|toes|anybody|somebody|people}",
		"{can|could|will|would|might} {you|somebody|someone|anybody|kids|people} {get|trap|catch} {finger|fingers|hand|hands|toe|toes} {trapped|caught|nipped|pinched|in it|in gap|}",
		"{can|could|will|would|might} {finger|fingers|hand|hands|toe|toes} {get|be} {trapped|caught|nipped|pinched}",
	},
	Everyday: []string{"pinch"},
	Order:    []*ask.Input{thickness, setback, gap},
	Need:     []*ask.Input{thickness, setback, gap}, Instead: map[*ask.Input][]*ask.Input{gap: {gapHeel}},
	Takes:   []*ask.Input{thickness, setback, gap, gapHeel, gapLead, gapBottom, width, height, offset, offsetSide, angle},
	Box:     []*ask.Input{width, height, thickness},
	Example: "pinch 46 thick, 70 setback, 6 gap, 960 wide, 9 under it", Exact: "pinch thickness=46 setback=70 gap=6 width=960 gap_bottom=9",
	Answer: answerPinch, Refuses: waitsForEvidence,
}

func answerPinch(k *ask.Inquiry) {
	in := calc.PinchInput{Thickness: k.Length(thickness), Setback: k.Length(setback)}
	heel, lead := sideGaps(k, &in.GapHeel, &in.GapLead)
	if !heel {
		k.Ask(say.Text{}, gapHeel)
		return
	}
	if lead {
		in.Width = k.Length(width)
	}
	if in.Width == 0 {
		k.Note("leading edge not looked at: give the width and the lead gap for it")
	}
	if k.Has(gapBottom) {
		in.GapBottom = k.Length(gapBottom)
	}
	in.Offset = takeOffset(k).E
	in.Angle = k.AngleOr(angle, calc.RightAngle, "opened to 90°")
	if k.Q.Named(height) != nil {
		k.Note("height is not needed for this: %s", k.Show(k.Length(height)))
	}
	p, err := calc.PinchOf(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	tellPinch(k, &in, &p)
	drawHeel(k, calc.Turn{Thickness: in.Thickness, Setback: in.Setback, Width: in.Width, Offset: calc.Offset{E: in.Offset, Signed: true}, Angle: in.Angle}, in.GapHeel)
	k.Source("8 and 25 mm for fingers: power-operated doors, EN 16005; 50 mm for toes, 500 mm for a body: ISO 13854; all from memory, and 4 mm for a child's finger our own")
	k.Note("for a leaf pushed by hand these distances are a yardstick, no rule: where children or many people pass, ask for finger guards")
	k.General("pinch", "keep hands off the edges and jambs while the leaf moves, also while it is tried for the first time")
}

// tellPinch tells where the leaf catches somebody.
func tellPinch(k *ask.Inquiry, in *calc.PinchInput, p *calc.Pinch) {
	k.Plain("gap_tightest", p.HeelRound.Tightest.Down(calc.Millimetre/100))
	k.Degrees("tightest_angle", p.HeelRound.At.Tenth(), p.HeelRound.At)
	caught := tellNip(k, say.F("heel edge, on the face it comes round on"), &p.HeelRound)
	if s := p.HeelRound.Trap[0]; s != (calc.AngleSpan{}) {
		k.Degrees("trap_from", s.From.Tenth(), s.From)
		k.HideLast()
		k.Degrees("trap_to", s.To.TenthUp(), s.To)
		k.HideLast() // the working has them
	}
	caught = tellNip(k, say.F("heel edge, on the other face"), &p.HeelOther) || caught
	if in.Width > 0 {
		caught = tellNip(k, say.F("leading edge, on the face it comes round on"), &p.LeadRound) || caught
		caught = tellNip(k, say.F("leading edge, on the other face"), &p.LeadOther) || caught
	}
	if in.GapBottom > 0 {
		k.Truth("toes", p.Toes)
		k.HideLast()
	}
	k.Plain("passage", p.Passage.Down(calc.Millimetre/100))
	if p.Toes {
		k.Working("foot: %s under the leaf lets toes in and is less than 50 mm", k.Show(in.GapBottom))
	}
	if p.CatchesBody {
		k.Working("opened to 90°, %s between the leaf and the heel jamb let an arm or more in, and the leaf closes on it", k.Show(p.Passage.Down(calc.Millimetre/100)))
	}
	if caught || p.Toes || p.CatchesBody {
		k.Headline("it can catch somebody: %s at the heel edge where it is tightest", k.Show(p.HeelRound.Tightest.Down(calc.Millimetre/100)))
	} else {
		k.Headline("no place found where it catches fingers: %s at the heel edge where it is tightest", k.Show(p.HeelRound.Tightest.Down(calc.Millimetre/100)))
	}
}

// tellNip tells where the gap at an edge is one that fingers are caught in, and
// whether there is such a place.
func tellNip(k *ask.Inquiry, where say.Text, n *calc.Nip) (caught bool) {
	for _, s := range n.Trap {
		if s.To-s.From > 1e-6 { // more than a rounding error
			k.Working("%s: 8 to 25 mm, fingers are caught, from %s to %s", where, lex.DegreeText(s.From.Tenth()), lex.DegreeText(s.To.TenthUp()))
			caught = true
		}
	}
	for _, s := range n.Child {
		if s.To-s.From > 1e-6 { // more than a rounding error
			k.Working("%s: 4 to 8 mm, a child's finger may be caught, from %s to %s", where, lex.DegreeText(s.From.Tenth()), lex.DegreeText(s.To.TenthUp()))
			caught = true
		}
	}
	return caught
}
