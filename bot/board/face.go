package board

import (
	"context"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/tell"
)

// Face draws a door's top post from the state of now.
func Face(ctx context.Context, d *desk.Desk, key string) (bot.Post, error) {
	j, err := d.Job(ctx, key)
	if err != nil {
		return bot.Post{}, err
	}
	now, s := d.Clock(), &j.Door.Spec
	lines := append([]string{"door " + s.ID + ", " + string(j.Door.Stage)}, tell.NextLines(j)...)
	if j.Curing() {
		lines = append(lines, tell.CureText(j, now))
	}
	for _, v := range j.Door.Planned() {
		lines = append(lines, tell.VisitLine(&v, j.Site, now))
	}
	if open := j.Door.OpenSnags(); len(open) > 0 {
		texts := make([]string, len(open))
		for i, o := range open {
			texts[i] = o.ID + " " + o.Text + ", @" + o.Owner
		}
		lines = append(lines, lex.Count(len(open), "open snag")+": "+strings.Join(texts, "; "))
	}
	lines = append(lines, "crew @"+strings.Join(s.Crew, " @")+", foreman @"+s.Foreman)
	return bot.Post{At: now, Channel: j.Site.Channels[0], Thread: s.ID, Door: key, Kind: bot.KindFace,
		Text: strings.Join(lines, "\n"), Buttons: bot.StandingButtons(d.Language, s.ID)}, nil
}
