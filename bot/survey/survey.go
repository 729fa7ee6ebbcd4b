// Package survey reads a door's description as people type it, in one line and
// any order, and says which part it could not make out so that the rest is
// kept.
package survey

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/calc"
	"heelpost/jobs"
)

// Survey reads what is said of a door into its spec: dimensions, floor,
// hardware, people. Words of the spec stand before their values; floors and
// sheets that the site knows may stand alone.
type Survey struct {
	Asked  bool   // that there is something else was asked
	inches bool   // lengths without a unit stand beside inches
	Text   string // with misspelt names put right
	tokens []lex.Token
	at     int
	Spec   *jobs.Spec
	names  *Names
	Parts  int      // understood so far
	Read   []string // what was put right
	floor  string   // what was said so far
	sheet  string
	Bottom string // the cover as it was said, if not to what
}

// Names are what a description can name without a word in front of it.
type Names struct {
	Floors, Sheets []string
	Site           *jobs.Site // nil: nobody is known
}

// Person reports whether somebody of the site goes by that name.
func (n *Names) Person(id string) bool {
	if n.Site == nil {
		return false
	}
	_, ok := n.Site.Person(id)
	return ok
}

// ReadSurvey puts what the text says into the spec. It returns a *part for
// the first one that it can't place.
func ReadSurvey(text string, spec *jobs.Spec, n *Names) (*Survey, error) {
	s := &Survey{Text: text, tokens: lex.Lex(text, nil), Spec: spec, names: n, inches: spec.Inches}
	before, _ := BeforeEvidence(text)
	for i := range s.tokens {
		t := &s.tokens[i]
		s.inches = s.inches || t.Kind == lex.NumberToken && t.End <= len(before) && t.Num.InInches()
	}
	for s.at < len(s.tokens) {
		from := s.at
		if err := s.next(); err != nil {
			return s, s.missed(from, err)
		}
		t := &s.tokens[from]
		if t.Kind != lex.MarkToken && !idleWords[t.Word] {
			s.Parts++
		}
	}
	return s, nil
}

// next reads one thing said.
func (s *Survey) next() error {
	switch s.tokens[s.at].Kind {
	case lex.MarkToken:
		s.at++
		return nil
	case lex.NumberToken:
		if s.at+1 < len(s.tokens) && (lex.MassUnits[s.tokens[s.at+1].Word] != 0 || massWords[s.tokens[s.at+1].Word]) {
			return s.mass()
		}
		if into, clear := s.sizeBehind(); into != nil && !clear {
			s.at += 3
			return fmt.Errorf("%s stands between two numbers", s.raw(&s.tokens[s.at-2]))
		} else if into != nil {
			err := s.group(into)
			s.at++
			return err
		}
		return s.leaf()
	}
	if w := s.misspelt(s.at); w != "" {
		s.correct(w)
	}
	t := &s.tokens[s.at]
	s.at++
	switch {
	case t.Word == "set" && s.take("back"):
		return s.group(&s.Spec.Setback)
	case surveyWords[t.Word]:
		return s.phrase(t.Word)
	case slices.Contains(s.names.Floors, t.Word) && slices.Contains(s.names.Sheets, t.Word):
		return fmt.Errorf("%s is a floor and a sheet: say floor %s or sheet %s", t.Word, t.Word, t.Word)
	case slices.Contains(s.names.Floors, t.Word):
		return s.bare("floor", t.Word, &s.floor, &s.Spec.Floor)
	case slices.Contains(s.names.Sheets, t.Word):
		s.Spec.SheetHash = ""
		return s.bare("sheet", t.Word, &s.sheet, &s.Spec.Sheet)
	}
	return fmt.Errorf("%q is nothing I know in a door's description", s.raw(t))
}

// bare takes a name that stands without its word in front.
func (s *Survey) bare(what, name string, said, into *string) error {
	if *said != "" && *said != name {
		return fmt.Errorf("%s and %s are two %ss", *said, name, what)
	}
	*said, *into = name, name
	return nil
}

// surveyWords are the words of a door's description: a name ends where one
// of them begins.
var surveyWords = lex.WordSet(`leaf width height thickness opening mass weight weighs setback covering lining stop floor cover heated unheated
	sheet crew foreman both one left right seen fire smoke escape ordinary seals latch no without cycles evidence
	and door with it has swings swing else`)

