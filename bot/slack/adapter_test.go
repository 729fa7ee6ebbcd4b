package slack

import (
	"strings"
	"testing"

	"heelpost/bot/slack/fake"
)

// A question is answered under the message that asked it, whoever asks; the
// thread takes the reply to what was asked back.
func TestQuestion(t *testing.T) {
	w := inWorld(t)
	for _, user := range []string{ana, guest} {
		m := w.says(user, mention+"gap 54 60", "")
		if !strings.HasPrefix(m.Text, "heel gap 8 mm") {
			t.Errorf("%s: got %q, want the gap", user, m.Text)
		}
	}
	asked := w.says(ana, mention+"gap 54", "")
	if !strings.Contains(asked.Text, "setback") {
		t.Fatalf("got %q, want the setback asked for", asked.Text)
	}
	if got := w.says(ana, "60", asked.Thread); !strings.HasPrefix(got.Text, "heel gap 8 mm") {
		t.Errorf("the reply: got %q, want the gap", got.Text)
	}
	w.DM(ana, "gap 54 60")
	direct := w.Direct(ana)
	w.until("answer to a direct message", func() bool { return len(w.Messages(direct)) == 2 })
	if m := w.Messages(direct)[1]; !strings.HasPrefix(m.Text, "heel gap 8 mm") || m.Thread != "" {
		t.Errorf("direct: got %q in thread %q", m.Text, m.Thread)
	}
}

// A door gets its face and its thread; what people say there among themselves
// is left alone.
func TestDoor(t *testing.T) {
	w := inWorld(t)
	w.Say(doors, ana, openA1, "")
	face := w.face("A-1")
	if !strings.HasPrefix(face.Text, "door A-1, survey") {
		t.Errorf("face: got %q", face.Text)
	}
	w.until("word on the opening", func() bool { return len(w.replies(doors, face.TS)) == 1 })
	if got := w.says(bo, "gap", face.TS); !strings.HasPrefix(got.Text, "heel gap") {
		t.Errorf("gap in the thread: got %q", got.Text)
	}
	w.Say(doors, bo, "tick datum", face.TS)
	w.Say(doors, bo, "mind the gap", face.TS)
	if got := w.says(bo, mention+"tick datum", face.TS); !strings.HasPrefix(got.Text, "ticked 2 datum") {
		t.Errorf("tick: got %q", got.Text)
	}
	if n := len(w.replies(doors, face.TS)); n != 3 {
		t.Errorf("the thread has %d posts of the bot, want 3", n)
	}
	w.until("the face edited", func() bool { return len(w.face("A-1").Edits) > 0 })
	if got := w.face("A-1").Text; !strings.Contains(got, "next: [ ] 3") {
		t.Errorf("face after the tick: got %q", got)
	}
	if got := w.says(guest, mention+"tick datum", face.TS); !strings.Contains(got.Text, "is guest here") {
		t.Errorf("a guest's tick: got %q", got.Text)
	}
	for _, m := range w.Messages(doors) {
		if n := w.PostsOf(fakeID(m)); m.BotID != "" && n != 1 {
			t.Errorf("%q was posted %d times", m.Text, n)
		}
	}
}

func fakeID(m fake.Message) string {
	if m.Metadata == nil {
		return ""
	}
	_, rest, _ := strings.Cut(string(m.Metadata.EventPayload), `"id":"`)
	id, _, _ := strings.Cut(rest, `"`)
	return id
}
