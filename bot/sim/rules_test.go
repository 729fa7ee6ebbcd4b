package sim

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/jobs"
)

// rules watch a world. They are written apart from the program: of it they
// take what is stored and what is said, and its arithmetic in calc.
type rules struct {
	w      *world
	sheets map[string]*jobs.Sheet
	doors  map[string]*watched  // by key
	known  time.Duration        // how long a reading counts
	fault  error                // the first rule that was broken
	count  map[string]int       // how often each was exercised
	dirty  map[string]bool      // doors that may have changed
	wait   map[string]time.Time // messages that are not answered, since when
	rounds map[string]string    // by person and morning, the post that they got
}

// watched is a door under the rules.
type watched struct {
	key     string
	version int64
	folded  jobs.Door
	ops     map[string]bool
	led     *ledger
	calls   map[string]*call     // reminders that are called for, by id
	cured   bool                 // the cure's end was said since the last bond
	told    map[string]bool      // figures that its card has had
	owed    map[string]time.Time // words on what was done that all are to hear, by id, and when
	words   []word               // words on what was done that one person is to hear
}

// rulesList names what must have been exercised.
var rulesList = []string{"fold", "roles", "holds", "overrides", "left out", "two people", "stood up", "cure over", "cure told", "mixed", "bonded", "undone", "handed over",
	"once", "together", "stood in", "found again", "addressed", "quiet", "called for", "came", "answered", "figures", "gaps", "frozen", "old buttons", "tried in vain", "given up", "buttons", "forms", "homes",
	"next due", "one a morning", "screens", "shown buttons", "done at once", "asked again", "covers", "owed", "parted", "over sockets", "read back"}

// kinds names what must have been done at a door; nobody renames one here, as the
// rules know it by its name.
var kinds = strings.Fields("event:opened event:corrected event:ticked event:unticked event:not-applicable event:overridden event:read event:photo event:fixed event:freed " +
	"event:snag-opened event:snag-closed event:snag-moved event:snag-photo event:mixed event:mix-spoilt event:bonded event:temperature event:temperature-asked event:temperature-not-so event:held event:knocked " +
	"event:voided event:word event:visit-set event:visit-moved event:visit-cancelled event:visit-done event:leaf event:answer event:snoozed event:stage event:handed-over event:handover-taken-back " +
	"event:called-off event:recalled event:undone")

func newRules(w *world) (*rules, error) {
	r := &rules{w: w, sheets: map[string]*jobs.Sheet{}, doors: map[string]*watched{}, known: readingCounts, count: map[string]int{}, rounds: map[string]string{}, dirty: map[string]bool{}, wait: map[string]time.Time{}}
	for name, file := range w.sheets {
		sheet, err := jobs.ParseSheet(file)
		if err != nil {
			return nil, err
		}
		r.sheets[name] = sheet
	}
	return r, nil
}

// broken notes that a rule does not hold.
func (r *rules) broken(format string, args ...any) {
	if r.fault == nil {
		r.fault = fmt.Errorf("%s: "+format, append([]any{r.w.now().UTC().Format("2006-01-02 15:04:05")}, args...)...)
		r.w.tell("BROKEN %v", r.fault)
	}
}

func (r *rules) check(ok bool, format string, args ...any) {
	if !ok {
		r.broken(format, args...)
	}
}

// placeOf returns the place of a door's key.
func (r *rules) placeOf(key string) *place {
	for _, pl := range r.w.places {
		if strings.HasPrefix(key, pl.id+"/") {
			return pl
		}
	}
	return nil
}

// look reads what has changed of the doors: their state must be the fold of
// their log, and each event as the rules have it.
func (r *rules) look() {
	for _, key := range sorted(r.dirty) {
		delete(r.dirty, key)
		rec, err := r.w.store.Door(r.w.ctx, key)
		if err != nil {
			continue // the change did not arrive
		}
		d := r.doors[key]
		if d == nil {
			d = &watched{key: key, ops: map[string]bool{}, led: newLedger(r.placeOf(key)), calls: map[string]*call{}, told: map[string]bool{}, owed: map[string]time.Time{}}
			r.doors[key] = d
		}
		entries, err := r.w.store.Log(r.w.ctx, key, d.version, 1000)
		if err != nil {
			r.broken("the log of %s: %v", key, err)
			return
		}
		for _, e := range entries {
			r.entry(d, &e)
		}
		r.check(rec.Version == d.version, "%s has version %d and %d entries", key, rec.Version, d.version)
		state, err := json.Marshal(d.folded)
		r.check(err == nil && string(state) == string(rec.State), "%s is not the fold of its log:\n%s\n%s", key, rec.State, state)
		r.count["fold"]++
	}
}

// entry takes one entry of a log.
func (r *rules) entry(d *watched, e *jobs.Entry) {
	r.check(e.Version == d.version+1, "%s: entry %d comes after %d", d.key, e.Version, d.version)
	r.check(!d.ops[e.Op], "%s changed %s twice", e.Op, d.key)
	d.version, d.ops[e.Op] = e.Version, true
	var events []jobs.Event
	if err := json.Unmarshal(e.Data, &events); err != nil || len(events) == 0 {
		r.broken("%s: entry %d: %v", d.key, e.Version, err)
		return
	}
	version := d.folded.Version
	d.folded = d.folded.Apply(events...)
	d.led.turn(e.Op, events)
	for i := range events {
		ev, before := &events[i], d.led.figures()
		r.count["event:"+string(ev.Kind)]++
		r.holds(d.led, ev)
		r.frozen(d, ev)
		r.parted(d, events, i, version)
		d.led.enter(ev)
		undone := ev.Kind == jobs.Undone && !maps.Equal(before, d.led.figures())
		if undone || slices.Contains([]jobs.EventKind{jobs.CalledOff, jobs.Recalled, jobs.HandoverTaken}, ev.Kind) {
			r.count["owed"]++
			d.owed[fmt.Sprintf("tell:%d:0", version+int64(i)+1)] = d.led.pl.quiet(e.At.Time())
		}
		if ev.Kind == jobs.Bonded || ev.Kind == jobs.Knocked {
			d.cured = false
		}
	}
	r.figure(d)
	r.lay(d, e.At.Time())
}

