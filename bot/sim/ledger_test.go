package sim

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/jobs"
)

// ledger is a door as somebody with a pencil would keep it who reads its log:
// its own fold, that shares nothing with the program's.
type ledger struct {
	pl      *place
	spec    jobs.Spec
	at      time.Time
	items   map[string]settled
	bonds   map[string]bond
	read    []reading
	vouched []vouched
	doubts  []doubt // that nobody has answered, as they came
	mixes   map[string]mixed
	snags   map[string]string // open, by owner
	visits  map[string]planned
	snoozed map[string]time.Time
	frozen  map[string]bool // numbers in material
	fixed   map[string]jobs.Measure
	handed  bool
	off     bool // called off

	// Of the last change, which may be taken back.
	before *ledger
	op, by string
	barred bool
}

// settled is an item of the checklist that something was entered for.
type settled struct {
	kind jobs.EventKind
	by   string
	at   time.Time
	out  bool // a reading outside its limits: the item is open
}

// bond is a plate on its adhesive.
type bond struct {
	from  time.Time
	cold  bool      // it was too cold for it
	word  time.Time // by the maker's word, its end; zero: none was given
	given time.Time // when that was
}

type reading struct {
	at    time.Time
	t     float64
	where string   // "" for both plates
	min   *float64 // the lowest since the reading before, if it was read
}

// coldest is the coldest that a reading tells of.
func (x *reading) coldest() float64 {
	if x.min != nil {
		return min(x.t, *x.min)
	}
	return x.t
}

// vouched is a temperature that the foreman vouches for.
type vouched struct {
	from, until time.Time
	t           float64
}

// doubt is a cold reading that somebody was asked about.
type doubt struct {
	name      string
	coldest   float64
	by        string
	at, asked time.Time
}

type mixed struct{ at, ends time.Time }

type planned struct {
	at, set time.Time
	who     []string // nobody: the whole crew
	over    bool
}

func newLedger(pl *place) *ledger {
	return &ledger{pl: pl, items: map[string]settled{}, bonds: map[string]bond{}, mixes: map[string]mixed{}, snags: map[string]string{},
		visits: map[string]planned{}, snoozed: map[string]time.Time{}, frozen: map[string]bool{}, fixed: map[string]jobs.Measure{}}
}

// clone copies a ledger, without the one before it.
func (l *ledger) clone() *ledger {
	c := *l
	c.before = nil
	c.items, c.bonds, c.mixes, c.snags = maps.Clone(l.items), maps.Clone(l.bonds), maps.Clone(l.mixes), maps.Clone(l.snags)
	c.visits, c.snoozed, c.frozen, c.fixed = maps.Clone(l.visits), maps.Clone(l.snoozed), maps.Clone(l.frozen), maps.Clone(l.fixed)
	c.doubts = slices.Clone(l.doubts)
	c.read, c.vouched = slices.Clone(l.read), slices.Clone(l.vouched)
	return &c
}

// done reports whether an item is settled.
func (l *ledger) done(id string) bool {
	s, ok := l.items[id]
	return ok && !s.out
}

// standing reports whether a leaf is stood up that nobody may let go of.
func (l *ledger) standing() bool { return l.done("stood") && !l.done("engaged") }

// wake forgets what was put off of a subject that has moved.
func (l *ledger) wake(subject string) {
	maps.DeleteFunc(l.snoozed, func(id string, _ time.Time) bool { return id == subject || strings.HasPrefix(id, subject+":") })
}

// turn begins a change of one message.
func (l *ledger) turn(op string, events []jobs.Event) {
	undoes := slices.ContainsFunc(events, func(e jobs.Event) bool { return e.Kind == jobs.Undone })
	asks := slices.Contains([]jobs.EventKind{jobs.WarmthAsked, jobs.WarmthDropped, jobs.AnswerKept}, events[0].Kind)
	if undoes || asks {
		return
	}
	l.before = l.clone()
	l.op, l.by, l.barred = op, events[0].By, false
}

// enter enters an event.
func (l *ledger) enter(e *jobs.Event) {
	l.at = e.At
	if e.Kind == jobs.Opened && l.off { // it begins anew
		fresh := newLedger(l.pl)
		fresh.before, fresh.op, fresh.by, fresh.at = l.before, l.op, l.by, l.at
		*l = *fresh
	}
	switch e.Kind {
	case jobs.Opened, jobs.Corrected:
		l.barred = l.barred || e.Kind == jobs.Opened || e.Spec.SheetHash != l.spec.SheetHash
		l.spec = *e.Spec
		l.number(e.Numbers)
	case jobs.Ticked, jobs.NotForThis, jobs.Overridden, jobs.Read, jobs.Pictured:
		l.items[e.Item] = settled{e.Kind, e.By, e.At, e.Judgement == jobs.Out}
		l.barred = l.barred || e.Kind == jobs.Overridden
	case jobs.Unticked:
		delete(l.items, e.Item)
	case jobs.Fixed:
		for _, n := range e.Names {
			l.frozen[n] = true
		}
	case jobs.Freed:
		for _, n := range e.Names {
			delete(l.frozen, n)
		}
		l.number(e.Numbers)
	case jobs.SnagOpened:
		l.snags[e.Item] = e.Names[0]
	case jobs.SnagMoved:
		l.snags[e.Item] = e.Names[0]
	case jobs.SnagClosed:
		delete(l.snags, e.Item)
	case jobs.HandedOver:
		l.handed, l.barred = true, true
	case jobs.HandoverTaken:
		l.handed, l.barred = false, true
	case jobs.CalledOff, jobs.Recalled:
		l.off, l.barred = e.Kind == jobs.CalledOff, true
	case jobs.Undone:
		l.restore()
	default:
		l.enterBond(e)
		l.enterVisit(e)
	}
}

