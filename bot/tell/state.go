package tell

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Standing is what a door is in that somebody should see to.
type Standing struct {
	Loose   bool // the leaf is stood up, and its head pivot not engaged
	Held    bool // what comes next waits for a hold point, or its reading is out
	AtHold  bool // what comes next is a hold point
	Overdue bool // a visit that nobody has made, or a snag that nobody has put right by its day
	Curing  bool
	Snags   int
	Off     bool // called off, or handed over with nothing left to do
}

// StandingOf returns what a door is in at now.
func StandingOf(j *jobs.Job, now time.Time) (s Standing) {
	d := &j.Door
	s.Loose = !d.Loose().IsZero()
	items, i, _ := j.Upcoming()
	s.Held = i >= 0 && (len(jobs.Holds(items, items[i].Stage)) > 0 || d.HitBefore(&items[i]) != nil || items[i].Hold && items[i].State.Judgement == jobs.Out)
	s.AtHold = i >= 0 && items[i].Hold && d.Off.IsZero()
	s.Overdue = visitLate(d, now) || !snagLate(d, now).IsZero()
	s.Curing = j.Curing() && d.Handover.IsZero()
	s.Snags = len(d.OpenSnags())
	s.Off = !d.Off.IsZero() || !d.Handover.IsZero() && !jobs.Unsettled(d)
	return s
}

// visitLate reports whether nobody has made a door's next visit.
func visitLate(d *jobs.Door, now time.Time) bool {
	planned := d.Planned()
	return len(planned) > 0 && planned[0].At.Before(now)
}

// snagLate returns the first day by which an open snag was to be put right, zero
// if none is overdue.
func snagLate(d *jobs.Door, now time.Time) (first time.Time) {
	for _, s := range d.OpenSnags() {
		if Late(&s, now) && (first.IsZero() || s.Due.Before(first)) {
			first = s.Due
		}
	}
	return first
}

// Late reports whether an open snag is not put right by its day.
func Late(s *jobs.Snag, now time.Time) bool { return !s.Due.IsZero() && !s.Due.After(now) }

// Rank orders doors by how much they want to be seen: those whose leaf stands
// loose, held ones, those with a visit or a snag overdue, curing ones, those with snags, the others, those that are done.
func (s Standing) Rank() int {
	return slices.Index([]bool{s.Loose, s.Held, s.Overdue, s.Curing, s.Snags > 0, !s.Off, true}, true)
}

// BoardLine tells in a line what a door waits for and since when.
func BoardLine(j *jobs.Job, now time.Time) say.Text {
	return say.F("%s: %s", j.Door.Spec.ID, State(j, now))
}

// State is a board's line without the door's id.
func State(j *jobs.Job, now time.Time) say.Text {
	next, over := comesNext(j)
	if !over && jobs.DateOf(j.Door.Updated.In(j.Site.Zone)) != jobs.DateOf(now.In(j.Site.Zone)) {
		next = say.F("%s since %s", next, shortDay(j.Door.Updated, j.Site))
	}
	return state(j, now, next)
}

// BoardRow tells the same in parts: what the door is in, in a word or two, what
// it waits for, and the day since when.
func BoardRow(j *jobs.Job, now time.Time) (is, waits say.Text, since string) {
	s := StandingOf(j, now)
	var states []say.Text
	for _, in := range []struct {
		so   bool
		text say.Text
	}{{s.Loose, say.F("unsecured")}, {s.Held, say.F("held")}, {s.Overdue, say.F("overdue")}, {s.Curing, say.F("curing")}, {s.Snags > 0, say.F("snags")}, {s.Off, say.F("done")}} {
		if in.so {
			states = append(states, in.text)
		}
	}
	if len(states) == 0 {
		states = append(states, say.F("in work"))
	}
	next, over := comesNext(j)
	if over {
		next = say.Text{} // its stage says so
	}
	return say.List(states...), state(j, now, next), jobs.DateOf(j.Door.Updated.In(j.Site.Zone)).String()
}

