package sim

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/slack"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
)

// workspace is a Slack on the far side: people say and press there what they
// do, and each process has an adapter. Calls go from hand to hand, without a
// socket, as one would keep fake time from passing.
type workspace struct {
	*fake.Server
	w *world

	mu      sync.Mutex // what goes on after an acknowledgement runs beside the rest
	drafts  map[string]bot.Post
	news    []fake.Message // posted, and not looked at
	heard   []bot.Message
	turn    int
	refused int      // looked at
	sockets *sockets // if it reaches the processes over those
}

// account returns the user id of somebody there.
func account(id string) string {
	return "U0" + strings.ToUpper(id) + strings.Repeat("0", max(0, 7-len(id)))
}

// aside marks the calls that follow what people did at once.
type aside struct{}

func newWorkspace(w *world, bySocket bool) (*workspace, error) {
	s := &workspace{w: w, drafts: map[string]bot.Post{}}
	var err error
	if s.Server, err = fake.New(fake.Options{Through: s, Ping: 25 * time.Second}); err != nil {
		return nil, err
	}
	for _, pl := range w.places {
		members := []string{fake.Bot, account("zed")}
		for _, p := range append(slices.Clone(pl.people), who{"zed", jobs.Guest}) {
			s.AddPeople(fake.Person{ID: account(p.id), Name: p.id})
			members = append(members, account(p.id))
		}
		s.AddChannels(fake.Channel{ID: pl.channel, Name: pl.id, Members: members})
	}
	if bySocket {
		s.sockets = &sockets{unheard: map[string]message{}}
		return s, nil
	}
	return s, s.UseHTTP(w.ctx, "http://app.invalid")
}

// RoundTrip brings what Slack sends to one of the processes that are up.
func (s *workspace) RoundTrip(r *http.Request) (*http.Response, error) {
	if len(s.w.replicas()) == 0 {
		return challenge(r)
	}
	s.w.gate.pass(func() string { return said(r) })
	s.mu.Lock()
	up := s.w.up()
	s.turn++
	turn := s.turn
	s.mu.Unlock()
	if len(up) == 0 {
		s.w.befall(s.w.now())
		return nil, errDead
	}
	p := up[turn%len(up)]
	r = r.WithContext(context.WithValue(r.Context(), aside{}, true))
	resp := serve(p.adapter.Handler(), r)
	if p.dead.Load() {
		return nil, errDead
	}
	return resp, nil
}

// challenge answers Slack's first request, before there is a process.
func challenge(r *http.Request) (*http.Response, error) {
	var body struct{ Challenge string }
	if err := json.NewDecoder(r.Body).Decode(&body); err != nil {
		return nil, err
	}
	return &http.Response{StatusCode: http.StatusOK, Header: http.Header{}, Body: io.NopCloser(strings.NewReader(body.Challenge))}, nil
}

// said is what a request says, to tell it from others.
func said(r *http.Request) string {
	text := " " + r.URL.Path
	if r.GetBody != nil && !strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") { // whose boundary is by chance
		if body, err := r.GetBody(); err == nil {
			data, _ := io.ReadAll(body)
			text += " " + string(data)
		}
	}
	return text
}

// serve has a handler answer a request; nil if it broke off.
func serve(h http.Handler, r *http.Request) *http.Response {
	defer func() {
		if p := recover(); p != nil && p != http.ErrAbortHandler {
			panic(p)
		}
	}()
	if r.Body == nil {
		r.Body = http.NoBody
	}
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, r)
	return rec.Result()
}

