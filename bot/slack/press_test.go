package slack

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/jobs"
)

// open opens door A-1 and returns its face, once its thread has begun.
func (w *world) open() fake.Message {
	w.t.Helper()
	w.Say(doors, ana, openA1, "")
	face := w.face("A-1")
	w.until("word on the opening", func() bool { return len(w.replies(doors, face.TS)) == 1 })
	return face
}

// button returns the action id of a button by its label.
func (w *world) button(m fake.Message, label string) string {
	w.t.Helper()
	_, before, ok := strings.Cut(string(m.Blocks), `"text":"`+label)
	if !ok {
		w.t.Fatalf("%q has no button %s: %s", m.Text, label, m.Blocks)
	}
	// Slack hands the blocks back with their fields in some order: the id of
	// the button is the one nearest to its label.
	at := len(m.Blocks) - len(before)
	best, id := len(m.Blocks), ""
	for i := 0; ; {
		j := strings.Index(string(m.Blocks[i:]), `"action_id":"`)
		if j < 0 {
			return id
		}
		i += j
		name, _, _ := strings.Cut(string(m.Blocks[i+len(`"action_id":"`):]), `"`)
		if d := max(at-i, i-at); d < best {
			best, id = d, name
		}
		i++
	}
}

// press presses a button of a message by its label.
func (w *world) press(user string, m fake.Message, label string) {
	w.t.Helper()
	if err := w.PressLate(user, m, w.button(m, label)); err != nil {
		w.t.Fatalf("press %s: %v", label, err)
	}
}

// whispered waits for a word to one person alone.
func (w *world) whispered(user, part string) {
	w.t.Helper()
	w.until("word to one person: "+part, func() bool {
		for _, m := range w.Ephemerals(user) {
			if strings.Contains(m.Text, part) {
				return true
			}
		}
		return false
	})
}

// form waits for a form that somebody has open.
func (w *world) form(user, title string) fake.View {
	w.t.Helper()
	var v fake.View
	w.until("form "+title, func() bool {
		for _, m := range w.Modals(user) {
			v = m
		}
		return v.ID != "" && strings.Contains(v.Title, title)
	})
	return v
}

// A button is pressed: what it says is done once, the post tells who pressed
// it, and pressing it twice or late does no harm.
func TestPress(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	first := w.replies(doors, face.TS)[0]
	w.press(ana, first, "Tick 2 datum")
	w.until("the tick", func() bool { return len(w.replies(doors, face.TS)) == 2 })
	w.until("who pressed", func() bool {
		m, _ := w.Message(doors, first.TS)
		return strings.Contains(m.Text, "<@"+ana+">") && !strings.Contains(string(m.Blocks), `"say:1"`)
	})
	w.press(bo, first, "Tick 2 datum") // his picture of it is old
	w.whispered(bo, "datum")
	w.press(ana, face, "Next")
	w.whispered(ana, "next:")
	w.press(ana, face, "Record")
	w.whispered(ana, "ticked 2 datum")
	if got := w.says(mo, mention+"log", face.TS); strings.Count(got.Text, "ticked 2 datum") != 1 {
		t.Errorf("log: got %q, want one tick", got.Text)
	}
	w.press(guest, face, "Snag")
	w.whispered(guest, "is guest here")
}

// A button that names another door than the thread's is refused, and so is
// one in a payload of another app or workspace.
func TestPress_hostile(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	first := w.replies(doors, face.TS)[0]
	version := func() int64 {
		r, err := w.store.Door(t.Context(), "orchard-lane/A-1")
		if err != nil {
			t.Fatal(err)
		}
		return r.Version
	}
	before := version()
	for what, change := range map[string]func(map[string]any){
		"another door": func(p map[string]any) {
			action := p["actions"].([]any)[0].(map[string]any)
			action["value"] = `{"door":"B-2","say":"tick datum"}`
		},
		"another workspace": func(p map[string]any) { p["team"] = map[string]any{"id": fake.OtherTeam} },
		"another app":       func(p map[string]any) { p["api_app_id"] = "A0OTHER" },
		"no value":          func(p map[string]any) { p["actions"].([]any)[0].(map[string]any)["value"] = "tick datum" },
	} {
		w.Tamper(func(kind string, p map[string]any) {
			if kind == "interactive" {
				change(p)
			}
		})
		w.press(ana, first, "Tick 2 datum")
		if v := version(); v != before {
			t.Errorf("%s: the door changed to version %d", what, v)
		}
	}
	w.Tamper(nil)
	w.whispered(ana, "another door")
}

