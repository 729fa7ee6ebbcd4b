package tell

import (
	"encoding/json"
	"fmt"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// AgendaLine is what is to do at a door: a visit to make, or a cure to look
// after.
type AgendaLine struct {
	At      time.Time
	Overdue bool // a visit that nobody has made yet, or a snag that nobody has put right
	Text    say.Text
	Who     []string // whom it concerns
}

// Agenda returns what is to do at a door in one of its site's sets: a cure,
// whenever it ends, its visits before end, or the snags that are due by then.
func Agenda(j *jobs.Job, set string, now, end time.Time) []AgendaLine {
	if set == "curing" {
		return []AgendaLine{cureLine(j, now)}
	}
	var all []AgendaLine
	if set == "due" {
		for _, s := range j.Door.OpenSnags() {
			if !s.Due.IsZero() && (end.IsZero() || s.Due.Before(end)) {
				all = append(all, AgendaLine{s.Due, !s.Due.After(now), say.F("%s: snag %s", j.Door.Spec.ID, SnagLine(&s, j, now)), []string{s.Owner}})
			}
		}
		return all
	}
	for _, v := range j.Door.Planned() {
		if end.IsZero() || v.At.Before(end) {
			who := v.Who
			if len(who) == 0 {
				who = j.People()
			}
			all = append(all, AgendaLine{v.At, v.At.Before(now), say.F("%s: %s", j.Door.Spec.ID, VisitLine(&v, j.Site, now)), who})
		}
	}
	return all
}

// cureLine tells when a door's control sample is to be looked at.
func cureLine(j *jobs.Job, now time.Time) AgendaLine {
	l := AgendaLine{At: j.Door.Cure(j.Door.Updated).End, Who: j.People(), Text: say.F("%s: %s", j.Door.Spec.ID, CureText(j, now))}
	if l.At.IsZero() {
		l.At = j.Door.Updated // as the set has it
	}
	return l
}

// ReadEvents reads the events of an entry of a door's log.
func ReadEvents(data []byte) (events []jobs.Event, err error) {
	err = json.Unmarshal(data, &events)
	return events, err
}

// BoardLine tells what comes next at a door and what holds it.
func BoardLine(j *jobs.Job, now time.Time) say.Text {
	return say.F("%s: %s", j.Door.Spec.ID, State(j, now))
}

// State is a board's line without the door's id.
func State(j *jobs.Job, now time.Time) say.Text {
	d, parts := &j.Door, []say.Text{comesNext(j)}
	if j.Curing() {
		parts = append(parts, CureText(j, now))
	}
	if planned := d.Planned(); len(planned) > 0 {
		at := bot.Instant(planned[0].At, j.Site)
		if planned[0].At.Before(now) {
			parts = append(parts, say.F("visit overdue %s", at))
		} else {
			parts = append(parts, say.F("visit %s", at))
		}
	}
	if n := len(d.OpenSnags()); n > 0 {
		parts = append(parts, say.Count(n, "1 snag", "%s snags"))
	}
	if left := j.Site.Left(&d.Spec); len(left) > 0 && d.Handover.IsZero() {
		parts = append(parts, say.F("@%s left the site: @%s is told", say.Names(" @", left...), j.Site.Lead()))
	}
	return say.Join(" · ", parts...)
}

// IsHeld reports whether what comes next at a door waits for a hold point.
func IsHeld(j *jobs.Job) bool {
	items, i, _ := j.Upcoming()
	return i >= 0 && len(jobs.Holds(items, items[i].Stage)) > 0
}

// comesNext tells shortly what comes next at a door, and what was passed over.
func comesNext(j *jobs.Job) say.Text {
	items, i, passed := j.Upcoming()
	switch {
	case !j.Door.Off.IsZero():
		return say.F("called off")
	case i < 0 && j.Door.Handover.IsZero():
		return say.F("hand over")
	case i < 0:
		return say.F("handed over")
	}
	if holds := jobs.Holds(items, items[i].Stage); len(holds) > 0 {
		return say.F("held by %s", item(j, holds[0].ID))
	}
	text := say.Plain(fmt.Sprintf("%d %s", i+1, items[i].ID))
	if items[i].Hold {
		text = say.F("%s (hold)", text)
	}
	if len(passed) > 0 {
		text = say.Join(" · ", text, say.F("still open %s", say.Names(", ", passed...)))
	}
	return text
}
