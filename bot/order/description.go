package order

import (
	"errors"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/calc"
	"heelpost/jobs"
)

// openDoor opens a door's job. What is missing, not understood or refused is
// asked for, one thing after the other, and the rest is kept.
func (e *Request) openDoor(text string) error {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.OpenDoor) {
		return bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.OpenDoor})
	}
	if rows, ok := survey.Rows(text); ok {
		return e.openRows(rows)
	}
	ids, rest, err := e.doorsInFront(text)
	if err != nil {
		return err
	}
	rest, like := takeLike(rest)
	if len(ids) > 1 {
		return e.openDoors(ids, rest, like)
	}
	return e.openOne(ids[0], rest, like)
}

// openOne opens the job of one door, like another if one is named.
func (e *Request) openOne(id, rest, like string) error {
	if id == "" {
		e.ask(&Unfinished{Text: "door open", Question: say.F(jobs.FieldNamed("door").Ask)})
		return nil
	}
	if e.askSpaced(id, rest) {
		return nil
	}
	if err := jobs.CheckID(strings.ToUpper(id)); err != nil {
		return bot.Refuse(err)
	}
	if ours, err := e.isOpen(id); ours || err != nil {
		return err
	}
	spec, err := e.begun(like)
	if err != nil {
		return err
	}
	e.DoorID, spec.ID = id, strings.ToUpper(id)
	head := "door open " + id
	if like != "" {
		head += " like " + like
	}
	s, err := survey.Read(rest, &spec, e.names())
	e.righted = s.Righted
	if e.forbidden(head, s.Text) {
		return nil
	}
	if p, ok := errors.AsType[*survey.Part](err); ok {
		if errors.Is(err, survey.ErrUnnamed) {
			return e.askEvidence(head+" "+s.Text[:p.From], p.Before, "")
		}
		e.askPart(head, s.Text, p)
		return nil
	}
	e.presume(&spec, s.Text)
	if err := e.resize(&spec, like, s.Text); err != nil {
		return err
	}
	order := head + " " + s.Text
	if e.askCoverTo(s, order, "") {
		return nil
	}
	if missing := spec.Missing(); len(missing) > 0 {
		f := jobs.FieldNamed(missing[0])
		e.ask(&Unfinished{Text: order, Before: f.Before, Question: e.atDoor(say.F(f.Ask))})
		return nil
	}
	if e.Msg.Joined && !s.Else {
		e.ask(&Unfinished{Text: order, Before: "else", Question: e.atDoor(say.F("what else is there? as heated, cover 45 to pipe, covering 10, lining 18, stop 12, seals, latch; say those there are, or nothing"))})
		return nil
	}
	if wide := WideGaps(&spec); !wide.IsZero() && !s.Meant {
		e.ask(&Unfinished{Guess: meant(order), Question: e.atDoor(say.F("%s: is that meant? say yes, or say it again", wide))})
		return nil
	}
	return e.askAgain(order, e.Do(&jobs.Open{Spec: spec}))
}

// wideGap is a gap beside a leaf that is asked about, however a door is opened:
// the project's own.
const wideGap = 20 * calc.Millimetre

// WideGaps tells of gaps beside a leaf that hardly any is hung with; it says
// nothing of others, of a tested door, or of sizes that can't be.
func WideGaps(spec *jobs.Spec) say.Text {
	if _, err := calc.Gap(spec.Turn(), 0, calc.Millimetre); err != nil || spec.Tested() {
		return say.Text{} // refused, or by evidence
	}
	gap := spec.EvenGap()
	if _, err := calc.Plate(calc.PlateInput{Setback: spec.Setback, Gap: gap, Step: calc.Millimetre}); err != nil || gap < wideGap {
		return say.Text{}
	}
	return say.F("a leaf of %s in an opening of %s leaves gaps of %s on either side", spec.Tell(spec.Width), spec.Tell(spec.OpeningWidth), spec.Tell(gap))
}

