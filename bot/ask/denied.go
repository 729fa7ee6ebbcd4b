package ask

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// What is said not to be so, and what changes what is safe.

// corrects reports whether a denial at token i only says what the number before it
// is not: setback 70, not 60.
func (p *parser) corrects(i, size int) bool {
	end := i + size
	if i == 0 || p.tokens[i].Word != "not" || end >= len(p.tokens) || p.tokens[end].Kind != lex.NumberToken || end+1 < len(p.tokens) && p.tokens[end+1].Kind != lex.MarkToken {
		return false
	}
	last := len(p.items) - 1
	if last >= 0 && p.items[last].kind == breakItem && !p.items[last].ends {
		last--
	}
	if slices.Contains(values, p.tokens[i-1].Word) {
		return false // tile is not 6
	}
	if last > 0 && p.items[last].kind == phraseItem && p.items[last].phrase.verb == nil && p.items[last-1].kind == numberItem {
		last--
	}
	n := &p.tokens[end].Num
	if last < 0 || p.items[last].kind != numberItem || p.items[last].num.Unit != n.Unit {
		return false
	}
	return !slices.ContainsFunc(p.items, func(it item) bool { return it.kind == numberItem && it.num.Raw == n.Raw })
}

// none reads a name that stands behind "no" or "without", and that may be 0,
// and has no number beside it: no template. It returns the name and its 0.
func (p *parser) none(i int) (*phrase, item) {
	if i < len(p.tokens) && p.tokens[i].Word == "any" {
		i++
	}
	name, size := p.of.match(p.tokens[i:])
	end := i + size
	if name == nil || end < len(p.tokens) && p.tokens[end].Kind == lex.NumberToken ||
		!slices.ContainsFunc(name.inputs, func(n named) bool { return n.input.Zero && n.input.None }) {
		return nil, item{}
	}
	last := p.tokens[end-1]
	p.numbers++
	return name, item{kind: numberItem, num: &lex.Number{Raw: "0", Start: last.End, End: last.End}, from: last.End, to: last.End}
}

// unsure is what is said behind not of what nobody knows.
var unsure = regexp.MustCompile(`(?i)^\s*(?:quite )?(?:sure|certain|know|clear)\b`)

// doorLabel matches the number of a door in front of what is asked of it, and
// storey an ordinal that is no number.
var (
	doorLabel = regexp.MustCompile(`(?i)^(\s*door \d{1,2}(?:,? (?:level|floor|room|block|flat) \d{1,2})?)\s*:|^([^0-9]*\b(?:on|for|at|in) door \d{1,2})(?: the | ?\()`)
	lettered  = regexp.MustCompile(`\b(?:[Oo]pening|[Rr]oom|[Uu]nit|[Ff]lat|[Pp]lot) ([A-Z]{1,2}-?\d{1,3})\b`) // opening A12
	storey    = regexp.MustCompile(`(?i)\b\d{1,2}(?:st|nd|rd|th) (?:floor|level|storey|story)\b`)
)

// unlabelled returns a text without the number of the door in front of it, at the
// same length, and notes that.
func (p *parser) unlabelled(text string) string {
	text = p.changed(text)
	if !strings.Contains(text, "oor ") && !strings.Contains(text, "oor,") && !strings.ContainsAny(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") {
		return text
	}
	text = storey.ReplaceAllStringFunc(text, func(s string) string { return strings.Repeat(" ", len(s)) })
	for _, m := range lettered.FindAllStringSubmatchIndex(text, -1) {
		label := strings.ToLower(text[m[2]:m[3]])
		if end := strings.IndexAny(label, "-0123456789"); !p.of.Knows(label) && !p.of.names[label[:end]] {
			p.notes = append(p.notes, say.F("%s left out", text[m[2]:m[3]]))
			text = text[:m[2]] + strings.Repeat(" ", m[3]-m[2]) + text[m[3]:]
		}
	}
	m := doorLabel.FindStringSubmatchIndex(text)
	if m == nil {
		return text
	}
	from, to := m[2], m[3]
	if from < 0 {
		from, to = m[4], m[5]
	}
	at := from + strings.LastIndex(strings.ToLower(text[from:to]), "door ")
	p.notes = append(p.notes, say.F("%s left out", text[at:to]))
	return text[:at] + strings.Repeat(" ", to-at) + text[to:]
}

// wentFrom is how somebody tells that a length is another now: the leaf went from 44 to
// 50; behind it stands what shows that it is no length.
var (
	wentFrom = regexp.MustCompile(`(?i)\b(?:gone|went|changed|been changed|moved|increased|been increased|reduced|grown)(?: up| down| over)? from (\d[\d.]*)(?: ?mm)? to \d[\d.]*`)
	noLength = regexp.MustCompile(`(?i)^ ?(?:%|°|º|degrees?\b|deg\b|[cf]\b|kg|h\b|hours?\b|per ?cent|a day|times|/)`)
)

// changed returns a text without what a length was before, at the same length, and
// notes that.
func (p *parser) changed(text string) string {
	if !strings.Contains(text, " from ") {
		return text
	}
	for _, m := range wentFrom.FindAllStringSubmatchIndex(text, -1) {
		if at := strings.LastIndexByte(text[:m[1]], ' ') + 1; !noLength.MatchString(text[m[1]:]) {
			p.notes = append(p.notes, say.F("%s left out", text[m[2]:m[3]]))
			text = text[:m[0]] + strings.Repeat(" ", at-m[0]) + text[at:]
		}
	}
	return text
}

// asksFlag reports whether a clause that says nothing else asks whether what the item
// tells is so: is there no joint? A mark at the end of a longer question is its own.
func (p *parser) asksFlag(it *item) bool {
	if p.numbers == 0 {
		return false
	}
	from, to := p.tokenBehind(it.from), p.tokenBehind(it.to)
	at := from
	for at > 0 && p.tokens[at-1].Kind == lex.WordToken && (p.of.Filler(p.tokens[at-1:at]) > 0 || slices.Contains(besAre, p.tokens[at-1].Word)) {
		at--
	}
	if at > 0 && p.tokens[at-1].Kind != lex.MarkToken {
		return false
	}
	return slices.Contains(besAre, p.tokens[at].Word) || p.questionMark(to) && (to+1 < len(p.tokens) || at > 0 && strings.ContainsRune(".!?;\n", rune(p.text[p.tokens[at-1].Start])))
}

// besAre are the words by which one asks whether something is so.
var besAre = []string{"is", "are", "isn't", "aren't"}

// graveBehind returns the first words behind item i that change what is safe, ""
// if there are none, or a number stands before them.
func (p *parser) graveBehind(i int) string {
	for _, it := range p.items[i+1:] {
		switch {
		case it.kind == numberItem:
			return ""
		case it.kind == phraseItem && slices.ContainsFunc(it.phrase.choices, func(c *Choice) bool { return c.of.Grave }):
			return it.phrase.text
		}
	}
	return ""
}

// isGrave reports whether a text says what changes what is safe.
func (p *parser) isGrave() bool {
	return slices.ContainsFunc(p.items, func(it item) bool {
		return it.kind == phraseItem && slices.ContainsFunc(it.phrase.choices, func(c *Choice) bool { return c.of.Grave })
	})
}
