package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/google/go-cmp/cmp"
	goredis "github.com/redis/go-redis/v9"

	"heelpost/bot"
	"heelpost/bot/console"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/talk"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// remake names an empty Redis, on which the stored state is made anew; see
// makeStored.
var remake = flag.String("remake", "", "URL of an empty Redis, to make testdata/stored/state.jsonl anew by this version")

const (
	storedFolder = "../../testdata/stored/"
	storedState  = storedFolder + "state.jsonl"
	workspace    = "stored"
)

// house is a bot at work in rooms that show everything as a conversation.
type house struct {
	t      *testing.T
	url    string
	store  *redis.Store
	desk   *desk.Desk
	bot    *talk.Bot
	runner *jobs.Runner
	rooms  *rooms
}

// enter opens the house on a store.
func enter(t *testing.T, name, url string) *house {
	t.Helper()
	store, err := redis.Open(t.Context(), url, redis.Options{Workspace: workspace})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	h := &house{t: t, url: url, store: store, rooms: &rooms{refuse: map[string]error{}, homes: map[string]bool{}}}
	h.desk = desk.New(store, true)
	h.bot = talk.New(talk.Stored{Store: store}, h.desk)
	h.runner = notify.New(name, h.desk, h.rooms, h.bot.Hear)
	s := shelf{places: places{Sites: "../../testdata/sites", Sheets: "../../testdata/sheets"}, desk: h.desk}
	if faults, err := s.load(t.Context()); err != nil || len(faults) > 0 {
		t.Fatal(faults, err)
	}
	return h
}

// rooms show faces as posts, and note whose home is drawn anew.
type rooms struct {
	console.Outbox
	mu     sync.Mutex
	refuse map[string]error // by thread: why nothing is posted there
	homes  map[string]bool  // drawn anew, by person
	last   time.Time        // of a post
}

// Post shows a post with its buttons.
func (r *rooms) Post(ctx context.Context, p bot.Post) (string, error) {
	r.mu.Lock()
	err := r.refuse[p.Thread]
	if p.At.After(r.last) {
		r.last = p.At
	}
	r.mu.Unlock()
	if err != nil {
		return "", err
	}
	for _, b := range p.Buttons {
		p.Text += fmt.Sprintf("\n[%s: %s%s]", b.Label, b.Say, b.Form)
	}
	if p.Thread == "" && p.To != "" {
		p.Thread = "to-" + p.To // threads are shown in their order, what stands in none as it comes
	}
	return r.Outbox.Post(ctx, p)
}

// Face shows a face as a post.
func (r *rooms) Face(ctx context.Context, p bot.Post) (string, error) {
	p.Text = "face: " + p.Text
	return r.Post(ctx, p)
}

// Home notes whose it is.
func (r *rooms) Home(_ context.Context, _, person string) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.homes[person] = true
	return nil
}

// converse replays a conversation of the folder at a site, and holds what the
// bot says, homes at its end included, against the file.
func (h *house) converse(name, site string) {
	h.t.Helper()
	ctx, path := h.t.Context(), storedFolder+name+".chat"
	file, err := os.ReadFile(path)
	if err != nil {
		h.t.Fatal(err)
	}
	var at *jobs.Site
	for _, s := range h.desk.Sites() {
		if s.ID == site {
			at = s
		}
	}
	var out bytes.Buffer
	chat := console.Chat{Bot: h.bot, Work: work{h.desk, h.runner}, Outbox: &h.rooms.Outbox, Screen: newScreen(nil, &out), You: at.People[0].ID, Channel: at.Channels[0],
		Session: name, Zone: at.Zone, Script: true}
	if err := chat.Run(ctx, bytes.NewReader(file), time.Now); err != nil {
		h.t.Fatal(err)
	}
	for _, person := range slices.Sorted(maps.Keys(h.rooms.homes)) {
		out.WriteString(h.home(person))
	}
	clear(h.rooms.homes)
	switch {
	case *remake != "": // what it says there nobody holds it to
	case *update:
		if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
			h.t.Fatal(err)
		}
	default:
		if diff := cmp.Diff(strings.Split(string(file), "\n"), strings.Split(out.String(), "\n")); diff != "" {
			h.t.Errorf("%s (-file +now):\n%s", name, diff)
		}
	}
}

// home draws somebody's home, at the time of the last post.
func (h *house) home(person string) string {
	home, err := h.bot.Home(h.t.Context(), person, "", 1, h.rooms.last)
	if err != nil {
		h.t.Fatal(err)
	}
	lines := []string{fmt.Sprintf("home, page %d of %d", home.Page, home.Pages)}
	for _, s := range home.Sections {
		lines = append(lines, s.Title)
		for _, l := range s.Lines {
			lines = append(lines, "- "+l.Text)
			for _, b := range l.Buttons {
				lines = append(lines, fmt.Sprintf("  [%s: %s]", b.Label, b.Say))
			}
		}
	}
	p := bot.Post{Thread: "home-" + person, Text: strings.Join(lines, "\n")}
	return p.Script()
}

