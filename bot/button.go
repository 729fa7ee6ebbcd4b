package bot

import "heelpost/bot/say"

// Minute is how a press names an instant of the site's clocks.
const Minute = "2006-01-02 15:04"

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
