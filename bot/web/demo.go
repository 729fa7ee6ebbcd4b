package web

import (
	"bytes"
	"context"
	_ "embed"
	"strconv"

	"heelpost/bot"
	"heelpost/bot/script"
)

// A site that can be tried: its file, the sheet of its hardware, and what was
// said there in its week. All of it is invented.
var (
	//go:embed demo/site.yaml
	DemoSite []byte
	//go:embed demo/sheet.yaml
	DemoSheet []byte
	//go:embed demo/week.chat
	demoWeek []byte
)

// demoName is what the store binds to how many lines of the week were said.
const demoName = "room:demo"

// Demo has the week said in the room that leads up to now. What was said of it
// already is not said again.
func (r *Room) Demo(ctx context.Context) error {
	bound, err := r.Store.Bound(ctx, demoName)
	if err != nil {
		return err
	}
	said, _ := strconv.Atoi(bound[0])
	lines := bytes.Split(bytes.TrimSpace(demoWeek), []byte("\n"))
	for i := said; i < len(lines); i++ {
		l, err := script.ParseLine(string(lines[i]))
		if err == nil {
			err = r.demoLine(ctx, i, &l)
		}
		if err == nil {
			err = r.Store.Bind(ctx, map[string]string{demoName: strconv.Itoa(i + 1)})
		}
		if err != nil {
			return err
		}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.moved = nil // nobody has moved the clock yet
	return nil
}

func (r *Room) demoLine(ctx context.Context, i int, l *script.ScriptLine) error {
	site := r.Desk.Sites()[0]
	switch l.Kind {
	case script.ClockSet, script.ClockMove:
		now := r.Now()
		if i <= 1 { // whatever the time is now
			now = now.AddDate(-100, 0, 0)
		}
		end, err := l.Clock(now, site.Zone)
		if err != nil {
			return err
		}
		if i > 1 {
			return r.Move(ctx, end)
		}
		if err := r.set(ctx, end); err != nil {
			return err
		}
		return r.Work.LayRules(ctx, end)
	case script.Said:
		return r.Say(ctx, bot.Message{ID: "demo:" + strconv.Itoa(i), At: r.Now(), Person: l.Person, Channel: site.Channels[0],
			Thread: l.Thread, Text: l.Text, Overheard: overheard(l.Text)})
	}
	return nil
}
