package tell

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// Card tells the door's numbers, and what is to be known of them.
func Card(j *jobs.Job) []say.Text {
	var lines []say.Text
	for _, n := range OnCard(j) {
		lines = append(lines, numberLine(&n))
	}
	return append(lines, CardNotes(j)...)
}

// OnCard returns the numbers that a door's card shows.
func OnCard(j *jobs.Job) []jobs.Number {
	return slices.DeleteFunc(slices.Clone(j.Door.Numbers), func(n jobs.Number) bool { return !jobs.OnCard(n.Name) && n.Ought == "" })
}

// CardNotes tells what stands below the numbers of a card: what they wait for,
// and what they take for granted.
func CardNotes(j *jobs.Job) []say.Text {
	var lines []say.Text
	if gaps := gapsAwait(j); !gaps.IsZero() {
		lines = append(lines, say.F("gaps, plate and clear width wait: %s", gaps))
	}
	if void := VoidCure(j); !void.IsZero() {
		lines = append(lines, void)
	}
	if short := j.Door.TooShort(j.Sheet); !short.IsZero() {
		lines = append(lines, say.Of(short))
	}
	if !slices.Equal(j.Door.Spec.Own, j.Site.Items) && j.Door.Handover.IsZero() {
		lines = append(lines, say.F("the site's own items are others by now: the foreman says correct items, and what is ticked stays"))
	}
	return append(append(lines, Taken(&j.Door.Spec)...), cardAssumes(j))
}

// gapsAwait says what the gaps of a tested door wait for, and how it is
// entered.
func gapsAwait(j *jobs.Job) say.Text {
	awaits := say.Of(j.Door.Spec.Awaits())
	if !awaits.IsZero() && j.Door.Spec.Evidence == "" {
		return say.F("%s: correct evidence heel … lead … and which report", awaits)
	}
	return awaits
}

// cardAssumes tells what the card takes for granted. The gaps of a tested door
// are its evidence's, with whatever clearance they leave.
func cardAssumes(j *jobs.Job) say.Text {
	var clearance, mass say.Text
	if !j.Door.Spec.Tested() {
		clearance = say.F("clearance %s", "2 mm")
	}
	if !j.Door.Spec.Estimated {
		mass = say.F("mass as weighed")
	}
	return say.F("assumed: %s", say.List(clearance, plumbAssumed(&j.Door.Spec), say.F("square edges, pivot axis on the mid-plane"), mass))
}

// numberLine tells one of a door's numbers.
func numberLine(n *jobs.Number) say.Text { return say.F("%s %s", say.Name(n.Name), NumberValue(n)) }

// NumberValue tells what one of a door's numbers is, that it stays so, and what
// it ought to be.
func NumberValue(n *jobs.Number) say.Text {
	line := say.List(say.Plain(n.Value.String()), say.F(string(n.Fixed)))
	if n.Ought != "" {
		line = say.F("%s, by now it would be %s", line, n.Ought)
	}
	if n.Note != "" {
		return say.F("%s (%s)", line, n.Note)
	}
	return line
}

// Named tells the number of the card that a text is the name of, as in "what
// is the pin length?"; nothing if it is no name of one.
func Named(j *jobs.Job, text string) say.Text {
	if n, numbers := numberIn(j, text); n != nil && numbers == 0 {
		return say.Lines(numberLine(n), cardAssumes(j))
	}
	if name, numbers := nameIn(text); numbers == 0 && slices.Contains(byCover, name) && j.Item("floor-drilled") != nil && !j.Door.Spec.Tendons && !j.Door.Spec.HasCover {
		if _, known := j.Door.Number(strings.ReplaceAll(name, " ", "_")); !known {
			return say.F("%s is known when the cover is: read floor-services 45 to pipe, or to back", say.Name(name))
		}
	}
	return say.Text{}
}

// byCover are the numbers of a card that are worked out by the cover.
var byCover = []string{"pin count", "pin length", "tip depth", "cover left"}

// Entered answers somebody who enters a number of the card, as in "centre
// 74"; nothing if that is not what the text does.
func Entered(j *jobs.Job, text string) say.Text {
	n, numbers := numberIn(j, text)
	if n == nil || numbers != 1 {
		return say.Text{}
	}
	return say.Lines(
		say.F("%s is a number of the card, worked out and not entered: %s", say.Name(n.Name), numberLine(n)),
		say.F("readings are entered with read, as read plumb 1; a size of the door is put right with correct"))
}

