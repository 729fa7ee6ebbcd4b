package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// The room is proved in a browser only where HEELPOST_BROWSER names the folder
// in which npm has put axe-core: Chromium must be there then.
func browser(t *testing.T) (ctx context.Context, axe string) {
	t.Helper()
	folder := os.Getenv("HEELPOST_BROWSER")
	if folder == "" {
		t.Skip("HEELPOST_BROWSER names no folder with axe-core")
	}
	data, err := os.ReadFile(filepath.Join(folder, "node_modules/axe-core/axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal(err)
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, flag := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(flag, true))
	}
	ctx, stop := chromedp.NewExecAllocator(t.Context(), append(options, chromedp.WSURLReadTimeout(2*time.Minute))...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx, string(data)
}

// room is a process that serves a room.
type room struct {
	t    *testing.T
	args []string
	bin  string
	cmd  *exec.Cmd
	url  string
}

// openRoom starts one and waits for its address.
func openRoom(t *testing.T, args ...string) *room {
	r := &room{t: t, args: append([]string{"try"}, args...), bin: build(t)}
	r.start()
	t.Cleanup(r.kill)
	return r
}

// start starts the process.
func (r *room) start() {
	r.t.Helper()
	r.cmd = exec.CommandContext(context.WithoutCancel(r.t.Context()), r.bin, r.args...)
	var out lines
	r.cmd.Stdout, r.cmd.Stderr = &out, &out
	if err := r.cmd.Start(); err != nil {
		r.t.Fatal(err)
	}
	r.url = out.await(r.t, `http://[^ ]+`)
}

// kill kills it at once.
func (r *room) kill() {
	if err := r.cmd.Process.Kill(); err == nil {
		r.cmd.Wait() //nolint:errcheck // it was killed
	}
}

// lines are what a process writes.
type lines struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

// await waits until something that matches was written, and returns it.
func (l *lines) await(t *testing.T, pattern string) string {
	t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		l.mu.Lock()
		found := regexp.MustCompile(pattern).FindString(l.text.String())
		l.mu.Unlock()
		if found != "" {
			return found
		}
	}
	t.Fatalf("no %s in %s", pattern, l.text.String())
	return ""
}

// tab is a page in the browser, as somebody.
type tab struct {
	t    *testing.T
	ctx  context.Context
	base string
}

// tab opens a tab for a person.
func (r *room) tab(ctx context.Context, who, path string) *tab {
	r.t.Helper()
	ctx, stop := chromedp.NewContext(ctx)
	r.t.Cleanup(stop)
	p := &tab{r.t, ctx, r.url + who + "/heron-quay/"}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 900)); err != nil {
		r.t.Fatal(err)
	}
	p.open(p.base + path)
	return p
}

// do carries out actions in the tab, and tells how its page ends if one fails.
func (p *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 90*time.Second)
	defer stop()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.fail(err.Error())
	}
}

func (p *tab) fail(why string) {
	p.t.Helper()
	text, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string]("location.pathname.slice(27) + document.body.innerText.slice(-1500)"))
	p.t.Fatalf("%s; the page ends: %s", why, text)
}

// eval returns what an expression comes to on the page.
func eval[T any](p *tab, expression string) T {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 90*time.Second)
	defer stop()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.fail(err.Error())
	}
	return v
}

// until waits until an expression is true on the page. The page's policy keeps
// out what a browser's driver would put into it to wait there.
func (p *tab) until(expression string) {
	p.t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if ok, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("!!("+expression+")")); err == nil && ok {
			return
		}
	}
	p.fail("it never comes true: " + expression)
}

// open opens a page of the room.
func (p *tab) open(address string) {
	p.t.Helper()
	p.do(chromedp.Navigate(address), chromedp.WaitReady(chromedp.CSS("main")))
}

