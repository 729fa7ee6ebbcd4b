package ask

import (
	"slices"

	"heelpost/bot/lex"
	"heelpost/bot/say"
)

// positional gives the numbers that no name is for to inputs: the run right
// behind the verb to its order, from the start; three joined ones to its sizes;
// one whose unit only one input takes to that.
func (r *reader) positional() {
	next, end := r.led(), r.run()
	for n := range r.items {
		if r.failed() {
			return
		}
		if r.items[n].kind != numberItem || r.owner[n] != nil || r.since(n) {
			continue
		}
		if n+1 < len(r.items) && r.items[n+1].counted && r.Verb.Box == nil {
			if i := slices.IndexFunc(r.Verb.Need, func(in *Input) bool { return in.Counted && r.get(in) == nil }); i >= 0 {
				r.list(n, r.Verb.Need[i])
				continue
			}
		}
		if u := r.items[n].num.Unit; u != lex.Bare && !LengthKind.takes(u) {
			if in := r.counted(n); in != nil {
				r.list(n, in) // 500s and 900s in the van
				continue
			}
			r.typed(n)
			continue
		}
		if next == 0 && r.joined(n+1) && r.joined(n+2) && r.Verb.Box != nil && !r.line {
			r.spread(n, r.Verb.Box)
			continue
		}
		for r.loose && next < len(r.Verb.Order) && r.get(r.Verb.Order[next]) != nil {
			next++
		}
		if box := r.Verb.Box; next == 0 && len(r.Verb.Order) == 0 && box != nil && (n < end || r.get(box[0]) == nil && r.get(box[1]) == nil) && !r.joined(n) && r.joined(n+1) && !r.joined(n+2) {
			r.spread(n, box[:2]) // a leaf of 1050 x 2350
			continue
		}
		if in := r.doorSize(n, n >= r.at && n < end); in != nil {
			r.bind(n, in)
			continue
		}
		if in := r.Verb.Typed; in != nil && r.at >= 0 && !r.lists() && r.items[n].num.Unit != lex.Bare && r.get(in) == nil {
			r.bind(n, in)
			continue
		}
		if in := r.bareQuantity(); in != nil {
			r.fail("%s what? give the %s with its unit or its name, as %s", r.text(n), in.Said(), in.Example)
			r.wrong.num = r.items[n].num
			return
		}
		switch {
		case next == len(r.Verb.Order):
			r.fail("%s fits nothing that %s takes", r.text(n), r.Verb.Name)
			return
		case (n < r.at || n >= end) && !r.loose:
			r.fail("%s stands by itself: what is it? say its name beside it", r.text(n))
			return
		}
		if in := r.Verb.Order[next]; r.at < 0 || !r.items[r.at].asked || r.isNumber(n+1) && r.owner[n+1] == nil || r.doorSize(n, false) != in { // the 45 of gap for a 45 door, setback 60 has its name
			r.unnamed = append(r.unnamed, n)
		}
		r.take(n, r.Verb.Order[next])
		next++
	}
}

// led returns how many inputs of the verb's order its phrase has taken already:
// clear opening 1200 names the first.
func (r *reader) led() int {
	if r.at < 0 || r.items[r.at].phrase.leads == nil || r.get(r.items[r.at].phrase.leads) == nil {
		return 0
	}
	return slices.Index(r.Verb.Order, r.items[r.at].phrase.leads) + 1
}

// run returns the end of the run of numbers right behind the verb.
func (r *reader) run() int {
	i := r.at + 1
	for i < len(r.items) && r.items[i].kind == breakItem && !r.items[i].ends {
		i++
	}
	for i < len(r.items) {
		comma := r.items[i].kind == breakItem && !r.items[i].ends && i+1 < len(r.items) && r.items[i+1].kind == numberItem
		if r.items[i].kind != numberItem && !comma {
			break
		}
		i++
	}
	return i
}

// bareQuantity returns the input whose unit has to be said, of a verb that
// takes no number without a name: lift with 4 is no mass.
func (r *reader) bareQuantity() *Input {
	if len(r.Verb.Order) > 0 {
		return nil
	}
	for _, in := range r.Verb.Need {
		if r.get(in) == nil {
			return in
		}
	}
	return nil
}

// take gives a number without a name to an input. A 900 door is a leaf of 900
// to one and an opening of 900 to another.
func (r *reader) take(n int, in *Input) {
	if r.items[n].ofDoor && in.Size == NoSize {
		r.wrong = complaint{say: say.F("%s of a door: is that its thickness, or something else? name it, as thickness=%s", r.text(n), r.text(n)), weight: ofDoor}
		return
	}
	if r.items[n].ofDoor && in.Size == OpeningSize {
		r.fail("%s of a door: is that the opening between the jambs, or the leaf? for the opening say opening=%s", r.text(n), r.text(n))
		return
	}
	r.bind(n, in)
}

// typed gives the number at item n to the input of the verb that its unit
// fits.
func (r *reader) typed(n int) {
	var fits *Input
	for _, in := range r.Verb.Takes {
		switch {
		case in.ByName || !in.Kind.takes(r.items[n].num.Unit) || r.get(in) != nil:
		case fits != nil:
			r.fail("%s may be %s or %s: name it", r.text(n), fits.Said(), in.Said())
			return
		default:
			fits = in
		}
	}
	if fits == nil {
		r.fail("%s fits nothing that %s takes", r.text(n), r.Verb.Name)
		return
	}
	r.byUnit = append(r.byUnit, n)
	r.bind(n, fits)
}
