package bot

import (
	"context"
	"fmt"
	"strings"
	"time"

	"heelpost/jobs"
)

// minute is how a press names an instant of the site's clocks.
const minute = "2006-01-02 15:04"

// snoozeFor is how long a press puts a reminder off.
const snoozeFor = "2h"

var readingsButton = Button{Label: "Readings", Form: "readings"}

// StandingButtons returns the buttons that are always there: those of a
// door's top post, or in the channel itself, where thread is "", the one that
// opens a door.
func StandingButtons(thread string) []Button {
	if thread == "" {
		return []Button{{Label: "Open a door", Form: "open"}}
	}
	return []Button{{Label: "Next", Say: "next"}, readingsButton, {Label: "Snag", Form: "snag"},
		{Label: "Visits", Say: "visits"}, {Label: "Record", Say: "log"}}
}

// Press carries out what a pressed button says. What waits for a reply of
// the person goes on waiting: a press is none.
func (d *Desk) Press(ctx context.Context, m Message) ([]Post, error) {
	posts, _, ok, err := d.Handle(ctx, m)
	if !ok && err == nil {
		posts = []Post{m.reply(KindError, "that button says "+cutText(m.Text, 40)+", which is no order: help door tells what can be said")}
	}
	return posts, err
}

// Face draws a door's top post from the state of now.
func (d *Desk) Face(ctx context.Context, key string) (Post, error) {
	j, err := d.job(ctx, key)
	if err != nil {
		return Post{}, err
	}
	now, s := d.clock(), &j.door.Spec
	lines := append([]string{"door " + s.ID + ", " + string(j.door.Stage)}, j.nextLines()...)
	if j.curing() {
		lines = append(lines, j.cureText(now))
	}
	for _, v := range j.door.Planned() {
		lines = append(lines, visitLine(&v, j.site, now))
	}
	if open := j.door.OpenSnags(); len(open) > 0 {
		texts := make([]string, len(open))
		for i, o := range open {
			texts[i] = o.ID + " " + o.Text + ", @" + o.Owner
		}
		lines = append(lines, count(len(open), "open snag")+": "+strings.Join(texts, "; "))
	}
	lines = append(lines, "crew @"+strings.Join(s.Crew, " @")+", foreman @"+s.Foreman)
	return Post{At: now, Channel: j.site.Channels[0], Thread: s.ID, Door: key, Kind: KindFace,
		Text: strings.Join(lines, "\n"), Buttons: StandingButtons(s.ID)}, nil
}

// curing reports whether the door's bonds have still to be looked at.
func (j *job) curing() bool {
	return len(j.door.Bonds) > 0 && !j.door.Items["sample"].Settled()
}

// visitLine tells a visit and where it stands.
func visitLine(v *jobs.Visit, site *jobs.Site, now time.Time) string {
	line := "visit " + v.ID + " " + said(v.At, site) + because(v.Why)
	switch {
	case v.End == jobs.VisitDone:
		line += ", done" + because(v.Text)
	case v.End == jobs.VisitCalled:
		line += ", called off" + because(v.Text)
	case v.At.Before(now):
		line += ", overdue"
	}
	return line
}

// nextButtons returns what settles the item that comes next, if a press can.
// A tick agrees to the text as it is now, so that a press after a correction
// does not confirm what nobody has read.
func (j *job) nextButtons() []Button {
	items, i, _ := j.upcoming()
	switch {
	case i < 0:
	case items[i].Kind == jobs.Tick:
		return []Button{{Label: fmt.Sprintf("Tick %d %s", i+1, items[i].ID), Say: "tick " + items[i].ID + " #" + items[i].Mark()}}
	case items[i].Kind == jobs.Reading:
		return []Button{readingsButton}
	}
	return nil
}

// visitButtons returns how a planned visit is answered from anywhere but its
// reminder.
func visitButtons(v *jobs.Visit) []Button {
	return []Button{{Label: "Done " + v.ID, Say: "visit done " + v.ID}, {Label: "Move " + v.ID, Form: "move " + v.ID}}
}

// reminderButtons returns how a reminder is answered. What it would hurt to
// leave can't be put off.
func (j *job) reminderButtons(n jobs.Notice, now time.Time) []Button {
	snooze := Button{Label: "Snooze", Say: "snooze " + snoozeFor + " of " + byID + strings.TrimPrefix(n.ID, n.Door+":")}
	visit := n.Args["visit"]
	move := Button{Label: "Move visit", Form: "move " + visit}
	switch n.Kind {
	case jobs.AskWarmth:
		return []Button{snooze}
	case jobs.VisitAhead:
		return []Button{snooze, move}
	case jobs.VisitDue:
		return []Button{{Label: "Done", Say: "visit done " + visit}, snooze, move}
	case jobs.CureEnds, jobs.CareDue:
		at, ok := j.proposed(n.Kind, visit, now)
		if !ok || n.Kind == jobs.CureEnds && len(j.door.Planned()) > 0 {
			return []Button{snooze}
		}
		return []Button{{Label: "Yes", Say: "yes " + at.In(j.site.Zone).Format(minute)}, snooze}
	}
	return nil
}
