package talk_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/bot/console"
	"heelpost/jobs"
	"heelpost/jobs/redis"
	"heelpost/jobs/redis/redistest"
)

// lame is a poster that fails while it is told to, and counts what it posts.
type lame struct {
	mu     sync.Mutex
	broken error
	posts  []bot.Post
	tried  []time.Time
}

func (l *lame) Post(_ context.Context, p bot.Post) (string, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.tried = append(l.tried, time.Now())
	if l.broken != nil && !strings.Contains(p.Text, "could not be posted") {
		return "", l.broken
	}
	l.posts = append(l.posts, p)
	return p.ID, nil
}

func (l *lame) Find(context.Context, bot.Post) (string, bool, error) { return "", false, nil }

func (l *lame) said(part string) (n int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, p := range l.posts {
		if strings.Contains(p.Text, part) {
			n++
		}
	}
	return n
}

const openA1 = "door open A-1 1050x2350x44 setback 65 opening 1068x2372 lean heel 0 lean lead 0 floor fall level mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo"

// A post that can't be made is tried again after growing pauses; after the
// last try the foreman is told, it stands on the board as failed, and retry
// sends it.
func TestDesk_FailedNotice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		poster := &lame{broken: errors.New("the far side is away")}
		desk, site := furnished(t, store, poster)
		b := desk.bot
		time.Sleep(time.Until(time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)))
		say := func(id, who, thread, text string) []bot.Post {
			posts, err := b.Handle(t.Context(), bot.Message{ID: id, At: time.Now(), Person: who, Channel: site.Channels[0], Thread: thread, Text: text})
			if err != nil {
				t.Fatal(err)
			}
			return posts
		}
		run := func(d time.Duration) {
			for end := time.Now().Add(d); time.Now().Before(end); {
				next, err := desk.Settle(t.Context(), time.Now())
				if err != nil {
					t.Fatal(err)
				}
				time.Sleep(max(time.Millisecond, min(time.Until(next), time.Until(end))))
			}
		}
		say("m1", "ana", "", openA1)
		run(3 * time.Hour)
		if n := poster.said("door A-1 opened"); n != 0 {
			t.Fatalf("posted %d times while the far side was away", n)
		}
		for i := 2; i < len(poster.tried); i++ {
			before, after := poster.tried[i-1].Sub(poster.tried[i-2]), poster.tried[i].Sub(poster.tried[i-1])
			if i < 6 && after < before {
				t.Errorf("pause %d is %v after one of %v: pauses grow", i, after, before)
			}
		}
		if n := poster.said("@mo a notice (entry) for door A-1 could not be posted"); n != 1 {
			t.Errorf("the foreman was told %d times, want once", n)
		}
		if got := say("m2", "mo", "", "failed"); !strings.Contains(got[0].Text, "1 entry of door A-1") || !strings.Contains(got[0].Text, "the far side is away") {
			t.Errorf("failed: got %q", got[0].Text)
		}
		if got := say("m3", "mo", "", "board"); !strings.Contains(got[0].Text, "1 reminder") {
			t.Errorf("board: got %q", got[0].Text)
		}
		poster.broken = nil
		say("m4", "mo", "", "retry 1")
		run(time.Minute)
		if n := poster.said("door A-1 opened"); n != 1 {
			t.Errorf("posted %d times after retry, want once", n)
		}
	})
}

// inMemory returns a store that is gone with the test.
func inMemory(t testing.TB) *redis.Store {
	t.Helper()
	return redistest.Open(t, "console")
}

// furnished is a desk at the first site of testdata/sites.
func furnished(t testing.TB, store jobs.Store, poster bot.Poster) (*works, *jobs.Site) {
	t.Helper()
	desk := newWorks("t", store, poster)
	if err := desk.UseSheet(t.Context(), read(t, "sheets/orchard.yaml")); err != nil {
		t.Fatal(err)
	}
	site, err := jobs.ParseSite(read(t, "sites/orchard-lane.yaml"), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	if err := desk.UseSite(t.Context(), site); err != nil {
		t.Fatal(err)
	}
	return desk, site
}

// A message that comes twice changes a door once, and is told of once.
func TestDesk_RepeatedMessage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		poster := &lame{}
		desk, site := furnished(t, store, poster)
		b := desk.bot
		for _, m := range []bot.Message{{ID: "m1", Text: openA1}, {ID: "m2", Thread: "A-1", Text: "tick datum"}} {
			for range 3 {
				m.At, m.Person, m.Channel = time.Now(), "ana", site.Channels[0]
				if _, err := b.Handle(t.Context(), m); err != nil {
					t.Fatal(err)
				}
				if _, err := desk.Settle(t.Context(), m.At); err != nil {
					t.Fatal(err)
				}
			}
		}
		for text, want := range map[string]int{"door A-1 opened": 1, "ticked 2 datum": 1} {
			if n := poster.said(text); n != want {
				t.Errorf("%q was said %d times, want %d", text, n, want)
			}
		}
		if rec, err := store.Door(t.Context(), site.ID+"/A-1"); err != nil || rec.Version != 2 {
			t.Errorf("got version %d, %v, want 2", rec.Version, err)
		}
	})
}

