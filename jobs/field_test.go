package jobs

import (
	"encoding/json"
	"errors"
	"maps"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"heelpost/calc"
)

// refusals returns what an error says of each field, "" for the rest.
func refusals(err error) map[string]string {
	out := map[string]string{}
	var walk func(error)
	walk = func(err error) {
		if list, ok := err.(interface{ Unwrap() []error }); ok {
			for _, e := range list.Unwrap() {
				walk(e)
			}
			return
		}
		field := ""
		if e, ok := errors.AsType[*FieldError](err); ok {
			field = e.Field
		}
		out[field] += err.Error()
	}
	walk(err)
	return out
}

// What is wrong with a door is said of each part of it at once.
func TestOpen_fields(t *testing.T) {
	for _, c := range []struct {
		change func(*Spec)
		want   map[string]string
	}{
		{func(s *Spec) { s.ID, s.Foreman, s.Crew = "A 1", "bo", []string{"zed"} }, map[string]string{
			"door":    `"A 1" is no door id: letters, digits, dots and dashes, at most 40`,
			"crew":    "zed is not named in the site file of orchard-lane",
			"foreman": "bo is crew at orchard-lane, not foreman: roles come from the site file"}},
		{func(s *Spec) { s.Mass, s.Setback, s.Thickness = 160, 45*mm, 72*mm; s.OpeningWidth = 1130 * mm }, map[string]string{
			"mass": "mass is 160 kg, the sheet carries 150 kg", "setback": "setback is 45 mm, the sheet wants at least 50 mm",
			"thickness": "thickness is 72 mm, the sheet allows 44 mm to 70 mm"}},
		{func(s *Spec) { s.OpeningWidth, s.Width = 1102*mm, 1310*mm }, map[string]string{
			"opening": "the opening is 1102 mm wide, the leaf needs 1326 mm to turn in it", "width": "width is 1310 mm, the sheet allows 1300 mm"}},
		{func(s *Spec) { s.OpeningHeight = 2401 * mm }, map[string]string{
			"opening height": "the opening is 2401 mm high, the leaf needs 2410 mm to be stood up in it"}},
		{func(s *Spec) { s.Floor = "lava" }, map[string]string{"floor": "sheet orchard has no hole for a floor of lava"}},
	} {
		b, s := newBench(t, "orchard"), a101()
		c.change(&s)
		if got := refusals(b.try("ana", &Open{s})); !maps.Equal(got, c.want) {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	if got := refusals(b.try("ana", &Open{a101()})); got["door"] != "door A-101 is open already" {
		t.Errorf("opened twice: got %q", got)
	}
}

// Several readings are one entry, in the order of the checklist, or none.
func TestReadItems(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()})
	b.toFloor()
	b.bond()
	b.hang()
	b.now = b.now.Add(48 * time.Hour)
	b.must("ana", tick("floor-sample", "adjust")...)
	gap := func(id string, v float64) ReadItem { return ReadItem{Item: id, Value: Of(v, "mm")} }
	b.refused("ana", &ReadItems{[]ReadItem{gap("heel-top", 8), gap("nothing", 8)}}, `"nothing" is no item`)
	err := b.try("ana", &ReadItems{[]ReadItem{gap("lead-top", -3), gap("heel-top", 8), {Item: "heel-bottom", Value: Of(8, "s")}}})
	got := refusals(err)
	if len(got) != 2 || got["lead-top"] == "" || got["heel-bottom"] != `heel-bottom is read in mm, not in "s"` {
		t.Errorf("got %q", got)
	}
	if s := b.settled("heel-top"); len(s) != 0 {
		t.Error("one of several refused readings was entered")
	}
	b.must("ana", &ReadItems{[]ReadItem{gap("lead-bottom", 8), gap("heel-top", 8), gap("lead-top", 50)}})
	if s := b.settled("heel-top", "lead-bottom"); len(s) != 2 || b.door.Items["lead-top"].Judgement != Out {
		t.Errorf("settled %v, lead-top is %q", s, b.door.Items["lead-top"].Judgement)
	}
	b.must("ana", &UndoLastMessage{})
	if s := b.settled("heel-top", "lead-bottom"); len(s) != 0 {
		t.Errorf("%v stand after undo", s)
	}
}

