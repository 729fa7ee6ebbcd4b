package slack

import (
	"context"
	"errors"
	"strconv"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// reading is one look at a spot, for all who look for something there at the
// time: Slack allows some fifty a minute.
type reading struct {
	since time.Time
	want  map[string]bool
	done  chan struct{}
	found map[string]string // timestamps by what was looked for
	err   error
}

// find looks for posts at a spot, among those since a time, by the ids that
// they carry or by the names of their files, and returns the timestamps of
// those that are there.
func (a *Adapter) find(ctx context.Context, at spot, since time.Time, ids ...string) (map[string]string, error) {
	if !since.IsZero() {
		since = since.Add(-time.Minute) // clocks differ
	}
	a.mu.Lock()
	r := a.reads[at]
	first := r == nil
	if first {
		r = &reading{since: since, want: map[string]bool{}, done: make(chan struct{}), found: map[string]string{}}
		a.reads[at] = r
	}
	if since.Before(r.since) {
		r.since = since
	}
	for _, id := range ids {
		r.want[id] = true
	}
	a.mu.Unlock()
	if first {
		a.carryOut(ctx, at, r)
	}
	select {
	case <-r.done:
		if isFinal(r.err) {
			a.Log.Warn("what was posted can't be looked for, so it may be posted twice", "channel", at.channel, "error", redacted(r.err))
		}
		return r.found, r.err
	case <-ctx.Done():
		return nil, &jobs.SendError{Fault: jobs.Limited, Wait: time.Second, Err: ctx.Err()}
	}
}

// isFinal reports whether no other try will pass.
func isFinal(err error) bool {
	se, ok := errors.AsType[*jobs.SendError](err)
	return ok && se.Fault == jobs.Final
}

// gather is how long a look waits for others to join it.
const gather = 100 * time.Millisecond

// carryOut reads a spot. Whoever comes before the first call is answered by
// it, who comes later needs a later one.
func (a *Adapter) carryOut(ctx context.Context, at spot, r *reading) {
	defer close(r.done)
	select {
	case <-ctx.Done():
	case <-time.After(gather):
	}
	begin := func() time.Time {
		a.mu.Lock()
		defer a.mu.Unlock()
		delete(a.reads, at)
		return r.since
	}
	r.err = a.read(ctx, at, begin, func(m *slack.Message) bool {
		names := []string{metaOf(m).ID}
		for _, f := range m.Files {
			names = append(names, f.Name)
		}
		for _, name := range names {
			if r.want[name] && r.found[name] == "" {
				r.found[name] = m.Timestamp
			}
		}
		return len(r.found) < len(r.want)
	})
}

// since is for reads that are nobody else's.
func since(t time.Time) func() time.Time { return func() time.Time { return t } }

// read gives the messages of a channel or a thread to see, until it returns
// false. begin is called once, right before the first call or instead of it,
// and tells since when.
func (a *Adapter) read(ctx context.Context, at spot, begin func() time.Time, see func(*slack.Message) bool) error {
	method := "conversations.history"
	if at.thread != "" {
		method = "conversations.replies"
	}
	err := a.paceMethod(ctx, method)
	oldest := ""
	if t := begin(); !t.IsZero() {
		oldest = strconv.FormatInt(t.Unix(), 10) + ".000000"
	}
	for cursor := ""; err == nil; err = a.paceMethod(ctx, method) {
		list, next, err := a.readPage(ctx, at, oldest, cursor)
		if err != nil {
			return a.classified(ctx, method, err)
		}
		for i := range list {
			if !see(&list[i]) {
				return nil
			}
		}
		if cursor = next; cursor == "" {
			return nil
		}
	}
	return err
}

func (a *Adapter) readPage(ctx context.Context, at spot, oldest, cursor string) ([]slack.Message, string, error) {
	const page = 200
	if at.thread != "" {
		list, _, next, err := a.api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: at.channel, Timestamp: at.thread,
			Cursor: cursor, Oldest: oldest, Limit: page, IncludeAllMetadata: true})
		if code(err) == "thread_not_found" {
			return nil, "", nil
		}
		return list, next, err
	}
	h, err := a.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: at.channel,
		Cursor: cursor, Oldest: oldest, Limit: page, IncludeAllMetadata: true})
	if err != nil {
		return nil, "", err
	}
	return h.Messages, h.ResponseMetaData.NextCursor, nil
}

// Why a call is not made now.
var (
	errLimits = say.F("within slack's limits it has to wait")
	errSilent = say.F("slack does not answer")
)
