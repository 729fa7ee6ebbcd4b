// Package tell puts one door into words: its card, its checklist, what
// happened to it, its reminders, and what it gives to questions. It only reads;
// what it says depends on the door and the time alone.
package tell

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Tell tells an event of the log in one line; nothing of what needs no words.
// It tells by the event, not by the door of now, and what was undone by the
// events of the change before it.
func Tell(j *jobs.Job, e *jobs.Event, before []jobs.Event) say.Text {
	text := told(j, e, before)
	if !e.Since.IsZero() {
		return say.F("%s, done %s", text, bot.Instant(e.Since, j.Site))
	}
	return text
}

func told(j *jobs.Job, e *jobs.Event, before []jobs.Event) say.Text {
	switch e.Kind {
	case jobs.Opened:
		if opened := say.F("door %s opened: %s", e.Spec.ID, Describe(e.Spec)); e.Text == "" {
			return opened
		} else {
			return say.Lines(opened, recorded(e.Text))
		}
	case jobs.Corrected:
		if len(e.Dropped) > 0 {
			return because(say.F("corrected by the foreman, hold dropped (%s): %s", say.Names(", ", e.Dropped...), jobs.StruckText(e.Struck)), e.Text)
		}
		return because(say.F("corrected: %s", jobs.StruckText(e.Struck)), e.Text)
	case jobs.Ticked, jobs.Pictured:
		return because(say.F("ticked %s", item(j, e.Item)), e.Text, e.Word)
	case jobs.Unticked:
		return because(say.F("open again: %s", item(j, e.Item)), e.Text)
	case jobs.NotForThis:
		return because(say.F("left out: %s", item(j, e.Item)), e.Text)
	case jobs.Overridden:
		return because(say.F("overridden by the foreman: %s", item(j, e.Item)), e.Text, e.Word)
	case jobs.Read:
		return readingTaken(j, e)
	case jobs.Fixed:
		if len(e.Names) == 1 {
			return say.F("%s: %s, it stays as it is", numberNames(e.Names), say.Name(e.Text))
		}
		return say.F("%s: %s, they stay as they are", numberNames(e.Names), say.Name(e.Text))
	case jobs.Freed:
		return say.Join("; ", say.F("can change again: %s", numberNames(e.Names)), say.Of(jobs.StruckText(e.Struck)))
	case jobs.SnagOpened:
		return by(say.F("snag %s opened: %s, @%s", e.Item, recorded(e.Text), say.Names(" @", e.Names...)), e.When, j)
	case jobs.SnagMoved:
		return by(say.F("snag %s: @%s", e.Item, say.Names(" @", e.Names...)), e.When, j)
	case jobs.SnagPictured:
		return say.F("photo of snag %s (%s)", e.Item, e.Word)
	case jobs.SnagClosed:
		return say.F("snag %s closed: %s", e.Item, recorded(e.Text))
	case jobs.AnswerKept:
		return answerKept(e.Answer)
	case jobs.Undone:
		return undone(j, e, before)
	}
	if text := adhesive(j, e); !text.IsZero() {
		return text
	}
	return planned(j, e)
}

// answerKept tells an answer that was put on record.
func answerKept(k *jobs.Kept) say.Text {
	tell := func(all []jobs.Told) say.Text {
		texts := make([]say.Text, len(all))
		for i, t := range all {
			texts[i] = say.F("%s %s", say.Name(t.Name), say.Name(t.Value))
		}
		return say.List(texts...)
	}
	var results []say.Text
	sentence := func(kept json.RawMessage) {
		var text say.Text
		if json.Unmarshal(kept, &text) == nil {
			results = append(results, text)
		}
	}
	sentence(k.Told)
	if len(k.Results) > 0 {
		results = append(results, tell(k.Results))
	}
	for _, but := range k.But {
		sentence(but)
	}
	switch all := say.Join("; ", results...); {
	case len(k.By) == 0 && len(k.If) == 0:
		return say.F("kept: %s: %s", k.Asked, all)
	case len(k.If) == 0:
		return say.F("kept: %s: %s (by %s)", k.Asked, all, tell(k.By))
	case len(k.By) == 0:
		return say.F("kept: %s: %s (assumed: %s)", k.Asked, all, tell(k.If))
	default:
		return say.F("kept: %s: %s (by %s; assumed: %s)", k.Asked, all, tell(k.By), tell(k.If))
	}
}

