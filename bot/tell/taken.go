package tell

import (
	"maps"
	"slices"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// Taken tells what is taken over and was not said of a door, a line for each
// place it is from.
func Taken(s *jobs.Spec) (lines []say.Text) {
	for _, from := range slices.Sorted(maps.Values(s.Taken)) {
		var parts []say.Text
		for i := range jobs.Fields {
			if f := &jobs.Fields[i]; s.Taken[f.Name] == from {
				parts = append(parts, takenField(f, s))
			}
		}
		if s.Taken["opening height"] == from && s.Taken["opening"] == "" {
			parts = append(parts, say.F("opening height %s", s.Tell(s.OpeningHeight)))
		}
		text := say.F("as at %s, not measured here: %s; still to read: %s", from, say.List(parts...), Unread(s))
		switch from {
		case jobs.FromSite:
			text = say.F("as usual at this site, not said: %s", say.List(parts...))
		case jobs.FromSheet:
			text = say.F("as usual by the sheet, not said: %s", say.List(parts...))
		}
		if !slices.ContainsFunc(lines, func(l say.Text) bool { return l.String() == text.String() }) {
			lines = append(lines, text)
		}
	}
	return lines
}

// takenField tells one field that is taken over, by itself.
func takenField(f *jobs.Field, s *jobs.Spec) say.Text {
	switch f.Name {
	case "thickness":
		return say.F("%s thick", s.Tell(s.Thickness))
	case "floor":
		return say.F("floor %s", s.Floor)
	case "heated":
		return say.F("floor heated")
	}
	return describeField(f, s)
}

// Copied tells what a door has of another one that it was opened like.
func Copied(s *jobs.Spec) say.Text {
	var parts []say.Text
	for i := range jobs.Fields {
		if f := &jobs.Fields[i]; s.Taken[f.Name] == "" && !f.Found {
			parts = append(parts, describeField(f, s))
		}
	}
	return say.List(parts...)
}

// Unread lists what is still to be read at a door's opening.
func Unread(s *jobs.Spec) say.Text {
	names := s.Unread()
	if !s.HasCover {
		names = append(names, "cover")
	}
	texts := make([]say.Text, len(names))
	for i, n := range names {
		texts[i] = say.Name(n)
	}
	return say.List(texts...)
}
