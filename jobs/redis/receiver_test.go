//go:build faults

package redis

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// receiver is the far side of the fault tests: it records what arrives,
// finds it again, and takes its time to answer.
type receiver struct {
	*httptest.Server
	delay time.Duration // at most

	mu    sync.Mutex
	posts map[string][]arrival   // by post id
	acks  map[string][]time.Time // when a worker said that it had the answer
	looks map[string]time.Time   // when it was first looked for
	early []string
}

// arrival is a post that came, and at which attempt of its notice it was sent.
type arrival struct {
	at      time.Time
	attempt int
}

func newReceiver(t *testing.T, delay time.Duration) *receiver {
	r := &receiver{posts: map[string][]arrival{}, acks: map[string][]time.Time{}, looks: map[string]time.Time{}, delay: delay}
	r.Server = httptest.NewServer(r)
	t.Cleanup(r.Close)
	return r
}

func (r *receiver) ServeHTTP(w http.ResponseWriter, q *http.Request) {
	id, now := q.FormValue("id"), time.Now()
	r.mu.Lock()
	seen := len(r.posts[id]) > 0
	if q.URL.Path == "/post" {
		attempt, _ := strconv.Atoi(q.FormValue("attempt"))
		r.posts[id] = append(r.posts[id], arrival{now, attempt})
		_, due, _ := strings.Cut(id, "@")
		if ms, err := strconv.ParseInt(due, 36, 64); err != nil || now.Before(time.UnixMilli(ms)) {
			r.early = append(r.early, id)
		}
	}
	if _, again := r.looks[id]; q.URL.Path == "/find" && !again {
		r.looks[id] = now
	}
	r.mu.Unlock()
	if q.URL.Path == "/find" {
		if seen {
			io.WriteString(w, "yes")
		}
		return
	}
	// The post stands; the answer takes a while, as across a network.
	select {
	case <-q.Context().Done():
	case <-time.After(rand.N(r.delay + 1)):
	}
}

// process is a running worker.
type process struct {
	name string
	cmd  *exec.Cmd
	read chan struct{} // closed when its output has ended
}

// work starts a worker whose clock is wrong by skew. It ends with the test.
func (r *receiver) work(t *testing.T, name, redisURL string, skew time.Duration) *process {
	t.Helper()
	p := &process{name: name, cmd: exec.Command(os.Args[0]), read: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), "WORKER_NAME="+name, "WORKER_REDIS="+redisURL, "WORKER_FAR="+r.URL, fmt.Sprintf("WORKER_SKEW=%v", skew))
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.cmd.Stderr = io.Discard
	if testing.Verbose() {
		p.cmd.Stderr = os.Stderr
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.end(syscall.SIGKILL) })
	go func() {
		defer close(p.read)
		for lines := bufio.NewScanner(out); lines.Scan(); {
			if id, ok := strings.CutPrefix(lines.Text(), "ack "); ok {
				r.mu.Lock()
				r.acks[id] = append(r.acks[id], time.Now())
				r.mu.Unlock()
			}
		}
	}()
	return p
}

// end sends a signal and waits for the end of the process.
func (p *process) end(sig syscall.Signal) {
	p.cmd.Process.Signal(sig)
	<-p.read
	p.cmd.Wait()
}

// judge checks what arrived against what was put: each at least once, none
// early, and a second time only while the answer to the first was unknown: to
// all, or to a runner of an earlier attempt, which was stopped as it began to
// send and went on when the notice was long taken over. It returns the number
// of doubles.
func (r *receiver) judge(t *testing.T, put []string) (doubles int) {
	t.Helper()
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, id := range put {
		posts := r.posts[id]
		if len(posts) == 0 {
			t.Errorf("%s was never delivered", id)
		}
		for i := range max(len(posts)-1, 0) {
			doubles++
			known := 0
			for _, ack := range r.acks[id] {
				if ack.Before(posts[i+1].at) {
					known++
				}
			}
			if known > i && posts[i+1].attempt >= posts[i].attempt {
				t.Errorf("%s was sent again after the answer was known: posts %v, answers %v", id, posts, r.acks[id])
			}
		}
	}
	if len(r.posts) > len(put) {
		t.Errorf("%d different posts arrived, %d were put", len(r.posts), len(put))
	}
	if len(r.early) > 0 {
		t.Errorf("early: %v", r.early)
	}
	return doubles
}
