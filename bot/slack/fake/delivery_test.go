package fake

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

// dial opens a socket without a library that hides the frames.
func dial(t *testing.T, api *slack.Client) *websocket.Conn {
	t.Helper()
	_, url, err := api.StartSocketModeContext(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ws, _, err := websocket.DefaultDialer.DialContext(t.Context(), url, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ws.Close() })
	return ws
}

// textFrame is a text from the server.
type textFrame struct {
	Type           string `json:"type"`
	Reason         string `json:"reason"`
	NumConnections int    `json:"num_connections"`
	EnvelopeID     string `json:"envelope_id"`
	Accepts        bool   `json:"accepts_response_payload"`
	RetryAttempt   int    `json:"retry_attempt"`
	RetryReason    string `json:"retry_reason"`
	Payload        struct {
		EventID string `json:"event_id"`
	} `json:"payload"`
}

func read(t *testing.T, ws *websocket.Conn) (f textFrame) {
	t.Helper()
	ws.SetReadDeadline(time.Now().Add(time.Minute))
	if err := ws.ReadJSON(&f); err != nil {
		t.Fatal(err)
	}
	return f
}

// An event that nobody acknowledges comes again, in a new envelope, until the
// waits are used up; what a person does does not.
func TestUnacknowledged(t *testing.T) {
	s, api := start(t, Options{Ack: 20 * time.Millisecond, Resend: []time.Duration{0, time.Millisecond}})
	ws := dial(t, api)
	if hello := read(t, ws); hello.Type != "hello" || hello.NumConnections != 1 {
		t.Errorf("%+v", hello)
	}
	s.Emit(map[string]any{"type": "app_uninstalled"})
	envelopes, ids := map[string]bool{}, map[string]bool{}
	for i := range 3 {
		f := read(t, ws)
		envelopes[f.EnvelopeID], ids[f.Payload.EventID] = true, true
		if reason := []string{"", "timeout", "timeout"}[i]; f.RetryAttempt != i || f.RetryReason != reason || f.Accepts {
			t.Errorf("attempt %d: %+v", i, f)
		}
	}
	if len(envelopes) != 3 || len(ids) != 1 {
		t.Errorf("envelopes %v, events %v", envelopes, ids)
	}
	until(t, s, "given up", func() bool { return s.Stats().GivenUp == 1 })
	if err := s.Command(ana, lane, "/door", "gap"); !errors.Is(err, ErrTimeout) {
		t.Error(err)
	}
	if f := read(t, ws); f.Type != "slash_commands" || !f.Accepts {
		t.Errorf("%+v", f)
	}
	if err := s.Shortcut(bo, "new_door"); !errors.Is(err, ErrTimeout) {
		t.Error(err)
	}
	want := []Failure{{ana, "/door", "timeout"}, {bo, "shortcut", "timeout"}}
	if got := s.Failed(); !slices.Equal(got, want) {
		t.Errorf("failed: %v", got)
	}
	if n := s.Stats(); n.Sent != 5 || n.Lost != 5 || n.Acked != 0 {
		t.Errorf("%+v", n)
	}
	for id := range envelopes { // too late
		ws.WriteJSON(map[string]any{"envelope_id": id})
	}
	ws.WriteJSON(map[string]any{"envelope_id": "e0nothing"})
	until(t, s, "late answers", func() bool { return s.Stats().Late == 3 && s.Stats().Unknown == 1 })
}

// Without a socket an event waits for the next attempt, and a person sees at
// once that nobody is there.
func TestNobodyThere(t *testing.T) {
	s, api := start(t, Options{Resend: []time.Duration{time.Hour}})
	s.Emit(map[string]any{"type": "app_uninstalled"})
	if err := s.Shortcut(ana, "new_door"); !errors.Is(err, ErrTimeout) {
		t.Error(err)
	}
	if n := s.Stats(); n.Lost != 2 || n.GivenUp != 0 {
		t.Errorf("%+v", n)
	}
	ws := dial(t, api)
	read(t, ws)
	s.Emit(map[string]any{"type": "app_uninstalled"})
	if f := read(t, ws); f.RetryAttempt != 0 {
		t.Errorf("%+v", f)
	}
}

