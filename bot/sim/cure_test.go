package sim

import (
	"fmt"
	"math"
	"sort"
	"strings"
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
	case l.doubted(&b):
		return "may have been too cold: nobody has said whether a reading is so"
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
// times: between two readings the colder counts; where they are further apart
// than a reading counts for, the lowest that was read of the stretch, else what
// the foreman vouches for, else the sheet's lowest.
func (l *ledger) worth(where string, from, to time.Time, g *glue, known time.Duration) (hours float64) {
	var read []reading
	for _, x := range l.read {
		if (x.where == "" || x.where == where) && !x.at.After(to) {
			read = append(read, x)
		}
	}
	add := func(a, b time.Time, t float64) { hours += between(a, b, from, to) * g.rate(t) }
	for i := -1; i < len(read); i++ {
		begin, end, next := from, to, math.Inf(1)
		if i >= 0 {
			begin = read[i].at
		}
		if i+1 < len(read) {
			end, next = read[i+1].at, read[i+1].t
		}
		if i < 0 && len(read) > 0 && read[0].min != nil {
			add(begin, end, read[0].coldest())
			continue
		}
		if i >= 0 {
			t, told := min(read[i].t, next), end
			if i+1 < len(read) && read[i+1].min != nil {
				t = min(t, *read[i+1].min)
			} else if limit := begin.Add(known); limit.Before(end) {
				told = limit
			}
			add(begin, told, t)
			begin = told
		}
		for _, v := range l.vouched {
			until := v.until
			for _, x := range l.read { // a colder reading ends it, at any plate
				if !x.at.After(to) && x.coldest() < v.t && x.at.After(v.from) && x.at.Before(until) {
					until = x.at
				}
			}
			if a, b := late(begin, v.from), early(end, until); a.Before(b) {
				add(begin, a, g.lowest)
				add(a, b, min(v.t, next))
				begin = b
			}
		}
		add(begin, end, g.lowest)
	}
	return hours
}

func late(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func early(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
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

// over returns when all plates whose samples are still to be looked at are
// through, by a reckoning that is as slow as any may be; false if that can't be
// told.
func (l *ledger) over() (time.Time, bool) {
	end, open := time.Time{}, l.unlooked()
	for _, id := range open {
		where, _, _ := strings.Cut(id, "-")
		b := l.bonds[where]
		if b.word.IsZero() && b.cold || l.doubted(&b) {
			return end, false
		}
		through := b.word
		if through.IsZero() {
			const slowest = 20 * 24 * 60
			from := b.from
			if l.at.After(from) && l.uncured(where, l.at, 4*time.Hour) != "" {
				from = l.at // what was read since may be colder than what it ended by
			}
			through = from.Add(time.Minute * time.Duration(sort.Search(slowest, func(n int) bool {
				return l.uncured(where, from.Add(time.Duration(n)*time.Minute), 4*time.Hour) == ""
			})))
		}
		if through.After(end) {
			end = through
		}
	}
	return end, len(open) > 0
}
