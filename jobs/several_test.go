package jobs

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// items makes a command that ticks several.
func several(all bool, ids ...string) *TickItems {
	c := &TickItems{All: all}
	for _, id := range ids {
		c.Items = append(c.Items, TickItem{Item: id})
	}
	return c
}

// What is ticked with others is what could have been ticked alone, one after
// the other in the order of the list, and all the rest is named with the same
// reason: no hold is passed by being one of several.
func TestTickItems_asAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := newBench(t, rapid.SampledFrom([]string{"orchard", "quarry"}).Draw(rt, "sheet"))
		s := a101()
		if b.sheet.Name == "quarry" {
			s.Sheet, s.Thickness, s.Setback, s.Mass, s.OpeningWidth = "quarry", 64*mm, 95*mm, 140, 1120*mm
		}
		if err := b.try("ana", &Open{s}); err != nil {
			rt.Skip(err)
		}
		if rapid.Bool().Draw(rt, "surveyed") {
			b.toFloor()
		}
		var ids []string
		for _, it := range Checklist(&b.door, b.sheet) {
			if rapid.IntRange(0, 2).Draw(rt, it.ID) == 0 {
				ids = append(ids, it.ID)
			}
		}
		if len(ids) == 0 {
			return
		}
		who := rapid.SampledFrom([]string{"ana", "bo"}).Draw(rt, "who")
		alone, left := b.door, map[string]string{}
		c := Context{Sheet: b.sheet, Site: b.site, Now: b.now, Who: who, Op: "several"}
		for _, id := range ids {
			d, err := Decide(alone, &TickItem{Item: id}, c)
			if err != nil {
				left[id] = err.Error()
				continue
			}
			alone = d.Door
		}
		mixed := slices.Clone(ids)
		slices.Reverse(mixed)
		d, err := Decide(b.door, several(false, mixed...), c)
		if len(left) == len(ids) {
			if err == nil {
				rt.Fatalf("none of %v can be ticked, and nothing is said", ids)
			}
			return
		}
		if err != nil {
			rt.Fatalf("%v of %v can't be ticked: %v", left, ids, err)
		}
		for _, id := range ids {
			if d.Door.Items[id].State != alone.Items[id].State {
				rt.Fatalf("%s is %q with others and %q alone", id, d.Door.Items[id].State, alone.Items[id].State)
			}
		}
		told := 0
		for _, e := range d.Left {
			told++
			if together, ok := e.(*HoldError); ok {
				told += len(together.Also)
				for _, id := range append(together.Also, together.Item) {
					if !strings.HasPrefix(left[id.String()], id.String()+" waits for "+together.Open[0].ID) {
						rt.Fatalf("%s waits for %s, alone: %s", id, together.Open[0].ID, left[id.String()])
					}
				}
				continue
			}
			if field := e.(*FieldError).Field; left[field] != e.Error() {
				rt.Fatalf("%s: %v, alone %s", field, e, left[field])
			}
		}
		if told != len(left) {
			rt.Fatalf("left %v, want %v", d.Left, left)
		}
		if _, err := Decide(b.door, several(true, ids...), c); (err == nil) != (len(left) == 0) {
			rt.Fatalf("all or none: %v with %v left", err, left)
		}
	})
}

