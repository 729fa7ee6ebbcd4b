package jobs

import (
	"fmt"
	"strings"
	"time"
)

// Line is an entry of a door's log in words.
type Line struct {
	At   time.Time
	By   string // a person's id: names stand in the site file only
	Text string
}

// Log tells the story of a door. Entries of a later version are named and
// not explained.
func Log(events []Event, zone *time.Location) []Line {
	out := make([]Line, len(events))
	for i := range events {
		out[i] = Line{events[i].At.In(zone), events[i].By, events[i].words(zone)}
	}
	return out
}

// words says what happened.
func (e *Event) words(zone *time.Location) string {
	when := e.When.In(zone).Format("2006-01-02 15:04")
	switch e.Kind {
	case Opened:
		var facts []string
		for _, f := range e.Spec.facts() {
			if f.value != "" && f.name != "sheet file" {
				facts = append(facts, f.name+" "+f.value)
			}
		}
		return "opened: " + strings.Join(facts, ", ")
	case Corrected:
		return behind("corrected: "+sayStruck(e.Struck), e.Text)
	case Ticked:
		return behind("ticked "+e.Item, e.Text)
	case Unticked:
		return behind("unticked "+e.Item, e.Text)
	case NotForThis:
		return behind("left out "+e.Item, e.Text)
	case Overridden:
		return behind("overrode "+e.Item, strings.TrimSpace(e.Text+" "+e.Word))
	case Read:
		if e.Value == nil {
			return behind("read "+e.Item+": nothing found", e.Text)
		}
		return behind(fmt.Sprintf("read %s: %v, %s (%s)", e.Item, e.Value, e.Judgement, e.Limits), e.Text)
	case Pictured:
		return "photo for " + e.Item + ": " + e.Word
	case Fixed:
		return e.Text + ", from now on fixed: " + strings.ReplaceAll(strings.Join(e.Names, ", "), "_", " ")
	case SnagOpened:
		return fmt.Sprintf("snag %s for %s: %s", e.Item, strings.Join(e.Names, " "), e.Text)
	case SnagClosed:
		return "closed snag " + e.Item + ": " + e.Text
	case Mixed:
		return fmt.Sprintf("mixed adhesive for the %s plate, batch %s, to be used by %s", e.Item, e.Text, when)
	case Bonded:
		return "bonded the " + e.Item + " plate, batch " + e.Bond.Batch
	case WarmthRead:
		return "substrate at " + e.Value.String()
	case Knocked:
		return behind("the "+e.Item+" plate was knocked", e.Text)
	case Voided:
		return fmt.Sprintf("the cure of the %s plate is void: too cold since %s", e.Item, when)
	case WordGiven:
		return behind(fmt.Sprintf("the maker's word on the %s plate, until %s: %s", e.Item, when, e.Word), e.Text)
	case VisitSet:
		return behind("visit "+e.Item+" on "+when, e.Text)
	case VisitMoved:
		return "moved visit " + e.Item + " to " + when
	case VisitCalled:
		return behind("called off visit "+e.Item, e.Text)
	case VisitDone:
		return behind("was there for visit "+e.Item, e.Text)
	case Snoozed:
		return "put off " + e.Item + " until " + when
	case StageMoved:
		return "stage: " + string(e.Stage)
	case HandedOver:
		return behind("handed over", e.Text)
	case Undone:
		return "undid the message before"
	}
	return string(e.Kind) + " (an entry of a later version)"
}

// behind puts a text behind what happened, if there is one.
func behind(what, text string) string {
	if text == "" {
		return what
	}
	return what + ": " + text
}
