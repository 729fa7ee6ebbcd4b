package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askPlumb = &ask.Verb{
	Name: "plumb", Summary: "how far the head pivot may stand off the plumb line",
	Words:    []string{"plumb", "how plumb", "off plumb", "out of plumb", "plumb tolerance"},
	Everyday: []string{"plumb"},
	Order:    []*ask.Input{height}, Need: []*ask.Input{height},
	Takes:   []*ask.Input{height, limit},
	Example: "how far out of plumb at 1800 high", Exact: "plumb height=1800",
	Answer: answerPlumb,
}

var limit = &ask.Input{Name: "limit", ByName: true, What: "the hardware sheet's own limit", Example: "limit 2",
	Words: []string{"limit", "sheet limit"}}

func answerPlumb(k *ask.Inquiry) {
	if d, ok := k.Door["leaf_height"]; ok {
		k.Door["height"] = d // not the opening's
	}
	high, own := k.Length(height), k.Length(limit)
	most, err := calc.PlumbLimit(high, own)
	if err != nil {
		k.Refuse(err)
		return
	}
	told := calc.Dimension{Exact: most, SetOut: most}
	if k.Q.Inches {
		told.SetOut = most.Down(ask.InchStep)
	}
	k.Result("plumb_limit", told)
	switch {
	case k.Q.Named(limit) != nil:
		k.Working("the limit that was given: %s", k.SetOut(told))
	case own != 0:
		k.Working("the hardware sheet's own limit: %s", k.SetOut(told))
		k.Source("the hardware sheet")
	default:
		k.Working("1.5 mm a metre × %s, at most 3 mm: %s", k.Show(high), k.SetOut(told))
		k.Source("a test institute's tolerance for installing, stated beside the force classes of EN 12217")
	}
	k.Caution(plumbUp)
}
