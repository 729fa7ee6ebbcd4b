//go:build faults

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"heelpost/bot/slack/fake"
)

// before is the last version before bot became a house of rooms.
const before = "cfc089f"

// earlier builds the program as it was at a commit.
func earlier(t *testing.T, commit string) string {
	t.Helper()
	dir := t.TempDir()
	run := func(in []byte, name string, args ...string) []byte {
		cmd := exec.Command(name, args...)
		var said bytes.Buffer
		cmd.Dir, cmd.Stdin, cmd.Stderr = dir, bytes.NewReader(in), &said
		cmd.Env = append(os.Environ(), "GOFLAGS=-buildvcs=false")
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v: %v\n%s", cmd, err, &said)
		}
		return out
	}
	root, err1 := filepath.Abs("../..")
	tree, err2 := exec.Command("git", "-C", root, "archive", commit).Output()
	if err := errors.Join(err1, err2); err != nil {
		if os.Getenv("HEELPOST_NEED_REDIS") != "" { // as in CI, which has the whole history
			t.Fatal(err)
		}
		t.Skipf("the version before is not there, this test is not run (git fetch --unshallow): %v", err)
	}
	run(tree, "tar", "-x")
	run(nil, "go", "build", "-o", "earlier", "./cmd/heelpost")
	return filepath.Join(dir, "earlier")
}

// A rolling restart from the version before to this one and back: they work
// side by side on the same doors and notices, one is killed and one is
// stopped, and nothing is lost or said twice.
func TestLoad_Versions(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	path := earlier(t, before)
	w.furnish(filepath.Join(filepath.Dir(path), "testdata")) // of then: nobody writes what only the new one reads before all are new
	old := func() *process { return w.start(exec.Command(path, "serve"), "HEELPOST_TRANSPORT=socket") }
	first := old()
	w.connected(1)
	tr := w.newTraffic(10)
	span := span(4*time.Second, 15*time.Second)
	tr.put(t.Context(), "due", int(100*span.Seconds()), 5*span)
	tr.run(60, span) // the old one alone
	now := w.serve("socket")
	w.connected(2)
	tr.run(60, span)
	first.end(syscall.SIGKILL)
	tr.run(60, span) // the new one alone, on what the old one had in hand
	second := old()
	w.connected(2)
	tr.run(60, span)
	now.end(syscall.SIGTERM)
	tr.run(60, span) // the old one alone, on what the new one has written
	o := tr.settled()
	if s := w.Stats(); s.GivenUp > 0 || now.err != nil {
		t.Errorf("%d events were given up; the new one ended with %v", s.GivenUp, now.err)
	}
	second.end(syscall.SIGTERM)
	doors := folded(t, w.store, site)
	tr.row(o, "60 envelopes a second, old, both, new, both and old for %v each, %d doors", span, doors)
	for _, p := range []*process{first, now, second} {
		if n := bytes.Count(w.read(p.log), []byte(`"level":"ERROR"`)); n > 0 {
			t.Errorf("%d errors logged: %s", n, tail(w.read(p.log)))
		}
	}
}
