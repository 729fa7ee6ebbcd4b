package sim

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"heelpost/jobs"
)

// plan is what a seed makes happen: each action stands alone, so that a run
// can be cut down by leaving some out.
type plan struct {
	seed    uint64
	slack   bool // the far side is Slack
	begin   time.Time
	days    int
	actions []action
}

// action is something that somebody does, or that goes wrong.
type action struct {
	at   time.Duration // after the beginning
	kind actionKind
	site int // which of the places
	door int // which of its doors
	seed uint64
}

type actionKind int

const (
	work    actionKind = iota // what the checklist asks for
	slip                      // something wrong
	push                      // an old button
	query                     // a question, or a look at what there is
	visit                     // visits, reminders, snags
	warmth                    // a temperature
	office                    // the site file changes
	trouble                   // a process, the store, the far side
)

func (a *action) String() string {
	name := [...]string{"work", "slip", "push", "query", "visit", "warmth", "office", "trouble"}[a.kind]
	return fmt.Sprintf("{%d, %s, %d, %d, %#x},", a.at, name, a.site, a.door, a.seed)
}

// begins are mornings before clocks change in one zone or both, before days on
// which nobody works, and plain ones.
var begins = []string{"2027-03-01", "2027-03-12", "2027-03-22", "2027-05-03", "2027-10-11", "2027-10-25", "2027-11-15", "2027-12-13"}

// doorsPerSite is how many doors a site has.
const doorsPerSite = 2

// newPlan makes the plan of a seed.
func newPlan(seed uint64, days int) *plan {
	r := rand.New(rand.NewPCG(seed, 0))
	day, err := time.Parse(time.DateOnly, begins[r.IntN(len(begins))])
	if err != nil {
		panic(err)
	}
	p := &plan{seed: seed, slack: seed%4 == 2, begin: day, days: days}
	site := int(seed % 2)
	for d := range days {
		morning := time.Duration(d)*24*time.Hour + time.Duration(6+6*site)*time.Hour // in UTC
		if weekday := day.AddDate(0, 0, d).Weekday(); weekday != time.Sunday && (weekday != time.Saturday || r.IntN(4) == 0) {
			p.session(r, morning+time.Duration(r.IntN(9*60))*time.Minute, site)
		}
		for range 3 {
			p.add(r, time.Duration(d*24*60+r.IntN(24*60))*time.Minute, pick(r, query, visit, visit, push, warmth, slip), site, r.IntN(doorsPerSite))
		}
		for range 2 {
			p.add(r, time.Duration(d*24*60*60+r.IntN(24*60*60))*time.Second, trouble, site, 0)
		}
		if r.IntN(8) == 0 {
			p.add(r, time.Duration(d*24*60+r.IntN(24*60))*time.Minute, office, site, 0)
		}
	}
	slices.SortStableFunc(p.actions, func(a, b action) int { return cmp.Compare(a.at, b.at) })
	return p
}

// session is somebody at one door for some minutes.
func (p *plan) session(r *rand.Rand, at time.Duration, site int) {
	door := pick(r, 0, 0, 0, 1)
	for range 7 + r.IntN(8) {
		kind := work
		if n := r.IntN(20); n < 5 {
			kind = pick(r, slip, slip, push, query, visit, warmth)
		}
		p.add(r, at, kind, site, door)
		if r.IntN(12) == 0 {
			p.add(r, at, trouble, site, 0)
		}
		at += time.Duration(10+r.IntN(200)) * time.Second
		if r.IntN(12) == 0 {
			at += time.Duration(r.IntN(100)) * time.Minute
		}
	}
}

func (p *plan) add(r *rand.Rand, at time.Duration, kind actionKind, site, door int) {
	p.actions = append(p.actions, action{at, kind, site, door, r.Uint64()})
}

func pick[T any](r *rand.Rand, of ...T) T { return of[r.IntN(len(of))] }

// place is a building site: its file and the calendar of the rules are made
// from the same few lines, and by nobody else.
type place struct {
	id, zone, channel, sheet string
	hours                    [7][][2]int // minutes of the day, by time.Weekday
	closed                   map[string]bool
	people                   []who
	away                     []absence
	changed                  bool // since the beginning
	slack                    bool // its people have accounts
	site                     *jobs.Site
	loc                      *time.Location
}

type who struct {
	id   string
	role jobs.Role
}

// absence is somebody's leave, to its last day, and who stands in.
type absence struct{ who, from, to, deputy string }

func newPlaces(begin time.Time, slack bool) []*place {
	leave := func(who string, from, to int, deputy string) absence {
		return absence{who, begin.AddDate(0, 0, from).Format(time.DateOnly), begin.AddDate(0, 0, to).Format(time.DateOnly), deputy}
	}

	day, friday := [][2]int{{7 * 60, 12 * 60}, {12*60 + 30, 16 * 60}}, [][2]int{{7 * 60, 13 * 60}}
	long, saturday := [][2]int{{6*60 + 30, 15 * 60}}, [][2]int{{8 * 60, 12 * 60}}
	places := []*place{
		{id: "orchard-lane", zone: "Europe/Berlin", channel: "doors-orchard-lane", sheet: "orchard", hours: [7][][2]int{nil, day, day, day, day, friday, nil},
			closed: days("2027-03-26", "2027-03-29", "2027-05-06", "2027-05-17", "2027-11-01", "2027-12-24", "2027-12-25", "2027-12-26", "2027-12-27", "2027-12-28", "2027-12-29", "2027-12-30", "2027-12-31", "2028-01-01"),
			people: []who{{"ana", jobs.Crew}, {"bo", jobs.Crew}, {"cy", jobs.Crew}, {"mo", jobs.Foreman}, {"ivy", jobs.Office}},
			away:   []absence{leave("mo", 2, 4, "ivy"), leave("ana", 3, 9, "bo"), leave("bo", 8, 10, "cy"), leave("mo", 14, 19, "ivy")}},
		{id: "pier-nine", zone: "America/New_York", channel: "pier-nine-doors", sheet: "quarry", hours: [7][][2]int{nil, long, long, long, long, long, saturday},
			closed: days("2027-05-31", "2027-10-11", "2027-11-25", "2027-11-26", "2027-12-24", "2028-01-01"),
			people: []who{{"dee", jobs.Crew}, {"gus", jobs.Crew}, {"lin", jobs.Foreman}},
			away:   []absence{leave("gus", 5, 12, "dee")}},
	}
	for i, pl := range places {
		if pl.slack = slack; slack {
			pl.channel = fmt.Sprintf("C0SITE%03d", i)
		}
		if err := pl.read(); err != nil {
			panic(err)
		}
	}
	return places
}

