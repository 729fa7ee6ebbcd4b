package fake

import (
	"encoding/json"
	"maps"
	"slices"
	"time"
)

// View is a modal or a home tab as it stands.
type View struct {
	ID, Hash, User  string
	Type            string // modal or home
	Title, Submit   string
	PrivateMetadata string
	Blocks          json.RawMessage
	Root, Previous  string // views in the stack
	NotifyOnClose   bool

	fields map[string]any // as sent, with all ids
}

// trigger lets the app open one view for a person.
type trigger struct {
	user string
	view string // the modal that it came from
	end  time.Time
	used bool
}

// issue makes a trigger, which lasts three seconds from now.
func (s *Server) issue(user, view string) string {
	id := s.newID("t")
	s.triggers[id] = &trigger{user: user, view: view, end: time.Now().Add(3 * time.Second)}
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
	c := newChecker(kind)
	c.view([]byte(text))
	if err := s.refusal(c); err != nil {
		return nil, err
	}
	var v struct {
		Title, Submit   struct{ Text string }
		PrivateMetadata string `json:"private_metadata"`
		NotifyOnClose   bool   `json:"notify_on_close"`
	}
	out := &View{ID: s.newID("V"), Type: kind, Hash: s.stamp()}
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		return nil, refuse("invalid_arguments", err.Error())
	}
	if err := json.Unmarshal([]byte(text), &out.fields); err != nil {
		return nil, refuse("invalid_arguments", err.Error())
	}
	s.name(out.blocks())
	out.Title, out.Submit, out.PrivateMetadata, out.NotifyOnClose = v.Title.Text, v.Submit.Text, v.PrivateMetadata, v.NotifyOnClose
	out.Blocks, out.Root = encoded(out.blocks()), out.ID
	if old != nil {
		out.ID, out.User, out.Root, out.Previous = old.ID, old.User, old.Root, old.Previous
	}
	return out, nil
}

func (v *View) blocks() []any { return v.fields["blocks"].([]any) }

// json is a view as Slack gives it.
func (v *View) json(state any) reply {
	out := reply{"title": nil, "submit": nil, "close": nil, "private_metadata": "", "callback_id": "", "external_id": "",
		"notify_on_close": false, "clear_on_close": false}
	maps.Copy(out, v.fields)
	out["id"], out["hash"], out["team_id"], out["app_id"], out["bot_id"] = v.ID, v.Hash, Team, App, BotID
	out["app_installed_team_id"], out["root_view_id"], out["previous_view_id"] = Team, v.Root, nil
	if v.Previous != "" {
		out["previous_view_id"] = v.Previous
	}
	out["state"] = reply{"values": state}
	return out
}

// blank is the state of a view as it was sent.
func (v *View) blank() reply { return v.json(state(v.blocks(), nil, nil)) }

// triggered checks a modal that is to be opened by a trigger.
func (s *Server) triggered(c *call) (*View, *trigger, error) {
	v, err := s.readView(c.args["view"], InModal, nil)
	if err != nil {
		return nil, nil, err
	}
	t, err := s.exchange(c.args["trigger_id"])
	return v, t, err
}

func viewOpen(s *Server, c *call) (reply, error) {
	v, t, err := s.triggered(c)
	if err != nil {
		return nil, err
	}
	for _, v := range s.stacks[t.user] {
		delete(s.views, v.ID)
	}
	delete(s.stacks, t.user)
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
}

func (s *Server) pop(user string) {
	if stack := s.stacks[user]; len(stack) > 0 {
		last := len(stack) - 1
		delete(s.views, stack[last].ID)
		s.stacks[user] = slices.Clone(stack[:last])
	}
}

const maxStack = 3

func viewPush(s *Server, c *call) (reply, error) {
	v, t, err := s.triggered(c)
	switch {
	case err != nil:
		return nil, err
	case len(s.stacks[t.user]) == 0 || t.view == "":
		return nil, refuse("invalid_trigger_id")
	case len(s.stacks[t.user]) >= maxStack:
		return nil, refuse("push_limit_reached")
	}
	s.push(t.user, v)
	return reply{"view": v.blank()}, nil
}

func viewUpdate(s *Server, c *call) (reply, error) {
	old := s.views[c.args["view_id"]]
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
	stack := slices.Clone(s.stacks[old.User])
	if i := slices.Index(stack, old); i >= 0 {
		stack[i] = v
		s.stacks[old.User] = stack
	}
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
	v, err := s.readView(c.args["view"], InHome, old)
	if err != nil {
		return nil, err
	}
	v.User = user
	s.views[v.ID], s.homes[user] = v, v
	return reply{"view": v.blank()}, nil
}

// Modals are the forms that a person has open, the topmost last.
func (s *Server) Modals(user string) []View {
	return see(s, func() []View { return copies(s.stacks[user]) })
}

// Home is the home tab of a person.
func (s *Server) Home(user string) (v View, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if h := s.homes[user]; h != nil {
		return *h, true
	}
	return v, false
}
