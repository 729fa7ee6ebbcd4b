package talk_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// edited is orchard-lane's site file with parts of it replaced.
func edited(t testing.TB, oldnew ...string) *jobs.Site {
	t.Helper()
	text := strings.NewReplacer(oldnew...).Replace(string(read(t, "sites/orchard-lane.yaml")))
	site, err := jobs.ParseSite([]byte(text), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	return site
}

// clockOf reads instants of a site's clocks.
func clockOf(t testing.TB, site *jobs.Site) func(text string) time.Time {
	return func(text string) time.Time {
		v, err := time.ParseInLocation("2006-01-02 15:04", text, site.Zone)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// meddled is a store in which something happens when a door is next read.
type meddled struct {
	*redis.Store
	meddle func()
}

// slow is a store in which something happens after a door's notices are read.
type slow struct {
	*redis.Store
	then func()
}

func (s *slow) Notices(ctx context.Context, door string, from, count int) ([]jobs.Notice, error) {
	ns, err := s.Store.Notices(ctx, door, from, count)
	if f := s.then; f != nil {
		s.then = nil
		f()
	}
	return ns, err
}

func (m *meddled) Door(ctx context.Context, key string) (jobs.Record, error) {
	if f := m.meddle; f != nil {
		m.meddle = nil
		f()
	}
	return m.Store.Door(ctx, key)
}

// Two processes never act on different files of a site: what one takes into
// use, the other follows, in the midst of a change as well, and the file
// before is forgotten.
func TestDesk_TwoProcesses(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		inner, err := redis.Embedded(t.Context(), "console")
		if err != nil {
			t.Fatal(err)
		}
		defer inner.Close()
		store, poster := &meddled{Store: inner}, &lame{}
		here, before := furnished(t, store, poster)
		there, _ := furnished(t, inner, &lame{})
		talk := here.bot
		say := func(id, who, thread, text string) string {
			posts, err := talk.Handle(t.Context(), bot.Message{ID: id, At: time.Now(), Person: who, Channel: before.Channels[0], Thread: thread, Text: text})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := here.Settle(t.Context(), time.Now()); err != nil {
				t.Fatal(err)
			}
			if len(posts) == 0 {
				return ""
			}
			return posts[0].Text
		}
		use := func(d *works, site *jobs.Site) {
			if err := d.UseSite(t.Context(), site); err != nil {
				t.Fatal(err)
			}
		}
		say("m1", "ana", "", openA1)
		promoted := edited(t, "Cy Abara, role: crew, crew: south", "Cy Abara, role: foreman")
		use(there, promoted)
		if got := say("m2", "mo", "A-1", "correct foreman @cy"); got != "" || poster.said("corrected: foreman ~mo~ cy") == 0 {
			t.Errorf("cy is foreman by the file of the other process: got %q", got)
		}
		if _, err := inner.Kept(t.Context(), before.Hash); !errors.Is(err, jobs.ErrNotFound) {
			t.Errorf("the file before: got %v, want it forgotten", err)
		}
		say("m3", "mo", "A-1", "correct foreman @mo")
		store.meddle = func() { use(there, before) }
		if got := say("m4", "mo", "A-1", "correct foreman @cy"); !strings.Contains(got, "cy is crew at orchard-lane, not foreman") {
			t.Errorf("the other process put the old file back meanwhile: got %q", got)
		}
	})
}

// withDoor is a store with a door that was just opened, and the desk that did.
func withDoor(t testing.TB) (*redis.Store, *works, *jobs.Site, time.Time) {
	t.Helper()
	store := inMemory(t)
	desk, site := furnished(t, store, &lame{})
	at := time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)
	if _, err := desk.bot.Handle(t.Context(), bot.Message{ID: "m1", At: at, Person: "ana", Channel: site.Channels[0], Text: openA1}); err != nil {
		t.Fatal(err)
	}
	return store, desk, site, at
}

// A door's site may have its file with another process only.
func TestDesk_SiteElsewhere(t *testing.T) {
	store, _, _, at := withDoor(t)
	poster := &lame{}
	if _, err := newWorks("other", store, poster).Settle(t.Context(), at); err != nil {
		t.Fatal(err)
	}
	if poster.said("door A-1 opened") != 1 {
		t.Errorf("got %+v, want the door's card", poster.posts)
	}
}

