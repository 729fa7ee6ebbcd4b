// Package web is a local room in the browser: pages on the loopback address
// where people write to the bot, press its buttons and fill in its forms, and
// see what it says as it is said. It exists so that the bot can be seen at
// work without an account anywhere, and so that a crew without a team chat has
// a room. What is said is kept in the store; a page that lost its way reads on
// from where it was.
package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"log/slog"
	"regexp"
	"strings"
	"sync"
	"time"

	"heelpost/bot"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Bot is what the room hands what is said, pressed and filled in.
type Bot interface {
	Handle(context.Context, bot.Message) ([]bot.Post, error)
	Press(context.Context, bot.Message) ([]bot.Post, error)
	Form(ctx context.Context, m bot.Message, id string) (bot.Form, error)
	Submit(ctx context.Context, m bot.Message, id string, values map[string]string) (complaints map[string]string, posts []bot.Post, err error)
	Face(ctx context.Context, door string) (bot.Post, error)
	Home(ctx context.Context, person, filter string, page int, now time.Time) (bot.Home, error)
}

// Desk is where the doors are: the room keeps there what was said until it is
// answered, and reads who works where.
type Desk interface {
	Hear(ctx context.Context, seen string, m bot.Message) (bool, error)
	Sites() []*jobs.Site
	KeyOf(ctx context.Context, key string) (string, error)
	Find(ctx context.Context, door string) (*jobs.Job, error)
	Counted(ctx context.Context, site *jobs.Site, set string) iter.Seq2[*jobs.Job, error]
}

// Store keeps what is said in the room.
type Store interface {
	// Tell writes an entry into the log of a place, once by its id, and
	// returns its number, which grows over all places.
	Tell(ctx context.Context, place, id string, data []byte) (n int64, fresh bool, err error)
	// Told returns up to count entries of a place: the first ones behind a
	// number, or the last ones where that is negative.
	Told(ctx context.Context, place string, after int64, count int) ([]jobs.Entry, error)
	Bind(ctx context.Context, refs map[string]string) error
	Bound(ctx context.Context, names ...string) ([]string, error)
}

// Work is what goes on at the doors while nobody says anything.
type Work interface {
	// LayRules puts the recurring notices of every site.
	LayRules(ctx context.Context, now time.Time) error
	// Settle sends all that is due at now, and returns when more is due.
	Settle(ctx context.Context, now time.Time) (next time.Time, err error)
}

// Room is a room with its pages.
type Room struct {
	Bot      Bot
	Desk     Desk
	Store    Store
	Work     Work
	Language *say.Language                    // of what is said; nil for English
	Clock    func() time.Time                 // tells the time; nil for time.Now
	Moves    bool                             // people may move the clock forward
	Guest    bool                             // whoever opens a page may also look in as a guest
	Gate     Gate                             // whom it lets in
	Log      *slog.Logger                     // hears of trouble
	Reload   func(context.Context) []say.Text // takes changed files into use and says what is wrong with them; may be nil

	hub   hub
	views views

	turn  sync.Mutex // one at a time moves the clock or sends what is due
	again chan struct{}

	telling sync.Mutex // what is told is shown in the order of its numbers

	mu    sync.Mutex
	ahead time.Duration // how far the clock was moved
	next  time.Time     // when more is due
	way   ways          // what is said while the clock moves; nil while it does not
	moved ways          // what was said when it moved last
}

var (
	_ bot.Poster = (*Room)(nil)
	_ bot.Rooms  = (*Room)(nil)
)

// clockName is what the store binds to how far the clock was moved.
const clockName = "room:ahead"

// Open gets the room ready: it draws its pages and takes up the clock where it
// was left.
func (r *Room) Open(ctx context.Context) (err error) {
	if r.Clock == nil {
		r.Clock = time.Now
	}
	if r.Log == nil {
		r.Log = quiet
	}
	r.again = make(chan struct{}, 1)
	if r.views, err = newViews(r); err != nil {
		return err
	}
	bound, err := r.Store.Bound(ctx, clockName)
	if err != nil || bound[0] == "" || !r.Moves {
		return err
	}
	r.ahead, err = time.ParseDuration(bound[0])
	return err
}

// Now returns the time in the room.
func (r *Room) Now() time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.Clock().Add(r.ahead)
}

// set moves the clock to a time, and keeps how far it is ahead.
func (r *Room) set(ctx context.Context, now time.Time) error {
	r.mu.Lock()
	r.ahead = now.Sub(r.Clock())
	ahead := r.ahead
	r.mu.Unlock()
	return r.Store.Bind(ctx, map[string]string{clockName: ahead.String()})
}

// Move moves the clock forward, and shows what stands then.
func (r *Room) Move(ctx context.Context, end time.Time) error {
	r.turn.Lock()
	defer r.turn.Unlock()
	r.mu.Lock()
	r.way = ways{}
	r.mu.Unlock()
	err := r.pass(ctx, end)
	r.mu.Lock()
	r.way, r.moved = nil, r.way
	r.mu.Unlock()
	return errors.Join(err, r.stand(ctx))
}

