package jobs

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/calc"
)

// farAhead is the most that somebody means by a time to come; a later one
// is taken for a slip.
const farAhead = 5 * 366 * 24 * time.Hour

// When returns the instant that a phrase names: a length of time from now
// ("2h", "90 min", "3 days"), a day ("tomorrow", "Thursday", "2027-03-01",
// "1 March") at its opening hour, a time of day, or a day and a time.
// Phrases that name no day, one of the past or a closed one without an
// hour are refused, and so is one that can be read two ways.
func (c *Calendar) When(phrase string, now time.Time) (time.Time, error) {
	now = now.In(c.Zone)
	words := strings.Fields(strings.ToLower(strings.Trim(phrase, " .!?,")))
	if len(words) == 0 {
		return time.Time{}, calc.F("say when, as 2h, tomorrow or Thursday 9:00")
	}
	if len(phrase) > 60 || len(words) > 6 {
		return time.Time{}, calc.F("%q is too long for a time: say 2h, tomorrow or Thursday 9:00", cut(phrase, 60))
	}
	if days, d, ok := duration(words); ok {
		return ahead(Wall(asUTC(now).AddDate(0, 0, days), c.Zone).Add(d), now, phrase)
	}
	clock, words, hasClock, err := takeClock(words)
	if err != nil {
		return time.Time{}, err
	}
	day, err := c.day(words, now, hasClock)
	if err != nil && !hasClock {
		err = c.bareHour(words, now, phrase, err)
	}
	if err != nil {
		return time.Time{}, err
	}
	if hasClock {
		return ahead(day.At(clock, c.Zone), now, phrase)
	}
	if why := c.ClosedOn(day); !why.IsZero() {
		return time.Time{}, calc.F("%s %s is closed (%s): name another day, or an hour", weekday(day.Weekday()), day, why)
	}
	return ahead(day.At(c.Hours[day.Weekday()][0].From, c.Zone), now, phrase)
}

// DayOrTime is [Calendar.When] for the end of what lasts: a closed day is named
// for the midnight that it begins with.
func (c *Calendar) DayOrTime(phrase string, now time.Time) (time.Time, error) {
	at, err := c.When(phrase, now)
	if err == nil {
		return at, nil
	}
	words := strings.Fields(strings.ToLower(strings.Trim(phrase, " .!?,")))
	if day, none := c.day(words, now.In(c.Zone), false); none == nil && !c.ClosedOn(day).IsZero() {
		return ahead(day.At(0, c.Zone), now, phrase)
	}
	return time.Time{}, err
}

// Deadline returns the instant by which something is to be done: the time that
// a phrase names, or the end of work on the day that it names. meant is false if
// it names no day, as the trolley of "dented by a trolley", the 5 mm of "off by
// 5 mm" and the sun of "bleached by sun".
func (c *Calendar) Deadline(phrase string, now time.Time) (due time.Time, meant bool, err error) {
	now = now.In(c.Zone)
	words := strings.Fields(strings.ToLower(strings.Trim(phrase, " .!?,")))
	if len(words) == 0 || len(words) > 6 || words[0] == "sun" || strings.Count(words[0], "-") == 2 && (words[0][0] < '0' || words[0][0] > '9') {
		return due, false, nil
	}
	clock, words, hasClock, err := takeClock(words)
	if err != nil {
		return due, true, err
	}
	day, err := c.day(words, now, hasClock)
	if err != nil && !hasClock && len(words) > 1 {
		err = c.bareHour(words, now, phrase, err)
	}
	if text, ok := err.(calc.Text); ok {
		if key, _ := text.Sentence(); key == noDay {
			return due, false, nil
		}
	}
	if why := c.ClosedOn(day); err == nil && !hasClock && !why.IsZero() {
		err = calc.F("%s %s is closed (%s): name another day, or an hour", weekday(day.Weekday()), day, why)
	}
	if err != nil {
		return due, true, err
	}
	if hours := c.Hours[day.Weekday()]; !hasClock {
		clock = hours[len(hours)-1].To
	}
	due, err = ahead(day.At(clock, c.Zone), now, phrase)
	return due, true, err
}

// noDay says that a phrase names no day.
const noDay = "%q is no day I know: say tomorrow, Thursday or 2027-03-01"

