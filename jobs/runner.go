package jobs

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"sync"
	"time"
)

// Result is what a [Sender] reports of a notice that was sent.
type Result struct {
	Ref  string   // where it can be found, kept in the record of what was sent
	Next []Notice // put in the same step: the next one of a recurring notice
	// Done says that the sender's own change has settled the notice
	// already, as dealing with a message that came in does.
	Done bool
}

// Sender brings notices to their destination.
type Sender interface {
	// Send draws the notice from the current state and sends it. It returns
	// before ctx ends. Errors are sorted by being, or not, a [SendError].
	Send(ctx context.Context, n Notice) (Result, error)
	// Find looks for the post of the notice at its destination, by PostID.
	// Where a kind leaves nothing that could be found, it returns false.
	Find(ctx context.Context, n Notice) (Result, bool, error)
	// Failed returns what to put when a notice was given up: word to the
	// foreman, and the next one of a recurring notice.
	Failed(n Notice, reason error) []Notice
}

// Runner takes notices from a [Store] as they come due and gives them to a
// [Sender]. Every error of sending ends in a settlement: tried again after
// growing pauses, put back at no cost when a rate limit refused it or the far
// side answers nobody, or kept as failed after the last try.
//
// A runner that dies leaves its leases to expire; the next claim by anybody
// takes the notices over, and then the post is looked for before it is sent.
// Only a send that failed counts as a try.
type Runner struct {
	Store  Store
	Sender Sender
	Name   string // unique to the process

	Senders int                                    // how many send at once; also the most it claims
	Lease   time.Duration                          // how long a claim lasts
	Pauses  []time.Duration                        // after the first, second, ... try; the last one repeats
	Tries   int                                    // so many that fail are the last
	Look    time.Duration                          // between the two looks for a post that may be there
	Idle    time.Duration                          // the longest sleep between two claims
	Finish  time.Duration                          // how long Loop lets senders finish when it ends
	Before  func(context.Context, time.Time) error // what must be done at the start of each step; may be nil
	Report  func(error)                            // hears of trouble that no notice's sender can be told; may be nil

	mu       sync.Mutex
	busy     int           // senders at work
	full     bool          // the last step found none free
	taken    int           // notices claimed so far
	freed    chan struct{} // closed and replaced when one is free again
	now      Millis        // of the last step
	seq      int64
	tidied   Millis
	outcomes []Settlement
	settling bool
	sentAt   map[string]Millis // what was sent lately, by PostID
	inflight sync.WaitGroup
}

// NewRunner returns a runner with the settings of a server: 16 senders, a
// lease of 20 s, tries over three quarters of an hour. A notice that waits
// for its next try holds up its thread, so the pauses stay short. All of them are
// the project's own.
func NewRunner(name string, store Store, sender Sender) *Runner {
	return &Runner{
		Store: store, Sender: sender, Name: name,
		Senders: 16, Lease: 20 * time.Second, Look: 3 * time.Second, Idle: time.Second, Finish: 10 * time.Second,
		Pauses: []time.Duration{2 * time.Second, 10 * time.Second, 30 * time.Second}, Tries: 80,
		freed: make(chan struct{}), sentAt: map[string]Millis{},
	}
}

// Step claims what is due at now, as much as there are free senders, starts
// to send it and returns when to step again. It does not wait for the
// senders; Wait does. An error is trouble with the store: step again later.
func (r *Runner) Step(ctx context.Context, now time.Time) (next time.Time, err error) {
	next = now.Add(r.Idle)
	if r.Before != nil {
		if err := r.Before(ctx, now); err != nil {
			return next, err
		}
	}
	r.mu.Lock()
	r.now = NowAt(now)
	free := r.Senders - r.busy
	r.full = free == 0
	tidy := r.now >= r.tidied+60_000
	if tidy {
		r.tidied = r.now
	}
	claim := Claim{Runner: r.Name, ID: r.op(), Now: r.now, Max: free, Lease: r.Lease}
	r.mu.Unlock()

	if tidy {
		if err := r.Store.Tidy(ctx, claim.Now); err != nil {
			return next, err
		}
	}
	if free == 0 {
		return next, nil
	}
	// The deadline is counted from before the claim, by the process's own
	// clock: if the process is stopped here, it has passed when it goes on.
	deadline, cancel := context.WithTimeout(ctx, r.Lease-margin(r.Lease))
	batch, err := r.Store.Claim(ctx, claim)
	if err != nil || len(batch.Notices) == 0 {
		cancel()
	} else {
		r.start(deadline, cancel, batch)
	}
	if err != nil {
		return next, err
	}
	r.forget(batch.Lost)
	if len(batch.Notices) == free {
		return now, nil // there may be more
	}
	for _, m := range []Millis{batch.NextDue, batch.NextEnd} {
		if t := m.Time(); m != 0 && t.Before(next) {
			next = t
		}
	}
	return next, nil
}

