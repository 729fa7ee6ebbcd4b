package order

import (
	"context"
	"regexp"
	"slices"
	"strings"

	"heelpost/bot"
	"heelpost/bot/desk"
	"heelpost/bot/say"
	"heelpost/jobs"
)

// Bare takes what people say at a door of what they measured, without an order, for
// the reading that it may be, and asks: lead top 8 now, closes in 8, cover 70, gusts
// 8, 6 deg here. ok is false if it may be none, or not plainly one.
func Bare(ctx context.Context, d *desk.Desk, m bot.Message, j *jobs.Job) (out Outcome, ok bool, err error) {
	e := &Request{Ctx: ctx, Desk: d, Msg: m, DoorID: m.Thread, Site: j.Site}
	text := strings.Join(strings.Fields(strings.Trim(m.Text, " .!\n")), " ")
	if strings.Contains(text, "?") || !j.Door.Off.IsZero() || !j.Door.Handover.IsZero() {
		return out, false, nil
	}
	if m := coldNight.FindStringSubmatch(text); m != nil && j.Curing() {
		low := m[1] + m[2] + m[3] + m[4]
		e.Say(bot.KindAsk, say.F("%s °C was the lowest? then say it with what it is now, as %s", low, say.Plain("temperature "+low+" min "+low)))
		return e.Outcome, true, nil
	}
	if m := degreesSaid.FindStringSubmatch(text); m != nil && (m[2] != "" || namesThermometer.MatchString(text)) {
		return e.Outcome, true, e.askWarmth(j, m[1])
	}
	var read []string
	for _, part := range bareParts(text) {
		m := bareFigure.FindStringSubmatch(part)
		if m == nil {
			return out, false, nil
		}
		it := readingSaid(j, m[1])
		if it == nil {
			return out, false, nil
		}
		read = append(read, it.ID+" "+strings.TrimSpace(m[2]))
		if it.Never { // nobody passes that by a yes
			if it.ID == "floor-services" {
				e.Say(bot.KindError, say.F("a cover is read: say read floor-services %s to pipe, or to back", strings.TrimSpace(m[2])))
				return e.Outcome, true, nil
			}
			e.Say(bot.KindAsk, say.F("did you mean %s? then say it so", "read "+strings.Join(read, ", ")))
			return e.Outcome, true, nil
		}
	}
	if len(read) == 0 {
		return out, false, nil
	}
	return e.Outcome, true, e.bareAsk("read " + strings.Join(read, ", "))
}

func (e *Request) bareAsk(order string) error {
	e.ask(&Unfinished{Guess: "door " + e.DoorID + " " + order, Question: say.F("did you mean %s? say yes, or say it again", order)})
	return nil
}

// askWarmth asks whether a temperature is what was read of the substrate: of the cure
// that runs, or before the one plate that is bonded next.
func (e *Request) askWarmth(j *jobs.Job, degrees string) error {
	var open []string
	for _, where := range []string{"floor", "head"} {
		if it := j.Item(where + "-temperature"); it != nil && !it.State.Settled() {
			open = append(open, it.ID)
		}
	}
	switch {
	case j.Curing():
		return e.bareAsk("temperature " + degrees)
	case len(open) == 1:
		return e.bareAsk("read " + open[0] + " " + degrees)
	case len(open) == 0:
		return e.bareAsk("temperature " + degrees)
	}
	e.Say(bot.KindAsk, say.F("%s °C of what? say %s", degrees, say.Names(", or ", "read "+open[0]+" "+degrees, "read "+open[1]+" "+degrees)))
	return nil
}

// bareParts parts readings that are said in a row, without the words around them.
func bareParts(text string) (parts []string) {
	text = bareEnd.ReplaceAllString(text, "")
	for _, part := range strings.FieldsFunc(bareNext.ReplaceAllString(text, "$1;$2"), func(r rune) bool { return r == ',' || r == ';' }) {
		part = bareFront.ReplaceAllString(strings.TrimSpace(part), "")
		parts = append(parts, strings.TrimSpace(bareEnd.ReplaceAllString(part, "")))
	}
	return parts
}

