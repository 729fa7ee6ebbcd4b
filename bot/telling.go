package bot

import (
	"fmt"
	"strings"

	"heelpost/jobs"
)

// tell tells an event of the log in one line; "" for what needs no words. It
// tells by the event, not by the door of now.
func (j *job) tell(e *jobs.Event) string {
	switch e.Kind {
	case jobs.Opened:
		return "door " + e.Spec.ID + " opened: " + describe(e.Spec)
	case jobs.Corrected:
		return "corrected: " + struckText(e.Struck) + because(e.Text)
	case jobs.Ticked, jobs.Pictured:
		return "ticked " + j.item(e.Item) + because(strings.TrimSpace(e.Text+" "+e.Word))
	case jobs.Unticked:
		return "open again: " + j.item(e.Item) + because(e.Text)
	case jobs.NotForThis:
		return "left out: " + j.item(e.Item) + because(e.Text)
	case jobs.Overridden:
		return "overridden by the foreman: " + j.item(e.Item) + because(strings.TrimSpace(e.Text+" "+e.Word))
	case jobs.Read:
		return j.sayReading(e)
	case jobs.Fixed:
		stay := "they stay as they are"
		if len(e.Names) == 1 {
			stay = "it stays as it is"
		}
		return words(strings.Join(e.Names, ", ")) + ": " + e.Text + ", " + stay
	case jobs.SnagOpened:
		return "snag " + e.Item + " opened: " + e.Text + ", @" + strings.Join(e.Names, " @")
	case jobs.SnagClosed:
		return "snag " + e.Item + " closed: " + e.Text
	case jobs.Mixed:
		return "adhesive mixed at the " + e.Item + ", batch " + e.Text + ": to work in until " + e.When.In(j.site.Zone).Format("15:04")
	case jobs.Bonded:
		return "plate bonded at the " + e.Item
	case jobs.WarmthRead:
		return "temperature " + measureText(*e.Value)
	case jobs.Knocked:
		return "plate at the " + e.Item + " knocked" + because(e.Text) + ": its hours start again"
	case jobs.Voided:
		return "too cold at the " + e.Item + ": its cure can't be told any more. Bond anew, or have the foreman attach the adhesive maker's written word"
	}
	return j.sayPlan(e)
}

// sayPlan tells of visits, stages and the end.
func (j *job) sayPlan(e *jobs.Event) string {
	switch e.Kind {
	case jobs.WordGiven:
		return "the adhesive maker's word for the " + e.Item + ": leave it alone until " + said(e.When, j.site) + because(e.Word)
	case jobs.VisitSet:
		text := "visit " + e.Item + " set: " + said(e.When, j.site) + because(e.Text)
		if !strings.Contains(e.Text, e.For) {
			text += ", taken for the return after handover (" + e.For + ")"
		}
		return text
	case jobs.VisitMoved:
		return "visit " + e.Item + " moved to " + said(e.When, j.site)
	case jobs.VisitCalled:
		return "visit " + e.Item + " called off" + because(e.Text)
	case jobs.VisitDone:
		return "visit " + e.Item + " done" + because(e.Text)
	case jobs.Snoozed:
		return "reminder of " + subject(e.Item) + " put off until " + said(e.When, j.site)
	case jobs.StageMoved:
		return "stage: " + string(e.Stage)
	case jobs.HandedOver:
		return "handed over" + because(e.Text)
	case jobs.Undone:
		return "the last change is undone"
	}
	return ""
}

func (j *job) sayReading(e *jobs.Event) string {
	if e.Value == nil {
		return "nothing found: " + j.item(e.Item) + because(e.Text)
	}
	verdict := map[jobs.Judgement]string{jobs.In: "in", jobs.Near: "near: inside by less than the reading's uncertainty", jobs.Out: "out"}[e.Judgement]
	return fmt.Sprintf("%s: %s is %s (%s)%s", j.item(e.Item), measureText(*e.Value), verdict, e.Limits, because(e.Text))
}

// item returns number and name of an item of the checklist. Its text is left
// out: it holds the door's numbers of today, which a story of yesterday must
// not be told with.
func (j *job) item(id string) string {
	for i, it := range j.items() {
		if it.ID == id {
			return fmt.Sprintf("%d %s", i+1, it.ID)
		}
	}
	return id
}

func (j *job) items() []jobs.Item { return jobs.Checklist(&j.door, j.sheet) }

// cureText tells when the door's bonds are through.
func (j *job) cureText() string {
	c := j.door.Cure(j.door.Updated)
	switch {
	case c.Bonds == 0:
		return "nothing is curing"
	case c.Void:
		return "the cure can't be told: it was too cold"
	case c.End.IsZero() && c.Again.IsZero():
		return "the cure's end can't be told without a temperature: read the substrate's"
	case c.End.IsZero():
		return "the cure's end can't be told: within a day before the last reading it was colder than the adhesive's lowest; read the temperature again, from " + said(c.Again, j.site) + " on"
	case c.Assumed:
		return "the sheet's hours end " + said(c.End, j.site) + ", reckoned with the sheet's lowest temperature (assumed): read the substrate's"
	}
	return "the sheet's hours end " + said(c.End, j.site)
}

