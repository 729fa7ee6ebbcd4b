package slack

import (
	"cmp"
	"context"
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Deadlines of what Slack waits three seconds for.
const (
	keepWithin   = 1500 * time.Millisecond // a message in the store
	answerWithin = 2500 * time.Millisecond // an answer that goes back at once
)

// event deals with an event. An error means that it was not kept: Slack is
// not told "received" and sends it again.
func (a *Adapter) event(ctx context.Context, e slackevents.EventsAPIEvent) error {
	if !a.ours(e) {
		a.metrics.received.WithLabelValues("foreign").Inc()
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, keepWithin)
	defer cancel()
	a.metrics.received.WithLabelValues(e.InnerEvent.Type).Inc()
	switch e := e.InnerEvent.Data.(type) {
	case *slackevents.AppMentionEvent:
		if e.BotID != "" {
			return nil
		}
		return a.hear(ctx, said{channel: e.Channel, user: e.User, ts: e.TimeStamp, thread: e.ThreadTimeStamp, text: e.Text, mention: true, files: pictures(e.Files), texts: textFiles(e.Files)})
	case *slackevents.MessageEvent:
		return a.message(ctx, e)
	case *slackevents.MemberJoinedChannelEvent:
		if e.User != a.self.UserID || !a.allowed(e.Channel) {
			return nil
		}
		m := bot.Message{ID: "in:joined:" + e.Channel + ":" + strconv.FormatInt(a.Clock().UnixMilli(), 36), At: a.Clock(), Person: a.person(e.Channel, e.Inviter),
			Channel: e.Channel, Under: spot{channel: e.Channel}.String(), Text: bot.Welcome}
		_, err := a.desk.Hear(ctx, "joined:"+e.Channel, m) // once a day: whoever takes it out and back knows
		return err
	case *slackevents.AppHomeOpenedEvent:
		if e.Tab == "home" {
			a.later(func() { a.openHome(context.WithoutCancel(ctx), e.User) })
		}
		return nil
	}
	return a.goneAtSlack(ctx, e.InnerEvent.Data)
}

// ours reports whether an event is meant for this bot in its workspace.
func (a *Adapter) ours(e slackevents.EventsAPIEvent) bool {
	cb, ok := e.Data.(*slackevents.EventsAPICallbackEvent)
	if !ok || !a.isApp(e.APIAppID) {
		return false
	}
	for _, auth := range cb.Authorizations {
		if a.isOurs(auth.TeamID, auth.EnterpriseID) {
			return true
		}
	}
	return len(cb.Authorizations) == 0 && e.TeamID == a.self.TeamID
}

// isOurs reports whether a payload is for our workspace, or, without one, for
// the whole of the organisation that it belongs to.
func (a *Adapter) isOurs(team, enterprise string) bool {
	return team == a.self.TeamID || team == "" && enterprise != "" && enterprise == a.self.EnterpriseID
}

// isApp reports whether a payload names our app. Which that is, the first one
// that Slack signed or sent over our own connection tells.
func (a *Adapter) isApp(id string) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.appID == "" {
		a.appID = id
	}
	return id == a.appID && id != ""
}

// message deals with what was said where the bot can hear it.
func (a *Adapter) message(ctx context.Context, e *slackevents.MessageEvent) error {
	switch {
	case e.SubType == "message_deleted":
		return a.deleted(ctx, spot{e.Channel, e.DeletedTimeStamp})
	case e.SubType == "message_changed" && e.Message != nil && e.Message.SubType == "tombstone": // deleted, with replies below; from memory
		return a.deleted(ctx, spot{e.Channel, e.Message.Timestamp})
	}
	if !a.isTalk(e.BotID, e.User, e.SubType) {
		return nil
	}
	s := said{channel: e.Channel, user: e.User, ts: e.TimeStamp, thread: e.ThreadTimeStamp, text: e.Text}
	if e.Message != nil {
		s.files, s.texts = pictures(e.Message.Files), textFiles(e.Message.Files)
	}
	return a.hear(ctx, s)
}

// isTalk reports whether a message is something that somebody said.
func (a *Adapter) isTalk(botID, user, subtype string) bool {
	return botID == "" && user != "" && user != a.self.UserID && slices.Contains([]string{"", "file_share", "thread_broadcast"}, subtype)
}

