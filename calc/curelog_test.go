package calc_test

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// resin takes 18 h at 21 °C and is not used below 7.
var resin = calc.Adhesive{Base: 18, Ref: 21, Lowest: 7}

var glued = time.Date(2026, 9, 7, 15, 0, 0, 0, time.UTC)

// One reading of 21 at the bonding and none after: 4 h, and 14 h at the rate of
// the sheet's lowest, 0.3789. Common practice, no published source.
func ExampleAdhesive_CureByLog() {
	log := []calc.LogEntry{{At: glued, T: 21}}
	c, err := resin.CureByLog(glued, log, nil, glued)
	fmt.Printf("%.2f h, not before %v: %v %v\n", float64(c.Needed), c.ReadyAt.Format("2 Jan 15:04"), c.Unread, err)
	log = append(log, calc.LogEntry{At: glued.Add(5 * time.Hour), T: 21})
	c, err = resin.CureByLog(glued, log, nil, glued.Add(5*time.Hour))
	fmt.Printf("%.3f h counted %v\n", float64(c.Equivalent), err)
	log[1].HasMin, log[1].Min = true, 11
	c, err = resin.CureByLog(glued, log, nil, glued.Add(5*time.Hour))
	fmt.Printf("%.3f h with a minimum of 11 %v\n", float64(c.Equivalent), err)
	held := []calc.HeldWarmth{{From: glued, Until: glued.Add(48 * time.Hour), T: 21}}
	c, err = resin.CureByLog(glued, nil, held, glued)
	fmt.Println(c.Needed, c.Unread, err)
	// Output:
	// 40.95 h, not before 9 Sep 07:57: true <nil>
	// 4.379 h counted <nil>
	// 2.500 h with a minimum of 11 <nil>
	// 18 h false <nil>
}

// 24 h at 20 °C: cold by ten kelvin doubles the time (Q10 = 2, from memory).
func ExampleAdhesive_HoursAt() {
	a := calc.Adhesive{Base: 24, Ref: 20, Lowest: 5}
	ten, err := a.HoursAt(10)
	six, err2 := a.HoursAt(6)
	sum, err3 := a.EquivalentHours([]calc.Stretch{{For: 12, T: 5}, {For: 12, T: 15}})
	fmt.Printf("%.0f h, %.2f h, %.2f h %v %v %v\n", float64(ten), float64(six), float64(sum), err, err2, err3)
	_, err = a.HoursAt(4)
	fmt.Println(err)
	// Output:
	// 48 h, 63.34 h, 12.73 h <nil> <nil> <nil>
	// temperature is 4 °C, must be at least 5 °C: the lowest temperature
}

// A published exercise on ASTM C1074: 28 d at 15 °C with the datum at -11 °C
// are 728 °C·d.
func ExampleNurseSaul() {
	m, err := calc.NurseSaul([]calc.Stretch{{For: 28 * 24, T: 15}}, -11)
	fmt.Println(m/24, "°C·d", err)
	// Output: 728 °C·d <nil>
}

// 12 h at 5 °C and 12 h at 15 °C, worked by hand from the formula of ASTM C1074.
func ExampleEquivalentAge() {
	h, err := calc.EquivalentAge([]calc.Stretch{{For: 12, T: 5}, {For: 12, T: 15}}, 20)
	fmt.Printf("%.1f h %v\n", float64(h), err)
	// Output: 13.7 h <nil>
}

func TestCureByLog_refused(t *testing.T) {
	var outside *calc.RangeError
	back := []calc.LogEntry{{At: glued.Add(time.Hour), T: 20}, {At: glued, T: 20}}
	if _, err := resin.CureByLog(glued, back, nil, glued); !errors.As(err, &outside) || outside.Why != "the log goes backward" {
		t.Errorf("got error %v for a log that goes backward, want a RangeError that says so", err)
	}
	if _, err := resin.CureByLog(glued, nil, nil, glued.Add(-time.Hour)); !errors.As(err, &outside) {
		t.Errorf("got error %v before the bonding, want a RangeError", err)
	}
	cold := []calc.LogEntry{{At: glued, T: 20}, {At: glued.Add(2 * time.Hour), T: 6}}
	c, err := resin.CureByLog(glued, cold, nil, glued.Add(3*time.Hour))
	if err != nil || !c.VoidSince.Equal(glued) || !c.ReadyAt.IsZero() {
		t.Errorf("got %+v, %v, want it void since the bonding", c, err)
	}
}

// warmthAt says by itself what counts at an instant.
func warmthAt(log []calc.LogEntry, held []calc.HeldWarmth, at time.Time) calc.Temperature {
	var before, after *calc.LogEntry
	for i := range log {
		if !log[i].At.After(at) {
			before = &log[i]
		} else if after == nil {
			after = &log[i]
		}
	}
	if before != nil && after != nil {
		if after.HasMin {
			return min(before.T, after.T, after.Min)
		}
		if after.At.Sub(before.At) <= 4*time.Hour {
			return min(before.T, after.T)
		}
	}
	if before != nil && at.Before(before.At.Add(4*time.Hour)) {
		if after == nil {
			return before.T
		}
		return min(before.T, after.T)
	}
	for _, h := range held {
		ended := false
		for _, e := range log {
			ended = ended || e.At.After(h.From) && !e.At.After(at) && (e.T < h.T || e.HasMin && e.Min < h.T)
		}
		if at.Before(h.From) || !at.Before(h.Until) || ended {
			continue
		}
		if after != nil {
			return min(h.T, after.T)
		}
		return h.T
	}
	return resin.Lowest
}

// Adding up every quarter of an hour gives the same.
func TestCureByLog_stepped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		quarter := func(label string, low, high int) time.Duration {
			return time.Duration(rapid.IntRange(low, high).Draw(t, label)) * 15 * time.Minute
		}
		warm := func(label string) calc.Temperature {
			return calc.Temperature(rapid.IntRange(7, 30).Draw(t, label))
		}
		var log []calc.LogEntry
		at := glued.Add(-quarter("before", 0, 40))
		for range rapid.IntRange(0, 5).Draw(t, "entries") {
			e := calc.LogEntry{At: at, T: warm("t"), HasMin: rapid.IntRange(0, 3).Draw(t, "has min") == 0}
			e.Min = warm("min")
			log = append(log, e)
			at = at.Add(quarter("next", 1, 50))
		}
		var held []calc.HeldWarmth
		if rapid.Bool().Draw(t, "held") {
			from := glued.Add(quarter("from", 0, 40))
			held = append(held, calc.HeldWarmth{From: from, Until: from.Add(quarter("until", 1, 100)), T: warm("held t")})
		}
		now := glued.Add(quarter("now", 0, 160))
		c, err := resin.CureByLog(glued, log, held, now)
		if err != nil {
			t.Fatal(err)
		}
		known := log
		for i, e := range log {
			if e.At.After(now) {
				known = log[:i]
				break
			}
		}
		sum := 0.0
		for at := glued; at.Before(now); at = at.Add(15 * time.Minute) {
			sum += resin.Rate(warmthAt(known, held, at)) / 4
		}
		if math.Abs(sum-float64(c.Equivalent)) > 1e-6 {
			t.Fatalf("got %v h, steps give %v", c.Equivalent, sum)
		}
	})
}
