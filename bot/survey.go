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
// hardware, people. Words of the spec stand before their values; floors and
// sheets that the site knows may stand alone.
type survey struct {
	asked  bool   // that there is something else was asked
	inches bool   // lengths without a unit stand beside inches
	text   string // with misspelt names put right
	tokens []token
	at     int
	spec   *jobs.Spec
	names  *names
	parts  int      // understood so far
	read   []string // what was put right
	floor  string   // what was said so far
	sheet  string
	bottom string // the cover as it was said, if not to what
}

// names are what a description can name without a word in front of it.
type names struct {
	floors, sheets []string
	site           *jobs.Site // nil: nobody is known
}

// names returns what is known at a site.
func (d *Desk) names(site *jobs.Site) *names {
	n := &names{site: site}
	if site != nil {
		n.sheets, n.floors = d.choice(site)
	}
	return n
}

// person reports whether somebody of the site goes by that name.
func (n *names) person(id string) bool {
	if n.site == nil {
		return false
	}
	_, ok := n.site.Person(id)
	return ok
}

// readSurvey puts what the text says into the spec. It returns a *part for
// the first one that it can't place.
func readSurvey(text string, spec *jobs.Spec, n *names) (*survey, error) {
	s := &survey{text: text, tokens: lex(text, nil), spec: spec, names: n, inches: spec.Inches}
	before, _ := beforeEvidence(text)
	for i := range s.tokens {
		t := &s.tokens[i]
		s.inches = s.inches || t.kind == numberToken && t.end <= len(before) && t.num.inInches()
	}
	for s.at < len(s.tokens) {
		from := s.at
		if err := s.next(); err != nil {
			return s, s.missed(from, err)
		}
		t := &s.tokens[from]
		if t.kind != markToken && !idleWords[t.word] {
			s.parts++
		}
	}
	return s, nil
}

