package calc

// Layer is one sheet of a leaf, or a frame along its edges with nothing, or
// with parts, inside.
type Layer struct {
	Thickness Length
	Density   Density
	Frame     Length // how wide the frame is; 0: the layer is a whole sheet
	Later     bool   // it is put on after the leaf is hung, as cladding
}

// Cutout is a rectangle that is taken out of all layers.
type Cutout struct {
	X, Z          Length // its corner nearest to the heel edge and the foot
	Width, Height Length
}

// Part is what is put on or into a leaf: a pane, a lock, a handle.
type Part struct {
	Mass      Mass
	X         Length // its centre from the heel edge
	Y         Length // its centre from the mid-plane, towards the side the leaf opens to
	Width     Length // along the leaf, 0 for a part that is small
	Thickness Length // across the leaf, likewise
	Later     bool   // it is put on after the leaf is hung
}

// MassInput is a leaf made of layers and parts.
type MassInput struct {
	Width   Length
	Height  Length
	Setback Length
	Offset  Offset   // of the axis from the mid-plane of all layers
	Layers  []Layer  // from the side the leaf opens to towards the other
	Cutouts []Cutout // they don't overlap
	Parts   []Part
	Step    Length // for CentreX
}

// MassResult is the mass of a leaf and how it is spread.
type MassResult struct {
	Mass      Figure[Mass]     // with all that comes later, up to 0.1 kg
	Hung      Figure[Mass]     // what is hung, up to 0.1 kg
	PerArea   Figure[AreaMass] // of the whole, up to 0.1 kg/m²
	CentreX   Dimension        // of the whole, from the heel edge, rounded up
	CentreY   Length           // of the whole, from the mid-plane towards the side the leaf opens to
	Inertia   Figure[Inertia]  // of the whole about the pivot axis, up to 0.01 kg·m²
	Thickness Length           // of all layers
}

var (
	layerThicknessBounds = bounds[Length]{"layer", Millimetre / 10, 300 * Millimetre}
	materialBounds       = bounds[Density]{"density", 5, 25_000}
	frameBounds          = bounds[Length]{"frame", 0, 3000 * Millimetre}
	partMassBounds       = bounds[Mass]{"part_mass", 0, 1000}
	partYBounds          = bounds[Length]{"part_y", -500 * Millimetre, 500 * Millimetre}
	partThicknessBounds  = bounds[Length]{"part_thickness", 0, 500 * Millimetre}
	scaleBounds          = bounds[Mass]{"scale", 0, 3000}
	scaleSpanBounds      = bounds[Length]{"scale_span", 100 * Millimetre, 10_000 * Millimetre}
	scaleStartBounds     = bounds[Length]{"scale_heel", -2000 * Millimetre, 6000 * Millimetre}
	plateSideBounds      = bounds[Length]{"plate_length", 10 * Millimetre, 1000 * Millimetre}
	carriesBounds        = bounds[Pressure]{"carries", Megapascal / 100, 200 * Megapascal}
	forceBounds          = bounds[Force]{"vertical", 0, 100_000}
)

// moments are the sums that the mass, its centre and its inertia come from,
// in kg, m and kg·m², about the heel edge and the mid-plane.
type moments struct{ m, x, y, xx, yy float64 }

// add adds a block of mass m of width w and thickness t, its centre at
// (x, y): the inertia of a plate about its own axis and the parallel axis
// theorem, from memory (textbook physics).
func (s *moments) add(m, x, y, w, t float64) {
	s.m += m
	s.x += m * x
	s.y += m * y
	s.xx += m * (x*x + w*w/12)
	s.yy += m * (y*y + t*t/12)
}

// rect is a rectangle in the leaf's plane, from the heel edge and the foot.
type rect struct{ x0, z0, x1, z1 Length }

func (r rect) meet(o rect) rect {
	return rect{max(r.x0, o.x0), max(r.z0, o.z0), min(r.x1, o.x1), min(r.z1, o.z1)}
}

func (r rect) empty() bool { return r.x0 >= r.x1 || r.z0 >= r.z1 }

func (c Cutout) rect() rect { return rect{c.X, c.Z, c.X + c.Width, c.Z + c.Height} }

// sheet adds a rectangle of a layer that has density times thickness perArea
// and lies at y; a negative perArea takes it away.
func (s *moments) sheet(r rect, perArea, y, t float64) {
	if r.empty() {
		return
	}
	w := metres(r.x1 - r.x0)
	s.add(perArea*w*metres(r.z1-r.z0), metres(r.x0+r.x1)/2, y, w, t)
}

