package jobs

import (
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"go.yaml.in/yaml/v3"

	"heelpost/calc"
)

// Site is a building site as its office describes it, in YAML with the
// keys below: who works there, as what, and when.
type Site struct {
	Hash string // SHA-256 of the file and its holidays
	Calendar
	Digests Rule  // when the foreman gets the morning's board
	Usual   *Spec // UsualDoor, as a door has it

	ID         string           `yaml:"id"`
	Name       string           `yaml:"name"`
	ZoneName   string           `yaml:"zone"`
	Week       map[string]spans `yaml:"hours"`
	ClosedDays []string         `yaml:"closed,optional"` // dates, or first..last
	Holidays   string           `yaml:"holidays,optional"`
	Channels   []string         `yaml:"channels"`
	People     []Person         `yaml:"people"`
	Groups     []Group          `yaml:"groups,optional"`
	Digest     string           `yaml:"digest,optional"`
	SeasonEnd  YearDay          `yaml:"heating_ends,optional"`
	Sheets     []string         `yaml:"sheets,optional"`      // that doors here may use; all if none is named
	UsualDoor  Usual            `yaml:"usual,optional"`       // what a door here has where nothing else is said
	Rule       string           `yaml:"rule,optional"`        // the published least clear width that counts here: a code of [calc.ClearRules]
	ClosedText string           `yaml:"closed_on,optional"`   // from that day on the doors are archived
	KeepMonths int              `yaml:"keep_months,optional"` // and after so many months deleted; 0: never

	ClosedFrom Date // ClosedText, read; zero while the site is open

	named int // how many of the people the file names, if members follow them

	file, ics []byte // as they were read
}

// Archived reports whether the site is closed at t: its doors can be looked
// at and no longer changed.
func (s *Site) Archived(t time.Time) bool {
	return s.ClosedFrom != Date{} && !DateOf(t.In(s.Zone)).Before(s.ClosedFrom)
}

// DeletedFrom returns the day from which the doors of a closed site are
// deleted, because the office's period is over; false if they are kept.
func (s *Site) DeletedFrom() (Date, bool) {
	if s.ClosedFrom == (Date{}) || s.KeepMonths <= 0 {
		return Date{}, false
	}
	// The 1st of a month that comes so many months later has no day too many.
	end := time.Date(s.ClosedFrom.Year, s.ClosedFrom.Month+time.Month(s.KeepMonths), 1, 0, 0, 0, 0, time.UTC)
	return DateOf(end).Add(min(s.ClosedFrom.Day, end.AddDate(0, 1, -1).Day()) - 1), true
}

// Expired reports whether the doors of the site are to be deleted at t.
func (s *Site) Expired(t time.Time) bool {
	day, ok := s.DeletedFrom()
	return ok && !DateOf(t.In(s.Zone)).Before(day)
}

// Person is somebody of the site. Logs hold the id; the name stands here
// only.
type Person struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
	Role Role   `yaml:"role"`
	Crew string `yaml:"crew,optional"` // the gang's name, to filter the board by
	// Account is the person's id in the team's chat, where that has ids of
	// its own. Whoever has no line is known by that id.
	Account string `yaml:"account,optional"`
}

// Group is a user group of the team's chat whose members have a role at the
// site, as far as they have no line of their own.
type Group struct {
	Account string `yaml:"account"`
	Role    Role   `yaml:"role"`
	Crew    string `yaml:"crew,optional"`
}

// With returns the site with the members of its groups, by group, in place of
// those that it had.
func (s *Site) With(members map[string][]string) *Site {
	out := *s
	if out.named == 0 {
		out.named = len(s.People)
	}
	out.People = slices.Clone(s.People[:out.named])
	for _, g := range s.Groups {
		for _, m := range members[g.Account] {
			if !slices.ContainsFunc(out.People, func(p Person) bool { return p.Account == m || p.ID == m }) {
				out.People = append(out.People, Person{ID: m, Name: m, Role: g.Role, Crew: g.Crew, Account: m})
			}
		}
	}
	return &out
}

// Role is what somebody may do.
type Role string

// The roles. Who is not named at a site is a guest there.
const (
	Guest   Role = "guest"
	Crew    Role = "crew"
	Foreman Role = "foreman"
	Office  Role = "office"
)

func (r *Role) fromText(s string) error {
	*r = Role(s)
	if *r != Crew && *r != Foreman && *r != Office {
		return calc.F("%q is none of crew, foreman, office", cut(s, 40))
	}
	return nil
}

