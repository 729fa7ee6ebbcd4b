package sim

import (
	"slices"
	"strings"
	"time"

	"heelpost/jobs"
)

// The stages of a door, by where they come.
const (
	survey = iota
	setOut
	floor
	head
	hang
	park
	align
	movement
	handing
)

// point is an item of the checklist as a foreman would write it down: which
// work waits for it. Common practice, no published source; written apart from
// the program's own table.
type point struct {
	id    string
	stage int
	hold  rank
	needs string                     // what comes first, whatever the stage
	when  func(*ledger, *rules) bool // nil: at every door
}

type rank int

const (
	plain   rank = iota // work may go on without it
	held                // it may not, but on the foreman's word
	letter              // nor but on that and the adhesive maker's letter
	forever             // nor on anybody's word
)

var points = []point{
	{"status", survey, held, "", nil}, {"datum", survey, plain, "", nil}, {"second", survey, held, "datum", nil}, {"joint", survey, held, "", nil},
	{"carrier", survey, held, "", nil}, {"room", survey, held, "", nil}, {"opening-photo", survey, plain, "", nil},
	{"centre", setOut, plain, "", nil}, {"plumb", setOut, held, "", nil}, {"ordered", setOut, plain, "", nil},
	{"floor-services", floor, forever, "", nil}, {"heating", floor, forever, "", (*ledger).heated}, {"bit", floor, plain, "", nil}, {"floor-dry-fit", floor, held, "", nil},
	{"floor-drilled", floor, held, "floor-services heating bit", nil}, {"floor-clean", floor, held, "floor-services floor-drilled", nil},
	{"floor-temperature", floor, letter, "", nil}, {"floor-batch", floor, held, "", nil}, {"floor-bonded", floor, held, "", nil}, {"floor-control", floor, held, "floor-bonded", nil},
	{"head-services", head, forever, "", nil}, {"head-dry-fit", head, held, "", nil}, {"head-drilled", head, held, "head-services", nil},
	{"head-clean", head, held, "head-drilled", (*ledger).headBonded}, {"head-temperature", head, letter, "", (*ledger).headBonded}, {"head-batch", head, held, "", (*ledger).headBonded},
	{"head-bonded", head, held, "", (*ledger).headBonded}, {"head-control", head, held, "head-bonded", (*ledger).headBonded}, {"head-fixed", head, held, "head-drilled head-bonded", nil},
	{"limits", hang, forever, "", nil}, {"lift", hang, forever, "", nil}, {"zone", hang, forever, "", nil}, {"company", hang, forever, "", nil}, {"wind", hang, forever, "", nil},
	{"stood", hang, forever, "limits lift zone company wind", nil}, {"engaged", hang, forever, "stood", nil},
	{"parked", park, held, "stood", (*ledger).parks}, {"floor-sample", park, letter, "floor-bonded", nil}, {"head-sample", park, letter, "head-bonded", (*ledger).headBonded},
	{"adjust", align, plain, "", nil}, {"heel-top", align, held, "", nil}, {"heel-bottom", align, held, "", nil}, {"lead-top", align, held, "", nil}, {"lead-bottom", align, held, "", nil},
	{"closing-time", movement, held, "", nil}, {"opening-force", movement, held, "", nil}, {"latching", movement, held, "closing-time opening-force", (*ledger).latched},
	{"door-photo", handing, plain, "", nil}, {"shown", handing, plain, "", nil},
	{"fire-stop", survey, held, "", nil}, {"gap-below", align, plain, "", nil}, // the site's own
}

func (l *ledger) heated(*rules) bool       { return l.spec.Heated }
func (l *ledger) latched(*rules) bool      { return l.spec.Latch }
func (l *ledger) headBonded(r *rules) bool { return l.pl.sheet == "quarry" }
func (l *ledger) parks(r *rules) bool      { return l.pl.sheet == "orchard" }

// at returns the stage of a point: where no leaf may stand on a curing plate,
// the sample is waited for before it is hung.
func (p *point) at(l *ledger) int {
	if isSample(p.id) && !l.parks(nil) {
		return hang
	}
	return p.stage
}

