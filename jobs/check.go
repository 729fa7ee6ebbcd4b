package jobs

import (
	"cmp"
	"errors"
	"regexp"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// TickItem ticks an item. Seen is the mark of the text that the person has
// read, "" for whatever it says by now.
type TickItem struct{ Item, Note, Seen string }

// Untick takes a tick, a reading or a photo back, with a reason.
type Untick struct{ Item, Why string }

// NotApplicable says that an item does not concern this door, with a
// reason. Hold points can't be passed so.
type NotApplicable struct{ Item, Why string }

// OverrideHold passes a hold point on the foreman's word, with a reason
// that goes into the record. Loading before the cure's end, or bonding
// outside the sheet's temperatures, takes the adhesive maker's word: Word
// says where it is kept.
type OverrideHold struct{ Item, Why, Word string }

// ReadItem enters a reading. None says that nothing was found, for the
// cover over services.
type ReadItem struct {
	Item  string
	Value Measure
	None  bool
	To    string // of a cover: what it was measured to, pipe or back; "" if that was not said
	Note  string
}

// ReadItems enters several readings: all of them, or none.
type ReadItems struct{ Items []ReadItem }

// PhotoItem notes a photo: where it is kept, or the files that were sent, and
// what was said with them.
type PhotoItem struct {
	Item, Where string
	Files       []File
	Note        string
}

// File is a picture that is kept where people talk, and stays there.
type File struct {
	ID   string `json:"id"` // as it is known there
	Name string `json:"name,omitempty"`
	Link string `json:"link,omitempty"`
}

func (*TickItem) action() Action      { return Check }
func (*Untick) action() Action        { return Check }
func (*NotApplicable) action() Action { return Check }
func (*OverrideHold) action() Action  { return Override }
func (*ReadItem) action() Action      { return Check }
func (*ReadItems) action() Action     { return Check }
func (*PhotoItem) action() Action     { return Check }

// settle refuses an item that can't be settled now, or not by this kind of
// entry.
func (t *turn) settle(id string, kind Kind, text string) (Item, error) {
	if err := errors.Join(t.inWork(), checkText(text)); err != nil {
		return Item{}, err
	}
	it, err := t.item(id)
	if err != nil {
		return Item{}, err
	}
	if it.Kind != kind {
		return Item{}, calc.F("%s takes %s, not %s", id, it.entry(it.Kind), it.entry(kind))
	}
	return it, t.inOrder(it)
}

// entry names what settles items of a kind; a reading is in the item's unit.
func (it *Item) entry(kind Kind) calc.Text {
	switch {
	case kind == Tick:
		return calc.F("a tick")
	case kind == Photo:
		return calc.F("a photo")
	case kind == ByEntry:
		return calc.F("an entry of its own")
	case it.Unit == "":
		return calc.F("a reading")
	}
	return calc.F("a reading in %s", it.Unit)
}

// inOrder refuses an item before the hold points and items it waits for.
func (t *turn) inOrder(it Item) error {
	if err := t.tooCold(it.ID); err != nil {
		return err
	}
	if err := t.seenFirst(&it); err != nil {
		return err
	}
	open := Holds(t.items(), it.Stage)
	if len(open) == 0 {
		open = t.needs(it)
	}
	if len(open) > 0 {
		return &HoldError{Item: calc.F("%s", it.ID), Open: open}
	}
	if other := t.door.Spec.ElsewhereMeasured(); it.ID == "ordered" && len(other) > 0 {
		return calc.F("%s waits for what was measured at another door only, %s: measure it here and say it as correct opening 1068x2372", it.ID, list("%s, %s", shown(other)))
	}
	if s := &t.door.Spec; (it.ID == "ordered" || rule(it.ID).byJambs && !t.door.Items["centre"].Settled()) && len(s.Unread()) > 0 {
		return calc.F("%s waits for what the plate goes by, %s: read it by level or laser, a bow by straightedge, and say it as read lean heel 2, lean lead 0, floor fall level", it.ID, jambs(s))
	}
	if _, known := t.door.Number("plate_centre"); !known && slices.Contains(rule(it.ID).fixes, "plate_centre") {
		var r reckoning
		_, err := SetOut(&t.door.Spec, t.Sheet)
		r.misfit(err)
		return calc.F("%s waits: by what was measured the plate has no place (%s)", it.ID, list("%s; %s", r.kept))
	}
	return nil
}

// loads are the items that put the leaf's weight on the plates.
var loads = []string{"lift", "stood", "engaged", "parked"}

// tooCold refuses to put weight on a plate whose cure was too cold, or may have
// been.
func (t *turn) tooCold(id string) error {
	if !slices.Contains(loads, id) {
		return nil
	}
	stands := t.door.Items["stood"].Settled()
	for _, b := range t.door.Bonds {
		switch c := t.door.CureOf(b.Where, t.Now); {
		case t.door.Items[sampleOf(b.Where)].Settled():
		case c.Void:
			if stands {
				return calc.F("%s waits: it was too cold for the %s plate, its cure can't be told and nothing may load it. Keep the leaf propped and barred off and take it off the plate, then bond anew, or attach the adhesive maker's written word", id, calc.Word(b.Where))
			}
			return calc.F("%s waits: it was too cold for the %s plate, its cure can't be told and nothing may load it. Bond anew, or attach the adhesive maker's written word", id, calc.Word(b.Where))
		case c.Doubt != nil && stands:
			return calc.F("%s waits: it may have been too cold for the %s plate, and nothing may load it (%s). Keep the leaf propped and barred off", id, calc.Word(b.Where), calc.F(nobodySaid, c.Doubt.Coldest(), c.Doubt.By))
		case c.Doubt != nil:
			return calc.F("%s waits: it may have been too cold for the %s plate, and nothing may load it (%s)", id, calc.Word(b.Where), calc.F(nobodySaid, c.Doubt.Coldest(), c.Doubt.By))
		}
	}
	return nil
}

// needs returns the open items that come before an item, whatever the stage.
func (t *turn) needs(it Item) (open []Item) {
	needs := rule(it.ID).needs
	if it.ID == "stood" && !t.Sheet.Adhesive.ParkOnPlate {
		needs = append(slices.Clone(needs), sampleOf("floor"), sampleOf("head"))
	}
	for _, other := range t.items() {
		if slices.Contains(needs, other.ID) && !other.State.Settled() {
			open = append(open, other)
		}
	}
	return open
}

// HoldError says which items must be settled before another, or before
// something else that Item names.
type HoldError struct {
	Item calc.Text
	Open []Item
	Also []calc.Text // what else waits for them
}

// maxNamed is how many items are named after the first.
const maxNamed = 3

func (e *HoldError) Error() string { return e.text().String() }

// Sentence names the items that come first.
func (e *HoldError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *HoldError) text() calc.Text {
	text := calc.F("%s waits for %s (%s)", e.Item, e.Open[0].ID, e.Open[0].Text)
	if len(e.Also) > 0 {
		text = calc.F("%s wait for %s (%s)", list("%s, %s", append([]calc.Text{e.Item}, e.Also...)), e.Open[0].ID, e.Open[0].Text)
	}
	for i, it := range e.Open[1:] {
		if i == maxNamed {
			return calc.F("%s and %s more", text, len(e.Open)-1-maxNamed)
		}
		text = calc.F("%s, %s", text, it.ID)
	}
	return text
}

func (c *TickItem) decide(t *turn) error {
	it, err := t.settle(c.Item, Tick, c.Note)
	if err != nil {
		return err
	}
	if s := it.State; s.State == Ticked && !(rule(it.ID).daily && t.past(it)) {
		if byBot(s.Text) {
			return calc.F("%s is ticked already, %s", c.Item, calc.Word(s.Text))
		}
		return calc.F("%s is ticked already, by %s on %s", c.Item, s.By, s.At.In(t.Site.Zone).Format(dayAndTime))
	}
	if strings.Contains(it.Text.String(), unknownFigure) && !rule(c.Item).own {
		return calc.F("%s holds a figure that is not known: %s", c.Item, it.Text)
	}
	if c.Seen != "" && c.Seen != it.Mark() {
		return calc.F("%s reads otherwise by now, look at it again: %s", c.Item, it.Text)
	}
	if err := t.twoPeople(c.Item); err != nil {
		return err
	}
	r := rule(c.Item)
	if c.Item == "limits" {
		if broken := limits(&t.door.Spec, t.Sheet); len(broken) > 0 {
			return &LimitError{broken}
		}
		if open := t.door.drilledOtherwise(); len(open) > 0 {
			return calc.F("limits waits for snag %s (%s): correct the door if it is wrong, or the foreman closes it with what was done", open[0].ID, Recorded(open[0].Text))
		}
	}
	if c.Item == "stood" {
		if err := t.fresh(); err != nil {
			return err
		}
	}
	if where, _, _ := strings.Cut(c.Item, "-"); isSample(c.Item) {
		if SaysSoft(c.Item, c.Note) {
			return calc.F("%s is ticked only if it is hard: if it is soft, say knocked %s because the sample is soft, then its hours start again and the foreman is told", c.Item, where)
		}
		if err := cmp.Or(t.notSoft(c.Item), t.cured(where)); err != nil {
			return err
		}
	}
	t.emit(Event{Kind: Ticked, Item: it.ID, Text: c.Note})
	t.fix(r.fixes, r.how)
	return nil
}

// windHolds is how long a reading of the wind stands: the project's own.
const windHolds = time.Hour

// fresh refuses to stand a leaf up on what was looked at some other time.
func (t *turn) fresh() error {
	if at := t.door.Items["wind"].At; t.Now.Sub(at) > windHolds {
		return calc.F("the wind was read on %s: read it again", at.In(t.Site.Zone).Format(dayAndTime))
	}
	old := slices.DeleteFunc(slices.Clone(t.items()), func(it Item) bool { return !rule(it.ID).daily || !t.past(it) })
	if len(old) > 0 {
		return &AnewError{Items: old, On: DateOf(old[0].State.At.In(t.Site.Zone))}
	}
	return nil
}

// SaysSoft reports whether a note to a control sample says that it has not set.
func SaysSoft(item, note string) bool { return isSample(item) && softSample.MatchString(note) }

// softSample matches a note by which the control sample has not set.
var softSample = regexp.MustCompile(`(?i)\bsoft|\b(not|sticky|tacky)\b|n['’]t\b`)

// twoPeople refuses who settled the other of two items that take two people.
func (t *turn) twoPeople(id string) error {
	for _, r := range itemRules {
		other := ""
		switch id {
		case r.id:
			other = r.other
		case r.other:
			other = r.id
		}
		if other != "" && t.door.Items[other].By == t.Who {
			return calc.F("%s wants a second person: %s ticked %s", r.id, t.Who, other)
		}
	}
	return nil
}

// fix freezes the numbers that an item puts into material.
func (t *turn) fix(names []string, how calc.Word) {
	var free []string
	for _, n := range t.door.Numbers {
		if slices.Contains(names, n.Name) && n.Fixed == "" {
			free = append(free, n.Name)
		}
	}
	if len(free) > 0 {
		t.emit(Event{Kind: Fixed, Names: free, Text: string(how)})
	}
}

func (c *Untick) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("unticking takes a reason"))); err != nil {
		return err
	}
	it, err := t.item(c.Item)
	if err != nil {
		return err
	}
	holds := t.holds(rule(c.Item))
	if it.State.State == "" && len(holds) == 0 {
		return calc.F("%s is not ticked", c.Item)
	}
	if it.Kind == ByEntry {
		return calc.F("%s can't be unticked: a bond is made anew or entered as knocked", c.Item)
	}
	if where := rule(c.Item).under; where != "" && t.door.bond(where) != nil {
		return calc.F("the %s plate is bonded: what is drilled for it stays as it is, and a mistake in it is a snag", calc.Word(where))
	}
	if it.State.State != "" {
		t.emit(Event{Kind: Unticked, Item: c.Item, Text: c.Why})
	}
	t.follow(c.Item)
	if len(holds) > 0 {
		return t.release(holds, calc.F(openAgainFor, c.Item, c.Why))
	}
	return nil
}

