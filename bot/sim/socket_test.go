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
	away    time.Time // nobody gets a connection before
	missed  bool      // the bot was away, and has to find that out
	dialled atomic.Int64
	hinders bool                 // what comes over them, or is answered, may be lost
	unheard map[string]time.Time // what was said to the bot and has not arrived, since when
}

// lingers is how long sockets stay open after what was done last.
const lingers = 20 * time.Second

// dialer gets sockets to the workspace for a process.
func (s *workspace) dialer(p *process) *websocket.Dialer {
	return &websocket.Dialer{HandshakeTimeout: 10 * time.Second, NetDialContext: func(ctx context.Context, network, addr string) (net.Conn, error) {
		s.w.gate.pass(func() string { return p.name + " dials" })
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

// listen opens the sockets, if there is a way to Slack.
func (s *workspace) listen() {
	k := s.sockets
	if k == nil || s.w.now().Before(k.away) {
		return
	}
	if k.until = s.w.now().Add(lingers); k.open {
		return
	}
	if p := s.w.working(); p != nil && !k.missed {
		p.adapter.Beat(p.ctx, s.w.now()) // as it would have done all night
	}
	k.open, k.missed = true, false
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
		if now.Before(k.away) {
			return early(next, k.away)
		}
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
	delete(s.sockets.unheard, id)
}

// reach is how long it takes at the most, with nothing in the way, until what was
// said arrives: Slack sends it again for six minutes, who has no connection tries
// at least each five, and then what was missed is read.
const reach = 15 * time.Minute

// lost checks that nothing is lost that was said to the bot.
func (s *workspace) lost() {
	if s.sockets == nil {
		return
	}
	for id, since := range s.sockets.unheard {
		s.w.rules.check(s.w.now().Sub(late(since, s.w.fault)) < reach, "%s, said at %s, has not arrived", id, since.UTC().Format(time.TimeOnly))
	}
}

// hinder is trouble on the way from Slack.
func (s *workspace) hinder(r *rand.Rand) {
	n := 1 + r.IntN(6)
	s.w.gate.settle()
	s.w.befall(s.w.now().Add(5 * time.Second))
	switch r.IntN(8) {
	case 0, 1:
		k := s.sockets
		if k.open {
			s.shut()
		}
		k.away, k.missed = s.w.now().Add(time.Duration(2+r.IntN(90))*time.Minute), true
		s.w.befall(k.away.Add(time.Minute))
		s.w.tell("no socket until %s", k.away.UTC().Format(time.TimeOnly))
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
		s.sockets.hinders = true
		s.Thaw()
		s.Freeze(1 + n%3) // with ten, those that are silent among them, Slack lets in no more
	default:
		t := pick(r, fake.Trouble{Duplicate: 2}, fake.Trouble{Swap: 3}, fake.Trouble{LoseAck: 3}, fake.Trouble{CutAck: 3}, fake.Trouble{Duplicate: 3, LoseAck: 5})
		s.w.tell("envelopes fare so: %+v", t)
		s.w.befall(s.w.now().Add(2 * time.Minute))
		s.sockets.hinders = true
		s.Trouble(t)
	}
	s.pause()
}

// up returns the processes that Slack's requests reach.
func (w *world) up() []*process {
	return slices.DeleteFunc(w.replicas(), func(p *process) bool { return p.dead.Load() || p.hangs.Load() || p.adapter == nil })
}
