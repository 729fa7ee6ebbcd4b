//go:build faults

package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"heelpost/bot/slack/fake"
	"heelpost/bot/talk"
	"heelpost/jobs/redis"
)

// soon sends again what nobody acknowledged as Slack does, but for waits that
// a test can sit out; and out of step with what it does every three seconds.
var soon = []time.Duration{0, 3700 * time.Millisecond, 11 * time.Second}

// first returns the first few of a list, to show what it is about.
func first[T any](all []T) []T { return all[:min(3, len(all))] }

// 300 events a second: each is acknowledged within three seconds, and each
// question answered once.
func TestLoad_Steady(t *testing.T) {
	w := newWorld(t, fake.Options{})
	w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(20)
	span := span(10*time.Second, time.Minute)
	tr.run(300, span)
	o := tr.settled()
	if s := w.Stats(); s.Lost+s.Late > 0 || tr.fails.Load() > 0 {
		t.Errorf("%d envelopes not acknowledged in time, %d late, %d commands and presses failed: %v", s.Lost, s.Late, tr.fails.Load(), first(w.Failed()))
	}
	tr.row(o, "300 envelopes a second for %v", span)
}

// Two thousand events at once.
func TestLoad_Burst(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(20)
	tr.settled()
	for sent := 0; sent < 2000; {
		sent += tr.act()
	}
	tr.hands.Wait()
	o := tr.settled()
	if s := w.Stats(); s.GivenUp > 0 {
		t.Errorf("%d events were given up", s.GivenUp)
	}
	tr.row(o, "2,000 envelopes at once")
}

// Slack refuses every second post for its rate: none is lost, none doubled.
func TestLoad_Limited(t *testing.T) {
	w := newWorld(t, fake.Options{})
	w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(5)
	w.Break(fake.Fault{Method: "chat.postMessage", Every: 2, Status: http.StatusTooManyRequests, RetryAfter: 1})
	span := span(5*time.Second, 20*time.Second)
	tr.run(60, span)
	o := tr.settled()
	if s := w.Stats(); s.Lost > 0 || tr.fails.Load() > 0 {
		t.Errorf("%d envelopes not acknowledged in time, %d commands and presses failed", s.Lost, tr.fails.Load())
	}
	tr.row(o, "60 envelopes a second for %v, %d of %d posts refused", span, len(w.Refused()), w.Calls("chat.postMessage"))
}

// Redis is stopped, or killed and started again, in the middle of the load:
// people are told, and nothing that was acknowledged is lost or doubled.
func TestLoad_RedisAway(t *testing.T) {
	away := span(8*time.Second, 20*time.Second)
	for _, c := range []struct {
		name, transport string
		leave, come     func(*world)
	}{
		{"stopped", "socket", func(w *world) { w.redis.cmd.Process.Signal(syscall.SIGSTOP) }, func(w *world) { w.redis.cmd.Process.Signal(syscall.SIGCONT) }},
		{"killed", "http", func(w *world) { w.redis.kill() }, func(w *world) { w.redis.run(w) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := newWorld(t, fake.Options{Resend: soon})
			p := w.serve(c.transport)
			w.await("readiness", 20*time.Second, func() bool { return p.answers("/readyz") })
			if c.transport == "http" {
				w.await("listener", 20*time.Second, func() bool { return w.UseHTTP(t.Context(), "http://"+p.listen) == nil })
			}
			tr := w.newTraffic(5)
			var outage sync.WaitGroup
			outage.Go(func() {
				<-time.After(2 * time.Second)
				c.leave(w)
				<-time.After(away)
				c.come(w)
			})
			tr.run(100, away+4*time.Second)
			outage.Wait()
			o := tr.settled()
			if s := w.Stats(); s.GivenUp > 0 || tr.fails.Load() > 0 {
				t.Errorf("%d events were given up, %d commands and presses failed: %v", s.GivenUp, tr.fails.Load(), first(w.Failed()))
			}
			words, sentences := 0, 0
			for _, channel := range channels {
				n := 0
				for _, m := range w.Messages(channel) {
					if strings.Contains(m.Text, "can't reach where the doors are kept") {
						n++
					}
				}
				if n != 1 {
					t.Errorf("%d words of the outage in %s", n, channel)
				}
				words += n
			}
			for _, user := range users {
				for _, m := range w.Ephemerals(user) {
					if strings.Contains(m.Text, "can't reach where the doors are kept") {
						sentences++
					}
				}
			}
			if sentences == 0 {
				t.Error("nobody who commanded or pressed was told")
			}
			tr.row(o, "100 envelopes a second over %s, Redis %s for %v, %d words in %d channels, %d people told", c.transport, c.name, away, words, len(channels), sentences)
		})
	}
}

