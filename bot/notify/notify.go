// Package notify sends what is due: it draws each notice from the state of
// the moment it is sent, so that nothing out of date is said, and hands it to
// whoever posts.
package notify

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/board"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Hear answers a message that was kept when it came in; settled says that a
// change was made, and the message is done with.
type Hear func(ctx context.Context, m bot.Message) (posts []bot.Post, settled bool, err error)

// New returns a runner that draws what is due at a desk, and posts it. Its
// name is unique to the process.
func New(name string, d *desk.Desk, poster bot.Poster, hear Hear) *jobs.Runner {
	s := &sender{Desk: d, poster: poster, hear: hear}
	s.rooms, _ = poster.(bot.Rooms)
	r := jobs.NewRunner(name, d.Store(), s)
	r.Before = d.Begin
	return r
}

// sender draws notices from the state of now and posts them.
type sender struct {
	*desk.Desk
	poster bot.Poster
	rooms  bot.Rooms // nil where posts just follow one another
	hear   Hear
}

// Send draws a notice from the state of now and posts it.
func (s *sender) Send(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	switch n.Kind {
	case bot.Heard:
		return s.answer(ctx, n)
	case "home":
		return jobs.Result{}, s.rooms.Home(ctx, n.Args["site"], n.Args["who"])
	case gather:
		return s.gather(ctx, n)
	}
	p, next, err := s.draw(ctx, n)
	if errors.Is(err, jobs.ErrNotFound) {
		return jobs.Result{}, &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	if err != nil {
		return jobs.Result{}, err
	}
	if p.Text == "" {
		return jobs.Result{Next: next}, nil // there is nothing left to say
	}
	p.ID, p.At = n.PostID(), s.Clock()
	post := s.poster.Post
	if n.Kind == "face" {
		post = s.rooms.Face
	}
	ref, err := post(ctx, p)
	return jobs.Result{Ref: ref, Next: next}, err
}

// answer deals with a message that was kept.
func (s *sender) answer(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	m := bot.KeptMessage(&n)
	if f, ok := s.poster.(bot.Fetcher); ok && len(m.Texts) > 0 {
		log, err := f.Fetch(ctx, m.Texts)
		no, refused := errors.AsType[*bot.RefusalError](err)
		switch {
		case refused:
			m.NoLog = say.Of(no.Unwrap())
		case err != nil:
			return jobs.Result{}, err
		}
		m.Log = log
	}
	posts, settled, err := s.hear(ctx, m)
	if err != nil {
		return jobs.Result{}, err
	}
	res := jobs.Result{Done: settled}
	for i, p := range posts {
		p.ID, p.At = n.PostID(), s.Clock()
		if i > 0 {
			p.ID += "/" + strconv.Itoa(i+1)
		}
		ref, err := s.poster.Post(ctx, p)
		if err != nil {
			return res, err
		}
		res.Ref = ref
	}
	return res, nil
}

// Find looks for the post of a notice.
func (s *sender) Find(ctx context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	if n.Kind == "home" || n.Kind == "calendar" || n.Kind == gather || n.Kind == gathered {
		return jobs.Result{}, false, nil // doing it again does no harm
	}
	p, err := s.destination(ctx, n)
	if err != nil {
		return jobs.Result{}, false, err
	}
	p.ID, p.At = n.PostID(), n.Due.Time() // nothing is posted before it is due
	ref, found, err := s.poster.Find(ctx, p)
	res := jobs.Result{Ref: ref}
	if found && (n.Kind == "digest" || n.Kind == "warmth" || n.Kind == "retention") {
		n.Args = maps.Clone(n.Args)
		n.Args["since"] = s.Clock().UTC().Format(time.RFC3339)
		res.Next = s.Recurring(n) // it goes on though whoever posted it did not live to say so
	}
	return res, found && n.Kind != "face", err // a face is edited anyhow
}

// destination returns a post that goes where the notice's does.
func (s *sender) destination(ctx context.Context, n jobs.Notice) (bot.Post, error) {
	switch n.Kind {
	case bot.Heard, bot.Lapsed:
		m := bot.KeptMessage(&n)
		return m.Reply("", ""), nil
	case unheard:
		return s.sorry(&n), nil
	case "failed":
		return s.failure(ctx, n)
	case "office", "announce":
		return s.announced(ctx, n)
	case "foreman":
		return s.toForeman(ctx, n)
	}
	id, door := n.Args["site"], ""
	if n.Door != "" {
		id, door, _ = strings.Cut(n.Door, "/")
	}
	site, err := s.SiteOf(ctx, id)
	if err != nil {
		return bot.Post{}, err
	}
	return bot.Post{Channel: site.Channels[0], Thread: door, Door: n.Door, Site: site.ID}, nil
}

// sorry tells somebody that what they said could not be dealt with: alone,
// where there are rooms, for the place where they said it may be what fails.
func (s *sender) sorry(n *jobs.Notice) bot.Post {
	m := bot.KeptMessage(n)
	p := m.Reply(bot.KindError, s.Language.Say(say.Lines(say.F("I could not deal with this, and have stopped trying: look whether it was done, and say it again"), say.Plain(lex.CutText(m.Text, 200)))))
	if s.rooms != nil {
		if site := s.SiteFor(&m); site != nil {
			p.Site = site.ID
		}
		p.Channel, p.Thread, p.Under = "", "", ""
	}
	return p
}

// announced tells a site's office something, or its channel.
func (s *sender) announced(ctx context.Context, n jobs.Notice) (bot.Post, error) {
	site, err := s.SiteOf(ctx, n.Args["site"])
	if err != nil {
		return bot.Post{}, err
	}
	p, text := bot.Post{Site: site.ID, Kind: bot.KindReminder}, tell.Kept(n.Args, "text")
	if n.Kind == "announce" {
		p.Channel = site.Channels[0]
	} else {
		p.To = cmp.Or(site.First(jobs.Office), site.Lead(s.Clock()))
		text = say.F("@%s %s: %s", p.To, site.Name, text)
	}
	p.Text = s.Language.Say(text)
	return p, nil
}

// toForeman tells the foreman something in a door's thread, or in the site's
// channel.
func (s *sender) toForeman(ctx context.Context, n jobs.Notice) (bot.Post, error) {
	site, err := s.SiteOf(ctx, n.Args["site"])
	if err != nil {
		return bot.Post{}, err
	}
	p := bot.Post{Site: site.ID, Channel: site.Channels[0], Kind: bot.KindReminder, To: site.Lead(s.Clock())}
	if id := n.Args["thread"]; id != "" {
		j, err := s.Desk.Find(ctx, jobs.DoorKey(site.ID, id))
		if err != nil {
			return bot.Post{}, err
		}
		if j != nil {
			p.Thread, p.Door, p.To = j.Door.Spec.ID, j.Key, j.Site.Told(&j.Door.Spec, "foreman", s.Clock())[0]
		}
	}
	p.Text = s.Language.Say(say.F("@%s %s", p.To, tell.Kept(n.Args, "text")))
	return p, nil
}

// Failed returns the next one of a recurring notice that was given up, and
// word of it: to the foreman, or to the office where the foreman can't be
// told, or to whoever was not answered.
func (s *sender) Failed(n jobs.Notice, cause error) []jobs.Notice {
	args := map[string]string{"kind": n.Kind}
	tell.Keep(args, "why", say.Of(cause))
	args["why"] = lex.CutText(args["why"], 60)
	var next []jobs.Notice
	switch n.Kind {
	case "home", unheard, bot.Lapsed:
		return nil
	case bot.Heard:
		n.ID, n.Kind, n.Claims, n.Fails, n.Token = n.ID+":failed", unheard, 0, 0, 0
		return []jobs.Notice{n}
	case "failed":
		if n.Args["to"] == "office" || s.rooms == nil {
			return nil
		}
		args = maps.Clone(n.Args)
		args["to"] = "office"
	case "digest", "retention", "warmth":
		next = s.Recurring(n)

	}
	if n.Args["site"] != "" {
		args["site"] = n.Args["site"]
	}
	return append(next, jobs.Notice{ID: n.ID + ":failed", Kind: "failed", Door: n.Door, Thread: n.Door, Due: n.Due, Args: args})
}

// unheard is the kind of notice that tells somebody that what they said could
// not be dealt with.
const unheard = "unheard"

// failure tells of a notice that was given up.
func (s *sender) failure(ctx context.Context, n jobs.Notice) (bot.Post, error) {
	p := bot.Post{Door: n.Door, Kind: bot.KindReminder}
	var site *jobs.Site
	var what say.Text
	if n.Door == "" {
		var err error
		if site, err = s.SiteOf(ctx, n.Args["site"]); err != nil {
			return p, err
		}
		p.To = site.Lead(s.Clock())
		what = say.F("a notice (%s) of %s", say.Name(n.Args["kind"]), site.Name)
	} else {
		j, err := s.Job(ctx, n.Door)
		if err != nil {
			return p, err
		}
		site, p.To = j.Site, j.Site.Told(&j.Door.Spec, "foreman", s.Clock())[0]
		what = say.F("a notice (%s) for door %s", say.Name(n.Args["kind"]), j.Door.Spec.ID)
		p.Thread = j.Door.Spec.ID
	}
	if n.Args["to"] == "office" {
		p.To = cmp.Or(site.First(jobs.Office), p.To)
	}
	p.Site = site.ID
	if s.rooms != nil {
		p.Thread = "" // it may be what fails: this is for one person alone
	} else {
		p.Channel = site.Channels[0]
	}
	p.Text = s.Language.Say(say.F("@%s %s could not be posted (%s); retry sends it again", p.To, what, tell.Kept(n.Args, "why")))
	return p, nil
}

// draw puts a notice into words, and names what follows it.
func (s *sender) draw(ctx context.Context, n jobs.Notice) (bot.Post, []jobs.Notice, error) {
	switch n.Kind {
	case "face":
		p, err := board.Face(ctx, s.Desk, n.Door)
		return p, nil, err
	case "digest":
		return board.Digest(ctx, s.Desk, n)
	case "warmth":
		return board.Warmth(ctx, s.Desk, n)
	case "retention":
		return s.retain(ctx, n)
	case "calendar":
		next, err := s.Calendar(ctx, n)
		return bot.Post{}, next, err
	case "office", "announce":
		p, err := s.announced(ctx, n)
		return p, nil, err
	case "foreman":
		p, err := s.toForeman(ctx, n)
		return p, s.UnsaidTold(n, &p), err
	case desk.Told:
		return bot.Post{}, nil, nil
	case "failed":
		p, err := s.failure(ctx, n)
		return p, nil, err
	case unheard:
		return s.sorry(&n), nil, nil
	case bot.Lapsed:
		m := bot.KeptMessage(&n)
		return m.Reply(bot.KindAnswer, s.Language.Say(say.F("not done, as it was not answered: %s", m.Text))), nil, nil
	case gathered:
		return bot.Post{}, again(&n, s.Clock()), nil
	case together:
		p, err := s.round(ctx, n)
		return p, nil, err
	}
	j, err := s.Job(ctx, n.Door)
	if err != nil {
		return bot.Post{}, nil, err
	}
	p := bot.Post{Thread: j.Door.Spec.ID, Channel: j.Site.Channels[0], Door: j.Key}
	if n.Kind != "entry" {
		next := s.setAside(j, n)
		if next == nil {
			s.remind(&p, j, n)
		}
		return p, next, nil
	}
	p.Kind, p.To = bot.KindDoor, n.Args["by"]
	text, err := s.entry(ctx, j, n.Args)
	if p.Text = s.Language.Say(text); n.Args["followed"] == "" {
		p.Buttons = tell.NextButtons(s.Language, j, p.To, s.Clock())
	}
	return p, nil, err
}

// remind puts a reminder into a post, with whom it is for; nothing if it has
// nothing left to say.
func (s *sender) remind(p *bot.Post, j *jobs.Job, n jobs.Notice) {
	to := told(j, n, s.Clock())
	p.Kind, p.To = bot.KindReminder, strings.Join(to, " ")
	text := tell.Remind(j, n, s.Clock())
	if by := n.Args[jobs.AboveBy]; by != "" && s.Clock().Sub(n.Due.Time()) < time.Minute {
		text = say.F("corrected by @%s, as it says above", by)
		if others := slices.DeleteFunc(slices.Clone(to), func(who string) bool { return who == by }); len(others) > 0 {
			to = others
			p.To = strings.Join(to, " ")
		}
	}
	if !text.IsZero() && !tell.Outdone(j, n, s.Clock()) {
		p.Text, p.Buttons = s.Language.Say(say.F("@%s %s", say.Names(" @", to...), text)), tell.ReminderButtons(s.Language, j, n, s.Clock())
	}
}

// told returns who is spoken to by a reminder's notice: of those that it may be
// for, the ones it was left to, if there are any.
func told(j *jobs.Job, n jobs.Notice, now time.Time) []string {
	to := j.Site.Told(&j.Door.Spec, n.Args["to"], now)
	if also := j.Site.Acting(n.Args["also"], now); also != "" && !slices.Contains(to, also) {
		to = append(slices.Clone(to), also)
	}
	if only := strings.Fields(n.Args["only"]); len(only) > 0 {
		to = slices.DeleteFunc(to, func(who string) bool { return !slices.Contains(only, who) })
	}
	return to
}

// entry tells what one change of the log did, what was left undone, and what
// comes next.
func (s *sender) entry(ctx context.Context, j *jobs.Job, args map[string]string) (say.Text, error) {
	events, before, err := s.change(ctx, j, args["v"])
	if err != nil {
		return say.Text{}, err
	}
	var failed error
	lines := tell.Change(j, events, before, func(e *jobs.Event) []say.Text {
		switch e.Kind {
		case jobs.Bonded, jobs.WarmthRead, jobs.WarmthHeld, jobs.Knocked:
			return []say.Text{tell.CureText(j, j.Door.Updated)}
		case jobs.Undone:
			return tell.StandsNow(j, e, before)
		case jobs.Opened:
			return tell.Card(j)
		case jobs.VisitSet, jobs.VisitMoved:
			clash, err := board.Clash(ctx, s.Desk, j, e.Item)
			failed = cmp.Or(failed, err)
			return []say.Text{tell.Closed(j, e.When), tell.OnLeave(j, e), clash, tell.Early(j, e.When), tell.LateLeaf(j)}
		case jobs.SnagOpened, jobs.SnagMoved:
			return []say.Text{tell.OnLeave(j, e)}
		case jobs.LeafDated:
			return []say.Text{tell.LateLeaf(j)}
		}
		return nil
	})
	if failed != nil {
		return say.Text{}, failed
	}
	if args["left"] != "" {
		lines = append(lines, tell.Kept(args, "left"))
	}
	if args["renumbered"] != "" {
		lines = append(lines, say.F("the list has other numbers from %s on: list shows them", args["renumbered"]))
	}
	if args["followed"] != "" {
		return say.Lines(lines...), nil
	}
	lines = append(lines, tell.NextLines(j)...)
	return say.Lines(append(lines, tell.Then(j, args["by"], s.Clock())...)...), nil
}

// change reads the events of one change of the log, and those of the change
// before it, which it may undo.
func (s *sender) change(ctx context.Context, j *jobs.Job, version string) (events, before []jobs.Event, err error) {
	v, err := strconv.ParseInt(version, 10, 64)
	if err != nil {
		return nil, nil, &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	first := max(0, v-2)
	entries, err := s.Store().Log(ctx, j.Key, first, int(v-first))
	if err != nil {
		return nil, nil, err
	}
	if n := len(entries); n == 0 || entries[n-1].Version != v {
		return nil, nil, &jobs.SendError{Fault: jobs.Final, Err: fmt.Errorf("the log of %s has no entry %d", j.Key, v)}
	}
	for _, e := range entries {
		before = events
		if events, err = tell.ReadEvents(e.Data); err != nil {
			return nil, nil, err
		}
	}
	return events, before, nil
}
