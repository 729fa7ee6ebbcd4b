// Package fake is a Slack to test against: the Web API, Socket Mode and signed
// requests, on a loopback address. It keeps Slack's own rules (limits, rates,
// deadlines, scopes), does Slack's part of what people do there, breaks down
// where it is told to, and remembers what it was sent. It has what the adapter,
// the load tests and the programs of others call, and no more. Only tests use
// it; it knows nothing of the adapter or its client library, so that neither
// can be wrong together with it.
//
// What it does follows Slack's documentation as far as that goes; what was
// only remembered says "from memory".
package fake

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// The one workspace and the one app in it.
const (
	Team      = "T0FAKE001"
	App       = "A0FAKE001"
	Bot       = "U0BOT0001" // the app's user
	BotID     = "B0BOT0001" // and its other name, in messages
	BotName   = "heelpost"
	BotToken  = "xoxb-fake-bot"
	AppToken  = "xapp-fake-app"
	OtherTeam = "T0OTHER01" // a workspace that shares channels

	secret = "fake-signing-secret"
)

// Options say how this Slack is. A zero is Slack's own value, a negative one
// takes the limit away.
type Options struct {
	Ack       time.Duration   // what was sent to the app is answered within this: 3 s
	Resend    []time.Duration // waits before an unanswered event is sent again: at once, 1 min, 5 min
	Ping      time.Duration   // between pings on a socket: 10 s
	Warn      time.Duration   // from the warning to the end of a socket: 10 s
	FileDelay time.Duration   // from the upload of a file until it can be shown: 200 ms
	PostEvery time.Duration   // a channel takes one post in this time, and five at once after a rest: 1 s
	Tiers     bool            // each method has its calls a minute as well
	Scopes    []string        // that the bot's token has; nil: all
	Events    []string        // that the app is subscribed to, as its manifest names them; nil: all

	// Through takes what is sent to the app as signed requests. Then no port is
	// open, the Web API is at Handler and sockets are got by Dial: so fake time can
	// pass. nil: loopback.
	Through http.RoundTripper
}

// Person is one who can act. A Team other than the fake's own makes them
// somebody from another workspace.
type Person struct {
	ID, Name, Team string
	Bot, Deleted   bool
}

// Channel is a channel or a direct message.
type Channel struct {
	ID, Name string
	Private  bool
	With     string // the person, in a direct message
	Archived bool
	Members  []string // the bot among them, if it is in
}

// kind is the channel's kind as the events name it.
func (c *Channel) kind() string {
	switch {
	case c.With != "":
		return "im"
	case c.Private:
		return "group"
	}
	return "channel"
}

// member tells if somebody is in a channel.
func (c *Channel) member(person string) bool { return slices.Contains(c.Members, person) }

// Group is a group of users.
type Group struct {
	ID, Handle string
	Users      []string
	Disabled   bool
}

// Metadata is what an app attached to a message.
type Metadata struct {
	EventType    string          `json:"event_type"`
	EventPayload json.RawMessage `json:"event_payload"`
}

// Message is a message as it stands, with what it was before.
type Message struct {
	Channel, TS, Thread string
	User                string
	BotID               string // of an app's message
	SubType             string
	Text                string
	Blocks              json.RawMessage
	Metadata            *Metadata
	Files               []string
	Reactions           []string // of the bot
	Edits               []string // the texts it had, oldest first
	Deleted             bool
	To                  string // the only one who sees it; "" if everybody does
}

// Server is the fake. Its methods can be called at any time, from anywhere.
type Server struct {
	opts     Options
	http     *http.Server
	base     string
	ctx      context.Context // ends with the server
	stop     context.CancelFunc
	work     sync.WaitGroup
	outgoing *http.Client
	dialled  inside
	slots    chan struct{} // requests to the app at once

	mu       sync.Mutex
	changed  chan struct{} // closed at the next change; nil if nobody waits
	clock    int64         // the last ts, in microseconds
	serial   int
	timers   int
	revoked  string // the error that tokens get: token_revoked, account_inactive
	scopes   []string
	noTables bool // it refuses them
	people   map[string]*Person
	groups   map[string]*Group
	rooms    map[string]*room
	views    map[string]*View
	stacks   map[string][]*View // person to open modals, the topmost last
	homes    map[string]*View
	files    map[string]*file
	uploads  map[string]string // key of the upload URL to file id
	triggers map[string]*trigger
	hooks    map[string]*hook // response URLs
	hidden   map[string]*Message
	rates    map[string]time.Time // when a limit on calls is full again
	faults   []*Fault
	trouble  Trouble
	counts   map[string]int // events since a trouble was set, by kind
	tamper   func(kind string, payload map[string]any)
	held     *delivery // kept back to come out of order
	address  string    // of the app, for signed requests; "": sockets
	tickets  map[string]bool
	conns    []*conn
	next     int // connection
	waiting  map[string]*delivery
	unacked  int // neither answered nor given up
	record
}

