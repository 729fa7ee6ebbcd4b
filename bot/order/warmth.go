package order

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// manyDoors is the most doors that one message changes.
const manyDoors = 100

// temperature enters what was read at the door spoken of, or at those that are
// named behind it, as "temperature 14 min 8 for A-1, A-3" and "temperature 14
// A-1 to A-9".
func (e *Request) temperature(text string) error {
	typed := text
	text, so := saidSo(text)
	text, at, err := e.doneAt(text)
	if err != nil {
		return err
	}
	text, named := splitDoors(text)
	cmd, now, lowest := &jobs.ReadWarmth{}, text, ""
	if at := minWord.FindStringIndex(text); at != nil {
		now, lowest, cmd.Min = text[:at[0]], text[at[1]:], new(calc.Temperature)
	}
	for _, part := range []string{now, lowest} {
		err = cmp.Or(err, spread("°C", part))
	}
	if err == nil {
		err = warmth(now, &cmd.T)
	}
	if err == nil && cmd.Min != nil {
		err = warmth(lowest, cmd.Min)
	}
	switch {
	case err != nil:
		return bot.Refuse(err)
	case named == "" && e.DoorID == "":
		if asked, err := e.askCuring(typed); asked || err != nil {
			return err
		}
		return bot.Refuse(say.F("which door? say it in the door's thread, as %s, or as %s", "door A-101 temperature 14", "temperature 14 for A-101, A-103"))
	}
	ids := []string{e.DoorID}
	if named != "" {
		if ids, err = e.doorsNamed(strings.ToUpper(named)); err != nil {
			return err
		}
	}
	done := &jobs.Earlier{Command: cmd, At: at}
	if so == "not" {
		done.Command = &jobs.DropWarmth{ReadWarmth: *cmd}
		if named == "" {
			return e.Do(done)
		}
		return e.atDoors(named, done)
	}
	if so == "" {
		if asked, err := e.askTooCold(ids, typed, cmd, at); asked || err != nil {
			return err
		}
	}
	if named != "" {
		return e.atDoors(named, done)
	}
	return e.Do(done)
}

// askCuring asks at which door a temperature was read that names none: at the one
// of the person's that cures, or which of several; false where none does.
func (e *Request) askCuring(text string) (asked bool, err error) {
	var orders []string
	for j, err := range e.Desk.Counted(e.Ctx, e.Site, "person/"+e.Msg.Person) {
		if err != nil {
			return false, err
		}
		if j.Curing() && j.Door.Handover.IsZero() {
			orders = append(orders, strings.Join([]string{"door", j.Door.Spec.ID, "temperature", text}, " "))
		}
	}
	switch {
	case len(orders) == 0 || len(orders) > 9:
		return false, nil
	case len(orders) == 1:
		e.ask(&Unfinished{Guess: orders[0], Question: say.F("which door? did you mean %s? say yes, or no", orders[0])})
		return true, nil
	}
	c := choice{orders: orders}
	e.ask(&Unfinished{Offers: orders, Question: c.text()})
	return true, nil
}

// warmthAlone matches a temperature with the lowest behind it, as the question for it
// is answered: 4 min 1.
var warmthAlone = regexp.MustCompile(`(?i)^-?\d+(?:[.,]\d+)?(?: ?°? ?c)?,? min(?:imum)? -?\d+(?:[.,]\d+)?(?: ?°? ?c)?[.!]*$`)

// saidSo parts a temperature from the answer to whether it is so: "so", "not" or,
// where none is given, "".
func saidSo(text string) (rest, so string) {
	m := isSo.FindStringSubmatchIndex(text)
	switch {
	case m == nil:
		return text, ""
	case m[2] >= 0:
		return text[:m[0]], "not"
	}
	return text[:m[0]], "so"
}

var isSo = regexp.MustCompile(`(?i)\s+is (not )?so[.!\s]*$`)

