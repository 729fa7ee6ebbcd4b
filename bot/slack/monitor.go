package slack

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Monitor is what operators watch: health and metrics. It is there before the
// adapter is, so that a process can be seen starting.
type Monitor struct {
	registry   *prometheus.Registry
	answers    *prometheus.CounterVec // by kind of post
	received   *prometheus.CounterVec // by kind
	calls      *prometheus.CounterVec // by method and HTTP status
	limited    *prometheus.CounterVec // by method
	retries    prometheus.Counter
	acks       prometheus.Histogram
	late       prometheus.Histogram
	errors     prometheus.Counter
	forged     prometheus.Counter
	reconnects prometheus.Counter
	connected  prometheus.Counter
	foreign    prometheus.Gauge
	store      atomic.Pointer[tallied]
	sockets    atomic.Bool  // what comes in comes over connections of ours
	standing   atomic.Int32 // connections that stand now
}

// NewMonitor returns a monitor of a process that is starting.
func NewMonitor() *Monitor {
	counter := func(name, help string) prometheus.Counter {
		return prometheus.NewCounter(prometheus.CounterOpts{Name: "heelpost_" + name, Help: help})
	}
	vec := func(name, help string, labels ...string) *prometheus.CounterVec {
		return prometheus.NewCounterVec(prometheus.CounterOpts{Name: "heelpost_" + name, Help: help}, labels)
	}
	seconds := func(name, help string, buckets ...float64) prometheus.Histogram {
		return prometheus.NewHistogram(prometheus.HistogramOpts{Name: "heelpost_" + name, Help: help, Buckets: buckets})
	}
	m := &Monitor{
		registry:   prometheus.NewRegistry(),
		answers:    vec("posts_total", "Posts of the bot, by kind.", "kind"),
		received:   vec("received_total", "Payloads that came in, by kind.", "kind"),
		calls:      vec("slack_calls_total", "Calls of the Web API, by method and HTTP status.", "method", "status"),
		limited:    vec("slack_limited_total", "Calls that Slack refused by a rate limit, by method.", "method"),
		acks:       seconds("ack_seconds", "Time from a payload's arrival to its acknowledgement.", .005, .01, .025, .05, .1, .25, .5, 1, 2, 3),
		late:       seconds("notice_late_seconds", "Time from a notice's due time to its post.", .05, .1, .5, 1, 5, 30, 60, 300, 1800),
		retries:    counter("retries_total", "Calls of the Web API that failed and are tried again."),
		errors:     counter("errors_total", "Faults of our own."),
		forged:     counter("forged_total", "Requests without a good signature."),
		reconnects: counter("reconnects_total", "Failed connections to Slack."),
		connected:  counter("connected_total", "Connections to Slack that were made."),
		foreign:    prometheus.NewGauge(prometheus.GaugeOpts{Name: "heelpost_foreign_connections", Help: "Connections that Slack counts and that are not ours."}),
	}
	m.registry.MustRegister(m.answers, m.received, m.calls, m.limited, m.retries, m.acks, m.late, m.errors, m.forged, m.reconnects, m.connected, m.foreign, m)
	return m
}

// Tallier counts notices; the store does.
type Tallier interface {
	Tally(ctx context.Context) (jobs.Tally, error)
}

type tallied struct {
	Tallier
	ctx context.Context // of the process: a collector is given none
}

// Watch begins to count the notices of a store, until ctx ends. The process is
// ready then.
func (m *Monitor) Watch(ctx context.Context, store Tallier) { m.store.Store(&tallied{store, ctx}) }

// What keeps a process from being ready.
var (
	errStarting = errors.New("still starting")
	errUnlinked = errors.New("no connection to slack")
)

func (m *Monitor) tally(ctx context.Context) (jobs.Tally, error) {
	store := m.store.Load()
	if store == nil {
		return jobs.Tally{}, errStarting
	}
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	return store.Tally(ctx)
}

// The state of the store, as metrics.
var (
	storeUp    = prometheus.NewDesc("heelpost_store_up", "1 while the store answers.", nil, nil)
	noticesDue = prometheus.NewDesc("heelpost_notices", "Notices, messages that came in among them, by place.", []string{"place"}, nil)
	oldestDue  = prometheus.NewDesc("heelpost_oldest_due_seconds", "How long what waits longest has been due, counted from its first try.", nil, nil)
	unanswered = prometheus.NewDesc("heelpost_oldest_unanswered_seconds", "How long ago the oldest message was received that is not answered.", nil, nil)
)

// Describe and Collect make the monitor a collector of the store's state.
func (m *Monitor) Describe(ch chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{storeUp, noticesDue, oldestDue, unanswered} {
		ch <- d
	}
}

// Collect reads the store's state.
func (m *Monitor) Collect(ch chan<- prometheus.Metric) {
	gauge := func(d *prometheus.Desc, v float64, labels ...string) {
		ch <- prometheus.MustNewConstMetric(d, prometheus.GaugeValue, v, labels...)
	}
	store := m.store.Load()
	if store == nil {
		gauge(storeUp, 0)
		return
	}
	t, err := m.tally(store.ctx)
	if err != nil {
		gauge(storeUp, 0)
		return
	}
	gauge(storeUp, 1)
	for place, n := range map[string]int{"due": t.Due, "leased": t.Leased, "waiting": t.Waiting, "failed": t.Failed} {
		gauge(noticesDue, float64(n), place)
	}
	for d, since := range map[*prometheus.Desc]jobs.Millis{oldestDue: t.Overdue, unanswered: t.Unanswered} {
		late := 0.0
		if since != 0 {
			late = max(0, time.Since(since.Time()).Seconds())
		}
		gauge(d, late)
	}
}

// Handler serves /healthz, which tells that the process runs, whatever the
// store does: starting it anew would mend no store; /readyz, which tells that
// it can do its work; and /metrics.
func (m *Monitor) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "ok\n") })
	mux.HandleFunc("GET /readyz", func(w http.ResponseWriter, r *http.Request) {
		_, err := m.tally(r.Context())
		if err == nil && m.sockets.Load() && m.standing.Load() == 0 {
			err = errUnlinked
		}
		if err != nil {
			http.Error(w, say.F("not ready: %s", err.Error()).String(), http.StatusServiceUnavailable)
			return
		}
		io.WriteString(w, "ok\n")
	})
	mux.Handle("GET /metrics", promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{}))
	return mux
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
		status := "none"
		if err == nil {
			status = strconv.Itoa(resp.StatusCode)
		}
		method := "other"
		if i := strings.LastIndex(r.URL.Path, "/api/"); i >= 0 {
			method = r.URL.Path[i+len("/api/"):]
			a.reach.follow(r.Context(), resp, err)
		}
		a.metrics.calls.WithLabelValues(method, status).Inc()
		return resp, err
	})
	return &out
}

type roundTripper func(*http.Request) (*http.Response, error)

func (f roundTripper) RoundTrip(r *http.Request) (*http.Response, error) { return f(r) }
