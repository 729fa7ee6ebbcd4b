package slack

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Scopes are what the bot's token must allow. The app manifests ask for them.
var Scopes = []string{"app_mentions:read", "channels:history", "channels:read", "chat:write", "commands", "files:read", "files:write",
	"groups:history", "groups:read", "im:history", "im:write", "usergroups:read", "users:read"}

// inspection looks at Slack with the bot's eyes.
type inspection struct {
	Config
	api    *slack.Client
	good   []say.Text
	faults []error
	self   string // the bot's user
	bot    string // and its other name
	blind  bool   // something was not looked at, because the token does not allow it
}

// Check looks whether the bot can do its work for sites: its tokens, what
// they allow, the channels, the people and the user groups. It returns the
// workspace's id, "" if the token tells none, what is in order, and what is
// wrong with what to do about it. It changes nothing at Slack.
func Check(ctx context.Context, c Config, sites []*jobs.Site) (workspace string, good []say.Text, faults []error) {
	if c.Client == nil {
		c.Client = &http.Client{Timeout: 10 * time.Second}
	}
	k := &inspection{Config: c}
	k.api = c.client(c.Client, slack.OptionRetry(5)) // a large site is more calls than a minute takes
	workspace = k.token(ctx)
	if c.AppToken != "" {
		k.appToken(ctx)
	}
	if workspace != "" {
		for _, site := range sites {
			k.site(ctx, site)
		}
	}
	return workspace, k.good, k.faults
}

func (k *inspection) fault(what say.Text) { k.faults = append(k.faults, what) }

// ErrAway says that Slack did not answer.
var ErrAway = say.F("slack cannot be reached")

// unknown says why slack did not tell who the bot is, and what to do.
func unknown(err error) error {
	switch c := code(err); {
	case c == "":
		return say.Wrap(ErrAway, say.F("%s: %s; this machine needs https to slack.com and the hosts below it", ErrAway, redacted(err)))
	case slices.Contains([]string{"token_revoked", "account_inactive"}, c):
		return say.F("SLACK_BOT_TOKEN is of an app that was uninstalled, or was revoked (%s): install the app to the workspace again, from its page Install App, and take the new token", c)
	default:
		return say.F("SLACK_BOT_TOKEN is no bot's token that slack knows (%s): copy the Bot User OAuth Token, xoxb-…, from the app's page OAuth & Permissions, whole", c)
	}
}

// token checks the bot's token and what it allows.
func (k *inspection) token(ctx context.Context) (workspace string) {
	self, err := k.api.AuthTestContext(ctx)
	if err != nil {
		k.faults = append(k.faults, unknown(err))
		return ""
	}
	k.self, k.bot = self.UserID, self.BotID
	k.good = append(k.good, say.F("@%s in the workspace %s (%s)", self.User, self.Team, self.TeamID))
	if self.BotID == "" {
		k.fault(say.F("SLACK_BOT_TOKEN is a person's token, not the bot's: copy the Bot User OAuth Token, xoxb-…, from the app's page OAuth & Permissions"))
	}
	var missing []string
	allowed := strings.FieldsFunc(self.Header.Get("X-OAuth-Scopes"), func(r rune) bool { return r == ',' || r == ' ' })
	for _, scope := range Scopes {
		if !slices.Contains(allowed, scope) {
			missing = append(missing, scope)
		}
	}
	switch {
	case len(allowed) == 0:
		k.fault(say.F("slack does not tell what the bot's token allows: compare the app's page OAuth & Permissions with deploy/slack-manifest.yaml"))
	case len(missing) > 0:
		k.fault(say.F("the bot's token does not allow %s: add it under Scopes on the app's page OAuth & Permissions, or put deploy/slack-manifest.yaml into its page App Manifest; then install the app again, on its page Install App",
			strings.Join(missing, ", ")))
	default:
		k.good = append(k.good, say.F("the bot's token allows what it needs"))
	}
	return self.TeamID
}

// appToken asks for the address of a connection, and makes none.
func (k *inspection) appToken(ctx context.Context) {
	_, _, err := k.api.StartSocketModeContext(ctx)
	if err != nil {
		k.faults = append(k.faults, unlinked(err))
		return
	}
	k.good = append(k.good, say.F("the app's token opens connections"))
}

// unlinked says why slack gives no connection, and what to do.
func unlinked(err error) error {
	switch c := code(err); {
	case c == "":
		return say.F("slack gives no connection: %s", redacted(err))
	case c == "missing_scope" || c == "no_permission":
		return say.F("SLACK_APP_TOKEN does not allow connections:write (%s): make an app-level token with that scope on the app's page Basic Information", c)
	case slices.Contains(revoked, c) || c == "not_allowed_token_type":
		return say.F("SLACK_APP_TOKEN is no app-level token that slack knows (%s): make one, xapp-…, with the scope connections:write on the app's page Basic Information", c)
	default:
		return say.F("slack gives no connection (%s): see whether the app's page Socket Mode has it switched on", c)
	}
}

