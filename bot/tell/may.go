package tell

import (
	"regexp"
	"strings"
	"time"

	"heelpost/bot/say"
	"heelpost/jobs"
)

// mayI matches what asks whether something may be done now.
var mayI = regexp.MustCompile(`(?i)^(?:so )?(?:(?:can|may|could|shall|should) (?:i|we)|(?:is it )?(?:ok|okay|safe|fine) to|(?:am i|are we) (?:ok|allowed) to)\s+(?:now |start |begin )*(cut the recess|bond|glue|hang|stand|lift|let go)\b`)

// asItem is the item that stands for what is asked about.
var asItem = map[string]string{"cut the recess": "recess", "bond": "floor-bonded", "glue": "floor-bonded", "hang": "stood", "stand": "stood", "lift": "stood", "let go": "parked"}

// MayI answers whether something may be done now by what is open before it: nobody
// is told that it may. Zero if that is not asked.
func MayI(j *jobs.Job, text string, now time.Time) say.Text {
	asked := mayI.FindStringSubmatch(strings.TrimSpace(text))
	if asked == nil {
		return say.Text{}
	}
	return may(j, asItem[strings.ToLower(asked[1])], now)
}

// aloft matches who speaks of the head.
var aloft = regexp.MustCompile(`(?i)\b(?:head|lintel|ceiling|soffit|top|up there|overhead)\b`)

// MayDrill answers the same of drilling: at the head, if that is meant or the
// floor is drilled.
func MayDrill(j *jobs.Job, text string, now time.Time) say.Text {
	id := "floor-drilled"
	if it := j.Item(id); it == nil || it.State.Settled() || aloft.MatchString(text) {
		id = "head-drilled"
	}
	if told := may(j, id, now); !told.IsZero() {
		return told
	}
	return say.F("door %s has no holes to drill by its list", j.Door.Spec.ID)
}

// may says what is open before an item; zero if it is not on the list.
func may(j *jobs.Job, id string, now time.Time) say.Text {
	it := j.Item(id)
	switch err := j.Before(id, now); {
	case it == nil:
		return say.Text{}
	case it.State.Settled():
		return say.F("%s is done already, by the list", id)
	case err != nil:
		return say.F("not yet: %s", say.Of(err))
	}
	return say.F("by the list nothing is open before %s: %s. That is no permission: whoever does it looks first, where anything was moved or is in doubt it is located again, and the maker's instructions go first", id, it.Text)
}
