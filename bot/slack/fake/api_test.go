package fake

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

func post(api *slack.Client, channel string) (string, error) {
	_, ts, err := api.PostMessage(channel, slack.MsgOptionText("x", false))
	return ts, err
}

func TestRates(t *testing.T) {
	s, api := start(t, Options{PostEvery: time.Hour, Tiers: true})
	s.AddChannels(Channel{ID: "C0OTHER00", Name: "other", Members: []string{Bot}})
	for i := range 6 {
		_, err := post(api, lane)
		var limit *slack.RateLimitedError
		if i < 5 && err != nil || i == 5 && (!errors.As(err, &limit) || limit.RetryAfter < 59*time.Minute) {
			t.Errorf("post %d: %v", i, err)
		}
	}
	if _, err := post(api, "C0OTHER00"); err != nil {
		t.Error(err)
	}
	refused := 0
	s.AddGroups(Group{ID: "S0CREW000"})
	for range 60 { // usergroups.users.list has 20 a minute
		if _, err := api.GetUserGroupMembers("S0CREW000"); err != nil {
			refused++
		}
	}
	if refused < 35 || refused > 40 {
		t.Errorf("%d of 60 refused", refused)
	}
	if n := s.Calls("chat.postMessage"); n != 7 {
		t.Errorf("%d calls", n)
	}
	if r := s.Refused()[0]; r.Method != "chat.postMessage" || r.Code != "ratelimited" {
		t.Errorf("%+v", r)
	}
}

func TestFaults(t *testing.T) {
	s, api := start(t, Options{PostEvery: -1})
	for _, x := range []struct {
		fault  Fault
		stored bool
		is     func(error) bool
	}{
		{Fault{After: true, Cut: true}, true, func(err error) bool { _, ok := errors.AsType[*url.Error](err); return ok }},
		{Fault{Cut: true}, false, func(err error) bool { _, ok := errors.AsType[*url.Error](err); return ok }},
		{Fault{Status: 500}, false, func(err error) bool { x, ok := errors.AsType[slack.StatusCodeError](err); return ok && x.Code == 500 }},
		{Fault{Status: 500, After: true}, true, func(err error) bool { _, ok := errors.AsType[slack.StatusCodeError](err); return ok }},
		{Fault{Status: 429}, false, func(err error) bool { x, ok := errors.AsType[slack.StatusCodeError](err); return ok && x.Code == 429 }},
		{Fault{Status: 429, RetryAfter: 7}, false, func(err error) bool {
			x, ok := errors.AsType[*slack.RateLimitedError](err)
			return ok && x.RetryAfter == 7*time.Second
		}},
		{Fault{Code: "internal_error", After: true}, true, func(err error) bool { return code(err) == "internal_error" }},
		{Fault{Code: "ratelimited"}, false, func(err error) bool { return code(err) == "ratelimited" }},
		{Fault{Delay: time.Millisecond}, true, func(err error) bool { return err == nil }},
	} {
		x.fault.Method, x.fault.Times = "chat.postMessage", 1
		s.Break(x.fault)
		before := len(s.Messages(lane))
		_, err := post(api, lane)
		if !x.is(err) || (len(s.Messages(lane)) > before) != x.stored {
			t.Errorf("%+v: %v, %d then %d messages", x.fault, err, before, len(s.Messages(lane)))
		}
		if _, err := post(api, lane); err != nil {
			t.Errorf("after %+v: %v", x.fault, err)
		}
		s.Mend()
	}
	s.Break(Fault{Every: 2, Status: 429, RetryAfter: 1})
	failed := 0
	for range 10 {
		if _, err := post(api, lane); err != nil {
			failed++
		}
	}
	if failed != 5 {
		t.Errorf("%d of 10 failed", failed)
	}
	// Slowness ends with the caller's patience.
	s.Mend()
	s.Break(Fault{Delay: time.Hour})
	ctx, cancel := context.WithTimeout(t.Context(), time.Millisecond)
	defer cancel()
	if _, err := api.AuthTestContext(ctx); !errors.Is(err, context.DeadlineExceeded) {
		t.Error(err)
	}
}

