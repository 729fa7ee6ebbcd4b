package survey

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// sizeBehind returns the size whose word stands behind the number at hand, as
// in 44 thick, nil if none does. It is not clear if the word may be that of the
// next number.
func (s *Survey) sizeBehind() (into *calc.Length, clear bool) {
	if s.at+1 >= len(s.tokens) || s.tokens[s.at].Kind != lex.NumberToken {
		return nil, true
	}
	word := s.tokens[s.at+1].Word
	f := vocab.behind[word]
	if f == nil {
		return nil, true
	}
	clear = slices.Contains(f.After, word) || s.joined(s.at+3) || s.at+2 == len(s.tokens) || s.tokens[s.at+2].Kind != lex.NumberToken && s.tokens[s.at+2].Mark != '='
	return f.At(s.Spec).(*calc.Length), clear
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
		return nil, say.F("%s wants a number after it", s.before())
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
	if n.Toleranced {
		return say.F("%s is no one number: say what was measured, and where it is anything between two the worse of them", n.Raw)
	}
	if !n.Sure() {
		return say.F("the number %s can be read in two ways: write it plainly, as 1100 or 43-1/2 in", n.Raw)
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
			if !s.joined(s.at) {
				return say.F("%s: want %s lengths joined by x", s.before(), len(into))
			}
			s.at++
		}
		n, err := s.figure()
		if err != nil {
			return err
		}
		typed[i] = n
	}
	if s.joined(s.at) {
		return say.F("%s: that is one length too many", s.before())
	}
	lex.ShareUnit(typed)
	for i, n := range typed {
		if err := sure(n); err != nil {
			return err
		}
		if n.Unit == lex.Degrees {
			return say.F("%s is no length", n.Raw)
		}
		if n.Unitless(s.inches) {
			return &lex.UnitError{Raw: n.Raw, Beside: true}
		}
		*into[i] = n.Length
		if err := s.once(fieldAt(s.Spec, into[i])); err != nil {
			return err
		}
	}
	if into[0] == &s.Spec.Width {
		s.Spec.Inches = typed[0].InInches()
	}
	return nil
}

// either takes a length that goes one way or the other, by its sign or by the
// words that the field has for it: 3 to heel, level, 2 to lead.
func (s *Survey) either(f *jobs.Field, into **calc.Length) error {
	s.equals()
	l := new(calc.Length)
	switch {
	case s.take("none"): // it was another door's
		*into = nil
		return nil
	case f.Ways != nil && s.take(f.Ways[1]):
		*into = l
		return nil
	}
	n, err := s.figure()
	if err != nil {
		return err
	}
	if n.Doubt == lex.WordIn && n.Length != 0 { // 3 in may be 3 mm into the opening
		figure := strings.TrimSpace(n.Raw[:len(n.Raw)-len("in")])
		return say.F("%s: inches, or mm into the opening? say %s inches or %s mm", n.Raw, figure, figure)
	}
	s.at--
	if err := s.group(l); err != nil {
		return err
	}
	if f.Ways != nil {
		plus, minus := s.takeWords(f.Ways[0]), s.takeWords(f.Ways[2])
		switch {
		case n.Signed:
			return say.F("%s: say it without a sign, %s or %s", n.Raw, say.Name(f.Ways[0]), say.Name(f.Ways[2]))
		case minus:
			*l = -*l
		case !plus && *l != 0:
			return say.F("%s: say which way, %s or %s", n.Raw, say.Name(f.Ways[0]), say.Name(f.Ways[2]))
		}
	}
	*into = l
	return nil
}

// leaf takes a leaf's three sizes, or two of them: then its thickness is asked for,
// unless it is said elsewhere.
func (s *Survey) leaf() error {
	if s.isPair() {
		err := s.group(&s.Spec.Width, &s.Spec.Height)
		s.whole = err == nil
		return err
	}
	err := s.group(&s.Spec.Width, &s.Spec.Height, &s.Spec.Thickness)
	s.whole = err == nil
	return err
}

// opening takes its width and height, or one of them: a number alone is the
// width, unless the height is what was named.
func (s *Survey) opening(height bool) error {
	p := s.Spec
	width := s.take("width")
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
		return say.F("%s is no mass: give it in kg or lb", n.Raw)
	}
	pounds, said := s.Spec.Pounds, false
	s.Spec.Mass, s.Spec.Estimated = calc.Mass(n.Plain), false
	if s.at < len(s.tokens) {
		if u, ok := lex.MassUnits[s.tokens[s.at].Word]; ok {
			s.Spec.Mass *= u
			s.Spec.Pounds, said = u == calc.Pound, true
			s.at++
		} else if s.tokens[s.at].Word == "stone" { // it may be a floor, too
			s.at++
			return say.F("%s stone is no mass I take: give it in kg or lb", n.Raw)
		}
	}
	switch {
	case pounds && !said:
		return say.F("%s: is that kg or lb? the door's mass was given in lb: give it with its unit", n.Raw)
	case s.take("estimated"):
		s.Spec.Estimated = true
	case s.take("weighed"):
	}
	return s.once(jobs.FieldNamed("mass"))
}

func (s *Survey) cover() error {
	begin := s.tokens[s.at-1].Start
	if s.take("none") { // it was another door's
		s.Spec.HasCover, s.Spec.Cover, s.Spec.CoverTo = false, 0, ""
		return nil
	}
	l, err := s.length()
	if err != nil {
		return err
	}
	s.Spec.HasCover, s.Spec.Cover = true, l
	s.Cover = s.Text[begin:s.tokens[s.at-1].End]
	for s.take("over") || s.take("to") || s.take("above") || s.take("the") || s.take("a") {
	}
	switch {
	case s.take("heating"), s.take("water"):
		if !s.take("pipe") && !s.take("pipes") {
			return say.F("%s: a pipe, or something else? say pipe, cable or back", s.before())
		}
		s.Spec.CoverTo = "pipe"
	case s.take("pipe"), s.take("pipes"), s.take("cable"), s.take("cables"): // a cable is located as a pipe is
		s.Spec.CoverTo = "pipe"
	case s.take("back"):
		s.Spec.CoverTo = "back"
	}
	return nil
}