// Forms: from the command, the face and a message; judged beside each field.
func TestForms(t *testing.T) {
	w := inWorld(t)
	if err := w.Command(ana, doors, "/door", "open"); err != nil {
		t.Fatal(err)
	}
	v := w.form(ana, "Open a door")
	filled := map[string]string{"door": "A-1", "width": "1050", "height": "2350", "thickness": "440", "setback": "65", "opening": "1068", "opening_height": "2372",
		"mass": "88", "mass_by": "weighed", "swing": "both", "floor": "screed", "heated": "no", "status": "none", "sheet": "orchard", "crew": ana, "foreman": mo}
	got, err := w.Submit(ana, v.ID, filled)
	if err != nil || got.Action != "errors" || !strings.Contains(got.Errors["thickness"], "440 mm") {
		t.Fatalf("too thick: got %+v, %v, want a complaint beside the thickness", got, err)
	}
	filled["thickness"] = "44"
	if got, err = w.Submit(ana, v.ID, filled); err != nil || got.Action != "close" {
		t.Fatalf("good: got %+v, %v", got, err)
	}
	face := w.face("A-1")
	w.press(bo, face, "Snag")
	v = w.form(bo, "snag")
	if got, err = w.Submit(bo, v.ID, map[string]string{"text": "scratch <!channel> at the heel", "owner": bo}); err != nil || got.Action != "close" {
		t.Fatalf("snag: got %+v, %v", got, err)
	}
	w.until("the snag", func() bool {
		for _, m := range w.replies(doors, face.TS) {
			if strings.Contains(m.Text, "snag s1 opened: scratch &lt;!channel&gt; at the heel") {
				return true
			}
		}
		return false
	})
	ts := w.Say(doors, cy, "the leading edge is dented", face.TS)
	if err := w.MessageShortcut(bo, doors, ts, "file_snag"); err != nil {
		t.Fatal(err)
	}
	if v = w.form(bo, "snag"); !strings.Contains(string(v.Blocks), "the leading edge is dented") {
		t.Errorf("the form does not hold the message: %s", v.Blocks)
	}
	ts = w.Say(doors, cy, "gap 54 60", "")
	if err := w.MessageShortcut(bo, doors, ts, "ask_about"); err != nil {
		t.Fatal(err)
	}
	w.until("answer to what the message asks", func() bool { return len(w.replies(doors, ts)) == 1 })
	// cy's order is not given with another's role; what ana wrote herself is.
	for _, c := range []struct{ who, text, by, wants string }{
		{cy, "override status because it is late", mo, "say it yourself"}, {cy, "tick datum", ana, "say it yourself"}, {ana, "tick datum", ana, "ticked"},
	} {
		ts := w.Say(doors, c.who, c.text, face.TS)
		had := len(w.replies(doors, face.TS))
		if err := w.MessageShortcut(c.by, doors, ts, "ask_about"); err != nil {
			t.Fatal(err)
		}
		w.until("answer to "+c.text, func() bool {
			return slices.ContainsFunc(w.replies(doors, face.TS)[had:], func(m fake.Message) bool { return strings.Contains(m.Text, c.wants) })
		})
	}
	if err := w.Shortcut(ana, "open_door"); err != nil {
		t.Fatal(err)
	}
	w.form(ana, "Open a door")
}

