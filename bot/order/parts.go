package order

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// Parts returns the orders that a text gives in a row, each with the door that the
// first one names: tick joint; tick carrier. sure is false where the one before may
// take the next for its remark, as in snag handle loose. tick 4. A text that is one
// order has no parts. A part may name another door, as in A-1 tick datum, A-2 tick
// datum; itemsOf returns the list of a door, of the thread's for "".
func Parts(text string, itemsOf func(door string) []jobs.Item) (parts []string, sure bool) {
	door, rest := "", strings.TrimSpace(text)
	items := itemsOf("")
	sure = true
	for rest != "" {
		if id, own := itsDoor(rest); id != "" {
			door, rest, items = "door "+id+" ", own, itemsOf(id)
		}
		if o, _ := FindOrder(rest); o == nil && len(parts) == 0 {
			return nil, true
		}
		one, next := cutPart(rest, items)
		other, _ := itsDoor(next)
		sure = sure && (next == "" || other != "" || isWhole(one, items))
		parts, rest = append(parts, door+one), next
	}
	if len(parts) < 2 {
		return nil, true
	}
	return parts, sure
}

// itsDoor takes the door off the front of an order that names its own, "" for none.
func itsDoor(text string) (id, rest string) {
	e := &Request{}
	rest = e.Address(atItsDoor(text))
	return e.DoorID, rest
}

// cutPart parts a text before the first order or question that begins within it.
func cutPart(text string, items []jobs.Item) (one, next string) {
	for _, at := range betweenParts.FindAllStringIndex(text, -1) {
		one, next = strings.TrimSpace(text[:at[0]]), strings.TrimSpace(text[at[1]:])
		mark := strings.Trim(text[at[0]:at[1]], " \t")
		switch {
		case one == "" || next == "" || leadsOn.MatchString(one) || mark == "" && reasons.MatchString(one):
		case beginsPart(next, mark == "", items):
			return one, next
		case strings.HasPrefix(mark, ".") || strings.HasPrefix(mark, ";"):
			if strings.HasSuffix(next, "?") && verb.Questions.VerbIn(next) != nil {
				return one, next
			}
		}
	}
	return text, ""
}

var (
	betweenParts = regexp.MustCompile(`(?i)\s*(?:[,.]\s|[;\n])\s*(?:(?:and|then)\s+)*|\s+(?:and|then|&)\s+(?:then\s+)?|\s+`)
	leadsOn      = regexp.MustCompile(`(?i)\b(?:to|for|before|after|until|till|with|of|at|the|by|no|not|don['’]?t|and)$`)
	reasons      = regexp.MustCompile(`(?i)\b(?:because|note)\b`)
	hasFigure    = regexp.MustCompile(`\d|\bnone\b|\blevel\b`)
	beginsFigure = regexp.MustCompile(`^-?\d`)
	beginsPlate  = regexp.MustCompile(`(?i)^(?:floor|head)\b`)
	beginsDay    = regexp.MustCompile(`(?i)^(?:done\b|v?\d|to |because|today\b|tomorrow\b|(?:on |next )?(?:mon|tue|wed|thu|fri|sat|sun))`)
)

// asPart is how an order stands among others in one text. Where it says nothing, an
// order that only shows something is a part if nothing stands behind it, and another
// is none.
type asPart struct {
	begins func(rest string, bare bool, items []jobs.Item) bool // it is no remark: photo taken, and read by bo, are; bare is where nothing but a space stands before it
	whole  func(rest string, items []jobs.Item) bool            // it leaves no room for a remark
	single bool                                                 // it rests on no order before it, as bond floor does on mix floor
	never  bool                                                 // it is said by itself: undo behind another would take back what stands before that
	all    bool                                                 // what stands behind it is its own
}

