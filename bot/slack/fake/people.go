package fake

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"
)

var (
	atName  = regexp.MustCompile(`@([A-Za-z0-9][\w.-]*\w|[A-Za-z0-9])`)
	linkish = regexp.MustCompile(`https?://[^\s<>|]+`)
)

// encode is what Slack makes of what a person types: & < > become entities,
// names become mentions (with the name beside the id, if it is labelled),
// addresses become links.
func (s *Server) encode(typed string, labelled bool) string {
	t := strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(typed)
	t = linkish.ReplaceAllString(t, "<$0>")
	return atName.ReplaceAllStringFunc(t, func(name string) string {
		switch name {
		case "@channel", "@here", "@everyone":
			return "<!" + name[1:] + ">"
		}
		for _, p := range s.people {
			if p.Name == name[1:] && labelled {
				return "<@" + p.ID + "|" + p.Name + ">"
			} else if p.Name == name[1:] {
				return "<@" + p.ID + ">"
			}
		}
		return name
	})
}

// must find what a test speaks of: if it is not there, the test is wrong.
func (s *Server) must(channel, user string) (*room, *Person) {
	r, p := s.rooms[channel], s.people[user]
	if r == nil || p == nil {
		panic("fake: no channel " + channel + ", or no person " + user)
	}
	return r, p
}

// Say has a person post to a channel, in a thread if one is given, and tells
// the app as a message, and as a mention if there is one. It returns the ts.
func (s *Server) Say(channel, user, typed, thread string) string {
	m := &Message{Thread: thread}
	s.do(func() {
		r, p := s.must(channel, user)
		m.User, m.Text = p.ID, s.encode(typed, false)
		m.Blocks = encoded([]any{reply{"type": "rich_text", "block_id": s.newID("b"), "elements": []any{
			reply{"type": "rich_text_section", "elements": []any{reply{"type": "text", "text": typed}}}}}})
		s.store(r, m)
	})
	return m.TS
}

// DM has a person write to the bot.
func (s *Server) DM(user, typed string) string { return s.Say(s.Direct(user), user, typed, "") }

// Delete has somebody delete a message, whoever said it.
func (s *Server) Delete(channel, ts string) {
	s.do(func() { s.erase(s.rooms[channel], s.rooms[channel].byTS[ts]) })
}

// Archive archives a channel.
func (s *Server) Archive(channel, user string) {
	s.do(func() {
		r, p := s.must(channel, user)
		r.Archived = true
		s.channelEvent(r, reply{"type": r.kind() + "_archive", "channel": channel, "user": p.ID})
	})
}

// Join puts somebody, the bot too, into a channel.
func (s *Server) Join(channel, user string) {
	s.do(func() {
		r, p := s.must(channel, user)
		r.Members = append(r.Members, p.ID)
	})
}

// Invite takes somebody into a channel, and the bot is told.
func (s *Server) Invite(channel, user, by string) {
	s.do(func() {
		r, p := s.must(channel, user)
		r.Members = append(r.Members, p.ID)
		s.channelEvent(r, reply{"type": "member_joined_channel", "channel": channel, "user": p.ID, "team": p.Team,
			"channel_type": strings.ToUpper(r.kind()[:1]), "inviter": by})
	})
}

// Leave takes somebody out of a channel. The bot is told of itself as well.
func (s *Server) Leave(channel, user string) {
	s.do(func() {
		r, p := s.must(channel, user)
		s.channelEvent(r, reply{"type": "member_left_channel", "channel": channel, "user": p.ID, "team": p.Team,
			"channel_type": strings.ToUpper(r.kind()[:1])})
		if p.ID == Bot {
			s.channelEvent(r, reply{"type": r.kind() + "_left", "channel": channel})
		}
		r.Members = slices.DeleteFunc(r.Members, func(id string) bool { return id == p.ID })
	})
}

// ChangePerson changes somebody: Deleted deactivates them.
func (s *Server) ChangePerson(p Person) {
	s.AddPeople(p)
	s.do(func() {
		s.event("user_change", reply{"type": "user_change", "user": s.people[p.ID].json(), "cache_ts": time.Now().Unix()})
	})
}

// Uninstall takes the app away: it is told, and its tokens are good for nothing.
func (s *Server) Uninstall() {
	s.do(func() { s.event("app_uninstalled", reply{"type": "app_uninstalled"}) })
	s.RevokeTokens()
}

// RevokeTokens revokes the tokens and tells the app.
func (s *Server) RevokeTokens() {
	s.do(func() {
		s.event("tokens_revoked", reply{"type": "tokens_revoked", "tokens": reply{"oauth": []string{}, "bot": []string{Bot}}})
		s.revoked = "token_revoked"
	})
}

// OpenHome has a person open the app's home tab.
func (s *Server) OpenHome(user string) {
	s.do(func() {
		s.event("app_home_opened", reply{"type": "app_home_opened", "user": user, "channel": s.directWith(user).ID, "tab": "home"})
	})
}

