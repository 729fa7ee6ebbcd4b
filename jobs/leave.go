package jobs

import (
	"fmt"
	"slices"
	"time"
)

// Leave is a stretch of days on which somebody of the site is away and another
// is told and asked in their place.
type Leave struct {
	Who       string `yaml:"who"`
	FirstText string `yaml:"from"`
	LastText  string `yaml:"to"` // the last day of it
	Deputy    string `yaml:"deputy"`

	First, Last Date // FirstText and LastText, read
}

// checkLeave notes what is wrong with the days on which people are away. Who
// stands in for a foreman has to be one: they decide.
func (s *Site) checkLeave(f *file) {
	for i := range s.Leave {
		l, path := &s.Leave[i], fmt.Sprintf("leave[%d].", i+1)
		var err error
		l.First, err = ParseDate(l.FirstText)
		f.expect(err == nil, path+"from", "%s", err)
		l.Last, err = ParseDate(l.LastText)
		f.expect(err == nil, path+"to", "%s", err)
		f.expect(!l.Last.Before(l.First), path+"to", "%s is before %s", l.LastText, l.FirstText)
		f.expect(s.Role(l.Who) != Guest, path+"who", "%q is nobody of the site", cut(l.Who, 40))
		f.expect(s.Role(l.Deputy) != Guest && l.Deputy != l.Who, path+"deputy", "%q is nobody else of the site", cut(l.Deputy, 40))
		f.expect(!s.Leads(l.Who) || s.Leads(l.Deputy), path+"deputy", "%s is crew, and stands in for %s, who is %s: name a foreman or the office", l.Deputy, l.Who, string(s.Role(l.Who)))
	}
}

// Away returns the leave on which somebody is at t, nil for none.
func (s *Site) Away(id string, t time.Time) *Leave {
	day := DateOf(t.In(s.Zone))
	for i := range s.Leave {
		if l := &s.Leave[i]; l.Who == id && !day.Before(l.First) && !l.Last.Before(day) {
			return l
		}
	}
	return nil
}

// StandsFor returns somebody and those in whose place they are told at t.
func (s *Site) StandsFor(who string, t time.Time) []string {
	all := []string{who}
	for i := range s.Leave {
		if of := s.Leave[i].Who; !slices.Contains(all, of) && s.Acting(of, t) == who {
			all = append(all, of)
		}
	}
	return all
}

// Acting returns who is told at t what is somebody's to be told: they
// themselves, or whoever stands in; "" if they have left the site. Where all
// that stand in for each other are away, it is who was meant.
func (s *Site) Acting(id string, t time.Time) string {
	who := s.present(id)
	for range s.Leave {
		l := s.Away(who, t)
		if l == nil {
			return who
		}
		who = l.Deputy
	}
	if s.Away(who, t) != nil {
		return s.present(id)
	}
	return who
}
