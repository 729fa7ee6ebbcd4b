package jobs

import (
	"encoding/json"
	"reflect"
	"testing"
)

// An answer goes on record as it is, by whoever works at the door, and changes
// nothing of it.
func TestKeepAnswer(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	k := Kept{Asked: "plumb", Results: []Told{{"plumb_limit", "3 mm"}}, By: []Told{{"height", "2350 mm"}}}
	b.refused("zed", &KeepAnswer{k}, "zed is guest")
	b.refused("ana", &KeepAnswer{Kept{Asked: "plumb"}}, "nothing to keep")
	before := b.door
	b.must("ana", &KeepAnswer{k})
	if after := b.door; !reflect.DeepEqual(before.Numbers, after.Numbers) || !reflect.DeepEqual(before.Items, after.Items) {
		t.Error("an answer on record changed the door")
	}
	e := b.log[len(b.log)-1]
	data, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	var back Event
	if err := json.Unmarshal(data, &back); err != nil || back.Kind != AnswerKept || !reflect.DeepEqual(back.Answer, &k) || back.By != "ana" {
		t.Errorf("%s came back as %+v, %v", data, back, err)
	}
}
