package lex

import (
	"regexp"
	"slices"
	"strings"
)

// Tested are words for a door that is tested against fire or smoke, or has a
// rating, in whatever country its label was written: the one place for them. A
// word that is missing here lets a gap be told that is the test evidence's to
// say, so rather one too many. Common practice, no published source, but for the
// classes of EN 13501-2 and the words of EN 16034 and EN 1634-1.
var Tested = []string{
	"fire", "fire door", "fire doors", "firedoor", "firedoors", "fire leaf", "smoke", "smoke door", "smoke seal", "smoke seals", "smoke doors", "smokedoor", "smoke tight", "smokeproof", "smoke proof", "smoke control", "cold smoke", "hot smoke",
	"rated", "fire rated", "rating", "tested", "tested door", "half hour door", "one hour door", "fire rating", "ei", "fd", "ew", "rei", "frl", "ul", "ul listed", "listed", "listed door", "sa door", "sm door",
	"fireproof", "fire proof", "firerated", "fire resisting", "fire resistant", "fire resistance", "fire retardant", "fire stop", "fire stopping", "fire protection", "fire safety", "fire check", "firecheck",
	"flame", "flames", "flame proof", "flameproof", "flame retardant", "burn", "burns", "burning", "intumescent", "intumescents", "intumescent strip", "intumescent strips", "compartment", "compartment door", "compartment wall", "compartmentation",
	"certified", "certified door", "certificate", "certification", "certifire", "label", "labels", "labelled", "labeled", "label door", "minute door", "minutes door", "minute doors", "hour door", "hour rated", "minute rated",
	"class a label", "class b label", "class c label", "b label", "c label",
	"brandschutz", "brandschutztür", "brandschutztuer", "brandschutztuere", "brandtür", "brandtuer", "brandabschnitt", "feuerschutz", "feuerschutztür", "feuerschutztuer", "feuerhemmend", "feuerbeständig", "rauchschutz", "rauchschutztür", "rauchschutztuer", "rauchdicht", "rauch",
	"coupe feu", "coupefeu", "coupe fumée", "pare flamme", "pare flammes", "pareflamme", "pare fumée", "feu", "incendie",
	"cortafuego", "cortafuegos", "corta fuego", "corta fuegos", "parallamas", "incendio", "incendios", "fuego", "humo", "corta fogo", "cortafogo", "fogo",
	"tagliafuoco", "taglia fuoco", "antincendio", "fuoco", "fumo", "brandwerend", "brandwerende", "brandvertragend", "branddeur", "rookwerend", "brandklasse", "brandklassad", "branddörr", "branddør", "branddor", "palo ovi", "palo",
	"ppoz", "ppoż", "przeciwpożarowe", "protipožární", "drzwi ppoż",
}

// classes matches the class of a tested door where a number stands in it, apart
// from its letters: EI 30, FD 30 S, T-30 and 60/60/60, a 20-minute label, one hour
// rated.
var classes = regexp.MustCompile(`(?i)\b(?:(?:ei[12]?|ew|rei|fd|fr|frl|frr)[ :-]?(?:-/)?(?:15|20|30|45|60|90|120|180|240)(?:/\d{2,3}|/-)*(?:[ -]?(?:sa|s|c|s200|sm)\b)?` +
	`|(?:15|20|30|45|60|90|120|180|twenty|thirty|forty five|sixty|ninety)[ -]?(?:min|mins|minute|minutes)\.?[ -]?(?:fire|smoke|door|leaf|rated|rating|label|doorset|resist\w*|protection)` +
	`|(?:[1-4]|1/2|½|3/4|1 ?1/2|half|half an?|one|one and a half|two|three) ?-?(?:h|hr|hrs|hour|hours)[ -](?:fire|smoke|door|leaf|rated|rating|label|doorset|resist\w*|protection))\b`)

// tNumber matches a class that may be a thickness too: T30 beside another.
var tNumbers = []string{"t30", "t60", "t90", "t120", "t 30", "t 60", "t 90", "t 120", "t-30", "t-60", "t-90", "t-120"}
var tNumber, thickSaid = regexp.MustCompile(`(?i)\bt[ -]?(?:30|60|90|120)(?:[ -]?rs)?\b`), regexp.MustCompile(`(?i)\bthick|\bthk`)

// Every class has one of these letters, and every time one of the words behind it:
// looked for first, since few questions have them and the patterns are slow.
var (
	classLetters = []string{"ei", "ew", "fd", "fr"}
	classTimes   = []string{"min", "hour", "hr", "h ", "h-"}
	classNouns   = []string{"door", "leaf", "fire", "smoke", "rat", "label", "resist", "protect"}
)

func hasAny(text string, parts []string) bool {
	return slices.ContainsFunc(parts, func(part string) bool { return strings.Contains(text, part) })
}

// rated returns a text in which a class of a tested door stands as a word for
// that alone, at the same length: nothing in it is a number to be asked about.
func rated(text string) string {
	blank := func(class string) string { return "ei" + strings.Repeat(" ", len(class)-2) }
	lower := strings.ToLower(text)
	if hasAny(lower, classLetters) || hasAny(lower, classTimes) && hasAny(lower, classNouns) {
		text = classes.ReplaceAllStringFunc(text, blank)
	}
	if hasAny(lower, tNumbers) && thickSaid.MatchString(text) {
		text = tNumber.ReplaceAllStringFunc(text, blank)
	}
	return text
}
