package fake

import (
	"encoding/json"
	"fmt"
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
	tier int // calls a minute: 1, 20, 50, 100 for 1 to 4; 0 is the method's own rule
	run  func(s *Server, c *call) (reply, error)
}

type reply map[string]any

var methods map[string]method

func init() { // what the methods do needs the table of them
	methods = map[string]method{
		"api.test":                     {4, func(*Server, *call) (reply, error) { return reply{}, nil }},
		"auth.test":                    {4, authTest},
		"apps.connections.open":        {1, connectionsOpen},
		"chat.postMessage":             {0, chatPost},
		"chat.update":                  {3, chatUpdate},
		"chat.delete":                  {3, chatDelete},
		"chat.postEphemeral":           {4, chatEphemeral},
		"chat.getPermalink":            {0, chatPermalink},
		"conversations.history":        {3, history},
		"conversations.replies":        {3, replies},
		"conversations.info":           {3, channelInfo},
		"conversations.members":        {4, channelMembers},
		"conversations.open":           {3, channelOpen},
		"conversations.list":           {2, channelList},
		"views.open":                   {4, viewOpen},
		"views.push":                   {4, viewPush},
		"views.update":                 {4, viewUpdate},
		"views.publish":                {4, viewPublish},
		"files.getUploadURLExternal":   {4, uploadURL},
		"files.completeUploadExternal": {4, uploadComplete},
		"files.info":                   {4, fileInfo},
		"users.info":                   {4, userInfo},
		"users.list":                   {2, userList},
		"usergroups.list":              {2, groupList},
		"usergroups.users.list":        {2, groupUsers},
		"reactions.add":                {3, reactionAdd},
		"team.info":                    {3, teamInfo},
	}
}

var perMinute = [...]int{0, 1, 20, 50, 100}

// Scopes says which scope of the bot each method needs. Where there are
// several, it is one for each kind of channel it is called for: public,
// private, direct. apps.connections.open needs a scope of the app's token.
var Scopes = map[string][]string{
	"api.test":                     {},
	"auth.test":                    {},
	"apps.connections.open":        {"connections:write"},
	"chat.postMessage":             {"chat:write"},
	"chat.update":                  {"chat:write"},
	"chat.delete":                  {"chat:write"},
	"chat.postEphemeral":           {"chat:write"},
	"chat.getPermalink":            {},
	"conversations.history":        {"channels:history", "groups:history", "im:history"},
	"conversations.replies":        {"channels:history", "groups:history", "im:history"},
	"conversations.info":           {"channels:read", "groups:read", "im:read"},
	"conversations.members":        {"channels:read", "groups:read", "im:read"},
	"conversations.open":           {"im:write"},
	"conversations.list":           {"channels:read", "groups:read", "im:read"},
	"views.open":                   {},
	"views.push":                   {},
	"views.update":                 {},
	"views.publish":                {},
	"files.getUploadURLExternal":   {"files:write"},
	"files.completeUploadExternal": {"files:write"},
	"files.info":                   {"files:read"},
	"users.info":                   {"users:read"},
	"users.list":                   {"users:read"},
	"usergroups.list":              {"usergroups:read"},
	"usergroups.users.list":        {"usergroups:read"},
	"reactions.add":                {"reactions:write"},
	"team.info":                    {"team:read"},
}

// EventScopes says which scope each event needs that an app can subscribe to;
// commands, which is none, stands for slash commands and shortcuts.
var EventScopes = map[string]string{
	"app_mention":             "app_mentions:read",
	"message.channels":        "channels:history",
	"message.groups":          "groups:history",
	"message.im":              "im:history",
	"app_home_opened":         "",
	"app_uninstalled":         "",
	"tokens_revoked":          "",
	"channel_archive":         "channels:read",
	"channel_unarchive":       "channels:read",
	"channel_left":            "channels:read",
	"channel_rename":          "channels:read",
	"group_archive":           "groups:read",
	"group_unarchive":         "groups:read",
	"group_left":              "groups:read",
	"member_joined_channel":   "channels:read",
	"member_left_channel":     "channels:read",
	"reaction_added":          "reactions:read",
	"subteam_members_changed": "usergroups:read",
	"subteam_updated":         "usergroups:read",
	"team_join":               "users:read",
	"user_change":             "users:read",
	"commands":                "commands",
}

