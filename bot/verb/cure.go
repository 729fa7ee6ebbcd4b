package verb

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askCure = &ask.Verb{
	Name: "cure", Summary: "how long an adhesive takes in the cold",
	AskedBy: []string{"how long", "how many hours", "how much longer", "when"},
	Words: []string{"cure", "harden", "hardened", "how many hours must glue harden", "how long must glue harden", "how long does glue harden", "must harden", "how long before it is hard", "how long till its hard", "how many hours until it is hard", "when will it be cured", "when will it be ready", "how many hours till cured", "how long to harden", "go off", "gone off", "how long till it goes off", "when does it go off", "setting time", "how long does it take to cure", "curing", "cures", "cure time", "curing time", "how long to cure", "how long does it cure", "is cure over", "when is cure over", "hardening", "how long does glue cure", "glue cure", "glue cures", "glue curing", "when is it hard", "when will it be hard", "how long till it is hard", "how long must i wait", "how long do i wait", "how long do i have to wait", "how long do we wait", "how long to wait", "how long till i can hang", "how long until i can hang", "how long before i can hang", "when can i hang", "when can we hang", "when can i load", "how long till it is cured", "when is it cured", "when's it hard", "when's it cured", "when can it be loaded", "how warm must it be", "how warm must floor be", "how warm does it have to be", "what temperature does it need",
		"{how long|how many hours|how much longer} {until|till|til|before|for} {it|its|it's|glue|adhesive|resin|bond|plate|pins|they} {is|are|be|to be|gets|} {hard|cured|ready|set|safe|usable|good|done|through}",
		"{when|when's|when is|when are|when will} {it|glue|adhesive|resin|bond|plate|pins|they} {be|} {hard|cured|ready|set|safe|usable|good|done}",
		"{how long|when|how many hours|how soon} {before|until|till|til|can|may|do|should|must|will|} {i|we|you|he|they} {can|have to|need to|must|to|} {hang|load|touch|use|leave|wait|give|put weight on|stress|walk on|work on|carry on} {it|them|on|}",
		"{when|how soon} can {it|this|that|they|plate|pivot|joint} be {hung|loaded|touched|used|stressed|hard|ready}",
		"{how long|how many hours|what time} {does|will|do|must|should|to} {it|that|this|they|glue|adhesive|resin|bond|} {take|need|harden|cure|set|go off} {to cure|to harden|to set|to go off|for|at|in|now|}",
		"{curing|hardening|setting|cure} {hours|time|times}",
	},
	Everyday: []string{"cure", "curing", "cures", "hardening"},
	Need:     []*ask.Input{base, reference, temperature},
	Instead:  map[*ask.Input][]*ask.Input{temperature: {loggedWarmth, fallsTo, within}},
	Also:     map[string]*ask.Input{"concrete": temperature, "concrete at …": temperature, "screed": temperature, "screed at …": temperature, "subfloor": temperature, "base plate": temperature, "over …": loggedHours, "floor": temperature, "slab": temperature, "at …": reference, "slab reads …": temperature, "floor reads …": temperature, "floor at …": temperature, "slab at …": temperature, "floor is at …": temperature, "slab is at …": temperature, "substrate at …": temperature, "substrate measured at …": temperature, "floor measured at …": temperature, "slab measured at …": temperature, "measured at …": temperature, "substrate is at …": temperature, "… in here": temperature, "… down here": temperature, "… in there": temperature, "… in basement": temperature, "… in cellar": temperature, "… in building": temperature, "… in shell": temperature, "… in hall": temperature, "… in room": temperature, "… on site": temperature, "floor temp": temperature, "slab temp": temperature, "slab temperature": temperature, "concrete temperature": temperature, "concrete temp": temperature, "substrate temp": temperature, "concrete reads …": temperature, "concrete is at …": temperature, "screed reads …": temperature, "substrate reads …": temperature, "thermometer reads …": temperature, "thermometer says …": temperature, "… out here": temperature, "sub": temperature, "coldest it takes …": lowest},
	Takes:    []*ask.Input{base, reference, temperature, airTemperature, fallsTo, lowest, within, loggedWarmth, loggedHours},
	Frames:   []ask.Frame{{First: base, Second: reference, Between: append(ways("{|if|when|quoted|given|stated|rated|is quoted|are quoted|is given|are given|cure|curing time|to cure|product} {at|for|@|based on}", "{if|when|where} {it's|its|it is|floor is|temperature is|room is|warm} {|at}"), "@")}},
	Away:     map[*ask.Input]*ask.Input{reference: temperature}, AwayFrom: ask.HoursKind,
	Timed:   temperature,
	Example: "cure 18 hours, reference 21 °C, substrate 11 °C", Exact: "cure base=18 reference=21 temperature=11",
	Answer: answerCure, Refuses: coldReference,
}

