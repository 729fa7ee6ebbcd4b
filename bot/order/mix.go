package order

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// mix begins the working time of adhesive. Batch and expiry are remembered for
// the crew's day at the site: "mix head", or "mix head K71" without its expiry,
// takes them from there.
func (e *Request) mix(text string) error {
	typed := text
	j, err := e.Job()
	if err != nil {
		return err
	}
	if e.spoiltSaid(j, "mix "+text) {
		return nil
	}
	text, at, err := e.doneAt(text)
	if err != nil {
		return err
	}
	where, rest, _ := strings.Cut(text, " ")
	if where = strings.ToLower(strings.Trim(where, ",:")); where != "floor" && where != "head" {
		rest = text
		if where, err = e.onlyPlate("", "batch"); err != nil {
			return err
		}
	}
	switch bonded, err := e.bondedAt(where); {
	case err != nil:
		return err
	case where == "":
		return bot.Refuse(say.F("which plate, floor or head? as mix floor K71 exp 09/2027"))
	case !bonded:
		return bot.Refuse(say.F("the %s plate of this door is not bonded: nothing is mixed for it", say.Name(where)))
	}
	batch, expiry := onCartridge(rest)
	cmd := &jobs.MixAdhesive{Where: where, Batch: batch}
	if expiry == "" {
		known, door, err := e.batchToday(batch)
		switch {
		case err != nil:
			return err
		case known == nil && batch == "":
			e.askBatch(typed, say.F("which batch, and until when is it good? your crew mixed none today; as mix %s K71 exp 09/2027", where))
			return nil
		case known == nil:
			e.askBatch(typed, say.F("until when is batch %s good? as mix %s %s exp 09/2027", batch, where, batch))
			return nil
		}
		cmd.Batch, cmd.As, expiry = known.Name, door, known.Expires
	}
	if cmd.Batch == "" {
		return bot.Refuse(say.F("which batch is it, that expires %s? as mix %s K71 exp %s", expiry, where, expiry))
	}
	if cmd.Expiry, err = jobs.ParseExpiry(expiry); err != nil {
		return bot.Refuse(err)
	}
	return e.Do(&jobs.Earlier{Command: cmd, At: at})
}

// askBatch asks for what a mix lacks, and takes it behind what was typed of it.
func (e *Request) askBatch(typed string, question say.Text) {
	e.ask(&Unfinished{Text: strings.TrimSpace(strings.Join([]string{"door", e.DoorID, "mix", typed}, " ")), Before: untilWhen, Question: question})
}

// untilWhen stands before a reply that tells until when a batch is good.
const untilWhen = "exp"

// expiryNamed takes what a mix lacks, as 09/2027, or K71 exp 09/2027.
func expiryNamed(o *Unfinished, text string) Reply {
	text = strings.Trim(text, " .!")
	other, _ := FindOrder(text)
	batch, expiry := onCartridge(text)
	_, err := jobs.ParseExpiry(cmp.Or(expiry, text))
	switch {
	case other != nil || !strings.ContainsAny(text, "0123456789"):
		return Reply{}
	case err != nil:
		return Reply{Why: err}
	case batch == "":
		return Reply{Order: words(o.Text, untilWhen, expiry)}
	}
	return Reply{Order: words(o.Text, text)}
}

// bondedAt reports whether a plate of the door is bonded.
func (e *Request) bondedAt(where string) (bool, error) {
	j, err := e.Job()
	if err != nil {
		return false, err
	}
	return j.Item(where+"-batch") != nil, nil
}

var (
	batchWord  = regexp.MustCompile(`(?i)^(?:batch|lot)\b(?: (?:no|number)\b)?[.:]?\s*`)
	expiryWord = regexp.MustCompile(`(?i)(?:^|[\s,;(]+)(?:exp(?:iry|ires|iring|iration)?(?: date)?|(?:good )?until|use by|best before)[.:]*\s+`)
)

