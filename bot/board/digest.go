package board

import (
	"context"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
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
	if now.Sub(n.Due.Time()) > time.Hour && !site.Open(now) || !site.ClosedOn(jobs.DateOf(now.In(site.Zone))).IsZero() {
		// Nobody is at work to read it: it folds into the next.
		return bot.Post{}, d.Recurring(n), nil
	}
	v, err := Whole(ctx, d, site, PhoneLines-digestChanges, now)
	if err != nil {
		return bot.Post{}, nil, err
	}
	lines, err := Changes(ctx, d, site, since)
	if err != nil {
		return bot.Post{}, nil, err
	}
	if len(lines) > digestChanges {
		v.Lines = append(v.Lines, lines[:digestChanges-1]...)
		v.Lines = append(v.Lines, say.F("and %s more changed: changes", len(lines)-digestChanges+1))
		v.Buttons = append(v.Buttons, bot.Button{Label: d.Language.Say(say.F("Changes")), Say: "changes"})
	} else {
		v.Lines = append(v.Lines, lines...)
	}
	if missed := site.Digests.Missed(n.Due.Time(), now, site.Zone); missed > 0 {
		v.Lines = append(v.Lines, say.F("the bot was away: this stands for %s more", missed))
	}
	post := bot.Post{Channel: site.Channels[0], Kind: bot.KindBoard, Text: d.Language.Say(say.Lines(v.Lines...)), Buttons: v.Buttons, Picture: v.Picture}
	next, ok := site.NextDigest(now)
	if !ok {
		return post, nil, nil
	}
	return post, []jobs.Notice{desk.DigestNotice(site, next, now)}, nil
}

// digestChanges is how many lines the digest has of what changed.
const digestChanges = 4

// Changes tells of the doors of a site that changed since a time.
func Changes(ctx context.Context, d *desk.Desk, site *jobs.Site, since time.Time) (lines []say.Text, err error) {
	list, _, err := d.Doors(ctx, site, "changed", 0, desk.PageSize+1)
	for i, j := range list {
		switch {
		case j.Door.Updated.Before(since):
			return lines, nil // the latest come first
		case i == desk.PageSize:
			return append(lines, say.F("and others changed: board shows all")), nil
		}
		happened, err := happened(ctx, d, j, since)
		if err != nil {
			return nil, err
		}
		lines = append(lines, say.F("changed: %s", say.Join(": ", say.F("%s, %s", j.Door.Spec.ID, say.Name(string(j.Door.Stage))), happened)))
	}
	return lines, err
}

// lookedBack is how many entries of a door's log the digest looks through: more
// than a day's work, a line that long is read by nobody.
const lookedBack = 100

// happened tells in a few words what was done at a door since a time.
func happened(ctx context.Context, d *desk.Desk, j *jobs.Job, since time.Time) (say.Text, error) {
	var events []jobs.Event
	for entry, err := range d.Log(ctx, j.Key, max(0, j.Rec.Version-lookedBack)) {
		if err != nil {
			return say.Text{}, err
		}
		if entry.At.Time().Before(since) {
			continue
		}
		more, err := tell.ReadEvents(entry.Data)
		if err != nil {
			return say.Text{}, nil // a later version's: the board is told without it
		}
		events = append(events, more...)
	}
	return tell.Summary(tell.Lasting(events)), nil
}
