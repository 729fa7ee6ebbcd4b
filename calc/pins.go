package calc

// Locating margin of a pipe finder where none is given, from memory: no
// published source was at hand.
const LocatorUnsaid = 5 * Millimetre

// FloorLayer is a layer of a floor, top to bottom.
type FloorLayer struct {
	Thickness Length
	Sound     bool // it holds a pin: never tile, its bed, levelling compound or insulation
}

// Pin is a pin that the hardware sheet allows.
type Pin struct {
	Length    Length // below the surface that the plate lies on
	Count     int
	Hole      Length // diameter of the drill
	Embedment Length // the least in sound material
	CutTo     Length // the shortest it may be cut to; 0: it may not be cut
	Edge      Length // the least from the hole's centre to the slab's edge; 0: the sheet says nothing
	Joint     Length // to a joint
	Spacing   Length // between pins
}

// PinsInput is a floor and what the sheet allows to be set into it.
type PinsInput struct {
	Layers    []FloorLayer
	Recess    Length // how deep the plate is let in
	Allowance Length // below the pin
	Point     Angle  // included angle of the drill's point
	HasPipe   bool
	Pipe      Length // cover from the floor's surface to the nearest pipe or cable
	HasBack   bool
	Back      Length // from the floor's surface to the back face
	Heated    bool   // there are pipes: a cover or a sideways distance is needed
	Locator   Length // uncertainty of what located the pipe; 0: 5 mm
	Margin    Length // over a pipe; 0: 10 mm
	Aside     bool   // Sideways is known
	Sideways  Length // from the hole's centre to the pipe's edge, in plan
	Edge      Length // distances there are; 0: not known
	Joint     Length
	Spacing   Length
	Pins      []Pin
	Step      Length
}

// PinReason is why a pin won't do.
type PinReason int

// The reasons against a pin.
const (
	PinFits        PinReason = iota
	PinHitsPipe              // too little cover is left over a pipe
	PinBreaksBack            // too little is left before the back face
	PinTooDeep               // the hole goes through the floor's layers
	PinHoldsLittle           // too little embedment in sound material
	PinNearEdge
	PinNearJoint
	PinNearPin
)

// PinChoice is a pin, cut or not, and what becomes of it. Reason says what
// Value falls short of Limit.
type PinChoice struct {
	Pin          int       // its number in the input
	Length       Length    // to cut it to, or as it is
	Cut          bool      // it is cut
	Hole         Dimension // depth of the hole below the floor's surface, at its tip, rounded up
	Embedment    Length
	CoverLeft    Dimension // over a pipe if there is one to keep from, else before the back face; rounded down
	Reason       PinReason
	Value, Limit Length
}

// PinsResult is the pin to take and what was against the others.
type PinsResult struct {
	Found    bool
	Choice   PinChoice
	Rejected []PinChoice
	Margin   Length // kept over a pipe, the locator's uncertainty in it
}

var (
	pinBounds      = bounds[Length]{"pin", Millimetre, 500 * Millimetre}
	pinCountBounds = bounds[Number]{"pin_count", 1, 20}
	floorBounds    = bounds[Length]{"layer", Millimetre / 10, 1000 * Millimetre}
	spacingBounds  = bounds[Length]{"distance", 0, 10 * Metre}
)

// PinsFor returns which pin to set, and where to cut it.
//
//	tip = recess + pin + allowance + (D/2)/tan(A/2), rounded up to the step
//	cover left = cover − tip ≥ margin + locator over a pipe
//	back face − tip ≥ max(30 mm, 2·D)
//
// where D is the hole's diameter and A the included angle of the drill's point
// [S 2]. The hole is drilled to full bore, so its point goes deeper than the
// pin. Where the hole passes the pipe sideways by that margin and half a
// diameter, the pipe needs no cover. Embedment counts sound layers only, from
// the recess to the pin's end. A pin that does not fit is cut as little as
// makes it fit, down to the step and to what the sheet allows. Of those that
// fit, the one with the most embedment is taken, then one that needs no cut,
// then the first. The margins are from memory, no published source was at hand.
//
// PinsFor returns a [*RangeError] if a value is out of bounds, and a
// [*NeedError] if the floor is heated and neither cover nor sideways distance
// to the pipes is known, or a distance that the sheet limits is not.
func PinsFor(in PinsInput) (PinsResult, error) {
	if err := in.check(); err != nil {
		return PinsResult{}, err
	}
	r := PinsResult{Margin: in.margin()}
	for n := range in.Pins {
		c, err := in.choose(n)
		if err != nil {
			return PinsResult{}, err
		}
		if c.Reason != PinFits {
			r.Rejected = append(r.Rejected, c)
			continue
		}
		if !r.Found || c.Embedment > r.Choice.Embedment || c.Embedment == r.Choice.Embedment && r.Choice.Cut && !c.Cut {
			r.Found, r.Choice = true, c
		}
	}
	return r, nil
}

// margin returns what is kept over a pipe.
func (in *PinsInput) margin() Length {
	m, l := in.Margin, in.Locator
	if m == 0 {
		m = pipeMargin
	}
	if l == 0 {
		l = LocatorUnsaid
	}
	return m + l
}

// choose returns pin n as it is, or else cut, or else as it is with the reason
// against it.
func (in *PinsInput) choose(n int) (PinChoice, error) {
	p := &in.Pins[n]
	point, err := PointLength(p.Hole, in.Point)
	if err != nil {
		return PinChoice{}, err
	}
	whole := in.judge(n, p.Length, point)
	deep := whole.Reason == PinHitsPipe || whole.Reason == PinBreaksBack || whole.Reason == PinTooDeep
	if !deep || p.CutTo == 0 {
		return whole, nil
	}
	// The tip may go down to a multiple of the step, and the pin ends so much above.
	cut := (in.deepest(p).Down(in.Step) - in.Recess - in.Allowance - point).Down(in.Step)
	if cut < p.CutTo {
		return whole, nil
	}
	if c := in.judge(n, cut, point); c.Reason == PinFits {
		c.Cut = true
		return c, nil
	}
	return whole, nil
}

