package calc

import (
	"math/bits"
	"slices"
)

// CutProof shows that no plan is better than a bound. Each row of Values
// gives every piece length, longest first, a value: as no bar can hold more
// than so much value, numbers of bars that hold less than all pieces are worth
// can't be enough. Numbers of bars that no row tells off stand in Fallen.
type CutProof struct {
	Values [][]int64
	Fallen []CutFallen
}

// CutFallen shows that numbers of bars, by stock and longest first, can't hold
// the pieces: the longest piece left is cut from some bar in some pattern, and
// what is left after each of these falls in the same way. Leaves says, in the
// order in which the patterns are gone through, for what is left the row of
// Values by which it falls, or -1 if it is split again.
type CutFallen struct {
	Bars   []int
	Leaves []int
}

// treeSplit stands for a branch that is split again.
const treeSplit = -1

// Check returns nil if the plan cuts the pieces of in from its stocks and its
// proof shows that no plan is better than its bound, and else says what is
// wrong. It shares with [Cut] the reading of the input and the list of
// patterns, and is worked in whole numbers only.
func (p *CutPlan) Check(in CutInput) error {
	j, err := newCutJob(in)
	if err != nil {
		return err
	}
	if err := p.cuts(j); err != nil {
		return err
	}
	if p.Bound.compare(p.Size) > 0 || p.Proven != (p.Bound == p.Size) {
		return F("bound and size don't belong together")
	}
	c := cutCheck{job: j, proof: &p.Proof, bound: p.Bound}
	for _, v := range p.Proof.Values {
		if len(v) != len(j.weight) || slices.Min(v) < 0 {
			return F("a row of values is not of these pieces")
		}
		c.most = append(c.most, j.mostValue(v, j.count))
	}
	return c.cheaper(make([]int, len(j.stock)), 0, CutSize{})
}

// cuts returns an error if the plan's bars don't give the pieces.
func (p *CutPlan) cuts(j *cutJob) error {
	want, hand := map[Length]int{}, map[Length]int{}
	for i, l := range j.length {
		want[l] = j.count[i]
	}
	for k, l := range j.stock {
		hand[l] = j.atHand[k]
	}
	var size CutSize
	for _, pattern := range p.Patterns {
		left := pattern.Stock + j.in.Kerf
		for _, piece := range pattern.Pieces {
			want[piece.Length] -= piece.Count * pattern.Bars
			left -= Length(piece.Count) * (piece.Length + j.in.Kerf)
		}
		hand[pattern.Stock] -= pattern.Bars
		if left < 0 || hand[pattern.Stock] < 0 {
			return F("the pattern does not fit: %s", pattern)
		}
		size.Length += Length(pattern.Bars) * pattern.Stock
		size.Bars += pattern.Bars
	}
	for l, n := range want {
		if n != 0 {
			return F("%s of %s are missing", n, l)
		}
	}
	if size != p.Size {
		return F("the plan takes %s, not %s", size, p.Size)
	}
	return nil
}

// mostValue returns the largest sum of values that each stock can hold: of all
// fillings only those are kept than which no lighter one is worth as much.
func (j *cutJob) mostValue(value []int64, count []int) []int64 {
	type filling struct{ weight, value int64 }
	kept := []filling{{}}
	for i, w := range j.weight {
		for range min(int64(count[i]), j.room[0]/w) {
			var next []filling
			for a, b := 0, 0; a < len(kept) || b < len(kept); {
				var f filling
				if b == len(kept) || a < len(kept) && kept[a].weight <= kept[b].weight+w {
					f = kept[a]
					a++
				} else {
					f = filling{kept[b].weight + w, kept[b].value + value[i]}
					b++
				}
				if f.weight <= j.room[0] && (len(next) == 0 || f.value > next[len(next)-1].value) {
					next = append(next, f)
				}
			}
			kept = next
		}
	}
	out := make([]int64, len(j.room))
	for k, room := range j.room {
		for _, f := range kept {
			if f.weight <= room {
				out[k] = f.value
			}
		}
	}
	return out
}

