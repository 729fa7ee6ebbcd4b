package calc

// PlateInput is where a floor plate is measured from.
type PlateInput struct {
	Setback  Length
	Gap      Length // heel gap
	JambLean Length // how much further into the opening than its foot the heel jamb's furthest point stands
	Lining   Length // finished facing with its packers, still to come
	Opening  Length // between finished jambs; 0: not given
	Length   Length // of the plate; 0: not given
	Step     Length
}

// PlateCentres is where the centre of the pivot goes, measured along the
// opening at floor level.
type PlateCentres struct {
	Centre    Dimension // from the heel jamb
	Unlined   Dimension // from the heel jamb before it has its lining
	Far       Dimension // from the leading jamb; 0 without the opening
	UnderJamb bool      // the plate reaches under the heel jamb
}

// Plate returns the distance of the plate centre from the heel jamb.
//
//	centre = s + gap + lean
//
// where s is the setback, gap the heel gap and lean how far the jamb leans
// into the opening. With the lining's thickness added it holds before the
// jamb is lined; from the leading jamb it is the opening less the centre.
// The figures are sums of distances along one line, rounded to the nearest
// step.
//
// Plate returns a [*RangeError] if a value is outside its range or if the
// setback is more than half of the widest leaf that the opening holds.
func Plate(in PlateInput) (PlateCentres, error) {
	var p PlateCentres
	if err := in.check(); err != nil {
		return p, err
	}
	centre := in.Setback + in.Gap + in.JambLean
	p.Centre = toStep(centre, in.Step)
	p.Unlined = toStep(centre+in.Lining, in.Step)
	if in.Opening > 0 {
		if most := (in.Opening - in.Gap - in.JambLean) / 2; in.Setback > most {
			return p, &RangeError{Name: "setback", Value: in.Setback, Bound: AtMost, Limit: most, Why: WrongEdge}
		}
		p.Far = toStep(in.Opening-centre, in.Step)
	}
	p.UnderJamb = in.Length > 2*centre
	return p, nil
}

func (in *PlateInput) check() error {
	for _, err := range []error{
		setbackBounds.check(in.Setback),
		gapBounds.check(in.Gap),
		layerBounds.named("jamb_lean", in.JambLean),
		layerBounds.named("lining", in.Lining),
		stepBounds.check(in.Step),
	} {
		if err != nil {
			return err
		}
	}
	if in.Length != 0 {
		if err := plateBounds.check(in.Length); err != nil {
			return err
		}
	}
	if in.Opening != 0 {
		return openingBounds.check(in.Opening)
	}
	return nil
}

// PlateLine returns the distance of the pivot axis from the line that a
// leaf's face is measured from, rounded to the nearest step.
//
//	line = face + t/2 + e
//
// where face is the distance from the reference line to the leaf's face on
// the side it opens to, t the thickness and e the offset.
//
// It returns a [*RangeError] if a value is outside its range and a
// [*NeedError] if there is an offset whose side is not known.
func PlateLine(face, thickness Length, offset Offset, step Length) (Dimension, error) {
	if err := faceBounds.check(face); err != nil {
		return Dimension{}, err
	}
	if err := thicknessBounds.check(thickness); err != nil {
		return Dimension{}, err
	}
	if err := offsetBounds.check(offset.E); err != nil {
		return Dimension{}, err
	}
	if err := stepBounds.check(step); err != nil {
		return Dimension{}, err
	}
	if offset.E != 0 && !offset.Signed {
		return Dimension{}, &NeedError{Name: "offset", Why: "on which side of the mid-plane is the pivot axis"}
	}
	return toStep(face+(thickness+1)/2+offset.E, step), nil
}