// Both sockets are cut every few seconds.
func TestLoad_Cut(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(20)
	span := span(10*time.Second, 30*time.Second)
	cuts := every(5*time.Second, span, func(int) { w.Cut(0) })
	tr.run(300, span)
	cuts.Wait()
	o := tr.settled()
	if s := w.Stats(); s.GivenUp > 0 {
		t.Errorf("%d events were given up", s.GivenUp)
	}
	tr.row(o, "300 envelopes a second, both sockets cut every 5 s for %v, %d connections made", span, w.Stats().Sockets)
}

// every does something at intervals, from the middle of the first one on.
func every(pause, span time.Duration, do func(i int)) *sync.WaitGroup {
	var work sync.WaitGroup
	work.Go(func() {
		timer := time.NewTimer(pause / 2)
		defer timer.Stop()
		for i := 0; i < int(span/pause); i++ {
			<-timer.C
			timer.Reset(pause)
			do(i)
		}
	})
	return &work
}

// One of two replicas is killed every three seconds and started again, with
// notices due all the time: each is posted, none twice.
func TestLoad_Killed(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	replicas := []*process{w.serve("socket"), w.serve("socket")}
	w.connected(2)
	tr := w.newTraffic(20)
	// Posts are on their way when a replica dies, and some replies are lost.
	w.Break(fake.Fault{Method: "chat.postMessage", Every: 20, After: true, Cut: true})
	w.Break(fake.Fault{Method: "chat.postMessage", Delay: 100 * time.Millisecond})
	span := span(15*time.Second, time.Minute)
	tr.put(t.Context(), "due", int(50*span.Seconds()), span)
	kills := every(3*time.Second, span, func(i int) {
		replicas[i%2].end(syscall.SIGKILL)
		replicas[i%2] = w.serve("socket")
	})
	tr.run(60, span)
	kills.Wait()
	o := tr.settled()
	if s := w.Stats(); s.GivenUp > 0 {
		t.Errorf("%d events were given up", s.GivenUp)
	}
	tr.row(o, "60 envelopes and 50 notices a second for %v, a replica killed every 3 s, %d replies of posts lost, %d looks for a post", span, len(w.Refused()), w.Calls("conversations.replies")+w.Calls("conversations.history"))
}

// Two replicas are stopped and started again one after the other, under load
// and with notices due.
func TestLoad_Rolling(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	replicas := []*process{w.serve("socket"), w.serve("socket")}
	w.connected(2)
	tr := w.newTraffic(20)
	rounds := 2
	if testing.Short() {
		rounds = 1
	}
	longest := time.Duration(0)
	var roll sync.WaitGroup
	rolled := make(chan struct{})
	roll.Go(func() {
		defer close(rolled)
		for i := range 2 * rounds {
			old := replicas[i%2]
			replicas[i%2] = w.serve("socket")
			w.await("ready replica", 30*time.Second, func() bool { return replicas[i%2].answers("/readyz") })
			old.end(syscall.SIGTERM)
			longest = max(longest, old.stoppedIn)
			if old.err != nil {
				t.Errorf("a replica ended with %v", old.err)
			}
		}
	})
	for n := 0; ; n++ {
		tr.put(t.Context(), fmt.Sprint("due", n, "-"), 50, time.Second)
		tr.run(200, time.Second)
		select {
		case <-rolled:
		default:
			continue
		}
		break
	}
	o := tr.settled()
	if s := w.Stats(); s.GivenUp > 0 || longest > 10*time.Second {
		t.Errorf("%d events were given up; a replica took %v to stop", s.GivenUp, longest)
	}
	tr.row(o, "200 envelopes and 50 notices a second, %d replicas replaced, the longest stop %v", 2*rounds, longest.Round(time.Millisecond))
}

// Signed slash commands over 64 connections, beside two bare handlers that
// check the signature and go to Redis once: one reads it as ours does and says
// always the same, the other reads the form, computes the same answer, writes
// it as JSON and marks the command in Redis.
func TestLoad_Commands(t *testing.T) {
	w := newWorld(t, fake.Options{})
	all := []*process{w.serve("http"), w.start(exec.Command("bare"), "BARE=fixed"), w.start(exec.Command("bare"), "BARE=marked")}
	for _, p := range all {
		w.await("listener", 20*time.Second, func() bool {
			c, err := net.Dial("tcp", p.listen)
			if err == nil {
				c.Close()
			}
			return err == nil
		})
	}
	span := span(time.Second, 5*time.Second)
	rates := make([][]float64, len(all))
	rounds := 5
	if testing.Short() {
		rounds = 3
	}
	for range rounds {
		for i, p := range all {
			rates[i] = append(rates[i], w.commands(p.listen, 64, span))
		}
	}
	ratio := func(beside []float64) float64 {
		var all []float64
		for i, r := range rates[0] {
			all = append(all, r/beside[i])
		}
		slices.Sort(all)
		return all[len(all)/2]
	}
	t.Logf("slash commands over 64 connections, in turns of %v: ours %.0f a second; bare %.0f, ratio %.2f; bare, marked %.0f, ratio %.2f (goal 0.85)",
		span, rates[0], rates[1], ratio(rates[1]), rates[2], ratio(rates[2]))
}

