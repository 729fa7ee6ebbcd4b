package verb

import (
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askFlatness = &ask.Verb{
	Name: "flatness", Summary: "whether a floor, wall or soffit is as flat as DIN 18202 has it, from heights read in a line",
	Words:    []string{"flatness", "how flat", "is it flat", "is it flat enough", "how flat is screed", "is screed flat", "is screed flat enough", "how flat is floor", "how flat is slab", "is slab flat", "is slab flat enough", "is that flat enough", "is that flat", "flat is it", "is floor flat", "is floor flat enough", "is soffit flat", "flat enough", "is it flat by din18202", "is floor flat by din18202", "flat by din18202", "by din18202", "din18202"},
	Everyday: []string{"flatness"},
	Turns:    askPlumb, Wish: lineHeights,
	Need:    []*ask.Input{lineHeights, spacing, surface},
	Takes:   []*ask.Input{lineHeights, spacing, surface},
	Example: "how flat is a finished floor, heights 0 1 3 2 0, spacing 500", Exact: "flatness line_heights 0 1 3 2 0 spacing=500 finished floor",
	Answer: answerFlatness,
}

var (
	lineHeights = &ask.Input{Name: "line_heights", Kind: ask.ListKind, What: "heights over one level line, read in a line at equal distances", Example: "heights 0 1 3 2 0",
		Words: []string{"heights …", "heights of …", "readings …", "heights floor …", "heights slab …", "floor heights …", "levels …", "levels read …", "readings along line …", "straightedge readings …"}}
	spacing = &ask.Input{Name: "spacing", What: "from one reading to the next", Example: "spacing 500", Words: []string{"spacing", "spaced", "apart", "every …", "at every …", "read every …", "spacings", "centres"}}
	surface = &ask.Input{Name: "surface", Kind: ask.ChoiceKind, What: "what was read, and whether it is finished; strict if the contract asks for more", Example: "finished floor",
		Choices: []ask.Choice{
			{Words: []string{"unfinished slab", "rough slab", "bare slab"}, Value: "unfinished slab"},
			{Words: []string{"unfinished floor", "floor under screed", "slab under tiles"}, Value: "unfinished floor"},
			{Words: []string{"finished floor", "screed"}, Value: "finished floor"},
			{Words: []string{"strict finished floor", "finished floor strict"}, Value: "strict finished floor"},
			{Words: []string{"unfinished wall", "unfinished soffit"}, Value: "unfinished wall"},
			{Words: []string{"finished wall", "finished soffit"}, Value: "finished wall"},
			{Words: []string{"strict finished wall", "finished wall strict", "strict finished soffit", "finished soffit strict"}, Value: "strict finished wall"},
		}}
)

var rows = map[string]calc.FlatnessRow{"unfinished slab": calc.UnfinishedSlab, "unfinished floor": calc.UnfinishedFloor, "finished floor": calc.FinishedFloor,
	"strict finished floor": calc.FinishedFloorStrict, "unfinished wall": calc.UnfinishedWall, "finished wall": calc.FinishedWall, "strict finished wall": calc.FinishedWallStrict}

func answerFlatness(k *ask.Inquiry) {
	all := k.Lengths(lineHeights)
	far := k.Length(spacing)
	if len(all) < 3 {
		k.Fail("%s say nothing about flatness: read three in a line at least", say.Count(len(all), "1 height", "%s heights"))
		return
	}
	f, err := calc.FlatnessByGrid(rows[k.Word(surface)], far, all)
	if err != nil {
		k.Refuse(err)
		return
	}
	worst := calc.Dimension{Exact: f.Deviation, SetOut: f.Deviation.Abs().Up(calc.Millimetre / 10)}
	shown, limit, over := k.Show(worst.SetOut), k.Show(f.Limit), k.Show(f.Over)
	if f.Deviation < 0 {
		worst.SetOut = -worst.SetOut
	}
	k.Result("deviation", worst)
	k.Plain("deviation_limit", f.Limit)
	k.HideLast() // the headline has it
	k.Plain("deviation_over", f.Over)
	k.HideLast()
	k.Truth("flat", f.Flat())
	k.HideLast()
	switch {
	case f.Flat():
		k.Headline("within the standard: %s at most %s over %s", shown, limit, over)
	case f.Deviation > 0:
		k.Headline("too uneven: a hump of %s, at most %s over %s", shown, limit, over)
	default:
		k.Headline("too uneven: a hollow of %s, at most %s over %s", shown, limit, over)
	}
	k.Working("each height against the mean of two as far before as behind, over every distance that was read; the worst %s over %s", shown, over)
	k.Source("DIN 18202:2019, table 3, between its distances interpolated")
	k.Mention("the standard speaks of the floor as built: whether the leaf clears it is asked by level")
}
