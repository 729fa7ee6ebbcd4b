package jobs

import (
	"encoding/json"
	"testing"
)

// A leaf's days are kept in the door, each refused that can't be.
func TestSetLeafDay(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	today := DateOf(b.now.In(b.site.Zone))
	b.refused("ana", &SetLeafDay{"ordered", today.Add(1)}, "still to come")
	b.refused("ana", &SetLeafDay{"due", today.Add(-1)}, "is over")
	b.refused("ana", &SetLeafDay{"lost", today}, "none of ordered, due, delivered")
	b.refused("zed", &SetLeafDay{"ordered", today}, "zed is guest")
	b.must("mo", &SetLeafDay{"ordered", today.Add(-3)}, &SetLeafDay{"due", today.Add(9)})
	if due, ok := b.door.Awaited(); !ok || DateOf(due.In(b.site.Zone)) != today.Add(9) {
		t.Errorf("awaited %v, %v", due, ok)
	}
	b.must("ana", &SetLeafDay{"delivered", today})
	if _, ok := b.door.Awaited(); ok {
		t.Error("it is here, and awaited")
	}
	b.refused("mo", &SetLeafDay{"due", today.Add(9)}, "the leaf is here since")
	kept, err := json.Marshal(b.door)
	var again Door
	if err == nil {
		err = json.Unmarshal(kept, &again)
	}
	if err != nil || !again.Leaf.Due.Equal(b.door.Leaf.Due) || !again.Leaf.Delivered.Equal(b.door.Leaf.Delivered) {
		t.Errorf("kept as %+v: %v", again.Leaf, err)
	}
}
