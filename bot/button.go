package bot

// Minute is how a press names an instant of the site's clocks.
const Minute = "2006-01-02 15:04"

var ReadingsButton = Button{Label: "Readings", Form: "readings"}

// StandingButtons returns the buttons that are always there: those of a
// door's top post, or in the channel itself, where thread is "", the one that
// opens a door.
func StandingButtons(thread string) []Button {
	if thread == "" {
		return []Button{{Label: "Open a door", Form: "open"}}
	}
	return []Button{{Label: "Next", Say: "next"}, ReadingsButton, {Label: "Snag", Form: "snag"},
		{Label: "Visits", Say: "visits"}, {Label: "Record", Say: "log"}}
}
