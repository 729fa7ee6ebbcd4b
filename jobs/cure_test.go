package jobs

import (
	"math"
	"strings"
	"testing"
	"time"

	"heelpost/calc"
)

// atBonding opens a door and takes it to where adhesive can be mixed.
func atBonding(t *testing.T, sheetName string, celsius float64) *bench {
	b := newBench(t, sheetName)
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.must("ana", read("floor-services", 45, "mm"))
	b.must("ana", tick("heating", "bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean")...)
	b.must("ana", read("floor-temperature", celsius, "°C"))
	return b
}

func TestMixing(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.refused("ana", &BondPlate{"floor"}, "no adhesive is mixed")
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 2, 28}}, "expired on 2027-02-28")
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 2, 30}}, "February 2027 has 28 days")
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "", Expiry: Date{2027, 9, 1}}, "which batch")
	b.refused("ana", &MixAdhesive{Where: "head", Batch: "7", Expiry: Date{2027, 9, 1}}, "no item")
	b.now = at(t, "2027-03-01T15:45", b.site.Zone).Add(-time.Second)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}})
	// 26 min from 15:45, counted down past the end of work at 16:00.
	b.due("working:floor:10", "2027-03-01T16:01")
	b.due("working:floor:5", "2027-03-01T16:06")
	b.due("working:floor:0", "2027-03-01T16:11")
	b.now = at(t, "2027-03-01T16:12", b.site.Zone)
	b.refused("ana", &BondPlate{"floor"}, "the working time ended at 16:11")
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	b.due("working:floor:0", "")
}

func TestMixing_temperature(t *testing.T) {
	b := atBonding(t, "orchard", 5)
	if v := b.door.Items["floor-temperature"].Judgement; v != Out {
		t.Errorf("5 °C is %s, want out", v)
	}
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, "waits for floor-temperature")
}

// Read once at the bonding, 18 h at 21 °C are 4 h and 14 h at the rate of the
// sheet's lowest of 7 °C, 40.95 h in all. Common practice, no published source.
func TestCure_readOnce(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.now = at(t, "2027-03-01T15:00", b.site.Zone).Add(-4 * time.Second)
	b.must("ana", &ReadWarmth{T: 21}, &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &ReadWarmth{T: 21}, &BondPlate{"floor"})
	if c := b.door.Cure(b.now); !c.End.Equal(at(t, "2027-03-03T07:57", b.site.Zone)) || !c.Unread.Equal(at(t, "2027-03-01T19:00", b.site.Zone).Add(-time.Second)) || c.Void {
		t.Errorf("got %+v, want it not before 07:57, unread from 19:00", c)
	}
	b.due("cure", "2027-03-03T07:57")
	// Read again at 20:00: 4.379 h by then, of the 18.
	b.now = at(t, "2027-03-01T20:00", b.site.Zone).Add(-time.Second)
	b.must("ana", &ReadWarmth{T: 21})
	if c := b.door.Cure(b.now); math.Abs(c.Least-4.379/18) > 1e-4 {
		t.Errorf("got %v of the hours by 20:00, want 4.379 h", c.Least*18)
	}
	b.refused("ana", &TickItem{Item: "floor-sample"}, "floor-sample waits for")
}

// The latest end of several rules, and a bond that is knocked starts again.
func TestCure_latestEndRules(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.must("mo", &HoldWarmth{T: 21, Until: b.now.Add(200 * time.Hour)})
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	from := b.now
	if c := b.door.Cure(b.now); c.End.Sub(from).Round(time.Hour) != 18*time.Hour || !c.Unread.IsZero() || c.Held == nil || c.Held.By != "mo" {
		t.Errorf("got %+v after %v", c, c.End.Sub(from))
	}
	b.now = from.Add(10 * time.Hour)
	b.must("ana", &Knock{"floor", "the barrow hit it"})
	if c := b.door.Cure(b.now); c.End.Sub(b.now).Round(time.Hour) != 18*time.Hour {
		t.Errorf("knocked, it ends after %v, want 18 h again", c.End.Sub(b.now))
	}
	if last := b.told[len(b.told)-1]; last.Args["what"] != "knocked" || last.Args["to"] != "foreman" {
		t.Errorf("told %+v", last)
	}
	b.refused("ana", &Knock{"head", "x"}, "no plate is bonded at the head")
	later := b.door.Bonds[0]
	later.Where, later.From = "head", b.now.Add(time.Hour)
	d := b.door.Apply(Event{Kind: Bonded, Item: "head", Bond: &later})
	if c := d.Cure(b.now); c.End.Sub(later.From).Round(time.Hour) != 18*time.Hour {
		t.Errorf("of two it ends %v after the later bonding, want 18 h", c.End.Sub(later.From))
	}
}

