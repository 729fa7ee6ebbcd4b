package verb_test

import (
	"slices"
	"strconv"
	"strings"
)

// politely says hello and thanks around a text.
func politely(p *pen, parts []part) string {
	text := pick(p.Rand, bareRun, before, behind, equals, sentence, factsFirst)(p, parts)
	if text == "" {
		return ""
	}
	if p.IntN(2) == 0 {
		text = pick(p.Rand, greetings...) + text
	}
	return text + pick(p.Rand, thanks...)
}

// spare puts a number too many behind a text in which every number has its name.
func spare(p *pen, parts []part) string {
	if slices.ContainsFunc(parts, part.listed) {
		return "" // it may be one more of them
	}
	text := pick(p.Rand, before, behind, equals)(p, parts)
	if text == "" {
		return ""
	}
	n := strconv.Itoa(2 + p.IntN(30))
	return text + pick(p.Rand, " ", ", ", "\n", " and ", " by ", ", door ", " at ", ", level ", " in room ", ", need it by ") + n
}

// listed reports whether there may be several of a number.
func (f part) listed() bool {
	return f.most > 0 || f.rest || slices.Contains([]string{"stocks", "glass", "oak", "beech", "frame"}, f.name)
}

// stranger puts a word that nobody knows beside a number.
func stranger(p *pen, parts []part) string {
	at, word := p.IntN(len(parts)), pick(p.Rand, strangers...)
	i := 0
	rest := each(parts, func(f part) string {
		text := p.named(f)
		if i++; i-1 != at || text == "" {
			return text
		}
		if p.IntN(2) == 0 {
			return text + " " + word
		}
		return strings.TrimSuffix(text, f.text) + word + " " + f.text
	})
	if rest == nil {
		return ""
	}
	return p.word() + " " + strings.Join(rest, ", ")
}

// single names all but the first number of the order, in front of them.
func single(p *pen, parts []part) string {
	if p.q.order < 2 || p.manner == spoken {
		return ""
	}
	rest := each(parts[1:], func(f part) string {
		if f.before == nil {
			return ""
		}
		return pick(p.Rand, f.before...) + " " + f.text
	})
	if rest == nil {
		return ""
	}
	return p.word() + " " + parts[0].text + " " + strings.Join(rest, " ")
}

// bareBehind leaves the first number of the order bare, behind a named one.
func bareBehind(p *pen, parts []part) string {
	if p.q.order < 2 || p.manner == spoken {
		return ""
	}
	rest := each(parts[1:], pick(p.Rand, p.named, p.exact))
	if rest == nil {
		return ""
	}
	return p.word() + " " + rest[0] + pick(p.Rand, " ", ", ", " and ") + parts[0].text + strings.Join(append([]string{""}, rest[1:]...), ", ")
}

// factsAlone asks nothing.
func factsAlone(p *pen, parts []part) string {
	parts = p.shuffled(parts)
	rest := each(parts, pick(p.Rand, p.told, p.named, p.behind, p.exact))
	if rest == nil {
		return ""
	}
	text := strings.Join(rest, pick(p.Rand, ", ", " and ", ". ", "\n"))
	if p.q.verb == "mark" && strings.HasPrefix(text, "mark ") {
		return "" // what it is called too
	}
	return text
}

// unitMissing leaves one number beside inches without its unit.
func unitMissing(p *pen, parts []part) string {
	if !p.inch() {
		return ""
	}
	at := p.IntN(len(parts))
	if parts[at].kind != length || parts[at].most > 0 || len(parts) < 2 {
		return ""
	}
	parts[at].figure = figureOf(p.Rand, parts[at].fact, bare)
	others := 0
	for i, f := range parts {
		if i != at && f.kind == length {
			others++
		}
	}
	if others == 0 {
		return ""
	}
	return pick(p.Rand, before, behind, equals)(p, parts)
}

// another gives a choice for one number.
func another(p *pen, parts []part) string {
	at := p.IntN(len(parts))
	parts[at].text += pick(p.Rand, " or ", " to ", " until ", "–") + figureOf(p.Rand, parts[at].fact, p.manner).text
	return pick(p.Rand, before, behind)(p, parts)
}

