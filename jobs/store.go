package jobs

import (
	"context"
	"errors"
	"time"
)

// The errors of a [Store]. Anything else is trouble with the store itself,
// and then whether a change took place is unknown: repeat it with the same
// operation id.
var (
	ErrNotFound = errors.New("not found")
	// ErrConflict: the door has another version than the change expected, or
	// the name it was decided by stands for something else.
	ErrConflict = errors.New("changed by somebody else")
	// ErrLost: the lease of the notice to finish has passed to somebody else.
	ErrLost = errors.New("lease lost")
	// ErrStale: the operation is so old that it can't be known whether it
	// was already done.
	ErrStale = errors.New("operation too old")
)

// Record is a door as it is stored. What the state says is not the store's
// business.
type Record struct {
	Key     string // site and id
	Version int64  // counts the changes, from 1
	State   []byte
}

// Entry is one accepted change in a door's log. The state is the fold of the
// log.
type Entry struct {
	Version int64
	Op      string
	At      Millis
	Data    []byte
}

// Index is the membership of a door in a named, sorted set of doors: a
// thread, a person's doors, a board, a site.
type Index struct {
	Name  string
	Score float64 // the order in the set; equal scores go by door key
}

// DoorChange is the part of a [Change] that touches a door.
type DoorChange struct {
	Key     string
	Version int64   // the version that was read; 0 for a new door
	State   []byte  // the new state
	Entry   []byte  // what the log says of it
	Index   []Index // every membership from now on; the others end
	While   Ref     // the name it was decided by; ErrConflict if it is bound to something else by now
}

// Ref is a name and what it stands for; see Bind of [Store].
type Ref struct{ Name, Value string }

// Held names a claimed notice and the token of the claim.
type Held struct {
	ID    string
	Token int64
}

// Move gives a notice another due time.
type Move struct {
	ID  string
	Due Millis
}

// Change is one accepted message: everything in it happens, or nothing.
type Change struct {
	Op string // unique; a repeated operation changes nothing and returns the first answer
	At Millis // when the operation was made; a repetition keeps it

	Done      Held              // the notice this change deals with, mostly the message that came in; may be empty
	Door      *DoorChange       // nil if no door changes
	Questions map[string][]byte // open questions by key; nil closes one
	Cancel    []string          // ids of notices that fall away
	Move      []Move            // notices that come at another time, failed ones included
	Put       []Notice          // notices to send; one that stands already is replaced
	Keep      []Notice          // notices to send unless one of that id stands already
}

// Answer is what a [Change] led to.
type Answer struct {
	Version int64 // the door's new version; 0 without a door
	Found   int   // how many of the notices to cancel or move there were
}

// Claim asks for due notices.
type Claim struct {
	Runner string // unique to the process; it has one claim under way at a time
	ID     string // unique; a repeated claim returns the same batch
	Now    Millis
	Max    int
	Lease  time.Duration
}

// Batch is the answer to a [Claim].
type Batch struct {
	Notices []Notice
	NextDue Millis // when the next one comes due; 0 if none waits
	NextEnd Millis // when the next lease ends; 0 if there is none
	Lost    Period // claims of what came due in it may be forgotten
}

// Period is the time from one instant until before another.
type Period struct{ From, To Millis }

// Has reports whether m lies in the period.
func (p Period) Has(m Millis) bool { return p.From <= m && m < p.To }

// Verdict is what became of a claimed notice.
type Verdict int

// The verdicts.
const (
	Sent    Verdict = iota // it goes, Note is kept as its reference
	Retry                  // sending it failed; it waits until Due
	Defer                  // it waits until Due, and whether it was sent is not known
	Release                // it waits until Due, and was not sent: the claim was none
	GiveUp                 // it is kept as failed, Note says why
)

// Settlement ends a claim on one notice.
type Settlement struct {
	Held
	Verdict Verdict
	Due     Millis
	Looks   int      // of a Release: how often it was looked for and not found
	Note    string   // reference or reason
	Put     []Notice // put with it: the next of a recurring one, word to the foreman
}

// Pace is a limit on calls to the far side: one each Every, and Burst at once
// after a rest. One without Every is only waited for while it is held shut.
type Pace struct {
	Name  string
	Every time.Duration
	Burst int
}

// Tally counts the notices of a workspace by the place they are in.
type Tally struct {
	Due, Leased, Waiting, Failed int
	Oldest                       Millis // when the next try is due that is due first; 0 if none
	Overdue                      Millis // when what waits longest was to be sent first; 0 if nothing is overdue
	Unanswered                   Millis // the same of what somebody said and of the word on it
}

// Store keeps a workspace: doors, logs, notices, open questions, kept files.
type Store interface {
	// Commit makes a change. It returns ErrConflict, ErrLost or ErrStale,
	// and then nothing has changed.
	Commit(ctx context.Context, c Change) (Answer, error)
	// Receive stores a message that came in as a notice that is due, unless
	// one with the same seen key was stored before; then ok is false.
	Receive(ctx context.Context, seen string, n Notice, now Millis) (ok bool, err error)
	// Claim leases due notices to a runner, those whose lease has expired
	// first.
	Claim(ctx context.Context, c Claim) (Batch, error)
	// Settle ends claims and tells for each whether its token still held;
	// where it did not, nothing was changed.
	Settle(ctx context.Context, runner, op string, now Millis, s []Settlement) ([]bool, error)
	// Tidy drops operation marks, seen marks and open questions that have had
	// their time.
	Tidy(ctx context.Context, now Millis) error

	// Door returns a door or ErrNotFound.
	Door(ctx context.Context, key string) (Record, error)
	// Doors returns count doors of an index in its order, from the place
	// from on, and how many it has in all.
	Doors(ctx context.Context, index string, from, count int) ([]Record, int, error)
	// Log returns up to count entries of a door's log after a version.
	Log(ctx context.Context, door string, after int64, count int) ([]Entry, error)
	// Notice returns a notice or ErrNotFound.
	Notice(ctx context.Context, id string) (Notice, error)
	// Notices returns up to count notices of a door, the first due first.
	Notices(ctx context.Context, door string, from, count int) ([]Notice, error)
	// Failed returns up to count notices that were given up, the oldest first.
	Failed(ctx context.Context, from, count int) ([]Notice, error)
	// Tally counts the notices.
	Tally(ctx context.Context) (Tally, error)
	// Question returns an open question or ErrNotFound.
	Question(ctx context.Context, key string) ([]byte, error)
	// Keep stores a file under the hash of its content, for good.
	Keep(ctx context.Context, hash string, data []byte) error
	// Kept returns a kept file or ErrNotFound.
	Kept(ctx context.Context, hash string) ([]byte, error)
	// Bind sets names to what they stand for, such as a door to its thread
	// in some room; an empty value takes a name away.
	Bind(ctx context.Context, refs map[string]string) error
	// Bound returns what names stand for, "" for one that is not bound.
	Bound(ctx context.Context, names ...string) ([]string, error)
	// Replace keeps a file, binds a name to its hash, and deletes the file
	// that the name was bound to.
	Replace(ctx context.Context, name, hash string, data []byte) error
	// Index puts a door into these sets and out of all others, without a
	// change of it. It returns ErrConflict if the door has another version.
	Index(ctx context.Context, door string, version int64, index []Index) error
	// Purge deletes a door with its log, memberships and notices.
	Purge(ctx context.Context, door string) error
}
