package talk

import (
	"strings"

	"heelpost/bot/lex"
)

// Words of thanks and assent, and those that go with them.
var (
	thanks   = lex.WordSet("thanks thank thx ta ty cheers ok okay great perfect nice brilliant lovely super cool sound sweet understood noted roger right alright worries problem bother 👍 👌 🙏 ✅")
	courtesy = lex.WordSet("you a lot very much so mate lads all bot heelpost one good got it that's for that will do no")
	assents  = map[string]bool{"will do": true, "spot on": true, "got it": true, "all good": true}
)

// polite reports whether a text is no more than thanks or assent: nobody waits
// for an answer to that.
func polite(text string) bool {
	said := assents[strings.Trim(strings.ToLower(text), " \t\n,.!")]
	if said {
		return true
	}
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" \t\n,.!", r) }) {
		if !thanks[w] && !courtesy[w] {
			return false
		}
		said = said || thanks[w]
	}
	return said
}
