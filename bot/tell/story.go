package tell

import (
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Story answers who did something at a door, when, and whether it was done at all,
// as far as its list keeps it: who drilled, when was it bonded, has it a photo, what
// batch; nothing if that is not what is asked.
func Story(j *jobs.Job, text string) say.Text {
	text = strings.ToLower(strings.Trim(text, " ?!.,:"))
	if strings.ContainsAny(text, "0123456789") {
		return say.Text{}
	}
	if batchAsked.MatchString(text) {
		return storyOf(j, []string{"floor-batch", "head-batch"})
	}
	if !storyAsked.MatchString(text) || toCome.MatchString(text) {
		return say.Text{}
	}
	if handedAsked.MatchString(text) {
		if d := &j.Door; !d.Handover.IsZero() {
			return say.F("%s: handed over %s, by @%s", d.Spec.ID, bot.Instant(d.Handover, j.Site), d.HandedBy)
		}
		return say.F("%s: not handed over", j.Door.Spec.ID)
	}
	var ids []string
	for _, w := range storyWords {
		if w.said.MatchString(text) {
			ids = append(ids, w.items...)
		}
	}
	words := strings.Fields(text)
	for _, it := range j.Items() {
		if it.Kind == jobs.Photo && photoAsked.MatchString(text) || slices.Contains(words, it.ID) {
			ids = append(ids, it.ID)
		}
	}
	for _, where := range []string{"floor", "head"} {
		if slices.Contains(words, where) {
			ids = slices.DeleteFunc(ids, func(id string) bool {
				return strings.HasPrefix(id, "floor-") && where == "head" || strings.HasPrefix(id, "head-") && where == "floor"
			})
		}
	}
	return storyOf(j, ids)
}

// storyOf tells who settled some items of a door, and when, or that they are open;
// nothing where the door has none of them.
func storyOf(j *jobs.Job, ids []string) say.Text {
	var lines []say.Text
	for _, it := range j.Items() {
		if !slices.Contains(ids, it.ID) {
			continue
		}
		switch s := it.State; {
		case s.State == "":
			lines = append(lines, say.F("%s: open", item(j, it.ID)))
		case s.State == jobs.NotForThis:
			lines = append(lines, because(say.F("%s: left out by @%s, %s", item(j, it.ID), s.By, bot.Instant(s.At, j.Site)), s.Text))
		case s.State == jobs.Overridden:
			lines = append(lines, because(say.F("%s: overridden by @%s, %s", item(j, it.ID), s.By, bot.Instant(s.At, j.Site)), s.Text))
		case s.Judgement == jobs.Out:
			lines = append(lines, because(say.F("%s: read out of its limits by @%s, %s", item(j, it.ID), s.By, bot.Instant(s.At, j.Site)), s.Text))
		default:
			lines = append(lines, because(say.F("%s: @%s, %s", item(j, it.ID), s.By, bot.Instant(s.At, j.Site)), s.Text))
		}
	}
	if len(lines) == 0 {
		return say.Text{}
	}
	return say.Lines(append([]say.Text{say.F("door %s", j.Door.Spec.ID)}, lines...)...)
}

// storyWords are the words for work at a door, and the items that keep it.
var storyWords = []struct {
	said  *regexp.Regexp
	items []string
}{
	{regexp.MustCompile(`\b(?:drill(?:ed|s|ing)?|bored?|holes?|recess(?:ed)?)\b`), []string{"floor-drilled", "head-drilled", "recess"}},
	{regexp.MustCompile(`\b(?:bond(?:ed|s|ing)?|glued?|bedded|stuck)\b`), []string{"floor-bonded", "head-bonded"}},
	{regexp.MustCompile(`\b(?:mix(?:ed|es)?)\b`), []string{"floor-batch", "head-batch"}},
	{regexp.MustCompile(`\b(?:stood|stands?|hung|hang|hoisted)\b`), []string{"stood"}},
	{regexp.MustCompile(`\bengaged?\b`), []string{"engaged"}},
	{regexp.MustCompile(`\bparked?\b`), []string{"parked"}},
	{regexp.MustCompile(`\border(?:ed)?\b`), []string{"ordered"}},
	{regexp.MustCompile(`\bplumb(?:ed)?\b`), []string{"plumb"}},
	{regexp.MustCompile(`\b(?:set (?:it )?out|centred|marked)\b`), []string{"centre"}},
	{regexp.MustCompile(`\b(?:cleaned|brushed)\b`), []string{"floor-clean", "head-clean"}},
	{regexp.MustCompile(`\b(?:dry[- ]fit(?:ted)?|fitted dry)\b`), []string{"floor-dry-fit", "head-dry-fit"}},
	{regexp.MustCompile(`\b(?:screwed|fixed)\b`), []string{"floor-fixed", "head-fixed"}},
	{regexp.MustCompile(`\b(?:located|scanned|services|cover|pipes?)\b`), []string{"floor-services", "head-services"}},
	{regexp.MustCompile(`\bsamples?\b`), []string{"floor-sample", "head-sample"}},
	{regexp.MustCompile(`\b(?:margins|gaps)\b`), []string{"heel-top", "heel-bottom", "lead-top", "lead-bottom"}},
	{regexp.MustCompile(`\bshown\b`), []string{"shown"}},
}

var (
	storyAsked  = regexp.MustCompile(`^(?:(?:so|and|ok|tell me) )*(?:who|when|has|have|is there|are there|was|were|did|do we have|any)\b`)
	toCome      = regexp.MustCompile(`\b(?:can|may|will|should|shall|could|must|might|do we|do i|need|to)\b`)
	batchAsked  = regexp.MustCompile(`^(?:(?:so|and|ok|tell me) )*(?:(?:what|which|whats|what['’]s|what is|what was)(?: is| was)?(?: the)? )?(?:adhesive |glue )?batch(?: is it| was it| is that| was used| did we use| was that| it is)?$|^(?:when does|until when is) (?:the )?(?:batch|adhesive|glue|it)(?: good| expire)`)
	photoAsked  = regexp.MustCompile(`\b(?:photos?|pictures?|pics?)\b`)
	handedAsked = regexp.MustCompile(`\bhand(?:ed)? ?over\b`)
)
