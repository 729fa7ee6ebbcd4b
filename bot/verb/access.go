package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askAccess = &ask.Verb{
	Name: "access", Summary: "how high a leaf reaches while it is stood up, and whether it gets there: ceiling, passage, corner, hoist",
	Words: []string{"access", "standing height", "does leaf get in", "does it get in", "way in", "get into hoist", "fit into hoist", "fit in hoist", "stand up under ceiling", "stood up under ceiling", "can i stand up", "can we stand up", "can it be stood up", "can it stand up", "does it stand up", "will it stand up", "can i stand it up", "can we stand it up", "can you stand it up", "get it upright", "get it up",
		"into {hoist|goods lift}",
		"{get|go|fit} {through|round|around|past}",
		"{stand|stood|get it|get|standing} up {under|in|beneath}",
		"{can|will|does|would|could|is going to} {i|we|you|it|that|leaf|door} {stand up|stand|stand it up|stand it|go up} {under|in|beneath}",
		"going to stand up under",
		"{does|will|can} {it|leaf|door} {get|go} {round|around}",
		"{can|will|does|would|could} {i|we|you|it|that|they|leaf|door} {get|fit|go|pass|come|get it|get that|get leaf|get door|take it|take leaf|turn it|turn leaf|carry it|carry leaf} {through|into hoist|in hoist|into goods lift|in goods lift|round corner|around corner|past|up corridor|down corridor|along corridor|through corridor|through passage|through doorway|in|round that corner}",
		"get round {corner|bend}",
		"get {leaf|door|it} through",
		"{get|fit|go} {in|into} {hoist|goods lift}",
		"{can|could} {i|we|you} stand {leaf|door} up",
		"{can|could} {i|we|you} stand up {leaf|door}",
	},
	AskedBy:  []string{"can we get", "can i get", "can you get", "can they get", "will it get", "will it go in", "will it go", "will that go", "does it go in", "?"},
	Facts:    []*ask.Input{routeWidth, routeHeight, corner, hoistWidth, ceiling},
	Everyday: []string{"access", "way in"},
	Leads:    map[string]*ask.Input{"into hoist": hoistWidth, "into goods lift": hoistWidth, "get into hoist": hoistWidth, "fit into hoist": hoistWidth, "fit in hoist": hoistWidth, "stand up under ceiling": ceiling, "stood up under ceiling": ceiling},
	Need:     []*ask.Input{width, height, thickness},
	Takes:    []*ask.Input{width, height, thickness, ceiling, routeWidth, routeHeight, corner, hoistWidth, hoistDepth, hoistHeight, step},
	Box:      []*ask.Input{width, height, thickness},
	Example:  "access for a leaf 1050x2350x44, ceiling 2450, passage width 1200, corner 1000", Exact: "access width=1050 height=2350 thickness=44 ceiling=2450 route_width=1200 corner=1000",
	Answer: answerAccess,
}

var ceiling = &ask.Input{Name: "ceiling", Along: high, What: "height of the lowest ceiling where it is stood up", Example: "ceiling 2450",
	Words: []string{"ceiling", "room height", "ceiling height", "under ceiling …", "lowest ceiling", "under ceiling of …", "in room of …", "headroom", "head height", "head room"}}

var routeWidth = &ask.Input{Name: "route_width", Along: wide, What: "width of the narrowest passage on the way", Example: "passage width 1200",
	Words: []string{"passage …", "passage width", "route width", "corridor …", "corridor width", "doorway …", "doorway width", "hallway …", "hallway width", "through gap …", "passageway …"}, Group: []*ask.Input{routeHeight}}

var routeHeight = &ask.Input{Name: "route_height", Along: high, What: "height of the lowest passage on the way", Example: "passage height 2100",
	Words: []string{"passage height", "route height", "corridor height"}}

var corner = &ask.Input{Name: "corner", Along: wide, What: "width of the passage after a right-angled corner", Example: "corner 1000",
	Words: []string{"corner", "after corner", "turns into …", "turns into one …", "turning into one …", "into one …", "turning into …", "then turns into …", "then turns …", "round corner …", "corner into …", "other leg …"}}

var hoistWidth = &ask.Input{Name: "hoist_width", Along: wide, What: "width of the hoist's car", Example: "hoist width 1100",
	Words: []string{"hoist width", "car width", "hoist …", "hoist car …", "goods lift …", "hoist cage …", "cage …"}, Group: []*ask.Input{hoistDepth, hoistHeight}}

var hoistDepth = &ask.Input{Name: "hoist_depth", Along: deep, What: "depth of the hoist's car", Example: "hoist depth 1400",
	Words: []string{"hoist depth", "car depth"}}

var hoistHeight = &ask.Input{Name: "hoist_height", Along: high, What: "height of the hoist's car, inside", Example: "hoist height 2200",
	Words: []string{"hoist height", "car height"}}

func answerAccess(k *ask.Inquiry) {
	w := k.Length(width)
	ownHeight(k)
	h, t := k.Length(height), k.Length(thickness)
	way := calc.Access{Room: k.Length(ceiling), RouteHeight: k.Length(routeHeight), RouteWidth: k.Length(routeWidth), Corner: k.Length(corner),
		HoistHeight: k.Length(hoistHeight), HoistDepth: k.Length(hoistDepth), HoistWidth: k.Length(hoistWidth)}
	a, err := calc.CheckAccess(w, h, t, k.Step(step), way)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("standing_height", a.StandingHeight)
	k.Working("√(%s² + %s²) = %s", k.Figure(h), k.Figure(t), k.SetOut(a.StandingHeight))
	if way.Room > 0 {
		k.Truth("stands_up", a.RoomSpare >= 0)
		k.Behind()
		if a.RoomSpare < 0 {
			k.Beside("no room to stand it up: %s too low", k.Show((-a.RoomSpare).Up(calc.Millimetre/100)))
		} else {
			k.Beside("room to stand it up")
		}
		k.Working("room: %s − %s = %s to spare", k.Figure(way.Room), k.Figure(a.StandingHeight.Exact), k.Show(a.RoomSpare.Nearest(calc.Millimetre/100)))
	}
	for _, p := range []struct {
		name string
		way  calc.Passage
	}{{"passage", a.Route}, {"corner", a.Corner}, {"hoist", a.Hoist}} {
		if p.way == calc.NotSaid {
			continue
		}
		k.Truth(p.name, p.way != calc.NoWay)
		if p.way == calc.NoWay {
			k.Beside("%s: it does not get past", say.Name(p.name))
		}
		k.Working("%s: %s", say.Name(p.name), carried(p.way))
	}
	if a.CornerLength > 0 {
		k.Working("the longest that gets round the corner: %s", k.Show(a.CornerLength.Down(calc.Millimetre)))
	}
	k.Source("plane geometry; a rectangle in a rectangle: W. B. Carver, Amer. Math. Monthly 64, 1957, from memory")
	k.Note("to the last millimetre: people, packing and trolleys need room beside it. Ask before the leaf is ordered")
	k.General("access", "a leaf that is stood up or carried falls on people: make a lifting plan, and hold its mass against what hoist and floors may carry")
}

// carried says how a leaf gets past something.
func carried(p calc.Passage) say.Text {
	switch p {
	case calc.Upright:
		return say.F("it gets past upright")
	case calc.OnEdge:
		return say.F("it gets past on its long edge")
	case calc.Leaning:
		return say.F("it gets past leant over")
	case calc.LeantBack:
		return say.F("it gets past leant back over an edge")
	}
	return say.F("it does not get past")
}
