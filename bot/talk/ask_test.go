package talk_test

import (
	"strings"
	"testing"

	"heelpost/bot/talk"
)

// What is said to doors is no question that was not understood.
func TestAsk_DoorWork(t *testing.T) {
	for _, text := range []string{"door open A-1", "door open A-1 1050x2350x44 setback 65", "door A-1 card", "tick status", "board", "record F-1", "erase f-1", "F-1"} {
		if a := talk.Ask(text); !strings.Contains(a.Error, "doors are worked on in heelpost chat") || len(a.Need) > 0 {
			t.Errorf("%s: %q", text, a.Error)
		}
	}
	for _, text := range []string{"gap 44", "read the gap for 44", "gap t-44", "stop"} {
		if a := talk.Ask(text); a.OK() || strings.Contains(a.Error, "doors") {
			t.Errorf("%s: %q", text, a.Error)
		}
	}
}
