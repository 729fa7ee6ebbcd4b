package web

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Handler returns the room as it is served.
func (r *Room) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{token}/{$}", r.entrance)
	mux.HandleFunc("GET /{token}/file/{name}", r.file)
	for path, serve := range map[string]func(*visit) error{
		"GET log": (*visit).log, "GET door": (*visit).thread, "GET home": (*visit).home, "GET board": (*visit).board, "GET form": (*visit).form,
		"GET events": (*visit).events, "POST say": (*visit).say, "POST press": (*visit).press, "POST form": (*visit).fill, "POST clock": (*visit).move,
	} {
		method, name, _ := strings.Cut(path, " ")
		mux.HandleFunc(method+" /{token}/{who}/{channel}/"+name, func(w http.ResponseWriter, q *http.Request) {
			v, ok := r.visit(w, q)
			if !ok {
				return
			}
			if err := serve(v); err != nil && q.Context().Err() == nil {
				r.Log.Error("a page could not be served", "path", name, "error", err)
				r.refuse(w, http.StatusServiceUnavailable, say.F("the store is away: nothing is lost, try again in a moment"))
			}
		})
	}
	return r.let(mux)
}

// visit is a request by somebody at a site.
type visit struct {
	*Room
	w       http.ResponseWriter
	q       *http.Request
	ctx     context.Context
	who     string
	channel string
	at      *jobs.Site
	id      string // of the door that it is about; "" if it is about none
}

// guest is who looks in without being named at a site.
const guest = "guest"

// visit reads who comes and where to. Whoever is not who they say is refused.
func (r *Room) visit(w http.ResponseWriter, q *http.Request) (*visit, bool) {
	if err := q.ParseForm(); err != nil {
		r.refuse(w, http.StatusRequestEntityTooLarge, say.F("that is more than can be said at once, or no form of this room"))
		return nil, false
	}
	v := &visit{Room: r, w: w, q: q, ctx: q.Context(), who: q.PathValue("who"), channel: q.PathValue("channel"), id: q.FormValue("door")}
	v.at = r.site(v.channel)
	if r.Gate.SignIn != "" {
		if signed := q.Header.Get(r.Gate.SignIn); signed == "" || signed != v.who {
			r.refuse(w, http.StatusForbidden, say.F("the proxy says that you are somebody else, or nobody: open the room by its address"))
			return nil, false
		}
	} else if !r.known(v.who) {
		r.refuse(w, http.StatusNotFound, say.F("nobody here is called %s", bot.Printable(v.who)))
		return nil, false
	}
	if v.at == nil {
		r.refuse(w, http.StatusNotFound, say.F("there is no site here by that name"))
		return nil, false
	}
	return v, true
}

// known reports whether somebody may be in the room.
func (r *Room) known(who string) bool {
	if r.Guest && who == guest {
		return true
	}
	return slices.ContainsFunc(r.Desk.Sites(), func(s *jobs.Site) bool { _, ok := s.Person(who); return ok })
}

// shown is a page as its template takes it.
type shown struct {
	Title     string
	Kind      string // of the page: log, door, home, board, form
	Site      string
	Who, Role string
	People    []person
	Nav       []link
	Clock     *clock
	Way       *way
	Moves     bool
	Demo      bool
	Signed    bool
	Door      string
	Last      int64
	Events    string
	Nonce     string
	Tiles     []*tile
	Lines     []template.HTML
	More      bool
	Face      *face
	Buttons   []shownButton
	Starters  []shownButton
	Home      *bot.Home
	Sections  []homeSection
	Filters   []link
	Turns     []link
	Text      string
	Drawn     []template.HTML
	Form      *shownForm
}

// person is somebody one can be.
type person struct {
	Name, Role, Href string
	Current          bool
}

// link leads somewhere; the current one is where one is.
type link struct {
	Name, Href string
	Current    bool
}

// base returns what all pages have. here is the name of the page, with its
// query.
func (v *visit) base(kind, here string) (*shown, error) {
	role := v.at.Role(v.who)
	p := &shown{Kind: kind, Site: v.at.Name, Who: v.name(v.who), Role: v.Language.Say(roles[role]), Clock: v.clock(v.at), Way: v.onWay(v.at), Moves: v.Moves,
		Demo: v.Guest, Signed: v.Gate.SignIn != "", Door: v.id, Nonce: rand.Text()}
	p.Title = p.Site
	for _, name := range []string{"log", "home", "board"} {
		p.Nav = append(p.Nav, link{v.Language.Say(words[name]), name, kind == name})
	}
	if !p.Signed {
		p.People = v.people(v.at, v.channel, here, v.who)
	}
	var err error
	p.Tiles, err = v.tiles(v.ctx, v.at)
	for _, t := range p.Tiles {
		t.Current = kind == "door" && strings.EqualFold(t.ID, v.id)
	}
	p.Events = "events?" + url.Values{"page": {kind}, "door": {v.id}}.Encode()
	return p, err
}

