package board

import (
	"context"
	"fmt"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Digest draws the foreman's morning board: what changed since the last one,
// and the stages. Times that were missed are caught up by this one, which
// says so.
func Digest(ctx context.Context, d *desk.Desk, n jobs.Notice) (bot.Post, []jobs.Notice, error) {
	now, site := d.Clock(), d.SiteByID(n.Args["site"])
	if site == nil || site.Archived(now) {
		return bot.Post{}, nil, nil
	}
	since, err := time.Parse(time.RFC3339, n.Args["since"])
	if err != nil {
		since = now
	}
	if now.Sub(n.Due.Time()) > time.Hour && !site.Open(now) {
		// Missed, and nobody is at work to read it: it folds into the next.
		return bot.Post{}, d.Recurring(n), nil
	}
	lines, err := Stages(ctx, d, site, 1, now)
	if err != nil {
		return bot.Post{}, nil, err
	}
	changed, _, err := d.Doors(ctx, site, "changed", 0, desk.PageSize+1)
	if err != nil {
		return bot.Post{}, nil, err
	}
	for i, j := range changed {
		if i == desk.PageSize && !j.Door.Updated.Before(since) {
			lines = append(lines, "and others changed: board shows all")
		} else if !j.Door.Updated.Before(since) {
			happened, err := happened(ctx, d, j, since)
			if err != nil {
				return bot.Post{}, nil, err
			}
			lines = append(lines, strings.TrimSuffix("changed: "+j.Door.Spec.ID+", "+string(j.Door.Stage)+": "+happened, ": "))
		}
	}
	if missed := site.Digests.Missed(n.Due.Time(), now, site.Zone); missed > 0 {
		lines = append(lines, fmt.Sprintf("the bot was away: this stands for %d more", missed))
	}
	post := bot.Post{Channel: site.Channels[0], Kind: bot.KindBoard, Text: strings.Join(lines, "\n")}
	next, ok := site.Digests.Next(now, site.Zone)
	if !ok {
		return post, nil, nil
	}
	return post, []jobs.Notice{desk.DigestNotice(site, next, now)}, nil
}

// lookedBack is how many entries of a door's log the digest looks through: more
// than a day's work, a line that long is read by nobody.
const lookedBack = 100

// happened tells in a few words what was done at a door since a time.
func happened(ctx context.Context, d *desk.Desk, j *jobs.Job, since time.Time) (string, error) {
	var events []jobs.Event
	for entry, err := range d.Log(ctx, j.Key, max(0, j.Rec.Version-lookedBack)) {
		if err != nil {
			return "", err
		}
		if entry.At.Time().Before(since) {
			continue
		}
		more, err := tell.ReadEvents(entry.Data)
		if err != nil {
			return "", nil // a later version's: the board is told without it
		}
		events = append(events, more...)
	}
	return tell.Summary(tell.Lasting(events)), nil
}
