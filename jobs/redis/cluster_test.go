package redis

import (
	"context"
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// startNode runs a server of a cluster, with a bus port of its own.
func startNode(t *testing.T) *server {
	t.Helper()
	return start(t, "--cluster-enabled", "yes", "--cluster-port", freePort(t), "--cluster-node-timeout", "2000")
}

// startCluster runs masters that share the slots.
func startCluster(t *testing.T, masters int) []*server {
	t.Helper()
	var nodes []*server
	for i := range masters {
		n := startNode(t)
		c := n.client()
		defer c.Close()
		from, to := i*16384/masters, (i+1)*16384/masters-1
		if err := c.ClusterAddSlotsRange(t.Context(), from, to).Err(); err != nil {
			t.Fatal(err)
		}
		if i > 0 {
			host, port, _ := net.SplitHostPort(nodes[0].addr)
			bus := nodes[0].arg("--cluster-port")
			if err := c.Do(t.Context(), "cluster", "meet", host, port, bus).Err(); err != nil {
				t.Fatal(err)
			}
		}
		nodes = append(nodes, n)
	}
	for _, n := range nodes {
		c := n.client()
		defer c.Close()
		for until := time.Now().Add(30 * time.Second); ; {
			info, err := c.ClusterInfo(t.Context()).Result()
			if err == nil && strings.Contains(info, "cluster_state:ok") && strings.Contains(info, fmt.Sprintf("cluster_size:%d", masters)) {
				break
			}
			if time.Now().After(until) {
				t.Fatalf("cluster is not formed: %s, %v", info, err)
			}
		}
	}
	return nodes
}

// arg returns the value of an argument the server was started with.
func (s *server) arg(name string) string {
	for i, a := range s.args {
		if a == name {
			return s.args[i+1]
		}
	}
	return ""
}

// everyScript runs each script once, on a workspace that has something in
// every place.
func everyScript(t *testing.T, s *Store) {
	t.Helper()
	ctx := t.Context()
	commit(t, s, jobs.Change{
		Op: "o1", Door: &jobs.DoorChange{Key: "d", State: []byte("1"), Entry: []byte("e"), Index: []jobs.Index{{Name: "board", Score: 1}}},
		Questions: map[string][]byte{"q": []byte("?")},
		Put: []jobs.Notice{
			{ID: "a", Kind: "x", Due: day0, Thread: "t", Door: "d"}, {ID: "b", Kind: "x", Due: day0, Thread: "t"}, {ID: "c", Kind: "x", Due: day0},
			{ID: "m", Kind: "x", Due: day0 + 99}, {ID: "z", Kind: "x", Due: day0 + 99},
		},
	})
	commit(t, s, jobs.Change{Op: "o2", Cancel: []string{"z"}, Move: []jobs.Move{{ID: "m", Due: day0 + 9}}})
	_, err := s.Receive(ctx, "C/1", jobs.Notice{ID: "in", Kind: "in", Due: day0}, day0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Pace(ctx, day0, jobs.Pace{Name: "C", Every: time.Second, Burst: 1}); err != nil {
		t.Fatal(err)
	}
	n := claim(t, s, "c1", day0, 9)
	wantIDs(t, "claim", n, "a c in")
	settle(t, s, "s1", day0,
		jobs.Settlement{Held: held(n[0]), Verdict: jobs.Sent, Note: "ts"},
		jobs.Settlement{Held: held(n[1]), Verdict: jobs.GiveUp, Note: "why", Put: []jobs.Notice{{ID: "c", Kind: "x", Due: day0 + 50}}})
	if _, repaired, err := s.Sweep(ctx); repaired != 0 || err != nil {
		t.Errorf("sweep: repaired %d, %v", repaired, err)
	}
	if tally, err := s.Tally(ctx); err != nil || tally != (jobs.Tally{Due: 3, Leased: 1, Failed: 1, Oldest: day0}) {
		t.Errorf("tally: %+v, %v", tally, err)
	}
	if rs, total, err := s.Doors(ctx, "board", 0, 9); len(rs) != 1 || total != 1 || err != nil {
		t.Errorf("board: %v, %d, %v", rs, total, err)
	}
	if failed, err := s.Failed(ctx, 0, 9); len(failed) != 1 || err != nil {
		t.Errorf("failed: %v, %v", failed, err)
	}
	if err := s.Tidy(ctx, day0); err != nil {
		t.Error(err)
	}
	for _, hash := range []string{"h1", "h2"} {
		if err := s.Replace(ctx, "site", hash, []byte("file")); err != nil {
			t.Error(err)
		}
	}
	if _, _, err := s.Tell(ctx, "d", "say:1", []byte("gap")); err != nil {
		t.Error(err)
	}
	if err := s.Purge(ctx, "d"); err != nil {
		t.Error(err)
	}
}

// On one node that holds every slot, a script with a header is refused any
// key of another slot than its declared one.
func TestCluster_OneNode(t *testing.T) {
	n := startCluster(t, 1)[0]
	u, err := parseURL(strings.Replace(n.url(), "redis://", "redis+cluster://", 1))
	if err != nil {
		t.Fatal(err)
	}
	s, err := open(t.Context(), u, Options{Workspace: "T1"}, "#!lua\n")
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	everyScript(t, s)
	// The proof has teeth: a key under another tag is refused.
	bad := redis.NewScript("#!lua\nreturn redis.call('GET', 'hp1:{T2}:token')")
	if err := s.exec(t.Context(), bad).Err(); err == nil {
		t.Error("a key of another slot was not refused")
	}
}

func TestCluster_ThreeMasters(t *testing.T) {
	nodes := startCluster(t, 3)
	used := 0
	for i := range 12 {
		url := fmt.Sprintf("redis+cluster://heelpost:%s@%s,%s", strings.ReplaceAll(password, " ", "%20"), nodes[0].addr, nodes[1].addr)
		s, err := Open(context.Background(), url, Options{Workspace: fmt.Sprint("W", i)})
		if err != nil {
			t.Fatal(err)
		}
		everyScript(t, s)
		if v, err := s.Server(t.Context()); err != nil || !v.AOF || v.Evicts() {
			t.Errorf("server: %+v, %v", v, err)
		}
		s.Close()
	}
	for _, n := range nodes {
		c := n.client()
		if size, err := c.DBSize(t.Context()).Result(); err == nil && size > 0 {
			used++
		}
		c.Close()
	}
	if used < 2 {
		t.Errorf("twelve workspaces stand on %d of 3 masters", used)
	}
}

func TestParseURL(t *testing.T) {
	for _, c := range []struct{ url, addrs, master, user, pass, err string }{
		{url: "redis://h:1/2", addrs: "h:1"},
		{url: "rediss://u:p%40@h", addrs: "h:6379", user: "u", pass: "p@"},
		{url: "redis+sentinel://u:p@h1,h2:3/main/1", addrs: "h1:26379 h2:3", master: "main", user: "u", pass: "p"},
		{url: "redis+cluster://h1,h2", addrs: "h1:6379 h2:6379"},
		{url: "redis+sentinel://h1", err: "master's name"},
		{url: "redis+cluster://h1,,h2", err: "empty"},
		{url: "rediss://u:secret@h?skip_verify=true", err: "question mark"},
		{url: "redis+sentinel://u:secret@h/main?db=1", err: "question mark"},
		{url: "http://h", err: "none of"},
		{url: "redis+cluster://u:secret%zz@h", err: "invalid"},
		{url: "redis://u:secret%zz@h", err: "invalid"},
	} {
		o, err := parseURL(c.url)
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) || strings.Contains(err.Error(), "secret") {
				t.Errorf("%s: error %v, want one with %q and no password", c.url, err, c.err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.url, err)
			continue
		}
		if got := strings.Join(o.Addrs, " "); got != c.addrs || o.MasterName != c.master || o.Username != c.user || o.Password != c.pass || (o.TLSConfig != nil) != strings.HasPrefix(c.url, "rediss") {
			t.Errorf("%s: got %q %q %q %q", c.url, got, o.MasterName, o.Username, o.Password)
		}
	}
}

func TestServer_Problems(t *testing.T) {
	srv := start(t)
	s := srv.open(t, "T1")
	v, err := s.Server(t.Context())
	if err != nil || v.Version == "" || v.Fsync != "" || len(v.Problems()) != 0 || len(v.Notes()) != 1 || !strings.Contains(v.Notes()[0].String(), "does not let us see") {
		t.Errorf("our own user and configuration: %+v, %v, %q, %q", v, err, v.Problems(), v.Notes())
	}
	loose := start(t, "--appendonly", "no", "--maxmemory-policy", "allkeys-lru")
	s, err = Open(t.Context(), "redis://"+loose.addr, Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	v, err = s.Server(t.Context())
	if err != nil || v.Fsync != "always" || v.AOF || !v.Evicts() || len(v.Problems()) != 2 || len(v.Notes()) > 0 {
		t.Errorf("a server that loses data: %+v, %v, %q", v, err, v.Problems())
	}
}

// What a failover would lose is said, and which setting prevents it.
func TestServer_Notes(t *testing.T) {
	for _, c := range []struct {
		replicas, copies int
		want             string // "" for nothing
	}{
		{0, 0, ""},
		{1, 0, "1 replica follows it, and none is waited for: a failover may lose what was acknowledged, and 34 of 100 did in a test; with HEELPOST_REDIS_COPIES=1 it loses nothing"},
		{2, 0, "2 replicas follow it, and none is waited for: a failover may lose what was acknowledged, and 34 of 100 did in a test; with HEELPOST_REDIS_COPIES=2 it loses nothing"},
		{2, 1, "1 must have a change: a failover to another one may lose what was acknowledged, and 1 of 100 did in a test; with HEELPOST_REDIS_COPIES=2 it loses nothing"},
		{2, 2, "2 replicas follow it, and a change counts only when all have it: a failover loses nothing, and while one is away nothing can be changed"},
		{1, 1, "1 replica follows it, and a change counts only when all have it"},
	} {
		notes := ""
		for _, note := range (Server{Fsync: "always", AOF: true, Replicas: c.replicas, Copies: c.copies}).Notes() {
			notes += note.String() + "\n"
		}
		if !strings.Contains(notes, c.want) || (notes == "") != (c.want == "") {
			t.Errorf("%d replicas, %d copies: got %q, want %q", c.replicas, c.copies, notes, c.want)
		}
	}
}
