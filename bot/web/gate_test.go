package web_test

import (
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"heelpost/bot/web"
)

// A page from elsewhere, open in the same browser, can neither read nor post:
// what browsers send of such pages is from the Fetch Living Standard (section
// "Origin header") and W3C Fetch Metadata Request Headers.
func TestGate_Hostile(t *testing.T) {
	w := serve(t)
	host := strings.TrimPrefix(w.server.URL, "http://")
	log, say := w.as("ana", "log"), w.as("ana", "say")
	for name, c := range map[string]struct {
		method, address, host string
		header                map[string]string
		want                  int
	}{
		"opened by hand":                       {"GET", log, host, map[string]string{"Sec-Fetch-Site": "none", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}, 200},
		"a link from elsewhere":                {"GET", log, host, map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}, 200},
		"a frame elsewhere":                    {"GET", log, host, map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "iframe"}, 403},
		"a script elsewhere":                   {"GET", log, host, map[string]string{"Origin": "http://evil.example", "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "cors"}, 403},
		"another port of this machine":         {"GET", log, host, map[string]string{"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "no-cors"}, 403},
		"an old browser's script elsewhere":    {"GET", log, host, map[string]string{"Origin": "http://evil.example"}, 403},
		"a name that points here":              {"GET", log, "evil.example:" + strings.Split(host, ":")[1], nil, 421},
		"another name of this machine":         {"GET", log, "localhost:" + strings.Split(host, ":")[1], nil, 421},
		"no port":                              {"GET", log, strings.Split(host, ":")[0], nil, 421},
		"another token":                        {"GET", strings.Replace(log, token, "TOKENTOKENTOKENTOKEM", 1), host, nil, 404},
		"no token":                             {"GET", w.server.URL + "/", host, nil, 404},
		"our own form":                         {"POST", say, host, map[string]string{"Origin": w.server.URL, "Sec-Fetch-Site": "same-origin"}, 200},
		"our own form, as we send no referrer": {"POST", say, host, map[string]string{"Origin": "null", "Sec-Fetch-Site": "same-origin"}, 200},
		"an old browser's own form":            {"POST", say, host, map[string]string{"Origin": w.server.URL}, 200},
		"a form elsewhere":                     {"POST", say, host, map[string]string{"Origin": "http://evil.example", "Sec-Fetch-Site": "cross-site"}, 403},
		"a form elsewhere that hides itself":   {"POST", say, host, map[string]string{"Origin": "null", "Sec-Fetch-Site": "cross-site"}, 403},
		"a form on another port":               {"POST", say, host, map[string]string{"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": "same-site"}, 403},
		"a form that says nothing of itself":   {"POST", say, host, nil, 403},
		"a form that hides, in an old browser": {"POST", say, host, map[string]string{"Origin": "null"}, 403},
	} {
		before := plain(w.get(log))
		q, err := http.NewRequestWithContext(t.Context(), c.method, c.address, strings.NewReader(url.Values{"text": {"hostile words"}, "nonce": {name}}.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		q.Host = c.host
		for k, v := range c.header {
			q.Header.Set(k, v)
		}
		r, err := http.DefaultClient.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != c.want {
			t.Errorf("%s: status %d, want %d: %s", name, r.StatusCode, c.want, body)
		}
		if c.want != http.StatusOK && (strings.Contains(string(body), "Orchard") || plain(w.get(log)) != before) {
			t.Errorf("%s: it read or posted something: %s", name, body)
		}
		for header, want := range map[string]string{"Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "Cross-Origin-Resource-Policy": "same-origin", "Access-Control-Allow-Origin": "", "Set-Cookie": ""} {
			if got := r.Header.Get(header); got != want {
				t.Errorf("%s: %s is %q, want %q", name, header, got, want)
			}
		}
		if csp := r.Header.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'; script-src 'self';") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: policy %q", name, csp)
		}
	}
}

// Too much at once is refused, and so are more pages than there is room for.
func TestGate_Limits(t *testing.T) {
	w := serve(t)
	if status, body := w.post(w.as("ana", "say"), url.Values{"text": {strings.Repeat("a", 65<<10)}}); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a text of 65 KiB: status %d: %s", status, body)
	}
	for range 256 {
		w.stream(w.as("ana", "events?page=home"), "")
	}
	r, err := http.Get(w.as("ana", "events?page=home"))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if r.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("page 257: status %d", r.StatusCode)
	}
}

// Behind a proxy people are who its header says, and nobody else.
func TestGate_SignIn(t *testing.T) {
	w := serve(t, func(r *web.Room) {
		r.Gate.SignIn, r.Gate.Host, r.Gate.TLS, r.Guest = "X-Office-User", "room.example.org", true, false
	})
	ask := func(path, user string) (int, string) {
		q, err := http.NewRequestWithContext(t.Context(), http.MethodGet, w.server.URL+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		q.Host = "room.example.org"
		if user != "" {
			q.Header.Set("X-Office-User", user)
		}
		r, err := http.DefaultTransport.RoundTrip(q)
		if err != nil {
			t.Fatal(err)
		}
		defer r.Body.Close()
		body, _ := io.ReadAll(r.Body)
		return r.StatusCode, r.Header.Get("Location") + string(body)
	}
	channel := "/doors-orchard-lane/"
	for _, c := range []struct {
		path, user string
		status     int
		want       string
	}{
		{"/" + token + "/", "ana", 303, "/" + token + "/ana" + channel + "log"},
		{"/" + token + "/", "", 403, "does not say who you are"},
		{"/" + token + "/ana" + channel + "log", "ana", 200, "Ana Tarrow, fitter"},
		{"/" + token + "/mo" + channel + "log", "ana", 403, "somebody else"},
		{"/" + token + "/ana" + channel + "log", "", 403, "somebody else"},
		{"/" + token + "/stranger" + channel + "log", "stranger", 200, "stranger, guest"},
	} {
		if status, body := ask(c.path, c.user); status != c.status || !strings.Contains(body, c.want) {
			t.Errorf("%s as %q: status %d, want %d with %q: %s", c.path, c.user, status, c.status, c.want, plain(body))
		} else if strings.Contains(body, "be somebody else") && status == 200 {
			t.Errorf("%s as %q: one may be somebody else", c.path, c.user)
		}
	}
}

// What people write is shown as text, whatever it is.
func TestGate_Markup(t *testing.T) {
	w := serve(t)
	w.say("ana", "", `<img src=x onerror=alert(1)> "><script>alert(2)</script> gap 44 65`)
	page := w.get(w.as("bo", "log"))
	for _, bad := range []string{"<img", "<script>alert", "onerror=alert(1)>"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page has %s", bad)
		}
	}
	has(t, page, "&lt;img src=x onerror=alert(1)&gt;")
}
