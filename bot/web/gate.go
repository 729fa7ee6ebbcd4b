package web

import (
	"crypto/subtle"
	"net/http"
	"net/url"
	"strings"

	"heelpost/bot/say"
)

// Gate is whom the room lets in. Whoever knows its address may come in, and a
// browser is held to it: a page from elsewhere, open in the same browser, can
// neither read the room nor write to it.
type Gate struct {
	Token string // the first part of every path
	Host  string // what the browser calls us, with the port
	TLS   bool   // the browser speaks to a proxy over https
	// SignIn names the header in which a proxy says who somebody is; "" if
	// everybody may be anybody.
	SignIn string
}

// origin is where our own pages are from.
func (g *Gate) origin() string {
	if g.TLS {
		return "https://" + g.Host
	}
	return "http://" + g.Host
}

// policy is what a page may load and do: what is ours, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// Limits of a request.
const (
	mostBody   = 64 << 10
	mostHeader = 16 << 10
	mostPages  = 256 // that are open at once
)

// let returns next behind the gate.
func (r *Room) let(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		h := w.Header()
		for name, value := range map[string]string{
			"Content-Security-Policy": policy, "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "Cache-Control": "no-store",
			"Permissions-Policy": "camera=(), geolocation=(), microphone=()",
		} {
			h.Set(name, value)
		}
		switch {
		case q.Host != r.Gate.Host: // a name that somebody else points at us
			r.refuse(w, http.StatusMisdirectedRequest, say.F("this room is at %s and nowhere else", r.Gate.origin()))
		case !r.Gate.knows(q.URL.Path):
			r.refuse(w, http.StatusNotFound, say.F("there is nothing here: open the address that was shown when the room was started"))
		case !r.Gate.own(q):
			r.refuse(w, http.StatusForbidden, say.F("this came from a page that is not of this room: nothing was done"))
		default:
			q.Body = http.MaxBytesReader(w, q.Body, mostBody)
			next.ServeHTTP(w, q)
		}
	})
}

// knows reports whether a path begins with the token.
func (g *Gate) knows(path string) bool {
	token, _, _ := strings.Cut(strings.TrimPrefix(path, "/"), "/")
	return g.Token != "" && subtle.ConstantTimeCompare([]byte(token), []byte(g.Token)) == 1
}

// own reports whether a request was made by a page of ours or by hand. What
// changes something must show that: by its origin, or, where a browser leaves
// that out because we tell it to send no referrer, by its word that the page
// is of the same origin (Fetch Living Standard, "append a request `Origin`
// header"; W3C Fetch Metadata). A link from elsewhere may open a page: that page
// is not readable there.
func (g *Gate) own(q *http.Request) bool {
	site, origin := q.Header.Get("Sec-Fetch-Site"), q.Header.Get("Origin")
	if q.Method == http.MethodGet || q.Method == http.MethodHead {
		opened := q.Header.Get("Sec-Fetch-Mode") == "navigate" && q.Header.Get("Sec-Fetch-Dest") == "document"
		return (site == "" || site == "none" || site == "same-origin" || opened) && (origin == "" || origin == "null" || origin == g.origin())
	}
	switch origin {
	case g.origin():
		return site == "" || site == "same-origin"
	case "", "null":
		return site == "same-origin"
	}
	return false
}

// refuse answers a request that is not let in, in words.
func (r *Room) refuse(w http.ResponseWriter, status int, why say.Text) {
	http.Error(w, r.Language.Say(why), status)
}

// address returns a path of the room.
func (g *Gate) address(parts ...string) string {
	path := "/" + g.Token
	for _, p := range parts {
		path += "/" + url.PathEscape(p)
	}
	return path
}
