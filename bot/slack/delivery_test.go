package slack

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/socketmode"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
)

// once waits for an answer and holds it against being said twice.
func (w *world) once(ts, text string) {
	w.t.Helper()
	w.until("answer", func() bool { return len(w.replies(doors, ts)) > 0 })
	w.rest()
	all := w.replies(doors, ts)
	if len(all) != 1 || !strings.HasPrefix(all[0].Text, text) {
		w.t.Errorf("%d posts, want one that begins %q: %+v", len(all), text, all)
	}
}

// rest waits until nothing is on its way.
func (w *world) rest() {
	w.t.Helper()
	w.until("rest", func() bool {
		t, err := w.store.Tally(w.t.Context())
		return err == nil && t.Due+t.Leased+t.Waiting == 0
	})
}

// Whatever goes wrong with a post, it is there once in the end.
func TestPost_faults(t *testing.T) {
	for name, f := range map[string]fake.Fault{
		"the reply is lost after the post": {After: true, Cut: true},
		"the connection is cut before":     {Cut: true},
		"500":                              {Status: http.StatusInternalServerError},
		"429":                              {Status: http.StatusTooManyRequests, RetryAfter: 1},
		"an internal error after the post": {After: true, Code: "internal_error"},
		"an internal error before":         {Code: "internal_error"},
	} {
		t.Run(name, func(t *testing.T) {
			w := inWorld(t)
			f.Method, f.Times = "chat.postMessage", 2
			w.Break(f)
			w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
		})
	}
}

// A page that an earlier try has posted is not posted again, however long ago
// that was.
func TestPost_pages(t *testing.T) {
	w := inWorld(t)
	now := time.Now()
	p := bot.Post{ID: jobs.Notice{ID: "long", Due: jobs.NowAt(now)}.PostID(), At: now, Channel: doors, Kind: bot.KindDoor, Text: strings.Repeat("a line of a long log\n", 300)}
	w.Break(fake.Fault{Method: "chat.postMessage", Every: 2, Times: 1, Code: "internal_error"})
	if _, err := w.a.Post(t.Context(), p); err == nil {
		t.Fatal("the second page was posted")
	}
	p.At = now.Add(time.Hour)
	if _, err := w.a.Post(t.Context(), p); err != nil {
		t.Fatal(err)
	}
	for id, n := range w.Posted() {
		if n != 1 {
			t.Errorf("%s is there %d times", id, n)
		}
	}
}

// A post is looked for among those since it was due, not in all that a
// channel ever heard.
func TestFind_since(t *testing.T) {
	w := inWorld(t)
	for range 450 { // three pages
		w.Say(doors, ana, "bring more boards up", "")
	}
	n := jobs.Notice{ID: "lift", Kind: "announce", Due: jobs.NowAt(time.Now().Add(time.Hour)), Args: map[string]string{"site": "orchard-lane", "text": "the lift is out"}}
	if _, found, err := w.desk.Runner.Sender.Find(t.Context(), n); found || err != nil {
		t.Errorf("found %v, %v", found, err)
	}
	if n := w.Calls("conversations.history"); n != 1 {
		t.Errorf("%d pages were read, want 1", n)
	}
}

// A process that takes envelopes over sockets is ready while it has one: who
// replaces the processes one by one waits for that.
func TestReady(t *testing.T) {
	w := inWorld(t)
	w.a.metrics.Watch(t.Context(), w.store)
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	await := func(status int) {
		t.Helper()
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		defer cancel()
		for {
			got := httptest.NewRecorder()
			w.a.metrics.Handler().ServeHTTP(got, httptest.NewRequest(http.MethodGet, "/readyz", nil))
			if got.Code == status {
				return
			}
			select {
			case <-tick.C:
			case <-ctx.Done():
				t.Fatalf("%d %s, want %d", got.Code, got.Body, status)
			}
		}
	}
	await(http.StatusOK)
	w.until("two connections", func() bool { return w.Sockets() == 2 })
	w.Break(fake.Fault{Method: "apps.connections.open", Status: http.StatusInternalServerError})
	w.Cut(0)
	await(http.StatusServiceUnavailable)
	w.Mend()
	await(http.StatusOK)
}

