//go:build failover

package redis

import (
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// link is the way to a server for the other servers and the sentinels. Silent,
// it swallows what they say to each other, as a network that is cut does; ours
// goes on to reach the server beside it.
type link struct {
	addr   string
	silent atomic.Bool
	mu     sync.Mutex
	conns  []net.Conn
}

func newLink(t *testing.T, to string) *link {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	k := &link{addr: l.Addr().String()}
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			r, err := net.Dial("tcp", to)
			if err != nil {
				c.Close()
				continue
			}
			k.mu.Lock()
			k.conns = append(k.conns, c, r)
			k.mu.Unlock()
			go k.carry(c, r)
			go k.carry(r, c)
		}
	}()
	return k
}

func (k *link) carry(to, from net.Conn) {
	defer to.Close()
	defer from.Close()
	buf := make([]byte, 1<<16)
	for {
		n, err := from.Read(buf)
		if err != nil {
			return
		}
		if k.silent.Load() {
			continue
		}
		if _, err := to.Write(buf[:n]); err != nil {
			return
		}
	}
}

// heal lets the servers speak again, over new connections.
func (k *link) heal() {
	k.mu.Lock()
	defer k.mu.Unlock()
	for _, c := range k.conns {
		c.Close()
	}
	k.conns = nil
	k.silent.Store(false)
}

// trio is a master and two replicas that three sentinels watch.
type trio struct {
	t         *testing.T
	nodes     [3]*server
	links     [3]*link
	sentinels []*server
}

func newTrio(t *testing.T, args ...string) *trio {
	g := &trio{t: t}
	for i := range g.nodes {
		g.nodes[i] = start(t, append([]string{"--repl-diskless-sync-delay", "0", "--repl-timeout", "10", "--masteruser", "backup", "--masterauth", password}, args...)...)
		g.links[i] = newLink(t, g.nodes[i].addr)
		host, port, _ := net.SplitHostPort(g.links[i].addr)
		g.do(i, "config", "set", "replica-announce-ip", host, "replica-announce-port", port)
		g.nodes[i].args = append(g.nodes[i].args, "--replica-announce-ip", host, "--replica-announce-port", port)
	}
	g.follow(1, 0)
	g.follow(2, 0)
	for range 3 {
		g.sentinels = append(g.sentinels, g.watch())
	}
	g.healthy()
	for _, s := range g.sentinels {
		until(t, "the sentinels know each other", func() (bool, error) {
			m, err := g.ask(s, "sentinel", "master", "main").(map[any]any)
			return err && m["num-other-sentinels"] == "2" && m["num-slaves"] == "2", nil
		})
	}
	return g
}

// do gives a server an order, and returns what it says.
func (g *trio) do(i int, args ...any) any { return g.ask(g.nodes[i], args...) }

func (g *trio) ask(s *server, args ...any) any {
	c := s.client()
	defer c.Close()
	v, err := c.Do(g.t.Context(), args...).Result()
	if err != nil {
		return err
	}
	return v
}

// follow makes a server the replica of another.
func (g *trio) follow(i, master int) {
	host, port, _ := net.SplitHostPort(g.links[master].addr)
	g.do(i, "replicaof", host, port)
}

// watch starts a sentinel.
func (g *trio) watch() *server {
	dir, port := g.t.TempDir(), freePort(g.t)
	host, masterPort, _ := net.SplitHostPort(g.links[0].addr)
	conf := fmt.Sprintf("sentinel monitor main %s %s 2\nsentinel down-after-milliseconds main 1000\nsentinel failover-timeout main 2000\n"+
		"sentinel auth-user main sentinel\nsentinel auth-pass main %q\n", host, masterPort, password)
	file := filepath.Join(dir, "sentinel.conf")
	if err := os.WriteFile(file, []byte(conf), 0o600); err != nil {
		g.t.Fatal(err)
	}
	s := &server{addr: "127.0.0.1:" + port, dir: dir, t: g.t, args: []string{file, "--sentinel", "--port", port, "--dir", dir, "--bind", "127.0.0.1"}}
	s.run()
	g.t.Cleanup(func() { s.kill() })
	return s
}

// master returns the one that all sentinels take for the master, -1 if they
// are not of one mind.
func (g *trio) master() int {
	var at []int
	for _, s := range g.sentinels {
		addr, _ := g.ask(s, "sentinel", "get-master-addr-by-name", "main").([]any)
		at = append(at, slices.IndexFunc(g.links[:], func(k *link) bool { return len(addr) == 2 && k.addr == fmt.Sprintf("%s:%s", addr...) }))
	}
	if at[0] == at[1] && at[1] == at[2] {
		return at[0]
	}
	return -1
}

