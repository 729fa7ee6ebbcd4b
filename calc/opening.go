package calc

// Opening is an opening as surveyed, between finished jambs: its widths level,
// its heights plumb.
type Opening struct {
	WidthTop, WidthBottom  Length
	WidthMiddle            Length  // 0: not read
	HeightHeel, HeightLead Length  // 0: no heights, and no diagonals
	HeightMiddle           Length  // 0: not read
	Diagonal1              Length  // heel jamb's foot to leading jamb's head; 0: not taken
	Diagonal2              Length  // leading jamb's foot to heel jamb's head
	DiagonalsNamed         bool    // it is known which is which
	LeanHeel, LeanLead     *Length // how far each jamb's head stands into the opening from its foot, by level or laser; nil: not read
	BowHeel                *Length // how far the heel jamb's middle stands into the opening from the line between its ends; nil: not read
	Fall                   Fall
}

// Fall is how much higher the leading jamb's foot stands than the heel jamb's.
type Fall struct {
	Rise Length
	Read FallRead
}

// FallRead says what is known of a [Fall].
type FallRead int

// What may be known of a fall: nothing, how much and which way, how much
// without which way, or that the floor is level as a spirit level shows it,
// within a millimetre.
const (
	NoFall FallRead = iota
	FallTo
	FallEitherWay
	LevelFloor
)

// levelWithin is how far a floor that is called level may be out of it between
// the jambs. Common practice, no published source.
const levelWithin = Millimetre

// rises returns the rises that are possible.
func (f Fall) rises() []Length {
	if f.Read == FallEitherWay {
		return []Length{f.Rise, -f.Rise}
	}
	return []Length{f.Rise}
}

// Survey is what the readings of an opening tell of the leaf that it lets
// through.
type Survey struct {
	Lean               Length // how far the heel jamb's head stands into the opening from its foot; 0 if that is not known
	LeanRead           bool   // by level, laser or diagonals
	ByDiagonals        bool
	Doubt              Length // of the lean, taken off Width
	DiagonalDifference Length // first less second; not named: the larger less the smaller
	Bow                Length // by how much both jambs together narrow the middle, against straight ones
	BowRead            bool   // it is known how much of it is the heel jamb's
	HeelIn             Length // how much further in than its foot the heel jamb's furthest point stands
	Width              Length // between plumb lines through the jambs' furthest points
	Height             Length // between level lines through the head's lowest and the floor's highest point; 0 without heights
	Hump               Length // how much less that is if it is the floor that rises in the middle, not the head that sags
	LevelRead          bool
}

// Readings that contradict each other by more are read again. The first two
// are common practice, no published source; the third is our own: a diagonal
// that misses the one which the other readings make is a slip.
const (
	leansMiss    = 2 * Millimetre
	diagonalMiss = 3 * Millimetre
	misfitMax    = 20 * Millimetre
)

// Why a reading is to be taken again.
const (
	misfit    Word = "with these widths and heights, measure again"
	leanAgain Word = "by the widths and the other jamb's lean, read both again"
	leanWrong Word = "by the diagonals and the floor's fall, read them again"
)

