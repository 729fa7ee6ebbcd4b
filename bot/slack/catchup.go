package slack

import (
	"cmp"
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

const (
	beatName = "beat" // bound to when a process last heard Slack, in ms
	gapName  = "gap"  // bound to when an outage began that is not read back yet
	// catchUpName is the limit that whoever catches up keeps shut.
	catchUpName = "catch up"
	// slackRepeats is how long Slack sends an event again that nobody
	// acknowledged: at once, after a minute, after five.
	slackRepeats = 6 * time.Minute
	// readThreads bounds the threads that are read back, those of the doors
	// that changed last: Slack allows some fifty reads a minute.
	readThreads = 40
)

// Beat notes that the bot is there, so that whoever starts after an outage
// knows since when nothing was heard.
func (a *Adapter) Beat(ctx context.Context, now time.Time) error {
	return a.store.Bind(ctx, map[string]string{beatName: strconv.FormatInt(now.UnixMilli(), 10)})
}

// Beats catches up and beats until ctx ends: for a transport that can't tell
// whether Slack is there.
func (a *Adapter) Beats(ctx context.Context) error {
	tick := time.NewTicker(beatEvery)
	defer tick.Stop()
	for {
		if err := a.present(ctx); err != nil && ctx.Err() == nil {
			a.Log.Warn("the beat was lost", "error", redacted(err))
		}
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
	}
}

// present notes that the bot is there, after it has caught up or noted that it
// must.
func (a *Adapter) present(ctx context.Context) error {
	now := time.Now()
	err := a.CatchUp(ctx, now)
	if errors.Is(err, errElsewhere) {
		return nil
	}
	return cmp.Or(err, a.Beat(ctx, now))
}

// errElsewhere says that another connection has just begun to catch up. Until
// it has noted so, the last beat tells when the outage began.
var errElsewhere = errors.New("another connection catches up")

// CatchUp works on what was said while no process was there or none could keep
// it. It reads back the channels of the sites and the threads of the doors that
// changed last; if that was longer than Slack sends things again, it tells each
// site's channel, and what it could not read. When the outage began is kept until
// that is done: whoever dies over it leaves it to the next.
func (a *Adapter) CatchUp(ctx context.Context, now time.Time) error {
	_, noted, err := a.outage(ctx, now)
	if err != nil || noted == noOutage {
		return err
	}
	// Of several connections and replicas one does it.
	if wait, err := a.store.Pace(ctx, jobs.NowAt(now), jobs.Pace{Name: catchUpName, Every: catchUpTakes, Burst: 1}); wait > 0 || err != nil {
		if err == nil && noted == freshOutage {
			err = errElsewhere
		}
		return err
	}
	began, noted, err := a.outage(ctx, now) // which another may have read back meanwhile
	if err != nil || noted == noOutage {
		return err
	}
	if err := a.store.Bind(ctx, map[string]string{gapName: strconv.FormatInt(began.UnixMilli(), 10)}); err != nil {
		return err
	}
	if err := a.readOutage(ctx, began, now); err != nil {
		return err
	}
	return a.store.Bind(ctx, map[string]string{gapName: ""})
}

// knowledge is what is known of an outage.
type knowledge int

const (
	noOutage    knowledge = iota
	freshOutage           // the last beat was long ago
	keptOutage            // it is noted, and not read back yet
)

// outage returns when an outage began that is to be read back.
func (a *Adapter) outage(ctx context.Context, now time.Time) (began time.Time, n knowledge, err error) {
	refs, err := a.store.Bound(ctx, beatName, gapName)
	if err != nil {
		return began, noOutage, err
	}
	n = keptOutage
	if refs[1] == "" {
		n, refs[1] = freshOutage, refs[0]
	}
	ms, err := strconv.ParseInt(refs[1], 10, 64)
	began = time.UnixMilli(ms)
	// What is said while Slack finds no connection comes a minute later at the
	// soonest, so that even a short outage is read back.
	if err != nil || n == freshOutage && now.Sub(began) < beatEvery*3/2 && ms > a.deaf.Load() {
		return began, noOutage, nil // there was never a beat, or somebody is there
	}
	return began, n, nil
}

// catchUpTakes is how long a process that catches up has for one channel or thread
// before another begins to: it may have died over it.
const catchUpTakes = 15 * time.Second

func (a *Adapter) readOutage(ctx context.Context, last, now time.Time) error {
	a.Log.Info("reading back what was said in an outage", "since", last)
	for _, site := range a.desk.Sites() {
		heard, unread := 0, 0
		for _, channel := range site.Channels {
			n, err := a.readBack(ctx, spot{channel: channel}, last)
			heard += n
			if mayPass(err) {
				return err
			}
			if err != nil {
				a.Log.Warn("a channel could not be read back", "channel", channel, "error", redacted(err))
				unread++
			}
		}
		doors, total, err := a.desk.Recent(ctx, site.ID, readThreads)
		if err != nil {
			return err
		}
		unread += max(0, total-len(doors))
		for _, door := range doors {
			refs, err := a.store.Bound(ctx, faceName(door))
			if err != nil {
				return err
			}
			if refs[0] == "" {
				continue
			}
			n, err := a.readBack(ctx, parseSpot(refs[0]), last)
			heard += n
			if mayPass(err) {
				return err
			}
			if err != nil {
				a.Log.Warn("a thread could not be read back", "door", door, "error", redacted(err))
				unread++
			}
		}
		if now.Sub(last) < slackRepeats {
			continue // the rest Slack sends again
		}
		text := []say.Text{say.F("I was away from %s to %s and have read back %s in this site's channels and its doors' threads.",
			bot.Instant(last, site), bot.Instant(now, site), say.Count(heard, "1 message", "%s messages"))}
		if unread > 0 {
			text = append(text, say.Count(unread, "In 1 other of them I could not look.", "In %s others of them I could not look."))
		}
		text = append(text, say.F("What was said to me elsewhere, or alone, or by a button or a command, say again."))
		if err := a.desk.Announce(ctx, site.ID, say.Join(" ", text...), now); err != nil {
			return err
		}
	}
	return nil
}

// mayPass reports whether another try may succeed where this one failed: then the
// outage stays noted, and whoever catches up next reads it back from its beginning.
func mayPass(err error) bool {
	if err == nil {
		return false
	}
	sent, ok := errors.AsType[*jobs.SendError](err)
	return !ok || sent.Fault != jobs.Final
}

// timeOf returns when a message was said.
func timeOf(ts string) time.Time {
	seconds, micros, _ := strings.Cut(ts, ".")
	n, err := strconv.ParseInt(seconds, 10, 64)
	if err != nil {
		return time.Time{}
	}
	m, _ := strconv.ParseInt(micros, 10, 64) // all of the six digits that Slack gives
	return time.Unix(n, m*1000)
}

// readBack keeps what was said to the bot at a spot since a time, as of when it
// was said, and returns how much that was. What was dealt with before is
// known and left alone.
func (a *Adapter) readBack(ctx context.Context, at spot, from time.Time) (n int, err error) {
	if !a.allowed(at.channel) {
		return 0, nil
	}
	if err := a.store.Hold(ctx, catchUpName, jobs.NowAt(time.Now().Add(catchUpTakes))); err != nil {
		return 0, err
	}
	var list []said
	err = a.read(ctx, at, since(from), func(m *slack.Message) bool {
		if a.isTalk(m.BotID, m.User, m.SubType) && m.Timestamp != at.thread {
			list = append(list, said{channel: at.channel, user: m.User, ts: m.Timestamp, thread: m.ThreadTimestamp, text: m.Text, at: timeOf(m.Timestamp), files: pictures(m.Files), texts: textFiles(m.Files)})
		}
		return true
	})
	if err != nil {
		return 0, err
	}
	slices.SortFunc(list, func(a, b said) int { return strings.Compare(a.ts, b.ts) }) // histories come the latest first
	for _, s := range list {
		if s.thread == s.ts {
			s.thread = ""
		}
		m, concerns, err := a.meant(ctx, s)
		if err != nil {
			return n, err
		}
		if !concerns || m.Overheard && (len(m.Files)+len(m.Texts) == 0 || m.Thread == "") {
			continue // a "60" without a mention answered a question that may no longer be open
		}
		ok, err := a.desk.Hear(ctx, s.channel+"/"+s.ts, m)
		if err != nil {
			return n, err
		}
		if ok {
			n++
		}
	}
	return n, nil
}

// Mend binds the faces of doors again where the store has lost them all, as
// after it was restored from a copy that lacked them.
func (a *Adapter) Mend(ctx context.Context) error {
	for _, site := range a.desk.Sites() {
		doors, _, err := a.desk.Recent(ctx, site.ID, readThreads)
		if err != nil {
			return err
		}
		if len(doors) == 0 {
			continue
		}
		names := make([]string, len(doors))
		for i, d := range doors {
			names[i] = faceName(d)
		}
		refs, err := a.store.Bound(ctx, names...)
		if err != nil {
			return err
		}
		if strings.Join(refs, "") == "" {
			found, err := a.Rebind(ctx)
			a.Log.Warn("doors had lost their threads", "found", found)
			return err
		}
	}
	return nil
}

// Rebind finds the faces of doors in the channels of the sites by what they
// carry along, and binds them again: for a store that lost its names.
func (a *Adapter) Rebind(ctx context.Context) (found int, err error) {
	for _, site := range a.desk.Sites() {
		for _, channel := range site.Channels {
			bound := map[string]bool{}
			var failed error
			err := a.read(ctx, spot{channel: channel}, since(time.Time{}), func(m *slack.Message) bool {
				// The latest one stands, should a face have been posted anew.
				if got := metaOf(m); got.isFace() && !bound[got.Door] {
					bound[got.Door] = true
					failed = a.bindFace(ctx, got.Door, spot{channel, m.Timestamp})
				}
				return failed == nil
			})
			found += len(bound)
			if err := errors.Join(err, failed); err != nil {
				return found, say.Wrap(err, say.F("channel %s: %s", channel, err))
			}
		}
	}
	return found, nil
}