// minWord stands before the lowest since the reading before; minus is none.
var minWord = regexp.MustCompile(`(?i)\bmin(?:imum)?(?:\b|\s*[:=]?\s*-?\d)`)

// warmth reads one temperature.
func warmth(text string, t *calc.Temperature) error {
	v, left, err := Measure(saidHere.ReplaceAllString(strings.Trim(text, " ,"), ""), "°C")
	if err == nil && left != "" {
		err = say.F("one temperature in °C is wanted, as 14: what is %q?", lex.CutText(left, 40))
	}
	*t = calc.Temperature(v.Value())
	return err
}

// saidHere matches that a temperature is of here and now, as it is taken to be.
var saidHere = regexp.MustCompile(`(?i)[ ,]+(?:now|here|in here|at the moment)[.!]*$`)

// splitDoors parts a text from the doors that are named at its end.
func splitDoors(text string) (rest, doors string) {
	at := doorList.FindStringSubmatchIndex(text)
	if at == nil {
		return text, ""
	}
	return text[:at[0]], text[at[2]:at[3]]
}

// doorList matches doors at the end of a text.
var doorList = regexp.MustCompile(`(?i)\s+(?:(?:for|at)\s+)?(?:doors?\s+)?(` + doorID + `(?:` + doorGap + doorID + `)*)[.\s]*$`)

// doorGap matches what stands between doors in a list, doorID one of them.
const doorGap = `(?:\s*,?\s+(?:except(?:\s+for)?|but\s+not|without)\s+|\s*,\s*(?:and\s+)?|\s+and\s+|\s+to\s+|\s*[–—]\s*|\s+-\s+|\s+)`
const doorID = `[a-z][a-z0-9._]*-[0-9]+`

// atDoors changes each of some doors, and says which of them can't be, and why.
func (e *Request) atDoors(doors string, cmd jobs.Command) error {
	ids, err := e.doorsNamed(strings.ToUpper(doors))
	if err != nil {
		return err
	}
	did, not, err := e.each(ids, func(string) jobs.Command { return cmd })
	if err != nil {
		return err
	}
	if len(did) == 0 {
		return bot.Refuse(say.Lines(not...))
	}
	e.Say(bot.KindAnswer, say.Lines(append([]say.Text{say.F("entered at %s", say.List(did...))}, append(not, e.notThere()...)...)...))
	return nil
}

// doorsNamed returns the ids of the doors in a list, each once. Of a range those
// that there are.
func (e *Request) doorsNamed(list string) (ids []string, err error) {
	e.absent = nil
	return named(list, e.doorsBetween)
}

// named returns the ids in a list, each once: except A-7.
// between returns those of a range.
func named(list string, between func(from, to string) ([]string, error)) (ids []string, err error) {
	except := false
	add := func(id string) {
		switch at := slices.Index(ids, id); {
		case except && at >= 0:
			ids = slices.Delete(ids, at, at+1)
		case !except && at < 0:
			ids = append(ids, id)
		}
	}
	words := strings.Fields(rangeMark.ReplaceAllString(strings.ReplaceAll(list, ",", " "), " TO "))
	for i := 0; i < len(words); i++ {
		switch {
		case slices.Contains([]string{"EXCEPT", "BUT", "WITHOUT"}, words[i]):
			except = true
		case slices.Contains([]string{"AND", "FOR", "NOT"}, words[i]):
		case i+2 < len(words) && words[i+1] == "TO":
			within, err := between(words[i], words[i+2])
			if err != nil {
				return nil, err
			}
			for _, id := range within {
				add(id)
			}
			i += 2
		default:
			add(words[i])
		}
	}
	if len(ids) > manyDoors {
		return nil, bot.Refuse(say.F("these are %s doors: at most %s at once", len(ids), manyDoors))
	}
	return ids, nil
}

