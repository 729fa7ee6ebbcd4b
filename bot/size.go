package bot

import (
	"fmt"
	"slices"

	"heelpost/calc"
)

// sizeBehind returns the size whose word stands behind the number at hand, as
// in 44 thick, nil if none does. It is not clear if the word may be that of the
// next number.
func (s *survey) sizeBehind() (into *calc.Length, clear bool) {
	if s.at+1 >= len(s.tokens) || s.tokens[s.at].kind != numberToken {
		return nil, true
	}
	p := s.spec
	switch s.tokens[s.at+1].word {
	case "wide":
		return &p.Width, true
	case "high", "tall":
		return &p.Height, true
	case "thick":
		return &p.Thickness, true
	}
	clear = s.at+2 == len(s.tokens) || s.tokens[s.at+2].kind != numberToken && s.tokens[s.at+2].mark != '='
	return map[string]*calc.Length{"width": &p.Width, "height": &p.Height, "thickness": &p.Thickness, "setback": &p.Setback,
		"lining": &p.Lining, "covering": &p.Covering}[s.tokens[s.at+1].word], clear
}

// equals passes over what may stand between a name and its number.
func (s *survey) equals() {
	for s.at < len(s.tokens) && (s.tokens[s.at].mark == '=' || s.tokens[s.at].mark == ':' || slices.Contains([]string{"to", "is", "at"}, s.tokens[s.at].word)) {
		s.at++
	}
}

// figure takes a number that stands next, as it was typed.
func (s *survey) figure() (*number, error) {
	s.equals()
	if s.at == len(s.tokens) || s.tokens[s.at].kind != numberToken {
		return nil, fmt.Errorf("%s wants a number after it", s.before())
	}
	s.at++
	return &s.tokens[s.at-1].num, nil
}

// number takes a number that stands next and can be read in one way only.
func (s *survey) number() (*number, error) {
	n, err := s.figure()
	if err != nil {
		return nil, err
	}
	return n, sure(n)
}

func sure(n *number) error {
	if n.doubt != certain && n.doubt != wordIn {
		return fmt.Errorf("the number %s can be read in two ways: write it plainly, as 1100 or 43-1/2 in", n.raw)
	}
	return nil
}

// before returns the token before the next one.
func (s *survey) before() string {
	if s.at == 0 {
		return "this"
	}
	return s.raw(&s.tokens[s.at-1])
}

// length takes a length that stands next.
func (s *survey) length() (calc.Length, error) {
	var l calc.Length
	return l, s.group(&l)
}

// group takes lengths joined by x.
func (s *survey) group(into ...*calc.Length) error {
	typed := make([]*number, len(into))
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
	shareUnit(typed)
	for i, n := range typed {
		if err := sure(n); err != nil {
			return err
		}
		if n.unit == degrees {
			return fmt.Errorf("%s is no length", n.raw)
		}
		if s.inches && n.unit == bare && n.length != 0 {
			return fmt.Errorf("%s stands beside inches: is it inches or mm? give it with its unit", n.raw)
		}
		*into[i] = n.length
	}
	if into[0] == &s.spec.Width {
		s.spec.Inches = typed[0].inInches()
	}
	return nil
}

// joined reports whether another length is joined to the one before.
func (s *survey) joined() bool {
	return s.at+1 < len(s.tokens) && (s.tokens[s.at].mark == 'x' || s.tokens[s.at].word == "by") && s.tokens[s.at+1].kind == numberToken
}

func (s *survey) leaf() error {
	return s.group(&s.spec.Width, &s.spec.Height, &s.spec.Thickness)
}

// opening takes its width and height, or one of them: a number alone is the
// width.
func (s *survey) opening() error {
	p := s.spec
	height, width := s.take("height"), s.take("width")
	s.equals()
	switch {
	case s.at+1 < len(s.tokens) && (s.tokens[s.at+1].mark == 'x' || s.tokens[s.at+1].word == "by"):
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
func (s *survey) otherSide(word string, into *calc.Length, named, known bool) error {
	begin := s.at
	for s.at < len(s.tokens) && (s.tokens[s.at].mark == ',' || s.tokens[s.at].word == "and") {
		s.at++
	}
	size, clear := s.sizeBehind()
	switch {
	case named && clear && size != nil && (word == "height" && size == &s.spec.Height || word == "width" && size == &s.spec.Width):
		err := s.group(into)
		s.at++
		return err
	case (known || named && s.at == begin) && s.take(word):
		return s.group(into)
	}
	s.at = begin
	return nil
}

// massUnits are the units of a mass, in kg.
var massUnits = map[string]calc.Mass{"kg": 1, "kilos": 1, "kilograms": 1, "lb": calc.Pound, "lbs": calc.Pound, "pounds": calc.Pound}

func (s *survey) mass() error {
	n, err := s.number()
	if err != nil {
		return err
	}
	if n.unit != bare {
		return fmt.Errorf("%s is no mass: give it in kg or lb", n.raw)
	}
	s.spec.Mass, s.spec.Estimated = calc.Mass(n.plain), false
	if s.at < len(s.tokens) {
		if u, ok := massUnits[s.tokens[s.at].word]; ok {
			s.spec.Mass *= u
			s.at++
		} else if s.tokens[s.at].word == "stone" { // it may be a floor, too
			s.at++
			return fmt.Errorf("%s stone is no mass I take: give it in kg or lb", n.raw)
		}
	}
	switch {
	case s.take("estimated"):
		s.spec.Estimated = true
	case s.take("weighed"):
	}
	return nil
}

func (s *survey) cover() error {
	begin := s.tokens[s.at-1].start
	if s.take("none") { // it was another door's
		s.spec.HasCover, s.spec.Cover = false, 0
		return nil
	}
	l, err := s.length()
	if err != nil {
		return err
	}
	s.spec.HasCover, s.spec.Cover = true, l
	s.bottom = s.text[begin:s.tokens[s.at-1].end]
	for s.take("over") || s.take("to") {
	}
	switch {
	case s.take("pipe"), s.take("pipes"):
		s.spec.CoverTo = "pipe"
	case s.take("back"):
		s.spec.CoverTo = "back"
	}
	return nil
}
