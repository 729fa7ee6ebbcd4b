package jobs

import (
	"strings"
	"testing"
	"time"
)

// A closed site is archived from its day on, in its own zone, and expires
// after the office's period by the calendar.
func TestSite_ClosedAndExpired(t *testing.T) {
	site := parseClosed(t, "closed_on: 2027-01-31\nkeep_months: 1\n")
	at := func(text string) time.Time {
		v, err := time.ParseInLocation("2006-01-02 15:04", text, site.Zone)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		at                string
		archived, expired bool
	}{
		{"2027-01-30 23:59", false, false}, {"2027-01-31 00:00", true, false},
		{"2027-02-27 23:59", true, false}, {"2027-02-28 00:00", true, true}, // February has no 31st
	} {
		if a, e := site.Archived(at(c.at)), site.Expired(at(c.at)); a != c.archived || e != c.expired {
			t.Errorf("%s: got archived %v, expired %v, want %v, %v", c.at, a, e, c.archived, c.expired)
		}
	}
	if open := parseClosed(t, ""); open.Archived(at("2099-01-01 00:00")) || open.Expired(at("2099-01-01 00:00")) {
		t.Error("an open site is archived")
	}
	if kept := parseClosed(t, "closed_on: 2027-01-31\n"); kept.Expired(at("2099-01-01 00:00")) {
		t.Error("a site without a period expired")
	}
}

// Of an archived door nobody is reminded but of what it would hurt to leave.
func TestPending_archived(t *testing.T) {
	b := newBench(t, "orchard")
	b.must("ana", &Open{a101()}, &SetVisit{At: at(t, "2027-03-11T09:00", b.site.Zone)})
	b.toFloor()
	b.bond()
	b.hang()
	b.must("ana", &Untick{"engaged", "it slipped out"})
	b.site.ClosedFrom = Date{2027, 3, 2}
	for id, r := range Pending(&b.door, b.sheet, b.site) {
		if r.Kind != LeafStands {
			t.Errorf("%s is due at %v", id, r.Due)
		}
	}
	if _, ok := Pending(&b.door, b.sheet, b.site)["stood"]; !ok {
		t.Error("the leaf that stands is forgotten")
	}
}

func parseClosed(t *testing.T, extra string) *Site {
	t.Helper()
	s, err := ParseSite([]byte("id: x\nname: X\nzone: Europe/Berlin\nhours:\n  monday: 7:00-16:00\nchannels: [c]\npeople:\n  - {id: mo, name: Mo, role: foreman}\n"+extra), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSite_RetentionRefused(t *testing.T) {
	for _, extra := range []string{"keep_months: 3\n", "closed_on: 2027-02-30\n", "closed_on: 2027-01-31\nkeep_months: -1\n"} {
		_, err := ParseSite([]byte("id: x\nname: X\nzone: Europe/Berlin\nhours:\n  monday: 7:00-16:00\nchannels: [c]\npeople:\n  - {id: mo, name: Mo, role: foreman}\n"+extra), nil)
		if err == nil || !strings.Contains(err.Error(), strings.Split(strings.Split(extra, "\n")[max(0, strings.Count(extra, "\n")-1)], ":")[0]) {
			t.Errorf("%q: got %v, want an error that names the key", extra, err)
		}
	}
}
