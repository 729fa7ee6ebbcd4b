package jobs_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"heelpost/jobs"
)

func away(wait time.Duration) error {
	return &jobs.SendError{Fault: jobs.Away, Wait: wait, Err: errors.New("nobody there")}
}

// The far side answers nobody for half an hour: nothing is given up, and what
// waits goes out once it is back.
func TestRunner_Away(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(context.Context, jobs.Notice) (jobs.Result, error) {
			if time.Since(b.far.began) < 30*time.Minute {
				return jobs.Result{}, away(5 * time.Second)
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "a", "t"), in(time.Second, "b", "t"))
		b.loop(30*time.Minute + time.Minute)
		n := len(b.far.arrived)
		b.want("the last", b.far.arrived[n-2:], "a +30m0s", "b +30m0s")
	})
}

// Processes that were killed over a notice cost it nothing; only sends that
// failed count.
func TestRunner_KilledCostsNothing(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.runner.Tries = 3
		failing := 2
		b.far.answer = func(context.Context, jobs.Notice) (jobs.Result, error) {
			if failing--; failing >= 0 {
				return jobs.Result{}, errors.New("no answer")
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "a", ""))
		for i := range 12 {
			_, err := b.store.Claim(b.Context(), jobs.Claim{Runner: fmt.Sprint("dead", i), ID: "c", Now: jobs.NowAt(time.Now()), Max: 9, Lease: time.Second})
			if err != nil {
				t.Fatal(err)
			}
			<-time.After(time.Second)
		}
		b.loop(time.Minute)
		b.want("sent", b.far.arrived, "a +15s", "a +20s", "a +33s")
	})
}

// What can't be looked for just now waits, and no try is spent: while nobody
// answers no longer than the far side says. What can never be looked for is sent.
func TestRunner_LookFails(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		sent string
	}{
		"for five minutes": {errors.New("no answer"), "a +5m14s"},
		"nobody answers":   {away(4 * time.Second), "a +5m4s"},
		"for good":         {&jobs.SendError{Fault: jobs.Final, Err: errors.New("not allowed")}, "a +1s"},
	} {
		t.Run(name, func(t *testing.T) {
			inBubble(t, func(b *bench) {
				b.runner.Tries = 2
				b.runner.Sender = &blind{far: b.far, err: c.err}
				b.put(in(0, "a", ""))
				_, err := b.store.Claim(b.Context(), jobs.Claim{Runner: "dead", ID: "c", Now: jobs.NowAt(time.Now()), Max: 9, Lease: time.Second})
				if err != nil {
					t.Fatal(err)
				}
				b.loop(6 * time.Minute)
				b.want("sent", b.far.arrived, c.sent)
			})
		})
	}
}

// blind is a far side that can't be looked at for five minutes.
type blind struct {
	*far
	err error
}

func (x *blind) Find(ctx context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	if time.Since(x.began) < 5*time.Minute {
		return jobs.Result{}, false, x.err
	}
	return x.far.Find(ctx, n)
}

// What was looked for twice in vain and then met a rate limit is not looked for
// again: nothing was sent since.
func TestRunner_LookedForOnce(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(context.Context, jobs.Notice) (jobs.Result, error) {
			if time.Since(b.far.began) < time.Minute {
				return jobs.Result{}, &jobs.SendError{Fault: jobs.Limited, Wait: 10 * time.Second, Err: errors.New("slow down")}
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "a", ""))
		_, err := b.store.Claim(b.Context(), jobs.Claim{Runner: "dead", ID: "c", Now: jobs.NowAt(time.Now()), Max: 9, Lease: time.Second})
		if err != nil {
			t.Fatal(err)
		}
		b.loop(2 * time.Minute)
		b.want("looked", b.far.looks, "a +1s", "a +4s")
		if n := len(b.far.arrived); n != 7 || b.far.arrived[6] != "a +1m4s" {
			t.Errorf("sent %v", b.far.arrived)
		}
	})
}

// lossy is a store that was away from its 20th second until it was back, and
// came back without what it was told last.
type lossy struct {
	jobs.Store
	began time.Time
	back  time.Duration
	lost  []jobs.Notice
}

func (l *lossy) Claim(ctx context.Context, c jobs.Claim) (jobs.Batch, error) {
	at := time.Since(l.began)
	if at >= 20*time.Second && at < l.back {
		return jobs.Batch{}, errors.New("away")
	}
	if at >= l.back && l.lost != nil {
		_, err := l.Store.Commit(ctx, jobs.Change{Op: "lost", At: c.Now, Put: l.lost})
		if err != nil {
			return jobs.Batch{}, err
		}
		l.lost = nil
	}
	b, err := l.Store.Claim(ctx, c)
	if at >= l.back {
		b.Lost = jobs.Period{From: jobs.DueAt(l.began.Add(15 * time.Second)), To: jobs.DueAt(l.began.Add(22 * time.Second))}
	}
	return b, err
}

// After a break only that is looked for whose claim may be lost: what came due
// in the seconds before, and what this very process remembers to have sent.
func TestRunner_LostClaims(t *testing.T) {
	inBubble(t, func(b *bench) {
		old, late := in(time.Second, "old", ""), in(17*time.Second, "late", "")
		store := &lossy{Store: b.store, began: b.far.began, back: 25 * time.Second, lost: []jobs.Notice{old}}
		b.runner.Store = store
		b.put(old, late, in(20*time.Second, "in the break", ""), in(23*time.Second, "after it", ""))
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			if n.ID == "old" && time.Since(b.far.began) < 10*time.Second {
				return jobs.Result{}, &jobs.SendError{Fault: jobs.Limited, Wait: 15 * time.Second, Err: errors.New("slow down")}
			}
			if n.ID == "late" && time.Since(b.far.began) < 20*time.Second {
				return jobs.Result{}, &jobs.SendError{Fault: jobs.Limited, Wait: 8 * time.Second, Err: errors.New("slow down")}
			}
			b.far.mu.Lock()
			defer b.far.mu.Unlock()
			b.far.posts[n.PostID()] = true
			return jobs.Result{}, nil
		}
		b.loop(time.Minute)
		b.want("looked", sortedLines(b.far.looks), "in the break +25s", "in the break +28s", "late +25s", "late +28s", "old +25s")
		b.want("sent", sortedLines(b.far.arrived), "after it +25s", "in the break +28s", "late +17s", "late +28s", "old +16s", "old +1s")
	})
}

// What was sent right before a break is remembered, however long that is.
func TestRunner_LongBreak(t *testing.T) {
	inBubble(t, func(b *bench) {
		old := in(time.Second, "old", "")
		b.runner.Store = &lossy{Store: b.store, began: b.far.began, back: 150 * time.Second, lost: []jobs.Notice{old}}
		b.put(old)
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			if time.Since(b.far.began) < 10*time.Second {
				return jobs.Result{}, &jobs.SendError{Fault: jobs.Limited, Wait: 15 * time.Second, Err: errors.New("slow down")}
			}
			b.far.mu.Lock()
			defer b.far.mu.Unlock()
			b.far.posts[n.PostID()] = true
			return jobs.Result{}, nil
		}
		b.loop(4 * time.Minute)
		b.want("looked", b.far.looks, "old +2m30s")
		b.want("sent", b.far.arrived, "old +1s", "old +16s")
	})
}

func sortedLines(lines []string) []string { return slices.Sorted(slices.Values(lines)) }
