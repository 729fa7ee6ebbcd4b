package jobs

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"time"

	"heelpost/calc"
)

// MixAdhesive begins the working time of adhesive for a plate.
type MixAdhesive struct {
	Where  string // floor or head
	Batch  string
	Expiry Date
	As     string // the door that batch and expiry are known from; "" if they were said
}

// BondPlate says that a plate lies in the adhesive that was mixed for it.
type BondPlate struct{ Where string }

// SpoilMix says that adhesive which was mixed is thrown away: its working time
// runs no more, and nothing is bonded with it.
type SpoilMix struct {
	Where string // floor or head; "" for the one that is mixed
	Why   string // may be empty
}

// Knock says that a curing plate was knocked or loaded: its hours start
// again.
type Knock struct{ Where, Why string }

// GiveWord attaches the adhesive maker's written word on a bond: when it
// may be loaded. It ends a cure voided by cold.
type GiveWord struct {
	Where, Why, Word string
	Until            time.Time
}

func (*MixAdhesive) action() Action { return Bonding }
func (*BondPlate) action() Action   { return Bonding }
func (*SpoilMix) action() Action    { return Bonding }
func (*Knock) action() Action       { return Bonding }
func (*GiveWord) action() Action    { return MakerWord }

func (c *MixAdhesive) decide(t *turn) error {
	it, err := t.settle(c.Where+"-batch", ByEntry, c.Batch)
	if err != nil {
		return err
	}
	if m := t.door.mix(c.Where); m != nil && m.Batch == c.Batch && t.Now.Before(m.Ends) && t.at.IsZero() {
		return calc.F("batch %s is mixed for the %s plate already, by %s on %s, and can be worked until %s; a second mix of it is entered with its own time, as mix %s batch %s, expires and its day, at 8:20",
			m.Batch, calc.Word(c.Where), it.State.By, onDay(m.At.In(t.Site.Zone)), m.Ends.In(t.Site.Zone).Format("15:04"), c.Where, m.Batch)
	}
	if err := given(c.Batch, calc.F("mixing (which batch?) takes a reason")); err != nil {
		return err
	}
	if err := c.Expiry.check(); err != nil {
		return err
	}
	at, err := t.done(c.Where+"-services", c.Where+"-dry-fit", c.Where+"-clean", c.Where+"-temperature")
	if err != nil {
		return err
	}
	if c.Expiry.Before(DateOf(at.In(t.Site.Zone))) {
		return calc.F("batch %s expired on %s: take another", cut(c.Batch, 40), c.Expiry)
	}
	var stale []string
	bond := t.door.bond(c.Where)
	for _, other := range t.items() {
		fresh := other.ID == c.Where+"-dry-fit" || other.ID == c.Where+"-clean" || other.ID == c.Where+"-temperature"
		if fresh && bond != nil && !other.State.At.After(bond.From) { // at the same minute, too: it was looked at to bond
			stale = append(stale, other.ID)
		}
	}
	if open := t.unprepared(it); len(open) > 0 {
		return &HoldError{Item: calc.F("%s", it.ID), Open: open}
	}
	if bond != nil && t.door.Items["stood"].Settled() {
		return calc.F("the leaf stands on the plates: take it off before the %s plate is bonded anew, and say untick stood because it was taken off", calc.Word(c.Where))
	}
	if len(stale) > 0 {
		return calc.F("the %s plate is bonded since %s: is it bonded anew? to bond it anew untick %s with a reason, and look again", calc.Word(c.Where), onDay(bond.From.In(t.Site.Zone)), strings.Join(stale, ", "))
	}
	if err := t.workable(c.Where, at); err != nil {
		return err
	}
	t.emit(Event{Kind: Mixed, Item: c.Where, Text: c.Batch, Expires: c.Expiry.String(), Since: t.at, When: at.Add(t.Sheet.Adhesive.Working)})
	text := calc.F(batchExpires, c.Batch, c.Expiry)
	if c.As != "" {
		text = calc.F(batchAs, c.Batch, c.Expiry, c.As)
	}
	t.emit(Event{Kind: Ticked, Item: it.ID, Text: text.String()})
	return nil
}