// said is what somebody said in Slack.
type said struct {
	channel, user, ts, thread, text string
	mention                         bool
	files                           []jobs.File // pictures that were sent with it
	texts                           []bot.TextFile
	at                              time.Time // of what is read back; zero for now
}

// hear keeps what concerns the bot: "@heelpost gap 54 60" anywhere, "tick 3"
// in a door's thread, "60" where it asked that person for the setback. All
// else is people talking among themselves.
func (a *Adapter) hear(ctx context.Context, s said) error {
	if !a.allowed(s.channel) {
		return nil
	}
	m, concerns, err := a.meant(ctx, s)
	if err == nil && concerns {
		_, err = a.desk.Hear(ctx, s.channel+"/"+s.ts, m)
	}
	if err != nil && !m.Overheard {
		a.tellOutage(ctx, s.channel)
	}
	return err
}

// meant returns what was said as the bot understands it, and whether it
// concerns the bot.
func (a *Adapter) meant(ctx context.Context, s said) (m bot.Message, concerns bool, err error) {
	channel, under := s.channel, spot{s.channel, s.thread}
	direct := isDirect(channel)
	if direct {
		channel = ""
	} else if s.thread == "" {
		under.thread = s.ts
	}
	at := s.at
	if at.IsZero() {
		at = a.Clock()
		// Those of one thread may come in at once, over several connections:
		// Slack's own stamps tell their order.
		if stamp := timeOf(s.ts); stamp.Before(at) && at.Sub(stamp) < slackRepeats {
			at = stamp
		}
	}
	m = bot.Message{ID: "in:" + s.channel + "/" + s.ts, Files: s.files, Texts: s.texts, At: at, Person: a.person(channel, s.user), Channel: channel, Under: under.String()}
	text, mentioned := a.text(channel, s.text)
	m.Text, m.Overheard = text, !(direct || mentioned || s.mention)
	if s.thread == "" {
		return m, !m.Overheard, nil
	}
	refs, err := a.store.Bound(ctx, threadName(under))
	if err != nil {
		return m, false, err
	}
	if refs[0] != "" {
		m.Thread = doorOf(refs[0])
		return m, true, nil
	}
	if !m.Overheard {
		return m, true, nil
	}
	waits, err := a.bot.Waits(ctx, m)
	return m, waits, err
}

var (
	entity    = regexp.MustCompile(`<([^<>]*)>`)
	unescaped = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&amp;", "&")
)

// text returns a text as it was typed: Slack writes people, channels and
// links in angle brackets and encodes three characters. The bot's own name is
// taken off; mentioned reports whether it was there.
func (a *Adapter) text(channel, text string) (typed string, mentioned bool) {
	text = entity.ReplaceAllStringFunc(text, func(e string) string {
		body, label, labelled := strings.Cut(e[1:len(e)-1], "|")
		switch {
		case body == "@"+a.self.UserID:
			mentioned = true
			return " "
		case strings.HasPrefix(body, "@"):
			return "@" + a.person(channel, body[1:])
		case strings.HasPrefix(body, "#"):
			return "#" + cmp.Or(label, body[1:])
		case labelled:
			return label
		}
		return strings.TrimPrefix(strings.TrimPrefix(body, "mailto:"), "tel:")
	})
	return strings.TrimSpace(unescaped.Replace(text)), mentioned
}

// calm is how long nothing must have failed in a channel before a failure
// counts as a new outage: when the store is back, what came in before may
// still fail, and the channel has been told of that.
const calm = time.Minute

// tellOutage tells a channel that the store is away, once in an outage. If the
// word is lost no harm is done: Slack sends what was said again.
func (a *Adapter) tellOutage(ctx context.Context, channel string) {
	a.mu.Lock()
	first := time.Since(a.told[channel]) > calm
	a.told[channel] = time.Now()
	a.mu.Unlock()
	if !first {
		return
	}
	a.later(func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
		defer cancel()
		if _, _, err := a.api.PostMessageContext(ctx, channel, slack.MsgOptionText(a.Language.Say(outageText), true)); err != nil {
			a.Log.Warn("word of an outage was lost", "channel", channel, "error", redacted(err))
		}
	})
}

