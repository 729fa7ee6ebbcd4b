package slack

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"heelpost/bot/say"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
)

// ids returns the ids that the bot's posts in a thread carry, without due
// times, its first message apart.
func (w *world) ids(root string) (out []string) {
	for _, m := range w.replies(doors, root) {
		var meta struct{ ID string }
		if m.Metadata != nil && json.Unmarshal(m.Metadata.EventPayload, &meta) == nil {
			id, due, _ := strings.Cut(meta.ID, "@")
			if i := strings.Index(due, "#"); i >= 0 {
				id += due[i:] // a page before the last
			}
			out = append(out, id)
		}
	}
	return out
}

// gossip fills a door's log with so many snags of two hundred characters.
func (w *world) gossip(face fake.Message, n int) {
	w.t.Helper()
	before := len(w.replies(doors, face.TS))
	for i := range n {
		w.Say(doors, ana, fmt.Sprintf("%ssnag %d %s", mention, i, strings.Repeat("scratched and dented ", 9)), face.TS)
		if i%10 == 9 {
			w.until("word on the snags", func() bool { return len(w.replies(doors, face.TS)) > before+i })
		}
	}
}

// An answer of thirty pages in a thread of hundreds of messages, at Slack's
// rates, with the connection cut on the way: its beginning and a file, each
// once, for one look a try; what others say there is answered after it.
func TestLongAnswer(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.gossip(face, 130)
	w.end()
	w.begin(SlackLimits)
	looks, posts := w.Calls("conversations.replies"), w.Calls("chat.postMessage")
	w.Break(fake.Fault{Method: "chat.postMessage", Times: 1, Cut: true})
	first := w.Say(doors, ana, mention+"log", face.TS)
	w.until("it kept", func() bool { return w.Unacked() == 0 })
	second := w.Say(doors, bo, mention+"gap 54 60", face.TS)
	w.until("both answers", func() bool { return slices.Contains(w.ids(face.TS), "in:"+doors+"/"+second) })
	all := w.ids(face.TS)
	if i := slices.Index(all, "in:"+doors+"/"+first); i < 0 || all[i+1] != "in:"+doors+"/"+second {
		t.Errorf("answered in the order %v", all[len(all)-3:])
	}
	var files []string
	w.until("a file", func() bool {
		files = files[:0]
		for _, m := range w.Thread(doors, face.TS) {
			files = append(files, m.Files...)
		}
		return len(files) > 0
	})
	if len(files) != 1 {
		t.Errorf("files %v", files)
	}
	for _, id := range files {
		if name, data := w.File(id); !strings.HasPrefix(name, "A-1-") || strings.Count(string(data), "\n") < 130 {
			t.Errorf("%s has %d lines", name, strings.Count(string(data), "\n"))
		}
	}
	if looks, posts = w.Calls("conversations.replies")-looks, w.Calls("chat.postMessage")-posts; looks > 6 || posts != 3 { // three looks of two pages
		t.Errorf("%d looks and %d posts", looks, posts)
	}
}

// An answer of a few pages goes on at the first that is missing.
func TestLongAnswer_pages(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.gossip(face, 40)
	w.Break(fake.Fault{Method: "chat.postMessage", Every: 2, Times: 2, After: true, Cut: true})
	before := len(w.replies(doors, face.TS))
	asked := w.Say(doors, ana, mention+"log", face.TS)
	w.until("the last page", func() bool { return slices.Contains(w.ids(face.TS), "in:"+doors+"/"+asked) })
	all := w.replies(doors, face.TS)[before:]
	if len(all) < 3 || len(all) > maxPages {
		t.Fatalf("%d pages", len(all))
	}
	for i, m := range all {
		if want := fmt.Sprintf("%d of %d", i+1, len(all)); !strings.HasSuffix(m.Text, want) {
			t.Errorf("page %d ends %q", i+1, m.Text[len(m.Text)-20:])
		}
	}
}

