package redis

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"heelpost/calc"
	"heelpost/jobs"
)

// crew works on real doors, so that what these tests store is what the program
// stores: states and events as the rules of jobs decide them.
type crew struct {
	site  *jobs.Site
	sheet *jobs.Sheet
}

// newCrew reads the example site and sheet.
func newCrew() (c crew, err error) {
	var files [3][]byte
	for i, name := range []string{"sites/orchard-lane.yaml", "sites/orchard-lane.ics", "sheets/orchard.yaml"} {
		if files[i], err = os.ReadFile(filepath.Join("../../testdata", name)); err != nil {
			return c, err
		}
	}
	if c.site, err = jobs.ParseSite(files[0], files[1]); err != nil {
		return c, err
	}
	c.sheet, err = jobs.ParseSheet(files[2])
	return c, err
}

func mustCrew(t testing.TB) crew {
	t.Helper()
	c, err := newCrew()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// deed is a command of somebody's.
type deed struct {
	who string
	cmd jobs.Command
}

// goOn returns what the checklist asks for next, nothing once it is through.
func (c *crew) goOn(d *jobs.Door, now time.Time) []deed {
	const mm = calc.Millimetre
	if d.Version == 0 {
		return []deed{{"ana", &jobs.Open{Spec: jobs.Spec{LeanHeel: new(calc.Length), LeanLead: new(calc.Length), FloorFall: new(calc.Length), ID: "A-101", OpeningWidth: 1116 * mm, OpeningHeight: 2420 * mm, Width: 1100 * mm, Height: 2400 * mm,
			Thickness: 54 * mm, Setback: 60 * mm, Swing: jobs.BothWays, Mass: 95, Floor: "screed", Heated: true, HasCover: true, CoverTo: "pipe", Cover: 45 * mm,
			Latch: true, Status: []string{"none"}, Sheet: "orchard", Crew: []string{"ana"}, Foreman: "mo"}}}}
	}
	items := jobs.Checklist(d, c.sheet)
	i := slices.IndexFunc(items, func(it jobs.Item) bool { return !it.State.Settled() })
	if i < 0 {
		return []deed{{"mo", &jobs.HandDoor{Why: "the client agreed"}}}
	}
	it := items[i]
	plate, _, _ := strings.Cut(it.ID, "-")
	switch {
	case it.Kind == jobs.Photo:
		return []deed{{"ana", &jobs.PhotoItem{Item: it.ID, Where: "photo " + it.ID}}}
	case it.Kind == jobs.ByEntry && len(d.Mixes) == 0:
		return []deed{{"ana", &jobs.MixAdhesive{Where: plate, Batch: "7", Expiry: jobs.DateOf(now.AddDate(0, 6, 0))}}}
	case it.Kind == jobs.ByEntry:
		return []deed{{"ana", &jobs.BondPlate{Where: plate}}}
	case it.ID == "head-services":
		return []deed{{"ana", &jobs.ReadItem{Item: it.ID, None: true, Note: "detector, whole lintel"}}}
	case it.ID == "floor-services":
		return []deed{{"ana", &jobs.ReadItem{Item: it.ID, Value: jobs.OfLength(d.Spec.Cover)}}}
	case it.Kind == jobs.Reading:
		v := jobs.Measure{Micro: it.Most.Micro / 2, Unit: it.Unit}
		if it.Least != nil {
			v.Micro = (it.Least.Micro + it.Most.Micro) / 2
		}
		return []deed{{"ana", &jobs.ReadItem{Item: it.ID, Value: v}}}
	}
	return []deed{{"ana", &jobs.TickItem{Item: it.ID}}, {"bo", &jobs.TickItem{Item: it.ID}}} // one may have to be a second person
}

// between returns what else comes up at a door.
func (c *crew) between(d *jobs.Door, now time.Time) []deed {
	if d.Version == 0 {
		return nil
	}
	spec := d.Spec
	spec.Mass = 191 - spec.Mass // 95 and 96 kg in turn
	all := []deed{{"mo", &jobs.Correction{Spec: spec, Why: "weighed again"}}, {"mo", &jobs.SetVisit{At: now.Add(48 * time.Hour), Why: "margins"}}}
	if v := d.Planned(); len(v) > 0 {
		all = append(all, deed{"mo", &jobs.MoveVisit{ID: v[0].ID, At: now.Add(72 * time.Hour)}}, deed{"ana", &jobs.FinishVisit{ID: v[0].ID, Note: "done"}})
	}
	if s := d.OpenSnags(); len(s) > 0 {
		all = append(all, deed{"bo", &jobs.CloseSnag{ID: s[0].ID, Done: "put right"}})
	}
	all = append(all, deed{"ana", &jobs.OpenSnag{Text: "scratch on the leaf, é\x09"}})
	if d.Undo != nil {
		all = append(all, deed{d.Undo.By, &jobs.UndoLastMessage{}})
	}
	return all
}

// decide decides what is done next at a door: three times of five what the
// checklist asks for, unless that has to wait, and else something that comes
// up between.
func (c *crew) decide(d jobs.Door, now time.Time, op string) (dec jobs.Decision, err error) {
	todo, other := c.goOn(&d, now), c.between(&d, now)
	if n := len(other); n > 0 {
		turn := int(d.Version/5) % n
		other = append(slices.Clone(other[turn:]), other[:turn]...)
	}
	if d.Version%5 >= 3 {
		todo, other = other, todo
	}
	for _, x := range append(todo, other...) {
		dec, err = jobs.Decide(d, x.cmd, jobs.Context{Sheet: c.sheet, Site: c.site, Now: now, Who: x.who, Op: op})
		if err == nil {
			return dec, nil
		}
	}
	return dec, err
}

// doorOf reads the state of a door; the one of nothing is not open yet.
func doorOf(state []byte) (d jobs.Door, err error) {
	if len(state) > 0 {
		err = json.Unmarshal(state, &d)
	}
	return d, err
}

// change returns the change of a door as it stands by what is done next.
func (c *crew) change(rec jobs.Record, now time.Time, op string) (*jobs.DoorChange, error) {
	d, err := doorOf(rec.State)
	if err != nil {
		return nil, err
	}
	dec, err := c.decide(d, now, op)
	if err != nil {
		return nil, err
	}
	return stored(rec.Key, rec.Version, &dec.Door, dec.Events)
}

// stored lays a door and what happened to it out as the program stores them.
func stored(key string, version int64, d *jobs.Door, events []jobs.Event) (*jobs.DoorChange, error) {
	state, err := json.Marshal(d)
	if err != nil {
		return nil, err
	}
	entry, err := json.Marshal(events)
	return &jobs.DoorChange{Key: key, Version: version, State: state, Entry: entry, Index: memberships(d)}, err
}

// memberships lists the sets that a door stands in.
func memberships(d *jobs.Door) []jobs.Index {
	site := d.Spec.Site + "/"
	all := []jobs.Index{{Name: stageIndex(d.Stage)}, {Name: site + "all"}, {Name: site + "group/A-"}, {Name: site + "floor/" + d.Spec.Floor},
		{Name: site + "changed", Score: -float64(d.Updated.UnixMilli())}}
	for _, who := range append([]string{d.Spec.Foreman}, d.Spec.Crew...) {
		all = append(all, jobs.Index{Name: site + "person/" + who})
	}
	return all
}

// stageIndex names the set of the doors in a stage.
func stageIndex(s jobs.Stage) string { return "orchard-lane/stage/" + string(s) }

// stages returns a door as it stands in each stage, with its log.
func (c *crew) stages(t testing.TB) (doors map[jobs.Stage]jobs.Door, logs map[jobs.Stage][]jobs.Event) {
	t.Helper()
	doors, logs = map[jobs.Stage]jobs.Door{}, map[jobs.Stage][]jobs.Event{}
	var d jobs.Door
	var log []jobs.Event
	for now := day0.Time(); d.Stage != jobs.Done; now = now.Add(time.Minute) {
		if d.Stage == jobs.Park {
			now = now.Add(24 * time.Hour) // the adhesive cures
		}
		n := len(log)
		for _, x := range c.goOn(&d, now) {
			if dec, err := jobs.Decide(d, x.cmd, jobs.Context{Sheet: c.sheet, Site: c.site, Now: now, Who: x.who, Op: fmt.Sprint("op", n)}); err == nil {
				d, log = dec.Door, append(log, dec.Events...)
				break
			}
		}
		if len(log) == n || n > 1000 {
			t.Fatalf("in stage %s, after %d events, nothing can be done", d.Stage, n)
		}
		doors[d.Stage], logs[d.Stage] = d, slices.Clone(log)
	}
	return doors, logs
}

// folded checks that the state of a door is the fold of its log, entry by
// entry, and that no message changed it twice. It returns the entries.
func folded(t testing.TB, s *Store, key string) []jobs.Entry {
	t.Helper()
	rec, err := s.Door(t.Context(), key)
	if err != nil {
		t.Fatal(err)
	}
	var log []jobs.Entry
	for int64(len(log)) < rec.Version {
		page, err := s.Log(t.Context(), key, int64(len(log)), maxBatch)
		if err != nil || len(page) == 0 {
			t.Fatalf("door %s is at %d, but its log after %d has %d entries, %v", key, rec.Version, len(log), len(page), err)
		}
		log = append(log, page...)
	}
	if more, err := s.Log(t.Context(), key, rec.Version, 1); len(more) > 0 || err != nil {
		t.Errorf("door %s is at %d, but its log goes on: %v, %v", key, rec.Version, more, err)
	}
	var all []jobs.Event
	seen := map[string]bool{}
	for _, e := range log {
		var events []jobs.Event
		if err := json.Unmarshal(e.Data, &events); err != nil || len(events) == 0 {
			t.Fatalf("door %s: entry %d: %d events, %v", key, e.Version, len(events), err)
		}
		if op := events[0].Op; seen[op] {
			t.Errorf("door %s: %s stands in the log twice", key, op)
		} else {
			seen[op] = true
		}
		all = append(all, events...)
	}
	state, err := json.Marshal(jobs.Fold(all))
	if err != nil || string(state) != string(rec.State) {
		t.Errorf("door %s at %d: state\n%s\nbut the fold of its log is\n%s\n%v", key, rec.Version, rec.State, state, err)
	}
	return log
}

// The crew brings a door through every stage, with all that comes up between:
// what the tests store is no toy.
func TestCrew(t *testing.T) {
	c, now := mustCrew(t), day0.Time()
	var d jobs.Door
	kinds := map[jobs.EventKind]bool{}
	for i := range 250 {
		now = now.Add(time.Minute)
		if i >= 125 {
			now = now.Add(time.Hour) // the adhesive cures
		}
		dec, err := c.decide(d, now, fmt.Sprint("op", i))
		if err != nil {
			t.Fatalf("after %d commands, at %s: %v", i, d.Stage, err)
		}
		for _, e := range dec.Events {
			kinds[e.Kind] = true
		}
		d = dec.Door
	}
	if d.Stage != jobs.Done || len(kinds) < 15 {
		t.Errorf("stage %s, %d kinds of events: %v", d.Stage, len(kinds), kinds)
	}
	if doors, _ := c.stages(t); len(doors) != len(jobs.Stages) {
		t.Errorf("the crew passed through %d stages of %d", len(doors), len(jobs.Stages))
	}
}
