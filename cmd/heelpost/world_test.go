//go:build faults

package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
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
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// The people and channels of the load tests; the site has the first channel.
var (
	crew     = map[string]string{"ana": "U0ANA0001", "bo": "U0BO00001", "cy": "U0CY00001", "mo": "U0MO00001", "ivy": "U0IVY0001"}
	users    = []string{crew["ana"], crew["bo"], crew["cy"], crew["mo"], crew["ivy"]}
	channels = []string{"C0DOORS01", "C0TALK001", "C0TALK002", "C0TALK003"}
)

const (
	site    = "orchard-lane"
	mention = "@" + fake.BotName + " "
	lease   = 2 * time.Second
)

// world is a Slack, a redis-server with the configuration that we ship, and
// replicas of the program, each a process.
type world struct {
	t *testing.T
	*fake.Server
	redis       *server
	store       *redis.Store
	dir, sheets string
	names       int
}

// newWorld starts all but the replicas.
func newWorld(t *testing.T, o fake.Options) *world {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		if os.Getenv("HEELPOST_NEED_REDIS") != "" {
			t.Fatal(err)
		}
		t.Skip("redis-server is missing: this test is not run (apt-get install redis-server)")
	}
	if o.PostEvery == 0 {
		o.PostEvery = -1 // HEELPOST_SLACK_FAST takes our own limits away
	}
	slack, err := fake.New(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(slack.Close)
	w := &world{t: t, Server: slack, dir: t.TempDir()}
	for name, id := range crew {
		w.AddPeople(fake.Person{ID: id, Name: name})
	}
	for _, id := range channels {
		w.AddChannels(fake.Channel{ID: id, Name: strings.ToLower(id), Members: append([]string{fake.Bot}, users...)})
	}
	w.furnish("../../testdata")
	w.redis = w.startRedis()
	if w.store, err = redis.Open(t.Context(), w.redis.url(), redis.Options{Workspace: fake.Team}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.store.Close() })
	return w
}

// furnish takes the site and the sheets of a folder.
func (w *world) furnish(folder string) {
	text := string(w.read(folder + "/sites/orchard-lane.yaml"))
	for name, id := range crew {
		text = strings.Replace(text, "{id: "+name+",", "{id: "+name+", account: "+id+",", 1)
	}
	w.write("orchard-lane.yaml", strings.Replace(text, "[doors-orchard-lane]", "["+channels[0]+"]", 1))
	w.write("orchard-lane.ics", string(w.read(folder+"/sites/orchard-lane.ics")))
	w.sheets = folder + "/sheets"
}

func (w *world) read(path string) []byte {
	w.t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		w.t.Fatal(err)
	}
	return data
}

func (w *world) write(name, text string) {
	w.t.Helper()
	if err := os.WriteFile(filepath.Join(w.dir, name), []byte(text), 0o600); err != nil {
		w.t.Fatal(err)
	}
}

// await asks again and again until something is true.
func (w *world) await(what string, within time.Duration, ok func() bool) {
	w.t.Helper()
	tick := time.NewTicker(20 * time.Millisecond)
	defer tick.Stop()
	for end := time.After(within); !ok(); {
		select {
		case <-tick.C:
		case <-end:
			tally, err := w.store.Tally(w.t.Context())
			w.t.Fatalf("no %s within %v; store: %+v, %v", what, within, tally, err)
		}
	}
}

// server is a redis-server.
type server struct {
	addr string
	args []string
	cmd  *exec.Cmd
}

const password = "a-password-for-tests"

func (w *world) startRedis() *server {
	sum := sha256.Sum256([]byte(password))
	conf := strings.ReplaceAll(string(w.read("../../deploy/redis.conf")), strings.Repeat("0", 64), hex.EncodeToString(sum[:]))
	w.write("redis.conf", conf)
	addr := w.freeAddr()
	_, port, _ := net.SplitHostPort(addr)
	s := &server{addr: addr, args: []string{filepath.Join(w.dir, "redis.conf"), "--port", port, "--dir", w.dir, "--bind", "127.0.0.1", "--logfile", filepath.Join(w.dir, "redis.log")}}
	s.run(w)
	w.t.Cleanup(func() {
		s.cmd.Process.Signal(syscall.SIGCONT)
		s.kill()
	})
	return s
}

