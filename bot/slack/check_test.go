package slack

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/slack-go/slack"

	"heelpost/bot/slack/fake"
	"heelpost/jobs"
)

// upset is something wrong at Slack or in the settings, and what Check says of
// it.
type upset struct {
	cause func(s *fake.Server, c *Config, site *jobs.Site)
	want  []string // one part for each fault
}

// without are the scopes but for some.
func without(scopes ...string) []string {
	return slices.DeleteFunc(slices.Clone(Scopes), func(s string) bool { return slices.Contains(scopes, s) })
}

var upsets = map[string]upset{
	"in order":         {func(*fake.Server, *Config, *jobs.Site) {}, nil},
	"token wrong":      {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.BotToken = "xoxb-other" }, []string{"SLACK_BOT_TOKEN is no bot's token"}},
	"token of the app": {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.BotToken = fake.AppToken }, []string{"SLACK_BOT_TOKEN is no bot's token"}},
	"token revoked": {func(s *fake.Server, c *Config, _ *jobs.Site) { s.ForgetTokens("token_revoked"); c.AppToken = "" },
		[]string{"was uninstalled, or was revoked"}},
	"app's token wrong":      {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.AppToken = "xapp-other" }, []string{"SLACK_APP_TOKEN is no app-level token"}},
	"app's token of the bot": {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.AppToken = fake.BotToken }, []string{"SLACK_APP_TOKEN is no app-level token"}},
	"app's token too weak": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.Break(fake.Fault{Method: "apps.connections.open", Code: "missing_scope"})
	}, []string{"does not allow connections:write"}},
	"http transport": {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.AppToken = "" }, nil},
	"away":           {func(s *fake.Server, _ *Config, _ *jobs.Site) { s.Break(fake.Fault{Cut: true}) }, []string{"slack cannot be reached", "slack gives no connection"}},
	"scopes missing": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.SetScopes(without("usergroups:read", "users:read", "im:write")...)
	},
		[]string{"does not allow im:write, usergroups:read, users:read: add it"}},
	"no channel's id":         {func(_ *fake.Server, _ *Config, site *jobs.Site) { site.Channels = []string{"doors"} }, []string{"channel doors is no id of a channel"}},
	"channel unknown":         {func(_ *fake.Server, _ *Config, site *jobs.Site) { site.Channels = []string{"C0NOWHERE"} }, []string{"channel C0NOWHERE is not there for the bot"}},
	"channel without the bot": {func(s *fake.Server, _ *Config, _ *jobs.Site) { s.Leave(doors, fake.Bot) }, []string{doors + " is without the bot: say /invite"}},
	"private channel without the bot": {func(s *fake.Server, _ *Config, site *jobs.Site) {
		s.AddChannels(fake.Channel{ID: "G0PRIVATE", Name: "hidden", Private: true, Members: []string{ana}})
		site.Channels = []string{"G0PRIVATE"}
	}, []string{"if it is private, say /invite"}},
	"channel archived": {func(s *fake.Server, _ *Config, _ *jobs.Site) { s.Archive(doors, ana) }, []string{doors + " is archived"}},
	"channel not allowed": {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.Allow = []string{other} },
		[]string{doors + " is not in HEELPOST_SLACK_ALLOW"}},
	"workspace allowed": {func(_ *fake.Server, c *Config, _ *jobs.Site) { c.Allow = []string{fake.Team} }, nil},
	"no account": {func(_ *fake.Server, _ *Config, site *jobs.Site) { site.People[0].Account = "" },
		[]string{"ana has no account at slack"}},
	"account unknown": {func(_ *fake.Server, _ *Config, site *jobs.Site) { site.People[1].Account = "U0NOBODY1" }, []string{"bo has the account U0NOBODY1, which is not in this workspace"}},
	"account deactivated": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.ChangePerson(fake.Person{ID: mo, Name: "mo", Deleted: true})
	}, []string{"mo has the account " + mo + ", which is deactivated"}},
	"account of a bot": {func(_ *fake.Server, _ *Config, site *jobs.Site) { site.People[1].Account = fake.Bot }, []string{"which is a bot's"}},
	"group": {func(s *fake.Server, _ *Config, site *jobs.Site) {
		s.AddGroups(fake.Group{ID: "S0CREW001", Users: []string{guest}})
		site.Groups = []jobs.Group{{Account: "S0CREW001", Role: jobs.Crew}}
	}, nil},
	"group unknown": {func(_ *fake.Server, _ *Config, site *jobs.Site) {
		site.Groups = []jobs.Group{{Account: "S0NOWHERE", Role: jobs.Crew}}
	}, []string{"user group S0NOWHERE is not there"}},
	"group disabled": {func(s *fake.Server, _ *Config, site *jobs.Site) {
		s.AddGroups(fake.Group{ID: "S0CREW001", Disabled: true})
		site.Groups = []jobs.Group{{Account: "S0CREW001", Role: jobs.Crew}}
	}, []string{"user group S0CREW001 is disabled"}},
	"history forbidden": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.Break(fake.Fault{Method: "conversations.history", Code: "not_allowed_token_type"})
	}, []string{"can't be read back (conversations.history: not_allowed_token_type), so what was said in an outage stays unread and a post may come twice: give the bot's token the scope channels:history"}},
	"replies forbidden": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.Say(doors, ana, "good morning", "")
		s.Break(fake.Fault{Method: "conversations.replies", Code: "missing_scope"})
	}, []string{"can't be read back (conversations.replies: missing_scope)"}},
	"posts come back bare": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		api := slack.New(fake.BotToken, slack.OptionAPIURL(s.URL()))
		api.PostMessage(doors, slack.MsgOptionText("door A-1, survey", false))
	}, []string{"gives the bot's posts back without what they carry along (metadata)"}},
	"fault at slack": {func(s *fake.Server, _ *Config, _ *jobs.Site) {
		s.Break(fake.Fault{Method: "conversations.info", Code: "internal_error"})
	}, []string{doors + " could not be looked at: internal_error"}},
}