// write writes into the field at the foot of the page, sends it by key, and
// waits until it has gone.
func (p *tab) write(text string) {
	p.t.Helper()
	p.until(`document.querySelector("#text").value === "" && !document.querySelector(".write").dataset.busy`)
	p.do(chromedp.SendKeys(chromedp.CSS("#text"), text+"\r"))
	p.until(`document.querySelector("#text").value === ""`)
}

// press presses the last button of a label.
func (p *tab) press(label string) {
	p.t.Helper()
	find := fmt.Sprintf(`[...document.querySelectorAll("button")].filter((b) => b.textContent.trim() === %q).at(-1)`, label)
	p.until(find)
	eval[bool](p, find+".click() || true")
}

// sees waits until the page has a text, without reading it again.
func (p *tab) sees(text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.body.textContent.replace(/\s+/g, " ").includes(%q)`, text))
}

// fill writes into the one field of a form that may be filled in, and sends it.
func (p *tab) fill(field, text string) {
	p.t.Helper()
	p.do(chromedp.WaitReady(chromedp.CSS("form.fill")), chromedp.SendKeys(chromedp.CSS(field), text), chromedp.Click(chromedp.CSS(".main-button")))
}

// redisServer starts a Redis that writes down every change.
func redisServer(t *testing.T) (url string) {
	t.Helper()
	path, err := exec.LookPath("redis-server")
	switch {
	case err != nil && os.Getenv("HEELPOST_BROWSER")+os.Getenv("HEELPOST_NEED_REDIS") != "":
		t.Fatal(err)
	case err != nil:
		t.Skip("redis-server is missing: this test is not run (apt-get install redis-server)")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, port, _ := net.SplitHostPort(l.Addr().String())
	l.Close()
	cmd := exec.CommandContext(t.Context(), path, "--port", port, "--bind", "127.0.0.1", "--dir", t.TempDir(), "--save", "", "--appendonly", "yes", "--appendfsync", "always", "--maxmemory-policy", "noeviction")
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() }) //nolint:errcheck // it is killed
	for range 200 {
		c, err := net.Dial("tcp", "127.0.0.1:"+port)
		if err == nil {
			c.Close()
			return "redis://127.0.0.1:" + port
		}
		time.Sleep(20 * time.Millisecond)
	}
	t.Fatal("the redis-server does not answer")
	return ""
}

// Three people in three tabs: a question with its follow-up, a door from the
// form to the parked leaf, the cure's end as the clock moves, and the handover;
// in the middle the process is killed twice and started again on its Redis.
func TestBrowser_Demo(t *testing.T) {
	ctx, _ := browser(t)
	r := openRoom(t, "--redis", redisServer(t), "--listen", "127.0.0.1:"+freePort(t))
	una, pat, gwen := r.tab(ctx, "una", "log"), r.tab(ctx, "pat", "log"), r.tab(ctx, "gwen", "log")
	una.write("gap 44 thick, 65 setback, 1050 wide")
	una.sees("heel gap 6 mm")
	pat.sees("heel gap 6 mm") // as it is said
	shown := `[...[...document.querySelectorAll("#said .drawn")].at(-1).children].map((d) => d.firstElementChild).filter((s) => s.checkVisibility()).map((s) => s.getAttribute("aria-label")).join("\n")`
	if alt := eval[string](pat, shown); !strings.Contains(alt, "6 mm") || strings.Contains(alt, "\n") {
		t.Errorf("pat sees pictures of %q", alt)
	}
	una.write("and with 60 thick")
	una.sees("thickness 60 mm")
	una.until(`document.querySelector('#said .drawn [aria-label*="thickness 60 mm"]')`) // and it is drawn again

	una.write("door open C-1 1000x2300x46 setback 65 opening 1018x2322 lean heel 0 lean lead 0 floor fall level mass 84kg floor screed both ways ordinary sheet wharf crew @una @pat foreman @gwen")
	una.sees("C-1 is open: its work goes on there")
	una.open(una.base + "door?door=C-1")
	pat.open(pat.base + "door?door=C-1")
	una.press("Tick 2 datum")
	pat.sees("ticked 2 datum")
	una.write("tick datum")
	pat.sees("ticked 2 datum")
	pat.write("tick second")
	una.sees("ticked 3 second")

	r.kill()
	una.sees("The room does not answer")
	r.start()
	for _, text := range []string{"tick joint", "tick carrier", "tick room", "photo opening-photo in the site folder", "tick centre"} {
		una.write(text)
	}
	una.sees("ticked 8 centre")
	pat.sees("ticked 8 centre") // its page was away and has found the room again by itself
	una.press("Readings")
	una.fill(`[name="f.plumb"]`, "77")
	una.sees("77 mm is out")
	for _, text := range []string{"read plumb 1.5", "tick ordered", "read floor-services 70", "tick bit", "tick floor-dry-fit", "tick floor-drilled", "tick sound", "tick floor-clean",
		"read floor-temperature 14 °C", "mix floor batch R30 expires 2028-01-31", "bond floor", "tick floor-control", "read head-services none, looked with the locator", "tick head-dry-fit",
		"tick head-drilled", "tick head-fixed", "tick limits", "tick lift", "tick zone", "tick company", "read wind 2", "tick stood", "tick engaged", "tick parked"} {
		una.write(text)
		una.sees(text)
	}
	pat.sees("ticked 32 parked")
	r.kill() // with pages open and a cure running
	r.start()

	gwen.open(gwen.base + "door?door=C-1")
	for range 5 { // over the weekend: on Friday afternoon nobody is there to be told
		was := eval[string](gwen, `document.getElementById("clock").textContent`)
		gwen.do(chromedp.Click(chromedp.CSS("details.menu summary")), chromedp.Click(chromedp.CSS(`button[value="morning"]`)))
		gwen.until(fmt.Sprintf(`document.getElementById("clock").textContent.slice(0, 14) !== %q && !document.querySelector("form.drop").dataset.busy`, was[:14]))
	}
	gwen.sees("Said on the way: ")
	gwen.until(`document.querySelector('#moved a[href="door?door=C-1"]') && document.querySelector("#strip [aria-current]").textContent.startsWith("C-1")`)
	una.sees("check the control sample. Until then the leaf stays still")
	una.write("tick floor-sample")
	pat.sees("ticked 33 floor-sample")
	for _, text := range []string{"tick adjust", "read heel-top 9", "read heel-bottom 9", "read lead-top 9", "read lead-bottom 9", "read closing-time 8 s", "read opening-force 29 N",
		"photo door-photo in the site folder", "tick shown"} {
		una.write(text)
		una.sees(text)
	}
	gwen.press("Snag")
	gwen.fill("form.fill textarea, form.fill input[type=text]", "scratch at the lower corner")
	una.sees("snag s1 opened")
	una.write("close s1 polished out")
	gwen.sees("snag s1 closed")
	una.write("hand over")
	gwen.sees("handed over")

	before := una.said()
	r.kill()
	r.start()
	una.open(una.base + "door?door=C-1")
	if after := una.said(); after != before || strings.Count(after, "handed over") == 0 {
		t.Errorf("after a restart the log is another:\n%s\nand was\n%s", after, before)
	}
}

// said is what stands in the log of a page.
func (p *tab) said() string {
	p.t.Helper()
	return eval[string](p, `[...document.querySelectorAll("#said .line")].map((l) => l.textContent.replace(/\s+/g, " ")).join("\n")`)
}

func freePort(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	return port
}

// Everybody can use every page: axe-core finds nothing in light and dark, at
// the width of a phone and of a desk; no page is wider than its window, and
// none speaks to anybody but the room.
func TestBrowser_Everybody(t *testing.T) {
	ctx, axe := browser(t)
	r := openRoom(t, "--listen", "127.0.0.1:0")
	p := r.tab(ctx, "una", "log")
	p.write("gap 44 thick, 65 setback, 1050 wide")
	p.sees("heel gap 6 mm")
	p.write("gap 1,200 65")
	p.write("gap 44")
	screens := map[string]string{"entrance": r.url, "log": p.base + "log", "door": p.base + "door?door=B-206", "door-done": p.base + "door?door=B-201", "home": p.base + "home",
		"home-foreman": r.url + "gwen/heron-quay/home", "board": p.base + "board", "form-open": p.base + "form?id=open&door=", "form-readings": p.base + "form?id=readings&door=B-203",
		"form-refused": r.url + "guest/heron-quay/form?id=readings&door=B-203"}
	for name, address := range screens {
		for _, width := range []int64{390, 1280} {
			for _, scheme := range []string{"light", "dark"} {
				p.do(chromedp.EmulateViewport(width, 844), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
					_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
					return err
				}))
				p.open(address)
				p.judge(axe, fmt.Sprintf("%s-%d-%s", name, width, scheme))
			}
		}
	}
}

// judge holds the page that is open against axe-core, and keeps a picture of it
// where HEELPOST_PICTURES names a folder.
func (p *tab) judge(axe, name string) {
	p.t.Helper()
	eval[int](p, axe+"; 0")
	if found := eval[string](p, `document.querySelectorAll("details").forEach((d) => { d.open = !d.matches(".menu"); });
		axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then((r) => r.violations.map((v) =>
			v.id + ": " + v.help + ": " + v.nodes.map((n) => n.html.slice(0, 200) + " " + n.any.map((a) => a.message).join(" ")).join(" | ")).join("\n"))`); found != "" {
		p.t.Errorf("%s: %s", name, found)
	}
	wide := eval[bool](p, "document.documentElement.scrollWidth > innerWidth")
	elsewhere := eval[string](p, `performance.getEntriesByType("resource").map((e) => e.name).filter((n) => !n.startsWith(location.origin)).join(" ")`)
	if wide || elsewhere != "" {
		p.t.Errorf("%s: wider than its window: %v; it loads %q", name, wide, elsewhere)
	}
	if folder := os.Getenv("HEELPOST_PICTURES"); folder != "" {
		picture, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
		if err != nil {
			p.t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name+".png"), picture, 0o644); err != nil {
			p.t.Fatal(err)
		}
	}
}

// Without a script everything works by reading the page again.
func TestBrowser_NoScript(t *testing.T) {
	ctx, _ := browser(t)
	r := openRoom(t, "--listen", "127.0.0.1:0")
	p := r.tab(ctx, "ivo", "log")
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
	named := func(label string) chromedp.Action[chromedp.Void] {
		return chromedp.Click(fmt.Sprintf(`//button[normalize-space()=%q]`, label))
	}
	p.open(p.base + "door?door=B-211")
	p.do(chromedp.SendKeys(chromedp.CSS("#text"), "gap"), named("Send"))
	p.shows("heel gap 6 mm")
	p.do(named("Next"))
	p.shows("[Next]")
	p.do(named("Snag"), chromedp.WaitReady(chromedp.CSS("form.fill")), chromedp.Click(chromedp.CSS(".main-button")))
	p.shows(`class="wrong"`)
	p.fill("form.fill textarea, form.fill input[type=text]", "loose lining")
	p.shows("snag s1 opened: loose lining")
	p.do(chromedp.Click(chromedp.CSS("details.menu summary")), chromedp.Click(chromedp.CSS(`button[value="hour"]`)))
	p.shows("2027-11-11 11:0")
}