// In one thread people are answered in the order in which they spoke, orders
// and questions alike, though the first answer meets trouble.
func TestThread_order(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.rest()
	before := len(w.ids(face.TS))
	w.Break(fake.Fault{Method: "chat.postMessage", Times: 2, Status: http.StatusBadGateway})
	var want []string
	for i, text := range []string{"tick datum", "next", "gap 54 60", "snag scratch", "gap 46 75"} {
		ts := w.Say(doors, []string{ana, bo, cy}[i%3], mention+text, face.TS)
		id := "in:" + doors + "/" + ts
		if strings.HasPrefix(text, "tick") || strings.HasPrefix(text, "snag") {
			id = "orchard-lane/A-1:entry:" + id
		}
		want = append(want, id)
		w.until("it kept", func() bool { return w.Unacked() == 0 })
		<-time.After(2 * time.Millisecond) // an order's answer is in line by milliseconds
	}
	w.until("all answers", func() bool { return len(w.ids(face.TS)) >= before+len(want) })
	if got := w.ids(face.TS)[before:]; !slices.Equal(got, want) {
		t.Errorf("answered in the order\n%v\nwant\n%v", got, want)
	}
}

// While Slack answers nobody only one call at a time tries whether it is back,
// and nothing is given up; then all is answered.
func TestSlackAway(t *testing.T) {
	w := inWorld(t)
	w.desk.Runner.Tries = 7
	w.Break(fake.Fault{Status: http.StatusServiceUnavailable})
	var asked []string
	for i := range 20 {
		asked = append(asked, w.Say(doors, ana, fmt.Sprintf("%sgap 54 %d", mention, 60+i), ""))
	}
	<-time.After(5 * time.Second)
	// What was under way when it went, and a try each second and more.
	if n := len(w.Refused()); n > 30 {
		t.Errorf("%d calls were made", n)
	}
	w.Mend()
	for _, ts := range asked {
		w.once(ts, "heel gap")
	}
}

// However long Slack is away, one call at a time tries whether it is back, every
// four seconds at least; a notice waits no longer than that, and spends no try.
func TestReach(t *testing.T) {
	a := &Adapter{metrics: NewMonitor()}
	r, now := &a.reach, time.Now().Add(-time.Hour)
	for range silentCalls {
		if wait := r.take(now); wait != 0 {
			t.Fatalf("waits %v before it is known that nobody answers", wait)
		}
		r.note(false, now)
	}
	last := now
	for ; now.Before(time.Now()); now = now.Add(100 * time.Millisecond) {
		if r.take(now) > 0 {
			continue
		}
		if r.take(now) == 0 {
			t.Fatal("two calls try at once")
		}
		if now.Sub(last) > 4*time.Second {
			t.Fatalf("%v from one try to the next", now.Sub(last))
		}
		last = now
		r.note(false, now)
	}
	se, ok := errors.AsType[*jobs.SendError](a.classified(t.Context(), "chat.postMessage", errors.New("no answer")))
	if !ok || se.Fault != jobs.Away || se.Wait > 4*time.Second {
		t.Errorf("got %+v", se)
	}
	if r.note(true, now); r.wait(now) != 0 || r.away() {
		t.Error("it is not back")
	}
}

// A refusal for its rate rests the channel that met it; when another meets one at
// the same time, Slack means them all.
func TestLimited_channel(t *testing.T) {
	w := inWorld(t)
	limit := fake.Fault{Method: "chat.postMessage", Times: 1, Status: http.StatusTooManyRequests, RetryAfter: 60}
	resting := func(what string) bool {
		_, ok := errors.AsType[*jobs.SendError](w.a.pace(t.Context(), "chat.postMessage", jobs.Pace{Name: restName(what)}))
		return ok
	}
	w.Break(limit)
	first := w.Say(doors, ana, mention+"gap 54 60", "")
	w.until("its rest", func() bool { return resting("chat.postMessage:" + doors) })
	elsewhere := w.Say(other, bo, mention+"gap 54 60", "")
	w.until("the answer elsewhere", func() bool { return len(w.replies(other, elsewhere)) > 0 })
	if n := w.Calls("chat.postMessage"); n != 2 || len(w.replies(doors, first)) > 0 {
		t.Errorf("%d posts were tried, want one in each channel", n)
	}
	w.Break(limit)
	w.Say(other, bo, mention+"gap 46 75", "")
	w.until("the rest of all", func() bool { return resting("chat.postMessage") })
}

