package order

import (
	"context"
	"errors"
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Trouble takes what went wrong, told in a door's thread, as a snag for the
// foreman, who is told at once; what is said not to be so is asked about: we did
// not hit a pipe. Where there is no door, or whoever says it may open no snag, the
// foreman hears of it all the same. ok is false if the text tells of none.
func Trouble(ctx context.Context, d *desk.Desk, m bot.Message, j *jobs.Job) (out Outcome, ok bool, err error) {
	text := strings.Join(strings.Fields(strings.Trim(m.Text, " .!\n")), " ")
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	stop := Stop(text)
	switch {
	case stop.IsZero() && (j == nil || !tellsTrouble(text)):
		return out, false, nil
	case stop.IsZero():
		order := "door " + m.Thread + " snag " + text + " @" + j.Site.Told(&j.Door.Spec, "foreman", m.At)[0]
		if m := ofTube.FindStringSubmatch(text); m != nil && m[1] == "" {
			e.askTube(j, text, order)
			return e.Outcome, true, nil
		}
		e.ask(&Unfinished{Guess: order, Question: say.F("shall the foreman know, as %s? say yes, or no", order)})
		return e.Outcome, true, nil
	case e.Site == nil:
		e.Say(bot.KindAnswer, stop)
		return e.Outcome, true, nil
	case j == nil:
		e.Say(bot.KindAnswer, say.Lines(stop, say.F("the foreman is told; at which door is it? say it in the door's thread, or as %s", "door A-101 snag "+text)))
		return e.Outcome, true, d.TellForeman(ctx, m, say.F("@%s says: %s", m.Person, text))
	}
	err = e.Do(&jobs.OpenSnag{Text: text, Owner: j.Site.Told(&j.Door.Spec, "foreman", m.At)[0], Accident: true, Hit: TellsHit(text)})
	if refusal, no := errors.AsType[*bot.RefusalError](err); no {
		stop, err = say.Lines(stop, say.Of(refusal.Unwrap())), nil
		if _, guest := errors.AsType[*jobs.PermissionError](refusal); guest {
			e.NoteDenied(refusal)
			stop, err = say.Lines(stop, say.F("the foreman is told")), d.TellForeman(ctx, m, say.F("@%s says: %s", m.Person, text))
		}
	}
	if err == nil {
		e.Say(bot.KindAnswer, stop)
	}
	return e.Outcome, true, err
}

// ofTube matches what broke where that may be of adhesive or lie in the floor; a
// key tube is neither.
var ofTube = regexp.MustCompile(`(?i)\b(key[- ]?)?tubes?\b`)

// askTube asks which tube broke. Until that is said it may be one in the floor.
func (e *Request) askTube(j *jobs.Job, text, order string) {
	inFloor := say.F("of a tube in the floor: stop work there and keep clear until the foreman has seen it")
	if len(j.Door.Mixes) == 0 {
		e.ask(&Unfinished{Guess: order, Question: say.F("%s. Shall the foreman know, as %s? say yes, or no", inFloor, order)})
		return
	}
	spoilt := strings.Join([]string{"door", e.DoorID, "mix spoilt because", text}, " ")
	e.ask(&Unfinished{Offers: []string{order, spoilt}, Question: say.F("%s. Which is it? (1) %s, or (2) %s: say its number", inFloor, order, spoilt)})
}

// Stop returns what to do at once where a text plainly says that something went
// wrong; it says nothing of another.
func Stop(text string) say.Text {
	switch {
	case !tellsTrouble(text):
		return say.Text{}
	case plain(harm, text, false):
		return say.F("stop work; where somebody is hurt, call for help first, by the emergency number")
	case plain(struck, text, true):
		return say.F("stop work there and keep clear until the foreman has seen it; a pipe, a cable or a tendon that may be hit is for whoever is licensed for it")
	case plain(trouble, text, true):
		return say.F("stop work there and keep clear until the foreman has seen it")
	}
	return say.Text{}
}

// tellsTrouble reports whether a text may tell of what went wrong.
func tellsTrouble(text string) bool {
	text = strings.TrimSpace(text)
	return !strings.HasSuffix(text, "?") && len(text) <= 200 && (harm.MatchString(text) || struck.MatchString(text) || trouble.MatchString(text) || mayBeTrouble.MatchString(text))
}

// plain reports whether words stand in a text without one before them that says
// they are not so, as in nobody hurt; or, as of a pipe, anywhere beside them:
// the old pipe is damaged, not ours.
func plain(words *regexp.Regexp, text string, anywhere bool) bool {
	for _, at := range words.FindAllStringIndex(text, -1) {
		beside := text[strings.LastIndexAny(text[:at[0]], ",.;:")+1 : at[0]]
		if anywhere {
			beside = text[:at[0]] + " " + text[at[1]:]
		}
		if !hardly.MatchString(beside) {
			return true
		}
	}
	return false
}

// What people say where something went wrong, where somebody is hurt, where it may
// be so, and what makes a report of it something else.
var (
	harm         = regexp.MustCompile(`(?i)\b(?:hurts?|injur\w+|bleed\w*|unconscious|broke (?:his|her|my|a) \w+|(?:cut|crushed|trapped|pinched|caught) (?:his|her|my)|accident|electrocuted|electric shock|ambulance)\b`)
	struck       = regexp.MustCompile(`(?i)\b(?:hit|drilled into|struck|cut through|nicked) (?:a|the|some|something|an)?\s*(?:\w+ )?(?:pipe|cable|wire|tendon|rebar|steel|bar|membrane|duct|tube)s?\b|\bdrilled (?:\w+ )?(?:too deep|too far|wrong|through|in the wrong)|\b(?:drilled|cut) (?:in |at )?(?:the )?wrong (?:place|spot|hole|side)|\b(?:pipe|cable|wire|tendon|(?:heating|water|floor) tube)s? (?:was |were |is |got |has been )?(?:hit|damaged|burst|nicked|broken|leaking|leaks)\b|\bwater (?:comes|coming|is coming|came|everywhere|leaks?)`)
	trouble      = regexp.MustCompile(`(?i)\bleaf (?:\w+ )?(?:fell|dropped|tipped|slipped|is falling)|\b(?:plate|leaf|pins?|box) (?:does not|doesn['’]t|do not|don['’]t|won['’]t) fit\b|\bfloor is (?:wet|cracked|loose|hollow)\b|\b(?:glass|floor|slab|head|plate) (?:is )?(?:cracked|broke|broken|shattered)\b`)
	mayBeTrouble = regexp.MustCompile(`(?i)\bneed help\b|^water\b|^burst\b|\b(?:tubes?|cartridge|key|template|bit|drill) (?:was |is |has |got |just )*(?:hit|damaged|bursts?|broke|broken|leaking|leaks|bent|snapped|split)\b`)
	hardly       = regexp.MustCompile(`(?i)\b(?:not?|nor|never|nobody|none|nothing|nearly|almost|careful|avoid|without|off|if|unless|in case|would|through|last (?:year|month|week)|(?:did|is|was|were|does|has)nt)\b|n['’]t\b`)
)
