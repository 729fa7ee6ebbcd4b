package talk

import (
	"strings"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/say"
)

// greets reports whether a text is no more than a greeting.
func greets(text string) bool {
	switch strings.ToLower(strings.Trim(text, " \t\n.,!?")) {
	case "hello", "hi", "hey", "hello there", "hi there", "good morning", "start", bot.Welcome:
		return true
	}
	return false
}

// welcome answers a greeting with what to type first: to all in a channel that
// the bot has come to, else to whoever greets.
func (x *exchange) welcome() outcome {
	lines, buttons := board.Welcome(x.desk, &x.m), []bot.Button(nil)
	if strings.EqualFold(x.m.Text, bot.Welcome) && x.m.Channel != "" {
		lines = board.WelcomeAll(x.desk, &x.m)
	}
	if x.desk.SiteFor(&x.m) != nil && x.m.Thread == "" {
		buttons = bot.StandingButtons(x.Language, "")
	}
	out := x.says(bot.KindAnswer, say.Lines(lines...))
	out.posts[0].Buttons = buttons
	return out
}
