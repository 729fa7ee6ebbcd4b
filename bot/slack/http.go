package slack

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
)

// maxBody bounds a request; Slack's are far smaller.
const maxBody = 1 << 20

// Handler takes signed requests: events, commands and interactions.
func (a *Adapter) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("POST /slack/events", a.signed(a.serveEvent))
	mux.HandleFunc("POST /slack/commands", a.signed(a.serveCommand))
	mux.HandleFunc("POST /slack/interactions", a.signed(a.serveInteraction))
	return mux
}

// signed lets through what Slack signed within the last five minutes. Nothing
// of a request is looked at before.
func (a *Adapter) signed(next func(w http.ResponseWriter, r *http.Request, body []byte)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		arrived := time.Now()
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxBody))
		if err != nil {
			a.metrics.received.WithLabelValues("too large").Inc()
			http.Error(w, "too large, or broken off", http.StatusRequestEntityTooLarge)
			return
		}
		if !a.isSigned(r.Header, body) {
			a.metrics.forged.Inc()
			http.Error(w, "not signed by slack", http.StatusUnauthorized)
			return
		}
		defer func() {
			if p := recover(); p != nil {
				a.fault(p)
				http.Error(w, "not dealt with", http.StatusInternalServerError) // so that slack sends it again
			}
		}()
		r.Body = io.NopCloser(bytes.NewReader(body))
		next(w, r, body)
		a.metrics.acks.Observe(time.Since(arrived).Seconds())
	}
}

func (a *Adapter) isSigned(h http.Header, body []byte) bool {
	for _, secret := range a.Secrets {
		v, err := slack.NewSecretsVerifier(h, secret)
		if err != nil {
			continue
		}
		if _, err := v.Write(body); err == nil && v.Ensure() == nil {
			return true
		}
	}
	return false
}

func (a *Adapter) serveEvent(w http.ResponseWriter, r *http.Request, body []byte) {
	e, err := slackevents.ParseEvent(body, slackevents.OptionNoVerifyToken())
	if err != nil {
		a.metrics.received.WithLabelValues("unreadable").Inc()
		w.WriteHeader(http.StatusOK) // sent again it would be no better
		return
	}
	if e.Type == slackevents.URLVerification {
		var c slackevents.ChallengeResponse
		if json.Unmarshal(body, &c) == nil {
			w.Header().Set("Content-Type", "text/plain")
			io.WriteString(w, c.Challenge)
		}
		return
	}
	if err := a.event(r.Context(), e); err != nil {
		a.Log.Warn("not kept, so slack sends it again", "error", redacted(err))
		http.Error(w, "not kept", http.StatusServiceUnavailable)
	}
}

func (a *Adapter) serveCommand(w http.ResponseWriter, r *http.Request, _ []byte) {
	c, err := slack.SlashCommandParse(r)
	if err != nil {
		http.Error(w, "no command", http.StatusBadRequest)
		return
	}
	a.answer(w, a.command(r.Context(), c))
}

func (a *Adapter) serveInteraction(w http.ResponseWriter, r *http.Request, _ []byte) {
	ic, err := slack.InteractionCallbackParse(r)
	if err != nil {
		a.metrics.received.WithLabelValues("unreadable").Inc()
		w.WriteHeader(http.StatusOK)
		return
	}
	a.answer(w, a.interaction(r.Context(), ic))
}

// answer writes what goes back with "received"; nil is an empty body.
func (a *Adapter) answer(w http.ResponseWriter, payload any) {
	if payload == nil {
		return
	}
	w.Header().Set("Content-Type", "application/json")
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if err := e.Encode(payload); err != nil {
		a.Log.Warn("an answer was lost", "error", redacted(err))
	}
}

// HTTP serves h on addr until ctx ends, and then until requests in hand are
// answered or patience ends.
func HTTP(ctx context.Context, addr string, h http.Handler, patience time.Duration) error {
	s := &http.Server{Addr: addr, Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 15 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10}
	failed := make(chan error, 1)
	go func() { failed <- s.ListenAndServe() }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	if err := s.Shutdown(ctx); err != nil && !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