// When a site changes, a rule that is still to come moves, in whichever
// process; what changed since the last board is kept.
func TestDesk_RulesLaidAgain(t *testing.T) {
	store := inMemory(t)
	here, site := furnished(t, store, &lame{})
	there, _ := furnished(t, store, &lame{})
	at := clockOf(t, site)
	want := func(what, due string) {
		t.Helper()
		n, err := store.Notice(t.Context(), "digest:"+site.ID)
		if err != nil {
			t.Fatal(err)
		}
		since, err := time.Parse(time.RFC3339, n.Args["since"])
		if err != nil || !since.Equal(at("2027-03-01 08:00")) {
			t.Errorf("%s: since %v, %v, want the first start", what, since, err)
		}
		if !n.Due.Time().Equal(at(due)) {
			t.Errorf("%s: due %v, want %v", what, n.Due.Time(), at(due))
		}
	}
	steps := []struct {
		what, now string
		do        func() error
		due       string
	}{
		{"at start", "2027-03-01 08:00", nil, "2027-03-02 06:30"},
		{"the same", "2027-03-01 09:00", func() error { return here.UseSite(t.Context(), site) }, "2027-03-02 06:30"},
		{"later", "2027-03-01 10:00", func() error { return here.UseSite(t.Context(), edited(t, "30 6 * * 1-5", "0 7 * * 1-5")) }, "2027-03-02 07:00"},
		{"the same day", "2027-03-01 11:00", func() error { return there.UseSite(t.Context(), edited(t, "30 6 * * 1-5", "0 16 * * 1-5")) }, "2027-03-01 16:00"},
		{"another zone", "2027-03-01 12:00", func() error { return there.UseSite(t.Context(), edited(t, "Europe/Berlin", "Europe/London")) }, "2027-03-02 07:30"},
	}
	if err := here.LayRules(t.Context(), at(steps[0].now)); err != nil {
		t.Fatal(err)
	}
	for _, s := range steps {
		for _, d := range []*works{here, there} {
			if _, err := d.Step(t.Context(), at(s.now)); err != nil {
				t.Fatal(err)
			}
		}
		if s.do != nil {
			if err := s.do(); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := here.Step(t.Context(), at(s.now)); err != nil {
			t.Fatal(err)
		}
		want(s.what, s.due)
	}
	here.Wait()
	there.Wait()
}

// When a site's calendar changes, so do the reminders of all its doors that
// are still to come, by whichever process; what was said is not said again.
func TestDesk_CalendarLaidAgain(t *testing.T) {
	store := inMemory(t)
	poster := &lame{}
	desk, site := furnished(t, store, poster)
	talk, said, at := desk.bot, 0, clockOf(t, site)
	settle := func(now string) {
		t.Helper()
		if _, err := desk.Settle(t.Context(), at(now)); err != nil {
			t.Fatal(err)
		}
	}
	say := func(thread, text string) {
		t.Helper()
		said++
		m := bot.Message{ID: fmt.Sprint("m", said), At: at("2027-03-01 09:00"), Person: "ana", Channel: site.Channels[0], Thread: thread, Text: text}
		if posts, err := talk.Handle(t.Context(), m); err != nil || len(posts) > 0 {
			t.Fatalf("%s: %+v, %v", text, posts, err)
		}
	}
	due := func(id, want string) {
		t.Helper()
		n, err := store.Notice(t.Context(), site.ID+"/"+id)
		// The morning's are gathered a little before.
		if got := n.Due.Time().Add(gatherFor).In(site.Zone).Format("2006-01-02 15:04"); want == "" && !errors.Is(err, jobs.ErrNotFound) || want != "" && got != want {
			t.Errorf("%s: due %s, %v, want %q", id, got, err, want)
		}
	}
	if err := desk.LayRules(t.Context(), at("2027-03-01 09:00")); err != nil {
		t.Fatal(err)
	}
	settle("2027-03-01 09:00")
	for i := range 25 {
		door := fmt.Sprintf("B-%d", i+1)
		say("", strings.Replace(openA1, "A-1", door, 1))
		say(door, "visit 2027-03-11 9:00")
	}
	say("B-25", "visit 2027-03-03 9:00") // whose word of the day before is said
	say("B-2", "cancel visit v1 because the client is away")
	settle("2027-03-02 12:00")
	due("B-1:visit:v1:ahead", "2027-03-10 07:00")
	due("B-25:visit:v2:ahead", "")

	other, _ := furnished(t, store, &lame{})
	if err := other.UseSite(t.Context(), edited(t, "closed:\n", "closed:\n  - 2027-03-10\n", "thursday: 7:00", "thursday: 10:00")); err != nil {
		t.Fatal(err)
	}
	settle("2027-03-02 12:01")
	for _, door := range []string{"B-1", "B-20", "B-21", "B-25"} {
		due(door+":visit:v1:ahead", "2027-03-09 07:00")
		due(door+":visit:v1", "2027-03-11 09:00") // at its own hour, though nobody works then
	}
	due("B-2:visit:v1:ahead", "")
	due("B-25:visit:v2:ahead", "")
	for i, thursday := range []string{"07:00", "10:00", "07:00", "10:00"} {
		if err := other.UseSite(t.Context(), edited(t, "closed:\n", "closed:\n  - 2027-03-10\n", "thursday: 7:00", "thursday: "+strings.TrimPrefix(thursday, "0"))); err != nil {
			t.Fatal(err)
		}
		settle(fmt.Sprintf("2027-03-02 12:%02d", i+2))
		due("B-1:visit:v1:again", map[string]string{"07:00": "2027-03-11 11:00", "10:00": "2027-03-12 07:00"}[thursday])
	}
	settle("2027-03-02 15:00")
	if n := poster.said("visit v2 is Wed"); n != 1 {
		t.Errorf("the day before v2 was told %d times, want once", n)
	}

	// Of a site that was closed, with no word to answer, nothing more is said.
	if err := other.UseSite(t.Context(), edited(t, "closed:\n", "closed_on: 2027-03-02\nclosed:\n")); err != nil {
		t.Fatal(err)
	}
	settle("2027-03-02 15:01")
	for _, id := range []string{"B-1:visit:v1:ahead", "B-1:visit:v1", "B-1:visit:v1:foreman", "B-25:visit:v2"} {
		due(id, "")
	}
	if err := other.UseSite(t.Context(), edited(t)); err != nil {
		t.Fatal(err)
	}
	settle("2027-03-02 15:02")
	due("B-1:visit:v1", "2027-03-11 09:00")
}

// What came due while nobody sent is said once to each, and no heads-up of a
// visit whose time is over.
func TestDesk_piledUp(t *testing.T) {
	store := inMemory(t)
	poster := &lame{}
	desk, site := furnished(t, store, poster)
	talk := desk.bot
	for i, text := range []string{openA1, "door A-1 visit 2027-03-11 9:00"} {
		m := bot.Message{ID: fmt.Sprint("m", i), At: time.Date(2027, 3, 1, 9, 0, i, 0, site.Zone), Person: "ana", Channel: site.Channels[0], Text: text}
		if posts, err := talk.Handle(t.Context(), m); err != nil || len(posts) > 0 {
			t.Fatalf("%s: %+v, %v", text, posts, err)
		}
	}
	for _, minute := range []int{0, 30} { // the bot is back in the noon break: what was late is said behind it
		if _, err := desk.Settle(t.Context(), time.Date(2027, 3, 15, 12, minute, 0, 0, site.Zone)); err != nil {
			t.Fatal(err)
		}
	}
	for text, want := range map[string]int{"@ana visit v1 was due Thu": 1, "@mo visit v1 was due Thu": 1, "visit v1 is": 0} {
		if n := poster.said(text); n != want {
			t.Errorf("%q is said %d times, want %d", text, n, want)
		}
	}
}

// A visit moved while its door's reminders are laid anew has them where it was
// moved to.
func TestDesk_CalendarLaidMeanwhile(t *testing.T) {
	store := &slow{Store: inMemory(t)}
	desk, site := furnished(t, store, &lame{})
	talk, at := desk.bot, clockOf(t, site)
	say := func(id, text string) {
		m := bot.Message{ID: id, At: at("2027-03-01 09:00"), Person: "ana", Channel: site.Channels[0], Text: text}
		if posts, err := talk.Handle(t.Context(), m); err != nil || len(posts) > 0 {
			t.Fatalf("%s: %+v, %v", text, posts, err)
		}
	}
	if _, err := desk.Step(t.Context(), at("2027-03-01 09:00")); err != nil {
		t.Fatal(err)
	}
	say("m1", openA1)
	say("m2", "door A-1 visit 2027-03-11 9:00")
	store.then = func() { say("m3", "door A-1 move visit to 2027-03-18 9:00") }
	if err := desk.UseSite(t.Context(), edited(t, "closed:\n", "closed:\n  - 2027-03-10\n")); err != nil {
		t.Fatal(err)
	}
	if _, err := desk.Settle(t.Context(), at("2027-03-01 09:01")); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"visit:v1": "2027-03-18 09:00", "visit:v1:ahead": "2027-03-17 07:00"} {
		if n, err := store.Notice(t.Context(), site.ID+"/A-1:"+id); err != nil || !n.Due.Time().Add(gatherFor).Truncate(time.Minute).Equal(at(want)) {
			t.Errorf("%s is due %v, %v, want %s", id, n.Due.Time().In(site.Zone), err, want)
		}
	}
}