// RoundTrip makes a process's call of the Web API, or lets befall it what must.
func (p *process) RoundTrip(r *http.Request) (*http.Response, error) {
	w, s := p.w, p.w.slack
	w.gate.pass(func() string { return p.name + said(r) })
	now := w.now()
	if p.dead.Load() {
		return nil, errDead
	}
	if k := s.sockets; k != nil && now.Before(k.away.time()) && path.Base(r.URL.Path) == "apps.connections.open" {
		return nil, errFar
	}
	if now.Before(w.farBack.time()) {
		w.befall(w.farBack.time().Add(5 * time.Second))
		return nil, errFar
	}
	kind, wait := p.sent.burn()
	switch {
	case kind == none, kind == stalls && r.Context().Value(aside{}) != nil:
	case kind == stalls:
		p.stand(wait)
	case kind == limited:
		w.befall(now.Add(wait))
		return &http.Response{StatusCode: http.StatusTooManyRequests, Header: http.Header{"Retry-After": {strconv.Itoa(int(wait.Seconds()))}}, Body: http.NoBody, Request: r}, nil
	case kind == dieBefore:
		p.die()
		return nil, errDead
	default:
		w.befall(now)
	}
	if err := r.Context().Err(); err != nil {
		return nil, err
	}
	if kind == lost {
		return nil, errFar
	}
	resp := s.carried(r)
	switch kind {
	case replyLost, silent:
		return nil, errFar
	case dieAfter:
		p.die()
		return nil, errDead
	}
	return resp, nil
}

// carried carries a call out, and notes what was posted.
func (s *workspace) carried(r *http.Request) *http.Response {
	resp := serve(s.Handler(), r)
	if path.Base(r.URL.Path) == "chat.postMessage" {
		data, _ := io.ReadAll(resp.Body)
		resp.Body = io.NopCloser(bytes.NewReader(data))
		var got struct{ Channel, TS string }
		if json.Unmarshal(data, &got) == nil && got.TS != "" {
			m, _ := s.Message(got.Channel, got.TS)
			s.mu.Lock()
			s.news = append(s.news, m)
			s.mu.Unlock()
		}
	}
	return resp
}

// begin gives a process its adapter.
func (s *workspace) begin(p *process, store *reached) (bot.Poster, error) {
	a, err := slack.New(p.ctx, slack.Config{Name: p.name, BotToken: fake.BotToken, AppToken: fake.AppToken, Secrets: []string{s.Secret()}, API: s.URL(), Client: &http.Client{Transport: p},
		Dialer: s.dialer(p), Stagger: 2}) // no chance in when they are opened
	if err != nil {
		return nil, err
	}
	a.Work(store, &ears{p.desk, s}, p.bot)
	p.adapter = a
	return &poster{a, s}, nil
}

// ears notes what was received: it is to be answered.
type ears struct {
	*desk.Desk
	s *workspace
}

func (e *ears) Hear(ctx context.Context, seen string, m bot.Message) (bool, error) {
	first, err := e.Desk.Hear(ctx, seen, m)
	if err == nil {
		e.s.mu.Lock()
		defer e.s.mu.Unlock()
		e.s.heard = append(e.s.heard, m)
	}
	return first, err
}

// poster is an adapter whose posts are looked at.
type poster struct {
	*slack.Adapter
	s *workspace
}

func (o *poster) Post(ctx context.Context, p bot.Post) (string, error) {
	if o.s.w.far.refuses(&p) {
		return "", errFar
	}
	o.s.mu.Lock()
	o.s.drafts[p.ID] = p
	o.s.mu.Unlock()
	return o.Adapter.Post(ctx, p)
}

func (o *poster) Face(ctx context.Context, p bot.Post) (string, error) {
	o.s.w.rules.faced(&p)
	return o.Adapter.Face(ctx, p)
}

func (o *poster) Find(ctx context.Context, p bot.Post) (string, bool, error) {
	ref, found, err := o.Adapter.Find(ctx, p)
	if found {
		o.s.w.rules.count["found again"]++
	}
	return ref, found, err
}

// harvest looks at what was heard and posted, and at what Slack refused.
func (s *workspace) harvest() {
	s.mu.Lock()
	heard, news := s.heard, s.news
	s.heard, s.news = nil, nil
	s.mu.Unlock()
	r := s.w.rules
	for i := range heard {
		r.heard(&heard[i])
		s.arrived(heard[i].ID, heard[i].At)
	}
	for i := range news {
		s.posted(&news[i])
	}
	for _, no := range s.Refused()[s.refused:] {
		s.refused++
		r.count["screens"]++
		r.check(slices.Contains(passing, no.Code), "Slack refuses %s: %s %v", no.Method, no.Code, no.Details)
	}
}

