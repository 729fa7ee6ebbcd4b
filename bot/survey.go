package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/calc"
	"heelpost/jobs"
)

// survey reads what is said of a door into its spec: dimensions, floor,
// hardware, people. Words of the spec stand before their values.
type survey struct {
	text   string
	tokens []token
	at     int
	spec   *jobs.Spec
}

// readSurvey puts what the text says into the spec. It returns an error that
// names the first thing it can't place.
func readSurvey(text string, spec *jobs.Spec) error {
	s := &survey{text: text, tokens: lex(text, nil), spec: spec}
	for s.at < len(s.tokens) {
		if err := s.next(); err != nil {
			return err
		}
	}
	return nil
}

// next reads one thing said.
func (s *survey) next() error {
	t := &s.tokens[s.at]
	switch t.kind {
	case markToken:
		s.at++
		return nil
	case numberToken:
		if s.at+1 < len(s.tokens) && massUnits[s.tokens[s.at+1].word] != 0 {
			return s.mass()
		}
		return s.leaf()
	}
	s.at++
	if surveyWords[t.word] {
		return s.read(t.word)
	}
	return fmt.Errorf("%q is nothing I know in a door's description; help door tells what belongs there", s.raw(t))
}

// surveyWords are the words of a door's description: a name ends where one
// of them begins.
var surveyWords = wordSet(`leaf width height thickness opening mass weighs setback covering lining stop floor cover heated unheated
	sheet crew foreman both one left right seen fire smoke escape ordinary seals latch no without cycles evidence
	and door with`)

func wordSet(text string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(text) {
		set[w] = true
	}
	return set
}

// read reads what stands after a word of the description.
func (s *survey) read(word string) (err error) {
	p := s.spec
	switch word {
	case "leaf":
		if s.at < len(s.tokens) && surveyWords[s.tokens[s.at].word] {
			return nil // leaf width 1050
		}
		return s.leaf()
	case "width":
		return s.group(&p.Width)
	case "height":
		return s.group(&p.Height)
	case "thickness":
		return s.group(&p.Thickness)
	case "opening":
		return s.opening()
	case "mass", "weighs":
		return s.mass()
	case "setback":
		return s.group(&p.Setback)
	case "covering":
		return s.group(&p.Covering)
	case "lining":
		return s.group(&p.Lining)
	case "stop":
		return s.group(&p.StopWidth)
	case "floor":
		p.Floor, err = s.word("floor")
		p.Floor = strings.ToLower(p.Floor)
	case "cover":
		return s.cover()
	case "heated", "unheated":
		p.Heated = word == "heated"
	case "sheet":
		p.SheetHash = "" // the current one of that name
		p.Sheet, err = s.word("sheet")
	case "crew":
		if p.Crew = s.people(); len(p.Crew) == 0 {
			return errors.New("crew wants people after it, as crew @ana @bo")
		}
	case "foreman":
		return s.foreman()
	case "both":
		p.Swing, p.Handing, p.SeenFrom = jobs.BothWays, "", ""
		s.skip("ways", "way")
	case "one":
		p.Swing = jobs.OneWay
		for s.take("way") || s.take("against") || s.take("fixed") || s.take("stop") {
		}
	case "left", "right":
		p.Handing = word
		s.skip("hand", "handed")
	case "seen":
		return s.seenFrom()
	case "fire", "smoke", "escape", "ordinary":
		s.status(word)
	case "seals":
		p.Seals = true
	case "latch":
		p.Latch = true
	case "no", "without":
		return s.without()
	case "cycles":
		return s.cycles()
	case "evidence":
		return s.evidence()
	}
	return err
}

func (s *survey) raw(t *token) string { return s.text[t.start:t.end] }

