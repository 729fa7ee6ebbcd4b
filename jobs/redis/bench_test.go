package redis

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"heelpost/jobs"
)

// benchServer is a real server without automatic rewriting of its file,
// which would take one core of two in the middle of a measurement.
func benchServer(b *testing.B) (*server, *Store) {
	srv := start(b, "--auto-aof-rewrite-percentage", "0", "--appendfsync", "everysec", "--loglevel", "warning")
	// The default user and a tag of the same length, as the peer has: an ACL
	// is checked at each call of a script and costs some of the rate, and the
	// tag stands in every key.
	s, err := Open(b.Context(), "redis://"+srv.addr, Options{Workspace: "default"})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	return srv, s
}

// benchNotice is the task that the peer has too: 189 bytes of arguments in
// short fields.
func benchNotice(i int, due jobs.Millis) jobs.Notice {
	return jobs.Notice{ID: strconv.Itoa(i), Kind: "cure", Due: due, Door: "north/A-" + strconv.Itoa(i%1000), Args: map[string]string{
		"site": "north-yard-block-c-2", "door": "A-101-second-floor-01", "who": "U0123456789", "by": "U9876543210",
		"text": "check the control sample, then the plate's four bonds",
	}}
}

// fill schedules n notices, a hundred in one change.
func fill(b *testing.B, s *Store, n int, notice func(i int) jobs.Notice) {
	for i := 0; i < n; i += 100 {
		c := jobs.Change{Op: fmt.Sprint("fill", i), At: day0}
		for k := i; k < min(i+100, n); k++ {
			c.Put = append(c.Put, notice(k))
		}
		if _, err := s.Commit(b.Context(), c); err != nil {
			b.Fatal(err)
		}
	}
}

// each runs do for 0..b.N-1 by so many callers and reports the rate and the
// processor time of the server, which varies less than the rate.
func each(b *testing.B, srv *server, callers int, do func(i int) error) {
	var next atomic.Int64
	var wg sync.WaitGroup
	before := srv.cpu(b)
	b.ResetTimer()
	for range callers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < b.N; i = int(next.Add(1)) - 1 {
				if err := do(i); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
	b.StopTimer()
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "ops/s")
	b.ReportMetric((srv.cpu(b)-before)*1e6/float64(b.N), "server-µs/op")
}

// info reads a number that the server tells of itself.
func (s *server) info(b *testing.B, section, name string) float64 {
	c := s.client()
	defer c.Close()
	text, err := c.Info(b.Context(), section).Result()
	if err != nil {
		b.Fatal(err)
	}
	n, err := strconv.ParseFloat(field(text, name), 64)
	if err != nil {
		b.Fatal(err)
	}
	return n
}

// cpu is the processor time that the server has taken, in seconds.
func (s *server) cpu(b *testing.B) float64 {
	return s.info(b, "cpu", "used_cpu_user") + s.info(b, "cpu", "used_cpu_sys")
}

// memory is what the server's data takes.
func (s *server) memory(b *testing.B) float64 { return s.info(b, "memory", "used_memory") }

func later(int) jobs.Millis { return day0 + 1e9 }

func lateNotice(i int) jobs.Notice { return benchNotice(i, later(i)) }

// bareNotice stands in no door's list, as the peer's tasks do.
func bareNotice(i int) jobs.Notice {
	n := lateNotice(i)
	n.Door = ""
	return n
}

func BenchmarkNotice(b *testing.B) {
	for _, callers := range []int{1, 8, 64} {
		run := func(name string, full bool, change func(i int) jobs.Change) {
			b.Run(fmt.Sprintf("%s/callers=%d", name, callers), func(b *testing.B) {
				srv, s := benchServer(b)
				if full {
					fill(b, s, b.N, bareNotice)
				}
				each(b, srv, callers, func(i int) error {
					c := change(i)
					c.Op, c.At = strconv.Itoa(i), day0
					_, err := s.Commit(b.Context(), c)
					return err
				})
			})
		}
		run("schedule", false, func(i int) jobs.Change {
			return jobs.Change{Put: []jobs.Notice{bareNotice(i)}}
		})
		run("cancel", true, func(i int) jobs.Change { return jobs.Change{Cancel: []string{strconv.Itoa(i)}} })
		run("reschedule", true, func(i int) jobs.Change {
			return jobs.Change{Move: []jobs.Move{{ID: strconv.Itoa(i), Due: later(i) + 5000}}}
		})
	}
}

