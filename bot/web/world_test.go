package web_test

import (
	"bufio"
	"context"
	"errors"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/talk"
	"heelpost/bot/web"
	"heelpost/jobs"
	"heelpost/jobs/redis"
	"heelpost/jobs/redis/redistest"
)

// begun is a Monday morning at the site: 07:30 in Berlin.
var begun = time.Date(2027, 3, 1, 6, 30, 0, 0, time.UTC)

// work is what goes on at a desk.
type work struct {
	*desk.Desk
	*jobs.Runner
}

// world is a room that is served, with a clock that stands unless it is moved.
type world struct {
	t      testing.TB
	room   *web.Room
	store  *redis.Store
	server *httptest.Server
	base   string // address of the channel, up to the person
	now    atomic.Int64
}

const token = "TOKENTOKENTOKENTOKEN"

// furnish puts a desk with the invented site into a room on a store.
func furnish(t testing.TB, store *redis.Store, room *web.Room) {
	t.Helper()
	d := desk.New(store, true)
	tk := talk.New(talk.Stored{Store: store}, d)
	runner := notify.New("test-"+t.Name(), d, room, tk.Hear)
	runner.Look = 0
	room.Store, room.Bot, room.Desk, room.Work = store, tk, d, work{d, runner}
	read := func(path string) []byte {
		data, err := os.ReadFile("../../testdata/" + path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	site, err := jobs.ParseSite(read("sites/orchard-lane.yaml"), read("sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	if err := errors.Join(d.UseSheet(ctx, read("sheets/orchard.yaml")), d.UseSite(ctx, site), room.Open(ctx), d.LayRules(ctx, room.Now())); err != nil {
		t.Fatal(err)
	}
}

// serve opens a room.
func serve(t testing.TB, change ...func(*web.Room)) *world {
	t.Helper()
	store := redistest.Open(t, "web")
	w := &world{t: t, store: store}
	w.now.Store(begun.UnixMilli())
	w.room = &web.Room{Clock: func() time.Time { return time.UnixMilli(w.now.Load()) }, Moves: true, Guest: true}
	w.server = httptest.NewUnstartedServer(nil)
	w.room.Gate = web.Gate{Token: token, Host: w.server.Listener.Addr().String()}
	for _, c := range change {
		c(w.room)
	}
	furnish(t, store, w.room)
	w.server.Config.Handler = w.room.Handler()
	w.server.Start()
	t.Cleanup(w.server.Close)
	w.base = w.server.URL + "/" + token + "/"
	return w
}

// as returns an address in the channel for a person.
func (w *world) as(who, path string) string { return w.base + who + "/doors-orchard-lane/" + path }

// get reads a page, as its text without marks.
func (w *world) get(address string) string {
	w.t.Helper()
	r, err := http.Get(address)
	if err != nil {
		w.t.Fatal(err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		w.t.Fatalf("%s: status %d, %v: %s", address, r.StatusCode, err, body)
	}
	return string(body)
}

var nonces atomic.Int64

// post sends a form as a page of ours does, and returns the page it leads to.
func (w *world) post(address string, values url.Values) (status int, body string) {
	w.t.Helper()
	if values.Get("nonce") == "" {
		values.Set("nonce", time.Duration(nonces.Add(1)).String())
	}
	q, err := http.NewRequestWithContext(w.t.Context(), http.MethodPost, address, strings.NewReader(values.Encode()))
	if err != nil {
		w.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Origin", w.server.URL)
	r, err := http.DefaultClient.Do(q)
	if err != nil {
		w.t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		w.t.Fatal(err)
	}
	return r.StatusCode, string(data)
}

// say says something, and returns the page as text.
func (w *world) say(who, door, text string) string {
	w.t.Helper()
	status, body := w.post(w.as(who, "say"), url.Values{"door": {door}, "text": {text}})
	if status != http.StatusOK {
		w.t.Fatalf("%s: status %d: %s", text, status, body)
	}
	return plain(body)
}

// A space that does not break is one to read.
var (
	marks  = regexp.MustCompile(`(?s)<(script|style|option)[ >].*?</(script|style|option)>|<[^>]*>`)
	spaces = regexp.MustCompile(`[\s\x{a0}]+`)
)

// plain is a page as text.
func plain(page string) string {
	return spaces.ReplaceAllString(html.UnescapeString(marks.ReplaceAllString(page, " ")), " ")
}

// has holds a text against what must stand in it, in that order.
func has(t testing.TB, text string, wants ...string) {
	t.Helper()
	rest := text
	for _, want := range wants {
		_, after, ok := strings.Cut(rest, want)
		if !ok {
			t.Fatalf("there is no %q, or not in its place, in:\n%s", want, text)
		}
		rest = after
	}
}

// pressing returns what the button of a label sends, the last of its page.
func pressing(t testing.TB, page, label string) url.Values {
	t.Helper()
	found := regexp.MustCompile(`name="press" value="([^"]*)">`+regexp.QuoteMeta(label)+`</button>`).FindAllStringSubmatch(page, -1)
	if len(found) == 0 {
		t.Fatalf("there is no button %s in:\n%s", label, plain(page))
	}
	return url.Values{"press": {html.UnescapeString(found[len(found)-1][1])}}
}

// stream listens for what is new on a page.
func (w *world) stream(address, lastID string) (next func() string) {
	w.t.Helper()
	ctx, stop := context.WithCancel(w.t.Context())
	w.t.Cleanup(stop)
	q, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		w.t.Fatal(err)
	}
	if lastID != "" {
		q.Header.Set("Last-Event-ID", lastID)
	}
	r, err := http.DefaultClient.Do(q)
	if err != nil {
		w.t.Fatal(err)
	}
	w.t.Cleanup(func() { r.Body.Close() })
	if r.StatusCode != http.StatusOK {
		w.t.Fatalf("%s: status %d", address, r.StatusCode)
	}
	lines := bufio.NewReader(r.Body)
	return func() string {
		var event strings.Builder
		for {
			l, err := lines.ReadString('\n')
			if err != nil {
				return ""
			}
			if l == "\n" {
				return event.String()
			}
			event.WriteString(l)
		}
	}
}

// alone is a word to one person.
func alone(to, text string) bot.Post {
	return bot.Post{ID: "n:" + text, At: begun, To: to, Site: "orchard-lane", Kind: bot.KindReminder, Text: text}
}
