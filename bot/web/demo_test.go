package web_test

import (
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/talk"
	"heelpost/bot/web"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// tried opens the room with the site to try on a store.
func tried(t testing.TB, store *redis.Store, clock func() time.Time) *web.Room {
	t.Helper()
	room := &web.Room{Store: store, Clock: clock, Moves: true, Guest: true}
	d := desk.New(store, true)
	tk := talk.New(talk.Stored{Store: store}, d)
	room.Bot, room.Desk, room.Work = tk, d, work{d, notify.New("demo", d, room, tk.Hear)}
	site, err := jobs.ParseSite(web.DemoSite, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(d.UseSheet(t.Context(), web.DemoSheet), d.UseSite(t.Context(), site), room.Open(t.Context()), room.Demo(t.Context())); err != nil {
		t.Fatal(err)
	}
	return room
}

// The site to try has twelve doors of three crews in eight stages and more,
// one that was handed over, and one whose cure ends within the hour; nothing of
// its week was refused or asked back, and it is said once.
func TestDemo(t *testing.T) {
	store, err := redis.Embedded(t.Context(), "try")
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	stands := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	clock := func() time.Time { return stands }
	room := tried(t, store, clock)
	now := time.Date(2027, 11, 11, 10, 0, 0, 0, time.UTC)
	if !room.Now().Equal(now) {
		t.Errorf("it is %v, want %v", room.Now(), now)
	}
	room.Gate = web.Gate{Token: token, Host: "room.example.org"}
	page, q := httptest.NewRecorder(), httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/"+token+"/una/heron-quay/log", nil)
	q.Host = room.Gate.Host
	if room.Handler().ServeHTTP(page, q); !strings.Contains(page.Body.String(), `<p id="moved"></p>`) {
		t.Errorf("somebody seems to have moved the clock: %d %s", page.Code, page.Body)
	}
	site := room.Desk.Sites()[0]
	stages, crews, doors := map[jobs.Stage]bool{}, map[string]bool{}, 0
	var soon, passed bool
	for j, err := range room.Desk.Counted(t.Context(), site, "all") {
		if err != nil {
			t.Fatal(err)
		}
		doors++
		stages[j.Door.Stage] = true
		p, _ := site.Person(j.Door.Spec.Crew[0])
		crews[p.Crew] = true
		if j.Curing() {
			end := j.Door.Cure(now).End
			soon = soon || end.After(now) && end.Before(now.Add(time.Hour))
			passed = passed || end.Before(now)
		}
		es, err := store.Told(t.Context(), j.Key, 0, 500)
		if err != nil || len(es) == 0 {
			t.Errorf("%s: %d entries, %v", j.Key, len(es), err)
		}
		for _, e := range es {
			if regexp.MustCompile(`"kind":"(error|ask)"`).Match(e.Data) {
				t.Errorf("%s: %s", j.Key, e.Data)
			}
		}
	}
	if doors != 12 || len(crews) != 3 || len(stages) < 8 || !stages[jobs.Done] || !soon || !passed {
		t.Errorf("%d doors, crews %v, stages %v, a cure ends soon %v, one has passed %v", doors, crews, stages, soon, passed)
	}
	before, err := store.Told(t.Context(), "at:heron-quay", 0, 900)
	if err != nil {
		t.Fatal(err)
	}
	tried(t, store, clock) // as after a restart
	after, err := store.Told(t.Context(), "at:heron-quay", 0, 900)
	if err != nil || len(after) != len(before) {
		t.Errorf("opened again, the channel has %d entries, %v, and had %d", len(after), err, len(before))
	}
}

// Every word that the pages have is used, the script is small and the style
// loads nothing from elsewhere.
func TestPage_Files(t *testing.T) {
	page, err := os.ReadFile("page/page.html")
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile("words.go")
	if err != nil {
		t.Fatal(err)
	}
	var used, named []string
	for _, m := range regexp.MustCompile(`\bw "(\w+)"`).FindAllStringSubmatch(string(page), -1) {
		used = append(used, m[1])
	}
	for _, m := range regexp.MustCompile(`(?m)^\t"(\w+)": +say`).FindAllStringSubmatch(string(source), -1) {
		if named = append(named, m[1]); !slices.Contains(used, m[1]) {
			t.Errorf("no page uses the word %s", m[1])
		}
	}
	for _, name := range used {
		if !slices.Contains(named, name) {
			t.Errorf("a page uses the word %s, which there is not", name)
		}
	}
	for name, most := range map[string]int{"script.js": 10_000, "style.css": 16_000, "page.html": 16_000} {
		data, err := os.ReadFile("page/" + name)
		if err != nil || len(data) > most {
			t.Errorf("%s has %d bytes, at most %d: %v", name, len(data), most, err)
		}
		if strings.Contains(string(data), "://") {
			t.Errorf("%s names an address elsewhere", name)
		}
	}
}
