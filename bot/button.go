package bot

import (
	"time"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Minute is how a press names an instant of the site's clocks.
const Minute = "2006-01-02 15:04"

// Instant is how a point in time is told at a site, as "Mon 2027-03-01 08:00".
func Instant(t time.Time, site *jobs.Site) say.Text {
	t = t.In(site.Zone)
	return say.F("%s %s", Weekdays[t.Weekday()], t.Format(Minute))
}

// Weekdays are the short names of the days of the week, from Sunday on.
var Weekdays = [...]say.Text{say.F("Sun"), say.F("Mon"), say.F("Tue"), say.F("Wed"), say.F("Thu"), say.F("Fri"), say.F("Sat")}

// ReadingsButton opens the form of readings.
func ReadingsButton(l *say.Language) Button {
	return Button{Label: l.Say(say.F("Readings")), Form: "readings"}
}

// StandingButtons returns the buttons that are always there: those of a
// door's top post, or in the channel itself, where thread is "", the one that
// opens a door.
func StandingButtons(l *say.Language, thread string) []Button {
	if thread == "" {
		return []Button{{Label: l.Say(say.F("Open a door")), Form: "open"}}
	}
	return []Button{{Label: l.Say(say.F("Next")), Say: "next"}, ReadingsButton(l), {Label: l.Say(say.F("Snag")), Form: "snag"},
		{Label: l.Say(say.F("Visits")), Say: "visits"}, {Label: l.Say(say.F("Record")), Say: "log"}}
}
