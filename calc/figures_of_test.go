package calc_test

import (
	"strings"
	"time"

	"heelpost/calc"
)

// figures are the calculations of loads and handling by name, each from a
// row's inputs to its results by theirs.
var figures = map[string]func(r row) (map[string]told, error){
	"mass": leafMass, "weighed": weighed, "bearing": bearing, "uniform": uniformInertia, "pane": pane,
	"load": loads, "pressure": pressure, "head": head, "lift": lift, "standing": standing, "access": access,
	"rwl": rwl, "often": often, "duration": duration, "closer": closer, "lever": lever, "closing": closing,
	"life": life, "sun": sun, "facade": facade, "warming": warming, "moisture": moisture, "wood": wood, "heated": heated,
	"screed": screed, "tape": tape, "reading": reading, "square": square, "turns": turns, "travel": travel,
	"opening": openingNeeded, "mark": depthReached, "fits": gapFits, "leaf opening": leafOpening,
}

func (r row) massInput() calc.MassInput {
	in := calc.MassInput{
		Width: r.length("width"), Height: r.length("height"), Setback: r.length("setback"), Offset: r.offset(), Step: r.stepLength(),
	}
	for _, p := range parts(r.text("layers")) { // "38 710 frame 120 later"
		words := strings.Fields(p)
		l := calc.Layer{Later: words[len(words)-1] == "later"}
		l.Thickness, _ = r.decimal(words[0])
		l.Density = calc.Density(row{r.T, map[string]string{"ρ": words[1]}, map[string]bool{}}.number("ρ"))
		if len(words) > 3 {
			l.Frame, _ = r.decimal(words[3])
		}
		in.Layers = append(in.Layers, l)
	}
	for _, p := range parts(r.text("cutouts")) {
		l := r.lengths(p, 4)
		in.Cutouts = append(in.Cutouts, calc.Cutout{X: l[0], Z: l[1], Width: l[2], Height: l[3]})
	}
	for _, p := range parts(r.text("parts")) { // "2.5 kg at 900 20"
		kg, place, _ := strings.Cut(p, " kg at ")
		l := r.lengths(place, 2)
		m := row{r.T, map[string]string{"m": kg}, map[string]bool{}}.number("m")
		in.Parts = append(in.Parts, calc.Part{Mass: calc.Mass(m), X: l[0], Y: l[1]})
	}
	return in
}

func leafMass(r row) (map[string]told, error) {
	m, err := calc.LeafMass(r.massInput())
	return map[string]told{"mass": figure(m.Mass), "hung": figure(m.Hung), "mass_per_area": figure(m.PerArea), "centre_x": dimension(m.CentreX),
		"centre_y": inMM(m.CentreY), "inertia": figure(m.Inertia), "thickness": inMM(m.Thickness)}, err
}

func weighed(r row) (map[string]told, error) {
	w, err := calc.TwoScales(calc.Mass(r.number("a")), calc.Mass(r.number("b")), r.length("span"), r.length("heel"), r.stepLength())
	return map[string]told{"mass": figure(w.Mass), "centre_x": dimension(w.CentreX)}, err
}

func bearing(r row) (map[string]told, error) {
	b, err := calc.FloorPressure(calc.Force(r.number("vertical")), r.length("length"), r.length("width"), calc.Megapascal*calc.Pressure(r.number("carries")))
	return map[string]told{"floor_pressure": {float64(b.Pressure.Exact / calc.Megapascal), float64(b.Pressure.Told / calc.Megapascal)},
		"compared": truth(b.Compared), "carries": truth(b.OK)}, err
}

func uniformInertia(r row) (map[string]told, error) {
	i, err := calc.UniformInertia(calc.Mass(r.number("mass")), r.length("width"), r.length("thickness"), r.length("setback"), r.length("offset"))
	return map[string]told{"inertia": figure(i)}, err
}

func pane(r row) (map[string]told, error) {
	m, err := calc.SheetMass(r.length("width"), r.length("height"), r.length("thickness"), calc.Density(r.number("density")))
	return map[string]told{"pane_mass": plain(m)}, err
}

