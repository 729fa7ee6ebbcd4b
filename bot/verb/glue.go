package verb

import (
	"math"
	"regexp"
	"slices"
	"strconv"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askGlue = &ask.Verb{
	Name: "glue", Summary: "how much adhesive pins and plates take, at one door or all, and how many cartridges",
	AskedBy: []string{"how much", "how many"},
	Words: []string{"glue", "cartridges for", "how much adhesive do i need", "how much resin do i need", "how much glue do i need", "adhesive for", "resin needed", "resin for", "how much resin", "resin needed for", "adhesive needed", "adhesive needed for", "how much mortar", "glue all", "how much glue", "how much adhesive", "how many cartridges", "glue volume", "adhesive volume",
		"{how much|how many|what} {glue|adhesive|resin|mortar|epoxy|anchor resin|injection mortar|anchor adhesive} {do|does|will|would|is|are|for|goes|to|must|} {i|we|you|it|that|they|needed|fill|} {need|take|use|want|order|buy|get|needed|}",
		"how many {cartridges|tubes resin|tubes glue|tubes adhesive|tins|tubes mortar} {do|does|will|would|for|must|} {i|we|you|it|that|} {need|take|use|want|order|buy|}",
	},
	Things: []string{"glue"}, Everyday: []string{"glue"},
	Also:  map[string]*ask.Input{"pins …": pinDiameter, "going in …": pinDepth, "goes in …": pinDepth, "go in …": pinDepth, "pins go in …": pinDepth, "set in …": pinDepth, "… embedded": pinDepth, "drill …": bit, "drill bit …": bit, "… doors": doors, "plate": plateLength, "floor plate": plateLength},
	Leads: map[string]*ask.Input{"how many cartridges": cartridge},
	Takes: []*ask.Input{holes, bit, depth, pinDiameter, pinDepth, point, film, plateLength, plateWidth, waste, nozzles, nozzleLoss, cartridge, doors, allDoors, eachEnd},
	Lots:  doors, Shared: []*ask.Input{cartridge, waste, nozzles, nozzleLoss, point}, Typed: bit,
	Example: "how much glue for 2 holes, bit 11, 38 deep, pin diameter 9, pin depth 33, cartridge 280 ml", Exact: "glue holes=2 bit=11 depth=38 pin_diameter=9 pin_depth=33 point=118 waste=10 % cartridge=280 ml",
	Answer: answerGlue, Refuses: noPin,
}

var (
	holes       = &ask.Input{Name: "holes", Kind: ask.CountKind, ByName: true, What: "how many holes are filled at a door", Example: "2 holes", Words: []string{"holes"}}
	pinDiameter = &ask.Input{Name: "pin_diameter", Along: thick, Zero: true, What: "diameter of the pin in the hole", Example: "pin diameter 9", Words: []string{"pin diameter", "pin dia", "diameter pin", "pin …"}, Group: []*ask.Input{pinDepth}}
	pinDepth    = &ask.Input{Name: "pin_depth", Along: deep, Zero: true, What: "how deep the pin goes into the hole", Example: "pin depth 33", Words: []string{"pin depth", "pin deep", "pin length", "… into hole"}}
	film        = &ask.Input{Name: "film", Along: thick, Zero: true, What: "thickness of the adhesive under the plate", Example: "film 1.5", Words: []string{"film", "film thickness", "bed", "… film", "under plate"}}
	waste       = &ask.Input{Name: "waste", Kind: ask.PercentKind, ByName: true, Zero: true, What: "what is lost of what is filled in", Example: "waste 15 %", Words: []string{"waste", "wasted", "loss"}}
	nozzles     = &ask.Input{Name: "nozzles", Kind: ask.CountKind, ByName: true, Zero: true, What: "how many mixing nozzles are used up at a door", Example: "2 nozzles", Words: []string{"nozzles", "nozzle count"}}
	nozzleLoss  = &ask.Input{Name: "nozzle_loss", Kind: ask.VolumeKind, ByName: true, Zero: true, What: "what stays in a mixing nozzle", Example: "nozzle loss 8 ml", Words: []string{"nozzle loss", "a nozzle", "nozzle holds …", "nozzle …"}}
	cartridge   = &ask.Input{Name: "cartridge", Kind: ask.VolumeKind, ByName: true, What: "what a cartridge gives", Example: "cartridge 280 ml", Words: []string{"cartridge", "cartridges"}}
	doors       = &ask.Input{Name: "doors", Kind: ask.CountKind, ByName: true, What: "how many doors are glued alike", Example: "3 doors", Loose: []string{"doors"}}
)

// Values of glue that are assumed unless said: common practice, no published
// source.
const (
	assumedWaste      = 10
	assumedPoint      = 118 // the point of a common drill
	assumedNozzleLoss = 10
	mostNamed         = 6 // doors beside the result
)

func answerGlue(k *ask.Inquiry) {
	in, ids := calc.GlueInput{}, []string(nil)
	if k.Others != nil && !slices.ContainsFunc([]*ask.Input{holes, bit, depth, pinDiameter, pinDepth, point, plateLength, plateWidth, doors}, func(in *ask.Input) bool { return k.Q.Named(in) != nil }) {
		ids = glueAll(k, &in)
	}
	if !k.A.OK() {
		return
	}
	if len(ids) == 0 && !takeLots(k, &in) {
		return
	}
	in.Cartridge = calc.Volume(k.Number(cartridge))
	in.Waste = calc.Percent(k.NumberOr(waste, assumedWaste, "waste %s", calc.Percent(assumedWaste)))
	if len(ids) > 0 {
		n, ok := takeCount(k, nozzles)
		if !ok {
			return
		}
		for i := range in.Doors {
			in.Doors[i].Nozzles = n
		}
	}
	if slices.ContainsFunc(in.Doors, func(d calc.GlueDoor) bool { return d.Nozzles > 0 }) || k.Has(nozzleLoss) {
		for i := range in.Doors {
			in.Doors[i].Nozzles = max(in.Doors[i].Nozzles, 1)
		}
		in.PerNozzle = calc.Volume(k.NumberOr(nozzleLoss, assumedNozzleLoss, "%s stay in a nozzle", calc.Volume(assumedNozzleLoss)))
	}
	g, err := calc.GlueFor(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	tellGlue(k, &in, &g, ids)
}

// inAll matches what stands behind a count that is of all doors.
var inAll = regexp.MustCompile(`(?i)^ ?(?:holes?,? )?(?:in all|in total|altogether|all together|together|overall|total)\b`)

// takeLots takes the doors that were typed, those of each lot alike; false if more
// is asked for.
func takeLots(k *ask.Inquiry, in *calc.GlueInput) bool {
	if k.Q.Named(allDoors) != nil || k.SaysAll() && len(k.Q.Values) == 0 {
		k.Fail("nothing is still to be bonded at the doors in work here")
		return false
	}
	lots := k.Lots
	if len(lots) == 0 {
		lots = []*ask.Inquiry{k}
	}
	for _, l := range lots {
		n, ok := takeCount(l, doors)
		if !ok {
			return false
		}
		if n > 1 && inAll.MatchString(l.TextBehind(holes)) {
			k.Fail("are %s the holes of each door, or of all %s doors together? say how many each door has", l.Number(holes), n)
			return false
		}
		if need := l.Missing(holes, bit, depth, pinDiameter, pinDepth); len(lots) > 1 && len(need) > 0 && l.Q.Named(film) == nil {
			k.Fail("the %s doors need the %s, too: ask the whole anew, as in %s", n, need[0].Said(), "glue 3 doors 2 holes 12 mm 40 deep pin 10 x 35; 2 doors 4 holes 14 mm 50 deep pin 12 x 45")
			return false
		}
		d := calc.GlueDoor{}
		if !takeHoles(l, &d) || !takeFilm(l, &d) {
			return false
		}
		if d.Holes == 0 && d.FilmThickness == 0 {
			k.Ask(say.F("or the film under the plate, as film 1.5, plate length 120, plate width 60"), holes, bit, depth)
			return false
		}
		if d.Nozzles, ok = takeCount(l, nozzles); !ok {
			return false
		}
		d.Count = n
		in.Doors = append(in.Doors, d)
	}
	return true
}

// glueAll takes what all doors in work at the site have still to be bonded, or in a
// door's thread that door, and the film under their plates, if its thickness is
// said; it returns their ids.
func glueAll(k *ask.Inquiry, in *calc.GlueInput) (ids []string) {
	thick := calc.Length(0)
	if k.Q.Named(film) != nil {
		thick = k.Length(film)
	}
	var unknown, done []string
	for _, d := range k.SiteDoors(allDoors) {
		switch {
		case !d.Why.IsZero():
			unknown = append(unknown, d.ID)
		case d.Glue == nil:
			done = append(done, d.ID)
		case thick == 0 && d.Glue.Holes == 0:
			unknown = append(unknown, d.ID)
		default:
			g := *d.Glue
			g.FilmThickness = thick
			in.Doors = append(in.Doors, g)
			ids = append(ids, d.ID)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	if k.OwnDoor(allDoors) == "" {
		k.Word(allDoors)
	}
	k.Suppose("pins and plates as the doors' sheets have them", "pins and plates by the sheets")
	if thick == 0 {
		k.Mention("the film under the plates is not in it: say film 1.5")
	}
	if len(unknown) > 0 {
		k.Mention("not in it, as what they take is not known yet: %s", say.Names(", ", unknown...))
	}
	if len(done) > 0 {
		k.Note("bonded already, or nothing to bond: %s", say.Names(", ", done...))
	}
	return ids
}

// takeCount takes a whole number; false if it is none.
func takeCount(k *ask.Inquiry, in *ask.Input) (int, bool) {
	n := k.Number(in)
	if n != math.Trunc(n) || n < 0 {
		k.Fail("%s come in whole numbers, not %s", in.Said(), calc.Number(n))
		return 0, false
	}
	return int(n), true
}

// takeHoles takes the holes and the pins in them; false if more is asked for.
func takeHoles(k *ask.Inquiry, d *calc.GlueDoor) (ok bool) {
	if d.Holes, ok = takeCount(k, holes); !ok {
		return false
	}
	if wide := k.Q.Named(bit); wide != nil && k.Q.Named(depth) != nil && wide.Num.Length > k.Q.Named(depth).Num.Length {
		k.Fail("a hole %s wide and %s deep: is that the right way round? say bit and hole depth", k.Show(wide.Num.Length), k.Show(k.Q.Named(depth).Num.Length))
		return false
	}
	d.Hole, d.HoleDepth, d.Pin, d.PinDepth = k.Length(bit), k.Length(depth), k.Length(pinDiameter), k.Length(pinDepth)
	ofDoor := k.Has(holes) && k.Q.Named(plateLength) == nil && k.Q.Named(plateWidth) == nil // else another plate is asked about
	given := ofDoor || k.Q.Named(holes) != nil || k.Q.Named(bit) != nil || k.Q.Named(depth) != nil || k.Q.Named(pinDiameter) != nil
	if need := k.Missing(holes, bit, depth, pinDiameter, pinDepth); given && len(need) > 0 {
		k.Ask(say.F("a hole takes what the pin leaves; for a hole without a pin say pin diameter 0, pin depth 0"), need...)
		return false
	}
	if given {
		d.Point = k.AngleOr(point, assumedPoint, "drill point %s", "118°")
	} else {
		d.Holes = 0
	}
	return true
}

// takeFilm takes the film under the plate; false if more is asked for.
func takeFilm(k *ask.Inquiry, d *calc.GlueDoor) bool {
	if k.Q.Named(film) == nil {
		return true
	}
	d.FilmThickness = k.Length(film)
	if need := k.Missing(plateLength, plateWidth); len(need) > 0 {
		k.Ask(say.F("the film is under the whole plate"), need...)
		return false
	}
	d.FilmArea = calc.Area(k.Length(plateLength).MM() * k.Length(plateWidth).MM())
	return true
}

// tellGlue tells how much adhesive it is; of doors with ids, door by door.
func tellGlue(k *ask.Inquiry, in *calc.GlueInput, g *calc.Glue, ids []string) {
	ask.AddFigure(k, "total_ml", g.Total, "ml")
	ask.AddFigure(k, "hole_volume", g.Holes, "ml")
	if g.Holes.Exact == 0 {
		k.HideLast()
	}
	ask.AddFigure(k, "film_volume", g.Film, "ml")
	if g.Film.Exact == 0 {
		k.HideLast()
	}
	if len(ids) > 0 && len(ids) <= mostNamed {
		k.Beside("for %s", say.Names(", ", ids...))
	} else if len(ids) > 0 {
		k.Beside("for %s doors", len(ids))
		k.Mention("they are %s", say.Names(", ", ids...))
	}
	k.Headline("%s of adhesive", g.Total.Told)
	if g.Cartridges > 0 {
		k.NumberResult("cartridges", float64(g.Cartridges), float64(g.Cartridges), "", calc.Number(g.Cartridges).String())
		k.Headline("%s of adhesive: %s", g.Total.Told, say.Count(g.Cartridges, "1 cartridge", "%s cartridges"))
	} else {
		k.Note("give what a cartridge holds for how many to bring")
	}
	for i, id := range ids {
		k.Working("%s: %s, %s with its waste", id, say.Count(in.Doors[i].Holes, "1 hole", "%s holes"), g.Doors[i].Told)
	}
	if len(ids) == 0 {
		workLots(k, in, g)
	}
	if in.PerNozzle > 0 {
		k.Working("with %s waste, and %s in each nozzle: %s", in.Waste, in.PerNozzle, g.Total.Told)
	} else {
		k.Working("with %s waste: %s", in.Waste, g.Total.Told)
		k.Note("what stays in the mixing nozzles is not in it: say nozzles 2, nozzle loss 8 ml")
	}
	k.Source("rings, cylinders and cones: solid geometry; the point's length (D/2)/tan(angle/2)")
	k.General("glue", "open no cartridge that is past its date, press out the first strokes as its sheet says, and have one to spare; gloves, goggles and air: the adhesive maker's sheets come first")
}

// workLots tells how the holes and the film of doors are worked out, and where
// there are several lots what each takes.
func workLots(k *ask.Inquiry, in *calc.GlueInput, g *calc.Glue) {
	if d := &in.Doors[0]; len(in.Doors) == 1 {
		if d.Holes > 0 {
			k.Working("a hole: round the pin π/4 × (%s² − %s²) × %s, under it π/4 × %s² × %s, and the drill's point; %s in all the holes", k.Figure(d.Hole), k.Figure(d.Pin), k.Figure(d.PinDepth), k.Figure(d.Hole), k.Figure(d.HoleDepth-d.PinDepth), g.Holes.Told)
		}
		if d.FilmThickness > 0 {
			k.Working("under the plate: %s × %s = %s", d.FilmArea, k.Show(d.FilmThickness), g.Film.Told)
		}
		return
	}
	for i := range in.Doors {
		d := &in.Doors[i]
		if d.Holes > 0 {
			k.Working("a hole: round the pin π/4 × (%s² − %s²) × %s, under it π/4 × %s² × %s, and the drill's point", k.Figure(d.Hole), k.Figure(d.Pin), k.Figure(d.PinDepth), k.Figure(d.Hole), k.Figure(d.HoleDepth-d.PinDepth))
		}
		if d.FilmThickness > 0 {
			k.Working("under the plate: %s × %s", d.FilmArea, k.Show(d.FilmThickness))
		}
		k.Working("%s, %s at each: %s with its waste", say.Count(max(d.Count, 1), "1 door", "%s doors"), say.Count(d.Holes, "1 hole", "%s holes"), g.Doors[i].Told)
		ask.AddFigure(k, "total_ml_"+strconv.Itoa(i+1), g.Doors[i], "ml")
		k.HideLast()
	}
	k.A.Steps = k.A.Working
}