// readingSaid returns the one item to read that people name so, nil if it is none
// that the door has, or several.
func readingSaid(j *jobs.Job, name string) *jobs.Item {
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	for _, n := range readingNames {
		if !n.said.MatchString(name) {
			continue
		}
		var open []*jobs.Item
		for _, id := range n.items {
			if it := j.Item(id); it != nil && it.Kind == jobs.Reading && (len(n.items) == 1 || !it.State.Settled()) {
				open = append(open, it)
			}
		}
		if len(open) == 1 {
			return open[0]
		}
		return nil
	}
	items := j.Items()
	i := slices.IndexFunc(items, func(it jobs.Item) bool {
		return it.Kind == jobs.Reading && (it.ID == name || it.ID == strings.ReplaceAll(name, " ", "-"))
	})
	if i < 0 {
		return nil
	}
	return &items[i]
}

// readingNames are what people call what is read.
var readingNames = []struct {
	said  *regexp.Regexp
	items []string
}{
	{regexp.MustCompile(`^(?:closes|shuts|closed) in$|^closing(?: time)?$`), []string{"closing-time"}},
	{regexp.MustCompile(`^opens (?:with|at)$|^(?:opening )?force$`), []string{"opening-force"}},
	{regexp.MustCompile(`^covers?$`), []string{"floor-services"}},
	{regexp.MustCompile(`^(?:wind|gusts?|gusting)$`), []string{"wind"}},
	{regexp.MustCompile(`^(?:substrate|substrate temp(?:erature)?)$`), []string{"floor-temperature", "head-temperature"}},
	{regexp.MustCompile(`^(?:heel top|top heel)(?: gap)?$`), []string{"heel-top"}},
	{regexp.MustCompile(`^(?:heel bottom|bottom heel)(?: gap)?$`), []string{"heel-bottom"}},
	{regexp.MustCompile(`^(?:lead(?:ing)? top|top lead(?:ing)?)(?: gap)?$`), []string{"lead-top"}},
	{regexp.MustCompile(`^(?:lead(?:ing)? bottom|bottom lead(?:ing)?)(?: gap)?$`), []string{"lead-bottom"}},
}

var (
	bareFigure       = regexp.MustCompile(`(?i)^([a-z][a-z -]*?)(?: is| was| now| at)?[ :=]+(-?\d+(?:[.,]\d+)?(?: \d+/\d+)?(?:/\d+)?(?: ?(?:mm|cm|in|inch(?:es)?|m/s|s|sec|seconds?|n|newtons?|°c|°|["″]))?)$`)
	bareNext         = regexp.MustCompile(`(?i)(\d(?: ?(?:mm|m/s|s|n))?),? (?:and )?([a-z]{3,})`)
	bareFront        = regexp.MustCompile(`(?i)^(?:(?:the|it|its|it['’]s|leaf|door|and|now|ok|so|we have|i have|got|reads?|measured) )+`)
	bareEnd          = regexp.MustCompile(`(?i)[ ,]+(?:now|here|today|already|by now|at the moment|in here|ok|exactly|sharp)$`)
	degreesSaid      = regexp.MustCompile(`(?i)^(?:(?:it|its|it['’]s|is|now|only|we have|the|thermometer|says|reads|shows|substrate|slab|floor|temp(?:erature)?|at)[ ,:]*)*(-?\d+(?:[.,]\d+)?)( ?(?:deg(?:rees?)?|°|° ?c|deg c|celsius|c))?(?: (?:now|here|in here|outside the bag|at the moment|at the plate|by now))*$`)
	namesThermometer = regexp.MustCompile(`(?i)\b(?:thermometer|temp(?:erature)?|substrate|slab)\b`)
	coldNight        = regexp.MustCompile(`(?i)\b(?:cold|frost\w*|night|nite)\b.*?(?:\b(?:was|min\w*|lowest|down to|low|went to)\b[^\d-]*(-?)(\d+(?:[.,]\d+)?)|(-?)\b(\d+)\b)`)
)
