package redis

import (
	"fmt"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// When a server takes the place of another, a process that lives looks again
// for what came due in the seconds before it last heard the old one, and one
// that starts later for hardly more: not for all that was ever due.
func TestOpen_LostPeriod(t *testing.T) {
	srv := start(t)
	open := func() *Store {
		s, err := Open(t.Context(), srv.url(), Options{Workspace: "T1"})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s
	}
	lost := func(s *Store, id string) jobs.Period {
		var b jobs.Batch
		until(t, "claim", func() (bool, error) {
			var err error
			b, err = s.Claim(t.Context(), jobs.Claim{Runner: "r" + id, ID: id, Now: jobs.NowAt(s.Now(time.Now())), Max: 1, Lease: time.Second})
			return err == nil, err
		})
		return b.Lost
	}
	alive := open()
	if got := lost(alive, "1"); got != (jobs.Period{}) {
		t.Fatalf("before anything: lost %v", got)
	}
	heard := jobs.NowAt(time.Now())
	srv.kill()
	srv.run()
	got := lost(alive, "2")
	if d := got.To - got.From; d != tail+deaf || got.Has(heard-tail-1000) || !got.Has(heard-tail+1000) || !got.Has(heard) {
		t.Errorf("a process that lives: lost %v of a break at %d", got, heard)
	}
	if later := lost(open(), "3"); later != got {
		t.Errorf("a process that starts then: lost %v, want %v", later, got)
	}
	srv.kill()
	srv.run()
	again := lost(open(), "4")
	if d := again.To - again.From; d != tail+sparse || !again.Has(heard-tail+1000) || !again.Has(heard) {
		t.Errorf("a process that was not there: lost %v of a break at %d", again, heard)
	}
}

// What the version before has stored is read: a notice without a count of
// failed sends, and the mark of a server without the period.
func TestOpen_BeforeCounts(t *testing.T) {
	srv := start(t)
	c, k, heard := srv.client(), keys{"T1"}, jobs.NowAt(time.Now())
	defer c.Close()
	c.HSet(t.Context(), k.notice("a"), "k", "x", "d", int64(day0), "n", 3, "l", 1)
	c.ZAdd(t.Context(), k.due(), redis.Z{Member: "a", Score: float64(day0)})
	c.Set(t.Context(), k.server(), "another 0", 0)
	for i := range 2 {
		s, err := Open(t.Context(), srv.url(), Options{Workspace: "T1"})
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Claim(t.Context(), jobs.Claim{Runner: "r", ID: fmt.Sprint(i), Now: day0, Max: 1, Lease: time.Second})
		if err != nil || b.Lost.From != 0 || !b.Lost.Has(heard-1000) {
			t.Errorf("process %d: lost %v, %v, want all that was due", i+1, b.Lost, err)
		}
		if i == 0 {
			if n := b.Notices[0]; n.Claims != 4 || n.Fails != 0 || n.Looks != 1 {
				t.Errorf("claimed %+v", n)
			}
			settle(t, s, "s", day0, jobs.Settlement{Held: held(b.Notices[0]), Verdict: jobs.Defer, Due: day0 + 100_000})
			if n, err := s.Notice(t.Context(), "a"); err != nil || n.Claims != 4 || n.Fails != 0 || n.Token != 0 {
				t.Errorf("deferred: %+v, %v", n, err)
			}
		}
		s.Close()
	}
}

// What is stuck shows by when it was to be sent first: a retry that comes soon
// does not hide it, nor a thread that it waits behind.
func TestTally_Overdue(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		now := jobs.NowAt(s.Now(time.Now()))
		commit(t, s, jobs.Change{Op: "put", At: now, Put: []jobs.Notice{
			{ID: "stuck", Kind: "x", Due: now - 900_000, Thread: "t"}, {ID: "asked", Kind: jobs.KindIn, Due: now - 600_000, Thread: "t"},
			{ID: "said", Kind: jobs.KindEntry, Due: now - 300_000}, {ID: "later", Kind: "x", Due: now + 900_000}}})
		n := claim(t, s, "c1", now, 5)
		wantIDs(t, "claimed", n, "stuck said")
		for _, n := range n {
			settle(t, s, "s"+n.ID, now, jobs.Settlement{Held: held(n), Verdict: jobs.Retry, Due: now + 30_000})
		}
		tally, err := s.Tally(t.Context())
		if err != nil || tally.Overdue != now-900_000 || tally.Unanswered != now-600_000 || tally.Waiting != 1 {
			t.Errorf("got %+v, %v at %d", tally, err, now)
		}
	})
}
