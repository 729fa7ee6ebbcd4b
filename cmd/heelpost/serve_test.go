package main

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"

	"heelpost/bot/say"
	"heelpost/bot/slack"
	"heelpost/bot/slack/fake"
)

// watched is a log that ends something at a word.
type watched struct {
	mu   sync.Mutex
	text strings.Builder
	word string
	end  func()
}

func (w *watched) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.text.Write(p)
	if strings.Contains(w.text.String(), w.word) {
		w.end()
	}
	return len(p), nil
}

// serving runs serve until its log has a word, and returns its status and what
// it said.
func serving(t *testing.T, word string, more map[string]string) (int, string) {
	t.Helper()
	for name, value := range map[string]string{"HEELPOST_SITES": filepath.Join("..", "..", "testdata", "sites"), "HEELPOST_OPS_LISTEN": "127.0.0.1:0",
		"HEELPOST_SLACK_API": "http://127.0.0.1:1/", "HEELPOST_REDIS": "redis://127.0.0.1:1", "SLACK_BOT_TOKEN": fake.BotToken, "SLACK_APP_TOKEN": fake.AppToken} {
		t.Setenv(name, value)
	}
	for name, value := range more {
		t.Setenv(name, value)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	log := &watched{word: word, end: cancel}
	status := run(ctx, []string{"serve"}, strings.NewReader(""), log, log)
	return status, log.text.String()
}

// A Redis that is not there yet is waited for, with a word; and a stop
// meanwhile is a clean one.
func TestServe_Waits(t *testing.T) {
	status, said := serving(t, "waiting", nil)
	if status != answered || !strings.Contains(said, "not started yet: waiting") || !strings.Contains(said, "see that it runs") || strings.Contains(said, "heelpost:") {
		t.Errorf("status %d, said %s", status, said)
	}
}

// An address that another program has is told with the setting to change.
func TestServe_AddressTaken(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	status, said := serving(t, "\x00", map[string]string{"HEELPOST_OPS_LISTEN": l.Addr().String()})
	if status != ours || !strings.Contains(said, "another program listens there: name another address with --ops-listen or HEELPOST_OPS_LISTEN") {
		t.Errorf("status %d, said %s", status, said)
	}
}

// A Redis that lets nobody in without the password is no Redis that is away:
// serve does not wait for it, and check says the same.
func TestServe_WrongPassword(t *testing.T) {
	m := miniredis.RunT(t)
	m.RequireAuth("right")
	url := "redis://:wrong-one@" + m.Addr()
	status, said := serving(t, "\x00", map[string]string{"HEELPOST_REDIS": url})
	var checked strings.Builder
	run(t.Context(), []string{"check", "--redis", url}, strings.NewReader(""), &checked, &checked)
	for _, said := range []string{said, checked.String()} {
		if !strings.Contains(said, "has not the user and password") || strings.Contains(said, "see that it runs") || strings.Contains(said, "wrong-one") {
			t.Errorf("said %s", said)
		}
	}
	if status != ours {
		t.Errorf("status %d", status)
	}
}

// What only has to be waited for is tried again and again, with a word each
// time; what waiting does not mend is returned at once.
func TestAwaiting(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		began, wrong := time.Now(), errors.New("a wrong token")
		var log strings.Builder
		tries := []error{say.Wrap(slack.ErrAway, say.F("no way to slack")), noRedis(errors.New("no way to redis")), wrong}
		err := awaiting(t.Context(), slog.New(slog.NewTextHandler(&log, nil)), func() error {
			next := tries[0]
			tries = tries[1:]
			return next
		})
		if !errors.Is(err, wrong) || time.Since(began) != 2*startPause || strings.Count(log.String(), "not started yet: waiting") != 2 {
			t.Errorf("got %v after %v; logged %s", err, time.Since(began), log.String())
		}
	})
}
