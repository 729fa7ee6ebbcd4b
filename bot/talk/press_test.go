package talk_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"heelpost/bot"
	"heelpost/bot/talk"
	"heelpost/jobs"
)

// The readings of a text are buttons in words a fitter says, and an answer has
// one for all that stands behind it, whatever was asked since.
func TestPress_Question(t *testing.T) {
	room := talk.New(&talk.Memory{}, nil)
	at := time.Date(2027, 3, 1, 8, 0, 0, 0, time.UTC)
	press := func(from bot.Post, label string) bot.Post {
		for _, b := range from.Buttons {
			if b.Label == label {
				posts, err := room.Press(t.Context(), bot.Message{ID: "p" + label, At: at, Person: "ana", Text: b.Say})
				if err != nil || len(posts) != 1 {
					t.Fatalf("%s: %d posts, %v", label, len(posts), err)
				}
				return posts[0]
			}
		}
		t.Fatalf("no button %q among %v", label, from.Buttons)
		return bot.Post{}
	}
	posts, err := room.Handle(t.Context(), bot.Message{ID: "1", At: at, Person: "ana", Text: "setback 60 gap 8"})
	if err != nil || len(posts) != 1 {
		t.Fatal(posts, err)
	}
	plate := press(posts[0], "plate: 60 setback, 8 gap")
	if !strings.HasPrefix(plate.Text, "plate centre 68 mm\n") || strings.Contains(plate.Text, "working: ") { // 60 + 8
		t.Errorf("got %q", plate.Text)
	}
	if why := press(plate, "Why"); !strings.Contains(why.Text, "working: 60 setback + 8 gap + 0 lean = 68 mm") {
		t.Errorf("got %q", why.Text)
	}
}

// A press that asks something back puts what waits behind it, and forgets nothing
// that only an answer ends.
func TestPress_keepsWhatWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		desk, site := furnished(t, inMemory(t), &lame{})
		time.Sleep(time.Until(time.Date(2027, 3, 1, 8, 0, 0, 0, site.Zone)))
		said := 0
		does := func(do func(context.Context, bot.Message) ([]bot.Post, error), thread, text, want string) {
			t.Helper()
			said++
			m := bot.Message{ID: fmt.Sprint("m", said), At: time.Now(), Person: "ana", Channel: site.Channels[0], Thread: thread, Text: text}
			posts, err := do(t.Context(), m)
			if all := fmt.Sprint(posts); err != nil || !strings.Contains(all, want) {
				t.Errorf("%s: got %s, %v; want %q", text, all, err, want)
			}
		}
		room := desk.bot
		does(room.Handle, "", "door open A-1 1050x2350x44 setback 65 opening 1068x2372 mass 88kg floor screed both ways ordinary sheet orchard crew @ana foreman @mo", "")
		does(room.Handle, "A-1", "the floor is heated", "correct heated?")
		does(room.Press, "A-1", "correct lean heel 0?", "is it so, door A-1 correct lean heel 0?")
		time.Sleep(time.Hour) // more than another question waits
		does(room.Handle, "A-1", "no", "correct heated?")
		does(room.Handle, "A-1", "yes", "")
		j, err := desk.Desk.Job(t.Context(), jobs.DoorKey(site.ID, "A-1"))
		if err != nil || !j.Door.Spec.Heated || j.Door.Spec.LeanHeel != nil {
			t.Errorf("got heated %v, lean %v, %v", j.Door.Spec.Heated, j.Door.Spec.LeanHeel, err)
		}
	})
}
