package board

import (
	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// first is the example of a question that a welcome names.
const first = "gap 44 thick, 65 setback"

// Welcome tells somebody in three sentences what to type first.
func Welcome(d *desk.Desk, m *bot.Message) []say.Text {
	site := d.SiteFor(m)
	role := jobs.Guest
	if site != nil {
		role = site.Role(m.Person)
	} else if len(d.Places(m.Person)) > 1 {
		return []say.Text{say.F("I look after the doors of your sites: say board in the channel of one, to see it"), asking, listing}
	}
	return welcome(role, m.Person)
}

var (
	asking  = say.F("ask me as you speak, as %s, or gap alone in a door's thread", first)
	listing = say.F("help shows what is typed all day, help all the questions, help door what can be said at a door")
)

// welcome is what somebody of a role is told.
func welcome(role jobs.Role, person string) []say.Text {
	switch role {
	case jobs.Crew:
		return []say.Text{say.F("doors mine lists your doors; in a door's thread, next says what comes next"), asking, listing}
	case jobs.Foreman, jobs.Office:
		return []say.Text{say.F("board shows the site, reminders what waits for you; door open A-101 begins a door, and asks for the rest"), asking, listing}
	}
	return []say.Text{say.F("I answer questions of the trade: type %s", first),
		say.F("help lists the questions; board, in a site's channel, shows its doors"),
		say.F("no site file names you, so you can't change a door: the office can add you, as %s", person)}
}

// WelcomeAll tells a channel in three sentences what to type first.
func WelcomeAll(d *desk.Desk, m *bot.Message) []say.Text {
	site := d.SiteFor(m)
	if site == nil {
		return []say.Text{say.F("I answer questions of the trade here: type my name, and %s", first),
			say.F("help, behind my name, lists the questions"),
			say.F("no site file names this channel, so no door is worked on in it: the office can add it to one, under channels")}
	}
	return []say.Text{say.F("I look after the doors of %s: each has a thread of its own here", site.Name),
		say.F("type my name, and door open A-101 to begin one, or board to see them all"),
		say.F("a question is asked the same way, as %s; help lists them", first)}
}
