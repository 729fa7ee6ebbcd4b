package main

import (
	"context"
	"net"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

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
