package fake

import (
	"net/http"
	"slices"
	"strconv"
	"time"
)

// Fault is what goes wrong with calls of the Web API, response URLs and
// uploads. The reply that is lost after a post was stored is
// {After: true, Cut: true}.
type Fault struct {
	Method     string        // response_url and upload too; "": every call
	Every      int           // each n-th call; 0: each
	Times      int           // as often as that; 0: until Mend
	After      bool          // it is carried out first, and fails then
	Delay      time.Duration // before anything
	Cut        bool          // the connection ends without an answer
	Status     int           // an HTTP status, no JSON: 500, 429
	RetryAfter int           // seconds, beside a 429; 0: no such header
	Code       string        // ok: false with this code

	seen, done int
}

// Break sets a fault. The first of several that fits a call is used.
func (s *Server) Break(f Fault) { s.do(func() { s.faults = append(s.faults, &f) }) }

// Mend takes all faults and troubles away.
func (s *Server) Mend() {
	s.do(func() { s.faults = nil })
	s.Trouble(Trouble{})
}

// fault finds the fault of this call, one of nothing if there is none. The
// lock is held.
func (s *Server) fault(method string) Fault {
	for _, f := range s.faults {
		if f.Method != "" && f.Method != method {
			continue
		}
		f.seen++
		if f.Every > 1 && f.seen%f.Every != 0 || f.Times > 0 && f.done >= f.Times {
			continue
		}
		f.done++
		return *f
	}
	return Fault{}
}

// breakDown answers as the fault says; a mere delay leaves the answer alone.
func (s *Server) breakDown(w http.ResponseWriter, method string, f Fault) bool {
	word := f.Code
	switch {
	case f.Cut:
		word = "connection cut"
	case f.Status != 0:
		word = strconv.Itoa(f.Status)
	case f.Code == "":
		return false
	}
	s.do(func() { s.refused = append(s.refused, Refusal{Method: method, Code: word}) })
	switch {
	case f.Cut:
		panic(http.ErrAbortHandler)
	case f.Status != 0:
		if f.RetryAfter > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(f.RetryAfter))
		}
		w.Header().Set("Content-Type", "text/html")
		w.WriteHeader(f.Status)
	default:
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.Write([]byte(`{"ok":false,"error":` + strconv.Quote(f.Code) + `}`))
	}
	return true
}

// Trouble is what goes wrong on the way to the app. Each number n stands for
// each n-th time, 0 for never.
type Trouble struct {
	Duplicate int // an event is sent twice, in two envelopes
	Swap      int // an event is kept back until after the next one
	CutSend   int // a socket ends right after an envelope was written to it
	LoseAck   int // an answer is lost, and the socket with it
	CutAck    int // a socket ends once an answer was read
}

// Trouble sets what goes wrong on the way to the app, in place of what was set.
func (s *Server) Trouble(t Trouble) {
	s.do(func() {
		s.trouble = t
		clear(s.counts)
		if d := s.held; d != nil {
			s.held = nil
			s.send(d)
		}
	})
}

// struck counts one thing and says whether it is a n-th. The lock is held.
func (s *Server) struck(what string, n int) bool {
	if n == 0 {
		return false
	}
	s.counts[what]++
	return s.counts[what]%n == 0
}

// Tamper has f change each payload before it is sent; kind is the type of the
// envelope. nil ends it. f runs inside the server and must not call it.
func (s *Server) Tamper(f func(kind string, payload map[string]any)) {
	s.do(func() { s.tamper = f })
}

// UnknownElement, for Tamper, puts an element that no library knows into the
// message or view of an interaction.
func UnknownElement(kind string, payload map[string]any) {
	strange := map[string]any{"type": "actions", "block_id": "strange",
		"elements": []any{map[string]any{"type": "dial_from_next_year", "action_id": "turn"}}}
	for _, name := range []string{"message", "view"} {
		if part, ok := payload[name].(map[string]any); ok && kind == "interactive" {
			blocks, _ := part["blocks"].([]any)
			part["blocks"] = append(slices.Clone(blocks), strange)
		}
	}
}

// ForgetTokens makes each call fail with this error, as token_revoked or
// account_inactive; "" ends that.
func (s *Server) ForgetTokens(code string) { s.do(func() { s.revoked = code }) }

// SetScopes gives the bot's token these scopes and no others.
func (s *Server) SetScopes(scopes ...string) { s.do(func() { s.scopes = scopes }) }

// RefuseTables has each message with a table refused, as by a Slack that does not
// show them.
func (s *Server) RefuseTables() { s.do(func() { s.noTables = true }) }