// sentences for what could not be done.
var (
	awayText    = say.F("I can't reach where the doors are kept. Nothing was changed by this, as far as I can tell: before you say it again, look with next or log whether it was done.")
	outageText  = say.F("I can't reach where the doors are kept at the moment: what is said to me meanwhile is answered when I can, if that is soon.")
	foreignText = say.F("I don't answer here.")
)

// command answers a slash command, to its asker alone.
func (a *Adapter) command(ctx context.Context, c slack.SlashCommand) any {
	if !a.isApp(c.APIAppID) || c.TeamID != a.self.TeamID || !a.allowed(c.ChannelID) {
		return a.sentence(foreignText)
	}
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	a.metrics.received.WithLabelValues("command").Inc()
	m := a.addressed(c.ChannelID, c.UserID, "cmd:"+c.TriggerID)
	m.Text, _ = a.text(m.Channel, c.Text)
	m.Text = doorFirst(m.Text)
	if m.Text == "door open" {
		if err := a.openForm(ctx, m, "open", "", c.TriggerID); err != nil {
			return a.sentence(a.why(err))
		}
		return nil
	}
	posts, err := a.answered(ctx, m)
	if err != nil {
		return a.sentence(a.why(err))
	}
	if len(posts) == 0 {
		return a.sentence(say.F("Done: it is told in the door's thread."))
	}
	var s screen
	if posts[0].Answer != nil {
		question := c.Text
		if posts[0].Answer.Followed { // what it went on from may be another by the time it is shared
			question = posts[0].Answer.Asked
		}
		s = ephemeral(a.Language, posts[0], question)
	} else {
		s = message(a.Language, posts[0], directory{a: a}, "")
	}
	all := pages(a.Language, s)
	for _, p := range posts[1:] { // the answers to the other questions of the message
		all = append(all, pages(a.Language, message(a.Language, p, directory{a: a}, ""))...)
	}
	first := reply(all[0])
	if posts[0].Table != nil { // whether Slack shows a table is not told where it goes back with "received"
		a.later(func() {
			ctx := context.WithoutCancel(ctx)
			done, err := a.showTable(posts[0], directory{a: a}, "", func(s screen) error {
				_, _, _, err := a.api.SendMessageContext(ctx, "", slack.MsgOptionResponseURL(c.ResponseURL, slack.ResponseTypeEphemeral), slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...))
				return err
			})
			if done && err == nil {
				all = all[len(pages(a.Language, s)):]
			}
			a.respond(ctx, c.ResponseURL, slack.ResponseTypeEphemeral, c.UserID, posts[0].Text, all)
		})
		return nil
	}
	if len(compact(first)) > maxAck {
		a.later(func() {
			a.respond(context.WithoutCancel(ctx), c.ResponseURL, slack.ResponseTypeEphemeral, c.UserID, posts[0].Text, all)
		})
		return nil
	}
	if len(all) > 1 {
		a.later(func() {
			a.respond(context.WithoutCancel(ctx), c.ResponseURL, slack.ResponseTypeEphemeral, c.UserID, posts[0].Text, all[1:])
		})
	}
	return first
}

// plainWithin is how long the store is waited for over a question that needs
// none.
const plainWithin = time.Second

// answered returns what the bot says to a command. A question that is whole by
// itself is answered without the store while that is away.
func (a *Adapter) answered(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	plain, ok := a.bot.Plain(m)
	if !ok {
		return a.bot.Handle(ctx, m)
	}
	within, cancel := context.WithTimeout(ctx, plainWithin)
	defer cancel()
	posts, err := a.bot.Handle(within, m)
	if _, refused := bot.Refused(a.Language, err); err == nil || refused {
		return posts, err
	}
	a.Log.Warn("a question is answered without the store", "error", redacted(err))
	return []bot.Post{plain}, nil
}

// maxAck is the most bytes that go back with "received": Slack drops 20,480 and
// more without a word.
const maxAck = 20_000