// Each fault is told, with what to do about it, and nothing else is.
func TestCheck(t *testing.T) {
	for name, c := range upsets {
		t.Run(name, func(t *testing.T) {
			s := newFake(t, fake.Options{Tiers: true})
			config, site := Config{BotToken: fake.BotToken, AppToken: fake.AppToken, API: s.URL()}, accounts(t)
			c.cause(s, &config, site)
			posts := s.Calls("chat.postMessage")
			_, good, faults := Check(t.Context(), config, []*jobs.Site{site})
			if len(faults) != len(c.want) {
				t.Fatalf("got %d faults, want %d:\n%v", len(faults), len(c.want), errors.Join(faults...))
			}
			for i, want := range c.want {
				if !strings.Contains(faults[i].Error(), want) {
					t.Errorf("got %q, want it to say %q", faults[i], want)
				}
			}
			for _, secret := range []string{config.BotToken, config.AppToken} {
				if said := fmt.Sprint(good, faults); secret != "" && strings.Contains(said, secret) {
					t.Errorf("%q tells a token", said)
				}
			}
			if s.Sockets() != 0 || s.Calls("chat.postMessage") != posts {
				t.Error("the check connected, or posted something")
			}
		})
	}
}

// An adapter that slack does not let in says what to do about it, as Check
// does.
func TestNew_Refused(t *testing.T) {
	for want, fault := range map[string]fake.Fault{
		"slack cannot be reached": {Cut: true},
		"install the app":         {Code: "account_inactive"},
		"copy the Bot User OAuth": {Code: "invalid_auth"},
	} {
		server, err := fake.New(fake.Options{Scopes: Scopes})
		if err != nil {
			t.Fatal(err)
		}
		defer server.Close()
		server.Break(fault)
		_, err = New(t.Context(), Config{BotToken: fake.BotToken, API: server.URL()})
		if err == nil || !strings.Contains(err.Error(), want) || errors.Is(err, ErrAway) != fault.Cut {
			t.Errorf("got %v, want it to say %q", err, want)
		}
	}
}
