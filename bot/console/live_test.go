package console_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/bot/console"
	"heelpost/bot/talk"
)

func questions(out io.Writer) *console.Chat {
	return &console.Chat{Bot: talk.New(&talk.Memory{}, nil), Screen: &console.Screen{Out: out}, You: "you", Zone: time.UTC, Session: "t"}
}

// Typed, the clock is the real one until a line moves it, and goes on from
// there; a line that is no line of a conversation ends nothing.
func TestChat_Live(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		chat := questions(&out)
		chat.JSON = true
		in, typed := io.Pipe()
		ended := make(chan error)
		go func() { ended <- chat.Run(t.Context(), in, time.Now) }()
		say := func(lines ...string) {
			for _, line := range lines {
				if _, err := io.WriteString(typed, line+"\n"); err != nil {
					t.Error(err)
				}
				synctest.Wait()
			}
		}
		begun := time.Now()
		say("gap 46")
		time.Sleep(9 * time.Minute)
		say("ana> 75", "75", "gap 46", "@ +9m")
		time.Sleep(2 * time.Minute)
		say("75")
		typed.Close()
		if err := <-ended; err != nil {
			t.Fatal(err)
		}
		type post struct {
			At   time.Time
			To   string
			Kind bot.Kind
		}
		want := []post{
			{begun, "you", bot.KindAsk},
			{begun.Add(9 * time.Minute), "ana", bot.KindError},
			{begun.Add(9 * time.Minute), "you", bot.KindAnswer},
			{begun.Add(9 * time.Minute), "you", bot.KindAsk},
			{begun.Add(20 * time.Minute), "you", bot.KindError}, // eleven minutes later: forgotten
		}
		d := json.NewDecoder(&out)
		for i, w := range want {
			var got post
			if err := d.Decode(&got); err != nil || !got.At.Equal(w.At) || got.To != w.To || got.Kind != w.Kind {
				t.Errorf("post %d: got %+v, %v, want %+v", i, got, err, w)
			}
		}
		if d.More() {
			t.Error("more posts than expected")
		}
	})
}

func TestChat_LiveFault(t *testing.T) {
	var out bytes.Buffer
	if err := questions(&out).Run(t.Context(), strings.NewReader("@ yesterday\nBot> hello\ngap 46 75\n"), time.Now); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"yesterday" is no time`, "nobody can be called Bot", "heel gap 6 mm"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("got %q, want %q in it", out.String(), want)
		}
	}
}

// A script with a fault in it ends there, and names the line.
func TestChat_ScriptFaults(t *testing.T) {
	for script, want := range map[string]string{
		"gap 46 75\n@ noon\n":                              `line 2: "noon" is no time`,
		"@ 2027-03-01 08:00\n@ 2027-02-28 08:00\n":         "line 2: the clock only goes forward",
		"-- nothing yet\n  gap 46 75\n":                    "line 2: a line that is set in",
		"bot> said\n  and more\nana> gap 46\n  and more\n": "line 4: a line that is set in",
		"ana #A 1> gap\n":                                  `line 1: "ana #A 1" is no person and thread`,
	} {
		chat := questions(io.Discard)
		chat.Script = true
		if err := chat.Run(t.Context(), strings.NewReader(script), time.Now); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: got %v, want %s", script, err, want)
		}
	}
}

// What is no line at all is the typist's to mend, not trouble of ours: typed
// and in a script the conversation ends with a fault of the line.
func TestChat_EndlessLine(t *testing.T) {
	for _, script := range []bool{false, true} {
		chat := questions(io.Discard)
		chat.Script = script
		err := chat.Run(t.Context(), strings.NewReader("gap 46 75\n"+strings.Repeat("a", 1<<20+1)), time.Now)
		var fault interface{ LineFault() bool }
		if !errors.As(err, &fault) || script && !strings.HasPrefix(err.Error(), "line 2: ") {
			t.Errorf("script %v: got %v, want a fault of line 2", script, err)
		}
	}
}

// away is a place for open questions that can't be reached.
type away struct{ talk.Memory }

func (*away) Get(context.Context, string, bot.Place, time.Time) ([]byte, error) {
	return nil, errors.New("no way there")
}

// A store that is away ends no conversation.
func TestChat_Outage(t *testing.T) {
	var out bytes.Buffer
	chat := questions(&out)
	chat.Bot = talk.New(&away{}, nil)
	if err := chat.Run(t.Context(), strings.NewReader("gap 46 75\ngap 46 75\n@ yesterday\n"), time.Now); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out.String(), "the store is away: no way there"); n != 2 || !strings.Contains(out.String(), "yesterday") {
		t.Errorf("got %q, want the outage and then the fault of the last line", out.String())
	}
}