// run starts the program; [redis.Open] waits until it answers.
func (s *server) run(w *world) {
	w.t.Helper()
	s.cmd = exec.Command("redis-server", s.args...)
	if err := s.cmd.Start(); err != nil {
		w.t.Fatal(err)
	}
	w.await("redis-server", 20*time.Second, func() bool {
		c, err := net.Dial("tcp", s.addr)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
}

// kill ends the program at once, as a crash does.
func (s *server) kill() {
	s.cmd.Process.Kill()
	s.cmd.Wait()
}

func (s *server) url() string { return "redis://heelpost:" + password + "@" + s.addr }

func (w *world) freeAddr() string {
	w.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		w.t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// process is a program of ours that runs.
type process struct {
	cmd       *exec.Cmd
	listen    string // where requests come in
	ops       string
	log       string
	ended     chan struct{}
	err       error
	stoppedIn time.Duration
}

// serve starts a replica.
func (w *world) serve(transport string) *process {
	w.t.Helper()
	return w.start(exec.Command("heelpost", "serve"), "HEELPOST_TRANSPORT="+transport)
}

// start starts a program on the world.
func (w *world) start(cmd *exec.Cmd, more ...string) *process {
	w.t.Helper()
	w.names++
	p := &process{cmd: cmd, listen: w.freeAddr(), ops: w.freeAddr(), log: filepath.Join(w.dir, fmt.Sprintf("log%d", w.names)), ended: make(chan struct{})}
	cmd.Env = append(append(os.Environ(), "HEELPOST_REDIS="+w.redis.url(), "HEELPOST_SITES="+w.dir, "HEELPOST_SHEETS="+w.sheets,
		"HEELPOST_SLACK_API="+w.URL(), "SLACK_BOT_TOKEN="+fake.BotToken, "SLACK_APP_TOKEN="+fake.AppToken, "SLACK_SIGNING_SECRET="+w.Secret(),
		"HEELPOST_LISTEN="+p.listen, "HEELPOST_OPS_LISTEN="+p.ops, "HEELPOST_SLACK_FAST=true", fmt.Sprint("HEELPOST_LEASE=", lease)), more...)
	log, err := os.Create(p.log)
	if err != nil {
		w.t.Fatal(err)
	}
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	if err := cmd.Start(); err != nil {
		w.t.Fatal(err)
	}
	go func() { p.err = cmd.Wait(); close(p.ended) }()
	w.t.Cleanup(func() {
		cmd.Process.Kill()
		<-p.ended
		if w.t.Failed() {
			w.t.Logf("%s", tail(w.read(p.log)))
		}
	})
	return p
}

// tail returns the last lines of a log.
func tail(log []byte) string {
	lines := strings.Split(string(log), "\n")
	return strings.Join(lines[max(0, len(lines)-12):], "\n")
}

// connected waits until the replicas have all their connections.
func (w *world) connected(replicas int) {
	w.t.Helper()
	w.await("connection", 30*time.Second, func() bool { return w.Sockets() >= 2*replicas })
}

// end stops a process by a signal and waits for its end.
func (p *process) end(sig syscall.Signal) {
	began := time.Now()
	p.cmd.Process.Signal(sig)
	<-p.ended
	p.stoppedIn = time.Since(began)
}

// answers reports whether a process answers at a path of its ops listener.
func (p *process) answers(path string) bool {
	resp, err := http.Get("http://" + p.ops + path)
	if err == nil {
		resp.Body.Close()
	}
	return err == nil && resp.StatusCode == http.StatusOK
}

// traffic is what people do, and what must come of it.
type traffic struct {
	w     *world
	faces []fake.Message // of doors
	next  string         // the button of a face
	talk  []string       // threads of people's own, by channel
	n     int
	want  map[string]string // the posts that must be there once, by id without due time, and what led to them
	hands sync.WaitGroup
	rest  time.Time // since when nothing is in hand
	calls int
	fails atomic.Int64 // commands and presses that people saw fail
}

// newTraffic opens some doors.
func (w *world) newTraffic(doors int) *traffic {
	w.t.Helper()
	tr := &traffic{w: w, want: map[string]string{}}
	for i := range doors {
		tr.open(fmt.Sprint("A-", i+1))
	}
	w.await("door", 30*time.Second, func() bool {
		tr.faces = tr.faces[:0]
		for _, m := range w.Messages(channels[0]) {
			var meta struct{ ID string }
			if m.Metadata != nil && json.Unmarshal(m.Metadata.EventPayload, &meta) == nil && strings.Contains(meta.ID, ":door@") {
				tr.faces = append(tr.faces, m)
			}
		}
		return len(tr.faces) == doors
	})
	var blocks []struct {
		Elements []struct {
			ID   string `json:"action_id"`
			Text struct{ Text string }
		}
	}
	if err := json.Unmarshal(tr.faces[0].Blocks, &blocks); err != nil {
		w.t.Fatal(err)
	}
	for _, b := range blocks {
		for _, e := range b.Elements {
			if e.Text.Text == "Next" {
				tr.next = e.ID
			}
		}
	}
	for _, c := range channels {
		tr.talk = append(tr.talk, w.Say(c, users[1], "who has the ladder?", ""))
	}
	return tr
}

// open opens a door, whose face must be there once, and the word on it.
func (tr *traffic) open(id string) {
	ts := tr.w.Say(channels[0], users[0], mention+"door open "+id+" 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo", "")
	tr.want[site+"/"+id+":door"] = "face"
	tr.want[site+"/"+id+":entry:in:"+channels[0]+"/"+ts] = "order"
}

// door returns the key of the door of a face.
func door(face fake.Message) string {
	var meta struct{ Door string }
	json.Unmarshal(face.Metadata.EventPayload, &meta)
	return meta.Door
}

// act does the next thing that people do and returns how many envelopes that
// is: a mention comes as a message as well.
func (tr *traffic) act() int {
	n := tr.n
	tr.n++
	user, channel := users[n%len(users)], channels[n/7%len(channels)]
	question := fmt.Sprintf("gap %d %d", 40+n%20, 55+n%30)
	if n%64 == 2 {
		tr.open(fmt.Sprint("B-", n))
		return 2
	}
	switch n % 16 {
	case 1, 9:
		tr.asked("question", channel, tr.w.Say(channel, user, mention+question, ""))
		return 2
	case 3:
		tr.asked("direct", tr.w.Direct(user), tr.w.DM(user, question))
	case 5:
		face := tr.faces[n/16%len(tr.faces)]
		tr.asked("thread", face.Channel, tr.w.Say(face.Channel, user, question, face.TS))
	case 7:
		face := tr.faces[n/16%len(tr.faces)]
		ts := tr.w.Say(face.Channel, users[n/16%2], fmt.Sprintf("%ssnag scratch %d @bo", mention, n), face.TS)
		tr.want[door(face)+":entry:in:"+face.Channel+"/"+ts] = "order"
		return 2
	case 11:
		tr.call(func() error { return tr.w.Command(user, channel, "/door", question) })
	case 13:
		tr.call(func() error { return tr.w.Press(user, tr.faces[n/16%len(tr.faces)], tr.next) })
	case 15:
		tr.w.Say(channel, user, fmt.Sprintf("mine is %d wide", n), tr.talk[n/7%len(channels)])
	default:
		tr.w.Say(channel, user, fmt.Sprintf("bring %d more boards up", n), "")
	}
	return 1
}

func (tr *traffic) asked(what, channel, ts string) { tr.want["in:"+channel+"/"+ts] = what }

// call does something that is answered at once, and counts what fails.
func (tr *traffic) call(do func() error) {
	tr.calls++
	tr.hands.Go(func() {
		if do() != nil {
			tr.fails.Add(1)
		}
	})
}

// run lets so many envelopes a second come in for a while.
func (tr *traffic) run(perSecond int, span time.Duration) {
	began := time.Now()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for sent := 0; ; {
		at := time.Since(began)
		for sent < int(min(at, span).Seconds()*float64(perSecond)) {
			sent += tr.act()
		}
		if at >= span {
			break
		}
		<-tick.C
	}
	tr.hands.Wait()
}

// outcome is what became of the traffic.
type outcome struct{ lost, doubled int }

// settled waits until everything that came in is dealt with, and counts what
// is missing and what is there twice.
func (tr *traffic) settled() (o outcome) {
	tr.w.t.Helper()
	var missing []string
	tr.w.await("rest", 3*time.Minute, func() bool {
		tally, err := tr.w.store.Tally(tr.w.t.Context())
		if err != nil || tr.w.Unacked() > 0 || tally.Leased+tally.Waiting > 0 || tally.Oldest != 0 && time.Until(tally.Oldest.Time()) < time.Minute {
			tr.rest = time.Time{}
			return false
		}
		if tr.rest.IsZero() {
			tr.rest = time.Now()
		}
		missing = tr.missing()
		return len(missing) == 0 || time.Since(tr.rest) > 30*time.Second // Slack may send again
	})
	times := map[string]int{}
	for id, n := range tr.w.Posted() {
		base, _, _ := strings.Cut(id, "@")
		times[base] += n
		if n > 1 {
			o.doubled++
			tr.w.t.Errorf("%s was posted %d times", id, n)
		}
	}
	for id, what := range tr.want {
		if n := times[id]; n > 1 {
			o.doubled++
			tr.w.t.Errorf("%s %s was answered %d times", what, id, n)
		}
	}
	if o.lost = len(missing); o.lost > 0 {
		tr.w.t.Errorf("%d of %d lost, among them %v", o.lost, len(tr.want), first(missing))
	}
	return o
}

// missing returns what should be there and is not.
func (tr *traffic) missing() (out []string) {
	there := map[string]bool{}
	for id := range tr.w.Posted() {
		base, _, _ := strings.Cut(id, "@")
		there[base] = true
	}
	for id, what := range tr.want {
		if !there[id] {
			out = append(out, what+" "+id)
		}
	}
	slices.Sort(out)
	return out
}

// row prints a line of the table.
func (tr *traffic) row(o outcome, more string, args ...any) {
	s, delays := tr.w.Stats(), tr.w.Delays()
	at := func(q float64) time.Duration {
		if len(delays) == 0 {
			return 0
		}
		return delays[int(q*float64(len(delays)-1))].Round(100 * time.Microsecond)
	}
	tr.w.t.Logf("sent %d, unanswered %d, given up %d · to answer once %d, lost %d, doubled %d · commands and presses %d, failed %d · acknowledged p50 %v p99 %v max %v · %s",
		s.Sent, s.Lost, s.GivenUp, len(tr.want), o.lost, o.doubled, tr.calls, tr.fails.Load(), at(.5), at(.99), at(1), fmt.Sprintf(more, args...))
}

// span returns how long a part takes: in CI, with -short, less than by hand.
func span(short, full time.Duration) time.Duration {
	if testing.Short() {
		return short
	}
	return full
}

// put stores notices of the kinds that reminders and announcements are, that
// come due over a span from now on, half of them in threads of doors.
func (tr *traffic) put(ctx context.Context, prefix string, n int, span time.Duration) {
	tr.w.t.Helper()
	now := time.Now()
	for i := range n {
		x := jobs.Notice{ID: fmt.Sprint("announce:", prefix, i), Kind: "announce", Due: jobs.DueAt(now.Add(span * time.Duration(i) / time.Duration(n))),
			Args: map[string]string{"site": site, "text": fmt.Sprintf("the lift is out, %d", i)}}
		if i%2 == 0 {
			key := door(tr.faces[i/2%len(tr.faces)])
			x.ID, x.Kind, x.Door, x.Thread = fmt.Sprint(key, ":", prefix, i), jobs.TellNow, key, key
			x.Args = map[string]string{"to": "all", "what": "the lift", "text": fmt.Sprintf("is out, %d", i)}
		}
		if _, err := tr.w.store.Commit(ctx, jobs.Change{Op: "put-" + x.ID, At: jobs.NowAt(now), Put: []jobs.Notice{x}}); err != nil {
			tr.w.t.Fatal(err)
		}
		tr.want[x.ID] = "notice"
	}
}
