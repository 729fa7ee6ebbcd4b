package jobs

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"heelpost/calc"
)

// OwnItem is a line that a site or a hardware sheet adds to the checklist of its
// doors. It is like any other: ticked, read or photographed, taken back, left
// out, and as a hold passed on the foreman's word only.
//
// A door keeps those of the sheet that it uses, as it keeps the sheet; those of
// the site's file stand in the door itself, as they were when it was opened, for
// an earlier site file is kept nowhere. Newer ones are taken by a correction,
// which says what changed: what was ticked by the same name stays, unless its
// text or limits are others now.
type OwnItem struct {
	ID    string `yaml:"id" json:"id"`
	Stage Stage  `yaml:"stage" json:"stage"`
	Text  string `yaml:"text" json:"text"`
	Kind  Kind   `yaml:"kind,optional" json:"kind,omitempty"` // tick if nothing is said, reading, photo
	Hold  bool   `yaml:"hold,optional" json:"hold,omitempty"`
	Unit  string `yaml:"unit,optional" json:"unit,omitempty"` // of a reading
	Least string `yaml:"least,optional" json:"least,omitempty"`
	Most  string `yaml:"most,optional" json:"most,omitempty"`
}

// ownRule is what all own items have in common.
var ownRule = itemRule{until: always, own: true}

var (
	ownID   = regexp.MustCompile(`^[a-z][a-z-]{1,28}[a-z]$`)
	ownUnit = regexp.MustCompile(`^[\pL%°/·²-]{1,10}$`)
)

// maxOwn and maxOwnText bound what a file adds: a list is read on a phone.
const (
	maxOwn     = 30
	maxOwnText = 200
)

// checkOwn notes what is wrong with the items of a file.
func checkOwn(f *file, items []OwnItem) {
	f.expect(len(items) <= maxOwn, "items", "there are %s, at most %s are taken", len(items), maxOwn)
	seen := map[string]bool{}
	for i := range items {
		o, path := &items[i], fmt.Sprintf("items[%d]", i+1)
		f.expect(ownID.MatchString(o.ID), path+".id", "%q: small letters and dashes only, 3 to 30, as fire-stop", cut(o.ID, 40))
		f.expect(ptr(itemRules, func(r itemRule) bool { return r.id == o.ID }) == nil, path+".id", "%s stands in every door's list: give it another name", o.ID)
		f.expect(!seen[o.ID], path+".id", "%s stands there twice", o.ID)
		seen[o.ID] = true
		f.expect(slices.Contains(Stages[:len(Stages)-1], o.Stage), path+".stage", "%q is none of %s", cut(string(o.Stage), 40), stageNames())
		f.expect(checkText(o.Text) == nil && !strings.Contains(o.Text, "\n") && utf8.RuneCountInString(o.Text) <= maxOwnText, path+".text", "one line of at most %s characters is wanted", maxOwnText)
		switch o.Kind {
		case "":
			o.Kind = Tick
		case Tick, Reading, Photo:
		default:
			f.expect(false, path+".kind", "%q is none of tick, reading, photo", cut(string(o.Kind), 40))
		}
		o.checkReading(f, path)
	}
}

// stageNames lists the stages that an item can stand in.
func stageNames() string {
	names := make([]string, len(Stages)-1)
	for i := range names {
		names[i] = string(Stages[i])
	}
	return strings.Join(names, ", ")
}

// checkReading notes what is wrong with unit and limits.
func (o *OwnItem) checkReading(f *file, path string) {
	if o.Kind != Reading {
		for key, value := range map[string]string{"unit": o.Unit, "least": o.Least, "most": o.Most} {
			f.expect(value == "", path+"."+key, "only a reading has one: kind: reading")
		}
		return
	}
	f.expect(ownUnit.MatchString(o.Unit), path+".unit", "%q is no unit of a reading, as mm, °C, N or %%", cut(o.Unit, 40))
	for key, value := range map[string]string{"least": o.Least, "most": o.Most} {
		_, ok := o.figure(value)
		f.expect(value == "" || ok, path+"."+key, "%q: write it with the reading's unit, as 5 %s", cut(value, 40), o.Unit)
	}
	least, ok1 := o.figure(o.Least)
	most, ok2 := o.figure(o.Most)
	f.expect(!ok1 || !ok2 || least <= most, path+".most", "%s is less than %s", o.Most, o.Least)
}

