package sim

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"github.com/alicebob/miniredis/v2"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/slack"
	"heelpost/bot/talk"
	"heelpost/jobs"
	"heelpost/jobs/redis"
	"heelpost/jobs/redis/redistest"
)

// world is all that one seed holds.
type world struct {
	ctx    context.Context
	chance *rand.Rand // of whose turn it is; each action has its own
	sheets map[string][]byte
	places []*place
	store  *redis.Store
	inside *miniredis.Miniredis // of the store
	far    *far
	slack  *workspace // what the far side is, in some
	gate   *gate      // where what goes on side by side there meets
	rules  *rules

	processes []*process
	started   int       // processes so far
	rooms     bool      // the far side has faces and homes
	polls     bool      // the processes ask the store when to step next, as servers do
	storeBack instant   // Redis is away until then
	farBack   instant   // and so is the far side
	fault     time.Time // when the last fault is over
	resend    []delivery
	said      int
	mu        sync.Mutex // of the log, the last fault and the processes
	log       bytes.Buffer
}

// process is one replica of the program, until it dies.
type process struct {
	w       *world
	name    string
	ctx     context.Context
	cancel  context.CancelFunc
	desk    *desk.Desk
	bot     *talk.Bot
	runner  *jobs.Runner
	adapter *slack.Adapter // where the far side is Slack
	deaf    func()         // ends what it takes over sockets, if it does
	dead    atomic.Bool
	hangs   atomic.Bool // stands still in the middle of a call
	later   bool        // is of a later version

	stored fuse // what befalls a call to the store
	sent   fuse // and one to the far side
}

// fuse is a fault that befalls one of the next calls.
type fuse struct {
	mu   sync.Mutex
	left int // calls until then; 0: none
	kind faultKind
	wait time.Duration
}

// light lays a fault for the call that comes after so many.
func (f *fuse) light(left int, kind faultKind, wait time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.left, f.kind, f.wait = left, kind, wait
}

// burn counts a call and returns what befalls it, and how long that takes.
func (f *fuse) burn() (faultKind, time.Duration) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.left == 0 {
		return none, f.wait
	}
	if f.left--; f.left > 0 {
		return none, f.wait
	}
	return f.kind, f.wait
}

// instant is a time that is set and read side by side.
type instant struct{ ns atomic.Int64 }

func (i *instant) set(t time.Time) time.Time { i.ns.Store(t.UnixNano()); return t }

func (i *instant) time() time.Time { return time.Unix(0, i.ns.Load()) }

type faultKind int

const (
	none      faultKind = iota
	lost                // the call does not arrive
	replyLost           // it does, and its reply is lost
	twice               // so it is, and the client makes the call again
	dieBefore           // the process dies before the call
	dieAfter            // or with its reply on the way
	limited             // the far side asks for a pause
	silent              // it has done it, and seems to be away
	stalls              // the process stands still for a while
)

var (
	errStore = errors.New("no way to the store")
	errFar   = errors.New("no way to the far side")
	errDead  = errors.New("this process is dead")
)

// lease and with it the times of a runner are those of a server.
const idle = 400 * 24 * time.Hour

func (w *world) now() time.Time { return time.Now() }

// tell writes a line of what happened: the bytes that a seed gives.
func (w *world) tell(format string, args ...any) {
	w.mu.Lock()
	defer w.mu.Unlock()
	fmt.Fprintf(&w.log, "%s "+format+"\n", append([]any{w.now().UTC().Format("01-02 15:04:05")}, args...)...)
}

// befall notes a fault that is over at some time.
func (w *world) befall(until time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if until.After(w.fault) {
		w.fault = until
	}
}

