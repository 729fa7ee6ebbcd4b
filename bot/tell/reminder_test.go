package tell_test

import (
	"testing"

	"heelpost/bot/say"
	"heelpost/bot/tell"
	"heelpost/jobs"
)

// A notice says what happened in the language of whoever reads it; one that the
// version before has put is said as it stands, and that version reads the
// English of this one.
func TestKeep(t *testing.T) {
	back := &say.Language{Texts: map[string]string{"%s is away": "away is %s", "corrected": "detcerroc"}}
	for _, c := range []struct {
		text          say.Text
		english, back string
		args          int // and no more than the English where that is all there is to say
	}{
		{say.F("%s is away", "the channel"), "the channel is away", "away is the channel", 2},
		{say.F("%s", say.F("%s is away", "it")), "it is away", "away is it", 2},
		{say.Plain("as it was typed"), "as it was typed", "as it was typed", 1},
		{say.Text{}, "", "", 1},
	} {
		args := map[string]string{}
		tell.Keep(args, "text", c.text)
		if args["text"] != c.english || len(args) != c.args {
			t.Errorf("%q is kept as %v, want %q in %d arguments", c.english, args, c.english, c.args)
		}
		if got := back.Say(tell.Kept(args, "text")); got != c.back {
			t.Errorf("got %q, want %q", got, c.back)
		}
		n := jobs.Notice{Kind: jobs.TellNow, Args: map[string]string{"what": "corrected", "text": args["text"], "say_text": args["say_text"]}}
		if got := back.Say(tell.Remind(nil, n, n.Due.Time())); got != "detcerroc: "+c.back {
			t.Errorf("reminder: got %q, want %q", got, "detcerroc: "+c.back)
		}
	}
	if got := tell.Kept(map[string]string{"text": "of the version before", "say_text": "{"}, "text").String(); got != "of the version before" {
		t.Errorf("what can't be read is said as %q", got)
	}
}
