package web_test

import (
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/draw"
	"heelpost/bot/web"
	"heelpost/jobs"
)

const opening = "door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed ordinary both ways sheet orchard crew @ana @bo foreman @mo"

// Somebody asks, is asked back, follows up, and a colleague sees it; a word to
// a colleague is left alone.
func TestRoom_Questions(t *testing.T) {
	w := serve(t)
	has(t, plain(w.get(w.base)), "Who are you?", "Ana Tarrow", "fitter", "Mo Reyes-Falk", "foreman", "A visitor", "guest")
	has(t, w.say("ana", "", "gap 44 thick"), "Mon 07:30", "Ana Tarrow", "gap 44 thick", "Heelpost", "to Ana Tarrow", "setback")
	page := w.say("ana", "", "65")
	has(t, page, "heel gap 6 mm", "for 44 thick, 65 setback", "caution")
	has(t, w.say("ana", "", "why"), "asked", "thickness 44 mm, setback 65 mm", "working", "√(65² + 22²)", "source", "caution")
	page = w.say("bo", "", "@ana bring the 12 drill")
	has(t, page, "@ana", "bring the 12 drill")
	if strings.Contains(page[strings.Index(page, "bring the 12 drill"):], "Heelpost to Bo") {
		t.Errorf("a word to a colleague was answered:\n%s", page)
	}
}

// An answer with a picture shows it, in words as well, on light ground and on
// dark, and brings no style of its own, which the pages' policy refuses.
func TestRoom_Picture(t *testing.T) {
	w := serve(t)
	_, page := w.post(w.as("ana", "say"), url.Values{"text": {"gap 44 thick, 65 setback, 1050 wide"}})
	found := regexp.MustCompile(`(?s)<svg [^>]*role="img" aria-label="([^"]+)">.*?</svg>`).FindAllStringSubmatch(page, -1)
	if len(found) != 2 || !strings.Contains(found[0][1], "6 mm") || found[0][1] != found[1][1] || found[0][0] == found[1][0] {
		t.Fatalf("%d pictures: %q", len(found), found)
	}
	for _, bad := range []string{"<style", "style=", "@font-face", "url("} {
		if strings.Contains(found[0][0], bad) {
			t.Errorf("the picture has %s", bad)
		}
	}
	// Who looks at a phone sees it below the result, before what was understood.
	has(t, page, `<p class="result">heel gap 6`, "leading gap 3", "<svg xmlns", "for 44 thick", "caution")
	if font := w.get(w.base + "file/letters.ttf"); font != string(draw.Font()) {
		t.Errorf("the letters of pictures have %d bytes", len(font))
	}
}

// A door is opened by form and worked on by button and by word; who may not
// is told so.
func TestRoom_Door(t *testing.T) {
	w := serve(t)
	page := w.get(w.as("ana", "log"))
	if _, body := w.post(w.as("ana", "press"), pressing(t, page, "Open a door")); !strings.Contains(plain(body), "Door") || !strings.Contains(body, `name="f.door"`) {
		t.Fatalf("the button opened no form: %s", plain(body))
	}
	values := url.Values{"id": {"open"}, "f.door": {"A-101"}, "f.width": {"1050"}}
	status, body := w.post(w.as("ana", "form"), values)
	if status != http.StatusUnprocessableEntity || !strings.Contains(body, `value="A-101"`) || !strings.Contains(body, `class="wrong"`) {
		t.Fatalf("a form with too little in it: status %d: %s", status, plain(body))
	}
	w.say("ana", "", opening)
	page = w.get(w.as("bo", "door?door=A-101"))
	has(t, page, "be somebody else", `href="/`+token+`/mo/doors-orchard-lane/door?door=A-101"`, `/guest/doors-orchard-lane/door?door=A-101">A visitor, guest`)
	has(t, plain(page), "door A-101, survey", "Heelpost to Ana Tarrow", "door A-101 opened", "heel gap 9 mm")
	has(t, plain(w.get(w.as("ana", "log"))), "A-101", "is open: its work goes on there")
	if _, body = w.post(w.as("bo", "press"), pressing(t, page, "Next")); !strings.Contains(plain(body), "[Next]") {
		t.Errorf("a press does not show: %s", plain(body))
	}
	has(t, w.say("ana", "A-101", "tick datum"), "ticked 2 datum")
	has(t, w.say("ana", "A-101", "gap"), "heel gap 6 mm", "the door has 9 mm", "by the door's own values")
	has(t, w.say("guest", "A-101", "tick joint"), "A visitor, guest", "guest is guest here")
	_, body = w.post(w.as("guest", "press"), pressing(t, page, "Readings"))
	if !strings.Contains(plain(body), "guest") || strings.Contains(body, "<form method=\"post\" action=\"form\"") {
		t.Errorf("a guest gets a form: %s", plain(body))
	}
}

