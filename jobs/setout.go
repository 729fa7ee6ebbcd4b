package jobs

import (
	"errors"
	"slices"
	"strings"

	"heelpost/calc"
)

// Number is one figure of a door's set-out card.
type Number struct {
	Name  string    `json:"name"`
	Value Measure   `json:"value"`
	Exact int64     `json:"exact,omitempty"` // before it was rounded, in millionths
	Fixed calc.Word `json:"fixed,omitempty"` // drilled, cut, ordered or bonded to: it stays
	Ought calc.Word `json:"ought,omitempty"` // what it would be by now, if that is another
	Note  calc.Word `json:"note,omitempty"`
}

// OnCard reports whether a number is set out by somebody: the least gaps are
// limits of readings, and the leaf's size is told with the door.
func OnCard(name string) bool {
	return name != "heel_gap_min" && name != "lead_gap_min" && !strings.HasPrefix(name, "leaf_")
}

// clearance is taken for every door: common practice, no published source.
const clearance = 2 * mm

// step returns what a door's numbers are rounded to: common practice, no
// published source.
func (s *Spec) step() calc.Length {
	if s.Inches {
		return calc.Inch / 32
	}
	return 1 * mm
}

// plateStep returns what the plate's centre is rounded to: common practice, no
// published source.
func (s *Spec) plateStep() calc.Length {
	if s.Inches {
		return s.step()
	}
	return mm / 2
}

// card collects the numbers of a set-out.
type card struct {
	spec    *Spec
	sheet   *Sheet
	plate   calc.Length // where its centre is drilled; 0 while it is free
	numbers []Number
}

func (c *card) dimension(name string, d calc.Dimension) {
	c.numbers = append(c.numbers, Number{Name: name, Value: c.spec.Measure(d.SetOut), Exact: int64(d.Exact)})
}

func (c *card) length(name string, l calc.Length) {
	c.numbers = append(c.numbers, Number{Name: name, Value: c.spec.Measure(l)})
}

// SetOut returns the numbers of a door of which nothing is drilled: the leaf's
// size, gaps, plate centre, pins with the stop depth, reach, clear opening,
// sweep radii and the top gap. What can't be told yet is left out: the gaps of
// a tested door, and what follows from them, wait for evidence that fills its
// opening.
func SetOut(spec *Spec, sheet *Sheet) ([]Number, error) {
	return (&card{spec: spec, sheet: sheet}).setOut()
}

func (c *card) setOut() ([]Number, error) {
	for i := range Fields {
		if f := &Fields[i]; f.Card != "" {
			c.length(f.Card, *f.At(c.spec).(*calc.Length))
		}
	}
	var errs []error
	for _, part := range []func() error{c.gaps, c.sweep, c.pins, c.reach, c.top} {
		err := part()
		if err != nil && !slices.ContainsFunc(errs, func(e error) bool { return e.Error() == err.Error() }) {
			errs = append(errs, err)
		}
	}
	return c.numbers, errors.Join(errs...)
}

