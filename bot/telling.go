package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
	"heelpost/jobs"
)

// tell tells an event of the log in one line; "" for what needs no words. It
// tells by the event, not by the door of now, and what was undone by the
// events of the change before it.
func (j *job) tell(e *jobs.Event, before []jobs.Event) string {
	switch e.Kind {
	case jobs.Opened:
		return "door " + e.Spec.ID + " opened: " + describe(e.Spec)
	case jobs.Corrected:
		return "corrected: " + jobs.StruckText(e.Struck) + because(e.Text)
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
	case jobs.Freed:
		return strings.TrimSuffix("can change again: "+words(strings.Join(e.Names, ", "))+"; "+jobs.StruckText(e.Struck), "; ")
	case jobs.SnagOpened:
		return "snag " + e.Item + " opened: " + e.Text + ", @" + strings.Join(e.Names, " @")
	case jobs.SnagClosed:
		return "snag " + e.Item + " closed: " + e.Text
	case jobs.Mixed:
		return "adhesive mixed at the " + e.Item + ", batch " + e.Text + ": to work in until " + e.When.In(j.site.Zone).Format("15:04")
	case jobs.Bonded:
		return "plate bonded at the " + e.Item
	case jobs.WarmthRead:
		text := "temperature " + e.Value.String()
		if highest := j.sheet.Adhesive.Highest; calc.Temperature(e.Value.Value()) > highest {
			text += ", above the adhesive's highest of " + highest.String() + ": is it °C? undo takes it back"
		}
		return text
	case jobs.Knocked:
		return "plate at the " + e.Item + " knocked" + because(e.Text) + ": its hours start again"
	case jobs.Voided:
		return "too cold at the " + e.Item + ": its cure can't be told any more. Bond anew, or have the foreman attach the adhesive maker's written word"
	case jobs.Undone:
		return j.sayUndone(e, before)
	}
	return j.sayPlan(e)
}

// sayUndone tells what was taken back.
func (j *job) sayUndone(e *jobs.Event, before []jobs.Event) string {
	var taken []string
	for i := range before {
		if b := &before[i]; b.Op == e.Text && b.Kind != jobs.StageMoved {
			taken = append(taken, j.tell(b, nil))
		}
	}
	if len(taken) == 0 {
		return "the last change is undone"
	}
	return "undone: " + strings.Join(taken, "; ")
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
	}
	return ""
}

func (j *job) sayReading(e *jobs.Event) string {
	if e.Value == nil {
		return "nothing found: " + j.item(e.Item) + because(e.Text)
	}
	verdict := map[jobs.Judgement]string{jobs.In: "in", jobs.Near: "near: inside by less than the reading's uncertainty", jobs.Out: "out"}[e.Judgement]
	return fmt.Sprintf("%s: %s is %s (%s)%s", j.item(e.Item), e.Value.String(), verdict, e.Limits, because(e.Text))
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
func (j *job) cureText(now time.Time) string {
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
	case slices.ContainsFunc(j.door.Bonds, func(b jobs.Bond) bool { return b.Word != "" && b.Until.Equal(c.End) }):
		return "by the adhesive maker's word it is left alone until " + said(c.End, j.site)
	case !c.End.After(now):
		return "the sheet's hours ended " + said(c.End, j.site) + ": check the control sample"
	}
	return "the sheet's hours end " + said(c.End, j.site)
}

// describe tells what a door is, in one line.
func describe(s *jobs.Spec) string {
	mass := s.Mass.String()
	if s.Estimated {
		mass = s.Mass.String() + " (estimated, counted a tenth heavier)"
	}
	swing := string(s.Swing)
	if s.Handing != "" {
		swing += ", " + s.Handing + " seen from " + s.SeenFrom
	}
	text := fmt.Sprintf("leaf %s × %s × %s, setback %s, opening %s × %s, %s, %s, floor %s", s.Tell(s.Width), s.Tell(s.Height), s.Tell(s.Thickness), s.Tell(s.Setback),
		s.Tell(s.OpeningWidth), s.Tell(s.OpeningHeight), swing, mass, s.Floor)
	if s.Heated {
		text += " heated"
	} else {
		text += ", not heated"
	}
	if s.HasCover {
		text += strings.TrimRight(fmt.Sprintf(", cover %s %s", s.Tell(s.Cover), s.CoverTo), " ")
	}
	for _, more := range []struct {
		name string
		size calc.Length
	}{{"covering", s.Covering}, {"lining", s.Lining}, {"stop", s.StopWidth}} {
		if more.size != 0 {
			text += ", " + more.name + " " + s.Tell(more.size)
		}
	}
	if s.Pinless {
		text += ", without pins"
	}
	if status := strings.Join(s.Status, " and "); status != "none" {
		text += ", " + status + " door"
	}
	if s.EvidenceHeel != 0 || s.EvidenceLead != 0 {
		text += fmt.Sprintf(", gaps by evidence %s and %s", s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead))
	}
	if s.Seals {
		text += ", seals"
	}
	if s.Latch {
		text += ", latch"
	}
	if s.CyclesDay != 0 {
		text += fmt.Sprintf(", %d cycles a day", s.CyclesDay)
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
	if short := j.door.TooShort(); short != "" {
		lines = append(lines, short)
	}
	return append(lines, j.cardAssumes())
}

