package order

import (
	"context"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// promptable are the reminders that an order may answer without naming them, as
// done, or snooze 2h.
var promptable = []string{jobs.CureEnds, jobs.VisitAhead, jobs.VisitDue, jobs.CareDue, jobs.WorkingTime, jobs.LeafStands, jobs.SnagDue, jobs.ColdAsked}

// replies are the orders that people may say among themselves, in a door's
// thread, as the answer to a reminder of one of these kinds: where a visit is
// due, "done" is that it was made. Of all others, as "tick 3", the bot takes
// those alone that are said to it.
var replies = map[string][]string{
	"done": {jobs.VisitDue, jobs.SnagDue}, "move visit": {jobs.VisitAhead, jobs.VisitDue}, "cancel visit": {jobs.VisitAhead, jobs.VisitDue},
	"yes": {jobs.CureEnds, jobs.CareDue, jobs.ColdAsked}, "snooze": promptable,
}

// ForUs reports whether an order that was overheard is for the bot: it
// answers the one reminder that waits for this person, or is "undo", which may
// take back what such an answer did. Where two wait, as of a visit and of the
// cure's end, none of them is meant without doubt. A temperature is for it where
// the door's cure lacks one.
func ForUs(ctx context.Context, d *desk.Desk, m bot.Message) (bool, error) {
	if err := d.Agree(ctx); err != nil {
		return false, err
	}
	o, rest := FindOrder(strings.TrimSpace(m.Text))
	site := d.SiteFor(&m)
	if o == nil || site == nil || m.Thread == "" {
		return false, nil
	}
	switch o.Words[0] {
	case "undo":
		return rest == "", nil
	case "done", "yes":
		if rest != "" {
			return false, nil // "done deal"
		}
	}
	kinds := replies[o.Words[0]]
	j, err := d.Find(ctx, jobs.DoorKey(site.ID, m.Thread))
	if o.Words[0] == "temperature" && j != nil {
		return j.Door.WantsWarmth(m.At, time.Hour) && slices.Contains(j.Site.Told(&j.Door.Spec, "all", m.At), m.Person), err
	}
	if kinds == nil || j == nil || err != nil {
		return false, err
	}
	subjects, fits := map[string]bool{}, false
	for _, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
		if !r.Due.After(m.At) && slices.Contains(promptable, r.Kind) && slices.Contains(j.Site.Told(&j.Door.Spec, r.Args["to"], m.At), m.Person) {
			subjects[tell.Subject(r.ID)] = true
			fits = fits || slices.Contains(kinds, r.Kind)
		}
	}
	return fits && len(subjects) == 1, nil
}
