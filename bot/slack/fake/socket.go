package fake

import (
	"context"
	"encoding/json"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

const (
	maxSockets = 10
	maxAck     = 20_480 // from this size an answer over a socket is dropped
)

// conn is one Socket Mode connection. Its fields change under the server's
// lock, what is sent goes through out.
type conn struct {
	ws     *websocket.Conn
	out    chan frame
	gone   chan struct{}
	ending bool // takes nothing new
	frozen bool // nothing comes or goes, as behind a router that forgot it
	once   sync.Once
}

// frame is a text to send, or the end.
type frame struct {
	data []byte
	cut  bool // the connection ends after the text, as a cable does
	end  bool // no text: the close handshake
}

func connectionsOpen(s *Server, _ *call) (reply, error) {
	ticket := s.newID("t")
	s.tickets[ticket] = true
	return reply{"url": strings.Replace(s.base, "http", "ws", 1) + "/link?ticket=" + ticket + "&app_id=" + App}, nil
}

var upgrader = websocket.Upgrader{CheckOrigin: func(*http.Request) bool { return true }}

func (s *Server) serveSocket(w http.ResponseWriter, r *http.Request) {
	ticket := r.URL.Query().Get("ticket")
	good := see(s, func() bool {
		defer delete(s.tickets, ticket)
		return s.tickets[ticket]
	})
	if !good {
		http.Error(w, "no such ticket", http.StatusNotFound)
		return
	}
	ws, err := upgrader.Upgrade(w, r, nil)
	if err != nil {
		return
	}
	ws.SetReadLimit(1 << 20)
	c := &conn{ws: ws, out: make(chan frame, 4096), gone: make(chan struct{})}
	s.do(func() {
		if s.ctx.Err() != nil {
			c.cut()
			return
		}
		n := len(s.conns) + 1
		if n > maxSockets {
			c.out <- frame{data: disconnect("too_many_websockets")}
			c.out <- frame{end: true}
		} else {
			s.conns = append(s.conns, c)
			s.stats.Sockets++
			c.out <- frame{data: encoded(reply{"type": "hello", "num_connections": n, "connection_info": reply{"app_id": App},
				"debug_info": reply{"host": "fake", "build_number": 1, "approximate_connection_time": 18060}})}
		}
		s.work.Go(func() { s.writeTo(c) })
		s.work.Go(func() { s.readFrom(c) })
	})
}

func disconnect(reason string) []byte {
	return encoded(reply{"type": "disconnect", "reason": reason, "debug_info": reply{"host": "fake"}})
}

// write queues a text. The lock is held, so it never blocks: a reader that is
// thousands of texts behind loses the connection.
func (c *conn) write(data []byte, cut bool) {
	select {
	case c.out <- frame{data: data, cut: cut}:
	default:
		c.cut()
	}
}

// cut ends the connection without a word.
func (c *conn) cut() {
	c.once.Do(func() {
		close(c.gone)
		if tcp, ok := c.ws.NetConn().(*net.TCPConn); ok {
			tcp.SetLinger(0)
		}
		c.ws.NetConn().Close()
	})
}

// end is over once both sides have said so, and closes the TCP side then:
// clients wait for it.
func (c *conn) end() {
	c.once.Do(func() {
		close(c.gone)
		c.ws.Close()
	})
}

func (s *Server) writeTo(c *conn) {
	pings := time.NewTicker(s.opts.Ping)
	defer pings.Stop()
	ping := func() error { return c.ws.WriteControl(websocket.PingMessage, nil, time.Now().Add(time.Second)) }
	if ping() != nil {
		c.cut()
		return
	}
	for {
		select {
		case f := <-c.out:
			if f.end {
				c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(websocket.CloseNormalClosure, ""), time.Now().Add(time.Second))
				time.AfterFunc(time.Second, c.end) // if the other side does not answer
				return
			}
			if s.isFrozen(c) {
				continue
			}
			c.ws.SetWriteDeadline(time.Now().Add(10 * time.Second))
			if c.ws.WriteMessage(websocket.TextMessage, f.data) != nil || f.cut {
				c.cut()
				return
			}
		case <-pings.C:
			if !s.isFrozen(c) && ping() != nil {
				c.cut()
				return
			}
		case <-c.gone:
			return
		}
	}
}

