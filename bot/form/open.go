package form

import (
	"cmp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
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
	l := e.Desk.Language
	length := func(name string, label, hint say.Text) bot.Field {
		return bot.Field{Name: name, Label: l.Say(label), Hint: l.Say(hint), Kind: bot.NumberField}
	}
	maybe := func(f bot.Field) bot.Field { f.Optional = true; return f }
	f.Intro = l.Say(say.F("lengths in mm, or with their unit: 2.35 m, 41-3/8 in"))
	f.Fields = []bot.Field{
		{Name: "door", Label: l.Say(say.F("Door id")), Hint: l.Say(say.F("as A-101: letters, digits, dots and dashes"))},
		length("width", say.F("Leaf width, mm"), say.F("as 1050")), length("height", say.F("Leaf height, mm"), say.F("as 2350")), length("thickness", say.F("Leaf thickness, mm"), say.F("as 44")),
		length("setback", say.F("Setback, mm"), say.F("from the leaf's heel edge to the pivot axis, as 65")),
		length("opening", say.F("Opening width, mm"), say.F("between finished jambs, as 1068")), length("opening_height", say.F("Opening height, mm"), say.F("as 2372")),
		length("mass", say.F("Leaf mass, kg"), say.F("as 88")),
		{Name: "mass_by", Label: l.Say(say.F("Weighed or estimated")), Hint: l.Say(say.F("estimated counts a tenth heavier")), Kind: bot.ChoiceField, Options: namedOptions(l, "weighed", "estimated")},
		{Name: "swing", Label: l.Say(say.F("Swing")), Kind: bot.ChoiceField, Options: []bot.Option{{Value: "both", Label: l.Say(say.F("both ways"))}, {Value: "one", Label: l.Say(say.F("one way, against a fixed stop"))}}},
		{Name: "handing", Label: l.Say(say.F("Handing")), Hint: l.Say(say.F("of a one-way door")), Kind: bot.ChoiceField, Options: namedOptions(l, "left", "right"), Optional: true},
		{Name: "seen_from", Label: l.Say(say.F("Handing seen from")), Hint: l.Say(say.F("as the corridor")), Optional: true},
		{Name: "floor", Label: l.Say(say.F("Floor")), Hint: l.Say(say.F("what holds the floor plate")), Kind: bot.ChoiceField, Options: namedOptions(l, floors...)},
		{Name: "heated", Label: l.Say(say.F("Floor heating")), Kind: bot.ChoiceField, Value: "no", Options: namedOptions(l, "no", "yes")},
		maybe(length("cover", say.F("Cover, mm"), say.F("from the surface to what lies below; empty if not measured"))),
		{Name: "cover_to", Label: l.Say(say.F("Cover to")), Kind: bot.ChoiceField, Options: []bot.Option{{Value: "pipe", Label: l.Say(say.F("pipes"))}, {Value: "back", Label: l.Say(say.F("the back of the slab"))}}, Optional: true},
		maybe(length("covering", say.F("Floor covering, mm"), say.F("left in place and drilled through"))),
		maybe(length("lining", say.F("Jamb lining, mm"), say.F("with packers"))), maybe(length("stop_width", say.F("Stop width, mm"), say.F("of a stop on the jamb"))),
		{Name: "fittings", Label: l.Say(say.F("Fittings")), Kind: bot.ChoicesField, Options: namedOptions(l, "seals", "latch"), Optional: true},
		{Name: "status", Label: l.Say(say.F("Status")), Hint: l.Say(say.F("none: neither fire, smoke nor escape door")), Kind: bot.ChoicesField, Options: namedOptions(l, "none", "fire", "smoke", "escape")},
		{Name: "sheet", Label: l.Say(say.F("Hardware sheet")), Kind: bot.ChoiceField, Value: sheet, Options: namedOptions(l, sheets...)},
		{Name: "crew", Label: l.Say(say.F("Crew")), Kind: bot.PeopleField, Value: crew},
		{Name: "foreman", Label: l.Say(say.F("Foreman")), Kind: bot.PersonField, Value: foreman},
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
			f.complain(name, say.F("%s stands beside inches: is it inches or mm? give it with its unit", lex.CutText(f.text(name), 40)))
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
		f.complain("mass", say.F("mass is %q: give it in kg, as 88, or in lb", lex.CutText(text, 40)))
		return 0
	}
	m := calc.Mass(n.Plain) * unit
	if m <= 0 {
		f.complain("mass", say.F("mass is %s, must be more than 0 kg", m))
	}
	return m
}
