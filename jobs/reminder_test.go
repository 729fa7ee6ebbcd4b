package jobs

import (
	"slices"
	"testing"
	"time"
)

// Nobody is told who has left the site: a foreman who is there is, and the
// crew's part where none of it is left.
func TestSite_told(t *testing.T) {
	s := site(t, "orchard-lane")
	for _, tt := range []struct {
		crew    []string
		foreman string
		to      string
		want    []string
	}{
		{[]string{"ana", "bo"}, "mo", "crew", []string{"ana", "bo"}},
		{[]string{"ana", "gone"}, "mo", "crew", []string{"ana"}},
		{[]string{"gone"}, "mo", "crew", []string{"mo"}},
		{[]string{"gone"}, "left", "foreman", []string{"mo"}},
		{[]string{"ana", "gone"}, "left", "all", []string{"ana", "mo"}},
	} {
		spec := &Spec{Crew: tt.crew, Foreman: tt.foreman}
		if got := s.Told(spec, tt.to, time.Time{}); !slices.Equal(got, tt.want) {
			t.Errorf("crew %v, foreman %s, to %s: told %v, want %v", tt.crew, tt.foreman, tt.to, got, tt.want)
		}
	}
	if left := s.Left(&Spec{Crew: []string{"ana", "gone"}, Foreman: "left"}); !slices.Equal(left, []string{"left", "gone"}) {
		t.Errorf("left %v", left)
	}
}

// From the first day of somebody's leave to the last whoever stands in is told,
// and who stands in for those, once; where all are away, who was meant.
func TestSite_Told_leave(t *testing.T) {
	s := site(t, "orchard-lane")
	spec := &Spec{Crew: []string{"ana", "bo"}, Foreman: "mo"}
	for _, tt := range []struct {
		day  string
		more []Leave
		to   string
		want []string
	}{
		{"2027-08-01T23:59", nil, "foreman", []string{"mo"}},
		{"2027-08-02T00:00", nil, "foreman", []string{"ivy"}},
		{"2027-08-13T23:59", nil, "foreman", []string{"ivy"}},
		{"2027-08-14T00:00", nil, "foreman", []string{"mo"}},
		{"2027-08-10T09:00", nil, "all", []string{"bo", "ivy"}},
		{"2027-08-10T09:00", []Leave{{Who: "bo", Deputy: "cy", First: Date{2027, 8, 10}, Last: Date{2027, 8, 10}}}, "crew", []string{"cy"}},
		{"2027-08-10T09:00", []Leave{{Who: "bo", Deputy: "ana", First: Date{2027, 8, 10}, Last: Date{2027, 8, 10}}}, "crew", []string{"ana", "bo"}},
	} {
		with := *s
		with.Leave = append(slices.Clone(s.Leave), tt.more...)
		if got := with.Told(spec, tt.to, at(t, tt.day, s.Zone)); !slices.Equal(got, tt.want) {
			t.Errorf("%s, to %s, and %v: told %v, want %v", tt.day, tt.to, tt.more, got, tt.want)
		}
	}
}
