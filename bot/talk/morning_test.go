package talk_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// week is a site of forty doors in a week in which people do as people do:
// most visits are made and entered the same day, some a day later, some not.
type week struct {
	*works
	t       *testing.T
	channel string
	said    int
}

func (w *week) say(who, thread, text string) {
	w.t.Helper()
	w.said++
	posts, err := w.bot.Handle(w.t.Context(), bot.Message{ID: fmt.Sprint("m", w.said), At: time.Now(), Person: who, Channel: w.channel, Thread: thread, Text: text})
	if err != nil {
		w.t.Fatal(err)
	}
	for _, p := range posts {
		if p.Kind == bot.KindError {
			w.t.Fatalf("%s #%s> %s: %s", who, thread, text, p.Text)
		}
	}
}

// until lets time pass, and sends what comes due in it.
func (w *week) until(end time.Time) {
	w.t.Helper()
	for {
		next, err := w.Settle(w.t.Context(), time.Now())
		if err != nil {
			w.t.Fatal(err)
		}
		if !time.Now().Before(end) {
			return
		}
		time.Sleep(max(time.Millisecond, min(time.Until(next), time.Until(end))))
	}
}

// step is something that somebody does in the week.
type step struct {
	at                time.Time
	who, thread, text string
}

// fortyDoors opens forty doors on a Monday and plans and enters their visits
// of the week.
func fortyDoors(w *week, monday time.Time) (steps []step) {
	r := rand.New(rand.NewPCG(1, 2))
	crew := []string{"ana", "bo", "cy"}
	for i := range 40 {
		id, who := fmt.Sprint("H-", i+1), crew[i%3]
		w.say("mo", "", strings.NewReplacer("A-1 ", id+" ", "@ana", "@"+who).Replace(openA1))
		for v := range 1 + r.IntN(2) {
			day := v*3 + r.IntN(3-v)
			visit := monday.AddDate(0, 0, day).Add(time.Duration(r.IntN(4)) * time.Hour) // 8:00 to 11:00
			w.say(who, id, "visit "+visit.Format("2006-01-02 15:04")+" to set the margins")
			entered := visit.Add(time.Duration(20+r.IntN(90)) * time.Minute)
			switch n := r.IntN(10); {
			case n < 3:
				entered = visit.AddDate(0, 0, 1).Add(2 * time.Hour) // the day after
			case n < 5:
				continue // nobody enters it
			}
			steps = append(steps, step{entered, who, id, fmt.Sprint("visit done v", v+1)})
		}
		if r.IntN(8) == 0 {
			steps = append(steps, step{monday.AddDate(0, 0, r.IntN(5)).Add(time.Duration(60+r.IntN(300)) * time.Minute), who, id, "snag scratch on the leaf"})
		}
	}
	slices.SortFunc(steps, func(a, b step) int { return a.at.Compare(b.at) })
	return steps
}

// A foreman of forty doors gets at most a third of the messages in a week that
// they got when each reminder was one, which were 36.
func TestForeman_Week(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		poster := &lame{}
		desk, site := furnished(t, inMemory(t), poster)
		w := &week{works: desk, t: t, channel: site.Channels[0]}
		monday := time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)
		time.Sleep(time.Until(monday))
		for _, s := range fortyDoors(w, monday) {
			w.until(s.at)
			w.say(s.who, s.thread, s.text)
		}
		w.until(monday.AddDate(0, 0, 7))
		messages, reminders, mornings := map[string]int{}, map[string]int{}, map[string]int{}
		for _, p := range poster.posts {
			if p.Kind != bot.KindReminder {
				continue
			}
			for _, who := range strings.Fields(p.To) {
				messages[who]++
				reminders[who] += max(1, len(p.Says))
				if at := p.At.In(site.Zone); at.Hour() == 7 && at.Minute() == 0 {
					mornings[who+at.Format(time.DateOnly)]++
				}
			}
		}
		t.Logf("messages %v, reminders %v", messages, reminders)
		if messages["mo"] > 36/3 || reminders["mo"] < 36 {
			t.Errorf("mo got %d messages of %d reminders: want at most a third of 36, and none lost", messages["mo"], reminders["mo"])
		}
		for morning, n := range mornings {
			if n > 1 {
				t.Errorf("%s: %d messages in one morning", morning, n)
			}
		}
	})
}

