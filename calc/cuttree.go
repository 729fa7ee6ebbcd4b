package calc

import (
	"cmp"
	"slices"
)

// cutTree searches all ways to cut pieces from numbers of bars: the longest
// piece left comes from some bar, in some pattern, and the rest is the same
// question again.
type cutTree struct {
	search *cutSearch
	seen   map[string]bool
	leaves []int
	path   []cutBar // of what was found, last bar first
}

type treeEnd int

const (
	treeFell treeEnd = iota
	treeFound
	treeStopped
)

func (t *cutTree) grow(count, bars []int) treeEnd {
	first := slices.IndexFunc(count, func(n int) bool { return n > 0 })
	if first < 0 {
		return treeFound
	}
	key := cutKey(count, bars)
	if t.seen[key] {
		return treeFell
	}
	t.search.step()
	if c := t.search.falls(count, bars); c >= 0 {
		t.leaves = append(t.leaves, c)
		return treeFell
	}
	t.leaves = append(t.leaves, treeSplit)
	for _, b := range t.search.job.children(first, count, bars, t.search.step) {
		if t.search.stopped() { // then the list is not whole either
			return treeStopped
		}
		rest, left := slices.Clone(count), slices.Clone(bars)
		t.search.takeBar(b, rest, left, nil)
		if end := t.grow(rest, left); end != treeFell {
			t.path = append(t.path, b)
			return end
		}
	}
	if t.search.stopped() {
		return treeStopped
	}
	t.seen[key] = true
	return treeFell
}

// children returns the patterns that cut the piece first, the longest left,
// fullest first. It stops when step says so, before each filling.
func (j *cutJob) children(first int, count, bars []int, step func() bool) []cutBar {
	c := cutChildren{weight: j.weight, count: slices.Clone(count), slack: j.slack(count, bars), step: step}
	for k, x := range bars {
		if x > 0 && j.room[k] >= j.weight[first] {
			c.bar = cutBar{k, nil}
			c.add(first, j.room[k])
		}
	}
	slices.SortStableFunc(c.out, func(a, b cutBar) int { return cmp.Compare(j.left(a), j.left(b)) })
	return c.out
}

// slack returns how much the bars can leave in all.
func (j *cutJob) slack(count, bars []int) int64 {
	slack := -j.weigh(count)
	for k, x := range bars {
		slack += j.room[k] * int64(x)
	}
	return slack
}

// weigh returns the weight of pieces.
func (j *cutJob) weigh(count []int) (sum int64) {
	for i, n := range count {
		sum += j.weight[i] * int64(n)
	}
	return sum
}

// left returns what a bar leaves.
func (j *cutJob) left(b cutBar) int64 {
	room := j.room[b.stock]
	for _, i := range b.pieces {
		room -= j.weight[i]
	}
	return room
}

// cutChildren lists the patterns that begin with a piece, leave no more than
// can be spared, and can't be filled better by putting a longer piece that is
// left in place of a shorter one, or of none: such a swap only makes room in
// another bar.
type cutChildren struct {
	weight []int64
	count  []int
	slack  int64
	bar    cutBar
	out    []cutBar
	step   func() bool
}

// add puts piece i into the bar and all that can follow it.
func (c *cutChildren) add(i int, room int64) {
	if !c.step() {
		return
	}
	room -= c.weight[i]
	c.count[i]--
	c.bar.pieces = append(c.bar.pieces, i)
	for next := i; next < len(c.weight); next++ {
		if c.count[next] > 0 && c.weight[next] <= room {
			c.add(next, room)
		}
	}
	if room <= c.slack && !c.better(room) {
		c.out = append(c.out, cutBar{c.bar.stock, slices.Clone(c.bar.pieces)})
	}
	c.bar.pieces = c.bar.pieces[:len(c.bar.pieces)-1]
	c.count[i]++
}

// better says whether a longer piece fits in place of one, or of none.
func (c *cutChildren) better(room int64) bool {
	for b, n := range c.count {
		if n == 0 {
			continue
		}
		if c.weight[b] <= room {
			return true
		}
		for _, a := range c.bar.pieces {
			if d := c.weight[b] - c.weight[a]; d > 0 && d <= room {
				return true
			}
		}
	}
	return false
}