func (r row) loadInput() calc.LoadInput {
	return calc.LoadInput{
		Mass: calc.Mass(r.number("mass")), Estimated: r.text("estimated") == "yes", Width: r.length("width"), Height: r.length("height"),
		Setback: r.length("setback"), CentreX: r.length("centre_x"), PivotHeight: r.length("pivot_height"), Wind: calc.Speed(r.number("wind")),
		Person: calc.Force(r.number("person")), Pressure: calc.Pressure(r.number("pressure")), HandleInset: r.length("handle_inset"), Pins: r.whole("pins"),
	}
}

func loads(r row) (map[string]told, error) {
	l, err := calc.Loads(r.loadInput())
	return map[string]told{"vertical": figure(l.Vertical), "horizontal": figure(l.Horizontal), "wind_force": figure(l.WindForce),
		"wind_moment": figure(l.WindMoment), "hold_force": figure(l.HoldForce), "pivot_horizontal": figure(l.PivotHorizontal),
		"pin_shear": figure(l.PinShear), "pressure_moment": figure(l.PressureMoment), "pressure_force": figure(l.PressureForce)}, err
}

func pressure(r row) (map[string]told, error) {
	m, f, err := calc.PressureDifference(calc.Pressure(r.number("pressure")), r.length("height"), r.length("width"), r.length("setback"), r.length("handle_inset"))
	return map[string]told{"pressure_moment": figure(m), "pressure_force": figure(f)}, err
}

func head(r row) (map[string]told, error) {
	h, err := calc.HeadEngagement(calc.HeadInput{Engagement: r.length("engagement"), Least: r.length("least"), GapTop: r.length("gap_top"), Deflection: r.length("deflection")})
	return map[string]told{"engagement_left": inMM(h.Engagement), "spare": inMM(h.Spare), "gap_left": inMM(h.GapTop)}, err
}

func lift(r row) (map[string]told, error) {
	way := map[string]calc.Handling{"": calc.StandingUp, "waist": calc.FromWaist, "stairs": calc.OnStairs}[r.text("way")]
	l, err := calc.HandLift(calc.HandlingInput{Mass: calc.Mass(r.number("mass")), Estimated: r.text("estimated") == "yes", Single: calc.Mass(r.number("single")), Way: way})
	return map[string]told{"people_needed": plain(l.People), "team_limit": plain(l.Limit), "single": plain(l.Single), "counted": plain(l.Counted),
		"two": plain(l.Limits[1]), "three": plain(l.Limits[2]), "share_each": figure(l.Share), "gear": figure(l.Gear)}, err
}

func standing(r row) (map[string]told, error) {
	d, err := calc.StandingHeight(r.length("height"), r.length("thickness"), r.stepLength())
	return map[string]told{"standing_height": dimension(d)}, err
}

func access(r row) (map[string]told, error) {
	a, err := calc.CheckAccess(r.length("width"), r.length("height"), r.length("thickness"), r.stepLength(), calc.Access{
		Room: r.length("room"), RouteHeight: r.length("route_height"), RouteWidth: r.length("route_width"), Corner: r.length("corner"),
		HoistHeight: r.length("hoist_height"), HoistDepth: r.length("hoist_depth"), HoistWidth: r.length("hoist_width"),
	})
	return map[string]told{"standing_height": dimension(a.StandingHeight), "room_spare": inMM(a.RoomSpare), "route": plain(a.Route),
		"corner": plain(a.Corner), "corner_length": inMM(a.CornerLength), "hoist": plain(a.Hoist)}, err
}

func rwl(r row) (map[string]told, error) {
	unit, kg := calc.Centimetre, calc.Mass(1)
	if r.text("inches") == "yes" {
		unit, kg = calc.Inch, calc.Pound
	}
	size := func(name string) calc.Length { return calc.MM(r.number(name) * unit.MM()) }
	w, err := calc.RecommendedWeight(calc.RWLInput{
		Load: calc.Mass(r.number("load")) * kg, Ahead: size("ahead"), Height: size("height"), Origin: size("origin"), Travel: size("travel"),
		Asymmetry: r.angle("asymmetry", 0), Often: calc.Frequency(r.number("often")), Inches: unit == calc.Inch,
		Duration: map[string]calc.LiftDuration{"short": calc.ShortLifting, "moderate": calc.ModerateLifting, "long": calc.LongLifting}[r.text("duration")],
		Coupling: map[string]calc.Coupling{"good": calc.GoodCoupling, "fair": calc.FairCoupling, "poor": calc.PoorCoupling}[r.text("coupling")],
	})
	return map[string]told{"rwl": {float64(w.Limit.Exact / kg), float64(w.Limit.Told)}, "lifting_index": figure(w.Index), "hm": plain(w.Horizontal),
		"vm": plain(w.Vertical), "dm": plain(w.Distance), "am": plain(w.Asymmetric), "fm": plain(w.Frequency), "cm": plain(w.Couples)}, err
}