// leastReference is from where on "18 hours at 21" is what an adhesive's sheet
// says: sheets give their hours for a warm room, by common practice.
const leastReference = 15

// inHere says where it is so warm, and not what: the floor that was said before
// may still be colder.
var inHere = regexp.MustCompile(`(?i)\b(?:in|down|out|up) t?here\b`)

// coldReference asks about a temperature behind "at" that may be the one now, and
// about one that goes on from another and may be of the air.
func coldReference(k *ask.Inquiry) bool {
	if inHere.MatchString(k.GoesOn()) && k.Q.Named(temperature) != nil {
		k.Fail("is that the floor, or the air? the colder counts: say which, for example floor 11 or air 11")
		return true
	}
	v := k.Q.Named(reference)
	if v == nil || saysReference.MatchString(k.Says()) {
		return false
	}
	if m := ofHours.FindStringSubmatch(k.Says()); m != nil && !strings.HasPrefix(v.Num.Raw, m[1]) {
		k.Fail("%s or %s: which of them are the sheet's hours given for? say reference before it", v.Num.Raw, m[1])
		return true
	}
	if v.Num.Plain >= leastReference {
		return false
	}
	k.Fail("%s: is that what the sheet's hours are given for, or how cold it is? say reference or temperature before it", v.Num.Raw)
	return true
}

// ofHours matches the temperature right behind hours: 20 hours for 22 °C.
var ofHours = regexp.MustCompile(`(?i)\d\s*(?:h|hrs?|hours?)\b[\s,]*(?:at|@|for)\s+(-?\d+(?:\.\d+)?)`)

var saysReference = regexp.MustCompile(`(?i)\bref`)

var base = &ask.Input{Name: "base", Kind: ask.HoursKind, What: "hours that the adhesive's sheet gives, at its reference temperature", Example: "18 h",
	Words: []string{"base", "base hours", "sheet hours", "sheet gives …", "sheet says …", "tin says …", "tub says …", "tube says …", "label says …", "maker says …", "pot says …", "box says …"}}

// Above these a temperature without a unit is asked about: sheets give their hours
// for a warm room, the coldest that an adhesive takes is colder than that, and a
// floor or air in °C is as warm as a hot day. Common practice, no published source.
const (
	warmestRoom  = 30
	warmestFloor = 35
	warmestLeast = 25
	warmestAir   = 50 // anywhere, or of a leaf in its shade
)

var reference = &ask.Input{Name: "reference", Zero: true, Warmest: warmestRoom, Kind: ask.WarmthKind, What: "temperature that the sheet's hours are given for", Example: "reference 21 °C",
	Words: []string{"reference", "reference temperature", "ref"}}

var lowest = &ask.Input{Name: "lowest", Zero: true, Warmest: warmestLeast, ByName: true, Kind: ask.WarmthKind, What: "coldest that the adhesive takes", Example: "lowest 7 °C",
	Words: []string{"lowest", "lowest temperature", "minimum", "minimum temperature", "coldest …", "not below …", "never below …", "no colder than …", "min temperature", "min temp"}}

var temperature = &ask.Input{Name: "temperature", Zero: true, Warmest: warmestFloor, Kind: ask.WarmthKind, What: "of the substrate, or of the air if that is colder", Example: "temperature 11 °C",
	Words: []string{"temperature", "temp", "substrate", "substrate temperature", "floor temperature"}}

var airTemperature = &ask.Input{Name: "air_temperature", Zero: true, Warmest: warmestFloor, ByName: true, Kind: ask.WarmthKind, What: "of the air, which counts where it is colder than the substrate", Example: "air 9 °C",
	Words: []string{"air", "air temperature", "air at …"}}

