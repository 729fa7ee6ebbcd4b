// Package form has the forms: what each asks, and the command that comes of
// what was filled in. What is wrong is said beside its field.
package form

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/calc"
	"heelpost/jobs"
)

// formKind is a form before it knows its door.
type formKind struct {
	id     string
	title  say.Text
	submit say.Text
	atDoor bool
	action jobs.Action
	show   func(*order.Request, *bot.Form, string) error // puts the fields in, for what stands after the id
	read   func(*filled, string) (jobs.Command, error)   // makes the command of what was filled in
	told   func(*order.Request, map[string]string) error // answers at once; nil if the word on the change is enough
}

// siteForm is the form, and its one field, that asks at which site another is
// to be filled in.
const siteForm = "site"

func formKinds() []formKind {
	return []formKind{
		{id: "open", title: say.F("Open a door"), submit: say.F("Open"), action: jobs.OpenDoor, show: showOpen, read: (*filled).readOpen},
		{id: "readings", title: say.F("Readings"), submit: say.F("Enter"), atDoor: true, action: jobs.Check,
			show: showReadings, read: (*filled).readReadings, told: tellReadings},
		{id: "ticks", title: say.F("Tick several"), submit: say.F("Tick"), atDoor: true, action: jobs.Check, show: showTicks, read: (*filled).readTicks},
		{id: "snag", title: say.F("File a snag"), submit: say.F("File"), atDoor: true, action: jobs.SnagWork, show: showSnag, read: (*filled).readSnag},
		{id: "visit", title: say.F("Plan a visit"), submit: say.F("Plan"), atDoor: true, action: jobs.VisitWork, show: showVisit, read: (*filled).readVisit},
		{id: "move", title: say.F("Move a visit"), submit: say.F("Move"), atDoor: true, action: jobs.VisitWork, show: showMove, read: (*filled).readMove},
	}
}

// Form returns a form as it stands now, for the person, channel and thread of
// a message, or the door that the id names, as in "door A-1 readings". A snag's
// may be asked for with a text behind its id, to begin with. Who may not send it is refused at once.
func Form(ctx context.Context, d *desk.Desk, m bot.Message, id string) (bot.Form, error) {
	if err := d.Agree(ctx); err != nil {
		return bot.Form{}, err
	}
	e := &order.Request{Ctx: ctx, Desk: d, Msg: m, Site: d.SiteFor(&m), DoorID: m.Thread}
	if door, rest, ok := strings.Cut(strings.TrimPrefix(id, "door "), " "); ok && strings.HasPrefix(id, "door ") {
		e.DoorID, id = door, rest
	}
	_, f, err := form(e, id)
	e.NoteDenied(err)
	return f, err
}

// form finds and draws a form.
func form(e *order.Request, id string) (formKind, bot.Form, error) {
	name, rest, _ := strings.Cut(id, " ")
	kinds := formKinds()
	i := slices.IndexFunc(kinds, func(k formKind) bool { return k.id == name })
	if i < 0 {
		return formKind{}, bot.Form{}, bot.Refuse(say.F("there is no form %s", lex.CutText(id, 40)))
	}
	k := kinds[i]
	l := e.Desk.Language
	f := bot.Form{ID: k.id, Title: l.Say(k.title), Submit: l.Say(k.submit)}
	places := e.Desk.Places(e.Msg.Person)
	switch {
	case e.Site == nil && e.Msg.Channel == "" && len(places) > 1:
		// Said to the bot alone by somebody of several sites: the choice
		// comes first, and its value is the channel to go on in.
		f.ID, f.Submit = siteForm, l.Say(say.F("Next"))
		f.Fields = []bot.Field{{Name: siteForm, Label: e.Desk.Language.Say(say.F("At which site?")), Kind: bot.ChoiceField, Options: places}}
		return k, f, nil
	case e.Site == nil:
		return k, f, e.Desk.NoSite(&e.Msg)
	case e.Site.Archived(e.Msg.At):
		return k, f, bot.Refuse(desk.Archived(e.Site))
	case k.atDoor && e.DoorID == "":
		return k, f, bot.Refuse(say.F("which door? the form opens in the door's thread"))
	}
	if r := e.Site.Role(e.Msg.Person); !jobs.Allowed(r, k.action) {
		return k, f, bot.Refuse(&jobs.PermissionError{Who: e.Msg.Person, Role: r, Action: k.action})
	}
	if k.atDoor {
		f.Door = e.DoorID
	}
	return k, f, k.show(e, &f, strings.TrimSpace(rest))
}

