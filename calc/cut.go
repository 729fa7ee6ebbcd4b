package calc

import (
	"cmp"
	"slices"
)

// CutPiece is a length that is wanted so many times.
type CutPiece struct {
	Length Length
	Count  int
}

// CutStock is a stock length and how many bars of it are at hand.
type CutStock struct {
	Length Length
	Count  int // 0: as many as are wanted
}

// CutInput is a list of pieces and what they are to be cut from.
type CutInput struct {
	Pieces []CutPiece
	Stocks []CutStock
	Kerf   Length // of the saw
	Limit  int    // steps of the search, so that it ends; 0: [CutSteps]
}

// CutSteps is the limit of a search where none is given: seconds on the
// hardest jobs met, not reached by common ones. The project's own.
const CutSteps = 5_000_000

// CutSize is what a plan takes: plans are compared by the total length of
// their bars, then by their number.
type CutSize struct {
	Length Length
	Bars   int
}

func (s CutSize) compare(t CutSize) int {
	return cmp.Or(cmp.Compare(s.Length, t.Length), cmp.Compare(s.Bars, t.Bars))
}

// CutPattern is how a number of bars is cut.
type CutPattern struct {
	Stock  Length
	Bars   int
	Pieces []CutPiece // of one bar, longest first
	Offcut Length     // what is left of one bar, never below 0
}

// CutPlan is a way to cut all pieces, and what is known about better ones.
type CutPlan struct {
	Patterns []CutPattern
	Size     CutSize
	Waste    Length  // bars less pieces: offcuts and saw cuts
	Bound    CutSize // no plan takes less
	Proven   bool    // Bound is Size: no plan is better
	Proof    CutProof
}

// Cut returns the plan that takes the least length of stock for a list of
// pieces, of those the one with the fewest bars, and of those found the one
// with the fewest patterns.
//
//	min (Σ Lₖ·xₖ, Σ xₖ)   Σᵢ aᵢ·(lᵢ + kerf) ≤ Lₖ + kerf in every bar
//
// where Lₖ are the stock lengths, xₖ how many bars of each are cut, within
// those at hand, and aᵢ how many pieces of the length lᵢ a bar gives. A bar of
// n pieces needs no cut after the last if they fill it, so the kerf is added
// to every piece and to the stock.
//
// The search goes over the numbers of bars, cheapest first. Numbers fall if
// values of the pieces show that they can't hold them ([CutProof]), which
// linear programming with columns made on demand finds (Gilmore and Gomory
// 1961, from memory), or if every way to cut the longest piece left falls so.
// The first that hold all pieces are the plan, and what made the others fall
// its proof. Length and bars are proven; the number of patterns is not. If the
// limit of steps is reached first, Proven is false and Bound says how far the
// plan can be from the best. Equal input gives an equal plan.
//
// Cut returns a [*RangeError] if a length is out of bounds (a piece or stock
// 1 mm to 20 m, the kerf 0 to 200 mm), a count is below 0 or pieces or bars
// are none or more than 10,000, or a piece is longer than every stock. It
// returns a [*NeedError] if the stock at hand can't hold the pieces, or if
// none was found that can within the limit.
func Cut(in CutInput) (CutPlan, error) {
	j, err := newCutJob(in)
	if err != nil {
		return CutPlan{}, err
	}
	s := newCutSearch(j, cmp.Or(in.Limit, CutSteps))
	bound, bars, err := s.run()
	if err != nil {
		return CutPlan{}, err
	}
	plan := j.plan(bars)
	plan.Bound = bound
	plan.Proven = plan.Bound == plan.Size
	plan.Proof = s.proof
	return plan, nil
}

func maxSize(a, b CutSize) CutSize {
	if a.compare(b) < 0 {
		return b
	}
	return a
}

// cutMost is how many pieces or bars a list may have: the project's own.
const cutMost = 10_000

// countBounds are those of a number of pieces or bars.
var (
	cutBounds   = bounds[Length]{"pieces", Millimetre, 20 * Metre}
	countBounds = bounds[Number]{"count", 0, cutMost}
)

// cutJob is a list of pieces and stocks in whole numbers without common
// factor, kerf included, longest first.
type cutJob struct {
	in     CutInput
	length []Length // of the pieces
	weight []int64  // length and kerf
	count  []int
	stock  []Length
	room   []int64 // stock and kerf
	atHand []int
	pieces int // in all
}

