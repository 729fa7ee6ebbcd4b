package order

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// reading enters a reading, or several that are each behind their item: all of
// them, or none.
func (e *Request) reading(text string) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	text, err = marginsNamed(namesJoined(bothLeans.ReplaceAllString(text, "lean heel $1, lean lead $2"), j.Items()))
	if err != nil {
		return bot.Refuse(err)
	}
	if read, ok := openingRead(text); ok {
		return e.correct(strings.TrimPrefix(read, "correct "))
	}
	if at := ofJambs.FindStringIndex(text); at != nil && at[0] == 0 { // without commas between
		return e.correct(ofJambs.ReplaceAllString(text, "$1 $2"))
	}
	it, rest, err := e.item(text)
	if err != nil {
		return err
	}
	cmd, asides := &jobs.ReadItems{}, &asides{}
	for {
		other, more, head := nextReading(rest, j.Items())
		r, aside, err := oneReading(&it, head)
		if err != nil {
			return bot.Refuse(say.F("%s: %s", it.ID, err))
		}
		if told, err := e.alarmed(j, &it, r.Note); told || err != nil {
			return err
		}
		if err := e.unclear(it.ID); err != nil {
			return err
		}
		if slices.ContainsFunc(cmd.Items, func(was jobs.ReadItem) bool { return was.Item == it.ID }) {
			return bot.Refuse(say.F("%s stands there twice: give it one reading", it.ID))
		}
		if asksCover(j, &r, head) && !e.Msg.Joined {
			if other != nil || len(cmd.Items) > 0 {
				return bot.Refuse(say.F("%s: to a pipe, or to the back of the slab? enter it alone, as %s", it.ID, "read floor-services 45 to pipe"))
			}
			e.askCover(&r, head)
			return nil
		}
		if words := fromJamb.FindString(r.Note); words != "" && it.ID == "plumb" {
			return bot.Refuse(say.F("%s: %q says that it is not so: read it when that is put right", it.ID, words))
		}
		if words := against(&it, r.Note); words != "" && it.Limits.Least != nil {
			return bot.Refuse(say.F("%s: %q says that it is not so: read it when that is put right", it.ID, words))
		}
		if worse := worseBehindNote(&it, head, r); worse != "" && !e.Msg.Joined {
			if other != nil || len(cmd.Items) > 0 {
				return bot.Refuse(say.F("%s: %s behind note is worse than %s: enter it alone", it.ID, worse, r.Value))
			}
			e.askWorse(&it, worse, text)
			return nil
		}
		asides.add(e, &it, &r, head, aside)
		if other == nil && len(cmd.Items) == 0 && asides.said == nil && e.askDeep(&r, text) {
			return nil
		}
		cmd.Items = append(cmd.Items, r)
		if other == nil {
			break
		}
		it, rest = *other, more
	}
	if asides.said != nil {
		return e.askAsides(j, cmd, asides)
	}
	if len(cmd.Items) == 1 {
		return e.Do(&cmd.Items[0])
	}
	return e.Do(cmd)
}

// fromJamb matches how the pivots' axis is never read: a jamb may lean.
var fromJamb = regexp.MustCompile(`(?i)\bfrom (?:the |a )?(?:(?:heel|leading|lead) )?(?:jamb|frame|lining)`)

// bothLeans matches the leans of both jambs that are said with one word: lean heel 2
// lead 3.
var bothLeans = regexp.MustCompile(`(?i)\blean heel (-?[\d.,]*\d(?: ?mm)?),?(?: and)? lead (-?\d)`)

// namesJoined puts the hyphens into the names of what is read that people say without:
// closing time 8.
func namesJoined(text string, items []jobs.Item) string {
	for _, it := range items {
		if spaced := strings.ReplaceAll(it.ID, "-", " "); it.Kind == jobs.Reading && spaced != it.ID {
			text = regexp.MustCompile(`(?i)\b`+regexp.QuoteMeta(spaced)+`\b`).ReplaceAllLiteralString(text, it.ID)
		}
	}
	return text
}

