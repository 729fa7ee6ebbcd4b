package fake

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

var (
	atName  = regexp.MustCompile(`@([A-Za-z0-9][\w.-]*\w|[A-Za-z0-9])`)
	linkish = regexp.MustCompile(`https?://[^\s<>|]+`)
)

// encode is what Slack makes of what a person types: & < > become entities,
// names become mentions, addresses become links.
func (s *Server) encode(typed string) string {
	t := strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(typed)
	t = linkish.ReplaceAllString(t, "<$0>")
	return atName.ReplaceAllStringFunc(t, func(name string) string {
		switch name {
		case "@channel", "@here", "@everyone":
			return "<!" + name[1:] + ">"
		}
		for _, p := range s.people {
			if p.Name == name[1:] {
				return "<@" + p.ID + ">"
			}
		}
		return name
	})
}

// must find what a test speaks of: if it is not there, the test is wrong.
func (s *Server) must(channel, user string) (*room, *Person) {
	r, p := s.rooms[channel], s.people[user]
	if r == nil {
		panic("fake: no channel " + channel)
	}
	if p == nil {
		panic("fake: no person " + user)
	}
	return r, p
}

// Say has a person post to a channel, in a thread if one is given, and tells
// the app as a message, and as a mention if there is one. It returns the ts.
func (s *Server) Say(channel, user, typed, thread string) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.say(channel, user, typed, thread, Message{})
}

// Share has a person post a file with some words.
func (s *Server) Share(channel, user, typed, thread, name string, data []byte) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := &file{id: s.newID("F"), user: user, name: name, title: name, length: len(data), data: data, shown: time.Now()}
	s.files[f.id] = f
	return s.say(channel, user, typed, thread, Message{SubType: "file_share", Files: []string{f.id}})
}

func (s *Server) say(channel, user, typed, thread string, m Message) string {
	r, p := s.must(channel, user)
	if r.Archived {
		panic("fake: " + channel + " is archived")
	}
	m.Channel, m.User, m.Text, m.Thread = channel, p.ID, s.encode(typed), thread
	m.Blocks, _ = json.Marshal([]any{reply{"type": "rich_text", "block_id": s.newID("b"), "elements": []any{
		reply{"type": "rich_text_section", "elements": []any{reply{"type": "text", "text": typed}}}}}})
	s.store(r, &m)
	return m.TS
}

// DM has a person write to the bot.
func (s *Server) DM(user, typed string) string { return s.Say(s.Direct(user), user, typed, "") }

// messageEvent tells the app of a new message.
func (s *Server) messageEvent(r *room, m *Message) {
	s.change()
	event := s.json(r, m, false)
	event["channel"], event["event_ts"], event["channel_type"] = r.ID, m.TS, r.kind()
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

// Edit has a person change what they said.
func (s *Server) Edit(channel, ts, typed string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if m := s.rooms[channel].byTS[ts]; m != nil {
		s.edit(s.rooms[channel], m, &content{text: s.encode(typed)})
	}
}

// Delete has somebody delete a message, whoever said it.
func (s *Server) Delete(channel, ts string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if m := s.rooms[channel].byTS[ts]; m != nil {
		s.erase(s.rooms[channel], m)
	}
}

// Archive archives a channel.
func (s *Server) Archive(channel, user string) { s.archive(channel, user, true) }

// Unarchive brings a channel back.
func (s *Server) Unarchive(channel, user string) { s.archive(channel, user, false) }

func (s *Server) archive(channel, user string, yes bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, p := s.must(channel, user)
	r.Archived = yes
	s.change()
	name := r.kind() + "_unarchive"
	if yes {
		name = r.kind() + "_archive"
	}
	s.channelEvent(r, reply{"type": name, "channel": channel, "user": p.ID})
}

// Join puts somebody, the bot too, into a channel.
func (s *Server) Join(channel, user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, p := s.must(channel, user)
	if !r.member(p.ID) {
		r.Members = append(r.Members, p.ID)
		s.change()
		s.channelEvent(r, reply{"type": "member_joined_channel", "channel": channel, "user": p.ID, "team": p.Team,
			"channel_type": strings.ToUpper(r.kind()[:1])})
	}
}

// Leave takes somebody out of a channel. The bot is told of itself as well.
func (s *Server) Leave(channel, user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r, p := s.must(channel, user)
	s.channelEvent(r, reply{"type": "member_left_channel", "channel": channel, "user": p.ID, "team": p.Team,
		"channel_type": strings.ToUpper(r.kind()[:1])})
	if p.ID == Bot {
		s.channelEvent(r, reply{"type": r.kind() + "_left", "channel": channel})
	}
	r.Members = slices.DeleteFunc(slices.Clone(r.Members), func(id string) bool { return id == p.ID })
	s.change()
}

// ChangePerson changes somebody: Deleted deactivates them.
func (s *Server) ChangePerson(p Person) {
	s.AddPeople(p)
	s.mu.Lock()
	defer s.mu.Unlock()
	s.event("user_change", reply{"type": "user_change", "user": s.people[p.ID].json(), "cache_ts": time.Now().Unix()}, false)
}

// Uninstall takes the app away: it is told, and its tokens are good for nothing.
func (s *Server) Uninstall() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.event("app_uninstalled", reply{"type": "app_uninstalled"}, false)
	s.tokensRevoked()
}