// Since returns the instant, past or to come, from which something lasts until
// another: a time of day, of today if no day is named. Of a day of the week the
// last one before the end is meant.
func (c *Calendar) Since(phrase string, until, now time.Time) (time.Time, error) {
	now = now.In(c.Zone)
	clock, words, hasClock, err := takeClock(strings.Fields(strings.ToLower(strings.Trim(phrase, " .!?,"))))
	if err != nil {
		return time.Time{}, err
	}
	if !hasClock {
		return time.Time{}, calc.F("%q has no time of day: say it as 16:00, yesterday 16:00 or 2027-03-01 16:00", cut(phrase, 60))
	}
	if strings.Join(words, " ") == "yesterday" {
		return DateOf(now).Add(-1).At(clock, c.Zone), nil
	}
	day, err := c.day(words, now, true)
	if err != nil {
		return time.Time{}, err
	}
	if at := day.At(clock, c.Zone); at.Before(until) || len(words) != 1 {
		return at, nil
	}
	return day.Add(-7).At(clock, c.Zone), nil
}

var hourText = regexp.MustCompile(`^([0-9]{1,2})(?:[.h]([0-9]{2}))?$`)

// HourError says that a time of day may be meant that lacks its minutes, as
// the 9 of Thursday 9.
type HourError struct {
	Phrase string
	Hour   string // as typed
	Clock  Clock  // that it may mean: within the day's opening hours if one is
}

func (e *HourError) Error() string { return e.text().String() }

// Sentence asks for the minutes.
func (e *HourError) Sentence() (key string, args []any) { return e.text().Sentence() }

func (e *HourError) text() calc.Text {
	return calc.F("%q: is %s the time? say it as %s", e.Phrase, e.Hour, e.Clock)
}

// In returns a text that holds the phrase with the time of day in full.
func (e *HourError) In(text string) string {
	phrase := regexp.MustCompile(`(^|\s)` + regexp.QuoteMeta(e.Phrase) + `($|[\s,.!?])`)
	in := phrase.FindStringSubmatchIndex(text)
	if in == nil {
		return text
	}
	return text[:in[3]] + strings.TrimSuffix(e.Phrase, e.Hour) + e.Clock.String() + text[in[4]:]
}

// bareHour returns an [HourError] where the last word may be a time of day
// without its minutes, as in Thursday 9; else it returns err.
func (c *Calendar) bareHour(words []string, now time.Time, phrase string, err error) error {
	last := len(words) - 1
	if last < 0 {
		return err
	}
	m := hourText.FindStringSubmatch(words[last])
	if m == nil {
		return err
	}
	clock, no := ParseClock(m[1] + ":" + cmp.Or(m[2], "00"))
	if no != nil {
		return err
	}
	day, no := c.day(words[:last], now, true)
	if no != nil {
		return err
	}
	const half = 12 * 60
	open := func(at Clock) bool {
		return slices.ContainsFunc(c.Hours[day.Weekday()], func(s Span) bool { return s.From <= at && at < s.To })
	}
	if clock < half && !open(clock) && open(clock+half) {
		clock += half
	}
	return &HourError{Phrase: strings.Trim(phrase, " .!?,"), Hour: words[last], Clock: clock}
}

// Morning is [Calendar.When] for what waits until work begins: a closed day
// stands for the next morning on which somebody works. closed says why it is
// not the day that was named.
func (c *Calendar) Morning(phrase string, now time.Time) (at time.Time, closed calc.Text, err error) {
	at, err = c.When(phrase, now)
	if err != nil {
		words := strings.Fields(strings.ToLower(strings.Trim(phrase, " .!?,")))
		day, none := c.day(words, now.In(c.Zone), false)
		if none != nil || c.ClosedOn(day).IsZero() {
			return at, closed, err
		}
		if at, err = ahead(day.At(0, c.Zone), now, phrase); err != nil {
			return at, closed, err
		}
	}
	next := c.Quiet(at, false)
	if day := DateOf(at.In(c.Zone)); DateOf(next.In(c.Zone)) != day {
		why := c.ClosedOn(day)
		if why.IsZero() {
			why = calc.F("outside working hours")
		}
		closed = calc.F("nobody works then (%s): it comes %s", why, onDay(next.In(c.Zone)))
	}
	return next, closed, nil
}

