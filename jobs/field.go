package jobs

import "heelpost/calc"

// FieldError is a refusal of one thing that was said.
type FieldError struct {
	Field string // by its name in [Spec.Missing], in the command, or the item's
	Err   error
}

func (e *FieldError) Error() string { return e.Err.Error() }

// Sentence says what the error underneath says.
func (e *FieldError) Sentence() (key string, args []any) { return "%s", []any{e.Err} }

// Unwrap returns the error underneath.
func (e *FieldError) Unwrap() error { return e.Err }

// wrong refuses a field, in words.
func wrong(field, key string, args ...any) error {
	return about(field, calc.F(key, args...))
}

// about says which field an error is about, if it is one.
func about(field string, err error) error {
	if err == nil {
		return nil
	}
	return &FieldError{field, err}
}