// passing are refusals that come of rates and of what people do, not of what a
// screen looks like.
var passing = []string{"ratelimited", "429", "expired_trigger_id", "connection cut"}

// posted looks at a message of the bot as it stands: a post whole, once, with
// its buttons.
func (s *workspace) posted(m *fake.Message) {
	r := s.w.rules
	r.count["screens"]++
	var meta struct{ ID, Door string }
	if m.Metadata == nil || json.Unmarshal(m.Metadata.EventPayload, &meta) != nil {
		return // word of an outage
	}
	s.w.tell("slack %s %s: %s", m.Channel, meta.ID, m.Text)
	p, ok := s.drafts[meta.ID]
	if !ok {
		return // a face, or a page before the last
	}
	r.posted(&p)
	x := &posted{p, s.w.now()}
	s.w.far.posts[p.ID] = x
	s.w.far.last = append(s.w.far.last, x)
	if bytes.Contains(m.Blocks, []byte(`"data_table"`)) {
		return // it has all doors, and a button in each row: none to go on
	}
	for _, b := range p.Buttons {
		label, _ := json.Marshal(b.Label)
		r.count["shown buttons"]++
		r.check(bytes.Contains(m.Blocks, label), "%s stands without its button %q: %s", p.ID, b.Label, m.Blocks)
	}
}

// root returns the message whose thread is a door's, "" if it has none yet.
func (s *workspace) root(pl *place, door string) string {
	refs, err := s.w.store.Bound(s.w.ctx, "face:"+jobs.DoorKey(pl.id, door))
	if err != nil {
		return ""
	}
	_, ts, _ := strings.Cut(refs[0], ":")
	return ts
}

// says has somebody say something there.
func (s *workspace) says(pl *place, who, thread, text string, overheard bool) {
	root := ""
	if thread != "" {
		if root = s.root(pl, thread); root == "" {
			return // the door has no thread yet
		}
	}
	if !overheard || root == "" {
		text = "@" + fake.BotName + " " + text
	}
	s.w.tell("%s #%s> %s", who, thread, text)
	s.w.gate.settle() // with whatever still ends of whoever just died
	ts := s.Say(pl.channel, account(who), text, root)
	if s.sockets != nil && strings.HasPrefix(text, "@") {
		s.sockets.unheard["in:"+pl.channel+"/"+ts] = message{s.w.now(), s.sockets.hinders}
	}
	s.w.gate.settle()
}

// pressable is a button as somebody sees it.
type pressable struct {
	fake.Message
	action, label string
}

// buttons finds what can be pressed in a door's thread, in what only one
// person sees, and what was there once.
func (s *workspace) buttons(pl *place, door, who string) (all []pressable) {
	for _, m := range append(s.Thread(pl.channel, s.root(pl, door)), s.Ephemerals(account(who))...) {
		var blocks []struct {
			Elements []struct {
				Type   string
				Action string `json:"action_id"`
				Text   struct{ Text string }
			}
		}
		json.Unmarshal(m.Blocks, &blocks) // other blocks have other elements
		for _, b := range blocks {
			for _, e := range b.Elements {
				if e.Type == "button" && e.Action != "" {
					all = append(all, pressable{m, e.Action, e.Text.Text})
				}
			}
		}
	}
	return all
}

// push presses one of the buttons at a door, and sees what comes of it.
func (s *workspace) push(pl *place, r *rand.Rand, door, who string) {
	all := s.buttons(pl, door, who)
	if len(all) == 0 {
		return
	}
	if len(all) > 12 && r.IntN(3) > 0 {
		all = all[len(all)-12:]
	}
	b := all[r.IntN(len(all))]
	s.w.tell("%s #%s> [%s]", who, door, b.label)
	s.does(pl, door, who, "presses "+b.label, func() (bool, error) { return false, s.PressLate(account(who), b.Message, b.action) })
	for _, v := range s.Modals(account(who)) {
		s.fill(pl, r, door, who, v)
	}
}

