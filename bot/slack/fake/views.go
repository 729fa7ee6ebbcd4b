package fake

import (
	"encoding/json"
	"maps"
	"slices"
	"time"
)

// View is a modal or a home tab as it stands.
type View struct {
	ID, Hash, User              string
	Type                        string // modal or home
	Title, Submit, Close        string
	CallbackID, ExternalID      string
	PrivateMetadata             string
	Blocks                      json.RawMessage
	Root, Previous              string // views in the stack
	NotifyOnClose, ClearOnClose bool

	fields map[string]any // as sent, with all ids
}

// trigger lets the app open one view for a person.
type trigger struct {
	user string
	view string // the modal that it came from
	end  time.Time
	used bool
}

// issue makes a trigger. Its time runs from now.
func (s *Server) issue(user, view string) string {
	id := s.newID("t")
	end := time.Now().Add(s.opts.Trigger)
	if s.opts.Trigger < 0 {
		end = time.Now().Add(24 * time.Hour)
	}
	s.triggers[id] = &trigger{user: user, view: view, end: end}
	return id
}

func (s *Server) exchange(id string) (*trigger, error) {
	t := s.triggers[id]
	switch {
	case t == nil:
		return nil, refuse("invalid_trigger_id")
	case t.used:
		return nil, refuse("exchanged_trigger_id")
	case !time.Now().Before(t.end):
		return nil, refuse("expired_trigger_id")
	}
	t.used = true
	return t, nil
}

// readView checks a view that is to be shown in place of another or of none.
func (s *Server) readView(text, kind string, old *View) (*View, error) {
	var v struct {
		Type                 string
		Title, Submit, Close struct{ Text string }
		CallbackID           string `json:"callback_id"`
		ExternalID           string `json:"external_id"`
		PrivateMetadata      string `json:"private_metadata"`
		NotifyOnClose        bool   `json:"notify_on_close"`
		ClearOnClose         bool   `json:"clear_on_close"`
	}
	var fields map[string]any
	if json.Unmarshal([]byte(text), &fields) != nil {
		return nil, refuse("invalid_arguments", "[ERROR] missing required field: view")
	}
	if len(text) > maxView {
		return nil, refuse("view_too_large")
	}
	c := checkView(json.RawMessage(text))
	if c.surface != kind {
		c.bad("/view/type", "must be %s", kind)
	}
	for _, id := range c.files {
		if f := s.files[id]; f == nil || !f.ready() {
			c.bad("/view", "invalid slack file: %s", id)
		}
	}
	if problems := c.result(); len(problems) > 0 {
		return nil, refuse("invalid_arguments", problems...)
	}
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		return nil, refuse("invalid_arguments", err.Error())
	}
	for _, other := range s.views {
		if v.ExternalID != "" && other.ExternalID == v.ExternalID && other != old {
			return nil, refuse("duplicate_external_id")
		}
	}
	all := fields["blocks"].([]any)
	s.name(all)
	blocks, err := json.Marshal(all)
	if err != nil {
		return nil, err
	}
	out := &View{Type: kind, Hash: s.stamp(), Title: v.Title.Text, Submit: v.Submit.Text, Close: v.Close.Text,
		CallbackID: v.CallbackID, ExternalID: v.ExternalID, PrivateMetadata: v.PrivateMetadata,
		NotifyOnClose: v.NotifyOnClose, ClearOnClose: v.ClearOnClose, Blocks: blocks, fields: fields}
	if old == nil {
		out.ID = s.newID("V")
		out.Root = out.ID
	} else {
		out.ID, out.User, out.Root, out.Previous = old.ID, old.User, old.Root, old.Previous
	}
	return out, nil
}

// json is a view as Slack gives it.
func (v *View) json(state any) reply {
	out := reply{}
	maps.Copy(out, v.fields)
	for name, def := range map[string]any{"title": nil, "submit": nil, "close": nil, "private_metadata": "", "callback_id": "",
		"external_id": "", "notify_on_close": false, "clear_on_close": false} {
		if _, ok := out[name]; !ok {
			out[name] = def
		}
	}
	out["id"], out["hash"], out["team_id"], out["app_id"], out["bot_id"] = v.ID, v.Hash, Team, App, BotID
	out["app_installed_team_id"], out["root_view_id"], out["previous_view_id"] = Team, v.Root, nil
	if v.Previous != "" {
		out["previous_view_id"] = v.Previous
	}
	out["state"] = reply{"values": state}
	return out
}

