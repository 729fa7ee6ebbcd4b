package slack

import (
	"cmp"
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

	"heelpost/bot"
	"heelpost/bot/slack/fake"
	"heelpost/jobs/redis"
)

// TestConversations holds the conversations of testdata/chat over Slack: said
// there by mention, in the threads of the doors, with buttons pressed. The
// bot says the same as at a terminal. Forms look and are filled in another
// way; TestForms has them.
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
		if strings.Contains(string(text), "> {") {
			continue
		}
		t.Run(strings.TrimSuffix(filepath.Base(path), ".chat"), func(t *testing.T) {
			t.Parallel()
			converse(t, string(text))
		})
	}
}

// talk is a conversation on its way.
type talk struct {
	*world
	now   time.Time
	names map[string]string       // by user id
	seen  map[string]bool         // posts that were compared
	last  map[string]string       // by person: the thread of what they said last in the channel
	plain map[string]string       // threads that are no door's, by their name in the conversation
	old   map[string]fake.Message // messages as they were when a button of theirs was pressed
}

func converse(t *testing.T, script string) {
	c := &talk{names: map[string]string{}, seen: map[string]bool{}, last: map[string]string{}, plain: map[string]string{}, old: map[string]fake.Message{}}
	store, err := redis.Embedded(t.Context(), fake.Team)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	c.world = &world{t: t, Server: newFake(t, fake.Options{PostEvery: -1}), store: &flaky{Store: store}, clock: func() time.Time { return c.now }}
	for id, name := range map[string]string{ana: "ana", bo: "bo", cy: "cy", mo: "mo", ivy: "ivy"} {
		c.names[id] = name
	}
	c.begin(NoLimits)
	site := accounts(t)
	begun := false
	lines := strings.Split(strings.TrimRight(script, "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		l, err := bot.ParseLine(lines[i])
		if err != nil {
			continue // the terminal's own business
		}
		clock := l.Kind == bot.ClockSet || l.Kind == bot.ClockMove
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
		if !begun && l.Kind != bot.CommentLine {
			begun = true
			if err := c.desk.LayRules(t.Context(), c.now); err != nil {
				t.Fatal(err)
			}
		}
		switch l.Kind {
		case bot.Said:
			c.say(&l)
		case bot.Pressed:
			if l.Thread == "" {
				return // a terminal has buttons in the channel; what follows rests on them
			}
			c.pressLabel(&l)
		}
		var want []string
		for i+1 < len(lines) {
			next := lines[i+1]
			if p, err := bot.ParseLine(next); err == nil && p.Kind == bot.Posted {
				want = append(want, p.Thread+"> "+p.Text)
			} else if strings.HasPrefix(next, "  ") && len(want) > 0 {
				want[len(want)-1] += "\n" + next[2:]
			} else {
				break
			}
			i++
		}
		if l.Kind == bot.CommentLine && len(want) == 0 {
			continue
		}
		got := c.posted()
		slices.Sort(want)
		slices.Sort(got)
		for i := range want {
			want[i] = strings.TrimRight(want[i], "\n ")
		}
		if diff := gocmp.Diff(want, got); diff != "" {
			t.Errorf("after %q (-terminal +slack):\n%s", lines[i-len(want)], diff)
		}
	}
}

// move moves the clock, and stops at every time something is due.
func (c *talk) move(end time.Time) {
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

func (c *talk) settle() time.Time {
	c.t.Helper()
	next, err := c.desk.Settle(c.t.Context(), c.now)
	if err != nil {
		c.t.Fatal(err)
	}
	return next
}

// user returns the account of a person, who is let in if need be.
func (c *talk) user(person string) string {
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
func (c *talk) thread(door string) string {
	refs, err := c.store.Bound(c.t.Context(), faceName("orchard-lane/"+door))
	if err != nil {
		c.t.Fatal(err)
	}
	return parseSpot(refs[0]).thread
}

// handled waits until the bot has acknowledged all that it was sent, and deals
// with it.
func (c *talk) handled() {
	c.t.Helper()
	c.until("acknowledgement", func() bool { return c.Unacked() == 0 })
	c.settle()
}

func (c *talk) say(l *bot.ScriptLine) {
	user, text, thread := c.user(l.Person), l.Text, ""
	if l.Thread != "" {
		if thread = c.thread(l.Thread); thread == "" {
			if thread = c.plain[l.Thread]; thread == "" {
				thread = c.Say(doors, user, "about "+l.Thread, "")
				c.plain[l.Thread] = thread
			}
		}
	}
	if thread == "" && c.waits(user) { // what was asked back stands in a thread, and so does the reply
		thread = c.last[user]
	}
	ts := c.Say(doors, user, mention+text, thread)
	if l.Thread == "" && thread == "" {
		c.last[user] = ts
	}
	c.handled()
}

// waits reports whether a question waits for somebody where they spoke last.
func (c *talk) waits(user string) bool {
	m := bot.Message{At: c.now, Person: c.a.person(doors, user), Channel: doors, Under: spot{doors, c.last[user]}.String()}
	waits, err := c.a.bot.Waits(c.t.Context(), m)
	if err != nil {
		c.t.Fatal(err)
	}
	return waits
}

// pressLabel presses the newest button of that label in a thread.
func (c *talk) pressLabel(l *bot.ScriptLine) {
	c.t.Helper()
	all := append([]fake.Message{c.old[l.Thread+l.Text]}, c.Thread(doors, c.thread(l.Thread))...)
	for _, m := range slices.Backward(all) {
		if strings.Contains(string(m.Blocks), `"text":"`+l.Text+`"`) {
			c.old[l.Thread+l.Text] = m
			user := c.user(l.Person)
			version, whispers := c.version(l.Thread), len(c.Ephemerals(user))
			c.press(user, m, l.Text)
			c.handled()
			if c.version(l.Thread) == version { // then it was answered at once, to them alone
				c.until("word on the press", func() bool { return len(c.Ephemerals(user)) > whispers })
			}
			return
		}
	}
	c.t.Errorf("no button %s in %s", l.Text, l.Thread)
}

// version returns the version of a door.
func (c *talk) version(door string) int64 {
	r, err := c.store.Door(c.t.Context(), "orchard-lane/"+door)
	if err != nil {
		c.t.Fatal(err)
	}
	return r.Version
}

var (
	mentions = regexp.MustCompile(`<@(\w+)>`)
	account  = regexp.MustCompile(`\bU0\w{7}\b`)
	pageMark = regexp.MustCompile(`\n\d+ of \d+$`)
)

// posted returns what the bot said since it was asked last, as a conversation
// has it: thread, and text. Faces are Slack's own.
func (c *talk) posted() (out []string) {
	c.t.Helper()
	pages := map[string]string{}
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
				pages[whole] += text + "\n"
				return
			}
		}
		out = append(out, thread+"> "+pages[whole]+text)
	}
	for _, m := range c.Messages(doors) {
		door := ""
		if _, after, ok := strings.Cut(fakeID(m), "orchard-lane/"); ok {
			door, _, _ = strings.Cut(after, ":door@")
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
