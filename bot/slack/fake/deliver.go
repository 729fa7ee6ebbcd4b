package fake

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Kinds of what is sent to the app.
const (
	events      = "events_api"
	interactive = "interactive"
	commands    = "slash_commands"
)

// maxAck is the size from which an answer over a socket is dropped.
const maxAck = 20_480

// delivery is one thing that the app is to be told.
type delivery struct {
	kind    string
	what    string // for failures: the command, the type of interaction
	user    string
	payload json.RawMessage
	attempt int
	reason  string // of the last attempt's failure, in Slack's words
	id      string // of the envelope: a new one each attempt
	sent    time.Time
	timer   *time.Timer
	done    chan struct{} // closed once answered or given up
	answer  json.RawMessage
	err     error
}

// ErrTimeout is what a person sees if the app did not answer in time.
var ErrTimeout = errors.New("operation_timeout: the app did not answer")

// deliver sends and leaves the rest to the clock. The lock is held.
func (s *Server) deliver(kind, what, user string, payload any) *delivery {
	data, err := json.Marshal(payload)
	if err != nil {
		panic(err)
	}
	if s.tamper != nil {
		var m map[string]any
		json.Unmarshal(data, &m)
		s.tamper(kind, m)
		data, _ = json.Marshal(m)
	}
	d := &delivery{kind: kind, what: what, user: user, payload: data, done: make(chan struct{})}
	held := s.held
	if kind == events && held == nil && s.struck("swap", s.trouble.Swap) {
		s.held = d
		return d
	}
	s.send(d)
	if kind == events && s.struck("duplicate", s.trouble.Duplicate) {
		s.send(&delivery{kind: kind, what: what, payload: data, done: make(chan struct{})})
	}
	if kind == events && held != nil {
		s.held = nil
		s.send(held)
	}
	return d
}

// wait waits for the answer, without the lock.
func (s *Server) wait(d *delivery) (json.RawMessage, error) {
	select {
	case <-d.done:
		return d.answer, d.err
	case <-s.ctx.Done():
		return nil, errClosed
	}
}

// send makes one attempt. The lock is held.
func (s *Server) send(d *delivery) {
	if s.ctx.Err() != nil {
		return
	}
	s.stats.Sent++
	if d.what == "shortcut" || d.what == "message_action" || d.kind == commands {
		s.used["commands"] = true
	}
	s.change()
	if s.address != "" {
		s.stats.Requests++
		address := s.address
		s.work.Go(func() { s.request(address, d) })
		return
	}
	c := s.pick()
	if c == nil {
		s.stats.Lost++
		s.lost(d, "connection_failed", true)
		return
	}
	d.id = s.newID("e")
	frame := reply{"envelope_id": d.id, "type": d.kind, "payload": d.payload, "accepts_response_payload": d.kind != events}
	if d.kind == events {
		frame["retry_attempt"], frame["retry_reason"] = d.attempt, d.reason
	}
	data, err := json.Marshal(frame)
	if err != nil {
		panic(err)
	}
	d.sent = time.Now()
	s.waiting[d.id] = d
	id := d.id
	d.timer = time.AfterFunc(s.opts.Ack, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		if s.waiting[id] == d {
			delete(s.waiting, id)
			s.expired[id] = true
			s.stats.Lost++
			s.lost(d, "timeout", true)
		}
	})
	c.write(data, s.struck("cutSend", s.trouble.CutSend))
}

// lost sends an event again later; what a person did has failed for them.
func (s *Server) lost(d *delivery, reason string, again bool) {
	d.reason = reason
	s.change()
	if d.kind != events {
		s.failed = append(s.failed, Failure{d.user, d.what, reason})
		d.err = ErrTimeout
		close(d.done)
		return
	}
	if !again || d.attempt >= len(s.opts.Resend) {
		s.stats.GivenUp++
		d.err = ErrTimeout
		close(d.done)
		return
	}
	wait := s.opts.Resend[d.attempt]
	d.attempt++
	time.AfterFunc(wait, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.send(d)
	})
}

// acked takes the answer to an envelope; it says whether the socket ends.
func (s *Server) acked(id string, answer json.RawMessage) (cut bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.change()
	if s.struck("loseAck", s.trouble.LoseAck) {
		return true
	}
	d := s.waiting[id]
	switch {
	case d == nil && s.expired[id]:
		s.stats.Late++
	case d == nil:
		s.stats.Unknown++
	default:
		delete(s.waiting, id)
		s.expired[id] = true
		d.timer.Stop()
		s.finish(d, answer)
	}
	return s.struck("cutAck", s.trouble.CutAck)
}

// finish takes an answer that came in time. The lock is held.
func (s *Server) finish(d *delivery, answer json.RawMessage) {
	s.stats.Acked++
	s.delays = append(s.delays, time.Since(d.sent))
	d.answer = answer
	close(d.done)
}

// paths are where the app takes requests.
var paths = map[string]string{events: "/slack/events", interactive: "/slack/interactions", commands: "/slack/commands"}