func (c *BondPlate) decide(t *turn) error {
	it, err := t.settle(c.Where+"-bonded", ByEntry, "")
	if err != nil {
		return err
	}
	m := t.door.mix(c.Where)
	if s := t.door.Items[it.ID]; m == nil && s.Settled() && t.door.bond(c.Where) != nil {
		return calc.F("the %s plate is bonded already, by %s on %s", calc.Word(c.Where), s.By, onDay(s.At.In(t.Site.Zone)))
	}
	if m == nil {
		return calc.F("no adhesive is mixed for the %s plate: enter batch and expiry first", calc.Word(c.Where))
	}
	at, err := t.done()
	ends, begun := m.Ends.In(t.Site.Zone).Format("15:04"), m.At.In(t.Site.Zone).Format("15:04")
	switch {
	case err != nil:
		return err
	case at.Before(m.At.Truncate(time.Minute)):
		return calc.F("it was mixed at %s: no plate was bonded with it before", begun)
	case at.After(m.Ends) && t.at.IsZero():
		return calc.F("the working time ended at %s: clean off and mix anew; a plate that was in place before is entered with its time, as bond %s at %s", ends, calc.Word(c.Where), begun)
	case at.After(m.Ends):
		return calc.F("the working time ended at %s: clean off and mix anew", ends)
	}
	if err := t.workable(c.Where, at); err != nil {
		return err
	}
	if open := t.unprepared(it); len(open) > 0 { // since it was mixed
		return &HoldError{Item: calc.F("%s", it.ID), Open: open}
	}
	t.emit(Event{Kind: Bonded, Item: c.Where, Since: t.at, Bond: &Bond{Where: c.Where, Batch: m.Batch, From: latest(at, m.At), Adhesive: t.Sheet.Adhesive.Calc()}})
	t.emit(Event{Kind: Ticked, Item: it.ID, Text: calc.F(ofBatch, m.Batch).String()})
	if c.Where == "floor" {
		t.fix(plateCentres, "bonded to")
	}
	for _, id := range []string{c.Where + "-control", "parked", sampleOf(c.Where)} {
		t.lookAgain(id, plateBonded)
	}
	return t.chill(t.door.bond(c.Where))
}

func (c *SpoilMix) decide(t *turn) error {
	if err := errors.Join(t.inWork(), checkText(c.Why)); err != nil {
		return err
	}
	open := slices.DeleteFunc(slices.Clone(t.door.Mixes), func(m Mix) bool { return c.Where != "" && m.Where != c.Where })
	switch {
	case len(open) > 1:
		return calc.F("adhesive is mixed for both plates: which is thrown away? say mix floor spoilt, or mix head spoilt")
	case len(open) == 0 && len(t.door.Bonds) > 0:
		b := t.door.Bonds[len(t.door.Bonds)-1]
		return calc.F("no mix is open here: the %s plate is bonded since %s. If that bond is bad, say snag and what it is", calc.Word(b.Where), onDay(b.From.In(t.Site.Zone)))
	case len(open) == 0:
		return calc.F("no mix is open here")
	}
	m := open[0]
	t.emit(Event{Kind: MixSpoilt, Item: m.Where, Text: c.Why, Names: []string{m.Batch}})
	t.lookAgain(m.Where+"-batch", mixSpoilt)
	return nil
}

// Earlier is something that was done before it is entered: mixing, bonding, a
// photo, a temperature.
type Earlier struct {
	Command
	At time.Time // zero: now
}

func (c *Earlier) decide(t *turn) error {
	t.at = c.At
	return c.Command.decide(t)
}

