package jobs

import (
	"testing"
	"time"
	_ "time/tzdata"

	"pgregory.net/rapid"
)

// zone loads a zone of the tz database.
func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// at reads an instant as 2027-03-28T02:30, in the zone, or with Z or an
// offset behind it.
func at(t testing.TB, s string, z *time.Location) time.Time {
	t.Helper()
	if v, err := time.Parse("2006-01-02T15:04Z07:00", s); err == nil {
		return v
	}
	v, err := time.ParseInLocation("2006-01-02T15:04", s, z)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// The changes are those of the tz database, release 2026c: Berlin
// 2026-10-25 01:00Z and 2027-03-28 01:00Z, New York 2027-03-14 07:00Z,
// Lord Howe 2026-10-03 15:30Z and 2027-04-03 15:00Z (by half an hour).
// Apia went without 2011-12-30 (from memory).
func TestWall(t *testing.T) {
	tests := []struct{ name, zone, wall, want string }{
		{"plain", "Europe/Berlin", "2027-03-27T14:00Z", "2027-03-27T13:00Z"},
		{"hole", "Europe/Berlin", "2027-03-28T02:30Z", "2027-03-28T01:00Z"},
		{"begin of the hole", "Europe/Berlin", "2027-03-28T02:00Z", "2027-03-28T01:00Z"},
		{"after the hole", "Europe/Berlin", "2027-03-28T03:00Z", "2027-03-28T01:00Z"},
		{"before the hole", "Europe/Berlin", "2027-03-28T01:59Z", "2027-03-28T00:59Z"},
		{"twice", "Europe/Berlin", "2026-10-25T02:30Z", "2026-10-25T00:30Z"},
		{"begin of twice", "Europe/Berlin", "2026-10-25T02:00Z", "2026-10-25T00:00Z"},
		{"after twice", "Europe/Berlin", "2026-10-25T03:00Z", "2026-10-25T02:00Z"},
		{"west, hole", "America/New_York", "2027-03-14T02:30Z", "2027-03-14T07:00Z"},
		{"west, twice", "America/New_York", "2026-11-01T01:30Z", "2026-11-01T05:30Z"},
		{"half an hour, hole", "Australia/Lord_Howe", "2026-10-04T02:15Z", "2026-10-03T15:30Z"},
		{"half an hour, twice", "Australia/Lord_Howe", "2027-04-04T01:45Z", "2027-04-03T14:45Z"},
		{"a day that was left out", "Pacific/Apia", "2011-12-30T12:00Z", "2011-12-30T10:00Z"},
		{"no changes", "Asia/Kathmandu", "2027-01-01T00:00Z", "2026-12-31T18:15Z"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := Wall(at(t, tt.wall, nil), zone(t, tt.zone))
			if want := at(t, tt.want, nil); !got.Equal(want) {
				t.Errorf("got %v, want %v", got.UTC(), want.UTC())
			}
		})
	}
}

// Wall agrees with a walk over the minutes around: the first instant whose
// clocks show the wall time, or jump over it.
func TestWall_agreesWithWalk(t *testing.T) {
	zones := []string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/Sao_Paulo", "Africa/Casablanca"}
	rapid.Check(t, func(rt *rapid.T) {
		z := zone(t, rapid.SampledFrom(zones).Draw(rt, "zone"))
		wall := time.Date(2018, 1, 1, 0, rapid.IntRange(0, 8*366*24*60).Draw(rt, "minute"), 0, 0, time.UTC)
		if rapid.Bool().Draw(rt, "near a change") {
			_, change := wall.In(z).ZoneBounds()
			if change.IsZero() {
				rt.Skip("no change")
			}
			wall = asUTC(change).Add(time.Duration(rapid.IntRange(-130, 130).Draw(rt, "off")) * time.Minute)
		}
		walk := wall.Add(-15 * time.Hour)
		for asUTC(walk.In(z)).Before(wall) {
			walk = walk.Add(time.Minute)
		}
		if got := Wall(wall, z); !got.Equal(walk) {
			rt.Fatalf("%v in %v: got %v, walked to %v", wall, z, got.UTC(), walk.UTC())
		}
	})
}

func TestParseDate(t *testing.T) {
	for s, ok := range map[string]bool{
		"2027-03-28": true, "2028-02-29": true, "2027-02-29": false, "2027-02-30": false, "2027-04-31": false,
		"2027-13-01": false, "2027-00-10": false, "2027-01-00": false, "27-01-01": false, "2027- 1-01": false, "2027-1-1": false, "": false,
	} {
		d, err := ParseDate(s)
		if (err == nil) != ok || ok && d.String() != s {
			t.Errorf("%q: %v, %v, want ok %v", s, d, err, ok)
		}
	}
}

