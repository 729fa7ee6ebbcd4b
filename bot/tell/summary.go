package tell

import (
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/lex"
	"heelpost/jobs"
)

// standing leaves out what was undone among events, and its undoing.
func Lasting(events []jobs.Event) []jobs.Event {
	undone, there := map[string]bool{}, map[string]bool{}
	for i := range events {
		there[events[i].Op] = true
		if events[i].Kind == jobs.Undone {
			undone[events[i].Text] = true
		}
	}
	return slices.DeleteFunc(events, func(e jobs.Event) bool {
		return undone[e.Op] || e.Kind == jobs.Undone && there[e.Text]
	})
}

// Summary tells events in a few words: the last of each thing that stands out,
// ticks and readings by their number.
func Summary(events []jobs.Event) string {
	ticked, readings := map[string]bool{}, 0
	var about, what []string
	note := func(subject, text string) {
		if i := slices.Index(about, subject); i >= 0 {
			about, what = slices.Delete(about, i, i+1), slices.Delete(what, i, i+1)
		}
		if text != "" {
			about, what = append(about, subject), append(what, text)
		}
	}
	for i := range events {
		switch e := &events[i]; e.Kind {
		case jobs.Opened, jobs.Corrected:
			note(string(e.Kind), string(e.Kind))
		case jobs.Ticked, jobs.Pictured, jobs.NotForThis:
			ticked[e.Item] = true
			note(e.Item, "")
		case jobs.Unticked:
			if !ticked[e.Item] {
				note(e.Item, e.Item+" open again")
			}
			delete(ticked, e.Item)
		case jobs.Overridden:
			note(e.Item, e.Item+" overridden")
		case jobs.WarmthRead:
			readings++
		case jobs.Read:
			readings++
			if e.Judgement == jobs.Out {
				note(e.Item, e.Item+" out")
			} else {
				note(e.Item, "")
			}
		case jobs.SnagOpened, jobs.SnagClosed:
			note(e.Item, "snag "+e.Item+" "+strings.TrimPrefix(string(e.Kind), "snag-"))
		case jobs.Mixed:
			note("plate "+e.Item, "adhesive mixed for the "+e.Item)
		case jobs.Bonded, jobs.Knocked:
			note("plate "+e.Item, e.Item+" plate "+string(e.Kind))
		case jobs.Voided:
			note("cure "+e.Item, e.Item+" too cold to cure")
		case jobs.WordGiven:
			note("cure "+e.Item, "the maker's word for the "+e.Item)
		case jobs.VisitSet, jobs.VisitMoved, jobs.VisitCalled, jobs.VisitDone:
			note(e.Item, "visit "+e.Item+" "+strings.TrimPrefix(string(e.Kind), "visit-"))
		case jobs.Snoozed:
			note("reminders", "a reminder put off")
		case jobs.HandedOver:
			note("handover", "handed over")
		case jobs.Undone:
			note("undo", "something undone")
		}
	}
	if len(ticked) > 0 {
		what = append(what, strconv.Itoa(len(ticked))+" ticked")
	}
	if readings > 0 {
		what = append(what, lex.Count(readings, "reading"))
	}
	return strings.Join(what, ", ")
}