// RevokeTokens revokes the tokens and tells the app.
func (s *Server) RevokeTokens() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.tokensRevoked()
}

func (s *Server) tokensRevoked() {
	s.event("tokens_revoked", reply{"type": "tokens_revoked", "tokens": reply{"oauth": []string{}, "bot": []string{Bot}}}, false)
	s.revoked = "token_revoked"
	s.change()
}

// OpenHome has a person open the app's home tab.
func (s *Server) OpenHome(user string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	event := reply{"type": "app_home_opened", "user": user, "channel": s.directWith(user).ID, "tab": "home"}
	if v := s.homes[user]; v != nil {
		event["view"] = v.blank()
	}
	s.event("app_home_opened", event, false)
}

// hook is a response URL.
type hook struct {
	user, channel, thread string
	message               string // ts of the message it belongs to
	uses                  int
	end                   time.Time
}

const maxUses = 5

func (s *Server) hook(h hook) string {
	h.end = time.Now().Add(s.opts.ResponseURL)
	if s.opts.ResponseURL < 0 {
		h.end = time.Now().Add(24 * time.Hour)
	}
	key := s.newID("h")
	s.hooks[key] = &h
	return s.base + "/hook/" + key
}

// Command has a person enter a slash command and waits for the answer. What
// the answer says is posted, or shown to them.
func (s *Server) Command(user, channel, command, typed string) error {
	s.mu.Lock()
	r, p := s.must(channel, user)
	h := hook{user: user, channel: channel}
	name := map[string]string{"channel": r.Name, "group": "privategroup", "im": "directmessage"}[r.kind()]
	address := s.hook(h)
	d := s.deliver(commands, command, user, map[string]string{"token": "none", "team_id": p.Team, "team_domain": "fake",
		"channel_id": channel, "channel_name": name, "user_id": user, "user_name": p.Name, "command": command,
		"text": s.escaped(typed), "api_app_id": App, "is_enterprise_install": "false", "response_url": address,
		"trigger_id": s.issue(user, "")})
	s.mu.Unlock()
	answer, err := s.wait(d)
	if err != nil || len(answer) == 0 || string(answer) == "{}" {
		return err
	}
	args := map[string]string{}
	var fields map[string]json.RawMessage
	if json.Unmarshal(answer, &fields) != nil { // over HTTP plain words are an answer too
		args["text"] = string(answer)
	}
	for name, v := range fields {
		var text string
		if json.Unmarshal(v, &text) != nil {
			text = string(v)
		}
		args[name] = text
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.saw(user, command, s.respond(&h, args))
}

// escaped is typed text as commands have it: mentions with names.
func (s *Server) escaped(typed string) string {
	text := s.encode(typed)
	for id, p := range s.people {
		text = strings.ReplaceAll(text, "<@"+id+">", "<@"+id+"|"+p.Name+">")
	}
	return text
}

// saw notes that an answer was no good, and so somebody saw a failure.
func (s *Server) saw(user, what string, err error) error {
	if err != nil {
		reason := err.Error()
		if no, ok := err.(*refusal); ok && len(no.details) > 0 {
			reason += ": " + strings.Join(no.details, "; ")
		}
		s.failed = append(s.failed, Failure{user, what, reason})
		s.change()
		return errors.New(reason)
	}
	return nil
}

// respond does what was answered or sent to a response URL.
func (s *Server) respond(h *hook, args map[string]string) error {
	on := func(name string) bool { return args[name] == "true" }
	r := s.rooms[h.channel]
	original := s.hidden[h.message]
	if original == nil && r != nil {
		original = r.byTS[h.message]
	}
	if on("delete_original") && original != nil {
		if original.To != "" {
			original.Deleted = true
			s.change()
		} else {
			s.erase(r, original)
		}
		return nil
	}
	delete(args, "metadata") // it is not kept on this way
	said, err := s.compose(args)
	if err != nil {
		return err
	}
	if said.text == "" && empty(said.blocks) {
		return refuse("no_text")
	}
	thread, err := r.root(args["thread_ts"])
	if err != nil {
		return err
	}
	switch {
	case on("replace_original") && original != nil && original.To != "":
		original.Edits = append(original.Edits, Edit{original.Text, original.Blocks, nil})
		original.Text, original.Blocks = said.text, said.blocks
		s.change()
	case on("replace_original") && original != nil:
		s.edit(r, original, said)
	case args["response_type"] == "in_channel":
		s.store(r, &Message{Channel: r.ID, User: Bot, BotID: BotID, Text: said.text, Blocks: said.blocks, Thread: thread})
	default:
		s.whisper(r, h.user, thread, said)
	}
	return nil
}

// elementAt finds what somebody presses: by its action id, or by block id, a
// slash and action id if there are several.
func elementAt(blocks json.RawMessage, action string) (block, element map[string]any, err error) {
	var all []map[string]any
	json.Unmarshal(blocks, &all)
	n := 0
	for _, b := range all {
		for _, e := range elementsOf(b) {
			if e["action_id"] == action || fmt.Sprintf("%v/%v", b["block_id"], e["action_id"]) == action {
				block, element = b, e
				n++
			}
		}
	}
	switch n {
	case 0:
		return nil, nil, fmt.Errorf("nothing to press with action id %s", action)
	case 1:
		return block, element, nil
	}
	return nil, nil, fmt.Errorf("%d things to press with action id %s: name the block too", n, action)
}

// Press has a person press a button in a message, or choose a value there, and
// waits until the app has acknowledged. The button is looked for in the
// message as it stands.
func (s *Server) Press(user string, m Message, action string, chosen ...string) error {
	now, ok := s.Message(m.Channel, m.TS)
	s.mu.Lock()
	if hidden := s.hidden[m.TS]; hidden != nil {
		now, ok = *hidden, true
	}
	s.mu.Unlock()
	if !ok || now.Deleted {
		return errors.New("the message is gone")
	}
	return s.PressLate(user, now, action, chosen...)
}

// PressLate presses a button that may be gone by now, as a client does whose
// picture of the message is old.
func (s *Server) PressLate(user string, m Message, action string, chosen ...string) error {
	s.mu.Lock()
	r, p := s.must(m.Channel, user)
	if m.To != "" && m.To != user {
		s.mu.Unlock()
		return fmt.Errorf("only %s sees this message", m.To)
	}
	block, element, err := elementAt(m.Blocks, action)
	var act reply
	if err == nil {
		act, err = acted(block, element, chosen)
	}
	if err != nil {
		s.mu.Unlock()
		return err
	}
	act["action_ts"] = s.stamp()
	container := reply{"type": "message", "message_ts": m.TS, "channel_id": m.Channel, "is_ephemeral": m.To != ""}
	if m.Thread != "" {
		container["thread_ts"] = m.Thread
	}
	payload := s.interaction("block_actions", p)
	payload["container"], payload["channel"] = container, reply{"id": r.ID, "name": r.Name}
	payload["actions"] = []any{act}
	payload["response_url"] = s.hook(hook{user: user, channel: r.ID, thread: m.Thread, message: m.TS})
	payload["trigger_id"] = s.issue(user, "")
	var all []any
	json.Unmarshal(m.Blocks, &all)
	payload["state"] = reply{"values": state(all)}
	if stored := r.byTS[m.TS]; stored != nil { // messages that one person sees are not in it
		payload["message"] = s.json(r, stored, true)
	}
	d := s.deliver(interactive, "block_actions", user, payload)
	s.mu.Unlock()
	_, err = s.wait(d)
	return err
}

// PressIn has a person press or choose something in a form or a home tab.
func (s *Server) PressIn(user, view, action string, chosen ...string) error {
	s.mu.Lock()
	_, p := s.must(s.directWith(user).ID, user)
	v := s.views[view]
	if v == nil || v.User != user {
		s.mu.Unlock()
		return errors.New("the view is not open")
	}
	block, element, err := elementAt(v.Blocks, action)
	var act reply
	if err == nil {
		act, err = acted(block, element, chosen)
	}
	if err != nil {
		s.mu.Unlock()
		return err
	}
	act["action_ts"] = s.stamp()
	values := state(v.fields["blocks"].([]any))
	if values[blockIDOf(block)] != nil {
		values[blockIDOf(block)][element["action_id"].(string)] = picked(element, chosen)
	}
	payload := s.interaction("block_actions", p)
	payload["container"] = reply{"type": "view", "view_id": v.ID}
	payload["view"], payload["actions"] = v.json(values), []any{act}
	from := v.ID
	if v.Type == inHome {
		from = ""
	}
	payload["trigger_id"] = s.issue(user, from)
	d := s.deliver(interactive, "block_actions", user, payload)
	s.mu.Unlock()
	_, err = s.wait(d)
	return err
}

func blockIDOf(block map[string]any) string {
	id, _ := block["block_id"].(string)
	return id
}

// interaction is what all interactions have.
func (s *Server) interaction(kind string, p *Person) reply {
	return reply{"type": kind, "token": "none", "api_app_id": App, "is_enterprise_install": false, "enterprise": nil,
		"team": reply{"id": Team, "domain": "fake"},
		"user": reply{"id": p.ID, "username": p.Name, "name": p.Name, "team_id": p.Team}}
}

// acted is one action: what was pressed, or what was chosen.
func acted(block, element map[string]any, chosen []string) (reply, error) {
	out := reply{"block_id": block["block_id"], "action_id": element["action_id"], "type": element["type"]}
	if element["type"] == "button" {
		if len(chosen) > 0 {
			return nil, errors.New("a button has no choice")
		}
		out["text"] = element["text"]
		if v, ok := element["value"]; ok {
			out["value"] = v
		}
		return out, nil
	}
	if err := choosable(element, chosen); err != nil {
		return nil, err
	}
	maps.Copy(out, picked(element, chosen))
	return out, nil
}

// choosable checks that what is chosen can be.
func choosable(element map[string]any, chosen []string) error {
	if element["type"] == "file_input" {
		return errors.New("filling in files is not part of this fake")
	}
	if !hasOptions(element) {
		return nil
	}
	for _, v := range chosen {
		if optionOf(element, v) == nil {
			return fmt.Errorf("no option %q in %v", v, element["action_id"])
		}
	}
	return nil
}

func hasOptions(element map[string]any) bool {
	return element["options"] != nil || element["option_groups"] != nil
}

func optionOf(element map[string]any, value string) map[string]any {
	all, _ := element["options"].([]any)
	groups, _ := element["option_groups"].([]any)
	for _, g := range groups {
		more, _ := g.(map[string]any)["options"].([]any)
		all = append(slices.Clone(all), more...)
	}
	for _, o := range all {
		if m, ok := o.(map[string]any); ok && m["value"] == value {
			return m
		}
	}
	return nil
}

// fields of the state, by type of element: where the value is, and where it
// was at first.
var valueFields = map[string][2]string{
	"plain_text_input":           {"value", "initial_value"},
	"number_input":               {"value", "initial_value"},
	"email_text_input":           {"value", "initial_value"},
	"url_text_input":             {"value", "initial_value"},
	"rich_text_input":            {"rich_text_value", "initial_value"},
	"static_select":              {"selected_option", "initial_option"},
	"external_select":            {"selected_option", "initial_option"},
	"overflow":                   {"selected_option", ""},
	"radio_buttons":              {"selected_option", "initial_option"},
	"checkboxes":                 {"selected_options", "initial_options"},
	"multi_static_select":        {"selected_options", "initial_options"},
	"multi_external_select":      {"selected_options", "initial_options"},
	"users_select":               {"selected_user", "initial_user"},
	"multi_users_select":         {"selected_users", "initial_users"},
	"conversations_select":       {"selected_conversation", "initial_conversation"},
	"multi_conversations_select": {"selected_conversations", "initial_conversations"},
	"channels_select":            {"selected_channel", "initial_channel"},
	"multi_channels_select":      {"selected_channels", "initial_channels"},
	"datepicker":                 {"selected_date", "initial_date"},
	"timepicker":                 {"selected_time", "initial_time"},
	"datetimepicker":             {"selected_date_time", "initial_date_time"},
	"file_input":                 {"files", ""},
}

// state is what the inputs of these blocks hold at first.
func state(blocks []any) map[string]map[string]any {
	out := map[string]map[string]any{}
	for _, b := range blocks {
		block, _ := b.(map[string]any)
		for _, e := range elementsOf(block) {
			f, ok := valueFields[fmt.Sprint(e["type"])]
			if !ok || e["type"] == "overflow" {
				continue
			}
			id := blockIDOf(block)
			if out[id] == nil {
				out[id] = map[string]any{}
			}
			v := e[f[1]]
			if v == nil && strings.HasSuffix(f[0], "s") {
				v = []any{}
			}
			out[id][fmt.Sprint(e["action_id"])] = map[string]any{"type": e["type"], f[0]: v}
		}
	}
	return out
}

// picked is the state of an element after something was chosen in it.
func picked(element map[string]any, chosen []string) map[string]any {
	kind := fmt.Sprint(element["type"])
	name := valueFields[kind][0]
	var v any
	switch {
	case strings.HasPrefix(name, "selected_option"):
		all := []any{}
		for _, c := range chosen {
			if o := optionOf(element, c); o != nil {
				all = append(all, o)
			} else if kind == "external_select" || kind == "multi_external_select" {
				all = append(all, map[string]any{"text": map[string]any{"type": "plain_text", "text": c}, "value": c})
			}
		}
		if strings.HasSuffix(name, "s") {
			v = all
		} else if len(all) > 0 {
			v = all[0]
		}
	case strings.HasSuffix(name, "s"):
		v = append([]string{}, chosen...)
	case len(chosen) > 0 && chosen[0] != "":
		v = chosen[0]
		if kind == "datetimepicker" {
			v, _ = strconv.ParseInt(chosen[0], 10, 64)
		}
	}
	return map[string]any{"type": kind, name: v}
}

// Shortcut has a person use a global shortcut.
func (s *Server) Shortcut(user, callback string) error {
	s.mu.Lock()
	_, p := s.must(s.directWith(user).ID, user)
	payload := s.interaction("shortcut", p)
	payload["callback_id"], payload["action_ts"], payload["trigger_id"] = callback, s.stamp(), s.issue(user, "")
	d := s.deliver(interactive, "shortcut", user, payload)
	s.mu.Unlock()
	_, err := s.wait(d)
	return err
}

// MessageShortcut has a person use a shortcut on a message, in a thread too.
func (s *Server) MessageShortcut(user, channel, ts, callback string) error {
	s.mu.Lock()
	r, p := s.must(channel, user)
	m := r.byTS[ts]
	if m == nil || m.Deleted {
		s.mu.Unlock()
		return errors.New("the message is gone")
	}
	payload := s.interaction("message_action", p)
	payload["callback_id"], payload["action_ts"], payload["trigger_id"] = callback, s.stamp(), s.issue(user, "")
	payload["channel"], payload["message_ts"] = reply{"id": r.ID, "name": r.Name}, ts
	payload["message"] = s.json(r, m, true)
	payload["response_url"] = s.hook(hook{user: user, channel: channel, thread: m.Thread, message: ts})
	d := s.deliver(interactive, "message_action", user, payload)
	s.mu.Unlock()
	_, err := s.wait(d)
	return err
}

// Submitted is what became of a form that was sent.
type Submitted struct {
	Action string            // close, errors, update, push, clear
	Errors map[string]string // complaints by block id
	View   View              // the one shown now, after update or push
}

// Submit has a person fill in a form and send it. Values go by block id, or by
// block id, a slash and action id if the block has several; several choices are
// set apart by commas. What is not named keeps its initial value. What Slack's
// clients refuse to send (an empty field that is not optional, a number out of
// bounds, an option that is not there) is an error.
func (s *Server) Submit(user, view string, values map[string]string) (Submitted, error) {
	s.mu.Lock()
	_, p := s.must(s.directWith(user).ID, user)
	stack := s.stacks[user]
	if len(stack) == 0 || stack[len(stack)-1].ID != view {
		s.mu.Unlock()
		return Submitted{}, errors.New("the form is not open, or not on top")
	}
	v := stack[len(stack)-1]
	filled, err := v.fill(values)
	if err == nil && v.Submit == "" {
		err = errors.New("the form has no submit button")
	}
	if err != nil {
		s.mu.Unlock()
		return Submitted{}, err
	}
	payload := s.interaction("view_submission", p)
	payload["view"], payload["response_urls"], payload["trigger_id"] = v.json(filled), []any{}, s.issue(user, v.ID)
	d := s.deliver(interactive, "view_submission", user, payload)
	s.mu.Unlock()
	answer, err := s.wait(d)
	if err != nil {
		return Submitted{}, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	out, err := s.submitted(user, v, answer)
	return out, s.saw(user, "view_submission", err)
}

// submitted does what the app answered to a form.
func (s *Server) submitted(user string, v *View, answer json.RawMessage) (Submitted, error) {
	var a struct {
		Action string            `json:"response_action"`
		Errors map[string]string `json:"errors"`
		View   json.RawMessage   `json:"view"`
	}
	if len(answer) > 0 && json.Unmarshal(answer, &a) != nil {
		return Submitted{}, errors.New("the answer is not JSON")
	}
	out := Submitted{Action: a.Action}
	if now := s.views[v.ID]; now != nil { // it may have been updated meanwhile
		v = now
	}
	switch a.Action {
	case "":
		out.Action = "close"
		s.pop(user)
	case "clear":
		s.closeAll(user)
	case "errors":
		if len(a.Errors) == 0 {
			return out, errors.New("errors without any")
		}
		inputs := map[string]bool{}
		for _, b := range v.fields["blocks"].([]any) {
			if block := b.(map[string]any); block["type"] == "input" {
				inputs[blockIDOf(block)] = true
			}
		}
		for id, words := range a.Errors {
			if !inputs[id] || words == "" {
				return out, fmt.Errorf("error for %q: no input block, or no words", id)
			}
		}
		out.Errors = a.Errors
	case "update", "push":
		old := v
		if a.Action == "push" {
			old = nil
			if len(s.stacks[user]) >= maxStack {
				return out, refuse("push_limit_reached")
			}
		}
		next, err := s.readView(string(a.View), inModal, old)
		if err != nil {
			return out, err
		}
		if old == nil {
			s.push(user, next)
		} else {
			s.replace(old, next)
		}
		out.View = *next
	default:
		return out, fmt.Errorf("unknown response_action %q", a.Action)
	}
	return out, nil
}

// fill puts values into a form, as far as a client would let one send it.
func (v *View) fill(values map[string]string) (map[string]map[string]any, error) {
	all := v.fields["blocks"].([]any)
	out := state(all)
	left := maps.Clone(values)
	for _, b := range all {
		block := b.(map[string]any)
		id := blockIDOf(block)
		for _, e := range elementsOf(block) {
			action := fmt.Sprint(e["action_id"])
			if out[id][action] == nil {
				continue
			}
			for _, key := range []string{id, id + "/" + action} {
				given, ok := left[key]
				if !ok {
					continue
				}
				delete(left, key)
				chosen := []string{}
				if name := valueFields[fmt.Sprint(e["type"])][0]; given != "" && strings.HasSuffix(name, "s") {
					chosen = strings.Split(given, ",")
				} else if given != "" {
					chosen = []string{given}
				}
				if err := choosable(e, chosen); err != nil {
					return nil, err
				}
				out[id][action] = picked(e, chosen)
			}
			if block["type"] == "input" {
				if err := sendable(block, e, out[id][action].(map[string]any)); err != nil {
					return nil, fmt.Errorf("%s: %w", id, err)
				}
			}
		}
	}
	for key := range left {
		return nil, fmt.Errorf("the form has no field %q", key)
	}
	return out, nil
}

// sendable is what a client checks before it sends.
func sendable(block, e, value map[string]any) error {
	v := value[valueFields[fmt.Sprint(e["type"])][0]]
	none := v == nil || v == ""
	if list, ok := v.([]any); ok && len(list) == 0 {
		none = true
	}
	if list, ok := v.([]string); ok && len(list) == 0 {
		none = true
	}
	if none {
		if optional, _ := block["optional"].(bool); !optional {
			return errors.New("please complete this required field")
		}
		return nil
	}
	text, _ := v.(string)
	switch e["type"] {
	case "plain_text_input":
		if least, ok := e["min_length"].(float64); ok && units(text) < int(least) {
			return fmt.Errorf("must be at least %v characters", least)
		}
		if most, ok := e["max_length"].(float64); ok && units(text) > int(most) || units(text) > 3000 {
			return fmt.Errorf("must be at most %v characters", most)
		}
	case "number_input":
		n, err := strconv.ParseFloat(text, 64)
		if decimals, _ := e["is_decimal_allowed"].(bool); err != nil || !decimals && strings.Contains(text, ".") {
			return errors.New("must be a number")
		}
		if s, ok := e["min_value"].(string); ok {
			if least, _ := strconv.ParseFloat(s, 64); n < least {
				return fmt.Errorf("must be at least %s", s)
			}
		}
		if s, ok := e["max_value"].(string); ok {
			if most, _ := strconv.ParseFloat(s, 64); n > most {
				return fmt.Errorf("must be at most %s", s)
			}
		}
	case "datepicker":
		if !datePattern.MatchString(text) {
			return errors.New("must be a date")
		}
	case "timepicker":
		if !clockPattern.MatchString(text) {
			return errors.New("must be a time")
		}
	}
	return nil
}

// CloseModal has a person close the topmost form; the app is told if it asked
// for that.
func (s *Server) CloseModal(user string) error {
	s.mu.Lock()
	_, p := s.must(s.directWith(user).ID, user)
	stack := s.stacks[user]
	if len(stack) == 0 {
		s.mu.Unlock()
		return errors.New("no form is open")
	}
	v := stack[len(stack)-1]
	s.pop(user)
	if v.ClearOnClose {
		s.closeAll(user)
	}
	if !v.NotifyOnClose {
		s.mu.Unlock()
		return nil
	}
	payload := s.interaction("view_closed", p)
	payload["view"], payload["is_cleared"] = v.blank(), v.ClearOnClose
	d := s.deliver(interactive, "view_closed", user, payload)
	s.mu.Unlock()
	_, err := s.wait(d)
	return err
}