// A response URL ends after half an hour.
func TestResponseURL_Late(t *testing.T) {
	s, api := start(t, Options{})
	address := see(s, func() string { return s.hook(hook{user: ana, channel: lane}) })
	s.do(func() {
		for _, h := range s.hooks {
			h.end = time.Now()
		}
	})
	if _, _, _, err := api.SendMessage("", slack.MsgOptionResponseURL(address, slack.ResponseTypeEphemeral), slack.MsgOptionText("x", false)); err == nil {
		t.Error("an old response URL was taken")
	}
	if r := s.Refused(); len(r) != 1 || r[0].Code != "used_url" {
		t.Error(r)
	}
}

// A method is refused without its scopes.
func TestScopes(t *testing.T) {
	s, api := start(t, Options{})
	s.AddChannels(Channel{ID: "G0PRIVATE", Name: "office", Private: true, Members: []string{ana, Bot}})
	s.SetScopes("chat:write", "channels:history")
	history := func(channel string) error {
		_, err := api.GetConversationHistory(&slack.GetConversationHistoryParameters{ChannelID: channel})
		return err
	}
	if err := history(lane); err != nil {
		t.Error(err)
	}
	no, _ := history("G0PRIVATE").(slack.SlackErrorResponse)
	if no.Err != "missing_scope" || no.Needed != "groups:history" || no.Provided != "chat:write,channels:history" {
		t.Errorf("%+v", no)
	}
	no, _ = history(s.Direct(ana)).(slack.SlackErrorResponse)
	if no.Needed != "im:history" {
		t.Errorf("%+v", no)
	}
	s.Say("G0PRIVATE", ana, "@heelpost gap 54 60", "")
	s.Say(lane, ana, "@heelpost gap 54 60", "")
	if n := s.Stats().Sent; n != 1 { // only the message in the public channel is told
		t.Errorf("%d sent", n)
	}
}

func TestTokens(t *testing.T) {
	s, api := start(t, Options{})
	with := func(token string) *slack.Client {
		return slack.New(token, slack.OptionAPIURL(s.URL()), slack.OptionAppLevelToken(token))
	}
	for token, want := range map[string]string{"xoxb-nobody": "invalid_auth", "": "not_authed", AppToken: "not_allowed_token_type"} {
		if _, err := with(token).AuthTest(); code(err) != want {
			t.Errorf("%q: %v", token, err)
		}
	}
	for token, want := range map[string]string{"xapp-nobody": "invalid_auth", BotToken: "not_allowed_token_type", AppToken: ""} {
		if _, _, err := with(token).StartSocketModeContext(t.Context()); code(err) != want {
			t.Errorf("%q: %v", token, err)
		}
	}
	// A JSON body carries arguments as a form does, but no token for sockets.
	for method, want := range map[string]string{"auth.test": `"ok":true`, "apps.connections.open": "not_authed", "no.such": "unknown_method"} {
		resp, err := http.Post(s.URL()+method, "application/json; charset=utf-8", strings.NewReader(`{"token":"`+BotToken+`"}`))
		if err != nil {
			t.Fatal(err)
		}
		body := make([]byte, 1000)
		n, _ := resp.Body.Read(body)
		resp.Body.Close()
		if !strings.Contains(string(body[:n]), want) {
			t.Errorf("%s: %s", method, body[:n])
		}
	}
	s.Uninstall()
	if _, err := api.AuthTest(); code(err) != "token_revoked" {
		t.Error(err)
	}
}

