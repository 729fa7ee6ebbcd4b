// Package say keeps the sentences of the bot apart from the logic that chooses
// them. A sentence is a [Text]: its key, which is its English, and its
// arguments. It is put into words last, in the [Language] of whoever reads it,
// so that a translation is a catalogue of keys and no code. English needs no
// catalogue: it stands where the sentence is said.
//
// Figures are arguments as text ("54 mm"): a translator never formats a number.
// A plural is two keys ("1 door", "%s doors"), and so is a sentence with and
// without a part that may be missing: no sentence is glued of others.
package say

import (
	"encoding/json"
	"fmt"
	"log/slog"
	"slices"
	"strconv"
	"strings"
)

// Sentence is anything that can be put into words later: a [Text], or an error
// of jobs and calc, which keep key and arguments and know no language.
type Sentence interface {
	// Sentence returns the key and the arguments for its %s and %q. An
	// argument that is a Sentence is put into words too.
	Sentence() (key string, args []any)
}

// Text is a sentence, or several. The zero Text says nothing. It is one pointer
// wide, as a text is an argument of many others.
type Text struct{ *text }

type text struct {
	key  string
	args []any // strings and Texts
	kind
}

// kind is what the key of a text is.
type kind uint8

const (
	sentence kind = iota
	joined        // it stands between the arguments
	plain         // it is the text, in nobody's language
)

// F returns the sentence of a key. Its %s and %q stand for the arguments:
// sentences, or anything that is its own text, as figures and names are. A
// translation may name them in another order, as in "%[2]s %[1]s".
func F(key string, args ...any) Text { return of(key, taken(args), sentence) }

func of(key string, args []any, k kind) Text {
	if key == "" {
		return Text{}
	}
	return Text{&text{key, args, k}}
}

// Plain returns a text that is in nobody's language: a figure, an id, or what
// somebody typed.
func Plain(s string) Text { return of(s, nil, plain) }

// Name returns the words for a name as JSON has it: heel_gap is "heel gap".
func Name(name string) Text {
	if word := spoken[name]; word != "" {
		return of(word, nil, sentence)
	}
	return of(strings.ReplaceAll(name, "_", " "), nil, sentence)
}

// spoken are the words for names that nobody on site would say.
var spoken = map[string]string{"lead_gap": "leading gap", "opening_width": "opening", "setback_min": "least setback", "thickness_max": "greatest thickness", "top_gap_min": "least top gap",
	"angle_max": "greatest angle", "time_min": "least time", "gear_min": "gear for at least",
	"heel_gap_worst": "heel gap at worst", "heel_gap_best": "heel gap at best", "heel_gap_rss": "heel gap by root-sum-square"}

// Count says how many there are of something, by one of two keys: of one, and
// of several, whose first %s is their number.
func Count(n int, one, many string, args ...any) Text {
	if n == 1 {
		return F(one, args...)
	}
	return F(many, append([]any{strconv.Itoa(n)}, args...)...)
}

// Lines returns texts one below the other. Those that say nothing are left
// out, as in all of what follows.
func Lines(texts ...Text) Text { return Join("\n", texts...) }

// List returns texts with commas between them.
func List(texts ...Text) Text { return Join(", ", texts...) }

// Join returns texts with a separator between them, which is a key if there is
// a word in it, as ", or ".
func Join(separator string, texts ...Text) Text {
	args := make([]any, 0, len(texts))
	for _, t := range texts {
		if !t.IsZero() {
			args = append(args, t)
		}
	}
	switch len(args) {
	case 0:
		return Text{}
	case 1:
		return args[0].(Text)
	}
	return of(separator, args, joined)
}

// Names returns what somebody else has named, as ids, with a separator between
// them.
func Names(separator string, names ...string) Text {
	texts := make([]Text, len(names))
	for i, n := range names {
		texts[i] = Plain(n)
	}
	return Join(separator, texts...)
}

// Of returns what an error says: its sentence if it has one, or if one that it
// wraps has it and it says nothing beside that; else its text as it stands.
func Of(err error) Text {
	switch e := err.(type) {
	case nil:
		return Text{}
	case Sentence:
		return said(e)
	case interface{ Unwrap() []error }:
		var all []Text
		for _, part := range e.Unwrap() {
			all = append(all, Of(part))
		}
		return Lines(all...)
	case interface{ Unwrap() error }: // it says what another one does, or more
		if cause := e.Unwrap(); cause != nil && cause.Error() == err.Error() {
			return Of(cause)
		}
	}
	return Plain(err.Error())
}

// said returns a sentence as a Text.
func said(s Sentence) Text {
	if t, ok := s.(Text); ok {
		return t
	}
	key, args := s.Sentence()
	return F(key, slices.Clone(args)...)
}

// Wrap returns an error that says a text and is known by its cause.
func Wrap(cause error, text Text) error { return &wrapped{text, cause} }

