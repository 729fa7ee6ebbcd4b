package jobs

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Job is a door as it stands, with what it is judged against.
type Job struct {
	Key   string // site and id
	Rec   Record
	Door  Door
	Sheet *Sheet
	At    time.Time // of the message that is about it
	Was   *Sheet    // before a correction that names another; else nil
	Site  *Site
}

// DoorKey returns the key of a door. Ids that differ by case alone are one.
func DoorKey(site, id string) string { return site + "/" + strings.ToUpper(id) }

// DoorID returns the id in a door's key.
func DoorID(key string) string { return key[strings.IndexByte(key, '/')+1:] }

// IDGroup is the part of a door's id before its last number: A- of A-101.
func IDGroup(id string) string { return strings.TrimRight(id, "0123456789") }

// CompareIDs orders doors' ids as people do, A-9 before A-10.
func CompareIDs(a, b string) int {
	return cmp.Or(cmp.Compare(IDGroup(a), IDGroup(b)), cmp.Compare(len(a), len(b)), cmp.Compare(a, b))
}

// People returns the door's crew and its foreman.
func (j *Job) People() []string { return append([]string{j.Door.Spec.Foreman}, j.Door.Spec.Crew...) }

// Curing reports whether the door's bonds have still to be looked at.
func (j *Job) Curing() bool {
	return j.Door.Curing()
}

// Items returns the door's checklist.
func (j *Job) Items() []Item { return Checklist(&j.Door, j.Sheet) }

// Upcoming returns the door's items, which of them comes next, -1 for none,
// and those of earlier stages that were passed over.
func (j *Job) Upcoming() (items []Item, next int, passed []string) {
	items, next = j.Items(), -1
	stage := slices.Index(Stages, j.Door.Stage)
	for i, it := range items {
		switch {
		case it.State.Settled():
		case slices.Index(Stages, it.Stage) >= stage:
			return items, i, passed
		default:
			next = i
			passed = append(passed, fmt.Sprintf("%d %s", i+1, it.ID))
		}
	}
	if next >= 0 { // nothing else is left
		next = slices.IndexFunc(items, func(it Item) bool { return !it.State.Settled() })
		passed = passed[1:]
	}
	return items, next, passed
}

// Proposed returns the visit that a reminder of a kind proposes at now: the one
// it was laid with, or the next if that is over.
func (j *Job) Proposed(kind, visit string, now time.Time) (at time.Time, ok bool) {
	at, err := time.Parse(time.RFC3339, visit)
	if err == nil && !at.After(now) {
		return j.Site.Proposal(kind, now)
	}
	return at.In(j.Site.Zone), err == nil
}

// Unsettled reports whether a door has a visit planned or a snag open.
func Unsettled(d *Door) bool { return len(d.Planned())+len(d.OpenSnags()) > 0 }