// BenchmarkClaimFinish claims notices that are due and settles them as sent,
// so many at once; what it tells is for one notice.
func BenchmarkClaimFinish(b *testing.B) {
	for _, batch := range []int{1, 64} {
		b.Run(fmt.Sprintf("batch=%d", batch), func(b *testing.B) {
			srv, s := benchServer(b)
			fill(b, s, b.N, func(i int) jobs.Notice { return benchNotice(i, day0) })
			left := b.N
			each(b, srv, 1, func(i int) error {
				if i%batch != 0 {
					return nil // it was in the batch
				}
				op := strconv.Itoa(i)
				got, err := s.Claim(b.Context(), jobs.Claim{Runner: "r", ID: op, Now: day0, Max: batch, Lease: time.Minute})
				if err != nil {
					return err
				}
				left -= len(got.Notices)
				items := make([]jobs.Settlement, len(got.Notices))
				for k, n := range got.Notices {
					items[k] = jobs.Settlement{Held: held(n), Verdict: jobs.Sent, Note: "1800000000.000100"}
				}
				_, err = s.Settle(b.Context(), "r", op, day0, items)
				return err
			})
			if left != 0 {
				b.Errorf("%d were not claimed", left)
			}
		})
	}
}

// BenchmarkMemory tells what a notice takes: alone, as the peer's task does,
// and in the list of its door; run it with -benchtime 1x.
func BenchmarkMemory(b *testing.B) {
	for _, door := range []bool{false, true} {
		b.Run(fmt.Sprintf("door=%v", door), func(b *testing.B) {
			srv, s := benchServer(b)
			before := srv.memory(b)
			fill(b, s, 100_000, func(i int) jobs.Notice {
				n := lateNotice(i)
				if !door {
					n.Door = ""
				}
				return n
			})
			b.ReportMetric((srv.memory(b)-before)/100_000, "B/notice")
		})
	}
}

// BenchmarkDoor works on real doors of all stages. Its board is what the first
// page of a site's board reads and reckons, in the words of bot: the first
// doors of each stage, what each of them waits for, and the failed notices.
func BenchmarkDoor(b *testing.B) {
	const perStage, perPage = 5, 20
	c := mustCrew(b)
	doors, logs := c.stages(b)
	laid := map[jobs.Stage]*jobs.DoorChange{}
	for stage, d := range doors {
		var err error
		if laid[stage], err = stored("", 0, &d, logs[stage]); err != nil {
			b.Fatal(err)
		}
	}
	change := func(i int, version int64, stage jobs.Stage) jobs.Change {
		door, d := *laid[stage], doors[stage]
		d.Updated = d.Updated.Add(time.Duration(version) * time.Second)
		door.Key, door.Version, door.Index = fmt.Sprintf("orchard-lane/A-%05d", i), version, memberships(&d)
		return jobs.Change{Op: fmt.Sprint(door.Key, "-", version), At: day0, Door: &door}
	}
	b.Run("open", func(b *testing.B) {
		srv, s := benchServer(b)
		each(b, srv, 1, func(i int) error { _, err := s.Commit(b.Context(), change(i, 0, jobs.Survey)); return err })
	})
	b.Run("tick", func(b *testing.B) {
		srv, s := benchServer(b)
		each(b, srv, 1, func(i int) error { _, err := s.Commit(b.Context(), change(0, int64(i), jobs.Survey)); return err })
	})
	b.Run("board of 10000", func(b *testing.B) {
		srv, s := benchServer(b)
		before := srv.memory(b)
		for i := range 10_000 {
			if _, err := s.Commit(b.Context(), change(i, 0, jobs.Stages[i%len(jobs.Stages)])); err != nil {
				b.Fatal(err)
			}
		}
		size := srv.memory(b) - before
		each(b, srv, 1, func(int) error {
			for _, stage := range jobs.Stages {
				recs, total, err := s.Doors(b.Context(), stageIndex(stage), 0, perStage)
				if err != nil || total != 1000 || len(recs) != perStage {
					return fmt.Errorf("%s: %d doors of %d, %v", stage, len(recs), total, err)
				}
				for _, rec := range recs {
					d, err := doorOf(rec.State)
					if err != nil {
						return err
					}
					jobs.Holds(jobs.Checklist(&d, c.sheet), stage)
				}
			}
			_, err := s.Failed(b.Context(), 0, perPage)
			return err
		})
		b.ReportMetric(size/10_000, "B/door")
	})
}

