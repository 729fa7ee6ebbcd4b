package tell

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Early notes that a visit comes before the door's adhesive is through.
func Early(j *jobs.Job, visit time.Time) []string {
	end := j.Door.Cure(j.Door.Updated).End
	switch {
	case !j.Curing() || !end.IsZero() && !visit.Before(end):
		return nil
	case end.IsZero():
		return []string{"note: the visit may be before the cure's end: " + CureText(j, j.Door.Updated)}
	}
	return []string{"note: the visit is before the cure's end: " + CureText(j, j.Door.Updated)}
}

// told returns what a notice tells, that a version before kept in English only.
func told(n jobs.Notice) say.Text {
	var text say.Text
	if json.Unmarshal([]byte(n.Args["said"]), &text) == nil {
		return text
	}
	return say.Plain(n.Args["text"])
}

// Remind puts a reminder into words at now; "" if it has nothing left to say.
func Remind(j *jobs.Job, n jobs.Notice, now time.Time) string {
	at := func(name string) string {
		t, err := time.Parse(time.RFC3339, n.Args[name])
		if err != nil {
			return "some time"
		}
		return Said(t, j.Site)
	}
	switch n.Kind {
	case jobs.TellNow:
		return say.F("%s: %s", say.Name(n.Args["what"]), told(n)).String()
	case jobs.CureEnds:
		text := "the sheet's hours have passed: check the control sample. Until then the leaf stays still"
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok && len(j.Door.Planned()) == 0 {
			text += ". Return visit: " + Said(visit, j.Site) + "? answer yes, or visit and a time"
		}
		return text
	case jobs.AskWarmth:
		if c := j.Door.Cure(j.Door.Updated); !c.Assumed {
			return "how warm is the substrate? it was colder than the adhesive's lowest, and a day has passed: the cure's end can be told when it is read again; answer temperature and the °C"
		}
		return "how warm is the substrate? until it is read the cure is reckoned with the sheet's lowest temperature; answer temperature and the °C"
	case jobs.WorkingTime:
		if n.Args["minutes"] == "0" {
			return "the working time of the adhesive at the " + n.Args["where"] + " is over: what is not in place now is cleaned off and mixed anew"
		}
		return n.Args["minutes"] + " minutes of working time left at the " + n.Args["where"]
	case jobs.LeafStands:
		return "the leaf is stood up and the head pivot is not engaged: nobody lets go; tick engaged when it is"
	case jobs.VisitAhead:
		if v := j.Door.Visit(n.Args["visit"]); v != nil && !v.At.After(now) {
			return ""
		}
		return "visit " + n.Args["visit"] + " is " + at("at") + lex.Because(n.Args["why"])
	case jobs.VisitDue:
		is := " is now, "
		if v := j.Door.Visit(n.Args["visit"]); v != nil && now.Sub(v.At) > late {
			is = " was due "
		}
		return "visit " + n.Args["visit"] + is + at("at") + lex.Because(n.Args["why"]) + "; answer done, snooze 2h, move visit to a time, or cancel visit because of something"
	case jobs.CareDue:
		text := "time for the return after handover (" + n.Args["for"] + ")"
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok {
			text += ": " + Said(visit, j.Site) + "?"
		}
		return text + " answer yes, or visit and a time"
	}
	return ""
}

// Outdone reports whether a later reminder of the same subject, to the same
// people, is due by now: of what has piled up the latest is said.
func Outdone(j *jobs.Job, n jobs.Notice, now time.Time) bool {
	pending, id := jobs.Pending(&j.Door, j.Sheet, j.Site), strings.TrimPrefix(n.ID, n.Door+":")
	this, ok := pending[id]
	if !ok {
		return false
	}
	for _, r := range pending {
		later := Subject(r.ID) == Subject(id) && r.Due.After(this.Due) && !r.Due.After(now)
		if later && within(j.Door.Spec.Told(this.Args["to"]), j.Door.Spec.Told(r.Args["to"])) {
			return true
		}
	}
	return false
}

// within reports whether all of some people are among others.
func within(some, others []string) bool {
	return !slices.ContainsFunc(some, func(who string) bool { return !slices.Contains(others, who) })
}

// late is how long after its time a visit is no longer now.
const late = 30 * time.Minute

// ByID stands before the id of a reminder that a button puts off.
const ByID = "reminder "

// Said is how an instant is told at a site.
func Said(t time.Time, site *jobs.Site) string { return t.In(site.Zone).Format("Mon 2006-01-02 15:04") }
