package order

import (
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/calc"
	"heelpost/jobs"
)

// aSize matches one size of a leaf as it is typed, with its unit, and the word that
// says which it is.
const aSize = `(\d+(?:[.,]\d+)?(?:(?:[ -]\d+)?/\d+)?(?: ?(?:mm|cm|inch(?:es)?|in|m|["″]))?)(?: (thick|wide|broad|high|tall))?`

var (
	leafIs      = regexp.MustCompile(`(?i)^(?:the )?(?:leaf|door)(?: (?:is|came|has come|comes|was|delivered|measures|arrived))+(?: (?:at|with))? ` + aSize + `[.!\s]*$`)
	correctLeaf = regexp.MustCompile(`(?i)^leaf (?:is |to )?` + aSize + `(?: (because .+))?$`)
	behindDay   = regexp.MustCompile(`(?i)^(?:at |with )?` + aSize + `[.!]*$`) // no day, if it has a unit or its word
)

// leafSizes are the sizes of a leaf, and the words behind one that name it.
var leafSizes = []struct {
	field, words string
	of           func(*jobs.Spec) calc.Length
}{
	{"width", "wide broad", func(s *jobs.Spec) calc.Length { return s.Width }},
	{"height", "high tall", func(s *jobs.Spec) calc.Length { return s.Height }},
	{"thickness", "thick", func(s *jobs.Spec) calc.Length { return s.Thickness }},
}

// sizeSaid returns which sizes of its leaf a door may be told by one: the one that
// the word behind it names, else those that are not twice as much or half, else all.
// stands is true where the door has that one already.
func (e *Request) sizeSaid(j *jobs.Job, typed, word string) (fields []string, stands bool) {
	var all []string
	for _, size := range leafSizes {
		all = append(all, size.field)
		spec, was := j.Door.Spec, size.of(&j.Door.Spec)
		_, err := survey.Read(words(size.field, typed), &spec, e.names())
		is := size.of(&spec)
		named := word != "" && strings.Contains(size.words, strings.ToLower(word))
		if stands = err == nil && is == was && (named || word == ""); stands || named {
			return []string{size.field}, stands
		}
		if word == "" && err == nil && is < 2*was && was < 2*is {
			fields = append(fields, size.field)
		}
	}
	if len(fields) == 0 {
		return all, false
	}
	return fields, false
}

// askSize asks for the correction that one size of a leaf is: nobody makes it by one.
func (e *Request) askSize(j *jobs.Job, typed, word, why string) {
	fields, stands := e.sizeSaid(j, typed, word)
	offers := make([]string, len(fields))
	for i, field := range fields {
		offers[i] = strings.TrimSpace(words("door", e.DoorID, "correct", field, typed, why))
	}
	switch {
	case stands:
		e.Say(bot.KindAnswer, say.F("%s: that stands at this door already", words(fields[0], typed)))
	case len(offers) == 1:
		e.ask(&Unfinished{Guess: offers[0], Question: say.F("did you mean %s? say yes, or say it again", offers[0])})
	default:
		e.ask(&Unfinished{Offers: offers, Question: (&choice{orders: offers}).text()})
	}
}