// frozen checks that what is in material keeps its numbers, but by taking it
// back.
func (r *rules) frozen(d *watched, e *jobs.Event) {
	if e.Kind != jobs.Corrected {
		return
	}
	for _, n := range e.Numbers {
		if d.led.frozen[n.Name] {
			r.count["frozen"]++
			r.check(d.led.fixed[n.Name] == n.Value, "%s of %s is in material and goes from %s to %s", n.Name, d.key, d.led.fixed[n.Name], n.Value)
		}
	}
}

// heard notes that a message was received: it is to be answered.
func (r *rules) heard(m *bot.Message) {
	if m.Overheard || r.wait[m.ID] != (time.Time{}) {
		return
	}
	if _, ok := r.w.far.answered[m.ID]; !ok {
		r.wait[m.ID] = r.w.now()
	}
}

// patience is how long somebody waits for an answer while the far side is up.
const patience = 30 * time.Second

// looking is how long it takes, after a fault, until a post that may be there
// was looked for twice.
const looking = 6 * time.Second

// late reports whether something since a time is too late by now, all faults
// left out.
func (r *rules) late(since time.Time) bool {
	if over := r.w.fault.Add(looking); over.After(since) {
		since = over
	}
	return r.w.now().Sub(since) > patience+time.Second
}

// answer takes a message off the list of those that wait.
func (r *rules) answer(id string) {
	r.w.far.answered[id] = true
	if of, failed := strings.CutSuffix(id, ":failed"); failed { // it was given up at a look, which no poster sees
		_, op, _ := strings.Cut(of, ":entry:")
		delete(r.wait, op)
	}
	since, ok := r.wait[id]
	if !ok {
		return
	}
	delete(r.wait, id)
	r.count["answered"]++
	r.check(!r.late(since), "%s waited for its answer since %s", id, since)
}

// gaveUp notes that a post was tried for the last time: whoever waits for it
// waits in vain, and somebody is told.
func (r *rules) gaveUp(p *bot.Post) {
	id, _, _ := strings.Cut(p.ID, "@")
	if _, op, ok := strings.Cut(id, ":entry:"); ok {
		r.w.far.answered[op] = true
		delete(r.wait, op)
	}
	for _, d := range r.doors {
		delete(d.owed, strings.TrimPrefix(id, d.key+":"))
		if strings.HasPrefix(id, d.key+":tell:") {
			d.words = nil
		}
		if c := d.calls[strings.TrimPrefix(id, d.key+":")]; c != nil {
			c.over = true
		}
		d.cured = d.cured || strings.HasPrefix(id, d.key+":cure")
	}
	for _, full := range p.Says {
		key, id, _ := strings.Cut(full, ":")
		d := r.doors[key]
		if d != nil {
			delete(d.owed, id)
			d.words = nil
		}
		if d != nil && d.calls[id] != nil {
			d.calls[id].said[p.To] = true
		}
	}
	if !strings.HasPrefix(id, "in:") && !strings.HasSuffix(id, ":failed") {
		r.wait[id+":failed"] = r.w.now()
	}
}

// pass checks, when time has passed, what should have come by now.
func (r *rules) pass() {
	for id, since := range r.wait {
		if r.late(since) {
			r.broken("%s is not answered since %s", id, since.UTC().Format(time.TimeOnly))
		}
	}
	for _, key := range sorted(r.doors) {
		r.missed(r.doors[key])
	}
}

// pressing and pressed watch a press: it is answered at once, or a change of
// the door says it.
func (r *rules) pressing(pl *place, m *bot.Message) { r.dirty[jobs.DoorKey(pl.id, m.Thread)] = true }

func (r *rules) pressed(m *bot.Message, stale bool, posts []bot.Post, err error) {
	for _, d := range r.doors {
		if d.ops[m.ID] {
			r.check(!stale, "the press of %q confirms what nobody has read", m.Text)
			return
		}
	}
	if err != nil {
		return
	}
	r.count["answered"]++
	r.check(len(posts) > 0, "the press of %q is not answered", m.Text)
}

// stale reports whether a button's post showed another text of the item that
// it ticks than the list has by now.
func (r *rules) stale(pl *place, m *bot.Message, from *posted) bool {
	fields := strings.Fields(m.Text)
	d := r.doors[jobs.DoorKey(pl.id, m.Thread)]
	if from == nil || d == nil || len(fields) != 3 || fields[0] != "tick" || from.Kind == bot.KindAsk { // what is asked back names the item as it was typed
		return false
	}
	for _, it := range jobs.Checklist(&d.folded, r.sheets[pl.sheet]) {
		if it.ID == fields[1] && !strings.Contains(from.Text, it.Text.String()) {
			r.count["old buttons"]++
			return true
		}
	}
	return false
}