// doorFirst makes "/door A-101 tick 3" the order "door A-101 tick 3", and
// leaves "/door gap 54 60" the question "gap 54 60".
func doorFirst(text string) string {
	first, _, _ := strings.Cut(text, " ")
	isID := strings.ContainsAny(first, "0123456789") && strings.ContainsFunc(first, func(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' })
	if isID || strings.EqualFold(first, "open") || strings.EqualFold(first, "log") {
		return "door " + text
	}
	return text
}

// addressed returns a message that a command or a press gives to the bot, which
// stands in no thread.
func (a *Adapter) addressed(channel, user, id string) bot.Message {
	m := bot.Message{ID: id, At: a.Clock(), Channel: channel, Under: spot{channel: channel}.String()}
	if isDirect(channel) {
		m.Channel = ""
	}
	m.Person = a.person(m.Channel, user)
	return m
}

// response is the answer to a command that goes back with "received".
type response struct {
	Type   string        `json:"response_type"`
	Text   string        `json:"text"`
	Blocks []slack.Block `json:"blocks,omitempty"`
}

func reply(s screen) response { return response{slack.ResponseTypeEphemeral, s.Text, s.Blocks} }

func (a *Adapter) sentence(text say.Text) response {
	return response{Type: slack.ResponseTypeEphemeral, Text: a.Language.Say(text)}
}

// maxUses is how often Slack takes something at one response URL.
const maxUses = 5

// respond sends pages of an answer to where something was commanded or
// pressed. What Slack does not take there goes to the person alone, and so
// does word of it, for what is lost here is not sent again.
func (a *Adapter) respond(ctx context.Context, url, kind, user, text string, all []screen) {
	for i, s := range all {
		if i == maxUses-1 && len(all) > maxUses {
			s = noted(s, a.Language.Say(say.F("the rest is in your direct messages with me")))
		}
		if i == maxUses {
			a.alone(ctx, user, text, all[i:], say.Text{})
			return
		}
		_, _, _, err := a.api.SendMessageContext(ctx, "", slack.MsgOptionResponseURL(url, kind), slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...))
		if err != nil {
			a.Log.Warn("a page of an answer goes to the person alone", "error", redacted(err))
			a.alone(ctx, user, text, all[i:], say.F("I could not put this where you asked for it:"))
			return
		}
	}
}

// alone brings pages to somebody alone, after a word; more than a few of them
// as a file of the whole text.
func (a *Adapter) alone(ctx context.Context, user, text string, all []screen, word say.Text) {
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	id := "alone:" + user + ":" + strconv.FormatInt(time.Now().UnixNano(), 36)
	at, err := a.directTo(ctx, user)
	if err == nil && !word.IsZero() {
		_, err = a.send(ctx, at, screen{Text: a.Language.Say(word)}, meta{})
	}
	if err == nil && len(all) > maxPages {
		if err = a.attach(ctx, at, fileOf("answer", id), text); err == nil {
			return
		}
		all = append(slices.Clone(all[:maxPages-1]), noted(all[maxPages-1], a.Language.Say(noFile)))
	}
	for _, s := range all {
		if err == nil || isFinal(err) {
			_, err = a.send(ctx, at, s, meta{})
		}
	}
	if err != nil {
		a.metrics.errors.Inc()
		a.Log.Error("a page of an answer was lost", "person", user, "error", redacted(err))
	}
}

// why returns what to tell somebody whose wish failed with an error.
func (a *Adapter) why(err error) say.Text {
	if no, ok := errors.AsType[*bot.RefusalError](err); ok {
		return say.Of(no.Unwrap())
	}
	if limited, ok := errors.AsType[*jobs.SendError](err); ok && limited.Fault == jobs.Limited {
		return say.F("Slack lets me do no more for the moment: try again in %s s.", int(max(limited.Wait, time.Second).Seconds()))
	}
	a.Log.Error("answering", "error", redacted(err))
	a.metrics.errors.Inc()
	if c := code(err); c != "" {
		return say.F("Slack did not take that (%s): try it again.", c)
	}
	return awayText
}

// openForm opens a form for somebody.
func (a *Adapter) openForm(ctx context.Context, m bot.Message, id, door, trigger string) error {
	m.Thread = door
	f, err := a.bot.Form(ctx, m, id)
	if err != nil {
		return err
	}
	_, err = a.api.OpenViewContext(ctx, trigger, modal(a.Language, f, cmp.Or(f.Door, door), m.Channel, m.Under, directory{a: a}))
	return err
}

// interaction deals with a press, a form or a shortcut and returns what goes
// back with "received".
func (a *Adapter) interaction(ctx context.Context, ic slack.InteractionCallback) any {
	if !a.isApp(ic.APIAppID) || !a.isOurs(ic.Team.ID, ic.Enterprise.ID) {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, answerWithin)
	defer cancel()
	a.metrics.received.WithLabelValues(string(ic.Type)).Inc()
	channel := ic.Container.ChannelID
	if channel == "" {
		channel = ic.Channel.ID
	}
	if channel != "" && !a.allowed(channel) {
		return nil
	}
	m := a.addressed(channel, ic.User.ID, "act:"+ic.TriggerID)
	var err error
	switch ic.Type {
	case slack.InteractionTypeBlockActions:
		for i, action := range ic.ActionCallback.BlockActions {
			m.ID = "act:" + ic.TriggerID + ":" + strconv.Itoa(i)
			if err = a.press(ctx, m, &ic, action); err != nil {
				break
			}
		}
	case slack.InteractionTypeViewSubmission:
		return a.submit(ctx, m, &ic)
	case slack.InteractionTypeShortcut:
		m.Under = ""
		err = a.openForm(ctx, m, "open", "", ic.TriggerID)
	case slack.InteractionTypeMessageAction:
		err = a.messageAction(ctx, m, &ic)
	}
	if err != nil {
		text := a.why(err)
		a.later(func() { a.tell(ctx, &ic, text) })
	}
	return nil
}

// threadOf returns the thread that an interaction stands in, and whether anybody
// has replied there: else it is none yet, and what only one person sees is shown in
// it to nobody. What one person alone sees in the channel itself begins none.
func threadOf(ic *slack.InteractionCallback) (at spot, begun bool) {
	at = spot{ic.Container.ChannelID, cmp.Or(ic.Container.ThreadTs, ic.Message.ThreadTimestamp)}
	begun = at.thread != ""
	if at.channel == "" {
		at.channel = ic.Channel.ID
	}
	if ic.Container.IsEphemeral {
		at.thread = ic.Container.ThreadTs
		return at, at.thread != ""
	}
	at.thread = cmp.Or(at.thread, ic.Container.MessageTs, ic.Message.Timestamp, ic.MessageTs)
	return at, begun
}

// tell says something to the person of an interaction alone, where they are.
// It is lost with the session; nothing rests on it.
func (a *Adapter) tell(ctx context.Context, ic *slack.InteractionCallback, text say.Text) {
	a.tellAll(ctx, ic, []bot.Post{{Kind: bot.KindError, Text: a.Language.Say(text)}})
}

func (a *Adapter) tellAll(ctx context.Context, ic *slack.InteractionCallback, posts []bot.Post) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
	defer cancel()
	at, begun := threadOf(ic)
	if !begun {
		at.thread = ""
	}
	tell := func(s screen) (err error) {
		options := []slack.MsgOption{slack.MsgOptionText(s.Text, false), slack.MsgOptionBlocks(s.Blocks...)}
		if at.channel == "" { // in a home or a form: only a direct message reaches them
			_, _, err = a.api.PostMessageContext(ctx, ic.User.ID, options...)
			return err
		}
		if at.thread != "" {
			options = append(options, slack.MsgOptionTS(at.thread))
		}
		_, err = a.api.PostEphemeralContext(ctx, at.channel, ic.User.ID, options...)
		return err
	}
	for _, p := range posts {
		if err := a.tellOne(p, tell); err != nil {
			a.Log.Warn("a word to one person was lost", "error", redacted(err))
			return
		}
	}
}

// tellOne tells a post by a call, in as many pages as it needs.
func (a *Adapter) tellOne(p bot.Post, tell func(screen) error) error {
	who := directory{a: a}
	if done, err := a.showTable(p, who, "", tell); done || err != nil {
		return err
	}
	for _, s := range pages(a.Language, message(a.Language, p, who, "")) {
		if err := tell(s); err != nil {
			return err
		}
	}
	return nil
}
