package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"strconv"
	"time"

	"golang.org/x/term"

	"heelpost/bot/console"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/say"
	"heelpost/bot/script"
	"heelpost/bot/talk"
	"heelpost/jobs"
	"heelpost/jobs/redis"
)

// places are where site files and hardware sheets lie.
type places struct {
	Sites  string `help:"Folder of site files: who works where, as what, and when." env:"HEELPOST_SITES" type:"existingdir"`
	Sheets string `help:"Folder of hardware sheets." env:"HEELPOST_SHEETS" type:"existingdir"`
	Redis  string `help:"URL of the Redis that keeps the doors." env:"HEELPOST_REDIS" placeholder:"redis://…"`
	Copies uint   `help:"How many replicas of the Redis must have a change before it counts as done." env:"HEELPOST_REDIS_COPIES" name:"redis-copies" default:"0"`
}

// AfterApply reads the URL of the Redis, which may hold a password, from the
// file that HEELPOST_REDIS_FILE names, unless it was given.
func (p *places) AfterApply() (err error) {
	if p.Redis == "" {
		p.Redis, err = readSecret("HEELPOST_REDIS")
	}
	return err
}

type chatCmd struct {
	places
	Script   string `help:"Replay a conversation from a file, - for standard input." placeholder:"FILE"`
	JSON     bool   `help:"Show each post as JSON, a line each." name:"json"`
	As       string `help:"Who you are; by default the site's first crew member." placeholder:"NAME"`
	Pictures string `help:"Folder into which pictures are drawn, as PNG." type:"existingdir"`
	Site     string `help:"The site you are at; by default the first one." placeholder:"ID"`
}

// Run holds a conversation.
func (c *chatCmd) Run(ctx context.Context, s *streams) error {
	if c.As != "" {
		if err := script.CheckPerson(c.As); err != nil {
			s.complain(err)
			return errTheirs
		}
	}
	in := s.in
	if c.Script != "" && c.Script != "-" {
		f, err := os.Open(c.Script)
		if err != nil {
			s.complain(err)
			return errTheirs
		}
		defer f.Close()
		in = f
	}
	chat := &console.Chat{Outbox: &console.Outbox{}, Screen: newScreen(s.language, s.out), Language: s.language, You: c.As, Zone: time.UTC,
		Session: "c" + strconv.FormatInt(time.Now().UnixNano(), 36), Script: c.Script != "", JSON: c.JSON, Pictures: c.Pictures, Fixed: c.Redis != ""}
	store, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer store.Close()
	if err := c.furnish(ctx, s, chat, store); err != nil {
		return err
	}
	if _, ok := terminal(s.out); ok && !chat.Script && !c.JSON {
		kept := say.F("nothing said here is kept")
		if c.Redis != "" {
			kept = say.F("doors are kept in the Redis you named, apart from those of other rooms")
		}
		s.tell(say.F("Ask, or help. You are %s; %s. End with Ctrl-D.", chat.You, kept))
	}
	err = chat.Run(ctx, in, time.Now)
	var fault interface{ LineFault() bool }
	if errors.As(err, &fault) {
		s.complain(err)
		return errTheirs
	}
	return err
}

// open opens the store: the named Redis, or one inside this process.
func (c *chatCmd) open(ctx context.Context) (*redis.Store, error) {
	if c.Redis == "" {
		return redis.Embedded(ctx, "console")
	}
	return c.openSafe(ctx, "console")
}

// furnish gives the conversation its bot, and its desk if there are sites.
func (c *chatCmd) furnish(ctx context.Context, s *streams, chat *console.Chat, store *redis.Store) error {
	sites, _, faults := c.read()
	for _, f := range faults {
		s.complain(f)
	}
	if len(faults) > 0 {
		return errTheirs
	}
	if len(sites) == 0 {
		bot := talk.New(&talk.Memory{}, nil)
		bot.Language = s.language
		chat.Bot = bot
		chat.You = orElse(chat.You, "you")
		return nil
	}
	desk := desk.New(store, false)
	desk.Language = s.language
	shelf := shelf{places: c.places, desk: desk}
	if _, err := shelf.load(ctx); err != nil {
		return err
	}
	chat.Reload = shelf.reload
	here := sites[0]
	for _, site := range sites {
		if site.ID == c.Site {
			here = site
		}
	}
	if c.Site != "" && here.ID != c.Site {
		s.complain(say.F("there is no site %s", c.Site))
		return errTheirs
	}
	talk := talk.New(talk.Stored{Store: store}, desk)
	chat.Bot, chat.Work = talk, work{desk, notify.New(chat.Session, desk, chat.Outbox, talk.Hear)}
	chat.Channel, chat.Zone = here.Channels[0], here.Zone
	for _, p := range here.People {
		if p.Role == jobs.Crew {
			chat.You = orElse(chat.You, p.ID)
		}
	}
	if chat.Script {
		return nil // its first line sets the clock
	}
	return desk.LayRules(ctx, time.Now())
}

// work is what goes on at a desk: its rules, and the runner of its notices.
type work struct {
	*desk.Desk
	*jobs.Runner
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// terminal returns the width of the terminal that w is; false if it is none.
func terminal(w io.Writer) (width int, ok bool) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return 0, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	return width, err == nil
}
