package talk_test

import (
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"heelpost/bot"
	"heelpost/bot/lex"
	"heelpost/bot/order"
	"heelpost/jobs"
)

// there is no door; what is given in another unit is taken.
func TestSubmit_open(t *testing.T) {
	o := newOffice(t)
	for _, c := range []struct {
		change map[string]string
		want   map[string]string
	}{
		{map[string]string{"door": "A 1"}, map[string]string{"door": `"A 1" is no door id: letters, digits, dots and dashes, at most 40`}},
		{map[string]string{"door": "", "crew": " "}, map[string]string{"door": "Door id: still to say", "crew": "Crew: still to say"}},
		{map[string]string{"width": "wide"}, map[string]string{"width": `width is "wide": give a length, as 65 for mm or 2-1/2 in`}},
		{map[string]string{"width": "1050 or so"}, map[string]string{"width": `width is "1050 or so": give a length, as 65 for mm or 2-1/2 in`}},
		{map[string]string{"width": "1,050"}, map[string]string{"width": `width is "1,050": give a length, as 65 for mm or 2-1/2 in`}},
		{map[string]string{"width": "100"}, map[string]string{"width": "width is 100 mm, must be at least 200 mm"}},
		{map[string]string{"width": "1400", "opening": "1430", "mass": "100"}, map[string]string{"width": "width is 1400 mm, the sheet allows 1300 mm"}},
		{map[string]string{"height": "3100", "opening_height": "3150"}, map[string]string{"height": "height is 3100 mm, the sheet allows 3000 mm"}},
		{map[string]string{"thickness": "-44"}, map[string]string{"thickness": "thickness is -44 mm, must be more than 0 mm"}},
		{map[string]string{"thickness": "40"}, map[string]string{"thickness": "thickness is 40 mm, the sheet allows 44 mm to 70 mm"}},
		{map[string]string{"setback": "0"}, map[string]string{"setback": "setback is 0 mm, must be more than 0 mm"}},
		{map[string]string{"setback": "45"}, map[string]string{"setback": "setback is 45 mm, the sheet wants at least 50 mm"}},
		{map[string]string{"opening": "1060"}, map[string]string{"opening": "the opening is 1060 mm wide, the leaf needs 1062 mm to turn in it"}},
		{map[string]string{"opening": "7 m"}, map[string]string{"opening": "gap is 2975 mm, must be at most 200 mm"}},
		{map[string]string{"opening_height": "2350"}, map[string]string{"opening_height": "the opening is 2350 mm high, the leaf needs 2360 mm to be stood up in it"}},
		{map[string]string{"mass": "14 stone"}, map[string]string{"mass": `mass is "14 stone": give it in kg, as 88, or in lb`}},
		{map[string]string{"mass": "0"}, map[string]string{"mass": "mass is 0 kg, must be more than 0 kg"}},
		{map[string]string{"mass": "8.8"}, map[string]string{"mass": "8.8 kg for a leaf of 1050 mm × 2350 mm × 44 mm is 81 kg/m³, but it must be at least 200 kg/m³"}},
		{map[string]string{"mass": "140", "mass_by": "estimated"}, map[string]string{"mass": "mass is 154 kg (140 kg estimated and counted a tenth heavier), the sheet carries 150 kg"}},
		{map[string]string{"swing": "one"}, map[string]string{"handing": "handing: still to say", "seen_from": "seen from: still to say"}},
		{map[string]string{"handing": "left"}, map[string]string{"handing": `a door that swings both ways has no handing, it is "left"`}},
		{map[string]string{"swing": "round"}, map[string]string{"swing": `"round" is none of: both, one`}},
		{map[string]string{"floor": "lava"}, map[string]string{"floor": `"lava" is none of: concrete, screed, stone`}},
		{map[string]string{"cover": "-5", "cover_to": "pipe"}, map[string]string{"cover": "cover is -5 mm, must be more than 0 mm"}},
		{map[string]string{"cover": "1100", "cover_to": "pipe"}, map[string]string{"cover": "cover is 1100 mm, must be at most 1000 mm"}},
		{map[string]string{"cover": "60"}, map[string]string{"cover_to": "a cover needs it said to what it was measured: pipes or cables, or the back of the slab"}},
		{map[string]string{"opening": "1168"}, map[string]string{"gaps_meant": "a leaf of 1050 mm in an opening of 1168 mm leaves gaps of 59 mm on either side: correct the sizes, or say that they are meant"}},
		{map[string]string{"covering": "250"}, map[string]string{"covering": "covering is 250 mm, must be at most 200 mm"}},
		{map[string]string{"status": "none fire"}, map[string]string{"status": `status is "none fire": fire, smoke, escape or none`}},
		{map[string]string{"sheet": "maple"}, map[string]string{"sheet": `"maple" is none of: orchard`}},
		{map[string]string{"crew": "ana zed"}, map[string]string{"crew": "zed is not named in the site file of orchard-lane"}},
		{map[string]string{"foreman": "mo bo"}, map[string]string{"foreman": "2 people are named, one is wanted"}},
		{map[string]string{"foreman": "bo"}, map[string]string{"foreman": "bo is crew at orchard-lane, not foreman: roles come from the site file"}},
		{map[string]string{"colour": "green"}, map[string]string{"": "colour is not asked for any more"}},
	} {
		values := a1()
		maps.Copy(values, c.change)
		before := o.look()
		got, _ := o.submit("ana", "", "open", values)
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%v (-want +got):\n%s", c.change, diff)
		}
		if diff := cmp.Diff(before, o.look()); diff != "" {
			t.Errorf("%v changed the store:\n%s", c.change, diff)
		}
	}
	values := a1()
	maps.Copy(values, map[string]string{"width": "1.05 m", "setback": `2-1/2"`, "fittings": "latch", "cover": "60", "cover_to": "back", "lining": "12", "stop_width": "0"})
	if wrong, posts := o.submit("ana", "", "open", values); len(wrong) > 0 || !strings.Contains(texts(posts), "setback 63.5 mm") {
		t.Fatalf("got %q, %q", wrong, texts(posts))
	}
	if wrong, _ := o.submit("ana", "", "open", values); !strings.HasPrefix(wrong["door"], "door A-1 is open already") {
		t.Errorf("opened twice: got %q", wrong)
	}
	if wrong, _ := o.submit("dee", "", "open", a1()); !strings.HasPrefix(wrong[""], "dee is guest here") {
		t.Errorf("opened by a guest: got %q", wrong)
	}
}

