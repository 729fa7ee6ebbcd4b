package main

import (
	"debug/elf"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
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

// The program is one static file of at most 32 MB.
func TestBinary(t *testing.T) {
	path := build(t)
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%.1f MB", float64(info.Size())/1e6)
	if info.Size() > 32e6 {
		t.Errorf("%d bytes, more than 32 MB", info.Size())
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

// BenchmarkHealthz tells the time from the start of the process until it says
// that it runs, with neither Redis nor Slack there. The goal is 80 ms.
func BenchmarkHealthz(b *testing.B) {
	path := build(b)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	addr := l.Addr().String()
	l.Close()
	hung, err := net.Listen("tcp", "127.0.0.1:0") // takes connections and says nothing
	if err != nil {
		b.Fatal(err)
	}
	defer hung.Close()
	var worst time.Duration
	for b.Loop() {
		cmd := exec.Command(path, "serve", "--ops-listen", addr, "--sites", "../../testdata/sites", "--redis", "redis://127.0.0.1:1")
		cmd.Env = []string{"SLACK_BOT_TOKEN=xoxb-1", "SLACK_APP_TOKEN=xapp-1", "HEELPOST_SLACK_API=http://" + hung.Addr().String() + "/api/"}
		began := time.Now()
		if err := cmd.Start(); err != nil {
			b.Fatal(err)
		}
		for {
			resp, err := http.Get("http://" + addr + "/healthz")
			if err == nil {
				resp.Body.Close()
				break
			}
			if time.Since(began) > 10*time.Second {
				b.Fatal(err)
			}
		}
		worst = max(worst, time.Since(began))
		cmd.Process.Kill()
		cmd.Wait()
		http.DefaultClient.CloseIdleConnections()
	}
	b.ReportMetric(float64(worst.Microseconds())/1000, "ms-worst")
}
