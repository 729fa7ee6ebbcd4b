package form

import (
	"cmp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/calc"
	"heelpost/jobs"
)

// showOpen asks for what opens a door's job.
func showOpen(e *order.Errand, f *bot.Form, _ string) error {
	sheets, floors := e.Desk.Choice(e.Site)
	crew, foreman, sheet := "", "", ""
	if e.Site.Role(e.Msg.Person) == jobs.Crew {
		crew = e.Msg.Person
	}
	foremen := slices.DeleteFunc(slices.Clone(e.Site.People), func(p jobs.Person) bool { return p.Role != jobs.Foreman })
	if len(foremen) == 1 {
		foreman = foremen[0].ID
	}
	if len(sheets) == 1 {
		sheet = sheets[0]
	}
	length := func(name, label, hint string) bot.Field {
		return bot.Field{Name: name, Label: label, Hint: hint, Kind: bot.NumberField}
	}
	maybe := func(f bot.Field) bot.Field { f.Optional = true; return f }
	f.Intro = "lengths in mm, or with their unit: 2.35 m, 41-3/8 in"
	f.Fields = []bot.Field{
		{Name: "door", Label: "Door id", Hint: "as A-101: letters, digits, dots and dashes"},
		length("width", "Leaf width, mm", "as 1050"), length("height", "Leaf height, mm", "as 2350"), length("thickness", "Leaf thickness, mm", "as 44"),
		length("setback", "Setback, mm", "from the leaf's heel edge to the pivot axis, as 65"),
		length("opening", "Opening width, mm", "between finished jambs, as 1068"), length("opening_height", "Opening height, mm", "as 2372"),
		length("mass", "Leaf mass, kg", "as 88"),
		{Name: "mass_by", Label: "Weighed or estimated", Hint: "estimated counts a tenth heavier", Kind: bot.ChoiceField, Options: plainOptions("weighed", "estimated")},
		{Name: "swing", Label: "Swing", Kind: bot.ChoiceField, Options: []bot.Option{{"both", "both ways"}, {"one", "one way, against a fixed stop"}}},
		{Name: "handing", Label: "Handing", Hint: "of a one-way door", Kind: bot.ChoiceField, Options: plainOptions("left", "right"), Optional: true},
		{Name: "seen_from", Label: "Handing seen from", Hint: "as the corridor", Optional: true},
		{Name: "floor", Label: "Floor", Hint: "what holds the floor plate", Kind: bot.ChoiceField, Options: plainOptions(floors...)},
		{Name: "heated", Label: "Floor heating", Kind: bot.ChoiceField, Value: "no", Options: plainOptions("no", "yes")},
		maybe(length("cover", "Cover, mm", "from the surface to what lies below; empty if not measured")),
		{Name: "cover_to", Label: "Cover to", Kind: bot.ChoiceField, Options: []bot.Option{{"pipe", "pipes"}, {"back", "the back of the slab"}}, Optional: true},
		maybe(length("covering", "Floor covering, mm", "left in place and drilled through")),
		maybe(length("lining", "Jamb lining, mm", "with packers")), maybe(length("stop_width", "Stop width, mm", "of a stop on the jamb")),
		{Name: "fittings", Label: "Fittings", Kind: bot.ChoicesField, Options: plainOptions("seals", "latch"), Optional: true},
		{Name: "status", Label: "Status", Hint: "none: neither fire, smoke nor escape door", Kind: bot.ChoicesField, Options: plainOptions("none", "fire", "smoke", "escape")},
		{Name: "sheet", Label: "Hardware sheet", Kind: bot.ChoiceField, Value: sheet, Options: plainOptions(sheets...)},
		{Name: "crew", Label: "Crew", Kind: bot.PeopleField, Value: crew},
		{Name: "foreman", Label: "Foreman", Kind: bot.PersonField, Value: foreman},
	}
	return nil
}

func (f *filled) readOpen(string) (jobs.Command, error) {
	s := jobs.Spec{ID: strings.ToUpper(f.text("door")), Width: f.length("width"), Height: f.length("height"), Thickness: f.length("thickness"), Setback: f.length("setback"),
		OpeningWidth: f.length("opening"), OpeningHeight: f.length("opening_height"), Mass: f.mass(), Estimated: f.text("mass_by") == "estimated",
		Swing: map[string]string{"both": jobs.BothWays, "one": jobs.OneWay}[f.text("swing")], Handing: f.text("handing"), SeenFrom: f.text("seen_from"),
		Floor: f.text("floor"), Heated: f.text("heated") == "yes", HasCover: f.text("cover") != "", Cover: f.length("cover"), CoverTo: f.text("cover_to"),
		Covering: f.length("covering"), Lining: f.length("lining"), StopWidth: f.length("stop_width"), Status: strings.Fields(f.values["status"]),
		Sheet: f.text("sheet"), Crew: f.people("crew"), Foreman: f.person("foreman")}
	fittings := strings.Fields(f.values["fittings"])
	s.Inches = f.inInches()
	s.Seals, s.Latch = slices.Contains(fittings, "seals"), slices.Contains(fittings, "latch")
	return &jobs.Open{Spec: s}, nil
}

// inInches reports whether the leaf's width is given in inches, and then
// complains of lengths that have no unit: the labels' mm are not the door's.
func (f *filled) inInches() bool {
	width, ok := lex.ScanNumber(f.text("width"), 0)
	if !ok || !width.InInches() {
		return false
	}
	for _, name := range []string{"height", "thickness", "setback", "opening", "opening_height", "cover", "covering", "lining", "stop_width"} {
		if n, ok := lex.ScanNumber(f.text(name), 0); ok && n.Unit == lex.Bare && n.Length != 0 {
			f.complain(name, "%s stands beside inches: is it inches or mm? give it with its unit", lex.CutText(f.text(name), 40))
		}
	}
	return true
}

// mass reads the leaf's mass.
func (f *filled) mass() calc.Mass {
	text := f.text("mass")
	if text == "" {
		return 0
	}
	n, ok := lex.ScanNumber(text, 0)
	unit, known := lex.MassUnits[cmp.Or(strings.ToLower(strings.TrimSpace(text[n.End:])), "kg")]
	if !ok || n.Unit != lex.Bare || n.Doubt != lex.Certain || n.Toleranced || !known {
		f.complain("mass", "mass is %q: give it in kg, as 88, or in lb", lex.CutText(text, 40))
		return 0
	}
	m := calc.Mass(n.Plain) * unit
	if m <= 0 {
		f.complain("mass", "mass is %v, must be more than 0 kg", m)
	}
	return m
}
