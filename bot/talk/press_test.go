package talk_test

import (
	"strings"
	"testing"
	"time"

	"heelpost/bot"
	"heelpost/bot/talk"
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
