package calc

import (
	"math"
	"slices"
)

// cutSearch looks for the cheapest numbers of bars that hold all pieces.
type cutSearch struct {
	job     *cutJob
	fill    *cutFill
	proof   CutProof
	cuts    []cutRow
	columns []lpColumn      // of the last linear program of all
	fallen  map[string]bool // numbers of bars that were searched in vain
	greedy  cutGreedy
	steps   int // of about a thousand operations
	limit   int
}

// cutRow is a condition that every plan keeps: Σ mostₖ·xₖ ≥ total.
type cutRow struct {
	value, most []int64
	total       int64
}

func newCutSearch(j *cutJob, limit int) *cutSearch {
	s := &cutSearch{job: j, fill: newCutFill(j), fallen: map[string]bool{}, limit: limit, greedy: cutGreedy{job: j}}
	if s.fill == nil {
		s.addCut(j.weight, j.room)
		return s
	}
	s.addCut(j.weight, s.fill.most(j.weight, j.count))
	for k := int64(2); k < 8; k++ {
		value := make([]int64, len(j.weight))
		for i, w := range j.weight {
			value[i] = k * w / (j.room[0] + 1)
		}
		s.addCut(value, s.fill.most(value, j.count))
	}
	return s
}

// fewerDives is how many other solutions are looked at for fewer patterns,
// where there are few lengths and that is quick.
const (
	fewerDives = 4
	fewLengths = 40
)

// fewer returns the solution with the fewest patterns of those looked at.
func (s *cutSearch) fewer(found []cutBar, bars []int) []cutBar {
	if s.fill == nil || len(s.job.weight) > fewLengths {
		return found
	}
	for range fewerDives {
		rest, left := slices.Clone(s.job.count), slices.Clone(bars)
		again := s.dive(rest, left)
		if s.job.weigh(rest) == 0 && patterns(again) < patterns(found) {
			found = again
		}
	}
	return found
}

// patterns counts those that differ.
func patterns(bars []cutBar) int {
	keys := map[string]bool{}
	for _, b := range bars {
		keys[cutKey([]int{b.stock}, b.pieces)] = true
	}
	return len(keys)
}

func (s *cutSearch) addCut(value, most []int64) {
	row := cutRow{value: value, most: most}
	for i, n := range s.job.count {
		row.total += value[i] * int64(n)
	}
	s.cuts = append(s.cuts, row)
	s.proof.Values = append(s.proof.Values, value)
}

// run returns the best bound and plan found.
func (s *cutSearch) run() (CutSize, []cutBar, error) {
	best := s.greedy.anyBars()
	var size, bound CutSize
	if best != nil {
		size = s.job.size(s.used(best))
	}
	for _, b := range best {
		s.columns = append(s.columns, lpColumn{kind: lpPattern, bar: b})
	}
	for {
		bars := s.least()
		if s.stopped() {
			bound = maxSize(bound, s.relaxed())
			break
		}
		if bars == nil {
			return bound, nil, &NeedError{Name: "stocks", Why: "what is at hand can't hold the pieces"}
		}
		bound = s.job.size(bars)
		if best != nil && bound.compare(size) >= 0 {
			return bound, best, nil
		}
		found, fell := s.pack(bars)
		if found != nil {
			return bound, s.fewer(found, bars), nil
		}
		if !fell {
			break
		}
	}
	if best == nil {
		return bound, nil, &NeedError{Name: "stocks", Why: "no way was found to cut the pieces from what is at hand"}
	}
	return bound, best, nil
}

// step counts a step and says whether there may be more.
func (s *cutSearch) step() bool {
	s.steps++
	return !s.stopped()
}

func (s *cutSearch) stopped() bool { return s.steps > s.limit }

// used counts the bars of each stock.
func (s *cutSearch) used(bars []cutBar) []int {
	n := make([]int, len(s.job.stock))
	for _, b := range bars {
		n[b.stock]++
	}
	return n
}

// pack looks for a way to cut the pieces from numbers of bars. fell says that
// there is none, and that the proof says so.
func (s *cutSearch) pack(bars []int) (found []cutBar, fell bool) {
	for try := range 8 {
		if found := s.greedy.into(s.job.count, bars, try); found != nil {
			return found, false
		}
	}
	if s.fill == nil {
		return nil, false
	}
	if len(s.job.weight) > repairPieces {
		rest, left := slices.Clone(s.job.count), slices.Clone(bars)
		start := s.greedy.full(rest, left, s.job.slack(rest, left))
		if found := s.repair(start, rest, left); found != nil {
			return found, false
		}
	}
	if s.falls(s.job.count, bars) >= 0 {
		return nil, true
	}
	for range dives {
		rest, left := slices.Clone(s.job.count), slices.Clone(bars)
		start := s.dive(rest, left)
		if found := s.repair(start, rest, left); found != nil || s.stopped() {
			return found, false
		}
	}
	t := cutTree{search: s, seen: map[string]bool{}}
	switch t.grow(s.job.count, bars) {
	case treeFound:
		slices.Reverse(t.path)
		return t.path, false
	case treeStopped:
		return nil, false
	}
	s.fallen[cutKey(nil, bars)] = true
	s.proof.Fallen = append(s.proof.Fallen, CutFallen{Bars: bars, Leaves: t.leaves})
	return nil, true
}

