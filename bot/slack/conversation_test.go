package slack

import (
	"cmp"
	"encoding/json"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"heelpost/bot"
	"heelpost/bot/order"
	"heelpost/bot/script"
	"heelpost/bot/slack/fake"
	"heelpost/bot/verb"
	"heelpost/jobs"
	"heelpost/jobs/redis/redistest"
)

// TestConversations holds the conversations of testdata/chat over Slack: said
// there by mention, in the threads of the doors, with buttons pressed and
// forms filled in. The bot says the same as at a terminal, asks for the same
// in its forms and complains of the same.
func TestConversations(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/chat/*.chat")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no conversations: %v", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(strings.TrimSuffix(filepath.Base(path), ".chat"), func(t *testing.T) {
			t.Parallel()
			converse(t, string(text))
		})
	}
}

// exchange is a conversation on its way.
type exchange struct {
	*world
	now   time.Time
	names map[string]string       // by user id
	seen  map[string]bool         // posts that were compared
	last  map[string]string       // by person: the thread of what they said last in the channel
	plain map[string]string       // threads that are no door's, by their name in the conversation
	old   map[string]fake.Message // messages as they were when a button of theirs was pressed
	pages map[string]string       // of posts that go on
	forms map[bot.Place]*opened   // not sent yet
}

func converse(t *testing.T, text string) {
	c := &exchange{names: map[string]string{}, seen: map[string]bool{}, last: map[string]string{}, plain: map[string]string{}, old: map[string]fake.Message{},
		pages: map[string]string{}, forms: map[bot.Place]*opened{}}
	store := redistest.Open(t, fake.Team)
	c.world = &world{t: t, conversation: text, Server: newFake(t, fake.Options{PostEvery: -1}), store: &flaky{Store: store}, clock: func() time.Time { return c.now }}
	for id, name := range map[string]string{ana: "ana", bo: "bo", cy: "cy", mo: "mo", ivy: "ivy"} {
		c.names[id] = name
	}
	c.begin(NoLimits)
	site := accountsWith(t, text)
	begun := false
	lines := strings.Split(strings.TrimRight(text, "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		l, err := script.ParseLine(lines[i])
		if err != nil {
			continue // the terminal's own business
		}
		clock := l.Kind == script.ClockSet || l.Kind == script.ClockMove
		if clock {
			end, err := l.Clock(c.now, site.Zone)
			if err != nil {
				continue
			}
			if !begun {
				c.now = end
			}
			c.move(end)
		}
		if !begun && l.Kind != script.CommentLine {
			begun = true
			if err := c.desk.LayRules(t.Context(), c.now); err != nil {
				t.Fatal(err)
			}
		}
		var want []string
		for i+1 < len(lines) {
			next := lines[i+1]
			if p, err := script.ParseLine(next); err == nil && p.Kind == script.Posted {
				want = append(want, p.Thread+"> "+p.Text)
			} else if strings.HasPrefix(next, "  ") && len(want) > 0 {
				want[len(want)-1] += "\n" + next[2:]
			} else {
				break
			}
			i++
		}
		for i := range want {
			want[i] = strings.TrimRight(want[i], "\n ")
		}
		var got []string
		switch l.Kind {
		case script.Said:
			c.say(&l)
		case script.Pressed:
			if got = c.pressLabel(&l); got == nil {
				want = slices.DeleteFunc(want, noButton)
			}
		case script.Filled:
			got, want = c.fill(&l, want)
		}
		if l.Kind == script.CommentLine && len(want) == 0 {
			continue
		}
		c.until("what follows on "+lines[i-len(want)], func() bool {
			got = append(got, c.posted()...)
			return len(got) >= len(want)
		})
		slices.Sort(want)
		slices.Sort(got)
		got = turned(want, got)
		if diff := gocmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("after %q (-terminal +slack):\n%s", lines[i-len(want)], diff)
		}
	}
}

// turned takes a board that is whole in Slack, a table, for its first page on the
// terminal, which it begins with.
func turned(want, got []string) []string {
	for _, w := range want {
		page, _, turns := strings.Cut(w, "\nand ")
		if first, _, ok := strings.Cut(w, "\nmore: board"); ok {
			page, turns = first, true
		}
		for i, g := range got {
			if turns && strings.Contains(w, "board all") && strings.HasPrefix(g, page+"\n") {
				got[i] = w
			}
		}
	}
	return got
}

// move moves the clock, and stops at every time something is due.
func (c *exchange) move(end time.Time) {
	for {
		next := c.settle()
		if !next.Before(end) {
			break
		}
		c.now = next
	}
	c.now = end
	c.settle()
}

func (c *exchange) settle() time.Time {
	c.t.Helper()
	next, err := c.desk.Settle(c.t.Context(), c.now)
	if err != nil {
		c.t.Fatal(err)
	}
	return next
}

// user returns the account of a person, who is let in if need be.
func (c *exchange) user(person string) string {
	for id, name := range c.names {
		if name == cmp.Or(person, "ana") {
			return id
		}
	}
	id := fmt.Sprintf("U0NEW%04d", len(c.names))
	c.names[id] = person
	c.AddPeople(fake.Person{ID: id, Name: person})
	c.Join(doors, id)
	return id
}

// thread returns the thread of a door, "" if it has none.
func (c *exchange) thread(door string) string {
	key := "orchard-lane/" + door
	if j := c.door(door); j != nil {
		key = j.Key
	}
	refs, err := c.store.Bound(c.t.Context(), faceName(key))
	if err != nil {
		c.t.Fatal(err)
	}
	return parseSpot(refs[0]).thread
}

// door returns a door by a name that it has or had; nil if there is none.
func (c *exchange) door(id string) *jobs.Job {
	c.t.Helper()
	j, err := c.desk.Find(c.t.Context(), jobs.DoorKey("orchard-lane", id))
	if err != nil {
		c.t.Fatal(err)
	}
	return j
}

// handled waits until the bot has acknowledged all that it was sent, and deals
// with it.
func (c *exchange) handled() {
	c.t.Helper()
	c.until("acknowledgement", func() bool { return c.Unacked() == 0 })
	c.settle()
}

func (c *exchange) say(l *script.ScriptLine) {
	user, text, thread := c.user(l.Person), l.Text, ""
	if l.Thread != "" {
		if thread = c.thread(l.Thread); thread == "" {
			if thread = c.plain[l.Thread]; thread == "" {
				thread = c.Say(doors, user, "about "+l.Thread, "")
				c.plain[l.Thread] = thread
			}
		}
	}
	if thread == "" && c.waits(user, text) { // what was asked back or answered stands in a thread, and so does what goes on from it
		thread = c.last[user]
	}
	ts := c.Say(doors, user, mention+text, thread)
	if l.Thread == "" && thread == "" {
		c.last[user] = ts
	}
	c.handled()
}

// waits reports whether a question waits for somebody where they spoke last, or
// was answered there and a text that is no whole one goes on from it.
func (c *exchange) waits(user, text string) bool {
	if o, _ := order.FindOrder(text); o == nil && !verb.Questions.Ask(text, nil).OK() {
		text = "and " + text
	}
	m := bot.Message{Text: text, At: c.now, Person: c.a.person(doors, user), Channel: doors, Under: spot{doors, c.last[user]}.String()}
	waits, err := c.a.bot.Waits(c.t.Context(), m)
	if err != nil {
		c.t.Fatal(err)
	}
	return waits
}

// pressLabel presses the newest button of that label in a thread, or in the
// channel gives the command that stands for it. It returns the form that opened,
// none if there is none, nil if there is no such button to press.
func (c *exchange) pressLabel(l *script.ScriptLine) []string {
	c.t.Helper()
	user, forms := c.user(l.Person), func() int { return len(c.Modals(c.user(l.Person))) }
	for forms() > 0 { // one that was left lying
		if err := c.CloseModal(user); err != nil {
			c.t.Fatal(err)
		}
	}
	if l.Text == "Open a door" {
		if err := c.Command(user, doors, "/door", "open"); err != nil {
			c.t.Fatal(err)
		}
	} else {
		all := slices.Concat([]fake.Message{c.old[l.Thread+l.Text]}, c.Messages(doors), c.Thread(doors, c.last[user]), c.Ephemerals(user)) // in the channel, or below what they said there
		if l.Thread != "" {
			all = slices.Concat([]fake.Message{c.old[l.Thread+l.Text]}, c.Thread(doors, c.thread(l.Thread)), c.Ephemerals(user))
		}
		i := len(all) - 1
		for ; i >= 0 && !strings.Contains(string(all[i].Blocks), `"text":"`+l.Text+`"`); i-- {
		}
		if i < 0 {
			return nil
		}
		c.old[l.Thread+l.Text] = all[i]
		c.press(user, all[i], l.Text)
	}
	c.handled()
	if forms() == 0 {
		return []string{}
	}
	f := c.opened(user)
	c.forms[bot.Place{Person: user, Thread: l.Thread}] = f
	return []string{l.Thread + "> " + f.Text(nil)}
}

func noButton(want string) bool { return strings.Contains(want, "> there is no button [") }

// opened is a form of ours as Slack shows it.
type opened struct {
	bot.Form
	view  string
	kinds map[string]string // of its elements, by the field's name
}

// opened reads the form that a user has open.
func (c *exchange) opened(user string) *opened {
	c.t.Helper()
	v := c.Modals(user)[0]
	o := &opened{Form: bot.Form{Title: v.Title}, view: v.ID, kinds: map[string]string{}}
	type words struct{ Text string }
	type option struct{ Value string }
	var blocks []struct {
		ID          string `json:"block_id"`
		Type        string
		Elements    []struct{ Elements []words }
		Label, Hint words
		Optional    bool
		Element     struct {
			Type    string
			Options []option
			Value   string   `json:"initial_value"`
			Date    string   `json:"initial_date"`
			Time    string   `json:"initial_time"`
			Option  option   `json:"initial_option"`
			Chosen  []option `json:"initial_options"`
			User    string   `json:"initial_user"`
			Users   []string `json:"initial_users"`
		}
	}
	if err := json.Unmarshal(v.Blocks, &blocks); err != nil {
		c.t.Fatal(err)
	}
	for _, b := range blocks {
		if b.Type != "input" {
			for _, part := range b.Elements {
				for _, w := range part.Elements {
					o.Intro += strings.ReplaceAll(w.Text, "\u00a0", " ") // numbers stay with their units
				}
			}
			continue
		}
		e := b.Element
		f := bot.Field{Name: b.ID, Label: b.Label.Text, Hint: b.Hint.Text, Optional: b.Optional}
		if e.Type == "checkboxes" {
			f.Kind = bot.BoxField
		}
		for _, o := range e.Options {
			f.Options = append(f.Options, bot.Option{Value: o.Value})
		}
		value := []string{e.Value, e.Date, e.Time, e.Option.Value, c.names[e.User]}
		for _, o := range e.Chosen {
			value = append(value, o.Value)
		}
		for _, u := range e.Users {
			value = append(value, c.names[u])
		}
		f.Value = strings.Join(strings.Fields(strings.Join(value, " ")), " ")
		o.kinds[f.Name] = e.Type
		o.Fields = append(o.Fields, f)
	}
	return o
}

// fill fills in the form that somebody has open in a thread, and sends it. It
// returns the complaints, and what is still wanted: what the terminal says of
// something that Slack's own fields do not let anybody do is not.
func (c *exchange) fill(l *script.ScriptLine, want []string) (got, left []string) {
	c.t.Helper()
	user := c.user(l.Person)
	at := bot.Place{Person: user, Thread: l.Thread}
	f := c.forms[at]
	if f == nil {
		return nil, nil // it was sent, and is no longer on the screen
	}
	values, err := f.Fill(l.Text)
	if err != nil {
		return nil, nil // there is no such field
	}
	sent := map[string]string{}
	for i := range f.Fields {
		name := f.Fields[i].Name
		f.Fields[i].Value = values[name]
		sent[name] = c.entered(f.kinds[name], f.Fields[i].Label, values[name])
	}
	answer, err := c.Submit(user, f.view, sent)
	if err != nil {
		return nil, nil
	}
	if answer.Action == "close" {
		delete(c.forms, at)
		c.handled()
		return nil, want
	}
	if len(want) != 1 {
		c.t.Fatalf("complaints %v, want %q", answer.Errors, want)
	}
	// What concerns no field stands at the first in Slack.
	var lines []string
	for _, field := range f.Fields {
		if text := answer.Errors[field.Name]; text != "" {
			lines = append(lines, field.Name+": "+chosen.ReplaceAllString(text, "$1"))
		}
	}
	head, text, _ := strings.Cut(want[0], "\n")
	if first := f.Fields[0].Name + ": "; !strings.Contains(text, ": ") {
		text = first + text
	}
	return []string{l.Thread + "> nothing is entered:\n" + strings.Join(lines, "\n")}, []string{head + "\n" + text}
}

// entered is what somebody enters in Slack where the terminal takes a text.
func (c *exchange) entered(kind, label, value string) string {
	var ids []string
	for _, name := range strings.Fields(value) {
		if name = strings.TrimPrefix(name, "@"); strings.HasSuffix(kind, "users_select") {
			name = c.user(name)
		}
		ids = append(ids, name)
	}
	switch kind {
	case "users_select", "multi_users_select", "multi_static_select":
		return strings.Join(ids, ",")
	case "number_input":
		if number, unit, ok := strings.Cut(value, " "); ok && strings.Contains(label, unit) {
			value = number // the unit stands in the label
		}
	case "timepicker":
		if t, err := time.Parse("15:04", value); err == nil {
			value = t.Format("15:04")
		}
	}
	return value
}

var (
	mentions = regexp.MustCompile(`<@(\w+)>`)
	account  = regexp.MustCompile(`\bU0\w{7}\b`)
	chosen   = regexp.MustCompile(`@(\w+) \(U0\w{7}\)`) // somebody whom no site file names
	pageMark = regexp.MustCompile(`\n\d+ of \d+$`)
)

// posted returns what the bot said since it was asked last, as a conversation
// has it: thread, and text. Faces are Slack's own.
func (c *exchange) posted() (out []string) {
	c.t.Helper()
	add := func(thread string, m fake.Message) {
		id := fakeID(m)
		if m.BotID == "" || c.seen[m.TS] {
			return
		}
		c.seen[m.TS] = true
		if strings.Contains(id, ":door@") {
			return
		}
		text := html.UnescapeString(mentions.ReplaceAllString(m.Text, "@$1"))
		text = account.ReplaceAllStringFunc(text, func(id string) string { return cmp.Or(c.names[id], id) })
		whole, part, _ := strings.Cut(id, "#")
		if pageMark.MatchString(text) {
			text = pageMark.ReplaceAllString(text, "")
			if part != "" {
				c.pages[whole] += text + "\n"
				return
			}
		}
		out = append(out, thread+"> "+c.pages[whole]+text)
	}
	for _, m := range c.Messages(doors) {
		door := ""
		if _, after, ok := strings.Cut(fakeID(m), "orchard-lane/"); ok {
			door, _, _ = strings.Cut(after, ":door@")
			if j := c.door(door); j != nil {
				door = j.Door.Spec.ID
			}
		}
		for name, root := range c.plain {
			if root == m.TS {
				door = name
			}
		}
		add("", m)
		for _, r := range c.Thread(doors, m.TS)[1:] {
			add(door, r)
		}
	}
	for user := range c.names {
		for _, m := range c.Messages(c.Direct(user)) {
			add("", m)
		}
		for _, m := range c.Ephemerals(user) {
			door := ""
			if refs, err := c.store.Bound(c.t.Context(), threadName(spot{m.Channel, m.Thread})); err == nil && refs[0] != "" {
				_, door, _ = strings.Cut(refs[0], "/")
			}
			add(door, m)
		}
	}
	return out
}