// What can't be looked for, for want of a scope, is posted all the same, and
// neither ends the process nor is given up.
func TestLook_forbidden(t *testing.T) {
	for _, code := range []string{"missing_scope", "not_allowed_token_type"} {
		t.Run(code, func(t *testing.T) {
			w := inWorld(t)
			w.expected = hopeless
			w.Break(fake.Fault{Method: "conversations.replies", Code: code})
			w.Break(fake.Fault{Method: "chat.postMessage", Times: 1, Cut: true})
			w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
			w.once(w.Say(doors, ana, mention+"gap 46 75", ""), "heel gap 6 mm")
			if !strings.Contains(w.logs.String(), "can't be looked for") {
				t.Error("nobody is told")
			}
		})
	}
}

// Forty notices that a process died over are looked for together.
func TestLook_together(t *testing.T) {
	w := inWorld(t)
	now := time.Now()
	var all []jobs.Notice
	for i := range 40 {
		all = append(all, jobs.Notice{ID: fmt.Sprint("lift", i), Kind: "announce", Due: jobs.NowAt(now), Args: map[string]string{"site": "orchard-lane", "text": fmt.Sprint("the lift is out, ", i)}})
	}
	w.end()
	if _, err := w.store.Commit(t.Context(), jobs.Change{Op: "put", At: jobs.NowAt(now), Put: all}); err != nil {
		t.Fatal(err)
	}
	b, err := w.store.Claim(t.Context(), jobs.Claim{Runner: "dead", ID: "c", Now: jobs.NowAt(time.Now()), Max: 99, Lease: time.Millisecond})
	if err != nil || len(b.Notices) < len(all) {
		t.Fatalf("claimed %d, %v", len(b.Notices), err)
	}
	before := w.Calls("conversations.history")
	w.begin(NoLimits)
	w.until("all of them", func() bool {
		n := 0
		for _, m := range w.Messages(doors) {
			if strings.HasPrefix(m.Text, "the lift is out") {
				n++
			}
		}
		return n == len(all)
	})
	if n := w.Calls("conversations.history") - before; n > 12 {
		t.Errorf("%d reads for two looks at 40 notices", n)
	}
}

// A door's face with more on it than fits keeps its buttons.
func TestFace_long(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.gossip(face, 40)
	w.until("the new face", func() bool { return strings.Contains(w.face("A-1").Text, "open snags") })
	w.press(ana, w.face("A-1"), "Next")
	w.whispered(ana, "next:")
}

var lastPage = regexp.MustCompile(`\n(\d+) of (\d+)$`)

// A long answer to a command: what a response URL may take, and the rest alone.
func TestCommand_long(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.gossip(face, 130)
	if err := w.Command(bo, doors, "/door", "A-1 log"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "in your direct message")
	w.until("the rest", func() bool {
		return slices.ContainsFunc(w.Messages(w.Direct(bo)), func(m fake.Message) bool { return lastPage.MatchString(m.Text) })
	})
	for _, r := range w.Refused() {
		if r.Method == "response_url" {
			t.Errorf("refused: %s", r.Code)
		}
	}
}