// shows waits until the page that is being loaded has a text.
func (p *tab) shows(text string) {
	p.t.Helper()
	html := ""
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		var err error
		if html, err = chromedp.Run(p.ctx, chromedp.OuterHTML(chromedp.CSS("html"))); err == nil && strings.Contains(strings.ReplaceAll(html, "&nbsp;", " "), text) {
			return
		}
	}
	p.t.Fatalf("the page never shows %q: %.3000s", text, html[max(0, len(html)-6000):])
}

// A drawing that stands alone is valid to a browser, and written with the letters
// that it brings along.
func TestBrowser_SVG(t *testing.T) {
	ctx, _ := browser(t)
	path := filepath.Join(t.TempDir(), "plan.svg")
	var out strings.Builder
	if run(t.Context(), []string{"ask", "--picture", path, "gap 44 thick, 65 setback, 1050 wide"}, strings.NewReader(""), &out, &out) != answered {
		t.Fatal(out.String())
	}
	p := &tab{t, ctx, ""}
	p.do(chromedp.Navigate("file://" + path))
	p.until(`document.fonts.status === "loaded" && document.fonts.check("14px Heelpost")`)
	if found := eval[string](p, `[...document.querySelectorAll("parsererror")].map((e) => e.textContent).join() + [...document.querySelectorAll("text")].filter((l) => {
			const fitted = Number(l.getAttribute("textLength"));
			l.removeAttribute("textLength");
			return Math.abs(l.getComputedTextLength() / fitted - 1) > 0.02;
		}).map((l) => l.textContent).join()`); found != "" || !eval[bool](p, `document.documentElement.localName === "svg" && document.querySelectorAll("text").length > 8`) {
		t.Errorf("a browser finds: %s", found)
	}
}