// Survey returns what the readings of an opening tell.
//
//	a = lean of the heel jamb, or Wb - Wt - lean of the leading jamb, or
//	a = [(D1² - D2² - (Hl² - Hh²))/(Wt + Wb) - (Wt - Wb)]/2 - f·(Hl + Hh)/(Wt + Wb)
//	b = max(0, (Wt + Wb)/2 - Wm)   b lead = b - b heel
//	width = min(Wb, a + Wt, (Wb + a + Wt)/2 - b lead) - max(0, a, a/2 + b heel)
//	height = min(Hh, Hm + f/2, Hl + f) - max(0, f)
//
// where W and H are the widths at top, middle and bottom and the heights at
// the heel jamb, in the middle and at the leading jamb, D1 the diagonal from
// the heel jamb's foot, D2 the other, f how much higher the leading jamb's foot
// stands. With the heel jamb's foot at the origin its head is at (a, Hh), the
// leading jamb's foot at (Wb, f) and its head at (a + Wt, f + Hl):
// D1² = (a + Wt)² + (f + Hl)² and D2² = (Wb - a)² + (Hh - f)², and their
// difference is solved for a. So diagonals tell how square an opening is to its
// own floor, not how plumb. A bow stands at mid-height; while it is not read,
// the width is the smaller of all of it in one jamb and all of it in the other.
// Of diagonals that are not named and a fall without its side the worse is
// taken. A floor called level is so within 1 mm, which makes the lean by
// diagonals doubtful by (Hl + Hh)/(Wt + Wb) mm. Without a fall the height is
// the smallest.
//
// Survey returns a [*RangeError] if a value is outside its range or if readings
// contradict each other, and a [*NeedError] for what the diagonals say nothing
// without.
func (o *Opening) Survey() (Survey, error) {
	var s Survey
	if err := o.check(); err != nil {
		return s, err
	}
	if o.DiagonalsNamed || o.Diagonal1 > o.Diagonal2 {
		s.DiagonalDifference = o.Diagonal1 - o.Diagonal2
	} else {
		s.DiagonalDifference = o.Diagonal2 - o.Diagonal1
	}
	if o.WidthMiddle != 0 {
		s.Bow = max(0, (o.WidthTop+o.WidthBottom+1)/2-o.WidthMiddle)
	}
	s.BowRead = o.BowHeel != nil
	leans, err := o.leans(&s)
	if err != nil {
		return s, err
	}
	for i, a := range leans {
		if width := o.plumbWidth(a, s.Bow) - s.Doubt; i == 0 || width < s.Width || width == s.Width && a > s.Lean {
			s.Lean, s.Width = a, width
		}
	}
	s.HeelIn = max(0, s.Lean)
	if s.BowRead {
		s.HeelIn = max(s.HeelIn, half(s.Lean)+*o.BowHeel)
	}
	s.LevelRead = o.Fall.Read != NoFall
	for i, f := range o.Fall.rises() {
		height, humped := o.plumbHeight(f)
		if i == 0 || height < s.Height {
			s.Height = height
		}
		s.Hump = max(s.Hump, height-humped)
	}
	return s, nil
}

// half returns half of l; half a nanometre is counted as one.
func half(l Length) Length { return (l + 1).Down(2) / 2 }

// plumbWidth returns the width between plumb lines through the jambs' furthest
// points, for a lean of the heel jamb and the bow of both.
func (o *Opening) plumbWidth(a, bow Length) Length {
	between := func(heel Length) Length {
		lead := min(o.WidthBottom, a+o.WidthTop, (o.WidthBottom+a+o.WidthTop).Down(2)/2-(bow-heel))
		return lead - max(0, a, half(a)+heel)
	}
	if o.BowHeel != nil {
		return between(*o.BowHeel)
	}
	return min(between(0), between(bow))
}

// plumbHeight returns the height between level lines, for a rise of the floor
// towards the leading jamb: where the head sags in the middle, and where it is
// the floor that rises there.
func (o *Opening) plumbHeight(f Length) (sagging, humped Length) {
	head, floor := min(o.HeightHeel, o.HeightLead+f), max(0, f)
	if o.HeightMiddle == 0 {
		return head - floor, head - floor
	}
	hump := max(0, (o.HeightHeel+o.HeightLead+1)/2-o.HeightMiddle)
	return min(head, o.HeightMiddle+f.Down(2)/2) - floor, head - max(floor, half(f)+hump)
}

// leans returns what the heel jamb may lean by: 0 if nothing tells.
func (o *Opening) leans(s *Survey) ([]Length, error) {
	var a Length
	switch {
	case o.LeanHeel != nil:
		a = *o.LeanHeel
		if o.LeanLead != nil {
			if err := near("lean_lead", *o.LeanLead, o.WidthBottom-o.WidthTop-a, leansMiss, leanAgain); err != nil {
				return nil, err
			}
		}
	case o.LeanLead != nil:
		a = o.WidthBottom - o.WidthTop - *o.LeanLead
	case o.Diagonal1 == 0:
		return []Length{0}, nil
	case o.Fall.Read == NoFall:
		return nil, &NeedError{Name: "floor_fall", Why: "diagonals tell how square an opening is to its own floor, not how plumb: say level, or how much the floor falls and to which jamb"}
	default:
		s.LeanRead, s.ByDiagonals = true, true
		if o.Fall.Read == LevelFloor {
			s.Doubt = nearest(float64(levelWithin) * float64(o.HeightLead+o.HeightHeel) / float64(o.WidthTop+o.WidthBottom))
		}
		return o.byDiagonals()
	}
	s.LeanRead = true
	if o.Diagonal1 == 0 || o.Fall.Read == NoFall {
		return []Length{a}, nil
	}
	all, err := o.byDiagonals()
	if err != nil {
		return nil, err
	}
	name, read := "lean_heel", a
	if o.LeanHeel == nil {
		name, read = "lean_lead", *o.LeanLead
	}
	for _, b := range all {
		if name == "lean_lead" {
			b = o.WidthBottom - o.WidthTop - b
		}
		if err = near(name, read, b, diagonalMiss, leanWrong); err == nil {
			return []Length{a}, nil
		}
	}
	return nil, err
}

