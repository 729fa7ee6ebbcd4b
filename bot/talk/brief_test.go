package talk_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/console"
)

// columns is the width of a phone, and most the lines that an answer may take
// there. What is said once a day is not counted, nor what was misspelt; what was
// asked is shown back whole, and counts two lines at most.
const columns = 42

var most = map[string]int{"gap": 6, "plate": 6, "stop": 6, "reach": 6, "clear": 8, "leaf": 8, "opening": 8, "mark": 6, "fits": 6}

// listener keeps the answers that a conversation brings.
type listener struct {
	console.Bot
	answers []*ask.Answer
}

func (l *listener) Handle(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	posts, err := l.Bot.Handle(ctx, m)
	for _, p := range posts {
		if p.Answer != nil && p.Answer.OK() && p.Answer.Short {
			l.answers = append(l.answers, p.Answer)
		}
	}
	return posts, err
}

// fourDecimals matches a figure that no tape of inches has.
var fourDecimals = regexp.MustCompile(`\d\.\d{4,} ?(?:in\b|")`)

// height is how many lines of a phone an answer takes, and characters on them.
func height(t *testing.T, a ask.Answer) (lines, characters int) {
	a.Told = map[string]bool{}
	for _, name := range a.Explains() {
		a.Told[name] = true
	}
	a.Read = nil
	asked := 0
	for _, l := range a.Lines() {
		if l.Part == ask.Part(ask.Asked) {
			asked = (len(l.Text.String()) + columns - 6) / (columns - 5) // words don't fill a line
		}
	}
	var out bytes.Buffer
	if err := (&console.Screen{Out: &out, Width: columns}).Answer(&a); err != nil {
		t.Fatal(err)
	}
	lines = strings.Count(out.String(), "\n") - max(0, asked-2)
	return lines, utf8.RuneCountInString(out.String()) - max(0, asked-2)*columns
}

// TestBrief counts the lines and characters of every answer of every
// conversation.
func TestBrief(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil || len(paths) == 0 {
		t.Fatal("no conversations", err)
	}
	lines, characters, answers := map[string]int{}, map[string]int{}, map[string]int{}
	for _, path := range paths {
		script, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(path), func(t *testing.T) {
			for _, a := range replay(t, string(script)).answers {
				n, long := height(t, *a)
				lines[a.Verb] += n
				characters[a.Verb] += long
				answers[a.Verb]++
				if limit, ok := most[a.Verb]; ok && n > limit {
					t.Errorf("%s: %s: %d lines, may be %d:\n%s", filepath.Base(path), a.Asked, n, limit, a.Text())
				} else if ok && long > limit*columns {
					t.Errorf("%s: %s: %d characters, may be %d:\n%s", filepath.Base(path), a.Asked, long, limit*columns, a.Text())
				}
				whole := *a
				whole.Short = false
				for _, text := range []string{a.Text().String(), whole.Text().String()} {
					if figure := fourDecimals.FindString(text); figure != "" {
						t.Errorf("%s: %s: %s stands in\n%s", filepath.Base(path), a.Asked, figure, text)
					}
				}
			}
		})
	}
	for verb, n := range answers {
		t.Logf("%-10s %3d answers, %.1f lines and %.0f characters each", verb, n, float64(lines[verb])/float64(n), float64(characters[verb])/float64(n))
	}
}
