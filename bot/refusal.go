package bot

import (
	"errors"

	"heelpost/bot/say"
)

// RefusalError is an error that the asker is told as it is.
type RefusalError struct{ error }

// Unwrap returns what is told.
func (r *RefusalError) Unwrap() error { return r.error }

// Refuse returns err as one that the asker is told as it is.
func Refuse(err error) error { return &RefusalError{err} }

// Refused returns what the person is to be told if err is a refusal, and
// false if it is trouble of our own.
func Refused(l *say.Language, err error) (string, bool) {
	no, ok := errors.AsType[*RefusalError](err)
	if !ok {
		return "", false
	}
	return l.Say(say.Of(no.error)), true
}
