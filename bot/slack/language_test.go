package slack

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/slack/fake"
)

// marked is a language of our own: English, with marks around what it has of
// some keys.
func marked(keys ...string) *say.Language {
	l := &say.Language{Texts: map[string]string{}}
	for _, key := range keys {
		l.Texts[key] = "‹" + key + "›"
	}
	return l
}

// What a screen says beside what it is given is said in its language.
func TestScreen_language(t *testing.T) {
	l := marked("Show", "Back to page %s", "On to page %s", "page %s of %s", "Thread", "and %s more", "nothing here yet",
		"Cancel", "Choose", "Choose a person", "Choose people", "and %s more: say them in words",
		"%s of %s", "more in the file", "Share", "caution", "leading edge unchecked", "heel gap", "next: %s")
	full := bot.Home{Filters: []bot.Option{{Value: "all", Label: "All"}}, Filter: "all", Page: 2, Pages: 3, Sections: []bot.HomeSection{{Title: "My doors"}}}
	full.Sections[0].Lines = slices.Repeat([]bot.HomeLine{{Text: "A-1", Site: "orchard-lane", Door: "A-1"}}, 200)
	long := bot.Form{Title: "Readings", Submit: "Judge", Fields: slices.Repeat([]bot.Field{{Name: "x", Label: "X"}}, 120)}
	pageful := message(l, bot.Post{Kind: bot.KindDoor, Text: strings.Repeat("A-1\n", 150)}, orchard, "")
	for _, c := range []struct {
		name, kind string
		screen     any
		want       []string
	}{
		{"home", fake.InHome, home(l, full, link), []string{"‹Show›", "‹Back to page 1›", "‹On to page 3›", "‹page 2 of 3›", "‹Thread›", "‹and 105 more›"}},
		{"empty home", fake.InHome, home(l, bot.Home{}, link), []string{"‹nothing here yet›"}},
		{"form", fake.InModal, modal(l, goldenForms()[0], "", "C0ORCHARD", "", orchard), []string{"‹Cancel›", `"‹Choose›"`, "‹Choose a person›", "‹Choose people›"}},
		{"long form", fake.InModal, modal(l, long, "", "C0ORCHARD", "", orchard), []string{"‹and 21 more: say them in words›"}},
		{"page", fake.InMessage, pages(l, pageful)[0], []string{"‹1 of 2›"}},
		{"brief", fake.InMessage, brief(l, pageful, say.F("more in the file")), []string{"‹more in the file›"}},
		{"answer", fake.InMessage, ephemeral(l, answered("gap 46 75"), "gap 46 75"), []string{"‹Share›", "‹caution›: ", "‹leading edge unchecked›", "‹heel gap›"}},
	} {
		data := compact(c.screen)
		for _, want := range c.want {
			if !strings.Contains(data, want) {
				t.Errorf("%s: no %s in %s", c.name, want, data)
			}
		}
	}
	lines := textLines(l, l.Say(say.Lines(say.F("ticked"), say.F("next: %s", "tick 3"))), false)
	if len(lines) != 2 || !lines[1].apart {
		t.Errorf("what comes next does not stand apart: %+v", lines)
	}
}

// What the adapter says by itself is said in its language, to whom it
// concerns.
func TestAdapter_language(t *testing.T) {
	const away, gone = "I can't reach where the doors are kept. Nothing was changed by this, as far as I can tell: before you say it again, look with next or log whether it was done.",
		"@%s (%s) has no account at slack any more: their doors and reminders need somebody else"
	l := marked(away, gone, "crew", "%s has no account at slack in the site file", "slack cannot be reached")
	w := inWorldOf(t, l)
	_, err := w.a.Post(t.Context(), bot.Post{To: "nobody", Text: "word"})
	if got, want := l.Say(say.Of(err)), "‹nobody has no account at slack in the site file›"; got != want {
		t.Errorf("why a post is given up: got %q, want %q", got, want)
	}
	err = unknown(errAway)
	if got, want := l.Say(say.Of(err)), "‹slack cannot be reached›: no way there;"; !strings.HasPrefix(got, want) || !errors.Is(err, ErrAway) {
		t.Errorf("why it does not start: got %q, want %q", got, want)
	}
	w.ChangePerson(fake.Person{ID: ana, Name: "ana", Deleted: true})
	w.until("word to the office", func() bool {
		return slices.ContainsFunc(w.Messages(w.Direct(ivy)), func(m fake.Message) bool {
			return strings.Contains(m.Text, "‹@ana (‹crew›) has no account at slack any more: their doors and reminders need somebody else›")
		})
	})
	w.store.away.Store(true)
	if err := w.Command(bo, doors, "/door", "A-1 tick datum"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "‹"+away+"›")
}
