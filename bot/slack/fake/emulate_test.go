package fake

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/slack-go/slack"
)

// world is one of the Slacks that the scenario is played in.
type world struct {
	rich          *slack.Client
	trigger       func(view string) string // a new trigger of the user, from a form if one is named
	channel, user string
}

// bearer puts the token where emulate looks for it.
type bearer struct{ token string }

func (b bearer) RoundTrip(r *http.Request) (*http.Response, error) {
	if r.Header.Get("Authorization") == "" {
		r = r.Clone(r.Context())
		r.Header.Set("Authorization", "Bearer "+b.token)
	}
	return http.DefaultTransport.RoundTrip(r)
}

// TestEmulate plays one scenario in the fake and in another's model of Slack,
// npm emulate, and compares what came back.
func TestEmulate(t *testing.T) {
	dir := outsiders(t)
	port := freePort(t)
	node(t, dir, "node_modules/emulate/dist/index.js", "start", "--service", "slack", "--port", port, "--seed", "emulate.yaml")
	base := "http://localhost:" + port + "/api/"
	client := func(token string) *slack.Client {
		return slack.New(token, slack.OptionAPIURL(base), slack.OptionHTTPClient(&http.Client{Transport: bearer{token}}))
	}
	other := world{rich: client("xoxb-rich")}
	for ctx, cancel := context.WithTimeout(t.Context(), time.Minute); ; {
		defer cancel()
		if _, err := other.rich.AuthTestContext(ctx); err == nil {
			break
		}
		select {
		case <-time.After(50 * time.Millisecond):
		case <-ctx.Done():
			t.Fatal("emulate did not start")
		}
	}
	other.trigger = func(view string) string {
		form := strings.NewReader(url.Values{"user_id": {other.user}, "view_id": {view}}.Encode())
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, base+"views.generateTriggerId", form)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		resp, err := bearer{"xoxb-rich"}.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		var out struct {
			TriggerID string `json:"trigger_id"`
		}
		if err := json.NewDecoder(resp.Body).Decode(&out); err != nil {
			t.Fatal(err)
		}
		return out.TriggerID
	}
	other.channel, other.user = find(t, other.rich, "orchard-lane", "ana")

	s, api := start(t, Options{Scopes: []string{"chat:write", "channels:history", "channels:read", "users:read", "files:write",
		"files:read", "reactions:write", "im:write", "im:history", "im:read", "team:read"}, FileDelay: -1, PostEvery: -1})
	ours := world{rich: api, channel: lane, user: ana, trigger: func(view string) string {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.issue(ana, view)
	}}
	var got, want []string
	var both sync.WaitGroup
	both.Go(func() { want = scenario(t, other) })
	both.Go(func() { got = scenario(t, ours) })
	both.Wait()
	// A token of few scopes: the fake has one bot, whose scopes change.
	want = append(want, poor(t, client("xoxb-poor"), other.channel)...)
	s.SetScopes("chat:write")
	got = append(got, poor(t, api, lane)...)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-emulate +fake:\n%s", diff)
	}
	t.Logf("%d lines compared:\n%s", len(want), strings.Join(want, "\n"))
	if len(want) < 73 {
		t.Error("the scenario broke off")
	}
}

func find(t *testing.T, api *slack.Client, channel, user string) (string, string) {
	channels, _, err := api.GetConversations(&slack.GetConversationsParameters{})
	if err != nil {
		t.Fatal(err)
	}
	users, err := api.GetUsers()
	if err != nil {
		t.Fatal(err)
	}
	c := slices.IndexFunc(channels, func(c slack.Channel) bool { return c.Name == channel })
	u := slices.IndexFunc(users, func(u slack.User) bool { return u.Name == user })
	if c < 0 || u < 0 {
		t.Fatalf("no %s in %v or no %s in %v", channel, channels, user, users)
	}
	return channels[c].ID, users[u].ID
}

// names give what differs from world to world the same names.
type names struct {
	t     *testing.T
	known []string // id, name, …
	lines []string
}

func (n *names) is(id, name string) {
	if id != "" {
		n.known = append(n.known, id, name)
	}
}

var host = regexp.MustCompile(`http://[a-z0-9.]+:\d+`)

func (n *names) say(format string, args ...any) {
	line := host.ReplaceAllString(fmt.Sprintf(format, args...), "HOST")
	n.lines = append(n.lines, strings.NewReplacer(n.known...).Replace(line))
}

