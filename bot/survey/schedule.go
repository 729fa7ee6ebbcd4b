package survey

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Rows parts text that is pasted from a door schedule into its doors, each as a
// description: an id, and behind it columns parted by tabs, semicolons, bars or
// several spaces. ok is false if it is no such text: a line has no id in front,
// no size in it, or fewer than three columns.
func Rows(text string) (rows []string, ok bool) {
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		end := columnEnd
		if !end.MatchString(strings.TrimSpace(line)) {
			end = wideSpace
		}
		columns := slices.DeleteFunc(end.Split(strings.TrimSpace(line), -1), func(c string) bool { return c == "" })
		if len(columns) < 3 || !rowID.MatchString(columns[0]) || !slices.ContainsFunc(columns[1:], sizeColumn.MatchString) {
			return nil, false
		}
		rows = append(rows, columns[0]+" "+strings.Join(columns[1:], ", "))
	}
	return rows, len(rows) > 0
}

var (
	columnEnd  = regexp.MustCompile(`\s*[\t;|]\s*`)
	wideSpace  = regexp.MustCompile(`\s{2,}`)
	rowID      = regexp.MustCompile(`^(?i)[a-z][a-z0-9._-]*[0-9][a-z0-9._-]*$`)
	sizeColumn = regexp.MustCompile(`(?i)[0-9]\s*(?:mm|cm|m|in|")?\s*[x×]\s*[0-9]`)
)

// joined reports whether another length is joined to what is before a token.
func (s *Survey) joined(i int) bool {
	return i+1 < len(s.tokens) && (s.tokens[i].Mark == 'x' || s.tokens[i].Word == "by") && s.tokens[i+1].Kind == lex.NumberToken
}

// isPair reports whether a width and a height come next, and no thickness.
func (s *Survey) isPair() bool { return s.joined(s.at+1) && !s.joined(s.at+3) }

// pair says what is to be asked of a width and height without a thickness: of
// the leaf, if the number behind them may be that, or else of which of the two
// they are. It returns nil for any other number.
func (s *Survey) pair() error {
	if !s.isPair() {
		return nil
	}
	begin, end := s.tokens[s.at].Start, s.tokens[s.at+2].End
	size := s.Text[begin:end]
	s.at += 3
	i := s.at
	for i < len(s.tokens) && s.tokens[i].Mark == ',' {
		i++
	}
	if i < len(s.tokens) && s.tokens[i].Kind == lex.NumberToken && !s.joined(i+1) && s.loose(i) {
		s.at = i + 1
		whole := size + "x" + s.raw(&s.tokens[i])
		return &guessed{say.F("%q may be the leaf with its thickness", s.Text[begin:s.tokens[i].End]), whole}
	}
	return say.F("%q: of the leaf, or of the opening? say %q with its thickness, or %q", size, "leaf "+size+"x44", "opening "+size)
}

// loose reports whether a number has nothing beside it that says what it is.
func (s *Survey) loose(i int) bool {
	n := &s.tokens[i].Num
	if n.Unit == lex.Degrees || n.Length < thinnest || n.Length > thickest {
		return false
	}
	if i+1 == len(s.tokens) || s.tokens[i+1].Kind == lex.MarkToken {
		return true
	}
	word := s.tokens[i+1].Word
	return vocab.behind[word] == nil && lex.MassUnits[word] == 0 && !massWords[word]
}

// A leaf is thought to be so thick where a schedule only has a number: the
// project's own.
const thinnest, thickest = 20 * calc.Millimetre, 150 * calc.Millimetre

// guessed is what is asked where it is clear what was probably meant.
type guessed struct {
	say.Text
	guess string
}

func (g *guessed) Error() string { return g.Text.String() }

// rating takes a class of resistance to fire, as FD30, EI 60 or EI2-30: the door
// is a fire door, and with an S behind it a smoke door, too.
func (s *Survey) rating() bool {
	t := &s.tokens[s.at]
	m := ratingWord.FindStringSubmatch(t.Word)
	if m == nil {
		return false
	}
	end := s.at + 1
	for end < len(s.tokens) && end < s.at+3 && m[2] == "" {
		switch next := &s.tokens[end]; {
		case next.Kind == lex.NumberToken && next.Num.Unit == lex.Bare:
			m[2] = s.raw(next)
		case s.raw(next) != "-":
			return false
		}
		end++
	}
	if !classTimes[m[2]] {
		return false
	}
	words, door := []string{"fire"}, say.F("a fire door")
	if m[3] != "" {
		words, door = append(words, "smoke"), say.F("a fire and smoke door")
	}
	for _, w := range words {
		if !slices.Contains(s.Spec.Status, w) {
			s.Spec.Status = append(slices.DeleteFunc(s.Spec.Status, func(w string) bool { return w == "none" }), w)
		}
	}
	s.Righted = append(s.Righted, say.F("read %s as %s", s.Text[t.Start:s.tokens[end-1].End], door))
	s.at = end
	return true
}

// classTimes are the minutes of the classes, by EN 13501-2: E-2 is an id.
var classTimes = lex.WordSet("10 15 20 30 45 60 90 120 180 240 360")

// IsRating reports whether a text is a class of resistance to fire, and nothing
// else.
func IsRating(text string) bool {
	s := &Survey{Text: text, tokens: lex.Lex(text, nil), Spec: new(jobs.Spec), names: new(Names)}
	return len(s.tokens) > 0 && s.tokens[0].Kind == lex.WordToken && s.rating() && s.at == len(s.tokens)
}

// ratingWord matches a class as EN 13501-2 and older national rules write it,
// or the word that stands before its minutes. An S for smoke is from memory.
var ratingWord = regexp.MustCompile(`^(fd|ei2?|ei1|rei|ew|e)([0-9]{2,3})?(sa?|s200)?$`)
