package fake

import (
	"cmp"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"
)

// content is what a message says, checked.
type content struct {
	text   string
	blocks json.RawMessage // nil: none given
	meta   *Metadata       // nil: none given
	thread string
}

// compose checks the arguments that make a message in a channel.
func (s *Server) compose(r *room, args map[string]string, edit bool) (*content, error) {
	payload := map[string]any{"text": args["text"]}
	for _, name := range []string{"blocks", "metadata", "attachments"} {
		if args[name] != "" {
			payload[name] = json.RawMessage(args[name])
		}
	}
	data, err := json.Marshal(payload)
	if err != nil {
		return nil, refuse("invalid_blocks_format", err.Error())
	}
	c := newChecker(InMessage)
	c.edit = edit
	c.message(data)
	if c.tables > 0 && s.noTables {
		c.bad("/blocks", "unsupported type: table")
	}
	if err := s.refusal(c); err != nil {
		return nil, err
	}
	var m struct {
		Blocks   []any
		Metadata *Metadata
	}
	if err := json.Unmarshal(data, &m); err != nil {
		return nil, refuse("invalid_blocks_format", err.Error())
	}
	said := &content{text: args["text"], meta: m.Metadata}
	if said.thread, err = r.root(args["thread_ts"]); err != nil {
		return nil, err
	}
	if len(m.Blocks) > 0 {
		s.name(m.Blocks)
		said.blocks, err = json.Marshal(m.Blocks)
	} else if said.text == "" {
		return nil, refuse("no_text")
	}
	return said, err
}

// refusal is the answer to what was checked, nil if it is good: files that it
// shows have to be there.
func (s *Server) refusal(c *checker) error {
	for _, id := range c.files {
		if f := s.files[id]; f == nil || !f.ready() {
			c.bad("/blocks", "invalid slack file: %s", id)
		}
	}
	return c.refusal()
}

// name gives ids to blocks and elements that have none.
func (s *Server) name(blocks []any) {
	for _, b := range blocks {
		m := b.(map[string]any)
		if id, _ := m["block_id"].(string); id == "" {
			m["block_id"] = s.newID("b")
		}
		for _, e := range elementsOf(m) {
			if id, _ := e["action_id"].(string); id == "" {
				e["action_id"] = s.newID("a")
			}
		}
	}
}

// elementsOf are the things to press or fill in of a block.
func elementsOf(block map[string]any) (out []map[string]any) {
	all, _ := block["elements"].([]any)
	switch block["type"] {
	case "actions":
	case "data_table":
		rows, _ := block["rows"].([]any)
		for _, r := range rows {
			row, _ := r.([]any)
			for _, c := range row {
				cell, _ := c.(map[string]any)
				all = append(all, cell["element"])
			}
		}
	default:
		all = []any{block["accessory"], block["element"]}
	}
	for _, e := range all {
		if m, ok := e.(map[string]any); ok {
			out = append(out, m)
		}
	}
	return out
}

func chatPost(s *Server, c *call) (reply, error) {
	r := c.room
	if s.opts.PostEvery > 0 {
		if err := s.rate("chat.postMessage "+r.ID, s.opts.PostEvery, 5); err != nil {
			return nil, err
		}
	}
	if s.opts.Tiers { // several hundred a minute for the workspace
		if err := s.rate("chat.postMessage", time.Minute/300, 300); err != nil {
			return nil, err
		}
	}
	said, err := s.compose(r, c.args, false)
	if err != nil {
		return nil, err
	}
	m := s.post(r, said)
	return reply{"channel": r.ID, "ts": m.TS, "message": s.json(r, m, true)}, nil
}