// overPipe says whether the hole passes over a pipe that needs cover.
func (in *PinsInput) overPipe(p *Pin) bool {
	return in.HasPipe && !in.beside(p)
}

// beside says whether the hole keeps far enough from the pipe sideways.
func (in *PinsInput) beside(p *Pin) bool {
	return in.Aside && in.Sideways-(p.Hole+1)/2 >= in.margin()
}

// deepest returns how deep the tip may go.
func (in *PinsInput) deepest(p *Pin) Length {
	var deep Length
	for _, l := range in.Layers {
		deep += l.Thickness
	}
	if in.overPipe(p) {
		deep = min(deep, in.Pipe-in.margin())
	}
	if in.HasBack {
		deep = min(deep, in.Back-max(backMargin, 2*p.Hole))
	}
	return deep
}

// judge works out pin n at a length.
func (in *PinsInput) judge(n int, length, point Length) PinChoice {
	p := &in.Pins[n]
	exact := in.Recess + length + in.Allowance + point
	c := PinChoice{Pin: n, Length: length, Hole: up(exact, in.Step), Embedment: in.embedment(length)}
	cover, margin, short := in.Back, max(backMargin, 2*p.Hole), PinBreaksBack
	if in.overPipe(p) {
		cover, margin, short = in.Pipe, in.margin(), PinHitsPipe
	}
	if in.overPipe(p) || in.HasBack {
		c.CoverLeft = Dimension{cover - exact, (cover - c.Hole.SetOut).Down(in.Step)}
	}
	against := func(why PinReason, value, limit Length) bool {
		if value >= limit {
			return false
		}
		c.Reason, c.Value, c.Limit = why, value, limit
		return true
	}
	var floor Length
	for _, l := range in.Layers {
		floor += l.Thickness
	}
	_ = in.overPipe(p) && against(short, cover-c.Hole.SetOut, margin) ||
		in.HasBack && against(PinBreaksBack, in.Back-c.Hole.SetOut, max(backMargin, 2*p.Hole)) ||
		against(PinTooDeep, floor, c.Hole.SetOut) ||
		against(PinHoldsLittle, c.Embedment, p.Embedment) ||
		against(PinNearEdge, in.Edge, p.Edge) ||
		against(PinNearJoint, in.Joint, p.Joint) ||
		against(PinNearPin, in.Spacing, p.Spacing)
	return c
}

// embedment returns how much of a pin sits in sound layers.
func (in *PinsInput) embedment(length Length) (sum Length) {
	var top Length
	for _, l := range in.Layers {
		bottom := top + l.Thickness
		if l.Sound {
			sum += max(0, min(bottom, in.Recess+length)-max(top, in.Recess))
		}
		top = bottom
	}
	return sum
}

func (in *PinsInput) check() error {
	if len(in.Layers) == 0 {
		return &NeedError{Name: "layers", Why: "a pin holds in sound layers only"}
	}
	if len(in.Pins) == 0 {
		return &NeedError{Name: "pins", Why: "the hardware sheet says which are allowed"}
	}
	for _, l := range in.Layers {
		if err := floorBounds.check(l.Thickness); err != nil {
			return err
		}
	}
	type named struct {
		b    *bounds[Length]
		name string
		v    Length
	}
	for _, v := range [...]named{
		{&layerBounds, "recess", in.Recess}, {&layerBounds, "allowance", in.Allowance}, {&coverBounds, "cover", in.Pipe},
		{&coverBounds, "back", in.Back}, {&layerBounds, "locator", in.Locator}, {&layerBounds, "margin", in.Margin},
		{&spacingBounds, "sideways", in.Sideways}, {&spacingBounds, "edge", in.Edge}, {&spacingBounds, "joint", in.Joint},
		{&spacingBounds, "spacing", in.Spacing}, {&stepBounds, "step", in.Step},
	} {
		if err := v.b.named(v.name, v.v); err != nil {
			return err
		}
	}
	if err := pointBounds.check(in.Point); err != nil {
		return err
	}
	for i := range in.Pins {
		if err := in.checkPin(&in.Pins[i]); err != nil {
			return err
		}
	}
	return nil
}

func (in *PinsInput) checkPin(p *Pin) error {
	if err := pinBounds.check(p.Length); err != nil {
		return err
	}
	if err := pinCountBounds.check(Number(p.Count)); err != nil {
		return err
	}
	if err := depthBounds.named("hole_diameter", p.Hole); err != nil {
		return err
	}
	if err := layerBounds.named("embedment", p.Embedment); err != nil {
		return err
	}
	if p.CutTo < 0 || p.CutTo > p.Length {
		return &RangeError{Name: "cut_to", Value: p.CutTo, Bound: AtMost, Limit: p.Length, Why: "the pin's length"}
	}
	if in.Heated && !in.HasPipe && !in.beside(p) {
		return &NeedError{Name: "cover", Why: "there are pipes in a heated floor"}
	}
	for _, d := range [...]struct {
		name        string
		need, there Length
	}{{"edge", p.Edge, in.Edge}, {"joint", p.Joint, in.Joint}, {"spacing", p.Spacing, in.Spacing}} {
		if err := spacingBounds.named(d.name, d.need); err != nil {
			return err
		}
		if d.need > 0 && d.there == 0 {
			return &NeedError{Name: d.name, Why: "the sheet has a least distance"}
		}
	}
	return nil
}
