package notify

import (
	"context"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// retain deletes the doors of a site whose period is over. People's names
// stand in the site file alone, so they go with it, or with their line in it.
func (s *sender) retain(ctx context.Context, n jobs.Notice) (bot.Post, []jobs.Notice, error) {
	now := s.Clock()
	site, err := s.SiteOf(ctx, n.Args["site"]) // whose file may be gone by then
	if err != nil {
		return bot.Post{}, nil, err
	}
	next := []jobs.Notice{desk.RetentionNotice(site, now)}
	if !site.Expired(now) {
		return bot.Post{}, next, nil
	}
	purged, err := s.Purge(ctx, site)
	if err != nil {
		return bot.Post{}, nil, err
	}
	if purged == 0 {
		return bot.Post{}, next, nil
	}
	return bot.Post{Channel: site.Channels[0], Kind: bot.KindBoard,
		Text: s.Language.Say(say.Count(purged, "1 door of %s deleted: the office's period after closing on %s is over", "%s doors of %s deleted: the office's period after closing on %s is over", site.Name, site.ClosedFrom))}, next, nil
}
