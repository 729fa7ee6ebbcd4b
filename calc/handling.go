package calc

// Handling is the way a leaf is moved by hand.
type Handling int

// The ways. A leaf that is stood up passes every height from the floor to
// above the shoulder, so the smallest value of the guideline filter counts.
const (
	StandingUp Handling = iota
	FromWaist           // carried on the level, held at the waist against the body
	OnStairs
)

// The mass one person may lift where nothing else is said: the lower values
// of the guideline filter of UK HSE, L23, 4th ed. 2016. The one for the waist
// is quoted by others, the one for the whole way up is from memory.
const (
	SingleStandingUp Mass = 7
	SingleFromWaist  Mass = 16
)

// GearReserve is how much more than the leaf lifting gear must be good for.
// The tenth is the project's own.
const GearReserve = 1.1

// HandlingInput is a leaf that is to be lifted.
type HandlingInput struct {
	Mass      Mass
	Estimated bool // the mass was not weighed
	Single    Mass // that one person may lift; 0: by Way
	Way       Handling
}

// HandlingResult says how many people a lift takes, if it stays under the
// filter.
type HandlingResult struct {
	Counted Mass         // a tenth more than the mass if it was estimated
	Single  Mass         // that was reckoned with
	Limits  [3]Mass      // what one, two and three people may lift, down to 0.1 kg
	People  int          // 1 to 3; 0 above the filter: lifting gear and a lifting plan
	Limit   Mass         // of that team, or of the largest
	Share   Figure[Mass] // each one's part, up to 0.1 kg; 0 standing up, on stairs and with gear
	Gear    Figure[Mass] // what lifting gear must be good for, up to 0.1 kg
}

// HandLift returns how many people may lift a leaf by hand.
//
//	L₁ = single,  L₂ = 2/3 · 2·single,  L₃ = 1/2 · 3·single
//	gear = 1.1·m
//
// where Lₙ is the limit of n people: two may lift two thirds of the sum of
// what they may lift alone, three a half (UK HSE, L23, 4th ed. 2016, para
// 120); each limit is rounded down before the leaf is held against it. m is
// the leaf's mass, a tenth more if it was estimated. Larger teams have no
// published factor and are not answered. Where the hands pass more than one
// zone of the guideline filter the smallest value counts.
//
// The filter is no permission: it is the mass below which no detailed
// assessment is asked for. It is for compact loads near the body and about 30
// lifts an hour; a tall leaf is worse. The shares are equal only on the level.
//
// HandLift returns a [*RangeError] if the mass is out of bounds or single is
// given and not within 1 to 25 kg, the filter's largest value.
func HandLift(in HandlingInput) (HandlingResult, error) {
	if err := massBounds.check(in.Mass); err != nil {
		return HandlingResult{}, err
	}
	r := HandlingResult{Counted: in.Mass.Counted(in.Estimated), Single: in.Single}
	if in.Single == 0 {
		r.Single = SingleStandingUp
		if in.Way == FromWaist {
			r.Single = SingleFromWaist
		}
	}
	if err := singleBounds.check(r.Single); err != nil {
		return HandlingResult{}, err
	}
	r.Gear = upTo(r.Counted*GearReserve, 10)
	r.Limits = TeamLimits(r.Single)
	r.Limit = r.Limits[len(r.Limits)-1]
	for i, limit := range r.Limits {
		if r.Counted <= limit {
			r.People, r.Limit = i+1, limit
			break
		}
	}
	if in.Way == FromWaist && r.People > 0 {
		r.Share = upTo(r.Counted/Mass(r.People), 10)
	}
	return r, nil
}