// A crew that a site's file has anew has its doors on the board without a
// change of them.
func TestDesk_CrewsAnew(t *testing.T) {
	store := inMemory(t)
	desk, site := furnished(t, store, &lame{})
	talk, at := desk.bot, clockOf(t, site)
	say := func(id, text string) string {
		posts, err := talk.Handle(t.Context(), bot.Message{ID: id, At: at("2027-03-01 09:00"), Person: "ana", Channel: site.Channels[0], Text: text})
		if err != nil || len(posts) == 0 {
			return fmt.Sprint(err)
		}
		return posts[0].Text
	}
	if _, err := desk.Step(t.Context(), at("2027-03-01 09:00")); err != nil {
		t.Fatal(err)
	}
	say("m1", openA1)
	if err := desk.UseSite(t.Context(), edited(t, "Ana Tarrow, role: crew, crew: north", "Ana Tarrow, role: crew, crew: east")); err != nil {
		t.Fatal(err)
	}
	if _, err := desk.Settle(t.Context(), at("2027-03-01 09:01")); err != nil {
		t.Fatal(err)
	}
	for crew, want := range map[string]string{"east": "board east: 1 door\n", "north": "board north: 0 doors"} {
		if got := say("look "+crew, "board "+crew); !strings.HasPrefix(got, want) {
			t.Errorf("%s: got %q, want %q", crew, got, want)
		}
	}
}

