package jobs

import (
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// Doubt is a cold reading that whoever typed it was asked about. Until somebody
// says whether it is so, it counts against every cure: else a leaf would be hung
// on what may not have held.
type Doubt struct {
	calc.Warmth
	By    string    `json:"by"`
	Asked time.Time `json:"asked"`
	Known string    `json:"known,omitempty"` // to the maker's word that was given since, for these plates
}

// nobodySaid is why a cure has no end while a cold reading is doubted.
const nobodySaid = "%s, below the adhesive's lowest, was read by @%s, and nobody has said yet whether it is so: say yes or no"

// DoubtWarmth notes that somebody is asked whether a reading that voids a cure is
// meant.
type DoubtWarmth struct{ ReadWarmth }

// DropWarmth says that a reading that was asked about is not so.
type DropWarmth struct{ ReadWarmth }

func (*DoubtWarmth) action() Action { return Bonding }
func (*DropWarmth) action() Action  { return Bonding }

func (c *DoubtWarmth) decide(t *turn) error {
	at, err := t.done()
	if err != nil || t.doubt(&c.ReadWarmth) != nil {
		return err
	}
	t.emit(c.event(WarmthAsked, at, t.Now))
	return nil
}

func (c *DropWarmth) decide(t *turn) error {
	d := t.doubt(&c.ReadWarmth)
	switch {
	case d == nil:
		return calc.F("nobody is asked about %s here", c.T)
	case d.By != t.Who && !t.Site.Leads(t.Who):
		return calc.F("%s was read by @%s: it takes their no, or the foreman's", d.Coldest(), d.By)
	}
	t.emit(c.event(WarmthDropped, d.At, t.Now))
	return nil
}

// event is what is put on record of a reading that is no reading yet.
func (c *ReadWarmth) event(kind EventKind, at, now time.Time) Event {
	e := Event{Kind: kind, Value: new(Of(float64(c.T), "°C"))}
	if c.Min != nil {
		e.Min = new(Of(float64(*c.Min), "°C"))
	}
	if !at.Equal(now) {
		e.Since = at
	}
	return e
}

// doubt returns the doubt about a reading, nil if there is none.
func (t *turn) doubt(c *ReadWarmth) *Doubt {
	return ptr(t.door.Doubts, func(d Doubt) bool { return d.is(c.T, c.Min) })
}

func (d *Doubt) is(t calc.Temperature, least *calc.Temperature) bool {
	return d.T == t && (d.Min == nil) == (least == nil) && (least == nil || *d.Min == *least)
}

// Coldest returns the coldest that the event of a reading tells of.
func (e *Event) Coldest() calc.Temperature {
	w := e.warmth()
	return w.Coldest()
}

// warmth returns what a reading's event says.
func (e *Event) warmth() calc.Warmth {
	w := calc.Warmth{At: e.done(), T: calc.Temperature(e.Value.Value())}
	if e.Min != nil {
		w.Min = new(calc.Temperature(e.Min.Value()))
	}
	return w
}

// applyWarmth changes the door by a reading, or by what is said of one.
func (d *Door) applyWarmth(e *Event) {
	w := e.warmth()
	settled := func(about Doubt) bool { return about.is(w.T, w.Min) }
	switch e.Kind {
	case WarmthAsked:
		d.Doubts = append(d.Doubts, Doubt{Warmth: w, By: e.By, Asked: e.At})
		return
	case WarmthRead:
		d.Warmths = append(d.Warmths, Warmth{w, e.Item})
		slices.SortStableFunc(d.Warmths, func(a, b Warmth) int { return a.At.Compare(b.At) }) // a doubt is settled later
	}
	if d.Doubts = slices.DeleteFunc(d.Doubts, settled); len(d.Doubts) == 0 {
		d.Doubts = nil
	}
}

// union returns the doubts of before and those since: undo takes none back.
func union(before, since []Doubt) []Doubt {
	all := slices.Clone(since)
	for _, about := range before {
		if !slices.ContainsFunc(all, func(d Doubt) bool { return d.is(about.T, about.Min) }) {
			all = append(all, about)
		}
	}
	return all
}

// doubted returns the first doubt that the end of a bond's cure is not told for,
// nil for none.
func (d *Door) doubted(b *Bond) *Doubt {
	if len(d.Doubts) == 0 || b.Word == "" && !b.Void.IsZero() {
		return nil
	}
	return ptr(d.Doubts, func(about Doubt) bool {
		return about.Coldest() < b.Adhesive.Lowest && (b.Word == "" || !strings.Contains(about.Known, b.Where)) // else the word knows of it
	})
}

// doubts reminds of what somebody was asked and nobody has answered.
func (p *pendings) doubts() {
	if len(p.door.Doubts) == 0 || !p.door.Curing() || !p.door.Handover.IsZero() {
		return
	}
	about := p.door.Doubts[0]
	p.chain("cold", ColdAsked, toPeople([]string{about.By}), about.Asked.Add(unanswered),
		map[string]string{"t": about.Coldest().String(), "by": about.By})
}
