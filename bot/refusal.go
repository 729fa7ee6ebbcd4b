package bot

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// Refused returns what the person is to be told if err is a refusal, and
// false if it is trouble of our own.
func Refused(err error) (string, bool) {
	no, ok := errors.AsType[*RefusalError](err)
	if !ok {
		return "", false
	}
	return no.Error(), true
}

// Refuse returns err as one that the asker is told as it is.
func Refuse(err error) error { return &RefusalError{err} }

// Refusal returns an error with which a wish is refused in these words.
func Refusal(text string) error { return Refuse(errors.New(text)) }

// Field returns a field by name, nil if there is none.
func (f *Form) Field(name string) *Field {
	i := slices.IndexFunc(f.Fields, func(f Field) bool { return f.Name == name })
	if i < 0 {
		return nil
	}
	return &f.Fields[i]
}

// Choices lists the values of the options.
func (f *Field) Choices() string {
	values := make([]string, len(f.Options))
	for i, o := range f.Options {
		values[i] = o.Value
	}
	return strings.Join(values, ", ")
}

// Text returns a form in words, for where it can't be drawn.
func (f *Form) Text() string {
	lines := []string{"form: " + f.Title}
	if f.Intro != "" {
		lines = append(lines, f.Intro)
	}
	for i := range f.Fields {
		field := &f.Fields[i]
		line := field.Name + ": " + field.Label + lex.Because(field.Hint)
		if len(field.Options) > 0 {
			line += "; " + field.Choices()
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
		case ok && f.Field(name) != nil:
			last, values[name] = name, strings.TrimSpace(value)
		case ok && lex.IsName(name) || last == "":
			return nil, Refuse(fmt.Errorf("%s is no field of this form: %s", lex.CutText(name, 40), f.names()))
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

// Poster brings a post to where people see it.
type Poster interface {
	// Post posts, and returns where the post can be found.
	Post(ctx context.Context, p Post) (ref string, err error)
	// Find looks for the post where it would be posted, by its id.
	Find(ctx context.Context, p Post) (ref string, found bool, err error)
}

// Rooms is a [Poster] that has more than posts one after the other: a face
// for each door, under which its thread goes on, and a home for each person.
type Rooms interface {
	// Face posts a door's face, or edits the one that stands.
	Face(ctx context.Context, p Post) (ref string, err error)
	// Home draws the home of a person of a site anew, if they have one.
	Home(ctx context.Context, site, person string) error
}

// refusal is an error that the asker is told as it is.
type RefusalError struct{ error }

func (r *RefusalError) Unwrap() error { return r.error }

// Closed returns the open question that a message's change closes.
func (m *Message) Closed() map[string][]byte {
	if !m.Waited {
		return nil
	}
	return map[string][]byte{m.Place().Key(): nil}
}

// Heard is the kind of notice that a message that came in is kept as.
const Heard = "in"
