package lex

// What people tell of when something went wrong, in classes of words: what it is
// of, and what became of it. One word too many stops work for a look; one that is
// missing loses a report. Common practice on sites, no published source.
var (
	// Hidden is what lies in a floor or wall and may be hit: whatever is not named is
	// among it, as something hard.
	Hidden = []string{"pipe", "cable", "wire", "tendon", "strand", "rebar", "steel", "bar", "membrane", "duct", "tube", "conduit", "hose", "main", "service", "metal", "reinforcement", "power line", "water line", "gas line", "heating line"}

	// Unnamed are words for what was hit where nobody knows what it is.
	Unnamed = []string{"something", "sth", "smth", "smthg", "somethin", "anything", "obstruction", "void", "hollow space"}

	// Body are parts of people.
	Body = []string{"hand", "finger", "thumb", "foot", "feet", "toe", "leg", "arm", "head", "eye", "face", "knee", "wrist", "ankle", "elbow", "shoulder", "back", "rib", "skin"}

	// Hurt is what becomes of those.
	Hurt = []string{"crushed", "trapped", "pinched", "caught", "cut", "broken", "broke", "bruised", "burnt", "burned", "jammed", "squashed", "smashed", "sliced", "stuck", "numb", "swollen", "under the leaf", "under the door"}

	// Splashed is what must not come into eyes.
	Splashed = []string{"glue", "resin", "adhesive", "hardener", "mix", "dust", "swarf", "chip", "splinter", "epoxy"}

	// Rigging is what holds a leaf while it is lifted, moved or stood.
	Rigging = []string{"prop", "hoist", "trestle", "stand", "wedge", "strap", "sling", "lifter", "sucker", "suction cup", "suction lifter", "vacuum lifter", "lifting pad", "dolly", "jack", "winch", "chock", "hook", "chain", "shackle", "rope", "trolley", "lift", "brace", "support"}

	// GaveWay is what becomes of what ought to stand or hold.
	GaveWay = []string{"fell", "falling", "fallen", "fell over", "dropped", "tipped", "tipping", "tips", "slipped", "slipping", "slips", "slid", "sliding", "toppled", "toppling", "leaning over", "going over", "coming down", "came down", "come down", "comes down",
		"swinging free", "rolling away", "gave way", "giving way", "let go", "failed", "failing", "broke", "broken", "breaking", "snapped", "collapsed", "bent", "cracked", "came off", "come off", "fraying", "frayed", "creaking", "creaks", "creak", "sheared", "unstable", "not stable", "wont hold", "won't hold", "wobbling", "wobbly", "doesnt hold", "doesn't hold", "not holding"}

	// Bedded is what is bonded or screwed.
	Bedded = []string{"plate", "floor plate", "head plate", "pin", "box", "pivot", "bond", "bonding", "bond floor", "bond head", "bond at the floor", "bond at the head", "floor bond", "head bond", "joint of the plate"}

	// Disturbed is what becomes of that, before its hours or after.
	Disturbed = []string{"loose", "came loose", "come loose", "came off", "came up", "lifted", "moved", "moving", "shifted", "knocked", "kicked", "hit", "rocking", "rocks", "wobbles", "stepped on", "stood on", "walked on", "driven over", "run over", "fell out", "pulled out", "not holding", "failed", "bad", "no good", "came apart", "wrong", "opened"}

	// Ground is what plates are set on.
	Ground = []string{"screed", "floor", "slab", "concrete", "head", "soffit", "ceiling", "hole", "glass", "leaf", "plate"}

	// Unsound is what is wrong with that.
	Unsound = []string{"cracked", "cracking", "crack", "hollow", "crumbling", "crumbles", "broke out", "broken out", "breaking out", "blew out", "blown", "broke", "broken", "shattered", "soft", "loose", "wet", "flooded", "damp", "delaminated"}
)
