package slack

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/slack-go/slack"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// press carries out one press on a button or a menu. Its kind is what its
// action id begins with: "filter", "page:2", "share", "say:1", "form:2".
func (a *Adapter) press(ctx context.Context, m bot.Message, ic *slack.InteractionCallback, action *slack.BlockAction) error {
	kind, _, _ := strings.Cut(action.ActionID, ":")
	switch kind {
	case "filter", "page":
		return a.turnHome(ctx, ic.User.ID, action)
	}
	p, ok := readPress(action.Value)
	if !ok {
		return nil // a link, or a menu inside a form
	}
	if kind == "share" {
		return a.share(ctx, m, ic, p.Ask)
	}
	door, at, err := a.pressedDoor(ctx, &m, ic, p)
	if err != nil {
		return err
	}
	if door != p.Door {
		a.Log.Warn("a button of another door was pressed", "person", m.Person, "door", door, "button", p.Door)
		return bot.Refuse(say.F("that button belongs to another door: nothing was changed"))
	}
	m.Thread, m.Under = door, at.String()
	if p.Form != "" {
		return a.openForm(ctx, m, p.Form, door, ic.TriggerID)
	}
	m.Text = p.Say
	posts, err := a.bot.Press(ctx, m)
	if err != nil {
		return err
	}
	if len(posts) > 0 {
		a.later(func() {
			a.tellAll(ctx, ic, posts)
			if posts[0].Kind == bot.KindError && a.over(p.Say, at.channel) {
				late := *action
				late.Text.Text = a.Language.Say(say.F("%s, too late", action.Text.Text))
				a.markPressed(context.WithoutCancel(ctx), ic, &late)
			}
		})
		return nil
	}
	a.later(func() { a.markPressed(context.WithoutCancel(ctx), ic, action) })
	return nil
}

// over reports whether what a button says names a time that has passed, as the
// one that a reminder proposed: it is of no use to anybody any more.
func (a *Adapter) over(order, channel string) bool {
	_, when, ok := strings.Cut(" "+order, " yes ")
	at, err := time.ParseInLocation(bot.Minute, when, a.desk.Zone(channel))
	return ok && err == nil && at.Before(a.Clock())
}

// pressedDoor returns the door that a press is about, and its thread: the
// door of the thread that the button stands in, or, where that is none's or it
// stands in a home or the answer to a command, the one that the button names.
func (a *Adapter) pressedDoor(ctx context.Context, m *bot.Message, ic *slack.InteractionCallback, p press) (string, spot, error) {
	at, _ := threadOf(ic)
	if at.channel != "" && at.thread == "" {
		return p.Door, at, nil
	}
	if at.channel != "" {
		refs, err := a.store.Bound(ctx, threadName(at))
		if face := metaOf(&ic.Message); err == nil && refs[0] == "" && face.isFace() && ic.Container.MessageTs == at.thread {
			// Whoever posted it died before it was bound.
			refs[0], err = face.Door, a.bindFace(ctx, face.Door, at)
		}
		if err != nil {
			return "", at, err
		}
		if refs[0] == "" { // the thread of a question or a board
			return p.Door, at, nil
		}
		return doorOf(refs[0]), at, nil
	}
	if m.Channel = a.desk.Channel(p.Site); m.Channel != "" {
		m.Person = a.person(m.Channel, ic.User.ID)
		if !a.allowed(m.Channel) {
			return "", at, bot.Refuse(foreignText)
		}
	}
	return p.Door, at, nil
}

// markPressed edits the post whose button was pressed: without buttons, and
// with who pressed what. A door's face keeps its buttons; it is drawn anew.
func (a *Adapter) markPressed(ctx context.Context, ic *slack.InteractionCallback, action *slack.BlockAction) {
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	at, _ := threadOf(ic)
	ts := ic.Container.MessageTs
	if at.channel == "" || ts == "" || ts == at.thread || ic.Container.IsEphemeral || hasTable(ic.Message.Blocks.BlockSet) {
		return
	}
	s := pressed(ic.Message, action, ic.User.ID, a.Clock().In(a.desk.Zone(at.channel)))
	if err := a.paceMethod(ctx, "chat.update"); err == nil {
		_, _, _, err = a.api.UpdateMessageContext(ctx, at.channel, ts, slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...))
		if err != nil {
			a.Log.Warn("a pressed button could not be taken away; pressing it again does no harm", "error", redacted(err))
		}
	}
}

