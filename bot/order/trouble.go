package order

import (
	"context"
	"errors"
	"regexp"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
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
	said := unnamed(text, e.Site)
	stop := Stop(said)
	if m := ofPerson.FindStringSubmatch(text); m != nil && e.Site != nil {
		_, known := e.Site.Person(strings.ToLower(m[1]))
		switch {
		case !known:
		case m[2] == "":
			stop = isHurt
		case j != nil && heldBySome(j):
			stop = byOne
		}
	}
	switch {
	case stop.IsZero() && (j == nil || !tellsTrouble(said)):
		return out, false, nil
	case stop.IsZero():
		order := "door " + m.Thread + " snag " + text + " @" + j.Site.Told(&j.Door.Spec, "foreman", m.At)[0]
		if m := tube.FindStringSubmatch(text); m != nil && len(j.Door.Mixes) > 0 && !isKey(m) {
			e.askTube(text, order)
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
	err = e.Do(&jobs.OpenSnag{Text: text, Owner: j.Site.Told(&j.Door.Spec, "foreman", m.At)[0], Accident: true, Hit: TellsHit(text) && (len(j.Door.Mixes) == 0 || plain(struck, text, true))}) // with a mix open a tube is rather one of adhesive
	if refusal, no := errors.AsType[*bot.RefusalError](err); no {
		stop, err = say.Lines(stop, say.Of(refusal.Unwrap())), nil
		if _, guest := errors.AsType[*jobs.PermissionError](refusal); guest {
			e.NoteDenied(refusal)
			stop, err = say.Lines(stop, say.F("the foreman is told")), d.TellForeman(ctx, m, say.F("@%s says: %s", m.Person, text))
		}
	}
	if tube.MatchString(text) && len(j.Door.Mixes) > 0 {
		stop = say.Lines(stop, say.F("where it is a tube of the adhesive, say mix spoilt because the tube burst"))
	}
	if err == nil {
		e.Say(bot.KindAnswer, stop)
	}
	return e.Outcome, true, err
}

// unnamed puts somebody for whoever of the site is named, so that one list of words
// does for all: bo is under the leaf, it fell on bo.
func unnamed(text string, site *jobs.Site) string {
	if site == nil {
		return text
	}
	return aWord.ReplaceAllStringFunc(text, func(w string) string {
		if _, known := site.Person(strings.ToLower(strings.TrimPrefix(w, "@"))); known {
			return "somebody"
		}
		return w
	})
}

var aWord = regexp.MustCompile(`@?\w+`)

// byOne says what to do where somebody is alone with a leaf.
var byOne = say.F("no leaf is held by one alone: don't let go of it, wedge it and bar it off, and call for a second person")

var isHurt = say.F("stop work; where somebody is hurt, call for help first, by the emergency number")

// ofPerson matches that somebody fell, or went away, which leaves the other alone.
var ofPerson = regexp.MustCompile(`(?i)^@?(\w+) (?:has |is |just |got )*(?:(?:fell|fallen|hit|trapped)(?: (?:off|from|down|over|by|under)\b.*)?|(left|gone|went home|went away|off))$`)

// heldBySome reports whether a leaf stands and is not parked: people hold it.
func heldBySome(j *jobs.Job) bool {
	parked := j.Item("parked")
	return j.Door.Items["stood"].Settled() && parked != nil && !parked.State.Settled()
}

// askTube asks whether a tube of the mixed adhesive that broke is a word for the
// foreman, or takes the mix with it.
func (e *Request) askTube(text, order string) {
	spoilt := strings.Join([]string{"door", e.DoorID, "mix spoilt because", text}, " ")
	e.ask(&Unfinished{Offers: []string{order, spoilt}, Question: say.F("which is it: (1) %s, or (2) %s? say its number", order, spoilt)})
}

// Stop returns what to do at once where a text plainly says that something went
// wrong; it says nothing of another.
func Stop(text string) say.Text {
	switch {
	case !tellsTrouble(text):
		return say.Text{}
	case plain(harm, text, false):
		return isHurt
	case plain(inAir, text, true):
		return say.F("stop work, get everybody out and keep others away: no flame, no switch, nothing swept or blown; it is for whoever is licensed for it, gas for the emergency number")
	case plain(isSoft, text, true):
		return say.F("load nothing on that plate: say knocked floor, or knocked head, because the sample is soft, and its hours start again")
	case isAlone.MatchString(text):
		return byOne
	case plain(bedded, text, true):
		return say.F("keep off it, nothing may load it: where a plate was knocked, moved or stood on in its hours, say knocked floor, or knocked head, because and what it was, and they start again")
	case plain(struck, text, true), inFloor(text):
		return say.F("stop work there and keep clear until the foreman has seen it; a pipe, a cable or a tendon that may be hit is for whoever is licensed for it")
	case plain(trouble, text, true):
		return say.F("stop work there and keep clear until the foreman has seen it")
	}
	return say.Text{}
}

// TellsTrouble reports whether a text plainly says that something went wrong.
func TellsTrouble(text string) bool { return !Stop(text).IsZero() }

// tellsTrouble reports whether a text may tell of what went wrong.
func tellsTrouble(text string) bool {
	text = strings.TrimSpace(text)
	return !strings.HasSuffix(text, "?") && !asksSoon.MatchString(text) && len(text) <= 200 && (harm.MatchString(text) || struck.MatchString(text) || trouble.MatchString(text) || tube.MatchString(text) || mayBeTrouble.MatchString(text))
}

// inFloor reports whether a text says that a tube broke which may lie in a floor, as
// all may that are not plainly of the adhesive or of a key: tube burst, mix thrown
// away.
func inFloor(text string) bool {
	for _, m := range tube.FindAllStringSubmatch(text, -1) {
		bare := m[1] == "" || lex.Articles[strings.ToLower(m[1])]
		if !isKey(m) && !ofAdhesive.MatchString(m[1]) && !ofAdhesive.MatchString(m[2]) && !(bare && spoiltMix.MatchString(text)) && !hardly.MatchString(text) {
			return true
		}
	}
	return false
}

// isKey reports whether a tube is one of a key, or what a key is cut from.
func isKey(tube []string) bool { return strings.EqualFold(tube[1], "key") }

// tube matches a tube that broke, with what stands before it and what it is of;
// ofAdhesive what people call one of adhesive.
var (
	tube       = regexp.MustCompile(`(?i)(?:\b([\pL-]+?)[ -]?)?\btubes?(?: of (?:the |my |our )?(\w+))? (?:was |were |is |are |has |has been |got |just )*(?:hit|damaged|bursts?|burst|broke|broken|leaking|leaks|nicked|split)\b`)
	ofAdhesive = regexp.MustCompile(`(?i)^(?:glue|adhesive|resin|mix|mixing|mixer|cartridge|mortar|sealant|silicone)$`)
)

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
// be so, and what makes a report of it something else. It is of words in classes, a
// thing and what became of it, and those that stand by themselves.
var (
	harm = anyOf(`\b(?:hurts?|injur\w+|bleed\w*|unconscious|broke (?:his|her|my|a) \w+|(?:cut|crushed|trapped|pinched|caught) (?:his|her|my)|accident|electrocuted|(?:electric )?shock(?:ed)?|ambulance|fainted|passed out|cant breathe|can['’]t breathe)\b`,
		became(lex.Body, lex.Hurt), `\b`+oneOf(lex.Splashed)+` (?:\w+ )?in(?:to)? (?:\w+ )?(?:eyes?|face)\b`, `\b(?:burns?|stings?|burning) in (?:\w+ )?eyes?\b`, `^(?:i|he|she|somebody|someone|@\w+) (?:has |is |was |got )*(?:fell|fallen|hit|trapped)(?: (?:off|from|down|over|by|under)\b.*)?$`,
		people+` (?:is |are |was |were |am |lies |has |have |got |get |still |stuck |trapped |caught |lying |just )+(?:under|underneath|beneath) (?:the |a |it|that )?(?:leaf|door|plate|it|glass)?`,
		people+` (?:is |was |are |has |lies |went |gone |still |just )+(?:down|collapsed)(?:$| and\b| on the (?:floor|ground))`,
		people+` (?:has |have |just )*(?:collapsed|fainted)\b`,
		`\bman down[.!]*(?:$| in\b| at\b| by\b)|\bout cold\b|\b(?:there['’]?s|there is|lots of|so much) blood\b|\bcall (?:112|911|999)\b|^help!+$|\bzapped\b|\btingl(?:y|ing|es)\b`,
		strings.ReplaceAll(`\b(?:can['’]?t|cannot) (?:move|feel) (?:my|his|her|their) BODY\b|\bgot (?:my|his|her|their) BODY[.!]*$`, "BODY", oneOf(lex.Body)),
		strings.ReplaceAll(`\b(?:hit|struck|crushed|landed on) (?:my|his|her|their|somebody['’]s) BODY\b`, "BODY", oneOf(lex.Body)),
		people+`(?: \w+){0,3} not (?:breathing|moving|responding|conscious|waking)\b|\bdown and (?:is )?not answering\b`,
		strings.NewReplacer("PEOPLE", people, "BODY", oneOf(lex.Body)).Replace(`\b(?:leaf|door|plate|it|glass|prop|hoist)(?: (?:is|has|had|was|just|came|come|fell|fallen|dropped|landed|tipped|slipped|down|over|lies|lying|stands|right))* (?:on|onto|on to|on top of|over) (?:PEOPLE|me|him|her|us|them|(?:\w+['’]s|my|his|her|their|the) BODY)\b`))
	struck = anyOf(`\b(?:hit|hitting|drill(?:ed|ing)? into|struck|cut (?:in|into|through)|nicked|pierced|punctured|caught|(?:drill|bit|we|i|it)? ?(?:went|gone|came|goes) (?:in|into|through|on|onto)|sawn (?:in|into|through)) (?:a|an|the|some)?\s*(?:\w+ )?(?:`+oneOf(lex.Hidden)+`|`+oneOf(lex.Unnamed)+`)\b`,
		`\bdrilled (?:(?:a|the|an|some) )?(?:(?:heating|water|gas|drain|waste|power|live|electric\w*|copper|plastic) )*`+oneOf(lex.Hidden)+`\b`,
		`\bdrilled (?:\w+ )?(?:too deep|too far|wrong|through|in the wrong)|\b(?:drilled|cut) (?:in |at )?(?:the )?wrong (?:place|spot|hole|side)`,
		`\b(?:pipe|cable|wire|tendon|(?:heating|water|floor) tube)s? (?:was |were |is |got |has been )?(?:hit|damaged|burst|nicked|broken|leaking|leaks|cut|severed|sliced|torn)\b`,
		`\b(?:cut|cutting|severed|sliced|tore) (?:(?:a|an|the|some|one|two|through|our) )*(?:(?:live|power|heating|water|gas|electric\w*|main) )*(?:pipe|cable|wire|tendon|strand|hose|conduit|membrane|rebar|water line|gas line|power line|heating line)s?(?:$|[,.;!]| (?:in|under|at|by|while|when|with|of|and|near|below|behind|there)\b)`,
		`\b(?:am|are|is|was|were|went|gone|came|come|broke|broken|drilled|punched|fell|goes)(?: (?:right|straight|clean|all the way|just|nearly all))* through (?:the |a )?(?:slab|ceiling|screed|concrete|membrane|deck|soffit|underside)\b|\b(?:drill|bit|hole|core)s?(?: (?:has|is|was|just))* (?:went|gone|came|come|goes|broke) (?:right |straight |clean |all the way )*through\b`,
		`\b(?:drips?|dripping|leaks?|leaking|runs|running|water)\b(?: \w+){0,4} (?:below|downstairs|underneath|under us|through the ceiling)\b|\b(?:it|something) (?:is )?(?:drips|dripping|leaking|leaks|hissing|hisses)\b|\bhiss(?:es|ing)?\b`,
		`\b(?:rcd|rcbo|mcb|gfci|elcb|breaker|fuse|circuit|mains?|power|board)s? (?:has |have |just |was |is |got |all )*(?:tripped|trips|blew|blown|jumped|popped|cut out)\b`,
		`\bpressure (?:has |is |was |just |keeps |(?:in|of|on) the \w+ )*(?:dropp(?:ed|ing)|drops|fell|falling|falls|gone|went|down|lost)\b|\b(?:lost|losing|loses|dropped) (?:its |all |the |some |of )*(?:pressure|water)\b`,
		`\b(?:bang|snap|twang|thud)\b(?: \w+){0,2} (?:in|from|under|inside|out of) (?:the |a )?(?:slab|floor|screed|ceiling|hole|concrete|soffit)\b`,
		`\bwater (?:is |was |keeps |just )*(?:running|rising|spraying|squirting|leaking|dripping|pouring|flowing|coming|pours|runs|flows|drips|sprays|squirts)\b|\b(?:a|the) (?:\w+ )?leak\b|\bleak(?:s|ing)? (?:from|in|at|under)\b`,
		`\btripped (?:the |a )?(?:fuse|rcd|breaker|power|board)\b|\b(?:has|have|got) no (?:power|water|gas) since\b|\bfound (?:an? |the |some )?(?:\w+ )?(?:wire|cable|pipe)s? in (?:the |a )?hole\b|\bfire in (?:the |a )\w+ ?(?:bag|bin|box|hole)\b`,
		`\bsmoke (?:from|out of|coming|everywhere)\b|\bis smoking\b|\b(?:caught|catching) fire\b|\bon fire(?:$|[.,!])`,
		`\bwater (?:comes|coming|is coming|came|everywhere|leaks?|in the hole|out of|running|rising|spraying)|\b(?:full of|spraying|squirting) water\b`,
		`\bsparks?\b|\b(?:power|lights?|electric(?:ity)?) (?:\w+ )?(?:went|go|gone|tripped|out|off)\b|\bfuse (?:blew|went|tripped)\b|\bbreaker (?:went|tripped)\b`, gasOrFibres)
	trouble = anyOf(became([]string{"leaf", "door", "it"}, lex.GaveWay), became(lex.Rigging, lex.GaveWay), became(lex.Ground, lex.Unsound), becameLoose, alone,
		`\b(?:plate|leaf|pins?|box) (?:does not|doesn['’]t|do not|don['’]t|won['’]t) fit\b`, `\bcracks? in (?:the )?`+oneOf(lex.Ground)+`\b`, `\b`+oneOf(lex.Ground)+` sounds? hollow\b`, softSample)
	mayBeTrouble = regexp.MustCompile(`(?i)\bneed help\b|^water\b|^burst\b|\b(?:cartridge|key|template|bit|drill) (?:was |is |has |got |just )*(?:hit|damaged|bursts?|broke|broken|leaking|leaks|bent|snapped|split|stuck|jammed)\b`)
	hardly       = regexp.MustCompile(`(?i)\b(?:not?|nor|never|nobody|none|nothing|nearly|almost|careful|avoid|without|off|if|unless|in case|would|through|last (?:year|month|week)|(?:did|is|was|were|does|has)nt)\b|n['’]t\b`)

	inAir    = regexp.MustCompile(`(?i)` + gasOrFibres)
	bedded   = regexp.MustCompile(`(?i)` + becameLoose)
	isAlone  = regexp.MustCompile(`(?i)` + alone)
	isSoft   = regexp.MustCompile(`(?i)` + softSample)
	asksSoon = regexp.MustCompile(`(?i)^(?:is|are|was|were|do|does|did|which|what|who|why|how|can|could|should)\b`)
)

var becameLoose = strings.Join([]string{became(lex.Bedded, lex.Disturbed), `\b(?:knocked|kicked|hit|stood on|stepped on|walked on|drove over) (?:the |a )?(?:floor |head )?plate\b`}, "|")

const (
	gasOrFibres = `\bsmells? (?:of |like )?(?:gas|burning|smoke)\b|^gas!+$|\brotten eggs?\b|\b(?:fluffy|fibrous) (?:\w+ ){0,2}(?:stuff|dust)\b|\bgas (?:smell|leak\w*|escaping)\b|\basbestos\b`
	alone       = `\b(?:i['’]?m|i am|im|he is|she is|all|left) (?:all )?alone\b|\bon my own\b|\bnobody (?:here |left |else )+(?:to help|to hold|with me)?`
	softSample  = `\bsample (?:\w+ ){0,4}(?:soft|sticky|tacky|wet)\b|\b(?:soft|sticky|tacky) sample\b`
)

// people is whoever may be hurt, where no name is said; names become somebody.
const people = `\b(?:i|we|he|she|they|somebody|someone|one of us|(?:the |our |a )?(?:apprentice|mate|lad|man|guy|worker|colleague|painter|child|kid|client))`

// oneOf matches one of some words, also of several of it.
func oneOf(words []string) string { return `(?:` + strings.Join(words, "|") + `)s?` }

// became matches a thing and, a few words behind it, what became of it.
func became(things, what []string) string {
	return strings.NewReplacer("THING", oneOf(things), "WHAT", strings.Join(what, "|")).Replace(
		`\bTHING(?: (?:is|are|was|were|has|have|had|been|got|gets|just|now|still|again|the|really|badly|starts?|started|keeps|all|a bit|bit|went|going|by|itself))* (?:WHAT)\b|\b(?:someone|somebody|trolley|they|we|i|he|she) (?:has |have |just )*(?:WHAT) (?:on |over )?(?:the |a )?THING\b`)
}

func anyOf(patterns ...string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)` + strings.Join(patterns, "|"))
}
