package verb_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A change rewrites a text of named values. What keeps the values may not
// change them; what adds a number or an unknown word may not be passed over.
type change struct {
	name  string
	adds  string // what has been added must be asked about: number, word; or told: apart
	quart bool   // needs values that are whole quarters of an inch
	text  func(p *pen, parts []part, base string) string
}

var changes = []change{
	{name: "order", text: func(p *pen, parts []part, _ string) string { return p.plain(p.shuffled(parts), " ") }},
	{name: "commas", text: func(p *pen, parts []part, _ string) string { return p.plain(parts, ", ") }},
	{name: "semicolons", text: func(p *pen, parts []part, _ string) string { return p.plain(parts, "; ") }},
	{name: "lines", text: func(p *pen, parts []part, _ string) string { return p.plain(parts, "\n") }},
	{name: "tabs", text: func(p *pen, parts []part, _ string) string { return p.plain(parts, "\t") }},
	{name: "and", text: func(p *pen, parts []part, _ string) string { return p.plain(parts, " and ") }},
	{name: "capitals", text: func(p *pen, _ []part, base string) string { return strings.ToUpper(base) }},
	{name: "spaces", text: func(p *pen, _ []part, base string) string { return "  " + strings.ReplaceAll(base, " ", "  ") + " " }},
	{name: "full stop", text: func(p *pen, _ []part, base string) string { return base + "." }},
	{name: "question mark", text: func(p *pen, _ []part, base string) string { return base + "?" }},
	{name: "greeting", text: func(p *pen, _ []part, base string) string { return pick(p.Rand, greetings...) + base }},
	{name: "thanks", text: func(p *pen, _ []part, base string) string { return base + pick(p.Rand, thanks...) }},
	{name: "of", text: func(p *pen, parts []part, _ string) string {
		return p.typed(parts, func(f part) string { return f.name + " of " + f.text })
	}},
	{name: "is", text: func(p *pen, parts []part, _ string) string {
		return p.typed(parts, func(f part) string { return f.name + " is " + f.text })
	}},
	{name: "colon", text: func(p *pen, parts []part, _ string) string {
		return p.typed(parts, func(f part) string { return f.name + ": " + f.text })
	}},
	{name: "equals", text: func(p *pen, parts []part, _ string) string {
		return p.typed(parts, func(f part) string { return f.name + "=" + f.text })
	}},
	{name: "names behind", text: func(p *pen, parts []part, _ string) string { return p.typed(parts, p.behind) }},
	{name: "mm", text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 1, " mm") }},
	{name: "mm glued", text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 1, "mm") }},
	{name: "cm", text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 10, " cm") }},
	{name: "m", text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 1000, " m") }},
	{name: "inches", quart: true, text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 25.4, " in") }},
	{name: "inch marks", quart: true, text: func(p *pen, parts []part, _ string) string { return p.lengths(parts, 25.4, `"`) }},
	{name: "decimal comma", quart: true, text: func(p *pen, _ []part, base string) string { return strings.ReplaceAll(base, ".", ",") }},
	{name: "spare number", adds: "number", text: func(p *pen, parts []part, base string) string {
		if parts[len(parts)-1].listed() {
			return "" // it may be one more of them
		}
		return base + pick(p.Rand, " ", ", ", "\n", ", room ", " by ") + strconv.Itoa(2+p.IntN(60))
	}},
	{name: "spare in front", adds: "number", text: func(p *pen, _ []part, base string) string {
		return strconv.Itoa(2+p.IntN(60)) + pick(p.Rand, " ", ", ", "\n", " windows, ") + base
	}},
	{name: "stranger at a number", adds: "word", text: func(p *pen, parts []part, base string) string {
		if parts[len(parts)-1].at != "" {
			return "" // not beside the number
		}
		return base + " " + pick(p.Rand, strangers...)
	}},
	{name: "stranger apart", adds: "apart", text: func(p *pen, parts []part, _ string) string {
		text := p.typed(parts, p.behind)
		if text == "" {
			return ""
		}
		return text + ", " + pick(p.Rand, strangers...)
	}},
}

// typed writes the verb and each part in one form.
func (p *pen) typed(parts []part, form func(part) string) string {
	all := each(parts, form)
	if all == nil {
		return ""
	}
	return p.q.words[0] + " " + strings.Join(all, ", ")
}

// plain writes names and numbers.
func (p *pen) plain(parts []part, between string) string {
	return p.q.words[0] + " " + strings.Join(each(parts, func(f part) string { return f.name + " " + f.text }), between)
}

// lengths writes the lengths in another unit, per mm.
func (p *pen) lengths(parts []part, per float64, unit string) string {
	parts = slices.Clone(parts)
	for i, f := range parts {
		if f.kind == celsius {
			parts[i].text = strings.Replace(f.text, " degrees", " °C", 1) // beside inches they may be °F
		}
		if f.kind != length {
			continue
		}
		var typed []string
		for _, v := range append([]float64{f.value}, f.more...) {
			typed = append(typed, strconv.FormatFloat(math.Round(v/per*1e4)/1e4, 'f', -1, 64)+unit)
		}
		parts[i].text = strings.Join(typed, " ")
	}
	return p.plain(parts, " ")
}

// plainParts draws parts of plain values, whole mm or quarters of an inch.
func (p *pen) plainParts(quart bool) []part {
	parts := p.draw()
	for i, f := range parts {
		if f.kind == length && quart {
			n := max(1, int(f.value/6.35))
			parts[i].value, parts[i].more = float64(n)*6.35, nil
			parts[i].text = strconv.FormatFloat(parts[i].value, 'f', 2, 64)
		}
	}
	return slices.DeleteFunc(parts, func(f part) bool { return f.name == edge.name || f.name == "offset" })
}

// judge compares what was understood before and after the change.
func (c change) judge(before, after understood, text string) string {
	same := before.verb == after.verb && before.inputs.same(after.inputs)
	words := strings.Fields(text)
	switch {
	case c.adds == "" && !after.answered:
		return shy
	case !after.answered:
		return right
	case c.adds == "" && same:
		return right
	case c.adds == "apart" && same && strings.Contains(after.said, words[len(words)-1]):
		return right
	}
	return wrong
}

// TestSame rewrites texts and compares the program with itself.
func TestSame(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of texts")
	}
	sums := newTally()
	for i := range uint64(*number) {
		c := changes[i%uint64(len(changes))]
		p := &pen{Rand: rand.New(rand.NewPCG(*seed, i)), q: question{}, manner: bare}
		p.q = pick(p.Rand, questions...)
		parts := p.plainParts(c.quart)
		base := p.plain(parts, " ")
		text := c.text(p, parts, base)
		before := understand(t, base)
		if text == "" || !before.answered {
			continue
		}
		after := understand(t, text)
		sums.add(c.name, c.judge(before, after, text), fmt.Sprintf("%q and %q: %s, but %s", base, text, before, after))
	}
	sums.log(t)
	sums.hold(t, texts+"/same.list")
}
