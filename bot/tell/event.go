// Package tell puts one door into words: its card, its checklist, what
// happened to it, its reminders, and what it gives to questions. It only reads;
// what it says depends on the door and the time alone.
package tell

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/bot/lex"
	"heelpost/bot/verb"
	"heelpost/calc"
	"heelpost/jobs"
)

// Tell tells an event of the log in one line; "" for what needs no words. It
// tells by the event, not by the door of now, and what was undone by the
// events of the change before it.
func Tell(j *jobs.Job, e *jobs.Event, before []jobs.Event) string {
	switch e.Kind {
	case jobs.Opened:
		return "door " + e.Spec.ID + " opened: " + Describe(e.Spec)
	case jobs.Corrected:
		return "corrected: " + jobs.StruckText(e.Struck).String() + lex.Because(e.Text)
	case jobs.Ticked, jobs.Pictured:
		return "ticked " + item(j, e.Item) + lex.Because(strings.TrimSpace(e.Text+" "+e.Word))
	case jobs.Unticked:
		return "open again: " + item(j, e.Item) + lex.Because(e.Text)
	case jobs.NotForThis:
		return "left out: " + item(j, e.Item) + lex.Because(e.Text)
	case jobs.Overridden:
		return "overridden by the foreman: " + item(j, e.Item) + lex.Because(strings.TrimSpace(e.Text+" "+e.Word))
	case jobs.Read:
		return sayReading(j, e)
	case jobs.Fixed:
		stay := "they stay as they are"
		if len(e.Names) == 1 {
			stay = "it stays as it is"
		}
		return lex.Words(strings.Join(e.Names, ", ")) + ": " + e.Text + ", " + stay
	case jobs.Freed:
		return strings.TrimSuffix("can change again: "+lex.Words(strings.Join(e.Names, ", "))+"; "+jobs.StruckText(e.Struck).String(), "; ")
	case jobs.SnagOpened:
		return "snag " + e.Item + " opened: " + e.Text + ", @" + strings.Join(e.Names, " @")
	case jobs.SnagClosed:
		return "snag " + e.Item + " closed: " + e.Text
	case jobs.Mixed:
		return "adhesive mixed at the " + e.Item + ", batch " + e.Text + ": to work in until " + e.When.In(j.Site.Zone).Format("15:04")
	case jobs.Bonded:
		return "plate bonded at the " + e.Item
	case jobs.WarmthRead:
		text := "temperature " + e.Value.String()
		if highest := j.Sheet.Adhesive.Highest; calc.Temperature(e.Value.Value()) > highest {
			text += ", above the adhesive's highest of " + highest.String() + ": is it °C? undo takes it back"
		}
		return text
	case jobs.Knocked:
		return "plate at the " + e.Item + " knocked" + lex.Because(e.Text) + ": its hours start again"
	case jobs.Voided:
		return "too cold at the " + e.Item + ": its cure can't be told any more. Bond anew, or have the foreman attach the adhesive maker's written word"
	case jobs.Undone:
		return sayUndone(j, e, before)
	}
	return sayPlan(j, e)
}

// sayUndone tells what was taken back.
func sayUndone(j *jobs.Job, e *jobs.Event, before []jobs.Event) string {
	var taken []string
	for i := range before {
		if b := &before[i]; b.Op == e.Text && b.Kind != jobs.StageMoved {
			taken = append(taken, Tell(j, b, nil))
		}
	}
	if len(taken) == 0 {
		return "the last change is undone"
	}
	return "undone: " + strings.Join(taken, "; ")
}

// sayPlan tells of visits, stages and the end.
func sayPlan(j *jobs.Job, e *jobs.Event) string {
	switch e.Kind {
	case jobs.WordGiven:
		return "the adhesive maker's word for the " + e.Item + ": leave it alone until " + Said(e.When, j.Site) + lex.Because(e.Word)
	case jobs.VisitSet:
		text := "visit " + e.Item + " set: " + Said(e.When, j.Site) + lex.Because(e.Text)
		if !strings.Contains(e.Text, e.For) {
			text += ", taken for the return after handover (" + e.For + ")"
		}
		return text
	case jobs.VisitMoved:
		return "visit " + e.Item + " moved to " + Said(e.When, j.Site)
	case jobs.VisitCalled:
		return "visit " + e.Item + " called off" + lex.Because(e.Text)
	case jobs.VisitDone:
		return "visit " + e.Item + " done" + lex.Because(e.Text)
	case jobs.Snoozed:
		return "reminder of " + Subject(e.Item) + " put off until " + Said(e.When, j.Site)
	case jobs.StageMoved:
		return "stage: " + string(e.Stage)
	case jobs.HandedOver:
		return "handed over" + lex.Because(e.Text)
	}
	return ""
}