// A submission that comes twice under its id changes a door once and is
// answered alike; a form that was drawn before the door went on says so.
func TestSubmit_again(t *testing.T) {
	o := newOffice(t)
	if wrong, _ := o.submit("ana", "", "open", a1()); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	for _, id := range []string{"status", "datum", "joint", "carrier", "room"} {
		o.say("ana", "A-1", "tick "+id)
	}
	o.say("mo", "A-1", "tick second")
	m, values := o.message("ana", "A-1", ""), map[string]string{"plumb": "1"}
	for range 2 {
		wrong, posts, err := o.bot.Submit(o.ctx, m, "readings", values)
		if err != nil || len(wrong) > 0 || len(posts) != 1 || posts[0].Text != "plumb 1 mm: in (at most 3 mm)" {
			t.Errorf("got %v, %v, %v", wrong, posts, err)
		}
	}
	if n := strings.Count(texts(o.settle(nil, nil)), "9 plumb: 1 mm is in"); n != 1 {
		t.Errorf("told %d times, want once", n)
	}
	if wrong, _ := o.submit("bo", "A-1", "readings", map[string]string{"plumb": "2"}); wrong[""] != "plumb is not asked for any more" {
		t.Errorf("read by another meanwhile: got %q", wrong)
	}
	if _, err := o.bot.Form(o.ctx, o.message("ana", "A-2", ""), "readings"); err == nil || err.Error() != "there is no door A-2 here" {
		t.Errorf("of no door: got %v", err)
	}
	for _, id := range []string{"", "dance", "move v7", "snag"} {
		_, err := o.bot.Form(o.ctx, o.message("ana", "", ""), id)
		if _, ok := bot.Refused(nil, err); !ok {
			t.Errorf("form %q in the channel: got %v, want a refusal", id, err)
		}
	}
	f, err := o.bot.Form(o.ctx, o.message("ana", "A-1", ""), "snag scratch, at the heel")
	if err != nil || f.ID != "snag" || f.Fields[0].Value != "scratch, at the heel" || f.Fields[1].Value != "ana" {
		t.Errorf("got %+v, %v", f, err)
	}
	if text, ok := bot.Refused(nil, context.Canceled); ok {
		t.Errorf("trouble is a refusal: %q", text)
	}
}

