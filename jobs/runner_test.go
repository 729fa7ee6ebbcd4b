package jobs_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// far is a destination that records what arrives, with the time since its
// start.
type far struct {
	mu      sync.Mutex
	began   time.Time
	arrived []string        // "id +3s"
	looks   []string        // the same for Find
	posts   map[string]bool // by PostID, what Find finds
	answer  func(ctx context.Context, n jobs.Notice) (jobs.Result, error)
}

func (f *far) line(n jobs.Notice) string { return fmt.Sprintf("%s +%v", n.ID, time.Since(f.began)) }

func (f *far) Send(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	f.mu.Lock()
	f.arrived = append(f.arrived, f.line(n))
	f.mu.Unlock()
	if f.answer == nil {
		return jobs.Result{Ref: "ts"}, nil
	}
	return f.answer(ctx, n)
}

func (f *far) Find(_ context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.looks = append(f.looks, f.line(n))
	return jobs.Result{Ref: "ts"}, f.posts[n.PostID()], nil
}

func (f *far) Failed(n jobs.Notice, reason error) []jobs.Notice {
	return []jobs.Notice{{ID: "tell-" + n.ID, Kind: "failed", Due: jobs.NowAt(time.Now()), Args: map[string]string{"why": reason.Error()}}}
}

// bench is a bubble of fake time with a store, a far side and a runner.
type bench struct {
	*testing.T
	store  *redis.Store
	far    *far
	runner *jobs.Runner
	ops    int
}

func inBubble(t *testing.T, test func(b *bench)) {
	synctest.Test(t, func(t *testing.T) {
		store, err := redis.Embedded(t.Context(), "T1")
		if err != nil {
			t.Fatal(err)
		}
		defer store.Close()
		f := &far{began: time.Now(), posts: map[string]bool{}}
		test(&bench{T: t, store: store, far: f, runner: jobs.NewRunner("r1", store, f)})
	})
}

func (b *bench) put(ns ...jobs.Notice) {
	b.Helper()
	b.ops++
	_, err := b.store.Commit(b.Context(), jobs.Change{Op: fmt.Sprint("op", b.ops), At: jobs.NowAt(time.Now()), Put: ns})
	if err != nil {
		b.Fatal(err)
	}
}

// in returns a notice due after d.
func in(d time.Duration, id, thread string) jobs.Notice {
	return jobs.Notice{ID: id, Kind: "x", Due: jobs.DueAt(time.Now().Add(d)), Thread: thread}
}

// loop runs the runner for a time, with nudges.
func (b *bench) loop(d time.Duration) {
	ctx, cancel := context.WithTimeout(b.Context(), d)
	defer cancel()
	nudges, stop := b.store.Nudges(ctx)
	defer stop()
	b.runner.Loop(ctx, time.Now, nudges)
}

func (b *bench) want(what string, got []string, want ...string) {
	b.Helper()
	if !slices.Equal(got, want) {
		b.Errorf("%s:\n got  %s\n want %s", what, strings.Join(got, ", "), strings.Join(want, ", "))
	}
}

func TestRunner_RetriesAndGivesUp(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			if n.Kind == "failed" {
				return jobs.Result{}, nil
			}
			return jobs.Result{}, errors.New("no answer")
		}
		b.put(in(time.Second, "a", ""))
		b.loop(45 * time.Minute)
		// Each pause of the runner and the 3 s between the two looks.
		n := len(b.far.arrived)
		b.want("first sent", b.far.arrived[:5], "a +1s", "a +6s", "a +19s", "a +52s", "a +1m25s")
		b.want("last sent", b.far.arrived[n-2:], "a +42m40s", "tell-a +42m40s")
		failed, err := b.store.Failed(b.Context(), 0, 9)
		if err != nil || len(failed) != 1 || failed[0].Why != "no answer" || failed[0].Fails != 79 || n != 81 {
			b.Errorf("failed: got %+v, %v", failed, err)
		}
	})
}