func minutes(v float64) time.Duration {
	if v > -1e6 && v < 1e6 {
		return time.Duration(v * float64(time.Minute))
	}
	return -time.Minute
}

func often(r row) (map[string]told, error) {
	f, err := calc.LiftsAMinute(calc.Frequency(r.number("often")), minutes(r.number("minutes")))
	return map[string]told{"often": plain(f)}, err
}

func duration(r row) (map[string]told, error) {
	d, err := calc.DurationOfLifting(minutes(r.number("work")), minutes(r.number("recovery")))
	return map[string]told{"duration": plain(d)}, err
}

func closer(r row) (map[string]told, error) {
	c, err := calc.SizeForCloser(r.length("width"), calc.Mass(r.number("mass")), r.text("estimated") == "yes")
	return map[string]told{"size": plain(c.Size), "opening_max": plain(c.OpeningMax), "closing_min": plain(c.ClosingMin)}, err
}

func lever(r row) (map[string]told, error) {
	f, err := calc.LeverForce(calc.Torque(r.number("moment")), r.length("width"), r.length("setback"), r.length("handle_inset"))
	return map[string]told{"lever_force": figure(f)}, err
}

func closing(r row) (map[string]told, error) {
	c, err := calc.Closes(calc.ClosingInput{Inertia: calc.Inertia(r.number("inertia")), Time: calc.Seconds(r.number("time")), Fastest: calc.Seconds(r.number("fastest"))})
	return map[string]told{"closing_energy": figure(c.Energy), "time_min": figure(c.TimeMin), "mean_energy": figure(c.MeanEnergy),
		"mean_time_min": figure(c.MeanTimeMin), "fastest_min": figure(c.FastestMin), "ok": truth(c.OK), "in_time": truth(c.InTime)}, err
}

func life(r row) (map[string]told, error) {
	l, err := calc.LifeOf(calc.Number(r.number("cycles")), calc.Number(r.number("done")), calc.Number(r.number("per_day")))
	return map[string]told{"years": plain(l.Years), "days": plain(l.Days), "cycles": plain(l.Cycles)}, err
}

func sun(r row) (map[string]told, error) {
	s, err := calc.SunOn(calc.SunInput{Expansion: calc.Expansion(r.number("expansion") / 1e6), Width: r.length("width"), Height: r.length("height"),
		Thickness: r.length("thickness"), Through: calc.Kelvin(r.number("through")), Warmer: calc.Kelvin(r.number("warmer")), Step: r.stepLength()})
	return map[string]told{"bow": dimension(s.Bow), "bow_across": dimension(s.BowAcross), "growth": dimension(s.Growth), "growth_height": dimension(s.GrowthHeight)}, err
}

func warming(r row) (map[string]told, error) {
	through, warmer, err := calc.Warming(calc.Temperature(r.number("outer")), calc.Temperature(r.number("inner")), calc.Temperature(r.number("set")))
	return map[string]told{"through": plain(through), "warmer": plain(warmer)}, err
}

func facade(r row) (map[string]told, error) {
	face := map[string]calc.Colour{"bright": calc.BrightFace, "light": calc.LightFace, "dark": calc.DarkFace}[r.text("colour")]
	t, err := calc.FacadeTemperature(calc.Temperature(r.number("air")), face, r.text("side") == "north-east")
	return map[string]told{"temperature": plain(t)}, err
}

func moisture(r row) (map[string]told, error) {
	w := calc.Strip{Width: r.length("across"), Swelling: calc.Swelling(r.number("swelling"))}
	strips := []calc.Strip{w}
	if r.text("parts") == "two" {
		strips = append(strips, w)
	}
	if w == (calc.Strip{}) {
		strips = nil
	}
	m, err := calc.MoistureMovement(strips, calc.Percent(r.number("change")), r.length("clearance"), r.stepLength())
	return map[string]told{"movement": dimension(m.Movement), "spare": inMM(m.Spare)}, err
}