// UseHTTP has everything sent as signed requests to this address from now on,
// after the address has answered the challenge, as Slack asks it to. "" goes
// back to sockets.
func (s *Server) UseHTTP(ctx context.Context, address string) error {
	if address != "" {
		challenge := fmt.Sprintf("challenge-%d", time.Now().UnixNano())
		body, _ := json.Marshal(reply{"type": "url_verification", "token": "none", "challenge": challenge})
		status, got, _, err := s.post(ctx, address+paths[events], "application/json", body, nil)
		if err != nil {
			return err
		}
		var m struct{ Challenge string }
		if json.Unmarshal(got, &m) == nil && m.Challenge != "" {
			got = []byte(m.Challenge)
		}
		if status != http.StatusOK || strings.TrimSpace(string(got)) != challenge {
			return fmt.Errorf("url_verification: status %d, challenge not returned", status)
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.address = address
	return nil
}

// Sign gives the headers of a request signed at a time.
func Sign(secret string, at time.Time, body []byte) http.Header {
	stamp := strconv.FormatInt(at.Unix(), 10)
	mac := hmac.New(sha256.New, []byte(secret))
	fmt.Fprintf(mac, "v0:%s:", stamp)
	mac.Write(body)
	return http.Header{"X-Slack-Request-Timestamp": {stamp}, "X-Slack-Signature": {"v0=" + hex.EncodeToString(mac.Sum(nil))}}
}

func (s *Server) post(ctx context.Context, to, kind string, body []byte, more http.Header) (int, []byte, http.Header, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, to, bytes.NewReader(body))
	if err != nil {
		return 0, nil, nil, err
	}
	maps.Copy(r.Header, more)
	maps.Copy(r.Header, Sign(s.opts.Secret, time.Now(), body))
	r.Header.Set("Content-Type", kind)
	resp, err := s.outgoing.Do(r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer resp.Body.Close()
	got, err := io.ReadAll(io.LimitReader(resp.Body, 1<<20))
	return resp.StatusCode, got, resp.Header, err
}

// request makes one attempt over HTTP.
func (s *Server) request(address string, d *delivery) {
	select {
	case s.slots <- struct{}{}:
		defer func() { <-s.slots }()
	case <-s.ctx.Done():
		return
	}
	kind, body := "application/x-www-form-urlencoded", []byte(d.payload)
	more := http.Header{}
	switch d.kind {
	case events:
		kind = "application/json"
		if d.attempt > 0 {
			more.Set("X-Slack-Retry-Num", strconv.Itoa(d.attempt))
			more.Set("X-Slack-Retry-Reason", d.reason)
		}
	case interactive:
		body = []byte(url.Values{"payload": {string(d.payload)}}.Encode())
	case commands:
		var fields map[string]string
		json.Unmarshal(d.payload, &fields)
		form := url.Values{}
		for name, v := range fields {
			form.Set(name, v)
		}
		body = []byte(form.Encode())
	}
	ctx, cancel := context.WithTimeout(s.ctx, s.opts.Ack)
	defer cancel()
	d.sent = time.Now()
	status, got, headers, err := s.post(ctx, address+paths[d.kind], kind, body, more)
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.change()
	if s.ctx.Err() != nil {
		return
	}
	reason := ""
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		reason = "http_timeout"
	case err != nil:
		reason = "connection_failed"
	case status < 200 || status > 299:
		reason = "http_error"
	}
	if reason != "" {
		s.stats.Lost++
		s.lost(d, reason, headers.Get("X-Slack-No-Retry") != "1")
		return
	}
	s.finish(d, bytes.TrimSpace(got))
}

// subscribed tells if the app gets an event.
func (s *Server) subscribed(name string) bool {
	scope, known := EventScopes[name]
	return known && (scope == "" || slices.Contains(s.scopes, scope)) &&
		(s.opts.Events == nil || slices.Contains(s.opts.Events, name))
}

// channelEvent tells what happened in a channel that the bot is in.
func (s *Server) channelEvent(r *room, event reply) {
	if !r.member(Bot) {
		return
	}
	name := event["type"].(string)
	if name == "message" {
		name += map[string]string{"channel": ".channels", "group": ".groups", "im": ".im"}[r.kind()]
	}
	s.event(name, event, r.Shared)
}

// event tells an event to the app if it is subscribed to it.
func (s *Server) event(name string, event reply, shared bool) {
	if s.subscribed(name) {
		if scope := EventScopes[name]; scope != "" {
			s.used[scope] = true
		}
		s.callback(event, shared)
	}
}

func (s *Server) callback(event map[string]any, shared bool) {
	at := s.stamp()
	if event["event_ts"] == nil {
		event = maps.Clone(event)
		event["event_ts"] = at
	}
	s.deliver(events, fmt.Sprint(event["type"]), "", reply{
		"type": "event_callback", "token": "none", "team_id": Team, "context_team_id": Team, "api_app_id": App,
		"event_id": s.newID("Ev"), "event_time": s.clock / 1e6, "event": event, "is_ext_shared_channel": shared,
		"authorizations": []reply{{"enterprise_id": nil, "team_id": Team, "user_id": Bot, "is_bot": true, "is_enterprise_install": false}},
	})
}

// Emit tells any event, whether the app is subscribed to it or not: one of a
// type that nobody knows, for instance.
func (s *Server) Emit(event map[string]any) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.callback(event, false)
}

// Send sends any payload, of the type events_api, interactive or
// slash_commands, and waits for the answer.
func (s *Server) Send(kind string, payload map[string]any) (json.RawMessage, error) {
	s.mu.Lock()
	d := s.deliver(kind, kind, "", payload)
	s.mu.Unlock()
	return s.wait(d)
}
