package form

import (
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/bot/say"
	"heelpost/bot/survey"
	"heelpost/calc"
	"heelpost/jobs"
)

// showOpen asks for what opens a door's job: the fields that have a label.
func showOpen(e *order.Request, f *bot.Form, _ string) error {
	f.Intro = e.Desk.Language.Say(say.F("lengths in mm, or with their unit: 2.35 m, 41-3/8 in"))
	for i := range jobs.Fields {
		row := &jobs.Fields[i]
		fields := append(doorField(e, row), besideField(e.Desk.Language, row, e.Site.Usual)...)
		at := len(f.Fields)
		if row.Above != "" {
			at = slices.IndexFunc(f.Fields, func(f bot.Field) bool { return f.Name == formName(row.Above) })
		}
		f.Fields = slices.Insert(f.Fields, at, fields...)
	}
	return nil
}

// formName returns the name of a field in a form.
func formName(name string) string { return strings.ReplaceAll(name, " ", "_") }

// doorField returns the form's field for one of a door's, none if it is not
// asked for.
func doorField(e *order.Request, row *jobs.Field) []bot.Field {
	if row.Label == "" {
		return nil
	}
	l := e.Desk.Language
	f := bot.Field{Name: formName(row.Name), Label: l.Say(say.F(row.Label)), Optional: row.Needed == nil || !row.Needed(new(jobs.Spec))}
	if row.Hint != "" {
		f.Hint = l.Say(say.F(row.Hint))
	}
	switch row.At(new(jobs.Spec)).(type) {
	case *calc.Length, *calc.Mass:
		f.Kind = bot.NumberField
	case **calc.Length:
		if row.Ways == nil {
			f.Kind = bot.NumberField
		}
	}
	sheets, floors := e.Desk.Choice(e.Site)
	switch row.Name {
	case "swing":
		f.Kind, f.Options = bot.ChoiceField, []bot.Option{{Value: "both", Label: l.Say(say.F("both ways"))}, {Value: "one", Label: l.Say(say.F("one way, against a fixed stop"))}}
	case "handing":
		f.Kind, f.Options = bot.ChoiceField, namedOptions(l, "left", "right")
	case "floor":
		f.Kind, f.Options = bot.ChoiceField, namedOptions(l, floors...)
	case "heated":
		f.Kind, f.Options, f.Value, f.Optional = bot.ChoiceField, namedOptions(l, "no", "yes"), "no", false
	case "tendons": // optional: it is not asked for in forms that were opened before it was
		f.Kind, f.Options, f.Value = bot.ChoiceField, namedOptions(l, "no", "yes"), "no"
	case "status":
		f.Kind, f.Options = bot.ChoicesField, namedOptions(l, "none", "fire", "smoke", "escape")
	case "sheet":
		f.Kind, f.Options, f.Value = bot.ChoiceField, namedOptions(l, sheets...), only(sheets)
	case "crew":
		f.Kind = bot.PeopleField
		if e.Site.Role(e.Msg.Person) == jobs.Crew {
			f.Value = e.Msg.Person
		}
	case "foreman":
		f.Kind, f.Value = bot.PersonField, only(foremen(e.Site))
	}
	if value := row.Value(e.Site.Usual); value != "" && f.Value == "" {
		f.Value, f.Hint = value, l.Say(say.F("as usual at this site"))
	}
	switch {
	case row.Name == "swing" && e.Site.Usual.Swing != "":
		f.Value = "both"
	case row.Name == "heated" && e.Site.Usual.Heated, row.Name == "tendons" && e.Site.Usual.Tendons:
		f.Value = "yes"
	}
	return []bot.Field{f}
}

// besideField returns what the form asks beside a field of a door, as how its
// mass is known.
func besideField(l *say.Language, row *jobs.Field, usual *jobs.Spec) []bot.Field {
	switch row.Name {
	case "mass":
		return []bot.Field{{Name: "mass_by", Label: l.Say(say.F("Weighed or estimated")), Hint: l.Say(say.F("estimated counts a tenth heavier")), Kind: bot.ChoiceField, Options: namedOptions(l, "weighed", "estimated")}}
	case "opening height":
		return []bot.Field{{Name: "gaps_meant", Label: l.Say(say.F("Wide gaps")), Hint: l.Say(say.F("of 20 mm and more beside the leaf they are asked about")), Kind: bot.ChoiceField, Optional: true,
			Options: []bot.Option{{Value: "yes", Label: l.Say(say.F("they are meant"))}}}}
	case "cover":
		return []bot.Field{coverToField(l)}
	case "seals": // and latch
		return []bot.Field{{Name: "fittings", Label: l.Say(say.F("Fittings")), Kind: bot.ChoicesField, Options: namedOptions(l, "seals", "latch"), Optional: true, Value: usualFittings(usual)}}
	}
	return nil
}