// describe tells what a door is, in one line.
func describe(s *jobs.Spec) string {
	mass := s.Mass.String()
	if s.Estimated {
		mass += " (estimated, counted a tenth heavier)"
	}
	swing := string(s.Swing)
	if s.Handing != "" {
		swing += ", " + s.Handing + " seen from " + s.SeenFrom
	}
	text := fmt.Sprintf("leaf %s × %s × %s, setback %s, opening %s × %s, %s, %s, floor %s", s.Width.Short(), s.Height.Short(), s.Thickness.Short(), s.Setback.Short(),
		s.OpeningWidth.Short(), s.OpeningHeight.Short(), swing, mass, s.Floor)
	if s.Heated {
		text += " heated"
	}
	if s.HasCover {
		text += strings.TrimRight(fmt.Sprintf(", cover %s %s", s.Cover.Short(), s.CoverTo), " ")
	}
	if status := strings.Join(s.Status, " and "); status != "none" {
		text += ", " + status + " door"
	}
	if s.Seals {
		text += ", seals"
	}
	if s.Latch {
		text += ", latch"
	}
	return text + ", sheet " + s.Sheet + ", crew @" + strings.Join(s.Crew, " @") + ", foreman @" + s.Foreman
}

// card tells the door's numbers.
func (j *job) card() []string {
	var lines []string
	for _, n := range j.door.Numbers {
		if jobs.OnCard(n.Name) || n.Ought != "" {
			lines = append(lines, numberLine(&n))
		}
	}
	if awaits := j.awaits(); awaits != "" {
		lines = append(lines, "gaps, plate and clear width wait: "+awaits)
	}
	return append(lines, cardAssumes)
}

// awaits says what the gaps of a tested door wait for, and how it is entered.
func (j *job) awaits() string {
	text := j.door.Spec.Awaits()
	if text != "" && j.door.Spec.Evidence == "" {
		text += ": correct evidence heel … lead … and which report"
	}
	return text
}

const cardAssumes = "assumed: clearance 2 mm, jambs plumb, square edges, pivot axis on the mid-plane"

// numberLine tells one of a door's numbers.
func numberLine(n *jobs.Number) string {
	line := words(n.Name) + " " + measureText(n.Value)
	if n.Fixed != "" {
		line += ", " + n.Fixed
	}
	if n.Ought != "" {
		line += ", by now it would be " + n.Ought
	}
	return line + because(n.Note)
}

// named tells the number of the card that a text is the name of, as in "what
// is the pin length?"; "" if it is no name of one.
func (j *job) named(text string) string {
	var name []string
	for tokens := lex(text, nil); len(tokens) > 0; {
		if p, size := vocab.match(tokens); p != nil && p.filler {
			tokens = tokens[size:]
			continue
		}
		switch tokens[0].kind {
		case numberToken:
			return ""
		case wordToken:
			name = append(name, tokens[0].word)
		}
		tokens = tokens[1:]
	}
	for _, n := range j.door.Numbers {
		if words(n.Name) == strings.Join(name, " ") {
			return numberLine(&n) + "\n" + cardAssumes
		}
	}
	return ""
}

func struckText(struck []jobs.Struck) string {
	var out []string
	for _, s := range struck {
		if !jobs.OnCard(s.Name) {
			continue
		}
		text := words(s.Name)
		if s.Old != "" {
			text += " ~" + s.Old + "~"
		}
		if s.New != "" {
			text += " " + s.New
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

// nextLines tells what comes next, and what holds it.
func (j *job) nextLines() []string {
	items := j.items()
	for i, it := range items {
		if it.State.Settled() {
			continue
		}
		line := fmt.Sprintf("next: %s", itemLine(i+1, &it))
		if open := jobs.Holds(items, it.Stage); len(open) > 0 {
			line += "; first " + open[0].ID
		}
		return []string{line}
	}
	if j.door.Handover.IsZero() {
		return []string{"next: hand over"}
	}
	return nil
}

// measureText returns a measure to a hundredth of its unit.
func measureText(m jobs.Measure) string { return m.String() }

// itemLine tells an item of the checklist.
func itemLine(number int, it *jobs.Item) string {
	mark := "[ ]"
	switch {
	case it.State.State == jobs.NotForThis:
		mark = "[-]"
	case it.State.State == jobs.Overridden:
		mark = "[!]"
	case it.State.Settled():
		mark = "[x]"
	}
	line := fmt.Sprintf("%s %d %s: %s", mark, number, it.ID, it.Text)
	if it.Kind == jobs.Reading {
		line += " (" + it.Unit + ", " + it.Limits.String() + ")"
	}
	if it.State.Value != nil {
		line += " = " + measureText(*it.State.Value) + " " + string(it.State.Judgement)
	}
	switch {
	case it.Never:
		line += " · hold, never overridden"
	case it.Hold:
		line += " · hold"
	}
	return line
}
