package jobs

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strconv"
	"strings"

	"heelpost/calc"
)

// Stage is a part of a door's job.
type Stage string

// The stages, in order.
const (
	Survey    Stage = "survey"
	SettingUp Stage = "set-out"
	FloorWork Stage = "floor"
	HeadWork  Stage = "head"
	Hang      Stage = "hang"
	Park      Stage = "park"
	Align     Stage = "align"
	Movement  Stage = "movement"
	Handing   Stage = "handover"
	Done      Stage = "handed over"
)

// Stages lists the stages in order.
var Stages = []Stage{Survey, SettingUp, FloorWork, HeadWork, Hang, Park, Align, Movement, Handing, Done}

// before reports whether the holds of s bar work in later. Floor and head
// may be worked on in either order.
func (s Stage) before(later Stage) bool {
	return slices.Index(Stages, s) < slices.Index(Stages, later) && !(s == FloorWork && later == HeadWork)
}

// Kind is what an item asks for.
type Kind string

// The kinds of items.
const (
	Tick    Kind = "tick"
	Reading Kind = "reading"
	Photo   Kind = "photo"
	ByEntry Kind = "entry" // settled by an entry of its own: evidence, mixing, bonding
)

// Item is a line of a door's checklist.
type Item struct {
	ID    string
	Stage Stage
	Text  calc.Text // with this door's numbers
	Kind  Kind
	Hold  bool // work of later stages waits for it
	Never bool // not even the foreman can override it
	Unit  string
	Limits
	State ItemState
}

// Mark tells the item's text, in English, from any other that it has had: a
// tick can say which one it agrees to.
func (it *Item) Mark() string {
	h := fnv.New32a()
	h.Write([]byte(it.Text.String()))
	return fmt.Sprintf("%08x", h.Sum32())
}

// itemRule is an item before it knows its door.
type itemRule struct {
	id      string
	stage   Stage
	kind    Kind
	hold    holdKind
	text    calc.Text                // its arguments are names of what [shownOf] has of the door
	when    func(*Spec, *Sheet) bool // nil: always
	needs   []string                 // items that come first
	other   string                   // the item whose ticker may not tick this one
	until   string                   // a correction reopens it, until that item is settled; see reopen
	byJambs bool                     // it waits for the readings of the opening that the plate goes by, unless the centre is set out; nobody can override that
	daily   bool                     // it holds for the day it was ticked on
	alone   bool                     // it is ticked when it is done, never in a run with others
	there   bool                     // it was looked at where the plate is: a correction that moves that reopens it
	inHole  bool                     // it goes on in what is drilled or cut: it waits while something there may have been hit
	fixes   []string                 // numbers it puts into material
	how     calc.Word                // the way it does
	under   string                   // the plate that is bonded over it: then it stays
	unit    string                   // of a reading
	limit   func(*Door, *Sheet) Limits
	own     bool // added by a site or a sheet
}

type holdKind int

const (
	free holdKind = iota
	hold
	never   // a hold that nobody can override
	byMaker // a hold overridden only with the adhesive maker's word
)

// rule returns the rule of an item: one of every door's, or that of own items.
func rule(id string) *itemRule {
	if r := ptr(itemRules, func(r itemRule) bool { return r.id == id }); r != nil {
		return r
	}
	return &ownRule
}

// IsItem reports whether an id is that of an item of some doors.
func IsItem(id string) bool { return rule(id) != &ownRule }

