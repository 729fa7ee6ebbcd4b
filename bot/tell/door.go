package tell

import (
	"math"
	"slices"
	"strconv"
	"time"

	"heelpost/bot"
	"heelpost/bot/ask"
	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// Asked returns the door as questions know it, nil for none.
func Asked(j *jobs.Job) *ask.Door {
	if j == nil {
		return nil
	}
	return &ask.Door{ID: j.Door.Spec.ID, Inches: j.Door.Spec.Inches, Wall: func(t time.Time) time.Time { return jobs.Wall(t, j.Site.Zone) }, Values: values(j), Note: func(a *ask.Answer) { noteFixed(j, a) }}
}

// noteFixed notes in an answer which of its results the door has otherwise,
// drilled or cut already. The least gap that turns is not the door's.
func noteFixed(j *jobs.Job, a *ask.Answer) {
	for _, n := range j.Door.Numbers {
		if n.Fixed == "" || a.Verb == "gap" {
			continue
		}
		for i := range a.Results {
			r := &a.Results[i]
			if (r.Name == n.Name || r.Name == n.Name+"_full_bore") && r.Kind == ask.LengthValue && r.Length.SetOut != n.Value.Length() {
				a.Mentions = append(a.Mentions, say.F("%s is %s at %s and stays so: this is another", say.Name(n.Name), n.Fixed, n.Value))
			}
		}
	}
}

// settles are the general cautions that an item of the checklist has dealt with.
var settles = map[string]string{"status": "evidence", "floor-services": "locate", "plumb": "plumb up"}

// values returns what the door and its sheet give for the inputs of
// questions.
func values(j *jobs.Job) map[string]ask.Value {
	s, sh := &j.Door.Spec, j.Sheet
	v := map[string]ask.Value{}
	length := func(name string, l calc.Length, from ask.Origin) {
		if l != 0 {
			v[name] = ask.Value{Length: l, From: from}
		}
	}
	fieldValues(s, v)
	for name, as := range map[string][]string{"heel_gap": {"gap", "gap_heel"}, "lead_gap": {"gap_lead"}} {
		if n, ok := j.Door.Number(name); ok {
			for _, input := range as {
				length(input, n.Value.Length(), ask.FromDoor)
			}
		}
	}
	length("template", sh.Floor.Template, ask.FromSheet)
	length("plate_length", sh.Floor.Length, ask.FromSheet)
	length("plate_width", sh.Floor.Width, ask.FromSheet)
	length("spindle_lift", sh.Floor.Lift, ask.FromSheet)
	length("bit", sh.Holes[s.Floor], ask.FromSheet)
	length("key", sh.Key.Reach, ask.FromSheet)
	length("body", sh.Key.Body, ask.FromSheet)
	length("kerf", sh.Key.Kerf, ask.FromSheet)
	if len(sh.Key.Stocks) > 0 {
		v["stocks"] = ask.Value{List: sh.Key.Stocks, From: ask.FromSheet}
	}
	if sh.Pins.Point != 0 {
		v["point"] = ask.Value{Angle: sh.Pins.Point, From: ask.FromSheet}
	}
	length("depth", sh.Screws.Depth, ask.FromSheet)
	length("embedment", sh.Pins.Embedment, ask.FromSheet)
	length("allowance", sh.Pins.Allowance, ask.FromSheet)
	length("edge_least", sh.Pins.Edge, ask.FromSheet)
	length("joint_least", sh.Pins.Joint, ask.FromSheet)
	length("apart_least", sh.Pins.Apart, ask.FromSheet)
	if len(sh.Pins.Lengths) > 0 {
		v["pin_lengths"] = ask.Value{List: sh.Pins.Lengths, From: ask.FromSheet}
	}
	if pin, ok := j.Door.Number("pin_length"); ok {
		length("depth", pin.Value.Length()+sh.Pins.Allowance, ask.FromSheet)
		v["full_bore"] = ask.Value{Word: "yes", From: ask.FromSheet}
		length("pin_diameter", sh.Pins.Diameter, ask.FromSheet)
		length("pin_depth", pin.Value.Length(), ask.FromDoor)
		if count, ok := j.Door.Number("pin_count"); ok {
			v["holes"] = ask.Value{Number: count.Value.Value(), From: ask.FromDoor}
			v["pin_count"] = v["holes"]
		}
	}
	length("limit", sh.Plumb, ask.FromSheet)
	cureValues(j, v)
	if rule := j.Site.Rule; rule != "" {
		v["rule"] = ask.Value{Word: rule, From: ask.FromSite}
	}
	marginValues(j, v)
	notHere(sh, v)
	screws(sh, v)
	lifetime(sh, v)
	for item, caution := range settles {
		if s := j.Door.Items[item]; s.Settled() && (s.State == jobs.Ticked || s.State == jobs.Read) {
			v[ask.SettledDoor+caution] = ask.Value{}
		}
	}
	doubtful(j, v)
	return v
}

// lifetime adds how long the pivot is good for, and when the maker wants a service.
func lifetime(sh *jobs.Sheet, v map[string]ask.Value) {
	if sh.Cycles > 0 {
		v["cycles"] = ask.Value{Number: float64(sh.Cycles), From: ask.FromSheet}
	}
	if s := sh.Service; s.Cycles > 0 {
		v["service_cycles"] = ask.Value{Number: float64(s.Cycles), From: ask.FromSheet}
	}
	if s := sh.Service; s.Months > 0 {
		v["service_months"] = ask.Value{Number: float64(s.Months), From: ask.FromSheet}
	}
}

// doubtful adds why answers that rest on the opening or on gaps are no use yet.
func doubtful(j *jobs.Job, v map[string]ask.Value) {
	s := &j.Door.Spec
	if unread := s.Unread(); len(s.ElsewhereMeasured()) > 0 {
		v[ask.UnmeasuredDoor] = ask.Value{Word: "opening", Text: say.F("opening not measured here")}
	} else if len(unread) > 2 {
		v[ask.UnmeasuredDoor] = ask.Value{Text: say.F("jambs, floor not read")}
	} else if len(unread) > 0 {
		v[ask.UnmeasuredDoor] = ask.Value{Text: say.F("not read: %s", say.Names(", ", unread...))}
	}
	if short := j.Door.TooShort(j.Sheet); !short.IsZero() {
		v[ask.ShortDoor] = ask.Value{Text: say.Of(short)}
	}
	if awaits := gapsAwait(j); !awaits.IsZero() {
		v[ask.TestedDoor] = ask.Value{Text: say.F("this door's gaps wait: %s", awaits)}
	} else if s.Tested() {
		v[ask.TestedDoor] = ask.Value{Text: say.F("none is computed for a fire or smoke door: by its evidence (%s) the gaps are %s at the heel and %s at the leading edge",
			s.Evidence, s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead))}
	}
}