// err says an error as Slack words it.
func (n *names) err(what string, err error) bool {
	var no slack.SlackErrorResponse
	switch {
	case err == nil:
		return false
	case errors.As(err, &no):
		n.say("%s: %s needed=%s provided=%s", what, no.Err, no.Needed, no.Provided)
	default:
		n.t.Errorf("%s: %v", what, err)
	}
	return true
}

func scenario(t *testing.T, w world) []string {
	n := &names{t: t}
	n.is(w.channel, "CHANNEL")
	n.is(w.user, "USER")
	if !whoami(n, w) {
		return n.lines
	}
	root, second, ok := posting(n, w)
	if !ok {
		return n.lines
	}
	reading(n, w, root)
	editing(n, w, root)
	directMessages(n, w)
	_, _, err := w.rich.DeleteMessageContext(t.Context(), w.channel, second)
	n.say("delete %v", err)
	_, _, err = w.rich.DeleteMessageContext(t.Context(), w.channel, second)
	n.err("delete again", err)
	formsAndHomes(n, w)
	uploads(n, w)
	return n.lines
}

// whoami asks who is who; false if nobody answers.
func whoami(n *names, w world) bool {
	ctx, api := n.t.Context(), w.rich
	who, err := api.AuthTestContext(ctx)
	if n.err("auth.test", err) {
		return false
	}
	n.is(who.UserID, "BOT")
	n.is(who.BotID, "BOTID")
	n.is(who.TeamID, "TEAM")
	n.say("auth.test user=%s team=%s", who.UserID, who.TeamID)
	team, err := api.GetTeamInfoContext(ctx)
	if !n.err("team.info", err) {
		n.say("team.info %s", team.ID)
	}
	u, err := api.GetUserInfoContext(ctx, w.user)
	if !n.err("users.info", err) {
		n.say("users.info %s %s bot=%v deleted=%v", u.ID, u.Name, u.IsBot, u.Deleted)
	}
	_, err = api.GetUserInfoContext(ctx, "U0NOBODY0")
	n.err("users.info of nobody", err)
	return true
}

func doorSection() *slack.SectionBlock {
	return slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "*Door* A-101", false, false), nil, nil, slack.SectionBlockOptionBlockID("s1"))
}

// posting posts messages and replies, with metadata, and returns the first and
// the last message.
func posting(n *names, w world) (root, second string, ok bool) {
	ctx, api := n.t.Context(), w.rich
	meta := slack.MsgOptionMetadata(slack.SlackMetadata{EventType: "notice", EventPayload: map[string]any{"id": "n1"}})
	channel, root, _, err := api.PostMessageWithResponseContext(ctx, w.channel, slack.MsgOptionText("door", false), meta, slack.MsgOptionBlocks(doorSection()))
	if n.err("post", err) {
		return root, "", false
	}
	n.is(strings.Replace(root, ".", "", 1), "ROOTDIGITS")
	n.is(root, "ROOT")
	n.say("post %s %s", channel, root)
	for i, text := range []string{"gap", "stop", "plate"} {
		_, ts, m, err := api.PostMessageWithResponseContext(ctx, w.channel, slack.MsgOptionText(text, false), slack.MsgOptionTS(root))
		if n.err("reply", err) {
			return root, "", false
		}
		n.is(strings.Replace(ts, ".", "", 1), fmt.Sprintf("REPLY%dDIGITS", i))
		n.is(ts, fmt.Sprintf("REPLY%d", i))
		n.say("reply %s text=%s thread=%s user=%s", ts, m.Text, m.ThreadTimestamp, m.User)
	}
	_, second, err = api.PostMessageContext(ctx, w.channel, slack.MsgOptionText("another", false))
	n.err("post", err)
	n.is(second, "SECOND")
	_, _, err = api.PostMessageContext(ctx, "C0NOWHERE", slack.MsgOptionText("x", false))
	n.err("post nowhere", err)
	_, _, err = api.PostMessageContext(ctx, w.channel)
	n.err("post nothing", err)
	return root, second, true
}

// thread reads a thread.
func thread(n *names, w world, root string) {
	all, more, _, err := w.rich.GetConversationRepliesContext(n.t.Context(), &slack.GetConversationRepliesParameters{ChannelID: w.channel, Timestamp: root, IncludeAllMetadata: true})
	if n.err("replies", err) {
		return
	}
	for _, m := range all {
		n.say("replies %s text=%q blocks=%d meta=%s %v replies=%d reactions=%v", m.Timestamp, m.Text, len(m.Blocks.BlockSet), m.Metadata.EventType, m.Metadata.EventPayload, m.ReplyCount, m.Reactions)
	}
	n.say("replies more=%v", more)
}