// room is a channel with its messages.
type room struct {
	Channel
	byTS    map[string]*Message
	top     []*Message            // those in the channel, oldest first
	threads map[string][]*Message // replies by root, oldest first
}

// New starts a Slack with the bot in it and nobody else.
func New(o Options) (*Server, error) {
	o.Ack = cmp.Or(o.Ack, 3*time.Second)
	o.Ping = cmp.Or(o.Ping, 10*time.Second)
	o.Warn = cmp.Or(o.Warn, 10*time.Second)
	o.FileDelay = cmp.Or(o.FileDelay, 200*time.Millisecond)
	o.PostEvery = cmp.Or(o.PostEvery, time.Second)
	if o.Resend == nil {
		o.Resend = []time.Duration{0, time.Minute, 5 * time.Minute}
	}
	if o.Scopes == nil {
		o.Scopes = allScopes()
	}
	base, out := "http://slack.invalid", o.Through
	var l net.Listener
	if out == nil {
		var err error
		if l, err = net.Listen("tcp", "127.0.0.1:0"); err != nil {
			return nil, err
		}
		base, out = "http://"+l.Addr().String(), &http.Transport{MaxIdleConnsPerHost: 128}
	}
	ctx, cancel := context.WithCancel(context.Background())
	s := &Server{
		opts: o, base: base, ctx: ctx, stop: cancel,
		slots:    make(chan struct{}, 128),
		outgoing: &http.Client{Transport: out},
		scopes:   o.Scopes,
		people:   map[string]*Person{}, groups: map[string]*Group{}, rooms: map[string]*room{},
		views: map[string]*View{}, stacks: map[string][]*View{}, homes: map[string]*View{},
		files: map[string]*file{}, uploads: map[string]string{}, triggers: map[string]*trigger{}, hooks: map[string]*hook{},
		hidden: map[string]*Message{}, rates: map[string]time.Time{}, counts: map[string]int{},
		tickets: map[string]bool{}, waiting: map[string]*delivery{},
		record: record{posted: map[string]int{}, calls: map[string]int{}, expired: map[string]bool{}},
	}
	s.AddPeople(Person{ID: Bot, Name: BotName, Bot: true})
	mux := http.NewServeMux()
	mux.HandleFunc("/api/{method}", s.serveAPI)
	mux.HandleFunc("/upload/{key}", s.serveUpload)
	mux.HandleFunc("/files-pri/{file}/download/{name}", s.serveDownload)
	mux.HandleFunc("/signin", serveSignIn)
	mux.HandleFunc("/hook/{key}", s.serveHook)
	mux.HandleFunc("/link", s.serveSocket)
	s.http = &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}
	if l == nil {
		s.dialled = inside{make(chan net.Conn), ctx}
		l = s.dialled
	}
	s.work.Go(func() { s.http.Serve(l) })
	return s, nil
}

// Close ends every connection and waits until nothing of the server runs.
func (s *Server) Close() {
	s.stop()
	s.http.Close()
	s.mu.Lock()
	for _, c := range s.conns {
		c.cut()
	}
	for _, d := range s.waiting {
		d.timer.Stop()
	}
	s.mu.Unlock()
	s.work.Wait()
	s.outgoing.CloseIdleConnections()
}

// do changes something, the lock held, and wakes those who wait.
func (s *Server) do(change func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change()
	s.change()
}

// after does something later, the lock held both then and now. What was to come at
// the same moment comes one after the other, in the order in which it was decided.
func (s *Server) after(wait time.Duration, do func()) *time.Timer {
	s.timers++
	return time.AfterFunc(wait+time.Duration(s.timers%1000), func() { s.do(do) })
}

// see looks at something, the lock held.
func see[T any](s *Server, look func() T) T {
	s.mu.Lock()
	defer s.mu.Unlock()
	return look()
}

// Handler is what answers calls of the Web API.
func (s *Server) Handler() http.Handler { return s.http.Handler }