// gaps adds the gaps and what follows from them.
func (c *card) gaps() error {
	s, turn, step := c.spec, c.spec.Turn(), c.spec.step()
	need, err := calc.Gap(turn, clearance, step)
	if err != nil {
		return err
	}
	lean, _ := s.JambLean()
	var heel, lead calc.Length
	switch {
	case !s.Tested():
		if s.room() < need.OpeningWidth.SetOut && s.room() != s.OpeningWidth {
			return wrong("opening", tooNarrowPlumb, s.tellDown(s.room()), s.Tell(need.OpeningWidth.SetOut))
		}
		if s.OpeningWidth < need.OpeningWidth.SetOut {
			return wrong("opening", tooNarrow, s.tellDown(s.OpeningWidth), s.Tell(need.OpeningWidth.SetOut))
		}
		heel = s.EvenGap()
		if c.plate != 0 { // the heel gap is what the plate leaves
			heel = c.plate - s.Setback - lean
		}
		lead = s.room() - s.Width - heel
		if heel <= 0 || lead <= 0 {
			return nil
		}
		c.length("heel_gap_min", need.HeelGap.Exact)
		c.length("lead_gap_min", need.LeadGap.Exact)
	case s.cramped(&need):
		return wrong("evidence", evidenceCramped,
			s.tellUp(need.HeelGrowth), s.tellUp(need.LeadGrowth))
	case s.OpeningWidth < s.Width+need.HeelGrowth+need.LeadGrowth:
		return wrong("opening", tooNarrowTested, s.Tell(s.OpeningWidth), s.tellUp(s.Width+need.HeelGrowth+need.LeadGrowth))
	case !s.Awaits().IsZero():
		return nil
	default:
		heel, lead = s.EvidenceHeel, s.EvidenceLead
		c.length("heel_gap_min", need.HeelGrowth)
		c.length("lead_gap_min", need.LeadGrowth)
	}
	c.length("heel_gap", heel)
	c.length("lead_gap", lead)
	c.length("opening_width", s.OpeningWidth)
	plate, err := calc.Plate(calc.PlateInput{Setback: s.Setback, Gap: heel, JambLean: lean, Lining: s.Lining,
		Opening: s.OpeningWidth, Length: c.sheet.Floor.Length, Step: s.plateStep()})
	if err != nil {
		return err
	}
	c.dimension("plate_centre", plate.Centre)
	if lean > 0 {
		c.numbers[len(c.numbers)-1].Note = leanMoved
	}
	if s.Lining != 0 {
		c.dimension("plate_centre_unlined", plate.Unlined)
	}
	c.dimension("plate_centre_far", plate.Far)
	open, err := calc.Clear(calc.ClearInput{Turn: turn, Opening: s.room(), GapHeel: heel, GapLead: lead,
		StopWidth: s.StopWidth, Step: step})
	if err != nil {
		return err
	}
	if open.HeelGrowth <= heel && open.LeadGrowth <= lead { // else it can't be opened
		c.dimension("clear_width", open.Clear)
	}
	return nil
}

// EvenGap returns the gap on either side of a leaf that hangs in the middle.
func (s *Spec) EvenGap() calc.Length { return ((s.room() - s.Width) / 2).Down(s.step()) }

// cramped reports whether evidence is entered in whose gaps the leaf can't turn.
func (s *Spec) cramped(need *calc.Gaps) bool {
	return s.EvidenceHeel != 0 && s.EvidenceHeel < need.HeelGrowth || s.EvidenceLead != 0 && s.EvidenceLead < need.LeadGrowth
}

// sweep adds the radii that the leaf sweeps, which no gap changes.
func (c *card) sweep() error {
	s, turn, step := c.spec, c.spec.Turn(), c.spec.step()
	need, err := calc.Gap(turn, clearance, step)
	if err != nil {
		return err
	}
	open, err := calc.Clear(calc.ClearInput{Turn: turn, Opening: need.OpeningWidth.SetOut, GapHeel: need.HeelGap.SetOut,
		GapLead: need.OpeningWidth.SetOut - s.Width - need.HeelGap.SetOut, Step: step})
	if err != nil {
		return err
	}
	c.dimension("lead_radius", open.LeadRadius)
	c.dimension("heel_radius", open.HeelRadius)
	return nil
}

// breakout stands for the drill where a recess is cut: what is kept before the
// back face is 30 mm then, as from two diameters. From memory, as that margin.
const breakout = 15 * mm

// hole is the hole of a pin of some length, of the screws, or the recess.
func (c *card) hole(pin calc.Length) calc.StopInput {
	s, sh := c.spec, c.sheet
	in := calc.StopInput{Depth: pin + sh.Pins.Allowance, Template: sh.Floor.Template, Covering: s.Covering,
		Bit: sh.Holes[s.Floor], Point: sh.Pins.Point, FullBore: true, HasCover: s.HasCover, Cover: s.Cover, Step: s.step()}
	switch {
	case sh.Floor.Fixing == ByScrews:
		in.Depth, in.FullBore = sh.Screws.Depth, false
	case sh.Floor.Fixing == ByBox: // the recess counts against cover like a hole
		in.Depth, in.FullBore, in.Bit = sh.Box.Depth, false, breakout
	case s.Pinless:
		in.Depth, in.FullBore, in.Template = sh.Floor.Thickness, false, 0
	}
	switch {
	case !s.HasCover: // to what it will be measured is not known yet: the larger margin
	case s.CoverTo == "pipe":
		in.CoverTo = calc.Pipe
	case s.CoverTo == "back":
		in.CoverTo = calc.Back
	}
	return in
}

