package tell

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Waits returns what at a door waits for one person: reminders that wait for
// their answer, also of a snag that is somebody else's, snags of theirs, and what
// nobody else may settle.
func Waits(j *jobs.Job, who string, now time.Time) (all []AgendaLine) {
	reminder := true
	add := func(at time.Time, overdue bool, text say.Text) {
		all = append(all, AgendaLine{at, overdue, say.F("%s: %s", j.Door.Spec.ID, text), []string{who}, j.Door.Spec.ID, reminder})
	}
	said := map[string]bool{}
	if c := j.Door.Cure(now); c.Doubt != nil && j.Curing() && (c.Doubt.By == who || slices.Contains(j.Site.Told(&j.Door.Spec, "foreman", now), who)) {
		add(c.Doubt.Asked, true, doubted(c.Doubt))
	}
	if void := VoidCure(j); !void.IsZero() && slices.Contains(j.Site.Told(&j.Door.Spec, "foreman", now), who) {
		add(j.Door.Updated, true, void)
	}
	for _, r := range due(j, now) {
		if said[Subject(r.ID)] || !slices.Contains(j.Site.Told(&j.Door.Spec, r.Args["to"], now), who) {
			continue
		}
		said[Subject(r.ID)] = true
		switch r.Kind {
		case jobs.VisitDue:
			if v := j.Door.Visit(r.Args["visit"]); v != nil {
				add(v.At, true, VisitLine(v, j.Site, now))
			}
		case jobs.CureEnds:
			add(r.Due, true, CureText(j, now))
		case jobs.CareDue:
			add(r.Due, false, say.F("return after handover (%s): yes, or visit and a time", recorded(r.Args["for"])))
		case jobs.LeafStands:
			add(r.Due, true, say.F("the leaf is stood up and the head pivot is not engaged"))
		case jobs.SnagDue: // it stands below
		default:
			if text := Briefly(j, r, now); !text.IsZero() {
				add(r.Due, false, text)
			}
		}
	}
	for _, s := range j.Door.OpenSnags() {
		if reminder = said["snag:"+s.ID]; reminder || s.Owner == who || j.Site.Acting(s.Owner, now) == who {
			add(s.Due, Late(&s, now), say.F("snag %s", SnagLine(&s, j, now)))
		}
	}
	reminder = false
	awaits := map[string]bool{}
	for _, of := range j.Site.StandsFor(who, now) {
		for _, id := range j.Awaits(of, now) {
			awaits[id] = true
		}
	}
	for _, id := range slices.Sorted(maps.Keys(awaits)) {
		add(j.Door.Updated, false, say.F("%s waits for you", item(j, id)))
	}
	return all
}

// due returns the reminders of a door that were due by now, the latest first.
func due(j *jobs.Job, now time.Time) (out []jobs.Reminder) {
	for _, r := range jobs.Pending(&j.Door, j.Sheet, j.Site) {
		if !r.Due.After(now) {
			out = append(out, r)
		}
	}
	slices.SortFunc(out, func(a, b jobs.Reminder) int {
		if c := b.Due.Compare(a.Due); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	})
	return out
}

// named is how many items a line names before it counts the rest.
const named = 3

// CanDo tells which items somebody can settle at a door.
func CanDo(j *jobs.Job, ids []string) say.Text {
	names := make([]string, 0, named)
	for _, id := range ids[:min(len(ids), named)] {
		names = append(names, item(j, id))
	}
	if more := len(ids) - named; more > 0 {
		return say.F("%s: %s and %s more", j.Door.Spec.ID, say.Names(", ", names...), more)
	}
	return say.F("%s: %s", j.Door.Spec.ID, say.Names(", ", names...))
}

// HeldBy tells the first of the holds that a door waits for.
func HeldBy(j *jobs.Job, ids []string) say.Text {
	return say.Plain(fmt.Sprintf("%s (%s)", j.Door.Spec.ID, item(j, ids[0])))
}

// lookedAt are the changes that people make at the door, and not from afar.
var lookedAt = []jobs.EventKind{jobs.Ticked, jobs.Read, jobs.Pictured, jobs.Mixed, jobs.Bonded, jobs.WarmthRead, jobs.VisitDone, jobs.SnagClosed, jobs.Knocked}

// LastThere tells who entered something last at a door among changes of its log,
// nothing if nobody did.
func LastThere(j *jobs.Job, events []jobs.Event) say.Text {
	for _, e := range slices.Backward(Lasting(events)) {
		if slices.Contains(lookedAt, e.Kind) {
			return say.F("last entry from there: @%s, %s", e.By, bot.Instant(e.At, j.Site))
		}
	}
	return say.Text{}
}