// URL is the base of the Web API.
func (s *Server) URL() string { return s.base + "/api/" }

// Secret is what requests to the app are signed with.
func (s *Server) Secret() string { return secret }

// AddPeople lets people in.
func (s *Server) AddPeople(people ...Person) {
	s.do(func() {
		for _, p := range people {
			if p.Team == "" {
				p.Team = Team
			}
			s.people[p.ID] = &p
		}
	})
}

// AddChannels opens channels.
func (s *Server) AddChannels(channels ...Channel) {
	s.do(func() {
		for _, c := range channels {
			s.addRoom(c)
		}
	})
}

func (s *Server) addRoom(c Channel) *room {
	c.Members = slices.Clone(c.Members)
	r := &room{Channel: c, byTS: map[string]*Message{}, threads: map[string][]*Message{}}
	s.rooms[c.ID] = r
	return r
}

// AddGroups makes groups of users, or changes them.
func (s *Server) AddGroups(groups ...Group) {
	s.do(func() {
		for _, g := range groups {
			s.groups[g.ID] = &g
		}
	})
}

func directID(person string) string { return "D" + strings.TrimPrefix(person, "U") }

// directWith is the direct message with a person; it is opened if need be.
func (s *Server) directWith(person string) *room {
	if r := s.rooms[directID(person)]; r != nil {
		return r
	}
	return s.addRoom(Channel{ID: directID(person), With: person, Members: []string{person, Bot}})
}

// stamp is the next time of a message: no two are the same.
func (s *Server) stamp() string {
	s.clock = max(s.clock+1, time.Now().UnixMicro())
	return fmt.Sprintf("%d.%06d", s.clock/1e6, s.clock%1e6)
}

// newID is an id that nothing else has.
func (s *Server) newID(prefix string) string {
	s.serial++
	return fmt.Sprintf("%s0%07X", prefix, s.serial)
}

// change wakes those who wait. The lock is held.
func (s *Server) change() {
	if s.changed != nil {
		close(s.changed)
		s.changed = nil
	}
}

// Until waits until the condition holds: it is asked now and after each change
// of what the server holds or has recorded.
func (s *Server) Until(ctx context.Context, condition func() bool) error {
	for {
		changed := see(s, func() chan struct{} {
			if s.changed == nil {
				s.changed = make(chan struct{})
			}
			return s.changed
		})
		if condition() {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		case <-s.ctx.Done():
			return errClosed
		}
	}
}

var errClosed = errors.New("the server is closed")

// Messages are those that stand in a channel, without replies, oldest first.
func (s *Server) Messages(channel string) []Message {
	return see(s, func() []Message {
		if r := s.rooms[channel]; r != nil {
			return copies(standing(r.top))
		}
		return nil
	})
}

// Thread is a message and its replies as they stand, oldest first.
func (s *Server) Thread(channel, root string) []Message {
	return see(s, func() []Message {
		r := s.rooms[channel]
		if r == nil || r.byTS[root] == nil {
			return nil
		}
		return copies(standing(append([]*Message{r.byTS[root]}, r.threads[root]...)))
	})
}

// standing are the messages that were not deleted.
func standing(all []*Message) []*Message {
	return slices.DeleteFunc(slices.Clone(all), func(m *Message) bool { return m.Deleted })
}

func copies[T any](all []*T) (out []T) {
	for _, x := range all {
		out = append(out, *x)
	}
	return out
}

// Message is one message, deleted or not, whoever sees it.
func (s *Server) Message(channel, ts string) (m Message, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if found := s.find(channel, ts); found != nil {
		return *found, true
	}
	return m, false
}

func (s *Server) find(channel, ts string) *Message {
	if m := s.hidden[ts]; m != nil {
		return m
	}
	if r := s.rooms[channel]; r != nil {
		return r.byTS[ts]
	}
	return nil
}

// Ephemerals are the messages that only this person sees, oldest first.
func (s *Server) Ephemerals(person string) []Message {
	return see(s, func() (out []Message) {
		for _, ts := range slices.Sorted(maps.Keys(s.hidden)) {
			if m := s.hidden[ts]; m.To == person && !m.Deleted {
				out = append(out, *m)
			}
		}
		return out
	})
}

// Direct is the id of the direct message with a person.
func (s *Server) Direct(person string) string {
	return see(s, func() string { return s.directWith(person).ID })
}