// follow opens again what was settled on the strength of an item. What is done
// to floor, head and leaf by then can't be taken back by a tick.
func (t *turn) follow(id string) {
	for _, r := range itemRules {
		rests := r.other == id || slices.Contains(r.needs, id) && r.how == "" && r.kind != ByEntry
		if rests && t.door.Items[r.id].Settled() {
			t.emit(Event{Kind: Unticked, Item: r.id, Text: calc.F(openAgain, id).String()})
			t.follow(r.id)
		}
	}
}

// holds returns the numbers that stand in material by an item and by no other
// that is settled.
func (t *turn) holds(r *itemRule) (names []string) {
	elsewhere := func(name string) bool {
		bonded := t.door.bond("floor") != nil && slices.Contains(plateCentres, name)
		return bonded || slices.ContainsFunc(itemRules, func(o itemRule) bool {
			return o.id != r.id && slices.Contains(o.fixes, name) && t.door.Items[o.id].Settled()
		})
	}
	for _, n := range t.door.Numbers {
		if n.Fixed != "" && slices.Contains(r.fixes, n.Name) && !elsewhere(n.Name) {
			names = append(names, n.Name)
		}
	}
	return names
}

// release lets go of numbers that were in material: the card is reckoned anew.
func (t *turn) release(names []string, why calc.Text) error {
	before, held := t.items(), slices.Clone(t.door.Numbers)
	for i := range t.door.Numbers {
		if n := &t.door.Numbers[i]; slices.Contains(names, n.Name) {
			n.Fixed, n.Ought = "", ""
		}
	}
	card, err := t.reckon(&t.door.Spec)
	t.door.Numbers = held
	if err != nil {
		return err
	}
	t.emit(Event{Kind: Freed, Names: names, Numbers: card.numbers, Struck: card.struck, Text: why.String()})
	t.reopen(before)
	t.closeFitting(card.stands, limits(&t.door.Spec, t.Sheet))
	t.tellForeman(openAgainNow, calc.F("%s can change again: %s", list("%s, %s", shown(names)), why))
	return nil
}