// What the foreman vouches for counts where nothing was read; a colder reading
// ends it, and the stretch since the reading before counts at that.
func TestCure_held(t *testing.T) {
	b := atBonding(t, "orchard", 11)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	from := b.now
	b.refused("ana", &HoldWarmth{T: 18, Until: from.Add(time.Hour)}, "takes foreman")
	b.refused("mo", &HoldWarmth{T: 6, Until: from.Add(time.Hour)}, "6 °C can't be held: at least 7 °C")
	b.refused("mo", &HoldWarmth{T: 18, Until: from.Add(-time.Hour)}, "that is no time")
	b.refused("mo", &HoldWarmth{T: 18, Until: from.Add(32 * 24 * time.Hour)}, "at most 31 days")
	b.refused("mo", &HoldWarmth{T: 18, From: from.Add(-2 * time.Hour), Until: from.Add(time.Hour)}, "11 °C was read on Monday")
	b.must("mo", &HoldWarmth{T: 21, Until: from.Add(100 * time.Hour)})
	// 4 h at half the rate, and 16 h.
	if c := b.door.Cure(b.now); c.End.Sub(from).Round(5*time.Minute) != 20*time.Hour || c.Held == nil {
		t.Errorf("got %+v after %v, want 20 h", c, c.End.Sub(from))
	}
	b.now = from.Add(12 * time.Hour)
	b.must("ana", &ReadWarmth{T: 16})
	if last := b.told[len(b.told)-1]; last.Args["what"] != "not held" || last.Args["to"] != "foreman" {
		t.Errorf("told %+v", last)
	}
	// 4 h at 11 °C, 8 h at 16 (0.7071): 7.657 h.
	if c := b.door.Cure(b.now); math.Abs(c.Least-7.657/18) > 1e-3 || c.Unread.IsZero() || b.door.heldAt(b.now) != nil {
		t.Errorf("got %v of the hours, %+v, want 7.657 h, and nothing held", c.Least*18, c)
	}
	b.must("ana", &UndoLastMessage{})
	if h := b.door.heldAt(b.now); h == nil || h.T != 21 {
		t.Errorf("undone, %v is held, want 21 °C", h)
	}
	b.must("mo", &HoldWarmth{T: 16, From: from.Add(6 * time.Hour), Until: from.Add(8 * time.Hour)})
	if h := b.door.heldAt(b.now); h != nil || len(b.door.Held) != 2 || !b.door.Held[0].Until.Equal(b.door.Held[1].From) {
		t.Errorf("what is said last does not take the place of the rest: %+v", b.door.Held)
	}
}

// A minimum counts for all of its stretch.
func TestCure_minimum(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	from := b.now
	b.now = from.Add(16 * time.Hour).Add(-2 * time.Second)
	b.refused("ana", &ReadWarmth{T: 14, Min: new(calc.Temperature(15))}, "a minimum of 15 °C is above the 14 °C")
	b.must("ana", &ReadWarmth{T: 14, Min: new(calc.Temperature(11))})
	if c := b.door.Cure(b.now); math.Abs(c.Least-8.0/18) > 1e-3 {
		t.Errorf("got %v of the hours, want 8 h: 16 h at 11 °C", c.Least*18)
	}
	b.must("ana", &ReadWarmth{T: 14, Min: new(calc.Temperature(6.5))})
	if c := b.door.Cure(b.now); !c.Void || !c.End.IsZero() {
		t.Errorf("got %+v, want it void by the minimum", c)
	}
}

// A temperature that is only said is the reading that the checklist waits for.
func TestReadWarmth_fillsTheItem(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.must("ana", &ReadWarmth{T: 21}) // too early for the item
	if got := b.door.Items["floor-temperature"]; got.State != "" {
		t.Errorf("got %+v before its turn", got)
	}
	b.toFloor()
	b.must("ana", &ReadWarmth{T: 5})
	if got := b.door.Items["floor-temperature"]; got.State != Read || got.Judgement != Out {
		t.Errorf("got %+v, want 5 °C read, and out", got)
	}
	b.must("ana", &ReadWarmth{T: 12})
	if got := b.door.Items["floor-temperature"]; !got.Settled() || got.Value.Value() != 12 {
		t.Errorf("got %+v, want 12 °C", got)
	}
}

