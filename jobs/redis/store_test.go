package redis

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"heelpost/jobs"
)

const day0 = jobs.Millis(1_800_000_000_000) // some moment in January 2027

func commit(t *testing.T, s *Store, c jobs.Change) jobs.Answer {
	t.Helper()
	if c.At == 0 {
		c.At = day0
	}
	a, err := s.Commit(t.Context(), c)
	if err != nil {
		t.Fatalf("Commit(%s): %v", c.Op, err)
	}
	return a
}

func claim(t *testing.T, s *Store, id string, now jobs.Millis, max int) []jobs.Notice {
	t.Helper()
	b, err := s.Claim(t.Context(), jobs.Claim{Runner: "r", ID: id, Now: now, Max: max, Lease: 20 * time.Second})
	if err != nil {
		t.Fatal(err)
	}
	return b.Notices
}

func settle(t *testing.T, s *Store, op string, now jobs.Millis, items ...jobs.Settlement) []bool {
	t.Helper()
	held, err := s.Settle(t.Context(), "r", op, now, items)
	if err != nil {
		t.Fatal(err)
	}
	return held
}

func held(n jobs.Notice) jobs.Held { return jobs.Held{ID: n.ID, Token: n.Token} }

func ids(ns []jobs.Notice) string {
	var s []string
	for _, n := range ns {
		s = append(s, n.ID)
	}
	return strings.Join(s, " ")
}

func wantIDs(t *testing.T, what string, ns []jobs.Notice, want string) {
	t.Helper()
	if got := ids(ns); got != want {
		t.Errorf("%s: got %q, want %q", what, got, want)
	}
}

func TestCommit_Door(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		change := jobs.Change{
			Op: "op1",
			Door: &jobs.DoorChange{
				Key: "north/A-101", State: []byte("{\"n\":1}\x00\xff"), Entry: []byte("opened"),
				Index: []jobs.Index{{Name: "board:north", Score: 2}, {Name: "crew:ana"}},
			},
			Questions: map[string][]byte{"ana #1": []byte("mass?")},
			Put:       []jobs.Notice{{ID: "n1", Kind: "cure", Due: day0 + 5, Thread: "t1", Door: "north/A-101", Args: map[string]string{"plate": "floor", "note": strings.Repeat("é", 5000)}}},
		}
		for range 2 { // the repetition returns the first answer
			if a := commit(t, s, change); a != (jobs.Answer{Version: 1}) {
				t.Fatalf("answer: got %+v", a)
			}
		}
		r, err := s.Door(ctx, "north/A-101")
		if want := (jobs.Record{Key: "north/A-101", Version: 1, State: change.Door.State}); err != nil || !reflect.DeepEqual(r, want) {
			t.Errorf("door: got %+v, %v, want %+v", r, err, want)
		}
		if q, err := s.Question(ctx, "ana #1"); string(q) != "mass?" || err != nil {
			t.Errorf("question: got %q, %v", q, err)
		}
		n, err := s.Notice(ctx, "n1")
		if err != nil || !reflect.DeepEqual(n, change.Put[0]) {
			t.Errorf("notice: got %+v, %v", n, err)
		}

		second := jobs.Change{
			Op:        "op2",
			Door:      &jobs.DoorChange{Key: "north/A-101", Version: 1, State: []byte("2"), Entry: []byte("ticked"), Index: []jobs.Index{{Name: "board:north", Score: 3}}},
			Questions: map[string][]byte{"ana #1": nil},
			Cancel:    []string{"n1", "none"},
		}
		for range 2 {
			if a := commit(t, s, second); a != (jobs.Answer{Version: 2, Found: 1}) {
				t.Fatalf("second answer: got %+v", a)
			}
		}
		if a := commit(t, s, change); a != (jobs.Answer{Version: 1}) {
			t.Errorf("first operation repeated late: got %+v", a)
		}
		late := change
		late.Op = "op3"
		if _, err := s.Commit(ctx, late); !errors.Is(err, jobs.ErrConflict) {
			t.Errorf("old version: got %v, want ErrConflict", err)
		}
		if _, err := s.Question(ctx, "ana #1"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("closed question: got %v, want ErrNotFound", err)
		}
		if _, err := s.Notice(ctx, "n1"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("cancelled notice: got %v, want ErrNotFound", err)
		}
		log, err := s.Log(ctx, "north/A-101", 0, 10)
		want := []jobs.Entry{{Version: 1, Op: "op1", At: day0, Data: []byte("opened")}, {Version: 2, Op: "op2", At: day0, Data: []byte("ticked")}}
		if err != nil || !reflect.DeepEqual(log, want) {
			t.Errorf("log: got %+v, %v, want %+v", log, err, want)
		}
		indexed(t, s)
	})
}

