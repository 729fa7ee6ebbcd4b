package jobs

import (
	"strings"
	"time"

	"github.com/robfig/cron/v3"

	"heelpost/calc"
)

// Rule is a recurring time: a cron expression of five fields (minute,
// hour, day of the month, month, day of the week) or a word as @weekly.
type Rule struct {
	spec  string
	sched cron.Schedule
}

var cronParser = cron.NewParser(cron.Minute | cron.Hour | cron.Dom | cron.Month | cron.Dow | cron.Descriptor)

// maxSpec bounds the text of a rule.
const maxSpec = 200

// ParseRule reads a rule. It refuses one that names a zone (the site's
// counts), one that counts from an unnamed start (@every), and one that
// never comes true.
func ParseRule(spec string) (r Rule, err error) {
	defer func() {
		// The parser panics on some texts, as "TZ=UTC" with nothing after it.
		if p := recover(); p != nil {
			r, err = Rule{}, calc.F("%q is no rule: want five fields, as 0 6 * * 1-5", spec)
		}
	}()
	spec = strings.TrimSpace(spec)
	if len(spec) > maxSpec {
		return Rule{}, calc.F("the rule is too long: want five fields, as 0 6 * * 1-5")
	}
	if strings.Contains(strings.ToUpper(spec), "TZ=") {
		return Rule{}, calc.F("%q names a zone: leave it out, the site's zone counts", spec)
	}
	if strings.HasPrefix(spec, "@every") {
		return Rule{}, calc.F("%q has no beginning: say at which hours, as 0 6-18/2 * * *", spec)
	}
	sched, err := cronParser.Parse(spec)
	if err != nil {
		return Rule{}, calc.F("%q is no rule: %s", spec, err)
	}
	r = Rule{spec: spec, sched: sched}
	if _, ok := r.Next(time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC), time.UTC); !ok {
		return Rule{}, calc.F("%q never comes true: no year has that day", spec)
	}
	return r, nil
}

// String returns the rule as it was written.
func (r Rule) String() string { return r.spec }

// Next returns the first time after t that the rule comes true on the
// clocks of a zone. The time is computed on the wall and then mapped by
// [Wall], so a clock change neither skips nor doubles one. ok is false if
// there is none within twenty years.
func (r Rule) Next(t time.Time, zone *time.Location) (next time.Time, ok bool) {
	wall := asUTC(t.In(zone))
	for limit := wall.AddDate(20, 0, 0); wall.Before(limit); {
		w := r.sched.Next(wall)
		if w.IsZero() { // none within the parser's five years
			wall = wall.AddDate(5, 0, 0)
			continue
		}
		if next = Wall(w, zone); next.After(t) {
			return next, true
		}
		wall = w
	}
	return time.Time{}, false
}

// maxMissed bounds the count of missed times.
const maxMissed = 1000

// Missed counts the times after from, up to and including to, at most a
// thousand.
func (r Rule) Missed(from, to time.Time, zone *time.Location) int {
	n := 0
	for n < maxMissed {
		next, ok := r.Next(from, zone)
		if !ok || next.After(to) {
			break
		}
		from = next
		n++
	}
	return n
}
