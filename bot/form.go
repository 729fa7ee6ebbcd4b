package bot

import (
	"cmp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// Button is what can be pressed beneath a post in place of typing. A press
// says an order in the post's thread, or opens a form.
type Button struct {
	Label string // as people see it, and how a conversation names it
	// Say is the order that a press stands for. It names its subject, so
	// that a late press can't hit something else.
	Say  string
	Form string // the form that a press opens, if it says nothing
}

// Form is what somebody fills in at once instead of answering one question
// after another.
type Form struct {
	ID     string // what it is for, as "open", "readings", "snag", "visit", "move v1"
	Title  string // at most 24 characters
	Submit string // the word on its button, at most 24 characters
	Door   string // the door's id; "" of a new one
	Intro  string // what stands above the fields; may be ""
	Fields []Field
}

// Field is one thing to fill in.
type Field struct {
	Name     string // as a conversation names it: {name=value}
	Label    string // what is wanted, with its unit
	Hint     string // what helps to fill it in; may be ""
	Kind     FieldKind
	Value    string   // what stands in it at first
	Options  []Option // of a choice
	Optional bool
}

// FieldKind is how a field is filled in.
type FieldKind uint8

// The kinds of fields, and what their values look like.
const (
	TextField    FieldKind = iota // a line
	LongField                     // several lines
	NumberField                   // a number, perhaps with a unit: "8.5", "1-3/4\""
	ChoiceField                   // the value of an option
	ChoicesField                  // values of options, with spaces between
	BoxField                      // the value of its one option, or nothing
	PersonField                   // a person's id
	PeopleField                   // ids with spaces between
	DateField                     // 2027-03-04
	TimeField                     // 09:00
)

// Option is something that can be chosen.
type Option struct {
	Value string
	Label string // at most 75 characters
}

// Home is what a person sees of their own: doors, visits, what is curing;
// for a foreman the site.
type Home struct {
	Sections []HomeSection
	Filters  []Option // that the list of doors can be narrowed by; none for a crew member
	Filter   string   // the one in force
	Page     int      // from 1
	Pages    int
}

// HomeSection is a part of a home under its own heading.
type HomeSection struct {
	Title string
	Lines []HomeLine
}

// HomeLine is a line of a home.
type HomeLine struct {
	Text    string
	Site    string // of the door it is about, if any
	Door    string // the door's id
	Buttons []Button
}

// Field returns a field by name, nil if there is none.
func (f *Form) Field(name string) *Field {
	i := slices.IndexFunc(f.Fields, func(f Field) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return &f.Fields[i]
}

// Choices lists the values of the options.
func (f *Field) Choices() say.Text {
	values := make([]string, len(f.Options))
	for i, o := range f.Options {
		values[i] = o.Value
	}
	return say.Names(", ", values...)
}

// Text returns a form in words, for where it can't be drawn.
func (f *Form) Text(l *say.Language) string {
	lines := []say.Text{say.F("form: %s", f.Title), say.Plain(f.Intro)}
	for i := range f.Fields {
		lines = append(lines, f.Fields[i].text())
	}
	first := &f.Fields[0]
	return l.Say(say.Lines(append(lines, say.F("fill it in as {%s=%s}; several with commas between, what stands there already may stay",
		first.Name, cmp.Or(first.example(), "…")))...))
}

// boxWord fills in a box.
const boxWord = "yes"

// example is what the field may be filled in with, if that is known.
func (f *Field) example() string {
	if f.Kind == BoxField {
		return boxWord
	}
	return f.Value
}

// text returns a field in words.
func (f *Field) text() say.Text {
	if f.Kind == BoxField {
		return say.F("[ ] %s: %s", f.Label, f.Hint)
	}
	head := say.F("%s: %s", f.Name, f.Label)
	if f.Hint != "" {
		head = say.F("%s: %s (%s)", f.Name, f.Label, f.Hint)
	}
	parts := []say.Text{head, f.Choices()}
	if f.Optional {
		parts = append(parts, say.F("may be left out"))
	}
	line := say.Join("; ", parts...)
	if f.Value != "" {
		line = say.F("%s = %s", line, f.Value)
	}
	return line
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
		case ok && f.Field(name) != nil:
			last, values[name] = name, strings.TrimSpace(value)
			if err := f.Field(name).mark(values); err != nil {
				return nil, err
			}
		case ok && lex.IsName(name) || last == "":
			return nil, Refuse(say.F("%s is no field of this form: %s", lex.CutText(name, 40), f.names()))
		case i > 0:
			values[last] += "," + part
		}
	}
	return values, nil
}

// mark puts the value of a box in the place of the word that ticks it.
func (f *Field) mark(values map[string]string) error {
	switch v := strings.ToLower(values[f.Name]); {
	case f.Kind != BoxField:
	case v == boxWord:
		values[f.Name] = f.Options[0].Value
	case v == "" || v == "no":
		values[f.Name] = ""
	default:
		return Refuse(say.F("%s is a box: %s, or leave it out", f.Name, boxWord))
	}
	return nil
}

// names lists the names of the fields.
func (f *Form) names() say.Text {
	names := make([]string, len(f.Fields))
	for i, field := range f.Fields {
		names[i] = field.Name
	}
	return say.Names(", ", names...)
}