func TestDoors_Pages(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		for i := range 25 {
			key := fmt.Sprintf("north/A-%02d", i)
			commit(t, s, jobs.Change{Op: key, Door: &jobs.DoorChange{Key: key, State: []byte{byte(i)}, Index: []jobs.Index{{Name: "board:north", Score: float64(i % 2)}}}})
		}
		var got []byte
		for from := 0; from < 25; from += 10 {
			rs, total, err := s.Doors(t.Context(), "board:north", from, 10)
			if err != nil || total != 25 {
				t.Fatalf("page from %d: total %d, %v", from, total, err)
			}
			for _, r := range rs {
				got = append(got, r.State...)
			}
		}
		want := []byte{0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23}
		if !reflect.DeepEqual(got, want) {
			t.Errorf("order: got %v, want %v", got, want)
		}
	})
}

func TestCommit_WithoutDoor(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		now := jobs.Change{Op: "put", At: day0, Put: []jobs.Notice{{ID: "a", Kind: "answer", Due: day0}}}
		commit(t, s, now)
		n := claim(t, s, "c1", day0, 5)
		wantIDs(t, "claim", n, "a")
		settle(t, s, "s1", day0, jobs.Settlement{Held: held(n[0]), Verdict: jobs.Sent, Note: "ts1"})
		commit(t, s, now) // a repetition after it was sent must not send it again
		wantIDs(t, "claim after repetition", claim(t, s, "c2", day0, 5), "")

		commit(t, s, jobs.Change{Op: "put2", Put: []jobs.Notice{{ID: "b", Kind: "x", Due: day0 + 9}}})
		gone := jobs.Change{Op: "cancel", Cancel: []string{"b"}}
		for range 2 {
			if a := commit(t, s, gone); a.Found != 1 {
				t.Errorf("cancel: found %d, want 1, on a repetition too", a.Found)
			}
		}
		if err := s.Tidy(ctx, day0+jobs.Millis(48*time.Hour/time.Millisecond)); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Commit(ctx, now); !errors.Is(err, jobs.ErrStale) {
			t.Errorf("operation of two days ago: got %v, want ErrStale", err)
		}
	})
}

func TestClaim_OrderAndReplay(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		commit(t, s, jobs.Change{Op: "put", Put: []jobs.Notice{
			{ID: "late", Kind: "x", Due: day0 + 2}, {ID: "soon", Kind: "x", Due: day0}, {ID: "mid", Kind: "x", Due: day0 + 1},
		}})
		wantIDs(t, "before the first", claim(t, s, "c0", day0-1, 5), "")
		first := claim(t, s, "c1", day0+1, 1)
		wantIDs(t, "at most one", first, "soon")
		again := claim(t, s, "c1", day0+1, 1)
		if !reflect.DeepEqual(first, again) {
			t.Errorf("repeated claim: got %+v, want %+v", again, first)
		}
		wantIDs(t, "the rest that is due", claim(t, s, "c2", day0+1, 5), "mid")
		wantIDs(t, "none left", claim(t, s, "c3", day0+1, 5), "")
		b, err := s.Claim(t.Context(), jobs.Claim{Runner: "r", ID: "c4", Now: day0 + 1, Max: 5, Lease: time.Second})
		if err != nil || b.NextDue != day0+2 || b.NextEnd != day0+20_001 {
			t.Errorf("next: got %d %d %v, want %d %d", b.NextDue, b.NextEnd, err, day0+2, day0+20_001)
		}
	})
}

