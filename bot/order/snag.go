package order

import (
	"errors"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// snag opens a snag for whoever is named before or behind its text, by the day
// that stands there; or gives one that is open to somebody else, or another day.
func (e *Request) snag(text string) error {
	id, rest := snagID(text)
	rest = madeBy.ReplaceAllString(rest, "$1 by $2")
	if err := ruledOut(rest, "snag scratch @bo"); err != nil {
		return err
	}
	rest, people := namedAround(rest)
	if len(people) > 0 {
		rest = leads.ReplaceAllString(rest, "")
	}
	what := rest
	rest, by, due, err := e.dueBy(rest)
	_, hour := errors.AsType[*jobs.HourError](err)
	if refusal, no := errors.AsType[*bot.RefusalError](err); no && !hour {
		e.askDay(id, what, people, refusal)
		return nil
	}
	if err != nil {
		return err
	}
	for _, who := range people {
		rest += " @" + who // that it is named once, wherever
	}
	rest, people = namedAround(strings.TrimSpace(rest))
	if len(people) > 0 {
		rest = strings.TrimRight(rest, " ,;")
	}
	typed := strings.TrimSpace(id + " " + rest)
	if len(people) > 1 {
		e.ask(&Unfinished{Text: "door " + e.DoorID + " snag " + typed, After: by, Who: true,
			Question: say.F("a snag has one owner: @%s?", say.Names(" or @", people...))})
		return nil
	}
	if e.askWho("snag", typed, people, by) {
		return nil
	}
	owner := strings.Join(people, "")
	switch {
	case id == "" && len(e.Msg.Files) > 0:
		return e.Do(&jobs.OpenSnag{Text: rest, Owner: owner, Due: due, Hit: TellsHit(rest), Photo: e.snagPhoto("", "")})
	case id == "":
		return e.Do(&jobs.OpenSnag{Text: rest, Owner: owner, Due: due, Hit: TellsHit(rest)})
	case rest == "" && owner == "" && due.IsZero() && len(e.Msg.Files) > 0:
		return e.Do(e.snagPhoto(id, ""))
	case rest != "":
		return bot.Refuse(say.F("close %s closes it with what was done; snag %s takes another owner or day, as snag %s @bo by Friday", id, id, id))
	case owner == "" && due.IsZero():
		return bot.Refuse(say.F("snag %s: to whom, or by when? as snag %s @bo by Friday", id, id))
	}
	return e.Do(&jobs.MoveSnag{ID: id, Owner: owner, Due: due})
}

// TellsHit reports whether a text tells of something that was or may have been hit;
// a tube that burst may lie in the floor.
func TellsHit(text string) bool {
	return plain(struck, text, true) || inFloor(text)
}

// askDay asks for another day than the one by which a snag can't be put right; the
// rest is kept.
func (e *Request) askDay(id, what string, people []string, why *bot.RefusalError) {
	at := strings.LastIndex(" "+strings.ToLower(what), " by ")
	day, behind := namedAround(what[at+len("by "):])
	text := []string{"door", e.DoorID, "snag"}
	for _, part := range append([]string{id, strings.TrimSpace(what[:at])}, slices.Concat(people, behind)...) {
		if part != "" {
			text = append(text, part)
		}
	}
	for i := len(text) - len(people) - len(behind); i < len(text); i++ {
		text[i] = "@" + text[i]
	}
	e.ask(&Unfinished{Text: strings.Join(text, " "), Day: day, Files: e.Msg.Files, Question: say.F("%s; the rest is kept", why.Unwrap())})
}

// leads matches a word that led to a person who stood behind it: scratch, for
// @bo.
var leads = regexp.MustCompile(`(?i)[\s,]+(?:by|for|to)$`)

// snagID takes the id of a snag from the front of a text, "" if it has none.
func snagID(text string) (id, rest string) {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	first = strings.TrimRight(first, ",;:")
	if snagName.MatchString(first) {
		return strings.ToLower(first), strings.TrimSpace(rest)
	}
	return "", strings.TrimSpace(text)
}

var snagName = regexp.MustCompile(`^[sS][0-9]+$`)

// dueBy takes the day by which something is to be done from the end of a text,
// as in "scratch at the lead edge by Friday", and returns how it was said. One
// that is nearly a day is asked about.
func (e *Request) dueBy(text string) (rest, by string, due time.Time, err error) {
	i := strings.LastIndex(" "+strings.ToLower(text), " by ")
	if i < 0 {
		return text, "", due, nil
	}
	phrase, people := namedAround(text[i+len("by "):])
	if overDay.MatchString(phrase) {
		return "", "", due, bot.Refuse(say.F("by %s: that day is over, say by which one it is to be put right", lex.CutText(phrase, 40)))
	}
	due, meant, err := e.Site.Deadline(phrase, e.Msg.At)
	switch {
	case err != nil:
		return "", "", due, bot.Refuse(err)
	case meant:
		rest = strings.Join(append([]string{strings.TrimSpace(text[:i])}, people...), " @")
		return rest, " by " + phrase, due, nil
	}
	word := strings.ToLower(strings.Trim(phrase[strings.LastIndex(phrase, " ")+1:], ".,!"))
	for _, day := range weekdays {
		if len(word) > 4 && lex.Distance(word, day) <= lex.SlipsIn(day) {
			return "", "", due, bot.Refuse(say.F("by %s: which day is that? say it again with its name or its date, as by %s", lex.CutText(phrase, 40), say.Name(day)))
		}
	}
	return text, "", due, nil
}

// overDay matches a day that is over.
var overDay = regexp.MustCompile(`(?i)^(?:yesterday|last \w+)\W*$`)

var weekdays = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "tomorrow"}