func TestAnswers(t *testing.T) {
	s, api := start(t, Options{Ack: 50 * time.Millisecond, Resend: []time.Duration{}})
	ws := dial(t, api)
	read(t, ws)
	answer := func(payload map[string]any) error {
		done := make(chan error)
		go func() { done <- s.Command(ana, lane, "/door", "gap") }()
		ws.WriteJSON(map[string]any{"envelope_id": read(t, ws).EnvelopeID, "payload": payload})
		return <-done
	}
	if err := answer(map[string]any{"text": strings.Repeat("x", maxAck)}); !errors.Is(err, ErrTimeout) {
		t.Error(err)
	}
	if s.Stats().TooBig != 1 {
		t.Errorf("%+v", s.Stats())
	}
}

// What an app answers is checked as what it posts is.
func TestBadAnswers(t *testing.T) {
	s, api := start(t, Options{})
	text := slack.NewTextBlockObject("plain_text", "Width", false, false)
	modal := slack.ModalViewRequest{Type: slack.VTModal, Title: text, Submit: text}
	modal.Blocks.BlockSet = []slack.Block{slack.NewInputBlock("width", text, nil, slack.NewPlainTextInputBlockElement(nil, "w"))}
	var answer any
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		switch x := e.Data.(type) {
		case slack.InteractionCallback:
			if x.Type == slack.InteractionTypeShortcut {
				api.OpenView(x.TriggerID, modal)
				c.Ack(*e.Request)
				return
			}
			c.Ack(*e.Request, answer)
		default:
			c.Ack(*e.Request, answer)
		}
	})
	answer = map[string]any{"text": "x", "blocks": []any{map[string]any{"type": "dial"}}}
	if err := s.Command(ana, lane, "/door", "gap"); err == nil || !strings.Contains(err.Error(), "invalid_blocks") {
		t.Error(err)
	}
	for i, bad := range []any{
		map[string]any{"response_action": "errors", "errors": map[string]string{"height": "no such block"}},
		map[string]any{"response_action": "errors"},
		map[string]any{"response_action": "dance"},
		map[string]any{"response_action": "update", "view": map[string]any{"type": "modal"}},
	} {
		if err := s.Shortcut(ana, "new_door"); err != nil {
			t.Fatal(err)
		}
		answer = bad
		if _, err := s.Submit(ana, s.Modals(ana)[0].ID, map[string]string{"width": "x"}); err == nil {
			t.Errorf("answer %d passed", i)
		}
	}
	if n := len(s.Failed()); n != 5 {
		t.Errorf("%d failures: %v", n, s.Failed())
	}
}

// Each envelope goes to one connection, and all connections get some.
func TestOneConnectionEach(t *testing.T) {
	s, api := start(t, Options{})
	var mu sync.Mutex
	seen, by := map[string]int{}, [3]int{}
	for i := range by {
		listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
			x := e.Data.(slackevents.EventsAPIEvent).Data.(*slackevents.EventsAPICallbackEvent)
			mu.Lock()
			seen[x.EventID]++
			by[i]++
			mu.Unlock()
			c.Ack(*e.Request)
		})
		until(t, s, "sockets", func() bool { return s.Sockets() == i+1 })
	}
	for range 30 {
		s.DM(ana, "gap 54 60")
	}
	until(t, s, "acknowledged", func() bool { return s.Stats().Acked == 30 })
	mu.Lock()
	defer mu.Unlock()
	if len(seen) != 30 || by != [3]int{10, 10, 10} {
		t.Errorf("%d events, %v", len(seen), by)
	}
	for id, n := range seen {
		if n != 1 {
			t.Errorf("%s came %d times", id, n)
		}
	}
}

