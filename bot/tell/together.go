package tell

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Waiting is a reminder that waits for somebody, with its door.
type Waiting struct {
	Job    *jobs.Job
	Notice jobs.Notice
}

// Stands reports whether a reminder that was kept back still has something to
// say at now: nobody has answered it, and no later one takes its place.
func Stands(j *jobs.Job, n jobs.Notice, now time.Time) bool {
	if n.Kind != jobs.TellNow {
		r, ok := jobs.Pending(&j.Door, j.Sheet, j.Site)[strings.TrimPrefix(n.ID, n.Door+":")]
		if !ok || r.Due.After(now) {
			return false
		}
	}
	return !Remind(j, n, now).IsZero() && !Outdone(j, n, now)
}

// atFirst is how many doors a message of several reminders lists at first, and
// atMost how many where things have happened, which no order tells again.
const (
	atFirst = 5
	atMost  = 20
)

// Together tells somebody what waits for them at several doors: a line a door,
// what happened first, then what is overdue. The rest is behind a button.
func Together(l *say.Language, site *jobs.Site, who string, all []Waiting, now time.Time) (say.Text, []bot.Button) {
	doors := ByDoor(all)
	lines := []say.Text{say.F("@%s %s", who, say.Count(len(all), "1 thing waits at %s", "%s things wait at %s", doorCount(len(doors))))}
	if !slices.ContainsFunc(all, func(w Waiting) bool { return w.Notice.Kind != jobs.TellNow }) {
		lines[0] = say.F("@%s word of %s", who, doorCount(len(doors)))
	}
	shown := min(max(atFirst, happened(doors)), atMost, len(doors))
	var buttons []bot.Button
	for _, d := range doors[:shown] {
		lines = append(lines, WaitsAt(d, now))
		var answers []bot.Button
		for _, w := range d {
			answers = append(answers, w.answer(l, now)...)
		}
		for _, b := range answers {
			if same := slices.DeleteFunc(slices.Clone(answers), func(other bot.Button) bool { return other.Label != b.Label }); len(same) == 1 {
				buttons = append(buttons, b) // of two that look alike neither says which is meant
			}
		}
	}
	if more := len(doors) - shown; more > 0 {
		lines = append(lines, say.F("and at %s more: reminders", doorCount(more)))
		buttons = append(buttons, bot.Button{Label: l.Say(say.F("More")), Say: "reminders"})
	}
	for i := range site.Leave {
		if leave := &site.Leave[i]; leave.Deputy == who && site.Away(leave.Who, now) == leave {
			lines = append(lines, say.F("you stand in for @%s until %s", leave.Who, leave.Last))
		}
	}
	return say.Lines(lines...), buttons
}

func doorCount(n int) say.Text { return say.Count(n, "1 door", "%s doors") }

// ByDoor groups reminders by door: those with what happened first, then by how
// long they wait.
func ByDoor(all []Waiting) (doors [][]Waiting) {
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b Waiting) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.Notice.Due, b.Notice.Due), jobs.CompareIDs(a.Job.Key, b.Job.Key))
	})
	at := map[string]int{}
	for _, w := range all {
		i, ok := at[w.Job.Key]
		if !ok {
			i = len(doors)
			at[w.Job.Key], doors = i, append(doors, nil)
		}
		doors[i] = append(doors[i], w)
	}
	return doors
}

// rank orders reminders by how much they want to be seen.
func (w *Waiting) rank() int {
	switch w.Notice.Kind {
	case jobs.TellNow:
		return 0
	case jobs.CureEnds:
		return 1
	case jobs.VisitDue, jobs.SnagDue:
		return 2
	case jobs.VisitAhead:
		return 3
	}
	return 4
}

// happened counts the doors at which something happened.
func happened(doors [][]Waiting) (n int) {
	for _, d := range doors {
		if d[0].Notice.Kind == jobs.TellNow {
			n++
		}
	}
	return n
}

// WaitsAt tells in a line what waits at a door.
func WaitsAt(d []Waiting, now time.Time) say.Text {
	texts := make([]say.Text, len(d))
	for i := range d {
		texts[i] = d[i].brief(now)
	}
	return say.F("%s: %s", d[0].Job.Door.Spec.ID, say.Join("; ", texts...))
}

// Briefly tells a reminder that waits at a door in a few words.
func Briefly(j *jobs.Job, r jobs.Reminder, now time.Time) say.Text {
	w := Waiting{j, jobs.Notice{ID: j.Key + ":" + r.ID, Kind: r.Kind, Door: j.Key, Due: jobs.DueAt(r.Due), Args: r.Args}}
	return w.brief(now)
}

// brief is a reminder in a few words.
func (w *Waiting) brief(now time.Time) say.Text {
	j, n := w.Job, w.Notice
	switch n.Kind {
	case jobs.CureEnds:
		text := say.F("check the control sample, the leaf stays still until then")
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok && len(j.Door.Planned()) == 0 {
			return say.F("%s (return visit %s?)", text, bot.Instant(visit, j.Site))
		}
		return text
	case jobs.VisitDue:
		v := j.Door.Visit(n.Args["visit"])
		if v == nil {
			break
		}
		if now.Sub(v.At) > late {
			return because(say.F("visit %s was due %s", v.ID, bot.Instant(v.At, j.Site)), v.Why)
		}
		return because(say.F("visit %s is now", v.ID), v.Why)
	case jobs.SnagDue:
		if snag := j.Door.Snag(n.Args["snag"]); snag != nil {
			if !snag.Due.After(now) {
				return say.F("snag %s was due %s: %s", snag.ID, bot.Instant(snag.Due, j.Site), recorded(snag.Text))
			}
			return say.F("snag %s by %s: %s", snag.ID, bot.Instant(snag.Due, j.Site), recorded(snag.Text))
		}
	case jobs.CareDue:
		if visit, ok := j.Proposed(n.Kind, n.Args["visit"], now); ok {
			return say.F("return after handover (%s): %s?", recorded(n.Args["for"]), bot.Instant(visit, j.Site))
		}
		return say.F("return after handover (%s)", recorded(n.Args["for"]))
	}
	return Remind(j, n, now)
}

// answer returns the button that answers a reminder from anywhere, if one does.
func (w *Waiting) answer(l *say.Language, now time.Time) []bot.Button {
	id, all := w.Job.Door.Spec.ID, ReminderButtons(l, w.Job, w.Notice, now)
	switch {
	case len(all) == 0:
		return nil
	case w.Notice.Kind == jobs.VisitDue || w.Notice.Kind == jobs.SnagDue:
		return []bot.Button{{Label: l.Say(say.F("Done %s %s", id, cmp.Or(w.Notice.Args["visit"], w.Notice.Args["snag"]))), Say: "door " + id + " " + all[0].Say}}
	case strings.HasPrefix(all[0].Say, "yes "):
		return []bot.Button{{Label: l.Say(say.F("Yes %s", id)), Say: "door " + id + " " + all[0].Say}}
	}
	return nil
}