// share shows the answer to a question to all, in place of the word to its
// asker alone. It goes where it was asked, whether the bot is in that channel
// or not; pressed twice it is shown once.
func (a *Adapter) share(ctx context.Context, m bot.Message, ic *slack.InteractionCallback, question string) error {
	once := jobs.Pace{Name: "share:" + ic.Container.ChannelID + ":" + ic.Container.MessageTs, Every: time.Hour, Burst: 1}
	if wait, err := a.store.Pace(ctx, jobs.NowAt(time.Now()), once); wait > 0 || err != nil {
		return err
	}
	m.Text, _ = a.text(m.Channel, question)
	m.Text = doorFirst(m.Text)
	posts, err := a.bot.Handle(ctx, m)
	if err != nil || len(posts) == 0 {
		return err
	}
	var all []screen
	for _, p := range posts {
		all = append(all, pages(a.Language, message(a.Language, p, directory{a: a}, ""))...)
	}
	a.later(func() {
		a.respond(context.WithoutCancel(ctx), ic.ResponseURL, slack.ResponseTypeInChannel, ic.User.ID, posts[0].Text, all)
	})
	return nil
}

// submit judges a filled form.
func (a *Adapter) submit(ctx context.Context, m bot.Message, ic *slack.InteractionCallback) any {
	_, meta, _ := filled(ic.View, func(user string) string { return user })
	m.Channel, m.Thread, m.Under = meta.Channel, meta.Door, meta.Thread
	if m.Channel != "" && !a.allowed(m.Channel) {
		return complaints(ic.View, map[string]string{"": a.Language.Say(foreignText)})
	}
	m.ID = "form:" + ic.View.ID + ":" + ic.View.Hash
	m.Person = a.person(m.Channel, ic.User.ID)
	id, _, values := filled(ic.View, func(user string) string { return a.person(m.Channel, user) })
	if id == "site" { // it leads to the form that was wanted
		m.Channel = values["site"]
		m.Person = a.person(m.Channel, ic.User.ID)
		f, err := a.bot.Form(ctx, m, "open")
		if err != nil {
			return complaints(ic.View, map[string]string{"site": a.Language.Say(a.why(err))})
		}
		next := modal(a.Language, f, "", m.Channel, "", directory{a: a})
		return slack.NewUpdateViewSubmissionResponse(&next)
	}
	wrong, posts, err := a.bot.Submit(ctx, m, id, values)
	if err != nil {
		wrong = map[string]string{"": a.Language.Say(a.why(err))}
	}
	if len(wrong) > 0 {
		return complaints(ic.View, a.named(ctx, wrong))
	}
	if len(posts) > 0 {
		at := parseSpot(m.Under)
		ic.Container.ChannelID, ic.Container.ThreadTs = at.channel, at.thread
		a.later(func() { a.tellAll(ctx, ic, posts) })
	}
	return nil
}

// named puts people's names before the ids of accounts that no site file has:
// whoever filled in the form chose a name, and the office needs the id.
func (a *Adapter) named(ctx context.Context, wrong map[string]string) map[string]string {
	ctx, cancel := context.WithTimeout(ctx, time.Second)
	defer cancel()
	out := map[string]string{}
	for field, text := range wrong {
		out[field] = accountID.ReplaceAllStringFunc(text, func(id string) string {
			u, err := a.api.GetUserInfoContext(ctx, id)
			if err != nil {
				return id
			}
			return fmt.Sprintf("@%s (%s)", cmp.Or(u.Profile.DisplayName, u.RealName, u.Name), id)
		})
	}
	return out
}

var accountID = regexp.MustCompile(`\b[UW][0-9A-Z]{7,}\b`)

// messageAction carries out a shortcut on a message: it can be used in
// threads, where slash commands can't. Of what somebody else wrote only
// questions are answered.
func (a *Adapter) messageAction(ctx context.Context, m bot.Message, ic *slack.InteractionCallback) error {
	at, _ := threadOf(ic)
	refs, err := a.store.Bound(ctx, threadName(at))
	if err != nil {
		return err
	}
	door := doorOf(refs[0])
	m.Under = at.String()
	text, _ := a.text(m.Channel, ic.Message.Text)
	if ic.CallbackID == "file_snag" {
		if door == "" {
			return bot.Refuse(say.F("a snag belongs to a door: use this in a door's thread"))
		}
		return a.openForm(ctx, m, "snag "+text, door, ic.TriggerID)
	}
	m.Thread, m.Text, m.Quoted = door, text, ic.Message.User != ic.User.ID
	_, err = a.desk.Hear(ctx, m.ID, m)
	return err
}