// worseBehindNote returns a number behind note that is worse than the reading, as
// of a pipe that lies 40 deep behind a cover of 80; "" if there is none. One of
// another time is worse only where services lie, which stay where they are.
func worseBehindNote(it *jobs.Item, text string, r jobs.ReadItem) string {
	_, remark := cutNote(text)
	if r.None || dated.MatchString(remark) && !strings.HasSuffix(it.ID, "-services") {
		return ""
	}
	for _, at := range numbersIn(remark) {
		n, _ := lex.ScanNumber(remark, at)
		unit := strings.TrimSpace(strings.TrimLeft(n.Raw, "0123456789.,-+/ ")) // 2 m is where the laser stood
		v, _, err := Measure(remark[at:], it.Unit)
		if err == nil && (unit == "" || unit == it.Unit) && (it.Least != nil && v.Micro < r.Value.Micro || it.Least == nil && it.Most != nil && v.Micro > r.Value.Micro) {
			return v.String()
		}
	}
	return ""
}

// askWorse asks which of two numbers is the reading, where the one behind note is
// worse than the one before it.
func (e *Request) askWorse(it *jobs.Item, worse, text string) {
	order := "door " + e.DoorID + " read "
	first, all := order+it.ID+" "+worse, order+text
	e.ask(&Unfinished{Offers: []string{first, all}, Question: say.F("is %s a reading of it, too? the worst counts: send (1) %s, or (2) %s if it is of something else, or its number", worse, first, all)})
}

// ofJambs matches what is read of an opening's jambs and floor: it belongs to the
// door's description.
var ofJambs = regexp.MustCompile(`(?i)\b(lean|bow|floor|width|height|diagonal)[ _-](heel|lead|fall|top|middle)\b`)

// margins are the items that "margins" stands for, in their order.
var margins = []string{"heel-top", "heel-bottom", "lead-top", "lead-bottom"}

var marginSpaced = regexp.MustCompile(`(?i)\b(heel|lead)(?:ing)?[ -](top|bottom)(\s*[:=]?\s*\d)`)

// marginsNamed puts the name of its item before each of four margins in a row,
// and joins the two words of one: "heel top 8.5".
func marginsNamed(text string) (string, error) {
	text = marginSpaced.ReplaceAllString(text, "$1-$2$3")
	first, rest, _ := strings.Cut(text, " ")
	if !strings.EqualFold(strings.Trim(first, ":,"), "margins") || strings.Contains(strings.ToLower(rest), margins[0]) {
		return strings.TrimPrefix(text, "margins "), nil
	}
	values := strings.Fields(rest)
	if strings.ContainsAny(rest, ",;") {
		values = strings.FieldsFunc(rest, func(r rune) bool { return r == ',' || r == ';' })
	}
	if len(values) != len(margins) {
		return "", say.F("margins takes four readings in this order: %s; or name each, as read heel-top 8.5", say.Names(", ", margins...))
	}
	for i, name := range margins {
		values[i] = name + " " + strings.TrimSpace(values[i])
	}
	return strings.Join(values, ", "), nil
}

// nextReading returns the next item in a text that readings are entered for,
// what stands behind it, and what stands before it; nil if there is none.
func nextReading(text string, items []jobs.Item) (it *jobs.Item, rest, head string) {
	for _, m := range itemName.FindAllStringSubmatchIndex(text, -1) {
		name := strings.ToLower(text[m[2]:m[3]])
		if i := slices.IndexFunc(items, func(it jobs.Item) bool { return it.ID == name && it.Kind == jobs.Reading }); i >= 0 {
			head, _ = strings.CutSuffix(strings.TrimRight(text[:m[0]], " ,;\n"), " and")
			return &items[i], strings.Trim(text[m[1]:], " =:"), strings.TrimRight(head, " ,;\n")
		}
	}
	return nil, "", text
}

// itemName matches a word that may be an item's name, where a reading ended
// before it.
var itemName = regexp.MustCompile(`(?:^|[\s,;])([A-Za-z][A-Za-z-]*)`)

