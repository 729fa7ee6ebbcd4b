package bot

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

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
	show   func(*errand, *Form, string) error          // puts the fields in, for what stands after the id
	read   func(*filled, string) (jobs.Command, error) // makes the command of what was filled in
	told   func(*errand, map[string]string) error      // answers at once; nil if the word on the change is enough
}

// siteForm is the form, and its one field, that asks at which site another is
// to be filled in.
const siteForm = "site"

func formKinds() []formKind {
	return []formKind{
		{id: "open", title: "Open a door", submit: "Open", action: jobs.OpenDoor, show: (*errand).showOpen, read: (*filled).readOpen},
		{id: "readings", title: "Readings", submit: "Enter", atDoor: true, action: jobs.Check,
			show: (*errand).showReadings, read: (*filled).readReadings, told: (*errand).tellReadings},
		{id: "snag", title: "File a snag", submit: "File", atDoor: true, action: jobs.SnagWork, show: (*errand).showSnag, read: (*filled).readSnag},
		{id: "visit", title: "Plan a visit", submit: "Plan", atDoor: true, action: jobs.VisitWork, show: (*errand).showVisit, read: (*filled).readVisit},
		{id: "move", title: "Move a visit", submit: "Move", atDoor: true, action: jobs.VisitWork, show: (*errand).showMove, read: (*filled).readMove},
	}
}

// Refused returns what the person is to be told if err is a refusal, and
// false if it is trouble of our own.
func Refused(err error) (string, bool) {
	no, ok := errors.AsType[*refusal](err)
	if !ok {
		return "", false
	}
	return no.Error(), true
}

// refuse returns err as one that the asker is told as it is.
func refuse(err error) error { return &refusal{err} }

// Refusal returns an error with which a wish is refused in these words.
func Refusal(text string) error { return refuse(errors.New(text)) }

// Form returns a form as it stands now, for the person, channel and thread of
// a message. A snag's may be asked for with a text behind its id, to begin
// with. Who may not send it is refused at once.
func (d *Desk) Form(ctx context.Context, m Message, id string) (Form, error) {
	if err := d.agree(ctx); err != nil {
		return Form{}, err
	}
	e := &errand{ctx: ctx, desk: d, msg: m, site: d.siteFor(&m), id: m.Thread}
	_, f, err := e.form(id)
	e.noteDenied(err)
	return f, err
}

// form finds and draws a form.
func (e *errand) form(id string) (formKind, Form, error) {
	name, rest, _ := strings.Cut(id, " ")
	kinds := formKinds()
	i := slices.IndexFunc(kinds, func(k formKind) bool { return k.id == name })
	if i < 0 {
		return formKind{}, Form{}, refuse(fmt.Errorf("there is no form %s", cutText(id, 40)))
	}
	k := kinds[i]
	f := Form{ID: k.id, Title: k.title, Submit: k.submit}
	places := e.desk.Places(e.msg.Person)
	switch {
	case e.site == nil && e.msg.Channel == "" && len(places) > 1:
		// Said to the bot alone by somebody of several sites: the choice
		// comes first, and its value is the channel to go on in.
		f.ID, f.Submit = siteForm, "Next"
		f.Fields = []Field{{Name: siteForm, Label: "At which site?", Kind: ChoiceField, Options: places}}
		return k, f, nil
	case e.site == nil:
		return k, f, e.desk.noSite(&e.msg)
	case e.site.Archived(e.msg.At):
		return k, f, refuse(archived(e.site))
	case k.atDoor && e.id == "":
		return k, f, refuse(errors.New("which door? the form opens in the door's thread"))
	}
	if r := e.site.Role(e.msg.Person); !jobs.Allowed(r, k.action) {
		return k, f, refuse(&jobs.PermissionError{Who: e.msg.Person, Role: r, Action: k.action})
	}
	if k.atDoor {
		f.Door = e.id
	}
	return k, f, k.show(e, &f, strings.TrimSpace(rest))
}

// Submit takes what was filled into a form. With any complaint, by the
// field's name or "" of the whole form, nothing was changed; else one change
// is committed under the message's id.
func (d *Desk) Submit(ctx context.Context, m Message, id string, values map[string]string) (complaints map[string]string, posts []Post, err error) {
	if err := d.agree(ctx); err != nil {
		return nil, nil, err
	}
	e := &errand{ctx: ctx, desk: d, msg: m, site: d.siteFor(&m), id: m.Thread}
	f := &filled{errand: e, values: values, wrong: map[string]string{}}
	err = f.submit(id)
	e.noteDenied(err)
	if no, ok := errors.AsType[*refusal](err); ok {
		f.refuse(no.Unwrap())
		err = nil
	}
	if err != nil || len(f.wrong) > 0 {
		return f.wrong, nil, err
	}
	return nil, e.posts, nil
}

// filled is a form that somebody filled in.
type filled struct {
	*errand
	form   Form
	values map[string]string
	wrong  map[string]string // what is wrong with it, by field
}

