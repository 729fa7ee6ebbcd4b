package fake

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

const (
	ana, bo, cy = "U0ANA0001", "U0BO00001", "U0CY00001"
	lane        = "C0ORCHARD"
)

// start starts a fake with a crew in a channel, and a client for it.
func start(t *testing.T, o Options) (*Server, *slack.Client) {
	t.Helper()
	s, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	s.AddPeople(Person{ID: ana, Name: "ana"}, Person{ID: bo, Name: "bo"}, Person{ID: cy, Name: "cy", Team: OtherTeam})
	s.AddChannels(Channel{ID: lane, Name: "orchard-lane", Members: []string{ana, bo, cy, Bot}})
	return s, slack.New(BotToken, slack.OptionAPIURL(s.URL()), slack.OptionAppLevelToken(AppToken))
}

// until waits for a condition, as long as a test may last.
func until(t *testing.T, s *Server, what string, condition func() bool) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	if err := s.Until(ctx, condition); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
}

// listen runs a Socket Mode client, and has handle answer what is not an
// event; a nil handle acknowledges all.
func listen(t *testing.T, s *Server, api *slack.Client, handle func(c *socketmode.Client, e socketmode.Event)) {
	t.Helper()
	c := socketmode.New(api)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		c.RunContext(ctx)
	}()
	loop := make(chan struct{})
	go func() {
		defer close(loop)
		for {
			select {
			case e := <-c.Events:
				if e.Request != nil && e.Request.EnvelopeID != "" || e.Type == socketmode.EventTypeErrorBadMessage {
					handle(c, e)
				}
			case <-done:
				return
			}
		}
	}()
	t.Cleanup(func() { cancel(); <-done; <-loop })
	before := s.Stats().Sockets
	until(t, s, "a socket", func() bool { return s.Stats().Sockets > before || s.Sockets() > 0 })
}

func inner(e socketmode.Event) any {
	if x, ok := e.Data.(slackevents.EventsAPIEvent); ok {
		return x.InnerEvent.Data
	}
	return nil
}

func code(err error) string {
	var no slack.SlackErrorResponse
	if errors.As(err, &no) {
		return no.Err
	}
	if err == nil {
		return ""
	}
	return err.Error()
}

func TestMentionOverSocket(t *testing.T) {
	s, api := start(t, Options{})
	got := make(chan any, 10)
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		got <- inner(e)
		c.Ack(*e.Request)
	})
	ts := s.Say(lane, ana, "@heelpost gap 54 <60> & https://example.com/a?b&c @bo <!channel>", "")
	var kinds []string
	for range 2 {
		switch e := (<-got).(type) {
		case *slackevents.MessageEvent:
			kinds = append(kinds, "message")
			if e.ChannelType != "channel" || e.TimeStamp != ts {
				t.Errorf("message: %+v", e)
			}
		case *slackevents.AppMentionEvent:
			kinds = append(kinds, "mention")
			want := "<@" + Bot + "> gap 54 &lt;60&gt; &amp; <https://example.com/a?b&amp;c> <@" + bo + "> &lt;!channel&gt;"
			if e.Text != want || e.User != ana || e.TimeStamp != ts {
				t.Errorf("mention of %s %s: %s\nwant %s", e.User, e.TimeStamp, e.Text, want)
			}
		default:
			t.Fatalf("%T", e)
		}
	}
	if len(kinds) != 2 || kinds[0] == kinds[1] {
		t.Errorf("events %v", kinds)
	}
	until(t, s, "acknowledged", func() bool { return s.Stats().Acked == 2 && s.Unacked() == 0 })
}

func TestPostThreadMetadata(t *testing.T) {
	s, api := start(t, Options{})
	ctx := t.Context()
	meta := slack.SlackMetadata{EventType: "notice", EventPayload: map[string]any{"id": "n1"}}
	_, root, err := api.PostMessageContext(ctx, lane, slack.MsgOptionText("door", false), slack.MsgOptionMetadata(meta))
	if err != nil {
		t.Fatal(err)
	}
	_, reply, err := api.PostMessageContext(ctx, lane, slack.MsgOptionText("gap", false), slack.MsgOptionTS(root))
	if err != nil {
		t.Fatal(err)
	}
	all, _, _, err := api.GetConversationRepliesContext(ctx, &slack.GetConversationRepliesParameters{ChannelID: lane, Timestamp: root, IncludeAllMetadata: true})
	if err != nil || len(all) != 2 {
		t.Fatal(all, err)
	}
	if all[0].Metadata.EventPayload["id"] != "n1" || all[0].ReplyCount != 1 || all[1].Timestamp != reply || all[1].ThreadTimestamp != root {
		t.Errorf("replies: %+v", all)
	}
	h, err := api.GetConversationHistoryContext(ctx, &slack.GetConversationHistoryParameters{ChannelID: lane})
	if err != nil || len(h.Messages) != 1 || h.Messages[0].Metadata.EventType != "" {
		t.Errorf("history: %+v %v", h, err)
	}
	if s.PostsOf("n1") != 1 || len(s.Thread(lane, root)) != 2 {
		t.Error("not recorded")
	}
	_, _, err = api.PostMessageContext(ctx, lane, slack.MsgOptionText("x", false), slack.MsgOptionTS("1.000001"))
	if code(err) != "thread_not_found" {
		t.Error(err)
	}
}

