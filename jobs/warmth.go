package jobs

import (
	"errors"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// ReadWarmth enters the temperature of the substrate, or of the air if that is
// colder. Min is the lowest since the reading before, where a max-min
// thermometer has kept it.
type ReadWarmth struct {
	T   calc.Temperature
	Min *calc.Temperature
}

// HoldWarmth is the foreman's word that all plates of the door are kept at a
// temperature or above. From is now if it is zero.
type HoldWarmth struct {
	T           calc.Temperature
	From, Until time.Time
}

// Vouched is a temperature that a foreman vouches for.
type Vouched struct {
	calc.Held
	By string `json:"by"`
}

func (*ReadWarmth) action() Action { return Bonding }
func (*HoldWarmth) action() Action { return Vouch }

func (c *ReadWarmth) decide(t *turn) error {
	if err := t.inWork(); err != nil {
		return err
	}
	at, err := t.done()
	if err != nil {
		return err
	}
	if d := t.doubt(c); d != nil && t.at.IsZero() { // it is so, since it was read
		t.at = d.At
	} else if n := len(t.door.Warmths); n > 0 && at.Before(t.door.Warmths[n-1].At) {
		return calc.F("%s is before the reading of %s: readings are entered in their order", onDay(at.In(t.Site.Zone)), onDay(t.door.Warmths[n-1].At.In(t.Site.Zone)))
	}
	switch open := t.temperatures(); {
	case c.Min != nil || len(open) == 0:
	case len(open) == 1:
		return (&ReadItem{Item: open[0], Value: Of(float64(c.T), "°C")}).decide(t)
	default:
		return calc.F("at which plate is it %s? read %s", c.T, list("%s, or read %s", open))
	}
	e := Event{Kind: WarmthRead, Value: new(Of(float64(c.T), "°C"))}
	if c.Min != nil {
		if *c.Min > c.T {
			return calc.F("a minimum of %s is above the %s that is read now: say temperature and what is read now, then min and the lowest since the reading before", *c.Min, c.T)
		}
		e.Min = new(Of(float64(*c.Min), "°C"))
	}
	return t.warmth(e)
}

// temperatures returns the readings of temperatures that the checklist waits
// for, none if a bond cures already.
func (t *turn) temperatures() (open []string) {
	if len(t.door.Bonds) > 0 {
		return nil
	}
	for _, it := range t.items() {
		if strings.HasSuffix(it.ID, "-temperature") && !it.State.Settled() && t.inOrder(it) == nil {
			open = append(open, it.ID)
		}
	}
	return open
}

// warmth enters a temperature, of one plate or of both, and voids what it
// leaves too cold. A control sample that was found hard has ended the cure.
func (t *turn) warmth(e Event) error {
	for _, v := range []*Measure{e.Value, e.Min} {
		if v != nil && (v.Value() < -50 || v.Value() > 80) {
			return calc.F("%s is no temperature of a floor", v)
		}
	}
	held := t.door.heldAt(t.Now)
	e.Since = t.at
	t.emit(e)
	for _, where := range []string{"floor", "head"} {
		id := where + "-temperature"
		if t.door.Items[id].State == Read && t.door.Items[id].Settled() && !t.door.Items[where+"-bonded"].Settled() && t.workable(where, t.Now) != nil {
			t.emit(Event{Kind: Unticked, Item: id, Text: calc.F(isOutside, e.Value, bondLimits(&t.door, t.Sheet)).String()})
		}
	}
	if read := e.warmth(); held != nil && read.Coldest() < held.T {
		t.tellForeman(notHeld, calc.F("%s was read, colder than the %s that %s vouched for: it is not held any more, and the stretch since the reading before counts at %s",
			read.Coldest(), held.T, held.By, read.Coldest()))
	}
	for i := range t.door.Bonds {
		if err := t.chill(&t.door.Bonds[i]); err != nil {
			return err
		}
	}
	return nil
}

// chill voids a bond that what was read last is too cold for, and tells the
// foreman.
func (t *turn) chill(b *Bond) error {
	read := t.door.warmths(b.Where)
	c, err := t.door.cure(b, t.Now)
	over := t.door.Items[sampleOf(b.Where)].State == Ticked
	if err != nil || over || c.VoidSince.IsZero() || !b.Void.IsZero() && b.Word == "" {
		return err
	}
	coldest := read[len(read)-1].Coldest()
	late := func(w calc.Warmth) bool { return !b.knew(w.At) && w.Coldest() < b.Adhesive.Lowest }
	if b.Word != "" && coldest >= b.Adhesive.Lowest && !slices.ContainsFunc(read, late) { // it was given for the cold before
		return nil
	}
	for _, r := range read {
		if !r.At.Before(c.VoidSince) {
			coldest = min(coldest, r.Coldest())
		}
	}
	t.emit(Event{Kind: Voided, Item: b.Where, When: c.VoidSince})
	t.tellForeman(voided, calc.F("%s at the %s plate is below the adhesive's lowest, %s: its cure can't be told any more. Bond anew, or attach the adhesive maker's written word",
		coldest, calc.Word(b.Where), b.Adhesive.Lowest))
	t.lookAgain(sampleOf(b.Where), tooCold)
	return nil
}

// knew reports whether the maker's word was given after a time: what was so before
// it may have been given for.
func (b *Bond) knew(at time.Time) bool {
	return b.Word != "" && (b.Given.IsZero() || at.Before(b.Given))
}

// heldMost is how long a temperature is vouched for in one go: the project's
// own.
const heldMost = 31 * 24 * time.Hour

func (c *HoldWarmth) decide(t *turn) error {
	if err := t.inWork(); err != nil {
		return err
	}
	h := Vouched{calc.Held{From: c.From, Until: c.Until, T: c.T}, t.Who}
	if h.From.IsZero() {
		h.From = t.Now
	}
	switch a := &t.Sheet.Adhesive; {
	case c.T < a.Lowest || c.T > a.Highest:
		return calc.F("%s can't be held: at least %s and at most %s, between which the adhesive is worked", c.T, a.Lowest, a.Highest)
	case !h.Until.After(h.From):
		return calc.F("it is held from %s until %s: that is no time", onDay(h.From.In(t.Site.Zone)), onDay(h.Until.In(t.Site.Zone)))
	case h.Until.Sub(h.From) > heldMost:
		return calc.F("it is held from %s until %s: at most 31 days are vouched for in one go", onDay(h.From.In(t.Site.Zone)), onDay(h.Until.In(t.Site.Zone)))
	}
	for _, w := range t.door.Warmths {
		if w.At.Equal(h.From) && w.Coldest() < h.T {
			return calc.F("%s was read on %s, from when it is said to be held at %s: read it again once it is as warm, or say from when", w.Coldest(), onDay(w.At.In(t.Site.Zone)), h.T)
		}
		if w.At.After(h.From) && w.At.Before(h.Until) && w.Coldest() < h.T {
			return calc.F("%s was read on %s, colder than %s: it was not held", w.Coldest(), onDay(w.At.In(t.Site.Zone)), h.T)
		}
	}
	v := Of(float64(c.T), "°C")
	t.emit(Event{Kind: WarmthHeld, Value: &v, From: h.From, When: h.Until})
	return nil
}

// hold puts what is vouched for from now on in place of what was, from its
// beginning on.
func (d *Door) hold(h Vouched) {
	var all []Vouched
	for _, old := range d.Held {
		if old.Until.After(h.From) {
			old.Until = h.From
		}
		if old.Until.After(old.From) {
			all = append(all, old)
		}
	}
	d.Held = append(all, h)
}

// heldIn returns what is held of the door, up to the first colder reading at
// any of its plates.
func (d *Door) heldIn() []Vouched {
	all := slices.Clone(d.Held)
	for i := range all {
		h := &all[i]
		for _, w := range d.Warmths {
			if !w.At.Before(h.From) && w.At.Before(h.Until) && w.Coldest() < h.T {
				h.Until = w.At
			}
		}
	}
	return all
}

// heldAt returns what is held at an instant, nil for nothing.
func (d *Door) heldAt(at time.Time) *Vouched {
	all := d.heldIn()
	return ptr(all, func(h Vouched) bool { return !at.Before(h.From) && at.Before(h.Until) })
}

// heldUp returns what the end of a bond's cure rests on beside readings, nil for
// nothing.
func (d *Door) heldUp(b *Bond, end time.Time) *Vouched {
	from := b.From
	if read := d.warmths(b.Where); len(read) > 0 {
		from = latest(from, read[len(read)-1].At)
	}
	all := d.heldIn()
	return ptr(all, func(h Vouched) bool { return h.From.Before(end) && h.Until.After(from) })
}

// warmths returns what was read for a plate, in the order of its time.
func (d *Door) warmths(where string) (read []calc.Warmth) {
	for _, w := range d.Warmths {
		if w.Where == "" || w.Where == where {
			read = append(read, w.Warmth)
		}
	}
	slices.SortStableFunc(read, func(a, b calc.Warmth) int { return a.At.Compare(b.At) })
	return read
}

// cure returns how far a bond has come.
func (d *Door) cure(b *Bond, now time.Time) (calc.Cure, error) {
	var held []calc.Held
	for _, h := range d.heldIn() {
		if h.Until.After(h.From) {
			held = append(held, h.Held)
		}
	}
	return b.Adhesive.Cure(b.From, d.warmths(b.Where), held, latest(b.From, now))
}

// WantsWarmth reports whether the end of a door's cure rests on what nobody has
// read, and nothing was read for some time or is held now.
func (d *Door) WantsWarmth(now time.Time, unread time.Duration) bool {
	c := d.Cure(now)
	if c.Unread.IsZero() || !c.End.After(now) || !d.Curing() || !d.Handover.IsZero() || d.heldAt(now) != nil {
		return false
	}
	return !slices.ContainsFunc(d.Warmths, func(w Warmth) bool { return w.At.After(now.Add(-unread)) })
}

// beforeNight is how long before the end of work a temperature is asked for: the
// project's own.
const beforeNight = 60

// AskWarmth returns when a site is next asked for temperatures after an instant:
// as work begins, and in the last hour of a day's work, which is before the
// night. ok is false if nobody works for over a year.
func (c *Calendar) AskWarmth(after time.Time) (at time.Time, night, ok bool) {
	for d := range yearAhead {
		day := DateOf(after.In(c.Zone)).Add(d)
		if !c.ClosedOn(day).IsZero() {
			continue
		}
		hours := c.Hours[day.Weekday()]
		last := hours[len(hours)-1]
		begin, evening := day.At(hours[0].From, c.Zone), day.At(max(last.From, last.To-beforeNight), c.Zone)
		switch {
		case begin.After(after):
			return begin, false, true
		case evening.After(after):
			return evening, true, true
		}
	}
	return time.Time{}, false, false
}

// HeldBy returns the least temperature that all plates are to be held at from now
// on for the sheet's hours to end by an instant; zero time left is told by an
// error that says when they end at the earliest. None is needed if they end by
// then as it is.
func (d *Door) HeldBy(now, by time.Time, zone *time.Location) (least calc.Temperature, needed bool, err error) {
	for i := range d.Bonds {
		b := &d.Bonds[i]
		if about := d.doubted(b); about != nil {
			return 0, false, calc.F(nobodySaid, about.Coldest(), about.By)
		}
		if b.Word != "" {
			if b.Until.After(by) {
				return 0, false, calc.F("by the adhesive maker's word it is left alone until %s", onDay(b.Until.In(zone)))
			}
			continue
		}
		// What was read holds for four hours, whatever is held.
		from := latest(now, b.From)
		if read := d.warmths(b.Where); len(read) > 0 {
			from = latest(from, read[len(read)-1].At.Add(calc.ReadWithin))
		}
		c, err := d.cure(b, from)
		switch {
		case err != nil:
			return 0, false, err
		case !b.Void.IsZero() || !c.VoidSince.IsZero():
			return 0, false, calc.F("it was too cold, the cure can't be told: bond anew, or attach the adhesive maker's written word")
		case !c.ReadyAt.After(by):
			continue
		}
		rest := b.Adhesive.Base - c.Equivalent
		t, err := b.Adhesive.HeldFor(rest, calc.Hours(by.Sub(from).Hours()))
		if _, late := errors.AsType[*calc.RangeError](err); late {
			end := c.ReadyAt
			if rest > 0 {
				end = from.Add(time.Duration(float64(rest) * float64(time.Hour))).Add(time.Minute - 1).Truncate(time.Minute)
			}
			return 0, false, calc.F("no warmth makes that: even at %s the sheet's hours end not before %s", b.Adhesive.Ref, onDay(end.In(zone)))
		}
		if err != nil {
			return 0, false, err
		}
		if !needed || t > least {
			least, needed = t, true
		}
	}
	return least, needed, nil
}
