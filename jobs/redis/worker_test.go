package redis

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"os/signal"
	"strconv"
	"syscall"
	"time"

	"heelpost/jobs"
)

// worker is what a process of the fault tests does: it runs a runner until
// it is told to end. The test binary starts itself for it.
func worker() error {
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	skew, err := time.ParseDuration(os.Getenv("WORKER_SKEW"))
	if err != nil {
		return err
	}
	clock := func() time.Time { return time.Now().Add(skew) }
	s, err := Open(ctx, os.Getenv("WORKER_REDIS"), Options{Workspace: "T1", Clock: clock})
	for err != nil && ctx.Err() == nil { // Redis may be away just now
		s, err = Open(ctx, os.Getenv("WORKER_REDIS"), Options{Workspace: "T1", Clock: clock})
	}
	if err != nil {
		return err
	}
	defer s.Close()
	if os.Getenv("WORKER_HISTORY") != "" {
		historian(ctx, s, os.Getenv("WORKER_NAME"))
		return nil
	}
	c, err := newCrew()
	if err != nil {
		return err
	}
	name := os.Getenv("WORKER_NAME")
	r := jobs.NewRunner(name, s, &httpSender{base: os.Getenv("WORKER_FAR"), name: name, store: s, crew: c})
	r.Lease, r.Look, r.Pauses = 2*time.Second, 300*time.Millisecond, nil
	for range 40 {
		r.Pauses = append(r.Pauses, 200*time.Millisecond)
	}
	r.Report = func(err error) { fmt.Fprintln(os.Stderr, name, err) }
	nudges, end := s.Nudges(ctx)
	defer end()
	r.Loop(ctx, func() time.Time { return s.Now(clock()) }, nudges)
	return nil
}

// httpSender posts to the recording receiver, and says on standard output
// when it has its answer.
type httpSender struct {
	base, name string
	store      *Store
	crew       crew
}

func (h *httpSender) get(ctx context.Context, path string, n jobs.Notice) (string, error) {
	q := url.Values{"id": {n.PostID()}, "worker": {h.name}, "attempt": {strconv.Itoa(n.Claims)}}
	req, err := http.NewRequestWithContext(ctx, "POST", h.base+path+"?"+q.Encode(), nil)
	if err != nil {
		return "", err
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		return "", err
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	return string(body), err
}

func (h *httpSender) Send(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	if _, err := h.get(ctx, "/post", n); err != nil {
		return jobs.Result{}, err
	}
	fmt.Println("ack", n.PostID())
	return h.record(ctx, n)
}

func (h *httpSender) Find(ctx context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	body, err := h.get(ctx, "/find", n)
	if err != nil || body != "yes" {
		return jobs.Result{}, false, err
	}
	res, err := h.record(ctx, n)
	return res, true, err
}

// record settles a notice of a door with a change of the door, as the root
// post of a door does.
func (h *httpSender) record(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	if n.Door == "" {
		return jobs.Result{Ref: "ts"}, nil
	}
	for try := 0; ; try++ {
		rec, err := h.store.Door(ctx, n.Door)
		if err != nil && !errors.Is(err, jobs.ErrNotFound) {
			return jobs.Result{}, err
		}
		rec.Key = n.Door
		door, err := h.crew.change(rec, n.Due.Time(), n.PostID())
		if err != nil {
			return jobs.Result{}, err
		}
		_, err = h.store.Commit(ctx, jobs.Change{
			Op: fmt.Sprintf("%s-%d-%d", n.PostID(), n.Token, try), At: n.Due, Done: jobs.Held{ID: n.ID, Token: n.Token}, Door: door,
		})
		if !errors.Is(err, jobs.ErrConflict) {
			return jobs.Result{Done: true}, err
		}
	}
}

func (h *httpSender) Failed(jobs.Notice, error) []jobs.Notice { return nil }
