package verb

import (
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLift = &ask.Verb{
	Name: "lift", Summary: "whether a leaf is above the filter for lifting by hand, how many stay under it, and what gear it takes",
	AskedBy: []string{"how many"},
	Words:   liftWords(),
	Things:  []string{"lifting"}, Everyday: []string{"lift", "lifting"},
	Also:    map[string]*ask.Input{"we're …": people, "we are …": people, "there's …": people, "there are …": people, "… on site": people, "… hands": people, "… labourers": people, "… fitters": people, "… helpers": people, "… guys": people, "… of us": people, "… us": people, "… men": people, "… lads": people, "… blokes": people, "… fellas": people},
	Need:    []*ask.Input{mass},
	Takes:   []*ask.Input{mass, estimated, single, way, people, weaker},
	Example: "how many people for a leaf of 22 kg", Exact: "lift mass=22 kg",
	Answer: answerLift,
}

// liftWords returns the ways to ask who lifts a leaf: how many of them, by each
// word for them, and whether some can.
func liftWords() []string {
	all := []string{"lift", "lifting", "lift door", "lift leaf", "lifting team", "how many man", "how many of us", "how many carry", "how many to lift", "how many to lift it",
		"who lifts it", "who can lift it", "who lifts", "who carries it", "how many us", "how many us to lift", "how many us to lift it", "how many us to carry it", "how many people to lift it"}
	for _, form := range []string{"how many guys", "how many guys to lift", "how many guys do i need", "how many guys do i need to lift", "how many guys to carry", "how many guys carry", "how many guys needed",
		"how many guys are needed", "how many guys are needed for lifting", "guys needed", "guys needed to lift", "guys needed to carry", "guys to lift it", "guys to carry it"} {
		for _, crew := range strings.Fields("guys men lads people persons blokes fellas hands") {
			all = append(all, strings.ReplaceAll(form, "guys", crew))
		}
	}
	for _, form := range []string{"can we lift", "can we carry", "can we do it", "can we manage", "can we manage it", "can we lift it", "can we carry it", "can we pick up", "can we pick it up", "could we lift", "could we carry"} {
		for _, who := range []string{"i", "we", "one person", "one man", "two of us", "three of us", "four of us", "two men", "three men", "four men", "two people", "three people", "four people", "two guys", "two lads", "2 men", "2 people"} {
			all = append(all, strings.ReplaceAll(form, "we", who))
		}
	}
	return append(all, "{can|could|may|should|is|will} {one|two|three|four|2|3|4|} {i|we|you|person|people|man|men|lad|lads|guy|guys|blokes|of us} {handle|lift|carry|manage|shift|move|hump|pick up|hold} {|it|leaf|door|that|them|this}",
		"{alright|ok|okay|possible|allowed|fine|safe|too heavy|light enough} {to|for} {lift|carry|move|shift|handle|lifting|carrying} {|it|leaf|door}",
		"{too heavy|light enough} for {one|two|three|four|1|2|3|4|} {person|people|man|men|lads|guys|of us}",
		"{what|which|what kind of|} {gear|lifting gear|hoist|lifter|crane|lifting kit} {do|would|will|needed|} {i|we|you|it|} {need|take|use|}",
		"{do|will|would} {i|we|you} need {gear|lifting gear|hoist|lifter|crane|lifting plan}",
		"how many {lads|guys|men|people|hands|persons|blokes|fellas|of us|us} {for|should|will|would|does|can|must|is|are|} {lift|carry|it|we|i|you|leaf|door|lifting|carrying|moving|shifting}",
	)
}

var estimated = hedged(&ask.Input{Name: "estimated", Kind: ask.FlagKind, What: "the mass was not weighed: it counts a tenth more", Example: "estimated",
	Choices: []ask.Choice{
		{Words: []string{"estimated", "estimate", "guessed", "guess", "i guess", "at a guess", "i think", "i believe", "i reckon", "roughly", "approx", "approximately", "not weighed", "unweighed", "not weighed yet", "never weighed"}, Value: "yes"},
	}})

var people = &ask.Input{Name: "people", Few: "%s people", Kind: ask.CountKind, ByName: true, What: "how many are there to lift it", Example: "2 of us",
	Words: []string{"… people", "team …", "… persons"}}

var single = &ask.Input{Name: "single", Kind: ask.MassKind, ByName: true, What: "the filter's mass for one person alone", Example: "single 20 kg",
	Words: []string{"single limit …", "filter …", "one person filter …", "single …", "single person …", "per person …", "one person …", "each lifts …", "each can lift …", "each one lifts …"}}

var way = &ask.Input{Name: "way", Kind: ask.ChoiceKind, What: "how it is moved: stood up from the floor, or carried on the level at the waist", Example: "from waist",
	Choices: []ask.Choice{
		{Words: []string{"stood up", "from floor", "off floor"}, Value: "standing_up"},
		{Words: []string{"from waist", "on level at waist", "at waist height", "at waist", "from waist height", "waist height", "waist high", "carried flat at waist height", "on flat at waist height", "on level", "carried on level"}, Value: "from_waist"},
	}}

func answerLift(k *ask.Inquiry) {
	in := calc.HandlingInput{Mass: calc.Mass(k.Number(mass)), Estimated: ownMassEstimated(k)}
	if t := k.Door["thickness"].Length; t != 0 {
		if _, err := calc.ImpliedDensity(in.Mass.Counted(in.Estimated), k.Door["width"].Length, k.Door["leaf_height"].Length, t); err != nil {
			k.Refuse(err)
			return
		}
	}
	switch how := k.Word(way); {
	case k.Q.Named(stairs) != nil:
		in.Way = calc.OnStairs
	case how == "from_waist":
		in.Way = calc.FromWaist
	case how == "":
		k.AssumeWord(way, "standing_up", "stood up from the floor: hands pass every height, and the smallest value of the filter holds")
	}
	if in.Single = calc.Mass(k.Number(single)); k.Q.Named(single) != nil && in.Single == 0 {
		k.Refuse(&calc.RangeError{Name: single.Name, Value: in.Single, Bound: calc.AtLeast, Limit: calc.Kilogram})
		return
	}
	l, err := calc.HandLift(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	if in.Single == 0 {
		k.Assume(ask.Given{Name: single.Name, Kind: ask.NumberValue, Number: float64(l.Single), Unit: "kg", Shown: say.Plain(l.Single.String())}, say.F("%s for one person alone", l.Single))
	}
	if in.Estimated {
		k.Working("estimated: %s and a tenth more = %s", in.Mass, l.Counted)
	}
	if in.Way == calc.OnStairs && l.People != 1 {
		k.Headline("on stairs no team is told: make a lifting plan; gear for at least %s", tellMass(k, l.Gear.Told))
		ask.AddFigure(k, "gear_min", l.Gear, "kg")
		k.Working("gear: %s and a tenth more = %s", l.Counted, l.Gear.Told)
	} else {
		tellLift(k, &in, &l)
	}
	k.General("lift", "the filter is no permission: below it no detailed assessment is asked for. It is for compact loads near the body, about 30 lifts an hour: a tall leaf is worse")
	k.General("lift 2", "make a lifting plan, with props and nobody in the zone the leaf can fall into; the hardware maker's instructions and local rules come first")
}

// tellLift tells how many stay under the filter, and what gear takes.
func tellLift(k *ask.Inquiry, in *calc.HandlingInput, l *calc.HandlingResult) {
	switch {
	case l.People == 0:
		k.Headline("above the filter: make a lifting plan; gear for at least %s", tellMass(k, l.Gear.Told))
	case l.Share.Told > 0:
		k.Headline("under the filter with %s at least, %s each", say.Count(l.People, "1 person", "%s people"), tellMass(k, l.Share.Told))
	default:
		k.Headline("under the filter with %s at least", say.Count(l.People, "1 person", "%s people"))
	}
	if l.People == 0 {
		ask.AddFigure(k, "gear_min", l.Gear, "kg")
	} else {
		k.NumberResult("people_needed", float64(l.People), float64(l.People), "", strconv.Itoa(l.People))
	}
	if l.Share.Told > 0 {
		ask.AddFigure(k, "share_each", l.Share, "kg")
	}
	k.NumberResult("team_limit", float64(l.Limit), float64(l.Limit), "kg", l.Limit.String())
	withPeople(k, l)
	k.Working("filter: one %s, two 2/3 of 2 × %s = %s, three 1/2 of 3 × %s = %s; for more no factor is published", l.Limits[0], l.Single, l.Limits[1], l.Single, l.Limits[2])
	k.Working("gear: %s and a tenth more = %s", l.Counted, l.Gear.Told)
	if in.Way == calc.StandingUp {
		k.Note("while a leaf is stood up the shares change: none is told")
	}
	k.Source("team factors: HSE L23, 4th ed. 2016, para 120")
	if in.Single == 0 {
		k.Source("what one person lifts: its guideline filter, from memory")
	}
}

// withPeople holds the mass against the filter of those who are there.
func withPeople(k *ask.Inquiry, l *calc.HandlingResult) {
	if k.Q.Named(people) == nil {
		return
	}
	switch n := int(k.Number(people)); {
	case n > len(l.Limits):
		k.Mention("for %s people no factor is published: make a lifting plan", n)
	case n >= 1 && l.Counted > l.Limits[n-1]:
		k.Beside("above the filter for %s", say.Count(n, "1 person", "%s people"))
	default:
		k.Mention("under the filter for %s, which is no permission", say.Count(n, "1 person", "%s people"))
	}
}

// tellMass tells a mass, in lb beside kg where that of the leaf was said in lb.
func tellMass(k *ask.Inquiry, m calc.Mass) string {
	typed := k.Q.Named(mass)
	pounds := typed == nil && k.Door[mass.Name].Word != ""
	if typed != nil && typed.Num != nil {
		unit := strings.ToLower(strings.TrimLeft(typed.Num.Raw, "0123456789., "))
		pounds = lex.MassUnits[unit] == calc.Pound
	}
	if pounds {
		return m.InPounds()
	}
	return m.String()
}

// ownMassEstimated reports whether the mass that is worked with was estimated:
// it is not, if another than the door's is typed without saying so.
func ownMassEstimated(k *ask.Inquiry) bool {
	if k.Q.Named(estimated) == nil && (k.Q.Named(mass) != nil || !k.Has(estimated)) {
		return false
	}
	return k.Word(estimated) != ""
}
