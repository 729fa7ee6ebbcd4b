package ask

import (
	"slices"

	"heelpost/bot/lex"
)

// What is asked without a phrase of its question: by facts alone, or by a wish for
// what another question answers.

// byFacts returns the one reading of facts in a text that asks, though by no
// phrase of a verb: how far does an M16 go with one flat. Its words have to be all
// known, and what asks has to ask for such a thing; nil if it is not so.
func (p *parser) byFacts() *reading {
	if p.numbers == 0 || len(p.dropped) > 0 || p.asksElse() {
		return nil
	}
	list := slices.DeleteFunc(p.otherwise(true), func(r reading) bool { return !p.askedBy(r.Verb) })
	for _, v := range p.of.verbs {
		if len(list) == 0 && len(v.AskedBy) > 0 && p.askedBy(v) {
			list = p.eachItsOwn(v)
		}
	}
	if len(list) != 1 {
		return nil
	}
	return &list[0]
}

// askedBy reports whether a text asks for a verb without a phrase of it: by words
// that ask, by the mark alone, by a word that is one in front of other texts, or
// by its name in front of its value, as mark 46.
func (p *parser) askedBy(v *Verb) bool {
	if len(p.opens) > 0 {
		return slices.ContainsFunc(p.opens, func(w string) bool { return slices.Contains(v.AskedBy, w) })
	}
	if p.topic(v) {
		return true
	}
	first := p.first()
	return slices.Contains(v.AskedBy, "?") && p.questionMark(len(p.tokens)-1) || first >= 0 && p.items[first].phrase != nil && p.items[first].phrase.text == v.Name && p.items[first].from == 0 && p.numbers > 1 && !p.items[first].forced && p.items[first+1].from == p.items[first].to+1 && !p.items[first+1].is && v.Wish != nil && p.of.named[v.Name] == v.Wish ||
		slices.Contains(v.AskedBy, "want") && slices.ContainsFunc(p.tokens, func(t lex.Token) bool { return slices.Contains(wishes, t.Word) }) ||
		len(v.AskedBy) > 0 && !v.Stated && p.says(v) && !slices.ContainsFunc(p.verbs, func(i int) bool { return p.items[i].wish || p.valued(i) && p.items[i+1].wish })
}

// topic reports whether a verb is the only one of which a text has a phrase without a
// number beside it, which can only be what is asked: pivot 70 from the heel, 54 thick,
// the gap would be.
func (p *parser) topic(v *Verb) bool {
	found := false
	for _, i := range p.verbs {
		ph := p.items[i].phrase
		if ph.thing || p.hasNumber(i) {
			continue
		}
		if ph.verb != v || p.items[i].wish {
			return false
		}
		found = true
	}
	return found
}

// eachItsOwn returns the readings of facts for a verb in which each name has the number
// beside it, before some and behind others: pitch is 1.25, 3 mm travel.
func (p *parser) eachItsOwn(v *Verb) (list []reading) {
	for s := eachOwn; len(list) == 0 && s < eachOwn+1<<maxMixed; s++ {
		list, _ = p.try(list, []int{-1}, v, s)
	}
	return slices.DeleteFunc(list, func(r reading) bool {
		return len(r.unnamed) > 0 || len(r.ignored) > 0 || !r.complete() || r.unusual()
	})
}

// asksElse reports whether a text asks by a word that none of its phrases has
// taken, as what: nobody knows what for.
func (p *parser) asksElse() bool {
	asks := 0
	for _, t := range p.tokens {
		if t.Kind == lex.WordToken && slices.Contains(askingWhat, t.Word) {
			asks++
		}
	}
	return asks > len(p.opens)
}

// inverse returns the reading of the one question that is asked from what
// another answers, in a text that wishes for that, claims to have it or asks
// whether it will do: I need 900 clear; nil if there is none. What asks whether
// comes first where nothing else asks, and may lack what can be asked for.
func (p *parser) inverse(asks bool) *reading {
	whether := p.whether()
	if asks && !whether {
		return nil
	}
	var list []reading
	for _, v := range p.of.verbs {
		if v.Wish == nil || asks && p.asksOther(v) || whether && len(p.dropped) > 0 && !p.says(v) || !whether && !p.wishes(v) {
			continue
		}
		others, _ := p.try(nil, []int{-1}, v, allBefore, allAfter)
		for s := eachOwn; len(others) == 0 && s < eachOwn+1<<maxMixed; s++ {
			others, _ = p.try(others, []int{-1}, v, s)
		}
		list = append(list, slices.DeleteFunc(others, func(o reading) bool {
			return len(o.unnamed) > 0 || len(o.ignored) > 0 && v.Turns == nil || !asks && !o.complete() || whether && o.get(v.Wish) == nil
		})...)
	}
	if len(list) != 1 {
		return nil
	}
	return &list[0]
}