func TestClaim_ExpiredLease(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		commit(t, s, jobs.Change{Op: "put", Put: []jobs.Notice{{ID: "a", Kind: "x", Due: day0, Thread: "t"}, {ID: "b", Kind: "x", Due: day0, Thread: "t"}}})
		dead := claim(t, s, "c1", day0, 5)
		wantIDs(t, "one of the thread", dead, "a")
		wantIDs(t, "just before the end", claim(t, s, "c2", day0+19_999, 5), "")
		n := claim(t, s, "c3", day0+20_000, 5)
		wantIDs(t, "at the end", n, "a")
		if n[0].Claims != 2 || n[0].Token <= dead[0].Token {
			t.Errorf("taken over: attempt %d, token %d after %d", n[0].Claims, n[0].Token, dead[0].Token)
		}
		if ok := settle(t, s, "s1", day0+20_001, jobs.Settlement{Held: held(dead[0]), Verdict: jobs.Sent, Put: []jobs.Notice{{ID: "z", Kind: "x", Due: day0}}}); ok[0] {
			t.Error("a lost token settled a notice")
		}
		if ok := settle(t, s, "s2", day0+20_001, jobs.Settlement{Held: held(n[0]), Verdict: jobs.Sent}); !ok[0] {
			t.Error("the token that holds did not settle it")
		}
		if ok := settle(t, s, "s2", day0+20_001, jobs.Settlement{Held: held(n[0]), Verdict: jobs.Sent}); !ok[0] {
			t.Error("repeated settling: first answer was yes")
		}
		wantIDs(t, "then the next of the thread", claim(t, s, "c4", day0+20_001, 5), "b")
	})
}

func TestSettle_Verdicts(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		next := jobs.Notice{ID: "rule", Kind: "digest", Due: day0 + 86_400_000, Door: "d"}
		commit(t, s, jobs.Change{Op: "put", Put: []jobs.Notice{
			{ID: "rule", Kind: "digest", Due: day0, Door: "d"}, {ID: "limit", Kind: "x", Due: day0, Thread: "t"},
			{ID: "retry", Kind: "x", Due: day0}, {ID: "behind", Kind: "x", Due: day0 + 1, Thread: "t"},
		}})
		n := claim(t, s, "c1", day0, 5)
		wantIDs(t, "claim", n, "limit retry rule")
		settle(t, s, "s1", day0,
			jobs.Settlement{Held: held(n[0]), Verdict: jobs.Release, Due: day0 + 3000, Looks: 1},
			jobs.Settlement{Held: held(n[1]), Verdict: jobs.Retry, Due: day0 + 2000},
			jobs.Settlement{Held: held(n[2]), Verdict: jobs.GiveUp, Note: "no such channel", Put: []jobs.Notice{next, {ID: "tell", Kind: "failed", Due: day0}}})
		failed, err := s.Failed(ctx, 0, 10)
		if err != nil || len(failed) != 1 || failed[0].Why != "no such channel" || failed[0].Kind != "digest" {
			t.Fatalf("failed: got %+v, %v", failed, err)
		}
		got, err := s.Notice(ctx, "rule")
		if err != nil || !reflect.DeepEqual(got, next) {
			t.Errorf("the rule's next: got %+v, %v", got, err)
		}
		list, err := s.Notices(ctx, "d", 0, 10)
		wantIDs(t, fmt.Sprint("the door's list ", err), list, failed[0].ID+" rule")
		wantIDs(t, "word to the foreman; the thread is held", claim(t, s, "c2", day0+1000, 5), "tell")
		n = claim(t, s, "c3", day0+3000, 5)
		wantIDs(t, "later", n, "retry limit")
		if n[0].Claims != 2 || n[1].Claims != 1 || n[1].Looks != 1 || n[0].Looks != 0 || n[1].Due != day0 {
			t.Errorf("after retry and release: got %+v", n)
		}
		// Retry by hand: a failed one starts afresh.
		commit(t, s, jobs.Change{Op: "again", Move: []jobs.Move{{ID: failed[0].ID, Due: day0 + 3000}}})
		n = claim(t, s, "c4", day0+3000, 5)
		wantIDs(t, "moved from the failed ones", n, failed[0].ID)
		if n[0].Claims != 1 || n[0].Why != "" {
			t.Errorf("fresh start: got %+v", n[0])
		}
		if tally, err := s.Tally(ctx); err != nil || tally != (jobs.Tally{Due: 1, Leased: 4, Waiting: 1, Oldest: next.Due}) {
			t.Errorf("tally: got %+v, %v", tally, err)
		}
	})
}

