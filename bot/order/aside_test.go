package order

import (
	"strings"
	"testing"

	"heelpost/bot/say"
	"heelpost/calc"
	"heelpost/jobs"
)

// TestOnlySays holds what is taken as a remark behind a reading: how, where and by
// whom it was read. What sites say, common practice, no published source.
func TestOnlySays(t *testing.T) {
	site := &jobs.Site{People: []jobs.Person{{ID: "bo"}}}
	most, least := jobs.Of(6, "m/s"), jobs.Of(57, "mm")
	cover := &jobs.Item{ID: "floor-services", Unit: "mm", Limits: jobs.Limits{Least: &least}}
	wind := &jobs.Item{ID: "wind", Unit: "m/s", Limits: jobs.Limits{Most: &most}}
	warm := &jobs.Item{ID: "floor-temperature", Unit: "°C"}
	for _, c := range []struct {
		it    *jobs.Item
		aside string
		only  bool
	}{
		{cover, "", true}, {cover, "by laser", true}, {cover, "with bo", true}, {cover, "bo", true}, {cover, ", at the top, by the locator with me", true},
		{cover, "measured twice", true}, {cover, "in the corner, pipe finder", true}, {cover, "least 60", true}, {cover, "thanks", true},
		{cover, "with cy", false}, {cover, "finder out of order", false}, {cover, "one side only", false}, {cover, "including the insulation", false},
		{cover, "from the top of the tile", false}, {cover, "hopefully", false}, {cover, "before adjusting", false}, {cover, "with the tile", false},
		{wind, "gusts", true}, {wind, "max 6 m/s", true}, {wind, "in the doorway, by the anemometer", true},
		{wind, "lowest", false}, {wind, "gusts 6 but more outside", false}, {wind, "with the door shut", false}, {wind, "at the window", false},
		{warm, "of the screed", true}, {warm, "IR thermometer", true}, {warm, "in the hole", true},
		{warm, "air", false}, {warm, "of the air", false}, {warm, "outside", false}, {warm, "at the window", false}, {warm, "on the heater", false}, {warm, "and falling", false}, {warm, "of the adhesive", false},
	} {
		if got := onlySays(c.it, c.aside, site); got != c.only {
			t.Errorf("%s %q: only a remark %v, want %v", c.it.ID, c.aside, got, c.only)
		}
	}
}

// TestRefused holds remarks to ticks that name another figure than the item's, or its
// lack.
func TestRefused(t *testing.T) {
	stood := &jobs.Item{ID: "stood", Text: calc.F("leaf stood up with %s free over it", calc.F("10 mm"))}
	lift := &jobs.Item{ID: "lift", Text: calc.F("lifting plan made")}
	drilled := &jobs.Item{ID: "floor-drilled", Text: calc.F("%s holes of %s drilled", "2", calc.F("11 mm"))}
	for _, c := range []struct {
		it   *jobs.Item
		note string
		no   bool
	}{
		{stood, "with 8 over it", true}, {stood, "10 over it", false}, {stood, "with bo", false},
		{lift, "no gear", true}, {lift, "by hand", true}, {lift, "with the hoist", false},
		{drilled, "with 12 bit", true}, {drilled, "with 11 bit", false},
	} {
		if why := refused(c.it, c.note); why.IsZero() == c.no {
			t.Errorf("%s %q: refused with %q, want refused %v", c.it.ID, c.note, say.Of(why), c.no)
		}
	}
}

// A unit inside a word is none: jammed is a doubt, and no ja ed.
func TestMeasure_unitInWord(t *testing.T) {
	for text, want := range map[string]string{"70 by locator, jammed": "by locator, jammed", "8.5 mm after shimming": "after shimming"} {
		if _, note, err := Measure(text, "mm"); err != nil || note != want {
			t.Errorf("%s: got the remark %q, %v, want %q", text, note, err, want)
		}
	}
	for text, want := range map[string]string{"8 N·m by the wrench": "by the wrench", "12 %": "", "3 bar by the barometer": "by the barometer"} {
		unit := strings.Fields(text)[1]
		if v, note, err := Measure(text, unit); err != nil || note != want || v.Unit != unit {
			t.Errorf("%s: got %v with the remark %q, %v, want %q", text, v, note, err, want)
		}
	}
}