// healthy waits until both replicas have what the master has, and every
// sentinel knows. Whoever follows another one is told: sentinels do that too,
// some seconds later. On a busy machine they may find another master meanwhile.
func (g *trio) healthy() {
	g.t.Helper()
	until(g.t, "two replicas", func() (bool, error) {
		master := g.master()
		if master < 0 {
			return false, nil
		}
		_, port, _ := net.SplitHostPort(g.links[master].addr)
		for i := range g.nodes {
			info, _ := g.do(i, "info", "replication").(string)
			if i != master && field(info, "master_port") != port {
				g.follow(i, master)
			}
		}
		c := g.nodes[master].client()
		defer c.Close()
		c.Incr(g.t.Context(), "touch")
		n, err := c.Wait(g.t.Context(), 2, 100*time.Millisecond).Result()
		return n == 2 && g.known(), err
	})
}

// known reports whether every sentinel knows two replicas that follow.
func (g *trio) known() bool {
	return !slices.ContainsFunc(g.sentinels, func(s *server) bool {
		good := 0
		list, _ := g.ask(s, "sentinel", "replicas", "main").([]any)
		for _, r := range list {
			m, _ := r.(map[any]any)
			if m["flags"] == "slave" && m["master-link-status"] == "ok" {
				good++
			}
		}
		return good != 2
	})
}

// dial brings our own connections past the links.
func (g *trio) dial(ctx context.Context, network, addr string) (net.Conn, error) {
	for i, k := range g.links {
		if k.addr == addr {
			addr = g.nodes[i].addr
		}
	}
	var d net.Dialer
	return d.DialContext(ctx, network, addr)
}

func (g *trio) url() string {
	var hosts []string
	for _, s := range g.sentinels {
		hosts = append(hosts, s.addr)
	}
	return "redis+sentinel://heelpost:" + strings.ReplaceAll(password, " ", "%20") + "@" + strings.Join(hosts, ",") + "/main"
}

// takeover takes the master away, waits until another one is the master and,
// where two servers are enough, writes come through, and brings the old one
// back as a replica.
func (g *trio) takeover(fault string, writable bool, written func() int64) {
	g.t.Helper()
	old := -1
	until(g.t, "a master", func() (bool, error) { old = g.master(); return old >= 0, nil })
	node, link := g.nodes[old], g.links[old]
	switch fault {
	case "killed":
		node.kill()
	case "stopped":
		node.cmd.Process.Signal(syscall.SIGSTOP)
	case "cut off":
		link.silent.Store(true)
	}
	until(g.t, "another master", func() (bool, error) { now := g.master(); return now >= 0 && now != old, nil })
	if writable {
		before := written()
		until(g.t, "writes", func() (bool, error) { return written() > before+20, nil })
	}
	switch fault {
	case "killed":
		node.run()
	case "stopped":
		node.cmd.Process.Signal(syscall.SIGCONT)
	}
	link.heal()
	g.healthy()
}

// ledger is what was acknowledged, by kind and the round in which it was.
type ledger struct {
	mu    sync.Mutex
	round int
	acked map[string]int // by operation
	gaps  []time.Duration
	last  time.Time
	n     atomic.Int64
}

func (l *ledger) add(op string) {
	l.n.Add(1)
	l.mu.Lock()
	defer l.mu.Unlock()
	l.acked[op] = l.round
	if gap := time.Since(l.last); !l.last.IsZero() && gap > 300*time.Millisecond {
		l.gaps = append(l.gaps, gap)
	}
	l.last = time.Now()
}

// write goes on changing a door, putting notices and taking messages in, in
// turn, until it is told to stop.
func (l *ledger) write(s *Store, name string, stop <-chan struct{}) {
	tick := time.NewTicker(15 * time.Millisecond)
	defer tick.Stop()
	door := jobs.Record{Key: "d-" + name}
	for i := 0; ; i++ {
		select {
		case <-stop:
			return
		case <-tick.C:
		}
		op := fmt.Sprintf("%s-%d", name, i)
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		now := time.Now()
		far := jobs.Notice{ID: op, Kind: "x", Due: jobs.DueAt(now.Add(24 * time.Hour))}
		var err error
		switch i % 3 {
		case 0:
			var a jobs.Answer
			a, err = s.Commit(ctx, jobs.Change{Op: op, At: jobs.NowAt(now), Put: []jobs.Notice{far},
				Door: &jobs.DoorChange{Key: door.Key, Version: door.Version, State: []byte(op), Entry: []byte(op)}})
			if door.Version = a.Version; err != nil { // it may have happened, or what was there may be lost
				door.Version = 0
				if now, err := s.Door(ctx, door.Key); err == nil {
					door.Version = now.Version
				}
			}
		case 1:
			_, err = s.Commit(ctx, jobs.Change{Op: op, At: jobs.NowAt(now), Put: []jobs.Notice{far}})
		case 2:
			_, err = s.Receive(ctx, "seen-"+op, far, jobs.NowAt(now))
		}
		cancel()
		if err == nil {
			l.add(op)
		}
	}
}

