package bot

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"heelpost/jobs"
)

// Desk is where door jobs are worked on: it decides what people order by the
// rules of jobs, commits it to the store, and draws what is to be said from
// the state when it is said.
type Desk struct {
	store  jobs.Store
	post   Poster
	rooms  Rooms // nil where posts just follow one another
	runner *jobs.Runner
	hear   func(context.Context, Message) ([]Post, error) // the bot's, for messages that were kept
	// Denied hears of what somebody tried and may not do; it may be nil.
	Denied func(*jobs.PermissionError)
	sends  atomic.Int64 // how many notices were drawn

	mu     sync.Mutex
	now    time.Time              // of the last step
	sites  []*jobs.Site           // with the members of their groups
	member map[string][]string    // of groups of the chat
	agreed time.Time              // when the sites were last compared with the store's
	sheets map[string]*jobs.Sheet // the current ones, by name
	kept   map[string]*jobs.Sheet // by hash
}

// Poster brings a post to where people see it.
type Poster interface {
	// Post posts, and returns where the post can be found.
	Post(ctx context.Context, p Post) (ref string, err error)
	// Find looks for the post where it would be posted, by its id.
	Find(ctx context.Context, p Post) (ref string, found bool, err error)
}

// Rooms is a [Poster] that has more than posts one after the other: a face
// for each door, under which its thread goes on, and a home for each person.
type Rooms interface {
	// Face posts a door's face, or edits the one that stands.
	Face(ctx context.Context, p Post) (ref string, err error)
	// Home draws the home of a person of a site anew, if they have one.
	Home(ctx context.Context, site, person string) error
}

// NewDesk returns a desk without sites and sheets. Its name is unique to the
// process.
func NewDesk(name string, store jobs.Store, post Poster) *Desk {
	d := &Desk{store: store, post: post, sheets: map[string]*jobs.Sheet{}, kept: map[string]*jobs.Sheet{}}
	d.rooms, _ = post.(Rooms)
	d.runner = jobs.NewRunner(name, store, sender{d})
	d.runner.Before = d.begin
	return d
}

// Runner returns what sends the desk's notices, for its settings.
func (d *Desk) Runner() *jobs.Runner { return d.runner }

// Step begins to send what is due at now and returns when to step again.
func (d *Desk) Step(ctx context.Context, now time.Time) (next time.Time, err error) {
	return d.runner.Step(ctx, now)
}

// begin takes note of the time of a step, and once a second of the site files
// that other processes have taken into use.
func (d *Desk) begin(ctx context.Context, now time.Time) error {
	d.mu.Lock()
	d.now = now
	due := now.Sub(d.agreed) >= time.Second
	d.mu.Unlock()
	if !due {
		return nil
	}
	return d.agree(ctx)
}

// Wait returns when what the last steps began is sent.
func (d *Desk) Wait() { d.runner.Wait() }

// Settle sends all that is due at now, what follows from it included, and
// returns when the next notice is due: for a clock that is moved by hand.
func (d *Desk) Settle(ctx context.Context, now time.Time) (next time.Time, err error) {
	d.runner.Idle = far
	for sent := int64(-1); sent != d.sends.Load(); {
		sent = d.sends.Load()
		if next, err = d.Step(ctx, now); err != nil {
			return next, err
		}
		d.Wait()
	}
	return next, nil
}

// far is beyond every due time that a clock moved by hand comes to in one
// go.
const far = 20 * 366 * 24 * time.Hour

// clock returns the time of the last step.
func (d *Desk) clock() time.Time {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.now
}

// UseSheet takes a hardware sheet into use, in place of one of the same name.
// Doors keep the one they were opened with. The file is kept first, so that
// no door can refer to a sheet that is lost.
func (d *Desk) UseSheet(ctx context.Context, file []byte) error {
	sheet, err := jobs.ParseSheet(file)
	if err != nil {
		return err
	}
	if err := d.store.Keep(ctx, sheet.Hash, file); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.sheets[sheet.Name] = sheet
	d.kept[sheet.Hash] = sheet
	return nil
}

// site returns the site of a channel, nil if it has none.
func (d *Desk) site(channel string) *jobs.Site {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, s := range d.sites {
		for _, c := range s.Channels {
			if c == channel {
				return s
			}
		}
	}
	return nil
}

