package sim

import (
	"slices"
	"strings"
	"time"

	"heelpost/bot"
)

// call is a reminder that a door calls for.
type call struct {
	due   time.Time
	said  map[string]bool // to whom it was
	came  time.Time       // when it first was
	over  bool            // nobody need hear it any more
	about string          // the reading that is asked about
}

// lay reckons the reminders that a door calls for since a change at a time.
func (r *rules) lay(d *watched, at time.Time) {
	was := d.calls
	d.calls = map[string]*call{}
	for id, due := range d.led.calls() {
		old, ok := was[id]
		if name, of := strings.CutPrefix(subject(id), "visit:"); of && d.led.visits[name].set.Equal(d.led.at) {
			ok = false // it was moved, if only to the same time
		}
		about := ""
		if doubt := d.led.asking(); doubt != nil && subject(id) == "cold" {
			about = doubt.name
			ok = ok && old.about == about // the next reading that was too cold is another question
		}
		if ok && old.due.Equal(due) {
			d.calls[id] = old
			continue
		}
		c := &call{due: due, said: map[string]bool{}, about: about}
		if !due.After(at) { // it is said from now on
			c.due = at
			if !urgent(id) {
				c.due = d.led.pl.quiet(at)
			}
			if ok {
				c.said, c.came, c.over = old.said, old.came, old.over
			}
		}
		d.calls[id] = c
	}
}

// urgent reports whether leaving a reminder until work begins would hurt.
func urgent(id string) bool {
	return strings.HasPrefix(id, "working:") || strings.HasPrefix(id, "stood")
}

// calls returns the reminders that the rules call for, by id, and when each is
// due: working time that runs out, a leaf that stands loose, visits.
func (l *ledger) calls() map[string]time.Time {
	out := map[string]time.Time{}
	if l.off {
		return out
	}
	for where, m := range l.mixes {
		for minutes, id := range map[int]string{10: ":10", 5: ":5", 0: ":0"} {
			out["working:"+where+id] = m.at.Add(l.working() - time.Duration(minutes)*time.Minute)
		}
	}
	if l.standing() {
		out["stood"] = l.items["stood"].at.Add(15 * time.Minute)
		out["stood:foreman"] = l.items["stood"].at.Add(30 * time.Minute)
	}
	for id, v := range l.visits {
		if v.over {
			continue
		}
		id = "visit:" + id
		if ahead := l.dayBefore(v.at); ahead.After(v.set) {
			if ahead = l.later(id+":ahead", ahead); ahead.Before(v.at) { // afterwards there is nothing ahead
				out[id+":ahead"] = ahead
			}
		}
		if l.asks(out, id, v.at); !l.snoozed[id].After(v.at) { // at its own hour, whoever works then
			out[id] = v.at
		}
	}
	if d := l.asking(); d != nil && !l.handed {
		l.asks(out, "cold", d.asked.Add(2*time.Hour))
	}
	return out
}

// asks adds a reminder that is to be answered, its repetition, and the word to the
// foreman if nobody does.
func (l *ledger) asks(out map[string]time.Time, id string, at time.Time) {
	first := l.later(id, at)
	more := first.Add(2 * time.Hour)
	if l.pl.begins(first) { // what comes with the morning's comes again with the next
		more = l.pl.midnight(first)
	}
	again := l.pl.quiet(l.pl.quiet(at).Add(2 * time.Hour))
	out[id], out[id+":again"], out[id+":foreman"] = first, l.later(id+":again", more), l.later(id+":foreman", l.pl.midnight(again))
}

// later returns when a reminder is said that is due at t: when it was put off
// to, and when somebody works.
func (l *ledger) later(id string, t time.Time) time.Time {
	if until := l.snoozed[id]; until.After(t) {
		t = until
	}
	return l.pl.quiet(t)
}