// post stores a message of the bot.
func (s *Server) post(r *room, said *content) *Message {
	m := &Message{Thread: said.thread, User: Bot, BotID: BotID, Text: said.text, Blocks: said.blocks, Metadata: said.meta}
	s.store(r, m)
	return m
}

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
	m.Channel, m.TS = r.ID, s.stamp()
	r.byTS[m.TS] = m
	if m.Thread == "" {
		r.top = append(r.top, m)
	} else {
		r.threads[m.Thread] = append(r.threads[m.Thread], m)
	}
	if m.Metadata != nil {
		var p struct{ ID string }
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
	if m.Blocks != nil {
		out["blocks"] = m.Blocks
	} else if len(m.Edits) > 0 { // what has blocks is not marked as edited
		out["edited"] = reply{"user": m.User, "ts": m.TS}
	}
	if meta && m.Metadata != nil {
		out["metadata"] = m.Metadata
	}
	if len(m.Files) > 0 {
		files := []any{}
		for _, id := range m.Files {
			files = append(files, s.files[id].json())
		}
		out["files"] = files
	}
	var reactions []reply
	for _, name := range m.Reactions {
		reactions = append(reactions, reply{"name": name, "users": []string{Bot}, "count": 1})
	}
	if len(reactions) > 0 {
		out["reactions"] = reactions
	}
	if m.Thread != "" {
		out["thread_ts"] = m.Thread
	} else if n := len(standing(r.threads[m.TS])); n > 0 {
		out["thread_ts"], out["reply_count"] = m.TS, n
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

// message finds the message that an argument names.
func (c *call) message(arg string) (*Message, error) {
	if m := c.room.byTS[c.args[arg]]; m != nil && !m.Deleted {
		return m, nil
	}
	return nil, refuse("message_not_found")
}

// own finds a message of the bot.
func (c *call) own(cannot string) (*Message, error) {
	m, err := c.message("ts")
	switch {
	case err != nil:
		return nil, err
	case m.BotID != BotID:
		return nil, refuse(cannot)
	case c.room.Archived:
		return nil, refuse("is_archived")
	}
	return m, nil
}

func chatUpdate(s *Server, c *call) (reply, error) {
	m, err := c.own("cant_update_message")
	if err != nil {
		return nil, err
	}
	said, err := s.compose(c.room, c.args, true)
	if err != nil {
		return nil, err
	}
	s.edit(c.room, m, said)
	return reply{"channel": c.room.ID, "ts": m.TS, "text": m.Text, "message": s.json(c.room, m, true)}, nil
}

// edit changes a message: text without blocks takes the blocks away, and
// metadata stays.
func (s *Server) edit(r *room, m *Message, said *content) {
	before := s.json(r, m, false)
	m.Edits = append(m.Edits, m.Text)
	m.Text, m.Blocks = cmp.Or(said.text, m.Text), said.blocks
	s.changedEvent(r, m, reply{"subtype": "message_changed", "message": s.json(r, m, false), "previous_message": before})
}

func chatDelete(s *Server, c *call) (reply, error) {
	m, err := c.own("cant_delete_message")
	if err != nil {
		return nil, err
	}
	s.erase(c.room, m)
	return reply{"channel": c.room.ID, "ts": m.TS}, nil
}

func (s *Server) erase(r *room, m *Message) {
	before := s.json(r, m, false)
	m.Deleted = true
	s.changedEvent(r, m, reply{"subtype": "message_deleted", "deleted_ts": m.TS, "previous_message": before})
}

func chatEphemeral(s *Server, c *call) (reply, error) {
	r := c.room
	switch {
	case s.people[c.args["user"]] == nil:
		return nil, refuse("user_not_found")
	case !r.member(c.args["user"]):
		return nil, refuse("user_not_in_channel")
	}
	said, err := s.compose(r, c.args, false)
	if err != nil {
		return nil, err
	}
	return reply{"message_ts": s.whisper(r, c.args["user"], said)}, nil
}

// whisper shows a message to one person.
func (s *Server) whisper(r *room, to string, said *content) (ts string) {
	ts = s.stamp()
	s.hidden[ts] = &Message{Channel: r.ID, TS: ts, Thread: said.thread, User: Bot, BotID: BotID, Text: said.text, Blocks: said.blocks, To: to}
	return ts
}

func chatPermalink(s *Server, c *call) (reply, error) {
	m, err := c.message("message_ts")
	if err != nil {
		return nil, err
	}
	return reply{"channel": m.Channel, "permalink": fmt.Sprintf("%s/archives/%s/p%s", s.base, m.Channel, strings.Replace(m.TS, ".", "", 1))}, nil
}

func reactionAdd(_ *Server, c *call) (reply, error) {
	m, err := c.message("timestamp")
	switch {
	case err != nil:
		return nil, err
	case slices.Contains(m.Reactions, c.args["name"]):
		return nil, refuse("already_reacted")
	}
	m.Reactions = append(m.Reactions, c.args["name"])
	return reply{}, nil
}

// serveHook is the far end of a response URL.
func (s *Server) serveHook(w http.ResponseWriter, r *http.Request) {
	c, err := parseCall(r)
	if err != nil {
		s.answer(w, "response_url", nil, refuse("invalid_payload", err.Error()))
		return
	}
	s.carry(w, r, "response_url", func() (reply, error) {
		h := s.hooks[r.PathValue("key")]
		if h == nil || h.uses >= maxUses || !time.Now().Before(h.end) {
			return nil, &refusal{code: "used_url", status: http.StatusNotFound}
		}
		h.uses++
		return reply{}, s.respond(h, c.args)
	})
}