// onCartridge parts what is typed from a cartridge into batch and expiry, with
// or without a word before that: "K71 exp 09/2027", "batch K71 2027-09".
func onCartridge(text string) (batch, expiry string) {
	text = batchWord.ReplaceAllString(strings.TrimSpace(text), "")
	if at := expiryWord.FindStringIndex(text); at != nil {
		return strings.TrimSpace(text[:at[0]]), strings.Trim(text[at[1]:], " )")
	}
	words := strings.Fields(text)
	for i := range words {
		tail := strings.Join(words[i:], " ")
		if _, err := jobs.ParseExpiry(tail); err == nil {
			return strings.Trim(strings.Join(words[:i], " "), ","), tail
		}
	}
	return text, ""
}

// mixWord is what people call adhesive that is mixed.
const mixWord = `(?:mix|adhesive|glue|resin|batch)`

var (
	// spoiltMix matches what people say of a mix that is thrown away: tube burst,
	// mix thrown away; chucked the glue. What is yet to come is none.
	spoiltMix = regexp.MustCompile(`(?i)\b(?:` + mixWord + `(?: (?:of|at|for) the (?:floor|head)| floor| head)?(?: (?:is|was|has|had|been|got|to|be|all|now))* (?:spoil(?:t|ed)|thrown (?:away|out)|binned|wasted|ruined|no good)|(?:threw|chucked|binned|dumped) (?:away |out )?(?:the |my |our )?(?:floor |head )?` + mixWord + `)\b`)
	// goneOff matches what is said of adhesive that is spoilt and of one that has set
	// where it is to.
	goneOff = regexp.MustCompile(`(?i)\b` + mixWord + `\b.*\b(?:gone|went|going) off\b`)
	// yetToCome matches what makes a word of what is done one of what may be.
	yetToCome = regexp.MustCompile(`(?i)\b(?:will|would|going to|gonna|if|when|might|may|could|should|unless|until|before|almost|nearly)\b|['’]ll\b`)
	// plateOfMix matches the plate that a mix is for; glue binned on the floor names
	// none.
	plateOfMix = regexp.MustCompile(`(?i)\b` + mixWord + ` (?:(?:of|at|for) the )?(floor|head)\b|\b(floor|head) ` + mixWord + `\b`)
	// spoiltPlate matches the order as people turn it: mix floor spoilt.
	spoiltPlate = regexp.MustCompile(`(?i)^mix (floor|head) spoil(?:t|ed)\b[,:]?`)
)

// spoiltSaid asks whether what is mixed is thrown away, where a text says so
// without the order's words; false if it says nothing of it, or nothing is mixed.
func (e *Request) spoiltSaid(j *jobs.Job, text string) (asked bool) {
	if len(j.Door.Mixes) == 0 || asking.MatchString(text) || denies(text) || yetToCome.MatchString(text) || !Stop(text).IsZero() {
		return false
	}
	order := strings.Join([]string{"door", e.DoorID, spoiltOrder(text)}, " ")
	switch {
	case spoiltMix.MatchString(text):
		e.ask(&Unfinished{Guess: order, Question: say.F("did you mean %s? say yes, or say it again", order)})
		return true
	case goneOff.MatchString(text):
		e.Say(bot.KindAsk, say.F("is it spoilt, or has it set at its plate? where what is mixed is thrown away, say %s", order))
		return true
	}
	return false
}

// offMix matches what is said of a mix instead of a batch and its date: mix is off,
// mix went hard, mix too stiff.
var offMix = regexp.MustCompile(`(?i)^(?:(?:(?:the|floor|head) )*(?:mix|adhesive|glue|resin)|batch)(?: (?:floor|head))?(?: (?:is|was|has|had|been|got|went|gone|going|turned|getting|all|now|already|too|bit|a|just|no|not|won['’]?t))+ (?:off|hard|stiff|thick|lumpy|warm|hot|dry|set|cured|gelled|old|late|usable|good|spread|flow\w*|out of time|over time|expired|bad)\b|^(?:mix|adhesive|glue|resin) (?:off|hard|stiff|gelled|set|cured|expired|too \w+)\b|^mix(?:ed)? too (?:late|long|early|much|little)\b`)