var (
	partNone        = asPart{all: true}
	partOfItem      = asPart{begins: beginsItem}
	partTick        = asPart{begins: beginsItem, whole: listsItems, single: true}
	partUntick      = asPart{begins: beginsItem, whole: listsItems}
	partRead        = asPart{begins: beginsReading, whole: onlyFigures, single: true}
	partTemperature = asPart{begins: func(rest string, _ bool, _ []jobs.Item) bool { return beginsFigure.MatchString(rest) }, whole: onlyFigures, single: true}
	partMix         = asPart{begins: beginsAtPlate, whole: onlyFigures}
	partBond        = asPart{begins: beginsAtPlate, whole: func(rest string, _ []jobs.Item) bool {
		return beginsPlate.MatchString(rest) && (len(rest) < 6 || doneTime.MatchString(rest))
	}}
	partAlone = asPart{begins: func(_ string, bare bool, _ []jobs.Item) bool { return !bare }}
	partUndo  = asPart{begins: partAlone.begins, never: true}
	partSnag  = asPart{begins: func(rest string, bare bool, _ []jobs.Item) bool { return !bare && rest != "" }, single: true}
	partPhoto = asPart{begins: beginsPhoto, whole: namesPicture}
	partClose = asPart{begins: func(rest string, bare bool, _ []jobs.Item) bool {
		return !bare && (rest == "" || snagName.MatchString(subject(rest)) || visitName.MatchString(subject(rest)))
	}}
	partVisit = asPart{begins: func(rest string, bare bool, _ []jobs.Item) bool { return !bare && beginsDay.MatchString(rest) }}
)

func beginsItem(rest string, _ bool, items []jobs.Item) bool {
	first := subject(rest)
	return placeOf(first, items) >= 0 || ending(first, items) >= 0 || runOf.MatchString(first)
}

func beginsReading(rest string, bare bool, items []jobs.Item) bool {
	first := subject(rest)
	return (beginsItem(rest, bare, items) || slices.Contains([]string{"margins", "lean", "bow"}, first)) && hasFigure.MatchString(rest)
}

func beginsAtPlate(rest string, _ bool, _ []jobs.Item) bool { return beginsPlate.MatchString(rest) }

func beginsPhoto(rest string, bare bool, items []jobs.Item) bool {
	return !bare && (beginsItem(rest, bare, items) || snagName.MatchString(subject(rest)) || pictureName.MatchString(rest))
}

func listsItems(rest string, items []jobs.Item) bool {
	named, err := itemsIn(rest, items)
	return len(named) > 0 && err == nil && !slices.ContainsFunc(named, func(t jobs.TickItem) bool { return placeOf(t.Item, items) < 0 })
}

func onlyFigures(rest string, _ []jobs.Item) bool { return figuresOnly.MatchString(rest) }

func namesPicture(rest string, _ []jobs.Item) bool {
	f := strings.Fields(rest)
	return len(f) > 0 && len(f) < 3 && pictureName.MatchString(f[len(f)-1])
}

// beginsPart reports whether a text begins with an order and what that is about.
func beginsPart(text string, bare bool, items []jobs.Item) bool {
	id, text := itsDoor(text)
	o, rest := FindOrder(text)
	switch {
	case o == nil:
		return false
	case id != "": // no remark names a door and an order for it
		return !o.part.all
	case o.part.begins == nil:
		return !bare && o.shows && rest == ""
	}
	return o.part.begins(rest, bare, items)
}

// subject returns the first word behind an order's own, which is what it is about.
func subject(rest string) string { return strings.Trim(strings.ToLower(firstWord(rest)), ",;.:") }

// firstWord returns the first word of a text, "" if it has none.
func firstWord(text string) string {
	for word := range strings.FieldsSeq(text) {
		return word
	}
	return ""
}

// isWhole reports whether an order leaves no room for a remark.
func isWhole(text string, items []jobs.Item) bool {
	o, rest := FindOrder(text)
	if o == nil {
		return strings.HasSuffix(text, "?")
	}
	rest = strings.TrimRight(rest, " .;")
	if o.part.whole == nil {
		return rest == ""
	}
	return o.part.whole(rest, items)
}