func TestPut_WhileSent(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		root := jobs.Notice{ID: "root:d", Kind: "root", Due: day0, Door: "d", Thread: "t"}
		commit(t, s, jobs.Change{Op: "o1", Keep: []jobs.Notice{root}})
		root.Due++
		commit(t, s, jobs.Change{Op: "o2", Keep: []jobs.Notice{root}})
		n := claim(t, s, "c1", day0, 5)
		wantIDs(t, "kept at its first time", n, "root:d")
		root.Due = day0 + 3000
		commit(t, s, jobs.Change{Op: "o3", Keep: []jobs.Notice{root}})
		settle(t, s, "s1", day0+10, jobs.Settlement{Held: held(n[0]), Verdict: jobs.Sent, Note: "ts"})
		wantIDs(t, "not before its new time", claim(t, s, "c2", day0+2999, 5), "")
		n = claim(t, s, "c3", day0+3000, 5)
		wantIDs(t, "what changed while it was sent goes out", n, "root:d")
		if n[0].Claims != 1 || n[0].Due != root.Due {
			t.Errorf("second round: got %+v", n[0])
		}
		commit(t, s, jobs.Change{Op: "o4", Cancel: []string{"root:d"}})
		if ok := settle(t, s, "s2", day0+3000, jobs.Settlement{Held: held(n[0]), Verdict: jobs.Retry, Due: day0 + 4000}); ok[0] {
			t.Error("a cancelled notice came back by a retry")
		}
	})
}

func TestReceive(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		in := jobs.Notice{ID: "in1", Kind: "in", Thread: "C1", Args: map[string]string{"text": "gap 54 60"}, Due: day0}
		for range 2 {
			if ok, err := s.Receive(ctx, "C1/17.5", in, day0); !ok || err != nil {
				t.Fatalf("stored, or repeated: %v, %v", ok, err)
			}
		}
		in.ID = "in2"
		if ok, err := s.Receive(ctx, "C1/17.5", in, day0); ok || err != nil {
			t.Errorf("the same message by another way: %v, %v", ok, err)
		}
		if ok, err := s.Receive(ctx, "C1/17.6", in, day0); !ok || err != nil {
			t.Errorf("the next message: %v, %v", ok, err)
		}
		n := claim(t, s, "c1", day0, 5)
		wantIDs(t, "one of a thread at a time", n, "in1")
		answer := jobs.Change{Op: "o1", Done: held(n[0]), Put: []jobs.Notice{{ID: "a", Kind: "answer", Due: day0}}}
		commit(t, s, answer)
		commit(t, s, answer)
		answer.Op = "o2"
		if _, err := s.Commit(ctx, answer); !errors.Is(err, jobs.ErrLost) {
			t.Errorf("dealt with twice: got %v, want ErrLost", err)
		}
		wantIDs(t, "the answer, and the next message", claim(t, s, "c2", day0, 5), "a in2")
	})
}

