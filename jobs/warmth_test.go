package jobs

import (
	"strings"
	"testing"
)

// A site is asked as work begins and in the last hour of it, on no closed day.
func TestCalendar_AskWarmth(t *testing.T) {
	s := site(t, "orchard-lane")
	for _, tt := range []struct {
		after, want string
		night       bool
	}{
		{"2027-03-04T06:00", "2027-03-04T07:00", false},
		{"2027-03-04T07:00", "2027-03-04T15:00", true},
		{"2027-03-04T15:00", "2027-03-05T07:00", false},
		{"2027-03-05T08:00", "2027-03-05T12:00", true}, // Friday ends at 13:00
		{"2027-03-05T12:00", "2027-03-08T07:00", false},
		{"2027-12-23T15:00", "2028-01-03T07:00", false}, // closed until 2 January
	} {
		got, night, ok := s.AskWarmth(at(t, tt.after, s.Zone))
		if want := at(t, tt.want, s.Zone); !ok || !got.Equal(want) || night != tt.night {
			t.Errorf("after %s: got %v, %v, %v, want %v, %v", tt.after, got, night, ok, want, tt.night)
		}
	}
	var never Calendar
	never.Zone = s.Zone
	if got, _, ok := never.AskWarmth(at(t, "2027-03-04T06:00", s.Zone)); ok {
		t.Errorf("got %v where nobody works", got)
	}
}

// What is held ends as work begins on the day that is named, or as a closed day
// begins; it begins at a time that may be past.
func TestCalendar_held(t *testing.T) {
	s := site(t, "orchard-lane")
	now := at(t, "2027-03-03T10:00", s.Zone) // a Wednesday
	for phrase, want := range map[string]string{"Friday": "2027-03-05T07:00", "Friday 12:00": "2027-03-05T12:00", "Sunday": "2027-03-07T00:00", "tomorrow": "2027-03-04T07:00", "2027-06-11": "2027-06-11T00:00"} {
		if got, err := s.DayOrTime(phrase, now); err != nil || !got.Equal(at(t, want, s.Zone)) {
			t.Errorf("until %s: got %v, %v, want %s", phrase, got, err, want)
		}
	}
	until := at(t, "2027-03-05T07:00", s.Zone)
	for phrase, want := range map[string]string{"8:00": "2027-03-03T08:00", "yesterday 16:00": "2027-03-02T16:00", "2027-03-01 16:00": "2027-03-01T16:00",
		"tomorrow 7:00": "2027-03-04T07:00", "Thursday 9:00": "2027-03-04T09:00", "Saturday 9:00": "2027-02-27T09:00"} {
		if got, err := s.Since(phrase, until, now); err != nil || !got.Equal(at(t, want, s.Zone)) {
			t.Errorf("from %s: got %v, %v, want %s", phrase, got, err, want)
		}
	}
	for phrase, want := range map[string]string{"yesterday": "no time of day", "25:00": "no time of day", "blue 9:00": "no day I know"} {
		if got, err := s.Since(phrase, until, now); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("from %s: got %v, %v, want %q", phrase, got, err, want)
		}
	}
	if got, err := s.DayOrTime("yesterday", now); err == nil {
		t.Errorf("until yesterday: got %v", got)
	}
}