// screws adds how far the adjusters go and how they are turned, and how the head
// pivot is engaged. A sheet that names its adjusters has no others: what none of
// them moves is fixed.
func screws(sh *jobs.Sheet, v map[string]ask.Value) {
	for _, s := range []struct{ input, moves, at, screw string }{{"floor_range", "across", "floor", "floor"}, {"head_range", "across", "head", "head"}, {"height_range", "height", "", "height"}} {
		a := sh.Adjuster(s.moves, s.at)
		if a == nil {
			if len(sh.Adjusters) > 0 {
				v[s.input] = ask.Value{From: ask.FromSheet}
			}
			continue
		}
		own := ask.Value{Length: a.Range, From: ask.FromSheet}
		if a.Pitch != 0 {
			own.Turn = &ask.Turn{Pitch: a.Pitch, Clockwise: a.Calc().Clockwise, SeenFrom: a.SeenFrom}
			v[ask.ScrewDoor+s.screw] = ask.Value{Length: a.Pitch, Word: a.Name, From: ask.FromSheet}
		}
		v[s.input] = own
	}
	if sh.Engagement.Pitch != 0 {
		v[ask.ScrewDoor+"engagement"] = ask.Value{Length: sh.Engagement.Pitch, Word: "engagement", From: ask.FromSheet}
	}
	if sh.Engagement.Least != 0 {
		v["engagement"] = ask.Value{Length: sh.Engagement.Depth, From: ask.FromSheet}
		v["engagement_least"] = ask.Value{Length: sh.Engagement.Least, From: ask.FromSheet}
	}
}

// notHere says which questions do not concern a door of its sheet.
func notHere(sh *jobs.Sheet, v map[string]ask.Value) {
	switch sh.Floor.Fixing {
	case jobs.ByScrews:
		v[ask.NotHere+"pins"] = ask.Value{Text: say.F("by sheet %s this door's floor plate is held by screws: it has no pins", sh.Name)}
	case jobs.ByBox:
		v[ask.NotHere+"pins"] = ask.Value{Text: say.F("by sheet %s this door has a floor box: it has no pins", sh.Name)}
		v[ask.NotHere+"stop"] = ask.Value{Text: say.F("by sheet %s this door has a floor box in a recess: no holes are drilled for it", sh.Name)}
	}
	if !sh.FloorBonded() && !sh.Head.Bonded {
		for _, verb := range []string{"cure", "glue"} {
			v[ask.NotHere+verb] = ask.Value{Text: say.F("by sheet %s nothing of this door is bonded", sh.Name)}
		}
	}
	if sh.Head.Reach == jobs.FromAbove {
		v[ask.NotHere+"reach"] = ask.Value{Text: say.F("by sheet %s this door's head pivot is turned from above: it takes no key from the edge", sh.Name)}
	}
}