var fallsTo = &ask.Input{Name: "falls_to", Zero: true, Warmest: warmestFloor, ByName: true, Kind: ask.WarmthKind, What: "what the substrate falls to while it cures, as at night, which counts where it is colder", Example: "falls to 6 °C",
	Words: []string{"falls to …", "fall to …", "falling to …", "drops to …", "drop to …", "dropping to …", "goes down to …", "going down to …", "go down to …", "gets down to …", "down to …", "going to …", "dips to …", "sinks to …", "overnight", "overnight low", "night low", "at night"}}

var within = &ask.Input{Name: "within", Kind: ask.HoursKind, ByName: true, What: "how long it may take: how warm it has to stay for that is told", Example: "within 30 h",
	Words: []string{"within …", "ready in …", "ready within …", "done in …", "done within …", "cured in …", "cured within …", "hard in …", "hard within …"}}

var loggedWarmth = &ask.Input{Name: "logged", Kind: ask.WarmthKind, Each: true, ByName: true, Zero: true, What: "what was read since the bonding, the coldest of each stretch, with its hours", Example: "logged 20 over 4 h, later 13 over 9 h",
	Words: []string{"logged …", "log …", "later …", "afterwards …"}}

var loggedHours = &ask.Input{Name: "logged_hours", Kind: ask.HoursKind, Each: true, ByName: true, Beside: true, What: "how long it was so", Example: "over 4 h", Words: []string{"lasting …"}}

func answerCure(k *ask.Inquiry) {
	d, bonded := k.Door[ask.BondedDoor]
	switch ends := len(d.Results) > 0 && (d.Results[0].Name == "ready_at" || d.Results[0].Name == "not_before"); {
	case bonded && !ends: // no hours are told for a cure that can't be
		k.A.Error = d.Text
		return
	case bonded && (len(k.Q.Values) > 0 || k.Log != nil):
		k.Mention("the door's own cure: %s", d.Text)
	case bonded:
		k.A.Headline = d.Text
		k.A.Results = append(k.A.Results, d.Results...)
		cureCautions(k)
		return
	}
	own := k.Q.Named(base) == nil && k.Q.Named(reference) == nil
	a := calc.Adhesive{Base: calc.Hours(k.Number(base)), Ref: calc.Temperature(k.Number(reference))}
	if own {
		a.Table = k.Door["base"].Table
	}
	if k.Log != nil {
		cureTimes(k, a)
		return
	}
	if k.Q.Named(loggedWarmth) != nil || k.Q.Named(loggedHours) != nil {
		cureLog(k, a)
		return
	}
	if k.Q.Named(within) != nil {
		cureWithin(k, a)
		return
	}
	t := cureWarmth(k)
	switch {
	case k.Has(lowest):
		a.Lowest = takeLowest(k)
	default:
		a.Lowest = min(t, a.Ref)
		k.Mention("the coldest that the adhesive takes is not checked: give its lowest")
	}
	if !k.Has(lowest) && t < coldest {
		k.Refuse(&calc.RangeError{Name: "temperature", Value: t, Bound: calc.AtLeast, Limit: coldest, Why: "colder, the adhesive's own lowest temperature has to be given: its maker states it"})
		return
	}
	if t < a.Lowest {
		k.Refuse(tooCold(t, a.Lowest))
		return
	}
	needed, err := a.HoursAt(t)
	if rng, ok := errors.AsType[*calc.RangeError](err); ok {
		switch {
		case rng.Name == "ref":
			rng.Name = "reference"
		case rng.Name == "lowest" && !k.Has(lowest): // the temperature stands for it
			rng.Name = "temperature"
		}
	}
	if err != nil {
		k.Refuse(err)
		return
	}
	told := math.Ceil(float64(needed)*60*(1-1e-12)) / 60
	k.NumberResult("hours_needed", told, float64(needed), "h", hoursText(told))
	k.Headline("%s from the bonding if it stays at %s or above", hoursText(told), t)
	switch {
	case len(a.Table) > 0:
		k.Working("by the adhesive's own table at %s: %s", t, hoursText(told))
	case t >= a.Ref:
		k.Working("%s is not colder than %s: the sheet's %s, never less", t, a.Ref, a.Base)
	default:
		k.Working("%s is %s K below %s: %s × 2^(%s/10) = %s", t, strconv.FormatFloat(float64(a.Ref-t), 'g', 6, 64), a.Ref, a.Base, strconv.FormatFloat(float64(a.Ref-t), 'g', 6, 64), hoursText(told))
	}
	k.Draw(draw.Cure{Reference: say.Plain(a.Ref.String()), Base: say.Plain(a.Base.String()), End: k.A.Headline,
		Stretches: []draw.Stretch{{Hours: told, Rate: a.Rate(t), Warmth: say.Plain(t.String()), Lasts: say.Plain(hoursText(told)), Assumed: true}}})
	if len(a.Table) == 0 {
		k.Source("twice the time for every 10 K below the reference temperature: from memory")
	}
	cureCautions(k)
}