// A door that is renamed keeps its log, under either name.
func TestRoom_Renamed(t *testing.T) {
	w := serve(t)
	w.say("ana", "", opening)
	w.say("ana", "A-101", "tick datum")
	w.say("mo", "A-101", "rename to A-7 because the plan says so")
	w.say("ana", "A-7", "tick joint")
	for _, id := range []string{"A-7", "A-101"} {
		has(t, plain(w.get(w.as("bo", "door?door="+id))), "ticked 2 datum", "A-101 is A-7 from now on", "tick joint", "ticked 4 joint")
	}
}

// What is sent twice is done once, as when a browser does not know whether it
// got through.
func TestRoom_Twice(t *testing.T) {
	w := serve(t)
	w.say("ana", "", opening)
	for range 2 {
		w.post(w.as("ana", "say"), url.Values{"door": {"A-101"}, "text": {"tick datum"}, "nonce": {"same"}})
	}
	page := plain(w.get(w.as("ana", "door?door=A-101")))
	if n := strings.Count(page, "ticked 2 datum"); n != 1 || strings.Count(page, "tick datum") != 1 {
		t.Errorf("done %d times:\n%s", n, page)
	}
}

// The clock is moved, what comes due on the way is said on the way, and where
// the room is real work it can't be moved.
func TestRoom_Clock(t *testing.T) {
	w := serve(t)
	w.say("ana", "", opening)
	w.say("ana", "A-101", "visit tomorrow 9:00 to set the margins")
	for range 4 {
		w.post(w.as("mo", "clock"), url.Values{"to": {"due"}, "door": {"A-101"}})
	}
	w.post(w.as("mo", "clock"), url.Values{"to": {"morning"}, "door": {"A-101"}})
	page := w.get(w.as("mo", "door?door=A-101"))
	has(t, plain(page), "Clock", "2027-03-0", "visit v1", "set the margins", "to Ana Tarrow")
	if got := w.room.Now(); !got.After(begun.Add(22 * time.Hour)) {
		t.Errorf("the clock is at %v", got)
	}
	has(t, page, "Said on the way:", `href="door?door=A-101"`, "Site log", `aria-current="page"><svg`)
	w.post(w.as("mo", "clock"), url.Values{"to": {"hour"}})
	w.post(w.as("mo", "clock"), url.Values{"to": {"hour"}})
	has(t, plain(w.get(w.as("mo", "log"))), "Nothing was due on the way.")
	fixed := serve(t, func(r *web.Room) { r.Moves = false })
	if status, _ := fixed.post(fixed.as("mo", "clock"), url.Values{"to": {"hour"}}); status != http.StatusForbidden || !fixed.room.Now().Equal(begun) {
		t.Errorf("the clock of real work was moved: status %d, %v", status, fixed.room.Now())
	}
}