// A tick agrees to the text that was read, and is made once.
func TestTick_seen(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()}, &TickItem{Item: "datum"})
	b.must("bo", &TickItem{Item: "second"})
	b.must("ana", tick("joint", "carrier")...)
	at := func(id string) *Item {
		return ptr(Checklist(&b.door, b.sheet), func(it Item) bool { return it.ID == id })
	}
	room := at("room").Mark()
	s := b.door.Spec
	s.Setback += 5 * mm
	b.must("mo", &Correction{Spec: s, Why: "measured"})
	b.refused("ana", &TickItem{Item: "room", Seen: room}, "room reads otherwise by now, look at it again: room to swing")
	b.must("ana", &TickItem{Item: "room", Seen: at("room").Mark()})
	b.refused("bo", &TickItem{Item: "room", Seen: at("room").Mark()}, "room is ticked already, by ana on 2027-03-01")
}

// Whatever is stored of a door has its row, or stands beside one that has.
func TestFields_complete(t *testing.T) {
	var s Spec
	beside := map[string]string{"site": "", "inches": "width", "pounds": "mass", "estimated": "mass", "has_cover": "cover", "cover_to": "cover"}
	at, names := map[any]string{}, map[string]bool{}
	for _, f := range Fields {
		if at[f.At(&s)] != "" || names[f.Name] {
			t.Errorf("%s stands there twice", f.Name)
		}
		at[f.At(&s)], names[f.Name] = f.Name, true
		if f.Needed != nil && f.Ask == "" {
			t.Errorf("%s must be said, and is not asked for", f.Name)
		}
		if f.Above != "" && FieldNamed(f.Above) == nil {
			t.Errorf("%s stands above %s, which is none", f.Name, f.Above)
		}
		if strings.Count(f.Says, "%s") > 1 || f.Label == "" && f.Hint != "" {
			t.Errorf("%s has texts that can't be said: %q, %q", f.Name, f.Says, f.Hint)
		}
	}
	v := reflect.ValueOf(&s).Elem()
	for i := range v.NumField() {
		key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if _, ok := beside[key]; at[v.Field(i).Addr().Interface()] == "" && !ok {
			t.Errorf("%s has no row", key)
		}
	}
}

// The leans of the jambs are taken off the opening where they stand in, and the
// plate stands off by the heel jamb's: the plumb width is that between plumb
// lines through the points that stand furthest in (plane geometry).
func TestSetOut_lean(t *testing.T) {
	length := func(l calc.Length) *calc.Length { return &l }
	sheet := newBench(t, "orchard").sheet
	for _, c := range []struct {
		heel, lead              *calc.Length
		heelGap, leadGap, plate int64 // of a leaf of 1100 in 1120, set back 60
	}{
		{nil, nil, 10, 10, 70},
		{length(0), length(0), 10, 10, 70},
		{length(-2 * mm), length(-3 * mm), 10, 10, 70},
		{length(1 * mm), nil, 9, 10, 70},
		{nil, length(1 * mm), 9, 10, 69},
		{length(2 * mm), length(1 * mm), 8, 9, 70},
		{length(1 * mm), length(-1 * mm), 9, 10, 70},
	} {
		s := a101()
		s.OpeningWidth, s.LeanHeel, s.LeanLead = 1120*mm, c.heel, c.lead
		numbers, err := SetOut(&s, sheet)
		if err != nil {
			t.Fatal(err)
		}
		for name, want := range map[string]int64{"heel_gap": c.heelGap, "lead_gap": c.leadGap, "plate_centre": c.plate, "plate_centre_far": 1120 - c.plate} {
			if n, _ := find(numbers, name); n.Value.Length() != calc.Length(want)*mm {
				t.Errorf("lean %v and %v: %s is %v, want %d mm", c.heel, c.lead, name, n.Value, want)
			}
		}
		drilled, err := (&card{spec: &s, sheet: sheet, plate: calc.Length(c.plate) * mm}).setOut()
		if diff := cmp.Diff(numbers, drilled); err != nil || diff != "" {
			t.Errorf("drilled there the card is another: %v\n%s", err, diff)
		}
	}
}