// Submit takes what was filled into a form. With any complaint, by the
// field's name or "" of the whole form, nothing was changed; else one change
// is committed under the message's id.
func Submit(ctx context.Context, d *desk.Desk, m bot.Message, id string, values map[string]string) (complaints map[string]string, posts []bot.Post, err error) {
	if err := d.Agree(ctx); err != nil {
		return nil, nil, err
	}
	e := &order.Request{Ctx: ctx, Desk: d, Msg: m, Site: d.SiteFor(&m), DoorID: m.Thread}
	f := &filled{Request: e, values: values, wrong: map[string][]say.Text{}}
	err = f.submit(id)
	e.NoteDenied(err)
	if no, ok := errors.AsType[*bot.RefusalError](err); ok {
		f.refuse(no.Unwrap())
		err = nil
	}
	if err != nil {
		return nil, nil, err
	}
	for field, texts := range f.wrong {
		if complaints == nil {
			complaints = map[string]string{}
		}
		complaints[field] = d.Language.Say(say.Join("; ", texts...))
	}
	if complaints != nil {
		return complaints, nil, nil
	}
	return nil, e.Posts, nil
}

// filled is a form that somebody filled in.
type filled struct {
	*order.Request
	form   bot.Form
	values map[string]string
	wrong  map[string][]say.Text // what is wrong with it, by field
}

func (f *filled) submit(id string) error {
	if id == "open" {
		f.DoorID = f.text("door")
	}
	repeated, err := f.repeated()
	if err != nil {
		return err
	}
	kind, form, err := form(f.Request, id)
	f.form = form
	if err != nil && !repeated {
		return err
	}
	if !repeated {
		f.check()
		cmd, err := kind.read(f, strings.TrimSpace(strings.TrimPrefix(id, kind.id)))
		if err != nil || len(f.wrong) > 0 {
			return err
		}
		if err := f.Do(cmd); err != nil {
			return err
		}
	}
	if kind.told == nil {
		return nil
	}
	return kind.told(f.Request, f.values)
}

// repeated reports whether the message has changed the door already.
func (f *filled) repeated() (bool, error) {
	if f.Site == nil {
		return false, nil
	}
	j, err := f.Desk.Find(f.Ctx, jobs.DoorKey(f.Site.ID, f.DoorID))
	if j == nil || err != nil {
		return false, err
	}
	return f.Desk.Done(f.Ctx, j, f.Msg.ID)
}

// text returns a value without the space around it.
func (f *filled) text(name string) string { return strings.TrimSpace(f.values[name]) }

// complain says what is wrong with a field.
func (f *filled) complain(field string, text say.Text) {
	if !slices.ContainsFunc(f.wrong[field], func(t say.Text) bool { return strings.Contains(t.String(), text.String()) }) {
		f.wrong[field] = append(f.wrong[field], text)
	}
}

// refuse puts each part of a refusal beside its field.
func (f *filled) refuse(err error) {
	switch e := err.(type) {
	case interface{ Unwrap() []error }:
		for _, part := range e.Unwrap() {
			f.refuse(part)
		}
		return
	case *jobs.MissingError:
		for _, name := range e.Names {
			f.complain(f.field(name), say.F("%s: still to say", say.Name(name)))
		}
		return
	}
	field := ""
	if e, ok := errors.AsType[*calc.RangeError](err); ok {
		field = jobs.FieldRefused(e.Name)
	}
	if e, ok := errors.AsType[*jobs.FieldError](err); ok {
		field = e.Field
	}
	f.complain(f.field(field), say.Of(err))
}

// field returns the field of the form that goes by a name of jobs or calc, ""
// if there is none.
func (f *filled) field(name string) string {
	name = formName(name)
	if f.form.Field(name) == nil {
		return ""
	}
	return name
}

// check refuses what is missing, what is none of the options, and what the
// form does not ask for any more.
func (f *filled) check() {
	for _, name := range slices.Sorted(maps.Keys(f.values)) {
		if f.form.Field(name) == nil && f.text(name) != "" {
			f.complain("", say.F("%s is not asked for any more", lex.CutText(name, 40)))
		}
	}
	for _, field := range f.form.Fields {
		value := f.text(field.Name)
		if value == "" {
			if !field.Optional {
				f.complain(field.Name, say.F("%s: still to say", field.Label))
			}
			continue
		}
		words := []string{value}
		switch field.Kind {
		case bot.ChoicesField:
			words = strings.Fields(value)
		case bot.ChoiceField:
		default:
			continue
		}
		for _, w := range words {
			if !slices.ContainsFunc(field.Options, func(o bot.Option) bool { return o.Value == w }) {
				f.complain(field.Name, say.F("%q is none of: %s", lex.CutText(w, 40), field.Choices()))
			}
		}
	}
}