// pins adds the longest pin that the cover allows, and its hole; of a plate on
// screws their holes, of a box its recess. Where none will do, the numbers say
// so by their absence.
func (c *card) pins() error {
	if c.spec.Pinless || c.spec.Heated && !c.spec.HasCover { // over heating no depth is told without a cover
		return nil
	}
	pin, mark, err := c.longestPin()
	var short *calc.RangeError
	if errors.As(err, &short) && short.Name == "cover_left" {
		return nil
	}
	if err != nil {
		return err
	}
	switch c.sheet.Floor.Fixing {
	case ByPins:
		count := 2.0
		if c.spec.Mass.Counted(c.spec.Estimated) >= c.sheet.Pins.FourFrom {
			count = 4
		}
		c.numbers = append(c.numbers, Number{Name: "pin_count", Value: Of(count, "")})
		c.length("pin_length", pin)
	case ByScrews:
		c.numbers = append(c.numbers, Number{Name: "screw_count", Value: Of(float64(c.sheet.Screws.Count), "")})
	}
	if c.sheet.Drilled() {
		c.length("hole_diameter", c.sheet.Holes[c.spec.Floor])
		c.dimension("stop_depth", mark.Mark)
	} else {
		c.dimension("recess_depth", mark.Mark)
	}
	c.length("tip_depth", mark.Tip)
	if c.spec.HasCover {
		c.dimension("cover_left", mark.CoverLeft)
	} else {
		c.numbers[len(c.numbers)-2].Note = coverUnknown
	}
	return nil
}

// longestPin returns the longest pin with its stop depth; the error is that
// of the shortest.
func (c *card) longestPin() (pin calc.Length, mark calc.StopMark, err error) {
	if c.sheet.Floor.Fixing != ByPins {
		mark, err = calc.StopDepth(c.hole(0))
		return 0, mark, err
	}
	for _, pin = range slices.Backward(slices.Sorted(slices.Values(c.sheet.Pins.Lengths))) {
		if mark, err = calc.StopDepth(c.hole(pin)); err == nil {
			return pin, mark, nil
		}
	}
	return 0, calc.StopMark{}, err
}

// coverNeeded returns the cover below which a hole of this depth takes too
// much of it; 0 stands for the shallowest that will do.
func (c *card) coverNeeded(tip calc.Length) (calc.Length, error) {
	shortest := calc.Length(0)
	if c.sheet.Floor.Fixing == ByPins {
		shortest = slices.Min(c.sheet.Pins.Lengths)
	}
	in := c.hole(shortest)
	in.HasCover, in.Cover = true, calc.Metre
	mark, err := calc.StopDepth(in)
	if err != nil {
		return 0, err
	}
	if tip == 0 {
		tip = max(mark.Tip, in.Depth) // a depth that was rounded down needs no less
	}
	return tip + mark.Margin + c.spec.Covering, nil // which is drilled through
}

// noHole and noPin say what is left when no hole or recess, or no pin will do.
const noHole calc.Word = "move the door, or have the heating fitter move the pipes"
const noPin calc.Word = "a plate without pins if the sheet allows it, move the door, or have the heating fitter move the pipes; a recess counts against cover like a hole"

// TooShort says that the door's cover is too little for any pin, for the screws
// or for the recess, and what is left to do; nothing if it is not, or not known.
func (d *Door) TooShort(sh *Sheet) calc.Text {
	s := &d.Spec
	if _, ok := d.Number("tip_depth"); ok || s.Pinless || !s.HasCover {
		return calc.Text{}
	}
	switch sh.Floor.Fixing {
	case ByScrews:
		return calc.F("a cover of %s is too little for the screws: %s", s.Tell(s.Cover), sh.otherwise())
	case ByBox:
		return calc.F("a cover of %s is too little for the recess: %s", s.Tell(s.Cover), sh.otherwise())
	}
	return calc.F("a cover of %s is too little for any pin: %s", s.Tell(s.Cover), sh.otherwise())
}

