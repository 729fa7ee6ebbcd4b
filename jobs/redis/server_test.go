package redis

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// server is a redis-server of a test's own, with the configuration that we
// ship, on a free port and in a folder of its own.
type server struct {
	addr  string
	dir   string
	args  []string
	cmd   *exec.Cmd
	ended <-chan struct{} // closed when the program has ended
	t     testing.TB
}

func TestMain(m *testing.M) {
	silence() // the client's word on servers that tests take away
	if os.Getenv("WORKER_NAME") != "" {
		if err := worker(); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// need skips the test if a program is missing, or fails it where the absence
// is a fault.
func need(t testing.TB, program string) {
	t.Helper()
	if _, err := exec.LookPath(program); err == nil {
		return
	}
	if os.Getenv("HEELPOST_NEED_REDIS") != "" {
		t.Fatalf("%s is missing, and HEELPOST_NEED_REDIS says it must be here", program)
	}
	t.Skipf("%s is missing: this test is not run (apt-get install redis-server)", program)
}

const password = "a password for tests"

// Tests look inside as nobody in particular.
const (
	defaultShipped = "\nuser default off "
	defaultOpen    = "\nuser default on nopass "
)

// start runs a redis-server with deploy/redis.conf and more arguments.
func start(t testing.TB, args ...string) *server {
	t.Helper()
	need(t, "redis-server")
	conf, err := os.ReadFile("../../deploy/redis.conf")
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(password))
	text := strings.ReplaceAll(string(conf), strings.Repeat("0", 64), hex.EncodeToString(sum[:]))
	text = strings.Replace(text, defaultShipped, defaultOpen, 1)
	dir := t.TempDir()
	file := filepath.Join(dir, "redis.conf")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	port := freePort(t)
	s := &server{addr: "127.0.0.1:" + port, dir: dir, t: t}
	s.args = append([]string{file, "--port", port, "--dir", dir, "--bind", "127.0.0.1"}, args...)
	s.run()
	t.Cleanup(func() { s.kill() })
	return s
}

// freePort returns a port that nobody listens on.
func freePort(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	return port
}

// run starts the program and waits until it answers.
func (s *server) run() {
	s.t.Helper()
	s.cmd = exec.Command("redis-server", s.args...)
	log, err := os.OpenFile(filepath.Join(s.dir, "log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		s.t.Fatal(err)
	}
	defer log.Close()
	s.cmd.Stdout, s.cmd.Stderr = log, log
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() { s.cmd.Wait(); close(ended) }()
	s.ended = ended
	deadline := time.After(20 * time.Second)
	for !s.answers() {
		select {
		default:
			continue
		case <-ended:
		case <-deadline:
		}
		text, _ := os.ReadFile(filepath.Join(s.dir, "log"))
		s.t.Fatalf("redis-server does not answer:\n%s", text)
	}
}

// answers reports whether the server is there and has loaded its data.
func (s *server) answers() bool {
	l, err := net.Dial("tcp", s.addr)
	if err != nil {
		return false
	}
	l.Close()
	c := s.client()
	defer c.Close()
	err = c.Ping(context.Background()).Err()
	return err == nil || strings.Contains(err.Error(), "NOAUTH") // it is there, for others
}

// kill ends the program at once, as a crash does.
func (s *server) kill() {
	s.cmd.Process.Kill()
	<-s.ended
}

// client is a plain client with every right.
func (s *server) client() *redis.Client {
	return redis.NewClient(&redis.Options{Addr: s.addr, DisableIdentity: true, DialerRetries: 1, MaxRetries: -1})
}

// url is the address with the user that deploy/redis.conf makes.
func (s *server) url() string {
	return fmt.Sprintf("redis://heelpost:%s@%s", strings.ReplaceAll(password, " ", "%20"), s.addr)
}

// open opens a workspace on the server.
func (s *server) open(t testing.TB, workspace string) *Store {
	t.Helper()
	st, err := Open(context.Background(), s.url(), Options{Workspace: workspace})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

// embedded opens a workspace in memory.
func embedded(t testing.TB) *Store {
	t.Helper()
	st, err := Embedded(context.Background(), "T1")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

// onBoth runs a test on the embedded store and on a real server.
func onBoth(t *testing.T, test func(t *testing.T, s *Store)) {
	t.Run("embedded", func(t *testing.T) { test(t, embedded(t)) })
	t.Run("redis-server", func(t *testing.T) { test(t, start(t).open(t, "T1")) })
}
