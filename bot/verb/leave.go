package verb

import (
	"regexp"
	"strings"
)

// leave matches who asks whether they may drill, in whatever words.
var leave = regexp.MustCompile(`^(?:(?:so|ok|okay|hi|hey|right|well|and|please)[\s,]+)*(?:(?:can|may|could|should|shall|do|am|are|is|will|would)\b.*|(?:ok|okay|safe|ready|clear|good|allowed|time|free) (?:for|to|now to|to start|to begin)\b.*)\bdrill(?:ing)?\b`)

// wanting matches who asks for more than yes or no.
var wanting = regexp.MustCompile(`\b(?:how|where|which|what|who)\b`)

// AsksToDrill reports whether a text asks whether something may be drilled now,
// which no calculation can say: can I drill now.
func AsksToDrill(text string) bool {
	text = strings.ToLower(strings.Join(strings.Fields(text), " "))
	return leave.MatchString(text) && !strings.ContainsAny(text, "0123456789") && !wanting.MatchString(text)
}

// NoLeave is what is said to that where no door's list is known.
const NoLeave = "whether it may be drilled no calculation tells: have pipes, cables, tendons and membranes located first; in a door's thread I say what is open before it"
