package jobs

import (
	"bytes"
	"strings"
)

// holidays reads the whole-day events of an iCalendar file (RFC 5545) into
// the closed days of a calendar. A yearly event closes its day each year.
// Events with hours, and those that repeat in any other way, are refused:
// left out, they would let a visit fall on a holiday.
func (c *Calendar) holidays(ics []byte) []error {
	f := &file{}
	var e *icsEvent
	for _, l := range unfold(ics) {
		name, value, ok := strings.Cut(l.text, ":")
		name, params, _ := strings.Cut(strings.ToUpper(name), ";")
		switch {
		case l.text == "":
		case !ok:
			f.fail(l.n, "%q has no colon", cut(l.text, 40))
		case name == "BEGIN" && value == "VEVENT":
			e = &icsEvent{line: l.n}
		case name == "BEGIN" && e != nil:
			e.inner++ // an alarm: none of its properties are the event's
		case name == "END" && e != nil && e.inner > 0:
			e.inner--
		case name == "END" && value == "VEVENT" && e != nil:
			e.close(c, f)
			e = nil
		case e != nil && e.inner == 0:
			e.property(f, l.n, name, params, value)
		}
	}
	switch {
	case e != nil:
		f.fail(e.line, "the event has no end")
	case !bytes.Contains(ics, []byte("BEGIN:VCALENDAR")):
		f.fail(1, "this is no iCalendar file")
	case !bytes.Contains(ics, []byte("END:VCALENDAR")):
		f.fail(bytes.Count(ics, []byte("\n"))+1, "the file is cut off: END:VCALENDAR is missing")
	}
	return f.errs
}

// icsEvent is an event as it is read.
type icsEvent struct {
	line       int
	start, end Date
	name       string
	yearly     bool
	cancelled  bool
	inner      int // components begun within it
}

// property takes a property of the event.
func (e *icsEvent) property(f *file, line int, name, params, value string) {
	switch name {
	case "DTSTART", "DTEND":
		d, err := ParseDate(dashed(value))
		if err != nil {
			if strings.Contains(value, "T") && !strings.Contains(params, "VALUE=DATE") {
				f.fail(line, "%s: only whole days are read, as %s;VALUE=DATE:20271224", name, name)
			} else {
				f.fail(line, "%s: %s", name, err)
			}
			return
		}
		if name == "DTSTART" {
			e.start = d
		} else {
			e.end = d
		}
	case "SUMMARY":
		e.name = icsText.Replace(value)
	case "STATUS":
		e.cancelled = strings.EqualFold(value, "CANCELLED")
	case "RRULE":
		e.yearly = strings.EqualFold(strings.TrimSuffix(value, ";INTERVAL=1"), "FREQ=YEARLY")
		if !e.yearly {
			f.fail(line, "RRULE:%s is not read: write the days out", cut(value, 60))
		}
	case "RDATE", "EXDATE", "DURATION":
		f.fail(line, "%s is not read: write the days out", name)
	}
}

// maxEvent is the most days an event may take.
const maxEvent = 100

// close enters the event's days; DTEND is the day after the last (RFC 5545
// 3.6.1), and without it the event is one day.
func (e *icsEvent) close(c *Calendar, f *file) {
	if e.cancelled {
		return
	}
	if e.start == (Date{}) {
		f.fail(e.line, "the event has no day to start on")
		return
	}
	if e.end == (Date{}) {
		e.end = e.start.Add(1)
	}
	if !e.start.Before(e.end) || e.start.Add(maxEvent).Before(e.end) {
		f.fail(e.line, "the event lasts from %s to before %s", e.start, e.end)
		return
	}
	days := c.Closed
	if e.yearly {
		days = c.Yearly
	}
	for d := e.start; d.Before(e.end); d = d.Add(1) {
		days[d] = e.name
	}
}

// dashed puts the dashes into 20271224.
func dashed(s string) string {
	if len(s) != 8 {
		return s
	}
	return s[:4] + "-" + s[4:6] + "-" + s[6:]
}

// icsText undoes the escapes of a text (RFC 5545 3.3.11).
var icsText = strings.NewReplacer(`\\`, `\`, `\;`, `;`, `\,`, `,`, `\n`, " ", `\N`, " ")

// icsLine is an unfolded line with the number of its first part.
type icsLine struct {
	n    int
	text string
}

// unfold joins lines with their continuations (RFC 5545 3.1).
func unfold(data []byte) []icsLine {
	var out []icsLine
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	for i, l := range strings.Split(string(data), "\n") {
		l = strings.TrimSuffix(l, "\r")
		if len(out) > 0 && l != "" && (l[0] == ' ' || l[0] == '\t') {
			out[len(out)-1].text += l[1:]
			continue
		}
		out = append(out, icsLine{i + 1, l})
	}
	return out
}
