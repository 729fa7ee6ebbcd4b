package tell

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Closed notes that a visit comes when nobody works.
func Closed(j *jobs.Job, visit time.Time) say.Text {
	visit = visit.In(j.Site.Zone)
	switch closed := j.Site.ClosedOn(jobs.DateOf(visit)); {
	case !closed.IsZero():
		return say.F("note: the site is closed then (%s); it is reminded at its hour all the same", say.Of(closed))
	case !j.Site.Quiet(visit, false).Equal(visit):
		return say.F("note: that is outside working hours; it is reminded at its hour all the same")
	}
	return say.Text{}
}

// OnLeave notes who of those that a visit or a snag is for is on leave then, and who
// stands in. Of a visit that names nobody it is the crew.
func OnLeave(j *jobs.Job, e *jobs.Event) say.Text {
	people, at := e.Names, e.When
	if v := j.Door.Visit(e.Item); v != nil {
		people = v.Who
	}
	if len(people) == 0 {
		people = j.Door.Spec.Crew
	}
	return AwayAt(j.Site, people, at)
}

// AwayAt notes who of some people is on leave at a time, and who stands in.
func AwayAt(site *jobs.Site, people []string, at time.Time) say.Text {
	var notes []say.Text
	for _, who := range people {
		if l := site.Away(who, at); l != nil && !at.IsZero() {
			notes = append(notes, say.F("note: @%s is on leave then, until %s: @%s is told", who, l.Last, site.Acting(who, at)))
		}
	}
	return say.Lines(notes...)
}

// Early notes that a visit comes before the door's adhesive is through.
func Early(j *jobs.Job, visit time.Time) say.Text {
	end, cure := j.Door.Cure(j.Door.Updated).End, CureText(j, j.Door.Updated)
	switch {
	case !j.Curing() || !end.IsZero() && !visit.Before(end):
		return say.Text{}
	case end.IsZero():
		return say.F("note: the visit may be before the cure's end: %s", cure)
	}
	return say.F("note: the visit is before the cure's end: %s", cure)
}

// Remind puts a reminder into words at now; nothing if it has nothing left to
// say.
func Remind(j *jobs.Job, n jobs.Notice, now time.Time) say.Text {
	switch n.Kind {
	case jobs.TellNow:
		return say.F("%s: %s", say.Name(n.Args["what"]), Kept(n.Args, "text"))
	case jobs.CureEnds:
		var text say.Text
		switch c := j.Door.Cure(j.Door.Updated); {
		case c.ByWord:
			text = say.F("the time that the adhesive maker's word names has passed: check the control sample")
		case !c.Unread.IsZero():
			text = say.F("the sheet's hours have passed, not before %s (%s): check the control sample", bot.Instant(c.End, j.Site), unread(j, &c))
		case c.Held != nil:
			text = say.F("the sheet's hours have passed if it was held at %s, as @%s vouched: check the control sample", c.Held.T, c.Held.By)
		default:
			text = say.F("the sheet's hours have passed if it stayed as warm as last read: check the control sample")
		}
		if j.Door.Items["stood"].Settled() {
			text = say.F("%s. Until then the leaf stays still", text)
		}
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok && len(j.Door.Planned()) == 0 {
			return say.F("%s. Return visit: %s? answer yes, or visit and a time", text, bot.Instant(visit, j.Site))
		}
		return text
	case jobs.ColdAsked:
		if c := j.Door.Cure(j.Door.Updated); c.Doubt != nil {
			return say.F("%s. Until then the cure is taken as void", doubted(c.Doubt))
		}
		return say.Text{}
	case jobs.WorkingTime:
		where := say.Name(n.Args["where"])
		if n.Args["minutes"] == "0" {
			return say.F("the working time of the adhesive at the %s is over: what is not in place now is cleaned off and mixed anew", where)
		}
		return say.F("%s minutes of working time left at the %s", n.Args["minutes"], where)
	case jobs.LeafStands:
		if j.Door.Loose().IsZero() {
			return say.Text{}
		}
		return say.F("the leaf is stood up and the head pivot is not engaged: nobody lets go; tick engaged when it is")
	case jobs.SnagDue:
		return remindOfSnag(j, n, now)
	case jobs.VisitAhead, jobs.VisitDue:
		return remindOfVisit(j, n, now)
	case jobs.CareDue:
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok {
			return say.F("time for the return after handover (%s): %s? answer yes, or visit and a time", recorded(n.Args["for"]), bot.Instant(visit, j.Site))
		}
		return say.F("time for the return after handover (%s) answer yes, or visit and a time", recorded(n.Args["for"]))
	}
	return say.Text{}
}

