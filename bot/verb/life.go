package verb

import (
	"math"
	"strconv"
	"time"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askLife = &ask.Verb{
	Name: "life", Summary: "how many years a pivot's cycles last, and how often it is looked after",
	AskedBy: []string{"how long", "when", "how many years", "how often"},
	Things:  []string{"years"},
	Also:    map[string]*ask.Input{"opens …": perDay, "opened …": perDay, "is opened …": perDay, "gets opened …": perDay, "used …": perDay, "gets used …": perDay},
	Words: []string{"life", "how long will bearing last", "how long does bearing last", "how long will bearings last", "how long will it hold", "how long will pivots last", "how long do pivots last", "years will it last", "how many years is that", "when is it worn out", "last how long", "lifetime", "service life", "service interval", "how long does it last", "how long will it last", "how many years", "how long will pivot last", "how long does pivot last", "how long do they last", "does it last", "do they last", "will it last", "how many years does it last", "how many years will it last",
		"{how long|how many years|how many months|when|when will|when is|when does} {will|does|do|should|is|it|} {it|pivot|bearing|that|they|pivots|hinge|} {last|hold|live|worn out|used up|through|wear out|need replacing|be done|be worn out|last for|finished|at end}",
		"{how many years|how long} {is|does|will|would} {that|it|this|pivot} {|last|hold|make|give|be}", "how often {is|does|do|must|should} {it|that|pivot|they|we} {serviced|looked after|need service|need servicing|be serviced|service it}", "how often is that", "years", "worn out",
	},
	Everyday: []string{"life", "lifetime"},
	Need:     []*ask.Input{cycles, perDay},
	Instead:  map[*ask.Input][]*ask.Input{perDay: {perWeek}},
	Takes:    []*ask.Input{cycles, perDay, perWeek, cyclesDone, serviceCycles, serviceMonths},
	Example:  "life of 500000 cycles at 60 a day", Exact: "life cycles=500000 per_day=60",
	Answer: answerLife,
}

var cycles = &ask.Input{Name: "cycles", Kind: ask.CountKind, Many: true, ByName: true, What: "openings and closings that the pivot is good for", Example: "500000 cycles",
	Words: []string{"rated at …", "rated for …", "… operations", "… openings", "cycles overall", "cycles in all", "cycles in total", "cycles altogether", "opening cycles", "open close cycles", "cycles", "cycles last", "cycles last at", "openings and closings", "good for …"}}

var perDay = &ask.Input{Name: "per_day", Rough: true, Kind: ask.CountKind, Many: true, ByName: true, What: "cycles a day", Example: "60 a day",
	Words: []string{"… day", "… per day", "… times day", "… cycles day", "… cycles per day", "… daily", "… openings day", "… openings per day", "… times per day", "… cycles daily", "… {|times|cycles|openings|uses|operations|passages|movements|swings} {per|every|} day", "… {|times|cycles|openings|uses|operations} daily"}}

var perWeek = &ask.Input{Name: "per_week", Rough: true, Kind: ask.CountKind, Many: true, ByName: true, What: "cycles a week", Example: "400 a week",
	Words: []string{"… week", "… per week", "… times week", "… cycles week", "… weekly", "… openings week", "… {|times|cycles|openings|uses|operations|passages} {per|every|} week", "… {|times|cycles|openings|uses} weekly"}}

var cyclesDone = &ask.Input{Name: "cycles_done", Kind: ask.CountKind, Many: true, ByName: true, Zero: true, What: "cycles that it has done", Example: "cycles done 40000",
	Words: []string{"cycles done", "… so far"}}

var serviceCycles = &ask.Input{Name: "service_cycles", Along: []string{"cycles"}, Kind: ask.CountKind, Many: true, ByName: true, What: "cycles after which the maker wants a service", Example: "service cycles 20000",
	Words: []string{"service cycles", "service every …", "serviced every …", "service after …", "service at …"}}

var serviceMonths = &ask.Input{Name: "service_months", Kind: ask.CountKind, ByName: true, What: "months after which the maker wants a service", Example: "service months 6",
	Words: []string{"service months", "… months"}}

func answerLife(k *ask.Inquiry) {
	good, day := calc.Number(k.Number(cycles)), calc.Number(k.Number(perDay))
	if week := calc.Number(k.Number(perWeek)); week > 0 {
		if day > 0 {
			k.Fail("give the cycles a day or a week, one of them")
			return
		}
		day = week / 7
		k.Working("%s a week / 7 = %s a day", week, day)
	}
	done := calc.Number(k.NumberOr(cyclesDone, 0, "none done yet"))
	l, err := calc.LifeOf(good, done, day)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Headline("%s, at %s a day", say.Count(l.Years, "1 year", "%s years"), day)
	if l.Years == 0 {
		k.Headline("%s, at %s a day", say.Count(l.Days, "1 day", "%s days"), day)
	}
	k.NumberResult("years", float64(l.Years), float64(l.Days)/365, "a", strconv.Itoa(l.Years))
	k.NumberResult("days", float64(l.Days), float64(l.Days), "d", strconv.Itoa(l.Days))
	k.NumberResult("cycles", float64(l.Cycles), float64(l.Cycles), "", l.Cycles.String())
	k.Working("(%s − %s) / %s a day = %s days = %s years of 365 days", good, done, day, l.Days, l.Years)
	if !serviceDue(k, day) {
		return
	}
	classes(k, good)
	k.Source("cycles over cycles a day: common practice, no published source")
	k.General("life", "no class is a promise: dirt, wet, wind and a wrong adjustment wear a pivot sooner. Look after it by the hardware maker's instructions, which come first")
}

// serviceDue tells how often the pivot is looked after; false if it is refused.
func serviceDue(k *ask.Inquiry, day calc.Number) bool {
	months := k.Number(serviceMonths)
	if months != math.Trunc(months) {
		k.Fail("months come in whole numbers, not %s", calc.Number(months))
		return false
	}
	s := calc.ServiceInterval{Cycles: calc.Number(k.Number(serviceCycles)), Months: int(months)}
	if s == (calc.ServiceInterval{}) {
		s = calc.DefaultService
		k.Note("service every %s months where the maker says nothing: common practice, no published source", s.Months)
		return true
	}
	from := time.Unix(0, 0).UTC()
	if _, err := s.Next(from, day); err != nil {
		k.Refuse(err)
		return false
	}
	if s.Cycles == 0 {
		return true
	}
	next, err := calc.ServiceInterval{Cycles: s.Cycles}.Next(from, day)
	if err != nil {
		k.Refuse(err)
		return false
	}
	days := int(next.Sub(from).Hours() / 24)
	k.NumberResult("service_days", float64(days), float64(s.Cycles/day), "d", strconv.Itoa(days))
	k.Working("service: %s / %s a day = %s days", s.Cycles, day, days)
	if s.Months > 0 {
		k.Mention("service after %s days or %s months, whichever comes first", days, s.Months)
	}
	return true
}

// classes tells the highest class of each standard that asks for no more cycles.
func classes(k *ask.Inquiry, good calc.Number) {
	var of []calc.CycleClass
	for _, c := range calc.CycleClasses {
		switch last := len(of) - 1; {
		case calc.Number(c.Cycles) > good:
		case last >= 0 && of[last].Standard == c.Standard:
			of[last] = c
		default:
			of = append(of, c)
		}
	}
	var all []say.Text
	for _, c := range of {
		from := say.F("from memory")
		if c.Standard == "EN 1154" {
			from = say.F("second hand")
		}
		all = append(all, say.F("%s class %s (%s, %s)", c.Standard, c.Class, c.Cycles, from))
	}
	if len(all) > 0 {
		k.Note("classes of no more cycles: %s; no standard covers a floor pivot by name, so they are an analogy", say.List(all...))
	}
}
