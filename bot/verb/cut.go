package verb

import (
	"cmp"
	"errors"
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askCut = &ask.Verb{
	Name: "cut", Summary: "how to cut pieces, or all key tubes, from the least stock",
	AskedBy: []string{"how many"},
	Words:   []string{"cut", "how many bars do i need", "how many tubes do i need", "how many lengths do i need", "how do i cut", "how i cut", "best way to cut", "how to cut", "cut up", "cut all", "cut list", "cutting", "cutting list", "cutting plan", "cut plan", "how many bars", "how many tubes", "how many lengths"},
	Things:  []string{"cut"}, Everyday: []string{"cut", "cutting"},
	Also: map[string]*ask.Input{"from …": stocks, "out …": stocks, "… lengths": stocks, "for …": pieces},
	Leads: map[string]*ask.Input{"cut": pieces, "cut list": pieces, "cutting": pieces, "cutting list": pieces, "cutting plan": pieces, "cut plan": pieces,
		"how many bars": stocks, "how many tubes": stocks, "how many lengths": stocks},
	Need:    []*ask.Input{pieces, stocks},
	Instead: map[*ask.Input][]*ask.Input{pieces: {allDoors}, stocks: {allDoors}},
	Takes:   []*ask.Input{pieces, stocks, kerf, allDoors, drilledEnds},
	Example: "cut 4 x 720, 6 x 455 from 2500, saw 2", Exact: "cut pieces 4x720 6x455 stocks 2500 kerf=2",
	Answer: answerCut,
}

var pieces = &ask.Input{Name: "pieces", Along: long, Kind: ask.ListKind, Counted: true, What: "the lengths that are wanted, each with how many of it", Example: "4x720",
	Words: []string{"pieces …", "piece …"}}

var allDoors = &ask.Input{Name: "all_doors", Kind: ask.FlagKind, OfSite: true, What: "all doors in work at the site, where they are known: nothing need be typed for it in a door's thread or a site's channel", Example: "all open doors",
	Choices: []ask.Choice{
		{Words: []string{"all open doors", "all doors", "open doors", "every door", "every open door"}, Value: "yes"},
	}}

var drilledEnds = &ask.Input{Name: "drilled", Kind: ask.ChoiceKind, What: "which ends of a bar have the hole that every piece wants at one end: one, both or none", Example: "drilled one end",
	Choices: []ask.Choice{
		{Words: []string{"drilled one end", "drilled at one end", "drilled on one end"}, Value: "one"},
		{Words: []string{"drilled both ends", "drilled at both ends", "drilled on both ends"}, Value: "both"},
		{Words: []string{"undrilled", "plain ends"}, Value: "none"},
	}}

// shortPiece is shorter than people cut, by our own bound: a number below it is
// rather how many.
const shortPiece = 20 * calc.Millimetre

// mostSteps is how many ways to cut a bar a short answer tells.
const mostSteps = 6

// cutSteps keeps a search shorter than people wait; common jobs end far
// earlier.
const cutSteps = 500_000

func answerCut(k *ask.Inquiry) {
	in := calc.CutInput{Limit: cutSteps}
	var of tubes
	if k.Q.Named(pieces) == nil {
		var ok bool
		if of, ok = takeTubes(k, &in); !ok {
			return
		}
	} else if !takePieces(k, &in) {
		return
	}
	plan, err := calc.Cut(in)
	if err != nil {
		refuseCut(k, err)
		return
	}
	bars := int64(plan.Size.Bars)
	k.NumberResult("stocks_used", float64(bars), float64(bars), "", calc.Number(bars).String())
	k.HideLast() // they are in the headline
	k.Plain("waste", plan.Waste)
	k.Minor("stock_length_used", plan.Size.Length)
	k.Minor("bound", plan.Bound.Length)
	k.NumberResult("patterns", float64(len(plan.Patterns)), float64(len(plan.Patterns)), "", calc.Number(len(plan.Patterns)).String())
	k.HideLast() // they are in the working
	k.Headline("take %s", taken(k, &plan))
	keep := drilledAnew(k, &plan, of != nil)
	if of != nil {
		of.work(k, &plan, keep)
	} else {
		for i := range plan.Patterns {
			workBar(k, &plan.Patterns[i])
		}
		if k.A.Steps = k.A.Working; len(k.A.Steps) > mostSteps {
			k.A.Steps = append(slices.Clone(k.A.Working[:mostSteps]), say.Count(len(k.A.Working)-mostSteps, "and 1 more way to cut: say working", "and %s more ways to cut: say working"))
		}
	}
	keepsOffcuts(k, &in, &plan)
	drawCut(k, &plan, in.Kerf)
	if plan.Proven {
		k.Source("no plan takes less stock, of these none fewer bars: proven by linear programming with cuts made on demand (Gilmore and Gomory 1961, from memory)")
	} else {
		k.Mention("a better plan may exist: no plan takes less than %s of stock, and this one takes %s", k.Show(plan.Bound.Length), k.Show(plan.Size.Length))
	}
	k.Note("each cut takes %s: square the ends of a bar before you count on its whole length", k.Show(in.Kerf))
	k.General("cut", "measure each door's own length before its piece is cut: too short is scrap; clamp the bar, protect eyes and ears, and follow the saw maker's instructions")
}

// takePieces takes the pieces that were typed, and the stock for them; false if
// one is asked about.
func takePieces(k *ask.Inquiry, in *calc.CutInput) bool {
	lengths, counts := k.Counted(pieces)
	for i, l := range lengths {
		if counts[i] == 0 && l < shortPiece {
			k.Fail("is %s the length of a piece, or how many are wanted? say it as 4x720", k.Show(l))
			return false
		}
		in.Pieces = append(in.Pieces, calc.CutPiece{Length: l, Count: max(counts[i], 1)})
	}
	if need := k.Missing(stocks); len(need) > 0 {
		k.Ask(say.Text{}, need...)
		return false
	}
	in.Kerf = k.LengthOr(kerf, assumedKerf)
	return takeStocks(k, in)
}

// takeStocks takes the stock for the pieces; false if one is asked about.
func takeStocks(k *ask.Inquiry, in *calc.CutInput) bool {
	lengths, counts := k.Counted(stocks)
	for i, l := range lengths {
		fits := func(p calc.CutPiece) bool { return p.Length <= l }
		if counts[i] == 0 && len(lengths) > 1 && !slices.ContainsFunc(in.Pieces, fits) { // from 2500, 2 bars
			k.Fail("is %s the length of a bar, or how many there are? say it as 3x2500", k.Show(l))
			return false
		}
		in.Stocks = append(in.Stocks, calc.CutStock{Length: l, Count: counts[i]})
	}
	return true
}

// keepsOffcuts tells what is left that is long enough for one more of the
// pieces: our own rule for what is worth keeping.
func keepsOffcuts(k *ask.Inquiry, in *calc.CutInput, plan *calc.CutPlan) {
	least := slices.MinFunc(in.Pieces, func(a, b calc.CutPiece) int { return cmp.Compare(a.Length, b.Length) }).Length
	var kept []say.Text
	for i := range plan.Patterns {
		if p := &plan.Patterns[i]; p.Offcut >= least {
			kept = append(kept, say.F("%s × %s", p.Bars, k.Show(p.Offcut)))
		}
	}
	if len(kept) > 0 {
		k.Mention("keep what is left as long as the shortest piece: %s", say.List(kept...))
	}
}

// drilledAnew tells how many pieces have no drilled end of their bar, and returns
// how many of each bar have one. Key tubes are taken from bars that are drilled
// at one end: common practice, no published source.
func drilledAnew(k *ask.Inquiry, plan *calc.CutPlan, tubes bool) (keep int) {
	drilled := k.Word(drilledEnds)
	switch {
	case drilled == "" && !tubes:
		return 0
	case drilled == "":
		drilled = "one"
		k.AssumeWord(drilledEnds, drilled, "bars drilled at one end")
	}
	keep = map[string]int{"one": 1, "both": 2}[drilled]
	anew := 0
	for i := range plan.Patterns {
		n := 0
		for _, c := range plan.Patterns[i].Pieces {
			n += c.Count
		}
		anew += plan.Patterns[i].Bars * max(0, n-keep)
	}
	k.NumberResult("drilled_anew", float64(anew), float64(anew), "", calc.Number(anew).String())
	return keep
}

// refuseCut says why there is no plan: one of the pieces or stocks is wrong, or
// all of them together.
func refuseCut(k *ask.Inquiry, err error) {
	if need, ok := errors.AsType[*calc.NeedError](err); ok {
		k.Fail("%s: give more or longer stock", need.Why)
		return
	}
	k.Refuse(err)
}

// taken tells which bars a plan takes.
func taken(k *ask.Inquiry, plan *calc.CutPlan) say.Text {
	var all []say.Text
	for i := 0; i < len(plan.Patterns); {
		stock, n := plan.Patterns[i].Stock, 0
		for ; i < len(plan.Patterns) && plan.Patterns[i].Stock == stock; i++ {
			n += plan.Patterns[i].Bars
		}
		all = append(all, say.F("%s × %s", n, k.Show(stock)))
	}
	return say.List(all...)
}

// workBar tells how bars are cut.
func workBar(k *ask.Inquiry, p *calc.CutPattern) {
	var all []say.Text
	for _, c := range p.Pieces {
		all = append(all, say.F("%s × %s", c.Count, k.Figure(c.Length)))
	}
	k.Working("%s × %s: %s; %s left of each", p.Bars, k.Figure(p.Stock), say.List(all...), k.Show(p.Offcut))
}

// drawCut draws the bars as they are cut.
func drawCut(k *ask.Inquiry, plan *calc.CutPlan, kerf calc.Length) {
	b := draw.Bars{Kerf: k.Measure(kerf)}
	for i := range plan.Patterns {
		p := &plan.Patterns[i]
		bar := draw.Bar{Count: p.Bars, Stock: k.Measure(p.Stock), Offcut: k.Measure(p.Offcut)}
		for _, c := range p.Pieces {
			for range c.Count {
				bar.Pieces = append(bar.Pieces, draw.Measure{Length: c.Length, Told: say.Plain(k.Figure(c.Length))})
			}
		}
		b.Bars = append(b.Bars, bar)
	}
	k.Draw(b)
}
