package slack

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/notify"
	"heelpost/bot/script"
	"heelpost/bot/slack/fake"
	"heelpost/bot/talk"
	"heelpost/jobs"
	"heelpost/jobs/redis/redistest"
)

// works is a desk with all that works at it.
type works struct {
	*desk.Desk
	*jobs.Runner
	bot *talk.Bot
}

func newWorks(name string, store jobs.Store, poster bot.Poster) *works {
	_, faces := poster.(bot.Rooms)
	d := desk.New(store, faces)
	b := talk.New(talk.Stored{Store: store}, d)
	return &works{d, notify.New(name, d, poster, b.Hear), b}
}

// room is a conversation with the bot, in fake time.
type room struct {
	*testing.T
	desk *works
	bot  *talk.Bot
	site *jobs.Site
	now  time.Time
	form map[string]bot.Form // opened, by person and thread
	out  postbox
}

func newRoom(t *testing.T) *room {
	store := redistest.Open(t, "slack")
	read := func(name string) []byte {
		data, err := os.ReadFile("../../testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	r := &room{T: t, now: time.Now(), form: map[string]bot.Form{}}
	r.desk = newWorks("t", store, &r.out)
	for _, name := range []string{"orchard", "quarry"} {
		if err := r.desk.UseSheet(t.Context(), read("sheets/"+name+".yaml")); err != nil {
			t.Fatal(err)
		}
	}
	var err error
	if r.site, err = jobs.ParseSite(read("sites/orchard-lane.yaml"), read("sites/orchard-lane.ics")); err != nil {
		t.Fatal(err)
	}
	if err := r.desk.UseSite(t.Context(), r.site); err != nil {
		t.Fatal(err)
	}
	r.bot = r.desk.bot
	return r
}

// settle sends what comes due until a time.
func (r *room) settle(until time.Time) {
	for {
		next, err := r.desk.Settle(r.Context(), r.now)
		if err != nil {
			r.Fatal(err)
		}
		if !next.Before(until) {
			break
		}
		r.now = next
	}
	r.now = until
}

// line takes a line of the conversation.
func (r *room) line(i int, text string) {
	l, err := script.ParseLine(text)
	if err != nil || l.Kind == script.CommentLine || strings.HasPrefix(text, "  ") {
		return
	}
	m := bot.Message{ID: fmt.Sprint(i), At: r.now, Person: l.Person, Channel: r.site.Channels[0], Thread: l.Thread, Text: l.Text}
	if m.Person == "" {
		m.Person = "ana"
	}
	var posts []bot.Post
	switch l.Kind {
	case script.ClockSet, script.ClockMove:
		before := r.now
		if before.Year() == 2000 { // where the bubble's clock begins
			before = time.Time{}
		}
		until, err := l.Clock(before, r.site.Zone)
		if err != nil {
			r.Fatal(err)
		}
		if before.IsZero() {
			r.now = until
			if err := r.desk.LayRules(r.Context(), r.now); err != nil {
				r.Fatal(err)
			}
		}
		r.settle(until)
		return
	case script.Said:
		posts, err = r.bot.Handle(r.Context(), m)
	case script.Pressed:
		posts, err = r.press(m)
	case script.Filled:
		f := r.form[m.Person+m.Thread]
		values, refused := f.Fill(m.Text)
		if refused != nil {
			return
		}
		var wrong map[string]string
		if wrong, posts, err = r.desk.bot.Submit(r.Context(), m, f.ID, values); len(wrong) > 0 {
			for i := range f.Fields { // it stays open as it was filled in
				f.Fields[i].Value = values[f.Fields[i].Name]
			}
			r.shown(f)
		}
	}
	if err != nil {
		r.Fatal(err)
	}
	r.out.add(posts...)
	r.settle(r.now)
}

// press presses the newest button of that label.
func (r *room) press(m bot.Message) ([]bot.Post, error) {
	all := bot.StandingButtons(nil, m.Thread)
	for _, p := range slices.Backward(r.out.posts) {
		if p.Thread == m.Thread {
			all = append(all, p.Buttons...)
		}
	}
	for _, b := range all {
		switch {
		case !strings.EqualFold(b.Label, m.Text):
		case b.Form == "":
			m.Text = b.Say
			return r.desk.bot.Press(r.Context(), m)
		default:
			f, err := r.desk.bot.Form(r.Context(), m, b.Form)
			if _, refused := bot.Refused(nil, err); !refused && err != nil {
				return nil, err
			} else if !refused {
				r.form[m.Person+m.Thread] = f
				r.shown(f)
			}
			return nil, nil
		}
	}
	return nil, nil
}

func (r *room) shown(f bot.Form) {
	for _, field := range f.Fields {
		if n := utf8.RuneCountInString(field.Label); n == 0 || n > longestLabel {
			r.Errorf("form %s: the label %q has %d characters, want a few words", f.ID, field.Label, n)
		}
	}
	breachless(r, f.ID, fake.InModal, modal(nil, f, f.Door, "C0ORCHARD", "1772352000.000100", orchard))
}

// longestLabel is how many characters a field's label has: a phone's line.
const longestLabel = 48

// link is the address of a door's thread.
func link(site, door string) string {
	return "https://example.slack.com/archives/C0ORCHARD/" + site + "/" + door
}

// views looks at the home of everybody by every filter, and at the face and
// the forms of every door.
func (r *room) views() {
	for _, p := range append(slices.Clone(r.site.People), jobs.Person{ID: "zoe"}) {
		h, err := r.desk.bot.Home(r.Context(), p.ID, "", 1, r.now)
		if err != nil {
			r.Fatal(err)
		}
		for _, f := range append(h.Filters, bot.Option{}) {
			if h, err = r.desk.bot.Home(r.Context(), p.ID, f.Value, 1, r.now); err != nil {
				r.Fatal(err)
			}
			breachless(r, "home of "+p.ID, fake.InHome, home(nil, h, link))
		}
	}
	keys, _, err := r.desk.Recent(r.Context(), r.site.ID, 100)
	if err != nil {
		r.Fatal(err)
	}
	for _, key := range keys {
		face, err := r.desk.bot.Face(r.Context(), key)
		if err != nil {
			r.Fatal(err)
		}
		r.out.add(face)
		m := bot.Message{ID: key, At: r.now, Person: "mo", Channel: r.site.Channels[0], Thread: face.Thread}
		for _, id := range []string{"readings", "snag <!channel>", "visit", "move v1"} {
			if f, err := r.desk.bot.Form(r.Context(), m, id); err == nil {
				r.shown(f)
			}
		}
	}
}

// postbox keeps what is posted.
type postbox struct {
	mu    sync.Mutex
	posts []bot.Post
}

func (o *postbox) add(posts ...bot.Post) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.posts = append(o.posts, posts...)
}

func (o *postbox) Post(_ context.Context, p bot.Post) (string, error) {
	o.add(p)
	return p.ID, nil
}

func (*postbox) Find(context.Context, bot.Post) (string, bool, error) { return "", false, nil }