// messageEvent tells the app of a new message.
func (s *Server) messageEvent(r *room, m *Message) {
	event := s.json(r, m, false)
	event["channel"], event["event_ts"], event["channel_type"] = r.ID, m.TS, r.kind()
	if m.SubType == "file_share" {
		event["upload"], event["display_as_bot"] = false, m.BotID != ""
	}
	if m.BotID == "" {
		event["client_msg_id"] = fmt.Sprintf("%08x-0000-4000-8000-000000000000", s.serial)
	}
	if team := s.teamOf(m.User); team != Team {
		event["user_team"], event["source_team"] = team, team
	}
	s.channelEvent(r, event)
	if r.kind() != "im" && m.User != Bot && strings.Contains(m.Text, "<@"+Bot+">") {
		mention := maps.Clone(event)
		mention["type"] = "app_mention"
		delete(mention, "channel_type")
		s.channelEvent(r, mention)
	}
}

// changedEvent tells the app that a message has changed.
func (s *Server) changedEvent(r *room, m *Message, event reply) {
	event["type"], event["hidden"], event["channel"], event["channel_type"], event["ts"] = "message", true, r.ID, r.kind(), s.stamp()
	if m.To == "" {
		s.channelEvent(r, event)
	}
}

// channelEvent tells what happened in a channel that the bot is in.
func (s *Server) channelEvent(r *room, event reply) {
	if !r.member(Bot) {
		return
	}
	name := event["type"].(string)
	if name == "message" {
		name += map[string]string{"channel": ".channels", "group": ".groups", "im": ".im"}[r.kind()]
	}
	s.event(name, event)
}

// event tells an event to the app if it is subscribed to it.
func (s *Server) event(name string, event reply) {
	scope, known := EventScopes[name]
	if known && (scope == "" || slices.Contains(s.scopes, scope)) && (s.opts.Events == nil || slices.Contains(s.opts.Events, name)) {
		s.callback(event)
	}
}

func (s *Server) callback(event map[string]any) {
	at := s.stamp()
	event = maps.Clone(event)
	if event["event_ts"] == nil {
		event["event_ts"] = at
	}
	s.deliver(events, fmt.Sprint(event["type"]), "", reply{
		"type": "event_callback", "token": "none", "team_id": Team, "context_team_id": Team, "api_app_id": App,
		"event_id": s.newID("Ev"), "event_time": s.clock / 1e6, "event": event,
		"authorizations": []reply{{"enterprise_id": nil, "team_id": Team, "user_id": Bot, "is_bot": true, "is_enterprise_install": false}},
	})
}

// Emit tells any event, whether the app is subscribed to it or not: one of a
// type that nobody knows, for instance.
func (s *Server) Emit(event map[string]any) { s.do(func() { s.callback(event) }) }

// hook is a response URL. It can be used five times within half an hour.
type hook struct {
	user, channel string
	message       string // ts of the message it belongs to
	uses          int
	end           time.Time
}

const maxUses = 5

func (s *Server) hook(h hook) string {
	h.end = time.Now().Add(30 * time.Minute)
	key := s.newID("h")
	s.hooks[key] = &h
	return s.base + "/hook/" + key
}

// Command has a person enter a slash command and waits for the answer. What
// the answer says is posted, or shown to them.
func (s *Server) Command(user, channel, command, typed string) error {
	h := hook{user: user, channel: channel}
	answer, err := s.ask(commands, command, user, func() (reply, error) {
		r, p := s.must(channel, user)
		return reply{"token": "none", "team_id": p.Team, "team_domain": "fake",
			"channel_id": channel, "channel_name": r.Name, "user_id": user, "user_name": p.Name, "command": command,
			"text": s.encode(typed, true), "api_app_id": App, "is_enterprise_install": "false", "response_url": s.hook(h),
			"trigger_id": s.issue(user, "")}, nil
	})
	if err != nil || len(answer) == 0 || string(answer) == "{}" {
		return err
	}
	args, err := texts(answer)
	if err != nil { // over HTTP plain words are an answer too
		args = map[string]string{"text": string(answer)}
	}
	s.do(func() { err = s.saw(user, command, s.respond(&h, args)) })
	return err
}

// saw notes that an answer was no good, and so somebody saw a failure.
func (s *Server) saw(user, what string, err error) error {
	if err != nil {
		s.failed = append(s.failed, Failure{user, what, err.Error()})
	}
	return err
}

// respond does what was answered or sent to a response URL.
func (s *Server) respond(h *hook, args map[string]string) error {
	delete(args, "metadata") // it is not kept on this way
	r := s.rooms[h.channel]
	said, err := s.compose(r, args, false)
	if err != nil {
		return err
	}
	original := s.find(h.channel, h.message)
	switch {
	case args["replace_original"] == "true" && original != nil:
		s.edit(r, original, said)
	case args["response_type"] == "in_channel":
		s.post(r, said)
	default:
		s.whisper(r, h.user, said)
	}
	return nil
}