// by puts the time by which something is to be done behind it, if there is one.
func by(t say.Text, due time.Time, j *jobs.Job) say.Text {
	if due.IsZero() {
		return t
	}
	return say.F("%s by %s", t, bot.Instant(due, j.Site))
}

// SnagLine tells an open snag: what, who and by when.
func SnagLine(s *jobs.Snag, j *jobs.Job, now time.Time) say.Text {
	line := say.List(by(say.F("%s %s, @%s", s.ID, jobs.Recorded(s.Text), s.Owner), s.Due, j), Photos(s))
	if Late(s, now) {
		return say.F("%s, overdue", line)
	}
	return line
}

// Photos counts the photos of a snag; nothing where there are none.
func Photos(s *jobs.Snag) say.Text {
	if s.Photos == 0 {
		return say.Text{}
	}
	return say.Count(s.Photos, "1 photo", "%s photos")
}

// because puts what people gave as a reason, and what else they said to it,
// behind a text.
func because(t say.Text, why ...string) say.Text {
	var texts []say.Text
	for _, w := range why {
		if w != "" {
			texts = append(texts, recorded(w))
		}
	}
	said := say.Join(" ", texts...)
	if said.IsZero() {
		return t
	}
	return say.F("%s (%s)", t, said)
}

// Change tells the events of one change of the log, each in a line; items that
// were ticked and nothing said to them are one.
func Change(j *jobs.Job, events, before []jobs.Event, also func(*jobs.Event) []say.Text) (lines []say.Text) {
	var ticked []string
	at := 0
	for i := range events {
		e := &events[i]
		if e.Kind == jobs.Ticked && e.Text == "" && e.Since.IsZero() {
			if ticked = append(ticked, item(j, e.Item)); len(ticked) == 1 {
				at = len(lines)
				lines = append(lines, say.Text{})
			}
			continue
		}
		lines = append(append(lines, Tell(j, e, before)), also(e)...)
	}
	if len(ticked) > 0 {
		lines[at] = say.F("ticked %s", say.Names(", ", ticked...))
	}
	return lines
}

// Photo tells a photo of the log, with who and when.
func Photo(j *jobs.Job, e *jobs.Event) say.Text {
	at := e.At
	if !e.Since.IsZero() {
		at = e.Since
	}
	return because(say.F("%s: %s, @%s %s", item(j, e.Item), e.Word, e.By, bot.Instant(at, j.Site)), e.Text)
}

// SnagPhoto tells a snag's photo of the log, with who and when.
func SnagPhoto(j *jobs.Job, e *jobs.Event) say.Text {
	line := say.F("%s: %s, @%s %s", e.Item, e.Word, e.By, bot.Instant(e.At, j.Site))
	if s := j.Door.Snag(e.Item); s != nil {
		return say.F("%s (%s)", line, jobs.Recorded(s.Text))
	}
	return line
}

// LeftOut tells what a message could not do, while it did the rest.
func LeftOut(why []error) say.Text {
	lines := make([]say.Text, len(why))
	for i, err := range why {
		lines[i] = say.F("not ticked: %s", err)
	}
	return say.Lines(lines...)
}

// Then tells the two items after the next one, where a button ticks all three.
func Then(j *jobs.Job, who string, now time.Time) (lines []say.Text) {
	if !j.Door.Off.IsZero() {
		return nil
	}
	three, items := j.NextThree(who, now), j.Items()
	for i, it := range items {
		if len(three) > 0 && (it.ID == three[1].ID || it.ID == three[2].ID) {
			lines = append(lines, say.F("then: %s", ItemLine(i+1, &it)))
		}
	}
	return lines
}

