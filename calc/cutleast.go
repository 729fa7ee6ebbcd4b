package calc

import (
	"math"
	"slices"
)

// cutLeast looks for the cheapest numbers of bars that keep all conditions and
// have not fallen.
type cutLeast struct {
	search *cutSearch
	unit   Length // of which all stocks are multiples
	bars   []int
	need   []int64 // by condition, what is still missing
	best   []int
	size   CutSize
}

// least returns the cheapest numbers of bars that may hold the pieces, nil if
// there are none.
func (s *cutSearch) least() []int {
	l := cutLeast{search: s, bars: make([]int, len(s.job.stock)), need: make([]int64, len(s.cuts))}
	for _, stock := range s.job.stock {
		l.unit = Length(gcd(int64(l.unit), int64(stock)))
	}
	for c := range s.cuts {
		l.need[c] = s.cuts[c].total
	}
	l.from(0, CutSize{})
	return l.best
}

// from tries the numbers of stock k, largest first, with those of the stocks
// after it. It returns false if these can't supply what is missing.
func (l *cutLeast) from(k int, size CutSize) bool {
	if !l.supplied(k) {
		return false
	}
	if !l.search.step() || !l.cheaper(k, size) {
		return true
	}
	if k == len(l.bars) {
		if !l.search.fallen[cutKey(nil, l.bars)] {
			l.best, l.size = slices.Clone(l.bars), size
		}
		return true
	}
	most := l.enough(k)
	l.use(k, most)
	for x := most; x >= 0; x-- {
		l.bars[k] = x
		ok := l.from(k+1, CutSize{size.Length + Length(x)*l.search.job.stock[k], size.Bars + x})
		if !ok || x == 0 {
			l.use(k, -x)
			break
		}
		l.use(k, -1)
	}
	l.bars[k] = 0
	return true
}

// use takes bars of stock k off what is missing.
func (l *cutLeast) use(k, bars int) {
	for c := range l.need {
		l.need[c] -= int64(bars) * l.search.cuts[c].most[k]
	}
}

// enough returns how many bars of stock k can be of use: as many as fill all
// needs alone, and one more for all numbers that have fallen.
func (l *cutLeast) enough(k int) int {
	var most int64
	for c, need := range l.need {
		if per := l.search.cuts[c].most[k]; need > 0 && per > 0 {
			most = max(most, (need+per-1)/per)
		}
	}
	return int(min(most+int64(len(l.search.fallen)), int64(l.search.job.atHand[k])))
}

// supplied says whether the stocks from k on can fill all needs.
func (l *cutLeast) supplied(k int) bool {
	for c, need := range l.need {
		for i := k; i < len(l.bars) && need > 0; i++ {
			need -= l.search.cuts[c].most[i] * int64(l.search.job.atHand[i])
		}
		if need > 0 {
			return false
		}
	}
	return true
}

// cheaper says whether it may become cheaper than the best found.
func (l *cutLeast) cheaper(k int, size CutSize) bool {
	if l.best == nil {
		return true
	}
	low := size
	for c, need := range l.need {
		s := l.search.cuts[c].size(l.search.job.stock[k:], k, need, l.unit)
		low.Length, low.Bars = max(low.Length, size.Length+s.Length), max(low.Bars, size.Bars+s.Bars)
	}
	return low.compare(l.size) < 0
}

// size returns the least length and, each for itself, the fewest bars that
// fill a need, of the stocks given, the first of them number k; lengths are
// multiples of unit.
func (r *cutRow) size(stocks []Length, k int, need int64, unit Length) CutSize {
	if need <= 0 {
		return CutSize{}
	}
	var worth, most float64
	for i, l := range stocks {
		v := float64(r.most[k+i])
		worth, most = max(worth, v/float64(l)), max(most, v)
	}
	const safe = 1 - 1e-12 // for the rounding of the divisions
	units := math.Ceil(float64(need) / worth / float64(unit) * safe)
	return CutSize{Length(units) * unit, int(math.Ceil(float64(need) / most * safe))}
}

// relaxed returns a bound that needs no search: the best of all conditions,
// length and bars each for itself.
func (s *cutSearch) relaxed() CutSize {
	var unit Length
	for _, stock := range s.job.stock {
		unit = Length(gcd(int64(unit), int64(stock)))
	}
	var low CutSize
	for c := range s.cuts {
		r := s.cuts[c].size(s.job.stock, 0, s.cuts[c].total, unit)
		low.Length, low.Bars = max(low.Length, r.Length), max(low.Bars, r.Bars)
	}
	return low
}
