package verb

import (
	"slices"
	"time"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

// cureTimes tells how far a bond has come by a log by times of day: it is bonded
// at the first line, if nothing else is said, and the last one is now.
func cureTimes(k *ask.Inquiry, a calc.Adhesive) {
	if !k.Has(lowest) {
		k.Ask(say.F("time below it counts nothing"), lowest)
		return
	}
	a.Lowest = takeLowest(k)
	read, bonded, ok := takeTimes(k)
	if !ok {
		return
	}
	last := read[len(read)-1]
	c, err := a.Cure(bonded, read, nil, last.At)
	if err != nil {
		k.Refuse(err)
		return
	}
	if !c.VoidSince.IsZero() {
		coldest := last.Coldest()
		for i := range read {
			coldest = min(coldest, read[i].Coldest())
		}
		k.Refuse(tooCold(coldest, a.Lowest))
		return
	}
	k.Working("between two lines no more than %[1]s h apart the colder counts; of a longer stretch the first %[1]s h at the colder, the rest at the lowest, %[2]s, unless its min was read", calc.ReadWithin.Hours(), a.Lowest)
	tellCounted(k, &a, drawnTimes(&a, bonded, read), c.Equivalent, last.T)
	if _, known := k.Wall(bonded); !known && k.Log.Lines[0].Day != "" {
		k.Note("the times are taken without a change of the clocks between them: in a door's thread those of its site count")
	}
	k.Note("bonded at %s, now it is %s", bonded.Format(told(k)), last.At.Format(told(k)))
	cureCautions(k)
}

// drawnTimes are the stretches between the lines of a log since the bond, as
// they are drawn: what was not read stands at the lowest, and of a long log some at
// a time stand together.
func drawnTimes(a *calc.Adhesive, bonded time.Time, read []calc.Warmth) (drawn []draw.Stretch) {
	type stretch struct {
		calc.Stretch
		unread bool
	}
	var all []stretch
	for i := 1; i < len(read); i++ {
		from := read[i-1].At
		if bonded.After(from) {
			from = bonded
		}
		s := calc.Stretch{T: min(read[i-1].T, read[i].Coldest()), For: calc.Hours(read[i].At.Sub(from).Hours())}
		within := calc.Hours(calc.ReadWithin.Hours())
		rest := s.For - within
		if read[i].Min == nil && rest > 0 {
			s.For = within
			all = append(all, stretch{s, false}, stretch{calc.Stretch{T: a.Lowest, For: rest}, true})
		} else if s.For > 0 {
			all = append(all, stretch{s, false})
		}
	}
	together := 1
	if len(all) > mostDrawn {
		together = (2*len(all) + mostDrawn - 1) / mostDrawn
	}
	for some := range slices.Chunk(all, together) {
		s, counted, unread := some[0].Stretch, 0.0, false
		for i, o := range some {
			if i > 0 {
				s.T, s.For = min(s.T, o.T), s.For+o.For
			}
			counted += a.Rate(o.T) * float64(o.For)
			unread = unread || o.unread
		}
		d := drawnStretch(a, s, unread)
		if len(some) > 1 {
			d.Rate, d.Warmth = counted/float64(s.For), say.F("%s or above", s.T)
			d.Lasts = say.Plain(hoursText(float64(s.For)))
		}
		drawn = append(drawn, d)
	}
	return drawn
}

// mostDrawn is how many stretches a picture has room for, and twice as many as are
// told as more than one temperature.
const mostDrawn = 12

// told is how an instant of the log is told: with its day where days were said.
func told(k *ask.Inquiry) string {
	if k.Log.Lines[0].Day == "" {
		return "15:04"
	}
	return dayAndClock
}

const dayAndClock = "2006-01-02 15:04"

// takeTimes takes the lines of the log, and when it was bonded; false if they do
// not make a log.
func takeTimes(k *ask.Inquiry) (read []calc.Warmth, bonded time.Time, ok bool) {
	if k.Log.Mixed {
		k.Fail("some temperatures of the log are in °F, and others have no unit: say °F at each, or °C")
		return nil, bonded, false
	}
	for _, l := range k.Log.Lines {
		if k.Log.Bare && l.Number > temperature.Warmest {
			k.Fail("%s: %s is much for a floor in °C: say °F at each, or °C", l.Clock, calc.Number(l.Number))
			return nil, bonded, false
		}
	}
	day := k.Log.Lines[0].Day
	if day == "" {
		day = "2000-01-01" // any: none was said
	}
	first, dated := day, k.Log.Lines[0].Day != ""
	for _, l := range k.Log.Lines {
		if l.Day != "" && !dated {
			k.Fail("%s names its day and the first line does not: name it there, too", l.Day+" "+l.Clock)
			return nil, bonded, false
		}
		if l.Day != "" {
			day = l.Day
		}
		at, ok := takeClock(k, day, l.Clock)
		if !ok {
			return nil, bonded, false
		}
		if n := len(read); n > 0 && dated && !at.After(read[n-1].At) {
			k.Fail("%s stands after %s: the log goes backward; put its lines in the order of their times", at.Format(dayAndClock), read[n-1].At.Format(dayAndClock))
			return nil, bonded, false
		} else if n > 0 && !at.After(read[n-1].At) {
			k.Fail("%s stands after %s: the log goes backward; name the days, as 2027-03-01 18:30 9", l.Clock, read[n-1].At.Format("15:04"))
			return nil, bonded, false
		}
		w, shown := calc.Warmth{At: at, T: calc.Temperature(l.Number)}, say.F("%s at %s", calc.Temperature(l.Number), l.Clock)
		if l.Min != nil {
			w.Min = new(calc.Temperature(*l.Min))
			shown = say.F("%s, min %s", shown, *w.Min)
		}
		read = append(read, w)
		k.A.Inputs = append(k.A.Inputs, ask.Given{Name: "log", Kind: ask.NumberValue, Number: l.Number, Unit: "degC", From: ask.Asked, Shown: shown})
	}
	quieten(k, read)
	bonded = read[0].At
	if d := k.Door[ask.BondedDoor]; dated && d.At.After(bonded) && k.Log.BeginClock == "" {
		bonded = d.At.In(bonded.Location()) // nothing counts that was read before
	}
	if k.Log.BeginClock != "" {
		if k.Log.BeginDay != "" {
			first = k.Log.BeginDay
		}
		if bonded, ok = takeClock(k, first, k.Log.BeginClock); !ok {
			return nil, bonded, false
		}
	}
	if last := read[len(read)-1].At; bonded.After(last) {
		k.Fail("bonded at %s, and the last line is %s: the log ends before it", bonded.Format(told(k)), last.Format(told(k)))
		return nil, bonded, false
	}
	return read, bonded, true
}

// mostLines is how many lines of a log are told one by one.
const mostLines = 24

// quieten leaves the lines of a long log to programs, and tells people what it has.
func quieten(k *ask.Inquiry, read []calc.Warmth) {
	n := len(read)
	if n <= mostLines {
		return
	}
	coldest := read[0].Coldest()
	for i := range read {
		coldest = min(coldest, read[i].Coldest())
	}
	for i := len(k.A.Inputs) - n; i < len(k.A.Inputs); i++ {
		k.A.Inputs[i].Quiet = true
	}
	k.Mention("%s lines of the log, from %s to %s, the coldest %s", n, read[0].At.Format(told(k)), read[n-1].At.Format(told(k)), coldest)
}

// takeClock returns the instant of a day and a time; false if there is none.
func takeClock(k *ask.Inquiry, day, clock string) (time.Time, bool) {
	at, err := time.Parse(dayAndClock, day+" "+clock)
	if err != nil {
		k.Fail("%q is no time of day: write it as 7:00, or 2027-03-01 18:30", clock)
		return at, false
	}
	at, _ = k.Wall(at)
	return at, true
}
