package ask

import (
	"fmt"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// Kind is what sort of value an input takes.
type Kind uint8

// The kinds of inputs.
const (
	LengthKind Kind = iota
	AngleKind
	ChoiceKind // a word out of a few
	FlagKind
	ListKind // several lengths
	MassKind
	WarmthKind
	HoursKind
	SecondsKind
	SpeedKind // its unit is always said
	ForceKind
	PressureKind
	PercentKind
	KelvinKind
	DensityKind
	VolumeKind
	CountKind // a number without a unit
)

// takes reports whether a number with a unit can be a value of the kind.
func (k Kind) takes(u lex.Unit) bool {
	switch {
	case u == lex.Bare:
		return k != SpeedKind // m/s, km/h and mph are too far apart
	case measures[k].unit != lex.Bare:
		return u == measures[k].unit || k == WarmthKind && u == lex.Degrees
	case u == lex.Degrees:
		return k == AngleKind
	}
	return u < lex.Degrees && (k == LengthKind || k == ListKind)
}

// measures are the units that values of a kind are typed and told in; lengths
// and angles have their own ways, and a count has none.
var measures = map[Kind]struct {
	unit lex.Unit
	name string
	show func(float64) string
}{
	MassKind:     {lex.Kilograms, "kg", shown[calc.Mass]},
	WarmthKind:   {lex.Celsius, "degC", shown[calc.Temperature]},
	HoursKind:    {lex.Hours, "h", shown[calc.Hours]},
	SecondsKind:  {lex.Seconds, "s", shown[calc.Seconds]},
	SpeedKind:    {lex.MetresASecond, "m/s", shown[calc.Speed]},
	ForceKind:    {lex.Newtons, "N", shown[calc.Force]},
	PressureKind: {lex.Pascals, "Pa", shown[calc.Pressure]},
	PercentKind:  {lex.Percents, "%", shown[calc.Percent]},
	KelvinKind:   {lex.Kelvins, "K", shown[calc.Kelvin]},
	DensityKind:  {lex.KilogramsACubicMetre, "kg/m³", shown[calc.Density]},
	VolumeKind:   {lex.Millilitres, "ml", shown[calc.Volume]},
	CountKind:    {lex.Bare, "", shown[calc.Number]},
}

// shown tells a number as a quantity of calc's.
func shown[T interface {
	~float64
	fmt.Stringer
}](v float64) string {
	return T(v).String()
}

// isNumber reports whether a value of the kind is a plain number in its unit.
func (k Kind) isNumber() bool { return measures[k].show != nil }

// Input is a quantity that a question can give. Questions that share one point
// to the same.
type Input struct {
	Name      string // as in JSON
	Kind      Kind
	What      string      // what it is, for help and for asking: a key
	Example   string      // a value, as typed
	Words     []string    // phrases that name it; … marks where the number stands, either side without
	Size      Size        // a size of a door
	ByName    bool        // no number is taken for it that does not stand beside its name
	Zero      bool        // it may be 0
	None      bool        // "no" before its name means 0, as in no template
	Signed    bool        // it may have a sign: no other length may, of a question that takes it
	Sided     bool        // it goes one way, though it has no sign
	Unsaid    []string    // phrases that say it is not known: it is reckoned, assumed or asked for then
	InDegrees string      // why a number in degrees is none of it: a key; "" for a plain word
	Beside    bool        // it is said beside another, and help lists it there
	Group     []*Input    // the inputs that numbers joined by x behind its own are for
	Spread    []*Input    // of a list: the inputs that its numbers are for, in order
	All       []*Input    // it is each of these
	Parts     []*Input    // what it says of all of them at once
	Shifts    bool        // it is another thing to another question, as the height of a leaf or an opening
	Counted   bool        // of a list: 4x900 are four of 900
	Rough     bool        // a hedge before it changes nothing that is acted on: about 60 a day
	Many      bool        // it goes into thousands: 200,000 of it are no 200 and no thousandths
	Whole     *Choice     // of a list: what its name alone says, where no other such list has a number: an oak door
	Each      bool        // of a list: its name stands at each of its numbers
	Grave     bool        // its choices change what is safe: what may be a slip of one is asked about
	Few       string      // how people on site say a value of it, as in %s thick: a key; "" for its name and the value
	Seen      bool        // what was assumed for it is seen in the result, as the step
	Nought    string      // the same of 0: a key
	Choices   []Choice    // phrases that choose a value by themselves
	Loose     []string    // words of it that may also stand without a number, and never before one: how deep do I drill
	Warmest   float64     // a temperature without a unit that is more is asked about: no site has it in °C; 0 for none
	Usual     calc.Length // more is asked about where the text can be read otherwise; 0 if nothing is unusual
	OfDoor    calc.Length // a number before "door" up to this, from a fifth of it on, is for it wherever it stands
	Inward    []string    // words of it behind which "60 in" may be 60 mm in from the edge
	OfSite    bool        // it is given where the doors of a site are known
	Turned    *Input      // the input that its number is for where a side of that one stands behind: head 3 to the opening side
	Tally     *Input      // of a list: how many there are, where a number alone stands before its name: 4 pins
	Since     *Input      // the input of a number without a name that stands before its name: 8 % to 12 %
	Along     []string    // words that only tell which way it goes where it has a name: a frame 120 wide

	said say.Text // its name
}

// Size tells whether a number beside "door" or "leaf" may be for an input: the
// 44 of a 44 door is no gap of 44.
type Size uint8

// The sizes.
const (
	NoSize Size = iota
	LeafSize
	OpeningSize // a 900 door is a leaf of 900 to one and an opening of 900 to another, so it is asked about
)

// Choice is a phrase that chooses a value of an input.
type Choice struct {
	Words   []string
	Value   string
	Counts  *Input // the input that a number beside the phrase is for; nil for none
	Itself  bool   // that number is for the chosen input itself
	Named   bool   // only beside what has the name of the input it counts: offset 5 to opening side, not 5 to opening side
	Before  *Input // only before a number with the unit of this: about 90 kg
	Refused string // why the choice is none that can be worked with: a key

	of *Input
}

// counts returns the input that a number beside the phrase is for.
func (c *Choice) counts() *Input {
	if c.Itself {
		return c.of
	}
	return c.Counts
}

// said returns the words for the chosen value.
func (c *Choice) said() say.Text {
	for i := range c.of.Choices {
		if c.of.Choices[i].Value == c.Value {
			c = &c.of.Choices[i]
			break
		}
	}
	return say.F(c.key())
}

// key returns the first phrase for the value, which is the key of its words.
func (c *Choice) key() string {
	return strings.TrimPrefix(strings.TrimSuffix(c.Words[0], " …"), "… ")
}

// Said returns the name as people read it.
func (in *Input) Said() say.Text { return in.said }

// fillers are the words that may stand anywhere and say nothing. The list is
// fixed; everything else that is not known is asked about or shown.
var fillers = append(strings.Fields(`also am any asap at be bot calculate can cheers client could do does door doors edge edges find for front get give gives go goes going got has have
	having heelpost hello here hey hi how i i've if in into it it's i'd job just know large like made make mate me much now ok okay on order please really
	pls plz position put right same shop show site so ta take takes tell thank thanks that then there today use used using wall we we've what when where
	with you big size measured measures distance exactly required drilled hung hang um uh er men man us bloke blokes lads guys mates night nights tonight
	says where's there's swing swings leaves adhesive up again would still advise confirm boss gaffer reckons drilling boring possible drawing
	alright morning tomorrow panel shell joiner hanging bore leave thats thx ty tx xx yet them those these leaving they he she they've we'd you're
	we're they're i'm his her their because arrived arrives asked asks wondering gets gave told kid kids child children dry u ur yo gotta gonna wanna teh
	regards kind kindly dear sir madam team's bother architect architects engineer engineers carpenter carpenters chippy electrician sparky glazier
	builder builders manager supplier suppliers fabricator customer owner guy chap fella dude inspector surveyor installer installers designer tiler
	contractor subcontractor somebody's colleague colleagues crew only actually currently already simply basically fixed stated specified given stays
	remains resin wait waiting rush mistake it'll they'll we'll you'll i'll that'll it'd they'd that's what'll there're fitted installed sitting hangs
	collar myself yourself ourselves himself needed hours mins hold holds look looks looking check checking gotten calculating working maximal hands suit suits suiting brickie brickies blockie blockies groundworker groundworkers chippies sparks plasterers bricklayer bricklayers`),
	"what if", "what about", "get away with", "what with", "to go on", "still to go on", "to come", "all in", "everything in", "dimensions in", "all dimensions in", "from jamb", "from heel jamb", "head pivot", "floor pivot", "at jamb", "at heel edge", "at heel", "between jamb and leaf", "between leaf and jamb", "between jambs", "good morning", "good day", "not on yet", "not in yet", "not fitted yet", "at heel jamb", "sheet says", "resin sheet says", "drawing shows", "drawings show", "plan shows", "through it", "stay on", "stays on", "work out for me", "for me", "all way through", "right way through", "through and through", "pivot door", "pivot doors", "pivoted door", "bonded with", "glued with", "we glued plate", "glued plate in", "we glued it", "we bonded it", "we bonded plate", "i glued it", "i bonded it", "parked upright", "stood upright", "upright on floor", "upright in hall", "according to tin", "in kg", "in kilos",
	"in here", "in there", "down here", "down there", "up here", "up there", "out here", "in hall", "in shop", "leaf turns in", "door turns in", "it turns in", "two scales", "on two scales", "in place", "left in place", "drill through it", "we drill through it", "on bit", "on drill", "on sheet", "on tin", "on tube", "in place and", "by mistake", "by myself", "by hand", "if not", "and if not", "sorry to bother", "sorry to bother you", "sorry to ask", "sorry mate", "sorry but",
	"work it out", "work that out", "on next one", "on next door", "unheated", "or not", "on top pivot", "on bottom pivot", "open square", "opened square", "square open", "wide open", "so it doesn't bind", "so it doesnt bind", "so it won't bind", "so it does not bind", "without binding", "without catching", "without rubbing", "do you think", "d'you think", "would you say", "do you reckon", "without touching", "without scraping", "without hitting it", "without fouling", "yes or no", "on drill bit", "round drill bit", "on masonry bit", "open at right angles", "opened at right angles", "we moved pivot back", "we moved pivot", "they moved pivot", "they moved pivot back", "into opening", "core floor", "core floor for", "core out floor", "down heel side", "down heel", "down hinge side", "at heel side", "mark out for me", "set out for me", "to get round in", "to get round", "to turn in", "to swing in", "to go round in", "round bit", "around bit", "round drill", "which stay", "that stay", "to stay", "which stay down", "that stay down", "which stays", "that stays", "which remain", "that remain", "which remains", "that remains", "call for", "calls for", "calling for", "in room with", "room with", "for arguments sake", "for sake of argument", "measured finished", "finished at", "between finished jambs", "finished dimensions", "finished sizes", "dont bind", "don't bind", "doesn't bind", "doesnt bind", "won't bind", "wont bind", "don't rub", "doesn't rub", "won't rub", "don't catch", "doesn't catch", "won't catch", "no power", "no signal", "no rush", "no hurry", "no worries", "no problem", "no panic", "no idea", "no clue",
	"data sheet says", "datasheet says", "tin says", "tube says", "cartridge says", "label says", "maker says", "it says", "staying down", "stays down", "that stays down", "left down", "went down", "went in", "hangs off end", "hanging off end",
	"on ground floor", "on first floor", "on second floor", "on third floor", "on fourth floor", "on fifth floor", "on top floor")

// careful are words that say nothing where no number stands beside them, and
// change what one means where it does: 44 to 50, about 70, 5 by 3,
// leans 3 out.
var careful = append(strings.Fields("about above around between both each enough exact fits floor from head least most nearly one out over per screw screws shift shifts shifted than thread threads through to under limited restricted permitted"), "to turn", "to go round", "to swing", "to turn freely", "to clear", "to swing freely", "so it turns", "so it clears", "so that it turns", "so that it clears", "on heel", "on lead", "heel side", "heel jamb", "heel end", "pivot side", "pivot jamb", "on heel side", "on pivot side")

// values are the words behind which a value stands: the gap is 8.
var values = append(strings.Fields("is are came comes sits were"), "turned out", "came out", "come to", "comes to", "came to", "limited to", "restricted to", "down as", "given as", "come out at", "working out at", "set to be", "works out as", "ends up at", "measures up at")

// wishes are the words of somebody who tells what is wanted, not what is given.
var wishes = []string{"need", "needs", "needed", "want", "wants", "wanted", "require", "requires", "required", "wish", "insists", "insist", "insisted", "insists on", "insisted on", "prefers", "prefer", "preferred", "would prefer", "hope for", "hoping for", "fancies", "fancy"}

// oughts are wishes behind which the value stands: the clear width should be 900.
var oughts = []string{"can't be more than", "cannot be more than", "must not exceed", "can't exceed", "should", "must", "has to", "have to", "ought to"}

// counters are the words between a number and the length of which there are so
// many, to a question that counts.
var counters = []string{"at", "pieces at", "@", "off", "pcs", "pcs of", "pieces of", "piece of", "bars of", "bar of", "tubes of", "tube of", "lengths of", "length of", "sticks of", "rods of", "rails of"}

// denials are the words, beside those of plain English, by which something is
// taken back.
var denials = []string{"forget", "ignore", "disregard", "skip", "drop", "scrap", "cancel", "leave out", "never mind", "sorry", "used to be", "was", "instead", "rather", "gone", "it's gone", "removed", "taken away", "swapped", "swapped round", "reversed", "the other way round", "previously", "formerly", "no longer", "don't count", "leaving it off", "leave it off", "left off", "leaving it out", "take it off", "taking it off", "took it off", "comes off", "not using it", "without it", "won't use it"}

// askingWhat are the words by which a question begins that is no yes or no: how
// thick, where does the tape go.
var askingWhat = []string{"how", "where", "what", "which", "when", "why", "who"}

// askingFirst are those and the words that ask for yes or no, by which a phrase
// begins that asks by itself.
var askingFirst = append(slices.Clone(askingWhat), "will", "can", "does", "is")

// millimetres are the words for the unit that a length has which is typed
// without one.
var millimetres = map[string]bool{"mm": true, "millimetres": true, "millimeters": true}

// whether are the words by which a question for yes or no begins.
var whether = strings.Fields("does do will would is can could")

// breaks are words that part what stands on either side, as a comma does.
var breaks = []string{"and", "and another", "then another", "adn", "but", "then", "plus", "by"}
