package ask

import (
	"slices"
	"strings"
	"unicode"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// A word that nobody knows is an adjective of what it stands beside: of a
// number, or of a noun of the trade. A total gap is not the gap at each side, a
// fyre door is no door, and a PT slab is not drilled. So it is asked about there,
// and left out with a note elsewhere.

// nouns are what an adjective changes, beside the names and the verbs. Most say
// nothing where they stand alone.
var nouns = lex.WordSet(`door doors leaf leaves edge edges slab slabs floor floors ground jamb jambs screed wall walls head lintel frame frames face faces size sizes
	seal seals strip strips label labels hole holes pivot pivots concrete planks screw screws`)

// harmless are words that change nothing beside a noun: where a door is, how it
// looks, how it came, and how sentences go on.
var harmless = lex.WordSet(`hospital clinic restaurant wheelchair wheelchairs pram prams buggy apartment building school's kitchen old heavy light huge tall massive entrance house home hotel office shopfront church
	school museum villa garden hall hallway lobby lounge bedroom bathroom bath living dining room rooms corridor balcony terrace patio courtyard reception
	meeting conference main rear side west east north south left first second third last next other another ordinary special custom bespoke
	van truck all beautiful fancy simple plain painted lacquered stained oiled waxed polished white black grey gray green blue red brown bronze dark
	bright client's customer's owner's architect's drawings plan plans specification spec sheet schedule team friends people boys girls week after before
	as such which wich whose why until till once should was gone stands standing turns turning opens opening weighs lies lying rests wants work unpacked
	wrapped ready finished wonderful short long figures bit little closed shut dose far carry carries erm many minimum maximum wheres wet let bring placed
	mounted install installing mounting fitting set setting within inside outside behind beside against along across onto off near towards during via
	creche nursery neighbour landlord tenant caretaker janitor surgery dentist doctor pub cafe canteen gym pool spa bank library theatre cinema studio gallery showroom factory warehouse workshop
	store stores apartments penthouse bungalow cottage farmhouse barn cabin mansion block tower estate campus college university classroom lab laboratory
	ward surface surfaces vestibule porch atrium landing stairwell passageway entry gate boardroom cloakroom toilet toilets loo shower ensuite pantry larder closet
	wardrobe bedrooms den study playroom loft attic roof town city village street road lane project projects scheme development refurb refurbishment
	renovation extension conversion newbuild build buildings facing sunny shady dusty dirty muddy rainy windy raining rain statement regulations regs
	compliance audit approval safely risk risks danger dangerous hazard elegant
	modern contemporary traditional period listed historic budget price prices start continue allen hex lorry
	real true dims dimension measurements yard depot hq page pages line lines row rows list lists copy copies screen app photo photos picture pictures
	laptop tablet notebook note notes paperwork papers documents document doc pdf request requests creches kitchens offices corridors bearing power
	`)

// noun returns the noun of the trade right beside the word at a place of the
// text, "" if there is none. A mark or a number between them parts them.
func (p *parser) noun(at int) string {
	i := p.tokenBehind(at)
	for _, j := range [...]int{i + 1, i - 1} {
		if j < 0 || j >= len(p.tokens) || p.tokens[j].Kind != lex.WordToken {
			continue
		}
		if w := p.tokens[j].Word; p.of.names[w] || nouns[w] || j < i && w == "plus" {
			return w
		}
	}
	return ""
}

// dashes reports whether the mark at token i is a dash between words: walk through -
// 1100 between jambs. Behind what takes a sign it may be one.
func (p *parser) dashes(i int) bool {
	t, last := p.tokens[i], len(p.items)-1
	if t.Start == 0 || !strings.HasPrefix(p.text[t.Start-1:], " - ") && !strings.HasPrefix(p.text[t.Start-1:], " – ") {
		return false
	}
	return last < 0 || p.items[last].kind == phraseItem && !slices.ContainsFunc(p.items[last].phrase.inputs, func(n named) bool { return n.input.Signed })
}

// hedges reports whether all that the phrase does is to choose before a number.
func (p *phrase) hedges() bool {
	return len(p.choices) > 0 && len(p.inputs) == 0 && !slices.ContainsFunc(p.choices, func(c *Choice) bool { return c.Before == nil })
}

// hedged reports whether token i is a number that the phrase chooses before.
func (p *parser) hedged(ph *phrase, i int) bool {
	return i < len(p.tokens) && p.tokens[i].Kind == lex.NumberToken &&
		slices.ContainsFunc(ph.choices, func(c *Choice) bool { return p.tokens[i].Num.Unit == measures[c.Before.Kind].unit })
}

// ends returns what a phrase of size tokens at token i asks where it is a name, has no
// number, and ends a text that asks nothing else with a mark: 860 clear, opening?
func (p *parser) ends(ph *phrase, i, size int) *phrase {
	end := i + size
	for end < len(p.tokens) && (p.tokens[end].Word == "size" || p.tokens[end].Word == "width") {
		end++ // opening size please
	}
	if ph.verb != nil || len(ph.inputs) == 0 || end != len(p.tokens)-1 || !p.endsAsking(i, end-i) || p.besideNumber(i, size) {
		return nil
	}
	var asks *phrase
	for _, n := range ph.inputs {
		if e := p.of.ends[n.input]; e != nil && n.verb == nil {
			asks = e
		}
	}
	if asks == nil || slices.ContainsFunc(p.verbs, func(v int) bool {
		return !p.items[v].phrase.thing && !(p.items[v].phrase.names() && p.hasNumber(v)) && p.items[v].phrase.verb != asks.verb
	}) {
		return nil
	}
	return asks
}

// contracted returns the phrase that the word at token i begins without the is at its
// end: when's a 45 mm screed dry.
func (p *parser) contracted(i int) (*phrase, int) {
	w, is := strings.CutSuffix(p.tokens[i].Word, "'s")
	if !is {
		return nil, 1
	}
	p.tokens[i].Word = w
	ph, size := p.of.match(p.tokens[i:])
	if ph == nil {
		p.tokens[i].Word = w + "'s"
	}
	return ph, size
}

// stranger asks about the word at item i, which nobody knows, if it may change
// what is asked; nil if it is left out.
func (p *parser) stranger(i int) *doubtful {
	it := &p.items[i]
	danger := p.of.danger(it.unknown)
	switch {
	case p.rough(i):
		return nil
	case strings.ContainsAny(it.unknown, "0123456789"):
		return doubt("I don't know %q; is it a number?", it.unknown)
	case danger != "":
		return doubt("I don't know %q: is it %q? say it again, or leave it out", it.unknown, danger)
	case p.reader.beside(i), lex.ChangesValue(it.unknown):
		return doubt("I don't know %q beside %s; say it in another word, or leave it out", it.unknown, p.near(i))
	case harmless[it.unknown], nouns[it.unknown], strings.IndexFunc(it.unknown, unicode.IsLetter) < 0:
		return nil
	}
	if n := p.noun(it.from); n != "" && p.numbers > 0 { // stop the leaf moving
		return doubt("I don't know %q beside %s; say it in another word", it.unknown, say.Plain(n))
	}
	return nil
}

// rough reports whether the word at item i hedges a number of which a rough one does:
// about 150 openings a day.
func (p *parser) rough(i int) bool {
	return i+2 < len(p.items) && hedges[p.items[i].unknown] && p.items[i+1].kind == numberItem && p.items[i+2].kind == phraseItem &&
		slices.ContainsFunc(p.items[i+2].phrase.inputs, func(n named) bool { return n.input.Rough })
}

// hedges are words by which a number is said to be a rough one.
var hedges = lex.WordSet("about around roughly approximately approx some say maybe perhaps circa nearly almost")

// unlessDrilled are harmless words, but where a depth is told: they may tell what
// is under the floor, or that the template is not used.
var unlessDrilled = lex.WordSet("cellar basement garage below beneath underneath downstairs shop office off")

// onEdge are nouns that are no door's place but a part that goes into its gap.
var onEdge = lex.WordSet("seal seals strip strips")

// wary asks about the first word left out of a question that is answered: "once
// it's clad", unlined, seized and swapped change it, though they stand at no number.
func (p *parser) wary(q *question) *doubtful {
	at := slices.IndexFunc(p.items, func(it item) bool {
		return it.kind == phraseItem && it.phrase.choosesOnly() && it.phrase.choiceFor(q.Verb) == nil
	})
	if at < 0 && q.Verb.Wary {
		at = p.unheard(q)
	}
	for _, i := range p.dropped {
		if q.Verb.Wary || !unlessDrilled[p.items[i].unknown] {
			at = i
			break
		}
	}
	if at < 0 && q.Verb.Wary && len(p.swallowed) > 0 { // nearly through
		t := p.tokens[p.swallowed[0]]
		d := doubt("I don't know %q, and tell no depth over what I don't know; say it in another word", t.Word)
		d.verb, d.from, d.to = q.Verb, t.Start, t.End
		return d
	}
	if at < 0 {
		return nil
	}
	it := &p.items[at]
	d := doubt("I don't know %q here; say it in another word, or leave it out", p.text[it.from:it.to])
	if q.Verb.Wary {
		d = doubt("I don't know %q, and tell no depth over what I don't know; say it in another word", p.text[it.from:it.to])
	}
	d.verb, d.from, d.to = q.Verb, it.from, it.to
	return d
}

// unheard returns the first item whose phrase a question that tells a depth has no
// use for, as of insulation, or has a number of its own for, as through; -1 for none.
func (p *parser) unheard(q *question) int {
	for i, it := range p.items {
		spare := slices.Contains(q.ignored, i) && it.phrase.verb == nil && !it.phrase.loose && !nouns[it.phrase.text]
		if spare || it.kind == phraseItem && it.phrase.careful && !p.hasNumber(i) {
			return i
		}
	}
	return -1
}

// misspelt returns the one name that a word beside a number is nearest to, also
// where it is short or has two slips, if they are one letter too many or letters
// missing: gapp, thik, thiknes; "" if there is none.
func (v *vocabulary) misspelt(word string) string {
	if len(word) < 4 || lex.PlainWords[word] || lex.ChangesValue(word) {
		return ""
	}
	for _, missing := range []bool{true, false} { // thick before thk
		slips := 1
		if missing {
			slips += len(word) / 7
		}
		w := lex.NearestOf(word, v.names, slips, func(w string) bool { return w[0] == word[0] && len(w) != len(word) && len(w) > len(word) == missing })
		if w != "" && lex.Distance(word, w) == max(len(w)-len(word), len(word)-len(w)) {
			return w
		}
	}
	return ""
}
