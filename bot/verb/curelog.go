package verb

import (
	"math"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

// cureLog tells how far a bond has come by what was read since.
func cureLog(k *ask.Inquiry, a calc.Adhesive) {
	stretches, ok := takeLog(k)
	if !ok {
		return
	}
	next := stretches[len(stretches)-1].T
	if k.Q.Named(temperature) != nil {
		next = calc.Temperature(k.Number(temperature))
	}
	if !k.Has(lowest) {
		k.Ask(say.F("time below it counts nothing"), lowest)
		return
	}
	a.Lowest = takeLowest(k)
	for _, s := range append(stretches, calc.Stretch{T: next}) {
		if s.T < a.Lowest {
			k.Refuse(tooCold(s.T, a.Lowest))
			return
		}
	}
	counted, err := a.EquivalentHours(stretches)
	if err != nil {
		k.Refuse(err)
		return
	}
	tellLog(k, &a, stretches, counted, next)
	cureCautions(k)
}

// takeLog takes the stretches in the order they were typed in; false if a
// temperature has no hours, or hours no temperature.
func takeLog(k *ask.Inquiry) ([]calc.Stretch, bool) {
	warmth, at := k.Numbers(loggedWarmth), k.Places(loggedWarmth)
	hours, behind := k.Numbers(loggedHours), k.Places(loggedHours)
	var all []calc.Stretch
	paired := len(warmth) == len(hours) && len(hours) > 0
	for i := 0; paired && i < len(warmth); i++ {
		paired = at[i] < behind[i] && (i+1 == len(warmth) || behind[i] < at[i+1])
		all = append(all, calc.Stretch{T: calc.Temperature(warmth[i]), For: calc.Hours(hours[i])})
	}
	if !paired {
		k.Fail("say each temperature with its hours behind it, as logged 20 over 4 h, later 13 over 9 h")
	}
	return all, paired
}

// tellLog tells what counts, and what is left.
func tellLog(k *ask.Inquiry, a *calc.Adhesive, stretches []calc.Stretch, counted calc.Hours, next calc.Temperature) {
	for _, s := range stretches {
		k.Working("%s at %s go %s times as fast as at %s", s.For, s.T, calc.Number(math.Floor(a.Rate(s.T)*1000)/1000), a.Ref)
	}
	tellCounted(k, a, counted, next)
	k.Note("each stretch counts at the temperature that was said: say the coldest of it, nights too; never less than the sheet's hours in all")
}

// tellCounted tells how far the hours that count have come, and what is left of
// the sheet's at a temperature that stays.
func tellCounted(k *ask.Inquiry, a *calc.Adhesive, counted calc.Hours, next calc.Temperature) {
	down := math.Floor(float64(counted)*10*(1+1e-12)) / 10
	share := math.Min(100, math.Floor(100*float64(counted/a.Base)))
	k.NumberResult("equivalent_hours", down, float64(counted), "h", calc.Hours(down).String())
	k.NumberResult("progress", share, float64(100*counted/a.Base), "%", calc.Percent(share).String())
	if counted >= a.Base {
		k.Headline("the sheet's %s have passed by this log: check the control sample", a.Base)
	} else {
		left := float64(a.Base-counted) / a.Rate(next)
		told := math.Ceil(left*60*(1-1e-12)) / 60
		k.NumberResult("hours_left", told, left, "h", hoursText(told))
		k.HideLast()
		k.Headline("%s more if it stays at %s or above", hoursText(told), next)
		k.Working("that is worth %s of the %s; the rest at %s takes %s", calc.Hours(down), a.Base, next, hoursText(told))
	}
	if len(a.Table) == 0 {
		k.Source("twice the time for every 10 K below the reference temperature: from memory")
	} else {
		k.Source("the adhesive's own table")
	}
}
