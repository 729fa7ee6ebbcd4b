package order

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// belies matches a remark by which no item is as it should be.
var belies = regexp.MustCompile(`(?i)\b(?:fail\w*|wet|damp|loose|cracked|broken|wrong|missing|bad|skipped|forgot\w*|in the way|blocked|too (?:short|long|deep|shallow|small|narrow|wide|near|close)|(?:was|were|is|are|did|does|do|could|can|has|have|had|would|wo)(?:n['’]?t| not))\b`)

// beliesItem matches what else a remark to an item may say against it, by the end
// of the item's name.
var beliesItem = map[string]*regexp.Regexp{
	"carrier":  regexp.MustCompile(`(?i)\b(?:boards?|plaster\w*|drywall|gypsum|ceiling|hollow|suspended|soft)\b`),
	"joint":    regexp.MustCompile(`(?i)\b(?:there is (?:a|one)|found (?:a|one)|(?:joint|runs|goes) (?:is )?(?:under|across|through|in|below)|between the (?:pins|screws|holes))\b`),
	"room":     regexp.MustCompile(`(?i)\b(?:radiator|wardrobe|hits|touches|strikes|tight)\b`),
	"clean":    regexp.MustCompile(`(?i)\b(?:moist|dust\w*|dirt\w*|water|oily?|greasy)\b`),
	"sample":   regexp.MustCompile(`(?i)\b(?:soft|tacky|sticky|lost|crumbl\w*)\b`),
	"shown":    regexp.MustCompile(`(?i)\b(?:absent|away|by (?:mail|phone)|not there|no ?body|no one)\b`),
	"company":  regexp.MustCompile(`(?i)\b(?:alone|on my own|by myself|single[- ]handed)\b`),
	"zone":     regexp.MustCompile(`(?i)\b(?:people|some(?:body|one)|children|kids|public|painters?|workers?) (?:is|are|stands?|walks?|in|there)\b`),
	"heating":  regexp.MustCompile(`(?i)\b(?:still|is|heating) (?:on|running|warm|hot)\b`),
	"dry-fit":  regexp.MustCompile(`(?i)\b(?:rocks|wobbles|proud|jams)\b`),
	"sound":    regexp.MustCompile(`(?i)\b(?:crumbl\w*|soft|hollow|drummy|powder\w*|void|sand\w*)\b`),
	"lift":     regexp.MustCompile(`(?i)\b(?:(?:no|without(?: the| any)?) (?:gear|hoist|lifter|pads?|crane|trolley|help|plan)|by hand)\b`),
	"parked":   regexp.MustCompile(`(?i)\b(?:swings?|moves?|used|in use|unlocked|unwedged)\b`),
	"services": regexp.MustCompile(`(?i)\b(?:live|energi[sz]ed|not (?:isolated|off|switched off)|(?:still|power|circuit(?: is)?) on|under (?:voltage|power|tension))\b`),
}

// against returns what a remark says against the item it stands behind, "" for
// nothing.
func against(it *jobs.Item, note string) string {
	found := asserted(belies, note)
	for end, words := range beliesItem {
		if it.ID == end || strings.HasSuffix(it.ID, "-"+end) {
			found = cmp.Or(found, asserted(words, note))
		}
	}
	return found
}

// asserted returns what a pattern finds in a text that is not said not to be, as
// in "nothing is loose".
func asserted(words *regexp.Regexp, text string) string {
	for _, at := range words.FindAllStringIndex(text, -1) {
		before := strings.Fields(strings.ToLower(text[:at[0]]))
		if !slices.ContainsFunc(before[max(0, len(before)-2):], func(w string) bool { return noneOf[w] }) {
			return text[at[0]:at[1]]
		}
	}
	return ""
}

var noneOf = lex.WordSet("no nothing none without never nowhere not")

// otherFigure returns the first number in a remark to a tick that is of what a
// figure of the item is of, and is another, as 6 of "6 turns" where the item
// wants 6.5; "" if there is none. Of what is wanted at least, more will do.
func otherFigure(it *jobs.Item, note string) string {
	own := figuresOf(it.Text.String())
	most := strings.Contains(it.Text.String(), "at least")
	for _, n := range figuresOf(note) {
		alike := slices.DeleteFunc(slices.Clone(own), func(o figure) bool { return !n.alike(&o) })
		same := func(o figure) bool { return n.value == o.value || most && n.value > o.value }
		if len(alike) > 0 && !slices.ContainsFunc(alike, same) {
			return n.raw
		}
	}
	return ""
}

// figure is a number in a text and what it is of: the unit or the words behind
// it, none for a bare one. Lengths are in nanometres.
type figure struct {
	raw    string
	value  float64
	length bool
	of     []string
}

// alike reports whether two figures may be of the same.
func (f *figure) alike(o *figure) bool {
	if f.length || o.length {
		return f.length && o.length
	}
	return len(f.of) == 0 || slices.ContainsFunc(f.of, func(w string) bool { return slices.Contains(o.of, w) })
}

// ofLength are words behind a bare number that is a length.
var ofLength = lex.WordSet("deep wide high long thick off down in over free bit")

// figuresOf returns the numbers in a text, typed or spoken.
func figuresOf(text string) (all []figure) {
	isWord := func(w string) bool { return !strings.ContainsAny(w, "0123456789") }
	tokens := lex.Join(text, lex.Lex(text, nil), isWord, func([]lex.Token) bool { return false })
	for i, t := range tokens {
		if t.Kind != lex.NumberToken {
			continue
		}
		f := figure{raw: t.Num.Raw, value: t.Num.Plain, length: t.Num.Unit != lex.Bare && lex.LengthUnit(t.Num.Unit)}
		for _, next := range tokens[i+1 : min(i+3, len(tokens))] {
			if next.Kind != lex.WordToken {
				break
			}
			f.length = f.length || t.Num.Unit == lex.Bare && ofLength[next.Word]
			f.of = append(f.of, strings.TrimSuffix(next.Word, "s"))
		}
		if f.length {
			f.value = float64(t.Num.Length)
			if t.Num.Unit == lex.Bare {
				f.value = t.Num.Plain * float64(calc.Millimetre)
			}
		}
		all = append(all, f)
	}
	return all
}

// namesOther returns the item of a door's list that a remark to another one
// names, "" if it names none.
func namesOther(it *jobs.Item, note string, items []jobs.Item) string {
	for _, w := range strings.FieldsFunc(strings.ToLower(note), func(r rune) bool { return strings.ContainsRune(" ,.;:!?", r) }) {
		if i := slices.IndexFunc(items, func(o jobs.Item) bool { return o.ID == w && o.ID != it.ID }); i >= 0 {
			return w
		}
	}
	return ""
}

// refused says why a remark to a tick can't stand: it says that the item is not
// so, or holds another figure than the item's. Behind note it is asked about,
// but not where nobody may override the item.
func refused(it *jobs.Item, note string) say.Text {
	if raw := otherFigure(it, note); raw != "" {
		return say.F("%s is %s, and %s is another figure: tick it when it is as it says there", it.ID, it.Text, raw)
	}
	if words := against(it, note); words != "" {
		return say.F("tick %s says that it is so, and %q says something else: say it when it is, with what was done as the remark", it.ID, words)
	}
	return say.Text{}
}
