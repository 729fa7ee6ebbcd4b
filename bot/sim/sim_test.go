package sim

import (
	"bytes"
	"cmp"
	"context"
	"flag"
	"fmt"
	"maps"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
	_ "time/tzdata"

	lua "github.com/yuin/gopher-lua"
)

var (
	seeds = flag.Int("seeds", 3, "how many seeds to run")
	first = flag.Uint64("seed", 1, "the first of them")
	month = flag.Int("days", 8, "how many days each holds")
	quick = flag.Bool("quick", false, "end at the first seed that breaks a rule, and do not look for its shortest run")
	shown = flag.Bool("tell", false, "write down what happens")
)

// readingCounts is how long a reading counts for what comes after it.
const readingCounts = 4 * time.Hour

func TestMain(m *testing.M) {
	debug.SetGCPercent(1000)                       // much is made and little kept
	lua.CallStackSize, lua.RegistrySize = 64, 1024 // each script makes both anew; small scripts need no more
	os.Exit(m.Run())
}

// outcome is what a run comes to.
type outcome struct {
	log   []byte
	fault error
	count map[string]int
}

// play runs a plan in a bubble of its own.
func play(t *testing.T, p *plan, stop func() bool) (out outcome) {
	synctest.Test(t, func(t *testing.T) {
		ctx, end := context.WithCancel(t.Context())
		defer end()
		w, err := newWorld(ctx, p)
		if err != nil {
			t.Fatal(err)
		}
		for i := range p.actions {
			a := &p.actions[i]
			if w.run(p.begin.Add(a.at)); w.rules.fault != nil || stop != nil && stop() {
				break
			}
			w.act(a)
			w.rules.look()
		}
		if stop == nil || !stop() {
			w.run(p.begin.AddDate(0, 0, p.days))
		}
		out = outcome{w.log.Bytes(), w.rules.fault, w.rules.count}
		if w.slack != nil && w.slack.sockets != nil && w.slack.sockets.open {
			w.slack.shut() // while time still passes
		}
	})
	return out
}

// shrunk cuts a plan down to the fewest actions that still break the rules:
// ever smaller parts are left out, as long as it helps.
func shrunk(p *plan, breaks func(*plan) bool) *plan {
	for size := len(p.actions) / 2; size > 0; size /= 2 {
		for from := 0; from+size <= len(p.actions); {
			q := *p
			q.actions = slices.Delete(slices.Clone(p.actions), from, from+size)
			if breaks(&q) {
				p = &q
			} else {
				from += size
			}
		}
	}
	return p
}

// TestSeeds runs seeds, and prints of one that breaks a rule the shortest run
// that does.
func TestSeeds(t *testing.T) {
	var mu sync.Mutex
	var broke atomic.Bool
	total, began := map[string]int{}, time.Now()
	t.Run("all", func(t *testing.T) {
		for i := range *seeds {
			seed := *first + uint64(i)
			t.Run(fmt.Sprint(seed), func(t *testing.T) {
				t.Parallel()
				enough := func() bool { return *quick && broke.Load() }
				if enough() {
					return
				}
				p := newPlan(seed, *month)
				out := play(t, p, enough)
				mu.Lock()
				for name, n := range out.count {
					total[name] += n
				}
				mu.Unlock()
				if *shown {
					os.Stdout.Write(out.log)
				}
				if out.fault != nil {
					broke.Store(true)
					report(t, p, out.fault)
				}
			})
		}
	})
	t.Logf("%d seeds of %d days, %d door-days, in %v", *seeds, *month, *seeds**month*doorsPerSite, time.Since(began).Round(time.Millisecond))
	for _, name := range slices.Sorted(maps.Keys(total)) {
		t.Logf("%8d %s", total[name], name)
	}
	if *seeds**month < 100*30 {
		return // too few for what is rare
	}
	for _, name := range append(slices.Clone(rulesList), kinds...) {
		if total[name] == 0 {
			t.Errorf("the rule %q was never exercised", name)
		}
	}
}

// report says what broke, and how little it takes.
func report(t *testing.T, p *plan, fault error) {
	t.Helper()
	q, tries := p, 0
	if !*quick {
		q = shrunk(p, func(q *plan) bool { tries++; return tries < 400 && play(t, q, nil).fault != nil })
		fault = cmp.Or(play(t, q, nil).fault, fault)
	}
	var lines strings.Builder
	for i := range q.actions {
		fmt.Fprintf(&lines, "  %s\n", &q.actions[i])
	}
	t.Errorf("seed %d: %v\nthe shortest run that breaks it has %d of %d actions, from %s:\n%s%s", p.seed, fault, len(q.actions), len(p.actions), p.begin.Format(time.DateOnly), lines.String(), play(t, q, nil).log)
}

// TestSockets runs some days over Socket Mode.
func TestSockets(t *testing.T) {
	out := play(t, newPlan(6, min(*month, 5)), nil)
	if out.fault != nil || out.count["over sockets"] == 0 {
		t.Errorf("%v; %d over sockets:\n%s", out.fault, out.count["over sockets"], out.log)
	}
}

// TestSame runs seeds several times, the second with Slack at the far side, the
// third over sockets: each gives the same bytes.
func TestSame(t *testing.T) {
	if racing {
		t.Skip("what goes on side by side there has no order") // which is what it is for
	}
	for _, seed := range []uint64{*first, *first + 1, 22} {
		p := newPlan(seed, min(*month, 8))
		one := play(t, p, nil)
		for range 3 {
			if two := play(t, p, nil); !bytes.Equal(one.log, two.log) {
				a, b := strings.Split(string(one.log), "\n"), strings.Split(string(two.log), "\n")
				i := 0
				for i < len(a) && i < len(b) && a[i] == b[i] {
					i++
				}
				t.Fatalf("seed %d, line %d:\n%s\n%s", seed, i, a[min(i, len(a)-1)], b[min(i, len(b)-1)])
			}
		}
		if len(one.log) < 500 {
			t.Errorf("seed %d: nothing happened: %s", seed, one.log)
		}
	}
}