// state tells what a door waits for, beginning with what comes next.
func state(j *jobs.Job, now time.Time, next say.Text) say.Text {
	d, s := &j.Door, StandingOf(j, now)
	var parts []say.Text
	if s.Loose {
		parts = append(parts, say.F("leaf stands unsecured since %s", short(d.Loose(), j.Site)))
	}
	planned := d.Planned()
	if visitLate(d, now) {
		parts = append(parts, say.F("visit overdue since %s", short(planned[0].At, j.Site)))
	}
	if since := snagLate(d, now); !since.IsZero() {
		parts = append(parts, say.F("snag overdue since %s", shortDay(since, j.Site)))
	}
	cure := say.Text{}
	if s.Curing {
		cure = cureShort(j, now)
	}
	if cure.IsZero() || !nextIsSample(j) {
		parts = append(parts, next)
	}
	parts = append(parts, cure)
	if len(planned) > 0 && !visitLate(d, now) {
		parts = append(parts, say.F("visit %s", short(planned[0].At, j.Site)))
	}
	if s.Snags > 0 {
		first := slices.MinFunc(d.OpenSnags(), func(a, b jobs.Snag) int { return a.Opened.Compare(b.Opened) })
		parts = append(parts, say.Count(s.Snags, "1 snag since %s", "%s snags since %s", shortDay(first.Opened, j.Site)))
	}
	if left := j.Site.Left(&d.Spec); len(left) > 0 && d.Handover.IsZero() {
		parts = append(parts, say.F("@%s left the site: @%s is told", say.Names(" @", left...), j.Site.Lead(now)))
	}
	return say.Join(" · ", parts...)
}

// short and shortDay tell a time of these weeks, as "Mon 03-01 08:00".
func short(t time.Time, site *jobs.Site) say.Text {
	t = t.In(site.Zone)
	return say.F("%s %s", bot.Weekdays[t.Weekday()], t.Format("01-02 15:04"))
}

func shortDay(t time.Time, site *jobs.Site) say.Text {
	t = t.In(site.Zone)
	return say.F("%s %s", bot.Weekdays[t.Weekday()], t.Format("01-02"))
}

// cureShort tells in a few words how a door's cure stands.
func cureShort(j *jobs.Job, now time.Time) say.Text {
	c := j.Door.Cure(j.Door.Updated)
	end := short(c.End, j.Site)
	switch {
	case c.Doubt != nil:
		return say.F("%s read: is it so?", c.Doubt.Coldest())
	case c.End.IsZero():
		return say.F("too cold to cure")
	case c.End.After(now) && c.ByWord:
		return say.F("left alone until %s", end)
	case c.End.After(now) && !c.Unread.IsZero():
		return say.F("cures, not before %s", end)
	case c.End.After(now):
		return say.F("cures until %s", end)
	case !c.Unread.IsZero():
		return say.F("check the sample, not before %s", end)
	}
	return say.F("check the sample, since %s", end)
}

// nextIsSample reports whether the control sample of a bond comes next.
func nextIsSample(j *jobs.Job) bool {
	items, i, _ := j.Upcoming()
	return i >= 0 && strings.HasSuffix(items[i].ID, "-sample")
}

// comesNext tells shortly what comes next at a door, or that its work is over.
func comesNext(j *jobs.Job) (text say.Text, over bool) {
	items, i, _ := j.Upcoming()
	switch {
	case !j.Door.Off.IsZero():
		return say.F("called off"), true
	case i < 0 && !j.Door.Handover.IsZero():
		return say.F("handed over"), true
	}
	text = say.F("hand over")
	if i >= 0 {
		text = say.Plain(fmt.Sprintf("%d %s", i+1, items[i].ID))
		if holds := jobs.Holds(items, items[i].Stage); len(holds) > 0 {
			text = say.F("held by %s", item(j, holds[0].ID))
		} else if s := j.Door.HitBefore(&items[i]); s != nil {
			text = say.F("held by %s", say.F("snag %s", s.ID))
		} else if items[i].Hold {
			text = say.F("%s (hold)", text)
		}
	}
	return text, false
}
