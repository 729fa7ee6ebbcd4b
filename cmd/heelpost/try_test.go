package main

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"
)

// trying runs try until the test ends, and returns the address that it prints
// and what else it says.
func trying(t *testing.T, args ...string) (address, said string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	var out lines
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, append([]string{"try"}, args...), strings.NewReader(""), &out, &out) }()
	t.Cleanup(func() {
		if stop(); <-ended != answered {
			t.Errorf("it ended badly: %s", out.text.String())
		}
	})
	text := out.await(t, `Open http[^ ]+ in a browser\.\n.*\n`)
	return regexp.MustCompile(`http[^ ]+`).FindString(text), text
}

// asks sends a request to a room, as a browser does from a page of it.
func asks(t *testing.T, method, address string, values url.Values, header ...string) (status int, body string, err error) {
	t.Helper()
	q, err := http.NewRequestWithContext(t.Context(), method, address, strings.NewReader(values.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Origin", q.URL.Scheme+"://"+q.URL.Host)
	for i := 0; i < len(header); i += 2 {
		q.Header.Set(header[i], header[i+1])
	}
	if q.Header.Get("Host") != "" {
		q.Host = q.Header.Get("Host")
		q.Header.Set("Origin", "https://"+q.Host)
	}
	r, err := http.DefaultTransport.RoundTrip(q)
	if err != nil {
		return 0, "", err
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	return r.StatusCode, r.Header.Get("Location") + string(data), err
}

// The first command of the README opens the room by the address that it prints,
// and says what it is and that nobody signs in; a crew's own sites are the room
// where they are named.
func TestTry(t *testing.T) {
	for _, c := range []struct {
		args        []string
		says, shows string
	}{
		{nil, "a site to try, invented from end to end; nothing said in it is kept; whoever has the address may be anybody in it", "Una Harkin"},
		{[]string{"--sites", "../../testdata/sites", "--sheets", "../../testdata/sheets"}, "the room of your own sites; nothing said in it is kept", "Dee Okafor"},
	} {
		address, said := trying(t, append(c.args, "--listen", "127.0.0.1:0")...)
		if !strings.Contains(said, c.says) {
			t.Errorf("%v: it says %s", c.args, said)
		}
		if status, page, err := asks(t, "GET", address, nil); status != http.StatusOK || !strings.Contains(page, "Who are you?") || !strings.Contains(page, c.shows) {
			t.Errorf("%v: status %d, %v: %s", c.args, status, err, page)
		}
	}
}

// Behind an office's proxy people are who its header says.
func TestTry_SignIn(t *testing.T) {
	listen := "127.0.0.1:" + freePort(t)
	address, said := trying(t, "--sites", "../../testdata/sites", "--sheets", "../../testdata/sheets", "--listen", listen, "--room-url", "https://room.example.org", "--sign-in-header", "X-Office-User")
	if !strings.HasPrefix(address, "https://room.example.org/") || !strings.Contains(said, "people are who the header X-Office-User says") {
		t.Errorf("it says %s", said)
	}
	inside := "http://" + listen + strings.TrimPrefix(address, "https://room.example.org")
	if status, to, err := asks(t, "GET", inside, nil, "Host", "room.example.org", "X-Office-User", "ana"); status != http.StatusSeeOther || !strings.Contains(to, "/ana/doors-orchard-lane/log") {
		t.Errorf("as ana: status %d, %v: %s", status, err, to)
	}
	if status, page, err := asks(t, "GET", inside, nil, "Host", "room.example.org"); status != http.StatusForbidden {
		t.Errorf("as nobody: status %d, %v: %s", status, err, page)
	}
}

// What would let in who should not come in, or nobody, is refused with the
// setting to change.
func TestTry_Refused(t *testing.T) {
	for args, want := range map[string]string{
		"--listen 0.0.0.0:0":                             "not on this machine alone",
		"--listen room.example.org:80":                   "not on this machine alone",
		"--room-url https://room.example.org":            "go together",
		"--sign-in-header X-User":                        "go together",
		"--room-url http://a.example --sign-in-header X": "is not as https://",
		"--sites ../../testdata/sheets":                  "sheets",
	} {
		var out strings.Builder
		ctx, stop := context.WithTimeout(t.Context(), time.Minute)
		status := run(ctx, append([]string{"try"}, strings.Fields(args)...), strings.NewReader(""), &out, &out)
		if stop(); status != theirs || !strings.Contains(out.String(), want) {
			t.Errorf("%s: status %d: %s", args, status, out.String())
		}
	}
}

// The process is killed four times while people work, and started again on its
// Redis: all that they said stands there once, and is answered once. Whoever
// does not know whether it got through sends it once more, as a page does.
func TestTry_Killed(t *testing.T) {
	program, err := exec.LookPath("heelpost")
	if err != nil {
		t.Fatal(err)
	}
	r := &room{t: t, bin: program, args: []string{"try", "--redis", redisServer(t), "--sites", "../../testdata/sites", "--sheets", "../../testdata/sheets", "--listen", "127.0.0.1:" + freePort(t)}}
	r.start()
	t.Cleanup(func() { r.kill() })
	at := r.url + "ana/doors-orchard-lane/"
	say := func(n int, text string) {
		for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
			if status, _, err := asks(t, "POST", at+"say", url.Values{"door": {map[bool]string{true: "A-101"}[n > 0]}, "text": {text}, "nonce": {fmt.Sprint(n)}}, "X-Script", "1"); err == nil && status == http.StatusOK {
				return
			}
		}
		t.Errorf("%s never gets through", text)
	}
	say(0, "door open A-101 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed ordinary both ways sheet orchard crew @ana @bo foreman @mo")
	const most = 24
	sent := make(chan int)
	go func() {
		defer close(sent)
		for n := 1; n <= most; n++ {
			sent <- n
			if n%3 == 0 {
				say(n, fmt.Sprintf("gap %d thick, 65 setback", 30+n))
			} else {
				say(n, fmt.Sprintf("snag number %d.", n))
			}
		}
	}()
	for n := range sent {
		if n%5 == 0 { // while it is being said
			r.kill()
			r.start()
		}
	}
	var log string
	lost := func() (all []string) {
		for n := 1; n <= most; n++ {
			said, answer := fmt.Sprintf("snag number %d.", n), fmt.Sprintf("opened: number %d,", n)
			if n%3 == 0 {
				said, answer = fmt.Sprintf("gap %d thick, 65 setback", 30+n), fmt.Sprintf("for %d thick", 30+n)
			}
			if a, b := strings.Count(log, said+"</p>"), strings.Count(log, answer); a != 1 || b != 1 {
				all = append(all, fmt.Sprintf("%q said %d times, answered %d times", said, a, b))
			}
		}
		return all
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(200 * time.Millisecond) {
		_, page, err := asks(t, "GET", at+"door?door=A-101", nil)
		if _, log, _ = strings.Cut(page, `id="said"`); err == nil && len(lost()) == 0 {
			return
		}
		if time.Now().After(end) {
			t.Fatalf("%v, %s in: %s", err, strings.Join(lost(), "; "), regexp.MustCompile(`<svg.*?</svg>|<[^>]*>|\s+`).ReplaceAllString(strings.ReplaceAll(log, "\n", " "), " "))
		}
	}
}