// layer adds a layer at y with the cut-outs taken away.
func (s *moments) layer(l Layer, whole rect, cut []Cutout, y float64) {
	t := metres(l.Thickness)
	perArea := float64(l.Density) * t
	inner := rect{l.Frame, l.Frame, whole.x1 - l.Frame, whole.z1 - l.Frame}
	if l.Frame == 0 {
		inner = rect{}
	}
	s.sheet(whole, perArea, y, t)
	s.sheet(inner, -perArea, y, t)
	for _, c := range cut {
		s.sheet(c.rect(), -perArea, y, t)
		s.sheet(c.rect().meet(inner), perArea, y, t)
	}
}

// LeafMass returns the mass of a leaf made of layers and parts, where its
// centre is and what it takes to turn it.
//
//	m = Σ mᵢ      centre_x = Σ mᵢ·xᵢ / m
//	I = Σ mᵢ·((wᵢ² + tᵢ²)/12 + (xᵢ − s)² + (yᵢ + e)²)
//
// where mᵢ is the density of a rectangle of a layer times its volume, or the
// mass of a part, wᵢ and tᵢ its width and thickness, xᵢ its centre from the
// heel edge, yᵢ from the mid-plane of all layers towards the side the leaf
// opens to, s the setback and e the offset of the axis. A frame is a sheet
// without its inside, a cut-out is taken away. The moment of inertia of a
// plate about a parallel axis is standard physics. An offset whose side isn't
// known is taken on the side that gives the larger inertia. Fillings between
// the members of a frame, glue and fittings count only as parts.
//
// LeafMass returns a [*NeedError] without layers, and a [*RangeError] if a
// value is out of bounds, a frame is wider than half the leaf, a cut-out
// reaches over the leaf's edge or into another, a part lies further than the
// width of the leaf from it, or the whole is lighter than 0.1 or heavier than
// 3,000 kg.
func LeafMass(in MassInput) (MassResult, error) {
	if err := in.check(); err != nil {
		return MassResult{}, err
	}
	thick := Length(0)
	for _, l := range in.Layers {
		thick += l.Thickness
	}
	if err := thicknessBounds.check(thick); err != nil {
		return MassResult{}, err
	}
	var hung, all moments
	whole := rect{0, 0, in.Width, in.Height}
	front := metres(thick) / 2
	for _, l := range in.Layers {
		y := front - metres(l.Thickness)/2
		front -= metres(l.Thickness)
		all.layer(l, whole, in.Cutouts, y)
		if !l.Later {
			hung.layer(l, whole, in.Cutouts, y)
		}
	}
	for _, p := range in.Parts {
		all.add(float64(p.Mass), metres(p.X), metres(p.Y), metres(p.Width), metres(p.Thickness))
		if !p.Later {
			hung.m += float64(p.Mass)
		}
	}
	return in.result(&all, Mass(hung.m), thick)
}

// result is what the sums come to.
func (in *MassInput) result(all *moments, hung Mass, thick Length) (MassResult, error) {
	if err := massBounds.check(Mass(all.m)); err != nil {
		return MassResult{}, err
	}
	s, e := metres(in.Setback), metres(in.Offset.E)
	across := e * all.y
	if !in.Offset.Signed {
		across = max(across, -across)
	}
	return MassResult{
		Mass:      upTo(Mass(all.m), 10),
		Hung:      upTo(hung, 10),
		PerArea:   upTo(AreaMass(all.m/(metres(in.Width)*metres(in.Height))), 10),
		CentreX:   up(nearest(all.x/all.m*float64(Metre)), in.Step),
		CentreY:   nearest(all.y / all.m * float64(Metre)),
		Inertia:   upTo(Inertia(all.xx-2*s*all.x+s*s*all.m+all.yy+2*across+e*e*all.m), 100),
		Thickness: thick,
	}, nil
}

func (in *MassInput) check() error {
	if err := checkWidth(in.Width, in.Setback); err != nil {
		return err
	}
	if err := heightBounds.check(in.Height); err != nil {
		return err
	}
	if err := setbackBounds.check(in.Setback); err != nil {
		return err
	}
	if err := offsetBounds.check(in.Offset.E); err != nil {
		return err
	}
	if err := stepBounds.check(in.Step); err != nil {
		return err
	}
	if len(in.Layers) == 0 {
		return &NeedError{Name: "layers", Why: "without them a leaf has no mass"}
	}
	for _, l := range in.Layers {
		if err := in.checkLayer(l); err != nil {
			return err
		}
	}
	if err := in.checkCutouts(); err != nil {
		return err
	}
	for _, p := range in.Parts {
		if err := in.checkPart(p); err != nil {
			return err
		}
	}
	return nil
}