func TestTooManySockets(t *testing.T) {
	s, api := start(t, Options{})
	for i := range 10 {
		if f := read(t, dial(t, api)); f.NumConnections != i+1 {
			t.Fatalf("%+v", f)
		}
	}
	ws := dial(t, api)
	if f := read(t, ws); f.Type != "disconnect" || f.Reason != "too_many_websockets" {
		t.Errorf("%+v", f)
	}
	if _, _, err := ws.ReadMessage(); !websocket.IsCloseError(err, websocket.CloseNormalClosure) {
		t.Error(err)
	}
	if s.Sockets() != 10 {
		t.Error(s.Sockets())
	}
}

// Disconnect frames and cuts make a client come again; frozen connections stay
// on the count.
func TestDisconnects(t *testing.T) {
	s, api := start(t, Options{Warn: 10 * time.Millisecond})
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) { c.Ack(*e.Request) })
	n := s.Stats().Sockets
	for _, leave := range []func(){
		func() { s.Disconnect("refresh_requested", 0) },
		func() { s.Disconnect("link_disabled", 0) },
		func() { s.Disconnect("warning", 0) },
		func() { s.Cut(0) },
	} {
		n++
		leave()
		until(t, s, "another socket", func() bool { return s.Stats().Sockets == n && s.Sockets() == 1 })
	}
	s.DM(ana, "gap 54 60")
	until(t, s, "acknowledged", func() bool { return s.Stats().Acked == 1 })

	ws := dial(t, api)
	read(t, ws)
	s.Disconnect("warning", 2)
	for i, want := range []string{"warning", "refresh_requested"} {
		if f := read(t, ws); f.Type != "disconnect" || f.Reason != want {
			t.Errorf("frame %d: %+v", i, f)
		}
	}
	if _, _, err := ws.ReadMessage(); !websocket.IsCloseError(err, websocket.CloseNormalClosure) {
		t.Error(err)
	}
	until(t, s, "it is gone", func() bool { return s.Sockets() == 1 })
}

// A frozen connection gets its share and answers nothing, and counts on even
// when the client has given it up; the live one is pinged.
func TestFrozen(t *testing.T) {
	s, api := start(t, Options{Ping: time.Millisecond, Ack: 100 * time.Millisecond, Resend: slices.Repeat([]time.Duration{0}, 100)})
	dead := dial(t, api)
	read(t, dead)
	s.Freeze(1)
	live := dial(t, api)
	pings := make(chan bool, 1)
	live.SetPingHandler(func(string) error {
		select {
		case pings <- true:
		default:
		}
		return nil
	})
	if f := read(t, live); f.NumConnections != 2 {
		t.Errorf("%+v", f)
	}
	s.Emit(map[string]any{"type": "app_uninstalled"})
	s.Emit(map[string]any{"type": "app_uninstalled"})
	done := make(chan struct{})
	go func() {
		defer close(done)
		for {
			var f textFrame
			if live.ReadJSON(&f) != nil {
				return
			}
			live.WriteJSON(map[string]any{"envelope_id": f.EnvelopeID})
		}
	}()
	<-pings
	until(t, s, "acknowledged", func() bool { return s.Stats().Acked == 2 })
	dead.Close()
	if s.Sockets() != 2 || s.Stats().Lost == 0 {
		t.Errorf("%d sockets, %+v", s.Sockets(), s.Stats())
	}
	s.Thaw()
	if s.Sockets() != 1 {
		t.Error(s.Sockets())
	}
	live.Close()
	<-done
}

