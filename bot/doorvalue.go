package bot

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"heelpost/calc"
	"heelpost/jobs"
)

// doorValue is what a door gives for an input of a question.
type doorValue struct {
	length calc.Length
	angle  calc.Angle
	word   string
	list   []calc.Length
	number float64        // of a mass, a temperature or hours
	table  []calc.CureRow // of an adhesive that has its own
	from   Origin

	results []Result // of a cure that runs
}

// askedDoor is the door that is asked about.
type askedDoor struct {
	inches bool
	values map[string]doorValue
	note   func(*Answer) // adds what the door has otherwise
}

// asked returns the door as questions know it, nil for none.
func (j *job) asked() *askedDoor {
	if j == nil {
		return nil
	}
	return &askedDoor{j.door.Spec.Inches, j.values(), j.noteFixed}
}

// bondedDoor is the key under which a door with a bonded plate tells how far
// its cure has come.
const bondedDoor = "bonded"

// testedDoor is the key under which a door whose gaps come from test evidence
// says what they are or wait for.
const testedDoor = "tested"

// shortDoor is the key under which a door says that its cover is too little
// for any pin.
const shortDoor = "short"

// about returns the door in whose thread a message stands, nil if it stands
// in none.
func (d *Desk) about(ctx context.Context, m Message) (*job, error) {
	site := d.siteFor(&m)
	if site == nil || m.Thread == "" {
		return nil, nil
	}
	j, err := d.job(ctx, doorKey(site.ID, m.Thread))
	if err != nil {
		if errors.Is(err, jobs.ErrNotFound) {
			err = nil
		}
		return nil, err
	}
	j.at = m.At
	return j, nil
}

// noteFixed notes in an answer which of its results the door has otherwise,
// drilled or cut already. The least gap that turns is not the door's.
func (j *job) noteFixed(a *Answer) {
	for _, n := range j.door.Numbers {
		if n.Fixed == "" || a.Verb == "gap" {
			continue
		}
		for i := range a.Results {
			r := &a.Results[i]
			if (r.Name == n.Name || r.Name == n.Name+"_full_bore") && r.Kind == LengthValue && r.Length.SetOut != n.Value.Length() {
				a.Notes = append(a.Notes, words(n.Name)+" is "+n.Fixed+" at "+n.Value.String()+" and stays so: this is another")
			}
		}
	}
}

// values returns what the door and its sheet give for the inputs of
// questions.
func (j *job) values() map[string]doorValue {
	s, sh := &j.door.Spec, j.sheet
	v := map[string]doorValue{}
	length := func(name string, l calc.Length, from Origin) {
		if l != 0 {
			v[name] = doorValue{length: l, from: from}
		}
	}
	length("thickness", s.Thickness, FromDoor)
	length("setback", s.Setback, FromDoor)
	length("width", s.Width, FromDoor)
	length("leaf_height", s.Height, FromDoor) // height is the opening's
	length("opening", s.OpeningWidth, FromDoor)
	length("height", s.OpeningHeight, FromDoor)
	length("covering", s.Covering, FromDoor)
	length("lining", s.Lining, FromDoor)
	length("stop_width", s.StopWidth, FromDoor)
	if s.HasCover {
		v["cover"] = doorValue{length: s.Cover, from: FromDoor}
	}
	if s.CoverTo != "" {
		v["cover_to"] = doorValue{word: s.CoverTo, from: FromDoor}
	}
	v["swing"] = doorValue{word: map[string]string{jobs.OneWay: "one", jobs.BothWays: "both"}[s.Swing], from: FromDoor}
	for name, as := range map[string][]string{"heel_gap": {"gap", "gap_heel"}, "lead_gap": {"gap_lead"}} {
		if n, ok := j.door.Number(name); ok {
			for _, input := range as {
				length(input, n.Value.Length(), FromDoor)
			}
		}
	}
	length("template", sh.Floor.Template, FromSheet)
	length("plate_length", sh.Floor.Length, FromSheet)
	length("spindle_lift", sh.Floor.Lift, FromSheet)
	length("bit", sh.Holes[s.Floor], FromSheet)
	length("key", sh.Key.Reach, FromSheet)
	length("body", sh.Key.Body, FromSheet)
	length("kerf", sh.Key.Kerf, FromSheet)
	v["stocks"] = doorValue{list: sh.Key.Stocks, from: FromSheet}
	v["point"] = doorValue{angle: sh.Pins.Point, from: FromSheet}
	if pin, ok := j.door.Number("pin_length"); ok {
		length("depth", pin.Value.Length()+sh.Pins.Allowance, FromSheet)
		v["full_bore"] = doorValue{word: "yes", from: FromSheet}
	}
	length("limit", sh.Plumb, FromSheet)
	v["mass"] = doorValue{number: float64(s.Mass), from: FromDoor}
	if s.Estimated {
		v["estimated"] = doorValue{word: "yes", from: FromDoor}
	}
	j.cureValues(v)
	if short := j.door.TooShort(); short != "" {
		v[shortDoor] = doorValue{word: short}
	}
	if awaits := j.awaits(); awaits != "" {
		v[testedDoor] = doorValue{word: "this door's gaps wait: " + awaits}
	} else if s.Tested() {
		v[testedDoor] = doorValue{word: fmt.Sprintf("none is computed for a fire or smoke door: by its evidence (%s) the gaps are %s at the heel and %s at the leading edge",
			s.Evidence, s.Tell(s.EvidenceHeel), s.Tell(s.EvidenceLead))}
	}
	return v
}

