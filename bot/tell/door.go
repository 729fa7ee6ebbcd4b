package tell

import (
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
	return &ask.Door{Inches: j.Door.Spec.Inches, Values: values(j), Note: func(a *ask.Answer) { noteFixed(j, a) }}
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
				a.Notes = append(a.Notes, say.F("%s is %s at %s and stays so: this is another", say.Name(n.Name), n.Fixed, n.Value))
			}
		}
	}
}

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
	length("spindle_lift", sh.Floor.Lift, ask.FromSheet)
	length("bit", sh.Holes[s.Floor], ask.FromSheet)
	length("key", sh.Key.Reach, ask.FromSheet)
	length("body", sh.Key.Body, ask.FromSheet)
	length("kerf", sh.Key.Kerf, ask.FromSheet)
	v["stocks"] = ask.Value{List: sh.Key.Stocks, From: ask.FromSheet}
	v["point"] = ask.Value{Angle: sh.Pins.Point, From: ask.FromSheet}
	if pin, ok := j.Door.Number("pin_length"); ok {
		length("depth", pin.Value.Length()+sh.Pins.Allowance, ask.FromSheet)
		v["full_bore"] = ask.Value{Word: "yes", From: ask.FromSheet}
	}
	length("limit", sh.Plumb, ask.FromSheet)
	cureValues(j, v)
	if short := j.Door.TooShort(); !short.IsZero() {
		v[ask.ShortDoor] = ask.Value{Text: say.Of(short)}
	}
	if awaits := gapsAwait(j); !awaits.IsZero() {
		v[ask.TestedDoor] = ask.Value{Text: say.F("this door's gaps wait: %s", awaits)}
	} else if s.Tested() {
		v[ask.TestedDoor] = ask.Value{Text: say.F("none is computed for a fire or smoke door: by its evidence (%s) the gaps are %s at the heel and %s at the leading edge",
			s.Evidence, s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead))}
	}
	return v
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
		}
	}
	if lean, known := s.JambLean(); known {
		v["jamb_lean"] = ask.Value{Length: lean, From: ask.FromDoor}
	}
	v["swing"] = ask.Value{Word: map[string]string{jobs.OneWay: "one", jobs.BothWays: "both"}[s.Swing], From: ask.FromDoor}
	if s.CoverTo != "" {
		v["cover_to"] = ask.Value{Word: s.CoverTo, From: ask.FromDoor}
	}
	if s.Estimated {
		v["estimated"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
	if s.Heated {
		v["heated"] = ask.Value{Word: "yes", From: ask.FromDoor}
	}
}

// cureValues adds what the door and its sheet give for questions of its cure.
func cureValues(j *jobs.Job, v map[string]ask.Value) {
	a := j.Sheet.Adhesive.Calc()
	v["base"] = ask.Value{Number: float64(a.Base), Table: a.Table, From: ask.FromSheet}
	v["reference"] = ask.Value{Number: float64(a.Ref), From: ask.FromSheet}
	v["lowest"] = ask.Value{Number: float64(a.Lowest), From: ask.FromSheet}
	v["temperature"] = ask.Value{Number: float64(a.Lowest), From: ask.Assumed}
	for _, w := range j.Door.Warmths { // the coldest of the past day
		if w.At.After(j.At.Add(-24 * time.Hour)) {
			coldest := float64(w.T)
			if t := v["temperature"]; t.From == ask.FromDoor {
				coldest = min(coldest, t.Number)
			}
			v["temperature"] = ask.Value{Number: coldest, From: ask.FromDoor}
		}
	}
	c := j.Door.Cure(j.At)
	if c.Bonds == 0 {
		return
	}
	d := ask.Value{Text: CureText(j, j.At), From: ask.FromDoor}
	if !c.End.IsZero() {
		name := "ready_at"
		if !c.Unread.IsZero() {
			name = "not_before"
		}
		d.Results = append(d.Results, ask.Result{Name: name, Kind: ask.WordValue, Word: c.End.In(j.Site.Zone).Format(time.RFC3339), Shown: bot.Instant(c.End, j.Site)})
	}
	if !c.Void {
		d.Results = append(d.Results, ask.Result{Name: "progress", Kind: ask.NumberValue, Number: c.Least, Exact: c.Least, Shown: say.Plain(strconv.Itoa(int(c.Least*100)) + " %"), Minor: c.End.IsZero()})
	}
	v[ask.BondedDoor] = d
}