// oneReading reads what was typed for an item: one number, or none and how it
// was looked for; aside is what stands behind it and not behind the word note. A
// second number may be worse than the first: the worst is taken where the words say
// which that is, and else it is asked about.
func oneReading(it *jobs.Item, text string) (r jobs.ReadItem, aside string, err error) {
	r = jobs.ReadItem{Item: it.ID}
	typed, remark := cutNote(text)
	if first, note, _ := strings.Cut(typed, " "); strings.EqualFold(strings.Trim(first, ",:"), "none") {
		r.None, r.Note = true, strings.TrimSpace(note+" "+remark)
		return r, note, nil
	}
	if plumb, ok := plumbReading(it, typed, remark); ok {
		return plumb, "", nil
	}
	if err := spread(it.Unit, typed); err != nil {
		return r, "", err
	}
	v, note, err := Measure(typed, it.Unit)
	if err != nil {
		return r, "", err
	}
	if dated.MatchString(note) {
		return r, "", say.F("%q tells of another time, and a reading counts from when it is said: read it now, or put the time behind note", lex.CutText(strings.TrimSpace(typed), 40))
	}
	aside = note
	if strings.HasSuffix(it.ID, "-services") {
		if r.To = coverSaidTo(note); r.To != "" {
			aside = toWhat.ReplaceAllString(note, "")
			note = toWhat.ReplaceAllString(note, "$2")
		}
		if it.ID != "floor-services" {
			r.To = ""
		}
	}
	others := numbersIn(note)
	if len(others) == 0 && (hedged.MatchString(note) || most.MatchString(note) && worst(it, note) == 0) {
		return r, "", say.F("%q leaves open how much it is: give the worst that was read, and a remark behind note", lex.CutText(strings.TrimSpace(typed), 40))
	}
	for _, at := range others {
		other, _, err := Measure(note[at:], it.Unit)
		worse := worst(it, note)
		if err != nil || worse == 0 {
			return r, "", say.F("%q holds more than one number, and a reading is one: give the worst of them alone, and a remark with a number in it behind note", lex.CutText(strings.TrimSpace(typed), 40))
		}
		if (other.Micro-v.Micro)*int64(worse) > 0 {
			v = other
		}
	}
	r.Value, r.Note = v, strings.TrimSpace(strings.TrimLeft(note+" "+remark, ",; "))
	return r, aside, nil
}

// toWhat is what a cover is said to be measured to: 45 over the pipe, 45 pipe.
var toWhat = regexp.MustCompile(`(?i)^(?:[\s,;:(]*(to|over|above|of)\s+(?:the )?|\s*)(?:slab )?((?:(?:heating|water) )?(?:pipes?|tubes?|cables?)|back|slab|underside)\b`)

// cutNote parts a reading from the remark behind the word note.
func cutNote(text string) (typed, remark string) {
	at := noteWord.FindStringIndex(text)
	if at == nil {
		return text, ""
	}
	return text[:at[0]], text[at[1]:]
}

var noteWord = regexp.MustCompile(`(?i)[\s,;]+note\b[:\s]*`)

// numbersIn returns where numbers begin in a remark, typed or spoken. A lone
// "one" counts nothing.
func numbersIn(note string) (at []int) {
	for _, t := range lex.Lex(note, nil) {
		if t.Kind == lex.NumberToken || t.Kind == lex.WordToken && lex.IsSpoken(t.Word) && t.Word != "one" {
			at = append(at, t.Start)
		}
	}
	return at
}

// hedged matches a remark that makes less or more of the number before it, or says
// that nobody read it.
var hedged = regexp.MustCompile(`(?i)\?|^\W*(?:to|or|minus|plus|less|more|over|under|about|roughly|maybe|not|if|unless|except|without|only|guess\w*|ish)\b|\b(?:or|but|much|even) (?:less|more|lower|higher|worse)\b|\b(?:not (?:sure|measured)|guess\w*|maybe|less|lower|higher|worse) (?:at|on|in|to)\b` +
	`|\b(?:assum\w*|presum\w*|suppos\w*|expect\w*|forecasts?|hopeful\w*|probab\w*|perhaps|estimat\w*|approx\w*|means?|averages?|should be|ought to be|i (?:think|guess|hope)|at best)\b|\bnot (?:yet |been )?(?:sure|measured|read|asked|located|looked|scanned|isolated|checked)\b`)

// dated matches a remark by which a reading was taken at another time.
var dated = regexp.MustCompile(`(?i)\b(?:yesterday|ago|last (?:night|week|time|mon|tue|wed|thu|fri|sat|sun)|(?:this|in the) morning|(?:at|since|from) \d{1,2}[:.]\d\d|tomorrow|later)\b`)

// most matches what makes a bound of a reading: 60 at most of a cover is no 60.
var most = regexp.MustCompile(`(?i)\bat (?:the )?most\b`)

// What says that the highest or the lowest of several numbers was named.
var (
	highest = regexp.MustCompile(`(?i)\b(?:gust\w*|peak\w*|max\w*|most|highest|worst|up to)\b`)
	lowest  = regexp.MustCompile(`(?i)\b(?:least|lowest|min|minimum|nearest|smallest|night\w*|worst)\b`)
)

