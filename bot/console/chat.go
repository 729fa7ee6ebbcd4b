package console

import (
	"bufio"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"heelpost/bot"
	"heelpost/bot/draw"
	"heelpost/bot/say"
	"heelpost/bot/script"
)

// Chat is a conversation at a terminal or from a file.
type Chat struct {
	Bot      Bot
	Work     Work    // nil: questions only
	Outbox   *Outbox // where notices are posted
	Screen   *Screen
	You      string // who types a line that names nobody
	Channel  string
	Session  string // makes the ids of messages unique
	Zone     *time.Location
	Script   bool                             // lines are echoed, and the output is a conversation again
	JSON     bool                             // posts are shown as JSON, a line each
	Language *say.Language                    // of what is said; nil for English
	Fixed    bool                             // the clock can't be moved
	Pictures string                           // folder into which pictures are drawn; "" for none
	Reload   func(context.Context) []say.Text // takes changed files into use and says what is wrong with them; may be nil

	now    time.Time
	n      int
	shown  map[button]bot.Button  // the newest of each
	opened map[bot.Place]bot.Form // the form that somebody has opened last
	told   string                 // the outage that was shown last
	begun  bool                   // of a script: the clock is known
	posted bool                   // of a script: the line before is the bot's
}

// Bot is what the chat hands what is said, pressed and filled in.
type Bot interface {
	Handle(context.Context, bot.Message) ([]bot.Post, error)
	Press(context.Context, bot.Message) ([]bot.Post, error)
	Form(ctx context.Context, m bot.Message, id string) (bot.Form, error)
	Submit(ctx context.Context, m bot.Message, id string, values map[string]string) (complaints map[string]string, posts []bot.Post, err error)
}

// Work is what goes on at the doors while nobody says anything.
type Work interface {
	// LayRules puts the recurring notices of every site.
	LayRules(ctx context.Context, now time.Time) error
	// Settle sends all that is due at now, and returns when more is due.
	Settle(ctx context.Context, now time.Time) (next time.Time, err error)
}

// Run takes lines until the input ends. In a script the clock stands still
// but for @ lines; else it is the given clock's, moved on by them.
func (c *Chat) Run(ctx context.Context, in io.Reader, clock func() time.Time) error {
	if c.Script {
		if c.now.IsZero() {
			c.now = clock()
		}
		lines := bufio.NewScanner(in)
		lines.Buffer(nil, longestLine)
		number := 1
		for ; lines.Scan(); number++ {
			if err := c.line(ctx, lines.Text()); err != nil {
				return &atLine{number, err}
			}
		}
		if err := lineEnd(lines.Err()); err != nil {
			return &atLine{number, err}
		}
		return nil
	}
	return c.live(ctx, in, clock)
}