// near returns a [*RangeError] if v misses want by more than miss.
func near(name string, v, want, miss Length, why Word) error {
	switch {
	case v < want-miss:
		return &RangeError{Name: name, Value: v, Bound: AtLeast, Limit: want - miss, Why: why}
	case v > want+miss:
		return &RangeError{Name: name, Value: v, Bound: AtMost, Limit: want + miss, Why: why}
	}
	return nil
}

// byDiagonals returns the leans of the heel jamb that the diagonals allow: one
// for each order of theirs and each side of the fall that the other readings
// do not rule out.
func (o *Opening) byDiagonals() ([]Length, error) {
	orders := [][2]Length{{o.Diagonal1, o.Diagonal2}, {o.Diagonal2, o.Diagonal1}}
	if o.DiagonalsNamed {
		orders = orders[:1]
	}
	var all []Length
	var first error
	for _, d := range orders {
		for _, f := range o.Fall.rises() {
			a, err := o.byDiagonal(d[0], d[1], f)
			if err == nil {
				all = append(all, a)
			} else if first == nil {
				first = err
			}
		}
	}
	if len(all) == 0 {
		return nil, first
	}
	return all, nil
}

// byDiagonal returns the lean of the heel jamb by the diagonals, from the heel
// jamb's foot and from the leading jamb's.
func (o *Opening) byDiagonal(fromHeel, fromLead, rise Length) (Length, error) {
	wt, wb := float64(o.WidthTop), float64(o.WidthBottom)
	d1, d2 := float64(fromHeel), float64(fromLead)
	hl, hh, f := float64(o.HeightLead), float64(o.HeightHeel), float64(rise)
	a := ((d1*d1-d2*d2-(hl*hl-hh*hh))/(wt+wb)-(wt-wb))/2 - f*(hl+hh)/(wt+wb)
	if err := near("diagonal_1", fromHeel, nearest(hypot(a+wt, hl+f)), misfitMax, misfit); err != nil {
		return 0, err
	}
	return nearest(a), near("diagonal_2", fromLead, nearest(hypot(wb-a, hh-f)), misfitMax, misfit)
}

// jambBounds are those of a jamb's lean and bow, and of a floor's fall.
var jambBounds = bounds[Length]{"lean", -100 * Millimetre, 100 * Millimetre}

func (o *Opening) check() error {
	values := []named{{&openingBounds, "width_top", o.WidthTop}, {&openingBounds, "width_bottom", o.WidthBottom}, {&jambBounds, "floor_fall", o.Fall.Rise}}
	if o.WidthMiddle != 0 {
		values = append(values, named{&openingBounds, "width_middle", o.WidthMiddle})
	}
	if o.HeightHeel != 0 || o.HeightMiddle != 0 || o.HeightLead != 0 {
		values = append(values, named{&heightBounds, "height_heel", o.HeightHeel}, named{&heightBounds, "height_lead", o.HeightLead})
	}
	if o.HeightMiddle != 0 {
		values = append(values, named{&heightBounds, "height_middle", o.HeightMiddle})
	}
	if o.Diagonal1 != 0 || o.Diagonal2 != 0 {
		values = append(values, named{&diagonalBounds, "diagonal_1", o.Diagonal1}, named{&diagonalBounds, "diagonal_2", o.Diagonal2})
	}
	for _, v := range []struct {
		name string
		read *Length
	}{{"lean_heel", o.LeanHeel}, {"lean_lead", o.LeanLead}, {"bow_heel", o.BowHeel}} {
		if v.read != nil {
			values = append(values, named{&jambBounds, v.name, *v.read})
		}
	}
	if err := eachWithin(values...); err != nil {
		return err
	}
	if o.Diagonal1 != 0 && o.HeightHeel == 0 {
		return &NeedError{Name: "height", Why: "diagonals say nothing without it"}
	}
	return nil
}