func (f *filled) submit(id string) error {
	if id == "open" {
		f.id = f.text("door")
	}
	repeated, err := f.repeated()
	if err != nil {
		return err
	}
	kind, form, err := f.errand.form(id)
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
		if err := f.do(cmd); err != nil {
			return err
		}
	}
	if kind.told == nil {
		return nil
	}
	return kind.told(f.errand, f.values)
}

// repeated reports whether the message has changed the door already.
func (f *filled) repeated() (bool, error) {
	if f.site == nil {
		return false, nil
	}
	j, err := f.desk.job(f.ctx, doorKey(f.site.ID, f.id))
	if errors.Is(err, jobs.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	return f.desk.done(f.ctx, j, f.msg.ID)
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

// calcFields are the fields that figures of calc come from, where they have
// another name.
var calcFields = map[string]string{"density": "mass", "cover_left": "cover", "tip_depth": "cover", "gap": "opening", "template": "covering"}

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
		field = cmp.Or(calcFields[e.Name], e.Name)
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
	if f.form.field(name) == nil {
		return ""
	}
	return name
}

// field returns a field by name, nil if there is none.
func (f *Form) field(name string) *Field {
	i := slices.IndexFunc(f.Fields, func(f Field) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return &f.Fields[i]
}

// check refuses what is missing, what is none of the options, and what the
// form does not ask for any more.
func (f *filled) check() {
	for _, name := range slices.Sorted(maps.Keys(f.values)) {
		if f.form.field(name) == nil && f.text(name) != "" {
			f.complain("", "%s is not asked for any more", cutText(name, 40))
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
		case ChoicesField:
			words = strings.Fields(value)
		case ChoiceField:
		default:
			continue
		}
		for _, w := range words {
			if !slices.ContainsFunc(field.Options, func(o Option) bool { return o.Value == w }) {
				f.complain(field.Name, "%q is none of: %s", cutText(w, 40), field.choices())
			}
		}
	}
}

// choices lists the values of the options.
func (f *Field) choices() string {
	values := make([]string, len(f.Options))
	for i, o := range f.Options {
		values[i] = o.Value
	}
	return strings.Join(values, ", ")
}

// length reads a length; 0 if the field is empty or wrong.
func (f *filled) length(name string) calc.Length {
	text := f.text(name)
	if text == "" {
		return 0
	}
	n, ok := scanNumber(text, 0)
	if !ok || n.end != len(text) || n.unit == degrees || n.toleranced || n.doubt != certain && n.doubt != wordIn {
		f.complain(name, "%s is %q: give a length, as 65 for mm or 2-1/2 in", words(name), cutText(text, 40))
		return 0
	}
	if field := f.form.field(name); n.length < 0 || n.length == 0 && !field.Optional {
		f.complain(name, "%s is %v, must be more than 0 mm", words(name), n.length)
		return 0
	}
	return n.length
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
	return day.At(clock, f.site.Zone)
}

func plainOptions(values ...string) []Option {
	options := make([]Option, len(values))
	for i, v := range values {
		options[i] = Option{v, v}
	}
	return options
}

// wantedReadings returns the readings that can be entered now: those of the
// door's stage, or of the first that has some.
func (j *job) wantedReadings() []jobs.Item {
	items := j.items()
	open := slices.DeleteFunc(slices.Clone(items), func(it jobs.Item) bool {
		return it.Kind != jobs.Reading || it.State.Settled() || len(jobs.Holds(items, it.Stage)) > 0
	})
	if len(open) == 0 {
		return nil
	}
	stage := open[0].Stage
	if slices.ContainsFunc(open, func(it jobs.Item) bool { return it.Stage == j.door.Stage }) {
		stage = j.door.Stage
	}
	return slices.DeleteFunc(open, func(it jobs.Item) bool { return it.Stage != stage })
}

func (e *errand) showReadings(f *Form, _ string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	items := j.wantedReadings()
	if len(items) == 0 {
		return refuse(errors.New(strings.Join(append([]string{"nothing is to be read now"}, j.nextLines()...), "\n")))
	}
	f.Intro = "door " + e.id + ", " + string(items[0].Stage) + ": fill in what you have read"
	for _, it := range items {
		field := Field{Name: it.ID, Label: it.Text + " (" + it.Unit + ", " + it.Limits.String() + ")", Kind: NumberField, Optional: true}
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
	j, err := f.job()
	if err != nil {
		return nil, err
	}
	cmd := &jobs.ReadItems{}
	for _, it := range j.wantedReadings() {
		text := f.text(it.ID)
		if text == "" {
			continue
		}
		v, rest, err := measure(text, it.Unit)
		if err == nil && rest != "" {
			err = fmt.Errorf("give a reading in %s", it.Unit)
		}
		if err != nil {
			f.complain(it.ID, "%s is %q: %v (%s)", it.ID, cutText(text, 40), err, it.Limits)
		}
		cmd.Items = append(cmd.Items, jobs.ReadItem{Item: it.ID, Value: v})
	}
	if len(cmd.Items) == 0 && len(f.wrong) == 0 {
		f.complain("", "no reading is filled in")
	}
	return cmd, nil
}

// tellReadings says of each reading how it stands to its limits.
func (e *errand) tellReadings(values map[string]string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	var lines []string
	for _, it := range j.items() {
		if values[it.ID] != "" && it.State.Value != nil {
			lines = append(lines, fmt.Sprintf("%s %s: %s (%s)", it.ID, it.State.Value.String(), it.State.Judgement, it.State.Limits))
		}
	}
	e.say(KindDoor, strings.Join(lines, "\n"))
	return nil
}

func (e *errand) showSnag(f *Form, text string) error {
	if _, err := e.job(); err != nil {
		return err
	}
	f.Intro = "door " + e.id
	f.Fields = []Field{
		{Name: "text", Label: "What is wrong", Kind: LongField, Value: cutText(text, maxSnag)},
		{Name: "owner", Label: "Who puts it right", Kind: PersonField, Value: e.msg.Person},
	}
	return nil
}

// maxSnag is how much of a text a snag's form begins with.
const maxSnag = 2000

func (f *filled) readSnag(string) (jobs.Command, error) {
	return &jobs.OpenSnag{Text: f.text("text"), Owner: f.person("owner")}, nil
}

// visitFields ask when a visit is.
func visitFields(at time.Time) []Field {
	return []Field{{Name: "date", Label: "Day", Kind: DateField, Value: at.Format(time.DateOnly)}, {Name: "time", Label: "Time", Kind: TimeField, Value: at.Format("15:04")}}
}

func (e *errand) showVisit(f *Form, _ string) error {
	if _, err := e.job(); err != nil {
		return err
	}
	slot, _ := e.site.Slot(e.msg.At.Add(time.Hour), time.Hour)
	f.Intro = "door " + e.id
	f.Fields = append(visitFields(slot.In(e.site.Zone)), Field{Name: "why", Label: "What for", Hint: "as margins and movement", Optional: true})
	return nil
}

func (f *filled) readVisit(string) (jobs.Command, error) {
	return &jobs.SetVisit{At: f.at(), Why: f.text("why")}, nil
}

func (e *errand) showMove(f *Form, id string) error {
	j, err := e.job()
	if err != nil {
		return err
	}
	v := j.door.Visit(id)
	if v == nil {
		return refuse(fmt.Errorf("there is no visit %s", cutText(id, 40)))
	}
	line := visitLine(v, e.site, e.msg.At)
	if v.End != "" {
		return refuse(errors.New(line + ": it can't be moved any more"))
	}
	f.ID, f.Intro, f.Fields = "move "+id, "door "+e.id+", "+line, visitFields(v.At.In(e.site.Zone))
	return nil
}

func (f *filled) readMove(id string) (jobs.Command, error) {
	return &jobs.MoveVisit{ID: id, At: f.at()}, nil
}

// Text returns a form in words, for where it can't be drawn.
func (f *Form) Text() string {
	lines := []string{"form: " + f.Title}
	if f.Intro != "" {
		lines = append(lines, f.Intro)
	}
	for i := range f.Fields {
		field := &f.Fields[i]
		line := field.Name + ": " + field.Label + because(field.Hint)
		if len(field.Options) > 0 {
			line += "; " + field.choices()
		}
		if field.Optional {
			line += "; may be left out"
		}
		if field.Value != "" {
			line += " = " + field.Value
		}
		lines = append(lines, line)
	}
	example := f.Fields[0].Name + "=" + cmp.Or(f.Fields[0].Value, "…")
	return strings.Join(append(lines, "fill it in as {"+example+"}; several with commas between, what stands there already may stay"), "\n")
}

// Fill reads what a conversation fills into a form, "gap=8, why=the rain, at
// last": a comma ends a value where a field's name and = follow it. What is
// not named keeps its value.
func (f *Form) Fill(text string) (map[string]string, error) {
	values := map[string]string{}
	for _, field := range f.Fields {
		values[field.Name] = field.Value
	}
	if strings.TrimSpace(text) == "" {
		return values, nil
	}
	last := ""
	for i, part := range strings.Split(text, ",") {
		name, value, ok := strings.Cut(part, "=")
		name = strings.TrimSpace(name)
		switch {
		case ok && f.field(name) != nil:
			last, values[name] = name, strings.TrimSpace(value)
		case ok && isName(name) || last == "":
			return nil, refuse(fmt.Errorf("%s is no field of this form: %s", cutText(name, 40), f.names()))
		case i > 0:
			values[last] += "," + part
		}
	}
	return values, nil
}

// names lists the names of the fields.
func (f *Form) names() string {
	names := make([]string, len(f.Fields))
	for i, field := range f.Fields {
		names[i] = field.Name
	}
	return strings.Join(names, ", ")
}
