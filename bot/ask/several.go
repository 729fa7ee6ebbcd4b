package ask

import (
	"slices"
	"strings"

	"heelpost/bot/lex"
)

// Several questions in one message are answered one by one: gap 54 60 and what
// plate for 60 gap 8? The message is cut where a line or a sentence ends, and
// before an "and" or a comma behind which a question begins. Each part is read
// by itself, every number of it, and none goes over to another but by "and the
// plate?". A message that can be cut in two ways is not cut.

// joins are the words by which a question begins that follows another.
var joins = []string{"and", "also", "then", "plus"}

// maxCuts is how many places to cut at are tried: a message with more is no
// list of questions.
const maxCuts = 12

// cut is a place at which a message may be cut.
type cut struct {
	from, to int  // of what parts it
	ends     bool // a line or sentence ends there
}

// several answers a message as more than one question; nil if it is none, or
// can be cut in more than one way.
func (q *Questions) several(text string, door *Door) *Answer {
	cuts := q.cuts(text)
	if len(cuts) == 0 {
		return nil
	}
	var found [][]*Answer
	for _, answers := range q.split(text, cuts, nil, door) {
		open := slices.DeleteFunc(slices.Clone(answers), (*Answer).OK)
		if len(open) < 2 && !slices.ContainsFunc(found, func(o []*Answer) bool { return slices.EqualFunc(o, answers, (*Answer).sameAsked) }) {
			found = append(found, answers)
		}
	}
	if len(found) != 1 {
		return nil
	}
	first := found[0][0]
	first.More = found[0][1:]
	return first
}

// cuts returns the places at which a text that has two verbs may be cut.
func (q *Questions) cuts(text string) (all []cut) {
	tokens, verbs := q.tokens(text, nil), 0
	for i := 0; i < len(tokens); {
		p, size := q.match(tokens[i:])
		if p != nil && p.verb != nil && !p.thing {
			verbs++
		}
		t := tokens[i]
		switch {
		case i == 0:
		case t.Mark == '\n':
			all = append(all, cut{t.Start, t.End, true})
		case t.Kind == lex.MarkToken && strings.IndexByte("?!;.", text[t.Start]) >= 0:
			all = append(all, cut{t.Start, t.End, true})
		case t.Kind == lex.MarkToken && text[t.Start] == ',', t.Kind == lex.WordToken && slices.Contains(joins, t.Word):
			all = append(all, cut{t.Start, t.Start, false})
		}
		i += max(size, 1)
	}
	if verbs < 2 || len(all) > maxCuts {
		return nil
	}
	return all
}

// split answers a text in all ways in which it can be cut into questions;
// before is what was answered of what stands before it, nil at the beginning.
// The first of the cuts, if it is none of the text's own, is where it begins.
func (q *Questions) split(text string, cuts []cut, before *part, door *Door) (found [][]*Answer) {
	from := 0
	if before != nil {
		from = before.to
		if a := q.next(text[from:], before, door); a != nil {
			found = append(found, []*Answer{a})
		}
	}
	for i, c := range cuts {
		if c.from <= from {
			continue
		}
		if a := q.next(text[from:c.from], before, door); a != nil {
			for _, rest := range q.split(text, cuts[i+1:], &part{a, c}, door) {
				found = append(found, append([]*Answer{a}, rest...))
			}
		}
	}
	return found
}

// part is an answered part of a message, and where it ends.
type part struct {
	*Answer
	cut
}

// next answers a part of a message; nil if it is no question by itself, or if it
// may be about the numbers of the part before.
func (q *Questions) next(text string, before *part, door *Door) *Answer {
	numbers := q.hasNumber(text)
	if before != nil {
		first, _, _ := strings.Cut(plainly(text), " ")
		switch {
		case !numbers && (slices.Contains(joins, first) || first == ",") && before.OK():
			if a := q.followed(text, before.Last(), new(Answer), true, door); a != nil && a.OK() {
				a.Followed = true
				return a
			}
			return nil
		case !numbers, !q.hasNumber(before.Asked):
			return nil
		}
	}
	a := q.ask(request{text: text}, door)
	if before != nil && !a.asks && a.by != nil && a.by.inputFor(q.Verb(before.Verb)) != nil {
		return nil // plate setback 60; gap 8; gap 9: a second value, and no question
	}
	read := a.OK() || len(a.Need) > 0 || a.Verb != "" && a.Open != nil && len(a.Open.Offers) > 1
	if !read || before != nil && !before.ends && !a.asks && !(a.leads && a.OK()) {
		return nil
	}
	return a
}

// drops reports whether a reading leaves out a question that ends the text
// behind an and or a comma: gap 44 65 and plate.
func (p *parser) drops(q *question) bool {
	last := len(p.items) - 1
	for last > 0 && p.items[last].kind == unknownItem { // and plate as well
		last--
	}
	return last > 0 && slices.Contains(q.ignored, last) && p.items[last].phrase.verb != nil && !p.items[last].phrase.thing && p.items[last-1].kind == breakItem
}

// hasNumber reports whether there is a number in a text, in figures or words.
func (q *Questions) hasNumber(text string) bool {
	return slices.ContainsFunc(q.tokens(text, nil), func(t lex.Token) bool { return t.Kind == lex.NumberToken })
}