// tiles returns a site's doors as they are drawn in small.
func (r *Room) tiles(ctx context.Context, site *jobs.Site) (tiles []*tile, err error) {
	for j, err := range r.Desk.Counted(ctx, site, "all") {
		if err != nil {
			return nil, err
		}
		if len(tiles) == mostTiles {
			break // the board has them all
		}
		tiles = append(tiles, r.tile(j))
	}
	return tiles, nil
}

// mostTiles is how many doors are drawn in small.
const mostTiles = 60

// people lists whom one can be at a site.
func (r *Room) people(site *jobs.Site, channel, here, who string) (list []person) {
	add := func(id, name string, role jobs.Role) {
		list = append(list, person{name, r.Language.Say(roles[role]), r.Gate.address(id, channel) + "/" + here, id == who})
	}
	for _, p := range site.People {
		add(p.ID, p.Name, p.Role)
	}
	if r.Guest {
		add(guest, r.Language.Say(visitor), jobs.Guest)
	}
	return list
}

// show writes a page.
func (v *visit) show(status int, p *shown) error {
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	return v.views.all.ExecuteTemplate(v.w, "page", p)
}

// newest is how many lines a page shows at first.
const newest = 150

// lines puts the newest lines of places on a page, in the order in which they
// were said.
func (v *visit) lines(p *shown, places ...string) error {
	var all []jobs.Entry
	for _, place := range places {
		es, err := v.Store.Told(v.ctx, place, -1, newest)
		if err != nil {
			return err
		}
		p.More = p.More || len(es) == newest
		all = append(all, es...)
	}
	slices.SortFunc(all, func(a, b jobs.Entry) int { return int(a.Version - b.Version) })
	for i := range all {
		p.Lines = append(p.Lines, template.HTML(v.drawn(&all[i])))
		p.Last = all[i].Version
	}
	return nil
}

// drawn draws an entry of a log.
func (r *Room) drawn(e *jobs.Entry) string {
	var l line
	if err := json.Unmarshal(e.Data, &l); err != nil {
		return "" // a newer room's; the others are better than none
	}
	return r.views.line(e.Version, &l)
}

// places returns where a page of a kind listens: in logs, which are read on
// from, and for what is drawn from the state of now.
func (v *visit) places(kind string) (logs, now []string, err error) {
	now = []string{sitePlace(v.at.ID)}
	switch {
	case kind == "door" && v.id != "":
		door, err := v.Desk.KeyOf(v.ctx, jobs.DoorKey(v.at.ID, v.id))
		return []string{door}, now, err
	case kind == "log":
		return []string{channelPlace(v.channel), personPlace(v.who)}, now, nil
	case kind == "home":
		return nil, append(now, homePlace(v.who), homes), nil
	case kind == "board":
		return nil, append(now, boards), nil
	}
	return nil, now, nil
}

func (v *visit) log() error {
	p, err := v.base("log", "log")
	if err != nil {
		return err
	}
	logs, _, err := v.places("log")
	if err != nil {
		return err
	}
	if err := v.lines(p, logs...); err != nil {
		return err
	}
	p.Buttons = pressable("", bot.StandingButtons(v.Language, ""))
	for _, s := range starters {
		p.Starters = append(p.Starters, pressable("", []bot.Button{{Label: s, Say: s}})...)
	}
	return v.show(http.StatusOK, p)
}

func (v *visit) thread() error {
	key := jobs.DoorKey(v.at.ID, v.id)
	j, err := v.Desk.Find(v.ctx, key)
	if err != nil {
		return err
	}
	if j == nil {
		v.refuse(v.w, http.StatusNotFound, say.F("there is no door %s here", bot.Printable(v.id)))
		return nil
	}
	p, err := v.base("door", "door?door="+url.QueryEscape(v.id))
	if err != nil {
		return err
	}
	p.Title = v.id + " · " + p.Title
	f, err := v.Bot.Face(v.ctx, key)
	if err != nil {
		return err
	}
	p.Face = v.face(&f)
	if err := v.lines(p, j.Key); err != nil {
		return err
	}
	return v.show(http.StatusOK, p)
}

