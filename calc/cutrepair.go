package calc

import "slices"

// repairPieces is how many pieces are cut anew at a time: few enough to be
// quick, enough to have many solutions.
const repairPieces = 75

// repairTries is how often repair may fail to better the rest, and dives how
// often it is begun anew.
const (
	repairTries = 20
	dives       = 8
)

// repair takes bars that are cut so full that those left could hold the rest
// of the pieces. Time and again it cuts the rest anew together with some of
// those bars, until all are cut or it gets no better.
func (s *cutSearch) repair(found []cutBar, rest, left []int) []cutBar {
	for tries := repairTries; tries > 0; {
		need := s.job.weigh(rest)
		if need == 0 {
			return found
		}
		if s.stopped() {
			return nil
		}
		keep, count, free := s.release(found, slices.Clone(rest), slices.Clone(left))
		again := s.dive(slices.Clone(count), slices.Clone(free))
		for _, b := range again {
			s.takeBar(b, count, free, nil)
		}
		after := s.job.weigh(count)
		if after >= need {
			tries--
		}
		if after <= need {
			found, rest, left = append(keep, again...), count, free
		}
	}
	return nil
}

// release takes bars apart at random until there are enough pieces.
func (s *cutSearch) release(found []cutBar, count, bars []int) (keep []cutBar, _, _ []int) {
	keep = slices.Clone(found)
	pieces := 0
	for _, n := range count {
		pieces += n
	}
	for pieces < repairPieces && len(keep) > 0 {
		at := int(s.greedy.random()) % len(keep)
		b := keep[at]
		keep = slices.Delete(keep, at, at+1)
		bars[b.stock]++
		for _, i := range b.pieces {
			count[i]++
		}
		pieces += len(b.pieces)
	}
	return keep, count, bars
}

// full cuts bars as long as they leave no more than the slack in all and there
// are more pieces than can be cut anew at a time.
func (g *cutGreedy) full(count, bars []int, slack int64) (found []cutBar) {
	g.count = count
	pieces := 0
	for _, n := range count {
		pieces += n
	}
	for first := range count {
		for tries := count[first]; tries > 0 && count[first] > 0; tries-- {
			for k := range bars {
				if bars[k] == 0 || g.job.room[k] < g.job.weight[first] {
					continue
				}
				pattern, left := g.fit(first, g.job.room[k], true)
				if left > slack || pieces-len(pattern) < repairPieces {
					continue
				}
				slack -= left
				bars[k]--
				for _, i := range pattern {
					count[i]--
				}
				pieces -= len(pattern)
				found = append(found, cutBar{k, slices.Clone(pattern)})
				break
			}
		}
	}
	return found
}
