package redis

import (
	"context"
	"errors"
	"fmt"
	"net"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// withReplica starts a server and another one that follows it.
func withReplica(t testing.TB) (master, replica *server) {
	t.Helper()
	master = start(t, "--repl-diskless-sync-delay", "0")
	_, port, _ := net.SplitHostPort(master.addr)
	replica = start(t, "--replicaof", "127.0.0.1", port)
	r := replica.client()
	defer r.Close()
	follows(t, r)
	return master, replica
}

// follows waits until a replica has what its master has.
func follows(t testing.TB, r *redis.Client) {
	t.Helper()
	until(t, "the replica follows", func() (bool, error) {
		info, err := r.Info(t.Context(), "replication").Result()
		return field(info, "master_link_status") == "up", err
	})
}

// What is acknowledged is on the replica, whichever way it was written and
// also where the server has forgotten the scripts. While the replica does not
// hear, nothing is acknowledged, the same change said again neither; once it
// hears again the first answer is given, for the change was made.
func TestStore_Copies(t *testing.T) {
	ctx := t.Context()
	master, replica := withReplica(t)
	s, err := Open(ctx, master.url(), Options{Workspace: "T1", Copies: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if v, err := s.Server(ctx); v.Replicas != 1 || v.Copies != 1 || err != nil {
		t.Errorf("server: %+v, %v, want one replica that is waited for", v, err)
	}
	r, m := replica.client(), master.client()
	defer r.Close()
	defer m.Close()
	n := 0
	writes := map[string]func(id string) error{
		"door": func(id string) error {
			_, err := s.Commit(ctx, jobs.Change{Op: id, At: day0, Door: &jobs.DoorChange{Key: id, State: []byte("s"), Entry: []byte("e")}})
			return err
		},
		"notice": func(id string) error {
			_, err := s.Commit(ctx, jobs.Change{Op: id, At: day0, Put: []jobs.Notice{{ID: id, Kind: "x", Due: day0}}})
			return err
		},
		"receipt": func(id string) error {
			_, err := s.Receive(ctx, id, jobs.Notice{ID: id, Kind: "in", Due: day0}, day0)
			return err
		},
		"name":     func(id string) error { return s.Bind(ctx, map[string]string{id: id, "gone": ""}) },
		"file":     func(id string) error { return s.Keep(ctx, id, []byte("f")) },
		"replaced": func(id string) error { return s.Replace(ctx, "site:"+id, id, []byte("f")) },
	}
	there := map[string]func(id string) bool{
		"door":     func(id string) bool { return r.Exists(ctx, s.key.door(id), s.key.log(id)).Val() == 2 },
		"notice":   func(id string) bool { return r.Exists(ctx, s.key.notice(id)).Val() == 1 },
		"receipt":  func(id string) bool { return r.Exists(ctx, s.key.notice(id)).Val() == 1 },
		"name":     func(id string) bool { return r.HGet(ctx, s.key.refs(), id).Val() == id },
		"file":     func(id string) bool { return r.Exists(ctx, s.key.file(id)).Val() == 1 },
		"replaced": func(id string) bool { return r.Exists(ctx, s.key.file(id)).Val() == 1 },
	}
	for kind, write := range writes {
		for range 60 {
			n++
			if n%50 == 0 {
				m.ScriptFlush(ctx)
			}
			if id := fmt.Sprint(kind, n); write(id) != nil || !there[kind](id) {
				t.Fatalf("%s %d: acknowledged, and the replica does not have it", kind, n)
			}
		}
	}

	replica.cmd.Process.Signal(syscall.SIGSTOP)
	var all sync.WaitGroup
	for kind, write := range writes {
		all.Go(func() {
			for range 2 {
				if err := write("late-" + kind); !errors.Is(err, ErrCopies) {
					t.Errorf("%s, and the replica does not hear: got %v, want %v", kind, err, ErrCopies)
				}
			}
		})
	}
	all.Wait()
	replica.cmd.Process.Signal(syscall.SIGCONT)
	for kind, write := range writes {
		until(t, "the replica hears", func() (bool, error) { err := write("late-" + kind); return err == nil, err })
		if !there[kind]("late-" + kind) {
			t.Errorf("%s: acknowledged, and the replica does not have it", kind)
		}
	}
	if a, err := s.Commit(ctx, jobs.Change{Op: "late-door", At: day0, Door: &jobs.DoorChange{Key: "late-door", State: []byte("s"), Entry: []byte("e")}}); a.Version != 1 || err != nil {
		t.Errorf("the change said again: got %+v, %v, want its first answer", a, err)
	}
}

// A server without replicas is refused at once, with a word, where one is
// wanted.
func TestOpen_NoCopies(t *testing.T) {
	srv := start(t)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	if s, err := Open(ctx, srv.url(), Options{Workspace: "T1", Copies: 1}); !errors.Is(err, ErrCopies) || !strings.Contains(err.Error(), "0 of 1") {
		t.Errorf("got %v, %v, want %v", s, err, ErrCopies)
	}
}

// In a cluster the replica is that of the workspace's own master.
func TestStore_CopiesCluster(t *testing.T) {
	ctx := t.Context()
	nodes := startCluster(t, 3)
	url := strings.Replace(nodes[0].url(), "redis://", "redis+cluster://", 1)
	s, err := Open(ctx, url, Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	node, err := s.server(ctx)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	master := nodes[slices.IndexFunc(nodes, func(n *server) bool { return n.addr == node.(*redis.Client).Options().Addr })].client()
	defer master.Close()
	id := master.ClusterMyID(ctx).Val()

	replica := startNode(t)
	r := replica.client()
	defer r.Close()
	host, port, _ := net.SplitHostPort(nodes[0].addr)
	if err := r.Do(ctx, "cluster", "meet", host, port, nodes[0].arg("--cluster-port")).Err(); err != nil {
		t.Fatal(err)
	}
	until(t, "the replica knows its master", func() (bool, error) { err := r.ClusterReplicate(ctx, id).Err(); return err == nil, err })
	follows(t, r)
	s, err = Open(ctx, url, Options{Workspace: "T1", Copies: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	everyScript(t, s)
	replica.cmd.Process.Signal(syscall.SIGSTOP)
	defer replica.cmd.Process.Signal(syscall.SIGCONT)
	if _, err := s.Commit(ctx, jobs.Change{Op: "late", At: day0, Put: []jobs.Notice{{ID: "late", Kind: "x", Due: day0}}}); !errors.Is(err, ErrCopies) {
		t.Errorf("got %v, want %v", err, ErrCopies)
	}
}