// cureValues adds what the door and its sheet give for questions of its cure.
func (j *job) cureValues(v map[string]doorValue) {
	a := j.sheet.Adhesive.Calc()
	v["base"] = doorValue{number: float64(a.Base), table: a.Table, from: FromSheet}
	v["reference"] = doorValue{number: float64(a.Ref), from: FromSheet}
	v["lowest"] = doorValue{number: float64(a.Lowest), from: FromSheet}
	v["temperature"] = doorValue{number: float64(a.Lowest), from: Assumed}
	for _, w := range j.door.Warmths { // the coldest of the past day
		if w.At.After(j.at.Add(-24 * time.Hour)) {
			coldest := float64(w.T)
			if t := v["temperature"]; t.from == FromDoor {
				coldest = min(coldest, t.number)
			}
			v["temperature"] = doorValue{number: coldest, from: FromDoor}
		}
	}
	c := j.door.Cure(j.at)
	if c.Bonds == 0 {
		return
	}
	d := doorValue{word: j.cureText(j.at), from: FromDoor}
	if !c.End.IsZero() {
		d.results = append(d.results, Result{Name: "ready_at", Kind: WordValue, Word: c.End.In(j.site.Zone).Format(time.RFC3339), Shown: said(c.End, j.site)})
	}
	if !c.Void {
		d.results = append(d.results, Result{Name: "progress", Kind: NumberValue, Number: c.Least, Exact: c.Least, Shown: strconv.Itoa(int(c.Least*100)) + " %", Minor: c.End.IsZero()})
	}
	v[bondedDoor] = d
}

// fromDoor takes an input from the door, and notes that it came from there.
func (k *inquiry) fromDoor(name string, kind GivenKind) doorValue {
	d, ok := k.door[name]
	if !ok || d.from == "" {
		return doorValue{}
	}
	g := Given{Name: name, Kind: kind, Length: d.length, Angle: d.angle, Word: d.word, From: d.from}
	switch kind {
	case LengthValue:
		g.Shown = k.showOwn(d.length)
	case AngleValue:
		g.Shown = degreeText(d.angle)
	default:
		g.Shown = words(name) + " " + d.word
	}
	k.a.Inputs = append(k.a.Inputs, g)
	return d
}

// tested refuses to compute the gap of a door whose gaps come from its test
// evidence.
func (k *inquiry) tested() bool {
	d, ok := k.door[testedDoor]
	if ok {
		k.a.Error = d.word
	}
	return ok
}

// waitsForEvidence refuses what is set out from a gap, for a door whose gaps
// come from test evidence and wait for it: a typed one is none.
func (k *inquiry) waitsForEvidence() bool {
	_, entered := k.door["gap_heel"]
	return !entered && k.tested()
}

// noPin refuses a hole that was not asked for by its depth in a door that can
// have none.
func (k *inquiry) noPin() bool {
	d, short := k.door[shortDoor]
	if short = short && k.q.named("depth") == nil; short {
		k.a.Error = d.word
	}
	return short
}