// A press on an old post ticks nothing that reads otherwise by now.
func TestPress_stale(t *testing.T) {
	o := newOffice(t)
	o.submit("ana", "", "open", a1())
	for _, id := range []string{"status", "datum", "joint"} {
		o.say("ana", "A-1", "tick "+id)
	}
	o.say("mo", "A-1", "tick second")
	posts := o.say("ana", "A-1", "tick carrier")
	old := posts[len(posts)-1].Buttons[0]
	o.say("mo", "A-1", "correct setback 70 because measured again")
	before := o.version("A-1")
	if got := texts(o.press("ana", "A-1", old.Say)); !strings.HasPrefix(got, "room reads otherwise by now, look at it again: room to swing") || o.version("A-1") != before {
		t.Errorf("%s: got %q", old.Say, got)
	}
	posts = o.press("ana", "A-1", "next")
	if got := texts(o.press("ana", "A-1", posts[0].Buttons[0].Say)); !strings.HasPrefix(got, "ticked 6 room") {
		t.Errorf("got %q", got)
	}
	if got := texts(o.press("ana", "A-1", "gap 44 65")); !strings.HasPrefix(got, "that button says gap 44 65, which is no order") {
		t.Errorf("got %q", got)
	}
}

// Whatever is filled in: with a complaint nothing is changed, without one the
// door has one entry more.
func TestSubmit_properties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := newOffice(t)
		o.t = rt
		o.submit("ana", "", "open", a1())
		for _, id := range []string{"status", "datum", "joint", "carrier", "room"} {
			o.say("ana", "A-1", "tick "+id)
		}
		o.say("mo", "A-1", "tick second")
		o.say("ana", "A-1", "visit tomorrow 9:00")
		for range 5 {
			id := rapid.SampledFrom([]string{"open", "readings", "snag", "visit", "move v1", "dance"}).Draw(rt, "form")
			who := rapid.SampledFrom([]string{"ana", "ana", "mo", "ivy", "dee"}).Draw(rt, "who")
			values, before, version := o.anything(rt, who, id), o.look(), o.version("A-1")
			wrong, _ := o.submit(who, "A-1", id, values)
			if len(wrong) > 0 {
				if diff := cmp.Diff(before, o.look()); diff != "" {
					rt.Fatalf("%s refused (%v) changed the store:\n%s", id, wrong, diff)
				}
				continue
			}
			added := o.version("A-1") - version
			if id == "open" {
				added = o.version(values["door"])
			}
			if added != 1 {
				rt.Fatalf("%s %v added %d entries", id, values, added)
			}
		}
	})
}

// anything fills in a form, mostly rightly.
func (o *office) anything(rt *rapid.T, who, id string) map[string]string {
	f, err := o.bot.Form(o.ctx, o.message(who, "A-1", ""), id)
	if err != nil {
		f, _ = o.bot.Form(o.ctx, o.message("mo", "A-1", ""), id)
	}
	values := map[string]string{}
	if id == "open" {
		values = a1()
		values["door"] = fmt.Sprintf("B-%d", o.n)
	}
	for _, field := range f.Fields {
		name := field.Name
		switch rapid.SampledFrom([]string{"", "", "", "", "", "any", "some"}).Draw(rt, name) {
		case "any":
			values[name] = rapid.String().Draw(rt, name)
		case "some":
			values[name] = rapid.SampledFrom([]string{"0", "-1", "60", "1e9", "2027-03-09", "10:30", "yes", "none", "zed", "A/1", "\x00"}).Draw(rt, name)
		default:
			if field.Value != "" {
				values[name] = field.Value
			}
			if id == "readings" {
				values[name] = fmt.Sprint(rapid.IntRange(0, 80).Draw(rt, name))
			}
		}
	}
	if id == "snag" && values["text"] == "" {
		values["text"] = "scratch"
	}
	return values
}

