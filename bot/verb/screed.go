package verb

import (
	"strconv"

	"heelpost/bot/ask"
	"heelpost/calc"
)

var askScreed = &ask.Verb{
	Name: "screed", Summary: "how long a screed dries, when its heating may be tried, and whether a reading lets the work begin",
	AskedBy:  []string{"how long", "how long before", "how long until", "how long till", "how long after"},
	Words:    []string{"screed", "screed laid", "screed poured", "screed down", "when will it dry", "when will that be dry", "when does it dry", "when can we drill", "when can i drill", "when can we start", "can we start", "can i start", "when is it dry enough", "when will it be dry", "how long till we can drill", "how long until we can drill", "screed dry", "dry when", "screed drying", "screed ready", "how many days", "how many weeks", "how many days drying", "drying", "how long till it is dry", "how long till it's dry", "how long till its dry", "how long till dry", "how long until it is dry", "drying time", "how long does it dry", "how long must it dry", "how long does it need to dry", "how long does it have to dry", "how long to dry", "when is it dry", "is it dry", "dry enough", "is it dry enough"},
	Front:    map[string]*ask.Input{"screed": screedThickness, "screed laid": screedThickness, "screed poured": screedThickness, "screed down": screedThickness, "screed dry": screedThickness, "screed drying": screedThickness, "screed ready": screedThickness},
	Claims:   map[string]*ask.Input{"screed": screedThickness},
	Typed:    screedThickness,
	Leads:    map[string]*ask.Input{"screed": screedThickness},
	Everyday: []string{"screed"},
	Need:     []*ask.Input{screedThickness, screedKind},
	Takes:    []*ask.Input{screedThickness, screedKind, moistureReading, newerLimit},
	Example:  "cement screed 60 thick, heated, reading 1.9 %", Exact: "screed screed_thickness=60 cement heated moisture_reading=1.9 %",
	Answer: answerScreed,
}

var screedThickness = &ask.Input{Name: "screed_thickness", What: "thickness of the screed", Example: "60",
	Words: []string{"thickness", "… thick"}}

var screedKind = &ask.Input{Name: "screed_kind", Kind: ask.ChoiceKind, What: "what binds it: cement or calcium sulphate", Example: "cement",
	Choices: []ask.Choice{
		{Words: []string{"cement", "sand cement", "sand and cement", "cementitious"}, Value: "cement"},
		{Words: []string{"calcium sulphate", "calcium sulfate", "anhydrite"}, Value: "calcium_sulphate"},
	}}

var moistureReading = &ask.Input{Name: "moisture_reading", Kind: ask.PercentKind, Zero: true, What: "what the carbide method reads, in CM-%%", Example: "reading 1.9 %",
	Words: []string{"reading", "moisture reading", "carbide …", "reads …"}}

var newerLimit = &ask.Input{Name: "newer_limit", Kind: ask.FlagKind, What: "heated calcium sulphate by 0.5 in place of 0.3 CM-%%", Example: "newer limit",
	Choices: []ask.Choice{
		{Words: []string{"newer limit"}, Value: "yes"},
	}}

func answerScreed(k *ask.Inquiry) {
	in := calc.ScreedInput{Thickness: k.Length(screedThickness)}
	if k.Word(screedKind) == "calcium_sulphate" {
		in.Kind = calc.CalciumSulphateScreed
	}
	in.Heated = k.Q.Named(heated) != nil || k.Word(heated) != ""
	in.NewerLimit = k.Word(newerLimit) != ""
	in.Read = k.Q.Named(moistureReading) != nil
	in.Reading = calc.Percent(k.Number(moistureReading))
	s, err := calc.ScreedReady(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	switch {
	case !in.Read:
		k.Headline("%s days to dry by the rule of thumb; not ready until it is read", s.Days)
	case s.Ready:
		k.Headline("dry enough: %s is within %s", in.Reading, s.Limit)
	default:
		k.Headline("not ready: %s is more than %s", in.Reading, s.Limit)
	}
	k.Truth("ready", s.Ready)
	k.NumberResult("days", float64(s.Days), float64(s.Days), "d", strconv.Itoa(s.Days))
	k.NumberResult("limit", float64(s.Limit), float64(s.Limit), "CM-%", s.Limit.String())
	if in.Heated {
		k.NumberResult("heating_days", float64(s.HeatingDays), float64(s.HeatingDays), "d", strconv.Itoa(s.HeatingDays))
		k.Mention("its functional heating begins after %s days at the earliest and is over before anything is drilled: ask for its record", s.HeatingDays)
		k.Source("functional heating: EN 1264-4, from memory")
	} else if !k.Has(heated) {
		k.Suppose("not heated", "not heated")
	}
	k.Working("a day for each mm up to 40 mm, two beyond: %s take %s days", k.Show(in.Thickness), s.Days)
	k.Source("days: the slower of the published rules of thumb, BS 5385-3:2014 and others; limits: DIN 18560-1 and EN 1264-4:2021, table 2")
	k.Note("the days hold for about 20 °C and at most 65 %% of humidity, and never replace a reading")
	k.General("locate", locate)
}
