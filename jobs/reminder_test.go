package jobs

import (
	"slices"
	"testing"
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
		if got := s.Told(spec, tt.to); !slices.Equal(got, tt.want) {
			t.Errorf("crew %v, foreman %s, to %s: told %v, want %v", tt.crew, tt.foreman, tt.to, got, tt.want)
		}
	}
	if left := s.Left(&Spec{Crew: []string{"ana", "gone"}, Foreman: "left"}); !slices.Equal(left, []string{"left", "gone"}) {
		t.Errorf("left %v", left)
	}
}