func TestFormOverSocket(t *testing.T) {
	s, api := start(t, Options{})
	modal := func(title string) slack.ModalViewRequest {
		text := func(s string) *slack.TextBlockObject { return slack.NewTextBlockObject("plain_text", s, false, false) }
		return slack.ModalViewRequest{Type: slack.VTModal, CallbackID: "open", Title: text(title), Submit: text("Open"),
			Blocks: slack.Blocks{BlockSet: []slack.Block{
				slack.NewInputBlock("width", text("Width in mm"), nil, slack.NewNumberInputBlockElement(nil, "n", true)),
				slack.NewInputBlock("who", text("Who"), nil, slack.NewOptionsSelectBlockElement(slack.OptTypeUser, nil, "u")).WithOptional(true),
			}}}
	}
	values := make(chan string, 10)
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		x, ok := e.Data.(slack.InteractionCallback)
		if !ok {
			c.Ack(*e.Request)
			return
		}
		switch x.Type {
		case slack.InteractionTypeShortcut:
			c.Ack(*e.Request)
			if _, err := api.OpenView(x.TriggerID, modal("New door")); err != nil {
				t.Error(err)
			}
			if _, err := api.OpenView(x.TriggerID, modal("New door")); code(err) != "exchanged_trigger_id" {
				t.Error(err)
			}
		case slack.InteractionTypeViewSubmission:
			v := x.View.State.Values["width"]["n"].Value
			values <- v + " " + x.View.State.Values["who"]["u"].SelectedUser
			if v == "1" {
				c.Ack(*e.Request, slack.NewErrorsViewSubmissionResponse(map[string]string{"width": "too narrow"}))
				return
			}
			c.Ack(*e.Request)
		}
	})
	if err := s.Shortcut(ana, "new_door"); err != nil {
		t.Fatal(err)
	}
	until(t, s, "a form", func() bool { return len(s.Modals(ana)) == 1 })
	v := s.Modals(ana)[0]
	if _, err := s.Submit(ana, v.ID, nil); err == nil || !strings.Contains(err.Error(), "required") {
		t.Error(err)
	}
	got, err := s.Submit(ana, v.ID, map[string]string{"width": "1"})
	if err != nil || got.Action != "errors" || got.Errors["width"] != "too narrow" {
		t.Error(got, err)
	}
	got, err = s.Submit(ana, v.ID, map[string]string{"width": "1200.5", "who": bo})
	if err != nil || got.Action != "close" || len(s.Modals(ana)) != 0 {
		t.Error(got, err)
	}
	if a, b := <-values, <-values; a != "1 " || b != "1200.5 "+bo {
		t.Error(a, b)
	}
}

func TestButtonsAndResponseURL(t *testing.T) {
	s, api := start(t, Options{})
	button := slack.NewActionBlock("do", slack.NewButtonBlockElement("next", "door-7", slack.NewTextBlockObject("plain_text", "Next", false, false)))
	urls := make(chan string, 10)
	listen(t, s, api, func(c *socketmode.Client, e socketmode.Event) {
		switch x := e.Data.(type) {
		case slack.SlashCommand:
			if x.Command != "/door" || x.Text != "gap &lt; 60" || x.UserID != ana {
				t.Errorf("command %+v", x)
			}
			c.Ack(*e.Request, map[string]any{"text": "only you", "blocks": []slack.Block{button}})
		case slack.InteractionCallback:
			if a := x.ActionCallback.BlockActions[0]; a.Value != "door-7" || a.ActionID != "next" || x.Container.IsEphemeral != (x.Message.Timestamp == "") {
				t.Errorf("action %+v in %+v", a, x.Container)
			}
			urls <- x.ResponseURL
			c.Ack(*e.Request)
		default:
			c.Ack(*e.Request)
		}
	})
	if err := s.Command(ana, lane, "/door", "gap < 60"); err != nil {
		t.Fatal(err)
	}
	hidden := s.Ephemerals(ana)
	if len(hidden) != 1 || hidden[0].Text != "only you" {
		t.Fatal(hidden)
	}
	if err := s.Press(ana, hidden[0], "next"); err != nil {
		t.Fatal(err)
	}
	if err := s.Press(bo, hidden[0], "next"); err == nil {
		t.Error("somebody else saw it")
	}
	if err := s.Press(ana, hidden[0], "back"); err == nil {
		t.Error("a button that is not there was pressed")
	}
	url := <-urls
	for i := range 6 {
		_, _, _, err := api.SendMessage("", slack.MsgOptionResponseURL(url, slack.ResponseTypeInChannel), slack.MsgOptionText("shared", false))
		if (err == nil) != (i < 5) {
			t.Errorf("use %d: %v", i+1, err)
		}
	}
	if n := len(s.Messages(lane)); n != 5 {
		t.Errorf("%d messages", n)
	}
	_, ts, err := api.PostMessage(lane, slack.MsgOptionText("root", false), slack.MsgOptionBlocks(button))
	if err != nil {
		t.Fatal(err)
	}
	m, _ := s.Message(lane, ts)
	if err := s.Press(bo, m, "next"); err != nil {
		t.Fatal(err)
	}
	if _, _, _, err := api.SendMessage("", slack.MsgOptionReplaceOriginal(<-urls), slack.MsgOptionText("done", false)); err != nil {
		t.Fatal(err)
	}
	now, _ := s.Message(lane, ts)
	if now.Text != "done" || now.Blocks != nil || len(now.Edits) != 1 {
		t.Errorf("%+v", now)
	}
	if err := s.Press(bo, m, "next"); err == nil {
		t.Error("the button is gone")
	}
	if err := s.PressLate(bo, m, "next"); err != nil {
		t.Error(err)
	}
	var raw []any
	if json.Unmarshal(m.Blocks, &raw) != nil || len(raw) != 1 {
		t.Error("blocks were not kept")
	}
}
