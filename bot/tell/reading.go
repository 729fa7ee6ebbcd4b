package tell

import (
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/lex"
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
func FailedText(n jobs.Notice, site *jobs.Site) string {
	of := ""
	if n.Door != "" {
		of = " of door " + jobs.DoorID(n.Door)
	}
	return fmt.Sprintf("%s%s, due %s: %s", n.Kind, of, Said(n.Due.Time(), site), n.Why)
}

// Subject is what a reminder is about, as people say it: the repetitions and
// the heads-up of one visit are one.
func Subject(id string) string {
	parts := strings.Split(id, ":")
	last := len(parts) - 1
	if slices.Contains([]string{"again", "foreman", "ahead", "morning"}, parts[last]) || parts[last] != "" && lex.IsDigit(parts[last][0]) {
		parts = parts[:last]
	}
	return strings.Join(parts, " ")
}
