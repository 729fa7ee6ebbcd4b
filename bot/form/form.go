// Package form has the forms: what each asks, and the command that comes of
// what was filled in. What is wrong is said beside its field.
package form

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/tell"
	"heelpost/calc"
	"heelpost/jobs"
)

// formKind is a form before it knows its door.
type formKind struct {
	id     string
	title  string
	submit string
	atDoor bool
	action jobs.Action
	show   func(*order.Errand, *bot.Form, string) error // puts the fields in, for what stands after the id
	read   func(*filled, string) (jobs.Command, error)  // makes the command of what was filled in
	told   func(*order.Errand, map[string]string) error // answers at once; nil if the word on the change is enough
}

// siteForm is the form, and its one field, that asks at which site another is
// to be filled in.
const siteForm = "site"

func formKinds() []formKind {
	return []formKind{
		{id: "open", title: "Open a door", submit: "Open", action: jobs.OpenDoor, show: showOpen, read: (*filled).readOpen},
		{id: "readings", title: "Readings", submit: "Enter", atDoor: true, action: jobs.Check,
			show: showReadings, read: (*filled).readReadings, told: tellReadings},
		{id: "snag", title: "File a snag", submit: "File", atDoor: true, action: jobs.SnagWork, show: showSnag, read: (*filled).readSnag},
		{id: "visit", title: "Plan a visit", submit: "Plan", atDoor: true, action: jobs.VisitWork, show: showVisit, read: (*filled).readVisit},
		{id: "move", title: "Move a visit", submit: "Move", atDoor: true, action: jobs.VisitWork, show: showMove, read: (*filled).readMove},
	}
}

// Form returns a form as it stands now, for the person, channel and thread of
// a message. A snag's may be asked for with a text behind its id, to begin
// with. Who may not send it is refused at once.
func Form(ctx context.Context, d *desk.Desk, m bot.Message, id string) (bot.Form, error) {
	if err := d.Agree(ctx); err != nil {
		return bot.Form{}, err
	}
	e := &order.Errand{Ctx: ctx, Desk: d, Msg: m, Site: d.SiteFor(&m), DoorID: m.Thread}
	_, f, err := form(e, id)
	e.NoteDenied(err)
	return f, err
}

