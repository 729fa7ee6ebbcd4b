//go:build faults

package redis

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// The host dies and the end of the append-only file with it, in the middle of
// each script: it is there whole or not at all, and made again it does what it
// would have done.
func TestFaults_CutFile(t *testing.T) {
	srv := start(t)
	s, file := srv.open(t, "T1"), appendOnly(t, srv)
	steps, ends, states := story(t), []int64{size(t, file)}, []map[string]string{contents(t, srv, s.key)}
	for _, step := range steps {
		if err := step.do(s); err != nil {
			t.Fatalf("%s: %v", step.name, err)
		}
		ends, states = append(ends, size(t, file)), append(states, contents(t, srv, s.key))
	}
	s.Close()
	srv.kill()
	full, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, step := range steps {
		from, to := ends[i], ends[i+1]
		if to < from+2 {
			t.Fatalf("%s wrote nothing", step.name)
		}
		for _, end := range []int64{from + 1 + rand.N(to-from-1), from + 1 + rand.N(to-from-1), from + 1 + rand.N(to-from-1), to - 1} {
			if err := os.WriteFile(file, full[:end], 0o600); err != nil {
				t.Fatal(err)
			}
			srv.run()
			if diff := cmp.Diff(states[i], contents(t, srv, s.key)); diff != "" {
				t.Errorf("the file ends at %d, in %s from %d to %d, which is there in part:\n%s", end, step.name, from, to, diff)
			}
			s := srv.open(t, "T1")
			inOnePlace(t, srv, s)
			allFolded(t, srv, s)
			if err := step.do(s); err != nil {
				t.Errorf("%s, again: %v", step.name, err)
			}
			if diff := cmp.Diff(states[i+1], contents(t, srv, s.key)); diff != "" {
				t.Errorf("%s, again after the file ended at %d: it did something else:\n%s", step.name, end, diff)
			}
			s.Close()
			srv.kill()
		}
	}
	t.Logf("%d scripts, each cut in 4 places", len(steps))
}

// appendOnly returns the name of the file that the server appends to.
func appendOnly(t *testing.T, srv *server) string {
	t.Helper()
	names, _ := filepath.Glob(filepath.Join(srv.dir, "appendonlydir", "*.incr.aof"))
	if len(names) != 1 {
		t.Fatalf("append-only files: %v", names)
	}
	return names[0]
}

func size(t *testing.T, file string) int64 {
	t.Helper()
	info, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	return info.Size()
}

// contents reads the whole workspace, but for the run of the server that was
// met last, and when it was heard.
func contents(t *testing.T, srv *server, k keys) map[string]string {
	t.Helper()
	ctx, c, all := t.Context(), srv.client(), map[string]string{}
	defer c.Close()
	for _, name := range srv.keys(t, k.under("")) {
		key := k.under(name)
		if key == k.server() || key == k.broke() || key == k.heard() {
			continue
		}
		var text any
		var err error
		switch kind := c.Type(ctx, key).Val(); kind {
		case "string":
			text, err = c.Get(ctx, key).Result()
		case "hash":
			text, err = c.HGetAll(ctx, key).Result()
		case "zset":
			text, err = c.ZRangeWithScores(ctx, key, 0, -1).Result()
		case "stream":
			var entries []redis.XMessage
			entries, err = c.XRange(ctx, key, "-", "+").Result()
			for i := range entries {
				if strings.HasPrefix(name, "sent:") {
					entries[i].ID = "" // the server's time
				}
			}
			text = entries
		default:
			t.Fatalf("%s is of type %q", key, kind)
		}
		if err != nil {
			t.Fatal(err)
		}
		all[name] = fmt.Sprint(text)
	}
	return all
}

// step is one script of a story.
type step struct {
	name string
	do   func(*Store) error
}

