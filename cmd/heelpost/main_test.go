package main

import (
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/alecthomas/kong"
	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"

	"heelpost/bot"
	"heelpost/bot/slack"
	"heelpost/bot/slack/fake"
	"heelpost/bot/verb"
)

var update = flag.Bool("update", false, "rewrite golden files")

// atOnce lets a process of the race detector end without its second of rest.
const atOnce = "atexit_sleep_ms=0"

// programs are what this binary can be beside a test.
var programs = map[string]func(){"heelpost": main}

func TestMain(m *testing.M) {
	os.Setenv("GORACE", atOnce)
	testscript.Main(m, programs)
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata", UpdateScripts: *update, Setup: func(e *testscript.Env) error {
		root, err := filepath.Abs("../..")
		e.Setenv("DATA", filepath.Join(root, "testdata"))
		e.Setenv("GORACE", atOnce)
		e.Setenv("ESC", "gap \x1b[2J 46")
		if err != nil {
			return err
		}
		there, err := fake.New(fake.Options{Scopes: slack.Scopes})
		if err != nil {
			return err
		}
		e.Defer(there.Close)
		there.AddPeople(fake.Person{ID: "U0ANA0001", Name: "ana"}, fake.Person{ID: "U0MO00001", Name: "mo", Deleted: true})
		there.AddChannels(fake.Channel{ID: "C0DOORS01", Name: "doors", Members: []string{fake.Bot}})
		e.Setenv("SLACK", there.URL())
		return nil
	}})
}

