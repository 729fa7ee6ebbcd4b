// Package fake is a Slack to test against: the Web API, Socket Mode and signed
// requests, on a loopback address. It keeps Slack's own rules (limits, rates,
// deadlines, scopes), does Slack's part of what people do there, breaks down
// where it is told to, and remembers what it was sent. Only tests use it; it
// knows nothing of the adapter or its client library, so that neither can be
// wrong together with it.
//
// What it does follows Slack's documentation as far as that goes; what was
// only remembered says "from memory".
package fake

import (
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
)

// Options say how this Slack is. A zero is Slack's own value, a negative one
// takes the limit away.
type Options struct {
	Ack         time.Duration   // what was sent to the app is answered within this: 3 s
	Resend      []time.Duration // waits before an unanswered event is sent again: at once, 1 min, 5 min
	Trigger     time.Duration   // a trigger can open a form for this long: 3 s
	ResponseURL time.Duration   // a response URL can be used for this long: 30 min
	Ping        time.Duration   // between pings on a socket: 10 s
	Warn        time.Duration   // from the warning to the end of a socket: 10 s
	FileDelay   time.Duration   // from the upload of a file until it can be shown: 200 ms
	PostEvery   time.Duration   // a channel takes one post in this time: 1 s
	PostBurst   int             // and as many at once after a rest: 5
	Tiers       bool            // each method has its calls a minute as well
	Scopes      []string        // that the bot's token has; nil: all that Scopes and EventScopes name
	Events      []string        // that the app is subscribed to, as its manifest names them; nil: all
	Secret      string          // signs requests: fake-signing-secret
}

// Person is one who can act. A Team other than the fake's own makes them
// somebody from another workspace.
type Person struct {
	ID, Name, RealName, TZ string
	Team                   string
	Guest, SingleGuest     bool // of several channels, of one
	Admin, Bot, Deleted    bool
}

// Channel is a channel or a direct message.
type Channel struct {
	ID, Name string
	Private  bool
	Shared   bool   // with another workspace
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

// Group is a group of users.
type Group struct {
	ID, Handle, Name string
	Users            []string
	Disabled         bool
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
	Broadcast           bool // a reply that is shown in the channel too
	Text                string
	Blocks              json.RawMessage
	Metadata            *Metadata
	Files               []string
	Reactions           []Reaction
	Edits               []Edit // what it was, oldest first
	Deleted             bool
	To                  string // the only one who sees it; "" if everybody does
}

// Reaction is one person's reaction.
type Reaction struct{ Name, User string }

// Edit is what a message was before a change.
type Edit struct {
	Text     string
	Blocks   json.RawMessage
	Metadata *Metadata
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
	slots    chan struct{} // requests to the app at once

	mu       sync.Mutex
	changed  chan struct{} // closed at the next change; nil if nobody waits
	clock    int64         // the last ts, in microseconds
	serial   int
	revoked  string // the error that tokens get: token_revoked, account_inactive
	scopes   []string
	people   map[string]*Person
	groups   map[string]*Group
	rooms    map[string]*room
	direct   map[string]string // person to their direct message
	views    map[string]*View
	stacks   map[string][]*View // person to open modals, the topmost last
	homes    map[string]*View
	files    map[string]*file
	uploads  map[string]string // key of the upload URL to file id
	triggers map[string]*trigger
	hooks    map[string]*hook // response URLs
	hidden   map[string]*Message
	tiers    map[string]*bucket
	faults   []*Fault
	trouble  Trouble
	counts   map[string]int // events since a trouble was set, by kind
	tamper   func(kind string, payload map[string]any)
	held     *delivery // kept back to come out of order
	address  string    // of the app, for signed requests; "": sockets
	tickets  map[string]time.Time
	conns    []*conn
	next     int // connection
	waiting  map[string]*delivery
	record
}

// room is a channel with its messages.
type room struct {
	Channel
	byTS    map[string]*Message
	top     []*Message            // those in the channel, oldest first
	threads map[string][]*Message // replies by root, oldest first
	posts   bucket
}

// New starts a Slack with the bot in it and nobody else.
func New(o Options) (*Server, error) {
	def := func(d *time.Duration, v time.Duration) {
		if *d == 0 {
			*d = v
		}
	}
	def(&o.Ack, 3*time.Second)
	def(&o.Trigger, 3*time.Second)
	def(&o.ResponseURL, 30*time.Minute)
	def(&o.Ping, 10*time.Second)
	def(&o.Warn, 10*time.Second)
	def(&o.FileDelay, 200*time.Millisecond)
	def(&o.PostEvery, time.Second)
	if o.PostBurst == 0 {
		o.PostBurst = 5
	}
	if o.Resend == nil {
		o.Resend = []time.Duration{0, time.Minute, 5 * time.Minute}
	}
	if o.Secret == "" {
		o.Secret = "fake-signing-secret"
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithCancel(context.Background())
	s := &Server{
		opts: o, base: "http://" + l.Addr().String(), ctx: ctx, stop: cancel,
		slots:    make(chan struct{}, 128),
		outgoing: &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: 128}},
		scopes:   o.Scopes,
		people:   map[string]*Person{}, groups: map[string]*Group{}, rooms: map[string]*room{}, direct: map[string]string{},
		views: map[string]*View{}, stacks: map[string][]*View{}, homes: map[string]*View{},
		files: map[string]*file{}, uploads: map[string]string{}, triggers: map[string]*trigger{}, hooks: map[string]*hook{},
		hidden: map[string]*Message{}, tiers: map[string]*bucket{}, counts: map[string]int{},
		tickets: map[string]time.Time{}, waiting: map[string]*delivery{},
		record: newRecord(),
	}
	if s.scopes == nil {
		s.scopes = AllScopes()
	}
	s.AddPeople(Person{ID: Bot, Name: BotName, RealName: "Heelpost", Bot: true})
	mux := http.NewServeMux()
	mux.HandleFunc("/api/{method}", s.serveAPI)
	mux.HandleFunc("/upload/{key}", s.serveUpload)
	mux.HandleFunc("/files/{id}", s.serveFile)
	mux.HandleFunc("/hook/{key}", s.serveHook)
	mux.HandleFunc("/link", s.serveSocket)
	s.http = &http.Server{Handler: mux, ReadHeaderTimeout: 10 * time.Second}
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

// URL is the base of the Web API.
func (s *Server) URL() string { return s.base + "/api/" }

// Secret is what requests to the app are signed with.
func (s *Server) Secret() string { return s.opts.Secret }

// AddPeople lets people in.
func (s *Server) AddPeople(people ...Person) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, p := range people {
		if p.Team == "" {
			p.Team = Team
		}
		if p.TZ == "" {
			p.TZ = "America/New_York"
		}
		if p.RealName == "" {
			p.RealName = p.Name
		}
		s.people[p.ID] = &p
	}
}