// homeSection is a part of a home as its template takes it.
type homeSection struct {
	Title string
	Lines []homeLine
}

type homeLine struct {
	Text    string
	Door    link
	Buttons []shownButton
}

func (v *visit) home() error {
	filter, page := v.q.FormValue("filter"), 1
	if n, err := strconv.Atoi(v.q.FormValue("page")); err == nil {
		page = max(1, n)
	}
	h, err := v.Bot.Home(v.ctx, v.who, filter, page, v.Now())
	if err != nil {
		return err
	}
	p, err := v.base("home", "home")
	if err != nil {
		return err
	}
	p.Home = &h
	for _, s := range h.Sections {
		out := homeSection{Title: s.Title}
		for _, l := range s.Lines {
			line := homeLine{Text: l.Text, Buttons: pressable(l.Door, l.Buttons)}
			if l.Door != "" {
				line.Door = link{l.Door, v.doorPath(l.Site, l.Door), false}
				line.Text = strings.TrimPrefix(line.Text, l.Door)
			}
			out.Lines = append(out.Lines, line)
		}
		p.Sections = append(p.Sections, out)
	}
	for n := 1; n <= h.Pages && h.Pages > 1; n++ {
		p.Turns = append(p.Turns, link{strconv.Itoa(n), "home?" + url.Values{"filter": {h.Filter}, "page": {strconv.Itoa(n)}}.Encode(), n == h.Page})
	}
	return v.show(http.StatusOK, p)
}

// doorPath is where the page of a door is, from a page of the visit's.
func (v *visit) doorPath(site, door string) string {
	path := "door?door=" + url.QueryEscape(door)
	if s := v.siteNamed(site); s != nil && s.ID == site && s.ID != v.at.ID {
		return v.Gate.address(v.who, s.Channels[0]) + "/" + path
	}
	return path
}

func (v *visit) board() error {
	p, err := v.base("board", "board")
	if err != nil {
		return err
	}
	// Nothing waits at this place, so the question leaves nothing behind.
	posts, err := v.Bot.Handle(v.ctx, bot.Message{ID: "board:" + rand.Text(), At: v.Now(), Person: v.who, Channel: v.channel, Under: "board", Text: "board"})
	if err != nil {
		return err
	}
	for _, post := range posts {
		p.Text += bot.Printable(post.Text) + "\n"
		if post.Picture != nil {
			p.Drawn = drawn(v.Language, post.Picture).shown()
		}
	}
	p.Text = strings.TrimSpace(p.Text)
	return v.show(http.StatusOK, p)
}

// entrance is where one says who one is.
func (r *Room) entrance(w http.ResponseWriter, q *http.Request) {
	sites := r.Desk.Sites()
	if len(sites) == 0 {
		r.refuse(w, http.StatusServiceUnavailable, say.F("no site is in use here"))
		return
	}
	if who := q.Header.Get(r.Gate.SignIn); r.Gate.SignIn != "" {
		if who == "" {
			r.refuse(w, http.StatusForbidden, say.F("the proxy does not say who you are"))
			return
		}
		for _, s := range sites {
			if _, ok := s.Person(who); ok {
				sites = []*jobs.Site{s}
				break
			}
		}
		http.Redirect(w, q, r.Gate.address(who, sites[0].Channels[0])+"/log", http.StatusSeeOther)
		return
	}
	type place struct {
		Name   string
		People []person
	}
	var places []place
	for _, s := range sites {
		places = append(places, place{s.Name, r.people(s, s.Channels[0], "log", "")})
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	if err := r.views.all.ExecuteTemplate(w, "entrance", map[string]any{"Places": places, "Demo": r.Guest}); err != nil {
		r.Log.Error("a page could not be served", "path", "entrance", "error", err)
	}
}

// file serves the style, the script and what drawings are written with.
func (r *Room) file(w http.ResponseWriter, q *http.Request) {
	types := map[string]string{"style.css": "text/css; charset=utf-8", "script.js": "text/javascript; charset=utf-8", "icon.svg": "image/svg+xml", "letters.ttf": "font/ttf"}
	name := q.PathValue("name")
	kind, ok := types[name]
	data, err := draw.Font(), error(nil)
	if name != "letters.ttf" {
		data, err = files.ReadFile("page/" + name)
	}
	if !ok || err != nil {
		r.refuse(w, http.StatusNotFound, say.F("there is no such file"))
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "private, max-age=3600")
	if _, err := w.Write(data); err != nil {
		r.Log.Debug("a file was not taken", "error", err)
	}
}
