package ask

import (
	"regexp"
	"strconv"
	"strings"
)

// TimedLine is a line of a log by times of day.
type TimedLine struct {
	Day    string // as 2027-03-01; "" for that of the line before
	Clock  string // as 7:00
	Number float64
	Min    *float64 // the lowest since the line before
}

// Timed is a log by times of day, as "07:00 12" and "2027-03-01 18:30 9 min 7",
// a line each or parted by commas, or as a logger writes its file.
type Timed struct {
	Lines                []TimedLine
	Fahrenheit           bool   // a temperature of it is in °F
	Bare                 bool   // one has no unit
	Mixed                bool   // both, or one of these and one of those of the question
	BeginDay, BeginClock string // "bonded 15:00"; "" if it was not said
}

// timedWarmth matches a temperature, with its unit or without.
const timedWarmth = `([-−]?\d+(?:\.\d+)?)(?:[ \t]*(°[ \t]?[CF]|°|[CF]\b))?`

var (
	timedLine  = regexp.MustCompile(`(?i)(?:^|[\n;,]|\blog(?:ged)?:?\s|:\s)\s*(?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2}:\d\d)(?::\d\d)?(?::?[ \t]+|[ \t]*[,;][ \t]*)` + timedWarmth + `(?:,?[ \t]+min[ \t]+` + timedWarmth + `)?`)
	timedHeads = regexp.MustCompile(`(?im)^[ \t]*"?(?:date|day|time)[^\n\d]*$`)
	timedBegin = regexp.MustCompile(`(?i)\bbonded(?: at)? (?:(\d{4}-\d\d-\d\d)[ T])?(\d{1,2}:\d\d)`)
)

// takeTimed takes a log out of a text, nil if it has none. What is left of the
// text has the same length, so that places in it are places in the text.
func takeTimed(text string) (log *Timed, rest string) {
	if !strings.Contains(text, ":") {
		return nil, text
	}
	log, left := &Timed{}, []byte(text)
	group := func(at []int, i int) string {
		if at[2*i] < 0 {
			return ""
		}
		return text[at[2*i]:at[2*i+1]]
	}
	blank := func(from, to int) {
		for i := from; i < to; i++ {
			left[i] = ' '
		}
	}
	for _, at := range timedLine.FindAllStringSubmatchIndex(text, -1) {
		if after := strings.TrimLeft(text[at[1]:], " \t."); after != "" && !strings.ContainsAny(after[:1], "\n;,") {
			continue
		}
		l := TimedLine{Day: group(at, 1), Clock: group(at, 2), Number: log.celsius(group(at, 3), group(at, 4))}
		if low := group(at, 5); low != "" {
			l.Min = new(log.celsius(low, group(at, 6)))
		}
		log.Lines = append(log.Lines, l)
		blank(at[0], at[1])
	}
	if len(log.Lines) == 0 {
		return nil, text
	}
	for _, at := range timedHeads.FindAllStringIndex(text, -1) {
		blank(at[0], at[1])
	}
	if at := timedBegin.FindStringSubmatchIndex(text); at != nil {
		log.BeginDay, log.BeginClock = group(at, 1), group(at, 2)
		blank(at[0], at[1])
	}
	return log, string(left)
}

// celsius reads a temperature with its unit, "" for none, and notes whether some
// are in °F and others without.
func (t *Timed) celsius(number, unit string) float64 {
	v := plain(number)
	fahrenheit := strings.HasSuffix(strings.ToUpper(unit), "F")
	t.Fahrenheit, t.Bare = t.Fahrenheit || fahrenheit, t.Bare || unit == "" || unit == "°"
	t.Mixed = t.Fahrenheit && t.Bare
	if fahrenheit {
		return (v - 32) / 1.8
	}
	return v
}

// plain reads a number that was matched as one.
func plain(s string) float64 {
	v, err := strconv.ParseFloat(strings.Replace(s, "−", "-", 1), 64)
	if err != nil {
		return 0 // it is no more than digits
	}
	return v
}
