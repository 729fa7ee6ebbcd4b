package verb

import (
	"time"

	"heelpost/bot/ask"
	"heelpost/calc"
)

var askRWL = &ask.Verb{
	Name: "rwl", Summary: "the recommended weight limit of one person's lift, by the NIOSH equation",
	Words:   []string{"niosh", "niosh limit", "rwl", "recommended weight limit", "lifting index", "weight limit"},
	Need:    []*ask.Input{mass, handsAhead, handsHeight, handsTravel, liftsAMinute},
	Takes:   []*ask.Input{mass, handsAhead, handsHeight, handsOrigin, handsTravel, asymmetry, liftsAMinute, liftingTime, recovery, coupling},
	Example: "weight limit 12 kg, hands ahead 350, hands height 700, hands move 600, 1 lift a minute for 2 h, good grip",
	Exact:   "rwl mass=12 kg hands_ahead=350 hands_height=700 hands_travel=600 lifts_a_minute=1 lifting_time=2 h good grip",
	Answer:  answerRWL,
}

var handsAhead = &ask.Input{Name: "hands_ahead", What: "how far the hands are in front of the ankles", Example: "hands ahead 350",
	Words: []string{"… ahead", "hands ahead"}}

var handsHeight = &ask.Input{Name: "hands_height", Zero: true, What: "how high the hands are over the floor", Example: "hands height 700",
	Words: []string{"hands at height …", "height hands …", "hands at …", "hands height", "height", "… high"}}

var handsOrigin = &ask.Input{Name: "hands_origin", Zero: true, What: "how high the hands are where the lift begins, if that is another height", Example: "begins at 200",
	Words: []string{"begins at …", "hands origin"}}

var handsTravel = &ask.Input{Name: "hands_travel", Zero: true, What: "how far the hands move up or down", Example: "hands move 600",
	Words: []string{"hands move …", "hands moved …", "lift moves …", "hands travel …", "moves …", "move …"}}

var asymmetry = &ask.Input{Name: "asymmetry", Zero: true, Kind: ask.AngleKind, What: "how far the load is turned from straight ahead", Example: "turned 30°",
	Words: []string{"asymmetry …", "turned …", "twisted …"}}

var liftsAMinute = &ask.Input{Name: "lifts_a_minute", Kind: ask.CountKind, ByName: true, Zero: true, What: "how often, lifts in a minute", Example: "1 lift a minute",
	Words: []string{"… lifts minute", "… lift minute", "… lifts per minute", "… lift per minute", "… per minute"}}

var liftingTime = &ask.Input{Name: "lifting_time", Kind: ask.HoursKind, What: "how long people lift", Example: "2 h",
	Words: []string{"lifting time", "lifting for …"}}

var recovery = &ask.Input{Name: "recovery", Kind: ask.HoursKind, ByName: true, Zero: true, What: "how long only light work follows", Example: "recovery 1 h",
	Words: []string{"recovery", "light work"}}

var coupling = &ask.Input{Name: "coupling", Kind: ask.ChoiceKind, What: "how well hands hold it: good, fair or poor", Example: "poor grip",
	Choices: []ask.Choice{
		{Words: []string{"good grip", "good handles", "handles good"}, Value: "good"},
		{Words: []string{"fair grip", "fair handles"}, Value: "fair"},
		{Words: []string{"poor grip", "no grip", "bare leaf"}, Value: "poor"},
	}}

// leastAhead is nearer than hands can be to the ankles' middle: our own bound, as what was
// meant in cm is below it.
const leastAhead = 100 * calc.Millimetre

func answerRWL(k *ask.Inquiry) {
	in := calc.RWLInput{Load: calc.Mass(k.Number(mass)), Ahead: k.Length(handsAhead), Height: k.Length(handsHeight), Travel: k.Length(handsTravel), Inches: k.Q.Inches}
	if in.Ahead < leastAhead {
		k.Fail("hands ahead %s: is that in cm? say it in mm, or with its unit", k.Show(in.Ahead))
		return
	}
	in.Origin = in.Height
	if k.Has(handsOrigin) {
		in.Origin = k.Length(handsOrigin)
	}
	in.Asymmetry = k.AngleOr(asymmetry, 0, "straight ahead")
	in.Often = calc.Frequency(k.Number(liftsAMinute))
	switch k.Word(coupling) {
	case "good":
		in.Coupling = calc.GoodCoupling
	case "fair":
		in.Coupling = calc.FairCoupling
	case "poor":
		in.Coupling = calc.PoorCoupling
	default:
		in.Coupling = calc.PoorCoupling
		k.AssumeWord(coupling, "poor", "poor grip, as of a bare leaf")
	}
	work := k.NumberOr(liftingTime, 8, "8 h of lifting")
	rest := k.NumberOr(recovery, 0, "no lighter work after it")
	var err error
	if in.Duration, err = calc.DurationOfLifting(hoursLong(work), hoursLong(rest)); err != nil {
		k.Refuse(err)
		return
	}
	r, err := calc.RecommendedWeight(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	ask.AddFigure(k, "rwl", r.Limit, "kg")
	ask.AddFigure(k, "lifting_index", r.Index, "")
	k.Working("23 kg × %s ahead × %s height × %s travel × %s turned × %s often × %s grip = %s", multiplier(r.Horizontal), multiplier(r.Vertical), multiplier(r.Distance), multiplier(r.Asymmetric), multiplier(r.Frequency), multiplier(r.Couples), r.Limit.Told)
	k.Working("index: %s / %s = %s", in.Load, r.Limit.Told, r.Index.Told)
	if r.Index.Exact > 1 {
		k.Note("above an index of 1 the risk rises, above 3 nearly everyone is at increased risk")
	}
	k.Source("revised lifting equation: DHHS (NIOSH) 94-110")
	k.General("rwl", "it is for one person with two hands and a compact load, not while carrying, in a tight space or on a slippery floor: a tall leaf is at the edge of it. It permits nothing; make a lifting plan, by local rules")
}

// multiplier tells a multiplier of the equation.
func multiplier(m float64) string { return calc.Number(m).String() }

// hoursLong returns a number of hours as a duration, up to a thousand of them.
func hoursLong(h float64) time.Duration { return time.Duration(min(h, 1000) * float64(time.Hour)) }
