package slack

import (
	"context"
	"errors"
	"net/http"
	"sync"
	"time"
)

// reach tells whether Slack answers. When it answers nobody, one call at a
// time tries whether it is back, and all others wait for that: so nothing
// counts its tries against an outage, hardly anything is sent whose outcome is
// not known, and what waits goes on soon after.
type reach struct {
	mu     sync.Mutex
	silent int           // calls in a row that were not answered
	pause  time.Duration // from one try to the next
	until  time.Time     // of the next try
}

const (
	silentCalls  = 3 // in a row are an outage
	firstPause   = time.Second
	longestPause = 4 * time.Second
)

// note takes what became of a call.
func (r *reach) note(answered bool, now time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if answered {
		r.silent, r.pause = 0, 0
		return
	}
	if r.silent++; r.silent >= silentCalls {
		r.pause = min(max(2*r.pause, firstPause), longestPause)
		r.until = now.Add(r.pause)
	}
}

// wait returns how long nothing is to be tried, 0 if Slack answers or it is
// time for a try.
func (r *reach) wait(now time.Time) time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.silent < silentCalls {
		return 0
	}
	return max(r.until.Sub(now), 0)
}

// take is wait for a call that is made now: it is the one that tries.
func (r *reach) take(now time.Time) time.Duration {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.silent < silentCalls {
		return 0
	}
	if wait := r.until.Sub(now); wait > 0 {
		return wait
	}
	r.until = now.Add(longestPause)
	return 0
}

// away reports whether Slack answers nobody.
func (r *reach) away() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.silent >= silentCalls
}

// follow notes what became of a call of the Web API. One that we gave up
// ourselves tells nothing.
func (r *reach) follow(ctx context.Context, resp *http.Response, err error) {
	if err != nil && errors.Is(ctx.Err(), context.Canceled) {
		return
	}
	r.note(err == nil && resp.StatusCode < http.StatusInternalServerError, time.Now())
}
