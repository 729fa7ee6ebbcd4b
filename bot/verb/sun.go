package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askSun = &ask.Verb{
	Name: "sun", Summary: "how far a leaf bows and grows in the sun",
	AskedBy: []string{"how much", "how far"},
	Words: []string{"sun", "bow", "bow with", "bend", "how much bows", "how much will leaf bow", "how far does leaf bow", "how far will leaf bow", "how much bow", "how much will it bend", "how much does it bend", "how far does it bend", "how much will door bow", "how much does door bow", "bow in the sun", "bend in sun", "how much does it warp", "how much will it warp", "sun bow", "sunshine", "bow in sun", "how far does it bow", "how much does it bow", "how far will it bow", "how much will it bow", "how much does leaf bow",
		"{how far|how much} {does|will|would|can|could|might} {it|leaf|door|that|panel|} {bend|bow|warp|curve|belly|distort} {|in sun|out|then}", "{how far|how much} out {does|will|would} {it|leaf|door} {bend|bow|warp}", "{what|how much|how big} {bow|bend|bending|warp|curve|bowing} {|is|does|will|do|should} {it|leaf|door|i|we|} {get|have|expect|be|}", "bow {leaf|door}", "bowing", "warping",
	},
	Everyday: []string{"sun", "sunshine"},
	Need:     []*ask.Input{width, height, thickness, faces},
	Takes:    []*ask.Input{width, height, thickness, faces, through, outer, inner, setAt, hottest, colour, facing, step},
	Box:      []*ask.Input{width, height, thickness},
	Example:  "sun on a leaf 1050x2350x44 with aluminium faces, outer 62 °C, inner 28 °C, set temperature 14 °C", Exact: "sun width=1050 height=2350 thickness=44 aluminium faces outer=62 °C inner=28 °C set_at=14 °C",
	Answer: answerSun,
}

var faces = &ask.Input{Name: "faces", Kind: ask.ChoiceKind, What: "what the faces are made of, as aluminium, steel, stainless steel, glass, brass, acrylic, concrete, or wood along the grain", Example: "aluminium faces",
	Choices: func() []ask.Choice {
		var all []ask.Choice
		for _, e := range calc.Expansions {
			name := e.Name
			if name == "wood along the grain" {
				name = "wooden"
			}
			all = append(all, ask.Choice{Words: fronted(fronted(called(name), " "), "faces", "face", "skins", "skin", "leaf", "cladding", "faced", "clad", "skinned", "door", "panel", "sheets", "faced door", "faced leaf", "skinned door", "skinned leaf", "clad door", "clad leaf"), Value: e.Name})
		}
		return all
	}()}

var through = &ask.Input{Name: "through", Kind: ask.KelvinKind, Signed: true, What: "how much warmer the outer face is than the inner", Example: "30 K",
	Words: []string{"difference", "temperature difference"}}

// A dark face in the sun gets no hotter than warmestFace, by common practice, no
// published source; what is warmer without a unit is asked about.
const warmestFace = 90

var outer = &ask.Input{Name: "outer", Warmest: warmestFace, Kind: ask.WarmthKind, ByName: true, Zero: true, What: "temperature of the outer face", Example: "outer 62 °C",
	Words: []string{"outer", "outside", "outer face", "{outer|outside|outdoor|sunny|exterior|hot|hotter|front|sun|street} {face|side|skin|surface} {is|}", "{outer|outside} {is|at|}"}}

var inner = &ask.Input{Name: "inner", Warmest: warmestAir, Kind: ask.WarmthKind, ByName: true, Zero: true, What: "temperature of the inner face", Example: "inner 28 °C",
	Words: []string{"inner", "inside", "inner face", "{inner|inside|indoor|room|interior|cold|cooler|back|shady|shaded} {face|side|skin|surface} {is|}", "{inner|inside} {is|at|}"}}

var setAt = &ask.Input{Name: "set_at", Warmest: warmestAir, Kind: ask.WarmthKind, ByName: true, Zero: true, What: "temperature of the leaf when its gaps were set", Example: "set temperature 14 °C",
	Words: []string{"set temperature", "{set|hung|gaps set|gaps were set|fitted|installed} at …", "{when hung|when set|when fitted} …"}}

var hottest = &ask.Input{Name: "hottest", Warmest: warmestAir, Kind: ask.WarmthKind, ByName: true, What: "the highest air temperature of the place", Example: "hottest 34 °C",
	Words: []string{"hottest …", "hottest air …", "air …"}}

var colour = &ask.Input{Name: "colour", Kind: ask.ChoiceKind, What: "of the outer face: bright, light or dark", Example: "dark",
	Choices: []ask.Choice{
		{Words: []string{"bright"}, Value: "bright"},
		{Words: []string{"light", "light coloured"}, Value: "light"},
		{Words: []string{"dark", "dark coloured"}, Value: "dark"},
	}}

