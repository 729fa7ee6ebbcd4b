package main

import (
	"context"
	"crypto/rand"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"syscall"
	"time"

	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/say"
	"heelpost/bot/talk"
	"heelpost/bot/web"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// roomListen is where the room is, unless it is told.
const roomListen = "127.0.0.1:4770"

type tryCmd struct {
	places
	Listen string `help:"Where the room is served, on this machine." default:"127.0.0.1:4770" env:"HEELPOST_ROOM_LISTEN" placeholder:"ADDR"`
	URL    string `help:"What browsers call the room, where a proxy on this machine stands before it." env:"HEELPOST_ROOM_URL" placeholder:"URL" name:"room-url"`
	SignIn string `help:"Header in which that proxy says who somebody is, by their id in the site file. Off by default: everybody may be anybody." env:"HEELPOST_ROOM_SIGN_IN" placeholder:"NAME" name:"sign-in-header"`
}

// Run opens the room until it is told to stop.
func (c *tryCmd) Run(ctx context.Context, s *streams) error {
	l, gate, err := c.gate()
	if err != nil {
		s.complain(err)
		return errTheirs
	}
	defer l.Close()
	store, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer store.Close()
	if gate.Token, err = token(ctx, store); err != nil {
		return err
	}
	room := &web.Room{Store: store, Language: s.language, Moves: c.Redis == "" || c.Sites == "", Guest: c.SignIn == "", Gate: gate,
		Log: slog.New(slog.NewTextHandler(s.err, nil))}
	if err := c.furnish(ctx, s, room, store); err != nil {
		return err
	}
	s.tell(c.welcome(gate))
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	ran := make(chan error, 1)
	go func() { ran <- room.Run(ctx) }()
	server := &http.Server{ErrorLog: slog.NewLogLogger(room.Log.Handler(), slog.LevelWarn)}
	err = room.Serve(ctx, server, func() error { return server.Serve(l) })
	stop(nil)
	return errors.Join(err, <-ran)
}

// gate says where the room is, and listens there.
func (c *tryCmd) gate() (net.Listener, web.Gate, error) {
	host, _, err := net.SplitHostPort(c.Listen)
	if ip := net.ParseIP(host); err != nil || ip == nil || !ip.IsLoopback() {
		return nil, web.Gate{}, say.F("--listen %s is not on this machine alone: name a loopback address with a port, as %s; who comes from elsewhere comes through a proxy, see --room-url", c.Listen, roomListen)
	}
	if (c.URL == "") != (c.SignIn == "") {
		return nil, web.Gate{}, say.F("--room-url and --sign-in-header go together: a proxy that lets people in has to say who they are")
	}
	gate := web.Gate{SignIn: c.SignIn}
	if c.URL != "" {
		u, err := url.Parse(c.URL)
		if err != nil || u.Scheme != "https" || u.Host == "" || u.Path != "" && u.Path != "/" {
			return nil, gate, say.F("--room-url %s is not as https://room.example.org, without a path", c.URL)
		}
		gate.Host, gate.TLS = u.Host, true
	}
	l, err := net.Listen("tcp", c.Listen)
	if errors.Is(err, syscall.EADDRINUSE) && c.Listen == roomListen && c.Redis == "" {
		l, err = net.Listen("tcp", net.JoinHostPort(host, "0")) // any will do for a try
	}
	if err != nil {
		return nil, gate, listening(err, say.F("--listen or HEELPOST_ROOM_LISTEN"))
	}
	if gate.Host == "" {
		gate.Host = l.Addr().String()
	}
	return l, gate, nil
}

// open opens the store: the named Redis, or one inside this process. The site
// to try has a place of its own there.
func (c *tryCmd) open(ctx context.Context) (*redis.Store, error) {
	switch {
	case c.Redis == "":
		return redis.Embedded(ctx, "try")
	case c.Sites == "":
		return c.openSafe(ctx, "try")
	}
	return c.openSafe(ctx, "room")
}

// token returns what every address in the room begins with. It is kept with
// the doors, so that a page finds the room again.
func token(ctx context.Context, store *redis.Store) (string, error) {
	const name = "room:token"
	bound, err := store.Bound(ctx, name)
	if err != nil || bound[0] != "" {
		return bound[0], err
	}
	fresh := rand.Text()
	return fresh, store.Bind(ctx, map[string]string{name: fresh})
}

// furnish puts sites, sheets and doors into the room.
func (c *tryCmd) furnish(ctx context.Context, s *streams, room *web.Room, store *redis.Store) error {
	desk := desk.New(store, true)
	desk.Language = s.language
	talk := talk.New(talk.Stored{Store: store}, desk)
	runner := notify.New("room-"+strconv.FormatInt(time.Now().UnixNano(), 36), desk, room, talk.Hear)
	runner.Lease, runner.Look = 5*time.Second, 0 // what is posted again stands there once
	runner.Report = func(err error) { room.Log.Warn("notices", "error", err) }
	room.Bot, room.Desk, room.Work = talk, desk, work{desk, runner}
	if c.Sites != "" {
		return c.crew(ctx, s, room, desk)
	}
	site, err := jobs.ParseSite(web.DemoSite, nil)
	if err != nil {
		return err
	}
	if err := errors.Join(desk.UseSheet(ctx, web.DemoSheet), desk.UseSite(ctx, site), room.Open(ctx)); err != nil {
		return err
	}
	if err := room.Demo(ctx); err != nil {
		return err
	}
	return desk.LayRules(ctx, room.Now())
}

// crew takes a crew's own sites and sheets into use.
func (c *tryCmd) crew(ctx context.Context, s *streams, room *web.Room, desk *desk.Desk) error {
	sites, _, faults := c.read()
	for _, f := range faults {
		s.complain(f)
	}
	if len(faults) == 0 && len(sites) == 0 {
		faults = append(faults, say.F("%s has no site file (.yaml)", c.Sites))
		s.complain(faults[0])
	}
	if len(faults) > 0 {
		return errTheirs
	}
	shelf := shelf{places: c.places, desk: desk}
	if _, err := shelf.load(ctx); err != nil {
		return err
	}
	room.Reload = shelf.reload
	if err := room.Open(ctx); err != nil {
		return err
	}
	return desk.LayRules(ctx, room.Now())
}

// welcome says where the room is, and what to know of it.
func (c *tryCmd) welcome(g web.Gate) say.Text {
	scheme, kept, who := "http", say.F("nothing said in it is kept"), say.F("whoever has the address may be anybody in it: keep it on this machine")
	if g.TLS {
		scheme = "https"
		who = say.F("people are who the header %s says: let nobody reach this port but your proxy, and have it take that header from nobody else", c.SignIn)
	}
	if c.Redis != "" {
		kept = say.F("what is said in it is kept in the Redis you named")
	}
	what := say.F("it is a room with a site to try, invented from end to end")
	if c.Sites != "" {
		what = say.F("it is the room of your own sites")
	}
	return say.Lines(say.F("Open %s in a browser.", scheme+"://"+g.Host+"/"+g.Token+"/"), say.F("%s; %s; %s. End with Ctrl-C.", what, kept, who))
}