// reading reads what was posted, in pages, and where it can be found.
func reading(n *names, w world, root string) {
	ctx, api := n.t.Context(), w.rich
	thread(n, w, root)
	cursor := ""
	for range 3 {
		h, err := api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: w.channel, Limit: 1, Cursor: cursor})
		if n.err("history", err) {
			break
		}
		for _, m := range h.Messages {
			n.say("history %s text=%q more=%v", m.Timestamp, m.Text, h.HasMore)
		}
		if cursor = h.ResponseMetaData.NextCursor; cursor == "" {
			break
		}
	}
	_, err := api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: "C0NOWHERE"})
	n.err("history of nowhere", err)
	link, err := api.GetPermalinkContext(ctx, &slack.PermalinkParameters{Channel: w.channel, Ts: root})
	if !n.err("permalink", err) {
		n.say("permalink %s", link)
	}
	_, err = api.GetPermalinkContext(ctx, &slack.PermalinkParameters{Channel: w.channel, Ts: "1.000001"})
	n.err("permalink of nothing", err)
}

// editing: text alone takes the blocks away, blocks are kept with blocks.
func editing(n *names, w world, root string) {
	ctx, api := n.t.Context(), w.rich
	_, _, text, err := api.UpdateMessageContext(ctx, w.channel, root, slack.MsgOptionText("door hung", false), slack.MsgOptionBlocks(doorSection(), slack.NewDividerBlock()))
	if !n.err("update", err) {
		n.say("update %q", text)
	}
	thread(n, w, root)
	_, _, _, err = api.UpdateMessageContext(ctx, w.channel, root, slack.MsgOptionText("door hung, no blocks", false))
	n.err("update", err)
	thread(n, w, root)
	_, _, _, err = api.UpdateMessageContext(ctx, w.channel, "1.000001", slack.MsgOptionText("x", false))
	n.err("update nothing", err)

	_, err = api.PostEphemeralContext(ctx, w.channel, w.user, slack.MsgOptionText("only you", false))
	n.say("ephemeral %v", err)
	_, err = api.PostEphemeralContext(ctx, w.channel, "U0NOBODY0", slack.MsgOptionText("only you", false))
	n.err("ephemeral to nobody", err)
	n.say("react %v", api.AddReactionContext(ctx, "eyes", slack.NewRefToMessage(w.channel, root)))
	n.err("react again", api.AddReactionContext(ctx, "eyes", slack.NewRefToMessage(w.channel, root)))
	n.err("react to nothing", api.AddReactionContext(ctx, "eyes", slack.NewRefToMessage(w.channel, "1.000001")))
	thread(n, w, root)
}

// directMessages opens one, and posts there.
func directMessages(n *names, w world) {
	ctx, api := n.t.Context(), w.rich
	dm, _, already, err := api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{w.user}})
	if !n.err("open", err) {
		n.is(dm.ID, "DM")
		again, _, still, err := api.OpenConversationContext(ctx, &slack.OpenConversationParameters{Users: []string{w.user}})
		n.say("open %s already=%v, %s already=%v %v", dm.ID, already, again.ID, still, err)
		_, _, err = api.PostMessageContext(ctx, dm.ID, slack.MsgOptionText("hello", false))
		n.say("post to dm %v", err)
		to, _, err := api.PostMessageContext(ctx, w.user, slack.MsgOptionText("hello", false))
		n.say("post to user goes to %s %v", to, err)
	}
	info, err := api.GetConversationInfoContext(ctx, &slack.GetConversationInfoInput{ChannelID: w.channel})
	if !n.err("info", err) {
		n.say("info %s %s private=%v archived=%v", info.ID, info.Name, info.IsPrivate, info.IsArchived)
	}
}

