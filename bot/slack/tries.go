package slack

import (
	"math/rand/v2"
	"net/http"
	"time"
)

// tries have one connection tried again after pauses that grow until one stands
// for a while. The client library's own grow to five minutes, and it makes none
// before it goes back to a Slack that takes it and sends it away at once, as that
// does whoever comes eleventh. It asks for an address before each try, and that is
// where it has to wait.
type tries struct {
	*http.Client
	jitter time.Duration
	last   time.Time
	pause  time.Duration // from the last to the next
	until  time.Time     // Slack asked for none before
}

// With ten connections to an app the longest pause keeps below fifty tries a
// minute, which is what Slack allows, and who says something as soon as Slack is
// back is answered within half a minute.
const (
	firstRetry = 100 * time.Millisecond
	lastRetry  = 12 * time.Second
)

// Do makes a call of the Web API when it is time for one.
func (t *tries) Do(r *http.Request) (*http.Response, error) {
	select {
	case <-time.After(t.wait(time.Now())):
	case <-r.Context().Done():
	}
	if err := r.Context().Err(); err != nil {
		return nil, err
	}
	t.last = time.Now()
	return t.Client.Do(r)
}

// wait returns how long it is from now to the next try, and lets the pause after
// that one grow.
func (t *tries) wait(now time.Time) time.Duration {
	if now.Sub(t.last) > 2*lastRetry+t.jitter { // it stood
		t.pause = 0
	}
	next := t.last.Add(t.pause)
	if t.pause == lastRetry && t.jitter > 0 {
		next = next.Add(rand.N(t.jitter))
	}
	t.pause = min(max(2*t.pause, firstRetry), lastRetry)
	if t.until.After(next) {
		next = t.until
	}
	return next.Sub(now)
}
