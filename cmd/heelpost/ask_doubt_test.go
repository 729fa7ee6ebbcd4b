package main

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
	if slices.ContainsFunc(parts, func(f part) bool { return f.name == "stocks" }) {
		return "" // of stocks there may be several
	}
	text := pick(p.Rand, before, behind, equals)(p, parts)
	if text == "" {
		return ""
	}
	n := strconv.Itoa(2 + p.IntN(30))
	return text + pick(p.Rand, " ", ", ", "\n", " and ", " by ", ", door ", " at ", ", level ", " in room ", ", need it by ") + n
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
	return strings.Join(rest, pick(p.Rand, ", ", " and ", ". ", "\n"))
}

// unitMissing leaves one number beside inches without its unit.
func unitMissing(p *pen, parts []part) string {
	if !p.inch() {
		return ""
	}
	at := p.IntN(len(parts))
	if parts[at].kind != length || len(parts) < 2 {
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
	again := part{f.fact, figureOf(p.Rand, f.fact, p.manner)}
	if again.value == f.value || f.name == "stocks" {
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
	p.expect = ask
	word := pick(p.Rand, "fire door", "FD30", "EI30", "smoke door", "FD60")
	return pick(p.Rand, word+", "+text, text+", "+word, text+" "+word)
}