// NextDigest returns when the foreman gets the board next after t: on a day on
// which somebody works.
func (s *Site) NextDigest(t time.Time) (at time.Time, ok bool) {
	for range yearAhead {
		if at, ok = s.Digests.Next(t, s.Zone); !ok || s.ClosedOn(DateOf(at.In(s.Zone))).IsZero() {
			return at, ok
		}
		t = at
	}
	return time.Time{}, false
}

// Role returns what a person is at the site.
func (s *Site) Role(id string) Role {
	for _, p := range s.People {
		if p.ID == id {
			return p.Role
		}
	}
	return Guest
}

// First returns the first person of a role, "" if there is none.
func (s *Site) First(role Role) string {
	i := slices.IndexFunc(s.People, func(p Person) bool { return p.Role == role })
	if i < 0 {
		return ""
	}
	return s.People[i].ID
}

// Person returns somebody of the site by id.
func (s *Site) Person(id string) (Person, bool) {
	i := slices.IndexFunc(s.People, func(p Person) bool { return p.ID == id })
	if i < 0 {
		return Person{}, false
	}
	return s.People[i], true
}

// spans is the working hours of a day: "7:00-12:00, 13:00-16:00".
type spans []Span

func (s *spans) fromText(text string) error {
	if text == "closed" {
		return nil
	}
	for _, part := range strings.Split(text, ",") {
		from, to, ok := strings.Cut(part, "-")
		if !ok {
			return calc.F("%q: write it as 7:00-16:00", cut(part, 40))
		}
		a, errA := ParseClock(strings.TrimSpace(from))
		b, errB := ParseClock(strings.TrimSpace(to))
		if err := errors.Join(errA, errB); err != nil {
			return err
		}
		if a >= b || len(*s) > 0 && (*s)[len(*s)-1].To > a {
			return calc.F("%q does not come after what stands before it", strings.TrimSpace(part))
		}
		*s = append(*s, Span{a, b})
	}
	return nil
}

// YearDay is a day of each year, written "04-30".
type YearDay struct {
	Month time.Month
	Day   int
}

func (m *YearDay) fromText(s string) error {
	d, err := ParseDate("2027-" + s)
	if err != nil {
		return calc.F("%q is no day of the year: write it as 04-30", cut(s, 40))
	}
	*m = YearDay{d.Month, d.Day}
	return nil
}

