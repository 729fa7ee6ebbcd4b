package web

import (
	"heelpost/bot/say"
	"heelpost/jobs"
)

// words are what stands on the pages beside what the bot says, by the names
// that the templates have for them.
var words = map[string]say.Text{
	"site":        say.F("Site"),
	"clock":       say.F("Clock"),
	"you":         say.F("You"),
	"beyou":       say.F("be somebody else"),
	"log":         say.F("Site log"),
	"home":        say.F("My page"),
	"board":       say.F("Board"),
	"doors":       say.F("Doors"),
	"skip":        say.F("Go to what was said"),
	"said":        say.F("What was said"),
	"bot":         say.F("Heelpost"),
	"to":          say.F("to"),
	"write":       say.F("Write"),
	"atlog":       say.F("Ask a question, or give an order. A word to a colleague begins with @ and their name."),
	"atdoor":      say.F("Ask or tell something at this door: it knows its numbers."),
	"send":        say.F("Send"),
	"try":         say.F("To begin with"),
	"trytext":     say.F("Press one of these, or write in your own words."),
	"now":         say.F("Door now"),
	"move":        say.F("Move the clock"),
	"movetext":    say.F("What comes due on the way is said on the way."),
	"way":         say.F("Said on the way:"),
	"quiet":       say.F("Nothing was due on the way."),
	"due":         say.F("to what is due next"),
	"hour":        say.F("on by 1 hour"),
	"morning":     say.F("to tomorrow, 7:00"),
	"fixed":       say.F("The clock is the real one: what is kept here is real work."),
	"lost":        say.F("The room does not answer. It is asked again until it does."),
	"failed":      say.F("That could not be sent: it still stands there, send it again."),
	"filter":      say.F("Show"),
	"apply":       say.F("Apply"),
	"page":        say.F("Page"),
	"choose":      say.F("Who are you?"),
	"chooseintro": say.F("This is a room with a site of its own, invented from end to end. Choose whose eyes you look with; you can change that at any time, and open another tab as somebody else."),
	"choosework":  say.F("Choose who you are: what you do is put on record under that name."),
	"cancel":      say.F("Back to the door"),
	"leave":       say.F("Back to the site log"),
	"optional":    say.F("may be left empty"),
	"open":        say.F("open"),
	"done":        say.F("done"),
	"none":        say.F("not chosen"),
	"old":         say.F("only the newest are shown here; log shows a door's whole record"),
}

// roles are what people are, as it is said of them.
var roles = map[jobs.Role]say.Text{
	jobs.Crew: say.F("fitter"), jobs.Foreman: say.F("foreman"), jobs.Office: say.F("office"), jobs.Guest: say.F("guest"),
}

// starters are what a newcomer may press before writing anything, by what they
// say: a person of the site can do all of it.
var starters = []string{"gap 44 thick, 65 setback", "drill stop 12 deep, 5 template, cover 55 over pipes", "board", "help"}