// comes returns the points that work on one waits for and that are open.
func (l *ledger) comes(r *rules, p *point) (open []string) {
	for i := range points {
		q := &points[i]
		if q.when != nil && !q.when(l, r) || l.done(q.id) {
			continue
		}
		s, t := q.at(l), p.at(l)
		earlier := s < t && !(s == floor && t == head)
		if q.hold != plain && earlier || slices.Contains(strings.Fields(p.needs), q.id) {
			open = append(open, q.id)
		}
	}
	if p.id == "stood" && !l.parks(r) {
		open = append(open, l.unlooked()...)
	}
	return open
}

func isSample(id string) bool { return strings.HasSuffix(id, "-sample") }

// unlooked returns the control samples that are still to be looked at.
func (l *ledger) unlooked() (open []string) {
	for _, where := range sorted(l.bonds) {
		if id := where + "-sample"; !l.done(id) {
			open = append(open, id)
		}
	}
	return open
}

func find(id string) *point {
	if i := slices.IndexFunc(points, func(p point) bool { return p.id == id }); i >= 0 {
		return &points[i]
	}
	return nil
}

// holds checks an event against the door before it.
func (r *rules) holds(l *ledger, e *jobs.Event) {
	p := find(e.Item)
	r.check(!l.off || e.Kind == jobs.Opened || e.Kind == jobs.Recalled, "%s is called off, and %s made it %s", l.spec.ID, e.By, e.Kind)
	switch e.Kind {
	case jobs.CalledOff:
		r.check(!l.standing() && !l.handed, "called off while its leaf stands loose, or after it was handed over")
	case jobs.Corrected:
		x := l.items["floor-services"]
		if read := x.kind == jobs.Read && x.at.Equal(e.At) && x.by == e.By; read && l.spec.HasCover && e.Spec.CoverTo == l.spec.CoverTo && !slices.Contains(l.pl.of(jobs.Foreman), e.By) {
			r.count["covers"]++
			r.check(e.Spec.Cover <= l.spec.Cover, "%s read a cover of %s and the least, %s, is gone", e.By, e.Spec.Cover, l.spec.Cover)
		}
	case jobs.Ticked, jobs.Read, jobs.Pictured:
		if p == nil {
			return // of a kind without conditions, as seals
		}
		bad := e.Kind == jobs.Read && e.Judgement == jobs.Out // is kept, whatever it would have waited for
		if open := l.comes(r, p); len(open) > 0 && !bad {
			r.broken("%s %s at %s with %v open", e.By, e.Kind, e.Item, open)
		}
		if p.hold != plain {
			r.count["holds"]++
		}
	case jobs.Overridden:
		r.count["overrides"]++
		r.check(p != nil && p.hold != plain && p.hold != forever, "%s was overridden", e.Item)
		r.check(p == nil || p.hold != letter || e.Word != "", "%s was overridden without the maker's letter", e.Item)
		for _, q := range []string{"floor-services", "head-services", "stood", "limits"} {
			if x := find(q); p != nil && x.hold == forever && x.at(l) < p.at(l) && !(x.stage == floor && p.stage == head) && !l.done(q) {
				r.broken("%s was overridden with %s open", e.Item, q)
			}
		}
	case jobs.NotForThis:
		r.count["left out"]++
		r.check(p == nil || p.hold == plain, "the hold %s was left out", e.Item)
	case jobs.HandedOver:
		r.count["handed over"]++
		for i := range points {
			q := &points[i]
			r.check(q.when != nil && !q.when(l, r) || l.done(q.id), "handed over with %s open", q.id)
		}
		r.check(len(l.snags) == 0 || e.Text != "" && slices.Contains(l.pl.of(jobs.Foreman), e.By), "handed over by %s with snags open", e.By)
	}
	r.special(l, e)
}

