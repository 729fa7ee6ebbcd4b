package talk_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/bot/console"
	"heelpost/bot/script"
	"heelpost/jobs"
)

var update = flag.Bool("update", false, "rewrite the bot's lines in testdata/chat")

// TestConversations replays every conversation of testdata/chat with a store
// of its own and holds all that the bot says against the file.
func TestConversations(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".chat"), func(t *testing.T) {
			want, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			got := replay(t, string(want)).said
			if *update {
				if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
				t.Errorf("said differently (-file +now):\n%s", diff)
			}
		})
	}
}

// sameFold checks that the state of every door of a site is the fold of its
// log, and returns how many doors there are.
func sameFold(t *testing.T, store jobs.Store, site string) int {
	t.Helper()
	doors, total, err := store.Doors(t.Context(), site+"/all", 0, 1000)
	if err != nil {
		t.Fatal(err)
	}
	for _, rec := range doors {
		entries, err := store.Log(t.Context(), rec.Key, 0, 1000)
		if err != nil {
			t.Fatal(err)
		}
		var events []jobs.Event
		for _, e := range entries {
			var some []jobs.Event
			if err := json.Unmarshal(e.Data, &some); err != nil {
				t.Fatal(err)
			}
			events = append(events, some...)
		}
		state, err := json.Marshal(jobs.Fold(events))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(rec.State), string(state)); diff != "" {
			t.Errorf("door %s is not the fold of its log (-state +fold):\n%s", rec.Key, diff)
		}
	}
	return total
}

// A closed site's doors can no longer be changed, and are deleted when the
// office's period is over, not before.
func TestRetention(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		store := inMemory(t)
		var out bytes.Buffer
		chat := room(t, store, &out)
		site, err := jobs.ParseSite(append(read(t, "sites/orchard-lane.yaml"), "closed_on: 2027-03-03\nkeep_months: 1\n"...), read(t, "sites/orchard-lane.ics"))
		if err != nil {
			t.Fatal(err)
		}
		if err := chat.Work.(*works).UseSite(t.Context(), site); err != nil {
			t.Fatal(err)
		}
		open := "door open A-1 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo\n"
		say := func(script string) string {
			out.Reset()
			if err := chat.Run(t.Context(), strings.NewReader(script), time.Now); err != nil {
				t.Fatal(err)
			}
			return out.String()
		}
		say("@ 2027-03-01 08:00\n" + open + strings.Replace(open, "A-1", "A-2", 1) + "@ 2027-03-03 08:00\n")
		if got := say("@ +1m\nana #A-1> tick datum\n"); !strings.Contains(got, "was closed on 2027-03-03") {
			t.Errorf("a change after closing: got %q", got)
		}
		say("@ 2027-04-02 08:00\n")
		if n := sameFold(t, store, "orchard-lane"); n != 2 {
			t.Errorf("got %d doors before the period is over, want 2", n)
		}
		if got := say("@ 2027-04-04 08:00\n"); !strings.Contains(got, "2 doors of Orchard Lane") {
			t.Errorf("after the period: got %q", got)
		}
		if n := sameFold(t, store, "orchard-lane"); n != 0 {
			t.Errorf("got %d doors after the period, want 0", n)
		}
	})
}

// room is a conversation at the first site of testdata/sites.
func room(t *testing.T, store jobs.Store, out *bytes.Buffer) *console.Chat {
	t.Helper()
	return roomFor(t, store, out, "")
}

// roomFor is that with what a conversation adds to its files.
func roomFor(t *testing.T, store jobs.Store, out *bytes.Buffer, conversation string) *console.Chat {
	t.Helper()
	file := func(folder, name string) []byte {
		return append(read(t, folder+"/"+name), script.Added(conversation, name)...)
	}
	outbox := &console.Outbox{}
	desk := newWorks("t", store, outbox)
	for _, name := range []string{"orchard", "quarry", "terrace", "harbour"} {
		if err := desk.UseSheet(t.Context(), file("sheets", name+".yaml")); err != nil {
			t.Fatal(err)
		}
	}
	site, err := jobs.ParseSite(file("sites", "orchard-lane.yaml"), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	if err := desk.UseSite(t.Context(), site); err != nil {
		t.Fatal(err)
	}
	return &console.Chat{Bot: desk.bot, Work: desk, Outbox: outbox, Screen: &console.Screen{Out: out},
		You: "ana", Channel: site.Channels[0], Zone: site.Zone, Session: "t", Script: true}
}

// files is a test, or a property's: it may end early.
type files interface {
	Helper()
	Fatal(...any)
}

func read(t files, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
