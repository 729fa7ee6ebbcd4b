package bot

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/calc"
	"heelpost/jobs"
)

// openDoor opens a door's job. What is missing, not understood or refused is
// asked for, one thing after the other, and the rest is kept.
func (e *errand) openDoor(text string) error {
	if r := e.site.Role(e.msg.Person); !jobs.Allowed(r, jobs.OpenDoor) {
		return refuse(&jobs.PermissionError{Who: e.msg.Person, Role: r, Action: jobs.OpenDoor})
	}
	id, rest, _ := strings.Cut(text, " ")
	if id = strings.TrimRight(id, ",;:"); id == "" {
		e.ask(&open{Text: "door open", Ask: wanted["door"].Ask})
		return nil
	}
	if e.askSpaced(id, rest) {
		return nil
	}
	if err := jobs.CheckID(strings.ToUpper(id)); err != nil {
		return refuse(err)
	}
	if ours, err := e.isOpen(id); ours || err != nil {
		return err
	}
	e.id = id
	spec := jobs.Spec{ID: strings.ToUpper(id)}
	s, err := readSurvey(rest, &spec, e.desk.names(e.site))
	e.read = s.read
	if e.forbidden(s.text) {
		return nil
	}
	if p, ok := errors.AsType[*part](err); ok {
		if errors.Is(err, errUnnamed) {
			return e.askEvidence("door open "+id+" "+s.text[:p.from], p.word, "")
		}
		e.askPart(s.text, p)
		return nil
	}
	order := "door open " + id + " " + s.text
	if e.askBottom(s, order, "") {
		return nil
	}
	if missing := spec.Missing(); len(missing) > 0 {
		w := wanted[missing[0]]
		e.ask(&open{Text: order, Before: w.Before, Ask: "door " + id + ": " + w.Ask})
		return nil
	}
	if e.msg.course != nil && e.msg.course.joined && !s.asked {
		e.ask(&open{Text: order, Before: "else", Ask: "door " + id + ": what else is there? as heated, cover 45 to pipe, covering 10, lining 18, stop 12, seals, latch; say those there are, or nothing"})
		return nil
	}
	return e.askAgain(order, e.do(&jobs.Open{Spec: spec}))
}

// askSpaced asks for an id that was typed in two words; false if it was not.
func (e *errand) askSpaced(id, rest string) bool {
	tokens := lex(rest, nil)
	if len(tokens) == 0 || tokens[0].kind != numberToken || strings.ContainsAny(id, "0123456789") {
		return false
	}
	number := rest[tokens[0].start:tokens[0].end]
	if len(tokens) > 1 && (tokens[1].mark == 'x' || massUnits[tokens[1].word] != 0) || strings.Trim(number, "0123456789") != "" {
		return false
	}
	whole := strings.ToUpper(id) + "-" + number
	e.ask(&open{Text: "door open", After: rest[tokens[0].end:], Guess: whole, Ask: "a door's id has no space in it: is it " + whole + "? say yes, or give it in one word"})
	return true
}

// isOpen refuses to open a door that is open; ours is true if it was this
// very message that opened it.
func (e *errand) isOpen(id string) (ours bool, err error) {
	j, err := e.desk.job(e.ctx, doorKey(e.site.ID, id))
	if errors.Is(err, jobs.ErrNotFound) {
		return false, nil
	}
	if err == nil {
		ours, err = e.desk.done(e.ctx, j, e.msg.ID)
	}
	if ours || err != nil {
		return ours, err
	}
	id = j.door.Spec.ID
	return false, refuse(fmt.Errorf("door %s is open already: say what you want in its thread; door %s shows its card", id, id))
}

// ask asks back; the order waits for the reply.
func (e *errand) ask(o *open) {
	o.Order = true
	e.open = o
	e.say(KindAsk, e.righted(o.Ask))
}

// righted puts what was put right in the text below what is said of it.
func (e *errand) righted(text string) string {
	return strings.Join(append([]string{text}, e.read...), "\n")
}

// askPart asks for the part of a description that was not understood.
func (e *errand) askPart(text string, p *part) {
	o := &open{Text: "door open " + e.id + " " + text[:p.from] + text[p.to:], Before: p.word, Part: true, Guess: p.meant,
		Ask: "door " + e.id + ": " + p.Error() + "; the rest is kept: say that part again, or leave it out"}
	if p.meant != "" {
		o.Ask = "door " + e.id + ": " + p.Error() + ": did you mean " + p.meant + "? the rest is kept: say yes, or that part again, or leave it out"
	}
	e.ask(o)
}

