package board

import (
	"context"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// How long nothing was read at a door that is asked about: one that was read in
// the afternoon tells as much before the night, and by the morning a reading of
// over four hours ago tells of no more: the four hours of [calc.ReadWithin], and
// two of our own.
const (
	unreadAtNight   = 2 * time.Hour
	unreadAtMorning = 4 * time.Hour
)

// Warmth draws the one question of a site for the temperatures that its curing
// doors lack: nothing if none lacks one, or nobody is at work by now.
func Warmth(ctx context.Context, d *desk.Desk, n jobs.Notice) (bot.Post, []jobs.Notice, error) {
	now, site := d.Clock(), d.SiteByID(n.Args["site"])
	next := d.Recurring(n)
	if site == nil || site.Archived(now) || !site.Open(now) {
		return bot.Post{}, next, nil
	}
	_, night, _ := site.AskWarmth(n.Due.Time().Add(-time.Millisecond))
	unread := unreadAtMorning
	if night {
		unread = unreadAtNight
	}
	var doors, people []string
	for j, err := range d.Counted(ctx, site, "curing") {
		if err != nil {
			return bot.Post{}, nil, err
		}
		if !j.Door.WantsWarmth(now, unread) {
			continue
		}
		doors = append(doors, j.Door.Spec.ID)
		told := j.Site.Told(&j.Door.Spec, "crew", now)
		if !night {
			told = j.Site.Told(&j.Door.Spec, "all", now)
		}
		for _, who := range told {
			if !slices.Contains(people, who) {
				people = append(people, who)
			}
		}
	}
	if len(doors) == 0 {
		return bot.Post{}, next, nil
	}
	slices.SortFunc(doors, jobs.CompareIDs)
	example := strings.Join(doors[:min(len(doors), 3)], ", ")
	more := say.Text{}
	if len(doors) > desk.PageSize {
		more, doors = say.F("and %s more", len(doors)-desk.PageSize), doors[:desk.PageSize]
	}
	at := say.List(say.Names(", ", doors...), more)
	text := say.F("@%s nothing was read since the last day of work at %s, so the sheet's lowest counts: how warm is the substrate now, and what was the lowest by a max-min thermometer? say temperature 14 min 8 for %s", say.Names(" @", people...), at, example)
	if night {
		text = say.F("@%s before the night: how warm is the substrate at %s? say temperature 14 for %s; from four hours after it the sheet's lowest counts, unless a max-min thermometer lies there and is read tomorrow, or the foreman says held 18 until Friday in the door's thread", say.Names(" @", people...), at, example)
	}
	return bot.Post{Channel: site.Channels[0], Kind: bot.KindReminder, Site: site.ID, Text: d.Language.Say(text)}, next, nil
}