// TestReadme keeps the README's conversation, its table of questions and its
// door true, its commands runnable, its links alive, and it short: it is for a
// newcomer's first minute.
func TestReadme(t *testing.T) {
	const path = "../../README.md"
	read := func(path string) string {
		t.Helper()
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	text := read(path)
	was := text
	var typed strings.Builder
	for l := range strings.Lines(read("../../testdata/chat/readme-door.chat")) {
		if !strings.HasPrefix(l, "--") && !strings.HasPrefix(l, bot.BotName) && !strings.HasPrefix(l, "  ") {
			typed.WriteString(l)
		}
	}
	for name, part := range map[string]string{"conversation": "```\n" + read("../../testdata/chat/readme.chat") + "```\n", "questions": verb.Questions.Reference(), "door": "```\n" + typed.String() + "```\n"} {
		open, end := "<!-- "+name+" -->\n", "<!-- /"+name+" -->"
		before, rest, ok := strings.Cut(text, open)
		_, after, ok2 := strings.Cut(rest, end)
		if !ok || !ok2 {
			t.Fatalf("README has no part between %q and %q", open, end)
		}
		text = before + open + part + end + after
	}
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(was, text); diff != "" {
		t.Errorf("README is not current (-file +now), run with -update:\n%s", diff)
	}
	if n := utf8.RuneCountInString(text); n > 9000 {
		t.Errorf("README has %d characters, at most 9000: the handbook in deploy has room", n)
	}
	if !strings.Contains(text, "\n    go test ./...\n") || strings.Index(text, "\n    ") != strings.Index(text, "\n    go run ./cmd/heelpost try\n") {
		t.Error("README lost its command of the tests, or its first one is not try")
	}
	if n := strings.Count(text, "!["); n != 1 {
		t.Errorf("README has %d pictures, want one", n)
	}
	commands(t, text)
	links(t, "../..", text)
	for _, name := range []string{"handbook.md", "room.md"} {
		more := read("../../deploy/" + name)
		commands(t, more)
		links(t, "../../deploy", more)
	}
}

// commands holds the commands of a document, set in by four, against what
// there is: each is understood, with its flags, and a question is answered.
func commands(t *testing.T, text string) {
	for _, m := range regexp.MustCompile(`(?m)^    (?:go run \./cmd/)?heelpost (.*)$`).FindAllStringSubmatch(text, -1) {
		line := strings.NewReplacer("FOLDER", "../../testdata", "testdata/", "../../testdata/", `"`, "", "redis://…", "redis://host:6379").Replace(m[1])
		parser, err := kong.New(&cli{}, kong.Vars{"version": ""}, kong.Exit(func(int) {}))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parser.Parse(strings.Fields(line)); err != nil {
			t.Errorf("the command heelpost %s: %v", m[1], err)
		}
		before, question, ask := strings.Cut(strings.TrimSuffix(m[1], `"`), ` "`)
		args := strings.Fields(strings.NewReplacer("--picture ", "--picture "+t.TempDir()+"/", "--log ", "--log ../../").Replace(before))
		var out strings.Builder
		if ask && run(t.Context(), append(args, question), strings.NewReader(""), &out, &out) != answered {
			t.Errorf("the command heelpost %s: %s", m[1], out.String())
		}
	}
}

// links holds the links of a document to files against the tree.
func links(t *testing.T, folder, text string) {
	for _, m := range regexp.MustCompile(`\]\(([^)#:]+)[^):]*\)`).FindAllStringSubmatch(text, -1) {
		if _, err := os.Stat(filepath.Join(folder, m[1])); err != nil {
			t.Errorf("a link leads nowhere: %v", err)
		}
	}
}

// allowed says what each package may import, itself and directly, beside the
// standard library; the reason stands beside what comes from outside.
var allowed = map[string][]string{
	"calc": {},
	"jobs": {"heelpost/calc",
		"go.yaml.in/yaml/v3",        // site files and hardware sheets are YAML, and its errors name lines
		"github.com/robfig/cron/v3", // parses recurring rules; its runner is not used
	},
	"jobs/redis": {"heelpost/calc", "heelpost/jobs",
		"github.com/redis/go-redis/v9", "github.com/redis/go-redis/v9/logging", "github.com/redis/go-redis/v9/maintnotifications",
		"github.com/alicebob/miniredis/v2", // the Redis inside the process, for conversations and tests
	},
	"jobs/redis/redistest": {"heelpost/jobs/redis", "github.com/alicebob/miniredis/v2", "github.com/alicebob/miniredis/v2/server", "github.com/yuin/gopher-lua"}, // for tests alone: no other line has it
	// The rooms of bot, bottom up: each imports only rooms above it in this list.
	"bot/say": {},
	"bot/lex": {"heelpost/calc"},
	"bot/draw": {"heelpost/bot/say", "heelpost/calc",
		"golang.org/x/image/font", "golang.org/x/image/font/gofont/goregular", "golang.org/x/image/font/sfnt", "golang.org/x/image/math/fixed", "golang.org/x/image/vector", // letters and filled shapes
	},
	"bot/ask":      {"heelpost/bot/draw", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/calc"},
	"bot/verb":     {"heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/calc"},
	"bot":          {"heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/jobs"},
	"bot/tell":     {"heelpost/bot/verb", "heelpost/bot", "heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/calc", "heelpost/jobs"},
	"bot/desk":     {"heelpost/bot", "heelpost/bot/say", "heelpost/bot/tell", "heelpost/jobs"},
	"bot/board":    {"heelpost/bot", "heelpost/bot/desk", "heelpost/bot/draw", "heelpost/bot/say", "heelpost/bot/tell", "heelpost/jobs"},
	"bot/survey":   {"heelpost/bot/lex", "heelpost/bot/say", "heelpost/calc", "heelpost/jobs"},
	"bot/order":    {"heelpost/bot/verb", "heelpost/bot", "heelpost/bot/ask", "heelpost/bot/board", "heelpost/bot/desk", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/bot/survey", "heelpost/bot/tell", "heelpost/calc", "heelpost/jobs"},
	"bot/form":     {"heelpost/bot", "heelpost/bot/desk", "heelpost/bot/lex", "heelpost/bot/order", "heelpost/bot/say", "heelpost/bot/survey", "heelpost/bot/tell", "heelpost/calc", "heelpost/jobs"},
	"bot/notify":   {"heelpost/bot", "heelpost/bot/board", "heelpost/bot/desk", "heelpost/bot/lex", "heelpost/bot/say", "heelpost/bot/tell", "heelpost/jobs"},
	"bot/say/keys": {"heelpost/bot/say", "heelpost/bot/verb"}, // finds what translators need; tests only
	"bot/script":   {"heelpost/bot", "heelpost/bot/lex", "heelpost/bot/say"},
	"bot/talk":     {"heelpost/bot", "heelpost/bot/ask", "heelpost/bot/board", "heelpost/bot/desk", "heelpost/bot/form", "heelpost/bot/lex", "heelpost/bot/order", "heelpost/bot/say", "heelpost/bot/tell", "heelpost/bot/verb", "heelpost/jobs"},
	"bot/sim":      {}, // a site's month under rules of its own; tests only
	// Adapters know the contract and the grammar of conversations, no desk.
	"bot/console": {"heelpost/bot", "heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/say", "heelpost/bot/script",
		"github.com/clipperhouse/displaywidth", // wraps by the width that characters have on a screen
	},
	"bot/web": {"heelpost/bot", "heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/say", "heelpost/bot/script", "heelpost/jobs"},
	"bot/slack": {"heelpost/bot", "heelpost/bot/ask", "heelpost/bot/draw", "heelpost/bot/say", "heelpost/jobs",
		"github.com/slack-go/slack", "github.com/slack-go/slack/slackevents", "github.com/slack-go/slack/slackutilsx", "github.com/slack-go/slack/socketmode",
		"github.com/prometheus/client_golang/prometheus", "github.com/prometheus/client_golang/prometheus/promhttp", // what operators watch
		"github.com/gorilla/websocket", // the type of the client library's dialer, which simulated time replaces
	},
	"bot/slack/fake": {
		"github.com/gorilla/websocket", // Slack's side of Socket Mode, for tests; not the client's library
	},
	"cmd/heelpost": {"heelpost/bot/ask", "heelpost/bot/say", "heelpost/bot/verb", "heelpost/bot/console", "heelpost/bot/desk", "heelpost/bot/draw", "heelpost/bot/notify", "heelpost/bot/script", "heelpost/bot/slack", "heelpost/bot/talk", "heelpost/bot/web", "heelpost/jobs", "heelpost/jobs/redis",
		"github.com/alecthomas/kong", // flags, help and environment from one struct
		"golang.org/x/term",          // is it a terminal, and how wide
	},
}

// TestImports holds the direction of imports: calc knows nobody, adapters
// import inwards only and never each other.
func TestImports(t *testing.T) {
	for _, line := range list(t, `{{.ImportPath}} {{join .Imports " "}}`) {
		fields := strings.Fields(line)
		pkg := strings.TrimPrefix(fields[0], "heelpost/")
		may, ok := allowed[pkg]
		if !ok {
			t.Errorf("package %s is not in the list of this test: say what it may import", pkg)
		}
		for _, imported := range fields[1:] {
			outside := strings.Contains(imported, ".") || strings.HasPrefix(imported, "heelpost/")
			if outside && !slices.Contains(may, imported) {
				t.Errorf("%s imports %s", pkg, imported)
			}
		}
	}
}

// linked says which modules become part of the binary, those that came with
// another in the same line as that one's reason.
var linked = map[string]string{
	"heelpost":                             "",
	"github.com/alecthomas/kong":           "flags, help and environment from one struct",
	"github.com/clipperhouse/displaywidth": "widths of characters on a screen",
	"github.com/clipperhouse/uax29/v2":     "comes with displaywidth",
	"golang.org/x/image":                   "letters and filled shapes of pictures",
	"golang.org/x/text":                    "comes with x/image",
	"golang.org/x/term":                    "is it a terminal, and how wide",
	"golang.org/x/sys":                     "comes with x/term",
	"go.yaml.in/yaml/v3":                   "site files and hardware sheets",
	"github.com/robfig/cron/v3":            "recurring rules",
	"github.com/redis/go-redis/v9":         "the store",
	"github.com/cespare/xxhash/v2":         "comes with go-redis",
	"go.uber.org/atomic":                   "comes with go-redis",
	"github.com/alicebob/miniredis/v2":     "the Redis inside the process",
	"github.com/yuin/gopher-lua":           "comes with miniredis, runs the scripts",
	"github.com/slack-go/slack":            "Slack",
	"github.com/gorilla/websocket":         "comes with slack-go",
	"github.com/prometheus/client_golang":  "what operators watch",
	"github.com/beorn7/perks":              "comes with client_golang",
	"github.com/munnerz/goautoneg":         "comes with client_golang",
	"github.com/prometheus/client_model":   "comes with client_golang",
	"github.com/prometheus/common":         "comes with client_golang",
	"github.com/prometheus/procfs":         "comes with client_golang",
	"google.golang.org/protobuf":           "comes with client_golang",
}

// TestLinked: nothing is linked into the binary that nobody decided on, and
// nothing that only tests need.
func TestLinked(t *testing.T) {
	modules := map[string]bool{}
	for _, m := range goList(t, "-deps", "-f", "{{with .Module}}{{.Path}}{{end}}", "heelpost/cmd/heelpost") {
		modules[m] = true
	}
	for m := range modules {
		if _, ok := linked[m]; !ok {
			t.Errorf("%s is linked into the binary: decide on it, and give the reason in this test", m)
		}
	}
	for m := range linked {
		if !modules[m] {
			t.Errorf("%s is no longer linked: take it out of this test", m)
		}
	}
}

// TestPackageComments: every package says why it exists.
func TestPackageComments(t *testing.T) {
	for _, line := range list(t, `{{.ImportPath}} {{.Doc}}`) {
		if len(strings.Fields(line)) < 4 {
			t.Errorf("package %s has no comment", line)
		}
	}
}

func list(t *testing.T, format string) []string {
	t.Helper()
	return goList(t, "-f", format, "heelpost/...")
}

func goList(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.FieldsFunc(string(out), func(r rune) bool { return r == '\n' })
}

// TestTopLevel: the tree has these rooms and no others.
func TestTopLevel(t *testing.T) {
	rooms := []string{"cmd", "bot", "calc", "jobs", "testdata", "deploy", "go.mod", "go.sum", "README.md", "DEVELOPERS.md"}
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(rooms, e.Name()) {
			t.Errorf("%s stands at the top level", e.Name())
		}
	}
}

// Who closes a pipe has read enough: that is no fault, whatever is written.
func TestClosedPipe(t *testing.T) {
	for _, args := range [][]string{{"ask", "gap", "46", "75"}, {"ask", "--json", "gap", "46", "75"}, {"ask", "help"}, {"--help"}} {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close()
		var errw strings.Builder
		cmd := exec.Command("heelpost", args...)
		cmd.Stdout, cmd.Stderr = w, &errw
		if err := cmd.Run(); err != nil || errw.Len() > 0 {
			t.Errorf("%v: got %v and %q, want status 0 and silence", args, err, errw.String())
		}
		w.Close()
	}
}

// brokenPipe refuses what is written to it.
type brokenPipe struct{ err error }

func (p brokenPipe) Write([]byte) (int, error) { return 0, p.err }

func TestRun_Exit(t *testing.T) {
	for _, c := range []struct {
		args []string
		out  error
		want int
	}{
		{[]string{"ask", "gap", "46", "75"}, nil, answered},
		{[]string{"ask", "gap", "46"}, nil, theirs},
		{[]string{"ask", "gap", "46", "75"}, fmt.Errorf("write: %w", os.ErrClosed), ours},
	} {
		var out, errw strings.Builder
		var code int
		if c.out != nil {
			code = run(t.Context(), c.args, strings.NewReader(""), brokenPipe{c.out}, &errw)
		} else {
			code = run(t.Context(), c.args, strings.NewReader(""), &out, &errw)
		}
		if code != c.want {
			t.Errorf("%v: got status %d, want %d; said %s%s", c.args, code, c.want, out.String(), errw.String())
		}
	}
}

// TestMap holds the map of DEVELOPERS.md against the tree: what it names is
// there, and no package is left out.
func TestMap(t *testing.T) {
	data, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for _, row := range regexp.MustCompile("(?m)^\\| (`[^|]*`) \\|").FindAllStringSubmatch(string(data), -1) {
		dir := ""
		for _, m := range regexp.MustCompile("`([^`]*)`").FindAllStringSubmatch(row[1], -1) {
			name := m[1]
			if strings.ContainsAny(name, " *=…") || name == "asks" || name == "helps" {
				continue // of another table
			}
			if !strings.Contains(name, "/") && strings.HasSuffix(name, ".go") {
				name = path.Join(dir, name)
			}
			if _, err := os.Stat(filepath.Join("../..", name)); err != nil {
				t.Errorf("the map names %s: %v", name, err)
			}
			if dir = name; strings.HasSuffix(name, ".go") {
				dir = path.Dir(name)
			}
			named[dir] = true
		}
	}
	for pkg := range allowed {
		if !named[pkg] {
			t.Errorf("the map lacks package %s", pkg)
		}
	}
}
