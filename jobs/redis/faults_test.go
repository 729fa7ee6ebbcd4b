//go:build faults

package redis

import (
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"heelpost/jobs"
)

// put stores n notices that come due over a span from now on, a third of
// them in threads, a third as changes of doors, rounded down, and returns their
// post ids.
// An operation whose outcome is unknown is repeated.
func put(t *testing.T, s *Store, prefix string, n int, span time.Duration) (posts []string) {
	t.Helper()
	for i := range n {
		now := time.Now()
		x := jobs.Notice{ID: fmt.Sprintf("%s%d", prefix, i), Kind: "x", Due: jobs.DueAt(now.Add(rand.N(span)))}
		switch i % 3 {
		case 1:
			x.Thread = fmt.Sprint("t", i%20)
		case 2:
			x.Door = fmt.Sprint("d", i%20)
		}
		c := jobs.Change{Op: "put-" + x.ID, At: jobs.NowAt(now), Put: []jobs.Notice{x}}
		_, err := s.Commit(t.Context(), c)
		for until := now.Add(30 * time.Second); err != nil && time.Now().Before(until); {
			_, err = s.Commit(t.Context(), c)
		}
		if err != nil {
			t.Fatal(err)
		}
		posts = append(posts, x.PostID())
	}
	return posts
}

// drained waits until no notice is left to send.
func drained(t *testing.T, s *Store) {
	t.Helper()
	var tally jobs.Tally
	for until := time.Now().Add(time.Minute); time.Now().Before(until); <-time.After(50 * time.Millisecond) {
		var err error
		if tally, err = s.Tally(t.Context()); err != nil {
			t.Fatal(err)
		}
		if tally.Due+tally.Leased+tally.Waiting == 0 {
			break
		}
	}
	if tally != (jobs.Tally{}) {
		t.Errorf("left over: %+v", tally)
	}
}

// keys lists what there is behind a prefix: our own user may not.
func (s *server) keys(t *testing.T, prefix string) []string {
	t.Helper()
	c := s.client()
	defer c.Close()
	keys, err := c.Keys(t.Context(), prefix+"*").Result()
	if err != nil {
		t.Fatal(err)
	}
	for i := range keys {
		keys[i] = strings.TrimPrefix(keys[i], prefix)
	}
	return keys
}

// inOnePlace checks that every notice is in exactly one place, when nobody
// works on them any more.
func inOnePlace(t *testing.T, srv *server, s *Store) {
	t.Helper()
	ctx := t.Context()
	tally, err := s.Tally(ctx)
	if err != nil {
		t.Fatal(err)
	}
	notices := srv.keys(t, s.key.notice(""))
	if n := tally.Due + tally.Leased + tally.Waiting + tally.Failed; n != len(notices) {
		t.Errorf("%d notices, %d places: %+v", len(notices), n, tally)
	}
	if _, repaired, err := s.Sweep(ctx); repaired != 0 || err != nil {
		t.Errorf("the sweep repaired %d, %v", repaired, err)
	}
}

// allFolded checks every door, and returns how many entries their logs have.
func allFolded(t *testing.T, srv *server, s *Store) (entries int) {
	t.Helper()
	for _, key := range srv.keys(t, s.key.door("")) {
		entries += len(folded(t, s, key))
	}
	return entries
}

// logged checks every door, and that their logs have so many entries.
func logged(t *testing.T, srv *server, s *Store, want int) {
	t.Helper()
	if n := allFolded(t, srv, s); n != want {
		t.Errorf("the logs have %d entries, want %d", n, want)
	}
}

// seconds is how long the long run takes, the longest lease being 2 s.
const seconds = 60

