package verb

import (
	"heelpost/bot/ask"
	"heelpost/calc"
)

var askMark = &ask.Verb{
	Name: "mark", Summary: "how deep the hole gets with the mark on the bit where it is",
	AskedBy: []string{"?"},
	Words: []string{"depth reached", "how deep am i going", "how deep am i", "how deep does my hole go", "how deep do i go", "how deep do i get", "how deep would it go", "what hole depth", "what hole depth do i get", "depth of hole", "how deep's hole", "how deep's hole going to be", "how deep is hole going to be", "how deep a hole", "how deep will hole get", "what depth", "how deep is hole", "how deep did i drill", "how deep did i go", "how deep did we drill", "how deep have i drilled", "how deep is my hole going to be", "how deep will that go", "how deep does that go", "how deep will it drill", "how deep does it drill", "how deep will i drill", "how deep is hole now", "how deep is that hole", "how deep does it go", "how deep is that", "how deep is it", "hole how deep", "how deep will it go", "how deep does hole get", "how deep does it get", "how deep will hole be", "how deep will it be", "how deep is my hole", "how deep is hole then",
		"how deep {will|does|would|did|is|are} {hole|my hole|holes|that|it|this|i|we|they} {be|get|go|come out|end up|turn out|going to be|going to get|going|drilled|now|drill|been drilled}",
		"{what|how deep a} {hole|depth hole|depth} {will|do|does|would|did} {i|we|that|this|it} {get|give|make|have|drill|end up with}",
		"what depth {am i|are we} {drilling|drilling to|getting|going to}",
		"how deep {have|did} {i|we|they} {gone|drill|drilled|go}",
		"comes out how deep",
	},
	Asks:  depth,
	Turns: askStop, Wish: mark, Claims: map[string]*ask.Input{"stop": mark, "tape": mark},
	Also: asMark(map[string]*ask.Input{"collar": mark, "collar at …": mark, "collar set to …": mark, "set collar to …": mark, "set collar at …": mark, "collar to …": mark, "collar is at …": mark, "stop at …": mark, "stop set at …": mark, "taped at …": mark, "marked bit at …": mark, "i marked bit at …": mark, "marked drill at …": mark, "bit marked at …": mark, "bit taped at …": mark, "tape on bit is at …": mark, "tape on bit …": mark, "marked at …": mark, "set at": mark, "through …": template, "bit marked": mark, "bit is marked": mark, "drill is marked": mark}),
	Need: []*ask.Input{mark}, Wary: true,
	Takes:   []*ask.Input{mark, template, covering, coverTo, step},
	Example: "mark at 50, template 5, how deep is the hole", Exact: "depth reached mark=50 template=5",
	Answer: answerMark,
}

var mark = &ask.Input{Name: "mark", Few: "mark at %s", What: "where the depth mark is on the bit, from its tip", Example: "50",
	Words: []string{"tape flag", "flag", "flag on bit", "tape flag on bit", "… from tip", "mark", "marks", "marked", "my mark", "depth mark"}}

func answerMark(k *ask.Inquiry) {
	m := k.Length(mark)
	over, under := k.LengthOr(template, 0), k.LengthOr(covering, 0)
	d, err := calc.DepthReached(m, over, under, k.Step(step))
	if err != nil {
		k.Refuse(err)
		return
	}
	k.Result("depth_reached", d)
	k.Working("%s mark − %s template − %s covering = %s below the surface, the drill's tip", k.Figure(m), k.Figure(over), k.Figure(under), k.SetOut(d))
	k.Source("distances along the bit, from the drill's tip")
	k.Give(depth, d.SetOut)
	k.General("locate", locate)
}

// asMark adds the ways in which it is told where stop, collar or tape are.
func asMark(names map[string]*ask.Input) map[string]*ask.Input {
	for _, w := range ways("{collar|depth collar|stop collar|depth stop|drill stop|flag|depth mark} {is|was|} {set to|set at|at|stuck at|fixed at} …", "{stop|mark} {is|was} {set to|set at|at} …", "tape is on bit at …", "bit {flagged|marked|taped} at …", "{taped|marked|flagged} {up|it|bit|drill|} at …") {
		names[w] = mark
	}
	return names
}
