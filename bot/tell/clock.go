package tell

import (
	"math"
	"time"

	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// CureClock draws the cure that a door's end rests on, as far as it is known at
// now and as it is reckoned from there; nil where there is none to be told.
func CureClock(j *jobs.Job, now time.Time) *draw.Drawing {
	c := j.Door.Cure(now)
	if c.Bond == nil {
		return nil
	}
	a := c.Bond.Adhesive
	d := draw.Cure{Reference: say.Plain(a.Ref.String()), Base: say.Plain(a.Base.String()), End: CureText(j, now)}
	var counted calc.Hours
	add := func(from, to time.Time, t calc.Temperature, assumed bool) {
		if !from.Before(to) {
			return
		}
		lasts, rate := calc.Hours(to.Sub(from).Hours()), a.Rate(t)
		if to.After(now) {
			assumed = true
		} else {
			counted += lasts * calc.Hours(rate)
		}
		last := len(d.Stretches) - 1
		if last < 0 || d.Stretches[last].Rate != rate || d.Stretches[last].Assumed != assumed {
			d.Stretches = append(d.Stretches, draw.Stretch{Rate: rate, Warmth: say.Plain(t.String()), Assumed: assumed})
			last++
		}
		s := &d.Stretches[last]
		s.Hours += float64(lasts)
		s.Lasts = say.Plain(tenth(s.Hours).String())
	}
	for _, s := range c.Spans {
		to := s.To
		if to.IsZero() || to.After(c.End) {
			to = c.End
		}
		add(s.From, earlier(to, now), s.T, s.Unread || s.Held)
		add(later(s.From, now), to, s.T, true)
	}
	counted = tenth(float64(counted))
	d.Counted, d.Share = say.Plain(counted.String()), min(1, float64(counted/a.Base))
	return d.Drawing()
}

// tenth is hours rounded down to a tenth.
func tenth(hours float64) calc.Hours { return calc.Hours(math.Floor(hours*10+1e-9) / 10) }

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