// Checklist returns the items of a door, in order.
func Checklist(d *Door, sh *Sheet) []Item {
	values := shownOf(d, sh)
	out := make([]Item, 0, len(itemRules)+len(sh.Items)+len(d.Spec.Own))
	for i := range itemRules {
		r := &itemRules[i]
		if r.when != nil && !r.when(&d.Spec, sh) {
			continue
		}
		item := Item{ID: r.id, Stage: r.stageOf(sh), Text: fill(r.text, values), Kind: r.kind,
			Hold: r.hold != free, Never: r.hold == never, Unit: r.unit, State: d.Items[r.id]}
		if r.id == "status" && item.State.State == Ticked && item.State.Text == string(saidOpening) {
			item.Text = calc.F("%s: as @%s said at the opening, not checked with the drawings", values["status"], item.State.By)
		}
		if r.id == "limits" {
			if wrong := d.overLimits(sh); len(wrong) > 0 {
				item.Text = calc.F("not as the sheet wants it: %s", list("%s; %s", wrong))
			}
		}
		if item.Unit == "mm" && d.Spec.Inches {
			item.Unit = inches
		}
		if r.limit != nil {
			item.Limits = r.limit(d, sh)
		}
		if r.id == "floor-services" && d.Spec.HasCover && item.State.Value != nil && item.State.Judgement == In { // of several the least counts
			item.State.Value = new(d.Spec.Measure(d.Spec.Cover))
		}
		out = append(out, item)
	}
	for _, own := range [][]OwnItem{sh.Items, d.Spec.Own} {
		for i := range own {
			out = append(out, own[i].item(d))
		}
	}
	slices.SortStableFunc(out, func(a, b Item) int {
		return slices.Index(Stages, a.Stage) - slices.Index(Stages, b.Stage)
	})
	return out
}

// stageOf returns the item's stage. The cure is waited for before the leaf
// is hung, unless the sheet lets it stand on the curing plate.
func (r *itemRule) stageOf(sh *Sheet) Stage {
	if isSample(r.id) && !sh.Adhesive.ParkOnPlate {
		return Hang
	}
	return r.stage
}

// StageOf returns the stage a door is in: as far as work has gone, or the
// first stage with something left to do if that is further, but never past
// an open hold point.
func StageOf(items []Item, handedOver bool) Stage {
	if handedOver {
		return Done
	}
	first, touched, held := Handing, Survey, Stage("")
	for _, it := range slices.Backward(items) {
		if !it.State.Settled() {
			first = it.Stage
			if it.Hold {
				held = it.Stage
			}
		}
	}
	for _, it := range items {
		if it.State.Settled() {
			touched = it.Stage
		}
	}
	reached := Stages[max(slices.Index(Stages, first), slices.Index(Stages, touched))]
	if held != "" && held.before(reached) {
		return held
	}
	return reached
}

// Holds returns the open hold points that work in a stage waits for.
func Holds(items []Item, stage Stage) []Item {
	var out []Item
	for _, it := range items {
		if it.Hold && !it.State.Settled() && it.Stage.before(stage) {
			out = append(out, it)
		}
	}
	return out
}

// shownOf returns what the items' texts say of a door, by name.
func shownOf(d *Door, sh *Sheet) map[string]any {
	s := &d.Spec
	w := map[string]any{
		"status": calc.F("%s door", list("%s and %s", shown(s.Status))), "handing": calc.Word(s.Swing), "leaf_width": s.Tell(s.Width), "leaf_height": s.Tell(s.Height), "leaf_thickness": s.Tell(s.Thickness),
		"mass": s.tellMass(s.Mass.Counted(s.Estimated)), "mass_limit": sh.Leaf.Mass.String(),
		"head_holes": strconv.Itoa(sh.Head.Holes), "head_pilot": s.Tell(sh.Head.Pilot), "head_depth": s.Tell(sh.Head.Depth),
		"engagement": sh.Engagement.Depth.String(), "turns": strconv.FormatFloat(math.Round(sh.Engagement.Turns()*1000)/1000, 'f', -1, 64), "pitch": sh.Engagement.Pitch.String(),
		"working": strconv.Itoa(int(sh.Adhesive.Working.Minutes())) + " min", "lining": s.Tell(s.Lining), "floor": s.Floor,
		"covering": s.Tell(s.Covering), "evidence": s.Evidence, "team": team(s), "adjusters": adjusters(sh), "jambs": jambs(s),
	}
	if slices.Contains(s.Status, "none") {
		w["status"] = calc.F("neither fire, smoke nor escape door")
	}
	if s.Swing == OneWay {
		w["handing"] = calc.F("%s seen from %s", calc.Word(s.Handing), s.SeenFrom)
	}
	for _, n := range d.Numbers {
		w[n.Name] = n.Value.String()
	}
	if up, err := calc.StandingHeight(s.Height, s.Thickness, s.step()); err == nil {
		w["standing"] = s.Tell(up.SetOut)
	}
	held(w, s, sh)
	return w
}