func newCutJob(in CutInput) (*cutJob, error) {
	j := &cutJob{in: in}
	if err := layerBounds.named("kerf", in.Kerf); err != nil {
		return nil, err
	}
	if err := countBounds.named("limit", Number(min(in.Limit, cutMost))); err != nil {
		return nil, err
	}
	var err error
	if j.length, j.count, err = merged("piece", in.Pieces); err != nil {
		return nil, err
	}
	stocks := make([]CutPiece, len(in.Stocks))
	for k, s := range in.Stocks {
		stocks[k] = CutPiece(s)
		if s.Count == 0 {
			stocks[k].Count = cutMost
		}
	}
	if j.stock, j.atHand, err = merged("stock", stocks); err != nil {
		return nil, err
	}
	total := 0
	for _, n := range j.count {
		total += n
	}
	if err := countBounds.named("pieces", Number(total)); err != nil {
		return nil, err
	}
	if j.length[0] > j.stock[0] {
		return nil, &RangeError{Name: "piece", Value: j.length[0], Bound: AtMost, Limit: j.stock[0], Why: "the longest stock"}
	}
	j.scale(total)
	return j, nil
}

// scale adds the kerf, leaves out what can't be used and takes the common
// factor out.
func (j *cutJob) scale(total int) {
	j.pieces = total
	shortest := j.length[len(j.length)-1]
	if k := slices.IndexFunc(j.stock, func(l Length) bool { return l < shortest }); k >= 0 {
		j.stock, j.atHand = j.stock[:k], j.atHand[:k]
	}
	var factor int64
	for _, l := range append(slices.Clone(j.length), j.stock...) {
		factor = gcd(factor, int64(l+j.in.Kerf))
	}
	for _, l := range j.length {
		j.weight = append(j.weight, int64(l+j.in.Kerf)/factor)
	}
	for k, l := range j.stock {
		j.room = append(j.room, int64(l+j.in.Kerf)/factor)
		j.atHand[k] = min(j.atHand[k], total)
	}
}

// merged returns the lengths of a list, longest first and each once, and how
// many there are of each.
func merged(name string, list []CutPiece) (lengths []Length, counts []int, err error) {
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b CutPiece) int { return cmp.Compare(b.Length, a.Length) })
	for _, p := range list {
		if err := cutBounds.named(name, p.Length); err != nil {
			return nil, nil, err
		}
		if err := countBounds.check(Number(p.Count)); err != nil {
			return nil, nil, err
		}
		switch last := len(lengths) - 1; {
		case p.Count == 0:
		case last >= 0 && lengths[last] == p.Length:
			counts[last] = min(counts[last]+p.Count, cutMost+1)
		default:
			lengths, counts = append(lengths, p.Length), append(counts, p.Count)
		}
	}
	if len(lengths) == 0 {
		return nil, nil, &NeedError{Name: name, Why: "there is nothing to cut"}
	}
	return lengths, counts, nil
}

// gcd returns the greatest common divisor; that of 0 and b is b.
func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// size returns what numbers of bars of each stock take.
func (j *cutJob) size(bars []int) CutSize {
	var s CutSize
	for k, n := range bars {
		s.Length += Length(n) * j.stock[k]
		s.Bars += n
	}
	return s
}

// plan writes out the bars of a solution, equal ones together.
func (j *cutJob) plan(bars []cutBar) CutPlan {
	var plan CutPlan
	bars = slices.Clone(bars)
	slices.SortStableFunc(bars, func(a, b cutBar) int {
		return cmp.Or(cmp.Compare(a.stock, b.stock), slices.Compare(a.pieces, b.pieces))
	})
	for i, b := range bars {
		plan.Size.Length += j.stock[b.stock]
		plan.Size.Bars++
		if i > 0 && b.equal(bars[i-1]) {
			plan.Patterns[len(plan.Patterns)-1].Bars++
			continue
		}
		p := CutPattern{Stock: j.stock[b.stock], Bars: 1, Offcut: j.stock[b.stock]}
		for _, i := range b.pieces {
			if last := len(p.Pieces) - 1; last >= 0 && p.Pieces[last].Length == j.length[i] {
				p.Pieces[last].Count++
			} else {
				p.Pieces = append(p.Pieces, CutPiece{j.length[i], 1})
			}
			p.Offcut = max(0, p.Offcut-j.length[i]-j.in.Kerf)
		}
		plan.Patterns = append(plan.Patterns, p)
	}
	plan.Waste = plan.Size.Length
	for i, l := range j.length {
		plan.Waste -= l * Length(j.count[i])
	}
	return plan
}