// Readings are filled in at once, and judged at once.
func TestReadings(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.press(ana, face, "Readings")
	w.whispered(ana, "nothing is to be read now")
	for _, text := range []string{"tick datum", "tick joint", "tick carrier", "tick room", "photo opening-photo in the site folder"} {
		w.says(ana, mention+text, face.TS)
	}
	w.says(bo, mention+"tick second", face.TS)
	w.press(ana, face, "Readings")
	v := w.form(ana, "Readings")
	values := map[string]string{}
	for _, name := range w.fields(v) {
		values[name] = "1"
	}
	if len(values) == 0 {
		t.Fatalf("the form has no fields: %s", v.Blocks)
	}
	got, err := w.Submit(ana, v.ID, values)
	if err != nil || got.Action != "close" && got.Action != "errors" {
		t.Fatalf("got %+v, %v", got, err)
	}
	if got.Action == "errors" {
		t.Fatalf("complaints: %v", got.Errors)
	}
	w.until("the verdict", func() bool {
		for _, m := range w.replies(doors, face.TS) {
			if strings.Contains(m.Text, " is in (") || strings.Contains(m.Text, " is out (") || strings.Contains(m.Text, " is near") {
				return true
			}
		}
		return false
	})
}

// fields returns the block ids of a form's inputs.
func (w *world) fields(v fake.View) (names []string) {
	var blocks []struct {
		Type string
		ID   string `json:"block_id"`
	}
	if err := json.Unmarshal(v.Blocks, &blocks); err != nil {
		w.t.Fatal(err)
	}
	for _, b := range blocks {
		if b.Type == "input" {
			names = append(names, b.ID)
		}
	}
	return names
}

// Commands answer their asker alone, and can be shared.
func TestCommand(t *testing.T) {
	w := inWorld(t)
	if err := w.Command(bo, other, "/door", "gap 54 60"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "heel gap 8 mm")
	if n := len(w.Messages(other)); n != 0 {
		t.Fatalf("%d messages for all to see", n)
	}
	answer := w.Ephemerals(bo)[0]
	for range 2 {
		w.press(bo, answer, "Share")
	}
	w.until("the shared answer", func() bool {
		return len(w.Messages(other)) > 0 && strings.HasPrefix(w.Messages(other)[0].Text, "heel gap 8 mm")
	})
	if err := w.Command(ana, doors, "/door", strings.TrimPrefix(openA1, mention+"door ")); err != nil {
		t.Fatal(err)
	}
	face := w.face("A-1")
	if err := w.Command(ana, doors, "/door", "A-1 tick datum"); err != nil {
		t.Fatal(err)
	}
	w.until("the tick", func() bool { return len(w.replies(doors, face.TS)) == 2 })
	if err := w.Command(ana, doors, "/door", "help"); err != nil {
		t.Fatal(err)
	}
	w.whispered(ana, "gap")
	// What can be pressed beneath a command's answer is answered there too: it
	// stands in no thread.
	if err := w.Command(bo, doors, "/door", "A-1 next"); err != nil {
		t.Fatal(err)
	}
	w.whispered(bo, "next: ")
	seen := w.Ephemerals(bo)
	w.press(bo, seen[len(seen)-1], "Tick several")
	w.until("the form", func() bool { return len(w.Modals(bo)) == 1 })
	if err := w.CloseModal(bo); err != nil {
		t.Fatal(err)
	}
	w.press(bo, w.says(bo, mention+"door A-1 next", ""), "Tick several")
	w.until("the form", func() bool { return len(w.Modals(bo)) == 1 })
	if f := w.Failed(); len(f) > 0 {
		t.Errorf("people saw failures: %+v", f)
	}
}

// Homes: drawn when opened, again after changes, and as they were left.
func TestHome(t *testing.T) {
	w := inWorld(t)
	for _, user := range []string{ana, mo, guest} {
		w.OpenHome(user)
	}
	shows := func(user, part string) {
		t.Helper()
		w.until("home with "+part, func() bool {
			v, ok := w.Home(user)
			return ok && strings.Contains(string(v.Blocks), part)
		})
	}
	shows(ana, "My doors")
	shows(mo, "Failed notices")
	shows(guest, "no site file names you")
	w.open()
	shows(ana, "A-1")
	shows(mo, "A-1, survey")
	v, _ := w.Home(mo)
	if err := w.PressIn(mo, v.ID, "filter", "stage/hang"); err != nil {
		t.Fatal(err)
	}
	w.until("the home without the door", func() bool {
		v, _ := w.Home(mo)
		return !strings.Contains(string(v.Blocks), "A-1, survey")
	})
	w.says(ana, mention+"tick datum", w.face("A-1").TS)
	w.until("the home drawn anew", func() bool { return w.Calls("views.publish") >= 7 })
	if v, _ := w.Home(mo); strings.Contains(string(v.Blocks), "A-1, survey") {
		t.Error("a change elsewhere took the filter away")
	}
}

