package fake

import (
	"cmp"
	"encoding/json"
	"io"
	"maps"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
)

// method is one method of the Web API. Its run holds the lock.
type method struct {
	perMinute int // calls: 1, 20, 50, 100 for the tiers 1 to 4; 0 is the method's own rule
	run       func(s *Server, c *call) (reply, error)
	scopes    []string
	in        func(s *Server, channel string) (*room, error) // finds the channel it is called for
}

type reply map[string]any

// Where a method needs several scopes, it is one for each kind of channel that
// it is called for: public, private, direct.
var (
	reads = []string{"channels:read", "groups:read", "im:read"}
	hears = []string{"channels:history", "groups:history", "im:history"}
)

var methods map[string]method

func init() { // what the methods do needs the table of them
	methods = map[string]method{
		"auth.test":                    {100, authTest, nil, nil},
		"apps.connections.open":        {1, connectionsOpen, []string{"connections:write"}, nil}, // of the app's token
		"chat.postMessage":             {0, chatPost, []string{"chat:write"}, (*Server).open},
		"chat.update":                  {50, chatUpdate, []string{"chat:write"}, (*Server).seen},
		"chat.delete":                  {50, chatDelete, []string{"chat:write"}, (*Server).seen},
		"chat.postEphemeral":           {100, chatEphemeral, []string{"chat:write"}, (*Server).open},
		"chat.getPermalink":            {0, chatPermalink, nil, (*Server).seen},
		"conversations.history":        {50, history, hears, (*Server).inside},
		"conversations.replies":        {50, replies, hears, (*Server).inside},
		"conversations.info":           {50, channelInfo, reads, (*Server).seen},
		"conversations.open":           {50, channelOpen, []string{"im:write"}, nil},
		"views.open":                   {100, viewOpen, nil, nil},
		"views.push":                   {100, viewPush, nil, nil},
		"views.update":                 {100, viewUpdate, nil, nil},
		"views.publish":                {100, viewPublish, nil, nil},
		"files.getUploadURLExternal":   {100, uploadURL, []string{"files:write"}, nil},
		"files.completeUploadExternal": {100, uploadComplete, []string{"files:write"}, nil},
		"files.info":                   {100, fileInfo, []string{"files:read"}, nil},
		"users.info":                   {100, userInfo, []string{"users:read"}, nil},
		"usergroups.users.list":        {20, groupUsers, []string{"usergroups:read"}, nil},
		"reactions.add":                {50, reactionAdd, []string{"reactions:write"}, (*Server).inside},
		"team.info":                    {50, teamInfo, []string{"team:read"}, nil},
	}
}

// ScopesOf says which scopes a method needs, false if there is no such method.
// Where there are several, it is one for each kind of channel: public, private,
// direct.
func ScopesOf(name string) ([]string, bool) {
	m, ok := methods[name]
	return m.scopes, ok
}

// EventScopes says which scope each event needs that an app can subscribe to.
var EventScopes = map[string]string{
	"app_mention":             "app_mentions:read",
	"message.channels":        "channels:history",
	"message.groups":          "groups:history",
	"message.im":              "im:history",
	"app_home_opened":         "",
	"app_uninstalled":         "",
	"tokens_revoked":          "",
	"channel_archive":         "channels:read",
	"channel_left":            "channels:read",
	"group_archive":           "groups:read",
	"group_left":              "groups:read",
	"member_joined_channel":   "channels:read",
	"member_left_channel":     "channels:read",
	"subteam_members_changed": "usergroups:read",
	"user_change":             "users:read",
}

// allScopes are the scopes of a bot that may do everything here.
func allScopes() []string {
	all := slices.Collect(maps.Values(EventScopes))
	for _, m := range methods {
		all = append(all, m.scopes...)
	}
	return all
}

// call is one call of a method, its arguments as text: JSON where they are not
// strings, as in a form.
type call struct {
	method string
	args   map[string]string
	token  string
	bearer bool  // the token came in the header
	room   *room // the channel it is for, of methods that have one
}

// refusal is an answer that is not ok.
type refusal struct {
	code    string
	details []string
	more    reply
	status  int           // of HTTP, if it is not 200
	wait    time.Duration // of a rate limit
}

func (r *refusal) Error() string { return strings.Join(append([]string{r.code}, r.details...), "; ") }

func refuse(code string, details ...string) error { return &refusal{code: code, details: details} }

const maxBody = 4 << 20

func parseCall(r *http.Request) (*call, error) {
	c := &call{method: r.PathValue("method"), args: map[string]string{}}
	body, err := io.ReadAll(io.LimitReader(r.Body, maxBody))
	if err != nil {
		return nil, err
	}
	if kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type")); kind == "application/json" && len(body) > 0 {
		if c.args, err = texts(body); err != nil {
			return nil, err
		}
	} else {
		values, err := url.ParseQuery(r.URL.RawQuery + "&" + string(body))
		if err != nil {
			return nil, err
		}
		for name, v := range values {
			c.args[name] = v[0]
		}
	}
	c.token = c.args["token"]
	if t, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		c.token, c.bearer = t, true
	}
	return c, nil
}

// texts are the fields of a JSON object as text: JSON where they are not
// strings. null is no argument.
func texts(body []byte) (map[string]string, error) {
	var fields map[string]json.RawMessage
	err := json.Unmarshal(body, &fields)
	out := map[string]string{}
	for name, v := range fields {
		var s string
		if json.Unmarshal(v, &s) != nil {
			s = string(v)
		}
		if string(v) != "null" {
			out[name] = s
		}
	}
	return out, err
}