// site checks the channels, people and user groups of a site file.
func (k *inspection) site(ctx context.Context, s *jobs.Site) {
	before := len(k.faults)
	for _, channel := range s.Channels {
		if wrong := k.channel(ctx, channel); !wrong.IsZero() {
			k.fault(say.F("site %s: channel %s %s", s.ID, channel, wrong))
		}
		if len(k.Allow) > 0 && !slices.Contains(k.Allow, channel) && !slices.ContainsFunc(k.Allow, isTeam) {
			k.fault(say.F("site %s: channel %s is not in HEELPOST_SLACK_ALLOW, so the bot does not answer there: add it", s.ID, channel))
		}
	}
	for _, p := range s.People {
		if wrong := k.person(ctx, cmp.Or(p.Account, p.ID)); !wrong.IsZero() {
			k.fault(say.F("site %s: %s %s", s.ID, p.ID, wrong))
		}
	}
	for _, g := range s.Groups {
		if wrong := k.group(ctx, g.Account); !wrong.IsZero() {
			k.fault(say.F("site %s: user group %s %s", s.ID, g.Account, wrong))
		}
	}
	if len(k.faults) == before && !k.blind {
		k.good = append(k.good, say.F("site %s: %s, %s and %s found", s.ID,
			say.Count(len(s.Channels), "1 channel", "%s channels"), say.Count(len(s.People), "1 account", "%s accounts"), say.Count(len(s.Groups), "1 user group", "%s user groups")))
	}
}

func isTeam(id string) bool { return strings.HasPrefix(id, "T") }

var findID = say.F("the id, C…, stands at the end of the channel's details, under About")

// channel says what is wrong with a site's channel.
func (k *inspection) channel(ctx context.Context, id string) say.Text {
	if !isID(id, "CG") {
		return say.F("is no id of a channel: %s", findID)
	}
	ch, err := k.api.GetConversationInfoContext(ctx, &slack.GetConversationInfoInput{ChannelID: id})
	switch c := code(err); {
	case c == "channel_not_found":
		return say.F("is not there for the bot: if it is private, say /invite @heelpost in it; if not, compare the id; %s", findID)
	case err != nil:
		return k.unseen(err)
	case ch.IsArchived:
		return say.F("is archived: bring it back, or name another one in the site file")
	case !ch.IsMember:
		return say.F("is without the bot: say /invite @heelpost in it")
	}
	return k.reading(ctx, ch)
}

// reading says what is wrong with reading a channel and its threads back: what
// was posted is looked for there, by what it carries along.
func (k *inspection) reading(ctx context.Context, ch *slack.Channel) say.Text {
	unread := func(method string, err error) say.Text {
		scope := "channels:history"
		if ch.IsPrivate {
			scope = "groups:history"
		}
		if se, ok := errors.AsType[slack.SlackErrorResponse](err); ok && se.Needed != "" {
			scope = se.Needed
		}
		if c := code(err); c == "missing_scope" || c == "not_allowed_token_type" || c == "no_permission" {
			return say.F("can't be read back (%s: %s), so what was said in an outage stays unread and a post may come twice: give the bot's token the scope %s", method, c, scope)
		}
		return k.unseen(err)
	}
	h, err := k.api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: ch.ID, Limit: 100, IncludeAllMetadata: true})
	if err != nil {
		return unread("conversations.history", err)
	}
	if len(h.Messages) == 0 {
		return say.Text{}
	}
	_, _, _, err = k.api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: ch.ID, Timestamp: h.Messages[0].Timestamp, Limit: 1, IncludeAllMetadata: true})
	if err != nil {
		return unread("conversations.replies", err)
	}
	posts, known := 0, 0
	for i := range h.Messages {
		if m := &h.Messages[i]; m.User == k.self || m.BotID != "" && m.BotID == k.bot {
			posts++
			if metaOf(m).ID != "" {
				known++
			}
		}
	}
	if posts > 0 && known == 0 {
		return say.F("gives the bot's posts back without what they carry along (metadata), so a post may come twice: see on the app's page Event Subscriptions whether the app was changed, and install it again")
	}
	return say.Text{}
}

// person says what is wrong with somebody's account.
func (k *inspection) person(ctx context.Context, account string) say.Text {
	if !isUser(account) {
		return say.F("has no account at slack, so no reminder reaches them and what they say is a guest's word: add account: U… to their line; the id stands in their profile, under ⋮, Copy member ID")
	}
	u, err := k.api.GetUserInfoContext(ctx, account)
	switch c := code(err); {
	case c == "user_not_found" || c == "user_not_visible":
		return say.F("has the account %s, which is not in this workspace: compare it with their profile, under ⋮, Copy member ID", account)
	case err != nil:
		return k.unseen(err)
	case u.Deleted:
		return say.F("has the account %s, which is deactivated: give their doors to somebody else, and take their line out of the site file", account)
	case u.IsBot:
		return say.F("has the account %s, which is a bot's: take the person's", account)
	}
	return say.Text{}
}

// group says what is wrong with a user group.
func (k *inspection) group(ctx context.Context, id string) say.Text {
	_, err := k.api.GetUserGroupMembersContext(ctx, id)
	switch c := code(err); {
	case c == "no_such_subteam":
		return say.F("is not there: its id, S…, stands at the end of the address of its page, under People, User groups")
	case c == "subteam_disabled":
		return say.F("is disabled, so nobody has a role by it: bring it back, or take it out of the site file")
	case err != nil:
		return k.unseen(err)
	}
	return say.Text{}
}

// unseen says that something could not be looked at. What the token does not
// allow was said of the token.
func (k *inspection) unseen(err error) say.Text {
	if code(err) == "missing_scope" {
		k.blind = true
		return say.Text{}
	}
	return say.F("could not be looked at: %s", redacted(err))
}