// Time below the lowest temperature voids the cure for good: warmth does
// not bring it back, a new bonding or the maker's written word does.
func TestCure_void(t *testing.T) {
	bonded := func() *bench {
		b := atBonding(t, "orchard", 12)
		b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"}, &TickItem{Item: "floor-control"})
		b.hang()
		b.now = b.now.Add(8 * time.Hour)
		b.must("ana", &ReadWarmth{T: 3})
		return b
	}
	b := bonded()
	if last := b.told[len(b.told)-1]; last.Args["what"] != "voided" || last.Args["to"] != "foreman" {
		t.Errorf("told %+v", last)
	}
	b.due("cure", "")
	b.now = b.now.Add(200 * time.Hour)
	b.must("ana", &ReadWarmth{T: 22})
	b.refused("ana", &TickItem{Item: "floor-sample"}, "too cold")
	b.refused("mo", &OverrideHold{Item: "floor-sample", Why: "looks hard"}, "not by an override")
	b.refused("ana", &GiveWord{Where: "floor", Why: "called", Word: "letter", Until: b.now}, "takes foreman")
	b.refused("mo", &GiveWord{Where: "floor", Why: "called", Until: b.now}, "attach")
	b.must("mo", &GiveWord{Where: "floor", Why: "asked with the readings", Word: "letter of 9 March", Until: b.now.Add(24 * time.Hour)})
	b.refused("ana", &TickItem{Item: "floor-sample"}, "by the adhesive maker's word")
	b.now = b.now.Add(24 * time.Hour)
	b.must("ana", &TickItem{Item: "floor-sample"})

	b = bonded()
	b.must("ana", read("floor-temperature", 21, "°C"), &Untick{"stood", "taken off"})
	b.refused("ana", &MixAdhesive{Where: "floor", Batch: "8", Expiry: Date{2027, 9, 1}}, "to bond it anew untick floor-dry-fit, floor-clean with a reason")
	b.must("ana", &Untick{"floor-dry-fit", "taken up"}, &Untick{"floor-clean", "taken up"}, &TickItem{Item: "floor-dry-fit"}, &TickItem{Item: "floor-clean"})
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "8", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	if got := b.settled("floor-control", "parked", "floor-sample"); len(got) != 0 {
		t.Errorf("bonded anew: %v are still settled", got)
	}
	if c := b.door.Cure(b.now); c.Void || len(b.door.Bonds) != 1 || b.door.Bonds[0].Batch != "8" {
		t.Errorf("bonded anew: %+v, %+v", c, b.door.Bonds)
	}
}

