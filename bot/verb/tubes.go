package verb

import (
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
)

// tubes are the doors whose key tubes are still to be cut, by length.
type tubes map[calc.Length][]string

// takeTubes takes the key tubes of all doors in work at the site, or in a door's
// thread that door's, and the stock of their sheets unless another is typed; false
// if something is asked for.
func takeTubes(k *ask.Inquiry, in *calc.CutInput) (tubes, bool) {
	var first *ask.SiteDoor
	of, several, short := tubes{}, false, 0
	if k.Others != nil {
		if k.OwnDoor(allDoors) == "" {
			k.Word(allDoors)
		}
		for _, d := range k.SiteDoors(allDoors) {
			if d.Tube == 0 {
				short++
				continue
			}
			if len(of[d.Tube]) == 0 {
				in.Pieces = append(in.Pieces, calc.CutPiece{Length: d.Tube})
			}
			of[d.Tube] = append(of[d.Tube], d.ID)
			if first == nil {
				first = &d
			}
			several = several || !slices.Equal(d.Stocks, first.Stocks) || d.Kerf != first.Kerf
		}
	}
	switch {
	case first == nil && (k.Q.Named(allDoors) != nil || k.SaysAll()) && k.Others != nil:
		k.Fail("no door in work here wants a key tube: their keys reach, or the tubes are cut")
		return nil, false
	case first == nil && k.Others != nil && k.OwnDoor(allDoors) != "":
		k.Ask(say.F("this door wants no key tube: its key reaches, or the tube is cut; all doors' are asked for as %s", "cut all"), k.Q.Verb.Need...)
		return nil, false
	case first == nil:
		k.Ask(say.Text{}, k.Q.Verb.Need...)
		return nil, false
	case several && k.Q.Named(stocks) == nil:
		k.Ask(say.F("the sheets of these doors have different tubes"), stocks)
		return nil, false
	}
	for i := range in.Pieces {
		in.Pieces[i].Count = len(of[in.Pieces[i].Length])
	}
	switch {
	case k.Q.Named(stocks) == nil:
		var all []say.Text
		for _, l := range first.Stocks {
			in.Stocks = append(in.Stocks, calc.CutStock{Length: l})
			all = append(all, say.Plain(k.Show(l)))
		}
		k.Suppose("tubes as the sheet has them", "tubes as the sheet has them")
		k.Working("tubes by the sheet: %s", say.List(all...))
	case !takeStocks(k, in):
		return nil, false
	}
	if in.Kerf = first.Kerf; k.Q.Named(kerf) != nil {
		in.Kerf = k.Length(kerf)
	}
	if short > 0 {
		k.Note("%s: their keys reach, or their tubes are cut", say.Count(short, "1 other door wants none", "%s other doors want none"))
	}
	return of, true
}

// mostBars is how many bars are told one by one where few lines are wanted.
const mostBars = 12

// work tells bar by bar which door's tube is cut from it, and which of them are
// drilled anew: all but those at an end of the bar that has its hole.
func (t tubes) work(k *ask.Inquiry, plan *calc.CutPlan, keep int) {
	left := make(tubes, len(t))
	for l, ids := range t {
		left[l] = slices.Clone(ids)
	}
	bars := 0
	for i := range plan.Patterns {
		p := &plan.Patterns[i]
		for range p.Bars {
			var all []say.Text
			for _, c := range p.Pieces {
				for range c.Count {
					piece := say.F("%s %s", left[c.Length][0], k.Figure(c.Length))
					if len(all) >= keep {
						piece = say.F("%s drilled anew", piece)
					}
					all = append(all, piece)
					left[c.Length] = left[c.Length][1:]
				}
			}
			tell := k.Mention
			if bars++; bars > mostBars {
				tell = k.Working
			}
			tell("%s: %s; %s left", k.Show(p.Stock), say.List(all...), k.Show(p.Offcut))
		}
	}
	if bars > mostBars {
		k.Mention("%s more bars: Why shows them", bars-mostBars)
	}
}