// Runners that work on real doors are killed, or stopped beyond their lease and
// continued, fifty times in a minute.
func TestFaults_KilledAndStoppedRunners(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	far := newReceiver(t, 40*time.Millisecond)
	var workers []*process
	for i := range 3 {
		workers = append(workers, far.work(t, fmt.Sprint("w", i), srv.url(), 0))
	}
	posts := put(t, s, "a", 1000, seconds*time.Second)
	tick := time.NewTicker(seconds * time.Second / 50)
	defer tick.Stop()
	for i := range 50 {
		<-tick.C
		posts = append(posts, put(t, s, fmt.Sprintf("b%d-", i), 20, time.Duration(seconds-i)*time.Second)...)
		p := &workers[i%3]
		if i%2 == 0 {
			(*p).end(syscall.SIGKILL)
			*p = far.work(t, fmt.Sprint("w", i+3), srv.url(), 0)
			continue
		}
		process := (*p).cmd.Process
		process.Signal(syscall.SIGSTOP)
		time.AfterFunc(3*time.Second, func() { process.Signal(syscall.SIGCONT) })
	}
	drained(t, s)
	for _, p := range workers {
		p.cmd.Process.Signal(syscall.SIGCONT)
		p.end(syscall.SIGTERM)
	}
	doubles := far.judge(t, posts)
	inOnePlace(t, srv, s)
	logged(t, srv, s, 1000/3+50*(20/3))
	t.Logf("%d notices, 50 faults, %d doubles", len(posts), doubles)
}

// A runner is killed in the middle of sending: how long after the end of the
// lease another has the notice.
func TestFaults_TakenOver(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	far := newReceiver(t, time.Minute) // nobody lives to hear the answer
	var posts []string
	var late []time.Duration
	for i := range 5 {
		victim := far.work(t, fmt.Sprint("victim", i), srv.url(), 0)
		round := put(t, s, fmt.Sprintf("a%d-", i), 12, time.Millisecond)
		posts = append(posts, round...)
		ends := leases(t, s, far, round)
		victim.end(syscall.SIGKILL)
		other := far.work(t, fmt.Sprint("other", i), srv.url(), 0)
		drained(t, s)
		other.end(syscall.SIGTERM)
		far.mu.Lock()
		for id, end := range ends {
			if look, ok := far.looks[id]; ok { // the rest had its answer before the kill
				late = append(late, look.Sub(end))
			}
		}
		far.mu.Unlock()
	}
	far.judge(t, posts)
	inOnePlace(t, srv, s)
	logged(t, srv, s, 5*(12/3))
	slices.Sort(late)
	if len(late) == 0 || late[0] < 0 {
		t.Fatalf("taken over before the end of the lease, or not at all: %v", late)
	}
	t.Logf("%d notices of killed runners were claimed again after the end of their lease: median %v, at most %v", len(late), late[len(late)/2], late[len(late)-1])
}

// leases waits until the posts have arrived, and returns the ends of the
// leases that stand, by post id.
func leases(t *testing.T, s *Store, far *receiver, posts []string) map[string]time.Time {
	t.Helper()
	for until := time.Now().Add(20 * time.Second); time.Now().Before(until); <-time.After(5 * time.Millisecond) {
		arrived := 0
		far.mu.Lock()
		for _, id := range posts {
			arrived += min(len(far.posts[id]), 1)
		}
		far.mu.Unlock()
		if arrived == len(posts) {
			break
		}
	}
	zs, err := s.rdb.ZRangeWithScores(t.Context(), s.key.lease(), 0, -1).Result()
	if err != nil {
		t.Fatal(err)
	}
	ends := map[string]time.Time{}
	for _, z := range zs {
		for _, post := range posts {
			if id, _, _ := strings.Cut(post, "@"); id == z.Member {
				ends[post] = time.UnixMilli(int64(z.Score))
			}
		}
	}
	return ends
}