// says reports whether a phrase of the verb is in the text. Without one a word that
// nobody knows may be what is asked: can a cat get its tail squashed.
func (p *parser) says(v *Verb) bool {
	return slices.ContainsFunc(p.verbs, func(i int) bool { return p.items[i].phrase.verb == v })
}

// asksOther reports whether a verb of the text is none of v's, and no value of
// its.
func (p *parser) asksOther(v *Verb) bool {
	return slices.ContainsFunc(p.verbs, func(i int) bool {
		ph := p.items[i].phrase
		return ph.verb != v && !ph.thing && !(ph.inputFor(v) != nil && p.hasNumber(i))
	})
}

// wishes reports whether the text wishes for what a question is asked from, or
// claims to have it.
func (p *parser) wishes(v *Verb) bool {
	for i, it := range p.items {
		if it.kind != phraseItem || it.phrase.verb == nil || it.phrase.verb == v {
			continue
		}
		if it.phrase.verb == v.Turns && it.asked {
			return true
		}
		if wish := it.wish || p.valued(i) && p.items[i+1].wish; p.claimed(i, v) || wish && it.phrase.inputFor(v) == v.Wish {
			return true
		}
	}
	return false
}

// wished returns the readings of the questions that are asked from what the verb
// of a reading answers, where its one bare number may be just that: clear width
// 900, thickness 54, setback 60.
func (p *parser) wished(r *reading) (list []reading) {
	if r.at < 0 || len(r.unnamed) != 1 || r.unnamed[0] < r.at || p.items[r.at].phrase.leads != nil ||
		slices.ContainsFunc(p.items[r.at+1:r.unnamed[0]], func(it item) bool { return it.kind != breakItem }) {
		return nil
	}
	wish := p.items[r.at].phrase.inputFor
	for _, v := range p.of.verbs {
		if v.Wish == nil || v == r.Verb || wish(v) != v.Wish {
			continue
		}
		others := first(p.try(nil, []int{-1}, v, allBefore, allAfter))
		for s := eachOwn; len(others) == 0 && s < eachOwn+1<<maxMixed; s++ {
			others, _ = p.try(others, []int{-1}, v, s)
		}
		for _, o := range others {
			if len(o.unnamed)+len(o.ignored) == 0 && o.complete() {
				list = append(list, o)
			}
		}
	}
	return list
}

func first[T, U any](a T, _ U) T { return a }

// claimed reports whether item i claims to have what a question is asked from:
// the leaf is 1184 x 2388, where its width alone is a fact.
func (p *parser) claimed(i int, v *Verb) bool {
	if !p.items[i].phrase.claims(v) {
		return false
	}
	return !p.items[i].phrase.thing || p.valued(i) && (p.items[i+1].is || p.items[i].wish) && i+2 < len(p.items) && p.items[i+2].joined
}

// whether reports whether a sentence of the text is a question for yes or no.
func (p *parser) whether() bool {
	for i, t := range p.tokens {
		if begins := i == 0 || p.tokens[i-1].Kind == lex.MarkToken || slices.Contains(breaks, p.tokens[i-1].Word); begins && slices.Contains(whether, t.Word) && !(i+1 < len(p.tokens) && (p.tokens[i+1].Word == "you" || p.tokens[i+1].Word == "u")) { // could you let me have the gap
			return true
		}
	}
	return false
}

// otherwise returns the readings that take the names for facts alone, with
// nothing unusual, and no name to spare but where that is allowed.
func (p *parser) otherwise(spare bool) []reading {
	var list []reading
	for _, v := range p.of.verbs {
		others, _ := p.try(nil, []int{-1}, v, allBefore, allAfter)
		for _, o := range others {
			if len(o.unnamed) == 0 && (len(o.ignored) == 0 || spare && p.bareNames(o.ignored)) && o.complete() && !o.unusual() && (v.Wish == nil || o.get(v.Wish) != nil || p.wishes(v)) && (v.Facts == nil || slices.ContainsFunc(v.Facts, func(in *Input) bool { return o.get(in) != nil })) {
				list = append(list, o)
			}
		}
	}
	return list
}

// bareNames reports whether items are names of lengths alone, at no number: a pivot
// of a million cycles.
func (p *parser) bareNames(items []int) bool {
	return !slices.ContainsFunc(items, func(i int) bool {
		return p.items[i].phrase.verb != nil && !p.items[i].phrase.thing || len(p.items[i].phrase.choices) > 0
	})
}