// pass moves the clock, and stops at every time something is due.
func (r *Room) pass(ctx context.Context, end time.Time) error {
	for {
		next, err := r.send(ctx)
		if err != nil {
			return err
		}
		if !next.Before(end) {
			break
		}
		if err := r.set(ctx, next); err != nil {
			return err
		}
	}
	if err := r.set(ctx, end); err != nil {
		return err
	}
	_, err := r.send(ctx)
	return err
}

// stand shows all that is drawn from the state of now, as it stands at another
// time.
func (r *Room) stand(ctx context.Context) error {
	for _, s := range r.Desk.Sites() {
		data := r.views.part("clock", r.clock(s)) + r.views.part("moved", r.onWay(s))
		tiles, err := r.tiles(ctx, s)
		if err != nil {
			return err
		}
		for _, t := range tiles {
			data += r.views.part("tile", t)
		}
		r.hub.publish(sitePlace(s.ID), event{name: "part", data: data})
	}
	for _, door := range r.hub.heard() {
		if err := r.standing(ctx, door); err != nil {
			return err
		}
	}
	r.hub.publish(boards, event{name: "again"})
	r.hub.publish(homes, event{name: "again"})
	return nil
}

// standing shows a door as it stands now, where there is one by this key.
func (r *Room) standing(ctx context.Context, door string) error {
	j, err := r.Desk.Find(ctx, door)
	if err != nil || j == nil {
		return err
	}
	f, err := r.Bot.Face(ctx, door)
	if err == nil {
		r.show(j, &f)
	}
	return err
}

// show shows a door on its own page and among the others.
func (r *Room) show(j *jobs.Job, face *bot.Post) {
	r.hub.publish(j.Key, event{name: "part", data: r.views.part("face", r.face(face))})
	r.hub.publish(sitePlace(j.Site.ID), event{name: "part", data: r.views.part("tile", r.tile(j))})
	r.hub.publish(boards, event{name: "again"})
}

// Due returns when something is due next; false if nothing is.
func (r *Room) Due(ctx context.Context) (time.Time, bool, error) {
	next, err := r.Settle(ctx)
	return next, err == nil && next.Before(r.Now().Add(longest)), err
}

// Settle sends all that is due by now.
func (r *Room) Settle(ctx context.Context) (next time.Time, err error) {
	r.turn.Lock()
	defer r.turn.Unlock()
	return r.send(ctx)
}

// send sends all that is due by now, and has Run wake when more is. r.turn is
// held.
func (r *Room) send(ctx context.Context) (next time.Time, err error) {
	next, err = r.Work.Settle(ctx, r.Now())
	if err != nil {
		return next, err
	}
	r.mu.Lock()
	r.next = next
	r.mu.Unlock()
	select {
	case r.again <- struct{}{}:
	default:
	}
	return next, nil
}

// glance is how often files are looked at for changes, and a store that is
// away is tried again.
const glance = 5 * time.Second

// Run sends what comes due until ctx ends. Without files to look at it sleeps
// until then.
func (r *Room) Run(ctx context.Context) error {
	for ctx.Err() == nil {
		if r.Reload != nil {
			for _, fault := range r.Reload(ctx) {
				r.Log.Error("a file is not in use", "why", fault)
			}
		}
		next, err := r.Settle(ctx)
		select { // that it has just settled wakes nobody
		case <-r.again:
		default:
		}
		sleep := max(0, next.Sub(r.Now()))
		if err != nil && ctx.Err() == nil {
			r.Log.Error("what is due could not be sent", "error", err)
			sleep = glance
		}
		if r.Reload != nil {
			sleep = min(sleep, glance)
		}
		for awake := false; !awake; {
			timer := time.NewTimer(sleep)
			select {
			case <-ctx.Done():
				awake = true
			case <-timer.C:
				awake = true
			case <-r.again:
				r.mu.Lock()
				sleep = max(0, r.next.Sub(r.Clock().Add(r.ahead)))
				r.mu.Unlock()
				awake = r.Reload != nil
			}
			timer.Stop()
		}
	}
	return nil
}

// Places of the room: the log of a channel, of a door's thread, which is named
// by the door, and of one person alone.
func channelPlace(channel string) string { return "at:" + channel }
func personPlace(person string) string   { return "to:" + person }

// sitePlace is where all pages of a site listen, and homePlace where those of a
// person do that show their home; homes is where all of these do.
func sitePlace(site string) string { return "site:" + site }

func homePlace(person string) string { return "home:" + person }

const homes = "homes"

// boards is where the pages that show a board listen.
const boards = "boards"

// line is an entry of a log: what somebody said, or the bot.
type line struct {
	At      time.Time    `json:"at"`
	Who     string       `json:"who,omitempty"` // "" is the bot
	To      string       `json:"to,omitempty"`
	Kind    bot.Kind     `json:"kind,omitempty"`
	Text    string       `json:"text,omitempty"`
	Parts   []part       `json:"parts,omitempty"` // of an answer, in place of the text
	Site    string       `json:"site,omitempty"`
	Door    string       `json:"door,omitempty"` // in whose thread it stands
	Link    string       `json:"link,omitempty"` // the door that it leads to
	Buttons []bot.Button `json:"buttons,omitempty"`
	Picture *picture     `json:"picture,omitempty"`
	Act     string       `json:"act,omitempty"` // the button or form that somebody used, in place of words
}