// remindOfSnag tells of a snag that is to be put right today, or should be by
// now.
func remindOfSnag(j *jobs.Job, n jobs.Notice, now time.Time) say.Text {
	s := j.Door.Snag(n.Args["snag"])
	if s == nil || !s.Closed.IsZero() {
		return say.Text{}
	}
	if !s.Due.After(now) {
		return say.F("snag %s was to be put right by %s: %s (@%s); answer done, or snag %s by another day", s.ID, bot.Instant(s.Due, j.Site), recorded(s.Text), s.Owner, s.ID)
	}
	return say.F("snag %s is to be put right by %s: %s; answer done, or snag %s by another day", s.ID, bot.Instant(s.Due, j.Site), recorded(s.Text), s.ID)
}

// remindOfVisit tells of a visit that is ahead or due.
func remindOfVisit(j *jobs.Job, n jobs.Notice, now time.Time) say.Text {
	id, at := n.Args["visit"], say.F("some time")
	if t, err := time.Parse(time.RFC3339, n.Args["at"]); err == nil {
		at = bot.Instant(t, j.Site)
	}
	v := j.Door.Visit(id)
	if v != nil {
		at = with(at, v.Takes, nil)
	}
	if n.Kind == jobs.VisitAhead {
		if v != nil && !v.At.After(now) {
			return say.Text{}
		}
		return because(say.F("visit %s is %s", id, at), n.Args["why"])
	}
	text := say.F("visit %s is now, %s", id, at)
	if v != nil && now.Sub(v.At) > late {
		text = say.F("visit %s was due %s", id, at)
	}
	return say.F("%s; answer done, snooze 2h, move visit to a time, or cancel visit because of something", because(text, n.Args["why"]))
}

// Keep puts a text into the arguments of a notice that is about what happened,
// not about a state. It stands there in English under its name, which is all
// that replicas of an earlier version read, and as it is behind "say_" unless
// that is in nobody's language.
func Keep(args map[string]string, name string, text say.Text) {
	args[name] = text.String()
	kept, _ := json.Marshal(text) // strings always marshal
	if plain, _ := json.Marshal(say.Plain(args[name])); !bytes.Equal(kept, plain) {
		args["say_"+name] = string(kept)
	}
}

// Kept returns a text that [Keep] has put into the arguments of a notice.
func Kept(args map[string]string, name string) say.Text {
	var text say.Text
	if json.Unmarshal([]byte(args["say_"+name]), &text) != nil || text.IsZero() {
		return say.Plain(args[name])
	}
	return text
}

// Outdone reports whether a later reminder of the same subject, to the same
// people, is due by now: of what has piled up the latest is said. So is word of
// the door that had the id before this one.
func Outdone(j *jobs.Job, n jobs.Notice, now time.Time) bool {
	pending, id := jobs.Pending(&j.Door, j.Sheet, j.Site), strings.TrimPrefix(n.ID, n.Door+":")
	if j.Door.Past(id) {
		return true
	}
	this, ok := pending[id]
	if !ok {
		return false
	}
	for _, r := range pending {
		later := Subject(r.ID) == Subject(id) && r.Due.After(this.Due) && !r.Due.After(now)
		if later && within(j.Site.Told(&j.Door.Spec, this.Args["to"], now), j.Site.Told(&j.Door.Spec, r.Args["to"], now)) {
			return true
		}
	}
	return false
}

// within reports whether all of some people are among others.
func within(some, others []string) bool {
	return !slices.ContainsFunc(some, func(who string) bool { return !slices.Contains(others, who) })
}

// late is how long after its time a visit is no longer now: our own.
const late = 30 * time.Minute

// ByID stands before the id of a reminder that a button puts off.
const ByID = "reminder "
