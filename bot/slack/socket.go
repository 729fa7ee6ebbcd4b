package slack

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Connections is how many connections a process keeps open: one is there
// while the other is renewed. Slack allows ten to an app, so that four
// replicas and one that starts up are the most.
const Connections = 2

// Socket takes envelopes over Socket Mode until ctx ends, and then until what
// is in hand is dealt with or patience ends. It returns an error that no
// waiting mends.
func (a *Adapter) Socket(ctx context.Context, patience time.Duration) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	// Acknowledgements still go out over the connections while they finish.
	open, shut := context.WithCancel(context.WithoutCancel(ctx))
	defer shut()
	var connections sync.WaitGroup
	all := new(workers)
	for i := range Connections {
		connections.Go(func() {
			if err := a.connect(ctx, open, i, all); err != nil {
				stop(err)
			}
		})
	}
	<-ctx.Done()
	a.Log.Info("no more is taken; what is in hand is finished")
	finished := make(chan struct{})
	go func() { <-all.finish(); a.Finish(); close(finished) }()
	select {
	case <-finished:
	case <-time.After(patience):
		a.Log.Warn("stopped with something in hand")
	}
	shut()
	connections.Wait()
	if err := context.Cause(ctx); !errors.Is(err, context.Canceled) {
		return err
	}
	return nil
}

// workers count what is being worked on, so that a process can stop in good
// order. Once they finish they take no more events: Slack sends what nobody
// acknowledged again, and another replica takes it. A press or a command is
// never sent again, so it is taken for as long as anything is in hand.
type workers struct {
	mu       sync.Mutex
	busy     int
	finished chan struct{} // nil before they finish, closed when nothing is in hand
}

// take starts some work. neverAgain says that Slack will not send it again.
func (w *workers) take(neverAgain bool, work func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.finished != nil && (!neverAgain || w.busy == 0) {
		return
	}
	w.busy++
	go func() {
		defer w.done()
		work()
	}()
}

func (w *workers) done() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.busy--; w.busy == 0 && w.finished != nil {
		close(w.finished)
	}
}

// finish returns a channel that is closed when nothing is in hand any more.
func (w *workers) finish() <-chan struct{} {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.finished = make(chan struct{})
	if w.busy == 0 {
		close(w.finished)
	}
	return w.finished
}

// connect keeps one connection open and takes what comes over it.
func (a *Adapter) connect(taking, open context.Context, i int, workers *workers) error {
	select {
	case <-taking.Done():
		return nil
	case <-time.After(time.Duration(i)*a.Stagger + rand.N(a.Stagger/2)):
	}
	var options []socketmode.Option
	if a.Dialer != nil {
		options = append(options, socketmode.OptionDialer(a.Dialer))
	}
	pauses := &tries{Client: a.counted(a.Client), jitter: a.Stagger / 2}
	client := socketmode.New(a.client(a.Client, slack.OptionHTTPClient(pauses)), options...)
	var stop context.CancelFunc
	done := make(chan error, 1)
	run := func() {
		var running context.Context
		running, stop = context.WithCancel(open)
		go func() { done <- client.RunContext(running) }()
	}
	run()
	defer func() { stop() }()
	var again time.Time // when what was stopped may go on
	name := fmt.Sprintf("socket:%s:%d", a.Name, i)
	beat := time.NewTicker(beatEvery)
	defer beat.Stop()
	up := false
	connected := func(to bool) {
		switch {
		case to && !up:
			a.metrics.standing.Add(1)
		case up && !to:
			if a.metrics.standing.Add(-1) == 0 {
				a.deaf.Store(time.Now().UnixMilli())
			}
		}
		up = to
	}
	defer connected(false)
	for {
		select {
		case err := <-done:
			if open.Err() != nil {
				return nil
			}
			if again.IsZero() {
				return broken(err)
			}
			pauses.until, again = again, time.Time{}
			run()
		case <-beat.C:
			if up {
				workers.take(false, func() { a.beat(open, name) })
			}
		case e := <-client.Events: // what is done with it must never hold this up
			switch e.Type {
			case socketmode.EventTypeHello:
				connected(true)
			case socketmode.EventTypeConnecting:
				connected(false)
			case socketmode.EventTypeConnectionError:
				connected(false)
				if ce, ok := e.Data.(*slack.ConnectionErrorEvent); ok && ce.Backoff > lastRetry { // it would be deaf for minutes once slack is back
					again = time.Now()
					if limited, ok := errors.AsType[*slack.RateLimitedError](ce.ErrorObj); ok {
						again = again.Add(limited.RetryAfter)
					}
					stop()
				}
			}
			if err := a.envelope(open, client, name, e, workers); err != nil {
				return err
			}
		}
	}
}