// fieldValues adds what is known of the door itself.
func fieldValues(s *jobs.Spec, v map[string]ask.Value) {
	for i := range jobs.Fields {
		f := &jobs.Fields[i]
		if f.Gives == "" {
			continue
		}
		switch at := f.At(s).(type) {
		case *calc.Length:
			if f.Value(s) != "" {
				v[f.Gives] = ask.Value{Length: *at, From: ask.FromDoor}
			}
		case **calc.Length:
			if *at != nil {
				v[f.Gives] = ask.Value{Length: **at, From: ask.FromDoor}
			}
		case *calc.Mass:
			v[f.Gives] = ask.Value{Number: float64(*at), From: ask.FromDoor}
			if s.Pounds {
				v[f.Gives] = ask.Value{Number: float64(*at), Word: "lb", From: ask.FromDoor}
			}
		}
	}
	o := s.Opening()
	if widths := []calc.Length{o.WidthTop, o.WidthMiddle, o.WidthBottom}; o.WidthTop != o.WidthBottom || o.WidthMiddle != 0 {
		spread(v, widths, "width_top", "width_middle", "width_bottom")
	}
	if heights := []calc.Length{o.HeightHeel, o.HeightMiddle, o.HeightLead}; o.HeightLead != o.HeightHeel || o.HeightMiddle != 0 {
		spread(v, heights, "height_heel", "height_middle", "height_lead")
	}
	if lean, known := s.JambLean(); known || lean != 0 {
		v["jamb_lean"] = ask.Value{Length: lean, From: ask.FromDoor}
	}
	v[ask.JambsDoor] = ask.Value{Length: s.JambsIn()}
	v["swing"] = ask.Value{Word: map[string]string{jobs.OneWay: "one", jobs.BothWays: "both"}[s.Swing], From: ask.FromDoor}
	if s.HasCover && s.CoverTo != "" {
		v["cover_to"] = ask.Value{Word: s.CoverTo, From: ask.FromDoor}
	}
	if s.Estimated {
		v["estimated"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
	if s.Heated {
		v["heated"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
	if s.Tendons {
		v["tendons"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
	if slices.Contains(s.Status, "escape") {
		v["escape"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
}

// spread adds readings of the opening, those that were taken.
func spread(v map[string]ask.Value, read []calc.Length, names ...string) {
	for i, l := range read {
		if l != 0 {
			v[names[i]] = ask.Value{Length: l, From: ask.FromDoor}
		}
	}
}

// cureValues adds what the door and its sheet give for questions of its cure.
func cureValues(j *jobs.Job, v map[string]ask.Value) {
	a := j.Sheet.Adhesive.Calc()
	if a.Base == 0 { // nothing is bonded
		return
	}
	v["base"] = ask.Value{Number: float64(a.Base), Table: a.Table, From: ask.FromSheet}
	v["reference"] = ask.Value{Number: float64(a.Ref), From: ask.FromSheet}
	v["lowest"] = ask.Value{Number: float64(a.Lowest), From: ask.FromSheet}
	v["temperature"] = ask.Value{Number: float64(a.Lowest), From: ask.Assumed}
	for _, w := range j.Door.Warmths { // the last of the past day
		if w.At.After(j.At.Add(-24 * time.Hour)) {
			v["temperature"] = ask.Value{Number: float64(w.T), From: ask.FromDoor}
		}
	}
	c := j.Door.Cure(j.At)
	if c.Bonds == 0 {
		return
	}
	d := ask.Value{Text: CureText(j, j.At), From: ask.FromDoor}
	for _, b := range j.Door.Bonds { // the latest, which counts fewest hours
		if b.From.After(d.At) {
			d.At = b.From
		}
	}
	if !c.End.IsZero() {
		name := "ready_at"
		if !c.Unread.IsZero() {
			name = "not_before"
		}
		d.Results = append(d.Results, ask.Result{Name: name, Kind: ask.WordValue, Word: c.End.In(j.Site.Zone).Format(time.RFC3339), Shown: bot.Instant(c.End, j.Site)})
	}
	if !c.Void && !(c.ByWord && c.End.After(j.At)) {
		d.Results = append(d.Results, ask.Result{Name: "progress", Kind: ask.NumberValue, Number: math.Floor(100 * c.Least), Exact: 100 * c.Least, Unit: "%", Shown: say.Plain(strconv.Itoa(int(c.Least*100)) + " %"), Minor: c.End.IsZero()})
	}
	v[ask.BondedDoor] = d
}
