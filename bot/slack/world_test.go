package slack

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"log/slog"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"heelpost/bot/say"
	"heelpost/bot/script"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
	"heelpost/jobs/redis"
	"heelpost/jobs/redis/redistest"
)

// TestMain lets many worlds live side by side: they mostly wait.
func TestMain(m *testing.M) {
	flag.Parse()
	flag.Set("test.parallel", "12")
	os.Exit(m.Run())
}

// The people of the world, by their accounts.
const (
	ana, bo, cy, mo, ivy = "U0ANA0001", "U0BO00001", "U0CY00001", "U0MO00001", "U0IVY0001"
	guest                = "U0GUEST01" // named in no site file
	doors, other         = "C0DOORS01", "C0OTHER01"
)

// world is a Slack with the bot at work in it.
type world struct {
	t *testing.T
	*fake.Server
	store        *flaky
	desk         *works
	a            *Adapter
	conversation string // what it adds to its files is in use
	logs         lockedBuffer
	end          func() error // stops the bot

	clock    func() time.Time // nil: the real one, with a runner on it
	client   *http.Client     // nil: over the loopback address
	dialer   *websocket.Dialer
	language *say.Language // nil: English
	expected []string      // codes of refusals that the test brings about
}

// pulse wakes those who wait for something to change.
type pulse struct {
	mu   sync.Mutex
	next chan struct{}
}

func (p *pulse) wait() <-chan struct{} {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.next == nil {
		p.next = make(chan struct{})
	}
	return p.next
}

func (p *pulse) beat() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.next != nil {
		close(p.next)
		p.next = nil
	}
}