func TestRunner_RateLimitCostsNoAttempt(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			if n.Claims != 1 {
				t.Errorf("claim %d", n.Claims)
			}
			if time.Since(b.far.began) < 5*time.Minute {
				return jobs.Result{}, fmt.Errorf("post: %w", &jobs.SendError{Fault: jobs.Limited, Wait: 30 * time.Second, Err: errors.New("slow down")})
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "a", ""))
		b.loop(6 * time.Minute)
		if n := len(b.far.arrived); n != 11 || b.far.arrived[10] != "a +5m0s" || len(b.far.looks) != 0 {
			b.Errorf("arrived %v, looked for %v", b.far.arrived, b.far.looks)
		}
	})
}

func TestRunner_FinalErrorAndPanic(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			switch {
			case n.ID == "final":
				return jobs.Result{}, &jobs.SendError{Fault: jobs.Final, Err: errors.New("no such channel")}
			case n.ID == "panic" && n.Claims == 1:
				panic("bad arguments")
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "final", ""), in(time.Second, "panic", ""))
		b.loop(time.Minute)
		b.want("sent", b.far.arrived, "final +0s", "tell-final +0s", "panic +1s", "panic +6s")
	})
}

func TestRunner_OneOfAThreadAtATime(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			time.Sleep(3500 * time.Millisecond)
			if n.ID == "a1" && n.Claims == 1 {
				return jobs.Result{}, errors.New("no answer")
			}
			return jobs.Result{}, nil
		}
		b.put(in(0, "a1", "a"), in(0, "a2", "a"), in(time.Second, "a3", "a"), in(time.Second, "b1", "b"))
		b.loop(time.Minute)
		// a1 fails at 3.5 s, its pause counts from the step at 3 s: it is looked for
		// at 5 s, sent at 8 s, through at 11.5 s; a2 and a3 wait.
		b.want("sent", b.far.arrived, "a1 +0s", "b1 +1s", "a1 +8s", "a2 +11.5s", "a3 +15s")
	})
}

func TestRunner_ClaimsNoMoreThanFreeSenders(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.runner.Senders = 2
		b.far.answer = func(ctx context.Context, _ jobs.Notice) (jobs.Result, error) {
			if tally, err := b.store.Tally(ctx); err != nil || tally.Leased > 2 {
				t.Errorf("leased %d with 2 senders, %v", tally.Leased, err)
			}
			time.Sleep(3 * time.Second)
			return jobs.Result{}, nil
		}
		for i := range 5 {
			b.put(in(0, fmt.Sprint("n", i), ""))
		}
		b.loop(time.Minute)
		slices.Sort(b.far.arrived)
		b.want("sent", b.far.arrived, "n0 +0s", "n1 +0s", "n2 +3s", "n3 +3s", "n4 +6s")
	})
}

// A runner that died after its post went out: the next one finds the post.
func TestRunner_TakesOver(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.put(in(0, "seen", ""), in(0, "lost", ""))
		_, err := b.store.Claim(b.Context(), jobs.Claim{Runner: "dead", ID: "c", Now: jobs.NowAt(time.Now()), Max: 9, Lease: 20 * time.Second})
		if err != nil {
			t.Fatal(err)
		}
		b.far.posts[in(0, "seen", "").PostID()] = true
		b.loop(time.Minute)
		slices.Sort(b.far.looks)
		b.want("looked", b.far.looks, "lost +20s", "lost +23s", "seen +20s")
		b.want("sent", b.far.arrived, "lost +23s")
	})
}

