package redis

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"heelpost/jobs"
)

// later changes a door by what is done next at it, with a notice that comes due
// in an hour, and returns the door as it is then.
func (c *crew) later(t *testing.T, s *Store, rec jobs.Record, op string) (jobs.Record, error) {
	now := time.Now()
	door, err := c.change(rec, now, op)
	if err != nil {
		return rec, err
	}
	_, err = s.Commit(t.Context(), jobs.Change{Op: op, At: jobs.NowAt(now), Door: door,
		Put: []jobs.Notice{{ID: "n/" + op, Kind: "x", Door: rec.Key, Due: jobs.DueAt(now.Add(time.Hour))}}})
	rec.Version, rec.State = rec.Version+1, door.State
	return rec, err
}

// backlog changes a door until stop is closed, but at least n times. What is
// answered is told.
func (c *crew) backlog(t *testing.T, s *Store, door string, n int, stop <-chan struct{}, answered func(version int64)) (err error) {
	rec := jobs.Record{Key: door}
	for v := int64(0); ; v++ {
		select {
		case <-stop:
			if v >= int64(n) {
				return nil
			}
		default:
		}
		if rec, err = c.later(t, s, rec, fmt.Sprintf("%s/%d", door, v+1)); err != nil {
			return err
		}
		answered(v + 1)
	}
}