type lockedBuffer struct {
	mu      sync.Mutex
	b       bytes.Buffer
	changed pulse
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	defer l.changed.beat()
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// flaky is a store that can be away.
type flaky struct {
	*redis.Store
	away    atomic.Bool
	lost    atomic.Value // part of the name of an index that can't be read
	changed pulse
}

func (f *flaky) Settle(ctx context.Context, runner, op string, now jobs.Millis, s []jobs.Settlement) ([]bool, error) {
	defer f.changed.beat()
	return f.Store.Settle(ctx, runner, op, now, s)
}

var errAway = errors.New("no way there")

func (f *flaky) Receive(ctx context.Context, seen string, n jobs.Notice, now jobs.Millis) (bool, error) {
	if f.away.Load() {
		return false, errAway
	}
	return f.Store.Receive(ctx, seen, n, now)
}

func (f *flaky) Bound(ctx context.Context, names ...string) ([]string, error) {
	if f.away.Load() {
		return nil, errAway
	}
	return f.Store.Bound(ctx, names...)
}

func (f *flaky) Commit(ctx context.Context, c jobs.Change) (jobs.Answer, error) {
	if f.away.Load() {
		return jobs.Answer{}, errAway
	}
	defer f.changed.beat()
	return f.Store.Commit(ctx, c)
}

func (f *flaky) Doors(ctx context.Context, index string, from, count int) ([]jobs.Record, int, error) {
	if lost, _ := f.lost.Load().(string); lost != "" && strings.Contains(index, lost) {
		return nil, 0, errAway
	}
	return f.Store.Doors(ctx, index, from, count)
}

func (f *flaky) Question(ctx context.Context, key string) ([]byte, error) {
	if f.away.Load() {
		return nil, errAway
	}
	return f.Store.Question(ctx, key)
}

// accounts puts accounts into the example's site file.
func accounts(t testing.TB) *jobs.Site { return accountsWith(t, "") }

// accountsWith is that with what a conversation adds to the site's file.
func accountsWith(t testing.TB, conversation string) *jobs.Site {
	read := func(path string) []byte {
		data, err := os.ReadFile("../../testdata/" + path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	text := strings.NewReplacer("{id: ana,", "{id: ana, account: "+ana+",", "{id: bo,", "{id: bo, account: "+bo+",", "{id: cy,", "{id: cy, account: "+cy+",",
		"{id: mo,", "{id: mo, account: "+mo+",", "{id: ivy,", "{id: ivy, account: "+ivy+",", "[doors-orchard-lane]", "["+doors+"]").Replace(string(read("sites/orchard-lane.yaml")) + script.Added(conversation, "orchard-lane.yaml"))
	site, err := jobs.ParseSite([]byte(text), read("sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	return site
}

// newFake returns a Slack with the people and channels of the world, and with
// the app as its manifest makes it: what that does not ask for, no test has.
func newFake(t testing.TB, o fake.Options) *fake.Server {
	m := readManifest(t, manifestPath)
	o.Scopes, o.Events = m.OAuth.Scopes.Bot, m.Settings.Events.Bot
	s, err := fake.New(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	s.AddPeople(fake.Person{ID: ana, Name: "ana"}, fake.Person{ID: bo, Name: "bo"}, fake.Person{ID: cy, Name: "cy"}, fake.Person{ID: mo, Name: "mo"},
		fake.Person{ID: ivy, Name: "ivy"}, fake.Person{ID: guest, Name: "guest", Team: fake.OtherTeam})
	all := []string{ana, bo, cy, mo, ivy, guest, fake.Bot}
	s.AddChannels(fake.Channel{ID: doors, Name: "doors", Members: all}, fake.Channel{ID: other, Name: "other", Members: all})
	return s
}

// inWorld starts a world on a store inside the process, without rates.
func inWorld(t *testing.T) *world { return inWorldOf(t, nil) }

// inWorldOf starts one where the bot speaks a language.
func inWorldOf(t *testing.T, l *say.Language) *world {
	t.Parallel() // they mostly wait
	store := redistest.Open(t, fake.Team)
	// Oftener than Slack's three times: a fault at every third envelope may
	// strike the same one four times, and then it is Slack that loses it.
	resend := append([]time.Duration{0, 100 * time.Millisecond}, slices.Repeat([]time.Duration{time.Second}, 9)...)
	w := &world{t: t, Server: newFake(t, fake.Options{PostEvery: -1, Resend: resend}), store: &flaky{Store: store}, language: l}
	w.begin(NoLimits)
	t.Cleanup(func() {
		for _, r := range w.Refused() {
			if slices.Contains(hopeless, r.Code) && !slices.Contains(w.expected, r.Code) {
				t.Errorf("slack refused %s: %s %v", r.Method, r.Code, r.Details)
			}
		}
	})
	return w
}

// begin starts the bot.
func (w *world) begin(limits Limits) {
	w.t.Helper()
	ctx, stop := context.WithCancelCause(w.t.Context())
	a, err := New(ctx, Config{Name: "w1", BotToken: fake.BotToken, AppToken: fake.AppToken, Secrets: []string{w.Secret()}, API: w.URL(), Limits: limits, Client: w.client, Dialer: w.dialer,
		Stop: stop, Stagger: 2 * time.Millisecond, Clock: w.clock, Language: w.language, Log: slog.New(slog.NewJSONHandler(&w.logs, nil))})
	if err != nil {
		w.t.Fatal(err)
	}
	w.a, w.desk = a, newWorks("w1", w.store, a)
	w.desk.Denied, w.desk.Language, w.desk.bot.Language = a.Denied, w.language, w.language
	a.Work(w.store, w.desk, w.desk.bot)
	for _, name := range []string{"orchard", "quarry", "terrace", "harbour"} {
		sheet, err := os.ReadFile("../../testdata/sheets/" + name + ".yaml")
		if err != nil {
			w.t.Fatal(err)
		}
		if err := w.desk.UseSheet(ctx, append(sheet, script.Added(w.conversation, name+".yaml")...)); err != nil {
			w.t.Fatal(err)
		}
	}
	if err := w.desk.UseSite(ctx, accountsWith(w.t, w.conversation)); err != nil {
		w.t.Fatal(err)
	}
	var parts sync.WaitGroup
	var ended error
	parts.Go(func() { ended = a.Socket(ctx, time.Second) })
	r := w.desk.Runner
	r.Look, r.Pauses = 50*time.Millisecond, slices.Repeat([]time.Duration{50 * time.Millisecond}, 6)
	r.Report = func(err error) { a.Log.Error("notices", "error", err) }
	parts.Go(func() {
		if w.clock != nil {
			return
		}
		nudges, end := w.store.Nudges(ctx)
		defer end()
		r.Loop(ctx, time.Now, nudges)
	})
	once := sync.OnceFunc(func() { stop(nil); parts.Wait() })
	w.end = func() error { once(); return ended }
	w.t.Cleanup(func() { w.end() })
	w.until("a connection", func() bool { return w.Sockets() > 0 })
}

// until waits for something to come true at the fake, in the store or on the
// log.
func (w *world) until(what string, ok func() bool) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.t.Context(), 20*time.Second)
	defer cancel()
	var fakes pulse
	go w.Until(ctx, func() bool { fakes.beat(); return false })
	for {
		slack, store, log := fakes.wait(), w.store.changed.wait(), w.logs.changed.wait()
		if ok() {
			return
		}
		select {
		case <-slack:
		case <-store:
		case <-log:
		case <-ctx.Done():
			tally, _ := w.store.Tally(w.t.Context())
			w.t.Fatalf("no %s\nstore: %+v\nrefused: %+v\nstats: %+v\nlog: %s", what, tally, w.Refused(), w.Stats(), w.logs.String())
		}
	}
}

// replies returns what the bot said in a thread, without its first message.
func (w *world) replies(channel, root string) (out []fake.Message) {
	for _, m := range w.Thread(channel, root) {
		if m.TS != root && m.BotID != "" {
			out = append(out, m)
		}
	}
	return out
}

// says has somebody say something and returns the bot's next word in the
// thread where it stands.
func (w *world) says(user, text, thread string) fake.Message {
	w.t.Helper()
	root := thread
	before := 0
	if thread != "" {
		before = len(w.replies(doors, thread))
	}
	ts := w.Say(doors, user, text, thread)
	if root == "" {
		root = ts
	}
	w.until("answer to "+text, func() bool { return len(w.replies(doors, root)) > before })
	all := w.replies(doors, root)
	return all[len(all)-1]
}

// face returns the first message of a door's thread.
func (w *world) face(door string) fake.Message {
	w.t.Helper()
	var face fake.Message
	w.until("face of "+door, func() bool {
		for _, m := range w.Messages(doors) {
			var meta struct{ ID, Door string }
			if m.Metadata != nil && json.Unmarshal(m.Metadata.EventPayload, &meta) == nil && meta.Door == "orchard-lane/"+door {
				face = m
				return true
			}
		}
		return false
	})
	return face
}

const (
	mention = "@" + fake.BotName + " "
	openA1  = mention + "door open A-1 1050x2350x44 setback 65 opening 1068x2372 lean heel 0 lean lead 0 floor fall level mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo"
)
