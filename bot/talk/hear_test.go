package talk_test

import (
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/bot/talk"
	"heelpost/jobs"
)

// heard lets people speak to a desk through the store, as a far chat does,
// and returns how much was posted since.
func heard(t *testing.T, test func(poster *lame, hear func(m bot.Message) []bot.Post, later func(time.Duration))) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		poster := &lame{}
		desk, site := furnished(t, store, poster)
		time.Sleep(time.Until(time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)))
		settle := func() {
			if _, err := desk.Settle(t.Context(), time.Now()); err != nil {
				t.Fatal(err)
			}
		}
		n := 0
		hear := func(m bot.Message) []bot.Post {
			t.Helper()
			n++
			m.ID, m.At, m.Channel = "in:"+time.Duration(n).String(), time.Now(), site.Channels[0]
			before := len(poster.posts)
			for i := range 2 { // it comes twice
				if ok, err := desk.Hear(t.Context(), m.ID, m); err != nil || i == 0 && !ok {
					t.Fatalf("%q, time %d: kept %v, %v", m.Text, i+1, ok, err)
				}
				settle()
			}
			return poster.posts[before:]
		}
		test(poster, hear, func(d time.Duration) { time.Sleep(d); settle() })
	})
}

// A message whose answer could not be posted is dealt with again, and then
// meets the question that waited when it came first.
func TestHear_again(t *testing.T) {
	heard(t, func(poster *lame, hear func(m bot.Message) []bot.Post, later func(time.Duration)) {
		for _, step := range []struct{ text, want string }{{"gap 54", "setback"}, {"60", "heel gap 8 mm"}} {
			poster.broken = errors.New("the far side is away")
			if got := hear(bot.Message{Person: "ana", Under: "1.1", Text: step.text}); len(got) > 0 {
				t.Fatalf("%q: posted %q while the far side was away", step.text, got[0].Text)
			}
			poster.broken = nil
			later(time.Minute)
			later(time.Minute)
			if n := poster.said(step.want); n != 1 {
				t.Errorf("%q: %q was said %d times, want once", step.text, step.want, n)
			}
			if last := poster.posts[len(poster.posts)-1]; last.Under != "1.1" || last.ID == "" {
				t.Errorf("%q: posted under %q with id %q", step.text, last.Under, last.ID)
			}
		}
	})
}

// Somebody whose message can't be dealt with at all is told so.
func TestHear_givenUp(t *testing.T) {
	heard(t, func(poster *lame, hear func(m bot.Message) []bot.Post, later func(time.Duration)) {
		poster.broken = errors.New("the far side is away")
		hear(bot.Message{Person: "ana", Under: "1.1", Text: "gap 54 60"})
		for range 160 { // eighty tries, each looked for first
			later(30 * time.Minute)
		}
		poster.broken = nil
		later(time.Hour)
		later(time.Hour)
		if n := poster.said("I could not deal with this"); n != 1 {
			t.Errorf("told %d times, want once", n)
		}
	})
}