func TestBind(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		for _, refs := range []map[string]string{{"a": "1", "b": "2"}, {"a": "3", "b": ""}} {
			if err := s.Bind(ctx, refs); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := s.Bound(ctx, "a", "b", "c"); err != nil || !slices.Equal(got, []string{"3", "", ""}) {
			t.Errorf("bound: got %q, %v, want 3 and nothing", got, err)
		}
	})
}

// A file of a name takes the place of the one before it, and what was decided
// by that one is refused.
func TestReplace(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		tick := func(version int64, site string) jobs.Change {
			return jobs.Change{Op: fmt.Sprint("op-", version, site), At: day0,
				Door: &jobs.DoorChange{Key: "north/A-1", Version: version, State: []byte("s"), Entry: []byte("e"), While: jobs.Ref{Name: "site:north", Value: site}}}
		}
		commit(t, s, tick(0, "h0")) // nothing is bound to that name yet
		for _, hash := range []string{"h1", "h2", "h2"} {
			if err := s.Replace(ctx, "site:north", hash, []byte("file "+hash)); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := s.Bound(ctx, "site:north"); err != nil || !slices.Equal(got, []string{"h2"}) {
			t.Errorf("bound: got %q, %v, want h2", got, err)
		}
		if data, err := s.Kept(ctx, "h2"); string(data) != "file h2" || err != nil {
			t.Errorf("new file: got %q, %v", data, err)
		}
		if _, err := s.Kept(ctx, "h1"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("old file: got %v, want ErrNotFound", err)
		}
		if _, err := s.Commit(ctx, tick(1, "h1")); !errors.Is(err, jobs.ErrConflict) {
			t.Errorf("decided by the old file: got %v, want ErrConflict", err)
		}
		for range 2 { // a repetition as well
			if a := commit(t, s, tick(1, "h2")); a.Version != 2 {
				t.Errorf("decided by the new file: got %+v, want version 2", a)
			}
		}
		if a := commit(t, s, tick(0, "h0")); a.Version != 1 {
			t.Errorf("an earlier change repeated: got %+v, want its first answer", a)
		}
	})
}

func TestPace(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		channel, all := jobs.Pace{Name: "C1", Every: time.Second, Burst: 2}, jobs.Pace{Name: "all", Every: 100 * time.Millisecond, Burst: 3}
		want := func(now jobs.Millis, wait time.Duration, limits ...jobs.Pace) {
			t.Helper()
			if got, err := s.Pace(ctx, now, limits...); got != wait || err != nil {
				t.Errorf("at %d: got %v, %v, want %v", now-day0, got, err, wait)
			}
		}
		want(day0, 0, channel, all)
		want(day0, 0, channel, all)
		want(day0, time.Second, channel, all)
		want(day0, 0, jobs.Pace{Name: "C2", Every: time.Second, Burst: 2}, all) // what was refused is not counted
		want(day0, 100*time.Millisecond, jobs.Pace{Name: "C2", Every: time.Second, Burst: 2}, all)
		want(day0+1000, 0, channel, all)
		shut := jobs.Pace{Name: "shut"}
		want(day0, 0, shut)
		for _, until := range []jobs.Millis{day0 + 5000, day0 + 3000} {
			if err := s.Hold(ctx, "shut", until); err != nil {
				t.Fatal(err)
			}
		}
		want(day0+1000, 4*time.Second, shut, jobs.Pace{Name: "C3", Every: time.Second, Burst: 1})
		want(day0+5000, 0, shut, jobs.Pace{Name: "C3", Every: time.Second, Burst: 1})
		for now, held := range map[jobs.Millis]int{day0 + 4999: 1, day0 + 5000: 0} {
			if n, err := s.Held(ctx, "sh", now); n != held || err != nil {
				t.Errorf("held at %d: got %d, %v, want %d", now-day0, n, err, held)
			}
		}
	})
}

