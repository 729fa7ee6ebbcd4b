package main

import (
	"bytes"
	"context"
	"debug/elf"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// build builds the program as deploy/Containerfile does.
func build(t testing.TB) string {
	path := filepath.Join(t.TempDir(), "heelpost")
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", path, ".")
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOFLAGS=-buildvcs=false")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return path
}

// The program is one static file of at most 36 MB, a bound of our own: it has 32.3.
func TestBinary(t *testing.T) {
	path := build(t)
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.1f MB", float64(info.Size())/1e6)
	if info.Size() > 36e6 {
		t.Errorf("%d bytes, more than 36 MB", info.Size())
	}
	f, err := elf.Open(path)
	if err != nil {
		t.Skip("no ELF file on this system")
	}
	defer f.Close()
	for _, p := range f.Progs {
		if p.Type == elf.PT_INTERP || p.Type == elf.PT_DYNAMIC {
			t.Errorf("not static: it has a %v", p.Type)
		}
	}
}

// unheard returns the arguments and the environment of a heelpost serve whose
// Redis and Slack take connections and say nothing, and its ops address.
func unheard(t testing.TB) (args, env []string, addr string) {
	mute, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { mute.Close() })
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	free.Close()
	addr = free.Addr().String()
	return []string{"serve", "--ops-listen", addr, "--sites", "../../testdata/sites", "--redis", "redis://" + mute.Addr().String()},
		[]string{"SLACK_BOT_TOKEN=xoxb-1", "SLACK_APP_TOKEN=xapp-1", "HEELPOST_SLACK_API=http://" + mute.Addr().String() + "/api/"}, addr
}

// awaitHealth returns once the process at addr says that it runs.
func awaitHealth(t testing.TB, addr string, ended <-chan string) {
	began := time.Now()
	for {
		resp, err := http.Get("http://" + addr + "/healthz")
		if err == nil {
			resp.Body.Close()
			if resp.StatusCode != http.StatusOK {
				t.Fatal(resp.Status)
			}
			return
		}
		select {
		case said := <-ended:
			t.Fatalf("the process ended and said: %s", said)
		case <-time.After(time.Millisecond / 2):
		}
		if time.Since(began) > 10*time.Second {
			t.Fatal(err)
		}
	}
}

// Whether the process runs does not hang on Redis or Slack: one that is late
// is waited for, not restarted by whoever asks.
func TestServe_HealthAlone(t *testing.T) {
	args, env, addr := unheard(t)
	for _, v := range env {
		name, value, _ := strings.Cut(v, "=")
		t.Setenv(name, value)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan string, 1)
	go func() {
		var said strings.Builder
		run(ctx, args, strings.NewReader(""), &said, &said)
		ended <- said.String()
	}()
	awaitHealth(t, addr, ended)
	stop()
	<-ended
}

// BenchmarkHealthz tells the time from the start of the process until it says
// that it runs, with a Redis and a Slack that say nothing. The goal is 80 ms.
func BenchmarkHealthz(b *testing.B) {
	path := build(b)
	args, env, addr := unheard(b)
	var worst time.Duration
	for b.Loop() {
		var said bytes.Buffer
		cmd := exec.Command(path, args...)
		cmd.Env, cmd.Stderr = env, &said
		began := time.Now()
		if err := cmd.Start(); err != nil {
			b.Fatal(err)
		}
		ended := make(chan string, 1)
		go func() { cmd.Wait(); ended <- said.String() }()
		awaitHealth(b, addr, ended)
		worst = max(worst, time.Since(began))
		cmd.Process.Kill()
		<-ended
		http.DefaultClient.CloseIdleConnections()
	}
	b.ReportMetric(float64(worst.Microseconds())/1000, "ms-worst")
}

// Images that others publish are named by digest; our own has none before it
// is built, and scratch is no image.
func TestImagesPinned(t *testing.T) {
	image := regexp.MustCompile(`(?m)^(?:FROM| *image:) +(\S+)`)
	pinned := regexp.MustCompile(`^[a-z]+:[0-9.]+@sha256:[0-9a-f]{64}$`)
	others := 0
	for _, file := range []string{"Containerfile", "compose.yaml", "kubernetes.yaml"} {
		data, err := os.ReadFile("../../deploy/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range image.FindAllStringSubmatch(string(data), -1) {
			if own, _, _ := strings.Cut(m[1], ":"); own == "heelpost" || own == "scratch" {
				continue
			}
			if others++; !pinned.MatchString(m[1]) {
				t.Errorf("%s: %s is not named by digest", file, m[1])
			}
		}
	}
	if others != 2 {
		t.Errorf("got %d images of others, want the one to build in and Redis", others)
	}
}