func (c *NotApplicable) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("leaving an item out takes a reason"))); err != nil {
		return err
	}
	it, err := t.item(c.Item)
	if err != nil {
		return err
	}
	if it.Hold {
		if it.Never {
			return calc.F("%s is a hold point: it can't be left out, nor overridden by anybody", c.Item)
		}
		return calc.F("%s is a hold point: it can't be left out, only overridden by the foreman with a reason", c.Item)
	}
	if s := it.State; s.State == NotForThis {
		return calc.F("%s is left out already, by %s on %s", c.Item, s.By, s.At.In(t.Site.Zone).Format(dayAndTime))
	}
	if err := t.twoPeople(c.Item); err != nil {
		return err
	}
	t.emit(Event{Kind: NotForThis, Item: c.Item, Text: c.Why})
	if it.State.Settled() {
		t.follow(c.Item)
	}
	return nil
}

func (c *OverrideHold) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("an override takes a reason")), checkText(c.Word)); err != nil {
		return err
	}
	it, err := t.item(c.Item)
	if err != nil {
		return err
	}
	if !it.Hold {
		return calc.F("%s is no hold point: tick it or leave it out", c.Item)
	}
	if it.Never {
		return calc.F("%s can't be overridden by anybody: %s", c.Item, it.Text)
	}
	if it.Kind == ByEntry {
		return calc.F("%s can't be overridden: nothing is bonded until it is entered", c.Item)
	}
	if s := it.State; s.State == Ticked && s.By != t.Who {
		return calc.F("%s is ticked already, by %s on %s: that stands, and nothing is overridden", c.Item, s.By, s.At.In(t.Site.Zone).Format(dayAndTime))
	}
	if err := cmp.Or(t.tooCold(c.Item), t.seenFirst(&it), t.notSoft(c.Item)); err != nil {
		return err
	}
	open := Holds(t.items(), it.Stage)
	for _, other := range t.needs(it) {
		if other.Never { // else what nobody overrides could be passed by
			open = append(open, other)
		}
	}
	if len(open) > 0 {
		return &HoldError{Item: calc.F("%s", it.ID), Open: open}
	}
	if where, _, _ := strings.Cut(c.Item, "-"); isSample(c.Item) {
		switch cure := t.door.CureOf(where, t.Now); {
		case cure.Void:
			return calc.F("a cure that was too cold is ended by bonding anew or by the maker's word for the plate, not by an override")
		case cure.Doubt != nil:
			return calc.F(nobodySaid, cure.Doubt.Coldest(), cure.Doubt.By)
		}
	}
	if c.Word != "" {
		if err := inWriting(c.Word); err != nil {
			return err
		}
	} else if rule(c.Item).hold == byMaker {
		return calc.F("%s is overridden only with the adhesive maker's written word: attach it behind the reason, as word: and where it is kept", c.Item)
	}
	t.emit(Event{Kind: Overridden, Item: c.Item, Text: c.Why, Word: c.Word})
	t.fix(rule(c.Item).fixes, rule(c.Item).how)
	t.tellAll(overridden, calc.F("%s (%s): %s", it.ID, it.Text, c.Why))
	return nil
}

