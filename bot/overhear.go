package bot

import (
	"context"
	"errors"
	"slices"
	"strings"

	"heelpost/jobs"
)

// promptable are the reminders that a plain word may answer.
var promptable = []string{jobs.CureEnds, jobs.AskWarmth, jobs.VisitAhead, jobs.VisitDue, jobs.CareDue, jobs.WorkingTime, jobs.LeafStands}

// replies are the orders that people may say among themselves, in a door's
// thread, as the answer to a reminder of one of these kinds. All others are
// said to the bot.
var replies = map[string][]string{
	"done": {jobs.VisitDue}, "move visit": {jobs.VisitAhead, jobs.VisitDue}, "cancel visit": {jobs.VisitAhead, jobs.VisitDue},
	"yes": {jobs.CureEnds, jobs.CareDue}, "temperature": {jobs.AskWarmth}, "snooze": promptable,
}

// everyday are the names of questions that people say among themselves without
// a thought of the bot: is it clear, stop, let us lift it.
var everyday = wordSet("stop clear reach reaches leaf plate lift lifting cure curing cures plumb hardening")

// forUs reports whether an order that was overheard is for the bot: it
// answers the one reminder that waits for this person, or takes back what
// such an answer did.
func (d *Desk) forUs(ctx context.Context, m Message) (bool, error) {
	if err := d.agree(ctx); err != nil {
		return false, err
	}
	o, rest := findOrder(strings.TrimSpace(m.Text))
	site := d.siteFor(&m)
	if o == nil || site == nil || m.Thread == "" {
		return false, nil
	}
	switch o.words[0] {
	case "undo":
		return rest == "", nil
	case "done", "yes":
		if rest != "" {
			return false, nil // "done deal"
		}
	}
	kinds := replies[o.words[0]]
	j, err := d.job(ctx, doorKey(site.ID, m.Thread))
	if errors.Is(err, jobs.ErrNotFound) {
		err = nil
	}
	if kinds == nil || j == nil || err != nil {
		return false, err
	}
	prompts, fits := map[string]bool{}, false
	for _, r := range jobs.Pending(&j.door, j.sheet, j.site) {
		if !r.Due.After(m.At) && slices.Contains(promptable, r.Kind) && slices.Contains(j.door.Spec.Told(r.Args["to"]), m.Person) {
			prompts[subject(r.ID)] = true
			fits = fits || slices.Contains(kinds, r.Kind)
		}
	}
	return fits && len(prompts) == 1, nil
}

// subject is what a reminder is about, as people say it: the repetitions and
// the heads-up of one visit are one.
func subject(id string) string {
	parts := strings.Split(id, ":")
	last := len(parts) - 1
	if slices.Contains([]string{"again", "foreman", "ahead", "morning"}, parts[last]) || parts[last] != "" && isDigit(parts[last][0]) {
		parts = parts[:last]
	}
	return strings.Join(parts, " ")
}