// length reads a length; 0 if the field is empty or wrong.
func (f *filled) length(name string) calc.Length {
	text := f.text(name)
	if text == "" {
		return 0
	}
	n, ok := lex.WholeLength(text)
	if !ok {
		f.complain(name, say.F("%s is %q: give a length, as 65 for mm or 2-1/2 in", say.Name(name), lex.CutText(text, 40)))
		return 0
	}
	if field := f.form.Field(name); n.Length < 0 || n.Length == 0 && !field.Optional {
		f.complain(name, say.F("%s is %s, must be more than 0 mm", say.Name(name), n.Length))
		return 0
	}
	return n.Length
}

// people reads ids of people.
func (f *filled) people(name string) (ids []string) {
	for _, id := range strings.FieldsFunc(f.values[name], func(r rune) bool { return r == ' ' || r == ',' || r == '\n' }) {
		ids = append(ids, strings.TrimPrefix(id, "@"))
	}
	return ids
}

// person reads the id of one person.
func (f *filled) person(name string) string {
	ids := f.people(name)
	if len(ids) == 0 {
		return ""
	}
	if len(ids) > 1 {
		f.complain(name, say.F("%s people are named, one is wanted", len(ids)))
	}
	return ids[0]
}

// at reads the date and the time of a visit.
func (f *filled) at() time.Time {
	day, err := jobs.ParseDate(f.text("date"))
	if err != nil && f.text("date") != "" {
		f.complain("date", say.F("%s", err))
	}
	clock, err := jobs.ParseClock(f.text("time"))
	if err != nil && f.text("time") != "" {
		f.complain("time", say.F("%s", err))
	}
	if clock == 24*60 {
		f.complain("time", say.F("24:00 is two days' midnight: say 23:59 or 0:00"))
	}
	return day.At(clock, f.Site.Zone)
}

func namedOptions(l *say.Language, values ...string) []bot.Option {
	options := make([]bot.Option, len(values))
	for i, v := range values {
		options[i] = bot.Option{Value: v, Label: l.Say(say.Name(v))}
	}
	return options
}

func showReadings(e *order.Request, f *bot.Form, _ string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	items := tell.WantedReadings(j)
	if len(items) == 0 {
		return bot.Refuse(say.Lines(append([]say.Text{say.F("nothing is to be read now")}, tell.NextLines(j)...)...))
	}
	f.Intro = e.Desk.Language.Say(say.F("door %s, %s: fill in what you have read", e.DoorID, say.Name(string(items[0].Stage))))
	for _, it := range items {
		field := bot.Field{Name: it.ID, Label: e.Desk.Language.Say(say.F("%s (%s, %s)", it.Text, it.Unit, it.Limits)), Kind: bot.NumberField, Optional: true}
		if it.State.Value != nil {
			field.Hint = e.Desk.Language.Say(say.F("read before: %s, %s", it.State.Value, say.Name(string(it.State.Judgement))))
		} else if strings.HasSuffix(it.ID, "-services") {
			field.Hint = e.Desk.Language.Say(say.F("nothing found? say read %s none, and how it was looked for", it.ID))
		}
		f.Fields = append(f.Fields, field)
		if it.ID == "floor-services" && !j.Door.Spec.HasCover {
			f.Fields = append(f.Fields, coverToField(e.Desk.Language))
		}
	}
	return nil
}

func (f *filled) readReadings(string) (jobs.Command, error) {
	j, err := f.Job()
	if err != nil {
		return nil, err
	}
	cmd := &jobs.ReadItems{}
	for _, it := range tell.WantedReadings(j) {
		text := f.text(it.ID)
		if text == "" {
			continue
		}
		v, rest, err := order.Measure(text, it.Unit)
		if err == nil && rest != "" {
			err = say.F("give a reading in %s", it.Unit)
		}
		if err != nil {
			f.complain(it.ID, say.F("%s is %q: %s (%s)", it.ID, lex.CutText(text, 40), err, it.Limits))
		}
		r := jobs.ReadItem{Item: it.ID, Value: v}
		if s := &j.Door.Spec; it.ID == "floor-services" {
			if r.To = f.text("cover_to"); r.To == "" && s.Heated && !s.HasCover {
				f.askCoverTo()
			}
		}
		cmd.Items = append(cmd.Items, r)
	}
	if len(cmd.Items) == 0 && len(f.wrong) == 0 {
		f.complain("", say.F("no reading is filled in"))
	}
	return cmd, nil
}

// tellReadings says of each reading how it stands to its limits.
func tellReadings(e *order.Request, values map[string]string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	var lines []say.Text
	for _, it := range j.Items() {
		if values[it.ID] != "" && it.State.Value != nil {
			lines = append(lines, say.F("%s %s: %s (%s)", it.ID, it.State.Value, say.Name(string(it.State.Judgement)), jobs.Recorded(it.State.Limits)))
		}
	}
	e.Say(bot.KindDoor, say.Lines(lines...))
	return nil
}