// The plate stands clear of the point of the heel jamb that is furthest in, and
// the room is what lies between it and the leading jamb's: here 3 mm and
// 1124 - 2 - 3 mm by a drawing of both jambs, the heel jamb 3 mm in at
// mid-height, the leading jamb 2 mm in at its head.
func TestSetOut_surveyed(t *testing.T) {
	sheet := newBench(t, "orchard").sheet
	s, two := a101(), 2*mm
	s.OpeningWidth, s.WidthTop, s.WidthMiddle = 1124*mm, 1120*mm, 1120*mm
	s.LeanHeel, s.LeanLead, s.BowHeel = &two, &two, &two
	numbers, err := SetOut(&s, sheet)
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]calc.Length{"heel_gap": 9 * mm, "lead_gap": 10 * mm, "plate_centre": 72 * mm, "plate_centre_far": 1052 * mm} {
		if n, _ := find(numbers, name); n.Value.Length() != want {
			t.Errorf("%s is %v, want %v", name, n.Value, want)
		}
	}
	half := mm / 2
	s.BowHeel, s.LeanLead = &half, &half // 1.5 mm off the other lean and the widths
	s.LeanHeel = &half
	s.WidthMiddle = 0
	b := newBench(t, "orchard")
	if err := s.check(b.site, &Spec{}); err == nil {
		t.Error("leans that are 3 mm off the widths pass, want them read again")
	}
}

// What the plate's centre waits for, and that a bow of a millimetre is none.
func TestSpec_Unread(t *testing.T) {
	s := a101()
	s.OpeningWidth = 1130 * mm
	for middle, want := range map[calc.Length]string{0: "", 1131 * mm: "", 1129 * mm: "", 1128*mm + mm/2: "bow heel"} {
		if s.WidthMiddle = middle; strings.Join(s.Unread(), " ") != want {
			t.Errorf("middle %v: unread %v, want %q", middle, s.Unread(), want)
		}
	}
	s.BowHeel = s.LeanHeel
	s.LeanHeel, s.LeanLead, s.FloorFall = nil, nil, nil
	if got := strings.Join(s.Unread(), ", "); got != "lean heel, lean lead, floor fall" {
		t.Errorf("unread %q", got)
	}
}

// What was not read stays unread in storage, and 0 stays known.
func TestSpec_unread(t *testing.T) {
	var s Spec
	if err := json.Unmarshal([]byte(`{"lean_heel":0,"floor_fall":-3000000}`), &s); err != nil {
		t.Fatal(err)
	}
	if s.LeanHeel == nil || *s.LeanHeel != 0 || s.LeanLead != nil || s.FloorFall == nil || *s.FloorFall != -3*mm {
		t.Errorf("got %v %v %v", s.LeanHeel, s.LeanLead, s.FloorFall)
	}
	data, err := json.Marshal(&s)
	if text := string(data); err != nil || !strings.Contains(text, `"lean_heel":0,"floor_fall":-3000000`) || strings.Contains(text, "lean_lead") {
		t.Errorf("stored as %s, %v", text, err)
	}
}

// What is different in each field of a door is told, and told of no other.
func TestFields_struck(t *testing.T) {
	for i := range Fields {
		f, s, old := &Fields[i], a101(), a101()
		s.Swing, old.Swing = OneWay, OneWay
		v := reflect.ValueOf(f.At(&s)).Elem()
		switch v.Kind() {
		case reflect.Bool:
			v.SetBool(!v.Bool())
		case reflect.String:
			v.SetString("other")
		case reflect.Slice:
			if v.Type().Elem().Kind() == reflect.Struct {
				v.Set(reflect.MakeSlice(v.Type(), 1, 1))
				break
			}
			v.Set(reflect.ValueOf([]string{"other"}))
		case reflect.Map:
			v.Set(reflect.ValueOf(map[string]string{"setback": FromSite}))
		case reflect.Float64:
			v.SetFloat(v.Float() + 1)
		case reflect.Int, reflect.Int64:
			v.SetInt(v.Int() + int64(mm))
		case reflect.Pointer: // 0 is known, too
			other := reflect.New(v.Type().Elem())
			if !v.IsNil() {
				other.Elem().SetInt(int64(mm))
			}
			v.Set(other)
		default:
			t.Fatalf("%s is a %s: say here how it differs", f.Name, v.Kind())
		}
		if got := s.struck(&old); len(got) != 1 || got[0].Name != f.Name || got[0].Old == got[0].New {
			t.Errorf("%s: struck %+v", f.Name, got)
		}
	}
}
