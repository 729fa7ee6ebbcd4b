package verb

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askMoisture = &ask.Verb{
	Name: "moisture", Summary: "how far a wooden leaf swells or shrinks across the grain, and what that leaves of the clearance",
	AskedBy: []string{"how much"}, Facts: woods(),
	Words: []string{"moisture", "moisture movement", "swelling", "shrinkage", "swell", "shrink", "how much does it swell", "how much does it shrink", "how much does it grow", "how much will it grow", "how much will it swell",
		"{how much|how far|how many mm|by how much|what} {does|will|would|can|could|might|do} {it|leaf|door|that|panel|wood|they|stile|board} {swell|shrink|grow|expand|widen|get wider|get narrower|get bigger|get smaller}",
		"{how much|how far|how many mm} {wider|narrower|bigger|smaller} {does|will|would} {it|leaf|door|that|panel|} {get|be|become}", "{how much|how far|what} {swelling|shrinkage|growth|shrinking|movement}", "how much {swell|shrink|grow}", "how much {shrinks|swells}", "{how much|how far} {does|will} {it|oak|beech|pine|leaf|door} {swell|shrink}",
	},
	Takes: slices.Concat(woods(), []*ask.Input{grain, moistureChange, moistureLoss, moistureBefore, moistureAfter, humidityBefore, humidityAfter, temperatureBefore, temperatureAfter, clearance, step}),
	Also:  woodsAlso(),
	Lends: []string{"wide", "across", "across grain", "width", "wide leaf", "wide door"},
	Frames: []ask.Frame{
		{First: humidityBefore, Second: humidityAfter, Between: []string{"to", "down to", "up to", "until"}, If: []string{"humidity", "rh"}},
		{First: moistureBefore, Second: moistureAfter, Between: []string{"to", "down to", "up to", "until", "moisture to", "and ends at"}},
	},
	Example: "moisture: oak 1050, change 2 %", Exact: "moisture: oak=1050 moisture_change=2 %",
	Answer: answerMoisture,
}

// woodsAlso returns what names inputs here alone: solid larch is larch, and from and to
// are of its moisture.
func woodsAlso() map[string]*ask.Input {
	also := map[string]*ask.Input{"from …": moistureBefore, "to …": moistureAfter}
	for _, in := range woods() {
		word := strings.ToLower(materials[in].Name)
		for _, w := range []string{"solid ", "all ", "made "} {
			also[w+word] = in
		}
	}
	return also
}

// woods returns the inputs of the materials that swell.
func woods() []*ask.Input {
	return slices.DeleteFunc(layers(), func(in *ask.Input) bool {
		_, ok := calc.WoodNamed(materials[in].Name)
		return !ok
	})
}

var grain = &ask.Input{Name: "grain", Kind: ask.ChoiceKind, What: "how the boards are sawn; how wide a part across the grain is stands with its wood, as oak 1050: spruce, pine, larch, oak, beech, ash, maple, walnut, teak, plywood, chipboard, MDF, OSB", Example: "quarter sawn",
	Choices: []ask.Choice{
		{Words: []string{"quarter sawn", "quartersawn", "radial"}, Value: "radial"},
		{Words: []string{"flat sawn", "flatsawn", "plain sawn", "tangential"}, Value: "tangential"},
	}}

var moistureChange = &ask.Input{Name: "moisture_change", Kind: ask.PercentKind, Signed: true, What: "change of the wood's moisture content, + if it gets damper", Example: "change +2 %",
	Words: []string{"change", "changes by …", "gains …", "… damper", "… wetter", "goes up …", "moisture goes up …", "moisture rises …", "moisture goes up by …", "picks up …", "picking up …", "takes up …", "takes on …", "gaining …", "gained …", "absorbs …", "moisture rises by …", "rises by …", "goes up by …"}}

