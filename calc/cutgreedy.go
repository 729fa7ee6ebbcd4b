package calc

import "slices"

// cutGreedy fills bars one by one, each as full as a short search finds it.
type cutGreedy struct {
	job   *cutJob
	count []int
	noise uint32
	nodes int
	bar   []int
	best  []int
	left  int64
}

// fitMost is how many fillings of a bar are tried.
const fitMost = 600

// anyBars returns a way to cut all pieces from what is at hand, or nil.
func (g *cutGreedy) anyBars() []cutBar {
	var best []cutBar
	var size CutSize
	for try := range 4 {
		bars := slices.Clone(g.job.atHand)
		if found := g.into(g.job.count, bars, try); found != nil {
			used := make([]int, len(bars))
			for _, b := range found {
				used[b.stock]++
			}
			if s := g.job.size(used); best == nil || s.compare(size) < 0 {
				best, size = found, s
			}
		}
	}
	return best
}

// into returns a way to cut the pieces from numbers of bars, or nil. Each
// try after the first leaves out other pieces at random.
func (g *cutGreedy) into(count, bars []int, try int) []cutBar {
	g.count, g.noise = slices.Clone(count), uint32(try)
	bars = slices.Clone(bars)
	var found []cutBar
	for first := range g.count {
		for g.count[first] > 0 {
			b := cutBar{stock: -1}
			var left float64
			for k, n := range bars {
				if n == 0 || g.job.room[k] < g.job.weight[first] {
					continue
				}
				pieces, l := g.fit(first, g.job.room[k], try > 0)
				if part := float64(l) / float64(g.job.room[k]); b.stock < 0 || part < left {
					b, left = cutBar{k, append(b.pieces[:0], pieces...)}, part
				}
			}
			if b.stock < 0 {
				return nil
			}
			bars[b.stock]--
			for _, i := range b.pieces {
				g.count[i]--
			}
			found = append(found, b)
		}
	}
	return found
}

// fit returns the fullest filling found that begins with a piece; it stands until
// the next.
func (g *cutGreedy) fit(first int, room int64, skip bool) ([]int, int64) {
	g.nodes, g.bar, g.best, g.left = 0, append(g.bar[:0], first), g.best[:0], room
	g.count[first]--
	g.more(first, room-g.job.weight[first], skip)
	g.count[first]++
	return g.best, g.left
}

func (g *cutGreedy) more(from int, room int64, skip bool) {
	if room < g.left {
		g.left, g.best = room, append(g.best[:0], g.bar...)
	}
	g.nodes++
	for last := len(g.count); from < last; { // to the first piece that fits: they are in descending order
		if mid := int(uint(from+last) >> 1); g.job.weight[mid] <= room {
			last = mid
		} else {
			from = mid + 1
		}
	}
	for i := from; i < len(g.count) && g.left > 0 && g.nodes < fitMost; i++ {
		if g.count[i] == 0 || skip && g.random()%2 == 0 {
			continue
		}
		g.count[i]--
		g.bar = append(g.bar, i)
		g.more(i, room-g.job.weight[i], skip)
		g.bar = g.bar[:len(g.bar)-1]
		g.count[i]++
	}
}

// random returns the next of a fixed row of numbers.
func (g *cutGreedy) random() uint32 {
	g.noise = g.noise*1664525 + 1013904223
	return g.noise >> 16
}