// envelope deals with what comes over a connection.
func (a *Adapter) envelope(open context.Context, client *socketmode.Client, name string, e socketmode.Event, workers *workers) error {
	switch e.Type {
	case socketmode.EventTypeEventsAPI, socketmode.EventTypeSlashCommand, socketmode.EventTypeInteractive:
		arrived := time.Now()
		workers.take(e.Type != socketmode.EventTypeEventsAPI, func() {
			defer a.survive()
			payload, err := a.handle(open, e.Data)
			if err != nil {
				a.Log.Warn("not kept, so slack sends it again", "error", redacted(err))
				return
			}
			a.ack(open, client, e.Request.EnvelopeID, payload, arrived)
		})
	case socketmode.EventTypeErrorBadMessage:
		bad, ok := e.Data.(*socketmode.ErrorBadMessage)
		var x struct {
			ID string `json:"envelope_id"`
		}
		if ok && json.Unmarshal(bad.Message, &x) == nil && x.ID != "" {
			// Nobody can read it, and Slack would send it again and again.
			a.metrics.received.WithLabelValues("unreadable").Inc()
			workers.take(false, func() { a.ack(open, client, x.ID, nil, time.Now()) })
		}
	case socketmode.EventTypeHello:
		a.metrics.connected.Inc()
		workers.take(false, func() { a.hello(open, name, e.Request) })
	case socketmode.EventTypeConnectionError:
		ce, ok := e.Data.(*slack.ConnectionErrorEvent)
		if !ok || open.Err() != nil { // shut by ourselves
			break
		}
		a.metrics.reconnects.Inc()
		a.Log.Warn("no connection to slack", "attempt", ce.Attempt, "error", redacted(ce.ErrorObj))
		if err := broken(ce.ErrorObj); errors.Is(err, errRevoked) {
			return err
		}
	}
	return nil
}

// broken tells why there is no connection, with errRevoked if there will never
// be one: the app was uninstalled, its token revoked.
func broken(err error) error {
	if c := code(err); slices.Contains(revoked, c) || c == "missing_scope" || c == "not_allowed_token_type" {
		return say.Wrap(errRevoked, say.F("%s: %s", errRevoked, unlinked(err)))
	}
	return unlinked(err)
}

// handle deals with a payload; an error means that it was not kept.
func (a *Adapter) handle(ctx context.Context, data any) (payload any, err error) {
	switch d := data.(type) {
	case slackevents.EventsAPIEvent:
		return nil, a.event(ctx, d)
	case slack.SlashCommand:
		return a.command(ctx, d), nil
	case slack.InteractionCallback:
		return a.interaction(ctx, d), nil
	}
	return nil, nil
}

func (a *Adapter) ack(ctx context.Context, client *socketmode.Client, id string, payload any, arrived time.Time) {
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	if err := client.AckCtx(ctx, id, payload); err != nil {
		a.Log.Warn("an acknowledgement was lost", "error", redacted(err))
		return
	}
	a.metrics.acks.Observe(time.Since(arrived).Seconds())
}

// survive keeps one bad payload from ending the process.
func (a *Adapter) survive() {
	if p := recover(); p != nil {
		a.fault(p)
	}
}

func (a *Adapter) fault(p any) {
	a.metrics.errors.Inc()
	a.Log.Error("a payload could not be dealt with", "panic", p)
}

// beatEvery is how often a connection says that it is there; three beats
// missed mean that it is not.
const beatEvery = 10 * time.Second

func (a *Adapter) beat(ctx context.Context, name string) {
	now := time.Now()
	if err := cmp.Or(a.store.Hold(ctx, name, jobs.NowAt(now.Add(3*beatEvery))), a.present(ctx)); err != nil {
		a.Log.Warn("a connection's beat was lost", "error", err)
	}
}

// hello compares what Slack counts with what we have. Connections that are
// left over at Slack get envelopes that nobody reads.
func (a *Adapter) hello(ctx context.Context, name string, r *socketmode.Request) {
	a.isApp(r.ConnectionInfo.AppID)
	a.beat(ctx, name)
	ours, err := a.store.Held(ctx, "socket:", jobs.NowAt(time.Now()))
	if err != nil {
		return
	}
	a.metrics.foreign.Set(float64(max(0, r.NumConnections-ours)))
	if r.NumConnections > ours {
		a.Log.Warn("slack counts more connections than are ours: what it sends to the others is lost", "slack", r.NumConnections, "ours", ours)
	}
}
