package talk_test

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// Lines of a door schedule, pasted in one message, open a door each; one that is
// not whole, or stands there twice, is named with what it lacks.
func TestRowsPasted(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		desk, _ := furnished(t, store, &lame{})
		site, err := jobs.ParseSite(append(read(t, "sites/orchard-lane.yaml"), "usual: {setback: 65 mm, both_ways: true, floor: screed, sheet: orchard, crew: [ana], foreman: mo}\n"...), read(t, "sites/orchard-lane.ics"))
		if err != nil {
			t.Fatal(err)
		}
		if err := desk.UseSite(t.Context(), site); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Until(time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)))
		say := func(id, text string) string {
			var all []string
			posts, err := desk.bot.Handle(t.Context(), bot.Message{ID: id, At: time.Now(), Person: "ana", Channel: site.Channels[0], Text: text})
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range posts {
				all = append(all, p.Text)
			}
			return strings.Join(all, "\n")
		}
		rows := "C-1\t1050x2350x44\topening 1068x2372\t88 kg\tFD30\nC-2\t950x2350x44\topening 968x2372\t81 kg\tordinary\n" +
			"C-3\t950x2350x44\toak\t81 kg\nC-4\t950x2350x44\topening 968x2372\t81 kg\nC-1\t950x2350x44\topening 968x2372\t81 kg\tordinary\n"
		if got, want := say("m1", rows), "5 lines of a door schedule, C-1 to C-1: say yes, and the doors are opened by them; further lines go with them"; got != want {
			t.Fatalf("pasted alone: got %q, want %q", got, want)
		}
		want := "opened: C-1, C-2\n" +
			"not opened: C-3, \"oak\" is nothing I know in a door's description; say door open C-3 950x2350x44, oak, 81 kg\n" +
			"not opened: C-4, still to say: status; say door open C-4 950x2350x44, opening 968x2372, 81 kg\n" +
			"not opened: C-1, it stands there twice; say door open C-1 950x2350x44, opening 968x2372, 81 kg, ordinary\n" +
			"C-1: read FD30 as a fire door"
		if got := say("m2", "yes"); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
		if got := say("m3", "door open C-4 950x2350x44, opening 968x2372, 81 kg, ordinary"); got != "" {
			t.Errorf("what it was told to say: got %q", got)
		}
		if n := sameFold(t, store, site.ID); n != 3 {
			t.Errorf("got %d doors, want 3", n)
		}
	})
}

// Where the site's file has other items by now, a door's card says so, and the
// foreman takes them at many doors at once, with a reason where a hold goes.
func TestOwnItems_renewed(t *testing.T) {
	o := newOffice(t)
	o.open("A-1", "screed", "ana")
	o.open("A-2", "screed", "ana")
	site, err := jobs.ParseSite(append(read(t, "sites/orchard-lane.yaml"), "items: [{id: fire-stop, stage: survey, text: fire stop looked at, hold: true}]\n"...), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	use := func(site *jobs.Site) {
		if err := o.desk.UseSite(t.Context(), site); err != nil {
			t.Fatal(err)
		}
	}
	said := func(who, thread, text string) string {
		var all []string
		for _, p := range o.say(who, thread, text) {
			all = append(all, p.Text)
		}
		return strings.Join(all, "\n")
	}
	const others = "the site's own items are others by now"
	if got := said("ana", "A-1", "card"); strings.Contains(got, others) {
		t.Errorf("before: got %q", got)
	}
	was := o.desk.Sites()[0]
	use(site)
	if got := said("ana", "A-1", "card"); !strings.Contains(got, others) {
		t.Errorf("after: got %q", got)
	}
	if got, want := said("mo", "", "correct items for A-1 to A-9"), "2 doors would change\nA-1, A-2: items: fire-stop added\nnot there: A-3 to A-9\nnothing is changed yet: say yes or no"; got != want {
		t.Errorf("shown: got %q, want %q", got, want)
	}
	if got := said("mo", "", "yes"); !strings.HasPrefix(got, "changed: A-1, A-2\ncorrected: items: fire-stop added\nthe list has other numbers from 8 on") {
		t.Errorf("done: got %q", got)
	}
	if got := said("ana", "A-1", "tick fire-stop"); !strings.HasPrefix(got, "ticked 8 fire-stop\n") {
		t.Errorf("ticked: got %q", got)
	}
	if got := said("ana", "A-1", "card"); strings.Contains(got, others) {
		t.Errorf("taken: got %q", got)
	}
	use(was)
	if got := said("mo", "A-1", "correct items"); !strings.Contains(got, "drops a hold (fire-stop) takes a reason") {
		t.Errorf("dropped without a word: got %q", got)
	}
}

// What people say among themselves is no order for having its words: nothing is
// opened or changed by it.
func TestMany_overheard(t *testing.T) {
	o := newOffice(t)
	o.open("A-1", "screed", "ana")
	for i, text := range []string{"open A-4 like A-1", "crew @bo for A-1 to A-9", "C-1\t1050x2350x44\topening 1068x2372\t88 kg", "open A-4 please"} {
		posts, err := o.bot.Handle(t.Context(), bot.Message{ID: "heard" + string(rune('a'+i)), At: o.now, Person: "mo", Channel: o.site.Channels[0], Thread: "A-1", Text: text, Overheard: true})
		if err != nil || len(posts) > 0 {
			t.Errorf("%q: got %v, %v, want no word", text, posts, err)
		}
	}
}