// Somebody of several sites who begins outside any channel says first at which.
func TestShortcut_severalSites(t *testing.T) {
	w := inWorld(t)
	second := *accounts(t)
	second.ID, second.Name, second.Channels, second.Hash = "pier", "Pier", []string{other}, "another"
	if err := w.desk.UseSite(t.Context(), &second); err != nil {
		t.Fatal(err)
	}
	if err := w.Shortcut(ana, "open_door"); err != nil {
		t.Fatal(err)
	}
	v := w.form(ana, "Open a door")
	got, err := w.Submit(ana, v.ID, map[string]string{"site": other})
	if err != nil || got.Action != "update" || !strings.Contains(string(got.View.Blocks), "Leaf width") {
		t.Fatalf("got %+v, %v, want the form of the second site", got, err)
	}
	if err := w.Shortcut(guest, "open_door"); err != nil {
		t.Fatal(err)
	}
	w.until("word to the guest", func() bool { return len(w.Messages(w.Direct(guest))) > 0 })
}

// What a role forbids is refused in words, and the try is on the log.
func TestDenied(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	if got := w.says(ana, mention+"override status because I say so", face.TS); !strings.Contains(got.Text, "takes foreman") {
		t.Errorf("got %q", got.Text)
	}
	if log := w.logs.String(); !strings.Contains(log, `"person":"ana","role":"crew","action":"override"`) || strings.Contains(log, "I say so") {
		t.Errorf("the log has no word of the try, or too many: %s", log)
	}
}

// A form whose site was closed while it was open changes nothing, and says so.
func TestForm_closedMeanwhile(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	w.press(bo, face, "Snag")
	v := w.form(bo, "snag")
	closed := *accounts(t)
	closed.Hash, closed.ClosedFrom = "closed", jobs.Date{Year: 2026, Month: time.January, Day: 1}
	if err := w.desk.UseSite(t.Context(), &closed); err != nil {
		t.Fatal(err)
	}
	got, err := w.Submit(bo, v.ID, map[string]string{"text": "scratch", "owner": bo})
	if err != nil || got.Action != "errors" || !strings.Contains(fmt.Sprint(got.Errors), "was closed on") {
		t.Errorf("got %+v, %v, want a complaint", got, err)
	}
	r, err := w.store.Door(t.Context(), "orchard-lane/A-1")
	if err != nil || r.Version != 1 {
		t.Errorf("the door is at version %d, %v, want 1", r.Version, err)
	}
}

// A proposed time that has passed is not taken any more: whoever presses it is
// told what holds, and the button goes from the message.
func TestPress_tooLate(t *testing.T) {
	w := inWorld(t)
	face := w.open()
	p := bot.Post{ID: "late", Channel: doors, Thread: "A-1", Door: "orchard-lane/A-1", Kind: bot.KindReminder, To: "ana", Text: "@ana return visit Mon 2024-03-04 09:00?",
		Buttons: []bot.Button{{Label: "Yes", Say: "yes 2024-03-04 09:00"}, {Label: "Snooze", Say: "snooze 2h"}}}
	ref, err := w.a.Post(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	m, _ := w.Message(doors, parseSpot(ref).thread)
	w.press(ana, m, "Yes")
	w.whispered(ana, "not proposed any more")
	w.until("the message without its button", func() bool {
		now, _ := w.Message(doors, m.TS)
		return strings.Contains(now.Text, "Yes, too late: <@"+ana+">") && !strings.Contains(string(now.Blocks), `"say:1"`)
	})
	if got := w.replies(doors, face.TS); len(got) != 2 {
		t.Errorf("%d posts in the thread, want the opening and the reminder", len(got))
	}
}
