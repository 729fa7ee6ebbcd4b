package sim

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"slices"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"

	"heelpost/bot/slack/fake"
)

// sockets are how Slack reaches the processes in some seeds. They are open while
// people act and until nothing of it is under way: a beat and a ping each few
// seconds through all the nights would cost more than the rest of the month.
type sockets struct {
	open    bool
	until   time.Time // nothing was done since for long
	away    instant   // nobody gets a connection before
	dialled atomic.Int64
	hinders bool               // what comes over them, or is answered, may be lost
	unheard map[string]message // what was said to the bot and has not arrived
}

// message is something said to the bot.
type message struct {
	at       time.Time
	hindered bool // on its way: then Slack may have to send it again
}

// lingers is how long sockets stay open after what was done last.
const lingers = 20 * time.Second

// dialer gets sockets to the workspace for a process.
func (s *workspace) dialer(p *process) *websocket.Dialer {
	return &websocket.Dialer{HandshakeTimeout: 10 * time.Second, NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
		s.w.gate.pass(func() string { return p.name + " dials" })
		if s.w.now().Before(s.sockets.away.time()) {
			return nil, errFar
		}
		conn, err := s.Dial(ctx, network, addr)
		return &wire{conn, p, s.sockets.dialled.Add(1)}, err
	}}
}

// wire is a process's end of a connection: what comes over it comes when it is
// its turn.
type wire struct {
	net.Conn
	p *process
	n int64 // of those that were dialled
}

func (c *wire) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if n > 0 {
		c.p.w.gate.pass(func() string { return fmt.Sprintf("%s hears %06d", c.p.name, c.n) })
	}
	return n, err
}

// listen opens the sockets, or has the processes try to.
func (s *workspace) listen() {
	k := s.sockets
	if k == nil {
		return
	}
	if k.until = s.w.now().Add(lingers); k.open {
		return
	}
	if p := s.w.working(); p != nil {
		p.adapter.Beat(p.ctx, s.w.now()) // as it would have done all night
	}
	k.open = true
	for _, p := range s.w.replicas() {
		p.listen()
	}
	s.pause()
}

// pause lets what is under way come about.
func (s *workspace) pause() {
	time.Sleep(time.Second / 2)
	s.w.gate.settle()
}

// listen has a process take what comes over its sockets.
func (p *process) listen() {
	if s := p.w.slack; p.dead.Load() || s == nil || s.sockets == nil || !s.sockets.open {
		return
	}
	ctx, cancel := context.WithCancel(context.WithValue(p.ctx, aside{}, true))
	done := make(chan struct{})
	go func() {
		defer close(done)
		p.adapter.Socket(ctx, time.Second)
	}()
	p.deaf = func() { cancel(); <-done }
}

// shut closes the sockets in good order.
func (s *workspace) shut() {
	s.sockets.open, s.sockets.hinders = false, false
	for _, p := range s.w.replicas() {
		if p.deaf != nil {
			p.deaf()
			p.deaf = nil
		}
	}
	s.Thaw()
	s.Trouble(fake.Trouble{})
}

// tend opens sockets for what waits for them, closes them when nothing does, and
// returns when to look again.
func (s *workspace) tend(next time.Time) time.Time {
	k := s.sockets
	if k == nil {
		return next
	}
	now := s.w.now()
	if !k.open && len(k.unheard) > 0 {
		s.listen()
	}
	if k.open && !now.Before(k.until) {
		if len(k.unheard) > 0 || s.Unacked() > 0 {
			k.until = now.Add(lingers)
		} else {
			s.shut()
		}
	}
	if k.open {
		next = early(next, k.until)
	}
	return next
}

// arrived notes that something said was received.
func (s *workspace) arrived(id string, said time.Time) {
	if s.sockets == nil {
		return
	}
	r := s.w.rules
	r.count["over sockets"]++
	if s.w.now().Sub(said) > 6*time.Minute+30*time.Second { // longer than Slack sends it again
		r.count["read back"]++
	}
	if x, ok := s.sockets.unheard[id]; ok && !x.hindered && !r.wait[id].IsZero() {
		r.wait[id] = x.at // its answer is waited for since then
	}
	delete(s.sockets.unheard, id)
}

// reach is how long it takes at the most until what was lost on its way, or not
// taken, arrives: Slack sends it again for six minutes.
const reach = 7 * time.Minute

// lost checks that nothing is lost that was said to the bot, and that it arrives
// soon if nothing is in the way.
func (s *workspace) lost() {
	if s.sockets == nil {
		return
	}
	for _, id := range sorted(s.sockets.unheard) {
		x := s.sockets.unheard[id]
		if x.hindered {
			s.w.rules.check(s.w.now().Sub(late(x.at, s.w.fault)) < reach, "%s, said at %s, has not arrived", id, x.at.UTC().Format(time.TimeOnly))
		} else {
			s.w.rules.check(!s.w.rules.late(x.at), "%s, said at %s, has not arrived, and nothing was in its way", id, x.at.UTC().Format(time.TimeOnly))
		}
	}
}

// hindering has what comes over the sockets, or is answered, be lost from now on.
func (s *workspace) hindering() {
	s.sockets.hinders = true
	for id, x := range s.sockets.unheard {
		x.hindered = true
		s.sockets.unheard[id] = x
	}
}

// hinder is trouble on the way from Slack.
func (s *workspace) hinder(r *rand.Rand) {
	n := 1 + r.IntN(6)
	s.w.gate.settle()
	s.w.befall(s.w.now().Add(5 * time.Second))
	switch r.IntN(8) {
	case 0, 1:
		s.listen()
		k, lasts := s.sockets, time.Duration(1+r.IntN(60))*time.Second
		if r.IntN(2) == 0 {
			lasts *= 90
		}
		k.until = k.away.set(s.w.now().Add(lasts)).Add(lingers)
		s.w.befall(k.away.time())
		s.w.tell("no socket until %s", k.away.time().UTC().Format(time.TimeOnly))
		s.Cut(0)
	case 2:
		s.w.tell("%d sockets are cut", n)
		s.Cut(n)
	case 3:
		reason := pick(r, "refresh_requested", "warning", "link_disabled")
		s.w.tell("%d sockets are to go: %s", n, reason)
		s.Disconnect(reason, n)
	case 4:
		s.w.tell("%d sockets are silent", n)
		s.w.befall(s.w.now().Add(2 * time.Minute))
		s.hindering()
		s.Thaw()
		s.Freeze(1 + n%3) // with ten, those that are silent among them, Slack lets in no more
	default:
		t := pick(r, fake.Trouble{Duplicate: 2}, fake.Trouble{Swap: 3}, fake.Trouble{LoseAck: 3}, fake.Trouble{CutAck: 3}, fake.Trouble{Duplicate: 3, LoseAck: 5})
		s.w.tell("envelopes fare so: %+v", t)
		s.w.befall(s.w.now().Add(2 * time.Minute))
		s.hindering()
		s.Trouble(t)
	}
	s.pause()
}

// up returns the processes that Slack's requests reach.
func (w *world) up() []*process {
	return slices.DeleteFunc(w.replicas(), func(p *process) bool { return p.dead.Load() || p.hangs.Load() || p.adapter == nil })
}
