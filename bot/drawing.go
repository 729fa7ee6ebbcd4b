package bot

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

// sender is a desk that sends its notices.
type sender struct{ *Desk }

// Send draws a notice from the state of now and posts it.
func (s sender) Send(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	d := s.Desk
	d.sends.Add(1)
	switch n.Kind {
	case heard:
		return d.answer(ctx, n)
	case "home":
		return jobs.Result{}, d.rooms.Home(ctx, n.Args["site"], n.Args["who"])
	}
	p, next, err := d.draw(ctx, n)
	if errors.Is(err, jobs.ErrNotFound) {
		return jobs.Result{}, &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	if err != nil {
		return jobs.Result{}, err
	}
	if p.Text == "" {
		return jobs.Result{Next: next}, nil // there is nothing left to say
	}
	p.ID, p.At = n.PostID(), d.clock()
	post := d.post.Post
	if n.Kind == "face" {
		post = d.rooms.Face
	}
	ref, err := post(ctx, p)
	return jobs.Result{Ref: ref, Next: next}, err
}

// heard is the kind of notice that a message that came in is kept as.
const heard = "in"

// Hear keeps a message until it is dealt with, unless the same was kept
// before; seen tells the same ones. Whoever said it may then be told that it
// was received.
func (d *Desk) Hear(ctx context.Context, seen string, m Message) (bool, error) {
	n := m.kept(heard)
	if site := d.siteFor(&m); m.Thread != "" && site != nil {
		n.Thread = doorKey(site.ID, m.Thread) // its answer has its turn among what else is said in the door's thread
	}
	return d.store.Receive(ctx, seen, n, n.Due)
}

// answer deals with a message that was kept.
func (d *Desk) answer(ctx context.Context, n jobs.Notice) (jobs.Result, error) {
	m := keptMessage(&n)
	posts, err := d.hear(ctx, m)
	if err != nil {
		return jobs.Result{}, err
	}
	res := jobs.Result{Done: m.course.settled}
	for i, p := range posts {
		p.ID, p.At = n.PostID(), d.clock()
		if i > 0 {
			p.ID += "/" + strconv.Itoa(i+1)
		}
		ref, err := d.post.Post(ctx, p)
		if err != nil {
			return res, err
		}
		res.Ref = ref
	}
	return res, nil
}

// Find looks for the post of a notice.
func (s sender) Find(ctx context.Context, n jobs.Notice) (jobs.Result, bool, error) {
	d := s.Desk
	if n.Kind == "home" || n.Kind == "calendar" {
		return jobs.Result{}, false, nil // doing it again does no harm
	}
	p, err := d.place(ctx, n)
	if err != nil {
		return jobs.Result{}, false, err
	}
	p.ID, p.At = n.PostID(), n.Due.Time() // nothing is posted before it is due
	ref, found, err := d.post.Find(ctx, p)
	return jobs.Result{Ref: ref}, found && n.Kind != "face", err // a face is edited anyhow
}

// place returns a post that goes where the notice's does.
func (d *Desk) place(ctx context.Context, n jobs.Notice) (Post, error) {
	switch n.Kind {
	case heard:
		m := keptMessage(&n)
		return m.reply("", ""), nil
	case unheard:
		return d.sorry(&n), nil
	case "failed":
		return d.failure(ctx, n)
	case "office", "announce":
		return d.said(ctx, n)
	}
	id, door := n.Args["site"], ""
	if n.Door != "" {
		id, door, _ = strings.Cut(n.Door, "/")
	}
	site, err := d.siteOf(ctx, id)
	if err != nil {
		return Post{}, err
	}
	return Post{Channel: site.Channels[0], Thread: door, Door: n.Door, Site: site.ID}, nil
}

// sorry tells somebody that what they said could not be dealt with: alone,
// where there are rooms, for the place where they said it may be what fails.
func (d *Desk) sorry(n *jobs.Notice) Post {
	m := keptMessage(n)
	p := m.reply(KindError, "I could not deal with this, and have stopped trying: look whether it was done, and say it again\n"+cutText(m.Text, 200))
	if d.rooms != nil {
		if site := d.siteFor(&m); site != nil {
			p.Site = site.ID
		}
		p.Channel, p.Thread, p.Under = "", "", ""
	}
	return p
}

// said tells a site's office something, or its channel.
func (d *Desk) said(ctx context.Context, n jobs.Notice) (Post, error) {
	site, err := d.siteOf(ctx, n.Args["site"])
	if err != nil {
		return Post{}, err
	}
	p := Post{Site: site.ID, Kind: KindReminder, Text: n.Args["text"]}
	if n.Kind == "announce" {
		p.Channel = site.Channels[0]
		return p, nil
	}
	p.To = cmp.Or(site.First(jobs.Office), site.First(jobs.Foreman))
	p.Text = "@" + p.To + " " + site.Name + ": " + p.Text
	return p, nil
}

// Failed returns the next one of a recurring notice that was given up, and
// word of it: to the foreman, or to the office where the foreman can't be
// told, or to whoever was not answered.
func (s sender) Failed(n jobs.Notice, reason error) []jobs.Notice {
	d := s.Desk
	args := map[string]string{"kind": n.Kind, "why": cutText(reason.Error(), 60)}
	var next []jobs.Notice
	switch n.Kind {
	case "home", unheard:
		return nil
	case heard:
		n.ID, n.Kind, n.Claims, n.Fails, n.Token = n.ID+":failed", unheard, 0, 0, 0
		return []jobs.Notice{n}
	case "failed":
		if n.Args["to"] == "office" || d.rooms == nil {
			return nil
		}
		args = map[string]string{"kind": n.Args["kind"], "why": n.Args["why"], "to": "office"}
	case "digest", "retention":
		next = d.recurring(n)
	}
	if n.Args["site"] != "" {
		args["site"] = n.Args["site"]
	}
	return append(next, jobs.Notice{ID: n.ID + ":failed", Kind: "failed", Door: n.Door, Thread: n.Door, Due: n.Due, Args: args})
}

// unheard is the kind of notice that tells somebody that what they said could
// not be dealt with.
const unheard = "unheard"

// recurring returns the next notice of a rule.
func (d *Desk) recurring(n jobs.Notice) []jobs.Notice {
	now, site := d.clock(), d.siteByID(n.Args["site"])
	if site == nil {
		return nil
	}
	if n.Kind == "retention" {
		return []jobs.Notice{retentionNotice(site, now)}
	}
	since, err := time.Parse(time.RFC3339, n.Args["since"])
	if err != nil {
		since = now
	}
	if at, ok := site.Digests.Next(now, site.Zone); ok {
		return []jobs.Notice{digestNotice(site, at, since)}
	}
	return nil
}

// failure tells of a notice that was given up.
func (d *Desk) failure(ctx context.Context, n jobs.Notice) (Post, error) {
	p := Post{Door: n.Door, Kind: KindReminder}
	var site *jobs.Site
	what := "a notice (" + n.Args["kind"] + ")"
	if n.Door == "" {
		var err error
		if site, err = d.siteOf(ctx, n.Args["site"]); err != nil {
			return p, err
		}
		p.To = site.First(jobs.Foreman)
		what += " of " + site.Name
	} else {
		j, err := d.job(ctx, n.Door)
		if err != nil {
			return p, err
		}
		site, p.To = j.site, j.door.Spec.Foreman
		what += " for door " + j.door.Spec.ID
		p.Thread = j.door.Spec.ID
	}
	if n.Args["to"] == "office" {
		p.To = cmp.Or(site.First(jobs.Office), p.To)
	}
	p.Site = site.ID
	if d.rooms != nil {
		p.Thread = "" // it may be what fails: this is for one person alone
	} else {
		p.Channel = site.Channels[0]
	}
	p.Text = fmt.Sprintf("@%s %s could not be posted (%s); retry sends it again", p.To, what, n.Args["why"])
	return p, nil
}

// draw puts a notice into words, and names what follows it.
func (d *Desk) draw(ctx context.Context, n jobs.Notice) (Post, []jobs.Notice, error) {
	switch n.Kind {
	case "face":
		p, err := d.Face(ctx, n.Door)
		return p, nil, err
	case "digest":
		return d.digest(ctx, n)
	case "retention":
		return d.retain(ctx, n)
	case "calendar":
		next, err := d.calendar(ctx, n)
		return Post{}, next, err
	case "office", "announce":
		p, err := d.said(ctx, n)
		return p, nil, err
	case "failed":
		p, err := d.failure(ctx, n)
		return p, nil, err
	case unheard:
		return d.sorry(&n), nil, nil
	}
	j, err := d.job(ctx, n.Door)
	if err != nil {
		return Post{}, nil, err
	}
	p := Post{Thread: j.door.Spec.ID, Channel: j.site.Channels[0], Door: j.key, Kind: KindReminder}
	switch n.Kind {
	case "entry":
		p.Kind, p.To = KindDoor, n.Args["by"]
		p.Text, err = d.entry(ctx, j, n.Args["v"], n.Args["renumbered"])
		p.Buttons = j.nextButtons()
	default:
		to := j.door.Spec.Told(n.Args["to"])
		if also := n.Args["also"]; also != "" && !slices.Contains(to, also) {
			to = append(slices.Clone(to), also)
		}
		p.To = strings.Join(to, " ")
		if text := j.remind(n, d.clock()); text != "" && !j.outdone(n, d.clock()) {
			p.Text, p.Buttons = "@"+strings.Join(to, " @")+" "+text, j.reminderButtons(n, d.clock())
		}
	}
	return p, nil, err
}

// entry tells what one change of the log did, and what comes next.
func (d *Desk) entry(ctx context.Context, j *job, version, renumbered string) (string, error) {
	v, err := strconv.ParseInt(version, 10, 64)
	if err != nil {
		return "", &jobs.SendError{Fault: jobs.Final, Err: err}
	}
	first := max(0, v-2) // and the change before it, which it may undo
	entries, err := d.store.Log(ctx, j.key, first, int(v-first))
	if err != nil {
		return "", err
	}
	if n := len(entries); n == 0 || entries[n-1].Version != v {
		return "", &jobs.SendError{Fault: jobs.Final, Err: fmt.Errorf("the log of %s has no entry %d", j.key, v)}
	}
	var events, before []jobs.Event
	for _, e := range entries {
		before = events
		if events, err = readEvents(e.Data); err != nil {
			return "", err
		}
	}
	var lines []string
	for i := range events {
		if line := j.tell(&events[i], before); line != "" {
			lines = append(lines, line)
		}
		switch events[i].Kind {
		case jobs.Bonded, jobs.WarmthRead, jobs.Knocked:
			lines = append(lines, j.cureText(j.door.Updated))
		case jobs.Opened:
			lines = append(lines, j.card()...)
		case jobs.VisitSet, jobs.VisitMoved:
			lines = append(lines, j.early(events[i].When)...)
		}
	}
	if renumbered != "" {
		lines = append(lines, "the list has other numbers from "+renumbered+" on: list shows them")
	}
	return strings.Join(append(lines, j.nextLines()...), "\n"), nil
}

// early notes that a visit comes before the door's adhesive is through.
func (j *job) early(visit time.Time) []string {
	end := j.door.Cure(j.door.Updated).End
	switch {
	case !j.curing() || !end.IsZero() && !visit.Before(end):
		return nil
	case end.IsZero():
		return []string{"note: the visit may be before the cure's end: " + j.cureText(j.door.Updated)}
	}
	return []string{"note: the visit is before the cure's end: " + j.cureText(j.door.Updated)}
}

// remind puts a reminder into words at now; "" if it has nothing left to say.
func (j *job) remind(n jobs.Notice, now time.Time) string {
	at := func(name string) string {
		t, err := time.Parse(time.RFC3339, n.Args[name])
		if err != nil {
			return "some time"
		}
		return said(t, j.site)
	}
	switch n.Kind {
	case jobs.TellNow:
		return n.Args["what"] + ": " + n.Args["text"]
	case jobs.CureEnds:
		text := "the sheet's hours have passed: check the control sample. Until then the leaf stays still"
		if visit, ok := j.proposed(n.Kind, n.Args["visit"], now); ok && len(j.door.Planned()) == 0 {
			text += ". Return visit: " + said(visit, j.site) + "? answer yes, or visit and a time"
		}
		return text
	case jobs.AskWarmth:
		if c := j.door.Cure(j.door.Updated); !c.Assumed {
			return "how warm is the substrate? it was colder than the adhesive's lowest, and a day has passed: the cure's end can be told when it is read again; answer temperature and the °C"
		}
		return "how warm is the substrate? until it is read the cure is reckoned with the sheet's lowest temperature; answer temperature and the °C"
	case jobs.WorkingTime:
		if n.Args["minutes"] == "0" {
			return "the working time of the adhesive at the " + n.Args["where"] + " is over: what is not in place now is cleaned off and mixed anew"
		}
		return n.Args["minutes"] + " minutes of working time left at the " + n.Args["where"]
	case jobs.LeafStands:
		return "the leaf is stood up and the head pivot is not engaged: nobody lets go; tick engaged when it is"
	case jobs.VisitAhead:
		if v := j.door.Visit(n.Args["visit"]); v != nil && !v.At.After(now) {
			return ""
		}
		return "visit " + n.Args["visit"] + " is " + at("at") + because(n.Args["why"])
	case jobs.VisitDue:
		is := " is now, "
		if v := j.door.Visit(n.Args["visit"]); v != nil && now.Sub(v.At) > late {
			is = " was due "
		}
		return "visit " + n.Args["visit"] + is + at("at") + because(n.Args["why"]) + "; answer done, snooze 2h, move visit to a time, or cancel visit because of something"
	case jobs.CareDue:
		text := "time for the return after handover (" + n.Args["for"] + ")"
		if visit, ok := j.proposed(n.Kind, n.Args["visit"], now); ok {
			text += ": " + said(visit, j.site) + "?"
		}
		return text + " answer yes, or visit and a time"
	}
	return ""
}

// outdone reports whether a later reminder of the same subject, to the same
// people, is due by now: of what has piled up the latest is said.
func (j *job) outdone(n jobs.Notice, now time.Time) bool {
	pending, id := jobs.Pending(&j.door, j.sheet, j.site), strings.TrimPrefix(n.ID, n.Door+":")
	this, ok := pending[id]
	if !ok {
		return false
	}
	for _, r := range pending {
		later := subject(r.ID) == subject(id) && r.Due.After(this.Due) && !r.Due.After(now)
		if later && within(j.door.Spec.Told(this.Args["to"]), j.door.Spec.Told(r.Args["to"])) {
			return true
		}
	}
	return false
}

// within reports whether all of some people are among others.
func within(some, others []string) bool {
	return !slices.ContainsFunc(some, func(who string) bool { return !slices.Contains(others, who) })
}

// late is how long after its time a visit is no longer now.
const late = 30 * time.Minute

func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

func cutText(s string, n int) string {
	r := []rune(s)
	if len(r) > n {
		return string(r[:n])
	}
	return s
}