func (c *ReadItem) decide(t *turn) error {
	it, err := t.settle(c.Item, Reading, c.Note)
	early, waits := errors.AsType[*HoldError](err)
	if err != nil && (!waits || c.None || c.Value.Unit != it.Unit || it.Unknown != "") {
		return err
	}
	if c.None {
		return t.none(it, c.Note)
	}
	if c.Value.Unit != it.Unit {
		return calc.F("%s is read in %s, not in %q", c.Item, it.Unit, cut(c.Value.Unit, 20))
	}
	if v := c.Value.Value(); v < -100 || v > 10_000 || v < 0 && it.Unit != "°C" {
		return calc.F("%s can't be: %s is %s", c.Value, c.Item, it.Limits)
	}
	if it.Unknown != "" {
		return calc.F("%s can't be judged: its limits are %s", c.Item, it.Unknown)
	}
	if most := impossible[it.Unit]; most > 0 && c.Value.Value() > most {
		return calc.F("%s can't be: at most %s is believed", c.Value, Of(most, it.Unit))
	}
	if strings.HasSuffix(c.Item, "-services") && c.Value.Length() > calc.Metre {
		return calc.F("%s can't be: at most %s is believed", c.Value, t.door.Spec.Tell(calc.Metre))
	}
	judged, note, takes := c.Value, c.Note, true
	var covered Spec
	if c.Item == "floor-services" {
		if covered, takes, err = t.withCover(c); err != nil {
			return err
		}
		by := t.door
		by.Spec = covered
		it.Limits, judged.Micro = floorCover(&by, t.Sheet), int64(covered.Cover)
		if !takes && it.Judge(judged) != Out { // it leaves more than what stands, so it is shown by its own limits
			by.Spec.Cover, by.Spec.CoverTo = c.Value.Length(), cmp.Or(c.To, covered.CoverTo)
			it.Limits, judged = floorCover(&by, t.Sheet), c.Value
		}
		switch {
		case !takes && c.Note != "":
			note = calc.F(leastCountsNoted, c.Note, covered.coverText()).String()
		case !takes:
			note = calc.F(leastCounts, covered.coverText()).String()
		}
	}
	verdict := it.Judge(judged)
	if waits && verdict != Out { // what is bad is kept, whatever it would have waited for
		return early
	}
	t.emit(Event{Kind: Read, Item: c.Item, Since: t.at, Value: &c.Value, Limits: it.Limits.String(), Judgement: verdict, Text: note})
	switch c.Item {
	case "closing-time":
		t.lookAgain("latching", closingRead)
	case "floor-services":
		return t.cover(&covered, verdict, it.Limits)
	case "floor-temperature", "head-temperature":
		return t.warmth(Event{Kind: WarmthRead, Item: strings.TrimSuffix(c.Item, "-temperature"), Value: &c.Value})
	}
	return nil
}