// next reads one thing said.
func (s *survey) next() error {
	switch s.tokens[s.at].kind {
	case markToken:
		s.at++
		return nil
	case numberToken:
		if s.at+1 < len(s.tokens) && (massUnits[s.tokens[s.at+1].word] != 0 || massWords[s.tokens[s.at+1].word]) {
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
	case t.word == "set" && s.take("back"):
		return s.group(&s.spec.Setback)
	case surveyWords[t.word]:
		return s.phrase(t.word)
	case slices.Contains(s.names.floors, t.word) && slices.Contains(s.names.sheets, t.word):
		return fmt.Errorf("%s is a floor and a sheet: say floor %s or sheet %s", t.word, t.word, t.word)
	case slices.Contains(s.names.floors, t.word):
		return s.bare("floor", t.word, &s.floor, &s.spec.Floor)
	case slices.Contains(s.names.sheets, t.word):
		s.spec.SheetHash = ""
		return s.bare("sheet", t.word, &s.sheet, &s.spec.Sheet)
	}
	return fmt.Errorf("%q is nothing I know in a door's description", s.raw(t))
}

// bare takes a name that stands without its word in front.
func (s *survey) bare(what, name string, said, into *string) error {
	if *said != "" && *said != name {
		return fmt.Errorf("%s and %s are two %ss", *said, name, what)
	}
	*said, *into = name, name
	return nil
}

// surveyWords are the words of a door's description: a name ends where one
// of them begins.
var surveyWords = wordSet(`leaf width height thickness opening mass weight weighs setback covering lining stop floor cover heated unheated
	sheet crew foreman both one left right seen fire smoke escape ordinary seals latch no without cycles evidence
	and door with it has swings swing else`)

var (
	sizeWords   = wordSet("width height thickness opening mass weight setback covering lining cover")
	choiceWords = wordSet("heated unheated both one left right fire smoke escape ordinary seals latch")
	takesValue  = wordSet("width height thickness opening mass weight weighs setback covering lining stop cover floor sheet crew foreman cycles evidence")
	massWords   = wordSet("weighed estimated")
	statusWords = wordSet("fire smoke escape")
	idleWords   = wordSet("leaf and door with it has swings swing")
)

func wordSet(text string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(text) {
		set[w] = true
	}
	return set
}

// phrase reads what stands after a word of the description.
func (s *survey) phrase(word string) error {
	p := s.spec
	switch word {
	case "else":
		s.asked = true
		s.skip("nothing", "none", "no")
	case "leaf":
		if s.at < len(s.tokens) && (surveyWords[s.tokens[s.at].word] || s.misspelt(s.at) != "") {
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
		return s.named("floor", s.names.floors, &s.floor, &p.Floor)
	case "cover":
		return s.cover()
	case "heated", "unheated":
		p.Heated = word == "heated" != s.denied()
	case "sheet":
		p.SheetHash = "" // the current one of that name
		return s.named("sheet", s.names.sheets, &s.sheet, &p.Sheet)
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

func (s *survey) raw(t *token) string { return s.text[t.start:t.end] }

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
		if t.kind == markToken || t.word == "and" && s.at+1 < len(s.tokens) && (s.text[s.tokens[s.at+1].start] == '@' || s.names.person(s.raw(&s.tokens[s.at+1]))) {
			continue
		}
		if t.kind == numberToken {
			return out
		}
		named := t.start > 0 && s.text[t.start-1] == '@'
		if !named && (surveyWords[t.word] || s.misspelt(s.at) != "" || s.begins(s.at) && !s.names.person(s.raw(t))) {
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
		if surveyWords[t.word] || s.misspelt(s.at) != "" {
			break
		}
		end = t.end
	}
	if end == 0 {
		return errors.New("seen from which side? as in left seen from the corridor")
	}
	side := strings.TrimSpace(s.text[start:end])
	first, _, _ := strings.Cut(strings.ToLower(side), " ")
	if agrees(side) || massWords[first] || slices.Contains(asking, first) || first == "how" {
		return fmt.Errorf("%q is no side: seen from where? as in left seen from the corridor", cutText(side, 40))
	}
	s.spec.SeenFrom = side
	return nil
}

func (s *survey) status(word string) error {
	if s.denied() {
		return fmt.Errorf("say what the door is, not what it is not: fire, smoke, escape or ordinary")
	}
	if before := s.tokens[max(0, s.at-2)].word; before == "ordinary" && word != "ordinary" || word == "ordinary" && statusWords[before] {
		return fmt.Errorf("%s and %s contradict each other", before, word)
	}
	if word == "ordinary" {
		s.spec.Status = []string{"none"}
	} else if !slices.Contains(s.spec.Status, word) {
		s.spec.Status = append(slices.DeleteFunc(s.spec.Status, func(w string) bool { return w == "none" }), word)
	}
	s.skip("door")
	return nil
}

// denied takes a yes or no behind a word, as in latch: no.
func (s *survey) denied() bool {
	begin := s.at
	for s.at < len(s.tokens) && (s.tokens[s.at].mark == '=' || s.tokens[s.at].mark == ':') {
		s.at++
	}
	if s.take("no") {
		if s.at == len(s.tokens) || s.tokens[s.at].kind == markToken {
			return true
		}
	} else if s.take("yes") {
		return false
	}
	s.at = begin // latch no seals
	return false
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

// errUnnamed says that gaps of test evidence were given without a word on
// which evidence that is.
var errUnnamed = errors.New("which test evidence are these gaps from? as report 27-118 sheet 4")

// evidence reads the gaps of a fire or smoke door's test evidence: heel, lead,
// and which evidence that is, to the end of the text.
func (s *survey) evidence() error {
	gaps := false
	for s.at < len(s.tokens) {
		var into *calc.Length
		switch {
		case s.tokens[s.at].kind == markToken:
			s.at++
			continue
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
		*into, gaps = l, true
	}
	if gaps {
		return errUnnamed
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

// named takes the name of a floor or a sheet that stands behind its word, or
// stood before it, as in screed floor.
func (s *survey) named(what string, known []string, said, into *string) error {
	before := s.tokens[max(0, s.at-2)].word
	s.equals()
	behind := s.at < len(s.tokens) && s.tokens[s.at].kind == wordToken && !surveyWords[s.tokens[s.at].word]
	switch {
	case *said != "" && before == *said && behind && slices.Contains(known, s.tokens[s.at].word):
		return fmt.Errorf("%s and %s are two %ss", before, s.tokens[s.at].word, what)
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
type wantedPart struct{ Ask, Before string }

var wanted = map[string]wantedPart{
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
