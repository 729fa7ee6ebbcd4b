package order

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// mix begins the working time of adhesive. Batch and expiry are remembered for
// the crew's day at the site: "mix head", or "mix head K71" without its expiry,
// takes them from there.
func (e *Request) mix(text string) error {
	text, at, err := e.doneAt(text)
	if err != nil {
		return err
	}
	where, rest, _ := strings.Cut(text, " ")
	if where = strings.ToLower(strings.Trim(where, ",:")); where != "floor" && where != "head" {
		return bot.Refuse(say.F("which plate, floor or head? as mix floor K71 exp 09/2027"))
	}
	batch, expiry := onCartridge(rest)
	cmd := &jobs.MixAdhesive{Where: where, Batch: batch}
	if expiry == "" {
		known, door, err := e.batchToday(batch)
		switch {
		case err != nil:
			return err
		case known == nil && batch == "":
			return bot.Refuse(say.F("which batch, and until when is it good? your crew mixed none today; as mix %s K71 exp 09/2027", where))
		case known == nil:
			return bot.Refuse(say.F("until when is batch %s good? as mix %s %s exp 09/2027", batch, where, batch))
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