// coverToField asks to what a cover was measured: over a pipe less has to stay
// than before the back of the slab.
func coverToField(l *say.Language) bot.Field {
	return bot.Field{Name: "cover_to", Label: l.Say(say.F("Cover to")), Kind: bot.ChoiceField, Optional: true,
		Options: []bot.Option{{Value: "pipe", Label: l.Say(say.F("pipes or cables"))}, {Value: "back", Label: l.Say(say.F("the back of the slab"))}}}
}

// askCoverTo complains of a cover that does not say to what it was measured.
func (f *filled) askCoverTo() {
	f.complain("cover_to", say.F("a cover needs it said to what it was measured: pipes or cables, or the back of the slab"))
}

// usualFittings returns the fittings that doors of a site mostly have.
func usualFittings(usual *jobs.Spec) string {
	var all []string
	if usual.Seals {
		all = append(all, "seals")
	}
	if usual.Latch {
		all = append(all, "latch")
	}
	return strings.Join(all, " ")
}

// only returns the one there is, "" if there are none or more.
func only(values []string) string {
	if len(values) == 1 {
		return values[0]
	}
	return ""
}

// foremen returns the ids of a site's foremen.
func foremen(site *jobs.Site) (ids []string) {
	for _, p := range site.People {
		if p.Role == jobs.Foreman {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

func (f *filled) readOpen(string) (jobs.Command, error) {
	s := jobs.Spec{Estimated: f.text("mass_by") == "estimated", HasCover: f.text("cover") != "", CoverTo: f.text("cover_to"), Inches: f.inInches()}
	for i := range jobs.Fields {
		if row := &jobs.Fields[i]; row.Label != "" {
			f.readField(row, &s)
		}
	}
	if s.HasCover && s.CoverTo == "" {
		f.askCoverTo()
	}
	if wide := order.WideGaps(&s); len(f.wrong) == 0 && !wide.IsZero() && f.text("gaps_meant") == "" {
		f.complain("gaps_meant", say.F("%s: correct the sizes, or say that they are meant", wide))
	}
	s.ID = strings.ToUpper(s.ID)
	s.Swing = map[string]string{"both": jobs.BothWays, "one": jobs.OneWay}[s.Swing]
	fittings := strings.Fields(f.values["fittings"])
	s.Seals, s.Latch = slices.Contains(fittings, "seals"), slices.Contains(fittings, "latch")
	return &jobs.Open{Spec: s}, nil
}

// readField reads what was filled in for a field of a door.
func (f *filled) readField(row *jobs.Field, s *jobs.Spec) {
	name := formName(row.Name)
	switch at := row.At(s).(type) {
	case *calc.Length:
		*at = f.length(name)
	case **calc.Length:
		if text := f.text(name); text != "" {
			if err := survey.ReadField(row, text, s); err != nil {
				f.complain(name, say.F("%s is %q: %s", say.Name(name), lex.CutText(text, 40), err))
			}
		}
	case *calc.Mass:
		*at = f.mass()
	case *bool:
		*at = f.text(name) == "yes"
	case *[]string:
		*at = f.people(name)
	case *string:
		if *at = f.text(name); row.Name == "foreman" {
			*at = f.person(name)
		}
	}
}

// inInches reports whether the leaf's width is given in inches, and then
// complains of lengths that have no unit: the labels' mm are not the door's.
func (f *filled) inInches() bool {
	width, ok := lex.ScanNumber(f.text("width"), 0)
	if !ok || !width.InInches() {
		return false
	}
	for i := range jobs.Fields {
		name := formName(jobs.Fields[i].Name)
		if _, isLength := jobs.Fields[i].At(new(jobs.Spec)).(*calc.Length); !isLength {
			continue
		}
		if n, ok := lex.ScanNumber(f.text(name), 0); ok && n.Unitless(true) {
			f.complain(name, say.Of(&lex.UnitError{Raw: lex.CutText(f.text(name), 40), Beside: true}))
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
	m, ok := lex.WholeMass(text)
	if !ok {
		f.complain("mass", say.F("mass is %q: give it in kg, as 88, or in lb", lex.CutText(text, 40)))
		return 0
	}
	if m <= 0 {
		f.complain("mass", say.F("mass is %s, must be more than 0 kg", m))
	}
	return m
}
