// Package survey reads a door's description as people type it, in one line and
// any order, and says which part it could not make out so that the rest is
// kept.
package survey

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Survey reads a description of a door into its spec: dimensions, floor,
// hardware, people. The words of a field stand before its value; floors and
// sheets that the site knows may stand alone, and so may what chooses, as
// latch.
type Survey struct {
	Spec    *jobs.Spec
	Text    string     // as it was typed, with misspelt names put right
	Righted []say.Text // what was put right
	Parts   int        // how many parts were understood
	Else    bool       // it answers what else there is
	Meant   bool       // its gaps are meant, however wide
	Cover   string     // the cover as it was typed, where it does not say to what

	tokens []lex.Token
	at     int
	names  *Names
	inches bool   // lengths without a unit stand beside inches
	whole  bool   // the leaf is read, with its thickness or by its word
	floor  string // named so far
	sheet  string
	said   map[string]string // the value that each field was given in this text
}

// Names are what a description can name without a word in front of it.
type Names struct {
	Floors, Sheets []string
	Me             string     // who speaks, "" if that is nobody of the site
	Site           *jobs.Site // nil: nobody is known
	Replies        bool       // the text is one with replies in it, of which a later one replaces what stood
}

// Person reports whether somebody of the site goes by that name.
func (n *Names) Person(id string) bool {
	if n.Site == nil {
		return false
	}
	_, ok := n.Site.Person(id)
	return ok
}

// Read puts what the text says into the spec. It returns a [*Part] for the
// first one that it can't place.
func Read(text string, spec *jobs.Spec, n *Names) (*Survey, error) {
	text = hyphened.ReplaceAllString(text, "$1 $2")
	s := &Survey{Text: text, tokens: lex.Lex(text, nil), Spec: spec, names: n, inches: spec.Inches}
	before, _ := BeforeEvidence(text)
	for i := range s.tokens {
		t := &s.tokens[i]
		s.inches = s.inches || t.Kind == lex.NumberToken && t.End <= len(before) && t.Num.InInches()
	}
	for s.at < len(s.tokens) {
		from := s.at
		err := s.next()
		if err == nil {
			err = s.asked(from)
		}
		if err != nil {
			return s, s.missed(from, err)
		}
		t := &s.tokens[from]
		if t.Kind != lex.MarkToken && (!idleWords[t.Word] || s.at > from+1) {
			s.Parts++
		}
	}
	return s, nil
}

// hyphened matches what is one word or two: post-tensioned, hollow-core.
var hyphened = regexp.MustCompile(`(?i)\b(post|pre|hollow|under)-(tension\w*|stress\w*|cast|core|floor)\b`)

// ReadField puts a text that is one field's value, as it is filled into a form,
// into the spec.
func ReadField(f *jobs.Field, text string, spec *jobs.Spec) error {
	s := &Survey{Text: text, tokens: lex.Lex(text, nil), Spec: spec, names: new(Names), inches: spec.Inches}
	if err := s.field(f, ""); err != nil {
		return err
	}
	if s.at < len(s.tokens) {
		return say.F("what is %s?", s.raw(&s.tokens[s.at]))
	}
	return nil
}

