package tell_test

import (
	"strings"
	"testing"
	"time"

	"heelpost/bot/tell"
	"heelpost/calc"
	"heelpost/jobs"
)

// The clock of a door shows the stretches that were read, the four hours that a
// reading stands for and the sheet's lowest after it, and marks as assumed what
// nobody read or what is still to come.
func TestCureClock(t *testing.T) {
	at := func(h float64) time.Time {
		return time.Date(2027, 1, 18, 8, 0, 0, 0, time.UTC).Add(time.Duration(h * float64(time.Hour)))
	}
	reading := func(h float64, c calc.Temperature) jobs.Warmth {
		return jobs.Warmth{Warmth: calc.Warmth{At: at(h), T: c}}
	}
	j := &jobs.Job{Site: &jobs.Site{Calendar: jobs.Calendar{Zone: time.UTC}}}
	j.Sheet = &jobs.Sheet{}
	if tell.CureClock(j, at(1)) != nil {
		t.Error("a door without a bond has a clock")
	}
	// 20 h at 20 °C, 40 h at 10 °C: the rates are 1 and one half.
	j.Door.Bonds = []jobs.Bond{{Where: "floor", From: at(0), Adhesive: calc.Adhesive{Base: 20, Ref: 20, Lowest: 10}}}
	j.Door.Warmths = []jobs.Warmth{reading(0, 20), reading(3, 20)}
	j.Sheet.Adhesive.Lowest = 10
	for _, c := range []struct {
		now  float64
		want []string
	}{
		// by hand: of one reading 4 h at 20 °C count, 16 are left at 10 °C: 32 h
		{2, []string{"2 h at 20 °C as read", "2 h at 20 °C assumed", "32 h at 10 °C assumed", "2 h of 20 h counted"}},
		// of both 7 h at 20 °C, 13 are left: 26 h
		{9, []string{"7 h at 20 °C as read", "26 h at 10 °C assumed", "8 h of 20 h counted"}},
		{33, []string{"7 h at 20 °C as read", "26 h at 10 °C assumed", "20 h of 20 h counted"}},
	} {
		j.Door.Updated = at(c.now)
		got := tell.CureClock(j, at(c.now)).Alt().String()
		from := 0
		for _, want := range c.want {
			i := strings.Index(got[from:], want)
			if i < 0 {
				t.Errorf("after %v h: got %q, want %q in it in this order", c.now, got, want)
				break
			}
			from += i
		}
		if n := strings.Count(got, "assumed") + strings.Count(got, "as read"); n != len(c.want)-1 {
			t.Errorf("after %v h: got %d stretches in %q, want %d", c.now, n, got, len(c.want)-1)
		}
	}
}