// askAgain asks for the part of a description that it was refused for.
func (e *errand) askAgain(order string, err error) error {
	if _, dense := errors.AsType[*jobs.DensityError](err); dense {
		return e.askDensity(order, "", err)
	}
	w := wanted[refusedField(err)]
	if _, isLimit := errors.AsType[*jobs.LimitError](err); w.Ask == "" && !isLimit {
		return err
	}
	w.Ask = cmp.Or(w.Ask, "the rest is kept: say what is otherwise, as mass 88kg")
	e.ask(&open{Text: order, Before: w.Before, Ask: "door " + e.id + ": " + err.Error() + "\n" + w.Ask})
	return nil
}

// refusedField returns the first field of a description that a refusal is
// about, "" if it is about none, or about the door's id.
func refusedField(err error) string {
	field := ""
	if e, ok := errors.AsType[*calc.RangeError](err); ok {
		field = words(cmp.Or(calcFields[e.Name], e.Name))
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
func (e *errand) askDensity(order, after string, err error) error {
	dense, ok := errors.AsType[*jobs.DensityError](err)
	if !ok {
		return err
	}
	e.ask(&open{Text: order, Before: "mass", After: after,
		Ask: "door " + e.id + ": " + dense.Error() + ": what is the mass, as 88 weighed, or the leaf, as 1050x2350x44?"})
	return nil
}

func (e *errand) correct(text string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	what, why := reason(text)
	spec := j.door.Spec
	spec.Crew, spec.Status = slices.Clone(spec.Crew), slices.Clone(spec.Status)
	s, err := readSurvey(what, &spec, e.desk.names(e.site))
	e.read = s.read
	after := ""
	if why != "" {
		after = " because " + why
	}
	if p, ok := errors.AsType[*part](err); ok && errors.Is(err, errUnnamed) {
		return e.askEvidence("door "+e.id+" correct "+s.text[:p.from], p.word, after)
	}
	if err != nil {
		return refuse(err)
	}
	order := "door " + e.id + " correct " + s.text
	if e.askBottom(s, order, after) {
		return nil
	}
	return e.askDensity(order, after, e.do(&jobs.Correction{Spec: spec, Why: why}))
}

// forbidden asks to leave the evidence out of a description where whoever
// speaks may not enter it.
func (e *errand) forbidden(text string) bool {
	before, evidence := beforeEvidence(text)
	r := e.site.Role(e.msg.Person)
	if evidence == "" || jobs.Allowed(r, jobs.Evidence) {
		return false
	}
	no := &jobs.PermissionError{Who: e.msg.Person, Role: r, Action: jobs.Evidence}
	e.noteDenied(no)
	e.ask(&open{Text: "door open " + e.id + " " + before, Part: true,
		Ask: "door " + e.id + ": " + no.Error() + "; the rest is kept: say leave it out, and the foreman enters them afterwards"})
	return true
}

// askEvidence asks whoever may enter it which evidence some gaps are from.
func (e *errand) askEvidence(order, gaps, after string) error {
	if r := e.site.Role(e.msg.Person); !jobs.Allowed(r, jobs.Evidence) {
		return refuse(&jobs.PermissionError{Who: e.msg.Person, Role: r, Action: jobs.Evidence})
	}
	e.ask(&open{Text: order, Before: gaps, After: after, Ask: "door " + e.id + ": " + errUnnamed.Error()})
	return nil
}

// askBottom asks to what a cover was measured where that was not said; a heated
// floor's is taken for that over its pipes, and said so.
func (e *errand) askBottom(s *survey, order, after string) bool {
	spec := s.spec
	if s.bottom == "" || !spec.HasCover || spec.CoverTo != "" {
		return false
	}
	if spec.Heated {
		spec.CoverTo = "pipe"
		e.read = append(e.read, "assumed: "+s.bottom+" is to the pipe, as the floor is heated")
		return false
	}
	e.ask(&open{Text: order, Before: s.bottom + " to", After: after, Ask: "door " + e.id + ": " + s.bottom + ": to a pipe, or to the back of the slab? say pipe or back"})
	return true
}