// cureWarmth returns the coldest that is said of the substrate, and of the air.
func cureWarmth(k *ask.Inquiry) calc.Temperature {
	t := calc.Temperature(math.Inf(1))
	if k.Q.Named(fallsTo) == nil || k.Has(temperature) {
		t = calc.Temperature(k.Number(temperature))
	}
	if k.Q.Named(airTemperature) != nil {
		t = min(t, calc.Temperature(k.Number(airTemperature)))
		k.Mention("the colder of substrate and air counts: %s", t)
	}
	if k.Q.Named(fallsTo) != nil {
		t = min(t, calc.Temperature(k.Number(fallsTo)))
		k.Mention("the coldest while it cures counts: %s", t)
	}
	return t
}

// cureWithin tells how warm it has to stay for a cure to be over in time.
func cureWithin(k *ask.Inquiry, a calc.Adhesive) {
	by := calc.Hours(k.Number(within))
	if !k.Has(lowest) {
		k.Ask(say.F("colder than that no hour counts"), lowest)
		return
	}
	a.Lowest = takeLowest(k)
	if k.Q.Named(temperature) != nil || k.Q.Named(airTemperature) != nil {
		k.Fail("is it asked how warm it has to stay, or how long it takes at that temperature? leave the other one out")
		return
	}
	t, err := a.HeldFor(a.Base, by)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.NumberResult("temperature_needed", float64(t), float64(t), "°C", t.String())
	k.HideLast()
	k.Headline("%s or above, held from the bonding on, for %s", t, by)
	switch {
	case len(a.Table) > 0:
		k.Working("the first row of the adhesive's own table that is fast enough")
	case t <= a.Lowest:
		k.Working("the adhesive's lowest does: colder no hour counts")
	default:
		k.Working("%s + 10 × log2(%s / %s) = %s, up to a tenth", a.Ref, a.Base, by, t)
	}
	if len(a.Table) == 0 {
		k.Source("twice the time for every 10 K below the reference temperature: from memory")
	}
	cureCautions(k)
}

// tooCold says that it is, or was, colder than an adhesive takes.
func tooCold(t, lowest calc.Temperature) error {
	return &calc.RangeError{Name: "temperature", Value: t, Bound: calc.AtLeast, Limit: lowest, Why: "colder, no hour counts and the cure can't be told; the adhesive's maker has to be asked"}
}

// takeLowest takes the coldest that the adhesive takes.
func takeLowest(k *ask.Inquiry) calc.Temperature {
	t := calc.Temperature(k.Number(lowest))
	if sheet, ok := k.Door[lowest.Name]; ok { // which holds whatever is typed
		t = max(t, calc.Temperature(sheet.Number))
	}
	return t
}

// coldest is the least temperature at which hours are told without the
// adhesive's own lowest: from memory.
const coldest = calc.Temperature(5)

func cureCautions(k *ask.Inquiry) {
	k.General("cure", "these are the sheet's hours: when they have passed, check the control sample before anything is loaded")
	k.General("cure 2", "the coldest hour counts, nights too: measure the substrate; the adhesive maker's instructions come first")
}

// hoursText tells hours to the minute.
func hoursText(h float64) string {
	minutes := int(math.Round(h * 60))
	if minutes%60 == 0 {
		return strconv.Itoa(minutes/60) + " h"
	}
	return fmt.Sprintf("%d h %d min", minutes/60, minutes%60)
}
