package jobs

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// Door is the state of a door's job: the fold of its log. It is kept folded.
type Door struct {
	Version  int64                `json:"version"` // events folded
	Updated  time.Time            `json:"updated"` // by the last of them
	Spec     Spec                 `json:"spec"`
	Numbers  []Number             `json:"numbers,omitempty"`
	Items    map[string]ItemState `json:"items,omitempty"`
	Stage    Stage                `json:"stage,omitempty"`
	Snags    []Snag               `json:"snags,omitempty"`
	Mixes    []Mix                `json:"mixes,omitempty"` // adhesive that is open now, one for each plate
	Batch    *Cartridge           `json:"batch,omitempty"` // of the adhesive that was mixed last
	Bonds    []Bond               `json:"bonds,omitempty"`
	Warmths  []Warmth             `json:"warmths,omitempty"`
	Doubts   []Doubt              `json:"doubts,omitempty"` // cold readings that nobody has confirmed or denied
	Held     []Vouched            `json:"held,omitempty"`   // temperatures that are vouched for, one after the other
	Visits   []Visit              `json:"visits,omitempty"`
	Leaf     Leaf                 `json:"leaf,omitzero"`
	Snoozed  map[string]time.Time `json:"snoozed,omitempty"` // reminders put off
	Handover time.Time            `json:"handover,omitzero"`
	HandedBy string               `json:"handed_by,omitempty"`
	Off      time.Time            `json:"off,omitzero"` // called off since
	OffBy    string               `json:"off_by,omitempty"`
	Anew     int64                `json:"anew,omitempty"`  // events before the door of this id was opened anew; 0 for the first
	Names    []string             `json:"names,omitempty"` // ids that it had before it was renamed, since it was opened
	Undo     *Undo                `json:"undo,omitempty"`
}

// UnmarshalJSON reads a door, also one that was stored while it had one open mix
// at most.
func (d *Door) UnmarshalJSON(data []byte) error {
	type plain Door
	v := struct {
		*plain
		Mix *Mix `json:"mix"`
	}{plain: (*plain)(d)}
	err := json.Unmarshal(data, &v)
	if v.Mix != nil {
		d.Mixes = append(d.Mixes, *v.Mix)
	}
	rename(d.Items)
	renameNumbers(d.Numbers)
	if d.Undo != nil {
		rename(d.Undo.Items)
		renameNumbers(d.Undo.Numbers)
	}
	return err
}

// rename gives the items of an earlier version the ids of now.
func rename[T any](items map[string]T) {
	for _, id := range slices.Collect(maps.Keys(items)) {
		for _, now := range Became(id) {
			items[now] = items[id]
		}
		if Became(id)[0] != id {
			delete(items, id)
		}
	}
}

// renameNumbers gives the numbers of an earlier version the names of now.
func renameNumbers(numbers []Number) {
	for i := range numbers {
		numbers[i].Name = numberNow(numbers[i].Name)
	}
}

// numberNow returns the name of now of a number.
func numberNow(name string) string {
	if name == "guide_length" {
		return "tube_length"
	}
	return name
}

// ItemState is where an item of the checklist stands.
type ItemState struct {
	State     EventKind   `json:"state"` // Ticked, NotForThis, Overridden, Read or Pictured
	By        string      `json:"by"`
	At        time.Time   `json:"at"`
	Text      string      `json:"text,omitempty"`
	Word      string      `json:"word,omitempty"`
	Value     *Measure    `json:"value,omitempty"`
	Limits    string      `json:"limits,omitempty"`
	Judgement Judgement   `json:"verdict,omitempty"`
	Plate     calc.Length `json:"plate,omitempty"` // where it was looked at
}

// Settled reports whether the item is done with: a reading that is out is
// not.
func (s ItemState) Settled() bool { return s.State != "" && s.Judgement != Out }