// interaction is what all interactions have.
func (s *Server) interaction(kind string, p *Person, view string) reply {
	return reply{"type": kind, "token": "none", "api_app_id": App, "is_enterprise_install": false, "enterprise": nil,
		"team": reply{"id": Team, "domain": "fake"}, "trigger_id": s.issue(p.ID, view), "action_ts": s.stamp(),
		"user": reply{"id": p.ID, "username": p.Name, "name": p.Name, "team_id": p.Team}}
}

// Press has a person press a button in a message, or choose a value there, and
// waits until the app has acknowledged. The button is looked for in the
// message as it stands.
func (s *Server) Press(user string, m Message, action string, chosen ...string) error {
	now, ok := s.Message(m.Channel, m.TS)
	if !ok || now.Deleted {
		return errors.New("the message is gone")
	}
	return s.PressLate(user, now, action, chosen...)
}

// PressLate presses a button that may be gone by now, as a client does whose
// picture of the message is old.
func (s *Server) PressLate(user string, m Message, action string, chosen ...string) error {
	_, err := s.ask(interactive, "block_actions", user, func() (reply, error) {
		r, p := s.must(m.Channel, user)
		if m.To != "" && m.To != user {
			return nil, fmt.Errorf("only %s sees this message", m.To)
		}
		block, element, act, err := acted(m.Blocks, action, chosen)
		if err != nil {
			return nil, err
		}
		payload := s.interaction("block_actions", p, "")
		container := reply{"type": "message", "message_ts": m.TS, "channel_id": m.Channel, "is_ephemeral": m.To != ""}
		if m.Thread != "" {
			container["thread_ts"] = m.Thread
		}
		payload["container"], payload["channel"], payload["actions"] = container, reply{"id": r.ID, "name": r.Name}, []any{act}
		payload["response_url"] = s.hook(hook{user: user, channel: r.ID, message: m.TS})
		payload["state"] = reply{"values": state([]any{block}, element, chosen)}
		if stored := r.byTS[m.TS]; stored != nil { // messages that one person sees are not in it
			payload["message"] = s.json(r, stored, true)
		}
		return payload, nil
	})
	return err
}

// PressIn has a person press or choose something in a form or a home tab.
func (s *Server) PressIn(user, view, action string, chosen ...string) error {
	_, err := s.ask(interactive, "block_actions", user, func() (reply, error) {
		v := s.views[view]
		if v == nil || v.User != user {
			return nil, errors.New("the view is not open")
		}
		_, element, act, err := acted(v.Blocks, action, chosen)
		if err != nil {
			return nil, err
		}
		from := v.ID
		if v.Type == InHome {
			from = ""
		}
		payload := s.interaction("block_actions", s.people[user], from)
		payload["container"] = reply{"type": "view", "view_id": v.ID}
		payload["view"], payload["actions"] = v.json(state(v.blocks(), element, chosen)), []any{act}
		return payload, nil
	})
	return err
}

// acted is one action: what was pressed, or what was chosen, in the one
// element with that action id.
func acted(blocks json.RawMessage, action string, chosen []string) (block, element map[string]any, act reply, err error) {
	var all []map[string]any
	json.Unmarshal(blocks, &all)
	n := 0
	for _, b := range all {
		for _, e := range elementsOf(b) {
			if e["action_id"] == action {
				block, element = b, e
				n++
			}
		}
	}
	if n != 1 {
		return nil, nil, nil, fmt.Errorf("%d things to press with action id %s", n, action)
	}
	act = reply{"block_id": block["block_id"], "action_id": element["action_id"], "type": element["type"]}
	if element["type"] == "button" {
		act["text"], act["value"] = element["text"], element["value"]
		return block, element, act, nil
	}
	if err := choosable(element, chosen); err != nil {
		return nil, nil, nil, err
	}
	maps.Copy(act, picked(element, chosen))
	return block, element, act, nil
}

// Shortcut has a person use a global shortcut.
func (s *Server) Shortcut(user, callback string) error {
	_, err := s.ask(interactive, "shortcut", user, func() (reply, error) {
		payload := s.interaction("shortcut", s.people[user], "")
		payload["callback_id"] = callback
		return payload, nil
	})
	return err
}

// MessageShortcut has a person use a shortcut on a message, in a thread too.
func (s *Server) MessageShortcut(user, channel, ts, callback string) error {
	_, err := s.ask(interactive, "message_action", user, func() (reply, error) {
		r, p := s.must(channel, user)
		payload := s.interaction("message_action", p, "")
		payload["callback_id"], payload["channel"], payload["message_ts"] = callback, reply{"id": r.ID, "name": r.Name}, ts
		payload["message"] = s.json(r, r.byTS[ts], true)
		payload["response_url"] = s.hook(hook{user: user, channel: channel, message: ts})
		return payload, nil
	})
	return err
}
