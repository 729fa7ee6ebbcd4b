package slack

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"
	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Store is what the adapter keeps beside what the desk does: names of its
// side, and limits on calls that all replicas share.
type Store interface {
	Bind(ctx context.Context, refs map[string]string) error
	Bound(ctx context.Context, names ...string) ([]string, error)
	// Pace counts a call that the limits allow now and returns 0, or the
	// time to wait. Hold keeps a limit shut until a time. Held counts the
	// names with a prefix that are held now.
	Pace(ctx context.Context, now jobs.Millis, limits ...jobs.Pace) (time.Duration, error)
	Hold(ctx context.Context, limit string, until jobs.Millis) error
	Held(ctx context.Context, prefix string, now jobs.Millis) (int, error)
}

// Config is what an adapter is made of. Tokens are never logged.
type Config struct {
	Name     string // of the process, unique
	BotToken string
	AppToken string   // of Socket Mode
	Secrets  []string // that sign requests over HTTP; two while one is replaced
	API      string   // where the Web API is, if not at Slack; ends in /
	Allow    []string // workspaces and channels that are answered; all if there are none
	Client   *http.Client
	Dialer   *websocket.Dialer // of Socket Mode; the client library's own if nil
	Log      *slog.Logger
	Monitor  *Monitor
	Limits   Limits
	Stop     func(error)      // ends the process, for a reason that waiting does not mend
	Stagger  time.Duration    // between the connections of a process, so that they are not renewed at once; 3 s if 0
	Clock    func() time.Time // when things are said; time.Now if nil
	Language *say.Language    // of what is said; nil for English
}

// Limits are how fast the Web API is called.
type Limits struct {
	Channel   jobs.Pace // posts to one channel
	Workspace jobs.Pace // posts to all channels
	Method    jobs.Pace // calls of any other method
}

// SlackLimits are the limits that Slack names: one post a second to a channel
// with short bursts, several hundred a minute to a workspace, and some fifty
// calls a minute of most methods.
var SlackLimits = Limits{
	Channel:   jobs.Pace{Every: time.Second, Burst: 4},
	Workspace: jobs.Pace{Every: 200 * time.Millisecond, Burst: 20},
	Method:    jobs.Pace{Every: 1200 * time.Millisecond, Burst: 20},
}

// NoLimits calls as fast as it can: for tests against a fake without rates.
var NoLimits = Limits{Channel: jobs.Pace{Burst: 1}, Workspace: jobs.Pace{Burst: 1}, Method: jobs.Pace{Burst: 1}}

// Adapter is the bot in one Slack workspace.
type Adapter struct {
	Config
	api     *slack.Client
	store   Store
	desk    Desk
	bot     Bot
	metrics *Monitor
	self    slack.AuthTestResponse
	appID   string // learnt from the first hello or payload

	work sync.WaitGroup // what goes on after an acknowledgement
	mu   sync.Mutex
	told map[string]time.Time // by channel: when the store last failed what was said there; tellOutage tells a channel once

	reads    map[spot]*reading  // that others can join
	pictures sync.Map           // by the name of their file: Slack's id of it
	known    atomic.Int64       // how many they are, at most
	tables   map[bool]*refusals // of tables, with buttons in their rows and without
	reach    reach
	deaf     atomic.Int64 // when the last connection was lost, in ms
}

// errRevoked ends a process: nothing that it could do would mend it.
var errRevoked = say.F("slack does not know this bot any more")

// New returns an adapter that has made itself known at Slack. [Adapter.Work]
// gives it its work.
func New(ctx context.Context, c Config) (*Adapter, error) {
	if c.Client == nil {
		c.Client = &http.Client{Timeout: 10 * time.Second}
	}
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.Stagger == 0 {
		c.Stagger = 3 * time.Second
	}
	if c.Stop == nil {
		c.Stop = func(error) {}
	}
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Monitor == nil {
		c.Monitor = NewMonitor()
	}
	if c.Limits == (Limits{}) {
		c.Limits = SlackLimits
	}
	a := &Adapter{Config: c, metrics: c.Monitor, told: map[string]time.Time{}, tables: map[bool]*refusals{true: {}, false: {}}, reads: map[spot]*reading{}}
	a.metrics.sockets.Store(c.AppToken != "")
	a.api = c.client(a.counted(c.Client))
	self, err := a.api.AuthTestContext(ctx)
	if err != nil {
		return nil, unknown(err)
	}
	a.self = *self
	return a, nil
}

// client returns a client of the Web API.
func (c *Config) client(over *http.Client, more ...slack.Option) *slack.Client {
	options := []slack.Option{slack.OptionHTTPClient(over), slack.OptionAppLevelToken(c.AppToken)}
	if c.API != "" {
		options = append(options, slack.OptionAPIURL(c.API))
	}
	return slack.New(c.BotToken, append(options, more...)...)
}

// Workspace returns the id of the workspace that the bot's token is for.
func (a *Adapter) Workspace() string { return a.self.TeamID }