// newWorld opens the store and lets three processes start.
func newWorld(ctx context.Context, p *plan) (*world, error) {
	time.Sleep(time.Until(p.begin))
	m := miniredis.NewMiniRedis()
	if p.seed%8 != 1 {
		if err := redistest.Keep(m); err != nil {
			return nil, err
		}
	}
	store, err := redis.Open(ctx, "redis://127.0.0.1:6379", redis.Options{Workspace: "sim",
		Dial: func(context.Context, string, string) (net.Conn, error) { return m.Dial() }})
	if err != nil {
		return nil, err
	}
	w := &world{ctx: ctx, chance: rand.New(rand.NewPCG(p.seed, 1)), sheets: map[string][]byte{}, store: store, inside: m, places: newPlaces(p.begin, p.slack), fault: p.begin, rooms: p.seed%4 == 0, polls: p.seed%8 == 1}
	context.AfterFunc(ctx, func() { store.Close(); m.Close() })
	for _, name := range []string{"orchard", "quarry"} {
		if w.sheets[name], err = os.ReadFile("../../testdata/sheets/" + name + ".yaml"); err != nil {
			return nil, err
		}
	}
	w.far = &far{w: w, posts: map[string]*posted{}, answered: map[string]bool{}, poison: map[string]int{}}
	if w.rules, err = newRules(w); err != nil {
		return nil, err
	}
	if p.slack {
		if w.slack, err = newWorkspace(w, p.seed%16 == 6); err != nil {
			return nil, err
		}
		w.rooms, w.gate = true, newGate(ctx)
		context.AfterFunc(ctx, w.slack.Close)
	}
	for i := range 3 {
		p := &process{w: w, later: i == 2}
		p.dead.Store(true)
		w.processes = append(w.processes, p)
	}
	w.revive()
	if w.slack != nil {
		w.slack.listen()
	}
	return w, nil
}

// revive starts processes in place of those that died.
func (w *world) revive() {
	for i, p := range w.replicas() {
		if !p.dead.Load() || p.hangs.Load() {
			continue
		}
		w.started++
		next := &process{w: w, name: fmt.Sprint("p", w.started), later: p.later}
		next.ctx, next.cancel = context.WithCancel(w.ctx)
		if err := next.start(); err != nil {
			next.cancel()
			continue // it is tried again
		}
		w.tell("%s starts", next.name)
		w.mu.Lock()
		w.processes[i] = next
		w.mu.Unlock()
		next.listen()
	}
}

// start does what a server does before it works.
func (p *process) start() error {
	store := &reached{p.w.store, p}
	p.desk = desk.New(store, p.w.rooms)
	p.bot = talk.New(talk.Stored{Store: store}, p.desk)
	var out bot.Poster = &line{p}
	if p.w.rooms {
		out = &rooms{line{p}}
	}
	if p.w.slack != nil {
		var err error
		if out, err = p.w.slack.begin(p, store); err != nil {
			return err
		}
	}
	p.runner = notify.New(p.name, p.desk, out, p.bot.Hear)
	p.runner.Senders, p.runner.Idle = 1, idle
	p.runner.Report = func(err error) {
		if !p.dead.Load() { // of the dead nothing is heard, whatever they were at
			p.w.tell("%s: %v", p.name, err)
		}
	}
	for _, name := range []string{"orchard", "quarry"} {
		if err := p.desk.UseSheet(p.ctx, p.w.sheets[name]); err != nil {
			return err
		}
	}
	for _, pl := range p.w.places {
		if err := p.desk.UseSite(p.ctx, pl.site); err != nil {
			return err
		}
	}
	return p.desk.LayRules(p.ctx, p.w.now())
}

// die ends a process between two calls.
func (p *process) die() {
	p.w.tell("%s dies", p.name)
	p.dead.Store(true)
	p.cancel()
	p.w.befall(p.w.now())
}

// replicas returns the processes, dead or not.
func (w *world) replicas() []*process {
	w.mu.Lock()
	defer w.mu.Unlock()
	return slices.Clone(w.processes)
}

// working returns one of the processes that work, nil if none does.
func (w *world) working() *process {
	up := slices.DeleteFunc(w.replicas(), func(p *process) bool { return p.dead.Load() || p.hangs.Load() })
	if len(up) == 0 {
		return nil
	}
	p := up[w.chance.IntN(len(up))]
	p.desk.Begin(p.ctx, w.now()) // as its runner does each second; if it can't, what is done next can't either
	return p
}

// drain lets the processes send what is due now, and returns when there is
// more to do.
func (w *world) drain() (next time.Time) {
	for range 2000 {
		w.revive()
		w.deliver()
		now := w.now()
		if next := w.waits(); !w.polls && next.After(now) {
			return w.sooner(next)
		}
		p := w.working()
		if p == nil {
			return now.Add(time.Second)
		}
		next, err := p.runner.Step(p.ctx, now)
		p.runner.Wait()
		w.rules.look()
		w.harvest()
		if err != nil {
			return now.Add(time.Second)
		}
		if next.After(w.now()) {
			w.rules.count["next due"]++
			w.rules.check(next.Equal(w.waits()), "what is due at %s is waited for until %s", w.waits(), next)
			return w.sooner(next)
		}
	}
	w.rules.broken("the processes come to no rest at %s", w.now())
	return w.now().Add(time.Hour)
}