var moistureLoss = &ask.Input{Name: "moisture_loss", Kind: ask.PercentKind, ByName: true, What: "what the wood's moisture content falls by", Example: "loses 3 %",
	Words: []string{"loses …", "losing …", "lost …", "… drier", "… dryer", "dries by …", "dries out by …", "drying by …", "drops by …", "falls by …", "goes down by …", "moisture falls by …", "moisture drops by …"}}

// fromTo are the words by which moisture goes from one content to another.
func fromTo(to string) []string {
	return fronted([]string{"goes ", "going ", "up ", "down ", "goes up ", "goes down ", "going up ", "going down ", "rises ", "rising ", "falls ", "falling ", "dries ", "drying ", "dries out "}, to)
}

var moistureBefore = &ask.Input{Name: "moisture_before", Kind: ask.PercentKind, ByName: true, Zero: true, What: "the wood's moisture content that it comes from", Example: "moisture before 8 %",
	Words: append(fromTo("from …"), "moisture before", "moisture was")}

var moistureAfter = &ask.Input{Name: "moisture_after", Kind: ask.PercentKind, ByName: true, Zero: true, What: "the moisture content that it comes to", Example: "moisture after 12 %",
	Words: append(fromTo("to …"), "moisture after"), Since: moistureBefore}

var humidityBefore = &ask.Input{Name: "humidity_before", Kind: ask.PercentKind, ByName: true, What: "relative humidity that the wood comes from", Example: "humidity before 55 %",
	Words: []string{"humidity before", "humidity from …", "{humidity|rh|relative humidity|air} {falls|drops|rises|goes|goes up|goes down|changes|} from …"}}

var humidityAfter = &ask.Input{Name: "humidity_after", Kind: ask.PercentKind, ByName: true, What: "relative humidity that it comes into", Example: "humidity after 30 %",
	Words: []string{"humidity after", "humidity to …", "{humidity|rh|relative humidity|air} {falls|drops|rises|goes|goes up|goes down|changes|} to …"}}

var temperatureBefore = &ask.Input{Name: "temperature_before", Warmest: warmestAir, Kind: ask.WarmthKind, ByName: true, Zero: true, What: "of the air that the wood comes from", Example: "temperature before 12 °C",
	Words: []string{"temperature before"}}

var temperatureAfter = &ask.Input{Name: "temperature_after", Warmest: warmestAir, Kind: ask.WarmthKind, ByName: true, Zero: true, What: "of the air that it comes into", Example: "temperature after 21 °C",
	Words: []string{"temperature after"}}

func answerMoisture(k *ask.Inquiry) {
	var parts []calc.Strip
	tangential := k.Word(grain) != "radial"
	if k.Q.Named(grain) == nil {
		k.AssumeWord(grain, "tangential", "flat sawn, which moves more")
	}
	for _, in := range woods() {
		w, _ := calc.WoodNamed(materials[in].Name)
		swelling := w.Radial
		if tangential {
			swelling = w.Tangential
		}
		for _, l := range k.Lengths(in) {
			parts = append(parts, calc.Strip{Width: l, Swelling: swelling})
			k.Working("%s of %s: %s", k.Show(l), say.Name(strings.ToLower(w.Name)), swelling)
		}
	}
	if len(parts) == 0 {
		k.A.Inputs = nil
		k.Fail("moisture also needs the wood with how wide it is across the grain, as oak 1050")
		k.A.Open = &ask.Open{Text: k.A.Asked, Verb: k.A.Verb}
		return
	}
	change, ok := dampened(k)
	if !ok {
		return
	}
	free := k.LengthOr(clearance, assumedClearance)
	m, err := calc.MoistureMovement(parts, change, free, k.Step(step))
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("movement", m.Movement)
	k.Plain("spare", m.Spare)
	k.Working("width × swelling × %s, added up: %s; of the clearance %s − %s = %s", change, k.Show(m.Movement.SetOut), k.Figure(free), k.Figure(m.Movement.Exact), k.Show(m.Spare))
	if m.Spare < 0 {
		k.Mention("that is more than the clearance: the leaf can jam")
	}
	k.Note("only parts whose grain runs up and down count, as the stiles of a frame; all of it is held against one gap. Wood follows the air in weeks to months: look at the gaps again after the first heating season")
	k.Source("swelling: DIN 68100, from memory")
	k.General("moisture", "set no gap by this alone: ask whoever made the leaf, and keep to the hardware maker's instructions")
}