// Said returns the fields that a description says something of.
func Said(text string, n *Names) (fields []string) {
	var said jobs.Spec
	s, _ := Read(text, &said, n) // as far as it is understood
	for i := range jobs.Fields {
		if f := &jobs.Fields[i]; f.Value(s.Spec) != "" {
			fields = append(fields, f.Name)
		}
	}
	return fields
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
			return say.F("%s stands between two numbers", s.raw(&s.tokens[s.at-2]))
		} else if into != nil {
			err := s.group(into)
			s.at++
			return err
		}
		if s.whole && s.Spec.OpeningWidth == 0 && s.isPair() {
			return s.opening(false) // the leaf is known: 1050x2350x44, 1068x2372
		}
		if pair := s.pair(); pair != nil {
			return pair
		}
		if !s.joined(s.at + 1) {
			s.at++
			return say.F("%s: of what? say it with its word, as setback 65, mass 88 or leaf 1050x2350x44", s.raw(&s.tokens[s.at-1]))
		}
		return s.leaf()
	}
	if s.rating() {
		return nil
	}
	if w := s.misspelt(s.at); w != "" {
		s.correct(w)
	}
	t := &s.tokens[s.at]
	if p := vocab.at(s.tokens, s.at); p != nil {
		s.at += len(p.words)
		if err := s.field(p.field, t.Word); err != nil || p.field.Name == "status" || p.field.Name == "own items" {
			return err
		}
		return s.once(p.field)
	}
	s.at++
	switch {
	case s.names.Site != nil && (t.Start > 0 && s.Text[t.Start-1] == '@' || s.names.Person(s.who(t))):
		return s.somebody()
	case t.Word == "set" && s.take("back"):
		return s.group(&s.Spec.Setback)
	case vocab.begins[t.Word]:
		return s.glue(t.Word)
	case slices.Contains(s.names.Floors, t.Word) && slices.Contains(s.names.Sheets, t.Word):
		return say.F("%s is a floor and a sheet: say floor %s or sheet %s", t.Word, t.Word, t.Word)
	case slices.Contains(s.names.Floors, t.Word):
		return s.bare(twoFloors, t.Word, &s.floor, &s.Spec.Floor)
	case slices.Contains(s.names.Sheets, t.Word):
		s.Spec.SheetHash = ""
		return s.bare(twoSheets, t.Word, &s.sheet, &s.Spec.Sheet)
	}
	return say.F("%q is nothing I know in a door's description", s.raw(t))
}

func twoFloors(one, other string) say.Text { return say.F("%s and %s are two floors", one, other) }
func twoSheets(one, other string) say.Text { return say.F("%s and %s are two sheets", one, other) }

// bare takes a name that stands without its word in front; before is the one
// that was named so far.
func (s *Survey) bare(two func(one, other string) say.Text, name string, before, into *string) error {
	if *before != "" && *before != name {
		return two(*before, name)
	}
	*before, *into = name, name
	return nil
}

var (
	massWords   = lex.WordSet("weighed estimated")
	statusWords = lex.WordSet("fire smoke escape")
	idleWords   = lex.WordSet("leaf and door with it has swings swing")
)

// glue reads what stands after a word of the description that names no field.
func (s *Survey) glue(word string) error {
	switch word {
	case "else":
		s.Else = true
		s.skip("nothing", "none", "no")
	case "leaf":
		if s.at < len(s.tokens) && (vocab.begins[s.tokens[s.at].Word] || s.misspelt(s.at) != "") {
			return nil // leaf width 1050
		}
		if into, _ := s.sizeBehind(); into != nil {
			return nil // leaf 1050 wide
		}
		return s.leaf()
	case "gaps":
		if s.Meant = s.take("meant"); !s.Meant {
			return say.F("gaps follow from leaf and opening: say those, or %s where they are as they should be", "gaps meant")
		}
	case "no", "not", "without":
		return s.without()
	default:
		if !idleWords[word] {
			return say.F("%s of what? say %s", word, vocab.with(word))
		}
	}
	return nil
}

// field reads the value of a field, which stands behind the word that began it
// or is that word.
func (s *Survey) field(f *jobs.Field, word string) error {
	p := s.Spec
	switch f.Name {
	case "opening", "opening height":
		return s.opening(f.Name == "opening height")
	case "mass":
		return s.mass()
	case "cover":
		return s.cover()
	case "floor":
		return s.named(f, twoFloors, s.names.Floors, &s.floor, &p.Floor)
	case "sheet":
		p.SheetHash = "" // the current one of that name
		return s.named(f, twoSheets, s.names.Sheets, &s.sheet, &p.Sheet)
	case "heated":
		s.keepFloor()
		p.Heated = word != "unheated" != s.denied()
		s.skip("slab")
		return nil
	case "tendons":
		s.keepFloor()
		p.Tendons = !s.denied()
		s.takeWords("in slab")
		s.skip("slab")
		return nil
	case "crew":
		if p.Crew = s.people(); len(p.Crew) == 0 {
			return say.F("crew wants people after it, as crew @ana @bo")
		}
		return nil
	case "foreman":
		return s.foreman()
	case "swing":
		s.swing(word)
		return nil
	case "handing":
		p.Handing = word
		s.skip("hand", "handed")
		return nil
	case "seen from":
		return s.seenFrom()
	case "own items":
		if s.names.Site != nil {
			p.Own = slices.Clone(s.names.Site.Items)
		}
		return nil
	case "status":
		return s.status(word)
	case "cycles a day":
		return s.cycles(int(f.Most))
	case "evidence":
		return s.evidence()
	}
	switch at := f.At(p).(type) {
	case *calc.Length:
		return s.group(at)
	case **calc.Length:
		return s.either(f, at)
	case *bool:
		*at = !s.denied()
	}
	return nil
}