func BenchmarkList100k(b *testing.B) {
	srv, s := benchServer(b)
	fill(b, s, 100_000, lateNotice)
	each(b, srv, 1, func(i int) error {
		ns, err := s.Notices(b.Context(), "north/A-7", 0, 30)
		if len(ns) != 30 {
			return fmt.Errorf("%d notices, %v", len(ns), err)
		}
		return err
	})
}

// timed is a sender that notes how late each notice is.
type timed struct {
	mu   sync.Mutex
	late []time.Duration
	left int
	done chan struct{}
}

func (t *timed) Send(_ context.Context, n jobs.Notice) (jobs.Result, error) {
	t.note(time.Since(n.Due.Time()))
	return jobs.Result{Ref: "ts"}, nil
}

func (t *timed) note(late time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.late = append(t.late, late)
	if t.left--; t.left == 0 {
		close(t.done)
	}
}

func (t *timed) Find(context.Context, jobs.Notice) (jobs.Result, bool, error) {
	return jobs.Result{}, false, nil
}

func (t *timed) Failed(jobs.Notice, error) []jobs.Notice { return nil }

// BenchmarkFire lets notices come due over a time and sends them by one
// runner of 64 senders; run it with -benchtime 1x.
func BenchmarkFire(b *testing.B) {
	for _, load := range []struct {
		n    int
		span time.Duration
	}{{10_000, 10 * time.Second}, {10_000, time.Second}, {100_000, time.Second}} {
		b.Run(fmt.Sprintf("%d in %v", load.n, load.span), func(b *testing.B) {
			for range b.N {
				fire(b, load.n, load.span)
			}
		})
	}
}

func fire(b *testing.B, n int, span time.Duration) {
	_, s := benchServer(b)
	first := time.Now().Add(time.Duration(n) * 60 * time.Microsecond).Add(time.Second)
	fill(b, s, n, func(i int) jobs.Notice {
		return benchNotice(i, jobs.DueAt(first.Add(span*time.Duration(i)/time.Duration(n))))
	})
	t := &timed{left: n, done: make(chan struct{})}
	r := jobs.NewRunner("r", s, t)
	r.Senders = 64
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	nudges, stop := s.Nudges(ctx)
	defer stop()
	ended := make(chan struct{})
	go func() { defer close(ended); r.Loop(ctx, func() time.Time { return s.Now(time.Now()) }, nudges) }()
	<-t.done
	took := time.Since(first)
	cancel()
	<-ended
	slices.Sort(t.late)
	if t.late[0] < 0 || len(t.late) != n {
		b.Errorf("%d sent of %d, the first %v after its time", len(t.late), n, t.late[0])
	}
	b.ReportMetric(t.late[n/2].Seconds()*1e3, "p50-ms")
	b.ReportMetric(t.late[n*99/100].Seconds()*1e3, "p99-ms")
	b.ReportMetric(float64(n)/took.Seconds(), "sent/s")
}

