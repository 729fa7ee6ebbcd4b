package verb

import (
	"slices"

	"heelpost/bot/ask"
	"heelpost/bot/lex"
	"heelpost/bot/say"
	"heelpost/calc"
)

// Words that change what is safe are never left out, also where no number
// stands beside them. Every question knows them: some refuse, the others say
// what the word means for them.

var (
	tested = flag("tested", "the door is a fire or smoke door, or has a rating", "fire door", append(slices.Clone(lex.Tested), ratings()...)...)
	escape = flag("escape", "the door is on an escape route", "escape door", "escape", "escape door", "escape route", "emergency exit", "fire exit")
	glass  = flag("glass_leaf", "the leaf is of glass", "glass door", "glass", "glass door", "glass leaf", "all glass")
	heated = flag("heated", "the floor is heated", "heated floor", lex.Heating...)
	tendon = flag("tendons", "the slab is post-tensioned", "tendons", lex.Tensioned...)
	stairs = flag("stairs", "it is carried on stairs", "on stairs", "stairs", "on stairs", "up stairs", "down stairs", "upstairs", "downstairs", "staircase")

	asbestos = flag("asbestos", "there is asbestos", "asbestos", lex.Asbestos...)
	hollow   = flag("hollow_slab", "the slab has hollows", "hollow slab", lex.Hollow...)
	sealing  = sealed()
)

// flag returns an input that is said or not.
func flag(name, what, example string, words ...string) *ask.Input {
	return &ask.Input{Name: name, Kind: ask.FlagKind, Beside: true, Grave: true, What: what, Example: example, Choices: []ask.Choice{{Words: words, Value: "yes"}}}
}

// sealed returns the flag for a layer that is tight, to which a cover may be
// measured.
func sealed() *ask.Input {
	in := flag("membrane", "a membrane lies below", "membrane", lex.Sealing...)
	in.Choices = append(in.Choices, ask.Choice{Words: fronted([]string{"to ", "over ", "above "}, lex.Sealing...), Value: "yes", Counts: cover})
	return in
}

// ratings are the classes of resistance to fire as EN 13501-2 and older national
// rules write them: EI30, FD60S.
func ratings() (all []string) {
	for _, class := range []string{"e", "f", "ei", "ei1", "ei2", "ew", "rei", "fd", "fr", "t", "g"} {
		for _, minutes := range []string{"20", "30", "45", "60", "90", "120"} {
			if class == "t" || class == "g" {
				continue // t30 is a thickness, too
			}
			all = append(all, class+minutes, class+minutes+"s", class+minutes+"sa")
		}
	}
	return all
}

// gapQuestions are those whose answers rest on gaps.
var gapQuestions = []string{"gap", "setback", "thickness", "plate", "leaf", "clear", "opening", "fits"}

// drillQuestions are those that tell how deep to drill.
var drillQuestions = []string{"stop", "pins", "mark"}

// safe lets questions know the words, and refuse or note what they change.
func safe(verbs ...*ask.Verb) []*ask.Verb {
	for _, v := range verbs {
		own := v.Refuses
		v.Takes = append(v.Takes, tested, escape, glass, heated, tendon, stairs, asbestos)
		if slices.Contains(drillQuestions, v.Name) {
			v.Takes = append(v.Takes, hollow, sealing)
		}
		v.Takes = append(v.Takes, changed[v.Name]...)
		if slices.Contains(turning, v.Name) {
			v.Takes = append(v.Takes, fromLead, onFace, hinged)
		}
		v.Refuses = func(k *ask.Inquiry) bool {
			return unsafe(k, v) || lying(k) || implausible(k) || stateAsked(k) || fromJambAsked(k) || sideAlone(k) || own != nil && own(k)
		}
	}
	return verbs
}