func days(list ...string) map[string]bool {
	all := map[string]bool{}
	for _, d := range list {
		all[d] = true
	}
	return all
}

// read makes the site of a place from its file.
func (pl *place) read() (err error) {
	if pl.loc, err = time.LoadLocation(pl.zone); err != nil {
		return err
	}
	pl.site, err = jobs.ParseSite([]byte(pl.file()), nil)
	return err
}

// file writes the site's file.
func (pl *place) file() string {
	var b strings.Builder
	fmt.Fprintf(&b, "id: %s\nname: %s\nzone: %s\nhours:\n", pl.id, pl.id, pl.zone)
	for d, spans := range pl.hours {
		var text []string
		for _, s := range spans {
			text = append(text, fmt.Sprintf("%d:%02d-%d:%02d", s[0]/60, s[0]%60, s[1]/60, s[1]%60))
		}
		if len(text) > 0 {
			fmt.Fprintf(&b, "  %s: %s\n", strings.ToLower(time.Weekday(d).String()), strings.Join(text, ", "))
		}
	}
	b.WriteString("closed:\n")
	for _, d := range sorted(pl.closed) {
		fmt.Fprintf(&b, "  - %s\n", d)
	}
	fmt.Fprintf(&b, "channels: [%s]\ndigest: \"30 6 * * 1-5\"\nsheets: [%s]\npeople:\n", pl.channel, pl.sheet)
	for _, p := range pl.people {
		fmt.Fprintf(&b, "  - {id: %s, name: %s, role: %s, crew: %s", p.id, p.id, p.role, "north")
		if pl.slack {
			fmt.Fprintf(&b, ", account: %s", account(p.id))
		}
		b.WriteString("}\n")
	}
	b.WriteString("items:\n  - {id: fire-stop, stage: survey, text: fire stop looked at, hold: true}\n" +
		"  - {id: gap-below, stage: align, text: gap below the leaf, kind: reading, unit: mm, least: 5 mm, most: 9 mm}\n")
	b.WriteString("leave:\n")
	for _, a := range pl.away {
		fmt.Fprintf(&b, "  - {who: %s, from: %s, to: %s, deputy: %s}\n", a.who, a.from, a.to, a.deputy)
	}
	return b.String()
}

// of returns who has a role at a place.
func (pl *place) of(role jobs.Role) (ids []string) {
	for _, p := range pl.people {
		if p.role == role {
			ids = append(ids, p.id)
		}
	}
	return ids
}

// there reports whether somebody is of the place.
func (pl *place) there(id string) bool {
	return slices.ContainsFunc(pl.people, func(p who) bool { return p.id == id })
}

// stands returns who is there at t for somebody: on leave it is whoever stands
// in, or who stands in for them.
func (pl *place) stands(id string, t time.Time) string {
	day := t.In(pl.loc).Format(time.DateOnly)
	for range pl.away {
		i := slices.IndexFunc(pl.away, func(a absence) bool { return a.who == id && a.from <= day && day <= a.to })
		if i < 0 {
			break
		}
		id = pl.away[i].deputy
	}
	return id
}

// standsIn reports whether somebody stands in for another at t.
func (pl *place) standsIn(id string, t time.Time) bool {
	return slices.ContainsFunc(pl.away, func(a absence) bool { return a.who != id && pl.stands(a.who, t) == id })
}

// begins reports whether a day's work begins at t.
func (pl *place) begins(t time.Time) bool {
	day := t.In(pl.loc).Day()
	for before := t.Add(-time.Second); before.In(pl.loc).Day() == day; before = before.Add(-15 * time.Minute) {
		if pl.open(before) {
			return false
		}
	}
	return pl.open(t)
}

// open reports whether somebody works at t.
func (pl *place) open(t time.Time) bool {
	t = t.In(pl.loc)
	minute := t.Hour()*60 + t.Minute()
	return !pl.closed[t.Format(time.DateOnly)] && slices.ContainsFunc(pl.hours[t.Weekday()], func(s [2]int) bool { return s[0] <= minute && minute < s[1] })
}

// quiet returns when to speak of what is due at t: found by going forward, as
// somebody would who looks at a clock on the wall each quarter of an hour.
// All hours of the places begin on one.
func (pl *place) quiet(t time.Time) time.Time {
	for range 400 * 96 {
		if pl.open(t) {
			return t
		}
		t = t.Truncate(15 * time.Minute).Add(15 * time.Minute)
	}
	return t
}

// midnight returns the beginning of the day after t's, found the same way.
func (pl *place) midnight(t time.Time) time.Time {
	for day := t.In(pl.loc).Day(); t.In(pl.loc).Day() == day; {
		t = t.Truncate(15 * time.Minute).Add(15 * time.Minute)
	}
	return t
}