// Redis is killed and started again while runners work on real doors, and some
// of them are killed as well.
func TestFaults_RedisKilled(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	far := newReceiver(t, 20*time.Millisecond)
	var posts []string
	workers := []*process{far.work(t, "w0", srv.url(), 0), far.work(t, "w1", srv.url(), 0)}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 5 {
			<-time.After(2 * time.Second)
			srv.kill()
			srv.run()
		}
	}()
	for i := range 10 {
		posts = append(posts, put(t, s, fmt.Sprintf("a%d-", i), 100, 12*time.Second)...)
		if i%4 == 3 {
			p := &workers[i/4]
			(*p).end(syscall.SIGKILL)
			*p = far.work(t, fmt.Sprint("w", i), srv.url(), 0)
		}
		<-time.After(time.Second)
	}
	<-done
	drained(t, s)
	for _, p := range workers {
		p.end(syscall.SIGTERM)
	}
	doubles := far.judge(t, posts)
	inOnePlace(t, srv, s)
	logged(t, srv, s, 10*(100/3))
	t.Logf("%d notices, 5 restarts of Redis, 2 runners killed, %d doubles", len(posts), doubles)
}

// Two runners whose clocks are 30 s apart: nothing is early, nothing lost.
func TestFaults_SkewedClocks(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	far := newReceiver(t, 0)
	workers := []*process{far.work(t, "slow", srv.url(), -15*time.Second), far.work(t, "fast", srv.url(), 15*time.Second)}
	posts := put(t, s, "a", 600, 6*time.Second)
	drained(t, s)
	for _, p := range workers {
		p.end(syscall.SIGTERM)
	}
	if doubles := far.judge(t, posts); doubles != 0 {
		t.Errorf("%d doubles without a fault", doubles)
	}
	inOnePlace(t, srv, s)
	logged(t, srv, s, 600/3)
}

// Replies are lost on the way: no effect happens twice, whether a replica is
// waited for or not.
func TestFaults_LostReplies(t *testing.T) {
	t.Run("alone", func(t *testing.T) { lostReplies(t, start(t), 0) })
	t.Run("copied", func(t *testing.T) {
		master, _ := withReplica(t)
		lostReplies(t, master, 1)
	})
}

func lostReplies(t *testing.T, srv *server, copies int) {
	p := cutting(t, srv.addr, 7)
	ctx := t.Context()
	s, err := Open(ctx, "redis://heelpost:a%20password%20for%20tests@"+p.addr, Options{Workspace: "T1", Copies: copies})
	for until := time.Now().Add(10 * time.Second); err != nil && time.Now().Before(until); {
		s, err = Open(ctx, "redis://heelpost:a%20password%20for%20tests@"+p.addr, Options{Workspace: "T1", Copies: copies})
	}
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	crew, rec := mustCrew(t), jobs.Record{Key: "d1"}
	for i := range int64(300) {
		op := fmt.Sprint("op", i)
		door, err := crew.change(rec, day0.Time().Add(time.Duration(i)*time.Minute), op)
		if err != nil {
			t.Fatal(err)
		}
		c := jobs.Change{Op: op, At: day0, Door: door, Put: []jobs.Notice{{ID: fmt.Sprint("n", i), Kind: "x", Due: day0}}}
		again(t, func() error {
			a, err := s.Commit(ctx, c)
			if err == nil && a.Version != i+1 || errors.Is(err, jobs.ErrConflict) {
				t.Fatalf("change %d: answer %+v, %v", i, a, err)
			}
			return err
		})
		rec.Version, rec.State = i+1, door.State
	}
	// A third is sent, a third waits for its next try, a third is given up.
	claimed := map[string]int{}
	for k := 0; len(claimed) < 300; k++ {
		var b jobs.Batch
		again(t, func() (err error) {
			b, err = s.Claim(ctx, jobs.Claim{Runner: "r", ID: fmt.Sprint("c", k), Now: day0, Max: 10, Lease: time.Minute})
			return err
		})
		if len(b.Notices) == 0 {
			t.Fatalf("claim %d came back empty after %d of 300: a batch was lost", k, len(claimed))
		}
		var items []jobs.Settlement
		for _, n := range b.Notices {
			x := jobs.Settlement{Held: held(n), Verdict: []jobs.Verdict{jobs.Sent, jobs.Retry, jobs.GiveUp}[len(claimed)%3], Due: day0 + 60_000, Note: "ts"}
			items = append(items, x)
			claimed[n.ID]++
		}
		again(t, func() error {
			ok, err := s.Settle(ctx, "r", fmt.Sprint("s", k), day0, items)
			for _, held := range ok {
				if !held {
					t.Errorf("settling %d was refused", k)
				}
			}
			return err
		})
	}
	for id, n := range claimed {
		if n != 1 {
			t.Errorf("%s was claimed %d times", id, n)
		}
	}
	singles(t, s)
	direct := srv.open(t, "T1")
	logged(t, srv, direct, 300)
	inOnePlace(t, srv, direct)
	if tally, err := direct.Tally(ctx); tally.Due != 100+40 || tally.Failed != 100 || tally.Leased+tally.Waiting != 0 || err != nil {
		t.Errorf("tally %+v, %v, want 100 that are tried again, 40 that came in, 100 that were given up", tally, err)
	}
	inside := srv.client()
	defer inside.Close()
	if n, err := inside.XLen(ctx, s.key.sent("")).Result(); n != 100 || err != nil {
		t.Errorf("the record of what was sent has %d entries, want 100, %v", n, err)
	}
	if p.cuts.Load() < 50 {
		t.Errorf("only %d replies were lost", p.cuts.Load())
	}
	t.Logf("%d replies lost", p.cuts.Load())
}