// blank is the state of a view as it was sent.
func (v *View) blank() reply { return v.json(state(v.fields["blocks"].([]any))) }

func viewOpen(s *Server, c *call) (reply, error) {
	v, err := s.readView(c.args["view"], inModal, nil)
	if err != nil {
		return nil, err
	}
	t, err := s.exchange(c.args["trigger_id"])
	if err != nil {
		return nil, err
	}
	s.closeAll(t.user)
	s.push(t.user, v)
	return reply{"view": v.blank()}, nil
}

func (s *Server) push(user string, v *View) {
	v.User = user
	if stack := s.stacks[user]; len(stack) > 0 {
		v.Root, v.Previous = stack[0].ID, stack[len(stack)-1].ID
	}
	s.stacks[user] = append(s.stacks[user], v)
	s.views[v.ID] = v
	s.change()
}

func (s *Server) closeAll(user string) {
	for _, v := range s.stacks[user] {
		delete(s.views, v.ID)
	}
	delete(s.stacks, user)
	s.change()
}

func (s *Server) pop(user string) {
	if stack := s.stacks[user]; len(stack) > 0 {
		last := len(stack) - 1
		delete(s.views, stack[last].ID)
		s.stacks[user] = slices.Clone(stack[:last])
		s.change()
	}
}

const maxStack = 3

func viewPush(s *Server, c *call) (reply, error) {
	v, err := s.readView(c.args["view"], inModal, nil)
	if err != nil {
		return nil, err
	}
	t, err := s.exchange(c.args["trigger_id"])
	if err != nil {
		return nil, err
	}
	if n := len(s.stacks[t.user]); n == 0 || t.view == "" {
		return nil, refuse("invalid_trigger_id")
	} else if n >= maxStack {
		return nil, refuse("push_limit_reached")
	}
	s.push(t.user, v)
	return reply{"view": v.blank()}, nil
}

func viewUpdate(s *Server, c *call) (reply, error) {
	old := s.views[c.args["view_id"]]
	if x := c.args["external_id"]; old == nil && x != "" {
		for _, v := range s.views {
			if v.ExternalID == x {
				old = v
			}
		}
	}
	if old == nil {
		return nil, refuse("not_found")
	}
	if h := c.args["hash"]; h != "" && h != old.Hash {
		return nil, refuse("hash_conflict")
	}
	v, err := s.readView(c.args["view"], old.Type, old)
	if err != nil {
		return nil, err
	}
	s.replace(old, v)
	return reply{"view": v.blank()}, nil
}

// replace puts a view where another was.
func (s *Server) replace(old, v *View) {
	s.views[v.ID] = v
	if old.Type == inHome {
		s.homes[old.User] = v
	}
	stack := slices.Clone(s.stacks[old.User])
	if i := slices.Index(stack, old); i >= 0 {
		stack[i] = v
		s.stacks[old.User] = stack
	}
	s.change()
}

func viewPublish(s *Server, c *call) (reply, error) {
	user := c.args["user_id"]
	if s.people[user] == nil {
		return nil, refuse("user_not_found")
	}
	old := s.homes[user]
	if h := c.args["hash"]; h != "" && (old == nil || h != old.Hash) {
		return nil, refuse("hash_conflict")
	}
	v, err := s.readView(c.args["view"], inHome, old)
	if err != nil {
		return nil, err
	}
	v.User = user
	s.views[v.ID] = v
	s.homes[user] = v
	s.change()
	return reply{"view": v.blank()}, nil
}

// Modals are the forms that a person has open, the topmost last.
func (s *Server) Modals(user string) []View {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []View
	for _, v := range s.stacks[user] {
		out = append(out, *v)
	}
	return out
}

// Home is the home tab of a person.
func (s *Server) Home(user string) (View, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if v := s.homes[user]; v != nil {
		return *v, true
	}
	return View{}, false
}