func TestRunner_StartsNothingThatDoesNotFitTheLease(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(ctx context.Context, _ jobs.Notice) (jobs.Result, error) {
			if d, ok := ctx.Deadline(); !ok || time.Until(d) != 15*time.Second {
				t.Errorf("deadline in %v, want 15s of a lease of 20s", time.Until(d))
			}
			return jobs.Result{}, nil
		}
		b.runner.Store = &slow{Store: b.store, pause: 16 * time.Second}
		b.put(in(0, "a", ""))
		b.loop(2 * time.Minute)
		// The first claim comes back too late to start: the next one, at the
		// end of that lease, looks twice and sends.
		b.want("sent", b.far.arrived, "a +23s")
	})
}

// slow is a store whose first claim takes long, as in a process that was
// stopped.
type slow struct {
	jobs.Store
	pause time.Duration
}

func (s *slow) Claim(ctx context.Context, c jobs.Claim) (jobs.Batch, error) {
	b, err := s.Store.Claim(ctx, c)
	time.Sleep(s.pause)
	s.pause = 0
	return b, err
}

func TestRunner_RecurringAndNudge(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(_ context.Context, n jobs.Notice) (jobs.Result, error) {
			if n.ID != "rule" {
				return jobs.Result{}, nil
			}
			n = jobs.Notice{ID: n.ID, Kind: n.Kind, Due: n.Due + 600_000}
			return jobs.Result{Next: []jobs.Notice{n}}, nil
		}
		b.put(in(10*time.Minute, "rule", ""))
		time.AfterFunc(90*time.Second+300*time.Millisecond, func() { b.put(in(0, "now", "")) })
		b.loop(35 * time.Minute)
		b.want("sent", b.far.arrived, "now +1m30.3s", "rule +10m0s", "rule +20m0s", "rule +30m0s")
	})
}

func TestRunner_SenderSettlesItself(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.runner.Report = func(err error) { t.Errorf("reported: %v", err) }
		b.far.answer = func(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
			_, err := b.store.Commit(ctx, jobs.Change{Op: "done-" + n.ID, At: n.Due, Done: jobs.Held{ID: n.ID, Token: n.Token}})
			return jobs.Result{Done: true}, err
		}
		b.put(in(0, "a", ""))
		b.loop(time.Minute)
		b.want("sent", b.far.arrived, "a +0s")
	})
}

// A loop that ends lets its senders finish, and puts back what does not.
func TestRunner_Finish(t *testing.T) {
	inBubble(t, func(b *bench) {
		b.far.answer = func(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
			select {
			case <-ctx.Done():
				return jobs.Result{}, ctx.Err()
			case <-time.After(map[string]time.Duration{"quick": 5 * time.Second, "stuck": time.Hour}[n.ID]):
				return jobs.Result{}, nil
			}
		}
		b.put(in(0, "quick", ""), in(0, "stuck", ""))
		b.loop(time.Second)
		if took := time.Since(b.far.began); took != 11*time.Second {
			t.Errorf("the loop of one second ended after %v, want 11s", took)
		}
		tally, err := b.store.Tally(b.Context())
		if err != nil || tally.Due != 1 || tally.Leased != 0 {
			t.Errorf("afterwards: %+v, %v, want the stuck one due", tally, err)
		}
	})
}

func TestMillis(t *testing.T) {
	at := time.Date(2027, 3, 1, 8, 0, 0, 1, time.UTC)
	whole := at.Truncate(time.Second)
	if got := jobs.DueAt(at) - jobs.NowAt(at); got != 1 {
		t.Errorf("a time between two milliseconds: due %d after now, want 1", got)
	}
	if jobs.DueAt(whole) != jobs.NowAt(whole) || !jobs.DueAt(whole).Time().Equal(whole) {
		t.Errorf("a whole second: %d %d", jobs.DueAt(whole), jobs.NowAt(whole))
	}
	before := time.Date(1969, 12, 31, 23, 59, 59, 999_500_000, time.UTC)
	if jobs.DueAt(before) != 0 || jobs.NowAt(before) != -1 {
		t.Errorf("before 1970: due %d, now %d", jobs.DueAt(before), jobs.NowAt(before))
	}
}