// done returns when something was done that is entered now, and refuses a time
// that is still to come or lies before the items that rule it. Times are said
// to the minute.
func (t *turn) done(ruling ...string) (at time.Time, err error) {
	if at = t.at; at.IsZero() {
		return t.Now, nil
	}
	if at.After(t.Now) {
		return at, calc.F("%s is still to come", onDay(at.In(t.Site.Zone)))
	}
	for _, id := range ruling {
		if s := t.door.Items[id]; s.Settled() && at.Before(s.At.Truncate(time.Minute)) {
			return at, calc.F("%s is before %s, which it waits for and which was entered on %s", onDay(at.In(t.Site.Zone)), id, onDay(s.At.In(t.Site.Zone)))
		}
	}
	return at, nil
}

// workable refuses to mix and bond at a time in what was last read by then as
// too cold or too warm for the adhesive, unless its maker's word was attached.
func (t *turn) workable(where string, at time.Time) error {
	read, a := t.door.warmths(where), &t.Sheet.Adhesive
	if len(read) == 0 || t.door.Items[where+"-temperature"].State == Overridden {
		return nil
	}
	i := len(read) - 1
	for i > 0 && read[i].At.After(at) {
		i--
	}
	if last := read[i].T; last < a.Lowest || last > a.Highest {
		return calc.F("it is %s by the last reading, the adhesive is worked at %s to %s: read the temperature again when that has changed", last, a.Lowest, a.Highest)
	}
	return nil
}

// lookAgain opens an item again that was looked at before what happened now.
func (t *turn) lookAgain(id string, why calc.Word) {
	if t.door.Items[id].Settled() {
		t.emit(Event{Kind: Unticked, Item: id, Text: string(why)})
	}
}

func (c *Knock) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("a knock takes a reason"))); err != nil {
		return err
	}
	if t.door.bond(c.Where) == nil {
		return calc.F("no plate is bonded at the %s", cut(c.Where, 20))
	}
	t.emit(Event{Kind: Knocked, Item: c.Where, Text: c.Why})
	t.lookAgain(sampleOf(c.Where), plateKnocked)
	for _, it := range t.items() {
		if it.Stage == Align || it.Stage == Movement {
			t.lookAgain(it.ID, plateKnocked)
		}
	}
	t.tellForeman(knocked, calc.F("the %s plate was knocked or loaded (%s): its hours start again", calc.Word(c.Where), c.Why))
	return t.chill(t.door.bond(c.Where))
}

func (c *GiveWord) decide(t *turn) error {
	if err := errors.Join(t.inWork(), given(c.Why, calc.F("the maker's word takes a reason")), checkText(c.Word)); err != nil {
		return err
	}
	if strings.TrimSpace(c.Word) == "" {
		return calc.F("attach the adhesive maker's written word, or say where it is kept")
	}
	if err := inWriting(c.Word); err != nil {
		return err
	}
	b := t.door.bond(c.Where)
	if b == nil {
		return calc.F("no plate is bonded at the %s", cut(c.Where, 20))
	}
	if c.Until.Before(b.From) || c.Until.After(b.From.Add(farAhead)) {
		return calc.F("say until when the maker's word has the bond left alone")
	}
	t.emit(Event{Kind: WordGiven, Item: c.Where, Text: c.Why, Word: c.Word, From: t.Now, When: c.Until})
	return nil
}

// inWriting says why an adhesive maker's word does not count: it is none that
// somebody has in writing.
func inWriting(word string) error {
	if !written.MatchString(word) {
		return calc.F("%q names nothing written: what did the adhesive's maker write, and where is it kept? as letter of 3 March, in the site folder", cut(word, 40))
	}
	if no := missing.FindString(word); no != "" {
		return calc.F("the adhesive maker's word counts when it is there in writing, and %q says something else: enter it then, with where it is kept, as letter of 3 March, in the site folder", no)
	}
	return nil
}

// written matches what a maker's word is kept as: what was told on the telephone
// is none.
var written = regexp.MustCompile(`(?i)\b(?:letters?|e-?mails?|mails?|fax|written|wrote|writes|writing|pdf|documents?|data ?sheets?|sheets?|reports?|statements?|certificates?|messages?|folder|file)\b`)