// keepFloor goes back to the last word where that is a floor too: warm screed.
func (s *Survey) keepFloor() {
	if slices.Contains(s.names.Floors, s.tokens[s.at-1].Word) {
		s.at--
	}
}

func (s *Survey) swing(word string) {
	if word == "both" {
		s.Spec.Swing, s.Spec.Handing, s.Spec.SeenFrom = jobs.BothWays, "", ""
		s.skip("ways", "way")
		return
	}
	s.Spec.Swing = jobs.OneWay
	for s.take("way") || s.take("against") || s.take("fixed") || s.take("stop") {
	}
}

func (s *Survey) raw(t *lex.Token) string { return s.Text[t.Start:t.End] }

func (s *Survey) foreman() error {
	people := s.people()
	if len(people) != 1 {
		return say.F("foreman wants one person after it, as foreman @mo")
	}
	s.Spec.Foreman = people[0]
	return nil
}

// people takes the names that stand next, up to a word of the description.
func (s *Survey) people() []string {
	var out []string
	for ; s.at < len(s.tokens); s.at++ {
		t := &s.tokens[s.at]
		if t.Kind == lex.MarkToken && s.raw(t) != "?" || t.Word == "and" && s.at+1 < len(s.tokens) && (s.Text[s.tokens[s.at+1].Start] == '@' || s.names.Person(s.raw(&s.tokens[s.at+1]))) {
			continue
		}
		if t.Kind == lex.NumberToken || s.raw(t) == "?" {
			return out
		}
		named := t.Start > 0 && s.Text[t.Start-1] == '@'
		if !named && ratingWord.MatchString(t.Word) && !s.names.Person(s.raw(t)) {
			return out // foreman @mo FD30
		}
		if !named && (s.isWord(s.at) || s.misspelt(s.at) != "" || s.begins(s.at) && !s.names.Person(s.raw(t))) {
			return out
		}
		out = append(out, s.who(t))
	}
	return out
}

// who returns the person that a token names.
func (s *Survey) who(t *lex.Token) string {
	if strings.EqualFold(s.raw(t), "me") && s.names.Me != "" {
		return s.names.Me
	}
	return s.raw(t)
}

// somebody takes people who are named without crew or foreman before them, each as
// what the site's file says they are.
func (s *Survey) somebody() error {
	s.at--
	var crew []string
	for _, who := range s.people() {
		switch {
		case s.names.Site.Role(who) == jobs.Crew:
			crew = append(crew, who)
		case s.names.Site.Role(who) == jobs.Foreman:
			s.Spec.Foreman = who
		default:
			return say.F("@%s: crew or foreman? say crew @%s, or foreman @%s", who, who, who)
		}
	}
	if len(crew) > 0 {
		s.Spec.Crew = crew
	}
	return nil
}

func (s *Survey) seenFrom() error {
	s.take("from")
	start, end := s.tokens[s.at-1].End, 0
	for ; s.at < len(s.tokens) && s.tokens[s.at].Kind == lex.WordToken; s.at++ {
		t := &s.tokens[s.at]
		if s.isWord(s.at) || s.misspelt(s.at) != "" {
			break
		}
		end = t.End
	}
	if end == 0 {
		return say.F("seen from which side? as in left seen from the corridor")
	}
	side := strings.TrimSpace(s.Text[start:end])
	first, _, _ := strings.Cut(strings.ToLower(side), " ")
	if lex.Agrees(side) || massWords[first] || slices.Contains(lex.Asking, first) || first == "how" {
		return say.F("%q is no side: seen from where? as in left seen from the corridor", lex.CutText(side, 40))
	}
	s.Spec.SeenFrom = side
	return nil
}

