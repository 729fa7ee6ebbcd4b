package tell

import (
	"slices"

	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Describe tells what a door is, in one line.
func Describe(s *jobs.Spec) say.Text {
	var parts []say.Text
	for i := range jobs.Fields {
		parts = append(parts, describeField(&jobs.Fields[i], s))
	}
	return say.List(parts...)
}

// describeField tells one field of a door, with those that are told beside it;
// nothing where it is told beside another, or not known.
func describeField(f *jobs.Field, s *jobs.Spec) say.Text {
	switch f.Name {
	case "width":
		return say.F("leaf %s × %s × %s", s.Tell(s.Width), s.Tell(s.Height), s.Tell(s.Thickness))
	case "opening":
		return say.F("opening %s × %s", s.Tell(s.OpeningWidth), s.Tell(s.OpeningHeight))
	case "swing":
		return say.Name(s.Swing)
	case "handing":
		if s.Handing != "" {
			return say.F("%s seen from %s", say.Name(s.Handing), s.SeenFrom)
		}
	case "mass":
		if s.Estimated {
			return say.F("%s (estimated, counted a tenth heavier)", s.TellMass())
		}
		return say.Plain(s.TellMass())
	case "floor":
		if s.Heated {
			return say.F("floor %s heated", s.Floor)
		}
		return say.F("floor %s, not heated", s.Floor)
	case "cover":
		if s.HasCover && s.CoverTo != "" {
			return say.F("cover %s %s", s.Tell(s.Cover), say.Name(s.CoverTo))
		}
	case "status":
		return describeStatus(s)
	case "evidence":
		if s.EvidenceHeel != 0 || s.EvidenceLead != 0 {
			return say.F("gaps by evidence %s and %s", s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead))
		}
	case "crew":
		return say.F("crew @%s", say.Names(" @", s.Crew...))
	}
	if value := f.Value(s); f.Says != "" && value != "" {
		return said(f, s, value)
	}
	return say.Text{}
}

// said tells a field's value, or of one that is so or not, that it is.
func said(f *jobs.Field, s *jobs.Spec, value string) say.Text {
	switch at := f.At(s).(type) {
	case *bool:
		return say.F(f.Says)
	case **calc.Length:
		length, way := f.Way(s, **at)
		return say.F(f.Says, say.Join(" ", say.Plain(length), say.Name(way)))
	}
	return say.F(f.Says, value)
}

// plumbAssumed tells which jambs are taken for plumb as nobody has read them.
func plumbAssumed(s *jobs.Spec) say.Text {
	switch {
	case s.LeanHeel == nil && s.LeanLead == nil:
		return say.F("jambs plumb")
	case s.LeanHeel == nil:
		return say.F("heel jamb plumb")
	case s.LeanLead == nil:
		return say.F("leading jamb plumb")
	}
	return say.Text{}
}

// describeStatus tells what the door must stop or let out; nothing of an
// ordinary one.
func describeStatus(s *jobs.Spec) say.Text {
	if slices.Equal(s.Status, []string{"none"}) {
		return say.Text{}
	}
	words := make([]say.Text, len(s.Status))
	for i, w := range s.Status {
		words[i] = say.Name(w)
	}
	return say.F("%s door", say.Join(" and ", words...))
}