// otherwise says what is left when the cover is too little.
func (s *Sheet) otherwise() calc.Word {
	if s.Floor.Fixing == ByPins {
		return noPin
	}
	return noHole
}

// reach adds how the head pivot is turned.
func (c *card) reach() error {
	k := c.sheet.Key
	if c.sheet.Head.Reach == FromAbove {
		return nil
	}
	r, err := calc.Reach(calc.ReachInput{Setback: c.spec.Setback, Key: k.Reach, Body: k.Body, Stocks: k.Stocks, Kerf: k.Kerf, Step: c.spec.step()})
	if err != nil || r.Reaches {
		return err
	}
	c.dimension("over_by", r.OverBy)
	c.dimension("key_length", r.KeyLength)
	if r.StockLength == 0 {
		return nil
	}
	c.dimension("tube_length", r.TubeLength)
	c.length("stock_length", r.StockLength)
	return nil
}

// top adds the gap that the leaf needs above it to be stood up.
func (c *card) top() error {
	s := c.spec
	d, err := calc.TopGapMin(s.Height, s.Thickness, c.sheet.Floor.Lift, s.step())
	if err != nil {
		return err
	}
	high := s.survey().Height
	if need := s.Height + d.SetOut; high < need && high != s.OpeningHeight {
		return wrong("opening height", "between level lines the opening is %s high, the leaf needs %s to be stood up in it", s.tellDown(high), s.tellUp(need))
	}
	if need := s.Height + d.SetOut; s.OpeningHeight < need {
		return wrong("opening height", tooLow, s.tellDown(s.OpeningHeight), s.tellUp(need))
	}
	c.dimension("top_gap_min", d)
	return nil
}

// tellUp and tellDown tell a length that is held against a limit so that the
// words never say it keeps what it breaks.
func (s *Spec) tellUp(l calc.Length) string   { return s.Tell(l.Up(s.finest())) }
func (s *Spec) tellDown(l calc.Length) string { return s.Tell(l.Down(s.finest())) }

// finest returns what a length is rounded to before it is told: in inches
// nothing, for a rounded one would lose its fraction.
func (s *Spec) finest() calc.Length {
	if s.Inches {
		return calc.Nanometre
	}
	return hundredth
}

// limits says where the leaf breaks its sheet's limits.
func limits(s *Spec, sh *Sheet) []error {
	var out []error
	broken := func(yes bool, field, key string, args ...any) {
		if yes {
			out = append(out, wrong(field, key, args...))
		}
	}
	mass, l := s.Mass.Counted(s.Estimated), sh.Leaf
	broken(mass > l.Mass && !s.Estimated, "mass", tooHeavy, mass, l.Mass)
	broken(mass > l.Mass && s.Estimated, "mass", tooHeavyCounted, mass, s.Mass, l.Mass)
	broken(s.Width > l.Width, "width", tooWide, s.tellUp(s.Width), s.Tell(l.Width))
	broken(s.Height > l.Height, "height", tooHigh, s.tellUp(s.Height), s.Tell(l.Height))
	thickness := s.tellDown(s.Thickness)
	if s.Thickness > l.Thickness.Most {
		thickness = s.tellUp(s.Thickness)
	}
	broken(s.Thickness < l.Thickness.Least || s.Thickness > l.Thickness.Most,
		"thickness", wrongThickness, thickness, s.Tell(l.Thickness.Least), s.Tell(l.Thickness.Most))
	broken(s.Pinless && sh.Floor.Fixing != ByPins, "without pins", noPins)
	broken(s.Pinless && sh.Floor.Fixing == ByPins && !sh.Pins.Without, "without pins", noPinless)
	broken(s.Setback < l.Setback, "setback", tooNear, s.tellDown(s.Setback), s.Tell(l.Setback))
	return out
}

// LimitError says where a leaf breaks its sheet's limits.
type LimitError struct{ Broken []error }

func (e *LimitError) Error() string { return e.text().String() }

// Sentence says which limits are broken.
func (e *LimitError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *LimitError) text() calc.Text { return list("%s; %s", e.Broken) }

// Unwrap returns the limits that are broken, one by one.
func (e *LimitError) Unwrap() []error { return e.Broken }