// recorded returns a text of the record: our own words are sentences again.
func recorded(text string) say.Text { return say.Of(jobs.Recorded(text)) }

// numberNames lists numbers of the card by their names.
func numberNames(names []string) say.Text {
	texts := make([]say.Text, len(names))
	for i, n := range names {
		texts[i] = say.Name(n)
	}
	return say.List(texts...)
}

// undone tells what was taken back.
func undone(j *jobs.Job, e *jobs.Event, before []jobs.Event) say.Text {
	var taken []say.Text
	for i := range before {
		if b := &before[i]; b.Op == e.Text && b.Kind != jobs.StageMoved {
			taken = append(taken, Tell(j, b, nil))
		}
	}
	if len(taken) == 0 {
		return say.F("the last change is undone")
	}
	return say.F("undone: %s", say.Join("; ", taken...))
}

// StandsNow tells of each item that an undo concerned how it stands by now.
func StandsNow(j *jobs.Job, e *jobs.Event, before []jobs.Event) (lines []say.Text) {
	concerned := map[string]bool{}
	for i := range before {
		concerned[before[i].Item] = concerned[before[i].Item] || before[i].Op == e.Text
	}
	for i, it := range j.Items() {
		if concerned[it.ID] {
			lines = append(lines, say.F("now: %s", ItemLine(i+1, &it)))
		}
	}
	return lines
}

// adhesive tells of plates and what holds them.
func adhesive(j *jobs.Job, e *jobs.Event) say.Text {
	where := say.Name(e.Item)
	switch e.Kind {
	case jobs.Mixed:
		return say.F("adhesive mixed at the %s, batch %s: to work in until %s", where, e.Text, e.When.In(j.Site.Zone).Format("15:04"))
	case jobs.MixSpoilt:
		return because(say.F("mix of the %s thrown away, batch %s: mix anew", where, say.Names(", ", e.Names...)), e.Text)
	case jobs.Bonded:
		return say.F("plate bonded at the %s", where)
	case jobs.WarmthRead:
		if highest := j.Sheet.Adhesive.Highest; highest > j.Sheet.Adhesive.Lowest && calc.Temperature(e.Value.Value()) > highest {
			return say.F("temperature %s, above the adhesive's highest of %s: is it °C? undo takes it back", e.Value, highest)
		}
		if e.Min != nil {
			return say.F("temperature %s, the lowest since the reading before %s", e.Value, e.Min)
		}
		return say.F("temperature %s", e.Value)
	case jobs.WarmthAsked:
		w := e.Coldest()
		return say.F("%s counts until somebody says whether it is so: the cure is taken as void", w)
	case jobs.WarmthDropped:
		return say.F("%s is not so: it counts no more", e.Coldest())
	case jobs.WarmthHeld:
		held := say.F("%s held from %s until %s, on the foreman's word", e.Value, bot.Instant(e.From, j.Site), bot.Instant(e.When, j.Site))
		for _, w := range slices.Backward(j.Door.Warmths) {
			if until := w.At.Add(calc.ReadWithin); !w.At.After(e.From) && until.After(e.From) && float64(w.Coldest()) < e.Value.Value() {
				return say.F("%s; until %s the %s that was read before counts", held, bot.Instant(until, j.Site), w.Coldest())
			}
		}
		return held
	case jobs.Knocked:
		return say.F("%s: its hours start again", because(say.F("plate at the %s knocked", where), e.Text))
	case jobs.Voided:
		return say.F("too cold at the %s: its cure can't be told any more. Bond anew, or have the foreman attach the adhesive maker's written word", where)
	case jobs.WordGiven:
		return because(say.F("the adhesive maker's word for the %s: leave it alone until %s", where, bot.Instant(e.When, j.Site)), e.Word)
	}
	return say.Text{}
}

