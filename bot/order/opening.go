package order

import (
	"errors"
	"math"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/bot/tell"
	"heelpost/calc"
	"heelpost/jobs"
)

// doorsInFront takes the doors that are to be opened from the front of a text:
// one id, or several and ranges of them, as A-2.
func (e *Request) doorsInFront(text string) (ids []string, rest string, err error) {
	if m := doorsAhead.FindStringSubmatch(text); m != nil {
		ids, err = named(strings.ToUpper(m[1]), rangeOf)
		return ids, strings.TrimLeft(text[len(m[0]):], " ,;:"), err
	}
	id, rest, _ := strings.Cut(text, " ")
	return []string{strings.TrimRight(id, ",;:")}, rest, nil
}

// doorsAhead matches several doors at the front of a text.
var doorsAhead = regexp.MustCompile(`(?i)^(?:doors?\s+)?(` + doorID + `(?:` + doorGap + doorID + `)+)(?:[\s,;:]|$)`)

// rangeOf returns the ids of a row of doors, there or not.
func rangeOf(from, to string) (ids []string, err error) {
	group, low, high, err := row(from, to)
	if err != nil {
		return nil, err
	}
	if high-low >= manyDoors {
		return nil, bot.Refuse(say.F("these are %s doors: at most %s at once", high-low+1, manyDoors))
	}
	for n := low; n <= high; n++ {
		ids = append(ids, group+numbered(from, group, n))
	}
	return ids, nil
}

// takeLike takes the door that another is opened like out of a description.
func takeLike(text string) (rest, like string) {
	before, evidence := survey.BeforeEvidence(text)
	m := likeDoor.FindStringSubmatchIndex(before)
	if m == nil {
		return text, ""
	}
	return strings.TrimSpace(before[:m[0]]+" "+before[m[1]:]) + evidence, strings.ToUpper(before[m[2]:m[3]])
}

var likeDoor = regexp.MustCompile(`(?i)[\s,]*\blike\s+(?:door\s+|#)?([a-z0-9][a-z0-9._-]*)`)

// begun returns a door as it is before its description is read: like another,
// or with the site's usual values.
func (e *Request) begun(like string) (spec jobs.Spec, err error) {
	if like != "" {
		j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, like))
		if err != nil {
			return spec, err
		}
		return j.Door.Spec.Like(), nil
	}
	spec.Presume(jobs.FromSite, e.Site.Usual)
	return spec, nil
}

// presume takes what a description leaves open from the sheet's usual values,
// and notes what it says: that is not taken over.
func (e *Request) presume(spec *jobs.Spec, text string) {
	if usual := e.Desk.Usual(spec.Sheet); usual != nil {
		spec.Presume(jobs.FromSheet, usual)
	}
	spec.Say(survey.Said(text, e.names())...)
}

// resize estimates the mass of a leaf that is opened like another of another
// size, by that: a leaf of that size was never weighed.
func (e *Request) resize(spec *jobs.Spec, like, text string) error {
	if like == "" || slices.Contains(survey.Said(text, e.names()), "mass") {
		return nil
	}
	j, err := e.Desk.Job(e.Ctx, jobs.DoorKey(e.Site.ID, like))
	if err != nil {
		return err
	}
	was := &j.Door.Spec
	if was.Width == spec.Width && was.Height == spec.Height && was.Thickness == spec.Thickness {
		return nil
	}
	by := func(now, before calc.Length) float64 { return float64(now) / float64(before) }
	mass := float64(was.Mass) * by(spec.Width, was.Width) * by(spec.Height, was.Height) * by(spec.Thickness, was.Thickness)
	spec.Mass, spec.Estimated = calc.Mass(math.Ceil(mass*10)/10), true
	e.righted = append(e.righted, say.F("mass %s is estimated by size from the %s of %s: have the leaf weighed, and say correct mass", spec.TellMass(), was.TellMass(), was.ID))
	return nil
}

// gapsMeant matches what was asked about the gaps of the doors already.
var gapsMeant = regexp.MustCompile(`(?i)\bgaps meant\b`)

// askFrom is from how many doors on it is asked before they are opened.
const askFrom = 10

// openDoors opens several doors by one description. What can't be opened is
// named, and the rest is.
func (e *Request) openDoors(ids []string, rest, like string) error {
	order := "door open " + strings.Join(ids, " ")
	if like != "" {
		order += " like " + like
	}
	if len(ids) >= askFrom && !e.Msg.Joined && !gapsMeant.MatchString(rest) {
		e.ask(&Unfinished{Guess: strings.TrimSpace(order + " " + rest), Question: say.F("that opens %s doors, %s to %s: say yes, or say it again", len(ids), ids[0], ids[len(ids)-1])})
		return nil
	}
	spec, err := e.begun(like)
	if err != nil {
		return err
	}
	s, err := survey.Read(rest, &spec, e.names())
	e.righted = s.Righted
	if err != nil {
		return bot.Refuse(err)
	}
	e.presume(&spec, s.Text)
	if err := e.resize(&spec, like, s.Text); err != nil {
		return err
	}
	spec.ID = ids[0]
	if missing := spec.Missing(); len(missing) > 0 {
		f := jobs.FieldNamed(missing[0])
		e.ask(&Unfinished{Text: strings.TrimSpace(order + " " + s.Text), Before: f.Before, Question: say.F("doors %s: %s", say.Names(", ", ids...), say.F(f.Ask))})
		return nil
	}
	whole := order + " " + s.Text
	if e.askCoverTo(s, whole, "") {
		return nil
	}
	if wide := WideGaps(&spec); !wide.IsZero() && !s.Meant {
		e.ask(&Unfinished{Guess: meant(whole), Question: say.F("doors %s: %s: is that meant? say yes, or say it again", say.Names(", ", ids...), wide)})
		return nil
	}
	did, not, err := e.each(ids, func(id string) jobs.Command {
		one := spec
		one.ID = id
		return &jobs.Open{Spec: one}
	})
	if err != nil {
		return err
	}
	if len(did) == 0 {
		return bot.Refuse(say.Lines(not...))
	}
	lines := append([]say.Text{say.F("opened: %s", say.List(did...))}, tell.Taken(&spec)...)
	if like != "" {
		lines = append(lines, say.F("copied from %s: %s", like, tell.Copied(&spec)))
	}
	e.Say(bot.KindAnswer, say.Lines(append(lines, not...)...))
	return nil
}

