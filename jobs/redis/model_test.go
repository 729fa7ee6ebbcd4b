package redis

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
	"pgregory.net/rapid"

	"heelpost/jobs"
)

// entry is a notice as the plain model keeps it.
type entry struct {
	jobs.Notice
	place string // due, lease, wait, failed
	at    jobs.Millis
	again jobs.Millis // put once more while it was being sent
}

// model is the store as a plain map, one rule a method, to hold the scripts
// against.
type model struct {
	now   jobs.Millis
	notes map[string]*entry
	busy  map[string]string
	doors map[string]int64
	sets  []jobs.Index // that door d stands in
}

const leaseMS = 5000

// sorted returns the ids in a place by time and id.
func (m *model) sorted(place string) (ids []string) {
	for id, e := range m.notes {
		if e.place == place {
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids, func(a, b string) int {
		return cmp.Or(cmp.Compare(m.notes[a].at, m.notes[b].at), cmp.Compare(a, b))
	})
	return ids
}

func (m *model) free(thread, id string) {
	if thread == "" || m.busy[thread] != id {
		return
	}
	delete(m.busy, thread)
	for _, w := range m.sorted("wait") {
		if e := m.notes[w]; e.Thread == thread {
			e.place = "due"
			return
		}
	}
}

func (m *model) drop(id string) {
	if e := m.notes[id]; e != nil {
		delete(m.notes, id)
		m.free(e.Thread, id)
	}
}

func (m *model) put(n jobs.Notice, keep bool) {
	if e := m.notes[n.ID]; e != nil {
		if e.place == "lease" {
			e.again = n.Due
			return
		}
		if keep {
			return
		}
		m.drop(n.ID)
	}
	m.notes[n.ID] = &entry{Notice: n, place: "due", at: n.Due}
}

func (m *model) move(id string, due jobs.Millis) {
	e := m.notes[id]
	if e == nil {
		return
	}
	if e.place == "lease" {
		e.again = due
		return
	}
	m.free(e.Thread, id)
	n := e.Notice
	n.Due, n.Claims, n.Fails, n.Token, n.Looks, n.Why = due, 0, 0, 0, 0, ""
	m.notes[id] = &entry{Notice: n, place: "due", at: due}
}

// claim returns the ids in the order that the store must return them.
func (m *model) claim(max int) (ids []string) {
	take := func(id string) {
		e := m.notes[id]
		if holder := m.busy[e.Thread]; e.Thread != "" && holder != "" && holder != id {
			e.place, e.at = "wait", e.Due
			return
		}
		if e.Thread != "" {
			m.busy[e.Thread] = id
		}
		e.place, e.at, e.Looks = "lease", m.now+leaseMS, 0
		e.Claims++
		ids = append(ids, id)
	}
	for _, place := range []string{"lease", "due"} {
		for _, id := range m.sorted(place) {
			if m.notes[id].at <= m.now && len(ids) < max {
				take(id)
			}
		}
	}
	return ids
}

func (m *model) settle(s jobs.Settlement) {
	e := m.notes[s.ID]
	again := e.again
	e.place, e.at, e.Token = "due", s.Due, 0
	switch s.Verdict {
	case jobs.Retry:
		e.Fails++
	case jobs.Release:
		e.Claims--
		e.Looks = s.Looks
	case jobs.Sent, jobs.GiveUp:
		if again != 0 {
			m.move(s.ID, again)
		} else if s.Verdict == jobs.Sent {
			m.drop(s.ID)
		} else {
			e.place, e.at, e.Why = "failed", m.now, s.Note
			m.free(e.Thread, s.ID)
			if len(s.Put) > 0 && s.Put[0].ID == s.ID { // the next of its id follows
				delete(m.notes, s.ID)
				e.ID = fmt.Sprintf("%s~%d", s.ID, s.Token)
				m.notes[e.ID] = e
			}
		}
	}
	for _, n := range s.Put {
		m.put(n, false)
	}
}

// machine drives the store and the model together.
type machine struct {
	t     *testing.T
	s     *Store
	m     *model
	n     int
	held  map[string]jobs.Notice // what the last claims returned
	again []jobs.Change          // accepted ones, to repeat
	told  []jobs.Answer
}

func (x *machine) op() string { x.n++; return fmt.Sprint("op", x.n) }

func (x *machine) draw(rt *rapid.T) jobs.Notice {
	i := rapid.IntRange(0, 7).Draw(rt, "notice")
	n := jobs.Notice{ID: fmt.Sprint("n", i), Kind: "x", Due: x.m.now + jobs.Millis(rapid.IntRange(-2000, 4000).Draw(rt, "in"))}
	if i < 5 {
		n.Thread = fmt.Sprint("t", i%2)
	}
	if i%3 == 0 {
		n.Door = "d"
	}
	return n
}

// Commit makes a change of several kinds at once, or of one.
func (x *machine) Commit(rt *rapid.T) {
	c := jobs.Change{Op: x.op(), At: x.m.now}
	want := jobs.Answer{}
	if rapid.Bool().Draw(rt, "door") {
		v := x.m.doors["d"] + int64(rapid.IntRange(-1, 0).Draw(rt, "stale"))
		c.Door = &jobs.DoorChange{Key: "d", Version: max(v, 0), State: []byte(c.Op), Entry: []byte(c.Op), Index: sets(rt)}
		want.Version = max(v, 0) + 1
	}
	if id := fmt.Sprint("n", rapid.IntRange(0, 15).Draw(rt, "cancel")); id < "n8" {
		c.Cancel = []string{id}
	}
	if rapid.Bool().Draw(rt, "move") {
		n := x.draw(rt)
		c.Move = []jobs.Move{{ID: n.ID, Due: n.Due}}
	}
	switch n := x.draw(rt); rapid.IntRange(0, 2).Draw(rt, "put") {
	case 0: // nothing: a cancel or a move may stand alone
	case 1:
		c.Keep = []jobs.Notice{n}
	case 2:
		c.Put = []jobs.Notice{n}
	}
	for _, id := range append(slices.Clone(c.Cancel), moved(c)...) {
		if x.m.notes[id] != nil {
			want.Found++
		}
	}
	got, err := x.s.Commit(x.t.Context(), c)
	if c.Door != nil && c.Door.Version != x.m.doors["d"] {
		if !errors.Is(err, jobs.ErrConflict) {
			rt.Fatalf("version %d of %d: %v", c.Door.Version, x.m.doors["d"], err)
		}
		return
	}
	if err != nil || got != want {
		rt.Fatalf("answer %+v, %v, want %+v", got, err, want)
	}
	if c.Door != nil {
		x.m.doors["d"]++
		x.m.sets = c.Door.Index
	}
	for _, id := range c.Cancel {
		x.m.drop(id)
	}
	for _, mv := range c.Move {
		x.m.move(mv.ID, mv.Due)
	}
	for _, n := range c.Put {
		x.m.put(n, false)
	}
	for _, n := range c.Keep {
		x.m.put(n, true)
	}
	x.again, x.told = append(x.again, c), append(x.told, got)
}

// sets draws the sets that a door is to stand in.
func sets(rt *rapid.T) (out []jobs.Index) {
	for _, name := range []string{"north", "south"} {
		if rapid.Bool().Draw(rt, name) {
			out = append(out, jobs.Index{Name: name, Score: float64(rapid.IntRange(0, 1).Draw(rt, "score"))})
		}
	}
	return out
}

// Index puts the door into other sets, or is too late for that.
func (x *machine) Index(rt *rapid.T) {
	v, in := x.m.doors["d"]-int64(rapid.IntRange(0, 1).Draw(rt, "stale")), sets(rt)
	err := x.s.Index(x.t.Context(), "d", v, in)
	if v != x.m.doors["d"] || v == 0 {
		if !errors.Is(err, jobs.ErrConflict) {
			rt.Fatalf("sets at version %d of %d: %v", v, x.m.doors["d"], err)
		}
		return
	}
	if err != nil {
		rt.Fatal(err)
	}
	x.m.sets = in
}

func moved(c jobs.Change) (ids []string) {
	for _, m := range c.Move {
		ids = append(ids, m.ID)
	}
	return ids
}

// Repeat sends an old change again: nothing changes, the answer is the first.
func (x *machine) Repeat(rt *rapid.T) {
	if len(x.again) == 0 {
		rt.Skip("nothing to repeat")
	}
	i := rapid.IntRange(0, len(x.again)-1).Draw(rt, "which")
	if got, err := x.s.Commit(x.t.Context(), x.again[i]); err != nil || got != x.told[i] {
		rt.Fatalf("repeated: %+v, %v, first %+v", got, err, x.told[i])
	}
}

// Claim takes what is due, twice by the same claim.
func (x *machine) Claim(rt *rapid.T) {
	c := jobs.Claim{Runner: "r", ID: x.op(), Now: x.m.now, Max: rapid.IntRange(1, 4).Draw(rt, "max"), Lease: leaseMS * time.Millisecond}
	want := x.m.claim(c.Max)
	b, err := x.s.Claim(x.t.Context(), c)
	if err != nil || !slices.Equal(idList(b.Notices), want) {
		rt.Fatalf("claimed %v, %v, want %v", idList(b.Notices), err, want)
	}
	again, err := x.s.Claim(x.t.Context(), c)
	got := idList(again.Notices)
	slices.Sort(got)
	slices.Sort(want)
	if err != nil || !slices.Equal(got, want) {
		rt.Fatalf("claimed again %v, %v, want %v", got, err, want)
	}
	for _, n := range b.Notices {
		x.held[n.ID] = n
		x.m.notes[n.ID].Token = n.Token
	}
}

func idList(ns []jobs.Notice) (ids []string) {
	for _, n := range ns {
		ids = append(ids, n.ID)
	}
	return ids
}

// Settle ends one claim, whose token may have been lost meanwhile.
func (x *machine) Settle(rt *rapid.T) {
	if len(x.held) == 0 {
		rt.Skip("nothing is claimed")
	}
	var ids []string
	for id := range x.held {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	n := x.held[rapid.SampledFrom(ids).Draw(rt, "which")]
	s := jobs.Settlement{
		Held: held(n), Verdict: jobs.Verdict(rapid.IntRange(0, 4).Draw(rt, "verdict")), Due: x.m.now + 1000,
		Looks: rapid.IntRange(0, 2).Draw(rt, "looks"), Note: "note",
	}
	if rapid.Bool().Draw(rt, "put") {
		s.Put = []jobs.Notice{{ID: "next", Kind: "x", Due: x.m.now + 3000}}
	}
	e := x.m.notes[n.ID]
	want := e != nil && e.place == "lease" && e.Token == n.Token
	op := x.op()
	for range 2 {
		ok, err := x.s.Settle(x.t.Context(), "r", op, x.m.now, []jobs.Settlement{s})
		if err != nil || ok[0] != want {
			rt.Fatalf("settled %v, %v, want %v", ok, err, want)
		}
	}
	if want {
		x.m.settle(s)
	}
	delete(x.held, n.ID)
}

// Later moves the clock.
func (x *machine) Later(rt *rapid.T) {
	x.m.now += jobs.Millis(rapid.IntRange(1, 3000).Draw(rt, "ms"))
}

// Check compares the whole store with the model.
func (x *machine) Check(rt *rapid.T) {
	ctx := x.t.Context()
	places := map[string][]string{"due": {x.s.key.due()}, "lease": {x.s.key.lease()}, "failed": {x.s.key.failed()}, "wait": {x.s.key.wait("t0"), x.s.key.wait("t1")}}
	total := 0
	for place, keys := range places {
		for _, key := range keys {
			zs, err := x.s.rdb.ZRangeWithScores(ctx, key, 0, -1).Result()
			if err != nil {
				rt.Fatal(err)
			}
			for _, z := range zs {
				total++
				id := z.Member.(string)
				e := x.m.notes[id]
				if e == nil || e.place != place || e.at != jobs.Millis(z.Score) {
					rt.Fatalf("%s is in %s at %.0f, model %+v", id, key, z.Score, e)
				}
				n, err := x.s.Notice(ctx, id)
				if want := e.Notice; err != nil || fmt.Sprint(n) != fmt.Sprint(want) {
					rt.Fatalf("notice %+v, %v, want %+v", n, err, want)
				}
			}
		}
	}
	if total != len(x.m.notes) {
		rt.Fatalf("%d notices in places, want %d", total, len(x.m.notes))
	}
	var want []string
	for id, e := range x.m.notes {
		if e.Door == "d" {
			want = append(want, id)
		}
	}
	list, err := x.s.Notices(ctx, "d", 0, 99)
	got := idList(list)
	slices.Sort(got)
	slices.Sort(want)
	if err != nil || !slices.Equal(got, want) {
		rt.Fatalf("the door's list %v, %v, want %v", got, err, want)
	}
	for _, name := range []string{"north", "south"} {
		in, err := x.s.rdb.ZRangeWithScores(ctx, x.s.key.index(name), 0, -1).Result()
		var want []redis.Z
		for _, set := range x.m.sets {
			if set.Name == name {
				want = append(want, redis.Z{Score: set.Score, Member: "d"})
			}
		}
		if err != nil || fmt.Sprint(in) != fmt.Sprint(want) {
			rt.Fatalf("set %s has %v, %v, want %v", name, in, err, want)
		}
	}
	if busy, err := x.s.rdb.HGetAll(ctx, x.s.key.busy()).Result(); err != nil || fmt.Sprint(busy) != fmt.Sprint(x.m.busy) {
		rt.Fatalf("threads held %v, %v, want %v", busy, err, x.m.busy)
	}
}

// drive runs random histories; fresh makes an empty store for each.
func drive(t *testing.T, fresh func() *Store) {
	rapid.Check(t, func(rt *rapid.T) {
		s := fresh()
		defer s.Close()
		x := &machine{t: t, s: s, held: map[string]jobs.Notice{}, m: &model{now: day0, notes: map[string]*entry{}, busy: map[string]string{}, doors: map[string]int64{}}}
		rt.Repeat(map[string]func(*rapid.T){
			"commit": x.Commit, "index": x.Index, "repeat": x.Repeat, "claim": x.Claim, "settle": x.Settle, "later": x.Later, "": x.Check,
		})
	})
}

func TestModel_Embedded(t *testing.T) {
	drive(t, func() *Store {
		s, err := Embedded(t.Context(), "T1")
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}

func TestModel_RedisServer(t *testing.T) {
	srv, n := start(t, "--appendfsync", "no"), 0
	drive(t, func() *Store {
		n++
		s, err := Open(t.Context(), srv.url(), Options{Workspace: fmt.Sprint("M", n)})
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}