// The same event twice, or out of order, or with its acknowledgement lost, is
// dealt with once.
func TestEvents_troubles(t *testing.T) {
	for name, trouble := range map[string]fake.Trouble{
		"twice":                 {Duplicate: 1},
		"out of order":          {Swap: 2},
		"acknowledgement lost":  {LoseAck: 2},
		"cut after it was sent": {CutSend: 3},
		"cut after the ack":     {CutAck: 2},
	} {
		t.Run(name, func(t *testing.T) {
			w := inWorld(t)
			w.Trouble(trouble)
			var asked []string
			for range 6 {
				asked = append(asked, w.Say(doors, ana, mention+"gap 54 60", ""))
			}
			for _, ts := range asked {
				w.until("an answer", func() bool { return len(w.replies(doors, ts)) > 0 })
			}
			w.Mend()
			for _, ts := range asked {
				w.once(ts, "heel gap 8 mm")
			}
		})
	}
}

// What nobody can read is acknowledged and counted: Slack would send it again
// and again.
func TestEvents_unreadable(t *testing.T) {
	w := inWorld(t)
	w.Emit(map[string]any{"type": "from_next_year", "what": "ever"})
	w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
	face := w.open()
	w.Tamper(fake.UnknownElement)
	w.press(ana, face, "Next")
	w.Tamper(nil)
	w.until("all acknowledged", func() bool { return w.Unacked() == 0 })
	if s := w.Stats(); s.Lost+s.GivenUp > 0 {
		t.Errorf("%+v", s)
	}
}

// While the store is away events are left to Slack, commands and presses get a
// sentence, and each channel one word.
func TestStoreAway(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.store.away.Store(true)
	asked := []string{w.Say(doors, ana, mention+"gap 54 60", ""), w.Say(doors, bo, mention+"gap 46 75", "")}
	w.until("word of the outage", func() bool {
		return slices.ContainsFunc(w.Messages(doors), func(m fake.Message) bool { return strings.HasPrefix(m.Text, "I can't reach") })
	})
	if err := w.Command(bo, doors, "/door", "A-1 tick datum"); err != nil {
		t.Error(err)
	}
	w.whispered(bo, "I can't reach where the doors are kept")
	w.press(ana, face, "Next")
	w.whispered(ana, "I can't reach where the doors are kept")
	w.store.away.Store(false)
	for i, ts := range asked {
		w.once(ts, []string{"heel gap 8 mm", "heel gap 6 mm"}[i])
	}
	words := 0
	for _, m := range w.Messages(doors) {
		if strings.HasPrefix(m.Text, "I can't reach") {
			words++
		}
	}
	if words != 1 {
		t.Errorf("%d words of one outage, want 1", words)
	}
}

// What Slack gave up sending is read back after an outage, in channels and
// threads, and the gap is told.
func TestCatchUp(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.end()
	mentioned := w.Say(doors, ana, mention+"gap 54 60", "")
	w.Say(doors, bo, mention+"tick datum", face.TS)
	w.Say(doors, bo, "nice weather", face.TS)
	w.until("slack gives up", func() bool { return w.Unacked() == 0 })
	last := time.Now().Add(-time.Hour)
	if err := w.a.Beat(t.Context(), last); err != nil {
		t.Fatal(err)
	}
	w.begin(NoLimits)
	w.until("the answer", func() bool { return len(w.replies(doors, mentioned)) == 1 })
	w.until("the tick", func() bool { return len(w.replies(doors, face.TS)) == 2 })
	w.until("word of the gap", func() bool {
		return slices.ContainsFunc(w.Messages(doors), func(m fake.Message) bool { return strings.Contains(m.Text, "have read back 2 messages in") })
	})
}

// The threads of doors are found again from what their first messages carry.
func TestRebind(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	at := spot{doors, face.TS}
	if _, err := w.a.unbind(t.Context(), at); err != nil {
		t.Fatal(err)
	}
	if n, err := w.a.Rebind(t.Context()); n != 1 || err != nil {
		t.Fatalf("found %d, %v", n, err)
	}
	if got := w.says(bo, mention+"tick datum", face.TS); !strings.HasPrefix(got.Text, "ticked 2 datum") {
		t.Errorf("got %q", got.Text)
	}
}

