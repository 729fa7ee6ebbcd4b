package tell

import (
	"regexp"
	"strings"
	"time"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// mayI matches what asks whether something may be done now.
var mayI = regexp.MustCompile(`(?i)^(?:so )?(?:(?:can|may|could|shall|should) (?:i|we)|(?:is it )?(?:ok|okay|safe|fine) to|(?:am i|are we) (?:ok|allowed) to)\s+(?:now |start |begin )*(drill|drilling|cut the recess|bond|glue|hang|stand|lift|let go)\b`)

// asItem are the items that stand for what is asked about; the first on the
// door's list counts.
var asItem = map[string][]string{
	"drill": {"floor-drilled", "recess"}, "drilling": {"floor-drilled", "recess"}, "cut the recess": {"recess"},
	"bond": {"floor-bonded"}, "glue": {"floor-bonded"}, "hang": {"stood"}, "stand": {"stood"}, "lift": {"stood"}, "let go": {"parked"},
}

// MayI answers whether something may be done now by what is open before it: nobody
// is told that it may. Zero if that is not asked.
func MayI(j *jobs.Job, text string, now time.Time) say.Text {
	asked := mayI.FindStringSubmatch(strings.TrimSpace(text))
	if asked == nil {
		return say.Text{}
	}
	it, err := j.WaitsFor(now, asItem[strings.ToLower(asked[1])]...)
	switch {
	case it.ID == "":
		return say.Text{}
	case err != nil:
		return say.F("no: %s", say.Of(err))
	case it.State.Settled():
		return say.F("%s is done already, by the list", it.ID)
	}
	return say.F("by the list nothing is open before %s: %s. That is no permission: whoever does it looks first, and the maker's instructions go first", it.ID, it.Text)
}