// figure reads one of the item's limits.
func (o *OwnItem) figure(text string) (v float64, ok bool) {
	number, unit, _ := strings.Cut(text, " ")
	v, err := strconv.ParseFloat(number, 64)
	return v, err == nil && unit == o.Unit && v >= -100 && v <= 10_000
}

// limits returns what its reading is judged against at a door.
func (o *OwnItem) limits(s *Spec) (l Limits) {
	end := func(text string) *Measure {
		v, ok := o.figure(text)
		if !ok {
			return nil
		}
		m := Of(v, o.Unit)
		if o.Unit == "mm" {
			m = s.Measure(calc.Length(m.Micro))
		}
		return &m
	}
	l.Least, l.Most = end(o.Least), end(o.Most)
	return l
}

// item returns the item as a door has it.
func (o *OwnItem) item(d *Door) Item {
	it := Item{ID: o.ID, Stage: o.Stage, Text: calc.F("%s", o.Text), Kind: o.Kind, Hold: o.Hold, Unit: o.Unit, State: d.Items[o.ID]}
	if o.Kind == Reading {
		it.Limits = o.limits(&d.Spec)
	}
	if it.Unit == "mm" && d.Spec.Inches {
		it.Unit = inches
	}
	return it
}

// ownText tells the own items of the site that a door has.
func (s *Spec) ownText() string {
	names := make([]string, len(s.Own))
	for i, o := range s.Own {
		names[i] = fmt.Sprintf("%s (%s)", o.ID, hash([]byte(fmt.Sprint(o)))[:4])
	}
	return strings.Join(names, ", ")
}

// ownItems is the field that holds the site's own items.
const ownItems = "own items"

// ownStruck tells how a door's own items changed.
func ownStruck(s Struck) calc.Text {
	read := func(text string) (names []string, as map[string]string) {
		as = map[string]string{}
		for _, part := range strings.Split(text, ", ") {
			if name, mark, ok := strings.Cut(part, " "); ok {
				names, as[name] = append(names, name), mark
			}
		}
		return names, as
	}
	var parts []calc.Text
	before, was := read(s.Old)
	after, is := read(s.New)
	for _, name := range after {
		switch {
		case was[name] == "":
			parts = append(parts, calc.F("%s added", name))
		case was[name] != is[name]:
			parts = append(parts, calc.F("%s changed", name))
		}
	}
	for _, name := range without(before, after) {
		parts = append(parts, calc.F("%s taken away", name))
	}
	return calc.F("items: %s", list("%s, %s", parts))
}

// Clash says what a site's file and a hardware sheet can't have at the same
// door: items of one name, usual values that the sheet does not take.
func (s *Site) Clash(sh *Sheet) (all []calc.Text) {
	for _, o := range s.Items {
		if slices.ContainsFunc(sh.Items, func(other OwnItem) bool { return other.ID == o.ID }) {
			all = append(all, calc.F("item %s stands in the file of site %s and in sheet %s: give one of them another name", o.ID, s.ID, sh.Name))
		}
	}
	if u := &s.UsualDoor; u.Sheet == sh.Name {
		if _, ok := sh.Holes[u.Floor]; u.Floor != "" && !ok {
			all = append(all, calc.F("the usual floor of site %s is %s: sheet %s has no hole for it", s.ID, u.Floor, sh.Name))
		}
		if t := u.Thickness; t != 0 && (t < sh.Leaf.Thickness.Least || t > sh.Leaf.Thickness.Most) {
			all = append(all, calc.F("the usual thickness of site %s is %s: sheet %s allows %s to %s", s.ID, t, sh.Name, sh.Leaf.Thickness.Least, sh.Leaf.Thickness.Most))
		}
		if u.Setback != 0 && u.Setback < sh.Leaf.Setback {
			all = append(all, calc.F("the usual setback of site %s is %s: sheet %s wants at least %s", s.ID, u.Setback, sh.Name, sh.Leaf.Setback))
		}
	}
	return all
}
