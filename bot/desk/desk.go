// Package desk is where door jobs are worked on: it reads doors, sites and
// sheets from the store, decides what people order by the rules of package
// jobs, and commits what comes of it with its reminders, all or nothing.
package desk

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"iter"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// Desk is where door jobs are worked on: it decides what people order by the
// rules of jobs, and commits it to the store with what is to be said of it.
type Desk struct {
	// Language is that of what people at the sites read; nil for English.
	Language *say.Language
	// Denied hears of what somebody tried and may not do; it may be nil.
	Denied func(*jobs.PermissionError)

	store jobs.Store
	faces bool // doors have top posts and people homes, to be drawn anew

	mu     sync.Mutex
	now    time.Time              // of the last step
	sites  []*jobs.Site           // with the members of their groups
	member map[string][]string    // of groups of the chat
	agreed time.Time              // when the sites were last compared with the store's
	sheets map[string]*jobs.Sheet // the current ones, by name
	kept   map[string]*jobs.Sheet // by hash
}

// New returns a desk without sites and sheets. With faces, what shows a door
// is drawn anew when the door changes.
func New(store jobs.Store, faces bool) *Desk {
	return &Desk{store: store, faces: faces, sheets: map[string]*jobs.Sheet{}, kept: map[string]*jobs.Sheet{}}
}

// Store returns where the desk keeps what it works on.
func (d *Desk) Store() jobs.Store { return d.store }

// Begin takes note of the time of a step, and once a second of the site files
// that other processes have taken into use.
func (d *Desk) Begin(ctx context.Context, now time.Time) error {
	d.mu.Lock()
	d.now = now
	due := now.Sub(d.agreed) >= time.Second
	d.mu.Unlock()
	if !due {
		return nil
	}
	return d.Agree(ctx)
}

