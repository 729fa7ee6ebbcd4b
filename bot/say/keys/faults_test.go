package keys

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// toy is a module with every way to a key, and every fault on it.
var toy = map[string]string{
	"calc/text.go": `package calc
		type Word string
		type Text struct{}
		func F(key string, args ...any) Text { return Text{} }`,
	"jobs/row.go": `package jobs
		import ("errors"; "heelpost/calc")
		type Row struct { Label, Says string }
		var Rows = []Row{{"a label", "says %s"}, {Label: "another", Says: "says nothing"}}
		const Dry calc.Word = "it is dry"
		var Bare = errors.New("said without a key")`,
	"bot/say/say.go": `package say
		type Text struct{}
		func F(key string, args ...any) Text { return Text{} }
		func Count(n int, one, many string, args ...any) Text { return Text{} }
		func Join(separator string, texts ...Text) Text { return Text{} }
		func Names(separator string, names ...string) Text { return Text{} }
		func Name(name string) Text { return Text{} }`,
	"cmd/x.go": `package cmd`,
	"bot/a.go": `package bot
		import ("fmt"; "heelpost/bot/say"; "heelpost/jobs")
		type Stage string
		const Hung Stage = "hung_up"
		func note(key string, args ...any) { say.F("note: %s", say.F(key, args...)) }
		func tell(s Stage, name string, n int) {
			note("%s of %s", 1, 2)
			note("one too many: %s")
			note("%d is no verb of ours", 1)
			note("100 %% of %s", 1)
			say.Count(n, "1 door", "%s doors")
			say.Join(" and ", say.Name(string(s)), say.Name(name))
			key := "first"
			if n > 1 { key = "second" }
			say.F(key)
			say.F("glued " + name)
			say.F(fmt.Sprintf("printed for %s", name))
			for _, r := range jobs.Rows { say.F(r.Label); say.F(r.Says); say.F(r.Says, n) }
		}`,
}

func TestRead(t *testing.T) {
	root := t.TempDir()
	for name, text := range toy {
		path := filepath.Join(root, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	k, err := read(root)
	if err != nil {
		t.Fatal(err)
	}
	texts := []string{"%d is no verb of ours", "%s doors", "%s of %s", "1 door", "100 %% of %s", " and ", "a label", "another", "first", "hung up", "it is dry", "note: %s", "one too many: %s", "says %s", "says nothing", "second"}
	slices.Sort(texts)
	if diff := cmp.Diff(texts, k.Texts); diff != "" {
		t.Errorf("keys (-want +got):\n%s", diff)
	}
	faults := []string{
		`bot/a.go: "%d is no verb of ours" has the verb %d`,
		`bot/a.go: "one too many: %s" has 1 verbs, and as many arguments nowhere`,
		`bot/a.go: "printed for %s" has no key`,
		`bot/a.go: the key is no constant`,
		`bot/a.go: the key is no constant`,
		`jobs/row.go: "said without a key" has no key`,
	}
	for i, f := range k.Faults {
		k.Faults[i] = line.ReplaceAllString(f, "$1")
	}
	slices.Sort(k.Faults)
	if diff := cmp.Diff(faults, k.Faults); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
}

var line = regexp.MustCompile(`^(.*\.go):\d+`)
