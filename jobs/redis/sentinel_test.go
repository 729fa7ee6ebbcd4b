package redis

import (
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// watch runs a sentinel that watches a master by the name of main.
func watch(t testing.TB, master string, args ...string) *server {
	t.Helper()
	dir, port := t.TempDir(), freePort(t)
	host, masterPort, _ := net.SplitHostPort(master)
	conf := fmt.Sprintf("sentinel monitor main %s %s 1\nsentinel down-after-milliseconds main 500\nsentinel failover-timeout main 5000\n", host, masterPort)
	file := filepath.Join(dir, "sentinel.conf") // the program writes into it
	if err := os.WriteFile(file, []byte(conf), 0o600); err != nil {
		t.Fatal(err)
	}
	s := &server{addr: "127.0.0.1:" + port, dir: dir, t: t}
	s.args = append([]string{file, "--sentinel", "--port", port, "--dir", dir, "--bind", "127.0.0.1"}, args...)
	s.run()
	t.Cleanup(func() { s.kill() })
	return s
}

// until repeats what may take a while elsewhere.
func until(t testing.TB, what string, done func() (bool, error)) {
	t.Helper()
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for deadline := time.Now().Add(30 * time.Second); ; <-tick.C {
		ok, err := done()
		if ok {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("%s: not yet, %v", what, err)
		}
	}
}

// A workspace behind a sentinel goes on at the replica when its master dies,
// and knows that the last writes may be lost.
func TestOpen_Sentinel(t *testing.T) {
	ctx := t.Context()
	master, replica := withReplica(t)
	r := replica.client()
	defer r.Close()
	sentinel := watch(t, master.addr)
	w := redis.NewSentinelClient(&redis.Options{Addr: sentinel.addr})
	defer w.Close()
	until(t, "sentinel knows the replica", func() (bool, error) {
		list, err := w.Replicas(ctx, "main").Result()
		return len(list) == 1 && list[0]["flags"] == "slave" && list[0]["master-link-status"] == "ok", err
	})

	url := strings.Replace(strings.Replace(master.url(), "redis://", "redis+sentinel://", 1), master.addr, sentinel.addr+"/main", 1)
	s, err := Open(ctx, url, Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	change := func(version int64) jobs.Change {
		return jobs.Change{Op: fmt.Sprint("op", version), At: day0, Door: &jobs.DoorChange{Key: "d", Version: version, State: []byte("s"), Entry: []byte("e")}}
	}
	commit(t, s, change(0))
	m := master.client()
	defer m.Close()
	if n, err := m.Wait(ctx, 1, 20*time.Second).Result(); n != 1 || err != nil {
		t.Fatalf("%d replicas have it, %v", n, err)
	}
	if b, err := s.Claim(ctx, jobs.Claim{Runner: "r", ID: "c1", Now: day0, Max: 1, Lease: time.Second}); err != nil || b.Lost != (jobs.Period{}) {
		t.Fatalf("before: %+v, %v, want no other server met", b, err)
	}

	master.kill()
	until(t, "the replica takes over", func() (bool, error) {
		ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
		defer cancel()
		a, err := s.Commit(ctx, change(1))
		return a.Version == 2, err
	})
	if a := commit(t, s, change(0)); a.Version != 1 {
		t.Errorf("the first change repeated: got %+v, want its first answer", a)
	}
	if b, err := s.Claim(ctx, jobs.Claim{Runner: "r", ID: "c2", Now: day0, Max: 1, Lease: time.Second}); err != nil || b.Lost == (jobs.Period{}) {
		t.Errorf("after: %+v, %v, want it known that another server answers", b, err)
	}
	if role := r.Info(ctx, "replication").Val(); field(role, "role") != "master" {
		t.Errorf("the replica is %s", field(role, "role"))
	}
}

// With rediss+sentinel both the sentinel and the master are spoken to in
// secret.
func TestOpen_SentinelTLS(t *testing.T) {
	need(t, "redis-server")
	ca := trust(t)
	master := start(t, append(ca.issue(t, "127.0.0.1", freePort(t)), "--tls-replication", "yes")...)
	sentinel := watch(t, "127.0.0.1:"+master.arg("--tls-port"), append(ca.issue(t, "127.0.0.1", freePort(t)), "--tls-replication", "yes")...)
	url := strings.Replace(strings.Replace(master.url(), "redis://", "rediss+sentinel://", 1), master.addr, "127.0.0.1:"+sentinel.arg("--tls-port")+"/main", 1)
	s, err := Open(t.Context(), url, Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	everyScript(t, s)
}