// askWho asks who is meant by the first of some people whom the site file does
// not name; false if it names all. The order waits, with what stands behind the
// reply.
func (e *Request) askWho(order, text string, people []string, after ...string) bool {
	for i, id := range people {
		if e.Site.Role(id) != jobs.Guest {
			continue
		}
		for j, other := range people {
			if j != i {
				text += " @" + other
			}
		}
		e.ask(&Unfinished{Text: "door " + e.DoorID + " " + order + " " + text, After: strings.Join(after, ""), Who: true,
			Question: say.F("@%s is not named in the site file of %s: who is meant? as @%s; the rest is kept", lex.CutText(id, 40), e.Site.ID, e.Site.First(jobs.Crew))})
		return true
	}
	return false
}

// namedAround takes the people named by @ before and behind a text off it.
func namedAround(text string) (rest string, people []string) {
	fields := strings.Fields(text)
	named := func(field string) string {
		id, at := strings.CutPrefix(strings.Trim(field, ".,;:!"), "@")
		if !at {
			return ""
		}
		return id
	}
	front, back, some := 0, len(fields), false
	for ; front < len(fields) && (named(fields[front]) != "" || some && fields[front] == "and"); front++ {
		some = true
	}
	for some = false; back > front && (named(fields[back-1]) != "" || some && fields[back-1] == "and"); back-- {
		some = true
	}
	for _, field := range slices.Concat(fields[:front], fields[back:]) {
		if id := named(field); id != "" && !slices.Contains(people, id) {
			people = append(people, id)
		}
	}
	if people == nil {
		return text, nil
	}
	return strings.Join(fields[front:back], " "), people
}

func (e *Request) closeSnag(text string) error {
	id, done, _ := strings.Cut(strings.TrimPrefix(text, "snag "), " ")
	if _, err := strconv.Atoi(id); err == nil {
		id = "s" + id
	}
	id = strings.ToLower(strings.TrimRight(id, ",;"))
	if err := severalSnags(id, done); err != nil {
		return err
	}
	return e.closed("close", id, done)
}

// severalSnags refuses to close one snag where several are named: each was put right
// in its own way.
func severalSnags(id, done string) error {
	m := moreSnags.FindStringSubmatch(done)
	if m == nil {
		return nil
	}
	return bot.Refuse(say.F("%s and %s: close each with what was done, as close %s polished out; close %s polished out", id, m[1], id, m[1]))
}

var moreSnags = regexp.MustCompile(`(?i)^\W*(?:and |& ?|\+ ?|to |or )?(s\d+)\b`)