// part is one line of an answer.
type part struct {
	Part  string `json:"part,omitempty"`
	Label string `json:"label,omitempty"`
	Text  string `json:"text"`
}

// picture is what a post shows, on light and on dark ground.
type picture struct {
	Light string `json:"light"`
	Dark  string `json:"dark"`
}

// place returns where a post belongs.
func (r *Room) place(p *bot.Post) string {
	switch {
	case p.Thread != "" && p.Door != "":
		return p.Door
	case p.Thread != "":
		return r.doorKey(p.Channel, p.Thread)
	case p.Channel != "":
		return channelPlace(p.Channel)
	}
	return personPlace(p.To)
}

// site returns the site of a channel, nil if there is none.
func (r *Room) site(channel string) *jobs.Site {
	for _, s := range r.Desk.Sites() {
		for _, c := range s.Channels {
			if c == channel {
				return s
			}
		}
	}
	return nil
}

// doorKey returns the key of a door that is spoken of in a channel.
func (r *Room) doorKey(channel, door string) string {
	id := ""
	if s := r.site(channel); s != nil {
		id = s.ID
	}
	return jobs.DoorKey(id, door)
}

// Post shows a post where it belongs, once by its id.
func (r *Room) Post(ctx context.Context, p bot.Post) (string, error) {
	l := line{At: p.At, To: p.To, Kind: p.Kind, Text: bot.Printable(p.Text), Site: p.Site, Door: p.Thread, Buttons: p.Buttons}
	if s := r.site(p.Channel); s != nil {
		l.Site = s.ID
	}
	if p.Answer != nil {
		l.Text = ""
		for _, a := range p.Answer.Lines() {
			l.Parts = append(l.Parts, part{string(a.Part), r.Language.Say(a.Label), bot.Printable(r.Language.Say(a.Text))})
		}
	}
	if p.Picture != nil {
		l.Picture = drawn(r.Language, p.Picture)
	}
	ref, err := r.tell(ctx, r.place(&p), p.ID, &l)
	if err == nil && p.Kind == bot.KindReminder && p.Door != "" { // time has passed at its door
		err = r.standing(ctx, p.Door)
	}
	return ref, err
}

// drawn is a drawing as pages show it.
func drawn(l *say.Language, d *draw.Drawing) *picture {
	return &picture{inline(d.SVG(l, draw.Light)), inline(d.SVG(l, draw.Dark))}
}

// ownStyle is what a drawing brings along for where it stands alone.
var ownStyle = regexp.MustCompile(`(?s)<style>.*?</style>`)

// inline makes a drawing part of a page: without a style of its own, which the
// page's policy refuses, and so with the page's letters, fitted to their length.
func inline(svg []byte) string { return string(ownStyle.ReplaceAll(svg, nil)) }

// tell writes a line into a log, and shows it on the pages that are open.
func (r *Room) tell(ctx context.Context, place, id string, l *line) (ref string, err error) {
	if place, err = r.Desk.KeyOf(ctx, place); err != nil { // a door's log stays one when the door is renamed
		return "", err
	}
	data, err := json.Marshal(l)
	if err != nil {
		return "", err
	}
	r.telling.Lock()
	defer r.telling.Unlock()
	n, fresh, err := r.Store.Tell(ctx, place, id, data)
	if err == nil && fresh {
		r.hub.publish(place, event{n: n, name: "part", data: r.views.line(n, l)})
		if l.Who == "" && !strings.HasPrefix(place, personPlace("")) {
			r.note(l)
		}
	}
	return fmt.Sprintf("%s:%d", place, n), err
}

// Find finds nothing: what is posted again by its id stands there once.
func (r *Room) Find(context.Context, bot.Post) (string, bool, error) { return "", false, nil }

// Face shows a door as it stands now, on its own page and among the others.
func (r *Room) Face(ctx context.Context, p bot.Post) (string, error) {
	j, err := r.Desk.Find(ctx, p.Door)
	if err != nil || j == nil {
		return "", err
	}
	// Once it is open its thread begins on a page of its own.
	opened := line{At: p.At, Kind: p.Kind, Text: r.Language.Say(say.F("is open: its work goes on there")), Site: j.Site.ID, Link: p.Thread}
	if _, err := r.tell(ctx, channelPlace(p.Channel), "face:"+p.Door, &opened); err != nil {
		return "", err
	}
	r.show(j, &p)
	return p.Door, nil
}

// Home has the pages that show somebody's home read it anew.
func (r *Room) Home(_ context.Context, _, person string) error {
	r.hub.publish(homePlace(person), event{name: "again"})
	return nil
}

// longest is more than anything in the room is ever planned ahead.
const longest = 10 * 366 * 24 * time.Hour

// overheard reports whether a text is a word to a colleague: the bot keeps out
// of it unless it is plainly for the bot.
func overheard(text string) bool { return strings.HasPrefix(text, "@") }