// commands sends signed commands over so many connections and returns how
// many were answered in a second. The client is bare as well: it shares the
// processors.
func (w *world) commands(addr string, connections int, span time.Duration) (rate float64) {
	w.t.Helper()
	form := url.Values{"api_app_id": {fake.App}, "channel_id": {channels[1]}, "channel_name": {"talk"}, "command": {"/door"}, "is_enterprise_install": {"false"},
		"response_url": {w.URL() + "none"}, "team_domain": {"fake"}, "team_id": {fake.Team}, "text": {"gap 54 60"}, "token": {"none"},
		"trigger_id": {"13345224609.738474920.8088930838d88f008e0"}, "user_id": {users[0]}, "user_name": {"ana"}}
	body := form.Encode()
	r, err := http.NewRequest(http.MethodPost, "http://"+addr+"/slack/commands", strings.NewReader(body))
	if err != nil {
		w.t.Fatal(err)
	}
	r.Header = fake.Sign(w.Secret(), time.Now(), []byte(body))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	var text strings.Builder
	if err := r.Write(&text); err != nil {
		w.t.Fatal(err)
	}
	end := time.Now().Add(span)
	counts := make([]int, connections)
	var clients sync.WaitGroup
	for i := range counts {
		clients.Go(func() {
			c, err := net.Dial("tcp", addr)
			if err != nil {
				w.t.Error(err)
				return
			}
			defer c.Close()
			in := bufio.NewReaderSize(c, 8192)
			for time.Now().Before(end) {
				io.WriteString(c, text.String())
				resp, err := http.ReadResponse(in, nil)
				if err != nil {
					w.t.Error(err)
					return
				}
				answer, err := io.ReadAll(resp.Body)
				if err != nil || resp.StatusCode != http.StatusOK || !strings.Contains(string(answer), " mm") {
					w.t.Errorf("status %d, %s, %v", resp.StatusCode, answer, err)
					return
				}
				counts[i]++
			}
		})
	}
	clients.Wait()
	for _, n := range counts {
		rate += float64(n) / span.Seconds()
	}
	return rate
}

func init() { programs["bare"] = bare }

// bare answers signed requests after one round trip to Redis.
func bare() {
	ctx := context.Background()
	secret, fixed := os.Getenv("SLACK_SIGNING_SECRET"), os.Getenv("BARE") == "fixed"
	store, err := redis.Open(ctx, os.Getenv("HEELPOST_REDIS"), redis.Options{Workspace: "bare"})
	var commands atomic.Int64
	serve := func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, 1<<20))
		at, err2 := time.ParseDuration(r.Header.Get("X-Slack-Request-Timestamp") + "s")
		signed := fake.Sign(secret, time.Unix(int64(at.Seconds()), 0), body)
		if err != nil || err2 != nil || signed.Get("X-Slack-Signature") != r.Header.Get("X-Slack-Signature") {
			http.Error(w, "not signed", http.StatusUnauthorized)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		if fixed {
			store.Question(r.Context(), "none")
			io.WriteString(w, `{"response_type":"ephemeral","text":"gap 9 mm"}`)
			return
		}
		store.Keep(r.Context(), fmt.Sprint(commands.Add(1)), nil)
		form, _ := url.ParseQuery(string(body))
		text := talk.Ask(form.Get("text")).Text()
		section := map[string]any{"type": "section", "text": map[string]any{"type": "plain_text", "text": text}}
		json.NewEncoder(w).Encode(map[string]any{"response_type": "ephemeral", "text": text, "blocks": []any{section}})
	}
	if err == nil {
		err = http.ListenAndServe(os.Getenv("HEELPOST_LISTEN"), http.HandlerFunc(serve))
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// How soon the binary that is shipped is healthy.
func TestLoad_Start(t *testing.T) {
	w := newWorld(t, fake.Options{})
	binary := filepath.Join(w.dir, "heelpost")
	build := exec.Command("go", "build", "-ldflags=-s -w", "-o", binary, ".")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, transport := range []string{"http", "socket"} {
		var took []time.Duration
		for range 11 {
			began := time.Now()
			p := w.start(exec.Command(binary, "serve"), "HEELPOST_TRANSPORT="+transport)
			for !p.answers("/healthz") {
				if time.Since(began) > 20*time.Second {
					t.Fatalf("not healthy: %s", w.read(p.log))
				}
			}
			took = append(took, time.Since(began))
			w.await("readiness", 20*time.Second, func() bool { return p.answers("/readyz") })
			p.end(syscall.SIGTERM)
			if p.err != nil {
				t.Errorf("ended with %v", p.err)
			}
		}
		slices.Sort(took)
		t.Logf("%s: healthy after %v, at most %v (goal 80ms)", transport, took[len(took)/2].Round(100*time.Microsecond), took[len(took)-1].Round(100*time.Microsecond))
	}
}