// siteFor returns the site that a message is about: its channel's, or, of a
// word to the bot alone, the one where the person works.
func (d *Desk) siteFor(m *Message) *jobs.Site {
	if m.Channel != "" {
		return d.site(m.Channel)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	var at *jobs.Site
	for _, s := range d.sites {
		if _, ok := s.Person(m.Person); ok {
			if at != nil {
				return nil // of several none is meant more than the others
			}
			at = s
		}
	}
	return at
}

// noSite says why there is no site that a message is about.
func (d *Desk) noSite(m *Message) error {
	switch {
	case m.Channel != "":
		return refuse(errors.New("this channel belongs to no site: the site files say which channels do"))
	case len(d.Places(m.Person)) > 1:
		return refuse(errors.New("you are at several sites: say it in the channel of one"))
	}
	return refuse(errors.New("no site file names you: the office can add you"))
}

// Zone returns the zone of a channel's site, UTC if it has none.
func (d *Desk) Zone(channel string) *time.Location {
	if s := d.site(channel); s != nil {
		return s.Zone
	}
	return time.UTC
}

// sheet returns the sheet of a hash.
func (d *Desk) sheet(ctx context.Context, hash string) (*jobs.Sheet, error) {
	d.mu.Lock()
	sheet := d.kept[hash]
	d.mu.Unlock()
	if sheet != nil {
		return sheet, nil
	}
	file, err := d.store.Kept(ctx, hash)
	if err != nil {
		return nil, fmt.Errorf("hardware sheet %.8s: %w", hash, err)
	}
	if sheet, err = jobs.ParseSheet(file); err != nil {
		return nil, fmt.Errorf("hardware sheet %.8s: %w", hash, err)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.kept[hash] = sheet
	return sheet, nil
}

// job is a door as it stands, with what it is judged against.
type job struct {
	key   string // site and id
	rec   jobs.Record
	door  jobs.Door
	sheet *jobs.Sheet
	at    time.Time   // of the message that is about it
	was   *jobs.Sheet // before a correction that names another; else nil
	site  *jobs.Site
}

// doorKey returns the key of a door. Ids that differ by case alone are one.
func doorKey(site, id string) string { return site + "/" + strings.ToUpper(id) }

// job reads a door; jobs.ErrNotFound if there is none.
func (d *Desk) job(ctx context.Context, key string) (*job, error) {
	rec, err := d.store.Door(ctx, key)
	if err != nil {
		return nil, err
	}
	return d.open(ctx, rec)
}

// open reads a record.
func (d *Desk) open(ctx context.Context, rec jobs.Record) (*job, error) {
	j := &job{key: rec.Key, rec: rec}
	if err := json.Unmarshal(rec.State, &j.door); err != nil {
		return nil, fmt.Errorf("door %s: %w", rec.Key, err)
	}
	siteID, _, _ := strings.Cut(rec.Key, "/")
	var err error
	if j.site, err = d.siteOf(ctx, siteID); err != nil {
		return nil, fmt.Errorf("door %s: %w", rec.Key, err)
	}
	j.sheet, err = d.sheet(ctx, j.door.Spec.SheetHash)
	return j, err
}

// tries is how often a change is decided anew when somebody else was faster.
const tries = 5

// change decides a command against a door and commits what comes of it; new
// doors need their spec's sheet. What is said of it follows as a notice.
func (d *Desk) change(ctx context.Context, m Message, site *jobs.Site, key string, cmd jobs.Command) error {
	for try := 1; ; try++ {
		j, err := d.job(ctx, key)
		if errors.Is(err, jobs.ErrNotFound) {
			j, err = d.blank(ctx, key, site.ID, cmd)
		}
		if err != nil {
			return err
		}
		if j.site.Archived(m.At) {
			return refuse(archived(j.site))
		}
		if done, err := d.done(ctx, j, m.ID); done || err != nil {
			return err
		}
		if c, ok := cmd.(*jobs.Correction); ok && c.Spec.SheetHash == "" {
			j.was = j.sheet
			if j.sheet = d.current(c.Spec.Sheet); j.sheet == nil {
				return fmt.Errorf("there is no hardware sheet %s", c.Spec.Sheet)
			}
		}
		dec, err := jobs.Decide(j.door, cmd, jobs.Context{Sheet: j.sheet, SheetBefore: j.was, Site: j.site, Now: m.At, Who: m.Person, Op: m.ID})
		if err != nil {
			return refuse(err)
		}
		if len(dec.Events) == 0 {
			return nil
		}
		err = d.commit(ctx, m, j, dec)
		if !errors.Is(err, jobs.ErrConflict) || try == tries {
			return err
		}
		if err := d.agree(ctx); err != nil {
			return err
		}
	}
}

// archived says that nothing is changed at a closed site.
func archived(site *jobs.Site) error {
	return fmt.Errorf("%s was closed on %v: its doors are archived and stay as they are", site.ID, site.ClosedFrom)
}

// recent is how many entries of a log are looked through for a message that
// comes again. Adapters that can be told twice remember longer.
const recent = 20

// done reports whether a message has changed the door already.
func (d *Desk) done(ctx context.Context, j *job, message string) (bool, error) {
	if j.rec.Version == 0 {
		return false, nil
	}
	entries, err := d.store.Log(ctx, j.key, max(0, j.rec.Version-recent), recent)
	return slices.ContainsFunc(entries, func(e jobs.Entry) bool { return e.Op == message }), err
}

// refusal is an error that the asker is told as it is.
type refusal struct{ error }

func (r *refusal) Unwrap() error { return r.error }

// blank returns a door that is not open yet.
func (d *Desk) blank(ctx context.Context, key, site string, cmd jobs.Command) (j *job, err error) {
	j = &job{key: key}
	if j.site, err = d.siteOf(ctx, site); err != nil {
		return nil, err
	}
	open, ok := cmd.(*jobs.Open)
	if !ok {
		return nil, refuse(fmt.Errorf("there is no door %s here; door open %s begins its job", doorID(key), doorID(key)))
	}
	if j.sheet = d.current(open.Spec.Sheet); j.sheet == nil {
		return nil, refuse(&jobs.FieldError{Field: "sheet", Err: fmt.Errorf("there is no hardware sheet %q", open.Spec.Sheet)})
	}
	return j, nil
}

func (d *Desk) current(sheet string) *jobs.Sheet {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.sheets[sheet]
}

func doorID(key string) string { return key[strings.IndexByte(key, '/')+1:] }

// commit puts a decision into the store: door, log, indices, reminders and
// what is said of it, all or nothing.
func (d *Desk) commit(ctx context.Context, m Message, j *job, dec jobs.Decision) error {
	state, err := json.Marshal(dec.Door)
	if err != nil {
		return err
	}
	entry, err := json.Marshal(dec.Events)
	if err != nil {
		return err
	}
	now := jobs.NowAt(m.At)
	change := jobs.Change{Op: m.ID, At: now, Done: m.Held, Questions: m.closed(),
		Door: &jobs.DoorChange{Key: j.key, Version: j.rec.Version, State: state, Entry: entry, Index: indices(j.site, &dec.Door),
			While: jobs.Ref{Name: siteRef(j.site.ID), Value: j.site.Hash}}}
	args := map[string]string{"v": strconv.FormatInt(j.rec.Version+1, 10), "by": m.Person}
	if slices.ContainsFunc(dec.Events, func(e jobs.Event) bool { return e.Kind == jobs.Corrected }) {
		args["renumbered"] = j.renumbered(&dec.Door)
	}
	change.Put = append(change.Put, jobs.Notice{ID: j.key + ":entry:" + m.ID, Kind: "entry", Door: j.key, Thread: j.key, Due: now, Args: args})
	if d.rooms != nil {
		d.show(&change, j, &dec.Door, now)
	}
	for _, r := range dec.Reminders {
		if r.Cancel {
			change.Cancel = append(change.Cancel, j.key+":"+r.ID)
			continue
		}
		change.Put = append(change.Put, j.notice(&r, m.At))
	}
	_, err = d.store.Commit(ctx, change)
	if err == nil && m.course != nil {
		m.course.settled = true
	}
	return err
}

// renumbered returns the first number of the checklist that stands for another
// item in the door as it will be, "" if none does.
func (j *job) renumbered(door *jobs.Door) string {
	was := jobs.Checklist(&j.door, cmp.Or(j.was, j.sheet))
	for i, it := range jobs.Checklist(door, j.sheet) {
		if i < len(was) && it.ID != was[i].ID {
			return strconv.Itoa(i + 1)
		}
	}
	return ""
}

// redraw is how long changes are gathered before what shows them is drawn
// anew.
const redraw = 3000

// show draws anew what shows a door: its face, and the homes of its people.
// A new door's face goes first in its thread; later the changes of a few
// seconds are one edit.
func (d *Desk) show(c *jobs.Change, j *job, door *jobs.Door, now jobs.Millis) {
	face := jobs.Notice{ID: j.key + ":door", Kind: "face", Door: j.key, Thread: j.key, Due: now}
	if j.rec.Version == 0 {
		c.Put = append(c.Put, face)
	} else {
		face.Due, face.Thread = now+redraw, "" // an edit holds up nobody
		c.Keep = append(c.Keep, face)
	}
	for _, who := range append([]string{door.Spec.Foreman}, door.Spec.Crew...) {
		c.Keep = append(c.Keep, jobs.Notice{ID: "home:" + j.site.ID + ":" + who, Kind: "home", Due: now + redraw, Args: map[string]string{"site": j.site.ID, "who": who}})
	}
}

// Redraw draws a door's face anew.
func (d *Desk) Redraw(ctx context.Context, door string, now time.Time) error {
	at := jobs.NowAt(now)
	face := jobs.Notice{ID: door + ":door", Kind: "face", Door: door, Thread: door, Due: at}
	_, err := d.store.Commit(ctx, jobs.Change{Op: fmt.Sprintf("redraw:%s:%d", door, at), At: at, Keep: []jobs.Notice{face}})
	return err
}

// Recent returns the keys of the doors of a site that changed last, at most
// so many, and how many doors there are.
func (d *Desk) Recent(ctx context.Context, site string, most int) (keys []string, total int, err error) {
	list, total, err := d.store.Doors(ctx, site+"/changed", 0, most)
	for _, rec := range list {
		keys = append(keys, rec.Key)
	}
	return keys, total, err
}

// Announce says something in the first channel of a site.
func (d *Desk) Announce(ctx context.Context, site, text string, now time.Time) error {
	return d.word(ctx, "announce", site, text, now)
}

// TellOffice tells the office of a channel's site something, or the foreman
// where there is no office.
func (d *Desk) TellOffice(ctx context.Context, channel, text string, now time.Time) error {
	site := d.site(channel)
	if site == nil {
		return nil
	}
	return d.word(ctx, "office", site.ID, text, now)
}

// word puts a notice with the words in it: it is about what happened, not
// about a state.
func (d *Desk) word(ctx context.Context, kind, site, text string, now time.Time) error {
	at := jobs.NowAt(now)
	n := jobs.Notice{ID: fmt.Sprintf("%s:%s:%s:%x", kind, site, strconv.FormatInt(int64(at), 36), crc32.ChecksumIEEE([]byte(text))), Kind: kind, Due: at,
		Args: map[string]string{"site": site, "text": text}}
	_, err := d.store.Commit(ctx, jobs.Change{Op: n.ID, At: at, Put: []jobs.Notice{n}})
	return err
}

// closed returns the open question that a message's change closes.
func (m *Message) closed() map[string][]byte {
	if m.course == nil || !m.course.waited {
		return nil
	}
	return map[string][]byte{m.course.place.key(): nil}
}

// indices lists the sets that a door stands in.
func indices(site *jobs.Site, d *jobs.Door) []jobs.Index {
	s := &d.Spec
	name := func(parts ...string) string { return site.ID + "/" + strings.Join(parts, "/") }
	stage := jobs.Index{Name: name("stage", string(d.Stage))}
	if d.Stage == jobs.Done && unsettled(d) {
		stage.Score = -1
	}
	all := []jobs.Index{
		stage, {Name: name("all")}, {Name: name("group", group(s.ID))}, {Name: name("floor", s.Floor)},
		{Name: name("changed"), Score: -float64(d.Updated.UnixMilli())},
	}
	crews, people := map[string]bool{}, append([]string{s.Foreman}, s.Crew...)
	for _, id := range people {
		all = append(all, jobs.Index{Name: name("person", id)})
		if p, ok := site.Person(id); ok && p.Crew != "" && !crews[p.Crew] {
			crews[p.Crew] = true
			all = append(all, jobs.Index{Name: name("crew", p.Crew)})
		}
	}
	if n := len(d.OpenSnags()); n > 0 {
		all = append(all, jobs.Index{Name: name("snags"), Score: -float64(n)})
	}
	if planned := d.Planned(); len(planned) > 0 {
		all = append(all, timed(name, "visits", planned[0].At, people)...)
	}
	if c := d.Cure(d.Updated); c.Bonds > 0 && !d.Items["sample"].Settled() && d.Handover.IsZero() {
		end := c.End
		if end.IsZero() {
			end = d.Updated
		}
		all = append(all, timed(name, "curing", end, people)...)
	}
	return all
}

// timed lists the site's set of that name, in the order of a time, and those
// of the people.
func timed(name func(...string) string, what string, at time.Time, people []string) []jobs.Index {
	all := []jobs.Index{{Name: name(what), Score: float64(at.UnixMilli())}}
	for _, id := range people {
		all = append(all, jobs.Index{Name: name("person", id, what), Score: float64(at.UnixMilli())})
	}
	return all
}

// group is the part of a door's id before its last number: A- of A-101.
func group(id string) string { return strings.TrimRight(id, "0123456789") }

// said is how an instant is told at a site.
func said(t time.Time, site *jobs.Site) string { return t.In(site.Zone).Format("Mon 2006-01-02 15:04") }