// does has somebody do something that is answered at once: there is something
// to see of it within seconds, unless something fails.
func (s *workspace) does(pl *place, door, who, what string, do func() (told bool, err error)) {
	key, began := jobs.DoorKey(pl.id, door), s.w.now()
	seen := func() string {
		version := int64(0)
		if d := s.w.rules.doors[key]; d != nil {
			version = d.version
		}
		return fmt.Sprint(len(s.Ephemerals(account(who))), len(s.Modals(account(who))), s.Calls("chat.update"), s.Calls("views.publish"), s.Calls("response_url"), version)
	}
	s.w.gate.settle()
	before := seen()
	s.w.rules.dirty[key] = true
	told, err := do()
	s.w.gate.settle()
	s.w.run(s.w.now().Add(5 * time.Second))
	s.w.rules.look()
	hinders := s.sockets != nil && (s.sockets.hinders || s.Sockets() == 0) && errors.Is(err, fake.ErrTimeout) // what is pressed is not sent again
	if hinders || s.w.fault.Add(looking).After(began) || errors.Is(err, fake.ErrTimeout) && s.w.fault.After(began.Add(-time.Minute)) {
		return
	}
	s.w.rules.count["done at once"]++
	s.w.rules.check(err == nil, "%s %s: %v", who, what, err)
	s.w.rules.check(err != nil || told || seen() != before, "%s %s, and nothing is to be seen of it", who, what)
}

// fill fills in a form that somebody has open, and sends it.
func (s *workspace) fill(pl *place, r *rand.Rand, door, who string, v fake.View) {
	s.w.rules.count["forms"]++
	var blocks []struct {
		ID       string `json:"block_id"`
		Type     string
		Optional bool
		Element  map[string]any
	}
	json.Unmarshal(v.Blocks, &blocks)
	values := map[string]string{}
	for _, b := range blocks {
		e := b.Element
		if b.Type != "input" || b.Optional && r.IntN(2) == 0 || slices.ContainsFunc(sorted(e), func(name string) bool { return strings.HasPrefix(name, "initial_") }) {
			continue
		}
		at := s.w.now().Add(time.Duration(r.IntN(90)) * time.Hour)
		values[b.ID] = map[string]string{"plain_text_input": "put right", "number_input": fmt.Sprint(1 + r.IntN(12)), "users_select": account(who), "multi_users_select": account(who),
			"datepicker": at.Format(time.DateOnly), "timepicker": fmt.Sprintf("%02d:00", 7+r.IntN(8))}[fmt.Sprint(e["type"])]
		if options, ok := e["options"].([]any); ok && len(options) > 0 {
			o, _ := options[r.IntN(len(options))].(map[string]any)
			values[b.ID] = fmt.Sprint(o["value"])
		}
	}
	s.does(pl, door, who, "sends "+v.Title, func() (bool, error) {
		out, err := s.Submit(account(who), v.ID, values)
		for _, id := range sorted(out.Errors) {
			s.w.tell("  %s: %s", id, out.Errors[id])
		}
		return len(out.Errors) > 0, err
	})
	for len(s.Modals(account(who))) > 0 && s.CloseModal(account(who)) == nil {
	}
}

// asks asks something for oneself, or looks at one's home.
func (s *workspace) asks(pl *place, r *rand.Rand, door, who string) {
	if r.IntN(2) == 0 {
		s.does(pl, door, who, "opens the home", func() (bool, error) { s.OpenHome(account(who)); return false, nil })
		return
	}
	text := pick(r, "gap 54 60", door+" next", door+" card", "board", "today", "help", "open", door+" tick room", "nothing that is known")
	s.w.tell("%s /door %s", who, text)
	s.does(pl, door, who, "/door "+text, func() (bool, error) { return false, s.Command(account(who), pl.channel, "/door", text) })
	for len(s.Modals(account(who))) > 0 && s.CloseModal(account(who)) == nil {
	}
}

// arrive lets in whom the office has written down.
func (s *workspace) arrive(pl *place) {
	for _, p := range pl.people {
		s.AddPeople(fake.Person{ID: account(p.id), Name: p.id})
		s.Join(pl.channel, account(p.id))
	}
}
