package verb

import (
	"regexp"

	"heelpost/bot/ask"
	"heelpost/calc"
)

var askSquare = &ask.Verb{
	Name: "square", Summary: "how far an opening or a leaf is out of square by its diagonals",
	Words:    []string{"square", "is that square", "is it square", "how far out is it", "how far out is opening", "how much out square", "is opening square", "is frame square", "out of true", "how square is it", "out square", "how square", "how far out square", "squareness", "how far out square are we", "out of square", "how much out of square", "is that opening square", "are we square", "is my opening square", "racked", "how much is it out", "how far is it out", "how much out is it", "how far out are we", "check square"},
	Everyday: []string{"square", "out square"},
	Also:     map[string]*ask.Input{"opening": width, "frame": width, "one diagonal": diagonal1, "one diagonal is": diagonal1, "other": diagonal2, "other one": diagonal2, "other is": diagonal2},
	Need:     []*ask.Input{diagonal1, diagonal2, width, height},
	Takes:    []*ask.Input{diagonal1, diagonal2, diagonals, width, height},
	Box:      []*ask.Input{width, height},
	Example:  "how square is 1150 wide, 2350 high, diagonals 2620 2616", Exact: "square diagonal_1=2620 diagonal_2=2616 width=1150 height=2350",
	Answer: answerSquare,
}

// muchOut is from where on a reading is more likely wrong than the opening: our own.
const muchOut calc.Slope = 20

// oneOther matches diagonals of which nobody knows which is which.
var oneOther = regexp.MustCompile(`(?i)\bother\b`)

func answerSquare(k *ask.Inquiry) {
	d1, d2 := k.Length(diagonal1), k.Length(diagonal2)
	k.Word(diagonals)
	w, h := k.Length(width), k.Length(height)
	s, err := calc.OutOfSquare(d1, d2, w, h)
	if err != nil {
		k.Refuse(err)
		return
	}
	k.NumberResult("out_of_square", hundredth(s.Slope), float64(s.Slope), "mm/m", s.Slope.String())
	k.Plain("over_height", s.Over.Nearest(calc.Millimetre/100))
	k.Degrees("corner", s.Corner, s.Corner)
	k.Working("(%s² − %s²) / (4 × %s × %s) = %s", k.Figure(d1), k.Figure(d2), k.Figure(w), k.Figure(h), s.Slope)
	k.Working("over the height of %s: %s", k.Show(h), k.Show(s.Over.Nearest(calc.Millimetre/100)))
	if k.Q.Named(diagonals) != nil || oneOther.MatchString(k.Says()) {
		k.Note("which diagonal is which was not said: it may lean the other way")
	}
	if s.Slope > muchOut || s.Slope < -muchOut {
		k.Mention("that is much: read the diagonals and the sides again")
	}
	k.Source("law of cosines in a parallelogram")
	k.General("square", "diagonals tell how the opening stands to its own floor, not plumb: read the jambs with a level or laser too")
}