// A digest that was missed is caught up once and says so; if nobody is at
// work when the bot is back, it folds into the next.
func TestDesk_MissedDigest(t *testing.T) {
	for _, c := range []struct {
		back string
		want []string
	}{
		{"2027-03-04 09:00", []string{"board of Orchard Lane", "the bot was away: this stands for 2 more"}},
		{"2027-03-04 22:00", nil},
	} {
		synctest.Test(t, func(t *testing.T) {
			store := inMemory(t)
			var out bytes.Buffer
			chat := room(t, store, &out)
			at := func(text string) time.Time {
				v, err := time.ParseInLocation("2006-01-02 15:04", text, chat.Zone)
				if err != nil {
					t.Fatal(err)
				}
				return v
			}
			if err := chat.Work.LayRules(t.Context(), at("2027-03-01 08:00")); err != nil {
				t.Fatal(err)
			}
			poster := &lame{}
			desk, _ := furnished(t, store, poster)
			if _, err := desk.Settle(t.Context(), at(c.back)); err != nil {
				t.Fatal(err)
			}
			if len(c.want) == 0 && len(poster.posts) > 0 || len(c.want) > 0 && len(poster.posts) != 1 {
				t.Fatalf("back at %s: got %d posts", c.back, len(poster.posts))
			}
			for _, part := range c.want {
				if poster.said(part) != 1 {
					t.Errorf("back at %s: got %q, want it to say %q", c.back, poster.posts[0].Text, part)
				}
			}
			if _, err := desk.Settle(t.Context(), at("2027-03-05 06:30")); err != nil {
				t.Fatal(err)
			}
			if n := poster.said("board of Orchard Lane"); n != len(c.want)/2+1 {
				t.Errorf("back at %s: %d boards by the next morning", c.back, n)
			}
		})
	}
}

// BenchmarkBoard shows the first page of a site of 10,000 doors.
func BenchmarkBoard(b *testing.B) {
	ctx := b.Context()
	store, err := redis.Embedded(ctx, "console")
	if err != nil {
		b.Fatal(err)
	}
	defer store.Close()
	poster := &lame{}
	desk, site := furnished(b, store, poster)
	talk := desk.bot
	at := time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)
	say := func(id, text string) []bot.Post {
		posts, err := talk.Handle(ctx, bot.Message{ID: id, At: at, Person: "mo", Channel: site.Channels[0], Text: text})
		if err != nil {
			b.Fatal(err)
		}
		return posts
	}
	say("first", openA1)
	first, err := store.Door(ctx, site.ID+"/A-1")
	if err != nil {
		b.Fatal(err)
	}
	for i := range 10_000 {
		key := site.ID + "/" + "B-" + time.Duration(i).String()
		change := jobs.Change{Op: key, At: jobs.NowAt(at), Door: &jobs.DoorChange{Key: key, State: first.State, Entry: []byte("[]"),
			Index: []jobs.Index{{Name: site.ID + "/all"}, {Name: site.ID + "/stage/survey"}}}}
		if _, err := store.Commit(ctx, change); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		if posts := say("board", "board"); !strings.Contains(posts[0].Text, "survey: 10001") {
			b.Fatal(posts[0].Text)
		}
	}
}

var _ bot.Poster = (*console.Outbox)(nil)

// A sheet that there is not is refused in words, of a new door and of one that
// is corrected: no try would ever find it.
func TestDesk_NoSheet(t *testing.T) {
	o := newOffice(t)
	open := "door open A-1 1050x2350x44 setback 65 opening 1068x2372 lean heel 0 lean lead 0 floor fall level mass 88kg floor screed both ways ordinary sheet %s crew @ana foreman @mo"
	for _, step := range []struct{ thread, text, want string }{
		{"", fmt.Sprintf(open, "meadow"), `there is no hardware sheet "meadow"`},
		{"", fmt.Sprintf(open, "orchard"), "door A-1 opened"},
		{"A-1", "correct sheet meadow because it was delivered", `there is no hardware sheet "meadow"`},
	} {
		if got := o.say("mo", step.thread, step.text); len(got) == 0 || !strings.Contains(got[0].Text, step.want) {
			t.Errorf("%q is answered by %+v, want %q", step.text, got, step.want)
		}
	}
}
