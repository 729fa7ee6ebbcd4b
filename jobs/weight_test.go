package jobs

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A plate that was too cold carries nothing, whoever says what, until it is
// bonded anew or the adhesive maker has written.
func TestVoid_carriesNothing(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector, whole lintel"}, &TickItem{Item: "head-dry-fit"}, &TickItem{Item: "head-drilled"}, &TickItem{Item: "head-fixed"})
	b.must("ana", &ReadWarmth{T: 5}, &TickItem{Item: "zone"}, &TickItem{Item: "company"}, read("wind", 1, "m/s"))
	b.refused("ana", &TickItem{Item: "lift"}, "lift waits: it was too cold for the floor plate")
	b.must("mo", &GiveWord{"floor", "asked", "letter of 2 March", b.now.Add(24 * time.Hour)})
	b.must("ana", tick("lift", "stood")...)
	b.must("ana", &ReadWarmth{T: 5})
	for _, id := range []string{"engaged", "parked"} {
		b.refused("ana", &TickItem{Item: id}, "Keep the leaf propped and barred off")
	}
	b.refused("mo", &OverrideHold{Item: "parked", Why: "it is fine"}, "nothing may load it")
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "8", Expiry: Date{2027, 9, 1}}, "take it off before the floor plate is bonded anew")
	b.must("ana", &Untick{"stood", "taken off"}, &ReadWarmth{T: 21})
	b.must("ana", &Untick{"floor-dry-fit", "anew"}, &Untick{"floor-clean", "anew"}, &Untick{"floor-temperature", "anew"})
	b.must("ana", tick("floor-dry-fit", "floor-clean")...)
	b.must("ana", read("floor-temperature", 21, "°C"), &MixAdhesive{Where: "floor", Batch: "8", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"}, &TickItem{Item: "floor-control"})
	b.must("ana", tick("stood", "engaged", "parked")...)
}

// Whatever is said in whatever order, nothing that loads a plate is settled
// while its cure can't be told.
func TestVoid_property(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(t, "orchard")
		b.must("ana", &Open{a101()})
		b.toFloor()
		b.bond()
		b.must("ana", &ReadItem{Item: "head-services", None: true, Note: "detector, whole lintel"}, &TickItem{Item: "head-dry-fit"}, &TickItem{Item: "head-drilled"}, &TickItem{Item: "head-fixed"})
		raised := append(tick("zone", "company"), append([]Command{read("wind", 1, "m/s")}, tick("lift", "stood", "engaged")...)...)
		b.must("ana", raised[:rapid.IntRange(0, len(raised)).Draw(rt, "raised")]...) // then it is too cold, or not yet
		if rapid.Bool().Draw(rt, "cold") {
			b.now = b.now.Add(time.Minute)
			b.must("ana", &ReadWarmth{T: 5})
		}
		for range rapid.IntRange(5, 40).Draw(rt, "steps") {
			b.now = b.now.Add(time.Minute)
			before := b.door.clone()
			cmd := rapid.OneOf(rapid.Custom(func(rt *rapid.T) Command {
				return &TickItem{Item: rapid.SampledFrom([]string{"lift", "zone", "company", "stood", "engaged", "parked"}).Draw(rt, "tick")}
			}), rapid.Custom(func(rt *rapid.T) Command { return anything(rt, b) })).Draw(rt, "what")
			if b.try(rapid.SampledFrom([]string{"ana", "bo", "mo"}).Draw(rt, "who"), cmd) != nil {
				continue
			}
			floor := before.bond("floor")
			void := floor != nil && floor.Word == "" && !before.Items["floor-sample"].Settled() &&
				slices.ContainsFunc(before.Warmths, func(w Warmth) bool { return w.At.After(floor.From) && w.T < 7 && (w.Where == "" || w.Where == "floor") })
			// Written out, not the program's own: what puts weight on a plate, and the lowest of orchard.yaml.
			for _, id := range []string{"lift", "stood", "engaged", "parked"} {
				if is := b.door.Items[id]; void && is.Settled() && is != before.Items[id] {
					rt.Fatalf("%s was settled by %T on a plate that was too cold", id, cmd)
				}
			}
		}
	})
}