// A picture is uploaded, waited for, and shown in a block.
func TestFileBlock(t *testing.T) {
	s, api := start(t, Options{FileDelay: time.Hour})
	up, err := api.UploadFile(slack.UploadFileParameters{Content: "PNG", FileSize: 3, Filename: "plan.png"})
	if err != nil {
		t.Fatal(err)
	}
	show := func() error {
		b := slack.NewImageBlockSlackFile(&slack.SlackFileObject{ID: up.ID}, "plan", "", nil)
		_, _, err := api.PostMessage(lane, slack.MsgOptionText("plan", false), slack.MsgOptionBlocks(b))
		return err
	}
	f, _, _, err := api.GetFileInfo(up.ID, 0, 0)
	if err != nil || f.Mimetype != "" || code(show()) != "invalid_blocks" {
		t.Errorf("%+v %v", f, err)
	}
	s.mu.Lock()
	s.files[up.ID].shown = time.Now()
	s.mu.Unlock()
	f, _, _, err = api.GetFileInfo(up.ID, 0, 0)
	if err != nil || f.Mimetype != "image/png" {
		t.Errorf("%+v %v", f, err)
	}
	if err := show(); err != nil {
		t.Error(err)
	}
	get, err := api.GetUploadURLExternalContext(t.Context(), slack.GetUploadURLExternalParameters{FileName: "a.png", FileSize: 4})
	if err != nil {
		t.Fatal(err)
	}
	if err := api.UploadToURL(t.Context(), slack.UploadToURLParameters{UploadURL: get.UploadURL, Filename: "a.png", Content: "PNG"}); err == nil {
		t.Error("a file of another length was taken")
	}
	if _, err := api.CompleteUploadExternalContext(t.Context(), slack.CompleteUploadExternalParameters{Files: []slack.FileSummary{{ID: get.FileID}}}); code(err) != "file_not_found" {
		t.Error(err)
	}
}

func TestWindows(t *testing.T) {
	s, api := start(t, Options{PostEvery: -1})
	var ts []string
	for i := range 5 {
		ts = append(ts, s.Say(lane, ana, fmt.Sprint(i), ""))
	}
	for i := range 3 {
		s.Say(lane, bo, fmt.Sprint("reply ", i), ts[0])
	}
	texts := func(all []slack.Message) (out string) {
		for _, m := range all {
			out += m.Text + ";"
		}
		return out
	}
	for _, x := range []struct {
		p    slack.GetConversationHistoryParameters
		want string
	}{
		{slack.GetConversationHistoryParameters{}, "4;3;2;1;0;"},
		{slack.GetConversationHistoryParameters{Oldest: ts[2]}, "4;3;"},
		{slack.GetConversationHistoryParameters{Oldest: "0", Limit: 2}, "4;3;"},
	} {
		x.p.ChannelID = lane
		h, err := api.GetConversationHistory(&x.p)
		if err != nil || texts(h.Messages) != x.want {
			t.Errorf("%+v: %v %v", x.p, h, err)
		}
	}
	// Pages do not move when something is posted between them.
	p := slack.GetConversationRepliesParameters{ChannelID: lane, Timestamp: ts[0], Limit: 2}
	var all []slack.Message
	for {
		page, more, next, err := api.GetConversationReplies(&p)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, page...)
		if len(all) == 2 {
			s.Say(lane, bo, "late", ts[0])
		}
		if !more {
			break
		}
		p.Cursor = next
	}
	if got := texts(all); got != "0;reply 0;reply 1;reply 2;late;" {
		t.Error(got)
	}
	// A root that is gone leaves a stone while its replies stand.
	s.Delete(lane, ts[0])
	s.Delete(lane, ts[4])
	h, _ := api.GetConversationHistory(&slack.GetConversationHistoryParameters{ChannelID: lane})
	if len(h.Messages) != 4 || h.Messages[3].SubType != "tombstone" {
		t.Errorf("%+v", h.Messages)
	}
	_, reply, err := api.PostMessage(lane, slack.MsgOptionText("late", false), slack.MsgOptionTS(ts[4]))
	if m, _ := s.Message(lane, reply); err != nil || m.Thread != "" {
		t.Errorf("%+v %v", m, err)
	}
	if _, _, _, err := api.GetConversationReplies(&slack.GetConversationRepliesParameters{ChannelID: lane, Timestamp: ts[4]}); code(err) != "thread_not_found" {
		t.Error(err)
	}
	if _, _, _, err := api.UpdateMessage(lane, ts[3], slack.MsgOptionText("x", false)); code(err) != "cant_update_message" {
		t.Error(err)
	}
	if _, _, err := api.DeleteMessage(lane, ts[3]); code(err) != "cant_delete_message" {
		t.Error(err)
	}
}

