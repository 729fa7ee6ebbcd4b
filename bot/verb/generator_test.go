package verb_test

import (
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
)

// Expectations of a written text.
const (
	one     = "one"     // one meaning: to be understood
	unclear = "unclear" // no meaning, or several: to be asked back
	either  = "either"  // understood as meant, or asked back
)

// A writing is a text whose meaning is known.
type writing struct {
	style, manner, text string
	expect              string
	verb                string
	inputs              inputs
}

// judge tells what u is for w.
func (w writing) judge(u understood) string {
	switch {
	case u.answered && w.style == "wish" && u.verb == "opening":
		return right // what opening that takes
	case u.answered && (w.expect == unclear || u.verb != w.verb || !u.inputs.same(w.inputs)):
		return wrong
	case !u.answered && w.expect == one:
		return shy
	}
	return right
}

// A part is a fact with the number that was drawn for it.
type part struct {
	fact
	figure
	more []float64 // where there are several
}

// A pen is what a style writes with.
type pen struct {
	*rand.Rand
	q      question
	manner string
	expect string
}

// styles write the parts of a question; those that can't write them return "".
var styles = []struct {
	name   string
	expect string
	write  func(p *pen, parts []part) string
}{
	{"run", one, bareRun},
	{"named before", one, before},
	{"named behind", one, behind},
	{"exact", one, equals},
	{"letters", one, letters},
	{"sentence", one, sentence},
	{"facts first", one, factsFirst},
	{"list", one, pasted},
	{"size", one, size},
	{"politeness", one, politely},
	{"spare number", unclear, spare},
	{"stranger at a number", unclear, stranger},
	{"one bare before named", unclear, single},
	{"bare behind named", unclear, bareBehind},
	{"facts alone", unclear, factsAlone},
	{"unit missing", unclear, unitMissing},
	{"one or another", unclear, another},
	{"twice", unclear, twice},
	{"fire door", unclear, fireDoor},
	{"sign", unclear, signed},
	{"denial", unclear, denied},
	{"spoken run", unclear, spokenRun},
	{"wish", unclear, wish},
	{"sum", either, summed},
	{"none of it", one, none},
}

// write writes the text of that number; the same number is the same text.
func write(seed, number uint64) writing {
	r := rand.New(rand.NewPCG(seed, number))
	s, q := styles[number%uint64(len(styles))], questions[0]
	for try := 0; ; try++ {
		if try%20 == 0 {
			q = pick(r, questions...) // not all can be written in this style
		}
		p := &pen{Rand: r, q: q, expect: s.expect, manner: pick(r, bare, bare, bare, mm, sometime, cm, metres, mil, inches, decimals, spoken)}
		parts := p.draw()
		text := s.write(p, parts)
		if text == "" {
			continue
		}
		if s.expect == unclear || q.away {
			p.expect = unclear // whatever the style beneath may be taken for
		}
		w := writing{style: s.name, manner: p.manner, text: text, expect: p.expect, verb: q.verb, inputs: inputs{}}
		for _, part := range parts {
			w.inputs[part.name] = append(append(w.inputs[part.name], part.value), part.more...)
		}
		return w
	}
}

// draw draws what the question needs and some of what it may have, with numbers.
func (p *pen) draw() []part {
	facts := slices.Clone(p.q.needs)
	for _, f := range p.q.may {
		if p.IntN(4) == 0 {
			facts = append(facts, f)
		}
	}
	var parts []part
	for _, f := range facts {
		parts = append(parts, p.part(f))
	}
	return parts
}

// part draws the number of a fact, or its numbers.
func (p *pen) part(f fact) part {
	drawn := part{fact: f, figure: figureOf(p.Rand, f, p.manner)}
	if f.most == 0 {
		return drawn
	}
	between := pick(p.Rand, " ", ", ")
	if p.manner != bare && p.manner != mm {
		between = ", "
	}
	for range f.least - 1 + p.IntN(f.most-f.least+1) {
		next := figureOf(p.Rand, f, p.manner)
		drawn.text += between + next.text
		drawn.more = append(drawn.more, next.value)
	}
	return drawn
}

// inch tells whether the text is in inches.
func (p *pen) inch() bool { return p.manner == inches || p.manner == decimals }