// decide takes the readings in the order of the checklist, in which they
// may wait for one another, and says of each what is wrong with it.
func (c *ReadItems) decide(t *turn) error {
	items := t.items()
	place := func(r ReadItem) int { return slices.IndexFunc(items, func(it Item) bool { return it.ID == r.Item }) }
	var errs []error
	for _, r := range slices.SortedStableFunc(slices.Values(c.Items), func(a, b ReadItem) int { return place(a) - place(b) }) {
		if err := about(r.Item, r.decide(t)); err != nil {
			errs = append(errs, err)
		}
	}
	if len(errs) == 0 {
		return nil
	}
	return &partsError{errs}
}

// impossible is more than a reading of a unit can be at a door. From memory: a
// storm of force 12 begins at 32.7 m/s.
var impossible = map[string]float64{"m/s": 60, "N": 1000, "s": 600}

// none settles a search for services that found nothing. Over a heated
// floor there is something.
func (t *turn) none(it Item, note string) error {
	if it.ID != "floor-services" && it.ID != "head-services" {
		return calc.F("%s takes a reading in %s", it.ID, it.Unit)
	}
	if it.ID == "floor-services" && t.door.Spec.Heated {
		return calc.F("the floor is heated: its pipes are somewhere, measure the nearest cover")
	}
	if s := &t.door.Spec; it.ID == "floor-services" && s.HasCover {
		return calc.F("a cover of %s stands there, so there is something: enter what is measured now, or have the foreman correct cover none with a reason", s.Tell(s.Cover))
	}
	if v := it.State.Value; v != nil {
		return calc.F("%s was measured there: enter what is measured now, or untick %s with a reason", v, it.ID)
	}
	if err := given(note, calc.F("finding nothing (with what was it looked for?) takes a reason")); err != nil {
		return err
	}
	if !finds.MatchString(note) || findsNone.MatchString(note) {
		return calc.F("%q names nothing that finds a pipe or a cable: with which device, or by which drawings, was it looked for? as none, scanned with a locator", cut(note, 40))
	}
	t.emit(Event{Kind: Read, Item: it.ID, Text: note, Limits: it.Limits.String(), Judgement: In})
	return nil
}