// form finds and draws a form.
func form(e *order.Errand, id string) (formKind, bot.Form, error) {
	name, rest, _ := strings.Cut(id, " ")
	kinds := formKinds()
	i := slices.IndexFunc(kinds, func(k formKind) bool { return k.id == name })
	if i < 0 {
		return formKind{}, bot.Form{}, bot.Refuse(fmt.Errorf("there is no form %s", lex.CutText(id, 40)))
	}
	k := kinds[i]
	f := bot.Form{ID: k.id, Title: k.title, Submit: k.submit}
	places := e.Desk.Places(e.Msg.Person)
	switch {
	case e.Site == nil && e.Msg.Channel == "" && len(places) > 1:
		// Said to the bot alone by somebody of several sites: the choice
		// comes first, and its value is the channel to go on in.
		f.ID, f.Submit = siteForm, "Next"
		f.Fields = []bot.Field{{Name: siteForm, Label: "At which site?", Kind: bot.ChoiceField, Options: places}}
		return k, f, nil
	case e.Site == nil:
		return k, f, e.Desk.NoSite(&e.Msg)
	case e.Site.Archived(e.Msg.At):
		return k, f, bot.Refuse(desk.Archived(e.Site))
	case k.atDoor && e.DoorID == "":
		return k, f, bot.Refuse(errors.New("which door? the form opens in the door's thread"))
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
	e := &order.Errand{Ctx: ctx, Desk: d, Msg: m, Site: d.SiteFor(&m), DoorID: m.Thread}
	f := &filled{Errand: e, values: values, wrong: map[string]string{}}
	err = f.submit(id)
	e.NoteDenied(err)
	if no, ok := errors.AsType[*bot.RefusalError](err); ok {
		f.refuse(no.Unwrap())
		err = nil
	}
	if err != nil || len(f.wrong) > 0 {
		return f.wrong, nil, err
	}
	return nil, e.Posts, nil
}

// filled is a form that somebody filled in.
type filled struct {
	*order.Errand
	form   bot.Form
	values map[string]string
	wrong  map[string]string // what is wrong with it, by field
}

func (f *filled) submit(id string) error {
	if id == "open" {
		f.DoorID = f.text("door")
	}
	repeated, err := f.repeated()
	if err != nil {
		return err
	}
	kind, form, err := form(f.Errand, id)
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
	return kind.told(f.Errand, f.values)
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
func (f *filled) complain(field, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	switch said := f.wrong[field]; {
	case said == "":
		f.wrong[field] = text
	case !strings.Contains(said, text):
		f.wrong[field] = said + "; " + text
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
			f.complain(f.field(name), "%s: still to say", name)
		}
		return
	}
	field := ""
	if e, ok := errors.AsType[*calc.RangeError](err); ok {
		field = cmp.Or(order.CalcFields[e.Name], e.Name)
	}
	if e, ok := errors.AsType[*jobs.FieldError](err); ok {
		field = e.Field
	}
	f.complain(f.field(field), "%v", err)
}

// field returns the field of the form that goes by a name of jobs or calc, ""
// if there is none.
func (f *filled) field(name string) string {
	name = strings.ReplaceAll(name, " ", "_")
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
			f.complain("", "%s is not asked for any more", lex.CutText(name, 40))
		}
	}
	for _, field := range f.form.Fields {
		value := f.text(field.Name)
		if value == "" {
			if !field.Optional {
				f.complain(field.Name, "%s: still to say", field.Label)
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
				f.complain(field.Name, "%q is none of: %s", lex.CutText(w, 40), field.Choices())
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
	n, ok := lex.ScanNumber(text, 0)
	if !ok || n.End != len(text) || n.Unit == lex.Degrees || n.Toleranced || n.Doubt != lex.Certain && n.Doubt != lex.WordIn {
		f.complain(name, "%s is %q: give a length, as 65 for mm or 2-1/2 in", lex.Words(name), lex.CutText(text, 40))
		return 0
	}
	if field := f.form.Field(name); n.Length < 0 || n.Length == 0 && !field.Optional {
		f.complain(name, "%s is %v, must be more than 0 mm", lex.Words(name), n.Length)
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
		f.complain(name, "%d people are named, one is wanted", len(ids))
	}
	return ids[0]
}

// at reads the date and the time of a visit.
func (f *filled) at() time.Time {
	day, err := jobs.ParseDate(f.text("date"))
	if err != nil && f.text("date") != "" {
		f.complain("date", "%v", err)
	}
	clock, err := jobs.ParseClock(f.text("time"))
	if err != nil && f.text("time") != "" {
		f.complain("time", "%v", err)
	}
	if clock == 24*60 {
		f.complain("time", "24:00 is two days' midnight: say 23:59 or 0:00")
	}
	return day.At(clock, f.Site.Zone)
}

func plainOptions(values ...string) []bot.Option {
	options := make([]bot.Option, len(values))
	for i, v := range values {
		options[i] = bot.Option{v, v}
	}
	return options
}

func showReadings(e *order.Errand, f *bot.Form, _ string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	items := tell.WantedReadings(j)
	if len(items) == 0 {
		return bot.Refuse(errors.New(strings.Join(append([]string{"nothing is to be read now"}, tell.NextLines(j)...), "\n")))
	}
	f.Intro = "door " + e.DoorID + ", " + string(items[0].Stage) + ": fill in what you have read"
	for _, it := range items {
		field := bot.Field{Name: it.ID, Label: it.Text + " (" + it.Unit + ", " + it.Limits.String() + ")", Kind: bot.NumberField, Optional: true}
		if it.State.Value != nil {
			field.Hint = "read before: " + it.State.Value.String() + ", " + string(it.State.Judgement)
		} else if strings.HasSuffix(it.ID, "-services") {
			field.Hint = "nothing found? say read " + it.ID + " none, and how it was looked for"
		}
		f.Fields = append(f.Fields, field)
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
			err = fmt.Errorf("give a reading in %s", it.Unit)
		}
		if err != nil {
			f.complain(it.ID, "%s is %q: %v (%s)", it.ID, lex.CutText(text, 40), err, it.Limits)
		}
		cmd.Items = append(cmd.Items, jobs.ReadItem{Item: it.ID, Value: v})
	}
	if len(cmd.Items) == 0 && len(f.wrong) == 0 {
		f.complain("", "no reading is filled in")
	}
	return cmd, nil
}

// tellReadings says of each reading how it stands to its limits.
func tellReadings(e *order.Errand, values map[string]string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	var lines []string
	for _, it := range j.Items() {
		if values[it.ID] != "" && it.State.Value != nil {
			lines = append(lines, fmt.Sprintf("%s %s: %s (%s)", it.ID, it.State.Value.String(), it.State.Judgement, it.State.Limits))
		}
	}
	e.Say(bot.KindDoor, strings.Join(lines, "\n"))
	return nil
}

func showSnag(e *order.Errand, f *bot.Form, text string) error {
	if _, err := e.Job(); err != nil {
		return err
	}
	f.Intro = "door " + e.DoorID
	f.Fields = []bot.Field{
		{Name: "text", Label: "What is wrong", Kind: bot.LongField, Value: lex.CutText(text, maxSnag)},
		{Name: "owner", Label: "Who puts it right", Kind: bot.PersonField, Value: e.Msg.Person},
	}
	return nil
}

// maxSnag is how much of a text a snag's form begins with.
const maxSnag = 2000

func (f *filled) readSnag(string) (jobs.Command, error) {
	return &jobs.OpenSnag{Text: f.text("text"), Owner: f.person("owner")}, nil
}

// visitFields ask when a visit is.
func visitFields(at time.Time) []bot.Field {
	return []bot.Field{{Name: "date", Label: "Day", Kind: bot.DateField, Value: at.Format(time.DateOnly)}, {Name: "time", Label: "Time", Kind: bot.TimeField, Value: at.Format("15:04")}}
}

func showVisit(e *order.Errand, f *bot.Form, _ string) error {
	if _, err := e.Job(); err != nil {
		return err
	}
	slot, _ := e.Site.Slot(e.Msg.At.Add(time.Hour), time.Hour)
	f.Intro = "door " + e.DoorID
	f.Fields = append(visitFields(slot.In(e.Site.Zone)), bot.Field{Name: "why", Label: "What for", Hint: "as margins and movement", Optional: true})
	return nil
}

func (f *filled) readVisit(string) (jobs.Command, error) {
	return &jobs.SetVisit{At: f.at(), Why: f.text("why")}, nil
}

func showMove(e *order.Errand, f *bot.Form, id string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	v := j.Door.Visit(id)
	if v == nil {
		return bot.Refuse(fmt.Errorf("there is no visit %s", lex.CutText(id, 40)))
	}
	line := tell.VisitLine(v, e.Site, e.Msg.At)
	if v.End != "" {
		return bot.Refuse(errors.New(line + ": it can't be moved any more"))
	}
	f.ID, f.Intro, f.Fields = "move "+id, "door "+e.DoorID+", "+line, visitFields(v.At.In(e.Site.Zone))
	return nil
}

func (f *filled) readMove(id string) (jobs.Command, error) {
	return &jobs.MoveVisit{ID: id, At: f.at()}, nil
}
