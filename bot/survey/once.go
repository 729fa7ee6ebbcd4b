package survey

import (
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// once refuses a second value for what was given another in the same text: mass 95-88,
// setback 65 setback 66, heated not heated. None of them is taken in silence.
func (s *Survey) once(f *jobs.Field) error {
	if f == nil || s.names.Replies {
		return nil
	}
	now := f.Value(s.Spec)
	was, said := s.said[f.Name]
	if s.said == nil {
		s.said = map[string]string{}
	}
	s.said[f.Name] = now
	if !said || was == now {
		return nil
	}
	return say.F("%s is said twice, %s and %s: say which it is", say.Name(f.Name), value(was), value(now))
}

func value(text string) say.Text {
	if text == "" {
		return say.F("no")
	}
	return say.Plain(text)
}

// fieldAt returns the field that is kept at a place of a spec, nil if none is.
func fieldAt(spec *jobs.Spec, at *calc.Length) *jobs.Field {
	for i := range jobs.Fields {
		if l, ok := jobs.Fields[i].At(spec).(*calc.Length); ok && l == at {
			return &jobs.Fields[i]
		}
	}
	return nil
}

// asked refuses what was read from a token on where a question mark stands behind it:
// ordinary? says nothing of a door.
func (s *Survey) asked(from int) error {
	at := s.at
	for at < len(s.tokens) && s.Text[s.tokens[at].Start] == '(' {
		at++
	}
	if s.tokens[from].Kind == lex.MarkToken || at == len(s.tokens) || s.Text[s.tokens[at].Start] != '?' {
		return nil
	}
	said := strings.TrimRight(s.Text[s.tokens[from].Start:s.tokens[at-1].End], "( ")
	s.at = at + 1
	return say.F("%s? is asked, not said: say what is so", say.Plain(said))
}