// openRows opens doors by lines of a door schedule. A line that is not whole is
// asked about where it is the only one, and else named with what it lacks.
func (e *Request) openRows(rows []string) error {
	if len(rows) == 1 {
		id, rest, _ := strings.Cut(rows[0], " ")
		return e.openOne(id, rest, "")
	}
	specs, lacks := map[string]jobs.Spec{}, []say.Text(nil)
	var ids []string
	for _, row := range rows {
		id, rest, _ := strings.Cut(row, " ")
		id = strings.ToUpper(id)
		spec, err := e.begun("")
		if err != nil {
			return err
		}
		spec.ID = id
		s, err := survey.Read(rest, &spec, e.names())
		e.presume(&spec, s.Text)
		for _, right := range s.Righted {
			e.righted = append(e.righted, say.F("%s: %s", id, right))
		}
		missing := spec.Missing()
		switch _, twice := specs[id]; {
		case twice:
			err = say.F("it stands there twice")
		case err == nil && len(missing) > 0:
			err = &jobs.MissingError{Names: missing}
		case err == nil && s.Cover != "" && spec.CoverTo == "":
			err = pipeOrBack(s.Cover)
		case err == nil && !s.Meant && !WideGaps(&spec).IsZero():
			err, row = say.F("%s: say it again, or with %s", WideGaps(&spec), "gaps meant"), meant(row)
		}
		if err != nil {
			lacks = append(lacks, say.F("not opened: %s, %s; say door open %s", id, err, row))
			continue
		}
		specs[id] = spec
		ids = append(ids, id)
	}
	did, not, err := e.each(ids, func(id string) jobs.Command { return &jobs.Open{Spec: specs[id]} })
	if err != nil {
		return err
	}
	not = slices.Concat(not, lacks)
	if len(did) == 0 {
		return bot.Refuse(say.Lines(not...))
	}
	e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("opened: %s", say.List(did...))}, not...)...))
	return nil
}

// each changes each of some doors, and says which of them can't be changed, and
// why.
func (e *Request) each(ids []string, cmd func(id string) jobs.Command) (did, not []say.Text, err error) {
	msg := e.Msg
	msg.Held = jobs.Held{} // it is dealt with when the last door is
	can, not, err := e.tried(ids, func(id string) error {
		_, err := e.Desk.Change(e.Ctx, msg, e.Site, jobs.DoorKey(e.Site.ID, id), cmd(id))
		return err
	})
	for _, id := range can {
		did = append(did, say.Plain(id))
	}
	return did, not, err
}

// tried does something at each of some doors, and returns those where it can be
// done, and why it can't at the others.
func (e *Request) tried(ids []string, do func(id string) error) (can []string, not []say.Text, err error) {
	for _, id := range ids {
		err := do(id)
		refusal, refused := errors.AsType[*bot.RefusalError](err)
		switch {
		case refused:
			e.NoteDenied(err)
			not = append(not, say.F("not at %s: %s", id, refusal.Unwrap()))
		case err != nil:
			return nil, nil, err
		default:
			can = append(can, id)
		}
	}
	return can, not, nil
}

// pasted asks whether lines are from a door schedule, where they look like it;
// false if they don't.
func (e *Request) pasted(text string) bool {
	rows, ok := survey.Rows(text)
	if !ok {
		return false
	}
	first, _, _ := strings.Cut(rows[0], " ")
	last, _, _ := strings.Cut(rows[len(rows)-1], " ")
	question := say.F("is that from a door schedule? say yes, and door %s is opened by it; further lines of it go with it", first)
	if len(rows) > 1 {
		question = say.F("%s lines of a door schedule, %s to %s: say yes, and the doors are opened by them; further lines go with them", len(rows), first, last)
	}
	e.ask(&Unfinished{Guess: opens + text, Question: question})
	return true
}

func isRows(text string) bool {
	_, ok := survey.Rows(text)
	return ok
}

// moreRows returns the lines of a door schedule that wait for a yes with those that
// come behind them: it is pasted line by line; "" if either is no such text.
func moreRows(o *Unfinished, text string) string {
	waiting, ok := strings.CutPrefix(o.Guess, opens)
	if !ok || o.Text != "" || !isRows(text) || !isRows(waiting) {
		return ""
	}
	return waiting + "\n" + text
}