var (
	sizeWords   = lex.WordSet("width height thickness opening mass weight setback covering lining cover")
	choiceWords = lex.WordSet("heated unheated both one left right fire smoke escape ordinary seals latch")
	takesValue  = lex.WordSet("width height thickness opening mass weight weighs setback covering lining stop cover floor sheet crew foreman cycles evidence")
	massWords   = lex.WordSet("weighed estimated")
	statusWords = lex.WordSet("fire smoke escape")
	idleWords   = lex.WordSet("leaf and door with it has swings swing")
)

// phrase reads what stands after a word of the description.
func (s *Survey) phrase(word string) error {
	p := s.Spec
	switch word {
	case "else":
		s.Asked = true
		s.skip("nothing", "none", "no")
	case "leaf":
		if s.at < len(s.tokens) && (surveyWords[s.tokens[s.at].Word] || s.misspelt(s.at) != "") {
			return nil // leaf width 1050
		}
		if into, _ := s.sizeBehind(); into != nil {
			return nil // leaf 1050 wide
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
	case "mass", "weight", "weighs":
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
		return s.named("floor", s.names.Floors, &s.floor, &p.Floor)
	case "cover":
		return s.cover()
	case "heated", "unheated":
		p.Heated = word == "heated" != s.denied()
	case "sheet":
		p.SheetHash = "" // the current one of that name
		return s.named("sheet", s.names.Sheets, &s.sheet, &p.Sheet)
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
		return s.status(word)
	case "seals":
		p.Seals = !s.denied()
	case "latch":
		p.Latch = !s.denied()
	case "no", "without":
		return s.without()
	case "cycles":
		return s.cycles()
	case "evidence":
		return s.evidence()
	}
	return nil
}

func (s *Survey) raw(t *lex.Token) string { return s.Text[t.Start:t.End] }

func (s *Survey) foreman() error {
	people := s.people()
	if len(people) != 1 {
		return errors.New("foreman wants one person after it, as foreman @mo")
	}
	s.Spec.Foreman = people[0]
	return nil
}

// people takes the names that stand next, up to a word of the description.
func (s *Survey) people() []string {
	var out []string
	for ; s.at < len(s.tokens); s.at++ {
		t := &s.tokens[s.at]
		if t.Kind == lex.MarkToken || t.Word == "and" && s.at+1 < len(s.tokens) && (s.Text[s.tokens[s.at+1].Start] == '@' || s.names.Person(s.raw(&s.tokens[s.at+1]))) {
			continue
		}
		if t.Kind == lex.NumberToken {
			return out
		}
		named := t.Start > 0 && s.Text[t.Start-1] == '@'
		if !named && (surveyWords[t.Word] || s.misspelt(s.at) != "" || s.begins(s.at) && !s.names.Person(s.raw(t))) {
			return out
		}
		out = append(out, s.raw(t))
	}
	return out
}

func (s *Survey) seenFrom() error {
	s.take("from")
	start, end := s.tokens[s.at-1].End, 0
	for ; s.at < len(s.tokens) && s.tokens[s.at].Kind == lex.WordToken; s.at++ {
		t := &s.tokens[s.at]
		if surveyWords[t.Word] || s.misspelt(s.at) != "" {
			break
		}
		end = t.End
	}
	if end == 0 {
		return errors.New("seen from which side? as in left seen from the corridor")
	}
	side := strings.TrimSpace(s.Text[start:end])
	first, _, _ := strings.Cut(strings.ToLower(side), " ")
	if lex.Agrees(side) || massWords[first] || slices.Contains(lex.Asking, first) || first == "how" {
		return fmt.Errorf("%q is no side: seen from where? as in left seen from the corridor", lex.CutText(side, 40))
	}
	s.Spec.SeenFrom = side
	return nil
}

func (s *Survey) status(word string) error {
	if s.denied() {
		return fmt.Errorf("say what the door is, not what it is not: fire, smoke, escape or ordinary")
	}
	if before := s.tokens[max(0, s.at-2)].Word; before == "ordinary" && word != "ordinary" || word == "ordinary" && statusWords[before] {
		return fmt.Errorf("%s and %s contradict each other", before, word)
	}
	if word == "ordinary" {
		s.Spec.Status = []string{"none"}
	} else if !slices.Contains(s.Spec.Status, word) {
		s.Spec.Status = append(slices.DeleteFunc(s.Spec.Status, func(w string) bool { return w == "none" }), word)
	}
	s.skip("door")
	return nil
}

// denied takes a yes or no behind a word, as in latch: no.
func (s *Survey) denied() bool {
	begin := s.at
	for s.at < len(s.tokens) && (s.tokens[s.at].Mark == '=' || s.tokens[s.at].Mark == ':') {
		s.at++
	}
	if s.take("no") {
		if s.at == len(s.tokens) || s.tokens[s.at].Kind == lex.MarkToken {
			return true
		}
	} else if s.take("yes") {
		return false
	}
	s.at = begin // latch no seals
	return false
}

func (s *Survey) without() error {
	switch {
	case s.take("pins"):
		s.Spec.Pinless = true
	case s.take("seals"):
		s.Spec.Seals = false
	case s.take("latch"):
		s.Spec.Latch = false
	default:
		return fmt.Errorf("%s what? pins, seals or latch", s.before())
	}
	return nil
}

func (s *Survey) cycles() error {
	n, err := s.number()
	if err != nil {
		return err
	}
	if n.Unit != lex.Bare || n.Plain != float64(int(n.Plain)) || n.Plain < 0 || n.Plain > 10_000 {
		return fmt.Errorf("%s is no number of cycles a day: 0 to 10000", n.Raw)
	}
	s.Spec.CyclesDay = int(n.Plain)
	s.skip("day", "daily")
	return nil
}

// ErrUnnamed says that gaps of test evidence were given without a word on
// which evidence that is.
var ErrUnnamed = errors.New("which test evidence are these gaps from? as report 27-118 sheet 4")

// evidence reads the gaps of a fire or smoke door's test evidence: heel, lead,
// and which evidence that is, to the end of the text.
func (s *Survey) evidence() error {
	gaps := false
	for s.at < len(s.tokens) {
		var into *calc.Length
		switch {
		case s.tokens[s.at].Kind == lex.MarkToken:
			s.at++
			continue
		case s.take("heel"):
			into = &s.Spec.EvidenceHeel
		case s.take("lead"), s.take("leading"):
			into = &s.Spec.EvidenceLead
		default:
			s.Spec.Evidence = strings.TrimSpace(s.Text[s.tokens[s.at].Start:])
			s.at = len(s.tokens)
			return nil
		}
		l, err := s.length()
		if err != nil {
			return err
		}
		*into, gaps = l, true
	}
	if gaps {
		return ErrUnnamed
	}
	return nil
}

// BeforeEvidence cuts a description where its evidence begins, whose name goes
// on to the end: what is added stands before it.
func BeforeEvidence(text string) (before, evidence string) {
	for _, t := range lex.Lex(text, nil) {
		if t.Kind == lex.WordToken && t.Word == "evidence" && text[max(0, t.Start-1)] != '@' {
			return text[:t.Start], " " + text[t.Start:]
		}
	}
	return text, ""
}

// named takes the name of a floor or a sheet that stands behind its word, or
// stood before it, as in screed floor.
func (s *Survey) named(what string, known []string, said, into *string) error {
	before := s.tokens[max(0, s.at-2)].Word
	s.equals()
	behind := s.at < len(s.tokens) && s.tokens[s.at].Kind == lex.WordToken && !surveyWords[s.tokens[s.at].Word]
	switch {
	case *said != "" && before == *said && behind && slices.Contains(known, s.tokens[s.at].Word):
		return fmt.Errorf("%s and %s are two %ss", before, s.tokens[s.at].Word, what)
	case *said != "" && before == *said:
		return nil
	case what == "floor" && (before == "heated" || before == "unheated") && !behind:
		return nil
	case !behind:
		return fmt.Errorf("%s wants a name after it", what)
	}
	name := s.raw(&s.tokens[s.at])
	if lower := strings.ToLower(name); what == "floor" || slices.Contains(known, lower) {
		name = lower
	}
	s.at++
	*said, *into = name, name
	return nil
}

// take takes a word if it stands next.
func (s *Survey) take(word string) bool {
	if s.at < len(s.tokens) && s.tokens[s.at].Kind == lex.WordToken && s.tokens[s.at].Word == word {
		s.at++
		return true
	}
	return false
}

// skip takes one of the words if it stands next.
func (s *Survey) skip(words ...string) {
	for _, w := range words {
		if s.take(w) {
			return
		}
	}
}

// wanted is how a missing part of the description is asked for, and what to
// put before the reply.
type wantedPart struct{ Ask, Before string }

var Wanted = map[string]wantedPart{
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
