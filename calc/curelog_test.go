package calc_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"heelpost/calc"
)

// resin takes 18 h at 21 °C and is not used below 7.
var resin = calc.Adhesive{Base: 18, Ref: 21, Lowest: 7}

var glued = time.Date(2026, 9, 7, 15, 0, 0, 0, time.UTC)

// at returns what was read so many hours after the bonding.
func at(hours float64, t calc.Temperature) calc.Warmth {
	return calc.Warmth{At: glued.Add(time.Duration(hours * float64(time.Hour))), T: t}
}

// lowest adds the minimum of the stretch before it to a reading.
func lowest(w calc.Warmth, t calc.Temperature) calc.Warmth {
	w.Min = &t
	return w
}

// One reading of 21 at the bonding and none after: 4 h, and 14 h at the rate of
// the sheet's lowest, 0.3789. Common practice, no published source.
func ExampleAdhesive_Cure() {
	read := []calc.Warmth{{At: glued, T: 21}}
	c, err := resin.Cure(glued, read, nil, glued)
	fmt.Printf("%.2f h, not before %v, unread from %v: %v\n", float64(c.Needed), c.ReadyAt.Format("2 Jan 15:04"), c.Unread.Format("15:04"), err)
	read = append(read, at(5, 21))
	c, err = resin.Cure(glued, read, nil, glued.Add(5*time.Hour))
	fmt.Printf("%.3f h counted %v\n", float64(c.Equivalent), err)
	read[1] = lowest(read[1], 11)
	c, err = resin.Cure(glued, read, nil, glued.Add(5*time.Hour))
	fmt.Printf("%.3f h with a minimum of 11 %v\n", float64(c.Equivalent), err)
	held := []calc.Held{{From: glued, Until: glued.Add(48 * time.Hour), T: 21}}
	c, err = resin.Cure(glued, nil, held, glued)
	fmt.Println(c.Needed, c.Unread.IsZero(), err)
	// Output:
	// 40.95 h, not before 9 Sep 07:57, unread from 19:00: <nil>
	// 4.379 h counted <nil>
	// 2.500 h with a minimum of 11 <nil>
	// 18 h true <nil>
}

// The figures follow from the rule (Q10 = 2, from memory), worked out with a
// pocket calculator: at 11 °C an hour is worth half a one at 21, at 7 °C
// 0.3789, at 16 °C 0.7071.
func TestAdhesive_Cure(t *testing.T) {
	held := func(from, until float64, t calc.Temperature) []calc.Held {
		return []calc.Held{{From: at(from, 0).At, Until: at(until, 0).At, T: t}}
	}
	for _, tt := range []struct {
		name   string
		read   []calc.Warmth
		held   []calc.Held
		now    float64
		equiv  float64
		needed float64
		unread float64 // hours after the bonding; -1 if all is known
	}{
		{"nothing is known", nil, nil, 2, 0.758, 47.50, 0},
		{"warmer is no faster", []calc.Warmth{at(0, 35), at(4, 35), at(8, 35)}, nil, 8, 8, 27.84, 12},
		{"the colder of two within 4 h", []calc.Warmth{at(0, 21), at(4, 11)}, nil, 4, 2, 44.95, 8},
		{"a long stretch begins at the colder", []calc.Warmth{at(0, 21), at(6, 11)}, nil, 6, 2.758, 44.95, 4},
		{"a minimum warmer than what was read", []calc.Warmth{at(0, 11), lowest(at(8, 16), 14)}, nil, 8, 4, 41.48, 12},
		{"a minimum up to the first reading", []calc.Warmth{lowest(at(8, 16), 11)}, nil, 8, 4, 41.48, 12},
		{"read before the bonding", []calc.Warmth{at(-3, 21)}, nil, 1, 1, 45.86, 1},
		{"read the day before", []calc.Warmth{at(-30, 21)}, nil, 1, 0.379, 47.50, 0},
		{"held from the fourth hour", []calc.Warmth{at(0, 21)}, held(4, 100, 11), 4, 4, 32, -1},
		{"held a while", []calc.Warmth{at(0, 21)}, held(10, 12, 21), 4, 4, 37.67, 4},
		{"a colder reading ends what is held", []calc.Warmth{at(0, 21), at(10, 11)}, held(0, 100, 21), 10, 5, 43.03, 14},
		{"a colder minimum ends it", []calc.Warmth{at(0, 21), lowest(at(10, 21), 11)}, held(0, 100, 21), 10, 5, 37.75, 14},
		{"a warmer reading does not", []calc.Warmth{at(0, 21), at(10, 16)}, held(0, 100, 11), 10, 5.828, 32.69, -1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, err := resin.Cure(glued, tt.read, tt.held, at(tt.now, 0).At)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(float64(c.Equivalent)-tt.equiv) > 0.001 {
				t.Errorf("got %v counted, want %v", float64(c.Equivalent), tt.equiv)
			}
			if math.Abs(float64(c.Needed)-tt.needed) > 0.01 {
				t.Errorf("got %v needed, want %v", float64(c.Needed), tt.needed)
			}
			unread := -1.0
			if !c.Unread.IsZero() {
				unread = c.Unread.Sub(glued).Hours()
			}
			if unread != tt.unread {
				t.Errorf("got unread from %v, want %v", unread, tt.unread)
			}
		})
	}
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

