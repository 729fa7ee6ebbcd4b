package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// Every setting that the files in deploy name is one of the program's.
func TestDeploy_Settings(t *testing.T) {
	known := map[string]bool{}
	for _, name := range []string{"SLACK_BOT_TOKEN", "SLACK_APP_TOKEN", "SLACK_SIGNING_SECRET", "HEELPOST_REDIS"} {
		known[name], known[name+"_FILE"] = true, true
	}
	model, err := kong.New(&cli{}, kong.Vars{"version": ""})
	if err != nil {
		t.Fatal(err)
	}
	for _, command := range model.Model.Children {
		for _, flag := range command.Flags {
			for _, env := range flag.Envs {
				known[env] = true
			}
		}
	}
	paths, err := filepath.Glob("../../deploy/*")
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, path := range append(paths, "../../README.md") {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.IsDir() {
			continue // the office's own
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range regexp.MustCompile(`\b(HEELPOST|SLACK)_[A-Z_]*[A-Z]`).FindAllString(string(data), -1) {
			named++
			if !known[name] {
				t.Errorf("%s names %s, which nothing reads", path, name)
			}
		}
	}
	if named < 30 {
		t.Errorf("found %d settings: where are the files?", named)
	}
}

// The way to the first answer has ten steps.
func TestDeploy_Steps(t *testing.T) {
	data, err := os.ReadFile("../../deploy/README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, steps, _ := strings.Cut(string(data), "\n## From nothing to the first answer\n")
	steps, _, _ = strings.Cut(steps, "\n## ")
	if n := len(regexp.MustCompile(`(?m)^\d+\. \*\*`).FindAllString(steps, -1)); n != 10 {
		t.Errorf("got %d steps, want 10", n)
	}
}
