package slack

import (
	"context"
	"errors"
	"slices"

	"github.com/slack-go/slack/slackevents"

	"heelpost/bot/say"
)

// goneAtSlack deals with what passes away at Slack's side: threads, channels,
// people, the bot itself.
func (a *Adapter) goneAtSlack(ctx context.Context, event any) error {
	switch e := event.(type) {
	case *slackevents.ChannelArchiveEvent:
		return a.lostChannel(ctx, e.Channel, archived)
	case *slackevents.GroupArchiveEvent:
		return a.lostChannel(ctx, e.Channel, archived)
	case *slackevents.ChannelLeftEvent:
		return a.lostChannel(ctx, e.Channel, left)
	case *slackevents.GroupLeftEvent:
		return a.lostChannel(ctx, e.Channel, left)
	case *slackevents.MemberLeftChannelEvent:
		if e.User == a.self.UserID {
			return a.lostChannel(ctx, e.Channel, left)
		}
	case *slackevents.UserChangeEvent:
		if e.User.Deleted {
			return a.lostPerson(ctx, e.User.ID)
		}
	case *slackevents.SubteamMembersChangedEvent:
		a.later(func() {
			if err := a.Regroup(context.WithoutCancel(ctx)); err != nil {
				a.Log.Warn("who is in the user groups could not be read again", "error", redacted(err))
			}
		})
	case *slackevents.AppUninstalledEvent:
		a.fatal(say.Wrap(errRevoked, say.F("%s: the app was uninstalled from the workspace", errRevoked)))
	case *slackevents.TokensRevokedEvent:
		if slices.Contains(e.Tokens.Bot, a.self.UserID) {
			a.fatal(say.Wrap(errRevoked, say.F("%s: its token was revoked", errRevoked)))
		}
	}
	return nil
}

// What becomes of a channel.
var (
	archived = say.F("the channel of this site was archived")
	left     = say.F("the channel of this site was left by the bot: invite it again, or no reminder reaches its doors")
)

// deleted posts a door's face anew when it was deleted.
func (a *Adapter) deleted(ctx context.Context, at spot) error {
	door, err := a.unbind(ctx, at)
	if err != nil || door == "" {
		return err
	}
	a.Log.Warn("a door's post was deleted: it is posted anew", "door", door)
	return a.desk.Redraw(ctx, door, a.Clock())
}

// lostChannel tells the office of a site that its channel is gone.
func (a *Adapter) lostChannel(ctx context.Context, channel string, how say.Text) error {
	a.Log.Warn("a channel is lost", "channel", channel, "how", how)
	return a.desk.TellOffice(ctx, channel, how, a.Clock())
}

// lostPerson tells the offices of the sites where somebody was named.
func (a *Adapter) lostPerson(ctx context.Context, user string) error {
	var errs []error
	for _, s := range a.desk.Sites() {
		for _, p := range s.People {
			if p.Account == user {
				gone := say.F("@%s (%s) has no account at slack any more: their doors and reminders need somebody else", p.ID, say.Name(string(p.Role)))
				errs = append(errs, a.desk.TellOffice(ctx, s.Channels[0], gone, a.Clock()))
			}
		}
	}
	return errors.Join(errs...)
}