// byComparison matches a word behind a number that may be of anything: 3 wetter.
var byComparison = regexp.MustCompile(`^\s*(?:wetter|damper|drier|dryer)`)

// dampened takes the change of moisture content, or works it out from the air
// before and after; false if more is asked for.
func dampened(k *ask.Inquiry) (calc.Percent, bool) {
	for _, in := range [...]*ask.Input{moistureChange, moistureLoss} {
		if v := k.Q.Named(in); v != nil && v.Num.Unit == lex.Bare && byComparison.MatchString(k.TextBehind(in)) {
			k.Fail("%s of what? give what its moisture content changes by with its unit, as change 3 %%", v.Num.Raw)
			return 0, false
		}
	}
	if k.Q.Named(moistureLoss) != nil {
		if k.Q.Named(moistureChange) != nil {
			k.Fail("does the wood get damper, or drier? give one of them")
			return 0, false
		}
		return -calc.Percent(k.Number(moistureLoss)), true
	}
	if k.Q.Named(moistureChange) != nil {
		if v := cmp.Or(k.Q.Named(moistureBefore), k.Q.Named(moistureAfter)); v != nil {
			k.Fail("%s beside a change of %s: give the change, or the moisture before and after", v.Num.Raw, calc.Percent(k.Number(moistureChange)))
			return 0, false
		}
		return calc.Percent(k.Number(moistureChange)), true
	}
	if k.Q.Named(moistureBefore) != nil || k.Q.Named(moistureAfter) != nil {
		return between(k)
	}
	need := k.Missing(humidityBefore, humidityAfter, temperatureBefore, temperatureAfter)
	if len(need) == 4 {
		k.Ask(say.F("or humidity and temperature of the air, before and after"), moistureChange)
		return 0, false
	}
	if len(need) > 0 {
		k.Ask(say.Text{}, need...)
		return 0, false
	}
	from, err := calc.WoodMoisture(calc.Temperature(k.Number(temperatureBefore)), calc.Percent(k.Number(humidityBefore)))
	if err != nil {
		k.Refuse(err)
		return 0, false
	}
	to, err := calc.WoodMoisture(calc.Temperature(k.Number(temperatureAfter)), calc.Percent(k.Number(humidityAfter)))
	if err != nil {
		k.Refuse(err)
		return 0, false
	}
	k.Working("wood comes from %s to %s", from, to)
	k.Source("moisture of wood in air: Wood Handbook (USDA FPL-GTR-190, 4-5), from memory")
	return to - from, true
}

// between takes the change from one moisture content to another; false if more is
// asked for.
func between(k *ask.Inquiry) (calc.Percent, bool) {
	for _, in := range []*ask.Input{humidityBefore, humidityAfter, temperatureBefore, temperatureAfter} {
		if k.Q.Named(in) != nil {
			k.Fail("is that the wood's moisture, or the air's humidity? say moisture before and after, or humidity and temperature before and after")
			return 0, false
		}
	}
	from, to := calc.Percent(k.Number(moistureBefore)), calc.Percent(k.Number(moistureAfter))
	if need := k.Missing(moistureBefore, moistureAfter); len(need) > 0 {
		k.Ask(say.F("a change goes from one to the other"), need...)
		return 0, false
	}
	change, err := calc.MoistureChange(from, to)
	if err != nil {
		k.Refuse(err)
		return 0, false
	}
	k.Working("the wood goes from %s to %s: %s", from, to, change)
	return change, true
}
