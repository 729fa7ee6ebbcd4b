package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A talk is what one person says in a row, and what the last post must hold.
type talk struct {
	at    string
	said  []string
	asks  bool
	holds []string
}

// parseTalk reads a line of the talks.
func parseTalk(line string) (talk, error) {
	said, outcome, ok := strings.Cut(line, " => ")
	a := talk{at: said, said: strings.Split(said, " >> "), asks: outcome == "asks"}
	pieces, answers := strings.CutPrefix(outcome, "answers ")
	if answers {
		a.holds = strings.Split(pieces, " | ")
	}
	if !ok || len(a.said) < 2 || !a.asks && !answers {
		return a, fmt.Errorf("is it: one >> another => asks, or => answers this | and this?")
	}
	return a, nil
}

// judge tells what the last post is for the talk.
func (a talk) judge(kind, text string) string {
	switch {
	case kind != "answer" && a.asks:
		return right
	case kind != "answer":
		return shy
	case a.asks:
		return wrong
	}
	for _, piece := range a.holds {
		if !strings.Contains(text, piece) {
			return wrong
		}
	}
	return right
}

// hold holds the talk in a conversation and returns the last post.
func (a talk) hold(t *testing.T) (kind, text string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "talk.chat")
	script := "@ 2027-03-01 08:00\n" + strings.Join(a.said, "\n") + "\n"
	if err := os.WriteFile(path, []byte(script), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if exit := run(context.Background(), []string{"chat", "--script", path, "--json"}, strings.NewReader(""), &out, &errs); exit != answered {
		t.Fatalf("%s: exit %d: %s", a.at, exit, errs.String())
	}
	posts := strings.Split(strings.TrimSpace(out.String()), "\n")
	var post struct{ Kind, Text string }
	if err := json.Unmarshal([]byte(posts[len(posts)-1]), &post); err != nil {
		t.Fatalf("%s: %v", a.at, err)
	}
	return post.Kind, post.Text
}

// TestReplies holds short conversations in which something is asked back or
// followed up; those that fail today stand in the list of open texts too.
func TestReplies(t *testing.T) {
	const path = texts + "/replies.list"
	results := map[string]result{}
	lines(t, texts+"/replies.talk", func(line string) error {
		a, err := parseTalk(line)
		if err != nil {
			return err
		}
		kind, text := a.hold(t)
		results[a.at] = result{"replies", a.judge(kind, text), kind + ": " + text}
		return nil
	})
	holdOpen(t, path, results)
}
