package jobs

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"time"
)

// site reads one of the example sites.
func site(t testing.TB, name string) *Site {
	t.Helper()
	var ics []byte
	data := testdata(t, "sites/"+name+".yaml")
	if strings.Contains(string(data), "holidays:") {
		ics = testdata(t, "sites/"+name+".ics")
	}
	s, err := ParseSite(data, ics)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Good Friday, Easter Monday, Ascension and Whit Monday of 2027 are
// 26 March, 29 March, 6 May and 17 May: they follow from Easter on 28 March
// (table of Easter dates in a date library's tests).
func TestParseSite(t *testing.T) {
	s := site(t, "orchard-lane")
	for day, want := range map[string]string{
		"2027-03-26": "Good Friday", "2027-03-29": "Easter Monday", "2027-05-06": "Ascension Day", "2027-05-17": "Whit Monday",
		"2027-12-25": "closed", "2028-12-26": "Christmas, both days", "2025-12-25": "", "2028-01-02": "closed", "2028-01-03": "",
		"2027-06-11": "closed", "2027-03-27": "no working hours on a Saturday", "2027-03-25": "",
	} {
		d, err := ParseDate(day)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.ClosedOn(d).String(); got != want {
			t.Errorf("%s: %q, want %q", day, got, want)
		}
	}
	for id, want := range map[string]Role{"ana": Crew, "mo": Foreman, "ivy": Office, "nobody": Guest, "": Guest} {
		if got := s.Role(id); got != want {
			t.Errorf("role of %q: %s, want %s", id, got, want)
		}
	}
	if p, ok := s.Person("bo"); !ok || p.Name != "Bo Lindquist" || p.Crew != "north" {
		t.Errorf("bo: %+v, %v", p, ok)
	}
	next, ok := s.Digests.Next(at(t, "2027-03-05T12:00", s.Zone), s.Zone)
	if want := at(t, "2027-03-08T06:30", s.Zone); !ok || !next.Equal(want) {
		t.Errorf("digest %v, want %v", next, want)
	}
	p := site(t, "pier-nine")
	if p.SeasonEnd != (YearDay{time.May, 15}) || s.SeasonEnd != (YearDay{time.April, 30}) || p.Hash == s.Hash {
		t.Errorf("heating ends %v and %v", p.SeasonEnd, s.SeasonEnd)
	}
}

// What a store keeps of a site is all of it.
func TestReadSite(t *testing.T) {
	for _, name := range []string{"orchard-lane", "pier-nine"} {
		s := site(t, name)
		again, err := ReadSite(s.Kept())
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(again, s) {
			t.Errorf("%s: got %+v, want %+v", name, again, s)
		}
	}
	if _, err := ReadSite([]byte("id: orchard-lane")); err == nil {
		t.Error("no kept site: no error")
	}
}

func TestParseSite_refuses(t *testing.T) {
	good := string(testdata(t, "sites/orchard-lane.yaml"))
	ics := testdata(t, "sites/orchard-lane.ics")
	for _, tt := range []struct{ name, old, new, want string }{
		{"zone", "Europe/Berlin", "Europe/Nowhere", "line 4: zone"},
		{"the machine's zone", "Europe/Berlin", "Local", "line 4: zone"},
		{"hours", "monday: 7:00-12:00", "monday: 7-12", "line 6: hours.monday"},
		{"hours backward", "monday: 7:00-12:00", "monday: 13:00-12:00", "does not come after"},
		{"overlap", "12:30-16:00", "11:30-16:00", "does not come after"},
		{"day", "tuesday:", "tiwsday:", "hours.tiwsday: is no day of the week"},
		{"date", "2027-06-11", "2027-02-30", "line 13: closed[2]: 2027-02-30: February 2027 has 28 days"},
		{"stretch", "2027-12-24..2028-01-02", "2027-12-24..2026-01-02", "no stretch of days"},
		{"role", "role: office", "role: boss", `"boss" is none of crew, foreman, office`},
		{"guest", "role: office", "role: guest", "none of crew"},
		{"person twice", "id: bo", "id: ana", "ana stands there twice"},
		{"odd id", "id: bo", "id: 'b o'", "letters, digits"},
		{"nobody is foreman", "role: foreman", "role: crew", "nobody is foreman"},
		{"digest in a zone", "30 6 * * 1-5", "CRON_TZ=UTC 30 6 * * 1-5", "names a zone"},
		{"digest at a time", "30 6 * * 1-5", "7:00", "is a time of day and no rule: write it as \"0 7 * * *\""},
		{"digest never", "30 6 * * 1-5", "0 0 30 2 *", "never comes true"},
		{"channels", "channels: [doors-orchard-lane]", "channels: []", "channels: there are none"},
		{"account twice", "{id: ana,", "{id: al, name: Al, role: crew, account: U01}\n  - {id: ana, account: U01,", "U01 stands there twice"},
		{"group without account", "people:", "groups: [{account: '', role: crew}]\npeople:", "groups[1].account"},
		{"deputy of the crew", "deputy: ivy}", "deputy: bo}", "line 25: leave[1].deputy: bo is crew, and stands in for mo, who is foreman"},
		{"deputy of nowhere", "deputy: ivy}", "deputy: zed}", `leave[1].deputy: "zed" is nobody else of the site`},
		{"deputy of oneself", "deputy: bo}", "deputy: ana}", "nobody else of the site"},
		{"leave of nobody", "{who: ana", "{who: zed", `leave[2].who: "zed" is nobody of the site`},
		{"leave backward", "to: 2027-08-13, deputy: ivy", "to: 2027-07-13, deputy: ivy", "2027-07-13 is before 2027-08-02"},
		{"leave without a day", "from: 2027-08-02", "from: august", `leave[1].from: "august" is no date`},
		{"typo", "people:", "poeple:", "poeple is not a key I know"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			text := strings.Replace(good, tt.old, tt.new, 1)
			if text == good {
				t.Fatalf("%q is not in the example", tt.old)
			}
			if _, err := ParseSite([]byte(text), ics); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}

// Members of a group have its role, unless they have a line of their own.
func TestSite_With(t *testing.T) {
	text := strings.Replace(string(testdata(t, "sites/orchard-lane.yaml")), "{id: mo,", "{id: mo, account: U02,", 1) +
		"groups: [{account: S01, role: crew, crew: east}, {account: S02, role: foreman}]\n"
	site, err := ParseSite([]byte(text), testdata(t, "sites/orchard-lane.ics"))
	if err != nil {
		t.Fatal(err)
	}
	got := site.With(map[string][]string{"S01": {"U01", "U02", "ana"}, "S02": {"U01", "U03"}})
	for id, want := range map[string]Role{"U01": Crew, "U02": Guest, "U03": Foreman, "mo": Foreman, "ana": Crew, "U09": Guest} {
		if r := got.Role(id); r != want {
			t.Errorf("%s is %s, want %s", id, r, want)
		}
	}
	if n := len(site.People); n != len(got.People)-2 {
		t.Errorf("%d people with the members, %d without", len(got.People), n)
	}
}

// The folded line is the example of RFC 5545, 3.1; the text that of 3.3.11.
func TestUnfold(t *testing.T) {
	got := unfold([]byte("DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\nX:1"))
	if len(got) != 2 || got[0].text != "DESCRIPTION:This is a long description that exists on a long line." || got[1] != (icsLine{4, "X:1"}) {
		t.Errorf("got %+v", got)
	}
	text := `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.`
	if got := icsText.Replace(text); got != "Project XYZ Final Review Conference Room - 3B Come Prepared." {
		t.Errorf("got %q", got)
	}
}

func TestCalendar_holidays(t *testing.T) {
	event := func(lines ...string) []byte {
		return []byte("BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n" + strings.Join(lines, "\r\n") + "\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n")
	}
	days := func(ics []byte) (map[Date]string, []error) {
		c := &Calendar{Closed: map[Date]string{}, Yearly: map[Date]string{}}
		errs := c.holidays(ics)
		return c.Closed, errs
	}
	got, errs := days(event("DTSTART;VALUE=DATE:20271224", "DTEND;VALUE=DATE:20271227", "SUMMARY:Feast",
		"BEGIN:VALARM", "DURATION:PT1H", "END:VALARM"))
	if len(errs) > 0 || len(got) != 3 || got[Date{2027, 12, 26}] != "Feast" {
		t.Errorf("three days: %v, %v", got, errs)
	}
	if got, errs = days(event("DTSTART;VALUE=DATE:20271224", "STATUS:CANCELLED")); len(errs) > 0 || len(got) != 0 {
		t.Errorf("cancelled: %v, %v", got, errs)
	}
	// The example object of RFC 5545, 3.4 has hours: it is no whole day.
	for name, tt := range map[string]struct {
		ics  []byte
		want string
	}{
		"hours":    {event("UID:19970610T172345Z-AF23B2@example.com", "DTSTART:19970714T170000Z", "DTEND:19970715T040000Z"), "line 4: DTSTART: only whole days"},
		"no day":   {event("DTSTART;VALUE=DATE:20270230"), "February 2027 has 28 days"},
		"repeats":  {event("DTSTART;VALUE=DATE:20270101", "RRULE:FREQ=WEEKLY"), "write the days out"},
		"backward": {event("DTSTART;VALUE=DATE:20270102", "DTEND;VALUE=DATE:20270101"), "lasts from"},
		"endless":  {event("DTSTART;VALUE=DATE:20270102", "DTEND;VALUE=DATE:29270101"), "lasts from"},
		"no start": {event("SUMMARY:x"), "no day to start on"},
		"no end":   {[]byte("BEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART;VALUE=DATE:20270102"), "no end"},
		"cut off":  {bytes.TrimSuffix(event("DTSTART;VALUE=DATE:20270101"), []byte("END:VCALENDAR\r\n")), "line 5: the file is cut off"},
		"no file":  {[]byte("<html>"), "no colon"},
		"empty":    {nil, "no iCalendar file"},
	} {
		_, errs := days(tt.ics)
		if len(errs) == 0 || !strings.Contains(errs[0].Error(), tt.want) {
			t.Errorf("%s: %v, want %q", name, errs, tt.want)
		}
	}
}

func FuzzParseSite(f *testing.F) {
	f.Add(testdata(f, "sites/orchard-lane.yaml"), testdata(f, "sites/orchard-lane.ics"))
	f.Add(testdata(f, "sites/pier-nine.yaml"), []byte{})
	f.Fuzz(func(t *testing.T, data, ics []byte) {
		s, err := ParseSite(data, ics)
		if err == nil {
			s.Slot(time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), time.Hour)
		}
	})
}
