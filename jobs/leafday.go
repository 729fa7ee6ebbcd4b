package jobs

import (
	"time"

	"heelpost/calc"
)

// Leaf is when a door's leaf was ordered, is to come and came; zero: not said.
type Leaf struct {
	Ordered   time.Time `json:"ordered,omitzero"`
	Due       time.Time `json:"due,omitzero"`
	Delivered time.Time `json:"delivered,omitzero"`
}

// What a day of the leaf is.
const (
	LeafOrdered   = "ordered"
	LeafDue       = "due"
	LeafDelivered = "delivered"
)

// day returns where a day of the leaf is kept, nil if there is no such day.
func (l *Leaf) day(what string) *time.Time {
	return map[string]*time.Time{LeafOrdered: &l.Ordered, LeafDue: &l.Due, LeafDelivered: &l.Delivered}[what]
}

// Awaited returns when the leaf is to come, false if that was not said or it
// has come.
func (d *Door) Awaited() (due time.Time, ok bool) {
	return d.Leaf.Due, !d.Leaf.Due.IsZero() && d.Leaf.Delivered.IsZero()
}

// Coming reports whether a leaf was ordered for the door that has not come.
func (d *Door) Coming() bool {
	ordered := !d.Leaf.Ordered.IsZero() || !d.Leaf.Due.IsZero() || d.Items["ordered"].Settled()
	return ordered && d.Leaf.Delivered.IsZero()
}

// strayLeaf is told of a leaf that comes to no door any more.
const strayLeaf = "a leaf of %s × %s × %s was ordered for it and comes to no door: call it off, or say for which door it is"

// SetLeafDay notes a day of the door's leaf: ordered, due or delivered.
type SetLeafDay struct {
	What string
	Day  Date
}

func (*SetLeafDay) action() Action { return Correct }

func (c *SetLeafDay) decide(t *turn) error {
	if t.door.Leaf.day(c.What) == nil {
		return calc.F("%q is none of ordered, due, delivered", cut(c.What, 40))
	}
	today := DateOf(t.Now.In(t.Site.Zone))
	switch {
	case c.What != LeafDue && today.Before(c.Day):
		return calc.F("%s is still to come: say what has been", c.Day)
	case c.What == LeafDue && c.Day.Before(today):
		return calc.F("%s is over: when is the leaf to come?", c.Day)
	case c.What == LeafDue && !t.door.Leaf.Delivered.IsZero():
		return calc.F("the leaf is here since %s", DateOf(t.door.Leaf.Delivered.In(t.Site.Zone)))
	case t.door.Leaf.day(c.What).Equal(c.Day.At(0, t.Site.Zone)):
		return calc.F("that is what stands there already")
	}
	t.emit(Event{Kind: LeafDated, Item: c.What, When: c.Day.At(0, t.Site.Zone)})
	return nil
}