// A question that nobody answers goes, one that is new stays.
func TestTidy_questions(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		commit(t, s, jobs.Change{Op: "o1", At: day0, Questions: map[string][]byte{"old": []byte("?")}})
		commit(t, s, jobs.Change{Op: "o2", At: day0 + 1, Questions: map[string][]byte{"new": []byte("?")}})
		if err := s.Tidy(ctx, day0+1+jobs.Millis(marksKept.Milliseconds())); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Question(ctx, "old"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("the old question: %v, want not found", err)
		}
		if _, err := s.Question(ctx, "new"); err != nil {
			t.Errorf("the new question: %v", err)
		}
	})
}

// A day whose marks are gone takes no operation any more, by any script; the
// days around it are as they were.
func TestTidy_ClosesDays(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		const oneDay = jobs.Millis(24 * time.Hour / time.Millisecond)
		put := func(i jobs.Millis) jobs.Change {
			id := fmt.Sprint("put", i)
			return jobs.Change{Op: id, At: day0 + i*oneDay, Put: []jobs.Notice{{ID: id, Kind: "x", Due: day0 + 100*oneDay}}}
		}
		ask := func(i jobs.Millis) jobs.Change {
			return jobs.Change{Op: fmt.Sprint("ask", i), At: day0 + i*oneDay, Questions: map[string][]byte{"q": []byte("?")}}
		}
		for i := range jobs.Millis(7) {
			if i == 1 || i == 6 { // once, and then after a pause
				if err := s.Tidy(ctx, day0+i*oneDay); err != nil {
					t.Fatal(err)
				}
			}
			commit(t, s, put(i))
		}
		for i := range jobs.Millis(7) {
			text, want := "", error(nil)
			if i < 5 {
				text, want = "closed", jobs.ErrStale
			}
			if got := s.rdb.Get(ctx, s.key.ops(fmt.Sprint(day(day0)+int64(i)))).Val(); got != text {
				t.Errorf("day %d: got %q, want %q", i, got, text)
			}
			for _, c := range []jobs.Change{put(i), ask(i), {Op: fmt.Sprint("cancel", i), At: put(i).At, Cancel: []string{fmt.Sprint("put", i)}},
				{Op: fmt.Sprint("move", i), At: put(i).At, Move: []jobs.Move{{ID: fmt.Sprint("put", i), Due: day0}}}} {
				if _, err := s.Commit(ctx, c); !errors.Is(err, want) {
					t.Errorf("%s: got %v, want %v", c.Op, err, want)
				}
			}
		}
	})
}

func TestSweep(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		commit(t, s, jobs.Change{Op: "o", Put: []jobs.Notice{
			{ID: "a", Kind: "x", Due: day0}, {ID: "b", Kind: "x", Due: day0 + 1, Thread: "t"}, {ID: "c", Kind: "x", Due: day0 + 2, Thread: "t"}, {ID: "e", Kind: "x", Due: day0 + 3},
		}})
		claim(t, s, "c1", day0+2, 5)
		s.rdb.ZRem(ctx, s.key.lease(), "a", "b") // b held its thread: c waits for nobody
		seen, repaired, err := s.Sweep(ctx)
		if seen != 4 || repaired < 2 || err != nil {
			t.Errorf("sweep: saw %d, repaired %d, %v", seen, repaired, err)
		}
		if tally, _ := s.Tally(ctx); tally.Due+tally.Waiting != 4 || tally.Leased != 0 {
			t.Errorf("after the sweep: %+v", tally)
		}
		if _, repaired, _ = s.Sweep(ctx); repaired != 0 {
			t.Errorf("second sweep repaired %d", repaired)
		}
		wantIDs(t, "all but one of the thread", claim(t, s, "c2", day0+9, 5), "a b e")
	})
}