// number notes the card's numbers.
func (l *ledger) number(all []jobs.Number) {
	clear(l.fixed)
	for _, n := range all {
		l.fixed[n.Name] = n.Value
	}
}

func (l *ledger) enterBond(e *jobs.Event) {
	b := l.bonds[e.Item]
	switch e.Kind {
	case jobs.Mixed:
		l.mixes[e.Item] = mixed{e.At, e.When}
	case jobs.MixSpoilt:
		delete(l.mixes, e.Item)
		l.barred = true
	case jobs.Bonded:
		delete(l.mixes, e.Item)
		l.bonds[e.Item] = bond{from: e.At, cold: l.coldAt(e.Item, e.Bond)}
		if len(l.bonds) == 1 {
			l.doubts = nil
		}
		l.wake("cure")
	case jobs.Knocked:
		l.bonds[e.Item] = bond{from: e.At, cold: b.cold}
		l.wake("cure")
	case jobs.Voided:
		l.wake("cure")
		return
	case jobs.WordGiven:
		b.word, b.given = e.When, e.At
		l.bonds[e.Item] = b
		l.wake("cure")
	case jobs.WarmthAsked:
		x := readOf(e)
		l.doubts = append(l.doubts, doubt{doubtOf(e), x.coldest(), e.By, x.at, e.At})
		return
	case jobs.WarmthDropped:
		l.answered(e)
		return
	case jobs.WarmthRead:
		x := readOf(e)
		l.answered(e)
		l.read = append(l.read, x)
		slices.SortStableFunc(l.read, func(a, b reading) int { return a.at.Compare(b.at) })
		for where, b := range l.bonds {
			if !x.at.Before(b.from) && (b.word.IsZero() || x.at.After(b.given)) && x.coldest() < l.lowest() && (e.Item == "" || e.Item == where) && l.items[where+"-sample"].kind != jobs.Ticked {
				b.cold, b.word = true, time.Time{}
				l.bonds[where] = b
			}
		}
		return
	case jobs.WarmthHeld:
		for i := range l.vouched { // what is vouched for now takes its place
			l.vouched[i].until = early(l.vouched[i].until, e.From)
		}
		l.vouched = append(l.vouched, vouched{e.From, e.When, e.Value.Value()})
		return
	default:
		return
	}
	l.barred = true
}

// readOf returns what was read, when it was.
func readOf(e *jobs.Event) reading {
	x := reading{at: e.At, t: e.Value.Value(), where: e.Item}
	if !e.Since.IsZero() {
		x.at = e.Since
	}
	if e.Min != nil {
		x.min = new(e.Min.Value())
	}
	return x
}

// doubtOf names what somebody is asked about.
func doubtOf(e *jobs.Event) string { return fmt.Sprint(e.Value, e.Min) }

// doubted reports whether a cold reading stands against a bond's cure that nobody
// has confirmed or denied.
func (l *ledger) doubted(b *bond) bool {
	return slices.ContainsFunc(l.doubts, func(d doubt) bool { return l.against(&d, b) })
}

// against reports whether what somebody was asked about would void a bond's cure,
// and is not what the maker's word was given for.
func (l *ledger) against(d *doubt, b *bond) bool {
	return (b.word.IsZero() && !b.cold || !b.word.IsZero() && !d.at.Before(b.given)) && d.coldest < l.lowest()
}

// asking returns what somebody is to be asked about again, nil for nothing.
func (l *ledger) asking() *doubt {
	for _, id := range l.unlooked() {
		where, _, _ := strings.Cut(id, "-")
		b := l.bonds[where]
		for i := range l.doubts {
			if l.against(&l.doubts[i], &b) {
				return &l.doubts[i]
			}
		}
	}
	return nil
}

// answered takes a reading off those that are asked about.
func (l *ledger) answered(e *jobs.Event) {
	l.doubts = slices.DeleteFunc(slices.Clone(l.doubts), func(d doubt) bool { return d.name == doubtOf(e) })
}

// coldAt reports whether a plate is bonded in what was last read as too cold.
func (l *ledger) coldAt(where string, b *jobs.Bond) bool {
	for _, r := range slices.Backward(l.read) {
		if r.where == "" || r.where == where {
			return r.t < float64(b.Adhesive.Lowest)
		}
	}
	return false
}

func (l *ledger) enterVisit(e *jobs.Event) {
	v := l.visits[e.Item]
	switch e.Kind {
	case jobs.VisitSet:
		l.visits[e.Item] = planned{at: e.When, set: e.At, who: e.Names}
	case jobs.VisitMoved:
		if len(e.Names) > 0 {
			v.who = e.Names
		}
		l.visits[e.Item] = planned{at: e.When, set: e.At, who: v.who}
		l.wake("visit:" + e.Item)
	case jobs.VisitCalled, jobs.VisitDone:
		v.over = true
		l.visits[e.Item] = v
	case jobs.Snoozed:
		l.snoozed[e.Item] = e.When
	}
}

// restore takes the last change back.
func (l *ledger) restore() {
	b := l.before
	if b == nil {
		return
	}
	at, doubts := l.at, l.doubts
	*l = *b.clone()
	l.at = at
	for _, d := range l.doubts { // they are answered, not undone
		if !slices.ContainsFunc(doubts, func(o doubt) bool { return o.name == d.name }) {
			doubts = append(doubts, d)
		}
	}
	l.doubts = doubts
}