// held adds what the texts say of what holds the floor plate.
func held(w map[string]any, s *Spec, sh *Sheet) {
	w["bed"] = calc.F("holes and bed")
	switch sh.Floor.Fixing {
	case ByPins:
		w["stands"], w["fixing"], w["hole_count"] = calc.F("plate and all pins stand"), calc.Word("pins"), w["pin_count"]
		w["held_by"] = calc.F("pins of %s", cmp.Or(w["pin_length"], any(unknownFigure)))
	case ByScrews:
		w["stands"], w["fixing"], w["hole_count"], w["held_by"] = calc.F("plate and all screws stand"), calc.Word("screws"), w["screw_count"], calc.Word("screws")
	case ByBox:
		w["stands"], w["bed"] = calc.F("the box stands"), calc.F("recess")
		w["recess_length"], w["recess_width"] = s.Tell(sh.Box.Length), s.Tell(sh.Box.Width)
	}
}

// jambs tells what was read of the jambs and the floor, or what is still to be.
func jambs(s *Spec) calc.Text {
	if unread := s.Unread(); len(unread) > 0 {
		return calc.F("still to read, as read lean heel 2: %s", list("%s, %s", shown(unread)))
	}
	var all []calc.Text
	for _, name := range []string{"lean heel", "lean lead", "floor fall", "bow heel"} {
		f := FieldNamed(name)
		l, _ := f.At(s).(**calc.Length)
		if *l == nil {
			continue
		}
		switch length, way := f.Way(s, **l); {
		case way == "":
			all = append(all, calc.F("%s %s", calc.Word(name), length))
		case length == "":
			all = append(all, calc.F("%s %s", calc.Word(name), calc.Word(way)))
		default:
			all = append(all, calc.F("%s %s %s", calc.Word(name), length, calc.Word(way)))
		}
	}
	return list("%s, %s", all)
}

// team says who stands the leaf up, or that it takes gear.
func team(s *Spec) calc.Text {
	l, err := calc.HandLift(calc.HandlingInput{Mass: s.Mass, Estimated: s.Estimated})
	switch {
	case err != nil || l.People == 0:
		return calc.F("lifting gear (above the filter of %s for lifting by hand)", l.Limit)
	case l.People == 1:
		return calc.F("one person at least, or lifting gear")
	}
	return calc.F("%s people at least, or lifting gear", l.People)
}

// adjusters names the adjusters in their order.
func adjusters(sh *Sheet) calc.Text {
	if len(sh.Adjusters) == 0 {
		return calc.F(unknownFigure)
	}
	var names []calc.Text
	for _, a := range sh.Adjusters {
		names = append(names, calc.F("%s (%s, ±%s)", a.Name, calc.Word(a.Moves), a.Range))
	}
	return list("%s, then %s", names)
}

// unknownFigure stands in an item's text for what is not known yet.
const unknownFigure = "–"

// fill puts values for the names that are the text's arguments; one that is not
// known yet becomes a dash.
func fill(text calc.Text, values map[string]any) calc.Text {
	key, names := text.Sentence()
	args := make([]any, len(names))
	for i, name := range names {
		args[i] = values[name.(string)]
		if args[i] == nil || args[i] == "" {
			args[i] = unknownFigure
		}
	}
	return calc.F(key, args...)
}

// list returns parts one behind the other by the key for two, as "%s and %s";
// the zero text if there are none.
func list[T any](pair string, parts []T) (all calc.Text) {
	for i, part := range parts {
		if i == 0 {
			all = calc.F("%s", part)
		} else {
			all = calc.F(pair, all, part)
		}
	}
	return all
}

// shown returns names as they are shown: heel_gap is "heel gap".
func shown(names []string) []calc.Word {
	out := make([]calc.Word, len(names))
	for i, name := range names {
		out[i] = wordFor(name)
	}
	return out
}

func wordFor(name string) calc.Word { return calc.Word(strings.ReplaceAll(name, "_", " ")) }