// margin is what stays between the last moment of a send and the end of its
// lease: a quarter of the lease, 5 s at most, the project's own.
func margin(lease time.Duration) time.Duration { return min(lease/4, 5*time.Second) }

// start sends a batch, each notice by a sender of its own. done is called
// after the last one.
func (r *Runner) start(ctx context.Context, done context.CancelFunc, b Batch) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.busy += len(b.Notices)
	r.taken += len(b.Notices)
	var left sync.WaitGroup
	for _, n := range b.Notices {
		at, before := r.sentAt[n.PostID()]
		lost := b.Lost.Has(n.Due) || before && b.Lost.Has(at)
		left.Add(1)
		r.inflight.Go(func() {
			defer left.Done()
			if s, ok := r.deliver(ctx, n, lost); ok {
				r.settle(ctx, s)
			} else {
				r.free(1)
			}
		})
	}
	r.inflight.Go(func() { left.Wait(); done() })
}

// deliver sends one notice, or finds that it was sent, and returns what
// became of it. It returns false if there is nothing to settle: the sender
// has done so, or the lease is too near its end and is left to expire.
func (r *Runner) deliver(ctx context.Context, n Notice, lost bool) (Settlement, bool) {
	if ctx.Err() != nil {
		return Settlement{}, false
	}
	if n.Looks < looks && (n.Claims > 1 || n.Looks > 0 || lost) {
		res, found, err := r.find(ctx, n)
		switch {
		case err != nil && sorted(err).Fault != Final: // what can never be looked for is rather sent twice than not
			return r.unseen(n, err), true
		case found:
			return r.sent(n, res)
		}
		if n.Looks++; n.Looks < looks && err == nil {
			return r.release(n, r.Look), true
		}
	}
	res, err := r.send(ctx, n)
	if err != nil {
		return r.failed(n, err), true
	}
	return r.sent(n, res)
}

// looks is how often a post that may be there is looked for in vain before it
// is sent: what the far side shows may be a little old.
const looks = 2

// find and send turn a panic of the sender into an error: one bad notice
// must not stop the others.
func (r *Runner) find(ctx context.Context, n Notice) (res Result, found bool, err error) {
	defer recovered(&err)
	return r.Sender.Find(ctx, n)
}

func (r *Runner) send(ctx context.Context, n Notice) (res Result, err error) {
	defer recovered(&err)
	return r.Sender.Send(ctx, n)
}

func recovered(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("sender panicked: %v", p)
	}
}

// forget drops what was sent over a minute ago, and not in a time of which the
// store may have lost what it was told: that is still looked for.
func (r *Runner) forget(lost Period) {
	r.mu.Lock()
	defer r.mu.Unlock()
	maps.DeleteFunc(r.sentAt, func(_ string, at Millis) bool { return at < r.now-60_000 && !lost.Has(at) })
}

// sent remembers what was sent when: if it comes again after the store lost
// what it was told then, that may have been lost as well.
func (r *Runner) sent(n Notice, res Result) (Settlement, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.sentAt[n.PostID()] = r.now
	return Settlement{Held: Held{n.ID, n.Token}, Verdict: Sent, Note: res.Ref, Put: res.Next}, !res.Done
}

// failed decides what an error of sending leads to.
func (r *Runner) failed(n Notice, err error) Settlement {
	se := sorted(err)
	switch {
	case se.Fault == Limited:
		return r.release(n, max(se.Wait, time.Second))
	case se.Fault == Away:
		return r.settlement(n, Defer, max(se.Wait, time.Second), "")
	case se.Fault == Final || n.Fails+1 >= r.Tries:
		return r.giveUp(n, err)
	}
	return r.settlement(n, Retry, max(r.pause(n.Fails), se.Wait), err.Error())
}

// unseen decides what an error of looking leads to: no send was tried.
func (r *Runner) unseen(n Notice, err error) Settlement {
	se := sorted(err)
	switch se.Fault {
	case Limited:
		return r.release(n, max(se.Wait, time.Second))
	case Away:
		return r.settlement(n, Defer, max(se.Wait, time.Second), "")
	}
	if r.Report != nil {
		r.Report(fmt.Errorf("notice %s: look for it: %w", n.ID, err))
	}
	return r.settlement(n, Defer, max(r.pause(n.Claims-1), se.Wait), "")
}