func formsAndHomes(n *names, w world) {
	ctx, api := n.t.Context(), w.rich
	plain := func(s string) *slack.TextBlockObject { return slack.NewTextBlockObject("plain_text", s, false, false) }
	body := slack.Blocks{BlockSet: []slack.Block{slack.NewInputBlock("width", plain("Width"), nil, slack.NewNumberInputBlockElement(nil, "n", true))}}
	modal := func(title string) slack.ModalViewRequest {
		return slack.ModalViewRequest{Type: slack.VTModal, Title: plain(title), Submit: plain("Open"), Blocks: body, CallbackID: "open", PrivateMetadata: "kept"}
	}
	seen := 0
	show := func(what string, v *slack.ViewResponse, err error) {
		if n.err(what, err) {
			return
		}
		seen++
		n.is(v.ID, fmt.Sprintf("VIEW%d", seen))
		n.say("%s %s %s root=%s previous=%q callback=%s private=%s blocks=%d hash=%v", what, v.ID, v.Type, v.RootViewID, v.PreviousViewID,
			v.CallbackID, v.PrivateMetadata, len(v.Blocks.BlockSet), v.Hash != "")
	}
	trigger, old := w.trigger(""), w.trigger("")
	// A trigger lasts three seconds of the wall clock; emulate has no other.
	expired := time.After(4100 * time.Millisecond)
	v, err := api.OpenViewContext(ctx, trigger, modal("One"))
	show("views.open", v, err)
	_, err = api.OpenViewContext(ctx, trigger, modal("One"))
	n.err("views.open again", err)
	_, err = api.OpenViewContext(ctx, "1.2.nothing", modal("One"))
	n.err("views.open with no such trigger", err)
	top := v.ID
	for _, title := range []string{"Second", "Third", "Fourth"} {
		p, err := api.PushViewContext(ctx, w.trigger(top), modal(title))
		show("views.push", p, err)
		if err == nil {
			top = p.ID
		}
	}
	up, err := api.UpdateViewContext(ctx, modal("Two"), "", v.Hash, v.ID)
	show("views.update", up, err)
	_, err = api.UpdateViewContext(ctx, modal("Three"), "", v.Hash, v.ID)
	n.err("views.update with an old hash", err)
	_, err = api.UpdateViewContext(ctx, modal("Three"), "", "", "V0NOTHING0")
	n.err("views.update of nothing", err)
	home := slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: []slack.Block{slack.NewDividerBlock()}}}
	h, err := api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: w.user, View: home})
	show("views.publish", h, err)
	again, err := api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: w.user, View: home, Hash: &h.Hash})
	show("views.publish again", again, err)
	_, err = api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: w.user, View: home, Hash: &h.Hash})
	n.err("views.publish with an old hash", err)
	_, err = api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: "U0NOBODY0", View: home})
	n.err("views.publish to nobody", err)
	<-expired
	_, err = api.OpenViewContext(ctx, old, modal("Late"))
	n.err("views.open too late", err)
}

func uploads(n *names, w world) {
	ctx, api := n.t.Context(), w.rich
	for i, channel := range []string{"", w.channel} {
		f, err := api.UploadFileContext(ctx, slack.UploadFileParameters{Content: "not a picture", FileSize: 13, Filename: "plan.png", Title: "Plan", Channel: channel})
		if n.err("upload", err) {
			return
		}
		n.is(f.ID, fmt.Sprintf("FILE%d", i))
		n.say("upload %s %s", f.ID, f.Title)
		info, _, _, err := api.GetFileInfoContext(ctx, f.ID, 0, 0)
		if !n.err("files.info", err) {
			n.say("files.info %s %s %s %s %d", info.ID, info.Name, info.Title, info.Mimetype, info.Size)
		}
	}
	_, _, _, err := api.GetFileInfoContext(ctx, "F0NOTHING", 0, 0)
	n.err("files.info of nothing", err)
	_, err = api.CompleteUploadExternalContext(ctx, slack.CompleteUploadExternalParameters{Files: []slack.FileSummary{{ID: "F0NOTHING"}}})
	n.err("complete nothing", err)
}

// poor is what a token is refused that may only post.
func poor(t *testing.T, api *slack.Client, channel string) []string {
	n := &names{t: t}
	ctx := t.Context()
	_, _, err := api.PostMessageContext(ctx, channel, slack.MsgOptionText("x", false))
	n.say("post %v", err)
	_, err = api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: channel})
	n.err("history", err)
	_, err = api.GetUserInfoContext(ctx, "U1")
	n.err("users.info", err)
	n.err("react", api.AddReactionContext(ctx, "eyes", slack.NewRefToMessage(channel, "1.1")))
	_, err = api.GetUploadURLExternalContext(ctx, slack.GetUploadURLExternalParameters{FileName: "a", FileSize: 1})
	n.err("upload", err)
	_, err = api.GetTeamInfoContext(ctx)
	n.err("team.info", err)
	return n.lines
}
