package keys

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var list = flag.String("keys", "", "write all keys to this file, each with its English beside it, to be translated")

// TestKeys finds every key: each is a constant, or stands in a table, and has as
// many arguments as verbs; no sentence is glued of others.
//
//	go test ./bot/say/keys -run TestKeys -keys $PWD/catalogue.json
func TestKeys(t *testing.T) {
	k, err := Read("../../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range k.Faults {
		t.Error(fault)
	}
	if len(k.Texts) < 1600 {
		t.Errorf("got %d keys, want at least 1600", len(k.Texts))
	}
	// One of each way to a key, as it stands in the code.
	for _, key := range []string{
		"door %s opened: %s", "%s doors", " and ", "heel gap", "set-out", "%s cycles a day", "to heel", "what results are rounded to",
		"the gap closes on fingers as the leaf turns: keep hands off the moving edge", "mass is %s, the sheet carries %s", "one way", "March",
	} {
		if !slices.Contains(k.Texts, key) {
			t.Errorf("%q was not found", key)
		}
	}
	if *list != "" {
		catalogue := map[string]string{}
		for _, key := range k.Texts {
			catalogue[key] = key
		}
		var b bytes.Buffer
		out := json.NewEncoder(&b)
		out.SetEscapeHTML(false)
		out.SetIndent("", "\t")
		if err := out.Encode(catalogue); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(*list, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// The made-up language keeps what a sentence takes, and no English letter of it.
func TestTurned(t *testing.T) {
	for key, want := range map[string]string{
		"door %s: %q": "%[2]q %[1]s: гоос", "%[2]s of %s": "%[1]s ое %[2]s", ", or ": ", ос ", " or @": " ос @", "%s\n  next": "%[1]s\n  ндчу", "5 %s × %s": "%[2]s × %[1]s 5",
	} {
		if got := turned(key); got != want {
			t.Errorf("%q: got %q, want %q", key, got, want)
		}
	}
	k, err := Read("../../..")
	if err != nil {
		t.Fatal(err)
	}
	english := regexp.MustCompile("[A-Za-z]")
	for key, text := range k.Turned().Texts {
		if english.MatchString(verbs.ReplaceAllString(text, "")) || len(verbs.FindAllString(key, -1)) != len(verbs.FindAllString(text, -1)) || strings.Count(key, "\n") != strings.Count(text, "\n") {
			t.Errorf("%q is turned into %q", key, text)
		}
	}
}