// live takes lines as they are typed, and shows what comes due meanwhile.
func (c *Chat) live(ctx context.Context, in io.Reader, clock func() time.Time) error {
	typed, failed := make(chan string), make(chan error, 1)
	go func() {
		lines := bufio.NewScanner(in)
		lines.Buffer(nil, longestLine)
		for lines.Scan() {
			select {
			case typed <- lines.Text():
			case <-ctx.Done():
				return
			}
		}
		failed <- lineEnd(lines.Err())
	}()
	var ahead time.Duration // how far @ lines have moved the clock
	for {
		if c.Reload != nil {
			for _, fault := range c.Reload(ctx) {
				if err := c.Screen.Text(c.Language.Say(fault)); err != nil {
					return err
				}
			}
		}
		c.now = clock().Add(ahead)
		next, err := c.settle(ctx)
		if err := c.trouble(err); err != nil {
			return err
		}
		var due <-chan time.Time
		if c.Work != nil {
			due = time.After(min(next.Sub(c.now), glance))
			if err != nil {
				due = time.After(glance)
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case err := <-failed:
			return err
		case <-due:
		case line := <-typed:
			before := clock().Add(ahead)
			c.now = before
			if err := c.trouble(c.line(ctx, line)); err != nil {
				return err
			}
			ahead += c.now.Sub(before)
		}
	}
}

// trouble shows what a typed conversation goes on after: a line that is none,
// and a store that is away, once for each change of its words. It returns
// what it can't go on after.
func (c *Chat) trouble(err error) error {
	var fault *lineError
	var away *outage
	switch {
	case errors.As(err, &fault):
		return c.Screen.Text(c.Language.Say(fault.Text))
	case errors.As(err, &away):
		if text := away.Error(); text != c.told {
			c.told = text
			return c.Screen.Text(c.Language.Say(say.F("the store is away: %s; before you say it again, look with next or log whether it was done", away.error)))
		}
		return nil
	case err == nil:
		c.told = ""
	}
	return err
}

// outage is trouble with the store.
type outage struct{ error }

// glance is how often files are looked at for changes.
const glance = 5 * time.Second

// lineError is a line that is no line of a conversation.
type lineError struct{ say.Text }

// LineFault tells the fault of a line from trouble of our own.
func (*lineError) LineFault() bool { return true }

// atLine is an error with the number of the line in a script that led to it.
type atLine struct {
	number int
	err    error
}

// Sentence returns what is said of it.
func (e *atLine) Sentence() (key string, args []any) {
	return say.F("line %s: %s", e.number, e.err).Sentence()
}

func (e *atLine) Error() string { return say.Of(e).String() }

func (e *atLine) Unwrap() error { return e.err }

// longestLine is the most bytes a line may have. Far shorter ones are refused
// in words; one beyond it is no message, and the input can't be read on.
const longestLine = 1 << 20

// lineEnd tells a line beyond all bounds from trouble with the input.
func lineEnd(err error) error {
	if errors.Is(err, bufio.ErrTooLong) {
		return &lineError{say.F("a line of more than %s characters is no message", longestLine)}
	}
	return err
}

// line takes one line.
func (c *Chat) line(ctx context.Context, text string) error {
	if c.Script && strings.HasPrefix(text, "  ") {
		if !c.posted {
			return &lineError{say.F("a line that is set in goes on with what the bot said, and it said nothing right before")}
		}
		return nil
	}
	l, err := script.ParseLine(text)
	if err != nil {
		return &lineError{say.Of(err)}
	}
	c.posted = l.Kind == script.Posted
	if c.posted {
		return nil // what the bot said before
	}
	if c.Script && !c.JSON {
		if _, err := fmt.Fprintln(c.Screen.Out, bot.Printable(text)); err != nil {
			return err
		}
	}
	switch l.Kind {
	case script.CommentLine:
		return nil
	case script.ClockSet, script.ClockMove:
		return c.move(ctx, &l)
	}
	if err := c.begin(ctx); err != nil {
		return err
	}
	m := c.message(&l)
	handle := map[script.LineKind]func(context.Context, bot.Message) ([]bot.Post, error){script.Said: c.Bot.Handle, script.Pressed: c.press, script.Filled: c.fill}[l.Kind]
	posts, err := handle(ctx, m)
	if err != nil {
		return &outage{err}
	}
	for _, p := range posts {
		if err := c.show(p); err != nil {
			return err
		}
	}
	_, err = c.settle(ctx)
	return err
}

// button names a button: the thread it stands in, and its label in lower case.
type button struct{ thread, label string }

// press presses the newest button of that label in the thread.
func (c *Chat) press(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	b, ok := c.shown[button{m.Thread, strings.ToLower(m.Text)}]
	for _, s := range bot.StandingButtons(c.Language, m.Thread) {
		if strings.EqualFold(s.Label, m.Text) {
			b, ok = s, true
		}
	}
	if !ok || c.Work == nil {
		return refuse(m, c.Language.Say(say.F("there is no button [%s] here: say it in words; help tells how", m.Text))), nil
	}
	if b.Form == "" {
		m.Text = b.Say
		return c.Bot.Press(ctx, m)
	}
	f, err := c.Bot.Form(ctx, m, b.Form)
	if text, no := bot.Refused(c.Language, err); no {
		return refuse(m, text), nil
	}
	if err != nil {
		return nil, err
	}
	if c.opened == nil {
		c.opened = map[bot.Place]bot.Form{}
	}
	c.opened[place(m)] = f
	return []bot.Post{{At: m.At, Channel: m.Channel, Thread: m.Thread, To: m.Person, Kind: bot.KindForm, Text: f.Text(c.Language)}}, nil
}

// fill fills in the form that the person has opened in the thread. With a
// complaint it stays open, as it was filled in.
func (c *Chat) fill(ctx context.Context, m bot.Message) ([]bot.Post, error) {
	f, ok := c.opened[place(m)]
	if !ok {
		return refuse(m, c.Language.Say(say.F("there is no form open here: press what opens one; help door tells what"))), nil
	}
	values, err := f.Fill(m.Text)
	if err != nil {
		text, _ := bot.Refused(c.Language, err)
		return refuse(m, text), nil
	}
	at := place(m)
	m.Thread = cmp.Or(f.Door, m.Thread)
	wrong, posts, err := c.Bot.Submit(ctx, m, f.ID, values)
	if err != nil {
		return nil, err
	}
	if len(wrong) == 0 {
		delete(c.opened, at)
		for i := range posts {
			posts[i].Thread = at.Thread // it is said where the form was opened
		}
		return posts, nil
	}
	lines := []say.Text{say.F("nothing is entered:"), say.Plain(wrong[""])}
	for i := range f.Fields {
		field := &f.Fields[i]
		field.Value = values[field.Name]
		if text := wrong[field.Name]; text != "" {
			lines = append(lines, say.F("%s: %s", field.Name, text))
		}
	}
	return refuse(m, c.Language.Say(say.Lines(lines...))), nil
}

func place(m bot.Message) bot.Place { return bot.Place{Person: m.Person, Thread: m.Thread} }

func refuse(m bot.Message, text string) []bot.Post {
	return []bot.Post{{At: m.At, Channel: m.Channel, Thread: m.Thread, To: m.Person, Kind: bot.KindError, Text: text}}
}

func (c *Chat) message(l *script.ScriptLine) bot.Message {
	c.n++
	m := bot.Message{ID: fmt.Sprintf("%s-%d", c.Session, c.n), At: c.now, Person: l.Person, Channel: c.Channel, Thread: l.Thread, Text: l.Text}
	if m.Person == "" {
		m.Person = c.You
	}
	return m
}

// move moves the clock, and stops at every time something is due.
func (c *Chat) move(ctx context.Context, l *script.ScriptLine) error {
	if c.Fixed {
		return &lineError{say.F("the clock can't be moved: others work with what is stored here")}
	}
	now, first := c.now, c.Script && !c.begun && l.Kind == script.ClockSet
	if first {
		now = time.Time{} // whatever the time is now
	}
	end, err := l.Clock(now, c.Zone)
	if err != nil {
		return &lineError{say.Of(err)}
	}
	if first {
		c.now = end
	}
	if err := c.begin(ctx); err != nil || first {
		return err
	}
	for {
		next, err := c.settle(ctx)
		if err != nil {
			return err
		}
		if c.Work == nil || !next.Before(end) {
			c.now = end
			_, err := c.settle(ctx)
			return err
		}
		c.now = next
	}
}

// begin lays the recurring notices of a script once its clock is known: it is
// set first, or it is the given one.
func (c *Chat) begin(ctx context.Context) error {
	if c.begun || !c.Script {
		return nil
	}
	c.begun = true
	if c.Work == nil {
		return nil
	}
	return c.Work.LayRules(ctx, c.now)
}

// settle sends what is due and shows it, and returns when more is due.
func (c *Chat) settle(ctx context.Context) (next time.Time, err error) {
	if c.Work == nil {
		return c.now, nil
	}
	next, err = c.Work.Settle(ctx, c.now)
	if err != nil {
		return c.now, &outage{err}
	}
	for _, p := range c.Outbox.take() {
		if err := c.show(p); err != nil {
			return next, err
		}
	}
	return next, nil
}

// postJSON is a post as programs read it. The names are stable.
type postJSON struct {
	At     time.Time `json:"at"`
	Thread string    `json:"thread"`
	To     string    `json:"to"`
	Kind   bot.Kind  `json:"kind"`
	Text   string    `json:"text"`
}

func (c *Chat) show(p bot.Post) error {
	for _, b := range p.Buttons {
		if c.shown == nil {
			c.shown = map[button]bot.Button{}
		}
		c.shown[button{p.Thread, strings.ToLower(b.Label)}] = b
	}
	picture, err := c.paint(p.Picture)
	if err != nil {
		return err
	}
	switch {
	case c.JSON:
		e := json.NewEncoder(c.Screen.Out)
		e.SetEscapeHTML(false)
		return e.Encode(postJSON{p.At, p.Thread, p.To, p.Kind, p.Text})
	case c.Script:
		_, err := io.WriteString(c.Screen.Out, p.Script())
		return err
	}
	if err := c.Screen.Post(p); err != nil || picture == "" {
		return err
	}
	return c.Screen.Text(c.Language.Say(say.F("the picture is in %s", picture)))
}

// paint draws a picture into the folder for them, and returns its file; "" if
// there is none.
func (c *Chat) paint(d *draw.Drawing) (string, error) {
	if d == nil || c.Pictures == "" {
		return "", nil
	}
	file := filepath.Join(c.Pictures, d.File(c.Language, "png"))
	return file, os.WriteFile(file, d.PNG(c.Language, draw.Light), 0o644)
}

// Outbox takes the posts of a desk, for a terminal to show.
type Outbox struct {
	mu    sync.Mutex
	posts []bot.Post
}

// Post keeps a post until it is shown.
func (o *Outbox) Post(_ context.Context, p bot.Post) (string, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.posts = append(o.posts, p)
	return p.ID, nil
}

// Find finds nothing: a terminal keeps nothing that could be found.
func (o *Outbox) Find(context.Context, bot.Post) (string, bool, error) {
	return "", false, nil
}

// take returns the posts in the order of their threads, the posts of each
// in the order they came: senders of different threads work side by side.
func (o *Outbox) take() []bot.Post {
	o.mu.Lock()
	defer o.mu.Unlock()
	posts := o.posts
	o.posts = nil
	slices.SortStableFunc(posts, func(a, b bot.Post) int { return cmp.Compare(a.Thread, b.Thread) })
	return posts
}
