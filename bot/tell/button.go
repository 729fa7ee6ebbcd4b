package tell

import (
	"fmt"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// snoozeFor is how long a press puts a reminder off.
const snoozeFor = "2h"

// What an order that enters a temperature ends with where somebody was asked.
const (
	IsSo    = "is so"
	IsNotSo = "is not so"
)

// DoubtText is the order by which a reading that is doubted is answered.
func DoubtText(d *jobs.Doubt, answer string) string {
	if d.Min != nil {
		return fmt.Sprintf("temperature %g min %g %s", float64(d.T), float64(*d.Min), answer)
	}
	return fmt.Sprintf("temperature %g %s", float64(d.T), answer)
}

// VisitLine tells a visit and what became of it.
func VisitLine(v *jobs.Visit, site *jobs.Site, now time.Time) say.Text {
	line := because(with(say.F("visit %s %s", v.ID, bot.Instant(v.At, site)), v.Takes, v.Who), v.Why)
	switch {
	case v.End == jobs.VisitDone:
		return because(say.F("%s, done", line), v.Text)
	case v.End == jobs.VisitCalled:
		return because(say.F("%s, called off", line), v.Text)
	case v.At.Before(now):
		return say.F("%s, overdue", line)
	}
	return line
}

// Planned tells a visit that is to be set, at several doors: when, how long, who comes
// and what for.
func Planned(v *jobs.SetVisit, site *jobs.Site) say.Text {
	return because(with(say.F("visit %s", bot.Instant(v.At, site)), int(v.Takes.Minutes()), v.Who), v.Why)
}

// with puts behind a visit how long it takes and who comes, as far as that was
// said.
func with(visit say.Text, minutes int, who []string) say.Text {
	parts := []say.Text{visit}
	if minutes > 0 {
		parts = append(parts, say.Plain(jobs.Lasts(minutes)))
	}
	if len(who) > 0 {
		parts = append(parts, say.F("@%s", say.Names(" @", who...)))
	}
	return say.List(parts...)
}

// NextButtons returns what settles the item that comes next, if a press of
// somebody can; also with the two after it, which [Then] tells, or with all of
// the stage that are looked at. A tick agrees to the text as it is now, so that
// a press after a correction does not confirm what nobody has read.
func NextButtons(l *say.Language, j *jobs.Job, who string, now time.Time) (buttons []bot.Button) {
	items, i, _ := j.Upcoming()
	switch {
	case i < 0:
		return nil
	case j.Door.HitBefore(&items[i]) != nil:
	case items[i].Kind == jobs.Tick:
		buttons = append(buttons, bot.Button{Label: l.Say(say.F("Tick %s %s", i+1, items[i].ID)), Say: "tick" + marked(items[i])})
	case items[i].Kind == jobs.Reading:
		buttons = append(buttons, bot.ReadingsButton(l))
	}
	if three := j.NextThree(who, now); three != nil {
		buttons = append(buttons, bot.Button{Label: l.Say(say.F("Done, and the next two")), Say: "tick" + marked(three...)})
	}
	if len(j.Run(who, now)) > 1 {
		buttons = append(buttons, bot.Button{Label: l.Say(say.F("Tick several")), Form: "ticks"})
	}
	return buttons
}

// marked names items, each with the mark of its text, as a tick takes them.
func marked(items ...jobs.Item) string {
	var names string
	for _, it := range items {
		names += " " + it.ID + " #" + it.Mark()
	}
	return names
}

// AnewButton ticks what holds for its day anew, and what waits for that: on one
// day only.
func AnewButton(l *say.Language, items []jobs.Item, day jobs.Date) bot.Button {
	label := say.F("Yes, both")
	if len(items) == 2 {
		label = say.F("Yes, that too")
	}
	return bot.Button{Label: l.Say(label), Say: "tick" + marked(items...) + " today " + day.String()}
}

// VisitButtons returns how a planned visit is answered from anywhere but its
// reminder.
func VisitButtons(l *say.Language, v *jobs.Visit) []bot.Button {
	return []bot.Button{{Label: l.Say(say.F("Done %s", v.ID)), Say: "visit done " + v.ID}, {Label: l.Say(say.F("Move %s", v.ID)), Form: "move " + v.ID}}
}

// ReminderButtons returns how a reminder is answered. What it would hurt to
// leave can't be put off.
func ReminderButtons(l *say.Language, j *jobs.Job, n jobs.Notice, now time.Time) []bot.Button {
	snooze := bot.Button{Label: l.Say(say.F("Snooze")), Say: "snooze " + snoozeFor + " of " + ByID + strings.TrimPrefix(n.ID, n.Door+":")}
	visit := n.Args["visit"]
	move := bot.Button{Label: l.Say(say.F("Move visit")), Form: "move " + visit}
	switch n.Kind {
	case jobs.VisitAhead:
		return []bot.Button{snooze, move}
	case jobs.SnagDue:
		return []bot.Button{{Label: l.Say(say.F("Done")), Say: "done " + n.Args["snag"]}, snooze}
	case jobs.ColdAsked:
		c := j.Door.Cure(j.Door.Updated)
		if c.Doubt == nil {
			return nil
		}
		return []bot.Button{{Label: l.Say(say.F("Yes")), Say: DoubtText(c.Doubt, IsSo)}, {Label: l.Say(say.F("No")), Say: DoubtText(c.Doubt, IsNotSo)}, snooze}
	case jobs.VisitDue:
		return []bot.Button{{Label: l.Say(say.F("Done")), Say: "visit done " + visit}, snooze, move}
	case jobs.CureEnds, jobs.CareDue:
		at, ok := j.Proposed(n.Kind, visit, now)
		if !ok || n.Kind == jobs.CureEnds && len(j.Door.Planned()) > 0 {
			return []bot.Button{snooze}
		}
		return []bot.Button{{Label: l.Say(say.F("Yes")), Say: "yes " + at.In(j.Site.Zone).Format(bot.Minute)}, snooze}
	}
	return nil
}