// cutCheck goes through all numbers of bars below the bound.
type cutCheck struct {
	job   *cutJob
	proof *CutProof
	bound CutSize
	most  [][]int64 // by row of values and stock
}

// cheaper returns an error if numbers of bars below the bound, those before
// stock k as they are, may hold the pieces.
func (c *cutCheck) cheaper(bars []int, k int, size CutSize) error {
	if size.compare(c.bound) >= 0 || c.toldOff(bars, k, c.bound.Length-size.Length) {
		return nil
	}
	if k == len(bars) {
		return c.fell(bars)
	}
	for n := range c.job.atHand[k] + 1 {
		bars[k] = n
		next := CutSize{size.Length + Length(n)*c.job.stock[k], size.Bars + n}
		if next.compare(c.bound) >= 0 {
			break
		}
		if err := c.cheaper(bars, k+1, next); err != nil {
			return err
		}
	}
	bars[k] = 0
	return nil
}

// toldOff says whether by a row of values the bars before stock k, and those
// from it on that a length pays for, can't hold the pieces.
func (c *cutCheck) toldOff(bars []int, k int, length Length) bool {
	for row, value := range c.proof.Values {
		var need int64
		for i, n := range c.job.count {
			need += value[i] * int64(n)
		}
		for i, n := range bars[:k] {
			need -= c.most[row][i] * int64(n)
		}
		if need <= 0 {
			continue
		}
		enough, supply := false, int64(0)
		for i := k; i < len(bars); i++ {
			most := c.most[row][i]
			supply += most * int64(c.job.atHand[i])
			// Were all of the length spent on this stock: length/stock·most ≥ need?
			enough = enough || !lessProduct(most, int64(length), need, int64(c.job.stock[i]))
		}
		if !enough || supply < need {
			return true
		}
	}
	return false
}

// lessProduct says whether a·b < c·d, none of them below 0.
func lessProduct(a, b, c, d int64) bool {
	high, low := bits.Mul64(uint64(a), uint64(b))
	high2, low2 := bits.Mul64(uint64(c), uint64(d))
	return high < high2 || high == high2 && low < low2
}

// fell returns an error unless the proof shows that the bars can't hold the
// pieces.
func (c *cutCheck) fell(bars []int) error {
	for _, f := range c.proof.Fallen {
		if slices.Equal(f.Bars, bars) {
			t := cutTreeCheck{check: c, leaves: f.Leaves, seen: map[string]bool{}}
			if t.falls(c.job.count, bars) && len(t.leaves) == 0 {
				return nil
			}
			return F("the proof does not show that bars %s can't do", bars)
		}
	}
	return F("the proof says nothing of bars %s", bars)
}

// cutTreeCheck goes through the branches of a [CutFallen].
type cutTreeCheck struct {
	check  *cutCheck
	leaves []int // those still to come
	seen   map[string]bool
}

// falls says whether the pieces can't be cut from the bars.
func (t *cutTreeCheck) falls(count, bars []int) bool {
	key := cutKey(count, bars)
	if t.seen[key] {
		return true
	}
	first := slices.IndexFunc(count, func(n int) bool { return n > 0 })
	if first < 0 || len(t.leaves) == 0 {
		return false
	}
	leaf := t.leaves[0]
	t.leaves = t.leaves[1:]
	if leaf != treeSplit {
		return leaf >= 0 && leaf < len(t.check.proof.Values) && t.holdLess(leaf, count, bars)
	}
	for _, b := range t.check.job.children(first, count, bars, func() bool { return true }) {
		rest, left := slices.Clone(count), slices.Clone(bars)
		left[b.stock]--
		for _, i := range b.pieces {
			rest[i]--
		}
		if !t.falls(rest, left) {
			return false
		}
	}
	t.seen[key] = true
	return true
}

// holdLess says whether by a row of values the bars hold less than the pieces
// are worth.
func (t *cutTreeCheck) holdLess(row int, count, bars []int) bool {
	value := t.check.proof.Values[row]
	var need int64
	for i, n := range count {
		need += value[i] * int64(n)
	}
	for k, v := range t.check.job.mostValue(value, count) {
		need -= v * int64(bars[k])
	}
	return need > 0
}