// A hostile page on another port of this machine, open in the same browser and
// told the whole address, can neither read the room nor write to it.
func TestBrowser_Hostile(t *testing.T) {
	ctx, _ := browser(t)
	r := openRoom(t, "--listen", "127.0.0.1:0")
	mine := r.tab(ctx, "una", "log")
	before := mine.said()
	evil := &tab{t, mine.ctx, ""}
	address := hostile(t)
	evil.do(chromedp.Navigate(address))
	got := eval[string](evil, fmt.Sprintf(`(async () => {
		const base = %q, out = [];
		for (const [name, path, init] of [["read", "log", {}], ["read blind", "log", {mode: "no-cors"}], ["post", "say", {method: "POST", body: new URLSearchParams({text: "hostile words", nonce: "1"})}],
			["post blind", "say", {method: "POST", mode: "no-cors", body: new URLSearchParams({text: "hostile words", nonce: "2"})}], ["say who", "log", {headers: {"X-Script": "1"}}]]) {
			try { const r = await fetch(base + path, init); const text = await r.text(); if (text) out.push(name + ": " + text.slice(0, 40)); } catch (e) { /* as it must be */ }
		}
		const stream = new EventSource(base + "events?page=log");
		await new Promise((done) => { stream.onopen = () => { out.push("stream"); done(); }; stream.onerror = () => { stream.close(); done(); }; });
		const frame = document.createElement("iframe");
		frame.src = base + "log"; document.body.append(frame);
		await new Promise((done) => { frame.onload = done; setTimeout(done, 3000); });
		try { if (frame.contentDocument?.getElementById("said")) out.push("frame"); } catch (e) { /* as it must be */ }
		const image = new Image(); image.src = base.split("/").slice(0, 4).join("/") + "/file/icon.svg";
		await new Promise((done) => { image.onload = () => { out.push("image"); done(); }; image.onerror = done; });
		return out.join("; ");
	})()`, mine.base))
	if got != "" {
		t.Errorf("a page elsewhere got: %s", got)
	}
	eval[int](evil, fmt.Sprintf(`{ const f = document.createElement("form"); f.method = "post"; f.action = %q; f.innerHTML = '<input name="text" value="hostile words"><input name="nonce" value="3">'; document.body.append(f); f.submit(); } 0`, mine.base+"say"))
	evil.sees("nothing was done")
	mine.open(mine.base + "log")
	if after := mine.said(); after != before {
		t.Errorf("a page elsewhere wrote: %s", after)
	}
}

// hostile serves a page that is not of the room.
func hostile(t *testing.T) string {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		io.WriteString(w, "<!doctype html><title>elsewhere</title><body>") //nolint:errcheck // the test would see
	}))
	t.Cleanup(s.Close)
	return s.URL
}
