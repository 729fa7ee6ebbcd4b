package verb

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askTurns = &ask.Verb{
	Name: "turns", Summary: "how far to turn a screw for a way, or how far it goes with some turns",
	AskedBy: []string{"how far", "how much", "how many", "want"},
	Words: []string{"turns", "how far is that", "how much is that", "how much has it moved", "how far has it moved", "how much did it move", "how far does screw move", "how far does screw go", "how many turns is that", "how many turns for", "how much mm", "how many mm", "how many mm is that", "how many turns", "how many flats", "how far does it move", "how far does it go", "how far will it go", "how far did it move", "how far did it go", "screw turns",
		"{what|what's|whats} {is|} {that|it|this|} {in mm|in millimetres}", "how {far|much} {will|does|did|would|has|is} {that|it|this|leaf|door|screw|head|pivot|} {shift|move|raise|lift|drop|lower|go|travel|rise|moved|come} {|it|leaf|door|up|down|along}",
		"how many {turns|flats} {do|does|of|to|is|will|would|must} {i|we|you|screw|it|that|} {give|need|turn|make|take|turn it|} {screw|it|}", "{how far|how much} {up|down}", "{moves|shifts|raises|lifts|drops|lowers} it {how much|how far}", "moves {how much|how far}",
	},
	Leads:    map[string]*ask.Input{"how many turns": travel, "how many flats": travel},
	Everyday: []string{"turns"},
	Things:   []string{"turns"}, Typed: travel,
	Also:    map[string]*ask.Input{"… higher": travel, "… lower": travel, "… up": travel, "… down": travel, "up by …": travel, "down by …": travel, "along by …": travel, "… full turn": turns, "… full turns": turns, "… whole turn": turns, "… whole turns": turns, "… complete turn": turns, "… complete turns": turns, "… turns screw": turns, "… revolutions": turns, "thread pitch": pitch, "pitch thread": pitch, "screw pitch": pitch},
	Takes:   []*ask.Input{travel, turns, flats, thread, pitch, threadsPerInch, fine, whichScrew},
	Example: "how many turns for 3 mm with M10", Exact: "turns: travel=3 M10",
	Answer: answerTurns,
}

var travel = &ask.Input{Name: "travel", Zero: true, Signed: true, What: "how far the screw is to move", Example: "travel 3",
	Words: []string{"travel", "move …", "to lift it …", "lift it …", "to raise it …", "raise it …", "to move it …", "to drop it …", "lift door", "lift leaf", "raise door …", "raise leaf …", "drop door …", "lower door …", "lower leaf …", "move it …", "has to go …", "have to go …", "must go …", "needs to go …", "move leaf …", "move door …", "move head …", "raise …", "lower …", "go up …", "goes up …", "come up …", "comes up …", "come down …", "go down …", "how many turns …", "how many flats …", "{bring|move|lift|raise|lower|drop|shift|wind|take|get|push|jack} {leaf|door|it|head|pivot|plate|foot|top|head pivot|floor pivot} {up|down|along|over|in|out|} {by|} …", "{moves|shifts|lifts|raises|travels} …", "{has to|have to|must|needs to|should} {go|come} {up|down|higher|lower|along} …"},
	Loose: []string{"up", "down", "higher", "lower", "move", "move it", "lift it", "raise it"}}

var turns = &ask.Input{Name: "turns", Kind: ask.CountKind, ByName: true, Zero: true, Signed: true, What: "how many turns it is given", Example: "2 turns",
	Words: []string{"… turns", "… turn"}}

var flats = &ask.Input{Name: "flats", Kind: ask.CountKind, ByName: true, Zero: true, Signed: true, What: "how many flats of a hexagon it is turned by", Example: "1 flat",
	Words: []string{"… flats", "… flat"}}

var pitch = &ask.Input{Name: "pitch", What: "how far one turn moves the screw", Example: "pitch 1.5",
	Words: []string{"pitch"}}

var threadsPerInch = &ask.Input{Name: "threads_per_inch", Kind: ask.CountKind, ByName: true, What: "threads of an inch screw to the inch", Example: "16 tpi",
	Words: []string{"tpi", "threads per inch", "threads inch", "threads to inch"}}

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

var whichScrew = &ask.Input{Name: "screw", Kind: ask.ChoiceKind, What: "in a door's thread, which screw of its sheet: that of the floor pivot, the head pivot, the height or the engagement", Example: "head slide",
	Choices: []ask.Choice{
		{Words: []string{"head slide", "head slide screw", "head adjuster", "head pivot screw", "screw at head"}, Value: "head"},
		{Words: []string{"floor slide", "floor slide screw", "plate slide", "floor adjuster", "floor pivot screw", "screw at floor"}, Value: "floor"},
		{Words: []string{"spindle height", "spindle", "height adjuster", "height slide"}, Value: "height"},
		{Words: []string{"engagement screw", "head engagement screw", "engage head pivot"}, Value: "engagement"},
	}}

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
	k.NumberResult("turns", hundredth(r.Turns), float64(r.Turns), "", r.Turns.String())
	k.NumberResult("flats", hundredth(r.Flats), float64(r.Flats), "", r.Flats.String())
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
	case n == 0 && ownPitch(k) != "":
		own := k.Door[ask.ScrewDoor+ownPitch(k)]
		k.Source("pitch %s of the %s: the hardware sheet", k.ShowOwn(own.Length), say.Name(own.Word))
		k.Mention("by the sheet's %s, %s a turn", say.Name(own.Word), k.ShowOwn(own.Length))
		return own.Length, true
	case n > 0:
		k.Source("an inch over its threads: ASME B1.1, from memory")
		return calc.Length(float64(calc.Inch) / n), true
	}
	own := slices.ContainsFunc(whichScrew.Choices, func(c ask.Choice) bool { _, ok := k.Door[ask.ScrewDoor+c.Value]; return ok })
	if own && k.Q.Named(whichScrew) == nil { // never one for another
		k.Ask(say.F("the sheet has their pitches; or say the pitch or the thread"), whichScrew)
		return 0, false
	}
	k.Ask(say.F("or the thread, as M10, or 16 tpi"), pitch)
	return 0, false
}

// ownPitch returns the screw of the door's sheet that is asked about and has a pitch
// there, "" for none.
func ownPitch(k *ask.Inquiry) string {
	if v := k.Q.Named(whichScrew); v != nil {
		if _, ok := k.Door[ask.ScrewDoor+v.Set.Value]; ok {
			return v.Set.Value
		}
	}
	return ""
}

// hundredth returns what a quantity of two decimals is told as.
func hundredth[T ~float64](v T) float64 { return math.Round(float64(v)*100) / 100 }
