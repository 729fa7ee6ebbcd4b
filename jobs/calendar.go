package jobs

import (
	"fmt"
	"strings"
	"time"

	"heelpost/calc"
)

// Date is a day of the Gregorian calendar, in no zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf returns t's date in t's zone.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads a date written as 2027-03-28. A day that its month does
// not have is refused.
func ParseDate(s string) (Date, error) {
	if len(s) == len("2027-03-28") && s[4] == '-' && s[7] == '-' {
		y, okY := digits(s[:4])
		m, okM := digits(s[5:7])
		d, okD := digits(s[8:])
		if okY && okM && okD {
			date := Date{y, time.Month(m), d}
			return date, date.check()
		}
	}
	return Date{}, calc.F("%q is no date: write it as 2027-03-28", cut(s, 40))
}

// digits returns the number that s is if it is nothing but digits.
func digits(s string) (n int, ok bool) {
	for _, r := range []byte(s) {
		if r < '0' || r > '9' {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, s != "" && len(s) < 10
}

// check refuses a day that does not exist.
func (d Date) check() error {
	if d.Month < time.January || d.Month > time.December {
		return calc.F("%s: there is no month %s", d, int(d.Month))
	}
	if last := (Date{d.Year, d.Month + 1, 0}).Add(0).Day; d.Day < 1 || d.Day > last {
		return calc.F("%s: %s %s has %s days", d, months[d.Month-time.January], d.Year, last)
	}
	return nil
}

// Add returns the date n days after d.
func (d Date) Add(n int) Date {
	return DateOf(time.Date(d.Year, d.Month, d.Day+n, 0, 0, 0, 0, time.UTC))
}

// Weekday returns d's day of the week.
func (d Date) Weekday() time.Weekday {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Weekday()
}

// Before reports whether d is earlier than e.
func (d Date) Before(e Date) bool {
	if d.Year != e.Year {
		return d.Year < e.Year
	}
	if d.Month != e.Month {
		return d.Month < e.Month
	}
	return d.Day < e.Day
}

// At returns the instant of a time of day on d in a zone, by the rule of
// [Wall].
func (d Date) At(c Clock, zone *time.Location) time.Time {
	return Wall(time.Date(d.Year, d.Month, d.Day, 0, int(c), 0, 0, time.UTC), zone)
}

// String returns d as 2027-03-28.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// Wall returns the instant at which clocks on the wall in a zone show what
// w shows, whatever w's own zone. A time that the clocks skip becomes the
// first instant after the hole; of a time that they show twice the first
// one counts. [time.Date] leaves both open.
func Wall(w time.Time, zone *time.Location) time.Time {
	y, mo, d := w.Date()
	h, mi, s := w.Clock()
	t := time.Date(y, mo, d, h, mi, s, w.Nanosecond(), zone)
	wall, got := asUTC(w), asUTC(t)
	start, end := t.ZoneBounds()
	if got.After(wall) {
		return start
	}
	if got.Before(wall) {
		return end
	}
	if start.IsZero() {
		return t
	}
	_, before := start.Add(-1).Zone()
	if early := wall.Add(-time.Duration(before) * time.Second); early.Before(start) {
		return early.In(zone)
	}
	return t
}

// asUTC returns t's wall time held as UTC.
func asUTC(t time.Time) time.Time {
	y, mo, d := t.Date()
	h, mi, s := t.Clock()
	return time.Date(y, mo, d, h, mi, s, t.Nanosecond(), time.UTC)
}

// Clock is a time of day in minutes after midnight; 24:00 is the day's end.
type Clock int

// ParseClock reads a time of day written as 7:00 or 16:30.
func ParseClock(s string) (Clock, error) {
	hour, minute, _ := strings.Cut(s, ":")
	h, okH := digits(hour)
	m, okM := digits(minute)
	if !okH || !okM || len(hour) > 2 || len(minute) != 2 || m > 59 || h*60+m > 24*60 {
		return 0, calc.F("%q is no time of day: write it as 7:00 or 16:30", cut(s, 40))
	}
	return Clock(h*60 + m), nil
}

// String returns c as 07:00.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", c/60, c%60) }

// Span is a stretch of working hours within a day.
type Span struct{ From, To Clock }

// Calendar is when a site works.
type Calendar struct {
	Zone   *time.Location
	Hours  [7][]Span       // by time.Weekday, in order
	Closed map[Date]string // closed days with their names, "" if they have none
	Yearly map[Date]string // days closed in each year from this one on
}

// yearAhead bounds the search for a working day.
const yearAhead = 400

// ClosedOn returns why nobody works on d, the zero text if somebody does.
func (c *Calendar) ClosedOn(d Date) calc.Text {
	if name, ok := c.Closed[d]; ok {
		return closedFor(name)
	}
	for y, name := range c.Yearly {
		if y.Month == d.Month && y.Day == d.Day && y.Year <= d.Year {
			return closedFor(name)
		}
	}
	if len(c.Hours[d.Weekday()]) == 0 {
		return calc.F("no working hours on a %s", weekday(d.Weekday()))
	}
	return calc.Text{}
}

// closedFor says why a day is closed: by its name, if the file has one.
func closedFor(name string) calc.Text {
	if name == "" {
		return calc.F("closed")
	}
	return calc.F("%s", name)
}

// weekday and onDay put a day of the week, and a time with it, into words.
func weekday(d time.Weekday) calc.Word { return weekdays[d] }
func onDay(t time.Time) calc.Text {
	return calc.F("%s %s", weekday(t.Weekday()), t.Format(dayAndTime))
}

// months and weekdays are from January and Sunday on.
var months = [...]calc.Word{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}
var weekdays = [...]calc.Word{"Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"}

// dayAndTime is how a time is told.
const dayAndTime = "2006-01-02 15:04"

// Open reports whether t is within working hours.
func (c *Calendar) Open(t time.Time) bool {
	slot, ok := c.Slot(t, 0)
	return ok && slot.Equal(t)
}

// Slot returns the first instant at or after t from which the site works
// for at least need in one go. ok is false if there is none for over a
// year.
func (c *Calendar) Slot(t time.Time, need time.Duration) (slot time.Time, ok bool) {
	t = t.In(c.Zone)
	for d := range yearAhead {
		day := DateOf(t).Add(d)
		if !c.ClosedOn(day).IsZero() {
			continue
		}
		for _, s := range c.Hours[day.Weekday()] {
			from, to := day.At(s.From, c.Zone), day.At(s.To, c.Zone)
			if from.Before(t) {
				from = t
			}
			if from.Before(to) && to.Sub(from) >= need {
				return from, true
			}
		}
	}
	return time.Time{}, false
}

// Begins reports whether a day's work begins at t: what waits for somebody to
// be there is said then, all of it together.
func (c *Calendar) Begins(t time.Time) bool {
	day := DateOf(t.In(c.Zone))
	return c.ClosedOn(day).IsZero() && day.At(c.Hours[day.Weekday()][0].From, c.Zone).Equal(t)
}

// DayBefore returns the beginning of work on the last working day before
// t's day. ok is false if there is none for over a year.
func (c *Calendar) DayBefore(t time.Time) (start time.Time, ok bool) {
	for d := 1; d < yearAhead; d++ {
		day := DateOf(t.In(c.Zone)).Add(-d)
		if c.ClosedOn(day).IsZero() {
			return day.At(c.Hours[day.Weekday()][0].From, c.Zone), true
		}
	}
	return time.Time{}, false
}

// Quiet returns when to speak of something that is due at t: at t itself
// within working hours or if leaving it would hurt, else when work next
// begins.
func (c *Calendar) Quiet(t time.Time, hurts bool) time.Time {
	if hurts {
		return t
	}
	if slot, ok := c.Slot(t, 0); ok {
		return slot
	}
	return t
}
