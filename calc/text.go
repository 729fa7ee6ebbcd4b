package calc

import "fmt"

// Text is a sentence for people: its key, which is its English, and what stands
// for the key's %s and %q. Whoever shows it has it translated last, by the key;
// here no language is known but English. The zero Text says nothing.
type Text struct {
	key  string
	args []any // strings, errors and sentences
}

// sentence is what keeps key and arguments: a [Text], a [Word], an error.
type sentence interface {
	Sentence() (key string, args []any)
}

// F returns the sentence of a key, as F("the sheet is %s, not %s", "orchard",
// "hill"). A figure stands there as it tells itself; a sentence among the
// arguments is translated with the one that it stands in.
func F(key string, args ...any) Text {
	for i, a := range args {
		switch a.(type) {
		case string, sentence, error:
		default:
			args[i] = fmt.Sprint(a)
		}
	}
	return Text{key, args}
}

// Sentence returns the key and the arguments.
func (t Text) Sentence() (key string, args []any) { return t.key, t.args }

// IsZero reports whether the text says nothing.
func (t Text) IsZero() bool { return t.key == "" }

// Equal reports whether two texts say the same in English.
func (t Text) Equal(u Text) bool { return t.String() == u.String() }

// String returns the text in English.
func (t Text) String() string { return fmt.Sprintf(t.key, t.args...) }

// Error returns the text in English: a Text is an error that people are told.
func (t Text) Error() string { return t.String() }

// Word is a sentence without arguments, held as its key: a constant in the code,
// and a plain string where it is stored.
type Word string

// Sentence returns the word as a key.
func (w Word) Sentence() (key string, args []any) { return string(w), nil }