// widerGaps tells of wide gaps that a correction leaves: those that stand there are
// not told again.
func widerGaps(was, spec *jobs.Spec) say.Text {
	if !WideGaps(was).IsZero() && spec.EvenGap() <= was.EvenGap() {
		return say.Text{}
	}
	return WideGaps(spec)
}

// meant is an order to open or correct doors whose gaps are said to be meant.
func meant(order string) string {
	before, evidence := survey.BeforeEvidence(order)
	return strings.Join([]string{strings.TrimSpace(before), "gaps meant"}, " ") + evidence
}

// askSpaced asks for an id that was typed in two words; false if it was not.
func (e *Request) askSpaced(id, rest string) bool {
	tokens := lex.Lex(rest, nil)
	if len(tokens) == 0 || tokens[0].Kind != lex.NumberToken || strings.ContainsAny(id, "0123456789") {
		return false
	}
	number := rest[tokens[0].Start:tokens[0].End]
	if len(tokens) > 1 && (tokens[1].Mark == 'x' || lex.MassUnits[tokens[1].Word] != 0) || strings.Trim(number, "0123456789") != "" {
		return false
	}
	whole := strings.ToUpper(id) + "-" + number
	e.ask(&Unfinished{Text: "door open", After: rest[tokens[0].End:], Guess: whole,
		Question: say.F("a door's id has no space in it: is it %s? say yes, or give it in one word", whole)})
	return true
}

// isOpen refuses to open a door that is open; ours is true if it was this
// very message that opened it.
func (e *Request) isOpen(id string) (ours bool, err error) {
	j, err := e.Desk.Find(e.Ctx, jobs.DoorKey(e.Site.ID, id))
	if j == nil || err != nil || !j.Door.Off.IsZero() {
		return false, err
	}
	ours, err = e.Desk.Done(e.Ctx, j, e.Msg.ID)
	if ours || err != nil {
		return ours, err
	}
	if now := j.Door.Spec.ID; !strings.EqualFold(now, id) {
		return false, bot.Refuse(say.F("%s was the id of door %s before, which is still found by it: take another", id, now))
	}
	id = j.Door.Spec.ID
	return false, bot.Refuse(say.F("door %s is open already: say what you want in its thread; door %s shows its card", id, id))
}

// atDoor says something of the door that is spoken of.
func (e *Request) atDoor(text say.Sentence) say.Text {
	if e.DoorID == "" { // of several
		return say.F("%s", text)
	}
	return say.F("door %s: %s", e.DoorID, text)
}

// askPart asks for the part of a description that was not understood.
func (e *Request) askPart(head, text string, p *survey.Part) {
	o := &Unfinished{Text: head + " " + text[:p.From] + text[p.To:], Before: p.Before, Part: true, Guess: p.Guess,
		Question: e.atDoor(say.F("%s; the rest is kept: say that part again, or leave it out", p))}
	if p.Guess != "" {
		o.Question = e.atDoor(say.F("%s: did you mean %s? the rest is kept: say yes, or that part again, or leave it out", p, p.Guess))
	}
	e.ask(o)
}

// askAgain asks for the part of a description that it was refused for.
func (e *Request) askAgain(order string, err error) error {
	if _, dense := errors.AsType[*jobs.DensityError](err); dense {
		return e.askDensity(order, "", err)
	}
	f := jobs.FieldNamed(refusedField(err))
	if f != nil && f.Ask != "" {
		e.ask(&Unfinished{Text: order, Before: f.Before, Question: say.Lines(e.atDoor(say.Of(err)), say.F(f.Ask))})
		return nil
	}
	if _, isLimit := errors.AsType[*jobs.LimitError](err); !isLimit {
		return err
	}
	e.ask(&Unfinished{Text: order, Question: say.Lines(e.atDoor(say.Of(err)), say.F("the rest is kept: say what is otherwise, as mass 88kg"))})
	return nil
}

