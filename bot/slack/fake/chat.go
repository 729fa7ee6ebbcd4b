package fake

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// content is what a message says, checked.
type content struct {
	text     string
	blocks   json.RawMessage // nil: none given
	meta     *Metadata       // nil: none given; without a type: taken away
	warnings []string
	details  []string
}

var eventType = regexp.MustCompile(`^[A-Za-z0-9_-]+$`)

// compose checks the arguments that make a message. The lock is held.
func (s *Server) compose(args map[string]string) (*content, error) {
	c := &content{text: args["text"]}
	for _, name := range []string{"attachments", "markdown_text"} {
		if v := args[name]; v != "" && v != "[]" {
			return nil, refuse("invalid_arguments", name+" is not part of this fake")
		}
	}
	if n := units(c.text); n > maxText {
		c.text = cut(c.text, maxText)
		c.warnings = append(c.warnings, "message_truncated")
	}
	if v := args["blocks"]; v != "" {
		blocks, err := s.checked(json.RawMessage(v))
		if err != nil {
			return nil, err
		}
		c.blocks = blocks
	}
	if v := args["metadata"]; v != "" {
		if err := c.attach(v); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// cut shortens to n UTF-16 units, at a rune.
func cut(s string, n int) string {
	for i, r := range s {
		if n -= units(string(r)); n < 0 {
			return s[:i]
		}
	}
	return s
}

// checked are the blocks of a message, with an id for each.
func (s *Server) checked(blocks json.RawMessage) (json.RawMessage, error) {
	var all []any
	if json.Unmarshal(blocks, &all) != nil {
		return nil, refuse("invalid_blocks_format")
	}
	c := checkBlocks(blocks)
	for _, id := range c.files {
		if f := s.files[id]; f == nil || !f.ready() {
			c.bad("/blocks", "invalid slack file: %s", id)
		}
	}
	if problems := c.result(); len(problems) > 0 {
		return nil, refuse("invalid_blocks", problems...)
	}
	if c.chars > maxMessage {
		return nil, refuse("msg_blocks_too_long")
	}
	s.name(all)
	return json.Marshal(all)
}

// name gives ids to blocks and elements that have none.
func (s *Server) name(blocks []any) {
	for _, b := range blocks {
		m := b.(map[string]any)
		if id, _ := m["block_id"].(string); id == "" {
			m["block_id"] = s.newID("b")
		}
		for _, e := range elementsOf(m) {
			if id, _ := e["action_id"].(string); id == "" && e["type"] != "image" {
				e["action_id"] = s.newID("a")
			}
		}
	}
}

// elementsOf are the things to press or fill in of a block.
func elementsOf(block map[string]any) []map[string]any {
	var out []map[string]any
	add := func(v any) {
		if m, ok := v.(map[string]any); ok {
			out = append(out, m)
		}
	}
	switch block["type"] {
	case "actions":
		all, _ := block["elements"].([]any)
		for _, e := range all {
			add(e)
		}
	case "section":
		add(block["accessory"])
	case "input":
		add(block["element"])
	case "card":
		all, _ := block["actions"].([]any)
		for _, e := range all {
			add(e)
		}
	}
	return out
}

func (c *content) attach(v string) error {
	var m Metadata
	if json.Unmarshal([]byte(v), &m) != nil {
		return refuse("invalid_metadata_format")
	}
	var payload map[string]any
	if p := string(m.EventPayload); p != "" && p != "null" && json.Unmarshal(m.EventPayload, &payload) != nil {
		return refuse("invalid_metadata_format")
	}
	switch {
	case len(v) > maxMetadata:
		return refuse("metadata_too_large")
	case m.EventType == "" && len(payload) == 0: // {}: as if there were none, or none any more
		c.meta = &Metadata{}
	case !eventType.MatchString(m.EventType): // the message is posted all the same
		c.warnings = append(c.warnings, "invalid_metadata_schema")
		c.details = append(c.details, "[WARN] A Metadata object with an invalid event_type was dropped [json-pointer:/metadata/event_type]")
	default:
		if payload == nil {
			m.EventPayload = json.RawMessage("{}")
		}
		c.meta = &m
	}
	return nil
}

// warn puts the warnings into an answer.
func (c *content) warn(out reply) reply {
	if len(c.warnings) > 0 {
		out["warning"] = strings.Join(c.warnings, ",")
		out["response_metadata"] = reply{"warnings": c.warnings, "messages": c.details}
	}
	return out
}

// member tells if somebody is in a channel.
func (r *room) member(person string) bool { return slices.Contains(r.Members, person) }

// seen finds a channel that the bot can see.
func (s *Server) seen(channel string) (*room, error) {
	r := s.rooms[channel]
	if r == nil || !r.member(Bot) && r.kind() != "channel" {
		return nil, refuse("channel_not_found")
	}
	return r, nil
}

// inside finds a channel that the bot is in.
func (s *Server) inside(channel string) (*room, error) {
	r, err := s.seen(channel)
	if err == nil && !r.member(Bot) {
		err = refuse("not_in_channel")
	}
	return r, err
}

// open finds a channel that the bot can post to; a person stands for the
// direct message with them.
func (s *Server) open(channel string) (*room, error) {
	if p := s.people[channel]; p != nil && channel != Bot {
		channel = s.directWith(channel).ID
	}
	r, err := s.inside(channel)
	if err == nil && r.Archived {
		err = refuse("is_archived")
	}
	return r, err
}

func chatPost(s *Server, c *call) (reply, error) {
	r, err := s.open(c.args["channel"])
	if err != nil {
		return nil, err
	}
	if s.opts.PostEvery > 0 {
		if wait := r.posts.take(s.opts.PostEvery, s.opts.PostBurst); wait > 0 {
			return nil, limited(wait)
		}
	}
	if s.opts.Tiers { // several hundred a minute for the workspace
		b := s.tiers["chat.postMessage"]
		if b == nil {
			b = &bucket{}
			s.tiers["chat.postMessage"] = b
		}
		if wait := b.take(time.Minute/300, 300); wait > 0 {
			return nil, limited(wait)
		}
	}
	said, err := s.compose(c.args)
	if err != nil {
		return nil, err
	}
	if said.text == "" && empty(said.blocks) {
		return nil, refuse("no_text")
	}
	m := &Message{Channel: r.ID, User: Bot, BotID: BotID, Text: said.text, Blocks: said.blocks, Metadata: said.meta}
	if m.Thread, err = r.root(c.args["thread_ts"]); err != nil {
		return nil, err
	}
	m.Broadcast = m.Thread != "" && c.flag("reply_broadcast")
	s.store(r, m)
	return said.warn(reply{"channel": r.ID, "ts": m.TS, "message": s.json(r, m, true)}), nil
}

func empty(blocks json.RawMessage) bool { return len(blocks) == 0 || string(blocks) == "[]" }

// root checks where a reply belongs. A reply to what was deleted goes to the
// channel [from memory].
func (r *room) root(thread string) (string, error) {
	if thread == "" {
		return "", nil
	}
	switch m := r.byTS[thread]; {
	case m == nil:
		return "", refuse("thread_not_found")
	case m.Thread != "":
		return "", refuse("cannot_reply_to_message")
	case m.Deleted:
		return "", nil
	}
	return thread, nil
}

// store puts a new message into its channel, counts it and tells the app.
func (s *Server) store(r *room, m *Message) {
	m.TS = s.stamp()
	if m.Metadata != nil && m.Metadata.EventType == "" {
		m.Metadata = nil
	}
	r.byTS[m.TS] = m
	if m.Thread == "" {
		r.top = append(r.top, m)
	} else {
		r.threads[m.Thread] = append(r.threads[m.Thread], m)
		if m.Broadcast {
			m.SubType = "thread_broadcast"
			r.top = append(r.top, m)
		}
	}
	if m.Metadata != nil {
		var p struct {
			ID string `json:"id"`
		}
		if json.Unmarshal(m.Metadata.EventPayload, &p) == nil && p.ID != "" {
			s.posted[p.ID]++
		}
	}
	s.messageEvent(r, m)
}

// json is a message as Slack gives it.
func (s *Server) json(r *room, m *Message, meta bool) reply {
	out := reply{"type": "message", "user": m.User, "text": m.Text, "ts": m.TS, "team": s.teamOf(m.User)}
	if m.SubType != "" {
		out["subtype"] = m.SubType
	}
	if m.BotID != "" {
		out["bot_id"], out["app_id"] = m.BotID, App
	}
	if !empty(m.Blocks) {
		out["blocks"] = m.Blocks
	}
	if n := len(m.Edits); n > 0 && m.Blocks == nil { // what has blocks is not marked as edited
		out["edited"] = reply{"user": m.User, "ts": m.TS}
	}
	if meta && m.Metadata != nil {
		out["metadata"] = m.Metadata
	}
	if len(m.Files) > 0 {
		files := []any{}
		for _, id := range m.Files {
			files = append(files, s.files[id].json(s.base))
		}
		out["files"] = files
	}
	if len(m.Reactions) > 0 {
		by := map[string][]string{}
		for _, x := range m.Reactions {
			by[x.Name] = append(by[x.Name], x.User)
		}
		var all []reply
		for _, name := range slices.Sorted(maps.Keys(by)) {
			all = append(all, reply{"name": name, "users": by[name], "count": len(by[name])})
		}
		out["reactions"] = all
	}
	if m.Thread != "" {
		out["thread_ts"] = m.Thread
		if root := r.byTS[m.Thread]; root != nil {
			out["parent_user_id"] = root.User
		}
	} else if all := standing(r.threads[m.TS]); len(all) > 0 {
		var users []string
		for _, x := range all {
			if !slices.Contains(users, x.User) {
				users = append(users, x.User)
			}
		}
		out["thread_ts"], out["reply_count"], out["latest_reply"] = m.TS, len(all), all[len(all)-1].TS
		out["reply_users"], out["reply_users_count"] = users, len(users)
	}
	if m.Deleted { // its thread still stands
		out = reply{"type": "message", "subtype": "tombstone", "text": "This message was deleted.", "user": "USLACKBOT",
			"hidden": true, "ts": m.TS, "thread_ts": m.TS, "reply_count": out["reply_count"]}
	}
	return out
}

func (s *Server) teamOf(person string) string {
	if p := s.people[person]; p != nil {
		return p.Team
	}
	return Team
}

// own finds a message of the bot.
func (s *Server) own(c *call, cannot string) (*room, *Message, error) {
	r, err := s.seen(c.args["channel"])
	if err != nil {
		return nil, nil, err
	}
	m := r.byTS[c.args["ts"]]
	switch {
	case m == nil || m.Deleted:
		return nil, nil, refuse("message_not_found")
	case m.BotID != BotID:
		return nil, nil, refuse(cannot)
	case r.Archived:
		return nil, nil, refuse("is_archived")
	}
	return r, m, nil
}

func chatUpdate(s *Server, c *call) (reply, error) {
	r, m, err := s.own(c, "cant_update_message")
	if err != nil {
		return nil, err
	}
	said, err := s.compose(c.args)
	if err != nil {
		return nil, err
	}
	if units(said.text) > 4000 { // from memory: an edit is refused where a post would only be long
		return nil, refuse("msg_too_long")
	}
	if said.text == "" && said.blocks != nil && empty(said.blocks) {
		return nil, refuse("no_text")
	}
	s.edit(r, m, said)
	return said.warn(reply{"channel": r.ID, "ts": m.TS, "text": m.Text, "message": s.json(r, m, true)}), nil
}

// edit changes a message: text without blocks takes the blocks away, neither
// leaves them; metadata stays unless it is given.
func (s *Server) edit(r *room, m *Message, said *content) {
	m.Edits = append(m.Edits, Edit{m.Text, m.Blocks, m.Metadata})
	before := s.json(r, m, false)
	switch {
	case said.blocks != nil:
		m.Blocks = said.blocks
		if said.text != "" {
			m.Text = said.text
		}
	case said.text != "":
		m.Text, m.Blocks = said.text, nil
	}
	if said.meta != nil {
		m.Metadata = said.meta
		if said.meta.EventType == "" {
			m.Metadata = nil
		}
	}
	s.change()
	s.channelEvent(r, reply{"type": "message", "subtype": "message_changed", "hidden": true, "channel": r.ID,
		"channel_type": r.kind(), "ts": s.stamp(), "message": s.json(r, m, false), "previous_message": before})
}

func chatDelete(s *Server, c *call) (reply, error) {
	r, m, err := s.own(c, "cant_delete_message")
	if err != nil {
		return nil, err
	}
	s.erase(r, m)
	return reply{"channel": r.ID, "ts": m.TS}, nil
}

func (s *Server) erase(r *room, m *Message) {
	before := s.json(r, m, false)
	m.Deleted = true
	s.change()
	s.channelEvent(r, reply{"type": "message", "subtype": "message_deleted", "hidden": true, "channel": r.ID,
		"channel_type": r.kind(), "ts": s.stamp(), "deleted_ts": m.TS, "previous_message": before})
}

func chatEphemeral(s *Server, c *call) (reply, error) {
	r, err := s.open(c.args["channel"])
	if err != nil {
		return nil, err
	}
	switch {
	case s.people[c.args["user"]] == nil:
		return nil, refuse("user_not_found")
	case !r.member(c.args["user"]):
		return nil, refuse("user_not_in_channel")
	}
	said, err := s.compose(c.args)
	if err != nil {
		return nil, err
	}
	if said.text == "" && empty(said.blocks) {
		return nil, refuse("no_text")
	}
	thread, err := r.root(c.args["thread_ts"])
	if err != nil {
		return nil, err
	}
	m := s.whisper(r, c.args["user"], thread, said)
	return said.warn(reply{"message_ts": m.TS}), nil
}

// whisper shows a message to one person.
func (s *Server) whisper(r *room, to, thread string, said *content) *Message {
	m := &Message{Channel: r.ID, TS: s.stamp(), Thread: thread, User: Bot, BotID: BotID, Text: said.text, Blocks: said.blocks, To: to}
	s.hidden[m.TS] = m
	s.change()
	return m
}

func chatPermalink(s *Server, c *call) (reply, error) {
	r, err := s.seen(c.args["channel"])
	if err != nil {
		return nil, err
	}
	m := r.byTS[c.args["message_ts"]]
	if m == nil || m.Deleted {
		return nil, refuse("message_not_found")
	}
	link := fmt.Sprintf("%s/archives/%s/p%s", s.base, r.ID, strings.Replace(m.TS, ".", "", 1))
	if m.Thread != "" {
		link += "?thread_ts=" + m.Thread + "&cid=" + r.ID
	}
	return reply{"channel": r.ID, "permalink": link}, nil
}

// micros is a ts as a number.
func micros(ts string) (int64, error) {
	whole, part, _ := strings.Cut(ts, ".")
	sec, err := strconv.ParseInt(whole, 10, 64)
	if err != nil {
		return 0, err
	}
	us, err := strconv.ParseInt((part + "000000")[:6], 10, 64)
	return sec*1e6 + us, err
}

// between says which times are asked for.
func between(c *call) (func(ts string) bool, error) {
	oldest, latest := int64(-1), int64(1<<62)
	for name, to := range map[string]*int64{"oldest": &oldest, "latest": &latest} {
		if v := c.args[name]; v != "" {
			n, err := micros(v)
			if err != nil {
				return nil, refuse("invalid_ts_" + name)
			}
			*to = n
		}
	}
	if c.flag("inclusive") {
		oldest, latest = oldest-1, latest+1
	}
	return func(ts string) bool {
		n, _ := micros(ts)
		return n > oldest && n < latest
	}, nil
}

// history is a channel without its threads, the newest first.
func history(s *Server, c *call) (reply, error) {
	r, err := s.inside(c.args["channel"])
	if err != nil {
		return nil, err
	}
	wanted, err := between(c)
	if err != nil {
		return nil, err
	}
	var all []*Message
	for _, m := range slices.Backward(r.top) {
		if wanted(m.TS) && (!m.Deleted || len(standing(r.threads[m.TS])) > 0) {
			all = append(all, m)
		}
	}
	return s.page(r, c, all)
}

// replies are a thread, its root first.
func replies(s *Server, c *call) (reply, error) {
	r, err := s.inside(c.args["channel"])
	if err != nil {
		return nil, err
	}
	wanted, err := between(c)
	if err != nil {
		return nil, err
	}
	root := r.byTS[c.args["ts"]]
	if root == nil || root.Deleted && len(standing(r.threads[root.TS])) == 0 {
		return nil, refuse("thread_not_found")
	}
	all := []*Message{root} // whatever times are asked for
	for _, m := range r.threads[root.TS] {
		if !m.Deleted && wanted(m.TS) {
			all = append(all, m)
		}
	}
	return s.page(r, c, all)
}

func standing(all []*Message) []*Message {
	var out []*Message
	for _, m := range all {
		if !m.Deleted {
			out = append(out, m)
		}
	}
	return out
}

// page is one page of messages; the cursor names the message it starts with,
// so that what is posted meanwhile moves nothing.
func (s *Server) page(r *room, c *call, all []*Message) (reply, error) {
	if cursor := c.args["cursor"]; cursor != "" {
		ts, ok := strings.CutPrefix(cursor, "next_ts:")
		at := slices.IndexFunc(all, func(m *Message) bool { return m.TS == ts })
		if !ok || at < 0 {
			return nil, refuse("invalid_cursor")
		}
		all = all[at:]
	}
	next := ""
	if n := c.count("limit", 100, 999); len(all) > n {
		next = "next_ts:" + all[n].TS
		all = all[:n]
	}
	out := []reply{}
	for _, m := range all {
		out = append(out, s.json(r, m, c.flag("include_all_metadata")))
	}
	return reply{"messages": out, "has_more": next != "", "response_metadata": reply{"next_cursor": next}}, nil
}

func (r *room) json() reply {
	kind := r.kind()
	out := reply{"id": r.ID, "created": 0, "is_channel": kind == "channel", "is_group": kind == "group", "is_im": kind == "im",
		"is_mpim": false, "is_private": kind != "channel", "is_archived": r.Archived, "is_general": false,
		"is_member": r.member(Bot), "is_ext_shared": r.Shared, "is_shared": r.Shared, "num_members": len(r.Members)}
	if kind == "im" {
		out["user"] = r.With
	} else {
		out["name"], out["name_normalized"] = r.Name, r.Name
	}
	return out
}

func channelInfo(s *Server, c *call) (reply, error) {
	r, err := s.seen(c.args["channel"])
	if err != nil {
		return nil, err
	}
	return reply{"channel": r.json()}, nil
}

func channelMembers(s *Server, c *call) (reply, error) {
	r, err := s.seen(c.args["channel"])
	if err != nil {
		return nil, err
	}
	var all []any
	for _, id := range r.Members {
		all = append(all, id)
	}
	return paged(c, "members", all, 100, 1000)
}

func channelOpen(s *Server, c *call) (reply, error) {
	if id := c.args["channel"]; id != "" {
		r, err := s.inside(id)
		if err != nil {
			return nil, err
		}
		return reply{"channel": r.json(), "no_op": true, "already_open": true}, nil
	}
	person := c.args["users"]
	switch {
	case person == "":
		return nil, refuse("users_list_not_supplied")
	case strings.Contains(person, ","):
		return nil, refuse("invalid_user_combination", "only direct messages with one person are part of this fake")
	case s.people[person] == nil || person == Bot:
		return nil, refuse("user_not_found")
	case s.people[person].Deleted:
		return nil, refuse("user_disabled") // from memory
	}
	_, there := s.direct[person]
	r := s.directWith(person)
	out := reply{"channel": reply{"id": r.ID}, "no_op": there, "already_open": there}
	if c.flag("return_im") {
		out["channel"] = r.json()
	}
	return out, nil
}

// types are the kinds of channels asked for.
func types(c *call) []string {
	if v := c.args["types"]; v != "" {
		return strings.Split(strings.ReplaceAll(v, " ", ""), ",")
	}
	return []string{"public_channel"}
}

func channelList(s *Server, c *call) (reply, error) {
	names := map[string]string{"channel": "public_channel", "group": "private_channel", "im": "im"}
	var all []any
	for _, id := range slices.Sorted(maps.Keys(s.rooms)) {
		r, err := s.seen(id)
		if err == nil && slices.Contains(types(c), names[r.kind()]) && !(r.Archived && c.flag("exclude_archived")) {
			all = append(all, r.json())
		}
	}
	return paged(c, "channels", all, 100, 1000)
}

func reactionAdd(s *Server, c *call) (reply, error) {
	r, err := s.inside(c.args["channel"])
	if err != nil {
		return nil, err
	}
	name := strings.Trim(c.args["name"], ":")
	m := r.byTS[c.args["timestamp"]]
	switch {
	case name == "":
		return nil, refuse("invalid_name")
	case m == nil || m.Deleted:
		return nil, refuse("message_not_found")
	case slices.Contains(m.Reactions, Reaction{name, Bot}):
		return nil, refuse("already_reacted")
	}
	m.Reactions = append(m.Reactions, Reaction{name, Bot})
	return reply{}, nil
}
