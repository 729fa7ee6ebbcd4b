package board

import (
	"context"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/bot/tell"
)

// Face draws a door's top post from the state of now.
func Face(ctx context.Context, d *desk.Desk, key string) (bot.Post, error) {
	j, err := d.Job(ctx, key)
	if err != nil {
		return bot.Post{}, err
	}
	now, s := d.Clock(), &j.Door.Spec
	lines := append([]say.Text{say.F("door %s, %s", s.ID, say.Name(string(j.Door.Stage)))}, tell.NextLines(j)...)
	if j.Curing() {
		lines = append(lines, tell.CureText(j, now))
	}
	for _, v := range j.Door.Planned() {
		lines = append(lines, tell.VisitLine(&v, j.Site, now))
	}
	if snags := j.Door.OpenSnags(); len(snags) > 0 {
		texts := make([]say.Text, len(snags))
		for i := range snags {
			texts[i] = tell.SnagLine(&snags[i], j, now)
		}
		lines = append(lines, say.F("%s: %s", say.Count(len(snags), "1 open snag", "%s open snags"), say.Join("; ", texts...)))
	}
	lines = append(lines, say.F("crew @%s, foreman @%s", say.Names(" @", s.Crew...), s.Foreman))
	return bot.Post{At: now, Channel: j.Site.Channels[0], Thread: s.ID, Door: key, Kind: bot.KindFace,
		Text: d.Language.Say(say.Lines(lines...)), Buttons: bot.StandingButtons(d.Language, s.ID)}, nil
}
