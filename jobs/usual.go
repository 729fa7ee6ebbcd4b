package jobs

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"heelpost/calc"
)

// Usual is what the doors of a site have where nothing else is said. What a leaf
// weighs, what a door must stop and what is measured at an opening is no usual
// value: each door has its own.
type Usual struct {
	Thickness calc.Length `yaml:"thickness,optional"`
	Setback   calc.Length `yaml:"setback,optional"`
	BothWays  bool        `yaml:"both_ways,optional"`
	Floor     string      `yaml:"floor,optional"`
	Heated    bool        `yaml:"heated,optional"`
	Covering  calc.Length `yaml:"covering,optional"`
	Lining    calc.Length `yaml:"lining,optional"`
	Stop      calc.Length `yaml:"stop,optional"`
	Seals     bool        `yaml:"seals,optional"`
	Latch     bool        `yaml:"latch,optional"`
	Cycles    int         `yaml:"cycles,optional"`
	Sheet     string      `yaml:"sheet,optional"`
	Crew      []string    `yaml:"crew,optional"`
	Foreman   string      `yaml:"foreman,optional"`
}

// UsualLeaf is what the leaves of a hardware sheet have where nothing else is
// said.
type UsualLeaf struct {
	Thickness calc.Length `yaml:"thickness,optional"`
	Setback   calc.Length `yaml:"setback,optional"`
}

// spec returns the values as those of a door.
func (u *Usual) spec() *Spec {
	s := &Spec{Thickness: u.Thickness, Setback: u.Setback, Floor: u.Floor, Heated: u.Heated, Covering: u.Covering, Lining: u.Lining,
		StopWidth: u.Stop, Seals: u.Seals, Latch: u.Latch, CyclesDay: u.Cycles, Sheet: u.Sheet, Crew: u.Crew, Foreman: u.Foreman}
	if u.BothWays {
		s.Swing = BothWays
	}
	return s
}

// check notes usual values that no door of the site can have, by the project's
// own bounds of what is believed.
func (u *Usual) check(f *file, s *Site) {
	length := func(key string, l, least, most calc.Length) {
		if l != 0 {
			within(f, "usual."+key, l, least, most)
		}
	}
	length("thickness", u.Thickness, 5*mm, 300*mm)
	length("setback", u.Setback, mm, 3000*mm)
	length("covering", u.Covering, 0, 200*mm)
	length("lining", u.Lining, 0, 200*mm)
	length("stop", u.Stop, 0, 200*mm)
	f.expect(u.Cycles >= 0 && u.Cycles <= int(FieldNamed("cycles a day").Most), "usual.cycles", "%s is no number of cycles a day", u.Cycles)
	f.expect(u.Sheet == "" || len(s.Sheets) == 0 || slices.Contains(s.Sheets, u.Sheet), "usual.sheet", "%s is none of the site's sheets", cut(u.Sheet, 40))
	for i, id := range u.Crew {
		f.expect(s.Role(id) != Guest, fmt.Sprintf("usual.crew[%d]", i+1), "%s is none of the people", cut(id, 40))
	}
	f.expect(u.Foreman == "" || s.Role(u.Foreman) == Foreman, "usual.foreman", "%s is no foreman of the site", cut(u.Foreman, 40))
}

// Sources of what is taken over, beside the ids of doors.
const (
	FromSite  = "site"
	FromSheet = "sheet"
)

// Presume takes what is not said of the door from usual values, and notes where
// it is from.
func (s *Spec) Presume(from string, usual *Spec) {
	for i := range Fields {
		if f := &Fields[i]; f.Value(s) == "" && f.Value(usual) != "" && f.Name != takenOver {
			reflect.ValueOf(f.At(s)).Elem().Set(reflect.ValueOf(f.At(usual)).Elem())
			s.take(f.Name, from)
		}
	}
}

// take notes where a field's value is from.
func (s *Spec) take(field, from string) {
	if s.Taken = maps.Clone(s.Taken); s.Taken == nil {
		s.Taken = map[string]string{}
	}
	s.Taken[field] = from
}

// Say notes that fields were said of the door itself: they are taken over no
// more.
func (s *Spec) Say(fields ...string) {
	s.Taken = maps.Clone(s.Taken)
	maps.DeleteFunc(s.Taken, func(name, _ string) bool {
		f := FieldNamed(name)
		return f == nil || f.Value(s) == "" || slices.Contains(fields, name)
	})
	if len(s.Taken) == 0 {
		s.Taken = nil
	}
}

// Like returns a door to be opened like this one. What is measured at each
// opening is left out, but for the opening's size, which stands in until it is
// measured; so are the gaps of test evidence, which are one door's.
func (s *Spec) Like() Spec {
	like := *s
	like.ID, like.Crew, like.Status, like.SheetHash = "", slices.Clone(s.Crew), slices.Clone(s.Status), ""
	like.HasCover, like.CoverTo, like.Own = false, "", nil
	for i := range Fields {
		f := &Fields[i]
		switch {
		case f.Name == "opening" || f.Name == "opening height":
			like.take(f.Name, s.ID)
		case f.Name == takenOver:
		case f.Found || f.Takes == Evidence:
			at := reflect.ValueOf(f.At(&like)).Elem()
			at.SetZero()
		}
	}
	like.Say() // what is zero is taken over no more
	return like
}

// takenOver is the field that names what is taken over.
const takenOver = "taken over"

// ElsewhereMeasured returns the fields that were measured at another door only.
func (s *Spec) ElsewhereMeasured() (names []string) {
	for i := range Fields {
		if f := &Fields[i]; f.Found && s.Taken[f.Name] != "" {
			names = append(names, f.Name)
		}
	}
	return names
}

// takenText lists what is taken over.
func (s *Spec) takenText() string { return strings.Join(slices.Sorted(maps.Keys(s.Taken)), ", ") }
