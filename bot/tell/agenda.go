package tell

import (
	"encoding/json"
	"time"

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
	Door    string   // the door's id
	Told    bool     // a reminder that they had
}

// Agenda returns what is to do at a door in one of its site's sets: a cure,
// whenever it ends, its visits before end, or the snags that are due by then.
func Agenda(j *jobs.Job, set string, now, end time.Time) []AgendaLine {
	if set == "curing" {
		return []AgendaLine{cureLine(j, now)}
	}
	var all []AgendaLine
	if due, ok := j.Door.Awaited(); set == "leaves" {
		if ok && (end.IsZero() || due.Before(end)) {
			all = append(all, AgendaLine{due, due.Before(now.AddDate(0, 0, -1)), say.F("%s: leaf %s comes %s", j.Door.Spec.ID, leafSize(j), shortDay(due, j.Site)), j.People(), j.Door.Spec.ID, false})
		}
		return all
	}
	if set == "due" {
		for _, s := range j.Door.OpenSnags() {
			if !s.Due.IsZero() && (end.IsZero() || s.Due.Before(end)) {
				all = append(all, AgendaLine{s.Due, Late(&s, now), say.F("%s: snag %s", j.Door.Spec.ID, SnagLine(&s, j, now)), []string{s.Owner}, j.Door.Spec.ID, false})
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
			all = append(all, AgendaLine{v.At, v.At.Before(now), say.F("%s: %s", j.Door.Spec.ID, VisitLine(&v, j.Site, now)), who, j.Door.Spec.ID, false})
		}
	}
	return all
}

// cureLine tells when a door's control sample is to be looked at.
func cureLine(j *jobs.Job, now time.Time) AgendaLine {
	l := AgendaLine{Door: j.Door.Spec.ID, At: j.Door.Cure(j.Door.Updated).End, Who: j.People(), Text: say.F("%s: %s", j.Door.Spec.ID, CureText(j, now))}
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