// numberIn returns the number of the card that a text names, nil if it names
// none, and how many numbers stand behind the name.
func numberIn(j *jobs.Job, text string) (n *jobs.Number, numbers int) {
	full, numbers := nameIn(text)
	i := slices.IndexFunc(j.Door.Numbers, func(n jobs.Number) bool { return lex.Words(n.Name) == full })
	if i < 0 {
		return nil, 0
	}
	return &j.Door.Numbers[i], numbers
}

// nameIn returns the name that a text may be of a number of the card, "" for none.
func nameIn(text string) (full string, numbers int) {
	var name []string
	for tokens := lex.Lex(text, nil); len(tokens) > 0; {
		if size := verb.Questions.Filler(tokens); size > 0 {
			tokens = tokens[size:]
			continue
		}
		switch tokens[0].Kind {
		case lex.MarkToken:
			if tokens[0].Mark == '=' {
				return "", 0 // stop depth=12 is a question
			}
		case lex.NumberToken:
			numbers++
		case lex.WordToken:
			if numbers > 0 {
				return "", 0
			}
			name = append(name, tokens[0].Word)
		}
		tokens = tokens[1:]
	}
	full = strings.Join(name, " ")
	if of := centreNames[full]; of != "" && numbers > 0 { // alone it is a question
		full = of
	}
	return cmp.Or(cardNames[full], full), numbers
}

// centreNames are what people call the plate centre.
var centreNames = map[string]string{"centre": "plate centre", "center": "plate centre", "plate center": "plate centre", "floor plate centre": "plate centre"}

// cardNames are what people call other numbers of the card.
var cardNames = map[string]string{"top gap": "top gap min", "many pins": "pin count", "pins": "pin count", "long pins": "pin length", "pin": "pin length",
	"hole": "hole diameter", "holes": "hole diameter", "hole diameter": "hole diameter", "drill": "hole diameter", "bit": "hole diameter"}

// IsAbout reports whether a text asks what the door's description tells: its
// mass, or who works on it.
func IsAbout(text string) bool {
	f := strings.Fields(strings.ToLower(strings.Trim(text, " ?.!")))
	return len(f) > 0 && len(f) <= 6 && described[f[len(f)-1]] && (len(f) == 1 || asks[f[0]])
}

// AsksOwn reports whether a text asks for a size that the door has, as "what is
// the setback", and not for one to work out.
func AsksOwn(text string) bool { return own.MatchString(text) }

var own = regexp.MustCompile(`(?i)^\W*(?:what(?: i|'|)s the (?:setback|thickness|width|height|opening|mass|weight)|how (?:thick|wide|high|tall|heavy) is (?:the|this) (?:leaf|door|opening))\W*$`)

// AsksCure reports whether a text asks how far the adhesive is, or what has to
// wait for it.
func AsksCure(text string) bool { return cure.MatchString(text) }

var cure = regexp.MustCompile(`(?i)^\W*(?:when|how long|till when|until when|can (?:i|we)|may (?:i|we)|is the)\b[^0-9]*\b(?:load|loaded|ready|hard|cured|curing|dry|let go|move)\b[^0-9]*$`)

// WarmthFor answers "what temperature for Friday noon": the least that has to be
// held from now on; nothing if that is not what is asked.
func WarmthFor(j *jobs.Job, text string, now time.Time) say.Text {
	m := warmthFor.FindStringSubmatch(text)
	if m == nil || len(j.Door.Bonds) == 0 {
		return say.Text{}
	}
	by, err := j.Site.When(m[1], now)
	if err != nil {
		return say.Of(err)
	}
	least, needed, err := j.Door.HeldBy(now, by, j.Site.Zone)
	switch {
	case err != nil:
		return say.Of(err)
	case !needed:
		return say.F("none more than is known: %s", CureText(j, now))
	case len(j.Sheet.Adhesive.Table) > 0:
		return say.F("held at %s or above from now on at every plate, by the adhesive's own table, the sheet's hours end by %s; then check the control sample", least, bot.Instant(by, j.Site))
	}
	return say.F("held at %s or above from now on at every plate the sheet's hours end by %s, by our own rule: twice the time for every 10 K below %s, from memory; then check the control sample", least, bot.Instant(by, j.Site), j.Sheet.Adhesive.Calc().Ref)
}

var warmthFor = regexp.MustCompile(`(?i)^\W*(?:(?:what|which) temperature|how warm)\b[a-z ]*?\b(?:for|by|until)\s+(.+?)\W*$`)

// asks are the words that such a question begins with.
var asks = lex.WordSet("who what which how whose who's what's")

// described are what people ask a door about that no question and no number
// of its card tells.
var described = lex.WordSet("mass weight weigh weighs crew foreman handing sheet")