// finds matches a means of finding services: a device, or what shows where they
// are. An eye is none, nor is somebody's word. Without matches its lack.
var (
	finds     = regexp.MustCompile(`(?i)\b(?:scan|detect|locat|radar|gpr|thermal|thermograph|infrared|ir camera|endoscop|probe|metal|magnet|meter|device|drawing|plans?\b|as-built|records?\b|permit|survey)`)
	findsNone = regexp.MustCompile(`(?i)\b(?:no|not|without|nothing|broken|missing|never|unscanned)\b|n['’]t\b`)
)

func (c *PhotoItem) decide(t *turn) error {
	it, err := t.settle(c.Item, Photo, c.Where)
	if err != nil {
		return err
	}
	if strings.TrimSpace(c.Where) == "" {
		return calc.F("say where the photo is kept")
	}
	if err := checkText(c.Note); err != nil {
		return err
	}
	if s := it.State; s.State == Pictured && s.Word == c.Where && len(c.Files) == 0 {
		return calc.F("that photo is noted already, by %s on %s", s.By, onDay(s.At.In(t.Site.Zone)))
	}
	var ruling []string
	for _, other := range t.items() {
		if other.Hold && other.Stage.before(it.Stage) {
			ruling = append(ruling, other.ID)
		}
	}
	if _, err := t.done(ruling...); err != nil {
		return err
	}
	t.emit(Event{Kind: Pictured, Item: it.ID, Text: c.Note, Word: c.Where, Files: c.Files, Since: t.at})
	return nil
}