// story tells of a door, its notices and what else is kept, so that every
// script that writes does it in each of its ways; but for the sweep, which
// finds nothing to repair.
func story(t *testing.T) []step {
	const door, oneDay = "north/A-101", jobs.Millis(24 * time.Hour / time.Millisecond)
	ctx := t.Context()
	y := &tale{t: t, ctx: ctx, crew: mustCrew(t), rec: jobs.Record{Key: door}, held: map[string]jobs.Held{}}
	add, commit, next, claim, settle := y.add, y.commit, y.next, y.claim, y.settle
	of := func(id string) jobs.Held { return jobs.Held{ID: id} }
	at := func(id string, due jobs.Millis) jobs.Notice { return jobs.Notice{ID: id, Kind: "x", Due: day0 + due} }
	inDoor := func(n jobs.Notice) jobs.Notice { n.Door, n.Thread = door, door; return n }

	commit("open", jobs.Change{Door: next("open"), Questions: map[string][]byte{"ana": []byte("mass?"), "bo": []byte("floor?")},
		Put: []jobs.Notice{inDoor(at("a", 0)), at("b", 0)}, Keep: []jobs.Notice{at("face", 0)}})
	commit("put", jobs.Change{Put: []jobs.Notice{inDoor(at("c", 1))}})
	commit("put-rule", jobs.Change{Put: []jobs.Notice{{ID: "rule", Kind: "digest", Due: day0, Door: door}}})
	commit("put-late", jobs.Change{Put: []jobs.Notice{at("late", 100_000)}})
	commit("move", jobs.Change{Move: []jobs.Move{{ID: "late", Due: day0 + 200_000}}})
	commit("cancel", jobs.Change{Cancel: []string{"late"}})
	add("receive", func(s *Store) error {
		_, err := s.Receive(ctx, "C1/17.5", at("in", 0), day0)
		return err
	})
	claim(day0+1, "a b face in rule") // c waits behind a
	settle("sent", jobs.Settlement{Held: of("a"), Verdict: jobs.Sent, Note: "ts"})
	settle("retry", jobs.Settlement{Held: of("b"), Verdict: jobs.Retry, Due: day0 + 500})
	claim(day0+500, "c b")
	settle("release", jobs.Settlement{Held: of("b"), Verdict: jobs.Release, Due: day0 + 600, Looks: 1})
	settle("give-up", jobs.Settlement{Held: of("rule"), Verdict: jobs.GiveUp, Note: "no such channel",
		Put: []jobs.Notice{{ID: "rule", Kind: "digest", Due: day0 + oneDay, Door: door}, at("word", 2)}})
	commit("put-while-sent", jobs.Change{Put: []jobs.Notice{at("face", 3000)}})
	settle("sent-and-again", jobs.Settlement{Held: of("face"), Verdict: jobs.Sent, Note: "ts"})
	claim(day0+600, "word b")
	settle("several", jobs.Settlement{Held: of("b"), Verdict: jobs.GiveUp, Note: "no"}, jobs.Settlement{Held: of("word"), Verdict: jobs.Retry, Due: day0 + 700},
		jobs.Settlement{Held: of("c"), Verdict: jobs.Sent, Note: "ts", Put: []jobs.Notice{inDoor(at("d", 700))}})
	dealt := jobs.Change{Op: "deal", At: day0, Door: next("deal"), Questions: map[string][]byte{"ana": nil, "cy": []byte("setback?")},
		Cancel: []string{"word"}, Move: []jobs.Move{{ID: "b", Due: day0 + 800}}, Put: []jobs.Notice{inDoor(at("answer", 10))}, Keep: []jobs.Notice{at("face", 0)}}
	add("commit of what came in", func(s *Store) error {
		c := dealt
		c.Done = y.held["in"]
		_, err := s.Commit(ctx, c)
		return err
	})
	claim(day0+1000, "answer b") // d waits
	claim(day0+21_000, "answer b face")
	commit("move-what-is-sent", jobs.Change{Move: []jobs.Move{{ID: "answer", Due: day0 + 30_000}}, Cancel: []string{"b"}})
	for _, hash := range []string{"h1", "h2"} {
		add("replace "+hash, func(s *Store) error { return s.Replace(ctx, "site:north", hash, []byte("file "+hash)) })
	}
	add("keep", func(s *Store) error { return s.Keep(ctx, "h3", []byte("leaf: 1100")) })
	add("bind", func(s *Store) error { return s.Bind(ctx, map[string]string{"thread:1": door, "face:" + door: "1"}) })
	add("bind another", func(s *Store) error { return s.Bind(ctx, map[string]string{"thread:1": "", "face:" + door: "2"}) })
	add("pace", func(s *Store) error {
		wait, err := s.Pace(ctx, day0, jobs.Pace{Name: "C1", Every: time.Second, Burst: 2}, jobs.Pace{Name: "all", Every: time.Second, Burst: 2})
		if err == nil && wait != 0 {
			err = fmt.Errorf("wait %v", wait)
		}
		return err
	})
	add("hold", func(s *Store) error { return s.Hold(ctx, "shut", day0+5000) })
	add("tidy", func(s *Store) error { return s.Tidy(ctx, day0+3*oneDay) })
	add("tell", func(s *Store) error {
		n, _, err := s.Tell(ctx, door, "say:1", []byte("gap 44 65"))
		if err == nil && n != 1 {
			err = fmt.Errorf("number %d", n)
		}
		return err
	})
	add("purge", func(s *Store) error { return s.Purge(ctx, door) })
	return y.steps
}

// tale is a story while it is written.
type tale struct {
	t     *testing.T
	ctx   context.Context
	crew  crew
	rec   jobs.Record
	held  map[string]jobs.Held // of what was claimed
	steps []step
}

func (y *tale) add(name string, do func(*Store) error) { y.steps = append(y.steps, step{name, do}) }

func (y *tale) commit(name string, c jobs.Change) {
	c.Op = name
	if c.At == 0 {
		c.At = day0
	}
	y.add("commit "+name, func(s *Store) error { _, err := s.Commit(y.ctx, c); return err })
}

// next is the next change of the door.
func (y *tale) next(op string) *jobs.DoorChange {
	d, err := y.crew.change(y.rec, day0.Time(), op)
	if err != nil {
		y.t.Fatal(err)
	}
	y.rec.Version, y.rec.State = y.rec.Version+1, d.State
	return d
}

// claim claims what is due, which must be what is wanted.
func (y *tale) claim(now jobs.Millis, want string) {
	name := fmt.Sprint("claim-", len(y.steps))
	y.add(name, func(s *Store) error {
		b, err := s.Claim(y.ctx, jobs.Claim{Runner: "r", ID: name, Now: now, Max: 10, Lease: 20 * time.Second})
		if got := ids(b.Notices); err == nil && got != want {
			err = fmt.Errorf("claimed %q, want %q", got, want)
		}
		for _, n := range b.Notices {
			y.held[n.ID] = jobs.Held{ID: n.ID, Token: n.Token}
		}
		return err
	})
}

// settle settles what was claimed.
func (y *tale) settle(name string, items ...jobs.Settlement) {
	y.add("settle "+name, func(s *Store) error {
		now := slices.Clone(items)
		for i := range now {
			now[i].Held = y.held[now[i].ID]
		}
		ok, err := s.Settle(y.ctx, "r", name, day0+10, now)
		if err == nil && slices.Contains(ok, false) {
			err = fmt.Errorf("settled %v", ok)
		}
		return err
	})
}
