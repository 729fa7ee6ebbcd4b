package order

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// tick ticks an item, with a remark, or several: "tick 3", "tick 3 primed",
// "tick 3 4 6", "tick 3-6", "tick datum, joint and room".
func (e *Request) tick(text string) error {
	if m := onDay.FindStringSubmatch(text); m != nil { // a button's
		if today := jobs.DateOf(e.Msg.At.In(e.Site.Zone)).String(); m[2] != today {
			return bot.Refuse(say.F("that was asked for %s: look again and tick it anew", m[2]))
		}
		text = m[1]
	}
	text = polite.ReplaceAllString(text, "")
	j, err := e.Job()
	if err != nil {
		return err
	}
	several, err := itemsIn(text, j.Items())
	for i := range several {
		if err := e.unclear(several[i].Item); err != nil {
			return err
		}
	}
	switch {
	case err != nil:
		return bot.Refuse(err)
	case len(several) > 1:
		return e.Do(&jobs.TickItems{Items: several})
	case len(several) == 1:
		return e.Do(&several[0])
	}
	it, note, err := e.item(text)
	if err != nil {
		return err
	}
	// "tick 3 2 coats of primer" is one item and a note, "tick 3 and 4 primed" two.
	other := strings.TrimSpace(strings.TrimPrefix(note, "and "))
	if other != "" && !(other == note && lex.IsDigit(other[0])) {
		if _, _, err := e.item(other); err == nil || lex.IsDigit(other[0]) {
			return bot.Refuse(say.F("a remark is for one item: tick %s and its remark, then tick %s", it.ID, lex.CutText(other, 20)))
		}
	}
	remark, said := strings.CutPrefix(note, "note ")
	if told, err := e.alarmed(j, &it, remark); told || err != nil {
		return err
	}
	if err := e.unclear(it.ID); err != nil {
		return err
	}
	why := refused(&it, remark)
	switch {
	case note == "" || affirmed.MatchString(note) || jobs.SaysSoft(it.ID, note):
	case denied.MatchString(note):
		return bot.Refuse(say.F("tick %s says that all of it is done, and %q says something else: say it when it is, with what was done as the remark", it.ID, lex.CutText(note, 40)))
	case !why.IsZero() && (!said || it.Never):
		return bot.Refuse(why)
	case said && (why.IsZero() || e.Msg.Joined):
	case said || it.Hold || doubted.MatchString(note) || namesOther(&it, note, j.Items()) != "":
		e.askDone(&it, remark)
		return nil
	}
	return e.Do(&jobs.TickItem{Item: it.ID, Note: remark})
}

// askDone asks whether an item is done, of which a remark may say that it isn't.
// No list of words would be whole, so at a hold every remark is asked about that
// does not stand behind note.
func (e *Request) askDone(it *jobs.Item, note string) {
	order := "door " + e.DoorID + " tick " + it.ID + " note " + note
	e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("%s: is all of it done? say yes and it is ticked, with %q as the remark; say no if it is not", it.ID, lex.CutText(note, 40))},
		bot.Button{Label: e.Desk.Language.Say(say.F("Yes")), Say: order})
}

// affirmed matches a remark that says no more than the tick.
var affirmed = regexp.MustCompile(`(?i)^(?:(?:is|it is|it['’]s|now|all|rock|very)\s+)*(?:done|ok|okay|yes|checked|finished|fine|good|hard)[.!]*$`)

// doubted matches a remark by which an item may not be done: a time to come, a
// condition, a doubt.
var doubted = regexp.MustCompile(`(?i)\?|%|\b(?:tomorrow|tonight|later|soon|when|if|unless|once|after|until|before|wait\w*|maybe|perhaps|probably|assum\w*|guess\w*|pending|todo|to do|to be|missing|fail\w*|wrong|bad|no|nok|never|none|nope|skip\w*|parts?|partly|mostly|some|most|un\w+ed|without|needs?|will|should|could\w*|can\w*|did\w*)\b`)

// onDay matches a tick that was asked for on one day.
var onDay = regexp.MustCompile(`^(.*) today (\d{4}-\d\d-\d\d)$`)

// denied matches a remark to a tick by which the item is not done, or not all
// of it: "not done yet", "only the left half", "to 5".
var denied = regexp.MustCompile(`(?i)^\W*(?:(?:is|was|are|it's)\s+)?(?:not|isn['’]?t|wasn['’]?t|aren['’]?t|nearly|almost|half|partly|except|only|to|till|until|through|thru|or|minus|but)\b|\b(?:not|n['’]t)\s+(?:\w+\s+)?(?:done|ready|finished|yet|checked|looked)\b`)

// numbersOnly matches what is nothing but numbers.
var numbersOnly = regexp.MustCompile(`^[\d\s,]+$`)