// singles makes changes of one notice alone, and takes messages in.
func singles(t *testing.T, s *Store) {
	ctx := t.Context()
	for i := range 40 {
		in := jobs.Notice{ID: fmt.Sprint("in", i), Kind: "in", Due: day0, Thread: "t"}
		again(t, func() error {
			ok, err := s.Receive(ctx, "C1/"+in.ID, in, day0)
			if err == nil && !ok {
				t.Errorf("receipt of %s: it was seen before", in.ID)
			}
			return err
		})
		one := jobs.Notice{ID: fmt.Sprint("one", i), Kind: "x", Due: day0 + 60_000}
		for found, c := range []jobs.Change{{Op: "put", Put: []jobs.Notice{one}}, {Op: "move", Move: []jobs.Move{{ID: one.ID, Due: day0 + 90_000}}}, {Op: "cancel", Cancel: []string{one.ID}}} {
			c.Op, c.At = c.Op+one.ID, day0
			again(t, func() error {
				a, err := s.Commit(ctx, c)
				if err == nil && a.Found != min(found, 1) {
					t.Errorf("%s: found %d", c.Op, a.Found)
				}
				return err
			})
		}
	}
}

// again repeats what may have happened or not.
func again(t *testing.T, do func() error) {
	t.Helper()
	var err error
	for range 20 {
		if err = do(); err == nil {
			return
		}
	}
	t.Fatal(err)
}

// proxy passes requests on and loses one reply in so many, with its
// connection.
type proxy struct {
	addr string
	cuts atomic.Int64
}

func cutting(t *testing.T, to string, oneIn int) *proxy {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	p := &proxy{addr: l.Addr().String()}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go p.carry(c, to, oneIn)
		}
	}()
	return p
}

func (p *proxy) carry(c net.Conn, to string, oneIn int) {
	defer c.Close()
	r, err := net.Dial("tcp", to)
	if err != nil {
		return
	}
	defer r.Close()
	go func() { io.Copy(r, c); r.Close() }()
	buf := make([]byte, 1<<16)
	for {
		n, err := r.Read(buf)
		if err != nil {
			return
		}
		if rand.IntN(oneIn) == 0 {
			p.cuts.Add(1)
			return
		}
		if _, err := c.Write(buf[:n]); err != nil {
			return
		}
	}
}