func wood(r row) (map[string]told, error) {
	m, err := calc.WoodMoisture(calc.Temperature(r.number("temperature")), calc.Percent(r.number("humidity")))
	return map[string]told{"moisture": plain(m)}, err
}

func heated(r row) (map[string]told, error) {
	h, err := calc.HeatedHumidity(calc.Temperature(r.number("outdoors")), calc.Percent(r.number("humidity")), calc.Temperature(r.number("room")))
	return map[string]told{"humidity": plain(h)}, err
}

func screed(r row) (map[string]told, error) {
	kind := map[string]calc.ScreedKind{"cement": calc.CementScreed, "sulphate": calc.CalciumSulphateScreed}[r.text("kind")]
	s, err := calc.ScreedReady(calc.ScreedInput{Kind: kind, Thickness: r.length("thickness"), Heated: r.text("heated") == "yes",
		NewerLimit: r.text("newer") == "yes", Read: r.text("reading") != "", Reading: calc.Percent(r.number("reading"))})
	return map[string]told{"days": plain(s.Days), "heating_days": plain(s.HeatingDays), "limit": plain(s.Limit), "ready": truth(s.Ready)}, err
}

func tape(r row) (map[string]told, error) {
	class := map[string]calc.TapeClass{"": calc.UnsaidClass, "I": calc.ClassI, "II": calc.ClassII, "III": calc.ClassIII}[r.text("class")]
	t, err := calc.Tape(r.length("reading"), calc.Temperature(r.number("temperature")), calc.Expansion(r.number("expansion")/1e6), class)
	return map[string]told{"length": inMM(t.Length), "correction": inMM(t.Correction), "uncertainty": inMM(t.Uncertainty)}, err
}

func reading(r row) (map[string]told, error) {
	l, err := calc.TapeReading(r.length("length"), calc.Temperature(r.number("temperature")), calc.Expansion(r.number("expansion")/1e6))
	return map[string]told{"reading": inMM(l)}, err
}

func square(r row) (map[string]told, error) {
	s, err := calc.OutOfSquare(r.length("diagonal_1"), r.length("diagonal_2"), r.length("width"), r.length("height"))
	return map[string]told{"out_of_square": plain(s.Slope), "corner": plain(s.Corner), "over": inMM(s.Over)}, err
}

func turning(t calc.Turning) map[string]told {
	return map[string]told{"turns": plain(t.Turns), "flats": plain(t.Flats), "degrees": plain(t.Degrees), "travel": inMM(t.Travel)}
}

func (r row) pitch() calc.Length {
	if t, ok := calc.ThreadNamed(r.text("thread")); ok {
		return t.Pitch
	}
	return r.length("pitch")
}

func turns(r row) (map[string]told, error) {
	t, err := calc.TurnsFor(r.length("travel"), r.pitch())
	return turning(t), err
}

func travel(r row) (map[string]told, error) {
	t, err := calc.TravelOf(calc.Number(r.number("turns")), r.pitch())
	return turning(t), err
}

func openingNeeded(r row) (map[string]told, error) {
	in := calc.ClearInput{Turn: r.turn(), GapHeel: r.length("gap"), GapLead: r.length("gap"), StopWidth: r.length("stop_width"), Handle: r.length("handle"), Step: r.stepLength()}
	d, _, err := calc.OpeningNeeded(in, r.length("clear_width"))
	return map[string]told{"opening_needed": dimension(d)}, err
}

func leafOpening(r row) (map[string]told, error) {
	w, err := calc.OpeningFor(r.length("width"), r.length("gap"), r.length("gap"), r.stepLength())
	if err != nil {
		return nil, err
	}
	h, err := calc.HeightFor(r.length("height"), r.length("gap_top"), r.length("gap_bottom"), r.length("finish"), r.stepLength())
	return map[string]told{"opening_needed": dimension(w), "height_needed": dimension(h)}, err
}

func depthReached(r row) (map[string]told, error) {
	d, err := calc.DepthReached(r.length("mark"), r.length("template"), r.length("covering"), r.stepLength())
	return map[string]told{"depth_reached": dimension(d)}, err
}

func gapFits(r row) (map[string]told, error) {
	f, err := calc.GapFits(r.turn(), r.length("gap"), r.length("clearance"))
	return map[string]told{"fits": truth(f.Fits), "spare": inMM(f.Spare)}, err
}
