package verb

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"heelpost/bot/ask"
	"heelpost/calc"
)

func answerLift(k *ask.Inquiry) {
	mass := calc.Mass(k.Number("mass"))
	if k.Q.Named("estimated") != nil || k.Q.Named("mass") == nil && k.Has("estimated") {
		k.Word("estimated")
		k.Working("estimated: %v and a tenth more = %v", mass, mass.Counted(true))
		mass = mass.Counted(true)
	}
	if t := k.Door["thickness"].Length; t != 0 {
		if _, err := calc.ImpliedDensity(mass, k.Door["width"].Length, k.Door["leaf_height"].Length, t); err != nil {
			k.Refuse(err)
			return
		}
	}
	single := calc.DefaultSingle
	if k.Has("single") {
		single = calc.Mass(k.Number("single"))
	} else {
		k.Assume(ask.Given{Name: "single", Kind: ask.NumberValue, Number: float64(single), Unit: "kg", Shown: single.String()}, "one person lifts "+single.String()+" alone")
	}
	l, err := calc.Team(mass, single)
	if err != nil {
		k.Refuse(err)
		return
	}
	switch l.People {
	case 0:
		k.A.Headline = "lifting gear: no team may lift " + mass.String() + " by hand"
	case 1:
		k.A.Headline = "one person at least, or lifting gear"
	default:
		k.A.Headline = fmt.Sprintf("%d people at least, %v each, or lifting gear", l.People, l.Share)
	}
	if l.People > 0 {
		k.NumberResult("people_needed", float64(l.People), float64(l.People), "", strconv.Itoa(l.People))
		k.NumberResult("share_each", float64(l.Share), float64(mass)/float64(l.People), "kg", l.Share.String())
	}
	k.NumberResult("team_limit", float64(l.Limit), float64(l.Limit), "kg", l.Limit.String())
	limits := calc.TeamLimits(single)
	k.Working("one lifts %v, two 2/3 of 2 × %v = %v, three 1/2 of 3 × %v = %v; for more no factor is published", limits[0], single, limits[1], single, limits[2])
	k.Source("team factors: HSE L23, 4th ed. 2016, para 120")
	if single == calc.DefaultSingle {
		k.Source("what one person lifts: its guideline filter, from memory")
	}
	k.Caution("the factors are for compact loads near the body: a tall leaf is worse. Make a lifting plan, with props and nobody in the zone it can fall into; the hardware maker's instructions and local rules come first")
}

func answerCure(k *ask.Inquiry) {
	d, bonded := k.Door[ask.BondedDoor]
	switch ends := len(d.Results) > 0 && d.Results[0].Name == "ready_at"; {
	case bonded && !ends: // no hours are told for a cure that can't be
		k.A.Error = d.Word
		return
	case bonded && len(k.Q.Values) > 0:
		k.Note("the door's own cure: %s", d.Word)
	case bonded:
		k.A.Headline = d.Word
		k.A.Results = append(k.A.Results, d.Results...)
		cureCautions(k)
		return
	}
	own := k.Q.Named("base") == nil && k.Q.Named("reference") == nil
	a := calc.Adhesive{Base: calc.Hours(k.Number("base")), Ref: calc.Temperature(k.Number("reference"))}
	t := calc.Temperature(k.Number("temperature"))
	switch {
	case k.Has("lowest"):
		a.Lowest = calc.Temperature(k.Number("lowest"))
		if sheet, ok := k.Door["lowest"]; ok { // which holds whatever is typed
			a.Lowest = max(a.Lowest, calc.Temperature(sheet.Number))
		}
	default:
		a.Lowest = min(t, a.Ref)
		k.Note("the coldest that the adhesive takes is not checked: give its lowest")
	}
	if own {
		a.Table = k.Door["base"].Table
	}
	if t < a.Lowest {
		k.Refuse(&calc.RangeError{Name: "temperature", Value: t, Bound: calc.AtLeast, Limit: a.Lowest, Why: "colder, no hour counts and the cure can't be told; the adhesive's maker has to be asked"})
		return
	}
	begin := time.Unix(0, 0)
	c, err := a.Cure(begin, []calc.Warmth{{At: begin, T: t}}, begin)
	if rng, ok := errors.AsType[*calc.RangeError](err); ok {
		switch {
		case rng.Name == "ref":
			rng.Name = "reference"
		case rng.Name == "lowest" && !k.Has("lowest"): // the temperature stands for it
			rng.Name = "temperature"
		}
	}
	if err != nil {
		k.Refuse(err)
		return
	}
	told := math.Ceil(float64(c.Needed)*60*(1-1e-12)) / 60
	k.NumberResult("hours_needed", told, float64(c.Needed), "h", hoursText(told))
	k.A.Headline = hoursText(told) + " from the bonding"
	switch {
	case len(a.Table) > 0:
		k.Working("by the adhesive's own table at %v: %s", t, hoursText(told))
	case t >= a.Ref:
		k.Working("%v is not colder than %v: the sheet's %v, never less", t, a.Ref, a.Base)
	default:
		k.Working("%v is %s K below %v: %v × 2^(%[2]s/10) = %[5]s", t, strconv.FormatFloat(float64(a.Ref-t), 'g', 6, 64), a.Ref, a.Base, hoursText(told))
	}
	if len(a.Table) == 0 {
		k.Source("twice the time for every 10 K below the reference temperature: from memory")
	}
	cureCautions(k)
}

func cureCautions(k *ask.Inquiry) {
	k.Caution("these are the sheet's hours: when they have passed, check the control sample before anything is loaded",
		"the coldest hour counts, nights too: measure the substrate; the adhesive maker's instructions come first")
}

// hoursText tells hours to the minute.
func hoursText(h float64) string {
	minutes := int(math.Round(h * 60))
	if minutes%60 == 0 {
		return strconv.Itoa(minutes/60) + " h"
	}
	return fmt.Sprintf("%d h %d min", minutes/60, minutes%60)
}

const plumbSource = "a test institute's tolerance for installing, stated beside the force classes of EN 12217"

func answerPlumb(k *ask.Inquiry) {
	if d, ok := k.Door["leaf_height"]; ok {
		k.Door["height"] = d // not the opening's
	}
	height, own := k.Length("height"), k.Length("limit")
	limit, err := calc.PlumbLimit(height, own)
	if err != nil {
		k.Refuse(err)
		return
	}
	told := calc.Dimension{Exact: limit, SetOut: limit}
	if k.Q.Inches {
		told.SetOut = limit.Down(ask.InchStep)
	}
	k.Result("plumb_limit", told)
	switch {
	case k.Q.Named("limit") != nil:
		k.Working("the limit that was given: %s", k.SetOut(told))
	case own != 0:
		k.Working("the hardware sheet's own limit: %s", k.SetOut(told))
		k.Source("the hardware sheet")
	default:
		k.Working("1.5 mm a metre × %s, at most 3 mm: %s", k.Show(height), k.SetOut(told))
		k.Source(plumbSource)
	}
	k.Caution("plumb the head plate's centre up from the floor plate's, never measure it from the jamb")
}