// Past returns the instant of a time of day that is over, of today if no day is
// named: "8:15", "yesterday 16:00".
func (c *Calendar) Past(phrase string, now time.Time) (time.Time, error) {
	now = now.In(c.Zone)
	clock, words, hasClock, err := takeClock(strings.Fields(strings.ToLower(phrase)))
	if err != nil {
		return time.Time{}, err
	}
	day := DateOf(now)
	switch text := strings.Join(words, " "); {
	case !hasClock || text != "" && text != "today" && text != "yesterday":
		return time.Time{}, calc.F("%q is no time of today or yesterday: say it as 8:15 or yesterday 16:00", cut(phrase, 60))
	case text == "yesterday":
		day = day.Add(-1)
	}
	at := day.At(clock, c.Zone)
	if at.After(now) {
		return time.Time{}, calc.F("%q is %s: that is still to come, it is %s now", phrase, at.Format(dayAndTime), now.Format(dayAndTime))
	}
	return at, nil
}

// ahead refuses a time that is over or too far off.
func ahead(t, now time.Time, phrase string) (time.Time, error) {
	if !t.After(now) {
		return time.Time{}, calc.F("%q is %s: that is over, it is %s now", phrase, t.Format(dayAndTime), now.Format(dayAndTime))
	}
	if t.Sub(now) > farAhead {
		return time.Time{}, calc.F("%q is over five years from now", phrase)
	}
	return t, nil
}

var units = map[string]time.Duration{
	"m": time.Minute, "min": time.Minute, "mins": time.Minute, "minute": time.Minute, "minutes": time.Minute,
	"h": time.Hour, "hr": time.Hour, "hrs": time.Hour, "hour": time.Hour, "hours": time.Hour,
}

// dayUnits are counted on the calendar: a day is not always 24 hours.
var dayUnits = map[string]int{"d": 1, "day": 1, "days": 1, "w": 7, "week": 7, "weeks": 7}

// duration reads "2h", "in 90 min", "1h 30m" and "3 days".
func duration(words []string) (days int, sum time.Duration, ok bool) {
	if words[0] == "in" || words[0] == "for" {
		words = words[1:]
	}
	const digit = "0123456789"
	for text := strings.Join(words, ""); text != ""; {
		rest := strings.TrimLeft(text, digit+".")
		number, unit := text[:len(text)-len(rest)], rest
		if i := strings.IndexAny(rest, digit); i >= 0 {
			unit = rest[:i]
		}
		v, err := strconv.ParseFloat(number, 64)
		if err != nil || v > 10_000 {
			return 0, 0, false
		}
		if n, isDays := dayUnits[unit]; isDays && v == float64(int(v)) {
			days += int(v) * n
		} else if u, isTime := units[unit]; isTime {
			sum += time.Duration(v * float64(u))
		} else {
			return 0, 0, false
		}
		text = rest[len(unit):]
	}
	return days, sum, days > 0 || sum > 0
}

// takeClock takes the time of day out of the words, if there is one.
func takeClock(words []string) (c Clock, rest []string, ok bool, err error) {
	for i := 0; i < len(words); i++ {
		w := strings.TrimPrefix(words[i], "at")
		switch {
		case w == "noon":
			w = "12:00"
		case (words[i] == "am" || words[i] == "pm") && i > 0 && len(rest) > 0:
			w = rest[len(rest)-1] + words[i]
			rest = rest[:len(rest)-1]
		case w == "" && words[i] == "at":
			continue
		}
		if !strings.Contains(w, ":") && !strings.HasSuffix(w, "am") && !strings.HasSuffix(w, "pm") {
			rest = append(rest, words[i])
			continue
		}
		if ok {
			return 0, nil, false, calc.F("there are two times of day: name one")
		}
		if c, err = clockWord(w); err != nil {
			return 0, nil, false, err
		}
		ok = true
	}
	return c, rest, ok, nil
}

// clockWord reads 9:00, 2pm or 2:30pm.
func clockWord(w string) (Clock, error) {
	half, w12 := strings.CutSuffix(w, "pm")
	w12am, am := strings.CutSuffix(w, "am")
	if !w12 && !am {
		c, err := ParseClock(w)
		if err == nil && c == 24*60 {
			return 0, calc.F("24:00 is two days' midnight: say 23:59 or 0:00")
		}
		return c, err
	}
	if am {
		half = w12am
	}
	if half = strings.Replace(half, ".", ":", 1); !strings.Contains(half, ":") {
		half += ":00"
	}
	c, err := ParseClock(half)
	if err != nil || c < 60 || c >= 13*60 {
		return 0, calc.F("%q is no time of day: write it as 7:00 or 16:30", w)
	}
	c %= 12 * 60
	if w12 {
		c += 12 * 60
	}
	return c, nil
}

