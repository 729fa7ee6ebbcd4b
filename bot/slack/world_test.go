package slack

import (
	"bytes"
	"context"
	"encoding/json"
	"log/slog"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

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
	store *redis.Store
	desk  *bot.Desk
	a     *Adapter
	logs  lockedBuffer
	end   func() error // stops the bot
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// accounts puts accounts into the example's site file.
func accounts(t testing.TB) *jobs.Site {
	read := func(path string) []byte {
		data, err := os.ReadFile("../../testdata/" + path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	text := strings.NewReplacer("{id: ana,", "{id: ana, account: "+ana+",", "{id: bo,", "{id: bo, account: "+bo+",", "{id: cy,", "{id: cy, account: "+cy+",",
		"{id: mo,", "{id: mo, account: "+mo+",", "{id: ivy,", "{id: ivy, account: "+ivy+",", "[doors-orchard-lane]", "["+doors+"]").Replace(string(read("sites/orchard-lane.yaml")))
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
func inWorld(t *testing.T) *world {
	store, err := redis.Embedded(t.Context(), fake.Team)
	if err != nil {
		t.Fatal(err)
	}
	w := &world{t: t, Server: newFake(t, fake.Options{PostEvery: -1}), store: store}
	t.Cleanup(func() { store.Close() })
	w.begin(NoLimits)
	return w
}

// begin starts the bot.
func (w *world) begin(limits Limits) {
	w.t.Helper()
	ctx, stop := context.WithCancel(w.t.Context())
	a, err := New(ctx, Config{Name: "w1", BotToken: fake.BotToken, AppToken: fake.AppToken, Secrets: []string{w.Secret()}, API: w.URL(), Limits: limits,
		Log: slog.New(slog.NewJSONHandler(&w.logs, nil))})
	if err != nil {
		w.t.Fatal(err)
	}
	w.a, w.desk = a, bot.NewDesk("w1", w.store, a)
	a.Work(w.store, w.desk, bot.New(bot.Stored{Store: w.store}, w.desk))
	for _, name := range []string{"orchard", "quarry"} {
		sheet, err := os.ReadFile("../../testdata/sheets/" + name + ".yaml")
		if err != nil {
			w.t.Fatal(err)
		}
		if err := w.desk.UseSheet(ctx, sheet); err != nil {
			w.t.Fatal(err)
		}
	}
	if err := w.desk.UseSite(ctx, accounts(w.t)); err != nil {
		w.t.Fatal(err)
	}
	var parts sync.WaitGroup
	var ended error
	parts.Go(func() { ended = a.Socket(ctx, time.Second) })
	w.desk.Runner().Report = func(err error) { a.Log.Error("notices", "error", err) }
	parts.Go(func() {
		nudges, end := w.store.Nudges(ctx)
		defer end()
		w.desk.Runner().Loop(ctx, time.Now, nudges)
	})
	once := sync.OnceFunc(func() { stop(); parts.Wait() })
	w.end = func() error { once(); return ended }
	w.t.Cleanup(func() { w.end() })
	w.until("a connection", func() bool { return w.Sockets() > 0 })
}

// until waits for something to come true at the fake.
func (w *world) until(what string, ok func() bool) {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(w.t.Context(), 20*time.Second)
	defer cancel()
	if err := w.Until(ctx, ok); err != nil {
		tally, _ := w.store.Tally(w.t.Context())
		w.t.Fatalf("no %s: %v\nstore: %+v\nrefused: %+v\nstats: %+v\nlog: %s", what, err, tally, w.Refused(), w.Stats(), w.logs.String())
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
	openA1  = mention + "door open A-1 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo"
)
