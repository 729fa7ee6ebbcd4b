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
		desk, site := furnished(t, store, &lame{})
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
		if got, want := say("m1", rows), "is that from a door schedule? say yes, and doors are opened by it"; got != want {
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
		if n := folded(t, store, site.ID); n != 3 {
			t.Errorf("got %d doors, want 3", n)
		}
	})
}