func TestAdhesive_Cure_refused(t *testing.T) {
	var outside *calc.RangeError
	if _, err := resin.Cure(glued, []calc.Warmth{at(1, 20), at(0, 20)}, nil, glued); !errors.As(err, &outside) || outside.Why != "the log goes backward" {
		t.Errorf("got error %v for a log that goes backward, want a RangeError that says so", err)
	}
	if _, err := resin.Cure(glued, nil, []calc.Held{{From: glued, Until: glued, T: 20}}, glued); !errors.As(err, &outside) {
		t.Errorf("got error %v for what is held no time, want a RangeError", err)
	}
	for _, w := range []calc.Warmth{at(0, -51), at(0, 81), at(0, calc.Temperature(math.NaN())), lowest(at(0, 20), -51)} {
		if _, err := resin.Cure(glued, []calc.Warmth{w}, nil, glued); !errors.As(err, &outside) {
			t.Errorf("got error %v for %v, want a RangeError", err, w)
		}
	}
}

// Once it was too cold the estimate is void from the reading before on, and
// stays so.
func TestAdhesive_Cure_void(t *testing.T) {
	for _, tt := range []struct {
		name string
		read []calc.Warmth
		void float64 // hours after the bonding; -1 for not
	}{
		{"at the lowest", []calc.Warmth{at(0, 12), at(10, 7)}, -1},
		{"below it", []calc.Warmth{at(0, 12), at(2, 6.5)}, 0},
		{"below it after a night", []calc.Warmth{at(0, 12), at(3, 12), at(18, 6.5)}, 3},
		{"a minimum below it", []calc.Warmth{at(0, 12), at(3, 12), lowest(at(18, 15), 6.5)}, 3},
		{"warm again", []calc.Warmth{at(0, 12), at(2, 6.5), at(70, 20), at(72, 20)}, 0},
		{"though the hours were full", []calc.Warmth{at(0, 21), at(60, 21), at(61, 6.5)}, 60},
		{"at the bonding", []calc.Warmth{at(0, 6.5)}, 0},
		{"at the first reading", []calc.Warmth{at(3, 6.5)}, 3},
		{"before the bonding", []calc.Warmth{at(-3, 6.5)}, 0},
		{"long before it", []calc.Warmth{at(-9, 6.5), at(0, 12)}, -1},
	} {
		c, err := resin.Cure(glued, tt.read, nil, glued.Add(100*time.Hour))
		if err != nil {
			t.Fatal(err)
		}
		if got := c.VoidSince.Sub(glued).Hours(); c.VoidSince.IsZero() != (tt.void < 0) || tt.void >= 0 && (got != tt.void || !c.ReadyAt.IsZero()) {
			t.Errorf("%s: got void since %v, ready %v, want %v h after the bonding", tt.name, c.VoidSince, c.ReadyAt, tt.void)
		}
	}
}

