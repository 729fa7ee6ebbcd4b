package tell

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"heelpost/bot/lex"
	"heelpost/jobs"
)

// Duty is a line of an agenda: a visit to make, or a cure to look after.
type Duty struct {
	At      time.Time
	Overdue bool // a visit that nobody has made yet
	Text    string
}

// Duties returns what the door has to do in one of its site's sets: a cure,
// whenever it ends, or its visits before end.
func Duties(j *jobs.Job, set string, now, end time.Time) []Duty {
	if set == "curing" {
		return []Duty{cureDuty(j, now)}
	}
	var all []Duty
	for _, v := range j.Door.Planned() {
		if end.IsZero() || v.At.Before(end) {
			all = append(all, Duty{v.At, v.At.Before(now), j.Door.Spec.ID + ": " + VisitLine(&v, j.Site, now)})
		}
	}
	return all
}

// cureDuty tells when a door's control sample is to be looked at.
func cureDuty(j *jobs.Job, now time.Time) Duty {
	d := Duty{At: j.Door.Cure(j.Door.Updated).End, Text: j.Door.Spec.ID + ": " + CureText(j, now)}
	if d.At.IsZero() {
		d.At = j.Door.Updated // as the set has it
	}
	return d
}

func ReadEvents(data []byte) (events []jobs.Event, err error) {
	err = json.Unmarshal(data, &events)
	return events, err
}

// BoardLine tells where a door stands and what holds it.
func BoardLine(j *jobs.Job, now time.Time) string {
	return j.Door.Spec.ID + ": " + Standing(j, now)
}

// Standing is a board's line without the door's id.
func Standing(j *jobs.Job, now time.Time) string {
	d, line := &j.Door, waits(j)
	if j.Curing() {
		line += " · " + CureText(j, now)
	}
	if planned := d.Planned(); len(planned) > 0 {
		word := "visit"
		if planned[0].At.Before(now) {
			word = "visit overdue"
		}
		line += " · " + word + " " + Said(planned[0].At, j.Site)
	}
	if n := len(d.OpenSnags()); n > 0 {
		line += " · " + lex.Count(n, "snag")
	}
	return line
}

// waits tells shortly what comes next at a door, and what was passed over.
func waits(j *jobs.Job) string {
	items, i, passed := j.Upcoming()
	switch {
	case i < 0 && j.Door.Handover.IsZero():
		return "hand over"
	case i < 0:
		return "handed over"
	}
	if open := jobs.Holds(items, items[i].Stage); len(open) > 0 {
		return "held by " + item(j, open[0].ID)
	}
	text := fmt.Sprintf("%d %s", i+1, items[i].ID)
	if items[i].Hold {
		text += " (hold)"
	}
	if len(passed) > 0 {
		text += " · still open " + strings.Join(passed, ", ")
	}
	return text
}
