package bot

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"heelpost/calc"
)

func answerLift(k *inquiry) {
	mass := calc.Mass(k.number("mass"))
	if k.q.named("estimated") != nil || k.q.named("mass") == nil && k.has("estimated") {
		k.word("estimated")
		k.working("estimated: %v and a tenth more = %v", mass, mass.Counted(true))
		mass = mass.Counted(true)
	}
	if t := k.door["thickness"].length; t != 0 {
		if _, err := calc.ImpliedDensity(mass, k.door["width"].length, k.door["leaf_height"].length, t); err != nil {
			k.refuse(err)
			return
		}
	}
	single := calc.DefaultSingle
	if k.has("single") {
		single = calc.Mass(k.number("single"))
	} else {
		k.assume(Given{Name: "single", Kind: NumberValue, Number: float64(single), Unit: "kg", Shown: single.String()}, "one person lifts "+single.String()+" alone")
	}
	l, err := calc.Team(mass, single)
	if err != nil {
		k.refuse(err)
		return
	}
	switch l.People {
	case 0:
		k.a.Headline = "lifting gear: no team may lift " + mass.String() + " by hand"
	case 1:
		k.a.Headline = "one person at least, or lifting gear"
	default:
		k.a.Headline = fmt.Sprintf("%d people at least, %v each, or lifting gear", l.People, l.Share)
	}
	if l.People > 0 {
		k.numberResult("people_needed", float64(l.People), float64(l.People), "", strconv.Itoa(l.People))
		k.numberResult("share_each", float64(l.Share), float64(mass)/float64(l.People), "kg", l.Share.String())
	}
	k.numberResult("team_limit", float64(l.Limit), float64(l.Limit), "kg", l.Limit.String())
	limits := calc.TeamLimits(single)
	k.working("one lifts %v, two 2/3 of 2 × %v = %v, three 1/2 of 3 × %v = %v; for more no factor is published", limits[0], single, limits[1], single, limits[2])
	k.source("team factors: HSE L23, 4th ed. 2016, para 120")
	if single == calc.DefaultSingle {
		k.source("what one person lifts: its guideline filter, from memory")
	}
	k.caution("the factors are for compact loads near the body: a tall leaf is worse. Make a lifting plan, with props and nobody in the zone it can fall into; the hardware maker's instructions and local rules come first")
}

func answerCure(k *inquiry) {
	d, bonded := k.door[bondedDoor]
	switch ends := len(d.results) > 0 && d.results[0].Name == "ready_at"; {
	case bonded && !ends: // no hours are told for a cure that can't be
		k.a.Error = d.word
		return
	case bonded && len(k.q.values) > 0:
		k.note("the door's own cure: %s", d.word)
	case bonded:
		k.a.Headline = d.word
		k.a.Results = append(k.a.Results, d.results...)
		k.cureCautions()
		return
	}
	own := k.q.named("base") == nil && k.q.named("reference") == nil
	a := calc.Adhesive{Base: calc.Hours(k.number("base")), Ref: calc.Temperature(k.number("reference"))}
	t := calc.Temperature(k.number("temperature"))
	switch {
	case k.has("lowest"):
		a.Lowest = calc.Temperature(k.number("lowest"))
		if sheet, ok := k.door["lowest"]; ok { // which holds whatever is typed
			a.Lowest = max(a.Lowest, calc.Temperature(sheet.number))
		}
	default:
		a.Lowest = min(t, a.Ref)
		k.note("the coldest that the adhesive takes is not checked: give its lowest")
	}
	if own {
		a.Table = k.door["base"].table
	}
	if t < a.Lowest {
		k.refuse(&calc.RangeError{Name: "temperature", Value: t, Bound: calc.AtLeast, Limit: a.Lowest, Why: "colder, no hour counts and the cure can't be told; the adhesive's maker has to be asked"})
		return
	}
	begin := time.Unix(0, 0)
	c, err := a.Cure(begin, []calc.Warmth{{At: begin, T: t}}, begin)
	if rng, ok := errors.AsType[*calc.RangeError](err); ok {
		switch {
		case rng.Name == "ref":
			rng.Name = "reference"
		case rng.Name == "lowest" && !k.has("lowest"): // the temperature stands for it
			rng.Name = "temperature"
		}
	}
	if err != nil {
		k.refuse(err)
		return
	}
	told := math.Ceil(float64(c.Needed)*60*(1-1e-12)) / 60
	k.numberResult("hours_needed", told, float64(c.Needed), "h", hoursText(told))
	k.a.Headline = hoursText(told) + " from the bonding"
	switch {
	case len(a.Table) > 0:
		k.working("by the adhesive's own table at %v: %s", t, hoursText(told))
	case t >= a.Ref:
		k.working("%v is not colder than %v: the sheet's %v, never less", t, a.Ref, a.Base)
	default:
		k.working("%v is %s K below %v: %v × 2^(%[2]s/10) = %[5]s", t, strconv.FormatFloat(float64(a.Ref-t), 'g', 6, 64), a.Ref, a.Base, hoursText(told))
	}
	if len(a.Table) == 0 {
		k.source("twice the time for every 10 K below the reference temperature: from memory")
	}
	k.cureCautions()
}

func (k *inquiry) cureCautions() {
	k.caution("these are the sheet's hours: when they have passed, check the control sample before anything is loaded",
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

func answerPlumb(k *inquiry) {
	if d, ok := k.door["leaf_height"]; ok {
		k.door["height"] = d // not the opening's
	}
	height, own := k.length("height"), k.length("limit")
	limit, err := calc.PlumbLimit(height, own)
	if err != nil {
		k.refuse(err)
		return
	}
	told := calc.Dimension{Exact: limit, SetOut: limit}
	if k.q.inches {
		told.SetOut = limit.Down(inchStep)
	}
	k.result("plumb_limit", told)
	switch {
	case k.q.named("limit") != nil:
		k.working("the limit that was given: %s", k.setOut(told))
	case own != 0:
		k.working("the hardware sheet's own limit: %s", k.setOut(told))
		k.source("the hardware sheet")
	default:
		k.working("1.5 mm a metre × %s, at most 3 mm: %s", k.show(height), k.setOut(told))
		k.source(plumbSource)
	}
	k.caution("plumb the head plate's centre up from the floor plate's, never measure it from the jamb")
}
