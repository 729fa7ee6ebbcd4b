package sim

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"time"
)

// glue is what a hardware sheet says of its adhesive, copied by hand from the
// sheets that the places use.
type glue struct {
	base, ref, lowest float64
	working           time.Duration
	table             [][2]float64 // from a temperature on, hours
}

var glues = map[string]glue{
	"orchard": {base: 18, ref: 21, lowest: 7, working: 26 * time.Minute},
	"quarry":  {base: 30, ref: 19, lowest: 6, working: 17 * time.Minute, table: [][2]float64{{5, 96}, {9, 66}, {14, 44}, {19, 30}}},
}

func (l *ledger) lowest() float64        { return glues[l.pl.sheet].lowest }
func (l *ledger) working() time.Duration { return glues[l.pl.sheet].working }

// rate is how fast the adhesive hardens: common practice (ten kelvin colder
// takes twice as long), no published source; or by the sheet's own table.
func (g *glue) rate(t float64) float64 {
	if t < g.lowest {
		return 0
	}
	if g.table == nil {
		return math.Min(1, math.Pow(2, (t-g.ref)/10))
	}
	hours := g.table[0][1]
	for _, row := range g.table {
		if t >= row[0] {
			hours = row[1]
		}
	}
	return math.Min(1, g.base/hours)
}

// uncured says why a plate is not through at a time, "" if it may be. It adds
// up minute by minute; no reading counts for longer than known, and what is
// not known counts at the lowest temperature of the sheet.
func (l *ledger) uncured(where string, at time.Time, known time.Duration) string {
	b, g := l.bonds[where], glues[l.pl.sheet]
	switch {
	case !b.word.IsZero() && at.Before(b.word):
		return fmt.Sprintf("is to be left alone until %s", b.word)
	case !b.word.IsZero():
		return ""
	case b.cold:
		return "was too cold"
	}
	if worth := l.worth(where, b.from, at, &g, known); worth < g.base-1e-6 {
		return fmt.Sprintf("has %.3f h of %.0f", worth, g.base)
	}
	return ""
}

// worth returns how many hours at the reference temperature lie between two
// times.
func (l *ledger) worth(where string, from, to time.Time, g *glue, known time.Duration) (hours float64) {
	var read []reading
	for _, x := range l.read {
		if (x.where == "" || x.where == where) && !x.at.After(to) {
			read = append(read, x)
		}
	}
	for i := -1; i < len(read); i++ {
		begin, end, t := from, to, g.lowest // before the first reading
		if i >= 0 {
			begin, t = read[i].at, read[i].t
		}
		if i+1 < len(read) {
			end = read[i+1].at
			if i >= 0 {
				t = math.Min(t, read[i+1].t)
			}
		}
		told := end
		if limit := begin.Add(known); i >= 0 && limit.Before(end) {
			told = limit
		}
		hours += between(begin, told, from, to) * g.rate(t)
		if told.Before(end) {
			hours += between(told, end, from, to) * g.rate(g.lowest)
		}
	}
	return hours
}

// between returns the hours of a stretch that lie within another.
func between(a, b, from, to time.Time) float64 {
	if a.Before(from) {
		a = from
	}
	if b.After(to) {
		b = to
	}
	return max(0, b.Sub(a).Hours())
}

// over returns when all plates are through by a reckoning that is as slow as
// any may be; false if that can't be told.
func (l *ledger) over() (time.Time, bool) {
	end := time.Time{}
	for _, where := range sorted(l.bonds) {
		b := l.bonds[where]
		if b.word.IsZero() && (b.cold || l.coldNight(where, b.from)) {
			return end, false
		}
		through := b.word
		if through.IsZero() {
			const slowest = 20 * 24 * 60
			through = b.from.Add(time.Minute * time.Duration(sort.Search(slowest, func(n int) bool {
				return l.uncured(where, b.from.Add(time.Duration(n)*time.Minute), 4*time.Hour) == ""
			})))
		}
		if through.After(end) {
			end = through
		}
	}
	return end, len(l.bonds) > 0
}

// coldNight reports whether a reading in the day before a plate was bonded was
// too cold: then nobody foretells the end.
func (l *ledger) coldNight(where string, from time.Time) bool {
	return slices.ContainsFunc(l.read, func(x reading) bool {
		return (x.where == "" || x.where == where) && x.t < l.lowest() && x.at.After(from.Add(-24*time.Hour-time.Minute))
	})
}
