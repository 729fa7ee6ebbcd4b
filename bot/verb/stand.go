package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askStand = &ask.Verb{
	Name: "stand", Summary: "how far a leaf stood on its bottom edge may lean, which gust tips it, and what holds it",
	Words: []string{"stand", "what wind can standing leaf take", "what wind can it take", "how much wind tips", "how much wind can it take", "at what wind does it fall", "at what wind does it tip", "at what wind does it fall over", "when does it fall over", "blow over", "blows over", "blow it over", "fall over", "falls over", "will it fall over", "how far can it lean before it goes", "how far can it lean before it falls", "before it goes over", "wind to tip it", "what wind does it take", "how strong wind", "stands", "standing", "stand up", "standing up", "how far can leaf lean before it tips", "how far can it lean before it tips", "how far can it lean", "before it tips", "what wind tips", "what gust tips", "which wind tips", "which gust tips", "how far can leaf lean", "how far can door lean", "tipping", "tip over", "tipping wind", "prop force", "propping", "stood on edge", "what wind knocks it over", "which wind knocks it over", "what gust knocks it over", "what wind blows it over", "what wind tips it", "what wind tips it over", "which wind tips it", "what gust tips it", "what gust tips it over", "which gust tips it", "what gust does it tip", "what wind does it tip", "which gust does it tip", "which wind does it tip", "does it tip", "will it tip", "when does it tip", "when does it tip over", "does it tip over", "will it tip over",
		"{what|which|how much|how strong|how strong a|how big|what sort of} {wind|gust|breeze|blow|wind speed} {tips|topples|knocks|blows|pushes|brings|takes|floors|does|will|would|can} {|it|leaf|door|them} {over|down|tip|take|stand|topple|fall|}",
		"{what|which|how much|how strong} {wind|gust|breeze} {does|do|would|will|must|} {it|leaf|door|} {take|need} to {topple|tip|floor|knock over|blow over|push over|bring down|knock down} {|it|leaf|door}",
		"{how hard|how strongly} {does|must|has|would|can|do} {wind|it|gust|to wind|to it} {have|need|} {to|} {blow|push|} {to|before} {topple|tip|floor|knock over|blow over|knock down|push over|it falls|it tips|it goes|it topples} {|over|it|leaf|door}",
		"{how far|what angle|which angle|how much} {can|may|could|will|does|must|should} {it|leaf|door|one|that|this} {lean|tilt|be leaned|be tilted|go} {before|until|till|til} {it|leaf|door|that} {goes|falls|tips|topples|drops} {|over}",
		"{how far|how much|what angle|which angle} {can|may|could|does|must} {it|leaf|door|that} {lean|tilt|be leaned|be tilted}",
		"at {what|which} {lean|angle|tilt|wind|gust|wind speed|slope} {does|will|would|is} {it|leaf|door|that} {topple|tip|fall|go|drop} {|over}",
		"{force|load|thrust|push} {in|on|at|of} {prop|brace|strut}", "{what|how much} {does|must|will|would|has} {prop|brace|strut} {take|carry|hold|need|to take|to carry|to hold}", "{prop|brace|strut} {force|load}",
		"{when|does|will|would} {it|leaf|door|that} {topple|tip|fall|blow} {over|}",
	},
	Need:  []*ask.Input{mass, width, height, thickness},
	Takes: []*ask.Input{mass, estimated, width, height, thickness, leafLean, propHeight, wind},
	Box:   []*ask.Input{width, height, thickness},

	Things:   []string{"stands", "standing", "standing up", "stood on edge"},
	Everyday: []string{"stand", "stands", "standing", "tipping"},
	Example:  "stand 1000 wide, 2300 high, 48 thick, 76 kg", Exact: "stand mass=76 kg width=1000 height=2300 thickness=48 leaf_lean=8 prop_height=1500",
	Answer: answerStand,
}

var leafLean = &ask.Input{Name: "leaf_lean", Kind: ask.AngleKind, ByName: true, What: "how far the leaf leans from the plumb line, towards the prop", Example: "leaning 8°",
	Words: []string{"lean …", "leans …", "leaning …", "leaf lean …", "leaned …", "leans at …", "leaning at …", "leaned at …", "tilted …", "at lean …", "… off plumb", "… off upright", "… lean"}}

