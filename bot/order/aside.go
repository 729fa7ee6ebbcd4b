package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// asides are what stands behind the readings of an order that may be more than a
// remark: 60 finder out of order, 8 but rubs at the bottom. No list of words that
// undo a reading would be whole, so at a hold all is asked about that does not say
// where, by what or by whom it was read.
type asides struct {
	said  []string // what is asked about
	again []string // the readings, with it behind note
}

// add adds a reading as it was typed, of which aside may be no remark.
func (a *asides) add(e *Request, it *jobs.Item, r *jobs.ReadItem, typed, aside string) {
	aside = strings.Trim(aside, " ,;.()")
	at := strings.LastIndex(typed, aside)
	if !it.Hold || at < 0 || onlySays(it, aside, e.Site) {
		a.again = append(a.again, it.ID+" "+typed)
		return
	}
	behind := noteWord.ReplaceAllString(typed[at:], ", ")
	a.said = append(a.said, it.ID+" "+typed)
	value := strings.TrimRight(typed[:at], " ,;.(")
	if worst(it, aside) != 0 {
		value = r.Value.String() // of wind 5 gusts 6 but more it is the 6
	}
	a.again = append(a.again, strings.Join([]string{it.ID, value, "note", behind}, " "))
}

// askAsides asks whether what stands behind some readings is only a remark; not of
// none, looked with my eyes, which is refused anyhow.
func (e *Request) askAsides(j *jobs.Job, cmd *jobs.ReadItems, a *asides) error {
	if slices.ContainsFunc(cmd.Items, func(r jobs.ReadItem) bool { return r.None }) {
		if _, err := e.Desk.Try(e.Msg, j, cmd); err != nil {
			return err
		}
	}
	order := "door " + e.DoorID + " read " + strings.Join(a.again, ", ")
	said := make([]string, len(a.said))
	for i, s := range a.said {
		said[i] = lex.CutText(s, 60)
	}
	e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("%s: does all of it leave the reading as it is? say yes and it is entered, with the words as a remark; say no if it does not, and read it again", say.Names("; ", said...))},
		bot.Button{Label: e.Desk.Language.Say(say.F("Yes")), Say: order})
	return nil
}

// onlySays reports whether what stands behind a reading says no more than where, by
// what or by whom it was read, or which of several it was: at the top, by laser,
// with bo, gusts.
func onlySays(it *jobs.Item, aside string, site *jobs.Site) bool {
	if which := worst(it, aside); which != 0 { // its numbers are compared already
		named := atHighest
		if which < 0 {
			named = atLowest
		}
		aside = compared.ReplaceAllString(named.ReplaceAllString(aside, " "), " ")
	}
	aside = unnamed(aside, site)
	where := ofLengths
	switch it.Unit {
	case "°C":
		where = ofSubstrate
	case "m/s":
		where = ofWind
	}
	return where.MatchString(aside)
}

var (
	atHighest = regexp.MustCompile(`(?i)\b(?:(?:at|in|with) (?:the )?)?(?:gust\w*|peaks?|max|maximum|most|highest|worst)\b`)
	atLowest  = regexp.MustCompile(`(?i)\b(?:(?:at|in) (?:the )?)?(?:least|lowest|min|minimum|nearest|smallest|night\w*|worst)\b`)
	compared  = regexp.MustCompile(`(?i)\b\d[\d.,/-]*(?: ?(?:mm|cm|in|°C|C|m/s|s|N)\b)?`)
	// another matches what lies elsewhere: heating in the next room.
	another = regexp.MustCompile(`(?i)\bnext door\b|\b(?:next|other|neighbou?r\w*|another) (?:room|door|flat|floor|bay)\b`)
)

// What says how something was read, and where: of lengths and times, of a
// substrate, which is not the air over it, and of wind.
var (
	ofLengths = onlySaying(`top|bottom|middle|centre|center|corners?|wall|window|door|doorway|whole doorway|jambs?|(?:heel|lead|leading)(?: edge| side| jamb)?|left|right|plate|joint|holes?|axis|pivot|head|foot|slab|screed|concrete|back|underside|both (?:sides|ends|corners|jambs)|everywhere|all over|there|here`,
		`laser|spirit level|level|plumb(?: bob| line)?|bob|(?:(?:pipe|cable|metal|wall) )?(?:finder|locator|detector|scanner|scan)|radar|gpr|(?:as-built )?drawings?|plans?|(?:feeler )?gauges?|feelers?|tape|rulers?|rule|callipers?|calipers?|straight ?edge|stop ?watch|watch|(?:spring|pull|force|fish) (?:scales?|balance|gauge)|scales?|dynamometer|meter|moisture meter|hygrometer|wedges?|blocks?`)
	ofSubstrate = onlySaying(`substrate|floor|screed|slab|concrete|surface|plate|holes?|soffit|underside|head|lintel|steel|there|here`,
		`(?:surface |contact |infrared |ir )?(?:thermometer|probe|sensor)|laser|ir|infrared|meter`)
	ofWind = onlySaying(`door|doorway|opening|there|here`, `anemometer|wind ?meter|meter|gauge`)
)