// The bot ticks what it knows, and leaves open what somebody took back.
func TestKnown(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	if s := b.door.Items["status"]; s.State != Ticked || s.Text != string(saidOpening) {
		t.Errorf("an ordinary door: %+v", s)
	}
	b.must("ana", &Untick{"status", "the drawings say escape"}, &TickItem{Item: "joint"})
	if len(b.settled("status")) != 0 {
		t.Error("what was taken back is ticked again")
	}
	fire := newBench(t, "orchard")
	s := a101()
	s.Status = []string{"fire"}
	fire.must("ana", &Open{s})
	if len(fire.settled("status")) != 0 {
		t.Error("a fire door's status is ticked by the bot")
	}

	b.must("ana", &TickItem{Item: "status"}, &Untick{"joint", "looked at again below"})
	b.toFloor()
	b.bond()
	b.must("ana", read("head-services", 200, "mm"))
	b.must("ana", tick("head-dry-fit", "head-drilled")...)
	if len(b.settled("limits")) != 0 {
		t.Error("the limits are ticked before their turn")
	}
	b.must("ana", tick("head-fixed")...)
	if s := b.door.Items["limits"]; s.Text != string(numbersKnown) {
		t.Errorf("the limits in their turn: %+v", s)
	}
	b.must("ana", &Untick{"limits", "the scales are broken"}, &TickItem{Item: "lift"})
	if len(b.settled("limits")) != 0 {
		t.Error("limits that were taken back are ticked again")
	}
	heavy := b.door.Spec
	heavy.Mass = 151 // the sheet carries 150 kg
	b.must("mo", &Correction{Spec: heavy, Why: "weighed"})
	if len(b.settled("limits")) != 0 {
		t.Error("a leaf that is too heavy is within its limits")
	}
}

// Zone and company hold for their day, and are ticked anew without unticking.
func TestAnew(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.must("ana", read("head-services", 200, "mm"))
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-fixed", "lift", "zone", "company")...)
	b.refused("ana", &TickItem{Item: "zone"}, "is ticked already")
	b.now = b.now.Add(24 * time.Hour)
	b.must("ana", read("wind", 2, "m/s"))
	b.refused("ana", &TickItem{Item: "stood"}, "to be looked at anew today: props stand ready")
	b.must("ana", &TickItem{Item: "company"})
	b.refused("ana", &TickItem{Item: "stood"}, "anew today: props")
	b.must("ana", several(true, "stood", "zone"))
	if got := b.settled("zone", "company", "stood"); len(got) != 3 {
		t.Errorf("settled %v", got)
	}
}

// A month is good to its last day. The days of the months are those of package
// time, which shares nothing with the reading of dates but the calendar.
func TestParseExpiry(t *testing.T) {
	for text, want := range map[string]string{
		"2027-09-30": "2027-09-30", "30.9.2027": "2027-09-30", "30. 09. 2027": "2027-09-30", "30/9/2027": "2027-09-30", "9/30/2027": "2027-09-30", "4/4/2027": "2027-04-04",
		"09/2027": "2027-09-30", "9.2027": "2027-09-30", "2027-09": "2027-09-30", "2027/9": "2027-09-30", "September 2027": "2027-09-30", "sept. 2027": "2027-09-30",
		"end of sep 2027": "2027-09-30", "30 September 2027": "2027-09-30", "30th sep 2027": "2027-09-30", "September 30, 2027": "2027-09-30", " 02/2028 ": "2028-02-29",
		"09/27": "four digits", "30.9.27": "four digits", "3/4/2027": "2027-04-03 or 2027-03-04", "31.9.2027": "has 30 days", "13/2027": "no month 13", "0/2027": "no month 0",
		"september": "no date", "smarch 2027": "no month", "": "no date", "2027": "no date", "K71": "no date",
	} {
		got, err := ParseExpiry(text)
		switch {
		case err == nil && got.String() != want:
			t.Errorf("%q is %s, want %s", text, got, want)
		case err != nil && !strings.Contains(err.Error(), want) && !(strings.Contains(want, " or ") && strings.Contains(err.Error(), "is two days")):
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	for m := time.January; m <= time.December; m++ {
		for _, year := range []int{2027, 2028, 2100} {
			last := time.Date(year, m+1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, -1)
			for _, layout := range []string{"01/2006", "1.2006", "2006-01", "January 2006", "Jan 2006"} {
				if got, err := ParseExpiry(last.Format(layout)); err != nil || got != DateOf(last) {
					t.Errorf("%s is %s (%v), want %s", last.Format(layout), got, err, last.Format(time.DateOnly))
				}
			}
		}
	}
}
