package order

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// askWhere asks at which of the doors where something waits for whoever speaks an
// order is meant that answers it, as done and snooze 2h in the channel; asked is false
// where nothing waits.
func (e *Request) askWhere(o *Order, text string) (asked bool, err error) {
	kinds := map[string][]string{"done": {jobs.VisitDue, jobs.SnagDue}, "snooze": promptable}[o.Words[0]]
	if kinds == nil || e.DoorID != "" {
		return false, nil
	}
	var c choice
	seen := map[string]bool{}
	for _, set := range []string{"person/" + e.Msg.Person + "/visits", "person/" + e.Msg.Person, "due"} {
		for j, err := range e.Desk.Counted(e.Ctx, e.Site, set) {
			if err != nil {
				return false, err
			}
			if !seen[j.Key] {
				seen[j.Key] = true
				e.waitsAt(j, o.Words[0], text, kinds, &c)
			}
		}
	}
	switch n := len(c.orders); {
	case n == 0:
		return false, nil
	case n == 1:
		e.ask(&Unfinished{Guess: c.orders[0], Question: say.F("which door? did you mean %s [%s]? say yes, or no", c.orders[0], c.notes[0])})
	case n > 9:
		e.Say(bot.KindAsk, say.F("which door? %s things wait for you: say %s, or several doors at once, as %s D-2 D-3; reminders lists them", n, say.Plain(c.orders[0]), say.Name(strings.TrimSpace(o.Words[0]+" "+text))))
	default:
		e.ask(&Unfinished{Offers: c.orders, Question: c.text()})
	}
	return true, nil
}

// waitsAt adds the orders that answer what waits at a door for whoever speaks.
func (e *Request) waitsAt(j *jobs.Job, order, text string, kinds []string, c *choice) {
	var waiting []jobs.Reminder
	for _, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
		if !r.Due.After(e.Msg.At) && slices.Contains(kinds, r.Kind) && !(r.Urgent && order == "snooze") && slices.Contains(j.Site.Told(&j.Door.Spec, r.Args["to"], e.Msg.At), e.Msg.Person) {
			waiting = append(waiting, r)
		}
	}
	slices.SortFunc(waiting, func(a, b jobs.Reminder) int { return strings.Compare(a.ID, b.ID) })
	for _, r := range latest(waiting) {
		what := []string{"door", j.Door.Spec.ID, order, r.Args["visit"] + r.Args["snag"], text}
		if order == "snooze" {
			what = []string{"door", j.Door.Spec.ID, order, text, "of", tell.Subject(r.ID)}
		}
		c.orders = append(c.orders, strings.Join(strings.Fields(strings.Join(what, " ")), " "))
		c.notes = append(c.notes, tell.Briefly(j, r, e.Msg.At))
	}
}