// errNotWhat asks for what a door is.
var errNotWhat = say.F("say what the door is, not what it is not: fire, smoke, escape or ordinary")

func (s *Survey) status(word string) error {
	if s.denied() {
		return errNotWhat
	}
	if before := s.tokens[max(0, s.at-2)].Word; before == "ordinary" && word != "ordinary" || word == "ordinary" && statusWords[before] {
		return say.F("%s and %s contradict each other", before, word)
	}
	if word == "ordinary" {
		s.Spec.Status = []string{"none"}
	} else if !slices.Contains(s.Spec.Status, word) {
		s.Spec.Status = append(slices.DeleteFunc(s.Spec.Status, func(w string) bool { return w == "none" }), word)
	}
	s.skip("door")
	if s.take("one") && s.at < len(s.tokens) && slices.Contains([]string{"way", "ways", "against", "fixed", "stop"}, s.tokens[s.at].Word) {
		s.at-- // ordinary one way; an ordinary one is a door
	}
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
	if s.take("pins") {
		s.Spec.Pinless = true
		return nil
	}
	s.skip("a", "an", "the")
	if p := vocab.at(s.tokens, s.at); p != nil && p.words[0] != "unheated" {
		if p.field.Name == "status" {
			return errNotWhat
		}
		if has, ok := p.field.At(s.Spec).(*bool); ok {
			*has = false
			s.at += len(p.words)
			s.keepFloor()
			s.skip("slab")
			return s.once(p.field)
		}
	}
	return say.F("%s what? pins, seals, latch, heating or tendons", s.before())
}

func (s *Survey) cycles(most int) error {
	n, err := s.number()
	if err != nil {
		return err
	}
	if n.Unit != lex.Bare || n.Plain != float64(int(n.Plain)) || n.Plain < 0 || n.Plain > float64(most) {
		return say.F("%s is no number of cycles a day: 0 to %s", n.Raw, strconv.Itoa(most))
	}
	s.Spec.CyclesDay = int(n.Plain)
	s.skip("day", "daily")
	return nil
}

// ErrUnnamed says that gaps of test evidence were given without a word on
// which evidence that is.
var ErrUnnamed error = unnamed{}

type unnamed struct{}

func (unnamed) Sentence() (key string, args []any) {
	return "which test evidence are these gaps from? as report 27-118 sheet 4", nil
}

func (u unnamed) Error() string { return say.Of(u).String() }

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
// stood before it, as in screed floor; before is the one that was named so far.
func (s *Survey) named(f *jobs.Field, two func(one, other string) say.Text, known []string, before, into *string) error {
	left := s.tokens[max(0, s.at-2)].Word
	s.equals()
	behind := s.at < len(s.tokens) && s.tokens[s.at].Kind == lex.WordToken && !s.isWord(s.at)
	switch {
	case *before != "" && left == *before && behind && slices.Contains(known, s.tokens[s.at].Word):
		return two(left, s.tokens[s.at].Word)
	case *before != "" && left == *before:
		return nil
	case f.Name == "floor" && (left == "heated" || left == "unheated") && !behind:
		return nil
	case !behind:
		return say.F("%s wants a name after it", f.Name)
	}
	name := s.raw(&s.tokens[s.at])
	if lower := strings.ToLower(name); f.Name == "floor" || slices.Contains(known, lower) {
		name = lower
	}
	s.at++
	*before, *into = name, name
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

// takeWords takes several words if they stand next.
func (s *Survey) takeWords(text string) bool {
	begin := s.at
	for _, w := range strings.Fields(text) {
		if !s.take(w) {
			s.at = begin
			return false
		}
	}
	return true
}

// skip takes one of the words if it stands next.
func (s *Survey) skip(words ...string) {
	for _, w := range words {
		if s.take(w) {
			return
		}
	}
}
