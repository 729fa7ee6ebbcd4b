//go:build faults

package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"heelpost/bot/slack/fake"
)

// rated is a world at Slack's own rates, with one replica and some doors.
func rated(t *testing.T) (*world, *traffic) {
	if testing.Short() {
		t.Skip("minutes of waiting")
	}
	t.Parallel()
	w := newWorld(t, fake.Options{PostEvery: time.Second, Tiers: true, Resend: soon})
	w.start(exec.Command("heelpost", "serve"), "HEELPOST_TRANSPORT=socket", "HEELPOST_SLACK_FAST=false", "HEELPOST_LEASE=20s")
	w.await("connection", 30*time.Second, func() bool { return w.Sockets() > 0 }) // Slack gives one a minute
	tr := w.newTraffic(5)
	tr.settled()
	return w, tr
}

// counted tells how the posts of a world came back after an outage: how long
// after back the last one was there, and what Slack's rates alone would take
// for those that came then, one a second to a channel and three in all.
func (tr *traffic) counted(back time.Time, what string) {
	tr.w.t.Helper()
	before := len(tr.missing())
	tr.w.await("last answer", 20*time.Minute, func() bool { return len(tr.missing()) == 0 })
	took := time.Since(back)
	o := tr.settled()
	most, all := 0, 0
	for _, c := range channels {
		n := 0
		for _, ts := range tr.times(c) {
			if ts.After(back) {
				n++
			}
		}
		most, all = max(most, n), all+n
	}
	for _, f := range tr.faces {
		tr.ordered(f)
	}
	rates := max(most, all/3)
	if goal := 15*time.Second + time.Duration(rates)*time.Second; took > goal {
		tr.w.t.Errorf("%s: the last answer after %v, want %v", what, took, goal)
	}
	tr.w.t.Logf("%s: the last answer %.0f s after it is back; %d were missing, %d posts then, %d to one channel: at Slack's rates %d s; lost %d, doubled %d; %d looks",
		what, took.Seconds(), before, all, most, rates, o.lost, o.doubled, tr.w.Calls("conversations.replies")+tr.w.Calls("conversations.history"))
}

// times returns when the bot posted to a channel, threads included.
func (tr *traffic) times(channel string) (out []time.Time) {
	add := func(m fake.Message) {
		var sec, micro int64
		if m.BotID == "" {
			return
		}
		if _, err := fmt.Sscanf(m.TS, "%d.%d", &sec, &micro); err != nil {
			tr.w.t.Fatal(err)
		}
		out = append(out, time.Unix(sec, micro*1000))
	}
	for _, m := range tr.w.Messages(channel) {
		add(m)
		for _, r := range tr.w.Thread(channel, m.TS) {
			if r.TS != m.TS {
				add(r)
			}
		}
	}
	return out
}

// ordered holds the reminders in a door's thread against their due times.
func (tr *traffic) ordered(face fake.Message) {
	var due []string
	for _, m := range tr.w.Thread(face.Channel, face.TS) {
		var meta struct{ ID string }
		if m.Metadata == nil || json.Unmarshal(m.Metadata.EventPayload, &meta) != nil {
			continue
		}
		if _, at, ok := strings.Cut(meta.ID, "@"); ok && strings.Contains(meta.ID, ":due") {
			due = append(due, at)
		}
	}
	if !slices.IsSorted(due) { // all of one length, in base 36
		tr.w.t.Errorf("in the thread of %s out of order: %v", door(face), due)
	}
}

// Slack is away for a minute, and for three, while notices come due and people
// go on asking: how soon it has caught up.
func TestOutage_Slack(t *testing.T) {
	for _, away := range []time.Duration{60 * time.Second, 170 * time.Second} {
		t.Run(away.String(), func(t *testing.T) {
			w, tr := rated(t)
			w.Break(fake.Fault{Status: http.StatusServiceUnavailable})
			tr.put(t.Context(), "due", 40, away/2)
			for i := range 5 {
				tr.asked("question", channels[i%4], w.Say(channels[i%4], users[i], mention+"gap 54 60", ""))
				tr.asked("thread", channels[0], w.Say(channels[0], users[i], "gap 54 60", tr.faces[i].TS))
			}
			<-time.After(away)
			w.Mend()
			tr.counted(time.Now(), fmt.Sprintf("Slack away for %v", away))
		})
	}
}

// Redis is killed and started again five seconds later, with notices due.
func TestOutage_Redis(t *testing.T) {
	for _, n := range []int{60, 300} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			w, tr := rated(t)
			tr.put(t.Context(), "due", n, time.Second)
			<-time.After(8 * time.Second)
			w.redis.kill()
			<-time.After(5 * time.Second)
			w.redis.run(w)
			tr.counted(time.Now(), fmt.Sprintf("Redis away for 5 s, %d due", n))
		})
	}
}

// A process that is told to stop logs no error over it.
func TestLoad_Stop(t *testing.T) {
	w := newWorld(t, fake.Options{Resend: soon})
	p := w.serve("socket")
	w.connected(1)
	tr := w.newTraffic(2)
	tr.run(40, 3*time.Second)
	tr.settled()
	p.end(syscall.SIGTERM)
	for line := range strings.Lines(string(w.read(p.log))) {
		if strings.Contains(line, `"level":"WARN"`) || strings.Contains(line, `"level":"ERROR"`) || strings.HasPrefix(line, "heelpost:") {
			t.Errorf("logged %s", line)
		}
	}
	if p.err != nil {
		t.Errorf("ended with %v", p.err)
	}
}