func sayReading(j *jobs.Job, e *jobs.Event) string {
	if e.Value == nil {
		return "nothing found: " + item(j, e.Item) + lex.Because(e.Text)
	}
	verdict := map[jobs.Judgement]string{jobs.In: "in", jobs.Near: "near: inside by less than the reading's uncertainty", jobs.Out: "out"}[e.Judgement]
	return fmt.Sprintf("%s: %s is %s (%s)%s", item(j, e.Item), e.Value.String(), verdict, e.Limits, lex.Because(e.Text))
}

// item returns number and name of an item of the checklist. Its text is left
// out: it holds the door's numbers of today, which a story of yesterday must
// not be told with.
func item(j *jobs.Job, id string) string {
	for i, it := range j.Items() {
		if it.ID == id {
			return fmt.Sprintf("%d %s", i+1, it.ID)
		}
	}
	return id
}

// CureText tells when the door's bonds are through.
func CureText(j *jobs.Job, now time.Time) string {
	c := j.Door.Cure(j.Door.Updated)
	switch {
	case c.Bonds == 0:
		return "nothing is curing"
	case c.Void:
		return "the cure can't be told: it was too cold"
	case c.End.IsZero() && c.Again.IsZero():
		return "the cure's end can't be told without a temperature: read the substrate's"
	case c.End.IsZero():
		return "the cure's end can't be told: within a day before the last reading it was colder than the adhesive's lowest; read the temperature again, from " + Said(c.Again, j.Site) + " on"
	case c.Assumed:
		return "the sheet's hours end " + Said(c.End, j.Site) + ", reckoned with the sheet's lowest temperature (assumed): read the substrate's"
	case slices.ContainsFunc(j.Door.Bonds, func(b jobs.Bond) bool { return b.Word != "" && b.Until.Equal(c.End) }):
		return "by the adhesive maker's word it is left alone until " + Said(c.End, j.Site)
	case !c.End.After(now):
		return "the sheet's hours ended " + Said(c.End, j.Site) + ": check the control sample"
	}
	return "the sheet's hours end " + Said(c.End, j.Site)
}