// equals passes over what may stand between a name and its number.
func (s *survey) equals() {
	for s.at < len(s.tokens) && (s.tokens[s.at].mark == '=' || s.tokens[s.at].word == "to") {
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
			if s.at == len(s.tokens) || s.tokens[s.at].mark != 'x' {
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
	shareUnit(typed)
	for i, n := range typed {
		if err := sure(n); err != nil {
			return err
		}
		if n.unit == degrees {
			return fmt.Errorf("%s is no length", n.raw)
		}
		*into[i] = n.length
	}
	return nil
}

func (s *survey) leaf() error {
	return s.group(&s.spec.Width, &s.spec.Height, &s.spec.Thickness)
}

// opening takes its width and height, or one of them: a number alone is the
// width.
func (s *survey) opening() error {
	height := s.take("height")
	s.skip("width")
	s.equals()
	switch {
	case s.at+1 < len(s.tokens) && s.tokens[s.at+1].mark == 'x':
		return s.group(&s.spec.OpeningWidth, &s.spec.OpeningHeight)
	case height:
		return s.group(&s.spec.OpeningHeight)
	}
	return s.group(&s.spec.OpeningWidth)
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
	if s.take("none") { // it was another door's
		s.spec.HasCover, s.spec.Cover = false, 0
		return nil
	}
	l, err := s.length()
	if err != nil {
		return err
	}
	s.spec.HasCover, s.spec.Cover = true, l
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

func (s *survey) foreman() error {
	people := s.people()
	if len(people) != 1 {
		return errors.New("foreman wants one person after it, as foreman @mo")
	}
	s.spec.Foreman = people[0]
	return nil
}

// people takes the names that stand next, up to a word of the description.
func (s *survey) people() []string {
	var out []string
	for ; s.at < len(s.tokens); s.at++ {
		t := &s.tokens[s.at]
		if t.kind == markToken {
			continue
		}
		if t.kind == numberToken {
			return out
		}
		named := t.start > 0 && s.text[t.start-1] == '@'
		if surveyWords[t.word] && !named {
			return out
		}
		out = append(out, s.raw(t))
	}
	return out
}

func (s *survey) seenFrom() error {
	s.take("from")
	start, end := s.tokens[s.at-1].end, 0
	for ; s.at < len(s.tokens) && s.tokens[s.at].kind == wordToken; s.at++ {
		t := &s.tokens[s.at]
		if surveyWords[t.word] {
			break
		}
		end = t.end
	}
	if end == 0 {
		return errors.New("seen from which side? as in left seen from the corridor")
	}
	s.spec.SeenFrom = strings.TrimSpace(s.text[start:end])
	return nil
}

func (s *survey) status(word string) {
	if word == "ordinary" {
		s.spec.Status = []string{"none"}
	} else if !slices.Contains(s.spec.Status, word) {
		s.spec.Status = append(slices.DeleteFunc(s.spec.Status, func(w string) bool { return w == "none" }), word)
	}
	s.skip("door")
}

func (s *survey) without() error {
	switch {
	case s.take("pins"):
		s.spec.Pinless = true
	case s.take("seals"):
		s.spec.Seals = false
	case s.take("latch"):
		s.spec.Latch = false
	default:
		return fmt.Errorf("%s what? pins, seals or latch", s.before())
	}
	return nil
}

func (s *survey) cycles() error {
	n, err := s.number()
	if err != nil {
		return err
	}
	if n.unit != bare || n.plain != float64(int(n.plain)) || n.plain < 0 || n.plain > 10_000 {
		return fmt.Errorf("%s is no number of cycles a day: 0 to 10000", n.raw)
	}
	s.spec.CyclesDay = int(n.plain)
	s.skip("day", "daily")
	return nil
}

// evidence reads the gaps of a fire or smoke door's test evidence: heel, lead,
// and which evidence that is, to the end of the text.
func (s *survey) evidence() error {
	for s.at < len(s.tokens) {
		var into *calc.Length
		switch {
		case s.take("heel"):
			into = &s.spec.EvidenceHeel
		case s.take("lead"), s.take("leading"):
			into = &s.spec.EvidenceLead
		default:
			s.spec.Evidence = strings.TrimSpace(s.text[s.tokens[s.at].start:])
			s.at = len(s.tokens)
			return nil
		}
		l, err := s.length()
		if err != nil {
			return err
		}
		*into = l
	}
	return nil
}

// beforeEvidence cuts a description where its evidence begins, whose name goes
// on to the end: what is added stands before it.
func beforeEvidence(text string) (before, evidence string) {
	for _, t := range lex(text, nil) {
		if t.kind == wordToken && t.word == "evidence" && text[max(0, t.start-1)] != '@' {
			return text[:t.start], " " + text[t.start:]
		}
	}
	return text, ""
}

// word takes the word that stands next, as typed.
func (s *survey) word(after string) (string, error) {
	if s.at == len(s.tokens) || s.tokens[s.at].kind != wordToken {
		return "", fmt.Errorf("%s wants a word after it", after)
	}
	s.at++
	return s.raw(&s.tokens[s.at-1]), nil
}

// take takes a word if it stands next.
func (s *survey) take(word string) bool {
	if s.at < len(s.tokens) && s.tokens[s.at].kind == wordToken && s.tokens[s.at].word == word {
		s.at++
		return true
	}
	return false
}

// skip takes one of the words if it stands next.
func (s *survey) skip(words ...string) {
	for _, w := range words {
		if s.take(w) {
			return
		}
	}
}

// wanted is how a missing part of the description is asked for, and what to
// put before the reply.
var wanted = map[string]struct{ ask, before string }{
	"door":           {"which door? give its id, as A-101", ""},
	"width":          {"the leaf, width x height x thickness, as 1050x2350x44", "leaf"},
	"height":         {"the leaf's height, as 2350", "height"},
	"thickness":      {"the leaf's thickness, as 44", "thickness"},
	"setback":        {"the setback, from the leaf's heel edge to the pivot axis, as 65", "setback"},
	"opening":        {"the opening between finished jambs, width x height, as 1068x2372", "opening"},
	"opening height": {"the opening's height, as 2372", "opening height"},
	"swing":          {"does it swing both ways, or one way against a fixed stop?", ""},
	"handing":        {"is it left or right, and seen from which side? as left seen from the corridor", ""},
	"seen from":      {"seen from which side is that? as the corridor", "seen from"},
	"mass":           {"the leaf's mass in kg or lb, weighed or estimated, as 88 weighed", "mass"},
	"floor":          {"what the floor plate stands on, as the sheet names it: screed, concrete", "floor"},
	"status":         {"is it a fire, smoke or escape door, or an ordinary one?", ""},
	"sheet":          {"which hardware sheet?", "sheet"},
	"crew":           {"who is the crew? as @ana @bo", "crew"},
	"foreman":        {"who is the foreman? as @mo", "foreman"},
}
