package jobs

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"heelpost/calc"
)

// expiries are the ways in which a date stands on a cartridge. The letters say
// what each group is: y, m and d, and M for a month's name. Where only month
// and year are given it is good to the month's last day: common practice, no
// published source.
var expiries = []struct {
	form  *regexp.Regexp
	parts string
}{
	{regexp.MustCompile(`^(\d{4})-(\d{1,2})-(\d{1,2})$`), "ymd"},
	{regexp.MustCompile(`^(\d{4}) ?[-/.] ?(\d{1,2})$`), "ym"},
	{regexp.MustCompile(`^(\d{1,2}) ?[-/.] ?(\d{4})$`), "my"},
	{regexp.MustCompile(`^(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})$`), "dmy"},
	{regexp.MustCompile(`^(\d{1,2})/(\d{1,2})/(\d{4})$`), "??y"},
	{regexp.MustCompile(`^([a-z]+)\.?,? (\d{4})$`), "My"},
	{regexp.MustCompile(`^(\d{1,2})(?:st|nd|rd|th|\.)? ([a-z]+)\.?,? (\d{4})$`), "dMy"},
	{regexp.MustCompile(`^([a-z]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})$`), "Mdy"},
}

// shortYear matches a date whose year may be its last two digits.
var shortYear = regexp.MustCompile(`^\d{1,2} ?[-/.] ?(\d{1,2} ?[-/.] ?)?\d{2}$`)

// ParseExpiry reads the date until which an adhesive is good: 2027-09-30,
// 30.9.2027, 30 September 2027, or a month, 2027-09, 09/2027 or September 2027.
// What can be read as two days is refused.
func ParseExpiry(text string) (Date, error) {
	typed := strings.TrimSpace(text)
	s := strings.Trim(strings.Join(strings.Fields(strings.ToLower(typed)), " "), " .,!")
	s = strings.TrimPrefix(strings.TrimPrefix(s, "end "), "of ")
	for _, e := range expiries {
		if m := e.form.FindStringSubmatch(s); m != nil {
			return expiryOf(typed, m[1:], e.parts)
		}
	}
	if shortYear.MatchString(s) {
		return Date{}, calc.F("%q may be a day, a month or a year: give the year with four digits, as 09/2027", cut(typed, 40))
	}
	return Date{}, calc.F("%q is no date: write it as 2027-09-30, 30.9.2027, 09/2027 or September 2027", cut(typed, 40))
}

// expiryOf makes a date of the parts of a text.
func expiryOf(typed string, groups []string, parts string) (Date, error) {
	var d Date
	if parts == "??y" { // day first, or month first
		first, _ := strconv.Atoi(groups[0])
		second, _ := strconv.Atoi(groups[1])
		switch {
		case first > 12 || first == second:
			parts = "dmy"
		case second > 12:
			parts = "mdy"
		default:
			return d, calc.F("%q is two days, by whether the month or the day comes first: write it as %s-%s-%s or %s-%s-%s", cut(typed, 40), groups[2], twoDigits(first), twoDigits(second), groups[2], twoDigits(second), twoDigits(first))
		}
	}
	for i, part := range parts {
		n, _ := strconv.Atoi(groups[i]) // digits, but for a month's name
		switch part {
		case 'y':
			d.Year = n
		case 'm':
			d.Month = time.Month(n)
		case 'd':
			d.Day = n
		case 'M':
			m, ok := month(groups[i])
			if !ok {
				return d, calc.F("%q is no month: write the date as 2027-09-30, 09/2027 or September 2027", groups[i])
			}
			d.Month = m
		}
	}
	if !strings.Contains(parts, "d") {
		d.Day = 1
		if err := d.check(); err != nil {
			return d, err
		}
		d.Day = Date{d.Year, d.Month + 1, 0}.Add(0).Day
	}
	return d, d.check()
}

func twoDigits(n int) string { return strconv.Itoa(n/10) + strconv.Itoa(n%10) }
