//go:build faults

package main

import (
	"testing"
	"time"

	"heelpost/bot/slack/fake"
)

// soon sends again what nobody acknowledged as Slack does, but for waits that
// a test can sit out.
var soon = []time.Duration{0, 5 * time.Second, 20 * time.Second}

// first returns the first few of a list, to show what it is about.
func first[T any](all []T) []T { return all[:min(3, len(all))] }

// 300 events a second: each is acknowledged within three seconds, and each
// question answered once.
func TestLoad_Steady(t *testing.T) {
	w := newWorld(t, fake.Options{})
	w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(20)
	span := span(10*time.Second, time.Minute)
	tr.run(300, span)
	o := tr.settled()
	if s := w.Stats(); s.Lost+s.Late > 0 || tr.fails.Load() > 0 {
		t.Errorf("%d envelopes not acknowledged in time, %d late, %d commands and presses failed: %v", s.Lost, s.Late, tr.fails.Load(), first(w.Failed()))
	}
	tr.row(o, "300 envelopes a second for %v", span)
}
