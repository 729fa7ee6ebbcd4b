package slack

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"heelpost/jobs"
)

// metrics is what the adapter counts.
type metrics struct {
	registry   *prometheus.Registry
	received   *prometheus.CounterVec // by kind
	calls      *prometheus.CounterVec // by method and outcome
	limited    *prometheus.CounterVec // by method
	acks       prometheus.Histogram
	late       prometheus.Histogram
	errors     prometheus.Counter
	forged     prometheus.Counter
	reconnects prometheus.Counter
	connected  prometheus.Counter
	ghosts     prometheus.Gauge
}

func newMetrics() *metrics {
	counter := func(name, help string) prometheus.Counter {
		return prometheus.NewCounter(prometheus.CounterOpts{Name: "heelpost_" + name, Help: help})
	}
	vec := func(name, help string, labels ...string) *prometheus.CounterVec {
		return prometheus.NewCounterVec(prometheus.CounterOpts{Name: "heelpost_" + name, Help: help}, labels)
	}
	seconds := func(name, help string, buckets ...float64) prometheus.Histogram {
		return prometheus.NewHistogram(prometheus.HistogramOpts{Name: "heelpost_" + name, Help: help, Buckets: buckets})
	}
	m := &metrics{
		registry:   prometheus.NewRegistry(),
		received:   vec("received_total", "Payloads that came in, by kind.", "kind"),
		calls:      vec("slack_calls_total", "Calls of the Web API, by method and outcome.", "method", "outcome"),
		limited:    vec("slack_limited_total", "Calls that Slack refused by a rate limit, by method.", "method"),
		acks:       seconds("ack_seconds", "Time from a payload's arrival to its acknowledgement.", .005, .01, .025, .05, .1, .25, .5, 1, 2, 3),
		late:       seconds("notice_late_seconds", "Time from a notice's due time to its post.", .05, .1, .5, 1, 5, 30, 60, 300, 1800),
		errors:     counter("errors_total", "Faults of our own."),
		forged:     counter("forged_total", "Requests without a good signature."),
		reconnects: counter("reconnects_total", "Failed connections to Slack."),
		connected:  counter("connected_total", "Connections to Slack that were made."),
		ghosts:     prometheus.NewGauge(prometheus.GaugeOpts{Name: "heelpost_foreign_connections", Help: "Connections that Slack counts and that are not ours."}),
	}
	m.registry.MustRegister(m.received, m.calls, m.limited, m.acks, m.late, m.errors, m.forged, m.reconnects, m.connected, m.ghosts)
	return m
}

// counted counts the calls of the Web API. The client's own hooks miss posts.
func (a *Adapter) counted(c *http.Client) *http.Client {
	next := c.Transport
	if next == nil {
		next = http.DefaultTransport
	}
	out := *c
	out.Transport = roundTripper(func(r *http.Request) (*http.Response, error) {
		resp, err := next.RoundTrip(r)
		outcome := "unknown"
		if err == nil {
			outcome = http.StatusText(resp.StatusCode)
		}
		method := "other"
		if i := strings.LastIndex(r.URL.Path, "/api/"); i >= 0 {
			method = r.URL.Path[i+len("/api/"):]
		}
		a.metrics.calls.WithLabelValues(method, outcome).Inc()
		return resp, err
	})
	return &out
}

type roundTripper func(*http.Request) (*http.Response, error)

func (f roundTripper) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }

// Tallier counts notices; the store does.
type Tallier interface {
	Tally(ctx context.Context) (jobs.Tally, error)
}

// Ops serves the health of the process and its metrics. /healthz tells that
// it runs, whatever the store does: starting it anew would not help a store.
// /readyz tells that it can do its work.
func (a *Adapter) Ops(store Tallier) http.Handler {
	gauge := func(name, help string, value func(jobs.Tally) float64) {
		a.metrics.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "heelpost_" + name, Help: help}, func() float64 {
			ctx, cancel := context.WithTimeout(context.Background(), time.Second)
			defer cancel()
			t, err := store.Tally(ctx)
			if err != nil {
				return -1
			}
			return value(t)
		}))
	}
	gauge("notices_due", "Notices that wait, -1 while the store is away.", func(t jobs.Tally) float64 { return float64(t.Due + t.Waiting) })
	gauge("notices_failed", "Notices that were given up, -1 while the store is away.", func(t jobs.Tally) float64 { return float64(t.Failed) })
	gauge("oldest_due_seconds", "How long the notice that is due longest has been due, messages that came in among them.", func(t jobs.Tally) float64 {
		if t.Oldest == 0 {
			return 0
		}
		return max(0, time.Since(t.Oldest.Time()).Seconds())
	})
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte("ok\n")) })
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		ctx, cancel := context.WithTimeout(r.Context(), time.Second)
		defer cancel()
		if _, err := store.Tally(ctx); err != nil {
			http.Error(w, "the store is away", http.StatusServiceUnavailable)
			return
		}
		w.Write([]byte("ok\n"))
	})
	mux.Handle("GET /metrics", promhttp.HandlerFor(a.metrics.registry, promhttp.HandlerOpts{}))
	return mux
}
