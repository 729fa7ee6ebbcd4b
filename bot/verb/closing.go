package verb

import (
	"strconv"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askClosing = &ask.Verb{
	Name: "closing", Summary: "which closer size a leaf takes, the force at its handle, and how hard it closes",
	Words: []string{"closing", "too hard", "does it close too hard", "is that too hard", "is it too hard", "what closer", "which closer", "what size closer", "which size closer", "size closer", "closer do i need", "does it slam", "closer", "closer size", "closing force", "closing energy", "closing speed", "how hard does it close",
		"{what|which|} {size|strength|power|class|kind|type|power size} {closer|of closer} {do|does|for|is|would|will|should|} {i|we|it|leaf|door|that|} {need|take|want|get|}",
		"{does|will|is|would} {it|leaf|door|that} {close|closing|shut|shutting|slam|slamming} {|too} {|hard|fast|quick}", "{closing|shutting} {too hard|too fast|too quick|energy|force|speed}", "how hard {does|will} {it|leaf|door|that} {close|shut|slam|hit}", "door closer {size|strength|needed|}", "closer {do|for|does} {i|we|it} {need|take}", "{what|which} closer {does|do|for|is|would} {it|we|i|this|leaf|door} {need|take|}",
	},
	Everyday: []string{"closing", "closer"},
	Need:     []*ask.Input{mass, width},
	Takes:    []*ask.Input{mass, estimated, width, height, thickness, setback, handleInset, closingTime, fastest},
	Box:      []*ask.Input{width, height, thickness}, Typed: width,
	Example: "closing 88 kg, 1050 wide, 44 thick, setback 65, closes in 7 s", Exact: "closing mass=88 kg width=1050 thickness=44 setback=65 closing_time=7 s",
	Answer: answerClosing,
}

var closingTime = &ask.Input{Name: "closing_time", Kind: ask.SecondsKind, What: "how long it takes from 90° to 12°", Example: "closes in 7 s",
	Words: []string{"closing time", "shuts in …", "shut in …", "closes in …", "{closes|shuts|close|shut|closing|shutting|swings shut|falls shut|takes|it takes} {in|within|takes|time|is} …"}}

var fastest = &ask.Input{Name: "fastest_30", Kind: ask.SecondsKind, ByName: true, What: "how long the fastest 30° of that take", Example: "fastest 1.9 s",
	Words: []string{"fastest", "fastest 30°"}}

func answerClosing(k *ask.Inquiry) {
	m, guessed, w := calc.Mass(k.Number(mass)), ownMassEstimated(k), k.Length(width)
	if k.Q.Named(height) != nil {
		k.Length(height)
	}
	size, err := calc.SizeForCloser(w, m, guessed)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.NumberResult("size", float64(size.Size), float64(size.Size), "", strconv.Itoa(size.Size))
	k.Working("size %s: leaves up to %s wide and up to %s; here %s and %s", size.Size, size.Width, size.Mass, k.Show(w), m.Counted(guessed))
	if !k.Has(setback) {
		k.Note("give the setback for the force at the handle")
		if k.Has(closingTime) || k.Has(fastest) || k.Has(handleInset) {
			k.Ask(say.F("the force at the handle and how hard it closes go by how the leaf is hung"), setback)
			return
		}
	} else if s := k.Length(setback); !leverForce(k, &size, w, s) || !energy(k, m.Counted(guessed), w, s) {
		return
	}
	k.Note("a tall, heavy or wind-exposed leaf takes the next size up, from memory; the table is for leaves hung at their edge, an inset pivot needs less")
	k.Source("power sizes: EN 1154:1996 + A1:2002, table 1, second hand; its moments from memory")
	k.General("closing", "a closing leaf catches fingers and knocks people over: try it by hand before anybody passes; fire and smoke doors close by their evidence, and the hardware maker's instructions and local codes come first")
}

// leverForce tells the force at the handle that the closer's size asks for;
// false if it is refused.
func leverForce(k *ask.Inquiry, size *calc.CloserSize, w, s calc.Length) bool {
	inset := k.LengthOr(handleInset, 0)
	f, err := calc.LeverForce(size.OpeningMax, w, s, inset)
	if err != nil {
		k.Refuse(err)
		return false
	}
	ask.AddFigure(k, "lever_force", f, "N")
	k.Working("to open against the most that size may ask for: %s / (%s − %s − %s) = %s", size.OpeningMax, k.Figure(w), k.Figure(s), k.Figure(inset), f.Told)
	if f.Exact > calc.OpeningForceADA {
		k.Mention("that is more than %s, the most for an interior door by 2010 ADA Standards 404.2.9: weigh the force at the handle", calc.OpeningForceADA)
	}
	return true
}

// energy tells how hard the leaf closes in the time it takes; false if that is
// refused or asked about.
func energy(k *ask.Inquiry, m calc.Mass, w, s calc.Length) bool {
	switch {
	case !k.Has(closingTime) && !k.Has(fastest):
		k.Note("give the time from 90° to 12° for how hard it closes")
		return true
	case !k.Has(closingTime):
		k.Ask(say.Text{}, closingTime)
		return false
	case !k.Has(thickness):
		k.Ask(say.F("what it takes to stop a leaf goes by it"), thickness)
		return false
	}
	t := k.Length(thickness)
	i, err := calc.UniformInertia(m, w, t, s, 0)
	if err != nil {
		k.Refuse(err)
		return false
	}
	in := calc.ClosingInput{Inertia: i.Exact, Time: calc.Seconds(k.Number(closingTime)), Fastest: calc.Seconds(k.Number(fastest))}
	c, err := calc.Closes(in)
	if err != nil {
		k.Refuse(err)
		return false
	}
	ask.AddFigure(k, "closing_energy", c.Energy, "J")
	ask.AddFigure(k, "time_min", c.TimeMin, "s")
	k.Working("inertia: %s × ((%s² + %s²)/12 + (%s/2 − %s)²) = %s", m, k.Figure(w), k.Figure(t), k.Figure(w), k.Figure(s), i.Told)
	if in.Fastest > 0 {
		k.Working("energy: 1/2 × %s × (30°/%s)² = %s; the mean speed alone gives %s", i.Told, in.Fastest, c.Energy.Told, c.MeanEnergy.Told)
	} else {
		k.Working("energy: 1/2 × %s × (%s × 78°/%s)² = %s; the mean speed alone gives %s", i.Told, calc.Number(calc.PeakSpeed), in.Time, c.Energy.Told, c.MeanEnergy.Told)
		k.Source("greatest speed 1.5 times the mean, where the fastest 30° were not timed: from memory")
	}
	judgeClosing(k, &c)
	return true
}

// judgeClosing says what to do about a leaf that closes too hard or too fast.
func judgeClosing(k *ask.Inquiry, c *calc.Closing) {
	k.Source("energy of a turning body: standard physics; %s is the limit of low-energy powered doors (EN 16005, from memory), a yardstick here", c.Limit)
	k.Source("at least %s from 90° to 12°: 2010 ADA Standards 404.2.8.1", calc.ClosingTimeADA)
	if !c.OK {
		k.Mention("more than %s: take at least %s from 90° to 12°", c.Limit, c.TimeMin.Told)
	}
	if !c.InTime {
		k.Mention("less than %s from 90° to 12°", calc.ClosingTimeADA)
	}
	if !c.OK || !c.InTime {
		k.Note("slow the closing speed first and time it again, the latching action last; what the closer damps at the end is in no figure")
	}
}