// Every kind of trouble on the way: each event comes at last, and no event id
// twice unless it was not acknowledged.
func TestTrouble(t *testing.T) {
	s, api := start(t, Options{Ack: time.Minute, Resend: slices.Repeat([]time.Duration{10 * time.Millisecond}, 1000)})
	var mu sync.Mutex
	var order []string
	times := map[string]int{}
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		x := e.Data.(slackevents.EventsAPIEvent).Data.(*slackevents.EventsAPICallbackEvent)
		mu.Lock()
		if times[x.EventID]++; times[x.EventID] == 1 {
			order = append(order, inner(e).(*slackevents.MessageEvent).Text)
		}
		mu.Unlock()
		c.Ack(*e.Request)
	})
	say := func(from, to int) []string {
		var all []string
		for i := from; i < to; i++ {
			text := fmt.Sprint("line ", i)
			all = append(all, text)
			s.DM(ana, text)
		}
		return all
	}
	seen := func(n int) func() bool {
		return func() bool { mu.Lock(); defer mu.Unlock(); return len(order) == n && s.Unacked() == 0 }
	}
	s.Trouble(Trouble{Swap: 2})
	say(0, 4)
	until(t, s, "all", seen(4))
	if want := []string{"line 0", "line 2", "line 1", "line 3"}; !slices.Equal(order, want) {
		t.Errorf("order %v, want %v", order, want)
	}
	s.Trouble(Trouble{Duplicate: 2})
	say(4, 8)
	until(t, s, "all", seen(8))
	mu.Lock()
	double := 0
	for _, n := range times {
		double += n - 1
	}
	mu.Unlock()
	if double != 2 {
		t.Errorf("%d doubles", double)
	}
	s.do(func() { s.opts.Ack = 100 * time.Millisecond }) // what is lost from here on is sent again
	total := 8
	for _, trouble := range []Trouble{{CutSend: 3}, {LoseAck: 3}, {CutAck: 3}} {
		s.Trouble(trouble)
		say(total, total+9)
		total += 9
		until(t, s, fmt.Sprintf("all with %+v", trouble), seen(total))
	}
	if s.Stats().GivenUp > 0 || s.Stats().Sockets < 4 {
		t.Errorf("%+v", s.Stats())
	}
}

// What no library knows: the client cannot parse it, and says so.
func TestUnknown(t *testing.T) {
	s, api := start(t, Options{})
	_, ts, err := api.PostMessage(lane, slack.MsgOptionText("x", false), slack.MsgOptionBlocks(slack.NewActionBlock("do",
		slack.NewButtonBlockElement("next", "v", slack.NewTextBlockObject("plain_text", "Next", false, false)))))
	if err != nil {
		t.Fatal(err)
	}
	bad := make(chan string, 10)
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		if e.Type != socketmode.EventTypeErrorBadMessage {
			c.Ack(*e.Request)
			return
		}
		x := e.Data.(*socketmode.ErrorBadMessage)
		var env struct {
			EnvelopeID string `json:"envelope_id"`
		}
		json.Unmarshal(x.Message, &env)
		bad <- x.Cause.Error()
		c.AckCtx(t.Context(), env.EnvelopeID, nil)
	})
	s.Emit(map[string]any{"type": "event_of_next_year"})
	t.Log(<-bad)
	s.Tamper(UnknownElement)
	m, _ := s.Message(lane, ts)
	if err := s.Press(ana, m, "next"); err != nil {
		t.Error(err)
	}
	t.Log(<-bad)
}

// app takes signed requests as an app does, checking signatures with
// slack-go's verifier.
func app(t *testing.T, s *Server, handle func(w http.ResponseWriter, r *http.Request, body []byte)) {
	t.Helper()
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return
		}
		v, err := slack.NewSecretsVerifier(r.Header, s.Secret())
		if err == nil {
			v.Write(body)
			err = v.Ensure()
		}
		if err != nil {
			t.Error(err)
			w.WriteHeader(http.StatusUnauthorized)
			return
		}
		var challenge struct{ Type, Challenge string }
		if json.Unmarshal(body, &challenge) == nil && challenge.Type == "url_verification" {
			w.Write([]byte(challenge.Challenge))
			return
		}
		r.Body = io.NopCloser(bytes.NewReader(body))
		handle(w, r, body)
	}))
	t.Cleanup(srv.Close)
	if err := s.UseHTTP(t.Context(), srv.URL); err != nil {
		t.Fatal(err)
	}
}