// faulty is a store that has lost its kept files, or can't read a notice.
type faulty struct {
	*redis.Store
	noFiles, noNotice bool
}

func (f *faulty) Kept(ctx context.Context, hash string) ([]byte, error) {
	if f.noFiles {
		return nil, jobs.ErrNotFound
	}
	return f.Store.Kept(ctx, hash)
}

func (f *faulty) Notice(ctx context.Context, id string) (jobs.Notice, error) {
	if f.noNotice {
		return jobs.Notice{}, errors.New("away")
	}
	return f.Store.Notice(ctx, id)
}

// A door whose site or sheet can't be read is no door that is gone: what is to
// be said of it waits.
func TestDesk_FileLost(t *testing.T) {
	store, desk, site, at := withDoor(t)
	poster := &lame{}
	other := newWorks("other", &faulty{Store: store, noFiles: true}, poster)
	if _, err := other.Step(t.Context(), at); err != nil {
		t.Fatal(err)
	}
	other.Wait()
	if failed, err := desk.FailedAt(t.Context(), site); err != nil || len(failed) != 0 || len(poster.posts) != 0 {
		t.Errorf("given up %v, posted %v, %v; want neither", failed, poster.posts, err)
	}
	third := newWorks("third", store, poster)
	for range 3 { // it is looked for twice before it is sent
		at = at.Add(time.Minute)
		if _, err := third.Settle(t.Context(), at); err != nil {
			t.Fatal(err)
		}
	}
	if poster.said("door A-1 opened") != 1 {
		t.Errorf("got %+v, want the door's card", poster.posts)
	}
}

// A site whose rules could not be laid is taken into use at the next try.
func TestDesk_RulesNotLaid(t *testing.T) {
	store := inMemory(t)
	here, site := furnished(t, store, &lame{})
	at := clockOf(t, site)("2027-03-01 08:00")
	bad := &faulty{Store: store}
	there, _ := furnished(t, bad, &lame{})
	for _, d := range []*works{here, there} {
		if _, err := d.Step(t.Context(), at); err != nil {
			t.Fatal(err)
		}
		d.Wait()
		if err := d.LayRules(t.Context(), at); err != nil {
			t.Fatal(err)
		}
	}
	changed := edited(t, "30 6 * * 1-5", "0 7 * * 1-5")
	if err := store.Replace(t.Context(), "site:"+site.ID, changed.Hash, changed.Kept()); err != nil {
		t.Fatal(err)
	}
	bad.noNotice = true
	if err := there.Agree(t.Context()); err == nil {
		t.Error("rules were laid without a store")
	}
	bad.noNotice = false
	if err := there.Agree(t.Context()); err != nil {
		t.Fatal(err)
	}
	n, err := store.Notice(t.Context(), "digest:"+site.ID)
	if want := at.Add(23 * time.Hour); err != nil || !n.Due.Time().Equal(want) {
		t.Errorf("the board is due %v, %v, want %v", n.Due.Time(), err, want)
	}
}