// waits returns when a process next has something to do for the store, read
// past the scripts: a claim that finds nothing costs as much as one that does,
// and most would find nothing.
func (w *world) waits() time.Time {
	next := w.now().Add(idle)
	for _, set := range []string{"due", "lease"} {
		times, err := w.inside.SortedSet("hp1:{sim}:" + set)
		if err != nil {
			continue // it is empty
		}
		for _, at := range times {
			if t := jobs.Millis(at).Time(); t.Before(next) {
				next = t
			}
		}
	}
	return next
}

// sooner returns when the next message comes again, if that is before next.
func (w *world) sooner(next time.Time) time.Time {
	for _, d := range w.resend {
		next = early(next, late(d.at, w.now().Add(time.Second))) // nobody was there to take it now
	}
	return next
}

// run lets time pass.
func (w *world) run(until time.Time) {
	for w.rules.fault == nil {
		next := w.drain()
		w.rules.pass()
		now := w.now()
		if !now.Before(until) {
			return
		}
		if w.slack != nil {
			next = w.slack.tend(next)
			w.slack.lost()
		}
		if next.After(until) {
			next = until
		}
		if time.Sleep(max(next.Sub(now), time.Millisecond)); w.gate != nil {
			w.gate.settle() // with what else this instant wakes
		}
	}
}

// delivery is a message that was not yet received.
type delivery struct {
	bot.Message
	at    time.Time
	tries int
}

// resends are the pauses after which the far side sends again what was not
// received; the last one repeats here, so that no message is lost.
var resends = []time.Duration{time.Second, 5 * time.Second, time.Minute}

// harvest looks at what happened at Slack, if that is the far side.
func (w *world) harvest() {
	if w.slack != nil {
		w.gate.settle()
		w.slack.harvest()
	}
}

// deliver brings to the bot what people said.
func (w *world) deliver() {
	w.harvest()
	now := w.now()
	for i := 0; i < len(w.resend); {
		d := &w.resend[i]
		p := w.working()
		if d.at.After(now) || p == nil {
			i++
			continue
		}
		if _, err := p.desk.Hear(p.ctx, d.Channel+"/"+d.ID, d.Message); err != nil {
			d.at = now.Add(resends[min(d.tries, len(resends)-1)])
			d.tries++
			w.befall(d.at)
			i++
			continue
		}
		w.rules.heard(&d.Message)
		w.resend = slices.Delete(w.resend, i, i+1)
	}
}

// say has somebody say something.
func (w *world) say(pl *place, who, thread, text string, overheard bool) {
	if w.slack != nil {
		w.slack.says(pl, who, thread, text, overheard)
		return
	}
	w.said++
	m := bot.Message{ID: fmt.Sprint("in:", w.said), At: w.now().Truncate(time.Millisecond), Person: who, Channel: pl.site.Channels[0], Thread: thread,
		Under: "u" + thread, Text: text, Overheard: overheard && thread != ""}
	w.tell("%s #%s> %s", who, thread, text)
	w.resend = append(w.resend, delivery{Message: m, at: m.At})
	if w.chance.IntN(20) == 0 { // it comes twice
		w.resend = append(w.resend, delivery{Message: m, at: m.At})
	}
}

// press has somebody press a button, and tells them what comes of it.
func (w *world) press(pl *place, who, thread string, b bot.Button, from *posted) {
	p := w.working()
	if p == nil {
		return
	}
	w.said++
	m := bot.Message{ID: fmt.Sprint("press:", w.said), At: w.now().Truncate(time.Millisecond), Person: who, Channel: pl.site.Channels[0], Thread: thread, Under: "u" + thread, Text: b.Say}
	w.tell("%s #%s> [%s] %s%s", who, thread, b.Label, b.Say, b.Form)
	if b.Form != "" {
		w.fill(p, m, b.Form)
		return
	}
	w.rules.pressing(pl, &m)
	stale := w.rules.stale(pl, &m, from)
	posts, err := p.bot.Press(p.ctx, m)
	w.rules.look()
	w.rules.pressed(&m, stale, posts, err)
	w.show(posts, err)
}

// show writes down what somebody sees at once.
func (w *world) show(posts []bot.Post, err error) {
	for _, p := range posts {
		w.tell("  (%s) %s", p.Kind, p.Text)
		w.rules.drawn(&p)
	}
	if err != nil {
		w.tell("  trouble: %v", err)
	}
}