func (s *Server) serveAPI(w http.ResponseWriter, r *http.Request) {
	c, err := parseCall(r)
	if err != nil {
		s.answer(w, r.PathValue("method"), nil, refuse("invalid_json", err.Error()))
		return
	}
	s.carry(w, r, c.method, func() (reply, error) { return s.call(c) })
}

// carry carries a call out, with the faults set for it.
func (s *Server) carry(w http.ResponseWriter, r *http.Request, name string, run func() (reply, error)) {
	var f Fault
	s.do(func() {
		s.calls[name]++
		f = s.fault(name)
	})
	if f.Delay > 0 {
		select {
		case <-time.After(f.Delay):
		case <-r.Context().Done():
		case <-s.ctx.Done():
		}
	}
	if !f.After && s.breakDown(w, name, f) {
		return
	}
	var out reply
	var err error
	s.do(func() { out, err = run() })
	if f.After && err == nil && s.breakDown(w, name, f) {
		return
	}
	s.answer(w, name, out, err)
}

// call runs a method, the lock held.
func (s *Server) call(c *call) (reply, error) {
	m, ok := methods[c.method]
	wanted, other := BotToken, AppToken
	if c.method == "apps.connections.open" {
		wanted, other = AppToken, BotToken
	}
	switch {
	case !ok:
		return nil, refuse("unknown_method")
	case c.token == "" || wanted == AppToken && !c.bearer: // Slack takes the token of the app in the header only
		return nil, refuse("not_authed")
	case s.revoked != "":
		return nil, refuse(s.revoked)
	case c.token == other:
		return nil, refuse("not_allowed_token_type")
	case c.token != wanted:
		return nil, refuse("invalid_auth")
	}
	if wanted == BotToken {
		if err := s.permit(m.scopes, c.args["channel"]); err != nil {
			return nil, err
		}
	}
	if s.opts.Tiers && m.perMinute > 0 {
		if err := s.rate(c.method, time.Minute/time.Duration(m.perMinute), m.perMinute); err != nil {
			return nil, err
		}
	}
	if m.in != nil {
		var err error
		if c.room, err = m.in(s, c.args["channel"]); err != nil {
			return nil, err
		}
	}
	return m.run(s, c)
}

// permit checks the scope that a method needs for the channel it is called for.
func (s *Server) permit(scopes []string, channel string) error {
	if len(scopes) == 0 {
		return nil
	}
	needed := scopes[0]
	if r := s.rooms[channel]; r != nil && len(scopes) > 1 {
		needed = scopes[slices.Index([]string{"channel", "group", "im"}, r.kind())]
	}
	if !slices.Contains(s.scopes, needed) {
		return &refusal{code: "missing_scope", more: reply{"needed": needed, "provided": strings.Join(s.scopes, ",")}}
	}
	return nil
}

// rate refuses a call that comes too soon: a limit lets through a burst, then
// one each time.
func (s *Server) rate(name string, every time.Duration, burst int) error {
	now := time.Now()
	full := s.rates[name] // when the whole burst can go again
	if full.Before(now) {
		full = now
	}
	if wait := full.Sub(now) - every*time.Duration(burst-1); wait > 0 {
		return &refusal{code: "ratelimited", status: http.StatusTooManyRequests, wait: wait}
	}
	s.rates[name] = full.Add(every)
	return nil
}

// answer writes what a method gave.
func (s *Server) answer(w http.ResponseWriter, name string, out reply, err error) {
	status := http.StatusOK
	if out == nil {
		out = reply{}
	}
	out["ok"] = err == nil
	if err != nil {
		no, ok := err.(*refusal)
		if !ok {
			no = &refusal{code: "internal_error", details: []string{err.Error()}}
		}
		maps.Copy(out, no.more)
		out["error"] = no.code
		if len(no.details) > 0 {
			out["response_metadata"] = reply{"messages": no.details}
		}
		status = cmp.Or(no.status, status)
		if no.wait > 0 {
			w.Header().Set("Retry-After", strconv.Itoa(int((no.wait+time.Second-1)/time.Second)))
		}
		s.do(func() { s.refused = append(s.refused, Refusal{name, no.code, no.details}) })
	}
	w.Header().Set("X-OAuth-Scopes", see(s, func() string { return strings.Join(s.scopes, ",") }))
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(out)
}

func authTest(s *Server, _ *call) (reply, error) {
	return reply{"url": s.base + "/", "team": "Fake", "team_id": Team, "user": BotName, "user_id": Bot, "bot_id": BotID,
		"is_enterprise_install": false}, nil
}

func teamInfo(*Server, *call) (reply, error) {
	return reply{"team": reply{"id": Team, "name": "Fake", "domain": "fake"}}, nil
}

func (p *Person) json() reply {
	return reply{"id": p.ID, "team_id": p.Team, "name": p.Name, "real_name": p.Name, "deleted": p.Deleted,
		"tz": "America/New_York", "is_bot": p.Bot, "is_stranger": p.Team != Team,
		"profile": reply{"real_name": p.Name, "display_name": p.Name, "team": p.Team}}
}

func userInfo(s *Server, c *call) (reply, error) {
	p := s.people[c.args["user"]]
	if p == nil {
		return nil, refuse("user_not_found")
	}
	return reply{"user": p.json()}, nil
}

func groupUsers(s *Server, c *call) (reply, error) {
	g := s.groups[c.args["usergroup"]]
	switch {
	case g == nil:
		return nil, refuse("no_such_subteam")
	case g.Disabled:
		return nil, refuse("subteam_disabled") // from memory
	}
	return reply{"users": append([]string{}, g.Users...)}, nil
}
