package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// dangers are what people say of a door in plain words that changes what is safe
// at it: how it is said, the correction that it is, and whether the door has it.
var dangers = []struct {
	said    *regexp.Regexp
	correct string
	stands  func(*jobs.Spec) bool
}{
	{ground(lex.Heating), "heated", func(s *jobs.Spec) bool { return s.Heated }},
	{ground(lex.Tensioned, lex.Hollow), "tendons", func(s *jobs.Spec) bool { return s.Tendons }},
	{regexp.MustCompile(`(?i)\b(?:fire[- ]?(?:door|rated|rating)s?|(?:r?ei|e|ew|fd|t|f)[12]? ?-?(?:20|30|45|60|90|120)s?)\b`), "fire", hasStatus("fire")},
	{regexp.MustCompile(`(?i)\bsmoke (?:door|seal|control)s?\b`), "smoke", hasStatus("smoke")},
	{regexp.MustCompile(`(?i)\b(?:escape (?:door|route)|emergency exit|fire exit)\b`), "escape", hasStatus("escape")},
}

// elsewhere are words for the ground that mean something else among people at a
// door: loop the rope, a strand is loose, pt of a name.
var elsewhere = map[string]bool{"heat": true, "loop": true, "loops": true, "manifold": true, "activated": true, "hot water": true, "warm water": true, "wet system": true,
	"stressed": true, "stressing": true, "strand": true, "strands": true, "pt": true, "hollow": true}

// ground matches words for what lies in a floor.
func ground(tables ...[]string) *regexp.Regexp {
	var all []string
	for _, w := range slices.Concat(tables...) {
		if !elsewhere[w] {
			all = append(all, strings.ReplaceAll(regexp.QuoteMeta(w), " ", "[- ]?"))
		}
	}
	return regexp.MustCompile(`(?i)\b(?:` + strings.Join(all, "|") + `)\b`)
}

func hasStatus(word string) func(*jobs.Spec) bool {
	return func(s *jobs.Spec) bool { return slices.Contains(s.Status, word) }
}

var (
	ofGlass = regexp.MustCompile(`(?i)\b(?:glass (?:leaf|door|panel)|(?:leaf|door|it)(?: is|['’]?s) (?:all |of |made of )?glass|all glass)\b`)
	asking  = regexp.MustCompile(`(?i)\?|^(?:is|are|do|does|did|has|have|which|what|who|when|where|why|how|can|could|should|if)\b`)
)

// Danger takes what is said of a door in its thread, as "the floor is heated", for
// the correction that it is, and asks until it is answered; ok is false if the
// text says nothing of the kind, or what stands there already.
func Danger(d *desk.Desk, m bot.Message, j *jobs.Job) (out Outcome, ok bool) {
	e := &Request{Desk: d, Msg: m, DoorID: m.Thread, Site: j.Site}
	if asking.MatchString(strings.TrimSpace(m.Text)) || len(m.Text) > 200 || len(m.Text) == 0 {
		return out, false
	}
	var says, stands []string
	for _, danger := range dangers {
		switch {
		case asserted(danger.said, m.Text) == "" || denies(m.Text):
		case danger.stands(&j.Door.Spec):
			stands = append(stands, danger.correct)
		default:
			says = append(says, danger.correct)
		}
	}
	switch {
	case len(says) > 0:
		order := "door " + m.Thread + " correct " + strings.Join(says, ", ")
		e.ask(&Unfinished{Guess: order, Keep: true, Question: say.F("that changes what is safe at this door, and it does not stand there: %s? say yes and it does, and all are told; say no if it is not so", order)})
	case asserted(ofGlass, m.Text) != "" && !denies(m.Text):
		order := "door " + m.Thread + " snag " + strings.Join(strings.Fields(strings.Trim(m.Text, " .!\n")), " ") + " @" + j.Site.Told(&j.Door.Spec, "foreman", m.At)[0]
		e.ask(&Unfinished{Guess: order, Keep: true, Question: say.Lines(
			say.F("a glass leaf breaks at its edges and corners: carry it by its faces with lifting pads; its fittings and gaps are the glass maker's to say"),
			say.F("shall the foreman know, as %s? say yes, or no", order))})
	case len(stands) > 0:
		e.Say(bot.KindAnswer, say.F("%s: that stands at this door already; for what went wrong say snag and what it is", say.Names(", ", stands...)))
	default:
		return out, false
	}
	return e.Outcome, true
}

// GroundOpen reports whether one of what waits asks if a floor is heated or has
// tendons.
func (u *Unfinished) GroundOpen() bool {
	for ; u != nil; u = u.Then {
		if u.Keep && ofGround.MatchString(u.Guess) {
			return true
		}
	}
	return false
}

var ofGround = regexp.MustCompile(`^door \S+ correct (?:.*, )?(?:tendons|heated)\b`)

// unclear refuses what rests on what lies in the floor while that is asked.
func (e *Request) unclear(item string) error {
	if !e.Msg.Unclear || !strings.HasSuffix(item, "-services") && !strings.HasSuffix(item, "-drilled") && item != "bit" && item != "recess" {
		return nil
	}
	return bot.Refuse(say.F("%s waits until that is answered", item))
}

// denies reports whether a text says that something is not so.
func denies(text string) bool {
	for _, w := range strings.Fields(strings.ToLower(text)) {
		w = strings.Trim(w, ".,;!")
		if slices.Contains(lex.Denials, w) || strings.HasSuffix(w, "n't") || strings.HasSuffix(w, "n’t") {
			return true
		}
	}
	return false
}