// The slowest cure within the bounds ends 64,000 hours after the bonding; many
// readings at one temperature end it where one that holds would.
func TestAdhesive_Cure_long(t *testing.T) {
	a := calc.Adhesive{Base: 1000, Ref: 20, Lowest: -40}
	if c, err := a.Cure(glued, nil, nil, glued); err != nil || c.Needed != 64_000 || !c.ReadyAt.Equal(glued.Add(64_000*time.Hour)) {
		t.Errorf("got %+v, %v, want 64,000 h", c, err)
	}
	var read []calc.Warmth
	for i := range 1200 {
		read = append(read, at(float64(i)/10, 21))
	}
	a = calc.Adhesive{Base: 100, Ref: 20, Lowest: 5}
	if c, err := a.Cure(glued, read, nil, glued.Add(120*time.Hour)); err != nil || !c.ReadyAt.Equal(glued.Add(100*time.Hour)) {
		t.Errorf("got ready after %v, %v, want 100 h", c.ReadyAt.Sub(glued), err)
	}
}

// byTheMinute adds up, minute by minute, what counts of the hours from the bonding
// to now. It knows the rule by its words alone, and takes nothing from calc but
// the types: at a minute, look at the readings around it.
func byTheMinute(base, ref, floor float64, table map[int]float64, read []calc.Warmth, held []calc.Held, now time.Time) (hours float64, tooCold bool) {
	worth := func(t float64) float64 {
		if len(table) == 0 {
			return math.Min(1, math.Pow(2, (t-ref)/10))
		}
		row := math.MinInt
		for from := range table {
			if float64(from) <= t && from > row {
				row = from
			}
		}
		return math.Min(1, base/table[row])
	}
	for at := glued; at.Before(now); at = at.Add(time.Minute) {
		last, next := -1, -1
		for i, w := range read {
			if w.At.After(now) {
				break
			}
			if !w.At.After(at) {
				last = i
			} else if next < 0 {
				next = i
			}
		}
		t := floor
		near := last >= 0 && at.Sub(read[last].At) < 4*time.Hour
		switch {
		case next >= 0 && read[next].Min != nil:
			t = math.Min(float64(read[next].T), float64(*read[next].Min))
			if last >= 0 {
				t = math.Min(t, float64(read[last].T))
			}
		case near && next >= 0:
			t = math.Min(float64(read[last].T), float64(read[next].T))
		case near:
			t = float64(read[last].T)
		default:
			for _, h := range held {
				broken := false
				for _, w := range read {
					coldest := w.T
					if w.Min != nil && *w.Min < coldest {
						coldest = *w.Min
					}
					broken = broken || !w.At.Before(h.From) && !w.At.After(at) && coldest < h.T
				}
				if !at.Before(h.From) && at.Before(h.Until) && !broken {
					t = float64(h.T)
					if next >= 0 {
						t = math.Min(t, float64(read[next].T))
					}
				}
			}
		}
		if t < floor {
			tooCold = true
			continue // it counts nothing
		}
		hours += worth(t) / 60
	}
	return hours, tooCold
}