var propHeight = &ask.Input{Name: "prop_height", ByName: true, What: "height above the floor at which the prop holds the leaf", Example: "prop at 1500",
	Words: []string{"prop height …", "prop at …", "propped at …", "prop …", "prop holds it at …", "prop holds at …", "prop is at …", "prop sits at …", "prop touches at …", "propped up at …", "brace at …", "strut at …", "prop holds leaf at …", "prop meets it at …", "prop meets leaf at …"}}

func answerStand(k *ask.Inquiry) {
	leaf := calc.StandingLeaf{Mass: calc.Mass(k.Number(mass)), Estimated: k.Has(estimated), Width: k.Length(width), Thickness: k.Length(thickness)}
	if leaf.Estimated {
		k.Word(estimated)
	}
	ownHeight(k)
	leaf.Height = k.Length(height)
	angle, err := calc.TipAngle(leaf.Height, leaf.Thickness)
	if err != nil {
		k.Refuse(err)
		return
	}
	gust, err := calc.TipWind(leaf)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Degrees("tip_angle", angle.Told, angle.Exact)
	ask.AddFigure(k, "tip_wind", gust, "m/s")
	k.Working("atan(%s/%s) = %s", k.Figure(leaf.Thickness), k.Figure(leaf.Height), angle.Told)
	k.Working("gust: √(%s × 9.80665 m/s² × %s / (0.625 kg/m³ × %s × %s × (%s)²)) = %s",
		leaf.Mass.Helping(leaf.Estimated), k.Show(leaf.Thickness), calc.PlateForce, k.Show(leaf.Width), k.Show(leaf.Height), gust.Told)
	if leaf.Estimated {
		k.Note("the mass is estimated: a tenth less counts against the wind, a tenth more on the prop")
	}
	if !propped(k, leaf) {
		return
	}
	k.Source("tipping about the bottom edge: plane statics")
	k.Source("wind pressure 0.625·v²: EN 1991-1-4, 4.5; force coefficient 1.8 of a free plate: from memory")
	k.General("stand", "a leaf on its edge falls at the least push or draught: never leave it unheld, prop it both ways, and keep everybody out of where it can fall")
	k.General("stand 2", "a hardware sheet's wind limit is for a leaf on its pivots or propped, not for one that stands free; the hardware maker's instructions and local rules come first")
}

// propped adds the force on a prop; false if it is refused or asked about.
func propped(k *ask.Inquiry, leaf calc.StandingLeaf) bool {
	lean, prop := k.Q.Named(leafLean) != nil, k.Q.Named(propHeight) != nil
	switch {
	case !lean && !prop && k.Q.Named(wind) == nil:
		return true
	case !lean:
		k.Ask(say.F("what presses on a prop goes by the lean"), leafLean)
		return false
	case !prop:
		k.Ask(say.F("what presses on a prop goes by its height"), propHeight)
		return false
	}
	p := calc.Prop{Lean: k.Angle(leafLean), Height: k.Length(propHeight), Wind: calc.Speed(k.Number(wind))}
	load, err := calc.PropForce(leaf, p)
	if err != nil {
		k.Refuse(err)
		return false
	}
	ask.AddFigure(k, "prop_force", load.Force, "N")
	leant := load.Force.Told
	if p.Wind > 0 {
		leant = load.Gravity
	}
	k.Working("prop: %s × 9.80665 m/s² × (%s/2 × sin %s − %s/2 × cos %s) / %s = %s",
		leaf.Mass.Counted(leaf.Estimated), k.Show(leaf.Height), p.Lean, k.Show(leaf.Thickness), p.Lean, k.Show(p.Height), leant)
	if p.Wind > 0 {
		k.Working("and the gust: 0.625 kg/m³ × %s × (%s)² × %s × (%s)² / (2 × %s) = %s, with the lean %s", calc.Number(calc.PlateForce), p.Wind, k.Show(leaf.Width), k.Show(leaf.Height), k.Show(p.Height), load.Wind, load.Force.Told)
		k.Note("the prop's force is its horizontal part: a prop that slopes carries more")
	} else {
		k.Note("the prop's force is its horizontal part in still air: a prop that slopes carries more, and so does one in the wind")
	}
	return true
}