// figuresOnly matches what has no word but names, units and what belongs to a
// temperature or a batch: wind 2 m/s, 14 min 8, floor K71 exp 09/2027.
var figuresOnly = regexp.MustCompile(`(?i)^(?:(?:[a-z]+(?:-[a-z]+)* )?(?:none|-?\d+(?:[.,]\d+)?)(?: ?(?:mm|m/s|s|°|°? ?c))?(?: min -?\d+(?:[.,]\d+)?(?: ?°? ?c)?)?(?: (?:to )?(?:pipe|back))?|margins(?: [\d.]+){4}|(?:floor|head)(?: \S*\d\S*)?(?: exp \S+)?)$`)

var visitName = regexp.MustCompile(`^[vV][0-9]+$`)

// MayHaveParts reports whether a second order or a question may begin within a text
// that begins with one.
func MayHaveParts(text string) bool {
	_, rest := itsDoor(strings.TrimSpace(text))
	if o, _ := FindOrder(rest); o == nil || o.part.all {
		return false
	}
	for _, at := range betweenParts.FindAllStringIndex(rest, -1) {
		_, next := itsDoor(rest[at[1]:])
		if o, _ := FindOrder(next); at[0] > 0 && o != nil || strings.ContainsAny(rest[at[0]:at[1]], ".;\n") && strings.HasSuffix(rest, "?") {
			return true
		}
	}
	return false
}

// AskParts asks whether a text is several orders or one whose remark looks so.
func AskParts(d *desk.Desk, m bot.Message, parts []string) Outcome {
	e := &Request{Desk: d, Msg: m, DoorID: m.Thread, Site: d.SiteFor(&m)}
	rows, shown := make([]string, len(parts)), make([]say.Text, len(parts))
	for i, p := range parts {
		rows[i], shown[i] = e.atItsDoorSaid(strings.Join(strings.Fields(p), " ")), say.F("%s", lex.CutText(p, 60))
	}
	each, one := strings.Join(rows, "\n"), e.atItsDoorSaid(strings.TrimSpace(m.Text))
	e.ask(&Unfinished{Offers: []string{each, one}, Each: each, Question: say.F("(1) each by itself: %s; or (2) one, the rest its remark? say 1 or 2", say.Join(" | ", shown...))},
		bot.Button{Label: d.Language.Say(say.F("Each by itself")), Say: each}, bot.Button{Label: d.Language.Say(say.F("As one")), Say: one})
	return e.Outcome
}

// atItsDoorSaid returns an order with the door in whose thread it stands before it;
// a question is asked as it is.
func (e *Request) atItsDoorSaid(text string) string {
	if o, _ := FindOrder(text); o == nil || e.DoorID == "" {
		return text
	}
	return strings.Join([]string{"door", e.DoorID, text}, " ")
}

// Lines returns the orders of an answer that stands for several, nil if it is another:
// a snag of two lines is one.
func (u *Unfinished) Lines(answer string) []string {
	if u == nil || u.Each == "" || answer != u.Each {
		return nil
	}
	return strings.Split(answer, "\n")
}

// IsDone reports whether an order that is one of several was carried out before by
// the same id: the process died before all that was said of them was posted.
func IsDone(ctx context.Context, d *desk.Desk, m bot.Message, text, id string) (bool, error) {
	e := &Request{DoorID: m.Thread, Site: d.SiteFor(&m)}
	text = e.Address(strings.TrimSpace(text))
	if e.Site == nil || e.DoorID == "" || namesMany(text) {
		return false, nil
	}
	j, err := d.Find(ctx, jobs.DoorKey(e.Site.ID, e.DoorID))
	if j == nil || err != nil {
		return false, err
	}
	return d.Done(ctx, j, id)
}

// Changes reports whether a text is an order that changes something.
func Changes(text string) bool {
	o, _ := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	return o != nil && !o.shows
}

// NeverBehind reports whether an order is said by itself alone.
func NeverBehind(text string) bool {
	o, _ := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	return o != nil && o.part.never
}

// Rests reports whether an order may rest on the one before it, as bond floor on mix
// floor, and a photo on the snag that it is of.
func Rests(text string) bool {
	o, rest := FindOrder((&Request{}).Address(strings.TrimSpace(text)))
	if o == nil || o.shows || o.part.single {
		return false
	}
	return o.Words[0] != "photo" || snagName.MatchString(subject(rest))
}