// onlySaying matches a text that holds nothing but places, tools and words that go
// with them.
func onlySaying(places, tools string) *regexp.Regexp {
	return regexp.MustCompile(strings.NewReplacer("PLACE", places, "TOOL", tools).Replace(
		`(?i)^[\s,;.()]*(?:(?:(?:(?:at|in|on|of|by|beside|near|over|across|along|from) )?(?:the )?(?:PLACE)|(?:(?:by|with|using|per) )?(?:(?:an?|the|my|our|his|her|new) )*(?:TOOL)|(?:measured|read|checked|taken|looked|scanned|searched|located|swept)(?: it)?(?: for (?:pipes|cables|services))?(?: (?:twice|again|three times))?|(?:(?:by|with|and) )?(?:somebody|me|us)|off|dead on|spot on|exactly|twice|now|just now|today|again|this time|and|ok|okay|all good|good|fine|thanks|please)(?:[\s,;.()]+|$))*$`))
}

// alarmed deals with a remark behind a reading or a tick that tells of what went
// wrong, as when it is said alone, and of what changes what is safe at a door: the
// item waits. 60 tendons at the edge; floor-drilled, water in the hole.
func (e *Request) alarmed(j *jobs.Job, it *jobs.Item, remark string) (told bool, err error) {
	remark = askedAsbestos.ReplaceAllString(remark, "")
	m := e.Msg
	m.Text = remark
	remark = unnamed(remark, e.Site)
	grave := plain(harm, remark, false) || plain(inAir, remark, true) || TellsHit(remark)
	if !Stop(remark).IsZero() && (grave || against(it, remark) == "" && !strings.HasSuffix(it.ID, "-sample")) { // what an item is looked at for is no alarm
		out, ok, err := Trouble(e.Ctx, e.Desk, m, j)
		if ok && err == nil {
			e.Outcome = out
			e.Say(bot.KindAnswer, say.F("%s is not entered: say it again when that is put right", it.ID))
		}
		return ok, err
	}
	danger := asserted(tensioned, remark)
	switch {
	case another.MatchString(remark), danger == "" && !strings.HasSuffix(it.ID, "-services"):
		return false, nil
	case danger != "" && j.Door.Spec.Tendons && strings.HasSuffix(it.ID, "-services"):
		return true, bot.Refuse(say.F("%s: %q changes what may be drilled: it is not entered", it.ID, danger))
	}
	out, ok := Danger(e.Desk, m, j)
	if ok = ok && out.Waiting != nil; ok {
		e.Say(bot.KindAnswer, say.F("%s is not entered: first this", it.ID))
		out.Posts = append(e.Posts, out.Posts...)
		e.Outcome = out
	}
	return ok, nil
}

var tensioned = ground(lex.Tensioned)

// askedAsbestos matches that it was asked about, or that there is none.
var askedAsbestos = regexp.MustCompile(`(?i)\b(?:no asbestos|asbestos (?:was |is )?(?:asked(?: about)?|none))\b`)

// spread refuses a reading with its tolerance: what counts is the worst that it can
// be, and whoever read it knows which that is.
func spread(unit, typed string) error {
	at := tolerance.FindStringIndex(typed)
	if at == nil {
		return nil
	}
	v, _, err := Measure(typed[:at[0]], unit)
	if err != nil {
		return err
	}
	by, _, err := Measure(typed[at[1]:], unit)
	if err != nil {
		return err
	}
	least, highest := v, v
	least.Micro -= by.Micro
	highest.Micro += by.Micro
	return say.F("%q is anything from %s to %s: read the worst of it alone", lex.CutText(strings.TrimSpace(typed), 40), least, highest)
}

// tolerance matches what stands between a number and its tolerance.
var tolerance = regexp.MustCompile(`(?i)\s*(?:±|\+\s*/?\s*[-–−]|\bplus[ /]*(?:or )?minus\b)\s*`)