// A backup that is taken while doors change, restored on another server as
// deploy/README.md says, has every change that was answered before it began,
// whole: door, log and notice. Redis keeps writing to what was restored.
func TestRestore(t *testing.T) {
	need(t, "redis-cli")
	const doors, before = 4, 25
	c, ctx, first := mustCrew(t), t.Context(), start(t, "--repl-diskless-sync-delay", "0")
	s := first.open(t, "T1")
	stop, warm := make(chan struct{}), make(chan string, doors)
	ended := make(chan error, doors)
	for i := range doors {
		door := fmt.Sprint("north/d", i)
		go func() {
			ended <- c.backlog(t, s, door, before, stop, func(version int64) {
				if version == before {
					warm <- door
				}
			})
		}()
	}
	for range doors {
		<-warm
	}
	// One notice was in hand, and one lost its place, as from a backup that
	// was put together by hand.
	now := time.Now()
	for _, id := range []string{"in-hand", "lost"} {
		commit(t, s, jobs.Change{Op: id, At: jobs.NowAt(now), Put: []jobs.Notice{{ID: id, Kind: "x", Due: jobs.DueAt(now)}}})
	}
	inside := first.client()
	defer inside.Close()
	if err := inside.ZRem(ctx, s.key.due(), "lost").Err(); err != nil {
		t.Fatal(err)
	}
	if batch, err := s.Claim(ctx, jobs.Claim{Runner: "r", ID: "c", Now: jobs.NowAt(now.Add(time.Second)), Max: 1, Lease: 20 * time.Second}); err != nil || len(batch.Notices) != 1 {
		t.Fatalf("claim: got %+v, %v", batch, err)
	}

	backup := filepath.Join(t.TempDir(), "backup.rdb")
	host, port, _ := strings.Cut(first.addr, ":")
	if out, err := exec.Command("redis-cli", "-h", host, "-p", port, "--user", "backup", "--pass", password, "--no-auth-warning", "--rdb", backup).CombinedOutput(); err != nil {
		t.Fatalf("backup: %v\n%s", err, out)
	}
	first.kill() // the machine is gone, with changes under way
	close(stop)
	for range doors {
		<-ended
	}
	s.Close()

	second := restart(t, backup)
	for round := range 2 { // the second time it is read from what Redis made of it
		second.run()
		s = second.open(t, "T1")
		entries := restored(t, s, doors, before+round)
		seen, repaired, err := s.Sweep(ctx)
		if want := entries + 2; seen != want || repaired != 1-round || err != nil {
			t.Errorf("round %d: the sweep saw %d notices of %d and repaired %d, %v", round, seen, want, repaired, err)
		}
		tally, err := s.Tally(ctx)
		if n := tally.Due + tally.Leased + tally.Waiting; n != entries+2 || err != nil {
			t.Errorf("round %d: %d notices in a place, %v, want %d", round, n, err, entries+2)
		}
		for i := range doors {
			door := fmt.Sprint("north/d", i)
			rec, err := s.Door(ctx, door)
			if err == nil {
				_, err = c.later(t, s, rec, fmt.Sprintf("%s/after-%d", door, round))
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		s.Close()
		second.kill()
	}
}

// restart returns a server, not running yet, that begins with what a backup
// has.
func restart(t *testing.T, backup string) *server {
	t.Helper()
	second := start(t)
	second.kill()
	folder := filepath.Join(second.dir, "appendonlydir")
	data, err := os.ReadFile(backup)
	err = errors.Join(err, os.RemoveAll(folder), os.Mkdir(folder, 0o700),
		os.WriteFile(filepath.Join(folder, "appendonly.aof.1.base.rdb"), data, 0o600),
		os.WriteFile(filepath.Join(folder, "appendonly.aof.manifest"), []byte("file appendonly.aof.1.base.rdb seq 1 type b\n"), 0o600))
	if err != nil {
		t.Fatal(err)
	}
	return second
}

// restored checks that each door is the fold of its log, at least so many
// entries long, and that each entry's notice is there. It returns the number
// of entries.
func restored(t *testing.T, s *Store, doors, least int) (entries int) {
	t.Helper()
	for i := range doors {
		door := fmt.Sprint("north/d", i)
		log := folded(t, s, door)
		for _, e := range log {
			if _, err := s.Notice(t.Context(), "n/"+e.Op); err != nil {
				t.Errorf("the notice of %s: %v", e.Op, err)
			}
		}
		if len(log) < least {
			t.Errorf("door %s has %d entries, want %d or more", door, len(log), least)
		}
		entries += len(log)
	}
	return entries
}

// The configuration lets nobody in without a password, and each user do no
// more than they need.
func TestConf_Users(t *testing.T) {
	s := shipped(t)
	for user, refused := range map[string][]any{"": {"PING"}, "backup": {"GET", "hp1:{T1}:due"}, "heelpost": {"CONFIG", "GET", "dir"}} {
		c := redis.NewClient(&redis.Options{Addr: s.addr, Username: user, Password: map[bool]string{true: password}[user != ""], DisableIdentity: true})
		defer c.Close()
		if err := c.Do(t.Context(), refused...).Err(); err == nil || !strings.Contains(err.Error(), "NOAUTH") && !strings.Contains(err.Error(), "NOPERM") {
			t.Errorf("%q may say %v: %v", user, refused, err)
		}
	}
	s.open(t, "T1")
}

// What was written is there after a restart under the configuration as it
// ships: Redis loads its file as the user default.
func TestConf_Restart(t *testing.T) {
	s := shipped(t)
	n := jobs.Notice{ID: "n", Kind: "x", Due: day0, Args: map[string]string{"a": "b"}}
	if _, err := s.open(t, "T1").Commit(t.Context(), jobs.Change{Op: "put", At: day0, Put: []jobs.Notice{n}}); err != nil {
		t.Fatal(err)
	}
	s.kill()
	s.run()
	if _, err := s.open(t, "T1").Notice(t.Context(), "n"); err != nil {
		t.Error(err)
	}
}

// shipped starts a server that lets the user default no more in than the
// configuration does.
func shipped(t *testing.T) *server {
	t.Helper()
	s := start(t)
	s.kill()
	conf, err := os.ReadFile(s.args[0])
	if err == nil {
		err = os.WriteFile(s.args[0], []byte(strings.Replace(string(conf), defaultOpen, defaultShipped, 1)), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	s.run()
	return s
}