// What nobody could send for hours is one message for each person when it
// can be sent again, and what waits for the morning when that is at night.
func TestForeman_Outage(t *testing.T) {
	for _, back := range []struct{ at, said string }{{"2027-03-02 14:00", "2027-03-02 14:00"}, {"2027-03-02 21:00", "2027-03-03 07:00"}} {
		synctest.Test(t, func(t *testing.T) {
			store, poster := inMemory(t), &lame{}
			desk, site := furnished(t, store, poster)
			at := clockOf(t, site)
			w := &week{works: desk, t: t, channel: site.Channels[0]}
			time.Sleep(time.Until(at("2027-03-01 08:00")))
			for i := range 12 {
				id := fmt.Sprint("A-", i+1)
				w.say("mo", "", strings.Replace(openA1, "A-1 ", id+" ", 1))
				w.say("ana", id, fmt.Sprintf("visit 2027-03-02 %d:30 to look", 8+i%4))
			}
			w.until(at("2027-03-02 08:00"))
			poster.posts = nil
			time.Sleep(time.Until(at(back.at))) // nothing is sent meanwhile
			w.until(at(back.said).Add(time.Minute))
			var said []bot.Post
			for _, p := range poster.posts {
				if p.Kind == bot.KindReminder && strings.Contains(p.To, "ana") {
					said = append(said, p)
				}
			}
			if len(said) != 1 || len(said[0].Says) != 12 || said[0].At.Before(at(back.said)) || !strings.Contains(said[0].Text, "and at 7 doors more") {
				t.Errorf("back at %s: ana got %d messages, the first is %+v; want one of twelve", back.at, len(said), said)
			}
		})
	}
}

// A board of forty doors fits a phone of 42 columns and 12 lines, and so does
// what the morning's begins with.
func TestBoard_Phone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		poster := &lame{}
		desk, site := furnished(t, inMemory(t), poster)
		w := &week{works: desk, t: t, channel: site.Channels[0]}
		monday := time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)
		time.Sleep(time.Until(monday))
		fortyDoors(w, monday)
		w.until(monday.AddDate(0, 0, 3).Add(time.Hour))
		posts, err := w.bot.Handle(t.Context(), bot.Message{ID: "board", At: time.Now(), Person: "mo", Channel: w.channel, Text: "board"})
		if err != nil || len(posts) != 1 {
			t.Fatal(posts, err)
		}
		lines, last := 0, ""
		for line := range strings.SplitSeq(posts[0].Text, "\n") {
			lines, last = lines+(len([]rune(line))+41)/42, line
		}
		if lines > 12 || !strings.Contains(last, "more: board all") || posts[0].Buttons[0].Say != "board all" || !strings.Contains(posts[0].Text, "visit overdue since") {
			t.Errorf("%d lines:\n%s", lines, posts[0].Text)
		}
	})
}

// there is a poster at which every post is found.
type there struct{ lame }

func (*there) Find(context.Context, bot.Post) (string, bool, error) { return "there", true, nil }

// The digest goes on after one that was posted by a process that died of it:
// it is found, and the next one is laid.
func TestDigest_Found(t *testing.T) {
	store := inMemory(t)
	desk, site := furnished(t, store, &there{})
	at := clockOf(t, site)
	if err := desk.LayRules(t.Context(), at("2027-03-01 06:00")); err != nil {
		t.Fatal(err)
	}
	morning := at("2027-03-01 06:30")
	if b, err := store.Claim(t.Context(), jobs.Claim{Runner: "dead", ID: "dead-1", Now: jobs.NowAt(morning), Max: 9, Lease: time.Second}); err != nil || len(b.Notices) == 0 {
		t.Fatal(b, err)
	}
	if _, err := desk.Settle(t.Context(), morning.Add(time.Minute)); err != nil {
		t.Fatal(err)
	}
	n, err := store.Notice(t.Context(), "digest:"+site.ID)
	if err != nil || !n.Due.Time().Equal(at("2027-03-02 06:30")) {
		t.Errorf("the next digest: %+v, %v, want it tomorrow", n, err)
	}
}
