package jobs

import (
	"testing"
)

// A floor has one limit: heating makes the cover one over pipes, whenever it is
// said; a cover to the back face is none; and what lowers the margin is the
// foreman's. The margins are from memory: 10 and the locator's 5 over a pipe, 30
// before a back face or unsaid.
func TestCorrection_oneFloorOneLimit(t *testing.T) {
	b := newBench(t, "orchard")
	s := a101()
	s.Heated, s.Cover, s.CoverTo = false, 70*mm, ""
	b.must("ana", &Open{s})
	least := func() string {
		for _, it := range Checklist(&b.door, b.sheet) {
			if it.ID == "floor-services" {
				return it.Limits.String()
			}
		}
		return ""
	}
	unsaid := least()
	pipe := b.door.Spec
	pipe.CoverTo = "pipe"
	b.refused("ana", &Correction{Spec: pipe, Why: "seen"}, "takes foreman")
	b.refused("mo", &Correction{Spec: pipe}, "takes a reason")
	back := b.door.Spec
	back.CoverTo = "back"
	b.must("ana", &Correction{Spec: back})
	heated := b.door.Spec
	heated.Heated = true
	b.refused("mo", &Correction{Spec: heated, Why: "there are pipes"}, "measure the one over the pipes")
	heated.HasCover, heated.Cover = true, 45*mm
	heated.CoverTo = "pipe"
	b.must("mo", &Correction{Spec: heated, Why: "there are pipes, measured"})
	if least() == unsaid {
		t.Errorf("over a pipe it needs %s, and where that is unsaid no more", unsaid)
	}
}

// To what a cover on a heated floor is measured is not known before somebody
// says it: until then the larger margin is shown, and kept by a reading that
// does not say it.
func TestOpen_heatedCover(t *testing.T) {
	least := func(b *bench) string {
		for _, it := range Checklist(&b.door, b.sheet) {
			if it.ID == "floor-services" {
				return it.Limits.String()
			}
		}
		return ""
	}
	s := a101()
	s.HasCover, s.Cover, s.CoverTo = false, 0, ""
	b := newBench(t, "orchard")
	b.must("ana", &Open{s})
	if got := least(b); got != "at least 57 mm" {
		t.Errorf("a heated floor's cover that is not measured needs %s, want 57 mm", got)
	}
	stored := b.door.Spec // as a version before kept it
	stored.CoverTo = "pipe"
	b.door.Spec = stored
	if got := least(b); got != "at least 57 mm" {
		t.Errorf("a heated floor's cover that is not measured needs %s, want 57 mm", got)
	}

	tests := []struct {
		to    string
		cover float64
		want  Judgement
		least string
	}{
		{"", 45, Out, "at least 57 mm"},
		{"pipe", 45, In, "at least 42 mm"},
		{"", 60, In, "at least 57 mm"},
	}
	for _, tt := range tests {
		b := newBench(t, "orchard")
		b.must("ana", &Open{s})
		b.toFloor()
		b.refused("ana", &ReadItem{Item: "floor-services", Value: Of(60, "mm"), To: "back"}, "not that to the back face")
		b.must("ana", &ReadItem{Item: "floor-services", Value: Of(tt.cover, "mm"), To: tt.to})
		if got := b.door.Items["floor-services"].Judgement; got != tt.want || least(b) != tt.least || b.door.Spec.CoverTo != tt.to {
			t.Errorf("%v mm to %q is %s, %s, of a cover to %q; want %s, %s", tt.cover, tt.to, got, least(b), b.door.Spec.CoverTo, tt.want, tt.least)
		}
		_, mark := b.door.Number("cover_left")
		if mark != (tt.want == In) {
			t.Errorf("%v mm to %q: the card has what is left of the cover: %v", tt.cover, tt.to, mark)
		}
	}
}

// Of the covers that were measured the one that leaves less counts, in whatever
// order they come; the foreman alone makes it more. The margins are from memory.
func TestReadItem_leastCover(t *testing.T) {
	for _, tt := range []struct {
		heated bool
		first  *ReadItem
		then   *ReadItem
		want   string // the cover that stands, "" where the second is refused
	}{
		{true, &ReadItem{Value: mmRead(45), To: "pipe"}, &ReadItem{Value: mmRead(80), To: "back"}, ""},
		{true, &ReadItem{Value: mmRead(45), To: "pipe"}, &ReadItem{Value: mmRead(80), To: "pipe"}, "45 mm pipe"},
		{true, &ReadItem{Value: mmRead(80), To: "pipe"}, &ReadItem{Value: mmRead(45), To: "pipe"}, "45 mm pipe"},
		{false, &ReadItem{Value: mmRead(62), To: "back"}, &ReadItem{Value: mmRead(58), To: "pipe"}, "62 mm back"},
		{false, &ReadItem{Value: mmRead(62), To: "back"}, &ReadItem{Value: mmRead(44), To: "pipe"}, "44 mm pipe"},
		{false, &ReadItem{Value: mmRead(44), To: "pipe"}, &ReadItem{Value: mmRead(62), To: "back"}, "44 mm pipe"},
		{false, &ReadItem{Value: mmRead(44), To: "pipe"}, &ReadItem{Value: mmRead(58), To: "back"}, "58 mm back"},
	} {
		b := newBench(t, "orchard")
		s := a101()
		s.Heated, s.HasCover, s.Cover, s.CoverTo = tt.heated, false, 0, ""
		b.must("ana", &Open{s})
		b.toFloor()
		tt.first.Item, tt.then.Item = "floor-services", "floor-services"
		b.must("ana", tt.first)
		if tt.want == "" {
			b.refused("ana", tt.then, "over its pipes")
			continue
		}
		b.must("ana", tt.then)
		if got := b.door.Spec.coverText(); got != tt.want {
			t.Errorf("%v, then %v: %s stands, want %s", tt.first.Value, tt.then.Value, got, tt.want)
		}
	}
}

func mmRead(v float64) Measure { return Of(v, "mm") }