// awaits says what the gaps of a tested door wait for, and how it is entered.
func (j *job) awaits() string {
	text := j.door.Spec.Awaits()
	if text != "" && j.door.Spec.Evidence == "" {
		text += ": correct evidence heel … lead … and which report"
	}
	return text
}

// cardAssumes tells what the card takes for granted. The gaps of a tested door
// are its evidence's, with whatever clearance they leave.
func (j *job) cardAssumes() string {
	text := "assumed: "
	if !j.door.Spec.Tested() {
		text += "clearance 2 mm, "
	}
	text += "jambs plumb, square edges, pivot axis on the mid-plane"
	if !j.door.Spec.Estimated {
		text += ", mass as weighed"
	}
	return text
}

// numberLine tells one of a door's numbers.
func numberLine(n *jobs.Number) string {
	line := words(n.Name) + " " + n.Value.String()
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
	if n, numbers := j.numberIn(text); n != nil && numbers == 0 {
		return numberLine(n) + "\n" + j.cardAssumes()
	}
	return ""
}

// entered answers somebody who enters a number of the card, as in "centre
// 74"; "" if that is not what the text does.
func (j *job) entered(text string) string {
	n, numbers := j.numberIn(text)
	if n == nil || numbers != 1 {
		return ""
	}
	return words(n.Name) + " is a number of the card, worked out and not entered: " + numberLine(n) +
		"\nreadings are entered with read, as read plumb 1; a size of the door is put right with correct"
}

// numberIn returns the number of the card that a text names, nil if it names
// none, and how many numbers stand behind the name.
func (j *job) numberIn(text string) (n *jobs.Number, numbers int) {
	var name []string
	for tokens := lex(text, nil); len(tokens) > 0; {
		if p, size := vocab.match(tokens); p != nil && p.filler {
			tokens = tokens[size:]
			continue
		}
		switch tokens[0].kind {
		case markToken:
			if tokens[0].mark == '=' {
				return nil, 0 // stop depth=12 is a question
			}
		case numberToken:
			numbers++
		case wordToken:
			if numbers > 0 {
				return nil, 0
			}
			name = append(name, tokens[0].word)
		}
		tokens = tokens[1:]
	}
	full := strings.Join(name, " ")
	if of := centreNames[full]; of != "" && numbers > 0 { // alone it is a question
		full = of
	}
	full = cmp.Or(cardNames[full], full)
	i := slices.IndexFunc(j.door.Numbers, func(n jobs.Number) bool { return words(n.Name) == full })
	if i < 0 {
		return nil, 0
	}
	return &j.door.Numbers[i], numbers
}

// centreNames are what people call the plate centre.
var centreNames = map[string]string{"centre": "plate centre", "center": "plate centre", "plate center": "plate centre", "floor plate centre": "plate centre"}

// cardNames are what people call other numbers of the card.
var cardNames = map[string]string{"top gap": "top gap min", "many pins": "pin count", "pins": "pin count", "long pins": "pin length", "pin": "pin length",
	"hole": "hole diameter", "holes": "hole diameter", "hole diameter": "hole diameter", "drill": "hole diameter", "bit": "hole diameter"}

// isAbout reports whether a text asks what the door's description tells: its
// mass, or who works on it.
func isAbout(text string) bool {
	f := strings.Fields(strings.ToLower(strings.Trim(text, " ?.!")))
	return len(f) > 0 && len(f) <= 6 && described[f[len(f)-1]] && (len(f) == 1 || asks[f[0]])
}

// asks are the words that such a question begins with.
var asks = wordSet("who what which how whose who's what's")

// described are what people ask a door about that no question and no number
// of its card tells.
var described = wordSet("mass weight weigh weighs crew foreman handing sheet")

// upcoming returns the door's items, which of them comes next, -1 for none,
// and those of earlier stages that were passed over.
func (j *job) upcoming() (items []jobs.Item, next int, passed []string) {
	items, next = j.items(), -1
	stage := slices.Index(jobs.Stages, j.door.Stage)
	for i, it := range items {
		switch {
		case it.State.Settled():
		case slices.Index(jobs.Stages, it.Stage) >= stage:
			return items, i, passed
		default:
			next = i
			passed = append(passed, fmt.Sprintf("%d %s", i+1, it.ID))
		}
	}
	if next >= 0 { // nothing else is left
		next = slices.IndexFunc(items, func(it jobs.Item) bool { return !it.State.Settled() })
		passed = passed[1:]
	}
	return items, next, passed
}

// nextLines tells what comes next, what holds it, and what was passed over.
func (j *job) nextLines() []string {
	items, i, passed := j.upcoming()
	switch {
	case i >= 0:
		line := "next: " + itemLine(i+1, &items[i])
		if open := jobs.Holds(items, items[i].Stage); len(open) > 0 {
			line += "; first " + open[0].ID
		}
		if len(passed) > 0 {
			line += "; still open: " + strings.Join(passed, ", ")
		}
		return []string{line}
	case j.door.Handover.IsZero():
		return []string{"next: hand over"}
	}
	return nil
}

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
		line += " = " + it.State.Value.String() + " " + string(it.State.Judgement)
	}
	switch {
	case it.Never:
		line += " · hold, never overridden"
	case it.Hold:
		line += " · hold"
	}
	return line
}
