package bot

import (
	"context"
	"time"

	"heelpost/jobs"
)

// Place is where a conversation goes on: one person in one thread.
type Place struct{ Person, Thread string }

// Pending keeps what was asked back, one question a place. A message may come
// to it twice, if the process died over it: it then meets the question that
// waited when it came the first time.
type Pending interface {
	// Get returns the question that waited at a place when the message op
	// came in; nil if there was none that is kept until after now.
	Get(ctx context.Context, op string, p Place, now time.Time) ([]byte, error)
	// Put keeps what waits after the message op, nil for nothing, and what
	// waited before; with is what the same change of the store does besides.
	Put(ctx context.Context, op string, p Place, question, before []byte, now, until time.Time, with jobs.Change) error
}

func (p Place) Key() string { return p.Person + "\x00" + p.Thread }
