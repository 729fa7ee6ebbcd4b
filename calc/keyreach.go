package calc

// ReachInput is a key put in at the heel edge to turn the head pivot.
type ReachInput struct {
	Setback Length
	Key     Length   // how far the key reaches
	Body    Length   // length of the whole pivot body; 0: not given
	Stocks  []Length // lengths of key tube at hand
	Kerf    Length   // of the saw
	Second  Length   // a second piece wanted from the offcut; 0: none
	Step    Length
}

// KeyReach is whether a key reaches and, if not, what does.
type KeyReach struct {
	Reaches     bool
	OverBy      Dimension // by how much the key is short, rounded up
	KeyLength   Dimension // the key that would reach, rounded up
	TubeLength  Dimension // the key tube to cut, rounded down; 0 without Body
	StockLength Length    // the shortest stock that gives it; 0 if none does
	Offcut      Dimension // what is left of that stock, rounded down
	SecondFits  bool      // Second can be cut from the offcut
}

// Reach returns whether a key reaches a pivot at the setback s, and the
// key tube that lets a longer key reach it.
//
//	reaches = s ≤ key      tube = s - body/2      offcut = stock - tube - kerf
//
// where body is the length of the whole pivot body, which sits half on
// either side of the axis. The lengths are taken along one line. A stock
// that equals the tube needs no cut; a second piece that equals the offcut
// needs none either.
//
// Reach returns a [*RangeError] if a value is outside its range or if the
// body is longer than twice the setback, and a [*NeedError] if there are
// stocks to cut from but no body.
func Reach(in ReachInput) (KeyReach, error) {
	var r KeyReach
	if err := in.check(); err != nil {
		return r, err
	}
	if in.Setback <= in.Key {
		r.Reaches = true
		return r, nil
	}
	r.OverBy = up(in.Setback-in.Key, in.Step)
	r.KeyLength = up(in.Setback, in.Step)
	if in.Body == 0 {
		if len(in.Stocks) > 0 {
			return r, &NeedError{Name: "body", Why: "the key tube ends at the pivot's body"}
		}
		return r, nil
	}
	if in.Body >= 2*in.Setback {
		return r, &RangeError{Name: "body", Value: in.Body, Bound: Below, Limit: 2 * in.Setback, Why: "it would stick out of the heel edge"}
	}
	r.TubeLength = down(in.Setback-(in.Body+1)/2, in.Step)
	tube := r.TubeLength.SetOut
	for _, stock := range in.Stocks {
		if stock >= tube && (r.StockLength == 0 || stock < r.StockLength) {
			r.StockLength = stock
		}
	}
	if r.StockLength > 0 {
		offcut := max(0, r.StockLength-tube-in.Kerf)
		r.Offcut = down(offcut, in.Step)
		r.SecondFits = in.Second > 0 && (offcut == in.Second || offcut >= in.Second+in.Kerf)
	}
	return r, nil
}

func (in *ReachInput) check() error {
	for _, err := range []error{
		setbackBounds.check(in.Setback),
		keyBounds.check(in.Key),
		layerBounds.named("kerf", in.Kerf),
		stepBounds.check(in.Step),
	} {
		if err != nil {
			return err
		}
	}
	if in.Body != 0 {
		if err := keyBounds.named("body", in.Body); err != nil {
			return err
		}
	}
	for _, stock := range in.Stocks {
		if err := keyBounds.named("stocks", stock); err != nil {
			return err
		}
	}
	if in.Second != 0 {
		return keyBounds.named("second", in.Second)
	}
	return nil
}