// Who watches while the clock moves sees where something was said, and the
// doors as they stand then; at another site it has its own time, and no door of
// elsewhere.
func TestRoom_Watched(t *testing.T) {
	w := serve(t)
	data, err := os.ReadFile("../../testdata/sites/pier-nine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	pier, err := jobs.ParseSite(data, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.room.Desk.(*desk.Desk).UseSite(t.Context(), pier); err != nil {
		t.Fatal(err)
	}
	w.say("ana", "", opening)
	w.say("ana", "A-101", "visit tomorrow 9:00 to set the margins")
	log, door, home := w.stream(w.as("bo", "events?page=log&after=999999"), ""), w.stream(w.as("bo", "events?page=door&door=A-101&after=999999"), ""), w.stream(w.as("ana", "events?page=home"), "")
	other := w.stream(w.base+"dee/pier-nine-doors/events?page=log", "")
	for _, next := range []func() string{log, door, home, other} {
		next() // retry
		next() // clock
	}
	w.post(w.as("mo", "clock"), url.Values{"to": {"morning"}})
	w.post(w.as("mo", "clock"), url.Values{"to": {"morning"}})
	until := func(next func() string, wants ...string) {
		t.Helper()
		for e := ""; ; {
			if e = next(); e == "" {
				t.Fatalf("there never is %s", wants)
			}
			rest, ok := e, true
			for _, want := range wants {
				if _, rest, ok = strings.Cut(rest, want); !ok {
					break
				}
			}
			if ok {
				return
			}
		}
	}
	until(log, `id="clock"`, "2027-03-03 07:00", `id="moved"`, `href="door?door=A-101"`, `id="tile-A-101"`, "visit overdue")
	until(door, `id="face"`, "v1")
	until(home, "event: again")
	e := other()
	if has(t, e, `id="clock"`, "2027-03-02 01:00", "Nothing was due"); strings.Contains(e, "A-101") {
		t.Errorf("another site hears of a door: %s", e)
	}
}

// Home and board are drawn from the state of now, a crew member's and a
// foreman's.
func TestRoom_Overview(t *testing.T) {
	w := serve(t)
	w.say("ana", "", opening)
	has(t, plain(w.get(w.as("ana", "home"))), "My page", "My doors", "A-101", "survey", "My visits")
	has(t, plain(w.get(w.as("mo", "home?filter=stage%2Fsurvey"))), "Doors", "A-101", "Overdue visits")
	board := w.get(w.as("guest", "board"))
	has(t, plain(board), "board of Orchard Lane", "survey 1", "A-101")
	has(t, board, `role="img" aria-label="the doors of Orchard Lane`, `<a href="door?door=A-101">A-101</a>:`)
}

// An open page is told what is new, and one that comes again what it missed,
// each once, and what stands now.
func TestRoom_Events(t *testing.T) {
	w := serve(t)
	w.say("ana", "", opening)
	page := w.get(w.as("bo", "door?door=A-101"))
	last := regexp.MustCompile(`data-last="(\d+)"`).FindStringSubmatch(page)[1]
	next := w.stream(w.as("bo", "events?page=door&door=A-101&after="+last), "")
	has(t, next(), "retry: ")
	has(t, next(), "event: part", `id="clock"`)
	w.say("ana", "A-101", "tick datum")
	said, answer := next(), next()
	has(t, plain(said), "id: ", "Ana Tarrow", "tick datum")
	has(t, plain(answer), "ticked 2 datum")
	id := regexp.MustCompile(`(?m)^id: (\d+)$`).FindStringSubmatch(said)[1]
	w.say("ana", "A-101", "tick joint")
	again := w.stream(w.as("bo", "events?page=door&door=A-101&after=0"), id)
	again() // retry
	for _, want := range []string{"ticked 2 datum", "tick joint", "ticked 4 joint", `id="clock"`, `id="tile-A-101"`, `id="face"`} {
		if e := again(); !strings.Contains(e, want) && !strings.Contains(plain(e), want) {
			t.Fatalf("got %q, want %s", e, want)
		}
	}
	w.now.Add((4 * time.Second).Milliseconds()) // faces are drawn anew at most each 3 s
	if _, err := w.room.Settle(t.Context()); err != nil {
		t.Fatal(err)
	}
	has(t, again(), "event: part", `id="face"`)
	has(t, again(), "event: part", `id="tile-A-101"`)
}

// A word for one person alone is on that person's page and no other's.
func TestRoom_Alone(t *testing.T) {
	w := serve(t)
	next := w.stream(w.as("ivy", "events?page=log&after=0"), "")
	other := w.stream(w.as("ana", "events?page=log&after=0"), "")
	if _, err := w.room.Post(t.Context(), alone("ivy", "the sheet of B-7 is missing")); err != nil {
		t.Fatal(err)
	}
	w.say("ana", "", "gap 44 65")
	next()
	next()
	has(t, plain(next()), "the sheet of B-7")
	other()
	other()
	has(t, plain(other()), "gap 44 65")
	has(t, plain(w.get(w.as("ivy", "log"))), "the sheet of B-7")
	if strings.Contains(w.get(w.as("ana", "log")), "the sheet of B-7") {
		t.Error("another person reads it")
	}
}
