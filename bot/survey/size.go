package survey

import (
	"fmt"
	"slices"

	"heelpost/bot/lex"
	"heelpost/calc"
)

// sizeBehind returns the size whose word stands behind the number at hand, as
// in 44 thick, nil if none does. It is not clear if the word may be that of the
// next number.
func (s *Survey) sizeBehind() (into *calc.Length, clear bool) {
	if s.at+1 >= len(s.tokens) || s.tokens[s.at].Kind != lex.NumberToken {
		return nil, true
	}
	p := s.Spec
	switch s.tokens[s.at+1].Word {
	case "wide":
		return &p.Width, true
	case "high", "tall":
		return &p.Height, true
	case "thick":
		return &p.Thickness, true
	}
	clear = s.at+2 == len(s.tokens) || s.tokens[s.at+2].Kind != lex.NumberToken && s.tokens[s.at+2].Mark != '='
	return map[string]*calc.Length{"width": &p.Width, "height": &p.Height, "thickness": &p.Thickness, "setback": &p.Setback,
		"lining": &p.Lining, "covering": &p.Covering}[s.tokens[s.at+1].Word], clear
}

// equals passes over what may stand between a name and its number.
func (s *Survey) equals() {
	for s.at < len(s.tokens) && (s.tokens[s.at].Mark == '=' || s.tokens[s.at].Mark == ':' || slices.Contains([]string{"to", "is", "at"}, s.tokens[s.at].Word)) {
		s.at++
	}
}

// figure takes a number that stands next, as it was typed.
func (s *Survey) figure() (*lex.Number, error) {
	s.equals()
	if s.at == len(s.tokens) || s.tokens[s.at].Kind != lex.NumberToken {
		return nil, fmt.Errorf("%s wants a number after it", s.before())
	}
	s.at++
	return &s.tokens[s.at-1].Num, nil
}

// number takes a number that stands next and can be read in one way only.
func (s *Survey) number() (*lex.Number, error) {
	n, err := s.figure()
	if err != nil {
		return nil, err
	}
	return n, sure(n)
}

func sure(n *lex.Number) error {
	if n.Doubt != lex.Certain && n.Doubt != lex.WordIn {
		return fmt.Errorf("the number %s can be read in two ways: write it plainly, as 1100 or 43-1/2 in", n.Raw)
	}
	return nil
}

// before returns the token before the next one.
func (s *Survey) before() string {
	if s.at == 0 {
		return "this"
	}
	return s.raw(&s.tokens[s.at-1])
}

// length takes a length that stands next.
func (s *Survey) length() (calc.Length, error) {
	var l calc.Length
	return l, s.group(&l)
}

// group takes lengths joined by x.
func (s *Survey) group(into ...*calc.Length) error {
	typed := make([]*lex.Number, len(into))
	for i := range into {
		if i > 0 {
			if !s.joined() {
				return fmt.Errorf("%s: want %d lengths joined by x", s.before(), len(into))
			}
			s.at++
		}
		n, err := s.figure()
		if err != nil {
			return err
		}
		typed[i] = n
	}
	if s.joined() {
		return fmt.Errorf("%s: that is one length too many", s.before())
	}
	lex.ShareUnit(typed)
	for i, n := range typed {
		if err := sure(n); err != nil {
			return err
		}
		if n.Unit == lex.Degrees {
			return fmt.Errorf("%s is no length", n.Raw)
		}
		if s.inches && n.Unit == lex.Bare && n.Length != 0 {
			return fmt.Errorf("%s stands beside inches: is it inches or mm? give it with its unit", n.Raw)
		}
		*into[i] = n.Length
	}
	if into[0] == &s.Spec.Width {
		s.Spec.Inches = typed[0].InInches()
	}
	return nil
}

// joined reports whether another length is joined to the one before.
func (s *Survey) joined() bool {
	return s.at+1 < len(s.tokens) && (s.tokens[s.at].Mark == 'x' || s.tokens[s.at].Word == "by") && s.tokens[s.at+1].Kind == lex.NumberToken
}

func (s *Survey) leaf() error {
	return s.group(&s.Spec.Width, &s.Spec.Height, &s.Spec.Thickness)
}

// opening takes its width and height, or one of them: a number alone is the
// width.
func (s *Survey) opening() error {
	p := s.Spec
	height, width := s.take("height"), s.take("width")
	s.equals()
	switch {
	case s.at+1 < len(s.tokens) && (s.tokens[s.at+1].Mark == 'x' || s.tokens[s.at+1].Word == "by"):
		return s.group(&p.OpeningWidth, &p.OpeningHeight)
	case height:
		if err := s.group(&p.OpeningHeight); err != nil {
			return err
		}
		return s.otherSide("width", &p.OpeningWidth, true, p.Width != 0)
	}
	if err := s.group(&p.OpeningWidth); err != nil {
		return err
	}
	width = s.take("wide") || width
	return s.otherSide("height", &p.OpeningHeight, width, p.Height != 0 && (width || p.OpeningHeight == 0))
}

// otherSide takes the other side of an opening, if it stands next: near, where
// the first one was named, or anywhere behind a comma if the leaf's own is
// known. opening width 1068 height 2372; opening 1068 wide, 2372 high.
func (s *Survey) otherSide(word string, into *calc.Length, named, known bool) error {
	begin := s.at
	for s.at < len(s.tokens) && (s.tokens[s.at].Mark == ',' || s.tokens[s.at].Word == "and") {
		s.at++
	}
	size, clear := s.sizeBehind()
	switch {
	case named && clear && size != nil && (word == "height" && size == &s.Spec.Height || word == "width" && size == &s.Spec.Width):
		err := s.group(into)
		s.at++
		return err
	case (known || named && s.at == begin) && s.take(word):
		return s.group(into)
	}
	s.at = begin
	return nil
}

func (s *Survey) mass() error {
	n, err := s.number()
	if err != nil {
		return err
	}
	if n.Unit != lex.Bare {
		return fmt.Errorf("%s is no mass: give it in kg or lb", n.Raw)
	}
	s.Spec.Mass, s.Spec.Estimated = calc.Mass(n.Plain), false
	if s.at < len(s.tokens) {
		if u, ok := lex.MassUnits[s.tokens[s.at].Word]; ok {
			s.Spec.Mass *= u
			s.at++
		} else if s.tokens[s.at].Word == "stone" { // it may be a floor, too
			s.at++
			return fmt.Errorf("%s stone is no mass I take: give it in kg or lb", n.Raw)
		}
	}
	switch {
	case s.take("estimated"):
		s.Spec.Estimated = true
	case s.take("weighed"):
	}
	return nil
}

func (s *Survey) cover() error {
	begin := s.tokens[s.at-1].Start
	if s.take("none") { // it was another door's
		s.Spec.HasCover, s.Spec.Cover = false, 0
		return nil
	}
	l, err := s.length()
	if err != nil {
		return err
	}
	s.Spec.HasCover, s.Spec.Cover = true, l
	s.Bottom = s.Text[begin:s.tokens[s.at-1].End]
	for s.take("over") || s.take("to") {
	}
	switch {
	case s.take("pipe"), s.take("pipes"):
		s.Spec.CoverTo = "pipe"
	case s.take("back"):
		s.Spec.CoverTo = "back"
	}
	return nil
}