// AllScopes are the scopes of a bot that may do everything here.
func AllScopes() []string {
	all := map[string]bool{}
	for method, scopes := range Scopes {
		for _, scope := range scopes {
			if method != "apps.connections.open" {
				all[scope] = true
			}
		}
	}
	for _, scope := range EventScopes {
		if scope != "" {
			all[scope] = true
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// call is one call of a method, its arguments as text: JSON where they are not
// strings, as in a form.
type call struct {
	method string
	args   map[string]string
	token  string
	bearer bool // the token came in the header
}

// refusal is an answer that is not ok.
type refusal struct {
	code    string
	details []string
	more    reply
	wait    time.Duration // of a rate limit
}

func (r *refusal) Error() string { return r.code }

func refuse(code string, details ...string) error { return &refusal{code: code, details: details} }

// limited refuses for a rate, until the wait is over.
func limited(wait time.Duration) error { return &refusal{code: "ratelimited", wait: wait} }

const maxBody = 4 << 20

func parseCall(r *http.Request) (*call, error) {
	c := &call{method: r.PathValue("method"), args: map[string]string{}}
	body, err := io.ReadAll(io.LimitReader(r.Body, maxBody))
	if err != nil {
		return nil, err
	}
	form := func(query string) error {
		values, err := url.ParseQuery(query)
		for name, v := range values {
			c.args[name] = v[0]
		}
		return err
	}
	if err := form(r.URL.RawQuery); err != nil {
		return nil, err
	}
	kind, params, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	switch {
	case len(body) == 0:
	case kind == "application/json":
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(body, &fields); err != nil {
			return nil, err
		}
		for name, v := range fields {
			var s string
			if json.Unmarshal(v, &s) != nil {
				s = string(v)
			}
			c.args[name] = s
		}
	case kind == "multipart/form-data":
		r.Body = io.NopCloser(strings.NewReader(string(body)))
		if params["boundary"] == "" {
			return nil, fmt.Errorf("no boundary")
		}
		if err := r.ParseMultipartForm(maxBody); err != nil {
			return nil, err
		}
		for name, v := range r.MultipartForm.Value {
			c.args[name] = v[0]
		}
	default:
		if err := form(string(body)); err != nil {
			return nil, err
		}
	}
	for name, v := range c.args { // null is no argument
		if v == "null" {
			delete(c.args, name)
		}
	}
	c.token = c.args["token"]
	if t, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		c.token, c.bearer = t, true
	}
	return c, nil
}

// flag is an argument that is true or false.
func (c *call) flag(name string) bool {
	on, _ := strconv.ParseBool(c.args[name])
	return on
}

// count is an argument that is a number, within bounds.
func (c *call) count(name string, def, most int) int {
	n, err := strconv.Atoi(c.args[name])
	if err != nil || n <= 0 {
		return def
	}
	return min(n, most)
}

func (s *Server) serveAPI(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("method")
	c, err := parseCall(r)
	if err != nil {
		s.answer(w, name, nil, refuse("invalid_json", err.Error()))
		return
	}
	s.do(w, r, name, func() (reply, error) { return s.call(c) })
}

// do carries a call out, with the faults set for it.
func (s *Server) do(w http.ResponseWriter, r *http.Request, name string, run func() (reply, error)) {
	s.mu.Lock()
	s.calls[name]++
	f := s.fault(name)
	s.change()
	s.mu.Unlock()
	if f != nil && f.Delay > 0 {
		select {
		case <-time.After(f.Delay):
		case <-r.Context().Done():
		case <-s.ctx.Done():
		}
	}
	if f != nil && !f.After && s.breakDown(w, name, f) {
		return
	}
	s.mu.Lock()
	out, err := run()
	s.change()
	s.mu.Unlock()
	if f != nil && f.After && err == nil && s.breakDown(w, name, f) {
		return
	}
	s.answer(w, name, out, err)
}

// call runs a method, the lock held.
func (s *Server) call(c *call) (reply, error) {
	m, ok := methods[c.method]
	switch {
	case !ok:
		return nil, refuse("unknown_method")
	case c.token == "":
		return nil, refuse("not_authed")
	case s.revoked != "":
		return nil, refuse(s.revoked)
	}
	if c.method == "apps.connections.open" {
		switch {
		case !c.bearer: // Slack takes the token of the app in the header only
			return nil, refuse("not_authed")
		case c.token == BotToken:
			return nil, refuse("not_allowed_token_type")
		case c.token != AppToken:
			return nil, refuse("invalid_auth")
		}
	} else {
		switch c.token {
		case BotToken:
		case AppToken:
			return nil, refuse("not_allowed_token_type")
		default:
			return nil, refuse("invalid_auth")
		}
		if err := s.permit(c); err != nil {
			return nil, err
		}
	}
	if s.opts.Tiers && m.tier > 0 {
		b := s.tiers[c.method]
		if b == nil {
			b = &bucket{}
			s.tiers[c.method] = b
		}
		n := perMinute[m.tier]
		if wait := b.take(time.Minute/time.Duration(n), n); wait > 0 {
			return nil, limited(wait)
		}
	}
	return m.run(s, c)
}

// permit checks the scope that a method needs for the channel it is called for.
func (s *Server) permit(c *call) error {
	scopes := Scopes[c.method]
	if len(scopes) == 0 {
		return nil
	}
	needed := scopes[:1]
	if len(scopes) > 1 {
		if r := s.rooms[c.args["channel"]]; r != nil {
			switch r.kind() {
			case "group":
				needed = scopes[1:2]
			case "im":
				needed = scopes[2:]
			}
		}
		if c.method == "conversations.list" {
			needed = nil
			for i, kind := range []string{"public_channel", "private_channel", "im"} {
				if slices.Contains(types(c), kind) {
					needed = append(needed, scopes[i])
				}
			}
		}
	}
	for _, scope := range needed {
		s.used[scope] = true
		if !slices.Contains(s.scopes, scope) {
			return &refusal{code: "missing_scope", more: reply{"needed": scope, "provided": strings.Join(s.scopes, ",")}}
		}
	}
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
		if no.wait > 0 {
			status = http.StatusTooManyRequests
			w.Header().Set("Retry-After", strconv.Itoa(seconds(no.wait)))
		}
		s.mu.Lock()
		s.refused = append(s.refused, Refusal{name, no.code, no.details})
		s.change()
		s.mu.Unlock()
	}
	s.mu.Lock()
	w.Header().Set("X-OAuth-Scopes", strings.Join(s.scopes, ","))
	s.mu.Unlock()
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(out)
}

// seconds rounds up, as a wait has to.
func seconds(d time.Duration) int { return int((d + time.Second - 1) / time.Second) }

// bucket lets through a burst, then one each time.
type bucket struct {
	free time.Time // when it will be full again
}

// take takes one if there is one; else it says how long to wait.
func (b *bucket) take(every time.Duration, burst int) time.Duration {
	now := time.Now()
	if b.free.Before(now) {
		b.free = now
	}
	if wait := b.free.Sub(now) - every*time.Duration(burst-1); wait > 0 {
		return wait
	}
	b.free = b.free.Add(every)
	return 0
}

func authTest(s *Server, _ *call) (reply, error) {
	return reply{"url": s.base + "/", "team": "Fake", "team_id": Team, "user": BotName, "user_id": Bot, "bot_id": BotID,
		"is_enterprise_install": false}, nil
}

func teamInfo(*Server, *call) (reply, error) {
	return reply{"team": reply{"id": Team, "name": "Fake", "domain": "fake"}}, nil
}

func (p *Person) json() reply {
	return reply{"id": p.ID, "team_id": p.Team, "name": p.Name, "real_name": p.RealName, "deleted": p.Deleted,
		"tz": p.TZ, "tz_offset": offset(p.TZ), "is_bot": p.Bot, "is_admin": p.Admin, "is_owner": false,
		"is_restricted": p.Guest || p.SingleGuest, "is_ultra_restricted": p.SingleGuest,
		"is_stranger": p.Team != Team, "is_app_user": false, "updated": 0,
		"profile": reply{"real_name": p.RealName, "display_name": p.Name, "team": p.Team}}
}

func offset(zone string) int {
	l, err := time.LoadLocation(zone)
	if err != nil {
		return 0
	}
	_, offset := time.Now().In(l).Zone()
	return offset
}

func userInfo(s *Server, c *call) (reply, error) {
	p := s.people[c.args["user"]]
	if p == nil {
		return nil, refuse("user_not_found")
	}
	return reply{"user": p.json()}, nil
}

func userList(s *Server, c *call) (reply, error) {
	var all []any
	for _, id := range slices.Sorted(maps.Keys(s.people)) {
		all = append(all, s.people[id].json())
	}
	return paged(c, "members", all, 0, 1000)
}

func groupList(s *Server, c *call) (reply, error) {
	all := []any{}
	for _, id := range slices.Sorted(maps.Keys(s.groups)) {
		g := s.groups[id]
		if g.Disabled && !c.flag("include_disabled") {
			continue
		}
		out := reply{"id": id, "team_id": Team, "is_usergroup": true, "handle": g.Handle, "name": g.Name, "user_count": len(g.Users)}
		if c.flag("include_users") {
			out["users"] = slices.Clone(g.Users)
		}
		all = append(all, out)
	}
	return reply{"usergroups": all}, nil
}

func groupUsers(s *Server, c *call) (reply, error) {
	g := s.groups[c.args["usergroup"]]
	switch {
	case g == nil:
		return nil, refuse("no_such_subteam")
	case g.Disabled && !c.flag("include_disabled"):
		return nil, refuse("subteam_disabled") // from memory
	}
	return reply{"users": append([]string{}, g.Users...)}, nil
}

// paged is one page of a list: limit many after the cursor.
func paged(c *call, name string, all []any, def, most int) (reply, error) {
	if def == 0 {
		def = len(all)
	}
	at := 0
	if cursor := c.args["cursor"]; cursor != "" {
		n, ok := strings.CutPrefix(cursor, "next:")
		i, err := strconv.Atoi(n)
		if !ok || err != nil || i < 0 || i > len(all) {
			return nil, refuse("invalid_cursor")
		}
		at = i
	}
	end := min(len(all), at+c.count("limit", def, most))
	next := ""
	if end < len(all) {
		next = "next:" + strconv.Itoa(end)
	}
	return reply{name: append([]any{}, all[at:end]...), "has_more": next != "", "response_metadata": reply{"next_cursor": next}}, nil
}