// missing matches what is said of a letter that nobody has: none yet, promised for
// tomorrow.
var missing = regexp.MustCompile(`(?i)\b(?:no|not|none|nothing|nobody|never|without|yet|soon|later|pending|promised|coming|comes|expected|await\w*|wait\w*|request\w*|ask\w*|will|would|should|could|might|if|when|once|tomorrow|hopefully|maybe|perhaps|probably|likely|lost|missing|by (?:tele)?phone|phoned|verbal\w*|oral\w*)\b|n['’]t\b|\?`)

// CureState is how far a door's bonds have come.
type CureState struct {
	Bonds  int
	End    time.Time // the latest of them; zero if it was too cold for one
	Void   bool
	Doubt  *Doubt    // a cold reading that nobody has confirmed or denied: as long as that is so it counts
	Unread time.Time // from when on nothing is known, if End rests on that: it is not before End; else zero
	Held   *Vouched  // what End rests on, if not on readings alone
	ByWord bool      // End is the adhesive maker's word
	Least  float64
	Bond   *Bond // whose End it is, and how that comes about; none where End is the maker's word
	Spans  []calc.CureSpan
}

// Cure returns how far the door's bonds have come at now: those whose control
// sample is still to be looked at, or else all of them. The latest end rules.
func (d *Door) Cure(now time.Time) CureState {
	waits := func(b Bond) bool { return !d.Items[sampleOf(b.Where)].Settled() }
	if !d.Curing() {
		waits = func(Bond) bool { return true }
	}
	return d.cureOf(waits, now)
}

// CureOf returns how far the bond of a plate has come at now.
func (d *Door) CureOf(where string, now time.Time) CureState {
	return d.cureOf(func(b Bond) bool { return b.Where == where }, now)
}

// Curing reports whether the control sample of a bond is still to be looked at.
func (d *Door) Curing() bool {
	return slices.ContainsFunc(d.Bonds, func(b Bond) bool { return !d.Items[sampleOf(b.Where)].Settled() })
}

// cureOf returns how far some of the bonds have come at now.
func (d *Door) cureOf(these func(Bond) bool, now time.Time) CureState {
	s, cold := CureState{Bonds: len(d.Bonds), Least: 1}, false
	for i := range d.Bonds {
		b := &d.Bonds[i]
		if !these(*b) {
			continue
		}
		if about := d.doubted(b); about != nil {
			cold, s.Doubt = true, about
		}
		if b.Word != "" {
			if b.Until.After(s.End) {
				s.End, s.Unread, s.Held, s.ByWord, s.Bond, s.Spans = b.Until, time.Time{}, nil, true, nil, nil
			}
			continue
		}
		c, err := d.cure(b, now)
		s.Void = s.Void || !b.Void.IsZero()
		cold = cold || s.Void || !c.VoidSince.IsZero() || err != nil
		s.Least = min(s.Least, c.Progress)
		if c.ReadyAt.After(s.End) {
			s.End, s.Unread, s.Held, s.ByWord, s.Bond, s.Spans = c.ReadyAt, c.Unread, d.heldUp(b, c.ReadyAt), false, b, c.Spans
		}
	}
	if cold {
		s.End, s.Unread, s.Held, s.Bond, s.Spans = time.Time{}, time.Time{}, nil, nil, nil
	}
	return s
}

func latest(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// cured refuses the look at a plate's control sample before its cure's end.
func (t *turn) cured(where string) error {
	c := t.door.CureOf(where, t.Now)
	switch {
	case c.Doubt != nil:
		return calc.F(nobodySaid, c.Doubt.Coldest(), c.Doubt.By)
	case c.End.IsZero():
		return calc.F("it was too cold, the cure can't be told: bond anew, or attach the adhesive maker's written word")
	case t.Now.Before(c.End):
		end := onDay(c.End.In(t.Site.Zone))
		if c.ByWord {
			return calc.F("by the adhesive maker's word the bond is left alone until %s", end)
		}
		if !c.Unread.IsZero() {
			return calc.F("the sheet's hours end not before %s: from %s on the temperature was not read", end, onDay(c.Unread.In(t.Site.Zone)))
		}
		return calc.F("the sheet's hours end on %s", end)
	}
	return nil
}
