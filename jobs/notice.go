package jobs

import (
	"errors"
	"strconv"
	"strings"
	"time"
)

// Millis is an instant in milliseconds since 1970, the unit in which the
// store keeps time. Due times round up and the present rounds down, so that
// nothing is ever early.
type Millis int64

// DueAt returns t in milliseconds, rounded up.
func DueAt(t time.Time) Millis {
	m := t.UnixMilli()
	if t.Sub(time.UnixMilli(m)) > 0 {
		m++
	}
	return Millis(m)
}

// NowAt returns t in milliseconds, rounded down.
func NowAt(t time.Time) Millis { return Millis(t.UnixMilli()) }

// Time returns m as a time in UTC.
func (m Millis) Time() time.Time { return time.UnixMilli(int64(m)).UTC() }

// Notice is a post that must not be lost, or a message that came in and must
// not be lost. It holds what to say by kind and arguments, never as text: the
// words are made from the current state when it is sent.
type Notice struct {
	ID   string            // unique in the workspace; fixed for root posts, home tabs and recurring rules
	Kind string            // what it is; "in" is a message that came in
	Args map[string]string // what the kind needs; values of at most 64 bytes are the cheapest to keep
	Due  Millis            // not sent before this

	// Thread orders: of the notices with the same thread one is sent at a
	// time, by due time and then by id. A notice that waits for its next try
	// holds its thread. Empty means no order.
	Thread string
	// Door is the key of the door in whose list the notice stands, if any.
	Door string

	Claims int    // how many times it was claimed to be sent, this one included
	Fails  int    // how many times it was sent and that failed
	Token  int64  // the fencing token of the claim; 0 while nobody holds it
	Looks  int    // how often it was looked for at its destination, and not found, since it was last sent
	Why    string // of a failed notice: the last error
}

// The kinds of notices that a store has to know.
const (
	KindIn    = "in"    // a message that came in
	KindEntry = "entry" // the word on a change of a door
)

// PostID returns the id that a post carries at its destination, by which it
// can be found there. A recurring notice has one id and many due times, so
// both are in it; a retry keeps it, a new due time changes it.
func (n Notice) PostID() string { return n.ID + "@" + strconv.FormatInt(int64(n.Due), 36) }

// DueOf returns the due time in the id that a post carries; false if there is
// none.
func DueOf(postID string) (Millis, bool) {
	_, due, ok := strings.Cut(postID[strings.LastIndexByte(postID, ':')+1:], "@")
	ms, err := strconv.ParseInt(due, 36, 64)
	return Millis(ms), ok && err == nil
}

// Fault sorts the errors of a send.
type Fault int

// The faults of a send. An error that is no [SendError] counts as passing.
const (
	Passing Fault = iota // worth another try
	Limited              // refused unseen, by a rate limit: costs no attempt
	Away                 // the far side answers nobody: costs no attempt, but may have been carried out
	Final                // no try will ever pass
)

// SendError is an error that a [Sender] has sorted.
type SendError struct {
	Fault Fault
	Wait  time.Duration // the least pause before the next try, as the far side asked
	Err   error
}

func (e *SendError) Error() string { return e.Err.Error() }

// Unwrap returns the error underneath.
func (e *SendError) Unwrap() error { return e.Err }

// sorted returns err as a SendError.
func sorted(err error) *SendError {
	if se, ok := errors.AsType[*SendError](err); ok {
		return se
	}
	return &SendError{Fault: Passing, Err: err}
}