// The sum over the minutes is what is counted; the hours are full at the end
// that is told, and were not a minute before. What is read colder, or not held,
// never brings the end nearer.
func TestAdhesive_Cure_byTheMinute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := func(label string, low, high int) time.Duration {
			return time.Duration(rapid.IntRange(low, high).Draw(t, label)) * time.Minute
		}
		warm := func(label string) calc.Temperature {
			return calc.Temperature(rapid.IntRange(rapid.SampledFrom([]int{5, 7, 7, 7}).Draw(t, "cold"), 26).Draw(t, label))
		}
		a, table := calc.Adhesive{Base: 18, Ref: 21, Lowest: 7}, map[int]float64(nil)
		if rapid.Bool().Draw(t, "table") {
			a.Table = []calc.CureRow{{From: 5, Hours: 60}, {From: 11, Hours: 40}, {From: 16, Hours: 24}, {From: 21, Hours: 18}}
			table = map[int]float64{5: 60, 11: 40, 16: 24, 21: 18}
		}
		var read []calc.Warmth
		when := glued.Add(-step("before", 0, 600))
		for range rapid.IntRange(0, 5).Draw(t, "readings") {
			w := calc.Warmth{At: when, T: warm("t")}
			if rapid.IntRange(0, 3).Draw(t, "has min") == 0 {
				w = lowest(w, warm("min"))
			}
			read = append(read, w)
			when = when.Add(step("next", 1, 800))
		}
		var held []calc.Held
		for from := glued.Add(step("from", -100, 2000)); len(held) < 2 && rapid.Bool().Draw(t, "held"); {
			h := calc.Held{From: from, Until: from.Add(step("until", 1, 1500)), T: calc.Temperature(rapid.IntRange(7, 26).Draw(t, "held t"))}
			held = append(held, h)
			from = h.Until.Add(step("pause", 0, 600))
		}
		now := glued.Add(step("now", 0, 3000))
		c, err := a.Cure(glued, read, held, now)
		if err != nil {
			t.Fatal(err)
		}
		sum, tooCold := byTheMinute(18, 21, 7, table, read, held, now)
		if math.Abs(sum-float64(c.Equivalent)) > 1e-6 {
			t.Fatalf("got %v h, by the minute %v", c.Equivalent, sum)
		}
		if tooCold && c.VoidSince.IsZero() {
			t.Fatal("a minute was too cold, and it is not void")
		}
		if c.ReadyAt.IsZero() || !c.ReadyAt.After(now) {
			return
		}
		upToNow := slices.DeleteFunc(slices.Clone(read), func(w calc.Warmth) bool { return w.At.After(now) })
		if sum, _ := byTheMinute(18, 21, 7, table, upToNow, held, c.ReadyAt); sum < 18-1e-6 {
			t.Fatalf("got %v h at the end %v, want 18", sum, c.ReadyAt)
		}
		if sum, _ := byTheMinute(18, 21, 7, table, upToNow, held, c.ReadyAt.Add(-time.Minute)); sum >= 18 {
			t.Fatalf("got %v h a minute before the end, want less than 18", sum)
		}
		if without, err := a.Cure(glued, read, nil, now); err != nil || without.ReadyAt.Before(c.ReadyAt) {
			t.Fatalf("got %v without what is held, %v, want not before %v", without.ReadyAt, err, c.ReadyAt)
		}
		for i := range upToNow {
			upToNow[i].T = max(7, upToNow[i].T-1)
		}
		if colder, err := a.Cure(glued, upToNow, held, now); err != nil || !colder.ReadyAt.IsZero() && colder.ReadyAt.Before(c.ReadyAt) {
			t.Fatalf("got %v a kelvin colder, %v, want not before %v", colder.ReadyAt, err, c.ReadyAt)
		}
	})
}

// What is left of 18 h at 21 °C passes in twice the time at 11 °C (ten kelvin
// double it, from memory), and by a table at the first row that is fast enough.
func ExampleAdhesive_HeldFor() {
	for _, within := range []calc.Hours{7, 14, 20, 100} {
		fmt.Println(resin.HeldFor(7, within))
	}
	fmt.Println(resin.HeldFor(7, 6.9))
	own := calc.Adhesive{Base: 18, Ref: 21, Lowest: 7, Table: []calc.CureRow{{From: 5, Hours: 60}, {From: 11, Hours: 40}, {From: 16, Hours: 24}}}
	fmt.Println(own.HeldFor(7, 14))
	fmt.Println(own.HeldFor(7, 9.4))
	// Output:
	// 21 °C <nil>
	// 11 °C <nil>
	// 7 °C <nil>
	// 7 °C <nil>
	// 0 °C time is 6.9 h, must be at least 7 h: the hours that are left at the reference temperature
	// 16 °C <nil>
	// 16 °C <nil>
}

// A colder reading of the very minute from which something is held says that it is
// not held: the leaf is loaded hours too early else.
func TestAdhesive_Cure_heldSameMinute(t *testing.T) {
	at := glued.Add(time.Hour)
	read := []calc.Warmth{{At: glued, T: 18}, {At: at, T: 12}}
	held := []calc.Held{{From: at, Until: at.Add(48 * time.Hour), T: 18}}
	with, err := resin.Cure(glued, read, held, at)
	if err != nil {
		t.Fatal(err)
	}
	without, err := resin.Cure(glued, read, nil, at)
	if err != nil || !with.ReadyAt.Equal(without.ReadyAt) {
		t.Errorf("got %v, %v, want %v as without what is held", with.ReadyAt, err, without.ReadyAt)
	}
}
