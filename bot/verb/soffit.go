package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askSoffit = &ask.Verb{
	Name: "soffit", Summary: "the least gap over a leaf in its swing, under a soffit",
	Words:    []string{"soffit", "level soffit", "does it clear soffit", "will it clear soffit", "does leaf clear soffit", "will leaf clear soffit", "clear soffit", "does it clear ceiling", "will it clear ceiling", "top clear soffit", "will top clear soffit", "does top clear soffit", "clear ceiling", "soffit check", "catch soffit", "hit soffit", "hit ceiling", "catch ceiling"},
	Everyday: []string{"soffit"},
	Turns:    askFits, Wish: arcSoffit,
	Need:    []*ask.Input{arcSoffit, gapTop, width, setback, height},
	Also:    map[string]*ask.Input{"head …": axisX},
	Takes:   []*ask.Input{arcSoffit, midSoffit, gapTop, gapTopHeel, width, setback, height, thickness, pivotHeight, angle, axisX, axisXSide, axisY, axisYSide},
	Box:     []*ask.Input{width, height, thickness},
	Example: "soffit arc 0 -1 -2 0, top gap 6, 960x2300x46, setback 70", Exact: "soffit arc_soffit 0 -1 -2 -2 0 1 1 gap_top=6 width=960 height=2300 setback=70",
	Answer: answerSoffit,
}

var arcSoffit = &ask.Input{Name: "arc_soffit", Kind: ask.ListKind, What: "heights of the soffit over the leading edge over one level line, lower ones below 0, at equal angles from closed to open, 30° apart at most", Example: "arc 0 -1 -2 -2 0 1 1",
	Words: []string{"arc …", "arc soffit …", "soffit along arc …", "soffit heights …", "soffit read …", "soffit readings …", "soffit readings along arc …", "soffit along arc …", "soffit readings on arc …", "soffit along swing …", "readings along soffit …", "ceiling readings …"}}

var midSoffit = &ask.Input{Name: "mid_soffit", Kind: ask.ListKind, What: "the same halfway between the pivot and the leading edge", Example: "middle 0 0 -1 -1 0 0 0",
	Words: []string{"middle …", "mid …", "halfway …", "mid soffit …"}}

var gapTopHeel = &ask.Input{Name: "gap_top_heel", Along: high, Zero: true, What: "gap over the closed leaf at its heel end", Example: "top gap at heel 6",
	Words: []string{"top gap at heel", "top gap heel", "gap top heel"}}

func answerSoffit(k *ask.Inquiry) {
	arc, mid := k.Lengths(arcSoffit), k.Lengths(midSoffit)
	answerSwept(k, calc.LevelInput{Soffit: true, GapLead: k.Length(gapTop)}, gapTopHeel, arc, mid)
}