// shuffled returns the parts in another order.
func (p *pen) shuffled(parts []part) []part {
	parts = slices.Clone(parts)
	p.Shuffle(len(parts), func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
	return parts
}

// join puts the parts behind each other.
func (p *pen) join(parts []string) string {
	between := pick(p.Rand, " ", ", ", ", ", "; ", "\n")
	if n := len(parts) - 1; n > 0 && between != "\n" && p.IntN(3) == 0 {
		return strings.Join(parts[:n], ", ") + " and " + parts[n]
	}
	return strings.Join(parts, between)
}

// each applies a form to all parts; nothing if one of them has not that form.
func each(parts []part, form func(part) string) []string {
	var all []string
	for _, part := range parts {
		text := form(part)
		if text == "" {
			return nil
		}
		all = append(all, strings.TrimSpace(text+" "+part.at))
	}
	return all
}

func (p *pen) named(f part) string {
	if f.before == nil {
		return ""
	}
	name := pick(p.Rand, f.before...)
	if name == "" {
		return f.text
	}
	return name + pick(p.Rand, " ", " ", " ", ": ", " of ", " is ") + f.text
}

func (p *pen) behind(f part) string {
	if f.fact.behind == nil {
		return ""
	}
	return strings.TrimSpace(f.text + " " + pick(p.Rand, f.fact.behind...))
}

func (p *pen) exact(f part) string {
	name := f.name
	if f.letter != "" && p.IntN(3) == 0 {
		name = f.letter
	}
	if f.name == edge.name {
		return ""
	}
	return name + pick(p.Rand, "=", "=", " = ") + f.text
}

func (p *pen) told(f part) string {
	if f.fact.told == "" {
		return p.named(f)
	}
	return strings.Replace(f.fact.told, "%", f.text, 1)
}

func (p *pen) word() string { return pick(p.Rand, p.q.words...) }

// ahead is the word in front of a number: a colon behind a name may give it that.
func (p *pen) ahead() string {
	word := p.word()
	if p.q.both && strings.HasSuffix(word, ":") {
		p.expect = either
	}
	return word
}

// bareRun writes a run of bare numbers behind the verb and names the rest on one side.
func bareRun(p *pen, parts []part) string {
	if p.q.order == 0 || p.manner == spoken {
		return ""
	}
	n := p.q.order
	if n > 2 {
		n = 2 + p.IntN(n-1)
	}
	if n == 1 && len(parts) > 1 {
		p.expect = either
	}
	var numbers []string
	for _, f := range parts[:n] {
		numbers = append(numbers, f.text)
	}
	between := pick(p.Rand, " ", " ", ", ")
	if p.inch() {
		between = ", "
	}
	text := p.ahead() + " " + strings.Join(numbers, between)
	if len(parts) == n {
		return text
	}
	rest := each(p.shuffled(parts[n:]), pick(p.Rand, p.named, p.behind, p.exact))
	if rest == nil {
		return ""
	}
	return text + pick(p.Rand, " ", ", ") + p.join(rest)
}

func before(p *pen, parts []part) string {
	rest := each(p.shuffled(parts), p.named)
	if rest == nil {
		return ""
	}
	return p.word() + pick(p.Rand, " ", " ", "\n") + p.join(rest)
}

func behind(p *pen, parts []part) string {
	rest := each(p.shuffled(parts), p.behind)
	if rest == nil {
		return ""
	}
	text := p.join(rest)
	if p.q.both && !strings.ContainsAny(text, ",;\n") {
		p.expect = either // gap 60 setback 54 thick
	}
	return p.ahead() + " " + text
}

func equals(p *pen, parts []part) string {
	rest := each(p.shuffled(parts), p.exact)
	if rest == nil {
		return ""
	}
	return p.word() + " " + strings.Join(rest, pick(p.Rand, " ", ", ", ",", "\n"))
}

func letters(p *pen, parts []part) string {
	if p.manner != bare && p.manner != mm {
		return ""
	}
	some := false
	rest := each(p.shuffled(parts), func(f part) string {
		if f.letter == "" {
			return p.named(f)
		}
		some = true
		return f.letter + f.text
	})
	if rest == nil || !some {
		return ""
	}
	return p.word() + " " + strings.Join(rest, pick(p.Rand, " ", ", "))
}

func sentence(p *pen, parts []part) string {
	form := p.behind
	if p.IntN(2) == 0 {
		form = func(f part) string {
			if f.before == nil || f.before[0] == "" {
				return ""
			}
			return "a " + f.before[0] + " of " + f.text
		}
	}
	rest := each(p.shuffled(parts), form)
	if rest == nil {
		return ""
	}
	n := len(rest) - 1
	text := strings.TrimPrefix(strings.Join(rest[:n], ", ")+" and "+rest[n], " and ")
	return pick(p.Rand, p.q.asks...) + " " + text + pick(p.Rand, "?", "")
}

func factsFirst(p *pen, parts []part) string {
	rest := each(p.shuffled(parts), pick(p.Rand, p.told, p.named, p.behind))
	if rest == nil {
		return ""
	}
	return strings.Join(rest, pick(p.Rand, ", ", ". ", " and ", "\n")) + pick(p.Rand, ", ", ". ", "\n", ": ") + pick(p.Rand, p.q.last...)
}

func pasted(p *pen, parts []part) string {
	rest := each(p.shuffled(parts), p.named)
	bullet := pick(p.Rand, "- ", "* ", "• ", "%. ", "%) ")
	for i := range rest {
		rest[i] = strings.Replace(bullet, "%", strconv.Itoa(i+1), 1) + rest[i]
	}
	switch text := strings.Join(rest, "\n"); {
	case rest == nil:
		return ""
	case p.IntN(2) == 0:
		return text + "\n" + pick(p.Rand, p.q.last...)
	default:
		return p.word() + "\n" + text
	}
}

// size joins width, height and thickness, or the sizes of an opening, by x.
func size(p *pen, parts []part) string {
	if p.manner != bare && p.manner != mm {
		return ""
	}
	joint := pick(p.Rand, "x", " x ", "×", " × ", " by ")
	var sizes, rest []part
	joined := []string{"width", "height", "thickness"}
	if p.q.verb == "leaf" {
		joined = []string{"opening", "height"}
	}
	for _, name := range joined {
		if i := slices.IndexFunc(parts, func(f part) bool { return f.name == name }); i >= 0 {
			sizes = append(sizes, parts[i])
		}
	}
	for _, f := range parts {
		if !slices.Contains(joined, f.name) {
			rest = append(rest, f)
		}
	}
	named := each(p.shuffled(rest), p.named)
	if len(sizes) < len(joined) || named == nil || !p.q.size && p.q.verb != "leaf" {
		return ""
	}
	text := strings.Join(each(sizes, func(f part) string { return f.text }), joint)
	if p.q.verb == "leaf" {
		text = pick(p.Rand, "opening "+text, "for a "+text+" opening", "for an opening "+text)
	}
	return p.word() + " " + text + ", " + strings.Join(named, ", ")
}