// siteHours is a calendar of an invented site in Berlin's zone.
func siteHours(t testing.TB) *Calendar {
	c := &Calendar{Zone: zone(t, "Europe/Berlin"), Closed: map[Date]string{
		// Good Friday and Easter Monday of 2027 follow from Easter, 28 March
		// (table of Easter dates in a date library's tests).
		{2027, 3, 26}: "Good Friday", {2027, 3, 29}: "Easter Monday",
	}, Yearly: map[Date]string{{2020, 12, 25}: "Christmas"}}
	for d := time.Monday; d <= time.Friday; d++ {
		c.Hours[d] = []Span{{7 * 60, 12 * 60}, {13 * 60, 16 * 60}}
	}
	c.Hours[time.Friday] = c.Hours[time.Friday][:1]
	return c
}

func TestCalendar_Slot(t *testing.T) {
	c := siteHours(t)
	tests := []struct {
		name, after string
		need        time.Duration
		want        string
	}{
		{"within hours", "2027-03-02T08:20", 0, "2027-03-02T08:20"},
		{"before hours", "2027-03-02T05:00", 0, "2027-03-02T07:00"},
		{"the break", "2027-03-02T12:00", 0, "2027-03-02T13:00"},
		{"at the day's end", "2027-03-02T16:00", 0, "2027-03-03T07:00"},
		{"too little left", "2027-03-02T15:30", time.Hour, "2027-03-03T07:00"},
		{"over the weekend", "2027-03-05T12:00", 0, "2027-03-08T07:00"},
		{"over Easter and the clock change", "2027-03-25T16:30", 0, "2027-03-30T07:00"},
		{"an afternoon's work", "2027-03-02T08:00", 5 * time.Hour, "2027-03-03T07:00"},
		{"every year's day", "2028-12-25T08:00", 0, "2028-12-26T07:00"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := c.Slot(at(t, tt.after, c.Zone), tt.need)
			if want := at(t, tt.want, c.Zone); !ok || !got.Equal(want) {
				t.Errorf("got %v %v, want %v", got, ok, want)
			}
		})
	}
	if got, ok := c.Slot(at(t, "2027-03-02T08:00", c.Zone), 9*time.Hour); ok {
		t.Errorf("nine hours in one go: got %v, want none", got)
	}
}

func TestCalendar_Quiet(t *testing.T) {
	c := siteHours(t)
	night := at(t, "2027-03-02T22:00", c.Zone)
	if got, want := c.Quiet(night, false), at(t, "2027-03-03T07:00", c.Zone); !got.Equal(want) {
		t.Errorf("at night: %v, want %v", got, want)
	}
	if got := c.Quiet(night, true); !got.Equal(night) {
		t.Errorf("at night, where waiting hurts: %v, want %v", got, night)
	}
}

func TestCalendar_DayBefore(t *testing.T) {
	c := siteHours(t)
	for visit, want := range map[string]string{
		"2027-03-03T09:00": "2027-03-02T07:00",
		"2027-03-08T09:00": "2027-03-05T07:00",
		"2027-03-30T09:00": "2027-03-25T07:00",
	} {
		if got, ok := c.DayBefore(at(t, visit, c.Zone)); !ok || !got.Equal(at(t, want, c.Zone)) {
			t.Errorf("before %s: %v %v, want %s", visit, got, ok, want)
		}
	}
}

// Slots are within hours, at or after the instant, and none is skipped.
func TestCalendar_Slot_properties(t *testing.T) {
	c := siteHours(t)
	start := at(t, "2027-03-01T00:00Z", nil)
	rapid.Check(t, func(rt *rapid.T) {
		after := start.Add(time.Duration(rapid.IntRange(0, 60*24*60).Draw(rt, "minute")) * time.Minute)
		slot, ok := c.Slot(after, 0)
		if !ok || slot.Before(after) || !c.Open(slot) {
			rt.Fatalf("slot after %v: %v, %v, open %v", after, slot, ok, c.Open(slot))
		}
		for m := after; m.Before(slot); m = m.Add(10 * time.Minute) {
			l := m.In(c.Zone)
			if h := l.Hour(); c.ClosedOn(DateOf(l)).IsZero() && (h >= 7 && h < 12 || h >= 13 && h < 16 && l.Weekday() != time.Friday) {
				rt.Fatalf("slot after %v is %v, but %v is open", after, slot, l)
			}
		}
	})
}

// A cure of 24 hours begun on 2027-03-27 14:00 in Berlin ends at 15:00 by
// the clock: an hour of the night is skipped.
func TestCalendar_daysAreNot24Hours(t *testing.T) {
	c := siteHours(t)
	end := at(t, "2027-03-27T14:00", c.Zone).Add(24 * time.Hour)
	if got := end.In(c.Zone).Format("15:04"); got != "15:00" {
		t.Errorf("24 h later the clock shows %s, want 15:00", got)
	}
	next, err := c.When("1 day", at(t, "2027-03-27T14:00", c.Zone))
	if err != nil || next.Format("15:04") != "14:00" {
		t.Errorf("a day later: %v, %v, want 14:00", next, err)
	}
}