// plainID is what ids may look like: they stand in keys and commands.
var plainID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$`)

// ParseSite reads a site file and, where it names one, the iCalendar file
// of its public holidays. What is wrong is told by line.
func ParseSite(data, ics []byte) (*Site, error) {
	s := &Site{Hash: hash(data, ics), file: data, ics: ics}
	f, err := decode(data, s)
	if err != nil {
		return nil, err
	}
	s.Closed, s.Yearly = map[Date]string{}, map[Date]string{}
	s.check(f)
	s.week(f)
	s.closedDays(f)
	for _, e := range s.holidaysErrors(ics) {
		f.errs = append(f.errs, calc.F("%s: %s", s.Holidays, e))
	}
	if err := f.err(); err != nil {
		return nil, err
	}
	return s, nil
}

// keptSite is a site file and its holidays as one, as stores keep them.
type keptSite struct {
	File     []byte `json:"file"`
	Holidays []byte `json:"holidays,omitempty"`
}

// Kept returns the site's file and its holidays as one, to be kept under the
// site's hash.
func (s *Site) Kept() []byte {
	b, err := json.Marshal(keptSite{s.file, s.ics})
	if err != nil {
		panic(err) // bytes always marshal
	}
	return b
}

// ReadSite reads a site as [Site.Kept] returns it.
func ReadSite(kept []byte) (*Site, error) {
	var k keptSite
	if err := json.Unmarshal(kept, &k); err != nil {
		return nil, err
	}
	return ParseSite(k.File, k.Holidays)
}

// holidaysErrors reads the holidays, if the file names any.
func (s *Site) holidaysErrors(ics []byte) []error {
	if s.Holidays == "" {
		return nil
	}
	if len(ics) > maxFile {
		return []error{&FileError{Reason: calc.F("the file is larger than a megabyte")}}
	}
	return s.holidays(ics)
}

// check notes what is wrong with names, people, the zone and the digest.
func (s *Site) check(f *file) {
	f.expect(plainID.MatchString(s.ID), "id", "%q: letters, digits, dots and dashes only", cut(s.ID, 40))
	z, err := time.LoadLocation(s.ZoneName)
	f.expect(err == nil && s.ZoneName != "Local", "zone", "%q is no zone of the tz database, as Europe/Berlin", cut(s.ZoneName, 40))
	s.Zone = z
	f.expect(len(s.Channels) > 0, "channels", "there are none")
	seen, accounts, foremen := map[string]bool{}, map[string]bool{}, 0
	for i, p := range s.People {
		path := fmt.Sprintf("people[%d].id", i+1)
		f.expect(plainID.MatchString(p.ID), path, "%q: letters, digits, dots and dashes only", cut(p.ID, 40))
		f.expect(!seen[p.ID], path, "%s stands there twice", p.ID)
		seen[p.ID] = true
		path = fmt.Sprintf("people[%d].account", i+1)
		f.expect(p.Account == "" || plainID.MatchString(p.Account), path, "%q: letters, digits, dots and dashes only", cut(p.Account, 40))
		f.expect(p.Account == "" || !accounts[p.Account], path, "%s stands there twice", p.Account)
		accounts[p.Account] = true
		if p.Role == Foreman {
			foremen++
		}
	}
	for i, g := range s.Groups {
		f.expect(plainID.MatchString(g.Account), fmt.Sprintf("groups[%d].account", i+1), "%q: letters, digits, dots and dashes only", cut(g.Account, 40))
	}
	f.expect(foremen > 0, "people", "nobody is foreman")
	if s.Digest == "" {
		s.Digest = "0 6 * * *"
	}
	s.Digests, err = ParseRule(s.Digest)
	if clock, no := ParseClock(s.Digest); no == nil {
		err = calc.F("%q is a time of day and no rule: write it as %q for each day, or with 1-5 at its end for Monday to Friday", s.Digest, fmt.Sprintf("%d %d * * *", clock%60, clock/60))
	}
	f.expect(err == nil, "digest", "%s", err)
	codes := calc.RuleCodes()
	f.expect(s.Rule == "" || slices.Contains(codes, s.Rule), "rule", "%q is none of %s", cut(s.Rule, 40), strings.Join(codes, ", "))
	if s.ClosedText != "" {
		s.ClosedFrom, err = ParseDate(s.ClosedText)
		f.expect(err == nil, "closed_on", "%s", err)
	}
	f.expect(s.KeepMonths >= 0 && s.KeepMonths <= 1200, "keep_months", "%s is no number of months", s.KeepMonths)
	f.expect(s.KeepMonths == 0 || s.ClosedText != "", "keep_months", "counts from closed_on, which is missing")
	s.UsualDoor.check(f, s)
	s.Usual = s.UsualDoor.spec()
	if s.SeasonEnd == (YearDay{}) {
		s.SeasonEnd = YearDay{time.April, 30} // common practice in Europe, no published source
	}
}

// week enters the working hours.
func (s *Site) week(f *file) {
	any := false
	for d := time.Sunday; d <= time.Saturday; d++ {
		name := strings.ToLower(d.String())
		s.Hours[d] = s.Week[name]
		any = any || len(s.Week[name]) > 0
		delete(s.Week, name)
	}
	for name := range s.Week {
		f.expect(false, "hours."+name, "is no day of the week")
	}
	s.Week = nil
	f.expect(any, "hours", "nobody works on any day")
}

// closedDays enters the dates that nobody works on.
func (s *Site) closedDays(f *file) {
	for i, text := range s.ClosedDays {
		path := fmt.Sprintf("closed[%d]", i+1)
		first, last, isRange := strings.Cut(text, "..")
		from, err := ParseDate(strings.TrimSpace(first))
		to := from
		if err == nil && isRange {
			to, err = ParseDate(strings.TrimSpace(last))
		}
		if err != nil {
			f.expect(false, path, "%s", err)
			continue
		}
		f.expect(!to.Before(from) && to.Before(from.Add(yearAhead)), path, "%s is no stretch of days", text)
		for d, n := from, 0; !to.Before(d) && n < yearAhead; d, n = d.Add(1), n+1 {
			s.Closed[d] = ""
		}
	}
}

// HolidaysOf returns the iCalendar file that a site file names, "" for none
// or if the file can't be read as YAML, which [ParseSite] tells.
func HolidaysOf(data []byte) string {
	var s struct {
		Holidays string `yaml:"holidays"`
	}
	if err := yaml.Unmarshal(data, &s); err != nil {
		return ""
	}
	return s.Holidays
}