// More than fits beneath one another is a file, and where Slack takes none the
// person is told that there is a rest.
func TestAlone_noFile(t *testing.T) {
	w := inWorld(t)
	w.expected = []string{"missing_scope"}
	w.Break(fake.Fault{Method: "files.getUploadURLExternal", Code: "missing_scope"})
	var all []screen
	for i := range maxPages + 3 {
		lines := []line{{spans: []span{{text: fmt.Sprint("page ", i+1)}}}}
		all = append(all, screen{Text: linesText(lines), Blocks: layout(lines), lines: lines})
	}
	w.a.alone(t.Context(), bo, "all of it", all, say.Text{})
	got := w.Messages(w.Direct(bo))
	if len(got) != maxPages || !strings.Contains(got[maxPages-1].Text, "the rest does not fit here") {
		t.Errorf("%d messages, the last %q", len(got), got[len(got)-1].Text)
	}
}

// between is a store that does something once, right after it was asked.
type between struct {
	Store
	do func()
}

func (b *between) Bound(ctx context.Context, names ...string) ([]string, error) {
	refs, err := b.Store.Bound(ctx, names...)
	if do := b.do; do != nil {
		b.do = nil
		do()
	}
	return refs, err
}

// Two connections that come at the same moment read an outage back once.
func TestCatchUp_once(t *testing.T) {
	w := inWorld(t)
	w.open()
	w.end()
	now := time.Now()
	if err := w.a.Beat(t.Context(), now.Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	other := func() {
		if err := w.a.present(t.Context()); err != nil {
			t.Error(err)
		}
	}
	w.a.store = &between{Store: w.store, do: other}
	other()
	reads := w.Calls("conversations.history")
	later := now.Add(catchUpTakes + time.Second)
	if err := errors.Join(w.a.Beat(t.Context(), later), w.a.CatchUp(t.Context(), later)); err != nil {
		t.Fatal(err)
	}
	if again := w.Calls("conversations.history"); reads == 0 || again != reads {
		t.Errorf("%d reads, then %d", reads, again)
	}
}

// A connection that finds another one at an outage does not beat: should that one
// die before it has noted anything, the outage is still to be read back.
func TestCatchUp_died(t *testing.T) {
	w := inWorld(t)
	w.open()
	w.end()
	now := time.Now()
	if err := w.a.Beat(t.Context(), now.Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	if wait, err := w.store.Pace(t.Context(), jobs.NowAt(now), jobs.Pace{Name: "catch up", Every: catchUpTakes, Burst: 1}); wait > 0 || err != nil {
		t.Fatal(wait, err)
	}
	if err := w.a.present(t.Context()); err != nil {
		t.Fatal(err)
	}
	reads := w.Calls("conversations.history")
	if err := w.a.CatchUp(t.Context(), now.Add(catchUpTakes+time.Minute)); err != nil {
		t.Fatal(err)
	}
	if w.Calls("conversations.history") == reads {
		t.Error("the outage is forgotten")
	}
}

// While the store is away a command that needs none is answered all the same;
// what nobody sees in pasted text is no part of it.
func TestCommand_storeAway(t *testing.T) {
	w := inWorld(t)
	w.store.away.Store(true)
	if err := w.Command(bo, doors, "/door", "gap 54\u200b \ufeff60"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "heel gap 8 mm")
	if err := w.Command(ana, doors, "/door", "A-1 tick datum"); err != nil {
		t.Fatal(err)
	}
	w.whispered(ana, "I can't reach where the doors are kept")
}

// Who speaks in the thread of a door that was called off is read back too.
func TestCatchUp_calledOff(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.Say(doors, mo, mention+"call off because it was the wrong list", face.TS)
	said := func(text string) func() bool {
		return func() bool {
			return slices.ContainsFunc(w.replies(doors, face.TS), func(m fake.Message) bool { return strings.Contains(m.Text, text) })
		}
	}
	w.until("it is off", said("called off"))
	w.end()
	w.Say(doors, mo, mention+"take back call off because it was the right one", face.TS)
	w.until("slack gives up", func() bool { return w.Unacked() == 0 })
	if err := w.a.Beat(t.Context(), time.Now().Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	w.begin(NoLimits)
	w.until("it is in work again", said("the right one"))
}
