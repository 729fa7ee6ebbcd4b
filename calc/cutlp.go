package calc

import "math"

// cutBar is a stock, by its number, and the pieces cut from it, by theirs in
// ascending order.
type cutBar struct {
	stock  int
	pieces []int
}

func (b cutBar) equal(c cutBar) bool {
	if b.stock != c.stock || len(b.pieces) != len(c.pieces) {
		return false
	}
	for i, p := range b.pieces {
		if c.pieces[i] != p {
			return false
		}
	}
	return true
}

// cutLP is the linear program of whether numbers of bars hold the pieces:
//
//	min Σ costᵢ·sᵢ   Σ a_ip·λ_p + sᵢ − tᵢ = dᵢ   Σ_{p of stock k} λ_p + z_k = x_k
//
// where s is what is short, t what is too many, z the bars not used. It is
// solved by the primal simplex method with the inverse of the basis in full,
// column by column. Floating point decides only where to look: every bound
// is worked anew in whole numbers.
type cutLP struct {
	row     []int     // by piece, its row; -1 without one
	stocks  int       // row of the first stock
	inverse []float64 // of the basis; column c from c·rows on
	value   []float64 // of the basic variables
	basis   []lpColumn
	dual    []float64 // by row
	short   float64   // what is short, weighed
	cost    []float64 // by row of a piece
	alpha   []float64
	pivots  int
	steps   int // as a search counts them, and how many there may be
	limit   int
}

// lpColumn is a variable.
type lpColumn struct {
	kind  lpKind
	index int    // row
	bar   cutBar // of a pattern
}

type lpKind int

const (
	lpShort lpKind = iota
	lpMany
	lpUnused
	lpPattern
)

const lpEps = 1e-8

// newCutLP starts with all pieces short. A little less of each is wanted than
// there is, by another part for each and every noise: that keeps the method
// from circling, and what it finds infeasible still is.
func newCutLP(j *cutJob, count, bars []int, noise uint32) *cutLP {
	p := &cutLP{row: make([]int, len(count))}
	for i, d := range count {
		p.row[i] = -1
		if d > 0 {
			p.row[i] = p.stocks
			p.stocks++
		}
	}
	rows := p.stocks + len(bars)
	p.inverse, p.value, p.alpha = make([]float64, rows*rows), make([]float64, rows), make([]float64, rows)
	p.basis, p.dual, p.cost = make([]lpColumn, rows), make([]float64, rows), make([]float64, p.stocks)
	for r := range rows {
		p.inverse[r*rows+r] = 1
	}
	for i, r := range p.row {
		if r < 0 {
			continue
		}
		noise = noise*1664525 + 1013904223
		p.value[r] = float64(count[i]) * (1 - 1e-7*(1+float64(noise>>16)/65536))
		p.cost[r] = float64(j.weight[i]) / float64(j.room[0])
		p.dual[r] = p.cost[r]
		p.short += p.cost[r] * p.value[r]
		p.basis[r] = lpColumn{kind: lpShort, index: r}
	}
	for k, x := range bars {
		p.value[p.stocks+k] = float64(x)
		p.basis[p.stocks+k] = lpColumn{kind: lpUnused, index: p.stocks + k}
	}
	return p
}

// gain returns by how much a unit of the variable lessens what is short.
func (p *cutLP) gain(c *lpColumn) float64 {
	switch c.kind {
	case lpShort:
		return p.dual[c.index] - p.cost[c.index]
	case lpMany:
		return -p.dual[c.index]
	case lpUnused:
		return p.dual[c.index]
	}
	g := p.dual[p.stocks+c.bar.stock]
	for _, i := range c.bar.pieces {
		g += p.dual[p.row[i]]
	}
	return g
}

// column works out the variable's column in terms of the basis.
func (p *cutLP) column(c *lpColumn) {
	rows := len(p.value)
	clear(p.alpha)
	add := func(row int, v float64) {
		col := p.inverse[row*rows : row*rows+rows]
		for i, x := range col {
			p.alpha[i] += v * x
		}
	}
	switch c.kind {
	case lpShort, lpUnused:
		add(c.index, 1)
	case lpMany:
		add(c.index, -1)
	case lpPattern:
		add(p.stocks+c.bar.stock, 1)
		for _, i := range c.bar.pieces {
			add(p.row[i], 1)
		}
	}
}

// enter brings a variable with the given gain into the basis.
func (p *cutLP) enter(c lpColumn, gain float64) bool {
	p.column(&c)
	out, ratio := -1, math.Inf(1)
	for i, a := range p.alpha {
		if a > 1e-9 {
			if r := p.value[i] / a; r < ratio-1e-12 || r < ratio+1e-12 && a > p.alpha[out] {
				out, ratio = i, r
			}
		}
	}
	if out < 0 {
		return false
	}
	ratio = max(0, ratio)
	p.pivots++
	p.steps += 1 + len(p.value)*len(p.value)/1024
	for i, a := range p.alpha {
		p.value[i] -= ratio * a
	}
	p.value[out] = ratio
	p.short -= gain * ratio
	pivot := p.alpha[out]
	rows := len(p.value)
	for c := range rows {
		col := p.inverse[c*rows : c*rows+rows]
		t := col[out]
		if t == 0 {
			continue
		}
		t /= pivot
		p.dual[c] -= gain * t
		for i, a := range p.alpha {
			col[i] -= t * a
		}
		col[out] = t
	}
	p.basis[out] = c
	return true
}

// improve brings in the best of the variables until none gains.
func (p *cutLP) improve(columns []lpColumn) {
	for p.short > lpEps && p.steps <= p.limit {
		best, gain := -1, lpEps
		for i := range columns {
			if g := p.gain(&columns[i]); g > gain {
				best, gain = i, g
			}
		}
		var c lpColumn
		if best >= 0 {
			c = columns[best]
		}
		for r, d := range p.dual {
			switch {
			case r >= p.stocks && d > gain:
				c, gain, best = lpColumn{kind: lpUnused, index: r}, d, r
			case r < p.stocks && -d > gain:
				c, gain, best = lpColumn{kind: lpMany, index: r}, -d, r
			case r < p.stocks && d-p.cost[r] > gain:
				c, gain, best = lpColumn{kind: lpShort, index: r}, d-p.cost[r], r
			}
		}
		if best < 0 || !p.enter(c, gain) {
			return
		}
	}
}