// planned tells of visits, stages and the end.
func planned(j *jobs.Job, e *jobs.Event) say.Text {
	switch e.Kind {
	case jobs.VisitSet:
		text := because(with(say.F("visit %s set: %s", e.Item, bot.Instant(e.When, j.Site)), e.Takes, e.Names), e.Text)
		if !strings.Contains(e.Text, e.For) {
			return say.F("%s, taken for the return after handover (%s)", text, recorded(e.For))
		}
		return text
	case jobs.VisitMoved:
		return because(with(say.F("visit %s moved to %s", e.Item, bot.Instant(e.When, j.Site)), e.Takes, e.Names), e.Text)
	case jobs.LeafDated:
		return leafDay(e.Item, e.When, j.Site)
	case jobs.VisitCalled:
		return because(say.F("visit %s called off", e.Item), e.Text)
	case jobs.VisitDone:
		return because(say.F("visit %s done", e.Item), e.Text)
	case jobs.Snoozed:
		return say.F("reminder of %s put off until %s", Subject(e.Item), bot.Instant(e.When, j.Site))
	case jobs.StageMoved:
		return say.F("stage: %s", say.Name(string(e.Stage)))
	case jobs.HandoverTaken:
		return because(say.F("handover taken back, in work again"), e.Text)
	case jobs.CalledOff:
		return because(say.F("called off: gone from board and digest, its log is kept"), e.Text)
	case jobs.Recalled:
		return because(say.F("no longer called off: in work again"), e.Text)
	case jobs.Renamed:
		return because(say.F("%s is %s from now on", say.Names(", ", e.Names...), e.Item), e.Text)
	case jobs.HandedOver:
		return because(say.F("handed over"), e.Text)
	}
	return say.Text{}
}

func readingTaken(j *jobs.Job, e *jobs.Event) say.Text {
	if e.Value == nil {
		return because(say.F("nothing found: %s", item(j, e.Item)), e.Text)
	}
	verdict := say.Name(string(e.Judgement))
	if e.Judgement == jobs.Near {
		verdict = say.F("near: inside by less than the reading's uncertainty")
	}
	return because(say.F("%s: %s is %s (%s)", item(j, e.Item), e.Value, verdict, recorded(e.Limits)), e.Text)
}

// item returns number and name of an item of the checklist. Its text is left
// out: it holds the door's numbers of today, which a story of yesterday must
// not be told with.
func item(j *jobs.Job, id string) string {
	for i, it := range j.Items() {
		if slices.Contains(jobs.Became(id), it.ID) {
			return fmt.Sprintf("%d %s", i+1, it.ID)
		}
	}
	return id
}

// CureText tells when the door's bonds are through.
func CureText(j *jobs.Job, now time.Time) say.Text {
	c := j.Door.Cure(j.Door.Updated)
	end := bot.Instant(c.End, j.Site)
	switch {
	case c.Bonds == 0:
		return say.F("nothing is curing")
	case c.Doubt != nil:
		return say.F("the cure can't be told: %s", doubted(c.Doubt))
	case c.End.IsZero():
		return say.F("the cure can't be told: it was too cold")
	case slices.ContainsFunc(j.Door.Bonds, func(b jobs.Bond) bool { return b.Word != "" && b.Until.Equal(c.End) }):
		return say.F("by the adhesive maker's word it is left alone until %s", end)
	case !c.Unread.IsZero() && !c.End.After(now):
		return say.F("the sheet's hours have ended, not before %s (%s): check the control sample", end, unread(j, &c))
	case !c.Unread.IsZero():
		return say.F("the sheet's hours end not before %s (%s)", end, unread(j, &c))
	case !c.End.After(now):
		return say.F("the sheet's hours ended %s: check the control sample", end)
	case c.Held != nil:
		return say.F("the sheet's hours end %s if it is held at %s, as @%s vouches until %s", end, c.Held.T, c.Held.By, bot.Instant(c.Held.Until, j.Site))
	}
	return say.F("the sheet's hours end %s if it stays as warm as last read", end)
}