// twice gives one name two numbers.
func twice(p *pen, parts []part) string {
	f := parts[p.IntN(len(parts))]
	again := p.part(f.fact)
	if again.value == f.value || f.listed() {
		return ""
	}
	return pick(p.Rand, before, behind, equals)(p, append(parts, again))
}

// fireDoor says that the door takes its gaps from its test evidence.
func fireDoor(p *pen, parts []part) string {
	text := pick(p.Rand, bareRun, before, behind, equals, factsFirst)(p, parts)
	if text == "" || !p.q.tested {
		return ""
	}
	word := pick(p.Rand, "fire door", "FD30", "EI30", "smoke door", "FD60")
	return pick(p.Rand, word+", "+text, text+", "+word, text+" "+word)
}

// signed puts a sign that means nothing at a length behind a number.
func signed(p *pen, parts []part) string {
	at := p.IntN(len(parts))
	if parts[at].kind != length || p.manner != bare {
		return ""
	}
	parts[at].text += pick(p.Rand, "%", "#", "*", " %", "²", "$")
	return pick(p.Rand, before, behind, equals)(p, parts)
}

// denied says that one number is not so.
func denied(p *pen, parts []part) string {
	at := p.IntN(len(parts))
	parts[at].text = pick(p.Rand, "not ", "no longer ", "never ") + parts[at].text
	return before(p, parts)
}

// spokenRun speaks numbers without their names, which may be one number.
func spokenRun(p *pen, parts []part) string {
	if p.q.order < 2 || p.manner != spoken || len(parts) > p.q.order {
		return ""
	}
	var numbers []string
	for _, f := range parts {
		numbers = append(numbers, f.text)
	}
	return p.word() + " " + strings.Join(numbers, " ")
}

// summed types one length as a sum: reckoned, or asked about.
func summed(p *pen, parts []part) string {
	f := &parts[p.IntN(len(parts))]
	if f.kind != length || f.most > 0 || p.manner != bare || f.value < 4 || strings.HasPrefix(f.text, "+") {
		return ""
	}
	n := 1 + p.IntN(3)
	f.text = strconv.FormatFloat(f.value-float64(n), 'f', -1, 64) + pick(p.Rand, "+", " + ", " plus ") + strconv.Itoa(n)
	return pick(p.Rand, before, behind)(p, parts)
}

// none says that there is nothing of one thing, where there may be nothing.
func none(p *pen, parts []part) string {
	at := slices.IndexFunc(parts, func(f part) bool {
		return slices.Contains([]string{"template", "covering", "lining", "handle"}, f.name)
	})
	if at < 0 {
		return ""
	}
	parts[at].value = 0
	no := pick(p.Rand, "no ", "without ", "with no ")
	if parts[at].name == "lining" {
		no = "no " // without it may be before it comes
	}
	rest := each(slices.Delete(slices.Clone(parts), at, at+1), pick(p.Rand, p.named, p.behind, p.exact))
	if rest == nil {
		return ""
	}
	return p.word() + " " + strings.Join(rest, ", ") + pick(p.Rand, ", ", " ") + no + parts[at].name
}

// wish wants what the question would answer; it is no number to answer from.
func wish(p *pen, parts []part) string {
	of := map[string][]string{
		"clear": {"i need % clear, ", "we want a clear opening of %, ", "clear width must be %, "},
		"plate": {"the plate is at %, ", "plate centre is %, ", "the plate has to be at %, "},
	}[p.q.verb]
	if of == nil || p.manner == spoken {
		return ""
	}
	wanted := fact{lo: 700, hi: 850}
	if p.q.verb == "plate" {
		wanted = fact{lo: 60, hi: 130}
	}
	rest := each(parts[1:], p.behind)
	if rest == nil {
		return ""
	}
	return strings.Replace(pick(p.Rand, of...), "%", figureOf(p.Rand, wanted, p.manner).text, 1) + strings.Join(rest, ", ")
}
