package verb

import (
	"math"
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askPins = &ask.Verb{
	Name: "pins", Summary: "which pin of those that the sheet allows the floor takes, and how deep its hole goes",
	Words:  []string{"pins", "which pin", "which pins", "how long pin", "how long can pin be", "{which|what|how long} {pin|pins|pin length|length pin} {do|can|should|must|does|will|may|is|fits|goes|} {i|we|you|it|one|} {take|use|need|fit|goes|go|be|for|of|}", "which of {pins|these|those}", "what length {pin|pins}", "pin lengths allowed"},
	Leads:  map[string]*ask.Input{"pins": pinLengths, "which pin": pinLengths, "which pins": pinLengths},
	Things: []string{"pins"}, Also: map[string]*ask.Input{"drill …": bit, "drill bit …": bit},
	Need: []*ask.Input{pinLengths, bit, point, soundLayer}, Wary: true,
	Takes: []*ask.Input{pinLengths, pinCount, bit, point, soundLayer, weakLayer, cover, coverTo, margin, locator, sideways, recess, allowance, embedment, cutTo, toEdge, leastEdge, noEdge, toJoint, leastJoint, noJoint, apart, leastApart, sheetSilent, step},

	Example: "which pin 45 60, bit 12, point 130, screed 90, cover 75 over pipes, no edge, no joint, 70 apart, least apart 45",
	Exact:   "pins: pin_lengths 45 60 bit=12 point=130 sound_layer=90 cover=75 over pipes no edge near no joint near apart=70 apart_least=45",
	Answer:  answerPins, Refuses: noPin,
}

var (
	pinLengths = &ask.Input{Name: "pin_lengths", Along: long, Kind: ask.ListKind, What: "lengths of the pins that the sheet allows, below the surface that the plate lies on", Example: "pins 45 60 80", Words: []string{"pins …", "pin lengths …", "allowed …", "allowed are …", "pins allowed are …", "lengths allowed are …", "sheet allows …", "sheet lists …", "sheet offers …", "choice …", "pin lengths are …", "lengths …", "pins come in …", "pins available …"}, Tally: pinCount}
	pinCount   = &ask.Input{Name: "pin_count", Kind: ask.CountKind, ByName: true, What: "how many pins the sheet wants under the plate", Example: "4 pins", Words: []string{"pin count"}}
	soundLayer = &ask.Input{Name: "sound_layer", Along: thick, Kind: ask.ListKind, Each: true, What: "thickness of a layer that holds a pin, from the top down", Example: "screed 70, concrete 140", Words: []string{"sound layer", "concrete", "slab", "screed", "sound …"}}
	weakLayer  = &ask.Input{Name: "weak_layer", Along: thick, Kind: ask.ListKind, Each: true, Zero: true, What: "thickness of a layer that holds none: tile and its bed, levelling compound, insulation", Example: "tile 9", Words: []string{"weak layer", "tile", "tiles", "tile bed", "levelling", "levelling compound", "insulation", "covering"}}
	locator    = &ask.Input{Name: "locator", What: "how far the pipe finder may be wrong", Example: "locator 3", Words: []string{"locator", "pipe finder", "locator margin"}}
	sideways   = &ask.Input{Name: "sideways", Zero: true, What: "from the hole's centre to the pipe's edge, in plan", Example: "sideways 60", Words: []string{"sideways", "to the side"}}
	recess     = &ask.Input{Name: "recess", Along: deep, None: true, Zero: true, What: "how deep the plate is let in", Example: "recess 8", Words: []string{"recess", "let in …"}}
	allowance  = &ask.Input{Name: "allowance", Zero: true, What: "what the hole goes deeper than the pin", Example: "allowance 3", Words: []string{"allowance", "bottom allowance"}}
	embedment  = &ask.Input{Name: "embedment", Along: deep, Zero: true, What: "the least that the sheet wants of the pin in sound material", Example: "embedment 30", Words: []string{"embedment", "least embedment"}}
	cutTo      = &ask.Input{Name: "cut_to", What: "the shortest that the sheet lets a pin be cut to", Example: "cut to 40", Words: []string{"cut to …", "cut down to …", "may be cut to …"}}
)

// Values of pins that are taken unless said, all from memory: the error of a pipe
// finder, and what stays over a pipe and before a back face.
const (
	assumedLocator = 5 * calc.Millimetre
	assumedOver    = 10 * calc.Millimetre
	assumedBack    = 30 * calc.Millimetre
)

func answerPins(k *ask.Inquiry) {
	in := calc.PinsInput{Layers: takeFloor(k)}
	d, e := k.Length(bit), k.Length(embedment)
	in.Point = k.Angle(point)
	least, lengths := k.Length(cutTo), k.Lengths(pinLengths)
	count := k.Number(pinCount)
	if count != math.Trunc(count) {
		k.Fail("pins come in whole numbers, not %s", calc.Number(count))
		return
	}
	limits, lacking, ok := takeDistances(k, &in)
	if !ok {
		return
	}
	for _, l := range lengths {
		p := calc.Pin{Length: l, Count: max(int(count), 1), Hole: d, Embedment: e, Edge: limits[0], Joint: limits[1], Spacing: limits[2]}
		if least <= l {
			p.CutTo = least
		}
		in.Pins = append(in.Pins, p)
	}
	in.Recess, in.Allowance = k.LengthOr(recess, 0), k.LengthOr(allowance, 0)
	if !takePipes(k, &in) {
		return
	}
	in.Step = k.Step(step)
	r, err := calc.PinsFor(in)
	if err != nil {
		k.Refuse(err)
		return
	}
	if r.Found && len(lacking) > 0 {
		k.Ask(say.F("how far a pin must be from a slab's edge, a joint and the next pin is the hardware sheet's: where no edge or joint is near, say no edge near, no joint near; where it names none, no distances in sheet"), lacking...)
		return
	}
	tellPins(k, &in, &r)
	if !k.Has(embedment) {
		k.Note("the sheet's least embedment was not given: hold the pin's embedment against it")
	}
	if count == 0 {
		k.Note("how many pins the sheet wants is not looked at here")
	}
	k.Source("point length (D/2)/tan(angle/2) of a twist drill: plane geometry; 10 mm over a pipe, 30 mm or 2·D before a back face: from memory")
	k.General("locate", locate)
}

var (
	toEdge     = &ask.Input{Name: "to_edge", What: "from a pin's centre to the nearest edge of the slab", Example: "to the edge 140", Words: []string{"to edge", "to slab edge", "edge of slab"}}
	leastEdge  = &ask.Input{Name: "edge_least", What: "the least that the sheet wants to a slab's edge", Example: "least to edge 90", Words: []string{"edge least", "least to edge", "least edge"}}
	toJoint    = &ask.Input{Name: "to_joint", What: "from a pin's centre to the nearest joint", Example: "to the joint 160", Words: []string{"to joint", "to movement joint", "joint"}}
	leastJoint = &ask.Input{Name: "joint_least", What: "the least that the sheet wants to a joint", Example: "least to joint 100", Words: []string{"joint least", "least to joint", "least joint"}}
	apart      = &ask.Input{Name: "apart", What: "between two pins, centre to centre", Example: "55 apart", Words: []string{"apart", "between pins"}}
	leastApart = &ask.Input{Name: "apart_least", What: "the least that the sheet wants between pins", Example: "least apart 45", Words: []string{"apart least", "least apart", "least between pins"}}
)

// isSo returns an input that its words say is so.
func isSo(name, what string, words ...string) *ask.Input {
	return &ask.Input{Name: name, Kind: ask.FlagKind, What: what, Example: words[0], Choices: []ask.Choice{{Words: words, Value: "yes"}}}
}

var (
	noEdge      = isSo("no_edge", "no edge of the slab is near", "no edge near", "no edge", "no slab edge", "no slab edge near", "edge far away", "far from any edge")
	noJoint     = isSo("no_joint", "no joint is near", "no joint near", "no joint", "no joints", "no movement joint", "no movement joint near", "joint far away", "far from any joint")
	sheetSilent = isSo("sheet_silent", "the sheet names none of the distances that are not given", "no distances in sheet", "sheet names no distances", "sheet has no distances", "sheet gives no distances", "no distances by sheet", "no distances")
)

// takeDistances takes how far the pins are from edge, joint and each other, and
// the sheet's least of each. Where only one of them is known the other is asked
// for; the leasts of which nothing is known are lacking, and are asked for where
// a pin is else found.
func takeDistances(k *ask.Inquiry, in *calc.PinsInput) (least [3]calc.Length, lacking []*ask.Input, ok bool) {
	silent := k.Word(sheetSilent) != ""
	var half []*ask.Input
	for i, d := range []struct {
		there, least, none *ask.Input
		into               *calc.Length
	}{{toEdge, leastEdge, noEdge, &in.Edge}, {toJoint, leastJoint, noJoint, &in.Joint}, {apart, leastApart, nil, &in.Spacing}} {
		*d.into, least[i] = k.Length(d.there), k.Length(d.least)
		switch far := d.none != nil && k.Word(d.none) != ""; {
		case far && k.Has(d.there):
			k.Fail("%s and %s contradict each other", d.none.Said(), d.there.Said())
			return least, nil, false
		case far:
			least[i] = 0
		case k.Has(d.there) && k.Has(d.least):
		case k.Has(d.least), k.Has(d.there) && !silent:
			half = append(half, k.Missing(d.there, d.least)...)
		case !silent:
			lacking = append(lacking, d.least)
		}
	}
	if len(half) > 0 {
		k.Ask(say.F("a distance is held against the sheet's least"), half...)
		return least, nil, false
	}
	if silent {
		k.Caution(ask.Other, "the distances of which the sheet names none are not checked: ask the hardware maker how far a pin must be from a slab's edge, a joint and the next pin")
	}
	return least, lacking, true
}

// takeFloor takes the layers of the floor in the order they were typed in.
func takeFloor(k *ask.Inquiry) []calc.FloorLayer {
	type layer struct {
		calc.FloorLayer
		at int
	}
	var all []layer
	for _, in := range [2]*ask.Input{soundLayer, weakLayer} {
		places := k.Places(in)
		for i, l := range k.Lengths(in) {
			all = append(all, layer{calc.FloorLayer{Thickness: l, Sound: in == soundLayer}, places[i]})
		}
	}
	slices.SortFunc(all, func(a, b layer) int { return a.at - b.at })
	floor := make([]calc.FloorLayer, len(all))
	for i := range all {
		floor[i] = all[i].FloorLayer
	}
	return floor
}

// takePipes takes what lies below and beside the hole; false if it is asked
// for.
func takePipes(k *ask.Inquiry, in *calc.PinsInput) bool {
	to := k.Word(coverTo)
	toBack := to == "back"
	in.Heated = k.Q.Named(heated) != nil || k.Door[heated.Name].Word == "yes" || to == "pipe"
	in.Aside = k.Q.Named(sideways) != nil
	in.Sideways = k.Length(sideways)
	switch {
	case k.Has(cover) && toBack:
		in.HasBack, in.Back = true, k.Length(cover)
	case k.Has(cover):
		in.HasPipe, in.Pipe = true, k.Length(cover)
		if !in.Heated {
			in.HasBack, in.Back = true, in.Pipe
			k.Suppose("the cover may be over a pipe or to the back face: the larger margin counts", "what lies below unsaid")
		}
		in.Margin, in.Locator = k.LengthOr(margin, assumedOver), k.LengthOr(locator, assumedLocator)
		if in.Margin == 0 {
			k.Fail("margin is %s, but must be more than 0: something has to stay over what lies below", k.Show(0))
			return false
		}
	default:
		k.Beside("cover unmeasured")
		k.Note("cover not checked: give the measured cover over pipes, cables or the back face")
	}
	return true
}

// tellPins tells the pin to take, and what is against the others.
func tellPins(k *ask.Inquiry, in *calc.PinsInput, r *calc.PinsResult) {
	rejected := k.Working
	if !r.Found {
		rejected = k.Mention
	}
	for i := range r.Rejected {
		c := &r.Rejected[i]
		rejected("%s: %s, %s where %s are needed", k.Show(c.Length), say.F(pinReasons[c.Reason]), k.Show(c.Value), k.Show(c.Limit))
	}
	if !r.Found {
		k.Truth("fits", false)
		k.HideLast()
		k.Headline("none of these pins fits")
		k.Mention("a plate without pins if the sheet allows it, move the door, or have the heating fitter move the pipes; a recess counts against cover like a hole")
		return
	}
	c := &r.Choice
	k.Plain("pin_length", c.Length)
	if n := in.Pins[c.Pin].Count; k.Taken(pinCount) {
		k.NumberResult("pin_count", float64(n), float64(n), "", calc.Number(n).String())
	}
	k.Result("hole_depth", c.Hole)
	k.Plain("hole_diameter", in.Pins[c.Pin].Hole)
	k.Plain("embedment", c.Embedment)
	if in.HasPipe || in.HasBack {
		k.Result("cover_left", c.CoverLeft)
	}
	if c.Cut {
		k.Headline("take the pin of %s, cut to %s; hole %s deep to its tip", k.Show(in.Pins[c.Pin].Length), k.Show(c.Length), k.Show(c.Hole.SetOut))
	} else {
		k.Headline("take the pin of %s; hole %s deep to its tip", k.Show(c.Length), k.Show(c.Hole.SetOut))
	}
	point, err := calc.PointLength(in.Pins[c.Pin].Hole, in.Point)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Working("hole: %s recess + %s pin + %s allowance + %s point = %s", k.Figure(in.Recess), k.Figure(c.Length), k.Figure(in.Allowance), k.Figure(point), k.SetOut(c.Hole))
	drawPin(k, in, r, point)
	if in.HasPipe {
		k.Working("cover: %s − %s = %s left, at least %s", k.Figure(in.Pipe), k.Figure(c.Hole.SetOut), k.Show(c.CoverLeft.SetOut), k.Show(r.Margin))
	}
}

// drawPin draws the section through the chosen pin's hole.
func drawPin(k *ask.Inquiry, in *calc.PinsInput, r *calc.PinsResult, point calc.Length) {
	c := &r.Choice
	d := draw.Drill{Tip: k.Measure(c.Hole.SetOut), Point: point, Bit: in.Pins[c.Pin].Hole, Pin: k.Measure(c.Length), From: in.Recess}
	for _, l := range in.Layers {
		layer := draw.Layer{Measure: k.Measure(l.Thickness), Name: soundLayer.Said(), Weak: !l.Sound}
		if layer.Weak {
			layer.Name = weakLayer.Said()
		}
		d.Floor = append(d.Floor, layer)
	}
	switch {
	case in.HasPipe:
		d.Pipe = k.Measure(in.Pipe)
	case in.HasBack:
		d.Pipe, d.Back = k.Measure(in.Back), true
	}
	if d.Pipe.Known() {
		d.Left = k.Measure(c.CoverLeft.SetOut)
	}
	k.Draw(d)
}

// pinReasons say what is against a pin: keys.
var pinReasons = map[calc.PinReason]string{
	calc.PinHitsPipe:    "too little cover stays over the pipe",
	calc.PinBreaksBack:  "too little stays before the back face",
	calc.PinTooDeep:     "its hole goes through the floor",
	calc.PinHoldsLittle: "too little of it is in sound material",
	calc.PinNearEdge:    "too near to the slab's edge",
	calc.PinNearJoint:   "too near to a joint",
	calc.PinNearPin:     "too near to the next pin",
}