func TestHTTP(t *testing.T) {
	s, _ := start(t, Options{Resend: []time.Duration{0, time.Millisecond}})
	var mu sync.Mutex
	var got []string
	status := http.StatusInternalServerError
	app(t, s, func(w http.ResponseWriter, r *http.Request, body []byte) {
		mu.Lock()
		defer mu.Unlock()
		switch r.URL.Path {
		case "/slack/events":
			e, err := slackevents.ParseEvent(body, slackevents.OptionNoVerifyToken())
			if err != nil {
				t.Error(err)
				return
			}
			got = append(got, fmt.Sprintf("%s %s %s", e.InnerEvent.Type, r.Header.Get("X-Slack-Retry-Num"), r.Header.Get("X-Slack-Retry-Reason")))
			if len(got) == 4 {
				w.Header().Set("X-Slack-No-Retry", "1")
			}
			w.WriteHeader(status)
		case "/slack/commands":
			c, err := slack.SlashCommandParse(r)
			if err != nil || c.UserID != ana || c.Text != "gap 54" {
				t.Errorf("%+v %v", c, err)
			}
			fmt.Fprint(w, "plain words")
		case "/slack/interactions":
			x, err := slack.InteractionCallbackParse(r)
			if err != nil || x.CallbackID != "new_door" {
				t.Errorf("%+v %v", x, err)
			}
			w.WriteHeader(status)
		}
	})
	s.Emit(map[string]any{"type": "app_uninstalled"})
	until(t, s, "given up", func() bool { return s.Stats().GivenUp == 1 })
	s.Emit(map[string]any{"type": "app_uninstalled"})
	until(t, s, "given up at once", func() bool { return s.Stats().GivenUp == 2 })
	mu.Lock()
	want := []string{"app_uninstalled  ", "app_uninstalled 1 http_error", "app_uninstalled 2 http_error", "app_uninstalled  "}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	mu.Unlock()
	if err := s.Shortcut(ana, "new_door"); err == nil {
		t.Error("an error answer to a shortcut is a failure")
	}
	mu.Lock()
	status = http.StatusOK
	mu.Unlock()
	if err := s.Shortcut(ana, "new_door"); err != nil {
		t.Error(err)
	}
	if err := s.Command(ana, lane, "/door", "gap 54"); err != nil {
		t.Error(err)
	}
	if e := s.Ephemerals(ana); len(e) != 1 || e[0].Text != "plain words" {
		t.Errorf("%+v", e)
	}
	if err := s.UseHTTP(t.Context(), s.URL()); err == nil {
		t.Error("an address that does not know the challenge was taken")
	}
}

// An app that takes too long, over HTTP.
func TestHTTPTimeout(t *testing.T) {
	s, _ := start(t, Options{Ack: 20 * time.Millisecond, Resend: []time.Duration{0}})
	app(t, s, func(w http.ResponseWriter, r *http.Request, _ []byte) { <-r.Context().Done() })
	s.Emit(map[string]any{"type": "app_uninstalled"})
	until(t, s, "given up", func() bool { return s.Stats().GivenUp == 1 && s.Stats().Lost == 2 })
	if err := s.Command(ana, lane, "/door", "gap 54"); !errors.Is(err, ErrTimeout) {
		t.Error(err)
	}
}

// A burst of events over two sockets: all acknowledged, none twice.
func TestBurst(t *testing.T) {
	s, api := start(t, Options{Ack: time.Minute})
	for range 2 {
		listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) { c.Ack(*e.Request) })
	}
	for i := range 2000 {
		s.Say(lane, ana, fmt.Sprint("gap ", i), "")
	}
	until(t, s, "acknowledged", func() bool { return s.Stats().Acked == 2000 })
	d := s.Delays()
	t.Logf("2,000 events at once: half acknowledged within %v, all within %v", d[1000], d[1999])
	if n := s.Stats(); n.Sent != 2000 || n.Unknown+n.Late > 0 {
		t.Errorf("%+v", n)
	}
}