// lost returns the rounds of what was acknowledged and is not there.
func (l *ledger) lost(t *testing.T, s *Store, c *redis.Client) (rounds []int) {
	t.Helper()
	ctx := t.Context()
	there := map[string]bool{}
	for _, kind := range []string{"n:", "log:"} {
		for it := c.Scan(ctx, 0, s.key.under(kind)+"*", 1000).Iterator(); it.Next(ctx); {
			id := strings.TrimPrefix(it.Val(), s.key.under(kind))
			if kind == "n:" {
				there[id] = true
				continue
			}
			entries, err := c.XRange(ctx, it.Val(), "-", "+").Result()
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range entries {
				there["log "+e.Values["op"].(string)] = true
			}
		}
	}
	for op, round := range l.acked {
		var i int
		fmt.Sscanf(op[strings.LastIndexByte(op, '-')+1:], "%d", &i)
		if !there[op] || i%3 == 0 && !there["log "+op] {
			rounds = append(rounds, round)
		}
	}
	return rounds
}

// TestFailover takes the master away a hundred times under load, by each
// fault in turn, and counts what was acknowledged and is lost. Short, it only
// holds the promise of the settings that make one.
func TestFailover(t *testing.T) {
	need(t, "redis-server")
	minimum := []string{"--min-replicas-to-write", "1", "--min-replicas-max-lag", "1"}
	for _, c := range []struct {
		name    string
		args    []string
		copies  int
		promise bool
	}{
		{"plain", nil, 0, false},
		{"min-replicas-to-write", minimum, 0, false},
		{"one copy", nil, 1, false},
		{"two copies", nil, 2, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			rounds := 100
			if testing.Short() {
				rounds = 6
				if !c.promise {
					t.Skip("measured in the long form only")
				}
			}
			g := newTrio(t, c.args...)
			s, err := Open(t.Context(), g.url(), Options{Workspace: "T1", Copies: c.copies, Dial: g.dial})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			l, stop := &ledger{acked: map[string]int{}}, make(chan struct{})
			var writers sync.WaitGroup
			for i := range 8 {
				writers.Go(func() { l.write(s, fmt.Sprint("w", i), stop) })
			}
			faults := []string{"killed", "stopped", "cut off"}
			for i := range rounds {
				before := l.n.Load()
				until(t, "load", func() (bool, error) { return l.n.Load() > before+100, nil })
				g.takeover(faults[i%3], c.copies < 2, l.n.Load)
				l.mu.Lock()
				l.round++
				l.mu.Unlock()
				if i%20 == 19 {
					t.Logf("%d failovers, %d acknowledged", i+1, l.n.Load())
				}
			}
			close(stop)
			writers.Wait()
			last := g.nodes[g.master()].client()
			defer last.Close()
			l.tell(t, l.lost(t, s, last), faults, rounds)
			if lost := l.lost(t, s, last); c.promise && len(lost) > 0 {
				t.Errorf("%d acknowledged writes lost", len(lost))
			}
		})
	}
}

// tell prints the figures.
func (l *ledger) tell(t *testing.T, lost []int, faults []string, rounds int) {
	by := map[string][2]int{} // writes and failovers
	seen := map[int]bool{}
	for _, round := range lost {
		f := faults[round%3]
		n := by[f]
		n[0]++
		if !seen[round] {
			seen[round], n[1] = true, n[1]+1
		}
		by[f] = n
	}
	var each []string
	for _, f := range faults {
		each = append(each, fmt.Sprintf("%s %d in %d", f, by[f][0], by[f][1]))
	}
	slices.Sort(l.gaps)
	var median, most time.Duration
	if n := len(l.gaps); n > 0 {
		median, most = l.gaps[n/2].Round(10*time.Millisecond), l.gaps[n-1].Round(10*time.Millisecond)
	}
	t.Logf("%d failovers, %d acknowledged, %d lost in %d failovers (%s); without a write %v, at most %v", rounds, len(l.acked), len(lost), len(seen), strings.Join(each, ", "), median, most)
}
