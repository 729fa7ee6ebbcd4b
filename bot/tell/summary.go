package tell

import (
	"slices"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Lasting leaves out what was undone among events, and its undoing.
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

// AtHandover parts what happened at a door at its first handover: what came after
// it the office wants to hear of.
func AtHandover(d *jobs.Door, events []jobs.Event) (before, after []jobs.Event) {
	over := !d.Handover.IsZero()
	for i := range events {
		switch events[i].Kind {
		case jobs.HandedOver:
			return events[:i+1], events[i+1:]
		case jobs.HandoverTaken:
			return nil, events
		}
	}
	if over {
		return nil, events
	}
	return events, nil
}

// Summary tells events in a few words: the last of each thing that stands out,
// ticks and readings by their number. As in "opened, 12 ticked, 3 readings".
func Summary(events []jobs.Event) say.Text {
	var c changes
	for i := range events {
		c.note(&events[i])
	}
	if n := len(c.ticked); n > 0 {
		c.texts = append(c.texts, say.F("%s ticked", n))
	}
	if c.readings > 0 {
		c.texts = append(c.texts, say.Count(c.readings, "1 reading", "%s readings"))
	}
	return say.List(c.texts...)
}

// changes gathers what stands out among events.
type changes struct {
	subjects []string // what each of the texts is about, the last change last
	texts    []say.Text
	ticked   map[string]bool
	readings int
}

// set puts a text in place of what was said of its subject; the zero text
// takes that away.
func (c *changes) set(subject string, text say.Text) {
	if i := slices.Index(c.subjects, subject); i >= 0 {
		c.subjects, c.texts = slices.Delete(c.subjects, i, i+1), slices.Delete(c.texts, i, i+1)
	}
	if !text.IsZero() {
		c.subjects, c.texts = append(c.subjects, subject), append(c.texts, text)
	}
}

// note takes note of one event.
func (c *changes) note(e *jobs.Event) {
	if e.Known() {
		return
	}
	switch e.Kind {
	case jobs.Opened:
		if *c = (changes{}); e.Text != "" { // what was done at the door of this id before is not of this one
			c.set("off", say.F("called off"))
			c.set("anew", say.F("opened anew"))
			break
		}
		c.set(string(e.Kind), say.Name(string(e.Kind)))
	case jobs.Corrected:
		c.set(string(e.Kind), say.Name(string(e.Kind)))
	case jobs.Ticked, jobs.Pictured, jobs.NotForThis:
		if c.ticked == nil {
			c.ticked = map[string]bool{}
		}
		c.ticked[e.Item] = true
		c.set(e.Item, say.Text{})
	case jobs.Unticked:
		if !c.ticked[e.Item] {
			c.set(e.Item, say.F("%s open again", e.Item))
		}
		delete(c.ticked, e.Item)
	case jobs.Overridden:
		c.set(e.Item, say.F("%s overridden", e.Item))
	case jobs.WarmthRead:
		c.readings++
	case jobs.Read:
		c.readings++
		if e.Judgement == jobs.Out {
			c.set(e.Item, say.F("%s out", e.Item))
		} else {
			c.set(e.Item, say.Text{})
		}
	case jobs.SnagOpened:
		c.set(e.Item, say.F("snag %s opened", e.Item))
	case jobs.SnagPictured:
		c.set(e.Item+" photo", say.F("photo of snag %s", e.Item))
	case jobs.SnagMoved:
		if !slices.Contains(c.subjects, e.Item) {
			c.set(e.Item, say.F("snag %s given on", e.Item))
		}
	case jobs.SnagClosed:
		c.set(e.Item, say.F("snag %s closed", e.Item))
	case jobs.HandedOver:
		c.set("handed over", say.F("handed over"))
	case jobs.HandoverTaken:
		c.set("handover", say.F("handover taken back"))
	case jobs.CalledOff:
		c.set("off", say.F("called off"))
	case jobs.Recalled:
		c.set("off", say.F("no longer called off"))
	case jobs.Renamed:
		c.set("name", say.F("renamed, %s before", say.Names(", ", e.Names...)))
	case jobs.Undone:
		c.set("undo", say.F("something undone"))
	default:
		c.noteOther(e)
	}
}

// noteOther takes note of adhesive, visits and reminders.
func (c *changes) noteOther(e *jobs.Event) {
	plate, cure, where := "plate "+e.Item, "cure "+e.Item, say.Name(e.Item)
	switch e.Kind {
	case jobs.Mixed:
		c.set(plate, say.F("adhesive mixed for the %s", where))
	case jobs.MixSpoilt:
		c.set(plate, say.F("a mix of the %s thrown away", where))
	case jobs.Bonded:
		c.set(plate, say.F("%s plate bonded", where))
	case jobs.Knocked:
		c.set(plate, say.F("%s plate knocked", where))
	case jobs.WarmthAsked:
		c.set("cold", say.F("a cold reading asked about"))
	case jobs.WarmthDropped:
		c.set("cold", say.F("a cold reading is not so"))
	case jobs.Voided:
		c.set(cure, say.F("%s too cold to cure", where))
	case jobs.WarmthHeld:
		c.set("held", say.F("held warm by the foreman's word"))
	case jobs.WordGiven:
		c.set(cure, say.F("the maker's word for the %s", where))
	case jobs.VisitSet:
		c.set(e.Item, say.F("visit %s set", e.Item))
	case jobs.LeafDated:
		c.set("leaf "+e.Item, say.F("leaf %s", say.Name(e.Item)))
	case jobs.VisitMoved:
		c.set(e.Item, say.F("visit %s moved", e.Item))
	case jobs.VisitCalled:
		c.set(e.Item, say.F("visit %s cancelled", e.Item))
	case jobs.VisitDone:
		c.set(e.Item, say.F("visit %s done", e.Item))
	case jobs.AnswerKept:
		c.set("answer "+e.Answer.Asked, say.F("an answer kept"))
	case jobs.Snoozed:
		c.set("reminders", say.F("a reminder put off"))
	}
}
