package talk_test

import (
	"strings"
	"testing"

	"heelpost/bot/script"
)

// A plain door takes at most 28 messages and taps from its opening to its
// handover, a form counting one: what the user asked for, where it took 46 to
// 53 when each item was a message.
func TestFewTaps(t *testing.T) {
	const most = 28
	text := string(read(t, "chat/few-taps.chat"))
	n, opened, over := 0, false, false
	for _, line := range strings.Split(text, "\n") {
		l, err := script.ParseLine(line)
		if err != nil || strings.HasPrefix(line, "  ") {
			continue
		}
		switch l.Kind {
		case script.Said, script.Pressed:
			n++
			opened = opened || strings.HasPrefix(l.Text, "door open ")
		case script.Posted:
			over = over || strings.HasPrefix(l.Text, "handed over")
			if strings.Contains(l.Text, "waits for") || strings.HasPrefix(l.Text, "there is no") {
				t.Errorf("a message was in vain: %s", l.Text)
			}
		}
	}
	if !opened || !over || n > most {
		t.Errorf("%d messages and taps, opened %v, handed over %v; want at most %d", n, opened, over, most)
	}
	t.Logf("%d messages and taps", n)
}
