package order

import (
	"context"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Press carries out what a pressed button says. What waits for a reply of
// the person goes on waiting, as a press is none, unless the press is asked
// about itself.
func Press(ctx context.Context, d *desk.Desk, m bot.Message) (Outcome, error) {
	out, ok, err := Handle(ctx, d, m)
	if !ok && err == nil {
		out.Posts = []bot.Post{m.Reply(bot.KindError, d.Language.Say(say.F("that button says %s, which is no order: help door tells what can be said", lex.CutText(m.Text, 40))))}
	}
	return out, err
}
