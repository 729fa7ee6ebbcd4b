package verb_test

import (
	"strings"
	"testing"

	"heelpost/bot/verb"
)

// Pictures tell the figures of their answers, and what goes on from an answer is
// drawn anew. What can't be drawn truly has no picture.
func TestPictures(t *testing.T) {
	for _, c := range []struct{ text, follow, shows string }{
		{"gap 54 60 1040", "", "thickness 54 mm, width 1040 mm, setback 60 mm, heel gap 8 mm"},
		{"gap 54 60 1040", "and with 44 thick", "thickness 44 mm, width 1040 mm, setback 60 mm, heel gap 6 mm"},
		{"gap 54 60", "in inches", "heel gap 5/16 in"},
		{"plate 60 8 opening 1056", "", "centre of the floor plate 68 mm from the heel jamb, 988 mm from the leading jamb"},
		{"clear opening 1150 with 44 thick at 65 setback, open to 95 degrees", "", "drawn closed and open to 95°"},
		{"margins heel top 9, heel bottom 6, lead top 4, lead bottom 7, target 6, 960x2300x46, setback 70", "", "heel top: 9 mm, then"},
		{"drill stop 42 deep, 8 template, covering 10, cover 80 over pipes from surface", "", "the bit's tip 42 mm below the surface, the mark on the bit 60 mm from its tip, pipe or cable 80 mm below the surface, 38 mm left between"},
		{"which pin 45 60 80, bit 12, point 130, tile 9, screed 70, concrete 140, cover 75 over pipes, embedment 30, no distances in sheet", "", "the pin 45 mm long"},
		{"cut 4x720 from 3000, saw 3", "", "1 × 3000 mm into 720 + 720 + 720 + 720, 108 mm left of each"},
		{"cure 18 hours, reference 21 °C, substrate 11 °C", "", "36 h at 11 °C assumed"},
		{"cure 18 h reference 21 lowest 7 logged 20 over 4 h, later 13 over 9 h", "", "9 h at 13 °C as read"},
		{"level arc_floor 0 1 2 4 3 1 0 gap_bottom=6 width=960 height=2300 setback=70", "", "4 mm at 45°"},
		{"level arc_floor 0 1 2 4 3 1 0 gap_bottom=6 width=960 height=2300 setback=70 head_along=+2", "", ""},
		{"turns travel 2.5 M12", "", ""},
	} {
		a := verb.Questions.Ask(c.text, nil)
		if c.follow != "" {
			a = verb.Questions.Resolve(c.follow, a.Last(), nil)
		}
		switch {
		case !a.OK():
			t.Errorf("%s: %s", c.text, a.Error)
		case c.shows == "" && a.Picture != nil:
			t.Errorf("%s has a picture", c.text)
		case c.shows == "":
		case a.Picture == nil || !strings.Contains(a.Picture.Alt().String(), c.shows):
			t.Errorf("%s, %s: no picture that shows %s", c.text, c.follow, c.shows)
			if a.Picture != nil {
				t.Log(a.Picture.Alt())
			}
		}
	}
}