// refusedField returns the first field of a description that a refusal is
// about, "" if it is about none, or about the door's id.
func refusedField(err error) string {
	field := ""
	if e, ok := errors.AsType[*calc.RangeError](err); ok {
		field = jobs.FieldRefused(e.Name)
	}
	if e, ok := errors.AsType[*jobs.FieldError](err); ok {
		field = e.Field
	}
	if field == "door" {
		return ""
	}
	return field
}

// askDensity asks for mass or size again where the error is that they can't
// both be right: order and after wait for the reply between them.
func (e *Request) askDensity(order, after string, err error) error {
	dense, ok := errors.AsType[*jobs.DensityError](err)
	if !ok {
		return err
	}
	e.ask(&Unfinished{Text: order, Before: "mass", After: after,
		Question: e.atDoor(say.F("%s: what is the mass, as 88 weighed, or the leaf, as 1050x2350x44?", say.Of(dense)))})
	return nil
}

func (e *Request) correct(text string) error {
	if m := exactly.FindStringSubmatch(text); m != nil {
		return e.correctExactly(m[1], m[2], m[3])
	}
	if what, doors, why := atMany(text); doors != "" {
		return e.correctMany(what, doors, why)
	}
	j, err := e.Job()
	if err != nil {
		return err
	}
	if m := correctLeaf.FindStringSubmatch(text); m != nil {
		e.askSize(j, m[1], m[2], m[3])
		return nil
	}
	what, why := splitBecause(text)
	spec := j.Door.Spec
	spec.Crew, spec.Status = slices.Clone(spec.Crew), slices.Clone(spec.Status)
	s, err := survey.Read(what, &spec, e.names())
	e.righted = s.Righted
	after := ""
	if why != "" {
		after = " because " + why
	}
	if p, ok := errors.AsType[*survey.Part](err); ok && errors.Is(err, survey.ErrUnnamed) {
		return e.askEvidence("door "+e.DoorID+" correct "+s.Text[:p.From], p.Before, after)
	}
	if err != nil {
		return bot.Refuse(err)
	}
	spec.Say(survey.Said(s.Text, e.names())...)
	order := "door " + e.DoorID + " correct " + s.Text
	if e.askCoverTo(s, order, after) {
		return nil
	}
	if wide := widerGaps(&j.Door.Spec, &spec); !wide.IsZero() && !s.Meant {
		e.ask(&Unfinished{Guess: meant(order) + after, Question: e.atDoor(say.F("%s: is that meant? say yes, or say it again", wide))})
		return nil
	}
	return e.askDensity(order, after, e.Do(&jobs.Correction{Spec: spec, Why: why}))
}

// forbidden asks to leave the evidence out of a description where whoever
// speaks may not enter it.
func (e *Request) forbidden(head, text string) bool {
	before, evidence := survey.BeforeEvidence(text)
	r := e.Site.Role(e.Msg.Person)
	if evidence == "" || jobs.Allowed(r, jobs.Evidence) {
		return false
	}
	no := &jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.Evidence}
	e.NoteDenied(no)
	e.ask(&Unfinished{Text: head + " " + before, Part: true,
		Question: e.atDoor(say.F("%s; the rest is kept: say leave it out, and the foreman enters them afterwards", say.Of(no)))})
	return true
}

// askEvidence asks whoever may enter it which evidence some gaps are from.
func (e *Request) askEvidence(order, gaps, after string) error {
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, jobs.Evidence) {
		return bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: jobs.Evidence})
	}
	e.ask(&Unfinished{Text: order, Before: gaps, After: after, Question: e.atDoor(say.Of(survey.ErrUnnamed))})
	return nil
}

// askCoverTo asks to what a cover was measured where that was not said, on a
// heated floor too.
func (e *Request) askCoverTo(s *survey.Survey, order, after string) bool {
	spec := s.Spec
	if s.Cover == "" || !spec.HasCover || spec.CoverTo != "" {
		return false
	}
	e.ask(&Unfinished{Text: order, Before: s.Cover + " to", After: after,
		Question: e.atDoor(pipeOrBack(s.Cover))})
	return true
}
