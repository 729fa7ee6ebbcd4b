package talk

import (
	"regexp"
	"strings"
	"time"

	"heelpost/bot"
	"heelpost/bot/say"
	"heelpost/bot/verb"
	"heelpost/jobs"
)

// logLine matches a line of a temperature log: a time of day, and what was read then;
// a day may stand before it.
const logLine = `(?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2}:\d\d)(?::\d\d)?[:,;]?[ \t]*(-?\d+(?:\.\d+)?(?: ?°? ?[cf]\b| ?°)?(?:,? min -?\d+(?:\.\d+)?(?: ?°? ?[cf]\b| ?°)?)?)`

var (
	oneOfLog = regexp.MustCompile(`(?i)` + logLine)
	onlyLog  = regexp.MustCompile(`(?i)^\s*(?:(?:cure|temperature|temp|temps|the|log|logger|readings|of)[ \t]*)*[:\n]?\s*` + logLine + `(?:\s*[\n;,]\s*` + logLine + `)+[\s;,.]*$`)
)

// undated answers a temperature log that names the day of its first line at most, at
// a door whose adhesive cures: its lines lie behind the bonding, and where that
// leaves more than one day open the day is asked for.
func (x *exchange) undated() (out outcome, done bool, err error) {
	if x.desk == nil || x.m.Thread == "" || x.m.Overheard || !onlyLog.MatchString(x.m.Text) {
		return out, false, nil
	}
	if err := x.atDoor(); err != nil || x.door == nil || len(x.door.Door.Bonds) == 0 {
		return out, false, err
	}
	text, from, no := dated(x.m.Text, x.door, x.m.At)
	if !no.IsZero() {
		return x.stays(x.says(bot.KindAsk, no)), true, nil
	}
	if text == "" {
		return out, false, nil
	}
	a := verb.Questions.Ask(text, x.asked())
	a.Read = append(a.Read, from)
	if x.failed != nil {
		return out, true, x.failed
	}
	out, err = x.answer(a)
	return out, true, err
}

// dated returns a log as a question with a day at each line, from when on it is
// taken to be, or what is wrong with it; "" where days stand in it already.
func dated(text string, j *jobs.Job, now time.Time) (question string, from, no say.Text) {
	lines := oneOfLog.FindAllStringSubmatch(text, -1)
	for _, l := range lines[1:] {
		if l[1] != "" {
			return "", from, no
		}
	}
	var bonded time.Time
	for _, b := range j.Door.Bonds {
		if b.From.After(bonded) {
			bonded = b.From
		}
	}
	bonded = bonded.In(j.Site.Zone).Truncate(time.Minute)
	day := jobs.DateOf(bonded)
	if lines[0][1] != "" {
		day, _ = jobs.ParseDate(lines[0][1])
	} else if clock(lines[0][2], day, j.Site).Before(bonded) {
		day = day.Add(1)
	}
	first, at := day, time.Time{}
	var rows []string
	for _, l := range lines {
		next := clock(l[2], day, j.Site)
		if !at.IsZero() && !next.After(at) {
			day = day.Add(1)
			next = clock(l[2], day, j.Site)
		}
		at, rows = next, append(rows, day.String()+" "+l[2]+" "+l[3])
	}
	switch {
	case at.After(now):
		return "", from, say.F("bonded %s: behind that, %s at %s is still to come. Put its day before the first line, as %s %s", bot.Instant(bonded, j.Site), lines[len(lines)-1][2], bot.Instant(at, j.Site), day.Add(-1).String(), lines[0][2])
	case lines[0][1] == "" && !at.AddDate(0, 0, 1).After(now):
		return "", from, say.F("of which day is the first line? bonded %s, so it may be %s or a later one: put its day before it, as %s %s", bot.Instant(bonded, j.Site), first.String(), first.String(), lines[0][2])
	}
	return "cure\n" + strings.Join(rows, "\n"), say.F("the log as from %s %s to %s", first.String(), lines[0][2], bot.Instant(at, j.Site)), no
}

// clock returns when a time of day is on a day of the site.
func clock(text string, day jobs.Date, site *jobs.Site) time.Time {
	t, err := time.Parse("15:04", text)
	if err != nil {
		return time.Time{}
	}
	return day.At(jobs.Clock(t.Hour()*60+t.Minute()), site.Zone)
}
