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

// encoded is a value as JSON. What the fake makes always is some.
func encoded(v any) []byte {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return data
}

// deliver sends and leaves the rest to the clock. The lock is held.
func (s *Server) deliver(kind, what, user string, payload any) *delivery {
	data := encoded(payload)
	if s.tamper != nil {
		var m map[string]any
		json.Unmarshal(data, &m)
		s.tamper(kind, m)
		data = encoded(m)
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

// ask delivers what a person did, made with the lock held, and waits for the
// answer.
func (s *Server) ask(kind, what, user string, payload func() (reply, error)) (json.RawMessage, error) {
	var d *delivery
	var err error
	s.do(func() {
		var p reply
		if p, err = payload(); err == nil && p != nil {
			d = s.deliver(kind, what, user, p)
		}
	})
	if d == nil {
		return nil, err
	}
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
	if d.attempt == 0 {
		s.unacked++
	}
	s.change()
	if s.address != "" {
		address := s.address
		s.work.Go(func() { s.request(address, d) })
		return
	}
	c := s.pick()
	if c == nil {
		s.lost(d, "connection_failed", true)
		return
	}
	d.id = s.newID("e")
	frame := reply{"envelope_id": d.id, "type": d.kind, "payload": d.payload, "accepts_response_payload": d.kind != events}
	if d.kind == events {
		frame["retry_attempt"], frame["retry_reason"] = d.attempt, d.reason
	}
	d.sent = time.Now()
	s.waiting[d.id] = d
	id := d.id
	d.timer = s.after(s.opts.Ack, func() {
		if s.waiting[id] == d {
			delete(s.waiting, id)
			s.expired[id] = true
			s.lost(d, "timeout", true)
		}
	})
	c.write(encoded(frame), s.struck("cutSend", s.trouble.CutSend))
}

// lost sends an event again later; what a person did has failed for them.
func (s *Server) lost(d *delivery, reason string, again bool) {
	d.reason = reason
	s.stats.Lost++
	s.change()
	switch {
	case d.kind != events:
		s.failed = append(s.failed, Failure{d.user, d.what, reason})
	case !again || d.attempt >= len(s.opts.Resend):
		s.stats.GivenUp++
	default:
		d.attempt++
		s.after(s.opts.Resend[d.attempt-1], func() { s.send(d) })
		return
	}
	s.unacked--
	d.err = ErrTimeout
	close(d.done)
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
	s.unacked--
	s.delays = append(s.delays, time.Since(d.sent))
	d.answer = answer
	close(d.done)
}

// paths are where the app takes requests.
var paths = map[string]string{events: "/slack/events", interactive: "/slack/interactions", commands: "/slack/commands"}

// UseHTTP has everything sent as signed requests to this address from now on,
// after the address has answered the challenge, as Slack asks it to.
func (s *Server) UseHTTP(ctx context.Context, address string) error {
	challenge := fmt.Sprintf("challenge-%d", time.Now().UnixNano())
	body := encoded(reply{"type": "url_verification", "token": "none", "challenge": challenge})
	status, got, _, err := s.signed(ctx, address+paths[events], "application/json", body, nil)
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
	s.do(func() { s.address = address })
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

// signed sends a signed request.
func (s *Server) signed(ctx context.Context, to, kind string, body []byte, more http.Header) (int, []byte, http.Header, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, to, bytes.NewReader(body))
	if err != nil {
		return 0, nil, nil, err
	}
	maps.Copy(r.Header, more)
	maps.Copy(r.Header, Sign(secret, time.Now(), body))
	r.Header.Set("Content-Type", kind)
	resp, err := s.outgoing.Do(r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer resp.Body.Close()
	got, err := io.ReadAll(io.LimitReader(resp.Body, 1<<20))
	return resp.StatusCode, got, resp.Header, err
}

// form is what is delivered as the body of a request.
func (d *delivery) form() (kind string, body []byte, more http.Header) {
	form := url.Values{}
	switch d.kind {
	case events:
		more = http.Header{}
		if d.attempt > 0 {
			more.Set("X-Slack-Retry-Num", strconv.Itoa(d.attempt))
			more.Set("X-Slack-Retry-Reason", d.reason)
		}
		return "application/json", d.payload, more
	case interactive:
		form.Set("payload", string(d.payload))
	case commands:
		fields, _ := texts(d.payload)
		for name, v := range fields {
			form.Set(name, v)
		}
	}
	return "application/x-www-form-urlencoded", []byte(form.Encode()), nil
}

// request makes one attempt over HTTP.
func (s *Server) request(address string, d *delivery) {
	select {
	case s.slots <- struct{}{}:
		defer func() { <-s.slots }()
	case <-s.ctx.Done():
		return
	}
	kind, body, more := d.form()
	ctx, cancel := context.WithTimeout(s.ctx, s.opts.Ack)
	defer cancel()
	d.sent = time.Now()
	status, got, headers, err := s.signed(ctx, address+paths[d.kind], kind, body, more)
	s.do(func() {
		switch {
		case s.ctx.Err() != nil:
		case errors.Is(err, context.DeadlineExceeded):
			s.lost(d, "http_timeout", true)
		case err != nil:
			s.lost(d, "connection_failed", true)
		case status < 200 || status > 299:
			s.lost(d, "http_error", headers.Get("X-Slack-No-Retry") != "1")
		default:
			s.finish(d, bytes.TrimSpace(got))
		}
	})
}