// rangeMark matches what stands for to in a row of doors: D-30 - D-40.
var rangeMark = regexp.MustCompile(`\s+-\s+|\s*[–—]\s*`)

// row returns the front of the ids of a row of doors, and its first and last
// number.
func row(from, to string) (group string, low, high int, err error) {
	group = jobs.IDGroup(from)
	low, err1 := strconv.Atoi(from[len(group):])
	high, err2 := strconv.Atoi(strings.TrimPrefix(to, group))
	if err1 != nil || err2 != nil || low > high || low < 0 {
		return "", 0, 0, bot.Refuse(say.F("%s to %s is no row of doors: say it as A-1 to A-9", from, to))
	}
	return group, low, high, nil
}

// numbered returns a number as the ids of a row have it: with as many digits as
// the first, where that begins with 0.
func numbered(first, group string, n int) string {
	digits := strconv.Itoa(n)
	if number := first[len(group):]; strings.HasPrefix(number, "0") {
		digits = strings.Repeat("0", max(0, len(number)-len(digits))) + digits
	}
	return digits
}

// doorsBetween returns the ids of the site's doors from one to another, in the
// order of their numbers.
func (e *Request) doorsBetween(from, to string) (ids []string, err error) {
	group, low, high, err := row(from, to)
	if err != nil {
		return nil, err
	}
	numbers := map[int]string{}
	for j, err := range e.Desk.Counted(e.Ctx, e.Site, "group/"+group) {
		if err != nil {
			return nil, err
		}
		id := strings.ToUpper(j.Door.Spec.ID)
		if n, err := strconv.Atoi(id[len(group):]); err == nil && low <= n && n <= high {
			numbers[n] = id
		}
	}
	if len(numbers) == 0 {
		return nil, bot.Refuse(say.F("there is no door from %s to %s here", from, to))
	}
	there := slices.Sorted(maps.Keys(numbers))
	for i, n := range append(there, high+1) {
		first := low
		if i > 0 {
			first = there[i-1] + 1
		}
		missing := group + numbered(from, group, first)
		switch last := n - 1; {
		case first < last:
			e.absent = append(e.absent, say.F("%s to %s", missing, group+numbered(from, group, last)))
		case first == last:
			e.absent = append(e.absent, say.Plain(missing))
		}
	}
	for _, n := range there {
		ids = append(ids, numbers[n])
	}
	return ids, nil
}

// notThere names the doors of the rows that were named which there are not.
func (e *Request) notThere() []say.Text {
	if len(e.absent) == 0 {
		return nil
	}
	return []say.Text{say.F("not there: %s", say.List(e.absent...))}
}

// held enters the foreman's word that the door's plates are kept warm.
func (e *Request) held(text string) error {
	cmd, err := e.heldOf(text)
	if err != nil {
		return err
	}
	return e.Do(cmd)
}

// heldOf reads that word.
func (e *Request) heldOf(text string) (*jobs.HoldWarmth, error) {
	m := heldText.FindStringSubmatch(text)
	if m == nil {
		return nil, bot.Refuse(say.F("until when is it held, and at what? as held 18 until Friday, or held 18 until Friday from yesterday 16:00"))
	}
	cmd := &jobs.HoldWarmth{}
	if err := warmth(m[1], &cmd.T); err != nil {
		return nil, bot.Refuse(err)
	}
	var err error
	if cmd.Until, err = e.Site.DayOrTime(m[2], e.Msg.At); err != nil {
		return nil, bot.Refuse(err)
	}
	if m[3] != "" {
		if cmd.From, err = e.Site.Since(m[3], cmd.Until, e.Msg.At); err != nil {
			return nil, bot.Refuse(err)
		}
	}
	return cmd, nil
}

var heldText = regexp.MustCompile(`(?i)^(?:at\s+)?(\S+(?:\s*(?:°\s?C|C))?)\s+(?:until|till)\s+(.+?)(?:,?\s+from\s+(.+))?$`)