// The state that an earlier version left is read: its doors are the fold of
// their logs and can be worked on, what waited is answered as that version
// would have, and all that is due is said.
func TestStored(t *testing.T) {
	if *remake != "" {
		makeStored(t, *remake)
		return
	}
	url := "redis://" + miniredis.RunT(t).Addr()
	loadState(t, url)
	h := enter(t, "after", url)
	before := h.notices()
	for _, kind := range storedKinds {
		if !slices.Contains(slices.Collect(maps.Values(before)), kind) {
			t.Errorf("no notice of kind %s is stored", kind)
		}
	}
	if doors := h.fold(); doors != 16 {
		t.Errorf("%d doors are stored, want 16", doors)
	}
	h.converse("3-replies", "orchard-lane")
	h.converse("4-pier", "pier-nine")
	h.converse("5-later", "orchard-lane")
	h.converse("6-year", "orchard-lane")
	h.fold()
	left := h.notices()
	given, err := h.store.Failed(t.Context(), 0, 10)
	if err != nil || len(given) != 1 || given[0].Kind != "in" {
		t.Errorf("given up: got %+v, %v, want what cy asked", given, err)
	}
	for _, n := range given {
		delete(left, n.ID)
	}
	for id, kind := range left {
		if before[id] != "" && !slices.Contains([]string{"digest", "retention", "warmth"}, kind) {
			t.Errorf("%s was not dealt with", id)
		}
	}
}

// storedKinds are the kinds of notices that the stored state has.
var storedKinds = []string{"in", "entry", "face", "home", "digest", "retention", "calendar", "failed", "unheard", "announce", "office",
	jobs.TellNow, jobs.CureEnds, "temperature", jobs.WorkingTime, jobs.LeafStands, jobs.VisitAhead, jobs.VisitDue, jobs.CareDue}

// notices returns the kinds of the notices that stand, by id.
func (h *house) notices() map[string]string {
	h.t.Helper()
	ctx, rdb, prefix := h.t.Context(), client(h.t, h.url), "hp1:{"+workspace+"}:n:"
	kinds := map[string]string{}
	for _, key := range rdb.Keys(ctx, prefix+"*").Val() {
		kinds[strings.TrimPrefix(key, prefix)] = rdb.HGet(ctx, key, "k").Val()
	}
	return kinds
}

// fold compares each door with the fold of its log, and counts them.
func (h *house) fold() (doors int) {
	h.t.Helper()
	for _, site := range h.desk.Sites() {
		doors += folded(h.t, h.store, site.ID)
	}
	return doors
}

// folded compares each door of a site with the fold of its log, and counts
// them.
func folded(t *testing.T, store *redis.Store, site string) int {
	t.Helper()
	list, _, err := store.Doors(t.Context(), site+"/all", 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, rec := range list {
		entries, err := store.Log(t.Context(), rec.Key, 0, 1000)
		if err != nil || int64(len(entries)) != rec.Version {
			t.Fatalf("%s: %d entries of %d, %v", rec.Key, len(entries), rec.Version, err)
		}
		var all []jobs.Event
		for _, e := range entries {
			var events []jobs.Event
			if err := json.Unmarshal(e.Data, &events); err != nil {
				t.Fatal(rec.Key, err)
			}
			all = append(all, events...)
		}
		var kept jobs.Door
		err1 := json.Unmarshal(rec.State, &kept)
		got, err2 := json.MarshalIndent(kept, "", " ")
		want, err3 := json.MarshalIndent(jobs.Fold(all), "", " ")
		if err := errors.Join(err1, err2, err3); err != nil {
			t.Fatal(rec.Key, err)
		}
		if diff := cmp.Diff(string(want), string(got)); diff != "" {
			t.Errorf("%s (-fold +kept):\n%s", rec.Key, diff)
		}
	}
	return len(list)
}

func client(t *testing.T, url string) *goredis.Client {
	t.Helper()
	o, err := goredis.ParseURL(url)
	if err != nil {
		t.Fatal(err)
	}
	rdb := goredis.NewClient(o)
	t.Cleanup(func() { rdb.Close() })
	return rdb
}

// loadState fills a Redis with the stored state: a line is a command.
func loadState(t *testing.T, url string) {
	t.Helper()
	f, err := os.Open(filepath.FromSlash(storedState))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rdb, lines := client(t, url), bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var command []any
		err := json.Unmarshal(lines.Bytes(), &command)
		if err == nil {
			err = rdb.Do(t.Context(), command...).Err()
		}
		if err != nil {
			t.Fatalf("%s: %v", lines.Text(), err)
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
}