// Snag is a defect to put right.
type Snag struct {
	ID     string    `json:"id"`
	Text   string    `json:"text"`
	Owner  string    `json:"owner"`
	Opened time.Time `json:"opened"`
	Due    time.Time `json:"due,omitzero"`   // by when, if that was said
	Moved  time.Time `json:"moved,omitzero"` // when day or owner were last changed
	Closed time.Time `json:"closed,omitzero"`
	Done   string    `json:"done,omitempty"`   // what was done
	Misfit bool      `json:"misfit,omitempty"` // the bot opened it because something does not fit
	Hit    bool      `json:"hit,omitempty"`    // something was or may have been hit, as people told
	Photos int       `json:"photos,omitempty"` // that are kept of it
}

// Mix is adhesive that was mixed and is not used up or thrown away.
type Mix struct {
	Where string    `json:"where"`
	Batch string    `json:"batch"`
	At    time.Time `json:"at"`
	Ends  time.Time `json:"ends"` // its working time
}

// Cartridge is what stands on adhesive that somebody mixed.
type Cartridge struct {
	Name    string    `json:"name"`
	Expires string    `json:"expires"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
}

// Bond is a plate on its adhesive.
type Bond struct {
	Where    string        `json:"where"` // floor or head
	Batch    string        `json:"batch"`
	From     time.Time     `json:"from"` // bonded, or knocked since
	Adhesive calc.Adhesive `json:"adhesive"`
	Void     time.Time     `json:"void,omitzero"` // when it was too cold
	Word     string        `json:"word,omitempty"`
	Until    time.Time     `json:"until,omitzero"` // its end by the maker's word
}

// Warmth is a temperature that was read.
type Warmth struct {
	calc.Warmth
	Where string `json:"where,omitempty"` // at which plate; "" for both
}

// Visit is a planned return to the door.
type Visit struct {
	ID    string    `json:"id"`
	At    time.Time `json:"at"`
	Set   time.Time `json:"set"` // when it was planned or moved
	Why   string    `json:"why,omitempty"`
	Who   []string  `json:"who,omitempty"`   // ids of those who come; nobody in particular: the crew
	Takes int       `json:"takes,omitempty"` // minutes; 0: not said
	For   string    `json:"for,omitempty"`   // the return after handover that it is
	End   EventKind `json:"end,omitempty"`   // VisitDone or VisitCalled
	Text  string    `json:"text,omitempty"`
	Done  time.Time `json:"done,omitzero"`
}

// Fold returns the door that a log of events tells of.
func Fold(events []Event) Door {
	var d Door
	for i := range events {
		d.apply(&events[i])
	}
	return d
}

// Apply returns the door after further events. d is left as it is.
func (d Door) Apply(events ...Event) Door {
	d = d.clone()
	for i := range events {
		d.apply(&events[i])
	}
	return d
}

// clone copies what apply changes in place.
func (d Door) clone() Door {
	d.Items, d.Snoozed = maps.Clone(d.Items), maps.Clone(d.Snoozed)
	d.Numbers, d.Snags, d.Bonds = slices.Clone(d.Numbers), slices.Clone(d.Snags), slices.Clone(d.Bonds)
	d.Visits, d.Warmths, d.Mixes = slices.Clone(d.Visits), slices.Clone(d.Warmths), slices.Clone(d.Mixes)
	d.Held, d.Doubts = slices.Clone(d.Held), slices.Clone(d.Doubts)
	if d.Undo != nil {
		u := *d.Undo
		u.Items = maps.Clone(u.Items)
		d.Undo = &u
	}
	return d
}

// apply changes d by one event.
func (d *Door) apply(e *Event) {
	d.Version++
	d.Updated = e.At
	d.remember(e)
	if e.Kind == Opened && !d.Off.IsZero() { // it begins anew
		*d = Door{Version: d.Version, Updated: d.Updated, Anew: d.Version - 1}
	}
	switch e.Kind {
	case Opened, Corrected:
		d.Spec, d.Numbers = *e.Spec, slices.Clone(e.Numbers)
	case Ticked, NotForThis, Overridden, Read, Pictured:
		for _, id := range Became(e.Item) {
			d.set(id, &ItemState{State: e.Kind, By: e.By, At: e.done(), Text: e.Text, Word: e.Word,
				Value: e.Value, Limits: e.Limits, Judgement: e.Judgement, Plate: e.Plate})
		}
	case Unticked:
		for _, id := range Became(e.Item) {
			d.set(id, nil)
		}
	case Fixed:
		for i, n := range d.Numbers {
			if slices.Contains(e.Names, n.Name) && n.Fixed == "" {
				d.Numbers[i].Fixed = calc.Word(e.Text)
			}
		}
	case Freed:
		d.Numbers = slices.Clone(e.Numbers)
	case SnagOpened, SnagClosed, SnagPictured, SnagMoved:
		d.applySnag(e)
	case Mixed:
		d.Mixes = append(d.unmixed(e.Item), Mix{Where: e.Item, Batch: e.Text, At: e.done(), Ends: e.When})
		if e.Expires != "" { // else it was entered by an earlier version
			d.Batch = &Cartridge{e.Text, e.Expires, e.By, e.done()}
		}
	case MixSpoilt:
		d.Mixes = d.unmixed(e.Item)
	case Bonded:
		d.Mixes = d.unmixed(e.Item)
		d.wake("cure")
		d.Bonds = append(slices.DeleteFunc(d.Bonds, func(b Bond) bool { return b.Where == e.Item }), *e.Bond)
		if len(d.Bonds) == 1 { // what was doubted of the bond before is over with it
			d.Doubts = nil
		}
	case WarmthRead, WarmthAsked, WarmthDropped:
		d.applyWarmth(e)
	case WarmthHeld:
		d.hold(Vouched{calc.Held{From: e.From, Until: e.When, T: calc.Temperature(e.Value.Value())}, e.By})
	case Knocked, Voided, WordGiven:
		d.applyBond(e)
	case VisitSet, VisitMoved, VisitCalled, VisitDone:
		d.applyVisit(e)
	case LeafDated:
		if day := d.Leaf.day(e.Item); day != nil {
			*day = e.When
		}
	case Snoozed:
		if d.Snoozed == nil {
			d.Snoozed = map[string]time.Time{}
		}
		d.Snoozed[e.Item] = e.When
	case StageMoved:
		d.Stage = e.Stage
	case HandedOver:
		d.Handover, d.HandedBy = e.At, strings.Join(e.Names, "") // logs of before name nobody there
	case HandoverTaken:
		d.Handover, d.HandedBy = time.Time{}, ""
	case CalledOff:
		d.Off, d.OffBy = e.At, strings.Join(e.Names, "")
	case Recalled:
		d.Off, d.OffBy = time.Time{}, ""
	case Renamed:
		d.Names, d.Spec.ID = append(slices.Clip(d.Names), d.Spec.ID), e.Item
	case Undone:
		d.restore()
	}
}

// applySnag changes a snag by an event.
func (d *Door) applySnag(e *Event) {
	s := d.Snag(e.Item)
	switch {
	case e.Kind == SnagOpened:
		d.Snags = append(d.Snags, Snag{ID: e.Item, Text: e.Text, Owner: e.Names[0], Opened: e.At, Due: e.When, Misfit: e.Misfit, Hit: e.Hit})
	case s == nil:
	case e.Kind == SnagClosed:
		s.Closed, s.Done = e.At, e.Text
	case e.Kind == SnagPictured:
		s.Photos += max(1, len(e.Files))
	default:
		s.Owner, s.Due, s.Moved = e.Names[0], e.When, e.At
		d.wake("snag:" + s.ID)
	}
}

// unmixed returns the adhesive that is open for other plates, nil for none, as
// it comes back from storage.
func (d *Door) unmixed(where string) []Mix {
	var rest []Mix
	for _, m := range d.Mixes {
		if m.Where != where {
			rest = append(rest, m)
		}
	}
	return rest
}

// applyBond changes a bond by an event.
func (d *Door) applyBond(e *Event) {
	b := d.bond(e.Item)
	if b == nil {
		return
	}
	d.wake("cure")
	switch e.Kind {
	case Knocked:
		b.From, b.Word, b.Until = e.At, "", time.Time{}
	case Voided:
		b.Void, b.Word, b.Until = e.When, "", time.Time{} // a word from before does not know of the cold
	case WordGiven:
		b.Word, b.Until = e.Word, e.When
		d.Doubts = slices.Clone(d.Doubts)
		for i := range d.Doubts {
			d.Doubts[i].Known += e.Item + " "
		}
	}
}

// applyVisit changes a visit by an event.
func (d *Door) applyVisit(e *Event) {
	if e.Kind == VisitSet {
		d.Visits = append(d.Visits, Visit{ID: e.Item, At: e.When, Set: e.At, Why: e.Text, For: e.For, Who: e.Names, Takes: e.Takes})
		return
	}
	v := d.Visit(e.Item)
	if v == nil {
		return
	}
	if e.Kind == VisitMoved {
		v.At, v.Set = e.When, e.At
		if len(e.Names) > 0 {
			v.Who = e.Names
		}
		if e.Takes > 0 {
			v.Takes = e.Takes
		}
		d.wake("visit:" + v.ID)
		return
	}
	v.End, v.Text, v.Done = e.Kind, e.Text, e.At
}

// wake forgets that a reminder was put off: what it is about has moved.
func (d *Door) wake(id string) {
	maps.DeleteFunc(d.Snoozed, func(k string, _ time.Time) bool { return k == id || strings.HasPrefix(k, id+":") })
	if len(d.Snoozed) == 0 {
		d.Snoozed = nil
	}
}

// set puts an item's state, or none.
func (d *Door) set(id string, s *ItemState) {
	if s == nil {
		delete(d.Items, id)
		if len(d.Items) == 0 {
			d.Items = nil
		}
		return
	}
	if d.Items == nil {
		d.Items = map[string]ItemState{}
	}
	d.Items[id] = *s
}

// Number returns a number of the card by name.
func (d *Door) Number(name string) (Number, bool) { return find(d.Numbers, name) }

func find(numbers []Number, name string) (Number, bool) {
	i := slices.IndexFunc(numbers, func(n Number) bool { return n.Name == name })
	if i < 0 {
		return Number{}, false
	}
	return numbers[i], true
}

// Snag returns a snag by id, or nil.
func (d *Door) Snag(id string) *Snag { return ptr(d.Snags, func(s Snag) bool { return s.ID == id }) }

// Visit returns a visit by id, or nil.
func (d *Door) Visit(id string) *Visit {
	return ptr(d.Visits, func(v Visit) bool { return v.ID == id })
}

// bond returns the bond of a plate, or nil.
func (d *Door) bond(where string) *Bond {
	return ptr(d.Bonds, func(b Bond) bool { return b.Where == where })
}

// mix returns the adhesive that is open for a plate, or nil.
func (d *Door) mix(where string) *Mix {
	return ptr(d.Mixes, func(m Mix) bool { return m.Where == where })
}

func ptr[T any](s []T, is func(T) bool) *T {
	if i := slices.IndexFunc(s, is); i >= 0 {
		return &s[i]
	}
	return nil
}

// OpenSnags returns the snags that are not closed.
func (d *Door) OpenSnags() []Snag {
	return slices.DeleteFunc(slices.Clone(d.Snags), func(s Snag) bool { return !s.Closed.IsZero() })
}

// Planned returns the visits still to come or overdue, the earliest first.
func (d *Door) Planned() []Visit {
	v := slices.DeleteFunc(slices.Clone(d.Visits), func(v Visit) bool { return v.End != "" })
	slices.SortStableFunc(v, func(a, b Visit) int { return a.At.Compare(b.At) })
	return v
}