// dayBefore returns the beginning of work on the last working day before t's.
func (l *ledger) dayBefore(t time.Time) time.Time {
	noon := time.Date(t.In(l.pl.loc).Year(), t.In(l.pl.loc).Month(), t.In(l.pl.loc).Day(), 12, 0, 0, 0, l.pl.loc)
	for range 400 {
		noon = noon.AddDate(0, 0, -1)
		midnight := l.pl.midnight(noon.AddDate(0, 0, -1))
		if first := l.pl.quiet(midnight); first.In(l.pl.loc).YearDay() == noon.YearDay() {
			return first
		}
	}
	return time.Time{}
}

// missed checks the reminders that should have come by now. Of those on one
// subject that have piled up only the last is said.
func (r *rules) missed(d *watched) {
	for id, c := range d.calls {
		if c.over || c.due.After(r.w.now()) || !r.late(r.sayable(d, id, c.due)) {
			continue
		}
		at := r.w.now()
		if !c.came.IsZero() {
			at = c.came // who stood in then may be away by now
		}
		for _, who := range d.led.people(id, at) {
			if !c.said[who] && !r.piled(d, id, c) {
				r.broken("%s: the reminder %s was due at %s and did not come to %s", d.key, id, c.due.UTC().Format("01-02 15:04:05"), who)
			}
		}
		c.over = true
	}
	for id, due := range d.owed {
		r.check(!r.late(r.sayable(d, id, due)), "%s: %s, of what was done, did not come, due at %s", d.key, id, due)
	}
	r.unsaid(d)
	if len(d.led.bonds) == 0 || d.cured || len(d.led.unlooked()) == 0 || d.led.handed || d.led.off {
		return
	}
	if end, ok := d.led.over(); ok && end.Before(r.w.now()) {
		due := d.led.pl.quiet(end.Add(time.Minute - 1).Truncate(time.Minute)) // ends are told up to the minute
		for _, id := range []string{"cure", "cure:again", "cure:foreman"} {
			if until := d.led.snoozed[id]; until.After(due) {
				due = d.led.pl.quiet(until)
			}
		}
		if due.Before(d.led.at) {
			due = d.led.pl.quiet(d.led.at)
		}
		r.check(due.After(r.w.now()) || !r.late(r.sayable(d, "cure", due)), "%s: the cure's end at %s was not said", d.key, end)
	}
}

// sayable returns from when on somebody waits for a reminder that was due at a
// time: what could not be said for a quarter of an hour and would not hurt to
// leave is not made up for while nobody works.
func (r *rules) sayable(d *watched, id string, due time.Time) time.Time {
	if over := r.w.fault.Add(looking); !urgent(id) && over.Sub(due) > 14*time.Minute {
		return d.led.pl.quiet(over)
	}
	return due
}

// people returns who is to hear a reminder: the foreman, or all of the crew;
// in the place of somebody who is away whoever stands in.
func (l *ledger) people(id string, at time.Time) (all []string) {
	named := l.spec.Crew
	if name, ok := strings.CutPrefix(subject(id), "visit:"); ok && len(l.visits[name].who) > 0 {
		named = l.visits[name].who
	}
	if d := l.asking(); d != nil && strings.HasPrefix(id, "cold") {
		named = []string{d.by}
	}
	if strings.HasSuffix(id, ":foreman") {
		named = []string{l.spec.Foreman}
	}
	for _, who := range named {
		if who = l.pl.stands(who, at); !slices.Contains(all, who) {
			all = append(all, who)
		}
	}
	return all
}

// piled reports whether a later reminder of the same subject was due before
// this one could be said.
func (r *rules) piled(d *watched, id string, c *call) bool {
	for other, o := range d.calls {
		if subject(other) == subject(id) && other != id && !o.due.Before(c.due) && !o.due.After(r.w.now()) {
			return true
		}
	}
	return false
}

// subject is what a reminder is about: "visit:v1:again" is about visit:v1.
func subject(id string) string {
	parts := strings.SplitN(id, ":", 3)
	if parts[0] == "stood" || parts[0] == "cure" || parts[0] == "cold" {
		return parts[0]
	}
	return strings.Join(parts[:min(2, len(parts))], ":")
}

