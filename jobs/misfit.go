package jobs

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/calc"
)

// misfit opens a snag of what does not fit by the corrected door.
func (t *turn) misfit(text calc.Text, owner string) {
	t.snag(text, owner)
	e := &t.events[len(t.events)-1]
	e.Misfit = true
	t.door.Snag(e.Item).Misfit = true
}

// misfits reports whether the bot opened a snag because something does not fit.
// Those of earlier versions are known by their words.
func (s *Snag) misfits() bool {
	return s.Misfit || s.has(gapsDontFill, gapsDontFillPlumb, wouldBe, noneNow, mayBeHit, mayBeNear, cantTurn, tooNarrow, tooNarrowPlumb, tooNarrowTested, tooLow, evidenceCramped,
		tooHeavy, tooHeavyCounted, tooWide, tooHigh, wrongThickness, tooNear)
}

// has reports whether a part of a snag's text is one of some that we record.
func (s *Snag) has(keys ...string) bool {
	for part := range strings.SplitSeq(s.Text, "; ") {
		if own, ok := recognized(part); ok {
			if key, _ := own.Sentence(); slices.Contains(keys, key) {
				return true
			}
		}
	}
	return false
}

// hurts reports whether a snag is of what may hurt somebody: something may have
// been hit, or a hole is deeper than what lies below allows.
func (s *Snag) hurts() bool {
	if s.Hit || s.saysSoft() {
		return true
	}
	for part := range strings.SplitSeq(s.Text, "; ") {
		own, _ := recognized(part)
		key, args := own.Sentence()
		switch {
		case key == mayBeHit, key == mayBeNear, key == noneNow:
			return true
		case key == wouldBe && slices.Contains([]any{calc.Word("stop depth"), calc.Word("tip depth"), calc.Word("recess depth")}, args[0]):
			deep, err := millimetres(args[2])
			most, err2 := millimetres(args[3])
			return err != nil || err2 != nil || deep > most
		}
	}
	return false
}

// HitBefore returns the open snag of what was or may have been hit that an item
// waits for, nil for none. Where people hit it is not known: both plates wait.
func (d *Door) HitBefore(it *Item) *Snag {
	if !rule(it.ID).inHole {
		return nil
	}
	return ptr(d.OpenSnags(), func(s Snag) bool {
		return s.Hit || s.Misfit && it.Stage == FloorWork && s.has(mayBeHit, mayBeNear)
	})
}

// seenFirst refuses an item until the foreman has closed the snag of what was hit.
func (t *turn) seenFirst(it *Item) error {
	if s := t.door.HitBefore(it); s != nil {
		return calc.F("%s waits for snag %s (%s): the foreman closes it with what was seen", it.ID, s.ID, Recorded(s.Text))
	}
	return nil
}

// saysSoft reports whether a snag says that a control sample has not set. It is not
// said of which plate: the samples of all wait.
func (s *Snag) saysSoft() bool {
	return saysSample.MatchString(s.Text) && softSample.MatchString(s.Text)
}

var saysSample = regexp.MustCompile(`(?i)\bsample\b`)

// notSoft refuses a sample while one is said to be soft.
func (t *turn) notSoft(id string) error {
	s := ptr(t.door.OpenSnags(), func(s Snag) bool { return s.saysSoft() })
	if s == nil || !isSample(id) {
		return nil
	}
	return calc.F("%s waits for snag %s (%s): the foreman closes it with what was done", id, s.ID, Recorded(s.Text))
}

// millimetres reads a recorded length back.
func millimetres(told any) (float64, error) {
	return strconv.ParseFloat(strings.TrimSuffix(fmt.Sprint(told), " mm"), 64)
}

// drilledOtherwise returns the open snags of what is drilled or cut otherwise
// than the corrected door wants it. The leaf is not hung on that.
func (d *Door) drilledOtherwise() (open []Snag) {
	for _, s := range d.OpenSnags() {
		if !s.Misfit && !strings.Contains(s.Text, "would be") && !strings.Contains(s.Text, "turn") || !s.misfits() {
			continue // what earlier versions said of it has one of these words: to look for it is dear
		}
		for part := range strings.SplitSeq(s.Text, "; ") {
			own, _ := recognized(part)
			key, args := own.Sentence()
			if key == cantTurn || key == noneNow || key == mayBeHit || key == mayBeNear || key == wouldBe && slices.Contains([]any{calc.Word("drilled"), calc.Word("cut")}, args[1]) {
				open = append(open, s)
				break
			}
		}
	}
	return open
}

// overLimits says what keeps the leaf from being hung: its sheet's limits, and
// what was drilled for another.
func (d *Door) overLimits(sh *Sheet) (wrong []calc.Text) {
	for _, err := range limits(&d.Spec, sh) {
		wrong = append(wrong, calc.F("%s", err))
	}
	for _, s := range d.drilledOtherwise() {
		wrong = append(wrong, Recorded(s.Text))
	}
	return wrong
}

// closeFitting closes the snags of what does not fit whose reasons are gone:
// none of them stands, nor is among the limits that are broken. What may have been
// hit is looked at before it is taken for missed: that is the foreman's.
func (t *turn) closeFitting(stands []calc.Text, broken []error) {
	var now []string
	for _, text := range stands {
		now = append(now, strings.Split(text.String(), "; ")...)
	}
	for _, err := range broken {
		now = append(now, err.Error())
	}
	for _, s := range t.door.OpenSnags() {
		still := slices.ContainsFunc(strings.Split(s.Text, "; "), func(part string) bool { return slices.Contains(now, part) })
		if s.misfits() && !still && !(s.hurts() && t.Site.Role(t.Who) != Foreman) {
			t.emit(Event{Kind: SnagClosed, Item: s.ID, Text: string(fitsAgain)})
		}
	}
}
