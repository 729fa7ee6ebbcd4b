package calc

import "slices"

// cutFill finds the most valuable filling of a bar. Its states are the sums
// that pieces can make, so it does not matter how finely lengths are given.
type cutFill struct {
	job   *cutJob
	sums  []int64 // sums of weights up to the largest room, ascending
	less  [][]int32
	full  []int // by stock, the largest sum that fits
	first []int // by piece, the smallest state that holds it
	taken [][]uint16
	best  []int64
	bestF []float64
}

// fillMost bounds the table of a cutFill; a list beyond it is planned without proof.
const fillMost = 8 << 20

// newCutFill returns nil if the table would be too large.
func newCutFill(j *cutJob) *cutFill {
	f := &cutFill{job: j, sums: []int64{0}}
	for i, w := range j.weight {
		for n := min(int64(j.count[i]), j.room[0]/w); n > 0; n-- {
			size := len(f.sums)
			f.sums = mergeSums(f.sums, w, j.room[0])
			if len(f.sums)*len(j.weight) > fillMost {
				return nil
			}
			if len(f.sums) == size {
				break
			}
		}
	}
	for _, w := range j.weight {
		less := make([]int32, len(f.sums))
		first, _ := slices.BinarySearch(f.sums, w)
		at := 0
		for r := first; r < len(f.sums); r++ {
			for at+1 < len(f.sums) && f.sums[at+1] <= f.sums[r]-w {
				at++
			}
			less[r] = int32(at)
		}
		f.less, f.first = append(f.less, less), append(f.first, first)
		f.taken = append(f.taken, make([]uint16, len(f.sums)))
	}
	for _, room := range j.room {
		f.full = append(f.full, f.floor(room))
	}
	f.best, f.bestF = make([]int64, len(f.sums)), make([]float64, len(f.sums))
	return f
}

// floor returns the number of the largest sum that is not above room.
func (f *cutFill) floor(room int64) int {
	at, found := slices.BinarySearch(f.sums, room)
	if found {
		return at
	}
	return at - 1
}

// mergeSums returns the sums with those that a piece more makes, up to room.
func mergeSums(sums []int64, w, room int64) []int64 {
	out := make([]int64, 0, 2*len(sums))
	a, b := 0, 0
	for a < len(sums) || b < len(sums) && sums[b]+w <= room {
		var next int64
		switch {
		case b == len(sums) || sums[b]+w > room || a < len(sums) && sums[a] < sums[b]+w:
			next = sums[a]
			a++
		case a < len(sums) && sums[a] == sums[b]+w:
			next = sums[a]
			a++
			b++
		default:
			next = sums[b] + w
			b++
		}
		out = append(out, next)
	}
	return out
}

// most returns the largest sum of values that each stock can hold, of at
// most count pieces each.
func (f *cutFill) most(value []int64, count []int) []int64 {
	best := f.best
	clear(best)
	for i, w := range f.job.weight {
		v := value[i]
		if v <= 0 {
			continue
		}
		less := f.less[i]
		for n := min(int64(count[i]), f.job.room[0]/w); n > 0; n-- {
			for r := len(best) - 1; r >= f.first[i]; r-- {
				if b := best[less[r]] + v; b > best[r] {
					best[r] = b
				}
			}
		}
	}
	out := make([]int64, len(f.full))
	for k, r := range f.full {
		out[k] = best[r]
	}
	return out
}

// columns returns, for every piece and stock with bars, the most valuable
// pattern in which it is the longest piece, if the duals say that it gains.
func (f *cutFill) columns(p *cutLP, count, bars []int, out []lpColumn) []lpColumn {
	best := f.bestF
	clear(best)
	for i := len(count) - 1; i >= 0; i-- {
		clear(f.taken[i])
		if count[i] == 0 || p.dual[p.row[i]] <= lpEps {
			continue
		}
		v := p.dual[p.row[i]]
		w := f.job.weight[i]
		for k, room := range f.job.room {
			if bars[k] == 0 || w > room {
				continue
			}
			gain, copies := lpEps, 0
			for n := 1; n <= count[i] && int64(n)*w <= room; n++ {
				if g := p.dual[p.stocks+k] + float64(n)*v + best[f.floor(room-int64(n)*w)]; g > gain {
					gain, copies = g, n
				}
			}
			if copies > 0 {
				out = append(out, lpColumn{kind: lpPattern, bar: f.bar(i, copies, k)})
			}
		}
		f.take(i, v, min(count[i], int(f.job.room[0]/w)))
	}
	return out
}

// take lets the fillings use up to n copies of piece i.
func (f *cutFill) take(i int, v float64, n int) {
	best, less, taken := f.bestF, f.less[i], f.taken[i]
	for ; n > 0; n-- {
		for r := len(best) - 1; r >= f.first[i]; r-- {
			if b := best[less[r]] + v; b > best[r] {
				best[r] = b
				taken[r] = taken[less[r]] + 1
			}
		}
	}
}

// bar reads the filling of stock k with copies of piece i and the best of
// shorter ones.
func (f *cutFill) bar(i, copies, k int) cutBar {
	b := cutBar{stock: k}
	for range copies {
		b.pieces = append(b.pieces, i)
	}
	r := f.floor(f.job.room[k] - int64(copies)*f.job.weight[i])
	for i++; i < len(f.taken); i++ {
		for n := f.taken[i][r]; n > 0; n-- {
			b.pieces = append(b.pieces, i)
			r = int(f.less[i][r])
		}
	}
	return b
}