// unsafe refuses what a word forbids, and notes what it means else.
func unsafe(k *ask.Inquiry, v *ask.Verb) bool {
	said := func(in *ask.Input) bool { return k.Q.Named(in) != nil && k.Word(in) != "" }
	if said(tested) {
		if slices.Contains(gapQuestions, v.Name) {
			k.Fail("a fire or smoke door, or one with a rating, takes its gaps from its test evidence, not from here: ask whoever holds it")
			return true
		}
		k.Mention("fire or smoke door: its gaps, seals and hardware come from its test evidence")
	}
	if said(escape) {
		k.Mention("escape door: widths, opening forces and fittings on an escape route are for the local authority to say")
	}
	if said(glass) {
		if slices.Contains(drillQuestions, v.Name) {
			k.Fail("is it the floor below a glass leaf that is drilled, or glass? toughened glass can't be drilled at all: ask without the word for the floor")
			return true
		}
		k.Caution(ask.Other, "a glass leaf breaks at its edges and corners: carry it by its faces with lifting pads, keep metal and stone off its edges; its fittings and gaps are the glass maker's to say")
	}
	if said(stairs) {
		k.Mention("on stairs the shares are not equal: whoever is below carries more, so no share is told")
	}
	drills := slices.Contains(drillQuestions, v.Name)
	if said(asbestos) {
		if drills {
			k.Fail("asbestos: nothing is drilled there and no depth is told; leave it alone and have it looked at by those who are licensed for it")
			return true
		}
		k.Mention("asbestos: leave it alone, and have it looked at by those who are licensed for it")
	}
	return drills && underground(k, v, said) || !drills && notedFloor(k, said)
}

// underground refuses a drilling depth over what must not be hit where its
// cover was not given.
func underground(k *ask.Inquiry, v *ask.Verb, said func(*ask.Input) bool) bool {
	if _, below := k.Door[tendon.Name]; below || said(tendon) || said(hollow) {
		k.Fail("over tendons, and in a precast or hollow slab, no drilling depth is told: the slab's engineer has to say where and how deep, before any hole")
		return true
	}
	_, hotDoor := k.Door[heated.Name]
	to := k.Q.Named(coverTo)
	pipes := to != nil && to.Set.Value == "pipe"
	hot, sealed := said(heated) || hotDoor, said(sealing)
	if v == askMark && (hot || to != nil || sealed) {
		k.Fail("over pipes, a membrane or a back face, or on a heated floor, no depth is told without the cover: ask for the drill stop with it")
		return true
	}
	if sealed && to != nil && k.Q.Named(cover) != nil {
		k.Fail("that cover is %s and says nothing of the membrane: give as cover how much lies over the membrane, if that is less, without the word for what else is below", say.Name(to.Set.Value))
		return true
	}
	if (hot || pipes) && !k.Has(cover) && k.Q.Named(sideways) == nil {
		k.Ask(say.F("over pipes or on a heated floor no depth is told without it; have the pipes located"), cover)
		return true
	}
	if to != nil && to.Set.Value == "back" && !k.Has(cover) && !k.Has(sideways) {
		k.Ask(say.F("there is a back face below that the drill can break through"), cover)
		return true
	}
	if sealed && !k.Has(cover) {
		k.Ask(say.F("over a membrane no depth is told without it: a hole through one leaks"), cover)
		return true
	}
	return false
}

// notedFloor notes a floor that must not be drilled blindly.
func notedFloor(k *ask.Inquiry, said func(*ask.Input) bool) bool {
	if said(heated) {
		k.Mention("heated floor: have its pipes located before anything is drilled, and the heating off while adhesive cures")
	}
	if said(tendon) {
		k.Mention("tendons: nothing is drilled before the slab's engineer has said where")
	}
	return false
}

// lying asks about a leaf or an opening that is wider than high.
func lying(k *ask.Inquiry) bool {
	high := k.Q.Named(height)
	for _, in := range [...]*ask.Input{width, opening} {
		if wide := k.Q.Named(in); wide != nil && high != nil && wide.Num != nil && high.Num != nil && wide.Num.Length > high.Num.Length {
			k.Fail("%s %s and %s %s: it would lie on its side; sizes are width x height x thickness: say which is which",
				in.Said(), k.Show(wide.Num.Length), height.Said(), k.Show(high.Num.Length))
			return true
		}
	}
	return false
}

// implausible asks about a leaf whose mass and sizes are given, and that would be
// lighter than any hollow core or heavier than stone.
func implausible(k *ask.Inquiry) bool {
	m, of := k.Q.Named(mass), k.Q.Named(density)
	w, h, t := k.Peek(width), k.Peek(height), k.Peek(thickness)
	if of != nil && of.Num != nil {
		const leaf, volume = calc.Metre, 0.1 // of 1 x 1 m, 100 thick
		if _, err := calc.ImpliedDensity(calc.Mass(of.Num.Plain*volume), leaf, leaf, leaf/10); err != nil {
			k.Refuse(err)
			return true
		}
	}
	if m == nil || m.Num == nil || w == 0 || h == 0 || t == 0 {
		return false
	}
	if _, err := calc.ImpliedDensity(calc.Mass(m.Num.Plain), w, h, t); err != nil {
		k.Number(mass)
		k.Refuse(err)
		return true
	}
	return false
}