// A reading that was too cold, from before the bonding, is over once a warmer
// one was read.
func TestCure_coldBeforeBonding(t *testing.T) {
	b := atBonding(t, "orchard", 5)
	b.now = at(t, "2027-03-01T11:00", b.site.Zone)
	b.must("ana", read("floor-temperature", 12, "°C"), &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	if c := b.door.Cure(b.now); c.Void || c.End.IsZero() {
		t.Errorf("got %+v, want an end", c)
	}
}

// Bonded anew after the cold had voided the first bond.
func TestCure_coldBeforeBondingAnew(t *testing.T) {
	b := atBonding(t, "orchard", 14)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	b.now = at(t, "2027-03-01T14:00", b.site.Zone)
	b.must("ana", &ReadWarmth{T: 4})
	b.now = at(t, "2027-03-02T08:00", b.site.Zone)
	b.must("ana", &Untick{"floor-dry-fit", "taken up"}, &Untick{"floor-clean", "taken up"}, &TickItem{Item: "floor-dry-fit"}, &TickItem{Item: "floor-clean"})
	b.must("ana", read("floor-temperature", 16, "°C"), &MixAdhesive{Where: "floor", Batch: "8", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	b.must("mo", &HoldWarmth{T: 16, Until: b.now.Add(48 * time.Hour)})
	// 18 h ÷ 2^(−0.5) are 25 h 27 min 22 s, from 8:00:07.
	b.due("cure", "2027-03-03T09:28")
}

// Cold after the control sample was found hard is no alarm.
func TestCure_coldAfterSample(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"}, &TickItem{Item: "floor-control"})
	b.hang()
	b.now = b.now.Add(48 * time.Hour)
	b.must("ana", &TickItem{Item: "floor-sample"})
	told := len(b.told)
	b.must("ana", &ReadWarmth{T: 3})
	if c := b.door.Cure(b.now); c.Void || len(b.told) != told {
		t.Errorf("%+v, told %+v", c, b.told[told:])
	}
}

// Two plates can be bonded at the same time, each with a mix and a working
// time of its own.
func TestMixing_twoPlates(t *testing.T) {
	b := newBench(t, "quarry")
	s := a101()
	s.Thickness, s.Setback, s.Sheet, s.OpeningWidth, s.OpeningHeight, s.Cover = 64*mm, 95*mm, "quarry", 1120*mm, 2430*mm, 90*mm
	b.must("ana", &Open{s})
	b.toFloor()
	b.must("ana", read("floor-services", 90, "mm"))
	b.must("ana", tick("heating", "bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean")...)
	b.must("ana", read("floor-temperature", 21, "°C"), read("head-services", 200, "mm"))
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-clean")...)
	b.must("ana", read("head-temperature", 21, "°C"))
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &MixAdhesive{Where: "head", Batch: "8", Expiry: Date{2027, 9, 1}})
	for _, id := range []string{"working:floor:0", "working:head:0"} {
		if _, ok := b.reminders[id]; !ok {
			t.Errorf("%s is not counted down", id)
		}
	}
	b.must("ana", &BondPlate{"floor"})
	b.due("working:floor:0", "")
	if _, ok := b.reminders["working:head:0"]; !ok {
		t.Error("the head's mix is lost")
	}
	b.must("ana", &BondPlate{"head"})
	if len(b.door.Mixes) != 0 || len(b.door.Bonds) != 2 || b.door.Bonds[0].Batch != "7" || b.door.Bonds[1].Batch != "8" {
		t.Errorf("mixes %+v, bonds %+v", b.door.Mixes, b.door.Bonds)
	}
}

// A sheet that does not let the leaf stand on the curing plate has it hung
// after the cure's end.
func TestCure_beforeHanging(t *testing.T) {
	b := newBench(t, "quarry")
	s := a101()
	s.Thickness, s.Setback, s.Sheet, s.OpeningWidth, s.OpeningHeight, s.Cover = 64*mm, 95*mm, "quarry", 1120*mm, 2430*mm, 90*mm
	b.must("ana", &Open{s})
	for _, it := range Checklist(&b.door, b.sheet) {
		if it.ID == "floor-sample" && it.Stage != Hang {
			t.Errorf("the sample belongs to %s, want hang", it.Stage)
		}
	}
	b.toFloor()
	b.bond()
	b.must("ana", read("head-services", 200, "mm"))
	b.must("ana", tick("head-dry-fit", "head-drilled", "head-clean")...)
	b.must("ana", read("head-temperature", 21, "°C"), &MixAdhesive{Where: "head", Batch: "8", Expiry: Date{2027, 9, 1}}, &BondPlate{"head"})
	b.must("ana", tick("head-control", "head-fixed", "lift", "zone", "company")...)
	b.must("ana", read("wind", 1, "m/s"))
	b.refused("ana", &TickItem{Item: "stood"}, "waits for floor-sample")
}

// A reading at one plate says nothing of the other.
func TestCure_eachPlateItsOwn(t *testing.T) {
	b := atBonding(t, "orchard", 21)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	end := b.door.Cure(b.now).End
	b.now = b.now.Add(time.Hour)
	if err := b.try("ana", &ReadItem{Item: "head-temperature", Value: Of(3, "°C")}); err == nil {
		t.Fatal("orchard bonds no head plate") // else the door below is not needed
	}
	d := b.door.Apply(Event{Kind: WarmthRead, Item: "head", At: b.now, Value: new(Of(3, "°C"))})
	if got := d.Cure(b.now); got.Void || !got.End.Equal(end) {
		t.Errorf("3 °C at the head: the floor's end is %v, want %v", got.End, end)
	}
	d = b.door.Apply(Event{Kind: WarmthRead, At: b.now, Value: new(Of(11, "°C"))})
	if got := d.Cure(b.now); !got.End.After(end) {
		t.Errorf("11 °C at both: the floor's end is %v, want later than %v", got.End, end)
	}
}

// The maker's word is given for the cold that it knows of.
func TestCure_coldAfterTheWord(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	word := &GiveWord{Where: "floor", Why: "asked", Word: "letter", Until: b.now.Add(24 * time.Hour)}
	b.must("ana", &ReadWarmth{T: 3})
	b.must("mo", word)
	b.must("ana", &ReadWarmth{T: 15})
	if c := b.door.Cure(b.now); c.Void || !c.End.Equal(word.Until) {
		t.Errorf("a warm reading after the word: %+v", c)
	}
	b.must("ana", &ReadWarmth{T: 2})
	if last := b.told[len(b.told)-1]; !b.door.Cure(b.now).Void || last.Args["what"] != "voided" {
		t.Errorf("a cold one: %+v, told %+v", b.door.Cure(b.now), last)
	}
}

// Bonded in the cold on the maker's word, the end is the maker's to tell.
func TestCure_bondedInTheCold(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.must("ana", read("floor-services", 45, "mm"))
	b.must("ana", tick("heating", "bit", "floor-dry-fit", "floor-drilled", "sound", "floor-clean")...)
	b.must("ana", read("floor-temperature", -5, "°C"))
	b.must("mo", &OverrideHold{Item: "floor-temperature", Why: "tent and heater come", Word: "letter"})
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "batch 7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	if last := b.told[len(b.told)-1]; !b.door.Cure(b.now).Void || last.Args["what"] != "voided" || last.Args["to"] != "foreman" {
		t.Errorf("bonded at -5 °C: %+v, told %+v", b.door.Cure(b.now), last)
	}
}

// What is asked for is enough to be held, and a tenth less is not.
func TestDoor_HeldBy(t *testing.T) {
	b := atBonding(t, "orchard", 11)
	b.must("ana", &MixAdhesive{Where: "floor", Batch: "7", Expiry: Date{2027, 9, 1}}, &BondPlate{"floor"})
	from := b.now
	for _, by := range []time.Duration{21 * time.Hour, 24 * time.Hour, 30 * time.Hour, 35 * time.Hour} {
		least, _, err := b.door.HeldBy(b.now, from.Add(by), b.site.Zone)
		if err != nil {
			t.Fatal(err)
		}
		for _, held := range []calc.Temperature{least, least - 0.1} {
			d := b.door.Apply(Event{Kind: WarmthHeld, From: b.now, When: from.Add(by), Value: new(Of(float64(held), "°C"))})
			if end := d.Cure(b.now).End; end.After(from.Add(by).Add(time.Minute)) != (held < least) {
				t.Errorf("held at %v it ends after %v, asked for within %v", held, end.Sub(from), by)
			}
		}
	}
	// 4 h at half the rate, and 16 h at the least.
	if _, _, err := b.door.HeldBy(b.now, from.Add(19*time.Hour), b.site.Zone); err == nil || !strings.Contains(err.Error(), "even at 21 °C the sheet's hours end not before Tuesday 2027-03-02 04:01") {
		t.Errorf("got %v within 19 h", err)
	}
	if _, needed, err := b.door.HeldBy(b.now, from.Add(100*time.Hour), b.site.Zone); needed || err != nil {
		t.Errorf("got %v, %v within 100 h, want none", needed, err)
	}
	b.must("ana", &ReadWarmth{T: 3})
	if _, _, err := b.door.HeldBy(b.now, from.Add(100*time.Hour), b.site.Zone); err == nil || !strings.Contains(err.Error(), "too cold") {
		t.Errorf("got %v for a cure that is void", err)
	}
}

// A cold reading of after the maker's word counts until somebody says whether it
// is so, and voids the word though a warm one was read since; one of before it is
// what the word was given for.
func TestCure_doubtAfterTheWord(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	word := &GiveWord{Where: "floor", Why: "asked", Word: "letter", Until: b.now.Add(48 * time.Hour)}
	cold := &DoubtWarmth{ReadWarmth{T: 3}}
	b.must("ana", cold)
	b.now = b.now.Add(time.Hour)
	b.must("mo", word)
	if c := b.door.Cure(b.now); c.Doubt != nil || !c.End.Equal(word.Until) {
		t.Errorf("asked about before the word: %+v", c)
	}
	b.due("cold", "")
	b.must("ana", &DropWarmth{ReadWarmth{T: 3}})
	b.now = b.now.Add(time.Hour)
	b.must("ana", cold)
	if c := b.door.Cure(b.now); c.Doubt == nil || !c.End.IsZero() {
		t.Errorf("asked about after it: %+v", c)
	}
	if b.reminders["cold"].Due.IsZero() {
		t.Error("nobody is asked again")
	}
	b.now = b.now.Add(time.Hour)
	b.must("ana", &ReadWarmth{T: 15}, &ReadWarmth{T: 3})
	if c := b.door.Cure(b.now); !c.Void || len(b.door.Doubts) > 0 {
		t.Errorf("it was so: %+v", c)
	}
}