// refiled reckons anew what the doors of a place call for by its new file:
// what is over by now is not said again.
func (r *rules) refiled(pl *place) {
	for _, d := range r.doors {
		if d.led.pl != pl {
			continue
		}
		was := d.calls
		r.lay(d, r.w.now())
		for id, c := range d.calls {
			old, ok := was[id]
			switch {
			case ok && (old.over || len(old.said) > 0 || !old.due.After(r.w.now())):
				d.calls[id] = old
			case !ok && !d.led.calls()[id].After(r.w.now()):
				c.over = true
			}
		}
	}
}

// reminded checks a reminder that is said: it is called for, not early, and
// not when nobody works, and nobody hears it twice.
func (r *rules) reminded(d *watched, id string, due time.Time, p *bot.Post) {
	l, now := d.led, r.w.now()
	kind, rest, _ := strings.Cut(id, ":")
	r.check(!now.Before(due), "%s: %s is said before %s", d.key, id, due)
	hurts := urgent(id) || kind == "tell" && (l.done("stood") || strings.Contains(p.Text, " voided: ") || strings.Contains(p.Text, " cover: ") || strings.Contains(p.Text, " overridden: "))
	if name, ok := strings.CutPrefix(id, "visit:"); ok && due.Equal(l.visits[name].at) {
		hurts = true // it has its own hour
	}
	if !hurts {
		r.count["quiet"]++
		r.check(l.pl.open(due) || r.w.rules.moved(l.pl), "%s: %s is said of %s, when nobody works", d.key, id, due.In(l.pl.loc))
	}
	r.count["called for"]++
	r.check(kind == "tell" || !l.off, "%s: %s is said of a door that is called off", d.key, id)
	switch kind {
	case "tell":
		delete(d.owed, id)
		d.wordCame(id, p, now)
	case "visit":
		name, what, _ := strings.Cut(rest, ":")
		v := l.visits[name]
		r.check(!v.at.IsZero() && !v.over, "%s: %s is said of a visit that is none", d.key, id)
		r.check(what == "ahead" || !now.Before(v.at), "%s: %s is said before the visit at %s", d.key, id, v.at)
	case "working":
		where, _, _ := strings.Cut(rest, ":")
		_, open := l.mixes[where]
		r.check(open, "%s: %s is said, and no adhesive is open", d.key, id)
	case "stood":
		r.check(l.standing(), "%s: %s is said of a leaf that does not stand loose", d.key, id)
	case "cure":
		r.check(len(l.unlooked()) > 0, "%s: %s is said, and nothing cures", d.key, id)
		d.cured = true
		r.count["cure told"]++
		for _, id := range l.unlooked() {
			where, _, _ := strings.Cut(id, "-")
			if why := l.uncured(where, now, r.known); why != "" {
				r.broken("%s: the cure's end is said, and the %s plate %s", d.key, where, why)
			}
		}
	case "cold":
		r.count["asked again"]++
		r.check(l.asking() != nil, "%s: %s is said, and nobody was asked", d.key, id)
	case "care":
		r.check(l.handed, "%s: %s is said of a door that is not handed over", d.key, id)
	}
	if c := d.calls[id]; c != nil && kind != "tell" {
		r.count["came"]++
		r.check(!now.Before(c.due), "%s: %s comes at %s, before %s", d.key, id, now, c.due)
		r.check(!r.late(r.sayable(d, id, c.due)), "%s: %s comes late: it was due at %s", d.key, id, c.due)
		for _, who := range strings.Fields(p.To) {
			r.check(!c.said[who], "%s: %s is said to %s again", d.key, id, who)
			c.said[who] = true
			if c.came.IsZero() {
				c.came = now
			}
		}
	} else {
		r.check(kind != "visit" && kind != "working" && kind != "cold" && (kind != "stood" || rest != "" && rest != "foreman"), "%s: %s is not called for", d.key, id)
	}
}

// moved reports whether the file of a place has changed since the beginning:
// then a reminder may be of a time that was free to speak in.
func (r *rules) moved(pl *place) bool { return pl.changed }