// Clock returns the time of the last step.
func (d *Desk) Clock() time.Time {
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

// SiteFor returns the site that a message is about: its channel's, or, of a
// word to the bot alone, the one where the person works.
func (d *Desk) SiteFor(m *bot.Message) *jobs.Site {
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

// NoSite says why there is no site that a message is about.
func (d *Desk) NoSite(m *bot.Message) error {
	switch {
	case m.Channel != "":
		return bot.Refuse(say.F("this channel belongs to no site: the site files say which channels do; questions I answer here all the same, hello tells how"))
	case len(d.Places(m.Person)) > 1:
		return bot.Refuse(say.F("you are at several sites: say it in the channel of one"))
	}
	return bot.Refuse(say.F("no site file names you: the office can add you, as %s; questions I answer all the same, hello tells how", m.Person))
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
	if errors.Is(err, jobs.ErrNotFound) {
		return nil, fmt.Errorf("hardware sheet %.8s is kept no more", hash) // the door is there
	}
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

// Doors returns a page of the doors in one of a site's sets, and how many
// there are in all.
func (d *Desk) Doors(ctx context.Context, site *jobs.Site, set string, from, count int) (list []*jobs.Job, total int, err error) {
	recs, total, err := d.store.Doors(ctx, site.ID+"/"+set, from, count)
	for _, rec := range recs {
		j, err := d.open(ctx, rec)
		if err != nil {
			return nil, 0, err
		}
		list = append(list, j)
	}
	return list, total, err
}

// Each goes through the doors in one of a site's sets, page by page as far as
// the loop goes. It ends at the first error.
func (d *Desk) Each(ctx context.Context, site *jobs.Site, set string) iter.Seq2[*jobs.Job, error] {
	return func(yield func(*jobs.Job, error) bool) {
		for from := 0; ; from += PageSize {
			list, _, err := d.Doors(ctx, site, set, from, PageSize)
			if err != nil {
				yield(nil, err)
				return
			}
			for _, j := range list {
				if !yield(j, nil) {
					return
				}
			}
			if len(list) < PageSize {
				return
			}
		}
	}
}

// Counted goes through the doors in one of a site's sets as people count them,
// A-9 before A-10, whatever the order of the set. It reads them all.
func (d *Desk) Counted(ctx context.Context, site *jobs.Site, set string) iter.Seq2[*jobs.Job, error] {
	return func(yield func(*jobs.Job, error) bool) {
		var all []*jobs.Job
		for j, err := range d.Each(ctx, site, set) {
			if err != nil {
				yield(nil, err)
				return
			}
			all = append(all, j)
		}
		slices.SortStableFunc(all, func(a, b *jobs.Job) int { return jobs.CompareIDs(a.Door.Spec.ID, b.Door.Spec.ID) })
		for _, j := range all {
			if !yield(j, nil) {
				return
			}
		}
	}
}

// Log goes through the entries of a door's log behind a version, page by page.
func (d *Desk) Log(ctx context.Context, key string, after int64) iter.Seq2[jobs.Entry, error] {
	return func(yield func(jobs.Entry, error) bool) {
		const page = 200
		for {
			entries, err := d.store.Log(ctx, key, after, page)
			if err != nil {
				yield(jobs.Entry{}, err)
				return
			}
			for _, e := range entries {
				if !yield(e, nil) {
					return
				}
				after = e.Version
			}
			if len(entries) < page {
				return
			}
		}
	}
}

// open reads a record.
func (d *Desk) open(ctx context.Context, rec jobs.Record) (*jobs.Job, error) {
	j := &jobs.Job{Key: rec.Key, Rec: rec}
	if err := j.Door.UnmarshalJSON(rec.State); err != nil { // json.Unmarshal would read it through once more
		return nil, fmt.Errorf("door %s: %w", rec.Key, err)
	}
	siteID, _, _ := strings.Cut(rec.Key, "/")
	var err error
	if j.Site, err = d.SiteOf(ctx, siteID); err != nil {
		return nil, fmt.Errorf("door %s: %w", rec.Key, err)
	}
	j.Sheet, err = d.sheet(ctx, j.Door.Spec.SheetHash)
	return j, err
}

// tries is how often a change is decided anew when somebody else was faster.
const tries = 5

// Change decides a command against a door and commits what comes of it; new
// doors need their spec's sheet. What is said of it follows as a notice.
// It reports whether that settled the message: it did not where the same one
// had changed the door before, or there was nothing to change.
func (d *Desk) Change(ctx context.Context, m bot.Message, site *jobs.Site, key string, cmd jobs.Command) (settled bool, err error) {
	for try := 1; ; try++ {
		j, err := d.Find(ctx, key)
		if err == nil && j == nil {
			j, err = d.blank(ctx, key, site.ID, cmd)
		}
		if err != nil {
			return false, err
		}
		if j.Site.Archived(m.At) {
			return false, bot.Refuse(Archived(j.Site))
		}
		if done, err := d.Done(ctx, j, m.ID); done || err != nil {
			return false, err
		}
		dec, err := d.decide(m, j, cmd)
		if err != nil {
			return false, err
		}
		if len(dec.Events) == 0 {
			return false, nil
		}
		err = d.commit(ctx, m, j, dec)
		if !errors.Is(err, jobs.ErrConflict) || try == tries {
			return err == nil, err
		}
		if err := d.Agree(ctx); err != nil {
			return false, err
		}
	}
}

// decide decides a command against a door, with the sheet that it takes.
func (d *Desk) decide(m bot.Message, j *jobs.Job, cmd jobs.Command) (dec jobs.Decision, err error) {
	if open, ok := cmd.(*jobs.Open); ok && !j.Door.Off.IsZero() {
		if j.Sheet, err = d.current(open.Spec.Sheet); err != nil {
			return dec, err
		}
	}
	if c, ok := cmd.(*jobs.Correction); ok && c.Spec.SheetHash == "" {
		j.Was = j.Sheet
		sheet, err := d.current(c.Spec.Sheet)
		switch {
		case err == nil:
			j.Sheet = sheet
		case c.Spec.Sheet != j.Door.Spec.Sheet: // else its file is broken or gone, and the door keeps what it has
			return dec, err
		}
	}
	dec, err = jobs.Decide(j.Door, cmd, jobs.Context{Sheet: j.Sheet, SheetBefore: j.Was, Site: j.Site, Now: m.At, Who: m.Person, Op: m.ID})
	if err != nil {
		return dec, bot.Refuse(err)
	}
	return dec, nil
}

// Try decides a command against a door as it is, and changes nothing.
func (d *Desk) Try(m bot.Message, j *jobs.Job, cmd jobs.Command) (jobs.Decision, error) {
	if j.Site.Archived(m.At) {
		return jobs.Decision{}, bot.Refuse(Archived(j.Site))
	}
	return d.decide(m, j, cmd)
}

// Archived says that nothing is changed at a closed site.
func Archived(site *jobs.Site) error {
	return say.F("%s was closed on %s: its doors are archived and stay as they are", site.ID, site.ClosedFrom)
}

// recent is how many entries of a log are looked through for a message that
// comes again. Adapters that can be told twice remember longer.
const recent = 20

// Done reports whether a message has changed the door already.
func (d *Desk) Done(ctx context.Context, j *jobs.Job, message string) (bool, error) {
	if j.Rec.Version == 0 {
		return false, nil
	}
	entries, err := d.store.Log(ctx, j.Key, max(0, j.Rec.Version-recent), recent)
	return slices.ContainsFunc(entries, func(e jobs.Entry) bool { return e.Op == message }), err
}

// blank returns a door that is not open yet.
func (d *Desk) blank(ctx context.Context, key, site string, cmd jobs.Command) (j *jobs.Job, err error) {
	j = &jobs.Job{Key: key}
	if j.Site, err = d.SiteOf(ctx, site); err != nil {
		return nil, err
	}
	open, ok := cmd.(*jobs.Open)
	if !ok {
		return nil, bot.Refuse(say.F("%s; door open %s begins its job", missing(key), jobs.DoorID(key)))
	}
	j.Sheet, err = d.current(open.Spec.Sheet)
	return j, err
}

// current returns the sheet of a name as it is in use now.
func (d *Desk) current(name string) (*jobs.Sheet, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if sheet := d.sheets[name]; sheet != nil {
		return sheet, nil
	}
	return nil, bot.Refuse(&jobs.FieldError{Field: "sheet", Err: say.F("there is no hardware sheet %q", name)})
}

// Usual returns what the doors of a sheet have where nothing else is said, nil
// if there is no such sheet.
func (d *Desk) Usual(sheet string) *jobs.Spec {
	s, err := d.current(sheet)
	if err != nil {
		return nil
	}
	return s.Usual()
}

// commit puts a decision into the store: door, log, indices, reminders and
// what is said of it, all or nothing.
func (d *Desk) commit(ctx context.Context, m bot.Message, j *jobs.Job, dec jobs.Decision) error {
	state, err := json.Marshal(dec.Door)
	if err != nil {
		return err
	}
	entry, err := json.Marshal(dec.Events)
	if err != nil {
		return err
	}
	now := jobs.NowAt(m.At)
	change := jobs.Change{Op: m.ID, At: now, Done: m.Held, Questions: m.Closed(),
		Door: &jobs.DoorChange{Key: j.Key, Version: j.Rec.Version, State: state, Entry: entry, Index: indices(j.Site, &dec.Door),
			While: jobs.Ref{Name: siteRef(j.Site.ID), Value: j.Site.Hash}}}
	args := map[string]string{"v": strconv.FormatInt(j.Rec.Version+1, 10), "by": m.Person}
	if slices.ContainsFunc(dec.Events, func(e jobs.Event) bool { return e.Kind == jobs.Corrected }) {
		args["renumbered"] = renumbered(j, &dec.Door)
	}
	if m.Followed {
		args["followed"] = "yes"
	}
	if len(dec.Left) > 0 {
		tell.Keep(args, "left", tell.LeftOut(dec.Left))
	}
	change.Put = append(change.Put, jobs.Notice{ID: j.Key + ":entry:" + m.ID, Kind: "entry", Door: j.Key, Thread: j.Key, Due: now, Args: args})
	if d.faces {
		d.show(&change, j, &dec.Door, now)
	}
	if m.Waited {
		change.Cancel = append(change.Cancel, m.Unasked()...)
	}
	for _, r := range dec.Reminders {
		if r.Cancel {
			change.Cancel = append(change.Cancel, j.Key+":"+r.ID)
			continue
		}
		change.Put = append(change.Put, notice(j, &r, m.At))
	}
	_, err = d.store.Commit(ctx, change)
	return err
}

// renumbered returns the first number of the checklist that stands for another
// item in the door as it will be, "" if none does.
func renumbered(j *jobs.Job, door *jobs.Door) string {
	was := jobs.Checklist(&j.Door, cmp.Or(j.Was, j.Sheet))
	for i, it := range jobs.Checklist(door, j.Sheet) {
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
func (d *Desk) show(c *jobs.Change, j *jobs.Job, door *jobs.Door, now jobs.Millis) {
	face := jobs.Notice{ID: j.Key + ":door", Kind: "face", Door: j.Key, Thread: j.Key, Due: now}
	if j.Rec.Version == 0 {
		c.Put = append(c.Put, face)
	} else {
		face.Due += redraw
		c.Keep = append(c.Keep, face)
	}
	for _, who := range concerned(&j.Door, door) {
		c.Keep = append(c.Keep, jobs.Notice{ID: "home:" + j.Site.ID + ":" + who, Kind: "home", Due: now + redraw, Args: map[string]string{"site": j.Site.ID, "who": who}})
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
// so many, and how many doors there are; those called off come behind the others,
// as somebody may still say something in their threads.
func (d *Desk) Recent(ctx context.Context, site string, most int) (keys []string, total int, err error) {
	for _, index := range []string{"changed", CalledOff} {
		list, n, err := d.store.Doors(ctx, site+"/"+index, 0, most)
		if err != nil {
			return nil, 0, err
		}
		for _, rec := range list {
			keys = append(keys, rec.Key)
		}
		total += n
	}
	return keys[:min(len(keys), most)], total, nil
}

// Announce says something in the first channel of a site.
func (d *Desk) Announce(ctx context.Context, site string, text say.Text, now time.Time) error {
	return d.putText(ctx, "announce", site, text, now)
}

// TellOffice tells the office of a channel's site something, or the foreman
// where there is no office.
func (d *Desk) TellOffice(ctx context.Context, channel string, text say.Text, now time.Time) error {
	site := d.site(channel)
	if site == nil {
		return nil
	}
	return d.putText(ctx, "office", site.ID, text, now)
}

// putText puts a notice with its text in it: it is about what happened, not
// about a state.
func (d *Desk) putText(ctx context.Context, kind, site string, text say.Text, now time.Time) error {
	at, args := jobs.NowAt(now), map[string]string{"site": site}
	tell.Keep(args, "text", text)
	n := jobs.Notice{ID: fmt.Sprintf("%s:%s:%s:%x", kind, site, strconv.FormatInt(int64(at), 36), crc32.ChecksumIEEE([]byte(args["text"]))), Kind: kind, Due: at, Args: args}
	_, err := d.store.Commit(ctx, jobs.Change{Op: n.ID, At: at, Put: []jobs.Notice{n}})
	return err
}

// TellForeman tells the foreman of the door in whose thread something was said, or
// of the site, what was said.
func (d *Desk) TellForeman(ctx context.Context, m bot.Message, text say.Text) error {
	_, err := d.store.Commit(ctx, jobs.Change{Op: m.ID + ":foreman", At: jobs.NowAt(m.At), Put: d.toForeman(m, m.ID+":foreman", text, m.At)})
	return err
}

// toForeman returns a notice with a text to the foreman; nil where there is no
// site.
func (d *Desk) toForeman(m bot.Message, id string, text say.Text, due time.Time) []jobs.Notice {
	site := d.SiteFor(&m)
	if site == nil {
		return nil
	}
	args := map[string]string{"site": site.ID, "thread": m.Thread}
	tell.Keep(args, "text", text)
	return []jobs.Notice{{ID: id, Kind: "foreman", Due: jobs.DueAt(due), Args: args}}
}

// PageSize is how many lines a list shows at once.
const PageSize = 20

// Hear keeps a message until it is dealt with, unless the same was kept
// before; seen tells the same ones. Whoever said it may then be told that it
// was received.
func (d *Desk) Hear(ctx context.Context, seen string, m bot.Message) (bool, error) {
	n, err := d.keptAs(ctx, m, bot.Heard)
	if err != nil {
		return false, err
	}
	return d.store.Receive(ctx, seen, n, n.Due)
}

// keptAs returns a notice of a message whose answer has its turn among what else is
// said in the door's thread.
func (d *Desk) keptAs(ctx context.Context, m bot.Message, kind string) (jobs.Notice, error) {
	n := m.Kept(kind)
	if site := d.SiteFor(&m); m.Thread != "" && site != nil {
		key, err := d.KeyOf(ctx, jobs.DoorKey(site.ID, m.Thread))
		if err != nil {
			return n, err
		}
		n.Thread = key
	}
	return n, nil
}

// Recurring returns the next notice of a rule.
func (d *Desk) Recurring(n jobs.Notice) []jobs.Notice {
	now, site := d.Clock(), d.SiteByID(n.Args["site"])
	if site == nil {
		return nil
	}
	if n.Kind == "retention" {
		return []jobs.Notice{RetentionNotice(site, now)}
	}
	if n.Kind == "warmth" {
		return warmthNotice(site, now)
	}
	since, err := time.Parse(time.RFC3339, n.Args["since"])
	if err != nil {
		since = now
	}
	if at, ok := site.NextDigest(now); ok {
		return []jobs.Notice{DigestNotice(site, at, since)}
	}
	return nil
}