var facing = &ask.Input{Name: "facing", Kind: ask.ChoiceKind, What: "where the outer face looks: south west or north east", Example: "north east",
	Choices: []ask.Choice{
		{Words: []string{"south west", "southwest", "south facing", "facing south", "west facing", "facing west", "facing south west", "south", "west"}, Value: "south_west"},
		{Words: []string{"north east", "northeast", "north facing", "facing north", "east facing", "facing east", "north", "east", "facing north east"}, Value: "north_east"},
	}}

func answerSun(k *ask.Inquiry) {
	in := calc.SunInput{Width: k.Length(width)}
	ownHeight(k)
	in.Height, in.Thickness = k.Length(height), k.Length(thickness)
	name := k.Word(faces)
	for _, e := range calc.Expansions {
		if e.Name == name {
			in.Expansion = e.Expansion
			k.Source("expansion %s: %s, from memory", e.Expansion, e.Source)
		}
	}
	grows, ok := warmed(k, &in)
	if !ok {
		return
	}
	in.Step = k.Step(step)
	s, err := calc.SunOn(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("bow", s.Bow)
	k.Result("bow_across", s.BowAcross)
	k.Working("bow: %s × %s × %s² / (8 × %s) = %s; across the width %s", in.Expansion, in.Through, k.Figure(in.Height), k.Figure(in.Thickness), k.SetOut(s.Bow), k.SetOut(s.BowAcross))
	if grows {
		k.Result("growth", s.Growth)
		k.Result("growth_height", s.GrowthHeight)
		k.Working("growth: %s × %s × %s = %s of the width, %s of the height", in.Expansion, in.Warmer, k.Figure(in.Width), k.Show(s.Growth.SetOut), k.Show(s.GrowthHeight.SetOut))
	} else {
		k.Note("give the faces' temperatures and what the gaps were set at for how far it grows")
	}
	k.Note("towards the warm face; a lock in the middle of the leaf holds it back, and pulls")
	k.Source("bow: the sagitta of an arc whose faces differ in length: plane geometry")
	k.General("sun", "it is for a leaf of one material that is free to bend; leave the gaps for it, and ask whoever made the leaf. The hardware maker's instructions come first")
}

// warmed takes how warm the leaf gets, and reports whether its growth can be
// told; ok is false if more is asked for.
func warmed(k *ask.Inquiry, in *calc.SunInput) (grows, ok bool) {
	if k.Q.Named(through) != nil {
		in.Through = calc.Kelvin(k.Number(through))
		return false, true
	}
	if k.Q.Named(outer) == nil && k.Q.Named(hottest) == nil {
		k.Ask(say.F("or the hottest air and the colour of the face, or the difference through the thickness, as 30 K"), outer)
		return false, false
	}
	if need := k.Missing(inner); len(need) > 0 {
		k.Ask(say.Text{}, need...)
		return false, false
	}
	warm := calc.Temperature(k.Number(outer))
	if k.Q.Named(outer) == nil {
		var err error
		if warm, err = facade(k); err != nil {
			k.Refuse(err)
			return false, false
		}
	}
	cold, set := calc.Temperature(k.Number(inner)), calc.Temperature(k.Number(setAt))
	grows = k.Q.Named(setAt) != nil
	if !grows {
		set = cold // no growth is told
	}
	var err error
	if in.Through, in.Warmer, err = calc.Warming(warm, cold, set); err != nil {
		k.Refuse(err)
		return false, false
	}
	if grows {
		k.Working("through the thickness %s − %s = %s; on the mean %s warmer than when set", warm, cold, in.Through, in.Warmer)
	} else {
		k.Working("through the thickness %s − %s = %s", warm, cold, in.Through)
	}
	return grows, true
}

// facade takes the outer face's temperature from the air's.
func facade(k *ask.Inquiry) (calc.Temperature, error) {
	air := calc.Temperature(k.Number(hottest))
	dark := calc.DarkFace
	switch k.Word(colour) {
	case "bright":
		dark = calc.BrightFace
	case "light":
		dark = calc.LightFace
	case "":
		k.AssumeWord(colour, "dark", "a dark face")
	}
	side := k.Word(facing)
	if side == "" {
		k.AssumeWord(facing, "south_west", "facing south-west")
	}
	warm, err := calc.FacadeTemperature(air, dark, side == "north_east")
	k.Working("outer face: %s of air and what the sun adds: %s", air, warm)
	k.Source("what the sun adds: EN 1991-1-5:2003, table 5.2, from memory")
	return warm, err
}
