package slack

import (
	"context"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"

	"heelpost/bot/slack/fake"
	"heelpost/jobs/redis/redistest"
)

// apart is a world in fake time whose way to Slack can be cut.
type apart struct {
	*world
	away  atomic.Bool
	tries atomic.Int64 // to get an address for a connection
}

func newApart(t *testing.T) *apart {
	w := &apart{world: &world{t: t, store: &flaky{Store: redistest.Open(t, fake.Team)}}}
	w.client = &http.Client{Transport: w, Timeout: 10 * time.Second}
	w.Server = newFake(t, fake.Options{Through: w, Resend: []time.Duration{0, time.Minute, 5 * time.Minute}})
	w.dialer = &websocket.Dialer{NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
		if w.away.Load() {
			return nil, errAway
		}
		return w.Dial(ctx, network, addr)
	}}
	return w
}

// RoundTrip makes a call of the Web API.
func (w *apart) RoundTrip(r *http.Request) (*http.Response, error) {
	if strings.HasSuffix(r.URL.Path, "/apps.connections.open") {
		w.tries.Add(1)
	}
	if w.away.Load() {
		return nil, errAway
	}
	if r.Body == nil {
		r.Body = http.NoBody
	}
	rec := httptest.NewRecorder()
	w.Handler().ServeHTTP(rec, r)
	return rec.Result(), nil
}

// answered has somebody say something and waits for the answer for so long.
func (w *apart) answered(within time.Duration) {
	w.t.Helper()
	ts, began := w.Say(doors, ana, mention+"gap 54 60", ""), time.Now()
	for len(w.replies(doors, ts)) == 0 {
		if time.Sleep(time.Second / 10); time.Since(began) > within {
			w.t.Fatalf("no answer within %v; %d connections\n%s", within, w.Sockets(), w.logs.String())
		}
	}
}

// However long Slack was away, who speaks first when it is back is answered
// within half a minute; while it is away it is not tried more often than Slack
// allows, were it there.
func TestSocket_outage(t *testing.T) {
	t.Parallel()
	for _, outage := range []time.Duration{3 * time.Second, 40 * time.Second, 4 * time.Minute, time.Hour} {
		t.Run(outage.String(), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				w := newApart(t)
				w.begin(SlackLimits)
				time.Sleep(2 * time.Minute) // all is well
				w.answered(2 * time.Second)
				w.away.Store(true)
				w.Cut(0)
				w.tries.Store(0)
				time.Sleep(outage)
				if n, most := w.tries.Load(), int64(Connections*(10+outage/lastRetry)); n == 0 || n > most {
					t.Errorf("%d tries within %v, want at most %d", n, outage, most)
				}
				w.away.Store(false)
				w.answered(30 * time.Second)
				time.Sleep(lastRetry + w.a.Stagger)
				if w.Sockets() != Connections {
					t.Errorf("%d connections", w.Sockets())
				}
			})
		})
	}
}

// Of ten connections that Slack counts none may be left: whoever comes then is
// sent away at once, and does not come back at once for ever.
func TestSocket_sentAway(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		w := newApart(t)
		api := slack.New(fake.BotToken, slack.OptionAppLevelToken(fake.AppToken), slack.OptionAPIURL(w.URL()), slack.OptionHTTPClient(w.client))
		for range 10 {
			_, url, err := api.StartSocketModeContext(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			other, _, err := w.dialer.DialContext(t.Context(), url, nil)
			if err != nil {
				t.Fatal(err)
			}
			go func() {
				for err == nil {
					_, _, err = other.ReadMessage() // and answers pings
				}
			}()
		}
		w.tries.Store(0)
		w.begin(SlackLimits)
		time.Sleep(10 * time.Minute)
		if n, most := w.tries.Load(), int64(Connections*(10+10*time.Minute/lastRetry)); n < 10 || n > most {
			t.Errorf("%d tries, want at most %d", n, most)
		}
		w.Cut(10)
		time.Sleep(lastRetry + w.a.Stagger)
		w.answered(2 * time.Second)
	})
}

// A limit that Slack names is kept, also one that is longer than our own pauses,
// and no longer than it lasts.
func TestSocket_limited(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		w := newApart(t)
		w.begin(SlackLimits)
		time.Sleep(time.Minute)
		w.Break(fake.Fault{Method: "apps.connections.open", Status: http.StatusTooManyRequests, RetryAfter: 50})
		w.tries.Store(0)
		w.Cut(0)
		time.Sleep(10 * time.Minute)
		if n := w.tries.Load(); n < 20 || n > 26 { // 600 s, two connections
			t.Errorf("%d tries within ten minutes of a limit of 50 s", n)
		}
		w.Mend()
		time.Sleep(51 * time.Second)
		if w.Sockets() != Connections {
			t.Errorf("%d connections", w.Sockets())
		}
	})
}