// special checks what an event takes beside the holds before it.
func (r *rules) special(l *ledger, e *jobs.Event) {
	if e.Kind == jobs.Ticked && slices.Contains([]string{"lift", "stood", "engaged", "parked"}, e.Item) {
		for _, id := range l.unlooked() {
			where, _, _ := strings.Cut(id, "-")
			b := l.bonds[where]
			r.check(!l.doubted(&b) && !(b.cold && b.word.IsZero()), "%s is ticked on a %s plate that was too cold, or may have been", e.Item, where)
		}
	}
	switch {
	case e.Kind == jobs.Ticked && (e.Item == "second" || e.Item == "datum"):
		other := map[string]string{"second": "datum", "datum": "second"}[e.Item]
		r.count["two people"]++
		r.check(l.items[other].by != e.By, "%s settled both datum and second", e.By)
	case e.Kind == jobs.Ticked && e.Item == "stood":
		r.count["stood up"]++
		r.check(e.At.Sub(l.items["wind"].at) <= time.Hour, "stood up on a wind of %s", l.items["wind"].at)
		for _, id := range []string{"zone", "company"} {
			if x := l.items[id]; x.kind == jobs.Ticked {
				r.check(x.at.In(l.pl.loc).Format(time.DateOnly) == e.At.In(l.pl.loc).Format(time.DateOnly), "stood up on %s of another day", id)
			}
		}
	case e.Kind == jobs.Ticked && isSample(e.Item):
		r.count["cure over"]++
		where, _, _ := strings.Cut(e.Item, "-")
		if why := l.uncured(where, e.At, r.known); why != "" {
			r.broken("the sample is ticked, and the %s plate %s", where, why)
		}
	case e.Kind == jobs.Overridden && isSample(e.Item):
		where, _, _ := strings.Cut(e.Item, "-")
		b := l.bonds[where]
		r.check((!b.cold || !b.word.IsZero()) && !l.doubted(&b), "the sample of a plate that was too cold, or may have been, is overridden")
	case e.Kind == jobs.Mixed:
		r.count["mixed"]++
		r.before(l, e, "-batch")
	case e.Kind == jobs.Bonded:
		r.count["bonded"]++
		r.before(l, e, "-bonded")
		m, ok := l.mixes[e.Item]
		r.check(ok && !e.At.After(m.at.Add(l.working())), "bonded at the %s with adhesive of %s", e.Item, m.at)
	case e.Kind == jobs.MixSpoilt:
		_, open := l.mixes[e.Item]
		r.check(open, "a mix of the %s is thrown away, and none is open", e.Item)
	case e.Kind == jobs.Undone:
		r.count["undone"]++
		r.check(l.before != nil && l.by == e.By && !l.barred && e.At.Sub(l.at) <= 5*time.Minute, "%s took back what %s did at %s", e.By, l.by, l.at)
	}
	r.roles(l, e)
}

// before checks that no hold of a plate is open that stands before an entry.
func (r *rules) before(l *ledger, e *jobs.Event, entry string) {
	p := find(e.Item + entry)
	for i := range points {
		q := &points[i]
		if q == p {
			return
		}
		if q.stage == p.stage && q.hold != plain && (q.when == nil || q.when(l, r)) {
			r.check(l.done(q.id), "%s at the %s with %s open", e.Kind, e.Item, q.id)
		}
	}
}

// may says who does what, as the office would have it.
var may = map[jobs.EventKind]string{
	jobs.Opened: "crew foreman office", jobs.Corrected: "crew foreman office", jobs.Ticked: "crew foreman", jobs.Unticked: "crew foreman office", jobs.NotForThis: "crew foreman",
	jobs.Overridden: "foreman", jobs.Read: "crew foreman", jobs.Pictured: "crew foreman", jobs.SnagOpened: "crew foreman office", jobs.SnagClosed: "crew foreman office",
	jobs.Mixed: "crew foreman", jobs.MixSpoilt: "crew foreman", jobs.Bonded: "crew foreman", jobs.WarmthRead: "crew foreman", jobs.Knocked: "crew foreman", jobs.WordGiven: "foreman", jobs.WarmthHeld: "foreman", jobs.VisitSet: "crew foreman office",
	jobs.VisitMoved: "crew foreman office", jobs.VisitCalled: "crew foreman office", jobs.VisitDone: "crew foreman office", jobs.Snoozed: "crew foreman office", jobs.HandedOver: "crew foreman",
	jobs.Undone: "crew foreman office", jobs.HandoverTaken: "foreman", jobs.CalledOff: "foreman", jobs.Recalled: "foreman", jobs.LeafDated: "crew foreman office",
	jobs.SnagMoved: "crew foreman office", jobs.SnagPictured: "crew foreman office", jobs.AnswerKept: "crew foreman office",
}

func (r *rules) roles(l *ledger, e *jobs.Event) {
	allowed, ok := may[e.Kind]
	if !ok || strings.HasPrefix(e.Text, "by the bot") { // it follows from what they may do
		return
	}
	r.count["roles"]++
	role := jobs.Guest
	for _, p := range l.pl.people {
		if p.id == e.By {
			role = p.role
		}
	}
	r.check(slices.Contains(strings.Fields(allowed), string(role)), "%s, who is %s, made it %s", e.By, role, e.Kind)
}