func TestKeep(t *testing.T) {
	onBoth(t, func(t *testing.T, s *Store) {
		ctx := t.Context()
		if _, err := s.Kept(ctx, "h"); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("before: got %v, want ErrNotFound", err)
		}
		for range 2 {
			if err := s.Keep(ctx, "h", []byte("leaf: 1100")); err != nil {
				t.Fatal(err)
			}
		}
		if data, err := s.Kept(ctx, "h"); string(data) != "leaf: 1100" || err != nil {
			t.Errorf("after: got %q, %v", data, err)
		}
	})
}

func TestRefusals(t *testing.T) {
	s := embedded(t)
	for name, c := range map[string]jobs.Change{
		"no operation":   {Put: []jobs.Notice{{ID: "a", Kind: "x"}}},
		"two words":      {Op: "a b"},
		"no door key":    {Op: "o", Door: &jobs.DoorChange{}},
		"no kind":        {Op: "o", Put: []jobs.Notice{{ID: "a"}}},
		"tab in a name":  {Op: "o", Door: &jobs.DoorChange{Key: "d", Index: []jobs.Index{{Name: "a\tb"}}}},
		"too many parts": {Op: "o", Cancel: make([]string, 1001)},
	} {
		if _, err := s.Commit(t.Context(), c); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if keys := s.rdb.Keys(t.Context(), "hp1:*").Val(); len(keys) != 0 {
		t.Errorf("refused changes left %v", keys)
	}
}

func TestOpen_NewerLayout(t *testing.T) {
	srv := start(t)
	c := srv.client()
	defer c.Close()
	c.Set(t.Context(), keys{"T9"}.layout(), layout+1, 0)
	if _, err := Open(t.Context(), srv.url(), Options{Workspace: "T9"}); !errors.Is(err, ErrNewer) {
		t.Errorf("newer layout: got %v, want ErrNewer", err)
	}
}

// After another server was met, a restored one perhaps, every process knows
// since when: what was due before may have been sent and forgotten.
func TestOpen_AnotherServer(t *testing.T) {
	srv := start(t)
	for i, want := range []bool{false, false, true, true} {
		if i == 2 {
			srv.kill()
			srv.run()
		}
		s, err := Open(t.Context(), srv.url(), Options{Workspace: "T1"})
		if err != nil {
			t.Fatal(err)
		}
		b, err := s.Claim(t.Context(), jobs.Claim{Runner: "r", ID: fmt.Sprint(i), Now: day0, Max: 1, Lease: time.Second})
		if err != nil || (b.Lost != (jobs.Period{})) != want {
			t.Errorf("process %d: met another server at %d, %v, want that %v", i+1, b.Lost, err, want)
		}
		s.Close()
	}
}

// Every key that a script builds is one of keys.go.
func TestScripts_Keys(t *testing.T) {
	k := keys{"T"}
	named := map[string]bool{}
	for _, key := range []string{k.due(), k.lease(), k.failed(), k.wait(""), k.busy(), k.notice(""), k.list(""), k.sent(""), k.token(), k.claims(), k.settled(), k.ops(""), k.open(), k.seen(), k.door(""), k.log(""), k.index(""), k.questions(), k.server(), k.heard(), k.broke(), k.asked(), k.refs(), k.pace(), k.file(""), k.nudge(), k.told(""), k.telling(":"), k.telling("")} {
		named[strings.TrimPrefix(key, k.under(""))] = true
	}
	files, _ := filepath.Glob("scripts/*.lua")
	n := 0
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`P \.\. '(\w+:?)'`).FindAllStringSubmatch(string(text), -1) {
			n++
			if !named[m[1]] {
				t.Errorf("%s builds a key %q that keys.go does not name", f, m[1])
			}
		}
	}
	if n < 20 {
		t.Errorf("found only %d keys in the scripts", n)
	}
}
