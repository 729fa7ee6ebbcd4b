package tell

import (
	"slices"

	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Describe tells what a door is, in one line.
func Describe(s *jobs.Spec) say.Text {
	parts := []say.Text{
		say.F("leaf %s × %s × %s", s.Tell(s.Width), s.Tell(s.Height), s.Tell(s.Thickness)),
		say.F("setback %s", s.Tell(s.Setback)),
		say.F("opening %s × %s", s.Tell(s.OpeningWidth), s.Tell(s.OpeningHeight)),
		say.Name(s.Swing),
	}
	if s.Handing != "" {
		parts = append(parts, say.F("%s seen from %s", say.Name(s.Handing), s.SeenFrom))
	}
	if s.Estimated {
		parts = append(parts, say.F("%s (estimated, counted a tenth heavier)", s.Mass))
	} else {
		parts = append(parts, say.Plain(s.Mass.String()))
	}
	if s.Heated {
		parts = append(parts, say.F("floor %s heated", s.Floor))
	} else {
		parts = append(parts, say.F("floor %s, not heated", s.Floor))
	}
	switch {
	case s.HasCover && s.CoverTo != "":
		parts = append(parts, say.F("cover %s %s", s.Tell(s.Cover), say.Name(s.CoverTo)))
	case s.HasCover:
		parts = append(parts, say.F("cover %s", s.Tell(s.Cover)))
	}
	for _, more := range []struct {
		name string
		size calc.Length
	}{{"covering", s.Covering}, {"lining", s.Lining}, {"stop", s.StopWidth}} {
		if more.size != 0 {
			parts = append(parts, say.F("%s %s", say.Name(more.name), s.Tell(more.size)))
		}
	}
	return say.List(append(parts, describeUse(s)...)...)
}

// describeUse tells what a door must do, and who works on it.
func describeUse(s *jobs.Spec) (parts []say.Text) {
	if s.Pinless {
		parts = append(parts, say.F("without pins"))
	}
	if !slices.Equal(s.Status, []string{"none"}) {
		status := make([]say.Text, len(s.Status))
		for i, word := range s.Status {
			status[i] = say.Name(word)
		}
		parts = append(parts, say.F("%s door", say.Join(" and ", status...)))
	}
	if s.EvidenceHeel != 0 || s.EvidenceLead != 0 {
		parts = append(parts, say.F("gaps by evidence %s and %s", s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead)))
	}
	if s.Seals {
		parts = append(parts, say.F("seals"))
	}
	if s.Latch {
		parts = append(parts, say.F("latch"))
	}
	if s.CyclesDay != 0 {
		parts = append(parts, say.F("%s cycles a day", s.CyclesDay))
	}
	return append(parts, say.F("sheet %s", s.Sheet), say.F("crew @%s", say.Names(" @", s.Crew...)), say.F("foreman @%s", s.Foreman))
}
