package fake

import (
	"net/http"
	"time"
)

// serveHook is the far end of a response URL.
func (s *Server) serveHook(w http.ResponseWriter, r *http.Request) {
	c, err := parseCall(r)
	if err != nil {
		s.answer(w, "response_url", nil, refuse("invalid_payload", err.Error()))
		return
	}
	s.mu.Lock()
	h := s.hooks[r.PathValue("key")]
	word := ""
	switch {
	case h == nil:
		word = "no_such_url"
	case !time.Now().Before(h.end):
		word = "expired_url"
	case h.uses >= maxUses:
		word = "used_url"
	}
	if word != "" {
		s.calls["response_url"]++
		s.refused = append(s.refused, Refusal{Method: "response_url", Code: word})
		s.change()
	}
	s.mu.Unlock()
	if word != "" {
		http.Error(w, word, http.StatusNotFound)
		return
	}
	s.do(w, r, "response_url", func() (reply, error) {
		h.uses++
		return reply{}, s.respond(h, c.args)
	})
}
