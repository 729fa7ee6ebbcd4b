package verb

import (
	"strconv"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLift = &ask.Verb{
	Name: "lift", Summary: "how many people lift a leaf by hand, or whether it takes gear",
	Words:    []string{"lift", "lifting", "lifting team", "how many people", "how many people to lift", "how many to lift"},
	Everyday: []string{"lift", "lifting"},
	Need:     []*ask.Input{mass},
	Takes:    []*ask.Input{mass, estimated, single},
	Example:  "how many people for a leaf of 22 kg", Exact: "lift mass=22 kg",
	Answer: answerLift,
}

var estimated = &ask.Input{Name: "estimated", Kind: ask.FlagKind, What: "the mass was not weighed: it counts a tenth more", Example: "estimated",
	Choices: []ask.Choice{
		{Words: []string{"estimated", "estimate", "guessed"}, Value: "yes"},
	}}

var single = &ask.Input{Name: "single", Kind: ask.MassKind, ByName: true, What: "what one person may lift alone", Example: "single 20 kg",
	Words: []string{"single …", "single person …", "per person …", "one person …"}}

func answerLift(k *ask.Inquiry) {
	m := calc.Mass(k.Number(mass))
	if k.Q.Named(estimated) != nil || k.Q.Named(mass) == nil && k.Has(estimated) {
		k.Word(estimated)
		k.Working("estimated: %s and a tenth more = %s", m, m.Counted(true))
		m = m.Counted(true)
	}
	if t := k.Door["thickness"].Length; t != 0 {
		if _, err := calc.ImpliedDensity(m, k.Door["width"].Length, k.Door["leaf_height"].Length, t); err != nil {
			k.Refuse(err)
			return
		}
	}
	alone := calc.DefaultSingle
	if k.Has(single) {
		alone = calc.Mass(k.Number(single))
	} else {
		k.Assume(ask.Given{Name: single.Name, Kind: ask.NumberValue, Number: float64(alone), Unit: "kg", Shown: say.Plain(alone.String())}, say.F("one person lifts %s alone", alone))
	}
	l, err := calc.Team(m, alone)
	if err != nil {
		k.Refuse(err)
		return
	}
	switch l.People {
	case 0:
		k.Headline("lifting gear: no team may lift %s by hand", m)
	case 1:
		k.Headline("one person at least, or lifting gear")
	default:
		k.Headline("%s people at least, %s each, or lifting gear", l.People, l.Share)
	}
	if l.People > 0 {
		k.NumberResult("people_needed", float64(l.People), float64(l.People), "", strconv.Itoa(l.People))
		k.NumberResult("share_each", float64(l.Share), float64(m)/float64(l.People), "kg", l.Share.String())
	}
	k.NumberResult("team_limit", float64(l.Limit), float64(l.Limit), "kg", l.Limit.String())
	limits := calc.TeamLimits(alone)
	k.Working("one lifts %s, two 2/3 of 2 × %s = %s, three 1/2 of 3 × %s = %s; for more no factor is published", limits[0], alone, limits[1], alone, limits[2])
	k.Source("team factors: HSE L23, 4th ed. 2016, para 120")
	if alone == calc.DefaultSingle {
		k.Source("what one person lifts: its guideline filter, from memory")
	}
	k.Caution("the factors are for compact loads near the body: a tall leaf is worse. Make a lifting plan, with props and nobody in the zone it can fall into; the hardware maker's instructions and local rules come first")
}