// What passes away at Slack's side.
func TestDecay(t *testing.T) {
	t.Run("a door's post is deleted", func(t *testing.T) {
		w := inWorld(t)
		face := w.open()
		w.Delete(doors, face.TS)
		w.until("a new face", func() bool { return w.face("A-1").TS != face.TS })
		anew := w.face("A-1")
		w.rest()
		if got := w.says(ana, mention+"tick datum", anew.TS); !strings.HasPrefix(got.Text, "ticked 2 datum") {
			t.Errorf("in the new thread: got %q", got.Text)
		}
	})
	t.Run("a person is deactivated", func(t *testing.T) {
		w := inWorld(t)
		w.ChangePerson(fake.Person{ID: ana, Name: "ana", Deleted: true})
		w.until("word to the office", func() bool {
			return slices.ContainsFunc(w.Messages(w.Direct(ivy)), func(m fake.Message) bool { return strings.Contains(m.Text, "no account at slack") })
		})
	})
	t.Run("the channel is archived", func(t *testing.T) {
		w := inWorld(t)
		w.expected = []string{"is_archived"}
		w.open()
		w.Archive(doors, ivy)
		w.until("word to the office", func() bool {
			return slices.ContainsFunc(w.Messages(w.Direct(ivy)), func(m fake.Message) bool { return strings.Contains(m.Text, "was archived") })
		})
		// A reminder that comes due there goes to the foreman alone.
		n := jobs.Notice{ID: "orchard-lane/A-1:test", Kind: jobs.TellNow, Door: "orchard-lane/A-1", Thread: "orchard-lane/A-1", Due: jobs.NowAt(time.Now()), Args: map[string]string{"to": "crew", "what": "x", "text": "y"}}
		if _, err := w.store.Commit(t.Context(), jobs.Change{Op: "test", At: n.Due, Put: []jobs.Notice{n}}); err != nil {
			t.Fatal(err)
		}
		w.until("word to the foreman", func() bool {
			return slices.ContainsFunc(w.Messages(w.Direct(mo)), func(m fake.Message) bool { return strings.Contains(m.Text, "is_archived") })
		})
	})
	t.Run("the app is uninstalled", func(t *testing.T) {
		w := inWorld(t)
		w.expected = hopeless
		w.Uninstall()
		w.until("the end", func() bool { return strings.Contains(w.logs.String(), "no more is taken") })
		if err := w.end(); !errors.Is(err, errRevoked) {
			t.Errorf("ended with %v", err)
		}
	})
	t.Run("the token is revoked", func(t *testing.T) {
		w := inWorld(t)
		w.RevokeTokens()
		w.until("the end", func() bool { return strings.Contains(w.logs.String(), "no more is taken") })
		if err := w.end(); !errors.Is(err, errRevoked) {
			t.Errorf("ended with %v", err)
		}
	})
}

// Connections: two of them, renewed one at a time, and found dead.
func TestSocket_renewed(t *testing.T) {
	w := inWorld(t)
	w.until("two connections", func() bool { return w.Sockets() == 2 })
	for _, reason := range []string{"refresh_requested", "warning"} {
		w.Disconnect(reason, 1)
		w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
	}
	w.Cut(2)
	w.until("a connection", func() bool { return w.Sockets() > 0 })
	w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
}