func (s *Server) isFrozen(c *conn) bool { return see(s, func() bool { return c.frozen }) }

func (s *Server) readFrom(c *conn) {
	defer func() {
		c.end()
		s.do(func() {
			if !c.frozen { // Slack does not notice that one of those is gone
				s.remove(c)
			}
		})
	}()
	for {
		_, data, err := c.ws.ReadMessage()
		if err != nil {
			return
		}
		var ack struct {
			EnvelopeID string          `json:"envelope_id"`
			Payload    json.RawMessage `json:"payload"`
		}
		switch {
		case s.isFrozen(c):
		case len(data) >= maxAck:
			s.do(func() { s.stats.TooBig++ })
		case json.Unmarshal(data, &ack) != nil || ack.EnvelopeID == "":
			s.do(func() { s.stats.Unknown++ })
		default:
			if s.acked(ack.EnvelopeID, ack.Payload) {
				c.cut()
			}
		}
	}
}

func (s *Server) remove(c *conn) {
	s.conns = slices.DeleteFunc(s.conns, func(o *conn) bool { return o == c })
}

// pick takes the connections in turn: Slack may use any of them, and knows of
// no dead ones.
func (s *Server) pick() *conn {
	for range s.conns {
		s.next++
		if c := s.conns[s.next%len(s.conns)]; !c.ending {
			return c
		}
	}
	return nil
}

// some does something to the n oldest connections, all for 0.
func (s *Server) some(n int, act func(*conn)) {
	s.do(func() {
		all := slices.Clone(s.conns)
		if n > 0 && n < len(all) {
			all = all[:n]
		}
		for _, c := range all {
			act(c)
		}
	})
}

// Cut ends the n oldest connections without a word, all for 0.
func (s *Server) Cut(n int) {
	s.some(n, func(c *conn) {
		c.cut()
		s.remove(c)
	})
}

// Freeze leaves the n oldest connections, all for 0, open and silent: no pings,
// what is sent on them is lost, and they go on counting.
func (s *Server) Freeze(n int) { s.some(n, func(c *conn) { c.frozen = true }) }

// Thaw forgets the frozen connections.
func (s *Server) Thaw() {
	s.some(0, func(c *conn) {
		if c.frozen {
			c.cut()
			s.remove(c)
		}
	})
}

// Disconnect tells the n oldest connections, all for 0, to go: refresh_requested
// and link_disabled take them out of use and end them after a while, a warning
// comes that while before.
func (s *Server) Disconnect(reason string, n int) {
	s.some(n, func(c *conn) {
		if c.ending {
			return
		}
		c.write(disconnect(reason), false)
		if reason != "warning" {
			s.dismiss(c)
			return
		}
		s.after(s.opts.Warn, func() {
			if !c.ending {
				c.write(disconnect("refresh_requested"), false)
				s.dismiss(c)
			}
		})
	})
}

// dismiss takes a connection out of use and ends it later. The lock is held.
func (s *Server) dismiss(c *conn) {
	c.ending = true
	s.after(s.opts.Warn, func() {
		select {
		case c.out <- frame{end: true}:
		case <-c.gone:
		}
	})
}

// inside listens for those who call from within the process.
type inside struct {
	conns chan net.Conn
	ctx   context.Context
}

// Dial connects to the server without a port, where it has none.
func (s *Server) Dial(ctx context.Context, _, _ string) (net.Conn, error) {
	near, far := net.Pipe()
	select {
	case s.dialled.conns <- far:
		return near, nil
	case <-s.ctx.Done():
		return nil, errClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (l inside) Accept() (net.Conn, error) {
	select {
	case c := <-l.conns:
		return c, nil
	case <-l.ctx.Done():
		return nil, net.ErrClosed
	}
}

func (l inside) Close() error   { return nil } // it ends with the server
func (l inside) Addr() net.Addr { return &net.UnixAddr{Name: "inside", Net: "unix"} }