// On the way of a door, whatever is pressed or filled in by whoever: every
// button says an order or opens a form there is, all keep to what can be
// shown, a second press changes nothing, and what a press did can be undone: so
// none has to ask whether it is meant.
func TestButtons_properties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := newOffice(t)
		o.t = rt
		o.submit("ana", "", "open", a1())
		buttons := bot.StandingButtons(nil, "A-1")
		for range rapid.SampledFrom([]int{0, 5, 30}).Draw(rt, "begun") {
			who, text := o.onward(rt)
			o.say(who, "A-1", text)
		}
		for range 10 {
			o.now = o.now.Add(time.Duration(rapid.SampledFrom([]int{0, 1, 30, 1200}).Draw(rt, "minutes")) * time.Minute)
			who := rapid.SampledFrom([]string{"ana", "ana", "bo", "mo", "ivy", "dee"}).Draw(rt, "who")
			posts := o.settle(nil, nil)
			switch b := rapid.SampledFrom(buttons).Draw(rt, "button"); {
			case rapid.IntRange(0, 2).Draw(rt, "typed") == 0:
				_, text := o.onward(rt)
				posts = append(posts, o.say(who, "A-1", text)...)
			case b.Form != "":
				o.submit(who, "A-1", b.Form, o.anything(rt, who, b.Form))
			default:
				unpressed := o.version("A-1")
				posts = append(posts, o.press(who, "A-1", b.Say)...)
				before := o.version("A-1")
				if before != unpressed {
					o.undoable(rt, who, b)
				}
				if again := o.press(who, "A-1", b.Say); o.version("A-1") != before || len(again) == 0 {
					rt.Fatalf("pressed twice, %q says %q", b.Say, texts(again))
				}
			}
			for _, b := range o.buttons(rt, posts) {
				if !slices.Contains(buttons, b) {
					o.checkButton(rt, b)
					buttons = append(buttons, b)
				}
			}
		}
	})
}

// undoable holds that whoever pressed a button can take back what it did.
func (o *office) undoable(rt *rapid.T, who string, b bot.Button) {
	j, err := o.desk.Job(o.ctx, jobs.DoorKey(o.site.ID, "A-1"))
	if err != nil {
		rt.Fatal(err)
	}
	if u := j.Door.Undo; u == nil || u.By != who || u.Barred != "" {
		rt.Fatalf("%s can't take %q back: %+v", who, b.Say, u)
	}
}

// buttons returns the buttons of posts, the door's top post and homes.
func (o *office) buttons(rt *rapid.T, posts []bot.Post) (all []bot.Button) {
	face, err := o.bot.Face(o.ctx, jobs.DoorKey(o.site.ID, "A-1"))
	if err != nil {
		rt.Fatal(err)
	}
	for _, p := range append(posts, face) {
		all = append(all, p.Buttons...)
	}
	h, err := o.bot.Home(o.ctx, rapid.SampledFrom([]string{"ana", "mo", "dee"}).Draw(rt, "whose home"), "", 1, o.now)
	if err != nil {
		rt.Fatal(err)
	}
	for _, s := range h.Sections {
		for _, l := range s.Lines {
			all = append(all, l.Buttons...)
		}
	}
	return all
}

// onward is what brings the door on, and who can say it.
func (o *office) onward(rt *rapid.T) (who, text string) {
	j, err := o.desk.Job(o.ctx, jobs.DoorKey(o.site.ID, "A-1"))
	if err != nil {
		rt.Fatal(err)
	}
	for _, it := range j.Items() {
		switch {
		case it.State.Settled():
			continue
		case it.Kind == jobs.Photo:
			return "ana", "photo " + it.ID + " in the folder"
		case it.ID == "floor-batch":
			return "ana", "mix floor batch K7 expires 2028-01-01"
		case it.ID == "floor-bonded":
			return "ana", "bond floor"
		case it.Kind == jobs.Reading && it.Least != nil:
			return "ana", fmt.Sprintf("read %s %v", it.ID, it.Least.Value()+1.5)
		case it.Kind == jobs.Reading:
			return "ana", "read " + it.ID + " 1"
		case it.ID == "second":
			return "mo", "tick second"
		}
		return "ana", rapid.SampledFrom([]string{"tick " + it.ID, "tick " + it.ID, "visit tomorrow 9:00"}).Draw(rt, "order")
	}
	return "ana", "hand over"
}