// Describe tells what a door is, in one line.
func Describe(s *jobs.Spec) string {
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

// Card tells the door's numbers.
func Card(j *jobs.Job) []string {
	var lines []string
	for _, n := range j.Door.Numbers {
		if jobs.OnCard(n.Name) || n.Ought != "" {
			lines = append(lines, numberLine(&n))
		}
	}
	if awaits := awaits(j); awaits != "" {
		lines = append(lines, "gaps, plate and clear width wait: "+awaits)
	}
	if short := j.Door.TooShort(); !short.IsZero() {
		lines = append(lines, short.String())
	}
	return append(lines, cardAssumes(j))
}

// awaits says what the gaps of a tested door wait for, and how it is entered.
func awaits(j *jobs.Job) string {
	text := j.Door.Spec.Awaits().String()
	if text != "" && j.Door.Spec.Evidence == "" {
		text += ": correct evidence heel … lead … and which report"
	}
	return text
}

// cardAssumes tells what the card takes for granted. The gaps of a tested door
// are its evidence's, with whatever clearance they leave.
func cardAssumes(j *jobs.Job) string {
	text := "assumed: "
	if !j.Door.Spec.Tested() {
		text += "clearance 2 mm, "
	}
	text += "jambs plumb, square edges, pivot axis on the mid-plane"
	if !j.Door.Spec.Estimated {
		text += ", mass as weighed"
	}
	return text
}

// numberLine tells one of a door's numbers.
func numberLine(n *jobs.Number) string {
	line := lex.Words(n.Name) + " " + n.Value.String()
	if n.Fixed != "" {
		line += ", " + string(n.Fixed)
	}
	if n.Ought != "" {
		line += ", by now it would be " + string(n.Ought)
	}
	return line + lex.Because(string(n.Note))
}

// Named tells the number of the card that a text is the name of, as in "what
// is the pin length?"; "" if it is no name of one.
func Named(j *jobs.Job, text string) string {
	if n, numbers := numberIn(j, text); n != nil && numbers == 0 {
		return numberLine(n) + "\n" + cardAssumes(j)
	}
	return ""
}

// Entered answers somebody who enters a number of the card, as in "centre
// 74"; "" if that is not what the text does.
func Entered(j *jobs.Job, text string) string {
	n, numbers := numberIn(j, text)
	if n == nil || numbers != 1 {
		return ""
	}
	return lex.Words(n.Name) + " is a number of the card, worked out and not entered: " + numberLine(n) +
		"\nreadings are entered with read, as read plumb 1; a size of the door is put right with correct"
}

// numberIn returns the number of the card that a text names, nil if it names
// none, and how many numbers stand behind the name.
func numberIn(j *jobs.Job, text string) (n *jobs.Number, numbers int) {
	var name []string
	for tokens := lex.Lex(text, nil); len(tokens) > 0; {
		if size := verb.Questions.Filler(tokens); size > 0 {
			tokens = tokens[size:]
			continue
		}
		switch tokens[0].Kind {
		case lex.MarkToken:
			if tokens[0].Mark == '=' {
				return nil, 0 // stop depth=12 is a question
			}
		case lex.NumberToken:
			numbers++
		case lex.WordToken:
			if numbers > 0 {
				return nil, 0
			}
			name = append(name, tokens[0].Word)
		}
		tokens = tokens[1:]
	}
	full := strings.Join(name, " ")
	if of := centreNames[full]; of != "" && numbers > 0 { // alone it is a question
		full = of
	}
	full = cmp.Or(cardNames[full], full)
	i := slices.IndexFunc(j.Door.Numbers, func(n jobs.Number) bool { return lex.Words(n.Name) == full })
	if i < 0 {
		return nil, 0
	}
	return &j.Door.Numbers[i], numbers
}

// centreNames are what people call the plate centre.
var centreNames = map[string]string{"centre": "plate centre", "center": "plate centre", "plate center": "plate centre", "floor plate centre": "plate centre"}

// cardNames are what people call other numbers of the card.
var cardNames = map[string]string{"top gap": "top gap min", "many pins": "pin count", "pins": "pin count", "long pins": "pin length", "pin": "pin length",
	"hole": "hole diameter", "holes": "hole diameter", "hole diameter": "hole diameter", "drill": "hole diameter", "bit": "hole diameter"}

// IsAbout reports whether a text asks what the door's description tells: its
// mass, or who works on it.
func IsAbout(text string) bool {
	f := strings.Fields(strings.ToLower(strings.Trim(text, " ?.!")))
	return len(f) > 0 && len(f) <= 6 && described[f[len(f)-1]] && (len(f) == 1 || asks[f[0]])
}

// asks are the words that such a question begins with.
var asks = lex.WordSet("who what which how whose who's what's")

// described are what people ask a door about that no question and no number
// of its card tells.
var described = lex.WordSet("mass weight weigh weighs crew foreman handing sheet")

// NextLines tells what comes next, what holds it, and what was passed over.
func NextLines(j *jobs.Job) []string {
	items, i, passed := j.Upcoming()
	switch {
	case i >= 0:
		line := "next: " + ItemLine(i+1, &items[i])
		if open := jobs.Holds(items, items[i].Stage); len(open) > 0 {
			line += "; first " + open[0].ID
		}
		if len(passed) > 0 {
			line += "; still open: " + strings.Join(passed, ", ")
		}
		return []string{line}
	case j.Door.Handover.IsZero():
		return []string{"next: hand over"}
	}
	return nil
}

// ItemLine tells an item of the checklist.
func ItemLine(number int, it *jobs.Item) string {
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