// Over HTTP: what Slack signed is dealt with, all else is refused unseen.
func TestHTTP(t *testing.T) {
	w := inWorld(t)
	server := httptest.NewServer(w.a.Handler())
	defer server.Close()
	if err := w.UseHTTP(t.Context(), server.URL); err != nil {
		t.Fatal(err)
	}
	w.once(w.Say(doors, ana, mention+"gap 54 60", ""), "heel gap 8 mm")
	face := w.open()
	w.press(ana, face, "Next")
	w.whispered(ana, "next:")
	if err := w.Command(bo, other, "/door", "gap 54 60"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "heel gap 8 mm")

	body := []byte("command=/door&text=gap+54+60&team_id=" + fake.Team + "&api_app_id=" + fake.App + "&user_id=" + ana + "&channel_id=" + doors + "&trigger_id=1.1")
	now := time.Now()
	good := fake.Sign(w.Secret(), now, body)
	for _, c := range []struct {
		name   string
		header http.Header
		body   []byte
		status int
	}{
		{"good", good, body, http.StatusOK},
		{"no signature", nil, body, http.StatusUnauthorized},
		{"another secret", fake.Sign("another", now, body), body, http.StatusUnauthorized},
		{"stale", fake.Sign(w.Secret(), now.Add(-6*time.Minute), body), body, http.StatusUnauthorized},
		{"from the future", fake.Sign(w.Secret(), now.Add(6*time.Minute), body), body, http.StatusUnauthorized},
		{"another body", good, append(slices.Clone(body), "&x=1"...), http.StatusUnauthorized},
		{"too large", good, bytes.Repeat([]byte("x"), maxBody+1), http.StatusRequestEntityTooLarge},
	} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/slack/commands", bytes.NewReader(c.body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header = c.header.Clone()
		if r.Header == nil {
			r.Header = http.Header{}
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != c.status {
			t.Errorf("%s: got %d, want %d", c.name, resp.StatusCode, c.status)
		}
	}
	metrics := httptest.NewRecorder()
	w.a.metrics.Handler().ServeHTTP(metrics, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	if !strings.Contains(metrics.Body.String(), `heelpost_received_total{kind="too large"} 1`) {
		t.Error("what is too large is not counted")
	}
	w.a.Secrets = []string{"the new one", w.Secret()}
	if !w.a.isSigned(good, body) {
		t.Error("the old secret is refused while it is replaced")
	}
}

// A request that is replayed within its five minutes does nothing twice.
func TestHTTP_replayed(t *testing.T) {
	w := inWorld(t)
	server := httptest.NewServer(w.a.Handler())
	defer server.Close()
	face := w.open()
	body := []byte(`{"type":"event_callback","team_id":"` + fake.Team + `","api_app_id":"` + fake.App + `","event_id":"Ev1","authorizations":[{"team_id":"` + fake.Team +
		`"}],"event":{"type":"app_mention","user":"` + ana + `","text":"<@` + fake.Bot + `> tick datum","ts":"1800000000.000100","thread_ts":"` + face.TS + `","channel":"` + doors + `"}}`)
	for range 3 {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, server.URL+"/slack/events", bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		r.Header = fake.Sign(w.Secret(), time.Now(), body)
		resp, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != http.StatusOK {
			t.Fatalf("got %d", resp.StatusCode)
		}
	}
	w.until("the tick", func() bool { return len(w.replies(doors, face.TS)) == 2 })
	w.rest()
	if n := len(w.replies(doors, face.TS)); n != 2 {
		t.Errorf("%d posts in the thread, want 2", n)
	}
}

// Names that turn or hide text, and very long texts, come out plain and whole.
func TestHostileText(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	got := w.says(ana, mention+"snag turned \u202egnp.exe\u200b <!channel> <https://evil.example|here> *bold* @bo", face.TS)
	if strings.ContainsAny(got.Text, "\u202e\u200b") || strings.Contains(got.Text, "<!channel>") || strings.Contains(got.Text, "<https:") {
		t.Errorf("got %q", got.Text)
	}
	long := w.says(ana, mention+"gap "+strings.Repeat("5", 100_000), "")
	if !strings.Contains(long.Text, "4000 characters") {
		t.Errorf("100 kB: got %.200q", long.Text)
	}
}

// Connections at Slack that are not ours take envelopes that nobody reads.
func TestSocket_ghosts(t *testing.T) {
	w := inWorld(t)
	w.until("two connections", func() bool { return w.Sockets() == 2 })
	ghost := socketmode.New(slack.New(fake.BotToken, slack.OptionAppLevelToken(fake.AppToken), slack.OptionAPIURL(w.URL())))
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	go ghost.RunContext(ctx)
	w.until("the ghost", func() bool { return w.Sockets() == 3 })
	w.Disconnect("refresh_requested", 1)
	w.until("the alarm", func() bool { return strings.Contains(w.logs.String(), "more connections than are ours") })
}

// An outage that could not be read back stays to be read back, whatever beats
// meanwhile.
func TestCatchUp_again(t *testing.T) {
	w := inWorld(t)
	w.end()                       // its own connections catch up, too, when they are made
	w.store.lost.Store("changed") // the doors that changed can't be read
	if err := w.a.Beat(t.Context(), time.Now().Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := w.a.CatchUp(t.Context(), time.Now()); err == nil {
		t.Error("caught up on what can't be read")
	}
	if refs, err := w.store.Bound(t.Context(), gapName); err != nil || refs[0] == "" {
		t.Fatalf("the gap is not kept: %q, %v", refs, err)
	}
	w.store.lost.Store("")
	if err := w.a.Beat(t.Context(), time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := w.a.CatchUp(t.Context(), time.Now().Add(catchUpTakes+time.Minute)); err != nil {
		t.Fatal(err)
	}
	tally, err := w.store.Tally(t.Context())
	if refs, err2 := w.store.Bound(t.Context(), gapName); err != nil || err2 != nil || refs[0] != "" || tally.Due != 1 {
		t.Errorf("the gap is %v, %+v, %v, want it read back and word of it due", refs, tally, errors.Join(err, err2))
	}
}

// A channel that the bot is invited to is told in three sentences what to type
// first, once; somebody else's coming is none of its business.
func TestWelcome_channel(t *testing.T) {
	w := inWorld(t)
	for _, channel := range []string{doors, other} {
		w.Leave(channel, fake.Bot)
	}
	w.Invite(doors, fake.Bot, mo)
	w.Invite(other, fake.Bot, mo)
	w.Invite(other, guest, mo)
	said := func(channel, part string) {
		t.Helper()
		w.until(part, func() bool {
			all := w.Messages(channel)
			return len(all) > 0 && strings.Contains(all[len(all)-1].Text, part)
		})
	}
	said(doors, "door open A-101 to begin one")
	said(other, "no site file names this channel")
	w.Leave(other, fake.Bot)
	w.Invite(other, fake.Bot, mo)
	w.a.Finish()
	if n := len(w.Messages(other)); n != 1 {
		t.Errorf("welcomed %d times, want once", n)
	}
}

// An answer can be shared where the bot is no member.
func TestShare_elsewhere(t *testing.T) {
	w := inWorld(t)
	w.Leave(other, fake.Bot)
	if err := w.Command(bo, other, "/door", "gap 54 60"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "heel gap 8 mm")
	answer := w.Ephemerals(bo)[0]
	w.press(bo, answer, "Share")
	w.press(bo, answer, "Share")
	w.until("the shared answer", func() bool { return len(w.Messages(other)) > 0 })
	w.a.Finish()
	if n := len(w.Messages(other)); n != 1 {
		t.Errorf("shared %d times, want once", n)
	}
}

// Of two sites with somebody of the same id each one's office is told of its
// own, and a group that can't be read takes no other's role.
func TestPeople_severalSites(t *testing.T) {
	w := inWorld(t)
	second := *accounts(t)
	second.ID, second.Name, second.Channels, second.Hash = "pier", "Pier", []string{other}, "another"
	second.People = slices.Clone(second.People)
	for i, p := range second.People {
		if p.ID == "ivy" {
			second.People[i].Account = cy
		}
	}
	second.Groups = []jobs.Group{{Account: "S0GONE001", Role: jobs.Crew}, {Account: "S0CREW001", Role: jobs.Foreman}}
	w.AddGroups(fake.Group{ID: "S0CREW001", Handle: "crew", Users: []string{guest}})
	if err := w.desk.UseSite(t.Context(), &second); err != nil {
		t.Fatal(err)
	}
	if err := w.a.Regroup(t.Context()); err == nil {
		t.Error("the group that is not there was read")
	}
	if r := w.desk.Sites()[1].Role(guest); r != jobs.Foreman {
		t.Errorf("the member of the other group is %s", r)
	}
	w.Archive(other, bo)
	w.until("word to the office", func() bool { return len(w.Messages(w.Direct(cy))) == 1 })
	if n := len(w.Messages(w.Direct(ivy))); n != 0 {
		t.Errorf("the other site's office was told %d times", n)
	}
}

// What could not be dealt with is told to who said it, and found again there
// if the reply is lost.
func TestUnheard(t *testing.T) {
	w := inWorld(t)
	w.expected = []string{"not_in_channel"}
	ts := w.Say(doors, ana, mention+"gap 54 60", "")
	w.once(ts, "heel gap 8 mm")
	w.Break(fake.Fault{Method: "chat.postMessage", Code: "not_in_channel", Times: 1})
	w.Break(fake.Fault{Method: "chat.postMessage", After: true, Cut: true, Times: 1})
	w.Say(doors, ana, mention+"gap 46 75", "")
	w.until("word to her alone", func() bool { return len(w.Messages(w.Direct(ana))) > 0 })
	w.rest()
	if all := w.Messages(w.Direct(ana)); len(all) != 1 || !strings.Contains(all[0].Text, "gap 46 75") {
		t.Errorf("told %d times: %+v", len(all), all)
	}
}

// A channel that could not be read for a moment is read the next time, and what was
// said in it is not lost.
func TestCatchUp_passing(t *testing.T) {
	w := inWorld(t)
	w.end()
	mentioned := w.Say(doors, ana, mention+"gap 54 60", "")
	w.until("slack gives up", func() bool { return w.Unacked() == 0 })
	if err := w.a.Beat(t.Context(), time.Now().Add(-time.Hour)); err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	w.Break(fake.Fault{Method: "conversations.history", Times: 1, Code: "internal_error"})
	if err := w.a.CatchUp(t.Context(), now); err == nil {
		t.Error("caught up on what could not be read")
	}
	if err := w.a.CatchUp(t.Context(), now.Add(catchUpTakes+time.Minute)); err != nil {
		t.Fatal(err)
	}
	w.begin(NoLimits)
	w.until("the answer", func() bool { return len(w.replies(doors, mentioned)) == 1 })
}
