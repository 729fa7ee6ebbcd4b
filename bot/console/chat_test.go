package console_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/bot"
	"heelpost/bot/console"
	"heelpost/jobs"
	"heelpost/jobs/redis"
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
			got := replay(t, want)
			if *update {
				if err := os.WriteFile(path, got, 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(got), "\n")); diff != "" {
				t.Errorf("said differently (-file +now):\n%s", diff)
			}
		})
	}
}

// replay runs a conversation in fake time.
func replay(t *testing.T, script []byte) []byte {
	var out bytes.Buffer
	synctest.Test(t, func(t *testing.T) {
		store, err := redis.Embedded(t.Context(), "console")
		if err != nil {
			t.Fatal(err)
		}
		defer store.Close()
		chat := room(t, store, &out)
		if err := chat.Run(t.Context(), bytes.NewReader(script), time.Now); err != nil {
			t.Error(err)
		}
	})
	return out.Bytes()
}

// room is a conversation at the first site of testdata/sites.
func room(t *testing.T, store jobs.Store, out *bytes.Buffer) *console.Chat {
	t.Helper()
	outbox := &console.Outbox{}
	desk := bot.NewDesk("t", store, outbox)
	for _, name := range []string{"orchard", "quarry"} {
		if err := desk.UseSheet(t.Context(), read(t, "sheets/"+name+".yaml")); err != nil {
			t.Fatal(err)
		}
	}
	site, err := jobs.ParseSite(read(t, "sites/orchard-lane.yaml"), read(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	desk.UseSite(site)
	return &console.Chat{Bot: bot.New(&bot.Memory{}, desk), Desk: desk, Outbox: outbox, Screen: &console.Screen{Out: out},
		You: "ana", Channel: site.Channels[0], Zone: site.Zone, Session: "t", Script: true}
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