// pause returns the pause after so many tries and one more.
func (r *Runner) pause(before int) time.Duration {
	return r.Pauses[min(max(before, 0), len(r.Pauses)-1)]
}

// release puts a notice back that was not sent, with what was seen of it.
func (r *Runner) release(n Notice, pause time.Duration) Settlement {
	s := r.settlement(n, Release, pause, "")
	s.Looks = n.Looks
	return s
}

func (r *Runner) giveUp(n Notice, why error) Settlement {
	s := r.settlement(n, GiveUp, 0, why.Error())
	s.Put = r.Sender.Failed(n, why)
	return s
}

func (r *Runner) settlement(n Notice, v Verdict, pause time.Duration, note string) Settlement {
	r.mu.Lock()
	defer r.mu.Unlock()
	return Settlement{Held: Held{n.ID, n.Token}, Verdict: v, Due: r.now + Millis(pause.Milliseconds()), Note: note}
}

// settleMax is how many outcomes go to the store together.
const settleMax = 256

// settle brings an outcome to the store. Outcomes that come in while others
// are on their way go together in the next call, so a burst costs few round
// trips and a single one none extra. A sender is free again only when its
// outcome is stored: a crash repeats no more than the senders.
func (r *Runner) settle(ctx context.Context, s Settlement) {
	r.mu.Lock()
	r.outcomes = append(r.outcomes, s)
	if r.settling {
		r.mu.Unlock()
		return
	}
	r.settling = true
	for len(r.outcomes) > 0 {
		n := min(len(r.outcomes), settleMax)
		part := slices.Clone(r.outcomes[:n])
		r.outcomes = slices.Delete(r.outcomes, 0, n)
		now, op := r.now, r.op()
		r.mu.Unlock()
		r.store(ctx, op, now, part)
		r.mu.Lock()
	}
	r.settling = false
	r.mu.Unlock()
}

func (r *Runner) store(ctx context.Context, op string, now Millis, part []Settlement) {
	// What is stored late is refused by its token, so this one need not end
	// with the deadline of the sends.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), r.Lease)
	defer cancel()
	held, err := r.Store.Settle(ctx, r.Name, op, now, part)
	for i, ok := range held {
		if !ok {
			err = errors.Join(err, fmt.Errorf("notice %s: %w", part[i].ID, ErrLost))
		}
	}
	if err != nil && r.Report != nil {
		r.Report(err)
	}
	r.free(len(part))
}

func (r *Runner) free(n int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.busy -= n
	close(r.freed)
	r.freed = make(chan struct{})
}

// op returns a new operation id. r.mu is held.
func (r *Runner) op() string {
	r.seq++
	return r.Name + "-" + strconv.FormatInt(r.seq, 36)
}

// Wait waits until every notice that was claimed is settled.
func (r *Runner) Wait() { r.inflight.Wait() }

// Settle sends all that is due at now, what follows from it included, and
// returns when the next notice is due: for a clock that is moved by hand.
func (r *Runner) Settle(ctx context.Context, now time.Time) (next time.Time, err error) {
	r.Idle = far
	for taken := -1; taken != r.taken; {
		taken = r.taken
		if next, err = r.Step(ctx, now); err != nil {
			return next, err
		}
		r.Wait()
	}
	return next, nil
}

// far is beyond every due time that a clock moved by hand comes to in one
// go.
const far = 20 * 366 * 24 * time.Hour

// whenFree returns a channel that is closed when the next sender is free.
func (r *Runner) whenFree() <-chan struct{} {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.freed
}

// Loop steps until ctx ends. Then it lets the senders finish; what is not
// sent in time is broken off and put back. clock tells the present; nudges,
// which may be nil, ends a sleep early.
func (r *Runner) Loop(ctx context.Context, clock func() time.Time, nudges <-chan struct{}) {
	sends, breakOff := context.WithCancel(context.WithoutCancel(ctx))
	defer func() {
		patience := time.AfterFunc(r.Finish, breakOff)
		r.Wait()
		patience.Stop()
		breakOff()
	}()
	timer := time.NewTimer(0)
	defer timer.Stop()
	for ctx.Err() == nil {
		freed := r.whenFree() // before the step, so that none is missed
		next, err := r.Step(sends, clock())
		if err != nil && ctx.Err() == nil && r.Report != nil {
			r.Report(err)
		}
		if !r.full {
			freed = nil
		}
		timer.Reset(max(next.Sub(clock()), 0))
		select {
		case <-ctx.Done():
		case <-timer.C:
		case <-nudges:
		case <-freed:
		}
	}
}