// falls returns the number of the cut by which the bars can't hold the pieces,
// found among those known or by linear programming, or -1.
func (s *cutSearch) falls(count, bars []int) int {
	for c := range s.cuts {
		if s.cuts[c].falls(count, bars) {
			return c
		}
	}
	p := s.relax(count, bars, s.fitting(s.columns, count, bars))
	s.columns = p.basis
	if p.short <= 1e-6 {
		return -1
	}
	value := make([]int64, len(count))
	for i, r := range p.row {
		if r >= 0 {
			value[i] = int64(math.Round(max(0, p.dual[r]) * (1 << 30)))
		}
	}
	s.steps += s.fill.work()
	row := cutRow{value: value, most: s.fill.most(value, count)}
	if !row.falls(count, bars) {
		return -1
	}
	s.addCut(value, s.fill.most(value, s.job.count))
	return len(s.cuts) - 1
}

func (r *cutRow) falls(count, bars []int) bool {
	room, need := int64(0), int64(0)
	for k, x := range bars {
		room += r.most[k] * int64(x)
	}
	for i, n := range count {
		need += r.value[i] * int64(n)
	}
	return room < need
}

// relax solves the linear program, from columns that may be of use.
func (s *cutSearch) relax(count, bars []int, columns []lpColumn) *cutLP {
	p := newCutLP(s.job, count, bars, s.greedy.random())
	p.limit = s.limit - s.steps
	p.improve(columns)
	for p.steps <= p.limit && p.short > lpEps {
		columns = s.fill.columns(p, count, bars, columns[:0])
		before := p.pivots
		p.improve(columns)
		p.steps += s.fill.work()
		if p.pivots == before {
			break
		}
	}
	s.steps += p.steps
	return p
}

// dive takes patterns of the linear program's solution one by one until all
// pieces are cut or the rest does not fit.
func (s *cutSearch) dive(count, bars []int) (found []cutBar) {
	columns := s.fitting(s.columns, count, bars)
	slack := s.job.slack(count, bars)
	take := func(b cutBar) {
		if left := s.job.left(b); left <= slack {
			taken := len(found)
			if found = s.takeBar(b, count, bars, found); len(found) > taken {
				slack -= left
			}
		}
	}
	for slices.ContainsFunc(count, func(n int) bool { return n > 0 }) {
		p := s.relax(count, bars, columns)
		if s.stopped() {
			return found
		}
		taken := len(found)
		best, most := -1, 0.0
		for r := range p.basis {
			if p.basis[r].kind != lpPattern {
				continue
			}
			for v := p.value[r]; v > 1-1e-5; v-- {
				take(p.basis[r].bar)
			}
			if v := p.value[r] + float64(s.greedy.random())/(4*65536); v > most && s.job.left(p.basis[r].bar) <= slack {
				best, most = r, v
			}
		}
		if len(found) == taken {
			if best < 0 {
				return found
			}
			if take(p.basis[best].bar); len(found) == taken {
				return found
			}
		}
		columns = s.fitting(p.basis, count, bars)
	}
	return found
}

// fitting returns the patterns all of which is still wanted.
func (s *cutSearch) fitting(columns []lpColumn, count, bars []int) (out []lpColumn) {
	for _, c := range columns {
		if c.kind == lpPattern && s.fits(c.bar, count, bars) {
			out = append(out, c)
		}
	}
	return out
}

// fits says whether a bar and all its pieces are still wanted.
func (s *cutSearch) fits(b cutBar, count, bars []int) bool {
	if bars[b.stock] == 0 {
		return false
	}
	for _, i := range b.pieces {
		if count[i] == 0 || count[i] < len(b.pieces) && count[i] < copies(b.pieces, i) {
			return false
		}
	}
	return true
}

func copies(pieces []int, i int) int {
	n := 0
	for _, p := range pieces {
		if p == i {
			n++
		}
	}
	return n
}

// takeBar cuts a bar, if it and all its pieces are still wanted.
func (s *cutSearch) takeBar(b cutBar, count, bars []int, found []cutBar) []cutBar {
	if bars[b.stock] == 0 {
		return found
	}
	for at, i := range b.pieces {
		if count[i] == 0 {
			for _, i := range b.pieces[:at] {
				count[i]++
			}
			return found
		}
		count[i]--
	}
	bars[b.stock]--
	return append(found, b)
}

// work is how many steps a filling takes.
func (f *cutFill) work() int { return 1 + len(f.sums)*len(f.less)/1024 }

// cutKey writes counts and bars as a key.
func cutKey(count, bars []int) string {
	key := make([]byte, 0, 2*(len(count)+len(bars)))
	for _, list := range [2][]int{count, bars} {
		for _, n := range list {
			key = append(key, byte(n), byte(n>>8))
		}
	}
	return string(key)
}