func (in *MassInput) checkLayer(l Layer) error {
	if err := layerThicknessBounds.check(l.Thickness); err != nil {
		return err
	}
	if err := materialBounds.check(l.Density); err != nil {
		return err
	}
	if err := frameBounds.check(l.Frame); err != nil {
		return err
	}
	if half := min(in.Width, in.Height) / 2; l.Frame > half {
		return &RangeError{Name: "frame", Value: l.Frame, Bound: AtMost, Limit: half, Why: "half the leaf"}
	}
	return nil
}

func (in *MassInput) checkCutouts() error {
	for i, c := range in.Cutouts {
		across := bounds[Length]{"cutout_x", 0, in.Width}
		upward := bounds[Length]{"cutout_z", 0, in.Height}
		if err := across.check(c.X); err != nil {
			return err
		}
		if err := upward.check(c.Z); err != nil {
			return err
		}
		wide := bounds[Length]{"cutout_width", Millimetre, in.Width - c.X}
		high := bounds[Length]{"cutout_height", Millimetre, in.Height - c.Z}
		if err := wide.check(c.Width); err != nil {
			return err
		}
		if err := high.check(c.Height); err != nil {
			return err
		}
		for _, other := range in.Cutouts[:i] {
			if o := other.rect(); !c.rect().meet(o).empty() {
				return &RangeError{Name: "cutout_x", Value: c.X, Bound: AtLeast, Limit: o.x1, Why: "it reaches into another cut-out"}
			}
		}
	}
	return nil
}

func (in *MassInput) checkPart(p Part) error {
	if err := partMassBounds.check(p.Mass); err != nil {
		return err
	}
	x := bounds[Length]{"part_x", -in.Width, 2 * in.Width}
	if err := x.check(p.X); err != nil {
		return err
	}
	if err := partYBounds.check(p.Y); err != nil {
		return err
	}
	wide := bounds[Length]{"part_width", 0, in.Width}
	if err := wide.check(p.Width); err != nil {
		return err
	}
	return partThicknessBounds.check(p.Thickness)
}

// SheetMass returns the mass of a sheet, as of a pane.
//
//	m = w·h·t·ρ
//
// where w, h and t are its width, height and thickness and ρ its density. It
// returns a [*RangeError] if a value is not positive or the sheet is larger
// than a leaf can be.
func SheetMass(w, h, t Length, density Density) (Mass, error) {
	side := bounds[Length]{"pane_width", Millimetre, 10_000 * Millimetre}
	if err := side.check(w); err != nil {
		return 0, err
	}
	if err := side.named("pane_height", h); err != nil {
		return 0, err
	}
	if err := layerThicknessBounds.named("pane_thickness", t); err != nil {
		return 0, err
	}
	if err := materialBounds.check(density); err != nil {
		return 0, err
	}
	return Mass(metres(w) * metres(h) * metres(t) * float64(density)), nil
}

// UniformInertia returns the moment of inertia of a leaf of one density about
// its pivot axis, rounded up to 0.01 kg·m².
//
//	I = m·((w² + t²)/12 + (w/2 − s)² + e²)
//
// where m is the leaf's mass, w its width, t its thickness, s the setback and
// e the offset: a plate about its own axis and the parallel axis theorem,
// textbook physics from memory; about an edge it is m·(w²/3 + t²/12).
//
// UniformInertia returns a [*RangeError] if a value is out of bounds or the
// setback is more than half the width.
func UniformInertia(m Mass, w, t, s, e Length) (Figure[Inertia], error) {
	if err := massBounds.check(m); err != nil {
		return Figure[Inertia]{}, err
	}
	if err := checkWidth(w, s); err != nil {
		return Figure[Inertia]{}, err
	}
	if err := thicknessBounds.check(t); err != nil {
		return Figure[Inertia]{}, err
	}
	if err := setbackBounds.check(s); err != nil {
		return Figure[Inertia]{}, err
	}
	if err := offsetBounds.check(e); err != nil {
		return Figure[Inertia]{}, err
	}
	width, thick, off := metres(w), metres(t), metres(e)
	d := width/2 - metres(s)
	return upTo(Inertia(float64(m)*((width*width+thick*thick)/12+d*d+off*off)), 100), nil
}
