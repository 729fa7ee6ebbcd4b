//go:build faults

package redis

import (
	"bufio"
	"cmp"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/anishathalye/porcupine"
)

var operations = flag.Int("operations", 10_000, "how long the history of TestFaults_History is")

// TestFaults_History lets several processes work on the same doors and notices
// of a real server, kills them in the middle of it, and the server too, and
// holds what they were answered against what one after the other could have
// been answered: porcupine, a general checker of linearizability, looks for
// such an order.
func TestFaults_History(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	h := &history{t: t, srv: srv, lines: map[string]deedLine{}}
	crew := []*exec.Cmd{h.begin(0), h.begin(1), h.begin(2), h.begin(3)}
	kills := 0
	for next := 1; h.returned() < *operations; {
		<-time.After(10 * time.Millisecond)
		if h.returned() < next*min(*operations/20, 500) {
			continue
		}
		next++
		if kills++; kills%6 == 5 {
			srv.kill()
			srv.run()
			continue
		}
		i := rand.IntN(len(crew))
		h.kill(crew[i])
		crew[i] = h.begin(kills + 4)
	}
	for _, c := range crew {
		h.kill(c)
	}
	<-time.After(200 * time.Millisecond) // what was on its way arrives
	parts := h.parts(s)
	began, ops := time.Now(), 0
	for _, on := range slices.Sorted(maps.Keys(parts)) {
		model := noticeModel
		if strings.HasPrefix(on, "h/") {
			model = doorModel
		}
		ops += len(parts[on])
		if r := porcupine.CheckOperationsTimeout(model, parts[on], time.Minute); r != porcupine.Ok {
			t.Errorf("%s: %s:\n%s", on, r, asText(parts[on]))
		}
	}
	t.Logf("%d operations on %d doors and notices, %d kills, %d calls without an answer, checked in %v", ops, len(parts), kills, h.open, time.Since(began).Round(time.Millisecond))
	if !slices.ContainsFunc(slices.Collect(maps.Values(h.lines)), func(d deedLine) bool { return d.Conflict }) {
		t.Error("nobody was ever too late at a door")
	}
	inOnePlace(t, srv, s)
}

// history is what the processes wrote down.
type history struct {
	t     *testing.T
	srv   *server
	mu    sync.Mutex
	lines map[string]deedLine // by client and number, answered or not
	count int
	open  int
	read  sync.WaitGroup
}

func (h *history) returned() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.count
}

// begin starts a process.
func (h *history) begin(n int) *exec.Cmd {
	name := fmt.Sprint("h", n)
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), "WORKER_NAME="+name, "WORKER_REDIS="+h.srv.url(), "WORKER_HISTORY=1", "WORKER_SKEW=0s")
	out, err := c.StdoutPipe()
	if err != nil {
		h.t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { c.Process.Kill() })
	h.read.Go(func() {
		for in := bufio.NewScanner(out); in.Scan(); {
			var d deedLine
			if json.Unmarshal(in.Bytes(), &d) != nil {
				continue // the process died over it
			}
			h.mu.Lock()
			h.lines[fmt.Sprint(d.Client, " ", d.N)] = d
			if d.Ret != 0 {
				h.count++
			}
			h.mu.Unlock()
		}
	})
	return c
}

// kill kills a process.
func (h *history) kill(c *exec.Cmd) {
	c.Process.Signal(syscall.SIGKILL)
	c.Wait()
}

// parts returns the history of each door and notice. Whether a call without an
// answer was carried out, the store tells.
func (h *history) parts(s *Store) map[string][]porcupine.Operation {
	h.read.Wait()
	parts, maybe := map[string][]porcupine.Operation{}, []deedLine{}
	add := func(on string, d deedLine) {
		parts[on] = append(parts[on], porcupine.Operation{Input: d, Output: d, Call: d.Call, Return: cmp.Or(d.Ret, math.MaxInt64)})
	}
	claimed := map[string]bool{}
	for _, d := range h.lines {
		for id := range d.Got {
			claimed[id] = true
		}
	}
	for _, d := range h.lines {
		if d.Ret == 0 {
			h.open++
			var done bool
			if d, done = h.carriedOut(s, d, claimed); !done {
				continue
			}
			if d.What == "claim" {
				maybe = append(maybe, d)
				continue
			}
		}
		if d.What != "claim" {
			add(d.On, d)
		}
		if d.What == "claim" && d.Again { // what it had for a while, and lost before it was answered, is not in its answer
			d.Token = -int64(len(maybe) + 1)
			for _, token := range d.Got {
				d.Token = token
			}
			maybe = append(maybe, d)
		}
		for id, token := range d.Got {
			d.Token = token
			add(id, d)
		}
	}
	for _, d := range maybe { // it may have claimed any notice that there was
		d.What = "may claim"
		for on, part := range parts {
			if d.Got[on] == 0 && !strings.HasPrefix(on, "h/") && slices.ContainsFunc(part, func(o porcupine.Operation) bool {
				return o.Input.(deedLine).What == "put" && o.Call < d.Call+int64(time.Second)
			}) &&
				!slices.ContainsFunc(part, func(o porcupine.Operation) bool { return o.Input.(deedLine).Held && o.Return < d.Call }) {
				add(on, d)
			}
		}
	}
	return parts
}

// carriedOut reports whether a call that was never answered was carried out.
func (h *history) carriedOut(s *Store, d deedLine, claimed map[string]bool) (deedLine, bool) {
	ctx := context.Background()
	switch d.What {
	case "change":
		entries, err := s.Log(ctx, d.On, d.Version, 1)
		return d, err == nil && len(entries) == 1 && entries[0].Op == d.Op
	case "put":
		_, err := s.Notice(ctx, d.On)
		return d, err == nil || claimed[d.On]
	case "claim":
		last, _ := s.rdb.HGet(ctx, s.key.claims(), d.Client).Result()
		fields := strings.Fields(last)
		if len(fields) != 3 || fields[0] != d.Op {
			return d, false
		}
		fmt.Sscan(fields[1], &d.Token)
		return d, true
	case "settle":
		last, _ := s.rdb.HGet(ctx, s.key.settled(), d.Client).Result()
		op, answer, _ := strings.Cut(last, " ")
		d.Held = answer == "1"
		return d, op == d.Op
	}
	return d, false
}

// asText writes a part of a history down.
func asText(part []porcupine.Operation) string {
	slices.SortFunc(part, func(a, b porcupine.Operation) int { return cmp.Compare(a.Call, b.Call) })
	var b strings.Builder
	for _, o := range part {
		fmt.Fprintf(&b, "  %+v\n", o.Input)
	}
	return b.String()
}