// worst says which of several numbers is the worst of an item, 1 the highest
// and -1 the lowest, where the words beside them say that it is among them; 0
// where they don't.
func worst(it *jobs.Item, words string) int {
	switch {
	case it.Most != nil && it.Least == nil && highest.MatchString(words):
		return 1
	case it.Least != nil && (it.Most == nil || it.Unit == "°C") && lowest.MatchString(words):
		return -1
	}
	return 0
}

// Measure reads a number in a unit, said or not, and what is noted after it.
func Measure(text, unit string) (v jobs.Measure, note string, err error) {
	if known, _ := lex.ReadingUnit(unit); unit != "" && unit != "in" && unit != "mm" && known != unit {
		text = regexp.MustCompile(`(\d\s*|\s)`+regexp.QuoteMeta(unit)+`($|[^\pL])`).ReplaceAllString(text, "$1 $2") // of an own item: N·m, %
	}
	if unit == "m/s" && beaufort.MatchString(text) {
		return v, "", say.F("that is Beaufort, of the mean wind, and what counts is the gust: read it in %s", unit)
	}
	text = lex.Dictated(text)
	n, ok := lex.ScanNumber(text, 0)
	if ok && strings.HasPrefix(text[n.End:], "/") { // 4.7 m/s is no length: its unit begins like one
		at := len(strings.TrimRightFunc(text[:n.End], unicode.IsLetter))
		word, _, _ := strings.Cut(text[at:], " ")
		if said, is := lex.ReadingUnit(strings.TrimRight(word, ".,;")); is && said == unit {
			text = text[:at] + " " + text[at:]
			n, ok = lex.ScanNumber(text[:at], 0)
		}
	}
	if !ok {
		return v, "", noNumber(unit)
	}
	// 38 in the corner is no 38 inches.
	plainly := n.Doubt == lex.WordIn && unit == "in" && (n.End == len(text) || strings.IndexByte(",.;:", text[n.End]) >= 0)
	if n.Doubt == lex.WordIn && !plainly {
		figure := strings.TrimSpace(n.Raw[:len(n.Raw)-len("in")])
		return v, "", say.F("%s: inches, or does a remark begin there? say %s inches or %s mm", n.Raw, figure, figure)
	}
	if n.Doubt != lex.Certain && !plainly {
		return v, "", say.F("the number %s can be read in two ways", n.Raw)
	}
	note = strings.TrimSpace(text[n.End:])
	if plainly {
		note = strings.TrimLeft(note, ",.;: ")
	}
	first, after, _ := strings.Cut(note, " ")
	if _, ok := lex.ReadingUnit(first); !ok && n.End < len(text) && n.Unit == lex.Bare && glued.MatchString(text[n.End:]) {
		return v, "", say.F("%q can be read in two ways: write the number plainly", n.Raw+first)
	}
	if other, ok := lex.ReadingUnit(strings.TrimRight(first, ".,;")); ok && other != unit || first != "" && strings.ContainsAny(first[:1], "-–+±/*") {
		return v, "", say.F("a reading in %s is wanted, not %s %s", unit, n.Raw, lex.CutText(first, 20))
	}
	if unit == "mm" || unit == "in" {
		if n.Unit == lex.Degrees {
			return v, "", say.F("%s is no length", n.Raw)
		}
		if n.Unitless(unit == "in") {
			return v, "", &lex.UnitError{Raw: n.Raw}
		}
		return jobs.Measure{Micro: int64(n.Length), Unit: unit}, note, nil
	}
	value := n.Plain
	word := strings.TrimRight(first, ".,;")
	if said, ok := lex.ReadingUnit(word); ok && said == unit {
		value, note = lex.InReadingUnit(value, word), after
	} else if n.Unit != lex.Bare && !(n.Unit == lex.Degrees && unit == "°C") {
		return v, "", say.F("%s is not in %s", n.Raw, unit)
	}
	return jobs.Of(value, unit), strings.TrimSpace(note), nil
}

// beaufort matches a wind that is no speed: a number of Beaufort spans some
// metres a second, and is of the mean wind over ten minutes (WMO-No. 8).
var beaufort = regexp.MustCompile(`(?i)\b(?:bft|beaufort|force)\b`)

// glued matches what makes one word of a number and what stands behind it, as in 1e3.
var glued = regexp.MustCompile(`^[a-zA-Z]+[0-9]`)

// noNumber says that a reading is wanted, with an example.
func noNumber(unit string) say.Text {
	if unit == "in" {
		return say.F("a reading in %s is wanted, as %s", unit, "5/16 in")
	}
	return say.F("a reading in %s is wanted, as %s", unit, "8.5")
}
