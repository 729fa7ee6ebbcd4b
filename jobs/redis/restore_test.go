package redis

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"heelpost/jobs"
)

// TestRestore rehearses the backup and the restore of deploy/README.md: the
// append-only files are copied while the server runs and is written to, and
// another server starts on the copy. Everything that was there when the copy
// began is there again, each change whole.
func TestRestore(t *testing.T) {
	ctx := t.Context()
	old := start(t)
	s, err := Open(ctx, old.url(), Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	open := func(i int) {
		key := fmt.Sprintf("site/A-%d", i)
		for v := range int64(3) {
			commit(t, s, jobs.Change{Op: fmt.Sprintf("%s:%d", key, v), At: day0,
				Door: &jobs.DoorChange{Key: key, Version: v, State: fmt.Appendf(nil, "state %d", v+1), Entry: fmt.Appendf(nil, "entry %d", v+1), Index: []jobs.Index{{Name: "site/all"}}},
				Put:  []jobs.Notice{{ID: fmt.Sprintf("%s:n%d", key, v), Kind: "x", Due: day0 + 1000, Door: key, Thread: key}}})
		}
	}
	const before = 50
	for i := range before {
		open(i)
	}
	admin := old.client()
	defer admin.Close()
	if err := admin.ConfigSet(ctx, "auto-aof-rewrite-percentage", "0").Err(); err != nil {
		t.Fatal(err)
	}
	copied := make(chan error, 1)
	fresh := t.TempDir()
	go func() {
		copied <- os.CopyFS(filepath.Join(fresh, "appendonlydir"), os.DirFS(filepath.Join(old.dir, "appendonlydir")))
	}()
	after := before
	for done := false; !done; after++ {
		open(after) // meanwhile work goes on
		select {
		case err := <-copied:
			if done = true; err != nil {
				t.Fatal(err)
			}
		default:
		}
	}
	old.kill()

	anew := start(t, "--dir", fresh)
	r, err := Open(ctx, anew.url(), Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	// What was due before may have been sent after the copy: it is looked for
	// before it is sent, by this process and by the next.
	again, err := Open(ctx, anew.url(), Options{Workspace: "T1"})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	for _, s := range []*Store{r, again} {
		if b, err := s.Claim(ctx, jobs.Claim{Runner: "r", ID: "c", Now: day0, Max: 1, Lease: time.Second}); err != nil || b.Reconnected == 0 {
			t.Errorf("the server is not known to be another: %+v, %v", b, err)
		}
	}
	if _, repaired, err := r.Sweep(ctx); repaired != 0 || err != nil {
		t.Errorf("the sweep repaired %d, %v", repaired, err)
	}
	list, total, err := r.Doors(ctx, "site/all", 0, maxBatch)
	if err != nil || total < before || total > after {
		t.Fatalf("%d doors after the restore, %v, want %d to %d", total, err, before, after)
	}
	notices := 0
	for _, d := range list {
		entries, err := r.Log(ctx, d.Key, 0, 10)
		if err != nil || int64(len(entries)) != d.Version || string(d.State) != fmt.Sprintf("state %d", d.Version) {
			t.Errorf("%s: version %d, state %q, %d entries, %v", d.Key, d.Version, d.State, len(entries), err)
		}
		ns, err := r.Notices(ctx, d.Key, 0, 10)
		if err != nil || int64(len(ns)) != d.Version {
			t.Errorf("%s: version %d and %d notices, %v", d.Key, d.Version, len(ns), err)
		}
		notices += len(ns)
	}
	if tally, err := r.Tally(ctx); err != nil || tally.Due+tally.Waiting != notices {
		t.Errorf("%+v, %v, want %d notices that wait", tally, err, notices)
	}
}
