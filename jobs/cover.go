package jobs

import (
	"cmp"

	"heelpost/calc"
)

// withCover returns the description with a cover that was read in it, and whether
// it takes the place of what stands there. The least counts: of two pipes the
// nearer one, of a pipe and the back of the slab what leaves less. What was read
// deeper than that raises nothing, unless the foreman reads or corrects it.
func (t *turn) withCover(c *ReadItem) (s Spec, takes bool, err error) {
	old := t.door.Spec
	s = old
	s.HasCover, s.Cover, s.CoverTo = true, c.Value.Length(), cmp.Or(c.To, old.CoverTo)
	if s.Heated && c.To == "back" {
		return s, false, calc.F("the floor is heated: what counts is the cover over its pipes, not that to the back face: measure that one")
	}
	if takes = !old.HasCover || t.Site.Role(t.Who) == Foreman || t.spare(&s) <= t.spare(&old); !takes {
		s = old
	}
	return s, takes, nil
}

// cover takes a measured cover into the set-out: the pins follow from it.
func (t *turn) cover(s *Spec, verdict Judgement, limits Limits) error {
	if old := t.door.Spec; !old.HasCover || s.Cover != old.Cover || s.CoverTo != old.CoverTo {
		card, err := t.reckon(s)
		if err != nil {
			return err
		}
		t.correct(s, card, s.struck(&old), string(coverMeasured), nil)
	}
	if verdict == Out {
		text := calc.F("a cover of %s is too little at the floor: %s", s.Measure(s.Cover), limits)
		if !t.door.TooShort(t.Sheet).IsZero() {
			text = calc.F("%s; %s", text, t.Sheet.otherwise())
		}
		t.tellForeman(shortCover, text)
	}
	return nil
}
