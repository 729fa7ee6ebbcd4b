package verb

import (
	"errors"

	"heelpost/bot/ask"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/calc"
)

var askCut = &ask.Verb{
	Name: "cut", Summary: "how to cut a list of pieces from the least stock",
	Words: []string{"cut", "cut list", "cutting", "cutting list", "cutting plan", "cut plan", "how many bars", "how many tubes", "how many lengths"},
	Thing: "cut", Everyday: []string{"cut", "cutting"},
	Also: map[string]*ask.Input{"from …": stocks, "out …": stocks, "… lengths": stocks, "for …": pieces},
	Leads: map[string]*ask.Input{"cut": pieces, "cut list": pieces, "cutting": pieces, "cutting list": pieces, "cutting plan": pieces, "cut plan": pieces,
		"how many bars": stocks, "how many tubes": stocks, "how many lengths": stocks},
	Need:    []*ask.Input{pieces, stocks},
	Takes:   []*ask.Input{pieces, stocks, kerf},
	Example: "cut 4 x 720, 6 x 455 from 2500, saw 2", Exact: "cut pieces 4x720 6x455 stocks 2500 kerf=2",
	Answer: answerCut,
}

var pieces = &ask.Input{Name: "pieces", Kind: ask.ListKind, Counted: true, What: "the lengths that are wanted, each with how many of it", Example: "4x720",
	Words: []string{"pieces …", "piece …"}}

// shortPiece is shorter than people cut, by our own bound: a number below it is
// rather how many.
const shortPiece = 20 * calc.Millimetre

// cutSteps keeps a search shorter than people wait; common jobs end far
// earlier.
const cutSteps = 500_000

func answerCut(k *ask.Inquiry) {
	in := calc.CutInput{Limit: cutSteps}
	lengths, counts := k.Counted(pieces)
	for i, l := range lengths {
		if counts[i] == 0 && l < shortPiece {
			k.Fail("is %s the length of a piece, or how many are wanted? say it as 4x720", k.Show(l))
			return
		}
		in.Pieces = append(in.Pieces, calc.CutPiece{Length: l, Count: max(counts[i], 1)})
	}
	lengths, counts = k.Counted(stocks)
	for i, l := range lengths {
		in.Stocks = append(in.Stocks, calc.CutStock{Length: l, Count: counts[i]})
	}
	in.Kerf = k.LengthOr(kerf, assumedKerf)
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
	for i := range plan.Patterns {
		workBar(k, &plan.Patterns[i])
	}
	drawCut(k, &plan, in.Kerf)
	if plan.Proven {
		k.Source("no plan takes less stock, of these none fewer bars: proven by linear programming with cuts made on demand (Gilmore and Gomory 1961, from memory)")
	} else {
		k.Mention("a better plan may exist: no plan takes less than %s of stock, and this one takes %s", k.Show(plan.Bound.Length), k.Show(plan.Size.Length))
	}
	k.Note("each cut takes %s: square the ends of a bar before you count on its whole length", k.Show(in.Kerf))
	k.General("cut", "measure each door's own length before its piece is cut: too short is scrap; clamp the bar, protect eyes and ears, and follow the saw maker's instructions")
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
