package slack

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var (
	update      = flag.Bool("update", false, "rewrite testdata/screens")
	everyScreen = flag.String("screens", "", "a folder to write every screen to, as it is sent")
)

const screens = "../../testdata/screens"

// kept are the screens that are kept as they are sent: an answer with its
// picture, text that would do harm if Slack interpreted it, a call with its
// buttons, a form with fields of every kind, and a home that is turned over.
var kept = []string{"answer", "door-hostile", "reminder", "form-open", "home-foreman"}

// TestScreens holds screens of every shape against testdata/screens: a few
// as they are sent, the others in words that somebody reads.
func TestScreens(t *testing.T) {
	said := []string{legend}
	for _, g := range goldens(t) {
		payload := breachless(t, g.name, g.kind, g.payload)
		payload = []byte(strings.NewReplacer(`\u003c`, "<", `\u003e`, ">", `\u0026`, "&").Replace(string(payload)))
		var pretty bytes.Buffer
		if err := json.Indent(&pretty, fmt.Appendf(nil, `{"kind":%q,"payload":%s}`, g.kind, bytes.TrimSpace(payload)), "", "  "); err != nil {
			t.Fatal(err)
		}
		pretty.WriteByte('\n')
		if *everyScreen != "" {
			if err := os.WriteFile(filepath.Join(*everyScreen, g.name+".json"), pretty.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if slices.Contains(kept, g.name) {
			holdFile(t, g.name+".json", pretty.String())
			continue
		}
		text, err := shownScreen(g.name, g.kind, payload)
		if err != nil {
			t.Fatal(err)
		}
		said = append(said, text)
	}
	holdFile(t, "screens.txt", strings.Join(said, "\n"))
	files, err := filepath.Glob(filepath.Join(screens, "*"))
	if err != nil || len(files) != len(kept)+1 {
		t.Errorf("testdata/screens has %q, want those of %q and screens.txt (%v)", files, kept, err)
	}
}

// holdFile holds a text against a file, or makes the file of it.
func holdFile(t *testing.T, name, text string) {
	t.Helper()
	path := filepath.Join(screens, name)
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Error(err)
		return
	}
	if diff := cmp.Diff(string(want), text); diff != "" {
		t.Errorf("%s looks different (-file +now), run with -update:\n%s", name, diff)
	}
}