// AddChannels opens channels.
func (s *Server) AddChannels(channels ...Channel) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range channels {
		s.addRoom(c)
	}
}

func (s *Server) addRoom(c Channel) *room {
	c.Members = slices.Clone(c.Members)
	r := &room{Channel: c, byTS: map[string]*Message{}, threads: map[string][]*Message{}}
	s.rooms[c.ID] = r
	if c.With != "" {
		s.direct[c.With] = c.ID
	}
	return r
}

// AddGroups makes groups of users, or changes them.
func (s *Server) AddGroups(groups ...Group) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, g := range groups {
		g.Users = slices.Clone(g.Users)
		s.groups[g.ID] = &g
	}
}

// directWith is the direct message with a person; it is opened if need be.
func (s *Server) directWith(person string) *room {
	if id, ok := s.direct[person]; ok {
		return s.rooms[id]
	}
	return s.addRoom(Channel{ID: "D" + strings.TrimPrefix(person, "U"), With: person, Members: []string{person, Bot}})
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
		s.mu.Lock()
		if s.changed == nil {
			s.changed = make(chan struct{})
		}
		changed := s.changed
		s.mu.Unlock()
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
	s.mu.Lock()
	defer s.mu.Unlock()
	if r := s.rooms[channel]; r != nil {
		return present(r.top)
	}
	return nil
}

// Thread is a message and its replies as they stand, oldest first.
func (s *Server) Thread(channel, root string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.rooms[channel]
	if r == nil {
		return nil
	}
	var all []*Message
	if m := r.byTS[root]; m != nil {
		all = append(all, m)
	}
	return present(append(all, r.threads[root]...))
}

func present(all []*Message) []Message {
	var out []Message
	for _, m := range all {
		if !m.Deleted {
			out = append(out, *m)
		}
	}
	return out
}

// Message is one message, deleted or not.
func (s *Server) Message(channel, ts string) (Message, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if r := s.rooms[channel]; r != nil {
		if m := r.byTS[ts]; m != nil {
			return *m, true
		}
	}
	return Message{}, false
}

// Ephemerals are the messages that only this person sees, oldest first.
func (s *Server) Ephemerals(person string) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []Message
	for _, ts := range slices.Sorted(maps.Keys(s.hidden)) {
		if m := s.hidden[ts]; m.To == person && !m.Deleted {
			out = append(out, *m)
		}
	}
	return out
}

// Direct is the id of the direct message with a person.
func (s *Server) Direct(person string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.directWith(person).ID
}