// itemsIn returns the items that a text names and nothing beside them, each with
// the mark behind it; none if the text holds anything else. A word between
// commas that is no item is among them, to be told so: but not where less is
// said of them all, as in "3, 4, not 5". A number behind the name of an item is no
// item of its own: in "joint; plumb 3" it is what was read.
func itemsIn(text string, items []jobs.Item) (named []jobs.TickItem, err error) {
	text = runOf.ReplaceAllString(text, "$1-$2")
	listed := strings.ContainsAny(text, ",;") || numbersOnly.MatchString(text)
	known := 0
	var doubt error // where all of it are items
	add := func(id string) {
		if !slices.ContainsFunc(named, func(t jobs.TickItem) bool { return t.Item == id }) {
			named = append(named, jobs.TickItem{Item: id})
		}
	}
	for _, part := range parting.Split(text, -1) {
		words, last := strings.Fields(lex.Dictated(part)), -1 // the item whose name was said last
		for _, w := range words {
			id := strings.ToLower(strings.TrimRight(w, ":."))
			switch i, run := placeOf(id, items), runOf.FindStringSubmatch(id); {
			case last >= 0 && items[last].Kind == jobs.Reading && (beginsFigure.MatchString(id) || id == items[last].Unit):
			case last >= 0 && i >= 0 && items[i].ID != id:
				doubt = say.F("is %s a figure of %s, or item %s? say tick %s, or tick %s, %s", id, items[last].ID, id, items[last].ID, items[last].ID, id)
			case i >= 0:
				last = -1
				if items[i].ID == id {
					last = i
				}
				add(items[i].ID)
				known++
			case strings.HasPrefix(w, "#") && len(w) == 9 && len(named) > 0:
				named[len(named)-1].Seen = w[1:]
			case run != nil && run[0] == id:
				from, to := placeOf(run[1], items), placeOf(run[2], items)
				if from < 0 || to <= from {
					return nil, say.F("%s is no run of items: they have the numbers 1 to %s, the first of the run first", run[0], len(items))
				}
				for ; from <= to; from++ {
					add(items[from].ID)
					known++
				}
			case len(words) == 1 && listed && ending(id, items) >= 0:
				add(items[ending(id, items)].ID)
				known++
			case strings.Contains(id, "-") && jobs.IsItem(id): // of other doors; sound and second may be a remark
				add(id)
				known++
			case len(words) == 1 && listed && !denied.MatchString(w):
				add(id)
			default:
				return nil, nil
			}
		}
	}
	if known == 0 || known == 1 && len(named) > 1 && !numbersOnly.MatchString(text) {
		return nil, nil
	}
	return named, doubt
}

var (
	parting = regexp.MustCompile(`(?i)\s*[,;&\n]\s*(?:and\s+)?|\s+and\s+`)
	runOf   = regexp.MustCompile(`\b(\d+)\s*(?:[-–—]|\bto\b|\bthrough\b)\s*(\d+)\b`)
)

// placeOf returns the place of an item that is named by id or number, -1 if
// there is none.
func placeOf(name string, items []jobs.Item) int {
	if i := slices.IndexFunc(items, func(it jobs.Item) bool { return it.ID == name }); i >= 0 {
		return i
	}
	n, err := strconv.Atoi(name)
	if err != nil || strconv.Itoa(n) != name || n < 1 || n > len(items) {
		return -1
	}
	return n - 1
}

// ending returns the place of the one item to tick whose name ends so, as clean
// does for floor-clean; -1 if there is none, or several.
func ending(name string, items []jobs.Item) int {
	is := func(it jobs.Item) bool { return it.Kind == jobs.Tick && strings.HasSuffix(it.ID, "-"+name) }
	i := slices.IndexFunc(items, is)
	if i < 0 || slices.ContainsFunc(items[i+1:], is) {
		return -1
	}
	return i
}

// askAnew asks in one question for all that was ticked on another day and holds
// for its day only. Yes ticks it anew, and what waited for it.
func (e *Request) askAnew(anew *jobs.AnewError) error {
	j, err := e.Job()
	if err != nil {
		return err
	}
	items := j.Items()
	all := append(slices.Clone(anew.Items), items[placeOf("stood", items)])
	today := jobs.DateOf(e.Msg.At.In(e.Site.Zone))
	b := tell.AnewButton(e.Desk.Language, all, today)
	order := "door " + e.DoorID + " " + b.Say
	e.ask(&Unfinished{Guess: order, Offers: []string{order}, Question: say.F("that was ticked on %s; is it so today: %s? say yes and it is ticked anew, and stood with it", anew.On, anew.Asked())}, b)
	return nil
}
