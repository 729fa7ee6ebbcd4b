package jobs

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A reading that was mistyped is taken back with all that it moved: the cover and
// the pins by it, the jambs and the plate by them, what it opened again and the
// snag of what did not fit. Who was told of it is told again.
func TestUndo_correction(t *testing.T) {
	lean := func(d *Door) Command {
		s := d.Spec
		s.LeanHeel = new(30 * mm)
		return &Correction{Spec: s}
	}
	for _, c := range []struct {
		name string
		cmd  func(*Door) Command
		told string
	}{
		{"floor-services 48 for 84", func(*Door) Command { return read("floor-services", 48, "mm") }, "cover"},
		{"lean heel 30 for 3", lean, "lean heel ~30 mm~ 0 mm"},
	} {
		b := newBench(t, "orchard")
		s := a101()
		s.Heated, s.HasCover, s.Cover, s.CoverTo = false, false, 0, ""
		b.must("ana", &Open{s})
		b.toFloor()
		before := b.door.clone()
		b.must("ana", c.cmd(&b.door))
		if cmp.Equal(before.Numbers, b.door.Numbers) {
			t.Fatalf("%s moved nothing", c.name)
		}
		b.told = nil
		b.must("ana", &UndoLastMessage{})
		before.Version, before.Updated, before.Undo = b.door.Version, b.door.Updated, nil
		if diff := cmp.Diff(before, b.door); diff != "" {
			t.Errorf("%s, undone:\n%s", c.name, diff)
		}
		if len(b.told) == 0 || b.told[0].Args["to"] != "all" || !strings.Contains(b.told[0].Text.String(), c.told) {
			t.Errorf("%s, undone: told %+v", c.name, b.told)
		}
		if diff := cmp.Diff(b.door, Fold(b.log)); diff != "" {
			t.Errorf("%s: the fold of the log is another door:\n%s", c.name, diff)
		}
	}
}

// What undo must not do: take a hold from the door that a correction brought, or
// the word on a pipe that may have been hit.
func TestUndo_neverAHold(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Heated, s.Cover, s.CoverTo = false, 84*mm, "pipe"
	b.must("ana", &Open{s})
	heated := b.door.Spec
	heated.Heated = true
	b.must("ana", &Correction{Spec: heated})
	b.refused("ana", &UndoLastMessage{}, "undo would take the hold heating from the door")

	b = newBench(t, "orchard")
	b.must("ana", &Open{s})
	b.toFloor()
	b.must("ana", read("floor-services", 84, "mm"))
	b.must("ana", tick("bit", "floor-dry-fit", "floor-drilled")...)
	b.must("ana", read("floor-services", 30, "mm"))
	b.refused("ana", &UndoLastMessage{}, "may have been hit")
}

// What may have been hit stays said until the foreman has had it seen, whatever
// the crew measures then; a located pipe may be as much nearer as the locator is
// uncertain, 5 mm (from memory), the back of a slab not.
func TestHit_foremans(t *testing.T) {
	for _, c := range []struct {
		cover float64
		to    string
		hit   bool
	}{{30, "pipe", true}, {36, "back", true}, {41, "pipe", true}, {41, "back", false}, {42, "pipe", false}} {
		b := newBench(t, "orchard")
		s := a101()
		s.Heated, s.HasCover, s.Cover, s.CoverTo = false, false, 0, ""
		b.must("ana", &Open{s})
		b.toFloor()
		b.must("ana", &ReadItem{Item: "floor-services", Value: Of(100, "mm"), To: c.to})
		b.must("ana", tick("bit", "floor-dry-fit", "floor-drilled")...)
		if n, _ := b.door.Number("tip_depth"); n.Value.String() != "36 mm" {
			t.Fatalf("the tip is at %s, want 36 mm", n.Value)
		}
		b.must("ana", &ReadItem{Item: "floor-services", Value: Of(c.cover, "mm"), To: c.to})
		hit := func() bool {
			for _, s := range b.door.OpenSnags() {
				if strings.Contains(s.Text, "may have been hit") {
					return true
				}
			}
			return false
		}
		if hit() != c.hit {
			t.Errorf("%v mm to %s below a hole of 36 mm: said to be hit is %v", c.cover, c.to, hit())
		}
		b.must("ana", &ReadItem{Item: "floor-services", Value: Of(100, "mm"), To: c.to})
		if hit() != c.hit {
			t.Errorf("%v mm to %s: the crew measured again, and it is said to be hit: %v", c.cover, c.to, hit())
		}
		if c.hit {
			b.refused("ana", &TickItem{Item: "sound"}, "sound waits for snag s1 (what is drilled")
			b.must("mo", &ReadItem{Item: "floor-services", Value: Of(101, "mm"), To: c.to})
			if hit() {
				t.Errorf("%v mm to %s: the foreman measured again, and it still is said to be hit", c.cover, c.to)
			}
		}
	}
}
