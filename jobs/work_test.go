package jobs

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// agrees holds what somebody can do by a door against what comes of trying it:
// whatever is told can be entered, and what can be ticked is told.
func (b *bench) agrees(who string) {
	b.Helper()
	j := &Job{Door: b.door, Sheet: b.sheet, Site: b.site}
	can := j.Work(who, b.now).Now
	for _, it := range j.Items() {
		var cmd Command
		where, _, _ := strings.Cut(it.ID, "-")
		switch {
		case it.State.Settled():
			if slices.Contains(can, it.ID) {
				b.Errorf("%s can be done, and is", it.ID)
			}
			continue
		case it.Kind == Tick:
			cmd = &TickItem{Item: it.ID}
		case it.Kind == Photo:
			cmd = &PhotoItem{Item: it.ID, Where: "a photo"}
		case it.Kind == Reading:
			v := Measure{Micro: 1, Unit: it.Unit}
			if it.Least != nil {
				v = *it.Least
			}
			cmd = &ReadItem{Item: it.ID, Value: v}
		case strings.HasSuffix(it.ID, "-batch"):
			cmd = &MixAdhesive{Where: where, Batch: "7", Expiry: Date{2028, 1, 1}}
		default:
			cmd = &BondPlate{where}
		}
		_, err := Decide(b.door, cmd, Context{Sheet: b.sheet, Site: b.site, Now: b.now, Who: who, Op: "a try"})
		if told := slices.Contains(can, it.ID); told != (err == nil) {
			b.Errorf("%s, stage %s: %s can be done: told %t, tried: %v", who, b.door.Stage, it.ID, told, err)
		}
	}
}

func TestWork(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.agrees("ana")
	b.must("ana", &TickItem{Item: "datum"})
	b.agrees("ana")
	b.agrees("bo")
	if got := (&Job{Door: b.door, Sheet: b.sheet, Site: b.site}).Awaits("mo", b.now); !slices.Equal(got, []string{"second"}) {
		t.Errorf("what waits for the foreman: got %q, want the second look", got)
	}
	b.must("ana", &Untick{"datum", "once more"})
	b.toFloor()
	b.agrees("ana")
	b.must("ana", read("floor-services", 45, "mm"))
	b.must("ana", tick("heating", "bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean")...)
	b.agrees("ana")
	b.must("ana", read("floor-temperature", 21, "°C"), &MixAdhesive{Where: "floor", Batch: "batch 7", Expiry: Date{2027, 9, 1}})
	b.agrees("ana")
	b.must("ana", &BondPlate{"floor"}, &TickItem{Item: "floor-control"})
	b.must("mo", &HoldWarmth{T: 21, Until: b.now.Add(7 * 24 * time.Hour)})
	b.agrees("ana")
	b.hang()
	b.agrees("ana")
	w := (&Job{Door: b.door, Sheet: b.sheet, Site: b.site}).Work("ana", b.now)
	if len(w.Now) > 0 || w.Cures.IsZero() || len(w.Held) > 0 {
		t.Errorf("a leaf that stands on its curing plate: got %+v, want nothing but the cure", w)
	}
	b.now = b.now.Add(24 * time.Hour)
	b.agrees("ana")
	b.finish()
	if w := (&Job{Door: b.door, Sheet: b.sheet, Site: b.site}).Work("ana", b.now); !w.Over {
		t.Errorf("all is settled: got %+v", w)
	}
}
