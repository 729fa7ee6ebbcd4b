package tell

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// WantedReadings returns the readings that can be entered now: those of the
// door's stage, or of the first that has some.
func WantedReadings(j *jobs.Job) []jobs.Item {
	items := j.Items()
	open := slices.DeleteFunc(slices.Clone(items), func(it jobs.Item) bool {
		return it.Kind != jobs.Reading || it.State.Settled() || len(jobs.Holds(items, it.Stage)) > 0
	})
	if len(open) == 0 {
		return nil
	}
	stage := open[0].Stage
	if slices.ContainsFunc(open, func(it jobs.Item) bool { return it.Stage == j.Door.Stage }) {
		stage = j.Door.Stage
	}
	return slices.DeleteFunc(open, func(it jobs.Item) bool { return it.Stage != stage })
}

// FailedText tells of a notice that was given up.
func FailedText(n jobs.Notice, site *jobs.Site) say.Text {
	kind, due := say.Name(n.Kind), bot.Instant(n.Due.Time(), site)
	if n.Door != "" {
		return say.F("%s of door %s, due %s: %s", kind, jobs.DoorID(n.Door), due, n.Why)
	}
	return say.F("%s, due %s: %s", kind, due, n.Why)
}

// Subject is what a reminder is about, as people say it: the repetitions and
// the heads-up of one visit are one.
func Subject(id string) string {
	parts := strings.Split(id, ":")
	last := len(parts) - 1
	if slices.Contains([]string{"again", "foreman", "ahead", "morning", "late"}, parts[last]) || parts[last] != "" && lex.IsDigit(parts[last][0]) {
		parts = parts[:last]
	}
	return strings.Join(parts, " ")
}
