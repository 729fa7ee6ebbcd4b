package sim

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// word is what one person must hear of what somebody else did with what was theirs.
type word struct {
	who, part string // and what it says
	due       time.Time
	from, to  int64 // the door's versions that the word on it may name
}

// parted notes whom a change concerns that they did not make: who is taken off the
// door, whose visit somebody else made, whose snag somebody else closed.
func (r *rules) parted(d *watched, events []jobs.Event, i int, version int64) {
	e, l := &events[i], d.led
	owe := func(who, part string) {
		if who == e.By || !l.pl.there(who) || slices.ContainsFunc(d.words, func(w word) bool { return w.who == who && w.part == part && w.to == version+int64(len(events)) }) {
			return
		}
		r.count["parted"]++
		d.words = append(d.words, word{who, part, l.pl.quiet(e.At), version, version + int64(len(events))})
	}
	switch e.Kind {
	case jobs.Opened:
		d.words = nil // what was of the door before it has nobody left to hear it
	case jobs.Corrected:
		now := append(slices.Clone(e.Spec.Crew), e.Spec.Foreman)
		for _, who := range append(slices.Clone(l.spec.Crew), l.spec.Foreman) {
			if !slices.Contains(now, who) {
				owe(who, "it is not yours any more")
			}
		}
	case jobs.VisitDone:
		who := l.visits[e.Item].who
		if len(who) == 0 {
			who = l.spec.Crew
		}
		for _, one := range who {
			if !slices.Contains(who, e.By) {
				owe(one, fmt.Sprintf("%s is done, says @%s", e.Item, e.By))
			}
		}
	case jobs.SnagClosed:
		if !slices.ContainsFunc(events, func(e jobs.Event) bool { return e.Kind == jobs.Corrected }) { // then it fits by itself
			owe(l.snags[e.Item], fmt.Sprintf("%s is closed by @%s", e.Item, e.By))
		}
	}
}

// wordCame takes a word that is said off those that are owed.
func (d *watched) wordCame(id string, p *bot.Post, now time.Time) {
	var version int64
	if n, err := fmt.Sscanf(id, "tell:%d:", &version); n != 1 || err != nil {
		return
	}
	d.words = slices.DeleteFunc(d.words, func(w word) bool {
		to := slices.Contains(strings.Fields(p.To), d.led.pl.stands(w.who, now))
		return to && w.from < version && version <= w.to && (len(p.Says) > 0 || strings.Contains(p.Text, w.part))
	})
}

// unsaid checks that nobody waits for a word that is owed to them.
func (r *rules) unsaid(d *watched) {
	for _, w := range d.words {
		r.check(!r.late(r.sayable(d, "tell", w.due)), "%s: @%s was not told: %s, due at %s", d.key, w.who, w.part, w.due)
	}
}