func TestWhere(t *testing.T) {
	s, api := start(t, Options{})
	s.AddChannels(Channel{ID: "C0OTHER00", Name: "other"}, Channel{ID: "C0OLD0000", Name: "old", Archived: true, Members: []string{Bot}},
		Channel{ID: "G0PRIVATE", Name: "office", Private: true})
	for channel, want := range map[string]string{"C0OTHER00": "not_in_channel", "C0OLD0000": "is_archived", "G0PRIVATE": "channel_not_found", "C0NOWHERE": "channel_not_found"} {
		if _, err := post(api, channel); code(err) != want {
			t.Errorf("%s: %v", channel, err)
		}
	}
	if _, err := api.PostEphemeral(lane, Bot, slack.MsgOptionText("x", false)); err != nil {
		t.Error(err)
	}
	s.AddPeople(Person{ID: "U0IVY0001", Name: "ivy", Deleted: true})
	if _, err := api.PostEphemeral(lane, "U0IVY0001", slack.MsgOptionText("x", false)); code(err) != "user_not_in_channel" {
		t.Error(err)
	}
	u, err := api.GetUserInfo("U0IVY0001")
	if err != nil || !u.Deleted {
		t.Errorf("%+v %v", u, err)
	}
	if u, err = api.GetUserInfo(cy); err != nil || u.TeamID != OtherTeam || !u.IsStranger {
		t.Errorf("%+v %v", u, err)
	}
	s.AddGroups(Group{ID: "S0CREW000", Handle: "crew", Users: []string{ana, bo}})
	users, err := api.GetUserGroupMembers("S0CREW000")
	if err != nil || !slices.Equal(users, []string{ana, bo}) {
		t.Errorf("%+v %v", users, err)
	}
}

// What happens around the bot reaches it in the library's own types.
func TestAround(t *testing.T) {
	s, api := start(t, Options{})
	got := make(chan any, 30)
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		got <- inner(e)
		c.Ack(*e.Request)
	})
	ts, err := post(api, lane)
	if err != nil {
		t.Fatal(err)
	}
	s.Say(lane, cy, "from elsewhere", ts)
	s.Delete(lane, ts)
	s.Leave(lane, bo)
	s.ChangePerson(Person{ID: bo, Name: "bo", Deleted: true})
	s.OpenHome(ana)
	s.Archive(lane, ana)
	s.Leave(lane, Bot)
	s.RevokeTokens()
	var lines []string
	for range 10 {
		switch e := (<-got).(type) {
		case *slackevents.MessageEvent:
			lines = append(lines, fmt.Sprintf("message %s bot=%v", e.SubType, e.Message.BotID != ""))
			if e.SubType == "" && e.Message.User == cy && (e.UserTeam != OtherTeam || e.ThreadTimeStamp != ts) {
				t.Errorf("%+v", e)
			}
		case *slackevents.MemberLeftChannelEvent:
			lines = append(lines, "left "+e.User)
		case *slackevents.UserChangeEvent:
			lines = append(lines, fmt.Sprint("user ", e.User.ID, e.User.Deleted))
		case *slackevents.AppHomeOpenedEvent:
			lines = append(lines, "home "+e.User+" "+e.Tab)
		case *slackevents.ChannelArchiveEvent:
			lines = append(lines, "archived "+e.Channel)
		case *slackevents.ChannelLeftEvent:
			lines = append(lines, "left "+e.Channel)
		case *slackevents.TokensRevokedEvent:
			lines = append(lines, fmt.Sprint("revoked ", e.Tokens.Bot))
		default:
			lines = append(lines, fmt.Sprintf("%T", e))
		}
	}
	want := []string{"message  bot=true", "message  bot=false", "message message_deleted bot=false",
		"left " + bo, "user " + bo + "true", "home " + ana + " home", "archived " + lane,
		"left " + Bot, "left " + lane, "revoked [" + Bot + "]"}
	if !slices.Equal(lines, want) {
		t.Errorf("%q\nwant %q", lines, want)
	}
}