// addressed matches the door that an order in the channel is for.
var addressed = regexp.MustCompile(`^door [A-Z]+-[0-9]+ `)

// checkButton checks what a button does, and that it can be shown.
func (o *office) checkButton(rt *rapid.T, b bot.Button) {
	if n := utf8.RuneCountInString(b.Label); n == 0 || n > 75 || (b.Say == "") == (b.Form == "") {
		rt.Fatalf("%+v can't be shown, or does nothing, or two things", b)
	}
	if b.Form == "" {
		if o, _ := order.FindOrder(addressed.ReplaceAllString(b.Say, "")); o == nil {
			rt.Fatalf("%+v says no order", b)
		}
		return
	}
	f, err := o.bot.Form(o.ctx, o.message("mo", "A-1", ""), b.Form)
	if text, no := bot.Refused(nil, err); no {
		if strings.HasPrefix(text, "there is no form") {
			rt.Fatalf("%+v: %s", b, text)
		}
		return
	}
	if err != nil {
		rt.Fatal(err)
	}
	names := map[string]bool{}
	for _, field := range f.Fields {
		choice := field.Kind == bot.ChoiceField || field.Kind == bot.ChoicesField || field.Kind == bot.BoxField
		if !lex.IsName(field.Name) || names[field.Name] || field.Label == "" || choice != (len(field.Options) > 0) {
			rt.Fatalf("form %s: field %+v", f.ID, field)
		}
		names[field.Name] = true
		for _, option := range field.Options {
			if n := utf8.RuneCountInString(option.Label); n == 0 || n > 75 {
				rt.Fatalf("form %s, %s: option %+v", f.ID, field.Name, option)
			}
		}
	}
	if utf8.RuneCountInString(f.Title) > 24 || utf8.RuneCountInString(f.Submit) > 24 || len(f.Fields) == 0 || f.Door != "A-1" && f.ID != "open" {
		rt.Fatalf("form %+v", f)
	}
}

// A form that was opened before the site was closed, or for a door that is
// handed over, is refused in words and changes nothing.
func TestSubmit_closed(t *testing.T) {
	o := newOffice(t)
	o.submit("ana", "", "open", a1())
	closed := *o.site
	closed.Hash, closed.ClosedFrom = "closed", jobs.DateOf(o.now)
	if err := o.desk.UseSite(o.ctx, &closed); err != nil {
		t.Fatal(err)
	}
	if _, err := o.desk.Settle(o.ctx, o.now); err != nil { // the doors' reminders fall away
		t.Fatal(err)
	}
	before := o.look()
	for id, values := range map[string]map[string]string{
		"open": a1(), "snag": {"text": "scratch", "owner": "ana"}, "readings": {"plumb": "1"}, "visit": {"date": "2027-03-02", "time": "9:00"}} {
		if wrong, _ := o.submit("ana", "A-1", id, values); wrong[""] != "orchard-lane was closed on 2027-03-01: its doors are archived and stay as they are" {
			t.Errorf("%s: got %q", id, wrong)
		}
	}
	if diff := cmp.Diff(before, o.look()); diff != "" {
		t.Errorf("refused, the store is another:\n%s", diff)
	}
	m := o.message("ana", "A-1", "")
	m.Channel = "elsewhere"
	if wrong, _, err := o.bot.Submit(o.ctx, m, "snag", map[string]string{"text": "scratch"}); err != nil || !strings.HasPrefix(wrong[""], "this channel belongs to no site") {
		t.Errorf("in another channel: got %q, %v", wrong, err)
	}
	m.Person, m.Channel = "stranger", "" // to the bot alone
	for _, said := range []string{"board", "today"} {
		m.Text = said
		if posts, err := o.bot.Handle(o.ctx, m); err != nil || len(posts) != 1 || posts[0].Text != "no site file names you: the office can add you, as stranger; questions I answer all the same, hello tells how" {
			t.Errorf("%s by somebody whom no site file names: got %+v, %v", said, posts, err)
		}
	}
}