// Bot is what the adapter hands what people say, press and fill in.
type Bot interface {
	Handle(context.Context, bot.Message) ([]bot.Post, error)
	Waits(context.Context, bot.Message) (bool, error)
	Plain(bot.Message) (bot.Post, bool)
	Press(context.Context, bot.Message) ([]bot.Post, error)
	Form(ctx context.Context, m bot.Message, id string) (bot.Form, error)
	Submit(ctx context.Context, m bot.Message, id string, values map[string]string) (complaints map[string]string, posts []bot.Post, err error)
	Face(ctx context.Context, door string) (bot.Post, error)
	Home(ctx context.Context, person, filter string, page int, now time.Time) (bot.Home, error)
}

// Desk is what the adapter asks about sites and doors, and tells of them.
type Desk interface {
	Hear(ctx context.Context, seen string, m bot.Message) (bool, error)
	Sites() []*jobs.Site
	Channel(site string) string
	Zone(channel string) *time.Location
	Recent(ctx context.Context, site string, most int) (doors []string, total int, err error)
	Redraw(ctx context.Context, door string, now time.Time) error
	Announce(ctx context.Context, site string, text say.Text, now time.Time) error
	TellOffice(ctx context.Context, channel string, text say.Text, now time.Time) error
	Groups() []string
	Members(group string) []string
	UseMembers(map[string][]string)
}

// Work gives the adapter its store, its desk and its bot.
func (a *Adapter) Work(store Store, desk Desk, b Bot) { a.store, a.desk, a.bot = store, desk, b }

// Denied takes note of what somebody tried that their role forbids.
func (a *Adapter) Denied(no *jobs.PermissionError) {
	a.Log.Warn("somebody tried what their role forbids", "person", no.Who, "role", no.Role, "action", no.Action)
}

// Regroup asks Slack who is in the user groups of the sites. Of a group that
// can't be read the members stay as they were.
func (a *Adapter) Regroup(ctx context.Context) error {
	members := map[string][]string{}
	var errs []error
	for _, group := range a.desk.Groups() {
		err := a.paceMethod(ctx, "usergroups.users.list")
		if err == nil {
			members[group], err = a.api.GetUserGroupMembersContext(ctx, group)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("members of the user group %s: %w", group, redacted(err)))
			members[group] = a.desk.Members(group)
		}
	}
	a.desk.UseMembers(members)
	return errors.Join(errs...)
}

// person returns who a Slack user is at the site of a channel, or, of a word
// to the bot alone, at the first site that names them. Who is named nowhere
// is known by the user's id.
func (a *Adapter) person(channel, user string) string {
	for _, s := range a.desk.Sites() {
		if channel != "" && !slices.Contains(s.Channels, channel) {
			continue
		}
		for _, p := range s.People {
			if p.Account == user {
				return p.ID
			}
		}
	}
	return user
}

// directory knows the accounts of the people of a site, or of all sites.
type directory struct {
	a    *Adapter
	site string
}

// Slack returns the user id of a person.
func (d directory) Slack(person string) string {
	for _, s := range d.a.desk.Sites() {
		if d.site != "" && s.ID != d.site {
			continue
		}
		if p, ok := s.Person(person); ok && p.Account != "" {
			return p.Account
		}
	}
	if isUser(person) {
		return person
	}
	return ""
}

// isUser reports whether somebody is known by a user's id.
func isUser(person string) bool { return isID(person, "UW") }

// isID reports whether an id of Slack's begins with one of some letters.
func isID(id, letters string) bool {
	return len(id) >= 8 && strings.IndexByte(letters, id[0]) >= 0 && strings.Trim(id, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == ""
}

// later goes on with something after its payload was acknowledged. A process
// that stops waits for it.
func (a *Adapter) later(what func()) {
	a.work.Go(func() {
		defer a.survive()
		what()
	})
}

// Finish waits for what goes on after the last acknowledgement. Nothing of it
// takes longer than a call of the Web API may.
func (a *Adapter) Finish() { a.work.Wait() }

// siteOf and doorOf return the parts of a door's key.
func siteOf(key string) string { site, _, _ := strings.Cut(key, "/"); return site }
func doorOf(key string) string { _, door, _ := strings.Cut(key, "/"); return door }

// allowed reports whether the bot answers in a channel of a workspace.
func (a *Adapter) allowed(channel string) bool {
	if len(a.Allow) == 0 {
		return true
	}
	teams, channels := false, false
	for _, x := range a.Allow {
		switch {
		case x == channel || x == a.self.TeamID:
			return true
		case x[0] == 'T':
			teams = true
		default:
			channels = true
		}
	}
	// A direct message is in no channel of a list; only a list of workspaces
	// that ours is not in shuts it out.
	return isDirect(channel) && channels && !teams
}

func isDirect(channel string) bool { return len(channel) > 0 && channel[0] == 'D' }

// fatal ends the process for a reason that waiting does not mend.
func (a *Adapter) fatal(err error) {
	a.Log.Error("stopping", "why", redacted(err))
	a.Stop(err)
}
