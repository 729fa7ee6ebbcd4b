package slack

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
)

// Any home is within every limit and interprets nothing, and every line is
// shown or counted.
func TestHome_Any(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.SampledFrom(rapid.SliceOfN(textGen(12_000), 8, 8).Draw(t, "texts"))
		buttons := rapid.SliceOfN(buttonGen(), 3, 3).Draw(t, "buttons")
		h := bot.Home{Page: rapid.IntRange(1, 9).Draw(t, "page"), Pages: 9, Filter: "f1"}
		for i := range rapid.SampledFrom([]int{0, 3, 120}).Draw(t, "filters") {
			h.Filters = append(h.Filters, bot.Option{Value: fmt.Sprint("f", i), Label: "a " + line.Draw(t, "filter")})
		}
		lines := 0
		for range rapid.IntRange(0, 4).Draw(t, "sections") {
			s := bot.HomeSection{Title: "b " + line.Draw(t, "title")}
			for range rapid.SampledFrom([]int{0, 2, 30, 200}).Draw(t, "lines") {
				lines++
				s.Lines = append(s.Lines, bot.HomeLine{Text: "line-of-home " + line.Draw(t, "line"), Site: "orchard-lane", Door: rapid.SampledFrom([]string{"", "A-101"}).Draw(t, "door"),
					Buttons: buttons[:rapid.IntRange(0, 3).Draw(t, "pressable")]})
			}
			h.Sections = append(h.Sections, s)
		}
		link := func(site, door string) string { return "https://example.slack.com/" + site + "/" + door }
		data := string(breachless(t, "home", fake.InHome, home(nil, h, link)))
		shown := strings.Count(data, "line-of-home")
		if more := lines - shown; more > 0 && !strings.Contains(data, fmt.Sprintf("and %d more", more)) {
			t.Errorf("%d of %d lines are shown and the rest is not counted", shown, lines)
		}
	})
}

// The longest homes that the bot could draw are shown in part, and say so:
// many lines, and long ones, whatever short line follows.
func TestHome_Full(t *testing.T) {
	full := func(n int, text string) string {
		s := bot.HomeSection{Title: "My doors"}
		for i := range n {
			s.Lines = append(s.Lines, bot.HomeLine{Text: fmt.Sprintf("A-%d: %s", i, text), Site: "orchard-lane", Door: fmt.Sprint("A-", i)})
		}
		s.Lines = append(s.Lines, bot.HomeLine{Text: "last"})
		h := bot.Home{Sections: []bot.HomeSection{s}, Page: 1, Pages: 1}
		return string(breachless(t, "home", fake.InHome, home(nil, h, func(string, string) string { return "" })))
	}
	for _, c := range []struct {
		data  string
		shown int
	}{{full(300, "1 status (hold)"), 98}, {full(90, strings.Repeat("门 ", 1400)), 35}} {
		if !strings.Contains(c.data, fmt.Sprintf("A-%d:", c.shown-1)) || strings.Contains(c.data, fmt.Sprintf("A-%d:", c.shown)) || strings.Contains(c.data, "last") {
			t.Errorf("got %d lines, want %d", strings.Count(c.data, "A-"), c.shown)
		}
	}
}

// spoken is what a screen reader says of a button.
var spoken = regexp.MustCompile(`\{"type":"button","text":\{[^{}]*"text":"((?:[^"\\]|\\.)*)"[^{}]*\}[^{}]*\}`)

// No two buttons of a screen that do different things sound alike: a list of doors has the same ones at
// each, and who can't see the line above hears which door is meant.
func TestSpoken(t *testing.T) {
	several := 0
	for _, g := range goldens(t) {
		heard := map[string]string{} // what the button of that label is
		for _, m := range spoken.FindAllStringSubmatch(string(breachless(t, g.name, g.kind, g.payload)), -1) {
			label := m[1]
			if _, l, ok := strings.Cut(m[0], `"accessibility_label":"`); ok {
				l, _, _ = strings.Cut(l, `"`)
				if several++; !strings.HasPrefix(l, label) {
					t.Errorf("%s: %q is spoken as %q", g.name, label, l)
				}
				label = l
			}
			if other, ok := heard[label]; ok && other != m[0] {
				t.Errorf("%s: two buttons are %q", g.name, label)
			}
			heard[label] = m[0]
		}
	}
	if several < 5 {
		t.Errorf("got %d buttons that are told apart, want more", several)
	}
}