// spoiltOrder returns the order that throws a mix away, with all that people say as
// the reason where it is more than that.
func spoiltOrder(text string) string {
	what, why := splitBecause(text)
	if why == "" && (len(strings.Fields(what)) > 3 || offMix.MatchString(what)) {
		why = strings.Trim(text, " .!")
	}
	order := "mix spoilt"
	if m := plateOfMix.FindStringSubmatch(what); m != nil {
		order += " " + strings.ToLower(m[1]+m[2])
	}
	if why != "" {
		order += " because " + why
	}
	return order
}

// spoilt throws away what is mixed.
func (e *Request) spoilt(text string) error {
	what, why := splitBecause(text)
	if what = strings.ToLower(what); what != "" && what != "floor" && what != "head" {
		return bot.Refuse(say.F("which mix, floor or head? as mix spoilt floor because the tube burst"))
	}
	return e.Do(&jobs.SpoilMix{Where: what, Why: why})
}

// atHour matches an hour without minutes behind a plate.
var atHour = regexp.MustCompile(`(?i)^(floor|head) at (\d{1,2})$`)

func (e *Request) bond(text string) error {
	where, at, err := e.doneAt(text)
	if err != nil {
		return err
	}
	if m := atHour.FindStringSubmatch(where); m != nil && at.IsZero() {
		order := strings.Join([]string{"door", e.DoorID, "bond", m[1], "at", m[2] + ":00"}, " ")
		e.ask(&Unfinished{Guess: order, Question: say.F("is %s the hour? say yes and it is %s, or say it with its minutes", m[2], order)})
		return nil
	}
	if plate, rest, more := strings.Cut(strings.ToLower(where), " "); more && (plate == "floor" || plate == "head") {
		return bot.Refuse(say.F("%q: say bond %s when the plate lies in it, or bond %s at 8:15 if it was then", lex.CutText(rest, 40), plate, plate))
	}
	if where, err = e.onlyPlate(strings.ToLower(where), "bonded"); err != nil {
		return err
	}
	if where != "floor" && where != "head" {
		return bot.Refuse(say.F("which plate, floor or head? as bond floor, or bond floor at 8:15 if it was then"))
	}
	return e.Do(&jobs.Earlier{Command: &jobs.BondPlate{Where: where}, At: at})
}

// onlyPlate returns the plate that is meant where none is named: the one that is
// bonded at the door, or the one that adhesive is mixed for now.
func (e *Request) onlyPlate(where, step string) (string, error) {
	if !slices.Contains([]string{"", "it", "plate", "the plate", "now"}, where) {
		return where, nil
	}
	j, err := e.Job()
	if err != nil {
		return "", err
	}
	var plates []string
	for _, plate := range []string{"floor", "head"} {
		if j.Item(plate+"-"+step) != nil {
			plates = append(plates, plate)
		}
	}
	if mixed := j.Door.Mixes; len(plates) > 1 && len(mixed) == 1 && step == "bonded" {
		plates = []string{mixed[0].Where}
	}
	if len(plates) != 1 {
		return "", nil
	}
	return plates[0], nil
}

// batchToday returns what somebody's crew mixed last today at the site, of a
// batch or of any, and the door where; nil if they mixed none.
func (e *Request) batchToday(batch string) (last *jobs.Cartridge, door string, err error) {
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	for j, err := range e.Desk.Each(e.Ctx, e.Site, "changed") {
		if err != nil {
			return nil, "", err
		}
		if jobs.DateOf(j.Door.Updated.In(e.Site.Zone)).Before(today) {
			break // they come by their last change
		}
		b := j.Door.Batch
		if b == nil || jobs.DateOf(b.At.In(e.Site.Zone)) != today || batch != "" && !strings.EqualFold(b.Name, batch) || !e.together(b.By, j) {
			continue
		}
		if last == nil || b.At.After(last.At) {
			last, door = b, j.Door.Spec.ID
		}
	}
	return last, door, nil
}

// together reports whether whoever speaks is of one crew with somebody: by the
// site file, or at that door.
func (e *Request) together(who string, at *jobs.Job) bool {
	me, _ := e.Site.Person(e.Msg.Person)
	other, _ := e.Site.Person(who)
	crew := at.Door.Spec.Crew
	return who == e.Msg.Person || me.Crew != "" && me.Crew == other.Crew || slices.Contains(crew, who) && slices.Contains(crew, e.Msg.Person)
}