// VoidCure tells what to do where it was too cold for a plate that is still to
// cure; nothing if it was not.
func VoidCure(j *jobs.Job) say.Text {
	if c := j.Door.Cure(j.Door.Updated); !c.Void || !j.Curing() || !j.Door.Handover.IsZero() {
		return say.Text{}
	}
	for _, b := range j.Door.Bonds {
		if !b.Void.IsZero() {
			return say.F("the %s plate's cure is void, it was too cold: bond it anew, or the foreman attaches the adhesive maker's written word, as word %s until a time because of it", say.Name(b.Where), say.Name(b.Where))
		}
	}
	return say.Text{}
}

// CureAtRisk says that nothing may load a door's plate, as its cure is void or taken as
// that; nothing where it is neither.
func CureAtRisk(j *jobs.Job) say.Text {
	if c := j.Door.Cure(j.Door.Updated); c.Doubt != nil && j.Curing() && j.Door.Handover.IsZero() {
		return say.F("the cure is taken as void, nothing loads the plate: %s", doubted(c.Doubt))
	}
	return VoidCure(j)
}

// doubted asks whether a cold reading is so that voids a cure.
func doubted(d *jobs.Doubt) say.Text {
	return say.F("%s, below the adhesive's lowest, was read by @%s: is it so? say yes, or no", d.Coldest(), d.By)
}

// unread tells what the end of a cure rests on where nobody has read a
// temperature.
func unread(j *jobs.Job, c *jobs.CureState) say.Text {
	return say.F("unread in part, first from %s on: %s counts there, the sheet's lowest", bot.Instant(c.Unread, j.Site), j.Sheet.Adhesive.Lowest)
}

// NextLines tells what comes next, what holds it, and what was passed over.
func NextLines(j *jobs.Job) []say.Text {
	items, i, passed := j.Upcoming()
	switch {
	case !j.Door.Off.IsZero():
		return nil
	case i >= 0:
		next := ItemLine(i+1, &items[i])
		if s := j.Door.HitBefore(&items[i]); s != nil {
			next = say.F("snag %s (%s): the foreman closes it with what was seen; %s waits for it", s.ID, jobs.Recorded(s.Text), item(j, items[i].ID))
		}
		parts := []say.Text{say.F("next: %s", next)}
		if holds := jobs.Holds(items, items[i].Stage); len(holds) > 0 {
			parts = append(parts, say.F("first %s", holds[0].ID))
		}
		if len(passed) > 0 {
			parts = append(parts, say.F("still open: %s", say.Names(", ", passed...)))
		}
		return []say.Text{say.Join("; ", parts...)}
	case j.Door.Handover.IsZero():
		return []say.Text{say.F("next: hand over")}
	}
	return nil
}

// ItemLine tells an item of the checklist.
func ItemLine(number int, it *jobs.Item) say.Text {
	mark := "[ ]"
	switch {
	case it.State.State == jobs.NotForThis:
		mark = "[-]"
	case it.State.State == jobs.Overridden:
		mark = "[!]"
	case it.State.Settled():
		mark = "[x]"
	}
	line := say.F("%s %s %s: %s", mark, number, it.ID, it.Text)
	if it.Kind == jobs.Reading {
		line = say.F("%s (%s, %s)", line, it.Unit, it.Limits)
	}
	if it.State.Value != nil {
		line = say.F("%s = %s %s", line, it.State.Value, say.Name(string(it.State.Judgement)))
	}
	var hold say.Text
	switch {
	case it.Never:
		hold = say.F("hold, never overridden")
	case it.Hold:
		hold = say.F("hold")
	}
	return say.Join(" · ", line, hold)
}