// day returns the day the words name; the next one that the time of day
// can fall on if they name none.
func (c *Calendar) day(words []string, now time.Time, hasClock bool) (Date, error) {
	today := DateOf(now)
	for len(words) > 0 && (words[0] == "on" || words[0] == "to" || words[0] == "until" || words[0] == "till") {
		words = words[1:]
	}
	text := strings.TrimSuffix(strings.Join(words, " "), ",")
	switch text {
	case "":
		if !hasClock {
			return Date{}, calc.F("say when, as 2h, tomorrow or Thursday 9:00")
		}
		return today, nil
	case "today":
		return today, nil
	case "tomorrow":
		return today.Add(1), nil
	}
	for w := time.Sunday; w <= time.Saturday; w++ {
		name := strings.ToLower(w.String())
		if !short(text, name) && !short(strings.TrimPrefix(text, "next "), name) {
			continue
		}
		n := (int(w) - int(today.Weekday()) + 7) % 7
		if n == 0 {
			return Date{}, calc.F("today is %s: say today, or %s for next week's", weekday(w), today.Add(7))
		}
		if strings.HasPrefix(text, "next ") {
			return Date{}, calc.F("next %s can be %s or %s: name the date", weekday(w), today.Add(n), today.Add(n+7))
		}
		return today.Add(n), nil
	}
	if strings.Count(text, "-") == 2 {
		return ParseDate(text)
	}
	if m := figures.FindStringSubmatch(text); m != nil {
		return dayInFigures(m, today)
	}
	return monthDay(words, today)
}

// figures matches a date of figures alone: 26.3., 26.03.2027, 26/3.
var figures = regexp.MustCompile(`^(\d{1,2})([./])(\d{1,2})(?:\.|[./](\d{4}))?$`)

// dayInFigures reads such a date: day and month where dots stand between them, as
// is written with them; with a slash the one above 12 is the day, else it may be
// either. A single dot may stand in a time: 9.30 is none.
func dayInFigures(m []string, today Date) (Date, error) {
	day, _ := strconv.Atoi(m[1])
	month, _ := strconv.Atoi(m[3])
	dotted := m[2] == "."
	switch {
	case !dotted && day <= 12 && month <= 12 && day != month:
		return Date{}, calc.F("%q can be two days: name the month, as %s", m[0], Date{max(today.Year, 2000), time.Month(month), day}.named())
	case !dotted && month > 12:
		day, month = month, day
	case dotted && day <= 12 && m[4] == "" && !strings.HasSuffix(m[0], ".") || month < 1 || month > 12 || day < 1:
		return Date{}, calc.F(noDay, m[0])
	}
	words := []string{strconv.Itoa(day), time.Month(month).String()}
	if m[4] != "" {
		words = append(words, m[4])
	}
	for i := range words {
		words[i] = strings.ToLower(words[i])
	}
	return monthDay(words, today)
}

// named returns a date with its month's name, as 3 March.
func (d Date) named() string { return strconv.Itoa(d.Day) + " " + d.Month.String() }

// monthDay reads "1 March", "March 1st" and "1 March 2028"; without a year
// it is the next such day.
func monthDay(words []string, today Date) (Date, error) {
	var d Date
	unknown := calc.F(noDay, strings.Join(words, " "))
	for _, w := range words {
		w = strings.Trim(w, ",.")
		if m, ok := month(w); ok && d.Month == 0 {
			d.Month = m
			continue
		}
		for _, suffix := range []string{"st", "nd", "rd", "th"} {
			w = strings.TrimSuffix(w, suffix)
		}
		n, err := strconv.Atoi(w)
		switch {
		case err != nil || n < 1:
			return Date{}, unknown
		case n > 31 && n >= 2000 && n <= 9999 && d.Year == 0:
			d.Year = n
		case n <= 99 && d.Day == 0:
			d.Day = n
		default:
			return Date{}, unknown
		}
	}
	if d.Month == 0 || d.Day == 0 {
		return Date{}, unknown
	}
	if d.Year == 0 {
		d.Year = today.Year
		if d.Before(today) {
			d.Year++
		}
	}
	return d, d.check()
}

// short reports whether text is name or begins it with three letters or more.
func short(text, name string) bool { return len(text) >= 3 && strings.HasPrefix(name, text) }

// month returns the month of a name or the beginning of one.
func month(w string) (time.Month, bool) {
	for m := time.January; m <= time.December; m++ {
		if name := strings.ToLower(m.String()); short(w, name) {
			return m, true
		}
	}
	return 0, false
}

// cut returns at most n characters of s.
func cut(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n]) + "…"
}
