package bot

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"heelpost/jobs"
)

const (
	lookAhead = 100 // lines behind a page that are counted
	lastPage  = 50  // of an agenda
)

// duty is a line of an agenda: a visit to make, or a cure to look after.
type duty struct {
	at      time.Time
	overdue bool // a visit that nobody has made yet
	text    string
}

func (e *errand) today(text string) error {
	today := jobs.DateOf(e.msg.At.In(e.site.Zone))
	return e.agenda("today", ", "+dayText(today), text, today.Add(1).At(0, e.site.Zone), "visits", "curing")
}

func (e *errand) week(text string) error {
	today := jobs.DateOf(e.msg.At.In(e.site.Zone))
	return e.agenda("week", ", "+dayText(today)+" to "+dayText(today.Add(6)), text, today.Add(7).At(0, e.site.Zone), "visits", "curing")
}

func dayText(d jobs.Date) string { return d.Weekday().String()[:3] + " " + d.String() }

// visits lists the site's visits, or those of the door spoken of.
func (e *errand) visits(text string) error {
	if e.id != "" {
		return e.doorVisits()
	}
	return e.agenda("visits", "", text, time.Time{}, "visits")
}

// agenda shows a page of what is to do at the doors of some of the site's
// sets: visits before end, if that is not zero, and cures.
func (e *errand) agenda(name, title, text string, end time.Time, sets ...string) error {
	_, page := pageOf(strings.Fields(text))
	if page > lastPage {
		return refuse(fmt.Errorf("an agenda has no more than %d pages: the board shows every door", lastPage))
	}
	shown := page * pageSize
	duties, err := e.desk.duties(e.ctx, e.site, e.msg.At, end, shown+lookAhead+1, sets...)
	if err != nil {
		return err
	}
	lines := []string{name + title}
	if page > 1 {
		lines[0] += ", page " + strconv.Itoa(page)
	}
	for _, d := range duties[min(shown-pageSize, len(duties)):min(shown, len(duties))] {
		lines = append(lines, d.text)
	}
	switch more := len(duties) - shown; {
	case len(lines) == 1 && page == 1:
		lines = append(lines, "nothing is planned"+map[bool]string{true: ", nothing cures"}[len(sets) > 1])
	case len(lines) == 1:
		lines = append(lines, "nothing stands on this page")
	case more > lookAhead:
		lines = append(lines, fmt.Sprintf("and over %d more: %s %d", lookAhead, name, page+1))
	case more > 0:
		lines = append(lines, fmt.Sprintf("and %d more: %s %d", more, name, page+1))
	}
	e.say(KindBoard, strings.Join(lines, "\n"))
	return nil
}

// duties returns what is to do at the doors of sets, at most so many: overdue
// visits first, then all in order of time. A set is in the order of each
// door's first time, so as many of its doors hold as many of its first
// duties: no more are read, however many there are.
func (d *Desk) duties(ctx context.Context, site *jobs.Site, now, end time.Time, most int, sets ...string) ([]duty, error) {
	var all []duty
	for _, set := range sets {
		for from, more := 0, true; more && from < most; from += pageSize {
			list, _, err := d.store.Doors(ctx, site.ID+"/"+set, from, pageSize)
			if err != nil {
				return nil, err
			}
			more = len(list) == pageSize
			for _, rec := range list {
				j, err := d.open(ctx, rec)
				if err != nil {
					return nil, err
				}
				some := j.duties(set, now, end)
				more = more && len(some) > 0
				all = append(all, some...)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b duty) int {
		switch {
		case a.overdue && !b.overdue:
			return -1
		case b.overdue && !a.overdue:
			return 1
		}
		return a.at.Compare(b.at)
	})
	return all[:min(most, len(all))], nil
}

// duties returns what the door has to do in one of its site's sets: a cure,
// whenever it ends, or its visits before end.
func (j *job) duties(set string, now, end time.Time) []duty {
	if set == "curing" {
		return []duty{j.cureDuty(now)}
	}
	var all []duty
	for _, v := range j.door.Planned() {
		if end.IsZero() || v.At.Before(end) {
			all = append(all, duty{v.At, v.At.Before(now), j.door.Spec.ID + ": " + visitLine(&v, j.site, now)})
		}
	}
	return all
}

// cureDuty tells when a door's control sample is to be looked at.
func (j *job) cureDuty(now time.Time) duty {
	d := duty{at: j.door.Cure(j.door.Updated).End, text: j.door.Spec.ID + ": " + j.cureText(now)}
	if d.at.IsZero() {
		d.at = j.door.Updated // as the set has it
	}
	return d
}

// doorVisits lists the visits of the door spoken of.
func (e *errand) doorVisits() error {
	j, err := e.job()
	if err != nil {
		return err
	}
	lines, buttons := []string{"visits of " + e.id + ": " + strconv.Itoa(len(j.door.Visits))}, []Button(nil)
	for i := range j.door.Visits {
		v := &j.door.Visits[i]
		lines = append(lines, visitLine(v, j.site, e.msg.At))
		if v.End == "" {
			buttons = append(buttons, visitButtons(v)...)
		}
	}
	if j.curing() {
		lines = append(lines, j.cureText(e.msg.At))
	}
	e.say(KindBoard, strings.Join(lines, "\n"), append(buttons, Button{Label: "Plan a visit", Form: "visit"})...)
	return nil
}

// pageOf takes the number of a page from the end of the words; the first one
// if there is none.
func pageOf(words []string) (rest []string, page int) {
	if n := len(words); n > 0 {
		if page, err := strconv.Atoi(words[n-1]); err == nil && page > 0 {
			return words[:n-1], page
		}
	}
	return words, 1
}