type wrapped struct {
	Text
	cause error
}

func (w *wrapped) Unwrap() error { return w.cause }

// taken makes of arguments what a Text keeps: strings and Texts.
func taken(args []any) []any {
	for i, a := range args {
		switch a := a.(type) {
		case string, Text:
		case Sentence:
			args[i] = said(a)
		case error:
			args[i] = Of(a)
		default:
			args[i] = fmt.Sprint(a)
		}
	}
	return args
}

// IsZero reports whether the text says nothing.
func (t Text) IsZero() bool { return t.text == nil }

// Sentence returns the key and the arguments; what is no single sentence is one
// argument.
func (t Text) Sentence() (key string, args []any) {
	switch {
	case t.IsZero():
		return "", nil
	case t.kind == sentence:
		return t.key, t.args
	}
	return "%s", []any{t}
}

// String returns the text in English.
func (t Text) String() string { return (*Language)(nil).Say(t) }

// Error returns the text in English: a Text is an error that can be told as it
// is.
func (t Text) Error() string { return t.String() }

// LogValue returns the text as it stands in a log, which is in English.
func (t Text) LogValue() slog.Value { return slog.StringValue(t.String()) }

// Language is a catalogue of translations. The nil Language is English.
type Language struct {
	// Texts has the translation of each key; what it lacks is said in English.
	Texts map[string]string
}

// Say puts a sentence into words.
func (l *Language) Say(s Sentence) string {
	t := said(s)
	switch {
	case t.IsZero():
		return ""
	case t.kind == plain:
		return t.key
	}
	return string(l.append(make([]byte, 0, 128), t))
}

// append puts a text into words behind others.
func (l *Language) append(b []byte, t Text) []byte {
	switch {
	case t.IsZero():
		return b
	case t.kind == plain:
		return append(b, t.key...)
	}
	key := l.translated(t.key)
	if t.kind == joined {
		for i := range t.args {
			if i > 0 {
				b = append(b, key...)
			}
			b = l.argument(b, t.args, i)
		}
		return b
	}
	for next := 0; ; next++ {
		verb := strings.IndexByte(key, '%')
		if verb < 0 || verb+1 == len(key) {
			return append(b, key...)
		}
		b, key = append(b, key[:verb]...), key[verb+1:]
		if key[0] == '[' { // %[2]s
			if end := strings.IndexByte(key, ']'); end > 0 {
				if n, err := strconv.Atoi(key[1:end]); err == nil {
					next, key = n-1, key[end+1:]
				}
			}
		}
		switch {
		case strings.HasPrefix(key, "s"):
			b = l.argument(b, t.args, next)
		case strings.HasPrefix(key, "q"):
			b = strconv.AppendQuote(b, string(l.argument(nil, t.args, next)))
		case strings.HasPrefix(key, "%"): // %% is a per cent sign
			b = append(b, '%')
			next--
		default: // no verb of ours
			b = append(b, '%')
			next--
			continue
		}
		key = key[1:]
	}
}

// argument puts the argument i into words.
func (l *Language) argument(b []byte, args []any, i int) []byte {
	if i < 0 || i >= len(args) {
		return append(b, "…"...)
	}
	if t, ok := args[i].(Text); ok {
		return l.append(b, t)
	}
	return append(b, args[i].(string)...)
}

func (l *Language) translated(key string) string {
	if l != nil {
		if s, ok := l.Texts[key]; ok {
			return s
		}
	}
	return key
}

// kept is a Text as it is stored.
type kept struct {
	Key  string            `json:"k"`
	Args []json.RawMessage `json:"a,omitempty"`
	Join bool              `json:"j,omitempty"`
}

// MarshalJSON returns the text as it is stored until somebody reads it.
func (t Text) MarshalJSON() ([]byte, error) {
	key, args := t.Sentence()
	k := kept{Key: key}
	switch {
	case t.IsZero():
	case t.kind == plain:
		args = []any{t.key}
	case t.kind == joined:
		k.Key, args, k.Join = t.key, t.args, true
	}
	for _, a := range args {
		raw, err := json.Marshal(a)
		if err != nil {
			return nil, err
		}
		k.Args = append(k.Args, raw)
	}
	return json.Marshal(k)
}

// UnmarshalJSON reads a stored text.
func (t *Text) UnmarshalJSON(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	args := make([]any, len(k.Args))
	for i, raw := range k.Args {
		var s string
		if json.Unmarshal(raw, &s) == nil {
			args[i] = s
			continue
		}
		var part Text
		if err := json.Unmarshal(raw, &part); err != nil {
			return err
		}
		args[i] = part
	}
	switch {
	case k.Join:
		*t = of(k.Key, args, joined)
	default:
		*t = of(k.Key, args, sentence)
	}
	return nil
}
