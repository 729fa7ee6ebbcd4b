package jobs

import (
	"strings"
	"testing"
)

func TestCalendar_When(t *testing.T) {
	c := siteHours(t)
	now := at(t, "2027-03-02T10:00", c.Zone) // a Tuesday
	for phrase, want := range map[string]string{
		"2h":                    "2027-03-02T12:00",
		"in 90 min":             "2027-03-02T11:30",
		"1h 30m":                "2027-03-02T11:30",
		"1.5 hours":             "2027-03-02T11:30",
		"3 days":                "2027-03-05T10:00",
		"5 weeks":               "2027-04-06T10:00",
		"tomorrow":              "2027-03-03T07:00",
		"Tomorrow 9:00":         "2027-03-03T09:00",
		"to Thursday 9:00":      "2027-03-04T09:00",
		"thurs at 9:00":         "2027-03-04T09:00",
		"Mon":                   "2027-03-08T07:00",
		"today 2 pm":            "2027-03-02T14:00",
		"2:30pm":                "2027-03-02T14:30",
		"fri 7.30 am":           "2027-03-05T07:30",
		"tomorrow noon":         "2027-03-03T12:00",
		"tomorrow 12am":         "2027-03-03T00:00",
		"Saturday 8:00":         "2027-03-06T08:00",
		"2027-03-09":            "2027-03-09T07:00",
		"2027-03-28 2:30":       "2027-03-28T01:00Z",
		"1 April":               "2027-04-01T07:00",
		"March 1st 9:00":        "2028-03-01T09:00",
		"29 February 2028 8:00": "2028-02-29T08:00",
		"25.3. 9:00":            "2027-03-25T09:00",
		"25.3 at 9:00":          "2027-03-25T09:00",
		"5.4. 9:00":             "2027-04-05T09:00",
		"25.03.2027 9:00":       "2027-03-25T09:00",
		"1.2. 9:00":             "2028-02-01T09:00",
		"25/3 9:00":             "2027-03-25T09:00",
		"3/25 9:00":             "2027-03-25T09:00",
		"25/03/2027 9:00":       "2027-03-25T09:00",
		"4/4 9:00":              "2027-04-04T09:00",
	} {
		got, err := c.When(phrase, now)
		if err != nil || !got.Equal(at(t, want, c.Zone)) {
			t.Errorf("%q: %v, %v, want %s", phrase, got, err, want)
		}
	}
}

func TestCalendar_When_refuses(t *testing.T) {
	c := siteHours(t)
	now := at(t, "2027-03-02T10:00", c.Zone) // a Tuesday
	for phrase, want := range map[string]string{
		"":                        "say when",
		"9:00":                    "is over",
		"today":                   "is over",
		"2027-03-01 9:00":         "is over",
		"2026-12-24 9:00":         "is over",
		"February 30":             "February 2028 has 29 days",
		"30 Feb 2027":             "February 2027 has 28 days",
		"2027-02-30 9:00":         "February 2027 has 28 days",
		"2027-04-31":              "April 2027 has 30 days",
		"Tuesday 9:00":            "today is Tuesday",
		"next Thursday":           "2027-03-04 or 2027-03-11",
		"Saturday":                "is closed",
		"2027-03-26":              "Good Friday",
		"5/4 9:00":                "can be two days: name the month, as 5 April",
		"5.4 9:00":                "is no day",
		"31.4. 9:00":              "April 2027 has 30 days",
		"26.13. 9:00":             "is no day",
		"13/13 9:00":              "is no day",
		"Thursday 9:00 or 10:00":  "two times",
		"Thursday 25:00":          "no time of day",
		"Thursday 24:00":          "two days' midnight",
		"tomorrow 13.30 pm":       "no time of day",
		"13pm":                    "no time of day",
		"soon":                    "no day I know",
		"Thursday 9":              "is 9 the time? say it as 09:00",
		"1 March at 9.30":         "is 9.30 the time? say it as 09:30",
		"9":                       "say it as 09:00",
		"Thursday 2":              "say it as 14:00",
		"Thursday 31":             "no day I know",
		"0h":                      "no day I know",
		"-2h":                     "no day I know",
		"9999999999h":             "no day I know",
		"2.5 days":                "no day I know",
		"300 weeks":               "over five years",
		"2045-01-01 9:00":         "over five years",
		strings.Repeat("x", 9999): "too long",
	} {
		got, err := c.When(phrase, now)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, %v, want %q", phrase, got, err, want)
		}
		if err != nil && len(err.Error()) > 300 {
			t.Errorf("%q: the refusal has %d bytes", cut(phrase, 20), len(err.Error()))
		}
	}
}

func FuzzCalendar_When(f *testing.F) {
	for _, s := range []string{"2h", "tomorrow 9:00", "1h30m", "march 1st 2028", "next thu", "at 2 pm"} {
		f.Add(s)
	}
	c := siteHours(f)
	now := at(f, "2027-03-02T10:00", c.Zone)
	f.Fuzz(func(t *testing.T, s string) {
		if got, err := c.When(s, now); err == nil && !got.After(now) {
			t.Errorf("%q: %v is not ahead", s, got)
		}
	})
}