// BenchmarkIdle counts the commands of a replica that has nothing to do, those
// inside its scripts too: of its runner, and of its desk, which asks once a
// second which site files are in use; run it with -benchtime 1x.
func BenchmarkIdle(b *testing.B) {
	srv, s := benchServer(b)
	sites := []string{"site:orchard-lane", "site:pier-nine"}
	for _, site := range sites {
		if err := s.Replace(b.Context(), site, "hash of "+site, []byte(site)); err != nil {
			b.Fatal(err)
		}
	}
	count := func() float64 { return srv.info(b, "stats", "total_commands_processed") }
	for range b.N {
		ctx, cancel := context.WithTimeout(b.Context(), 12*time.Second)
		nudges, stop := s.Nudges(ctx)
		r := jobs.NewRunner("r", s, &timed{})
		var asked, since time.Time
		var before float64
		r.Before = func(ctx context.Context, now time.Time) error {
			if now.Sub(asked) < time.Second {
				return nil
			}
			if !asked.IsZero() && since.IsZero() { // the start is over
				since, before = now, count()
			}
			asked = now
			_, err := s.Bound(ctx, sites...)
			return err
		}
		r.Loop(ctx, func() time.Time { return s.Now(time.Now()) }, nudges)
		b.ReportMetric((count()-before)/time.Since(since).Seconds(), "commands/s")
		stop()
		cancel()
	}
}

// overtaking finds each post, and notes how long after the end of the lease it
// looked for it.
type overtaking struct {
	timed
	end time.Time
}

func (o *overtaking) Find(context.Context, jobs.Notice) (jobs.Result, bool, error) {
	o.note(time.Since(o.end))
	return jobs.Result{Ref: "ts"}, true, nil
}

// BenchmarkTakenOver tells how long after the end of its lease a notice is in
// the hands of another runner, when the first one never came back; run it with
// -benchtime 1x.
func BenchmarkTakenOver(b *testing.B) {
	const n, lease = 100, 2 * time.Second
	for range b.N {
		_, s := benchServer(b)
		fill(b, s, n, func(i int) jobs.Notice { return benchNotice(i, jobs.NowAt(time.Now().Add(-time.Second))) })
		now := jobs.NowAt(s.Now(time.Now()))
		dead, err := s.Claim(b.Context(), jobs.Claim{Runner: "dead", ID: "c", Now: now, Max: n, Lease: lease})
		if err != nil || len(dead.Notices) != n {
			b.Fatalf("claimed %d, %v", len(dead.Notices), err)
		}
		t := &overtaking{timed{left: n, done: make(chan struct{})}, now.Time().Add(lease)}
		r := jobs.NewRunner("r", s, t)
		r.Senders, r.Lease = n, lease
		ctx, cancel := context.WithCancel(b.Context())
		ended := make(chan struct{})
		go func() { defer close(ended); r.Loop(ctx, func() time.Time { return s.Now(time.Now()) }, nil) }()
		<-t.done
		cancel()
		<-ended
		slices.Sort(t.late)
		if t.late[0] < 0 {
			b.Errorf("taken over %v before the end of the lease", -t.late[0])
		}
		b.ReportMetric(t.late[n/2].Seconds()*1e3, "p50-ms")
		b.ReportMetric(t.late[n-1].Seconds()*1e3, "max-ms")
	}
}

// BenchmarkCopies tells what waiting for a replica costs a change of one
// notice, by one caller and by sixteen.
func BenchmarkCopies(b *testing.B) {
	for _, copies := range []int{0, 1} {
		for _, callers := range []int{1, 16} {
			b.Run(fmt.Sprintf("%d/%d", copies, callers), func(b *testing.B) {
				master, _ := withReplica(b)
				s, err := Open(b.Context(), master.url(), Options{Workspace: "T1", Copies: copies})
				if err != nil {
					b.Fatal(err)
				}
				defer s.Close()
				each(b, master, callers, func(i int) error {
					_, err := s.Commit(b.Context(), jobs.Change{Op: fmt.Sprint("op", i), At: day0, Put: []jobs.Notice{benchNotice(i, day0)}})
					return err
				})
			})
		}
	}
}