// What people say among themselves is left alone unless it is plainly for
// the bot.
func TestHear_overheard(t *testing.T) {
	heard(t, func(poster *lame, hear func(m bot.Message) []bot.Post, later func(time.Duration)) {
		hear(bot.Message{Person: "ana", Text: openA1})
		hear(bot.Message{Person: "ana", Thread: "A-1", Text: "visit 2027-03-01 13:00 to look"})
		for _, c := range []struct {
			who, text string
			posts     int
		}{
			{"ana", "mind the gap, it is 8 now", 0},
			{"ana", "the gap is fine I think", 0},
			{"ana", "gap", 1},
			{"ana", "gap thickness 50", 1},
			{"ana", "gap 54", 0}, // it may tell the door's gap
			{"ana", "what gap for 54", 1},
			{"ana", "drill stop", 1},
			{"ana", "stop", 0},
			{"ana", "is it clear", 0},
			{"ana", "can you lift it", 0},
			{"ana", "could you stand it up", 0},
			{"ana", "will it fit in the lift", 0},
			{"ana", "is it plumb", 0},
			{"ana", "it is curing", 0},
			{"ana", "we lift it at 4", 0},
			{"ana", "lift it with 4", 0},
			{"ana", "ask the foreman", 0},
			{"ana", "check the sheet", 0},
			{"ana", "who is the foreman", 0},
			{"ana", "how long to cure", 1},
			{"ana", "how many people to lift", 1},
			{"ana", "clear width", 1},
			{"ana", "is the drill at your place", 0},
			{"ana", "tick datum", 0},
			{"mo", "override status because I say so", 0},
			{"ana", "done", 0}, // the visit is not asked about yet
			{"ana", "yes", 0},
			{"ana", "help", 0},
			{"ana", "boad", 0},
			{"ana", "tik status", 0},
			{"ana", "joint done", 0},
			{"ana", "plate centre 74", 0},
			{"ana", "what's next?", 0},
			{"ana", "88 kg, screed", 0},
		} {
			if got := hear(bot.Message{Person: c.who, Thread: "A-1", Text: c.text, Overheard: true}); len(got) != c.posts {
				t.Errorf("%q: %d posts %v, want %d", c.text, len(got), got, c.posts)
			}
		}
		later(5 * time.Hour)
		for _, c := range []struct {
			who, text string
			posts     int
		}{
			{"cy", "done", 0}, // nobody asked cy
			{"ana", "done deal that", 0},
			{"ana", "yes", 0},
			{"ana", "snooze 1h", 1},
			{"ana", "undo", 2}, // and the visit is spoken of again
			{"ana", "snooze the meeting", 0},
			{"ana", "done", 1},
			{"ana", "done", 0},
		} {
			if got := hear(bot.Message{Person: c.who, Thread: "A-1", Text: c.text, Overheard: true}); len(got) != c.posts {
				t.Errorf("at the visit, %s says %q: %d posts %v, want %d", c.who, c.text, len(got), got, c.posts)
			}
		}
		if n := poster.said("visit v1 done"); n != 1 {
			t.Errorf("the visit was done %d times, want once", n)
		}
	})
}

// A board that could not be posted is told to the foreman, and the next one
// comes all the same.
func TestDesk_failedDigest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		poster := &lame{broken: errors.New("the far side is away")}
		desk, site := furnished(t, store, poster)
		at := time.Date(2027, 3, 1, 4, 0, 0, 0, site.Zone)
		if err := desk.LayRules(t.Context(), at); err != nil {
			t.Fatal(err)
		}
		for ; at.Day() == 1; at = at.Add(2 * time.Minute) {
			if _, err := desk.Settle(t.Context(), at); err != nil {
				t.Fatal(err)
			}
		}
		if n := poster.said("a notice (digest) of Orchard Lane, houses 2 to 9 could not be posted"); n != 1 {
			t.Errorf("the foreman was told %d times, want once", n)
		}
		poster.broken = nil
		if _, err := desk.Settle(t.Context(), at.Add(7*time.Hour)); err != nil {
			t.Fatal(err)
		}
		if n := poster.said("board of Orchard Lane"); n != 1 {
			t.Errorf("the next morning has %d boards, want 1", n)
		}
	})
}

// What was asked back by the version before is answered after a restart, an
// order and a question alike, and a look in between leaves it as it is kept.
func TestHear_keptBefore(t *testing.T) {
	o := newOffice(t)
	for old, steps := range map[string][]struct{ text, want string }{
		`{"text":"door open A-7 1050x2350x44","order":true,"before":"setback","ask":"door A-7: the setback, from the leaf's heel edge to the pivot axis, as 65"}`: {
			{"board", "board of Orchard Lane"}, {"blue", "the setback, from the leaf's heel edge"}, {"65", "door A-7: the opening between finished jambs"}},
		`{"text":"gap 54","verb":"gap","need":["setback"]}`: {{"60", "heel gap 8 mm"}},
	} {
		m := o.message("ana", "", "")
		pending := talk.Stored{Store: o.store}
		if err := pending.Put(o.ctx, m.ID, m.Place(), []byte(old), nil, o.now, o.now.Add(time.Minute), jobs.Change{}); err != nil {
			t.Fatal(err)
		}
		for i, step := range steps {
			if got := o.say("ana", "", step.text); len(got) != 1 || !strings.Contains(got[0].Text, step.want) {
				t.Errorf("%s: %q is answered by %+v, want %q", old, step.text, got, step.want)
			}
			if kept, err := pending.Get(o.ctx, "", m.Place(), o.now); i < len(steps)-1 && string(kept) != old || err != nil {
				t.Errorf("after %q %s is kept (%v), want %s", step.text, kept, err, old)
			}
		}
	}
}
