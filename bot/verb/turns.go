package verb

import (
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askTurns = &ask.Verb{
	Name: "turns", Summary: "how far to turn a screw for a way, or how far it goes with some turns",
	AskedBy:  []string{"how far", "how much", "how many"},
	Words:    []string{"turns", "how many turns", "how many flats", "how far does it move", "how far does it go", "how far will it go", "how far did it move", "how far did it go", "screw turns"},
	Leads:    map[string]*ask.Input{"how many turns": travel, "how many flats": travel},
	Everyday: []string{"turns"},
	Typed:    travel,
	Varies:   travel,
	Takes:    []*ask.Input{travel, turns, flats, thread, pitch, threadsPerInch, fine},
	Example:  "how many turns for 3 mm with M10", Exact: "turns: travel=3 M10",
	Answer: answerTurns,
}

var travel = &ask.Input{Name: "travel", Zero: true, Signed: true, What: "how far the screw is to move", Example: "travel 3",
	Words: []string{"travel", "move …", "to lift it …", "lift it …", "to raise it …", "raise it …", "to move it …", "to drop it …", "lift door", "lift leaf", "raise door …", "raise leaf …", "drop door …", "lower door …", "lower leaf …", "move it …", "has to go …", "have to go …", "must go …", "needs to go …", "move leaf …", "move door …", "move head …", "raise …", "lower …", "go up …", "goes up …", "come up …", "comes up …", "come down …", "go down …", "how many turns …", "how many flats …"},
	Loose: []string{"move it", "lift it", "raise it"}}

var turns = &ask.Input{Name: "turns", Kind: ask.CountKind, ByName: true, Zero: true, Signed: true, What: "how many turns it is given", Example: "2 turns",
	Words: []string{"… turns", "… turn"}}

var flats = &ask.Input{Name: "flats", Kind: ask.CountKind, ByName: true, Zero: true, Signed: true, What: "how many flats of a hexagon it is turned by", Example: "1 flat",
	Words: []string{"… flats", "… flat"}}

var pitch = &ask.Input{Name: "pitch", What: "how far one turn moves the screw", Example: "pitch 1.5",
	Words: []string{"pitch"}}

var threadsPerInch = &ask.Input{Name: "threads_per_inch", Kind: ask.CountKind, ByName: true, What: "threads of an inch screw to the inch", Example: "16 tpi",
	Words: []string{"tpi", "threads per inch", "threads inch"}}

var thread = &ask.Input{Name: "thread", Kind: ask.ChoiceKind, What: "the screw's thread, with its coarse pitch: M3 to M30", Example: "M10",
	Choices: func() []ask.Choice {
		var all []ask.Choice
		for _, t := range calc.Threads {
			if name := strings.ToLower(t.Name); strings.HasPrefix(name, "m") {
				all = append(all, ask.Choice{Words: []string{t.Name, name}, Value: t.Name})
			}
		}
		for n := range 100 {
			name := "m" + strconv.Itoa(n)
			if !slices.ContainsFunc(all, func(c ask.Choice) bool { return slices.Contains(c.Words, name) }) {
				all = append(all, ask.Choice{Words: []string{name}, Value: name, Refused: noThread})
			}
		}
		return all
	}()}

var fine = &ask.Input{Name: "fine", Kind: ask.FlagKind, Beside: true, What: "the thread is a fine one", Example: "fine",
	Choices: []ask.Choice{{Words: []string{"fine", "fine thread", "extra fine", "extra fine thread", "superfine", "mf"}, Value: "yes"}}}

const noThread = "a thread of that size is none of those I know, M3 to M30 with their coarse pitch by ISO 261: look at its size again, or give its pitch, as pitch 1.5"

func answerTurns(k *ask.Inquiry) {
	turned, flat, way := k.Q.Named(turns) != nil, k.Q.Named(flats) != nil, k.Q.Named(travel) != nil
	switch {
	case turned && way || turned && flat || flat && way:
		k.Fail("give the way, the turns or the flats, one of them")
		return
	case !turned && !flat && !way:
		k.Ask(say.F("or the turns, as 2 turns"), travel)
		return
	}
	p, ok := takePitch(k)
	if !ok {
		return
	}
	var r calc.Turning
	var err error
	switch {
	case way:
		l := k.Length(travel)
		r, err = calc.TurnsFor(l, p)
		k.Working("%s / %s = %s turns = %s flats = %s", k.Figure(l), k.Figure(p), r.Turns, r.Flats, r.Degrees.Tenth())
	case flat:
		n := calc.Number(k.Number(flats))
		r, err = calc.TravelOf(n/6, p)
		k.Working("%s/6 × %s = %s", n, k.Figure(p), k.Show(r.Travel.Nearest(calc.Micrometre)))
	default:
		n := calc.Number(k.Number(turns))
		r, err = calc.TravelOf(n, p)
		k.Working("%s × %s = %s", n, k.Figure(p), k.Show(r.Travel.Nearest(calc.Micrometre)))
	}
	if err != nil {
		k.A.Working = nil
		k.Refuse(err)
		return
	}
	if !way {
		k.Result("travel", calc.Dimension{Exact: r.Travel, SetOut: r.Travel.Nearest(calc.Micrometre)})
	}
	k.NumberResult("turns", float64(r.Turns), float64(r.Turns), "", r.Turns.String())
	k.NumberResult("flats", float64(r.Flats), float64(r.Flats), "", r.Flats.String())
	k.Degrees("degrees", r.Degrees.Tenth(), r.Degrees)
	if way {
		k.Plain("travel", r.Travel)
		k.HideLast()
	}
	k.Note("of a thread with one start; turn on after any play is taken up")
	k.General("turns", "keep the leaf propped while a pivot is screwed, and its thread engaged by what the hardware maker's instructions ask for")
}

// takePitch takes the pitch, or that of the thread; false if it is asked for.
func takePitch(k *ask.Inquiry) (calc.Length, bool) {
	name := k.Word(thread)
	t, known := calc.ThreadNamed(name)
	n := k.Number(threadsPerInch)
	switch {
	case k.Has(pitch):
		if known || n > 0 {
			k.Note("the pitch counts, not the thread beside it")
		}
		k.Source("pitch as given")
		return k.Length(pitch), true
	case k.Word(fine) != "" && n == 0:
		k.Ask(say.F("a fine thread has more than one"), pitch)
		return 0, false
	case known:
		k.Source("pitch %s of %s, coarse: ISO 261", k.Show(t.Pitch), t.Name)
		k.Note("a fine thread has another pitch: measure it")
		return t.Pitch, true
	case n > 0:
		k.Source("an inch over its threads: ASME B1.1, from memory")
		return calc.Length(float64(calc.Inch) / n), true
	}
	k.Ask(say.F("or the thread, as M10, or 16 tpi"), pitch)
	return 0, false
}
